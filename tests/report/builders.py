"""Findings with their places, made by hand: what a workspace hands to a renderer."""

from __future__ import annotations

from typing import Any

from recipelint.rulebook.findings import Finding
from recipelint.source.nodes import At
from recipelint.workspace.workspace import FileReport, Place, Placed


def place(
    file: str = "recipes/harrow-field.yaml",
    start: tuple[int, int] = (27, 5),
    end: tuple[int, int] = (27, 18),
    excerpt: str = "    weight: 380 g",
    path: str = "/grist/2/weight",
) -> Place:
    return Place(file, path, start, end, excerpt)


def placed(
    rule: str = "sugar-share-high",
    level: str = "warning",
    message: str = "33 % of the extract is sugar; 30 % is the most",
    where: Place | None = None,
    related: tuple[tuple[str, Place], ...] = (),
    **more: Any,
) -> Placed:
    where = where or place()
    return Placed(Finding(rule, level, message, At(where.file, where.path), **more), where, related)


def recipe(*findings: Placed, file: str = "recipes/harrow-field.yaml", kind: str = "recipe") -> FileReport:
    return FileReport(file, kind, "Harrow Field", findings)
