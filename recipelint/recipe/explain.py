"""Puts into words why a document has not the shape of its kind.

Only used for a file that failed: jsonschema finds the places, the annotations of the schema and the value give the
words. One cause gives one trouble. What texts say (quantities, times) the builder's readers word themselves.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable
from typing import Any

from recipelint.recipe import forms
from recipelint.recipe.branches import leaves
from recipelint.recipe.nearest import nearest
from recipelint.recipe.quantity import QuantityError, brief, parse
from recipelint.recipe.schema import VERSION, schema
from recipelint.recipe.troubles import Trouble
from recipelint.recipe.units import KINDS
from recipelint.source.nodes import At, Document
from recipelint.source.pointer import join

MOST = 300  # of one file; a file with more faults than that has one cause that comes first
_LONGEST = 160
# What is left of `4,5 kg` behind its comma, in a map between braces.
_AFTER_COMMA = re.compile(r"[0-9]+ *[^\W\d_%°]{0,4}[%°]?[A-Z]?(/[A-Za-z]{1,3})?\Z")
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?\Z")


def explain(kind: str, document: Document) -> list[Trouble]:
    """What is wrong with the shape of a document that its schema refused."""
    import jsonschema  # 0.1 s: only for a file that failed

    data = document.root.data if document.root is not None else None
    out: list[Trouble] = []
    validator = jsonschema.Draft202012Validator(schema(kind))
    for error in itertools.islice(validator.iter_errors(data), MOST):
        for leaf in leaves(error, kind):
            out += _Words(document, leaf, kind).troubles()
    strange = [each for each in out if each.rule == "wrong-shape" and each.at.pointer == f"/{kind}"]
    return strange or _once(out)  # in another version of the form nothing else can be said


def _once(troubles: list[Trouble]) -> list[Trouble]:
    """One cause, one trouble: a key that was meant for a missing one is not also an unknown key."""
    taken = {(each.at, each.part) for each in troubles if each.rule == "key-missing" and each.part == "key"}
    return [each for each in troubles if each.rule != "unknown-key" or (each.at, each.part) not in taken]


def quoted(text: str) -> str:
    """What was written, in the quotes of our messages."""
    return f"`{brief(text)}`"


def near(text: str, names: Iterable[str]) -> str | None:
    """The name that was probably meant, or None."""
    found = nearest(text, list(names), count=1)
    return found[0] if found else None


def said(value: object) -> str:
    """How a value is spoken of: a scalar by its text, a collection by what it is."""
    if isinstance(value, dict):
        return "a map"
    if isinstance(value, list):
        return "a list"
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return f"`{str(value).lower()}`"
    return quoted(str(value) if not isinstance(value, int) or abs(value) < 1e40 else "a very long number")


def _fit(head: str, names: list[str], tail: str = "") -> str:
    """A sentence with as many of the names as there is room for."""
    for count in range(len(names), 0, -1):
        listed = ", ".join(names[:count]) + ("" if count == len(names) else " and others")
        if len(head) + len(listed) + len(tail) <= _LONGEST:
            return f"{head}{listed}{tail}"
    return head[:_LONGEST]


_WANTED = {
    "object": "keys with values",
    "array": "a list",
    "string": "text",
    "boolean": "true or false",
    "integer": "a whole number",
    "number": "a number",
}


class _Words:
    """One error of the schema in words."""

    def __init__(self, document: Document, error: Any, kind: str) -> None:
        self.document = document
        self.kind = kind
        self.error = error
        self.path = list(error.absolute_path)
        self.node: dict[str, Any] = error.schema if isinstance(error.schema, dict) else {}
        self.name = self._name()

    def troubles(self) -> list[Trouble]:
        """The error as troubles; an error about unknown keys gives one for each."""
        word = {
            "additionalProperties": self._unknown_keys,
            "required": self._missing,
            "oneOf": self._none_of,
            "enum": self._not_among,
            "const": self._version,
            "propertyNames": self._bad_name,
            "anyOf": self._no_choice,
        }.get(self.error.validator)
        return word() if word is not None else self._value()

    def _said(self) -> str:
        """The value as it stands in the file."""
        value = self.error.instance
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            node = self.document.find(join(*self.path))
            return quoted(node.raw) if node is not None else said(value)
        return said(value)

    def _name(self) -> str:
        """The key a value belongs to; an entry of a list is spoken of by its number."""
        for depth in range(len(self.path) - 1, -1, -1):
            if isinstance(self.path[depth], str):
                numbers = "".join(f" {step + 1}" for step in self.path[depth + 1 :] if isinstance(step, int))
                return quoted(self.path[depth]) + (f" number{numbers}" if numbers else "")
        return self.document.file

    def _trouble(self, rule: str, message: str, *below: str, part: str = "value") -> Trouble:
        text = message.replace("{", "(").replace("}", ")")
        if len(text) > _LONGEST:
            text = text[: _LONGEST - 3] + "..."
        return Trouble(rule, text, At(self.document.file, join(*self.path, *below)), part)

    def _unknown_keys(self) -> list[Trouble]:
        known = list(self.node.get("properties", {}))
        stats = "x-stats" in self.node
        present = set(self.error.instance)
        out = []
        for key in itertools.islice((key for key in self.error.instance if key not in known), MOST):
            meant = near(key, [each for each in known if each not in present])
            if stats:
                message = f"{quoted(key)} is no stat"
                message += (
                    f": did you mean `{meant}`?"
                    if meant
                    else "; `recipelint stats --format json` shows them by name"
                )
                out.append(self._trouble("unknown-stat", message, key, part="key"))
                continue
            if self.error.instance[key] is None and _AFTER_COMMA.match(key):
                message = f"{quoted(key)} stands behind a comma, which ends a value here: write a point, as in `4.5 kg`"
            elif meant:
                message = f"{quoted(key)} is not a key here: did you mean `{meant}`?"
            else:
                message = _fit(f"{quoted(key)} is not a key here; {self._owner()} has ", known)
            out.append(self._trouble("unknown-key", message, key, part="key"))
        return out

    def _owner(self) -> str:
        return self.name if self.path else "this file"

    def _missing(self) -> list[Trouble]:
        key = next(
            (
                each
                for each in self.error.validator_value
                if f"'{each}'" in self.error.message.split(" is ")[0]
            ),
            "",
        )
        known = list(self.node.get("properties", {}))
        for given in itertools.islice(self.error.instance, MOST):
            if given not in known and near(given, [key]):
                message = f"{quoted(given)} is near `{key}`, which {self._owner()} needs"
                return [self._trouble("key-missing", message, given, part="key")]
        example = self._example(key)
        message = f"`{key}` is missing: {self._owner()} needs it" + (
            f", such as `{key}: {example}`" if example else ""
        )
        return [self._trouble("key-missing", message, key)]

    def _example(self, key: str) -> str | None:
        node = self.node.get("properties", {}).get(key, {})
        ref = str(node.get("$ref", "")).rpartition("quantity.")[2]
        if ref in KINDS:
            return KINDS[ref].example
        return str(node["enum"][0]) if "enum" in node else None

    def _none_of(self) -> list[Trouble]:
        """None of several keys of which one has to be there; two of them are the builder's to word."""
        if "x-named-by" in self.node:
            return self._no_row()
        rule = self.node.get("x-exactly-one")
        if rule is None or not isinstance(self.error.instance, dict):
            return self._value()
        keys = rule["keys"]
        if sum(key in self.error.instance for key in keys) > 1:
            return []
        known = self.node.get("properties", {})
        for given in itertools.islice(self.error.instance, MOST):
            meant = near(given, keys) if given not in known else None
            if meant:
                message = f"{quoted(given)} is near `{meant}`: {rule['what']} is one of {', '.join(keys)}"
                return [self._trouble("key-missing", message, given, part="key")]
        return [
            self._trouble(
                "key-missing", f"{self.name} names nothing: {rule['what']} is one of {', '.join(keys)}"
            )
        ]

    def _no_row(self) -> list[Trouble]:
        """A row of a list whose key does not say what it is."""
        names = self.node["x-named-by"]
        if not isinstance(self.error.instance, dict):
            return [
                self._trouble("wrong-shape", f"{self.name} wants keys with values; this is {self._said()}")
            ]
        for given in itertools.islice(self.error.instance, MOST):
            meant = near(given, names)
            if meant:
                message = _fit(f"{quoted(given)} is near `{meant}`: a row is one of ", names)
                return [self._trouble("key-missing", message, given, part="key")]
        return [self._trouble("key-missing", _fit(f"{self.name} names nothing: a row is one of ", names))]

    def _no_choice(self) -> list[Trouble]:
        """None of several sets of keys that would do."""
        sets: list[list[str]] = [each.get("required", []) for each in self.error.validator_value]
        if not isinstance(self.error.instance, dict) or not all(sets):
            return self._value()
        words = ", or ".join(" and ".join(f"`{key}`" for key in keys) for keys in sets)
        return [self._trouble("key-missing", f"{self._owner()} needs {words}")]

    def _not_among(self) -> list[Trouble]:
        value, words = self.error.instance, [str(each) for each in self.error.validator_value]
        if not isinstance(value, (str, int, float)) or isinstance(value, bool):
            return [
                self._trouble(
                    "wrong-shape", _fit(f"{self.name} is one of ", words, f"; this is {self._said()}")
                )
            ]
        if len(words) == 1:
            return [
                self._trouble(
                    "wrong-shape", f"{self._said()} is not known here; the only word is `{words[0]}`"
                )
            ]
        meant = near(str(value), words)
        tail = f": did you mean `{meant}`?" if meant else ""
        return [self._trouble("wrong-shape", _fit(f"{self._said()} is not one of ", words, tail))]

    def _version(self) -> list[Trouble]:
        key = self.path[-1] if self.path else ""
        version = brief(str(self.error.instance))
        message = f"`{key}: {version}` is a version of the form I do not know; this is {VERSION}"
        return [self._trouble("wrong-shape", message)]

    def _bad_name(self) -> list[Trouble]:
        message = (
            f"{said(self.error.instance)} cannot be the name of a setting: use small letters and underscores"
        )
        return [self._trouble("unknown-key", message, str(self.error.instance), part="key")]

    def _value(self) -> list[Trouble]:
        """A value of the wrong kind, or outside of its bounds."""
        value = self.error.instance
        message, rule = self._quantity(value)
        if message is None:
            rule = "wrong-shape"
            message = self._empty(value) or self._count(value) or self._bounds(value) or self._type(value)
        return [self._trouble(rule, message)]

    def _quantity(self, value: object) -> tuple[str | None, str]:
        """What the readers say of a scalar that stands where a quantity or a time is wanted."""
        if isinstance(value, (dict, list)) or value is None:
            return None, ""
        kind = self.node.get("x-quantity") or self.node.get("x-promise")
        if kind is not None:
            try:
                node = self.document.find(join(*self.path))
                parse(value, kind, written=node.raw if node is not None else "")  # type: ignore[arg-type]
            except QuantityError as fault:
                return fault.message, fault.rule
        reads = self.node.get("x-reads")
        if reads in forms.READERS:
            return forms.diagnose(value, reads), "quantity-invalid"
        return None, ""

    def _empty(self, value: object) -> str | None:
        if value is None:
            return f"{self.name} is empty: {self._like()}, or leave the line out"
        if self.error.validator in ("minLength", "minItems") and not value:
            return f"{self.name} is empty: {self._like()}"
        return None

    def _count(self, value: object) -> str | None:
        """A list of the wrong length, twice the same in it, or a name of the wrong form."""
        if self.error.validator in ("minItems", "maxItems") and isinstance(value, list):
            word = "at least" if self.error.validator == "minItems" else "at most"
            return f"{self.name} has {len(value)} of {word} {self.error.validator_value} entries"
        if self.error.validator == "uniqueItems":
            return f"{self.name} has one entry twice"
        if self.error.validator == "pattern":
            form = self.node.get("x-form", "small letters and digits with hyphens between words")
            return f"{self._said()} has not the form wanted here: {form}"
        return None

    def _like(self) -> str:
        kind = self.node.get("x-quantity") or self.node.get("x-promise")
        if kind:
            return f"write `{KINDS[kind].example}` or the like"
        reads = self.node.get("x-reads")
        if reads in forms.READERS:
            return f"write {forms.READERS[reads].like}"
        return f"{self._wanted()} is wanted"

    def _wanted(self) -> str:
        kind = self.node.get("x-quantity") or self.node.get("x-promise")
        if kind:
            return f"{KINDS[kind].wants}, such as `{KINDS[kind].example}`,"
        if "x-one-or-list" in self.node:
            return (
                "text, a map or a list"
                if self.node["x-one-or-list"] in self._short()
                else "a map or a list of maps"
            )
        if self.node.get("x-reads") in ("text", "name"):
            return "text"
        if self.node.get("x-reads") in forms.READERS:
            return forms.READERS[self.node["x-reads"]].like
        if "enum" in self.node:
            return " or ".join(str(each) for each in self.node["enum"])
        shapes = [each.get("type", "object") for each in self.node.get("anyOf", ())]
        types = (
            self.node.get("type")
            or list(dict.fromkeys(each for each in shapes if isinstance(each, str)))
            or "string"
        )
        names = [types] if isinstance(types, str) else list(types)
        return " or ".join(_WANTED.get(each, "text") for each in names)

    def _short(self) -> set[str]:
        """The definitions for which a bare word may stand."""
        return {name for name, node in schema(self.kind)["$defs"].items() if "x-short" in node}

    def _bounds(self, value: object) -> str | None:
        limit = self.error.validator_value
        words = {
            "minimum": f"too small: {limit} is the least",
            "maximum": f"too large: {limit} is the most",
            "exclusiveMinimum": f"too small: it has to be above {limit}",
            "exclusiveMaximum": f"too large: it has to be below {limit}",
        }.get(self.error.validator)
        return f"{self.name} is {self._said()}, {words}" if words else None

    def _type(self, value: object) -> str:
        if isinstance(value, dict) and self.node.get("type") == "array":
            return f"{self.name} wants a list, each entry behind a dash; this is one map"
        example = (
            f", such as `{self._first()}`" if self.node.get("type") == "object" and self._first() else ""
        )
        wants = self._wanted().rstrip(",")
        if isinstance(value, str) and wants in ("a number", "a whole number") and _NUMBER.match(value):
            return f"{self.name} wants {wants}; this is text, since it stands in quotes: write {value} without them"
        return f"{self.name} wants {wants}{example}; this is {self._said()}"

    def _first(self) -> str | None:
        """A key of a map with a value it could have."""
        for key in self.node.get("properties", {}):
            example = self._example(key)
            if example:
                return f"{key}: {example}"
        return None
