"""Messages of rules: templates with names in braces, filled with facts in the brewer's own units."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from recipelint.recipe.stat_names import STATS
from recipelint.rulebook.expressions import Type
from recipelint.rulebook.findings import shorten
from recipelint.rulebook.units import show

# A name written by a user may be a novel; the rest of the sentence must still fit.
NAME_LENGTH = 48
# Texts of our own making: whole clauses, most with numbers. Cut short they would say something else, or nothing.
WHOLE = frozenset(
    (
        "slip", "assumed", "mash_that_fits", "strike_that_does", "stuck", "never", "way", "takes", "bears",
        "gluten_from", "unsettled", "told", "usual",
    )
)  # fmt: skip


class MessageError(Exception):
    """Why a template cannot be used."""


class Piece(NamedTuple):
    """Plain text, or the name of a fact (then ``text`` is empty)."""

    text: str
    name: str | None = None


def split_template(template: str) -> tuple[Piece, ...]:
    """The pieces of a template; raises MessageError for braces that do not pair or names that are none."""
    pieces: list[Piece] = []
    rest = template.strip()
    if not rest:
        raise MessageError("a message says something")
    while rest:
        text, brace, rest = rest.partition("{")
        if "}" in text:
            raise MessageError("a brace is closed that was never opened")
        if text:
            pieces.append(Piece(text))
        if not brace:
            break
        name, closing, rest = rest.partition("}")
        if not closing or not name.isidentifier():
            raise MessageError("a name in braces is one plain word, such as (weight)")
        pieces.append(Piece("", name))
    return tuple(pieces)


def fill(
    pieces: tuple[Piece, ...], values: Mapping[str, Any], types: Mapping[str, Type], row: Mapping[str, Any]
) -> str:
    """The message, at most 160 characters; facts that are not known read ``unknown``."""
    words = []
    for piece in pieces:
        if piece.name is None:
            words.append(piece.text)
            continue
        words.append(_word(piece.name, values[piece.name], types.get(piece.name), row))
    text = " ".join("".join(words).split())
    return shorten(text[:1].upper() + text[1:])


def _word(name: str, value: Any, kind: Type | None, row: Mapping[str, Any]) -> str:
    if isinstance(value, str):
        return value if name in WHOLE else shorten(value, NAME_LENGTH)
    unit = kind.unit if kind is not None else None
    if unit and unit.startswith("@"):
        unit = row.get(unit[1:])
    spec = STATS.get(name) if name not in row else None
    return show(value, unit, spec.digits if spec else None)
