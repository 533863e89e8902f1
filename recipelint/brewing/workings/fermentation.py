"""Working of the fermentation: how far the culture, the mash and the sugar let the extract ferment."""

from __future__ import annotations

from recipelint.brewing.dissolving import STEEP_YIELD
from recipelint.brewing.fermentation import alcohol
from recipelint.brewing.finish import eats_dextrins, eats_lactose, furthest
from recipelint.brewing.gravity import sg_from_plato
from recipelint.brewing.inputs import LIMIT_HALF
from recipelint.brewing.plan import GRAIN_KEYS, KETTLE
from recipelint.brewing.workings.enzymes import attenuation_limit, line_reached, mean_reached
from recipelint.brewing.workings.fermenter import (
    all_in,
    original_gravity,
    pitched,
    pitching_gravity,
    wort,
)
from recipelint.brewing.workings.givens import (
    ASSUMED,
    called,
    constant,
    origin,
    potential,
    row_origin,
)
from recipelint.brewing.workings.gravity import (
    ASBC,
    DENSITY,
    cubic,
    density,
    gravity_of_plato,
    strength,
)
from recipelint.brewing.workings.lauter import into_share
from recipelint.brewing.workings.sheet import CLOSE, EXTRACT, PRACTICE, Known, Sheet, once, part, summed
from recipelint.recipe.catalogue import Fermentable

BEER = "The beer"
BALLING = "Balling: 2.0665 g of extract for 1 g of ethanol, 1.0665 g lost"
TABARIE = "Tabarié's rule"
OIML = "OIML R 22, as a polynomial"


def alcohol_gravity(symbol: str) -> str:
    """Gravity of ethanol in water, of a share of the volume."""
    v = symbol
    return (
        f"1 + {v} * (-0.153032441 + {v} * (0.220135512 + {v} * (-0.709247628 + {v} * (4.5685548"
        f" + {v} * (-21.9042362 + {v} * (45.5727067 - 35.9304663 * {v}))))))"
    )


@part(BEER)
def original_strength(sheet: Sheet) -> Known:
    """Original extract: degrees Plato with all sugar and fruit in."""
    sg = original_gravity(sheet)
    return strength(sheet, sg.symbol[2:], sg.words.removeprefix("gravity of "), *all_in(sheet))


# ---------------------------------------------------------------------- how much of the extract is fermented


@part(BEER)
def culture_attenuation(sheet: Sheet) -> Known:
    """Apparent attenuation of malt wort by the culture that goes furthest; at worst, as far as any can."""
    plan = sheet.plan
    if eats_dextrins(plan, sheet.run.risk):
        where = "at worst: a culture or an enzyme that makes sugar of dextrins is in it"
        return sheet.given("A_y", "attenuation by what is in it", 1.0, "1", where)
    if sheet.run.risk:
        top = max(plan.at_worst, key=lambda pitch: pitch.attenuation_high or pitch.attenuation or 0.0)
        most = top.attenuation_high or top.attenuation or 0.0
        item_of = {item.at: item for item in plan.recipe.yeast}.get(top.at)
        where = f"{top.at}, the top of its range"
        if item_of is not None and item_of.attenuation is not None:
            where = f"{origin(sheet, item_of.attenuation)}, the top of it"
        elif top.row is not None:
            where = f"{row_origin(sheet, top.row, 'attenuation')}, the top of its range"
        return sheet.given("A_y", f"attenuation by {top.name} at worst", most, "1", where)
    best = furthest(plan)
    index = sheet.plan.cultures.index(best)
    item = sheet.plan.recipe.yeast[index]
    if item.attenuation is not None:
        where = origin(sheet, item.attenuation, f"{best.at}/attenuation")
    else:
        assert best.row is not None
        low, high = best.attenuation_low or 0.0, best.attenuation_high or 0.0
        where = f"{row_origin(sheet, best.row, 'attenuation')}: middle of {low:.0%} to {high:.0%}"
    return sheet.given("A_y", f"attenuation by {best.name}", best.attenuation or 0.0, "1", where)


@part(BEER)
def malt_attenuation(sheet: Sheet) -> Known:
    """Apparent attenuation of the malt wort: what the culture can do, but no more than the mash lets it."""
    culture = culture_attenuation(sheet)
    words = "apparent attenuation of the malt wort"
    eats = eats_dextrins(sheet.plan, sheet.run.risk) or furthest(sheet.plan).always_eats_dextrins
    if sheet.run.beer.limit is None or eats:
        free = "the culture eats what the mash leaves"
        note = "no limit of the mash is known" if sheet.run.beer.limit is None else free
        return sheet.put("A", words, culture.symbol, (culture,), "1", note=note)
    limit = attenuation_limit(sheet)
    free = f"{limit.symbol} + {LIMIT_HALF:g}" if sheet.run.risk else limit.symbol
    formula = f"min({culture.symbol}, {free})"
    return sheet.put("A", words, formula, (culture, limit), "1", source="the lower of culture and mash")


@once
def fermented_down_to(sheet: Sheet, tag: str, what: str, original: Known, final: Known) -> Known:
    """Share of the extract (by mass) that is consumed on the way to a gravity.

    The alcohol that fits both gravities is tried, and the extract it came from comes back to the original one.
    """
    if final.value >= sg_from_plato(original.value):
        return sheet.given(
            f"F_{tag}", f"part of the extract of {what} fermented by then", 0.0, "1", "nothing ferments"
        )
    found = alcohol(sg_from_plato(original.value), final.value)
    note = f"tried until the balance gives {original.symbol}"
    tried = sheet.try_(
        f"a_{tag}", f"alcohol in {what} at that gravity, by weight", 100.0 * found.abw, "%", note
    )
    weight = sheet.put(
        f"r_{tag}", "density of that beer", density(final.symbol), (final,), "kg/L", source=DENSITY
    )
    share = sheet.put(
        f"v_{tag}", "alcohol by volume", f"{tried.symbol} / 100 * {weight.symbol} / 0.78924", (tried, weight), "1",
        source="density of ethanol at 20 °C",
    )  # fmt: skip
    spirit = sheet.put(
        f"s_{tag}a",
        "gravity of that alcohol in water",
        alcohol_gravity(share.symbol),
        (share,),
        "SG",
        source=OIML,
    )
    rest = sheet.put(
        f"s_{tag}x", "gravity of its extract in water", f"{final.symbol} + 1 - {spirit.symbol}", (final, spirit), "SG",
        source=TABARIE,
    )  # fmt: skip
    formula = f"({cubic(rest.symbol, rest.value)}) * {density(rest.symbol)} / {weight.symbol}"
    real = sheet.put(f"P_{tag}x", "real extract", formula, (rest, weight), "°P", source=f"{ASBC} and density")
    formula = f"100 * (2.0665 * {tried.symbol} + {real.symbol}) / (100 + 1.0665 * {tried.symbol})"
    sheet.put(
        f"P_{tag}o", "strength of the wort that it came from", formula, (tried, real), "°P", source=BALLING,
        target=original,
    )  # fmt: skip
    formula = f"2.0665 * 100 * {tried.symbol} / (100 + 1.0665 * {tried.symbol}) / {original.symbol}"
    words = f"part of the extract of {what} fermented by then"
    return sheet.put(f"F_{tag}", words, formula, (tried, original), "1", source=BALLING)


@part(BEER)
def malt_fermented(sheet: Sheet) -> Known:
    """Share of the malt's extract that ferments, by mass, at the attenuation of the malt wort."""
    apparent = malt_attenuation(sheet)
    if apparent.value <= 0.0:
        return sheet.given("F_m", "part of the extract of malt that ferments", 0.0, "1", "nothing ferments")
    pitching_gravity(sheet)
    tag = "w" if pitched(sheet)[0].symbol == "E_f" else "st"
    wort_of = strength(
        sheet, tag, "the wort in the fermenter" if tag == "w" else "the wort at pitching", *pitched(sheet)
    )
    formula = f"{wort_of.symbol} * (1 - {apparent.symbol})"
    words = "apparent extract when malt wort of this strength has finished"
    end = sheet.put(
        "P_e", words, formula, (wort_of, apparent), "°P", source="meaning of apparent attenuation"
    )
    final = gravity_of_plato(sheet, end, "e", "that malt wort when it has finished")
    return fermented_down_to(sheet, "m", "malt wort", wort_of, final)


@part(BEER)
def in_fermenter(sheet: Sheet, index: int) -> Known:
    """Extract of a line of the bill in the fermenter."""
    line, extract = sheet.plan.lines[index], potential(sheet, index)
    value = sheet.run.extracts()[index]
    symbol, words = f"X_{index + 1}", f"extract of {called(line)} in the fermenter"
    share = wort(sheet)
    if line.stage == "mash" and share is not None:
        into = into_share(sheet, share)
        terms: tuple[Known, ...] = (extract, share, into)
        formula = " * ".join(term.symbol for term in terms)
        if sheet.run.mash.converted.reached is not None:
            own, mean = line_reached(sheet, index), mean_reached(sheet)
            formula += f" * {own.symbol} / {mean.symbol}" if own is not None else f" / {mean.symbol}"
            terms = (*terms, *((own,) if own is not None else ()), mean)
    elif line.stage == "steep":
        part_of = constant(
            sheet, "k_s", "share of its yield that steeped malt gives", STEEP_YIELD, "1", PRACTICE
        )
        into = into_share(sheet, share)
        terms = (part_of, extract, into)
        formula = " * ".join(term.symbol for term in terms)
    elif line.stage in KETTLE:
        into = into_share(sheet, share)
        return sheet.put(
            symbol, words, f"{extract.symbol} * {into.symbol}", (extract, into), "kg", value, EXTRACT
        )
    else:
        return extract
    return sheet.put(symbol, words, formula, terms, "kg", value, EXTRACT)


def fermented_lines(sheet: Sheet) -> list[int]:
    """Lines of the bill whose extract is in the fermenter."""
    return [index for index, extract in enumerate(sheet.run.extracts()) if extract > 0.0]


@part(BEER)
def _line_fermented(sheet: Sheet, index: int) -> Known:
    """Share of a line's extract that ferments."""
    line, item = sheet.plan.lines[index], sheet.plan.recipe.grist[index]
    if line.key in GRAIN_KEYS or (line.key == "extract" and line.fermentability is None):
        return malt_fermented(sheet)
    row: Fermentable | None = line.row
    if item.fermentability is not None:
        where = origin(sheet, item.fermentability, f"{line.at}/fermentability")
    elif row is not None and row.fermentability is not None:
        where = row_origin(sheet, row, "fermentability")
    else:
        where = f"{ASSUMED}: all of it"
    value = line.fermentability if line.fermentability is not None else 1.0
    own = sheet.given(f"f_{index + 1}", f"part of {called(line)} that ferments", value, "1", where)
    eaten = eats_dextrins(sheet.plan, sheet.run.risk)
    if line.key != "extract":
        if sheet.run.risk and line.sugar_kind != "fully-fermentable":
            eaten = eats_lactose(sheet.plan) if "lactose" in line.id else eaten
            if eaten:
                words = f"part of {called(line)} that ferments at worst"
                return sheet.put(
                    f"F_{index + 1}", words, f"max({own.symbol}, 0.95)", (own,), "1", source=PRACTICE
                )
        return own
    if eaten:
        return malt_fermented(sheet)
    malt = malt_fermented(sheet)
    words = f"part of {called(line)} that this culture ferments"
    return sheet.put(
        f"F_{index + 1}", words, f"min({malt.symbol}, {own.symbol})", (malt, own), "1", source=EXTRACT
    )


@part(BEER)
def fermented(sheet: Sheet) -> Known:
    """Share of all the extract that ferments: as stated, else by culture, mash and sugar.

    At worst a stated end counts only where nothing goes further.
    """
    original_gravity(sheet)
    written = sheet.plan.recipe.finishes
    if written is None or eats_dextrins(sheet.plan, sheet.run.risk):
        return _reckoned(sheet)
    where = origin(sheet, written)
    final = sheet.given("s_n", "gravity at which the beer finishes", written.value, "SG", where)
    stated = fermented_down_to(sheet, "n", "the beer", original_strength(sheet), final)
    if abs(stated.value - (sheet.run.beer.fermented or 0.0)) <= CLOSE:
        return stated
    further = _reckoned(sheet)
    formula = f"max({stated.symbol}, {further.symbol})"
    return sheet.put(
        "F_worst", "part of all the extract that ferments at worst", formula, (stated, further), "1",
        sheet.run.beer.fermented, "the further of what is stated and what the culture can do",
    )  # fmt: skip


def _reckoned(sheet: Sheet) -> Known:
    """Share of all the extract that ferments, line by line of the bill."""
    rows = fermented_lines(sheet)
    shares = [_line_fermented(sheet, index) for index in rows]
    pairs = [(in_fermenter(sheet, index), share) for index, share in zip(rows, shares, strict=True)]
    top = summed(f"{extract.symbol} * {share.symbol}" for extract, share in pairs)
    formula = f"{top} / {summed(extract.symbol for extract, _ in pairs)}" if pairs else "0"
    terms = [known for pair in pairs for known in pair]
    return sheet.put("F", "part of all the extract that ferments", formula, terms, "1", source=EXTRACT)
