"""The wort: mash, run-off and boil solved together, because each needs to know what the other leaves.

The kettle is to end at a volume. How much water must come off the grain follows from the extract in the
kettle, and with a predicted efficiency the extract follows from the water.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from recipelint.brewing import boil, lauter, mash, mashing
from recipelint.brewing.dissolving import STEEP_YIELD
from recipelint.brewing.gravity import WATER_DENSITY, density, sg_of, volume_of_masses
from recipelint.brewing.inputs import (
    EFFICIENCY,
    EFFICIENCY_HALF_DEFAULT,
    EFFICIENCY_HALF_PREDICTED,
    EFFICIENCY_HALF_STATED,
    STILL,
    Moves,
    boil_off,
    extract_of,
    is_late,
    kettle_loss,
    mashed,
)
from recipelint.brewing.plan import KETTLE, Plan
from recipelint.brewing.stations import KettleStation, MashStation


def wished_kettle(plan: Plan) -> tuple[float, float]:
    """Volume at flame-out as planned, and the top-up (L) that follows it."""
    if plan.into == "kettle":
        return plan.wish, plan.top_up or 0.0
    wanted = (plan.fermenter_wish or 0.0) + kettle_loss(plan, STILL)
    if plan.top_up is not None:
        return max(wanted - plan.top_up, 0.0), plan.top_up
    if plan.boil_volume is not None:
        late = math.fsum([line.weight * line.extract for line in plan.lines if is_late(plan, line)])
        kettle = (
            plan.boil_volume
            - boil.evaporated(plan.kit.boil_off, plan.boil_minutes)
            + lauter.EXTRACT_VOLUME * late
        )
        kettle = min(max(kettle, 0.0), wanted)
        return kettle, wanted - kettle
    return wanted, 0.0


class _Bill(NamedTuple):
    """What goes into the kettle beside the mash (kg), before the boil and in it, and the water boiled off (kg)."""

    volume: float
    early_extract: float
    early_water: float
    late_extract: float
    late_water: float
    planned: float
    boiled: float

    def water_off_the_mash(self, mash_extract: float) -> float:
        """Water (kg) that must come off the mash for the kettle to end at its volume."""
        extract = mash_extract + self.early_extract + self.late_extract
        whole = self.volume * density(sg_of(extract, self.volume)) if self.volume > 0.0 else extract
        return max(whole - extract + self.planned - self.early_water - self.late_water, 0.0)


def _bill(plan: Plan, x: Moves) -> _Bill:
    early_extract = early_water = late_extract = late_water = 0.0
    for line in plan.lines:
        if line.stage == "steep":
            early_extract += extract_of(line, x) * STEEP_YIELD
        elif line.stage in KETTLE:
            extract = extract_of(line, x)
            if is_late(plan, line):
                late_extract += extract
                late_water += line.weight * line.water
            else:
                early_extract += extract
                early_water += line.weight * line.water
    volume, _ = wished_kettle(plan)
    return _Bill(volume, early_extract, early_water, late_extract, late_water, *boil_off(plan, x))


def brew_wort(plan: Plan, x: Moves) -> tuple[MashStation, KettleStation]:
    """What the mash gives and what the kettle makes of it."""
    bill = _bill(plan, x)
    lost = kettle_loss(plan, x)
    station = _run_mash(plan, x, bill, lost)
    pre_extract = station.extract + bill.early_extract
    pre_water = station.water + bill.early_water
    extract = pre_extract + bill.late_extract
    water = max(pre_water + bill.late_water - bill.boiled, 0.0)
    return station, KettleStation(
        pre_extract=pre_extract,
        pre_water=pre_water,
        pre_volume=volume_of_masses(pre_extract, pre_water),
        evaporated=bill.boiled,
        extract=extract,
        water=water,
        volume=volume_of_masses(extract, water),
        lost=lost,
        late_extract=bill.late_extract,
    )


def predicted_efficiency(plan: Plan, x: Moves, station: MashStation) -> float:
    """Mash efficiency (as-is) that grist, rests, liquor and vessel would give, beside one that is stated."""
    first = station.efficiency if station.efficiency is not None else 0.75
    conversion, lautered = _predicted(
        plan, x, station.grain, station.potential, _bill(plan, x).water_off_the_mash, station.converted, first
    )
    return conversion * lautered


def _run_mash(plan: Plan, x: Moves, bill: _Bill, lost: float) -> MashStation:
    liquor_water = bill.water_off_the_mash
    lines = mashed(plan)
    grain = math.fsum([line.weight for line in lines])
    given = [extract_of(line, x) for line in lines]
    potential = math.fsum(given)
    if grain <= 0.0 or potential <= 0.0:
        return _no_mash(plan, grain, liquor_water(0.0))
    dry = math.fsum(
        [
            extract / (1.0 - line.moisture) if line.key in ("malt", "grain") else extract
            for line, extract in zip(lines, given, strict=True)
        ]
    )
    converted = mashing.convert(plan, grain)
    conversion: float | None = None
    lautered: float | None = None
    efficiency = _stated_efficiency(plan, x, bill.volume - lost, bill.volume, potential, dry)
    if efficiency is None:
        conversion, lautered = _predicted(plan, x, grain, potential, liquor_water, converted)
        efficiency = conversion * lautered
    extract = potential * efficiency
    water = liquor_water(extract)
    strike, infused, sparge, needed = _liquors(plan, extract, water, grain)
    return MashStation(
        grain=grain,
        potential=potential,
        potential_dry=dry,
        conversion=conversion,
        lauter=lautered,
        efficiency=efficiency,
        dissolved=max((conversion or 0.0) * potential, extract),
        extract=extract,
        water=water,
        volume=volume_of_masses(extract, water),
        strike=strike,
        infused=infused,
        sparge=sparge,
        needed=needed,
        retained=needed * WATER_DENSITY - water,
        mash_volume=mash.mash_volume(strike + infused, grain),
        predicted=conversion is not None,
        converted=converted,
    )


def _no_mash(plan: Plan, grain: float, water: float) -> MashStation:
    """Nothing to mash: the liquor is what the kettle starts with."""
    liquor = water / WATER_DENSITY
    return MashStation(
        grain=grain,
        potential=0.0,
        potential_dry=0.0,
        conversion=None,
        lauter=None,
        efficiency=None,
        dissolved=0.0,
        extract=0.0,
        water=water,
        volume=liquor,
        strike=liquor,
        infused=0.0,
        sparge=0.0,
        needed=liquor,
        retained=0.0,
        mash_volume=0.0,
        predicted=False,
        converted=mashing.convert(plan, 0.0),
    )


def _predicted(
    plan: Plan,
    x: Moves,
    grain: float,
    potential: float,
    liquor_water: Callable[[float], float],
    converted: mashing.Converted,
    first: float = 0.75,
) -> tuple[float, float]:
    """Conversion and lauter efficiency (fractions) from grist, rests, liquor and vessel.

    The water that is needed depends a little on the extract that is won, so the two are repeated from a first guess
    until they agree.
    """
    kit = plan.kit
    conversion = lautered = 0.0
    efficiency = first
    for _ in range(25):
        extract = potential * efficiency
        strike, infused, sparge, needed = _liquors(plan, extract, liquor_water(extract), grain)
        liquor = min(strike + infused, needed)  # what is more than is needed never reaches the kettle
        usual = kit.conversion if kit.conversion is not None else lauter.default_conversion(grain, liquor)
        conversion = mashing.conversion(plan, converted, usual, x)
        dissolved = conversion * potential
        retained = lauter.retained_wort(grain, dissolved, kit.absorption, kit.dead_space)
        lautered = _lauter(plan, dissolved, liquor, retained, sparge).efficiency
        before, efficiency = efficiency, conversion * lautered
        if abs(efficiency - before) < 1e-8:
            break
    half = EFFICIENCY_HALF_PREDICTED if plan.brewhouse is not None else EFFICIENCY_HALF_DEFAULT
    return conversion, min(lautered * (1.0 + half * x[EFFICIENCY]), 1.0)


def _stated_efficiency(
    plan: Plan, x: Moves, into: float, volume: float, potential: float, dry: float
) -> float | None:
    """Mash efficiency as-is from what the brewhouse states, or None to predict it.

    into: what of the kettle's volume (L) gets into the fermenter.
    """
    kit = plan.kit
    stated = kit.mash_efficiency
    if stated is None and kit.brewhouse_efficiency is not None and volume > 0.0:
        stated = kit.brewhouse_efficiency * volume / into if into > 0.0 else kit.brewhouse_efficiency
    if stated is None:
        return None
    whole = kit.mash_efficiency if kit.mash_efficiency is not None else kit.brewhouse_efficiency
    if kit.efficiency_half is not None and whole:
        relative = kit.efficiency_half / whole
    else:
        relative = EFFICIENCY_HALF_STATED
    stated *= 1.0 + relative * x[EFFICIENCY]
    return stated if kit.efficiency_of == "as-is" else stated * dry / potential


def _liquors(plan: Plan, extract: float, water: float, grain: float) -> tuple[float, float, float, float]:
    """Liquor (L) of the strike, of infusions, of the sparge that makes it up, and what is needed in all."""
    kit = plan.kit
    needed = lauter.liquor_for(volume_of_masses(extract, water), grain, kit.absorption, kit.dead_space)
    strike, infused = mashing.mash_liquor(plan, grain, needed)
    return strike, infused, max(needed - strike - infused, 0.0), needed


def _lauter(plan: Plan, dissolved: float, liquor: float, retained: float, sparge: float) -> lauter.Lauter:
    method = mashing.sparge_method(plan)
    if method == "none" or sparge <= 1e-9:
        return lauter.no_sparge(dissolved, liquor + sparge, retained)
    if method == "fly":
        return lauter.fly_sparge(dissolved, liquor, retained, sparge)
    rinses = plan.recipe.sparge.rinses if plan.recipe.sparge else None
    return lauter.batch_sparge(dissolved, liquor, retained, sparge, max(rinses or 1, 1))
