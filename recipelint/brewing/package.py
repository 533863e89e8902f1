"""The package: gas left and gas made, and what it presses with. Volumes of CO2, °C, bar, grams, litres.

Everything is a function of one package first; the stats are of the batch: sugar is added up, strength is the mean by
volume, carbonation and pressure are those of the liveliest package.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cached_property, partial

from recipelint.brewing import carbonation, gas, held
from recipelint.brewing.fermentation import ETHANOL_DENSITY, EXTRACT_PER_ALCOHOL
from recipelint.brewing.finish import surely_goes_on
from recipelint.brewing.plan import Plan
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found
from recipelint.recipe.model import Package
from recipelint.recipe.quantity import Quantity

OPENED = ("keg", "cask")  # what lets gas out, and in
LEAST_FERMENTABLE = 0.3  # of a sugar that primes at all
WARMEST = (
    25.0  # °C a store is taken to reach where nothing is written; a warm room in summer, common practice
)


def shut(package: Package) -> bool:
    """Whether nothing lets gas out of a package: a bottle, a can, or what is not told."""
    return package.into not in OPENED


def relief_of(package: Package) -> Quantity | None:
    """The relief valve of a package that can have one."""
    return None if shut(package) else package.relief


def valve_holds(run: Run, index: int) -> float | None:
    """Carbonation (vol) that a relief valve on the package holds, at the warmest since fermentation ended; None without
    a valve or a temperature.
    """
    relief = relief_of(run.plan.recipe.packaging[index])
    celsius = held.warmest_since_fermentation(run)
    if relief is None or celsius is None:
        return None
    return gas.keg_carbonation(relief.value, celsius, held.outside(run))


def volume_of(run: Run, index: int) -> float:
    """Litres in a package: as written, else what the others leave, shared among those that say nothing."""
    packages = run.plan.recipe.packaging
    own = packages[index].volume
    if own is not None:
        return own.value
    written = math.fsum(package.volume.value for package in packages if package.volume is not None)
    silent = sum(1 for package in packages if package.volume is None)
    return max(run.beer.package - written, 0.0) / silent


def sugar_of(run: Run, index: int) -> tuple[float, float, bool] | None:
    """Extract (fraction), fermentability and whether it is a single sugar, of a package's priming sugar."""
    priming = run.plan.recipe.packaging[index].priming
    if priming is None or priming.sugar is None:
        return None
    row = run.plan.priming_rows[index]
    single = carbonation.is_monosaccharide(row.id if row is not None else priming.sugar)
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
    sugar = sugar_of(run, index)
    left, why, _ = held.residual_co2(run)
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
    """Carbonation (vol) of a package: what its weight of sugar makes, else what is wished for; None with the reason.

    A bottle or a can holds no less than the beer brings in. Under a valve it is what the rest of the extract makes.
    """
    package: Package = run.plan.recipe.packaging[index]
    if package.priming is not None and package.priming.weight is not None:
        grams, why = priming_per_litre(run, index)
        sugar, left = sugar_of(run, index), held.residual_co2(run)
        if sugar is not None and sugar[1] < LEAST_FERMENTABLE:
            return left[0], left[1]
        if grams is None or sugar is None or left[0] is None:
            return None, why or left[1] or "the kind of priming sugar is not written"
        return left[0] + grams / carbonation.sugar_per_volume(*sugar), ""
    brings = held.residual_co2(run)[0]
    if package.carbonation is not None:
        wish = package.carbonation.value
        return (max(wish, brings) if brings is not None and shut(package) else wish), ""
    if shut(package) and package.priming is None:
        return brings, ""  # nothing is written that would make more
    valve = valve_holds(run, index)
    if valve is not None and brings is not None:
        return min(valve, brings + gas_to_come(run.expected)), ""
    return None, "neither a carbonation nor a weight of priming sugar is written"


def packages_volume(run: Run) -> Found:
    """Litres of the packages that say how much they hold; None where one takes the rest or does not say."""
    packages = run.plan.recipe.packaging
    if not packages:
        return None, "no package is written", ()
    if any(package.volume is None for package in packages):
        return None, "a package takes what is left", ()
    total = math.fsum(package.volume.value for package in packages if package.volume is not None)
    return total, "", tuple((package.at, 1.0) for package in packages)


def gas_to_come(run: Run) -> float:
    """Volumes that extract not yet fermented at packaging will make; 0 where the recipe does not say when that is."""
    from recipelint.brewing import fermenting

    return fermenting.still_to_come(run)[0] or 0.0


def holds(run: Run, package: Package) -> float | None:
    """Pressure (bar) at which a keg holds the carbonation wished for; None where wish or temperature lack."""
    if package.into != "keg" or package.carbonation is None or package.temperature is None:
        return None
    return gas.keg_pressure(package.carbonation.value, package.temperature.value, held.outside(run))


def plan_of(plan: Plan, index: int) -> Plan:
    """The plan with the fresh yeast of this package alone: what is given to one does not work in another."""
    at_worst = plan.cultures + tuple(pitch for pitch in plan.fresh[index : index + 1] if pitch is not None)
    return plan if at_worst == plan.at_worst else plan._replace(at_worst=at_worst)


def worst_of(run: Run, worst: Run, index: int) -> Run:
    """The risk case of a package: with its own fresh yeast, where others get another."""
    plan = plan_of(run.plan, index)
    if plan is run.plan:
        return worst
    own = run.at_worst()
    own.plan = plan
    return own


def could_still_ferment(run: Run, worst: Run, index: int) -> float:
    """Volumes of CO2 that the yeast could make in a package beyond the expected end; ``worst`` is the risk case."""
    worst = worst_of(run, worst, index)
    if run.beer.fermented is None or worst.beer.fermented is None or worst.beer.volume <= 0.0:
        return 0.0
    more = max(worst.beer.fermented - run.beer.fermented, 0.0) * run.fermenter.all_extract
    return carbonation.volumes_made(more, worst.beer.volume)


def is_primed(package: Package) -> bool:
    """Whether the gas of a package is made by sugar: so written, or wished for where nothing else could make it."""
    return package.priming is not None or (shut(package) and package.carbonation is not None)


def in_the_end(run: Run, index: int, volumes: float, more: float) -> float:
    """Carbonation (vol) of a package when all is done that the yeast will do: with the extract that had not fermented
    when it was filled, and ``more`` that it could still take. A valve lets off what is above its own.

    A keg that is not primed has its gas from the extract or from a bottle, and no more than the greater of the two.
    """
    package = run.plan.recipe.packaging[index]
    brings = volumes if is_primed(package) else held.residual_co2(run)[0]
    top = (volumes if brings is None else brings) + gas_to_come(run.expected) + more
    valve = valve_holds(run, index)
    return max(volumes, top if valve is None else min(top, valve))


def pressure_in(run: Run, index: int, volumes: float, celsius: float) -> float:
    """Pressure (bar, above the air) of so much gas in a package at a temperature, no more than its valve lets be."""
    found = max(gas.keg_pressure(volumes, celsius, held.outside(run)), 0.0)
    relief = relief_of(run.plan.recipe.packaging[index])
    return found if relief is None else min(found, relief.value)


def upper(quantity: Quantity) -> float:
    """The upper end of what is written: glass does not know the middle."""
    return quantity.value if quantity.high is None else quantity.high


class PackageFact:
    """A package with its gas: carbonation (vol) and pressure (bar) at its warmest, expected and at worst.

    ``more`` gives the volumes that the yeast could still make at worst. Each figure is worked out when it is asked for,
    since the worst case takes another brew.
    """

    def __init__(self, run: Run, index: int, more: Callable[[], float]) -> None:
        self._run, self._index, self._more = run, index, more
        self.package: Package = run.plan.recipe.packaging[index]
        self.at = self.package.at
        self.into = self.package.into or ""

    @cached_property
    def _carbonation(self) -> tuple[float | None, str]:
        return carbonation_of(self._run, self._index)

    @property
    def carbonation(self) -> float | None:
        """As wished for, primed or held (vol)."""
        return self._carbonation[0]

    @property
    def why(self) -> str:
        """Why there is no carbonation."""
        return self._carbonation[1]

    @property
    def volume(self) -> float:
        """Litres in it."""
        return volume_of(self._run, self._index)

    @cached_property
    def _told(self) -> list[float]:
        store = self.package.store
        return (
            [upper(heat) for heat in (store.warmest, store.temperature) if heat is not None] if store else []
        )

    @property
    def warmest(self) -> float:
        """How warm it gets (°C): the higher, should the two written stand the wrong way round; else WARMEST."""
        return max(self._told) if self._told else WARMEST

    @property
    def warmest_assumed(self) -> bool:
        """Whether nothing is written of it."""
        return not self._told

    @cached_property
    def in_the_end(self) -> float | None:
        """Carbonation (vol) when all is done that is expected."""
        return None if self.carbonation is None else in_the_end(self._run, self._index, self.carbonation, 0.0)

    @cached_property
    def pressure(self) -> float | None:
        """Pressure (bar) at its warmest, expected: what is in it, or what is put on."""
        return self._bar(self.in_the_end)

    @cached_property
    def pressure_at_worst(self) -> float | None:
        """The same if the yeast goes to its limit."""
        if self.carbonation is None:
            return self._bar(None)
        return self._bar(in_the_end(self._run, self._index, self.carbonation, self._more()))

    def _bar(self, volumes: float | None) -> float | None:
        put_on = self.package.pressure.value if self.package.pressure is not None else None
        if volumes is None:
            return put_on
        found = pressure_in(self._run, self._index, volumes, self.warmest)
        return found if put_on is None else max(found, put_on)

    @property
    def goes_on(self) -> bool:
        """Whether something in it surely takes what is left, so that the worst is to be expected."""
        return surely_goes_on(plan_of(self._run.plan, self._index))

    @property
    def keg_pressure(self) -> float | None:
        """Pressure (bar) that holds the wished carbonation at the keg's temperature."""
        return holds(self._run, self.package)

    @property
    def valve_holds(self) -> float | None:
        """Carbonation (vol) that a relief valve on it holds."""
        return valve_holds(self._run, self._index)

    @property
    def primes(self) -> float | None:
        """Share of the priming sugar that ferments."""
        sugar = sugar_of(self._run, self._index)
        return None if sugar is None else sugar[1]


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
        sugar = sugar_of(run, index)
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


def _unknown(run: Run) -> str:
    """Why the gas of a bottle or a can is not known; empty where that of all is. A top of the others would hide it."""
    for index, package in enumerate(run.plan.recipe.packaging):
        volumes, why = carbonation_of(run, index)
        if volumes is None and shut(package):
            return why
    return ""


def _more(run: Run, index: int) -> float:
    return could_still_ferment(run.expected, run, index) if run.risk else 0.0


def peak_carbonation(run: Run) -> Found:
    """Carbonation (vol) when all is done that the yeast will do in the package: with what had not fermented when it
    was filled, and in the risk case all that the culture could still take.
    """
    unknown = _unknown(run)
    if unknown:
        return None, unknown, ()
    why = "no package is written"
    rows: list[tuple[float, str]] = []
    for index in _indices(run):
        volumes, reason = carbonation_of(run, index)
        if volumes is None:
            why = reason
        else:
            top = in_the_end(run, index, volumes, _more(run, index))
            rows.append((top, run.plan.recipe.packaging[index].at))
    if not rows:
        return None, why, ()
    best = max(rows, key=lambda row: row[0])
    return best[0], "", ((best[1], 1.0),)


def peak_pressure(run: Run) -> Found:
    """Highest pressure (bar) of any package at its warmest, which is WARMEST where no store is written."""
    facts = [PackageFact(run, index, partial(_more, run, index)) for index in _indices(run)]
    known = [fact for fact in facts if fact.pressure_at_worst is not None]
    why = _unknown(run)
    if not known or why:
        return None, why or (facts[0].why if facts else "no package is written"), ()
    top = max(known, key=lambda fact: fact.pressure_at_worst or 0.0)
    return top.pressure_at_worst, "", ((top.at, 1.0),)


FINDERS: dict[str, Callable[[Run], Found]] = {
    "residual_co2": held.residual_co2,
    "priming_sugar": priming_sugar,
    "packages_volume": packages_volume,
    "carbonation": carbonated,
    "peak_carbonation": peak_carbonation,
    "peak_pressure": peak_pressure,
}
