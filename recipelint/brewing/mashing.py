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
    MashStep,
    Schedule,
    direct_schedule,
    infused,
    mash_steps,
    schedule,
    way_of,
)
from recipelint.brewing.plan import BASE_LINTNER, GRAIN_KEYS, STEEP_YIELD, Line, Plan

USUAL = 3.0  # L/kg of strike liquor where nothing is written; common practice
STEPPED = 2.5  # L/kg of it where later steps are infused: the mash begins thick; common practice
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
    return "batch" if plan.recipe.mash is not None and plan.recipe.mash.liquor is not None else "none"


def steps(plan: Plan, grain: float, strike: float, x: Moves = STILL) -> tuple[MashStep, ...]:
    """Each rest and how the mash comes to it; () where no rest is written or nothing is mashed."""
    written = plan.recipe.mash
    if written is None or not written.rests:
        return ()
    kit = plan.kit
    room = mash.mash_volume(strike, grain)
    vessel = heat.vessel_of(kit.kind, kit.mash_capacity, room, kit.grain_at, kit.heating_rate)
    # Colder grain asks for hotter liquor, and so do heavier walls that stand cold, or lighter ones that come heated:
    # they move together.
    half = GRAIN_AT_HALF if kit.grain_at_given else GRAIN_AT_HALF_ASSUMED
    heavier = VESSEL_HALF * (x[MASH_HEAT] if vessel.at is None else -x[MASH_HEAT])
    vessel = vessel._replace(heat=vessel.heat * (1.0 + heavier))
    grain_at = kit.grain_at + half * x[MASH_HEAT]
    boils = boiling_point(kit.altitude)
    return mash_steps(written.rests, grain, strike, vessel, grain_at, boils, written.heating)


def mash_liquor(plan: Plan, grain: float, needed: float) -> tuple[float, float]:
    """Strike liquor (L), and what infusions add to it: as written, else computed, else usual.

    needed: the liquor of mash and sparge together. Without a sparge all of it is in the mash. A strike liquor that
    is more than is needed stays as it is written, since it must fit the tun.
    """
    written = plan.recipe.mash
    known, still_open = _infusions(plan)
    if written is not None and written.liquor is not None:
        strike = written.liquor.value
        return strike, infused(steps(plan, grain, strike)) if still_open else known
    closed = sparge_method(plan) == "none"
    if not still_open:
        whole = needed if closed else min(needed, USUAL * grain + known)
        return max(whole - known, 0.0), known
    # What the infusions add follows the liquor that is there: tried until both together make up all.
    strike = 0.7 * needed
    for _ in range(ROUNDS):
        before, strike = strike, max(needed - infused(steps(plan, grain, strike)), 0.0)
        if abs(strike - before) < CLOSE * needed:
            break
    if closed or strike < STEPPED * grain:
        return strike, needed - strike
    strike = STEPPED * grain
    return strike, infused(steps(plan, grain, strike))


def _infusions(plan: Plan) -> tuple[float, bool]:
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
