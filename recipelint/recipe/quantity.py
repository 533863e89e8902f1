"""Quantities as a brewer writes them: a number, a unit, and how sure the brewer is.

``4.5 kg``, ``78 % ± 3 %``, ``72 .. 80 %``, ``31 L hot``, ``1.048``. The regular expressions are built from the
table of units, the same from which the schemas get their patterns.
"""

import re
from typing import NamedTuple, TypeAlias

from recipelint.recipe.units import KINDS, Kind, Unit
from recipelint.source.nodes import At
from recipelint.source.text import show

Five: TypeAlias = tuple[str, str | None, str | None, str | None, str | None]
_N = r"(-?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+))"
# Pages on the web and some keyboards put a no-break or a thin space between number and unit; so does a word processor.
SPACES = " \u00a0\u2002-\u200a\u202f\u205f\u3000"
GAP = f"[{SPACES}]*"
_OP = r"(±|\+/-|\.\.)"
_END = r"[ \n]*$"
READING_REFRACTOMETER = "refractometer"
REMEMBERED = 2048
LONGEST = 80  # no quantity is longer; what is, is not searched for slips


class Quantity(NamedTuple):
    """A value in the canonical unit of its kind, with its band where one is written.

    ``a .. b`` sets low and high (the 5 and 95 % points) and value to the middle; ``a ± b`` is a 90 % half-width.
    ``unit`` is the unit as written, in one spelling; of a yield the basis: ``dry``, ``as-is`` or "" for not said.
    ``origin`` is recipe, brewhouse, house, lot, catalogue or default.
    """

    value: float
    low: float | None
    high: float | None
    kind: str
    unit: str
    at: At | None = None
    origin: str = "recipe"
    text: str = ""


class Measure(NamedTuple):
    """A parsed quantity before it has a place: what ``parse`` remembers."""

    value: float
    low: float | None
    high: float | None
    kind: str
    unit: str


class QuantityError(Exception):
    """Something that cannot be read as a quantity; ``message`` says it to the brewer, ``rule`` names the finding."""

    def __init__(self, message: str, rule: str = "quantity-invalid") -> None:
        super().__init__(message)
        self.message = message
        self.rule = rule


def escape(text: str) -> str:
    """Text as a regular expression that Python, ECMAScript and Rust read alike."""
    return "".join("\\" + letter if letter in ".^$*+?()[]{}|\\" else letter for letter in text)


def _alternatives(kind: Kind) -> str:
    return "|".join(escape(word) for word in sorted(kind.units, key=lambda word: (-len(word), word)))


def body(kind: Kind) -> str:
    """The expression of one quantity of this kind, without anchors; groups as ``_read`` takes them."""
    number = _N if kind.signed else _N.replace("-?", "")
    if not kind.units:
        return f"{number}(?:{GAP}{_OP}{GAP}{number})?"
    unit = f"(?:{GAP}({_alternatives(kind)}))"
    if kind.alone:
        return f"{number}{unit}?(?:{GAP}{_OP}{GAP}{number}{unit}?)?"
    return f"{number}(?:{unit}(?:{GAP}{_OP}{GAP}{number}{unit}?)?|{GAP}{_OP}{GAP}{number}{unit})"


def _reading() -> str:
    gravity = body(KINDS["gravity"])
    temperature = body(KINDS["temperature"])
    return f"{gravity}(?: +({READING_REFRACTOMETER}))?(?: +at +{temperature})?"


def ungrouped(text: str) -> str:
    """The same expression without groups: what a schema needs."""
    return re.sub(r"(?<!\\)\((?!\?)", "(?:", text)


def pattern(kind: str) -> str:
    """The JSON Schema pattern of what ``parse`` accepts as text for this kind."""
    inner = _reading() if kind == "reading" else body(KINDS[kind])
    return f"^(?:{ungrouped(inner)}){_END}"


_compiled: dict[str, re.Pattern[str]] = {}


def regex(kind: str) -> re.Pattern[str]:
    """The expression of a kind, compiled when it is first wanted."""
    found = _compiled.get(kind)
    if found is None:
        inner = _reading() if kind == "reading" else body(KINDS[kind])
        found = _compiled[kind] = re.compile(f"(?:{inner})[ \\n]*\\Z")
    return found


_remembered: dict[str, dict[str, Measure]] = {}


def memory(kind: str) -> dict[str, Measure]:
    """What was read so far of one kind, by its text: the same few hundred words stand in all recipes of a house."""
    return _remembered.setdefault(kind, {})


def measure(text: str, kind: str) -> Measure:
    """Read text as a quantity of a kind; the same text is read once and remembered.

    Raises QuantityError for what is no quantity of the kind (``quantity-invalid``) or lies outside what is
    physically possible (``quantity-implausible``).
    """
    known = memory(kind)
    found = known.get(text)
    if found is None:
        found = _measure(text, KINDS[kind])
        if len(known) >= REMEMBERED:
            known.clear()
        known[text] = found
    return found


def parse(
    text: str | int | float, kind: str, at: At | None = None, origin: str = "recipe", written: str = ""
) -> Quantity:
    """A quantity from what stands in a file: text, or a bare number where the kind needs no unit.

    ``written`` is a number as it stands in the file (``1.050``), for messages and for the quantity's text.

    Raises QuantityError in the words of a friend: what was written, and what was probably meant.
    """
    if isinstance(text, str):
        return Quantity(*measure(text, kind), at, origin, text)
    if isinstance(text, bool):
        raise QuantityError(
            f"`{str(text).lower()}` is not {KINDS[kind].wants}; write it like `{KINDS[kind].example}`"
        )
    spec = KINDS[kind]
    said = written or number(text)
    if not spec.alone:
        from recipelint.recipe.slips import needs_unit  # only for what is wrong

        raise QuantityError(needs_unit(text, spec, said))
    value = float(text) if abs(text) < 1e300 else float("inf")
    check_possible(value, spec, said)
    return Quantity(value, None, None, kind, spec.alone, at, origin, said)


# One expression for the shape of any quantity; whether the words are units of the kind is a look-up. The expression of
# a kind, with all its units in it, takes 2 ms to compile, so it is only made for what this one does not settle.
_UNIT = f"([^-0-9.±+{SPACES}\n](?:[^±\n]*?[^{SPACES}\n±])??)"
_SHAPE = re.compile(f"{_N}(?:{GAP}{_UNIT})??(?:{GAP}{_OP}{GAP}{_N}(?:{GAP}{_UNIT})??)?[ \\n]*\\Z")


def quick(text: str, kind: Kind) -> Measure | None:
    """The quantity in a text whose shape is plain; None where only the kind's own expression can tell.

    Raises QuantityError as ``measure`` does for what is understood and cannot be.
    """
    match = _SHAPE.match(text)
    if match is None:
        return None
    first, unit, op, second, second_unit = match.groups()
    units = kind.units
    if unit is None:
        if units and not kind.alone and (op is None or second_unit is None):
            return None
    elif unit not in units:
        return None
    if second_unit is not None and second_unit not in units:
        return None
    if not kind.signed and (first[0] == "-" or (second is not None and second[0] == "-")):
        return None
    if unit is None and second_unit is not None and not kind.alone and op is None:
        return None
    return groups_to_measure((first, unit, op, second, second_unit), kind, text)


def _measure(text: str, kind: Kind) -> Measure:
    found = quick(text, kind)
    if found is not None:
        return found
    match = regex(kind.name).match(text)
    if match is None:
        from recipelint.recipe.slips import diagnose  # only for what is wrong

        raise QuantityError(diagnose(text, kind))
    return groups_to_measure(five(match.groups(), kind), kind, text)


def groups_to_measure(groups: Five, kind: Kind, text: str) -> Measure:
    """The canonical value and band from number, unit, operator, number, unit as they were written."""
    first, unit_word, op, second, second_word = groups
    units = kind.units
    unit = units[unit_word or second_word or kind.alone] if units else _ONE
    other = units[second_word] if second_word and units else unit
    a = float(first)
    low = high = None
    if op is None:
        value = _to(unit, a)
    elif op == "..":
        b = float(second or "")
        low, high = _to(unit, a), _to(other, b)
        if low > high:
            raise QuantityError(f"`{brief(text)}` runs from high to low; write the smaller one first")
        value = 0.5 * (low + high)
    else:
        value = _to(unit, a)
        low, high = _sides(unit, other, a, float(second or ""), value)
    check_possible(value, kind, text)
    if low is not None and high is not None:
        check_possible(low, kind, text, edge=True)
        check_possible(high, kind, text, edge=True)
    return Measure(value, low, high, unit.kind or _NAMES.get(kind.name, kind.name), unit.name)


_ONE = Unit("1", 1.0)
# An amount is a mass or an amount per litre, as its unit says; the callers look at ``kind``.
_NAMES = {"amount": "mass", "liquid-amount": "volume"}


def five(groups: tuple[str | None, ...], kind: Kind) -> Five:
    """Number, unit, operator, number, unit from the groups of ``body``."""
    if not kind.units:
        return groups[0] or "", None, groups[1], groups[2], None
    if kind.alone or groups[1] is not None:
        return groups[0] or "", groups[1], groups[2], groups[3], groups[4]
    return groups[0] or "", None, groups[5], groups[6], groups[7]


def _to(unit: Unit, written: float) -> float:
    if unit.curve is not None:
        # A curve is only good where it was fitted; far outside the value is implausible whatever it gives.
        return (
            unit.curve(written)
            if -50.0 < written < 1e4 and not (unit.factor == 0.004 and written > 100.0)
            else 9e99
        )
    return written * unit.factor + unit.offset


def _sides(unit: Unit, other: Unit, middle: float, half: float, value: float) -> tuple[float, float]:
    if half < 0:
        raise QuantityError(f"`± {half:g}` is below nothing; the half-width of a band is a positive number")
    if unit is other or unit.name == other.name:
        return _to(unit, middle - half), _to(unit, middle + half)
    return value - half * other.factor, value + half * other.factor


def check_possible(value: float, kind: Kind, text: str, edge: bool = False) -> None:
    """Raise ``quantity-implausible`` for what no brew can have.

    The edge of a band may leave the possible (``1 % ± 2 %``), the value may not; what lies far beyond is wrong too.
    """
    low, high = kind.low, kind.high
    if edge:
        low, high = low - abs(high - low), high + abs(high - low)
    if low <= value <= high:
        return
    said = brief(text)
    if kind.name == "gravity":
        raise QuantityError(_gravity_slip(said, text), "quantity-implausible")
    limit = kind.limit or f"no brew has {kind.wants} like that"
    raise QuantityError(f"`{said}` cannot be: {limit}", "quantity-implausible")


def _gravity_slip(said: str, text: str) -> str:
    try:
        number_written = float(text)
    except ValueError:
        return f"`{said}` cannot be: {KINDS['gravity'].limit}"
    if 980 <= number_written <= 1200:
        return f"`{said}` is a gravity in points of a thousand: did you mean `{number_written / 1000:.3f}`?"
    if 1.2 < number_written <= 40:
        return f"`{said}` cannot be a specific gravity: did you mean `{said} °P`?"
    return f"`{said}` cannot be: {KINDS['gravity'].limit}"


def reading(
    text: str | int | float, at: At | None = None, origin: str = "recipe"
) -> tuple[Quantity, str | None, Quantity | None]:
    """A gravity of a record: the gravity, the instrument if it is written, and the temperature it was read at.

    ``1.083 at 26 °C``, ``9.1 Bx refractometer``, ``1.022``. The value is as read: nothing is corrected here.
    """
    if not isinstance(text, str):
        return parse(text, "gravity", at, origin), None, None
    match = regex("reading").match(text)
    if match is None:
        from recipelint.recipe.slips import diagnose  # only for what is wrong

        if re.match("[0-9]+(?:\\.[0-9]+)? *(?:SG|°P|°?Bx)? +[a-z]", text) and len(text) <= LONGEST:
            forms = "`1.022`, `1.022 at 20 °C` or `9.1 Bx refractometer`"
            raise QuantityError(f"`{brief(text)}` is not a reading I know; write {forms}")
        raise QuantityError(diagnose(text, KINDS["gravity"]))
    groups = match.groups()
    gravity = groups_to_measure(five(groups[:5], KINDS["gravity"]), KINDS["gravity"], text)
    temperature = None
    if groups[6] is not None:
        heat = groups_to_measure(five(groups[6:], KINDS["temperature"]), KINDS["temperature"], text)
        temperature = Quantity(*heat, at, origin, text)
    return Quantity(*gravity, at, origin, text), groups[5], temperature


# Which kind a unit is taken for where nothing says what is measured: the first of these that knows it.
_ANY = (
    "share",
    "mass",
    "concentration",
    "liquid-amount",
    "long-time",
    "temperature",
    "gravity",
    "colour",
    "pressure",
    "carbonation",
    "rate",
    "absorption",
    "heating-rate",
    "cell-density",
    "cells",
    "pitch-rate",
    "ion",
    "bitterness",
    "beer-colour-srm",
    "altitude",
    "power",
    "diastatic-power",
    "abv",
)


def any_unit(text: str) -> float:
    """The canonical value of a limit of a house rule, whatever it measures: ``35 %`` is 0.35, ``4 g/L`` is 4.

    A plain number in text counts as it stands. Raises QuantityError.
    """
    if re.fullmatch(r"-?[0-9]+(?:\.[0-9]+)?", text):
        return float(text)
    for name in _ANY:
        if regex(name).match(text) is not None:
            return measure(text, name).value
    raise QuantityError(f"`{brief(text)}` is no number with a unit I know; write it like `35 %` or `0.35`")


# ------------------------------------------------------------------ what is wrong with it, in words


def number(value: float) -> str:
    """A number as it would be typed: no exponent for everyday sizes, no trailing zeros."""
    if isinstance(value, int):
        return (
            str(value)
            if abs(value) < 10**15
            else f"{float(value) if abs(value) < 10**300 else float('inf'):g}"
        )
    return repr(value) if value != int_or(value) else str(int_or(value))


def int_or(value: float) -> float:
    """The whole number nearest below, where there is one of sensible size; else the value itself."""
    return int(value) if abs(value) < 1e15 else value


def brief(text: str) -> str:
    """What was written, short and on one line, fit to stand in a sentence."""
    said = show(" ".join(text.split())).replace("{", "(").replace("}", ")").replace("`", "'")
    return said if len(said) <= 40 else said[:37] + "..."
