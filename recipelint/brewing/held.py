"""The gas that the beer holds when it is packaged: what fermentation left, or what a relief valve kept in it.

Carbonation in volumes, °C, bar.
"""

from __future__ import annotations

import math

from recipelint.brewing import carbonation, gas
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found

CRASH = 4.0  # K; a fall of more than that is no fermentation step; common practice
TABLE_END = 25.0  # °C, where Hibberd's table ends; its fit turns upward above 34 °C
UNTOLD = 20.0  # °C since fermentation ended, of a packaged beer for which no temperature is written


def warmest_since_fermentation(run: Run) -> float | None:
    """Highest temperature (°C) since fermentation ended: the step in which it ended and what follows.

    A fall at the end by more than CRASH, in one step or several, is taken as a crash after the end: beer that is cooled
    takes up no gas that has already left it. A fall to where a culture works that went in later is none. Where no
    temperature is written UNTOLD, or None if nothing is packaged.
    """
    recipe = run.plan.recipe
    reached = [step.to or step.temperature for step in recipe.fermentation]
    degrees = [each.value for each in reached if each is not None]
    found = degrees[_ended(run, degrees) :]
    found += [stage.temperature.value for stage in recipe.conditioning if stage.temperature is not None]
    if not found:
        return UNTOLD if recipe.packaging else None
    return max(found)


def _ended(run: Run, degrees: list[float]) -> int:
    """The step in which fermentation ended: before the last fall, if that is a crash."""
    later = [
        pitch.temperature_low
        for pitch in run.plan.cultures
        if pitch.stage != "pitch" and pitch.temperature_low is not None
    ]
    last = max(len(degrees) - 1, 0)
    top = last
    while top > 0 and degrees[top] < min(degrees[top - 1], min(later, default=math.inf)):
        top -= 1
    return top if degrees and degrees[last] < degrees[top] - CRASH else last


def residual_co2(run: Run) -> Found:
    """Carbonation (vol) in the beer when it is packaged; None without a temperature. Kept on the run."""
    if run.held is None:
        run.held = _residual_co2(run)
    return run.held  # type: ignore[return-value]


def _residual_co2(run: Run) -> Found:
    open_, why = left_open(run)
    if open_ is None:
        return None, why, ()
    return held_by_valves(run, open_), "", ()


def left_open(run: Run) -> tuple[float | None, str]:
    """Carbonation (vol) that fermentation leaves under an airlock; None without a temperature."""
    celsius = warmest_since_fermentation(run)
    if celsius is None:
        return None, "no temperature is written for the end of fermentation"
    return residual_at(celsius, outside(run)), ""


def outside(run: Run) -> float:
    """Pressure of the air (bar) where it is brewed."""
    return gas.atmosphere(run.plan.kit.altitude)


def residual_at(celsius: float, air: float = carbonation.ATMOSPHERE) -> float:
    """Carbonation (vol) left at a temperature under so much air (bar): Hibberd's table, which ends at 25 °C, carried
    on by Henry's law.
    """
    thinner = air / carbonation.ATMOSPHERE
    if celsius <= TABLE_END:
        return carbonation.residual(celsius) * thinner
    fall = carbonation.solubility(celsius) / carbonation.solubility(TABLE_END)
    return carbonation.residual(TABLE_END) * fall * thinner


def valves_of(run: Run) -> list[int]:
    """The stages of conditioning with a relief valve in which the beer still works."""
    from recipelint.brewing import fermenting

    plan = run.plan
    works = not fermenting.surely_finished_before(plan) or fermenting.goes_in_later(plan)
    valves = [index for index, stage in enumerate(plan.recipe.conditioning) if stage.relief is not None]
    return valves if works else []


def held_by_valves(run: Run, open_: float) -> float:
    """Carbonation (vol) of beer that is closed under relief valves while it ferments: what each of them holds, or less
    where too little extract is left to make it. What is racked under no valve is open again.
    """
    from recipelint.brewing import fermenting

    held = open_
    valves = valves_of(run)
    stages = run.plan.recipe.conditioning
    for index, stage in enumerate(stages):
        if index in valves and stage.relief is not None:
            made = fermenting.gas_made_in_stage(run, index)
            most = gas.keg_carbonation(stage.relief.value, under_valve(run, index), outside(run))
            held = min(most, held + made) if made is not None else held
        elif stage.racked and held > open_:
            held = open_
    return max(held, open_)


def under_valve(run: Run, index: int) -> float:
    """Temperature (°C) of a stage of conditioning: its own, else that of what comes before."""
    written = run.plan.recipe.conditioning[index].temperature
    if written is not None:
        return written.value
    found = warmest_since_fermentation(run)
    return UNTOLD if found is None else found
