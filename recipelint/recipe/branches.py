"""Which of the errors that a schema reports matter: of several shapes, those of the shape that was written."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from recipelint.recipe.quantity import brief
from recipelint.recipe.schema import schema
from recipelint.recipe.troubles import Trouble
from recipelint.source.nodes import At, Document
from recipelint.source.pointer import join


def _quoted(text: str) -> str:
    return f"`{brief(text)}`"


def unexplained(document: Document, kind: str) -> Trouble:
    """For a document that was refused and nobody said why: mostly a value JSON has no room for."""
    found = _endless(document.root.data if document.root is not None else None, ())
    if found is None:
        return Trouble("wrong-shape", f"{document.file} is not a {kind} I can read", At(document.file, ""))
    said = _quoted(document.find(join(*found)).raw if document.find(join(*found)) else "")  # type: ignore[union-attr]
    return Trouble("wrong-shape", f"{said} is not a value I can use here", At(document.file, join(*found)))


def _endless(data: object, path: tuple[str | int, ...]) -> tuple[str | int, ...] | None:
    if isinstance(data, dict):
        pairs: Iterable[tuple[str | int, object]] = data.items()
    elif isinstance(data, list):
        pairs = enumerate(data)
    else:
        odd = isinstance(data, float) and not abs(data) < 1e308
        odd = odd or (isinstance(data, int) and abs(data) > 2**63)
        odd = odd or (isinstance(data, str) and any("\ud800" <= letter <= "\udfff" for letter in data))
        return path if odd else None
    for key, value in pairs:
        found = _endless(value, (*path, key))
        if found is not None:
            return found
    return None


def leaves(error: Any, kind: str) -> list[Any]:
    """The errors that matter: of one map or a list of maps, those of the form that was written."""
    if error.validator not in ("anyOf", "oneOf") or not error.context or "x-exactly-one" in error.schema:
        return [error]
    if "x-named-by" in error.schema:
        return _leaves_of_row(error, kind)
    if "x-one-or-list" not in error.schema:
        return _leaves_of_shape(error, kind)
    if isinstance(error.instance, list):
        wanted = 1
    elif isinstance(error.instance, (dict, str)):
        wanted = 0
    else:
        return [error]
    chosen = [each for each in error.context if each.relative_schema_path[0] == wanted]
    return [leaf for each in chosen for leaf in leaves(each, kind)] or [error]


def _leaves_of_shape(error: Any, kind: str) -> list[Any]:
    """Of several shapes that would do: what is wrong with the only one of the kind of value that was written."""
    branches: dict[int, list[Any]] = {}
    for each in error.context:
        branches.setdefault(each.relative_schema_path[0], []).append(each)
    near_ones = [
        errors
        for errors in branches.values()
        if not any(each.validator == "type" and not each.relative_path for each in errors)
    ]
    if len(near_ones) != 1:
        return [error]
    return [leaf for each in near_ones[0] for leaf in leaves(each, kind)]


def _leaves_of_row(error: Any, kind: str) -> list[Any]:
    """Of a list whose rows differ in kind: what is wrong with the row as the kind that its key says."""
    names = error.schema["x-named-by"]
    first = (
        next((key for key in error.instance if key in names), None)
        if isinstance(error.instance, dict)
        else None
    )
    if first is None:
        return [error]
    defs = schema(kind)["$defs"]
    branches = [defs[branch["$ref"].rsplit("/", 1)[1]]["properties"] for branch in error.schema["oneOf"]]
    wanted = next(index for index, properties in enumerate(branches) if first in properties)
    chosen = [each for each in error.context if each.relative_schema_path[0] == wanted]
    return [leaf for each in chosen for leaf in leaves(each, kind)] or [error]
