"""Working of the time in conditioning: as written, and as the trade has it for this gravity."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from recipelint.brewing import ripening
from recipelint.brewing.conditioning import TIMES, conditioning_rule
from recipelint.brewing.workings.fermenter import original_gravity
from recipelint.brewing.workings.givens import origin
from recipelint.brewing.workings.sheet import MEMORY, PRACTICE, Known, Sheet, Table, part
from recipelint.recipe.stat_names import STATS

RIPENING = "Conditioning"
GUIDE = f"{PRACTICE} of the trade, {MEMORY}"
READ_OFF = "read off the table, in the row of the original gravity"


@part(RIPENING)
def conditioning_time(sheet: Sheet) -> Known:
    """Hours of all stages of conditioning."""
    terms = [
        sheet.given(
            f"t_{number}c",
            f"stage {number} of conditioning",
            stage.for_.value,
            "h",
            origin(sheet, stage.for_),
        )
        for number, stage in enumerate(sheet.plan.recipe.conditioning, 1)
        if stage.for_ is not None
    ]
    return sheet.sum(
        "t_c", STATS["conditioning_time"].title, terms, "h", ripening.conditioning_time(sheet.run)[0]
    )


def _table() -> Table:
    rows: list[tuple[str | float, ...]] = []
    for edge, span in TIMES:
        words = f"up to {edge:.3f}" if math.isfinite(edge) else "above it"
        rows.append((words, span.low, span.high))
    return Table(("original gravity", "from, d", "to, d"), tuple(rows))


@part(RIPENING)
def _wanted(sheet: Sheet) -> Known:
    gravity = original_gravity(sheet)
    span = ripening.guidance(sheet.run)
    assert span is not None
    low = sheet.step(
        "t_lo", "shortest time that is usual", READ_OFF, (gravity,), "h", span[0], GUIDE, "", _table()
    )
    note = "the same row"
    high = sheet.step("t_hi", "longest time that is usual", READ_OFF, (gravity,), "h", span[1], GUIDE, note)
    formula = f"({low.symbol} + {high.symbol}) / 2"
    days = conditioning_rule(gravity.value)
    note = (
        f"sources disagree: a week for ten points would be {days:.0f} d, one gives barley wines nine to twelve months, "
        "others hold that longer is not better; hop-led and wheat beers are drunk younger"
    )
    words = STATS["conditioning_time_wanted"].title
    return sheet.put("t_cw", words, formula, (low, high), "h", source="middle of the guidance", note=note)


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "conditioning_time": conditioning_time,
    "conditioning_time_wanted": _wanted,
}
