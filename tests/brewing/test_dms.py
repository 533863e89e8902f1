"""The precursor of dimethyl sulphide over boil and stand; published figures stand in the check values."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.brewing import boil, dms
from recipelint.brewing.bitterness import Cooling


def test_published_share_left() -> None:
    """Wilson & Booer 1979: half-life 35 min, so an hour leaves 30 %, 90 min 17 %."""
    assert dms.precursor_left(60) == pytest.approx(0.305, abs=1e-3)
    assert dms.precursor_left(90) == pytest.approx(0.168, abs=1e-3)


def test_height_doubles_the_boil() -> None:
    """At 2000 m wort boils 6.7 K cooler, and the precursor lasts more than twice as long."""
    factor = dms.boil_for(0.2, boil.boiling_point(2000)) / dms.boil_for(0.2)
    assert factor == pytest.approx(2 ** ((100 - boil.boiling_point(2000)) / 6))
    assert 2.0 < factor < 2.3


@given(st.floats(0.0, 240.0), st.floats(88.0, 101.0), st.floats(5.0, 5.8))
def test_boil_and_share_turn_round(minutes: float, celsius: float, ph: float) -> None:
    left = dms.precursor_left(minutes, celsius, ph)
    assert dms.boil_for(left, celsius, ph) == pytest.approx(minutes, abs=1e-9)
    assert dms.precursor_left(dms.as_at_100(minutes, celsius), 100.0, ph) == pytest.approx(left)


@given(st.floats(0.0, 240.0), st.floats(90.0, 101.0), st.floats(0.0, 0.5))
def test_sulphur_is_conserved(minutes: float, celsius: float, loss: float) -> None:
    """What is left, what is free and what has flown add up: nothing flies from a closed kettle."""
    left = dms.precursor_left(minutes, celsius)
    free = dms.free_after_boil(minutes, celsius, loss=loss)
    assert 0.0 <= free <= 1.0 - left + 1e-12
    assert left + dms.free_after_boil(minutes, celsius, loss=0.0) == pytest.approx(1.0)
    assert left + dms.formed(0.0, left) == left


def test_free_by_small_steps() -> None:
    """The closed form against the two rates, minute by minute in a thousand steps."""
    precursor, free, step = 1.0, 0.02, 0.001
    rate = math.log(2) / 35
    for _ in range(60_000):
        precursor, free = (
            precursor * (1 - rate * step),
            free + (rate * precursor - dms.FREE_LOSS * free) * step,
        )
    assert dms.free_after_boil(60, free=0.02) == pytest.approx(free, rel=1e-3)
    same = dms.free_after_boil(60, loss=rate)
    assert same == pytest.approx(rate * 60 * math.exp(-rate * 60), rel=1e-5)


@given(st.floats(0.0, 120.0), st.floats(0.005, 0.3), st.floats(5.0, 30.0))
def test_a_cooling_stand_by_small_steps(minutes: float, rate: float, ambient: float) -> None:
    found = dms.stand_as_at_100([Cooling(minutes, 99.0, ambient, rate)])
    counted = min(minutes, boil.time_to_cool(99.0, ambient, rate, 60.0))  # below 60 °C nothing is counted
    count = 2000
    plain = math.fsum(
        dms.as_at_100(counted / count, boil.cooled(99.0, ambient, rate, (i + 0.5) * counted / count))
        for i in range(count)
    )
    assert found == pytest.approx(plain, rel=1e-4, abs=1e-9)
    assert found <= dms.as_at_100(minutes, 99.0) + 1e-9


def test_stands() -> None:
    held = [Cooling(30.0, 94.0, 94.0, 0.0)]
    assert dms.stand_as_at_100(held) == pytest.approx(15.0)
    assert dms.stand_as_at_100([Cooling(0.0, 99.0, 20.0, 0.1), Cooling(30.0, 55.0, 20.0, 0.1)]) == 0.0
    assert dms.stand_as_at_100([Cooling(30.0, 95.0, 70.0, 0.05)]) > dms.as_at_100(30.0, 70.0)
    assert dms.formed(35.0, 0.4) == pytest.approx(0.2)


@given(st.floats(30.0, 120.0), st.floats(1.0, 60.0), st.floats(0.0, 90.0))
def test_longer_boils_less_longer_stands_more(minutes: float, more: float, stand: float) -> None:
    held = [Cooling(stand, 95.0, 95.0, 0.0)]
    longer = [Cooling(stand + more, 95.0, 95.0, 0.0)]
    here = dms.at_pitching(minutes, held)
    assert dms.at_pitching(minutes + more, held) < here < dms.at_pitching(minutes, longer)
    assert here <= 1.0


def test_what_is_refused() -> None:
    for share in (0.0, 1.1, -1.0):
        with pytest.raises(ValueError, match="share left"):
            dms.boil_for(share)
    assert dms.precursor_left(-5.0) == 1.0
    assert dms.free_after_boil(-5.0, free=0.1) == pytest.approx(0.1)
