"""The page of a rule: what it judges, where its limits lie and how to move them, why, what to do, where it
comes from.

Plain text under 80 columns. Pages are read by people, so everything is loaded here that a check does without.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from recipelint.recipe import shipped
from recipelint.recipe.model import RuleSetting
from recipelint.rulebook.rules import Let, Limit, Rule, shipped_rules
from recipelint.rulebook.units import kind_of, listed, show

WIDTH = 78
LOCAL_CODES = (
    "This is a caution and no advice: follow local codes, the maker's instructions and licensed practice."
)


class Entry(tuple[str, str, str, str]):
    """One line of the list: name, group, level, what is judged."""

    __slots__ = ()


def known_rules(rules: Sequence[Rule] | None = None) -> list[Entry]:
    """Every rule there is, the shipped book's and the house's, then what is checked in code."""
    pages = shipped.load("pages")
    entries = [_entry(rule, _page(rule, pages)) for rule in (shipped_rules() if rules is None else rules)]
    entries.sort(key=lambda entry: (entry[1], entry[0]))
    built_in = sorted(name.partition(" ")[2] for name in pages if name.startswith("built-in "))
    for name in built_in:
        page = pages[f"built-in {name}"]
        entries.append(Entry((name, "built in", page["level"].partition(";")[0], page["about"])))
    return entries


def rule_list(rules: Sequence[Rule] | None = None) -> str:
    """The list as text: one rule a line under its group, and what it judges below it."""
    lines: list[str] = []
    group = None
    for name, of, level, about in known_rules(rules):
        if of != group:
            lines += ["", of.capitalize()] if lines else [of.capitalize()]
            group = of
        lines.append(f"  {name} ({level})")
        lines += _wrapped(about, "      ")
    return "\n".join(lines) + "\n"


def explain(
    name: str, rules: Sequence[Rule] | None = None, settings: Mapping[str, RuleSetting] | None = None
) -> str | None:
    """The page of a rule, or ``None`` if there is none of that name (ask ``near`` for suggestions)."""
    pages = shipped.load("pages")
    for rule in shipped_rules() if rules is None else rules:
        if rule.id == name:
            return _rule_page(rule, _page(rule, pages), settings.get(name) if settings else None, pages)
    page = pages.get(f"built-in {name}")
    return _built_in_page(name, page, settings.get(name) if settings else None) if page is not None else None


def near(name: str, rules: Sequence[Rule] | None = None) -> list[str]:
    """Up to three names of rules that look like the one asked for."""
    from recipelint.recipe.nearest import nearest

    return nearest(name, [entry[0] for entry in known_rules(rules)])


def caution_text(ident: str) -> str:
    """The caution of a hazard, with the word that it replaces no local code; empty for an unknown one."""
    hazard = shipped.store("pages").get(f"hazard {ident}")
    return f"{hazard['caution']} {LOCAL_CODES}" if hazard else ""


def _page(rule: Rule, pages: Mapping[str, Any]) -> Mapping[str, Any]:
    page: Mapping[str, Any] = rule.page if rule.file is not None else pages.get(f"rule {rule.id}", {})
    return page


def _entry(rule: Rule, page: Mapping[str, Any]) -> Entry:
    return Entry((rule.id, rule.group, _levels(rule), page.get("about") or rule.message))


def _levels(rule: Rule) -> str:
    if rule.level is not None:
        return rule.level
    levels = [
        level for level in ("note", "warning", "error") if any(limit.level == level for limit in rule.limits)
    ]
    return " or ".join(levels)


def _wrapped(text: str, indent: str = "  ") -> list[str]:
    import textwrap

    return textwrap.wrap(
        " ".join(str(text).split()),
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent,
        break_on_hyphens=False,
    )


def _section(title: str, *texts: str) -> list[str]:
    return ["", title, *(line for text in texts for line in _wrapped(text))]


def _rule_page(
    rule: Rule, page: Mapping[str, Any], setting: RuleSetting | None, pages: Mapping[str, Any]
) -> str:
    lines = [rule.id, *_wrapped(page.get("about", ""))]
    if rule.file is not None:
        lines += _wrapped(f"A rule of this house, from {rule.file}.")
    lines += [
        "",
        "Level and limits",
        *_limit_lines(rule),
        *_style_lines(rule),
        *_setting_lines(rule, setting),
    ]
    if page.get("why"):
        lines += _section("Why", page["why"])
    if rule.remedy:
        lines += _section("What to do", rule.remedy)
    hazard = pages.get(f"hazard {rule.caution}")
    if hazard:
        lines += _section(f"Caution: {hazard['what']}", hazard["caution"], LOCAL_CODES)
        lines += _wrapped(f"Source: {_source(hazard)}")
    if rule.safety:
        lines += _section(
            "Accepting it", "Only with a reason, and it stays in sight as a note. It cannot be switched off."
        )
    for key, title in (
        ("fires", "It speaks up when a recipe says"),
        ("silent", "It keeps quiet when a recipe says"),
    ):
        if page.get(key):
            lines += ["", title, *(page[key].get("lines") or example_lines(page[key]))]
    if rule.moot_if:
        lines += _section("Left unsaid", f"when {listed(list(rule.moot_if), 9)} has already said it.")
    if "source" in page:
        lines += _section("Source", _source(page))
    return "\n".join(lines) + "\n"


def _built_in_page(name: str, page: Mapping[str, Any], setting: RuleSetting | None) -> str:
    lines = [name, *_wrapped(page["about"]), "", "Level", f"  {page['level']}"]
    if setting is not None and setting.level is not None:
        lines += _wrapped(f"This house says: {setting.level}.")
    lines += _section("Why", page["why"])
    lines += _section("What to do", page["remedy"])
    return "\n".join(lines) + "\n"


def _limit_lines(rule: Rule) -> list[str]:
    if not rule.limits:
        return _wrapped(f"{rule.level}, whenever it is so.")
    lines: list[str] = []
    for limit in rule.limits:
        side = "above" if limit.above else "below"
        lines += _wrapped(f"{limit.level} {side} {_limit(rule, limit)}   [{limit.name}]")
    return lines


def _limit(rule: Rule, limit: Limit) -> str:
    if limit.expression is not None:
        return _plain(limit.expression)
    if limit.by is not None:
        from recipelint.rulebook.columns import facts

        unit = facts()[limit.by].unit
        points = (f"{show(y, rule.unit)} at {show(x, unit)}" for x, y in limit.points)
        return f"{', '.join(points)} of {_plain(limit.by)}"
    return show(limit.value, rule.unit)


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _style_lines(rule: Rule) -> list[str]:
    lines: list[str] = []
    for case in rule.styles:
        names = listed([*case.slugs, *case.tags, *case.groups], 9)
        if case.silent:
            lines += _wrapped(f"For {names}: never.")
            continue
        units = {let.name: let.unit for let in rule.let}
        said = [f"{limit.name} {_limit(rule, limit)}" for limit in case.limits]
        said += [f"{name} {show(value, units.get(name))}" for name, value in case.lets]
        lines += _wrapped(f"For {names}: {', '.join(said)}.")
    return lines


def _own_settings(lets: Iterable[Let]) -> list[Let]:
    return [let for let in lets if let.value is not None]


def _setting_lines(rule: Rule, setting: RuleSetting | None) -> list[str]:
    lines: list[str] = []
    own = _own_settings(rule.let)
    for let in own:
        lines += _wrapped(f"{_plain(let.name)} {show(let.value, let.unit)}   [{let.name}]")
    names = [limit.name for limit in rule.limits if limit.expression is None and limit.by is None]
    names += [let.name for let in own]
    if names:
        value = next(
            (_writable(limit.value, rule.unit) for limit in rule.limits if limit.name == names[0]),
            _writable(own[0].value, own[0].unit) if own else "",
        )
        lines += _wrapped("The words in brackets are settings of recipelint.yaml:")
        lines += ["    rules:", f"      {rule.id}: {{{names[0]}: {value}}}"]
    else:
        lines += ["  Its level is a setting of recipelint.yaml:", "    rules:", f"      {rule.id}: warning"]
    if setting is not None:
        said = [f"level {setting.level}"] if setting.level else []
        said += [f"{name} {_set(value, name, rule)}" for name, value in sorted(setting.limits.items())]
        said += [f"others for {style}" for style in sorted(setting.styles)]
        lines += _wrapped(f"This house says: {', '.join(said)}.")
    return lines


def _writable(value: float | None, unit: str | None) -> str:
    """As it can be written in a file: with its unit where that can be read back."""
    return show(value, unit) if kind_of(unit) else show(value, "x")


def _set(value: object, name: str, rule: Rule) -> str:
    units = {let.name: let.unit for let in rule.let}
    return show(value, units.get(name, rule.unit))


def _source(page: Mapping[str, Any]) -> str:
    source = page.get("source", "common practice")
    if isinstance(source, Mapping):
        source = ", ".join(
            str(source[key]) for key in ("author", "title", "year", "page", "url") if key in source
        )
    return f"{source}; from memory in part" if page.get("from_memory") else str(source)


def example_lines(example: Mapping[str, Any]) -> list[str]:
    """An example as the lines of its page."""
    merge = example.get("merge") or {}
    if not merge:
        return _wrapped(f"(the recipe {example.get('base', '')} of rules/bases.yaml as it stands)")
    return [line for key, value in merge.items() for line in _yaml(key, value, "  ")]


def _yaml(key: str, value: Any, indent: str) -> list[str]:
    """A key and its value as YAML, in flow style where the line has room for it."""
    line = f"{indent}{key}: {_flow(value)}"
    if len(line) <= WIDTH or not isinstance(value, (Mapping, list)):
        return [line]
    if isinstance(value, Mapping):
        return [
            f"{indent}{key}:",
            *(line for name, item in value.items() for line in _yaml(name, item, indent + "  ")),
        ]
    return [f"{indent}{key}:", *(line for item in value for line in _item(item, indent + "  "))]


def _item(value: Any, indent: str) -> list[str]:
    line = f"{indent}- {_flow(value)}"
    if len(line) <= WIDTH or not isinstance(value, Mapping):
        return [line]
    rows = [line for name, item in value.items() for line in _yaml(name, item, indent + "  ")]
    return [f"{indent}- {rows[0].lstrip()}", *rows[1:]]


def _flow(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {_flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_flow(item) for item in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    return "null" if value is None else str(value)
