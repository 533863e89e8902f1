"""Brews a recipe written as text, without files: what the tests of the process stand on."""

from __future__ import annotations

from recipelint.brewing.brew import Brew, brew
from recipelint.recipe.builder import build
from recipelint.recipe.catalogue import Catalogue
from recipelint.recipe.model import Recipe
from recipelint.source.reader import read

CATALOGUE = Catalogue.shipped()


def recipe_of(text: str) -> Recipe:
    """The recipe that the text writes; the test fails if it has an error."""
    document = read("recipe.yaml", text.encode())
    assert not document.problems, document.problems
    built = build("recipe", document)
    assert built.value is not None, built.troubles
    recipe: Recipe = built.value
    return recipe


def brewed(text: str, models: dict[str, str] | None = None) -> Brew:
    """The brew of a recipe with its vessels written in it."""
    recipe = recipe_of(text)
    return brew(recipe, recipe.brewhouse, CATALOGUE, models)


def value(beer: Brew, name: str) -> float:
    """A stat that must have a value."""
    found = beer.stat(name)
    assert found.value is not None, f"{name}: {found.why}"
    return found.value
