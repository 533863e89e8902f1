"""Grain that is steeped beside a mash or instead of one: its liquor, what it keeps of it, and what runs off.

Weights kg, volumes L at 20 °C.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from recipelint.brewing import mashing
from recipelint.brewing.dissolving import STEEP_YIELD
from recipelint.brewing.gravity import density, sg_of
from recipelint.brewing.inputs import STILL, Moves, extract_of, mashed
from recipelint.brewing.plan import Plan


class Steep(NamedTuple):
    """Grain that is steeped: its weight (kg), its liquor and the wort that its grain keeps (L), and what it gives (kg).

    Where nothing is mashed it is steeped in the liquor of the brew: then ``liquor`` and ``water`` are 0.
    """

    grain: float
    liquor: float
    kept: float
    extract: float
    water: float


def steep_of(plan: Plan, x: Moves = STILL) -> Steep:
    """The steep: all its grain in one pot, with the liquor that is written for it, else mashing.USUAL L/kg.

    Its grain keeps as much as that of the mash; what runs off has no more volume than was poured on.
    """
    lines = [line for line in plan.lines if line.stage == "steep"]
    grain = math.fsum([line.weight for line in lines])
    extract = math.fsum([extract_of(line, x) for line in lines]) * STEEP_YIELD
    kept = plan.kit.absorption * grain
    if grain <= 0.0 or not any(extract_of(line, x) > 0.0 for line in mashed(plan)):
        return Steep(grain, 0.0, kept, extract, 0.0)
    written = steep_liquor(plan)
    liquor = mashing.USUAL * grain if written is None else written
    volume = liquor - kept
    water = max(volume * density(sg_of(extract, volume)) - extract, 0.0) if volume > 0.0 else 0.0
    return Steep(grain, liquor, kept, extract, water)


def steep_liquor(plan: Plan) -> float | None:
    """Liquor (L) that is written for steeps; None where none is."""
    rows = zip(plan.lines, plan.recipe.grist, strict=True)
    steeps = [item.steep for line, item in rows if line.stage == "steep" and item.steep is not None]
    written = [steep.liquor.value for steep in steeps if steep.liquor is not None]
    return math.fsum(written) if written else None
