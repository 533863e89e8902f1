"""The factors of the table of units against a library of units."""

from __future__ import annotations

import pytest

pint = pytest.importorskip("pint", reason="pint comes with the extra `oracle`")

from recipelint.recipe.units import KINDS  # noqa: E402

# canonical unit of a kind, and the spellings that the library knows under another name
CANONICAL = {
    "mass": "kg",
    "volume": "liter",
    "time": "minute",
    "pressure": "bar",
    "altitude": "meter",
    "power": "kW",
    "rate": "liter/hour",
    "heating-rate": "delta_degC/minute",
    "absorption": "liter/kg",
    "heat": "MJ",
    "concentration": "g/liter",
}
NAMES = {
    "gal": "US_liquid_gallon", "qt": "US_liquid_quart", "pt": "US_pint", "fl oz": "US_fluid_ounce",
    "cup": "US_liquid_cup", "tbsp": "tablespoon", "tsp": "teaspoon", "imp gal": "imperial_gallon",
    "imp qt": "imperial_quart", "imp pt": "imperial_pint", "imp fl oz": "imperial_fluid_ounce", "hL": "hectoliter",
    "cL": "centiliter", "dL": "deciliter", "L/h": "liter/hour", "gal/h": "US_liquid_gallon/hour",
    "qt/h": "US_liquid_quart/hour", "qt/lb": "US_liquid_quart/pound", "gal/lb": "US_liquid_gallon/pound",
    "fl oz/oz": "US_fluid_ounce/ounce", "mL/g": "milliliter/gram", "L/kg": "liter/kg", "K/min": "kelvin/minute",
    "°F/min": "delta_degF/minute", "kg/hL": "kg/hectoliter", "g/hL": "g/hectoliter",
    "oz/gal": "ounce/US_liquid_gallon", "lb/bbl": "pound/(31*US_liquid_gallon)", "bbl": "31*US_liquid_gallon",
}  # fmt: skip
REGISTRY = pint.UnitRegistry()
NO_UNIT_ELSEWHERE = {"drop"}

ROWS = sorted(
    {
        (kind, unit.name, unit.factor)
        for kind in CANONICAL
        for unit in KINDS[kind].units.values()
        if "hot" not in unit.name and unit.name not in NO_UNIT_ELSEWHERE
    }
)


@pytest.mark.parametrize(("kind", "name", "factor"), ROWS)
def test_factor(kind: str, name: str, factor: float) -> None:
    expected = REGISTRY.parse_expression(f"1*({NAMES.get(name, name)})").to(CANONICAL[kind]).magnitude
    assert factor == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("fahrenheit", [-4.0, 32.0, 68.0, 212.0])
def test_fahrenheit(fahrenheit: float) -> None:
    unit = KINDS["temperature"].units["°F"]
    expected = REGISTRY.Quantity(fahrenheit, "degF").to("degC").magnitude
    assert fahrenheit * unit.factor + unit.offset == pytest.approx(expected, abs=1e-9)
