"""Stage 5: load, brew and judge one set of files."""
