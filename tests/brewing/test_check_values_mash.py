"""Every value of check_values/mash-and-water.yaml on heat, mash, lautering and boil, against the function that
should meet it.

The values on water, salts, acids and mash pH have a test of their own.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable
from typing import Any

import pytest
import yaml

from recipelint.brewing import boil, dms, gravity, heat, lauter, mash
from recipelint.brewing.gravity import WATER_DENSITY
from recipelint.brewing.mash import convert, stretches
from recipelint.recipe.quantity import parse
from tests.brewing import alternatives as alt
from tests.brewing.labels import label

HERE = os.path.dirname(os.path.abspath(__file__))
with open(os.path.join(HERE, os.pardir, "check_values", "mash-and-water.yaml"), encoding="utf-8") as _file:
    DATA = yaml.safe_load(_file)
ROWS: list[dict[str, Any]] = DATA["checks"]

KG_PER_LB = 0.45359237
L_PER_QT = 0.946352946
L_PER_GAL = 3.785411784
PER_QT_LB = L_PER_QT / KG_PER_LB * WATER_DENSITY  # coefficient in qt/lb to kg of water per kg

WATER = ("salt-", "saltgal-", "alk-", "water-", "ra-", "unit-", "acid-", "sol-", "ph-", "mph-")

LEFT_OUT = {
    "act-01": "an activity curve of a scheme that is not used",
    "act-02": "an activity curve of a scheme that is not used",
    "act-03": "an activity curve of a scheme that is not used",
    "modA-65": "a scheme that is not used",
    "sug-02": "a sum of the given numbers",
    "eff-02": "the ratio of °P; the project balances masses: test_check_values.py",
    "vol-07": "a quotient of the given numbers; rounded to 5 where hops soak up wort",
    "boil-conc-2": "the rule volume x points; the project keeps the extract: test_boil.py",
}


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


def fahrenheit(degrees: float) -> float:
    return degrees * 1.8 + 32.0


def litres(kg: float) -> float:
    return kg / WATER_DENSITY


def strike_us(ratio_qt_per_lb: float, grain_temp_F: float, target_F: float, **_: Any) -> float:
    found = heat.strike_temperature(
        celsius(target_F), ratio_qt_per_lb * L_PER_QT, KG_PER_LB, celsius(grain_temp_F),
        grain_heat=0.2 * PER_QT_LB,
    )  # fmt: skip
    return fahrenheit(found)


def strike_lb(
    grain_lb: float, water_lb: float, grain_temp_F: float, target_F: float, c_ratio: float
) -> float:
    return fahrenheit(
        heat.strike_temperature(
            celsius(target_F), litres(water_lb), grain_lb, celsius(grain_temp_F), grain_heat=c_ratio
        )
    )


def infusion_qt(
    grain_lb: float, water_in_mash_qt: float, mash_F: float, target_F: float, infusion_F: float, **g: float
) -> float:
    held = heat.mash_heat(
        grain_lb * KG_PER_LB, water_in_mash_qt * L_PER_QT, grain_heat=g["coefficient"] * PER_QT_LB
    )
    return heat.infusion(celsius(target_F), celsius(mash_F), held, celsius(infusion_F)) / L_PER_QT


def infusion_lb(
    grain_lb: float, water_in_mash_lb: float, mash_F: float, target_F: float, infusion_F: float, **g: float
) -> float:
    held = heat.mash_heat(grain_lb, litres(water_in_mash_lb), grain_heat=g["c_ratio"])
    return heat.infusion(celsius(target_F), celsius(mash_F), held, celsius(infusion_F)) * WATER_DENSITY


def infusion_metric(
    grain_kg: float, water_in_mash_L: float, mash_C: float, target_C: float, infusion_C: float, **g: float
) -> float:
    held = heat.mash_heat(grain_kg, water_in_mash_L, grain_heat=g["coefficient"] * WATER_DENSITY)
    return heat.infusion(target_C, mash_C, held, infusion_C)


def decoction_plain(mash_L: float, mash_C: float, target_C: float, boil_C: float, **_: Any) -> float:
    # Equal heat capacity: a mash of liquor alone, nothing lost.
    held = heat.mash_heat(0.0, mash_L)
    wanted = heat.decoction_heat(target_C, mash_C, held, boil_C, loss=1.0)
    return heat.pull("thick", 0.0, mash_L, wanted).volume


def decoction_thick(
    grain_kg: float, water_kg: float, mash_C: float, target_C: float, boil_C: float, **_: Any
) -> float:
    held = heat.mash_heat(grain_kg, litres(water_kg))
    wanted = heat.decoction_heat(target_C, mash_C, held, boil_C, loss=1.0)
    assert wanted == pytest.approx(4.435, abs=5e-4)
    return heat.pull("thick", grain_kg, litres(water_kg), wanted).mass


def ramp_rate(grain_kg: float, water_kg: float, power_W: float, loss_W: float, **g: float) -> float:
    held = heat.mash_heat(grain_kg, litres(water_kg), grain_heat=g["c_grain_J"] / g["c_water_J"])
    return heat.heating_rate(power_W, held, loss_W)


def ramp_time(start_C: float, end_C: float, **g: float) -> float:
    return heat.ramp_minutes(start_C, end_C, ramp_rate(**g))


def one_gallon_of(value: float) -> float:
    return parse(f"{value} gal/lb", "absorption").value


def before_boil(final_gal: float, shrinkage: float, boil_off_fraction_per_h: float, boil_h: float) -> float:
    assert gravity.hot_volume(1.0) == pytest.approx(1.0 / (1.0 - shrinkage))
    return gravity.hot_volume(final_gal) / (1.0 - boil_off_fraction_per_h * boil_h)


def water_shrinks(hot_C: float, cold_C: float, **_: Any) -> float:
    return 100.0 * (1.0 - gravity.water_density(hot_C) / gravity.water_density(cold_C))


def limit_of(rests: list[list[float]], **more: float) -> float:
    return 100.0 * convert(stretches([(row[0], row[1]) for row in rests]), **more).limit


def with_dextrin_malt(rests: list[list[float]], **_: Any) -> float:
    converted = limit_of(rests) / 100.0
    return 100.0 * mash.blended_limit([(0.9, converted), (0.1, min(mash.CARAMEL_LIMIT, converted))])


def best_temperature(**_: Any) -> float:
    found = {t / 4: limit_of([[t / 4, 60], [74, 10]]) for t in range(240, 289)}
    return max(found, key=lambda t: found[t])


def sugar_ratio(mash_C: float, minutes: float, **_: Any) -> float:
    return convert(stretches([(mash_C, minutes)])).sugar / convert(stretches([(65, 60)])).sugar


def regression(row: dict[str, Any]) -> float:
    given = row["inputs"]
    more = {"crush": given["k_gel_per_s"]} if "k_gel_per_s" in given else {}
    if "dissolved" in row["unit"]:
        return 100.0 * convert(stretches([(r[0], r[1]) for r in given["rests"]]), **more).dissolved
    return limit_of(given["rests"], **more)


def first_wort_lb(
    grain_lb: float, moisture: float, extract_dry: float, water_gal: float, **g: float
) -> float:
    extract = grain_lb * gravity.yield_as_is(extract_dry, moisture)
    per_gal = g.get("water_density_lb_per_gal", WATER_DENSITY * L_PER_GAL / KG_PER_LB)
    return gravity.first_wort_plato(extract, water_gal * per_gal)


def first_wort_kg(water_L_per_kg: float, extract_dry: float, moisture: float, conversion: float) -> float:
    extract = gravity.yield_as_is(extract_dry, moisture) * conversion
    return gravity.first_wort_plato(extract, water_L_per_kg * WATER_DENSITY)


def held_for(dissolved: float, charges: list[float], wanted: float) -> float:
    """Wort that the grain must hold (L) for so much to reach the kettle."""
    low, high = 0.0, sum(charges)
    for _ in range(60):
        middle = 0.5 * (low + high)
        more = lauter.run_off(dissolved, charges[0], middle, charges[1:]).volume > wanted
        low, high = (middle, high) if more else (low, middle)
    return low


def batch(
    grain_lb: float, extract_as_is: float, charges_gal: list[float], preboil_gal: float, conversion: float
) -> float:
    dissolved = grain_lb * KG_PER_LB * extract_as_is * conversion
    charges = [gallons * L_PER_GAL for gallons in charges_gal]
    held = held_for(dissolved, charges, preboil_gal * L_PER_GAL)
    return 100.0 * lauter.run_off(dissolved, charges[0], held, charges[1:]).efficiency


def no_sparge(
    grain_kg: float, extract_as_is: float, preboil_L: float, conversion: float, **g: float
) -> float:
    dissolved = grain_kg * extract_as_is * conversion
    absorbed = g["apparent_absorption_L_per_kg"]
    liquor = lauter.liquor_for(preboil_L, grain_kg, absorbed)
    held = lauter.retained_wort(grain_kg, dissolved, absorbed)
    return 100.0 * lauter.no_sparge(dissolved, liquor, held).efficiency


def yield_on_weight(kettle_L: float, kettle_P: float, grain_kg: float, **_: float) -> float:
    # The definition quoted takes a litre of water as a kilogram.
    return 100.0 * gravity.extract_mass(kettle_L, gravity.sg_from_plato(kettle_P)) / WATER_DENSITY / grain_kg


def hotter(P: float, **_: Any) -> float:
    return boil.boiling_point(0.0, P) - boil.boiling_point(0.0, 0.0)


Meets = Callable[..., float]
BY_ID: dict[str, Meets] = {
    "heat-01": strike_us,
    "heat-02": lambda ratio_L_per_kg, grain_temp_C, target_C, **_: heat.strike_temperature(
        target_C, ratio_L_per_kg, 1.0, grain_temp_C, grain_heat=0.41 * WATER_DENSITY
    ),
    "heat-03": lambda water_kg, grain_kg, grain_temp_C, target_C, c_ratio: heat.strike_temperature(
        target_C, litres(water_kg), grain_kg, grain_temp_C, grain_heat=c_ratio
    ),
    "heat-04": strike_lb,
    "heat-05": infusion_qt,
    "heat-06": infusion_qt,
    "heat-07": infusion_lb,
    "heat-08": infusion_metric,
    "heat-09": decoction_plain,
    "heat-10": decoction_thick,
    "heat-11": ramp_rate,
    "heat-12": ramp_time,
    "vol-01": lambda grain_lb, water_qt: (
        mash.mash_volume(water_qt * L_PER_QT, grain_lb * KG_PER_LB) / L_PER_QT
    ),
    "vol-02": lambda **_: mash.GRAIN_DISPLACEMENT,
    "vol-03": lambda absorption_gal_per_lb: one_gallon_of(absorption_gal_per_lb),
    "vol-04": before_boil,
    "vol-05": lambda preboil_gal, tun_loss_gal, grain_lb, absorption_gal_per_lb: lauter.liquor_for(
        preboil_gal, grain_lb, absorption_gal_per_lb, tun_loss_gal
    ),
    "vol-06": water_shrinks,
    "enz-03": lambda temp_C, minutes: convert(stretches([(temp_C, minutes)])).alpha,
    "att-peak": best_temperature,
    "sug-03": lambda real_limit, **_: real_limit / mash.REAL_PER_APPARENT,
    "eff-01": first_wort_lb,
    "eff-03": first_wort_lb,
    "eff-04": lambda og_points, volume_gal, ppg, efficiency: alt.weight_for_points(
        og_points, volume_gal, ppg * efficiency
    ),
    "eff-06": lambda og, volume_gal: gravity.points(og) * volume_gal,
    "eff-07": lambda grain_kg, extract_as_is, water_L, preboil_L: held_for(
        grain_kg * extract_as_is, [water_L], preboil_L
    ),
    "eff-08": yield_on_weight,
    "dms-01": lambda temp_C, pH: dms.half_life(temp_C, pH),
    "dms-02": lambda temp_C, pH: dms.half_life(temp_C, pH),
    "dms-06": lambda temp_C, pH: dms.half_life(temp_C, pH),
    "dms-03": lambda rate_per_min, **_: math.log(2.0) / dms.FREE_LOSS,
    "dms-04": lambda temp_C, **_: dms.half_life(temp_C),
    "dms-05": lambda boil_min, **_: dms.precursor_left(boil_min),
    "boil-conc-1": lambda preboil_L_20C, preboil_P, postboil_L_20C: gravity.plato_from_sg(
        boil.concentrated(gravity.sg_from_plato(preboil_P), preboil_L_20C, postboil_L_20C)
    ),
    "boil-power": lambda power_W, loss_W, **_: boil.evaporation_limit(power_W, loss_W) * WATER_DENSITY,
    "boil-bpe": hotter,
}  # fmt: skip
BY_START: dict[str, Meets] = {
    "enz-": lambda temp_C, minutes: convert(stretches([(temp_C, minutes)])).beta,
    "att-ch": with_dextrin_malt,
    "att-ale": lambda rests_C, **_: limit_of(rests_C),
    "att-terrill": lambda rests_C, **_: limit_of(rests_C),
    "sug-": sugar_ratio,
    "eff-fw": first_wort_kg,
    "eff-batch": batch,
    "eff-nosparge": no_sparge,
    "boil-": lambda altitude_m: boil.boiling_point(altitude_m),
}


def model_of(row: dict[str, Any]) -> Meets | None:
    name = row["id"]
    if name in BY_ID:
        return BY_ID[name]
    for start, model in BY_START.items():
        if name.startswith(start):
            return model
    return None


OURS = [row for row in ROWS if not row["id"].startswith(WATER)]
TESTED = [row for row in OURS if row["id"] not in LEFT_OUT]


@pytest.mark.parametrize("row", TESTED, ids=label)
def test_value_is_met(row: dict[str, Any]) -> None:
    if row["id"].startswith("modB-"):
        found = regression(row)
    else:
        model = model_of(row)
        assert model is not None, f"no function for {row['id']}"
        found = float(model(**row["inputs"]))
    assert found == pytest.approx(row["expected"], abs=row["tolerance"], rel=0), (
        f"{row['unit']}; {DATA['sources'][row['source']]}"
    )


def test_nothing_else_is_left_out() -> None:
    """Each entry left out is one of the file, and each function named here has an entry."""
    names = {row["id"] for row in OURS}
    assert set(LEFT_OUT) <= names
    assert set(BY_ID) <= names
    assert all(any(name.startswith(start) for name in names) for start in BY_START)
    assert len(TESTED) == len(OURS) - len(LEFT_OUT)
    assert len(OURS) == 80, "an entry came or went: say here what meets it"
