"""One set of files, loaded, brewed and judged: a work tree, a revision, an editor's unsaved text.

``report`` is the whole of a check of one file. Nothing it meets in a file raises: what is wrong becomes a
finding.
"""

import os
from typing import NamedTuple

from recipelint.brewing.brew import Brew, brew
from recipelint.recipe.builder import build, kind_of, why_no_kind
from recipelint.recipe.model import Brewhouse, House, Recipe, Record
from recipelint.recipe.nearest import nearest
from recipelint.recipe.styles import Style
from recipelint.recipe.troubles import Trouble
from recipelint.rulebook.acceptance import accept
from recipelint.rulebook.built_in import built_in_names
from recipelint.rulebook.engine import judge
from recipelint.rulebook.findings import Finding, Related, shorten
from recipelint.rulebook.items import item_key
from recipelint.rulebook.names import base_of, find_style, in_doubt, style_of, unknown_names
from recipelint.rulebook.promises import promises
from recipelint.rulebook.style_check import check_style
from recipelint.rulebook.tables import Tables
from recipelint.rulebook.units import shown_in
from recipelint.source.files import HOUSE_FILE, Files, FileTrouble, WorkTree, find_root
from recipelint.source.nodes import At, Document
from recipelint.source.text import show
from recipelint.workspace.house import DEFAULT_GLOBS, HouseBook
from recipelint.workspace.kinds import KIND_IN, first_kind
from recipelint.workspace.places import Open, Place, Placed, in_order, placed, placed_problem

__all__ = ["Brewed", "FileReport", "Place", "Placed", "Workspace", "open_workspace"]


OF_OWN_VESSELS = ("volumes-disagree", "collected-volume-disagrees")
START = 4096  # bytes of a file too large to be read that are looked at


class FileReport(NamedTuple):
    """What was found in one file. kind is one of ``kinds.KINDS``, or unknown (no file of ours) or unreadable."""

    file: str
    kind: str
    name: str
    findings: tuple[Placed, ...]


class Brewed(NamedTuple):
    """A recipe, its beer on paper, and the style it was held against."""

    recipe: Recipe
    brew: Brew
    style: Style | None


class Loaded(NamedTuple):
    """A file read and built: ``made`` is None where something is wrong."""

    document: Document | None
    kind: str
    made: object
    findings: list[Placed]


class Workspace:
    """Files below one root, with the house around them. ``brewhouse`` replaces the one that recipes name."""

    def __init__(self, files: Files, brewhouse: str | None = None) -> None:
        self.files = files
        self.book_of = HouseBook(files)
        self._other = brewhouse
        self._names: dict[str, str] = {}

    @property
    def house(self) -> House | None:
        """The house's settings, if it has any."""
        return self.book_of.house

    def claimed(self) -> list[str]:
        """The files that the house's globs claim, and the house file; sorted."""
        found: set[str] = set()
        for group in DEFAULT_GLOBS:
            found.update(self.book_of.listed(group))
        if self.book_of.document(HOUSE_FILE) is not None:
            found.add(HOUSE_FILE)
        return sorted(found)

    def walk(self, folder: str) -> list[str]:
        """The YAML files below a folder; sorted."""
        prefix = f"{folder.rstrip('/')}/" if folder else ""
        return self.files.list([f"{prefix}**/*.yaml", f"{prefix}**/*.yml"])

    # ------------------------------------------------------------------ one file

    def report(self, path: str, *, named: bool) -> FileReport:
        """Everything found in one file. ``named``: asked for by name, so that a file of no known kind is an error.

        Raises FileTrouble if the file cannot be read.
        """
        loaded = self._load(path, named)
        name = str(getattr(loaded.made, "name", "") or "")
        findings = loaded.findings
        if isinstance(loaded.made, Recipe):
            findings = findings + self._place(self._judged(loaded.made), loaded.document)
        elif isinstance(loaded.made, Record):
            findings = findings + self._place(self._record_findings(loaded.made), loaded.document)
        elif isinstance(loaded.made, House) and path == HOUSE_FILE:
            findings = findings + self._place(self._house_findings(loaded.made), loaded.document)
        elif loaded.kind == "rules":
            own = [finding for finding in self.book_of.rule_findings if finding.at.file == path]
            findings = findings + self._place(own, loaded.document)
        if loaded.kind in ("recipe", "brew", "unknown"):
            self.book_of.forget(path)
        return FileReport(path, loaded.kind, name, in_order(findings))

    def _load(self, path: str, named: bool) -> Loaded:
        document = self.book_of.document(path)
        if document is None:
            self.files.read(path)  # raises with the reason
            raise FileTrouble(path, "cannot be read")
        kind = kind_of(document)
        if document.root is None:
            # It cannot be read, so only its first line can say whether it was meant for us.
            start = document.text or self.files.read(path)[:START].decode("utf-8", "replace")
            kind = first_kind(start) or self._guess(path)
            if kind == "unknown" and not named:
                return Loaded(document, "unknown", None, [])
            return Loaded(
                document, kind, None, [placed_problem(each, document) for each in document.problems]
            )
        if kind is None and not named and self._guess(path) == "unknown":
            return Loaded(document, "unknown", None, [])
        findings = [placed_problem(each, document) for each in document.problems]
        if kind is None:
            return Loaded(
                document, "unknown", None, findings + self._troubles((why_no_kind(document),), document)
            )
        if findings:
            return Loaded(document, kind, None, findings)
        built = build(kind, document)
        self._names[path] = built.value.name if isinstance(built.value, Recipe) else ""
        return Loaded(document, kind, built.value, self._troubles(built.troubles, document))

    def _guess(self, path: str) -> str:
        """The kind that a file ought to have by the house's globs, where its text does not say."""
        if path == HOUSE_FILE:
            return "house"
        if self.house is None:
            return "unknown"
        groups = (group for group in DEFAULT_GLOBS if path in self.book_of.listed(group))
        return KIND_IN.get(next(groups, ""), "unknown")

    def _troubles(self, troubles: tuple[Trouble, ...], document: Document) -> list[Placed]:
        found: list[Placed] = []
        for each in troubles:
            related = tuple(Related(message, at) for message, at in each.related)
            finding = Finding(each.rule, each.level, each.message, each.at, related=related)
            found.append(placed(finding, self._open(document), key=each.part == "key"))
        return found

    def _open(self, document: Document | None) -> Open:
        def opened(file: str) -> Document | None:
            return document if document is not None and file == document.file else self.book_of.document(file)

        return opened

    def _place(self, findings: list[Finding], document: Document | None) -> list[Placed]:
        opened = self._open(document)
        return [placed(finding, opened) for finding in findings]

    # ------------------------------------------------------------------ recipes

    def brewed(self, path: str, style: str | None = None) -> Brewed | None:
        """The recipe brewed on paper, held against another style than its own if one is given.

        None where the file has errors that keep it from being brewed; ``report`` says which.
        """
        loaded = self._load(path, True)
        if not isinstance(loaded.made, Recipe):
            return None
        recipe = loaded.made
        aim = find_style(style, At(path, ""), self.book_of.styles)[0] if style else self._style(recipe)[0]
        return Brewed(recipe, self._brew(recipe), aim)

    def style_finding(self, ref: str) -> Finding | None:
        """Why a style asked for on the command line is not found; None if it is."""
        return find_style(ref, At("", ""), self.book_of.styles)[1]

    def _style(self, recipe: Recipe) -> tuple[Style | None, list[Finding]]:
        choice = recipe.style
        guide = self.house.guide if self.house is not None else None
        if choice is not None and "/" not in choice.enter and guide:
            recipe = recipe._replace(style=choice._replace(enter=f"{guide}/{choice.enter}"))
        return style_of(recipe, self.book_of.styles)

    def _brew(self, recipe: Recipe) -> Brew:
        house = self._vessels(recipe)
        models = self.house.models if self.house is not None else {}
        return brew(recipe, house, self.book_of.catalogue, models)

    def _vessels(self, recipe: Recipe) -> Brewhouse | None:
        """The brewhouse of the command line, else the recipe's own, else the house's default."""
        return self._own_vessels(recipe) if self._other is None else self.book_of.brewhouse(self._other)

    def _own_vessels(self, recipe: Recipe) -> Brewhouse | None:
        own = recipe.brewhouse
        if own is None:
            default = self.house.brewhouse if self.house is not None else None
            return self.book_of.brewhouse(default) if default else None
        return self.book_of.brewhouse(own.named) if own.named is not None else own

    def _elsewhere(self, recipe: Recipe) -> str:
        """The brewhouse of the command line if it is not the one the recipe was written for, else nothing."""
        if self._other is None or self.book_of.brewhouse(self._other) is self._own_vessels(recipe):
            return ""
        return show(self._other.rpartition("/")[2].removesuffix(".yaml").removesuffix(".yml"))

    def other_brewhouse_known(self) -> bool:
        """Whether the brewhouse asked for on the command line is there and sound."""
        return self._other is None or self.book_of.brewhouse(self._other) is not None

    def _judged(self, recipe: Recipe) -> list[Finding]:
        """Everything that can be said of a well-formed recipe, in the units of the house."""
        with shown_in(self.house.units if self.house is not None else None):
            return self._said(recipe)

    def _said(self, recipe: Recipe) -> list[Finding]:
        style, findings = self._style(recipe)
        unknown = unknown_names(recipe, self.book_of.catalogue)
        doubtful = in_doubt(unknown)
        findings = findings + unknown + self._brewhouse_findings(recipe)
        beer = self._brew(recipe)
        rules, settings = self.book_of.rules, self.book_of.settings
        region = self.house.region if self.house is not None else None
        elsewhere = self._elsewhere(recipe)
        findings += promises(recipe, beer, settings, elsewhere, doubtful)
        findings += check_style(recipe, beer, style, base_of(style, self.book_of.styles), settings, doubtful)
        tables = Tables(recipe, beer, style, self.book_of.catalogue, region)
        news = OF_OWN_VESSELS if elsewhere else ()
        found = judge(tables, rules, settings, style, findings, news)
        findings += [_as_note(each) for each in found] if elsewhere else found
        findings = [
            finding if finding.item or finding.at.file != recipe.file else self._with_item(finding, recipe)
            for finding in findings
        ]
        return accept(findings, recipe, rules, built_in_names()) if recipe.accept else findings

    @staticmethod
    def _with_item(finding: Finding, recipe: Recipe) -> Finding:
        key = item_key(recipe, finding.at.pointer)
        return finding._replace(item=key) if key else finding

    def _brewhouse_findings(self, recipe: Recipe) -> list[Finding]:
        own = recipe.brewhouse
        if self._other is not None or own is None or own.named is None:
            return []
        return self._unknown_brewhouse(own.named, At(recipe.file, own.at))

    def _unknown_brewhouse(self, named: str, at: At) -> list[Finding]:
        """A finding if this house has no such brewhouse, or one with errors."""
        if self.book_of.brewhouse(named) is not None:
            return []
        names = self.book_of.brewhouse_names()
        shown = f"`{show(named)}`"
        if named in names:
            message = f"{shown} has errors of its own ({names[named]}); brewed on a stated default instead"
        else:
            near = nearest(named, names)
            known = (
                f"; near: {', '.join(near)}" if near else "; write it out here, or as brewhouses/NAME.yaml"
            )
            message = f"{shown} is no brewhouse of this house{known}"
        return [Finding("unknown-brewhouse", "error", shorten(message), at)]

    def _record_findings(self, record: Record) -> list[Finding]:
        """What a record of a brew day names and the book does not have."""
        found: list[Finding] = []
        names = [path.rpartition("/")[2].rpartition(".")[0] for path in self.book_of.listed("recipes")]
        if record.recipe not in names:
            near = nearest(record.recipe, names)
            hint = f"; near: {', '.join(near)}" if near else "; write the name of its file without the ending"
            message = f"`{show(record.recipe)}` is no recipe of this house{hint}"
            found.append(Finding("unknown-recipe", "error", shorten(message), At(record.file, "/recipe")))
        if record.brewhouse is not None:
            found += self._unknown_brewhouse(record.brewhouse, At(record.file, "/brewhouse"))
        return found

    def _house_findings(self, house: House) -> list[Finding]:
        """What the house says that does not fit: rules, limits, its own brewhouse."""
        found = self.book_of.settings_findings(built_in_names())
        if house.brewhouse is not None:
            found += self._unknown_brewhouse(house.brewhouse, At(HOUSE_FILE, "/brewhouse"))
        return found

    # ------------------------------------------------------------------ the whole book

    def book(self) -> tuple[Placed, ...]:
        """Findings over several files: two recipes of one name."""
        seen: dict[str, At] = {}
        found: list[Placed] = []
        for path in self.book_of.listed("recipes"):
            name = self._name_in(path)
            if not name:
                continue
            plain = " ".join(name.casefold().split())
            first = seen.setdefault(plain, At(path, "/name"))
            if first.file != path:
                message = shorten(
                    f"{show(name)} is the name of {first.file} too: one of them wants another name"
                )
                related = (Related("the first of that name", first),)
                found += self._place(
                    [Finding("name-used-twice", "warning", message, At(path, "/name"), related=related)], None
                )
        return in_order(found)

    def _name_in(self, path: str) -> str:
        """The name of the recipe in a file, remembered from its check; empty if it is no sound recipe."""
        if path not in self._names:
            try:
                self._load(path, False)
            except FileTrouble:
                self._names[path] = ""
            self.book_of.forget(path)
        return self._names.get(path, "")


def _as_note(finding: Finding) -> Finding:
    """Liquor was written for the recipe's own brewhouse: on another one the difference is news and no mistake."""
    return finding._replace(level="note") if finding.rule in OF_OWN_VESSELS else finding


def open_workspace(start: str, brewhouse: str | None = None) -> Workspace:
    """The workspace around a folder.

    Its root is the nearest folder with a house file, else the repository, else itself.
    """
    return Workspace(WorkTree(find_root(os.path.abspath(start))), brewhouse)
