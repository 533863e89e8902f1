"""Conditioning: oxygen over the beer and in the package, how long it takes, and yeast and sulphite at its end.

What is left alive of the first yeast is ``yeast.viability``.

Volumes L, oxygen and sulphur dioxide mg/L of beer, temperatures °C, times days (a month is 30.4 d), gravities
apparent.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from recipelint.recipe.model import Stage

from .carbonation import ATMOSPHERE
from .feeding import OXYGEN_IN_AIR
from .gas import GAS_CONSTANT, KELVIN
from .yeast import DRY_CELLS, MONTH

OXYGEN_MOLAR_MASS = 31.998  # g/mol
PURGED_LEFT = (
    0.5  # of the air, where a recipe says that a vessel is purged and not how; from memory, no source
)

# Oxygen in the gas over that in beer, mg/L over mg/L; computed from the solubility in water.
_RATIO_COLD, _RATIO_WARM = (5.0, 23.0), (20.0, 30.0)

# Sulphur dioxide in a gram of the salt: two molecules of 64.06 in K2S2O5 (222.3) and Na2S2O5 (190.1).
SULPHITE_SHARE: Mapping[str, float] = {"potassium": 0.576, "sodium": 0.674}
SULPHITE_DECLARED = 10.0  # mg/L: named on the label from here on, EU and US
SULPHITE_MOST = 20.0  # mg/L in beer, EU; from memory
SULPHITE_MOST_IN_CASK = 50.0  # mg/L where it ferments again in the cask, EU; from memory

CELLS_FOR_BOTTLE = 1.0  # million/mL of fresh yeast (Allen 2022)
STRONG = 0.08  # of volume: fresh yeast for the bottle above it (Allen 2022)


class Span(NamedTuple):
    """From and to, ``high`` at least ``low``."""

    low: float
    high: float


# ---------------------------------------------------------------------- oxygen


def air_oxygen(celsius: float, outside: float = ATMOSPHERE) -> float:
    """Oxygen (mg) in a millilitre of air: 0.279 at 20 °C. Dry air, ideal gas; damp air holds 2 % less at 20 °C."""
    return OXYGEN_IN_AIR * outside * OXYGEN_MOLAR_MASS / (GAS_CONSTANT * (celsius + KELVIN))


def air_left(flushed: float) -> float:
    """Share of the air left in a headspace through which so many times its own volume of CO2 has run.

    As if it mixed at once: 3 volumes leave 5 %. Where CO2 lies under the air it does better, where it streams
    past worse.
    """
    return math.exp(-max(flushed, 0.0))


def air_left_by_pressure(pressure: float, times: int, outside: float = ATMOSPHERE) -> float:
    """Share of the air left after a vessel is put under CO2 (bar, gauge) and let off so many times: 2 bar three times
    leave 4 %. Raises ValueError for a pressure below 0."""
    if pressure < 0.0:
        raise ValueError("a vessel is purged with pressure above the air's")
    return math.pow(outside / (outside + pressure), times)


def lengths(stages: Sequence[Stage]) -> float | None:
    """Hours of so many stages together; None where one does not say."""
    hours = [stage.for_.value for stage in stages if stage.for_ is not None]
    return math.fsum(hours) if len(hours) == len(stages) else None


def rackings(stages: Sequence[Stage]) -> tuple[int, ...]:
    """The stages for which the beer is racked: those that say so, or that name another vessel than the one before.

    A stage with a relief valve that does not say so goes on in the vessel in which the beer ferments.
    """
    found: list[int] = []
    vessel: str | None = None
    for index, stage in enumerate(stages):
        other = stage.vessel is not None and stage.vessel != vessel and stage.relief is None
        if stage.racked or (stage.racked is None and other):
            found.append(index)
        vessel = stage.vessel if stage.vessel is not None else vessel
    return tuple(found)


def air_share(racked: bool, purged: bool) -> float:
    """Share of the headspace that counts as air when beer is laid up to age.

    Not racked: none, since a wort makes a dozen times its volume of CO2 and more, which drives the air out;
    until the vessel is opened. Racked: all of it, or PURGED_LEFT of it. CO2 forms no lasting blanket over beer.
    """
    if not racked:
        return 0.0
    return PURGED_LEFT if purged else 1.0


def headspace_oxygen(
    headspace: float, beer: float, celsius: float = 20.0, air: float = 1.0, outside: float = ATMOSPHERE
) -> float:
    """Oxygen (mg/L of beer) in a headspace (L) of which a share is air; nearly all of it ends in the beer.

    5 % of headspace hold 14 mg/L, a hundred times what a brewery allows in a package. Not in it: what comes in
    later through an airlock, a plug, a wall or wood. Raises ValueError for no beer or a headspace below 0.
    """
    if beer <= 0.0 or headspace < 0.0:
        raise ValueError("there is no beer under the headspace, or the vessel runs over")
    return 1000.0 * headspace / beer * air * air_oxygen(celsius, outside)


def oxygen_ratio(celsius: float) -> float:
    """Oxygen in the headspace (mg/L of gas) over that in the beer (mg/L), in balance, 0-30 °C: 23 at 5 °C, 30 at 20.

    A line through two points; the solubility in water puts it within 1 from 0 to 30 °C.
    """
    (cold, low), (warm, high) = _RATIO_COLD, _RATIO_WARM
    return low + (celsius - cold) * (high - low) / (warm - cold)


def total_package_oxygen(dissolved: float, headspace: float, beer: float, celsius: float) -> float:
    """Oxygen in a package (mg/L of beer) from what is dissolved in it once it has been shaken.

    headspace and beer in one unit. Raises ValueError for no beer. Source: Vilacha and Uhlig 1985, whose printed
    ratios it meets within 0.05. Common marks, from memory: large breweries 0.05, good small ones 0.10 to 0.15, at
    home above 1 unless purged.
    """
    if beer <= 0.0:
        raise ValueError("there is no beer in the package")
    return dissolved * (1.0 + headspace / beer * oxygen_ratio(celsius))


def dissolved_oxygen(total: float, headspace: float, beer: float, celsius: float) -> float:
    """What of a package's oxygen (mg/L) is in the beer once it has been shaken: total_package_oxygen() turned round."""
    return total / total_package_oxygen(1.0, headspace, beer, celsius)


# ---------------------------------------------------------------------- time

# Up to this original gravity, d from and to. Trade practice, from memory: see conditioning_span().
TIMES: tuple[tuple[float, Span], ...] = (
    (1.050, Span(14.0, 21.0)),
    (1.070, Span(28.0, 42.0)),
    (1.085, Span(2.0 * MONTH, 3.0 * MONTH)),
    (1.100, Span(3.0 * MONTH, 6.0 * MONTH)),
    (math.inf, Span(6.0 * MONTH, 12.0 * MONTH)),
)


def conditioning_span(original: float) -> Span:
    """Days from the end of fermentation until a beer of this gravity is worth judging. Trade practice, from memory.

    2 to 3 weeks up to 1.050, 4 to 6 to 1.070, then 2 to 3 months to 1.085, 3 to 6 to 1.100, 6 to 12 above it.
    The disagreement is wide: a looser rule (conditioning_rule()) asks less than half of that above 1.085, one
    source nine to twelve months for a barley wine, and others hold that longer is not better. Hop-led and wheat
    beers are drunk younger.
    """
    return next(span for edge, span in TIMES if original <= edge)


def conditioning_rule(original: float) -> float:
    """Days of conditioning by the looser rule, a week for 10 points of gravity. From memory."""
    return max(original - 1.0, 0.0) * 1000.0 / 10.0 * 7.0


# ---------------------------------------------------------------------- yeast


def wants_fresh_yeast(abv: float, days: float, sour: bool = False) -> bool:
    """Whether beer to be conditioned in the bottle should get fresh yeast: above 8 % vol (abv is a fraction), sour,
    or after a month and more in bulk. Source: Allen 2022. Others wait until 10 % vol or ten weeks (from memory)."""
    return sour or abv > STRONG or days >= MONTH


def bottle_yeast(
    volume: float, million_per_ml: float = CELLS_FOR_BOTTLE, viable_per_gram: float = DRY_CELLS.value
) -> float:
    """Dry yeast (g) for the bottles of so many litres: cells wanted (million/mL) and cells in a gram (billion).

    2 g for 20 L; 1 g if the yeast holds 20 billion, as the source of the dose takes it. Raises ValueError for
    yeast without cells. Do not take one that ferments further than the first.
    """
    if viable_per_gram <= 0.0:
        raise ValueError("dry yeast has cells")
    return million_per_ml * volume / viable_per_gram


def bottle_cells(grams: float, volume: float, viable_per_gram: float = DRY_CELLS.value) -> float:
    """Cells (million/mL) that so much dry yeast (g) brings to so many litres. Raises ValueError for no beer."""
    if volume <= 0.0:
        raise ValueError("there is no beer")
    return grams * viable_per_gram / volume


# ---------------------------------------------------------------------- sulphite


def sulphite(grams: float, litres: float, salt: str = "potassium") -> float:
    """Sulphur dioxide (mg/L), all of it, that metabisulphite (g) brings.

    17.4 mg/L of the potassium salt bring 10. What treats the brewing liquor is used up in the mash and the
    boil; yeast makes some itself (4 mg/L on average in a survey of 195 beers). Raises KeyError for another
    salt, ValueError for no beer.
    """
    if litres <= 0.0:
        raise ValueError("there is no beer")
    return 1000.0 * grams * SULPHITE_SHARE[salt] / litres
