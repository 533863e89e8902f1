"""What lies in the beer, as a table of the stats page: how much in a litre of it, and for how long."""

from __future__ import annotations

from typing import TYPE_CHECKING

from recipelint.report import numbers
from recipelint.report.screen import clean, width

if TYPE_CHECKING:
    from recipelint.brewing.contact import Contact


def lying(found: tuple[Contact, ...], units: str) -> list[str]:
    """Each thing with its dose and its contact, or why that is not known; () where nothing lies in the beer."""
    if not found:
        return []
    names = [clean(one.name) for one in found]
    room = max(24, *(width(name) + 2 for name in names))
    lines = ["", f"{'In contact with the beer':<{room + 2}}{'dose':>16}{'time':>10}"]
    for name, one in zip(names, found, strict=True):
        dose = "" if one.dose is None else " ".join(numbers.in_units(one.dose, "g/L", 1, units))
        time = _time(one.hours) if one.hours is not None else f"    time not known: {clean(one.why)}"
        lines.append(f"  {name}{' ' * (room - width(name))}{dose:>16}{time:>10}")
    return lines


def _time(hours: float) -> str:
    days = hours / 24.0
    return f"{numbers.decimals(days, 1 if days < 9.95 else 0)} d"
