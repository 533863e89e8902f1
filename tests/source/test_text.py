"""Decoding, lines and columns, and the safe display of user text."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.source.text import LineIndex, decode, show


@pytest.mark.parametrize(
    ("text", "offset", "position"),
    [
        ("ab\ncd", 0, (1, 1)),
        ("ab\ncd", 2, (1, 3)),
        ("ab\ncd", 3, (2, 1)),
        ("ab\ncd", 5, (2, 3)),
        ("ab\r\ncd", 4, (2, 1)),
        ("a\rb", 2, (2, 1)),
        ("a\n\nb", 2, (2, 1)),
        ("a\n\nb", 3, (3, 1)),
        ("a\n", 2, (2, 1)),
        ("", 0, (1, 1)),
        ("ab", 99, (1, 3)),
        ("ab", -5, (1, 1)),
        ("é🍺x", 2, (1, 3)),
        ("a\x0cb\x0bc", 4, (1, 5)),
        ("a\tb", 2, (1, 3)),
        ("a\r\n\r\nb\n", 5, (3, 1)),
    ],
)
def test_position(text: str, offset: int, position: tuple[int, int]) -> None:
    assert LineIndex(text).position(offset) == position


@given(st.text(alphabet="ab\n\ré🍺"))
def test_lines_are_those_of_universal_newlines(text: str) -> None:
    index = LineIndex(text)
    expected = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    assert [index.line(number + 1) for number in range(len(expected))] == expected
    assert index.line(0) == index.line(len(expected) + 1) == ""
    for offset in range(len(text) + 1):
        line, column = index.position(offset)
        assert index.starts[line - 1] + column - 1 == offset


def test_decode_says_which_byte_and_line() -> None:
    text, fault = decode(b"name: caf" + b"\xe9\nsize: 1\n")
    assert text.startswith("name: caf\ufffd")
    assert fault is not None
    assert (fault.offset, fault.length) == (9, 1)
    assert "byte 10 " in fault.message
    assert "0xE9, line 1" in fault.message
    assert "é" in fault.message


def test_decode_counts_lines_and_multibyte_characters_before_the_fault() -> None:
    _, fault = decode("a: °\r\nb: ".encode() + b"\xb0C\r\n")
    assert fault is not None
    assert fault.offset == 9
    assert "line 2" in fault.message


@pytest.mark.parametrize("codec", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_decode_names_other_encodings(codec: str) -> None:
    mark = {"utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff"}.get(codec, b"")
    text, fault = decode(mark + "name: x".encode(codec))
    assert fault is not None
    assert codec[:6].upper() in fault.message
    assert "UTF-8" in fault.message
    assert text == "name: x"


def test_decode_drops_the_mark() -> None:
    assert decode(b"\xef\xbb\xbfa") == ("a", None)


@given(st.text())
def test_shown_text_is_harmless_and_stays_as_it_is(text: str) -> None:
    shown = show(text, 10_000)
    for character in shown:
        assert unicodedata.category(character) not in ("Cc", "Cf", "Cs", "Zl", "Zp")
    assert show(shown, 100_000) == shown


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain", "plain"),
        ("65 °C", "65 °C"),
        ("🍺", "🍺"),
        ("a\x1b[31mb", "a\\x1b[31mb"),
        ("a\u202eb", "a\\u202eb"),
        ("a\nb\tc", "a\\nb\\tc"),
        ("\u200bx", "\\u200bx"),
        ("\udce9", "\\xe9"),
        ("\x9b", "\\x9b"),
        ("a\u00a0b", "a b"),
        ("\U000e0041", "\\U000e0041"),
    ],
)
def test_show(text: str, shown: str) -> None:
    assert show(text) == shown


def test_show_cuts() -> None:
    assert show("x" * 61) == "x" * 57 + "..."
    assert show("x" * 60) == "x" * 60
