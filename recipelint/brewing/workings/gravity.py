"""Working of gravities: extract and water into degrees Plato, gravity and volume, and back."""

from __future__ import annotations

from recipelint.brewing import gravity
from recipelint.brewing.workings.sheet import MASSES, Known, Sheet, once

ASBC = "ASBC cubic"
DENSITY = "density of a gravity 20/20 °C"


def cubic(symbol: str, sg: float) -> str:
    """Degrees Plato of a gravity; near water with the term that makes water 0 °P."""
    plain = f"135.997 * {symbol}**3 - 630.272 * {symbol}**2 + 1111.14 * {symbol} - 616.868"
    if sg >= 1.010:
        return plain
    return f"{plain} + 0.3 * (1.01 - {symbol})" if sg > 1.0 else f"{plain} + 0.003"


def density(symbol: str) -> str:
    """True density (kg/L at 20 °C) of a gravity."""
    return f"0.998203 * ({symbol} - 0.0012 * ({symbol} - 1))"


def extract_per_litre(symbol: str, sg: float) -> str:
    """Extract (kg) in a litre of a gravity."""
    return f"({cubic(symbol, sg)}) / 100 * {density(symbol)}"


@once
def plato(sheet: Sheet, sg: Known, tag: str, what: str) -> Known:
    """Degrees Plato of a gravity that is known."""
    value = gravity.plato_from_sg(sg.value)
    return sheet.put(f"P_{tag}", f"strength of {what}", cubic(sg.symbol, sg.value), (sg,), "°P", value, ASBC)


@once
def gravity_of_plato(sheet: Sheet, strength: Known, tag: str, what: str) -> Known:
    """The gravity at which the cubic gives a strength."""
    symbol, value = f"s_{tag}", gravity.sg_from_plato(strength.value)
    return sheet.solve(
        symbol, f"gravity of {what}", cubic(symbol, value), (), "SG", value, strength, f"{ASBC}, solved"
    )


@once
def strength(sheet: Sheet, tag: str, what: str, extract: Known, water: Known) -> Known:
    """Degrees Plato of so much extract and water."""
    formula = f"100 * {extract.symbol} / ({extract.symbol} + {water.symbol})"
    return sheet.put(f"P_{tag}", f"strength of {what}", formula, (extract, water), "°P", source=MASSES)


@once
def gravity_of_masses(sheet: Sheet, tag: str, what: str, extract: Known, water: Known) -> Known:
    """Gravity of so much extract and water."""
    return gravity_of_plato(sheet, strength(sheet, tag, what, extract, water), tag, what)


@once
def volume_of_masses(
    sheet: Sheet, tag: str, what: str, extract: Known, water: Known, value: float | None = None
) -> Known:
    """Volume of so much extract and water."""
    sg = gravity_of_masses(sheet, tag, what, extract, water)
    formula = f"({extract.symbol} + {water.symbol}) / ({density(sg.symbol)})"
    return sheet.put(f"V_{tag}", f"volume of {what}", formula, (extract, water, sg), "L", value, DENSITY)


@once
def gravity_in_volume(sheet: Sheet, tag: str, what: str, extract: Known, volume: Known) -> Known:
    """Gravity of a wort with so much extract in so much volume."""
    value = gravity.sg_of(extract.value, volume.value)
    symbol = f"s_{tag}"
    formula = f"{volume.symbol} * {extract_per_litre(symbol, value)}"
    source = f"{ASBC} and density, solved"
    return sheet.solve(symbol, f"gravity of {what}", formula, (volume,), "SG", value, extract, source)


@once
def water_beside(sheet: Sheet, tag: str, what: str, extract: Known, volume: Known) -> Known:
    """Water in a wort with so much extract in so much volume."""
    sg = gravity_in_volume(sheet, tag, what, extract, volume)
    formula = f"{volume.symbol} * {density(sg.symbol)} - {extract.symbol}"
    return sheet.put(f"W_{tag}", f"water in {what}", formula, (volume, sg, extract), "kg", source=MASSES)
