"""The mash of a whole recipe: heat, liquor, conversion and the attenuation limit.

Where no source is named the check is a balance worked out in the test, or common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from recipelint.brewing import mash, mash_slopes, mashing
from recipelint.brewing.brew import Brew
from recipelint.brewing.gravity import WATER_DENSITY
from recipelint.brewing.mash_steps import schedule
from recipelint.report import mash_text
from tests.brewing.paper import brewed, value

KIT = "{kind: KIND, capacity: 60 L, dead_space: 1 L, absorption: 1.0 L/kg}"


def mashed(
    rests: str,
    liquor: str = "",
    sparge: str = "",
    malt: float = 5.0,
    kind: str = "tun",
    grist: str = "",
    heating: str = "",
    house: str = "",
) -> Brew:
    lines = grist or f"  - {{malt: pale-ale-malt, weight: {malt!r} kg}}"
    return brewed(f"""recipe: 1
name: Mash
batch: {{volume: 20 L, into: fermenter}}
brewhouse:
  mash: {KIT.replace("KIND", kind)}
  kettle: {{boil_off: 3 L/h, loss: 1 L}}
  grain_at: 12 °C
{house}
grist:
{lines}
mash:
{f"  liquor: {liquor}" if liquor else ""}
{f"  heating: {heating}" if heating else ""}
  rests:
{rests}
{f"sparge: {sparge}" if sparge else ""}
boil: {{for: 60 min}}
yeast: [{{culture: english-ale, packs: 1, attenuation: 95 %}}]
""")


def one(celsius: float = 66.0, minutes: float = 60.0) -> str:
    return f"    - {{at: {celsius!r} °C, for: {minutes!r} min}}"


def warmed(liquor: float, malt: float) -> float:
    """Litres of KIT's vessel whose walls the mash warms: three tenths in the bottom, the rest as high as it stands."""
    return 0.3 * 60.0 + 0.7 * min(liquor + 0.67 * malt, 60.0)


@given(st.floats(2.0, 12.0), st.floats(1.8, 5.0), st.floats(50.0, 76.0), st.sampled_from(["tun", "bag"]))
@settings(max_examples=60)
def test_heat_in_is_heat_out(malt: float, ratio: float, celsius: float, kind: str) -> None:
    malt, ratio, celsius = round(malt, 2), round(ratio, 2), round(celsius, 1)
    beer = mashed(one(celsius), f"{malt * ratio!r} L", malt=malt, kind=kind)
    strike = value(beer, "strike_temperature")
    water = malt * ratio * WATER_DENSITY
    walls = {"tun": 0.03, "bag": 0.02}[kind] * warmed(malt * ratio, malt)  # kg of water that hold as much
    walls_at = (
        12.0 if kind == "tun" else strike
    )  # a tun stands at the heat of the room, a bag's kettle is heated
    before = water * strike + 0.40 * malt * 12.0 + walls * walls_at
    after = (water + 0.40 * malt + walls) * celsius
    assert before == pytest.approx(after, rel=1e-9)


def test_an_infusion_left_open_is_computed_and_counts_in_the_water_plan() -> None:
    rests = one(62.0, 30.0) + "\n    - {at: 71 °C, by: infusion, of: 96 °C, for: 30 min}"
    beer = mashed(rests, "12 L", "{method: batch}")
    added = value(beer, "infusion_liquor")
    held = 0.40 * 5.0 + 12.0 * WATER_DENSITY + 0.03 * warmed(12.0, 5.0)
    assert held * 62.0 + added * WATER_DENSITY * 96.0 == pytest.approx(
        (held + added * WATER_DENSITY) * 71.0, rel=1e-9
    )
    in_all = value(beer, "liquor_in_all")
    assert 12.0 + added + value(beer, "sparge_liquor") == pytest.approx(in_all, abs=1e-6)
    assert value(beer, "mash_volume") == pytest.approx(12.0 + added + 0.67 * 5.0)
    assert value(beer, "mash_thickness") == pytest.approx((12.0 + added) / 5.0)
    assert [round(fact.step.thickness, 3) for fact in beer.rests] == [2.4, round((12.0 + added) / 5.0, 3)]


@pytest.mark.parametrize("step", ["by: infusion, of: 96 °C", "by: infusion, liquor: 4 L, of: 96 °C"])
def test_without_a_sparge_all_liquor_is_in_the_mash(step: str) -> None:
    beer = mashed(one(62.0, 30.0) + f"\n    - {{at: 71 °C, {step}, for: 30 min}}", sparge="{method: none}")
    strike, added = value(beer, "strike_liquor"), value(beer, "infusion_liquor")
    assert strike + added == pytest.approx(value(beer, "liquor_in_all"), abs=1e-6)
    assert added > 1.0 and value(beer, "sparge_liquor") == pytest.approx(0.0, abs=1e-6)
    # Only what heat asks for could be too much; where the infusion is written, nothing could.
    gap = beer.stat("volume_gap").value
    assert gap is None if "liquor" in step else gap == pytest.approx(0.0, abs=1e-6)


def test_a_strike_heat_that_is_written_and_an_infusion_left_open_make_up_all() -> None:
    rests = (
        "    - {at: 62 °C, of: 74 °C, for: 30 min}\n    - {at: 71 °C, by: infusion, of: 96 °C, for: 30 min}"
    )
    beer = mashed(rests, sparge="{method: none}")
    assert value(beer, "strike_liquor") + value(beer, "infusion_liquor") == pytest.approx(
        value(beer, "liquor_in_all"), abs=1e-6
    )
    assert value(beer, "infusion_liquor") == pytest.approx(
        sum(fact.step.liquor for fact in beer.rests[1:]), abs=1e-6
    )


@given(
    st.floats(2.0, 12.0),
    st.sampled_from(["", "{method: batch, rinses: 2}", "{method: fly}", "{method: none}"]),
    st.sampled_from(["direct", "infusion", "decoction"]),
)
@settings(max_examples=50)
def test_liquor_closes_from_the_package_back(malt: float, sparge: str, heating: str) -> None:
    """All liquor goes into the package or is told where it stays: grain, steam, kettle, lees, gas and yeast."""
    rests = one(62.0, 30.0) + "\n" + one(70.0, 20.0)
    beer = mashed(rests, sparge=sparge, malt=round(malt, 2), heating=heating)
    run = beer.run
    mash_, kettle, station = run.mash, run.kettle, run.fermenter
    poured = (mash_.strike + mash_.infused + mash_.sparge) * WATER_DENSITY
    assert poured == pytest.approx(mash_.needed * WATER_DENSITY, abs=1e-6)
    assert poured == pytest.approx(mash_.water + mash_.retained, abs=1e-6)
    left = kettle.water * kettle.lost / kettle.volume
    assert mash_.water == pytest.approx(kettle.evaporated + left + station.water, abs=1e-6)
    assert value(beer, "liquor_in_all") - value(beer, "grain_keeps") == pytest.approx(
        value(beer, "pre_boil_volume"), abs=1e-6
    )
    assert value(beer, "grain_keeps") == pytest.approx(1.0 * round(malt, 2) + 1.0, abs=1e-6)  # KIT
    assert value(beer, "kettle_volume") - value(beer, "kettle_loss") == pytest.approx(
        value(beer, "fermenter_volume"), abs=1e-6
    )


def test_a_full_mash_reaches_the_usual_conversion_and_a_poor_one_does_not() -> None:
    assert value(mashed(one(66.0, 60.0), "15 L"), "conversion") == pytest.approx(0.95)
    short = value(mashed(one(66.0, 2.0), "15 L"), "conversion")
    cool = value(mashed(one(45.0, 60.0), "15 L"), "conversion")
    assert cool < 0.35 < short < 0.9
    # Starch that gelatinises late stays behind at 58 °C: the scheme dissolves half of it there.
    assert value(mashed(one(58.0, 60.0), "15 L"), "conversion") == pytest.approx(0.60, abs=0.05)


@given(st.floats(60.0, 74.0), st.floats(1.0, 60.0), st.floats(0.5, 30.0))
@settings(max_examples=30)
def test_a_longer_mash_never_dissolves_less(celsius: float, minutes: float, more: float) -> None:
    celsius, minutes = round(celsius, 1), round(minutes, 1)
    before = value(mashed(one(celsius, minutes), "15 L"), "conversion")
    after = value(mashed(one(celsius, round(minutes + more, 1)), "15 L"), "conversion")
    assert after >= before - 1e-9


def test_grist_poor_in_enzymes_is_slower_and_less_fermentable() -> None:
    strong = "  - {malt: pilsner-malt, weight: 5 kg}"
    weak = "  - {malt: pilsner-malt, weight: 1.5 kg}\n  - {grain: flaked-maize, weight: 3.5 kg}"
    rest = one(70.0, 15.0)
    ours, theirs = mashed(rest, "15 L", grist=strong), mashed(rest, "15 L", grist=weak)
    assert value(theirs, "attenuation_limit") < value(ours, "attenuation_limit") - 0.03
    assert value(theirs, "conversion") <= value(ours, "conversion")


def test_malt_that_comes_late_sees_only_the_end() -> None:
    rests = one(62.0, 60.0) + "\n" + one(76.0, 10.0)
    grist = "  - {malt: pale-ale-malt, weight: 4 kg}\n  - {malt: munich-malt-light, weight: 1 kg%s}"
    whole = value(mashed(rests, "15 L", grist=grist % ""), "attenuation_limit")
    late = value(mashed(rests, "15 L", grist=grist % ", mash: last 10 min"), "attenuation_limit")
    alone = value(mashed(one(76.0, 10.0), "15 L"), "attenuation_limit")
    assert whole - late == pytest.approx(0.2 * (whole - alone), abs=0.01)  # a fifth of the bill
    dark = "  - {malt: pale-ale-malt, weight: 4 kg}\n  - {malt: black-malt, weight: 1 kg%s}"
    late_dark, dark_all = (
        value(mashed(rests, "15 L", grist=dark % when), "attenuation_limit")
        for when in (", mash: last 10 min", "")
    )
    assert late_dark == pytest.approx(dark_all)  # nothing in it waits for enzymes


@given(
    st.lists(
        st.tuples(
            st.floats(40.0, 80.0),
            st.floats(1.0, 90.0),
            st.one_of(st.none(), st.floats(1.0, 30.0)),
            st.one_of(st.none(), st.floats(40.0, 80.0)),
        ),
        min_size=1,
        max_size=5,
    )
)
@example([(51.0, 1.0, None, 77.8), (51.0, 1.0, None, None)])  # 77.8 + 51 - 77.8 is not quite 51
@settings(max_examples=60)
def test_a_mash_that_is_only_heated_has_the_schedule_of_its_steps(
    rows: list[tuple[float, float, float | None, float | None]],
) -> None:
    lines = []
    for celsius, minutes, over, start in rows:
        text = f"to: {celsius:.1f} °C, from: {start:.1f} °C" if start is not None else f"at: {celsius:.1f} °C"
        lines.append(f"    - {{{text}, for: {minutes:.1f} min{f', over: {over:.1f} min' if over else ''}}}")
    beer = mashed("\n".join(lines), "15 L", kind="recirculated, heating_rate: 0.8 K/min")
    short, walked = beer.run.mash.converted.schedule, schedule(beer.run.steps)
    assert short.rests == walked.rests and len(short.stretches) == len(walked.stretches)
    for one_, other in zip(short.stretches, walked.stretches, strict=True):
        assert one_ == pytest.approx(other, abs=1e-9)


def test_the_last_minutes_of_a_schedule() -> None:
    whole = mash.stretches([(60.0, 30.0), (70.0, 20.0)])
    assert mashing.last_minutes(whole, 25.0) == (
        mash.Stretch(5.0, 65.0, 70.0),
        mash.Stretch(20.0, 70.0, 70.0),
    )
    assert mashing.last_minutes(whole, 500.0) == whole
    assert mashing.last_minutes(whole, 0.0) == ()


def test_minutes_of_conversion_count_the_ramps() -> None:
    # 52 to 63 at 1 K/min passes 60 after 8 min: 3 min count; then 30, 9 to 72, 20, and 3 of the 6 to 78.
    found = mashing.converting_minutes(
        mash.stretches([(52.0, 15.0), (63.0, 30.0), (72.0, 20.0), (78.0, 5.0)])
    )
    assert found == pytest.approx(3.0 + 30.0 + 9.0 + 20.0 + 3.0)


@pytest.mark.parametrize("rest", [0, 1])
def test_what_a_kelvin_and_a_minute_do_is_what_they_do_to_the_recipe(rest: int) -> None:
    def limit(*moves: tuple[int, float, float]) -> float:
        rests = [(66.0, 40.0), (71.0, 25.0)]
        for index, kelvins, minutes in moves:
            rests[index] = rests[index][0] + kelvins, rests[index][1] + minutes
        grist = "  - {malt: pale-ale-malt, weight: 4.5 kg}\n  - {malt: caramel-malt-40, weight: 500 g}"
        return value(
            mashed("\n".join(one(*each) for each in rests), "15 L", grist=grist), "attenuation_limit"
        )

    grist = "  - {malt: pale-ale-malt, weight: 4.5 kg}\n  - {malt: caramel-malt-40, weight: 500 g}"
    fact = mashed(one(66.0, 40.0) + "\n" + one(71.0, 25.0), "15 L", grist=grist).rests[rest]
    assert fact.per_kelvin == pytest.approx(
        (limit((rest, 0.25, 0)) - limit((rest, -0.25, 0))) / 0.5, abs=2e-4
    )
    assert fact.per_minute == pytest.approx((limit((rest, 0, 1)) - limit((rest, 0, -1))) / 2.0, abs=2e-5)


def test_a_slow_vessel_spends_its_time_between_the_rests() -> None:
    rests = one(63.0, 30.0) + "\n" + one(72.0, 20.0)
    plain = mashed(rests, "15 L", kind="recirculated")
    assert value(plain, "saccharification_minutes") == pytest.approx(
        30.0 + 9.0 + 20.0
    )  # 1 K/min where none is told
    slow = mashed(rests, "15 L", kind="recirculated, heating_rate: 0.5 K/min")
    assert value(slow, "saccharification_minutes") == pytest.approx(30.0 + 18.0 + 20.0)
    assert slow.rests[1].step.ramp == pytest.approx(18.0)


@pytest.mark.parametrize("efficiency", ["{mash: 88 %}", "{mash: 70 %, of: as-is}", "{brewhouse: 80 %}"])
def test_a_stated_efficiency_is_held_against_the_physics(efficiency: str) -> None:
    stated = mashed(one(), "15 L", "{method: batch}", house=f"  efficiency: {efficiency}")
    free = mashed(one(), "15 L", "{method: batch}")
    gap = value(stated, "mash_efficiency") - value(free, "mash_efficiency")
    assert value(stated, "efficiency_gap") == pytest.approx(gap, abs=1e-9)
    assert free.stat("efficiency_gap").value is None


def test_a_steeped_base_malt_follows_its_steep() -> None:
    steeped = "  - {malt: munich-malt-light, weight: 1 kg, steep: {at: %s, for: 30 min}}"
    grist = f"  - {{malt: pale-ale-malt, weight: 4 kg}}\n{steeped}"
    warm, hot = (
        value(mashed(one(66.0), "15 L", grist=grist % heat), "attenuation_limit")
        for heat in ("66 °C", "78 °C")
    )
    assert warm > hot + 0.02


@pytest.mark.parametrize(
    ("count", "told"), [(mash_slopes.MOST_SLOPED, True), (mash_slopes.MOST_SLOPED + 1, False)]
)
def test_slopes_are_told_of_so_many_rests_and_no_more(count: int, told: bool) -> None:
    """Each rest takes four mashes as long as all rests together; the limit itself is there for any number."""
    beer = mashed("\n".join(one(62.0 + 10.0 * number / count, 2.0) for number in range(count)))
    assert [fact.per_minute is not None for fact in beer.rests] == [told] * count
    assert 0.5 < value(beer, "attenuation_limit") < 0.95
    assert beer.stat("attenuation_limit").parts
    words = mash_text.rests(beer.rests, "metric")[-1]
    assert ("told of up to 24 rests" in words) is not told
