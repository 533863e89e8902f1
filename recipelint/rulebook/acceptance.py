"""Findings lived with: the recipe says which and why.

An acceptance names a rule, optionally one item, and gives a reason. What matches nothing any more is a
finding itself, so that the list never goes stale.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from recipelint.recipe.model import Acceptance, Recipe
from recipelint.rulebook.expressions import suggestion
from recipelint.rulebook.findings import Finding, shorten
from recipelint.rulebook.rules import Rule
from recipelint.source.nodes import At

# Whoever accepts these would accept that the tool cannot read the file, or the acceptance itself.
NEVER = frozenset(
    [
        "accept-stale",
        "accept-unknown-rule",
        "accept-without-reason",
        "alias-recursive",
        "alias-unknown",
        "duplicate-key",
        "file-empty",
        "file-too-large",
        "file-unreadable",
        "inner-fault",
        "key-missing",
        "key-not-text",
        "more-than-one-document",
        "nesting-too-deep",
        "not-utf-8",
        "quantity-invalid",
        "rule-failed",
        "rule-invalid",
        "scalar-too-long",
        "tag-not-allowed",
        "too-many-nodes",
        "unknown-key",
        "unknown-kind",
        "wrong-shape",
        "yaml-syntax",
    ]
)


def accept(
    findings: Iterable[Finding], recipe: Recipe, rules: Sequence[Rule], others: Collection[str] = ()
) -> list[Finding]:
    """The findings with the recipe's acceptances applied, and what is wrong with those.

    ``others`` are the rules that are not data. An accepted finding keeps its reason in ``accepted``. One of a
    rule about safety is also turned into a note: it must be shown however it is accepted (``stays_visible``).
    """
    known = {rule.id: rule for rule in rules}
    names = {*known, *others}
    out = list(findings)
    faults: list[Finding] = []
    for entry in recipe.accept:
        fault = _fault(entry, names, recipe.file)
        if fault is not None:
            faults.append(fault)
            continue
        matched = False
        for index, finding in enumerate(out):
            if finding.accepted is None and _matches(entry, finding):
                matched = True
                safety = finding.rule in known and known[finding.rule].safety
                out[index] = finding._replace(
                    accepted=entry.because.strip(), level="note" if safety else finding.level
                )
        if not matched:
            faults.append(_stale(entry, recipe.file))
    return out + faults


def stays_visible(finding: Finding, rules: Sequence[Rule]) -> bool:
    """Whether an accepted finding is shown all the same."""
    return any(rule.id == finding.rule and rule.safety for rule in rules)


def _matches(entry: Acceptance, finding: Finding) -> bool:
    if finding.rule != entry.rule:
        return False
    if entry.of is None:
        return True
    item = finding.item or ""
    # "hops/fuggle@boil", "hops/fuggle" or only "fuggle": a brewer writes what names the thing.
    without_stage = item.partition("@")[0]
    return entry.of in (item, without_stage, without_stage.partition("/")[2])


def _fault(entry: Acceptance, names: Collection[str], file: str) -> Finding | None:
    at = At(file, entry.at)
    if entry.rule not in names:
        from recipelint.recipe.nearest import nearest

        text = f"{entry.rule or 'nothing'} is no rule, so nothing is accepted{suggestion(nearest(entry.rule, names))}"
        return Finding("accept-unknown-rule", "error", shorten(text), At(file, f"{entry.at}/rule"))
    if entry.rule in NEVER:
        text = f"{entry.rule} cannot be accepted: what it finds has to be put right"
        return Finding("accept-unknown-rule", "error", shorten(text), At(file, f"{entry.at}/rule"))
    if not entry.because.strip():
        text = f"{entry.rule} is accepted without a reason; say why in `because`, for whoever reads this next year"
        return Finding("accept-without-reason", "error", shorten(text), at)
    return None


def _stale(entry: Acceptance, file: str) -> Finding:
    of = f" of {entry.of}" if entry.of else ""
    text = f"{entry.rule}{of} is accepted here, but it finds nothing any more; take the entry out"
    return Finding("accept-stale", "warning", shorten(text), At(file, entry.at))
