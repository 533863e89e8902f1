"""Rows of the figures that are written of a brewhouse, each beside what is usual for it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from recipelint.recipe.quantity import Quantity
from recipelint.rulebook.rows import Columns, Row
from recipelint.rulebook.tables import Tables
from recipelint.rulebook.units import show


class _Figure(NamedTuple):
    """A figure: its vessel and key, what it is of, its unit, and what is usual: least and most in that unit.

    ``of`` is the volume (L) of the brew beside which a figure in litres is judged, or None for a figure that is judged
    as it is; ``words`` name the two. Common practice, no source.
    """

    vessel: str
    key: str
    words: str
    unit: str
    least: float
    most: float
    of: Callable[[Any], float | None] | None = None
    whole: str = ""


def _stat(name: str) -> Callable[[Any], float | None]:
    def value(brew: Any) -> float | None:
        found: float | None = brew.stat(name).value
        return found

    return value


_FIGURES = (
    _Figure("mash", "dead_space", "left under the mash", "L", 0.0, 0.25, _stat("pre_boil_volume"), "wort to boil"),
    _Figure("mash", "absorption", "kept by the grain", "L/kg", 0.3, 1.6),
    _Figure("mash", "conversion", "conversion", "1", 0.6, 1.0),
    _Figure("kettle", "loss", "left in the kettle", "L", 0.0, 0.30, _stat("kettle_volume"), "wort in it"),
    _Figure("fermenter", "lees", "left on the lees", "L", 0.0, 0.25, _stat("fermenter_volume"), "wort in it"),
    _Figure("efficiency", "mash", "mash efficiency", "1", 0.35, 1.0),
    _Figure("efficiency", "brewhouse", "brewhouse efficiency", "1", 0.35, 1.0),
)  # fmt: skip


def figure_rows(tables: Tables) -> list[Row]:
    """The figures that are written of the brewhouse of this brew."""
    house = tables.brew.brewhouse
    rows: list[Row] = []
    for figure in _FIGURES:
        written: Quantity | None = getattr(getattr(house, figure.vessel, None), figure.key, None)
        if written is None:
            continue
        value = written.value
        whole = figure.of(tables.brew) if figure.of is not None else None
        if figure.of is not None:
            value = value / whole if whole else 0.0
        rows.append(Row(_COLUMNS, _place(written, house), written, (figure, value, whole)))
    return rows


def _place(written: Quantity, house: Any) -> str:
    """Where the figure is written: a brewhouse may stand in a file of its own."""
    at = written.at
    if at is None:
        return ""
    return f"{at.file}#{at.pointer}" if getattr(house, "file", "") else at.pointer


def _told(row: Row) -> str:
    figure, _, whole = row.fact
    said = f"{show(row.written.value, figure.unit)} {figure.words}"
    return f"{said}, of {show(whole, 'L')} of {figure.whole}," if figure.of is not None else said


def _usual(row: Row) -> str:
    """The edge that is crossed, in words."""
    figure, value, whole = row.fact
    edge = figure.most if value > figure.most else figure.least
    side = "at most" if value > figure.most else "at least"
    return f"{side} {show(edge * whole, 'L') if figure.of is not None else show(edge, figure.unit)}"


def _beyond(row: Row) -> float | None:
    """How far the figure lies outside what is usual, as a share of the edge that it crosses; 0 inside."""
    figure, value, whole = row.fact
    if figure.of is not None and not whole:
        return None
    if value > figure.most:
        return float(value / figure.most - 1.0)
    return float(1.0 - value / figure.least) if value < figure.least else 0.0


_COLUMNS: Columns = {
    "name": lambda row: row.fact[0].words,
    "told": _told,
    "usual": _usual,
    "beyond_usual": _beyond,
}
