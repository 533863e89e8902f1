"""Bitterness: what hops give in the boil, in the hot stand after it, and in the cold.

Times min, gravities SG, temperatures °C, alpha acids as a fraction of the hop's weight, concentrations mg/L
of cooled wort, IBU. All three boil models were made on small brewings; for a hoppy strong ale none is better
than +-20 %. Sources: tests/check_values/wort-and-beer.yaml.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

RATE = 0.04  # 1/min, of Tinseth's curve
SCALE = 4.15  # Tinseth's divisor, meant to be tuned to a brewhouse
SOLUBLE_ALPHA = 240.0  # mg/L; more alpha than this does not all dissolve, and linear models read high
FORM_FACTORS = {"cone": 1.0, "pellet": 1.10, "concentrated pellet": 1.10, "extract": 1.10}
FIRST_WORT_FACTOR = 1.0  # on the full boil; 1.0-1.1 is claimed
# On the full boil: of their alpha, mash hops gave 9.1 % to commercial wort and hops boiled for 60 min 44 %.
# Source: J. Justus, MBAA Technical Quarterly 55(3), 2018, abstract.
MASH_FACTOR = 9.1 / 44.0
DRY_HOP_PH = 0.14 / 3.9  # rise of pH for a g/L of dry hops

_KELVIN = 273.15
# Gauss-Legendre, eight points on 0-1
_NODES = (
    (0.019855071751231912, 0.050614268145188532),
    (0.10166676129318664, 0.11119051722668721),
    (0.2372337950418355, 0.15685332293894344),
    (0.40828267875217511, 0.18134189168918083),
    (0.59171732124782483, 0.18134189168918083),
    (0.7627662049581645, 0.15685332293894344),
    (0.89833323870681336, 0.11119051722668721),
    (0.98014492824876809, 0.050614268145188532),
)
_COLD = 35.0  # °C; below it the rate is under 0.5 %


class Cooling(NamedTuple):
    """A stretch of the hot stand.

    So many minutes from start towards ambient (°C) at a rate (1/min); a rate of 0 holds the heat.
    """

    minutes: float
    start: float
    ambient: float
    rate: float


class Exposure(NamedTuple):
    """What a hot stand is worth to hops.

    Minutes of boil it equals, and the same weighted with Tinseth's fading rate.
    """

    minutes: float
    weighted: float


def alpha_added(weight: float, alpha: float, volume: float) -> float:
    """Alpha acids (mg/L) that so much hop (kg) brings to so much cooled wort (L).

    Raises ValueError without a volume.
    """
    if volume <= 0.0:
        raise ValueError("the volume must be above zero")
    return weight * alpha * 1e6 / volume


def dissolved_alpha(added: float) -> float:
    """Alpha acids (mg/L) that dissolve of what is added.

    All up to about 240, then 490 (1 - exp(-0.0028 added)). Source: HOSOM14.

    A later fit of the same author has 200 as the edge and 580 as the ceiling; others give 200 (Maule) and 300
    (Spetsig).
    """
    return min(added, 490.0 * (1.0 - math.exp(-0.00280 * added)))


def tinseth_gravity_factor(sg: float) -> float:
    """Tinseth's loss to strong wort.

    1.65 x 0.000125^(SG - 1); 1 at 1.0557. Measured losses from 1.050 to 1.120 differ by +-20 %.
    """
    return float(1.65 * 0.000125 ** (sg - 1.0))


def tinseth(minutes: float, sg: float) -> float:
    """Utilisation (fraction) of hops boiled so long in wort of this gravity, the mean over the boil.

    Table 0-120 min, 1.030-1.120, met within 0.0005 in every cell; above 1.130 it is an extrapolation. Whole
    cones, wort chilled at once: on 18 beers with many late hops it was 30 IBU off (RMS) without a term for
    the stand, 16 with it. Source: G. Tinseth 1997, table in SBTEACH-H.
    """
    return tinseth_gravity_factor(sg) * (1.0 - math.exp(-RATE * minutes)) / SCALE


def tinseth_rate(minutes: float, sg: float) -> float:
    """Growth of Tinseth's utilisation (1/min) after so many minutes."""
    return tinseth_gravity_factor(sg) * RATE * math.exp(-RATE * minutes) / SCALE


def tinseth_with_stand(minutes: float, sg: float, exposure: Exposure) -> float:
    """Utilisation (fraction) of hops boiled so long and then left in a hot stand.

    0 minutes for hops that go in after the boil.

    Adds the integral of tinseth_rate x relative_rate over the stand. Hops that went in later keep their own
    clock: give the exposure from the moment they went in. Source: HOSOM06; his rule of a full rate in the
    first five minutes is left out.
    """
    factor = tinseth_gravity_factor(sg) / SCALE
    boiled = math.exp(-RATE * minutes)
    return factor * (1.0 - boiled + RATE * boiled * exposure.weighted)


def relative_rate(celsius: float) -> float:
    """Rate at which bitterness forms over that at a boil: 2.39e11 exp(-9773/T), 1 at most.

    0.70 at 95 °C, 0.49 at 90, 0.23 at 80, 0.10 at 70. Measured 90-130 °C, below that an extrapolation.
    Source: HOSOM10, after MALOWICKI.
    """
    return min(1.0, 2.39e11 * math.exp(-9773.0 / (celsius + _KELVIN)))


def stand_exposure(stand: Sequence[Cooling]) -> Exposure:
    """What a hot stand is worth, stretch after stretch in time.

    Held stretches in closed form, cooling ones by quadrature (1e-4).

    A cooling stretch is followed down to 35 °C, where the rate is under 0.5 %, or to within a degree of what
    cools it.
    """
    minutes = 0.0
    weighted = 0.0
    elapsed = 0.0
    for part in stand:
        if part.minutes <= 0.0:
            continue
        if part.rate <= 0.0 or part.start == part.ambient:
            rate = relative_rate(part.start)
            minutes += rate * part.minutes
            weighted -= rate * math.exp(-RATE * elapsed) * math.expm1(-RATE * part.minutes) / RATE
        else:
            more = _cooling_exposure(part)
            minutes += more[0]
            weighted += more[1] * math.exp(-RATE * elapsed)
        elapsed += part.minutes
    return Exposure(minutes, weighted)


def _cooling_exposure(part: Cooling) -> tuple[float, float]:
    # Over the temperature, not the time: the rate is smooth there however fast the wort cools. y is the share
    # of the drop still to come.
    drop = part.start - part.ambient
    if drop <= 0.0 or part.start <= _COLD:
        return 0.0, 0.0
    lowest = min((max(part.ambient + 1.0, _COLD) - part.ambient) / drop, 1.0)
    span = min(-math.expm1(-part.rate * part.minutes), 1.0 - lowest)
    floor = part.ambient + _KELVIN
    fade = RATE / part.rate
    minutes = 0.0
    weighted = 0.0
    for node, weight in _NODES:
        y = 1.0 - span * node
        rate = 2.39e11 * math.exp(-9773.0 / (floor + drop * y))
        share = weight * (rate if rate < 1.0 else 1.0) / y
        minutes += share
        weighted += share * y**fade
    scale = span / part.rate
    minutes *= scale
    weighted *= scale
    followed = -math.log1p(-span) / part.rate
    left = part.minutes - followed
    if left > 1e-9 and part.ambient >= _COLD - 1.0:
        rate = relative_rate(part.ambient)
        minutes += rate * left
        weighted -= rate * math.exp(-RATE * followed) * math.expm1(-RATE * left) / RATE
    return minutes, weighted


def rager_gravity_term(sg: float) -> float:
    """Rager's GA: (SG - 1.050) / 0.2 above 1.050, else 0.

    The article prints 0.050 for 1.050. Source: SZYMCZAK.
    """
    return max(sg - 1.050, 0.0) / 0.2


def rager(minutes: float, sg: float) -> float:
    """Utilisation (fraction) by Rager's curve: (18.11 + 13.86 tanh((t - 31.32) / 18.27)) % / (1 + GA).

    0-90 min. Up to a point off his own table (at 41-45 min). It gives hops at flame-out 5 %. Source:
    RAGER-ROB.
    """
    return (18.11 + 13.86 * math.tanh((minutes - 31.32) / 18.27)) / 100.0 / (1.0 + rager_gravity_term(sg))


GARETZ_TABLE = (
    (10.0, 0.0), (13.0, 2.0), (18.0, 5.0), (23.0, 8.0), (28.0, 11.0), (33.0, 14.0), (38.0, 16.0),
    (43.0, 18.0), (48.0, 19.0), (55.5, 20.0), (65.5, 21.0), (75.5, 22.0), (85.5, 23.0),
)  # fmt: skip


def garetz(minutes: float, sg: float) -> float:
    """Utilisation (fraction) by Garetz's table before the hop-rate term, over the gravity term of Rager.

    The table (from memory) has steps; here it runs straight between the middles of its bins, nothing up to 10
    min, 23 % from 86 on. Average yeast, and the altitude by altitude_factor(), not by his own term.
    """
    share = 0.0
    last, before = GARETZ_TABLE[0]
    if minutes > last:
        share = GARETZ_TABLE[-1][1]
        for at, there in GARETZ_TABLE:
            if minutes <= at:
                share = before + (there - before) * (minutes - last) / (at - last)
                break
            last, before = at, there
    return share / 100.0 / (1.0 + rager_gravity_term(sg))


def garetz_hop_rate(ibu: float) -> float:
    """Garetz's hop-rate term: 1 + IBU / 260. Source: LEMONS."""
    return 1.0 + ibu / 260.0


def garetz_ibu(uncorrected: float) -> float:
    """IBU of the whole beer after Garetz's hop-rate term: the x that solves x (1 + x / 260) = uncorrected."""
    return 130.0 * (math.sqrt(1.0 + uncorrected / 65.0) - 1.0)


def isomerisation_rate(celsius: float) -> float:
    """Rate (1/min) of alpha acid to iso-alpha acid: 7.9e11 exp(-11858/T), measured 90-130 °C at pH 5.2.
    Source: MALOWICKI."""
    return 7.9e11 * math.exp(-11858.0 / (celsius + _KELVIN))


def degradation_rate(celsius: float) -> float:
    """Rate (1/min) at which iso-alpha acid breaks down.

    4.1e12 exp(-12994/T), 90-130 °C. Source: MALOWICKI.
    """
    return 4.1e12 * math.exp(-12994.0 / (celsius + _KELVIN))


def iso_alpha_share(minutes: float, celsius: float) -> float:
    """Share of the alpha acid that is iso-alpha acid after so many minutes at a temperature.

    In buffer; nothing lost to trub or yeast.

    0-10 °P of sugar, pH 4.8-6.0 and calcium made no difference. Source: MALOWICKI.
    """
    k1 = isomerisation_rate(celsius)
    k2 = degradation_rate(celsius)
    return k1 / (k2 - k1) * (math.exp(-k1 * minutes) - math.exp(-k2 * minutes))


def altitude_factor(minutes: float, boils_at: float) -> float:
    """Iso-alpha acid formed at a local boiling point over that at 100 °C, for a boil of so many minutes.

    1 from 100 °C up.

    0.95 at 305 m, 0.74 at 1609 m for 60 min; rules in circulation say 0.65-0.83 at 1750 m. Source: MALOWICKI.
    """
    if boils_at >= 100.0:
        return 1.0
    if minutes < 1e-6:
        return isomerisation_rate(boils_at) / isomerisation_rate(100.0)
    return iso_alpha_share(minutes, boils_at) / iso_alpha_share(minutes, 100.0)


def loss_from_index(storage_index: float) -> float:
    """Share of alpha acid lost at a hop storage index.

    1.10 log10(HSI / 0.25), 0-1. Source: HOSOM11, GARETZ-BT.
    """
    return min(max(1.10 * math.log10(storage_index / 0.25), 0.0), 1.0) if storage_index > 0.0 else 0.0


def storage_temperature_factor(celsius: float) -> float:
    """How fast hops age over 20 °C: half for each 15 °C colder. Source: GARETZ-BT."""
    return float(2.0 ** ((celsius - 20.0) / 15.0))


def alpha_left(half_year_loss: float, days: float, celsius: float = 20.0, packing: float = 1.0) -> float:
    """Share of the alpha acid left after storage.

    half_year_loss is the variety's loss in six months (180 days) at 20 °C in the open (fraction); packing 1
    open, 0.75 sealed, 0.5 vacuum or inert gas (from memory). In a year at 20 °C pellets are 10-20 % weaker, and
    cones may have nothing left. Source: GARETZ-BT, COLBY.
    """
    kept = 1.0 - min(max(half_year_loss, 0.0), 0.999)
    return float(kept ** (days / 180.0 * storage_temperature_factor(celsius) * packing))


def dry_hop_ph_rise(grams_per_litre: float) -> float:
    """Rise of the beer's pH with dry hops: 0.14 for 3.9 g/L, linear. Source: MAYE."""
    return DRY_HOP_PH * grams_per_litre


def dry_hop_ibu(alpha_mg_per_litre: float, oxidised: float = 0.02) -> float:
    """What a laboratory reads more in IBU after dry hopping, from the oxidised alpha acids alone (2 % of the
    alpha when fresh).

    Measured, hardly tasted, and partly undone where iso-alpha acids are stripped above 25 IBU: a figure for a
    note, not for the total. Source: HOSOM11.
    """
    return alpha_mg_per_litre * oxidised * 0.9155 * 51.2 / 69.68
