"""Columns about what lies in the beer: how long, in how much of it, and whether there is time for it.

Hours and g/L. The brew works a line out when a rule asks for it, which may need the way of the fermentation: a rule
should ask only where its condition holds.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from recipelint.recipe.model import Timing
from recipelint.rulebook.rows import Row
from recipelint.rulebook.singles import value_of
from recipelint.rulebook.units import show


def when_of(row: Row) -> Timing | None:
    return row.written.when if row.written is not None else None


def time_of(when: Timing | None, kind: str) -> float | None:
    return when.value.value if when is not None and when.kind == kind and when.value is not None else None


def lies_in(row: Row) -> Any:
    """What the brew says of a line that lies in the beer; None of one that does not."""
    return row.around.brew.contact_at(row.at)


def contact(row: Row) -> float | None:
    """Hours of contact: as written, those of a whirlpool, or until the beer is racked off it or packaged."""
    written = row.written
    if written is not None and getattr(written, "for_", None) is not None:
        return value_of(written.for_)
    minutes = time_of(when_of(row), "contact")
    if minutes is not None:
        return minutes / 60.0
    lies = lies_in(row)
    hours: float | None = lies.hours if lies is not None else None
    return hours


def before_package(row: Row) -> float | None:
    """Hours from when it goes into the beer until the beer is packaged."""
    lies = lies_in(row)
    left: float | None = lies.left if lies is not None else None
    return left


def dose_in_beer(row: Row) -> float | None:
    """Grams in a litre of the beer it lies in."""
    lies = lies_in(row)
    dose: float | None = lies.dose if lies is not None else None
    return dose


def beyond(items: str) -> Callable[[Row], float | None]:
    """Hours for which a line would still have to lie when the beer is packaged; of those that go into the beer."""

    def hours(row: Row) -> float | None:
        when = when_of(row)
        if when is None or when.stage not in ("ferment", "dry_hop", "condition"):
            return None
        found: float | None = row.around.brew.past_package(
            getattr(row.around.recipe, items), row["number"] - 1
        )
        return found

    return hours


def never(items: str) -> Callable[[Row], str]:
    """Why a line that is written to go in late never does, in words; empty where it does, or nothing tells."""

    def words(row: Row) -> str:
        when = when_of(row)
        if when is None or when.stage not in ("ferment", "dry_hop", "condition"):
            return ""
        found = row.around.brew.never(getattr(row.around.recipe, items), row["number"] - 1)
        return "" if found is None else _NEVER[found.what](found.value)

    return words


_NEVER: dict[str, Callable[[Any], str]] = {
    "gravity": lambda value: f"the beer does not fall so far; it ends at {value:.3f}",
    "stage": lambda _: "it waits for the conditioning, and none is written",
    "package": lambda value: f"the beer is packaged {show(value, 'h')} before that",
    "pitching": lambda value: f"that would be {show(value, 'h')} before pitching",
}


def waited(row: Row) -> bool | None:
    """Whether dry hops lie in the beer for days before a step that waits until it is still may end."""
    if row.fact.stage != "dry_hop":
        return False
    found: bool | None = row.around.brew.waited(row.around.recipe.hops, row["number"] - 1)
    return found


def contact_ratio(row: Row) -> float | None:
    """How many times the longest usual contact it lies, or what part of the shortest; 1 between them."""
    hours, low, high = row["contact"], row["contact_low"], row["contact_high"]
    if hours is None or not low or not high:
        return None
    ratio: float = hours / high if hours > high else hours / low if hours < low else 1.0
    return ratio
