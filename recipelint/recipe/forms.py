"""Values with words in them: ``last 15 min``, ``below 1.045``, ``5 d before package``, ``still 3 d``, ``rest``.

One table of forms gives the readers and the patterns of the schemas. A form is words, a quantity, words.
"""

import re
from typing import NamedTuple

from recipelint.recipe.quantity import (
    GAP,
    LONGEST,
    REMEMBERED,
    Measure,
    QuantityError,
    body,
    brief,
    five,
    groups_to_measure,
    quick,
    ungrouped,
)
from recipelint.recipe.units import KINDS


class Form(NamedTuple):
    """Words before, the kind of quantity between them (or None), words after, and what it means."""

    before: str
    kind: str | None
    after: str
    meaning: str


class Reader(NamedTuple):
    """The forms one key takes; ``known`` says whether ``true`` may stand for a time that is not known."""

    forms: tuple[Form, ...]
    unknown: bool
    like: str


_TRUE_ONLY = Reader((), True, "`true`")

READERS: dict[str, Reader] = {
    "mash-time": Reader(
        (Form("last", "time", "", "before-end"),), True, "`last 15 min`, or `true` for the whole mash"
    ),
    "first-wort-time": _TRUE_ONLY,
    "sparge-time": _TRUE_ONLY,
    "package-time": _TRUE_ONLY,
    "boil-time": Reader(
        (Form("", "time", "", "before-end"),), True, "`10 min`, counted to flame-out, or `true`"
    ),
    "contact-time": Reader((Form("", "time", "", "contact"),), True, "`20 min`, or `true`"),
    "liquor-time": Reader((Form("all", None, "", "all"),), False, "`all`"),
    "ferment-time": Reader(
        (
            Form("below", "gravity", "", "gravity"),
            Form("", "long-time", "", "day"),
            Form("when still", None, "", "still"),
            Form("", "long-time", "after previous", "after-previous"),
            Form("", "long-time", "before package", "before-package"),
        ),
        True,
        "`3 d`, `below 1.045`, `when still` or `true`",
    ),
    "dry-hop-time": Reader(
        (
            Form("", "long-time", "before package", "before-package"),
            Form("", "long-time", "", "day"),
            Form("when still", None, "", "still"),
            Form("below", "gravity", "", "gravity"),
            Form("", "long-time", "after previous", "after-previous"),
        ),
        True,
        "`5 d before package`, `3 d`, `when still` or `true`",
    ),
    "condition-time": Reader(
        (
            Form("after", "long-time", "", "after"),
            Form("", "long-time", "before package", "before-package"),
            Form("", "long-time", "after previous", "after-previous"),
        ),
        True,
        "`after 2 months`, or `true`",
    ),
    "oxygen-time": Reader(
        (
            Form("pitching", None, "", "pitching"),
            Form("", "long-time", "", "day"),
            Form("", "long-time", "after pitching", "day"),
        ),
        False,
        "`pitching`, or `12 h` after it",
    ),
    "until": Reader(
        (
            Form("still", None, "", "still"),
            Form("still", "long-time", "", "still-for"),
            Form("below", "gravity", "", "gravity"),
            Form("", "gravity", "", "gravity"),
        ),
        False,
        "`still 3 d` or `below 1.020`",
    ),
    "volume-or-rest": Reader(
        (Form("rest", None, "", "rest"), Form("", "volume", "", "volume")), False, "`9 L` or `rest`"
    ),
}
_GAPS = " \u00a0\u202f\u205f\u3000" + "".join(map(chr, range(0x2002, 0x200B)))
_NUMBERS = frozenset(("until",))

DATE = "^[0-9]{4}(?:-[0-9]{2}(?:-[0-9]{2})?)?$"


class Meaning(NamedTuple):
    """What a form says: its meaning and the quantity in it."""

    meaning: str
    measure: Measure | None


def _expression(form: Form) -> str:
    before = form.before + (f" {GAP}" if form.before and form.kind else "")
    after = (f" {GAP}" if form.kind else "") + form.after if form.after else ""
    return f"{before}{body(KINDS[form.kind]) if form.kind else ''}{after}"


def pattern(reader: str) -> str:
    """The JSON Schema pattern of the text this reader takes; a reader of ``true`` alone takes no text."""
    forms = READERS[reader].forms
    if not forms:
        return "^true$"
    return f"^(?:{'|'.join(ungrouped(_expression(form)) for form in forms)})[ \\n]*$"


def takes_number(reader: str) -> bool:
    """Whether a bare number is a form (a gravity after which a step ends)."""
    return reader in _NUMBERS


_compiled: dict[str, tuple[tuple[Form, re.Pattern[str]], ...]] = {}


_remembered: dict[str, dict[str, Meaning]] = {}


def memory(reader: str) -> dict[str, Meaning]:
    """What this reader has read so far, by its text."""
    return _remembered.setdefault(reader, {})


def read(text: str, reader: str) -> Meaning:
    """What the text says; read once and remembered. Raises QuantityError with the forms that would do."""
    known = memory(reader)
    found = known.get(text)
    if found is None:
        found = _read(text, reader)
        if len(known) >= REMEMBERED:
            known.clear()
        known[text] = found
    return found


def waits_until_still(until: str | None) -> bool:
    """Whether the ``until`` of a step means that the gravity no longer moves."""
    return until is not None and read(until, "until").meaning != "gravity"


def _plainly(text: str, form: Form) -> Meaning | None:
    """What the text says if it is this form, plainly written; None where only the expression can tell."""
    rest = text.rstrip(" \n")
    if form.kind is None:
        return Meaning(form.meaning, None) if rest == form.before else None
    if form.before:
        if not rest.startswith(form.before + " "):
            return None
        rest = rest[len(form.before) :].lstrip(_GAPS)
    if form.after:
        if not rest.endswith(" " + form.after):
            return None
        rest = rest[: -len(form.after)].rstrip(" ")
    found = quick(rest, KINDS[form.kind])
    return Meaning(form.meaning, found) if found is not None else None


def _read(text: str, reader: str) -> Meaning:
    for form in READERS[reader].forms:
        meaning = _plainly(text, form)
        if meaning is not None:
            return meaning
    table = _compiled.get(reader)
    if table is None:
        forms = READERS[reader].forms
        table = _compiled[reader] = tuple(
            (form, re.compile(f"(?:{_expression(form)})[ \\n]*\\Z")) for form in forms
        )
    for form, regex in table:
        match = regex.match(text)
        if match is not None:
            kind = KINDS[form.kind] if form.kind else None
            measure = groups_to_measure(five(match.groups(), kind), kind, text) if kind else None
            return Meaning(form.meaning, measure)
    raise QuantityError(diagnose(text, reader))


def diagnose(value: object, reader: str) -> str:
    """Why a value is none of the forms, as a sentence with those that are near."""
    from recipelint.recipe.slips import needs_unit  # only for what is wrong

    spec = READERS[reader]
    if isinstance(value, bool):
        return f"`{str(value).lower()}` does not say when; write {spec.like}"
    kinds = [form.kind for form in spec.forms if form.kind and not KINDS[form.kind].alone]
    if isinstance(value, (int, float)):
        if kinds:
            return needs_unit(value, KINDS[kinds[0]])
        return f"`{value}` is not a form I can read; write {spec.like}"
    text = " ".join(str(value).split())
    if re.fullmatch(r"[0-9]+(\.[0-9]+)?", text) and kinds:
        return needs_unit(float(text), KINDS[kinds[0]])
    if text == "true" and spec.unknown:
        return "`true` stands in quotes here; write true without them"
    for form in spec.forms if len(text) <= LONGEST else ():
        meant = f"{form.before} {text} {form.after}".strip()
        if form.kind and meant != text and re.fullmatch(_expression(form), meant):
            return f"`{brief(text)}` is not a form I can read: did you mean `{meant}`?"
    return f"`{brief(text)}` is not a form I can read; write {spec.like}"


def date_fault(text: str) -> str | None:
    """Why a text of digits and hyphens is no date of the calendar, or None if it is one (year, month, day)."""
    parts = [int(part) for part in text.split("-")]
    year = parts[0]
    if not 1900 <= year <= 2200:
        return f"`{text}` has no sensible year; write it like `2026-02-14`"
    if len(parts) > 1 and not 1 <= parts[1] <= 12:
        return f"`{text}` has no such month; write it as year, month, day, like `2026-02-14`"
    if len(parts) > 2:
        leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
        days = (31, 29 if leap else 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)[parts[1] - 1]
        if not 1 <= parts[2] <= days:
            return f"`{text}` is no day of the calendar: that month has {days}"
    return None
