"""Tables of facts: what rules see of a recipe and of the beer it makes. Nothing here has an opinion.

A table is made when a rule first asks for it. Its rows are plain dicts: the columns of
``recipelint.rulebook.columns`` and two keys that are no columns, ``at`` (pointer of the row) and ``_record`` (what
the brewer wrote). An unknown value is ``None``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, TypeAlias

from recipelint.recipe.model import Culture, Package, Recipe, Timing
from recipelint.recipe.quantity import Quantity
from recipelint.recipe.stat_names import STATS
from recipelint.rulebook.doses import Dose, dose_of
from recipelint.rulebook.facts import Brew, Catalogue, Range, Style
from recipelint.rulebook.items import item_keys
from recipelint.rulebook.singles import single_values, style_row
from recipelint.rulebook.slips import amount_slip, heat_slip

Row: TypeAlias = dict[str, Any]

# Fusel and solvent notes come from the first days of growth, so a step that starts later is a rest, not the fermentation.
EARLY_HOURS = 60.0
# kg or g per litre of wort or beer that everyday recipes stay within; only for guessing slips.
GRIST_USUAL = (0.0005, 0.7)
HOPS_USUAL = (0.0002, 0.02)


class Facts(dict[str, Any]):
    """Stats and single values by name, worked out when first asked for."""

    __slots__ = ("_tables",)

    def __init__(self, tables: Tables) -> None:
        self._tables = tables

    def __missing__(self, name: str) -> Any:
        if name in STATS:
            value: Any = self._tables.brew.stat(name).value
        else:
            self.update(single_values(self._tables.recipe, self._tables.style, self._tables.region))
            return self[name]
        self[name] = value
        return value


class Tables:
    """The facts of one recipe: ``rows(table)``, and ``facts[name]`` for stats and single values."""

    __slots__ = ("_keys", "_made", "brew", "catalogue", "facts", "recipe", "region", "style")

    def __init__(
        self,
        recipe: Recipe,
        brew: Brew,
        style: Style | None = None,
        catalogue: Catalogue | None = None,
        region: str | None = None,
    ) -> None:
        self.recipe = recipe
        self.brew = brew
        self.style = style
        self.catalogue = catalogue
        self.region = region
        self.facts = Facts(self)
        self._keys: dict[str, str] | None = None
        self._made: dict[str, list[Row]] = {}

    @property
    def keys(self) -> dict[str, str]:
        """Pointer of each item -> its key."""
        if self._keys is None:
            self._keys = item_keys(self.recipe)
        return self._keys

    def rows(self, table: str) -> list[Row]:
        """The rows of a table, made once; not to be changed."""
        made = self._made.get(table)
        if made is None:
            made = self._made[table] = _MAKERS[table](self)
            for number, row in enumerate(made, 1):
                row["number"] = number
        return made

    def row(self, at: str, record: Any, **columns: Any) -> Row:
        return {"at": at, "_record": record, "item": self.keys.get(at), **columns}


def _value(quantity: Quantity | None) -> float | None:
    return quantity.value if quantity is not None else None


def _range(pair: Range | None) -> Range:
    return pair if pair is not None else (None, None)


def _records(rows: Iterable[Any]) -> dict[str, Any]:
    return {row.at: row for row in rows}


def _timing(when: Timing | None) -> tuple[str, float | None, float | None, float | None]:
    """Timing kind, minutes before the end, hours after pitching, hours of contact."""
    if when is None:
        return "", None, None, None
    value = _value(when.value)
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
    return litres if litres is not None else _value(batch)


def _mass_slip(weight: float | None, litres: float | None, usual: tuple[float, float]) -> str:
    if weight is None or not litres:
        return ""
    return amount_slip(weight, usual[0] * litres, usual[1] * litres, "kg")


def _grist(tables: Tables) -> list[Row]:
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
                moisture=_value(written.moisture) if written else None,
                enzyme_power=getattr(row, "diastatic_power", None),
                weight_written=bool(written and written.weight),
                repeats=repeats(fact.id, fact.stage),
                slip=_mass_slip(fact.weight, litres, GRIST_USUAL),
            )
        )
    return rows


def _hops(tables: Tables) -> list[Row]:
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
                contact=_value(written.for_) if written and written.for_ else contact,
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
                temperature=_value(written.temperature) if written else None,
                repeats=repeats(fact.id, fact.stage, minutes),
                slip=_mass_slip(fact.weight, litres, HOPS_USUAL),
            )
        )
    return rows


def _rests(tables: Tables) -> list[Row]:
    rows: list[Row] = []
    before: float | None = None
    mash = tables.recipe.mash
    for number, rest in enumerate(mash.rests if mash else (), 1):
        heat = _value(rest.temperature)
        start = _value(rest.from_) if rest.from_ is not None else heat
        rows.append(
            tables.row(
                rest.at,
                rest,
                name=rest.name or f"rest {number}",
                by=rest.by or (mash.heating if mash else None) or "",
                pull=rest.pull or "",
                temperature=heat,
                start=start,
                minutes=_value(rest.for_),
                liquor=_value(rest.liquor),
                rise=start - before if start is not None and before is not None else None,
                slip=heat_slip(heat, 30.0, 80.0),
            )
        )
        before = heat
    return rows


def _steps(tables: Tables) -> list[Row]:
    rows: list[Row] = []
    start: float | None = 0.0
    before: float | None = None
    steps = tables.recipe.fermentation
    for number, step in enumerate(steps, 1):
        heat = _value(step.to if step.to is not None else step.temperature)
        in_room = step.of == "room"
        hours = _value(step.for_)
        if step.over is not None:
            hours = step.over.value + (hours or 0.0)
        rows.append(
            tables.row(
                step.at,
                step,
                name=f"step {number}",
                climbs=step.rise or "",
                until=step.until or "",
                temperature=None if in_room else heat,
                room=heat if in_room else None,
                of_room=in_room,
                rise=heat - before if heat is not None and before is not None and not in_room else None,
                start=start,
                hours=hours,
                first=number == 1,
                last=number == len(steps),
                early=number == 1 or (start is not None and start < EARLY_HOURS),
                slip=heat_slip(heat, -2.0, 40.0),
            )
        )
        start = start + hours if start is not None and hours is not None and not step.until else None
        before = None if in_room else heat
    return rows


def _cultures(tables: Tables) -> list[Row]:
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
                attenuation_low=fact.attenuation_low,
                attenuation_high=fact.attenuation_high,
                tolerance_low=fact.tolerance_low,
                tolerance_high=fact.tolerance_high,
                temperature_low=fact.temperature_low,
                temperature_high=fact.temperature_high,
                pitched_at=_value(written.pitched_at) if written else None,
                hours=_timing(when)[2],
                age=_value(written.age) if written else None,
                packs=written.packs if written else None,
                tolerance_written=bool(written and written.tolerance),
                attenuation_written=bool(written and written.attenuation),
            )
        )
    return rows


def _additions(tables: Tables) -> list[Row]:
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
        strength = _value(item.strength) if item.strength is not None else getattr(row, "strength", None)
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
                contact=_value(item.for_) if item.for_ is not None else contact,
                weight=_value(item.weight) if item.weight and item.weight.kind == "amount" else None,
                volume=_value(item.volume) if item.volume and item.volume.kind == "liquid-amount" else None,
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


def _waters(tables: Tables) -> list[Row]:
    rows = []
    for number, water in enumerate(tables.recipe.water, 1):
        row = tables.catalogue.water(water.source) if tables.catalogue and water.source else None
        columns = {}
        for ion in ("calcium", "magnesium", "sodium", "chloride", "sulphate", "bicarbonate", "alkalinity"):
            written = _value(getattr(water, ion))
            columns[ion] = written if written is not None else getattr(row, ion, None)
        name = (row.name if row is not None else None) or water.source or f"water {number}"
        rows.append(
            tables.row(
                water.at,
                water,
                name=name,
                known=row is not None,
                share=_value(water.share),
                treated=water.treated or "",
                ph=water.ph if water.ph is not None else getattr(row, "ph", None),
                **columns,
            )
        )
    return rows


def _vessels(tables: Tables) -> list[Row]:
    return [
        {
            "at": fact.at,
            "_record": None,
            "item": None,
            "name": fact.name,
            "capacity": fact.capacity,
            "filled": fact.filled,
            "fill": fact.fill,
        }
        for fact in tables.brew.vessels
    ]


def _stages(tables: Tables) -> list[Row]:
    rows: list[Row] = []
    start: float | None = 0.0
    before: float | None = None
    stages = tables.recipe.conditioning
    for number, stage in enumerate(stages, 1):
        heat, hours = _value(stage.temperature), _value(stage.for_)
        rows.append(
            tables.row(
                stage.at,
                stage,
                name=stage.vessel or f"stage {number}",
                vessel=stage.vessel or "",
                racked=stage.racked,
                purged=stage.purged,
                temperature=heat,
                start=start,
                hours=hours,
                capacity=_value(stage.capacity),
                relief=_value(stage.relief),
                last=number == len(stages),
                rise=heat - before if heat is not None and before is not None else None,
            )
        )
        start = start + hours if start is not None and hours is not None else None
        before = heat
    return rows


def _packages(tables: Tables) -> list[Row]:
    return [_package(tables, package, number) for number, package in enumerate(tables.recipe.packaging, 1)]


def _package(tables: Tables, package: Package, number: int) -> Row:
    priming, store = package.priming, package.store
    return tables.row(
        package.at,
        package,
        name=package.into or f"package {number}",
        into=package.into or "",
        glass=package.glass or "",
        priming=(priming.sugar or "") if priming else "",
        primed=priming is not None,
        yeasted=package.yeast is not None,
        rest=package.rest,
        priming_weight=_value(priming.weight) if priming else None,
        carbonation_wanted=_value(package.carbonation),
        rated=_value(package.rated),
        pressure=_value(package.pressure),
        relief=_value(package.relief),
        temperature=_value(package.temperature),
        volume=_value(package.volume),
        stored=_value(store.temperature) if store else None,
        warmest=_value(store.warmest) if store else None,
    )


def _promises(tables: Tables) -> list[Row]:
    return [
        tables.row(
            promise.at,
            promise,
            name=promise.stat,
            low=promise.low,
            high=promise.high,
            value=promise.value,
            computed=promise.stat in STATS and tables.facts[promise.stat] is not None,
        )
        for promise in tables.recipe.expect
    ]


def _style(tables: Tables) -> list[Row]:
    if tables.style is None:
        return []
    choice = tables.recipe.style
    return [{"at": choice.at if choice else "", "_record": choice, "item": None, **style_row(tables.style)}]


_MAKERS: dict[str, Callable[[Tables], list[Row]]] = {
    "grist": _grist,
    "hops": _hops,
    "rests": _rests,
    "steps": _steps,
    "cultures": _cultures,
    "additions": _additions,
    "waters": _waters,
    "vessels": _vessels,
    "stages": _stages,
    "packages": _packages,
    "promises": _promises,
    "style": _style,
}
