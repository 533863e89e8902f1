"""``recipelint stats``, ``style`` and ``explain`` from the outside."""

from __future__ import annotations

import json
import re

import pytest

from recipelint.recipe.stat_names import STATS
from tests.commands.conftest import BITTER, NO_RECIPE, Club


def test_the_stats_of_a_recipe_as_a_page(club: Club) -> None:
    done = club.run("stats", "recipes/bitter.yaml")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Harbour Bitter, on the default brewhouse")
    (line,) = [line for line in done.stdout.splitlines() if line.startswith("  at pitching ")]
    found = re.search(r"(1\.0\d\d) +(1\.0\d\d) \.\. (1\.0\d\d)", line)
    assert found is not None
    value, low, high = map(float, found.groups())
    assert 1.030 < low < value < high < 1.060


def test_the_stats_of_several_recipes_as_json(club: Club) -> None:
    club.write("recipes/second.yaml", BITTER.replace("Harbour", "Quay"))
    done = club.run("stats", "--format", "json", "second.yaml", "bitter.yaml", here="recipes")
    tree = json.loads(done.stdout)
    assert done.returncode == 0 and tree["format"] == "recipelint/stats/1"
    assert [one["file"] for one in tree["recipes"]] == ["recipes/second.yaml", "recipes/bitter.yaml"]
    for one in tree["recipes"]:
        assert set(one["stats"]) == set(STATS)
        for name, stat in one["stats"].items():
            assert stat["unit"] == STATS[name].unit
            assert (stat["value"] is None) == bool(stat.get("why")), name
            if "low" in stat:
                assert stat["low"] <= stat["value"] <= stat["high"], name


def test_another_brewhouse_moves_the_numbers(club: Club) -> None:
    vessels = "brewhouse: 1\nname: {}\nefficiency: {{brewhouse: {} %}}\n"
    club.write("brewhouses/good.yaml", vessels.format("Good", 80))
    club.write("brewhouses/poor.yaml", vessels.format("Poor", 60))

    def gravity(name: str) -> float:
        done = club.run("stats", "--format=json", "--brewhouse", name, "recipes/bitter.yaml")
        one = json.loads(done.stdout)["recipes"][0]
        assert one["brewhouse"] == name
        value = one["stats"]["original_gravity"]["value"]
        assert isinstance(value, float)
        return value

    assert gravity("good") > gravity("poor") + 0.005


def test_us_units_are_the_houses_choice_and_never_json(club: Club) -> None:
    club.write("recipelint.yaml", "house: 1\nunits: us\n")
    assert " gal " in club.run("stats", "recipes/bitter.yaml").stdout
    tree = json.loads(club.run("stats", "--format", "json", "recipes/bitter.yaml").stdout)
    assert tree["recipes"][0]["stats"]["fermenter_volume"]["unit"] == "L"


GALLONS = """recipe: 1
name: Gallons
batch: {volume: 5 gal, into: fermenter}
grist:
  - {malt: pale-ale-malt, weight: 10 lb}
mash:
  liquor: 12 gal
  rests: [{at: 152 °F, for: 60 min}, {at: HOT, for: 10 min}]
sparge: {method: batch, liquor: 3 gal}
boil: {for: 60 min}
"""


def test_a_house_in_us_units_is_told_in_gallons_and_fahrenheit(club: Club) -> None:
    """Written 12 and 3 gal of liquor, and 200 °F, that is 93.3 °C: too hot, but no slip."""
    club.write("recipelint.yaml", "house: 1\nunits: us\n")
    club.write("recipes/gallons.yaml", GALLONS.replace("HOT", "200 °F"))
    said = club.run("check", "recipes/gallons.yaml").stdout
    assert "200 °F is no temperature for a rest: beyond 176 °F mash enzymes do no work [" in said
    assert "15 gal of liquor is poured in all, but 5 gal into the fermenter takes " in said
    assert "°C" not in said and " L " not in said and "would be" not in said
    tree = json.loads(club.run("check", "--format", "json", "recipes/gallons.yaml").stdout)
    (hot,) = [one for one in tree["findings"] if one["rule"] == "mash-rest-temperature-implausible"]
    assert (hot["unit"], hot["limit"]) == ("°C", 80.0)


def test_a_fahrenheit_figure_in_a_celsius_field_is_guessed_at_in_either_house(club: Club) -> None:
    club.write("recipes/gallons.yaml", GALLONS.replace("HOT", "168 °C"))
    assert "168 °F would be 76 °C" in club.run("check", "recipes/gallons.yaml").stdout
    club.write("recipelint.yaml", "house: 1\nunits: us\n")
    assert "was 168 °F meant?" in club.run("check", "recipes/gallons.yaml").stdout


def test_the_pages_of_a_house_in_us_units_mix_no_units(club: Club) -> None:
    club.write("recipelint.yaml", "house: 1\nunits: us\n")
    page = club.run("stats", "recipes/bitter.yaml").stdout
    assert "between 140 and 167 °F" in page and "60 and 75 °C" not in page
    last = club.run("stats", "recipes/bitter.yaml", "--explain", "strike_temperature").stdout.split(
        "90 % band"
    )[-1]
    assert "°F" in last and "°C" not in last


@pytest.mark.parametrize("command", ["stats", "style"])
def test_a_recipe_that_cannot_be_brewed_says_why(club: Club, command: str) -> None:
    club.write("recipes/broken.yaml", BITTER.replace("weight: 3.4 kg", "weight: 350"))
    done = club.run(command, "recipes/broken.yaml", "recipes/bitter.yaml")
    assert done.returncode == 1
    assert "recipes/broken.yaml:7:13: error: " in done.stderr
    assert "Harbour Bitter" in done.stdout, "the other recipe is still shown"
    for path, word in (
        ("absent.yaml", "file-unreadable"),
        ("recipelint.yaml", "no recipe"),
        ("recipes", "folder"),
    ):
        done = club.run(command, path)
        assert done.returncode == 2 and word in done.stderr and not done.stdout
    club.write("compose.yaml", NO_RECIPE)
    assert club.run(command, "compose.yaml").returncode == 2


def test_the_style_page_compares_and_ranks(club: Club) -> None:
    done = club.run("style", "recipes/bitter.yaml")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Harbour Bitter as Best Bitter (bjcp-2021 11B)")
    assert re.search(
        r"^  original gravity +1\.0\d\d +1\.0\d\d \.\. 1\.0\d\d +1\.040 \.\. 1\.048 +(inside|edge|outside)",
        done.stdout,
        re.M,
    )
    assert "Closest in numbers alone" in done.stdout


def test_another_style_is_far_off_and_says_what_would_help(club: Club) -> None:
    done = club.run("style", "--style", "bjcp-2021/17D", "recipes/bitter.yaml")
    assert done.returncode == 0
    assert "English Barley" in done.stdout.splitlines()[0]
    assert (
        " points below" in done.stdout
        and "  original gravity to 1.080\n" in done.stdout
        and " -> " in done.stdout
    )


def test_a_style_that_does_not_exist_is_2(club: Club) -> None:
    done = club.run("style", "--style", "bjcp-2021/99Z", "recipes/bitter.yaml")
    assert done.returncode == 2 and "--style bjcp-2021/99Z" in done.stderr and done.stderr.count("\n") == 1


def test_the_style_page_as_json(club: Club) -> None:
    tree = json.loads(club.run("style", "--format=json", "recipes/bitter.yaml").stdout)
    (one,) = tree["recipes"]
    assert one["style"] == "bjcp-2021/best-bitter" and len(one["closest"]) == 5
    assert one["stats"]["abv"]["style_low"] == 3.8
    distances = [fit["distance"] for fit in one["closest"]]
    assert distances == sorted(distances)


def test_a_rule_is_explained_and_all_are_listed(club: Club) -> None:
    page = club.run("explain", "sugar-share-high")
    assert page.returncode == 0 and page.stdout.startswith("sugar-share-high")
    assert all(len(line) <= 80 for line in page.stdout.splitlines())
    listed = club.run("explain", "--list").stdout
    assert "sugar-share-high" in listed and "yaml-syntax" in listed
    names = listed_names(listed)
    assert len(names) == len(set(names)) > 30


def listed_names(text: str) -> list[str]:
    return re.findall(r"^  ([a-z][a-z-]+) \(", text, re.M)


def test_every_listed_rule_has_a_page(club: Club) -> None:
    names = listed_names(club.run("explain", "--list").stdout)
    done = club.run("explain", *names)
    assert done.returncode == 0, done.stderr
    assert all(re.search(rf"^{re.escape(name)}\b", done.stdout, re.M) for name in names)


def test_an_unknown_rule_is_2_and_the_nearest_is_named(club: Club) -> None:
    done = club.run("explain", "sugar-share-hihg")
    assert done.returncode == 2 and "sugar-share-high" in done.stderr
