"""The working behind a stat as JSON: one object a line, its formula as an expression over the symbols beside it.

``kind`` is one of equation, solved, trial, stepwise and given, as ``brewing.workings.sheet`` tells them. A symbol has
the number of the ``line`` that gives it, or the ``from`` of a given.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from recipelint.brewing.workings.sheet import Known, Line, working_of

if TYPE_CHECKING:
    from recipelint.brewing.brew import Brew

DIGITS = 10  # significant; more would differ between machines


def working_tree(brew: Brew, name: str) -> dict[str, Any]:
    """``working``, and ``working_at_worst`` of a stat with a risk case; ``no_working`` where a value has none.

    Nothing of a stat without a value, which says why itself.
    """
    working = working_of(brew, name)
    tree: dict[str, Any] = {}
    if not working.lines and brew.stat(name).value is not None:
        tree["no_working"] = working.why
    if working.lines:
        tree["working"] = [_line(line) for line in working.lines]
    if working.worst:
        tree["working_at_worst"] = [_line(line) for line in working.worst]
    return tree


def _line(line: Line) -> dict[str, Any]:
    result = line.result
    tree: dict[str, Any] = {
        "line": line.number,
        "section": line.section,
        "what": result.words,
        "kind": line.kind,
        "symbol": result.symbol,
        "value": _number(result.value),
        "unit": result.unit,
    }
    if line.kind == "given":
        tree["from"] = result.origin
        return tree
    tree["formula"] = line.formula
    tree["symbols"] = [_symbol(term) for term in line.terms]
    if line.target is not None:
        tree["gives"] = _symbol(line.target)
    tree["source"] = line.source
    if line.note:
        tree["note"] = line.note
    if line.table is not None:
        rows = [[cell if isinstance(cell, str) else _number(cell) for cell in row] for row in line.table.rows]
        tree["table"] = {"columns": list(line.table.columns), "rows": rows}
    return tree


def _symbol(known: Known) -> dict[str, Any]:
    tree: dict[str, Any] = {
        "symbol": known.symbol,
        "what": known.words,
        "value": _number(known.value),
        "unit": known.unit,
    }
    return tree | ({"line": known.line} if known.line else {"from": known.origin})


def _number(value: float) -> float:
    return float(f"{value:.{DIGITS}g}") + 0.0
