"""Lautering: how much of the dissolved extract reaches the kettle, by a balance of masses over well mixed
run-offs.

Masses kg, volumes L at 20 °C, shares fractions. Each run-off is taken as well mixed and drained to the same
volume of wort held by the grain and the dead space; of extract and of water the same share leaves. Source:
the assumptions of Troester's batch sparging analysis; a practitioner's published simulation (2 lb of grain,
1.5 gal of water) is met within 0.1 points.
"""

from collections.abc import Sequence
from typing import NamedTuple

from .gravity import WATER_DENSITY, volume_of_masses

EXTRACT_VOLUME = 0.62  # L that a kg of dissolved extract adds to the water it is dissolved in
FLY_RUN_OFFS = 3
FLY_CAP = 0.95  # the best a rinse of the grain reaches in practice


class Lauter(NamedTuple):
    """What came off the grain.

    Share of the dissolved extract, its mass, the water with it, and the share of each run-off.
    """

    efficiency: float
    extract: float
    water: float
    run_offs: tuple[float, ...]

    @property
    def volume(self) -> float:
        """Of the wort."""
        return volume_of_masses(self.extract, self.water)


def default_conversion(grain: float, liquor: float) -> float:
    """Share of the potential that a mash dissolves where nothing better is known: 0.95, or 0.90 for a very thick mash.

    Very thick: below 2.6 L/kg, in full at 2.2. grain kg, liquor L. Source: what practitioners report of 5 gal
    batches, where the thick mash is also the large one (above 8 kg); only the thickness counts here, so that the
    same mash in a larger tun converts alike, and the step is drawn out into a slope, so that a gram of malt does
    not move a recipe by five points. The usual 2.5 L/kg of an infusion mash stays above 0.93.
    """
    if grain <= 0.0:
        return 0.95
    return 0.95 - 0.05 * min(max((2.6 - liquor / grain) / 0.4, 0.0), 1.0)


def retained_wort(grain: float, dissolved: float, absorption: float, dead_space: float = 0.0) -> float:
    """Volume of wort (L) that stays behind with the grain (kg) and in the dead space (L).

    absorption is the usual apparent figure (L/kg, liquor in less wort out: 1.0 drained, 0.8 bag or basket,
    0.6 pressed). The grain really holds 0.62 L more for each kg of extract dissolved (kg), about 1.5 L/kg in
    all.
    """
    return absorption * grain + dead_space + EXTRACT_VOLUME * dissolved


def run_off(dissolved: float, liquor: float, retained: float, rinses: Sequence[float] = ()) -> Lauter:
    """Lauter by mixed run-offs: the first wort, then one after each rinse.

    dissolved kg of extract, liquor L in the mash, retained L of wort that stay each time, rinses L of sparge
    liquor each. A tun that holds no more than it retains gives nothing. Raises ValueError for negative
    amounts.
    """
    if dissolved < 0.0 or liquor < 0.0 or retained < 0.0:
        raise ValueError("extract, liquor and retained wort cannot be negative")
    extract = dissolved
    water = liquor * WATER_DENSITY
    got_extract = 0.0
    got_water = 0.0
    shares: list[float] = []
    for rinse in (0.0, *rinses):
        if rinse < 0.0:
            raise ValueError("a rinse cannot be negative")
        water += rinse * WATER_DENSITY
        volume = volume_of_masses(extract, water)
        drained = 1.0 - retained / volume if volume > retained else 0.0
        shares.append(drained)
        got_extract += extract * drained
        got_water += water * drained
        extract -= extract * drained
        water -= water * drained
    efficiency = got_extract / dissolved if dissolved > 0.0 else 0.0
    return Lauter(efficiency, got_extract, got_water, tuple(shares))


def no_sparge(dissolved: float, liquor: float, retained: float) -> Lauter:
    """All liquor in the mash, one run-off.

    Units as in run_off; in short form (liquor - absorbed - dead) / wort in the tun.
    """
    return run_off(dissolved, liquor, retained)


def batch_sparge(dissolved: float, liquor: float, retained: float, sparge: float, rinses: int = 1) -> Lauter:
    """First wort, then the sparge liquor (L) in so many equal rinses, each stirred and drained.

    Raises ValueError below one rinse.
    """
    if rinses < 1:
        raise ValueError("a batch sparge has at least one rinse")
    return run_off(dissolved, liquor, retained, [sparge / rinses] * rinses)


def fly_sparge(dissolved: float, liquor: float, retained: float, sparge: float) -> Lauter:
    """Continuous sparge, taken as three mixed run-offs (first wort and two rinses of half the sparge liquor),
    never above 95 %.

    There is no closed form. Channelled beds do worse, a good slow one better; without sparge liquor it is
    no_sparge(). Common practice.
    """
    sparged = run_off(dissolved, liquor, retained, [sparge / (FLY_RUN_OFFS - 1)] * (FLY_RUN_OFFS - 1))
    if sparged.efficiency <= FLY_CAP:
        return sparged
    return sparged._replace(efficiency=FLY_CAP, extract=FLY_CAP * dissolved)


def conversion_from_first_wort(plato: float, potential: float, liquor: float) -> float:
    """Share of the potential extract (kg) that a mash has dissolved, from the strength (°P) of its wort
    before any rinse.

    liquor in L. An exact balance of masses; the ratio of measured to greatest °P, which is also in use, reads
    1-2 points higher. Raises ValueError without potential or for a wort of 100 °P and over.
    """
    if potential <= 0.0 or plato >= 100.0:
        raise ValueError("there must be some potential extract, and some water in the wort")
    return plato / (100.0 - plato) * liquor * WATER_DENSITY / potential


def liquor_for(wort: float, grain: float, absorption: float, dead_space: float = 0.0) -> float:
    """Liquor (L) in all for so much wort (L at 20 °C) before the boil: wort + absorbed + dead space.

    Apparent absorption (L/kg) is right here: the volume that the extract adds is already in it.
    """
    return wort + absorption * grain + dead_space
