"""The catalogue: what is known of malts, sugars, hops, cultures, additions and waters, looked up by name.

Rows of a house's own catalogue lie over the shipped ones, and a lot over both, field by field. Every value
can be asked where it comes from and whether it is only recalled (``origin_of``, ``recalled``).
"""

from collections.abc import Iterable, Mapping
from typing import Any

from recipelint.recipe import shipped
from recipelint.recipe.ingredients import (
    GROUP_OF,
    Addition,
    Culture,
    Fermentable,
    Hop,
    Layer,
    Range,
    Row,
    Water,
    layer_of,
    lovibond_of_ebc,
    origin_of,
    overlay,
    recalled,
)
from recipelint.recipe.nearest import nearest, plain_name
from recipelint.recipe.shipped import Store

__all__ = [
    "GROUP_OF",
    "Addition",
    "Catalogue",
    "Culture",
    "Fermentable",
    "Hop",
    "Layer",
    "Range",
    "Row",
    "Water",
    "layer_of",
    "lovibond_of_ebc",
    "origin_of",
    "overlay",
    "recalled",
]

REMEMBERED = 4096  # names whose meaning is kept; an editor may ask for ever new ones
_UNASKED: Any = object()  # in place of the answer to a name that nobody has asked for; None is an answer


class _Group:
    """The rows of one group: shipped ones built when asked for, a house's own over them."""

    __slots__ = ("built", "found", "house", "house_names", "lots", "name", "row", "store")

    def __init__(self, name: str, row: type[Any], store: Store) -> None:
        self.name = name
        self.row = row
        self.store = store
        self.built: dict[str, Row] = {}
        self.found: dict[tuple[str, str | None], Row | None] = {}
        self.house: dict[str, Row] = {}
        self.house_names: dict[str, str] = {}
        self.lots: dict[tuple[str, str], Row] = {}

    def resolve(self, name: str) -> str | None:
        """The id that ``name`` means: a house's id or name first, then a shipped one."""
        spelling = plain_name(name)
        found = name if name in self.house else self.house_names.get(spelling)
        if found is None:
            found = name if self.shipped(name) else self.store.get(f"{self.name} name {spelling}")
        return found

    def shipped(self, ident: str) -> Row | None:
        row = self.built.get(ident)
        if row is None:
            values = self.store.get(f"{self.name} row {ident}")
            if values is None:
                return None
            row = self.built[ident] = self.row(*[tuple(v) if type(v) is list else v for v in values])
        return row

    def find(self, name: str, lot: str | None) -> Row | None:
        """The row of a name, of a lot where one is asked for; the answer is kept, since a house's recipes ask alike."""
        asked = name, lot
        row: Row | None = self.found.get(asked, _UNASKED)
        if row is _UNASKED:
            if len(self.found) >= REMEMBERED:
                self.found.clear()
            row = self.found[asked] = self._find(name, lot)
        return row

    def _find(self, name: str, lot: str | None) -> Row | None:
        ident = self.resolve(name)
        if ident is None:
            return None
        row = self.house.get(ident) or self.shipped(ident)
        if lot is None:
            return row
        over = self.lots.get((ident, plain_name(lot)))
        return row if over is None else overlay(row, over, "lot")

    def add(self, rows: Iterable[Row]) -> "_Group":
        """A copy of the group with a house's rows and lots in it."""
        new = _Group(self.name, self.row, self.store)
        new.built = self.built  # shipped rows do not change, so one store serves all
        new.house, new.house_names, new.lots = dict(self.house), dict(self.house_names), dict(self.lots)
        given = list(rows)
        for row in given:
            if row.lot is None:
                self._add_row(new, row)
        for row in given:
            if row.lot is not None:
                ident = new.resolve(row.id) or row.id
                new.lots[ident, plain_name(row.lot)] = row
                new.house_names.setdefault(plain_name(row.id), ident)
        return new

    @staticmethod
    def _add_row(new: "_Group", row: Row) -> None:
        base = new.house.get(row.id) or new.shipped(row.id)
        merged = new.house[row.id] = overlay(base, row, "house")
        for name in (row.id, merged.name or row.id, *(merged.aliases or ())):
            new.house_names[plain_name(name)] = row.id

    def spellings(self) -> dict[str, str]:
        """Every name known here, with the id it stands for."""
        return {**self.store.under(f"{self.name} name "), **self.house_names}


_GROUPS: Mapping[str, type[Any]] = {
    "fermentables": Fermentable,
    "hops": Hop,
    "cultures": Culture,
    "additions": Addition,
    "waters": Water,
}


class Catalogue:
    """All groups together. Immutable: ``with_house`` gives a new one."""

    __slots__ = ("_asked", "_groups")

    def __init__(self, groups: dict[str, _Group]) -> None:
        self._groups = groups
        self._asked: dict[tuple[str, str, str | None], Row | None] = {}

    @staticmethod
    def shipped() -> "Catalogue":
        """The catalogue that comes with the tool."""
        store = shipped.store("catalogue")
        return Catalogue({name: _Group(name, row, store) for name, row in _GROUPS.items()})

    def with_house(self, rows: Iterable[Row]) -> "Catalogue":
        """A catalogue in which a house's rows lie over these.

        A row is any of the record types with None for what it does not give. With ``lot`` it is used only
        where that lot is asked for; a later row with the same id lies over an earlier one.
        """
        sorted_rows: dict[str, list[Row]] = {}
        for row in rows:
            sorted_rows.setdefault(GROUP_OF[row.key], []).append(row)
        groups = dict(self._groups)
        for name, given in sorted_rows.items():
            groups[name] = groups[name].add(given)
        return Catalogue(groups)

    def fermentable(self, key: str, name: str, lot: str | None = None) -> Fermentable | None:
        """The row for ``name``. If its ``key`` is not the one asked with, the recipe's key is wrong.

        A lot that is not known gives the row without it, with ``lot`` None.
        """
        return self.row(key, name, lot)  # type: ignore[return-value]

    def hop(self, name: str, lot: str | None = None) -> Hop | None:
        return self.row("hop", name, lot)  # type: ignore[return-value]

    def culture(self, name: str, lot: str | None = None) -> Culture | None:
        return self.row("culture", name, lot)  # type: ignore[return-value]

    def addition(self, name: str, lot: str | None = None) -> Addition | None:
        return self.row("add", name, lot)  # type: ignore[return-value]

    def water(self, name: str) -> Water | None:
        return self.row("water", name, None)  # type: ignore[return-value]

    def row(self, key: str, name: str, lot: str | None = None) -> Row | None:
        """The row for a recipe's key and name, whatever its type."""
        asked = key, name, lot
        row: Row | None = self._asked.get(asked, _UNASKED)
        if row is _UNASKED:
            row = self._groups[GROUP_OF[key]].find(name, lot)
            if len(self._asked) >= REMEMBERED:
                self._asked.clear()
            self._asked[asked] = row
        return row

    def lots(self, key: str, name: str) -> tuple[str, ...]:
        """The lots of the house known for ``name``, as written, in order."""
        group = self._groups[GROUP_OF[key]]
        ident = group.resolve(name)
        return tuple(sorted(str(row.lot) for (owner, _), row in group.lots.items() if owner == ident))

    def misplaced(self, key: str, name: str) -> tuple[str, str] | None:
        """(right key, id) if ``name`` is known, but under another key than ``key``; else None."""
        own = GROUP_OF.get(key)
        for group_name in sorted(_GROUPS, key=lambda each: each != own):
            row = self._groups[group_name].find(name, None)
            if row is not None:
                return None if row.key == key else (row.key, row.id)
        return None

    def nearest(self, group: str, name: str) -> list[str]:
        """Up to three ids near ``name`` in a group, or for a recipe's key, whose own rows come first."""
        table = self._groups[GROUP_OF.get(group, group)]
        known = table.spellings()
        if GROUP_OF.get(group) != "fermentables":
            return nearest(name, known)
        own = {spelling: ident for spelling, ident in known.items() if self._key_of(table, ident) == group}
        found = nearest(name, own)
        return (found + [ident for ident in nearest(name, known) if ident not in found])[:3]

    @staticmethod
    def _key_of(table: _Group, ident: str) -> str | None:
        row = table.find(ident, None)
        return None if row is None else row.key

    def ids(self, group: str) -> list[str]:
        """All ids of a group, sorted."""
        table = self._groups[GROUP_OF.get(group, group)]
        return sorted({*table.store.under(f"{table.name} row "), *table.house})
