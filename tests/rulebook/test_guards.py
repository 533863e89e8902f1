"""A rule that is passed over because of its table would have been silent row by row."""

from __future__ import annotations

import pytest

from recipelint.rulebook import cases
from recipelint.rulebook.guards import guards_of
from tests.rulebook.kitchen import Cooked, shipped_rules


@pytest.mark.parametrize(
    ("where", "guards"),
    [
        ("stage == 'boil'", {"stage": {"boil"}}),
        (
            "kind in ('spice', 'herb') and stage == 'condition' and dose > 3",
            {"kind": {"spice", "herb"}, "stage": {"condition"}},
        ),
        ("stage == 'boil' or kind == 'spice'", {}),
        ("stage != 'boil' and not (kind == 'spice')", {}),
        ("stage == id", {}),
        ("id == 'coriander-seed'", {}),  # of a column that is not on the list nothing is asked
    ],
)
def test_only_what_must_hold_is_a_guard(where: str, guards: dict[str, set[str]]) -> None:
    assert {name: set(values) for name, values in guards_of(where, ["additions"], [])} == guards


def test_a_flag_guards_and_a_name_of_the_rules_own_does_not() -> None:
    assert dict(guards_of("opened and not vented", ["packages"], [])) == {
        "opened": frozenset((True,)),
        "vented": frozenset((False,)),
    }
    assert guards_of("opened", ["packages"], ["opened"]) == ()
    assert guards_of("stage == 'boil'", ["hops", "packages"], []) == ()  # which is no column of both
    assert guards_of("mashed", [], []) == ()


@pytest.mark.parametrize("base", ["pale-ale", "barley-wine", "pilsner", "dark-strong"])
def test_findings_are_the_same_without_guards(base: str, monkeypatch: pytest.MonkeyPatch) -> None:
    patches = [
        {},
        {"packaging": {"into": "can", "carbonation": "4 vol"}},
        {"packaging": {"into": "keg", "rated": "2 bar", "carbonation": "4 vol", "at": "20 °C"}},
        {"additions": [{"add": "coriander-seed", "weight": "90 g", "boil": "5 min"}]},
        {
            "grist": [
                {"malt": "pale-ale-malt", "weight": "4 kg"},
                {"sugar": "sucrose", "weight": "1 kg", "package": True},
            ]
        },
    ]
    guarded = [[str(one) for one in Cooked(base, patch).judged()] for patch in patches]
    for rule in shipped_rules():
        ready = rule.memo.get("ready")
        if ready is not None:
            monkeypatch.setitem(rule.memo, "ready", ready._replace(guards=()))
    monkeypatch.setattr(cases, "_dockets", {})
    assert [[str(one) for one in Cooked(base, patch).judged()] for patch in patches] == guarded
