"""What a published or computed figure is called when its check fails."""

from __future__ import annotations

from typing import Any


def label(row: dict[str, Any]) -> str:
    """Id, kind and source of a row; what is not published in that form is held only against change."""
    kind = "published" if row["kind"] == "published" else "regression"
    return f"{row['id']}-{kind}-{row['source']}{'-from-memory' if row['from_memory'] else ''}"
