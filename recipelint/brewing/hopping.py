"""The hops in the kettle: what each addition sees of boil, hot stand and chilling, and what of it reaches the beer.

Times min, temperatures °C, volumes L at 20 °C, bitterness IBU.
"""

import math
from typing import NamedTuple

from recipelint.brewing import bitterness, boil
from recipelint.brewing.bitterness import Cooling, Exposure
from recipelint.brewing.gravity import plato_from_sg, sg_of_masses
from recipelint.brewing.inputs import ALPHA, UTILISATION
from recipelint.brewing.plan import Hopping
from recipelint.brewing.process import Run
from recipelint.brewing.stations import HopFact

CHILLED_TO = 20.0
CHILLED_BY = 12.0  # °C of what cools the wort; common practice
OVERNIGHT = 12.0  # h, of wort left to cool by itself where nothing is written; common practice
OPEN_KETTLE = 1.3  # kettle over wort, for the cooling of a stand
UTILISATION_HALF_UNTOLD = 0.8  # of hops whose minutes are not written
UTILISATION_HALF = 0.15  # relative; on hoppy strong beer no model is better than this
NOTHING = Exposure(0.0, 0.0)


class Bitterness(NamedTuple):
    """IBU of the beer and of each addition, in the order of the recipe; alpha added in g."""

    ibu: float
    parts: tuple[HopFact, ...]
    alpha: float
    boil_gravity: float


def stand_of(run: Run) -> tuple[list[Cooling], list[Cooling]]:
    """The hot stand after flame-out.

    The stretch before the whirlpool hops go in, and the stretches from then on.
    """
    kit = run.plan.kit
    volume = max(run.kettle.volume, 0.1)
    boils = boil.boiling_point(kit.altitude, 0.0)
    left_alone = _natural_rate(volume)
    left_hot = run.plan.recipe.chill is not None and run.plan.recipe.chill.by == "none"
    whirl = [hop for hop in run.plan.hops if hop.stage == "whirlpool"]
    before: list[Cooling] = []
    after: list[Cooling] = []
    now = boils
    chill = boil.cooling_rate(boils, CHILLED_TO, kit.cooling, CHILLED_BY) if kit.cooling > 0.0 else 0.0
    if whirl:
        start = min((hop.temperature for hop in whirl if hop.temperature is not None), default=now)
        if start < now and chill > 0.0:
            before.append(Cooling(boil.time_to_cool(now, CHILLED_BY, chill, start), now, CHILLED_BY, chill))
        now = min(start, now)
        minutes = max(hop.minutes for hop in whirl)
        rate = 0.0 if any(hop.held for hop in whirl) else left_alone
        after.append(Cooling(minutes, now, boil.NATURAL_FLOOR, rate))
        now = boil.cooled(now, boil.NATURAL_FLOOR, rate, minutes) if now > boil.NATURAL_FLOOR else now
    elif kit.stand > 0.0:
        before.append(Cooling(kit.stand, now, boil.NATURAL_FLOOR, left_alone))
        now = boil.cooled(now, boil.NATURAL_FLOOR, left_alone, kit.stand)
    if left_hot:
        after.append(Cooling(_hours_left(run) * 60.0, now, boil.NATURAL_FLOOR, left_alone))
    elif chill > 0.0 and now > CHILLED_TO:
        after.append(Cooling(boil.time_to_cool(now, CHILLED_BY, chill, CHILLED_TO), now, CHILLED_BY, chill))
    return before, after


def _hours_left(run: Run) -> float:
    """Hours that wort which is not chilled stands before it is pitched."""
    chill = run.plan.recipe.chill
    wait = chill.pitched_after if chill is not None else None
    return wait.value if wait is not None else OVERNIGHT


def _natural_rate(volume: float) -> float:
    """Cooling of an open kettle as wide as it is high, at this volume of wort."""
    diameter = (4.0 * OPEN_KETTLE * volume * 1000.0 / math.pi) ** (1.0 / 3.0)
    surface = math.pi * diameter * diameter / 4.0
    return boil.natural_cooling_rate(surface, surface, volume)


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
        return Bitterness(0.0, (), 0.0, 1.0)
    start = sg_of_masses(kettle.pre_extract, kettle.pre_water) if kettle.pre_water > 0.0 else 1.0
    end = sg_of_masses(kettle.extract, kettle.water) if kettle.water > 0.0 else 1.0
    gravity = boil.average_boil_gravity(start, end)
    into_beer = run.share_into_fermenter() * kettle.volume / station.all_volume
    boils = boil.boiling_point(run.plan.kit.altitude, plato_from_sg(gravity))
    before, after = stand_of(run) if run.plan.hops else ([], [])
    whole, late = bitterness.stand_exposure(before + after), bitterness.stand_exposure(after)
    alpha_grams = 0.0
    for hop in run.plan.hops:
        alpha = max(hop.alpha + hop.alpha_half * run.x[ALPHA], 0.0)
        used = _utilisation(
            run, hop, gravity, boils, whole, late if before or hop.stage == "whirlpool" else whole
        )
        half = UTILISATION_HALF if hop.timed or hop.stage == "first_wort" else UTILISATION_HALF_UNTOLD
        used *= 1.0 + half * run.x[UTILISATION]
        ibu = used * bitterness.alpha_added(hop.weight, alpha, kettle.volume) * into_beer
        if hop.stage in ("boil", "first_wort", "whirlpool"):
            alpha_grams += hop.weight * alpha * 1000.0
        facts.append(_fact(run, hop, alpha, ibu, used, station.volume))
    total = math.fsum(fact.ibu for fact in facts)
    if run.plan.models["bitterness"] == "garetz":
        shrink = bitterness.garetz_ibu(total) / total if total > 0.0 else 1.0
        facts = [fact._replace(ibu=fact.ibu * shrink) for fact in facts]
        total *= shrink
    return Bitterness(total, tuple(facts), alpha_grams, gravity)


def _utilisation(
    run: Run, hop: Hopping, gravity: float, boils: float, whole: Exposure, late: Exposure
) -> float:
    if hop.stage not in ("boil", "first_wort", "whirlpool"):
        return 0.0
    form = bitterness.FORM_FACTORS.get(hop.form, 1.0)
    minutes = hop.minutes
    exposure = whole
    if hop.stage == "first_wort":
        minutes = run.plan.boil_minutes
        form *= bitterness.FIRST_WORT_FACTOR
    elif hop.stage == "whirlpool":
        minutes = 0.0
        exposure = _shorter(run, hop, late)
    model = run.plan.models["bitterness"]
    if model == "tinseth":
        used = bitterness.tinseth_with_stand(minutes, gravity, exposure)
    else:
        boil_model = bitterness.rager if model == "rager" else bitterness.garetz
        used = boil_model(minutes + exposure.minutes, gravity)
    return used * form * bitterness.altitude_factor(minutes, boils)


def _shorter(run: Run, hop: Hopping, late: Exposure) -> Exposure:
    """Whirlpool hops that go in after the first ones see only the rest of the stand."""
    longest = max(other.minutes for other in run.plan.hops if other.stage == "whirlpool")
    if hop.minutes >= longest:
        return late
    _, after = stand_of(run)
    first = after[0]
    missed = longest - hop.minutes
    now = (
        boil.cooled(first.start, first.ambient, first.rate, missed)
        if first.start > first.ambient
        else first.start
    )
    if hop.temperature is not None:
        now = min(now, hop.temperature)
    return bitterness.stand_exposure([Cooling(hop.minutes, now, first.ambient, first.rate), *after[1:]])


def _fact(run: Run, hop: Hopping, alpha: float, ibu: float, used: float, volume: float) -> HopFact:
    return HopFact(
        at=hop.at,
        id=hop.id,
        name=hop.name,
        stage=hop.stage,
        minutes=run.plan.boil_minutes if hop.stage == "first_wort" else hop.minutes,
        weight=hop.weight,
        alpha=alpha,
        ibu=ibu,
        utilisation=used,
        dose=hop.weight * 1000.0 / volume if volume > 0.0 else 0.0,
        row=hop.row,
        known=hop.known,
    )
