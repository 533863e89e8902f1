"""Stats of the mash: its heat, its time, and how a stated efficiency compares with what grist and vessel give."""

from __future__ import annotations

from collections.abc import Callable

from recipelint.brewing import mashing
from recipelint.brewing.inputs import DOUGH_IN_HALF, MASH_HEAT
from recipelint.brewing.mash_slopes import limit_slopes
from recipelint.brewing.plan import GRAIN_KEYS
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found, RestFact
from recipelint.brewing.wort import predicted_efficiency


def _strike_temperature(run: Run) -> Found:
    """How hot the strike liquor must be for the first rest (°C); above boiling where it cannot be."""
    steps = run.steps
    if not steps:
        return None, "nothing is mashed" if run.mash.grain <= 0.0 else "no rest is written", ()
    first = steps[0]
    if first.needed is None:
        why = "there is no strike liquor" if run.mash.strike <= 0.0 else "the first rest has no temperature"
        return None, why, ()
    return first.needed - DOUGH_IN_HALF * run.x[MASH_HEAT], "", ((first.at, 1.0),)


def _saccharification_minutes(run: Run) -> Found:
    """Minutes between 60 and 75 °C, ramps included."""
    converted = run.mash.converted
    if converted.result is None:
        return None, _why_no_schedule(run), ()
    return mashing.converting_minutes(converted.schedule.stretches), "", ()


def _why_no_schedule(run: Run) -> str:
    return "nothing is mashed" if not run.mashed() else "a rest has no temperature or no time"


def limit(run: Run) -> Found:
    """The attenuation limit of the malt wort; the parts are the rests by how much each moves it for a kelvin."""
    found = run.beer.limit
    if found is None:
        return None, _why_no_schedule(run), ()
    return found, "", lambda: tuple((fact.step.at, abs(fact.per_kelvin or 0.0)) for fact in rests(run))


def rests(run: Run) -> tuple[RestFact, ...]:
    """Each rest, how the mash comes to it, and how the attenuation limit moves with its minutes and its kelvins.

    The slopes are of the whole malt wort: malt that the rests do not touch takes its share off them. A mash of more
    than mash_slopes.MOST_SLOPED rests has none.
    """
    steps = run.steps
    converted = run.mash.converted
    if converted.result is None or len(converted.schedule.rests) != len(steps):
        return tuple(RestFact(step, None, None) for step in steps)
    slopes = limit_slopes(converted.schedule, converted.enzymes)
    if not slopes:
        return tuple(RestFact(step, None, None) for step in steps)
    share = _touched(run)
    return tuple(
        RestFact(step, 0.01 * share * per_minute, 0.01 * share * per_kelvin)
        for step, (per_minute, per_kelvin) in zip(steps, slopes, strict=True)
    )


def _touched(run: Run) -> float:
    """Share of the malt's extract that follows the whole schedule."""
    whole = touched = 0.0
    for line in run.plan.lines:
        if line.key in GRAIN_KEYS and line.stage in ("mash", "steep"):
            extract = run.extract_of(line)
            whole += extract
            if line.stage == "mash" and line.minutes is None and mashing.follows_rests(line):
                touched += extract
    return touched / whole if whole > 0.0 else 0.0


def _efficiency_gap(run: Run) -> Found:
    """A stated efficiency less what grist, rests, liquor and vessel give, both as-is (fraction)."""
    kit = run.plan.kit
    stated = run.mash.efficiency
    if kit.mash_efficiency is None and kit.brewhouse_efficiency is None:
        return None, "no efficiency is stated", ()
    if stated is None:
        return None, "nothing is mashed", ()
    predicted = predicted_efficiency(run.plan, run.x, run.mash)
    house = run.plan.brewhouse
    at = house.efficiency.at if house is not None and house.efficiency is not None else ""
    return stated - predicted, "", ((at, 1.0),)


FINDERS: dict[str, Callable[[Run], Found]] = {
    "attenuation_limit": limit,
    "strike_temperature": _strike_temperature,
    "saccharification_minutes": _saccharification_minutes,
    "efficiency_gap": _efficiency_gap,
}
