"""Carbon dioxide and the vessel: kegs, closed bottles, casks, closing a fermenter early, and gas in the room.

Carbonation in volumes (litres of gas at 0 °C and one atmosphere in a litre of beer), temperature °C, pressure
bar: above the air outside unless it is called partial. A headspace is given as litres for each litre of beer.
Gravities are apparent.

Beer and gas are in balance in all of it, which takes days to weeks in a bottle that lies still; beer in ferment
holds more than that, and shows less pressure.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from .carbonation import ATMOSPHERE, CO2_PER_EXTRACT, GRAMS_PER_VOLUME, residual, solubility, volumes_made
from .fermentation import alcohol, beer_volume, ferment, fermented_share
from .gravity import extract_per_litre

KELVIN = 273.15
MOLAR_MASS = 44.01  # g/mol
GAS_CONSTANT = 0.0831446  # L bar / mol / K
NITROGEN_SHUT_IN = 0.8  # bar that is left of the air in a headspace once yeast has taken the oxygen

# Where the solubility rests on data or near them: see carbonation.solubility.
COLDEST, WARMEST, MOST_PRESSURE = -1.0, 40.0, 10.0


class Closed(NamedTuple):
    """A closed package in balance.

    ``dissolved`` is the carbonation in the beer (vol), ``in_headspace`` the share of all CO2 that is in the
    headspace, ``partial`` the pressure of the CO2 alone (bar, from zero), ``pressure`` what presses on the wall
    from inside more than the air does from outside: below 0 the package sucks.
    """

    dissolved: float
    in_headspace: float
    partial: float
    pressure: float


class Mark(NamedTuple):
    """Carbonation (vol) that is lively for a kind of package, and too much; what it bears when new (bar), if known."""

    lively: float
    too_much: float
    rating: float | None = None


# From memory. The classes of glass are those that a recipe names: light is a single-use long-neck, standard a
# returnable or heavy bottle, heavy a thick bottle or a swing top in good order, champagne the thickest with
# wired cork or crown.
MARKS: Mapping[str, Mark] = {
    "light": Mark(2.8, 3.3, 4.5),
    "standard": Mark(3.3, 4.0, 6.0),
    "heavy": Mark(4.0, 4.8, 7.0),
    "champagne": Mark(6.0, 7.0, 11.0),
    "plastic-bottle": Mark(4.0, 5.0),
    "can": Mark(2.8, 3.0),
    "cask": Mark(1.5, 2.0),
}
KEG_RATING = 9.0  # bar; 130 psi is often on the plate of a soda-type keg; from memory
_GLASS = ("light", "standard", "heavy", "champagne")


def mark_of(package: str, worn: bool = False) -> Mark | None:
    """What a class of glass or a kind of package bears; None for a kind without a figure (a keg has its plate).

    Worn, scratched or unknown glass counts as one class lower, light glass as light. Marks are from memory, at
    cellar to room temperature: what tells is the pressure at the warmest.
    """
    if worn and package in _GLASS:
        package = _GLASS[max(_GLASS.index(package) - 1, 0)]
    return MARKS.get(package)


def validity(celsius: float, pressure: float = 0.0) -> str:
    """Why a pressure at a temperature is not to be relied on, or "" from -1 to 40 °C and up to 10 bar.

    Pressures grow faster than anything here says above 40 °C, in a car in the sun for one.
    """
    if celsius > WARMEST:
        return f"how much gas beer holds is not known above {WARMEST:g} °C"
    if celsius < COLDEST:
        return f"beer may freeze below {COLDEST:g} °C, and ice takes up no gas"
    if pressure > MOST_PRESSURE:
        return f"above {MOST_PRESSURE:g} bar the gas law used here is more than 5 % out"
    return ""


def atmosphere(altitude: float) -> float:
    """Pressure of the air (bar) at so many metres, -400 to 4000: standard atmosphere; weather moves it by 0.03.

    A keg's gauge has to show more by what the air lacks, 0.07 bar at 610 m (2000 ft).
    """
    return float(ATMOSPHERE * (1.0 - 2.25577e-5 * altitude) ** 5.25588)


def gas_density(celsius: float) -> float:
    """CO2 (g/L) for each bar of it: ideal gas. The real one is 1 % denser at 2 bar and 3 % at 6."""
    return MOLAR_MASS / (GAS_CONSTANT * (celsius + KELVIN))


# ---------------------------------------------------------------------- kegs, and vessels that are let off


def keg_pressure(volumes: float, celsius: float, outside: float = ATMOSPHERE) -> float:
    """Gauge pressure (bar) that keeps a carbonation at a temperature; below 0 if an open keg holds more than that.

    Also the relief pressure at which to set a valve on the fermenter. Against the two fits to the trade's table
    it is within 0.07 bar from 1 to 13 °C and 2 to 3 vol. outside is the pressure of the air (bar). Range:
    solubility().
    """
    return volumes * GRAMS_PER_VOLUME / solubility(celsius) - outside


def keg_carbonation(pressure: float, celsius: float, outside: float = ATMOSPHERE) -> float:
    """Carbonation (vol) that beer comes to under a gauge pressure (bar) of CO2: keg_pressure() turned round.

    Of a relief valve: what the beer holds if enough gas is still made. At 0 bar it is the carbonation that
    fermentation leaves by the Henry form, 0.01-0.1 vol below carbonation.residual() up to 25 °C.
    """
    return max(pressure + outside, 0.0) * solubility(celsius) / GRAMS_PER_VOLUME


def vented(volumes: float, celsius: float, outside: float = ATMOSPHERE) -> float:
    """Carbonation (vol) of a cask under a soft spile, once it works no more: no more than open beer holds.

    1.12 vol at 12 °C, so that sugar for 1.5 vol keeps the cask lively until it is vented and no longer.
    """
    return min(volumes, keg_carbonation(0.0, celsius, outside))


def residual_range(celsius: float, outside: float = ATMOSPHERE) -> tuple[float, float]:
    """Lowest and highest carbonation (vol) that two sources leave after a fermentation that ended so warm, 0-25 °C.

    The balance with CO2 of one atmosphere, and Hibberd's table (carbonation.residual()), scaled to the air
    outside. They differ by 0.1 vol at 0 °C and 0.015 at 20. After 8 to 12 months in bulk, racked, beer may be
    flatter than either.
    """
    both = keg_carbonation(0.0, celsius, outside), residual(celsius) * outside / ATMOSPHERE
    return min(both), max(both)


# ---------------------------------------------------------------------- the closed package


def closed(
    volumes: float,
    celsius: float,
    headspace: float = 0.0,
    shut_in: float = 0.0,
    filled_at: float = 20.0,
    outside: float = ATMOSPHERE,
) -> Closed:
    """What all the CO2 in a closed package (vol for each litre of beer) comes to at a temperature.

    headspace is what there is of it at that temperature (L/L); shut_in the pressure (bar, from zero) of other
    gas in it when it was closed at filled_at: 0 in a headspace that foam or CO2 has filled, NITROGEN_SHUT_IN
    with air in it, which is not counted where there is no headspace. A headspace of 5 % takes 5 % of the gas at
    20 °C, which lowers the pressure; the air that was in it raises it by more. Nitrogen that dissolves (up to a
    third) is left out, to the safe side, as is a bottle so full that warm beer finds no room: its pressure has
    no bound. Raises ValueError for a negative headspace. Range: validity().

    Henry's law and Dalton's; ideal gas.
    """
    if headspace < 0.0:
        raise ValueError("a headspace is not negative")
    holds = solubility(celsius)
    above = headspace * gas_density(celsius)
    partial = volumes * GRAMS_PER_VOLUME / (holds + above)
    other = shut_in * (celsius + KELVIN) / (filled_at + KELVIN) if headspace > 0.0 else 0.0
    return Closed(
        dissolved=partial * holds / GRAMS_PER_VOLUME,
        in_headspace=above / (holds + above),
        partial=partial,
        pressure=partial + other - outside,
    )


def gas_for(
    wish: float, held: float, celsius: float, headspace: float = 0.0, already: float = ATMOSPHERE
) -> float:
    """Gas (vol) that must still be made in a closed vessel for a wish, its headspace included; 0 if none.

    held is what the beer holds when it is closed (vol), already the pressure of CO2 in the headspace then (bar, from
    zero): that of the air outside over a beer in ferment, 0 in a bottle filled in air.
    """
    more = keg_pressure(wish, celsius, already)
    return max(wish - held + headspace * gas_density(celsius) * more / GRAMS_PER_VOLUME, 0.0)


def priming_for(wish: float, held: float, per_volume: float) -> float:
    """Priming sugar (g/L) for a wish over what the beer holds (both vol); per_volume as carbonation gives it (g/L)."""
    return max(wish - held, 0.0) * per_volume


# ---------------------------------------------------------------------- extract still to ferment


def _made_by_all(original: float, final: float) -> float:
    """CO2 (vol for each litre of the beer) that the whole extract of the wort would make."""
    litres = beer_volume(1.0, original, alcohol(original, final))
    return volumes_made(extract_per_litre(original), litres)


def gas_of_fall(original: float, now: float, final: float) -> float:
    """Carbonation (vol) that a beer makes on its way from one gravity to a lower one; 0 if it does not fall.

    0.50-0.52 vol for a point, whatever the original gravity from 1.030 to 1.120: Balling, some extract becomes
    yeast. Only sugar and no yeast would be a tenth more. A rule of 0.69 vol for a point is in print: it takes a
    point for 2.8 g/L of sugar, and leaves out that its alcohol, too, moves the hydrometer. Range as
    fermentation.alcohol().
    """
    if final >= now:
        return 0.0
    fall = fermented_share(original, final) - fermented_share(original, now)
    return fall * _made_by_all(original, final)


def gravity_for_gas(original: float, final: float, volumes: float) -> float | None:
    """Gravity from which a beer makes so much gas (vol) on its way to the final one: gas_of_fall() turned round.

    When to close a fermenter, with gas_for(). None if the whole fermentation makes less.
    """
    whole = _made_by_all(original, final)
    if whole <= 0.0:
        return None
    share = fermented_share(original, final) - max(volumes, 0.0) / whole
    return None if share < 0.0 else ferment(original, share).gravity


# ---------------------------------------------------------------------- the room


def carbon_dioxide_made(extract: float) -> float:
    """CO2 (kg) that so much fermented extract (kg) makes, by Balling."""
    return extract * CO2_PER_EXTRACT


def gas_volume(kilograms: float, celsius: float = 20.0, outside: float = ATMOSPHERE) -> float:
    """Litres that CO2 fills as gas. 19 L of wort of 1.048 make 0.72 kg, 0.39 m3."""
    return kilograms * 1000.0 / (gas_density(celsius) * outside)


def room_share(litres: float, room: float) -> float:
    """CO2 as a share of the air of a room (m3) with no draught, mixed evenly; near the floor it is more.

    Limits at work: 0.005 over eight hours, 0.015 (UK) or 0.03 (US) over a quarter of an hour; 0.04, from
    memory, is dangerous at once. Raises ValueError for a room that is not above zero.
    """
    if room <= 0.0:
        raise ValueError("a room has a volume above zero")
    return litres / 1000.0 / room
