"""Working of the beer: what it weighs and holds when so much has fermented, and what is left to package."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from recipelint.brewing.gravity import sg_of
from recipelint.brewing.inputs import DRY_HOPPED
from recipelint.brewing.plan import DRY_HOP_SOAK, GRAIN_KEYS
from recipelint.brewing.process import Run
from recipelint.brewing.workings.enzymes import attenuation_limit
from recipelint.brewing.workings.fermentation import (
    BALLING,
    BEER,
    OIML,
    TABARIE,
    alcohol_gravity,
    fermented,
    original_strength,
)
from recipelint.brewing.workings.fermenter import (
    all_volume,
    original_gravity,
)
from recipelint.brewing.workings.givens import (
    constant,
    hop_weight,
    of_kit,
    potential,
)
from recipelint.brewing.workings.gravity import (
    ASBC,
    DENSITY,
    density,
    extract_per_litre,
    plato,
)
from recipelint.brewing.workings.sheet import EXTRACT, MASSES, VOLUMES, Known, Sheet, part, summed

# ---------------------------------------------------------------------- what it then weighs and holds


class Fermented(NamedTuple):
    """A wort of which a share has fermented: its strength, the share, and a tag for the symbols of its lines."""

    tag: str
    what: str
    strength: Known
    share: Known


def _beer(sheet: Sheet) -> Fermented:
    """The beer when it has finished."""
    return Fermented("", "the beer", original_strength(sheet), fermented(sheet))


@part(BEER)
def ethanol_of(sheet: Sheet, beer: Fermented) -> Known:
    """Ethanol (g) from 100 g of wort."""
    whole, share = beer.strength, beer.share
    words, formula = "extract consumed, of 100 g of wort", f"{whole.symbol} * {share.symbol}"
    gone = sheet.put(f"c_x{beer.tag}", words, formula, (whole, share), "g", source=EXTRACT)
    formula = f"{gone.symbol} / 2.0665"
    return sheet.put(f"a_g{beer.tag}", "ethanol from it", formula, (gone,), "g", source=BALLING)


@part(BEER)
def mass_of(sheet: Sheet, beer: Fermented) -> Known:
    """Beer (g) from 100 g of wort."""
    spirit = ethanol_of(sheet, beer)
    words, formula = "beer from 100 g of wort", f"100 - 1.0665 * {spirit.symbol}"
    return sheet.put(f"b_g{beer.tag}", words, formula, (spirit,), "g", source=BALLING)


@part(BEER)
def by_weight_of(sheet: Sheet, beer: Fermented) -> Known:
    """Alcohol by weight."""
    spirit, mass = ethanol_of(sheet, beer), mass_of(sheet, beer)
    formula = f"{spirit.symbol} / {mass.symbol}"
    return sheet.put(f"a_w{beer.tag}", "alcohol by weight", formula, (spirit, mass), "1", source=MASSES)


@part(BEER)
def left_of(sheet: Sheet, beer: Fermented) -> Known:
    """Extract left, as a share of the beer's mass."""
    whole, share, mass = beer.strength, beer.share, mass_of(sheet, beer)
    words, formula = (
        f"extract left in {beer.what}, by weight",
        f"{whole.symbol} * (1 - {share.symbol}) / {mass.symbol}",
    )
    return sheet.put(f"x_r{beer.tag}", words, formula, (whole, share, mass), "1", source=MASSES)


@part(BEER)
def gravity_of(sheet: Sheet, beer: Fermented, value: float) -> tuple[Known, Known]:
    """Gravity of a beer as it is tried, and as what is in it comes back to."""
    tag, spirit, left = beer.tag, by_weight_of(sheet, beer), left_of(sheet, beer)
    note = "tried until extract and alcohol together weigh as much"
    tried = sheet.try_(f"s_g{tag}", f"gravity of {beer.what}", value, "SG", note)
    weight = density_of(sheet, tag, tried)
    words, formula = "extract left in a litre", f"{left.symbol} * {weight.symbol}"
    held = sheet.put(f"x_v{tag}", words, formula, (left, weight), "kg/L", source=MASSES)
    found = sg_of(held.value, 1.0)
    symbol, words = f"s_gx{tag}", "gravity of that extract in water"
    formula = extract_per_litre(symbol, found)
    sweet = sheet.solve(symbol, words, formula, (), "SG", found, held, f"{ASBC} and density, solved")
    share = by_volume_of(sheet, tag, spirit, weight)
    words, formula = "gravity of that alcohol in water", alcohol_gravity(share.symbol)
    light = sheet.put(f"s_ga{tag}", words, formula, (share,), "SG", source=OIML)
    symbol, formula = f"s_g{tag}_again", f"{sweet.symbol} + {light.symbol} - 1"
    words, terms = f"gravity of {beer.what}", (sweet, light)
    return tried, sheet.put(symbol, words, formula, terms, "SG", source=TABARIE, target=tried)


@part(BEER)
def density_of(sheet: Sheet, tag: str, sg: Known) -> Known:
    """True density of a beer."""
    return sheet.put(f"r_b{tag}", "density of the beer", density(sg.symbol), (sg,), "kg/L", source=DENSITY)


@part(BEER)
def by_volume_of(sheet: Sheet, tag: str, spirit: Known, weight: Known) -> Known:
    """Alcohol by volume, priming not yet in it."""
    formula = f"{spirit.symbol} * {weight.symbol} / 0.78924"
    words = "alcohol by volume, before priming"
    return sheet.put(f"v_b{tag}", words, formula, (spirit, weight), "1", source="density of ethanol at 20 °C")


def final_gravity(sheet: Sheet) -> tuple[Known, Known]:
    """Gravity of the beer when it has finished, as it is tried and as what is in it comes back to."""
    return gravity_of(sheet, _beer(sheet), sheet.run.beer.gravity or 0.0)


def real_extract(sheet: Sheet) -> Known:
    """Extract left when it has finished, as a share of the beer's mass."""
    return left_of(sheet, _beer(sheet))


def ethanol(sheet: Sheet) -> Known:
    """Ethanol (g) from 100 g of wort when it has finished."""
    return ethanol_of(sheet, _beer(sheet))


def alcohol_by_weight(sheet: Sheet) -> Known:
    """Alcohol by weight when it has finished, before priming."""
    return by_weight_of(sheet, _beer(sheet))


def beer_density(sheet: Sheet, final: Known) -> Known:
    """True density of the beer when it has finished."""
    return density_of(sheet, "", final)


@part(BEER)
def alcohol_by_volume(sheet: Sheet) -> Known:
    """The same, with what leads to it."""
    tried, _ = final_gravity(sheet)
    return by_volume_of(sheet, "", alcohol_by_weight(sheet), beer_density(sheet, tried))


# ---------------------------------------------------------------------- what is left to package


@part("To be packaged")
def dry_hop_loss(sheet: Sheet) -> Known | None:
    """Beer left with the dry hops; None without any."""
    terms = [hop_weight(sheet, index) for index, hop in enumerate(sheet.plan.hops) if hop.stage in DRY_HOPPED]
    if not terms:
        return None
    each = constant(sheet, "k_h", "beer that dry hops hold", DRY_HOP_SOAK, "L/kg", "a practitioner's log")
    formula = f"{each.symbol} * {summed(term.symbol for term in terms)}"
    return sheet.put("V_d", "beer left with the dry hops", formula, (each, *terms), "L", source=VOLUMES)


@part("To be packaged")
def beer_volume(sheet: Sheet) -> Known:
    """Volume of the beer when it has finished."""
    if sheet.run.beer.fermented is None:
        return all_volume(sheet)
    original = original_gravity(sheet)
    room, spirit = all_volume(sheet), ethanol(sheet)
    tried, _ = final_gravity(sheet)
    weight = beer_density(sheet, tried)
    formula = (
        f"{room.symbol} * {density(original.symbol)} * (1 - 0.010665 * {spirit.symbol}) / {weight.symbol}"
    )
    words, value = "volume of the beer when it has finished", sheet.run.beer.volume
    return sheet.put("V_v", words, formula, (room, original, spirit, weight), "L", value, MASSES)


@part("To be packaged")
def package_volume(sheet: Sheet) -> Known:
    """Volume that is packaged."""
    beer, lees, hops = beer_volume(sheet), of_kit(sheet, "lees"), dry_hop_loss(sheet)
    less, more = (f" - {hops.symbol}", (hops,)) if hops is not None else ("", ())
    formula, value = f"{beer.symbol} - {lees.symbol}{less}", sheet.run.beer.package
    return sheet.put(
        "V_pk", "volume to be packaged", formula, (beer, lees, *more), "L", value, VOLUMES, least=0.0
    )


@part(BEER)
def _apparent(sheet: Sheet) -> Known:
    whole = original_strength(sheet)
    _, final = final_gravity(sheet)
    end = plato(sheet, final, "g", "the beer, apparent")
    formula = f"({whole.symbol} - {end.symbol}) / {whole.symbol}"
    return sheet.put(
        "A_fb", "apparent attenuation of the beer", formula, (whole, end), "1", source="definition"
    )


@part(BEER)
def _real(sheet: Sheet) -> Known:
    whole, left = original_strength(sheet), real_extract(sheet)
    formula = f"({whole.symbol} - 100 * {left.symbol}) / {whole.symbol}"
    return sheet.put("A_rb", "real attenuation of the beer", formula, (whole, left), "1", source="definition")


@part(BEER)
def _limit(sheet: Sheet) -> Known:
    for index, line in enumerate(sheet.plan.lines):
        if line.key in GRAIN_KEYS and line.stage in ("mash", "steep"):
            potential(sheet, index)
    return attenuation_limit(sheet)


def _dry_hop_loss(sheet: Sheet) -> Known:
    found = dry_hop_loss(sheet)
    where = "no dry hops are written"
    return found if found is not None else sheet.given("V_d", "beer left with the dry hops", 0.0, "L", where)


def _reckoned(sheet: Sheet) -> Known:
    """Where culture and mash would end, whatever the recipe states."""
    plan = sheet.plan
    sheet.run = Run(plan._replace(recipe=plan.recipe._replace(finishes=None)))
    sheet.plan = sheet.run.plan
    return final_gravity(sheet)[1]


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "final_gravity": lambda sheet: final_gravity(sheet)[1],
    "reckoned_final_gravity": _reckoned,
    "apparent_attenuation": _apparent,
    "real_attenuation": _real,
    "attenuation_limit": _limit,
    "package_volume": package_volume,
    "dry_hop_loss": _dry_hop_loss,
}
