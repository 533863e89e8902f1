"""Gravity over time: the way from pitching to a still beer, with sugar and fruit that go in on it.

Two things of unlike worth stand side by side: the balance of masses, which is exact, and the time, which is not (see
``kinetics``). Every path is therefore run three times, expected, fast and slow, and each time is a ``Band``.

Masses kg, hours after pitching, gravities apparent 20/20 °C, shares and strengths fractions, temperatures °C (of the
beer). Heat that the beer makes itself is not added to them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate
from typing import NamedTuple

from recipelint.brewing.gravity import points, sg_of_masses
from recipelint.brewing.kinetics import (
    EQUAL,
    NEVER,
    REFERENCE_CELSIUS,
    SEED,
    STILL_LEFT,
    Clock,
    Leg,
    State,
    fermented_at,
    hours_of,
    hours_of_gravity,
    hours_of_still,
    leg_of,
    moved,
    state_of,
)
from recipelint.brewing.yeast import Band

RESTART_HOURS = 12.0  # until yeast that has come to rest takes sugar again
TIME_LOW, TIME_HIGH = 0.55, 1.8  # of the expected time, 90 %
UNTOLD_HOURS = 72.0  # of an addition whose time is not written
RAMP_PIECE = 6.0  # h over which a ramp is taken as level


class Addition(NamedTuple):
    """What goes in on the way: extract and water (kg), the share of the extract that ferments, and when.

    frees: kg of extract in the beer that only this makes food of, as a later culture does that goes further.
    when: ``day`` (``value`` hours after pitching), ``gravity`` (at or below this SG), ``still``, ``after-previous``
    (hours after the addition before it in the list; the first counts from pitching), ``step`` (hours after the step
    number ``step`` begins, before it if negative) or ``unknown``.
    """

    at: str
    extract: float
    water: float
    fermentable: float
    when: str
    value: float | None = None
    frees: float = 0.0
    step: int = 0


class Step(NamedTuple):
    """A step of temperature, even from start to end.

    hours None: it lasts until the beer is still for ``still_for`` hours or has fallen to ``until``; with neither, to
    the end.
    """

    start: float
    end: float
    hours: float | None = None
    still_for: float | None = None
    until: float | None = None


class Culture(NamedTuple):
    """What of the culture counts for the time.

    low: where its usual temperatures begin, or None; tolerance: alcohol (fraction) past which it does not start
    again, or None; pitched: its rate over the rate wanted.
    """

    low: float | None = None
    tolerance: float | None = None
    pitched: float = 1.0


UNTOLD_CULTURE = Culture()


class Event(NamedTuple):
    """One event: ``pitched``, ``added`` or ``still``.

    hours and the gravities before and after with their bands; the beer of the expected run before and after it;
    points: gravity points that the dose adds; restarts: the culture had come to rest and starts again; stalls: it does
    not; untold: its time was not written.
    """

    what: str
    at: str
    hours: Band
    before: Band
    after: Band
    was: State
    now: State
    points: float = 0.0
    restarts: bool = False
    stalls: bool = False
    untold: bool = False


class Missed(NamedTuple):
    """An addition that never goes in: the gravity that it waits for, if it does, and the one at which the beer ends."""

    at: str
    gravity: float | None
    lowest: float
    why: str


class Path(NamedTuple):
    """The way of one beer. end: all has fermented that will; still: at rest for good (infinite: not within a year)."""

    events: tuple[Event, ...]
    missed: tuple[Missed, ...]
    still: Band
    end: State
    legs: tuple[Leg, ...]
    temperatures: tuple[tuple[float, float], ...]
    culture: Culture


class Course(NamedTuple):
    """The expected run of a way alone, for whoever asks how far the beer has come and not how sure that is."""

    end: State
    legs: tuple[Leg, ...]
    temperatures: tuple[tuple[float, float], ...]
    culture: Culture


class _Happened(NamedTuple):
    what: str
    number: int  # of the addition; of a still, how many had gone in before it
    was: State
    now: State
    points: float = 0.0
    restarts: bool = False
    stalls: bool = False


class _Run:
    """One run at one pace. Each turn of ``go`` puts at least one addition in, so that it ends."""

    def __init__(
        self,
        start: State,
        additions: Sequence[Addition],
        culture: Culture,
        clock: Clock,
        pace: float,
        begins: Sequence[float],
    ) -> None:
        least = 0.01 * (start.extract + start.water)
        self.seed = SEED * min(max(culture.pitched, 0.1), 4.0) * max(start.left, least)
        self.additions, self.culture, self.clock, self.pace = additions, culture, clock, pace
        self.begins = begins  # of each step (h); infinite where that is not known yet
        self.legs = [leg_of(start, start.hours, self.seed, pace)]
        self.happened = [_Happened("pitched", -1, start, start)]
        self.waiting = list(range(len(additions)))
        self.went_in: dict[int, float] = {}
        self.resting = False

    def go(self) -> None:
        """Put in all that goes in, in order of time, and note each rest of the beer."""
        while True:
            hours, first = min(((self._due(index), index) for index in self.waiting), default=(NEVER, -1))
            rested = hours_of_still(self.legs[-1], self.clock)
            if rested <= hours and rested < NEVER and not self.resting:
                state = moved(self.legs[-1], self.clock, rested)
                self.happened.append(_Happened("still", len(self.went_in), state, state))
                self.resting = True
            if hours == NEVER:
                return
            rests = self.resting
            for index in [one for one in self.waiting if one == first or self._same(first, one)]:
                self._add(index, hours, rests)

    def _due(self, index: int) -> float:
        """When an addition goes in if none goes in before it; infinite if it never does."""
        addition, leg = self.additions[index], self.legs[-1]
        value = addition.value
        if addition.when == "gravity" and value is not None:
            return hours_of_gravity(leg, self.clock, value)
        if addition.when == "still":
            return hours_of_still(leg, self.clock)
        if addition.when == "step":
            return max(self.begins[addition.step] + (value or 0.0), leg.state.hours)
        if addition.when == "after-previous":
            before = self.went_in.get(index - 1, NEVER) if index > 0 else 0.0
            return max(before + (value or 0.0), leg.state.hours)
        return max(UNTOLD_HOURS if addition.when != "day" or value is None else value, leg.state.hours)

    def _same(self, one: int, other: int) -> bool:
        """Whether two wait for the same gravity, or both for the still beer: then they are one dose."""
        a, b = self.additions[one], self.additions[other]
        if a.when != b.when or a.when not in ("gravity", "still"):
            return False
        return a.when == "still" or abs((a.value or 0.0) - (b.value or 0.0)) <= EQUAL

    def _add(self, index: int, hours: float, rests: bool) -> None:
        addition, leg = self.additions[index], self.legs[-1]
        was = moved(leg, self.clock, hours)
        extract, water = was.extract + addition.extract, was.water + addition.water
        food = addition.extract * min(max(addition.fermentable, 0.0), 1.0)
        tolerance = self.culture.tolerance
        stalls = rests and food > 0.0 and tolerance is not None and was.beer.abv >= tolerance
        left, stalled = (was.left, was.stalled + food) if stalls else (was.left + food, was.stalled)
        left += min(addition.frees, max(extract - was.fermented - left - stalled, 0.0))
        now = state_of(hours, extract, water, was.fermented, left, stalled)
        restarts = rests and left > STILL_LEFT * (extract + water)
        begins = hours + RESTART_HOURS / self.pace if restarts else max(leg.begins, hours)
        self.resting = rests and not restarts
        self.legs.append(leg_of(now, begins, self.seed, self.pace))
        added = points(sg_of_masses(extract, water)) - points(sg_of_masses(was.extract, was.water))
        self.happened.append(_Happened("added", index, was, now, added, restarts, stalls))
        self.waiting.remove(index)
        self.went_in[index] = hours


def temperatures(steps: Sequence[Step]) -> tuple[tuple[float, float], ...]:
    """Level pieces (end in hours, °C) of steps; the last goes on for ever, as does a step without a length.

    A ramp without a length is at its end at once. 20 °C where there is no step.
    """
    pieces: list[tuple[float, float]] = []
    now = 0.0
    for step in steps:
        if step.hours is None:
            return (*pieces, (NEVER, step.end))
        count = 1 if step.start == step.end else max(1, min(math.ceil(step.hours / RAMP_PIECE), 60))
        for piece in range(count):
            celsius = step.start + (step.end - step.start) * (piece + 0.5) / count
            pieces.append((now + step.hours * (piece + 1) / count, celsius))
        now += step.hours
    return (*pieces, (NEVER, steps[-1].end if steps else REFERENCE_CELSIUS))


def _first_fall(legs: Sequence[Leg], clock: Clock, gravity: float) -> float:
    """When the beer first is at or below a gravity; infinite if it never is."""
    for leg, after in zip(legs, [*legs[1:], None], strict=True):
        hours = hours_of_gravity(leg, clock, gravity)
        if after is None or hours < after.state.hours:
            return hours
    return NEVER


def _rested(happened: Sequence[_Happened], hours: float) -> float:
    """When the beer has first been at rest for so long; infinite if it never is."""
    begun = NEVER
    for one in happened:
        if one.restarts and one.now.hours < begun + hours:
            begun = NEVER
        elif one.what == "still" and begun == NEVER:
            begun = one.now.hours
    return begun + hours


def _run(
    start: State, additions: Sequence[Addition], steps: Sequence[Step], culture: Culture, pace: float
) -> tuple[_Run, tuple[tuple[float, float], ...]]:
    """A run, with steps that wait for the beer given the length they come to: one more of them with each round."""
    known = list(steps)
    while True:
        pieces = temperatures(known)
        clock = Clock(pieces, culture.low)
        begins = tuple(
            accumulate((NEVER if step.hours is None else step.hours for step in known), initial=0.0)
        )
        run = _Run(start, additions, culture, clock, pace, begins)
        run.go()
        index = next((i for i, step in enumerate(known) if step.hours is None), len(known))
        if index >= len(known) - 1:
            return run, pieces
        step, ends = known[index], NEVER
        if step.until is not None:
            ends = _first_fall(run.legs, clock, step.until)
        elif step.still_for is not None:
            ends = _rested(run.happened, step.still_for)
        if ends == NEVER:
            return run, pieces
        begun = math.fsum([before.hours or 0.0 for before in known[:index]])
        # Where it stands in the meantime is level: the ramp of a step that waits is not known.
        known[index] = step._replace(start=step.end, hours=max(ends - begun, 0.0))


def path(
    extract: float,
    water: float,
    fermentable: float,
    additions: Sequence[Addition] = (),
    steps: Sequence[Step] = (),
    culture: Culture = UNTOLD_CULTURE,
    pace: float = 1.0,
) -> Path:
    """The way of a wort of so much extract and water, of whose extract so large a share ferments in the end.

    What goes in does so in order of time; at one time in the order of the list. Additions that wait for the same
    gravity, or for the still beer, are one dose; any other trigger is looked at afresh after each dose, and has passed
    once the beer is at or below it, also if it was so at pitching. A still beer starts again on sugar after a lag,
    unless it has passed the culture's tolerance: then that sugar stays. Tolerance does not end a ferment that runs.
    pace: how fast the expected run is, 1 by the constants of ``kinetics``. Raises ValueError if there is no mass.
    """
    start = _start(extract, water, fermentable)
    run, pieces = _run(start, additions, steps, culture, pace)
    others = [_run(start, additions, steps, culture, pace / part)[0] for part in (TIME_LOW, TIME_HIGH)]
    seen = [{(one.what, one.number): one for one in other.happened} for other in others]
    events = tuple(
        [
            _event(one, additions, [other.get((one.what, one.number)) for other in seen])
            for one in run.happened
        ]
    )
    end = _end(run)
    rests = [hours_of_still(one.legs[-1], one.clock) for one in (run, *others)]
    missed = tuple([_missed(additions[index], end.beer.gravity) for index in run.waiting])
    still = Band(rests[0], min(rests), max(rests))
    return Path(events, missed, still, end._replace(hours=rests[0]), tuple(run.legs), pieces, culture)


def course(
    extract: float,
    water: float,
    fermentable: float,
    additions: Sequence[Addition] = (),
    steps: Sequence[Step] = (),
    culture: Culture = UNTOLD_CULTURE,
    pace: float = 1.0,
) -> Course:
    """The expected run of ``path()``, with the same arguments: a third of its work. Raises ValueError as it does."""
    run, pieces = _run(_start(extract, water, fermentable), additions, steps, culture, pace)
    return Course(_end(run), tuple(run.legs), pieces, culture)


def _start(extract: float, water: float, fermentable: float) -> State:
    return state_of(0.0, extract, water, 0.0, extract * min(max(fermentable, 0.0), 1.0), 0.0)


def _end(run: _Run) -> State:
    """All has fermented that will."""
    last = run.legs[-1].state
    return state_of(last.hours, last.extract, last.water, last.fermented + last.left, 0.0, last.stalled)


def _event(one: _Happened, additions: Sequence[Addition], others: Sequence[_Happened | None]) -> Event:
    """An event with its bands. What another pace does not have is never in it; a rest is apart by the factor."""
    runs = [one, *(other for other in others if other is not None)]
    times = [other.now.hours for other in runs]
    if None in others:
        times += [one.now.hours * TIME_LOW, one.now.hours * TIME_HIGH] if one.what == "still" else [NEVER]
    before = [other.was.beer.gravity for other in runs]
    after = [other.now.beer.gravity for other in runs]
    addition = additions[one.number] if one.what == "added" else None
    untold = (
        addition is not None and addition.value is None and addition.when not in ("still", "after-previous")
    )
    return Event(
        what=one.what,
        at=addition.at if addition is not None else "",
        hours=Band(times[0], min(times), max(times)),
        before=Band(before[0], min(before), max(before)),
        after=Band(after[0], min(after), max(after)),
        was=one.was,
        now=one.now,
        points=one.points,
        restarts=one.restarts,
        stalls=one.stalls,
        untold=untold,
    )


def _missed(addition: Addition, lowest: float) -> Missed:
    if addition.when == "after-previous":
        return Missed(addition.at, None, lowest, "the addition before it never goes in")
    waits = addition.value if addition.when == "gravity" else None
    if waits is not None and waits <= lowest:
        return Missed(addition.at, waits, lowest, "the beer does not fall so far")
    return Missed(addition.at, waits, lowest, "in the cold it would take more than a year")


def state_at(way: Path | Course, hours: float) -> State:
    """The beer of the expected run so long after pitching; as it was pitched before that, the end for infinity.

    At the time of an addition it is in.
    """
    if hours == NEVER:
        return way.end
    leg = [one for one in way.legs if one.state.hours <= max(hours, 0.0)][-1]
    return moved(leg, Clock(way.temperatures, way.culture.low), max(hours, 0.0))


def hours_at(way: Path, gravity: float) -> float:
    """When the beer of the expected run first is at or below a gravity; infinite if it never is."""
    return _first_fall(way.legs, Clock(way.temperatures, way.culture.low), gravity)


def peak_rate(way: Path) -> float:
    """Most extract (kg) that ferments in an hour. With feeding.HEAT_PER_EXTRACT the heat to be led off."""
    clock = Clock(way.temperatures, way.culture.low)
    most = 0.0
    for leg, after in zip(way.legs, [*way.legs[1:], None], strict=True):
        whole = leg.state.fermented + leg.state.left
        begins, ends = leg.begins, after.state.hours if after is not None else NEVER
        if leg.state.left <= 0.0 or begins >= ends:
            continue
        crest = hours_of(leg, clock, 0.5 * (whole - leg.seed))
        moments = [begins, crest, *(end for end, _ in way.temperatures)]
        for hours in (one for one in moments if begins <= one <= ends and one < NEVER):
            done = fermented_at(leg, clock, hours)
            most = max(most, leg.rate * clock.speed(hours) * (done + leg.seed) * (1.0 - done / whole))
    return most


def wort_share(limit: float, extract: float, additions: Sequence[Addition]) -> float:
    """Share of the extract at pitching (kg) that ferments if of all extract ``limit`` does and the additions do theirs.

    For a brewer who states where the beer ends. Kept within 0 and 1.
    """
    whole = limit * (extract + math.fsum([one.extract for one in additions]))
    rest = whole - math.fsum([one.extract * one.fermentable + one.frees for one in additions])
    return min(max(rest / extract, 0.0), 1.0) if extract > 0.0 else 0.0
