"""The steps of the fermentation and the stages of conditioning, as they are written, turned into steps of the way.

Hours, °C. A step in the cold that waits for a still gravity does not wait for the end: yeast that sleeps moves no
hydrometer, so that it lasts as long as the brewer looks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from recipelint.brewing.kinetics import REFERENCE_CELSIUS
from recipelint.brewing.path import Step
from recipelint.brewing.plan import Plan
from recipelint.recipe import forms, model

SLEEPS = (
    3.0  # K below the usual temperatures of all cultures at which yeast makes hardly any gas; common practice
)


def coolest(plan: Plan) -> float | None:
    """Where the usual temperatures of the cultures begin (°C); None where one has no figure."""
    lows = [pitch.temperature_low for pitch in plan.cultures]
    return None if None in lows else min((each for each in lows if each is not None), default=None)


def sleeps(plan: Plan, celsius: float) -> bool:
    """Whether every culture sleeps at a temperature; not, where one has no figure."""
    low = coolest(plan)
    return low is not None and celsius < low - SLEEPS


def fermentation(plan: Plan) -> tuple[Step, ...]:
    """The steps of the fermentation; a rise without a length is at its end at once, a ramp lasts as long as it says."""
    return steps_of(plan, plan.recipe.fermentation)


def steps_of(plan: Plan, written: Sequence[model.Step]) -> tuple[Step, ...]:
    """The same of some of its steps."""
    found: list[Step] = []
    now = REFERENCE_CELSIUS
    for step in written:
        end = step.to if step.to is not None else step.temperature
        celsius = end.value if end is not None else now
        if step.over is not None:
            found.append(Step(now, celsius, step.over.value))
        now = celsius
        if step.for_ is not None:
            found.append(Step(now, now, step.for_.value))
        elif step.until is not None:
            found.append(_waiting(plan, step.until, now))
        elif step.over is None:
            found.append(Step(now, now))
    return tuple(found)


def _waiting(plan: Plan, until: str, celsius: float) -> Step:
    meaning = forms.read(until, "until")
    value = meaning.measure.value if meaning.measure is not None else 0.0
    if meaning.meaning == "gravity":
        return Step(celsius, celsius, until=value)
    looks = value if meaning.meaning == "still-for" else 0.0
    return Step(celsius, celsius, looks) if sleeps(plan, celsius) else Step(celsius, celsius, still_for=looks)


def conditioning(plan: Plan) -> tuple[Step, ...]:
    """The stages of conditioning; one without a length takes no time, one without a temperature keeps the last."""
    steps = fermentation(plan)
    now = steps[-1].end if steps else REFERENCE_CELSIUS
    found: list[Step] = []
    for stage in plan.recipe.conditioning:
        now = stage.temperature.value if stage.temperature is not None else now
        found.append(Step(now, now, stage.for_.value if stage.for_ is not None else 0.0))
    return tuple(found)


def until_package(plan: Plan) -> tuple[Step, ...]:
    """All steps and stages before the package."""
    return (*fermentation(plan), *conditioning(plan))


def rest(steps: tuple[Step, ...]) -> Step:
    """What comes after the last step: the same heat for ever."""
    last = steps[-1].end if steps else REFERENCE_CELSIUS
    return Step(last, last)


def fermented_for(plan: Plan) -> float | None:
    """Hours that the steps of the fermentation say they take; None where there is none, or one waits for the beer."""
    hours = [step.hours for step in fermentation(plan)]
    return math.fsum(each for each in hours if each is not None) if hours and None not in hours else None


def asleep_where_untold(plan: Plan) -> bool:
    """Whether all stages that do not say how long lie in the cold: they make no gas, however long they are."""
    return all(
        stage.for_ is not None or sleeps(plan, step.end)
        for stage, step in zip(plan.recipe.conditioning, conditioning(plan), strict=True)
    )
