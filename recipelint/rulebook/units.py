"""The units in which facts are held: how they are shown, and how a limit is read.

Facts and limits are plain numbers in one canonical unit each. A limit in a file of rules may be written in
any unit of the same kind (``15 %``, ``2 weeks``, ``20 °F``); the unit of the measure says which kind is
meant.
"""

from __future__ import annotations

from collections.abc import Callable

from recipelint.recipe.quantity import QuantityError, measure
from recipelint.recipe.stat_names import StatSpec, resolution
from recipelint.recipe.units import KINDS

# Canonical unit of a fact -> the kind of quantity a limit on it is written in. A fact in grams is held in
# grams, while quantities of mass come in kilograms.
_KIND_OF = {
    "1": "percent",
    "% vol": "abv",
    "% weight": "abw",
    "kg": "mass",
    "g": "mass",
    "L": "volume",
    "min": "time",
    "h": "long-time",
    "°C": "temperature",
    "K": "temperature-difference",
    "SG": "gravity",
    "g/L": "concentration",
    "mg/L": "ion",
    "L/kg": "absorption",
    "bar": "pressure",
    "vol": "carbonation",
    "EBC": "colour",
    "SRM": "beer-colour-srm",
    "IBU": "bitterness",
    "°Lintner": "diastatic-power",
}


# Unit -> (US unit, conversion, change of decimals). Factors: international pound 0.45359237 kg, US gallon
# 3.785411784 L, both exact by definition (NIST Special Publication 811, appendix B).
US: dict[str, tuple[str, Callable[[float], float], int]] = {
    "L": ("gal", lambda x: x / 3.785411784, 1),
    "kg": ("lb", lambda x: x / 0.45359237, 0),
    "g": ("oz", lambda x: x / 28.349523125, 1),
    "°C": ("°F", lambda x: x * 1.8 + 32.0, -1),
    "K": ("°F", lambda x: x * 1.8, 0),  # a difference
    "g/L": ("oz/gal", lambda x: x * 3.785411784 / 28.349523125, 1),
    "L/kg": ("qt/lb", lambda x: x * 0.45359237 / 0.946352946, 0),
    "bar": ("psi", lambda x: x * 14.503773773, -1),
}
OUNCES = 16.0  # in a pound
FLUID_OUNCES = 128.0  # in a US gallon


class shown_in:
    """While it lasts, ``show`` speaks in these units: metric, or us. Facts and limits stay as they are."""

    __slots__ = ("_before", "_units")
    now = "metric"

    def __init__(self, units: str | None) -> None:
        self._units = units or "metric"
        self._before = "metric"

    def __enter__(self) -> None:
        self._before, shown_in.now = shown_in.now, self._units

    def __exit__(self, *_: object) -> None:
        shown_in.now = self._before


def kind_of(unit: str | None) -> str | None:
    """The kind of quantity in which a limit on a fact of this unit can be written; ``None`` for plain
    numbers.
    """
    return _KIND_OF.get(unit or "")


def example_of(unit: str | None) -> str:
    """How a limit in this unit is written, for a message."""
    kind = kind_of(unit)
    return f"a quantity such as `{KINDS[kind].example}`" if kind else "a plain number"


def parse_limit(value: object, unit: str | None) -> float | None:
    """A limit in the canonical unit: a bare number as it is, ``15 %`` converted; ``None`` if it cannot be
    read so.
    """
    if isinstance(value, bool):
        return None
    if isinstance(value, (int, float)):
        return float(value) if abs(value) < 1e15 else None
    kind = kind_of(unit)
    if not isinstance(value, str) or kind is None:
        return None
    try:
        return measure(value, kind).value * (1000.0 if unit == "g" else 1.0)
    except QuantityError:
        return None


def written_plainly(value: object, unit: str | None) -> bool:
    """Whether a limit can be read and nothing in it is guessed at.

    A number alone is in the canonical unit, but where that is a share, whoever writes 30 means percent, and where
    it is hours, whoever writes 2 may mean weeks.
    """
    if isinstance(value, (int, float)):
        if unit in ("1", "% vol", "% weight") and abs(value) > 1.0:
            return False
        if unit in ("h", "min") and value != 0:
            return False
    return parse_limit(value, unit) is not None


def show(value: object, unit: str | None, digits: int | None = None) -> str:
    """A fact in words: ``33 %``, ``1.064``, ``12 g/L``, ``3 weeks``; ``unknown`` for ``None``. See ``shown_in``.

    ``digits`` are the decimals of a stat as it is written everywhere; without them three figures are shown.
    """
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (tuple, list)):
        return listed([str(item) for item in value])
    if not isinstance(value, (int, float)):
        return str(value)
    return _show_number(float(value), unit, digits)


def _show_number(value: float, unit: str | None, digits: int | None) -> str:
    if unit in US and shown_in.now == "us":
        return _show_us(value, unit, digits)
    if unit == "1":
        percent = value * 100.0
        return f"{f'{percent:.1f}'.removesuffix('.0') if abs(percent) >= 0.95 else figures(percent)} %"
    if unit in ("% vol", "% weight"):
        return f"{value * 100.0:.1f} {unit}"
    if unit == "SG":
        return f"{value:.3f}"
    if unit == "h":
        return _show_time(value)
    if unit == "min":
        return f"{figures(value)} min"
    if unit == "kg" and abs(value) < 1.0:
        return (
            f"{figures(value * 1000.0)} g"
            if abs(value) >= 0.0001 or value == 0
            else f"{figures(value * 1e6)} mg"
        )
    if unit == "L" and 0 < abs(value) < 0.1:
        return f"{figures(value * 1000.0)} mL"
    if unit == "g/L" and 0 < abs(value) < 0.001:
        return f"{figures(value * 1000.0)} mg/L"
    if unit == "count":
        return figures(value)
    number = f"{value:.{digits}f}" if digits is not None else figures(value)
    return f"{number} {unit}" if unit and unit != "x" else number


def _show_us(value: float, unit: str, digits: int | None) -> str:
    """In pounds, gallons and °F; what is under a pound in ounces, what is under a tenth of a litre in fluid ounces."""
    other, convert, change = US[unit]
    number = convert(value)
    if unit == "kg" and abs(number) < 1.0:
        return f"{figures(number * OUNCES)} oz"
    if unit == "L" and 0 < abs(value) < 0.1:
        return f"{figures(number * FLUID_OUNCES)} fl oz"
    text = f"{number:.{max(digits + change, 0)}f}" if digits is not None else figures(number)
    return f"{text} {other}"


def _show_time(hours: float) -> str:
    for size, word in ((729.6, "month"), (168.0, "week"), (24.0, "day")):
        count = hours / size
        if count >= (3 if word == "month" else 2 if word == "week" else 1):
            text = figures(round(count, 1))
            return f"{text} {word}{'' if text == '1' else 's'}"
    return f"{figures(hours)} h"


def figures(value: float) -> str:
    """Three figures, without trailing zeros and never in powers of ten."""
    if value == 0:
        return "0"
    size = abs(value)
    places = 0 if size >= 99.95 else 1 if size >= 9.995 else 2
    if size < 0.9995:
        places = 3
        while places < 8 and round(size, places) < 10 ** -(places - 2):
            places += 1
    text = f"{value:.{places}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"


def listed(words: list[str], most: int = 3) -> str:
    """``a, b and c``; more than ``most`` become ``a, b and 4 more``."""
    if len(words) > most:
        words = [*words[: most - 1], f"{len(words) - most + 1} more"]
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def pair(low: float, high: float, spec: StatSpec) -> str:
    """Two values of a stat with the unit once: ``30 to 50 IBU``, ``1.080 to 1.120``."""
    first, second = show(low, spec.unit, spec.digits), show(high, spec.unit, spec.digits)
    number, space, unit = first.partition(" ")
    return f"{number if space and second.endswith(' ' + unit) else first} to {second}"


def far(off: float, spec: StatSpec) -> str:
    """How far a stat is from an edge: gravity in points, everything else as it is written."""
    if spec.unit == "SG":
        points = abs(off) * 1000.0
        return (
            f"{points:.0f} points" if points >= 1.5 else "1 point" if points >= 0.75 else "less than a point"
        )
    if abs(off) < resolution(spec):
        return "barely"
    # A difference of temperatures has no zero of its own.
    unit = "K" if spec.unit == "°C" and shown_in.now == "us" else spec.unit
    return show(abs(off), unit, spec.digits)
