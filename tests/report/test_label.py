"""Figures for a label: whoever reads them anywhere is told that local law has the last word."""

from __future__ import annotations

import json

from recipelint.recipe.stat_names import REMARKS
from recipelint.report.json import stats_json
from recipelint.report.stats_text import stats_text
from recipelint.report.working_text import working_text
from recipelint.workspace.workspace import Brewed
from tests.brewing.worked_brews import brew_of

LABEL = ("label_abv", "label_kilojoules", "label_kilocalories", "label_carbohydrate")
WORDS = "check local law"


def low_water() -> Brewed:
    brew = brew_of("low-water")
    return Brewed(brew.recipe, brew, None)


def test_the_page_has_them_under_a_heading_of_their_own() -> None:
    page = stats_text(low_water())
    block = page.partition(f"For a label: {WORDS}\n")[2].partition("\n\n")[0]
    rows = [
        line.split() for line in block.splitlines() if line[2:3] != " "
    ]  # what is folded stands further in
    assert [row[:4] for row in rows] == [
        ["alcohol", "4.1", "%", "vol"],
        ["energy", "160", "kJ/100", "mL"],
        ["the", "same", "38", "kcal/100"],
        ["carbohydrate", "3.4", "g/100", "mL"],
    ]
    assert "0.5 either side of it in the EU, 0.3 in the US" in " ".join(block.split())


def test_json_and_working_say_it_beside_the_figure() -> None:
    brewed = low_water()
    tree = json.loads(stats_json([("a.yaml", brewed)], LABEL))["recipes"][0]["stats"]
    assert set(LABEL) == set(REMARKS)
    for name in LABEL:
        assert tree[name]["remark"] == WORDS
        assert "low" not in tree[name]  # the law gives the room around it
        assert WORDS in tree[name]["working"][-1]["note"]
        assert working_text(brewed, name).rstrip().endswith(WORDS)
    assert "remark" not in tree["abv"]
    assert tree["label_abv"]["value"] == round(tree["abv"]["value"], 1)


def test_the_two_energies_are_the_law_s_and_not_one_turned_into_the_other() -> None:
    """29 and 17 kJ, 7 and 4 kcal a gram: of the same grams, so that both give the extract when the alcohol is known."""
    brewed = low_water()
    stat = brewed.brew.stat
    alcohol = stat("alcohol_units").value
    kilojoules, kilocalories = stat("label_kilojoules").value, stat("label_kilocalories").value
    assert alcohol is not None and kilojoules is not None and kilocalories is not None
    by_kilojoules, by_kilocalories = (
        (kilojoules - 29.0 * alcohol) / 17.0,
        (kilocalories - 7.0 * alcohol) / 4.0,
    )
    assert abs(by_kilojoules - by_kilocalories) < 0.5 / 17.0 + 0.5 / 4.0
