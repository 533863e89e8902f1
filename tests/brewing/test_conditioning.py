"""Oxygen, time, yeast and sulphite at the end of the brew."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.brewing import conditioning as c

BEER = st.floats(0.2, 100.0)
SHARE = st.floats(0.0, 1.0)
HEAT = st.floats(0.0, 30.0)

# Oxygen (mg/L) in pure water under damp air of one atmosphere, and the water vapour of it (bar): handbook values after
# Benson and Krause 1984, from memory.
WATER = [(0, 14.62, 0.0061), (5, 12.77, 0.0087), (10, 11.29, 0.0123), (15, 10.08, 0.0171), (20, 9.09, 0.0234),
         (25, 8.26, 0.0317), (30, 7.56, 0.0425)]  # fmt: skip


@pytest.mark.parametrize(("celsius", "held", "vapour"), WATER)
def test_oxygen_over_and_in_water(celsius: float, held: float, vapour: float) -> None:
    in_gas = 1000.0 * c.air_oxygen(celsius, 1.01325 - vapour)
    assert c.oxygen_ratio(celsius) == pytest.approx(in_gas / held, abs=0.9)


def test_oxygen_in_air() -> None:
    """1.331 g of oxygen in a litre of it at 20 °C and one atmosphere, a handbook value from memory."""
    assert c.air_oxygen(20.0, 1.01325) == pytest.approx(1.331 * 0.2095, rel=2e-3)
    assert c.headspace_oxygen(0.05, 1.0) == pytest.approx(14.0, abs=0.1)


@given(st.floats(0.0, 20.0), BEER, HEAT, SHARE)
def test_headspace_oxygen_goes_with_air_and_room(
    headspace: float, beer: float, celsius: float, air: float
) -> None:
    got = c.headspace_oxygen(headspace, beer, celsius, air)
    assert got * beer == pytest.approx(c.headspace_oxygen(headspace, 1.0, celsius) * air)
    assert c.headspace_oxygen(headspace + 0.1, beer, celsius, air) >= got
    assert c.headspace_oxygen(headspace, beer, celsius + 10.0, air) <= got


@given(st.floats(0.0, 6.0), st.floats(0.01, 5.0))
def test_flushing_twice_is_flushing_longer(first: float, second: float) -> None:
    assert c.air_left(first) * c.air_left(second) == pytest.approx(c.air_left(first + second))
    assert c.air_left(first + second) < c.air_left(first) <= 1.0


@given(st.floats(0.0, 4.0), st.integers(0, 12))
def test_purging_by_pressure(bar: float, times: int) -> None:
    left = c.air_left_by_pressure(bar, times)
    assert 0.0 < left <= 1.0
    assert c.air_left_by_pressure(bar, times + 1) == pytest.approx(left * c.air_left_by_pressure(bar, 1))


def test_purging_figures() -> None:
    assert c.air_left(3.0) == pytest.approx(0.05, abs=0.001)
    assert c.air_left_by_pressure(2.0, 3) == pytest.approx(0.04, abs=0.003)


def test_air_over_beer_laid_up() -> None:
    assert c.air_share(racked=False, purged=False) == c.air_share(racked=False, purged=True) == 0.0
    assert c.air_share(racked=True, purged=False) == 1.0
    assert 0.0 < c.air_share(racked=True, purged=True) < 1.0


@given(st.floats(0.001, 5.0), st.floats(0.0, 60.0), st.floats(200.0, 2000.0), HEAT)
def test_package_oxygen_there_and_back(
    dissolved: float, headspace: float, beer: float, celsius: float
) -> None:
    total = c.total_package_oxygen(dissolved, headspace, beer, celsius)
    assert total >= dissolved
    assert c.dissolved_oxygen(total, headspace, beer, celsius) == pytest.approx(dissolved)
    assert c.total_package_oxygen(dissolved, headspace, beer, celsius + 1.0) >= total


def test_printed_package_oxygen_not_in_the_check_values() -> None:
    """651 mL with 25 mL of headspace at 5 °C: 1.9 (Vilacha and Uhlig 1985)."""
    assert c.total_package_oxygen(1.0, 25.0, 651.0, 5.0) == pytest.approx(1.9, abs=0.05)


# Time


@given(st.floats(0.995, 1.150), st.floats(0.0001, 0.05))
def test_a_stronger_beer_never_takes_less_time(og: float, more: float) -> None:
    weak, strong = c.conditioning_span(og), c.conditioning_span(og + more)
    assert weak.low < weak.high
    assert strong.low >= weak.low
    assert strong.high >= weak.high
    assert c.conditioning_rule(og + more) >= c.conditioning_rule(og) >= 0.0


@pytest.mark.parametrize(
    ("og", "low", "high"),
    [(1.050, 2, 3), (1.060, 4, 6), (1.080, 8.7, 13), (1.090, 13, 26), (1.110, 26, 52)],
)
def test_weeks_of_trade_practice(og: float, low: float, high: float) -> None:
    span = c.conditioning_span(og)
    assert span.low / 7.0 == pytest.approx(low, abs=0.15)
    assert span.high / 7.0 == pytest.approx(high, abs=0.15)


@given(st.floats(1.086, 1.150))
def test_the_two_rules_disagree_about_strong_beer(og: float) -> None:
    span = c.conditioning_span(og)
    assert c.conditioning_rule(og) < 0.6 * 0.5 * (span.low + span.high)


# Yeast


@pytest.mark.parametrize(
    ("abv", "days", "sour", "wanted"),
    [(0.05, 10, False, False), (0.05, 10, True, True), (0.09, 10, False, True), (0.05, 31, False, True)],
)
def test_fresh_yeast(abv: float, days: float, sour: bool, wanted: bool) -> None:
    assert c.wants_fresh_yeast(abv, days, sour) is wanted


@given(st.floats(0.5, 100.0), st.floats(0.1, 5.0), st.floats(5.0, 20.0))
def test_bottle_yeast_there_and_back(volume: float, wanted: float, viable: float) -> None:
    grams = c.bottle_yeast(volume, wanted, viable)
    assert c.bottle_cells(grams, volume, viable) == pytest.approx(wanted)


# Sulphite


def test_sulphite_is_that_of_the_molecule() -> None:
    """IUPAC atomic weights, abridged: two of SO2 from a molecule of the salt."""
    sulphur, oxygen, potassium, sodium = 32.06, 15.999, 39.098, 22.990
    gas = 2 * (sulphur + 2 * oxygen)
    anion = 2 * sulphur + 5 * oxygen
    assert c.SULPHITE_SHARE["potassium"] == pytest.approx(gas / (2 * potassium + anion), abs=5e-4)
    assert c.SULPHITE_SHARE["sodium"] == pytest.approx(gas / (2 * sodium + anion), abs=5e-4)
    assert c.SULPHITE_DECLARED < c.SULPHITE_MOST < c.SULPHITE_MOST_IN_CASK


@given(st.floats(0.0, 20.0), BEER)
def test_sulphite_goes_with_the_dose(grams: float, litres: float) -> None:
    assert c.sulphite(grams, litres) * litres == pytest.approx(576.0 * grams)
    assert c.sulphite(grams, litres, "sodium") >= c.sulphite(grams, litres)


def test_what_is_refused() -> None:
    for call in (
        lambda: c.headspace_oxygen(1.0, 0.0),
        lambda: c.headspace_oxygen(-1.0, 20.0),
        lambda: c.total_package_oxygen(1.0, 0.0, 0.0, 5.0),
        lambda: c.air_left_by_pressure(-0.1, 1),
        lambda: c.bottle_yeast(20.0, 1.0, 0.0),
        lambda: c.bottle_cells(1.0, 0.0),
        lambda: c.sulphite(1.0, 0.0),
    ):
        with pytest.raises(ValueError):
            call()
    with pytest.raises(KeyError):
        c.sulphite(1.0, 20.0, "calcium")
    assert math.isfinite(c.air_left(-1.0)) and c.air_left(-1.0) == 1.0
