"""Catalogue sources -> catalogue.json: canonical numbers, one list of values per row, an index of names.

Keys are "GROUP row ID" (the values in the order of the row type's fields, defaults at the end left out) and
"GROUP name SPELLING" (the id that a name or alias stands for).
"""

from __future__ import annotations

import os.path
from collections.abc import Mapping
from typing import Any

from parts.reading import SourceError, read, without_defaults
from recipelint.recipe.catalogue_file import row_of
from recipelint.recipe.ingredients import GROUP_OF, Fermentable, Row
from recipelint.recipe.nearest import plain_name


def build(paths: list[str]) -> dict[str, Any]:
    """The whole of catalogue.json. Raises SourceError, naming file and row, for what cannot be read."""
    entries: dict[str, Any] = {}
    for path in paths:
        content = read(path)
        if content.get("catalogue") != 1:
            raise SourceError(f"{path}: not a catalogue")
        for item in content["items"]:
            key = next(iter(item))
            if key not in GROUP_OF:
                raise SourceError(f"{path}: a row begins with {key!r}, which names no kind of row")
            try:
                _check_sources(item, content["sources"])
                _add(entries, GROUP_OF[key], _row(key, item))
            except SourceError as trouble:
                raise SourceError(f"{os.path.basename(path)}, {item[key]}: {trouble}") from trouble
    return entries


def _check_sources(item: Mapping[str, Any], sources: Mapping[str, Any]) -> None:
    for keys in item.get("sources", {}).values():
        for each in keys:
            if each not in sources:
                raise SourceError(f"source {each!r} is not listed in the file")


def _row(key: str, item: Mapping[str, Any]) -> Row:
    row = row_of(key, item)
    if isinstance(row, list):
        raise SourceError("; ".join(f"{fault.pointer}: {fault.message}" for fault in row))
    if isinstance(row, Fermentable) and not row.starch and row.diastatic_power is None:
        return row._replace(diastatic_power=0.0)  # what has no starch and names no power has none
    return row


def _add(entries: dict[str, Any], group: str, row: Row) -> None:
    if f"{group} row {row.id}" in entries:
        raise SourceError("stands twice")
    entries[f"{group} row {row.id}"] = without_defaults(row)
    for name in (row.id, row.name or row.id, *(row.aliases or ())):
        owner = entries.setdefault(f"{group} name {plain_name(name)}", row.id)
        if owner != row.id:
            raise SourceError(f"the name {name!r} also belongs to {owner}")
