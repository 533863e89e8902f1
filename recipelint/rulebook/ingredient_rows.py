"""Rows of the tables about what goes in: grist, hops, cultures, additions, waters."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from recipelint.recipe.model import Culture, Timing
from recipelint.rulebook.doses import Dose, dose_of
from recipelint.rulebook.facts import Range
from recipelint.rulebook.singles import value_of
from recipelint.rulebook.slips import amount_slip

if TYPE_CHECKING:
    from recipelint.rulebook.tables import Row, Tables

# kg per litre of wort or beer that everyday recipes stay within; only for guessing slips.
GRIST_USUAL = (0.0005, 0.7)
HOPS_USUAL = (0.0002, 0.02)


def _range(pair: Range | None) -> Range:
    return pair if pair is not None else (None, None)


def _records(rows: Iterable[Any]) -> dict[str, Any]:
    return {row.at: row for row in rows}


def _timing(when: Timing | None) -> tuple[str, float | None, float | None, float | None]:
    """Timing kind, minutes before the end, hours after pitching, hours of contact."""
    if when is None:
        return "", None, None, None
    value = value_of(when.value)
    return (
        when.kind,
        value if when.kind == "before-end" else None,
        value if when.kind == "day" else None,
        value / 60.0 if when.kind == "contact" and value is not None else None,
    )


class _Repeats:
    """How often the same thing at the same stage stood in the lines before."""

    def __init__(self) -> None:
        self.seen: dict[object, int] = {}

    def __call__(self, *key: object) -> int:
        count = self.seen.get(key, 0)
        self.seen[key] = count + 1
        return count


def _litres(tables: Tables) -> float | None:
    batch = tables.recipe.batch.volume
    litres: float | None = tables.facts["fermenter_volume"]
    return litres if litres is not None else value_of(batch)


def _mass_slip(weight: float | None, litres: float | None, usual: tuple[float, float]) -> str:
    if weight is None or not litres:
        return ""
    return amount_slip(weight, usual[0] * litres, usual[1] * litres, "kg")


def grist_rows(tables: Tables) -> list[Row]:
    records = _records(tables.recipe.grist)
    litres = _litres(tables)
    repeats = _Repeats()
    rows = []
    for fact in tables.brew.grist:
        written, row = records.get(fact.at), fact.row
        timing, minutes, hours, _ = _timing(written.when if written else None)
        colours = _range(getattr(row, "colour_range", None))
        rows.append(
            tables.row(
                fact.at,
                written,
                key=fact.key,
                id=fact.id,
                name=fact.name,
                kind=fact.kind,
                stage=fact.stage,
                timing=timing,
                minutes=minutes,
                hours=hours,
                weight=fact.weight,
                weight_share=fact.weight_share,
                grain_share=fact.grain_share,
                extract=fact.extract,
                extract_share=fact.extract_share,
                colour=fact.colour_ebc,
                colour_low=colours[0],
                colour_high=colours[1],
                known=fact.known,
                starch=getattr(row, "starch", None),
                needs_mash=getattr(row, "needs_mash", None),
                sugar_kind=getattr(row, "sugar_kind", None) or "",
                max_share=getattr(row, "max_share", None),
                allergens=(row.allergens or ()) if row is not None else None,
                moisture=value_of(written.moisture) if written else None,
                enzyme_power=getattr(row, "diastatic_power", None),
                weight_written=bool(written and written.weight),
                repeats=repeats(fact.id, fact.stage),
                slip=_mass_slip(fact.weight, litres, GRIST_USUAL),
            )
        )
    return rows


def hop_rows(tables: Tables) -> list[Row]:
    records = _records(tables.recipe.hops)
    litres = _litres(tables)
    repeats = _Repeats()
    rows = []
    for fact in tables.brew.hops:
        written, row = records.get(fact.at), fact.row
        timing, minutes, hours, contact = _timing(written.when if written else None)
        form = (written.form if written else None) or ""
        low, high = _range(getattr(row, "alpha", None))
        # A concentrated pellet holds about twice the resin of the cone it was made from.
        times = 2.0 if form == "concentrated pellet" else 1.0
        rows.append(
            tables.row(
                fact.at,
                written,
                id=fact.id,
                name=fact.name,
                stage=fact.stage,
                timing=timing,
                form=form,
                minutes=minutes,
                hours=hours,
                contact=value_of(written.for_) if written and written.for_ else contact,
                known=fact.known,
                weight=fact.weight,
                alpha=fact.alpha,
                ibu=fact.ibu,
                utilisation=fact.utilisation,
                alpha_low=low * times if low is not None else None,
                dose=fact.dose,
                alpha_high=high * times if high is not None else None,
                alpha_written=bool(written and written.alpha),
                weight_written=bool(written and written.weight),
                temperature=value_of(written.temperature) if written else None,
                repeats=repeats(fact.id, fact.stage, minutes),
                slip=_mass_slip(fact.weight, litres, HOPS_USUAL),
            )
        )
    return rows


def culture_rows(tables: Tables) -> list[Row]:
    records: dict[str, Culture] = _records(tables.recipe.yeast)
    rows = []
    for fact in tables.brew.cultures:
        written = records.get(fact.at)
        when = written.when if written else None
        rows.append(
            tables.row(
                fact.at,
                written,
                id=fact.id,
                name=fact.name,
                form=fact.form,
                known=fact.known,
                stage=when.stage if when else "",
                main=when is None,
                kind=getattr(fact.row, "kind", None) or "",
                species=getattr(fact.row, "species", None) or "",
                diastatic=getattr(fact.row, "diastatic", None),
                eats_dextrins=getattr(fact.row, "diastatic", None),
                attenuation_low=fact.attenuation_low,
                attenuation_high=fact.attenuation_high,
                tolerance_low=fact.tolerance_low,
                tolerance_high=fact.tolerance_high,
                temperature_low=fact.temperature_low,
                temperature_high=fact.temperature_high,
                pitched_at=value_of(written.pitched_at) if written else None,
                hours=_timing(when)[2],
                age=value_of(written.age) if written else None,
                packs=written.packs if written else None,
                tolerance_written=bool(written and written.tolerance),
                attenuation_written=bool(written and written.attenuation),
            )
        )
    return rows


def addition_rows(tables: Tables) -> list[Row]:
    if not tables.recipe.additions:
        return []
    beer = _litres(tables)
    liquor = _sum(tables.facts["strike_liquor"], tables.facts["sparge_liquor"])
    repeats = _Repeats()
    rows = []
    for item in tables.recipe.additions:
        row = tables.catalogue.addition(item.what.id, item.lot) if tables.catalogue else None
        ident = row.id if row is not None else item.what.id
        dose: Dose = dose_of(item, ident, beer, liquor)
        timing, minutes, hours, contact = _timing(item.when)
        kind = (getattr(row, "kind", None) or "") if row is not None else None
        strength = value_of(item.strength) if item.strength is not None else getattr(row, "strength", None)
        rows.append(
            tables.row(
                item.at,
                item,
                id=ident,
                name=(row.name if row is not None else None) or item.what.id,
                kind=kind,
                family=kind,
                known=row is not None,
                stage=item.when.stage if item.when else "",
                timing=timing,
                form=item.form or "",
                minutes=minutes,
                hours=hours,
                contact=value_of(item.for_) if item.for_ is not None else contact,
                weight=value_of(item.weight) if item.weight and item.weight.kind == "amount" else None,
                volume=value_of(item.volume) if item.volume and item.volume.kind == "liquid-amount" else None,
                pieces=item.count,
                strength=strength,
                amount_written=item.weight is not None or item.volume is not None or item.count is not None,
                dose=dose.dose,
                dose_low=dose.low,
                dose_high=dose.high,
                dose_unit=dose.unit,
                dose_ratio=dose.ratio,
                judged=dose.judged,
                slip=dose.slip,
                repeats=repeats(ident, item.when.stage if item.when else "", minutes),
            )
        )
    return rows


def _sum(*values: float | None) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if known else None


def water_rows(tables: Tables) -> list[Row]:
    rows = []
    for number, water in enumerate(tables.recipe.water, 1):
        row = tables.catalogue.water(water.source) if tables.catalogue and water.source else None
        columns = {}
        for ion in ("calcium", "magnesium", "sodium", "chloride", "sulphate", "bicarbonate", "alkalinity"):
            written = value_of(getattr(water, ion))
            columns[ion] = written if written is not None else getattr(row, ion, None)
        name = (row.name if row is not None else None) or water.source or f"water {number}"
        rows.append(
            tables.row(
                water.at,
                water,
                name=name,
                known=row is not None,
                share=value_of(water.share),
                treated=water.treated or "",
                ph=water.ph if water.ph is not None else getattr(row, "ph", None),
                **columns,
            )
        )
    return rows
