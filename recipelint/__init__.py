"""Beer recipes as source code: read with positions, brewed on paper, judged like a linter."""

__version__ = "0.1.0"
