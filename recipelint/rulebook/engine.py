"""Judging: rules over tables of facts give findings.

``judge`` never raises for what a rule does: a rule that fails is itself a finding, ``rule-failed``, and the
others go on. A fact that is unknown makes a rule undecided for that row, and an undecided rule is silent.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from recipelint.recipe.model import RuleSetting
from recipelint.recipe.stat_names import STATS
from recipelint.rulebook import rules as book
from recipelint.rulebook.expressions import Compiled, Run, Scope, Type, compile_expression
from recipelint.rulebook.facts import Style
from recipelint.rulebook.findings import Finding, Related, shorten
from recipelint.rulebook.items import key_at
from recipelint.rulebook.messages import Piece, fill, split_template
from recipelint.rulebook.pointing import at_of, place_of, written
from recipelint.rulebook.rules import Limit, Rule, StyleCase
from recipelint.rulebook.settings import Settings
from recipelint.rulebook.settings import check_settings as check_settings
from recipelint.rulebook.settings import settings_of as settings_of
from recipelint.rulebook.tables import Row, Tables
from recipelint.rulebook.units import parse_limit
from recipelint.source.nodes import At

# Rounding must not turn "just at the limit" into a finding.
RELATIVE, ABSOLUTE = 1e-9, 1e-12


# Shown in ways of their own, but plain numbers all the same.
_PURE = ("x", "count", None)


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


class Lets(dict[str, Any]):
    """The names of a rule's own, worked out when first asked for."""

    __slots__ = ("_rule", "_tables")

    def __init__(self, rule: Rule, tables: Tables, given: Mapping[str, float]) -> None:
        super().__init__(given)
        self._rule = rule
        self._tables = tables

    def __missing__(self, name: str) -> Any:
        let = next(let for let in self._rule.let if let.name == name)
        if let.value is not None:
            value: Any = let.value
        elif let.expression is not None:
            run = _expression(self._rule, let.expression, ())
            value = run.run(({}, self, self._tables.facts))
        else:
            value = _gather(self._rule, let, self._tables, self)
        self[name] = value
        return value


def judge(
    tables: Tables,
    rules: Sequence[Rule],
    settings: Settings | None = None,
    style: Style | None = None,
    found: Sequence[Finding] = (),
) -> list[Finding]:
    """All findings of the rules, in the order of the book.

    ``settings`` are the house's words on levels and limits, ``style`` the one aimed at, ``found`` findings of
    other checks: they are not returned, but can make rules moot.
    """
    findings: list[Finding] = []
    for rule in rules:
        setting = settings.get(rule.id) if settings else None
        if setting is not None and setting.level == "off" and not rule.safety:
            continue
        try:
            _judge_rule(rule, tables, setting, style, findings)
        except Exception as trouble:  # whatever a rule does, the others are still judged
            findings.append(_failed(rule, tables, trouble))
    return _without_moot(findings, rules, found)


def _failed(rule: Rule, tables: Tables, trouble: Exception) -> Finding:
    said = f"{type(trouble).__name__}: {trouble}" if str(trouble) else type(trouble).__name__
    message = f"{rule.id} could not be judged ({said})".replace("{", "(").replace("}", ")")
    at = At(rule.file, rule.at) if rule.file else At(tables.recipe.file, "")
    return Finding("rule-failed", "error", shorten(message), at)


def _judge_rule(
    rule: Rule, tables: Tables, setting: RuleSetting | None, style: Style | None, out: list[Finding]
) -> None:
    ready: Ready | None = rule.memo.get("ready")
    if ready is None:
        ready = rule.memo["ready"] = _prepare(rule)
    case = _case(rule, style) if rule.styles else None
    if case is not None and case.silent:
        return
    limits = ready.limits
    given: dict[str, float] = {}
    if case is not None:
        limits = _replaced(rule, limits, case.limits)
        given.update(case.lets)
    if setting is not None:
        limits = _by_house(rule, ready, limits, setting, style, given)
    level = _level(rule, setting, case)
    scope_lets = Lets(rule, tables, given)
    facts = tables.facts
    if not rule.each:
        _judge_row(rule, ready, limits, level, tables, None, None, ({}, scope_lets, facts), out)
        return
    for table in rule.each:
        before: Row | None = None
        for row in tables.rows(table):
            _judge_row(rule, ready, limits, level, tables, row, before, (row, scope_lets, facts), out)
            before = row


def _level(rule: Rule, setting: RuleSetting | None, case: StyleCase | None) -> str | None:
    """The level that holds whatever the limit says; ``None``: the limit's own."""
    if setting is not None and setting.level is not None:
        # A rule about safety cannot be switched off; it stays visible.
        return "note" if setting.level == "off" else setting.level
    if case is not None and case.level is not None:
        return case.level
    return rule.level


def _judge_row(
    rule: Rule,
    ready: Ready,
    limits: tuple[Threshold, ...],
    level: str | None,
    tables: Tables,
    row: Row | None,
    before: Row | None,
    scope: Scope,
    out: list[Finding],
) -> None:
    if ready.where is not None and ready.where(scope) is not True:
        return
    value = limit = None
    if ready.measure is not None:
        value = ready.measure.run(scope)
        if value is None:
            return
        crossed = _crossed(value, limits, scope)
        if crossed is None:
            return
        threshold, limit = crossed
        level = level or threshold.level
    elif rule.missing is not None and written(row["_record"] if row else tables.recipe, rule.missing):
        return
    out.append(_finding(rule, ready, level or "warning", tables, row, before, scope, value, limit))


def _crossed(value: float, limits: tuple[Threshold, ...], scope: Scope) -> tuple[Threshold, float] | None:
    """The gravest limit that the value lies beyond; limits come gravest first."""
    for threshold in limits:
        limit = threshold.value if threshold.ask is None else threshold.ask(scope)
        if limit is None:
            continue
        slack = abs(limit) * RELATIVE + ABSOLUTE
        if value > limit + slack if threshold.above else value < limit - slack:
            return threshold, limit
    return None


def _finding(
    rule: Rule,
    ready: Ready,
    level: str,
    tables: Tables,
    row: Row | None,
    before: Row | None,
    scope: Scope,
    value: float | None,
    limit: float | None,
) -> Finding:
    at = place_of(rule, ready.pointing_stat, tables, row)
    types = _types(rule)
    if ready.measure is not None:
        types = {**types, "value": Type("number", ready.unit), "limit": Type("number", ready.unit)}
    pieces: tuple[Piece, ...] | None = rule.memo.get("pieces")
    if pieces is None:
        pieces = rule.memo["pieces"] = split_template(rule.message)
    values = _Values(scope, {"value": value, "limit": limit} if ready.measure is not None else {})
    related: tuple[Related, ...] = ()
    if rule.related == "previous" and before is not None:
        related = (Related(f"after {before.get('name') or before.get('id')}", at_of(tables, before["at"])),)
    return Finding(
        rule=rule.id,
        level=level,
        message=fill(pieces, values, types, row or {}),
        at=at,
        item=key_at(tables.keys, at.pointer) if at.file == tables.recipe.file else None,
        value=value,
        unit=("1" if ready.unit in _PURE else ready.unit) if value is not None else None,
        limit=limit,
        related=related,
        caution=rule.caution,
        remedy=rule.remedy,
    )


class _Values(dict[str, Any]):
    """Any name a message may use: the measure, the row, the rule's own names, the facts; in this order."""

    def __init__(self, scope: Scope, given: Mapping[str, Any]) -> None:
        super().__init__(given)
        self._scope = scope

    def __missing__(self, name: str) -> Any:
        row, lets, facts = self._scope
        if name in row:
            return row[name]
        assert isinstance(lets, Lets)
        if any(let.name == name for let in lets._rule.let):
            return lets[name]
        return facts[name]


def _prepare(rule: Rule) -> Ready:
    where = _expression(rule, rule.where, rule.each).run if rule.where else None
    measure = _expression(rule, rule.measure, rule.each) if rule.measure else None
    unit = rule.unit if rule.unit is not None else measure.type.unit if measure else None
    limits = tuple(_threshold(rule, limit) for limit in rule.limits)
    stat = next((name for name in measure.names if name in STATS), None) if measure else None
    return Ready(where, measure, unit, limits, stat)


def _types(rule: Rule) -> Mapping[str, Type]:
    types: dict[str, Type] | None = rule.memo.get("types")
    if types is None:
        types = {name: known.type for name, known in book.names_of(rule.each, rule.let).items()}
        rule.memo["types"] = types
    return types


def _expression(rule: Rule, text: str, each: Sequence[str]) -> Compiled:
    """Compile once per rule; the table whose columns the text may name is part of the key."""
    key = (text, tuple(each))
    made: Compiled | None = rule.memo.get(key)  # type: ignore[call-overload]
    if made is None:
        made = rule.memo[key] = compile_expression(text, book.names_of(each, rule.let))  # type: ignore[index]
    return made


def _threshold(rule: Rule, limit: Limit) -> Threshold:
    ask: Callable[[Scope], float | None] | None = None
    if limit.expression is not None:
        ask = _expression(rule, limit.expression, rule.each).run
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


def _gather(rule: Rule, let: book.Let, tables: Tables, lets: Lets) -> Any:
    """A column gathered over the rows that fit; one undecided row or unknown value makes the whole
    unknown.
    """
    assert let.table is not None and let.column is not None
    run = _expression(rule, let.where, (let.table,)).run if let.where else None
    values = []
    for row in tables.rows(let.table):
        fits = True if run is None else run((row, lets, tables.facts))
        if fits is None:
            return None
        if fits:
            values.append(row[let.column])
    if let.gather == "count":
        return len(values)
    if any(value is None for value in values):
        return None
    if let.gather == "names":
        return tuple(dict.fromkeys(str(value) for value in values))
    if let.gather == "sum":
        return math.fsum(values)
    if not values:
        return None
    return max(values) if let.gather == "max" else min(values)


def _case(rule: Rule, style: Style | None) -> StyleCase | None:
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


def _without_moot(findings: list[Finding], rules: Sequence[Rule], found: Sequence[Finding]) -> list[Finding]:
    """One cause, one finding: what another finding explains is dropped."""
    moot = {rule.id: rule.moot_if for rule in rules if rule.moot_if}
    if not moot or not findings:
        return findings
    items: dict[str, set[str | None]] = {}
    for finding in (*found, *findings):
        items.setdefault(finding.rule, set()).add(finding.item)

    def explained(finding: Finding) -> bool:
        for name in moot.get(finding.rule, ()):
            others = items.get(name)
            if others and (finding.item is None or None in others or finding.item in others):
                return True
        return False

    return [finding for finding in findings if not explained(finding)]
