"""Working of the mash pH: the acid that malt, water and doses take up and give off, which must come to nothing."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from recipelint.brewing import liquor, water
from recipelint.brewing.acids import ACIDS, CARBONIC
from recipelint.brewing.mash_ph import Malt
from recipelint.brewing.workings.doses import acid_millimoles, all_liquor, protons, sours
from recipelint.brewing.workings.givens import called, weight
from recipelint.brewing.workings.sheet import MEMORY, Known, Sheet, part
from recipelint.brewing.workings.volumes import in_mash
from recipelint.brewing.workings.water import KOLBACH, carbon, salted

PH = "Acid in the mash"
BUFFER = "straight buffer, form after A. J. deLange"
CLASS = f"its class and colour; Kolbach, brewers' reports, and {MEMORY}"


@part(PH)
def _malts(sheet: Sheet) -> list[tuple[Known, Known, Known, Malt]]:
    """Weight, pH in distilled water and buffer of each malt that is in the mash from the start."""
    found: list[tuple[Known, Known, Known, Malt]] = []
    places = {line.at: index for index, line in enumerate(sheet.plan.lines)}
    for malt in liquor.malts_of(sheet.run.plan, sheet.run.mash):
        index = places[malt.at]
        row = sheet.plan.lines[index].row
        stated = row is not None and row.mash_ph is not None
        own = stated and row is not None and row.origin != "catalogue"
        ground = f"{row.origin} of {row.id}" if own and row is not None else CLASS
        if stated and not own:
            ground = f"{CLASS}; held in the range of the catalogue"
        number = index + 1
        ph = sheet.given(
            f"pH_{number}",
            f"pH of {called(sheet.plan.lines[index])} in distilled water",
            malt.ph,
            "pH",
            ground,
        )
        words = "acid that a kg of it takes up for one pH"
        buffer = sheet.given(f"b_{number}", words, malt.buffer, "mEq/kg", CLASS)
        found.append((weight(sheet, index), ph, buffer, malt))
    return found


@part(PH)
def _of_malt(sheet: Sheet, row: tuple[Known, Known, Known, Malt], tried: Known) -> Known:
    """Acid that a malt takes up at the pH tried."""
    mass, own, buffer, malt = row
    number = own.symbol.removeprefix("pH_")
    formula = f"{mass.symbol} * {buffer.symbol} * ({own.symbol} - {tried.symbol})"
    terms = [mass, buffer, own, tried]
    if malt.lactic:
        sour = sheet.given(f"n_{number}l", "lactic acid on it", malt.lactic, "mmol/kg",
                           "30 g/kg, of 20 to 40 in print")  # fmt: skip
        given = protons(ACIDS["lactic-acid"].pkas, tried.symbol)
        formula = f"{formula} - {mass.symbol} * {sour.symbol} * {given}"
        terms.append(sour)
    return sheet.put(
        f"e_m{number}",
        f"acid that {malt.name.partition(' (')[0]} takes up",
        formula,
        terms,
        "mEq",
        source=BUFFER,
    )


@part(PH)
def _of_water(sheet: Sheet, tried: Known) -> Known:
    """Acid that the liquor and its salts take up at the pH tried."""
    base, calcium, volume = (
        salted(sheet, "alkalinity", False),
        salted(sheet, "calcium", False),
        in_mash(sheet),
    )
    coal = carbon(sheet)
    terms = [base, calcium, volume, coal, tried]
    free = f"{calcium.symbol} / {water.CALCIUM:g} / 3.5"
    if _magnesium(sheet):
        magnesium = salted(sheet, "magnesium", False)
        free = f"{free} - {magnesium.symbol} / {water.MAGNESIUM:g} / 7"
        terms.append(magnesium)
    formula = (
        f"{volume.symbol} * ({base.symbol} - {free} - {coal.symbol} * {protons(CARBONIC, tried.symbol)}"
        f" + 10**(3 - {tried.symbol}) - 10**({tried.symbol} - 11))"
    )
    source = f"carbonic acid at 25 °C; {KOLBACH}"
    return sheet.put("e_w", "acid that the liquor takes up", formula, terms, "mEq", source=source)


def _magnesium(sheet: Sheet) -> bool:
    """Whether every water tells its magnesium; it counts as none where one does not."""
    treatment = liquor.treated(sheet.run).treatment
    assert treatment is not None
    return not any(math.isnan(part_of.magnesium) for _, part_of in treatment.parts)


@part(PH)
def _of_acid(sheet: Sheet, tried: Known) -> list[Known]:
    """Acid that each dose gives off at the pH tried."""
    found: list[Known] = []
    for dose in sours(sheet):
        if dose.where not in ("mash", "liquor"):
            continue
        row = sheet.plan.addition_rows[dose.row]
        assert row is not None
        amount = acid_millimoles(sheet, dose)
        formula, terms = f"{amount.symbol} * {protons(ACIDS[row.id].pkas, tried.symbol)}", [amount, tried]
        if dose.where == "liquor" and sheet.run.mash.sparge > water.TRACE:
            mash, whole = in_mash(sheet), all_liquor(sheet)
            formula, terms = f"{formula} * {mash.symbol} / {whole.symbol}", [*terms, mash, whole]
        words = f"acid that {row.name or row.id} gives off in the mash"
        found.append(
            sheet.put(f"e_a{dose.row + 1}", words, formula, terms, "mEq", source="dissociation at 25 °C")
        )
    return found


@part(PH)
def mash_ph(sheet: Sheet) -> Known:
    """The pH at which what is taken up is what is given off."""
    in_mash(sheet)
    for ion in ("alkalinity", "calcium", *(("magnesium",) if _magnesium(sheet) else ())):
        salted(sheet, ion, False)
    carbon(sheet)
    for dose in sours(sheet):
        if dose.where in ("mash", "liquor"):
            acid_millimoles(sheet, dose)
    found = liquor.balance(sheet.run)
    note = "tried until the acid taken up is the acid given off; of a cooled sample"
    tried = sheet.try_("pH", "pH of the mash", found.ph or 0.0, "pH", note)
    rows = _malts(sheet)
    malts = [_of_malt(sheet, row, tried) for row in rows]
    liquid, doses = _of_water(sheet, tried), _of_acid(sheet, tried)
    up = " + ".join(known.symbol for known in (*malts, liquid))
    down = "".join(f" - {known.symbol}" for known in doses)
    note = "nothing, but for what rounding leaves"
    left = sheet.put("e_l", "acid left over", f"{up}{down}", (*malts, liquid, *doses), "mEq", note=note)
    buffers = " + ".join(f"{mass.symbol} * {buffer.symbol}" for mass, _, buffer, _ in rows)
    terms = [tried, left, *(known for mass, _, buffer, _ in rows for known in (mass, buffer))]
    formula = f"{tried.symbol} + {left.symbol} / ({buffers})"
    note = "".join(f"taken: {words}. " for words in found.assumed).strip()
    return sheet.put("pH_again", "pH of the mash", formula, terms, "pH", found.ph, BUFFER, note, tried)


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {"mash_ph": mash_ph}
