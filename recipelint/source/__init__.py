"""Stage 1: reads YAML into one tree and remembers for each node where in the text it stood.

Nothing outside this package handles lines and columns, and nothing outside it opens a file.
"""
