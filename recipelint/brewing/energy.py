"""What a beer feeds: alcohol, carbohydrate and energy, as a laboratory reckons it and as a label of the EU does.

All per 100 mL of beer at 20 °C; alcohol by volume a fraction, real extract °P. Priming sugar has become
alcohol: pass the strength in the package. Nobody's advice: what must stand on a label, and how it is rounded,
is for local law. An EU label of a drink above 1.2 % vol needs no table of nutrients (Regulation (EU) 1169/2011,
article 16); what is given is for those who print one all the same.
"""

from __future__ import annotations

from typing import NamedTuple

from .fermentation import ETHANOL_DENSITY, Beer
from .gravity import density

ASH = 0.1  # g in 100 g of beer that is in the extract and burns no more; the method's round figure
PROTEIN = 0.5  # g/100 mL; 0.3-0.7 in the ales of a food table
KCAL_PER_GRAM_ALCOHOL = 6.9  # laboratory (ASBC)
KCAL_PER_GRAM_EXTRACT = 4.0
LABEL_KJ_ALCOHOL, LABEL_KCAL_ALCOHOL = 29.0, 7.0  # Regulation (EU) 1169/2011, annex XIV
LABEL_KJ_CARBOHYDRATE, LABEL_KCAL_CARBOHYDRATE = 17.0, 4.0  # and of protein
KJ_PER_KCAL = 4.184
LABEL_WHOLE = 10.0  # g/100 mL of carbohydrate from which a label gives whole grams
LABEL_NOTHING = 0.5  # g/100 mL up to which it may say 0


class Energy(NamedTuple):
    """kcal and kJ of 100 mL."""

    kilocalories: float
    kilojoules: float


def alcohol_by_mass(abv: float) -> float:
    """Alcohol (g/100 mL) of a strength."""
    return 100.0 * abv * ETHANOL_DENSITY


def ten_millilitre_units(abv: float, litres: float) -> float:
    """Units of 10 mL of alcohol in so many litres.

    A unit is 10 mL (7.9 g) in some countries, a drink 10 to 20 g in others: from memory.
    """
    return abv * litres * 100.0


def carbohydrate(beer: Beer, protein: float = PROTEIN) -> float:
    """Carbohydrate (g/100 mL): real extract less ash and protein (g/100 mL); never below 0.

    Glycerol and acids, 0.2-0.4 g/100 mL together (from memory), are counted in it. The guess at the protein is
    worth 0.2 g/100 mL either way.
    """
    return max((beer.real_extract - ASH) * density(beer.gravity) - protein, 0.0)


def energy(beer: Beer) -> Energy:
    """Energy (of 100 mL) as a laboratory reckons it: 6.9 kcal for a gram of alcohol, 4 for one of extract less ash.

    Source: the ASBC form as in the Oxford Companion to Beer, entry calories. A shortcut from two gravities that
    is in print reads 6 % high at 1.100 and 8 % at 1.120, since its strength does.
    """
    return _laboratory(alcohol_by_mass(beer.abv), _burnt(beer))


def label_energy(beer: Beer) -> Energy:
    """Energy (of 100 mL) by the factors of an EU label, neither rounded nor turned from one unit into the other.

    29 kJ or 7 kcal for a gram of alcohol, 17 kJ or 4 kcal for one of carbohydrate or protein. The two units
    part by up to 2 %. Source: Regulation (EU) 1169/2011, annex XIV.
    """
    alcohol, extract = alcohol_by_mass(beer.abv), _burnt(beer)
    return Energy(
        LABEL_KCAL_ALCOHOL * alcohol + LABEL_KCAL_CARBOHYDRATE * extract,
        LABEL_KJ_ALCOHOL * alcohol + LABEL_KJ_CARBOHYDRATE * extract,
    )


def label_strength(abv: float) -> float:
    """A strength (fraction) as a label gives it: to a tenth of a per cent.

    EU: no more than one decimal, at 20 °C (Regulation (EU) 1169/2011, annex XII). US: to the nearest tenth
    (27 CFR 7.65, from memory). How far the beer may lie from it: strength_tolerance().
    """
    return round(100.0 * abv, 1) / 100.0


def label_carbohydrate(grams: float) -> float:
    """Carbohydrate (g/100 mL) as an EU label gives it: whole grams from 10 up, tenths below, and 0 up to 0.5.

    Source: the Commission's guidance on tolerances for nutrients, December 2012, from memory.
    """
    if grams <= LABEL_NOTHING:
        return 0.0
    return float(round(grams, 0 if grams >= LABEL_WHOLE else 1))


def label_rounded(value: Energy) -> Energy:
    """An energy as an EU label gives it: in whole kcal and whole kJ. Source as label_carbohydrate()."""
    return Energy(float(round(value.kilocalories)), float(round(value.kilojoules)))


def _laboratory(alcohol: float, extract: float) -> Energy:
    kilocalories = KCAL_PER_GRAM_ALCOHOL * alcohol + KCAL_PER_GRAM_EXTRACT * extract
    return Energy(kilocalories, kilocalories * KJ_PER_KCAL)


def _burnt(beer: Beer) -> float:
    return max(beer.real_extract - ASH, 0.0) * density(beer.gravity)


def strength_tolerance(abv: float, region: str) -> float:
    """How far the strength may lie from what the label says, either way (fraction), ``eu`` or ``us``.

    EU: 0.5 % vol up to 5.5 % vol, 1.0 above; written with one decimal, at 20 °C (Regulation (EU) 1169/2011,
    annex XII). US: 0.3 % vol of malt beverages from 0.5 % vol (27 CFR 7.71, 2015, renumbered since). Check
    local law. Raises KeyError for another region.
    """
    return {"eu": 0.005 if abv <= 0.055 else 0.010, "us": 0.003}[region]
