"""Numbers as a brewer reads them: the stat's decimals, shares in percent, metric or US units."""

from __future__ import annotations

from recipelint.recipe.stat_names import StatSpec, written
from recipelint.rulebook.units import US

# Held as "1" like the shares, and yet a ratio: 1.5 to 1 is not 150 %.
_RATIOS = frozenset(("sulphate_chloride_ratio",))


def spelt(spec: StatSpec, value: float, units: str = "metric") -> tuple[str, str]:
    """Number and unit of a stat as text: ("1.088", ""), ("33.1", "%"), ("21.0", "L"); ``units`` is metric or us."""
    value = written(spec, value)
    if spec.unit == "1":
        if spec.name in _RATIOS:
            return decimals(value, spec.digits), ""
        return decimals(value * 100.0, spec.digits - 2), "%"
    if spec.unit == "SG":
        return decimals(value, spec.digits), ""
    if spec.unit == "h":
        days = value / 24.0
        return decimals(days, 1 if days < 9.95 else 0), "d"
    return in_units(value, spec.unit, spec.digits, units)


def in_units(value: float, unit: str, digits: int, units: str = "metric") -> tuple[str, str]:
    if units == "us" and unit in US:
        other, convert, change = US[unit]
        return decimals(convert(value), digits + change), other
    return decimals(value, digits), unit


def decimals(value: float, digits: int) -> str:
    text = f"{value:.{max(0, digits)}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def weight(kg: float, units: str = "metric") -> str:
    """A weight in the unit that a scale at the kettle would show: g below one kilogram, oz below one pound."""
    if units == "us":
        pounds = kg / 0.45359237
        return f"{decimals(pounds * 16, 1)} oz" if pounds < 1 else f"{decimals(pounds, 2)} lb"
    return f"{decimals(kg * 1000, 0 if kg >= 0.01 else 1)} g" if kg < 0.9995 else f"{decimals(kg, 2)} kg"


def volume(litres: float, units: str = "metric") -> str:
    return " ".join(in_units(litres, "L", 1, units))
