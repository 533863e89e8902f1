"""The key of an item: a name for a line of the recipe that lasts while lines above it come and go.

``hops/east-kent-golding@boil`` is the list, the id and the stage that was written; the second line with the
same key gets ``#2``. Acceptances, baselines, differences and fingerprints all use this one function.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from recipelint.recipe.model import Recipe
from recipelint.recipe.quantity import Quantity


def item_keys(recipe: Recipe) -> dict[str, str]:
    """Pointer of each item of the recipe -> its key, in the order of the recipe."""
    keys: dict[str, str] = {}
    counts: dict[str, int] = {}
    for at, key in _bare(recipe):
        counts[key] = count = counts.get(key, 0) + 1
        keys[at] = key if count == 1 else f"{key}#{count}"
    return keys


def item_key(recipe: Recipe, pointer: str) -> str | None:
    """The key of the item that the pointer lies in; ``None`` for what belongs to no item."""
    return key_at(item_keys(recipe), pointer)


def key_at(keys: dict[str, str], pointer: str) -> str | None:
    """The same for keys already made: the nearest item at or above the pointer."""
    while pointer:
        if pointer in keys:
            return keys[pointer]
        pointer = pointer.rpartition("/")[0]
    return None


def _bare(recipe: Recipe) -> Iterator[tuple[str, str]]:
    for name, rows in (("grist", recipe.grist), ("hops", recipe.hops), ("yeast", recipe.yeast)):
        for row in rows:
            yield row.at, _key(name, row.what.id, row.when.stage if row.when else None)
    for addition in recipe.additions:
        yield addition.at, _key("additions", addition.what.id, addition.when.stage if addition.when else None)
    for source in recipe.water:
        yield source.at, _key("water", source.source or "source")
    for dose in recipe.oxygen:
        yield dose.at, _key("oxygen", dose.dose or "dose", dose.when)
    for rest in recipe.mash.rests if recipe.mash else ():
        yield rest.at, _key("rests", rest.name or _degrees(rest.temperature))
    for step in recipe.fermentation:
        yield step.at, _key("fermentation", _degrees(step.to or step.temperature))
    for stage in recipe.conditioning:
        yield stage.at, _key("conditioning", stage.vessel or _degrees(stage.temperature))
    for package in recipe.packaging:
        yield package.at, _key("packaging", package.into or "package")
        if package.yeast:
            yield package.yeast.at, _key("packaging", package.yeast.what.id)
    yield from _promises(recipe)


def _promises(recipe: Recipe) -> Iterable[tuple[str, str]]:
    return ((promise.at, f"expect/{promise.stat}") for promise in recipe.expect)


def _key(name: str, word: str, stage: str | None = None) -> str:
    return f"{name}/{word}@{stage}" if stage else f"{name}/{word}"


def _degrees(temperature: Quantity | None) -> str:
    return f"{temperature.value:.10g}C" if temperature is not None else "untold"
