"""Clauses that the tool itself puts into a message come whole: cut off, they say something else or nothing."""

from __future__ import annotations

from typing import Any

import pytest

from tests.rulebook.kitchen import Cooked, written_rules

NEVER = [
    {"malt": "pilsner-malt", "weight": "4.5 kg"},
    {"sugar": "sucrose", "weight": "300 g", "ferment": "below 0.995"},
    {"sugar": "dextrose", "weight": "300 g", "ferment": "1 d after previous"},
]
CASES: tuple[tuple[str, str, Any, str], ...] = (
    (
        "mash-step-impossible",
        "pilsner",
        {"mash": {"rests": [{"at": "68 °C", "for": "40 min"}, {"at": "62 °C", "for": "30 min"}]}},
        "the mash stands at 68 °C, and this way of heating does not cool it",
    ),
    (
        "staged-sugar-never-due",
        "pilsner",
        {"grist": NEVER},
        "never goes in: the addition before it never goes in; it ends at 1.0",
    ),
    (
        "gluten-free-claim-untrue",
        "pilsner",
        {
            "claims": ["gluten-free"],
            "grist": [
                {"malt": "maris-otter-pale-malt", "weight": "4 kg"},
                {"malt": "crystal-malt-british", "weight": "300 g"},
            ],
        },
        "Maris Otter pale ale malt (barley cultivar) and British crystal malt, medium: gluten in a",
    ),
)


@pytest.mark.parametrize(("rule", "base", "patch", "words"), CASES, ids=[case[0] for case in CASES])
def test_a_clause_of_our_own_is_not_cut(rule: str, base: str, patch: Any, words: str) -> None:
    told = [one.message for one in Cooked(base, patch).judged() if one.rule == rule]
    assert any(words in message for message in told)
    assert not any("…" in message for message in told)


@pytest.mark.parametrize("name", sorted(written_rules()))
def test_no_rule_cuts_its_own_example(name: str) -> None:
    example = written_rules()[name]["fires"]
    told = [one.message for one in Cooked(example["base"], example["merge"]).judged() if one.rule == name]
    assert told and not any("…" in message for message in told)
