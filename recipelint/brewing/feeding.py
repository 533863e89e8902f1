"""What yeast gives and needs beside its number: heat, nitrogen and zinc, oxygen, sugar in doses, alcohol it stands.

Volumes L at 20 °C, masses kg, gravities apparent 20/20 °C, shares and strengths fractions, concentrations mg/L, heat
MJ. Figures scatter by factors, so most are a ``Band``; its sides are where printed figures lie unless marked "from
memory". The sources stand in full in tests/check_values/fermentation-and-packaging.yaml.
"""

from __future__ import annotations

import math

from recipelint.brewing.gravity import plato_from_sg, points, sg_of_masses
from recipelint.brewing.yeast import STRONG_ABOVE, Band, times

HEAT_PER_EXTRACT = Band(0.5866, 0.50, 0.65)  # MJ/kg fermented: Kunze, from memory, as the sides are
BEER_HEAT = 4.0  # kJ/(kg K); from memory
AMINO_PER_PLATO = Band(15.0, 11.0, 19.0)  # mg/L of free amino nitrogen for each °P from malt; from memory
NITROGEN_IN_PHOSPHATE = 0.2121  # of diammonium phosphate: 2 x 14.007 / 132.06
ZINC_IN_SULPHATE = 0.2274  # of the heptahydrate: 65.38 / 287.54
ZINC_WANTED = (0.10, 0.15)  # mg/L of wort (Kunze, as quoted)
ZINC_KEPT = 0.5  # of what goes into the kettle: half stays with the trub
DOSE_POINTS = (15.0, 20.0)  # that practitioners add in one dose; a weak source, and from memory
OXYGEN_IN_AIR = 0.2095
OXYGEN_DENSITY = 1.33  # g/L at 20 °C
OXYGEN_FLOW = 1.0  # L/min through a small stone; from memory
OXYGEN_SOLUBLE = 0.016  # part that each °P of extract takes off the solubility of oxygen; from memory
AIR_MINUTES = 10.0  # to fill 63 % of what air can give: 6.9 mg/L after 10 min were read
PURE_UPTAKE = Band(0.15, 0.07, 0.30)  # of the gas that passes; from memory


def heat_of_fermentation(fermented: float) -> Band:
    """Heat (MJ) that so much extract (kg) gives while it ferments. Source: Kunze, from memory."""
    return times(HEAT_PER_EXTRACT, fermented)


def mean_power(heat: float, hours: float) -> float:
    """Mean power (W) of so much heat (MJ) over so long. Raises ValueError unless the time is above zero."""
    if hours <= 0.0:
        raise ValueError("the time must be above zero")
    return heat * 1e6 / (3600.0 * hours)


def peak_power(heat: float, hours: float) -> float:
    """Highest power (W) of so much heat (MJ) when 5 to 95 % of the extract ferments in so long.

    On a logistic curve: ln 19 / 2 = 1.47 times heat over hours. Raises ValueError unless the time is above zero.
    """
    return 0.5 * math.log(19.0) * mean_power(heat, hours)


def heat_rise(fermented_share: float) -> float:
    """Kelvin that beer warms if no heat leaves it, when so much of its mass (fraction) ferments."""
    return fermented_share * 1000.0 * HEAT_PER_EXTRACT.value / BEER_HEAT


def amino_nitrogen(gravity: float, malt_share: float) -> Band:
    """Free amino nitrogen (mg/L) of a wort whose extract is by so large a share (fraction) from malt.

    Sugar brings none; neither, to speak of, do unmalted grain and fruit. A pale wort of 12 °P has 130 to 230.
    """
    return times(AMINO_PER_PLATO, max(plato_from_sg(gravity), 0.0) * malt_share)


def amino_nitrogen_wanted(gravity: float) -> float:
    """Free amino nitrogen (mg/L) wanted at least: 150 to 1.050, 200 from STRONG_ABOVE on, between them even.

    From memory.
    """
    return 150.0 + 50.0 * min(max((gravity - 1.050) / (STRONG_ABOVE - 1.050), 0.0), 1.0)


def phosphate_nitrogen(milligrams: float) -> float:
    """Nitrogen (mg/L) that so much diammonium phosphate (mg/L) brings: by its molar masses."""
    return milligrams * NITROGEN_IN_PHOSPHATE


def sulphate_zinc(milligrams: float, boiled: bool = False) -> float:
    """Zinc (mg/L) that so much zinc sulphate heptahydrate (mg/L) leaves in the wort; half where it was boiled in it."""
    return milligrams * ZINC_IN_SULPHATE * (ZINC_KEPT if boiled else 1.0)


def oxygen_wanted(kind: str, gravity: float) -> Band:
    """Dissolved oxygen (mg/L) wanted: ale 8-12, lager 10-15 (Raines-Casselman, as quoted), strong wort 12 and more."""
    if kind == "lager":
        return Band(12.0, 10.0, 15.0)
    return Band(12.0, 10.0, 15.0) if gravity > STRONG_ABOVE else Band(9.0, 8.0, 12.0)


def oxygen_saturation(celsius: float, gravity: float = 1.0, pure: bool = False) -> float:
    """Oxygen (mg/L) in wort in balance with air, or with pure oxygen, at one atmosphere.

    Water: Benson & Krause 1984 (coefficients from memory), 0-40 °C. Extract takes off 1.6 % for each °P (from memory):
    7.5 mg/L at 12 °P and 20 °C. Pure oxygen: by its share of the air, damp counted as in air.
    """
    kelvin = celsius + 273.15
    log = (
        -139.34411
        + 1.575701e5 / kelvin
        - 6.642308e7 / kelvin**2
        + 1.243800e10 / kelvin**3
        - 8.621949e11 / kelvin**4
    )
    found = math.exp(log - OXYGEN_SOLUBLE * max(plato_from_sg(gravity), 0.0))
    return found / OXYGEN_IN_AIR if pure else found


def oxygen_given(
    dose: str, minutes: float | None, volume: float, celsius: float, gravity: float
) -> Band | None:
    """Oxygen (mg/L) that a dose leaves in so much wort: none, shaken, air (through a stone) or pure.

    A dose nears its saturation as a first-order process. shaken: half of what air can give; air without a time:
    three quarters. Pure oxygen without a time: None, since a minute or two decide it. All good to a factor of two.
    """
    air = oxygen_saturation(celsius, gravity)
    if dose == "none":
        return Band(0.0, 0.0, 0.0)
    if dose == "shaken":
        return Band(0.5 * air, 0.25 * air, 0.8 * air)
    if dose == "air":
        part = 0.75 if minutes is None else 1.0 - math.exp(-minutes / AIR_MINUTES)
        return Band(part * air, 0.6 * part * air, min(1.5 * part, 1.0) * air)
    if dose != "pure" or minutes is None or volume <= 0.0:
        return None
    full = oxygen_saturation(celsius, gravity, pure=True)
    passed = OXYGEN_FLOW * minutes * OXYGEN_DENSITY * 1000.0 / volume
    return Band(*(full * (1.0 - math.exp(-part * passed / full)) for part in PURE_UPTAKE))


def points_added(extract: float, water: float, more: float, more_water: float) -> float:
    """Gravity points that a dose (kg of extract and of water) adds to a wort (kg), counted as if nothing fermented."""
    return points(sg_of_masses(extract + more, water + more_water)) - points(sg_of_masses(extract, water))


def doses(total_points: float, largest: float = DOSE_POINTS[1]) -> int:
    """Equal doses that keep each to so many points; 0 for nothing to add."""
    return max(math.ceil(total_points / largest - 1e-9), 0)


def beyond_tolerance(abv: float, tolerance: float) -> float:
    """Alcohol (fraction of the volume) above what the culture stands; 0 below.

    A stated tolerance is soft: much of it is the response to other stress. Source: Heit 2015.
    """
    return max(abv - tolerance, 0.0)
