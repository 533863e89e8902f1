"""``recipelint stats``: what the beer will be."""

from __future__ import annotations

import os
from collections.abc import Sequence

from recipelint.commands.one import One, brew_each
from recipelint.commands.outcome import Trouble
from recipelint.commands.output import emit, is_terminal
from recipelint.recipe.stat_names import STATS

STRONGEST = 0.7  # kg/L; a wort that holds more extract is a syrup


def run(
    recipes: Sequence[str],
    form: str = "text",
    brewhouse: str | None = None,
    colour: str = "auto",
    explained: Sequence[str] = (),
    came: str | None = None,
) -> int:
    """Prints the stats of each recipe, or the workings of the stats to be explained; the exit status.

    came: the volume that came into the fermenter, as written, where it is not the planned one.
    """
    names = _known(explained)
    litres = _litres(came)
    beers, status = brew_each(recipes, brewhouse, colour)
    if litres is not None:
        beers = [_with_volume(one, litres) for one in beers]
    if form == "json":
        from recipelint.report.json import stats_json

        emit(stats_json([(one.path, one.brewed) for one in beers], names))
        return status
    if names:
        pages = [page for one in beers for page in _workings(one, names)]
        if pages:
            emit("\n".join(pages))
        return status
    from recipelint.report.screen import Look, wants_colour
    from recipelint.report.stats_text import stats_text

    look = Look(wants_colour(colour, os.environ, is_terminal()))
    pages = [stats_text(one.brewed, one.units, look) for one in beers]
    if pages:
        emit("\n".join(pages))
    return status


def _litres(came: str | None) -> float | None:
    if came is None:
        return None
    from recipelint.recipe.quantity import QuantityError, parse

    try:
        litres = parse(came, "volume").value
    except QuantityError as error:
        raise Trouble(f"--into-fermenter: {error.message}") from None
    if litres <= 0.0:
        raise Trouble("--into-fermenter: say how many litres came into the fermenter")
    return litres


def _with_volume(one: One, litres: float) -> One:
    extract = one.brewed.brew.run.fermenter.extract
    if extract > STRONGEST * litres:
        raise Trouble(
            f"--into-fermenter: {litres:g} L cannot hold the {extract:.1f} kg of extract of {one.brewed.recipe.name}"
        )
    brewed = one.brewed._replace(brew=one.brewed.brew.with_fermenter_volume(litres))
    return one._replace(brewed=brewed)


def _known(explained: Sequence[str]) -> tuple[str, ...]:
    """The stats to be explained, each once; Trouble for a name that is none."""
    for name in explained:
        if name not in STATS:
            from recipelint.recipe.nearest import nearest
            from recipelint.source.text import show

            near = nearest(name, list(STATS))
            hint = f"; near: {', '.join(near)}" if near else ""
            raise Trouble(f"--explain {show(name)}: this is no stat{hint}; the JSON of stats names them all")
    return tuple(dict.fromkeys(explained))


def _workings(one: One, names: Sequence[str]) -> list[str]:
    from recipelint.report.working_text import working_text

    return [working_text(one.brewed, name, one.units) for name in names]
