"""The cask: what gas it holds while it is shut, what is left once it is vented, and the sugar it is primed with.

Carbonation in volumes, °C, grams. A cask is shut while it works and vented under a soft spile before it is served,
where it stands; from then on it holds no more than open beer does.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from recipelint.brewing import gas, held, package
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found
from recipelint.recipe.model import Package
from recipelint.recipe.quantity import Quantity

NO_CASK = "no cask is written"


def casks(run: Run) -> list[int]:
    """The packages that are casks."""
    return [index for index, each in enumerate(run.plan.recipe.packaging) if each.into == "cask"]


def works_on_its_own(cask: Package) -> bool:
    """Whether nothing is written of its gas: it then has what fermentation left, and what is still to ferment."""
    return cask.carbonation is None and cask.priming is None and cask.relief is None


def shut(run: Run, index: int) -> tuple[float | None, str]:
    """Carbonation (vol) of a cask that has worked and is still shut; None with the reason.

    As wished for or primed; of one that is neither, what fermentation left and what the extract makes that has not
    fermented when it is filled, which is how a cask is conditioned without sugar.
    """
    if not works_on_its_own(run.plan.recipe.packaging[index]):
        volumes, why = package.carbonation_of(run, index)
        return (None, why) if volumes is None else (package.in_the_end(run, index, volumes, 0.0), "")
    from recipelint.brewing import fermenting

    left, why, _ = held.residual_co2(run)
    more, why_more, _ = fermenting.still_to_come(run)
    if left is None or more is None:
        return None, why or why_more
    return left + more, ""


def stands_at(cask: Package) -> Quantity | None:
    """Temperature (°C) where a cask stands when it is vented."""
    if cask.temperature is not None:
        return cask.temperature
    return cask.store.temperature if cask.store is not None else None


def vented(run: Run, index: int) -> tuple[float | None, str]:
    """Carbonation (vol) of a cask under a soft spile; None with the reason."""
    volumes, why = shut(run, index)
    heat = stands_at(run.plan.recipe.packaging[index])
    if volumes is None or heat is None:
        return None, why or "it is not written how warm the cask stands"
    return gas.vented(volumes, heat.value, held.outside(run)), ""


def _liveliest(of: Callable[[Run, int], tuple[float | None, str]]) -> Callable[[Run], Found]:
    """The cask with the most gas; unknown as soon as one of them is."""

    def found(run: Run) -> Found:
        best: tuple[float, int] | None = None
        for index in casks(run):
            volumes, why = of(run, index)
            if volumes is None:
                return None, why, ()
            if best is None or volumes > best[0]:
                best = volumes, index
        if best is None:
            return None, NO_CASK, ()
        return best[0], "", ((run.plan.recipe.packaging[best[1]].at, 1.0),)

    return found


def primed(run: Run) -> list[int]:
    """The casks that get priming sugar."""
    return [index for index in casks(run) if run.plan.recipe.packaging[index].priming is not None]


def _priming(run: Run) -> Found:
    """Priming sugar (g) of all casks."""
    found: list[float] = []
    for index in primed(run):
        grams, why = package.priming_per_litre(run, index)
        if grams is None:
            return None, why, ()
        found.append(grams * package.volume_of(run, index))
    if not found:
        return None, "the cask is not primed" if casks(run) else NO_CASK, ()
    return math.fsum(found), "", tuple((run.plan.recipe.packaging[index].at, 1.0) for index in primed(run))


FINDERS: dict[str, Callable[[Run], Found]] = {
    "cask_priming": _priming,
    "cask_carbonation": _liveliest(shut),
    "vented_carbonation": _liveliest(vented),
}
