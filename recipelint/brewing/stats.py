"""Every stat of a brew, by name: value, why it is missing, and which lines it rests on.

A stat is a function of one ``Run``; its parts come from the balances' own terms, so that they add up to what
they explain. Names, units and decimals stand in ``recipelint.recipe.stat_names``.
"""

import math
from collections.abc import Callable
from functools import partial
from importlib import import_module

from recipelint.brewing import boil_stats, colour, hopping, liquor_stats, mash_stats, package, shares, vessels
from recipelint.brewing.fermentation import (
    ETHANOL_DENSITY,
    apparent_attenuation,
    real_attenuation,
)
from recipelint.brewing.gravity import density, sg_of_masses
from recipelint.brewing.inputs import COLOUR, COLOUR_FORMULA
from recipelint.brewing.plan import KETTLE, STAGED
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found, Parts
from recipelint.recipe.stat_names import STATS, StatSpec

NARROWEST = 1e-12
COLOUR_HALF, COLOUR_FORMULA_HALF = 0.10, 0.12  # relative; malt lots, and the formula (±20 % at worst)


class Both:
    """The expected run, and beside it the case in which the cultures eat all they can, run when first asked for."""

    __slots__ = ("_worst", "expected")

    def __init__(self, expected: Run) -> None:
        self.expected = expected
        self._worst: Run | None = None

    @property
    def worst(self) -> Run:
        """The risk case."""
        if self._worst is None:
            self._worst = self.expected.at_worst()
        return self._worst

    def may_differ(self, name: str) -> bool:
        """Whether the risk case differs: gas wherever the culture has room, the rest where something eats on."""
        if name not in GAS and name not in RISKY:
            return False
        plan = self.expected.plan
        if (
            plan.enzymes
            or plan.thorough
            or any(pitch.eats_dextrins or pitch.eats_lactose for pitch in plan.at_worst)
        ):
            return True
        return name in GAS and bool(plan.cultures)


class Stat:
    """A computed number: ``value`` in the stat's unit or None with the reason in ``why``.

    Most of those who ask want the value alone, so ``parts`` and ``risk`` are worked out when first asked for.
    """

    __slots__ = ("_both", "_name", "_parts", "_risk", "unit", "value", "why")

    def __init__(
        self,
        value: float | None,
        unit: str,
        why: str,
        parts: Parts | Callable[[], Parts] = (),
        both: Both | None = None,
        name: str = "",
    ) -> None:
        self.value = value
        self.unit = unit
        self.why = why
        self._parts = parts
        # Of a stat that has a risk case: its runs and its name, until the case has been worked out.
        self._both = both
        self._name = name
        self._risk: float | None = None

    @property
    def parts(self) -> Parts:
        """(pointer, share of the value) of the recipe lines behind it."""
        if not isinstance(self._parts, tuple):
            self._parts = self._parts()
        return self._parts

    @property
    def risk(self) -> float | None:
        """The value if the yeast goes to the limit; None where that is no other."""
        if self._both is not None and self.value is not None:
            risk = find(self._both.worst, self._name)[0]
            self._risk = None if risk is None or abs(risk - self.value) < NARROWEST else risk
            self._both = None
        return self._risk


def stat_of(both: Both, name: str) -> Stat:
    """A stat of the expected run by its name. Raises KeyError."""
    value, why, parts = find(both.expected, name)
    return Stat(value, STATS[name].unit, why, parts, both if both.may_differ(name) else None, name)


def _sg(extract: float, water: float) -> float | None:
    return sg_of_masses(extract, water) if extract + water > 0.0 else None


def _gravity(extract: float, water: float, parts: Callable[[], Parts]) -> Found:
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


_WORT_STAGES = ("mash", "steep", *sorted(KETTLE))


def _pre_boil_gravity(run: Run) -> Found:
    k = run.kettle
    return _gravity(k.pre_extract, k.pre_water, partial(_extract_parts, run, ("mash", "steep", "first_wort")))


def _kettle_gravity(run: Run) -> Found:
    k = run.kettle
    return _gravity(k.extract, k.water, partial(_extract_parts, run, _WORT_STAGES))


def _pitching_gravity(run: Run) -> Found:
    f = run.fermenter
    return _gravity(f.pitch_extract, f.pitch_water, partial(_extract_parts, run, _WORT_STAGES))


def _original_gravity(run: Run) -> Found:
    f = run.fermenter
    return _gravity(f.all_extract, f.all_water, partial(_extract_parts, run))


def _final_gravity(run: Run) -> Found:
    return run.beer.gravity, run.beer.why, partial(_extract_parts, run)


def _reckoned_final_gravity(run: Run) -> Found:
    """Where culture and mash would end, beside a final gravity that the recipe states."""
    plan = run.plan
    if plan.recipe.finishes is None:
        return None, "the recipe states no final gravity", ()
    free = Run(plan._replace(recipe=plan.recipe._replace(finishes=None)), run.x)
    return (
        free.beer.gravity,
        free.beer.why,
        ((plan.recipe.finishes.at.pointer, 1.0),) if plan.recipe.finishes.at else (),
    )


def _apparent(run: Run) -> Found:
    b = run.beer
    return (None if b.gravity is None else apparent_attenuation(b.original, b.gravity)), b.why, ()


def _real(run: Run) -> Found:
    b = run.beer
    return (None if b.gravity is None else real_attenuation(b.original, b.gravity)), b.why, ()


def _abv(run: Run) -> Found:
    b = run.beer
    if b.abv is None or b.gravity is None:
        return None, b.why, ()
    return b.abv + package.priming_alcohol(run), "", partial(_extract_parts, run)


def _abw(run: Run) -> Found:
    b = run.beer
    if b.abw is None or b.gravity is None:
        return None, b.why, ()
    return b.abw + package.priming_alcohol(run) * ETHANOL_DENSITY / density(b.gravity), "", ()


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
        if value is None and run.mash.potential <= 0.0:
            why_not = NO_EXTRACT
        else:
            why_not = why if value is None else ""
        return value, why_not, ()

    return found


def _brewhouse_efficiency(run: Run) -> float | None:
    efficiency = run.mash.efficiency
    return None if efficiency is None else efficiency * run.share_into_fermenter()


STATED_WHY = "a measured mash efficiency is stated instead"
NO_EXTRACT = "what is mashed brings no extract"


# ---------------------------------------------------------------------- bitterness and colour


def _bitterness(run: Run) -> Found:
    return hopping.bitter(run).ibu, "", partial(_bitterness_parts, run)


def _bitterness_parts(run: Run) -> Parts:
    found = hopping.bitter(run)
    # Hops that bring nothing are still what to look at.
    return tuple((fact.at, fact.ibu / found.ibu if found.ibu > 0.0 else 0.0) for fact in found.parts)


def _bitterness_ratio(run: Run) -> Found:
    points = (run.beer.original - 1.0) * 1000.0
    ibu, _, parts = _bitterness(run)
    return (
        (None, "the wort has no gravity", ()) if points <= 0.0 or ibu is None else (ibu / points, "", parts)
    )


def _alpha(run: Run) -> Found:
    return hopping.bitter(run).alpha, "", tuple((hop.at, 0.0) for hop in run.plan.hops)


def _hop_mass(run: Run) -> Found:
    volume = run.fermenter.volume
    if volume <= 0.0:
        return None, "there is no wort", ()
    total = math.fsum([hop.weight for hop in run.plan.hops])
    return total * 1000.0 / volume, "", partial(_hop_parts, run, total)


def _hop_parts(run: Run, total: float) -> Parts:
    return tuple((hop.at, hop.weight / total) for hop in run.plan.hops) if total > 0.0 else ()


def _colour_rows(run: Run) -> list[tuple[str, float]]:
    """Weight times colour of each line, as far as it gets into the fermenter."""
    kettle = run.kettle
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
    return rows


def _mcu(run: Run) -> float:
    """Malt colour units of the beer."""
    volume = run.fermenter.all_volume
    if volume <= 0.0:
        return 0.0
    total = math.fsum([row[1] for row in _colour_rows(run)])
    return colour.malt_colour_units(total * (1.0 + COLOUR_HALF * run.x[COLOUR]), volume)


def _colour_parts(run: Run) -> Parts:
    rows = _colour_rows(run) if run.fermenter.all_volume > 0.0 else []
    total = math.fsum([row[1] for row in rows])
    return tuple((at, value / total) for at, value in rows if value > 0.0) if total > 0.0 else ()


def _srm(run: Run) -> Found:
    mcu = _mcu(run)
    model = colour.srm_daniels if run.plan.models["colour"] == "daniels" else colour.srm_morey
    value = model(mcu) * (1.0 + COLOUR_FORMULA_HALF * run.x[COLOUR_FORMULA])
    return value, "", partial(_colour_parts, run)


def _ebc(run: Run) -> Found:
    srm, why, parts = _srm(run)
    return (None if srm is None else colour.ebc_from_srm(srm)), why, parts


LIQUOR = (
    "mash_ph",
    *(
        f"{where}{name}"
        for where in ("", "sparge_")
        for name in (
            "calcium", "magnesium", "sodium", "chloride", "sulphate", "bicarbonate", "alkalinity", "residual_alkalinity"
        )
    ),
    *(f"liquor_{name}" for name in ("calcium", "magnesium", "sodium", "chloride", "sulphate")),
    "sulphate_chloride_ratio",
    "water_imbalance",
)  # fmt: skip


# Station -> its stats, where few ask for them and every hook run would pay for importing their science.
_LATER: dict[str, tuple[str, ...]] = {
    "liquor": LIQUOR,
    "pitching": (
        "cells_wanted", "cells_pitched", "pitch_rate", "heat_of_fermentation", "amino_nitrogen",
        "amino_nitrogen_wanted", "oxygen", "oxygen_wanted",
    ),
    "fermenting": ("still_after", "packaged_after", "gravity_at_packaging", "gas_to_come", "peak_heat"),
    "keeping": (
        "headspace_oxygen", "keg_pressure", "closing_gravity", "bottle_yeast", "carbon_dioxide_made",
    ),
    "ripening": ("conditioning_time", "conditioning_time_wanted"),
    "contact": ("dry_hop_contact", "wood_contact", "spice_contact", "fruit_contact"),
    "cask": ("cask_priming", "cask_carbonation", "vented_carbonation"),
    "nutrition": (
        "energy", "carbohydrate", "alcohol_units", "label_abv", "label_kilojoules", "label_kilocalories",
        "label_carbohydrate",
    ),
}  # fmt: skip


def _later(station: str, name: str) -> Callable[[Run], Found]:
    def found(run: Run) -> Found:
        finder = import_module(f"recipelint.brewing.{station}").FINDERS[name]
        _FINDERS[name] = finder  # whoever asks next need not come by here
        return finder(run)  # type: ignore[no-any-return]

    return found


_FINDERS: dict[str, Callable[[Run], Found]] = {
    "pre_boil_gravity": _pre_boil_gravity,
    "kettle_gravity": _kettle_gravity,
    "pitching_gravity": _pitching_gravity,
    "original_gravity": _original_gravity,
    "final_gravity": _final_gravity,
    "reckoned_final_gravity": _reckoned_final_gravity,
    "apparent_attenuation": _apparent,
    "real_attenuation": _real,
    "abv": _abv,
    "abw": _abw,
    **shares.FINDERS,
    "strike_liquor": _volume(lambda run: run.mash.strike),
    "sparge_liquor": _mash_only(lambda run: run.mash.sparge, ""),
    "mash_volume": _mash_only(lambda run: run.mash.mash_volume, ""),
    "dough_in_thickness": _mash_only(lambda run: run.mash.strike / run.mash.grain, ""),
    "mash_thickness": _mash_only(lambda run: run.mash.thickness, ""),
    "pre_boil_volume": _volume(lambda run: run.kettle.pre_volume),
    "kettle_volume": _volume(lambda run: run.kettle.volume),
    "fermenter_volume": _volume(lambda run: run.fermenter.volume),
    "package_volume": _volume(lambda run: run.beer.package),
    "infusion_liquor": _mash_only(lambda run: run.mash.infused, ""),
    "liquor_in_all": _volume(lambda run: run.mash.needed + run.mash.steep.liquor),
    "kettle_loss": _volume(lambda run: run.kettle.lost),
    **liquor_stats.FINDERS,
    **vessels.FINDERS,
    "conversion": _mash_only(lambda run: run.mash.conversion, STATED_WHY),
    "lauter_efficiency": _mash_only(lambda run: run.mash.lauter, STATED_WHY),
    "mash_efficiency": _mash_only(lambda run: run.mash.efficiency, NO_EXTRACT),
    "brewhouse_efficiency": _mash_only(_brewhouse_efficiency, NO_EXTRACT),
    **mash_stats.FINDERS,
    **boil_stats.FINDERS,
    **{name: _later(station, name) for station, names in _LATER.items() for name in names},
    "bitterness": _bitterness,
    "bitterness_ratio": _bitterness_ratio,
    "alpha_added": _alpha,
    "hop_mass_per_litre": _hop_mass,
    "colour_srm": _srm,
    "colour_ebc": _ebc,
    **package.FINDERS,
}

RISKY = frozenset(
    (
        "final_gravity",
        "abv",
        "abw",
        "apparent_attenuation",
        "real_attenuation",
    )
)
GAS = frozenset(("peak_carbonation", "peak_pressure"))


def find(run: Run, name: str) -> Found:
    """Value, reason and parts of a stat of this run. Raises KeyError for a name that is none.

    Of a bill that cannot be weighed only what is written in it has a value.
    """
    finder = _FINDERS[name]
    if run.plan.unsettled and name not in WRITTEN:
        return None, run.plan.unsettled, ()
    return finder(run)


WRITTEN = frozenset(("share_sum", "packages_volume"))

__all__ = ["GAS", "RISKY", "STATS", "Both", "Stat", "StatSpec", "find", "stat_of"]
