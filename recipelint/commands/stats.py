"""``recipelint stats``: what the beer will be."""

from __future__ import annotations

import os
from collections.abc import Sequence

from recipelint.commands.one import brew_each
from recipelint.commands.output import emit, is_terminal


def run(
    recipes: Sequence[str], form: str = "text", brewhouse: str | None = None, colour: str = "auto"
) -> int:
    """Prints the stats of each recipe; the exit status."""
    beers, status = brew_each(recipes, brewhouse, colour)
    if form == "json":
        from recipelint.report.json import stats_json

        emit(stats_json([(one.path, one.brewed) for one in beers]))
        return status
    from recipelint.report.screen import Look, wants_colour
    from recipelint.report.stats_text import stats_text

    look = Look(wants_colour(colour, os.environ, is_terminal()))
    pages = []
    for one in beers:
        house = one.workspace.house
        pages.append(stats_text(one.brewed, (house.units if house is not None else None) or "metric", look))
    if pages:
        emit("\n".join(pages))
    return status
