"""Stats of the water plan that are not simply read off a station: the steep, what is kept, and what does not add up.

Volumes L at 20 °C.
"""

from __future__ import annotations

from collections.abc import Callable

from recipelint.brewing import mashing
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found


def steep_liquor(run: Run) -> Found:
    """Liquor (L) of what is steeped beside the mash."""
    steep = run.mash.steep
    if steep.grain <= 0.0 or run.mash.efficiency is None:
        return None, "nothing is steeped beside a mash", ()
    return steep.liquor, "", ()


def grain_keeps(run: Run) -> Found:
    """What the grain of mash and steep and the dead space keep (L): of a steep no more than was poured on."""
    mash, steep = run.mash, run.mash.steep
    if mash.efficiency is None:
        kept, why = (steep.kept, "") if steep.grain > 0.0 else (None, "nothing is mashed")
        return kept, why, ()
    return mash.needed - mash.volume + min(steep.kept, steep.liquor), "", ()


def volume_gap(run: Run) -> Found:
    """Liquor of mash and sparge, as far as it is written, less what the batch needs (L).

    Infusions count with what they take. Where the sparge liquor is left open it takes what is missing, so only too much
    in the mash is a gap; where the strike liquor is, only too much in infusions or sparge.
    """
    recipe, station = run.plan.recipe, run.mash
    sparge = mashing.sparge_written(run.plan)
    open_strike = recipe.mash is None or recipe.mash.liquor is None
    nothing = open_strike and sparge is None and not mashing.infusions(run.plan)[1]
    if station.efficiency is None or nothing:
        return None, "no liquor is written" if station.grain > 0.0 else "nothing is mashed", ()
    gap = station.strike + station.infused + (sparge or 0.0) - station.needed
    section = recipe.sparge if open_strike and sparge is not None else recipe.mash
    parts = ((section.at, 1.0),) if section is not None else ()
    all_told = sparge is not None or mashing.closed(run.plan)
    return (gap if all_told else max(gap, 0.0)), "", parts


def collect_gap(run: Run) -> Found:
    """The volume that the recipe says to collect less what the batch needs before the boil (L at 20 °C)."""
    written = run.plan.recipe.boil
    # A boiled volume leads to the top-up where that is left open, and is checked where it is not.
    asked = None
    if written is not None:
        asked = written.collect if written.collect is not None else written.volume
    if written is None or asked is None:
        return None, "no volume to collect is written", ()
    return asked.value - run.kettle.pre_volume, "", ((written.at, 1.0),)


FINDERS: dict[str, Callable[[Run], Found]] = {
    "steep_liquor": steep_liquor,
    "grain_keeps": grain_keeps,
    "volume_gap": volume_gap,
    "collect_gap": collect_gap,
}
