"""Rules as data: what a rule says, and how it is read from the shipped book or from a house's file.

Shipped rules were checked when they were generated and are taken as they are. A house's rules are checked
here: every name, kind, unit and limit, each fault a finding ``rule-invalid`` with its place and, where one is
near, a suggestion.
"""

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from recipelint.recipe import shipped
from recipelint.rulebook.built_in import built_in_names
from recipelint.rulebook.columns import columns, facts, shared_columns
from recipelint.rulebook.expressions import Name, Type
from recipelint.rulebook.findings import LEVELS, Finding, shorten
from recipelint.rulebook.units import parse_limit
from recipelint.source.nodes import At

ROW, LET, FACT = 0, 1, 2
AGGREGATES = ("sum", "max", "min", "count", "names")
SIDES = ("above", "below")
LIMIT_NAMES = tuple(f"{level}_{side}" for level in reversed(LEVELS) for side in SIDES)

# Not waved away: people can be hurt, or are told something untrue.
SAFETY_GROUPS = ("safety", "claims")
SAFETY_CAUTIONS = ("bottle-bomb", "botulism-stored-wort")

# A quantity of ``let`` is read as the first of these that fits.
_LET_UNITS = (
    "1",
    "kg",
    "L",
    "min",
    "h",
    "°C",
    "K",
    "mg/L",
    "g/L",
    "L/kg",
    "bar",
    "vol",
    "EBC",
    "IBU",
    "SRM",
    "°Lintner",
)


class Limit(NamedTuple):
    """One limit: a number, a line through points by another fact, or an expression."""

    name: str
    value: float | None = None
    by: str | None = None
    points: tuple[tuple[float, float], ...] = ()
    expression: str | None = None

    @property
    def level(self) -> str:
        return self.name.partition("_")[0]

    @property
    def above(self) -> bool:
        return self.name.endswith("_above")


class Let(NamedTuple):
    """A name of the rule's own: a quantity, an expression, or something gathered from a table."""

    name: str
    value: float | None = None
    unit: str | None = None
    expression: str | None = None
    gather: str | None = None
    column: str | None = None
    table: str | None = None
    where: str | None = None


class StyleCase(NamedTuple):
    """What is different for some styles; ``limits`` may also replace quantities of ``let``."""

    slugs: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    groups: tuple[str, ...] = ()
    limits: tuple[Limit, ...] = ()
    lets: tuple[tuple[str, float], ...] = ()
    silent: bool = False
    level: str | None = None


class Rule(NamedTuple):
    """One opinion. ``page`` holds what only its page shows; ``memo`` what is compiled on first use."""

    id: str
    group: str
    each: tuple[str, ...]
    where: str | None
    measure: str | None
    unit: str | None
    limits: tuple[Limit, ...]
    level: str | None
    missing: str | None
    let: tuple[Let, ...]
    related: str | None
    point: str | None
    message: str
    remedy: str | None
    styles: tuple[StyleCase, ...]
    moot_if: tuple[str, ...]
    caution: str | None
    file: str | None
    at: str
    page: Mapping[str, Any]
    memo: dict[str, Any]

    @property
    def safety(self) -> bool:
        """Whether the rule guards people or the truth of a claim."""
        return self.group in SAFETY_GROUPS or self.caution in SAFETY_CAUTIONS


_PAGE_KEYS = ("about", "why", "source", "from_memory", "fires", "silent")
_book: list[tuple[Rule, ...]] = []


def shipped_rules() -> tuple[Rule, ...]:
    """The rule book that comes with the tool, by name."""
    if not _book:
        _book.append(tuple(build(raw, None, "") for raw in shipped.load("rules").values()))
    return _book[0]


def load_rules(
    data: Mapping[str, Any], file: str, known: Sequence[str] = ()
) -> tuple[tuple[Rule, ...], list[Finding]]:
    """The rules of a house's file and what is wrong with them; a rule with a fault is left out.

    ``data`` is the file as plain data, its shape already held to the schema. ``known`` are the ids of the
    other rules, for ``moot_if``.
    """
    # Only a house with rules of its own pays for this import.
    from recipelint.rulebook.rule_check import check_rule, let_units, measured_unit

    rules: list[Rule] = []
    findings: list[Finding] = []
    items = data.get("items") or []
    taken = {*known, *built_in_names()}
    names = [str(raw["rule"]) for raw in items if isinstance(raw, Mapping) and "rule" in raw]
    for number, raw in enumerate(items):
        at = f"/items/{number}"
        faults = check_rule(raw, file, at, (*taken, *names))
        if not faults and raw["rule"] in taken:
            text = f"{raw['rule']} is the name of another rule; change that one under `rules` of the house"
            faults = [Finding("rule-invalid", "error", shorten(text), At(file, f"{at}/rule"))]
        findings += faults
        if not faults:
            taken.add(raw["rule"])
            rules.append(build(canonical(raw, measured_unit(raw), let_units(raw)), file, at))
    return tuple(rules), findings


def build(raw: Mapping[str, Any], file: str | None, at: str) -> Rule:
    """A rule from plain data that has been checked."""
    each = raw.get("each") or ()
    each = (each,) if isinstance(each, str) else tuple(each)
    lets = tuple(read_let(name, value) for name, value in (raw.get("let") or {}).items())
    unit = raw.get("unit")
    return Rule(
        id=raw["rule"],
        group=raw["group"],
        each=each,
        where=raw.get("where"),
        measure=raw.get("measure"),
        unit=unit,
        limits=read_limits(raw.get("limits") or {}, unit),
        level=raw.get("level"),
        missing=raw.get("missing"),
        let=lets,
        related=raw.get("related"),
        point=raw.get("point"),
        message=raw["message"],
        remedy=raw.get("remedy"),
        styles=tuple(_style_case(case, unit, lets) for case in raw.get("styles") or ()),
        moot_if=tuple(raw.get("moot_if") or ()),
        caution=raw.get("caution"),
        file=file,
        at=at,
        page={key: raw[key] for key in _PAGE_KEYS if key in raw},
        memo={},
    )


def read_limits(raw: Mapping[str, Any], unit: str | None) -> tuple[Limit, ...]:
    """Limits, gravest first; what names no limit is left out (it names a quantity of ``let``)."""
    return tuple(_limit(name, raw[name], unit) for name in LIMIT_NAMES if name in raw)


def _limit(name: str, raw: Any, unit: str | None) -> Limit:
    if isinstance(raw, Mapping):
        if "is" in raw:
            return Limit(name, expression=raw["is"])
        by = str(raw["by"])
        by_unit = (
            facts()[by].unit if by in facts() and any(isinstance(x, str) for x, _ in raw["points"]) else None
        )
        points = tuple(
            (parse_limit(x, by_unit) or 0.0, parse_limit(y, unit) or 0.0) for x, y in raw["points"]
        )
        return Limit(name, by=by, points=points)
    return Limit(name, value=parse_limit(raw, unit))


def read_let(name: str, raw: Any) -> Let:
    if isinstance(raw, Mapping):
        if "is" in raw:
            return Let(name, expression=raw["is"], unit=raw.get("unit"))
        if "value" in raw:  # the generated form of a quantity
            return Let(name, value=raw["value"], unit=raw["unit"])
        gather = next(word for word in AGGREGATES if word in raw)
        return Let(name, gather=gather, column=raw[gather], table=raw["of"], where=raw.get("where"))
    value, unit = let_quantity(raw)
    return Let(name, value=value, unit=unit)


def let_quantity(raw: Any) -> tuple[float | None, str | None]:
    """A quantity of ``let`` and its unit; a bare number fits every unit."""
    if not isinstance(raw, str):
        return parse_limit(raw, None), None
    for unit in _LET_UNITS:
        value = parse_limit(raw, unit)
        if value is not None:
            return value, unit
    return None, None


def _style_case(raw: Mapping[str, Any], unit: str | None, lets: tuple[Let, ...]) -> StyleCase:
    given = raw.get("limits") or {}
    replaced = [(let.name, parse_limit(given[let.name], let.unit)) for let in lets if let.name in given]
    return StyleCase(
        slugs=tuple(raw.get("slugs") or ()),
        tags=tuple(raw.get("tags") or ()),
        groups=tuple(raw.get("groups") or ()),
        limits=read_limits(given, unit),
        lets=tuple((name, value) for name, value in replaced if value is not None),
        silent=bool(raw.get("silent")),
        level=raw.get("level"),
    )


_names: dict[tuple[str, ...], dict[str, Name]] = {}


def names_of(each: Sequence[str], lets: Sequence[Let]) -> Mapping[str, Name]:
    """All names an expression of the rule may use, with their types and where they are found; not to be
    changed.

    ``each`` are the tables whose rows are judged, none for the recipe as a whole.
    """
    key = tuple(each)
    if key not in _names:
        names = (
            {name: Name(kind, FACT) for name, kind in facts().items()} if not key else dict(names_of((), ()))
        )
        if key:
            names.update({name: Name(kind, ROW) for name, kind in shared_columns(key).items()})
        _names[key] = names
    return (
        _names[key] if not lets else {**{let.name: Name(let_type(let), LET) for let in lets}, **_names[key]}
    )


def let_type(let: Let) -> Type:
    if let.gather in ("sum", "max", "min"):
        return columns(let.table or "").get(let.column or "", Type("number"))
    if let.gather == "count":
        return Type("number", "count")
    if let.gather == "names":
        return Type("texts")
    return Type("number", let.unit)


def canonical(
    raw: Mapping[str, Any], unit: str | None, let_units: Mapping[str, str | None]
) -> dict[str, Any]:
    """The rule with every limit in canonical numbers, as it is shipped: nothing is left to parse at run time.

    ``unit`` is that of the measure, ``let_units`` those of the rule's own names.
    """
    out = dict(raw)
    lets = {name: _plain_let(value, let_units.get(name)) for name, value in (raw.get("let") or {}).items()}
    if lets:
        out["let"] = lets
    if unit is not None:
        out["unit"] = unit
    if "limits" in raw:
        out["limits"] = _plain_limits(raw["limits"], unit, lets)
    if "styles" in raw:
        out["styles"] = [
            {**case, "limits": _plain_limits(case["limits"], unit, lets)} if "limits" in case else dict(case)
            for case in raw["styles"]
        ]
    return out


def _plain_let(raw: Any, unit: str | None) -> Any:
    if isinstance(raw, Mapping):
        return {**raw, "unit": unit} if "is" in raw else dict(raw)
    value, unit = let_quantity(raw)
    return {"value": value, "unit": unit}


def _plain_limits(raw: Mapping[str, Any], unit: str | None, lets: Mapping[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name, value in raw.items():
        if name in lets:
            out[name] = parse_limit(value, lets[name].get("unit"))
            continue
        limit = _limit(name, value, unit)
        if limit.by:
            out[name] = {"by": limit.by, "points": [list(point) for point in limit.points]}
        else:
            out[name] = {"is": limit.expression} if limit.expression else limit.value
    return out
