"""The process: balances that close, and facts of the trade.

Where no source is named the check is arithmetic or common practice, no source.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipelint.brewing import lauter
from recipelint.brewing.fermentation import EXTRACT_PER_ALCOHOL, LOST_PER_ALCOHOL, alcohol
from recipelint.brewing.gravity import WATER_DENSITY, density, extract_mass
from recipelint.brewing.inputs import GROUPS
from recipelint.brewing.process import Run
from recipelint.brewing.workings.sheet import working_of
from recipelint.recipe.stat_names import STATS
from tests.brewing.paper import brewed, value

VESSELS = """
brewhouse:
  mash: {{capacity: {c} L, dead_space: {d} L, absorption: 0.8 L/kg, kind: recirculated}}
  kettle: {{capacity: {c} L, boil_off: {b} L/h, loss: {l} L, stand: 0 min, cooling: 0 min}}
  fermenter: {{capacity: {c} L, lees: {l} L}}
"""


def strong(
    k: float = 1.0,
    malt: float = 7.5,
    crystal: float = 0.4,
    boiled: float = 0.5,
    staged: float = 0.3,
    volume: float = 20.0,
    into: str = "fermenter",
    extra: str = "",
    efficiency: str = "",
    attenuation: str = "74 .. 80 %",
) -> str:
    """A strong ale with sugar in stages, every amount and every vessel times k."""
    vessels = VESSELS.format(c=45 * k, d=1.0 * k, b=3.5 * k, l=1.0 * k)
    if efficiency:
        vessels += f"  efficiency: {efficiency}\n"
    return f"""recipe: 1
name: Test of the balance
batch: {{volume: {volume * k!r} L, into: {into}}}
{vessels}
grist:
  - {{malt: maris-otter-pale-malt, weight: {malt * k!r} kg}}
  - {{malt: crystal-malt-british, weight: {crystal * k!r} kg}}
  - {{sugar: invert-sugar-2, weight: {boiled * k!r} kg, boil: 10 min}}
  - {{sugar: demerara-sugar, weight: {staged * k!r} kg, ferment: below 1.045}}
mash:
  rests:
    - {{at: 62 °C, for: 30 min}}
    - {{at: 67 °C, for: 30 min}}
    - {{at: 70 °C, for: 15 min}}
    - {{at: 76 °C, for: 10 min}}
boil: {{for: 90 min}}
hops:
  - {{hop: target, weight: {40 * k!r} g, alpha: 10 %, boil: 60 min}}
  - {{hop: fuggle, weight: {20 * k!r} g, alpha: 4.4 %, boil: 10 min}}
yeast:
  - {{culture: british-strong-ale, packs: 2, attenuation: {attenuation}}}
{extra}"""


amounts = st.fixed_dictionaries(
    {
        "malt": st.floats(2.0, 14.0),
        "crystal": st.floats(0.01, 1.5),
        "boiled": st.floats(0.01, 2.0),
        "staged": st.floats(0.01, 2.0),
        "volume": st.floats(10.0, 28.0),
    }
)


def written(numbers: dict[str, float]) -> dict[str, float]:
    return {name: round(number, 3) for name, number in numbers.items()}


@given(amounts, st.sampled_from(["", "{mash: 75 %}", "{brewhouse: 68 %, of: as-is}"]))
@settings(max_examples=60)
def test_extract_and_water_are_conserved_from_grist_to_package(
    numbers: dict[str, float], efficiency: str
) -> None:
    run = brewed(strong(**written(numbers), efficiency=efficiency)).run
    mash, kettle, station, beer = run.mash, run.kettle, run.fermenter, run.beer
    # lauter: the liquor that gives no wort stays with the grain (VESSELS: 0.8 L/kg) and in the dead space (1 L)
    stays = 0.8 * mash.grain + 1.0
    assert mash.strike + mash.sparge == pytest.approx(mash.volume + stays, rel=1e-9)
    crowded_out = lauter.EXTRACT_VOLUME * mash.extract  # the wort holds so much less water than its volume
    assert mash.retained == pytest.approx((stays + crowded_out) * WATER_DENSITY, abs=0.002 * mash.volume)
    if not efficiency:
        held = lauter.retained_wort(mash.grain, mash.dissolved, 0.8, 1.0)
        off = lauter.run_off(mash.dissolved, mash.strike + mash.sparge, held)
        assert mash.volume == pytest.approx(off.volume, rel=1e-3)
        assert mash.extract == pytest.approx(off.extract, rel=1e-3)
    # kettle: what came off the mash and the sugar is there at flame-out, less the steam
    sugar = next(line for line in run.plan.lines if line.id == "invert-sugar-2")
    assert kettle.extract == pytest.approx(mash.extract + sugar.weight * sugar.extract, rel=1e-9)
    assert kettle.water == pytest.approx(
        mash.water + sugar.weight * sugar.water - kettle.evaporated, rel=1e-9
    )
    assert extract_mass(kettle.volume, value_of(run, "kettle_gravity")) == pytest.approx(
        kettle.extract, rel=1e-7
    )
    # fermenter: the loss takes extract and water in the same ratio
    share = 1.0 - kettle.lost / kettle.volume
    assert station.extract == pytest.approx(kettle.extract * share, rel=1e-9)
    staged = next(line for line in run.plan.lines if line.id == "demerara-sugar")
    assert station.all_extract == pytest.approx(station.extract + staged.weight * staged.extract, rel=1e-9)
    assert math.fsum(run.extracts()) == pytest.approx(station.all_extract, rel=1e-9)
    # beer: mass of wort = beer + CO2 + yeast; extract = what is left + what was fermented
    assert beer.abw is not None and beer.real_extract is not None and beer.gravity is not None
    wort = station.all_extract + station.all_water
    ethanol = station.all_extract * beer.fermented / EXTRACT_PER_ALCOHOL
    mass = beer.volume * density(beer.gravity)
    assert mass + LOST_PER_ALCOHOL * ethanol == pytest.approx(wort, rel=1e-7)
    left = mass * beer.real_extract / 100.0
    assert left + station.all_extract * beer.fermented == pytest.approx(station.all_extract, rel=1e-7)
    assert beer.package == pytest.approx(beer.volume - run.plan.kit.lees, rel=1e-9)


def value_of(run: Run, name: str) -> float:
    from recipelint.brewing.stats import find

    found = find(run, name)[0]
    assert found is not None
    return found


@given(amounts, st.floats(0.02, 60.0), st.sampled_from(["fermenter", "kettle", "package"]))
@settings(max_examples=40)
def test_a_brew_of_another_size_is_the_same_beer(numbers: dict[str, float], k: float, into: str) -> None:
    k = round(k, 3)
    small, large = (brewed(strong(size, **written(numbers), into=into)) for size in (1.0, k))
    same = (
        "original_gravity pitching_gravity pre_boil_gravity final_gravity abv sugar_share sugar_weight_share "
        "crystal_share bitterness colour_srm mash_efficiency mash_thickness diastatic_power attenuation_limit"
    )
    for name in same.split():
        assert value(large, name) == pytest.approx(value(small, name), rel=2e-6, abs=2e-6), name
    for name in (
        "fermenter_volume",
        "package_volume",
        "strike_liquor",
        "pre_boil_volume",
        "extract_potential",
    ):
        assert value(large, name) == pytest.approx(k * value(small, name), rel=1e-5, abs=1e-6), name


@given(amounts, st.floats(0.05, 1.0), st.sampled_from(["boiled", "staged"]))
@settings(max_examples=40)
def test_more_fermentable_sugar_never_raises_final_gravity(
    numbers: dict[str, float], more: float, where: str
) -> None:
    plain = written(numbers)
    richer = {**plain, where: round(plain[where] + more, 3)}
    # the same wort otherwise: a stated efficiency keeps the malt's part as it is
    less, much = (brewed(strong(**each, efficiency="{mash: 75 %}")) for each in (plain, richer))
    assert value(much, "final_gravity") <= value(less, "final_gravity") + 1e-9
    assert value(much, "original_gravity") > value(less, "original_gravity")
    assert value(much, "abv") > value(less, "abv")


@pytest.mark.parametrize("into", ["kettle", "fermenter", "package"])
@pytest.mark.parametrize("efficiency", ["", "{mash: 75 %}"])
def test_the_wish_is_met_where_it_is_counted(into: str, efficiency: str) -> None:
    beer = brewed(strong(into=into, efficiency=efficiency))
    assert value(beer, f"{into}_volume") == pytest.approx(20.0, abs=1e-6)


def test_stated_efficiency_is_of_the_dry_yield_unless_it_says_as_is() -> None:
    of_dry = brewed(strong(efficiency="{mash: 75 %}"))
    as_is = brewed(strong(efficiency="{mash: 75 %, of: as-is}"))
    assert value(as_is, "mash_efficiency") == pytest.approx(0.75)
    assert value(of_dry, "mash_efficiency") == pytest.approx(
        0.75 / 0.96, rel=0.01
    )  # malt holds about 4 % water


def test_predicted_efficiency_falls_with_gravity() -> None:
    found = [value(brewed(strong(malt=malt)), "mash_efficiency") for malt in (4.0, 6.0, 8.0, 10.0, 12.0)]
    assert found == sorted(found, reverse=True)
    # Practitioners report 63 % of the laboratory yield at OG 1.085-1.091 and the high fifties near 1.095 with little
    # sparge water; the well-mixed model with full conversion lies some six points above (its own source says so).
    assert 0.50 < found[-1] < 0.72 < found[0] < 0.92


def test_eighteen_litres_instead_of_fifteen_is_the_same_extract_at_a_lower_gravity() -> None:
    """More wort than planned: common practice, no source."""
    planned, drifted = (
        brewed(
            strong(
                volume=volume, efficiency="{mash: 75 %, of: as-is}", boiled=0.01, staged=0.01, into="kettle"
            )
        )
        for volume in (15.0, 18.0)
    )
    assert drifted.run.kettle.extract == pytest.approx(planned.run.kettle.extract, rel=1e-9)
    assert value(drifted, "kettle_gravity") < value(planned, "kettle_gravity")
    points = [
        (value(beer, "kettle_gravity") - 1.0) * value(beer, "kettle_volume") for beer in (planned, drifted)
    ]
    assert points[1] == pytest.approx(
        points[0], rel=0.02
    )  # the points rule is good to a few tenths of a point


def test_alcohol_is_the_physical_solution_of_original_and_final_gravity() -> None:
    beer = brewed(strong())
    expected = alcohol(value(beer, "original_gravity"), value(beer, "final_gravity"))
    assert value(beer, "abv") == pytest.approx(expected.abv, abs=1e-6)


def test_priming_is_in_the_strength_of_the_package_and_not_in_the_gravities() -> None:
    package = """packaging: {into: bottle, glass: heavy, rated: 6 bar, carbonation: 2.2 vol, priming: sucrose}
fermentation: [{at: 18 °C, for: 10 d}]
"""
    plain, primed = brewed(strong()), brewed(strong(extra=package))
    assert value(primed, "original_gravity") == value(plain, "original_gravity")
    assert value(primed, "final_gravity") == value(plain, "final_gravity")
    # 1.25 vol x 3.8 g/L of sucrose = 4.8 g/L, half of it ethanol: 0.3 % vol
    assert 0.002 < value(primed, "abv") - value(plain, "abv") < 0.004
    assert value(primed, "residual_co2") == pytest.approx(
        0.93, abs=0.03
    )  # Hibberd 1995: 0.99 at 16 °C, 0.88 at 20 °C


def test_a_culture_that_eats_dextrins_has_a_risk_case() -> None:
    text = strong().replace("british-strong-ale", "saison-belgian")
    found = brewed(text).stat("final_gravity")
    assert found.value is not None and found.risk is not None and found.risk < found.value
    assert brewed(strong()).stat("final_gravity").risk is None


def test_a_culture_may_finish_near_one_in_strong_beer() -> None:
    """Possible: common practice, no source."""
    beer = brewed(
        strong(malt=6.0, staged=1.2, boiled=0.8, attenuation="94 .. 96 %").replace(
            "british-strong-ale", "saison-belgian"
        )
    )
    risk = beer.stat("final_gravity").risk
    assert risk is not None and 0.985 < risk < 1.004


def test_finishes_states_the_whole_beer() -> None:
    beer = brewed(strong(extra="finishes: 1.014\n"))
    assert value(beer, "final_gravity") == pytest.approx(1.014, abs=1e-7)


def test_extract_brewing_by_partial_boil_and_top_up_meets_volume_and_gravity() -> None:
    beer = brewed("""recipe: 1
name: Small kettle
batch: {volume: 20 L, into: fermenter}
brewhouse: {kettle: {capacity: 15 L, boil_off: 2 L/h, loss: 0.5 L}}
grist: [{extract: dry-malt-extract-light, weight: 2.5 kg, boil: 60 min}]
boil: {for: 60 min, volume: 12 L}
hops: [{hop: fuggle, weight: 40 g, alpha: 4.5 %, boil: 60 min}]
yeast: [{culture: english-ale, packs: 1}]
""")
    assert value(beer, "fermenter_volume") == pytest.approx(20.0, abs=0.05)
    # dry extract gives about 370 L°/kg: 2.5 x 370 / 20.5 L, less what stays in the kettle
    assert 1.040 < value(beer, "original_gravity") < 1.047
    # the same hops in a full boil give more: the partial boil is thicker, and its loss takes bitter wort
    assert 10.0 < value(beer, "bitterness") < 25.0


def test_percentage_bill_meets_its_gravity_with_weights_in_its_shares() -> None:
    beer = brewed("""recipe: 1
name: By share
batch: {volume: 21 L, into: package, gravity: 1.060}
grist:
  - {malt: pale-ale-malt, share: 80 %}
  - {malt: crystal-malt-british, share: 8 %}
  - {sugar: demerara-sugar, share: 12 %, boil: 10 min}
mash: {rests: [{at: 66 °C, for: 60 min}]}
yeast: [{culture: english-ale, packs: 1}]
""")
    assert value(beer, "original_gravity") == pytest.approx(1.060, abs=1e-6)
    assert value(beer, "package_volume") == pytest.approx(21.0, abs=1e-4)
    shares = [fact.weight_share for fact in beer.grist]
    assert shares == pytest.approx([0.80, 0.08, 0.12])


EXTREMES = {
    "weak": """
batch: {volume: 20 L, into: fermenter}
grist: [{malt: pale-ale-malt, weight: 700 g}]
mash: {rests: [{at: 67 °C, for: 60 min}]}
""",
    "strongest": """
batch: {volume: 10 L, into: fermenter}
grist: [{malt: pale-ale-malt, weight: 9 kg}, {sugar: sucrose, weight: 1 kg, boil: 10 min}]
mash: {liquor: 27 L, rests: [{at: 67 °C, for: 60 min}]}
""",
    "all sugar": """
batch: {volume: 20 L, into: fermenter}
grist: [{sugar: sucrose, weight: 2 kg, boil: 10 min}]
""",
    "all staged": """
batch: {volume: 20 L, into: fermenter}
grist: [{sugar: sucrose, weight: 2 kg, ferment: 3 d}]
""",
    "no mash": """
batch: {volume: 20 L, into: fermenter}
grist: [{malt: pale-ale-malt, weight: 4 kg}]
""",
    "half a litre": """
batch: {volume: 0.5 L, into: package}
grist: [{malt: pale-ale-malt, weight: 120 g}]
mash: {rests: [{at: 67 °C, for: 60 min}]}
""",
    "two thousand litres": """
batch: {volume: 2000 L, into: kettle}
grist: [{malt: pale-ale-malt, weight: 450 kg}]
mash: {rests: [{at: 67 °C, for: 60 min}]}
""",
    "only hulls": """
batch: {volume: 20 L, into: fermenter}
grist: [{grain: rice-hulls, weight: 500 g}]
mash: {rests: [{at: 67 °C, for: 60 min}]}
""",
    "no weights": """
batch: {volume: 20 L, into: fermenter, gravity: 1.050}
grist: [{malt: pale-ale-malt, share: 100 %}]
""",
    "unknown names": """
batch: {volume: 20 L, into: fermenter}
grist: [{malt: no-such-malt, weight: 4 kg}]
hops: [{hop: no-such-hop, weight: 20 g, boil: 60 min}]
""",
    "loss above batch": """
batch: {volume: 1 L, into: kettle}
brewhouse: {kettle: {loss: 5 L}}
grist: [{malt: pale-ale-malt, weight: 300 g}]
""",
    "nothing left to package": """
batch: {volume: 2 L, into: fermenter}
brewhouse: {fermenter: {lees: 5 L}}
grist: [{malt: pale-ale-malt, weight: 300 g}]
""",
    "lees above a package": """
batch: {volume: 2 L, into: package}
brewhouse: {fermenter: {lees: 50 L}}
grist: [{malt: pale-ale-malt, weight: 300 g}]
""",
    "more strike than needed": """
batch: {volume: 5 L, into: fermenter}
grist: [{malt: pale-ale-malt, weight: 1 kg}]
mash: {liquor: 60 L, rests: [{at: 67 °C, for: 60 min}]}
""",
    "boiled dry": """
batch: {volume: 5 L, into: kettle}
brewhouse: {kettle: {boil_off: 50 L/h}}
grist: [{malt: pale-ale-malt, weight: 1 kg}]
boil: {for: 24 h}
""",
    "high up": """
batch: {volume: 20 L, into: fermenter}
brewhouse: {altitude: 4000 m}
grist: [{malt: pale-ale-malt, weight: 4 kg}]
hops: [{hop: fuggle, weight: 20 g, boil: 60 min}]
""",
    "heaviest": """
batch: {volume: 1 L, into: fermenter}
grist: [{sugar: sucrose, weight: 5 kg, boil: 10 min}]
yeast: [{culture: english-ale, packs: 1}]
""",
}


@pytest.mark.parametrize("name", EXTREMES)
def test_extremes_give_numbers_or_say_what_is_missing(name: str) -> None:
    beer = brewed(f"recipe: 1\nname: Extreme\n{EXTREMES[name]}\n")
    for stat in STATS:
        found = beer.stat(stat)
        if found.value is None:
            assert found.why, stat
        else:
            assert math.isfinite(found.value), stat
            band = beer.band(stat)
            assert band is not None and math.isfinite(band[0]) and math.isfinite(band[1]), stat
    assert len(beer.least_sure()) <= 3


def test_parts_add_up_to_the_whole() -> None:
    beer = brewed(strong())
    for name in ("original_gravity", "bitterness", "colour_srm", "extract_potential", "diastatic_power"):
        assert math.fsum(share for _, share in beer.stat(name).parts) == pytest.approx(1.0, abs=1e-9), name
    for name in ("sugar_share", "crystal_share"):
        found = beer.stat(name)
        assert math.fsum(share for _, share in found.parts) == pytest.approx(found.value, abs=1e-9), name


def test_each_band_holds_its_value_and_the_expected_run_is_the_middle() -> None:
    beer = brewed(strong(efficiency="{mash: 75 % ± 3 %}"))
    for name in STATS:
        found, band = beer.stat(name), beer.band(name)
        if found.value is not None:
            assert band is not None and band[0] <= found.value <= band[1], name
    low, high = beer.band("mash_efficiency") or (0.0, 0.0)
    middle = value(beer, "mash_efficiency")
    assert (high - low) / 2.0 / middle == pytest.approx(0.03 / 0.75, rel=1e-6)  # as written by the brewer


def test_groups_are_named_once() -> None:
    assert len(set(GROUPS)) == len(GROUPS)


@pytest.mark.parametrize("model", ["tinseth", "rager", "garetz"])
def test_models_of_bitterness_differ_but_stay_in_sight_of_each_other(model: str) -> None:
    """For SG 1.100 and 60 min in print: Tinseth 14.7 %, Garetz 16 %, Rager 24 % of the alpha."""
    beer = brewed(strong(), {"bitterness": model})
    assert 10.0 < value(beer, "bitterness") < 65.0


def test_a_cold_crash_does_not_put_gas_back() -> None:
    """An airlock lets no gas in again: common practice, no source."""
    steps = "fermentation: [{{at: 20 °C, for: 7 d}}{more}]\n"
    plain, crashed = (
        brewed(strong(extra=steps.format(more=more))) for more in ("", ", {at: 1 °C, for: 3 d}")
    )
    assert value(crashed, "residual_co2") == value(plain, "residual_co2") == pytest.approx(0.88, abs=0.03)
    # a lager warmed at its end and then stored cold: the warm rest counts
    lager = brewed(
        strong(
            extra=steps.format(
                more=", {at: 10 °C, for: 9 d}, {at: 16 °C, for: 3 d}, {at: 1 °C, for: 6 weeks}"
            )
        )
    )
    assert value(lager, "residual_co2") == pytest.approx(0.99, abs=0.03)  # Hibberd 1995, 16 °C


def test_hops_by_the_litre_are_hops_by_weight() -> None:
    by_weight = brewed(strong())
    by_litre = brewed(strong().replace("weight: 40.0 g, alpha: 10 %", "weight: 2 g/L, alpha: 10 %"))
    assert value(by_litre, "bitterness") == pytest.approx(value(by_weight, "bitterness"), rel=1e-9)
    assert value(by_litre, "hop_mass_per_litre") == pytest.approx(
        value(by_weight, "hop_mass_per_litre"), rel=1e-9
    )


def test_an_untold_boil_time_widens_the_band() -> None:
    told, untold = brewed(strong()), brewed(strong().replace("boil: 60 min", "boil: true"))
    low, high = untold.band("bitterness") or (0.0, 0.0)
    assert low < value(told, "bitterness") < high
    assert (high - low) / value(untold, "bitterness") > 1.0


def test_wort_left_hot_grows_more_bitter() -> None:
    """Common practice, no source: no-chill wort is bitterer, most of all from its late hops."""
    chilled, left = brewed(strong()), brewed(strong(extra="chill: {by: none, pitched_after: 18 h}\n"))
    gain = [more.ibu / less.ibu for more, less in zip(left.hops, chilled.hops, strict=True)]
    assert 1.0 < gain[0] < gain[1]


WHIRL = """  - {{hop: cascade, weight: {grams} g, alpha: 6 %, whirlpool: {minutes} min, at: {celsius} °C}}
"""


def whirlpool(*charges: tuple[int, int, int], altitude: int = 0) -> list[float]:
    """IBU of whirlpool charges (g, min, °C) in a wort without other hops."""
    hops = "".join(WHIRL.format(grams=g, minutes=m, celsius=c) for g, m, c in charges)
    text = f"""recipe: 1
name: Stand
batch: {{volume: 20 L, into: fermenter}}
brewhouse: {{altitude: {altitude} m, kettle: {{boil_off: 3 L/h, loss: 1 L, cooling: 20 min}}}}
grist: [{{malt: pale-ale-malt, weight: 4.5 kg}}]
mash: {{rests: [{{at: 66 °C, for: 60 min}}]}}
boil: {{for: 60 min}}
hops:
{hops}"""
    return [fact.ibu for fact in brewed(text).hops]


def test_a_colder_later_charge_takes_nothing_from_an_earlier_one() -> None:
    (alone,) = whirlpool((60, 30, 90))
    first, second = whirlpool((60, 30, 90), (60, 10, 65))
    # the second soaks up wort too, so the first loses a little volume of beer; its own exposure only grows
    assert first >= 0.97 * alone
    assert 0.0 < second < first


def test_a_stand_at_its_own_heat_hardly_knows_the_altitude() -> None:
    (low,), (high,) = whirlpool((60, 20, 75)), whirlpool((60, 20, 75), altitude=3000)
    assert high == pytest.approx(low, rel=0.05)


def test_boiled_hops_give_less_where_wort_boils_cooler() -> None:
    """0.74 of the iso-alpha acid at 1609 m for 60 min, from the kinetics of Malowicki & Shellhammer 2005."""
    low, high = (
        brewed(strong().replace("  mash: {", f"  altitude: {metres} m\n  mash: {{")) for metres in (0, 1609)
    )
    assert high.hops[0].ibu / low.hops[0].ibu == pytest.approx(0.74, abs=0.02)


def test_a_malt_of_unknown_power_leaves_the_power_open_and_converts() -> None:
    beer = brewed(strong().replace("maris-otter-pale-malt", "no-such-malt"))
    power = beer.stat("diastatic_power")
    assert power.value is None and "no-such-malt" in power.why
    assert value(beer, "attenuation_limit") == pytest.approx(
        value(brewed(strong()), "attenuation_limit"), abs=0.02
    )


def test_old_hops_have_lost_alpha() -> None:
    """A year at 20 °C takes 10-20 % from pellets, from cones maybe all (common practice); cold and sealed far less."""
    fresh = value(brewed(strong()), "bitterness")
    cold, warm = (
        value(
            brewed(strong().replace("alpha: 10 %,", f"alpha: 10 %, age: 12 months, stored_at: {heat} °C,")),
            "bitterness",
        )
        for heat in (-18, 20)
    )
    assert 0.5 * fresh < warm < cold < fresh


def test_written_liquors_are_compared_with_what_the_batch_needs() -> None:
    plain = brewed(strong())
    needed = value(plain, "strike_liquor") + value(plain, "sparge_liquor")
    flooded = brewed(strong().replace("mash:\n  rests", "mash:\n  liquor: 60 L\n  rests"))
    assert value(flooded, "strike_liquor") == 60.0
    assert value(flooded, "volume_gap") == pytest.approx(60.0 - needed, abs=0.3)
    assert value(flooded, "mash_volume") > 60.0
    mashed = strong(extra="sparge: {method: batch, liquor: 10 L}\n")
    exact = brewed(mashed.replace("mash:\n  rests", "mash:\n  liquor: 20 L\n  rests"))
    assert value(exact, "volume_gap") == pytest.approx(30.0 - exact.run.mash.needed, abs=1e-9)
    collected = brewed(strong().replace("boil: {for: 90 min}", "boil: {for: 90 min, collect: 40 L hot}"))
    assert value(collected, "collect_gap") == pytest.approx(
        38.4 - value(collected, "pre_boil_volume"), abs=1e-9
    )


def test_every_package_has_its_own_gas() -> None:
    beer = brewed(
        strong(
            extra="""fermentation: [{at: 18 °C, for: 10 d}]
packaging:
  - {into: keg, volume: 8 L, carbonation: 2.0 vol}
  - into: bottle
    volume: rest
    glass: light
    carbonation: 3.4 vol
    priming: sucrose
    store: {at: 12 °C, warmest: 28 °C}
"""
        )
    )
    keg, bottle = beer.packages
    assert keg.volume == 8.0 and bottle.volume == pytest.approx(value(beer, "package_volume") - 8.0)
    assert keg.carbonation == 2.0 and bottle.carbonation == 3.4
    assert keg.warmest_assumed and not bottle.warmest_assumed
    assert value(beer, "peak_pressure") == pytest.approx(bottle.pressure)
    # D3, a Henry form (Troester, Carbonation Tables 2008): 3.5 vol presses with 4.7 bar at 30 °C
    assert bottle.pressure == pytest.approx(4.3, abs=0.2)
    assert (bottle.pressure_at_worst or 0.0) > (
        bottle.pressure or 0.0
    )  # the culture may reach the top of its range
    left = value(beer, "residual_co2")
    assert value(beer, "priming_sugar") == pytest.approx((3.4 - left) * 3.81 * bottle.volume, rel=0.02)


def test_fresh_yeast_of_the_bottle_may_go_on_where_the_first_stopped() -> None:
    """A culture that eats dextrins presses no less for being pitched last; common practice, no source."""
    packed = "packaging: {into: bottle, carbonation: 2.4 vol, priming: sucrose%s}\n"
    aged = "fermentation: [{at: 18 °C, for: 10 d}]\n"
    plain = brewed(strong(extra=aged + packed % ""))
    again = brewed(strong(extra=aged + packed % ", yeast: {culture: saison-belgian, weight: 2 g}"))
    assert value(again, "final_gravity") == value(plain, "final_gravity")
    assert value(again, "peak_pressure") == value(plain, "peak_pressure")
    usual = brewed(strong(extra=aged + packed % ", yeast: {culture: ale-bottle-conditioning, weight: 2 g}"))
    assert usual.packages[0].pressure_at_worst == plain.packages[0].pressure_at_worst
    assert again.stat("peak_pressure").risk == pytest.approx(again.packages[0].pressure_at_worst)
    assert (again.packages[0].pressure_at_worst or 0.0) > (plain.packages[0].pressure_at_worst or 0.0) + 2.0


def test_the_warmer_of_two_temperatures_counts_whichever_way_they_stand() -> None:
    packed = (
        "packaging: {into: bottle, carbonation: 2.4 vol, priming: sucrose, store: {at: %s, warmest: %s}}\n"
    )
    one, other = (brewed(strong(extra=packed % pair)) for pair in (("4 °C", "28 °C"), ("28 °C", "4 °C")))
    assert value(one, "peak_pressure") == value(other, "peak_pressure")


def test_an_enzyme_after_the_boil_lets_the_yeast_go_on() -> None:
    """Glucoamylase makes sugar of dextrins in the beer, in the bottle too; in the mash the boil ends it.

    Common practice, no source.
    """
    aged = "fermentation: [{at: 18 °C, for: 10 d}]\n"
    packed = aged + "packaging: {into: bottle, carbonation: 2.4 vol, priming: sucrose}\n"
    plain = brewed(strong(extra=packed))
    usual = plain.packages[0].pressure_at_worst or 0.0
    for when in ("ferment: 1 d", "package: true"):
        late = brewed(strong(extra=packed + f"additions: [{{add: amyloglucosidase, weight: 5 g, {when}}}]\n"))
        assert (late.packages[0].pressure_at_worst or 0.0) > usual + 2.0
        assert late.stat("final_gravity").risk is not None
        assert late.packages[0].goes_on and not plain.packages[0].goes_on
    early = brewed(strong(extra=packed + "additions: [{add: amyloglucosidase, weight: 5 g, mash: true}]\n"))
    # In the mash it has done its work before the boil ends it: how far the beer goes is open, but it comes to rest.
    assert (early.packages[0].pressure_at_worst or 0.0) > usual + 2.0 and not early.packages[0].goes_on


def test_a_sugar_that_hardly_ferments_does_not_prime() -> None:
    packed = "packaging: {into: bottle, carbonation: 2.4 vol, priming: lactose}\n"
    found = brewed(strong(extra="fermentation: [{at: 18 °C, for: 10 d}]\n" + packed)).stat("priming_sugar")
    assert found.value is None and "hardly ferments" in found.why


def test_writing_down_the_liquor_that_was_assumed_changes_nothing() -> None:
    text = """recipe: 1
name: Open
batch: {volume: 20 L, into: fermenter}
grist: [{malt: pale-ale-malt, weight: 4.5 kg}]
mash: {LIQUOR rests: [{at: 66 °C, for: 60 min}]}
"""
    left_open = brewed(text.replace("LIQUOR ", ""))
    strike = value(left_open, "strike_liquor")
    written_down = brewed(text.replace("LIQUOR", f"liquor: {strike!r} L,"))
    assert value(written_down, "original_gravity") == pytest.approx(
        value(left_open, "original_gravity"), abs=1e-9
    )


@pytest.mark.parametrize("into", ["fermenter", "package"])
@pytest.mark.parametrize(
    ("grist", "gravity", "extra"),
    [
        ("{grain: rice-hulls, share: 100 %}", 1.050, ""),
        ("{malt: pale-ale-malt, share: 100 %}", 1.050, "top_up: {volume: 19.9 L}"),
        (
            "{malt: pale-ale-malt, share: 100 %}",
            1.200,
            "mash: {liquor: 3 L, rests: [{at: 66 °C, for: 60 min}]}",
        ),
        ("{fruit: raspberry, share: 100 %}", 1.050, ""),
    ],
)
def test_a_bill_that_no_weight_satisfies_has_no_numbers(
    grist: str, gravity: float, extra: str, into: str
) -> None:
    beer = brewed(
        f"recipe: 1\nname: Never\nbatch: {{volume: 20 L, into: {into}, gravity: {gravity}}}\ngrist: [{grist}]\n"
        f"hops: [{{hop: target, weight: 20 g, boil: 60 min}}]\nyeast: {{culture: english-ale, packs: 1}}\n{extra}\n"
    )
    assert beer.unsettled
    for name in STATS:
        found = beer.stat(name)
        assert (found.value is None and found.why == beer.unsettled) or name in (
            "share_sum",
            "packages_volume",
        )
    assert beer.grist and beer.hops and not beer.packages
    assert beer.band("original_gravity") is None


def test_a_kettle_of_syrup_and_malt_without_time_have_numbers_or_reasons() -> None:
    """More extract than wort in the kettle, and malt that goes in as the mash ends: absurd, and no reason to break."""
    syrup = brewed(
        "recipe: 1\nname: Syrup\nbatch: {volume: 1.8 L, into: fermenter}\n"
        "grist: [{malt: maris-otter-pale-malt, weight: 9 kg}]\n"
        "mash: {liquor: 24 L, rests: [{at: 66 °C, for: 75 min}]}\n"
    )
    none = brewed(
        "recipe: 1\nname: Late\nbatch: {volume: 20 L, into: fermenter}\n"
        "grist: [{malt: pale-ale-malt, weight: 4 kg}, {malt: munich-malt-light, weight: 1 kg, mash: last 0 min}]\n"
        "mash: {rests: [{at: 66 °C, for: 60 min}]}\n"
    )
    for beer in (syrup, none):
        for name in STATS:
            found = beer.stat(name)
            assert found.why if found.value is None else math.isfinite(found.value), name
            if found.value is not None:
                beer.band(name)
                working_of(beer, name)
