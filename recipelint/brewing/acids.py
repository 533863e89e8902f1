"""Acids: how much of one is in a dose, and how much acid it gives off at a pH.

Equivalents mEq, amounts mmol, weights g, volumes mL, strengths as shares of the weight.
"""

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple, TypeAlias

Found: TypeAlias = tuple[float | None, str]
"""A value and "", or None and the reason."""

TYPICAL_PH = 5.4  # at which the worth of an acid is told
CARBONIC = (6.352, 10.33)  # of carbonic acid at 25 °C
LN10 = math.log(10.0)


class Acid(NamedTuple):
    """An acid of the table ``ACIDS``, in mmol."""

    at: str
    where: str
    kind: str
    millimoles: float


class AcidKind(NamedTuple):
    """``densities``: (share of the weight, kg/L). A ready mixed acid has its mEq/mL instead."""

    molar_mass: float
    pkas: tuple[float, ...]
    strength: float | None = None
    densities: tuple[tuple[float, float], ...] = ()
    ready: float | None = None


# Dissociation at 25 °C and densities at 20 °C: handbook values from memory, but lactic acid of 88 % at 1.206
# (deLange). Only lactic acid (88 %) and crystals have a usual strength; phosphoric acid is sold at 10 to 85 %.
ACIDS: Mapping[str, AcidKind] = {
    "lactic-acid": AcidKind(90.08, (3.86,), 0.88, ((0.0, 0.998), (0.88, 1.206))),
    "phosphoric-acid": AcidKind(
        97.994,
        (2.148, 7.198, 12.35),
        None,
        (
            (0.0, 0.9982),
            (0.1, 1.0532),
            (0.2, 1.1134),
            (0.3, 1.1805),
            (0.4, 1.254),
            (0.5, 1.335),
            (0.6, 1.426),
            (0.75, 1.5792),
            (0.85, 1.685),
        ),
    ),
    "citric-acid": AcidKind(192.12, (3.13, 4.76, 6.40), 1.0, ((0.0, 0.998), (0.1, 1.039), (0.5, 1.24))),
    "malic-acid": AcidKind(134.09, (3.40, 5.13), 1.0, ((0.0, 0.998), (0.5, 1.22))),
    # 1 mL in a litre takes away 183 mg/L of alkalinity; half chloride, half sulphate; from memory.
    "hydrochloric-sulphuric-blend": AcidKind(1.0, (-3.0,), ready=3.66),
}


def density_of_acid(kind: AcidKind, strength: float) -> float:
    """kg/L at 20 °C of an acid solution, by lines between the handbook's points, and beyond the last."""
    points = kind.densities
    i = 1
    while i < len(points) - 1 and points[i][0] < strength:
        i += 1
    (low, at_low), (high, at_high) = points[i - 1], points[i]
    return at_low + (at_high - at_low) * (strength - low) / (high - low)


def acid_dose(
    name: str, grams: float | None = None, millilitres: float | None = None, strength: float | None = None
) -> Found:
    """mmol of an acid by weight (g) or by volume (mL), in mEq for one that is sold ready mixed.

    None, and why, if the acid is not in the table, if how strong it is must be said, or if it has no amount.
    """
    kind = ACIDS.get(name)
    if kind is None:
        return None, f"nothing says how strong {name} is"
    if grams is None and millilitres is None:
        return None, f"{name} needs a weight or a volume"
    if kind.ready is not None:
        if millilitres is None:
            return None, f"{name} needs a volume"
        return kind.ready * millilitres, ""
    if strength is None:
        strength = kind.strength
        if strength is None or (strength == 1.0 and grams is None):
            return None, f"{name} is sold in many strengths: say which"
    if grams is None:
        grams = (millilitres or 0.0) * density_of_acid(kind, strength)
    return 1000.0 * grams * strength / kind.molar_mass, ""


def charge(pkas: Sequence[float], ph: float) -> tuple[float, float]:
    """Protons that a molecule of an acid has given off at a pH, and how many more per unit of pH."""
    weight = whole = 1.0
    first = second = 0.0
    for n, pka in enumerate(pkas, 1):
        weight *= 10.0 ** (ph - pka)
        whole += weight
        first += n * weight
        second += n * n * weight
    mean = first / whole
    return mean, LN10 * (second / whole - mean * mean)


def acid_strength(name: str, strength: float, ph: float = TYPICAL_PH) -> float:
    """mEq per mL that an acid gives off by a pH: lactic acid of 88 % 11.45 at 5.4 (others quote 11.5 and 11.8,
    which is all of it). Raises KeyError for an acid not in the table."""
    kind = ACIDS[name]
    millimoles, _why = acid_dose(name, millilitres=1.0, strength=strength)
    return (millimoles or 0.0) * charge(kind.pkas, ph)[0]
