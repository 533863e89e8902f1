"""Files of other tools: left alone and counted, unless they are named or a glob of the house claims them."""

from __future__ import annotations

from pathlib import Path

import pytest

from recipelint.workspace.kinds import first_kind
from recipelint.workspace.workspace import FileReport, open_workspace

CHART = "{{- if .Values.enabled }}\napiVersion: v1\nname: {{ chart }}\n{{- end }}\n"
OTHERS = {
    "a template": CHART,
    "an empty file": "",
    "only a comment": "# to be written\n",
    "several documents": "---\napiVersion: v1\n---\napiVersion: v2\n",
    "a tag of its own": "Resources:\n  Bucket: !Ref Name\n",
    "a tab": "jobs:\n\tbuild: now\n",
    "the same key twice": "on: push\non: pull\n",
    "a list": "- one\n- two\n",
    "rules of another tool": "rules:\n  semi: {{ level }}\n",
    "bytes that are no text": "caf\udce9: 1\n",
}


def reported(folder: Path, path: str, text: str, *, named: bool, house: str | None = None) -> FileReport:
    (folder / ".git").mkdir(exist_ok=True)
    if house is not None:
        (folder / "recipelint.yaml").write_text(house, encoding="utf-8")
    (folder / path).parent.mkdir(parents=True, exist_ok=True)
    (folder / path).write_bytes(text.encode("utf-8", "surrogateescape"))
    return open_workspace(str(folder)).report(path, named=named)


@pytest.mark.parametrize("text", OTHERS.values(), ids=OTHERS.keys())
def test_what_nobody_asked_for_is_left_alone(text: str, tmp_path: Path) -> None:
    for house in (None, "house: 1\n"):
        found = reported(tmp_path, "deploy/chart.yaml", text, named=False, house=house)
        assert (found.kind, found.findings) == ("unknown", ())


@pytest.mark.parametrize("text", OTHERS.values(), ids=OTHERS.keys())
def test_named_or_claimed_it_is_an_error(text: str, tmp_path: Path) -> None:
    assert reported(tmp_path, "chart.yaml", text, named=True).findings
    house = "house: 1\nfiles: {recipes: ['*.yaml']}\n"
    assert reported(tmp_path, "chart.yaml", text, named=False, house=house).findings


@pytest.mark.parametrize(
    ("group", "kind"),
    [("recipes", "recipe"), ("brewhouses", "brewhouse"), ("catalogue", "catalogue"), ("brews", "brew"),
     ("rules", "rules"), ("styles", "styles")],
)  # fmt: skip
def test_every_glob_of_the_house_claims(group: str, kind: str, tmp_path: Path) -> None:
    house = f"house: 1\nfiles: {{{group}: ['mine/*.yaml']}}\n"
    found = reported(tmp_path, "mine/a.yaml", "", named=False, house=house)
    assert found.kind == kind
    assert [placed.finding.rule for placed in found.findings] == ["file-empty"]
    assert reported(tmp_path, "other/a.yaml", "", named=False).findings == ()


def test_a_recipe_with_a_slip_in_its_yaml_is_never_left_alone(tmp_path: Path) -> None:
    for text in (
        "recipe: 1\n\tname: x\n",
        "# mine\n\n---\nrecipe: 1\nname: {{ x }}\n",
        '{"recipe": 1, "name": }\n',
    ):
        found = reported(tmp_path, "somewhere/a.yaml", text, named=False)
        assert found.kind == "recipe", text
        assert {placed.finding.level for placed in found.findings} == {"error"}
    huge = reported(tmp_path, "somewhere/a.yaml", "recipe: 1\n" + "# more\n" * 160_000, named=False)
    assert [placed.finding.rule for placed in huge.findings] == ["file-too-large"]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("recipe: 1\n", "recipe"),
        ("\n# a comment\n'brew': 1\n", "brew"),
        ("%YAML 1.2\n---\nhouse: 1\n", "house"),
        ("recipe:\n", None),
        ("recipes: 1\n", None),
        ("rules:\n  - x\n", None),
        ("name: x\nrecipe: 1\n", None),
        ("", None),
    ],
)
def test_the_first_line_says_what_a_file_was_meant_to_be(text: str, kind: str | None) -> None:
    assert first_kind(text) == kind
