"""What is uncertain, and the plain readings of a plan that it moves.

Inputs that move together form a group; ``x`` holds one number a group, in units of its 90 % half-width, and
all zeros is the expected brew. Masses kg, volumes L at 20 °C.
"""

from __future__ import annotations

import math
from typing import TypeAlias

from recipelint.brewing import boil
from recipelint.brewing.gravity import WATER_DENSITY
from recipelint.brewing.kit import KETTLE_LOSS_PER_MALT
from recipelint.brewing.plan import CONE_SOAK, DRY_HOP_SOAK, PELLET_SOAK, Line, Plan

Moves: TypeAlias = tuple[float, ...]

GROUPS = (
    "malt yield", "mash efficiency", "boil-off", "kettle losses", "attenuation", "mash limit",
    "alpha acids", "hop utilisation", "malt colour", "colour formula", "sugar yield", "grain and vessel heat",
    "water analysis", "mash pH", "yeast cells", "pitching rate", "pace of fermentation", "heat of fermentation",
    "nitrogen of malt", "oxygen",
)  # fmt: skip
(
    YIELD,
    EFFICIENCY,
    BOIL_OFF,
    LOSSES,
    ATTENUATION,
    LIMIT,
    ALPHA,
    UTILISATION,
    COLOUR,
    COLOUR_FORMULA,
    SUGAR,
    MASH_HEAT,
    WATER,
    PH,
    YEAST_CELLS,
    PITCH_WANTED,
    PACE,
    FERMENT_HEAT,
    NITROGEN,
    OXYGEN,
) = range(20)
# Groups that leave the wort as it is: its masses and volumes are the same whatever they do.
WORT_STAYS = frozenset(range(len(GROUPS))) - {YIELD, EFFICIENCY, BOIL_OFF, LOSSES, SUGAR}
# And those that leave the end of the fermentation as it is too.
BEER_STAYS = WORT_STAYS - {ATTENUATION, LIMIT}
DRY_HOPPED = frozenset(("dry_hop", "ferment", "condition"))
STILL = (0.0,) * len(GROUPS)

# 90 % half-widths, relative unless said. From memory unless a source is named where the equation stands.
YIELD_HALF, YIELD_HALF_MEASURED = 0.020, 0.010
EFFICIENCY_HALF_PREDICTED, EFFICIENCY_HALF_STATED = 0.07, 0.04
EFFICIENCY_HALF_DEFAULT = 0.12  # without a brewhouse: practitioners report 65 to 85 %
BOIL_OFF_HALF, BOIL_OFF_HALF_ASSUMED = 0.12, 0.35
LOSS_HALF, LOSS_HALF_ASSUMED = 0.20, 0.5
LIMIT_HALF = 0.04  # apparent, absolute: the enzyme scheme's own error
SUGAR_HALF = 0.02
GRAIN_AT_HALF, GRAIN_AT_HALF_ASSUMED = 2.0, 5.0  # K
DOUGH_IN_HALF = 0.7  # K, lost or not while the grain is stirred in
VESSEL_HALF = 0.5  # of the heat that the vessel's walls take
WATER_HALF = 0.10  # of each ion: waters change through the year


def extract_of(line: Line, x: Moves) -> float:
    """Extract (kg) that a line could give, as it is weighed."""
    if x is STILL:  # as in nearly all runs, and some thirty times in each
        return line.weight * line.extract
    grain = line.key in ("malt", "grain")
    if grain:
        half = YIELD_HALF_MEASURED if line.measured else YIELD_HALF
        return line.weight * line.extract * (1.0 + half * x[YIELD])
    return line.weight * line.extract * (1.0 + SUGAR_HALF * x[SUGAR])


def mashed(plan: Plan) -> list[Line]:
    """Lines in the mash. Hulls and husks are in it too."""
    return [line for line in plan.lines if line.stage == "mash"]


def kettle_loss(plan: Plan, x: Moves) -> float:
    """Wort (L) that does not reach the fermenter: dregs, and what the hops hold."""
    kit = plan.kit
    soak = 0.0
    for hop in plan.hops:
        if hop.stage in ("boil", "first_wort", "whirlpool"):
            soak += hop.weight * (
                CONE_SOAK if hop.form == "cone" else PELLET_SOAK if hop.form != "extract" else 0.0
            )
    if kit.loss is not None:
        return (kit.loss + soak) * (1.0 + LOSS_HALF * x[LOSSES])
    grain = math.fsum([line.weight for line in mashed(plan)])
    return (KETTLE_LOSS_PER_MALT * grain + soak) * (1.0 + LOSS_HALF_ASSUMED * x[LOSSES])


def dry_hop_loss(plan: Plan) -> float:
    """Beer (L) left with the dry hops."""
    return DRY_HOP_SOAK * math.fsum([hop.weight for hop in plan.hops if hop.stage in DRY_HOPPED])


def boil_off(plan: Plan, x: Moves) -> tuple[float, float]:
    """Water boiled off (kg): as planned, and in this run."""
    kit = plan.kit
    planned = boil.evaporated(kit.boil_off, plan.boil_minutes) * WATER_DENSITY
    half = BOIL_OFF_HALF if kit.boil_off_given else BOIL_OFF_HALF_ASSUMED
    return planned, planned * (1.0 + half * x[BOIL_OFF])


def is_late(plan: Plan, line: Line) -> bool:
    """True for what goes into the kettle after the boil has begun."""
    if line.stage == "whirlpool":
        return True
    return line.stage == "boil" and line.minutes is not None and line.minutes < plan.boil_minutes
