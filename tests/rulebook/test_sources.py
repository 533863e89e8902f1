"""The YAML under rules/ itself: its form, and where its figures come from."""

from __future__ import annotations

import json
import os
from typing import Any

import jsonschema
import pytest

from tests.rulebook.kitchen import ROOT, RULES, catalogue, plain

RULE_FILES = [
    name
    for name in sorted(os.listdir(RULES))
    if name.endswith(".yaml") and "rules" in plain(os.path.join(RULES, name))
]
STAGES = {"liquor", "mash", "sparge", "boil", "whirlpool", "ferment", "condition", "package"}


def validator() -> Any:
    with open(os.path.join(ROOT, "schemas", "rules.schema.json"), encoding="utf-8") as file:
        return jsonschema.Draft202012Validator(json.load(file))


@pytest.mark.parametrize("name", RULE_FILES)
def test_the_shipped_book_obeys_the_schema_of_a_house(name: str) -> None:
    assert [error.message for error in validator().iter_errors(plain(os.path.join(RULES, name)))] == []


@pytest.mark.parametrize(
    "change",
    [
        {"mesure": "abv"},
        {"level": "fatal"},
        {"each": "hop"},
        {"rule": "Two Words"},
        {"limits": {"note_over": 1}},
        {"let": {"own": {"of": "grist"}}},
        {"let": {"own": {"mean": "id", "of": "grist"}}},
        {"related": "next"},
        {"styles": [{"quiet": True}]},
        {"limits": {"note_above": {"by": "abv", "points": [[1, 2]]}}},
    ],
)
def test_the_schema_refuses(change: dict[str, Any]) -> None:
    rule = {"rule": "probe", "group": "house", "message": "{abv}", "level": "note"}
    assert not list(validator().iter_errors({"rules": 1, "items": [rule]}))
    assert list(validator().iter_errors({"rules": 1, "items": [{**rule, **change}]}))


def test_each_file_holds_one_group() -> None:
    for name in RULE_FILES:
        groups = {raw["group"] for raw in plain(os.path.join(RULES, name))["items"]}
        assert groups == {name.removesuffix(".yaml")}


def test_doses_are_of_known_additions_and_say_where_they_come_from() -> None:
    data = plain(os.path.join(RULES, "doses.yaml"))
    assert len(data["items"]) > 90
    for name, row in data["items"].items():
        assert catalogue().addition(name) is not None, name
        low, high = row["dose"]
        assert 0 < low < high, name
        assert row["unit"] in ("g/L", "mL/L", "count/L") and row["per"] in ("beer", "liquor"), name
        assert set(row["stages"]) <= STAGES, name
        assert set(row.get("sources", ())) <= set(data["sources"]), name
        assert row["from_memory"] is not False or row.get("sources"), (
            f"{name} names no source and is not marked as recalled"
        )
        for factor in row.get("forms", {}).values():
            assert factor > 0 and factor != 1, name


def test_every_source_of_the_doses_is_used() -> None:
    data = plain(os.path.join(RULES, "doses.yaml"))
    used = {key for row in data["items"].values() for key in row.get("sources", ())}
    assert used == set(data["sources"])


def test_cautions_say_what_happens_and_where_that_is_from() -> None:
    for name, hazard in plain(os.path.join(RULES, "hazards.yaml"))["items"].items():
        assert set(hazard) == {"what", "caution", "source", "from_memory"}, name
        assert hazard["source"] != "common practice" or hazard["from_memory"], name


# Rules whose limits are not recalled, and where they come from instead.
LIMITS_FOUND = {
    "addition-earlier-than-boil": "nothing beyond the boil itself",
    "shares-do-not-sum": "a choice of the project, said to be one",
    "unpitched-wort-stored": "published",
    "water-shares-do-not-sum": "a choice of the project, said to be one",
    "yeast-pitched-late": "published",
}


def test_a_limit_of_common_practice_is_marked_as_recalled() -> None:
    """A balance gives the number that is judged, never how far off is too far."""
    sure = {
        raw["rule"]
        for name in RULE_FILES
        for raw in plain(os.path.join(RULES, name))["items"]
        if raw.get("limits") and not raw["from_memory"]
    }
    assert sure == set(LIMITS_FOUND)
