"""Rules made ready: compiled once, and held to what a style and a house say of them.

A case is a rule for one style and one house. Most recipes of a book share both, so cases are kept.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

from recipelint.recipe.model import RuleSetting
from recipelint.recipe.stat_names import STATS
from recipelint.rulebook import rules as book
from recipelint.rulebook.columns import facts
from recipelint.rulebook.expressions import Compiled, Run, Scope, compile_expression
from recipelint.rulebook.facts import Style
from recipelint.rulebook.guards import Guard, guards_of
from recipelint.rulebook.rules import Limit, Rule, StyleCase
from recipelint.rulebook.settings import Settings
from recipelint.rulebook.units import parse_limit

# Rounding must not turn "just at the limit" into a finding.
RELATIVE, ABSOLUTE = 1e-9, 1e-12


class Threshold(NamedTuple):
    """A limit ready to compare with: the number is given, or asked for with the scope."""

    name: str
    level: str
    above: bool
    value: float | None
    ask: Callable[[Scope], float | None] | None


class Ready(NamedTuple):
    """A rule compiled."""

    where: Run | None
    measure: Compiled | None
    unit: str | None
    limits: tuple[Threshold, ...]
    pointing_stat: str | None
    guards: tuple[Guard, ...]


class Case:
    """A rule as it stands for one style and one house, ready to judge recipe after recipe.

    ``low`` and ``high`` span what is silent whatever else holds; where a limit is no plain number they span nothing.
    ``fact`` is the fact that the measure is, where the rule is about the recipe as a whole and the limits are numbers.
    """

    # What every recipe asks of a rule stands here itself: a slot is read far quicker than a field of a named tuple.
    __slots__ = (
        "each", "fact", "given", "guards", "has_lets", "high", "level", "limits", "low", "measure", "missing", "ready",
        "rule", "where",
    )  # fmt: skip

    def __init__(
        self,
        rule: Rule,
        ready: Ready,
        setting: RuleSetting | None,
        style: Style | None,
        case: StyleCase | None,
    ) -> None:
        self.rule = rule
        self.ready = ready
        self.each = rule.each
        self.has_lets = bool(rule.let)
        self.where = ready.where
        self.guards = ready.guards
        self.measure = ready.measure.run if ready.measure is not None else None
        self.missing = rule.missing
        self.given: dict[str, float] = {}
        self.limits = ready.limits
        if case is not None:
            self.limits = _replaced(rule, self.limits, case.limits)
            self.given.update(case.lets)
        if setting is not None:
            self.limits = _by_house(rule, ready, self.limits, setting, style, self.given)
        self.level = _level(rule, setting, case)
        self.low, self.high = _window(self.limits)
        plain = not rule.each and self.low <= self.high
        self.fact = rule.measure if plain and rule.measure in facts() else None


SILENT = object()  # in place of the case of a rule that has nothing to say here


def case_of(rule: Rule, settings: Settings | None, style: Style | None) -> object:
    """The rule made ready, or SILENT where house or style have it keep silent."""
    setting = settings.get(rule.id) if settings else None
    if setting is not None and setting.level == "off" and not rule.safety:
        return SILENT
    ready: Ready | None = rule.memo.get("ready")
    if ready is None:
        ready = rule.memo["ready"] = _prepare(rule)
    case = _style_case(rule, style) if rule.styles else None
    if case is not None and case.silent:
        return SILENT
    return Case(rule, ready, setting, style, case)


def _window(limits: tuple[Threshold, ...]) -> tuple[float, float]:
    """From where to where a value lies beyond no limit; an empty window if that takes more than numbers to tell."""
    low, high = -math.inf, math.inf
    for threshold in limits:
        if threshold.ask is not None:
            return math.inf, -math.inf
        if threshold.value is not None:
            edge = edge_of(threshold, threshold.value)
            low, high = (low, min(high, edge)) if threshold.above else (max(low, edge), high)
    return low, high


def edge_of(threshold: Threshold, limit: float) -> float:
    slack = abs(limit) * RELATIVE + ABSOLUTE
    return limit + slack if threshold.above else limit - slack


_dockets: dict[tuple[int, int, int], tuple[tuple[Any, ...], list[object]]] = {}
_DOCKETS = 128


def docket_of(rules: Sequence[Rule], settings: Settings | None, style: Style | None) -> list[object]:
    """A place for the case of each rule, filled as they are judged: most recipes of a book share style and house.

    Looked up by identity, which is quick and needs no hash of a whole style; the objects are kept beside the cases, so
    that no other can come to bear their identity.
    """
    if not isinstance(rules, tuple):  # a list may change
        return [None] * len(rules)
    key = id(rules), id(settings), id(style)
    found = _dockets.get(key)
    if found is None:
        if len(_dockets) >= _DOCKETS:
            _dockets.clear()
        found = _dockets[key] = (rules, settings, style), [None] * len(rules)
    return found[1]


def _level(rule: Rule, setting: RuleSetting | None, case: StyleCase | None) -> str | None:
    """The level that holds whatever the limit says; ``None``: the limit's own."""
    if setting is not None and setting.level is not None:
        # A rule about safety cannot be switched off; it stays visible.
        return "note" if setting.level == "off" else setting.level
    if case is not None and case.level is not None:
        return case.level
    return rule.level


def _prepare(rule: Rule) -> Ready:
    where = expression_of(rule, rule.where, rule.each).run if rule.where else None
    measure = expression_of(rule, rule.measure, rule.each) if rule.measure else None
    unit = rule.unit if rule.unit is not None else measure.type.unit if measure else None
    limits = tuple(_threshold(rule, limit) for limit in rule.limits)
    stat = next((name for name in measure.names if name in STATS), None) if measure else None
    guards = guards_of(rule.where, rule.each, [let.name for let in rule.let])
    return Ready(where, measure, unit, limits, stat, guards)


def expression_of(rule: Rule, text: str, each: Sequence[str]) -> Compiled:
    """Compile once per rule; the table whose columns the text may name is part of the key."""
    key = (text, tuple(each))
    made: Compiled | None = rule.memo.get(key)  # type: ignore[call-overload]
    if made is None:
        made = rule.memo[key] = compile_expression(text, book.names_of(each, rule.let))  # type: ignore[index]
    return made


def _threshold(rule: Rule, limit: Limit) -> Threshold:
    ask: Callable[[Scope], float | None] | None = None
    if limit.expression is not None:
        ask = expression_of(rule, limit.expression, rule.each).run
    elif limit.by is not None:
        by, points = limit.by, limit.points
        ask = lambda scope: along(scope[book.FACT][by], points)  # noqa: E731
    return Threshold(limit.name, limit.level, limit.above, limit.value, ask)


def along(x: float | None, points: Sequence[tuple[float, float]]) -> float | None:
    """The limit at ``x``: straight lines between the points, flat after the last, none before the first."""
    if x is None or x < points[0][0]:
        return None
    for (left, low), (right, high) in zip(points, points[1:], strict=False):  # noqa: RUF007 (no itertools for this)
        if x <= right:
            return low + (high - low) * (x - left) / (right - left)
    return points[-1][1]


def _style_case(rule: Rule, style: Style | None) -> StyleCase | None:
    """The first case that the style falls under."""
    if style is None:
        return None
    for case in rule.styles:
        if (
            any(names_style(slug, style, scoped=False) for slug in case.slugs)
            or any(tag in case.tags for tag in style.tags)
            or any(group in case.groups for group in style.groups)
        ):
            return case
    return None


def names_style(word: str, style: Style, *, scoped: bool = True) -> bool:
    """Whether a word names the style: ``guide/id`` or its id; with ``scoped`` a tag or group of it as
    well.
    """
    if word in (style.id, f"{style.guide}/{style.id}"):
        return True
    return scoped and (word in style.tags or word in style.groups)


def _replaced(rule: Rule, limits: tuple[Threshold, ...], given: Iterable[Limit]) -> tuple[Threshold, ...]:
    fresh = {limit.name: _threshold(rule, limit) for limit in given}
    if not fresh:
        return limits
    both = {threshold.name: threshold for threshold in limits} | fresh
    return tuple(both[name] for name in book.LIMIT_NAMES if name in both)


def _by_house(
    rule: Rule,
    ready: Ready,
    limits: tuple[Threshold, ...],
    setting: RuleSetting,
    style: Style | None,
    given: dict[str, float],
) -> tuple[Threshold, ...]:
    """The house's limits over the rule's; those for the style over those for all."""
    words: dict[str, Any] = dict(setting.limits)
    if style is not None:
        for scope, own in setting.styles.items():
            if names_style(scope, style):
                words.update(own)
    units = {let.name: let.unit for let in rule.let if let.value is not None}
    for name in words.keys() & units.keys():
        value = parse_limit(words[name], units[name])
        if value is not None:
            given[name] = value
    fresh = book.read_limits(
        {name: value for name, value in words.items() if name in book.LIMIT_NAMES}, ready.unit
    )
    return _replaced(rule, limits, fresh)
