"""How long fruit, dry hops, wood and spice lie in the beer, and in how much of it.

Hours, grams, litres. What is written (``for: 4 d``) goes first. Otherwise a thing lies from when it goes in until the
beer is racked off it (see ``conditioning.rackings``) or packaged. What hangs on the pace of the fermentation rests on
``fermenting``, which is good to a factor of two, and is worked out only for what needs it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple, TypeAlias

from recipelint.brewing import conditioning, ripening
from recipelint.brewing.inputs import DRY_HOPPED
from recipelint.brewing.plan import kilograms
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found
from recipelint.recipe.model import AdditionItem, Culture, GristItem, HopItem, Timing

Item: TypeAlias = GristItem | HopItem | AdditionItem | Culture
Left: TypeAlias = Callable[[Run, Sequence[Item], int], tuple[float | None, str]]

HOPS, WOOD, SPICE, FRUIT = "dry hops", "wood", "spice", "fruit"
_SORTS = {"wood": WOOD, "spice": SPICE, "herb": SPICE, "flavouring": SPICE, "fruit": FRUIT}
BY_GRAVITY = "when {} goes in hangs on the gravity"
EQUAL = 1e-6  # h
WAITS = "a step of the fermentation does not say how long"
STAGE_WAITS = "a stage of conditioning does not say how long"


class Contact(NamedTuple):
    """A thing that lies in the beer.

    sort: dry hops, wood, spice (with herbs and what is like them), fruit, or empty for what no catalogue knows.
    hours: of contact, with ``why`` where that is not known. left: hours from when it goes in until it is packaged.
    litres: of beer it lies in. grams: None where it is counted in pieces or measured by volume.
    """

    at: str
    name: str
    sort: str
    hours: float | None
    left: float | None
    litres: float
    grams: float | None
    why: str

    @property
    def dose(self) -> float | None:
        """Grams in a litre of the beer it lies in."""
        return self.grams / self.litres if self.grams is not None and self.litres > 0.0 else None


class Lying(NamedTuple):
    """A line of the recipe that lies in the beer: its list, its place in it, name, sort and mass (kg)."""

    items: Sequence[Item]
    place: int
    name: str
    sort: str
    kilograms: float | None

    @property
    def item(self) -> Item:
        return self.items[self.place]


# ---------------------------------------------------------------------- what lies in the beer


def lying(run: Run) -> Iterator[Lying]:
    """All that lies in the beer, in the order of the recipe: grist, hops, additions."""
    plan, recipe = run.plan, run.plan.recipe
    for index, line in enumerate(plan.lines):
        if line.key == "fruit" and line.stage in DRY_HOPPED:
            yield Lying(recipe.grist, index, line.name, FRUIT, line.weight)
    for index, hop in enumerate(plan.hops):
        if hop.stage in DRY_HOPPED:
            yield Lying(recipe.hops, index, hop.name, HOPS, hop.weight)
    batch = recipe.batch.volume.value if recipe.batch.volume is not None else 0.0
    for index, (item, row) in enumerate(zip(recipe.additions, plan.addition_rows, strict=True)):
        kind = (row.kind or "") if row is not None else ""
        solid = item.volume is None and (row is None or kind in _SORTS)
        if solid and item.when is not None and item.when.stage in DRY_HOPPED:
            name = (row.name if row is not None else None) or item.what.id
            mass = kilograms(item.weight, batch) if item.weight is not None else None
            yield Lying(recipe.additions, index, name, _SORTS.get(kind, ""), mass)


# ---------------------------------------------------------------------- when


def racked_before_package(run: Run, left: float) -> tuple[int | None, str]:
    """The stage for which the beer is first racked off what goes in so many hours before the package.

    None if it is not; with a reason where a stage does not say how long.
    """
    stages = run.plan.recipe.conditioning
    for index in conditioning.rackings(stages):
        rest = conditioning.lengths(stages[index:])
        if rest is None:
            return None, STAGE_WAITS
        if rest < left - EQUAL:
            return index, ""
    return None, ""


def by_plan(run: Run, items: Sequence[Item], index: int) -> tuple[float | None, str]:
    """Hours from when an item goes in until the package, by what is written alone; below 0 if it comes too late."""
    when = items[index].when
    if when is None or when.value is None:
        return None, WAITS if when is not None and when.kind == "still" else _untold(items[index])
    if when.kind == "before-package":
        return when.value.value, ""
    if when.kind == "after":
        cellar, why, _ = ripening.conditioning_time(run)
        return (None, why) if cellar is None else (cellar - when.value.value, "")
    if when.kind == "after-previous":
        return _after_previous(run, items, index, by_plan)
    if when.kind != "day":
        return None, BY_GRAVITY.format(items[index].what.id)
    whole, why = schedule(run)
    return (None, why) if whole is None else (whole - when.value.value, "")


def schedule(run: Run) -> tuple[float | None, str]:
    """Hours from pitching to the end of the last stage, by what is written alone."""
    from recipelint.brewing import schedule as written

    steps = [step.hours for step in written.fermentation(run.plan)]
    known = [hours for hours in steps if hours is not None]
    cellar = conditioning.lengths(run.plan.recipe.conditioning)
    if not steps or len(known) < len(steps):
        return None, WAITS
    return (None, STAGE_WAITS) if cellar is None else (sum(known) + cellar, "")


def previous(items: Sequence[Item], index: int) -> int | None:
    """The line before this one that goes into the fermenter or later; None if there is none."""
    earlier = [
        number
        for number, item in enumerate(items[:index])
        if item.when is not None and item.when.stage in DRY_HOPPED
    ]
    return earlier[-1] if earlier else None


def _after_previous(run: Run, items: Sequence[Item], index: int, left: Left) -> tuple[float | None, str]:
    """After the line before it; the first counts from pitching."""
    when, before = items[index].when, previous(items, index)
    assert when is not None and when.value is not None
    found, why = schedule(run) if before is None else left(run, items, before)
    return (None, why) if found is None else (found - when.value.value, "")


def _untold(item: Item) -> str:
    return f"the recipe does not say when {item.what.id} goes in"


def until_package(run: Run, items: Sequence[Item], index: int) -> tuple[float | None, str]:
    """Hours from when an item goes in until the package, the way of the fermentation taken in where that is needed."""
    when = items[index].when
    if when is not None and when.kind == "after-previous" and when.value is not None:
        return _after_previous(run, items, index, until_package)
    found, why = by_plan(run, items, index)
    if found is not None or when is None or when.kind not in ("day", "still", "gravity"):
        return found, why
    from recipelint.brewing import fermenting

    packaged, why = fermenting.packaged_after(run)
    hours = _hours_in(run, items[index], when)
    if packaged is None:
        return None, why
    return (None, BY_GRAVITY.format(items[index].what.id)) if hours is None else (packaged - hours, "")


def _hours_in(run: Run, item: Item, when: Timing) -> float | None:
    """Hours after pitching at which an item goes in; None where that hangs on a gravity that nothing tells."""
    from recipelint.brewing import fermenting

    if when.kind == "day" and when.value is not None:
        return when.value.value
    way = fermenting.way(run)
    if way is None:
        return None
    for event in way.events:
        if event.at == item.at:
            return event.hours.value
    return way.still.value if when.kind == "still" and math.isfinite(way.still.value) else None


# ---------------------------------------------------------------------- one thing, and all of them


def contact(run: Run, thing: Lying) -> Contact:
    """How long a thing lies in the beer."""
    item = thing.item
    left, why = until_package(run, thing.items, thing.place)
    hours = getattr(item, "for_", None)
    if hours is not None:
        time: float | None = hours.value
        why = ""
    elif left is None:
        time = None
    else:
        index, why = racked_before_package(run, left)
        racked = 0.0 if index is None else conditioning.lengths(run.plan.recipe.conditioning[index:]) or 0.0
        time = None if why else max(left - racked, 0.0)
    grams = None if thing.kilograms is None else 1000.0 * thing.kilograms
    litres = beer_around(run, item, left)
    return Contact(item.at, thing.name, thing.sort, time, left, litres, grams, why)


def beer_around(run: Run, item: Item, left: float | None) -> float:
    """Litres of beer around what goes in so long before the package: without its lees once it has been racked."""
    stages = run.plan.recipe.conditioning
    first = next(iter(conditioning.rackings(stages)), None)
    if first is None:
        return run.beer.volume
    rest = conditioning.lengths(stages[first:])
    if (
        left is None or rest is None
    ):  # what goes in while it is conditioned goes in after the racking, as a rule
        late = item.when is not None and item.when.stage == "condition"
    else:
        late = left <= rest + EQUAL
    return run.beer.package if late else run.beer.volume


def contacts(run: Run) -> tuple[Contact, ...]:
    """All that lies in the beer."""
    return tuple(contact(run, thing) for thing in lying(run))


def contact_at(run: Run, at: str) -> Contact | None:
    """What stands at a pointer of the recipe; None if it does not lie in the beer."""
    return next((contact(run, thing) for thing in lying(run) if thing.item.at == at), None)


def past_package(run: Run, items: Sequence[Item], index: int) -> float | None:
    """Hours for which an item would still have to lie when the beer is packaged, by what is written alone.

    0 where it fits; None where what is written does not tell. Of hops in several parts the last one counts.
    """
    left, _ = by_plan(run, items, index)
    if left is None:
        return None
    item = items[index]
    hours, every, parts = (getattr(item, name, None) for name in ("for_", "every", "parts"))
    later = every.value * (parts - 1) if every is not None and parts else 0.0
    return max((hours.value if hours is not None else 0.0) + later - left, 0.0)


# ---------------------------------------------------------------------- stats


def longest(sort: str) -> Callable[[Run], Found]:
    """The longest contact of all of one sort; unknown as soon as one of them is."""

    def found(run: Run) -> Found:
        things = [contact(run, thing) for thing in lying(run) if thing.sort == sort]
        if not things:
            return None, f"no {sort} {'are' if sort == HOPS else 'is'} written to lie in the beer", ()
        unknown = next((one for one in things if one.hours is None), None)
        if unknown is not None:
            return None, unknown.why, ()
        most = max(things, key=lambda one: one.hours or 0.0)
        return most.hours, "", ((most.at, 1.0),)

    return found


FINDERS: dict[str, Callable[[Run], Found]] = {
    "dry_hop_contact": longest(HOPS),
    "wood_contact": longest(WOOD),
    "spice_contact": longest(SPICE),
    "fruit_contact": longest(FRUIT),
}
