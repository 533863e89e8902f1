"""Whether data surely has the shape that a schema asks for, told without a validator.

Importing the validator takes a third of the time of a hook's run on one file. Most files are in order, and to see that
takes few of the words of JSON Schema. So this reader only ever says that a file is surely in order, or that it cannot
tell: at a word it does not know, a number beyond the ordinary, or anything wrong, it cannot, and the validator is
asked. A test holds it to the validator.
"""

from collections.abc import Callable
from math import isfinite
from typing import Any, TypeAlias

Node: TypeAlias = dict[str, Any]

_CLASSES: dict[Any, str] = {dict: "object", list: "array", str: "string", bool: "boolean"}
_ORDINARY = 1e15  # whole numbers below it are the same in every language
_SAYS_NOTHING = frozenset(
    ("$schema", "$id", "$defs", "title", "description", "examples", "default", "then", "else", "properties")
)


def surely(node: Node, data: Any, root: Node) -> bool:
    """True if the data is valid under the node of the schema ``root``; False if that is not sure."""
    for word, want in node.items():
        check = _CHECKS.get(word)
        if check is not None:
            if not check(want, data, node, root):
                return False
        elif word not in _SAYS_NOTHING and not word.startswith("x-"):
            return False
    return _properties(node, data, root)


def surely_not(node: Node, data: Any, root: Node) -> bool:
    """True if the data is invalid under the node; False if that is not sure."""
    if "$ref" in node:
        return surely_not(_target(node["$ref"], root), data, root)
    kind = _CLASSES.get(data.__class__)
    if kind is None:
        return False
    if "type" in node and kind not in _types(node["type"]):
        return True
    if "const" in node and kind in ("string", "boolean") and not _same(node["const"], data):
        return True
    if kind == "object" and any(key not in data for key in node.get("required", ())):
        return True
    return "oneOf" in node and all(surely_not(each, data, root) for each in node["oneOf"])


def _target(ref: str, root: Node) -> Node:
    target: Node = root["$defs"][ref.rpartition("/")[2]]
    return target


def _types(want: Any) -> tuple[str, ...]:
    return (want,) if isinstance(want, str) else tuple(want)


def _same(const: Any, data: Any) -> bool:
    return bool(const.__class__ is data.__class__ and const == data)


def _clean(text: str) -> bool:
    """Whether it can be written as UTF-8, which half of a surrogate pair cannot."""
    if text.isascii():
        return True
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True


def _is_type(want: Any, data: Any, node: Node, root: Node) -> bool:
    types = _types(want)
    if data.__class__ is str:
        return "string" in types and _clean(data)
    kind = _CLASSES.get(data.__class__)
    if kind is not None:
        return kind in types
    if data.__class__ is int:
        return ("integer" in types or "number" in types) and -_ORDINARY < data < _ORDINARY
    return data.__class__ is float and "number" in types and isfinite(data)


def _properties(node: Node, data: Any, root: Node) -> bool:
    """``properties`` and ``additionalProperties``, which say something only of a map."""
    known: dict[str, Node] = node.get("properties", {})
    others: Any = node.get("additionalProperties", True)
    if data.__class__ is not dict:
        return True
    for key, value in data.items():
        inner = known.get(key, others)
        if inner is False or not _clean(key) or (inner is not True and not surely(inner, value, root)):
            return False
    return True


def _pattern(want: str, data: Any) -> bool:
    """Of plain text on one line: there all languages read the few patterns of the schemas alike."""
    import re

    return data.__class__ is not str or (
        data.isascii() and data.isprintable() and bool(re.search(want, data))
    )


def _if(want: Node, data: Any, node: Node, root: Node) -> bool:
    if surely(want, data, root):
        return surely(node.get("then", {}), data, root)
    return surely_not(want, data, root) and surely(node.get("else", {}), data, root)


def _one_of(want: list[Node], data: Any, node: Node, root: Node) -> bool:
    """Surely one, and surely none of the others."""
    others = [each for each in want if not surely_not(each, data, root)]
    return len(others) == 1 and surely(others[0], data, root)


def _number(data: Any) -> bool:
    return data.__class__ is int or data.__class__ is float


_CHECKS: dict[str, Callable[[Any, Any, Node, Node], bool]] = {
    "$ref": lambda want, data, node, root: surely(_target(want, root), data, root),
    "additionalProperties": lambda want, data, node, root: True,  # see _properties
    "anyOf": lambda want, data, node, root: any(surely(each, data, root) for each in want),
    "const": lambda want, data, node, root: _same(want, data),
    "enum": lambda want, data, node, root: data.__class__ is str and data in want,
    "exclusiveMinimum": lambda want, data, node, root: not _number(data) or data > want,
    "if": _if,
    "items": lambda want, data, node, root: (
        data.__class__ is not list or all(surely(want, each, root) for each in data)
    ),
    "maximum": lambda want, data, node, root: not _number(data) or data <= want,
    "minItems": lambda want, data, node, root: data.__class__ is not list or len(data) >= want,
    "minLength": lambda want, data, node, root: data.__class__ is not str or len(data) >= want,
    "minimum": lambda want, data, node, root: not _number(data) or data >= want,
    "not": lambda want, data, node, root: surely_not(want, data, root),
    "oneOf": _one_of,
    "pattern": lambda want, data, node, root: _pattern(want, data),
    "propertyNames": lambda want, data, node, root: (
        data.__class__ is not dict or all(surely(want, key, root) for key in data)
    ),
    "required": lambda want, data, node, root: data.__class__ is not dict or all(key in data for key in want),
    "type": _is_type,
}
