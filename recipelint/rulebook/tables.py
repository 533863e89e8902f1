"""Tables of facts: what rules see of a recipe and of the beer it makes. Nothing here has an opinion.

A table is made when a rule first asks for it. Its rows are plain dicts: the columns of
``recipelint.rulebook.columns`` and two keys that are no columns, ``at`` (pointer of the row) and ``_record``
(what the brewer wrote). An unknown value is ``None``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

from recipelint.recipe.model import Recipe
from recipelint.recipe.stat_names import STATS
from recipelint.rulebook import ingredient_rows, schedule_rows
from recipelint.rulebook.facts import Brew, Catalogue, Style
from recipelint.rulebook.items import item_keys
from recipelint.rulebook.singles import single_values

Row: TypeAlias = dict[str, Any]


class Facts(dict[str, Any]):
    """Stats and single values by name, worked out when first asked for.

    It knows the brew and not the tables: without a cycle all is let go of as soon as the recipe is judged, also
    where the garbage collector is off.
    """

    __slots__ = ("_brew", "_recipe", "_region", "_style")

    def __init__(self, recipe: Recipe, brew: Brew, style: Style | None, region: str | None) -> None:
        self._recipe = recipe
        self._brew = brew
        self._style = style
        self._region = region

    def __missing__(self, name: str) -> Any:
        if name in STATS:
            value = self[name] = self._brew.stat(name).value
            return value
        found = single_values(self._recipe, self._style, self._region)
        self.update(found)
        return found[name]


class Tables:
    """The facts of one recipe: ``rows(table)``, and ``facts[name]`` for stats and single values."""

    __slots__ = ("_keys", "_made", "brew", "catalogue", "facts", "recipe", "region", "style")

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
        self.facts = Facts(recipe, brew, style, region)
        self._keys: dict[str, str] | None = None
        self._made: dict[str, list[Row]] = {}

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

    def row(self, at: str, record: Any, **columns: Any) -> Row:
        """A row of the columns given, with its place and what the brewer wrote."""
        columns["at"] = at
        columns["_record"] = record
        return columns


_MAKERS: dict[str, Callable[[Tables], list[Row]]] = {
    "grist": ingredient_rows.grist_rows,
    "hops": ingredient_rows.hop_rows,
    "cultures": ingredient_rows.culture_rows,
    "additions": ingredient_rows.addition_rows,
    "waters": ingredient_rows.water_rows,
    "rests": schedule_rows.rest_rows,
    "steps": schedule_rows.step_rows,
    "stages": schedule_rows.stage_rows,
    "vessels": schedule_rows.vessel_rows,
    "packages": schedule_rows.package_rows,
    "promises": schedule_rows.promise_rows,
    "style": schedule_rows.style_rows_of,
}
