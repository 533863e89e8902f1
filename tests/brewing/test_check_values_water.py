"""Every value of check_values/mash-and-water.yaml on water, salts, acids and mash pH, against the function that
should meet it.

Heat, mash, lautering and boil have a test of their own.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any

import pytest
import yaml

from recipelint.brewing import acids, mash_ph, water
from recipelint.recipe.catalogue import Catalogue
from recipelint.recipe.units import KINDS

HERE = os.path.dirname(os.path.abspath(__file__))
with open(os.path.join(HERE, os.pardir, "check_values", "mash-and-water.yaml"), encoding="utf-8") as _file:
    DATA = yaml.safe_load(_file)
OURS = ("salt-", "saltgal-", "alk-", "water-", "ra-", "unit-", "acid-", "sol-", "ph-", "mph-")
ROWS: list[dict[str, Any]] = [row for row in DATA["checks"] if row["id"].startswith(OURS)]

CATALOGUE = Catalogue.shipped()
L_PER_GAL = 3.785411784
IN_CATALOGUE = {
    "gypsum": "gypsum",
    "cacl2_dihydrate": "calcium-chloride",
    "epsom": "epsom-salt",
    "nacl": "table-salt",
    "nahco3": "baking-soda",
    "chalk": "chalk",
    "lime": "pickling-lime",
}
ION = {
    "Ca": "calcium",
    "Mg": "magnesium",
    "Na": "sodium",
    "Cl": "chloride",
    "SO4": "sulphate",
    "HCO3": "bicarbonate",
}


def gram(salt: str) -> water.Liquor:
    """A gram in a litre, by the shares of the shipped catalogue, all dissolved."""
    row = CATALOGUE.addition(IN_CATALOGUE[salt])
    assert row is not None and row.ions is not None
    return water.per_gram(row.ions)


def salt_ion(row: dict[str, Any]) -> float:
    given = row["inputs"]
    per_litre = given["g_per_L"] if "g_per_L" in given else given["g_per_US_gal"] / L_PER_GAL
    value, _why = water.found(gram(given["salt"]), ION[row["unit"].split()[-1]])
    assert value is not None
    return value * per_litre


def alkalinity(row: dict[str, Any]) -> float:
    meq = gram(row["inputs"]["salt"]).alkalinity * row["inputs"]["g_per_L"]
    return meq * water.CACO3 if "CaCO3" in row["unit"] else meq


def hard(calcium_ppm: float, magnesium_ppm: float, alkalinity_ppm: float) -> water.Liquor:
    """Water told in hardness as calcium carbonate."""
    return water.liquor_of(
        calcium=calcium_ppm / water.CACO3 * water.CALCIUM,
        magnesium=magnesium_ppm / water.CACO3 * water.MAGNESIUM,
        alkalinity=alkalinity_ppm,
    )


def value(found: tuple[float | None, str]) -> float:
    assert found[0] is not None, found[1]
    return found[0]


def balance(malts: list[dict[str, float]], water_L: float, **ions: float) -> float:
    liquor = water.liquor_of(
        calcium=ions["Ca_mg_L"], magnesium=ions["Mg_mg_L"], bicarbonate=ions["HCO3_mg_L"]
    )
    lines = [
        mash_ph.Malt(str(i), "", malt["kg"], malt["pH_DI"], malt["buffer_mEq_kg_pH"])
        for i, malt in enumerate(malts)
    ]
    ph = mash_ph.mash_ph(lines, [("", liquor)], water_L).ph
    assert ph is not None
    return ph


def darker(share: float) -> float:
    """How much a share of black malt, as the catalogue has it, moves a mash of pale malt in empty water."""
    row = CATALOGUE.fermentable("malt", "black-malt")
    assert row is not None
    dark = mash_ph.malt_of("/1", "", share, row.kind or "", row.lovibond or 0.0, row.mash_ph)
    pale = mash_ph.malt_of("/0", "", 1.0 - share, "base-malt", 2.0)
    whole = mash_ph.malt_of("/0", "", 1.0, "base-malt", 2.0)
    assert dark and pale and whole
    empty = [("", water.Liquor())]
    mixed = mash_ph.mash_ph([pale, dark], empty, 3.0).ph
    alone = mash_ph.mash_ph([whole], empty, 3.0).ph
    assert mixed is not None and alone is not None
    return mixed - alone


def strong(acid: str, mass_fraction: float, **given: float) -> float:
    return acids.acid_strength(f"{acid}-acid", mass_fraction, given["pH"])


def neutralised(volume_gal: float, alkalinity_ppm_CaCO3: float, acid_mEq_mL: float, to_pH: float) -> float:
    liquor = hard(0.0, 0.0, alkalinity_ppm_CaCO3)
    if to_pH == 4.3:  # where the titration of alkalinity ends: all of it
        return liquor.alkalinity * volume_gal * L_PER_GAL / acid_mEq_mL
    return water.acid_needed(liquor, volume_gal * L_PER_GAL, to_pH) / acid_mEq_mL


BY_ID: dict[str, Callable[..., float]] = {
    "water-palmer": lambda needed_Ca_mg_L, gypsum_ppm_per_g_gal, volume_gal: water.salt_needed(
        needed_Ca_mg_L, gypsum_ppm_per_g_gal / 1000.0 * L_PER_GAL, volume_gal * L_PER_GAL
    ),
    "ra-01": lambda alkalinity_ppm_CaCO3, calcium_hardness_ppm_CaCO3, magnesium_hardness_ppm_CaCO3: value(
        water.found(
            hard(calcium_hardness_ppm_CaCO3, magnesium_hardness_ppm_CaCO3, alkalinity_ppm_CaCO3),
            "residual_alkalinity",
        )
    ),
    "ra-03": lambda calcium_mg_L, magnesium_mg_L: value(
        water.found(water.liquor_of(calcium=calcium_mg_L, magnesium=magnesium_mg_L), "hardness")
    ),
    "ra-04": lambda alkalinity_ppm_CaCO3: value(water.found(hard(0, 0, alkalinity_ppm_CaCO3), "bicarbonate")),
    "ra-05": lambda Ca_mg_L, Mg_mg_L, HCO3_mg_L: water.residual_alkalinity(
        water.liquor_of(calcium=Ca_mg_L, magnesium=Mg_mg_L, bicarbonate=HCO3_mg_L)
    ),
    "unit-01": lambda ppm_CaCO3: ppm_CaCO3 / KINDS["alkalinity"].units["°dH"].factor,
    "unit-02": lambda ppm_CaCO3: hard(0, 0, ppm_CaCO3).alkalinity,
    "acid-01": lambda mass_fraction, **_: value(
        acids.acid_dose("lactic-acid", millilitres=1.0, strength=mass_fraction)
    ),
    "acid-02": strong,
    "acid-06": lambda **_: value(acids.acid_dose("lactic-acid", millilitres=1.0)),
    "acid-p10": strong,
    "acid-p75": strong,
    "acid-p85": strong,
    "acid-03": neutralised,
    "acid-04": neutralised,
    "acid-05": lambda alkalinity_mEq_L, to_pH, **_: (
        water.acid_needed(water.Liquor(alkalinity=alkalinity_mEq_L, carbon=alkalinity_mEq_L), 1.0, to_pH)
        / alkalinity_mEq_L
    ),
    "sol-02": lambda **_: 1000.0 * water.CHALK_LIMIT,
    "ph-01": lambda mash_C, **_: mash_ph.hot_ph(5.4, mash_C) - 5.4,
    "ph-02": lambda mash_C, **_: mash_ph.hot_ph(5.4, mash_C) - 5.4,
    "mph-01": balance,
    "mph-02": balance,
    "mph-03": balance,
    "mph-04": balance,
    "mph-05": lambda share_dark_malt, **_: darker(share_dark_malt),
}
LEFT_OUT = {
    "sol-01": "at 20 °C; the code holds gypsum to what dissolves at 78 °C: tests/oracle/test_water.py"
}
TESTED = [row for row in ROWS if row["id"] not in LEFT_OUT]


def label(row: dict[str, Any]) -> str:
    return f"{row['id']}-{row['kind']}-{row['source']}{'-from-memory' if row['from_memory'] else ''}"


@pytest.mark.parametrize("row", TESTED, ids=label)
def test_value_is_met(row: dict[str, Any]) -> None:
    if row["id"].startswith(("salt-", "saltgal-")):
        found = salt_ion(row)
    elif row["id"].startswith("alk-"):
        found = alkalinity(row)
    else:
        found = BY_ID[row["id"]](**row["inputs"])
    assert found == pytest.approx(row["expected"], abs=row["tolerance"], rel=0), DATA["sources"][
        row["source"]
    ]


def test_nothing_else_is_left_out() -> None:
    names = {row["id"] for row in ROWS}
    assert set(LEFT_OUT) <= names
    assert set(BY_ID) <= names
    assert len(ROWS) == 45, "an entry came or went: say here what meets it"


def test_every_value_names_a_source() -> None:
    assert {row["source"] for row in DATA["checks"]} == set(DATA["sources"])
    for row in DATA["checks"]:
        assert row["kind"] in {"published", "derived", "reference-implementation"}, row["id"]
        assert row["tolerance"] > 0, row["id"]
        assert not row["source"].endswith("-MEM") or row["from_memory"], row["id"]
