"""Rows of the tables about what goes in: grist, hops, cultures, additions; waters stand in ``water_rows``."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from recipelint.rulebook.contact_rows import (
    before_package,
    beyond,
    contact,
    contact_ratio,
    dose_in_beer,
    never,
    time_of,
    waited,
    when_of,
)
from recipelint.rulebook.doses import Dose, dose_of, judged
from recipelint.rulebook.facts import Range
from recipelint.rulebook.rows import Columns, Row
from recipelint.rulebook.singles import value_of
from recipelint.rulebook.slips import amount_slip

if TYPE_CHECKING:
    from recipelint.rulebook.tables import Tables

# kg per litre of wort or beer that everyday recipes stay within; only for guessing slips.
GRIST_USUAL = (0.0005, 0.7)
# SG that a beer without its staged sugar may end above the one with it, and more: a gravity so far up is passed.
SURELY_PASSED = 0.015
HOPS_USUAL = (0.0002, 0.02)
_NO_RANGE: Range = (None, None)


def _range(fact: Any, name: str) -> Range:
    return getattr(fact.row, name, None) or _NO_RANGE


def _records(rows: Iterable[Any]) -> dict[str, Any]:
    return {row.at: row for row in rows}


def _timing(row: Row) -> str:
    when = when_of(row)
    return when.kind if when is not None else ""


def _minutes(row: Row) -> float | None:
    """Minutes before the end of mash or boil."""
    return time_of(when_of(row), "before-end")


def _hours(row: Row) -> float | None:
    """Hours after pitching."""
    return time_of(when_of(row), "day")


class _Around:
    """What the lines of a table share: all of them, the facts and the recipe."""

    __slots__ = ("brew", "facts", "lines", "recipe")

    def __init__(self, tables: Tables, lines: Sequence[Any]) -> None:
        self.lines = lines
        self.brew = tables.brew
        self.facts = tables.facts
        self.recipe = tables.recipe

    def litres(self) -> float | None:
        """Litres into the fermenter, or those wished for."""
        litres: float | None = self.facts["fermenter_volume"]
        return litres if litres is not None else value_of(self.recipe.batch.volume)

    def liquor(self) -> float | None:
        """Litres of brewing liquor, as far as they are known."""
        known = [self.facts[name] for name in ("strike_liquor", "sparge_liquor")]
        known = [value for value in known if value is not None]
        return sum(known) if known else None


def _mass_slip(row: Row, usual: tuple[float, float]) -> str:
    litres = row.around.litres()
    if row.fact.weight is None or not litres:
        return ""
    return amount_slip(row.fact.weight, usual[0] * litres, usual[1] * litres, "kg")


def _repeats(row: Row, same: Callable[[Any], tuple[Any, ...]]) -> int:
    """How often the same thing at the same stage stood in the lines before."""
    sought = same(row.fact)
    count = 0
    for other in row.around.lines:
        if other is row.fact:
            break
        count += same(other) == sought
    return count


_too_late = never("grist")


def _never(row: Row) -> str:
    """Why staged sugar never goes in, if it does not; the way of the beer is only worked out where some is staged."""
    if row.fact.stage not in ("ferment", "condition"):
        return ""
    waits, ends = time_of(when_of(row), "gravity"), row.around.facts["final_gravity"]
    if waits is not None and ends is not None and waits > ends + SURELY_PASSED:
        return ""
    way = row.around.brew.way
    for missed in way.missed if way is not None else ():
        if missed.at == row.fact.at:
            return f"{missed.why}; it ends at {missed.lowest:.3f}"
    return "" if waits is not None else _too_late(row)


def _enzyme_power(row: Row) -> float | None:
    """As written, else that of the catalogue."""
    written = row.written.diastatic_power if row.written is not None else None
    if written is not None:
        return float(written.value)
    known: float | None = getattr(row.fact.row, "diastatic_power", None)
    return known


def _gelatinises(row: Row) -> float | None:
    """The middle of the heat at which the starch of a raw cereal opens (°C); None for what the mash opens anyway."""
    known = [side for side in _range(row.fact, "gelatinisation") if side is not None]
    return sum(known) / len(known) if known and row.fact.kind == "adjunct-raw" else None


_GRIST: Columns = {
    "key": lambda row: row.fact.key,
    "id": lambda row: row.fact.id,
    "name": lambda row: row.fact.name,
    "kind": lambda row: row.fact.kind,
    "stage": lambda row: row.fact.stage,
    "timing": _timing,
    "minutes": _minutes,
    "hours": _hours,
    "weight": lambda row: row.fact.weight,
    "weight_share": lambda row: row.fact.weight_share,
    "grain_share": lambda row: row.fact.grain_share,
    "extract": lambda row: row.fact.extract,
    "extract_share": lambda row: row.fact.extract_share,
    "colour": lambda row: row.fact.colour_ebc,
    "colour_low": lambda row: _range(row.fact, "colour_range")[0],
    "colour_high": lambda row: _range(row.fact, "colour_range")[1],
    "known": lambda row: row.fact.known,
    "starch": lambda row: getattr(row.fact.row, "starch", None),
    "needs_mash": lambda row: getattr(row.fact.row, "needs_mash", None),
    "sugar_kind": lambda row: getattr(row.fact.row, "sugar_kind", None) or "",
    "max_share": lambda row: getattr(row.fact.row, "max_share", None),
    "allergens": lambda row: (row.fact.row.allergens or ()) if row.fact.row is not None else None,
    "moisture": lambda row: value_of(row.written.moisture) if row.written is not None else None,
    "enzyme_power": _enzyme_power,
    "gelatinises": _gelatinises,
    "weight_written": lambda row: row.written is not None and row.written.weight is not None,
    "repeats": lambda row: _repeats(row, lambda fact: (fact.id, fact.stage)),
    "slip": lambda row: _mass_slip(row, GRIST_USUAL),
    "never": _never,
    "contact": lambda row: contact(row) if row.fact.key == "fruit" else None,
    "dose_in_beer": lambda row: dose_in_beer(row) if row.fact.key == "fruit" else None,
    "beyond": beyond("grist"),
}


def grist_rows(tables: Tables) -> list[Row]:
    records = _records(tables.recipe.grist)
    lines = tables.brew.grist
    around = _Around(tables, lines)
    return [Row(_GRIST, fact.at, records.get(fact.at), fact, around) for fact in lines]


def _hop_same(row: Row) -> int:
    """Hops are the same again only with the same minutes, which stand in what was written."""
    records = _records(row.around.recipe.hops)

    def same(fact: Any) -> tuple[Any, ...]:
        written = records.get(fact.at)
        return fact.id, fact.stage, time_of(written.when, "before-end") if written is not None else None

    return _repeats(row, same)


def _alpha_of_form(row: Row, side: int) -> float | None:
    """A concentrated pellet holds about twice the resin of the cone it was made from."""
    alpha = _range(row.fact, "alpha")[side]
    form = row.written.form if row.written is not None else None
    return alpha * (2.0 if form == "concentrated pellet" else 1.0) if alpha is not None else None


def _steeps(row: Row) -> float | None:
    """Minutes of a whirlpool charge, as written."""
    return row.fact.minutes if row.fact.stage == "whirlpool" and time_of(when_of(row), "contact") else None


def _beside(row: Row) -> float | None:
    """Longest minutes of the whirlpool charges of the same temperature, none of which is held; None where one is."""
    if row.fact.stage != "whirlpool":
        return None
    heat = value_of(row.written.temperature)
    same = [
        item
        for item in row.around.recipe.hops
        if item.when is not None and item.when.stage == "whirlpool" and value_of(item.temperature) == heat
    ]
    if heat is None or any(item.held for item in same):
        return None
    return max([time_of(item.when, "contact") or 0.0 for item in same], default=None)


_HOPS: Columns = {
    "id": lambda row: row.fact.id,
    "name": lambda row: row.fact.name,
    "stage": lambda row: row.fact.stage,
    "timing": _timing,
    "form": lambda row: (row.written.form if row.written is not None else None) or "",
    "minutes": _minutes,
    "steeps": _steeps,
    "beside": _beside,
    "hours": _hours,
    "contact": contact,
    "before_package": before_package,
    "dose_in_beer": dose_in_beer,
    "beyond": beyond("hops"),
    "never": never("hops"),
    "waited": waited,
    "known": lambda row: row.fact.known,
    "weight": lambda row: row.fact.weight,
    "alpha": lambda row: row.fact.alpha,
    "alpha_fresh": lambda row: row.fact.fresh,
    "alpha_lost": lambda row: 1.0 - row.fact.alpha / row.fact.fresh if row.fact.fresh > 0.0 else None,
    "ibu": lambda row: row.fact.ibu,
    "utilisation": lambda row: row.fact.utilisation,
    "alpha_low": lambda row: _alpha_of_form(row, 0),
    "alpha_high": lambda row: _alpha_of_form(row, 1),
    "dose": lambda row: row.fact.dose,
    "alpha_written": lambda row: row.written is not None and row.written.alpha is not None,
    "weight_written": lambda row: row.written is not None and row.written.weight is not None,
    "temperature": lambda row: value_of(row.written.temperature) if row.written is not None else None,
    "repeats": _hop_same,
    "slip": lambda row: _mass_slip(row, HOPS_USUAL),
}


def hop_rows(tables: Tables) -> list[Row]:
    records = _records(tables.recipe.hops)
    lines = tables.brew.hops
    around = _Around(tables, lines)
    return [Row(_HOPS, fact.at, records.get(fact.at), fact, around) for fact in lines]


_CULTURES: Columns = {
    "id": lambda row: row.fact.id,
    "name": lambda row: row.fact.name,
    "form": lambda row: row.fact.form,
    "known": lambda row: row.fact.known,
    "stage": lambda row: when.stage if (when := when_of(row)) is not None else "",
    "main": lambda row: when_of(row) is None,
    "kind": lambda row: getattr(row.fact.row, "kind", None) or "",
    "species": lambda row: getattr(row.fact.row, "species", None) or "",
    "diastatic": lambda row: getattr(row.fact.row, "diastatic", None),
    "eats_dextrins": lambda row: getattr(row.fact.row, "eats_dextrins", None) or "",
    "attenuation_low": lambda row: row.fact.attenuation_low,
    "attenuation_high": lambda row: row.fact.attenuation_high,
    "tolerance_low": lambda row: row.fact.tolerance_low,
    "tolerance_high": lambda row: row.fact.tolerance_high,
    "temperature_low": lambda row: row.fact.temperature_low,
    "temperature_high": lambda row: row.fact.temperature_high,
    "pitched_at": lambda row: value_of(row.written.pitched_at) if row.written is not None else None,
    "hours": _hours,
    "age": lambda row: value_of(row.written.age) if row.written is not None else None,
    "packs": lambda row: row.written.packs if row.written is not None else None,
    "tolerance_written": lambda row: row.written is not None and row.written.tolerance is not None,
    "attenuation_written": lambda row: row.written is not None and row.written.attenuation is not None,
    "never": never("yeast"),
}


def culture_rows(tables: Tables) -> list[Row]:
    records = _records(tables.recipe.yeast)
    lines = tables.brew.cultures
    around = _Around(tables, lines)
    return [Row(_CULTURES, fact.at, records.get(fact.at), fact, around) for fact in lines]


class _Added:
    """An addition with what the catalogue knows of it; its dose is worked out once, for those who ask."""

    __slots__ = ("_dose", "id", "row", "stage", "when", "written")

    def __init__(self, written: Any, row: Any) -> None:
        self.written = written
        self.row = row
        self.id = row.id if row is not None else written.what.id
        self.when = written.when
        self.stage = self.when.stage if self.when is not None else ""
        self._dose: Dose | None = None

    def dose(self, around: _Around) -> Dose:
        if self._dose is None:
            self._dose = dose_of(self.written, self.id, around.litres(), around.liquor())
        return self._dose


def _addition_in_beer(row: Row) -> float | None:
    """Grams in a litre of the beer it lies in, pieces by their usual weight."""
    lies = row.around.brew.contact_at(row.at)
    if lies is None or lies.dose is not None:
        return dose_in_beer(row)
    dose, litres = row.fact.dose(row.around), row.around.litres()
    if dose.dose is None or dose.unit != "g/L" or not litres or not lies.litres:
        return None
    grams: float = dose.dose * litres
    return grams / float(lies.litres)


def _addition_kind(row: Row) -> str | None:
    """What sort of addition it is; not known of one that no catalogue lists."""
    return (getattr(row.fact.row, "kind", None) or "") if row.fact.row is not None else None


def _strength(row: Row) -> float | None:
    written = row.written.strength
    strength: float | None = written.value if written is not None else getattr(row.fact.row, "strength", None)
    return strength


def _amount(row: Row, name: str, kind: str) -> float | None:
    """A weight or a volume, unless it is written per litre."""
    written = getattr(row.written, name)
    return written.value if written is not None and written.kind == kind else None


def _amount_written(row: Row) -> bool:
    item = row.written
    return item.weight is not None or item.volume is not None or item.count is not None


_ADDITIONS: Columns = {
    "id": lambda row: row.fact.id,
    "name": lambda row: (row.fact.row.name if row.fact.row is not None else None) or row.written.what.id,
    "kind": _addition_kind,
    "family": _addition_kind,
    "known": lambda row: row.fact.row is not None,
    "stage": lambda row: row.fact.stage,
    "timing": _timing,
    "form": lambda row: row.written.form or "",
    "minutes": _minutes,
    "hours": _hours,
    "contact": contact,
    "contact_low": lambda row: _range(row.fact, "usual_contact")[0],
    "contact_high": lambda row: _range(row.fact, "usual_contact")[1],
    "contact_ratio": contact_ratio,
    "before_package": before_package,
    "dose_in_beer": _addition_in_beer,
    "beyond": beyond("additions"),
    "never": never("additions"),
    "tasted": lambda row: row.written.until is not None,
    "weight": lambda row: _amount(row, "weight", "amount"),
    "volume": lambda row: _amount(row, "volume", "liquid-amount"),
    "pieces": lambda row: row.written.count,
    "strength": _strength,
    "amount_written": _amount_written,
    "dose": lambda row: row.fact.dose(row.around).dose,
    "dose_low": lambda row: row.fact.dose(row.around).low,
    "dose_high": lambda row: row.fact.dose(row.around).high,
    "dose_unit": lambda row: row.fact.dose(row.around).unit,
    "dose_ratio": lambda row: row.fact.dose(row.around).ratio,
    "judged": lambda row: judged(row.fact.id),
    "slip": lambda row: row.fact.dose(row.around).slip,
    "repeats": lambda row: _repeats(
        row, lambda fact: (fact.id, fact.stage, time_of(fact.when, "before-end"))
    ),
}


def addition_rows(tables: Tables) -> list[Row]:
    known = tables.catalogue
    lines = [
        _Added(item, known.addition(item.what.id, item.lot) if known else None)
        for item in tables.recipe.additions
    ]
    around = _Around(tables, lines)
    return [Row(_ADDITIONS, fact.written.at, fact.written, fact, around) for fact in lines]
