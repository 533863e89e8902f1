"""What is wrong with a file as a recipe, a brewhouse, a record or a house: the finding before it is a finding."""

from typing import NamedTuple

from recipelint.source.nodes import At, Document, Span


class Trouble(NamedTuple):
    """A rule's name, a sentence, the place, and further places. ``part`` says whether key or value is underlined."""

    rule: str
    message: str
    at: At
    part: str = "value"
    level: str = "error"
    related: tuple[tuple[str, At], ...] = ()


def span_of(trouble: Trouble, document: Document) -> Span:
    """Where to underline a trouble in its own document."""
    if trouble.part == "key":
        return document.key_span(trouble.at.pointer)
    return document.span_of(trouble.at.pointer)


def in_file_order(troubles: list[Trouble], document: Document) -> tuple[Trouble, ...]:
    """Troubles by place; of several at one place only the first.

    Where the reader has a problem, what the value lacks here follows from it: one cause, one finding.
    """
    broken = [problem.span for problem in document.problems]
    seen: set[tuple[str, str]] = set()
    kept: list[tuple[int, str, Trouble]] = []
    for trouble in troubles:
        key = (trouble.at.pointer, trouble.part)
        if key not in seen:
            seen.add(key)
            span = span_of(trouble, document)
            if not any(span.start < each.end and each.start < span.end for each in broken):
                kept.append((span.start, trouble.rule, trouble))
    kept.sort(key=lambda entry: entry[:2])
    return tuple(entry[2] for entry in kept)


class Job:
    """One document on its way to a record: where it lies, and what was wrong so far."""

    __slots__ = ("document", "doubt", "file", "origin", "readings", "troubles")

    def __init__(self, document: Document, origin: str) -> None:
        self.document = document
        self.file = document.file
        self.origin = origin
        self.readings: tuple[object, ...] = ()
        self.troubles: list[Trouble] = []
        # Set by whatever does not look as the schema wants it; only then is the schema itself asked.
        self.doubt = False

    def add(self, rule: str, message: str, pointer: str, part: str = "value", level: str = "error") -> None:
        """Note something wrong at a pointer of this document."""
        self.troubles.append(Trouble(rule, message, At(self.file, pointer), part, level))

    def both(self, message: str, first: str, second: str) -> None:
        """Note two keys of which one may stand: the second is underlined, the first is a related place."""
        related = (("the other one stands here", At(self.file, first)),)
        self.troubles.append(Trouble("wrong-shape", message, At(self.file, second), "key", "error", related))

    def raw(self, pointer: str) -> str:
        """The text of a scalar as it stands in the file."""
        node = self.document.find(pointer)
        return node.raw if node is not None else ""
