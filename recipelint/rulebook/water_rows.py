"""Rows of the table of waters: the ions as they are written or known of the source, and whether they can be right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from recipelint.rulebook.rows import Columns, Row
from recipelint.rulebook.singles import value_of

if TYPE_CHECKING:
    from recipelint.rulebook.tables import Tables

_IONS = ("calcium", "magnesium", "sodium", "chloride", "sulphate")
_BASES = ("bicarbonate", "alkalinity")


def _ion(row: Row, name: str) -> float | None:
    """As written, else that of the source; of bicarbonate and alkalinity one that is written stands for both."""
    written = getattr(row.written, name)
    if written is not None:
        return float(written.value)
    if name in _BASES and any(getattr(row.written, base) is not None for base in _BASES):
        return None
    ion: float | None = getattr(row.fact, name, None)
    return ion


WEAK = 2.0  # mEq/L of charge in all, below which rounding alone unbalances an analysis


def _charge_gap(row: Row) -> float | None:
    """Charge of an analysis that does not balance (share).

    None for an incomplete one, for all but pure water, and for one that stands in the catalogue as it was printed.
    """
    from recipelint.brewing import water

    if all(getattr(row.written, name) is None for name in (*_IONS, *_BASES)):
        return None
    liquor = water.liquor_of(*(row[name] for name in (*_IONS, *_BASES)))
    value, _ = water.imbalance(liquor)
    return value if value is not None and sum(map(abs, water.charges(liquor))) >= WEAK else None


def _bases_apart(row: Row) -> float | None:
    """How far bicarbonate and alkalinity of one water lie apart (share of the larger); None unless both are told.

    Both are the same charge; half a mEq/L of difference is rounding, or the carbonate of a very alkaline water.
    """
    from recipelint.brewing import water

    bicarbonate, alkalinity = row["bicarbonate"], row["alkalinity"]
    if bicarbonate is None or alkalinity is None:
        return None
    one, other = bicarbonate / water.BICARBONATE, alkalinity / water.CACO3
    return abs(one - other) / max(abs(one), abs(other)) if abs(one - other) > 0.5 else 0.0


def _water_name(row: Row) -> str:
    known: str | None = row.fact.name if row.fact is not None else None
    return known or row.written.source or f"water {row['number']}"


_WATERS: Columns = {
    "name": _water_name,
    "known": lambda row: row.fact is not None,
    "share": lambda row: value_of(row.written.share),
    "share_written": lambda row: row.written.share is not None,
    "treated": lambda row: row.written.treated or "",
    "ph": lambda row: row.written.ph if row.written.ph is not None else getattr(row.fact, "ph", None),
    "calcium": lambda row: _ion(row, "calcium"),
    "magnesium": lambda row: _ion(row, "magnesium"),
    "sodium": lambda row: _ion(row, "sodium"),
    "chloride": lambda row: _ion(row, "chloride"),
    "sulphate": lambda row: _ion(row, "sulphate"),
    "bicarbonate": lambda row: _ion(row, "bicarbonate"),
    "alkalinity": lambda row: _ion(row, "alkalinity"),
    "charge_gap": _charge_gap,
    "bases_apart": _bases_apart,
}


def water_rows(tables: Tables) -> list[Row]:
    known = tables.catalogue
    return [
        Row(_WATERS, water.at, water, known.water(water.source) if known and water.source else None)
        for water in tables.recipe.water
    ]
