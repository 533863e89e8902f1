"""Bytes to a document: one pass over the parser's events builds nodes, plain data and the list of problems.

Whatever the bytes, `read` returns a document. Limits are held while the events come in, so that neither deep
nesting nor aliases of aliases cost more than the limit allows; nothing here is recursive.
"""

from typing import Any

from . import limits
from .events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
    YAMLError,
    events,
)
from .nodes import Alias, Collection, Document, Node, Problem, Span, Value, ends_of, scalar_node
from .properties import Properties, Stop
from .scalars import AFTER_NUMBERS, CONSTANTS, NUMBER_LENGTH, resolve
from .text import BOM, decode, show

# Line breaks to YAML 1.1, ordinary characters to YAML 1.2 and to most editors: a comment could end unseen and
# what follows count. And the byte order mark, which both parsers let through in the middle of a word.
_AMBIGUOUS = "\x85\u2028\u2029\ufeff"
_COMPLEX: Any = object()  # stands for the key while a key that is a map or list is being read


def read(file: str, data: bytes, slow: bool = False) -> Document:
    """Read one YAML file. Never raises, whatever the bytes; what is wrong is in the document's problems.

    `file` is the name to report it under. `slow` reads with the pure-Python parser, for comparison.
    """
    if len(data) > limits.FILE_BYTES:
        message = f"the file is larger than is read (limit: file size 1 MiB, {limits.FILE_BYTES} bytes)"
        return Document(file, "", None, (Problem("file-too-large", message, Span(0, 0)),))
    bom = data.startswith(BOM)
    text, fault = decode(data)
    if fault is not None:
        where = Span(fault.offset, fault.offset + fault.length)
        return Document(file, text, None, (Problem("not-utf-8", fault.message, where),), bom)
    if not text.isascii():
        for character in _AMBIGUOUS:
            if character in text:
                return Document(file, text, None, (_ambiguous(text, character),), bom)
    builder = _Builder(text, slow)
    root = builder.read()
    return Document(file, text, root, tuple(sorted(builder.problems, key=_place)), bom)


def _place(problem: Problem) -> tuple[int, int]:
    return problem.span


def _ambiguous(text: str, character: str) -> Problem:
    place = text.index(character)
    message = (
        f"an invisible character (U+{ord(character):04X}) that some programs take for a line break "
        "and others do not; delete it"
    )
    if character == "\ufeff":
        message = "a byte order mark (U+FEFF) stands in the middle of the file; delete it"
    return Problem("yaml-syntax", message, Span(place, place + 1))


class _Builder:
    """Builds one document. The state of the walk lives in local variables of `_walk`, the hot loop."""

    def __init__(self, text: str, slow: bool) -> None:
        self.text = text
        self.problems: list[Problem] = []
        self._slow = slow

    def read(self) -> Node | None:
        try:
            root = self._walk(events(self.text, self._slow).get_event)
        except Stop as stop:
            self.problems.append(stop.problem)
            return None
        except YAMLError as error:
            from .complaints import complaint  # only a broken file needs the words for it

            self.problems.append(complaint(self.text, error))
            return None
        except (ValueError, OverflowError):  # the pure parser, on escapes beyond Unicode
            message = "an escape in double quotes stands for no character"
            self.problems.append(Problem("yaml-syntax", message, Span(0, min(1, len(self.text)))))
            return None
        if root is None:
            self.problems.append(Problem("file-empty", "there is nothing in this file", Span(0, 0)))
        return root

    def _walk(self, get: Any) -> Node | None:  # noqa: C901
        """One long function on purpose: a call per event would cost as much as the event itself."""
        text = self.text
        # Anchors, aliases, tags and long scalars are rare; a text without their signs cannot hold any.
        careful = "&" in text or "*" in text or "!" in text or len(text) > limits.SCALAR_BYTES // 4
        rare = Properties(text, self.problems)
        new, constants, after_numbers = Node.__new__, CONSTANTS, AFTER_NUMBERS
        max_nodes, max_depth = limits.NODES, limits.DEPTH
        top: list[Any] = []
        stack: list[Any] = []
        # The collection being filled: a map has fields, a list has entries. The document is a list of one.
        holder: Node | None = None
        fields: dict[str, Any] | None = None
        entries: list[Any] = top
        data: Any = []
        first_data = data
        key: Any = None
        key_at: Any = None  # the key's event, or its span
        latest: Any = (
            None  # the scalar read last; where it ends is only looked up where a map or list ends with it
        )
        last = 0  # else: where the last thing read ended
        count = 0
        while True:
            event = get()
            kind = event.__class__
            value: Value
            if kind is ScalarEvent:
                value = raw = event.value
                if key is None and fields is not None:
                    key = raw
                    key_at = latest = event
                    if careful or raw < after_numbers or raw in constants:
                        self._unusual_key(rare, event)
                    continue
                style = event.style
                count += 1
                if careful or (style and style in "|>"):
                    start, last = ends_of(event)
                    if style and style in "|>":
                        last = start + len(text[start:last].rstrip())
                    value, start = rare.scalar(event, start, last)
                    latest = None
                    node = Node(value, value, raw, not style, start, last)
                    if key_at is not None:
                        node.key_start, node.key_end = ends_of(key_at)
                    if event.anchor is not None:
                        rare.anchored(event.anchor, node, 1)
                elif count <= max_nodes:
                    # The commonest case by far: no node, and not the way of the others below.
                    if not style:
                        if raw < after_numbers:
                            if " " not in raw:  # most are quantities, and `8.8 kg` is text
                                if len(raw) <= NUMBER_LENGTH:
                                    value = resolve(raw)
                                else:
                                    value = rare.scalar(event, *ends_of(event))[0]
                        elif raw in constants:
                            value = constants[raw]
                    latest = event
                    if fields is None:
                        entries.append((event, None))
                        data.append(value)
                    elif key in fields:
                        self._duplicate(key, fields[key], key_at)
                        key = None
                    else:
                        fields[key] = event, key_at
                        data[key] = value
                        key = None
                    continue
                else:
                    raise Stop(_too_many(*ends_of(event)))
            elif kind is MappingEndEvent or kind is SequenceEndEvent:
                end = event.end_mark.index
                if end > event.start_mark.index:  # a bracket; the end of a block has no width
                    last = end
                elif latest is not None:
                    last = latest.end_mark.index
                latest = None
                assert holder is not None
                holder.end = last
                if careful:
                    rare.closed(holder, len(stack), count)
                first = holder.start
                holder, fields, entries, data, key = stack.pop()
                if fields is None:
                    key_at = None
                elif key is _COMPLEX:
                    key, key_at = text[first:last], Span(first, last)
                    self._key_not_text(key, first, last)
                continue
            elif kind is MappingStartEvent or kind is SequenceStartEvent:
                start = event.start_mark.index
                node = new(Collection)
                if kind is MappingStartEvent:
                    node._held, node.data = {}, {}
                else:
                    node._held, node.data = [], []
                node._unread = True
                node.start = node.end = start
                node.key_start, node.key_end = (-1, -1) if key_at is None else ends_of(key_at)
                count += 1
                if len(stack) >= max_depth:
                    raise Stop(_too_deep(start))
            elif kind is AliasEvent:
                start, last = ends_of(event)
                latest = None
                target, size = rare.alias(event.anchor, start, last)
                if fields is not None and key is None:
                    key, key_at = rare.alias_key(target, text[start:last]), event
                    if target.value.__class__ is not str:
                        self._key_not_text(key, start, last)
                    continue
                node = Alias(target.value, target.data, target.raw, target.plain, start, last)
                if key_at is not None:
                    node.key_start, node.key_end = ends_of(key_at)
                count += size
            elif kind is StreamEndEvent:
                break
            else:
                if kind is DocumentStartEvent and top:
                    self._second_document(event)
                    break
                continue
            if count > max_nodes:
                raise Stop(_too_many(node.start, node.end))

            # Put the node where it belongs.
            if fields is None:
                entries.append(node)
                data.append(node.data)
            elif key is None:  # a map or list as a key: read, but not kept
                key = _COMPLEX
            else:
                if key in fields:
                    self._duplicate(key, fields[key], key_at)
                else:
                    fields[key] = node
                    data[key] = node.data
                key = None
            if kind is not AliasEvent and kind is not ScalarEvent:
                stack.append((holder, fields, entries, data, key))
                holder = node
                data = node.data
                key = None
                if kind is MappingStartEvent:
                    fields = node._held
                else:
                    fields, entries = None, node._held
                    key_at = None
                if careful:
                    rare.opened(event, node, len(stack), count)
        return self._root(top, first_data)

    def _root(self, top: list[Any], data: list[Any]) -> Node | None:
        if not top:
            return None
        root: Node = scalar_node(top[0], data[0]) if top[0].__class__ is tuple else top[0]
        return None if root.raw == "" and root.plain and root.value is None else root

    def _unusual_key(self, rare: Properties, event: Any) -> None:
        """A key that may not be text, or may have an anchor or a tag."""
        raw = event.value
        start, end = ends_of(event)
        value, value_start = rare.scalar(event, start, end)
        if not isinstance(value, str):
            self._key_not_text(raw, start, end)
        if event.anchor is not None:
            rare.anchored(event.anchor, Node(value, value, raw, not event.style, value_start, end), 1)

    def _key_not_text(self, raw: str, start: int, end: int) -> None:
        message = f"the key `{show(raw)}` is not text; put it in quotes if it is meant as a name"
        if end == start:
            message = "there is a colon with no key before it"
        self.problems.append(Problem("key-not-text", message, Span(start, end)))

    def _duplicate(self, key: str, first: Any, key_at: Any) -> None:
        where = Span(first.key_start, first.key_end) if isinstance(first, Node) else Span(*ends_of(first[1]))
        message = f"`{show(key)}` stands twice here; the first one is used, so remove one of them"
        related = (("the first one", where),)
        self.problems.append(Problem("duplicate-key", message, Span(*ends_of(key_at)), related))

    def _second_document(self, event: Any) -> None:
        start, end = event.start_mark.index, event.end_mark.index
        message = "a second YAML document begins here; one file holds one, so move it to a file of its own"
        self.problems.append(Problem("more-than-one-document", message, Span(start, max(start, end))))


def _too_deep(start: int) -> Problem:
    message = f"maps and lists are nested too deep here (limit: nesting {limits.DEPTH})"
    return Problem("nesting-too-deep", message, Span(start, start + 1))


def _too_many(start: int, end: int) -> Problem:
    message = (
        "the file holds too much: every value counts, and an alias counts with all it stands for "
        f"(limit: {limits.NODES} nodes)"
    )
    return Problem("too-many-nodes", message, Span(start, max(end, start)))
