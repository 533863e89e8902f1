"""The closures that read one value each: a quantity, a time in words, a name, a promise."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import isfinite
from typing import Any, TypeAlias

from recipelint.recipe import forms
from recipelint.recipe.model import Expectation, Measured, Named, RuleSetting, Timing
from recipelint.recipe.quantity import (
    Quantity,
    QuantityError,
    any_unit,
    brief,
    measure,
    memory,
    parse,
    reading,
)
from recipelint.recipe.stat_names import MEASURED_ONLY, STATS
from recipelint.recipe.troubles import Job
from recipelint.recipe.units import SPOONS, stat_times
from recipelint.source.nodes import At
from recipelint.source.pointer import escape as escape

Read: TypeAlias = Callable[[Any, str, Job], Any]

_new = tuple.__new__
# Stages at which ``true`` leaves a time open that matters; in the mash or the package it says all there is.
_TIMED = frozenset(("boil", "whirlpool", "ferment", "condition", "dry_hop"))


class Rest:
    """What ``volume: rest`` means: the package takes what the others leave."""


REST = Rest()


def quantity(kind: str) -> Read:
    """A quantity of one kind."""
    known = memory(kind)
    spoons = kind == "liquid-amount"

    def read(value: Any, pointer: str, job: Job) -> Quantity | None:
        if value.__class__ is str:
            found = known.get(value)
            if found is None:
                try:
                    found = measure(value, kind)
                except QuantityError as fault:
                    job.add(fault.rule, fault.message, pointer)
                    return None
            if spoons and found.unit in SPOONS:
                _spoon_note(value, pointer, job)
            # Half of a recipe passes here: plain tuples joined, and the classes' own constructors left out.
            made: Quantity = _new(Quantity, found + (_new(At, (job.file, pointer)), job.origin, value))
            return made
        return _number(value, kind, pointer, job)

    return read


def _spoon_note(text: str, pointer: str, job: Job) -> None:
    message = f"`{brief(text)}` by the spoon can be off by half: weigh it, or write the volume in mL"
    job.add("amount-by-spoon", message, pointer, level="note")


def _number(value: Any, kind: str, pointer: str, job: Job) -> Quantity | None:
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        return None
    try:
        return parse(value, kind, At(job.file, pointer), job.origin, job.raw(pointer))
    except QuantityError as fault:
        job.add(fault.rule, fault.message, pointer)
        return None


def named(name: str, key: str) -> Read:
    """The reader of a form with words, by its name in the schema."""
    if name == "name":
        return _name(key)
    if name in ("text", "date"):
        return _text if name == "text" else _date
    if name == "rule-settings":
        return _rule_settings
    if name == "reading":
        return gravity_reading
    if name == "volume-or-rest":
        return _volume_or_rest
    if name in ("until", "oxygen-time"):
        return _checked_text(name)
    return _timing(name, key)


def _name(key: str) -> Read:
    def read(value: Any, pointer: str, job: Job) -> Named | None:
        if value.__class__ is not str:
            return None
        made: Named = _new(Named, (key, value, pointer))
        return made

    return read


def _text(value: Any, pointer: str, job: Job) -> str | None:
    """Text; a number is taken as it stands in the file: a lot 0042 and a commit 3141592 are names."""
    if value.__class__ is str:
        return str(value)
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return job.raw(pointer)
    return None


def _date(value: Any, pointer: str, job: Job) -> str | None:
    text = _text(value, pointer, job)
    if text is None:
        return None
    fault = None
    if not re.fullmatch(forms.DATE, text) or text.endswith("\n"):
        fault = f"`{brief(text)}` is not a form I can read; write a date like `2026-02-14`"
    fault = fault or forms.date_fault(text)
    if fault:
        job.add("quantity-invalid", fault, pointer)
        return None
    return text


def _timing(reader: str, key: str) -> Read:
    unknown = forms.READERS[reader].unknown
    known: dict[str, forms.Meaning] = forms.memory(reader)

    def read(value: Any, pointer: str, job: Job) -> Timing | None:
        if value.__class__ is str:
            found = known.get(value)
            if found is None:
                try:
                    found = forms.read(value, reader)
                except QuantityError as fault:
                    job.add(fault.rule, fault.message, pointer)
                    return None
            meaning, got = found
            made = (
                None
                if got is None
                else _new(Quantity, (*got, _new(At, (job.file, pointer)), job.origin, value))
            )
            timing: Timing = _new(Timing, (key, meaning, made, pointer, value))
            return timing
        if value is True and unknown:
            if key in _TIMED:
                message = f"`{key}: true` leaves the time open; with a time the numbers would be surer"
                job.add("stage-time-missing", message, pointer, level="note")
            return Timing(key, "unknown", None, pointer, "true")
        return None

    return read


def _checked_text(reader: str) -> Read:
    """Text of which only the form is checked; who needs the number in it reads it again."""

    def read(value: Any, pointer: str, job: Job) -> str | None:
        text = _text(value, pointer, job) if forms.takes_number(reader) or value.__class__ is str else None
        if text is None:
            return None
        try:
            forms.read(text, reader)
        except QuantityError as fault:
            job.add(fault.rule, fault.message, pointer)
            return None
        return text

    return read


def _volume_or_rest(value: Any, pointer: str, job: Job) -> Quantity | Rest | None:
    if value.__class__ is not str:
        return None
    try:
        found = forms.read(value, "volume-or-rest")
    except QuantityError as fault:
        job.add(fault.rule, fault.message, pointer)
        return None
    if found.measure is None:
        return REST
    return Quantity(*found.measure, At(job.file, pointer), job.origin, value)


def gravity_reading(
    value: Any, pointer: str, job: Job
) -> tuple[Quantity, str | None, Quantity | None] | None:
    """A gravity as read, with instrument and temperature; the records that hold it take it apart."""
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        return None
    try:
        return reading(value, At(job.file, pointer), job.origin)
    except QuantityError as fault:
        job.add(fault.rule, fault.message, pointer)
        return None


def _string(value: Any, pointer: str, job: Job) -> str | None:
    return value if value.__class__ is str else None


def _boolean(value: Any, pointer: str, job: Job) -> bool | None:
    return value if value.__class__ is bool else None


def _integer(value: Any, pointer: str, job: Job) -> int | None:
    # JSON Schema has one kind of number: 2.0 is an integer too.
    if value.__class__ is float and isfinite(value) and value == int(value):
        return int(value)
    return value if value.__class__ is int else None


def _float(value: Any, pointer: str, job: Job) -> float | None:
    if value.__class__ is int and abs(value) < 1e300:
        return float(value)
    if value.__class__ is float and isfinite(value):
        return float(value)
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        job.add("wrong-shape", f"`{brief(job.raw(pointer))}` is not a number I can count with", pointer)
    return None


SCALARS: dict[Any, Read] = {"string": _string, "boolean": _boolean, "integer": _integer, "number": _float}


def within(read: Read, node: dict[str, Any]) -> Read:
    """A scalar's reader that gives nothing for what lies outside the bounds that its schema states."""
    words = frozenset(node["enum"]) if "enum" in node else None
    least, most = node.get("minimum"), node.get("maximum")
    above = node.get("exclusiveMinimum")
    if words is None and least is None and most is None and above is None and not node.get("minLength"):
        return read

    def bounded(value: Any, pointer: str, job: Job) -> Any:
        if value.__class__ is str:
            if not value or (words is not None and value not in words):
                return None
        elif words is not None:
            return None
        elif value.__class__ is int or value.__class__ is float:
            if (least is not None and value < least) or (most is not None and value > most):
                return None
            if above is not None and value <= above:
                return None
        return read(value, pointer, job)

    return bounded


def formed(read: Read, pattern: str) -> Read:
    """A reader that gives nothing for text without the form that its schema states."""
    search = re.compile(pattern).search

    def matched(value: Any, pointer: str, job: Job) -> Any:
        if value.__class__ is str and search(value) is None:
            return None
        return read(value, pointer, job)

    return matched


def plain_map(value: Any, pointer: str, job: Job) -> dict[str, Any] | None:
    """A map that stays a map; what is in it only the schema knows."""
    job.doubt = True
    return value if value.__class__ is dict else None


def sequence(inner: Read) -> Read:
    """A list, as a tuple without what could not be read."""

    def read(value: Any, pointer: str, job: Job) -> tuple[Any, ...] | None:
        if value.__class__ is not list:
            return None
        made = [inner(each, f"{pointer}/{index}", job) for index, each in enumerate(value)]
        kept = tuple([each for each in made if each is not None])
        if not kept or len(kept) != len(made):
            job.doubt = True
        return kept

    return read


def one_or_list(inner: Read) -> Read:
    """One map or a list of maps: a tuple either way."""
    many = sequence(inner)

    def read(value: Any, pointer: str, job: Job) -> tuple[Any, ...] | None:
        if value.__class__ is list:
            made: tuple[Any, ...] | None = many(value, pointer, job)
            return made
        one = inner(value, pointer, job)
        return None if one is None else (one,)

    return read


_SIDES = (("at least", 0), ("at most", 1))


def promise(value: Any, kind: str) -> tuple[float | None, float | None, float | None]:
    """Low side, high side and value of a promise, canonical. Raises QuantityError.

    A bare number is both sides and the value; of ``a .. b`` there is no value; ``at least a`` has one side.
    """
    if isinstance(value, str):
        for words, side in _SIDES:
            if value.startswith(words + " "):
                edge = parse(value[len(words) :].strip(), kind).value
                return (edge, None, None) if side == 0 else (None, edge, None)
    found = parse(value, kind)
    if found.low is None:
        return found.value, found.value, found.value
    return found.low, found.high, None if isinstance(value, str) and ".." in value else found.value


def promises(kinds: dict[str, str]) -> Read:
    """``expect:`` as a tuple of expectations, in the order of the file."""
    times = {name: stat_times(STATS[name].unit) for name in kinds}

    def read(value: Any, pointer: str, job: Job) -> tuple[Expectation, ...] | None:
        if value.__class__ is not dict:
            return None
        out = []
        for name, said in value.items():
            if name not in kinds or isinstance(said, bool) or not isinstance(said, (str, int, float)):
                job.doubt = True
                continue
            place = f"{pointer}/{name}"
            try:
                sides = promise(said, kinds[name])
            except QuantityError as fault:
                job.add(fault.rule, fault.message, place)
                continue
            low, high, middle = (None if side is None else side * times[name] for side in sides)
            text = said if isinstance(said, str) else job.raw(place)
            out.append(Expectation(place, name, low, high, middle, text))
        return tuple(out)

    return read


def measured(kinds: dict[str, str], read_one: Read) -> Read:
    """``measured:`` of a record; the readings of the fermentation are handed to the record through the job."""
    table = {**STATS, **MEASURED_ONLY}
    read_all = sequence(read_one)
    reads = {
        name: gravity_reading if kind == "reading" else quantity(kind)
        for name, kind in kinds.items()
        if name in table
    }

    def read(value: Any, pointer: str, job: Job) -> tuple[Measured, ...] | None:
        if value.__class__ is not dict:
            return None
        out = []
        for name, said in value.items():
            place = f"{pointer}/{name}"
            if name == "readings":
                readings = read_all(said, place, job)
                if readings is None:
                    job.doubt = True
                job.readings = readings or ()
            elif name in reads:
                got = reads[name](said, place, job)
                if got is not None:
                    out.append(_measurement(name, got, stat_times(table[name].unit), place))
                else:
                    job.doubt = True
            else:
                job.doubt = True
        return tuple(out)

    return read


def _measurement(name: str, got: Any, times: float, place: str) -> Measured:
    if got.__class__ is tuple:
        gravity, instrument, temperature = got
        return Measured(name, gravity, place, temperature, instrument)
    if times != 1.0:
        low, high = (None if side is None else side * times for side in (got.low, got.high))
        got = got._replace(value=got.value * times, low=low, high=high)
    return Measured(name, got, place)


def _rule_settings(value: Any, pointer: str, job: Job) -> tuple[RuleSetting, ...] | None:
    job.doubt = True
    if value.__class__ is not dict:
        return None
    out = []
    for rule, said in value.items():
        place = f"{pointer}/{escape(rule)}"
        if isinstance(said, str):
            out.append(RuleSetting(place, rule, said))
        elif isinstance(said, dict):
            limits = {key: each for key, each in said.items() if key not in ("level", "styles")}
            styles = said.get("styles")
            given = styles if isinstance(styles, dict) else {}
            by_style = {
                style: _limits(each, f"{place}/styles/{escape(style)}", job)
                for style, each in given.items()
                if isinstance(each, dict)
            }
            level = said.get("level")
            name = level if isinstance(level, str) else None
            out.append(RuleSetting(place, rule, name, _limits(limits, place, job), by_style))
    return tuple(out)


def _limits(given: dict[str, Any], place: str, job: Job) -> dict[str, float | str]:
    """The limits as written; the rule that they belong to knows the unit."""
    out: dict[str, float | str] = {}
    for key, said in given.items():
        where = f"{place}/{escape(key)}"
        if isinstance(said, (int, float)) and not isinstance(said, bool):
            number = _float(said, where, job)
            if number is not None:
                out[key] = number
        elif isinstance(said, str):
            try:
                any_unit(said)
                out[key] = said
            except QuantityError as fault:
                job.add(fault.rule, fault.message, where)
    return out
