"""What a judgement comes to: one finding each, with the place it points at."""

from typing import NamedTuple

from recipelint.source.nodes import At

# From mild to grave; the words are those of SARIF.
LEVELS = ("note", "warning", "error")

# A line on a terminal and an annotation in CI both cut long messages, so none is longer than this.
MESSAGE_LENGTH = 160


class Related(NamedTuple):
    """Another place that belongs to a finding."""

    message: str
    at: At


class Finding(NamedTuple):
    """One thing found wrong or worth a look; ``value`` and ``limit`` are canonical and share ``unit``."""

    rule: str
    level: str
    message: str
    at: At
    item: str | None = None
    value: float | None = None
    unit: str | None = None
    limit: float | None = None
    related: tuple[Related, ...] = ()
    accepted: str | None = None
    caution: str | None = None
    remedy: str | None = None


def rank(level: str) -> int:
    """How grave a level is: note 0, warning 1, error 2; anything else (``off``, ``never``) is -1."""
    return LEVELS.index(level) if level in LEVELS else -1


def shorten(text: str, length: int = MESSAGE_LENGTH) -> str:
    """The text, cut with an ellipsis if it is longer than ``length`` code points."""
    return text if len(text) <= length else text[: length - 1].rstrip() + "…"
