"""Tables of facts: what rules see of a recipe and of the beer it makes. Nothing here has an opinion.

A table is made when a rule first asks for it, and of its rows only what is asked for (see
``recipelint.rulebook.rows``). An unknown value is ``None``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from recipelint.recipe.model import Recipe
from recipelint.recipe.stat_names import STATS
from recipelint.rulebook import ingredient_rows, schedule_rows, water_rows
from recipelint.rulebook.derived import DERIVED
from recipelint.rulebook.facts import Brew, Catalogue, Style
from recipelint.rulebook.guards import Guard
from recipelint.rulebook.items import item_keys
from recipelint.rulebook.rows import Row
from recipelint.rulebook.singles import single_value, style_values

__all__ = ["Facts", "Row", "Tables"]


class Facts(dict[str, Any]):
    """Stats and single values by name, worked out when first asked for.

    It knows the brew and not the tables: without a cycle all is let go of as soon as the recipe is judged, also
    where the garbage collector is off.
    """

    __slots__ = ("_brew", "_catalogue", "_recipe", "_region", "_style")

    def __init__(
        self,
        recipe: Recipe,
        brew: Brew,
        style: Style | None,
        catalogue: Catalogue | None,
        region: str | None,
    ) -> None:
        self._recipe = recipe
        self._brew = brew
        self._catalogue = catalogue
        self._style = style
        self._region = region

    def __missing__(self, name: str) -> Any:
        value: Any
        if name in STATS:
            value = self._brew.value(name)
        elif name in DERIVED:
            value = DERIVED[name](self._recipe, self._brew, self._catalogue)
        elif name.startswith("style_"):
            value = _of_style(self._style)[name]
        else:
            value = self._region if name == "region" else single_value(name, self._recipe)
        self[name] = value
        return value


_style_values: dict[int, tuple[Style | None, dict[str, Any]]] = {}
_STYLES = 64


def _of_style(style: Style | None) -> dict[str, Any]:
    """The facts of a style. A book aims at few, so they are kept, by identity and with the style that bears it."""
    known = _style_values.get(id(style))
    if known is None:
        if len(_style_values) >= _STYLES:
            _style_values.clear()
        known = _style_values[id(style)] = style, style_values(style)
    return known[1]


class Tables:
    """The facts of one recipe: ``rows(table)``, and ``facts[name]`` for stats and single values."""

    __slots__ = ("_keys", "_made", "_there", "brew", "catalogue", "facts", "recipe", "region", "style")

    def __init__(
        self,
        recipe: Recipe,
        brew: Brew,
        style: Style | None = None,
        catalogue: Catalogue | None = None,
        region: str | None = None,
    ) -> None:
        self.recipe = recipe
        self.brew = brew
        self.style = style
        self.catalogue = catalogue
        self.region = region
        self.facts = Facts(recipe, brew, style, catalogue, region)
        self._keys: dict[str, str] | None = None
        self._made: dict[str, list[Row]] = {}
        self._there: dict[tuple[str, str], frozenset[Any]] = {}

    @property
    def keys(self) -> dict[str, str]:
        """Pointer of each item -> its key."""
        if self._keys is None:
            self._keys = item_keys(self.recipe)
        return self._keys

    def rows(self, table: str) -> list[Row]:
        """The rows of a table, made once; not to be changed."""
        made = self._made.get(table)
        if made is None:
            made = self._made[table] = _MAKERS[table](self)
            for number, row in enumerate(made, 1):
                row["number"] = number
        return made

    def may_hold(self, table: str, guards: Sequence[Guard]) -> bool:
        """Whether a table has, of each of these columns, a value among those that are asked for."""
        for column, values in guards:
            there = self._there.get((table, column))
            if there is None:
                there = frozenset([row.get(column) for row in self.rows(table)])
                self._there[table, column] = there
            if values.isdisjoint(there):
                return False
        return True


def _figure_rows(tables: Tables) -> list[Row]:
    from recipelint.rulebook.brewhouse_rows import figure_rows

    return figure_rows(tables)


_MAKERS: dict[str, Callable[[Tables], list[Row]]] = {
    "grist": ingredient_rows.grist_rows,
    "hops": ingredient_rows.hop_rows,
    "cultures": ingredient_rows.culture_rows,
    "additions": ingredient_rows.addition_rows,
    "waters": water_rows.water_rows,
    "rests": schedule_rows.rest_rows,
    "steps": schedule_rows.step_rows,
    "stages": schedule_rows.stage_rows,
    "vessels": schedule_rows.vessel_rows,
    "figures": _figure_rows,
    "packages": schedule_rows.package_rows,
    "promises": schedule_rows.promise_rows,
    "style": schedule_rows.style_rows_of,
}
