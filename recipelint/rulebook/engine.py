"""Judging: rules over tables of facts give findings.

``judge`` never raises for what a rule does: one that fails is reported as ``rule-failed``, and the
others go on. A fact that is unknown makes a rule undecided for that row, and an undecided rule is silent.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Any

from recipelint.rulebook import rules as book
from recipelint.rulebook.cases import Case, Ready, Threshold, case_of, docket_of, edge_of, expression_of
from recipelint.rulebook.cases import along as along
from recipelint.rulebook.expressions import Scope, Type
from recipelint.rulebook.facts import Style
from recipelint.rulebook.findings import Finding, Related, shorten
from recipelint.rulebook.items import key_at
from recipelint.rulebook.messages import Piece, fill, split_template
from recipelint.rulebook.pointing import at_of, place_of, written
from recipelint.rulebook.rules import Rule
from recipelint.rulebook.settings import Settings
from recipelint.rulebook.settings import check_settings as check_settings
from recipelint.rulebook.settings import settings_of as settings_of
from recipelint.rulebook.tables import Row, Tables
from recipelint.source.nodes import At

# Shown in ways of their own, but plain numbers all the same.
_PURE = ("x", "count", None)
_NOTHING: Mapping[str, Any] = {}


class Lets(dict[str, Any]):
    """The names of a rule's own, worked out when first asked for."""

    __slots__ = ("_rule", "_tables")

    def __init__(self, rule: Rule, tables: Tables, given: Mapping[str, float]) -> None:
        super().__init__(given)
        self._rule = rule
        self._tables = tables

    def __missing__(self, name: str) -> Any:
        for let in self._rule.let:
            if let.name == name:
                break
        else:
            raise KeyError(name)
        if let.value is not None:
            value: Any = let.value
        elif let.expression is not None:
            run = expression_of(self._rule, let.expression, ())
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
    news: Sequence[str] = (),
) -> list[Finding]:
    """All findings of the rules, in the order of the book.

    ``settings`` are the house's words on levels and limits, ``style`` the one aimed at, ``found`` findings of
    other checks: they are not returned, but can make rules moot. ``news`` are rules that tell of no mistake here: they
    make only each other moot.
    """
    findings: list[Finding] = []
    docket = docket_of(rules, settings, style)
    facts = tables.facts
    for index, case in enumerate(docket):
        try:
            if case.__class__ is not Case:
                if case is None:
                    case = docket[index] = case_of(rules[index], settings, style)
                if not isinstance(case, Case):  # SILENT
                    continue
            if case.fact is not None:  # inside the limits, it is silent whatever the condition says
                value = facts[case.fact]
                if value is None or case.low <= value <= case.high:
                    continue
            _judge_case(case, tables, findings)
        except Exception as trouble:  # whatever a rule does, the others are still judged
            findings.append(_failed(rules[index], tables, trouble))
    return _without_moot(findings, rules, found, tables, news)


def _failed(rule: Rule, tables: Tables, trouble: Exception) -> Finding:
    said = f"{type(trouble).__name__}: {trouble}" if str(trouble) else type(trouble).__name__
    message = f"{rule.id} could not be judged ({said})".replace("{", "(").replace("}", ")")
    at = At(rule.file, rule.at) if rule.file else At(tables.recipe.file, "")
    return Finding("rule-failed", "error", shorten(message), at)


def _judge_case(case: Case, tables: Tables, out: list[Finding]) -> None:
    facts, where = tables.facts, case.where
    if not case.each:
        scope: Scope = (_NOTHING, Lets(case.rule, tables, case.given) if case.has_lets else _NOTHING, facts)
        if where is None or where(scope) is True:
            _judge_row(case, tables, None, None, scope, out)
        return
    lets: Mapping[str, Any] | None = None
    for table in case.each:
        if case.guards and not tables.may_hold(table, case.guards):
            continue
        before: Row | None = None
        for row in tables.rows(table):
            if lets is None:  # most tables of most recipes are empty
                lets = Lets(case.rule, tables, case.given) if case.has_lets else _NOTHING
            scope = (row, lets, facts)
            if where is None or where(scope) is True:
                _judge_row(case, tables, row, before, scope, out)
            before = row


def _judge_row(
    case: Case, tables: Tables, row: Row | None, before: Row | None, scope: Scope, out: list[Finding]
) -> None:
    """One row of a table, or the recipe as a whole, of which the rule's condition is known to hold."""
    value = limit = None
    level = case.level
    if case.measure is not None:
        value = case.measure(scope)
        if value is None or case.low <= value <= case.high:
            return
        crossed = _crossed(value, case.limits, scope)
        if crossed is None:
            return
        threshold, limit = crossed
        level = level or threshold.level
    elif case.missing is not None and written(
        row.written if row is not None else tables.recipe, case.missing
    ):
        return
    out.append(_finding(case.rule, case.ready, level or "warning", tables, row, before, scope, value, limit))


def _crossed(value: float, limits: tuple[Threshold, ...], scope: Scope) -> tuple[Threshold, float] | None:
    """The gravest limit that the value lies beyond; limits come gravest first."""
    for threshold in limits:
        limit = threshold.value if threshold.ask is None else threshold.ask(scope)
        if limit is None:
            continue
        edge = edge_of(threshold, limit)
        if value > edge if threshold.above else value < edge:
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
        if isinstance(lets, Lets) and any(let.name == name for let in lets._rule.let):
            return lets[name]
        return facts[name]


def _types(rule: Rule) -> Mapping[str, Type]:
    types: dict[str, Type] | None = rule.memo.get("types")
    if types is None:
        types = {name: known.type for name, known in book.names_of(rule.each, rule.let).items()}
        rule.memo["types"] = types
    return types


def _gather(rule: Rule, let: book.Let, tables: Tables, lets: Lets) -> Any:
    """A column gathered over the rows that fit; one undecided row or unknown value makes the whole
    unknown.
    """
    assert let.table is not None and let.column is not None
    run = expression_of(rule, let.where, (let.table,)).run if let.where else None
    if run is None and let.gather == "count":
        return len(tables.rows(let.table))
    values: list[Any] = []
    for row in tables.rows(let.table):
        fits = True if run is None else run((row, lets, tables.facts))
        if fits is None:
            return None
        if fits:
            values.append(row[let.column] if let.gather != "count" else None)
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


def _without_moot(
    findings: list[Finding],
    rules: Sequence[Rule],
    found: Sequence[Finding],
    tables: Tables,
    news: Sequence[str],
) -> list[Finding]:
    """One cause, one finding: what another finding explains is dropped.

    A finding on one line explains others on the same line. One on the beer as a whole, such as a missed range of its
    style, explains them wherever they point.
    """
    if not findings:
        return findings
    moot = {rule.id: rule.moot_if for rule in rules if rule.moot_if}
    if not moot:
        return findings
    items: dict[str, set[str | None]] = {}
    for finding in (*found, *findings):
        items.setdefault(finding.rule, set()).add(_line(finding, tables))

    def explained(finding: Finding) -> bool:
        for name in moot.get(finding.rule, ()):
            others = items.get(name) if name not in news or finding.rule in news else None
            if others and (finding.item is None or None in others or finding.item in others):
                return True
        return False

    return [finding for finding in findings if not explained(finding)]


def _line(finding: Finding, tables: Tables) -> str | None:
    """The item of a finding if it is a line of the recipe, not a figure of the beer (a promise, a style's range)."""
    item = finding.item
    if item is None or item.startswith("expect/") or item not in tables.keys.values():
        return None
    return item
