"""Yeast: cells wanted and pitched, what lives of them, and starters. What feeds them is in ``feeding``.

Cells in billions and living unless said, volumes L at 20 °C, masses kg, gravities apparent 20/20 °C, shares and
strengths fractions, ages days, rates million cells per mL and °P. Figures of yeast scatter by factors of two and
three, so most of them are a ``Band``; its sides are where printed figures lie unless marked "from memory". The
sources stand in full in tests/check_values/fermentation-and-packaging.yaml.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from recipelint.brewing.fermentation import ferment, fermentability
from recipelint.brewing.gravity import extract_mass, plato_from_sg, water_in
from recipelint.brewing.kit import Assumed


class Band(NamedTuple):
    """A figure and how far it may lie off: low and high are about the 5 and 95 % points."""

    value: float
    low: float
    high: float


MONTH = 30.4  # days
STRONG_FROM, STRONG_ABOVE = 1.065, 1.075  # between them ale wort becomes strong; 1.070-1.075 (from memory)
# Wanted, by kind of culture. Ale: flat baseline 0.5, Fix 0.75, commercial rule 1.0; lager: 1.25, Fix 1.5, 2.0.
# Strong and hybrid 1.0-1.25 in print, their low sides and kveik ("a fraction, on purpose") from memory.
RATES: Mapping[str, Band] = {
    "ale": Band(0.75, 0.5, 1.0),
    "strong": Band(1.0, 0.75, 1.25),
    "hybrid": Band(1.0, 0.75, 1.25),
    "lager": Band(1.5, 1.25, 2.0),
    "kveik": Band(0.3, 0.1, 0.75),
}
DRY_CELLS = Band(10.0, 5.0, 20.0)  # viable, billion/g: label guarantee, counts of 8-18, textbook assumption
DRY_TOTAL = Band(20.0, 15.0, 25.0)  # living and dead, billion/g; the sides from memory
SPRINKLED = Band(1.0, 0.5, 1.0)  # living after going dry into wort: half die (older advice), or none (newer)
PACK_CELLS = Band(100.0, 80.0, 200.0)  # in a liquid pack when packed; 150 and 200 also sold; low from memory
DRY_PACK = 0.011  # kg in a pack of dry yeast (from memory; 5 to 11.5 g are sold)
SLURRY_DENSITY = Band(1.2, 0.8, 2.5)  # billion/mL: settled 1.0-1.5, packed hard 2-4.5; low from memory
SLURRY_WEIGHT = 1.1  # kg/L (from memory)
UNTOLD_DAYS: Mapping[str, float] = {"liquid": 30.0, "slurry": 7.0, "dry": 365.0}  # from memory
STORED_AT = 4.0  # °C, where nothing is said
LINEAR_LOSS = 0.007  # of all cells a day
WARMTH = (
    math.log(math.log(0.80) / math.log(0.96)) / 16.0
)  # per K: dry yeast loses 4 % a year at 4 °C, 20 % at 20
# Share lost in a month in the cold: expected, fastest and slowest. Liquid: 20-25 %, 21 recalled. Slurry: 15 %, and
# 25 % a week for old slurry; the slow side from memory. Dry: 4 % a year; half and twice that from memory.
LOSS: Mapping[str, Band] = {
    "liquid": Band(0.21, 0.20, 0.25),
    "slurry": Band(0.15, 0.10, 1.0 - 0.75 ** (MONTH / 7.0)),
    "dry": Band(1.0 - 0.96 ** (1 / 12), 1.0 - 0.98 ** (1 / 12), 1.0 - 0.92 ** (1 / 12)),
}
# White & Zainasheff 2010 (only the 100 -> 152 read): billion cells put into a litre, new cells for each of them.
STILL_GROWTH = ((5.0, 5.0), (12.5, 3.0), (50.0, 1.05), (100 / 1.5, 0.81), (100.0, 0.52), (200.0, 0.12))
STILL_EXTRACT = 0.0932  # kg in a litre of that wort of 9 °P
MOST_GROWTH = 1.4  # billion new cells per g of extract: sugar is the limit (Troester 2012, from memory)
STIRRED_SPREAD = Band(1.0, 0.7, 1.1)  # of its growth: 1.0-1.5 billion/g in print
STILL_SPREAD = Band(1.0, 0.7, 1.4)  # of its growth; from memory
SETTLED_KEPT = Band(0.95, 0.80, 1.0)  # of the cells when the beer above is poured off; from memory
STARTER_GRAVITY = 1.037  # 100 g of dry extract a litre
STARTER_ATTENUATION = 0.75  # apparent; from memory


def product(*bands: Band) -> Band:
    """Independent figures multiplied: their distances are added in quadrature on the scale of ratios."""
    value = math.prod(band.value for band in bands)
    if value <= 0.0:
        return Band(0.0, 0.0, 0.0)
    if any(band.low <= 0.0 for band in bands):
        low = 0.0
    else:
        low = value * math.exp(-math.hypot(*(math.log(band.value / band.low) for band in bands)))
    return Band(
        value, low, value * math.exp(math.hypot(*(math.log(band.high / band.value) for band in bands)))
    )


def times(band: Band, factor: float) -> Band:
    """A band times a number that is known (0 and over)."""
    return Band(band.value * factor, band.low * factor, band.high * factor)


def rate_wanted(kind: str, gravity: float, own: Band | None = None) -> Band | None:
    """Rate to pitch at by kind of culture and gravity at pitching; the brewer's ``own`` wins.

    None for cultures whose rate is not agreed on: bacteria, wild, mixed and wine yeast. The rates were given for
    repitched yeast; yeast of the first generation is often pitched at less.
    """
    if own is not None:
        return own
    rate = RATES.get(kind)
    if rate is None or kind != "ale":
        return rate
    # Between the two there is no step in nature: a gravity point more does not ask for a third more yeast.
    share = min(max((gravity - STRONG_FROM) / (STRONG_ABOVE - STRONG_FROM), 0.0), 1.0)
    return Band(*(low + share * (high - low) for low, high in zip(rate, RATES["strong"], strict=True)))


def cells_wanted(volume: float, gravity: float, rate: Band) -> Band:
    """Cells for so much wort: rate x volume x °P. Source: Fix, as quoted.

    The quick points/4 in place of °P asks 0.7 % more at 1.048 and 5 % more at 1.100.
    """
    return times(rate, volume * max(plato_from_sg(gravity), 0.0))


def pitch_rate(cells: Band, volume: float, gravity: float) -> Band | None:
    """Rate that so many cells come to; None for no wort or for water."""
    divisor = volume * plato_from_sg(gravity)
    return times(cells, 1.0 / divisor) if divisor > 0.0 else None


def linear_viability(days: float, loss: float = LINEAR_LOSS, start: float = 1.0) -> float:
    """Living share when so much of all cells (fraction) is lost each day; 0 after 143 days, which is too early."""
    return max(0.0, start - loss * days)


def exponential_viability(days: float, loss: float = LOSS["liquid"].value, start: float = 1.0) -> float:
    """Living share when so much (fraction) of what lives is lost each month of 30.4 days."""
    return start * math.pow(1.0 - loss, days / MONTH)


def viability(form: str, days: float, stored_at: float = STORED_AT) -> Band:
    """Living share of dry or liquid yeast or slurry of an age, with the span of the published curves.

    Expected is the exponential; the low side of liquid yeast is the lower of the linear one and 25 % a month. Warmth
    speeds all curves as it does dry yeast (a factor of 2.9 for 10 K; for the others an assumption); below 0 and above
    35 °C counted as there. Good to a factor of two past three months. 1 at day 0; an age below 0 counts as 0.
    """
    loss = LOSS.get(form, LOSS["liquid"])
    cold_days = max(days, 0.0) * math.exp(WARMTH * (min(max(stored_at, 0.0), 35.0) - STORED_AT))
    low = exponential_viability(cold_days, loss.high)
    if loss is LOSS["liquid"]:
        low = min(low, linear_viability(cold_days))
    return Band(exponential_viability(cold_days, loss.value), low, exponential_viability(cold_days, loss.low))


class Starter(NamedTuple):
    """A starter: L of wort and its gravity; None is not written."""

    volume: float
    gravity: float = STARTER_GRAVITY
    stirred: bool | None = None
    settled: bool | None = None


class Brought(NamedTuple):
    """What a starter adds to the wort: L, extract and water of its wort (kg), what of it has fermented, its gravity."""

    volume: float
    extract: float
    water: float
    fermented: float
    gravity: float


def still_growth(cells: float, extract: float) -> float:
    """New cells in a starter that stands still: the table of White & Zainasheff, by cells per litre of 9 °P.

    extract: kg in the starter; another gravity counts as another volume of that wort. Between the rows growth is
    linear in the logarithm; past the thickest it falls to none at about 245 million/mL, below the thinnest it stays
    at five for one. Nowhere does that come to half of what the sugar would allow.
    """
    if cells <= 0.0 or extract <= 0.0:
        return 0.0
    per_litre = cells * STILL_EXTRACT / extract
    if per_litre <= STILL_GROWTH[0][0]:
        growth = STILL_GROWTH[0][1]
    else:
        upper = next((i for i, row in enumerate(STILL_GROWTH) if per_litre <= row[0]), len(STILL_GROWTH) - 1)
        (low, much), (high, little) = STILL_GROWTH[upper - 1], STILL_GROWTH[upper]
        growth = much + (little - much) * math.log(per_litre / low) / math.log(high / low)
    return max(growth, 0.0) * cells


def stirred_growth(cells: float, extract: float) -> float:
    """New cells in a stirred starter with so much extract (kg): Troester 2012, coefficients from memory.

    With x billion cells per gram of extract at the start: 1.4 per gram while sugar is the limit (x under 1.4),
    2.33 - 0.67 x above, none from 3.5 on. For 100 billion in 2 L of 1.037 it gives 1.9 times what the still table does.
    """
    grams = 1000.0 * extract
    if cells <= 0.0 or grams <= 0.0:
        return 0.0
    return grams * max(0.0, min(MOST_GROWTH, 2.33 - 0.67 * cells / grams))


def measured_growth(volume: float, start: float, end: float) -> float:
    """New cells by a practitioner's fit to stirred starters (2013): 14 billion per L and °P of fall (apparent)."""
    return 14.0 * volume * (start - end)


def yield_factor(initial: float, final: float, start: float, end: float) -> float:
    """Growth (million/mL) for each °P of fall; above 20 it was aerobic. Source: White & Zainasheff after Nielsen."""
    return (final - initial) / (start - end)


def inoculation(cells: float, volume: float) -> float:
    """Million cells in each mL at the start. Raises ValueError for a volume that is not above zero."""
    if volume <= 0.0:
        raise ValueError("the volume must be above zero")
    return cells / volume


def grown(cells: Band, starter: Starter) -> Band:
    """Cells when a starter has fermented out, and been settled if it is.

    Stirred or still by its model. Where that is not said: the still table, with the stirred model as the high side.
    """
    extract = extract_mass(starter.volume, starter.gravity)
    still = [cells_in + still_growth(cells_in, extract) for cells_in in cells]
    stirred = [cells_in + stirred_growth(cells_in, extract) for cells_in in cells]
    ends = stirred if starter.stirred else still
    spread = STIRRED_SPREAD if starter.stirred else STILL_SPREAD
    sides = [taken + (end - taken) * part for taken, end, part in zip(cells, ends, spread, strict=True)]
    if starter.stirred is None:
        sides[2] = max(sides[2], stirred[2])
    found = Band(*sides)
    return product(found, SETTLED_KEPT) if starter.settled else found


def starter_brings(starter: Starter, attenuation: float = STARTER_ATTENUATION) -> Brought:
    """What goes into the wort with the cells: all of an unsettled starter, nothing of a settled one.

    attenuation: apparent. The starter is counted as wort that has fermented: extract and water are those of its wort,
    so that it adds to the original gravity; gravity is what it reads as it goes in.
    """
    if starter.settled or starter.volume <= 0.0:
        return Brought(0.0, 0.0, 0.0, 0.0, 1.0)
    extract = extract_mass(starter.volume, starter.gravity)
    share = fermentability(attenuation, max(starter.gravity, 1.0001))
    return Brought(
        starter.volume,
        extract,
        water_in(starter.volume, starter.gravity),
        extract * share,
        ferment(starter.gravity, share).gravity,
    )


class Amount(NamedTuple):
    """What a recipe says of one line of yeast; None is not written.

    form: dry, liquid, slurry or ""; ``cells`` are living; pack is the weight of one pack; density billion/mL;
    viability as it is when it is used, whatever the age.
    """

    form: str = ""
    cells: Band | None = None
    packs: float | None = None
    pack: float | None = None
    weight: float | None = None
    volume: float | None = None
    density: Band | None = None
    viability: Band | None = None
    days: float | None = None
    stored_at: float | None = None
    rehydrated: bool | None = None
    starter: Starter | None = None


class Pitched(NamedTuple):
    """Living cells: in what is taken, and in what is pitched after a starter; inoculation of that (million/mL)."""

    taken: Band
    cells: Band
    inoculation: float | None
    assumed: tuple[Assumed, ...]


def pitched(amount: Amount) -> Pitched | None:
    """Cells that a line of yeast brings into the wort; None where it does not say how much yeast there is."""
    assumed: list[Assumed] = []
    taken = amount.cells if amount.cells is not None else _taken(amount, assumed)
    if taken is None:
        return None
    starter = amount.starter
    if starter is None or starter.volume <= 0.0:
        return Pitched(taken, taken, None, tuple(assumed))
    return Pitched(taken, grown(taken, starter), inoculation(taken.value, starter.volume), tuple(assumed))


def form_of(amount: Amount) -> str:
    """dry, liquid or slurry: as written, else dry for a weight, slurry for a volume, liquid for packs."""
    if amount.form:
        return amount.form
    if amount.weight is not None or amount.pack is not None:
        return "dry"
    return "slurry" if amount.volume is not None else "liquid"


def _taken(amount: Amount, assumed: list[Assumed]) -> Band | None:
    form = form_of(amount)
    if form == "dry":
        kilograms = amount.weight
        if kilograms is None and amount.packs is not None:
            kilograms = amount.packs * (amount.pack if amount.pack is not None else DRY_PACK)
            if amount.pack is None:
                assumed.append(("weight of a pack of dry yeast (kg)", DRY_PACK))
        return None if kilograms is None else times(_dry_per_gram(amount, assumed), 1000.0 * kilograms)
    litres = amount.volume
    if litres is None and amount.weight is not None:
        litres = amount.weight / SLURRY_WEIGHT
    if litres is not None:
        if amount.density is None:
            assumed.append(("cells in the slurry (billion/mL)", SLURRY_DENSITY.value))
        return times(
            product(amount.density or SLURRY_DENSITY, _living(amount, form, assumed)), 1000.0 * litres
        )
    if amount.packs is None:
        return None
    assumed.append(("cells in a pack (billion)", PACK_CELLS.value))
    return times(product(PACK_CELLS, _living(amount, form, assumed)), amount.packs)


def _dry_per_gram(amount: Amount, assumed: list[Assumed]) -> Band:
    """Living cells (billion) in a gram when it is in the wort."""
    wet = Band(1.0, 1.0, 1.0) if amount.rehydrated or amount.starter is not None else SPRINKLED
    if amount.viability is not None:
        return product(DRY_TOTAL, amount.viability, wet)
    assumed.append(("cells in dry yeast (billion/g)", DRY_CELLS.value))
    if amount.days is None:  # the spread of the counts holds the usual ages
        return product(DRY_CELLS, wet)
    return product(DRY_CELLS, _living(amount, "dry", assumed), wet)


def _living(amount: Amount, form: str, assumed: list[Assumed]) -> Band:
    """Living share: as written, else by age, else by a usual age with all from none to four times that."""
    if amount.viability is not None:
        return amount.viability
    heat = amount.stored_at if amount.stored_at is not None else STORED_AT
    if amount.days is not None:
        return viability(form, amount.days, heat)
    usual = UNTOLD_DAYS[form]
    assumed.append((f"age of the {'slurry' if form == 'slurry' else form + ' yeast'} (d)", usual))
    return Band(viability(form, usual, heat).value, viability(form, 4.0 * usual, heat).low, 1.0)
