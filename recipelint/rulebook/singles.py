"""Facts that a recipe has once: the batch, the boil, the chill, the claims and the style aimed at."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from recipelint.recipe.model import Recipe
from recipelint.recipe.quantity import Quantity
from recipelint.rulebook.facts import Range, Style

_STYLE_RANGES = ("og", "fg", "abv", "ibu", "srm")


def single_values(recipe: Recipe, style: Style | None, region: str | None) -> dict[str, Any]:
    """All single values by name; what was not written is ``None``."""
    mash, boil, chill, sparge = recipe.mash, recipe.boil, recipe.chill, recipe.sparge
    values: dict[str, Any] = {
        "recipe_name": recipe.name,
        "batch_volume": value_of(recipe.batch.volume),
        "batch_into": recipe.batch.into,
        "boil_time": value_of(boil.for_) if boil else None,
        "collected": value_of(boil.collect) if boil else None,
        "boiled": boil is not None,
        "mash_heating": (mash.heating or "") if mash else None,
        "mash_liquor": value_of(mash.liquor) if mash else None,
        "mash_time": _total(rest.for_ for rest in mash.rests) if mash else None,
        "mashed": mash is not None and bool(mash.rests),
        "sparge_method": (sparge.method or "") if sparge else None,
        "chilled_by": (chill.by or "") if chill else "",
        "pitched_after": value_of(chill.pitched_after) if chill else None,
        "conditioning_time": _total(stage.for_ for stage in recipe.conditioning)
        if recipe.conditioning
        else None,
        "fermentation_time": _total(step.for_ for step in recipe.fermentation)
        if recipe.fermentation
        else None,
        "finishes": value_of(recipe.finishes),
        "packaged": bool(recipe.packaging),
        "claims": recipe.claims,
        "region": region,
    }
    row = style_row(style) if style is not None else {}
    for name in ("name", "slug", "guide"):
        values[f"style_{name}"] = row.get(name)
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


def _total(times: Iterable[Quantity | None]) -> float | None:
    """The sum, or ``None`` as soon as one is not written."""
    total = 0.0
    for time in times:
        if time is None:
            return None
        total += time.value
    return total
