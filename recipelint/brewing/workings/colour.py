"""Working of the colour: malt colour units in the fermenter, and what beer they make."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import colour
from recipelint.brewing.plan import KETTLE, STAGED
from recipelint.brewing.workings.fermenter import all_volume, wort
from recipelint.brewing.workings.givens import ASSUMED, called, origin, row_origin, weight
from recipelint.brewing.workings.lauter import into_share
from recipelint.brewing.workings.sheet import MEMORY, Known, Sheet, part, summed

COLOUR = "Colour"
FAINT = 2.0  # EBC, below which the line of malt colour bends to zero


@part(COLOUR)
def _malt_colour(sheet: Sheet, index: int) -> Known:
    """Degrees Lovibond of a line of the bill."""
    line, item = sheet.plan.lines[index], sheet.plan.recipe.grist[index]
    if item.colour is not None:
        where = origin(sheet, item.colour, f"{line.at}/colour")
    elif line.row is not None and line.row.colour is not None:
        where = row_origin(sheet, line.row, "colour")
    else:
        where = f"{ASSUMED}: no colour is known"
    ebc = sheet.given(f"c_{index + 1}", f"colour of {called(line)}", line.ebc, "EBC", where)
    symbol, words = f"l_{index + 1}", f"the same in °Lovibond, {called(line)}"
    if line.ebc < FAINT:
        formula = f"{ebc.symbol} * (2 / 1.97 + 0.76) / 1.3546 / 2"
        source = "the line of darker malt, run straight to zero below 2 EBC"
    else:
        formula, source = f"({ebc.symbol} / 1.97 + 0.76) / 1.3546", "handbook rule, 0.375 EBC + 0.56"
    return sheet.put(symbol, words, formula, (ebc,), "°Lov", line.lovibond, source)


@part(COLOUR)
def colour_units(sheet: Sheet) -> Known:
    """Malt colour units of the beer."""
    share = wort(sheet)
    volume, into = all_volume(sheet), into_share(sheet, share)
    diluted: list[str] = []
    whole: list[str] = []
    terms: list[Known] = []
    for index, line in enumerate(sheet.plan.lines):
        rows = diluted if line.stage in ("mash", "steep") or line.stage in KETTLE else whole
        if (rows is whole and line.stage not in STAGED) or line.ebc <= 0.0:
            continue
        mass, dark = weight(sheet, index), _malt_colour(sheet, index)
        terms += [mass, dark]
        rows.append(f"{mass.symbol} * {dark.symbol}")
    parts = [f"{into.symbol} * {summed(diluted)}"] if diluted else []
    formula = f"8.3454 * {summed([*parts, *whole])} / {volume.symbol}"
    known = (*((into,) if diluted else ()), *terms, volume)
    words = "malt colour units, in lb °Lovibond per US gallon"
    return sheet.put(
        "MCU", words, formula, known, "MCU", source="weight x colour over the volume, trade's units"
    )


@part(COLOUR)
def srm(sheet: Sheet) -> Known:
    """Colour of the beer."""
    units = colour_units(sheet)
    if sheet.plan.models["colour"] == "daniels":
        pale = units.value < 10.5
        formula = units.symbol if pale else f"0.2 * {units.symbol} + 8.4"
        value, source = colour.srm_daniels(units.value), f"Daniels, coefficients {MEMORY}"
    else:
        formula, source = f"1.4922 * {units.symbol}**0.6859", "Morey 1995"
        value = colour.srm_morey(units.value)
    return sheet.put("SRM", "colour of the beer", formula, (units,), "SRM", value, source)


def _ebc(sheet: Sheet) -> Known:
    dark = srm(sheet)
    value = colour.ebc_from_srm(dark.value)
    return sheet.put(
        "EBC", "the same in EBC", f"{dark.symbol} * 1.97", (dark,), "EBC", value, "25 / 12.7, rounded"
    )


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {"colour_srm": srm, "colour_ebc": _ebc}
