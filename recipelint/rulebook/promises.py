"""The brewer's promises: ``expect:`` held against what the beer will be."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from recipelint.recipe.model import Expectation, Recipe, RuleSetting
from recipelint.recipe.stat_names import STATS, StatSpec, resolution
from recipelint.rulebook.facts import Brew
from recipelint.rulebook.findings import Finding, Related, shorten
from recipelint.rulebook.units import far, pair, show
from recipelint.source.nodes import At

RULE = "promise-not-kept"


def promises(
    recipe: Recipe,
    brew: Brew,
    settings: Mapping[str, RuleSetting] | None = None,
    on: str = "",
    doubtful: Collection[str] = (),
) -> list[Finding]:
    """A finding for each promise that the recipe does not keep.

    Half of the stat's last decimal is allowed; a value outside is an error. A bitterness that reads high, because not
    all alpha dissolves, is too high only if that of what dissolves is. ``on`` names a brewhouse that is not the
    recipe's own: its author promised nothing of that one, so that a miss is a note. A stat without a value is silent,
    and so is one of the ``doubtful``.
    """
    setting = settings.get(RULE) if settings else None
    if setting is not None and setting.level == "off":
        return []
    out = []
    for promise in recipe.expect:
        finding = _judge(promise, recipe, brew, on) if promise.stat not in doubtful else None
        if finding is None:
            continue
        if setting is not None and setting.level is not None and not on:
            finding = finding._replace(level=setting.level)
        out.append(finding)
    return out


def _edges(promise: Expectation) -> tuple[float | None, float | None]:
    if promise.low is None and promise.high is None:
        return promise.value, promise.value
    return promise.low, promise.high


def _judge(promise: Expectation, recipe: Recipe, brew: Brew, on: str) -> Finding | None:
    spec = STATS.get(promise.stat)
    if spec is None:
        return None  # the schema check has said so
    stat = brew.stat(promise.stat)
    value = stat.value
    low, high = _edges(promise)
    if value is None or (low is None and high is None):
        return None
    if (low is None or low <= value) and (high is None or value <= high):
        return None  # kept without a look at what rounding allows
    slack = resolution(spec) * (1 + 1e-9)
    below = low is not None and value < low - slack
    if not below and not (high is not None and value > high + slack):
        return None
    edge = low if below else high
    assert edge is not None
    band = brew.band(promise.stat)
    bound = (share := brew.dissolved(promise.stat)) < 1.0
    off = value - edge if below else value * share - edge
    if bound and not below and off <= slack:
        return None
    largest = max((part for part in stat.parts if part[0]), key=lambda part: abs(part[1]), default=None)
    title = spec.title.partition(",")[0]
    title = title[0].upper() + title[1:]
    said = _words(value, spec)
    if said == _words(edge, spec):
        said = _words(value, spec, finer=True)  # or the rounding would hide the miss
    where = f" on {shorten(on, 48)}" if on else ""
    message = (
        f"{title} comes to {'at most ' if bound else ''}{said}{where}, promised is {_text(promise, spec)}"
    )
    message += f": {'at least ' if bound else ''}{far(off, spec)} too {'low' if below else 'high'}"
    if band is not None and band[0] <= edge <= band[1] and not on:
        message += f"; the 90 % band {pair(band[0], band[1], spec)} reaches it"
    related = (Related("the largest part comes from here", _at(largest[0], recipe)),) if largest else ()
    return Finding(
        RULE,
        "note" if on else "error",
        shorten(message),
        At(recipe.file, promise.at),
        item=f"expect/{promise.stat}",
        value=value,
        unit=spec.unit,
        limit=edge,
        related=related,
        remedy="Change amounts until this brewhouse gives it too, or brew it where it was promised."
        if on
        else "Change the recipe until it gives what is promised, or promise what it gives.",
    )


def _at(pointer: str, recipe: Recipe) -> At:
    file, mark, inside = pointer.partition("#")
    return At(file, inside) if mark else At(recipe.file, pointer)


def _text(promise: Expectation, spec: StatSpec) -> str:
    """A bare number as the stat is always written, a range as the brewer wrote it."""
    low, high = _edges(promise)
    return _words(low, spec) if low is not None and low == high else shorten(promise.text, 40)


def _words(value: float, spec: StatSpec, *, finer: bool = False) -> str:
    return show(value, spec.unit, spec.digits + (1 if finer else 0))
