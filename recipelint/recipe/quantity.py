"""Quantities as a brewer writes them: a number, a unit, and how sure the brewer is.

``4.5 kg``, ``78 % ± 3 %``, ``72 .. 80 %``, ``31 L hot``, ``1.048``. The regular expressions are built from the
table of units, the same from which the schemas get their patterns.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from recipelint.recipe.units import KINDS, Kind, Unit
from recipelint.source.nodes import At
from recipelint.source.text import show

_N = r"(-?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+))"
# Pages on the web and some keyboards put a no-break space between number and unit.
GAP = "[ \u00a0\u202f]*"
_OP = r"(±|\+/-|\.\.)"
_END = r"[ \n]*$"
READING_REFRACTOMETER = "refractometer"
REMEMBERED = 2048


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
    out = re.sub(r"(?<!\\)\((?!\?)", "(?:", text)
    return out


def pattern(kind: str) -> str:
    """The JSON Schema pattern of what ``parse`` accepts as text for this kind."""
    inner = _reading() if kind == "reading" else body(KINDS[kind])
    return f"^(?:{ungrouped(inner)}){_END}"


_compiled: dict[str, re.Pattern[str]] = {}


def _regex(kind: str) -> re.Pattern[str]:
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


def parse(text: str | int | float, kind: str, at: At | None = None, origin: str = "recipe") -> Quantity:
    """A quantity from what stands in a file: text, or a bare number where the kind needs no unit.

    Raises QuantityError in the words of a friend: what was written, and what was probably meant.
    """
    if isinstance(text, str):
        return Quantity(*measure(text, kind), at, origin, text)
    if isinstance(text, bool):
        raise QuantityError(f"`{str(text).lower()}` is not {KINDS[kind].wants}; write it like `{KINDS[kind].example}`")
    spec = KINDS[kind]
    if not spec.alone:
        raise QuantityError(needs_unit(text, spec))
    value = float(text) if abs(text) < 1e300 else float("inf")
    check_possible(value, spec, number(text))
    return Quantity(value, None, None, kind, spec.alone, at, origin, number(text))


def _measure(text: str, kind: Kind) -> Measure:
    match = _regex(kind.name).match(text)
    if match is None:
        raise QuantityError(diagnose(text, kind))
    return groups_to_measure(match.groups(), kind, text)


def groups_to_measure(groups: tuple[str | None, ...], kind: Kind, text: str) -> Measure:
    """The canonical value and band from the groups of ``body``."""
    first, unit_word, op, second, second_word = _five(groups, kind)
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


def _five(groups: tuple[str | None, ...], kind: Kind) -> tuple[str, str | None, str | None, str | None, str | None]:
    if not kind.units:
        return groups[0] or "", None, groups[1], groups[2], None
    if kind.alone or groups[1] is not None:
        return groups[0] or "", groups[1], groups[2], groups[3], groups[4]
    return groups[0] or "", None, groups[5], groups[6], groups[7]


def _to(unit: Unit, written: float) -> float:
    if unit.curve is not None:
        # A curve is only good where it was fitted; far outside the value is implausible whatever it gives.
        return unit.curve(written) if -50.0 < written < 1e4 and not (unit.factor == 0.004 and written > 100.0) else 9e99
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


def reading(text: str | int | float, at: At | None = None, origin: str = "recipe") -> tuple[Quantity, str | None, Quantity | None]:
    """A gravity of a record: the gravity, the instrument if it is written, and the temperature it was read at.

    ``1.083 at 26 °C``, ``9.1 Bx refractometer``, ``1.022``. The value is as read: nothing is corrected here.
    """
    if not isinstance(text, str):
        return parse(text, "gravity", at, origin), None, None
    match = _regex("reading").match(text)
    if match is None:
        raise QuantityError(diagnose(text, KINDS["gravity"]))
    groups = match.groups()
    gravity = groups_to_measure(groups[:5], KINDS["gravity"], text)
    temperature = None
    if groups[6] is not None:
        temperature = Quantity(*groups_to_measure(groups[6:], KINDS["temperature"], text), at, origin, text)
    return Quantity(*gravity, at, origin, text), groups[5], temperature


# Which kind a unit is taken for where nothing says what is measured: the first of these that knows it.
_ANY = ("share", "mass", "concentration", "liquid-amount", "long-time", "temperature", "gravity", "colour", "pressure",
        "carbonation", "rate", "absorption", "heating-rate", "cell-density", "cells", "pitch-rate", "ion", "bitterness",
        "beer-colour-srm", "altitude", "power", "diastatic-power", "abv")


def any_unit(text: str) -> float:
    """The canonical value of a limit of a house rule, whatever it measures: ``35 %`` is 0.35, ``4 g/L`` is 4.

    A plain number in text counts as it stands. Raises QuantityError.
    """
    if re.fullmatch(r"-?[0-9]+(?:\.[0-9]+)?", text):
        return float(text)
    for name in _ANY:
        if _regex(name).match(text) is not None:
            return measure(text, name).value
    raise QuantityError(f"`{brief(text)}` is no number with a unit I know; write it like `35 %` or `0.35`")


# ------------------------------------------------------------------ what is wrong with it, in words


def number(value: float) -> str:
    """A number as it would be typed: no exponent for everyday sizes, no trailing zeros."""
    if isinstance(value, int):
        return str(value) if abs(value) < 10**15 else f"{float(value) if abs(value) < 10**300 else float('inf'):g}"
    return repr(value) if value != int_or(value) else str(int_or(value))


def int_or(value: float) -> float:
    """The whole number nearest below, where there is one of sensible size; else the value itself."""
    return int(value) if abs(value) < 1e15 else value


def brief(text: str) -> str:
    """What was written, short and on one line, fit to stand in a sentence."""
    said = show(" ".join(text.split())).replace("{", "(").replace("}", ")").replace("`", "'")
    return said if len(said) <= 40 else said[:37] + "..."


def needs_unit(value: float, kind: Kind) -> str:
    """The sentence for a number that lacks its unit, with the likely one."""
    said = number(value)
    if value < 0 and not kind.signed:
        return f"`{said}` is below nothing; {kind.wants} is wanted, such as `{kind.example}`"
    if not (abs(value) < 1e12):
        return f"`{said}` is no {kind.wants.split(' ', 1)[1]}; write it like `{kind.example}`"
    return f"`{said}` needs a unit: did you mean `{_likely(value, kind)}`?"


def _likely(value: float, kind: Kind) -> str:
    unit = kind.likely
    if kind.name == "mass":
        unit = "g" if value >= 20 else "kg"
    elif kind.name in ("volume", "liquid-amount"):
        unit = "mL" if value >= 200 or kind.name == "liquid-amount" else "L"
    elif unit == "%" and value <= 1:
        return f"{float(f'{value * 100:.10g}'):g} %"
    return f"{number(value)} {unit}"


def diagnose(text: str, kind: Kind) -> str:
    """Why the text is no quantity of the kind, as one sentence with a way out."""
    said = brief(text)
    bare = " ".join(text.split())
    if not bare:
        return f"nothing is written here; {kind.wants} is wanted, such as `{kind.example}`"
    if re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", bare) and kind.units and not kind.alone:
        return needs_unit(float(bare) if "." in bare else int(bare[:400]), kind)
    for repaired in _repairs(bare, kind):
        if _regex(kind.name).match(repaired):
            return f"`{said}` is not a form I can read: did you mean `{repaired}`?"
    if bare.startswith("-") and not kind.signed and _regex(kind.name).match(bare[1:].strip()):
        return f"`{said}` is below nothing; {kind.wants} is wanted, such as `{kind.example}`"
    other = _other_kind(bare, kind)
    if other is not None:
        return f"`{said}` is {other.wants}; {kind.wants} is wanted, such as `{kind.example}`"
    return _unknown_unit(bare, said, kind)


def _repairs(text: str, kind: Kind) -> list[str]:
    """The usual slips undone: a comma for the point, a dash for the range, words for a plus-minus, letter case."""
    point = re.sub(r"(?<=[0-9]),(?=[0-9])", ".", text)
    ranged = re.sub(r"(?<=[0-9%°CFgLl])\s*(?:-|–|—|\bto\b|…|\.\.\.)\s*(?=[0-9])", " .. ", point)
    about = re.sub(r"^(?:~|ca\.?|circa|about|approx\.?|approximately)\s*", "", point)
    plus = re.sub(r"\s*(?:\+-|-\+|\bplus or minus\b)\s*", " ± ", point)
    out = [point, ranged, plus, about]
    match = re.fullmatch(r"(-?[0-9.]+)\s*(\D.*)", point)
    if match:
        for word in kind.units:
            if word.lower() == match[2].lower():
                out.append(f"{match[1]} {word}")
    return [candidate for candidate in out if candidate != text and len(candidate) <= 60]


def _other_kind(text: str, kind: Kind) -> Kind | None:
    for name, other in KINDS.items():
        if other is not kind and other.units and not other.alone and name not in ("amount", "liquid-amount", "percent"):
            match = _regex(name).match(text)
            if match is not None and not _shares_unit(match.groups(), kind):
                return other
    return None


def _shares_unit(groups: tuple[str | None, ...], kind: Kind) -> bool:
    return any(word in kind.units for word in groups if word)


def _unknown_unit(text: str, said: str, kind: Kind) -> str:
    match = re.match(r"-?[0-9.]+\s*([^0-9\s.±+-].*)", text)
    what = kind.wants.split(" ", 1)[1]
    if match and kind.units:
        import difflib

        word = match[1].strip()
        lower = {unit.lower(): unit for unit in kind.units}
        near = difflib.get_close_matches(word.lower(), list(lower), n=1, cutoff=0.6)
        if near:
            return f"`{said}`: I know no unit `{brief(word)[:20]}` for {kind.wants}; `{lower[near[0]]}` is near"
        return f"`{said}`: I know no unit `{brief(word)[:20]}` for {kind.wants}; write it like `{kind.example}`"
    return f"`{said}` is no {what}; write it like `{kind.example}`"
