"""A parser's complaint in words that help the person who wrote the recipe."""

import re

from . import limits
from .events import Fault, ReaderError, YAMLError, fault
from .nodes import Problem, Span
from .text import LineIndex, show

# What YAML 1.2.2 (section 5.1) does not allow in a text, and the byte order mark, which may stand only at its
# start. Compiled when there is something to complain of: ranges this wide take milliseconds.
_NOT_PRINTABLE = "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"


_ELSEWHERE = (
    (
        "block sequence entries are not allowed",
        "a list cannot begin here: put its first `- ` on the line below the key",
    ),
    (
        "expected node content",
        "a value is missing here; look for a comma or bracket too many, or put the text in quotes",
    ),
    ("mapping keys are not allowed", "a value cannot begin with `? `; put it in quotes"),
    (
        "unexpected ':'",
        "a colon inside brackets needs a space after it; put the text in quotes if it is text",
    ),
)


def complaint(text: str, error: YAMLError) -> Problem:
    """The problem to report when the parser gave up."""
    if isinstance(error, ReaderError):
        return _unprintable(text)
    said = fault(error)
    if "nest" in said.problem:
        message = f"maps and lists are nested too deep here (limit: nesting {limits.DEPTH})"
        return Problem("nesting-too-deep", message, _at(text, said.offset))
    message, offset, related = _explain(text, said)
    return Problem("yaml-syntax", message, _at(text, offset), related)


def _at(text: str, offset: int) -> Span:
    """One character at an offset; at a line's end or beyond, what was written last before it."""
    start = max(0, min(offset, len(text)))
    if start == len(text) or text[start] in "\r\n":
        start = len(text[:start].rstrip())
        return Span(max(start - 1, 0), start)
    return Span(start, start + 1)


def _unprintable(text: str) -> Problem:
    found = re.search(_NOT_PRINTABLE, text)
    if found is None:
        return Problem("yaml-syntax", "YAML does not allow a character here", Span(0, min(1, len(text))))
    code = ord(found.group())
    message = f"a control character (U+{code:04X}) stands here, which YAML does not allow; delete it"
    if code == 0 and text.count("\0") * 3 > len(text):
        message = "the file looks like UTF-16 (every other byte is zero); save it as UTF-8"
    return Problem("yaml-syntax", message, Span(*found.span()))


Explained = tuple[str, int, tuple[tuple[str, Span], ...]]


def _explain(text: str, said: Fault) -> Explained:
    offset = said.offset if said.offset >= 0 else max(said.context_offset, 0)
    offset = min(offset, len(text))
    lines = LineIndex(text)
    line = lines.position(offset)[0]
    tab = _indent_tab(lines, line)
    if tab is not None:
        return "a tab is used to indent this line; YAML wants spaces there", tab, ()
    problem, context = said.problem, said.context
    if "quoted scalar" in context and "end of stream" in problem:
        return "the quote opened here is never closed", said.context_offset, ()
    if "document indicator" in problem:
        return (
            "the quote opened here is not closed before the line of dashes or dots",
            said.context_offset,
            (),
        )
    if "flow" in context and (problem.startswith(("did not find expected ','", "expected ',' or"))):
        return _unclosed(text, said, offset, lines)
    if "escape" in problem or "hexdecimal" in problem or "hexadecimal" in problem:
        return (
            (
                "a backslash in double quotes starts an escape, and this is none that YAML knows; "
                "use single quotes, or write the backslash twice"
            ),
            offset,
            (),
        )
    if "mapping values are not allowed" in problem:
        return _second_colon(lines, line), offset, ()
    if "could not find expected ':'" in problem:
        return _no_colon(text, said, lines), max(said.context_offset, 0), ()
    return _by_place(text, said, offset, lines)


def _indent_tab(lines: LineIndex, line: int) -> int | None:
    content = lines.line(line)
    indent = content[: len(content) - len(content.lstrip(" \t-"))]
    place = indent.find("\t")
    return lines.starts[line - 1] + place if place >= 0 else None


def _unclosed(text: str, said: Fault, offset: int, lines: LineIndex) -> Explained:
    opened = said.context_offset
    bracket = text[opened : opened + 1]
    closing = {"[": "]", "{": "}"}.get(bracket, "the closing bracket")
    found = show(text[offset : offset + 1])
    if offset >= len(text.rstrip()) or lines.position(offset)[0] != lines.position(opened)[0]:
        return (
            (
                f"the `{bracket}` opened here is not closed; put `{closing}` at its end, "
                "and commas between the entries"
            ),
            opened,
            (),
        )
    related = ((f"the `{bracket}`", Span(opened, opened + 1)),)
    return f"a comma or `{closing}` is missing before `{found}`", offset, related


def _second_colon(lines: LineIndex, line: int) -> str:
    content = lines.line(line)
    if content.lstrip(" -").count(": ") > 1 or (": " in content and content.rstrip().endswith(":")):
        return "there is a second colon on this line; put the text that holds it in quotes"
    return (
        "a key is not expected here: either the line is indented differently from its neighbours, "
        "or the line above already has a value"
    )


def _no_colon(text: str, said: Fault, lines: LineIndex) -> str:
    start = max(said.context_offset, 0)
    content = lines.line(lines.position(start)[0]).strip()
    return (
        f"a key without its colon: `{show(content)}` needs `: ` after the key, or belongs to the line above"
    )


def _by_place(text: str, said: Fault, offset: int, lines: LineIndex) -> Explained:
    problem, context = said.problem, said.context
    character = text[offset : offset + 1]
    if "alias" in context or "anchor" in context:
        sign = text[said.context_offset : said.context_offset + 1]
        return (
            f"a value that begins with `{sign}` is a reference in YAML; put it in quotes if it is text",
            max(said.context_offset, 0),
            (),
        )
    if "tag" in context or "tag handle" in problem:
        return "a value that begins with `!` is a tag in YAML; put it in quotes if it is text", offset, ()
    if "start any token" in problem and character:
        if character == "\t":
            return "a tab stands where a value should begin; use spaces", offset, ()
        return f"a value cannot begin with `{show(character)}`; put it in quotes", offset, ()
    for part, message in _ELSEWHERE:
        if part in problem:
            return message, offset, ()
    before = text[lines.starts[lines.position(offset)[0] - 1] : offset]
    if "while parsing a block" in context and before.strip(" -"):
        return (
            "there is more text on this line after the value ended; put all of it in one pair of quotes",
            offset,
            (),
        )
    if "block sequence" in context or "block collection" in context:
        return _indentation(said, "entries of one list start with `-` in the same column", offset)
    if "block mapping" in context:
        return _indentation(said, "keys of one map start in the same column", offset)
    if "block scalar" in context:
        return "the lines of a text block are indented with spaces, more than its key", offset, ()
    if "document start" in problem:
        return "this does not belong to what stands above; check its indentation", offset, ()
    if "directive" in context or "directive" in problem:
        return "a line that begins with `%` is a directive in YAML; put the text in quotes", offset, ()
    return f"this is no YAML; check indentation, colons, quotes and brackets ({problem})", offset, ()


def _indentation(said: Fault, rule: str, offset: int) -> Explained:
    start = max(said.context_offset, 0)
    related = (("where it begins", Span(start, start + 1)),)
    message = f"this line's indentation does not fit, or a quote or bracket is out of place: {rule}"
    return message, offset, related
