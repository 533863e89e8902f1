"""Working of the hops: what each addition brings to the kettle, what of it reaches the beer, and dry hops."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import bitterness, hopping
from recipelint.brewing.inputs import DRY_HOPPED
from recipelint.brewing.plan import COLD_STORE, HALF_YEAR_LOSS, KETTLE, SEALED, Hopping, days_between
from recipelint.brewing.workings.boil import boiling_point, full_gravity, gravity_while
from recipelint.brewing.workings.fermenter import all_volume, fermenter_volume, original_gravity, wort
from recipelint.brewing.workings.givens import (
    ASSUMED,
    boil_minutes,
    constant,
    hop_weight,
    origin,
    row_origin,
)
from recipelint.brewing.workings.lauter import into_share
from recipelint.brewing.workings.sheet import MASSES, MEMORY, PRACTICE, Known, Sheet, part, summed
from recipelint.brewing.workings.stand import charge_of, exposure, first_rate
from recipelint.brewing.workings.wort import kettle_volume

HOPS = "Hops"
TINSETH = "Tinseth 1997"
MALOWICKI = "Malowicki & Shellhammer 2005"


# ---------------------------------------------------------------------- what a hop addition brings


@part(HOPS)
def alpha(sheet: Sheet, index: int) -> Known:
    """Alpha acids of a hop as they are on the brew day."""
    hop, item = sheet.plan.hops[index], sheet.plan.recipe.hops[index]
    fresh, where = hop.alpha, f"{ASSUMED}: a noble hop, {MEMORY}"
    if item.alpha is not None:
        fresh, where = item.alpha.value, origin(sheet, item.alpha, f"{hop.at}/alpha")
    elif hop.row is not None and hop.row.alpha is not None:
        low, high = hop.row.alpha
        if low is not None and high is not None:
            fresh = (low + high) / 2.0
            where = f"{row_origin(sheet, hop.row, 'alpha')}: middle of {low:.1%} to {high:.1%}"
    words = f"alpha acids of {hop.name}"
    days = _days(sheet, index)
    if days is None:
        return sheet.given(f"a_{index + 1}", words, hop.alpha, "1", where)
    new = sheet.given(f"a_{index + 1}n", f"{words} when new", fresh, "1", where)
    loss = _storage_loss(sheet, index)
    if item.stored_at is not None:
        heat = sheet.given(
            f"T_{index + 1}h", "it is stored at", item.stored_at.value, "°C", origin(sheet, item.stored_at)
        )
    else:
        heat = constant(sheet, "T_h", "hops are stored at", COLD_STORE, "°C", PRACTICE)
    pack = constant(sheet, "k_b", "part of the loss in a closed bag", SEALED, "1", MEMORY)
    power = f"{days.symbol} / 180 * 2**(({heat.symbol} - 20) / 15) * {pack.symbol}"
    formula = f"{new.symbol} * (1 - {loss.symbol})**({power})"
    terms = (new, loss, days, heat, pack)
    return sheet.put(f"a_{index + 1}", words, formula, terms, "1", hop.alpha, "Garetz 1994")


def _days(sheet: Sheet, index: int) -> Known | None:
    """Age of a hop on the brew day; None where it is not written."""
    item, date = sheet.plan.recipe.hops[index], sheet.plan.recipe.brew_date
    symbol, words = f"n_{index + 1}", "age on the brew day"
    if item.age is not None:
        return sheet.given(symbol, words, max(item.age.value / 24.0, 0.0), "d", origin(sheet, item.age))
    if item.harvest is not None and date is not None:
        where = f"{item.at}/harvest to /brew_date"
        return sheet.given(symbol, words, max(days_between(item.harvest, date), 0.0), "d", where)
    return None


def _storage_loss(sheet: Sheet, index: int) -> Known:
    row = sheet.plan.hops[index].row
    symbol, words = f"l_{index + 1}", "loss in half a year at 20 °C in the open"
    sides = (
        [side for side in row.storage_loss if side is not None]
        if row is not None and row.storage_loss
        else []
    )
    if row is None or not sides:
        return sheet.given(symbol, words, HALF_YEAR_LOSS, "1", f"{ASSUMED}: {MEMORY}")
    return sheet.given(
        symbol, words, sum(sides) / len(sides), "1", f"{row_origin(sheet, row, 'storage_loss')}: middle"
    )


@part(HOPS)
def minutes_boiled(sheet: Sheet, index: int) -> Known:
    """How long a hop is boiled: as written, the whole boil from mash and first wort, not at all in the whirlpool."""
    hop = sheet.plan.hops[index]
    symbol, words = f"t_{index + 1}", f"minutes that {hop.name} boils"
    if hop.stage in ("first_wort", "mash"):
        return boil_minutes(sheet)
    when = sheet.plan.recipe.hops[index].when
    if hop.stage == "whirlpool":
        return sheet.given(symbol, words, 0.0, "min", f"{hop.at}/whirlpool: after the boil")
    if hop.timed and when is not None and when.value is not None:
        return sheet.given(symbol, words, hop.minutes, "min", origin(sheet, when.value, f"{hop.at}/boil"))
    return sheet.given(symbol, words, hop.minutes, "min", f"{ASSUMED}: no time is written")


@part(HOPS)
def _gravity_factor(sheet: Sheet, sg: Known) -> Known:
    value = bitterness.tinseth_gravity_factor(sg.value)
    formula = f"1.65 * 0.000125**({sg.symbol} - 1)"
    symbol = "B" if sg.symbol == "s_b" else f"B_{sg.symbol}"
    return sheet.put(symbol, f"factor for a wort of {sg.symbol}", formula, (sg,), "1", value, TINSETH)


@part(HOPS)
def _slower(sheet: Sheet, minutes: Known) -> Known | None:
    """How much less bitterness forms where it boils below 100 °C; None where it does not."""
    heat = boiling_point(sheet)
    if heat.value >= 100.0:
        return None
    rates = []
    for tag, term in (
        ("b", heat),
        ("o", sheet.given("T_o", "boiling point at sea level", 100.0, "°C", "definition")),
    ):
        k1 = sheet.kept.get(("k1", tag)) or sheet.put(
            f"k1_{tag}", "rate at which bitterness forms", f"7.9e11 * exp(-11858 / ({term.symbol} + 273.15))", (term,),
            "1/min", source=MALOWICKI,
        )  # fmt: skip
        k2 = sheet.kept.get(("k2", tag)) or sheet.put(
            f"k2_{tag}", "rate at which it is lost", f"4.1e12 * exp(-12994 / ({term.symbol} + 273.15))", (term,),
            "1/min", source=MALOWICKI,
        )  # fmt: skip
        sheet.kept["k1", tag], sheet.kept["k2", tag] = k1, k2
        rates.append((k1, k2))
    (one, two), (three, four) = rates
    assert isinstance(one, Known) and isinstance(two, Known)
    assert isinstance(three, Known) and isinstance(four, Known)
    value = bitterness.altitude_factor(minutes.value, heat.value)
    words = f"bitterness formed at that heat in {minutes.value:g} min, over that at 100 °C"
    symbol = f"z_{minutes.symbol}"
    if minutes.value <= 0.0:
        return sheet.put(symbol, words, f"{one.symbol} / {three.symbol}", (one, three), "1", value, MALOWICKI)
    formula = " / ".join(
        f"({a.symbol} / ({b.symbol} - {a.symbol}) * (exp(-{a.symbol} * {minutes.symbol})"
        f" - exp(-{b.symbol} * {minutes.symbol})))"
        for a, b in ((one, two), (three, four))
    )
    return sheet.put(symbol, words, formula, (one, two, three, four, minutes), "1", value, MALOWICKI)


@part(HOPS)
def _form(sheet: Sheet, hop: Hopping) -> Known | None:
    """How much more a form gives than cones; None for cones."""
    factor = bitterness.FORM_FACTORS.get(hop.form, 1.0)
    if factor == 1.0:
        return None
    name = hop.form.replace(" ", "_")
    return constant(
        sheet, f"k_{name}", f"factor of {hop.form} over cones", factor, "1", "1.0 to 1.5 in print"
    )


@part(HOPS)
def _mashed(sheet: Sheet, hop: Hopping) -> Known | None:
    """What mash hops give of what they would give in the kettle; None for others."""
    if hop.stage != "mash":
        return None
    words = "part that hops in the mash give of what they would in the kettle"
    return constant(
        sheet, "k_mash", words, bitterness.MASH_FACTOR, "1", "9.1 % of 44 %, Justus 2018, abstract"
    )


@part(HOPS)
def utilisation(sheet: Sheet, index: int) -> Known:
    """Share of the alpha acids of a hop that becomes bitterness."""
    hop = sheet.plan.hops[index]
    value = hopping.bitter(sheet.run).parts[index].utilisation
    minutes = minutes_boiled(sheet, index)
    model = sheet.plan.models["bitterness"]
    charge = charge_of(hop)
    plain, faded = exposure(sheet, charge)
    form = _form(sheet, hop)
    boiled, stood, terms, source = (
        _tinseth(sheet, minutes, faded) if model == "tinseth" else _curve(sheet, model, minutes, plain)
    )
    slower = None
    if boiled != "0":
        slower = _slower(sheet, minutes) if charge is None else first_rate(sheet, hop, charge)
    factor = f"{slower.symbol} * " if slower is not None else ""
    inner = f"{factor}{boiled} + {stood}" if boiled != "0" else stood
    factors = [known for known in (form, _mashed(sheet, hop)) if known is not None]
    if factors and boiled != "0":
        inner = f"({inner})"
    formula = " * ".join([inner, *(known.symbol for known in factors)])
    more = [*([slower] if slower is not None else []), *factors]
    words = f"utilisation of {hop.name}"
    return sheet.put(f"U_{index + 1}", words, formula, (*terms, *more), "1", value, source)


def _tinseth(sheet: Sheet, minutes: Known, faded: Known) -> tuple[str, str, tuple[Known, ...], str]:
    factor, source = _gravity_factor(sheet, full_gravity(sheet)), f"{TINSETH}; the stand after Hosom 2015"
    t = minutes.symbol
    if minutes.value <= 0.0:
        return "0", f"{factor.symbol} * 0.04 * {faded.symbol} / 4.15", (factor, faded), source
    own = _gravity_factor(sheet, gravity_while(sheet, minutes))
    boiled = f"{own.symbol} * (1 - exp(-0.04 * {t})) / 4.15"
    stood = f"{factor.symbol} * 0.04 * exp(-0.04 * {t}) * {faded.symbol} / 4.15"
    return boiled, stood, (own, factor, minutes, faded), source


def _curve(sheet: Sheet, model: str, minutes: Known, plain: Known) -> tuple[str, str, tuple[Known, ...], str]:
    """The two older models: the stand counts as more minutes of boil."""
    after, own = full_gravity(sheet), gravity_while(sheet, minutes)
    source = "Rager 1990" if model == "rager" else f"Garetz 1994, table {MEMORY}"
    both = _by_curve(sheet, model, (minutes, plain), after, source)
    if model == "garetz" and minutes.value <= 0.0:
        return "0", both.symbol, (both,), source
    boiled, less = (_by_curve(sheet, model, (minutes,), sg, source) for sg in (own, after))
    return boiled.symbol, f"({both.symbol} - {less.symbol})", (boiled, both, less), source


@part(HOPS)
def _by_curve(sheet: Sheet, model: str, times: tuple[Known, ...], sg: Known, source: str) -> Known:
    """Utilisation by the curve after all these times together."""
    find = bitterness.rager if model == "rager" else bitterness.garetz
    divided = f"(1 + max({sg.symbol} - 1.05, 0) / 0.2)"
    time, at = " + ".join(term.symbol for term in times), sum(term.value for term in times)
    curve = f"18.11 + 13.86 * tanh(({time} - 31.32) / 18.27)" if model == "rager" else _garetz(at, time)
    formula = f"({curve}) / 100 / {divided}" if " " in curve else f"{curve} / 100 / {divided}"
    words = "utilisation by the curve" + (", the stand counted as boil" if len(times) > 1 else "")
    symbol = f"u{'s' if len(times) > 1 else ''}_{'_'.join(term.symbol for term in times)}_{sg.symbol}"
    used = times if time in curve else ()
    return sheet.put(symbol, words, formula, (*used, sg), "1", find(at, sg.value), source)


def _garetz(minutes: float, time: str) -> str:
    """The straight line of Garetz's table at a time, over its symbols."""
    table = bitterness.GARETZ_TABLE
    if minutes <= table[0][0]:
        return "0"
    if minutes > table[-1][0]:
        return f"{table[-1][1]:g}"
    high = next(i for i, row in enumerate(table) if minutes <= row[0])
    (last, before), (at, there) = table[high - 1], table[high]
    return f"{before:g} + {there - before:g} * ({time} - {last:g}) / {at - last:g}"


@part(HOPS)
def into_beer(sheet: Sheet) -> Known:
    """What reaches the beer of a concentration in the kettle."""
    share = wort(sheet)
    into, kettle, beer = into_share(sheet, share), kettle_volume(sheet, share), all_volume(sheet)
    formula = f"{into.symbol} * {kettle.symbol} / {beer.symbol}"
    words = "strength in the fermenter, of that in the kettle"
    return sheet.put("n_b", words, formula, (into, kettle, beer), "1", source=MASSES)


@part(HOPS)
def addition(sheet: Sheet, index: int) -> Known:
    """Bitterness of one addition."""
    hop = sheet.plan.hops[index]
    used, mass, acids = utilisation(sheet, index), hop_weight(sheet, index), alpha(sheet, index)
    kettle, into = kettle_volume(sheet, wort(sheet)), into_beer(sheet)
    formula = f"{used.symbol} * {mass.symbol} * {acids.symbol} * 1e6 / {kettle.symbol} * {into.symbol}"
    value = hopping.bitter(sheet.run).parts[index].ibu
    if sheet.plan.models["bitterness"] == "garetz":
        value = None  # type: ignore[assignment]  # the run holds it with the hop rate in it
    terms = (used, mass, acids, kettle, into)
    return sheet.put(
        f"B_{index + 1}", f"bitterness by {hop.name}", formula, terms, "IBU", value, "mg/L of bitterness"
    )


@part(HOPS)
def bitterness_of(sheet: Sheet) -> Known:
    """Bitterness of the beer."""
    original_gravity(sheet)
    rows = [index for index, hop in enumerate(sheet.plan.hops) if hop.stage in hopping.BITTERING]
    value = hopping.bitter(sheet.run).ibu
    if not rows:
        return sheet.given("IBU", "bitterness", value, "IBU", "no hops go into mash or kettle")
    for index in rows:
        hop_weight(sheet, index)
    into_beer(sheet)
    terms = [addition(sheet, index) for index in rows]
    if sheet.plan.models["bitterness"] != "garetz":
        return sheet.sum("IBU", "bitterness", terms, "IBU", value)
    plain = sheet.sum("IBU_0", "bitterness before the hop rate counts", terms, "IBU")
    formula = f"130 * (sqrt(1 + {plain.symbol} / 65) - 1)"
    return sheet.put("IBU", "bitterness", formula, (plain,), "IBU", value, "hop rate after Garetz, solved")


def _ratio(sheet: Sheet) -> Known:
    bitter, sg = bitterness_of(sheet), original_gravity(sheet)
    formula = f"{bitter.symbol} / (1000 * ({sg.symbol} - 1))"
    return sheet.put("x_b", "bitterness for each gravity point", formula, (bitter, sg), "IBU/point")


@part(HOPS)
def alpha_added(sheet: Sheet) -> Known:
    """Alpha acids (g) of all kettle hops."""
    rows = [index for index, hop in enumerate(sheet.plan.hops) if hop.stage in KETTLE]
    terms: list[Known] = []
    parts: list[str] = []
    for index in rows:
        mass, acids = hop_weight(sheet, index), alpha(sheet, index)
        terms += [mass, acids]
        parts.append(f"{mass.symbol} * {acids.symbol}")
    formula = f"1000 * {summed(parts)}" if parts else "0"
    return sheet.put("a_all", "alpha acids added", formula, terms, "g", hopping.bitter(sheet.run).alpha)


def _alpha_concentration(sheet: Sheet) -> Known:
    kettle, acids = kettle_volume(sheet, wort(sheet)), alpha_added(sheet)
    formula = f"{acids.symbol} * 1000 / {kettle.symbol}"
    return sheet.put("x_a", "alpha acids brought to the wort", formula, (acids, kettle), "mg/L")


def _hop_mass(sheet: Sheet) -> Known:
    volume = fermenter_volume(sheet)
    terms = [hop_weight(sheet, index) for index in range(len(sheet.plan.hops))]
    formula = f"1000 * {summed(term.symbol for term in terms)} / {volume.symbol}"
    return sheet.put("x_h", "hops per litre", formula, (*terms, volume), "g/L")


@part(HOPS)
def dry_hop_dose(sheet: Sheet) -> Known:
    """Dry hops (g) in a litre."""
    volume = all_volume(sheet)
    terms = [hop_weight(sheet, index) for index, hop in enumerate(sheet.plan.hops) if hop.stage in DRY_HOPPED]
    formula = f"1000 * {summed(term.symbol for term in terms)} / {volume.symbol}"
    return sheet.put("x_d", "dry hops per litre", formula, (*terms, volume), "g/L")


def _dry_hop_ph(sheet: Sheet) -> Known:
    dose = dry_hop_dose(sheet)
    source = "Maye 2018: 0.14 for 3.9 g/L, taken as a straight line"
    return sheet.put(
        "x_p", "rise of the pH by dry hops", f"0.14 / 3.9 * {dose.symbol}", (dose,), "pH", source=source
    )


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "bitterness": bitterness_of,
    "bitterness_ratio": _ratio,
    "alpha_added": alpha_added,
    "alpha_concentration": _alpha_concentration,
    "hop_mass_per_litre": _hop_mass,
    "dry_hop_dose": dry_hop_dose,
    "dry_hop_ph_rise": _dry_hop_ph,
}
