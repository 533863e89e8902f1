"""Recipes spoilt at random, through everything: never a fault in the tool, always places inside the text."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipelint.commands.check import Checked, as_json, as_text, report_of
from recipelint.recipe.stat_names import STATS
from recipelint.source.files import Overlay, WorkTree
from recipelint.workspace.workspace import Workspace
from tests.commands.conftest import BITTER, TOP

BOOK = sorted((TOP / "examples/recipe-book/recipes").glob("*.yaml"))
TEXTS = [BITTER, *(path.read_text(encoding="utf-8") for path in BOOK)]
SHARDS = st.sampled_from(
    (
        "",
        "0",
        "-1",
        "1e308",
        "~",
        "[]",
        "{}",
        "true",
        "- ",
        ": ",
        "\n",
        "  ",
        "'",
        "*a",
        "&a ",
        "x: y\n",
        "nan",
    )
    + ("0 kg", "0 L", "0 min", "1e9 kg", "0.001 mg", "0 %", "100 %", "-5 °C", "1.000", "500 °P", "± 3")
    + ("1 .. 2 %", "80 .. 70 %", "5 d before package", "boil: true")
)


@st.composite
def spoilt(draw: st.DrawFn) -> str:
    """A sound recipe with one to four stretches, mostly whole values, replaced by something else."""
    text = draw(st.sampled_from(TEXTS))
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.integers(0, len(text)))
        if draw(st.booleans()):
            place = text.find(": ", place) + 2
            end = min(
                (end for end in (text.find(stop, place) for stop in ",}\n") if end >= 0), default=len(text)
            )
        else:
            end = min(len(text), place + draw(st.integers(0, 30)))
        text = text[:place] + draw(st.one_of(SHARDS, st.text(max_size=6))) + text[end:]
    return text


@pytest.fixture(scope="module")
def book() -> WorkTree:
    return WorkTree(str(TOP / "examples/recipe-book"))


@settings(max_examples=150)
@given(text=spoilt())
def test_a_spoilt_recipe_is_judged_or_explained(book: WorkTree, text: str) -> None:
    data = text.encode("utf-8", "surrogatepass")
    workspace = Workspace(Overlay(book, {"recipes/spoilt.yaml": data}))
    report = report_of(workspace, "recipes/spoilt.yaml", True)
    faults = [
        each.finding.message
        for each in report.findings
        if each.finding.rule in ("inner-fault", "rule-failed")
    ]
    assert not faults, faults
    lines = data.decode("utf-8", "replace").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for placed in report.findings:
        (line, column), (last, _) = placed.place.start, placed.place.end
        assert 1 <= line <= last <= len(lines)
        assert 1 <= column <= len(lines[line - 1]) + 2
        assert 0 < len(placed.finding.message) <= 160
    checked = [Checked(book.root, (report,))]
    assert as_json(checked).isascii()
    assert all(line.isprintable() for line in as_text(checked, str(Path.cwd()), "never").splitlines())


@settings(max_examples=60)
@given(text=spoilt())
def test_a_spoilt_recipe_has_a_page_or_none(book: WorkTree, text: str) -> None:
    from recipelint.report.json import stats_json
    from recipelint.report.stats_text import stats_text

    workspace = Workspace(Overlay(book, {"recipes/spoilt.yaml": text.encode("utf-8", "surrogatepass")}))
    brewed = workspace.brewed("recipes/spoilt.yaml")
    if brewed is not None:
        page = stats_text(brewed)
        assert all(line.isprintable() for line in page.splitlines())
        values = {name: brewed.brew.stat(name).value for name in STATS}
        assert [
            name for name, value in values.items() if value is not None and not math.isfinite(value)
        ] == []
        assert stats_json([("recipes/spoilt.yaml", brewed)]).isascii()
