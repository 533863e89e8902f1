"""What the tests of the rule book cook with: examples laid over base recipes, read, built and brewed as a
check does.
"""

from __future__ import annotations

import os
from functools import cache
from typing import Any

import yaml

from recipelint.brewing.brew import Brew, brew
from recipelint.recipe import builder
from recipelint.recipe.catalogue import Catalogue
from recipelint.recipe.model import Recipe
from recipelint.recipe.styles import Style, Styles
from recipelint.rulebook.engine import judge
from recipelint.rulebook.findings import Finding
from recipelint.rulebook.names import base_of, in_doubt, style_of, unknown_names
from recipelint.rulebook.promises import promises
from recipelint.rulebook.rules import Rule, shipped_rules
from recipelint.rulebook.settings import settings_of
from recipelint.rulebook.style_check import check_style
from recipelint.rulebook.tables import Tables
from recipelint.source.reader import read

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
RULES = os.path.join(ROOT, "rules")


def plain(path: str) -> Any:
    """A YAML file as plain data, through the project's own reader."""
    with open(path, "rb") as file:
        document = read(os.path.basename(path), file.read())
    assert not document.problems, document.problems
    assert document.root is not None
    return document.root.data


@cache
def bases() -> dict[str, Any]:
    return plain(os.path.join(RULES, "bases.yaml"))["items"]


@cache
def written_rules() -> dict[str, Any]:
    """Every rule as it stands in the YAML."""
    found: dict[str, Any] = {}
    for name in sorted(os.listdir(RULES)):
        if name.endswith(".yaml"):
            content = plain(os.path.join(RULES, name))
            if "rules" in content:
                found.update({raw["rule"]: raw for raw in content["items"]})
    return found


@cache
def catalogue() -> Catalogue:
    return Catalogue.shipped()


@cache
def styles() -> Styles:
    return Styles.shipped()


def merged(target: Any, patch: Any) -> Any:
    """JSON Merge Patch, RFC 7396."""
    if not isinstance(patch, dict):
        return patch
    out = dict(target) if isinstance(target, dict) else {}
    for key, value in patch.items():
        if value is None:
            out.pop(key, None)
        else:
            out[key] = merged(out.get(key), value)
    return out


def recipe_text(base: str, patch: Any = None) -> str:
    return yaml.safe_dump(merged(bases()[base], patch or {}), sort_keys=False, allow_unicode=True)


def build(text: str, file: str = "recipes/test.yaml") -> Recipe:
    document = read(file, text.encode())
    assert not document.problems, document.problems
    made, troubles = builder.build("recipe", document)
    errors = [trouble for trouble in troubles if trouble.level == "error"]
    assert made is not None and not errors, troubles
    assert isinstance(made, Recipe)
    return made


class Cooked:
    """A recipe with its beer, its style and its tables."""

    def __init__(self, base: str, patch: Any = None) -> None:
        self.recipe = build(recipe_text(base, patch))
        self.brew: Brew = brew(self.recipe, self.recipe.brewhouse, catalogue(), {})
        self.style: Style | None
        self.style, self.troubles = style_of(self.recipe, styles())
        self.tables = Tables(self.recipe, self.brew, self.style, catalogue(), None)

    def judged(self, rules: tuple[Rule, ...] | None = None, settings: Any = ()) -> list[Finding]:
        """What the rules find, and nothing else; style and promises are only there to make rules moot."""
        house = settings_of(settings)
        before = promises(self.recipe, self.brew, house) + check_style(
            self.recipe, self.brew, self.style, None, house
        )
        return judge(self.tables, rules or shipped_rules(), house, self.style, before)

    def everything(self) -> list[Finding]:
        """What a check of this recipe would say."""
        found = unknown_names(self.recipe, catalogue())
        doubtful = in_doubt(found)
        found += promises(self.recipe, self.brew, doubtful=doubtful) + self.troubles
        found += check_style(
            self.recipe, self.brew, self.style, base_of(self.style, styles()), doubtful=doubtful
        )
        return found + judge(self.tables, shipped_rules(), {}, self.style, found)


@cache
def cooked(base: str) -> Cooked:
    return Cooked(base)
