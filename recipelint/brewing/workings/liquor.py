"""Working of the liquor of a mash: what is struck, what later steps add, and the heat that decides it."""

from __future__ import annotations

from recipelint.brewing import heat, mash, mash_steps, mashing
from recipelint.brewing.mash_steps import MashStep
from recipelint.brewing.workings.givens import (
    ASSUMED,
    constant,
    indices,
    of_kit,
    origin,
    water_density,
    weight,
)
from recipelint.brewing.workings.sheet import (
    MEMORY,
    PRACTICE,
    VOLUMES,
    Known,
    Sheet,
    need,
    once,
    part,
    worked,
)
from recipelint.recipe.quantity import Quantity

HEAT = "balance of heat"
ROOM, QUARTS = "room that a kg of grain takes", "published as 0.32 qt/lb"
HEATED = ("bag", "recirculated")  # vessels in which the strike liquor is heated
SAME = 1e-6  # K


@part("The bill")
def grain(sheet: Sheet) -> Known:
    """Weight of everything in the mash."""
    terms = [weight(sheet, index) for index in indices(sheet, "mash")]
    return sheet.sum("G", "weight of the grain in the mash", terms, "kg", sheet.run.mash.grain)


@part("Mash and run-off")
def mash_liquor(sheet: Sheet, malt: Known, needed: Known) -> tuple[Known, Known | None]:
    """Strike liquor, and what infusions add to it; None where no step is infused."""
    plan = sheet.plan
    written = plan.recipe.mash
    station = sheet.run.mash
    if written is not None and written.liquor is not None:
        where = origin(sheet, written.liquor, f"{written.at}/liquor")
        strike = sheet.given("V_s", "strike liquor", station.strike, "L", where)
        return strike, infusions(sheet, malt, strike)
    if _left_open(sheet):
        return _beside_infusions(sheet, malt, needed)
    added = _written(sheet)
    less, more = (f" - {added.symbol}", (added,)) if added is not None else ("", ())
    kept = sparge_as_written(sheet)
    if kept is not None:
        formula, terms = f"{needed.symbol} - {kept.symbol}{less}", (needed, kept, *more)
        stirs = _stirs(sheet, malt)
        if worked(formula, terms) < min(stirs.value * malt.value, needed.value):
            formula = f"max({formula}, min({stirs.symbol} * {malt.symbol}, {needed.symbol}))"
            terms = (*terms, stirs, malt)
        source = "all liquor but that of the sparge"
    elif mashing.sparge_method(plan) == "none":
        formula, terms = f"{needed.symbol}{less}", (needed, *more)
        source = "all liquor is in the mash, none is sparged"
    else:
        each, own = _chosen(sheet, malt, mashing.USUAL, "usual thickness")
        formula, terms = f"min({needed.symbol}{less}, {each})", (needed, *more, *own)
        source = PRACTICE
    return sheet.put("V_s", "strike liquor", formula, terms, "L", station.strike, source, least=0.0), added


def _beside_infusions(sheet: Sheet, malt: Known, needed: Known) -> tuple[Known, Known | None]:
    """Strike liquor beside infusions that heat decides: the two are what is needed, or it is held at a thickness."""
    station, kept = sheet.run.mash, sparge_as_written(sheet)
    less, more = (f" - {kept.symbol}", (kept,)) if kept is not None else ("", ())
    whole = needed.value - (kept.value if kept is not None else 0.0)
    if station.strike + station.infused > whole * (1.0 + SAME):
        stirs = _stirs(sheet, malt)
        formula, source = f"min({stirs.symbol} * {malt.symbol}, {needed.symbol})", "the least that stirs"
        strike = sheet.put(
            "V_s", "strike liquor", formula, (stirs, malt, needed), "L", station.strike, source
        )
        return strike, infusions(sheet, malt, strike)
    if station.strike + station.infused > whole * (1.0 - SAME):
        note = f"tried until strike and infusions together are {needed.symbol}{less}"
        strike = sheet.try_("V_s", "strike liquor", station.strike, "L", note)
        poured = need(infusions(sheet, malt, strike))
        formula = f"{needed.symbol}{less} - {poured.symbol}"
        words, terms = "strike liquor that is left", (needed, *more, poured)
        sheet.put("V_s_again", words, formula, terms, "L", source=VOLUMES, target=strike, least=0.0)
        return strike, poured
    each, own = _chosen(sheet, malt, mashing.STEPPED, "usual thickness where steps are infused")
    strike = sheet.put("V_s", "strike liquor", each, own, "L", station.strike, PRACTICE)
    return strike, infusions(sheet, malt, strike)


def _stirs(sheet: Sheet, malt: Known) -> Known:
    words = "thickness of the stiffest mash that stirs"
    return constant(sheet, "u_st", words, mashing.STIRS, "L/kg", PRACTICE)


def _chosen(sheet: Sheet, malt: Known, thickness: float, words: str) -> tuple[str, tuple[Known, ...]]:
    """The usual strike liquor as a formula, or the line of what it takes not to boil where that is more."""
    usual = constant(sheet, "u_s", words, thickness, "L/kg", PRACTICE)
    least = _hot_enough(sheet, malt, usual)
    return (f"{usual.symbol} * {malt.symbol}", (usual, malt)) if least is None else (least.symbol, (least,))


@part("Mash and run-off")
def _hot_enough(sheet: Sheet, malt: Known, usual: Known) -> Known | None:
    """The strike liquor that need not boil for the first rest; None where the usual is more."""
    plan = sheet.plan
    value = mashing.hot_enough_for(plan, malt.value, usual.value * malt.value)
    if value <= usual.value * malt.value:
        return None
    to, share, rho = rest_heat(sheet, 1), grain_heat(sheet), water_density(sheet)
    cold = of_kit(sheet, "grain_at")
    hot = sheet.given(
        "T_hot", "hottest strike liquor", mashing.hottest_strike(plan), "°C",
        f"boiling, less {mash_steps.INFUSION_COOLS:g} K on the way (from memory)",
    )  # fmt: skip
    whole, bottom, size = vessel_whole(sheet, None)
    room = constant(sheet, "k_g", ROOM, mash.GRAIN_DISPLACEMENT, "L/kg", QUARTS)
    wall = f"{whole.symbol} * (1 - {bottom.symbol}) / {size.symbol}"
    held = f"{whole.symbol} * {bottom.symbol} + {wall} * {room.symbol} * {malt.symbol}"
    # A vessel that is heated with its liquor stands as warm as that.
    walls_at = hot if plan.kit.kind in HEATED else cold
    rise = f"({to.symbol} - {walls_at.symbol})"
    formula = (
        f"({share.symbol} * {malt.symbol} * ({to.symbol} - {cold.symbol}) + ({held}) * {rise})"
        f" / (({hot.symbol} - {to.symbol}) * {rho.symbol} - {wall} * {rise})"
    )
    terms = (share, malt, to, cold, whole, bottom, size, room, walls_at, hot, rho)
    words = "strike liquor that need not boil"
    return sheet.put("V_hot", words, formula, terms, "L", value, HEAT)


@once
def sparge_as_written(sheet: Sheet) -> Known | None:
    """Sparge liquor as it is written; None where none is or the method is that nothing is sparged."""
    sparge = sheet.plan.recipe.sparge
    if sparge is None or sparge.liquor is None or mashing.sparge_written(sheet.plan) is None:
        return None
    where = origin(sheet, sparge.liquor, f"{sparge.at}/liquor")
    return sheet.given("V_rw", "sparge liquor as written", sparge.liquor.value, "L", where)


def _left_open(sheet: Sheet) -> bool:
    written = sheet.plan.recipe.mash
    rests = written.rests[1:] if written is not None else ()
    heating = written.heating if written is not None else None
    return any(rest.liquor is None and mash_steps.way_of(rest, heating) == "infusion" for rest in rests)


def _written(sheet: Sheet) -> Known | None:
    """Sum of the infusions where each says how much."""
    mash_of = sheet.plan.recipe.mash
    rests = mash_of.rests if mash_of is not None else ()
    terms = [
        sheet.given(
            f"I_{number}",
            f"liquor added at rest {number}",
            rest.liquor.value,
            "L",
            origin(sheet, rest.liquor),
        )
        for number, rest in enumerate(rests, 1)
        if number > 1 and rest.liquor is not None
    ]
    return sheet.sum("V_i", "liquor that later steps add", terms, "L") if terms else None


@part("Mash and run-off")
def infusions(sheet: Sheet, malt: Known, strike: Known) -> Known | None:
    """What infusions add, as written or by the balance of heat; None where no step is infused."""
    if not _left_open(sheet):
        return _written(sheet)
    terms: list[Known] = []
    for number, step in enumerate(sheet.run.steps, 1):
        if step.by == "infusion":
            terms.append(_infusion(sheet, malt, strike, number, step))
    return sheet.sum("V_i", "liquor that later steps add", terms, "L", sheet.run.mash.infused)


@part("Mash and run-off")
def _infusion(sheet: Sheet, malt: Known, strike: Known, number: int, step: MashStep) -> Known:
    """Liquor of one infusion."""
    mash_of = sheet.plan.recipe.mash
    assert mash_of is not None
    rest = mash_of.rests[number - 1]
    symbol, words = f"I_{number}", f"liquor added at rest {number}"
    if rest.liquor is not None:
        return sheet.given(symbol, words, rest.liquor.value, "L", origin(sheet, rest.liquor))
    if step.needed is None or step.liquor_at is None or step.target is None or step.before is None:
        return sheet.given(symbol, words, step.liquor, "L", f"{rest.at}: nothing says how hot")
    now = rest_end(sheet, malt, strike, number - 1)
    to = rest_heat(sheet, number)
    hot = sheet.given(f"T_{number}a", f"temperature of that liquor for rest {number}", step.liquor_at, "°C",
                      _liquor_heat(sheet, rest.of, step))  # fmt: skip
    share = grain_heat(sheet)
    walls = vessel_heat(sheet, malt, strike)
    rho = water_density(sheet)
    earlier = [_infused_at(sheet, malt, strike, each) for each in range(2, number)]
    before = [known for known in earlier if known is not None]
    liquor = " + ".join(term.symbol for term in (strike, *before))
    formula = (
        f"({share.symbol} * {malt.symbol} + ({liquor}) * {rho.symbol} + {walls.symbol})"
        f" * ({to.symbol} - {now.symbol}) / ({hot.symbol} - {to.symbol}) / {rho.symbol}"
    )
    terms = (share, malt, strike, *before, rho, walls, to, now, hot)
    return sheet.put(symbol, words, formula, terms, "L", step.liquor, HEAT)


def _liquor_heat(sheet: Sheet, of: Quantity | None, step: MashStep) -> str:
    if of is not None:
        return origin(sheet, of)
    if step.before is not None and step.target is not None and step.target >= step.before:
        return f"boiling, less {mash_steps.INFUSION_COOLS:g} K on the way (from memory)"
    return f"{ASSUMED}: as cold as the grain"


@once
def rest_heat(sheet: Sheet, number: int) -> Known:
    """Temperature of a rest (counted from 1): as written, or where the step before it leads."""
    mash_of = sheet.plan.recipe.mash
    assert mash_of is not None
    rest, step = mash_of.rests[number - 1], sheet.run.steps[number - 1]
    written = rest.from_ if rest.from_ is not None else rest.temperature
    value = step.target if step.target is not None else step.reached or 0.0
    where = origin(sheet, written) if written is not None else f"{rest.at}, where its liquor leads"
    return sheet.given(f"T_{number}", f"temperature of rest {number}", value, "°C", where)


@part("Mash and run-off")
def rest_end(sheet: Sheet, malt: Known, strike: Known, number: int) -> Known:
    """Temperature of the mash at the end of a rest (counted from 1): as written, or where its liquor leads."""
    mash_of = sheet.plan.recipe.mash
    assert mash_of is not None
    rest, step = mash_of.rests[number - 1], sheet.run.steps[number - 1]
    end = step.end if step.end is not None else 0.0
    if rest.temperature is not None and abs(end - rest.temperature.value) < SAME:
        if rest.from_ is None:
            return rest_heat(sheet, number)
        words = f"temperature at the end of rest {number}"
        return sheet.given(f"T_{number}e", words, end, "°C", origin(sheet, rest.temperature))
    symbol, words = f"T_{number}e", f"temperature that rest {number} comes to"
    if step.by != "infusion" or rest.of is None or rest.from_ is not None or step.before is None:
        return sheet.given(symbol, words, end, "°C", f"{rest.at}: where its liquor or its pulled part leads")
    before = rest_end(sheet, malt, strike, number - 1)
    share, walls, rho = grain_heat(sheet), vessel_heat(sheet, malt, strike), water_density(sheet)
    hot = sheet.given(
        f"T_{number}a", "temperature of that liquor", rest.of.value, "°C", origin(sheet, rest.of)
    )
    added = [_infused_at(sheet, malt, strike, each) for each in range(2, number + 1)]
    known = [liquor for liquor in added if liquor is not None]
    liquor = " + ".join(term.symbol for term in (strike, *known[:-1]))
    held = f"({share.symbol} * {malt.symbol} + ({liquor}) * {rho.symbol} + {walls.symbol})"
    more = f"{known[-1].symbol} * {rho.symbol}"
    formula = f"({held} * {before.symbol} + {more} * {hot.symbol}) / ({held} + {more})"
    terms = (share, malt, strike, *known, rho, walls, before, hot)
    return sheet.put(symbol, words, formula, terms, "°C", end, HEAT)


def _infused_at(sheet: Sheet, malt: Known, strike: Known, number: int) -> Known | None:
    """Liquor of the infusion before a rest; None where it is reached in another way."""
    step = sheet.run.steps[number - 1]
    return _infusion(sheet, malt, strike, number, step) if step.by == "infusion" else None


def grain_heat(sheet: Sheet) -> Known:
    """Heat of grain beside that of water."""
    return constant(
        sheet,
        "c_g",
        "heat of a kg of grain as water",
        heat.GRAIN_HEAT,
        "kg/kg",
        f"Lewis & Young 2001, {MEMORY}",
    )


@part("Mash and run-off")
def vessel_heat(sheet: Sheet, malt: Known, strike: Known) -> Known:
    """What the walls of the mash vessel hold, as far as the mash warms them, as water (kg)."""
    room = mash_volume(sheet, malt, strike, None, "V_room")
    whole, bottom, size = vessel_whole(sheet, room)
    fill = f"{room.symbol} / {size.symbol}"
    if room.value > size.value:
        fill = f"min({fill}, 1)"
    formula = f"{whole.symbol} * ({bottom.symbol} + (1 - {bottom.symbol}) * {fill})"
    words = "heat of the part of the vessel that the mash warms, as water"
    return sheet.put("H_v", words, formula, (whole, bottom, room, size), "kg", source=MEMORY)


@part("Mash and run-off")
def vessel_whole(sheet: Sheet, room: Known | None) -> tuple[Known, Known, Known]:
    """The heat of the whole vessel as water (kg), the share of its bottom, and what it holds (L).

    ``room`` is the mash for which a vessel without a written capacity is reckoned.
    """
    kind = sheet.plan.kit.kind
    share = heat.VESSEL_HEAT.get(kind, heat.VESSEL_HEAT["tun"])
    words = "heat of the walls as water, for each litre that the vessel holds"
    each = constant(sheet, "k_v", words, share, "kg/L", f"a {kind}; {MEMORY}")
    words = "share of it that the bottom holds"
    bottom = constant(sheet, "k_b", words, heat.BOTTOM_SHARE, "1", MEMORY)
    if sheet.plan.kit.mash_capacity is not None:
        size = of_kit(sheet, "mash_capacity")
    else:
        room = need(room)
        more = constant(sheet, "k_r", "vessel beside the mash", heat.ROOMIER, "1", PRACTICE)
        words = "vessel that is reckoned for this mash, no capacity being written"
        size = sheet.put("V_cap", words, f"{more.symbol} * {room.symbol}", (more, room), "L", source=PRACTICE)
    words, formula = "heat of the whole vessel as water", f"{each.symbol} * {size.symbol}"
    return sheet.put("H_w", words, formula, (each, size), "kg", source=MEMORY), bottom, size


@part("Mash and run-off")
def mash_volume(
    sheet: Sheet, malt: Known, strike: Known, added: Known | None, symbol: str, value: float | None = None
) -> Known:
    """Room that grain and liquor take."""
    each = constant(sheet, "k_g", ROOM, mash.GRAIN_DISPLACEMENT, "L/kg", QUARTS)
    plus = f" + {added.symbol}" if added is not None else ""
    words = "volume of the mash" if symbol == "V_mash" else "volume of the mash at the strike"
    terms = (strike, *((added,) if added is not None else ()), each, malt)
    return sheet.put(
        symbol, words, f"{strike.symbol}{plus} + {each.symbol} * {malt.symbol}", terms, "L", value, VOLUMES
    )
