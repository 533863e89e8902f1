"""Working of the stats of gravity, liquor, volume and efficiency, from the mash to the fermenter."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import mash, mashing, vessels
from recipelint.brewing.workings.fermenter import (
    all_volume,
    fermenter_volume,
    original_gravity,
    pitching_gravity,
    wort,
)
from recipelint.brewing.workings.givens import constant, of_kit, origin, water_density
from recipelint.brewing.workings.gravity import volume_of_masses
from recipelint.brewing.workings.lauter import (
    brewhouse_efficiency,
    conversion,
    efficiency,
    lautered,
    liquor_needed,
    liquors,
)
from recipelint.brewing.workings.liquor import grain, infusions, mash_volume, sparge_as_written
from recipelint.brewing.workings.sheet import PRACTICE, VOLUMES, Known, Sheet, need, part
from recipelint.brewing.workings.steep import steep_extract, steep_keeps, steep_kept, steep_poured
from recipelint.brewing.workings.wort import (
    SAME,
    evaporated,
    kettle_gravity,
    kettle_loss,
    kettle_volume,
    mash_water,
    planned_kettle,
    pre_boil_gravity,
    pre_boil_volume,
    wished_for,
)

RUN_OFF = "Mash and run-off"
VESSELS = "The vessels"


# ---------------------------------------------------------------------- liquor


@part(RUN_OFF)
def strike_and_infusions(sheet: Sheet) -> tuple[Known, Known | None]:
    """Strike liquor and what later steps add, with no more lines than it takes."""
    recipe = sheet.plan.recipe
    if sheet.run.mash.efficiency is None:
        return strike(sheet), None
    if recipe.mash is not None and recipe.mash.liquor is not None:
        where = origin(sheet, recipe.mash.liquor)
        struck = sheet.given("V_s", "strike liquor", sheet.run.mash.strike, "L", where)
        return struck, infusions(sheet, grain(sheet), struck)
    wort(sheet)
    struck, added, _ = liquors(sheet)
    return struck, added


@part(RUN_OFF)
def strike(sheet: Sheet) -> Known:
    """Strike liquor, or the liquor to begin with where nothing is mashed."""
    if sheet.run.mash.efficiency is not None:
        return strike_and_infusions(sheet)[0]
    wort(sheet)
    water, rho = mash_water(sheet, None), water_density(sheet)
    words = "liquor to begin with, nothing being mashed"
    steeped, kept = steep_extract(sheet), steep_kept(sheet)
    if steeped is not None and kept is not None:
        wort_off = volume_of_masses(sheet, "so", "the wort off the steep", steeped, water)
        formula = f"{wort_off.symbol} + {kept.symbol}"
        value = sheet.run.mash.strike
        return sheet.put("V_s", words, formula, (wort_off, kept), "L", value, VOLUMES)
    formula = f"{water.symbol} / {rho.symbol}"
    return sheet.put("V_s", words, formula, (water, rho), "L", sheet.run.mash.strike, VOLUMES)


@part(RUN_OFF)
def sparge(sheet: Sheet) -> Known:
    """Sparge liquor."""
    wort(sheet)
    return liquors(sheet)[2]


@part(RUN_OFF)
def in_mash(sheet: Sheet) -> Known:
    """All liquor in the mash."""
    struck, added = strike_and_infusions(sheet)
    return struck if added is None else sheet.sum("V_all", "liquor in the mash", [struck, added], "L")


@part(RUN_OFF)
def mash_room(sheet: Sheet) -> Known:
    """Volume of the mash with all liquor in."""
    if sheet.run.mash.efficiency is None:
        return sheet.given("V_mash", "volume of the mash", 0.0, "L", "nothing is mashed")
    struck, added = strike_and_infusions(sheet)
    return mash_volume(sheet, grain(sheet), struck, added, "V_mash", sheet.run.mash.mash_volume)


def _thickness(sheet: Sheet) -> Known:
    liquor, malt = in_mash(sheet), grain(sheet)
    words = "liquor for each kg of grain"
    return sheet.put(
        "R", words, f"{liquor.symbol} / {malt.symbol}", (liquor, malt), "L/kg", source="definition"
    )


def _dough_in_thickness(sheet: Sheet) -> Known:
    liquor, malt = strike(sheet), grain(sheet)
    words, formula = "strike liquor for each kg of grain", f"{liquor.symbol} / {malt.symbol}"
    return sheet.put("R_d", words, formula, (liquor, malt), "L/kg", source="definition")


def _infused(sheet: Sheet) -> Known:
    _, added = strike_and_infusions(sheet)
    if added is not None:
        return added
    return sheet.given("V_i", "liquor that later steps add", 0.0, "L", "no step adds any")


def _liquor_in_all(sheet: Sheet) -> Known:
    if wort(sheet) is None:
        return strike(sheet)
    needed, steep = liquor_needed(sheet), steep_poured(sheet)
    words = "liquor of mash, sparge and steep"
    return needed if steep is None else sheet.sum("V_a", words, [needed, steep], "L")


def _grain_keeps(sheet: Sheet) -> Known:
    steep = steep_keeps(sheet)
    if sheet.run.mash.efficiency is None:
        return need(steep)
    malt, kept, dead = grain(sheet), of_kit(sheet, "absorption"), of_kit(sheet, "dead_space")
    plus, more = (f" + {steep.symbol}", (steep,)) if steep is not None else ("", ())
    formula = f"{kept.symbol} * {malt.symbol} + {dead.symbol}{plus}"
    words = "liquor that the grain and the dead space keep"
    return sheet.put("V_g", words, formula, (kept, malt, dead, *more), "L", source=VOLUMES)


@part(RUN_OFF)
def _volume_gap(sheet: Sheet) -> Known:
    """Strike liquor, infusions and the sparge liquor that is written, less what the batch needs."""
    wort(sheet)
    liquor, needed = in_mash(sheet), liquor_needed(sheet)
    formula, more = f"{liquor.symbol} - {needed.symbol}", [liquor, needed]
    least, note = None, ""
    written = sparge_as_written(sheet)
    if written is not None:
        formula, more = f"{liquor.symbol} + {written.symbol} - {needed.symbol}", [liquor, written, needed]
    elif not mashing.closed(sheet.plan):
        least, note = 0.0, "the sparge is left open and takes what is missing"
    words = "liquor poured beyond what is needed"
    return sheet.put("V_x", words, formula, more, "L", source=VOLUMES, note=note, least=least)


def _collect_gap(sheet: Sheet) -> Known:
    volume = pre_boil_volume(sheet, wort(sheet))
    boil = sheet.plan.recipe.boil
    asked = (boil.collect or boil.volume) if boil is not None else None
    assert asked is not None
    written = sheet.given("V_c", "volume to collect, as written", asked.value, "L", origin(sheet, asked))
    formula = f"{written.symbol} - {volume.symbol}"
    words = "volume to collect beyond what is needed"
    return sheet.put("V_x", words, formula, (written, volume), "L", source=VOLUMES)


# ---------------------------------------------------------------------- vessels


@part(VESSELS)
def _hot_kettle(sheet: Sheet) -> Known:
    """The kettle at its fullest, hot."""
    share = wort(sheet)
    before, after = pre_boil_volume(sheet, share), kettle_volume(sheet, share)
    words = "volume in the kettle at its fullest, at 20 °C"
    return sheet.put(
        "V_top", words, f"max({before.symbol}, {after.symbol})", (before, after), "L", source=VOLUMES
    )


@part(VESSELS)
def _kettle_fill(sheet: Sheet) -> Known:
    full, size = _hot_kettle(sheet), of_kit(sheet, "kettle_capacity")
    source = "water shrinks by 4 % from boiling heat to 20 °C (common practice)"
    formula = f"{full.symbol} / 0.96 / {size.symbol}"
    return sheet.put("x", "fill of the kettle, hot", formula, (full, size), "1", source=source)


def _fill(room: Callable[[Sheet], Known], name: str, vessel: str) -> Callable[[Sheet], Known]:
    @part(VESSELS)
    def chain(sheet: Sheet) -> Known:
        volume, size = room(sheet), of_kit(sheet, name)
        formula = f"{volume.symbol} / {size.symbol}"
        return sheet.put("x", f"fill of the {vessel}", formula, (volume, size), "1", source="definition")

    return chain


@part(VESSELS)
def _batch_that_fits(sheet: Sheet) -> Known:
    """The batch that the tightest vessel holds."""
    times = {vessel for vessel, _ in vessels.times_that_fit(sheet.run)}
    found: list[Known] = []
    if "mash tun" in times:
        found.append(
            _times(sheet, "m", "mash tun", mash_room(sheet), of_kit(sheet, "mash_capacity"), mash.MASH_FREE)
        )
    if "kettle" in times:
        found.append(_times_kettle(sheet))
    if "fermenter" in times:
        house = sheet.plan.brewhouse
        tube = house is not None and house.fermenter is not None and house.fermenter.blow_off
        free = 0.0 if tube else vessels.FERMENTER_FREE
        size = of_kit(sheet, "fermenter_capacity")
        found.append(_times(sheet, "f", "fermenter", all_volume(sheet), size, free))
    wish = wished_for(sheet)
    least = f"min({', '.join(known.symbol for known in found)})" if len(found) > 1 else found[0].symbol
    words = "largest batch that the vessels hold"
    terms, value = (wish, *found), vessels.batch_that_fits(sheet.run)[0]
    return sheet.put(
        "V_fit", words, f"{wish.symbol} * {least}", terms, "L", value, "the tightest vessel decides"
    )


def _free(sheet: Sheet, tag: str, vessel: str, free: float) -> Known:
    ground = PRACTICE if free > 0.0 else "a blow-off tube lets it be filled"
    return constant(sheet, f"k_{tag}", f"part of the {vessel} that is left free", free, "1", ground)


def _times(sheet: Sheet, tag: str, vessel: str, volume: Known, size: Known, free: float) -> Known:
    left = _free(sheet, f"{tag}f", vessel, free)
    formula = f"{size.symbol} * (1 - {left.symbol}) / {volume.symbol}"
    words = f"how many times this batch the {vessel} holds"
    return sheet.put(f"n_{tag}", words, formula, (size, left, volume), "1", source=VOLUMES)


def _times_kettle(sheet: Sheet) -> Known:
    """The kettle's boil-off and loss stay as they are, whatever the batch, where the brewhouse fixes them."""
    kit = sheet.plan.kit
    full, size = _hot_kettle(sheet), of_kit(sheet, "kettle_capacity")
    left = _free(sheet, "kf", "kettle", vessels.KETTLE_FREE)
    fixed: list[str] = []
    terms = [size, left, full]
    if kit.boil_off_given:
        steam, rho = evaporated(sheet), water_density(sheet)
        fixed.append(f"{steam.symbol} / {rho.symbol}")
        terms += [steam, rho]
    if kit.loss:
        loss = of_kit(sheet, "loss")
        fixed.append(loss.symbol)
        terms.append(loss)
    less = f" - {' - '.join(fixed)}" if fixed else ""
    room = f"{size.symbol} * (1 - {left.symbol}) * 0.96{less}"
    formula = f"({room}) / ({full.symbol}{less})"
    words = "how many times this batch the kettle holds, hot"
    note = "boil-off and loss stay as they are" if fixed else ""
    return sheet.put("n_k", words, formula, terms, "1", source=VOLUMES, note=note, least=0.0)


def _kettle_volume(sheet: Sheet) -> Known:
    planned, value = planned_kettle(sheet), sheet.run.kettle.volume
    as_planned = abs(planned.value - value) <= SAME * max(value, 1.0)
    return planned if as_planned else kettle_volume(sheet, wort(sheet))


@part(VESSELS)
def _boil_off_share(sheet: Sheet) -> Known:
    volume, rate, rho = pre_boil_volume(sheet, wort(sheet)), of_kit(sheet, "boil_off"), water_density(sheet)
    formula = f"{rate.symbol} * {rho.symbol} / {volume.symbol}"
    words = "water boiled away in an hour, over the volume before the boil"
    return sheet.put("x", words, formula, (rate, rho, volume), "1/h", source="definition")


def _mash_efficiency(sheet: Sheet) -> Known:
    wort(sheet)
    return need(efficiency(sheet))


def _of_wort(find: Callable[[Sheet], Known]) -> Callable[[Sheet], Known]:
    def chain(sheet: Sheet) -> Known:
        wort(sheet)
        return find(sheet)

    return chain


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "pre_boil_gravity": lambda sheet: pre_boil_gravity(sheet, wort(sheet)),
    "kettle_gravity": lambda sheet: kettle_gravity(sheet, wort(sheet)),
    "pitching_gravity": pitching_gravity,
    "original_gravity": original_gravity,
    "strike_liquor": strike,
    "infusion_liquor": _infused,
    "sparge_liquor": sparge,
    "steep_liquor": lambda sheet: need(steep_poured(sheet)),
    "liquor_in_all": _liquor_in_all,
    "grain_keeps": _grain_keeps,
    "mash_volume": mash_room,
    "dough_in_thickness": _dough_in_thickness,
    "mash_thickness": _thickness,
    "volume_gap": _volume_gap,
    "collect_gap": _collect_gap,
    "pre_boil_volume": lambda sheet: pre_boil_volume(sheet, wort(sheet)),
    "kettle_volume": _kettle_volume,
    "kettle_loss": kettle_loss,
    "fermenter_volume": fermenter_volume,
    "mash_fill": _fill(mash_room, "mash_capacity", "mash tun"),
    "kettle_fill": _kettle_fill,
    "fermenter_fill": _fill(all_volume, "fermenter_capacity", "fermenter"),
    "batch_that_fits": _batch_that_fits,
    "boil_off_share": _boil_off_share,
    "conversion": _of_wort(conversion),
    "lauter_efficiency": _of_wort(lautered),
    "mash_efficiency": _mash_efficiency,
    "brewhouse_efficiency": _of_wort(brewhouse_efficiency),
}
