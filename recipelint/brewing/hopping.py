"""The hops in the kettle: what becomes of them in the boil and in the hot stand, and what of it reaches the beer.

Times min, temperatures °C, volumes L at 20 °C, bitterness IBU.
"""

import math
from typing import NamedTuple

from recipelint.brewing import bitterness, boil, boil_gravity
from recipelint.brewing.boil_gravity import Gravities
from recipelint.brewing.gravity import plato_from_sg
from recipelint.brewing.inputs import ALPHA, UTILISATION
from recipelint.brewing.plan import KETTLE, Hopping
from recipelint.brewing.process import Run
from recipelint.brewing.stand import Stand, stand_of
from recipelint.brewing.stations import HopFact

READS_HIGH = frozenset(("bitterness", "bitterness_ratio"))  # where not all alpha dissolves
UTILISATION_HALF_UNTOLD = 0.8  # of hops whose minutes are not written
UTILISATION_HALF_MASH = (
    0.5  # of mash hops: one trial, and most of the alpha stays with the grain; from memory
)
UTILISATION_HALF = 0.15  # relative; on hoppy strong beer no model is better than this


BITTERING = KETTLE | {"mash"}  # where hops go in that make the beer bitter


class Bitterness(NamedTuple):
    """IBU of the beer and of each addition, in the order of the recipe; alpha added to the kettle in g."""

    ibu: float
    parts: tuple[HopFact, ...]
    alpha: float
    boil_gravity: float
    stand: Stand | None  # None of a brew without hops


def dissolved_share(run: Run) -> float:
    """Share of the alpha acids in the kettle that dissolves; under 1 the models, which take all, read high."""
    grams, litres = bitter(run).alpha, run.kettle.volume
    added = grams * 1000.0 / litres if litres > 0.0 else 0.0
    return bitterness.dissolved_alpha(added) / added if added > bitterness.SOLUBLE_ALPHA else 1.0


def bitter(run: Run) -> Bitterness:
    """Bitterness by the model of the plan (Tinseth unless the house says otherwise), kept on the run."""
    if run.bitterness is None:
        run.bitterness = _bitter(run)
    return run.bitterness  # type: ignore[return-value]


def _bitter(run: Run) -> Bitterness:
    kettle = run.kettle
    station = run.fermenter
    facts: list[HopFact] = []
    if kettle.volume <= 0.0 or station.all_volume <= 0.0:
        return Bitterness(0.0, (), 0.0, 1.0, None)
    found = boil_gravity.gravities(run)
    into_beer = run.share_into_fermenter() * kettle.volume / station.all_volume
    boils = boil.boiling_point(run.plan.kit.altitude, plato_from_sg(found.mean))
    stand = stand_of(run) if run.plan.hops else None
    alpha_grams = 0.0
    for hop in run.plan.hops:
        alpha = max(hop.alpha + hop.alpha_half * run.x[ALPHA], 0.0)
        used = _utilisation(run, hop, found, boils, stand)
        used *= 1.0 + _half(hop) * run.x[UTILISATION]
        ibu = used * bitterness.alpha_added(hop.weight, alpha, kettle.volume) * into_beer
        if hop.stage in KETTLE:
            alpha_grams += hop.weight * alpha * 1000.0
        facts.append(_fact(run, hop, alpha, ibu, used, station.volume))
    total = math.fsum([fact.ibu for fact in facts])
    if run.plan.models["bitterness"] == "garetz":
        shrink = bitterness.garetz_ibu(total) / total if total > 0.0 else 1.0
        facts = [fact._replace(ibu=fact.ibu * shrink) for fact in facts]
        total *= shrink
    return Bitterness(total, tuple(facts), alpha_grams, found.mean, stand)


def _half(hop: Hopping) -> float:
    """How far the utilisation may lie off (90 %, relative)."""
    if hop.stage == "mash":
        return UTILISATION_HALF_MASH
    return UTILISATION_HALF if hop.timed or hop.stage == "first_wort" else UTILISATION_HALF_UNTOLD


def _utilisation(run: Run, hop: Hopping, found: Gravities, boils: float, stand: Stand | None) -> float:
    """Share of the alpha that becomes bitterness: in the boil, slower where it boils cooler, and in the stand."""
    if hop.stage not in BITTERING or stand is None:
        return 0.0
    form = bitterness.FORM_FACTORS.get(hop.form, 1.0)
    minutes = hop.minutes
    charge = None
    if hop.stage in ("first_wort", "mash"):
        minutes = run.plan.boil_minutes
        form *= bitterness.MASH_FACTOR if hop.stage == "mash" else bitterness.FIRST_WORT_FACTOR
    elif hop.stage == "whirlpool":
        minutes, charge = 0.0, (hop.temperature, hop.minutes)
    slower = bitterness.altitude_factor(minutes, boils)
    if charge is not None:
        slower = bitterness.relative_rate(stand.heats[charge])
    exposure = stand.seen_by(charge)
    while_boiled, after = found.while_boiled(minutes), found.full.mean
    model = run.plan.models["bitterness"]
    if model == "tinseth":
        boiled = bitterness.tinseth(minutes, while_boiled)
        stood = bitterness.tinseth_with_stand(minutes, after, exposure) - bitterness.tinseth(minutes, after)
    else:
        curve = bitterness.rager if model == "rager" else bitterness.garetz
        boiled = curve(minutes, while_boiled)
        stood = curve(minutes + exposure.minutes, after) - curve(minutes, after)
    return (boiled * slower + stood) * form


def _fact(run: Run, hop: Hopping, alpha: float, ibu: float, used: float, volume: float) -> HopFact:
    minutes = run.plan.boil_minutes if hop.stage in ("first_wort", "mash") else hop.minutes
    dose = hop.weight * 1000.0 / volume if volume > 0.0 else 0.0
    return HopFact(
        hop.at,
        hop.id,
        hop.name,
        hop.stage,
        minutes,
        hop.weight,
        alpha,
        ibu,
        used,
        dose,
        hop.row,
        hop.known,
        hop.fresh,
    )
