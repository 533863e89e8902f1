"""The house around the recipes: its settings, brewhouses, own ingredients, styles and rules.

Everything is read through the one door to files, when something asks for it, and remembered. What is wrong in
such a file is a finding of that file; the recipes are judged with what could be read.
"""

from __future__ import annotations

from typing import Any

from recipelint.recipe.builder import build, kind_of
from recipelint.recipe.catalogue import Catalogue
from recipelint.recipe.model import Brewhouse, House, RuleSetting
from recipelint.recipe.styles import Styles
from recipelint.rulebook.engine import check_settings, settings_of
from recipelint.rulebook.findings import Finding
from recipelint.rulebook.rules import Rule, load_rules, shipped_rules
from recipelint.source.files import HOUSE_FILE, Files, FileTrouble
from recipelint.source.nodes import Document
from recipelint.source.reader import read

DEFAULT_GLOBS: dict[str, tuple[str, ...]] = {
    "recipes": ("recipes/**/*.yaml", "recipes/**/*.yml"),
    "brewhouses": ("brewhouses/*.yaml", "brewhouses/*.yml"),
    "catalogue": ("catalogue/*.yaml", "catalogue/*.yml"),
    "brews": ("brews/**/*.yaml", "brews/**/*.yml"),
    "rules": ("rules/*.yaml", "rules/*.yml"),
    "styles": ("styles/*.yaml", "styles/*.yml"),
}


class HouseBook:
    """The files of a house that recipes rest on, read once each."""

    def __init__(self, files: Files) -> None:
        self.files = files
        self._documents: dict[str, Document | None] = {}
        self._house: list[House | None] = []
        self._catalogue: Catalogue | None = None
        self._styles: Styles | None = None
        self._rules: tuple[tuple[Rule, ...], tuple[Finding, ...]] | None = None
        self._brewhouses: dict[str, str] | None = None
        self._built_brewhouses: dict[str, Brewhouse | None] = {}
        self._listed: dict[str, list[str]] = {}
        self._settings: dict[str, RuleSetting] | None = None

    def document(self, path: str) -> Document | None:
        """The node tree of a file, or None if it cannot be read."""
        if path not in self._documents:
            try:
                self._documents[path] = read(path, self.files.read(path))
            except FileTrouble:
                self._documents[path] = None
        return self._documents[path]

    def forget(self, path: str) -> None:
        """Let go of a tree that nothing else needs: memory stays flat over a large book."""
        self._documents.pop(path, None)

    @property
    def house(self) -> House | None:
        """The settings, or None without a house file or where it has errors."""
        if not self._house:
            built = self.built(HOUSE_FILE, "house")
            self._house.append(built if isinstance(built, House) else None)
        return self._house[0]

    def built(self, path: str, kind: str) -> Any:
        """What a file of this kind says, or None if it is absent, of another kind, or has errors."""
        document = self.document(path)
        if document is None or document.problems or kind_of(document) != kind:
            return None
        return build(kind, document).value

    def listed(self, group: str) -> list[str]:
        """The files that the house's globs, or the usual ones, claim for a group."""
        found = self._listed.get(group)
        if found is None:
            house = self.house
            own = getattr(house.files, group) if house is not None and house.files is not None else None
            found = self._listed[group] = self.files.list(own if own is not None else DEFAULT_GLOBS[group])
        return found

    # ------------------------------------------------------------------ what the files hold

    @property
    def catalogue(self) -> Catalogue:
        """The shipped catalogue with the house's own rows and lots over it."""
        if self._catalogue is None:
            rows: list[Any] = []
            for path in self.listed("catalogue"):
                rows.extend(self.built(path, "catalogue") or ())
            shipped = Catalogue.shipped()
            self._catalogue = shipped.with_house(rows) if rows else shipped
        return self._catalogue

    @property
    def styles(self) -> Styles:
        """The shipped styles with the house's own."""
        if self._styles is None:
            found = Styles.shipped()
            for path in self.listed("styles"):
                own = self.built(path, "styles")
                if own is not None:
                    found = found.with_house(*own)
            self._styles = found
        return self._styles

    @property
    def rules(self) -> tuple[Rule, ...]:
        """The rule book, then the house's own rules."""
        return self._load_rules()[0]

    @property
    def rule_findings(self) -> tuple[Finding, ...]:
        """What is wrong with the house's own rules."""
        return self._load_rules()[1]

    def _load_rules(self) -> tuple[tuple[Rule, ...], tuple[Finding, ...]]:
        if self._rules is None:
            rules = list(shipped_rules())
            findings: list[Finding] = []
            for path in self.listed("rules"):
                data = self.built(path, "rules")
                if isinstance(data, dict):
                    own, wrong = load_rules(data, path, [rule.id for rule in rules])
                    rules.extend(own)
                    findings.extend(wrong)
            self._rules = tuple(rules), tuple(findings)
        return self._rules

    @property
    def settings(self) -> dict[str, RuleSetting]:
        """What the house says of rules, by rule."""
        if self._settings is None:
            self._settings = settings_of(self.house.rules) if self.house is not None else {}
        return self._settings

    def settings_findings(self, built_in: tuple[str, ...]) -> list[Finding]:
        """What is wrong with the house's words on rules."""
        if self.house is None or not self.house.rules:
            return []
        return check_settings(self.house.rules, self.rules, built_in, HOUSE_FILE)

    def brewhouse_names(self) -> dict[str, str]:
        """Name (the file's own, without folder and ending) to path."""
        if self._brewhouses is None:
            found: dict[str, str] = {}
            for path in self.listed("brewhouses"):
                name = path.rpartition("/")[2].rpartition(".")[0]
                found.setdefault(name, path)
            self._brewhouses = found
        return self._brewhouses

    def brewhouse(self, name: str) -> Brewhouse | None:
        """A brewhouse by its name or by a path below the root; None if there is none or it has errors."""
        path = name if name.endswith((".yaml", ".yml")) else self.brewhouse_names().get(name)
        if path is None:
            return None
        if path not in self._built_brewhouses:
            made = self.built(path, "brewhouse")
            self._built_brewhouses[path] = made if isinstance(made, Brewhouse) else None
        return self._built_brewhouses[path]
