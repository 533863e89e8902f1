"""What a terminal needs to know: colour or not, how wide a character is, and a line with a mark under it."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from recipelint.source.text import show

NO_LIMIT = 1 << 30
PAGE = 118  # columns of a page of stats
NAME = 44  # columns of a name in a table; a longer one, which only a user can have written, is cut
_WINDOW = 96  # columns of a source line that are shown at most
_CODES = {"error": "1;31", "warning": "1;33", "note": "1;36", "strong": "1"}


class Look(NamedTuple):
    """How text is to look. Colour never carries meaning of its own: without it every word is still there."""

    colour: bool = False
    excerpt: bool = False  # the source line with a mark under the place


def wants_colour(choice: str, environ: Mapping[str, str], terminal: bool) -> bool:
    """Colour or not: what was asked for, then NO_COLOR, then FORCE_COLOR, then whether it is a terminal.

    A variable counts when it is set and not empty, as the conventions of those two names say;
    ``FORCE_COLOR=0`` is read as a no, since that is what its writer means.
    """
    if choice != "auto":
        return choice == "always"
    if environ.get("NO_COLOR"):
        return False
    forced = environ.get("FORCE_COLOR")
    if forced:
        return forced != "0"
    return terminal and environ.get("TERM") != "dumb"


def paint(text: str, what: str, look: Look) -> str:
    return f"\x1b[{_CODES[what]}m{text}\x1b[0m" if look.colour else text


def clean(text: str) -> str:
    """Text of any length, with control and direction characters as escapes; one line."""
    return show(text, NO_LIMIT)


def width(text: str) -> int:
    """Columns that a text takes on a terminal: two for wide characters, none for combining ones."""
    if text.isascii():
        return len(text)
    import unicodedata

    columns = 0
    for character in text:
        if unicodedata.combining(character) or unicodedata.category(character) in ("Mn", "Me", "Cf"):
            continue
        columns += 2 if unicodedata.east_asian_width(character) in "WF" else 1
    return columns


def _fitting(text: str, columns: int) -> int:
    """How many characters of a text fit into so many columns."""
    if text.isascii():
        return columns
    used = 0
    for place, character in enumerate(text):
        used += width(character)
        if used > columns:
            return place
    return len(text)


def cut(text: str, columns: int) -> str:
    """A text of at most so many columns, with an ellipsis where something is missing."""
    return text if width(text) <= columns else text[: _fitting(text, columns - 1)].rstrip() + "…"


def folded(text: str, columns: int, indent: str = "") -> Iterator[str]:
    """A text as lines of at most so many columns, all but the first indented.

    They end at a space, or within a word that is longer than a line. The indent is shorter than a line.
    """
    while width(text) > columns:
        room = _fitting(text, columns)
        end = text.rfind(" ", len(indent) + 1, room + 1)
        if end < 0 or not text[:end].strip():
            yield text[:room]
            text = indent + text[room:]
        else:
            yield text[:end].rstrip()
            text = indent + text[end + 1 :]
    yield text


def marked_line(line: str, first: int, last: int) -> tuple[str, str]:
    """A source line as it can be shown, and the line of marks below it.

    ``first`` and ``last`` are columns from 1 in code points, the last one past the end. A long
    line is cut to a window around the place, with three dots where something is missing.
    """
    shown = ["    " if character == "\t" else show(character, 12) for character in line]
    first = max(1, min(first, len(shown) + 1))
    last = max(first, min(last, len(shown) + 1))
    begin, end = _window(shown, first - 1, last - 1)
    before, after = ("..." if begin else ""), ("..." if end < len(shown) else "")
    lead = width(before + "".join(shown[begin : first - 1]))
    marks = max(1, width("".join(shown[first - 1 : min(last - 1, end)])))
    return before + "".join(shown[begin:end]) + after, " " * lead + "^" * marks


def _window(shown: list[str], first: int, last: int) -> tuple[int, int]:
    widths = [width(piece) for piece in shown]
    if sum(widths) <= _WINDOW:
        return 0, len(shown)
    begin, room = first, _WINDOW // 3
    while begin > 0 and room >= widths[begin - 1]:
        begin -= 1
        room -= widths[begin]
    end, room = begin, _WINDOW
    while end < len(shown) and room >= widths[end]:
        room -= widths[end]
        end += 1
    return begin, end
