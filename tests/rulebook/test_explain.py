"""Pages: every rule has one, it is narrow, and it says what can be changed in words that can be read back."""

from __future__ import annotations

import os

import pytest

from recipelint.recipe.model import RuleSetting
from recipelint.rulebook.built_in import built_in_names
from recipelint.rulebook.explain import caution_text, explain, known_rules, near, rule_list
from recipelint.rulebook.rules import load_rules, shipped_rules
from recipelint.rulebook.settings import check_settings
from tests.rulebook.kitchen import RULES, plain

NAMES = [rule.id for rule in shipped_rules()] + list(built_in_names())


@pytest.mark.parametrize("name", NAMES)
def test_every_rule_has_a_page_under_80_columns(name: str) -> None:
    page = explain(name)
    assert page is not None and page.startswith(f"{name}\n")
    assert max(len(line) for line in page.splitlines()) < 80
    assert "\nWhy\n" in page and "\nWhat to do\n" in page
    assert "None" not in page and "unknown" not in page.replace(name, "").replace("unknown-", "")


@pytest.mark.parametrize("rule", shipped_rules(), ids=lambda rule: rule.id)
def test_a_page_shows_every_limit_and_where_it_comes_from(rule: object) -> None:
    page = explain(rule.id)  # type: ignore[attr-defined]
    assert page is not None
    for limit in rule.limits:  # type: ignore[attr-defined]
        assert f"[{limit.name}]" in page
    assert "\nSource\n" in page and "recipelint.yaml" in page


@pytest.mark.parametrize("rule", shipped_rules(), ids=lambda rule: rule.id)
def test_the_setting_that_a_page_proposes_is_one(rule: object) -> None:
    page = explain(rule.id) or ""  # type: ignore[attr-defined]
    lines = page.splitlines()
    words = lines[lines.index("    rules:") + 1].strip()
    name, _, value = words.partition(": ")
    if value.startswith("{"):
        key, _, limit = value.strip("{}").partition(": ")
        number: object = float(limit) if limit.replace(".", "").replace("-", "").isdigit() else limit
        setting = RuleSetting("", name, limits={key: number})  # type: ignore[dict-item]
    else:
        setting = RuleSetting("", name, level=value)
    assert check_settings([setting], shipped_rules(), [], "recipelint.yaml") == []


def test_safety_pages_carry_the_caution() -> None:
    page = " ".join((explain("unpitched-wort-stored") or "").split())
    assert "spores" in page and "Never taste" in page
    assert "local codes" in page and "cannot be switched off" in page
    for name in plain(os.path.join(RULES, "hazards.yaml"))["items"]:
        assert "local codes" in caution_text(name)
    assert caution_text("no-such-hazard") == ""


def test_unknown_and_near() -> None:
    assert explain("no-such-rule") is None
    assert near("sugar-share-hihg")[0] == "sugar-share-high"


def test_list_names_all() -> None:
    text = rule_list()
    assert {entry[0] for entry in known_rules()} == set(NAMES)
    assert all(f"  {name} (" in text for name in NAMES)
    assert max(len(line) for line in text.splitlines()) < 80


def test_a_house_rule_has_a_page_and_the_house_its_say() -> None:
    raw = {
        "rule": "our-ceiling",
        "group": "house",
        "measure": "abv",
        "limits": {"warning_above": "9 %"},
        "message": "{abv} is a lot",
        "why": "We cycle home.",
        "source": {"author": "A. Baker", "title": "Minutes", "year": 2024},
    }
    rules, _ = load_rules({"rules": 1, "items": [raw]}, "rules/ours.yaml")
    settings = {"our-ceiling": RuleSetting("", "our-ceiling", level="note", limits={"warning_above": 0.1})}
    page = explain("our-ceiling", rules, settings) or ""
    for words in (
        "rules/ours.yaml",
        "We cycle home.",
        "A. Baker, Minutes, 2024",
        "9.0 % vol",
        "level note",
        "10.0 % vol",
    ):
        assert words in page
