"""Where findings lie in the text: pointers become lines and columns here and nowhere else."""

from collections.abc import Callable
from typing import NamedTuple

from recipelint.rulebook.findings import Finding
from recipelint.source.nodes import At, Document, Problem, Span


class Place(NamedTuple):
    """A stretch of a file.

    Line and column from 1, end exclusive; ``excerpt`` is the text of the first line.
    """

    file: str
    path: str
    start: tuple[int, int]
    end: tuple[int, int]
    excerpt: str


class Placed(NamedTuple):
    """A finding with its place, and the places that belong to it."""

    finding: Finding
    place: Place
    related: tuple[tuple[str, Place], ...]


Open = Callable[[str], Document | None]


def place_of(at: At, open_document: Open, *, key: bool = False) -> Place:
    """The place that a pointer underlines; the top of the file where the file cannot be opened."""
    document = open_document(at.file)
    if document is None:
        return Place(at.file, at.pointer, (1, 1), (1, 1), "")
    span = document.key_span(at.pointer) if key else document.span_of(at.pointer)
    return place_of_span(document, span, at.pointer)


def place_of_span(document: Document, span: Span, pointer: str = "") -> Place:
    """The place of a span of a document."""
    start = document.position(span.start)
    end = document.position(max(span.end, span.start))
    return Place(document.file, pointer, start, end, document.line_text(start[0]))


def placed(finding: Finding, open_document: Open, *, key: bool = False) -> Placed:
    """A finding with line and column."""
    related = tuple((more.message, place_of(more.at, open_document)) for more in finding.related)
    return Placed(finding, place_of(finding.at, open_document, key=key), related)


def placed_problem(problem: Problem, document: Document) -> Placed:
    """What the reader found, with line and column."""
    finding = Finding(problem.rule, "error", problem.message, At(document.file, ""))
    related = tuple((message, place_of_span(document, span)) for message, span in problem.related)
    return Placed(finding, place_of_span(document, problem.span), related)


def in_order(found: list[Placed]) -> tuple[Placed, ...]:
    """By place, then rule, then message: the order of every output."""
    return tuple(
        sorted(
            found,
            key=lambda each: (
                each.place.file,
                each.place.start,
                each.place.end,
                each.finding.rule,
                each.finding.message,
            ),
        )
    )
