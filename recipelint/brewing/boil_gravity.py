"""How strong the wort is while hops boil in it: it boils down, and malt extract and sugar may go in late.

Tinseth's gravity is the mean over the boil, and it is taken for all hops alike where all extract is there from the
start. Extract that goes in later steps in at its minute: hops boil in weaker wort until then, and each addition has a
gravity of its own, which is the mean of a boil with all extract in from the start, made smaller by what was missing
over the minutes of the hop. Hops that boil as long as the wort so have the true mean, and a gram of late sugar changes
next to nothing.

Times min before flame-out, gravities SG, masses kg.
"""

import math
from typing import NamedTuple

from recipelint.brewing import boil
from recipelint.brewing.gravity import sg_of_masses
from recipelint.brewing.inputs import extract_of, is_late
from recipelint.brewing.plan import KETTLE
from recipelint.brewing.process import Run


class Stretch(NamedTuple):
    """A part of the boil in which no extract goes in: from and to so many minutes before flame-out."""

    begins: float
    ends: float
    start: float
    end: float

    @property
    def mean(self) -> float:
        """Mean gravity over the stretch."""
        return boil.average_boil_gravity(self.start, self.end)


class Gravities(NamedTuple):
    """The boil as it is, stretch by stretch, and as it would be with all extract in from the start.

    ``mean`` is the mean gravity of the boil as it is.
    """

    stretches: tuple[Stretch, ...]
    full: Stretch
    mean: float

    @property
    def late(self) -> bool:
        """Whether extract goes in after the boil has begun."""
        return self.stretches != (self.full,)

    def while_boiled(self, minutes: float) -> float:
        """Gravity for hops that boil so long, and with 0 minutes for those in the stand, when everything is in."""
        if not self.late or minutes <= 0.0:
            return self.full.mean
        if minutes >= self.full.begins:
            return self.mean
        whole = mean_of_last((self.full,), minutes)
        if whole <= 1.0:
            return self.full.mean
        return 1.0 + (self.full.mean - 1.0) * (mean_of_last(self.stretches, minutes) - 1.0) / (whole - 1.0)


def gravities(run: Run) -> Gravities:
    """The gravities of a boil; 1.000 where there is nothing in the kettle."""
    kettle, length = run.kettle, run.plan.boil_minutes
    late = [
        (
            line.minutes or 0.0 if line.stage == "boil" else 0.0,
            extract_of(line, run.x),
            line.weight * line.water,
        )
        for line in run.plan.lines
        if line.stage in KETTLE and is_late(run.plan, line)
    ]
    extract = kettle.pre_extract + math.fsum([row[1] for row in late])
    water = kettle.pre_water + math.fsum([row[2] for row in late])
    end = _gravity(kettle.extract, kettle.water)
    full = Stretch(length, 0.0, _gravity(extract, water), end)
    if not late or length <= 0.0:
        return Gravities((full,), full, full.mean)
    stretches = _stretches(run, sorted(late, reverse=True))
    return Gravities(stretches, full, mean_of_last(stretches, length))


def _stretches(run: Run, late: list[tuple[float, float, float]]) -> tuple[Stretch, ...]:
    """The boil cut where extract goes in: minutes before flame-out, extract and water (kg), the earliest first."""
    kettle, length = run.kettle, run.plan.boil_minutes
    extract, water, begins = kettle.pre_extract, kettle.pre_water, length
    found: list[Stretch] = []
    for minutes, more_extract, more_water in [*late, (0.0, 0.0, 0.0)]:
        if minutes < begins:
            left = max(water - kettle.evaporated * (begins - minutes) / length, 0.0)
            found.append(Stretch(begins, minutes, _gravity(extract, water), _gravity(extract, left)))
            water, begins = left, minutes
        extract += more_extract
        water += more_water
    return tuple(found)


def _gravity(extract: float, water: float) -> float:
    return sg_of_masses(extract, water) if extract + water > 0.0 else 1.0


def last(stretches: tuple[Stretch, ...], minutes: float) -> tuple[Stretch, ...]:
    """What of the stretches lies in the last minutes of the boil."""
    return tuple(
        [
            one if one.begins <= minutes else one._replace(begins=minutes, start=_within(one, minutes))
            for one in stretches
            if one.ends < minutes
        ]
    )


def mean_of_last(stretches: tuple[Stretch, ...], minutes: float) -> float:
    """Mean gravity over the last minutes of the boil, or over all of it where it is shorter."""
    parts = last(stretches, minutes)
    whole = math.fsum([one.begins - one.ends for one in parts])
    return math.fsum([one.mean * (one.begins - one.ends) for one in parts]) / whole


def _within(one: Stretch, at: float) -> float:
    """Gravity so long before flame-out: the points go as one over a volume that falls evenly."""
    p, q = one.start - 1.0, one.end - 1.0
    share = (one.begins - at) / (one.begins - one.ends)
    if p <= 0.0 or q <= 0.0:
        return 1.0 + p + (q - p) * share
    return 1.0 + 1.0 / (1.0 / p + (1.0 / q - 1.0 / p) * share)
