"""Wishes that need the whole process to be answered: a bill of shares, and a batch counted in the package.

Each is one unknown against one balance: the weight of the bill against the original gravity, the volume into the
fermenter against the volume in the package. Both are found together on the expected brew.
"""

from __future__ import annotations

import math

from recipelint.brewing.inputs import dry_hop_loss
from recipelint.brewing.plan import STAGED, Plan
from recipelint.brewing.process import Run

ROUNDS = 60
CLOSE_POINTS = 1e-4  # gravity points
CLOSE_VOLUME = 1e-8  # of the batch
HEAVIEST = 3.0  # kg/L of batch; what does not come to its gravity with so much never will
SUCROSE_POINTS = 384.0  # L°/kg, only for the first guess


def settled(plan: Plan) -> Plan:
    """The plan with its weights and its fermenter volume worked out; unchanged where nothing is open."""
    return settled_run(plan).plan


def settled_run(plan: Plan) -> Run:
    """The run of the settled plan: finding the weights or the volume has already brewed it.

    Where none fits, the bill is left without weight and ``Plan.unsettled`` says so.
    """
    packaged = plan.into == "package"
    gravity = plan.recipe.batch.gravity
    shares = [line.weight for line in plan.lines]
    if plan.by_share and (gravity is None or not math.fsum(shares) > 0.0):
        plan = plan._replace(lines=tuple(line._replace(weight=0.0) for line in plan.lines))
    weighed = plan.by_share and gravity is not None and math.fsum(shares) > 0.0
    if not packaged and not weighed:
        return Run(plan)
    wish = (gravity.value - 1.0) * 1000.0 if weighed and gravity is not None else 0.0
    total = max(wish, 0.0) * plan.wish / SUCROSE_POINTS / 0.6 if weighed else 1.0
    volume = plan.wish + plan.kit.lees + dry_hop_loss(plan) if packaged else plan.fermenter_wish
    if packaged and not weighed:
        volume = (volume or 0.0) - 0.6 * math.fsum(
            [line.weight for line in plan.lines if line.stage in STAGED]
        )
    before: tuple[float, float] | None = None
    for _ in range(ROUNDS):
        plan = _with(plan, shares if weighed else None, total, volume)
        run = Run(plan)
        beer = run.beer
        short = plan.wish - beer.package if packaged else 0.0
        points = (beer.original - 1.0) * 1000.0
        missed = wish - points if weighed else 0.0
        if abs(short) <= CLOSE_VOLUME * plan.wish and abs(missed) <= CLOSE_POINTS:
            return run
        if packaged:
            volume = max((volume or 0.0) + short, 0.0)
        if weighed:
            total, before = _next_total(total, points, wish, before), (total, points)
            if total > HEAVIEST * plan.wish:
                break
    what = (
        "no weight of these shares comes to the gravity"
        if weighed
        else "no volume leaves this much to package"
    )
    lines = tuple(line._replace(weight=0.0) for line in plan.lines)
    return Run(plan._replace(lines=lines, fermenter_wish=plan.wish, unsettled=what))


def _next_total(total: float, points: float, wish: float, before: tuple[float, float] | None) -> float:
    """A better weight of the bill: along the line through the last two, else in proportion."""
    if points <= 0.0 or total <= 0.0:
        return max(2.0 * total, 1e-9)
    if before is not None and before[1] != points and before[0] != total:
        slope = (points - before[1]) / (total - before[0])
        if slope > 0.0:
            return min(max(total + (wish - points) / slope, 0.2 * total), 5.0 * total)
    return total * min(max(wish / points, 0.2), 5.0)


def _with(plan: Plan, shares: list[float] | None, total: float, volume: float | None) -> Plan:
    lines = plan.lines
    if shares is not None:
        lines = tuple(line._replace(weight=share * total) for line, share in zip(lines, shares, strict=True))
    return plan._replace(lines=lines, fermenter_wish=volume)
