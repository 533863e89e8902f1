"""What would bring a stat to a wished value: one change at a time, found by brewing again.

Each lever is one number of the recipe: the weight of a line, the heat of a rest, the batch. It is moved, the beer is
brewed on paper once more, and the number is narrowed until the stat is where it is wanted. Nothing is guessed, and a
lever that cannot do it within its bounds is left out. Of a bill of shares what is written is moved: a share, or the
gravity of the batch, from which the weights follow anew.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from recipelint.brewing import kit as kits
from recipelint.brewing import mashing
from recipelint.brewing.hopping import bitter
from recipelint.brewing.plan import GRAIN_KEYS, KETTLE, STAGED, Line, Plan, kilograms
from recipelint.brewing.process import Run
from recipelint.brewing.solve import settled_run
from recipelint.brewing.stats import find

ROUNDS = 40
MOST = 12.0  # times its weight that a line is tried at
COOLEST, HOTTEST = 62.0, 73.0  # °C between which a warmer rest makes a less fermentable wort
MAIN, AT_MOST = 0.3, 2.0  # share of the bill from which a line makes the beer, and how far it is moved then
MOST_POINTS = 0.2  # SG above water up to which a gravity is tried
COLOURED = 10.0  # °Lov from which a malt is used for its colour; common practice
WORTH = 0.3  # of the miss that a part must make up to be named as its cause


class Change(NamedTuple):
    """One change that does it alone.

    ``what`` is malt, sugar, sugar for malt, hop, dark malt, rest, batch or gravity; ``unit`` kg, 1 (a share of the
    bill), °C, L or SG.
    """

    what: str
    at: str
    name: str
    before: float
    after: float
    unit: str


class Cause(NamedTuple):
    """A part that moves a stat, and what the stat would be without it. ``what`` is sugar, culture or mash."""

    what: str
    name: str
    without: float


class _Lever(NamedTuple):
    what: str
    at: str
    name: str
    before: float
    low: float
    high: float
    move: Callable[[float], Plan]
    unit: str = "kg"


def changes(run: Run, stat: str, wanted: float) -> tuple[Change, ...]:
    """Up to three changes, each of which alone brings the stat to ``wanted``, in its own unit.

    For original gravity, final gravity, strength, bitterness and colour; () for any other. Solved to a thousandth of
    the way; everything else in the recipe stays as it is, so what else moves must be looked at again.
    """
    plan = run.plan
    levers = (_OF_SHARES if plan.by_share else _LEVERS).get(stat)
    if levers is None or find(run, stat)[0] is None:
        return ()
    found: list[Change] = []
    for make in levers:
        lever = make(plan, run)
        if lever is not None:
            after = _solved(lever, stat, wanted)
            if after is not None and abs(after - lever.before) > 1e-6:
                found.append(Change(lever.what, lever.at, lever.name, lever.before, after, lever.unit))
    return tuple(found)


def _solved(lever: _Lever, stat: str, wanted: float) -> float | None:
    """Where the lever brings the stat to what is wanted, by halving; None if that lies beyond its bounds."""

    def miss(at: float) -> float | None:
        value = find(settled_run(lever.move(at)), stat)[0]
        return None if value is None else value - wanted

    here = miss(lever.before)
    if here is None:
        return None
    for side in (lever.low, lever.high):
        other = miss(side) if side != lever.before else None
        if other is None or here * other > 0.0:
            continue
        near, far = lever.before, side
        for _ in range(ROUNDS):
            middle = 0.5 * (near + far)
            between = miss(middle)
            if between is None:
                return None
            if between * here > 0.0:
                near = middle
            else:
                far = middle
            if abs(far - near) <= 1e-4 * max(abs(lever.before), 1e-3):
                break
        return far  # on the side where it is reached
    return None


# ---------------------------------------------------------------------- the levers


def _line(
    what: str, plan: Plan, keep: Callable[[Line], bool], weigh: Callable[[Line], float]
) -> _Lever | None:
    """The weight of the weightiest line of a kind; its share in a bill of shares."""
    rows = [
        (weigh(line), -index) for index, line in enumerate(plan.lines) if keep(line) and line.weight > 0.0
    ]
    if not rows:
        return None
    index = -max(rows)[1]
    line = plan.lines[index]
    others = math.fsum([each.weight for each in plan.lines]) - line.weight

    def move(weight: float) -> Plan:
        lines = list(plan.lines)
        lines[index] = line._replace(weight=weight)
        return plan._replace(lines=tuple(lines))

    if plan.by_share:
        share = line.weight / (line.weight + others)
        whole = others <= 0.0  # a share of all there is has nothing to give way to
        most = share if whole else min(MOST * share, 0.5 * (1.0 + share))
        return _Lever(
            what, line.at, line.name, share, share if whole else 0.0, most,
            lambda at: plan if whole else move(others * at / (1.0 - at)), "1",
        )  # fmt: skip
    # A line that makes the beer is not taken for a lever of any length: it would be another beer.
    main = line.weight > MAIN * (line.weight + others)
    low, most = (line.weight / AT_MOST, AT_MOST * line.weight) if main else (0.0, MOST * line.weight)
    return _Lever(what, line.at, line.name, line.weight, low, most, move)


def _malt(plan: Plan, run: Run) -> _Lever | None:
    brings = ("mash", *KETTLE)
    return _line(
        "malt",
        plan,
        lambda line: line.stage in brings and (line.key in GRAIN_KEYS or line.key == "extract"),
        lambda line: line.weight * line.extract,
    )


def _sugar(plan: Plan, run: Run) -> _Lever | None:
    return _line(
        "sugar",
        plan,
        lambda line: line.key == "sugar" and (line.stage in KETTLE or line.stage in STAGED),
        lambda line: line.weight * line.extract,
    )


def _dark(plan: Plan, run: Run) -> _Lever | None:
    """The coloured malt or sugar that brings most colour; where all is pale, the line that brings most."""
    coloured = any(line.lovibond >= COLOURED for line in plan.lines if line.weight > 0.0)
    return _line(
        "dark malt",
        plan,
        lambda line: line.lovibond >= (COLOURED if coloured else 0.1),
        lambda line: line.weight * line.lovibond,
    )


def _batch(plan: Plan, run: Run) -> _Lever | None:
    if plan.wish <= 0.0:
        return None

    def move(litres: float) -> Plan:
        wish = litres if plan.fermenter_wish is not None and plan.into == "fermenter" else plan.fermenter_wish
        # What is written for each litre, or taken by the size of the batch, goes with it.
        hops = tuple(
            [
                hop._replace(weight=kilograms(item.weight, litres))
                for hop, item in zip(plan.hops, plan.recipe.hops, strict=True)
            ]
        )
        kit = kits.kit_of(plan.brewhouse, litres, [])
        return plan._replace(wish=litres, fermenter_wish=wish, kit=kit, hops=hops)

    return _Lever("batch", plan.recipe.batch.at, "", plan.wish, 0.3 * plan.wish, 3.0 * plan.wish, move, "L")


def _gravity(plan: Plan, run: Run) -> _Lever | None:
    """The gravity that a bill of shares is weighed for."""
    batch = plan.recipe.batch
    wish = batch.gravity
    if wish is None:
        return None

    def move(gravity: float) -> Plan:
        wished = batch._replace(gravity=wish._replace(value=gravity))
        return plan._replace(recipe=plan.recipe._replace(batch=wished))

    points = wish.value - 1.0
    low, high = 1.0 + 0.3 * points, min(1.0 + 3.0 * points, 1.0 + MOST_POINTS)
    return _Lever("gravity", batch.at, "", wish.value, low, high, move, "SG")


def _hop(plan: Plan, run: Run) -> _Lever | None:
    """The addition that brings the most bitterness."""
    facts = bitter(run).parts
    bitterness = max((fact.ibu for fact in facts), default=0.0)
    if bitterness <= 0.0:
        return None
    index = next(index for index, fact in enumerate(facts) if fact.ibu == bitterness)
    hop = plan.hops[index]

    def move(weight: float) -> Plan:
        hops = list(plan.hops)
        hops[index] = hop._replace(weight=weight)
        return plan._replace(hops=tuple(hops))

    return _Lever("hop", hop.at, hop.name, hop.weight, 0.0, MOST * hop.weight, move)


def _rest(plan: Plan, run: Run) -> _Lever | None:
    """The rest that decides most: where a kelvin moves the attenuation limit furthest; else the longest."""
    mash = plan.recipe.mash
    if mash is None or run.mash.converted.result is None or plan.recipe.finishes is not None:
        return None
    rows = [
        (rest.for_.value, -index)
        for index, rest in enumerate(mash.rests)
        if rest.temperature is not None
        and rest.from_ is None
        and rest.for_ is not None
        and mashing.CONVERTING[0] <= rest.temperature.value <= HOTTEST
    ]
    if not rows:
        return None
    index = -max(rows)[1]
    heat = mash.rests[index].temperature
    assert heat is not None

    def move(celsius: float) -> Plan:
        rests = list(mash.rests)
        rests[index] = rests[index]._replace(temperature=heat._replace(value=celsius))
        return plan._replace(recipe=plan.recipe._replace(mash=mash._replace(rests=tuple(rests))))

    name = mash.rests[index].name or ""
    low = min(COOLEST, heat.value)
    return _Lever("rest", mash.rests[index].at, name, heat.value, low, HOTTEST, move, "°C")


def _swap(plan: Plan, run: Run) -> _Lever | None:
    """Sugar in place of malt, or malt in place of sugar, at the same extract by the efficiency of today."""
    sugar, malt = _sugar(plan, run), _malt(plan, run)
    if sugar is None or malt is None:
        return None
    extracts = {line.at: extract for line, extract in zip(plan.lines, run.extracts(), strict=True)}
    by_sugar, by_malt = extracts[sugar.at] / sugar.before, extracts[malt.at] / malt.before
    if by_sugar <= 0.0 or by_malt <= 0.0:
        return None

    def move(weight: float) -> Plan:
        less = (weight - sugar.before) * by_sugar / by_malt
        lines = [
            line._replace(weight=weight)
            if line.at == sugar.at
            else line._replace(weight=max(line.weight - less, 0.0))
            if line.at == malt.at
            else line
            for line in plan.lines
        ]
        return plan._replace(lines=tuple(lines))

    most = sugar.before + malt.before * by_malt / by_sugar
    return sugar._replace(what="sugar for malt", high=min(sugar.high, most), move=move)


_LEVERS: dict[str, tuple[Callable[[Plan, Run], _Lever | None], ...]] = {
    "original_gravity": (_malt, _sugar, _batch),
    "final_gravity": (_rest, _swap, _malt),
    "abv": (_malt, _sugar, _batch),
    "bitterness": (_hop,),
    "colour_srm": (_dark,),
}
_OF_SHARES: dict[str, tuple[Callable[[Plan, Run], _Lever | None], ...]] = {
    "original_gravity": (_gravity,),
    "final_gravity": (_rest, _sugar, _gravity),
    "abv": (_gravity, _sugar, _rest),
    "bitterness": (_hop,),
    "colour_srm": (_dark,),
}


# ---------------------------------------------------------------------- the causes


def causes(run: Run, stat: str, wanted: float) -> tuple[Cause, ...]:
    """Which of sugar, culture and mash keeps a stat from a wished value, and what it would be without each.

    Without the sugar: were it malt; without the mash: with a wort that the culture decides; without the culture: with
    one that goes as far as the mash allows. Named are those that make up a good part of the miss. Of final gravity,
    attenuation and strength.
    """
    if stat not in ("final_gravity", "apparent_attenuation", "real_attenuation", "abv"):
        return ()
    value = find(run, stat)[0]
    if value is None or value == wanted:
        return ()
    found: list[Cause] = []
    for what, name, plan in _without(run):
        other = find(settled_run(plan), stat)[0]
        if other is not None and (value - other) / (value - wanted) >= WORTH:
            found.append(Cause(what, name, other))
    return tuple(found)


def _without(run: Run) -> list[tuple[str, str, Plan]]:
    plan = run.plan._replace(by_share=False)
    rows: list[tuple[str, str, Plan]] = []
    sugars = [line for line in plan.lines if line.key == "sugar" and line.stage != "package"]
    if sugars and plan.recipe.finishes is None:
        lines = [
            line._replace(key="extract", fermentability=None) if line.key == "sugar" else line
            for line in plan.lines
        ]
        rows.append(
            ("sugar", max(sugars, key=lambda line: line.weight).name, plan._replace(lines=tuple(lines)))
        )
    beer = run.beer
    if beer.limit is not None and beer.culture_attenuation is not None and plan.recipe.finishes is None:
        mash = plan.recipe.mash
        if beer.limit < beer.culture_attenuation and mash is not None:
            free = plan.recipe._replace(mash=mash._replace(rests=()))
            rows.append(("mash", "", plan._replace(recipe=free)))
        else:
            pitches = [
                pitch._replace(attenuation=1.0) if pitch.attenuation is not None else pitch
                for pitch in plan.cultures
            ]
            name = max(plan.cultures, key=lambda pitch: pitch.attenuation or 0.0).name
            rows.append(("culture", name, plan._replace(cultures=tuple(pitches))))
    return rows
