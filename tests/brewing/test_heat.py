"""Heat in the mash: balances that close, steps that lead where they say, and what cannot be."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from recipelint.brewing import heat, mash, mash_slopes, mash_steps
from recipelint.brewing.gravity import WATER_DENSITY
from recipelint.brewing.heat import Vessel
from recipelint.brewing.mash import Stretch, convert
from recipelint.brewing.mash_steps import MashStep, Schedule, Trouble
from recipelint.recipe.model import DecoctionRest, Rest
from recipelint.recipe.quantity import Quantity

GRAIN = st.floats(0.2, 500.0)
RATIO = st.floats(2.0, 6.0)
TARGET = st.floats(35.0, 75.0)
GRAIN_AT = st.floats(-5.0, 30.0)
WALLS = st.floats(0.0, 0.5)  # kg of water for each kg of grain


def quantity(value: float, kind: str = "temperature") -> Quantity:
    return Quantity(value, None, None, kind, "")


def rest(
    at: float | None = None,
    minutes: float | None = 30.0,
    *,
    start: float | None = None,
    by: str | None = None,
    liquor: float | None = None,
    of: float | None = None,
    pull: str | None = None,
    share: float | None = None,
    boil: float | None = None,
    stop: tuple[float, float] | None = None,
    over: float | None = None,
) -> Rest:
    def maybe(value: float | None) -> Quantity | None:
        return None if value is None else quantity(value)

    stops = None if stop is None else DecoctionRest("", quantity(stop[0]), quantity(stop[1]))
    return Rest(
        at="/mash/rests/0", temperature=maybe(at), from_=maybe(start), for_=maybe(minutes), by=by,
        liquor=maybe(liquor), of=maybe(of), pull=pull, share=maybe(share), boil=maybe(boil), rest=stops,
        over=maybe(over),
    )  # fmt: skip


PLAIN = Vessel()


def second(
    rests: list[Rest],
    grain: float = 5.0,
    liquor: float = 15.0,
    vessel: Vessel = PLAIN,
    boiling: float = 100.0,
) -> MashStep:
    return mash_steps.mash_steps(rests, grain, liquor, vessel, 18.0, boiling)[1]


# Balances


@given(TARGET, GRAIN, RATIO, GRAIN_AT, WALLS, st.one_of(st.none(), GRAIN_AT))
def test_strike_mixes_back_to_the_rest(
    target: float, grain: float, ratio: float, cold: float, walls: float, walls_at: float | None
) -> None:
    liquor = ratio * grain
    strike = heat.strike_temperature(target, liquor, grain, cold, walls * grain, walls_at)
    back = heat.struck_temperature(strike, liquor, grain, cold, walls * grain, walls_at)
    assert back == pytest.approx(target, abs=1e-9)
    assert strike > target


@given(TARGET, GRAIN, RATIO, GRAIN_AT, WALLS)
def test_strike_liquor_is_the_strike_turned_round(
    target: float, grain: float, ratio: float, cold: float, walls: float
) -> None:
    strike = heat.strike_temperature(target, ratio * grain, grain, cold, walls * grain, cold)
    found = heat.strike_liquor(target, strike, grain, cold, walls * grain, cold)
    assert found == pytest.approx(ratio * grain, rel=1e-9)


def test_a_cold_tun_needs_hotter_liquor_than_none_and_a_heated_pot_cooler() -> None:
    none = heat.strike_temperature(67, 15, 5, 18)
    cold = heat.strike_temperature(67, 15, 5, 18, 1.5, 18)
    heated = heat.strike_temperature(67, 15, 5, 18, 1.5)
    assert heated < none < cold
    # 1.5 kg x 49 K in 14.97 kg of water
    assert cold - none == pytest.approx(1.5 * 49 / (15 * WATER_DENSITY))


@given(TARGET, st.floats(0.5, 5.0), st.floats(0.1, 1.0), GRAIN_AT)
def test_strike_falls_with_more_liquor_and_warmer_grain(
    target: float, ratio: float, more: float, cold: float
) -> None:
    strike = heat.strike_temperature(target, ratio, 1.0, cold)
    assert heat.strike_temperature(target, ratio + more, 1.0, cold) < strike
    assert heat.strike_temperature(target, ratio, 1.0, cold + more) < strike
    assert heat.strike_temperature(target + more, ratio, 1.0, cold) > strike + more


@given(TARGET, st.floats(-20.0, 20.0), st.floats(1.0, 300.0), st.floats(1.0, 60.0))
def test_infusion_there_and_back(now: float, rise: float, held: float, beyond: float) -> None:
    assume(abs(rise) > 0.01)
    target = now + rise
    liquor_at = target + math.copysign(beyond, rise)
    liquor = heat.infusion(target, now, held, liquor_at)
    assert liquor > 0.0
    assert heat.infused_temperature(now, held, liquor, liquor_at) == pytest.approx(target, abs=1e-9)
    assert heat.infusion_temperature(target, now, held, liquor) == pytest.approx(liquor_at, abs=1e-6)


@given(st.floats(35.0, 70.0), st.floats(0.1, 25.0), GRAIN, RATIO, st.sampled_from(["thick", "thin"]))
def test_decoction_there_and_back(now: float, rise: float, grain: float, ratio: float, kind: str) -> None:
    liquor = ratio * grain
    held = heat.mash_heat(grain, liquor)
    wanted = heat.decoction_heat(now + rise, now, held, 98.0)
    part = heat.pull(kind, grain, liquor, wanted)
    assert part.heat == pytest.approx(wanted)
    assert heat.decocted_temperature(now, held, part.heat, 98.0) == pytest.approx(now + rise)
    again = heat.pull_of_share(kind, grain, liquor, part.share)
    assert again == pytest.approx(part)
    # Without loss the part at boiling heat and the mash left behind mix to the rest.
    lossless = heat.decoction_heat(now + rise, now, held, 98.0, loss=1.0)
    back = heat.mixed(((held - lossless, now), (lossless, 98.0)))
    assert back == pytest.approx(now + rise)


def test_a_thick_part_is_larger_than_a_thin_one() -> None:
    """Grain holds less heat than liquor, so more of it is pulled; brewers report 35-40 % where the plain rule
    says a third (homebrewtalk 331283)."""
    held = heat.mash_heat(5, 15)
    thick = heat.pull("thick", 5, 15, heat.decoction_heat(67, 50, held))
    thin = heat.pull("thin", 5, 15, heat.decoction_heat(67, 50, held))
    assert thick.share > 17 / 50
    assert thick.mass > thin.mass
    assert thick.volume > thin.volume
    third = heat.pull("thick", 5, 15, heat.decoction_heat(66.67, 50, held))
    assert 0.35 < third.share < 0.45


@pytest.mark.parametrize("kind", ["thick", "thin"])
def test_what_can_be_pulled(kind: str) -> None:
    most = heat.largest_pull(kind, 5, 15)
    assert 0.0 < most.share < 1.0
    assert most.of_grain <= 1.0
    assert most.of_liquor <= 1.0
    assert heat.largest_pull("thin", 5, 4).share == 0.0
    thicker = heat.pull("thick", 5, 8, 2.0)
    assert thicker.liquor / thicker.grain == pytest.approx(1.6)


@given(st.floats(100.0, 20000.0), st.floats(1.0, 500.0), st.floats(30.0, 70.0), st.floats(0.1, 30.0))
def test_a_ramp_takes_the_heat_that_it_gives(power: float, held: float, now: float, rise: float) -> None:
    minutes = heat.ramp_minutes(now, now + rise, heat.heating_rate(power, held))
    assert power * 60.0 * minutes == pytest.approx(heat.WATER_JOULES * held * rise)


def test_heating_that_only_keeps_up() -> None:
    assert heat.heating_rate(300, 20, 500) == 0.0


def test_vessels() -> None:
    """A tun of 50 L is 1.5 kg of water whole: 0.45 in its bottom, and the wall as far up as 30 L stand."""
    tun = heat.vessel_of("tun", 50.0, 30.0, 15.0)
    assert tun == Vessel(
        pytest.approx(0.45 + 1.05 * 30.0 / 50.0), 15.0, 1.0, 50.0, pytest.approx(1.05 / 50.0)
    )
    pot = heat.vessel_of("recirculated", None, 32.0, 15.0, rate=1.2)  # of 40 L, four fifths full
    assert pot[:4] == (pytest.approx(0.025 * 40.0 * (0.3 + 0.7 * 0.8)), None, 1.2, None)
    assert heat.vessel_of("tun", 50.0, 80.0, 15.0)[::4] == (pytest.approx(1.5), 0.0)
    assert heat.vessel_of("tun", 50.0, 1.0, 15.0).heat == pytest.approx(0.45 + 1.05 / 50.0)
    assert heat.vessel_of("bag", None, 32.0, 15.0, heat=0.7).heat == 0.7
    assert heat.vessel_of("tun", 50.0, 30.0, 15.0, rate=0.0).rate == 1.0


@pytest.mark.parametrize("capacity", [60.0, None])
@pytest.mark.parametrize("kind", ["tun", "bag"])
def test_liquor_that_is_hot_enough_is_at_that_heat(capacity: float | None, kind: str) -> None:
    """Round and back: with that much liquor the strike temperature is the one that was asked for."""
    first = heat.vessel_of(kind, capacity, mash.mash_volume(3.0, 1.0), 15.0)
    liquor = mash_steps.hot_enough(68.0, 80.0, 1.0, 3.0, first, 15.0)
    assert liquor is not None
    then = heat.vessel_of(kind, capacity, mash.mash_volume(liquor, 1.0), 15.0)
    assert heat.strike_temperature(68.0, liquor, 1.0, 15.0, then.heat, then.at) == pytest.approx(
        80.0, rel=1e-9
    )


def test_no_liquor_is_hot_enough_for_a_mash_as_hot() -> None:
    assert mash_steps.hot_enough(98.0, 98.0, 1.0, 3.0, Vessel(1.0, 15.0), 15.0) is None


@given(st.floats(1.0, 100.0), GRAIN, RATIO)
def test_the_part_that_fits_fits(capacity: float, grain: float, ratio: float) -> None:
    part = heat.share_that_fits(capacity, ratio * grain, grain)
    assert mash.mash_volume(part * ratio * grain, part * grain) == pytest.approx(0.95 * capacity)


def test_what_is_refused() -> None:
    with pytest.raises(ValueError, match="no strike liquor"):
        heat.strike_temperature(67, 0, 5, 18)
    with pytest.raises(ValueError, match="hotter than"):
        heat.strike_liquor(67, 67, 5, 18)
    with pytest.raises(ValueError, match="between"):
        heat.infusion(70, 65, 20, 70)
    with pytest.raises(ValueError, match="between"):
        heat.infusion(70, 65, 20, 60)
    with pytest.raises(ValueError, match="no liquor"):
        heat.infusion_temperature(70, 65, 20, 0)
    with pytest.raises(ValueError, match="raises the mash"):
        heat.decoction_heat(60, 65, 20)
    with pytest.raises(ValueError, match="raises the mash"):
        heat.decoction_heat(99, 65, 20, 98)
    with pytest.raises(ValueError, match="nothing to mix"):
        heat.mixed([])
    with pytest.raises(ValueError, match="no mash"):
        heat.share_that_fits(10, 0, 0)
    with pytest.raises(ValueError, match="no mash"):
        heat.decocted_temperature(60, 0, 0)
    with pytest.raises(ValueError, match="nothing to heat"):
        heat.heating_rate(100, 0)
    with pytest.raises(ValueError, match="rate"):
        heat.ramp_minutes(60, 70, 0)


# Steps


def heat_in(steps: tuple[MashStep, ...], grain: float, vessel: Vessel, grain_at: float) -> float:
    """kg of water x K that grain, vessel and liquor bring, above 0 °C."""
    first = steps[0]
    assert first.liquor_at is not None
    walls_at = first.liquor_at if vessel.at is None else vessel.at
    total = heat.GRAIN_HEAT * grain * grain_at + vessel.heat * walls_at
    return total + math.fsum(
        step.liquor * WATER_DENSITY * (step.liquor_at or 0.0) for step in steps if step.liquor
    )


@given(GRAIN, st.floats(2.0, 3.5), GRAIN_AT, WALLS, st.booleans(), st.lists(st.floats(0.5, 8.0), max_size=4))
def test_heat_is_conserved_over_infusions(
    grain: float, ratio: float, cold: float, walls: float, heated: bool, rises: list[float]
) -> None:
    vessel = Vessel(walls * grain, None if heated else cold)
    rests = [rest(50.0)]
    at = 50.0
    for rise in rises:
        at += rise
        rests.append(rest(at, by="infusion"))
    steps = mash_steps.mash_steps(rests, grain, ratio * grain, vessel, cold)
    last = steps[-1]
    held = heat.mash_heat(grain, last.total, vessel.heat)
    assert last.reached is not None
    assert heat_in(steps, grain, vessel, cold) == pytest.approx(held * last.reached, rel=1e-9)
    assert last.total == pytest.approx(ratio * grain + mash_steps.infused(steps))
    for step in steps:
        assert step.open_
        assert step.troubles == ()
        assert step.reached == step.target
        assert step.volume == pytest.approx(mash.mash_volume(step.total, grain))
        assert step.thickness == pytest.approx(step.total / grain)


@given(st.floats(0.5, 20.0), st.floats(80.0, 99.0))
def test_written_infusion_lands_where_it_lands(litres: float, of: float) -> None:
    step = second([rest(65), rest(72, liquor=litres, of=of)])
    assert step.by == "infusion"
    assert step.reached == pytest.approx(
        heat.mixed([(heat.mash_heat(5, 15), 65), (litres * WATER_DENSITY, of)])
    )
    assert step.needed is not None
    right = second([rest(65), rest(72, liquor=step.needed, of=of)])
    assert right.reached == pytest.approx(72)


def test_infusion_with_one_of_two_left_out() -> None:
    hot = second([rest(65), rest(72, liquor=6)])
    assert hot.liquor_at == pytest.approx(hot.needed)
    assert hot.open_
    again = second([rest(65), rest(72, liquor=6, of=hot.needed)])
    assert again.reached == pytest.approx(72)
    weak = second([rest(65), rest(72, liquor=1)])
    assert weak.reached is not None
    assert 65 < weak.reached < 72
    assert weak.troubles == (Trouble("liquor-off", 100.0, 72),)
    down = second([rest(72), rest(66, by="infusion")])
    assert down.liquor_at == 18.0
    assert down.liquor > 0
    assert second([rest(65), rest(72, by="infusion")], boiling=95.0).liquor_at == 93.0


def test_liquor_cooler_than_the_rest() -> None:
    step = second([rest(65), rest(76, by="infusion", of=74)])
    assert step.troubles == (Trouble("liquor-off", 74, 76),)
    assert step.liquor == 0.0
    assert step.reached == 76  # the next one goes on as if it had been made
    written = second([rest(65), rest(76, by="infusion", liquor=5, of=74)])
    assert written.troubles == (Trouble("liquor-off", 74, 76),)
    assert written.reached is not None
    assert 65 < written.reached < 74


def test_strike_above_boiling_says_how_much_would_do() -> None:
    for vessel in (Vessel(1.0, 18.0), Vessel(1.0, None)):
        first = mash_steps.mash_steps([rest(72)], 10, 6, vessel)[0]
        (trouble,) = first.troubles
        assert trouble.what == "strike-too-hot"
        assert trouble.value == first.needed
        assert trouble.value > trouble.limit == 100.0
        assert trouble.fits is not None
        enough = mash_steps.mash_steps([rest(72)], 10, trouble.fits, vessel)[0]
        assert enough.needed == pytest.approx(100.0)


def test_written_strike_heat() -> None:
    first = mash_steps.mash_steps([rest(67, of=72)], 5, 15, PLAIN)[0]
    assert first.reached == pytest.approx(heat.struck_temperature(72, 15, 5, 18))
    assert first.needed == pytest.approx(heat.strike_temperature(67, 15, 5, 18))
    assert not first.open_
    unknown = mash_steps.mash_steps([rest(None, of=72)], 5, 15, PLAIN)[0]
    assert unknown.reached == first.reached
    assert unknown.needed is None
    assert unknown.troubles == ()


def test_a_full_vessel_is_told_once() -> None:
    vessel = Vessel(0.5, None, 1.0, 20.0)
    steps = mash_steps.mash_steps(
        [rest(50), rest(65, by="infusion"), rest(72, by="infusion"), rest(76, by="infusion")], 5, 13, vessel
    )
    told = [trouble for step in steps for trouble in step.troubles]
    assert [trouble.what for trouble in told] == ["vessel-too-small"]
    assert told[0].fits == pytest.approx(mash.liquor_that_fits(20.0, 5, 0.05))
    assert told[0].value > told[0].limit == 20.0
    assert steps[1].troubles == tuple(told)


def test_decoction_left_open_and_written() -> None:
    open_step = second([rest(52), rest(64, by="decoction")])
    assert open_step.needed == open_step.pulled.share
    assert open_step.reached == 64
    assert open_step.wait == pytest.approx(48 / 2 + 15)
    written = second([rest(52), rest(64, share=open_step.needed)])
    assert written.by == "decoction"
    assert written.reached == pytest.approx(64)
    assert not written.open_
    small = second([rest(52), rest(64, share=0.2)])
    assert small.reached is not None
    assert 52 < small.reached < 64
    assert small.needed == pytest.approx(open_step.needed)
    rested = second([rest(52), rest(64, by="decoction", boil=20, stop=(72, 15))])
    assert rested.wait == pytest.approx(48 / 2 + 20 + 15)
    nowhere = second([rest(52), rest(None, share=0.2)])
    assert nowhere.reached == pytest.approx(small.reached)


def test_decoction_that_cannot_be() -> None:
    large = second([rest(40), rest(78, by="decoction", pull="thin")], liquor=12)
    (trouble,) = large.troubles
    assert trouble.what == "pull-too-large"
    assert trouble.value > trouble.limit
    assert trouble.fits is not None
    assert 40 < trouble.fits < 78
    assert large.reached == 78
    written = second([rest(40), rest(78, share=0.9, pull="thin")], liquor=12)
    assert written.reached == pytest.approx(trouble.fits)
    assert second([rest(70), rest(65, by="decoction")]).troubles == (Trouble("cooler", 65, 70),)
    high = second([rest(70), rest(96, by="decoction")], boiling=95)
    assert high.troubles == (Trouble("liquor-off", 95, 96),)


def test_direct_heat() -> None:
    vessel = Vessel(1.0, None, 1.25)
    step = second([rest(52), rest(62)], vessel=vessel)
    assert step.by == "direct"
    assert step.ramp == pytest.approx(8.0)
    slow = second([rest(52), rest(62, over=20)], vessel=vessel)
    assert (slow.ramp, slow.troubles) == (20, ())
    fast = second([rest(52), rest(62, over=4)], vessel=vessel)
    assert fast.troubles == (Trouble("too-fast", 4, pytest.approx(8.0)),)
    assert second([rest(66), rest(60)], vessel=vessel).troubles == (Trouble("cooler", 60, 66),)


def test_heating_of_the_mash_goes_for_rests_that_do_not_say() -> None:
    rests = [rest(52), rest(62), rest(70, by="direct")]
    ways = [step.by for step in mash_steps.mash_steps(rests, 5, 15, PLAIN, heating="infusion")]
    assert ways == ["strike", "infusion", "direct"]


def test_a_mash_that_cools_goes_on_from_where_it_ends() -> None:
    steps = mash_steps.mash_steps([rest(64, 60, start=67), rest(76, by="infusion")], 5, 15, PLAIN)
    assert (steps[0].target, steps[0].end) == (67, 64)
    assert steps[1].before == 64
    assert mash_steps.schedule(steps).stretches[0] == Stretch(60, 67, 64)


def test_what_is_missing_stops_no_more_than_it_must() -> None:
    steps = mash_steps.mash_steps([rest(None), rest(72, by="infusion", liquor=4)], 5, 15, PLAIN)
    assert steps[0].reached is None
    assert steps[0].troubles == (Trouble("no-temperature"),)
    assert steps[1].total == 19.0
    assert steps[1].reached == 72
    assert mash_steps.schedule(steps) == Schedule((), ())
    dry = mash_steps.mash_steps([rest(65)], 5, 0, PLAIN)
    assert dry[0].troubles == (Trouble("no-liquor"),)
    assert mash_steps.mash_steps([rest(65)], 0, 15, PLAIN) == ()
    assert mash_steps.mash_steps([], 5, 15, PLAIN) == ()
    assert mash_steps.schedule(mash_steps.mash_steps([rest(65, None)], 5, 15, PLAIN)).stretches == ()


SOME = st.one_of(st.none(), st.floats(-30.0, 130.0))
ANY_REST = st.builds(
    rest,
    SOME,
    st.one_of(st.none(), st.floats(0.0, 200.0)),
    start=SOME,
    by=st.sampled_from([None, "direct", "infusion", "decoction"]),
    liquor=st.one_of(st.none(), st.floats(0.0, 1000.0)),
    of=SOME,
    pull=st.sampled_from([None, "thick", "thin"]),
    share=st.one_of(st.none(), st.floats(0.0, 1.0)),
    over=st.one_of(st.none(), st.floats(0.0, 60.0)),
)


@given(st.lists(ANY_REST, max_size=4), st.floats(0.0, 1000.0), st.floats(0.0, 3000.0), st.floats(80.0, 101.0))
def test_any_rests_give_steps(rests: list[Rest], grain: float, liquor: float, boiling: float) -> None:
    vessel = Vessel(1.0, 15.0, 1.0, 40.0)
    steps = mash_steps.mash_steps(rests, grain, liquor, vessel, 18.0, boiling)
    assert len(steps) == (len(rests) if grain > 0.0 else 0)
    for step in steps:
        for value in (step.reached, step.end, step.needed, step.liquor_at, step.ramp, step.wait, step.total):
            assert value is None or math.isfinite(value)
        assert step.liquor >= 0.0
        assert step.ramp >= 0.0
    for as_reached in (False, True):
        plan = mash_steps.schedule(steps, as_reached)
        assert len(plan.rests) in (0, len(rests))
        assert 0.0 <= convert(plan.stretches).dissolved <= 1.0 + 1e-9


# Schedule and slopes


def test_schedule_of_a_decoction_mash() -> None:
    rests = [rest(52, 20), rest(64, 40, by="decoction", boil=10), rest(72, 20, by="direct")]
    steps = mash_steps.mash_steps(rests, 5, 15, Vessel(0.0, None, 2.0))
    pulled = steps[1].pulled
    assert pulled is not None
    assert mash_steps.schedule(steps) == Schedule(
        (
            Stretch(20, 52, 52),
            Stretch(34, 52, 52),
            Stretch(5, 52, 64, 1 - pulled.of_liquor),
            Stretch(40, 64, 64),
            Stretch(4, 64, 72),
            Stretch(20, 72, 72),
        ),
        (0, 3, 5),
    )


def test_schedule_as_written_or_as_reached() -> None:
    steps = mash_steps.mash_steps([rest(65, 30), rest(72, 20, liquor=3, of=95)], 5, 15, PLAIN)
    assert steps[1].reached is not None
    assert steps[1].reached < 70
    assert mash_steps.schedule(steps).stretches[-1] == Stretch(20, 72, 72)
    reached = mash_steps.schedule(steps, as_reached=True).stretches[-1]
    assert reached == Stretch(20, steps[1].reached, steps[1].reached)


def test_which_rest_matters() -> None:
    """Above the maximum a hotter rest costs points (Evans 2012: the maximum is at 65 °C), below it gives some;
    minutes at 78 °C, where nothing is left to work, do nothing."""
    plain = mash_steps.schedule(mash_steps.mash_steps([rest(69, 60), rest(78, 10)], 5, 15, PLAIN))
    (_, hotter), (longer_out, _) = mash_slopes.limit_slopes(plain)
    assert hotter < -2.0
    assert abs(longer_out) < 0.05
    cool = mash_steps.schedule(mash_steps.mash_steps([rest(60, 60)], 5, 15, PLAIN))
    assert mash_slopes.limit_slopes(cool)[0][1] > 0.2
    short = mash_steps.schedule(mash_steps.mash_steps([rest(67, 10)], 5, 15, PLAIN))
    assert mash_slopes.limit_slopes(short)[0][0] > 0.3


@pytest.mark.parametrize(
    ("celsius", "minutes"), [(62.0, 60.0), (66.0, 40.0), (68.0, 60.0), (70.0, 20.0), (72.0, 45.0)]
)
def test_a_slope_foretells_the_next_kelvin_and_minute(celsius: float, minutes: float) -> None:
    def limit(at: float, long: float) -> float:
        steps = mash_steps.mash_steps([rest(at, long), rest(77, 5)], 5, 15, PLAIN)
        return 100.0 * convert(mash_steps.schedule(steps).stretches).limit

    steps = mash_steps.mash_steps([rest(celsius, minutes), rest(77, 5)], 5, 15, PLAIN)
    a_minute, a_kelvin = mash_slopes.limit_slopes(mash_steps.schedule(steps))[0]
    kelvin = limit(celsius + 0.5, minutes) - limit(celsius - 0.5, minutes)
    assert a_kelvin == pytest.approx(kelvin, abs=0.15)
    minute = (limit(celsius, minutes + 4) - limit(celsius, minutes - 4)) / 8
    assert a_minute == pytest.approx(minute, abs=0.03)


def test_slopes_bend_the_ramps_and_leave_other_rests_alone() -> None:
    rests = [rest(52, 20), rest(64, 40, by="decoction", boil=10), rest(72, 20, by="direct"), rest(72, 5)]
    plan = mash_steps.schedule(mash_steps.mash_steps(rests, 5, 15, Vessel(0.0, None, 2.0)))
    moved = mash_slopes._hotter(plan, 0, 1.0)
    assert moved[0] == Stretch(20, 53, 53)
    assert moved[1] == plan.stretches[1]._replace(start=53, end=53)
    assert (moved[2].start, moved[2].end) == (53, 64)
    assert moved[3:] == plan.stretches[3:]
    late = mash_slopes._hotter(plan, plan.rests[2], 1.0)
    assert late[plan.rests[2] - 1] == Stretch(pytest.approx(4.5), 64, 73)
    assert late[plan.rests[3]] == plan.stretches[plan.rests[3]]


def test_slopes_are_remembered_and_take_odd_plans() -> None:
    plan = mash_steps.schedule(mash_steps.mash_steps([rest(66.1, 61)], 5, 15, PLAIN))
    assert mash_slopes.limit_slopes(plan) is mash_slopes.limit_slopes(plan)
    assert mash_slopes.limit_slopes(Schedule((), ())) == ()
    instant = mash_slopes.limit_slopes(Schedule((Stretch(0.0, 65, 65),), (0,)))
    assert math.isfinite(instant[0][0])
    assert instant[0][1] == 0.0
