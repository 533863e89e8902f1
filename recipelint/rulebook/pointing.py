"""Where a finding points: the key of a row, the largest part of a stat, a vessel in a file of its own."""

from __future__ import annotations

from typing import Any

from recipelint.rulebook.rules import Rule
from recipelint.rulebook.tables import Row, Tables
from recipelint.source.nodes import At

# Keys of the files whose field bears another name in the model; ``at`` of the model is the pointer.
FIELD_OF = {"for": "for_", "yield": "yield_", "from": "from_", "at": "temperature"}


def place_of(rule: Rule, pointing_stat: str | None, tables: Tables, row: Row | None) -> At:
    """The place of a finding of the rule; ``pointing_stat`` is the stat whose largest part is meant, if any."""
    point = rule.point
    if row is not None:
        if row["_record"] is None and not row["at"]:
            return At(tables.recipe.file, "/brewhouse")
        return at_of(tables, row["at"], point)
    if point is not None and point.startswith("/brewhouse/"):
        _, _, name, *keys = point.split("/")
        vessel = getattr(tables.brew.brewhouse, name, None)
        return at_of(tables, vessel.at if vessel is not None else "/brewhouse", "/".join(keys))
    if point is not None and point.startswith("/"):
        # A part that was left out cannot be pointed at; the batch is in every recipe.
        there = written(tables.recipe, point.split("/")[1])
        return At(tables.recipe.file, point if there else "/batch")
    if pointing_stat is not None:
        parts = tables.brew.stat(pointing_stat).parts
        best = max((part for part in parts if part[0]), key=lambda part: part[1], default=None)
        if best is not None:
            return at_of(tables, best[0], point)
    return At(tables.recipe.file, "")


def at_of(tables: Tables, pointer: str, point: str | None = None) -> At:
    """A place; a pointer into a file of its own is written ``file#pointer``."""
    file, mark, inside = pointer.partition("#")
    if not mark:
        brewhouse = tables.brew.brewhouse
        other = getattr(brewhouse, "file", "") if _in_brewhouse(brewhouse, pointer) else ""
        file, inside = other or tables.recipe.file, pointer
    return At(file, inside + (f"/{point.strip('/')}" if point else ""))


def _in_brewhouse(brewhouse: Any, pointer: str) -> bool:
    """Whether the pointer is of a vessel in a brewhouse that stands in a file of its own."""
    if brewhouse is None or not getattr(brewhouse, "file", ""):
        return False
    vessels = (getattr(brewhouse, name, None) for name in ("mash", "kettle", "fermenter"))
    return any(vessel is not None and vessel.at == pointer for vessel in vessels)


def written(record: Any, pointer: str) -> bool:
    """Whether a key was written, followed from a record of the model; lists count if they hold anything."""
    for key in pointer.strip("/").split("/"):
        field = FIELD_OF.get(key, key)
        if record is None or not hasattr(record, field):
            return False
        record = getattr(record, field)
    return record is not None and record != () and record != ""
