"""Heat in the mash: strike liquor, infusions, decoctions, ramps, and what a vessel takes of it.

Temperatures °C, volumes L of liquor measured cold, masses kg, times min. Heat is counted as the mass of water
(kg) that holds as much for each kelvin, so that a mixture is a mean weighted by it. The specific heat of water
is taken as constant: from 10 to 95 °C it moves by under 1 %, which shifts a strike temperature by under 0.05 K.
Heat lost to the room while liquor is moved and stirred in is not counted here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from .gravity import WATER_DENSITY
from .mash import GRAIN_DISPLACEMENT, mash_volume

GRAIN_HEAT = (
    0.40  # kg of water for a kg of malt; 0.38 dry to 0.42 damp, after Lewis & Young 2001 (from memory)
)
WATER_JOULES = 4186.0  # J/(kg K)
DECOCTION_LOSS = 1.15  # a decoction is pulled this much larger: steam and transfer cost 10-20 % (from memory)
THICK_PULL = 2.0  # L/kg in the part pulled with a perforated ladle (from memory)
HEATING_RATE = 1.0  # K/min of a heated mash where nothing is written; practical ramps are 0.5-1.5
HELD_BY_GRAIN = 1.0  # L/kg that stay with the grain when liquor is drawn off: apparent absorption, drained

# Walls and false bottom as kg of water for each litre they hold, reckoned from their usual weight: steel at
# 0.12 of water, plastic at 0.45, of an insulated tun the inner half (from memory).
VESSEL_HEAT = {"tun": 0.03, "bag": 0.02, "recirculated": 0.025}
# Share of it in the bottom, the false bottom and the lid's rim, which every mash warms; the rest is wall, and warms as
# high as the mash stands. Bottom and wall of a vessel as wide as high are as 1 to 4, and the bottom is the thicker
# (from memory).
BOTTOM_SHARE = 0.3
ROOMIER = 1.25  # a vessel whose capacity is not known, beside the mash; common practice


class Vessel(NamedTuple):
    """The mash vessel.

    heat: kg of water that holds as much as the part of it that the mash warms; at: its temperature when the strike
    liquor comes in, or None where the liquor is heated in it; rate: K/min of a heated mash; capacity: L to the brim, if
    known; rises: kg by which ``heat`` grows for each litre that stands in it more.
    """

    heat: float = 0.0
    at: float | None = None
    rate: float = 1.0
    capacity: float | None = None
    rises: float = 0.0


class Pull(NamedTuple):
    """A part pulled from the mash: its grain (kg) and liquor (L), and its shares.

    share is by volume of the mash; of_grain and of_liquor are the shares of either that are in it.
    """

    grain: float
    liquor: float
    share: float
    of_grain: float
    of_liquor: float

    @property
    def mass(self) -> float:
        """kg."""
        return self.grain + self.liquor * WATER_DENSITY

    @property
    def volume(self) -> float:
        """L that the part takes up."""
        return mash_volume(self.liquor, self.grain)

    @property
    def heat(self) -> float:
        """kg of water that holds as much."""
        return mash_heat(self.grain, self.liquor)


def vessel_of(
    kind: str,
    capacity: float | None,
    volume: float,
    room: float,
    rate: float | None = None,
    heat: float | None = None,
) -> Vessel:
    """A vessel by its kind (tun, bag or recirculated), with the stated default for what is not known.

    capacity L to the brim, or None: then one for the volume (L) of this mash and a quarter more. Of its heat the bottom
    counts, and as much of the wall as the mash wets. A tun stands at room heat (°C) when the liquor comes in; in the
    other two the liquor is heated. rate K/min, default 1; heat kg of water, as it counts.
    """
    rises = 0.0
    if heat is None:
        litres = max(capacity if capacity is not None else ROOMIER * volume, 0.0)
        whole = VESSEL_HEAT.get(kind, VESSEL_HEAT["tun"]) * litres
        heat = whole * wetted(volume, litres)
        if capacity is None:  # the vessel itself grows with the mash
            rises = heat / volume if volume > 0.0 else 0.0
        elif volume < capacity:
            rises = whole * (1.0 - BOTTOM_SHARE) / capacity
    at = None if kind in ("bag", "recirculated") else room
    return Vessel(heat, at, rate if rate is not None and rate > 0.0 else HEATING_RATE, capacity, rises)


def wetted(volume: float, capacity: float) -> float:
    """Share of a vessel's heat that a mash of so much volume (both L) warms at once: bottom, and wall to its height.

    From memory; the wall above warms slowly, by steam.
    """
    fill = min(max(volume / capacity, 0.0), 1.0) if capacity > 0.0 else 1.0
    return BOTTOM_SHARE + (1.0 - BOTTOM_SHARE) * fill


def mash_heat(grain: float, liquor: float, vessel: float = 0.0, grain_heat: float = GRAIN_HEAT) -> float:
    """Heat capacity of a mash, as kg of water: grain (kg) x grain_heat, liquor (L), vessel (kg of water)."""
    return grain_heat * grain + liquor * WATER_DENSITY + vessel


def mixed(parts: Iterable[tuple[float, float]]) -> float:
    """Temperature of what is mixed, from (heat in kg of water, °C) of each part.

    Raises ValueError where nothing holds heat.
    """
    rows = list(parts)
    heat = math.fsum(row[0] for row in rows)
    if heat <= 0.0:
        raise ValueError("there is nothing to mix")
    return math.fsum(row[0] * row[1] for row in rows) / heat


def strike_temperature(
    target: float,
    liquor: float,
    grain: float,
    grain_at: float,
    vessel: float = 0.0,
    vessel_at: float | None = None,
    grain_heat: float = GRAIN_HEAT,
) -> float:
    """How hot (°C) so much liquor (L) must be for the mash to come to target.

    A balance of heat. vessel: kg of water; vessel_at: its temperature, or None where the liquor is heated in
    it and it gives heat back. Published with 0.41 L/kg, or 0.2 qt/lb which is the same, and with 0.382 by mass:
    against 0.40 that moves the strike by 0.2-0.3 K at 3 L/kg. Not limited to what boils. Raises ValueError
    without liquor.
    """
    water = liquor * WATER_DENSITY
    if water <= 0.0:
        raise ValueError("there is no strike liquor")
    wanted = grain_heat * grain * (target - grain_at)
    if vessel_at is None:
        return target + wanted / (water + vessel)
    return target + (wanted + vessel * (target - vessel_at)) / water


def struck_temperature(
    liquor_at: float,
    liquor: float,
    grain: float,
    grain_at: float,
    vessel: float = 0.0,
    vessel_at: float | None = None,
) -> float:
    """Where the mash comes to when strike liquor of liquor_at meets the grain: strike_temperature() turned round.

    Raises ValueError where there is neither grain nor liquor.
    """
    return mixed(
        (
            (liquor * WATER_DENSITY, liquor_at),
            (GRAIN_HEAT * grain, grain_at),
            (vessel, liquor_at if vessel_at is None else vessel_at),
        )
    )


def strike_liquor(
    target: float,
    liquor_at: float,
    grain: float,
    grain_at: float,
    vessel: float = 0.0,
    vessel_at: float = 20.0,
    rises: float = 0.0,
) -> float:
    """Least strike liquor (L) of liquor_at that brings grain and a vessel standing at vessel_at to target.

    vessel: kg of water, without the part of the wall that the liquor itself wets: ``rises`` kg for each litre. 0 where
    they are warm enough without. Raises ValueError unless the liquor is hotter than the target, and where the wall
    takes more than the liquor brings.
    """
    if liquor_at <= target:
        raise ValueError("the liquor must be hotter than the mash is to be")
    wanted = GRAIN_HEAT * grain * (target - grain_at) + vessel * (target - vessel_at)
    brings = (liquor_at - target) * WATER_DENSITY - rises * (target - vessel_at)
    if brings <= 0.0:
        raise ValueError("the wall takes more than the liquor brings")
    return max(wanted / brings, 0.0)


def infusion(target: float, now: float, heat: float, liquor_at: float) -> float:
    """Liquor (L) of liquor_at that takes a mash of so much heat (kg of water) from now to target, up or down.

    Published by Palmer, How to Brew, 16.3, with 0.2 qt/lb. Raises ValueError unless the target lies between the
    mash and the liquor.
    """
    if target == now:
        return 0.0
    if liquor_at == target or (target - now) / (liquor_at - target) < 0.0:
        raise ValueError("the target must lie between the mash and the liquor")
    return heat * (target - now) / (liquor_at - target) / WATER_DENSITY


def infused_temperature(now: float, heat: float, liquor: float, liquor_at: float) -> float:
    """Where a mash of so much heat (kg of water) comes to when liquor (L) of liquor_at goes in."""
    return mixed(((heat, now), (liquor * WATER_DENSITY, liquor_at)))


def infusion_temperature(target: float, now: float, heat: float, liquor: float) -> float:
    """How hot (°C) so much liquor (L) must be to take a mash from now to target; not limited to what boils.

    Raises ValueError without liquor.
    """
    if liquor <= 0.0:
        raise ValueError("there is no liquor to infuse")
    return target + heat * (target - now) / (liquor * WATER_DENSITY)


def decoction_heat(
    target: float, now: float, heat: float, boiling: float = 100.0, loss: float = DECOCTION_LOSS
) -> float:
    """Heat (kg of water) of the part to pull and boil so that a mash of so much heat goes from now to target.

    loss: how much larger it is pulled for what steam and transfer take. The plain share of the volume, without
    capacities and loss, falls short: brewers report 35-40 % where it says a third. Raises ValueError unless
    now <= target < boiling.
    """
    if not now <= target < boiling:
        raise ValueError("a decoction raises the mash, and stays below boiling")
    return loss * heat * (target - now) / (boiling - now)


def decocted_temperature(
    now: float, heat: float, pulled: float, boiling: float = 100.0, loss: float = DECOCTION_LOSS
) -> float:
    """Where a mash of so much heat (kg of water) comes to when a part of it (pulled, kg of water) returns boiling.

    decoction_heat() turned round.
    """
    if heat <= 0.0:
        raise ValueError("there is no mash")
    return now + pulled * (boiling - now) / (loss * heat)


def pull(kind: str, grain: float, liquor: float, heat: float) -> Pull:
    """The part of a mash of grain (kg) and liquor (L) that holds so much heat (kg of water).

    thick: grain with 2 L/kg, or as the mash is if that is thicker still; thin: liquor alone. Not limited to
    what can be pulled: see largest_pull().
    """
    if kind == "thin" or grain <= 0.0:
        return _shares(0.0, heat / WATER_DENSITY, grain, liquor)
    ratio = min(THICK_PULL, liquor / grain)
    part = heat / (GRAIN_HEAT + ratio * WATER_DENSITY)
    return _shares(part, ratio * part, grain, liquor)


def pull_of_share(kind: str, grain: float, liquor: float, share: float) -> Pull:
    """The part of a mash that is so large a share of its volume, thick or thin as in pull()."""
    volume = share * mash_volume(liquor, grain)
    if kind == "thin" or grain <= 0.0:
        return _shares(0.0, volume, grain, liquor)
    ratio = min(THICK_PULL, liquor / grain)
    part = volume / (ratio + GRAIN_DISPLACEMENT)
    return _shares(part, ratio * part, grain, liquor)


def largest_pull(kind: str, grain: float, liquor: float) -> Pull:
    """All that can be pulled: thick, the grain with its 2 L/kg; thin, what the grain does not hold."""
    if kind == "thin" or grain <= 0.0:
        return _shares(0.0, max(liquor - HELD_BY_GRAIN * grain, 0.0), grain, liquor)
    return _shares(grain, min(THICK_PULL * grain, liquor), grain, liquor)


def _shares(part_grain: float, part_liquor: float, grain: float, liquor: float) -> Pull:
    whole = mash_volume(liquor, grain)
    return Pull(
        part_grain,
        part_liquor,
        mash_volume(part_liquor, part_grain) / whole if whole > 0.0 else 0.0,
        part_grain / grain if grain > 0.0 else 0.0,
        part_liquor / liquor if liquor > 0.0 else 0.0,
    )


def heating_rate(power: float, heat: float, loss: float = 0.0) -> float:
    """K/min that a power (W), less what is lost (W), gives to so much heat (kg of water); never below 0.

    Practical ramps are 0.5-1.5 K/min. Raises ValueError where nothing holds heat.
    """
    if heat <= 0.0:
        raise ValueError("there is nothing to heat")
    return max(power - loss, 0.0) * 60.0 / (WATER_JOULES * heat)


def ramp_minutes(now: float, target: float, rate: float) -> float:
    """Minutes from now to target at so many K/min, up or down. Raises ValueError unless the rate is above 0."""
    if rate <= 0.0:
        raise ValueError("a ramp has a rate")
    return abs(target - now) / rate


def share_that_fits(capacity: float, liquor: float, grain: float, free: float = 0.05) -> float:
    """Part of a mash, liquor and grain alike, that goes into a vessel (L) when a share of it stays free.

    1 and over where it fits whole. Liquor in the mash is hot and takes up to 3 % more than cold; the free
    share is for that too. Raises ValueError for a mash of nothing.
    """
    volume = mash_volume(liquor, grain)
    if volume <= 0.0:
        raise ValueError("there is no mash")
    return capacity * (1.0 - free) / volume
