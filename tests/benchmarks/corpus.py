"""Recipes to measure with: the example book's, each varied in names and amounts, none like another.

They are written in two styles that say the same: as people write by hand, a line of the bill on one line, and in block
style, a key on each line. The budget of time was set on files like the second.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

TOP = Path(__file__).parents[2]
BOOK = TOP / "examples" / "recipe-book"
_WEIGHT = re.compile(r"(weight: )(\d+(?:\.\d+)?)( (?:kg|g)\b)")


def vary(text: str, number: int) -> str:
    """The same recipe with another name and every weight moved by less than one percent, so that no two are equal."""
    moved = 1.0 + ((number * 7919) % 997 - 498) / 60000.0

    def weight(match: re.Match[str]) -> str:
        return f"{match[1]}{float(match[2]) * moved:.4g}{match[3]}"

    text = re.sub(r"(?m)^name: .*$", f"name: Trial brew {number}", text, count=1)
    return _WEIGHT.sub(weight, text)


def in_block_style(text: str) -> str:
    """The same document with every map and list in block style; comments are not kept."""

    def opened() -> Iterator[Any]:
        for event in yaml.parse(text):
            if isinstance(event, yaml.CollectionStartEvent):
                event.flow_style = False
            yield event

    written: str = yaml.emit(opened(), allow_unicode=True, width=1000)
    return written


def write_corpus(folder: Path, count: int, *, block: bool = False) -> tuple[int, int]:
    """A book of so many recipes below ``folder``; lines and bytes of a recipe on average."""
    sources = [path.read_text(encoding="utf-8") for path in sorted((BOOK / "recipes").glob("*.yaml"))]
    shutil.copytree(
        BOOK, folder, ignore=lambda place, names: ["recipes", "brews"] if Path(place) == BOOK else []
    )
    (folder / "recipes").mkdir()
    lines = size = 0
    for number in range(count):
        text = vary(sources[number % len(sources)], number)
        text = in_block_style(text) if block else text
        (folder / "recipes" / f"trial-{number:05}.yaml").write_text(text, encoding="utf-8")
        lines += text.count("\n")
        size += len(text.encode())
    return round(lines / count), round(size / count)
