"""The rule book's YAML -> rules.json (what a check needs), pages.json (what a reader needs), doses.json.

The files under rules/ are told apart by their first key: rules, built-in, hazards, doses, bases. Every rule
is checked with the same code that checks a house's rules, and its limits are turned into canonical numbers.

    python tools/generate_rules.py            write what is out of date, and rules/README.md
    python tools/generate_rules.py --check    write nothing; exit 1 if something is out of date
"""

from __future__ import annotations

import glob
import os
import sys
from collections.abc import Callable, Mapping
from typing import Any

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
sys.path[:0] = [path for path in (ROOT, os.path.join(ROOT, "tools")) if path not in sys.path]

from parts.reading import SourceError, read  # noqa: E402  (the path has to be set first)
from parts.writing import settle  # noqa: E402

from recipelint.recipe.stat_names import STATS  # noqa: E402
from recipelint.rulebook.columns import TABLES, columns, singles  # noqa: E402
from recipelint.rulebook.explain import example_lines  # noqa: E402
from recipelint.rulebook.expressions import Type  # noqa: E402
from recipelint.rulebook.findings import LEVELS  # noqa: E402
from recipelint.rulebook.rule_check import check_rule, let_units, measured_unit  # noqa: E402
from recipelint.rulebook.rules import canonical  # noqa: E402

PAGE_KEYS = ("about", "why", "source", "from_memory", "fires", "silent")
FORMS = ("rules", "built-in", "hazards", "doses", "bases")


def _items(paths: list[str], form: str) -> list[tuple[str, Any]]:
    """(path, items) of the files of one form."""
    found = []
    for path in paths:
        content = read(path)
        kinds = [kind for kind in FORMS if content.get(kind) == 1]
        if len(kinds) != 1:
            raise SourceError(f"{path}: the first key is none of {', '.join(FORMS)}")
        if kinds[0] == form:
            found.append((path, content["items"]))
    return found


def sources(paths: list[str]) -> dict[str, dict[str, Any]]:
    """All rules by name, as written, in the order of files and lines. Raises SourceError for a fault."""
    listed = [(path, number, raw) for path, rows in _items(paths, "rules") for number, raw in enumerate(rows)]
    built_in = [name for _, items in _items(paths, "built-in") for name in items]
    names = [raw["rule"] for _, _, raw in listed]
    hazards = {name for _, items in _items(paths, "hazards") for name in items}
    bases = {name for _, items in _items(paths, "bases") for name in items}
    rules: dict[str, dict[str, Any]] = {}
    for path, number, raw in listed:
        for fault in check_rule(raw, path, f"/items/{number}", (*names, *built_in)):
            raise SourceError(f"{fault.at.file}{fault.at.pointer}: {fault.message}")
        _check_page(f"{path}: {raw['rule']}", raw, bases, hazards)
        if raw["rule"] in rules:
            raise SourceError(f"{path}: the rule {raw['rule']} stands in the book twice")
        rules[raw["rule"]] = raw
    return rules


def _check_page(where: str, raw: Mapping[str, Any], bases: set[str], hazards: set[str]) -> None:
    """What a rule of the shipped book needs beyond being judged."""
    for key in (*PAGE_KEYS, "remedy"):
        if key not in raw:
            raise SourceError(f"{where} has no `{key}`")
    for key in ("fires", "silent"):
        if raw[key].get("base") not in bases:
            raise SourceError(f"{where}: {key} stands on no known recipe")
    if raw.get("caution") is not None and raw["caution"] not in hazards:
        raise SourceError(f"{where}: {raw['caution']} is no caution")


def build_rules(paths: list[str]) -> dict[str, Any]:
    """rules.json: each rule without its page, every limit a plain number in the unit of the measure."""
    out: dict[str, Any] = {}
    for name, raw in sources(paths).items():
        short = {key: value for key, value in raw.items() if key not in PAGE_KEYS}
        out[name] = canonical(short, measured_unit(raw), let_units(raw))
    return out


def build_pages(paths: list[str]) -> dict[str, Any]:
    """pages.json: ``rule NAME``, ``built-in NAME`` and ``hazard NAME``; examples as the lines that a page shows."""
    out: dict[str, Any] = {}
    for name, raw in sources(paths).items():
        page = {key: raw[key] for key in PAGE_KEYS}
        out[f"rule {name}"] = page | {key: {"lines": example_lines(raw[key])} for key in ("fires", "silent")}
    for form, word in (("built-in", "built-in"), ("hazards", "hazard")):
        for _, items in _items(paths, form):
            out.update({f"{word} {name}": value for name, value in items.items()})
    return out


def build_doses(paths: list[str]) -> dict[str, Any]:
    """doses.json: the usual range of each addition, without sources and remarks."""
    out: dict[str, Any] = {}
    for path, items in _items(paths, "doses"):
        for name, row in items.items():
            low, high = row["dose"]
            if not 0 < low < high:
                raise SourceError(f"{path}: the range of {name} does not rise")
            kept = ("unit", "per", "forms", "each_g", "strength", "other_strengths", "judged")
            out[name] = {"low": low, "high": high, **{key: row[key] for key in kept if key in row}}
    return out


SOURCES = ("rules/*.yaml",)
# Name under recipelint/data/generated, sources, and the function that makes the one of the other.
PARTS: tuple[tuple[str, tuple[str, ...], Callable[[list[str]], dict[str, Any]]], ...] = (
    ("rules.json", SOURCES, build_rules),
    ("pages.json", SOURCES, build_pages),
    ("doses.json", SOURCES, build_doses),
)


def source_paths() -> list[str]:
    return [path for pattern in SOURCES for path in sorted(glob.glob(os.path.join(ROOT, pattern)))]


def readme(paths: list[str]) -> str:
    """rules/README.md: every rule, its group and what it judges."""
    lines = [
        "# The rule book",
        "",
        "One file for each group of rules. The limits stand in the rules themselves and are starting points: each",
        "is a setting of the house, for all beers or for a style. `recipelint explain RULE` shows a rule's page.",
        "",
        "This list is made from the rules by `python tools/generate_rules.py`.",
        "",
        "| rule | group | level | judges | source |",
        "| --- | --- | --- | --- | --- |",
    ]
    rules = sources(paths)
    for name, raw in sorted(rules.items(), key=lambda pair: (pair[1]["group"], pair[0])):
        named = {limit.partition("_")[0] for limit in raw.get("limits", {})} or {raw["level"]}
        levels = [level for level in LEVELS if level in named]
        recalled = ", partly from memory" if raw["from_memory"] else ""
        cells = (f"`{name}`", raw["group"], ", ".join(levels), raw["about"], f"{raw['source']}{recalled}")
        lines.append("| " + " | ".join(cells) + " |")
    lines += [
        "",
        "What is checked in code and not by a rule as data:",
        "",
        "| check | level | judges |",
        "| --- | --- | --- |",
    ]
    for _, items in _items(paths, "built-in"):
        lines += [f"| `{name}` | {page['level']} | {page['about']} |" for name, page in items.items()]
    return "\n".join([*lines, *_writing(), *_facts()]) + "\n"


def _writing() -> list[str]:
    """How a rule is written, for a house that wants its own."""
    return [
        "",
        "## Rules of your own",
        "",
        "A file of rules begins with `rules: 1` and holds them under `items`. A rule judges the recipe as a",
        "whole, or with `each` the rows of a table; `where` says which. It has a `measure` with `limits`, or a",
        "`level` with or without something `missing`. Limits are written with their units; numbers in expressions",
        "are in the units listed below, shares and strengths as fractions (`abv > 0.09`).",
        "",
        "```yaml",
        "rules: 1",
        "items:",
        "  - rule: our-first-charge",
        "    group: house",
        "    each: hops",
        "    where: stage == 'boil' and minutes >= 60",
        "    measure: dose",
        "    limits: {note_above: 3 g/L, warning_above: 5 g/L}",
        "    point: weight",
        '    message: "{name} at {dose} for {minutes} is more than we like"',
        "    why: Our water makes early bitterness rough.",
        "    source: common practice",
        "```",
        "",
        "Expressions know names, numbers, texts, `and or not in`, comparison, `+ - * /`, `abs`, `min` and `max`.",
        "A fact that is not known makes the rule undecided, and an undecided rule is silent.",
    ]


def _facts() -> list[str]:
    """Every fact a rule may name, by table and unit."""
    lines = [
        "",
        "## Facts",
        "",
        "Once for each recipe, in every rule:",
        "",
        "| unit | facts |",
        "| --- | --- |",
    ]
    lines += _by_unit({name: Type("number", spec.unit) for name, spec in STATS.items()} | singles())
    for table in TABLES:
        lines += [
            "",
            f"For each row of `{table}`:",
            "",
            "| unit | columns |",
            "| --- | --- |",
            *_by_unit(columns(table)),
        ]
    return lines


def _by_unit(kinds: Mapping[str, Type]) -> list[str]:
    rows: dict[str, list[str]] = {}
    for name, kind in kinds.items():
        unit = _KIND_WORDS.get(kind.kind) or (kind.unit or "any").replace("@dose_unit", "in `dose_unit`")
        rows.setdefault("share (1)" if unit == "1" else unit, []).append(f"`{name}`")
    return [f"| {unit} | {', '.join(sorted(names))} |" for unit, names in sorted(rows.items())]


_KIND_WORDS = {"text": "text", "flag": "yes or no", "texts": "list of texts"}


def main(arguments: list[str]) -> int:
    if arguments not in ([], ["--check"]):
        print(__doc__, file=sys.stderr)
        return 2
    from generate import TARGET_FOLDER, lay_out  # generate.py imports this module for its registry

    paths = source_paths()
    try:
        texts = {os.path.join(TARGET_FOLDER, name): lay_out(build(paths)) for name, _, build in PARTS}
        texts[os.path.join(ROOT, "rules", "README.md")] = readme(paths)
    except SourceError as trouble:
        print(f"generate_rules: {trouble}", file=sys.stderr)
        return 1
    return settle("generate_rules", texts, bool(arguments))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
