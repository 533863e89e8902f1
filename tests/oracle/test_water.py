"""Salts, solubility and titration against a geochemistry engine, and the salts' shares against molar masses."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import Any

import pytest

phreeqpython = pytest.importorskip("phreeqpython", reason="needs the extra `oracle`: phreeqpython")

from recipelint.brewing import acids, water  # noqa: E402
from recipelint.recipe.catalogue import Catalogue  # noqa: E402

pytestmark = pytest.mark.oracle

CATALOGUE = Catalogue.shipped()
AIR = math.log10(417e-6)  # carbon dioxide, atm
# element, the ion's name, its molar mass
ELEMENTS = {
    "Ca": ("calcium", 40.078),
    "Mg": ("magnesium", 24.305),
    "Na": ("sodium", 22.990),
    "K": ("potassium", 39.098),
    "Cl": ("chloride", 35.453),
    "S": ("sulphate", 96.06),
}
FORMULAS = {
    "gypsum": "CaSO4:2H2O",
    "calcium-chloride": "CaCl2:2H2O",
    "calcium-chloride-anhydrous": "CaCl2",
    "epsom-salt": "MgSO4:7H2O",
    "magnesium-chloride": "MgCl2:6H2O",
    "table-salt": "NaCl",
    "potassium-chloride": "KCl",
    "baking-soda": "NaHCO3",
    "pickling-lime": "Ca(OH)2",
    "sodium-sulphate": "Na2SO4",
}


@lru_cache(maxsize=1)
def engine() -> Any:
    return phreeqpython.PhreeqPython()


def solution(temperature: float = 20.0, **millimoles: float) -> Any:
    return engine().add_solution_simple(dict(millimoles), temperature=temperature)


def titrated(start: Callable[[], Any], acid: str, ph: float) -> float:
    """mmol of an acid that bring a litre to a pH, nothing let out."""
    low, high = 0.0, 60.0
    for _round in range(40):
        middle = 0.5 * (low + high)
        sample = start()
        sample.add(acid, middle)
        low, high = (middle, high) if sample.pH > ph else (low, middle)
        sample.forget()
    return low


def per_gram(name: str) -> water.Liquor:
    row = CATALOGUE.addition(name)
    assert row is not None and row.ions is not None
    return water.per_gram(row.ions)


@pytest.mark.parametrize("name", sorted(FORMULAS))
def test_ions_of_a_salt(name: str) -> None:
    """A gram in a litre (half of it for gypsum and lime, well below what dissolves)."""
    row = CATALOGUE.addition(name)
    assert row is not None and row.molar_mass is not None
    grams = 0.5
    sample = engine().add_solution_simple({FORMULAS[name]: 1000.0 * grams / row.molar_mass}, temperature=20.0)
    ours = per_gram(name)
    for element, (ion, mass) in ELEMENTS.items():
        found = sample.total(element, "mmol") * mass
        assert grams * getattr(ours, ion) == pytest.approx(found, rel=1e-3, abs=0.01), ion
    sample.forget()


@pytest.mark.parametrize("temperature", [20.0, 45.0, 65.0, 78.0])
def test_gypsum_dissolves_to_our_limit(temperature: float) -> None:
    """Our limit is the least of the brewing range, and within a tenth of the most."""
    sample = solution(temperature)
    sample.equalize(["Gypsum"], [0.0])
    found = sample.total("Ca", "mmol") * 0.17217
    assert found + 0.005 >= water.GYPSUM_LIMIT
    assert pytest.approx(found, rel=0.11) == water.GYPSUM_LIMIT


def test_chalk_dissolves_to_our_limit() -> None:
    sample = solution()
    sample.equalize(["Calcite", "CO2(g)"], [0.0, AIR])
    assert sample.total("Ca", "mmol") * 0.10009 == pytest.approx(water.CHALK_LIMIT, abs=0.002)
    closed = solution()
    closed.equalize(["Calcite"], [0.0])
    assert closed.total("Ca", "mmol") * 0.10009 == pytest.approx(0.012, abs=0.002)


@pytest.mark.parametrize("ph", [4.8, 5.2, 5.4, 5.8, 6.2])
@pytest.mark.parametrize("millimoles", [0.5, 2.0, 5.0])
def test_bicarbonate_with_hydrochloric_acid(ph: float, millimoles: float) -> None:
    """Within 2 % of the alkalinity; the engine works at 20 °C and counts the salt in the water, we do neither."""
    start = lambda: solution(NaHCO3=millimoles)  # noqa: E731
    ours = water.acid_needed(water.Liquor(alkalinity=millimoles, carbon=millimoles), 1.0, ph)
    assert ours == pytest.approx(titrated(start, "HCl", ph), abs=0.02 * millimoles)


@pytest.mark.parametrize("ph", [5.0, 5.4, 5.8])
def test_bicarbonate_with_phosphoric_acid(ph: float) -> None:
    liquor = water.Liquor(alkalinity=3.0, carbon=3.0)
    given_off = acids.charge(acids.ACIDS["phosphoric-acid"].pkas, ph)[0]
    found = titrated(lambda: solution(NaHCO3=3.0), "H3PO4", ph)
    assert water.acid_needed(liquor, 1.0, ph) / given_off == pytest.approx(found, rel=0.03)


@pytest.mark.parametrize("ph", [5.0, 5.4, 5.8])
def test_what_phosphoric_acid_gives_off(ph: float) -> None:
    """How much stronger a mole of hydrochloric acid is, which has one equivalent at any of these."""
    ratio = titrated(lambda: solution(NaHCO3=3.0), "HCl", ph) / titrated(
        lambda: solution(NaHCO3=3.0), "H3PO4", ph
    )
    assert acids.charge(acids.ACIDS["phosphoric-acid"].pkas, ph)[0] == pytest.approx(ratio, abs=0.02)


@pytest.mark.parametrize("grams", [0.1, 0.3])
def test_lime_takes_up_its_alkalinity(grams: float) -> None:
    """Beside bicarbonate, before anything falls out: hydroxide takes acid whole, bicarbonate in part."""
    lime = 1000.0 * grams / 74.093
    liquor = water.with_salts(
        water.Liquor(alkalinity=2.0, carbon=2.0), [water.Salt("", "mash", grams, _ions("pickling-lime"))], 1.0
    )
    found = titrated(
        lambda: engine().add_solution_simple({"NaHCO3": 2.0, "Ca(OH)2": lime}, temperature=20.0), "HCl", 5.4
    )
    assert water.acid_needed(liquor, 1.0, 5.4) == pytest.approx(found, rel=0.01)


def _ions(name: str) -> dict[str, float]:
    row = CATALOGUE.addition(name)
    assert row is not None and row.ions is not None
    return dict(row.ions)


def test_shares_of_salts_from_molar_masses() -> None:
    molmass = pytest.importorskip("molmass", reason="needs the extra `oracle`: molmass")
    weights = {
        "calcium": "Ca",
        "magnesium": "Mg",
        "sodium": "Na",
        "potassium": "K",
        "chloride": "Cl",
        "sulphate": "SO4",
        "bicarbonate": "HCO3",
        "carbonate": "CO3",
        "hydroxide": "OH",
        "zinc": "Zn",
    }
    counts = {"calcium-chloride": {"chloride": 2}, "calcium-chloride-anhydrous": {"chloride": 2}}
    counts |= {
        "magnesium-chloride": {"chloride": 2},
        "pickling-lime": {"hydroxide": 2},
        "sodium-sulphate": {"sodium": 2},
    }
    seen = 0
    for name in CATALOGUE.ids("additions"):
        row = CATALOGUE.addition(name)
        if row is None or row.ions is None or row.formula is None:
            continue
        whole = sum(
            molmass.Formula(part.lstrip("7265") or part).mass * _times(part)
            for part in row.formula.split(".")
        )
        for ion, share in row.ions.items():
            times = counts.get(name, {}).get(ion, 1)
            assert share == pytest.approx(times * molmass.Formula(weights[ion]).mass / whole, abs=1e-4), (
                name,
                ion,
            )
            seen += 1
    assert seen >= 20


def _times(part: str) -> int:
    digits = part[: len(part) - len(part.lstrip("0123456789"))]
    return int(digits) if digits else 1
