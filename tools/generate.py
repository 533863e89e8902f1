"""Turns the YAML sources of the shipped data into the JSON that is read at run time.

    python tools/generate.py            write what is out of date
    python tools/generate.py --check    write nothing; exit 1 if something is out of date

Schemas and rules have more to make than one table and are scripts of their own (generate_schemas.py,
generate_rules.py); this one runs them too.

A new part is one module in tools/parts with a function from the paths of its sources to one flat table (a
key for every entry), and one line in PARTS below. The JSON has one entry per line: a change of one row is a
change of one line, and run time can take single entries out of it (recipelint/recipe/shipped.py).
"""

from __future__ import annotations

import glob
import json
import os
import sys
from collections.abc import Callable
from typing import Any, NamedTuple

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
sys.path[:0] = [ROOT, os.path.join(ROOT, "tools")]

import generate_rules  # noqa: E402  (the path has to be set first)
import generate_schemas  # noqa: E402
from parts import catalogue, styles  # noqa: E402
from parts.reading import SourceError  # noqa: E402
from parts.writing import settle  # noqa: E402

TARGET_FOLDER = os.path.join(ROOT, "recipelint", "data", "generated")


class Part(NamedTuple):
    target: str  # name of the file under recipelint/data/generated
    sources: tuple[str, ...]  # globs from the root of the repository
    build: Callable[[list[str]], dict[str, Any]]
    depth: int = 1  # levels whose entries have a line of their own; a Store needs 1


PARTS = (
    Part("catalogue.json", ("recipelint/data/catalogue/*.yaml",), catalogue.build),
    Part("styles.json", ("rules/styles/*.yaml",), styles.build),
)


def lay_out(entries: Any, depth: int = 1) -> str:
    """JSON with sorted keys and one entry per line: run time finds single entries by their line."""
    if depth == 0 or not isinstance(entries, dict) or not entries:
        return _compact(entries)
    lines = [f"{_compact(key)}:{lay_out(entries[key], depth - 1)}" for key in sorted(entries)]
    return "{\n" + ",\n".join(lines) + "\n}"


def _compact(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)


def generate(part: Part) -> str:
    """The text of one generated file. Raises SourceError if a source cannot be used."""
    paths = [path for pattern in part.sources for path in sorted(glob.glob(os.path.join(ROOT, pattern)))]
    if not paths:
        raise SourceError(f"{part.target}: no source found under {', '.join(part.sources)}")
    return lay_out(part.build(paths), part.depth) + "\n"


def main(arguments: list[str]) -> int:
    if arguments not in ([], ["--check"]):
        print(__doc__, file=sys.stderr)
        return 2
    try:
        texts = {os.path.join(TARGET_FOLDER, part.target): generate(part) for part in PARTS}
    except SourceError as trouble:
        print(f"generate: {trouble}", file=sys.stderr)
        return 1
    own = settle("generate", texts, bool(arguments))
    others = [script.main(arguments) for script in (generate_schemas, generate_rules)]
    return max(own, *others)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
