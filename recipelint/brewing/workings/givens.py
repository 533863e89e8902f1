"""The givens of a working: what the files and the catalogue say, what stands in for it, and where each comes from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from recipelint.brewing import dissolving
from recipelint.brewing import kit as kits
from recipelint.brewing.gravity import WATER_DENSITY
from recipelint.brewing.plan import DEFAULT_BOIL, DEFAULT_MOISTURE, DEFAULT_YIELD, GRAIN_KEYS, Line, kilograms
from recipelint.brewing.workings.sheet import EXTRACT, MASSES, Known, Sheet, once, part
from recipelint.recipe.catalogue import Row, layer_of, recalled
from recipelint.recipe.quantity import Quantity

ASSUMED = "assumed"


def place(sheet: Sheet, file: str | None, pointer: str) -> str:
    """A pointer into the recipe, or into another file which it then names."""
    recipe = sheet.plan.recipe
    return pointer if not file or file == recipe.file else f"{file}#{pointer}"


def origin(sheet: Sheet, quantity: Quantity, pointer: str = "") -> str:
    """Where a quantity is written, and how, if that is in another unit or as a range."""
    at = quantity.at
    where = place(sheet, at.file, at.pointer) if at is not None else pointer
    plain = quantity.text.split()[:1] == [f"{quantity.value:g}"]
    return where if plain or not quantity.text else f"{where}, written {quantity.text}"


def row_origin(sheet: Sheet, row: Row, field: str) -> str:
    """The row of the catalogue, of the house or of a lot that gives a field."""
    layer = layer_of(row, field)
    memory = " (from memory)" if recalled(row, field) else ""
    if layer is None:
        return f"catalogue, {row.id}{memory}"
    where = place(sheet, layer.file, f"{layer.at or ''}/{layer.field}")
    return f"{layer.origin} {row.lot}, {where}{memory}" if layer.origin == "lot" else f"{where}{memory}"


def constant(sheet: Sheet, symbol: str, words: str, value: float, unit: str, ground: str) -> Known:
    """A figure of the project's own; the ground is common practice, an author, or memory."""
    return sheet.given(symbol, words, value, unit, f"set figure ({ground})")


def water_density(sheet: Sheet) -> Known:
    """Density of water at 20 °C."""
    return sheet.given("rho", "density of water at 20 °C", WATER_DENSITY, "kg/L", "handbook value, in vacuo")


# ---------------------------------------------------------------------- the brewhouse


class _Kit(NamedTuple):
    """A figure of the brewhouse: the vessel and the key that write it, and the ground of the figure that stands in."""

    symbol: str
    words: str
    unit: str
    vessel: str
    key: str
    ground: str


_BATCH = "{:.0%} of the batch"
_KIT: Mapping[str, _Kit] = {
    "dead_space": _Kit("d", "dead space of the mash vessel", "L", "mash", "dead_space",
                       _BATCH.format(kits.DEAD_SPACE_SHARE) + ", from memory"),
    "absorption": _Kit("a", "liquor that the grain keeps, apparent", "L/kg", "mash", "absorption",
                       "by the kind of vessel; practitioners and memory"),
    "conversion": _Kit("c_b", "conversion of this brewhouse", "1", "mash", "conversion", ""),
    "heating_rate": _Kit("r_h", "heating rate of the mash", "K/min", "mash", "heating_rate", ""),
    "mash_capacity": _Kit("Q_m", "capacity of the mash tun", "L", "mash", "capacity", ""),
    "boil_off": _Kit("b_o", "boil-off", "L/h", "kettle", "boil_off",
                     _BATCH.format(kits.BOIL_OFF_SHARE) + " an hour, common practice"),
    "loss": _Kit("L_d", "dregs left in the kettle", "L", "kettle", "loss", ""),
    "stand": _Kit("t_s", "stand before chilling", "min", "kettle", "stand", "common practice"),
    "cooling": _Kit("t_c", "time to chill", "min", "kettle", "cooling", "common practice"),
    "kettle_capacity": _Kit("Q_k", "capacity of the kettle", "L", "kettle", "capacity", ""),
    "fermenter_capacity": _Kit("Q_f", "capacity of the fermenter", "L", "fermenter", "capacity", ""),
    "lees": _Kit("V_l", "beer left on the lees", "L", "fermenter", "lees",
                 _BATCH.format(kits.LEES_SHARE) + ", from memory"),
    "mash_efficiency": _Kit("e_s", "stated mash efficiency", "1", "efficiency", "mash", ""),
    "brewhouse_efficiency": _Kit("b_s", "stated brewhouse efficiency", "1", "efficiency", "brewhouse", ""),
    "grain_at": _Kit("T_g", "temperature of the grain", "°C", "", "grain_at", "a cool store"),
    "altitude": _Kit("z", "altitude", "m", "", "altitude", "sea level"),
}  # fmt: skip


@once
def of_kit(sheet: Sheet, name: str) -> Known:
    """A figure of the brewhouse, by its name in ``Kit``; Raises KeyError for one that no working uses."""
    figure = _KIT[name]
    value: float = getattr(sheet.plan.kit, name)
    house: Any = sheet.plan.brewhouse
    holder = house if not figure.vessel else getattr(house, figure.vessel, None)
    written: Quantity | None = getattr(holder, figure.key, None)
    where = origin(sheet, written) if written is not None else f"{ASSUMED}: {figure.ground}"
    return sheet.given(figure.symbol, figure.words, value, figure.unit, where)


@once
def boil_minutes(sheet: Sheet) -> Known:
    """Length of the boil: as written, as long as the first hops, or the default."""
    recipe = sheet.plan.recipe
    minutes = sheet.plan.boil_minutes
    if recipe.boil is not None and recipe.boil.for_ is not None:
        where = origin(sheet, recipe.boil.for_)
    elif minutes != DEFAULT_BOIL or any(
        hop.when is not None and hop.when.stage == "boil" and hop.when.kind == "before-end"
        for hop in recipe.hops
    ):
        where = f"{ASSUMED}: as long as the first hops"
    else:
        where = f"{ASSUMED}: common practice"
    return sheet.given("t_b", "length of the boil", minutes, "min", where)


# ---------------------------------------------------------------------- the bill


@part("The bill")
def weight(sheet: Sheet, index: int) -> Known:
    """Weight of a line of the bill: as written, or its share of a bill whose whole weight is tried."""
    plan = sheet.plan
    line, item = plan.lines[index], plan.recipe.grist[index]
    symbol, words = f"m_{index + 1}", f"weight of {called(line)}"
    if item.weight is not None:
        return sheet.given(symbol, words, line.weight, "kg", origin(sheet, item.weight, f"{line.at}/weight"))
    if item.share is None or not plan.by_share:
        return sheet.given(symbol, words, line.weight, "kg", f"{line.at}, no weight is written")
    share = sheet.given(
        f"g_{index + 1}",
        f"share of {called(line)}",
        item.share.value,
        "1",
        origin(sheet, item.share, f"{line.at}/share"),
    )
    whole = bill_weight(sheet)
    return sheet.put(symbol, words, f"{share.symbol} * {whole.symbol}", (share, whole), "kg", line.weight)


@part("The bill")
def bill_weight(sheet: Sheet) -> Known:
    """Weight for which the shares of a bill stand, tried so that the beer has the gravity wished for."""
    plan = sheet.plan
    for line, item in zip(plan.lines, plan.recipe.grist, strict=True):
        if item.share is not None and item.share.value > 0.0:
            wish = plan.recipe.batch.gravity
            to = f"{wish.value:.3f}" if wish is not None else "the gravity wished for"
            return sheet.try_(
                "m_b", "weight of the bill", line.weight / item.share.value, "kg",
                f"tried until the original gravity is {to} ({plan.recipe.batch.at}/gravity)",
            )  # fmt: skip
    return sheet.given("m_b", "weight of the bill", 0.0, "kg", "the bill has no share above zero")


@part("The bill")
def potential(sheet: Sheet, index: int) -> Known:
    """Extract that a line of the bill could give."""
    plan = sheet.plan
    line, item = plan.lines[index], plan.recipe.grist[index]
    number = index + 1
    mass = weight(sheet, index)
    symbol, words = f"E_{number}", f"extract in {called(line)}"
    value = sheet.run.extract_of(line)
    written, row = item.yield_, line.row
    grain = line.key in GRAIN_KEYS
    if written is not None:
        dry = written.unit == "dry" or (written.unit not in ("dry", "as-is", "L°/kg", "ppg") and grain)
        share, where = written.value, origin(sheet, written, f"{line.at}/yield")
    elif row is not None and row.yield_ is not None:
        dry = row.yield_basis == "dry"
        share, where = row.yield_, row_origin(sheet, row, "yield_")
    else:
        dry = False
        share, where = DEFAULT_YIELD.get(line.key, 0.0), f"{ASSUMED}: usual yield, from memory"
    basis = "of its dry weight" if dry else "as it is weighed"
    got = sheet.given(f"y_{number}", f"its yield, {basis}", share, "1", where)
    formula, terms = f"{mass.symbol} * {got.symbol}", [mass, got]
    if dry:
        wet = moisture(sheet, index)
        formula, terms = f"{formula} * (1 - {wet.symbol})", [*terms, wet]
    out = _comes_out(sheet, index) if grain and line.stage != "mash" else None
    if out is not None:
        formula, terms = f"{formula} * {out.symbol}", [*terms, out]
    return sheet.put(symbol, words, formula, terms, "kg", value, EXTRACT)


@part("The bill")
def _comes_out(sheet: Sheet, index: int) -> Known | None:
    """Share of its extract that grain outside the mash gives; None for all that a steep gives."""
    plan = sheet.plan
    steeped = dissolving.level_of([line for line in plan.lines if line.stage == "steep"])
    line = plan.lines[index]
    share = dissolving.unmashed_share(line, plan.recipe.grist[index], steeped)
    if share == 1.0:
        return None
    if line.stage == "steep":
        ground = f"enzyme scheme over its steep, enzymes {steeped:g} of base malt's, against an hour at 65 °C"
        return sheet.given(
            f"z_{index + 1}s", f"part of {called(line)} that the steep converts", share, "1", ground
        )
    ground = "what dissolves where no enzyme works; set figures (common practice, and from memory)"
    return sheet.given(
        f"z_{index + 1}k", f"part of {called(line)} that comes out unmashed", share, "1", ground
    )


@part("The bill")
def moisture(sheet: Sheet, index: int) -> Known:
    """Moisture of a malt or grain of the bill."""
    plan = sheet.plan
    line, item = plan.lines[index], plan.recipe.grist[index]
    if item.moisture is not None:
        where = origin(sheet, item.moisture, f"{line.at}/moisture")
    elif line.row is not None and line.row.moisture is not None:
        where = row_origin(sheet, line.row, "moisture")
    else:
        assert line.moisture == DEFAULT_MOISTURE
        where = f"{ASSUMED}: usual in base malt"
    return sheet.given(f"w_{index + 1}", "its moisture", line.moisture, "1", where)


@once
def diastatic_power(sheet: Sheet, index: int) -> Known:
    """Diastatic power of a malt or grain, as written or by the catalogue."""
    line, item = sheet.plan.lines[index], sheet.plan.recipe.grist[index]
    if item.diastatic_power is not None:
        where = origin(sheet, item.diastatic_power, f"{line.at}/diastatic_power")
    else:
        where = row_origin(sheet, line.row, "diastatic_power") if line.row is not None else ASSUMED
    words = f"diastatic power of {called(line)}"
    return sheet.given(f"d_{index + 1}p", words, line.lintner or 0.0, "°Lintner", where)


@part("The bill")
def water_of(sheet: Sheet, index: int) -> Known:
    """Water in sugar, syrup, malt extract or fruit: what is not extract in it."""
    line = sheet.plan.lines[index]
    mass, extract = weight(sheet, index), potential(sheet, index)
    symbol, words, value = f"W_{index + 1}", f"water in {called(line)}", line.weight * line.water
    formula = f"{mass.symbol} - {extract.symbol}"
    return sheet.put(symbol, words, formula, (mass, extract), "kg", value, MASSES, least=0.0)


def called(line: Line) -> str:
    """Name of a line of the bill, without what the catalogue adds in brackets."""
    return line.name.partition(" (")[0]


def indices(sheet: Sheet, *stages: str) -> list[int]:
    """The lines of the bill that go in at these stages."""
    return [index for index, line in enumerate(sheet.plan.lines) if line.stage in stages]


# ---------------------------------------------------------------------- the hops


@once
def hop_weight(sheet: Sheet, index: int) -> Known:
    """Weight of a hop; g/L are of the batch."""
    hop, item = sheet.plan.hops[index], sheet.plan.recipe.hops[index]
    symbol, words = f"h_{index + 1}", f"weight of {hop.name}"
    if item.weight is None:
        return sheet.given(symbol, words, hop.weight, "kg", f"{hop.at}, no weight is written")
    batch = sheet.plan.recipe.batch.volume
    assert hop.weight == kilograms(item.weight, batch.value if batch is not None else 0.0)
    return sheet.given(symbol, words, hop.weight, "kg", origin(sheet, item.weight, f"{hop.at}/weight"))
