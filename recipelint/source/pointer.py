"""JSON Pointers (RFC 6901): the way to name a place inside a document, as plain strings."""

from collections.abc import Iterable


def escape(token: str) -> str:
    """A reference token as written in a pointer: ``~`` becomes ``~0``, ``/`` becomes ``~1`` (RFC 6901, 3)."""
    if "~" in token or "/" in token:
        return token.replace("~", "~0").replace("/", "~1")
    return token


def unescape(token: str) -> str:
    """The reverse of `escape`; ``~1`` first, so that ``~01`` gives ``~1`` (RFC 6901, 4)."""
    if "~" in token:
        return token.replace("~1", "/").replace("~0", "~")
    return token


def split(pointer: str) -> list[str]:
    """The reference tokens of a pointer, unescaped; the empty pointer has none.

    Raises ValueError for a pointer that neither is empty nor begins with a slash, or that has a ``~``
    followed by anything but 0 or 1.
    """
    if not pointer:
        return []
    if pointer[0] != "/":
        raise ValueError(f"a pointer is empty or begins with a slash: {pointer!r}")
    tokens = pointer[1:].split("/")
    if "~" in pointer:
        for token in tokens:
            if "~" in token.replace("~0", "").replace("~1", ""):
                raise ValueError(f"a tilde in a pointer is followed by 0 or 1: {pointer!r}")
        return [unescape(token) for token in tokens]
    return tokens


def join(*tokens: str | int) -> str:
    """The pointer with these reference tokens: ``join("grist", 0)`` is ``/grist/0``; none give the root."""
    return "".join(f"/{escape(str(token))}" for token in tokens)


def child(pointer: str, token: str | int) -> str:
    """The pointer one step further down."""
    return f"{pointer}/{token if token.__class__ is int else escape(str(token))}"


def parent(pointer: str) -> str:
    """The pointer one step up; the root is its own parent."""
    return pointer[: pointer.rfind("/")] if pointer else ""


def chain(pointer: str) -> Iterable[str]:
    """The pointer itself, then its parents up to and including the root."""
    yield pointer
    while pointer:
        pointer = parent(pointer)
        yield pointer


def index(token: str) -> int | None:
    """The list index a reference token stands for, or None: digits without a leading zero (RFC 6901, 4)."""
    if token == "0" or (token.isascii() and token.isdigit() and token[0] != "0" and len(token) < 10):
        return int(token)
    return None
