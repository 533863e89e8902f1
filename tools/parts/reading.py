"""What the parts share: reading a YAML source with the project's own reader, and storing a row."""

from __future__ import annotations

import os.path
from typing import Any

from recipelint.source.reader import read as read_document


class SourceError(Exception):
    """A source cannot be turned into generated data; the message says where and why."""


def read(path: str) -> Any:
    """The content of a YAML source as plain data. Raises SourceError for whatever the reader finds wrong."""
    with open(path, "rb") as file:
        document = read_document(os.path.basename(path), file.read())
    for problem in document.problems:
        line, column = document.position(problem.span.start)
        raise SourceError(f"{path}:{line}:{column}: {problem.message}")
    if document.root is None:
        raise SourceError(f"{path}: nothing in it")
    return document.root.data


def without_defaults(row: Any) -> list[Any]:
    """The values of a named tuple, the defaults at the end left out: run time fills them in again."""
    values = list(row)
    while values and values[-1] == row._field_defaults.get(row._fields[len(values) - 1], ...):
        values.pop()
    return values
