"""Wishes that need the whole process to be answered: a bill of shares, and a batch counted in the package.

Both are one unknown against one balance, found by the secant rule on the expected brew.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from recipelint.brewing.gravity import WATER_DENSITY
from recipelint.brewing.inputs import dry_hop_loss
from recipelint.brewing.plan import STAGED, Plan
from recipelint.brewing.process import Run


def settled(plan: Plan) -> Plan:
    """The plan with its weights and its fermenter volume worked out; unchanged where nothing is open."""
    plan = with_fermenter_volume(plan)
    if plan.by_share:
        plan = weighed(plan)
    return plan


def with_fermenter_volume(plan: Plan) -> Plan:
    """Fill in the volume into the fermenter for a batch that is counted in the package."""
    if plan.into != "package":
        return plan
    staged = (
        math.fsum(line.weight for line in plan.lines if line.stage in STAGED) if not plan.by_share else 0.0
    )
    start = plan.wish + plan.kit.lees + dry_hop_loss(plan) - 0.6 * staged
    if plan.by_share:
        return plan._replace(fermenter_wish=max(start, 0.0))

    def gap(volume: float) -> float:
        return Run(plan._replace(fermenter_wish=volume)).beer.package - plan.wish

    return plan._replace(fermenter_wish=max(_secant(gap, start, start * 1.02), 0.0))


def weighed(plan: Plan) -> Plan:
    """Weights (kg) from shares, so that the beer reaches the original gravity wished for.

    0 if none is wished for.
    """
    wish = plan.recipe.batch.gravity
    if wish is None:
        return plan._replace(lines=tuple(line._replace(weight=0.0) for line in plan.lines))
    shares = [line.weight for line in plan.lines]

    def at(total: float) -> Plan:
        lines = tuple(
            line._replace(weight=share * total) for line, share in zip(plan.lines, shares, strict=True)
        )
        scaled = plan._replace(lines=lines)
        if plan.into == "package":
            scaled = with_fermenter_volume(scaled._replace(by_share=False))._replace(by_share=True)
        return scaled

    def gap(total: float) -> float:
        return Run(at(total)).beer.original - wish.value

    guess = max((wish.value - 1.0) * 1000.0 * max(plan.wish, 1e-6) / 300.0 / 0.8 * WATER_DENSITY, 1e-6)
    return at(max(_secant(gap, guess, guess * 1.1), 0.0))


def _secant(f: Callable[[float], float], a: float, b: float) -> float:
    """Root of f near a and b, to 1e-10 of its value or 30 rounds."""
    fa, fb = f(a), f(b)
    for _ in range(30):
        if abs(fb) < 1e-10 or fb == fa:
            break
        c = b - fb * (b - a) / (fb - fa)
        if not math.isfinite(c):
            break
        c = max(c, 0.1 * b) if b > 0.0 else c
        a, fa = b, fb
        b = c
        fb = f(b)
    return b
