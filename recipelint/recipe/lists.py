"""Files that are lists: a house's catalogue and its styles, from documents to the rows of those tables."""

from __future__ import annotations

from typing import Any

from recipelint.recipe.readers import Read
from recipelint.recipe.schema import valid
from recipelint.recipe.troubles import Job


def reader(kind: str) -> Read:
    """The reader of a whole file: of ``catalogue`` a tuple of rows, of ``styles`` a StyleFile.

    Their tables expect the shape of the schema; a file that has it not is left to ``explain``.
    """
    return _catalogue if kind == "catalogue" else _styles


def _catalogue(data: Any, pointer: str, job: Job) -> Any:
    from recipelint.recipe.catalogue_file import rows_of

    if not valid("catalogue", data):
        job.doubt = True
        return None
    rows, faults = rows_of(data, job.file)
    for fault in faults:
        job.add(fault.rule, fault.message, fault.pointer)
    return tuple(rows)


def _styles(data: Any, pointer: str, job: Job) -> Any:
    from recipelint.recipe.styles_file import styles_of

    if not valid("styles", data):
        job.doubt = True
        return None
    found = styles_of(data, job.file)
    for fault in found.faults:
        job.add(fault.rule, fault.message, fault.pointer)
    return found
