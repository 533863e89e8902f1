"""Bitterness: monotone where the trade says so, and the stand by an independent sum."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.brewing import bitterness as b
from recipelint.brewing.boil import cooled
from tests.brewing.paper import brewed, value

MINUTES = st.floats(0.0, 120.0)
SG = st.floats(1.030, 1.120)
HOT = st.builds(
    b.Cooling,
    minutes=st.floats(0.0, 120.0),
    start=st.floats(60.0, 100.0),
    ambient=st.sampled_from([10.0, 20.0, 46.4]),
    rate=st.one_of(st.just(0.0), st.floats(0.005, 0.2)),
)


@given(MINUTES, SG, st.floats(0.1, 30.0))
def test_tinseth_is_monotone(minutes: float, sg: float, more: float) -> None:
    assert b.tinseth(minutes + more, sg) > b.tinseth(minutes, sg)
    assert b.tinseth(minutes + more, sg + more / 1000) < b.tinseth(minutes + more, sg)


@given(MINUTES, SG)
def test_rate_is_the_slope(minutes: float, sg: float) -> None:
    slope = (b.tinseth(minutes + 1e-4, sg) - b.tinseth(minutes, sg)) / 1e-4
    assert b.tinseth_rate(minutes, sg) == pytest.approx(slope, rel=1e-4)


def by_small_steps(stand: list[b.Cooling]) -> tuple[float, float]:
    minutes = weighted = at = 0.0
    for part in stand:
        count = 4000
        h = part.minutes / count
        for i in range(count):
            s = (i + 0.5) * h
            rate = b.relative_rate(cooled(part.start, part.ambient, part.rate, s))
            minutes += rate * h
            weighted += rate * h * math.exp(-b.RATE * (at + s))
        at += part.minutes
    return minutes, weighted


@pytest.mark.parametrize(
    "stand",
    [
        [b.Cooling(10, 100.1, 46.4, 0.015)],
        [b.Cooling(20, 82, 82, 0.0), b.Cooling(25, 82, 15, 0.1)],
        [b.Cooling(10, 100, 46.4, 0.012), b.Cooling(25, 93.5, 12, 0.11)],
        [b.Cooling(40, 94, 46.4, 0.02), b.Cooling(15, 70, 15, 0.15)],
        [b.Cooling(600, 99, 40.0, 0.008)],
    ],
)
def test_stand_against_small_steps(stand: list[b.Cooling]) -> None:
    minutes, weighted = by_small_steps(stand)
    found = b.stand_exposure(stand)
    assert found.minutes == pytest.approx(minutes, abs=0.06, rel=3e-3)
    assert found.weighted == pytest.approx(weighted, abs=0.01)


@given(st.lists(HOT, max_size=3), MINUTES, SG)
def test_a_stand_adds_but_no_more_than_boiling_on(stand: list[b.Cooling], minutes: float, sg: float) -> None:
    exposure = b.stand_exposure(stand)
    whole = sum(part.minutes for part in stand)
    got = b.tinseth_with_stand(minutes, sg, exposure)
    assert b.tinseth(minutes, sg) - 1e-12 <= got <= b.tinseth(minutes + whole, sg) + 1e-4
    assert 0.0 <= exposure.weighted <= exposure.minutes * (1 + 1e-6) <= whole * (1 + 1e-4) + 1e-9


@given(st.floats(20.0, 110.0), st.floats(0.1, 10.0))
def test_hotter_is_never_slower(celsius: float, more: float) -> None:
    assert b.relative_rate(celsius) <= b.relative_rate(celsius + more) <= 1.0
    assert b.isomerisation_rate(celsius) < b.isomerisation_rate(celsius + more)


@pytest.mark.parametrize(
    ("celsius", "rate"), [(95, 0.70), (90, 0.49), (85, 0.33), (80, 0.23), (75, 0.15), (70, 0.10)]
)
def test_relative_rate(celsius: float, rate: float) -> None:
    """HOSOM10; two digits."""
    assert b.relative_rate(celsius) == pytest.approx(rate, abs=0.011)


def test_no_stand_is_tinseth() -> None:
    assert b.stand_exposure([]) == b.Exposure(0.0, 0.0)
    assert b.tinseth_with_stand(60, 1.06, b.Exposure(0.0, 0.0)) == pytest.approx(b.tinseth(60, 1.06))
    assert b.stand_exposure([b.Cooling(30, 30.0, 20.0, 0.1)]) == b.Exposure(0.0, 0.0)


@given(st.floats(0.0, 1500.0), st.floats(0.1, 100.0))
def test_alpha_dissolves_up_to_a_ceiling(added: float, more: float) -> None:
    assert b.dissolved_alpha(added) <= added
    assert b.dissolved_alpha(added + more) > b.dissolved_alpha(added)
    assert b.dissolved_alpha(added) <= 490.0
    if 1e-3 < added < 230.0:
        assert b.dissolved_alpha(added) == added


@given(MINUTES, st.floats(0.1, 30.0))
def test_the_other_models_rise_with_time_and_fall_with_gravity(minutes: float, more: float) -> None:
    for model in (b.rager, b.garetz):
        assert model(minutes + more, 1.045) >= model(minutes, 1.045)
        assert model(minutes + more, 1.090) <= model(minutes + more, 1.050)
        assert model(minutes, 1.030) == model(minutes, 1.050)


@given(st.floats(0.0, 300.0))
def test_garetz_hop_rate_is_solved(uncorrected: float) -> None:
    ibu = b.garetz_ibu(uncorrected)
    assert ibu * b.garetz_hop_rate(ibu) == pytest.approx(uncorrected, abs=1e-9)


def test_spread_of_the_models_in_a_strong_ale() -> None:
    """SG 1.100, 60 minutes: 14.7, 16 and 24 % (derived from the three published models)."""
    assert 100 * b.tinseth(60, 1.100) == pytest.approx(14.7, abs=0.1)
    assert 100 * b.garetz(55.5, 1.100) == pytest.approx(16.0, abs=0.1)
    assert 100 * b.rager(60, 1.100) == pytest.approx(24.0, abs=1.2)


@given(st.floats(0.0, 120.0), st.floats(85.0, 99.9))
def test_altitude_costs_bitterness(minutes: float, celsius: float) -> None:
    assert 0.2 < b.altitude_factor(minutes, celsius) < 1.0
    assert b.altitude_factor(minutes, 100.0) == 1.0


@given(st.floats(0.0, 3000.0), st.floats(90.0, 110.0))
def test_iso_alpha_is_a_share(minutes: float, celsius: float) -> None:
    assert -1e-12 <= b.iso_alpha_share(minutes, celsius) <= 1.0


@given(st.floats(0.0, 0.9), st.floats(0.0, 700.0), st.floats(-20.0, 30.0))
def test_hops_only_lose(loss: float, days: float, celsius: float) -> None:
    left = b.alpha_left(loss, days, celsius)
    assert 0.0 <= left <= 1.0
    assert b.alpha_left(loss, days + 30, celsius) <= left
    assert b.alpha_left(loss, days, celsius, 0.5) >= left
    assert b.alpha_left(loss, days, celsius + 5) <= left


def test_alpha_added() -> None:
    assert b.alpha_added(0.040, 0.102, 21.0) == pytest.approx(194.3, abs=0.1)
    assert b.loss_from_index(0.2) == 0.0
    assert b.loss_from_index(0.0) == 0.0
    with pytest.raises(ValueError, match="volume"):
        b.alpha_added(0.03, 0.05, 0.0)


MASH_HOPS = """recipe: 1
name: Hops in the mash
batch: {volume: 20 L, into: fermenter}
grist: [{malt: pale-ale-malt, weight: 4.5 kg}]
mash: {rests: [{at: 66 °C, for: 60 min}]}
boil: {for: 60 min}
hops:
  - {hop: magnum, weight: 20 g, alpha: 12 %, boil: 60 min}
  - {hop: magnum, weight: 20 g, alpha: 12 %, mash: true}
"""


def test_hops_in_the_mash_give_a_fifth_and_nobody_knows_it_well() -> None:
    """Justus, MBAA TQ 55(3), 2018 (abstract): 9.1 % of the alpha of mash hops in the wort, 44 % of 60-min hops."""
    beer = brewed(MASH_HOPS)
    kettle, mashed = beer.hops
    assert mashed.ibu / kettle.ibu == pytest.approx(0.207, abs=0.001)
    alone = brewed(MASH_HOPS.replace("  - {hop: magnum, weight: 20 g, alpha: 12 %, boil: 60 min}\n", ""))
    low, high = alone.band("bitterness") or (0.0, 0.0)
    assert low < 0.6 * mashed.ibu and high > 1.4 * mashed.ibu
    # 20 g at 12 % in the kettle; what is in the mash stays with the grain for the most part
    assert value(beer, "alpha_added") == pytest.approx(2.4)


MUCH = """recipe: 1
name: More than dissolves
batch: {volume: 20 L, into: fermenter}
brewhouse: {kettle: {boil_off: 4 L/h, loss: 2 L, stand: 10 min, cooling: 25 min}}
grist: [{malt: pale-ale-malt, weight: 5 kg}]
mash: {rests: [{at: 66 °C, for: 60 min}]}
boil: {for: 60 min}
hops: [{hop: columbus, weight: GRAMS g, alpha: 15 %, boil: 60 min}]
"""


@pytest.mark.parametrize("grams", [37, 60, 200, 2000])
def test_the_band_is_that_of_the_alpha_which_dissolves(grams: int) -> None:
    """HOSOM14: of much alpha 490 (1 - exp(-0.0028 added)) mg/L dissolve."""
    beer = brewed(MUCH.replace("GRAMS", str(grams)))
    low, high = beer.band("bitterness") or (0.0, 0.0)
    added = grams * 0.15 * 1000.0 / value(beer, "kettle_volume")
    share = 490.0 * (1.0 - math.exp(-0.0028 * added)) / added
    ibu = value(beer, "bitterness")
    assert beer.dissolved("bitterness") == pytest.approx(share, rel=1e-6)
    assert beer.dissolved("original_gravity") == 1.0
    assert 0.75 * ibu * share < low < 0.95 * ibu * share
    assert high == pytest.approx(max(ibu, 1.18 * ibu * share), rel=0.03)
    assert high == ibu or share > 0.8
    ratio = beer.band("bitterness_ratio") or (0.0, 0.0)
    assert ratio[0] < value(beer, "bitterness_ratio") <= ratio[1]


def test_a_band_changes_little_where_alpha_begins_not_to_dissolve() -> None:
    """240 mg/L: 36 g of 15 % in 22.5 L or so."""
    bands = []
    for grams in (30, 35, 36, 37, 40):
        beer = brewed(MUCH.replace("GRAMS", str(grams)))
        low, high = beer.band("bitterness") or (0.0, 0.0)
        bands.append(
            (low / value(beer, "bitterness"), high / value(beer, "bitterness"), beer.dissolved("bitterness"))
        )
    assert bands[0][2] == 1.0 > bands[-1][2]
    for (low, high, _), (next_low, next_high, _) in pairwise(bands):
        assert next_low == pytest.approx(low, abs=0.04) and next_high == pytest.approx(high, abs=0.05)
