"""Guessing what was meant: an amount ten times off, ounces taken for grams, Fahrenheit taken for Celsius.

Every function gives words to hang on a message (beginning with ``; ``), or an empty text.
"""

from __future__ import annotations

from recipelint.recipe.quantity import Quantity
from recipelint.rulebook.units import show, shown_in

OUNCE = 0.028349523125  # kg; exact by definition
POUND = 0.45359237
# What a slip is brought back to may lie this little outside the usual: the range itself is no sharper.
NEAR = 0.05


def amount_slip(amount: float, low: float, high: float, unit: str) -> str:
    """For an amount outside low .. high: the likely slip that would bring it inside.

    ``unit`` is kg, L or count; all three numbers are in it.
    """
    if not amount > 0 or low <= amount <= high:
        return ""
    too_much = amount > high
    for factor in (10.0, 1000.0) if unit != "kg" else (10.0, OUNCE * 1000.0, POUND * 1000.0, 1000.0):
        meant = amount / factor if too_much else amount * factor
        if low * (1 - NEAR) <= meant <= high * (1 + NEAR):
            return f"; was {_meant(amount, meant, factor, too_much, unit)} meant?"
    return ""


def _meant(amount: float, meant: float, factor: float, too_much: bool, unit: str) -> str:
    if not too_much and factor in (OUNCE * 1000.0, POUND * 1000.0):
        small = amount * 1000.0  # the figure that was written as grams
        return f"{show(small, 'oz' if factor < 100 else 'lb')}"
    return show(meant, unit)


def heat_slip(written: Quantity | None, low: float, high: float) -> str:
    """For a temperature outside low .. high °C that would lie inside if it were Fahrenheit, and is not written so."""
    if written is None or low <= written.value <= high or "F" in written.unit:
        return ""
    meant = (written.value - 32.0) * 5.0 / 9.0
    if not low <= meant <= high:
        return ""
    fahrenheit = show(written.value, "°F")
    return (
        f"; {fahrenheit} would be {show(meant, '°C', 0)}"
        if shown_in.now != "us"
        else f"; was {fahrenheit} meant?"
    )
