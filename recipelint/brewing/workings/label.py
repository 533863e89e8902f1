"""Working of the figures of a label: what is in the glass by the factors of the law, and rounded as it rounds."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import energy
from recipelint.brewing.workings.keeping import alcohol, carbohydrate, solids
from recipelint.brewing.workings.package import in_the_package
from recipelint.brewing.workings.sheet import MEMORY, Known, Sheet, part

LABEL = "For a label: check local law"
FACTORS = "Regulation (EU) 1169/2011, annex XIV"
ROUNDING = f"Commission guidance on nutrient tolerances 2012, {MEMORY}"
LAW = "check local law"


@part(LABEL)
def _strength(sheet: Sheet) -> Known:
    strong = in_the_package(sheet)
    formula = f"round(100 * {strong.symbol}, 1) / 100"
    source = "Regulation (EU) 1169/2011, annex XII: one decimal"
    value = energy.label_strength(strong.value)
    return sheet.put(
        "v_lb", "alcohol by volume as a label gives it", formula, (strong,), "1", value, source, LAW
    )


def _energy(symbol: str, unit: str, per_alcohol: float, per_extract: float) -> Callable[[Sheet], Known]:
    """The chain of the energy in one unit; each unit has factors of its own, and neither is turned into the other."""

    @part(LABEL)
    def chain(sheet: Sheet) -> Known:
        spirit, extract = alcohol(sheet), solids(sheet)
        formula = f"round({per_alcohol:g} * {spirit.symbol} + {per_extract:g} * {extract.symbol}, 0)"
        words = "energy of 100 mL as a label gives it"
        note = f"whole {unit.partition('/')[0]}: {ROUNDING}; {LAW}"
        return sheet.put(symbol, words, formula, (spirit, extract), unit, source=FACTORS, note=note)

    return chain


@part(LABEL)
def _carbohydrate(sheet: Sheet) -> Known:
    found = carbohydrate(sheet)
    if found.value <= energy.LABEL_NOTHING:
        formula, how = f"0 * {found.symbol}", f"{energy.LABEL_NOTHING:g} g or less is given as 0"
    elif found.value >= energy.LABEL_WHOLE:
        formula, how = f"round({found.symbol}, 0)", f"whole grams from {energy.LABEL_WHOLE:g} g on"
    else:
        formula, how = f"round({found.symbol}, 1)", f"tenths of a gram below {energy.LABEL_WHOLE:g} g"
    value = energy.label_carbohydrate(found.value)
    words = "carbohydrate of 100 mL as a label gives it"
    return sheet.put("g_lb", words, formula, (found,), "g/100 mL", value, ROUNDING, f"{how}; {LAW}")


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "label_abv": _strength,
    "label_kilojoules": _energy("kJ_lb", "kJ/100 mL", energy.LABEL_KJ_ALCOHOL, energy.LABEL_KJ_CARBOHYDRATE),
    "label_kilocalories": _energy(
        "kcal_lb", "kcal/100 mL", energy.LABEL_KCAL_ALCOHOL, energy.LABEL_KCAL_CARBOHYDRATE
    ),
    "label_carbohydrate": _carbohydrate,
}
