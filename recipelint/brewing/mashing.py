"""The mash of one recipe in one vessel: its liquor and steps, what dissolves, and how far its wort will ferment.

Liquor L measured cold, grain kg, temperatures °C, shares fractions. The equations stand in ``heat``, ``mash`` and
``mash_steps``; here is only what a plan feeds them with.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from recipelint.brewing import heat, mash
from recipelint.brewing.boil import boiling_point
from recipelint.brewing.dissolving import STEEP_YIELD, dissolved, level_of, reached, steep_of
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
from recipelint.brewing.plan import FREE_DEXTRINS, GRAIN_KEYS, Line, Plan

USUAL = 3.0  # L/kg of strike liquor where nothing is written; common practice
STEPPED = 2.5  # L/kg of it where later steps are infused: the mash begins thick; common practice
STIRS = 2.0  # L/kg below which a mash no longer stirs; common practice
EDGE = 1.0  # K to both sides of an edge of CONVERTING
CONVERTING = (60.0, 75.0)  # °C between which starch turns into sugar in good time; common practice
ROUNDS, CLOSE = 80, 1e-11
_NO_SCHEDULE = Schedule((), ())


class Converted(NamedTuple):
    """What the enzymes make of the mash; ``result`` is None where a rest lacks its temperature or its time.

    enzymes: those of the starchy grist beside base malt's. reached: of each line of the bill what dissolves, of what a
    full mash dissolves; None where all of it does in all lines.
    """

    schedule: Schedule
    enzymes: float
    result: mash.Conversion | None
    reached: tuple[float, ...] | None = None


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
    enzymes = 1.0 if amylase(plan) else level_of(mashed(plan))
    if not found.stretches:
        return Converted(found, enzymes, None)
    whole = mash.convert(found.stretches, enzymes)
    each = tuple(
        [
            reached(line, line_conversion(line, found.stretches, enzymes))
            if line.starch and line.stage == "mash"
            else 1.0
            for line in plan.lines
        ]
    )
    return Converted(found, enzymes, whole, each if min(each, default=1.0) < 1.0 else None)


def amylase(plan: Plan) -> str:
    """Where an enzyme that cuts starch goes into the mash, which then converts as if of base malt; "" without one."""
    for item, row in zip(plan.recipe.additions, plan.addition_rows, strict=True):
        if (
            row is not None
            and row.id in FREE_DEXTRINS
            and item.when is not None
            and item.when.stage == "mash"
        ):
            return item.at
    return ""


def line_conversion(line: Line, stretches: tuple[mash.Stretch, ...], enzymes: float) -> mash.Conversion:
    """What the enzymes make of the starch of a line that is mashed: of malt that comes late, by the end of the mash."""
    return dissolved(
        line, stretches if line.minutes is None else last_minutes(stretches, line.minutes), enzymes
    )


def mean_reached(plan: Plan, each: tuple[float, ...], x: Moves) -> float:
    """What dissolves of all that is mashed, of what a full mash dissolves, by extract."""
    rows = [
        (extract_of(line, x), own) for line, own in zip(plan.lines, each, strict=True) if line.stage == "mash"
    ]
    whole = math.fsum([extract for extract, _ in rows])
    return math.fsum([extract * own for extract, own in rows]) / whole if whole > 0.0 else 1.0


def conversion(plan: Plan, converted: Converted, usual: float, x: Moves) -> float:
    """Share of the potential that dissolves: the usual figure, less what too short, cool or weak a mash leaves behind.

    usual is the brewhouse's own figure or the default; it is what a full mash reaches (see FULL_MASH). Caramel and
    roasted malt and sugar dissolve without enzymes.
    """
    return usual if converted.reached is None else usual * mean_reached(plan, converted.reached, x)


def attenuation_limit(plan: Plan, converted: Converted, x: Moves) -> float | None:
    """How far the mash lets yeast ferment the malt wort, as apparent attenuation, without the scheme's own error.

    The mean by what dissolves: starch follows the rests that it sees, caramel and roasted malt have limits of their
    own; malt that comes late into the mash sees only its end, steeped malt its steep. A fermentability that the recipe
    writes stands for all of these. None where nothing is mashed or a rest lacks its temperature or time.
    """
    if converted.result is None:
        return _written_limit(plan, x)
    parts: list[tuple[float, float]] = []
    steeped = level_of([line for line in plan.lines if line.stage == "steep"])
    each = converted.reached or (1.0,) * len(plan.lines)
    for line, item, own in zip(plan.lines, plan.recipe.grist, each, strict=True):
        if line.key not in GRAIN_KEYS:
            continue
        if line.stage == "mash":
            by_rests = converted.result
            if line.starch:
                by_rests = line_conversion(line, converted.schedule.stretches, converted.enzymes)
            parts.append((own * extract_of(line, x), class_limit(line, by_rests.limit)))
        elif line.stage == "steep":
            by_steep = dissolved(line, steep_of(item), steeped).limit
            parts.append((STEEP_YIELD * extract_of(line, x), class_limit(line, by_steep)))
    return mash.blended_limit(parts)


def _written_limit(plan: Plan, x: Moves) -> float | None:
    """The limit without rests: that of malts which all have their fermentability written; else None."""
    lines = [line for line in plan.lines if line.key in GRAIN_KEYS and line.stage == "mash"]
    if not lines or any(line.fermentability is None and line.extract > 0.0 for line in lines):
        return None
    return mash.blended_limit([(extract_of(line, x), class_limit(line, 0.0)) for line in lines])


def follows_rests(line: Line) -> bool:
    """Whether the rests decide how far the extract of a malt ferments; caramel and roast have limits of their own."""
    if line.kind.startswith("roasted") or line.fermentability is not None:
        return False
    return line.starch is not False or not line.kind.startswith("caramel")


def class_limit(line: Line, limit: float) -> float:
    """Apparent limit of a malt: what its rests make of it, that of its class, or what the recipe writes (real)."""
    if line.fermentability is not None:
        return line.fermentability / mash.REAL_PER_APPARENT
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
    """Minutes of a schedule between 60 and 75 °C, ramps included. Common practice, no source.

    Starch does not know the edges to a kelvin: from EDGE below each to EDGE above it the minutes count in part.
    """
    return math.fsum([stretch.minutes * _converting_share(stretch) for stretch in stretches])


def _converting_share(stretch: mash.Stretch) -> float:
    low, high = CONVERTING
    bottom, top = sorted((stretch.start, stretch.end))
    if top - bottom < 1e-9:
        return _ramp(top, low) - _ramp(top, high)
    inside = _ramped(top, low) - _ramped(bottom, low) - _ramped(top, high) + _ramped(bottom, high)
    return inside / (top - bottom)


def _ramp(celsius: float, edge: float) -> float:
    """0 well below an edge, 1 well above it, evenly between."""
    return min(max((celsius - edge + EDGE) / (2.0 * EDGE), 0.0), 1.0)


def _ramped(celsius: float, edge: float) -> float:
    """Integral of ``_ramp`` up to a temperature (K)."""
    over = celsius - edge + EDGE
    if over <= 0.0:
        return 0.0
    return over * over / (4.0 * EDGE) if over < 2.0 * EDGE else over - EDGE
