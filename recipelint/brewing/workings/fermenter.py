"""Working of the wort in the fermenter, and of the stats of gravity, volume and efficiency up to there."""

from __future__ import annotations

from recipelint.brewing.gravity import density as density_of
from recipelint.brewing.gravity import extract_per_litre as extract_of
from recipelint.brewing.plan import KETTLE, STAGED
from recipelint.brewing.process import STARTER_LEFT
from recipelint.brewing.workings.givens import (
    ASSUMED,
    constant,
    indices,
    origin,
    potential,
    water_density,
    water_of,
)
from recipelint.brewing.workings.gravity import (
    DENSITY,
    density,
    extract_per_litre,
    gravity_of_masses,
    volume_of_masses,
)
from recipelint.brewing.workings.lauter import (
    efficiency,
    into_share,
    liquors,
    tried_efficiency,
)
from recipelint.brewing.workings.liquor import grain
from recipelint.brewing.workings.sheet import MASSES, MEMORY, PRACTICE, Known, Sheet, once, part
from recipelint.brewing.workings.wort import (
    kettle_extract,
    kettle_water,
    mash_potential,
    mash_wort,
    planned_kettle,
    top_up,
)

FERMENTER = "In the fermenter"
HOT = "water shrinks by 4 % from boiling heat to 20 °C (common practice)"


@once
def wort(sheet: Sheet) -> Known | None:
    """All that leads to the wort in the kettle, in the order of the day; the mash efficiency, if there is a mash."""
    planned_kettle(sheet)
    for index in indices(sheet, "mash", "steep", *sorted(KETTLE)):
        potential(sheet, index)
        if sheet.plan.lines[index].stage in KETTLE and sheet.plan.lines[index].water > 0.0:
            water_of(sheet, index)
    if sheet.run.mash.efficiency is not None:
        mash_potential(sheet)
        grain(sheet)
    share = tried_efficiency(sheet)
    kettle_extract(sheet, share)
    if share is not None and sheet.run.mash.predicted:
        mash_wort(sheet, share)
        liquors(sheet)
        efficiency(sheet)
    return share


# ---------------------------------------------------------------------- masses in the fermenter


@part(FERMENTER)
def run_in_extract(sheet: Sheet) -> Known:
    """Extract of the wort that runs into the fermenter."""
    share = wort(sheet)
    extract, into = kettle_extract(sheet, share), into_share(sheet, share)
    formula, value = f"{extract.symbol} * {into.symbol}", sheet.run.fermenter.extract
    return sheet.put("E_f", "extract into the fermenter", formula, (extract, into), "kg", value, MASSES)


@part(FERMENTER)
def run_in_water(sheet: Sheet) -> Known:
    """Water of the wort that runs into the fermenter, and of the top-up."""
    share = wort(sheet)
    water, into, added = kettle_water(sheet, share), into_share(sheet, share), top_up(sheet)
    formula, terms = f"{water.symbol} * {into.symbol}", [water, into]
    if added is not None:
        rho = water_density(sheet)
        formula, terms = f"{formula} + {added.symbol} * {rho.symbol}", [*terms, added, rho]
    value = sheet.run.fermenter.water
    return sheet.put("W_f", "water into the fermenter", formula, terms, "kg", value, MASSES)


@part(FERMENTER)
def starters(sheet: Sheet) -> list[tuple[Known, Known]]:
    """Extract and water of each starter that goes in whole."""
    found: list[tuple[Known, Known]] = []
    for number, (pitch, item) in enumerate(zip(sheet.plan.cultures, sheet.plan.recipe.yeast, strict=True), 1):
        starter = item.starter
        if pitch.starter_volume <= 0.0 or pitch.stage != "pitch" or starter is None or starter.volume is None:
            continue
        volume = sheet.given(
            f"V_u{number}",
            f"starter of {pitch.name}",
            pitch.starter_volume,
            "L",
            origin(sheet, starter.volume),
        )
        where = origin(sheet, starter.gravity) if starter.gravity is not None else f"{ASSUMED}: {PRACTICE}"
        sg = sheet.given(f"s_u{number}", "gravity of its wort", pitch.starter_gravity, "SG", where)
        held = sheet.put(
            f"E_v{number}", "extract that it was made of",
            f"{volume.symbol} * {extract_per_litre(sg.symbol, sg.value)}", (volume, sg), "kg",
            pitch.starter_volume * extract_of(pitch.starter_gravity), DENSITY,
        )  # fmt: skip
        left = constant(sheet, "k_u", "part of a starter's extract that is left", STARTER_LEFT, "1", MEMORY)
        extract = sheet.put(
            f"E_u{number}", "extract that it brings", f"{left.symbol} * {held.symbol}", (left, held), "kg",
            source=MASSES,
        )  # fmt: skip
        water = sheet.put(
            f"W_u{number}", "water that it brings", f"{volume.symbol} * {density(sg.symbol)} - {held.symbol}",
            (volume, sg, held), "kg", pitch.starter_volume * density_of(pitch.starter_gravity) - held.value, MASSES,
        )  # fmt: skip
        found.append((extract, water))
    return found


@part(FERMENTER)
def pitched(sheet: Sheet) -> tuple[Known, Known]:
    """Extract and water at pitching."""
    extract, water = run_in_extract(sheet), run_in_water(sheet)
    more = starters(sheet)
    if not more:
        return extract, water
    station = sheet.run.fermenter
    return (
        sheet.sum(
            "E_s", "extract at pitching", [extract, *(row[0] for row in more)], "kg", station.pitch_extract
        ),
        sheet.sum("W_s", "water at pitching", [water, *(row[1] for row in more)], "kg", station.pitch_water),
    )


@part(FERMENTER)
def all_in(sheet: Sheet) -> tuple[Known, Known]:
    """Extract and water with all sugar and fruit in."""
    extract, water = pitched(sheet)
    staged = indices(sheet, *sorted(STAGED))
    if not staged:
        return extract, water
    station = sheet.run.fermenter
    extracts = [extract, *(potential(sheet, index) for index in staged)]
    waters = [water, *(water_of(sheet, index) for index in staged if sheet.plan.lines[index].water > 0.0)]
    whole = sheet.sum("E_a", "extract with all sugar and fruit in", extracts, "kg", station.all_extract)
    if len(waters) == 1:
        return whole, water
    return whole, sheet.sum("W_a", "water with all sugar and fruit in", waters, "kg", station.all_water)


_WORT = "the wort in the fermenter"
_PITCHED = "the wort at pitching"
_ALL = "the wort, all sugar in"


def _tag(sheet: Sheet, which: tuple[Known, Known]) -> tuple[str, str]:
    """One wort is called by one name: that of the first station at which it is what it is."""
    if which == (run_in_extract(sheet), run_in_water(sheet)):
        return "w", _WORT
    return ("st", _PITCHED) if which == pitched(sheet) else ("a", _ALL)


@part(FERMENTER)
def pitching_gravity(sheet: Sheet) -> Known:
    """Gravity at pitching."""
    return gravity_of_masses(sheet, *_tag(sheet, pitched(sheet)), *pitched(sheet))


@part(FERMENTER)
def original_gravity(sheet: Sheet) -> Known:
    """Gravity with all sugar and fruit in."""
    return gravity_of_masses(sheet, *_tag(sheet, all_in(sheet)), *all_in(sheet))


@part(FERMENTER)
def fermenter_volume(sheet: Sheet) -> Known:
    """Volume of the wort that runs into the fermenter."""
    which = run_in_extract(sheet), run_in_water(sheet)
    return volume_of_masses(sheet, *_tag(sheet, which), *which)


@part(FERMENTER)
def all_volume(sheet: Sheet) -> Known:
    """Volume in the fermenter with all sugar and fruit in."""
    return volume_of_masses(sheet, *_tag(sheet, all_in(sheet)), *all_in(sheet))


@part(FERMENTER)
def pitch_volume(sheet: Sheet) -> Known:
    """Volume at pitching."""
    return volume_of_masses(sheet, *_tag(sheet, pitched(sheet)), *pitched(sheet))
