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


class Bitterness(NamedTuple):
    """IBU of the beer and of each addition, in the order of the recipe; alpha added in g."""

    ibu: float
    parts: tuple[HopFact, ...]
    alpha: float
    boil_gravity: float


class Stand(NamedTuple):
    """The hot stand after flame-out, stretch after stretch, and where whirlpool hops of each temperature go in."""

    stretches: tuple[Cooling, ...]
    entries: dict[float | None, int]


def stand_of(run: Run) -> Stand:
    """What the wort goes through from flame-out until it is cold.

    Whirlpool hops go in from the hottest to the coldest: the wort is chilled to the temperature of a charge, stands
    for the longest time of that charge, and goes on to the next. Without whirlpool hops it is the brewhouse's own
    stand.
    """
    kit = run.plan.kit
    left_alone = _natural_rate(max(run.kettle.volume, 0.1))
    chill = 0.0
    now = boil.boiling_point(kit.altitude, 0.0)
    if kit.cooling > 0.0:
        chill = boil.cooling_rate(now, CHILLED_TO, kit.cooling, CHILLED_BY)
    found: list[Cooling] = []
    entries: dict[float | None, int] = {}
    for celsius, minutes, held in _charges(run):
        if celsius is not None and celsius < now:
            if chill > 0.0:
                found.append(
                    Cooling(boil.time_to_cool(now, CHILLED_BY, chill, celsius), now, CHILLED_BY, chill)
                )
            now = celsius
        entries[celsius] = len(found)
        rate = 0.0 if held else left_alone
        found.append(Cooling(minutes, now, boil.NATURAL_FLOOR, rate))
        now = boil.cooled(now, boil.NATURAL_FLOOR, rate, minutes) if now > boil.NATURAL_FLOOR else now
    if not entries and kit.stand > 0.0:
        found.append(Cooling(kit.stand, now, boil.NATURAL_FLOOR, left_alone))
        now = boil.cooled(now, boil.NATURAL_FLOOR, left_alone, kit.stand)
    if run.plan.recipe.chill is not None and run.plan.recipe.chill.by == "none":
        found.append(Cooling(_hours_left(run) * 60.0, now, boil.NATURAL_FLOOR, left_alone))
    elif chill > 0.0 and now > CHILLED_TO:
        found.append(Cooling(boil.time_to_cool(now, CHILLED_BY, chill, CHILLED_TO), now, CHILLED_BY, chill))
    return Stand(tuple(found), entries)


def _charges(run: Run) -> list[tuple[float | None, float, bool]]:
    """Whirlpool hops by temperature (None: right at flame-out), hottest first: temperature, longest minutes, held."""
    charges: dict[float | None, tuple[float, bool]] = {}
    for hop in run.plan.hops:
        if hop.stage == "whirlpool":
            minutes, held = charges.get(hop.temperature, (0.0, False))
            charges[hop.temperature] = max(minutes, hop.minutes), held or hop.held
    order = sorted(charges, key=lambda celsius: -math.inf if celsius is None else -celsius)
    return [(celsius, *charges[celsius]) for celsius in order]


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
    stand = stand_of(run) if run.plan.hops else Stand((), {})
    whole = bitterness.stand_exposure(stand.stretches)
    alpha_grams = 0.0
    for hop in run.plan.hops:
        alpha = max(hop.alpha + hop.alpha_half * run.x[ALPHA], 0.0)
        exposure = _exposure(stand, hop) if hop.stage == "whirlpool" else whole
        used = _utilisation(run, hop, gravity, boils, exposure)
        half = UTILISATION_HALF if hop.timed or hop.stage == "first_wort" else UTILISATION_HALF_UNTOLD
        used *= 1.0 + half * run.x[UTILISATION]
        ibu = used * bitterness.alpha_added(hop.weight, alpha, kettle.volume) * into_beer
        if hop.stage in ("boil", "first_wort", "whirlpool"):
            alpha_grams += hop.weight * alpha * 1000.0
        facts.append(_fact(run, hop, alpha, ibu, used, station.volume))
    total = math.fsum([fact.ibu for fact in facts])
    if run.plan.models["bitterness"] == "garetz":
        shrink = bitterness.garetz_ibu(total) / total if total > 0.0 else 1.0
        facts = [fact._replace(ibu=fact.ibu * shrink) for fact in facts]
        total *= shrink
    return Bitterness(total, tuple(facts), alpha_grams, gravity)


def _utilisation(run: Run, hop: Hopping, gravity: float, boils: float, exposure: Exposure) -> float:
    """Share of the alpha that becomes bitterness: in the boil, slower where it boils cooler, and in the stand."""
    if hop.stage not in ("boil", "first_wort", "whirlpool"):
        return 0.0
    form = bitterness.FORM_FACTORS.get(hop.form, 1.0)
    minutes = hop.minutes
    if hop.stage == "first_wort":
        minutes = run.plan.boil_minutes
        form *= bitterness.FIRST_WORT_FACTOR
    elif hop.stage == "whirlpool":
        minutes = 0.0
    model = run.plan.models["bitterness"]
    if model == "tinseth":
        boiled = bitterness.tinseth(minutes, gravity)
        with_stand = bitterness.tinseth_with_stand(minutes, gravity, exposure)
    else:
        boil_model = bitterness.rager if model == "rager" else bitterness.garetz
        boiled = boil_model(minutes, gravity) if minutes > 0.0 else 0.0
        with_stand = boil_model(minutes + exposure.minutes, gravity)
    return (boiled * bitterness.altitude_factor(minutes, boils) + with_stand - boiled) * form


def _exposure(stand: Stand, hop: Hopping) -> Exposure:
    """What a whirlpool charge sees: its own stand, shortened if it goes in late, and all that follows."""
    index = stand.entries[hop.temperature]
    first, rest = stand.stretches[index], stand.stretches[index + 1 :]
    missed = first.minutes - hop.minutes
    now = first.start
    if missed > 0.0 and now > first.ambient:
        now = boil.cooled(now, first.ambient, first.rate, missed)
    return bitterness.stand_exposure([first._replace(minutes=hop.minutes, start=now), *rest])


def _fact(run: Run, hop: Hopping, alpha: float, ibu: float, used: float, volume: float) -> HopFact:
    minutes = run.plan.boil_minutes if hop.stage == "first_wort" else hop.minutes
    dose = hop.weight * 1000.0 / volume if volume > 0.0 else 0.0
    return HopFact(
        hop.at, hop.id, hop.name, hop.stage, minutes, hop.weight, alpha, ibu, used, dose, hop.row, hop.known
    )
