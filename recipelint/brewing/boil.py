"""The boil: what evaporates, how the wort thickens, how hot it boils, and how it cools afterwards.

Volumes L at 20 °C unless said, time min, temperature °C.
"""

from __future__ import annotations

import math

from .gravity import WATER_DENSITY, extract_per_litre, sg_of

LATENT_HEAT = 2257.0  # kJ/kg, of water at 100 °C
NATURAL_FLOOR = (
    46.40  # °C, where the fitted curve of a kettle left to itself levels off; not the room's temperature
)


def evaporated(boil_off: float, minutes: float) -> float:
    """Volume (L at 20 °C) boiled off in so many minutes at a rate in L/h."""
    return boil_off * minutes / 60.0


def evaporation_limit(power: float, loss: float = 0.0) -> float:
    """Most that a heat source can boil off (L/h at 20 °C).

    Power and loss in W. 2.5 kW less 0.5 kW gives 3.2 L/h.
    """
    return max(power - loss, 0.0) * 3.6 / LATENT_HEAT / WATER_DENSITY


def concentrated(sg: float, volume: float, end_volume: float) -> float:
    """Gravity of a wort boiled down, or let down with water, to another volume: the extract stays.

    The rule points x volume agrees to 0.05-0.35 points. Raises ValueError for an end volume that is not above
    zero.
    """
    return sg_of(extract_per_litre(sg) * volume, end_volume)


def volume_for(sg: float, volume: float, end_sg: float) -> float:
    """Volume to which a wort must be boiled down, or let down, to reach a gravity.

    Raises ValueError if that is not above 1.000.
    """
    wanted = extract_per_litre(end_sg)
    if wanted <= 0.0:
        raise ValueError("the gravity aimed at must be above 1.000")
    return extract_per_litre(sg) * volume / wanted


def average_boil_gravity(start_sg: float, end_sg: float) -> float:
    """Mean gravity over a boil in which the volume falls evenly from start_sg to end_sg.

    Points go as 1 / volume, so the time mean is p q ln(q / p) / (q - p); the plain mean of p and q is up to a
    point higher. Of a gravity at or below 1.000 the plain mean is taken.
    """
    p = start_sg - 1.0
    q = end_sg - 1.0
    if p <= 0.0 or q <= 0.0 or abs(q - p) < 1e-9 * p:
        return 1.0 + 0.5 * (p + q)
    return 1.0 + p * q * math.log1p((q - p) / p) / (q - p)


def boiling_point(altitude: float = 0.0, plato: float = 0.0) -> float:
    """Temperature (°C) at which wort boils at so many metres, -400 to 4000.

    Standard atmosphere and a vapour-pressure line of water (constants from memory), within 0.1 K of the steam
    tables; wort adds 0.26 K at 15 °P, 0.37 at 20, as if its extract were all disaccharide. Weather moves it
    by +-0.8 K.
    """
    pressure = 760.0 * (1.0 - 2.25577e-5 * altitude) ** 5.25588  # mmHg
    water = 1730.63 / (8.07131 - math.log10(pressure)) - 233.426
    share = plato / 100.0
    return water + 0.512 * 1000.0 * share / (1.0 - share) / 342.3


def natural_cooling_rate(surface: float, opening: float, volume: float) -> float:
    """Rate (1/min) at which a small kettle left to itself cools towards NATURAL_FLOOR.

    surface of the wort and opening of the lid in cm2, volume in L. Fitted to kettles of 10-40 L at room
    temperature. Source: HOSOM06.
    """
    if volume <= 0.0:
        raise ValueError("the volume must be above zero")
    return 0.0002925 * math.sqrt(surface * opening) / volume + 0.00538


def cooling_rate(start: float, end: float, minutes: float, ambient: float) -> float:
    """Rate (1/min) of a cooling that takes so many minutes from start to end against something at ambient
    (all °C).

    Raises ValueError unless start > end > ambient and minutes > 0.
    """
    if not (start > end > ambient and minutes > 0.0):
        raise ValueError("wort cools from the warmer to the colder, and stays above what cools it")
    return math.log((start - ambient) / (end - ambient)) / minutes


def cooled(start: float, ambient: float, rate: float, minutes: float) -> float:
    """Temperature (°C) after so many minutes of cooling at a rate (1/min) towards ambient.

    A rate of 0 holds it.
    """
    return ambient + (start - ambient) * math.exp(-rate * minutes)


def time_to_cool(start: float, ambient: float, rate: float, end: float) -> float:
    """Minutes until wort cools to end (°C); infinite if it never does."""
    if end >= start:
        return 0.0
    if rate <= 0.0 or end <= ambient:
        return math.inf
    return math.log((start - ambient) / (end - ambient)) / rate
