"""YAML events, from libyaml where PyYAML was built with it, else from PyYAML's own slow parser.

The only module that imports yaml. Nothing of PyYAML's composer, constructor or resolver (which follow YAML
1.1) is used: only the grammar's events, each with the offsets of its marks.
"""

from typing import Any, NamedTuple, Protocol

from yaml.error import MarkedYAMLError, YAMLError
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)
from yaml.reader import ReaderError

try:
    from yaml._yaml import CParser

    fast = True
except ImportError:  # pragma: no cover - PyYAML built without libyaml
    fast = False

__all__ = [
    "AliasEvent", "DocumentStartEvent", "EventSource", "Fault", "MappingEndEvent", "MappingStartEvent",
    "ReaderError", "ScalarEvent", "SequenceEndEvent", "SequenceStartEvent", "StreamEndEvent", "YAMLError",
    "events", "fast", "fault",
]  # fmt: skip


class EventSource(Protocol):
    """What both parsers offer."""

    def get_event(self) -> Any: ...


class Fault(NamedTuple):
    """What a parser said when it gave up: offsets are code points, -1 where it gave none."""

    problem: str
    context: str
    offset: int
    context_offset: int


def events(text: str, slow: bool = False) -> EventSource:
    """A source of events for a text without byte order mark. Reading raises YAMLError."""
    if fast and not slow:
        parser: EventSource = CParser(text)
        return parser
    return _slow(text)


def _slow(text: str) -> EventSource:
    from yaml.parser import Parser
    from yaml.reader import Reader
    from yaml.scanner import Scanner

    class SlowParser(Reader, Scanner, Parser):
        def __init__(self, stream: str) -> None:
            Reader.__init__(self, stream)
            Scanner.__init__(self)
            Parser.__init__(self)

    return SlowParser(text)


def fault(error: YAMLError) -> Fault:
    """The parts of a parser's complaint, the same from both parsers."""
    if isinstance(error, MarkedYAMLError):
        return Fault(
            str(error.problem or ""),
            str(error.context or ""),
            error.problem_mark.index if error.problem_mark is not None else -1,
            error.context_mark.index if error.context_mark is not None else -1,
        )
    return Fault(str(error), "", -1, -1)
