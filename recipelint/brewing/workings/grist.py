"""Working of what the bill is made of: shares of its weight, its grain and its extract.

Which lines a share counts is asked of the stat itself, so that a share and its working cannot count different ones.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from recipelint.brewing.plan import GRAIN_KEYS, Line
from recipelint.brewing.stats import find
from recipelint.brewing.workings.fermentation import fermented_lines, in_fermenter
from recipelint.brewing.workings.givens import (
    ASSUMED,
    called,
    diastatic_power,
    indices,
    origin,
    potential,
    row_origin,
    weight,
)
from recipelint.brewing.workings.sheet import Known, Sheet, part, summed
from recipelint.recipe.stat_names import STATS

BILL = "The bill"


def _counted(sheet: Sheet, name: str) -> list[int]:
    """The lines that a stat counts."""
    parts = find(sheet.run, name)[2]
    places = {at for at, _ in (parts if isinstance(parts, tuple) else parts())}
    return [index for index, line in enumerate(sheet.plan.lines) if line.at in places]


def _ratio(sheet: Sheet, name: str, some: Sequence[Known], whole: Sequence[Known]) -> Known:
    formula = f"{summed(known.symbol for known in some)} / {summed(known.symbol for known in whole)}"
    note = "" if some else "no line of the bill counts"
    value = find(sheet.run, name)[0]
    return sheet.put("x", STATS[name].title, formula, (*some, *whole), "1", value, note=note)


def _of_extract(name: str) -> Callable[[Sheet], Known]:
    def chain(sheet: Sheet) -> Known:
        whole = {index: in_fermenter(sheet, index) for index in fermented_lines(sheet)}
        return _ratio(
            sheet, name, [whole[row] for row in _counted(sheet, name) if row in whole], list(whole.values())
        )

    return chain


@part(BILL)
def _as_grain(sheet: Sheet, index: int) -> Known:
    """Weight of a line in shares of grain: malt extract counts as the malt it was made of."""
    line = sheet.plan.lines[index]
    mass = weight(sheet, index)
    if line.key != "extract":
        return mass
    row = line.row
    where = row_origin(sheet, row, "counts_as_malt") if row is not None and row.counts_as_malt else ASSUMED
    times = sheet.given(
        f"n_{index + 1}", f"malt in a kg of {called(line)}", line.counts_as_malt, "kg/kg", where
    )
    formula = f"{mass.symbol} * {times.symbol}"
    return sheet.put(f"M_{index + 1}", f"malt that {called(line)} stands for", formula, (mass, times), "kg")


def _of_grain(name: str) -> Callable[[Sheet], Known]:
    @part(BILL)
    def chain(sheet: Sheet) -> Known:
        lines = enumerate(sheet.plan.lines)
        whole = {
            index: _as_grain(sheet, index)
            for index, line in lines
            if line.key in GRAIN_KEYS or line.key == "extract"
        }
        return _ratio(sheet, name, [whole[row] for row in _counted(sheet, name)], list(whole.values()))

    return chain


@part(BILL)
def _sugar_weight(sheet: Sheet) -> Known:
    name = "sugar_weight_share"
    whole = {index: weight(sheet, index) for index, line in _in_the_beer(sheet)}
    return _ratio(sheet, name, [whole[row] for row in _counted(sheet, name)], list(whole.values()))


def _in_the_beer(sheet: Sheet) -> list[tuple[int, Line]]:
    """Lines of the bill that are not for the package."""
    return [(index, line) for index, line in enumerate(sheet.plan.lines) if line.stage != "package"]


@part(BILL)
def _potential(sheet: Sheet) -> Known:
    terms = [potential(sheet, index) for index, _ in _in_the_beer(sheet)]
    return sheet.sum(
        "E_x", "extract that the bill could give", terms, "kg", find(sheet.run, "extract_potential")[0]
    )


@part(BILL)
def _share_sum(sheet: Sheet) -> Known:
    terms = [
        sheet.given(
            f"g_{number}", f"share of {called(line)}", item.share.value, "1", origin(sheet, item.share)
        )
        for number, (line, item) in enumerate(zip(sheet.plan.lines, sheet.plan.recipe.grist, strict=True), 1)
        if item.share is not None
    ]
    return sheet.sum("x", "sum of the written shares", terms, "1", find(sheet.run, "share_sum")[0])


@part(BILL)
def _diastatic(sheet: Sheet) -> Known:
    top: list[str] = []
    terms: list[Known] = []
    masses: list[Known] = []
    for index in indices(sheet, "mash"):
        if not sheet.plan.lines[index].starch:
            continue
        power, mass = diastatic_power(sheet, index), weight(sheet, index)
        masses.append(mass)
        terms += [mass, power]
        top.append(f"{mass.symbol} * {power.symbol}")
    formula = f"{summed(top)} / {summed(mass.symbol for mass in masses)}"
    words, value = "diastatic power of what has starch", find(sheet.run, "diastatic_power")[0]
    return sheet.put("x", words, formula, terms, "°Lintner", value, "mean by weight")


_EXTRACT_SHARES = ("sugar_share", "unfermentable_share", "adjunct_share", "fruit_share")
_GRAIN_SHARES = (
    "base_share", "crystal_share", "dark_crystal_share", "roast_share", "smoked_share", "peated_share",
    "acid_malt_share", "huskless_share", "unmalted_share",
)  # fmt: skip

CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "extract_potential": _potential,
    "sugar_weight_share": _sugar_weight,
    "share_sum": _share_sum,
    "diastatic_power": _diastatic,
    **{name: _of_extract(name) for name in _EXTRACT_SHARES},
    **{name: _of_grain(name) for name in _GRAIN_SHARES},
}
