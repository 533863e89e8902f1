"""Every rule of the book, on the recipes it names: it speaks up, it keeps quiet, and it says so in a fit
sentence.
"""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from recipelint.recipe.stat_names import STATS
from recipelint.rulebook.built_in import built_in_names
from recipelint.rulebook.columns import TABLES, columns, facts, singles
from recipelint.rulebook.explain import caution_text
from recipelint.rulebook.findings import LEVELS, MESSAGE_LENGTH
from recipelint.rulebook.messages import split_template
from recipelint.rulebook.rule_check import check_rule
from recipelint.rulebook.rules import load_rules, shipped_rules
from recipelint.source.reader import read
from tests.rulebook.kitchen import ROOT, RULES, Cooked, bases, cooked, plain, written_rules

IDS = sorted(written_rules())


def test_the_book_is_whole() -> None:
    assert [rule.id for rule in shipped_rules()] == IDS
    assert len(IDS) >= 20


@pytest.mark.parametrize("name", IDS)
def test_fires(name: str) -> None:
    example = written_rules()[name]["fires"]
    found = [
        finding for finding in Cooked(example["base"], example["merge"]).judged() if finding.rule == name
    ]
    assert found, f"{name} says nothing on its own example"
    assert found[0].at.pointer == example["at"]


@pytest.mark.parametrize("name", IDS)
def test_keeps_quiet(name: str) -> None:
    example = written_rules()[name]["silent"]
    assert name not in {finding.rule for finding in Cooked(example["base"], example["merge"]).judged()}


@pytest.mark.parametrize("name", IDS)
def test_message_is_a_fit_sentence(name: str) -> None:
    """Starts with a name or a number, has no brace left, fits on a line, and no fact in it is unknown."""
    raw = written_rules()[name]
    example = raw["fires"]
    (finding, *_) = [each for each in Cooked(example["base"], example["merge"]).judged() if each.rule == name]
    assert len(finding.message) <= MESSAGE_LENGTH
    assert "{" not in finding.message and "}" not in finding.message
    assert "unknown" not in finding.message
    first = split_template(raw["message"])[0]
    assert first.name is not None or first.text[0].isdigit()
    assert finding.message[0].isupper() or finding.message[0].isdigit()
    assert finding.level in LEVELS
    assert finding.remedy
    if finding.value is not None:
        assert finding.limit is not None and finding.unit is not None
        assert (finding.value > finding.limit) or (finding.value < finding.limit)


@pytest.mark.parametrize("name", IDS)
def test_rule_is_sound_and_sourced(name: str) -> None:
    raw = written_rules()[name]
    assert check_rule(raw, "rules/x.yaml", "/items/0", (*IDS, *built_in_names())) == []
    assert raw["source"] and isinstance(raw["from_memory"], bool)
    assert raw["why"] and raw["remedy"] and raw["about"]
    assert raw["source"] != "common practice" or raw["from_memory"], "a figure without a source is recalled"
    if raw.get("caution"):
        assert "local codes" in caution_text(raw["caution"])


@pytest.mark.parametrize("base", sorted(bases()))
def test_sound_recipes_get_two_notes_at_most(base: str) -> None:
    found = cooked(base).everything()
    assert [finding for finding in found if finding.level != "note"] == []
    assert len(found) <= 2


def test_built_in_names_have_pages_and_the_other_way_round() -> None:
    pages = plain(os.path.join(RULES, "built-in.yaml"))["items"]
    assert set(built_in_names()) == set(pages)
    assert not set(pages) & set(IDS)
    for page in pages.values():
        assert set(page) == {"level", "about", "why", "remedy"}
        assert page["level"].partition(";")[0] in LEVELS


def test_generated_data_and_list_are_current() -> None:
    done = subprocess.run(
        [sys.executable, os.path.join(ROOT, "tools", "generate_rules.py"), "--check"],
        capture_output=True,
        text=True,
        encoding="utf-8",
    )
    assert done.returncode == 0, done.stderr


def test_no_column_hides_a_stat() -> None:
    """Apart from the ions of one water, which are what the stat of that name is of the whole liquor."""
    ions = {"calcium", "magnesium", "sodium", "chloride", "sulphate", "bicarbonate", "alkalinity"}
    for table in TABLES:
        shared = set(columns(table)) & set(facts())
        assert shared <= (ions if table == "waters" else set()), table
    assert not set(singles()) & set(STATS)


SPARSE = [
    {
        "batch": {"volume": "20 L", "into": "fermenter"},
        "grist": [{"malt": "pale-ale-malt", "weight": "4 kg"}],
    },
    {"batch": {"volume": "20 L", "into": "kettle"}, "grist": [{"malt": "no-such-malt", "weight": "4 kg"}]},
    {
        "batch": {"volume": "20 L", "gravity": 1.05, "into": "package"},
        "grist": [{"malt": "pilsner-malt", "share": "90 %"}, {"sugar": "dextrose", "share": "10 %"}],
        "hops": [{"hop": "no-such-hop", "weight": "10 g", "boil": True}, {"hop": "saaz", "weight": "10 g"}],
        "yeast": [{"culture": "no-such-culture"}],
        "additions": [
            {"add": "no-such-thing", "weight": "3 g"},
            {"add": "clove", "count": 2},
            {"add": "irish-moss"},
        ],
        "water": [{"source": "my-well"}, {"calcium": "10 mg/L", "share": "50 %"}],
        "fermentation": [{"rise": "free", "to": "21 °C"}, {"until": "still 3 d"}],
        "conditioning": [{"vessel": "keg"}],
        "packaging": [
            {"into": "bottle", "priming": {"weight": "100 g"}},
            {"carbonation": "2 vol", "volume": "rest"},
        ],
        "mash": {"rests": [{"at": "66 °C"}, {"for": "10 min"}]},
        "claims": ["gluten-free", "vegan"],
        "chill": {"by": "none"},
        "style": {"enter": "bjcp-2021/33B"},
    },
    {"batch": {"volume": "20 L", "into": "fermenter"}, "grist": [{"sugar": "honey", "weight": "7 kg"}]},
]


@pytest.mark.parametrize("number", range(len(SPARSE)))
def test_sparse_recipes_break_no_rule(number: int) -> None:
    """What is left out is unknown and silent: no rule fails, and no message speaks of the unknown."""
    recipe = {"recipe": 1, "name": "Sparse", **SPARSE[number]}
    dish = Cooked("pale-ale", {**dict.fromkeys(bases()["pale-ale"]), **recipe})
    for finding in dish.judged():
        assert finding.rule != "rule-failed", finding.message
        assert "unknown" not in finding.message, finding.message


def test_the_example_of_the_readme_can_be_judged() -> None:
    with open(os.path.join(RULES, "README.md"), encoding="utf-8") as file:
        text = file.read()
    example = text.partition("```yaml\n")[2].partition("```")[0]
    document = read("rules/ours.yaml", example.encode())
    assert document.root is not None
    rules, findings = load_rules(document.root.data, "rules/ours.yaml")  # type: ignore[arg-type]
    assert findings == [] and len(rules) == 1
    hops = [{"hop": "magnum", "weight": "90 g", "form": "pellet", "boil": "60 min"}]
    (finding,) = Cooked("pale-ale", {"hops": hops}).judged(rules)
    assert finding.message == "Magnum at 4.29 g/L for 60 min is more than we like" and finding.level == "note"
