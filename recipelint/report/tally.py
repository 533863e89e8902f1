"""Counting what was found: one count for the last line of the text, for JSON and for the exit status."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from recipelint.workspace.workspace import FileReport, Placed

LEVELS = ("note", "warning", "error")
OURS = frozenset(("brewhouse", "brew", "house", "catalogue", "rules", "styles"))


class Tally(NamedTuple):
    recipes: int
    others: int  # brewhouses, brew records, house files and lists
    error: int
    warning: int
    note: int
    accepted: int
    unreadable: int
    left_alone: int


def tally(reports: Sequence[FileReport], book: Sequence[Placed] = ()) -> Tally:
    """Counts over all files. An accepted finding counts as accepted and as nothing else."""
    levels = dict.fromkeys((*LEVELS, "accepted"), 0)
    recipes = others = unreadable = left_alone = 0
    for report in reports:
        if report.kind == "recipe":
            recipes += 1
        elif report.kind in OURS:
            others += 1
        elif report.kind == "unreadable":
            unreadable += 1
        elif not report.findings:
            left_alone += 1
        for placed in report.findings:
            levels[_counts_as(placed)] += 1
    for placed in book:
        levels[_counts_as(placed)] += 1
    return Tally(
        recipes,
        others,
        levels["error"],
        levels["warning"],
        levels["note"],
        levels["accepted"],
        unreadable,
        left_alone,
    )


def _counts_as(placed: Placed) -> str:
    return "accepted" if placed.finding.accepted is not None else placed.finding.level


def at_or_above(counted: Tally, level: str) -> bool:
    """Whether anything not accepted stands at this level or above; never for the level ``never``."""
    if level == "never":
        return False
    return any(getattr(counted, name) for name in LEVELS[LEVELS.index(level) :])


def in_order(findings: Iterable[Placed]) -> list[Placed]:
    """By file, place, rule: the order in which findings are shown everywhere."""
    return sorted(
        findings,
        key=lambda placed: (
            placed.place.file,
            placed.place.start,
            placed.finding.rule,
            placed.finding.message,
            placed.place.path,
        ),
    )


def everything(reports: Sequence[FileReport], book: Sequence[Placed] = ()) -> list[Placed]:
    return in_order([placed for report in reports for placed in report.findings] + list(book))
