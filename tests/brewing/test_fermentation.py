"""Fermentation: one balance of masses, run forwards and backwards."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from recipelint.brewing import fermentation as f
from recipelint.brewing import gravity as g
from tests.brewing import alternatives as alt

OG = st.floats(1.015, 1.150)
SHARE = st.floats(0.0, 1.0)


@given(OG, SHARE)
def test_forwards_and_back(og: float, share: float) -> None:
    beer = f.ferment(og, share)
    again = f.alcohol(og, beer.gravity)
    assert again.abv == pytest.approx(beer.abv, abs=1e-8)
    assert again.abw == pytest.approx(beer.abw, abs=1e-8)
    assert again.real_extract == pytest.approx(beer.real_extract, abs=1e-6)
    assert f.fermented_share(og, beer.gravity) == pytest.approx(share, abs=1e-6)
    assert f.fermented_from(og, beer) == pytest.approx(share, abs=1e-9)


@given(OG, SHARE)
def test_mass_is_kept(og: float, share: float) -> None:
    """Original extract = ethanol x 2.0665 + what is left, per mass of wort."""
    beer = f.ferment(og, share)
    ethanol = g.plato_from_sg(og) * share / f.EXTRACT_PER_ALCOHOL
    mass = 100.0 - f.LOST_PER_ALCOHOL * ethanol
    left = beer.real_extract / 100.0 * mass
    assert beer.abw * mass * f.EXTRACT_PER_ALCOHOL + left == pytest.approx(g.plato_from_sg(og), abs=1e-9)
    assert f.beer_volume(20.0, og, beer) * g.density(beer.gravity) == pytest.approx(
        20.0 * g.density(og) * mass / 100.0
    )


@given(OG, st.floats(0.0, 0.98), st.floats(0.001, 0.02))
def test_more_fermentable_extract_ends_lower_and_stronger(og: float, share: float, more: float) -> None:
    less, richer = f.ferment(og, share), f.ferment(og, share + more)
    assert richer.gravity < less.gravity
    assert richer.abv > less.abv
    assert richer.real_extract < less.real_extract


@given(OG, st.floats(0.995, 1.12), st.floats(0.0005, 0.01))
def test_alcohol_is_monotone(og: float, fg: float, step: float) -> None:
    assume(fg + step < og)
    assert f.alcohol(og, fg).abv > f.alcohol(og, fg + step).abv
    assert f.alcohol(og + step, fg).abv > f.alcohol(og, fg).abv


@given(OG)
def test_what_has_not_fermented_is_wort(og: float) -> None:
    beer = f.ferment(og, 0.0)
    assert beer.gravity == pytest.approx(og, abs=1e-9)
    assert beer.abv == 0.0
    assert f.alcohol(og, og) == f.Beer(og, 0.0, 0.0, g.plato_from_sg(og))
    assert f.alcohol(og, og + 0.01).abv == 0.0


@given(OG, st.floats(0.3, 0.95))
def test_an_attenuation_comes_out_as_it_went_in(og: float, apparent: float) -> None:
    """All malt: the attenuation of the culture is the attenuation of the beer."""
    beer = f.ferment(og, f.fermentability(apparent, og))
    assert f.apparent_attenuation(og, beer.gravity) == pytest.approx(apparent, abs=1e-6)
    assert beer.gravity == pytest.approx(f.gravity_at(og, apparent), abs=1e-8)


def test_sugar_pulls_below_the_malt_figure() -> None:
    """A fifth of the extract as sugar lifts 75 % to 84-85 % apparent; the simple blend says 84.4 %."""
    og = 1.083
    share = 0.8 * f.fermentability(0.75, og) + 0.2
    assert f.apparent_attenuation(og, f.ferment(og, share).gravity) == pytest.approx(0.8441, abs=0.01)
    assert f.apparent_attenuation(og, f.ferment(og, 1.0).gravity) > 1.2
    lactose = 0.9 * f.fermentability(0.75, og)
    assert f.ferment(og, lactose).gravity > f.gravity_at(og, 0.75)


def test_polynomial_of_the_spirit_follows_the_formula() -> None:
    water = f.ethanol_density(0.0)
    for share in [i / 1000 for i in range(215)]:
        density = f.ethanol_density(share)
        abv = share * density / f.ethanol_density(1.0)
        gravity = (density - 0.0012 * water) / (water - 0.0012 * water)
        assert f.alcohol_gravity(abv) == pytest.approx(gravity, abs=1e-7)


@given(st.floats(1.045, 1.11), st.floats(0.68, 0.85))
def test_close_to_what_others_compute(og: float, apparent: float) -> None:
    """Duty factors and the 2009 quadratic lie within 0.2 % vol where they are valid.

    The physical solution stands among them.
    """
    fg = f.gravity_at(og, apparent)
    abv = 100 * f.alcohol(og, fg).abv
    assert abv == pytest.approx(alt.abv_by_duty(og, fg), abs=0.22)
    fall = alt.abw_cutaia(g.plato_from_sg(og), g.plato_from_sg(fg))
    assert abv == pytest.approx(fall * fg / 0.7907, abs=0.25)
    beer = f.alcohol(og, fg)
    assert beer.real_extract == pytest.approx(
        alt.real_extract_cutaia(100 * beer.abw, g.plato_from_sg(fg)), abs=0.12
    )


def test_attenuations() -> None:
    assert 0.79 < f.real_attenuation(1.060, 1.012) / f.apparent_attenuation(1.060, 1.012) < 0.82
    assert f.apparent_from_real(0.737) == pytest.approx(0.90, abs=0.001)
    assert f.apparent_attenuation(1.0, 1.0) == 0.0
    assert f.real_attenuation(1.0, 1.0) == 0.0
    assert f.fermented_share(1.0, 1.0) == 0.0
    assert f.fermentability(0.0, 1.05) == 0.0
    assert f.fermented_from(1.0, f.ferment(1.0, 1.0)) == 0.0


@given(st.floats(0.9, 1.6), st.floats(0.9, 1.6), SHARE)
def test_absurd_gravities_give_numbers(og: float, fg: float, share: float) -> None:
    """A misread recipe must reach the rules as a number, whatever it says."""
    for value in (
        *f.alcohol(og, fg),
        *f.ferment(og, share),
        f.fermented_share(og, fg),
        f.real_attenuation(og, fg),
    ):
        assert math.isfinite(value)


@given(OG, SHARE)
def test_balling_as_printed(og: float, share: float) -> None:
    """A = (OE - RE) / (2.0665 - 0.010665 OE), as printed in Cutaia, Reid and Speers 2009.

    CO2 and yeast are 0.9565 and 0.11 g.
    """
    beer = f.ferment(og, share)
    original = g.plato_from_sg(og)
    printed = (original - beer.real_extract) / (2.0665 - 0.010665 * original)
    assert 100 * beer.abw == pytest.approx(printed, abs=1e-9)
    assert pytest.approx(f.LOST_PER_ALCOHOL) == f.CO2_PER_ALCOHOL + 0.11
