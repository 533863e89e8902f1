"""From flame-out on: one wort with one temperature, into which the charges of the whirlpool go."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipelint.brewing import bitterness as b
from recipelint.brewing import stand as stands
from recipelint.brewing.boil import NATURAL_FLOOR
from recipelint.brewing.brew import Brew
from tests.brewing.paper import brewed

KETTLE = """recipe: 1
name: Stand
batch: {{volume: 20 L, into: fermenter}}
brewhouse:
  mash: {{capacity: 60 L}}
  kettle: {{capacity: 60 L, boil_off: 4 L/h, loss: 2 L, stand: {stand:.6f} min, cooling: {cooling} min}}
grist: [{{malt: pale-ale-malt, weight: 5 kg}}]
mash: {{rests: [{{at: 66 °C, for: 60 min}}]}}
boil: {{for: 60 min}}
{more}hops:
{hops}
"""


def hot(
    *hops: str, stand: float = 10.0, cooling: float = 25.0, model: str = "tinseth", more: str = ""
) -> Brew:
    rows = "".join(f"  - {{hop: cascade, alpha: 6 %, {hop}}}\n" for hop in hops)
    text = KETTLE.format(stand=stand, cooling=cooling, hops=rows, more=more)
    return brewed(text, {"bitterness": model})


def ibu(*hops: str, stand: float = 10.0, cooling: float = 25.0, model: str = "tinseth") -> list[float]:
    return [fact.ibu for fact in hot(*hops, stand=stand, cooling=cooling, model=model).hops]


def charge(minutes: float, celsius: float, held: bool = False, grams: float = 50) -> str:
    more = ", held: true" if held else ""
    return f"weight: {grams} g, whirlpool: {minutes:.9f} min, at: {celsius:.9f} °C{more}"


LATE = "weight: 50 g, boil: 0 min"


def test_a_pinch_in_the_whirlpool_leaves_the_stand_as_it_is() -> None:
    (alone,) = ibu(LATE, stand=40)
    beside = ibu(LATE, charge(1, 60, grams=0.1), stand=40)[0]
    assert beside == pytest.approx(alone, rel=0.01)


def test_what_goes_in_at_flame_out_is_the_same_by_either_name() -> None:
    boiled, steeped = ibu(LATE, "weight: 50 g, whirlpool: 5 min", stand=40)
    assert steeped == pytest.approx(boiled, rel=1e-9)


@pytest.mark.parametrize("held", [False, True])
def test_a_tenth_of_a_kelvin_is_no_more_than_that(held: bool) -> None:
    """One charge 30 min at 85 °C and one of a minute: both go in when the wort is so hot, and then comes the chill."""
    same = ibu(charge(30, 85), charge(1, 85, held))
    for celsius in (84.999, 84.9, 85.1, 85.001):
        near = ibu(charge(30, 85), charge(1, celsius, held))
        assert near == pytest.approx(same, rel=0.05), celsius
    assert ibu(charge(1, 85, held), charge(30, 85)) == pytest.approx(same[::-1], rel=1e-9)


def test_a_hold_lasts_as_long_as_the_charge_that_is_held() -> None:
    loose, both = ibu(charge(30, 85), charge(30, 85)), ibu(charge(30, 85, True), charge(30, 85))
    briefly = ibu(charge(30, 85), charge(1, 85, held=True))
    assert briefly[0] == pytest.approx(loose[0], rel=0.05)
    assert both[0] == pytest.approx(both[1])
    assert both[0] > 1.3 * loose[0]


def test_charges_of_a_hold_end_with_it() -> None:
    found = stands.stand_of(hot(charge(30, 85, True), charge(10, 85), charge(40, 85)).run)
    at = [sum(one.minutes for one in found.stretches[:index]) for index in found.entries.values()]
    first = found.entries[85.0, 30.0]
    assert found.stretches[first].start == pytest.approx(85.0) and found.stretches[first].rate == 0.0
    begins = dict(zip((minutes for _, minutes in found.entries), at, strict=True))
    assert begins[10.0] - begins[30.0] == pytest.approx(20.0)
    assert begins[40.0] == pytest.approx(begins[30.0])


def by_small_steps(found: stands.Stand, first: int) -> tuple[float, float]:
    """Minutes of boil, and those faded with Tinseth's rate, by rectangles of a few seconds."""
    minutes = faded = clock = 0.0
    for one in found.stretches[first:]:
        count = max(int(one.minutes * 20), 1)
        for step in range(count):
            t = one.minutes * (step + 0.5) / count
            kelvin = one.ambient + (one.start - one.ambient) * math.exp(-one.rate * t) + 273.15
            rate = min(1.0, 2.39e11 * math.exp(-9773.0 / kelvin)) * one.minutes / count
            minutes += rate
            faded += rate * math.exp(-0.04 * (clock + t))
        clock += one.minutes
    return minutes, faded


CHARGES = st.lists(
    st.tuples(st.integers(0, 60), st.sampled_from([15, 45, 60, 78, 82, 85, 94, 100, 120]), st.booleans()),
    min_size=1,
    max_size=5,
)


@settings(max_examples=60, deadline=None)
@given(CHARGES, st.integers(0, 60), st.sampled_from([0, 25]), st.booleans())
def test_the_wort_only_cools_and_each_charge_has_its_minutes(
    charges: list[tuple[int, int, bool]], stand: int, cooling: int, chilled: bool
) -> None:
    more = "" if chilled else "chill: {by: none}\n"
    rows = [charge(*one) for one in charges]
    found = stands.stand_of(hot(*rows, stand=stand, cooling=cooling, more=more).run)
    last = 101.0
    for one in found.stretches:
        assert one.start <= last + 1e-6
        assert one.minutes > 0.0
        last = one.ambient + (one.start - one.ambient) * math.exp(-one.rate * one.minutes)
    slow = [one.ambient >= NATURAL_FLOOR for one in found.stretches]
    for minutes, celsius, _ in charges:
        index = found.entries[float(celsius), float(minutes)]
        heat = found.heats[float(celsius), float(minutes)]
        if chilled:
            assert heat == pytest.approx(
                min(max(celsius, 20), found.stretches[0].start if found.stretches else heat)
            )
        lies = sum(
            one.minutes for one, alone in zip(found.stretches[index:], slow[index:], strict=True) if alone
        )
        assert lies >= minutes - 1e-6 or celsius < 20  # cold is cold
        seen = found.seen_by((float(celsius), float(minutes)))
        assert (seen.minutes, seen.weighted) == pytest.approx(
            by_small_steps(found, index), abs=0.15, rel=5e-3
        )


def test_the_stand_of_the_brewhouse_comes_before_the_chill() -> None:
    """With 40 min of stand the wort passes 85 °C by itself, and is at 76 °C or so when it is chilled on to 60 °C."""
    found = stands.stand_of(hot(charge(5, 85), charge(5, 60), stand=40).run)
    before = [one.minutes for one in found.stretches[: found.entries[60.0, 5.0]]]
    alone = [one for one in found.stretches if one.ambient == NATURAL_FLOOR]
    assert sum(one.minutes for one in alone) == pytest.approx(45.0)
    assert 40.0 < sum(before) < 50.0
    assert found.entries[85.0, 5.0] == 1


def test_wort_that_nothing_chills_gets_there_by_itself() -> None:
    found = stands.stand_of(hot(charge(5, 60), more="chill: {by: none, pitched_after: 18 h}\n").run)
    assert {one.ambient for one in found.stretches} == {NATURAL_FLOOR}
    assert sum(one.minutes for one in found.stretches) == pytest.approx(18 * 60)


@pytest.mark.parametrize("model", ["tinseth", "rager", "garetz"])
def test_cold_hops_make_no_bitterness(model: str) -> None:
    """The rate of Malowicki & Shellhammer at 20 °C is under a thousandth of that at a boil."""
    (cold,) = ibu(charge(1, 20), model=model)
    assert cold < 0.02
    found = [ibu(charge(1, celsius), model=model)[0] for celsius in (20, 40, 60, 80, 90, 95, 100)]
    assert found == sorted(found)


def test_rager_gives_hops_at_flame_out_his_five_percent() -> None:
    """RAGER-ROB: 5.0 % for 0 to 5 minutes; where the wort is chilled in no time that is all."""
    hops = [f"weight: 50 g, {when}: 0 min, form: cone" for when in ("boil", "whirlpool")]
    beer = hot(*hops, stand=0, cooling=0, model="rager")
    curve = (18.11 + 13.86 * math.tanh(-31.32 / 18.27)) / 100.0
    gravity = (beer.stat("boil_gravity").value or 0.0) - 1.050
    for fact in beer.hops:
        assert fact.utilisation == pytest.approx(curve / (1.0 + gravity / 0.2), rel=1e-6)
    assert curve == pytest.approx(0.05, abs=0.003)


def test_many_charges_take_no_more_work_each_than_few(monkeypatch: pytest.MonkeyPatch) -> None:
    def work(count: int) -> int:
        rows = [charge(1, 40.0 + 50.0 * index / count, grams=1) for index in range(count)]
        beer = hot(*rows)
        calls: list[int] = []
        plain = b.stand_exposure

        def counted(stand: list[b.Cooling]) -> b.Exposure:
            calls.append(len(stand))
            return plain(stand)

        with monkeypatch.context() as patched:
            patched.setattr(b, "stand_exposure", counted)
            assert beer.stat("bitterness").value
        return sum(calls)

    few, many = work(25), work(100)
    assert 0 < many < 5 * few
