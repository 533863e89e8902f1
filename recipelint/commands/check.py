"""``recipelint check``: which files, what was found in them, and the status that follows."""

import gc
import os
from collections.abc import Callable, Sequence
from typing import NamedTuple

from recipelint.commands.outcome import CLEAN, FOUND, TROUBLE, Trouble, complain, here, one_line
from recipelint.commands.places import Asked, Roots, common_root, shown_from
from recipelint.report.tally import OURS, at_or_above, tally
from recipelint.rulebook.findings import Finding
from recipelint.source.files import HOUSE_FILE, FileTrouble
from recipelint.source.nodes import At
from recipelint.workspace.workspace import FileReport, Place, Placed, Workspace, open_workspace

FORMATS = ("text", "json")
_ROUND = 200  # files between two collections
_NOT_DONE = ("file-unreadable", "inner-fault")


class Checked(NamedTuple):
    """One book: its root and everything found in the files asked for."""

    root: str
    reports: tuple[FileReport, ...]
    book: tuple[Placed, ...] = ()
    fail_at: str | None = None  # what the house says
    not_done: bool = False  # a file could not be read, or one that was asked for by name is none of ours
    in_sight: frozenset[str] = frozenset()  # rules about safety: shown also where they are accepted


class Book:
    """One workspace and the files of it that were asked for; False beside a file that a walk has found."""

    def __init__(self, root: str, brewhouse: str | None) -> None:
        self.root = root
        self.workspace: Workspace = open_workspace(root, brewhouse)
        if not self.workspace.other_brewhouse_known():
            raise Trouble(f"--brewhouse {brewhouse}: no sound brewhouse of that name or file in {root}")
        self.wanted: dict[str, bool] = {}
        self.whole = False
        self.claims_count = (
            False  # a file of unknown kind is an error only where a glob of the house claims it
        )

    def want(self, path: str, named: bool) -> None:
        self.wanted[path] = self.wanted.get(path, False) or named

    def checked(self) -> Checked:
        """The reports of the files wanted; that of a broken house file too, since nothing it says holds then."""
        house = self.workspace.house
        if house is None and os.path.isfile(os.path.join(self.root, HOUSE_FILE)):
            self.want(HOUSE_FILE, True)
        reports = []
        for number, (path, named) in enumerate(sorted(self.wanted.items()), start=1):
            reports.append(report_of(self.workspace, path, named))
            _tidy(number)
        book = self.workspace.book() if self.whole else ()
        lived_with = any(each.finding.accepted is not None for report in reports for each in report.findings)
        return Checked(
            self.root,
            tuple(reports),
            tuple(book),
            None if house is None else house.fail_at,
            any(self.failed(report) for report in reports),
            frozenset(rule.id for rule in self.workspace.book_of.rules if rule.safety)
            if lived_with
            else frozenset(),
        )

    def failed(self, report: FileReport) -> bool:
        """Whether this is a failure to check the recipe, and not one of the recipe."""
        rules = {placed.finding.rule for placed in report.findings}
        if self.wanted.get(report.file):
            return not rules.isdisjoint((*_NOT_DONE, "unknown-kind"))
        return not rules.isdisjoint(_NOT_DONE)


class Books:
    """The books met on one command line, each opened once."""

    def __init__(self, here: str, brewhouse: str | None) -> None:
        self.roots = Roots(here)
        self._brewhouse = brewhouse
        self._books: dict[str, Book] = {}

    def at(self, root: str) -> Book:
        book = self._books.get(root)
        if book is None:
            book = self._books[root] = Book(root, brewhouse_for(root, self.roots.here, self._brewhouse))
        return book

    def all(self) -> list[Book]:
        return [self._books[root] for root in sorted(self._books)]


def _tidy(number: int) -> None:
    """Where the collector is off, as in the commands: what the last files left behind is freed now and then.

    The data that stays for the whole run is set aside first, or each round would look at all of it again.
    """
    if number % _ROUND == 0 and not gc.isenabled():
        gc.collect()
        if number == _ROUND:
            gc.freeze()


def brewhouse_for(root: str, here: str, given: str | None) -> str | None:
    """``--brewhouse`` as the book knows it: a file is named from the current folder, a brewhouse by its name."""
    if given is None or not given.endswith((".yaml", ".yml")):
        return given
    full = os.path.realpath(os.path.join(here, given))
    if not os.path.isfile(full):
        raise Trouble(f"--brewhouse {given}: there is no such file")
    if not _inside(full, root):
        raise Trouble(
            f"--brewhouse {given}: the file lies outside the recipe book {root}; copy it into the book"
        )
    return os.path.relpath(full, root).replace(os.sep, "/")


def _inside(path: str, root: str) -> bool:
    try:
        return os.path.commonpath((path, root)) == root
    except ValueError:  # several drives
        return False


def report_of(workspace: Workspace, path: str, named: bool) -> FileReport:
    """What was found in one file. A fault in the tool is a finding there, so that the other files are still checked."""
    try:
        return workspace.report(path, named=named)
    except FileTrouble as trouble:
        return _single(path, "unreadable", Finding("file-unreadable", "error", trouble.message, At(path, "")))
    except Exception as fault:
        message = f"recipelint itself failed on this file: {one_line(fault)}; please report it"
        return _single(path, "unreadable", Finding("inner-fault", "error", message, At(path, "")))


def _single(path: str, kind: str, finding: Finding) -> FileReport:
    place = Place(path, "", (1, 1), (1, 1), "")
    return FileReport(path, kind, "", (Placed(finding, place, ()),))


def gather(paths: Sequence[str], brewhouse: str | None, here: str) -> tuple[list[Checked], list[str]]:
    """Everything found below the paths, one entry a book, and what could not be done, in words."""
    books = Books(here, brewhouse)
    troubles: list[str] = []
    if not paths:
        book = books.at(books.roots.of(books.roots.here))
        if book.workspace.house is None:
            paths = ["."]
        else:
            book.whole = True
            for path in book.workspace.claimed():
                book.want(path, False)
    folders: list[tuple[Asked, list[tuple[str, str]]]] = []
    for given in paths:
        asked = books.roots.asked(given)
        if asked.folder:
            folders.append((asked, _walk(books, asked)))
        else:
            books.at(asked.root).want(asked.path, True)
    checked = [book.checked() for book in books.all() if book.wanted]
    kinds = {(one.root, report.file): report for one in checked for report in one.reports}
    for asked, files in folders:
        reports = [kinds[file] for file in files]
        if not any(report.kind in OURS or report.kind == "recipe" or report.findings for report in reports):
            troubles.append(f"{asked.given}: no recipe in this folder")
    if not paths and not any(report.kind == "recipe" for one in checked for report in one.reports):
        troubles.append(f"no recipe where {HOUSE_FILE} says they lie; name a recipe or a folder")
    return checked, troubles


def _walk(books: Books, asked: Asked) -> list[tuple[str, str]]:
    """The files below a folder, each with the book that is nearest to it."""
    found = []
    for path in books.at(asked.root).workspace.walk("" if asked.path == "." else asked.path):
        full = os.path.join(asked.root, path)
        root = books.roots.of(os.path.dirname(full))
        below = os.path.relpath(full, root).replace(os.sep, "/")
        book = books.at(root)
        book.whole = True
        book.want(below, False)
        found.append((root, below))
    return found


def verdict(checked: Sequence[Checked], fail_at: str | None, usual: str) -> int:
    """The exit status of what was found: the level asked for, else the one the house sets, else the usual one."""
    status = CLEAN
    for one in checked:
        if one.not_done:
            return TROUBLE
        if at_or_above(tally(one.reports, one.book), fail_at or one.fail_at or usual):
            status = FOUND
    return status


def rebased(checked: Sequence[Checked], rename: Callable[[str], Callable[[str], str]]) -> Checked:
    """Several books as one, with the paths of each renamed by what ``rename`` gives for its root."""
    reports: list[FileReport] = []
    book: list[Placed] = []
    for one in checked:
        name = rename(one.root)
        reports += [
            report._replace(
                file=name(report.file), findings=tuple(_moved(placed, name) for placed in report.findings)
            )
            for report in one.reports
        ]
        book += [_moved(placed, name) for placed in one.book]
    in_sight: frozenset[str] = frozenset().union(*(one.in_sight for one in checked))
    return Checked("", tuple(reports), tuple(book), in_sight=in_sight)


def _moved(placed: Placed, name: Callable[[str], str]) -> Placed:
    return placed._replace(
        place=placed.place._replace(file=name(placed.place.file)),
        related=tuple((message, place._replace(file=name(place.file))) for message, place in placed.related),
    )


def as_text(checked: Sequence[Checked], here: str, colour: str = "auto", terminal: bool = False) -> str:
    """Findings and the counting line, with paths from the current folder."""
    from recipelint.report.screen import Look, wants_colour
    from recipelint.report.text import check_text

    one = rebased(checked, lambda root: shown_from(here, root))
    look = Look(wants_colour(colour, os.environ, terminal), terminal)
    return check_text(one.reports, one.book, look, in_sight=one.in_sight)


def as_json(checked: Sequence[Checked]) -> str:
    """Findings with paths from the book's root; for several books, from the folder that holds them all."""
    from recipelint.report.json import findings_json

    base = common_root([one.root for one in checked]) if checked else ""
    one = rebased(checked, lambda root: shown_from(base, root))
    return findings_json(one.reports, one.book)


def outputs_wanted(outputs: Sequence[str]) -> list[tuple[str, str]]:
    """``FORMAT=FILE`` taken apart. Raises Trouble for a format that is not known or a file that is not named."""
    wanted = []
    for output in outputs:
        form, equals, file = output.partition("=")
        if form not in FORMATS or not equals or not file:
            raise Trouble(
                f"--output {output}: FORMAT=FILE is wanted, FORMAT being one of {', '.join(FORMATS)}"
            )
        if os.path.realpath(file).lower().endswith((".yaml", ".yml")):
            raise Trouble(
                f"--output {output}: nothing is written over YAML files, which may be recipes; end the name in"
                f" .{'json' if form == 'json' else 'txt'}"
            )
        wanted.append((form, file))
    return wanted


def run(
    paths: Sequence[str],
    form: str = "text",
    outputs: Sequence[str] = (),
    fail_at: str | None = None,
    brewhouse: str | None = None,
    colour: str = "auto",
) -> int:
    """Checks, prints, writes the files asked for; the exit status."""
    from recipelint.commands.output import emit, is_terminal, write_file

    files = outputs_wanted(outputs)
    folder = here()
    checked, troubles = gather(paths, brewhouse, folder)
    emit(as_json(checked) if form == "json" else as_text(checked, folder, colour, is_terminal()))
    for kind, file in files:
        write_file(file, as_json(checked) if kind == "json" else as_text(checked, folder, "never"))
    for trouble in troubles:
        complain(trouble)
    return TROUBLE if troubles else verdict(checked, fail_at, "warning")
