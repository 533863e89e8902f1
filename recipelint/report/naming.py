"""Names that text and JSON give to the same thing."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from recipelint.workspace.workspace import Brewed


def brewhouse_name(brewed: Brewed) -> str | None:
    """The brewhouse it was brewed in: the name of its file, or the one written in the recipe; None for the default."""
    house = brewed.brew.brewhouse
    if house is None:
        return None
    if house.file and house.file != brewed.recipe.file:
        return str(house.file.rpartition("/")[2].rpartition(".")[0])
    return house.named or house.name
