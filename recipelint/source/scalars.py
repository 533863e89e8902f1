"""YAML 1.2 core schema: what a plain scalar means, decided from its text alone.

The rules are those of the YAML 1.2.2 specification, section 10.3.2. What other versions make of ``no``,
``012``, ``60:00`` or ``2026-02-14`` plays no part: here they are a string, the number 12 and two strings.
"""

NUMBER_LENGTH = 256
"""Longest text taken for a number: any of them then fits a float without overflow (16**254 < 1.8e308)."""

# A plain scalar that begins with one of these may be a number; all others are looked up in CONSTANTS.
NUMBER_STARTS = frozenset("0123456789+-.")

CONSTANTS: dict[str, str | bool | None] = {
    "": None, "~": None, "null": None, "Null": None, "NULL": None,
    "true": True, "True": True, "TRUE": True,
    "false": False, "False": False, "FALSE": False,
}  # fmt: skip

# All that begins with one of those sorts before this, and few words do: a comparison that is quicker than a look at
# the first letter. Whatever has a space in it is no number either.
AFTER_NUMBERS = ":"

_INFINITIES = {
    f"{sign}{word}": float(f"{sign}inf") for sign in ("", "+", "-") for word in (".inf", ".Inf", ".INF")
}
_SPECIAL = {**_INFINITIES, ".nan": float("nan"), ".NaN": float("nan"), ".NAN": float("nan")}

_DIGITS = frozenset("0123456789")
_NUMBER_ENDS = frozenset("0123456789.")
_NUMBER_CHARACTERS = "0123456789.+-eE"
_BASES = {"0x": (16, "0123456789abcdefABCDEF"), "0o": (8, "01234567")}

Scalar = str | int | float | bool | None


class NumberTooLong(ValueError):
    """A number of more than NUMBER_LENGTH characters."""


def number(text: str) -> str | int | float:
    """The number a plain scalar is, or the text itself if it is none. Not for empty text.

    Raises NumberTooLong for a number with more than NUMBER_LENGTH characters.
    """
    if text[-1] in _NUMBER_ENDS and not text.strip(_NUMBER_CHARACTERS):
        # Of texts of these characters alone, Python's int and float take what the core schema's patterns
        # take.
        if len(text) > NUMBER_LENGTH:
            return _long(text)
        try:
            return int(text) if text.lstrip("+-").isdecimal() else float(text)
        except ValueError:  # a date, a version, a range
            return text
    # Most of what gets here is a quantity such as `8.8 kg`: out again as soon as may be.
    if text[0] != "0":
        return text if text[0] in _DIGITS else _SPECIAL.get(text, text)
    base, digits = _BASES.get(text[:2], (0, ""))
    if not base or len(text) < 3 or text[2:].strip(digits):
        return text
    if len(text) > NUMBER_LENGTH:
        raise NumberTooLong(text)
    return int(text[2:], base)


def _long(text: str) -> str:
    try:
        float(text)
    except ValueError:
        return text
    raise NumberTooLong(text)


def resolve(text: str) -> Scalar:
    """The value of a plain, untagged scalar under the core schema. Raises NumberTooLong."""
    if text[:1] in NUMBER_STARTS:
        return number(text)
    return CONSTANTS.get(text, text)


def tagged(text: str, tag: str) -> Scalar:
    """The value of a scalar under a tag of the core schema: ``int``, ``float``, ``bool``, ``null``, ``str``.

    Raises ValueError if the text is no such value, and for any other tag.
    """
    if tag == "str":
        return text
    value = resolve(text)
    if tag == "null" and value is None:
        return None
    if tag == "bool" and isinstance(value, bool):
        return value
    if tag == "int" and isinstance(value, int) and not isinstance(value, bool):
        return value
    if tag == "float" and isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    raise ValueError(text)
