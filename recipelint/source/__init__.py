"""Stage 1: bytes to text to one YAML node tree in which every node keeps its place; the one door to files.

Nothing outside this package handles lines and columns, and nothing outside it opens a file.
"""
