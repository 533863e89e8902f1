"""The package: gas left and gas made, and what it presses with. Volumes of CO2, °C, bar, grams, litres.

Everything is a function of one package first; the stats are of the batch: sugar is added up, strength is the mean by
volume, carbonation and pressure are those of the liveliest package.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from recipelint.brewing import carbonation
from recipelint.brewing.fermentation import ETHANOL_DENSITY, EXTRACT_PER_ALCOHOL
from recipelint.brewing.finish import dextrins_surely_eaten
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found, PackageFact
from recipelint.recipe.model import Package

CRASH = 4.0  # K; a fall of more than that is no fermentation step; common practice
LEAST_FERMENTABLE = 0.3  # of a sugar that primes at all
WARMEST = (
    25.0  # °C a store is taken to reach where nothing is written; a warm room in summer, common practice
)


def warmest_since_fermentation(run: Run) -> float | None:
    """Highest temperature (°C) since fermentation ended: the step in which it ended and what follows.

    Trailing steps that fall by more than CRASH are taken as a crash after the end: beer that is cooled takes up no
    gas that has already left it. None where no temperature is written.
    """
    recipe = run.plan.recipe
    reached = [step.to or step.temperature for step in recipe.fermentation]
    degrees = [each.value for each in reached if each is not None]
    last = len(degrees) - 1
    while last > 0 and degrees[last] < degrees[last - 1] - CRASH:
        last -= 1
    found = degrees[max(last, 0) :]
    found += [stage.temperature.value for stage in recipe.conditioning if stage.temperature is not None]
    return max(found) if found else None


def residual_co2(run: Run) -> Found:
    """Carbonation (vol) left from fermentation; None without a temperature."""
    celsius = warmest_since_fermentation(run)
    if celsius is None:
        return None, "no temperature is written for the end of fermentation", ()
    return carbonation.residual(celsius), "", ()


def volume_of(run: Run, index: int) -> float:
    """Litres in a package: as written, else what the others leave, shared among those that say nothing."""
    packages = run.plan.recipe.packaging
    own = packages[index].volume
    if own is not None:
        return own.value
    written = math.fsum(package.volume.value for package in packages if package.volume is not None)
    silent = sum(1 for package in packages if package.volume is None)
    return max(run.beer.package - written, 0.0) / silent


def _sugar(run: Run, index: int) -> tuple[float, float, bool] | None:
    """Extract (fraction), fermentability and whether it is a single sugar, of a package's priming sugar."""
    priming = run.plan.recipe.packaging[index].priming
    if priming is None or priming.sugar is None:
        return None
    row = run.plan.priming_rows[index]
    single = priming.sugar.startswith(("dextrose", "glucose", "fructose"))
    extract = row.yield_ if row is not None and row.yield_ is not None else 1.0
    ferments = row.fermentability if row is not None and row.fermentability is not None else 1.0
    return extract, ferments, single


def priming_per_litre(run: Run, index: int) -> tuple[float | None, str]:
    """Grams of priming sugar in a litre of a package's beer, or None with the reason."""
    package = run.plan.recipe.packaging[index]
    if package.priming is None:
        return None, "no priming sugar is written"
    weight = package.priming.weight
    if weight is not None:
        if weight.kind == "concentration":
            return weight.value, ""
        volume = volume_of(run, index)
        return (weight.value * 1000.0 / volume, "") if volume > 0.0 else (None, "nothing is packaged")
    sugar = _sugar(run, index)
    left, why, _ = residual_co2(run)
    if sugar is None:
        return None, "the kind of priming sugar is not written"
    if package.carbonation is None:
        return None, "no carbonation is wished for"
    if left is None:
        return None, why
    if sugar[1] < LEAST_FERMENTABLE:
        return None, "the priming sugar hardly ferments"
    per_volume = carbonation.sugar_per_volume(*sugar)
    return max(package.carbonation.value - left, 0.0) * per_volume, ""


def carbonation_of(run: Run, index: int) -> tuple[float | None, str]:
    """Carbonation (vol) of a package: what its weight of sugar makes, else what is wished for; None with the reason."""
    package: Package = run.plan.recipe.packaging[index]
    if package.priming is not None and package.priming.weight is not None:
        grams, why = priming_per_litre(run, index)
        sugar, left = _sugar(run, index), residual_co2(run)
        if sugar is not None and sugar[1] < LEAST_FERMENTABLE:
            return left[0], left[1]
        if grams is None or sugar is None or left[0] is None:
            return None, why or left[1] or "the kind of priming sugar is not written"
        return left[0] + grams / carbonation.sugar_per_volume(*sugar), ""
    if package.carbonation is not None:
        return package.carbonation.value, ""
    return None, "neither a carbonation nor a weight of priming sugar is written"


def could_still_ferment(run: Run, worst: Run) -> float:
    """Volumes of CO2 that the yeast could make in the package beyond the expected end; ``worst`` is the risk case."""
    if run.beer.fermented is None or worst.beer.fermented is None or worst.beer.volume <= 0.0:
        return 0.0
    more = max(worst.beer.fermented - run.beer.fermented, 0.0) * run.fermenter.all_extract
    return more * 1000.0 * carbonation.CO2_PER_EXTRACT / worst.beer.volume / carbonation.GRAMS_PER_VOLUME


def fact_of(run: Run, index: int, more: float) -> PackageFact:
    """A package with its gas; ``more`` are the volumes that the yeast could still make at worst."""
    package = run.plan.recipe.packaging[index]
    volumes, why = carbonation_of(run, index)
    store = package.store
    # The higher of the two, should they stand the wrong way round: the glass does not know which was meant.
    told = [heat.value for heat in (store.warmest, store.temperature) if heat is not None] if store else []
    celsius = max(told) if told else WARMEST
    return PackageFact(
        at=package.at,
        into=package.into or "",
        volume=volume_of(run, index),
        carbonation=volumes,
        pressure=None if volumes is None else carbonation.pressure(celsius, volumes),
        pressure_at_worst=None if volumes is None else carbonation.pressure(celsius, volumes + more),
        warmest=celsius,
        warmest_assumed=not told,
        goes_on=dextrins_surely_eaten(run.plan),
        why=why,
    )


# ---------------------------------------------------------------------- the batch


def _indices(run: Run) -> range:
    return range(len(run.plan.recipe.packaging))


def _liveliest(run: Run) -> tuple[int, float] | tuple[None, str]:
    """Index and carbonation of the package with the most gas, or None with the reason."""
    why = "no package is written"
    best: tuple[int, float] | None = None
    for index in _indices(run):
        volumes, reason = carbonation_of(run, index)
        if volumes is None:
            why = reason
        elif best is None or volumes > best[1]:
            best = index, volumes
    return best if best is not None else (None, why)


def priming_alcohol(run: Run) -> float:
    """Strength (fraction of volume) that priming adds, the mean over the packages; 0 where it is not known."""
    total = volume = 0.0
    for index in _indices(run):
        litres = volume_of(run, index)
        grams, _ = priming_per_litre(run, index)
        sugar = _sugar(run, index)
        if grams is not None and sugar is not None:
            total += litres * grams * sugar[0] * sugar[1]
        volume += litres
    return total / volume / 1000.0 / EXTRACT_PER_ALCOHOL / ETHANOL_DENSITY if volume > 0.0 else 0.0


def priming_sugar(run: Run) -> Found:
    """Priming sugar (g) of all packages that are primed; None if there is none or one cannot be reckoned."""
    total = 0.0
    primed = False
    why = "no priming sugar is written" if run.plan.recipe.packaging else "no package is written"
    for index in _indices(run):
        if run.plan.recipe.packaging[index].priming is None:
            continue
        grams, why = priming_per_litre(run, index)
        if grams is None:
            return None, why, ()
        primed = True
        total += grams * volume_of(run, index)
    return (total, "", ()) if primed else (None, why, ())


def carbonated(run: Run) -> Found:
    """Carbonation (vol) of the liveliest package."""
    index, found = _liveliest(run)
    if index is None:
        return None, str(found), ()
    return float(found), "", ((run.plan.recipe.packaging[index].at, 1.0),)


def peak_carbonation(run: Run) -> Found:
    """Carbonation (vol) if the yeast goes to its limit in the package; in the expected case that is carbonated()."""
    found, why, parts = carbonated(run)
    if found is None or not run.risk:
        return found, why, parts
    return found + could_still_ferment(run.expected, run), "", parts


def peak_pressure(run: Run) -> Found:
    """Highest pressure (bar) of any package at its warmest, which is WARMEST where no store is written."""
    more = could_still_ferment(run.expected, run) if run.risk else 0.0
    facts = [fact_of(run, index, more) for index in _indices(run)]
    known = [fact for fact in facts if fact.pressure_at_worst is not None]
    if not known:
        return None, facts[0].why if facts else "no package is written", ()
    top = max(known, key=lambda fact: fact.pressure_at_worst or 0.0)
    return top.pressure_at_worst, "", ((top.at, 1.0),)


FINDERS: dict[str, Callable[[Run], Found]] = {
    "residual_co2": residual_co2,
    "priming_sugar": priming_sugar,
    "carbonation": carbonated,
    "peak_carbonation": peak_carbonation,
    "peak_pressure": peak_pressure,
}
