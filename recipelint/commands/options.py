"""Command lines read by hand, for the starts that must be quick; anything unusual is left to the full parser."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple


class Option(NamedTuple):
    """An option that takes a value; ``choices`` empty for any value. A flag has ``flag`` set and takes none."""

    choices: tuple[str, ...] = ()
    repeated: bool = False
    flag: bool = False


class Unclear(Exception):
    """The command line is not one of the plain ones; the message says what is wrong with it."""


class Line(NamedTuple):
    options: dict[str, list[str]]
    words: list[str]

    def last(self, name: str, default: str | None = None) -> str | None:
        values = self.options.get(name)
        return values[-1] if values else default


def read_line(args: Sequence[str], known: Mapping[str, Option], spellings: Mapping[str, str]) -> Line:
    """``--name value`` and ``--name=value`` in any order with the words between; after ``--`` all are words."""
    found: dict[str, list[str]] = {}
    words: list[str] = []
    rest = iter(args)
    for word in rest:
        if word == "--":
            words += rest
            break
        if not word.startswith("-") or word == "-":
            words.append(word)
            continue
        name, equals, value = word.partition("=")
        name = spellings.get(name, name)
        option = known.get(name)
        if option is None:
            raise Unclear(f"{name} is not an option here; --help lists them")
        if option.flag:
            if equals:
                raise Unclear(f"{name} takes no value")
        elif not equals:
            try:
                value = next(rest)
            except StopIteration:
                raise Unclear(f"{name} needs a value") from None
        if option.choices and value not in option.choices:
            raise Unclear(f"{name} is one of {', '.join(option.choices)}, not {value!r}")
        found.setdefault(name, []).append(value)
    return Line(found, words)
