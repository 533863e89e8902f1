"""The forms that other programs read: their keys are a promise."""

from __future__ import annotations

import json
import os
import subprocess
import sys

from recipelint import __version__
from recipelint.recipe.stat_names import STATS
from recipelint.report.json import findings_json, number, rounded, stats_json
from tests.report.brews import harrow_field
from tests.report.builders import place, placed, recipe


def test_the_form_of_findings() -> None:
    first = place(start=(4, 1), end=(4, 5), path="/name")
    found = placed(
        item="grist/candi-sugar-dark@boil",
        value=0.33123456,
        unit="1",
        limit=0.3,
        accepted="it is a Belgian",
        related=(("first here", first),),
    )
    assert json.loads(findings_json([recipe(found)])) == {
        "format": "recipelint/findings/1",
        "tool": {"name": "recipelint", "version": __version__},
        "summary": {
            "recipes": 1,
            "error": 0,
            "warning": 0,
            "note": 0,
            "accepted": 1,
            "unreadable": 0,
            "left_alone": 0,
        },
        "findings": [
            {
                "rule": "sugar-share-high",
                "level": "warning",
                "message": "33 % of the extract is sugar; 30 % is the most",
                "file": "recipes/harrow-field.yaml",
                "path": "/grist/2/weight",
                "item": "grist/candi-sugar-dark@boil",
                "start": {"line": 27, "column": 5},
                "end": {"line": 27, "column": 18},
                "value": 0.3312,
                "unit": "1",
                "limit": 0.3,
                "related": [
                    {
                        "message": "first here",
                        "file": "recipes/harrow-field.yaml",
                        "path": "/name",
                        "start": {"line": 4, "column": 1},
                        "end": {"line": 4, "column": 5},
                    }
                ],
                "accepted": {"because": "it is a Belgian"},
                "fix": None,
                "remedy": None,
                "caution": None,
            }
        ],
    }


def test_nothing_outside_ascii_is_written_raw() -> None:
    text = findings_json([recipe(placed(message="20 °C \u202e \x1b \udc80"))])
    assert text.isascii() and text.endswith("}\n")
    assert "\x1b" not in text


def test_a_number_that_is_none_stays_so() -> None:
    assert number(float("nan"), "1") is None
    assert number(float("inf"), "SG") is None
    assert str(number(-0.00000001, "1")) == "0.0"
    assert number(1234.5678, "a unit of its own") == 1234.57


def test_stats_have_their_digits_and_strengths_are_percent() -> None:
    assert rounded(STATS["original_gravity"], 1.092345) == 1.0923
    assert rounded(STATS["abv"], 0.09512) == 9.51
    assert rounded(STATS["mash_ph"], None) is None


def test_the_form_of_stats() -> None:
    tree = json.loads(stats_json([("recipes/harrow-field.yaml", harrow_field())]))
    assert tree["format"] == "recipelint/stats/1"
    (one,) = tree["recipes"]
    assert (one["file"], one["name"], one["brewhouse"]) == (
        "recipes/harrow-field.yaml",
        "Harrow Field",
        "quarry-barn",
    )
    assert list(one["stats"]) == list(STATS)
    assert one["stats"]["original_gravity"] == {
        "value": 1.093,
        "unit": "SG",
        "low": 1.088,
        "high": 1.097,
        "widened_by": ["mash efficiency", "malt yield", "boil-off"],
        "from": ["/grist/0", "brewhouses/quarry-barn.yaml#/efficiency/mash"],
    }
    assert one["stats"]["mash_ph"] == {"value": None, "unit": "pH", "why": "the recipe gives no water"}
    assert "widened_by" not in one["stats"]["mash_ph"]
    assert not {"low", "high", "widened_by"} & set(one["stats"]["kettle_fill"])  # nothing moves it
    assert one["stats"]["abv"]["value"] == 10.13
    assert one["stats"]["peak_pressure"]["risk"] == 5.2


def test_two_runs_are_equal_byte_for_byte_whatever_the_hash_seed_and_locale() -> None:
    code = (
        "from tests.report.builders import recipe, placed, place\n"
        "from tests.report.brews import harrow_field\n"
        "from recipelint.report.json import findings_json, stats_json\n"
        "r = [recipe(placed(), placed(rule=x, where=place(file=f))) for x in 'ab' for f in 'yx']\n"
        "print(findings_json(r) + stats_json([('a', harrow_field())]))\n"
    )
    runs = set()
    for seed, locale in (("0", "C"), ("1", "C.UTF-8"), ("12345", "de_DE.UTF-8")):
        environ = {
            **os.environ,
            "PYTHONHASHSEED": seed,
            "LC_ALL": locale,
            "PYTHONPATH": os.pathsep.join(sys.path),
        }
        runs.add(
            subprocess.run([sys.executable, "-c", code], env=environ, capture_output=True, check=True).stdout
        )
    assert len(runs) == 1
