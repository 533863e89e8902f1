"""The house's words on rules: other levels, other limits, and what is wrong with them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TypeAlias

from recipelint.recipe.model import RuleSetting
from recipelint.rulebook import rules as book
from recipelint.rulebook.findings import LEVELS, Finding, rank, shorten
from recipelint.rulebook.rules import Rule
from recipelint.rulebook.units import example_of, written_plainly
from recipelint.source.nodes import At
from recipelint.source.pointer import child

Settings: TypeAlias = Mapping[str, RuleSetting]


def settings_of(settings: Iterable[RuleSetting]) -> dict[str, RuleSetting]:
    """The settings of a house by rule; the last word on a rule holds."""
    return {setting.rule: setting for setting in settings}


def check_settings(
    settings: Iterable[RuleSetting], rules: Sequence[Rule], others: Sequence[str], file: str
) -> list[Finding]:
    """What is wrong with a house's words on rules: unknown rules, levels or limits.

    ``others`` are the rules that are not data (the built-in ones), which have a level but no limits.
    """
    known = {rule.id: rule for rule in rules}
    out: list[Finding] = []

    def fault(at: str, text: str) -> None:
        out.append(Finding("rule-invalid", "error", shorten(text), At(file, at)))

    for setting in settings:
        if setting.rule not in known and setting.rule not in others:
            fault(setting.at, f"{setting.rule} is no rule{_near(setting.rule, [*known, *others])}")
            continue
        if setting.level is not None and setting.level != "off" and rank(setting.level) < 0:
            fault(setting.at, f"{setting.level} is no level: {', '.join(LEVELS)} or off")
        for at, text in _faults_of_limits(setting, known.get(setting.rule)):
            fault(at, text)
    return out


def _near(word: str, words: Sequence[str]) -> str:
    from recipelint.recipe.nearest import nearest
    from recipelint.rulebook.expressions import suggestion

    return suggestion(nearest(word, words)) if words else ""


def _faults_of_limits(setting: RuleSetting, rule: Rule | None) -> list[tuple[str, str]]:
    """(pointer, message) for each limit that the rule has not, or that cannot be read in its unit."""
    units = {let.name: let.unit for let in rule.let if let.value is not None} if rule else {}
    own = [*(limit.name for limit in rule.limits), *units] if rule else []
    if rule is not None and rule.measure is not None:
        units.update(dict.fromkeys(book.LIMIT_NAMES, rule.unit))
    given = [(child(setting.at, name), name, value) for name, value in setting.limits.items()]
    for style, case in setting.styles.items():
        at = child(child(setting.at, "styles"), style)
        given += [(child(at, name), name, value) for name, value in case.items()]
    faults = []
    for at, name, value in given:
        if name not in units:
            faults.append((at, f"{name} is no limit of {setting.rule}{_near(name, own)}"))
        elif not written_plainly(value, units[name]):
            faults.append((at, f"{value} is no {name} of {setting.rule}; write {example_of(units[name])}"))
    return faults
