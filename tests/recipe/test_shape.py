"""Our own reader of shapes against the validator: it may be unsure of what is valid, never sure of what is not."""

from __future__ import annotations

import copy
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema_rs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipelint.recipe import schema as shapes
from recipelint.recipe.builder import kind_of
from recipelint.recipe.schema import KINDS, schema
from recipelint.recipe.shape import surely, surely_not
from recipelint.source.reader import read
from tests.commands.test_imports import HOOK, RECIPE, imported
from tests.recipe.messages import BAD
from tests.recipe.samples import SAMPLES, document

TOP = Path(__file__).parents[2]
VALIDATORS = {
    kind: jsonschema_rs.Draft202012Validator(schema(kind), offline=True, validate_formats=False)
    for kind in KINDS
}


def valid(kind: str, data: Any) -> bool:
    return accepts(VALIDATORS[kind], data)


def accepts(validator: Any, data: Any) -> bool:
    """What the validator says; what it cannot take at all is not valid."""
    try:
        return bool(validator.is_valid(data))
    except ValueError:
        return False


def data_of(path: Path) -> tuple[str, Any] | None:
    found = read(path.name, path.read_bytes())
    kind = kind_of(found)
    return None if kind is None or found.root is None else (kind, found.root.data)


EXAMPLES = [each for each in map(data_of, sorted((TOP / "examples").rglob("*.yaml"))) if each is not None]
SOUND = [(kind, document(text).root.data) for kind, text in sorted(SAMPLES.items())]  # type: ignore[union-attr]
SOUND += [(kind, data) for kind, data in EXAMPLES if valid(kind, data)]
EVERYDAY = ("recipe", "brewhouse", "house", "catalogue", "brew")


def test_it_is_sure_of_every_sound_file_that_a_commit_may_hold() -> None:
    """Otherwise the hook would import the validator after all, and nobody would notice."""
    unsure = [
        data for kind, data in SOUND if kind in EVERYDAY and not surely(schema(kind), data, schema(kind))
    ]
    assert len(SOUND) > 50
    assert unsure == []


def test_it_is_sure_of_no_broken_file() -> None:
    broken = [(kind, data) for kind, data in EXAMPLES if not valid(kind, data)]
    assert broken
    for kind, data in broken:
        assert not surely(schema(kind), data, schema(kind))


@pytest.mark.parametrize("case", BAD, ids=[case.name for case in BAD])
def test_it_never_overrules_the_validator_on_a_bad_example(case: Any) -> None:
    found = read("a.yaml", case.text.encode())
    if (
        found.root is not None
        and case.kind in KINDS
        and surely(schema(case.kind), found.root.data, schema(case.kind))
    ):
        assert valid(case.kind, found.root.data)


ODD = [
    None, True, False, 0, 1, 2, 4, 5, 10, 11, 14, 14.5, 15, -1, -0.5, 0.05, 1.0, 1048, 10**15, 10**400, -(2**63), 1e308,
    float("inf"), float("nan"), "", "x", "x\n", "X-1", "fr", "FR", "FR\n", "a-b\n", "350", "26 L", "true", "\ud800",
    "é", "a" * 300, 20.5, 50.5, 100001,
    [], {}, [1], [""], [None], {"x": 1}, {"": None}, {"\ud800": 1}, "fly", "pellet", "tun", "yes", "dry",
    "error", "off", ["vegan"], {"is": "abv"}, {"by": "abv", "points": [[0, 1]]}, {"level": "off"},
]  # fmt: skip
JUNK = st.one_of(st.sampled_from(ODD), st.text(max_size=4), st.integers(), st.floats())
NAMES = sorted(
    {key for kind in KINDS for node in (schema(kind), *schema(kind).get("$defs", {}).values())
     for key in node.get("properties", {})}
)  # fmt: skip


def places(node: Any) -> Iterator[tuple[Any, Any]]:
    """Every (map or list, key or index) below."""
    pairs = list(
        node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    )
    for key, value in pairs:
        yield node, key
        yield from places(value)


def spoil(data: Any, draw: Any) -> None:
    """One change to a document: a value replaced, moved or taken out, or a key put in."""
    holder, key = draw(st.sampled_from(list(places(data)) or [({}, "")]))
    how = draw(st.sampled_from(["replace", "drop", "add", "move"]))
    if how == "replace" and (isinstance(holder, list) or key in holder):
        holder[key] = copy.deepcopy(draw(JUNK))
    elif how == "drop" and (isinstance(holder, list) or key in holder):
        del holder[key]
    elif how == "add" and isinstance(holder, dict):
        holder[draw(st.one_of(st.sampled_from(NAMES), st.text(max_size=3)))] = copy.deepcopy(draw(JUNK))
    elif how == "move" and isinstance(holder, dict) and key in holder:
        holder[draw(st.sampled_from(NAMES))] = holder.pop(key)


def hold(kind: str, tree: Any) -> None:
    if surely(schema(kind), tree, schema(kind)):
        assert valid(kind, tree)
    if surely_not(schema(kind), tree, schema(kind)):
        assert not valid(kind, tree)


@pytest.mark.parametrize("kind", sorted(SAMPLES))
def test_every_odd_value_at_every_place(kind: str) -> None:
    tree = copy.deepcopy(document(SAMPLES[kind]).root.data)  # type: ignore[union-attr]
    for holder, key in list(places(tree)):
        before = holder[key]
        for odd in ODD:
            holder[key] = odd
            hold(kind, tree)
        holder[key] = before


@settings(max_examples=600)
@given(st.sampled_from(SOUND), st.integers(1, 3), st.data())
def test_whatever_is_changed_it_is_sure_of_nothing_that_the_validator_rejects(
    sound: tuple[str, Any], changes: int, data: st.DataObject
) -> None:
    kind, tree = sound[0], copy.deepcopy(sound[1])
    for _ in range(changes):
        spoil(tree, data.draw)
    hold(kind, tree)


@pytest.mark.parametrize("kind", KINDS)
def test_each_definition_alone(kind: str) -> None:
    """Every definition against every value, so that each word of the schemas is met with each kind of value."""
    root = schema(kind)
    values = [
        value for each in SOUND for value in (each[1], *(holder[key] for holder, key in places(each[1])))
    ]
    values = values[:: max(1, len(values) // 150)]
    values += [*ODD, 2.5, "\n", [[]], {"malt": "x"}, {"hop": 1}]
    for name in root.get("$defs", {}):
        node = {"$ref": f"#/$defs/{name}", "$defs": root["$defs"]}
        judge = jsonschema_rs.Draft202012Validator(node, offline=True, validate_formats=False)
        for value in values:
            if surely(node, value, root):
                assert accepts(judge, value), (name, value)
            if surely_not(node, value, root):
                assert not accepts(judge, value), (name, value)


def test_after_a_few_files_the_validator_takes_over(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shapes, "_validators", {})
    monkeypatch.setattr(shapes, "_looked_over", [0])
    kind, data = next(each for each in SOUND if each[0] == "recipe")
    for _ in range(shapes.FEW):
        assert shapes.valid(kind, data)
    assert not shapes._validators
    assert shapes.valid(kind, data)
    assert kind in shapes._validators


def test_the_hook_does_without_the_validator_on_a_clean_file(tmp_path: Path) -> None:
    (tmp_path / "bitter.yaml").write_text(RECIPE, encoding="utf-8")
    names, done = imported(HOOK, "bitter.yaml", here=tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "recipelint.recipe.shape" in names
    assert "jsonschema_rs" not in names


def test_a_broken_file_is_worded_as_ever(tmp_path: Path) -> None:
    (tmp_path / "bitter.yaml").write_text(RECIPE.replace("hops:", "hop:"), encoding="utf-8")
    names, done = imported(HOOK, "bitter.yaml", here=tmp_path)
    assert done.returncode == 1
    assert "unknown-key" in done.stdout
    assert "jsonschema_rs" in names, os.linesep.join(sorted(names))
