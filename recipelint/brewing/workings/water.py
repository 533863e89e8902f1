"""Working of the liquor: its waters, the salts and acids in it, and what they make of its ions and its alkalinity.

Ions mg/L, alkalinity and acid mEq/L, salts g, acids mmol, volumes L.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from recipelint.brewing import water
from recipelint.brewing.acids import ACIDS
from recipelint.brewing.stats import find
from recipelint.brewing.workings.doses import (
    LIQUOR,
    MOLAR,
    Dose,
    acid_worth,
    all_liquor,
    dose_name,
    litres,
    per_litre,
    salts,
    sours,
    sparged,
)
from recipelint.brewing.workings.givens import origin, row_origin
from recipelint.brewing.workings.sheet import Known, Sheet, once, part
from recipelint.brewing.workings.volumes import in_mash, sparge
from recipelint.recipe.quantity import Quantity
from recipelint.recipe.stat_names import STATS

BLEND = "blend by volume"
KOLBACH = "Kolbach 1953: 3.5 of calcium and 7 of magnesium set one of acid free"
_LETTER = {"calcium": "Ca", "magnesium": "Mg", "sodium": "Na", "chloride": "Cl", "sulphate": "S", "alkalinity": "K",
           "carbon": "Ct"}  # fmt: skip
_UNIT = {"alkalinity": "mEq/L", "carbon": "mmol/L"}
_PER_MEQ = {"bicarbonate": water.BICARBONATE, "carbonate": water.CARBONATE, "hydroxide": water.HYDROXIDE}


# ---------------------------------------------------------------------- the waters


@once
def _share(sheet: Sheet, index: int) -> Known:
    """Share of a water in the blend."""
    recipe = sheet.plan.recipe
    shares = water.shares_of([one.share.value if one.share is not None else None for one in recipe.water])
    written, value = recipe.water[index].share, shares[index]
    if written is not None:
        where = origin(sheet, written) + (
            "" if abs(written.value - value) < 1e-12 else ", scaled so that all make 1"
        )
    else:
        where = (
            f"{recipe.water[index].at}: the only water" if len(shares) == 1 else "what the other waters leave"
        )
    return sheet.given(
        f"p_{index + 1}", f"share of {recipe.water[index].source or 'the water'}", value, "1", where
    )


def _analysis(sheet: Sheet, index: int, name: str) -> Known | None:
    """An ion of a water as it is written or stands in the catalogue; None where neither has it."""
    written, row = sheet.plan.recipe.water[index], sheet.plan.water_rows[index]
    own: Quantity | None = getattr(written, name)
    bases = ("bicarbonate", "alkalinity")
    other: Any = row
    if name in bases and any(getattr(written, base) is not None for base in bases):
        other = None
    value = own.value if own is not None else getattr(other, name, None)
    if value is None:
        return None
    where = origin(sheet, own) if own is not None else row_origin(sheet, other, name)
    letter = {"bicarbonate": "HCO3", "alkalinity": "CaCO3"}.get(name) or _LETTER[name]
    words = f"{name} of {written.source or 'the water'}"
    return sheet.given(f"{letter}_{index + 1}", words, value, "mg/L", where)


def _in_water(sheet: Sheet, index: int, ion: str) -> tuple[str, Known | None]:
    """What a water brings of an ion, as a formula over one given; alkalinity in mEq."""
    if ion != "alkalinity":
        known = _analysis(sheet, index, ion)
        return (known.symbol if known is not None else "0"), known
    known = _analysis(sheet, index, "alkalinity")
    if known is not None:
        return f"{known.symbol} / {water.CACO3:g}", known
    known = _analysis(sheet, index, "bicarbonate")
    return (f"{known.symbol} / {water.BICARBONATE:g}" if known is not None else "0"), known


@part(LIQUOR)
def blended(sheet: Sheet, ion: str) -> Known:
    """An ion of the blend of waters, or its alkalinity (mEq/L)."""
    parts: list[str] = []
    terms: list[Known] = []
    for index in range(len(sheet.plan.recipe.water)):
        share = _share(sheet, index)
        if share.value == 0.0:
            continue  # of an unknown water nothing is nothing
        formula, known = _in_water(sheet, index, ion)
        parts.append(f"{share.symbol} * {formula}")
        terms += [share, *((known,) if known is not None else ())]
    words = f"{ion} of the water"
    return sheet.put(f"{_LETTER[ion]}_w", words, " + ".join(parts), terms, _unit(ion), source=BLEND)


@part(LIQUOR)
def _by_salt(sheet: Sheet, dose: Dose, ion: str, acid: bool) -> Known | None:
    """What a salt brings of an ion to a litre; None where it brings none."""
    row = sheet.plan.addition_rows[dose.row]
    assert row is not None
    ions: Mapping[str, float] = row.ions or {}
    name, number = dose_name(sheet, dose.row), dose.row + 1
    parts: list[str] = []
    shares: list[Known] = []
    for one in _PER_MEQ if ion in ("alkalinity", "carbon") else (ion,):
        if not ions.get(one) or (ion == "carbon" and one == "hydroxide"):
            continue
        letter = one[:4]
        share = sheet.given(f"i_{number}{letter}", f"{one} in {name}, by weight", ions[one], "1",
                            row_origin(sheet, row, "ions"))  # fmt: skip
        shares.append(share)
        half = "0.5 * " if ion == "carbon" and one == "carbonate" else ""
        over = f" / {_PER_MEQ[one]:g}" if one in _PER_MEQ else ""
        parts.append(f"{half}{share.symbol}{over}")
    if not parts:
        return None
    grams = per_litre(sheet, dose, acid)
    what = f"({' + '.join(parts)})" if len(parts) > 1 else parts[0]
    tag = f"{number}{'m' if acid else 'r'}"
    words, formula = f"{ion} that {name} brings to a litre", f"1000 * {grams.symbol} * {what}"
    return sheet.put(f"{_LETTER[ion]}_{tag}", words, formula, (grams, *shares), _unit(ion), source=MOLAR)


def _unit(ion: str) -> str:
    return _UNIT.get(ion, "mg/L")


@part(LIQUOR)
def carbon(sheet: Sheet) -> Known:
    """Carbonate (mmol/L) of the mash liquor, salts in it: that of the waters is taken as bicarbonate."""
    base = blended(sheet, "alkalinity")
    more = [
        _by_salt(sheet, dose, "carbon", True) for dose in salts(sheet) if dose.where in ("mash", "liquor")
    ]
    terms = [base, *(known for known in more if known is not None)]
    formula = " + ".join(term.symbol for term in terms)
    words = "carbonate of the mash liquor, the water's as bicarbonate"
    return sheet.put("Ct_m", words, formula, terms, "mmol/L", source=MOLAR)


@part(LIQUOR)
def salted(sheet: Sheet, ion: str, rinse: bool) -> Known:
    """An ion of the mash liquor or of the sparge liquor, salts in it and acids left out."""
    terms = [blended(sheet, ion)]
    for dose in salts(sheet):
        if dose.where in (("sparge" if rinse else "mash"), "liquor"):
            more = _by_salt(sheet, dose, ion, not rinse)
            if more is not None:
                terms.append(more)
    where, tag = ("sparge", "r") if rinse else ("mash", "m")
    words = f"{ion} of the {where} liquor with its salts"
    return sheet.sum(f"{_LETTER[ion]}_{tag}s", words, terms, _unit(ion))


@part(LIQUOR)
def ion_of(sheet: Sheet, ion: str, rinse: bool) -> Known:
    """An ion of the mash liquor or of the sparge liquor with everything in it; alkalinity in mEq/L."""
    with_salts = salted(sheet, ion, rinse)
    formula, terms = with_salts.symbol, [with_salts]
    for dose in sours(sheet):
        if dose.where not in (("sparge" if rinse else "mash"), "liquor"):
            continue
        row = sheet.plan.addition_rows[dose.row]
        ready = row is not None and ACIDS[row.id].ready is not None
        if ion == "alkalinity" or (ready and ion in ("chloride", "sulphate")):
            worth, spread = acid_worth(sheet, dose), litres(sheet, dose.where)
            per = {"chloride": f" + 0.5 * {water.CHLORIDE:g} *", "sulphate": f" + 0.5 * {water.SULPHATE:g} *"}
            formula += f"{per.get(ion, ' -')} {worth.symbol} / {spread.symbol}"
            terms += [worth, spread]
    if len(terms) == 1:
        return with_salts
    where, tag = ("sparge", "r") if rinse else ("mash", "m")
    words = f"{ion} of the {where} liquor with salts and acids"
    source = "acids at the pH of a mash"
    return sheet.put(f"{_LETTER[ion]}_{tag}", words, formula, terms, _unit(ion), source=source)


# ---------------------------------------------------------------------- stats


def _ion(ion: str, rinse: bool) -> Callable[[Sheet], Known]:
    return lambda sheet: ion_of(sheet, ion, rinse)


def _told(name: str, rinse: bool) -> Callable[[Sheet], Known]:
    """Alkalinity in the words that a report tells it in."""
    stat = f"sparge_{name}" if rinse else name

    @part(LIQUOR)
    def chain(sheet: Sheet) -> Known:
        base = ion_of(sheet, "alkalinity", rinse)
        words, value = STATS[stat].title, find(sheet.run, stat)[0]
        if name == "bicarbonate":
            formula = f"{water.BICARBONATE:g} * {base.symbol}"
            return sheet.put("x", words, formula, (base,), "mg/L", value, MOLAR, least=0.0)
        if name == "alkalinity":
            return sheet.put("x", words, f"{water.CACO3:g} * {base.symbol}", (base,), "mg/L", value, MOLAR)
        calcium, magnesium = ion_of(sheet, "calcium", rinse), ion_of(sheet, "magnesium", rinse)
        formula = (
            f"{water.CACO3:g} * ({base.symbol} - {calcium.symbol} / {water.CALCIUM:g} / 3.5"
            f" - {magnesium.symbol} / {water.MAGNESIUM:g} / 7)"
        )
        return sheet.put("x", words, formula, (base, calcium, magnesium), "mg/L", value, KOLBACH)

    return chain


@part(LIQUOR)
def _whole(sheet: Sheet, ion: str) -> Known:
    """An ion of all liquor, with what goes into the kettle."""
    mash = ion_of(sheet, ion, False)
    formula, terms = mash.symbol, [mash]
    if sparged(sheet):
        rinse, volume, second = ion_of(sheet, ion, True), in_mash(sheet), sparge(sheet)
        whole = all_liquor(sheet)
        formula = f"({mash.symbol} * {volume.symbol} + {rinse.symbol} * {second.symbol}) / {whole.symbol}"
        terms = [mash, volume, rinse, second, whole]
    for dose in salts(sheet):
        more = _by_salt(sheet, dose, ion, True) if dose.where == "boil" else None
        if more is not None:
            formula, terms = f"{formula} + {more.symbol}", [*terms, more]
    for dose in sours(sheet):
        row = sheet.plan.addition_rows[dose.row]
        if dose.where == "boil" and row is not None and ACIDS[row.id].ready is not None:
            worth, spread = acid_worth(sheet, dose), all_liquor(sheet)
            mass = water.CHLORIDE if ion == "chloride" else water.SULPHATE
            formula += f" + 0.5 * {mass:g} * {worth.symbol} / {spread.symbol}"
            terms += [worth, spread]
    return sheet.put(
        f"{_LETTER[ion]}_a", f"{ion} of all liquor and salts", formula, terms, "mg/L", source=BLEND
    )


@part(LIQUOR)
def _ratio(sheet: Sheet) -> Known:
    sulphate, chloride = _whole(sheet, "sulphate"), _whole(sheet, "chloride")
    name = "sulphate_chloride_ratio"
    words, value = STATS[name].title, find(sheet.run, name)[0]
    return sheet.put("x", words, f"{sulphate.symbol} / {chloride.symbol}", (sulphate, chloride), "1", value)


@part(LIQUOR)
def _imbalance(sheet: Sheet) -> Known:
    ca, mg, na = (blended(sheet, ion) for ion in ("calcium", "magnesium", "sodium"))
    cl, so, base = (blended(sheet, ion) for ion in ("chloride", "sulphate", "alkalinity"))
    formula = f"{ca.symbol} / {water.CALCIUM:g} + {mg.symbol} / {water.MAGNESIUM:g} + {na.symbol} / {water.SODIUM:g}"
    plus = sheet.put("q_p", "positive charge", formula, (ca, mg, na), "mEq/L", source=MOLAR)
    formula = f"{cl.symbol} / {water.CHLORIDE:g} + {so.symbol} / {water.SULPHATE:g} + {base.symbol}"
    minus = sheet.put("q_n", "negative charge", formula, (cl, so, base), "mEq/L", source=MOLAR)
    words, value = STATS["water_imbalance"].title, find(sheet.run, "water_imbalance")[0]
    if plus.value + minus.value <= 0.0:
        return sheet.given("x", words, 0.0, "1", "there is nothing in the water")
    formula = f"({plus.symbol} - {minus.symbol}) / ({plus.symbol} + {minus.symbol})"
    return sheet.put("x", words, formula, (plus, minus), "1", value, "definition")


def _in_all(ion: str) -> Callable[[Sheet], Known]:
    return lambda sheet: _whole(sheet, ion)


_PLAIN = ("calcium", "magnesium", "sodium", "chloride", "sulphate")
_BASES = ("bicarbonate", "alkalinity", "residual_alkalinity")

CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    **{name: _ion(name, False) for name in _PLAIN},
    **{f"sparge_{name}": _ion(name, True) for name in _PLAIN},
    **{name: _told(name, False) for name in _BASES},
    **{f"sparge_{name}": _told(name, True) for name in _BASES},
    **{f"liquor_{name}": _in_all(name) for name in _PLAIN},
    "sulphate_chloride_ratio": _ratio,
    "water_imbalance": _imbalance,
}
