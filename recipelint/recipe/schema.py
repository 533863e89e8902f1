"""The JSON Schemas at run time: one compiled yes-or-no per kind of file, and the same as data for the builder."""

from __future__ import annotations

import json
import os
from typing import Any

from recipelint.recipe.shape import surely

FOLDER = os.path.join(
    os.path.dirname(os.path.dirname(os.path.abspath(__file__))), "data", "generated", "schemas"
)
KINDS = ("recipe", "brewhouse", "brew", "house", "catalogue", "rules", "styles")
VERSION = 1

# So many files are looked over by our own reader before the validator is imported, which is then the faster of the two.
FEW = 100
_looked_over = [0]

_schemas: dict[str, dict[str, Any]] = {}
_validators: dict[str, Any] = {}


def schema(kind: str) -> dict[str, Any]:
    """The schema of a kind of file, read once. Raises KeyError for a kind that is none."""
    found = _schemas.get(kind)
    if found is None:
        if kind not in KINDS:
            raise KeyError(kind)
        with open(os.path.join(FOLDER, f"{kind}.json"), encoding="utf-8") as file:
            found = _schemas[kind] = json.load(file)
    return found


def valid(kind: str, data: object) -> bool:
    """Whether the data has the shape of the kind; what its texts say is for the builder to read."""
    validator = _validators.get(kind)
    if validator is None:
        if _looked_over[0] < FEW:
            _looked_over[0] += 1
            if surely(schema(kind), data, schema(kind)):
                return True
        import jsonschema_rs  # 30 ms: only paid by a process with a file that is wrong, or with many files

        validator = _validators[kind] = jsonschema_rs.Draft202012Validator(
            schema(kind), offline=True, validate_formats=False
        )
    try:
        return bool(validator.is_valid(data))
    except ValueError:  # numbers and characters that JSON has no room for: the builder words them
        return False
