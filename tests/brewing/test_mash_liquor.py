"""How much liquor a mash begins with: what is written, kept back for a sparge, taken by infusions, hot enough.

The sums are the test's own, on a tun of 60 L that keeps 1 L and 1 L/kg, with 4 L/h of steam and 2 L left in the kettle.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipelint.brewing.brew import Brew
from recipelint.brewing.gravity import volume_of_masses
from tests.brewing.paper import brewed, value

WATER = 0.998203  # kg/L at 20 °C
REST = "{at: 66 °C, for: 60 min}"
COLD = "{at: 40 °C, for: 10 min}, {at: 66 °C, by: infusion, of: 75 °C, for: 60 min}"


def poured(
    liquor: str = "",
    sparge: str = "",
    rests: str = REST,
    kilos: float = 5.0,
    tun: float = 60.0,
    kind: str = "tun",
) -> Brew:
    return brewed(f"""recipe: 1
name: Liquor
batch: {{volume: 20 L, into: fermenter}}
brewhouse:
  mash: {{kind: {kind}, capacity: {tun} L, dead_space: 1 L, absorption: 1 L/kg}}
  kettle: {{capacity: 60 L, boil_off: 4 L/h, loss: 2 L}}
  grain_at: 15 °C
grist:
  - {{malt: pale-ale-malt, weight: {kilos} kg}}
mash: {{{f"liquor: {liquor}, " if liquor else ""}rests: [{rests}]}}
{f"sparge: {sparge}" if sparge else ""}
boil: {{for: 60 min}}
yeast: [{{culture: english-ale, packs: 1}}]
""")


def needed(beer: Brew) -> float:
    """Liquor for 20 L and 2 L left behind at flame-out, 4 L of steam, and what grain and tun keep."""
    mash, kettle = beer.run.mash, beer.run.kettle
    assert kettle.volume == pytest.approx(22.0, abs=1e-6)
    assert mash.water == pytest.approx(kettle.water + 4.0 * WATER, abs=1e-6)
    return volume_of_masses(mash.extract, mash.water) + mash.grain * 1.0 + 1.0


# ---------------------------------------------------------------------- the sparge


@pytest.mark.parametrize("method", ["batch", "fly"])
def test_a_sparge_that_is_written_is_kept_back_from_the_mash(method: str) -> None:
    beer = poured(sparge=f"{{method: {method}, liquor: 3 L}}")
    assert value(beer, "strike_liquor") == pytest.approx(needed(beer) - 3.0, abs=1e-6)
    assert value(beer, "sparge_liquor") == pytest.approx(3.0, abs=1e-6)
    assert value(beer, "volume_gap") == pytest.approx(0.0, abs=1e-6)


def test_a_written_sparge_leaves_the_mash_what_stirs() -> None:
    """Of 32 L not 26 can be sparged: 5 kg take 10 L before they stir, and the four litres too many are told."""
    beer = poured(sparge="{method: batch, liquor: 26 L}")
    assert value(beer, "strike_liquor") == pytest.approx(10.0)
    assert value(beer, "volume_gap") == pytest.approx(10.0 + 26.0 - needed(beer), abs=1e-6)


def test_no_sparge_is_none_whatever_is_written_for_it() -> None:
    beer = poured(sparge="{method: none, liquor: 17 L}")
    assert value(beer, "sparge_liquor") == 0.0
    assert value(beer, "strike_liquor") == pytest.approx(needed(beer), abs=1e-6)


@pytest.mark.parametrize("kind", ["tun", "bag"])
@pytest.mark.parametrize("sparge", ["{method: none, liquor: 17 L}", "{method: none}"])
def test_without_a_sparge_only_what_is_in_the_mash_washes_it(sparge: str, kind: str) -> None:
    """One run-off of 15 L: by hand, wort in the tun less wort that stays, over wort in the tun."""
    beer = poured("15 L", sparge, kind=kind)
    mash = beer.run.mash
    assert value(beer, "sparge_liquor") == 0.0
    assert value(beer, "volume_gap") == pytest.approx(15.0 - needed(beer), abs=1e-6)
    wort = volume_of_masses(mash.dissolved, 15.0 * WATER)
    stays = 1.0 * 5.0 + 1.0 + 0.62 * mash.dissolved
    assert value(beer, "lauter_efficiency") == pytest.approx(1.0 - stays / wort, abs=1e-9)


def test_a_bag_with_its_liquor_and_no_sparge_lacks_what_is_not_poured() -> None:
    """What is missing is told, and is reckoned as a rinse of the bag."""
    beer = poured("25 L", kind="bag")
    assert value(beer, "volume_gap") == pytest.approx(25.0 - needed(beer), abs=1e-6)
    assert value(beer, "sparge_liquor") == pytest.approx(needed(beer) - 25.0, abs=1e-6)


# ---------------------------------------------------------------------- infusions


def test_infusions_that_take_too_much_begin_with_the_stiffest_mash_that_stirs() -> None:
    """From 40 to 66 °C with liquor at 75 °C takes more than there is: 2 L/kg, and what heat then asks for."""
    beer = poured(rests=COLD, tun=150.0)
    assert value(beer, "strike_liquor") == pytest.approx(10.0)
    walls = 0.03 * (0.3 * 150.0 + 0.7 * (10.0 + 0.67 * 5.0))
    held = 0.40 * 5.0 + 10.0 * WATER + walls
    assert value(beer, "infusion_liquor") == pytest.approx(
        held * (66.0 - 40.0) / (75.0 - 66.0) / WATER, rel=1e-9
    )
    assert value(beer, "infusion_liquor") + 10.0 > needed(beer)


@given(
    st.floats(3.0, 9.0),
    st.sampled_from(["{method: none}", "{method: batch, liquor: 6 L}"]),
    st.floats(52.0, 62.0),
    st.floats(85.0, 98.0),
)
@settings(max_examples=40)
def test_strike_and_infusions_make_up_what_is_left_for_the_mash(
    kilos: float, sparge: str, first: float, hot: float
) -> None:
    rests = (
        f"{{at: {first:.1f} °C, for: 10 min}}, {{at: 66 °C, by: infusion, of: {hot:.1f} °C, for: 40 min}}, "
        "{at: 72 °C, by: infusion, for: 20 min}"
    )
    beer = poured(sparge=sparge, rests=rests, kilos=round(kilos, 2))
    strike, infused = value(beer, "strike_liquor"), value(beer, "infusion_liquor")
    back = 6.0 if "liquor" in sparge else 0.0
    if strike > 2.0 * round(kilos, 2) + 1e-6:
        assert strike + infused + back == pytest.approx(needed(beer), abs=1e-6)
    else:
        assert strike + infused + back > needed(beer) - 1e-6


# ---------------------------------------------------------------------- heat


@pytest.mark.parametrize("kilos", [5.0, 1.3, 0.9])
def test_a_small_mash_warms_only_the_part_of_the_tun_that_it_wets(kilos: float) -> None:
    beer = poured(kilos=kilos)
    litres = 3.0 * kilos
    assert value(beer, "strike_liquor") == pytest.approx(litres)
    walls = 0.03 * (0.3 * 60.0 + 0.7 * (litres + 0.67 * kilos))
    wanted = (0.40 * kilos + walls) * (66.0 - 15.0)
    assert value(beer, "strike_temperature") == pytest.approx(66.0 + wanted / (litres * WATER), rel=1e-9)
    assert value(beer, "strike_temperature") < 90.0


def test_a_strike_liquor_of_the_tools_own_choice_need_not_boil() -> None:
    beer = poured(kilos=0.3, tun=90.0)
    assert value(beer, "strike_liquor") > 3.0 * 0.3
    assert value(beer, "strike_temperature") == pytest.approx(98.0, abs=0.01)  # boiling, less 2 K
    assert beer.steps[0].troubles == ()
    total = sum(value(beer, name) for name in ("strike_liquor", "sparge_liquor"))
    assert total == pytest.approx(needed(beer), abs=1e-6)
