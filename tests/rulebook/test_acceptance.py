"""Findings lived with: matched, stale, without a reason, misspelt; safety stays in sight."""

from __future__ import annotations

from typing import Any

import pytest

from recipelint.recipe.model import Acceptance
from recipelint.rulebook.acceptance import accept, stays_visible
from recipelint.rulebook.built_in import built_in_names
from recipelint.rulebook.findings import Finding
from recipelint.rulebook.rules import shipped_rules
from tests.rulebook.kitchen import Cooked

SWEET = {
    "grist": [
        {"malt": "pale-ale-malt", "weight": "3.2 kg"},
        {"sugar": "dextrose", "weight": "1.4 kg", "boil": "10 min"},
    ]
}
SPICY = {"additions": [{"add": name, "weight": "60 g", "boil": "5 min"} for name in ("star-anise", "clove")]}
STORED = {"chill": {"by": "none", "pitched_after": "10 d"}}


def accepted(patch: Any, *entries: tuple[str, str, str | None]) -> list[Finding]:
    dish = Cooked("pale-ale", patch)
    rows = tuple(Acceptance(f"/accept/{number}", *entry) for number, entry in enumerate(entries))
    return accept(dish.judged(), dish.recipe._replace(accept=rows), shipped_rules(), built_in_names())


def test_an_accepted_finding_keeps_level_and_reason() -> None:
    (finding,) = [
        each
        for each in accepted(SWEET, ("sugar-share-high", " it is a cheap one ", None))
        if each.rule == "sugar-share-high"
    ]
    assert finding.accepted == "it is a cheap one"
    assert finding.level == "warning"
    assert not stays_visible(finding, shipped_rules())


@pytest.mark.parametrize("of", ["additions/clove@boil", "additions/clove", "clove"])
def test_of_narrows_to_one_item(of: str) -> None:
    findings = [
        each
        for each in accepted(SPICY, ("addition-dose-off", "we like it", of))
        if each.rule == "addition-dose-off"
    ]
    assert {each.item: each.accepted for each in findings} == {
        "additions/star-anise@boil": None,
        "additions/clove@boil": "we like it",
    }


def test_without_of_all_are_accepted() -> None:
    findings = [
        each
        for each in accepted(SPICY, ("addition-dose-off", "we like it", None))
        if each.rule == "addition-dose-off"
    ]
    assert [each.accepted for each in findings] == ["we like it", "we like it"]


def test_stale() -> None:
    (finding,) = accepted({}, ("sugar-share-high", "once it was", None))
    assert (finding.rule, finding.level, finding.at.pointer) == ("accept-stale", "warning", "/accept/0")
    (*_, finding) = accepted(SPICY, ("addition-dose-off", "gone", "additions/mace@boil"))
    assert finding.rule == "accept-stale" and "additions/mace@boil" in finding.message


def test_unknown_rule_is_suggested() -> None:
    found = accepted(SWEET, ("sugar-share-hihg", "because", None))
    assert found[-1].rule == "accept-unknown-rule" and found[-1].level == "error"
    assert "sugar-share-high" in found[-1].message and found[-1].at.pointer == "/accept/0/rule"
    assert all(each.accepted is None for each in found)


@pytest.mark.parametrize("reason", ["", "   ", "\n"])
def test_no_reason(reason: str) -> None:
    found = accepted(SWEET, ("sugar-share-high", reason, None))
    assert found[-1].rule == "accept-without-reason" and found[-1].level == "error"
    assert all(each.accepted is None for each in found)


def test_what_makes_a_file_unreadable_cannot_be_accepted() -> None:
    found = accepted({}, ("yaml-syntax", "we like it so", None))
    assert found[-1].rule == "accept-unknown-rule" and "cannot be accepted" in found[-1].message


def test_safety_is_accepted_with_a_reason_and_stays_visible() -> None:
    (finding,) = accepted(STORED, ("unpitched-wort-stored", "it was pressure-canned", None))
    assert finding.accepted == "it was pressure-canned" and finding.level == "note"
    assert stays_visible(finding, shipped_rules())


def test_the_same_finding_is_not_accepted_twice_in_vain() -> None:
    found = accepted(SWEET, ("sugar-share-high", "first", None), ("sugar-share-high", "second", None))
    assert [each.accepted for each in found if each.rule == "sugar-share-high"] == ["first"]
    assert found[-1].rule == "accept-stale"
