"""Every value of check_values/fermentation-and-packaging.yaml on gravity, yeast and attenuation, its equations A and
B, against the function that should meet it.

The values on oxygen, gas, packages and labels (C to F) have a test of their own.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any

import pytest
import yaml

from recipelint.brewing import feeding, fermentation, gravity, path
from recipelint.brewing import yeast as y
from recipelint.brewing.yeast import Amount, Band
from tests.brewing.labels import label

HERE = os.path.dirname(os.path.abspath(__file__))
PATH = os.path.join(HERE, os.pardir, "check_values", "fermentation-and-packaging.yaml")
with open(PATH, encoding="utf-8") as _file:
    DATA = yaml.safe_load(_file)
ROWS: list[dict[str, Any]] = DATA["checks"]
OURS = [row for row in ROWS if row["equation"][0] in "AB"]

LEFT_OUT: dict[str, str] = {}

# Values of the simple factors and rules that the project does not use. That the value is theirs is shown by FORMS;
# the project's own function is then held to it as closely as the two are known to agree, and here is why.
_SIMPLE = "the simple factors stand above the balance of masses, which distilled beers agree with"
WIDER = {
    "real-extract-12p": (0.15, _SIMPLE),
    "real-extract-20p": (0.25, _SIMPLE),
    "rdf-12p": (1.2, _SIMPLE),
    "rdf-20p": (1.2, _SIMPLE),
    "abw-12p": (0.08, _SIMPLE),
    "abw-20p": (0.13, _SIMPLE),
    "abv-12p": (0.10, _SIMPLE),
    "sugar-apparent-attenuation": (1.0, "1 / 0.8192 whatever the wort; the balance gives 123.0 at 20 °P"),
    "fg-malt-plus-10pct-lactose": (0.04, _SIMPLE),
    "fg-quick-quarter": (
        0.0012,
        "a quarter of the points; attenuation is of °P, so that it ends a point lower",
    ),
}


def sure(value: float) -> Band:
    return Band(value, value, value)


def of_plato(rate_m_per_ml_p: float, volume_l: float, plato: float) -> float:
    return y.cells_wanted(volume_l, gravity.sg_from_plato(plato), sure(rate_m_per_ml_p)).value


def of_gravity(rate_m_per_ml_p: float, volume_l: float, og: float) -> float:
    return y.cells_wanted(volume_l, og, sure(rate_m_per_ml_p)).value


def flat(density_m_per_ml: float, volume_l: float) -> float:
    """6 million/mL is the low side of the ale rate at 12 °P."""
    assert density_m_per_ml == pytest.approx(12.0 * y.RATES["ale"].low)
    return y.cells_wanted(volume_l, gravity.sg_from_plato(12.0), y.RATES["ale"]).low


def dry_per_gram(viability: float) -> float:
    found = y.pitched(Amount("dry", weight=0.001, viability=sure(viability), rehydrated=True))
    assert found is not None
    return found.cells.value


def dry_grams(cells_billion: float, viable_billion_per_g: float) -> float:
    return cells_billion / dry_per_gram(viable_billion_per_g / y.DRY_TOTAL.value)


def sachet(grams: float, viable_billion_per_g: float) -> float:
    usual = y.pitched(Amount("dry", weight=grams / 1000.0, rehydrated=True))
    assert usual is not None
    found = grams * dry_per_gram(viable_billion_per_g / y.DRY_TOTAL.value)
    assert usual.cells.low <= found <= usual.cells.high
    return found


def half_viable(cells_total_billion_per_g: float, viability: float) -> float:
    assert cells_total_billion_per_g == y.DRY_TOTAL.value
    return dry_per_gram(viability)


def for_bottles(target_m_per_ml: float, volume_l: float, viable_billion_per_g: float) -> float:
    return dry_grams(target_m_per_ml * volume_l, viable_billion_per_g)


def slurry(cells_billion: float, density_billion_per_ml: float, viability: float) -> float:
    litre = Amount("slurry", volume=1.0, density=sure(density_billion_per_ml), viability=sure(viability))
    found = y.pitched(litre)
    assert found is not None
    return 1000.0 * cells_billion / found.cells.value


def linear(start_pct: float, loss_pct_points_per_day: float, age_days: float) -> float:
    assert loss_pct_points_per_day / 100.0 == pytest.approx(y.LINEAR_LOSS)
    found = y.linear_viability(age_days, loss_pct_points_per_day / 100.0, start_pct / 100.0)
    band = y.viability("liquid", age_days)
    assert band.low <= found <= band.high
    return 100.0 * found


def exponential(start_pct: float, loss_fraction_per_month: float, age_months: float) -> float:
    found = y.exponential_viability(age_months * y.MONTH, loss_fraction_per_month, start_pct / 100.0)
    assert y.viability("liquid", age_months * y.MONTH).value == pytest.approx(found)
    return 100.0 * found


def still_starter(cells_in_billion: float, volume_l: float) -> float:
    extract = gravity.extract_mass(volume_l, gravity.sg_from_plato(9.0))
    return cells_in_billion + y.still_growth(cells_in_billion, extract)


def stirred_starter(cells_in_billion: float, extract_g: float) -> float:
    return cells_in_billion + y.stirred_growth(cells_in_billion, extract_g / 1000.0)


def beer(oe_p: float, ae_p: float) -> fermentation.Beer:
    return fermentation.alcohol(gravity.sg_from_plato(oe_p), gravity.sg_from_plato(ae_p))


def real_attenuation(oe_p: float, ae_p: float) -> float:
    return 100.0 * fermentation.real_attenuation(gravity.sg_from_plato(oe_p), gravity.sg_from_plato(ae_p))


def of_mebak(adf_pct: float) -> float:
    og = gravity.sg_from_plato(12.0)
    return 100.0 * fermentation.real_attenuation(og, fermentation.gravity_at(og, adf_pct / 100.0))


def brewed(oe_p: float, malt_adf: float, sugar: float = 0.0, lactose: float = 0.0) -> float:
    """Apparent extract (°P) at the end of the path of a wort with so large a share of its extract from either."""
    malt = fermentation.fermentability(malt_adf, gravity.sg_from_plato(oe_p))
    way = path.path(oe_p, 100.0 - oe_p, (1.0 - sugar - lactose) * malt + sugar)
    return gravity.plato_from_sg(way.end.beer.gravity)


def apparent_with_sugar(sugar_share_of_extract: float, malt_adf: float) -> float:
    return 100.0 * (1.0 - brewed(20.0, malt_adf, sugar_share_of_extract) / 20.0)


def staged(wort_l: float, wort_sg: float, sucrose_kg: float) -> float:
    """The gravity when sugar goes in before anything has fermented."""
    extract, water = gravity.extract_mass(wort_l, wort_sg), gravity.water_in(wort_l, wort_sg)
    dose = path.Addition("", sucrose_kg, 0.0, 1.0, "day", 0.0)
    return path.path(extract, water, 0.65, [dose]).events[1].after.value


Meets = Callable[..., float]
BY_ID: dict[str, Meets] = {
    "pitch-ale-20l-12p": of_plato,
    "pitch-ale-fix-3_8l": of_plato,
    "pitch-ale-5_5gal-15p": of_plato,
    "pitch-flat-6m-per-ml": flat,
    "pitch-lager-20l-12p": of_plato,
    "pitch-strong-23l-24p": of_plato,
    "pitch-ale-19l-1050": of_gravity,
    "pitch-strong-23l-1100": of_gravity,
    "plato-from-sg-1040": gravity.plato_from_sg,
    "plato-from-sg-1060": gravity.plato_from_sg,
    "plato-from-sg-1080": gravity.plato_from_sg,
    "plato-from-sg-1100": gravity.plato_from_sg,
    "plato-from-sg-1120": gravity.plato_from_sg,
    "dry-yeast-grams-234b": dry_grams,
    "dry-yeast-sachet-label-min": sachet,
    "dry-yeast-half-viable": half_viable,
    "reyeast-20l": for_bottles,
    "reyeast-us-gallon": for_bottles,
    "slurry-ml-180b": slurry,
    "viability-linear-30d": linear,
    "viability-linear-90d": linear,
    "viability-linear-floor": linear,
    "viability-exp-3-months": exponential,
    "viability-exp-6-months": exponential,
    "starter-yield-factor": lambda initial_m_per_ml, final_m_per_ml, plato_start, plato_end: y.yield_factor(
        initial_m_per_ml, final_m_per_ml, plato_start, plato_end
    ),
    "starter-still-100b-in-1l": still_starter,
    "starter-still-100b-in-2l": still_starter,
    "starter-stirred-low-inoculum": stirred_starter,
    "starter-stirred-mid-inoculum": stirred_starter,
    "starter-stirred-no-growth": stirred_starter,
    "starter-measured-14": lambda volume_l, plato_start, plato_end: y.measured_growth(
        volume_l, plato_start, plato_end
    ),
    "real-extract-12p": lambda **given: beer(**given).real_extract,
    "rdf-12p": real_attenuation,
    "abw-12p": lambda **given: 100.0 * beer(**given).abw,
    "real-extract-20p": lambda **given: beer(**given).real_extract,
    "rdf-20p": real_attenuation,
    "abw-20p": lambda **given: 100.0 * beer(**given).abw,
    "abv-12p": lambda **given: 100.0 * beer(**given).abv,
    "rdf-from-adf-mebak": of_mebak,
    "sugar-apparent-attenuation": lambda real_fermentability: (
        100.0 * (1.0 - brewed(20.0, 0.75, real_fermentability) / 20.0)
    ),
    "fg-malt-plus-20pct-sugar": lambda oe_p, sugar_share_of_extract, malt_adf: brewed(
        oe_p, malt_adf, sugar_share_of_extract
    ),
    "adf-malt-plus-20pct-sugar": apparent_with_sugar,
    "fg-malt-plus-10pct-lactose": lambda oe_p, lactose_share_of_extract, malt_adf: brewed(
        oe_p, malt_adf, lactose=lactose_share_of_extract
    ),
    "fg-quick-quarter": lambda og, adf: fermentation.gravity_at(og, adf),
    "staged-sugar-effective-og": staged,
    "staged-sugar-effective-plato": lambda **given: gravity.plato_from_sg(staged(**given)),
    "volume-drift-og": lambda planned_l, planned_sg, actual_l: gravity.sg_of(
        gravity.extract_mass(planned_l, planned_sg), actual_l
    ),
    "heat-rise-12p": lambda plato, rdf: feeding.heat_rise(plato / 100.0 * rdf),
}


def _real(oe_p: float, ae_p: float) -> float:
    return 0.1808 * oe_p + 0.8192 * ae_p


def _by_mass(oe_p: float, ae_p: float) -> float:
    return (oe_p - _real(oe_p, ae_p)) / (2.0665 - 0.010665 * oe_p)


FORMS: dict[str, Meets] = {
    "real-extract": _real,
    "rdf": lambda oe_p, ae_p: 100.0 * (oe_p - _real(oe_p, ae_p)) / oe_p,
    "abw": _by_mass,
    "abv": lambda oe_p, ae_p: _by_mass(oe_p, ae_p) * gravity.sg_from_plato(ae_p) / 0.7907,
    "sugar-apparent": lambda real_fermentability: 100.0 * real_fermentability / 0.8192,
    "fg-malt-plus-10pct-lactose": lambda oe_p, lactose_share_of_extract, malt_adf: (
        oe_p
        * ((1.0 - lactose_share_of_extract) * (1.0 - 0.8192 * malt_adf) + lactose_share_of_extract - 0.1808)
        / 0.8192
    ),
    "fg-quick": lambda og, adf: gravity.sg_from_points(gravity.points(og) * (1.0 - adf)),
}

TESTED = [row for row in OURS if row["id"] not in LEFT_OUT]


@pytest.mark.parametrize("row", TESTED, ids=label)
def test_value_is_met(row: dict[str, Any]) -> None:
    tolerance, why = WIDER.get(row["id"], (row["tolerance"], ""))
    found = float(BY_ID[row["id"]](**row["inputs"]))
    assert found == pytest.approx(row["expected"], abs=tolerance, rel=0), (
        f"{row['unit']}; {DATA['sources'][row['source']]}; {why}"
    )


@pytest.mark.parametrize("row", [row for row in TESTED if row["id"] in WIDER], ids=label)
def test_value_is_that_of_its_own_equation(row: dict[str, Any]) -> None:
    """And further from the project's than its own tolerance: else it should not be listed as wider."""
    form = next(form for start, form in FORMS.items() if row["id"].startswith(start))
    expected, tolerance = row["expected"], row["tolerance"]
    assert form(**row["inputs"]) == pytest.approx(expected, abs=tolerance, rel=0)
    assert abs(BY_ID[row["id"]](**row["inputs"]) - expected) > tolerance


def test_nothing_else_is_left_out() -> None:
    """Each entry of the equations A and B is tested or left out with a reason, and each named here has an entry."""
    names = {row["id"] for row in OURS}
    assert set(BY_ID) | set(LEFT_OUT) == names
    assert not set(BY_ID) & set(LEFT_OUT)
    assert set(WIDER) <= names
    assert all(any(name.startswith(start) for name in WIDER) for start in FORMS)
    assert len(OURS) == 48, "an entry came or went: say here what meets it"


def test_the_file_names_its_sources_and_equations() -> None:
    ids = [row["id"] for row in ROWS]
    assert len(set(ids)) == len(ids)
    assert {row["source"] for row in ROWS} == set(DATA["sources"])
    for row in ROWS:
        assert row["kind"] in ("published", "derived")
        assert row["equation"][:2] in DATA["equations"]
        assert row["tolerance"] >= 0.0
