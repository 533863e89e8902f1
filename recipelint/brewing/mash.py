"""The mash: starch, enzymes and fermentable sugar over the rests, and how much room the mash takes.

Temperatures °C, minutes, masses kg, volumes L, shares fractions.

Scheme: starch in large and in small granules gelatinises towards what cannot gelatinise at the temperature;
alpha-amylase cuts it to dextrin and some sugar; beta-amylase (a labile and a stable part) and more alpha turn
dextrin into fermentable sugar or into a limit dextrin that is closed to them. Enzymes decay by Arrhenius. A
two-stage scheme refitted to published attenuation limits (Chandrasekhar in Wray 2014, ale practice), the
survival of beta-amylase (Muller 1990), and the onset of conversion (Rittenauer 2021); the maximum at 65 °C of
mashes finished at 74 °C (Evans 2012) falls out of it and was not fitted. Good for differences between
schedules (2 points); the level itself is good to 4 points at 62-72 °C. Not in it: pH, thickness, limit
dextrinase, very long mashes.
"""

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

GRAIN_DISPLACEMENT = 0.67  # L that a kg of grain takes up in the mash
MASH_FREE = 0.05  # share of the mash tun left free where liquor or a batch is said to fit; common practice
CARAMEL_LIMIT = 0.60  # apparent attenuation limit of the extract of caramel malt (from memory)
ROAST_LIMIT = 0.55  # and of roasted malt and grain (from memory)
FINE_CRUSH = 0.0116  # 1/s, rate of gelatinisation; a coarse crush 0.002-0.004
REAL_PER_APPARENT = 0.8192

_STARCH = 0.80  # share of a full extract that comes from starch
_SUGAR = 0.10  # share of it that is fermentable before the mash begins
_HYDRATION = 1.055  # mass of fermentable sugar from a mass of starch: water is taken up
_DEXTRIN_HYDRATION = 1.01
_FULL_HYDRATION = 1.045  # starch product of the usual full mash

_SMALL = 0.08
OPENS_AT, _LARGE_WIDTH = 57.9, 1.45  # °C at which half of the large granules of malt gelatinise
_SMALL_AT, _SMALL_WIDTH = 66.0, 1.8
_K1, _U = 0.0167, 0.130
_K2, _V = 5.3e-4, 0.317
_KB, _Y = 0.0105, 0.751
_BETA_ZERO = 8.7
_INVERSE_65 = 1.0 / 338.15
_ALPHA_WORK = 60e3 / 8.314462618
_ALPHA_DECAY, _ALPHA_DECAY_WORK = 1.60e-4, 224.2e3 / 8.314462618
_BETA_DECAY, _BETA_DECAY_WORK = 1.24e-3, 410.7e3 / 8.314462618
_OPENS = 55.0, 63.0  # °C between which most of the starch gelatinises
_STABLE, _STABLE_RATE = 0.07, 0.0209


class Stretch(NamedTuple):
    """A stretch of the mash: so many minutes from one temperature evenly to another.

    kept is the share of the mash that is not boiled at its start: a decoction comes back with its starch
    gelatinised and without enzymes.
    """

    minutes: float
    start: float
    end: float
    kept: float = 1.0


class Conversion(NamedTuple):
    """What a mash makes of malt starch.

    dissolved: share of the starch in solution; limit: apparent attenuation limit of the wort; real_limit: the
    same, real; unconverted: share of the dissolved starch that still stains with iodine; beta and alpha:
    share of the enzymes left; sugar: share of all the starch that became fermentable sugar.
    """

    dissolved: float
    limit: float
    real_limit: float
    unconverted: float
    alpha: float
    beta: float
    sugar: float


def stretches(rests: Sequence[tuple[float, float]], ramp: float = 1.0) -> tuple[Stretch, ...]:
    """A schedule from rests (°C, minutes), joined by ramps of so many K/min; a ramp of 0 or less is a jump.
    Starts at the first rest."""
    found: list[Stretch] = []
    last: float | None = None
    for celsius, minutes in rests:
        if last is not None and ramp > 0.0 and celsius != last:
            found.append(Stretch(abs(celsius - last) / ramp, last, celsius))
        found.append(Stretch(minutes, celsius, celsius))
        last = celsius
    return tuple(found)


@lru_cache(maxsize=512)
def convert(
    schedule: tuple[Stretch, ...],
    enzymes: float = 1.0,
    crush: float = FINE_CRUSH,
    gelatinises_higher: float = 0.0,
) -> Conversion:
    """Run the enzyme scheme over a schedule.

    enzymes: those of the grist beside base malt's (0-1 and above for a rich malt); crush:
    rate of gelatinisation (1/s); gelatinises_higher: K above the usual malt. Temperatures outside 0-105 °C
    count as the edge, stretches over 24 h as 24 h. An empty schedule dissolves nothing. Within 0.3 points of
    an adaptive solver. Remembered for the last 512 schedules.
    """
    large, small = 1.0 - _SMALL, _SMALL
    soluble = dextrin = limit_dextrin = sugar = 0.0
    alpha, labile, stable = 1.0, 1.0 - _STABLE, _STABLE
    for stretch in schedule:
        if stretch.kept < 1.0:
            kept = max(stretch.kept, 0.0)
            soluble += (1.0 - kept) * (large + small)
            large, small, alpha, labile, stable = (
                large * kept,
                small * kept,
                alpha * kept,
                labile * kept,
                stable * kept,
            )
        before = -1.0
        fresh = soluble + dextrin + sugar < 0.5
        for seconds, celsius in _steps(stretch, fresh):
            if celsius != before:  # what depends on the temperature alone is kept over a rest
                before = celsius
                alpha_rate, beta_rate, alpha_work, beta_work = _enzyme_rates(celsius)
                large_left, small_left = _ungelatinised(celsius - gelatinises_higher)
            # Enzymes: exact decay; the sugars see the mean over the step.
            alpha, alpha_mean = _decay(alpha, alpha_rate * seconds)
            labile, labile_mean = _decay(labile, beta_rate * seconds)
            stable, stable_mean = _decay(stable, _STABLE_RATE * beta_rate * seconds)
            cut = _K1 * enzymes * alpha_work * alpha_mean
            by_alpha = _K2 * enzymes * alpha_work * alpha_mean
            by_beta = _KB * enzymes * beta_work * (labile_mean + stable_mean)
            # Starch: granules -> soluble -> dextrin, a chain of three rates, solved exactly for the step.
            swelling = math.exp(-crush * seconds)
            over_large = large - large_left if large > large_left else 0.0
            over_small = small - small_left if small > small_left else 0.0
            opened = (over_large + over_small) * (1.0 - swelling)
            large -= over_large * (1.0 - swelling)
            small -= over_small * (1.0 - swelling)
            soluble_now, dextrin_now = _chain(
                over_large + over_small, soluble, dextrin, crush, cut, by_alpha + by_beta, seconds, swelling
            )
            cut_now = soluble + opened - soluble_now
            soluble = soluble_now
            spent = dextrin + (1.0 - _U) * cut_now - dextrin_now
            dextrin = dextrin_now
            beta_spent = spent * by_beta / (by_alpha + by_beta) if by_alpha + by_beta > 0.0 else 0.0
            sugar += _U * cut_now + _V * (spent - beta_spent) + _Y * beta_spent
            limit_dextrin += (1.0 - _V) * (spent - beta_spent) + (1.0 - _Y) * beta_spent
    return _outcome(soluble, dextrin, limit_dextrin, sugar, alpha, labile + stable)


def _enzyme_rates(celsius: float) -> tuple[float, float, float, float]:
    """Decay of alpha and of beta (1/s), and the work of each against 65 °C."""
    inverse = 1.0 / (celsius + 273.15) - _INVERSE_65
    return (
        _ALPHA_DECAY * math.exp(-_ALPHA_DECAY_WORK * inverse),
        _BETA_DECAY * math.exp(-_BETA_DECAY_WORK * inverse),
        math.exp(-_ALPHA_WORK * inverse),
        max(celsius - _BETA_ZERO, 0.0) / (65.0 - _BETA_ZERO),
    )


def _ungelatinised(celsius: float) -> tuple[float, float]:
    """Starch that stays closed however long it is held at a temperature, in large and in small granules."""
    return (
        (1.0 - _SMALL) / (1.0 + math.exp((celsius - OPENS_AT) / _LARGE_WIDTH)),
        _SMALL / (1.0 + math.exp((celsius - _SMALL_AT) / _SMALL_WIDTH)),
    )


def _steps(stretch: Stretch, fresh: bool) -> list[tuple[float, float]]:
    """Seconds and temperature of each step.

    Short at first, when the mash is far from settled, then longer; on a ramp short where fresh starch opens.
    """
    total = min(max(stretch.minutes, 0.0), 1440.0) * 60.0
    start = min(max(stretch.start, 0.0), 105.0)
    end = min(max(stretch.end, 0.0), 105.0)
    if total < 1e-6:
        return []  # a microsecond changes nothing but the rounding
    found: list[tuple[float, float]] = []
    if start == end:
        done, step = 0.0, 20.0
        while total - done > 1.5 * step:
            found.append((step, start))
            done += step
            step *= 1.45
        found.append((total - done, start))
        return found
    marks = [start]
    if fresh:
        low, high = min(start, end), max(start, end)
        marks += sorted([mark for mark in _OPENS if low < mark < high], reverse=start > end)
    marks.append(end)
    for one, other in pairwise(marks):
        opens = fresh and _OPENS[0] < 0.5 * (one + other) < _OPENS[1]
        kelvins, seconds = (0.5, 30.0) if opens else (2.0, 120.0)
        time = total * (other - one) / (end - start)
        count = min(max(math.ceil(abs(other - one) / kelvins), math.ceil(time / seconds), 1), 120)
        width = (other - one) / count
        found += [(time / count, one + (i + 0.5) * width) for i in range(count)]
    return found


def _decay(level: float, x: float) -> tuple[float, float]:
    """Level after a decay of x (rate times time), and its mean on the way."""
    if x < 1e-7:
        return level, level
    left = level * math.exp(-x)
    return left, (level - left) / x


def _chain(
    granules: float,
    soluble: float,
    dextrin: float,
    g: float,
    p: float,
    q: float,
    seconds: float,
    swelling: float,
) -> tuple[float, float]:
    """Soluble starch and dextrin after a step of the chain granules -g-> soluble -p-> dextrin (less u) -q->
    gone, all rates constant.
    """
    # Two equal rates have another closed form; moving one by a millionth changes nothing and spares it.
    if abs(p - g) < 1e-6 * g:
        p = g * 1.000001
    if abs(q - g) < 1e-6 * g:
        q = g * 0.999999
    if abs(q - p) < 1e-6 * p:
        q = p * 0.999998
    left = math.exp(-p * seconds)
    gone = math.exp(-q * seconds)
    c = g * granules / (p - g)
    soluble_now = soluble * left + c * (swelling - left)
    made = p * (1.0 - _U)
    dextrin_now = dextrin * gone
    if p != q:
        dextrin_now += made * (soluble - c) * (left - gone) / (q - p)
    dextrin_now += made * c * (swelling - gone) / (q - g)
    return soluble_now, dextrin_now


def _outcome(
    soluble: float, dextrin: float, limit_dextrin: float, sugar: float, alpha: float, beta: float
) -> Conversion:
    dissolved = soluble + dextrin + limit_dextrin + sugar
    product = _HYDRATION * sugar + _DEXTRIN_HYDRATION * (dextrin + limit_dextrin + soluble)
    extract = _STARCH * product / _FULL_HYDRATION + 1.0 - _STARCH
    real = (_STARCH * _HYDRATION * sugar / _FULL_HYDRATION + _SUGAR) / extract
    unconverted = soluble / dissolved if dissolved > 0.0 else 0.0
    return Conversion(dissolved, real / REAL_PER_APPARENT, real, unconverted, alpha, beta, sugar)


def extract_share(conversion: Conversion, starch: float = _STARCH) -> float:
    """Share of a malt's full extract that a mash has won: what enzymes have cut of its starch, and all the rest.

    starch: share of the full extract that comes from starch. What has swollen and was never cut is paste, which stays
    in the grain.
    """
    cut = conversion.dissolved * (1.0 - conversion.unconverted)
    product = _HYDRATION * conversion.sugar + _DEXTRIN_HYDRATION * (cut - conversion.sugar)
    return starch * product / _FULL_HYDRATION + 1.0 - starch


def blended_limit(parts: Iterable[tuple[float, float]]) -> float:
    """Attenuation limit of a wort from several sorts of malt.

    The mean of (extract kg, limit), weighted by extract; 0 without extract.

    Of malt and what is mashed with it; for sugar see fermentation.ferment(). Source of the default classes:
    from memory.
    """
    rows = list(parts)
    extract = math.fsum(row[0] for row in rows)
    return math.fsum(row[0] * row[1] for row in rows) / extract if extract > 0.0 else 0.0


def mash_volume(liquor: float, grain: float) -> float:
    """Room that a mash takes (L): liquor and 0.67 L for each kg of grain. Published as 0.32 qt/lb."""
    return liquor + GRAIN_DISPLACEMENT * grain


def mash_thickness(liquor: float, grain: float) -> float:
    """Liquor to grain (L/kg); practical 2-4. Raises ValueError without grain."""
    if grain <= 0.0:
        raise ValueError("a mash has grain in it")
    return liquor / grain


def liquor_that_fits(capacity: float, grain: float, free: float = MASH_FREE) -> float:
    """Most liquor (L) that goes into a vessel with so much grain when a share of it stays free.

    0 if the grain alone is too much.
    """
    return max(capacity * (1.0 - free) - GRAIN_DISPLACEMENT * grain, 0.0)
