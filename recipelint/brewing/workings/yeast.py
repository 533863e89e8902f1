"""Working of the yeast: cells wanted and pitched, the oxygen and nitrogen that feed it, and the heat it gives."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import feeding, pitching, yeast
from recipelint.brewing.stats import find
from recipelint.brewing.workings.fermentation import fermented, in_fermenter
from recipelint.brewing.workings.fermenter import all_in, original_gravity, pitch_volume, pitching_gravity
from recipelint.brewing.workings.givens import ASSUMED, constant, origin, place
from recipelint.brewing.workings.gravity import DENSITY, extract_per_litre, plato
from recipelint.brewing.workings.sheet import EXTRACT, MEMORY, PRACTICE, Known, Sheet, part, summed
from recipelint.recipe.quantity import Quantity

YEAST = "Yeast"
FEEDING = "What feeds it"
_LATE = ("ferment", "condition", "package")


@part(YEAST)
def _strength(sheet: Sheet) -> Known:
    """Strength of the wort at pitching, from its gravity."""
    return plato(sheet, pitching_gravity(sheet), "y", "the wort as the yeast finds it")


# ---------------------------------------------------------------------- wanted


@part(YEAST)
def _rate_wanted(sheet: Sheet) -> Known:
    """Rate to pitch at: the brewer's own, or by kind of culture, and for ale by strength."""
    run = sheet.run
    rate, _ = pitching.wanted_rate(run)
    assert rate is not None
    first = next(index for index, pitch in enumerate(sheet.plan.cultures) if pitch.stage == "pitch")
    own, pitch = sheet.plan.recipe.yeast[first].pitch_rate, sheet.plan.cultures[first]
    words, unit = "rate to pitch at", "million/mL/°P"
    if own is not None:
        return sheet.given("r_w", words, rate.value, unit, origin(sheet, own))
    kind = (pitch.row.kind or "") if pitch.row is not None else ""
    if kind != "ale":
        return sheet.given("r_w", words, rate.value, unit, f"usual for {kind} yeast: Fix, practice, {MEMORY}")
    usual = constant(sheet, "r_a", "rate for ale", yeast.RATES["ale"].value, unit, "Fix, as quoted")
    strong = constant(sheet, "r_s", "rate for strong ale", yeast.RATES["strong"].value, unit, PRACTICE)
    sg = pitching_gravity(sheet)
    formula = (
        f"{usual.symbol} + min(max(({sg.symbol} - 1.065) / 0.01, 0), 1) * ({strong.symbol} - {usual.symbol})"
    )
    note = "between 1.065 and 1.075 ale becomes strong"
    return sheet.put("r_w", words, formula, (usual, strong, sg), unit, rate.value, PRACTICE, note)


@part(YEAST)
def _cells_wanted(sheet: Sheet) -> Known:
    rate, room, strong = _rate_wanted(sheet), pitch_volume(sheet), _strength(sheet)
    formula = f"{rate.symbol} * {room.symbol} * {strong.symbol}"
    value = find(sheet.run, "cells_wanted")[0]
    return sheet.put("n_w", "cells wanted", formula, (rate, room, strong), "billion", value, "Fix, as quoted")


# ---------------------------------------------------------------------- pitched


@part(YEAST)
def _cells(sheet: Sheet, index: int) -> Known:
    """Living cells of one culture, grown in its starter if it has one."""
    item = sheet.plan.recipe.yeast[index]
    amount = pitching.amount_of(sheet.plan, item)
    taken = _taken(sheet, index, amount)
    starter = amount.starter
    if starter is None or starter.volume <= 0.0 or item.starter is None:
        return taken
    number = index + 1
    volume = sheet.given(f"V_y{number}", "starter", starter.volume, "L", _of(sheet, item.starter.volume))
    where = _of(sheet, item.starter.gravity) if item.starter.gravity is not None else f"{ASSUMED}: {PRACTICE}"
    sg = sheet.given(f"s_y{number}", "gravity of its wort", starter.gravity, "SG", where)
    formula = f"1000 * {volume.symbol} * {extract_per_litre(sg.symbol, sg.value)}"
    grams = sheet.put(f"g_s{number}", "extract in the starter", formula, (volume, sg), "g", source=DENSITY)
    grown = _growth(sheet, number, taken, grams, bool(starter.stirred))
    value = yeast.grown(yeast.Band(taken.value, taken.value, taken.value), starter).value
    formula, terms = f"{taken.symbol} + {grown.symbol}", [taken, grown]
    if starter.settled:
        kept = constant(sheet, "k_se", "cells kept when it is settled", yeast.SETTLED_KEPT.value, "1", MEMORY)
        formula, terms = f"({formula}) * {kept.symbol}", [*terms, kept]
    words = f"cells of {sheet.plan.cultures[index].name} after the starter"
    return sheet.put(f"n_{number}s", words, formula, terms, "billion", value, EXTRACT)


def _growth(sheet: Sheet, number: int, taken: Known, grams: Known, stirred: bool) -> Known:
    """New cells in a starter, stirred or still."""
    symbol, words = f"n_{number}g", "new cells in the starter"
    if stirred:
        formula = f"{grams.symbol} * max(min(1.4, 2.33 - 0.67 * {taken.symbol} / {grams.symbol}), 0)"
        source = f"Troester 2012, coefficients {MEMORY}"
        return sheet.put(symbol, words, formula, (grams, taken), "billion", source=source)
    source = "White & Zainasheff 2010, table of still starters"
    thin = taken.value * 1000.0 * yeast.STILL_EXTRACT / grams.value
    rows = yeast.STILL_GROWTH
    each = sheet.put(
        f"n_{number}l", "cells put into a litre of wort of 9 °P", f"{taken.symbol} * 93.2 / {grams.symbol}",
        (taken, grams), "billion/L", source=source,
    )  # fmt: skip
    if thin <= rows[0][0]:
        return sheet.put(
            symbol, words, f"{rows[0][1]:g} * {taken.symbol}", (taken,), "billion", source=source
        )
    upper = next((at for at, row in enumerate(rows) if thin <= row[0]), len(rows) - 1)
    (low, much), (high, little) = rows[upper - 1], rows[upper]
    line = f"{much:.10g} - {much - little:.10g} * log({each.symbol} / {low:.10g}) / log({high:.10g} / {low:.10g})"
    formula = f"max({line}, 0) * {taken.symbol}"
    note = "between two rows of the table, even in the logarithm"
    return sheet.put(symbol, words, formula, (each, taken), "billion", source=source, note=note)


def _of(sheet: Sheet, quantity: Quantity | None) -> str:
    return origin(sheet, quantity) if quantity is not None else ASSUMED


@part(YEAST)
def _taken(sheet: Sheet, index: int, amount: yeast.Amount) -> Known:
    """Living cells that are taken, before any starter."""
    item, number = sheet.plan.recipe.yeast[index], index + 1
    symbol, words = f"n_{number}", f"living cells of {sheet.plan.cultures[index].name}"
    found = yeast.pitched(amount._replace(starter=amount.starter))
    value = found.taken.value if found is not None else 0.0
    if item.cells is not None:
        return sheet.given(symbol, words, value, "billion", origin(sheet, item.cells))
    form = yeast.form_of(amount)
    parts = _how_much(sheet, index, amount, form)
    if form == "dry":
        parts += _in_dry(sheet, index, amount)
    else:
        parts.append(_living(sheet, index, amount, form))
    formula = " * ".join(known.symbol for known in parts)
    return sheet.put(symbol, words, formula, parts, "billion", value)


def _how_much(sheet: Sheet, index: int, amount: yeast.Amount, form: str) -> list[Known]:
    """Grams, millilitres or packs, and for the last two the cells in each."""
    item, number = sheet.plan.recipe.yeast[index], index + 1
    if form == "dry":
        if item.weight is not None:
            where = origin(sheet, item.weight)
            return [sheet.given(f"g_{number}y", "dry yeast", 1000.0 * (amount.weight or 0.0), "g", where)]
        packs = sheet.given(f"k_{number}y", "packs", amount.packs or 0.0, "1", f"{item.at}/packs")
        own = origin(sheet, item.pack) if item.pack is not None else f"{ASSUMED}: {MEMORY}"
        weight = 1000.0 * (amount.pack if amount.pack is not None else yeast.DRY_PACK)
        return [packs, sheet.given(f"g_{number}k", "weight of a pack", weight, "g", own)]
    dense = amount.density if amount.density is not None else yeast.SLURRY_DENSITY
    where = _of(sheet, item.density) if item.density is not None else f"{ASSUMED}: settled slurry"
    if amount.volume is not None:
        millilitres = sheet.given(
            f"v_{number}y", "volume of yeast", 1000.0 * amount.volume, "mL", _of(sheet, item.volume)
        )
        return [millilitres, sheet.given(f"n_{number}m", "cells in a mL", dense.value, "billion/mL", where)]
    if amount.weight is not None:
        litres = amount.weight / yeast.SLURRY_WEIGHT
        heavy = f"{_of(sheet, item.weight)}, at {yeast.SLURRY_WEIGHT:g} kg/L ({MEMORY})"
        millilitres = sheet.given(f"v_{number}y", "volume of yeast", 1000.0 * litres, "mL", heavy)
        return [millilitres, sheet.given(f"n_{number}m", "cells in a mL", dense.value, "billion/mL", where)]
    packs = sheet.given(f"k_{number}y", "packs", amount.packs or 0.0, "1", f"{item.at}/packs")
    each = constant(
        sheet, "n_pk", "cells in a pack when it is packed", yeast.PACK_CELLS.value, "billion", PRACTICE
    )
    return [packs, each]


def _in_dry(sheet: Sheet, index: int, amount: yeast.Amount) -> list[Known]:
    """Cells in a gram of dry yeast, and how many of them live."""
    wet: list[Known] = []
    if not (amount.rehydrated or amount.starter is not None) and yeast.SPRINKLED.value != 1.0:
        wet = [
            constant(sheet, "k_wet", "cells that live through the wort", yeast.SPRINKLED.value, "1", PRACTICE)
        ]
    if amount.viability is not None:
        every = constant(
            sheet, "n_dt", "cells in a gram, dead and alive", yeast.DRY_TOTAL.value, "billion/g", "counts"
        )
        return [every, _living(sheet, index, amount, "dry"), *wet]
    each = constant(
        sheet, "n_dy", "cells in a gram", yeast.DRY_CELLS.value, "billion/g", "counts of 8 to 18, label 5"
    )
    if amount.days is None:
        return [each, *wet]
    return [each, _living(sheet, index, amount, "dry"), *wet]


@part(YEAST)
def _living(sheet: Sheet, index: int, amount: yeast.Amount, form: str) -> Known:
    """Share of the cells that live: as written, else by age."""
    item, number = sheet.plan.recipe.yeast[index], index + 1
    symbol, words = f"z_{number}y", "share that lives"
    if amount.viability is not None:
        return sheet.given(symbol, words, amount.viability.value, "1", _of(sheet, item.viability))
    if amount.days is not None:
        where = (
            _of(sheet, item.age)
            if item.age is not None
            else f"{item.at}/packed to {place(sheet, None, '/brew_date')}"
        )
        days = amount.days
    else:
        days, where = yeast.UNTOLD_DAYS[form], f"{ASSUMED}: a usual age, {MEMORY}"
    age = sheet.given(f"d_{number}y", "age of the yeast", max(days, 0.0), "d", where)
    loss = yeast.LOSS.get(form, yeast.LOSS["liquid"]).value
    month = constant(
        sheet, f"l_{form}", f"{form} yeast that dies in a month in the cold", loss, "1", "practitioners"
    )
    formula = f"(1 - {month.symbol})**({age.symbol} / {yeast.MONTH:g})"
    return sheet.put(symbol, words, formula, (month, age), "1", source="exponential decay")


@part(YEAST)
def _cells_pitched(sheet: Sheet) -> Known:
    rows = [index for index, pitch in enumerate(sheet.plan.cultures) if pitch.stage == "pitch"]
    value = find(sheet.run, "cells_pitched")[0]
    return sheet.sum("n_p", "cells pitched", [_cells(sheet, index) for index in rows], "billion", value)


@part(YEAST)
def _pitch_rate(sheet: Sheet) -> Known:
    cells, room, strong = _cells_pitched(sheet), pitch_volume(sheet), _strength(sheet)
    formula = f"{cells.symbol} / ({room.symbol} * {strong.symbol})"
    words, terms = "pitching rate", (cells, room, strong)
    return sheet.put(
        "r_p", words, formula, terms, "million/mL/°P", find(sheet.run, "pitch_rate")[0], "definition"
    )


# ---------------------------------------------------------------------- oxygen and nitrogen


@part(FEEDING)
def _saturation(sheet: Sheet) -> Known:
    """Oxygen in wort in balance with air."""
    celsius = pitching.pitching_heat(sheet.plan)
    written = [item.pitched_at for item in sheet.plan.recipe.yeast if item.pitched_at is not None]
    written += [step.temperature for step in sheet.plan.recipe.fermentation if step.temperature is not None]
    where = _of(sheet, written[0]) if written else f"{ASSUMED}: a cool room"
    heat = sheet.given("T_y", "temperature of the wort at pitching", celsius, "°C", where)
    strong = _strength(sheet)
    k = f"({heat.symbol} + 273.15)"
    formula = (
        f"exp(-139.34411 + 157570.1 / {k} - 66423080 / {k}**2 + 12438000000 / {k}**3 - 862194900000 / {k}**4"
        f" - 0.016 * {strong.symbol})"
    )
    value = feeding.oxygen_saturation(celsius, pitching_gravity(sheet).value)
    source = f"Benson & Krause 1984; 1.6 % less for each °P ({MEMORY})"
    return sheet.put("o_a", "oxygen that air can give", formula, (heat, strong), "mg/L", value, source)


@part(FEEDING)
def _oxygen(sheet: Sheet) -> Known:
    terms: list[Known] = []
    for number, dose in enumerate(sheet.plan.recipe.oxygen, 1):
        kind, symbol = dose.dose or "", f"o_{number}"
        words = f"oxygen by dose {number}, {kind}"
        minutes = None
        if dose.for_ is not None:
            minutes = sheet.given(
                f"t_{number}o", f"minutes of dose {number}", dose.for_.value, "min", origin(sheet, dose.for_)
            )
        if kind == "none":
            terms.append(sheet.given(symbol, words, 0.0, "mg/L", dose.at))
            continue
        air = _saturation(sheet)
        if kind == "pure" and minutes is not None:
            terms.append(_pure(sheet, symbol, words, air, minutes))
        elif kind == "air" and minutes is not None:
            formula = f"(1 - exp(-{minutes.symbol} / {feeding.AIR_MINUTES:g})) * {air.symbol}"
            terms.append(
                sheet.put(
                    symbol, words, formula, (minutes, air), "mg/L", source="first order, from one reading"
                )
            )
        else:
            part_of = 0.5 if kind == "shaken" else 0.75
            share = constant(sheet, f"k_{kind}", f"what {kind} gives of it", part_of, "1", MEMORY)
            terms.append(
                sheet.put(
                    symbol, words, f"{share.symbol} * {air.symbol}", (share, air), "mg/L", source=MEMORY
                )
            )
    return sheet.sum("o_all", "oxygen in the wort", terms, "mg/L", find(sheet.run, "oxygen")[0])


def _pure(sheet: Sheet, symbol: str, words: str, air: Known, minutes: Known) -> Known:
    """Oxygen by pure gas through a stone."""
    room = pitch_volume(sheet)
    flow = constant(sheet, "q_o", "gas through a small stone", feeding.OXYGEN_FLOW, "L/min", MEMORY)
    heavy = constant(
        sheet, "r_o", "oxygen in a litre of gas at 20 °C", feeding.OXYGEN_DENSITY, "g/L", "gas law"
    )
    taken = constant(
        sheet, "k_o2", "part of the gas that is taken up", feeding.PURE_UPTAKE.value, "1", MEMORY
    )
    most = sheet.put(
        "o_p",
        "oxygen that pure gas can give",
        f"{air.symbol} / 0.2095",
        (air,),
        "mg/L",
        source="its share of air",
    )
    passed = f"{flow.symbol} * {minutes.symbol} * {heavy.symbol} * 1000 / {room.symbol}"
    formula = f"{most.symbol} * (1 - exp(-{taken.symbol} * {passed} / {most.symbol}))"
    terms = (most, taken, flow, minutes, heavy, room)
    return sheet.put(symbol, words, formula, terms, "mg/L", source="first order towards what it can give")


@part(FEEDING)
def _oxygen_wanted(sheet: Sheet) -> Known:
    value = find(sheet.run, "oxygen_wanted")[0] or 0.0
    sg = pitching_gravity(sheet)
    first = next(pitch for pitch in sheet.plan.cultures if pitch.stage == "pitch")
    lager = first.row is not None and first.row.kind == "lager"
    kind = (
        "lager"
        if lager
        else f"wort of {sg.value:.3f}, {'above' if sg.value > yeast.STRONG_ABOVE else 'up to'} 1.075"
    )
    where = f"for {kind}: Raines-Casselman, as quoted; strong wort {MEMORY}"
    return sheet.given("o_w", "oxygen wanted", value, "mg/L", where)


@part(FEEDING)
def _amino_nitrogen(sheet: Sheet) -> Known:
    rows = [
        (index, in_fermenter(sheet, index))
        for index, extract in enumerate(sheet.run.extracts())
        if extract > 0.0 and sheet.plan.lines[index].stage not in _LATE
    ]
    malted = [known.symbol for index, known in rows if sheet.plan.lines[index].key in ("malt", "extract")]
    strong = _strength(sheet)
    each = constant(
        sheet, "k_fan", "amino nitrogen for each °P from malt", feeding.AMINO_PER_PLATO.value, "mg/L", MEMORY
    )
    formula = (
        f"{each.symbol} * {strong.symbol} * {summed(malted)} / {summed(known.symbol for _, known in rows)}"
    )
    terms = (each, strong, *(known for _, known in rows))
    value, source = find(sheet.run, "amino_nitrogen")[0], "sugar and unmalted grain bring none"
    return sheet.put("a_n", "free amino nitrogen", formula, terms, "mg/L", value, source)


@part(FEEDING)
def _amino_wanted(sheet: Sheet) -> Known:
    sg = original_gravity(sheet)
    formula = f"150 + 50 * min(max(({sg.symbol} - 1.05) / 0.025, 0), 1)"
    return sheet.put("a_nw", "free amino nitrogen wanted", formula, (sg,), "mg/L", source=MEMORY)


@part(YEAST)
def _heat(sheet: Sheet) -> Known:
    share, extract = fermented(sheet), all_in(sheet)[0]
    heat = constant(
        sheet, "q_x", "heat from a kg of extract", feeding.HEAT_PER_EXTRACT.value, "MJ/kg", f"Kunze, {MEMORY}"
    )
    formula = f"{heat.symbol} * {share.symbol} * {extract.symbol}"
    return sheet.put(
        "Q_h", "heat of fermentation", formula, (heat, share, extract), "MJ", source="heat of the extract"
    )


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "cells_wanted": _cells_wanted,
    "cells_pitched": _cells_pitched,
    "pitch_rate": _pitch_rate,
    "oxygen": _oxygen,
    "oxygen_wanted": _oxygen_wanted,
    "amino_nitrogen": _amino_nitrogen,
    "amino_nitrogen_wanted": _amino_wanted,
    "heat_of_fermentation": _heat,
}
