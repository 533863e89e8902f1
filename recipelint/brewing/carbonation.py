"""Carbon dioxide: what fermentation leaves, what sugar makes, and what it presses on the glass with.

Carbonation in volumes (litres of gas at 0 °C and one atmosphere in a litre of beer), temperature °C, pressure
bar above the air, masses g.
"""

from __future__ import annotations

import math

GRAMS_PER_VOLUME = 1.96  # g/L; ideal gas 1.963, real gas 1.977, home practice 2.0
CO2_PER_DISACCHARIDE = 0.5143  # g/g, stoichiometric
CO2_PER_MONOSACCHARIDE = 0.4886  # g/g
CO2_PER_EXTRACT = 0.4629  # g/g, Balling: some of the extract becomes yeast
ATMOSPHERE = 1.013  # bar


def dissolved(celsius: float, pressure: float) -> float:
    """CO2 (g/L) in beer in balance with a gauge pressure (bar) at a temperature: a Henry form.

    Source: Troester, Carbonation Tables (2008). Against two fits to the trade's table it differs by up to
    0.06 vol at 2.5 vol and 0.15 at 4; above 15 °C it is the safer one. Strong beer deviates, no correction
    was found.
    """
    return 10.0 * (pressure + ATMOSPHERE) * math.exp(-10.73797 + 2617.25 / (celsius + 273.15))


def pressure(celsius: float, volumes: float) -> float:
    """Gauge pressure (bar) of so much carbonation at a temperature.

    Dissolved() the other way round; never below 0.
    """
    grams = volumes * GRAMS_PER_VOLUME
    return max(0.0, grams / (10.0 * math.exp(-10.73797 + 2617.25 / (celsius + 273.15))) - ATMOSPHERE)


def residual(celsius: float) -> float:
    """Carbonation (vol) that is left when fermentation ended at this temperature under an airlock, 0-25 °C.

    A fit to Hibberd's table (1995), within 0.02; the Henry form gives 0.02-0.1 less. Months of storage with
    racking leave less.
    """
    fahrenheit = celsius * 1.8 + 32.0
    return max(0.0, 3.0378 - 0.050062 * fahrenheit + 0.00026555 * fahrenheit * fahrenheit)


def sugar_per_volume(extract: float, fermentability: float, monosaccharide: bool) -> float:
    """Grams of a sugar for one volume in one litre, from its extract (fraction) and how much of it ferments.

    Sucrose 3.81, anhydrous glucose 4.01, the monohydrate 4.41: stoichiometry; practice takes 4.0 for sucrose.
    Infinite for what does not ferment.
    """
    gas = extract * fermentability * (CO2_PER_MONOSACCHARIDE if monosaccharide else CO2_PER_DISACCHARIDE)
    return GRAMS_PER_VOLUME / gas if gas > 0.0 else math.inf
