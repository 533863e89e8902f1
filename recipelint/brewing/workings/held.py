"""Working of the gas that the beer holds when it is packaged."""

from __future__ import annotations

from recipelint.brewing import carbonation, gas, held
from recipelint.brewing.workings.givens import ASSUMED, constant, of_kit, origin
from recipelint.brewing.workings.sheet import Known, Sheet, part
from recipelint.brewing.workings.way import gas_made
from recipelint.recipe.quantity import Quantity

PACKAGE = "The package"
HENRY = "Troester 2008, Henry's law"


def solubility(celsius: str) -> str:
    """Formula of the gas (g/L) that beer holds for each bar of it."""
    return f"(10 * exp(-10.73797 + 2617.25 / ({celsius} + 273.15)))"


def kept_by(sheet: Sheet, symbol: str, words: str, opens: Known, heat: Known) -> Known:
    """Gas that a valve which opens at a pressure keeps in beer of a temperature."""
    air = outside(sheet)
    formula = f"({opens.symbol} + {air.symbol}) * {solubility(heat.symbol)} / 1.96"
    return sheet.put(symbol, words, formula, (opens, heat, air), "vol", source=HENRY)


@part(PACKAGE)
def residual(sheet: Sheet) -> Known:
    """Gas in the beer when it is packaged."""
    open_ = under_airlock(sheet)
    found = open_
    valves = held.valves_of(sheet.run)
    for index, stage in enumerate(sheet.plan.recipe.conditioning):
        if index in valves:
            found = _under_valve(sheet, index, found, open_)
        elif stage.racked and found.value > open_.value:
            found = open_
    if found.value < open_.value:
        found = sheet.put(
            "v_rv", "gas in the beer", f"max({found.symbol}, {open_.symbol})", (found, open_), "vol"
        )
    return found


def _under_valve(sheet: Sheet, index: int, before: Known, open_: Known) -> Known:
    """Gas after a stage under a valve."""
    made = gas_made(sheet, index)
    if made is None:
        return before
    stage, number = sheet.plan.recipe.conditioning[index], index + 1
    assert stage.relief is not None
    opens = sheet.given(
        f"p_v{number}",
        f"relief valve of stage {number}",
        stage.relief.value,
        "bar",
        origin(sheet, stage.relief),
    )
    celsius = held.under_valve(sheet.run, index)
    where = origin(sheet, stage.temperature) if stage.temperature is not None else "as before"
    heat = sheet.given(f"T_v{number}", f"beer in stage {number}", celsius, "°C", where)
    most = kept_by(sheet, f"v_hv{number}", f"gas that the valve of stage {number} holds", opens, heat)
    formula = f"min({most.symbol}, {before.symbol} + {made.symbol})"
    words, source = f"gas after stage {number}", "no more than the valve holds, and than there is extract for"
    return sheet.put(f"v_rv{number}", words, formula, (most, before, made), "vol", source=source)


@part(PACKAGE)
def under_airlock(sheet: Sheet) -> Known:
    """Gas left by the warmest the beer has been since it finished, under the air of this height."""
    found, thin = _at_sea_level(sheet), sheet.plan.kit.altitude
    if thin == 0.0:
        return found
    air = outside(sheet)
    formula = f"{found.symbol} * {air.symbol} / 1.013"
    words, value = "gas left from fermentation, at this height", held.left_open(sheet.run)[0]
    return sheet.put("v_ra", words, formula, (found, air), "vol", value, HENRY)


@part(PACKAGE)
def outside(sheet: Sheet) -> Known:
    """Pressure of the air at this altitude."""
    height = of_kit(sheet, "altitude")
    formula = f"1.013 * (1 - 2.25577e-5 * {height.symbol})**5.25588"
    value = gas.atmosphere(height.value)
    return sheet.put("p_o", "pressure of the air", formula, (height,), "bar", value, "standard atmosphere")


@part(PACKAGE)
def _at_sea_level(sheet: Sheet) -> Known:
    """Gas left by the warmest the beer has been since it finished."""
    celsius = held.warmest_since_fermentation(sheet.run)
    assert celsius is not None
    heat = sheet.given("T_r", "warmest since fermentation ended", celsius, "°C", warmest(sheet, celsius))
    end = constant(sheet, "T_x", "where Hibberd's table ends", held.TABLE_END, "°C", "Hibberd 1995")
    above = celsius > end.value
    at = end if above else heat
    words = "the end of the table in Fahrenheit" if above else "the same in Fahrenheit"
    fahrenheit = sheet.put("T_rf", words, f"{at.symbol} * 1.8 + 32", (at,), "°F", source="definition")
    f = fahrenheit.symbol
    formula = f"3.0378 - 0.050062 * {f} + 0.00026555 * {f}**2"
    words, source = "gas left from fermentation", "fit to Hibberd's table of 1995"
    symbol = "v_rx" if above else "v_r"
    value = carbonation.residual(at.value)
    found = sheet.put(symbol, words, formula, (fahrenheit,), "vol", value, source, least=0.0)
    if not above:
        return found
    formula = f"{found.symbol} * {solubility(heat.symbol)} / {solubility(end.symbol)}"
    return sheet.put("v_r", words, formula, (found, heat, end), "vol", held.residual_at(celsius), HENRY)


def warmest(sheet: Sheet, celsius: float) -> str:
    """Where the warmest since fermentation ended is written."""
    recipe = sheet.plan.recipe
    reached = [step.to or step.temperature for step in recipe.fermentation]
    later = [stage.temperature for stage in recipe.conditioning]
    found: list[Quantity] = [each for each in (*reversed(reached), *later) if each is not None]
    untold = f"{ASSUMED}: no temperature is written"
    return next((origin(sheet, each) for each in found if each.value == celsius), untold)
