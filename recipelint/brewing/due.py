"""Whether what is written to go in late goes in at all, and whether the beer is waited for after it has.

Hours, gravities. By what is written where that tells; the way of the fermentation, which is good to a factor of two, is
worked out only where nothing else does, and is then given the benefit of its doubt.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from recipelint.brewing import conditioning, contact
from recipelint.brewing.contact import Item
from recipelint.brewing.inputs import DRY_HOPPED
from recipelint.brewing.process import Run
from recipelint.recipe import forms
from recipelint.recipe.model import Timing

# h that a schedule is left for rounding: a month is 30 days to one and 30.4 to another.
LOOSE = 24.0
# SG by which a beer may end otherwise than reckoned without anyone being surprised; common practice, no source.
UNSURE = 0.002
# h for which a gravity has to stay with the hops in the beer before it tells anything; common practice, no source.
WATCHED = 72.0

GRAVITY, STAGE, PACKAGE, PITCHING = "gravity", "stage", "package", "pitching"


class Never(NamedTuple):
    """Why something never goes in.

    what: ``gravity`` (value: the one at which the beer ends), ``stage`` (it waits for a conditioning that is not
    written), ``package`` (value: hours by which the beer is packaged before) or ``pitching`` (value: hours by which it
    would come before pitching).
    """

    what: str
    value: float | None


def never(run: Run, items: Sequence[Item], index: int) -> Never | None:
    """Why a line that goes into the fermenter or later never does; None where it does, or nothing tells."""
    when = items[index].when
    if when is None or when.stage not in DRY_HOPPED:
        return None
    if when.kind == "gravity":
        return _by_gravity(run, items[index], when)
    recipe = run.plan.recipe
    if not recipe.packaging:
        return None
    if when.kind == "before-package":
        return _before_pitching(run, when)
    if when.stage == "condition" and not recipe.conditioning and when.kind != "after-previous":
        return Never(STAGE, None)
    left, _ = contact.by_plan(run, items, index)
    if left is None and when.kind == "day" and when.value is not None:
        longest = _longest(run, when.value.value)
        left = None if longest is None else longest - when.value.value
    return Never(PACKAGE, -left) if left is not None and left < -LOOSE else None


def _by_gravity(run: Run, item: Item, when: Timing) -> Never | None:
    """A gravity that lies below the end of the beer, by more than is unsure."""
    from recipelint.brewing import fermenting, path

    ends = run.beer.gravity
    if when.value is None or ends is None:
        return None
    waits = when.value.value + UNSURE
    cultures = run.plan.recipe.yeast
    if waits >= ends and not any(item is culture for culture in cultures):
        return None  # a culture has its share in that end, and may itself be what never goes in
    way = fermenting.way(run)
    if way is None or math.isfinite(path.hours_at(way, waits)):
        return None
    lowest = way.end.beer.gravity
    return Never(GRAVITY, lowest) if waits < lowest else None


def _before_pitching(run: Run, when: Timing) -> Never | None:
    if when.value is None:
        return None
    whole, _ = contact.schedule(run)
    if whole is None:
        whole = _longest(run, when.value.value)
    early = when.value.value - whole if whole is not None else 0.0
    return Never(PITCHING, early) if early > LOOSE else None


def _longest(run: Run, asked: float) -> float | None:
    """The longest time (h) from pitching to the package where a step waits for the beer; None where nothing tells.

    None also where what is written is as long as the time asked for: then nobody needs to know.
    """
    from recipelint.brewing import fermenting, path, schedule

    recipe = run.plan.recipe
    steps = [step.hours for step in schedule.fermentation(run.plan)]
    stages = [stage.for_.value for stage in recipe.conditioning if stage.for_ is not None]
    if math.fsum([hours for hours in steps if hours is not None] + stages) >= asked:
        return None
    packaged, _ = fermenting.packaged_after(run)
    return None if packaged is None else packaged * path.TIME_HIGH


def waited(run: Run, items: Sequence[Item], index: int) -> bool | None:
    """Whether the gravity has to be still for WATCHED hours with a line in the beer; None where nothing tells.

    So it is where a step waits for the still beer and ends at least so long after the line goes in.
    """
    from recipelint.brewing import schedule

    steps = run.plan.recipe.fermentation
    waiting = [number for number, step in enumerate(steps) if forms.waits_until_still(step.until)]
    if not waiting:
        return False
    left, _ = contact.until_package(run, items, index)
    after = [step.hours for step in schedule.steps_of(run.plan, steps[waiting[-1] + 1 :])]
    cellar = conditioning.lengths(run.plan.recipe.conditioning)
    if left is None or cellar is None or None in after:
        return None
    rest = cellar + math.fsum(hours for hours in after if hours is not None)
    return left - rest >= WATCHED - contact.EQUAL
