"""The rare things a YAML node can carry: anchors, aliases, tags, and scalars too long to be meant."""

import re
from typing import Any

from . import limits
from .nodes import Node, Problem, Span
from .scalars import NUMBER_LENGTH, NumberTooLong, Scalar, resolve, tagged
from .text import show

_CORE = "tag:yaml.org,2002:"
_SCALAR_TAGS = frozenset(("str", "int", "float", "bool", "null"))
# Anchors and tags on the same line before the value itself; a verbatim tag may hold brackets and commas.
_BEFORE = r"(?:(?:!<[^>\s]*>|[!&][^\s]*)[ \t]+)+"


class Stop(Exception):
    """Reading cannot go on; carries the problem."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


class Properties:
    """Anchors and tags of one document."""

    def __init__(self, text: str, problems: list[Problem]) -> None:
        self._text = text
        self._problems = problems
        self._anchors: dict[str, tuple[Node, int]] = {}  # size 0: still open
        self._open: list[tuple[int, str, int, Node]] = []

    def scalar(self, event: Any, start: int, end: int) -> tuple[Scalar, int]:
        """Value and start of a scalar that may have an anchor or a tag, or be too long."""
        raw: str = event.value
        plain = not event.style
        if len(raw) > limits.SCALAR_BYTES // 4 and len(raw.encode()) > limits.SCALAR_BYTES:
            message = f"one value of {len(raw)} characters (limit: scalar {limits.SCALAR_BYTES // 1024} KiB)"
            raise Stop(Problem("scalar-too-long", message, Span(start, end)))
        before = None
        sign = self._text[start : start + 1]
        if event.anchor is not None or event.tag is not None or (sign == "!" and end > start):
            before = re.compile(_BEFORE).match(self._text, start, end)
        value_start = before.end() if before is not None else start
        if event.tag is not None and event.tag != "!":
            return self._tagged(raw, event.tag, start, end), value_start
        # A lone `!` says "as written" (YAML 1.2.2, 6.9.1). Depending on its version the parser gives it as a
        # tag or leaves it out, so the text itself is asked too.
        if not plain or event.tag is not None or (before is not None and "!" in before.group().split()):
            return raw, value_start
        try:
            return resolve(raw), value_start
        except NumberTooLong:
            message = f"a number of {len(raw)} characters (limit: number length {NUMBER_LENGTH} characters)"
            self._problems.append(Problem("scalar-too-long", message, Span(start, end)))
            return raw, value_start

    def _tagged(self, raw: str, tag: str, start: int, end: int) -> Scalar:
        name = tag.removeprefix(_CORE)
        if name == tag or name not in _SCALAR_TAGS:
            self._tag_problem(tag, start, end)
            return raw
        try:
            return tagged(raw, name)
        except NumberTooLong:
            pass
        except ValueError:
            message = f"the tag !!{name} stands before `{show(raw)}`, which is no value of that kind"
            self._problems.append(Problem("tag-not-allowed", message, Span(start, end)))
            return raw
        message = f"a number of {len(raw)} characters (limit: number length {NUMBER_LENGTH} characters)"
        self._problems.append(Problem("scalar-too-long", message, Span(start, end)))
        return raw

    def _tag_problem(self, tag: str, start: int, end: int) -> None:
        name = f"!!{tag.removeprefix(_CORE)}" if tag.startswith(_CORE) else tag
        message = f"the tag {show(name)} means nothing here; remove it"
        self._problems.append(Problem("tag-not-allowed", message, Span(start, end)))

    def anchored(self, name: str, node: Node, size: int) -> None:
        """Remember what an anchor names; a later one of the same name takes its place (YAML 1.2.2, 7.1)."""
        self._anchors[name] = (node, size)

    def opened(self, event: Any, node: Node, depth: int, count: int) -> None:
        """A map or list begins: check its tag, remember its anchor as open."""
        if event.tag is not None:
            wanted = "map" if isinstance(node.value, dict) else "seq"
            if event.tag not in (_CORE + wanted, "!"):
                self._tag_problem(event.tag, node.start, max(event.end_mark.index, node.start + 1))
        if event.anchor is not None:
            self._anchors[event.anchor] = (node, 0)
            self._open.append((depth, event.anchor, count, node))

    def closed(self, node: Node, depth: int, count: int) -> None:
        """A map or list ends: its anchor, if it has one, can be used from here on."""
        if self._open and self._open[-1][0] == depth:
            _, name, before, _ = self._open.pop()
            if self._anchors[name][0] is node:  # the name may have been given away inside
                self._anchors[name] = (node, count - before + 1)

    def alias(self, name: str, start: int, end: int) -> tuple[Node, int]:
        """The node an alias stands for, and how many nodes that is; an empty node where there is none."""
        target, size = self._anchors.get(name, (None, 0))
        if target is not None and size:
            return target, size
        span = Span(start, end)
        if target is None:
            message = f"`*{show(name)}` refers to nothing given above; write `&{show(name)}` there"
            self._problems.append(Problem("alias-unknown", message, span))
        else:
            message = f"`*{show(name)}` stands inside the very thing it refers to, which would never end"
            related = (("the anchor", Span(target.start, target.start + 1 + len(name))),)
            self._problems.append(Problem("alias-recursive", message, span, related))
        return Node(None, None, "", True, start, end), 1

    @staticmethod
    def alias_key(target: Node, text: str) -> str:
        """The name of a key that is an alias: the scalar's own text, else the alias as written."""
        return text if isinstance(target.value, dict | list) else target.raw
