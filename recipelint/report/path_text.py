"""The fermentation day by day, as a table of the stats page: what goes in, and what the hydrometer shows around it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from recipelint.report import numbers
from recipelint.report.screen import NAME, clean, cut

if TYPE_CHECKING:
    from recipelint.brewing.path import Event, Path
    from recipelint.brewing.stations import CultureFact, GristFact
    from recipelint.brewing.yeast import Band


def way(
    found: Path | None, grist: tuple[GristFact, ...], cultures: tuple[CultureFact, ...], units: str
) -> list[str]:
    """Each event with its day (and the days it may fall on) and the gravity before and after; () without a way."""
    if found is None or len(found.events) < 2:
        return []
    lines = ["", f"{'On the way':<40}{'day':>7}  {'90 % band':<14}gravity"]
    names = {culture.at: cut(clean(culture.name), NAME) for culture in cultures}
    names |= {
        fact.at: f"{numbers.weight(fact.weight, units)} {cut(clean(fact.name), NAME)}" for fact in grist
    }
    for event in found.events:
        what = names.get(event.at, "") if event.what == "added" else event.what
        words = [what, _remark(event)]
        label = "  " + ", ".join(word for word in words if word)
        day, band = _days(event.hours)
        lines.append(f"{label:<40}{day:>7}  {band:<14}{_gravity(event)}".rstrip())
    lines += [
        f"  {names.get(missed.at, 'an addition')}: never, since {missed.why} ({_sg(missed.lowest)})"
        for missed in found.missed
    ]
    return lines


def _remark(event: Event) -> str:
    if event.stalls:
        return "stays unfermented"
    if event.untold:
        return "day not written"
    return "starts it again" if event.restarts else ""


def _days(hours: Band) -> tuple[str, str]:
    if hours.low == hours.high:
        return _day(hours.value), ""
    return _day(hours.value), f"{_day(hours.low)} .. {_day(hours.high)}"


def _day(hours: float) -> str:
    if not math.isfinite(hours):
        return "never"
    days = hours / 24.0
    return numbers.decimals(days, 1 if days < 9.95 else 0)


def _gravity(event: Event) -> str:
    if event.what != "added":
        return _sg(event.after.value)
    return f"{_sg(event.before.value)} -> {_sg(event.after.value)}"


def _sg(gravity: float) -> str:
    return numbers.decimals(gravity, 3)
