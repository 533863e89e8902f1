"""Working of the doses: how much of a salt or an acid goes into how much liquor, and what it is worth there.

Salts g, acids mmol, acid that is given off mEq, volumes L.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from recipelint.brewing import acids, liquor, water
from recipelint.brewing.acids import ACIDS, TYPICAL_PH
from recipelint.brewing.workings.givens import constant, origin
from recipelint.brewing.workings.sheet import MEMORY, PRACTICE, Known, Sheet, once, part
from recipelint.brewing.workings.volumes import in_mash, sparge
from recipelint.recipe.quantity import Quantity

LIQUOR = "The liquor"
MOLAR = "molar masses"


class Dose(NamedTuple):
    """A salt or an acid of the recipe: its place in the additions, and where it goes in."""

    row: int
    where: str


def _stage(sheet: Sheet, index: int, usual: str) -> str:
    when = sheet.plan.recipe.additions[index].when
    return liquor.STAGES.get(when.stage if when is not None else usual, "")


def salts(sheet: Sheet) -> list[Dose]:
    """The salts that go into the liquor or the kettle."""
    found = []
    for index, row in enumerate(sheet.plan.addition_rows):
        if row is not None and row.id not in ACIDS and row.ions:
            found.append(Dose(index, _stage(sheet, index, "liquor")))
    return [dose for dose in found if dose.where]


def sours(sheet: Sheet) -> list[Dose]:
    """The acids that go into the liquor or the kettle."""
    found = []
    for index, row in enumerate(sheet.plan.addition_rows):
        if row is not None and row.id in ACIDS:
            found.append(Dose(index, _stage(sheet, index, "mash")))
    return [dose for dose in found if dose.where]


# ---------------------------------------------------------------------- volumes and amounts


@part(LIQUOR)
def all_liquor(sheet: Sheet) -> Known:
    """Liquor of mash and sparge together."""
    mash = in_mash(sheet)
    return (
        mash
        if not sparged(sheet)
        else sheet.sum("V_ms", "liquor of mash and sparge", [mash, sparge(sheet)], "L")
    )


def sparged(sheet: Sheet) -> bool:
    """Whether there is any sparge liquor."""
    return sheet.run.mash.sparge > water.TRACE


@once
def litres(sheet: Sheet, where: str) -> Known:
    """The liquor in which a dose of that place is spread."""
    if where == "mash":
        return in_mash(sheet)
    return sparge(sheet) if where == "sparge" else all_liquor(sheet)


def dose_name(sheet: Sheet, index: int) -> str:
    """Name of a salt or acid, without what the catalogue adds in brackets."""
    row = sheet.plan.addition_rows[index]
    return (
        (row.name or row.id).partition(" (")[0]
        if row is not None
        else sheet.plan.recipe.additions[index].what.id
    )


@part(LIQUOR)
def _amount(sheet: Sheet, index: int, where: str, quantity: Quantity, unit: str) -> Known:
    """Grams or millilitres of a dose."""
    symbol, words = f"g_{index + 1}a", f"{dose_name(sheet, index)}"
    if "concentration" not in quantity.kind:
        return sheet.given(symbol, words, 1000.0 * quantity.value, unit, origin(sheet, quantity))
    each = sheet.given(
        f"g_{index + 1}l", f"{words} in a litre", quantity.value, f"{unit}/L", origin(sheet, quantity)
    )
    if where == "boil":
        batch = sheet.plan.recipe.batch.volume
        spread = sheet.given(
            "V_b", "volume of the batch", sheet.plan.wish, "L", origin(sheet, batch) if batch else ""
        )
    else:
        spread = litres(sheet, where)
    return sheet.put(symbol, words, f"{each.symbol} * {spread.symbol}", (each, spread), unit)


@part(LIQUOR)
def _salt_grams(sheet: Sheet, dose: Dose) -> Known:
    item = sheet.plan.recipe.additions[dose.row]
    assert item.weight is not None
    return _amount(sheet, dose.row, dose.where, item.weight, "g")


@part(LIQUOR)
def per_litre(sheet: Sheet, dose: Dose, acid: bool) -> Known:
    """Grams of a salt that count in a litre: all of it, or what dissolves."""
    grams, spread = _salt_grams(sheet, dose), litres(sheet, dose.where)
    row = sheet.plan.addition_rows[dose.row]
    assert row is not None
    ions: Mapping[str, float] = row.ions or {}
    share = water.dissolved(ions, grams.value / spread.value, acid)
    tag = f"{dose.row + 1}{'m' if acid else 'r'}"
    words = f"{dose_name(sheet, dose.row)} in a litre"
    formula, terms = f"{grams.symbol} / {spread.symbol}", [grams, spread]
    if share != 1.0:
        ground = "what dissolves, or of chalk what acts"
        counts = sheet.given(
            f"z_{tag}", f"part of {dose_name(sheet, dose.row)} that counts", share, "1", ground
        )
        formula, terms = f"{formula} * {counts.symbol}", [*terms, counts]
    return sheet.put(f"d_{tag}", words, formula, terms, "g/L")


@part(LIQUOR)
def acid_millimoles(sheet: Sheet, dose: Dose) -> Known:
    """How much acid is in a dose."""
    item = sheet.plan.recipe.additions[dose.row]
    row = sheet.plan.addition_rows[dose.row]
    assert row is not None
    kind = ACIDS[row.id]
    number, name = dose.row + 1, dose_name(sheet, dose.row)
    symbol, words = f"n_{number}", f"acid in {name}"
    if kind.ready is not None:
        assert item.volume is not None
        amount = _amount(sheet, dose.row, dose.where, item.volume, "mL")
        each = constant(sheet, f"k_{number}a", f"acid in a mL of {name}", kind.ready, "mEq/mL", MEMORY)
        return sheet.put(symbol, words, f"{each.symbol} * {amount.symbol}", (each, amount), "mEq")
    if item.strength is not None:
        strong = sheet.given(
            f"x_{number}", f"strength of {name}", item.strength.value, "1", origin(sheet, item.strength)
        )
    else:
        strong = constant(
            sheet, f"x_{number}", f"strength of {name}", kind.strength or 0.0, "1", "as it is sold"
        )
    molar = constant(sheet, f"M_{number}", f"molar mass of {name}", kind.molar_mass, "g/mol", MOLAR)
    if item.weight is not None:
        amount = _amount(sheet, dose.row, dose.where, item.weight, "g")
        formula = f"1000 * {amount.symbol} * {strong.symbol} / {molar.symbol}"
        return sheet.put(symbol, words, formula, (amount, strong, molar), "mmol", source=MOLAR)
    assert item.volume is not None
    amount = _amount(sheet, dose.row, dose.where, item.volume, "mL")
    heavy = acids.density_of_acid(kind, strong.value)
    ground = f"handbook densities, {MEMORY}, by lines between them"
    weight = sheet.given(f"r_{number}", f"density of {name} at that strength", heavy, "kg/L", ground)
    formula = f"1000 * {amount.symbol} * {weight.symbol} * {strong.symbol} / {molar.symbol}"
    return sheet.put(symbol, words, formula, (amount, weight, strong, molar), "mmol", source=MOLAR)


def protons(pkas: tuple[float, ...], ph: str) -> str:
    """Formula of the protons that a molecule of an acid has given off at a pH."""
    steps: list[str] = []
    for count in range(1, len(pkas) + 1):
        less = "".join(f" - {pka:g}" if pka >= 0.0 else f" + {-pka:g}" for pka in pkas[:count])
        steps.append(f"10**({f'{count} * {ph}' if count > 1 else ph}{less})")
    top = " + ".join(f"{count} * {step}" if count > 1 else step for count, step in enumerate(steps, 1))
    if len(steps) > 1:
        top = f"({top})"
    return f"{top} / (1 + {' + '.join(steps)})"


@part(LIQUOR)
def acid_worth(sheet: Sheet, dose: Dose) -> Known:
    """Acid (mEq) that a dose gives off at the pH of a mash."""
    row = sheet.plan.addition_rows[dose.row]
    assert row is not None
    amount = acid_millimoles(sheet, dose)
    usual = constant(sheet, "pH_o", "pH at which an acid's worth is told", TYPICAL_PH, "pH", PRACTICE)
    formula = f"{amount.symbol} * {protons(ACIDS[row.id].pkas, usual.symbol)}"
    words = f"acid that {dose_name(sheet, dose.row)} gives off"
    return sheet.put(
        f"e_{dose.row + 1}", words, formula, (amount, usual), "mEq", source="dissociation at 25 °C"
    )
