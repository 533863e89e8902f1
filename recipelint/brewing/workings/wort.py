"""Working of the wort: volumes and losses, the extract and water in the kettle, and what the mash must give for it."""

from __future__ import annotations

from recipelint.brewing import lauter
from recipelint.brewing.inputs import is_late
from recipelint.brewing.kit import KETTLE_LOSS_PER_MALT
from recipelint.brewing.plan import CONE_SOAK, KETTLE, PELLET_SOAK
from recipelint.brewing.workings.givens import (
    boil_minutes,
    constant,
    hop_weight,
    indices,
    of_kit,
    origin,
    potential,
    water_density,
    water_of,
)
from recipelint.brewing.workings.gravity import (
    gravity_in_volume,
    gravity_of_masses,
    volume_of_masses,
    water_beside,
)
from recipelint.brewing.workings.liquor import grain
from recipelint.brewing.workings.sheet import EXTRACT, MASSES, MEMORY, VOLUMES, Known, Sheet, part, summed
from recipelint.brewing.workings.steep import steep_extract, steep_water
from recipelint.brewing.wort import wished_kettle

SAME = 1e-7  # relative; two volumes nearer than that are one
_KETTLE_HOPS = ("boil", "first_wort", "whirlpool")


# ---------------------------------------------------------------------- losses and the volumes wished for


@part("Losses and volumes")
def hop_soak(sheet: Sheet) -> Known | None:
    """Wort that the hops of the kettle hold; None without any."""
    hops = sheet.plan.hops
    rows = [index for index, hop in enumerate(hops) if hop.stage in _KETTLE_HOPS and hop.form != "extract"]
    if not rows:
        return None
    parts: list[str] = []
    terms: list[Known] = []
    for cones, each in (
        (False, ("k_p", "wort that pellets hold", PELLET_SOAK, MEMORY)),
        (True, ("k_c", "wort that cones hold", CONE_SOAK, "measured at 4.86 g a gram by a practitioner")),
    ):
        own = [hop_weight(sheet, index) for index in rows if (hops[index].form == "cone") is cones]
        if own:
            symbol, words, value, ground = each
            soak = constant(sheet, symbol, words, value, "L/kg", ground)
            parts.append(f"{soak.symbol} * {summed(hop.symbol for hop in own)}")
            terms += [soak, *own]
    return sheet.put("L_h", "wort held by the hops", " + ".join(parts), terms, "L")


@part("Losses and volumes")
def kettle_loss(sheet: Sheet) -> Known:
    """Wort that does not reach the fermenter."""
    soak = hop_soak(sheet)
    if sheet.plan.kit.loss is not None:
        dregs = of_kit(sheet, "loss")
        formula, terms = dregs.symbol, [dregs]
    else:
        each = constant(
            sheet,
            "k_d",
            "break and dregs for each kg of malt",
            KETTLE_LOSS_PER_MALT,
            "L/kg",
            "a practitioner's log",
        )
        malt = grain(sheet)
        formula, terms = f"{each.symbol} * {malt.symbol}", [each, malt]
    if soak is not None:
        formula, terms = f"{formula} + {soak.symbol}", [*terms, soak]
    return sheet.put("L", "wort left in the kettle", formula, terms, "L", sheet.run.kettle.lost, VOLUMES)


@part("Losses and volumes")
def wished_for(sheet: Sheet) -> Known:
    """The volume of the batch where it is counted."""
    batch = sheet.plan.recipe.batch
    where = origin(sheet, batch.volume, f"{batch.at}/volume") if batch.volume is not None else batch.at
    words = f"volume of the batch, into the {sheet.plan.into}"
    return sheet.given("V_b", words, sheet.plan.wish, "L", where)


@part("Losses and volumes")
def into_fermenter(sheet: Sheet) -> Known:
    """The volume into the fermenter that is planned for."""
    wish = wished_for(sheet)
    if sheet.plan.into == "fermenter":
        return wish
    note = f"tried until {wish.value:g} L are packaged (/batch/volume, into the package)"
    return sheet.try_("V_wish", "volume into the fermenter", sheet.plan.fermenter_wish or 0.0, "L", note)


@part("Losses and volumes")
def top_up(sheet: Sheet) -> Known | None:
    """Water that is run in after the boil; None without any."""
    plan = sheet.plan
    written = plan.recipe.top_up
    if plan.top_up is not None and written is not None and written.volume is not None:
        return sheet.given("V_t", "top-up after the boil", plan.top_up, "L", origin(sheet, written.volume))
    planned_kettle(sheet)
    found: Known | None = sheet.kept.get("top-up")  # type: ignore[assignment]
    return found


@part("Losses and volumes")
def planned_kettle(sheet: Sheet) -> Known:
    """The volume at flame-out that is planned for."""
    plan = sheet.plan
    value, water = wished_kettle(plan)
    if plan.into == "kettle":
        return wished_for(sheet)
    wanted, loss = into_fermenter(sheet), kettle_loss(sheet)
    words = "volume in the kettle at flame-out"
    if plan.top_up is not None:
        added = top_up(sheet)
        assert added is not None
        formula = f"{wanted.symbol} + {loss.symbol} - {added.symbol}"
        return sheet.put("V_k", words, formula, (wanted, loss, added), "L", value, VOLUMES, least=0.0)
    if plan.boil_volume is None:
        return sheet.put(
            "V_k", words, f"{wanted.symbol} + {loss.symbol}", (wanted, loss), "L", value, VOLUMES
        )
    boil = plan.recipe.boil
    assert boil is not None and boil.volume is not None
    start = sheet.given(
        "V_bv", "volume before the boil, as written", plan.boil_volume, "L", origin(sheet, boil.volume)
    )
    rate, minutes = of_kit(sheet, "boil_off"), boil_minutes(sheet)
    late = [potential(sheet, index) for index, line in enumerate(plan.lines) if is_late(plan, line)]
    room = constant(
        sheet, "k_e", "room that a kg of extract takes", lauter.EXTRACT_VOLUME, "L/kg", "density of wort"
    )
    more = f" + {room.symbol} * {summed(term.symbol for term in late)}" if late else ""
    plain = f"max({start.symbol} - {rate.symbol} * {minutes.symbol} / 60{more}, 0)"
    formula = f"min({plain}, {wanted.symbol} + {loss.symbol})"
    terms = (start, rate, minutes, *((room, *late) if late else ()), wanted, loss)
    kettle = sheet.put("V_k", words, formula, terms, "L", value, VOLUMES)
    sheet.kept["top-up"] = sheet.put(
        "V_t", "top-up after the boil", f"{wanted.symbol} + {loss.symbol} - {kettle.symbol}", (wanted, loss, kettle),
        "L", water, VOLUMES,
    )  # fmt: skip
    return kettle


# ---------------------------------------------------------------------- what is in the kettle


@part("The bill")
def mash_potential(sheet: Sheet) -> Known:
    """Extract that everything in the mash could give."""
    terms = [potential(sheet, index) for index in indices(sheet, "mash")]
    return sheet.sum("E_p", "extract that the mash could give", terms, "kg", sheet.run.mash.potential)


@part("In the kettle")
def mash_extract(sheet: Sheet, efficiency: Known) -> Known:
    """Extract that the mash brings into the kettle."""
    whole = mash_potential(sheet)
    formula = f"{whole.symbol} * {efficiency.symbol}"
    return sheet.put(
        "E_m", "extract from the mash", formula, (whole, efficiency), "kg", sheet.run.mash.extract, EXTRACT
    )


def _kettle_lines(sheet: Sheet, late: bool) -> list[int]:
    plan = sheet.plan
    return [index for index in indices(sheet, *KETTLE) if is_late(plan, plan.lines[index]) is late]


@part("In the kettle")
def pre_boil_extract(sheet: Sheet, efficiency: Known | None) -> Known:
    """Extract in the kettle before the boil: from the mash, steeped, and what goes in early."""
    terms: list[Known] = []
    parts: list[str] = []
    if efficiency is not None:
        terms.append(mash_extract(sheet, efficiency))
        parts.append(terms[0].symbol)
    steeped = steep_extract(sheet)
    if steeped is not None:
        terms.append(steeped)
        parts.append(steeped.symbol)
    early = [potential(sheet, index) for index in _kettle_lines(sheet, False)]
    terms += early
    parts += [term.symbol for term in early]
    if len(terms) == 1:
        return terms[0]
    formula = " + ".join(parts) or "0"
    value = sheet.run.kettle.pre_extract
    return sheet.put("E_pre", "extract in the kettle before the boil", formula, terms, "kg", value, EXTRACT)


@part("In the kettle")
def kettle_extract(sheet: Sheet, efficiency: Known | None) -> Known:
    """Extract in the kettle at flame-out."""
    before = pre_boil_extract(sheet, efficiency)
    late = [potential(sheet, index) for index in _kettle_lines(sheet, True)]
    if not late:
        return before
    value = sheet.run.kettle.extract
    return sheet.sum("E_k", "extract in the kettle at flame-out", [before, *late], "kg", value)


@part("In the kettle")
def evaporated(sheet: Sheet) -> Known:
    """Water that boils away."""
    rate, minutes, rho = of_kit(sheet, "boil_off"), boil_minutes(sheet), water_density(sheet)
    formula = f"{rate.symbol} * {minutes.symbol} / 60 * {rho.symbol}"
    value = sheet.run.kettle.evaporated
    return sheet.put("W_e", "water boiled away", formula, (rate, minutes, rho), "kg", value, MASSES)


@part("In the kettle")
def water_brought(sheet: Sheet, late: bool) -> Known | None:
    """Water that comes with sugar, syrup and malt extract; None without any."""
    rows = [index for index in _kettle_lines(sheet, late) if sheet.plan.lines[index].water > 0.0]
    if not rows:
        return None
    symbol, when = ("W_late", "during the boil") if late else ("W_early", "before the boil")
    return sheet.sum(
        symbol, f"water that comes with what goes in {when}", [water_of(sheet, row) for row in rows], "kg"
    )


@part("In the kettle")
def planned_water(sheet: Sheet, efficiency: Known | None) -> Known:
    """Water in the planned volume at flame-out."""
    extract = kettle_extract(sheet, efficiency)
    return water_beside(sheet, "k", "the wort at flame-out", extract, planned_kettle(sheet))


@part("In the kettle")
def mash_water(sheet: Sheet, efficiency: Known | None) -> Known:
    """Water that must come off the mash, or be run into the kettle where nothing is mashed."""
    goal, steam = planned_water(sheet, efficiency), evaporated(sheet)
    ways = (steep_water(sheet), water_brought(sheet, False), water_brought(sheet, True))
    brought = [known for known in ways if known is not None]
    less = "".join(f" - {known.symbol}" for known in brought)
    formula = f"{goal.symbol} + {steam.symbol}{less}"
    words = "water that must come off the mash" if efficiency is not None else "water run into the kettle"
    return sheet.put(
        "W_m", words, formula, (goal, steam, *brought), "kg", sheet.run.mash.water, MASSES, least=0.0
    )


@part("In the kettle")
def pre_boil_water(sheet: Sheet, efficiency: Known | None) -> Known:
    """Water in the kettle before the boil."""
    ways = (mash_water(sheet, efficiency), steep_water(sheet), water_brought(sheet, False))
    terms = [known for known in ways if known is not None]
    value = sheet.run.kettle.pre_water if len(terms) > 1 else None
    return sheet.sum("W_pre", "water in the kettle before the boil", terms, "kg", value)


@part("In the kettle")
def kettle_water(sheet: Sheet, efficiency: Known | None) -> Known:
    """Water in the kettle at flame-out: as planned, unless there was more than the plan has room for."""
    goal = planned_water(sheet, efficiency)
    value = sheet.run.kettle.water
    if abs(goal.value - value) <= SAME * max(value, 1.0):
        return goal
    before, steam, late = pre_boil_water(sheet, efficiency), evaporated(sheet), water_brought(sheet, True)
    plus, more = (f" + {late.symbol}", (late,)) if late is not None else ("", ())
    return sheet.put(
        "W_z", "water in the kettle at flame-out, which is not as planned",
        f"{before.symbol}{plus} - {steam.symbol}", (before, *more, steam), "kg", value, MASSES, least=0.0,
    )  # fmt: skip


@part("In the kettle")
def kettle_volume(sheet: Sheet, efficiency: Known | None) -> Known:
    """Volume in the kettle at flame-out."""
    planned = planned_kettle(sheet)
    value = sheet.run.kettle.volume
    if abs(planned.value - value) <= SAME * max(value, 1.0):
        return planned
    extract, water = kettle_extract(sheet, efficiency), kettle_water(sheet, efficiency)
    return volume_of_masses(sheet, "z", "the wort at flame-out", extract, water, value)


@part("In the kettle")
def kettle_gravity(sheet: Sheet, efficiency: Known | None) -> Known:
    """Gravity at flame-out."""
    extract, water = kettle_extract(sheet, efficiency), kettle_water(sheet, efficiency)
    if water == planned_water(sheet, efficiency):
        return gravity_in_volume(sheet, "k", "the wort at flame-out", extract, planned_kettle(sheet))
    return gravity_of_masses(sheet, "z", "the wort at flame-out", extract, water)


@part("In the kettle")
def pre_boil_gravity(sheet: Sheet, efficiency: Known | None) -> Known:
    """Gravity before the boil."""
    extract, water = pre_boil_extract(sheet, efficiency), pre_boil_water(sheet, efficiency)
    return gravity_of_masses(sheet, *_pre_boil_name(extract, water), extract, water)


@part("In the kettle")
def pre_boil_volume(sheet: Sheet, efficiency: Known | None) -> Known:
    """Volume before the boil."""
    extract, water = pre_boil_extract(sheet, efficiency), pre_boil_water(sheet, efficiency)
    value = sheet.run.kettle.pre_volume
    return volume_of_masses(sheet, *_pre_boil_name(extract, water), extract, water, value)


def _pre_boil_name(extract: Known, water: Known) -> tuple[str, str]:
    """The wort off the mash is the wort before the boil where nothing else goes in before it."""
    if (extract.symbol, water.symbol) == ("E_m", "W_m"):
        return "m", "the wort off the mash"
    return "pre", "the wort before the boil"


@part("In the kettle")
def mash_wort(sheet: Sheet, efficiency: Known) -> Known:
    """Volume of the wort that the mash gives."""
    extract, water = mash_extract(sheet, efficiency), mash_water(sheet, efficiency)
    value = sheet.run.mash.volume
    return volume_of_masses(sheet, "m", "the wort off the mash", extract, water, value)
