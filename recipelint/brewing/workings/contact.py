"""Working of contact: how long what lies in the beer lies there."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from recipelint.brewing import contact, fermenting
from recipelint.brewing.contact import FRUIT, HOPS, SPICE, WOOD, Item, Lying
from recipelint.brewing.workings.givens import origin
from recipelint.brewing.workings.ripening import conditioning_time
from recipelint.brewing.workings.sheet import Known, Sheet, need, part
from recipelint.brewing.workings.way import CURVE, FORM, packaged_after, still_after
from recipelint.recipe.quantity import Quantity

CONTACT = "In contact with the beer"
TIMES = "times as written, one after another"
_LETTER = {"grist": "g", "hops": "h", "additions": "a"}


def _tag(item: Item, index: int) -> str:
    return f"{_LETTER[item.at.split('/')[1]]}{index + 1}"


def _given(sheet: Sheet, symbol: str, words: str, quantity: Quantity) -> Known:
    return sheet.given(symbol, words, quantity.value, "h", origin(sheet, quantity))


@part(CONTACT)
def _schedule(sheet: Sheet) -> Known:
    """Hours from pitching to the end of the last stage."""
    recipe = sheet.plan.recipe
    steps = [length for step in recipe.fermentation for length in (step.over, step.for_)]
    told = [
        length for length in (*steps, *(stage.for_ for stage in recipe.conditioning)) if length is not None
    ]
    terms = [
        _given(sheet, f"dt_{number}", f"step or stage {number}", length)
        for number, length in enumerate(told, 1)
    ]
    return sheet.sum("t_s", "all steps and stages", terms, "h", contact.schedule(sheet.run)[0])


def _left(sheet: Sheet, items: Sequence[Item], index: int) -> Known:
    """Hours from when an item goes in until the package."""
    item, when = items[index], items[index].when
    assert when is not None
    tag, name = _tag(item, index), item.what.id
    words = f"time from when {name} goes in to the package"
    if when.kind == "before-package" and when.value is not None:
        return _given(sheet, f"x_{tag}", words, when.value)
    before = contact.previous(items, index) if when.kind == "after-previous" else None
    if before is not None:
        whole = _left(sheet, items, before)
    elif when.kind == "after":
        whole = conditioning_time(sheet)
    else:
        whole = (
            _schedule(sheet)
            if contact.by_plan(sheet.run, items, index)[0] is not None
            else packaged_after(sheet)
        )
    if when.value is not None and when.kind in ("after", "after-previous", "day"):
        start = _given(sheet, f"t_{tag}", f"when {name} goes in", when.value)
    else:
        start = _by_the_way(sheet, item, tag)
    formula = f"{whole.symbol} - {start.symbol}"
    value = contact.until_package(sheet.run, items, index)[0]
    return sheet.put(f"x_{tag}", words, formula, (whole, start), "h", value, TIMES)


def _by_the_way(sheet: Sheet, item: Item, tag: str) -> Known:
    """When an item goes in that waits for the beer."""
    way = fermenting.way(sheet.run)
    still = still_after(sheet)
    event = next((one for one in way.events if one.at == item.at), None) if way is not None else None
    if event is None:
        return still
    words, note = f"when {item.what.id} goes in", f"it stands in the table of {still.symbol}"
    return sheet.step(f"t_{tag}", words, FORM, (still,), "h", event.hours.value, CURVE, note)


def _contact(sheet: Sheet, thing: Lying) -> Known:
    """Hours that one thing lies in the beer."""
    item, tag = thing.item, _tag(thing.item, thing.place)
    words = f"contact of {item.what.id}"
    hours: Quantity | None = getattr(item, "for_", None)
    if hours is not None:
        return _given(sheet, f"u_{tag}", words, hours)
    left = need(_left(sheet, thing.items, thing.place))
    value = contact.contact(sheet.run, thing).hours
    racked, _ = contact.racked_before_package(sheet.run, left.value)
    if racked is None:
        return sheet.put(
            f"u_{tag}", words, left.symbol, (left,), "h", value, "until it is packaged", least=0.0
        )
    stages = sheet.plan.recipe.conditioning[racked:]
    rest = [
        _given(sheet, f"r_{number}", f"stage {number} of conditioning", stage.for_)
        for number, stage in enumerate(stages, racked + 1)
        if stage.for_ is not None
    ]
    kept = sheet.sum(f"r_{tag}", "conditioning after it is racked", rest, "h")
    formula, source = f"{left.symbol} - {kept.symbol}", "until the beer is racked off it"
    return sheet.put(f"u_{tag}", words, formula, (left, kept), "h", value, source, least=0.0)


def _longest(sort: str) -> Callable[[Sheet], Known]:
    @part(CONTACT)
    def chain(sheet: Sheet) -> Known:
        terms = [_contact(sheet, thing) for thing in contact.lying(sheet.run) if thing.sort == sort]
        return sheet.most("u_max", f"longest contact of {sort}", terms, "h", source="the longest of them")

    return chain


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "dry_hop_contact": _longest(HOPS),
    "wood_contact": _longest(WOOD),
    "spice_contact": _longest(SPICE),
    "fruit_contact": _longest(FRUIT),
}
