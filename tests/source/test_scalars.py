"""Plain scalars: the core schema of YAML 1.2 against its specification and against ruamel.yaml set to 1.2."""

import math
import re
import warnings

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from recipelint.source.reader import read
from recipelint.source.scalars import NUMBER_LENGTH, NumberTooLong, resolve, tagged

# The patterns of the YAML 1.2.2 specification, section 10.3.2 (core schema), from memory.
SPECIFIED = [
    ("null", r"null|Null|NULL|~|"),
    ("bool", r"true|True|TRUE|false|False|FALSE"),
    ("int", r"[-+]?[0-9]+"),
    ("int", r"0o[0-7]+"),
    ("int", r"0x[0-9a-fA-F]+"),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?"),
    ("float", r"[-+]?(\.inf|\.Inf|\.INF)"),
    ("float", r"\.nan|\.NaN|\.NAN"),
]
KINDS = {type(None): "null", bool: "bool", int: "int", float: "float", str: "str"}


def specified(text: str) -> str:
    return next((kind for kind, pattern in SPECIFIED if re.fullmatch(pattern, text)), "str")


def same(one: object, other: object) -> bool:
    if isinstance(one, float) and isinstance(other, float) and math.isnan(one):
        return math.isnan(other)
    return type(one) is type(other) and one == other


# YAML 1.2.2, example 10.9 (core tag resolution), from memory.
EXAMPLE_10_9 = [
    ("null", None),
    ("", None),
    ("true", True),
    ("True", True),
    ("false", False),
    ("FALSE", False),
    ("0", 0),
    ("0o7", 7),
    ("0x3A", 58),
    ("-19", -19),
    ("0.", 0.0),
    ("-0.0", -0.0),
    (".5", 0.5),
    ("+12e03", 12000.0),
    ("-2E+05", -200000.0),
    (".inf", math.inf),
    ("-.Inf", -math.inf),
    ("+.INF", math.inf),
    (".NAN", math.nan),
]


@pytest.mark.parametrize(("text", "value"), EXAMPLE_10_9)
def test_the_specification_s_own_example(text: str, value: object) -> None:
    assert same(resolve(text), value)


# What older YAML, or a careless parser, would make something else of.
STRINGS = [
    "no",
    "yes",
    "on",
    "off",
    "n",
    "y",
    "No",
    "YES",
    "60:00",
    "1:30",
    "2026-02-14",
    "2026-02-14T10:00:00Z",
    "1_000",
    "0b11",
    "0x",
    "0o",
    "0o8",
    "0xG",
    "-0x1F",
    "+0o7",
    "1,5",
    "1.2.3",
    "1e",
    "e5",
    ".",
    "-",
    "+",
    "..",
    "+-1",
    "--1",
    "1-2",
    "1e5.0",
    ".e5",
    "+.",
    "-.nan",
    "+.NaN",
    ".inF",
    "inf",
    "nan",
    "infinity",
    "Infinity",
    "NaN",
    "nULL",
    "tRUE",
    "8.8 kg",
    "72 .. 80 %",
    "1.088 ± 0.003",
    "65 °C",
    "5 d before package",
    "0 g",
    "0.5 L",
    "12x",
    "\u0661\u0662",
    "1\u0660",
    "\uff11",
    "<<",
    "=",
    "²",
    "0xe+1",
]


@pytest.mark.parametrize("text", STRINGS)
def test_strings(text: str) -> None:
    assert resolve(text) == text


NUMBERS = [
    ("012", 12),
    ("00", 0),
    ("-0", 0),
    ("+7", 7),
    ("0o17", 15),
    ("0xfF", 255),
    ("1e3", 1000.0),
    ("1.060", 1.06),
    ("5.", 5.0),
    ("5.e1", 50.0),
    ("-.5", -0.5),
    ("0e0", 0.0),
    ("1E-2", 0.01),
    ("~", None),
    ("NULL", None),
    ("-0.0", -0.0),
    ("0x10", 16),
]


@pytest.mark.parametrize(("text", "value"), NUMBERS)
def test_numbers(text: str, value: object) -> None:
    assert same(resolve(text), value)


@given(st.text(alphabet="0123456789+-.eExoabfAinINF_: ~", max_size=9))
def test_the_kind_is_the_specification_s(text: str) -> None:
    assert KINDS[type(resolve(text))] == specified(text)


@given(st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**30), 10**30))
def test_python_s_own_numbers_come_back(number: float) -> None:
    assert same(resolve(repr(number)), number)


@pytest.mark.parametrize(
    "text",
    [
        "012",
        "1e3",
        "60:00",
        "no",
        "yes",
        "0o17",
        "0x1F",
        ".5",
        "~",
        "True",
        "1.060",
        "-3",
        "8.8 kg",
        ".inf",
        "-.inf",
        "null",
        "nope",
        "1.2.3",
        "on",
        "0.1",
        "-0.5",
        "+4",
    ],
)
def test_as_ruamel_reads_yaml_1_2(text: str) -> None:
    loader = YAML(typ="safe", pure=True)
    loader.version = (1, 2)  # type: ignore[assignment]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        expected = loader.load(f"%YAML 1.2\n---\nvalue: {text}\n")["value"]
    document = read("x.yaml", f"value: {text}\n".encode())
    assert document.root is not None
    assert same(document.root.data["value"], expected)  # type: ignore[index]


@pytest.mark.parametrize("start", ["", "0x", "0o", "1."])
def test_the_longest_number(start: str) -> None:
    longest = start + "1" * (NUMBER_LENGTH - len(start))
    value = resolve(longest)
    assert isinstance(value, int | float)
    assert math.isfinite(float(value))
    with pytest.raises(NumberTooLong):
        resolve(longest + "1")


def test_long_text_of_number_characters_is_text() -> None:
    text = "1-" * NUMBER_LENGTH + "1"
    assert resolve(text) == text


@pytest.mark.parametrize(
    ("text", "tag", "value"),
    [
        ("12", "str", "12"),
        ("12", "float", 12.0),
        ("0x10", "int", 16),
        ("true", "bool", True),
        ("", "null", None),
        ("1.5", "float", 1.5),
    ],
)
def test_tags(text: str, tag: str, value: object) -> None:
    assert same(tagged(text, tag), value)


@pytest.mark.parametrize(
    ("text", "tag"),
    [
        ("x", "int"),
        ("1.5", "int"),
        ("true", "int"),
        ("1", "bool"),
        ("x", "null"),
        ("true", "float"),
        ("x", "float"),
        ("x", "set"),
    ],
)
def test_tags_that_do_not_fit(text: str, tag: str) -> None:
    with pytest.raises(ValueError, match=re.escape(text)):
        tagged(text, tag)
