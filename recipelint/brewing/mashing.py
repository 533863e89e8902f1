"""The mash of one recipe in one vessel: its liquor and steps, what dissolves, and how far its wort will ferment.

Liquor L measured cold, grain kg, temperatures °C, shares fractions. The equations stand in ``heat``, ``mash`` and
``mash_steps``; here is only what a plan feeds them with.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from recipelint.brewing import heat, mash
from recipelint.brewing.boil import boiling_point
from recipelint.brewing.heat import HEATING_RATE
from recipelint.brewing.inputs import (
    GRAIN_AT_HALF,
    GRAIN_AT_HALF_ASSUMED,
    MASH_HEAT,
    STILL,
    VESSEL_HALF,
    Moves,
    extract_of,
    mashed,
)
from recipelint.brewing.mash_steps import (
    INFUSION_COOLS,
    MashStep,
    Schedule,
    direct_schedule,
    hot_enough,
    infused,
    mash_steps,
    schedule,
    way_of,
)
from recipelint.brewing.plan import BASE_LINTNER, GRAIN_KEYS, STEEP_YIELD, Line, Plan

USUAL = 3.0  # L/kg of strike liquor where nothing is written; common practice
STEPPED = 2.5  # L/kg of it where later steps are infused: the mash begins thick; common practice
STIRS = 2.0  # L/kg below which a mash no longer stirs; common practice
# Share of the extract that the enzyme scheme dissolves in an hour at 65 °C: the mash that conversion figures tell of.
FULL_MASH = 0.95
CONVERTING = (60.0, 75.0)  # °C between which starch turns into sugar in good time; common practice
ROUNDS, CLOSE = 80, 1e-11
_NO_SCHEDULE = Schedule((), ())


class Converted(NamedTuple):
    """What the enzymes make of the mash; ``result`` is None where a rest lacks its temperature or its time.

    enzymes: share of the starchy grist that brings enzymes.
    """

    schedule: Schedule
    enzymes: float
    result: mash.Conversion | None


def sparge_method(plan: Plan) -> str:
    """As written.

    Else none for a bag or a recirculated mash, fly for a tun, one rinse if a sparge has no method.
    """
    sparge = plan.recipe.sparge
    if sparge is not None:
        return sparge.method or "batch"
    if plan.kit.kind == "tun":
        return "fly"
    # Liquor that is written beside such a mash is less than all of it: the rest rinses the grain.
    return "batch" if plan.recipe.mash is not None and plan.recipe.mash.liquor is not None else "none"


def closed(plan: Plan) -> bool:
    """Whether nothing is poured beside the mash: no sparge by its method, or none written for a bag or a pump."""
    sparge = plan.recipe.sparge
    return sparge.method == "none" if sparge is not None else plan.kit.kind != "tun"


def steps(plan: Plan, grain: float, strike: float, x: Moves = STILL) -> tuple[MashStep, ...]:
    """Each rest and how the mash comes to it; () where no rest is written or nothing is mashed."""
    written = plan.recipe.mash
    if written is None or not written.rests:
        return ()
    vessel, grain_at = _vessel(plan, grain, strike, x)
    boils = boiling_point(plan.kit.altitude)
    return mash_steps(written.rests, grain, strike, vessel, grain_at, boils, written.heating)


def _vessel(plan: Plan, grain: float, strike: float, x: Moves) -> tuple[heat.Vessel, float]:
    """The mash vessel as it is when the strike liquor is in, and how warm (°C) the grain is."""
    kit = plan.kit
    room = mash.mash_volume(strike, grain)
    vessel = heat.vessel_of(kit.kind, kit.mash_capacity, room, kit.grain_at, kit.heating_rate)
    # Colder grain asks for hotter liquor, and so do heavier walls that stand cold, or lighter ones that come heated:
    # they move together.
    half = GRAIN_AT_HALF if kit.grain_at_given else GRAIN_AT_HALF_ASSUMED
    times = 1.0 + VESSEL_HALF * (x[MASH_HEAT] if vessel.at is None else -x[MASH_HEAT])
    vessel = vessel._replace(heat=vessel.heat * times, rises=vessel.rises * times)
    return vessel, kit.grain_at + half * x[MASH_HEAT]


def hottest_strike(plan: Plan) -> float:
    """The heat (°C) to which a strike liquor is chosen: boiling, less what it loses on its way."""
    return boiling_point(plan.kit.altitude) - INFUSION_COOLS


def hot_enough_for(plan: Plan, grain: float, usual: float) -> float:
    """The usual strike liquor (L), or more where that would have to boil, as for a small mash in a large vessel."""
    written = plan.recipe.mash
    first = written.rests[0] if written is not None and written.rests else None
    if first is None or first.of is not None or usual <= 0.0:
        return usual
    target = first.from_ if first.from_ is not None else first.temperature
    if target is None:
        return usual
    vessel, grain_at = _vessel(plan, grain, usual, STILL)
    least = hot_enough(target.value, hottest_strike(plan), grain, usual, vessel, grain_at)
    return usual if least is None else max(usual, least)


def mash_liquor(plan: Plan, grain: float, needed: float) -> tuple[float, float]:
    """Strike liquor (L), and what infusions add to it: as written, else computed, else usual.

    needed: the liquor of mash and sparge together. Without a sparge all of it is in the mash; a sparge liquor that is
    written is kept back for it. Where that leaves less than STIRS L/kg, and where infusions do, the mash begins at
    STIRS, and more is poured than is needed. A strike liquor that is more than is needed stays as it is written, since
    it must fit the tun. A strike liquor that is chosen here is one that need not boil, if there is so much.
    """
    written = plan.recipe.mash
    known, still_open = infusions(plan)
    if written is not None and written.liquor is not None:
        strike = written.liquor.value
        return strike, infused(steps(plan, grain, strike)) if still_open else known
    kept_back = sparge_written(plan)
    fixed = kept_back is not None or sparge_method(plan) == "none"
    whole = needed - (kept_back or 0.0)
    stirs = min(STIRS * grain, needed)
    if not still_open:
        if not fixed:
            return max(min(needed - known, hot_enough_for(plan, grain, USUAL * grain)), 0.0), known
        return max(whole - known, stirs if kept_back is not None else 0.0), known
    strike = _strike_besideinfusions(plan, grain, whole)
    if not fixed:
        strike = min(strike, hot_enough_for(plan, grain, STEPPED * grain))
    strike = max(strike, stirs)
    return strike, infused(steps(plan, grain, strike))


def _strike_besideinfusions(plan: Plan, grain: float, whole: float) -> float:
    """Strike liquor (L) with which it and what the infusions then add come to ``whole``; 0 where they add more anyway.

    What they add grows with the liquor that is there, in nearly all mashes evenly: the straight line through two mashes
    leads to it, and half-way steps where it does not.
    """
    low, high = 0.0, whole
    least = infused(steps(plan, grain, low))
    if whole <= least:
        return 0.0
    strike = whole - least
    for _ in range(ROUNDS):
        over = strike + infused(steps(plan, grain, strike)) - whole
        if abs(over) < CLOSE * whole:
            break
        if over > 0.0:
            high = strike
        else:
            low = strike
        rise = (over + whole - least) / strike if strike > 0.0 else 1.0
        strike -= over / rise if rise > 0.0 else over
        if not low < strike < high:
            strike = 0.5 * (low + high)
    return strike


def sparge_written(plan: Plan) -> float | None:
    """Sparge liquor (L) that is written; None where none is, and where the method is that nothing is sparged."""
    sparge = plan.recipe.sparge
    if sparge is None or sparge.liquor is None or sparge.method == "none":
        return None
    return sparge.liquor.value


def infusions(plan: Plan) -> tuple[float, bool]:
    """Liquor (L) of the infusions that say how much, and whether one leaves it open."""
    written = plan.recipe.mash
    known, still_open = 0.0, False
    if written is not None:
        for rest in written.rests[1:]:
            if rest.liquor is not None:
                known += rest.liquor.value
            elif way_of(rest, written.heating) == "infusion":
                still_open = True
    return known, still_open


def convert(plan: Plan, grain: float) -> Converted:
    """The enzymes' work over the rests as written, with the ramps of this vessel.

    A decoction's share is reckoned at the written liquor, else at USUAL L/kg.
    """
    written = plan.recipe.mash
    found = _NO_SCHEDULE
    if grain > 0.0 and written is not None:
        heated = direct_schedule(written.rests, plan.kit.heating_rate or HEATING_RATE, written.heating)
        plain = written.liquor.value if written.liquor is not None else USUAL * grain
        found = heated if heated is not None else schedule(steps(plan, grain, plain))
    # Of a malt whose power is not known it is taken that it converts like another.
    starchy = [
        (line.weight, line.lintner is None or line.lintner >= BASE_LINTNER)
        for line in mashed(plan)
        if line.starch
    ]
    enzymes = round(mash.enzyme_share(starchy), 3) if starchy else 1.0
    result = mash.convert(found.stretches, enzymes) if found.stretches else None
    return Converted(found, enzymes, result)


def conversion(plan: Plan, converted: Converted, usual: float, x: Moves) -> float:
    """Share of the potential that dissolves: the usual figure, less what too short, cool or weak a mash leaves behind.

    usual is the brewhouse's own figure or the default; it is what a full mash reaches (see FULL_MASH). Caramel and
    roasted malt and sugar dissolve without enzymes.
    """
    if converted.result is None:
        return usual
    reached = min(mash.extract_share(converted.result) / FULL_MASH, 1.0)
    if reached >= 1.0:
        return usual
    whole = starchy = 0.0
    for line in mashed(plan):
        extract = extract_of(line, x)
        whole += extract
        starchy += extract if line.starch else 0.0
    return usual * (1.0 - (1.0 - reached) * (starchy / whole if whole > 0.0 else 0.0))


def attenuation_limit(plan: Plan, converted: Converted, x: Moves) -> float | None:
    """How far the mash lets yeast ferment the malt wort, as apparent attenuation, without the scheme's own error.

    The mean by extract: starch follows the rests that it sees, caramel and roasted malt have limits of their own;
    malt that comes late into the mash sees only its end, steeped malt its steep. None where nothing is mashed or a
    rest lacks its temperature or time.
    """
    if converted.result is None:
        return None
    parts: list[tuple[float, float]] = []
    for line, item in zip(plan.lines, plan.recipe.grist, strict=True):
        if line.key not in GRAIN_KEYS:
            continue
        if line.stage == "mash":
            parts.append((extract_of(line, x), _line_limit(line, converted, line.minutes)))
        elif line.stage == "steep":
            own = converted.result.limit
            steep = item.steep
            if steep is not None and steep.temperature is not None and steep.for_ is not None:
                held = mash.Stretch(steep.for_.value, steep.temperature.value, steep.temperature.value)
                own = mash.convert((held,)).limit
            parts.append((STEEP_YIELD * extract_of(line, x), _class_limit(line, own)))
    return mash.blended_limit(parts)


def _line_limit(line: Line, converted: Converted, minutes: float | None) -> float:
    result = converted.result
    if minutes is not None and line.starch:
        result = mash.convert(last_minutes(converted.schedule.stretches, minutes), converted.enzymes)
    return _class_limit(line, result.limit if result is not None else 0.0)


def follows_rests(line: Line) -> bool:
    """Whether the rests decide how far the extract of a malt ferments; caramel and roast have limits of their own."""
    if line.kind.startswith("roasted"):
        return False
    return line.starch is not False or not line.kind.startswith("caramel")


def _class_limit(line: Line, limit: float) -> float:
    if follows_rests(line):
        return limit
    return mash.ROAST_LIMIT if line.kind.startswith("roasted") else min(mash.CARAMEL_LIMIT, limit)


def last_minutes(stretches: tuple[mash.Stretch, ...], minutes: float) -> tuple[mash.Stretch, ...]:
    """The last so many minutes of a schedule."""
    found: list[mash.Stretch] = []
    left = minutes
    for stretch in reversed(stretches):
        if left <= 0.0:
            break
        if stretch.minutes > left:
            share = left / stretch.minutes
            stretch = mash.Stretch(left, stretch.end + share * (stretch.start - stretch.end), stretch.end)
        found.append(stretch)
        left -= stretch.minutes
    return tuple(reversed(found))


def converting_minutes(stretches: tuple[mash.Stretch, ...]) -> float:
    """Minutes of a schedule between 60 and 75 °C, ramps included. Common practice, no source."""
    low, high = CONVERTING
    total: list[float] = []
    for stretch in stretches:
        bottom, top = sorted((stretch.start, stretch.end))
        if bottom == top:
            total.append(stretch.minutes if low <= top <= high else 0.0)
        else:
            within = max(min(top, high) - max(bottom, low), 0.0)
            total.append(stretch.minutes * within / (top - bottom))
    return math.fsum(total)
