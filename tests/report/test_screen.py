"""Colour by convention, widths by what a terminal does, marks under the right columns."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.report.screen import Look, clean, cut, folded, marked_line, paint, wants_colour, width


@pytest.mark.parametrize(
    ("choice", "environ", "terminal", "wanted"),
    [
        ("auto", {}, True, True),
        ("auto", {}, False, False),
        ("auto", {"NO_COLOR": "1"}, True, False),
        ("auto", {"NO_COLOR": ""}, True, True),
        ("auto", {"FORCE_COLOR": "1"}, False, True),
        ("auto", {"FORCE_COLOR": ""}, False, False),
        ("auto", {"FORCE_COLOR": "0"}, True, False),
        ("auto", {"NO_COLOR": "1", "FORCE_COLOR": "1"}, True, False),
        ("auto", {"TERM": "dumb"}, True, False),
        ("always", {"NO_COLOR": "1"}, False, True),
        ("never", {"FORCE_COLOR": "1"}, True, False),
    ],
)
def test_colour_is_chosen_by_option_then_variables_then_terminal(
    choice: str, environ: dict[str, str], terminal: bool, wanted: bool
) -> None:
    assert wants_colour(choice, environ, terminal) is wanted


def test_paint_changes_nothing_but_the_looks() -> None:
    assert paint("warning:", "warning", Look()) == "warning:"
    painted = paint("warning:", "warning", Look(colour=True))
    assert painted.startswith("\x1b[") and "warning:" in painted and painted.endswith("\x1b[0m")


# Widths as in Unicode Standard Annex 11 (East Asian Width): W and F take two columns.
@pytest.mark.parametrize(
    ("text", "columns"),
    [("hops", 4), ("Hüll", 4), ("Hu\u0308ll", 4), ("麦芽", 4), ("Ａ", 2), ("🍺", 2), ("", 0), ("½ °P", 4)],
)
def test_width(text: str, columns: int) -> None:
    assert width(text) == columns


@pytest.mark.parametrize(
    ("line", "first", "last", "shown", "marks"),
    [
        ("  weight: 450 g", 11, 16, "  weight: 450 g", "          ^^^^^"),
        ("name: 麦芽 x", 7, 9, "name: 麦芽 x", "      ^^^^"),
        ("麦: 5 g", 4, 7, "麦: 5 g", "    ^^^"),
        ("\tweight", 2, 8, "    weight", "    ^^^^^^"),
        ("a\u202eb: c", 1, 4, "a\\u202eb: c", "^^^^^^^^"),
        ("weight:", 8, 8, "weight:", "       ^"),
        ("x", 40, 60, "x", " ^"),
    ],
)
def test_marks_stand_below_what_they_mark(line: str, first: int, last: int, shown: str, marks: str) -> None:
    assert marked_line(line, first, last) == (shown, marks)


def test_a_long_line_is_cut_around_the_place() -> None:
    line = "a" * 500 + "HERE" + "b" * 500
    shown, marks = marked_line(line, 501, 505)
    assert width(shown) <= 110
    assert shown.startswith("...") and shown.endswith("...")
    assert shown[marks.index("^") : len(marks)] == "HERE"


@given(st.text(max_size=300), st.integers(-5, 400), st.integers(-5, 400))
def test_no_line_and_no_place_break_the_excerpt(line: str, first: int, last: int) -> None:
    shown, marks = marked_line(line, first, last)
    assert "^" in marks and set(marks) <= {" ", "^"}
    assert shown.isprintable()
    assert width(shown) <= 120 and width(marks) <= 120


@given(st.text(max_size=200))
def test_clean_text_is_one_line_without_control_or_direction_characters(text: str) -> None:
    shown = clean(text)
    assert shown.isprintable() and "\u202e" not in shown and "\x1b" not in shown


@pytest.mark.parametrize(
    "text",
    [
        "a few words that go on for a little longer than one line of this narrow page",
        "anunbrokenwordthatislongerthanthewholepagecouldhold and more",
        "  12  麦酒麦酒麦酒麦酒麦酒麦酒麦酒麦酒 and 麦酒",
        "",
        "short",
    ],
)
def test_folded_lines_fit_and_lose_nothing(text: str) -> None:
    lines = list(folded(text, 20, "    "))
    assert all(width(line) <= 20 for line in lines)
    assert all(line.startswith("    ") for line in lines[1:])
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_a_cut_name_fits_and_says_that_it_is_cut() -> None:
    assert cut("Maris Otter", 11) == "Maris Otter"
    assert cut("Maris Otter", 10) == "Maris Ott…"
    assert cut("Maris Otter", 7) == "Maris…"
    assert width(cut("麦酒麦酒", 6)) <= 6
