"""Conditioning and kegs of one recipe: air over the beer, closed vessels, fresh yeast for the bottle.

Volumes L, gas in volumes, pressures bar above the air, temperatures °C.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from recipelint.brewing import conditioning, gas, held, package
from recipelint.brewing.kinetics import REFERENCE_CELSIUS
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found

SOUR = frozenset(("bacteria", "mixed"))


def _headspace_oxygen(run: Run) -> Found:
    """Oxygen (mg/L of beer) in the headspace of the stage of conditioning that holds most of it."""
    stages = run.plan.recipe.conditioning
    if not stages:
        return None, "no conditioning is written", ()
    worst: tuple[float, str] | None = None
    rackings = conditioning.rackings(stages)
    for index, stage in enumerate(stages):
        racked = index in rackings
        beer = run.beer.package if racked else run.beer.volume
        if stage.capacity is None or beer <= 0.0:
            continue
        air = conditioning.air_share(racked, bool(stage.purged))
        room = max(stage.capacity.value - beer, 0.0)
        found = conditioning.headspace_oxygen(room, beer, air=air, outside=held.outside(run))
        if worst is None or found > worst[0]:
            worst = found, stage.at
    if worst is None:
        return None, "the size of the vessel it is kept in is not written", ()
    return worst[0], "", ((worst[1], 1.0),)


def _keg_pressure(run: Run) -> Found:
    kegs = [each for each in run.plan.recipe.packaging if each.into == "keg"]
    rows = [(found, keg.at) for keg in kegs if (found := package.holds(run, keg)) is not None]
    if rows:
        most, at = max(rows, key=lambda row: row[0])
        return max(most, 0.0), "", ((at, 1.0),)
    return None, "the keg has no carbonation or no temperature" if kegs else "no keg is written", ()


def _closing_gravity(run: Run) -> Found:
    """Gravity at which the vessel with the valve is closed so that the rest of the extract makes the wished gas."""
    recipe = run.plan.recipe
    closed = [stage for stage in recipe.conditioning if stage.relief is not None]
    wishes = [each.carbonation.value for each in recipe.packaging if each.carbonation is not None]
    if not closed:
        return None, "no relief valve is written", ()
    if not wishes or run.beer.gravity is None:
        return None, "no carbonation is wished for" if not wishes else run.beer.why, ()
    stage = closed[0]
    open_, why = held.left_open(run)  # the valve has kept nothing yet
    if open_ is None:
        return None, why, ()
    celsius = stage.temperature.value if stage.temperature is not None else REFERENCE_CELSIUS
    room = 0.0
    if stage.capacity is not None and run.beer.volume > 0.0:
        room = max(stage.capacity.value / run.beer.volume - 1.0, 0.0)
    air = held.outside(run)
    wanted = gas.gas_for(max(wishes), open_, celsius, room, air)
    found = gas.gravity_for_gas(run.beer.original, run.beer.gravity, wanted)
    return found, "" if found is not None else "the whole fermentation makes less gas", ((stage.at, 1.0),)


def _bottle_yeast(run: Run) -> Found:
    """Dry yeast (g) for all bottles, where strength, acid or age leave too little in the beer."""
    recipe = run.plan.recipe
    bottles = [index for index, each in enumerate(recipe.packaging) if each.into == "bottle"]
    if not bottles:
        return None, "no bottles are written", ()
    if run.beer.abv is None:
        return None, run.beer.why, ()
    hours = math.fsum(stage.for_.value for stage in recipe.conditioning if stage.for_ is not None)
    sour = any(pitch.row is not None and pitch.row.kind in SOUR for pitch in run.plan.cultures)
    if not conditioning.wants_fresh_yeast(run.beer.abv, hours / 24.0, sour):
        return None, "enough of its own yeast is left for the bottle", ()
    litres = math.fsum(package.volume_of(run, index) for index in bottles)
    return (
        conditioning.bottle_yeast(litres),
        "",
        tuple((recipe.packaging[index].at, 1.0) for index in bottles),
    )


def _carbon_dioxide(run: Run) -> Found:
    """CO2 (kg) that fermentation gives off: in a small room it is a hazard."""
    if run.beer.fermented is None:
        return None, run.beer.why, ()
    return gas.carbon_dioxide_made(run.beer.fermented * run.fermenter.all_extract), "", ()


FINDERS: dict[str, Callable[[Run], Found]] = {
    "headspace_oxygen": _headspace_oxygen,
    "keg_pressure": _keg_pressure,
    "closing_gravity": _closing_gravity,
    "bottle_yeast": _bottle_yeast,
    "carbon_dioxide_made": _carbon_dioxide,
}
