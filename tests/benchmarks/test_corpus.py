"""The benchmark measures what it says: many different, sound recipes. Times are printed by it, never asserted here."""

from __future__ import annotations

from pathlib import Path

import pytest

from recipelint.commands.check import gather
from recipelint.report.tally import tally
from tests.benchmarks.corpus import vary, write_corpus


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


@pytest.mark.parametrize("number", range(0, 5000, 977))
def test_weights_move_by_less_than_one_percent(number: int) -> None:
    moved = float(vary("x: {weight: 1000 g}", number).split()[2])
    assert abs(moved - 1000) < 10
