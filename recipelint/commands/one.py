"""From a recipe named on the command line to the beer brewed on paper, or to the reasons why it cannot be."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import NamedTuple

from recipelint.commands.check import Books, Checked, as_text, report_of
from recipelint.commands.outcome import CLEAN, FOUND, TROUBLE, Trouble, complain
from recipelint.workspace.workspace import Brewed, Workspace

_NO_RECIPE = "{}: this is no recipe; a recipe begins with  recipe: 1"


class One(NamedTuple):
    """A brewed recipe, the path below the book's root, and the book."""

    path: str
    brewed: Brewed
    workspace: Workspace


def brew_each(
    recipes: Sequence[str], brewhouse: str | None, colour: str, style: str | None = None
) -> tuple[list[One], int]:
    """Each recipe brewed on paper. One with errors is told on standard error and left out; the status says so."""
    from recipelint.commands.output import is_terminal

    if not recipes:
        raise Trouble("name a recipe; --help shows how")
    here = os.getcwd()
    books = Books(here, brewhouse)
    brewed: list[One] = []
    status = CLEAN
    for given in recipes:
        asked = books.roots.asked(given)
        if asked.folder:
            complain(f"{given}: this is a folder; name one recipe in it")
            status = TROUBLE
            continue
        workspace = books.at(asked.root).workspace
        report = report_of(workspace, asked.path, True)
        beer = workspace.brewed(asked.path, style) if report.kind == "recipe" else None
        if beer is not None:
            brewed.append(One(asked.path, beer, workspace))
        elif report.kind in ("recipe", "unreadable", "unknown"):
            errors = tuple(placed for placed in report.findings if placed.finding.level == "error")
            one = Checked(asked.root, (report._replace(findings=errors),), (), None)
            _tell(as_text([one], here, colour, is_terminal()))
            done = report.kind == "recipe" or not any(
                placed.finding.rule in ("file-unreadable", "inner-fault", "unknown-kind") for placed in errors
            )
            status = max(status, FOUND if done else TROUBLE)
        else:
            complain(_NO_RECIPE.format(given))
            status = TROUBLE
    return brewed, status


def _tell(text: str) -> None:
    import sys

    encoding = getattr(sys.stderr, "encoding", None) or "ascii"
    sys.stderr.write(text.encode(encoding, "backslashreplace").decode(encoding))
