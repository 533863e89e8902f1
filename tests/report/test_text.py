"""The lines that ``check`` prints."""

from __future__ import annotations

import re

from recipelint.report.screen import Look
from recipelint.report.tally import Tally, at_or_above, tally
from recipelint.report.text import check_text, findings_text, summary_text
from tests.report.builders import place, placed, recipe


def test_a_finding_is_one_line_that_editors_understand() -> None:
    text = check_text([recipe(placed())])
    assert text == (
        "recipes/harrow-field.yaml:27:5: warning: 33 % of the extract is sugar; 30 % is the most [sugar-share-high]\n"
        "1 recipe, 1 warning\n"
    )


def test_related_places_stand_below_indented() -> None:
    first = place(start=(4, 1), end=(4, 5), excerpt="name: a")
    text = findings_text(
        [recipe(placed("duplicate-key", "error", "name stands twice", related=(("first here", first),)))]
    )
    assert text.splitlines()[1] == "    recipes/harrow-field.yaml:4:1: note: first here"


def test_on_a_terminal_the_line_is_shown_with_the_place_marked() -> None:
    text = findings_text(
        [recipe(placed(remedy="Use less of it, or raise the limit."))], look=Look(excerpt=True)
    )
    assert text.splitlines()[1:] == [
        "    27 |     weight: 380 g",
        "       |     ^^^^^^^^^^^^^",
        "        Use less of it, or raise the limit.",
    ]


def test_a_place_over_several_lines_is_marked_to_the_end_of_its_first() -> None:
    where = place(start=(3, 8), end=(5, 2), excerpt="notes: 'one")
    text = findings_text([recipe(placed(where=where))], look=Look(excerpt=True))
    assert text.splitlines()[2] == "       |        ^^^^"


def test_colour_adds_nothing_but_escapes() -> None:
    reports = [recipe(placed(), placed(level="error", rule="other", message="x"))]
    coloured = check_text(reports, look=Look(colour=True, excerpt=True))
    assert "\x1b[" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == check_text(reports, look=Look(excerpt=True))


def test_hostile_text_reaches_no_terminal_raw() -> None:
    where = place(file="a\x1b[31m.yaml", excerpt="x: \x1b]0;title\x07 \u202e")
    bad = placed(message="name \x1b[2J\u202e\n", where=where, related=(("see \x9b", where),), remedy="\x1b")
    text = check_text([recipe(bad)], look=Look(excerpt=True))
    assert all(line.isprintable() for line in text.splitlines())
    assert len(text.split("\n")) == len(text.splitlines()) + 1
    assert "\\x1b[2J\\u202e\\n" in text


def test_findings_are_ordered_by_file_place_and_rule() -> None:
    late = placed(where=place(file="b.yaml", start=(9, 1)))
    early = placed(where=place(file="b.yaml", start=(2, 1)))
    other = placed(where=place(file="a.yaml", start=(99, 1)))
    same = placed(rule="a-rule", where=place(file="b.yaml", start=(2, 1)))
    lines = findings_text([recipe(late, early, same)], [other]).splitlines()
    assert [line.split(": ")[0] + line[line.rindex(" [") :] for line in lines] == [
        "a.yaml:99:1 [sugar-share-high]",
        "b.yaml:2:1 [a-rule]",
        "b.yaml:2:1 [sugar-share-high]",
        "b.yaml:9:1 [sugar-share-high]",
    ]


def test_an_accepted_finding_is_counted_and_not_shown_unless_it_warns_of_harm() -> None:
    lived_with = placed(accepted="mellows in wood")
    harmful = placed(
        "bottle-pressure-high",
        "error",
        "7 bar in light glass",
        accepted="opened weekly",
        caution="bottle-bomb",
    )
    text = check_text([recipe(lived_with, harmful)], in_sight={"bottle-pressure-high"})
    first, caution, last = text.splitlines()
    assert first == (
        "recipes/harrow-field.yaml:27:5: note: 7 bar in light glass (accepted: opened weekly) [bottle-pressure-high]"
    )
    assert caution.startswith("    caution: ") and "local codes" in caution
    assert last == "1 recipe, no findings, 2 accepted"


def test_a_caution_stands_with_the_first_finding_that_calls_for_it() -> None:
    first = placed("bottle-pressure-high", where=place(start=(2, 1)), caution="bottle-bomb")
    second = placed("bottle-pressure-high", where=place(start=(3, 1)), caution="bottle-bomb")
    lines = findings_text([recipe(first, second)]).splitlines()
    assert [line.startswith("    caution: ") for line in lines] == [False, True, False]


def test_the_last_line_counts_in_words() -> None:
    assert summary_text(Tally(3, 0, 0, 1, 1, 0, 0, 0)) == "3 recipes, 1 warning, 1 note\n"
    assert summary_text(Tally(0, 0, 0, 0, 0, 0, 0, 0)) == "0 recipes, no findings\n"
    assert summary_text(Tally(1, 1, 2, 0, 3, 1, 1, 4)) == (
        "1 recipe, 1 other file, 2 errors, 3 notes, 1 accepted, 1 file not readable, 4 files left alone\n"
    )


def test_the_tally_sorts_files_by_kind() -> None:
    counted = tally(
        [
            recipe(placed(), placed(level="note"), placed(accepted="yes")),
            recipe(kind="brewhouse"),
            recipe(placed("file-unreadable", "error"), kind="unreadable"),
            recipe(kind="unknown"),
            recipe(placed("unknown-kind", "error"), kind="unknown"),
        ],
        [placed("name-used-twice")],
    )
    assert counted == Tally(
        recipes=1, others=1, error=2, warning=2, note=1, accepted=1, unreadable=1, left_alone=1
    )


def test_what_fails_is_at_the_level_or_above_it() -> None:
    notes = tally([recipe(placed(level="note"))])
    errors = tally([recipe(placed(level="error"))])
    accepted = tally([recipe(placed(level="error", accepted="known"))])
    levels = ("note", "warning", "error", "never")
    assert [at_or_above(notes, level) for level in levels] == [True, False, False, False]
    assert [at_or_above(errors, level) for level in levels] == [True, True, True, False]
    assert not any(at_or_above(accepted, level) for level in levels)
