"""Stage 2: a node tree becomes a typed recipe, brewhouse, record or house file."""
