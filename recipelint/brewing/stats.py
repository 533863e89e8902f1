"""Every stat of a brew, by name: value, why it is missing, and which lines it rests on.

A stat is a function of one ``Run``; its parts come from the balances' own terms, so that they add up to what they
explain. Names, units and decimals stand in ``recipelint.recipe.stat_names``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from recipelint.brewing import carbonation, colour, hopping
from recipelint.brewing.fermentation import EXTRACT_PER_ALCOHOL, ETHANOL_DENSITY, apparent_attenuation, real_attenuation
from recipelint.brewing.gravity import density, hot_volume, plato_from_sg, sg_of_masses
from recipelint.brewing.plan import GRAIN_KEYS, KETTLE, STAGED, Line
from recipelint.brewing.process import COLOUR, COLOUR_FORMULA, Run
from recipelint.recipe.stat_names import STATS, StatSpec

COLOUR_HALF, COLOUR_FORMULA_HALF = 0.10, 0.12  # relative; malt lots, and the formula (±20 % at worst)
DARK_CRYSTAL_EBC = 200.0
Parts = tuple[tuple[str, float], ...]
Found = tuple[float | None, str, Parts]
UNMALTED = ("adjunct-raw", "adjunct-flaked", "adjunct-torrified", "roasted-unmalted")
HUSKLESS_WORDS = ("wheat", "rye", "oat", "rice", "maize", "spelt", "naked", "emmer", "triticale", "flaked", "torrified")


class Stat(NamedTuple):
    """A computed number: ``value`` in the stat's unit or None with the reason in ``why``.

    ``parts`` are (pointer, share of the value) of the recipe lines behind it; ``risk`` is the value if the yeast goes to the limit.
    """

    value: float | None
    unit: str
    why: str
    parts: Parts
    risk: float | None = None


def _sg(extract: float, water: float) -> float | None:
    return sg_of_masses(extract, water) if extract + water > 0.0 else None


def _gravity(extract: float, water: float, parts: Parts) -> Found:
    value = _sg(extract, water)
    return value, "" if value is not None else "there is no wort", parts


def _extract_parts(run: Run, stages: tuple[str, ...] | None = None) -> Parts:
    """Points that each line brings, so that the parts add up to the gravity's points."""
    rows = [
        (line.at, extract)
        for line, extract in zip(run.plan.lines, run.extracts(), strict=True)
        if stages is None or line.stage in stages
    ]
    total = math.fsum(row[1] for row in rows)
    if total <= 0.0:
        return ()
    return tuple((at, extract / total) for at, extract in rows if extract > 0.0)


def _pre_boil_gravity(run: Run) -> Found:
    k = run.kettle
    return _gravity(k.pre_extract, k.pre_water, _extract_parts(run, ("mash", "steep", "first_wort")))


def _kettle_gravity(run: Run) -> Found:
    k = run.kettle
    return _gravity(k.extract, k.water, _extract_parts(run, ("mash", "steep", *sorted(KETTLE))))


def _pitching_gravity(run: Run) -> Found:
    f = run.fermenter
    return _gravity(f.pitch_extract, f.pitch_water, _extract_parts(run, ("mash", "steep", *sorted(KETTLE))))


def _original_gravity(run: Run) -> Found:
    f = run.fermenter
    return _gravity(f.all_extract, f.all_water, _extract_parts(run))


def _final_gravity(run: Run) -> Found:
    return run.beer.gravity, run.beer.why, _extract_parts(run)


def _apparent(run: Run) -> Found:
    b = run.beer
    return (None if b.gravity is None else apparent_attenuation(b.original, b.gravity)), b.why, ()


def _real(run: Run) -> Found:
    b = run.beer
    return (None if b.gravity is None else real_attenuation(b.original, b.gravity)), b.why, ()


def _limit(run: Run) -> Found:
    limit = run.beer.limit
    why = "nothing is mashed" if not run.mashed() else "a rest has no temperature or no time"
    return limit, "" if limit is not None else why, tuple((rest.at, 0.0) for rest in _rests(run))


def _rests(run: Run) -> tuple[object, ...]:
    return run.plan.recipe.mash.rests if run.plan.recipe.mash else ()


def _abv(run: Run) -> Found:
    b = run.beer
    if b.abv is None or b.gravity is None:
        return None, b.why, ()
    return b.abv + _priming_alcohol(run), "", _extract_parts(run)


def _priming_alcohol(run: Run) -> float:
    """Strength (fraction of volume) that the priming sugar adds."""
    grams = _priming_fermented(run)
    return grams / 1000.0 / EXTRACT_PER_ALCOHOL / ETHANOL_DENSITY if grams else 0.0


def _abw(run: Run) -> Found:
    b = run.beer
    if b.abw is None or b.gravity is None:
        return None, b.why, ()
    return b.abw + _priming_alcohol(run) * ETHANOL_DENSITY / density(b.gravity), "", ()


# ---------------------------------------------------------------------- grist


def _potential(run: Run) -> Found:
    rows = tuple((line.at, run.extract_of(line)) for line in run.plan.lines if line.stage != "package")
    total = math.fsum(row[1] for row in rows)
    return total, "", tuple((at, value / total) for at, value in rows if total > 0.0)


def _share_of_extract(keep: Callable[[Line], bool]) -> Callable[[Run], Found]:
    def found(run: Run) -> Found:
        rows = list(zip(run.plan.lines, run.extracts(), strict=True))
        total = math.fsum(run.extracts())
        if total <= 0.0:
            return None, "the bill brings no extract", ()
        parts = tuple((line.at, extract / total) for line, extract in rows if keep(line))
        return math.fsum(part[1] for part in parts), "", parts

    return found


def _weight(line: Line) -> float:
    return line.weight * (line.counts_as_malt if line.key == "extract" else 1.0)


def _share_of_grain(keep: Callable[[Line], bool]) -> Callable[[Run], Found]:
    def found(run: Run) -> Found:
        rows = [(line, _weight(line)) for line in run.plan.lines if line.key in GRAIN_KEYS or line.key == "extract"]
        total = math.fsum(row[1] for row in rows)
        if total <= 0.0:
            return None, "there is no grain in the bill", ()
        parts = tuple((line.at, weight / total) for line, weight in rows if keep(line))
        return math.fsum(part[1] for part in parts), "", parts

    return found


def _sugar(line: Line) -> bool:
    return line.key == "sugar" and line.sugar_kind != "unfermentable"


def _sugar_weight(run: Run) -> Found:
    total = math.fsum(line.weight for line in run.plan.lines if line.stage != "package")
    if total <= 0.0:
        return None, "the bill has no weight", ()
    parts = tuple((line.at, line.weight / total) for line in run.plan.lines if _sugar(line) and line.stage != "package")
    return math.fsum(part[1] for part in parts), "", parts


def _is_base(line: Line) -> bool:
    return line.key == "extract" or (line.key == "malt" and line.lintner >= 30.0)


def _is_crystal(line: Line) -> bool:
    return line.kind.startswith("caramel") and not line.starch


def _is_roast(line: Line) -> bool:
    return line.kind.startswith("roasted")


def _is_huskless(line: Line) -> bool:
    return line.key in GRAIN_KEYS and line.kind != "lauter-aid" and any(word in line.id for word in HUSKLESS_WORDS)


def _share_sum(run: Run) -> Found:
    shares = [item.share for item in run.plan.recipe.grist if item.share is not None]
    if not shares:
        return None, "the bill is written in weights", ()
    return math.fsum(share.value for share in shares), "", ()


def _diastatic(run: Run) -> Found:
    rows = [line for line in run.mashed() if line.starch]
    total = math.fsum(line.weight for line in rows)
    if total <= 0.0:
        return None, "nothing with starch is mashed", ()
    power = math.fsum(line.weight * line.lintner for line in rows) / total
    return power, "", tuple((line.at, line.weight / total) for line in rows)


# ---------------------------------------------------------------------- volumes and efficiency


def _volume(read: Callable[[Run], float]) -> Callable[[Run], Found]:
    def found(run: Run) -> Found:
        return read(run), "", ()

    return found


def _mash_only(read: Callable[[Run], float | None], why: str) -> Callable[[Run], Found]:
    def found(run: Run) -> Found:
        if run.mash.grain <= 0.0:
            return None, "nothing is mashed", ()
        value = read(run)
        return value, "" if value is not None else why, ()

    return found


def _fill(filled: Callable[[Run], float], capacity: Callable[[Run], float | None], vessel: str) -> Callable[[Run], Found]:
    def found(run: Run) -> Found:
        size = capacity(run)
        if not size:
            return None, f"the capacity of the {vessel} is not known", ()
        return filled(run) / size, "", ()

    return found


def filled_kettle(run: Run) -> float:
    """Hot volume (L) that the kettle holds at its fullest."""
    return hot_volume(max(run.kettle.pre_volume, run.kettle.volume))


def filled_fermenter(run: Run) -> float:
    return run.fermenter.all_volume


def _brewhouse_efficiency(run: Run) -> float | None:
    efficiency = run.mash.efficiency
    return None if efficiency is None else efficiency * run.share_into_fermenter()


STATED_WHY = "a measured mash efficiency is stated instead"


# ---------------------------------------------------------------------- bitterness and colour


def _bitterness(run: Run) -> Found:
    found = hopping.bitter(run)
    parts = tuple((fact.at, fact.ibu / found.ibu) for fact in found.parts) if found.ibu > 0.0 else ()
    return found.ibu, "", parts


def _bitterness_ratio(run: Run) -> Found:
    points = (run.beer.original - 1.0) * 1000.0
    ibu, _, parts = _bitterness(run)
    return (None, "the wort has no gravity", ()) if points <= 0.0 or ibu is None else (ibu / points, "", parts)


def _alpha(run: Run) -> Found:
    return hopping.bitter(run).alpha, "", tuple((hop.at, 0.0) for hop in run.plan.hops)


def _hop_mass(run: Run) -> Found:
    volume = run.fermenter.volume
    if volume <= 0.0:
        return None, "there is no wort", ()
    total = math.fsum(hop.weight for hop in run.plan.hops)
    parts = tuple((hop.at, hop.weight / total) for hop in run.plan.hops) if total > 0.0 else ()
    return total * 1000.0 / volume, "", parts


def _mcu(run: Run) -> tuple[float, Parts]:
    """Malt colour units of the beer, with each line's share."""
    kettle, station = run.kettle, run.fermenter
    if station.all_volume <= 0.0:
        return 0.0, ()
    diluted = run.share_into_fermenter()
    rows: list[tuple[str, float]] = []
    for line in run.plan.lines:
        if line.stage in ("mash", "steep") or line.stage in KETTLE:
            weight = line.weight * (diluted if kettle.volume > 0.0 else 0.0)
        elif line.stage in STAGED:
            weight = line.weight
        else:
            continue
        rows.append((line.at, weight * line.lovibond))
    total = math.fsum(row[1] for row in rows)
    parts = tuple((at, value / total) for at, value in rows if value > 0.0) if total > 0.0 else ()
    total *= 1.0 + COLOUR_HALF * run.x[COLOUR]
    return colour.malt_colour_units(total, station.all_volume), parts


def _srm(run: Run) -> Found:
    mcu, parts = _mcu(run)
    model = colour.srm_daniels if run.plan.models["colour"] == "daniels" else colour.srm_morey
    return model(mcu) * (1.0 + COLOUR_FORMULA_HALF * run.x[COLOUR_FORMULA]), "", parts


def _ebc(run: Run) -> Found:
    srm, why, parts = _srm(run)
    return (None if srm is None else colour.ebc_from_srm(srm)), why, parts


# ---------------------------------------------------------------------- packaging


def warmest(run: Run) -> float | None:
    """Highest temperature (°C) since fermentation ended: the last step of the fermentation and all conditioning."""
    recipe = run.plan.recipe
    found: list[float] = []
    for step in recipe.fermentation[-1:]:
        reached = step.to or step.temperature
        if reached is not None:
            found.append(reached.value)
    for stage in recipe.conditioning:
        if stage.temperature is not None:
            found.append(stage.temperature.value)
    return max(found) if found else None


def _residual(run: Run) -> Found:
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
        return (package.priming.weight.value * 1000.0 / volume, "") if volume > 0.0 else (None, "nothing is packaged")
    kind = _priming_kind(run)
    left, why, _ = _residual(run)
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


def _priming_sugar(run: Run) -> Found:
    grams, why = _priming_per_litre(run)
    if grams is None:
        return None, why, ()
    package = run.plan.recipe.packaging[0]
    volume = package.volume.value if package.volume is not None else run.beer.package
    return grams * volume, "", ()


def _carbonation(run: Run) -> Found:
    packages = run.plan.recipe.packaging
    if not packages:
        return None, "no package is written", ()
    package = packages[0]
    if package.priming is not None and package.priming.weight is not None:
        grams, why = _priming_per_litre(run)
        kind, left = _priming_kind(run), _residual(run)
        if grams is None or kind is None or left[0] is None:
            return None, why or left[1] or "the kind of priming sugar is not written", ()
        return left[0] + grams / carbonation.sugar_per_volume(*kind), "", ((package.at, 1.0),)
    if package.carbonation is not None:
        return package.carbonation.value, "", ((package.carbonation.at.pointer, 1.0),) if package.carbonation.at else ()
    return None, "neither a carbonation nor a weight of priming sugar is written", ()


def _peak_carbonation(run: Run) -> Found:
    found, why, parts = _carbonation(run)
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


def _peak_pressure(run: Run) -> Found:
    volumes, why, parts = _peak_carbonation(run)
    packages = run.plan.recipe.packaging
    if volumes is None:
        return None, why, ()
    store = packages[0].store
    heat = (store.warmest or store.temperature) if store is not None else None
    if heat is None:
        return None, "the warmest temperature of the store is not written", ()
    return carbonation.pressure(heat.value, volumes), "", parts


_FINDERS: dict[str, Callable[[Run], Found]] = {
    "pre_boil_gravity": _pre_boil_gravity,
    "kettle_gravity": _kettle_gravity,
    "pitching_gravity": _pitching_gravity,
    "original_gravity": _original_gravity,
    "final_gravity": _final_gravity,
    "apparent_attenuation": _apparent,
    "real_attenuation": _real,
    "attenuation_limit": _limit,
    "abv": _abv,
    "abw": _abw,
    "extract_potential": _potential,
    "sugar_share": _share_of_extract(_sugar),
    "sugar_weight_share": _sugar_weight,
    "unfermentable_share": _share_of_extract(lambda line: line.sugar_kind == "unfermentable"),
    "adjunct_share": _share_of_extract(lambda line: line.kind in UNMALTED or _sugar(line)),
    "fruit_share": _share_of_extract(lambda line: line.key == "fruit"),
    "base_share": _share_of_grain(_is_base),
    "crystal_share": _share_of_grain(_is_crystal),
    "dark_crystal_share": _share_of_grain(lambda line: _is_crystal(line) and line.ebc > DARK_CRYSTAL_EBC),
    "roast_share": _share_of_grain(_is_roast),
    "smoked_share": _share_of_grain(lambda line: line.kind == "smoked-malt"),
    "peated_share": _share_of_grain(lambda line: "peat" in line.id),
    "acid_malt_share": _share_of_grain(lambda line: line.kind == "acid-malt"),
    "huskless_share": _share_of_grain(_is_huskless),
    "unmalted_share": _share_of_grain(lambda line: line.kind in UNMALTED),
    "share_sum": _share_sum,
    "diastatic_power": _diastatic,
    "strike_liquor": _volume(lambda run: run.mash.strike),
    "sparge_liquor": _mash_only(lambda run: run.mash.sparge, ""),
    "mash_volume": _mash_only(lambda run: run.mash.mash_volume, ""),
    "mash_thickness": _mash_only(lambda run: run.mash.strike / run.mash.grain, ""),
    "pre_boil_volume": _volume(lambda run: run.kettle.pre_volume),
    "kettle_volume": _volume(lambda run: run.kettle.volume),
    "fermenter_volume": _volume(lambda run: run.fermenter.volume),
    "package_volume": _volume(lambda run: run.beer.package),
    "mash_fill": _fill(lambda run: run.mash.mash_volume, lambda run: run.plan.kit.mash_capacity, "mash tun"),
    "kettle_fill": _fill(filled_kettle, lambda run: run.plan.kit.kettle_capacity, "kettle"),
    "fermenter_fill": _fill(filled_fermenter, lambda run: run.plan.kit.fermenter_capacity, "fermenter"),
    "conversion": _mash_only(lambda run: run.mash.conversion, STATED_WHY),
    "lauter_efficiency": _mash_only(lambda run: run.mash.lauter, STATED_WHY),
    "mash_efficiency": _mash_only(lambda run: run.mash.efficiency, ""),
    "brewhouse_efficiency": _mash_only(_brewhouse_efficiency, ""),
    "bitterness": _bitterness,
    "bitterness_ratio": _bitterness_ratio,
    "alpha_added": _alpha,
    "hop_mass_per_litre": _hop_mass,
    "colour_srm": _srm,
    "colour_ebc": _ebc,
    "residual_co2": _residual,
    "priming_sugar": _priming_sugar,
    "carbonation": _carbonation,
    "peak_carbonation": _peak_carbonation,
    "peak_pressure": _peak_pressure,
}

RISKY = frozenset(("final_gravity", "abv", "abw", "apparent_attenuation", "real_attenuation", "peak_carbonation", "peak_pressure"))
COMPUTED = tuple(name for name in STATS if name in _FINDERS)


def find(run: Run, name: str) -> Found:
    """Value, reason and parts of a stat of this run. Raises KeyError for a name that is not computed."""
    return _FINDERS[name](run)


def plato(sg: float) -> float:
    """Degrees Plato of a gravity, for reports that show both."""
    return plato_from_sg(sg)


__all__ = ["COMPUTED", "RISKY", "STATS", "Stat", "StatSpec", "find", "plato"]
