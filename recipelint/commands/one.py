"""From a recipe named on the command line to the beer brewed on paper, or to the reasons why it cannot be."""

from collections.abc import Sequence
from typing import NamedTuple

from recipelint.commands.check import Book, Books, Checked, as_text, report_of
from recipelint.commands.outcome import CLEAN, FOUND, TROUBLE, Trouble, complain, tell
from recipelint.commands.outcome import here as current_folder
from recipelint.commands.output import is_terminal
from recipelint.commands.places import Asked
from recipelint.report.tally import OURS
from recipelint.report.text import count
from recipelint.workspace.workspace import Brewed, Workspace


class One(NamedTuple):
    """A brewed recipe, the path below the book's root, and the book."""

    path: str
    brewed: Brewed
    workspace: Workspace

    @property
    def units(self) -> str:
        """The units that the house shows numbers in: metric or us."""
        house = self.workspace.house
        return (house.units if house is not None else None) or "metric"


def brew_each(
    recipes: Sequence[str], brewhouse: str | None, colour: str, style: str | None = None
) -> tuple[list[One], int]:
    """Each recipe brewed on paper. One with errors is told on standard error and left out; the status says so."""
    if not recipes:
        raise Trouble("name a recipe; --help shows how")
    here = current_folder()
    books = Books(here, brewhouse)
    brewed: list[One] = []
    status = CLEAN
    for given in recipes:
        asked = books.roots.asked(given)
        if asked.folder:
            complain(f"{given}: this is a folder; name one recipe in it")
            status = TROUBLE
            continue
        book = books.at(asked.root)
        if not book.wanted:
            # A house file that cannot be used is told once: the numbers below would be those of another house.
            status = max(status, _told(book.checked(), here, colour))
        book.want(asked.path, True)
        beer, now = _brew(book, asked, style, here, colour)
        status = max(status, now)
        if beer is not None:
            brewed.append(beer)
    return brewed, status


def _brew(book: Book, asked: Asked, style: str | None, here: str, colour: str) -> tuple[One | None, int]:
    report = report_of(book.workspace, asked.path, True)
    beer = book.workspace.brewed(asked.path, style) if report.kind == "recipe" else None
    errors = tuple(placed for placed in report.findings if placed.finding.level == "error")
    if beer is not None:
        if errors:
            complain(f"{asked.given}: {count(len(errors), 'error')} in it; `recipelint check` shows where")
        return One(asked.path, beer, book.workspace), CLEAN
    if report.kind in OURS:
        complain(f"{asked.given}: this is no recipe; a recipe begins with `recipe: 1`")
        return None, TROUBLE
    failed = book.failed(report)
    return None, max(
        _told(Checked(asked.root, (report._replace(findings=errors),)), here, colour),
        TROUBLE if failed else CLEAN,
    )


def _told(checked: Checked, here: str, colour: str) -> int:
    """Findings on standard error, if there are any; the status they mean."""
    if not any(report.findings for report in checked.reports):
        return CLEAN
    tell(as_text([checked], here, colour, is_terminal()))
    return FOUND
