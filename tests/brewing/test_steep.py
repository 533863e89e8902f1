"""A steep beside a mash, or instead of one: where its liquor goes.

The sums are the test's own: liquor in is wort out and what the grain keeps (KIT: 1 L/kg), at 0.998203 kg/L of water.
"""

from __future__ import annotations

import pytest

from recipelint.brewing.brew import Brew
from recipelint.brewing.gravity import volume_of_masses
from tests.brewing.paper import brewed, value

WATER = 0.998203  # kg/L at 20 °C


def steeped(liquor: str = "", mash: str = "15 L", kilos: float = 0.5, second: str = "") -> Brew:
    """20 L into the fermenter, 5 kg mashed in a tun that keeps 1 L and 1 L/kg, 4 L/h of steam, 2 L in the kettle."""
    poured = f", liquor: {liquor}" if liquor else ""
    malt = (
        "  - {malt: pale-ale-malt, weight: 5 kg, mash: true}"
        if mash
        else "  - {extract: dry-malt-extract-light, weight: 3 kg}"
    )
    return brewed(f"""recipe: 1
name: Steep
batch: {{volume: 20 L, into: fermenter}}
brewhouse:
  mash: {{kind: tun, capacity: 60 L, dead_space: 1 L, absorption: 1 L/kg}}
  kettle: {{capacity: 60 L, boil_off: 4 L/h, loss: 2 L}}
grist:
{malt}
  - {{malt: crystal-malt-british, weight: {kilos} kg, steep: {{at: 68 °C, for: 30 min{poured}}}}}
{second}
{f"mash: {{liquor: {mash}, rests: [{{at: 66 °C, for: 60 min}}]}}" if mash else ""}
boil: {{for: 60 min}}
yeast: [{{culture: english-ale, packs: 1}}]
""")


def poured_on(beer: Brew) -> float:
    return sum(
        value(beer, name) for name in ("strike_liquor", "infusion_liquor", "sparge_liquor", "steep_liquor")
    )


@pytest.mark.parametrize(
    ("liquor", "off"), [("3 L", 2.5), ("1.5 L", 1.0), ("", 1.0), ("0.5 L", 0.0), ("0.3 L", 0.0)]
)
def test_the_liquor_of_a_steep_is_collected_less_what_its_grain_keeps(liquor: str, off: float) -> None:
    beer = steeped(liquor)
    mash, kettle = beer.run.mash, beer.run.kettle
    steep = mash.steep
    assert steep.kept == pytest.approx(0.5)
    # what runs off has that volume, extract and all
    got = volume_of_masses(steep.extract, steep.water) if off else 0.0
    assert got == pytest.approx(off, abs=1e-6)
    # the kettle starts with the two worts and ends at what is wished for: 20 L and the 2 L that stay in it
    assert kettle.pre_water == pytest.approx(mash.water + steep.water, abs=1e-6)
    assert kettle.water == pytest.approx(kettle.pre_water - 4.0 * WATER, abs=1e-6)
    assert value(beer, "kettle_volume") == pytest.approx(22.0, abs=1e-6)
    # all liquor is accounted for
    assert poured_on(beer) == pytest.approx(value(beer, "liquor_in_all"), abs=1e-6)
    keeps = 5.0 * 1.0 + 1.0 + min(0.5, value(beer, "steep_liquor"))
    assert value(beer, "grain_keeps") == pytest.approx(keeps, abs=1e-6)
    assert poured_on(beer) - keeps == pytest.approx(mash.volume + got, abs=1e-6)


def test_more_liquor_on_the_steep_is_as_much_less_in_the_sparge() -> None:
    little, much = steeped("1 L"), steeped("3 L")
    assert value(little, "sparge_liquor") - value(much, "sparge_liquor") == pytest.approx(2.0, abs=0.02)
    assert value(little, "liquor_in_all") == pytest.approx(value(much, "liquor_in_all"), abs=0.02)


def test_without_its_liquor_a_steep_takes_three_litres_a_kilogram() -> None:
    assert value(steeped(), "steep_liquor") == pytest.approx(1.5)


def test_one_pot_holds_all_that_is_steeped() -> None:
    more = "  - {malt: chocolate-malt, weight: 200 g, steep: {at: 68 °C, for: 30 min}}"
    beer = steeped("3 L", second=more)
    assert value(beer, "steep_liquor") == 3.0
    assert beer.run.mash.steep.kept == pytest.approx(0.7)


def test_grain_steeped_for_an_extract_beer_keeps_its_share_of_the_liquor() -> None:
    beer = steeped("3 L", mash="")
    kettle = beer.run.kettle
    steep = beer.run.mash.steep
    run_in = beer.run.mash.water
    assert value(beer, "strike_liquor") == pytest.approx(
        0.5 + volume_of_masses(steep.extract, run_in), abs=1e-6
    )
    assert value(beer, "grain_keeps") == pytest.approx(0.5)
    assert kettle.water == pytest.approx(run_in + _brought(beer) - 4.0 * WATER, abs=1e-6)
    assert beer.stat("steep_liquor").value is None


def _brought(beer: Brew) -> float:
    return sum(line.weight * line.water for line in beer.run.plan.lines if line.stage == "boil")
