"""Working of the cask: its sugar, its gas while it is shut, and what a soft spile leaves of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from recipelint.brewing import cask
from recipelint.brewing.workings.givens import origin
from recipelint.brewing.workings.held import HENRY, outside, residual, solubility
from recipelint.brewing.workings.package import grams, in_the_end, litres
from recipelint.brewing.workings.sheet import Known, Sheet, part
from recipelint.brewing.workings.way import gas_to_come
from recipelint.recipe.stat_names import STATS

CASK = "In the cask"


@part(CASK)
def _shut(sheet: Sheet, index: int) -> Known:
    """Gas of a cask that has worked and is still shut."""
    if not cask.works_on_its_own(sheet.plan.recipe.packaging[index]):
        return in_the_end(sheet, index)
    left, more = residual(sheet), gas_to_come(sheet)
    words, source = "carbonation of a cask without sugar", "what is left and what is still to ferment"
    formula, value = f"{left.symbol} + {more.symbol}", cask.shut(sheet.run, index)[0]
    return sheet.put("v_ks", words, formula, (left, more), "vol", value, source)


@part(CASK)
def _vented(sheet: Sheet, index: int) -> Known:
    """Gas of a cask under a soft spile."""
    held = _shut(sheet, index)
    air = outside(sheet)
    warm = cask.stands_at(sheet.plan.recipe.packaging[index])
    assert warm is not None
    words = f"where the cask stands, package {index + 1}"
    heat = sheet.given(f"T_{index + 1}k", words, warm.value, "°C", origin(sheet, warm))
    formula = f"min({held.symbol}, {air.symbol} * {solubility(heat.symbol)} / 1.96)"
    words = f"carbonation under a soft spile, package {index + 1}"
    value = cask.vented(sheet.run, index)[0]
    note = "open beer holds no more than the pressure of the air keeps in it"
    return sheet.put(f"v_{index + 1}k", words, formula, (held, air, heat), "vol", value, HENRY, note)


def _most(sheet: Sheet, symbol: str, name: str, terms: Sequence[Known]) -> Known:
    return sheet.most(symbol, STATS[name].title, terms, "vol", source="the liveliest cask")


@part(CASK)
def _carbonation(sheet: Sheet) -> Known:
    terms = [_shut(sheet, index) for index in cask.casks(sheet.run)]
    return _most(sheet, "v_kmax", "cask_carbonation", terms)


@part(CASK)
def _vented_most(sheet: Sheet) -> Known:
    terms = [_vented(sheet, index) for index in cask.casks(sheet.run)]
    return _most(sheet, "v_kv", "vented_carbonation", terms)


@part(CASK)
def _priming(sheet: Sheet) -> Known:
    parts: list[str] = []
    terms: list[Known] = []
    for index in cask.primed(sheet.run):
        each, room = grams(sheet, index), litres(sheet, index)
        terms += [each, room]
        parts.append(f"{each.symbol} * {room.symbol}")
    return sheet.put("p_k", STATS["cask_priming"].title, " + ".join(parts), terms, "g")


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "cask_priming": _priming,
    "cask_carbonation": _carbonation,
    "vented_carbonation": _vented_most,
}
