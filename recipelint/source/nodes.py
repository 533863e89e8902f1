"""The node tree of a YAML document, and the document that holds it.

Places are offsets in code points; a line and a column are worked out only when somebody asks, which is when
there is something to report.
"""

from __future__ import annotations

from typing import Any, NamedTuple, TypeAlias, Union

from .pointer import index, parent, split
from .text import LineIndex

Value = Union[dict[str, "Node"], list["Node"], str, int, float, bool, None]  # noqa: UP007 - a forward reference


# A scalar as the parser gave it, its event and its key's: only where somebody asks for places is it made a node.
Unread: TypeAlias = tuple[Any, Any]


class Span(NamedTuple):
    """A stretch of a document's text: code-point offsets, the end exclusive."""

    start: int
    end: int


class At(NamedTuple):
    """A place that can be pointed at: a file (relative to the root) and an RFC 6901 pointer into it."""

    file: str
    pointer: str


class Node:
    """A value of the document and where it stands.

    `value` is a dict or list of nodes, or a scalar under YAML 1.2's core schema. `data` is the same as plain
    Python; it is shared and never changed. `raw` is the text of a scalar before it was given a type (quotes,
    escapes and folds already undone), "" for collections. `plain` is True for a scalar without quotes.
    """

    __slots__ = ("_held", "_unread", "data", "end", "key_end", "key_start", "plain", "raw", "start")

    _held: Any
    _unread: bool  # whether scalars in it may still be `Unread`
    data: object
    raw: str
    plain: bool
    start: int
    end: int
    key_start: int  # -1 where the node has no key: the root and list entries
    key_end: int

    def __init__(
        self,
        value: Value,
        data: object,
        raw: str,
        plain: bool,
        start: int,
        end: int,
        key_start: int = -1,
        key_end: int = -1,
    ) -> None:
        self._held = value
        self._unread = False
        self.data = data
        self.raw = raw
        self.plain = plain
        self.start = start
        self.end = end
        self.key_start = key_start
        self.key_end = key_end

    @property
    def value(self) -> Value:
        """Its nodes by key or in order, or the scalar."""
        if self._unread:
            self._unread = False
            for place in self._held if self._held.__class__ is dict else range(len(self._held)):
                self.child(place)
        value: Value = self._held
        return value

    def child(self, place: Any) -> Node:
        """The node at a key or an index. Raises KeyError or IndexError."""
        found = self._held[place]
        if found.__class__ is tuple:
            found = self._held[place] = scalar_node(found, self.data[place])  # type: ignore[index]
        node: Node = found
        return node

    @property
    def span(self) -> Span:
        """From the first character of the value to one past its last; of an alias, the alias."""
        return Span(self.start, self.end)

    @property
    def key(self) -> Span | None:
        """The key's place in the map this node is in; None for the root and for list entries."""
        return Span(self.key_start, self.key_end) if self.key_start >= 0 else None

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.data!r}, {self.start}:{self.end})"


def scalar_node(unread: Unread, value: Any) -> Node:
    """The node of a scalar from what the parser said of it."""
    event, key = unread
    start, end = (-1, -1) if key is None else ends_of(key)
    return Node(value, value, event.value, not event.style, *ends_of(event), start, end)


def ends_of(place: Any) -> tuple[int, int]:
    """From where to where a key or a value stands: a span, or an event with its marks."""
    return place if place.__class__ is Span else (place.start_mark.index, place.end_mark.index)


class Collection(Node):
    """A map or a list as the reader makes it."""

    __slots__ = ()
    # Of none there is a text: said once for all of them.
    raw = ""
    plain = False


class Alias(Node):
    """A node that stands for another one: the values are the anchor's, the place is the alias's."""

    __slots__ = ()


class Problem(NamedTuple):
    """Something wrong with the file as YAML: the rule's name, a sentence, the place, further places."""

    rule: str
    message: str
    span: Span
    related: tuple[tuple[str, Span], ...] = ()


class Document:
    """A file that was read: its text (without byte order mark), its tree, and what was wrong with it.

    `root` is None when there is nothing to go on with; there is a problem then that says why.
    """

    __slots__ = ("_lines", "bom", "file", "problems", "root", "text")

    def __init__(
        self, file: str, text: str, root: Node | None, problems: tuple[Problem, ...] = (), bom: bool = False
    ) -> None:
        self.file = file
        self.text = text
        self.root = root
        self.problems = problems
        self.bom = bom
        self._lines: LineIndex | None = None

    def find(self, pointer: str) -> Node | None:
        """The node a pointer names, or None. Raises ValueError for what is no pointer."""
        node = self.root
        for token in split(pointer):
            node = _step(node, token)
            if node is None:
                return None
        return node

    def span_of(self, pointer: str) -> Span:
        """Where to point for a place: a scalar's text, the first entry of a map or list.

        Where nothing stands: the key of the nearest parent that exists, or its first entry if it has no key.
        """
        node = self.find(pointer)
        if node is not None:
            return _first_entry(node)
        node = self._nearest(pointer)
        if node is None:
            return Span(0, 0)
        return node.key or _first_entry(node)

    def key_span(self, pointer: str) -> Span:
        """The key of a place; where it has none (list entries, the root, absent places), as `span_of`."""
        node = self.find(pointer)
        if node is not None and node.key is not None:
            return node.key
        return self.span_of(pointer)

    def position(self, offset: int) -> tuple[int, int]:
        """Line and column of an offset, both from 1, columns in code points."""
        return self._index().position(offset)

    def line_text(self, line: int) -> str:
        """The text of a line (from 1) without its line end; "" where there is no such line."""
        return self._index().line(line)

    def _index(self) -> LineIndex:
        if self._lines is None:
            self._lines = LineIndex(self.text)
        return self._lines

    def _nearest(self, pointer: str) -> Node | None:
        node = None
        while node is None and pointer:
            pointer = parent(pointer)
            node = self.find(pointer)
        return node


def _step(node: Node | None, token: str) -> Node | None:
    if node is None:
        return None
    data = node.data
    if isinstance(data, dict):
        return node.child(token) if token in data else None
    if isinstance(data, list):
        place = index(token)
        return node.child(place) if place is not None and place < len(data) else None
    return None


def _first_entry(node: Node) -> Span:
    while isinstance(node.value, list) and node.value and not isinstance(node, Alias):
        node = node.value[0]
    if isinstance(node.value, dict) and node.value and not isinstance(node, Alias):
        first = next(iter(node.value.values()))
        nested = isinstance(first.value, dict | list) and not isinstance(first, Alias)
        return Span(first.key_start, first.key_end if nested else max(first.end, first.key_end))
    return node.span
