"""Working of the boil: how strong and how hot it boils, and what it and the hot stand leave of dimethyl sulphide."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import boil, dms, hopping
from recipelint.brewing.working import MEMORY, Known, Sheet, Table, part
from recipelint.brewing.working_fermenter import wort
from recipelint.brewing.working_givens import boil_minutes, constant, of_kit
from recipelint.brewing.working_gravity import plato
from recipelint.brewing.working_wort import kettle_gravity, pre_boil_gravity

BOIL = "The boil"
FADES = "T falls towards the ambient with exp(-k t)"


# ---------------------------------------------------------------------- the boil


@part(BOIL)
def boil_gravity(sheet: Sheet) -> Known:
    """Mean gravity over the boil."""
    share = wort(sheet)
    start, end = pre_boil_gravity(sheet, share), kettle_gravity(sheet, share)
    value = hopping.bitter(sheet.run).boil_gravity
    p, q = start.value - 1.0, end.value - 1.0
    if p <= 0.0 or q <= 0.0 or abs(q - p) < 1e-9 * p:
        formula = f"({start.symbol} + {end.symbol}) / 2"
    else:
        one, two = f"({start.symbol} - 1)", f"({end.symbol} - 1)"
        formula = f"1 + {one} * {two} * log({two} / {one}) / ({end.symbol} - {start.symbol})"
    source = "mean over the boil, the points going as one over the volume"
    return sheet.put("s_b", "mean gravity over the boil", formula, (start, end), "SG", value, source)


@part(BOIL)
def boiling_point(sheet: Sheet) -> Known:
    """Temperature of the boil at this altitude, with the sugar in it."""
    height = of_kit(sheet, "altitude")
    strong = plato(sheet, boil_gravity(sheet), "b", "the wort over the boil")
    formula = f"760 * (1 - 2.25577e-5 * {height.symbol})**5.25588"
    air = sheet.put("p_a", "pressure of the air", formula, (height,), "mmHg", source="standard atmosphere")
    formula = f"1730.63 / (8.07131 - log10({air.symbol})) - 233.426"
    water = sheet.put(
        "T_w", "boiling point of water", formula, (air,), "°C", source=f"vapour pressure, {MEMORY}"
    )
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
    stretches = hopping.stand_of(sheet.run).stretches
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
