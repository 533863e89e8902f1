"""Single facts that need the brew or the catalogue as well as the recipe, each worked out when it is asked for."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from recipelint.brewing.boil import LATENT_HEAT
from recipelint.brewing.gravity import WATER_DENSITY
from recipelint.brewing.mash import GRAIN_DISPLACEMENT, MASH_FREE, liquor_that_fits, mash_volume
from recipelint.brewing.mashing import STIRS
from recipelint.recipe.model import Recipe
from recipelint.rulebook.facts import Brew, Catalogue
from recipelint.rulebook.findings import shorten
from recipelint.rulebook.messages import NAME_LENGTH
from recipelint.rulebook.units import listed, show


def mash_that_fits(recipe: Recipe, brew: Brew, _: Catalogue | None) -> str | None:
    """In words, the liquor with which the mash would fit the vessel, or how many mashes it takes.

    ``None`` where the vessel or the mash is not known.
    """
    volume, fill = brew.stat("mash_volume").value, brew.stat("mash_fill").value
    thickness = brew.stat("mash_thickness").value
    if not volume or not fill or thickness is None:
        return None
    grain = volume / (thickness + GRAIN_DISPLACEMENT)
    capacity = volume / fill
    fits = liquor_that_fits(capacity, grain)
    if fits < STIRS * grain:
        return f"it takes {_mashes(STIRS * grain, grain, capacity)}"
    return f"{show(fits, 'L')} of liquor would fit, or {_mashes(thickness * grain, grain, capacity)}"


def _mashes(liquor: float, grain: float, capacity: float) -> str:
    """Into how many mashes grain and liquor must be split for each to fit, in words."""
    count = max(math.ceil(mash_volume(liquor, grain) / (capacity * (1.0 - MASH_FREE)) - 1e-9), 2)
    return f"{'two' if count == 2 else show(count, 'count')} mashes"


def strike_that_does(recipe: Recipe, brew: Brew, _: Catalogue | None) -> str:
    """In words, the strike liquor that would be hot enough at boiling heat, where the one written is not."""
    for trouble in brew.steps[0].troubles if brew.steps else ():
        if trouble.what == "strike-too-hot" and trouble.fits is not None:
            return f"{show(trouble.fits, 'L')} at the boil would do"
    return "take more liquor"


def blow_off(recipe: Recipe, brew: Brew, _: Catalogue | None) -> bool:
    """Whether the fermenter has a wide tube that foam may leave by."""
    fermenter = getattr(brew.brewhouse, "fermenter", None)
    return bool(fermenter is not None and fermenter.blow_off)


def kettle_power(recipe: Recipe, brew: Brew, _: Catalogue | None) -> float | None:
    """What heats the kettle (W), as written."""
    kettle = getattr(brew.brewhouse, "kettle", None)
    return kettle.power.value * 1000.0 if kettle is not None and kettle.power is not None else None


def boil_power(recipe: Recipe, brew: Brew, _: Catalogue | None) -> float | None:
    """Heat (W) that goes into the steam at the boil-off that the brewhouse writes; None where it writes none."""
    kettle = getattr(brew.brewhouse, "kettle", None)
    if kettle is None or kettle.boil_off is None:
        return None
    litres: float = kettle.boil_off.value
    return litres * WATER_DENSITY * LATENT_HEAT / 3.6


def _stated(brew: Brew) -> tuple[str, float | None]:
    efficiency = getattr(brew.brewhouse, "efficiency", None)
    for kind in ("mash", "brewhouse"):
        written = getattr(efficiency, kind, None)
        if written is not None:
            return kind, written.value
    return "", None


def efficiency_written(recipe: Recipe, brew: Brew, _: Catalogue | None) -> float | None:
    """The efficiency that is counted on, as the brewhouse states it."""
    return _stated(brew)[1]


def efficiency_kind(recipe: Recipe, brew: Brew, _: Catalogue | None) -> str:
    """Which efficiency that is: mash or brewhouse."""
    return _stated(brew)[0]


def _contents(
    recipe: Recipe, brew: Brew, catalogue: Catalogue | None
) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Name and allergens of all that goes in and that the catalogue knows: grist, additions, priming."""
    rows: list[Any] = [fact.row for fact in brew.grist]
    if catalogue is not None:
        rows += [catalogue.addition(item.what.id, item.lot) for item in recipe.additions]
        for package in recipe.packaging:
            if package.priming is not None and package.priming.sugar is not None:
                rows.append(catalogue.row("sugar", package.priming.sugar))
    for row in rows:
        if row is not None:
            yield row.name or row.id, tuple(getattr(row, "allergens", None) or ())


def allergens_in_all(recipe: Recipe, brew: Brew, catalogue: Catalogue | None) -> tuple[str, ...]:
    """The allergens of everything that goes in, in the order of the recipe; what no list knows is left out."""
    return tuple(dict.fromkeys(one for _, found in _contents(recipe, brew, catalogue) for one in found))


def gluten_from(recipe: Recipe, brew: Brew, catalogue: Catalogue | None) -> str:
    """What brings gluten: one or two names and how many more; empty if nothing known does."""
    names = dict.fromkeys(
        shorten(name, NAME_LENGTH) for name, found in _contents(recipe, brew, catalogue) if "gluten" in found
    )
    return listed(list(names), 2)


def unsettled(recipe: Recipe, brew: Brew, _: Catalogue | None) -> str:
    """In words, why the bill or the batch could not be worked out; empty where it could."""
    return brew.unsettled


def gas_if_slow(recipe: Recipe, brew: Brew, _: Catalogue | None) -> float:
    """Gas still to come at packaging if the yeast is slow."""
    return brew.gas_if_slow


DERIVED: Mapping[str, Callable[[Recipe, Brew, Catalogue | None], Any]] = {
    "mash_that_fits": mash_that_fits,
    "strike_that_does": strike_that_does,
    "blow_off": blow_off,
    "kettle_power": kettle_power,
    "boil_power": boil_power,
    "efficiency_written": efficiency_written,
    "efficiency_kind": efficiency_kind,
    "allergens_in_all": allergens_in_all,
    "gluten_from": gluten_from,
    "unsettled": unsettled,
    "gas_if_slow": gas_if_slow,
}
