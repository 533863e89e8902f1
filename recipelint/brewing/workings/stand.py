"""Working of the hot stand: what it and the chilling are worth to the hops in it."""

from __future__ import annotations

from recipelint.brewing import boil
from recipelint.brewing.bitterness import Cooling, stand_exposure
from recipelint.brewing.plan import Hopping
from recipelint.brewing.stand import Charge, stand_of
from recipelint.brewing.workings.boil import FADES, water_boils
from recipelint.brewing.workings.givens import of_kit
from recipelint.brewing.workings.sheet import Known, Sheet, Table, part

HOSOM = "Hosom 2015, after Malowicki & Shellhammer 2005"


@part("The hot stand")
def exposure(sheet: Sheet, charge: Charge | None) -> tuple[Known, Known]:
    """What the stand and the chilling are worth: minutes of boil, and the same with Tinseth's fading rate."""
    stand = stand_of(sheet.run)
    tag, who, first = "", "every hop that has been boiled", 0
    if charge is not None:
        heat, first = stand.heats[charge], stand.entries[charge]
        tag, who = _tag(heat, charge), f"hops that go in at {heat:.1f} °C for {charge[1]:g} min"
    worth = stand.seen_by(charge)
    form = "sum of r(T) dt; r(T) = min(1, 2.39e11 exp(-9773 / (T + 273.15)))"
    table = _stand_table(stand.stretches[first:])
    terms = (of_kit(sheet, "stand"), of_kit(sheet, "cooling"))
    plain = sheet.step(
        f"t_e{tag}", f"minutes of boil that the stand is worth to {who}", form, terms, "min", worth.minutes, HOSOM,
        FADES, table,
    )  # fmt: skip
    form = "sum of r(T) exp(-0.04 t) dt, t from when they go into the stand"
    faded = sheet.step(
        f"t_w{tag}", "the same, with Tinseth's fading rate", form, (), "min", worth.weighted, HOSOM,
        f"from the same steps as {plain.symbol}",
    )  # fmt: skip
    return plain, faded


def _tag(heat: float, charge: Charge) -> str:
    return f"{heat:g}_{charge[1]:g}".replace(".", "_")


def charge_of(hop: Hopping) -> Charge | None:
    """How a whirlpool charge is written; None for hops that are boiled."""
    return (hop.temperature, hop.minutes) if hop.stage == "whirlpool" else None


@part("The hot stand")
def first_rate(sheet: Sheet, hop: Hopping, charge: Charge) -> Known:
    """How fast bitterness forms when a whirlpool charge goes in, beside a boil."""
    heat = stand_of(sheet.run).heats[charge]
    water = water_boils(sheet)
    tag = _tag(heat, charge)
    if heat == water.value:
        term = water
    else:
        term = sheet.given(f"T_e{tag}", f"wort when hops go in at {heat:.1f} °C for {charge[1]:g} min", heat, "°C",
                           f"{hop.at}/at, as far as the wort is as hot and no colder than 20 °C")  # fmt: skip
    formula = f"2.39e11 * exp(-9773 / ({term.symbol} + 273.15))"
    words = f"rate at {heat:.1f} °C over that at a boil, for {charge[1]:g} min"
    return sheet.put(f"r_e{tag}", words, formula, (term,), "1", source=HOSOM, most=1.0)


def _stand_table(stretches: tuple[Cooling, ...]) -> Table:
    rows: list[tuple[str | float, ...]] = []
    for stretch in stretches:
        end = boil.cooled(stretch.start, stretch.ambient, stretch.rate, stretch.minutes)
        rows.append(
            (
                stretch.minutes,
                stretch.start,
                end,
                stretch.ambient,
                stretch.rate,
                stand_exposure([stretch]).minutes,
            )
        )
    columns = ("min", "from °C", "to °C", "ambient °C", "k, 1/min", "worth, min of boil")
    return Table(columns, tuple(rows))
