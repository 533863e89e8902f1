"""Dimethyl sulphide: its precursor in malt wort, what the boil drives off and what a hot stand makes.

Times min, temperatures °C. All results are shares of the precursor at the start of the boil, mole for mole: how
much of it a malt brings is not known well enough for mg/L. Pale lager malt brings most, well kilned ale malt
little.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from .bitterness import Cooling

HALF_LIFE = 35.0  # of the precursor at 100 °C; Wilson & Booer 1979
DOUBLING = 6.0  # K cooler for twice the half-life; Dickenson 1979, second-hand (about 131 kJ/mol)
FREE_LOSS = (
    0.18  # 1/min, free dimethyl sulphide out of a boil that evaporates 17 % an hour; Wilson & Booer 1979
)

_LOW_PH, _LOW_HALF = 5.2, 38.0  # Dickenson 1979, second-hand
_HIGH_PH, _HIGH_HALF = 5.5, 32.5
_COLD = 60.0  # °C; below it the half-life is over two days
_STEPS = 64


def half_life(celsius: float = 100.0, ph: float | None = None) -> float:
    """Half-life (min) of the precursor in wort, 60-105 °C; it doubles for every 6 K cooler.

    Without a pH 35 min at 100 °C (Wilson & Booer 1979); with one, 38 min at pH 5.2 and 32.5 at 5.5 (Dickenson
    1979, second-hand) joined evenly and carried on to 5.0-5.8. The two sources differ by 2 % at pH 5.4.
    """
    at_boil = HALF_LIFE
    if ph is not None:
        share = (min(max(ph, 5.0), 5.8) - _LOW_PH) / (_HIGH_PH - _LOW_PH)
        at_boil = _LOW_HALF * math.pow(_HIGH_HALF / _LOW_HALF, share)
    return at_boil * math.pow(2.0, (100.0 - celsius) / DOUBLING)


def precursor_left(minutes: float, celsius: float = 100.0, ph: float | None = None) -> float:
    """Share of the precursor left after so long at a temperature. 60 min at 100 °C leave 0.30, 90 min 0.17."""
    return math.pow(2.0, -max(minutes, 0.0) / half_life(celsius, ph))


def boil_for(left: float, celsius: float = 100.0, ph: float | None = None) -> float:
    """Minutes of boil at a temperature until so small a share is left: at 2000 m it takes twice as long and more.

    Raises ValueError for a share that is not above 0 and at most 1.
    """
    if not 0.0 < left <= 1.0:
        raise ValueError("the share left is above 0 and at most 1")
    return -math.log2(left) * half_life(celsius, ph)


def as_at_100(minutes: float, celsius: float) -> float:
    """Minutes at 100 °C that do to the precursor what so many do at a temperature."""
    return minutes * math.pow(2.0, (celsius - 100.0) / DOUBLING)


def stand_as_at_100(stand: Iterable[Cooling]) -> float:
    """Minutes at 100 °C that do to the precursor what a hot stand does, held or cooling.

    Cooling stretches by Simpson's rule over time, followed down to 60 °C.
    """
    return math.fsum(_stretch(part) for part in stand)


def _stretch(part: Cooling) -> float:
    if part.minutes <= 0.0 or part.start <= _COLD:
        return 0.0
    if part.rate <= 0.0 or part.start == part.ambient:
        return as_at_100(part.minutes, part.start)
    minutes = part.minutes
    if part.ambient < _COLD:
        minutes = min(minutes, math.log((part.start - part.ambient) / (_COLD - part.ambient)) / part.rate)
    width = minutes / _STEPS
    speeds = [
        as_at_100(1.0, part.ambient + (part.start - part.ambient) * math.exp(-part.rate * width * i))
        for i in range(_STEPS + 1)
    ]
    inner = 4.0 * math.fsum(speeds[1:-1:2]) + 2.0 * math.fsum(speeds[2:-1:2])
    return width / 3.0 * (speeds[0] + inner + speeds[-1])


def formed(minutes_at_100: float, left: float = 1.0, ph: float | None = None) -> float:
    """Dimethyl sulphide made in a closed hot stand, from the precursor left at its start; none of it escapes.

    minutes_at_100: from as_at_100() or stand_as_at_100().
    """
    return left * -math.expm1(-math.log(2.0) * max(minutes_at_100, 0.0) / half_life(100.0, ph))


def free_after_boil(
    minutes: float,
    celsius: float = 100.0,
    ph: float | None = None,
    loss: float = FREE_LOSS,
    free: float = 0.0,
) -> float:
    """Free dimethyl sulphide in the kettle at the end of an open boil: made from the precursor, driven off by steam.

    loss: rate at which it leaves (1/min; 0.18 at 17 % evaporation an hour, less in a gentle boil); free: what was
    there at the start. Two first-order steps in a row, in closed form. Negative times and rates count as 0.
    """
    made = math.log(2.0) / half_life(celsius, ph)
    minutes = max(minutes, 0.0)
    loss = max(loss, 0.0)
    if abs(loss - made) < 1e-9:
        loss = made * (1.0 + 1e-6)  # equal rates have another closed form; a millionth apart gives its value
    built = made * (math.exp(-made * minutes) - math.exp(-loss * minutes)) / (loss - made)
    return built + free * math.exp(-loss * minutes)


def at_pitching(
    boil_minutes: float, stand: Iterable[Cooling] = (), celsius: float = 100.0, ph: float | None = None
) -> float:
    """Free dimethyl sulphide in the cooled wort: what the boil leaves, and what the closed hot stand makes after it.

    celsius is the boiling point. An open stand that still steams ends lower.
    """
    left = precursor_left(boil_minutes, celsius, ph)
    return free_after_boil(boil_minutes, celsius, ph) + formed(stand_as_at_100(stand), left, ph)
