"""The package: gas left and gas made, and what it presses with. Volumes of CO2, °C, bar, grams.

Of several packages the first one counts.
"""

from __future__ import annotations

from collections.abc import Callable

from recipelint.brewing import carbonation
from recipelint.brewing.fermentation import ETHANOL_DENSITY, EXTRACT_PER_ALCOHOL
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found

CRASH = 4.0  # K; a fall of more than that is no fermentation step; common practice


def priming_alcohol(run: Run) -> float:
    """Strength (fraction of volume) that the priming sugar adds."""
    grams = _priming_fermented(run)
    return grams / 1000.0 / EXTRACT_PER_ALCOHOL / ETHANOL_DENSITY if grams else 0.0


def warmest(run: Run) -> float | None:
    """Highest temperature (°C) since fermentation ended: the step in which it ended, what follows it, all conditioning.

    Trailing steps that fall by more than CRASH are taken as a crash after the end: beer cooled then takes up no gas
    that has already left it.
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
    celsius = warmest(run)
    if celsius is None:
        return None, "no temperature is written for the end of fermentation", ()
    return carbonation.residual(celsius), "", ()


def _priming_kind(run: Run) -> tuple[float, float, bool] | None:
    """Extract, fermentability and whether it is a single sugar, of the first package's priming sugar."""
    packages = run.plan.recipe.packaging
    priming = packages[0].priming if packages else None
    if priming is None or priming.sugar is None:
        return None
    single = priming.sugar.startswith(("dextrose", "glucose", "fructose"))
    row = run.plan.priming_row
    extract = row.yield_ if row is not None and row.yield_ is not None else 1.0
    ferments = row.fermentability if row is not None and row.fermentability is not None else 1.0
    return extract, ferments, single


def _priming_per_litre(run: Run) -> tuple[float | None, str]:
    """Grams of priming sugar in a litre of beer, or why it is not known."""
    packages = run.plan.recipe.packaging
    if not packages or packages[0].priming is None:
        return None, "no priming sugar is written"
    package = packages[0]
    assert package.priming is not None
    volume = package.volume.value if package.volume is not None else run.beer.package
    if package.priming.weight is not None:
        return (
            (package.priming.weight.value * 1000.0 / volume, "")
            if volume > 0.0
            else (None, "nothing is packaged")
        )
    kind = _priming_kind(run)
    left, why, _ = residual_co2(run)
    if kind is None:
        return None, "the kind of priming sugar is not written"
    if package.carbonation is None:
        return None, "no carbonation is wished for"
    if left is None:
        return None, why
    wanted = max(package.carbonation.value - left, 0.0)
    return wanted * carbonation.sugar_per_volume(*kind), ""


def _priming_fermented(run: Run) -> float:
    """Grams of extract from priming that ferment in a litre of beer; 0 where it is not known."""
    grams, _ = _priming_per_litre(run)
    kind = _priming_kind(run)
    return grams * kind[0] * kind[1] if grams is not None and kind is not None else 0.0


def priming_sugar(run: Run) -> Found:
    grams, why = _priming_per_litre(run)
    if grams is None:
        return None, why, ()
    package = run.plan.recipe.packaging[0]
    volume = package.volume.value if package.volume is not None else run.beer.package
    return grams * volume, "", ()


def carbonated(run: Run) -> Found:
    packages = run.plan.recipe.packaging
    if not packages:
        return None, "no package is written", ()
    package = packages[0]
    if package.priming is not None and package.priming.weight is not None:
        grams, why = _priming_per_litre(run)
        kind, left = _priming_kind(run), residual_co2(run)
        if grams is None or kind is None or left[0] is None:
            return None, why or left[1] or "the kind of priming sugar is not written", ()
        return left[0] + grams / carbonation.sugar_per_volume(*kind), "", ((package.at, 1.0),)
    if package.carbonation is not None:
        return (
            package.carbonation.value,
            "",
            ((package.carbonation.at.pointer, 1.0),) if package.carbonation.at else (),
        )
    return None, "neither a carbonation nor a weight of priming sugar is written", ()


def peak_carbonation(run: Run) -> Found:
    found, why, parts = carbonated(run)
    if found is None:
        return None, why, ()
    if not run.risk:
        return found, "", parts
    return found + _unfinished(run), "", parts


def _unfinished(run: Run) -> float:
    """Volumes of CO2 that the yeast could still make in the package, over the expected end."""
    expected = Run(run.plan).beer
    worst = run.beer
    if expected.fermented is None or worst.fermented is None or worst.volume <= 0.0:
        return 0.0
    more = max(worst.fermented - expected.fermented, 0.0) * run.fermenter.all_extract
    return more * 1000.0 * carbonation.CO2_PER_EXTRACT / worst.volume / carbonation.GRAMS_PER_VOLUME


def peak_pressure(run: Run) -> Found:
    volumes, why, parts = peak_carbonation(run)
    packages = run.plan.recipe.packaging
    if volumes is None:
        return None, why, ()
    store = packages[0].store
    heat = (store.warmest or store.temperature) if store is not None else None
    if heat is None:
        return None, "the warmest temperature of the store is not written", ()
    return carbonation.pressure(heat.value, volumes), "", parts


FINDERS: dict[str, Callable[[Run], Found]] = {
    "residual_co2": residual_co2,
    "priming_sugar": priming_sugar,
    "carbonation": carbonated,
    "peak_carbonation": peak_carbonation,
    "peak_pressure": peak_pressure,
}
