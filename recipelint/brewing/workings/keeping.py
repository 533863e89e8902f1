"""Working of keeping and drinking: air over the beer, kegs, closed vessels, yeast for bottles, and the glass."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import conditioning, energy, package
from recipelint.brewing.kinetics import REFERENCE_CELSIUS
from recipelint.brewing.stats import find
from recipelint.brewing.workings.beer import (
    Fermented,
    beer_density,
    beer_volume,
    final_gravity,
    gravity_of,
    package_volume,
    real_extract,
)
from recipelint.brewing.workings.fermentation import fermented, original_strength
from recipelint.brewing.workings.fermenter import all_in
from recipelint.brewing.workings.givens import ASSUMED, constant, origin
from recipelint.brewing.workings.held import HENRY, outside, solubility, under_airlock
from recipelint.brewing.workings.package import in_the_package, litres
from recipelint.brewing.workings.sheet import EXTRACT, MASSES, MEMORY, VOLUMES, Known, Sheet, part
from recipelint.brewing.workings.way import BALLING_GAS
from recipelint.brewing.yeast import DRY_CELLS
from recipelint.recipe.stat_names import STATS

KEEPING = "Keeping it"
GLASS = "In the glass"


@part(KEEPING)
def _headspace_oxygen(sheet: Sheet) -> Known:
    air_mass = f"0.2095 * {{}} * 31.998 / (0.0831446 * ({REFERENCE_CELSIUS:g} + 273.15))"
    found: list[Known] = []
    rackings = conditioning.rackings(sheet.plan.recipe.conditioning)
    for number, stage in enumerate(sheet.plan.recipe.conditioning, 1):
        racked = number - 1 in rackings
        beer = package_volume(sheet) if racked else beer_volume(sheet)
        if stage.capacity is None or beer.value <= 0.0:
            continue
        share = conditioning.air_share(racked, bool(stage.purged))
        ground = "racked" if racked else "not racked: its own gas has driven the air out"
        ground += f" and purged: half, {MEMORY}" if racked and stage.purged else ""
        air = sheet.given(
            f"z_{number}", "part of the headspace that is air", share, "1", f"{stage.at}: {ground}"
        )
        size = sheet.given(
            f"Q_{number}",
            f"vessel of stage {number}",
            stage.capacity.value,
            "L",
            origin(sheet, stage.capacity),
        )
        pressure = outside(sheet)
        room = f"max({size.symbol} - {beer.symbol}, 0)"
        formula = f"1000 * {room} / {beer.symbol} * {air.symbol} * {air_mass.format(pressure.symbol)}"
        words = f"oxygen over the beer in stage {number}"
        terms = (size, beer, air, pressure)
        found.append(sheet.put(f"o_{number}", words, formula, terms, "mg/L", source="gas law, dry air"))
    return sheet.most("o_max", STATS["headspace_oxygen"].title, found, "mg/L", source="the worst stage")


@part(KEEPING)
def _keg_pressure(sheet: Sheet) -> Known:
    terms = [
        _holds(sheet, index)
        for index, one in enumerate(sheet.plan.recipe.packaging)
        if package.holds(sheet.run, one) is not None
    ]
    return sheet.most("p_kx", STATS["keg_pressure"].title, terms, "bar", source="the keg with the most")


@part(KEEPING)
def _holds(sheet: Sheet, index: int) -> Known:
    """Pressure that holds the carbonation of a keg."""
    keg, number = sheet.plan.recipe.packaging[index], index + 1
    assert keg.carbonation is not None and keg.temperature is not None
    wish = sheet.given(
        f"v_k{number}",
        f"carbonation of keg {number}",
        keg.carbonation.value,
        "vol",
        origin(sheet, keg.carbonation),
    )
    heat = sheet.given(
        f"T_k{number}",
        f"temperature of keg {number}",
        keg.temperature.value,
        "°C",
        origin(sheet, keg.temperature),
    )
    air = outside(sheet)
    formula = f"{wish.symbol} * 1.96 / {solubility(heat.symbol)} - {air.symbol}"
    words = f"pressure that holds it in keg {number}"
    return sheet.put(f"p_k{number}", words, formula, (wish, heat, air), "bar", source=HENRY, least=0.0)


@part(KEEPING)
def _closing_gravity(sheet: Sheet) -> Known:
    """Gravity at which the rest of the extract makes the gas that is wished for."""
    recipe = sheet.plan.recipe
    stage = next(stage for stage in recipe.conditioning if stage.relief is not None)
    wishes = [one.carbonation for one in recipe.packaging if one.carbonation is not None]
    most = max(wishes, key=lambda quantity: quantity.value)
    wish = sheet.given("v_w", "highest carbonation wished for", most.value, "vol", origin(sheet, most))
    held = under_airlock(sheet)
    celsius = stage.temperature.value if stage.temperature is not None else REFERENCE_CELSIUS
    where = origin(sheet, stage.temperature) if stage.temperature is not None else f"{ASSUMED}: a cool room"
    heat = sheet.given("T_v", "beer under the valve", celsius, "°C", where)
    beer = beer_volume(sheet)
    if stage.capacity is not None:
        size = sheet.given(
            "Q_v", "vessel with the valve", stage.capacity.value, "L", origin(sheet, stage.capacity)
        )
        formula = f"{size.symbol} / {beer.symbol} - 1"
        room = sheet.put(
            "h_v", "headspace for a litre of beer", formula, (size, beer), "L/L", source=VOLUMES, least=0.0
        )
    else:
        room = sheet.given(
            "h_v", "headspace for a litre of beer", 0.0, "L/L", f"{ASSUMED}: none, no capacity is written"
        )
    dense = f"44.01 / (0.0831446 * ({heat.symbol} + 273.15))"
    air = outside(sheet)
    above = f"({wish.symbol} * 1.96 / {solubility(heat.symbol)} - {air.symbol})"
    formula = f"{wish.symbol} - {held.symbol} + {room.symbol} * {dense} * {above} / 1.96"
    wanted = sheet.put(
        "v_gm",
        "gas still to be made",
        formula,
        (wish, held, room, heat, air),
        "vol",
        source=f"{HENRY}; gas law",
        least=0.0,
    )
    end, extract = fermented(sheet), all_in(sheet)[0]
    formula = f"{end.symbol} - {wanted.symbol} * {beer.symbol} * 1.96 / ({extract.symbol} * 1000 * 0.4629)"
    terms = (end, wanted, beer, extract)
    share = sheet.put(
        "F_c", "part of the extract fermented when it is closed", formula, terms, "1", source=BALLING_GAS
    )
    closed = Fermented("c", "the beer when it is closed", original_strength(sheet), share)
    value = find(sheet.run, "closing_gravity")[0]
    return gravity_of(sheet, closed, value or 0.0)[1]


@part(KEEPING)
def _bottle_yeast(sheet: Sheet) -> Known:
    terms = [
        litres(sheet, index) for index, one in enumerate(sheet.plan.recipe.packaging) if one.into == "bottle"
    ]
    beer = sheet.sum("V_bt", "beer in bottles", terms, "L")
    wanted = constant(
        sheet, "n_w", "cells wanted in a mL", conditioning.CELLS_FOR_BOTTLE, "million", "Allen 2022"
    )
    cells = constant(
        sheet,
        "n_g",
        "living cells in a gram of dry yeast",
        DRY_CELLS.value,
        "billion",
        "counts of 8 to 18",
    )
    formula = f"{wanted.symbol} * {beer.symbol} / {cells.symbol}"
    note = "million in a mL are billion in a litre"
    return sheet.put("g_y", STATS["bottle_yeast"].title, formula, (wanted, beer, cells), "g", note=note)


@part(KEEPING)
def _carbon_dioxide(sheet: Sheet) -> Known:
    share, extract = fermented(sheet), all_in(sheet)[0]
    formula = f"{share.symbol} * {extract.symbol} * 0.4629"
    words = STATS["carbon_dioxide_made"].title
    return sheet.put("m_c", words, formula, (share, extract), "kg", source=BALLING_GAS)


# ---------------------------------------------------------------------- the glass


@part(GLASS)
def alcohol(sheet: Sheet) -> Known:
    """Alcohol (g) in 100 mL, priming included."""
    strong = in_the_package(sheet)
    formula = f"100 * {strong.symbol} * 0.78924"
    words = "alcohol in 100 mL"
    return sheet.put("g_a", words, formula, (strong,), "g/100 mL", source="density of ethanol at 20 °C")


@part(GLASS)
def solids(sheet: Sheet) -> Known:
    """Extract (g) in 100 mL, ash left out."""
    tried, _ = final_gravity(sheet)
    left, weight = real_extract(sheet), beer_density(sheet, tried)
    ash = constant(sheet, "g_ash", "ash in 100 g", energy.ASH, "g", "ASBC's round figure")
    formula = f"(100 * {left.symbol} - {ash.symbol}) * {weight.symbol}"
    words = "extract in 100 mL, ash left out"
    return sheet.put("g_x", words, formula, (left, ash, weight), "g/100 mL", source=MASSES, least=0.0)


@part(GLASS)
def _energy(sheet: Sheet) -> Known:
    spirit, extract = alcohol(sheet), solids(sheet)
    formula = f"6.9 * {spirit.symbol} + 4 * {extract.symbol}"
    source = "ASBC, as in the Oxford Companion to Beer"
    return sheet.put("kcal", "energy of 100 mL", formula, (spirit, extract), "kcal/100 mL", source=source)


@part(GLASS)
def carbohydrate(sheet: Sheet) -> Known:
    """Carbohydrate (g) in 100 mL."""
    extract = solids(sheet)
    protein = constant(
        sheet, "g_p", "protein in 100 mL", energy.PROTEIN, "g/100 mL", "0.3 to 0.7 in a food table"
    )
    formula = f"{extract.symbol} - {protein.symbol}"
    words = "carbohydrate in 100 mL"
    return sheet.put("g_c", words, formula, (extract, protein), "g/100 mL", source=EXTRACT, least=0.0)


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "headspace_oxygen": _headspace_oxygen,
    "keg_pressure": _keg_pressure,
    "closing_gravity": _closing_gravity,
    "bottle_yeast": _bottle_yeast,
    "carbon_dioxide_made": _carbon_dioxide,
    "energy": _energy,
    "carbohydrate": carbohydrate,
    "alcohol_units": alcohol,
}
