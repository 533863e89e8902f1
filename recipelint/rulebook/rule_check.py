"""Holds a rule to what the engine can judge: names, kinds, units, limits, templates. Faults become findings.

Used when the shipped book is generated and when a house brings rules of its own; the lint path proper never
needs it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any, get_args, get_type_hints

from recipelint.recipe import model
from recipelint.recipe.nearest import nearest
from recipelint.rulebook import rules
from recipelint.rulebook.columns import TABLES, columns, facts
from recipelint.rulebook.expressions import (
    Compiled,
    ExpressionError,
    Name,
    Type,
    compile_expression,
    suggestion,
)
from recipelint.rulebook.findings import LEVELS, Finding, shorten
from recipelint.rulebook.messages import MessageError, split_template
from recipelint.rulebook.pointing import FIELD_OF
from recipelint.rulebook.units import example_of, parse_limit, written_plainly
from recipelint.source.nodes import At

RULE_KEYS = [
    "rule",
    "group",
    "about",
    "each",
    "where",
    "measure",
    "unit",
    "limits",
    "level",
    "missing",
    "let",
    "related",
    "point",
    "message",
    "why",
    "remedy",
    "source",
    "from_memory",
    "styles",
    "moot_if",
    "caution",
    "fires",
    "silent",
]
RECORDS: dict[str, type] = {
    "grist": model.GristItem,
    "hops": model.HopItem,
    "rests": model.Rest,
    "steps": model.Step,
    "cultures": model.Culture,
    "additions": model.AdditionItem,
    "waters": model.Water,
    "stages": model.Stage,
    "packages": model.Package,
    "promises": model.Expectation,
    "style": model.StyleChoice,
}


def check_rule(raw: Any, file: str, at: str, known: Sequence[str] = ()) -> list[Finding]:
    """What is wrong with one rule; an empty list if it can be built and judged."""
    return _Check(raw, file, at, known).run()


def measured_unit(raw: Mapping[str, Any]) -> str | None:
    """The unit of the rule's measure: as written, else as it follows from the expression; ``None`` for a
    bare number.
    """
    if "measure" not in raw:
        return None
    if "unit" in raw:
        return str(raw["unit"])
    each = _each(raw)
    lets = _lets(raw)
    return compile_expression(raw["measure"], rules.names_of(each, lets)).type.unit


def let_units(raw: Mapping[str, Any]) -> dict[str, str | None]:
    """The units of the rule's own names."""
    return {let.name: rules.let_type(let).unit for let in _lets(raw)}


def _each(raw: Mapping[str, Any]) -> tuple[str, ...]:
    each = raw.get("each") or ()
    return (each,) if isinstance(each, str) else tuple(each)


def _lets(raw: Mapping[str, Any]) -> tuple[rules.Let, ...]:
    """Lets with the types of derived ones filled in."""
    made: list[rules.Let] = []
    for name, value in (raw.get("let") or {}).items():
        let = rules.read_let(name, value)
        if let.expression is not None:
            unit = compile_expression(let.expression, rules.names_of((), made)).type.unit
            let = let._replace(unit=unit)
        made.append(let)
    return tuple(made)


class _Check:
    def __init__(self, raw: Any, file: str, at: str, known: Sequence[str]) -> None:
        self.raw = raw
        self.file = file
        self.at = at
        self.known = known
        self.faults: list[Finding] = []

    def fault(self, where: str, message: str) -> None:
        name = self.raw.get("rule") if isinstance(self.raw, Mapping) else None
        lead = f"{name}: " if isinstance(name, str) else ""
        text = (lead + message).replace("{", "(").replace("}", ")")
        self.faults.append(Finding("rule-invalid", "error", shorten(text), At(self.file, self.at + where)))

    def run(self) -> list[Finding]:
        steps: tuple[Callable[[], None], ...] = (
            self.shape,
            self.tables,
            self.lets,
            self.judging,
            self.words,
            self.others,
        )
        for step in steps:
            step()
            if self.faults:  # a later step would only report the same fault in other words
                break
        return self.faults

    def one_of(self, where: str, word: object, words: Collection[str], what: str) -> bool:
        if word in words:
            return True
        near = suggestion(nearest(str(word), list(words)))
        self.fault(where, f"{word} is no {what}{near or '; known are ' + ', '.join(words)}")
        return False

    def shape(self) -> None:
        raw = self.raw
        if not isinstance(raw, Mapping) or not isinstance(raw.get("rule"), str):
            self.fault("", "a rule is a map that begins with its name, such as `rule: my-rule`")
            return
        for key in raw:
            self.one_of(f"/{key}", key, RULE_KEYS, "key of a rule")
        for key in ("group", "message"):
            if not isinstance(raw.get(key), str):
                self.fault("", f"`{key}` is missing")
        for key in ("where", "measure", "missing", "point", "related", "why", "remedy", "caution", "unit"):
            if key in raw and not isinstance(raw[key], str):
                self.fault(f"/{key}", f"`{key}` is a text")
        for key in ("limits", "let"):
            if key in raw and not isinstance(raw[key], Mapping):
                self.fault(f"/{key}", f"`{key}` is a map")
        ways = [key for key in ("measure", "missing", "level") if key in raw]
        if "measure" in raw and not raw.get("limits"):
            self.fault("/measure", "a measure needs limits, such as `warning_above: 2`")
        elif not ways or ("measure" in raw and len(ways) > 1):
            self.fault("", "a rule has a measure with limits, or a level, with `missing` or without")
        elif "missing" in raw and "level" not in raw:
            self.fault("/missing", "what is missing needs a level: note, warning or error")
        if "level" in raw:
            self.one_of("/level", raw["level"], LEVELS, "level")

    def tables(self) -> None:
        for table in _each(self.raw):
            self.one_of("/each", table, TABLES, "table")
        if "related" in self.raw and self.raw["related"] != "previous":
            self.fault("/related", "only `related: previous` is known")

    def compiled(self, text: object, names: Mapping[str, Name], where: str, kind: str) -> Compiled | None:
        if not isinstance(text, str):
            self.fault(where, "an expression is a text")
            return None
        try:
            made = compile_expression(text, names)
        except ExpressionError as trouble:
            self.fault(where, f"{trouble.message} (column {trouble.column})")
            return None
        if made.type.kind != kind:
            self.fault(where, f"this must be a {'number' if kind == 'number' else 'yes or no'}")
            return None
        return made

    def lets(self) -> None:
        made: list[rules.Let] = []
        for name, value in (self.raw.get("let") or {}).items():
            where = f"/let/{name}"
            if not str(name).isidentifier() or name in rules.names_of(_each(self.raw), ()):
                self.fault(where, f"{name} cannot be a name of the rule's own: it is taken or no plain word")
                return
            let = self.let(name, value, where, made)
            if let is None:
                return
            made.append(let)

    def let(self, name: str, value: Any, where: str, before: list[rules.Let]) -> rules.Let | None:
        if not isinstance(value, Mapping):
            if rules.let_quantity(value)[0] is None:
                self.fault(where, f"{value} is no quantity; write it like `150 mg/L` or `15 %`")
                return None
            return rules.read_let(name, value)
        if "is" in value:
            made = self.compiled(value["is"], rules.names_of((), before), where, "number")
            return rules.Let(name, expression=value["is"], unit=made.type.unit) if made else None
        gather = [word for word in rules.AGGREGATES if word in value]
        if len(gather) != 1 or set(value) - {gather[0], "of", "where"}:
            self.fault(
                where,
                f"a gathered name is one of {', '.join(rules.AGGREGATES)} with `of` and perhaps `where`",
            )
            return None
        if not self.one_of(f"{where}/of", value.get("of"), TABLES, "table"):
            return None
        kinds = columns(value["of"])
        if not self.one_of(f"{where}/{gather[0]}", value[gather[0]], list(kinds), f"column of {value['of']}"):
            return None
        if gather[0] in ("sum", "max", "min") and kinds[value[gather[0]]].kind != "number":
            self.fault(f"{where}/{gather[0]}", f"{value[gather[0]]} is no number")
            return None
        if "where" in value:
            names = rules.names_of((value["of"],), before)
            if self.compiled(value["where"], names, f"{where}/where", "flag") is None:
                return None
        return rules.read_let(name, value)

    def judging(self) -> None:
        raw, each, lets = self.raw, _each(self.raw), _lets(self.raw)
        names = rules.names_of(each, lets)
        if "where" in raw:
            self.compiled(raw["where"], names, "/where", "flag")
        if "missing" in raw:
            self.missing(each, raw["missing"])
        unit = None
        if "measure" in raw:
            made = self.compiled(raw["measure"], names, "/measure", "number")
            if made is None:
                return
            unit = str(raw["unit"]) if "unit" in raw else made.type.unit
            self.limits(raw["limits"], "/limits", unit, {}, names)
        own = {let.name: let for let in lets if let.value is not None}
        for number, case in enumerate(raw.get("styles") or ()):
            where = f"/styles/{number}"
            if not isinstance(case, Mapping) or not any(case.get(key) for key in ("slugs", "tags", "groups")):
                self.fault(where, "a case for styles names slugs, tags or groups")
                continue
            for key in case:
                self.one_of(
                    f"{where}/{key}",
                    key,
                    ("slugs", "tags", "groups", "limits", "silent", "level"),
                    "key of a case",
                )
            self.limits(case.get("limits") or {}, f"{where}/limits", unit, own, names)

    def limits(
        self,
        given: Mapping[str, Any],
        where: str,
        unit: str | None,
        own: Mapping[str, rules.Let],
        names: Mapping[str, Name],
    ) -> None:
        values: dict[str, float] = {}
        for name, value in given.items():
            place = f"{where}/{name}"
            if name in own:
                if not written_plainly(value, own[name].unit):
                    self.fault(place, f"{value} is no quantity of `let`; it is {example_of(own[name].unit)}")
                continue
            if not self.one_of(place, name, (*rules.LIMIT_NAMES, *own), "limit"):
                continue
            number = self.limit(value, place, unit, names)
            if number is not None:
                values[name] = number
        for side, sign in (("above", 1.0), ("below", -1.0)):
            row = [sign * values[f"{level}_{side}"] for level in LEVELS if f"{level}_{side}" in values]
            if row != sorted(row):
                self.fault(where, f"the limits {side} must grow graver from note to warning to error")

    def limit(self, value: Any, where: str, unit: str | None, names: Mapping[str, Name]) -> float | None:
        if not isinstance(value, Mapping):
            number = parse_limit(value, unit) if written_plainly(value, unit) else None
            if number is None:
                self.fault(where, f"{value} is no limit here; it is {example_of(unit)}")
            return number
        if set(value) == {"is"}:
            made = self.compiled(value["is"], names, where, "number")
            if made and made.type.unit and unit and made.type.unit != unit:
                self.fault(where, f"the measure is in {unit}, this limit in {made.type.unit}")
            return None
        if (
            set(value) != {"by", "points"}
            or not isinstance(value["points"], Sequence)
            or len(value["points"]) < 2
        ):
            self.fault(
                where, "a limit is a quantity, `by` with two or more `points`, or `is` with an expression"
            )
            return None
        numbers = [name for name, kind in facts().items() if kind.kind == "number"]
        if not self.one_of(f"{where}/by", value["by"], numbers, "stat"):
            return None
        self.points(value, where, unit)
        return None

    def points(self, value: Mapping[str, Any], where: str, unit: str | None) -> None:
        by = facts()[value["by"]].unit
        before = None
        for number, point in enumerate(value["points"]):
            pair = tuple(point) if isinstance(point, Sequence) and not isinstance(point, str) else ()
            x = parse_limit(pair[0], by) if len(pair) == 2 else None
            if x is None or not all(map(written_plainly, pair, (by, unit))):
                self.fault(f"{where}/points/{number}", f"a point is a pair of {value['by']} and limit")
            elif before is not None and x <= before:
                self.fault(f"{where}/points/{number}", "the points must rise from left to right")
            before = x

    def missing(self, each: tuple[str, ...], pointer: str) -> None:
        records = [RECORDS[table] for table in each if table in RECORDS] if each else [model.Recipe]
        if len(records) != max(1, len(each)):
            self.fault("/missing", "nothing can be missing from a vessel")
        for record in records:
            trouble = no_field(record, pointer)
            if trouble:
                self.fault("/missing", trouble)

    def words(self) -> None:
        raw, each, lets = self.raw, _each(self.raw), _lets(self.raw)
        names: dict[str, Type] = {name: known.type for name, known in rules.names_of(each, lets).items()}
        if "measure" in raw:
            names.update(value=Type("number"), limit=Type("number"))
        try:
            pieces = split_template(raw["message"])
        except MessageError as trouble:
            self.fault("/message", str(trouble))
            return
        for piece in pieces:
            if piece.name is not None and piece.name not in names:
                self.fault(
                    "/message", f"{piece.name} is no fact here{suggestion(nearest(piece.name, list(names)))}"
                )
        first = pieces[0]
        if first.name is None and not first.text[:1].isdigit():
            self.fault(
                "/message", "a message begins with a name or a number, so that the eye finds what it is about"
            )
        if "point" in raw and not each and not raw["point"].startswith("/") and "measure" not in raw:
            self.fault(
                "/point",
                "without a table or a measure the point is a pointer from the root, such as /boil/for",
            )

    def others(self) -> None:
        for name in self.raw.get("moot_if") or ():
            if self.known:
                self.one_of("/moot_if", name, self.known, "rule")


def no_field(record: type, pointer: str) -> str:
    """Why the pointer cannot be followed from the record; an empty text if it can."""
    for key in pointer.strip("/").split("/"):
        hints = get_type_hints(record, vars(model))
        field = FIELD_OF.get(key, key)
        if field not in hints or (key == "at" and "temperature" not in hints):
            shown = [name.rstrip("_") for name in hints if name != "at"]
            return f"{key} is no key of this{suggestion(nearest(key, shown))}"
        inner = [kind for kind in get_args(hints[field]) if hasattr(kind, "_fields")]
        record = inner[0] if inner else type(None)
    return ""
