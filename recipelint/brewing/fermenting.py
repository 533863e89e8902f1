"""The fermentation of one recipe: its steps, its staged sugar and fruit, and how far it has come when it is packaged.

Hours after pitching, temperatures °C, masses kg, gas in volumes. The equations stand in ``path``; here is only what a
plan feeds them with. It is run only where something asks: a way takes longer than all the rest of a brew.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeAlias

from recipelint.brewing import conditioning, finish, path, schedule
from recipelint.brewing.carbonation import volumes_made
from recipelint.brewing.feeding import HEAT_PER_EXTRACT
from recipelint.brewing.gas import gas_of_fall
from recipelint.brewing.inputs import FERMENT_HEAT, PACE
from recipelint.brewing.kinetics import LONGEST, REFERENCE_PLATO, STRENGTH, Clock
from recipelint.brewing.path import Addition, Course, Culture, Path, Step
from recipelint.brewing.pitching import moved, pitched, wanted_rate
from recipelint.brewing.plan import STAGED, Line, Pitch, Plan
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found
from recipelint.brewing.yeast import pitch_rate
from recipelint.recipe import forms, model

if TYPE_CHECKING:
    from recipelint.brewing.kinetics import State

# h at 20 °C after which a wort of 12 °P without late sugar has surely finished, and that late sugar is given to be
# gone: longer than the slowest run of ``path`` with a tenth of the yeast.
LONG, QUIET = 12.0 * 24.0, 10.0 * 24.0
_Asked: TypeAlias = tuple[float, float, float, tuple[Addition, ...], tuple[Step, ...], Culture, float]
STALE = "no culture with a known attenuation is named"


def way(run: Run) -> Path | None:
    """The way of this beer from pitching on, kept on the run; None where nothing says how far it goes."""
    if run.way is None:
        run.way = (_way(run),)
    return run.way[0]  # type: ignore[index, no-any-return]


def course(run: Run) -> Course | Path | None:
    """Its expected run alone, kept on the run as well."""
    if run.way is not None:
        return way(run)
    if run.course is None:
        asked = _asked(run)
        run.course = (None if asked is None else path.course(*asked),)
    return run.course[0]  # type: ignore[index, no-any-return]


def _way(run: Run) -> Path | None:
    asked = _asked(run)
    return None if asked is None else path.path(*asked)


def _asked(run: Run) -> _Asked | None:
    """What a way is worked out from; None where nothing says how far it goes."""
    station, fermented = run.fermenter, run.beer.fermented
    if fermented is None or station.pitch_extract + station.pitch_water <= 0.0:
        return None
    additions = staged(run)
    share = path.wort_share(fermented, station.pitch_extract, additions)
    steps = schedule.until_package(run.plan)
    # Times are good to a factor: what lies beyond its 90 % is a power of it, and never nothing.
    x = run.x[PACE]
    pace = 1.0 / (path.TIME_HIGH**x if x > 0.0 else path.TIME_LOW**-x)
    steps = (*steps, schedule.rest(steps))
    return station.pitch_extract, station.pitch_water, share, additions, steps, _culture(run), pace


def _culture(run: Run) -> path.Culture:
    """What of the cultures counts for the time: whichever of them works coolest, and bears most alcohol."""
    plan = run.plan
    if not plan.cultures:
        return path.UNTOLD_CULTURE
    tolerance = _culture_tolerance(plan)
    cells, rate = pitched(plan)[0], wanted_rate(run)[0]
    share = 1.0
    if cells is not None and rate is not None:
        station = run.fermenter
        reached = pitch_rate(cells, station.pitch_volume, finish.pitching_gravity(station, 1.0))
        share = reached.value / rate.value if reached is not None else 1.0
    return path.Culture(schedule.coolest(plan), tolerance, share)


def _culture_tolerance(plan: Plan) -> float | None:
    """Alcohol (fraction) that the hardiest culture bears; None where one has no figure."""
    found = [_tolerance(pitch) for pitch in plan.cultures]
    return None if None in found else max((each for each in found if each is not None), default=None)


def _tolerance(pitch: Pitch) -> float | None:
    low, high = pitch.tolerance_low, pitch.tolerance_high
    return low if high is None else high if low is None else 0.5 * (low + high)


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
    lines = [line for line, _ in rows]
    times = [_staged_when(plan, lines, index) for index in range(len(lines))]
    dosed = tuple(
        path.Addition(
            line.at,
            extract,
            line.weight * line.water,
            finish.line_share(plan, run.risk, line, malt),
            when,
            value,
            step=step,
        )
        for (line, extract), (when, value, step) in zip(rows, times, strict=True)
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
    when, value, step = _when(plan, plan.recipe.yeast[plan.cultures.index(furthest)].when)
    when = "day" if when == "after-previous" else when  # no culture stands before it but the one pitched
    return (path.Addition(furthest.at, 0.0, 0.0, 0.0, when, value, frees, step),)


def _when(plan: Plan, timing: model.Timing | None) -> tuple[str, float | None, int]:
    """When a line goes in, in the words of ``path``: kind, hours or gravity, and the step that it counts from."""
    value = timing.value.value if timing is not None and timing.value is not None else None
    cellar = len(schedule.fermentation(plan))
    if timing is None or value is None:
        kind = "unknown" if timing is None or timing.kind != "still" else "still"
        # Of what goes into the cellar at a time that is not written: when it is laid up.
        laid_up = timing is not None and timing.stage == "condition" and kind == "unknown"
        return ("step", None, cellar) if laid_up else (kind, None, 0)
    if timing.kind == "after":
        return "step", value, cellar
    if timing.kind == "before-package":
        return "step", -value, len(schedule.until_package(plan))
    return timing.kind, value, 0


def _staged_when(plan: Plan, lines: list[Line], index: int) -> tuple[str, float | None, int]:
    """The same of a line among those that are staged: what follows on another counts from its own stage."""
    timing = lines[index].timing
    when = _when(plan, timing)
    if when[0] != "after-previous" or timing is None:
        return when
    before = lines[index - 1].stage if index > 0 else "pitch"
    if timing.stage == "condition" and before != "condition":
        return "step", when[1], len(schedule.fermentation(plan))
    return when


def packaged_after(run: Run) -> tuple[float | None, str]:
    """Hours from pitching to the package, where the recipe says enough; else None and the reason."""
    if conditioning.lengths(run.plan.recipe.conditioning) is None:
        return None, "a stage of conditioning does not say how long"
    return _filled_after(run)


def _filled_after(run: Run) -> tuple[float | None, str]:
    """The same, less the time of cold stages that do not say how long: nothing ferments in them."""
    plan = run.plan
    if not plan.recipe.packaging:
        return None, "no package is written"
    if not plan.recipe.fermentation:
        return None, "no step of the fermentation is written"
    if not schedule.asleep_where_untold(plan):
        return None, "a stage of conditioning does not say how long"
    steps = schedule.until_package(plan)
    if any(step.hours is None and step.until is None and step.still_for is None for step in steps):
        return None, "a step of the fermentation does not say how long"
    found = course(run)
    if found is None:
        return None, run.beer.why or STALE
    told = [step if step.hours is not None else Step(step.end, step.end, 1.0) for step in steps]
    if len(path.temperatures([*told, schedule.rest(steps)])) != len(found.temperatures):
        return None, "a step waits for what the beer never comes to"
    return found.temperatures[-2][0], ""


def surely_finished(run: Run) -> bool:
    """Whether the beer is at rest when it is packaged, by what is written alone: it saves working out the way.

    It waits until it is still, or it has had time for that in the warmth, as slow as it may be; and no sugar or
    culture comes too late for that.
    """
    plan = run.plan
    if goes_in_later(plan):
        return False
    late = [line.timing for line in plan.lines if line.stage in STAGED and line.weight > 0.0]
    waits = [step for step in schedule.fermentation(plan) if step.still_for is not None]
    if not late and waits:
        return True
    if surely_finished_before(plan) and not _may_stall(run):
        return all(timing is None or timing.kind in ("gravity", "still") for timing in late)
    days = [
        timing.value.value
        for timing in late
        if timing is not None and timing.kind == "day" and timing.value is not None
    ]
    return len(days) == len(late) and _had_time(run, max(days, default=None))


def goes_in_later(plan: Plan) -> bool:
    """Whether sugar or fruit goes in while the beer is laid up, or a culture after the first."""
    return any(line.stage == "condition" for line in plan.lines) or any(
        pitch.stage != "pitch" for pitch in plan.cultures
    )


def _had_time(run: Run, last: float | None) -> bool:
    """Whether the warm hours until packaging are enough for any beer of this strength; last: of late sugar (h)."""
    plan = run.plan
    fermented, cellar = schedule.fermented_for(plan), conditioning.lengths(plan.recipe.conditioning)
    if fermented is None or cellar is None or run.beer.original <= 1.0:
        return False
    steps = schedule.until_package(plan)
    clock = Clock(path.temperatures([*steps, schedule.rest(steps)]), schedule.coolest(plan))
    plato = 100.0 * run.fermenter.all_extract / (run.fermenter.all_extract + run.fermenter.all_water)
    strong = math.pow(max(plato / REFERENCE_PLATO, 1.0), STRENGTH)
    ran = clock.ran(fermented + cellar)
    return ran >= LONG * strong and (last is None or ran - clock.ran(last) >= QUIET * strong)


def _may_stall(run: Run) -> bool:
    """Whether late sugar could meet a culture that is past its tolerance, and stay."""
    tolerance = _culture_tolerance(run.plan)
    return tolerance is not None and (run.beer.abv or 0.0) >= tolerance


def surely_finished_before(plan: Plan) -> bool:
    """Whether the beer is at rest before it is laid up: the last step of the fermentation waits until it is still."""
    steps = schedule.fermentation(plan)
    return bool(steps) and steps[-1].still_for is not None


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


def gas_made_in_stage(run: Run, index: int) -> float | None:
    """Gas (vol) that is made while a stage of conditioning lasts; None where that is not known."""
    stages = run.plan.recipe.conditioning
    read = gas_by_hydrometer(run) if index == 0 else None
    if read is not None:
        return max(read - (still_to_come(run)[0] or 0.0), 0.0)
    hours, _ = _filled_after(run)
    found = course(run)
    if hours is None or found is None or run.beer.volume <= 0.0:
        return None
    after = [
        math.fsum([stage.for_.value for stage in stages[each:] if stage.for_]) for each in (index, index + 1)
    ]
    begins, ends = (path.state_at(found, max(hours - each, 0.0)) for each in after)
    return volumes_made(ends.fermented - begins.fermented, run.beer.volume)


def at_packaging(run: Run) -> tuple[State | None, str]:
    """The beer as it goes into the package; None with the reason where the recipe does not say when."""
    hours, why = _filled_after(run)
    found = course(run)
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
    # Sugar that a culture past its tolerance has left wakes up sooner or later.
    return volumes_made(state.left + state.stalled, run.beer.volume), "", parts


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
