"""Facts that a recipe has once: the batch, the boil, the chill, the claims and the style aimed at."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

from recipelint.brewing.mash_steps import way_of
from recipelint.recipe.model import Recipe
from recipelint.recipe.quantity import Quantity
from recipelint.rulebook.facts import Range, Style

_STYLE_RANGES = ("og", "fg", "abv", "ibu", "srm")


def single_value(name: str, recipe: Recipe) -> Any:
    """A single value of the recipe by its name; ``None`` if it was not written. Raises KeyError."""
    return _VALUES[name](recipe)


def _heating(recipe: Recipe) -> str | None:
    return (recipe.mash.heating or "") if recipe.mash is not None else None


def _mash_liquor(recipe: Recipe) -> float | None:
    return value_of(recipe.mash.liquor) if recipe.mash is not None else None


def _mash_time(recipe: Recipe) -> float | None:
    return _total(rest.for_ for rest in recipe.mash.rests) if recipe.mash is not None else None


def _collected(recipe: Recipe) -> float | None:
    """The volume before the boil as written, be it collected or only boiled (L)."""
    boil = recipe.boil
    if boil is None:
        return None
    return value_of(boil.collect if boil.collect is not None else boil.volume)


def _sparge_method(recipe: Recipe) -> str | None:
    return (recipe.sparge.method or "") if recipe.sparge is not None else None


def _infusions_open(recipe: Recipe) -> bool:
    """Whether heat decides how much liquor an infusion takes."""
    mash = recipe.mash
    if mash is None:
        return False
    return any(rest.liquor is None and way_of(rest, mash.heating) == "infusion" for rest in mash.rests[1:])


def _chilled_by(recipe: Recipe) -> str:
    return (recipe.chill.by or "") if recipe.chill is not None else ""


def _pitched_after(recipe: Recipe) -> float | None:
    return value_of(recipe.chill.pitched_after) if recipe.chill is not None else None


def _first_pitch(recipe: Recipe) -> float | None:
    """Hours from the time that is called pitching to the first yeast; None without yeast or a time."""
    hours: list[float] = []
    for culture in recipe.yeast:
        when = culture.when
        if when is None:
            return 0.0
        if when.kind == "day" and when.value is not None:
            hours.append(when.value.value)
    return min(hours) if hours else None


def _fermentation_time(recipe: Recipe) -> float | None:
    return _total(step.for_ for step in recipe.fermentation) if recipe.fermentation else None


_VALUES: dict[str, Callable[[Recipe], Any]] = {
    "recipe_name": lambda recipe: recipe.name,
    "batch_volume": lambda recipe: value_of(recipe.batch.volume),
    "batch_into": lambda recipe: recipe.batch.into,
    "boil_time": lambda recipe: value_of(recipe.boil.for_) if recipe.boil is not None else None,
    "collected": _collected,
    "liquor_written": lambda recipe: _liquor_written(recipe),
    "boiled": lambda recipe: recipe.boil is not None,
    "infusions_open": _infusions_open,
    "mash_heating": _heating,
    "mash_liquor": _mash_liquor,
    "mash_time": _mash_time,
    "mashed": lambda recipe: recipe.mash is not None and bool(recipe.mash.rests),
    "sparge_method": _sparge_method,
    "sparge_written": lambda recipe: value_of(recipe.sparge.liquor) if recipe.sparge is not None else None,
    "chilled_by": _chilled_by,
    "pitched_after": _pitched_after,
    "first_pitch": _first_pitch,
    "fermentation_time": _fermentation_time,
    "finishes": lambda recipe: value_of(recipe.finishes),
    "packaged": lambda recipe: bool(recipe.packaging),
    "claims": lambda recipe: recipe.claims,
}


def style_values(style: Style | None) -> dict[str, Any]:
    """The single values of the style aimed at, all with ``style_`` before the name; ``None`` without a style."""
    row = style_row(style) if style is not None else {}
    values: dict[str, Any] = {f"style_{name}": row.get(name) for name in ("name", "slug", "guide")}
    values["style_tags"] = row.get("tags", ())
    values["style_groups"] = row.get("groups", ())
    for name in (*_STYLE_RANGES, "ratio"):
        values[f"style_{name}_low"] = row.get(f"{name}_low")
        values[f"style_{name}_high"] = row.get(f"{name}_high")
    return values


def style_row(style: Style) -> dict[str, Any]:
    """The columns of the table ``style``.

    The ratio is that of bitterness to gravity points at the middle of the style's original gravity.
    """
    row: dict[str, Any] = {
        "name": style.name,
        "slug": f"{style.guide}/{style.id}",
        "guide": style.guide,
        "tags": tuple(style.tags or ()),
        "groups": tuple(style.groups or ()),
    }
    for name in _STYLE_RANGES:
        row[f"{name}_low"], row[f"{name}_high"] = getattr(style, name) or (None, None)
    og: Range = (row["og_low"], row["og_high"])
    known = [side for side in og if side is not None]
    points = (sum(known) / len(known) - 1.0) * 1000.0 if known else 0.0
    for side in ("low", "high"):
        ibu = row[f"ibu_{side}"]
        row[f"ratio_{side}"] = ibu / points if ibu is not None and points > 0 else None
    return row


def value_of(quantity: Quantity | None) -> float | None:
    """The number of a quantity, or ``None`` if none was written."""
    return quantity.value if quantity is not None else None


def _liquor_written(recipe: Recipe) -> float | None:
    """Strike, infusion and sparge liquor as written (L); ``None`` without a strike liquor."""
    if recipe.mash is None or recipe.mash.liquor is None:
        return None
    infused = math.fsum(rest.liquor.value for rest in recipe.mash.rests if rest.liquor is not None)
    return (
        recipe.mash.liquor.value + infused + (value_of(recipe.sparge.liquor) or 0.0 if recipe.sparge else 0.0)
    )


def _total(times: Iterable[Quantity | None]) -> float | None:
    """The sum, or ``None`` as soon as one is not written."""
    total = 0.0
    for time in times:
        if time is None:
            return None
        total += time.value
    return total
