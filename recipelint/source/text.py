"""Text: decoding of files, lines and columns, and the safe display of what a user wrote."""

from bisect import bisect_right
from typing import NamedTuple

BOM = b"\xef\xbb\xbf"

# Characters that change the direction or order of the text around them. Shown raw they can make a reviewer
# read something else than what is in the file (Unicode Technical Report 36, section 2.10.5 and UAX 9).
_DIRECTIONS = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
# Zero width: two names that look the same would differ.
_UNSEEN = frozenset("\u00ad\u200b\u200c\u200d\u2060\u2061\u2062\u2063\u2064\ufeff\u2028\u2029")


class Undecodable(NamedTuple):
    """Why bytes are no UTF-8: the message, and where in the text (with the bad bytes replaced) it is."""

    message: str
    offset: int
    length: int


def decode(data: bytes) -> tuple[str, Undecodable | None]:
    """The text of a file without its byte order mark, and what is wrong with it, if anything.

    With a fault the text is the nearest that can be shown: bad bytes stand as U+FFFD.
    """
    if data.startswith(BOM):
        data = data[3:]
    try:
        return data.decode("utf-8"), None
    except UnicodeDecodeError as fault:
        return _undecodable(data, fault.start)


def _undecodable(data: bytes, start: int) -> tuple[str, Undecodable]:
    for mark, codec in (
        (b"\xff\xfe\x00\x00", "utf-32"),
        (b"\x00\x00\xfe\xff", "utf-32"),
        (b"\xff\xfe", "utf-16"),
        (b"\xfe\xff", "utf-16"),
    ):
        if data.startswith(mark):
            text = data.decode(codec, "replace")
            name = codec.upper()
            return text, Undecodable(f"the file is saved as {name}; save it as UTF-8", 0, min(1, len(text)))
    before = data[:start].decode("utf-8")
    text = data.decode("utf-8", "replace")
    line = LineIndex(before).position(len(before))[0]
    byte = data[start]
    message = f"byte {start + 1} of the file (0x{byte:02X}, line {line}) is not UTF-8; save the file as UTF-8"
    old = bytes((byte,)).decode("latin-1")
    if old.isprintable():
        message += f" (in the older Windows encoding this byte is {old})"
    return text, Undecodable(message, len(before), 1)


class LineIndex:
    """Lines of a text. A line ends with LF, CR LF or CR, as in YAML 1.2; a form feed does not end one."""

    __slots__ = ("starts", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        starts = [0]
        if "\r" not in text:
            place = text.find("\n")
            while place >= 0:
                starts.append(place + 1)
                place = text.find("\n", place + 1)
        else:
            last = len(text) - 1
            for place, character in enumerate(text):
                ends = character == "\n" or (character == "\r" and (place == last or text[place + 1] != "\n"))
                if ends:
                    starts.append(place + 1)
        self.starts = starts

    def position(self, offset: int) -> tuple[int, int]:
        """Line and column of a code-point offset, both from 1; offsets beyond the text count as its end."""
        offset = max(0, min(offset, len(self.text)))
        line = bisect_right(self.starts, offset)
        return line, offset - self.starts[line - 1] + 1

    def line(self, number: int) -> str:
        """The text of a line (from 1) without its end; empty where there is no such line."""
        if not 1 <= number <= len(self.starts):
            return ""
        start = self.starts[number - 1]
        end = self.starts[number] if number < len(self.starts) else len(self.text)
        return self.text[start:end].rstrip("\r\n")


def show(text: str, limit: int = 60) -> str:
    """What a user wrote, safe to print on one line: control, direction and zero-width characters as escapes.

    Line breaks and tabs become spaces' worth of escapes (``\\n``, ``\\t``). Longer than `limit` characters,
    the rest is three dots. Text that is already shown stays as it is.
    """
    cut = len(text) > limit
    if cut:
        text = text[: max(limit - 3, 1)]
    if not text.isprintable() or not text.isascii():
        text = "".join([_shown(character) for character in text])
    return f"{text}..." if cut else text


def _shown(character: str) -> str:
    if character in _DIRECTIONS or character in _UNSEEN:
        return f"\\u{ord(character):04x}"
    if character.isprintable():
        return character
    if character == "\u00a0" or (character.isspace() and ord(character) > 0xFF):
        return " "
    plain = {"\n": "\\n", "\r": "\\r", "\t": "\\t"}.get(character)
    if plain:
        return plain
    code = ord(character)
    if 0xDC80 <= code <= 0xDCFF:  # a byte of a file name that is no UTF-8, see PEP 383
        return f"\\x{code - 0xDC00:02x}"
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
