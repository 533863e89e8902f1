"""Limits on what is read, held before memory or recursion is at risk. Each names itself in its message."""

FILE_BYTES = 1024 * 1024
"""Largest file."""

DEPTH = 100
"""Maps and lists inside one another."""

NODES = 50_000
"""Values in one file, each use of an alias counted with all it stands for; keys are not counted."""

SCALAR_BYTES = 64 * 1024
"""Longest single value or key, in bytes of UTF-8."""
