"""Rows of the tables about when and in what: rests, steps, stages, vessels, packages, promises, style."""

from __future__ import annotations

from typing import TYPE_CHECKING

from recipelint.recipe.model import Package
from recipelint.recipe.stat_names import STATS
from recipelint.rulebook.singles import style_row, value_of
from recipelint.rulebook.slips import heat_slip

if TYPE_CHECKING:
    from recipelint.rulebook.tables import Row, Tables

# Fusel and solvent notes come from the first days of growth, so a step that starts later is a rest, not the
# fermentation.
EARLY_HOURS = 60.0

# bar that new glass of a class is taken to bear where the recipe gives no rating; from memory
GLASS_BAR = {"light": 4.5, "standard": 6.0, "heavy": 7.0, "champagne": 11.0}


def rest_rows(tables: Tables) -> list[Row]:
    rows: list[Row] = []
    before: float | None = None
    mash = tables.recipe.mash
    for number, rest in enumerate(mash.rests if mash else (), 1):
        heat = value_of(rest.temperature)
        start = value_of(rest.from_) if rest.from_ is not None else heat
        rows.append(
            tables.row(
                rest.at,
                rest,
                name=rest.name or f"rest {number}",
                by=rest.by or (mash.heating if mash else None) or "",
                pull=rest.pull or "",
                temperature=heat,
                start=start,
                minutes=value_of(rest.for_),
                liquor=value_of(rest.liquor),
                rise=start - before if start is not None and before is not None else None,
                slip=heat_slip(heat, 30.0, 80.0),
            )
        )
        before = heat
    return rows


def step_rows(tables: Tables) -> list[Row]:
    rows: list[Row] = []
    start: float | None = 0.0
    before: float | None = None
    steps = tables.recipe.fermentation
    for number, step in enumerate(steps, 1):
        heat = value_of(step.to if step.to is not None else step.temperature)
        in_room = step.of == "room"
        hours = value_of(step.for_)
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


def vessel_rows(tables: Tables) -> list[Row]:
    return [
        {
            "at": fact.at,
            "_record": None,
            "name": fact.name,
            "capacity": fact.capacity,
            "filled": fact.filled,
            "fill": fact.fill,
        }
        for fact in tables.brew.vessels
    ]


def stage_rows(tables: Tables) -> list[Row]:
    rows: list[Row] = []
    start: float | None = 0.0
    before: float | None = None
    stages = tables.recipe.conditioning
    for number, stage in enumerate(stages, 1):
        heat, hours = value_of(stage.temperature), value_of(stage.for_)
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
                capacity=value_of(stage.capacity),
                relief=value_of(stage.relief),
                last=number == len(stages),
                rise=heat - before if heat is not None and before is not None else None,
            )
        )
        start = start + hours if start is not None and hours is not None else None
        before = heat
    return rows


def package_rows(tables: Tables) -> list[Row]:
    return [_package(tables, package, number) for number, package in enumerate(tables.recipe.packaging, 1)]


def _package(tables: Tables, package: Package, number: int) -> Row:
    priming, store = package.priming, package.store
    peak = worst = None
    if number == 1:  # the stat is of the first package
        found = tables.brew.stat("peak_pressure")
        peak = found.value
        worst = peak if found.risk is None else found.risk
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
        priming_weight=value_of(priming.weight) if priming else None,
        carbonation_wanted=value_of(package.carbonation),
        rated=value_of(package.rated),
        pressure=value_of(package.pressure),
        relief=value_of(package.relief),
        temperature=value_of(package.temperature),
        volume=value_of(package.volume),
        stored=value_of(store.temperature) if store else None,
        warmest=value_of(store.warmest) if store else None,
        rating=value_of(package.rated) or GLASS_BAR.get(package.glass or ""),
        peak=peak,
        worst=worst,
    )


def promise_rows(tables: Tables) -> list[Row]:
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


def style_rows_of(tables: Tables) -> list[Row]:
    if tables.style is None:
        return []
    choice = tables.recipe.style
    return [{"at": choice.at if choice else "", "_record": choice, **style_row(tables.style)}]
