"""From flame-out until the wort is cold: the hot stand, the whirlpool hops in it, and the chilling.

The wort is one, and has one temperature at a time. From flame-out it is left alone and cools by itself, and the chill
begins when the stand of the brewhouse is over and every charge of hops has had its minutes. A charge goes in when the
wort has its temperature: when the wort gets there by itself, or else, once what went in before has had its minutes,
when it has been chilled that far. Charges of one temperature go in together, whatever their minutes; those are the
least that they lie in the wort. A charge that is held keeps the wort at its temperature for its minutes; then charges
of that temperature with fewer minutes go in so that theirs end with the hold. A charge hotter than the boil goes in at
flame-out.

So a little more or less of time, heat or hops changes little, but for one thing: a charge just above the temperature
of a hold goes in before it and one just below after it.

Times min, temperatures °C.
"""

import math
from collections.abc import Iterable
from typing import NamedTuple

from recipelint.brewing import bitterness, boil
from recipelint.brewing.bitterness import Cooling, Exposure
from recipelint.brewing.process import Run

CHILLED_TO = 20.0
CHILLED_BY = 12.0  # °C of what cools the wort; common practice
OVERNIGHT = 12.0  # h, of wort left to cool by itself where nothing is written; common practice
OPEN_KETTLE = 1.3  # kettle over wort, for the cooling of a stand

Charge = tuple[float | None, float]  # what is written: temperature (None: at flame-out) and minutes


class Stand(NamedTuple):
    """The stand, stretch after stretch, and where each charge goes in.

    ``entries`` is the number of the stretch with which a charge goes in, ``heats`` how hot the wort then is, and
    ``after`` what the wort goes through from the start of each stretch on, for hops that go in there.
    """

    stretches: tuple[Cooling, ...]
    entries: dict[Charge, int]
    heats: dict[Charge, float]
    after: tuple[Exposure, ...]

    def seen_by(self, charge: Charge | None) -> Exposure:
        """What a whirlpool charge goes through; None stands for hops that have been boiled."""
        index = 0 if charge is None else self.entries[charge]
        return self.after[index] if index < len(self.after) else Exposure(0.0, 0.0)


class _Wort:
    """The wort on its way down: the clock, its temperature, and when it may be chilled at the earliest."""

    def __init__(self, run: Run) -> None:
        kit = run.plan.kit
        self.clock = 0.0
        self.now = boil.boiling_point(kit.altitude, 0.0)
        self.alone = _natural_rate(max(run.kettle.volume, 0.1))
        self.chill = 0.0
        self.left_alone_until: float | None = None
        chill = run.plan.recipe.chill
        if chill is not None and chill.by == "none":
            wait = chill.pitched_after
            self.left_alone_until = (wait.value if wait is not None else OVERNIGHT) * 60.0
        elif kit.cooling > 0.0:
            self.chill = boil.cooling_rate(self.now, CHILLED_TO, kit.cooling, CHILLED_BY)
        self.chilled_from = kit.stand if self.left_alone_until is None else self.left_alone_until
        self.found: list[Cooling] = []

    def _add(self, minutes: float, ambient: float, rate: float) -> None:
        if minutes > 0.0:
            if self.now <= ambient:
                rate = 0.0  # the fitted curve says nothing of colder wort, and nothing happens in it
            self.found.append(Cooling(minutes, self.now, ambient, rate))
            self.clock += minutes
            self.now = boil.cooled(self.now, ambient, rate, minutes)

    def hold(self, minutes: float) -> None:
        self._add(minutes, boil.NATURAL_FLOOR, 0.0)

    def cool_to(self, celsius: float) -> None:
        """Down to a temperature: alone until the chill may begin, and then by the chill."""
        if celsius >= self.now:
            return
        alone = boil.time_to_cool(self.now, boil.NATURAL_FLOOR, self.alone, celsius)
        room = self.chilled_from - self.clock
        self._add(min(alone, room), boil.NATURAL_FLOOR, self.alone)
        if alone <= room:
            self.now = celsius
        elif self.chill > 0.0:
            self._add(boil.time_to_cool(self.now, CHILLED_BY, self.chill, celsius), CHILLED_BY, self.chill)
            self.now = min(self.now, celsius)
        elif self.left_alone_until is None:
            self.now = min(self.now, celsius)  # chilled in no time


def stand_of(run: Run) -> Stand:
    """What the wort goes through from flame-out until it is cold."""
    wort = _Wort(run)
    entries: dict[Charge, int] = {}
    heats: dict[Charge, float] = {}
    for celsius, charges in _by_heat(run, wort.now):
        wort.cool_to(celsius)
        held = max((minutes for (_, minutes), keeps in charges if keeps), default=0.0)
        began = wort.clock
        for charge, _ in sorted(charges, key=lambda row: -row[0][1]):
            wort.hold(began + held - charge[1] - wort.clock)
            entries.setdefault(charge, len(wort.found))
            heats.setdefault(charge, wort.now)
            wort.chilled_from = max(wort.chilled_from, wort.clock + charge[1])
        wort.hold(began + held - wort.clock)
    wort.cool_to(CHILLED_TO)
    stretches = tuple(wort.found)
    return Stand(stretches, entries, heats, _after(stretches))


def _by_heat(run: Run, boils: float) -> list[tuple[float, list[tuple[Charge, bool]]]]:
    """Whirlpool charges by the temperature at which they go in, hottest first; and whether each is held."""
    found: dict[float, list[tuple[Charge, bool]]] = {}
    for hop in run.plan.hops:
        if hop.stage == "whirlpool":
            heat = boils if hop.temperature is None else min(max(hop.temperature, CHILLED_TO), boils)
            found.setdefault(heat, []).append(((hop.temperature, hop.minutes), hop.held))
    return sorted(found.items(), reverse=True)


def _after(stretches: Iterable[Cooling]) -> tuple[Exposure, ...]:
    """What is still to come from the start of each stretch on, from the last back to the first."""
    minutes = weighted = 0.0
    found: list[Exposure] = []
    for stretch in reversed(tuple(stretches)):
        own = bitterness.stand_exposure((stretch,))
        minutes += own.minutes
        weighted = own.weighted + weighted * math.exp(-bitterness.RATE * stretch.minutes)
        found.append(Exposure(minutes, weighted))
    return tuple(reversed(found))


def _natural_rate(volume: float) -> float:
    """Cooling (1/min) of an open kettle as wide as it is high, at this volume of wort."""
    diameter = (4.0 * OPEN_KETTLE * volume * 1000.0 / math.pi) ** (1.0 / 3.0)
    surface = math.pi * diameter * diameter / 4.0
    return boil.natural_cooling_rate(surface, surface, volume)
