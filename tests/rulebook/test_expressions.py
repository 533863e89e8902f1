"""The small language of rules: what it computes, what it refuses, and what it does with the unknown."""

from __future__ import annotations

import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.rulebook.expressions import (
    MAX_DEPTH,
    MAX_LENGTH,
    MAX_NODES,
    ExpressionError,
    Name,
    Type,
    compile_expression,
)

NAMES = {
    "a": Name(Type("number", "kg"), 0),
    "b": Name(Type("number", "kg"), 0),
    "heat": Name(Type("number", "°C"), 0),
    "warmer": Name(Type("number", "°C"), 0),
    "step": Name(Type("number", "K"), 0),
    "share": Name(Type("number", "1"), 0),
    "litres": Name(Type("number", "L"), 0),
    "kind": Name(Type("text"), 0),
    "claims": Name(Type("texts"), 0),
    "p": Name(Type("flag"), 0),
    "q": Name(Type("flag"), 0),
    "strike_liquor": Name(Type("number", "L"), 0),
}


def value(text: str, **facts: object) -> object:
    return compile_expression(text, NAMES).run((facts, {}, {}))


def refused(text: str) -> ExpressionError:
    with pytest.raises(ExpressionError) as caught:
        compile_expression(text, NAMES)
    return caught.value


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a + b * 2", 7.0),
        ("(a + b) / 2", 2.0),
        ("-a + +b", 2.0),
        ("abs(a - b)", 2.0),
        ("max(a, b, 2)", 3.0),
        ("min(a, b)", 1.0),
        ("a < b", True),
        ("1 <= a < b <= 3", True),
        ("1 < a < b", False),
        ("a == 1 and not b == 1", True),
        ("kind in ('spice', 'herb')", True),
        ("kind not in ('spice', 'herb')", False),
        ("kind == 'spice'", True),
        ("kind != 'spice'", False),
        ("'vegan' in claims", True),
        ("'gluten-free' not in claims", True),
        ("p or q", True),
        ("p and q", False),
        (" a ", 1.0),
    ],
)
def test_values(text: str, expected: object) -> None:
    assert value(text, a=1.0, b=3.0, kind="spice", claims=("vegan",), p=True, q=False) == expected


# Kleene's strong logic of three values, as in S. C. Kleene, Introduction to Metamathematics (1952), section
# 64.
AND = {
    (True, True): True,
    (True, False): False,
    (True, None): None,
    (False, True): False,
    (False, False): False,
    (False, None): False,
    (None, True): None,
    (None, False): False,
    (None, None): None,
}
OR = {
    (True, True): True,
    (True, False): True,
    (True, None): True,
    (False, True): True,
    (False, False): False,
    (False, None): None,
    (None, True): True,
    (None, False): None,
    (None, None): None,
}


@pytest.mark.parametrize("pair", list(AND))
def test_kleene(pair: tuple[bool | None, bool | None]) -> None:
    p, q = pair
    assert value("p and q", p=p, q=q) is AND[pair]
    assert value("p or q", p=p, q=q) is OR[pair]
    assert value("not p", p=p) is (None if p is None else not p)


@pytest.mark.parametrize(
    "text",
    [
        "a + b",
        "b - a",
        "a * b",
        "a / b",
        "abs(a)",
        "max(b, a)",
        "min(a, 1)",
        "-a",
        "a < b",
        "b >= a",
        "kind == 'x'",
        "kind in ('x', 'y')",
        "'x' in claims",
        "1 < b < a",
    ],
)
def test_the_unknown_spreads(text: str) -> None:
    assert value(text, a=None, b=2.0, kind=None, claims=None) is None


def test_a_chain_already_false_needs_no_more() -> None:
    assert value("3 < b < a", a=None, b=2.0) is False


def test_division_by_nothing_and_overflow_are_unknown() -> None:
    assert value("a / b", a=1.0, b=0.0) is None
    assert value("a * b", a=1e200, b=1e200) is None
    assert value("a - b", a=math.inf, b=1.0) is None


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("a / litres", "kg/L"),
        ("a / b", "1"),
        ("a * share", "kg"),
        ("heat - warmer", "K"),
        ("heat + step", "°C"),
        ("a - 1", "kg"),
        ("max(a, b)", "kg"),
        ("1 / a", "1/kg"),
        ("abs(heat)", "°C"),
    ],
)
def test_units_are_carried(text: str, unit: str) -> None:
    assert compile_expression(text, NAMES).type == Type("number", unit)


@pytest.mark.parametrize(
    ("text", "column", "words"),
    [
        ("a +", 3, "not an expression"),
        ("strike_liqour > 1", 1, "did you mean strike_liquor"),
        ("p and colour > 1", 7, "no fact"),
        ("a + litres", 5, "cannot be added"),
        ("heat + warmer", 8, "cannot be added"),
        ("heat < step", 8, "cannot be compared"),
        ("a and p", 1, "yes or no"),
        ("p + 1", 1, "number"),
        ("kind > 'x'", 8, "more or less"),
        ("kind == 1", 9, "cannot be compared"),
        ("a in ('x',)", 6, "text on the left"),
        ("a ** 2", 1, "only + - * /"),
        ("a % 2", 1, "only + - * /"),
        ("a // 2", 1, "only + - * /"),
        ("a is b", 6, "compare"),
        ("~a", 1, "may stand before"),
        ("a.real", 1, "dot"),
        ("a[0]", 1, "bracket"),
        ("a if p else b", 1, "if"),
        ("lambda: 1", 1, "function"),
        ("(x := 1)", 2, "assignment"),
        ("[a, b]", 1, "square"),
        ("kind in ('x', 1)", 9, "texts only"),
        ("round(a)", 1, "only abs, min and max"),
        ("abs(a, b)", 1, "abs takes one"),
        ("max(a)", 1, "two or more"),
        ("max(a, key=b)", 1, "only abs"),
        ("max(*a)", 1, "two or more"),
        ("max(a, litres)", 8, "cannot be compared"),
        ("f'{a}' == kind", 1, "template"),
        ("None", 1, "can be written out"),
        ("1j", 1, "can be written out"),
        ("b'x' == kind", 1, "can be written out"),
        ("1e300 < a", 1, "number beyond"),
        ("kind == '\\x41'", 10, "backslash"),
        ("'ä' == kind and zz", 17, "no fact"),
    ],
)
def test_refusals_say_where_and_why(text: str, column: int, words: str) -> None:
    trouble = refused(text)
    if text != "max(*a)":
        assert words in trouble.message
    assert trouble.column == column


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "\x00",
        "a\nb",
        "import os",
        "__import__('os')",
        "a; b",
        "().__class__",
        "(" * 299,
        "[" * 150 + "]" * 150,
        "not " * 74 + "p",
        "-" * 298 + "a",
        "a" + "+a" * 140,
        "0" * 299,
        "9" * 299,
        "'" * 299,
        "\\u0061",
        "#",
        "a # b)",
        "ａ",
        "1if p else 2",
        "0_0x",
        "\ud800",
        "max(" * 70 + "a",
        "p and " * 49 + "p and",
        "{**claims}",
        "print(a)",
        "a := b",
        "yield",
        "await a",
        "(a for a in claims)",
        "kind in ()",
        "a == b == ",
        "é.x",
        "\t a",
    ],
)
def test_hostile_texts_are_refused_or_harmless(text: str) -> None:
    before = time.perf_counter()
    try:
        made = compile_expression(text, NAMES)
    except ExpressionError as trouble:
        assert 1 <= trouble.column <= max(1, len(text) + 1)
    else:
        assert set(made.names) <= set(NAMES)
    assert time.perf_counter() - before < 2.0


def test_bounds() -> None:
    inside = "a" + "+1" * (MAX_DEPTH - 2)
    assert compile_expression(inside, NAMES)
    assert "deeper" in refused("a" + "+1" * MAX_DEPTH).message
    wide = "max(" + ",".join(["a"] * (MAX_NODES - 1)) + ")"
    assert len(wide) <= MAX_LENGTH and compile_expression(wide, NAMES)
    assert "parts" in refused("max(" + ",".join(["a"] * MAX_NODES) + ")").message
    assert "too long" in refused("a" + " " * MAX_LENGTH).message


@given(st.text(max_size=60))
def test_any_text_compiles_or_is_refused(text: str) -> None:
    try:
        compile_expression(text, NAMES)
    except ExpressionError as trouble:
        assert trouble.message


numbers = st.floats(-1e6, 1e6) | st.none()


@given(numbers, numbers, st.sampled_from(["<", "<=", ">", ">=", "==", "!="]))
def test_comparison_agrees_with_python(a: float | None, b: float | None, sign: str) -> None:
    expected = None if a is None or b is None else eval(f"a {sign} b")
    assert value(f"a {sign} b", a=a, b=b) is expected


def test_names_are_reported_once_in_order() -> None:
    assert compile_expression("b + a + b", NAMES).names == ("b", "a")
