"""What ``recipelint-hook`` does with its command line."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from recipelint import __version__
from recipelint.commands.options import Option, Unclear, read_line
from recipelint.commands.outcome import CLEAN, TROUBLE, complain
from recipelint.commands.outcome import here as current_folder

OPTIONS = {
    "--fail-at": Option(("note", "warning", "error", "never")),
    "--brewhouse": Option(),
    "--help": Option(flag=True),
    "--version": Option(flag=True),
}
HELP = """\
recipelint-hook [--fail-at LEVEL] [--brewhouse NAME|FILE] FILE...

Checks the named files, as a git hook does. A file that is no recipe, and that no glob of recipelint.yaml
claims, is left alone. Prints nothing when nothing was found.

  --fail-at LEVEL        note, warning, error or never; unless recipelint.yaml says otherwise: error
  --brewhouse NAME|FILE  brew on these vessels instead of those the recipe names
  --version              print the version
  --help                 print this

Exit status: 0 nothing at or above LEVEL; 1 something; 2 a file could not be read, or the call was wrong.
"""


def run(args: list[str]) -> int:
    try:
        line = read_line(args, OPTIONS, {})
    except Unclear as unclear:
        complain(str(unclear))
        return TROUBLE
    if "--help" in line.options:
        sys.stdout.write(HELP)
        return CLEAN
    if "--version" in line.options:
        sys.stdout.write(f"recipelint {__version__}\n")
        return CLEAN
    if not line.words:
        return CLEAN
    return _check(line.words, line.last("--fail-at"), line.last("--brewhouse"))


def _check(files: Sequence[str], fail_at: str | None, brewhouse: str | None) -> int:
    import gc

    from recipelint.commands.check import Books, as_text, verdict
    from recipelint.commands.output import emit, is_terminal

    gc.disable()  # the process is short; over many files ``check`` collects now and then by itself
    here = current_folder()
    books = Books(here, brewhouse)
    for given in files:
        asked = books.roots.asked(given)
        books.at(asked.root).want(asked.path, False)
    checked = [book.checked() for book in books.all()]
    if any(report.findings for one in checked for report in one.reports):
        emit(as_text(checked, here, "auto", is_terminal()))
    return verdict(checked, fail_at, "error")
