"""Lautering: a published simulation, and what must hold whatever the numbers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.brewing import gravity, lauter

GAL = 3.785411784
GRAIN = st.floats(2.0, 12.0)
LIQUOR = st.floats(2.2, 4.0)  # L/kg
SPARGE = st.floats(0.0, 15.0)


@pytest.mark.parametrize(
    ("charges", "published"),
    [([1.5], 77.5), ([0.875, 0.625], 86.5), ([0.625, 0.2917, 0.2917, 0.2917], 91.6)],
    ids=["no-sparge", "one-equal-rinse", "three-equal-rinses"],
)
def test_published_simulation(charges: list[float], published: float) -> None:
    """A practitioner's simulation (homebrewtalk thread 550234, post 7174804).

    2 lb of grain, 1.5 gal in all, 1.25 gal collected.

    His grain is taken at 0.80 dry x 0.96, and the absorption solved from the volume he collects.
    """
    extract = 0.768 * 2 * 0.45359237
    retained = lauter.retained_wort(2 * 0.45359237, extract, 1.04)
    got = lauter.run_off(extract, charges[0] * GAL, retained, [c * GAL for c in charges[1:]])
    assert 100 * got.efficiency == pytest.approx(published, abs=0.1)
    assert got.volume == pytest.approx(1.25 * GAL, abs=0.01)


@pytest.mark.parametrize(("grain", "expected"), [(5, 79.16), (8, 70.35)])
def test_regression_no_sparge(grain: float, expected: float) -> None:
    """28 L before the boil, 0.77 kg/kg, 1.0 L/kg, all converted.

    Derived from the same balance in its short form.
    """
    extract = 0.77 * grain
    liquor = lauter.liquor_for(28.0, grain, 1.0)
    got = lauter.no_sparge(extract, liquor, lauter.retained_wort(grain, extract, 1.0))
    assert 100 * got.efficiency == pytest.approx(expected, abs=0.1)
    assert got.volume == pytest.approx(28.0, abs=0.05)


@given(GRAIN, LIQUOR, SPARGE, st.integers(1, 4))
def test_mass_is_kept(grain: float, thickness: float, sparge: float, rinses: int) -> None:
    extract = 0.75 * grain
    liquor = thickness * grain
    held = lauter.retained_wort(grain, extract, 0.8, 1.0)
    got = lauter.batch_sparge(extract, liquor, held, sparge, rinses)
    assert 0.0 <= got.efficiency <= 1.0
    left = extract - got.extract
    water_out = gravity.water_in(got.volume, gravity.sg_of_masses(got.extract, max(got.volume, 1e-9)))
    assert got.extract == pytest.approx(got.efficiency * extract)
    assert left >= -1e-12
    assert water_out <= (liquor + sparge) * gravity.WATER_DENSITY + 1e-9
    # What is left behind is the volume that was said to be held, unless the mash holds everything.
    if got.run_offs[-1] > 0.0:
        water_in_kettle = (
            gravity.density(sg := gravity.sg_of(got.extract, got.volume)) * got.volume
        ) - got.extract
        water_left = (liquor + sparge) * gravity.WATER_DENSITY - water_in_kettle
        assert sg > 1.0
        assert gravity.volume_of_masses(left, water_left) == pytest.approx(held, abs=1e-6)


@given(GRAIN, st.floats(1.05, 1.6))
def test_more_grain_lauters_worse(grain: float, more: float) -> None:
    """The same wort before the boil from more grain, and the same rinse."""

    def efficiency(kg: float, method: str) -> float:
        extract = 0.75 * kg
        held = lauter.retained_wort(kg, extract, 0.8, 1.0)
        liquor = lauter.liquor_for(28.0, kg, 0.8, 1.0)
        if method == "none":
            return lauter.no_sparge(extract, liquor, held).efficiency
        return lauter.batch_sparge(extract, liquor - 8.0, held, 8.0).efficiency

    for method in ("none", "batch"):
        assert efficiency(grain * more, method) < efficiency(grain, method)


@given(GRAIN, LIQUOR, SPARGE, st.floats(0.5, 5.0))
def test_more_rinse_washes_more_out(grain: float, thickness: float, sparge: float, more: float) -> None:
    extract = 0.75 * grain
    held = lauter.retained_wort(grain, extract, 0.8, 1.0)
    for way in (lauter.batch_sparge, lauter.fly_sparge):
        less, better = (way(extract, thickness * grain, held, s) for s in (sparge, sparge + more))
        assert better.efficiency >= less.efficiency
        assert better.efficiency > less.efficiency or better.efficiency == lauter.FLY_CAP


@given(GRAIN, LIQUOR, st.floats(1.0, 15.0))
def test_methods_are_in_order(grain: float, thickness: float, sparge: float) -> None:
    extract = 0.75 * grain
    liquor = thickness * grain
    held = lauter.retained_wort(grain, extract, 0.8)
    none = lauter.no_sparge(extract, liquor, held).efficiency
    one = lauter.batch_sparge(extract, liquor, held, sparge).efficiency
    three = lauter.batch_sparge(extract, liquor, held, sparge, 3).efficiency
    assert none < one < three
    assert lauter.fly_sparge(extract, liquor, held, sparge).efficiency <= max(three, lauter.FLY_CAP)
    assert lauter.fly_sparge(extract, liquor, held, 0.0).efficiency == pytest.approx(none)


def test_a_fly_sparge_is_capped() -> None:
    got = lauter.fly_sparge(2.0, 10.0, 3.0, 60.0)
    assert got.efficiency == lauter.FLY_CAP
    assert got.extract == pytest.approx(1.9)


def test_a_tun_that_holds_everything_gives_nothing() -> None:
    got = lauter.no_sparge(3.0, 5.0, 12.0)
    assert got == lauter.Lauter(0.0, 0.0, 0.0, (0.0,))


def test_conversion_default_has_no_steps() -> None:
    assert lauter.default_conversion(5.0, 13.0) == pytest.approx(0.95)
    assert lauter.default_conversion(12.0, 12.0 * 2.2) == pytest.approx(0.90)
    assert lauter.default_conversion(9.0, 9.0 * 2.4) == pytest.approx(0.925)
    assert lauter.default_conversion(0.9, 0.9 * 2.4) == pytest.approx(0.925)
    assert lauter.default_conversion(0.0, 0.0) == 0.95


@given(st.floats(1.0, 15.0), st.floats(1.0, 15.0), st.floats(0.0, 1.0))
def test_first_wort_gives_the_conversion_back(grain: float, thickness: float, share: float) -> None:
    potential = 0.77 * grain
    liquor = thickness * grain
    plato = gravity.first_wort_plato(share * potential, liquor * gravity.WATER_DENSITY)
    assert lauter.conversion_from_first_wort(plato, potential, liquor) == pytest.approx(share, abs=1e-9)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="negative"):
        lauter.run_off(1.0, -1.0, 1.0)
    with pytest.raises(ValueError, match="rinse"):
        lauter.run_off(1.0, 10.0, 1.0, [-2.0])
    with pytest.raises(ValueError, match="rinse"):
        lauter.batch_sparge(1.0, 10.0, 1.0, 5.0, 0)
    with pytest.raises(ValueError, match="potential"):
        lauter.conversion_from_first_wort(12.0, 0.0, 10.0)
