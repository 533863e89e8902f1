"""The boil: extract stays, water goes, heat limits."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.brewing import boil, gravity

WORT = st.floats(1.005, 1.10)


@given(WORT, st.floats(5.0, 100.0), st.floats(0.6, 2.0))
def test_extract_is_kept(sg: float, volume: float, factor: float) -> None:
    end = volume * factor
    thick = boil.concentrated(sg, volume, end)
    assert gravity.extract_mass(end, thick) == pytest.approx(gravity.extract_mass(volume, sg), rel=1e-9)
    assert boil.volume_for(sg, volume, thick) == pytest.approx(end, rel=1e-7)
    assert (thick > sg) == (end < volume) or math.isclose(end, volume)


def test_regression_of_concentration() -> None:
    """28 L at 12 °P to 24 L: 13.89 °P (derived); the points rule says 56.0 for 48."""
    thick = boil.concentrated(gravity.sg_from_plato(12.0), 28.0, 24.0)
    assert gravity.plato_from_sg(thick) == pytest.approx(13.894, abs=0.05)
    assert gravity.points(boil.concentrated(1.048, 28.0, 24.0)) == pytest.approx(56.0, abs=0.35)


@given(st.floats(1.01, 1.10), st.floats(0.0, 0.05))
def test_average_lies_between_and_below_the_middle(start: float, rise: float) -> None:
    mean = boil.average_boil_gravity(start, start + rise)
    assert start - 1e-12 <= mean <= start + 0.5 * rise + 1e-12
    steps = 400
    p, q = start - 1, start + rise - 1
    exact = sum(1 / (1 / p + (1 / q - 1 / p) * (i + 0.5) / steps) for i in range(steps)) / steps
    assert mean - 1 == pytest.approx(exact, abs=1e-5)


def test_average_of_water_is_the_middle() -> None:
    assert boil.average_boil_gravity(1.0, 1.02) == pytest.approx(1.01)


@pytest.mark.parametrize(
    ("metres", "celsius"), [(0, 99.97), (500, 98.31), (1000, 96.65), (2000, 93.32), (3000, 89.97)]
)
def test_boiling_point(metres: float, celsius: float) -> None:
    """Computed from the IAPWS-97 saturation line in the standard atmosphere (derived)."""
    assert boil.boiling_point(metres) == pytest.approx(celsius, abs=0.1)


def test_wort_boils_hotter() -> None:
    assert boil.boiling_point(0, 20) - boil.boiling_point() == pytest.approx(0.374, abs=0.005)


def test_evaporation() -> None:
    assert boil.evaporated(3.5, 100) == pytest.approx(5.833, abs=0.001)
    assert boil.evaporation_limit(2500, 500) * gravity.WATER_DENSITY == pytest.approx(3.190, abs=0.001)
    assert boil.evaporation_limit(400, 500) == 0.0


@given(st.floats(30.0, 100.0), st.floats(0.0, 29.0), st.floats(0.001, 0.5), st.floats(0.1, 600.0))
def test_cooling(start: float, ambient: float, rate: float, minutes: float) -> None:
    end = boil.cooled(start, ambient, rate, minutes)
    assert ambient <= end <= start
    if end - ambient > 1e-3:
        assert boil.time_to_cool(start, ambient, rate, end) == pytest.approx(minutes, rel=1e-6)
        assert boil.cooling_rate(start, end, minutes, ambient) == pytest.approx(rate, rel=1e-6)


def test_cooling_edges() -> None:
    assert boil.time_to_cool(80.0, 20.0, 0.1, 90.0) == 0.0
    assert boil.time_to_cool(80.0, 20.0, 0.0, 70.0) == math.inf
    assert boil.time_to_cool(80.0, 20.0, 0.1, 15.0) == math.inf
    assert boil.cooled(82.0, 20.0, 0.0, 30.0) == 82.0
    with pytest.raises(ValueError, match="warmer"):
        boil.cooling_rate(20.0, 80.0, 10.0, 15.0)
    # HOSOM06: a 20 L kettle of 30 cm with the lid off
    area = math.pi * 15.0**2
    assert 0.010 < boil.natural_cooling_rate(area, area, 20.0) < 0.020
    with pytest.raises(ValueError, match="volume"):
        boil.natural_cooling_rate(area, area, 0.0)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="volume"):
        boil.concentrated(1.05, 10.0, 0.0)
    with pytest.raises(ValueError, match="gravity"):
        boil.volume_for(1.05, 10.0, 1.0)
