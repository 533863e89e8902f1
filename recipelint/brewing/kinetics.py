"""How fast extract ferments: one logistic curve after another, at the pace of temperature and strength.

dF/dt = rate (F + seed)(1 - F / L), with F fermented so far and L what can ferment (kg), shifted so that nothing has
fermented at pitching: the form that fermentations are fitted with (Speers, Rogers & Smith 2003, from memory). Its
constants are from memory and its times good to a factor of two; what is exact is the gravity that belongs to so much
fermented extract, by ``fermentation.ferment``.

Masses kg, hours after pitching, gravities apparent 20/20 °C, temperatures °C.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from recipelint.brewing.fermentation import (
    CO2_PER_ALCOHOL,
    EXTRACT_PER_ALCOHOL,
    Beer,
    ferment,
    fermented_share,
)
from recipelint.brewing.gravity import sg_of_masses

RATE = 0.08  # per hour at 20 °C and 12 °P; an ale of 12 °P is then still after four days
SEED = 0.04  # of what can ferment at pitching: stands for the yeast pitched and its lag
Q10 = 2.2  # how much faster at 10 K more: a lager at 10 °C is still after nine days
COOL_FOLD = 3.0  # K below the culture's range for each fall of the rate to 1/e
STRENGTH = 0.7  # power of 12 °P over the strength by which stronger wort ferments slower
REFERENCE_PLATO = 12.0
REFERENCE_CELSIUS = 20.0
STILL_LEFT = 0.001  # kg in a kg of wort: half a gravity point, which no hydrometer sees moving
LONGEST = 8766.0  # h: what would take more than a year, in the cold, is said never to come
NEVER = math.inf
EQUAL = 1e-6  # SG: triggers closer than this are one
_MOST = 60.0  # exponent from which the curve lies on its limit


class State(NamedTuple):
    """The beer at one moment.

    extract and water: all that has gone in; fermented of it (kg), share of the extract; left: kg that can still
    ferment; stalled: kg that could and does not, since the culture's tolerance is passed.
    """

    hours: float
    extract: float
    water: float
    fermented: float
    left: float
    stalled: float
    beer: Beer

    @property
    def share(self) -> float:
        """Fermented part of all extract that has gone in."""
        return self.fermented / self.extract if self.extract > 0.0 else 0.0

    @property
    def ethanol(self) -> float:
        """kg in the beer."""
        return self.fermented / EXTRACT_PER_ALCOHOL

    @property
    def co2(self) -> float:
        """kg given off so far, what stays dissolved included."""
        return self.ethanol * CO2_PER_ALCOHOL


class Leg(NamedTuple):
    """A stretch on one curve: from ``state``, moving from ``begins`` (h) on at ``rate`` (1/h at 20 °C)."""

    state: State
    begins: float
    rate: float
    seed: float


class Clock:
    """Hours at 20 °C that have the effect of so many hours on these temperatures, and back."""

    def __init__(self, temperatures: Sequence[tuple[float, float]], low: float | None) -> None:
        self.ends = [end for end, _ in temperatures[:-1]] + [NEVER]
        self.speeds = [_speed(celsius, low) for _, celsius in temperatures]

    def ran(self, hours: float) -> float:
        """Hours at 20 °C with the effect of so many hours from pitching on."""
        total = start = 0.0
        for end, speed in zip(self.ends, self.speeds, strict=True):
            if hours <= end:
                return total + (hours - start) * speed
            total += (end - start) * speed
            start = end
        return total

    def when(self, ran: float) -> float:
        """Hours from pitching on with the effect of so many at 20 °C: ``ran`` turned round."""
        total = start = 0.0
        for end, speed in zip(self.ends, self.speeds, strict=True):
            if ran <= total + (end - start) * speed:
                return start + (ran - total) / speed
            total += (end - start) * speed
            start = end
        return NEVER

    def speed(self, hours: float) -> float:
        """The faster of the speeds just before and just after a time."""
        starts = [0.0, *self.ends[:-1]]
        rows = zip(starts, self.ends, self.speeds, strict=True)
        return max(speed for start, end, speed in rows if start <= hours <= end)


def _speed(celsius: float, low: float | None) -> float:
    warm = min(max(celsius, 0.0), 40.0)
    speed = math.pow(Q10, (warm - REFERENCE_CELSIUS) / 10.0)
    return speed * math.exp((warm - low) / COOL_FOLD) if low is not None and warm < low else speed


def state_of(
    hours: float, extract: float, water: float, fermented: float, left: float, stalled: float
) -> State:
    """The state whose beer has fermented so much (kg) of what has gone in; the share is kept at 1 at most."""
    share = min(fermented / extract, 1.0) if extract > 0.0 else 0.0
    beer = ferment(sg_of_masses(extract, water), share)
    return State(hours, extract, water, fermented, left, stalled, beer)


def leg_of(state: State, begins: float, seed: float, pace: float) -> Leg:
    """A leg at the pace of its strength: stronger wort ferments slower. pace: 1 is the expected one."""
    plato = 100.0 * state.extract / (state.extract + state.water)
    slower = math.pow(REFERENCE_PLATO / max(plato, REFERENCE_PLATO), STRENGTH)
    return Leg(state, begins, RATE * pace * slower, seed)


def fermented_at(leg: Leg, clock: Clock, hours: float) -> float:
    """kg fermented at a time on a leg."""
    state = leg.state
    whole = state.fermented + state.left
    if hours <= leg.begins or state.left <= 0.0:
        return state.fermented
    grown = leg.rate * (1.0 + leg.seed / whole) * (clock.ran(hours) - clock.ran(leg.begins))
    if grown > _MOST:
        return whole
    ratio = (state.fermented + leg.seed) / state.left * math.exp(grown)
    if not math.isfinite(ratio):  # so little is left that the quotient overflows
        return whole
    return min(max((ratio * whole - leg.seed) / (1.0 + ratio), state.fermented), whole)


def hours_of(leg: Leg, clock: Clock, fermented: float) -> float:
    """When so much (kg) has fermented on a leg; its own start if it has already, infinite if it never will."""
    state = leg.state
    whole = state.fermented + state.left
    if fermented <= state.fermented:
        return state.hours
    if fermented >= whole:
        return NEVER
    ratio = (fermented + leg.seed) / (whole - fermented) * state.left / (state.fermented + leg.seed)
    hours = clock.when(clock.ran(leg.begins) + math.log(ratio) / (leg.rate * (1.0 + leg.seed / whole)))
    return hours if hours <= leg.begins + LONGEST else NEVER


def hours_of_gravity(leg: Leg, clock: Clock, gravity: float) -> float:
    """When a leg falls to a gravity (SG); its own start if it is there already, infinite if it never does."""
    state = leg.state
    if state.beer.gravity <= gravity + EQUAL:
        return state.hours
    if state.extract <= 0.0:
        return NEVER
    wanted = fermented_share(sg_of_masses(state.extract, state.water), gravity)
    return hours_of(leg, clock, wanted * state.extract)


def hours_of_still(leg: Leg, clock: Clock) -> float:
    """When the rest that ferments is too little to be seen moving."""
    state = leg.state
    small = STILL_LEFT * (state.extract + state.water)
    return hours_of(leg, clock, state.fermented + max(state.left - small, 0.0))


def moved(leg: Leg, clock: Clock, hours: float) -> State:
    """The state at a time on a leg."""
    state = leg.state
    fermented = fermented_at(leg, clock, hours)
    left = state.fermented + state.left - fermented
    return state_of(hours, state.extract, state.water, fermented, left, state.stalled)
