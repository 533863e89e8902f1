"""Carbon dioxide: what fermentation leaves, what sugar makes, and what it presses on the glass with.

Carbonation in volumes (litres of gas at 0 °C and one atmosphere in a litre of beer), temperature °C, pressure
bar above the air, masses g. What a vessel does with the gas is in ``gas``.
"""

from __future__ import annotations

import math

GRAMS_PER_VOLUME = 1.96  # g/L; ideal gas 1.963, real gas 1.977, home practice 2.0
CO2_PER_DISACCHARIDE = 0.5143  # g/g, stoichiometric
CO2_PER_MONOSACCHARIDE = 0.4886  # g/g
CO2_PER_EXTRACT = 0.4629  # g/g, Balling: some of the extract becomes yeast
ATMOSPHERE = 1.013  # bar

# Sugars of the catalogue that are glucose and fructose, wholly or nearly so; the rest count as sucrose or maltose.
_MONOSACCHARIDES = (
    "agave-syrup",
    "black-invert",
    "candi-syrup",
    "date-syrup",
    "dextrose",
    "fructose",
    "honey",
    "invert-sugar",
)


def solubility(celsius: float) -> float:
    """CO2 (g/L) that beer holds for each bar of CO2 over it, 0-40 °C: a Henry form.

    Source: Troester, Carbonation Tables (2008). Against two fits to the trade's table (1-16 °C) it differs by
    up to 0.06 vol at 2.5 vol and 0.15 at 4; above 15 °C it is the safer one. Pure water (Weiss 1974) holds 4 to
    7 % more up to 30 °C and 11 % more at 40, where this one errs to too much pressure. Strong beer deviates, no
    correction was found.
    """
    return 10.0 * math.exp(-10.73797 + 2617.25 / (celsius + 273.15))


def dissolved(celsius: float, pressure: float) -> float:
    """CO2 (g/L) in beer in balance with a gauge pressure (bar) at a temperature; range as solubility()."""
    return (pressure + ATMOSPHERE) * solubility(celsius)


def pressure(celsius: float, volumes: float) -> float:
    """Gauge pressure (bar) of so much carbonation at a temperature.

    Dissolved() the other way round; never below 0.
    """
    return max(0.0, volumes * GRAMS_PER_VOLUME / solubility(celsius) - ATMOSPHERE)


def residual(celsius: float) -> float:
    """Carbonation (vol) that is left when fermentation ended at this temperature under an airlock, 0-25 °C.

    A fit to Hibberd's table (1995), within 0.02; the Henry form gives 0.02-0.1 less. Months of storage with
    racking leave less.
    """
    fahrenheit = celsius * 1.8 + 32.0
    return max(0.0, 3.0378 - 0.050062 * fahrenheit + 0.00026555 * fahrenheit * fahrenheit)


def is_monosaccharide(sugar: str) -> bool:
    """Whether a sugar of this id is glucose and fructose. Mixed syrups count as not: at most 5 % more gas."""
    return sugar.startswith(_MONOSACCHARIDES)


def sugar_per_volume(extract: float, fermentability: float, monosaccharide: bool) -> float:
    """Grams of a sugar for one volume in one litre, from its extract (fraction) and how much of it ferments.

    Sucrose 3.81, anhydrous glucose 4.01, the monohydrate 4.41: stoichiometry; practice takes 4.0 for sucrose,
    and 3.7 for glucose is in print, which seems to take the gas at 20 °C. Honey of 80 % extract, 95 %
    fermentable, 5.28. Infinite for what does not ferment.
    """
    gas = extract * fermentability * (CO2_PER_MONOSACCHARIDE if monosaccharide else CO2_PER_DISACCHARIDE)
    return GRAMS_PER_VOLUME / gas if gas > 0.0 else math.inf


def volumes_made(extract: float, litres: float) -> float:
    """Carbonation (vol) that so much fermented extract (kg) makes in so much beer, by Balling.

    As measured on whole fermentations; in a bottle, where hardly any yeast grows, stoichiometry gives a tenth more.
    """
    return 1000.0 * extract * CO2_PER_EXTRACT / litres / GRAMS_PER_VOLUME


def malt_extract_per_volume(extract: float, fermentability: float) -> float:
    """Grams of malt extract for one volume in one litre; its fermentability is the real share.

    Dry extract (97 % extract, 60-65 % fermentable) 6.7-7.3, by Balling. The rule of 1.4-1.5 times the sucrose
    (from memory) gives a fifth less gas than it means to. Infinite for what does not ferment.
    """
    gas = extract * fermentability * CO2_PER_EXTRACT
    return GRAMS_PER_VOLUME / gas if gas > 0.0 else math.inf
