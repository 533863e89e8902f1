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
from recipelint.brewing.kinetics import REFERENCE_CELSIUS
from recipelint.brewing.path import Path, Step
from recipelint.brewing.pitching import moved, pitched, wanted_rate
from recipelint.brewing.plan import STAGED, Line, Plan
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found
from recipelint.brewing.yeast import Band, pitch_rate
from recipelint.recipe import forms, model

if TYPE_CHECKING:
    from recipelint.brewing.kinetics import State

LONG = 21.0 * 24.0  # h after which a beer without late sugar has surely finished; common practice
QUIET = 10.0 * 24.0  # h that late sugar is given to be gone; common practice
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
    return path.path(
        station.pitch_extract, station.pitch_water, share, additions, [*steps, _rest(steps)], _culture(run)
    )


def _rest(steps: list[Step]) -> Step:
    """What comes after the last step: the same heat for ever."""
    last = steps[-1].end if steps else REFERENCE_CELSIUS
    return Step(last, last)


def _culture(run: Run) -> path.Culture:
    plan = run.plan
    first = next((pitch for pitch in plan.cultures if pitch.stage == "pitch"), None)
    if first is None:
        return path.UNTOLD_CULTURE
    low, high = first.tolerance_low, first.tolerance_high
    tolerance = low if high is None else high if low is None else 0.5 * (low + high)
    cells, rate = pitched(plan)[0], wanted_rate(run)[0]
    share = 1.0
    if cells is not None and rate is not None:
        station = run.fermenter
        reached = pitch_rate(cells, station.pitch_volume, finish.pitching_gravity(station, 1.0))
        share = reached.value / rate.value if reached is not None else 1.0
    return path.Culture(first.temperature_low, tolerance, share)


def staged(run: Run) -> tuple[path.Addition, ...]:
    """Sugar and fruit that go into the fermenter or later, in the order of the bill."""
    plan = run.plan
    rows = [
        (line, extract)
        for line, extract in zip(plan.lines, run.extracts(), strict=True)
        if line.stage in STAGED and line.weight > 0.0
    ]
    if not rows:
        return ()
    malt = finish.malt_share(run.beer, run.fermenter)
    return tuple(
        path.Addition(
            line.at,
            extract,
            line.weight * line.water,
            finish.line_share(plan, run.risk, line, malt),
            *_when(plan, line),
        )
        for line, extract in rows
    )


def _when(plan: Plan, line: Line) -> tuple[str, float | None]:
    """When a line goes in, in the words of ``path``: times counted from the package or the cellar are turned round."""
    timing = line.timing
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


def surely_finished(plan: Plan) -> bool:
    """Whether the beer is at rest when it is packaged, by what is written alone: it saves working out the way.

    It waits until it is still, or ferments and ripens for three weeks; and no sugar comes later than that.
    """
    recipe = plan.recipe
    if any(line.stage == "condition" for line in plan.lines):
        return False
    late = [line.timing for line in plan.lines if line.stage in STAGED]
    if any(_waits_until_still(step) for step in recipe.fermentation):
        return all(timing is None or timing.kind in ("gravity", "still") for timing in late)
    fermented, cellar = _length(recipe.fermentation), _stored(recipe.conditioning)
    if fermented is None or cellar is None or fermented + cellar < LONG:
        return False
    days = [
        timing.value.value
        for timing in late
        if timing is not None and timing.kind == "day" and timing.value is not None
    ]
    return len(days) == len(late) and max(days, default=0.0) + QUIET <= fermented + cellar


def surely_finished_before(plan: Plan) -> bool:
    """Whether the beer is at rest before it is laid up: the last step of the fermentation waits until it is still."""
    steps = plan.recipe.fermentation
    return bool(steps) and _waits_until_still(steps[-1])


def _waits_until_still(step: model.Step) -> bool:
    return step.until is not None and forms.read(step.until, "until").meaning != "gravity"


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
    if surely_finished(run.plan):
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
    if not math.isfinite(found.still.value):
        return None, "it would take more than a year", ()
    high = found.still.high if math.isfinite(found.still.high) else 2.0 * found.still.value
    return moved(Band(found.still.value, found.still.low, high), run.x[PACE]), "", ()


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
