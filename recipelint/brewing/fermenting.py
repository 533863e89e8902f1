"""The fermentation of one recipe: its steps, its staged sugar and fruit, and how far it has come when it is packaged.

Hours after pitching, temperatures °C, masses kg, gas in volumes. The equations stand in ``path``; here is only what a
plan feeds them with. It is run only where something asks: a way takes longer than all the rest of a brew.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

from recipelint.brewing import finish, path
from recipelint.brewing.carbonation import volumes_made
from recipelint.brewing.feeding import HEAT_PER_EXTRACT
from recipelint.brewing.gas import gas_of_fall
from recipelint.brewing.inputs import FERMENT_HEAT, PACE
from recipelint.brewing.kinetics import LONGEST, REFERENCE_CELSIUS, REFERENCE_PLATO, STRENGTH, Clock
from recipelint.brewing.path import Path, Step
from recipelint.brewing.pitching import moved, pitched, wanted_rate
from recipelint.brewing.plan import STAGED, Pitch, Plan
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found
from recipelint.brewing.yeast import Band, pitch_rate
from recipelint.recipe import forms, model

if TYPE_CHECKING:
    from recipelint.brewing.kinetics import State

# h at 20 °C after which a wort of 12 °P without late sugar has surely finished, and that late sugar is given to be
# gone: longer than the slowest run of ``path`` with a tenth of the yeast.
LONG, QUIET = 12.0 * 24.0, 10.0 * 24.0
STALE = "no culture with a known attenuation is named"


def way(run: Run) -> Path | None:
    """The way of this beer from pitching on, kept on the run; None where nothing says how far it goes."""
    if run.way is None:
        run.way = (_way(run),)
    return run.way[0]  # type: ignore[index, no-any-return]


def _way(run: Run) -> Path | None:
    station, fermented = run.fermenter, run.beer.fermented
    if fermented is None or station.pitch_extract + station.pitch_water <= 0.0:
        return None
    additions = staged(run)
    share = path.wort_share(fermented, station.pitch_extract, additions)
    steps = [*steps_of(run.plan.recipe.fermentation), *_conditioning(run.plan.recipe.conditioning)]
    # Times of half the pace are twice as long.
    pace = 1.0 / moved(Band(1.0, path.TIME_LOW, path.TIME_HIGH), run.x[PACE])
    steps.append(_rest(steps))
    return path.path(station.pitch_extract, station.pitch_water, share, additions, steps, _culture(run), pace)


def _rest(steps: list[Step]) -> Step:
    """What comes after the last step: the same heat for ever."""
    last = steps[-1].end if steps else REFERENCE_CELSIUS
    return Step(last, last)


def _culture(run: Run) -> path.Culture:
    """What of the cultures counts for the time: whichever of them works coolest, and bears most alcohol."""
    plan = run.plan
    if not plan.cultures:
        return path.UNTOLD_CULTURE
    tolerances = [_tolerance(pitch) for pitch in plan.cultures]
    tolerance = None if None in tolerances else max(each for each in tolerances if each is not None)
    cells, rate = pitched(plan)[0], wanted_rate(run)[0]
    share = 1.0
    if cells is not None and rate is not None:
        station = run.fermenter
        reached = pitch_rate(cells, station.pitch_volume, finish.pitching_gravity(station, 1.0))
        share = reached.value / rate.value if reached is not None else 1.0
    return path.Culture(_coolest(plan), tolerance, share)


def _tolerance(pitch: Pitch) -> float | None:
    low, high = pitch.tolerance_low, pitch.tolerance_high
    return low if high is None else high if low is None else 0.5 * (low + high)


def _coolest(plan: Plan) -> float | None:
    """Where the usual temperatures of the cultures begin (°C); None where one has no figure."""
    lows = [pitch.temperature_low for pitch in plan.cultures]
    return None if None in lows else min((each for each in lows if each is not None), default=None)


def staged(run: Run) -> tuple[path.Addition, ...]:
    """Sugar and fruit that go into the fermenter or later, in the bill's order; then a culture that goes further."""
    plan = run.plan
    rows = [
        (line, extract)
        for line, extract in zip(plan.lines, run.extracts(), strict=True)
        if line.stage in STAGED and line.weight > 0.0
    ]
    later = _later_culture(run)
    if not rows:
        return later
    malt = finish.malt_share(run.beer, run.fermenter)
    dosed = tuple(
        path.Addition(
            line.at,
            extract,
            line.weight * line.water,
            finish.line_share(plan, run.risk, line, malt),
            *_when(plan, line.timing),
        )
        for line, extract in rows
    )
    return dosed + later


def _later_culture(run: Run) -> tuple[path.Addition, ...]:
    """The culture that goes furthest, if it goes in later than others: what they leave waits for it."""
    plan = run.plan
    first = [pitch for pitch in plan.cultures if pitch.stage == "pitch"]
    known = [pitch for pitch in plan.cultures if pitch.attenuation is not None]
    if len(first) == len(plan.cultures) or not known or not any(pitch in known for pitch in first):
        return ()
    furthest = finish.furthest(plan)
    if furthest.stage == "pitch":
        return ()
    station = run.fermenter
    before = Run(plan._replace(cultures=tuple(first), at_worst=tuple(first)), run.x).beer.fermented
    frees = max((run.beer.fermented or 0.0) - (before or 0.0), 0.0) * station.all_extract
    when, value = _when(plan, plan.recipe.yeast[plan.cultures.index(furthest)].when)
    when = "day" if when == "after-previous" else when  # no culture stands before it but the one pitched
    return (path.Addition(furthest.at, 0.0, 0.0, 0.0, when, value, frees),)


def _when(plan: Plan, timing: model.Timing | None) -> tuple[str, float | None]:
    """When a line goes in, in the words of ``path``: times counted from the package or the cellar are turned round."""
    if timing is None or timing.value is None:
        return ("still" if timing is not None and timing.kind == "still" else "unknown"), None
    value = timing.value.value
    if timing.kind in ("day", "gravity", "after-previous"):
        return timing.kind, value
    fermented = _length(plan.recipe.fermentation)
    if timing.kind == "after":
        return ("still", None) if fermented is None else ("day", fermented + value)
    cellar = _stored(plan.recipe.conditioning)
    if timing.kind == "before-package" and fermented is not None and cellar is not None:
        return "day", max(fermented + cellar - value, 0.0)
    return "still", None


def steps_of(written: tuple[model.Step, ...]) -> tuple[Step, ...]:
    """The steps of a fermentation; a rise without a length is at its end at once, a ramp lasts as long as it says."""
    found: list[Step] = []
    now = REFERENCE_CELSIUS
    for step in written:
        end = step.to if step.to is not None else step.temperature
        celsius = end.value if end is not None else now
        if step.over is not None:
            found.append(Step(now, celsius, step.over.value))
        now = celsius
        if step.for_ is not None:
            found.append(Step(now, now, step.for_.value))
        elif step.until is not None:
            meaning = forms.read(step.until, "until")
            value = meaning.measure.value if meaning.measure is not None else 0.0
            if meaning.meaning == "gravity":
                found.append(Step(now, now, until=value))
            else:
                found.append(Step(now, now, still_for=value if meaning.meaning == "still-for" else 0.0))
        elif step.over is None:
            found.append(Step(now, now))
    return tuple(found)


def _conditioning(stages: tuple[model.Stage, ...]) -> tuple[Step, ...]:
    found: list[Step] = []
    for stage in stages:
        celsius = stage.temperature.value if stage.temperature is not None else REFERENCE_CELSIUS
        found.append(Step(celsius, celsius, stage.for_.value if stage.for_ is not None else 0.0))
    return tuple(found)


def _length(written: tuple[model.Step, ...]) -> float | None:
    """Hours that the steps of a fermentation say they take; None where one waits for the beer."""
    hours = [step.hours for step in steps_of(written)]
    return math.fsum(each for each in hours if each is not None) if written and None not in hours else None


def _stored(stages: tuple[model.Stage, ...]) -> float | None:
    """Hours of conditioning; None where a stage does not say how long."""
    if any(stage.for_ is None for stage in stages):
        return None
    return math.fsum(stage.for_.value for stage in stages if stage.for_ is not None)


def packaged_after(run: Run) -> tuple[float | None, str]:
    """Hours from pitching to the package, where the recipe says enough; else None and the reason."""
    recipe = run.plan.recipe
    if not recipe.packaging:
        return None, "no package is written"
    if not recipe.fermentation:
        return None, "no step of the fermentation is written"
    if _stored(recipe.conditioning) is None:
        return None, "a stage of conditioning does not say how long"
    steps = [*steps_of(recipe.fermentation), *_conditioning(recipe.conditioning)]
    if any(step.hours is None and step.until is None and step.still_for is None for step in steps):
        return None, "a step of the fermentation does not say how long"
    found = way(run)
    if found is None:
        return None, run.beer.why or STALE
    told = [step if step.hours is not None else Step(step.end, step.end, 1.0) for step in steps]
    if len(path.temperatures([*told, _rest(steps)])) != len(found.temperatures):
        return None, "a step waits for what the beer never comes to"
    return found.temperatures[-2][0], ""


def surely_finished(run: Run) -> bool:
    """Whether the beer is at rest when it is packaged, by what is written alone: it saves working out the way.

    It waits until it is still, or it has had time for that in the warmth, as slow as it may be; and no sugar or
    culture comes too late for that.
    """
    plan = run.plan
    steps = plan.recipe.fermentation
    if any(line.stage == "condition" for line in plan.lines) or any(
        pitch.stage != "pitch" for pitch in plan.cultures
    ):
        return False
    late = [line.timing for line in plan.lines if line.stage in STAGED and line.weight > 0.0]
    if not late and any(forms.waits_until_still(step.until) for step in steps):
        return True
    if surely_finished_before(plan):
        return all(timing is None or timing.kind in ("gravity", "still") for timing in late)
    days = [
        timing.value.value
        for timing in late
        if timing is not None and timing.kind == "day" and timing.value is not None
    ]
    return len(days) == len(late) and _had_time(run, max(days, default=None))


def _had_time(run: Run, last: float | None) -> bool:
    """Whether the warm hours until packaging are enough for any beer of this strength; last: of late sugar (h)."""
    recipe = run.plan.recipe
    fermented, cellar = _length(recipe.fermentation), _stored(recipe.conditioning)
    if fermented is None or cellar is None or run.beer.original <= 1.0:
        return False
    steps = [*steps_of(recipe.fermentation), *_conditioning(recipe.conditioning)]
    clock = Clock(path.temperatures([*steps, _rest(steps)]), _coolest(run.plan))
    plato = 100.0 * run.fermenter.all_extract / (run.fermenter.all_extract + run.fermenter.all_water)
    strong = math.pow(max(plato / REFERENCE_PLATO, 1.0), STRENGTH)
    ran = clock.ran(fermented + cellar)
    return ran >= LONG * strong and (last is None or ran - clock.ran(last) >= QUIET * strong)


def surely_finished_before(plan: Plan) -> bool:
    """Whether the beer is at rest before it is laid up: the last step of the fermentation waits until it is still."""
    steps = plan.recipe.fermentation
    return bool(steps) and forms.waits_until_still(steps[-1].until)


def gas_by_hydrometer(run: Run) -> float | None:
    """Gas (vol) still to come where the last step of the fermentation waits for a gravity: the brewer reads it then."""
    steps = run.plan.recipe.fermentation
    until = steps[-1].until if steps and steps[-1].for_ is None else None
    if until is None or run.beer.gravity is None:
        return None
    meaning = forms.read(until, "until")
    if meaning.meaning != "gravity" or meaning.measure is None:
        return None
    return gas_of_fall(run.beer.original, max(meaning.measure.value, run.beer.gravity), run.beer.gravity)


def gas_left_at_stage(run: Run, index: int) -> float | None:
    """Gas (vol) that the extract left when a stage of conditioning begins will make; None where that is not known."""
    stages = run.plan.recipe.conditioning
    read = gas_by_hydrometer(run) if index == 0 else None
    if read is not None:
        return read
    hours, _ = packaged_after(run)
    found = way(run)
    if hours is None or found is None or run.beer.volume <= 0.0:
        return None
    after = math.fsum(stage.for_.value for stage in stages[index:] if stage.for_ is not None)
    state = path.state_at(found, max(hours - after, 0.0))
    return volumes_made(state.left, run.beer.volume)


def at_packaging(run: Run) -> tuple[State | None, str]:
    """The beer as it goes into the package; None with the reason where the recipe does not say when."""
    hours, why = packaged_after(run)
    found = way(run)
    if hours is None or found is None:
        return None, why
    return path.state_at(found, hours), ""


def still_to_come(run: Run) -> Found:
    """Gas (vol) that the extract left at packaging will still make; 0 where the beer has surely finished.

    Kept on the run, since every package asks for it.
    """
    if run.to_come is None:
        run.to_come = _still_to_come(run)
    return run.to_come  # type: ignore[return-value]


def _still_to_come(run: Run) -> Found:
    if not run.plan.recipe.packaging:
        return None, "no package is written", ()
    if surely_finished(run):
        return 0.0, "", ()
    if not run.plan.recipe.conditioning:
        read = gas_by_hydrometer(run)
        if read is not None:
            return read, "", tuple((step.at, 0.0) for step in run.plan.recipe.fermentation[-1:])
    state, why = at_packaging(run)
    if state is None or run.beer.volume <= 0.0:
        return None, why, ()
    parts = tuple((step.at, 0.0) for step in run.plan.recipe.fermentation)
    return volumes_made(state.left, run.beer.volume), "", parts


def _still_after(run: Run) -> Found:
    """Hours from pitching until the beer is at rest, all sugar in."""
    found = way(run)
    if found is None:
        return None, run.beer.why or STALE, ()
    if math.isfinite(found.still.value):
        return found.still.value, "", ()
    # The slow side of one that does come to rest: a year at most.
    return (LONGEST, "", ()) if run.x[PACE] > 0.0 else (None, "it would take more than a year", ())


def _packaged_after(run: Run) -> Found:
    hours, why = packaged_after(run)
    return hours, why, ()


def _gravity(run: Run) -> Found:
    state, why = at_packaging(run)
    return (None if state is None else state.beer.gravity), why, ()


def _peak_heat(run: Run) -> Found:
    """Most heat (W) that the yeast gives at one time."""
    found = way(run)
    if found is None:
        return None, run.beer.why or STALE, ()
    watts = moved(HEAT_PER_EXTRACT, run.x[FERMENT_HEAT]) * path.peak_rate(found) * 1e6 / 3600.0
    return watts, "", ()


FINDERS: dict[str, Callable[[Run], Found]] = {
    "still_after": _still_after,
    "packaged_after": _packaged_after,
    "gravity_at_packaging": _gravity,
    "gas_to_come": still_to_come,
    "peak_heat": _peak_heat,
}
