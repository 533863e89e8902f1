"""Stage 7: what is typed on a command line, and the exit status that comes back."""
