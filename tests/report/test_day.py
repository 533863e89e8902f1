"""The tables of the brew day, as text and as JSON, from a real brew."""

from __future__ import annotations

import json

import pytest

from recipelint.report.contact_text import lying
from recipelint.report.day_json import day_tree
from recipelint.report.mash_text import rests, water
from recipelint.report.path_text import way
from tests.brewing.paper import brewed

BEER = brewed("""recipe: 1
name: Long Table
batch: {volume: 20 L, into: fermenter}
brewhouse: {mash: {kind: tun, capacity: 40 L}, grain_at: 10 °C}
grist:
  - {malt: pilsner-malt, weight: 6 kg}
  - {sugar: sucrose, weight: 300 g, ferment: below 1.040}
  - {sugar: sucrose, weight: 100 g, ferment: below 1.002}
mash:
  liquor: 14 L
  rests:
    - {at: 52 °C, for: 10 min}
    - {at: 64 °C, by: infusion, of: 98 °C, for: 40 min}
    - {at: 72 °C, by: decoction, share: 10 %, for: 20 min}
    - {at: 60 °C, for: 5 min}
hops:
  - {hop: magnum, weight: 20 g, alpha: 12 %, boil: 60 min}
  - {hop: fuggle, weight: 40 g, alpha: 5 %, dry_hop: 4 d before package}
additions: [{add: oak-chips, weight: 20 g, condition: true}]
water: {source: well, calcium: 40 mg/L, magnesium: 5 mg/L, alkalinity: 60 mg/L}
yeast: [{culture: american-ale-neutral, form: dry, packs: 2}]
""")


@pytest.mark.parametrize("units", ["metric", "us"])
def test_each_rest_says_how_it_is_reached_and_what_cannot_be(units: str) -> None:
    lines = rests(BEER.rests, units)
    assert len(lines) >= 2 + 4
    text = "\n".join(lines)
    assert ("°F" in text) == (units == "us") and ("°C" in text) == (units == "metric")
    assert "added" in text and "boiled" in text
    assert "nothing cools it" in text  # the last rest lies below the one before it
    assert all(len(line) <= 110 for line in lines)
    if units == "metric":
        steps = [fact.step for fact in BEER.rests]
        assert f"14.0 L at {steps[0].needed:.1f} °C" in text
        # The written part leads elsewhere than to 72 °C, and the line says where.
        assert steps[2].reached is not None and f": {steps[2].reached:.1f} °C" in text


def test_what_an_analysis_leaves_out_is_told_with_the_reason() -> None:
    unknown: dict[str, list[str]] = {}
    lines = water(BEER.stat, BEER.recipe.water, unknown)
    assert any(line.split() == ["calcium", "40", "40"] for line in lines)
    assert "chloride of the mash liquor" in unknown["the water does not give its chloride"]
    assert not any("sulphate" in line for line in lines)


def test_the_way_tells_gravities_and_what_never_goes_in() -> None:
    lines = way(BEER.way, BEER.grist, BEER.cultures, "metric")
    fed = next(line for line in lines if "300 g" in line)
    assert " 1.040 -> 1.04" in fed and ".." in fed
    missed = next(line for line in lines if "100 g" in line)
    assert "never, since the beer does not fall so far" in missed
    assert way(None, BEER.grist, BEER.cultures, "metric") == []


def test_what_lies_in_the_beer_is_told_with_its_time_or_why_not() -> None:
    heading, hop, wood = lying(BEER.contacts, "metric")[1:]
    assert heading.startswith("In contact with the beer")
    dose = f"{40.0 / BEER.run.beer.volume:.1f}"
    assert hop.split() == ["Fuggle", dose, "g/L", "4.0", "d"]
    assert wood.endswith("time not known: the recipe does not say when oak-chips goes in")
    assert "oz/gal" in lying(BEER.contacts, "us")[2]
    assert lying((), "metric") == []


def test_the_same_for_programs() -> None:
    tree = json.loads(json.dumps(day_tree(BEER), allow_nan=False))
    assert [row["by"] for row in tree["rests"]] == ["strike", "infusion", "decoction", "direct"]
    assert tree["rests"][0]["liquor_temperature"] == round(BEER.rests[0].step.needed or 0.0, 1)
    assert tree["hops"][0]["bitterness"] == round(BEER.stat("bitterness").value or 0.0, 1)
    events = {row["event"]: row for row in tree["fermentation"]}
    assert events["added"]["before"] == 1.04
    assert events["missed"]["path"] == "/grist/2" and events["missed"]["lowest"] > 1.002
    lies, wood = tree["contact"]
    assert (lies["path"], lies["sort"], lies["hours"], lies["before_package"]) == (
        "/hops/1",
        "dry hops",
        96.0,
        96.0,
    )
    assert lies["dose"] == pytest.approx(40.0 / BEER.run.beer.volume, abs=0.01)
    assert wood["hours"] is None and wood["why"] == "the recipe does not say when oak-chips goes in"
    assert events["still"]["hours"]["low"] < events["still"]["hours"]["value"]
