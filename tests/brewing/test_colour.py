"""Colour: the scales are inverses, the formulas rise, darker lets less light through."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.brewing import colour as c


@given(st.floats(0.0, 1500.0))
def test_malt_scales_round_trip(ebc: float) -> None:
    assert c.ebc_from_lovibond(c.lovibond_from_ebc(ebc)) == pytest.approx(ebc, abs=1e-9)


@given(st.floats(0.0, 1500.0), st.floats(0.01, 100.0))
def test_malt_scale_rises(ebc: float, more: float) -> None:
    assert c.lovibond_from_ebc(ebc + more) > c.lovibond_from_ebc(ebc)


def test_a_colourless_sugar_has_no_colour() -> None:
    assert c.lovibond_from_ebc(0.0) == 0.0
    assert c.lovibond_from_ebc(2.0 - 1e-9) == pytest.approx(c.lovibond_from_ebc(2.0), abs=1e-8)


@given(st.floats(0.0, 400.0), st.floats(0.01, 50.0))
def test_beer_colour_rises_with_malt(mcu: float, more: float) -> None:
    for model in (c.srm_morey, c.srm_daniels, c.srm_mosher):
        assert model(mcu + more) > model(mcu)
        assert model(mcu) >= 0.0


def test_beer_scales() -> None:
    assert c.ebc_from_srm(10.0) == 19.7
    assert c.srm_from_ebc(c.ebc_from_srm(12.3)) == pytest.approx(12.3)
    assert c.ebc_from_absorbance(1.0) / c.srm_from_absorbance(1.0) == pytest.approx(c.EBC_PER_SRM, abs=0.002)


def test_malt_colour_units() -> None:
    """A pound of 10 °L in a gallon is 10."""
    assert c.malt_colour_units(0.45359237 * 10, 3.785411784) == pytest.approx(10.0, abs=1e-4)
    with pytest.raises(ValueError, match="volume"):
        c.malt_colour_units(10.0, 0.0)


@given(st.floats(0.0, 60.0), st.floats(380.0, 780.0))
def test_light_gets_through(srm: float, nanometres: float) -> None:
    share = c.transmission(srm, nanometres)
    assert 0.0 <= share <= 1.0
    assert c.transmission(srm + 1.0, nanometres) <= share
    assert c.transmission(srm, min(nanometres + 10.0, 780.0)) >= share


def test_swatches_darken() -> None:
    def channels(srm: float) -> list[int]:
        found = c.swatch(srm)
        assert len(found) == 7
        return [int(found[i : i + 2], 16) for i in (1, 3, 5)]

    assert c.swatch(0.0) == c.swatch(-1.0) == "#ffffff"
    assert c.swatch(60.0) == c.swatch(200.0)
    steps = [channels(i / 4) for i in range(260)]
    assert all(after <= before for a, b in pairwise(steps) for before, after in zip(a, b, strict=True))
    assert c.swatch(10.0) == "#b75600"
    assert channels(10.5)[1] == pytest.approx((0x56 + 0x4D) / 2, abs=1)
