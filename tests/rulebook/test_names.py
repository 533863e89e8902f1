"""Names: unknown ones, right ones under a wrong key, and styles that need a base. One cause gives one finding."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from recipelint.rulebook.findings import Finding
from tests.rulebook.kitchen import Cooked, bases, cooked

LINES = [
    (base, part, number)
    for base, recipe in sorted(bases().items())
    for part in ("grist", "hops", "yeast", "additions")
    for number in range(len(recipe.get(part) or ()))
]


def rules_of(findings: list[Finding]) -> list[str]:
    return sorted(finding.rule for finding in findings)


@pytest.mark.parametrize(("base", "part", "number"), LINES)
def test_an_unknown_name_is_one_error_and_nothing_else(base: str, part: str, number: int) -> None:
    """Whatever the beer misses for want of the row is not said a second time, with the promises or the style."""
    rows = copy.deepcopy(bases()[base][part])
    rows[number][next(iter(rows[number]))] = "no-such-name"
    promised = {
        "expect": {
            "original_gravity": 1.2,
            "final_gravity": 1.2,
            "bitterness": "500 IBU",
            "colour_srm": "90 SRM",
        }
    }
    before = rules_of(Cooked(base, promised).everything())
    assert before.count("promise-not-kept") == 4
    found = Cooked(base, {part: rows, **promised}).everything()
    unknown = [
        finding for finding in found if finding.level == "error" and finding.rule.startswith("unknown-")
    ]
    assert [finding.at.pointer.rsplit("/", 1)[0] for finding in unknown] == [f"/{part}/{number}"]
    silent = {"grist": 4, "hops": 1, "yeast": 1, "additions": 0}[part]
    rest = [finding for finding in found if finding not in unknown]
    assert rules_of(rest).count("promise-not-kept") == 4 - silent
    missed = [finding.item for finding in rest if finding.rule == "style-range-missed"]
    assert set(missed) <= {finding.item for finding in cooked(base).everything()}


def test_a_right_name_under_a_wrong_key_is_a_warning_for_its_row_is_used() -> None:
    rows = copy.deepcopy(bases()["pale-ale"]["grist"])
    rows[0] = {"grain": "pale-ale-malt", "weight": "4.4 kg"}
    dish = Cooked("pale-ale", {"grist": rows})
    (finding,) = dish.everything()
    assert (finding.rule, finding.level) == ("unknown-ingredient", "warning")
    assert "write `malt: pale-ale-malt`" in finding.message
    assert dish.tables.facts["original_gravity"] == pytest.approx(
        cooked("pale-ale").tables.facts["original_gravity"]
    )


def test_a_hop_among_the_additions_is_an_error_for_nothing_is_used() -> None:
    found = Cooked(
        "pale-ale", {"additions": [{"add": "cascade", "weight": "30 g", "boil": "5 min"}]}
    ).everything()
    assert [(finding.rule, finding.level) for finding in found] == [("unknown-ingredient", "error")]


def test_malt_extract_primes_and_brings_its_gluten() -> None:
    claims: dict[str, Any] = {"claims": ["gluten-free"]}
    extract = {"packaging": {"into": "keg", "priming": "dry-malt-extract-light", "carbonation": "2.2 vol"}}
    assert rules_of(Cooked("millet-ale", {**claims}).everything()) == []
    (finding,) = Cooked("millet-ale", {**claims, **extract}).everything()
    assert (finding.rule, finding.level) == ("gluten-free-claim-untrue", "error")
    assert "extract" in finding.message.casefold()
    sugar = {"packaging": {**extract["packaging"], "priming": "dextrose"}}
    assert rules_of(Cooked("millet-ale", {**claims, **sugar}).everything()) == []


def test_an_unknown_line_does_not_hide_the_gluten_of_the_others() -> None:
    rows = [*bases()["pale-ale"]["grist"], {"malt": "no-such-malt", "weight": "100 g"}]
    found = Cooked("pale-ale", {"grist": rows, "claims": ["gluten-free"]}).everything()
    assert "gluten-free-claim-untrue" in rules_of(found)


def test_many_sources_of_gluten_are_named_in_short() -> None:
    (finding,) = [
        finding
        for finding in Cooked("hazy-ipa", {"claims": ["gluten-free"]}).everything()
        if finding.rule == "gluten-free-claim-untrue"
    ]
    assert "and 2 more: gluten" in finding.message


# ---------------------------------------------------------------------- styles

WOOD = "bjcp-2021/specialty-wood-aged-beer"


def lacks(style: Any) -> list[Finding]:
    return [
        each
        for each in Cooked("barley-wine", {"style": style}).everything()
        if each.rule == "style-entry-lacks-base"
    ]


def test_a_style_that_rests_on_another_wants_it_named() -> None:
    (finding,) = lacks(WOOD)
    assert finding.level == "warning" and finding.at.pointer == "/style"
    assert finding.message.startswith("Specialty Wood-Aged Beer has no ranges of its own")
    assert lacks({"enter": WOOD, "base": "bjcp-2021/english-barley-wine"}) == []
    assert lacks("bjcp-2021/english-barley-wine") == []


def test_a_base_without_ranges_helps_nobody() -> None:
    (finding,) = lacks({"enter": WOOD, "base": "bjcp-2021/fruit-beer"})
    assert finding.at.pointer == "/style/base" and "Fruit Beer, the base given," in finding.message


def test_a_missed_range_names_the_base_it_is_of() -> None:
    entered = {"enter": WOOD, "base": "bjcp-2021/german-pils"}
    found = [
        each
        for each in Cooked("barley-wine", {"style": entered}).everything()
        if each.rule == "style-range-missed"
    ]
    assert found
    for finding in found:
        assert "German Pils, the base of Specialty Wood-Aged Beer, " in finding.message
        assert len(finding.message) <= 160
    (direct, *_) = Cooked("barley-wine", {"style": "bjcp-2021/german-pils"}).everything()
    assert "the base of" not in direct.message


@pytest.mark.parametrize(
    ("water", "levels"),
    [
        ({"source": "moor-well"}, ["note"]),
        ({"source": "moor-well", "calcium": "35 mg/L"}, []),
        ({"source": "reverse-osmosis"}, []),
    ],
)
def test_a_water_known_by_its_name_alone_is_a_note(water: dict[str, Any], levels: list[str]) -> None:
    found = Cooked("pale-ale", {"water": [water]}).everything()
    assert [each.level for each in found if each.rule == "unknown-ingredient"] == levels
