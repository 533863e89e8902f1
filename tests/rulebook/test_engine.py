"""The engine apart from the book: limits, styles, settings, gathered names, what is moot, what fails."""

from __future__ import annotations

from typing import Any

import pytest

from recipelint.recipe.model import RuleSetting
from recipelint.rulebook.engine import along, judge
from recipelint.rulebook.findings import Finding
from recipelint.rulebook.pointing import written
from recipelint.rulebook.rule_check import check_rule, let_units, measured_unit
from recipelint.rulebook.rules import Rule, build, canonical, load_rules
from recipelint.rulebook.settings import check_settings, settings_of
from recipelint.source.nodes import At
from tests.rulebook.kitchen import Cooked, cooked


def rule(**keys: Any) -> Rule:
    """A rule as a house would write it, checked and made canonical like the shipped ones."""
    raw = {"rule": "probe", "group": "house", "message": "{batch_volume} says the probe", **keys}
    assert check_rule(raw, "rules/house.yaml", "/items/0") == []
    return build(canonical(raw, measured_unit(raw), let_units(raw)), None, "")


def found(base: str, *rules: Rule, patch: Any = None, settings: Any = (), before: Any = ()) -> list[Finding]:
    dish = Cooked(base, patch)
    return judge(dish.tables, rules, settings_of(settings), dish.style, before)


@pytest.mark.parametrize(
    ("limit", "level"),
    [
        ({"warning_above": "20.9 L"}, "warning"),
        ({"warning_above": "21 L"}, None),
        ({"warning_above": 21 * (1 - 1e-10)}, None),
        ({"warning_above": 21 * (1 - 1e-8)}, "warning"),
        ({"warning_below": "21 L"}, None),
        ({"warning_below": "21.1 L"}, "warning"),
        ({"note_above": 1, "warning_above": 5, "error_above": 30}, "warning"),
        ({"note_above": 1, "warning_above": 5, "error_above": 10}, "error"),
        ({"note_above": 1, "warning_above": 30}, "note"),
        ({"note_below": 30, "error_below": 22}, "error"),
        ({"note_above": {"is": "fermenter_volume - 1"}}, "note"),
    ],
)
def test_limits(limit: dict[str, Any], level: str | None) -> None:
    findings = found("pale-ale", rule(measure="batch_volume", limits=limit, unit="L"))
    assert [finding.level for finding in findings] == ([level] if level else [])


def test_finding_carries_number_unit_limit_and_place() -> None:
    (finding,) = found(
        "pale-ale", rule(measure="batch_volume", limits={"error_above": "10 L"}, point="/batch/volume")
    )
    assert (finding.value, finding.unit, finding.limit) == (21.0, "L", 10.0)
    assert finding.at == At("recipes/test.yaml", "/batch/volume")


def test_above_nothing_is_not_a_rounding_error() -> None:
    assert found("pale-ale", rule(measure="batch_volume - batch_volume", limits={"error_above": 0})) == []


def test_along() -> None:
    points = ((1.06, 2.0), (1.08, 4.0), (1.1, 10.0))
    assert along(1.059, points) is None and along(None, points) is None
    assert along(1.06, points) == 2.0
    assert along(1.07, points) == pytest.approx(3.0)
    assert along(1.09, points) == pytest.approx(7.0)
    assert along(1.2, points) == 10.0


def test_limit_by_another_fact() -> None:
    table = {"by": "original_gravity", "points": [[1.040, "1 week"], [1.060, "3 weeks"]]}
    (finding,) = found(
        "pale-ale",
        rule(measure="conditioning_time", limits={"note_below": table}),
        patch={"conditioning": {"for": "1 week"}},
    )
    og = cooked("pale-ale").tables.facts["original_gravity"]
    assert finding.limit == pytest.approx(168 + 336 * (og - 1.04) / 0.02, rel=1e-6)


STYLED = {
    "measure": "sugar_share",
    "limits": {"note_above": "15 %", "warning_above": "30 %"},
    "let": {"bar": "1 L"},
    "where": "batch_volume > bar",
    "styles": [
        {"groups": ["strong-belgian"], "limits": {"note_above": "40 %"}},
        {"slugs": ["english-barley-wine"], "silent": True},
        {"tags": ["bottom-fermented"], "limits": {"bar": "100 L"}},
    ],
}
SWEET = {
    "grist": [
        {"malt": "pilsner-malt", "weight": "4 kg"},
        {"sugar": "dextrose", "weight": "1 kg", "boil": "5 min"},
    ]
}


@pytest.mark.parametrize(
    ("style", "count"),
    [
        ("bjcp-2021/american-pale-ale", 1),
        ("bjcp-2021/belgian-tripel", 0),
        ("bjcp-2021/english-barley-wine", 0),
        ("bjcp-2021/german-pils", 0),
        (None, 1),
    ],
)
def test_styles(style: str | None, count: int) -> None:
    assert len(found("pale-ale", rule(**STYLED), patch={**SWEET, "style": style})) == count


def setting(**keys: Any) -> RuleSetting:
    return RuleSetting("/rules/probe", "probe", **keys)


@pytest.mark.parametrize(
    ("given", "style", "level"),
    [
        (setting(level="off"), "american-pale-ale", None),
        (setting(level="error"), "american-pale-ale", "error"),
        (setting(limits={"note_above": 0.5}), "american-pale-ale", None),
        (setting(limits={"warning_above": "20 %"}), "american-pale-ale", "warning"),
        (setting(limits={"error_above": 0.2}), "american-pale-ale", "error"),
        (setting(limits={"bar": "50 L"}), "american-pale-ale", None),
        (setting(styles={"belgian-tripel": {"note_above": 0.1}}), "belgian-tripel", "note"),
        (setting(styles={"strong-belgian": {"note_above": 0.1}}), "belgian-tripel", "note"),
        (setting(styles={"bjcp-2021/belgian-tripel": {"note_above": 0.1}}), "american-pale-ale", "note"),
        (
            setting(limits={"note_above": 0.5}, styles={"belgian-tripel": {"note_above": 0.1}}),
            "american-pale-ale",
            None,
        ),
    ],
)
def test_house_settings(given: RuleSetting, style: str, level: str | None) -> None:
    patch = {**SWEET, "style": f"bjcp-2021/{style}"}
    findings = found("pale-ale", rule(**STYLED), patch=patch, settings=[given])
    assert [finding.level for finding in findings] == ([level] if level else [])


def test_safety_rules_stay_when_switched_off() -> None:
    safe = rule(group="safety", measure="batch_volume", limits={"error_above": 1})
    assert [finding.level for finding in found("pale-ale", safe, settings=[setting(level="off")])] == ["note"]


def test_unknown_is_silent() -> None:
    assert found("millet-ale", rule(measure="mash_fill", limits={"error_above": 0})) == []
    assert found("millet-ale", rule(where="mash_fill > 0", level="error")) == []
    assert found("millet-ale", rule(where="not mash_fill > 0", level="error")) == []
    assert len(found("millet-ale", rule(where="mash_fill > 0 or batch_volume > 1", level="error"))) == 1


GATHERED = {
    "style": None,
    "yeast": [{"culture": "english-ale", "tolerance": "9 %"}, {"culture": "british-strong-ale"}],
}


@pytest.mark.parametrize(
    ("let", "text"),
    [
        ({"sum": "weight", "of": "grist"}, "4.7 kg"),
        ({"max": "weight", "of": "grist"}, "4.4 kg"),
        ({"min": "weight", "of": "grist"}, "300 g"),
        ({"count": "id", "of": "grist"}, "2"),
        ({"count": "id", "of": "grist", "where": "weight > 1"}, "1"),
        ({"names": "id", "of": "hops"}, "magnum and cascade"),
        ({"sum": "weight", "of": "grist", "where": "key == 'sugar'"}, "0 g"),
        ({"max": "weight", "of": "grist", "where": "key == 'sugar'"}, "unknown"),
        ({"is": "batch_volume / 2"}, "10.5 L"),
        ("15 %", "15 %"),
    ],
)
def test_let(let: Any, text: str) -> None:
    (finding,) = found("pale-ale", rule(let={"own": let}, level="note", message="{own} it is"))
    assert finding.message == f"{text[0].upper()}{text[1:]} it is"


def test_a_gathered_unknown_is_unknown() -> None:
    undecided = rule(
        let={"own": {"max": "contact", "of": "hops"}}, measure="own", limits={"note_above": "0 h"}, unit="h"
    )
    assert found("pale-ale", undecided) == []


def test_previous_row_and_rise() -> None:
    falling = rule(
        each="rests",
        measure="rise",
        limits={"warning_below": "0 K"},
        related="previous",
        message="{name} falls by {value}",
        point="at",
    )
    assert found("pilsner", falling) == []
    patch = {"mash": {"rests": [{"at": "70 °C", "for": "9 min"}, {"at": "65 °C", "for": "9 min"}]}}
    (finding,) = found("pilsner", falling, patch=patch)
    assert finding.message == "Rest 2 falls by -5 K"
    assert finding.at.pointer == "/mash/rests/1/at"
    assert finding.related[0].at.pointer == "/mash/rests/0"


def test_several_tables() -> None:
    each = rule(
        each=["grist", "hops", "additions"],
        where="minutes >= 10",
        level="note",
        message="{name} boils {minutes}",
    )
    assert [finding.item for finding in found("barley-wine", each)] == [
        "grist/invert-sugar-2@boil",
        "hops/target@boil",
        "hops/east-kent-golding@boil",
        "additions/yeast-nutrient-blend@boil",
    ]


def test_missing() -> None:
    lacks = rule(missing="boil/collect", level="note", point="/boil")
    assert len(found("pale-ale", lacks)) == 1
    assert found("pale-ale", lacks, patch={"boil": {"collect": "26 L"}}) == []
    row = rule(each="rests", missing="for", level="note", message="{name} has no time", point="at")
    assert found("pale-ale", row) == []
    (finding,) = found(
        "pale-ale", row, patch={"mash": {"rests": [{"at": "66 °C", "for": "1 h"}, {"at": "76 °C"}]}}
    )
    assert finding.at.pointer == "/mash/rests/1/at"
    recipe = cooked("pale-ale").recipe
    assert (
        written(recipe, "/conditioning")
        and not written(recipe, "/claims")
        and not written(recipe, "/nonsense/x")
    )


def by_hop(name: str, **keys: Any) -> Rule:
    return rule(each="hops", level="note", message="{name}", **keys)._replace(id=name)


def test_moot_on_the_same_item_only() -> None:
    first = by_hop("first", where="id == 'magnum'")
    second = by_hop("second", moot_if=["first"])
    assert [finding.rule for finding in found("pale-ale", first, second)] == ["first", "second", "second"]
    assert [finding.item for finding in found("pale-ale", second, first)][:2] == [
        "hops/cascade@boil",
        "hops/cascade@dry_hop",
    ]


def test_moot_anywhere_without_an_item_and_by_other_checks() -> None:
    whole = rule(level="note")._replace(id="whole")
    assert [each.rule for each in found("pale-ale", whole, by_hop("row", moot_if=["whole"]))] == ["whole"]
    other = Finding("elsewhere", "error", "x", At("recipes/test.yaml", ""))
    assert found("pale-ale", by_hop("row", moot_if=["elsewhere"]), before=[other]) == []
    assert len(found("pale-ale", by_hop("row", moot_if=["elsewhere"]))) == 3


@pytest.mark.parametrize("item", ["style/bitterness", "expect/bitterness"])
def test_a_figure_of_the_beer_makes_moot_whatever_the_item(item: str) -> None:
    """The style and the promises are of the whole beer, and so they explain what is found on a line."""
    dish = {"expect": {"bitterness": "40 IBU"}}
    other = Finding("elsewhere", "error", "x", At("recipes/test.yaml", "/style"), item=item)
    assert found("pale-ale", by_hop("row", moot_if=["elsewhere"]), patch=dish, before=[other]) == []
    line = other._replace(item="hops/magnum@boil")
    assert len(found("pale-ale", by_hop("row", moot_if=["elsewhere"]), patch=dish, before=[line])) == 2


def test_a_beer_out_of_its_style_is_not_told_of_its_ratio_too() -> None:
    bitter = {
        "hops": [{"hop": "magnum", "weight": "90 g", "alpha": "13 %", "form": "pellet", "boil": "60 min"}]
    }
    of_style = {finding.rule for finding in Cooked("pale-ale", bitter).everything()}
    assert "style-range-missed" in of_style and "bitterness-ratio-off-style" not in of_style
    without = {finding.rule for finding in Cooked("pale-ale", {**bitter, "style": None}).everything()}
    assert "bitterness-ratio-off-style" in without


def test_a_part_that_was_left_out_is_not_pointed_at() -> None:
    at_boil = rule(measure="batch_volume", limits={"note_above": "1 L"}, point="/boil")
    assert found("pale-ale", at_boil)[0].at.pointer == "/boil"
    assert found("pale-ale", at_boil, patch={"boil": None})[0].at.pointer == "/batch"


def test_a_rule_that_fails_is_a_finding_and_stops_no_other() -> None:
    broken = rule(measure="batch_volume", limits={"error_above": 1})._replace(
        id="broken", measure="no_such_fact {"
    )
    fine = rule(level="note")._replace(id="fine")
    findings = found("pale-ale", broken, fine)
    assert [finding.rule for finding in findings] == ["rule-failed", "fine"]
    assert findings[0].message.startswith("broken") and "{" not in findings[0].message


def test_long_names_are_cut() -> None:
    patch = {"packaging": None, "water": {"source": "w" * 300, "calcium": "1 mg/L"}}
    (finding,) = found(
        "pale-ale",
        rule(each="waters", level="note", message="{name} {name} {name} {name} {name}"),
        patch=patch,
    )
    assert len(finding.message) <= 160 and finding.message.endswith("…")


@pytest.mark.parametrize(
    ("change", "place", "words"),
    [
        ({"mesure": "abv"}, "/mesure", "did you mean measure"),
        ({"measure": "abw +", "limits": {"note_above": 1}}, "/measure", "column"),
        ({"measure": "bitternes", "limits": {"note_above": 1}}, "/measure", "did you mean bitterness"),
        ({"measure": "style_name", "limits": {"note_above": 1}}, "/measure", "must be a number"),
        ({"measure": "abv"}, "/measure", "needs limits"),
        ({"measure": "abv", "limits": {"note_over": 1}}, "/limits/note_over", "did you mean"),
        ({"measure": "abv", "limits": {"note_above": "3 kg"}}, "/limits/note_above", "such as"),
        ({"measure": "abv", "limits": {"note_above": 0.3, "error_above": 0.2}}, "/limits", "graver"),
        (
            {"measure": "abv", "limits": {"note_above": {"is": "bitterness"}}},
            "/limits/note_above",
            "measure is in",
        ),
        (
            {"measure": "abv", "limits": {"note_above": {"by": "og", "points": [[1, 1], [2, 2]]}}},
            "/limits/note_above/by",
            "stat",
        ),
        (
            {"measure": "abv", "limits": {"note_above": {"by": "abv", "points": [[0.2, 0.1], [0.1, 0.2]]}}},
            "/limits/note_above/points/1",
            "left to right",
        ),
        ({"measure": "abv", "limits": {"note_above": {"points": 3}}}, "/limits/note_above", "by"),
        ({"level": "fatal"}, "/level", "level"),
        ({}, "", "measure with limits"),
        ({"each": "hop", "level": "note"}, "/each", "did you mean hops"),
        ({"each": "hops", "where": "weihgt > 1", "level": "note"}, "/where", "did you mean weight"),
        ({"where": "abv", "level": "note"}, "/where", "yes or no"),
        ({"let": {"abv": 1}, "level": "note"}, "/let/abv", "taken"),
        ({"let": {"own": "much"}, "level": "note"}, "/let/own", "quantity"),
        ({"let": {"own": {"sum": "name", "of": "hops"}}, "level": "note"}, "/let/own/sum", "no number"),
        (
            {"let": {"own": {"sum": "wieght", "of": "hops"}}, "level": "note"},
            "/let/own/sum",
            "did you mean weight",
        ),
        (
            {"let": {"own": {"sum": "weight", "of": "hopps"}}, "level": "note"},
            "/let/own/of",
            "did you mean hops",
        ),
        (
            {"let": {"own": {"sum": "weight", "of": "hops", "where": "zz"}}, "level": "note"},
            "/let/own/where",
            "no fact",
        ),
        ({"let": {"own": {"mean": "weight", "of": "hops"}}, "level": "note"}, "/let/own", "one of"),
        ({"missing": "biol/for", "level": "note"}, "/missing", "did you mean boil"),
        ({"missing": "boil/for"}, "/missing", "needs a level"),
        ({"level": "note", "message": "abv is high"}, "/message", "name or a number"),
        ({"level": "note", "message": "{abbv} is high"}, "/message", "did you mean abv"),
        ({"level": "note", "message": "{abv is high"}, "/message", "one plain word"),
        ({"level": "note", "message": "{abv} is high}"}, "/message", "never opened"),
        ({"level": "note", "moot_if": ["sugar-share-hihg"]}, "/moot_if", "did you mean sugar-share-high"),
        ({"level": "note", "styles": [{"silent": True}]}, "/styles/0", "slugs"),
        ({"level": "note", "styles": [{"tags": ["x"], "quiet": True}]}, "/styles/0/quiet", "key of a case"),
        ({"level": "note", "related": "next"}, "/related", "previous"),
        ({"level": "note", "point": "boil"}, "/point", "pointer from the root"),
    ],
)
def test_faults_of_house_rules(change: dict[str, Any], place: str, words: str) -> None:
    raw = {"rule": "probe", "group": "house", "message": "{abv} it is", **change}
    rules, findings = load_rules({"rules": 1, "items": [raw]}, "rules/ours.yaml", ["sugar-share-high"])
    assert rules == ()
    assert findings[0].rule == "rule-invalid" and findings[0].level == "error"
    assert findings[0].at == At("rules/ours.yaml", f"/items/0{place}")
    assert words in findings[0].message
    assert len(findings[0].message) <= 160 and "{" not in findings[0].message


def test_a_house_rule_is_judged_with_units_as_written() -> None:
    raw = {
        "rule": "our-ceiling",
        "group": "house",
        "measure": "abv",
        "limits": {"warning_above": "5 %"},
        "message": "{abv} is past our {limit}",
    }
    rules, findings = load_rules({"rules": 1, "items": [raw, {"rule": 3}]}, "rules/ours.yaml")
    assert len(rules) == 1 and len(findings) == 1
    (finding,) = found("pale-ale", *rules)
    assert finding.message == "5.6 % vol is past our 5.0 % vol"
    assert finding.limit == 0.05 and finding.unit == "% vol"


def test_settings_are_checked() -> None:
    ours = rule(measure="batch_volume", limits={"note_above": 1}, let={"bar": 2})
    words = [
        RuleSetting("/rules/prob", "prob"),
        RuleSetting("/rules/probe", "probe", level="loud"),
        RuleSetting("/rules/probe", "probe", limits={"note_abov": 1.0}),
        RuleSetting(
            "/rules/probe", "probe", limits={"error_above": 1.0, "bar": 3.0}, styles={"gose": {"bars": 1.0}}
        ),
        RuleSetting("/rules/probe", "probe", limits={"error_above": "3 kg"}),
        RuleSetting("/rules/yaml-syntax", "yaml-syntax", level="warning"),
    ]
    messages = [
        finding.message for finding in check_settings(words, [ours], ["yaml-syntax"], "recipelint.yaml")
    ]
    assert messages == [
        "prob is no rule; did you mean probe?",
        "loud is no level: note, warning, error or off",
        "note_abov is no limit of probe; did you mean note_above?",
        "bars is no limit of probe; did you mean bar?",
        "3 kg is no error_above of probe; write a quantity such as `21 L`",
    ]


@pytest.mark.parametrize(
    ("unit", "value", "faults"),
    [
        ("1", 30, 1),
        ("1", "30 %", 0),
        ("1", 0.3, 0),
        ("h", 2, 1),
        ("h", "2 weeks", 0),
        ("min", 0, 0),
        ("x", 30, 0),
    ],
)
def test_a_number_alone_is_not_guessed_at(unit: str, value: object, faults: int) -> None:
    ours = rule(let={"own": {"is": "abv"}}, measure="own", limits={"note_above": 0}, unit=unit)
    words = [RuleSetting("/rules/probe", "probe", limits={"note_above": value})]
    assert len(check_settings(words, [ours], [], "recipelint.yaml")) == faults


def test_settings_point_at_their_limit() -> None:
    ours = rule(measure="batch_volume", limits={"note_above": 1})
    words = [RuleSetting("/rules/probe", "probe", limits={"x": 1.0}, styles={"bjcp-2021/gose": {"y": 1.0}})]
    found = check_settings(words, [ours], [], "recipelint.yaml")
    assert [each.at.pointer for each in found] == ["/rules/probe/x", "/rules/probe/styles/bjcp-2021~1gose/y"]


@pytest.mark.parametrize("name", ["sugar-share-high", "yaml-syntax", "ours"])
def test_a_name_is_given_once(name: str) -> None:
    raw = {"rule": "ours", "group": "house", "message": "{abv}", "level": "note"}
    data = {"rules": 1, "items": [raw, {**raw, "rule": name}]}
    rules, findings = load_rules(data, "rules/ours.yaml", ["sugar-share-high"])
    assert [each.id for each in rules] == ["ours"]
    assert findings[0].at.pointer == "/items/1/rule" and "another rule" in findings[0].message


def test_house_rules_may_be_moot_for_built_in_checks() -> None:
    raw = {
        "rule": "ours",
        "group": "house",
        "message": "{abv}",
        "level": "note",
        "moot_if": ["style-range-missed"],
    }
    assert load_rules({"rules": 1, "items": [raw]}, "rules/ours.yaml")[1] == []


def test_a_row_that_is_undecided_leaves_the_whole_unknown() -> None:
    """Of two cultures one is pitched at a heat that nobody wrote: how many are pitched warm cannot be said."""
    warm = rule(
        let={"own": {"count": "id", "of": "cultures", "where": "pitched_at > 20"}},
        where="own >= 1",
        level="note",
    )
    known = {"culture": "british-strong-ale", "pitched_at": "25 °C"}
    assert len(found("pale-ale", warm, patch={"yeast": [known]})) == 1
    assert found("pale-ale", warm, patch={"yeast": [known, {"culture": "english-ale"}]}) == []
