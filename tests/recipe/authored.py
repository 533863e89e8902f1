"""The schemas as they are authored, for tests that hold the shipped sources to them."""

from __future__ import annotations

import os
from typing import Any

from recipelint.source.reader import read

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def content(path: str) -> Any:
    """The plain data of a YAML file that must be without problems."""
    with open(path, "rb") as file:
        document = read(os.path.basename(path), file.read())
    assert not document.problems and document.root is not None
    return document.root.data


def expanded(name: str) -> Any:
    """The schema as authored, made plain; quantities are left to the parser."""

    def plain(node: object) -> object:
        if isinstance(node, list):
            return [plain(each) for each in node]
        if not isinstance(node, dict):
            return node
        out = {key: plain(value) for key, value in node.items() if not key.startswith("x-")}
        ref = out.get("$ref")
        if isinstance(ref, str) and not ref.startswith("#"):
            out["$ref"] = f"#/$defs/{ref}"
        if isinstance(out.get("properties"), dict) and "description" in node:
            out.setdefault("additionalProperties", False)
        return out

    return plain(content(os.path.join(ROOT, "schemas", "source", f"{name}.yaml")))
