"""Findings as text: ``file:line:column: level: message [rule]``, one line each, with the related places below.

On a terminal the source line follows, with the place marked. The last line counts in words.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from recipelint.report.screen import Look, clean, marked_line, paint
from recipelint.report.tally import Tally, everything, tally

if TYPE_CHECKING:
    from recipelint.workspace.workspace import FileReport, Place, Placed


def findings_text(
    reports: Sequence[FileReport],
    book: Sequence[Placed] = (),
    look: Look = Look(),  # noqa: B008 - a NamedTuple never changes
    in_sight: Collection[str] = (),
) -> str:
    """All findings, a blank line between them when source lines are shown. Empty when there are none.

    An accepted finding is left out, unless its rule is one of ``in_sight``: those warn of harm and stay in sight.
    """
    told: set[str] = set()
    blocks = [
        finding_text(placed, look, told)
        for placed in everything(reports, book)
        if placed.finding.accepted is None or placed.finding.rule in in_sight
    ]
    if not blocks:
        return ""
    return ("\n\n" if look.excerpt else "\n").join(blocks) + "\n"


def finding_text(placed: Placed, look: Look, told: set[str] | None = None) -> str:
    """One finding; its caution too, unless it is among those already told, to which it is added."""
    finding = placed.finding
    level = "note" if finding.accepted is not None else finding.level
    message = clean(finding.message)
    if finding.accepted is not None:
        message += f" (accepted: {clean(finding.accepted)})"
    head = f"{_where(placed.place, look)} {paint(level + ':', level, look)} {message} [{finding.rule}]"
    lines = [head]
    if look.excerpt:
        lines += _excerpt(placed.place, level, look)
        if finding.remedy:
            lines.append(f"        {clean(finding.remedy)}")
    if finding.caution and finding.caution not in (told or ()):
        lines += _caution(finding.caution, look)
        if told is not None:
            told.add(finding.caution)
    for note, place in placed.related:
        lines.append(f"    {_where(place, look)} {paint('note:', 'note', look)} {clean(note)}")
        if look.excerpt:
            lines += _excerpt(place, "note", look)
    return "\n".join(lines)


def _caution(ident: str, look: Look) -> list[str]:
    """The usual caution of what can hurt someone; it stands with its finding however that is looked at."""
    from recipelint.rulebook.explain import caution_text

    text = clean(caution_text(ident))
    if not text:
        return []
    if not look.excerpt:
        return [f"    caution: {text}"]
    import textwrap

    return textwrap.wrap(f"Caution: {text}", 100, initial_indent="        ", subsequent_indent="        ")


def _where(place: Place, look: Look) -> str:
    line, column = place.start
    name = clean(place.file) if place.file else "recipelint"
    return paint(f"{name}:{line}:{column}:" if place.file else f"{name}:", "strong", look)


def _excerpt(place: Place, level: str, look: Look) -> list[str]:
    if not place.excerpt.strip():
        return []
    line, column = place.start
    last = place.end[1] if place.end[0] == line else len(place.excerpt) + 1
    text, marks = marked_line(place.excerpt, column, last)
    return [f"{line:>6} | {text}", f"       | {paint(marks, level, look)}"]


def summary_text(counted: Tally) -> str:
    """The last line: what was looked at and what was found, in words. "3 recipes, 1 warning, 1 note"."""
    parts = [count(counted.recipes, "recipe")]
    if counted.others:
        parts.append(count(counted.others, "other file"))
    found = [
        count(number, word)
        for number, word in ((counted.error, "error"), (counted.warning, "warning"), (counted.note, "note"))
        if number
    ]
    parts += found or ["no findings"]
    if counted.accepted:
        parts.append(f"{counted.accepted} accepted")
    if counted.unreadable:
        parts.append(f"{count(counted.unreadable, 'file')} not readable")
    if counted.left_alone:
        parts.append(f"{count(counted.left_alone, 'file')} left alone")
    return ", ".join(parts) + "\n"


def count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def check_text(
    reports: Sequence[FileReport],
    book: Sequence[Placed] = (),
    look: Look = Look(),  # noqa: B008
    in_sight: Collection[str] = (),
) -> str:
    """What ``check`` prints: the findings, then the counting line."""
    findings = findings_text(reports, book, look, in_sight)
    gap = "\n" if findings and look.excerpt else ""
    return findings + gap + summary_text(tally(reports, book))
