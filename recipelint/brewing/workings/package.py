"""Working of the package: gas left and gas made, what it presses with, and the strength that priming adds."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import carbonation, held, package
from recipelint.brewing.package import LEAST_FERMENTABLE, WARMEST
from recipelint.brewing.process import Run
from recipelint.brewing.workings.beer import (
    alcohol_by_volume,
    alcohol_by_weight,
    beer_density,
    beer_volume,
    final_gravity,
    package_volume,
)
from recipelint.brewing.workings.fermentation import BALLING, fermented
from recipelint.brewing.workings.fermenter import all_in
from recipelint.brewing.workings.givens import ASSUMED, constant, origin, row_origin
from recipelint.brewing.workings.held import HENRY, PACKAGE, kept_by, outside, residual, solubility, warmest
from recipelint.brewing.workings.sheet import VOLUMES, Known, Sheet, part, summed
from recipelint.recipe.quantity import Quantity

STOICHIOMETRY = "stoichiometry of sugar and carbon dioxide"
_ALONE = "as the working of final_gravity at worst, with its own fresh yeast alone"
_EARLY = "v_e", "gas from what had not fermented when it was packaged"
_EARLY_WHERE = "the expected case: see the working of gas_to_come"


# ---------------------------------------------------------------------- one package


@part(PACKAGE)
def litres(sheet: Sheet, index: int) -> Known:
    """Volume of a package: as written, else what the others leave."""
    packages = sheet.plan.recipe.packaging
    own = packages[index].volume
    symbol, words = (
        f"V_{index + 1}a",
        f"volume in the {packages[index].into or 'package'}, package {index + 1}",
    )
    if own is not None:
        return sheet.given(symbol, words, own.value, "L", origin(sheet, own))
    whole = package_volume(sheet)
    written = [
        sheet.given(
            f"V_{number}a", f"volume of package {number}", one.volume.value, "L", origin(sheet, one.volume)
        )
        if number - 1 == index
        else litres(sheet, number - 1)
        for number, one in enumerate(packages, 1)
        if one.volume is not None
    ]
    silent = sum(1 for one in packages if one.volume is None)
    formula = " - ".join([whole.symbol, *(term.symbol for term in written)])
    if package.volume_of(sheet.run, index) <= 0.0:
        formula = f"max({formula}, 0)"
    if silent > 1:
        formula = f"({formula}) / {silent}"
    value = package.volume_of(sheet.run, index)
    return sheet.put(symbol, words, formula, (whole, *written), "L", value, VOLUMES)


@part(PACKAGE)
def _sugar(sheet: Sheet, index: int) -> tuple[Known, Known]:
    """Extract of a priming sugar, and how much of it ferments."""
    row = sheet.plan.priming_rows[index]
    priming = sheet.plan.recipe.packaging[index].priming
    assert priming is not None and priming.sugar is not None
    found: list[Known] = []
    for symbol, words, field in (
        ("y", "extract of", "yield_"),
        ("f", "fermentable part of", "fermentability"),
    ):
        value = getattr(row, field) if row is not None else None
        where = (
            row_origin(sheet, row, field)
            if row is not None and value is not None
            else f"{ASSUMED}: all of it"
        )
        name = f"{symbol}_{index + 1}p"
        found.append(
            sheet.given(name, f"{words} {priming.sugar}", 1.0 if value is None else value, "1", where)
        )
    return found[0], found[1]


@part(PACKAGE)
def per_volume(sheet: Sheet, index: int) -> Known:
    """Priming sugar (g) for one volume of gas in a litre."""
    extract, ferments = _sugar(sheet, index)
    priming, sugar = sheet.plan.recipe.packaging[index].priming, package.sugar_of(sheet.run, index)
    assert priming is not None and priming.sugar is not None and sugar is not None
    single = sugar[2]
    ratio = carbonation.CO2_PER_MONOSACCHARIDE if single else carbonation.CO2_PER_DISACCHARIDE
    kind = "single" if single else "double"
    made = constant(sheet, f"k_{kind}", f"gas from a gram of a {kind} sugar", ratio, "g/g", STOICHIOMETRY)
    heavy = constant(
        sheet, "k_v2", "a volume of gas in a litre", carbonation.GRAMS_PER_VOLUME, "g/L", "ideal gas, rounded"
    )
    formula = f"{heavy.symbol} / ({extract.symbol} * {ferments.symbol} * {made.symbol})"
    value = carbonation.sugar_per_volume(extract.value, ferments.value, single)
    words = f"{priming.sugar} for one volume in a litre"
    terms = (heavy, extract, ferments, made)
    return sheet.put(f"p_{index + 1}v", words, formula, terms, "g/L", value, STOICHIOMETRY)


@part(PACKAGE)
def grams(sheet: Sheet, index: int) -> Known:
    """Priming sugar (g) in a litre of a package."""
    one = sheet.plan.recipe.packaging[index]
    symbol, words = f"p_{index + 1}", f"priming sugar in a litre of package {index + 1}"
    value = package.priming_per_litre(sheet.run, index)[0]
    assert one.priming is not None and value is not None
    written = one.priming.weight
    if written is not None:
        if written.kind == "concentration":
            return sheet.given(symbol, words, value, "g/L", origin(sheet, written))
        mass = sheet.given(
            f"p_{index + 1}w", "priming sugar as written", written.value, "kg", origin(sheet, written)
        )
        room = litres(sheet, index)
        return sheet.put(symbol, words, f"{mass.symbol} * 1000 / {room.symbol}", (mass, room), "g/L", value)
    left, each = residual(sheet), per_volume(sheet, index)
    assert one.carbonation is not None
    wish = _wish(sheet, index, one.carbonation)
    formula = f"({wish.symbol} - {left.symbol}) * {each.symbol}"
    return sheet.put(symbol, words, formula, (wish, left, each), "g/L", value, STOICHIOMETRY, least=0.0)


def _wish(sheet: Sheet, index: int, quantity: Quantity) -> Known:
    words = f"carbonation wished for in package {index + 1}"
    return sheet.given(f"v_{index + 1}w", words, quantity.value, "vol", origin(sheet, quantity))


@part(PACKAGE)
def carbonation_of(sheet: Sheet, index: int) -> Known:
    """Carbonation of a package: what its weight of sugar makes, else what is wished for."""
    one = sheet.plan.recipe.packaging[index]
    if one.priming is not None and one.priming.weight is not None:
        left = residual(sheet)
        if _sugar(sheet, index)[1].value < LEAST_FERMENTABLE:
            return left
        sugar, each = grams(sheet, index), per_volume(sheet, index)
        formula = f"{left.symbol} + {sugar.symbol} / {each.symbol}"
        value = package.carbonation_of(sheet.run, index)[0]
        words = f"carbonation of package {index + 1}"
        return sheet.put(f"v_{index + 1}c", words, formula, (left, sugar, each), "vol", value, STOICHIOMETRY)
    if one.carbonation is None:
        sealed = package.shut(one) and one.priming is None
        return residual(sheet) if sealed else _under_valve(sheet, index)
    wish = _wish(sheet, index, one.carbonation)
    value = package.carbonation_of(sheet.run, index)[0]
    if value == wish.value:
        return wish
    left = residual(sheet)
    words, source = f"carbonation of package {index + 1}", "it holds no less than it is filled with"
    formula = f"max({wish.symbol}, {left.symbol})"
    return sheet.put(f"v_{index + 1}c", words, formula, (wish, left), "vol", value, source)


@part(PACKAGE)
def valve(sheet: Sheet, index: int) -> Known:
    """Gas that the valve on a package holds."""
    opens, celsius = _opens(sheet, index), held.warmest_since_fermentation(sheet.run)
    assert opens is not None and celsius is not None
    heat = sheet.given("T_r", "warmest since fermentation ended", celsius, "°C", warmest(sheet, celsius))
    number = index + 1
    return kept_by(sheet, f"v_{number}h", f"gas that the valve of package {number} holds", opens, heat)


def _opens(sheet: Sheet, index: int) -> Known | None:
    """Pressure at which the valve of a package opens; None where there is none."""
    relief, number = package.relief_of(sheet.plan.recipe.packaging[index]), index + 1
    if relief is None:
        return None
    words = f"valve of package {number}"
    return sheet.given(f"p_{number}v", words, relief.value, "bar", origin(sheet, relief))


@part(PACKAGE)
def _under_valve(sheet: Sheet, index: int) -> Known:
    """Gas of a package in which the rest of the extract ferments under a valve."""
    holds, left = valve(sheet, index), residual(sheet)
    more = sheet.given(*_EARLY, package.gas_to_come(sheet.run.expected), "vol", _EARLY_WHERE)
    formula = f"min({holds.symbol}, {left.symbol} + {more.symbol})"
    words, source = f"carbonation of package {index + 1}", "no more than the valve holds, and than is made"
    value = package.carbonation_of(sheet.run, index)[0]
    return sheet.put(f"v_{index + 1}c", words, formula, (holds, left, more), "vol", value, source)


# ---------------------------------------------------------------------- the batch


def _gassed(run: Run) -> list[int]:
    return [
        index
        for index in range(len(run.plan.recipe.packaging))
        if package.carbonation_of(run, index)[0] is not None
    ]


@part(PACKAGE)
def liveliest(sheet: Sheet) -> Known:
    """Carbonation of the package with the most gas."""
    terms = [carbonation_of(sheet, index) for index in _gassed(sheet.run)]
    words, value = "carbonation of the liveliest package", package.carbonated(sheet.run)[0]
    return sheet.most("v_c", words, terms, "vol", value, "the package with the most gas")


@part(PACKAGE)
def fermenting_on(sheet: Sheet, index: int) -> Known | None:
    """Gas that the yeast could still make in a package at worst; None in the expected case."""
    run = sheet.run
    if not run.risk:
        return None
    more = package.could_still_ferment(run.expected, run, index)
    own = package.plan_of(run.expected.plan, index)
    tag = "" if own is run.expected.plan else str(index + 1)
    if more <= 0.0:
        return sheet.given(
            f"v_on{tag}", "gas that it could still make", 0.0, "vol", "it goes no further at worst"
        )
    where = "the expected case: see the working of final_gravity"
    before = sheet.given(
        "F_0", "part of the extract that ferments, expected", run.expected.beer.fermented or 0.0, "1", where
    )
    after, (extract, _), room = _at_worst(sheet, index, tag), all_in(sheet), beer_volume(sheet)
    made = constant(
        sheet, "k_b2", "gas from a gram of extract", carbonation.CO2_PER_EXTRACT, "g/g", "Balling"
    )
    volume = room
    if tag:
        # The beer of this package is not the one with the yeast of all of them in it.
        worst = package.worst_of(run.expected, run, index).beer.volume
        volume = sheet.given(f"V_w{tag}", f"beer with the yeast of package {tag}", worst, "L", _ALONE)
    formula = f"({after.symbol} - {before.symbol}) * {extract.symbol} * 1000 * {made.symbol} / {volume.symbol} / 1.96"
    words = "gas that it could still make at worst"
    terms = (after, before, extract, made, volume)
    return sheet.put(f"v_on{tag}", words, formula, terms, "vol", more, BALLING)


def _at_worst(sheet: Sheet, index: int, tag: str) -> Known:
    """Part of the extract that ferments at worst, with the fresh yeast of one package alone."""
    if not tag:
        return fermented(sheet)
    value = package.worst_of(sheet.run.expected, sheet.run, index).beer.fermented or 0.0
    words = f"part of the extract that ferments at worst in package {tag}"
    return sheet.given(f"F_w{tag}", words, value, "1", _ALONE)


@part(PACKAGE)
def _to_come(sheet: Sheet, index: int) -> list[Known]:
    """Gas that is still made in a package: by extract not yet fermented, and at worst by all that could be."""
    early = package.gas_to_come(sheet.run.expected)
    found: list[Known] = []
    if early > 0.0:
        found.append(sheet.given(*_EARLY, early, "vol", _EARLY_WHERE))
    more = fermenting_on(sheet, index)
    return found if more is None else [*found, more]


@part(PACKAGE)
def _peak_carbonation(sheet: Sheet) -> Known:
    terms = [in_the_end(sheet, index) for index in _gassed(sheet.run)]
    words, value = "carbonation when all is done", package.peak_carbonation(sheet.run)[0]
    return sheet.most("v_top", words, terms, "vol", value, "the package with the most gas")


@part(PACKAGE)
def in_the_end(sheet: Sheet, index: int) -> Known:
    """Carbonation of a package when the yeast has done all it will."""
    one = sheet.plan.recipe.packaging[index]
    words = f"carbonation of package {index + 1} when all is done"
    begins, more = carbonation_of(sheet, index), _to_come(sheet, index)
    brings = begins if package.is_primed(one) else residual(sheet)
    valved = package.valve_holds(sheet.run, index) is not None
    if brings is begins and not valved:
        return sheet.sum(f"v_{index + 1}t", words, [begins, *more], "vol")
    added, terms = summed([brings.symbol, *(term.symbol for term in more)]), [begins, brings, *more]
    source = "no more than the greater: gas that is wished for, or that the beer makes"
    if valved:
        holds = valve(sheet, index)
        added, source = f"min({added}, {holds.symbol})", "the valve opens above"
        terms.append(holds)
    formula = f"max({begins.symbol}, {added})"
    return sheet.put(f"v_{index + 1}t", words, formula, terms, "vol", source=source)


@part(PACKAGE)
def _pressure(sheet: Sheet, index: int) -> Known:
    """Pressure in a package at its warmest."""
    carbonated = in_the_end(sheet, index)
    one = sheet.plan.recipe.packaging[index]
    store = one.store
    told = (
        [heat for heat in (store.warmest, store.temperature) if heat is not None] if store is not None else []
    )
    warm = max(told, key=package.upper) if told else None
    value = package.upper(warm) if warm is not None else WARMEST
    where = origin(sheet, warm) if warm is not None else f"{ASSUMED}: a warm room in summer"
    heat = sheet.given(f"T_{index + 1}s", f"warmest store of package {index + 1}", value, "°C", where)
    air = outside(sheet)
    formula = f"{carbonated.symbol} * 1.96 / {solubility(heat.symbol)} - {air.symbol}"
    terms = [carbonated, heat, air]
    opens = _opens(sheet, index)
    if opens is not None:
        formula, terms = f"min({formula}, {opens.symbol})", [*terms, opens]
    words = f"pressure in package {index + 1} at its warmest, above the air"
    found = package.pressure_in(sheet.run, index, carbonated.value, value)
    return sheet.put(f"p_{index + 1}b", words, formula, terms, "bar", found, HENRY, least=0.0)


@part(PACKAGE)
def _peak_pressure(sheet: Sheet) -> Known:
    terms = [_pressure(sheet, index) for index in _gassed(sheet.run)]
    for number, one in enumerate(sheet.plan.recipe.packaging, 1):
        if one.pressure is not None:
            words = f"pressure put on package {number}"
            terms.append(
                sheet.given(f"p_{number}g", words, one.pressure.value, "bar", origin(sheet, one.pressure))
            )
    words, value = "highest pressure of any package", package.peak_pressure(sheet.run)[0]
    return sheet.most("p_max", words, terms, "bar", value, "the package with the most pressure")


@part(PACKAGE)
def _priming_sugar(sheet: Sheet) -> Known:
    parts: list[str] = []
    terms: list[Known] = []
    for index, one in enumerate(sheet.plan.recipe.packaging):
        if one.priming is not None:
            room, each = litres(sheet, index), grams(sheet, index)
            terms += [each, room]
            parts.append(f"{each.symbol} * {room.symbol}")
    value = package.priming_sugar(sheet.run)[0]
    return sheet.put("p_all", "priming sugar, all together", " + ".join(parts), terms, "g", value)


@part(PACKAGE)
def _priming_alcohol(sheet: Sheet) -> Known | None:
    """Strength that priming adds, the mean over the packages; None where it adds none."""
    value = package.priming_alcohol(sheet.run)
    if value == 0.0:
        return None
    parts: list[str] = []
    rooms: list[Known] = []
    terms: list[Known] = []
    for index, one in enumerate(sheet.plan.recipe.packaging):
        room = litres(sheet, index)
        rooms.append(room)
        each = package.priming_per_litre(sheet.run, index)[0]
        if each is None or one.priming is None or one.priming.sugar is None:
            continue
        sugar, (extract, ferments) = grams(sheet, index), _sugar(sheet, index)
        terms += [room, sugar, extract, ferments]
        parts.append(" * ".join(term.symbol for term in (room, sugar, extract, ferments)))
    mean = f"{summed(parts)} / {summed(room.symbol for room in rooms)}"
    formula = f"{mean} / 1000 / 2.0665 / 0.78924"
    words = "alcohol by volume that priming adds, mean of the packages"
    return sheet.put("v_p", words, formula, (*terms, *rooms), "1", value, BALLING)


@part(PACKAGE)
def in_the_package(sheet: Sheet) -> Known:
    """Alcohol by volume, priming included."""
    beer = alcohol_by_volume(sheet)
    more = _priming_alcohol(sheet)
    return (
        beer if more is None else sheet.sum("v_all", "alcohol by volume, in the package", [beer, more], "1")
    )


@part(PACKAGE)
def _abw(sheet: Sheet) -> Known:
    beer = alcohol_by_weight(sheet)
    more = _priming_alcohol(sheet)
    if more is None:
        return beer
    tried, _ = final_gravity(sheet)
    weight = beer_density(sheet, tried)
    formula = f"{beer.symbol} + {more.symbol} * 0.78924 / {weight.symbol}"
    source = "density of ethanol at 20 °C"
    return sheet.put(
        "a_all", "alcohol by weight, in the package", formula, (beer, more, weight), "1", source=source
    )


def _packages_volume(sheet: Sheet) -> Known:
    terms = [litres(sheet, index) for index in range(len(sheet.plan.recipe.packaging))]
    return sheet.sum("V_sum", "volume of the packages written", terms, "L")


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "abv": in_the_package,
    "abw": _abw,
    "packages_volume": _packages_volume,
    "residual_co2": residual,
    "priming_sugar": _priming_sugar,
    "carbonation": liveliest,
    "peak_carbonation": _peak_carbonation,
    "peak_pressure": _peak_pressure,
}
