"""How long the beer of a recipe is conditioned, and how long beer of its gravity usually is.

Hours. The guidance is the trade's and from memory; sources differ by a factor of two and more (see
``conditioning.conditioning_span``). It is told beside what is written and judges nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found


def conditioning_time(run: Run) -> Found:
    """Hours of all stages of conditioning, as written."""
    stages = run.plan.recipe.conditioning
    if not stages:
        return None, "no conditioning is written", ()
    hours = [stage.for_.value for stage in stages if stage.for_ is not None]
    if len(hours) < len(stages):
        return None, "a stage of conditioning does not say how long", ()
    return math.fsum(hours), "", tuple((stage.at, 1.0) for stage in stages)


def guidance(run: Run) -> tuple[float, float] | None:
    """Shortest and longest time (h) that beer of this gravity is usually conditioned; None without a wort."""
    if run.beer.original <= 1.0:
        return None
    from recipelint.brewing.conditioning import (
        conditioning_span,
    )  # every check adds up the stages, few ask for this

    span = conditioning_span(run.beer.original)
    return 24.0 * span.low, 24.0 * span.high


def _wanted(run: Run) -> Found:
    """The middle of the guidance, whose ends are its band."""
    span = guidance(run)
    return (None, "the wort has no gravity", ()) if span is None else (0.5 * (span[0] + span[1]), "", ())


FINDERS: dict[str, Callable[[Run], Found]] = {
    "conditioning_time": conditioning_time,
    "conditioning_time_wanted": _wanted,
}
