"""Makes the JSON Schemas from schemas/source/*.yaml: one per kind of file.

    python tools/generate_schemas.py            write what is out of date
    python tools/generate_schemas.py --check    write nothing; exit 1 if something is out of date

schemas/KIND.schema.json is for editors, with descriptions and examples. recipelint/data/generated/schemas/KIND.json
is the same for the tool, without them. Patterns of quantities come from the table of units, names of stats from the
table of stats, so that schema, parser and builder cannot drift apart.
"""

from __future__ import annotations

import copy
import glob
import json
import os
import sys
from typing import Any

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
sys.path[:0] = [path for path in (ROOT, os.path.join(ROOT, "tools")) if path not in sys.path]

from parts.writing import settle  # noqa: E402  (the path has to be set first)

from recipelint.recipe import forms, quantity  # noqa: E402
from recipelint.recipe.stat_names import MEASURED_ONLY, STATS  # noqa: E402
from recipelint.recipe.units import KINDS, kind_of_stat  # noqa: E402
from recipelint.source.reader import read  # noqa: E402

SOURCES = os.path.join(ROOT, "schemas", "source")
PARTS = ("shared",)
_SPOKEN = ("description", "examples", "title", "$comment")
_LIMIT_NAME = "^[a-z][a-z0-9_]*$"

Json = dict[str, Any]


def load(path: str) -> Json:
    """The data of one source file, read with the tool's own reader."""
    with open(path, "rb") as file:
        document = read(os.path.basename(path), file.read())
    if document.problems or document.root is None:
        raise SystemExit(f"{path}: {document.problems[0].message if document.problems else 'empty'}")
    data = document.root.data
    if not isinstance(data, dict):
        raise SystemExit(f"{path}: a map is wanted")
    return copy.deepcopy(data)


def sources() -> dict[str, Json]:
    """Every source by the name of its file."""
    return {
        os.path.basename(path)[:-5]: load(path) for path in sorted(glob.glob(os.path.join(SOURCES, "*.yaml")))
    }


class Expander:
    """Turns the x- words of one source into plain JSON Schema and gathers the definitions they need."""

    def __init__(self) -> None:
        self.defs: Json = {}

    def node(self, given: Json) -> Json:
        """One schema node, expanded."""
        out: Json = {
            key: value for key, value in given.items() if key not in ("x-quantity", "x-text", "x-version")
        }
        if "x-quantity" in given:
            out["$ref"] = self.quantity(given["x-quantity"])
        elif "x-reads" in given:
            self.reads(given["x-reads"], out)
        elif "x-text" in given:
            out.update({"type": ["string", "number"], "minLength": 1, "x-reads": "text"})
        elif "x-version" in given:
            out.update({"type": "integer", "const": 1, "x-reads": "version"})
        elif "x-stats" in given:
            self.stats(out)
        elif "x-one-or-list" in given:
            ref = {"$ref": f"#/$defs/{given['x-one-or-list']}"}
            out["anyOf"] = [ref, {"type": "array", "minItems": 1, "items": ref}]
        elif "$ref" in given and not given["$ref"].startswith(("#", "urn:", "http")):
            out["$ref"] = f"#/$defs/{given['$ref']}"
        self.inside(out)
        return out

    def inside(self, out: Json) -> None:
        """The nodes below a node, and the words that make an object closed."""
        if "properties" in out:
            out["properties"] = {key: self.node(value) for key, value in out["properties"].items()}
            out.setdefault("type", ["string", "object"] if "x-short" in out else "object")
            out.setdefault("additionalProperties", False)
            if "x-short" in out:
                out["minLength"] = 1
        if "x-exactly-one" in out:
            out["oneOf"] = [{"required": [key]} for key in out["x-exactly-one"]["keys"]]
        for key in ("items", "additionalProperties"):
            if isinstance(out.get(key), dict):
                out[key] = self.node(out[key])
        for key in ("anyOf", "oneOf", "allOf"):
            if key in out and "x-exactly-one" not in out:
                out[key] = [self.node(value) for value in out[key]]
        for key in ("patternProperties", "$defs"):
            if key in out:
                out[key] = {name: self.node(value) for name, value in out[key].items()}

    def quantity(self, kind: str) -> str:
        """The definition of a kind of quantity; a bare number is taken where the kind needs no unit."""
        if kind not in KINDS:
            raise SystemExit(f"schemas: no kind of quantity is called {kind}")
        spec = KINDS[kind]
        self.defs[f"quantity.{kind}"] = {
            "type": ["number", "string"] if spec.alone else "string",
            "pattern": quantity.pattern(kind),
            "x-quantity": kind,
        }
        return f"#/$defs/quantity.{kind}"

    def reads(self, reader: str, out: Json) -> None:
        """A value with words in it."""
        if reader == "name":
            out.update({"type": "string", "minLength": 1})
        elif reader == "date":
            out.update({"type": ["string", "integer"], "pattern": forms.DATE})
        elif reader == "reading":
            out.update({"type": ["number", "string"], "pattern": quantity.pattern("reading")})
        elif reader == "rule-settings":
            self.rule_settings(out)
        else:
            spec = forms.READERS[reader]
            types = (["string"] if spec.forms else []) + (["boolean"] if spec.unknown else [])
            types += ["number"] if forms.takes_number(reader) else []
            found: Json = {"type": types if len(types) > 1 else types[0], "x-reads": reader}
            if spec.forms:
                found["pattern"] = forms.pattern(reader)
            if spec.unknown:
                found["not"] = {"const": False}
            self.defs[f"form.{reader}"] = found
            del out["x-reads"]
            out["$ref"] = f"#/$defs/form.{reader}"

    def rule_settings(self, out: Json) -> None:
        """Levels and limits by the name of the rule; which limits a rule has only the rule book knows."""
        limit = {"type": ["number", "string"], "minLength": 1}
        limits = {"type": "object", "propertyNames": {"pattern": _LIMIT_NAME}, "additionalProperties": limit}
        level = {"enum": ["error", "warning", "note", "off"]}
        one = {
            "type": ["string", "object"],
            "if": {"type": "string"},
            "then": level,
            "else": {
                "properties": {
                    "level": {**level, "description": "Another level.", "examples": ["note"]},
                    "styles": {
                        "type": "object",
                        "additionalProperties": limits,
                        "description": "Other limits for one style, tag or group of styles.",
                        "examples": [{"bjcp-2021/belgian-dark-strong-ale": {"warning_above": "45 %"}}],
                    },
                },
                "propertyNames": {"pattern": _LIMIT_NAME},
                "additionalProperties": limit,
            },
        }
        out.update({"type": "object", "additionalProperties": one})

    def stats(self, out: Json) -> None:
        """A map by the names of the stats: promises of a recipe or what a record measured."""
        use = out["x-stats"]
        table = STATS if use == "promises" else {**STATS, **MEASURED_ONLY}
        rows: Json = {}
        for name, spec in table.items():
            kind = kind_of_stat(name, spec.unit)
            example = KINDS[kind].example
            rows[name] = {
                "$ref": self.measurement(kind) if use == "measured" else self.promise(kind),
                "description": f"{spec.title[0].upper()}{spec.title[1:]}.",
                "examples": [float(example) if KINDS[kind].alone in ("SG", "1", "pH") else example],
                "x-stat": name,
            }
        out.update({"type": "object", "properties": rows, "additionalProperties": False})
        if use == "measured":
            rows["readings"] = {
                "type": "array",
                "items": {"$ref": "Reading"},
                "description": "Gravity readings during fermentation.",
                "examples": [[{"day": "5 d", "gravity": 1.022}]],
            }

    def promise(self, kind: str) -> str:
        """What may be promised: a value, a range, or one side of one."""
        inner = f"(?:at (?:least|most) +)?{quantity.ungrouped(quantity.body(KINDS[kind]))}"
        self.defs[f"promise.{kind}"] = {
            "type": ["number", "string"] if KINDS[kind].alone else "string",
            "pattern": f"^(?:{inner})[ \\n]*$",
            "x-promise": kind,
        }
        return f"#/$defs/promise.{kind}"

    def measurement(self, kind: str) -> str:
        """What may be measured: a quantity; of a gravity also how it was read."""
        if kind != "gravity":
            return self.quantity(kind)
        self.defs["form.reading"] = {
            "type": ["number", "string"],
            "pattern": quantity.pattern("reading"),
            "x-reads": "reading",
        }
        return "#/$defs/form.reading"


def expand(name: str, given: dict[str, Json]) -> Json:
    """The schema of one kind of file, with descriptions and examples."""
    source = copy.deepcopy(given[name])
    defs: Json = {}
    for part in source.pop("x-uses", []):
        defs.update(copy.deepcopy(given[part].get("$defs", {})))
    defs.update(source.pop("$defs", {}))
    kind = source.pop("kind", name)
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": f"urn:recipelint:{kind}:1"}
    if "x-body" in source:
        root = copy.deepcopy(defs.pop(source.pop("x-body")))
        del root["x-short"]
        root["properties"] = {**source.pop("x-first"), **root["properties"]}
        root["required"] = source.pop("x-required")
        source = {**root, **source}
    expander = Expander()
    body = expander.node({**source, "type": "object"})
    body["$defs"] = {**{key: expander.node(value) for key, value in defs.items()}}
    body["$defs"].update({key: expander.defs[key] for key in sorted(expander.defs)})
    return prune({**head, **{key: body[key] for key in _ordered(body)}})


def _ordered(body: Json) -> list[str]:
    first = [key for key in ("title", "description") if key in body]
    return first + [key for key in body if key not in first and key != "$defs"] + ["$defs"]


def _refs(node: object, found: set[str]) -> None:
    if isinstance(node, dict):
        ref = node.get("$ref")
        if isinstance(ref, str):
            found.add(ref.rsplit("/", 1)[1])
        for value in node.values():
            _refs(value, found)
    elif isinstance(node, list):
        for value in node:
            _refs(value, found)


def prune(schema: Json) -> Json:
    """The schema without definitions nothing points at."""
    defs = schema["$defs"]
    used: set[str] = set()
    _refs({key: value for key, value in schema.items() if key != "$defs"}, used)
    waiting = sorted(used)
    while waiting:
        more: set[str] = set()
        _refs(defs[waiting.pop()], more)
        waiting += sorted(more - used)
        used |= more
    schema["$defs"] = {key: value for key, value in defs.items() if key in used}
    return schema


def bare(node: Any, names: bool = False) -> Any:
    """The schema without what only people read, and without patterns that the builder's own parser stands for.

    To compile two hundred patterns takes longer than to read and check a recipe; that parser and patterns accept
    the same texts is held by a test. ``names``: the keys are names of properties, which all stay.
    """
    if isinstance(node, list):
        return [bare(value) for value in node]
    if not isinstance(node, dict):
        return node
    parsed = not names and any(key in node for key in ("x-quantity", "x-reads", "x-promise"))
    return {
        key: bare(value, not names and key in ("properties", "$defs", "patternProperties"))
        for key, value in node.items()
        if names or (key not in _SPOKEN and not (parsed and key == "pattern"))
    }


def build() -> dict[str, str]:
    """Every generated file: its path from the root of the repository, and its text."""
    given = sources()
    out: dict[str, str] = {}
    for name in given:
        if name in PARTS:
            continue
        schema = expand(name, given)
        out[f"schemas/{name}.schema.json"] = (
            json.dumps(schema, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
        )
        out[f"recipelint/data/generated/schemas/{name}.json"] = (
            json.dumps(bare(schema), ensure_ascii=False, separators=(",", ":"), allow_nan=False) + "\n"
        )
    return out


def main(arguments: list[str]) -> int:
    """Write, or with --check compare; the exit status."""
    if arguments not in ([], ["--check"]):
        print(__doc__, file=sys.stderr)
        return 2
    texts = {os.path.join(ROOT, path): text for path, text in build().items()}
    return settle("generate_schemas", texts, bool(arguments))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
