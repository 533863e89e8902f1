"""Findings and stats as JSON; two runs over the same files write the same bytes.

Promise about changes: within ``recipelint/findings/1`` and ``recipelint/stats/1`` keys may be added, and new rules and
stats may appear. A key is never removed or renamed, and neither its type nor its unit changes, without a new number.

Everything outside ASCII is escaped, so that no locale, terminal or log can change or be changed by what a recipe says.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from recipelint import __version__
from recipelint.recipe.stat_names import REMARKS, STATS, WRITTEN_TIMES, StatSpec, written
from recipelint.report.day_json import day_tree
from recipelint.report.naming import brewhouse_name
from recipelint.report.tally import everything, tally

if TYPE_CHECKING:
    from recipelint.workspace.workspace import Brewed, FileReport, Place, Placed

FINDINGS_FORMAT = "recipelint/findings/1"
STATS_FORMAT = "recipelint/stats/1"
STYLE_FORMAT = "recipelint/style/1"

# A finding's number carries a unit and no stat; the finest stat in that unit says how many decimals mean something.
_DIGITS: dict[str, int] = {}
for _spec in STATS.values():
    _DIGITS[_spec.unit] = max(_DIGITS.get(_spec.unit, 0), _spec.digits)


def findings_json(reports: Sequence[FileReport], book: Sequence[Placed] = ()) -> str:
    """All findings, accepted ones with their reason; ``value`` and ``limit`` are in ``unit``."""
    counted = tally(reports, book)
    return dump(
        {
            "format": FINDINGS_FORMAT,
            "tool": {"name": "recipelint", "version": __version__},
            "summary": {
                "recipes": counted.recipes,
                "error": counted.error,
                "warning": counted.warning,
                "note": counted.note,
                "accepted": counted.accepted,
                "unreadable": counted.unreadable,
                "left_alone": counted.left_alone,
            },
            "findings": [_finding(placed) for placed in everything(reports, book)],
        }
    )


def dump(tree: dict[str, Any]) -> str:
    return json.dumps(tree, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def _finding(placed: Placed) -> dict[str, Any]:
    finding = placed.finding
    return {
        "rule": finding.rule,
        "level": finding.level,
        "message": finding.message,
        "file": placed.place.file,
        "path": placed.place.path,
        "item": finding.item,
        "start": _position(placed.place.start),
        "end": _position(placed.place.end),
        "value": number(finding.value, finding.unit),
        "unit": finding.unit,
        "limit": number(finding.limit, finding.unit),
        "related": [_related(message, place) for message, place in placed.related],
        "accepted": None if finding.accepted is None else {"because": finding.accepted},
        "fix": None,
        "remedy": finding.remedy,
        "caution": finding.caution,
    }


def _related(message: str, place: Place) -> dict[str, Any]:
    return {
        "message": message,
        "file": place.file,
        "path": place.path,
        "start": _position(place.start),
        "end": _position(place.end),
    }


def _position(where: tuple[int, int]) -> dict[str, int]:
    return {"line": where[0], "column": where[1]}


def number(value: float | None, unit: str | None) -> float | None:
    """A number rounded to what its unit can carry; six significant digits for units that no stat has."""
    if value is None or not _finite(value):
        return None
    value *= WRITTEN_TIMES.get(unit or "", 1.0)
    digits = _DIGITS.get(unit or "")
    return _plain(float(f"{value:.6g}") if digits is None else round(value, digits + 1))


def rounded(spec: StatSpec, value: float | None) -> float | None:
    """A stat's value as JSON writes it: strengths in percent, one decimal more than text shows."""
    if value is None or not _finite(value):
        return None
    return _plain(round(written(spec, value), spec.digits + 1))


def _finite(value: float) -> bool:
    return value - value == 0


def _plain(value: float) -> float:
    return value + 0.0  # -0.0 becomes 0.0: the sign would differ between two equal runs of other arithmetic


def stats_json(brewed: Iterable[tuple[str, Brewed]], explained: Collection[str] = ()) -> str:
    """Stats of recipes, given as (path below the root, what was brewed); those to be explained with their working."""
    return dump(
        {
            "format": STATS_FORMAT,
            "tool": {"name": "recipelint", "version": __version__},
            "recipes": [_recipe(file, one, explained) for file, one in brewed],
        }
    )


def _recipe(file: str, brewed: Brewed, explained: Collection[str]) -> dict[str, Any]:
    return {
        "file": file,
        "name": brewed.recipe.name,
        "brewhouse": brewhouse_name(brewed),
        "stats": {
            name: {**stat_tree(brewed, spec), **(_working(brewed, name) if name in explained else {})}
            for name, spec in STATS.items()
        },
        "day": day_tree(brewed.brew),
    }


def _working(brewed: Brewed, name: str) -> dict[str, Any]:
    from recipelint.report.working_json import working_tree

    return working_tree(brewed.brew, name)


def stat_tree(brewed: Brewed, spec: StatSpec) -> dict[str, Any]:
    stat = brewed.brew.stat(spec.name)
    if stat.value is None:
        return {"value": None, "unit": spec.unit, "why": stat.why}
    tree: dict[str, Any] = {"value": rounded(spec, stat.value), "unit": spec.unit}
    band = brewed.brew.band(spec.name)
    if band is not None and band[0] < band[1]:
        tree["low"] = rounded(spec, band[0])
        tree["high"] = rounded(spec, band[1])
        tree["widened_by"] = [group for group, _ in brewed.brew.widest(spec.name)]
    if stat.risk is not None:
        tree["risk"] = rounded(spec, stat.risk)
    if spec.name in REMARKS:
        tree["remark"] = REMARKS[spec.name]
    tree["from"] = list(dict.fromkeys(pointer for pointer, _ in stat.parts))
    return tree
