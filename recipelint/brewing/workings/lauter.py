"""Working of the efficiencies: what the mash dissolves and the run-off brings into the kettle, or what is stated."""

from __future__ import annotations

from recipelint.brewing import lauter, mashing
from recipelint.brewing.plan import GRAIN_KEYS
from recipelint.brewing.workings.enzymes import mean_reached
from recipelint.brewing.workings.givens import (
    constant,
    indices,
    moisture,
    of_kit,
    potential,
    water_density,
)
from recipelint.brewing.workings.gravity import volume_of_masses
from recipelint.brewing.workings.liquor import grain, mash_liquor
from recipelint.brewing.workings.sheet import EXTRACT, MASSES, VOLUMES, Known, Sheet, need, part
from recipelint.brewing.workings.wort import (
    kettle_loss,
    kettle_volume,
    mash_potential,
    mash_wort,
    planned_kettle,
)

RUN_OFF = "mixed run-offs, after Troester's batch sparging analysis"
NO_SPARGE = 1e-9  # L


def tried_efficiency(sheet: Sheet) -> Known | None:
    """The mash efficiency to go on with: stated, or tried and come back to; None where nothing is mashed."""
    if sheet.run.mash.efficiency is None:
        return None
    return stated_efficiency(sheet, "e") if not sheet.run.mash.predicted else _tried(sheet)


def efficiency(sheet: Sheet) -> Known | None:
    """The mash efficiency with the lines that come back to it; None where nothing is mashed."""
    found = tried_efficiency(sheet)
    if found is not None and sheet.run.mash.predicted:
        _come_back(sheet)
    return found


@part("Out of the grain")
def _tried(sheet: Sheet) -> Known:
    note = "tried: conversion times lauter efficiency, worked out further down with it, come back to it"
    return sheet.try_("e", "mash efficiency", sheet.run.mash.efficiency or 0.0, "1", note)


@part("Out of the grain")
def stated_efficiency(sheet: Sheet, symbol: str) -> Known:
    """Mash efficiency of the grain as it is weighed, from what the brewhouse states."""
    kit = sheet.plan.kit
    if kit.mash_efficiency is not None:
        stated = of_kit(sheet, "mash_efficiency")
    else:
        whole, kettle, loss = of_kit(sheet, "brewhouse_efficiency"), planned_kettle(sheet), kettle_loss(sheet)
        into = kettle.value - loss.value > 0.0
        formula = (
            f"{whole.symbol} * {kettle.symbol} / ({kettle.symbol} - {loss.symbol})" if into else whole.symbol
        )
        terms = (whole, kettle, loss) if into else (whole,)
        stated = sheet.put(
            "e_k", "mash efficiency of that brewhouse efficiency", formula, terms, "1", source=VOLUMES
        )
    words = "mash efficiency as stated"
    value = sheet.run.mash.efficiency
    if kit.efficiency_of == "as-is":
        return sheet.put(
            symbol, words, stated.symbol, (stated,), "1", value, note="stated of the grain as it is weighed"
        )
    parts: list[str] = []
    terms_dry: list[Known] = []
    for index in indices(sheet, "mash"):
        extract = potential(sheet, index)
        if sheet.plan.lines[index].key in GRAIN_KEYS:
            wet = moisture(sheet, index)
            parts.append(f"{extract.symbol} / (1 - {wet.symbol})")
            terms_dry += [extract, wet]
        else:
            parts.append(extract.symbol)
            terms_dry.append(extract)
    dry = sheet.put(
        "E_d", "extract if the grain held no water", " + ".join(parts), terms_dry, "kg", sheet.run.mash.potential_dry,
        EXTRACT,
    )  # fmt: skip
    plain = mash_potential(sheet)
    formula = f"{stated.symbol} * {dry.symbol} / {plain.symbol}"
    note = "stated of the yield on dry weight, so that it is a little higher of the grain as it is weighed"
    return sheet.put(symbol, words, formula, (stated, dry, plain), "1", value, EXTRACT, note)


# ---------------------------------------------------------------------- liquor


@part("Mash and run-off")
def liquor_needed(sheet: Sheet) -> Known:
    """Liquor of mash and sparge together."""
    share = need(tried_efficiency(sheet))
    wort = mash_wort(sheet, share)
    malt, kept, dead = grain(sheet), of_kit(sheet, "absorption"), of_kit(sheet, "dead_space")
    formula = f"{wort.symbol} + {kept.symbol} * {malt.symbol} + {dead.symbol}"
    words = "liquor of mash and sparge"
    return sheet.put("V_n", words, formula, (wort, kept, malt, dead), "L", sheet.run.mash.needed, VOLUMES)


@part("Mash and run-off")
def liquors(sheet: Sheet) -> tuple[Known, Known | None, Known]:
    """Strike liquor, what infusions add (None without any), and the sparge liquor."""
    needed = liquor_needed(sheet)
    strike, added = mash_liquor(sheet, grain(sheet), needed)
    less, more = (f" - {added.symbol}", (added,)) if added is not None else ("", ())
    formula = f"{needed.symbol} - {strike.symbol}{less}"
    words, value = "sparge liquor", sheet.run.mash.sparge
    if mashing.sparge_method(sheet.plan) == "none":
        return strike, added, sheet.given("V_r", words, value, "L", "nothing is sparged")
    sparge = sheet.put("V_r", words, formula, (needed, strike, *more), "L", value, VOLUMES, least=0.0)
    return strike, added, sparge


# ---------------------------------------------------------------------- conversion


@part("Mash and run-off")
def conversion(sheet: Sheet) -> Known:
    """Share of the potential that the mash dissolves."""
    usual = _usual_conversion(sheet)
    value = sheet.run.mash.conversion
    converted = sheet.run.mash.converted
    if converted.reached is None:
        whole = "the rests dissolve as much as a full mash" if converted.result is not None else ""
        return sheet.put("c", "conversion", usual.symbol, (usual,), "1", value, EXTRACT, whole)
    part = mean_reached(sheet)
    return sheet.put("c", "conversion", f"{usual.symbol} * {part.symbol}", (usual, part), "1", value, EXTRACT)


@part("Mash and run-off")
def _usual_conversion(sheet: Sheet) -> Known:
    """What a full mash dissolves: the brewhouse's figure, or the usual one by thickness."""
    if sheet.plan.kit.conversion is not None:
        return of_kit(sheet, "conversion")
    liquor, malt = _useful_liquor(sheet), grain(sheet)
    formula = f"0.95 - 0.05 * min(max((2.6 - {liquor.symbol} / {malt.symbol}) / 0.4, 0), 1)"
    source = "practitioners' reports; less for a very thick mash"
    return sheet.put("c_u", "usual conversion at this thickness", formula, (liquor, malt), "1", source=source)


@part("Mash and run-off")
def _useful_liquor(sheet: Sheet) -> Known:
    """Liquor in the mash, so far as it is needed."""
    strike, added, _ = liquors(sheet)
    needed = liquor_needed(sheet)
    plus, more = (f" + {added.symbol}", (added,)) if added is not None else ("", ())
    formula = f"min({strike.symbol}{plus}, {needed.symbol})"
    note = "what is more than is needed never reaches the kettle" if strike.value > needed.value else ""
    return sheet.put(
        "V_u", "liquor in the mash", formula, (strike, *more, needed), "L", source=VOLUMES, note=note
    )


# ---------------------------------------------------------------------- run-off


@part("Mash and run-off")
def lautered(sheet: Sheet) -> Known:
    """Share of what is dissolved that the run-off brings into the kettle."""
    plan = sheet.plan
    _, _, sparge = liquors(sheet)
    liquor, share, whole = _useful_liquor(sheet), conversion(sheet), mash_potential(sheet)
    dissolved = sheet.put(
        "D",
        "extract dissolved in the mash",
        f"{share.symbol} * {whole.symbol}",
        (share, whole),
        "kg",
        source=EXTRACT,
    )
    rho = water_density(sheet)
    method = mashing.sparge_method(plan)
    rinsed = method != "none" and sparge.value > NO_SPARGE
    formula = f"{liquor.symbol} * {rho.symbol}"
    water = sheet.put("W_1x", "water in the mash", formula, (liquor, rho), "kg", source=MASSES)
    held = retained(sheet, dissolved)
    rinses, source = _rinses(sheet, method) if rinsed else (0, "all liquor in the mash, one run-off")
    left: list[Known] = []
    extract = dissolved
    for number in range(1, rinses + 2):
        if number > 1:
            extract, water = _rinse(sheet, number, extract, water, left[-1], sparge, rinses)
        left.append(_left(sheet, number, extract, water, held))
    formula = "1 - " + " * ".join(known.symbol for known in left)
    value = sheet.run.mash.lauter
    most = lauter.FLY_CAP if rinsed and method == "fly" else None
    return sheet.put("q", "lauter efficiency", formula, left, "1", value, f"{RUN_OFF}; {source}", most=most)


def _rinses(sheet: Sheet, method: str) -> tuple[int, str]:
    if method == "fly":
        return (
            lauter.FLY_RUN_OFFS - 1,
            "a fly sparge counts as three run-offs and 95 % at most (common practice)",
        )
    sparge = sheet.plan.recipe.sparge
    count = max((sparge.rinses if sparge is not None else None) or 1, 1)
    return count, f"{count} equal rinse{'s' if count > 1 else ''}"


@part("Mash and run-off")
def retained(sheet: Sheet, dissolved: Known) -> Known:
    """Wort that stays with the grain and in the dead space."""
    malt, kept, dead = grain(sheet), of_kit(sheet, "absorption"), of_kit(sheet, "dead_space")
    room = constant(
        sheet, "k_e", "room that a kg of extract takes", lauter.EXTRACT_VOLUME, "L/kg", "density of wort"
    )
    formula = f"{kept.symbol} * {malt.symbol} + {dead.symbol} + {room.symbol} * {dissolved.symbol}"
    words = "wort that stays with the grain and in the dead space"
    return sheet.put("V_h", words, formula, (kept, malt, dead, room, dissolved), "L", source=VOLUMES)


def _left(sheet: Sheet, number: int, extract: Known, water: Known, held: Known) -> Known:
    """Share of what is in the mash vessel that stays there after a run-off."""
    what = "the wort in the mash" if number == 1 else f"the wort after rinse {number - 1}"
    volume = volume_of_masses(sheet, f"{number}x", what, extract, water)
    formula = f"{held.symbol} / {volume.symbol}"
    words = f"share left behind by run-off {number}"
    return sheet.put(f"q_{number}", words, formula, (held, volume), "1", source=RUN_OFF, most=1.0)


def _rinse(
    sheet: Sheet, number: int, extract: Known, water: Known, left: Known, sparge: Known, rinses: int
) -> tuple[Known, Known]:
    """What is in the mash vessel when the next rinse is in it."""
    words = f"rinse {number - 1}"
    formula = f"{extract.symbol} * {left.symbol}"
    kept = sheet.put(
        f"E_{number}x", f"extract left for {words}", formula, (extract, left), "kg", source=MASSES
    )
    rho = water_density(sheet)
    each = f"{sparge.symbol} / {rinses}" if rinses > 1 else sparge.symbol
    formula = f"{water.symbol} * {left.symbol} + {each} * {rho.symbol}"
    terms = (water, left, sparge, rho)
    return kept, sheet.put(f"W_{number}x", f"water with {words}", formula, terms, "kg", source=MASSES)


@part("Out of the grain")
def _come_back(sheet: Sheet) -> Known:
    """Conversion times lauter efficiency is the mash efficiency that was tried."""
    tried = _tried(sheet)
    dissolving = conversion(sheet)
    washing = lautered(sheet)
    formula = f"{dissolving.symbol} * {washing.symbol}"
    return sheet.put(
        "e_again", "mash efficiency", formula, (dissolving, washing), "1", source=EXTRACT, target=tried
    )


@part("Out of the grain")
def brewhouse_efficiency(sheet: Sheet) -> Known:
    """Share of the potential that reaches the fermenter."""
    share = need(efficiency(sheet))
    into = into_share(sheet, share)
    return sheet.put(
        "b", "brewhouse efficiency", f"{share.symbol} * {into.symbol}", (share, into), "1", source=EXTRACT
    )


@part("In the fermenter")
def into_share(sheet: Sheet, share: Known | None) -> Known:
    """Part of what is in the kettle at flame-out that reaches the fermenter."""
    loss, kettle = kettle_loss(sheet), kettle_volume(sheet, share)
    value = sheet.run.share_into_fermenter()
    words = "part of the kettle that reaches the fermenter"
    formula = f"1 - {loss.symbol} / {kettle.symbol}"
    return sheet.put("f", words, formula, (loss, kettle), "1", value, VOLUMES, least=0.0)
