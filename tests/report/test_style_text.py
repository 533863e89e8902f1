"""The style page."""

from __future__ import annotations

import json
import re

from recipelint.recipe.styles import Style
from recipelint.report.screen import Look
from recipelint.report.style_text import style_json, style_text
from recipelint.rulebook.style_check import Fit, StyleRow
from tests.report.brews import harrow_field

BARLEY_WINE = Style("bjcp-2021", "english-barley-wine", "English Barley Wine", code="17D")
ROWS = [
    StyleRow("original_gravity", 1.0702, 1.066, 1.074, 1.080, 1.120, "outside", -0.0098),
    StyleRow("final_gravity", 1.0331, 1.028, 1.038, 1.018, 1.030, "edge", 0.0031),
    StyleRow("abv", 0.1013, 0.094, 0.108, 0.08, 0.12, "inside", 0.0),
    StyleRow("bitterness", 80.0, 70.0, 90.0, None, 70.0, "outside", 10.0),
    StyleRow("colour_srm", 16.4, 14.0, 19.0, None, None, "varies", None),
]
FITS = [
    Fit(BARLEY_WINE, 0.0, 0.2, 5, ()),
    Fit(Style("bjcp-2021", "old-ale", "Old Ale"), 0.4, 0.9, 4, ()),
    Fit(Style("bjcp-2021", "wee-heavy", "Wee Heavy"), 0.7, 0.9, 5, ("bitterness", "colour_srm")),
]


def page(rows: list[StyleRow] = ROWS, look: Look = Look()) -> str:  # noqa: B008
    text = style_text(
        harrow_field(), BARLEY_WINE, rows, FITS, ["Numbers: the guide.", "Numbers: the guide."], look
    )
    return re.sub(r"(?<=\S) +", " ", text)


def test_each_stat_says_where_it_is_and_how_far_off() -> None:
    text = page()
    assert text.startswith("Harrow Field as English Barley Wine (bjcp-2021 17D)\n")
    assert "\n  original gravity 1.070 1.066 .. 1.074 1.080 .. 1.120 outside, 10 points below\n" in text
    assert "\n  final gravity 1.033 1.028 .. 1.038 1.018 .. 1.030 edge, 3.1 points above\n" in text
    assert "\n  alcohol 10.1 % vol 9.4 .. 10.8 8.0 .. 12.0 inside\n" in text
    assert "\n  bitterness 80 IBU 70 .. 90 up to 70 outside, 10 IBU above\n" in text
    assert "\n  colour 16.4 SRM 14.0 .. 19.0 the guide gives no range\n" in text


def test_what_would_bring_it_in_moves_to_the_nearer_edge() -> None:
    text = page()
    assert (
        "\n  original gravity to 1.080\n    Pale ale malt 7.40 kg -> 8.44 kg\n    the batch 21.0 L -> 18.4 L\n"
        in text
    )
    assert (
        "\n  final gravity to 1.030\n    the mash decides it; the culture alone would come to 1.026\n"
        "    the rest at 68.0 °C -> 66.5 °C\n" in text
    )
    assert (
        "\n  bitterness to 70 IBU\n    no single change of the bill, the rests or the hops does it\n" in text
    )
    assert "What would bring it in" not in page([ROWS[2], ROWS[4]])


def test_the_closest_styles_say_what_they_miss() -> None:
    text = page()
    assert "  bjcp-2021/english-barley-wine inside in all it states\n" in text
    assert "  bjcp-2021/old-ale inside in the 4 it states\n" in text
    assert "  bjcp-2021/wee-heavy outside in bitterness, colour\n" in text
    assert text.count("Numbers: the guide.") == 1


def test_words_stand_without_colour() -> None:
    painted = page(look=Look(colour=True))
    assert "\x1b[" in painted and re.sub(r"\x1b\[[0-9;]*m", "", painted) == page()


def test_without_a_style_only_the_closest_are_shown() -> None:
    text = style_text(harrow_field(), None, [], FITS)
    assert text.startswith("Harrow Field aims at no style") and "bjcp-2021/old-ale" in text


def test_the_form_for_programs() -> None:
    tree = json.loads(style_json([("recipes/a.yaml", harrow_field(), BARLEY_WINE, ROWS, FITS)]))
    (one,) = tree["recipes"]
    assert tree["format"] == "recipelint/style/1"
    assert one["style"] == "bjcp-2021/english-barley-wine"
    assert one["stats"]["abv"] == {
        "value": 10.13,
        "unit": "% vol",
        "low": 9.4,
        "high": 10.8,
        "style_low": 8.0,
        "style_high": 12.0,
        "verdict": "inside",
        "off": 0.0,
    }
    assert one["closest"][2] == {
        "style": "bjcp-2021/wee-heavy",
        "distance": 0.7,
        "compared": 5,
        "outside": ["bitterness", "colour_srm"],
    }
