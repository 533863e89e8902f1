"""The shipped catalogue against what is known of its items, and looking things up in it."""

from __future__ import annotations

import glob
import math
import os
import re

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.recipe.catalogue import (
    GROUP_OF,
    Addition,
    Catalogue,
    Culture,
    Fermentable,
    Hop,
    Water,
    layer_of,
    lovibond_of_ebc,
    origin_of,
    recalled,
)
from recipelint.recipe.catalogue_file import EVIDENCE, FIGURES, PLAIN, RANGES, rows_of
from recipelint.recipe.nearest import nearest, plain_name
from recipelint.recipe.units import lovibond_to_ebc
from recipelint.source.reader import read
from tests.recipe.authored import ROOT, content, expanded

SOURCES = sorted(glob.glob(os.path.join(ROOT, "recipelint", "data", "catalogue", "*.yaml")))
CATALOGUE = Catalogue.shipped()
ALLERGENS = {"gluten", "wheat", "milk"}
# Standard atomic masses, IUPAC 2021, abridged.
ATOMS = {
    "H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "Mg": 24.305, "P": 30.974, "S": 32.06,
    "Cl": 35.45, "K": 39.098, "Ca": 40.078, "Zn": 65.38,
}  # fmt: skip
ION_FORMULAS = {
    "calcium": "Ca", "magnesium": "Mg", "sodium": "Na", "potassium": "K", "zinc": "Zn", "chloride": "Cl",
    "sulphate": "SO4", "bicarbonate": "HCO3", "carbonate": "CO3", "hydroxide": "OH",
}  # fmt: skip

CHARGES = {
    "calcium": 2, "magnesium": 2, "sodium": 1, "potassium": 1, "zinc": 2, "chloride": -1,
    "sulphate": -2, "bicarbonate": -1, "carbonate": -2, "hydroxide": -1,
}  # fmt: skip


def rows(group: str) -> list:
    key = next(key for key, owner in GROUP_OF.items() if owner == group)
    return [CATALOGUE.row(key, ident) for ident in CATALOGUE.ids(group)]


def molar_mass(formula: str) -> float:
    """g/mol of a formula such as CaSO4.2H2O or (NH4)2HPO4."""
    total = 0.0
    for part in formula.split("."):
        times, _, rest = re.match(r"(\d*)()(.*)", part).groups()
        inner = re.sub(r"\((\w+)\)(\d+)", lambda m: m[1] * int(m[2]), rest)
        mass = sum(ATOMS[atom] * int(count or 1) for atom, count in re.findall(r"([A-Z][a-z]?)(\d*)", inner))
        total += int(times or 1) * mass
    return total


def inside(value: float | None, ends: tuple | None) -> bool:
    if value is None or ends is None:
        return True
    low, high = ends
    return (low is None or low <= value + 1e-9) and (high is None or value <= high + 1e-9)


# ---- the rows themselves


@pytest.mark.parametrize(
    ("group", "count"),
    [("fermentables", 173), ("hops", 147), ("cultures", 52), ("additions", 114), ("waters", 22)],
)
def test_no_row_was_lost(group: str, count: int) -> None:
    assert len(CATALOGUE.ids(group)) == count


@pytest.mark.parametrize("path", SOURCES, ids=os.path.basename)
def test_the_sources_obey_the_schema_of_catalogue_files(path: str) -> None:
    schema = expanded("catalogue")
    errors = [error.json_path for error in jsonschema.Draft202012Validator(schema).iter_errors(content(path))]
    assert errors == []


def test_schema_and_reader_of_rows_know_the_same_keys() -> None:
    defs = content(os.path.join(ROOT, "schemas", "source", "catalogue.yaml"))["$defs"]
    for part, group in (
        ("Fermentable", "fermentables"),
        ("Hop", "hops"),
        ("Culture", "cultures"),
        ("Addition", "additions"),
        ("Water", "waters"),
    ):
        named = {key for key, owner in GROUP_OF.items() if owner == group}
        wanted = named | set(FIGURES[group]) | set(RANGES[group]) | set(PLAIN[group]) | EVIDENCE
        assert set(defs[part]["properties"]) == wanted, part
        for key, node in defs[part]["properties"].items():
            assert node["description"] and node["examples"], (part, key)
            kind = {**FIGURES[group], **RANGES[group]}.get(key)
            if kind is not None:
                assert node["x-quantity"] == kind, (part, key)


@pytest.mark.parametrize("path", SOURCES, ids=os.path.basename)
def test_sources_named_in_a_row_are_listed_and_used(path: str) -> None:
    data = content(path)
    used = {each for item in data["items"] for keys in item.get("sources", {}).values() for each in keys}
    used |= {
        each.split(" (")[0] for item in data["items"] for table in item.get("by_source", {}).values()
        if isinstance(table, dict) for each in table
    }  # fmt: skip
    named = {each for item in data["items"] for keys in item.get("sources", {}).values() for each in keys}
    assert named <= set(data["sources"])
    assert set(data["sources"]) - used <= {"swiss-hobby", "kveik-2021", "usda-21673", "palmer-cities"}
    for item in data["items"]:
        sourced = set(item.get("sources", {}))
        memory = item.get("from_memory", [])
        if memory is not True:
            assert not sourced & set(memory), (item, "both sourced and from memory")


@pytest.mark.parametrize("row", rows("fermentables"), ids=lambda row: row.id)
def test_fermentables_are_possible(row: Fermentable) -> None:
    assert row.yield_ is not None and 0.0 <= row.yield_ <= 1.0
    for name in ("yield_", "colour", "lovibond", "diastatic_power", "fermentability"):
        ends = getattr(row, name.rstrip("_") + "_range")
        assert inside(getattr(row, name), ends), name
        if ends is not None:
            assert ends[0] <= ends[1], name
    assert row.yield_basis == ("dry" if row.key in ("malt", "grain") else "as-is")
    assert row.moisture is not None and 0.0 <= row.moisture < 1.0
    if row.yield_basis == "as-is":
        # Dry matter bounds extract; the rounding of both figures is allowed for.
        assert row.yield_ + row.moisture <= 1.0015
    assert set(row.allergens) <= ALLERGENS
    assert row.starch == row.needs_mash
    if not row.starch:
        assert row.diastatic_power == 0.0
    if row.colour is not None:
        assert row.colour == pytest.approx(lovibond_to_ebc(row.lovibond), abs=0.006)
    if row.fermentability_range is not None:
        assert row.fermentability_range[0] >= 0.0 and row.fermentability_range[1] <= 1.0
    if row.key == "sugar":
        share = row.fermentability
        kind = "fully-fermentable" if share >= 0.88 else "unfermentable" if share < 0.2 else "partly"
        assert row.sugar_kind == kind
    else:
        assert row.sugar_kind is None


@pytest.mark.parametrize("row", rows("hops"), ids=lambda row: row.id)
def test_hops_are_possible(row: Hop) -> None:
    assert 0.01 <= row.alpha[0] <= row.alpha[1] <= 0.25  # no hop carries more
    for ends, most in ((row.beta, 0.12), (row.cohumulone, 0.6), (row.storage_loss, 0.8)):
        if ends is not None:
            assert 0.0 <= ends[0] <= ends[1] <= most
    if row.oil is not None:
        assert 0.0 < row.oil[0] <= row.oil[1] <= 6.0
    assert row.purpose in ("bittering", "aroma", "dual")


@pytest.mark.parametrize("row", rows("cultures"), ids=lambda row: row.id)
def test_cultures_are_possible(row: Culture) -> None:
    if row.kind == "bacteria":
        assert row.attenuation is None and row.tolerance is None
    else:
        assert 0.0 < row.attenuation[0] < row.attenuation[1] <= 1.0
        assert 0.03 < row.tolerance[0] <= row.tolerance[1] <= 0.2
    assert 5.0 <= row.temperature[0] < row.temperature[1] <= 43.0
    assert row.diastatic in ("no", "possible", "yes")
    assert row.eats_dextrins in ("no", "possible", "yes")
    if row.diastatic == "yes":
        assert row.eats_dextrins == "yes" and row.phenolic == "yes"
    if row.eats_dextrins == "no" and row.kind != "bacteria":
        assert row.attenuation[1] <= 0.88, "dextrins stay, so the wort's limit bounds it"


@pytest.mark.parametrize("row", [row for row in rows("additions") if row.formula], ids=lambda row: row.id)
def test_formulas_give_the_masses_and_ions(row: Addition) -> None:
    """Against atomic masses (IUPAC 2021)."""
    mass = molar_mass(row.formula)
    assert row.molar_mass == pytest.approx(mass, abs=0.03)
    charge = 0.0
    for ion, share in (row.ions or {}).items():
        each = molar_mass(ION_FORMULAS[ion])
        count = share * mass / each
        assert count == pytest.approx(round(count), abs=0.003), ion
        charge += round(count) * CHARGES[ion]
    assert charge == 0


def imbalance(row: Water) -> float:
    """(positive - negative) / (positive + negative) charge."""
    plus = math.fsum((row.calcium / 20.039, row.magnesium / 12.1525, row.sodium / 22.990))
    minus = math.fsum((row.chloride / 35.45, row.sulphate / 48.03, row.bicarbonate / 61.017))
    return (plus - minus) / (plus + minus) if plus + minus else 0.0


@pytest.mark.parametrize("row", rows("waters"), ids=lambda row: row.id)
def test_waters_that_are_called_plausible_balance(row: Water) -> None:
    ions = (row.calcium, row.magnesium, row.sodium, row.chloride, row.sulphate, row.bicarbonate)
    if None in ions:
        assert row.plausible is None
    else:
        assert row.plausible == (abs(imbalance(row)) < 0.13), imbalance(row)


def test_known_facts() -> None:
    sucrose = CATALOGUE.fermentable("sugar", "table sugar")
    assert sucrose.yield_ == pytest.approx(1.0, abs=0.005) and sucrose.fermentability == 1.0
    # Glucose over its monohydrate, from molar masses.
    dextrose = CATALOGUE.fermentable("sugar", "dextrose")
    assert dextrose.yield_ == pytest.approx(molar_mass("C6H12O6") / molar_mass("C6H14O7"), abs=0.002)
    lactose = CATALOGUE.fermentable("sugar", "lactose")
    assert lactose.fermentability == 0.0 and lactose.allergens == ("milk",)
    # White et al. 1962, USDA Technical Bulletin 1261: the average American honey is 17.2 % water.
    assert CATALOGUE.fermentable("sugar", "honey").moisture == 0.172
    roast = CATALOGUE.fermentable("grain", "roasted barley")
    assert roast.colour > 1000 and roast.starch is False
    assert CATALOGUE.culture("saison-belgian").diastatic == "yes"
    assert CATALOGUE.water("reverse-osmosis").calcium == 0.0


def test_malt_colour_scales() -> None:
    """Handbook rule L = 0.375 EBC + 0.56, and its inverse."""
    assert lovibond_of_ebc(150.0) == pytest.approx(56.81)
    for ebc in (3.0, 25.0, 400.0, 1400.0):
        assert lovibond_to_ebc(lovibond_of_ebc(ebc)) == pytest.approx(ebc)


# ---- looking up


@pytest.mark.parametrize(
    ("key", "name", "ident"),
    [
        ("malt", "maris-otter-pale-malt", "maris-otter-pale-malt"),
        ("malt", "Maris Otter", "maris-otter-pale-malt"),
        ("malt", "MARIS   OTTER", "maris-otter-pale-malt"),
        ("malt", "Brühmalz", "bruehmalt"),
        ("malt", "bruhmalz", "bruehmalt"),
        ("hop", "Hallertauer Mittelfrüh", "hallertauer-mittelfrueh"),
        ("hop", "hallertau-mittelfruh", "hallertauer-mittelfrueh"),
        ("hop", "Žatec", "saaz"),
        ("hop", "ekg", "east-kent-golding"),
        ("culture", "Kölsch", "kolsch"),
        ("water", "münchen", "munich"),
        ("add", "calcium sulfate", "gypsum"),
    ],
)
def test_lookup_by_any_name(key: str, name: str, ident: str) -> None:
    assert CATALOGUE.row(key, name).id == ident


def test_every_name_leads_to_its_own_row() -> None:
    for group in ("fermentables", "hops", "cultures", "additions", "waters"):
        owners: dict[str, str] = {}
        for row in rows(group):
            for name in (row.id, row.name, *(row.aliases or ())):
                assert owners.setdefault(plain_name(name), row.id) == row.id, name
                assert CATALOGUE.row(row.key, name).id == row.id
            assert len({plain_name(name) for name in row.aliases or ()}) == len(row.aliases or ()), row.id


def test_unknown_names_give_none_whatever_they_hold() -> None:
    for name in ("", " ", "no-such-malt", 'a"b', "a\nb", "a\\", "row pilsner-malt", "\ud7ff", "x" * 10_000):
        assert CATALOGUE.fermentable("malt", name) is None
        assert CATALOGUE.fermentable("malt", name) is None  # also from memory


def test_a_name_under_the_wrong_key() -> None:
    assert CATALOGUE.fermentable("malt", "flaked-oats").key == "grain"
    assert CATALOGUE.misplaced("malt", "flaked-oats") == ("grain", "flaked-oats")
    assert CATALOGUE.misplaced("add", "milk sugar") == ("sugar", "lactose")
    assert CATALOGUE.misplaced("malt", "Maris Otter") is None
    assert CATALOGUE.misplaced("hop", "no such thing") is None


def test_nearest_names() -> None:
    assert CATALOGUE.nearest("malt", "marris otter")[0] == "maris-otter-pale-malt"
    assert CATALOGUE.nearest("hops", "sazz")[0] == "saaz"
    assert CATALOGUE.nearest("hop", "east kent goldigns")[0] == "east-kent-golding"
    assert "demerara-sugar" in CATALOGUE.nearest("sugar", "demarara")
    assert CATALOGUE.nearest("culture", "qqqqqqqq") == []
    assert CATALOGUE.nearest("malt", "") == []
    for name in ("crystal", "cascad", "pale"):
        assert 0 < len(CATALOGUE.nearest("fermentables" if name != "cascad" else "hops", name)) <= 3


def test_nearest_of_plain_words() -> None:
    assert nearest("wieght", ["weight", "volume", "count"]) == ["weight"]
    assert nearest("zzz", ["weight"]) == []
    assert len(nearest("aaaa", [f"aaa{letter}" for letter in "bcdefg"])) == 3


def test_recalled_values_say_so() -> None:
    pilsner = CATALOGUE.fermentable("malt", "pilsner-malt")
    assert recalled(pilsner, "protein")
    assert not recalled(pilsner, "yield_") and not recalled(pilsner, "colour_range")
    assert recalled(CATALOGUE.fermentable("malt", "bohemian-pilsner-malt"), "yield_")
    assert recalled(CATALOGUE.hop("admiral"), "purpose") and not recalled(CATALOGUE.hop("admiral"), "alpha")


# ---- a house's own rows

HOUSE = """\
catalogue: 1
items:
  - {malt: maris-otter-pale-malt, yield: 82 % dry, aliases: [our pale]}
  - {malt: maris-otter-pale-malt, lot: 2026-11, moisture: 3.2 %, colour: 5.1 EBC, kolbach: 41 %}
  - {malt: cellar-malt, name: Cellar malt, colour: 30 EBC, yield: 303 L°/kg, from_memory: [colour]}
  - {hop: target, lot: 3, alpha: 10.2 %, harvest: 2025}
  - {water: hill-spring, calcium: 35 mg/L, alkalinity: 78 mg/L CaCO3}
  - {culture: house-yeast, attenuation: 74 .. 78 %, tolerance: 11 %}
"""


@pytest.fixture(scope="module")
def house() -> Catalogue:
    made, faults = rows_of(read("house.yaml", HOUSE.encode()).root.data, "house.yaml")
    assert faults == []
    return CATALOGUE.with_house(made)


def test_a_house_row_lies_over_the_shipped_one(house: Catalogue) -> None:
    row = house.fermentable("malt", "our pale")
    assert row.id == "maris-otter-pale-malt" and row.name == "Maris Otter pale ale malt (barley cultivar)"
    assert row.yield_ == 0.82 and row.yield_basis == "dry"
    assert row.yield_range is None, "the shipped range is not the range of the house's figure"
    assert row.diastatic_power == 50.0
    assert row.origin == "house"
    assert origin_of(row, "yield_") == "house" and origin_of(row, "diastatic_power") == "catalogue"
    assert (layer_of(row, "yield_").file, layer_of(row, "yield_").at) == ("house.yaml", "/items/0")
    assert CATALOGUE.fermentable("malt", "our pale") is None, "the shipped catalogue stays as it is"
    assert CATALOGUE.fermentable("malt", "maris otter").yield_ == 0.815


def test_a_lot_lies_over_the_house_row(house: Catalogue) -> None:
    row = house.fermentable("malt", "Maris Otter", "2026-11")
    assert row.lot == "2026-11" and row.origin == "lot"
    assert row.yield_ == 0.82 and origin_of(row, "yield_") == "house"
    assert row.moisture == 0.032 and origin_of(row, "moisture") == "lot"
    assert row.colour == 5.1 and row.lovibond == pytest.approx(lovibond_of_ebc(5.1))
    assert row.colour_range is None and row.lovibond_range is None
    assert row.kolbach == pytest.approx(0.41)
    assert house.lots("malt", "maris otter") == ("2026-11",)


def test_a_lot_that_is_not_known_leaves_the_row(house: Catalogue) -> None:
    row = house.fermentable("malt", "maris-otter-pale-malt", "2020-01")
    assert row.lot is None and row.origin == "house"


def test_rows_of_the_house_alone(house: Catalogue) -> None:
    row = house.fermentable("malt", "Cellar Malt")
    assert row.yield_ == pytest.approx(303 / 386) and row.yield_basis == "as-is"
    assert recalled(row, "colour") and not recalled(row, "yield_")
    assert origin_of(row, "colour") == "house"
    assert house.hop("target", "3").alpha == (0.102, 0.102) and house.hop("target", "3").harvest == "2025"
    assert house.hop("target").alpha == (0.095, 0.125)
    assert house.water("hill-spring").alkalinity == 78.0
    assert house.culture("house-yeast").attenuation == (0.74, 0.78)
    assert "house-yeast" in house.ids("cultures")
    assert house.nearest("culture", "hous-yeast")[0] == "house-yeast"


def test_a_house_name_wins_over_a_shipped_one() -> None:
    row = Fermentable("malt", "our-crystal", name="Our crystal", aliases=("crystal malt",))
    mine = CATALOGUE.with_house([row])
    assert CATALOGUE.fermentable("malt", "crystal malt").id == "crystal-malt-british"
    assert mine.fermentable("malt", "crystal malt").id == "our-crystal"
    assert mine.fermentable("malt", "crystal-malt-british").id == "crystal-malt-british"


def test_faults_in_a_house_row_are_pointed_at_and_stop_no_other() -> None:
    text = "catalogue: 1\nitems:\n  - {malt: a, moisture: 3}\n  - {malt: b, colour: red}\n  - {malt: c}\n"
    made, faults = rows_of(read("x.yaml", text.encode()).root.data, "x.yaml")
    assert [row.id for row in made] == ["c"]
    assert [fault.pointer for fault in faults] == ["/items/0/moisture", "/items/1/colour"]
    assert all(fault.message for fault in faults)


@given(st.text())
def test_any_text_may_be_looked_up(name: str) -> None:
    assert plain_name(plain_name(name)) == plain_name(name)
    row = CATALOGUE.hop(name)
    assert row is None or plain_name(name) in {
        plain_name(each) for each in (row.id, row.name, *(row.aliases or ()))
    }
    assert len(CATALOGUE.nearest("waters", name)) <= 3
