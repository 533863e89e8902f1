"""The benchmark measures what it says: many different, sound recipes. Times are printed by it, never asserted here."""

from __future__ import annotations

from pathlib import Path

import pytest

from recipelint.commands.check import gather
from recipelint.report.tally import tally
from recipelint.source.reader import read
from tests.benchmarks.corpus import BOOK, in_block_style, vary, write_corpus


def test_a_varied_recipe_differs_in_name_and_weights_only() -> None:
    text = "recipe: 1\nname: A\ngrist:\n  - {malt: m, weight: 4.2 kg}\n  - {malt: n, weight: 350 g}\n"
    varied = vary(text, 1)
    assert varied != text and vary(text, 1) == varied and vary(text, 2) != varied
    assert "name: Trial brew 1" in varied and varied.count("weight: ") == 2 and " kg}" in varied


def test_the_corpus_is_sound(tmp_path: Path) -> None:
    lines, size = write_corpus(tmp_path / "book", 26)
    assert lines > 30 and size > 700
    checked, troubles = gather([str(tmp_path / "book")], None, str(tmp_path))
    assert not troubles
    (one,) = checked
    counted = tally(one.reports, one.book)
    assert counted.recipes == 26
    assert counted.error == 0 and counted.unreadable == 0
    assert counted.warning == 0, [placed.finding for report in one.reports for placed in report.findings]


@pytest.mark.parametrize("recipe", sorted((BOOK / "recipes").glob("*.yaml")), ids=lambda path: path.stem)
def test_block_style_says_the_same_on_more_lines(recipe: Path) -> None:
    text = recipe.read_text(encoding="utf-8")
    block = in_block_style(text)
    flow, written = read("recipe.yaml", text.encode()).root, read("recipe.yaml", block.encode()).root
    assert flow is not None and written is not None and written.data == flow.data
    assert block.count("\n") > text.count("\n") and "{" not in block


def test_both_styles_of_the_corpus_have_the_same_findings(tmp_path: Path) -> None:
    def found(name: str, block: bool) -> list[tuple[str, str, str, str]]:
        write_corpus(tmp_path / name, 42, block=block)
        (one,) = gather([str(tmp_path / name)], None, str(tmp_path))[0]
        assert len(one.reports) > 42
        return [
            (report.file, each.finding.rule, each.finding.message, each.finding.at.pointer)
            for report in one.reports
            for each in report.findings
        ]

    flow = found("flow", False)
    assert flow and found("block", True) == flow


@pytest.mark.parametrize("number", range(0, 5000, 977))
def test_weights_move_by_less_than_one_percent(number: int) -> None:
    moved = float(vary("x: {weight: 1000 g}", number).split()[2])
    assert abs(moved - 1000) < 10
