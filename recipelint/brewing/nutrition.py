"""What is in the glass: energy, carbohydrate and alcohol of 100 mL, priming included, and what a label makes of them.

For labels check local law.
"""

from __future__ import annotations

from collections.abc import Callable

from recipelint.brewing import energy, package
from recipelint.brewing.fermentation import ETHANOL_DENSITY, Beer
from recipelint.brewing.gravity import density
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found


def in_the_glass(run: Run) -> tuple[Beer | None, str]:
    """The beer as it is drunk: what priming adds to its alcohol is in it, its sugar has fermented."""
    beer = run.beer
    if beer.gravity is None or beer.abv is None or beer.real_extract is None:
        return None, beer.why
    abv = beer.abv + package.priming_alcohol(run)
    return Beer(beer.gravity, abv, abv * ETHANOL_DENSITY / density(beer.gravity), beer.real_extract), ""


def _of(read: Callable[[Beer], float]) -> Callable[[Run], Found]:
    def found(run: Run) -> Found:
        beer, why = in_the_glass(run)
        return (None if beer is None else read(beer)), why, ()

    return found


def _label(beer: Beer) -> energy.Energy:
    return energy.label_rounded(energy.label_energy(beer))


FINDERS: dict[str, Callable[[Run], Found]] = {
    "energy": _of(lambda beer: energy.energy(beer).kilocalories),
    "carbohydrate": _of(energy.carbohydrate),
    "alcohol_units": _of(lambda beer: energy.alcohol_by_mass(beer.abv)),
    "label_abv": _of(lambda beer: energy.label_strength(beer.abv)),
    "label_kilojoules": _of(lambda beer: _label(beer).kilojoules),
    "label_kilocalories": _of(lambda beer: _label(beer).kilocalories),
    "label_carbohydrate": _of(lambda beer: energy.label_carbohydrate(energy.carbohydrate(beer))),
}
