"""Energy and what it comes from."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from recipelint.brewing import energy as e
from recipelint.brewing.fermentation import ETHANOL_DENSITY, Beer, alcohol, ferment
from recipelint.brewing.gravity import density

OG = st.floats(1.020, 1.130)
SHARE = st.floats(0.1, 0.95)


def beer_of_food_table(gravity: float, alcohol_grams: float, extract_grams: float) -> Beer:
    """A beer from grams in 100 g of it."""
    abv = alcohol_grams / 100.0 * density(gravity) / ETHANOL_DENSITY
    return Beer(gravity, abv, alcohol_grams / 100.0, extract_grams)


def test_regular_beer_of_a_food_table() -> None:
    """USDA food composition, regular beer, 100 g: 3.9 g alcohol, 3.55 carbohydrate, 0.46 protein, 0.16 ash, 43 kcal.

    From memory. The gravity, which the table lacks, is that of such a beer."""
    beer = beer_of_food_table(1.008, 3.9, 3.55 + 0.46 + 0.16)
    weight = density(1.008)
    assert e.energy(beer).kilocalories / weight == pytest.approx(43.0, abs=0.6)
    assert e.carbohydrate(beer, protein=0.46 * weight) / weight == pytest.approx(3.55, abs=0.07)
    assert e.alcohol_by_mass(beer.abv) / weight == pytest.approx(3.9)


@given(OG, SHARE)
def test_a_label_and_a_laboratory_agree_within_two_parts_in_a_hundred(og: float, share: float) -> None:
    beer = ferment(og, share)
    laboratory, label = e.energy(beer), e.label_energy(beer)
    assert label.kilocalories == pytest.approx(laboratory.kilocalories, rel=0.02)
    assert label.kilojoules == pytest.approx(laboratory.kilojoules, rel=0.02)
    assert laboratory.kilojoules == pytest.approx(4.184 * laboratory.kilocalories)


@given(OG, SHARE)
def test_energy_is_that_of_its_parts(og: float, share: float) -> None:
    beer = ferment(og, share)
    assume(e.carbohydrate(beer) > 0.0)
    grams = e.alcohol_by_mass(beer.abv)
    parts = 6.9 * grams + 4.0 * (e.carbohydrate(beer) + e.PROTEIN)
    assert e.energy(beer).kilocalories == pytest.approx(parts)


@given(OG, st.floats(0.2, 0.9), st.floats(0.001, 0.02))
def test_a_stronger_wort_feeds_more(og: float, share: float, more: float) -> None:
    weak, strong = ferment(og, share), ferment(og + more, share)
    assert e.energy(strong).kilocalories > e.energy(weak).kilocalories
    assert e.carbohydrate(strong) >= e.carbohydrate(weak)


@given(OG, st.floats(0.1, 0.9), st.floats(0.01, 0.08))
def test_a_drier_beer_of_one_wort_feeds_a_little_less(og: float, share: float, more: float) -> None:
    """A gram of sugar gives 4 kcal, and the 0.48 g of alcohol that yeast makes of it 3.3."""
    sweet, dry = ferment(og, share), ferment(og, share + more)
    assert e.energy(dry).kilocalories < e.energy(sweet).kilocalories
    assert e.carbohydrate(dry) <= e.carbohydrate(sweet)
    assert e.alcohol_by_mass(dry.abv) > e.alcohol_by_mass(sweet.abv)


@pytest.mark.parametrize(
    ("og", "fg", "low", "high"), [(1.100, 1.020, 0.05, 0.07), (1.120, 1.028, 0.07, 0.09)]
)
def test_the_short_cut_from_two_gravities_reads_high(og: float, fg: float, low: float, high: float) -> None:
    """Per 12 fl oz, as printed: 351 against 332 kcal, 433 against 402."""
    short = 1881.22 * fg * (og - fg) / (1.775 - og) + 3550.0 * fg * (0.1808 * og + 0.8192 * fg - 1.0004)
    ours = 3.55 * e.energy(alcohol(og, fg)).kilocalories
    assert low < short / ours - 1.0 < high


def test_no_energy_below_nothing() -> None:
    water = Beer(1.0, 0.0, 0.0, 0.0)
    assert e.energy(water) == e.label_energy(water) == e.Energy(0.0, 0.0)
    assert e.carbohydrate(water) == 0.0


def test_alcohol() -> None:
    """Pure ethanol at 20 °C, 0.78924 kg/L (OIML R 22); half a litre of 5 % holds 25 mL of it."""
    assert e.alcohol_by_mass(0.05) == pytest.approx(3.946, abs=0.001)
    assert e.ten_millilitre_units(0.05, 0.5) == pytest.approx(2.5)


def test_strength_on_a_label() -> None:
    assert e.strength_tolerance(0.055, "eu") == 0.005
    assert e.strength_tolerance(0.056, "eu") == 0.010
    assert e.strength_tolerance(0.12, "us") == 0.003
    with pytest.raises(KeyError):
        e.strength_tolerance(0.05, "moon")


@pytest.mark.parametrize(("abv", "label"), [(0.0488, 0.049), (0.0512, 0.051), (0.1004, 0.10), (0.0, 0.0)])
def test_strength_on_a_label_has_one_decimal(abv: float, label: float) -> None:
    """Regulation (EU) 1169/2011, annex XII: no more than one decimal."""
    assert e.label_strength(abv) == pytest.approx(label, abs=1e-12)


@given(st.floats(0.0, 0.2))
def test_a_label_is_nearer_to_the_beer_than_the_law_asks(abv: float) -> None:
    assert abs(e.label_strength(abv) - abv) <= 0.0005 + 1e-12
    assert all(abs(e.label_strength(abv) - abv) < e.strength_tolerance(abv, where) for where in ("eu", "us"))


@pytest.mark.parametrize(
    ("grams", "label"),
    [(12.4, 12.0), (10.0, 10.0), (9.94, 9.9), (3.55, 3.5), (0.51, 0.5), (0.5, 0.0), (0.0, 0.0)],
)
def test_carbohydrate_on_a_label(grams: float, label: float) -> None:
    """The Commission's guidance of December 2012, from memory; 3.55 lies below its half as a binary number."""
    assert e.label_carbohydrate(grams) == pytest.approx(label)


def test_a_label_by_hand() -> None:
    """4.0 g of alcohol and 3.6 g of extract in 100 mL: 29 and 17 kJ a gram make 177.2, 7 and 4 kcal 42.4."""
    beer = Beer(1.010, 4.0 / 100.0 / ETHANOL_DENSITY, 0.0, 3.6 / density(1.010) + e.ASH)
    assert e.label_rounded(e.label_energy(beer)) == e.Energy(42.0, 177.0)
