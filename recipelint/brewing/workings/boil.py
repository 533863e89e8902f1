"""Working of the boil: how strong and how hot it boils, and what it and the hot stand leave of dimethyl sulphide."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import boil, dms
from recipelint.brewing.boil_gravity import Stretch, gravities, last, mean_of_last
from recipelint.brewing.stand import stand_of
from recipelint.brewing.workings.fermenter import wort
from recipelint.brewing.workings.givens import boil_minutes, constant, of_kit
from recipelint.brewing.workings.gravity import gravity_of_masses, plato
from recipelint.brewing.workings.sheet import MEMORY, Known, Sheet, Table, part
from recipelint.brewing.workings.wort import (
    kettle_extract,
    kettle_gravity,
    pre_boil_gravity,
    pre_boil_water,
    water_brought,
)

BOIL = "The boil"
_MEAN = "mean over the boil, the points going as one over the volume"
FADES = "T falls towards the ambient with exp(-k t)"


# ---------------------------------------------------------------------- the boil


def _mean(start: Known, end: Known) -> str:
    """The mean of a gravity whose points go as one over a volume that falls evenly, as boil.average_boil_gravity()."""
    p, q = start.value - 1.0, end.value - 1.0
    if p <= 0.0 or q <= 0.0 or abs(q - p) < 1e-9 * p:
        return f"({start.symbol} + {end.symbol}) / 2"
    one, two = f"({start.symbol} - 1)", f"({end.symbol} - 1)"
    return f"1 + {one} * {two} * log({two} / {one}) / ({end.symbol} - {start.symbol})"


@part(BOIL)
def boil_gravity(sheet: Sheet) -> Known:
    """Mean gravity over the boil."""
    share = wort(sheet)
    found, words = gravities(sheet.run), "mean gravity over the boil"
    # With extract after flame-out and no boil before it there is one gravity, with everything in.
    no_boil = sheet.plan.boil_minutes <= 0.0 and sheet.run.kettle.late_extract > 0.0
    start, end = (
        _full_start(sheet) if no_boil else pre_boil_gravity(sheet, share),
        kettle_gravity(sheet, share),
    )
    if not found.late:
        return sheet.put("s_b", words, _mean(start, end), (start, end), "SG", found.mean, _MEAN)
    return _stretches(sheet, "s_b", words, found.stretches, (start, end), found.mean)


def _stretches(
    sheet: Sheet,
    symbol: str,
    words: str,
    stretches: tuple[Stretch, ...],
    terms: tuple[Known, ...],
    value: float,
) -> Known:
    rows = tuple(
        (one.begins, one.ends, *(1000.0 * (sg - 1.0) for sg in (one.start, one.end, one.mean)))
        for one in stretches
    )
    columns = ("from, min before flame-out", "to", "points at first", "points at last", "mean points")
    form, note = "mean of the stretches, each by its minutes", "extract goes in between the stretches"
    return sheet.step(symbol, words, form, terms, "SG", value, _MEAN, note, Table(columns, rows))


@part(BOIL)
def full_gravity(sheet: Sheet) -> Known:
    """Mean gravity of the boil if all extract were in from the start; of most boils simply the mean gravity."""
    found = gravities(sheet.run)
    if not found.late:
        return boil_gravity(sheet)
    start, end = _full_start(sheet), kettle_gravity(sheet, wort(sheet))
    words = "mean gravity if all extract were in from the start"
    return sheet.put("s_bin", words, _mean(start, end), (start, end), "SG", found.full.mean, _MEAN)


@part(BOIL)
def _full_start(sheet: Sheet) -> Known:
    share = wort(sheet)
    extract, water, late = (
        kettle_extract(sheet, share),
        pre_boil_water(sheet, share),
        water_brought(sheet, True),
    )
    if late is not None:
        water = sheet.sum("W_in", "water before the boil if all were in", [water, late], "kg")
    return gravity_of_masses(sheet, "in", "the wort before the boil if all extract were in", extract, water)


@part(BOIL)
def gravity_while(sheet: Sheet, minutes: Known) -> Known:
    """Gravity for hops that boil so long."""
    found = gravities(sheet.run)
    whole = mean_of_last((found.full,), minutes.value) if minutes.value > 0.0 and found.late else 0.0
    if whole <= 1.0:
        return full_gravity(sheet)
    if minutes.value >= sheet.plan.boil_minutes:
        return boil_gravity(sheet)
    tag, time = minutes.symbol, f"the last {minutes.value:g} min"
    end, start, length = kettle_gravity(sheet, wort(sheet)), _full_start(sheet), boil_minutes(sheet)
    there = _stretches(
        sheet, f"s_l{tag}", f"mean gravity over {time} for {tag}", last(found.stretches, minutes.value), (end,),
        mean_of_last(found.stretches, minutes.value),
    )  # fmt: skip
    one, two = f"1 / ({start.symbol} - 1)", f"1 / ({end.symbol} - 1)"
    formula = f"1 + 1 / ({one} + ({two} - {one}) * ({length.symbol} - {tag}) / {length.symbol})"
    words = f"gravity {minutes.value:g} min before flame-out if all were in, for {tag}"
    then = sheet.put(f"s_g{tag}", words, formula, (start, end, length, minutes), "SG", source=_MEAN)
    words = f"mean gravity over {time} if all were in, for {tag}"
    full = sheet.put(f"s_m{tag}", words, _mean(then, end), (then, end), "SG", whole, _MEAN)
    mean = full_gravity(sheet)
    formula = f"1 + ({mean.symbol} - 1) * ({there.symbol} - 1) / ({full.symbol} - 1)"
    words = f"gravity for hops boiled {minutes.value:g} min, for {tag}"
    value = found.while_boiled(minutes.value)
    return sheet.put(f"s_{tag}", words, formula, (mean, there, full), "SG", value, "less what goes in later")


@part(BOIL)
def water_boils(sheet: Sheet) -> Known:
    """Temperature at which water boils at this altitude."""
    height = of_kit(sheet, "altitude")
    formula = f"760 * (1 - 2.25577e-5 * {height.symbol})**5.25588"
    air = sheet.put("p_a", "pressure of the air", formula, (height,), "mmHg", source="standard atmosphere")
    formula = f"1730.63 / (8.07131 - log10({air.symbol})) - 233.426"
    return sheet.put(
        "T_w", "boiling point of water", formula, (air,), "°C", source=f"vapour pressure, {MEMORY}"
    )


@part(BOIL)
def boiling_point(sheet: Sheet) -> Known:
    """Temperature of the boil at this altitude, with the sugar in it."""
    strong = plato(sheet, boil_gravity(sheet), "b", "the wort over the boil")
    water = water_boils(sheet)
    formula = f"{water.symbol} + 512 * {strong.symbol} / (100 - {strong.symbol}) / 342.3"
    value = boil.boiling_point(sheet.plan.kit.altitude, strong.value)
    words = "boiling point of the wort"
    return sheet.put("T_b", words, formula, (water, strong), "°C", value, "extract taken as all disaccharide")


# ---------------------------------------------------------------------- dimethyl sulphide


@part("Dimethyl sulphide")
def half_life(sheet: Sheet) -> Known:
    """Half-life of the precursor in this boil."""
    heat = boiling_point(sheet)
    value = dms.half_life(heat.value)
    formula = f"35 * 2**((100 - {heat.symbol}) / 6)"
    source = "Wilson & Booer 1979; doubling for 6 K after Dickenson 1979, second-hand"
    return sheet.put("t_h", "half-life of the precursor in the boil", formula, (heat,), "min", value, source)


@part("Dimethyl sulphide")
def precursor_left(sheet: Sheet) -> Known:
    """Share of the precursor left at flame-out."""
    half, minutes = half_life(sheet), boil_minutes(sheet)
    formula = f"2**(-{minutes.symbol} / {half.symbol})"
    words = "share of the precursor left at flame-out"
    return sheet.put("d_l", words, formula, (minutes, half), "1", source="first-order decay")


@part("Dimethyl sulphide")
def _dms_at_pitching(sheet: Sheet) -> Known:
    left, half, minutes = precursor_left(sheet), half_life(sheet), boil_minutes(sheet)
    made = sheet.put("k_m", "rate at which it forms in the boil", f"log(2) / {half.symbol}", (half,), "1/min",
                     source="first-order decay")  # fmt: skip
    out = constant(
        sheet, "k_o", "rate at which a boil drives it off", dms.FREE_LOSS, "1/min", "Wilson & Booer 1979"
    )
    formula = (
        f"{made.symbol} * (exp(-{made.symbol} * {minutes.symbol}) - exp(-{out.symbol} * {minutes.symbol}))"
        f" / ({out.symbol} - {made.symbol})"
    )
    free = sheet.put("d_f", "dimethyl sulphide free at flame-out", formula, (made, minutes, out), "1",
                     source="two first-order steps")  # fmt: skip
    stretches = stand_of(sheet.run).stretches
    equal = dms.stand_as_at_100(stretches)
    stand = sheet.step(
        "t_d", "minutes at 100 °C that the stand is worth to it", "sum of 2^((T - 100) / 6) dt, down to 60 °C", (),
        "min", equal, "doubling for 6 K", FADES,
        Table(
            ("min", "from °C", "to °C", "worth, min at 100 °C"),
            tuple(
                (one.minutes, one.start, boil.cooled(one.start, one.ambient, one.rate, one.minutes),
                 dms.stand_as_at_100([one]))
                for one in stretches
            ),
        ),
    )  # fmt: skip
    formula = f"{free.symbol} + {left.symbol} * (1 - 2**(-{stand.symbol} / 35))"
    words = "dimethyl sulphide at pitching, share of its precursor before the boil"
    return sheet.put(
        "d_p", words, formula, (free, left, stand), "1", source="none is driven off after flame-out"
    )


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "boil_gravity": boil_gravity,
    "boiling_point": boiling_point,
    "dms_precursor_left": precursor_left,
    "dms_at_pitching": _dms_at_pitching,
}
