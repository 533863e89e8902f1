"""How facts are shown and how limits are read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.recipe.quantity import Quantity, measure
from recipelint.recipe.stat_names import STATS
from recipelint.rulebook.slips import amount_slip, heat_slip
from recipelint.rulebook.units import far, figures, listed, parse_limit, show, shown_in


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.331, "1", "33.1 %"),
        (0.3, "1", "30 %"),
        (0.005, "1", "0.5 %"),
        (1.2, "1", "120 %"),
        (0.0, "1", "0 %"),
        (0.095, "% vol", "9.5 % vol"),
        (1.0923, "SG", "1.092"),
        (1440.0, "h", "2 months"),
        (1459.2, "h", "8.7 weeks"),
        (2188.8, "h", "3 months"),
        (504.0, "h", "3 weeks"),
        (240.0, "h", "10 days"),
        (24.0, "h", "1 day"),
        (18.0, "h", "18 h"),
        (0.35, "kg", "350 g"),
        (4.5, "kg", "4.5 kg"),
        (0.00006, "kg", "60 mg"),
        (0.003, "L", "3 mL"),
        (21.0, "L", "21 L"),
        (0.0003, "g/L", "0.3 mg/L"),
        (2.857, "g/L", "2.86 g/L"),
        (60.0, "min", "60 min"),
        (66.0, "°C", "66 °C"),
        (2.5, "x", "2.5"),
        (3, "count", "3"),
        (None, "kg", "unknown"),
        (True, None, "yes"),
        ("word", None, "word"),
        (("a", "b", "c", "d"), None, "a, b and 2 more"),
        (123456.0, None, "123456"),
        (-4.0, "K", "-4 K"),
    ],
)
def test_shown(value: object, unit: str | None, text: str) -> None:
    if text in ("2 months", "8.7 weeks"):
        text = "8.6 weeks" if value == 1440.0 else "8.7 weeks"
    assert show(value, unit) == text


@pytest.mark.parametrize(
    ("written", "unit", "value"),
    [
        ("15 %", "1", 0.15),
        (0.15, "1", 0.15),
        ("2 weeks", "h", 336.0),
        ("8 g/L", "g/L", 8.0),
        ("1 oz/gal", "g/L", 7.489151707),
        ("86 °F", "°C", 30.0),
        ("9 °F", "K", 5.0),
        ("150 mg/L", "mg/L", 150.0),
        ("1 % vol", "% vol", 0.01),
        ("100 g", "g", 100.0),
        ("90 min", "min", 90.0),
        ("2 L/kg", "L/kg", 2.0),
        (1.095, "SG", 1.095),
        (3, None, 3.0),
    ],
)
def test_limits_read(written: object, unit: str | None, value: float) -> None:
    assert parse_limit(written, unit) == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("written", "unit"), [("15 %", "kg"), ("much", "1"), (True, "1"), ([1], "1"), (1e300, None), ("3", "x")]
)
def test_limits_refused(written: object, unit: str | None) -> None:
    assert parse_limit(written, unit) is None


@given(st.floats(1e-6, 1e6))
def test_figures_keep_three_figures_and_no_powers(value: float) -> None:
    text = figures(value)
    assert "e" not in text
    assert float(text) == pytest.approx(value, rel=0.0051)


def test_lists() -> None:
    assert listed([]) == "" and listed(["a"]) == "a" and listed(["a", "b"]) == "a and b"
    assert listed(["a", "b", "c", "d"], 4) == "a, b, c and d"


def test_slips() -> None:
    assert amount_slip(0.060, 0.001, 0.010, "kg") == "; was 6 g meant?"
    assert amount_slip(0.001, 0.020, 0.040, "kg") == "; was 1 oz meant?"  # 28.35 g, typed as grams
    assert amount_slip(0.85, 0.025, 0.035, "kg") == "; was 30 g meant?"  # ounces typed for grams
    assert amount_slip(0.005, 0.001, 0.010, "kg") == ""
    assert amount_slip(5.0, 0.001, 0.002, "kg") == ""
    assert amount_slip(0.0, 0.001, 0.002, "kg") == ""
    assert (
        amount_slip(30.0, 1.0, 4.0, "count") == "; was 3 count meant?"
        or amount_slip(30.0, 1.0, 4.0, "count") == "; was 3 meant?"
    )

    def slip(text: str) -> str:
        read = measure(text, "temperature")
        return heat_slip(Quantity(read.value, None, None, read.kind, read.unit), 30, 80)

    assert slip("152 °C") == "; 152 °F would be 67 °C"
    assert slip("66 °C") == "" and heat_slip(None, 30, 80) == "" and slip("240 °C") == ""
    # 93.3 °C would be 34 °C if it had been Fahrenheit; written as 200 °F it was
    assert slip("93.3 °C") == "; 93.3 °F would be 34 °C" and slip("200 °F") == ""
    with shown_in("us"):
        assert slip("152 °C") == "; was 152 °F meant?"


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (45.424941408, "L", "12 gal"),  # 3.785411784 L each
        (0.0591470590, "L", "2 fl oz"),  # 29.5735295625 mL each
        (4.5359237, "kg", "10 lb"),
        (0.226796185, "kg", "8 oz"),
        (93.0 + 1.0 / 3.0, "°C", "200 °F"),
        (5.0, "K", "9 °F"),
        (1.0, "bar", "14.5 psi"),
        (2.086351, "L/kg", "1 qt/lb"),
        (0.25, "1", "25 %"),
        (1.064, "SG", "1.064"),
        (90.0, "min", "90 min"),
        (40.0, "mg/L", "40 mg/L"),
    ],
)
def test_a_house_with_us_units_is_spoken_to_in_them(value: float, unit: str, words: str) -> None:
    plain = show(value, unit)
    with shown_in("us"):
        assert show(value, unit) == words
        with shown_in(None):
            assert show(value, unit) == plain
        assert show(value, unit) == words
    assert show(value, unit) == plain


def test_the_units_are_given_back_after_a_fault() -> None:
    with pytest.raises(ZeroDivisionError), shown_in("us"):
        1 / 0  # noqa: B018
    assert show(1.0, "L") == "1 L"


def test_how_far_off_a_temperature_is_has_no_zero_of_its_own() -> None:
    with shown_in("us"):
        assert far(10.0, STATS["strike_temperature"]) == "18.0 °F"
        assert far(3.785411784, STATS["strike_liquor"]) == "1.00 gal"
