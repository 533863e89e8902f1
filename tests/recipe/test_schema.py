"""The schemas: current, complete, explained, in step with model, parser and builder; two validators of one mind."""

from __future__ import annotations

import copy
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import jsonschema
import jsonschema_rs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipelint.recipe import model, readers
from recipelint.recipe.builder import Compiler, build
from recipelint.recipe.quantity import QuantityError, parse, reading
from recipelint.recipe.schema import schema, valid
from recipelint.recipe.stat_names import MEASURED_ONLY, STATS
from recipelint.source.nodes import Document
from recipelint.source.reader import read
from tests.recipe.messages import BAD
from tests.recipe.samples import SAMPLES, document

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
BUILT = ("recipe", "brewhouse", "brew", "house")
KINDS = sorted(
    name[: -len(".schema.json")] for name in os.listdir(os.path.join(ROOT, "schemas")) if ".schema." in name
)
Json = dict[str, Any]


def full(kind: str) -> Json:
    """The schema as editors get it."""
    with open(os.path.join(ROOT, "schemas", f"{kind}.schema.json"), encoding="utf-8") as file:
        found: Json = json.load(file)
    return found


FULL = {kind: full(kind) for kind in KINDS}


def properties(node: Any, path: str = "") -> Iterator[tuple[str, Json]]:
    """Every property of a schema, with its path."""
    if isinstance(node, dict):
        for key, value in (
            node.get("properties", {}).items() if isinstance(node.get("properties"), dict) else ()
        ):
            yield f"{path}/{key}", value
        for key, value in node.items():
            if key not in ("examples", "enum", "const", "required", "x-exactly-one", "x-at-most-one"):
                yield from properties(value, f"{path}/{key}")
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from properties(value, f"{path}/{index}")


def test_the_generated_schemas_are_current() -> None:
    done = subprocess.run(
        [sys.executable, os.path.join(ROOT, "tools", "generate_schemas.py"), "--check"],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=ROOT,
        check=False,
    )
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("kind", KINDS)
def test_each_is_a_json_schema_of_its_draft(kind: str) -> None:
    jsonschema.Draft202012Validator.check_schema(FULL[kind])
    assert jsonschema_rs.meta.is_valid(FULL[kind])
    assert FULL[kind]["$id"] == f"urn:recipelint:{kind}:1"


@pytest.mark.parametrize("kind", KINDS)
def test_every_property_is_described_and_every_example_is_sound(kind: str) -> None:
    defs = FULL[kind]["$defs"]
    count = 0
    for path, node in properties(FULL[kind]):
        assert node.get("description"), path
        assert node.get("examples"), path
        for example in node["examples"]:
            checked = {**node, "$defs": defs, "$schema": FULL[kind]["$schema"]}
            faults = [
                fault.message for fault in jsonschema.Draft202012Validator(checked).iter_errors(example)
            ]
            assert not faults, (path, example, faults)
            _parses(node, defs, example, path)
            count += 1
    assert count > 10


def _parses(node: Json, defs: Json, example: Any, path: str) -> None:
    """An example of a quantity or a form with words means something to the readers too."""
    target = defs[node["$ref"].rsplit("/", 1)[1]] if "$ref" in node else node
    try:
        if "x-quantity" in target:
            parse(example, target["x-quantity"])
        elif "x-promise" in target:
            readers.promise(example, target["x-promise"])
        elif target.get("x-reads") == "reading":
            reading(example)
    except QuantityError as fault:
        pytest.fail(f"{path}: {fault.message}")


def _records(kind: str) -> Iterator[tuple[str, Json]]:
    found = schema(kind)
    yield found["x-type"], found
    for node in found["$defs"].values():
        if "x-type" in node and node["x-type"] != "dict":
            yield node["x-type"], node


# What the builder fills in and no file says in a key of that name.
FILLED = {
    "Recipe": {"at", "file", "also_styles"},
    "Record": {"at", "file", "readings"},
    "House": {"at", "file"},
    "Brewhouse": {"at", "file", "named"},
    "Package": {"at", "rest"},
    "Reading": {"at", "instrument"},
}
# Records that no definition of their own stands for: made by a reader from a scalar or a map of names.
BY_READERS = {"Named", "Timing", "Expectation", "Measured", "RuleSetting"}


def test_every_field_of_the_model_stands_in_a_schema_and_every_key_has_a_field() -> None:
    seen: dict[str, set[str]] = {}
    for kind in BUILT:
        for name, node in _records(kind):
            fields = set(getattr(model, name)._fields)
            for key, value in node["properties"].items():
                if value.get("x-reads") != "version":
                    into = value.get("x-into", key)
                    assert into in fields, f"{name}.{key}"
                    seen.setdefault(name, set()).add(into)
    for name, cls in vars(model).items():
        if not (isinstance(cls, type) and issubclass(cls, tuple) and cls.__module__ == model.__name__):
            continue
        if name in BY_READERS:
            continue
        missing = set(cls._fields) - seen.get(name, set()) - FILLED.get(name, {"at"})  # type: ignore[attr-defined]
        assert not missing, f"{name} has {sorted(missing)}, and no key of a file says it"


@pytest.mark.parametrize("kind", BUILT)
def test_every_leaf_is_read(kind: str) -> None:
    """Each property's example, put alone into its record, changes that record: something reads it."""
    compiler = Compiler(schema(kind))
    editors = FULL[kind]
    nodes = [(editors, schema(kind))] + [
        (editors["$defs"][name], node) for name, node in schema(kind)["$defs"].items() if "x-type" in node
    ]
    for shown, node in nodes:
        if node["x-type"] == "dict":
            continue
        read_record = compiler.record(node)
        for key, value in node["properties"].items():
            if value.get("x-reads") == "version":
                continue
            examples = [_document_of(example) for example in shown["properties"][key]["examples"]]
            blank = read_record({}, "", _job(examples[0]))
            made = [read_record({key: found.root.data}, "", _job(found)) for found in examples]  # type: ignore[union-attr]
            assert any(record != blank for record in made), f"{node['x-type']}.{key}"


def _document_of(example: Any) -> Document:
    return read("a.yaml", json.dumps(example, ensure_ascii=False).encode())


def _job(found: Document) -> Any:
    from recipelint.recipe.troubles import Job

    return Job(found, "recipe")


def test_promises_and_measurements_know_every_stat() -> None:
    assert list(schema("recipe")["properties"]["expect"]["properties"]) == list(STATS)
    names = [*STATS, *MEASURED_ONLY, "readings"]
    assert list(schema("brew")["properties"]["measured"]["properties"]) == names


def agree(kind: str, data: Any) -> bool:
    """Both validators on both forms of the schema; the answer of the full one."""
    answers = {}
    for name, given_schema in (("full", FULL[kind]), ("bare", schema(kind))):
        teacher = jsonschema.Draft202012Validator(given_schema).is_valid(data)
        judge = jsonschema_rs.Draft202012Validator(given_schema).is_valid(data)
        assert teacher == judge, (name, data)
        answers[name] = judge
    assert answers["bare"] or not answers["full"]
    return answers["full"]


@pytest.mark.parametrize("case", BAD, ids=[case.name for case in BAD])
def test_both_validators_agree_on_every_bad_example(case: Any) -> None:
    found = read("a.yaml", case.text.encode())
    assert found.root is not None
    if case.kind in KINDS and case.json:
        agree(case.kind, found.root.data)


@pytest.mark.parametrize("kind", sorted(SAMPLES))
def test_the_samples_are_valid(kind: str) -> None:
    data = document(SAMPLES[kind]).root.data  # type: ignore[union-attr]
    assert agree(kind, data)
    assert valid(kind, data)


JUNK = st.sampled_from(
    [None, True, False, 0, 5, -1, 0.05, 1048, "", "x", "350", "4,5 kg", "26 L", "10 min", "last 10 min", "3 d", "1.048",
     "72 .. 80 %", "80 .. 72 %", "below 1.045", "rest", "true", "2026-02-30", [], {}, [1], {"x": 1}, "fly", "pellet"]
)  # fmt: skip


def paths(node: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """The path of everything below the root."""
    pairs = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in pairs:
        yield (*path, key)
        yield from paths(value, (*path, key))


@given(st.sampled_from(BUILT), st.data())
def test_what_the_editor_underlines_the_builder_refuses(kind: str, data: st.DataObject) -> None:
    """One value or key of a sound file is damaged: whatever the full schema refuses is an error of the builder."""
    tree = json.loads(json.dumps(document(SAMPLES[kind]).root.data))  # type: ignore[union-attr]
    path = data.draw(st.sampled_from(sorted(paths(tree), key=str)))
    parent = tree
    for step in path[:-1]:
        parent = parent[step]
    change = data.draw(st.sampled_from(["value", "remove", "rename"]))
    if change == "value" or isinstance(parent, list):
        parent[path[-1]] = data.draw(JUNK)
    elif change == "remove":
        del parent[path[-1]]
    else:
        parent[str(path[-1]) + "x"] = parent.pop(path[-1])
    found = read("a.yaml", json.dumps(tree, ensure_ascii=False).encode())
    made = build(kind, found)
    if not agree(kind, tree):
        assert made.value is None
        assert any(trouble.level == "error" for trouble in made.troubles)


@given(st.sampled_from(sorted(SAMPLES)), st.data())
@settings(max_examples=300)
def test_what_no_reader_doubts_the_schema_accepts(kind: str, data: st.DataObject) -> None:
    """The builder asks the schema only where it doubts: then there must be no other fault of shape."""
    tree = json.loads(json.dumps(document(SAMPLES[kind]).root.data))  # type: ignore[union-attr]
    for _ in range(data.draw(st.integers(1, 2))):
        path = data.draw(st.sampled_from(sorted(paths(tree), key=str)))
        parent = tree
        for step in path[:-1]:
            parent = parent[step]
        change = data.draw(st.sampled_from(["value", "remove", "rename", "add"]))
        if change == "add" and isinstance(parent, dict):
            parent[
                data.draw(st.sampled_from(["malt", "weight", "share", "at", "name", "note", "volume", "xyz"]))
            ] = copy.deepcopy(data.draw(JUNK))
        elif change == "value" or isinstance(parent, list):
            parent[path[-1]] = copy.deepcopy(data.draw(JUNK))
        elif change == "remove":
            del parent[path[-1]]
        else:
            parent[str(path[-1]) + "x"] = parent.pop(path[-1])
    found = read("a.yaml", json.dumps(tree, ensure_ascii=False).encode())
    if found.root is None or found.problems:
        return
    if build(kind, found).value is not None:
        assert valid(kind, found.root.data)


def test_a_sound_recipe_is_built_without_the_validator() -> None:
    code = (
        "import sys\nfrom recipelint.source.reader import read\nfrom recipelint.recipe.builder import build\n"
        "assert build('recipe', read('r.yaml', sys.stdin.buffer.read())).value is not None\n"
        "assert 'jsonschema_rs' not in sys.modules and 'jsonschema' not in sys.modules\n"
    )
    environ = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", code],
        input=SAMPLES["recipe"].encode(),
        env=environ,
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr.decode()
