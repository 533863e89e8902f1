"""Fermentation: alcohol, real extract, attenuation and final gravity, from one mass balance used both ways.

Gravities are apparent 20/20 °C. Alcohol and attenuation are fractions; extract is °P, per cent of the mass of
wort or beer.

The physical solution: Balling's balance of masses (2.0665 g of extract give 1 g ethanol, 0.9565 g CO2 and
0.11 g of yeast), Tabarié's rule (the gravity of a beer is that of its extract in water plus that of its
alcohol in water, less one), the OIML density of ethanol in water, and the Plato scale. Against 17 distilled
beers of 1917, OG 1.045-1.078, it reads 0.11 % vol high (sd 0.14), and 0.06 above 1.060; +-0.2 % vol is the
honest figure. Normal yeast growth is assumed: sour beers and very low attenuation break it. Sources: CUTAIA,
USDA493 and USP29 in tests/check_values/wort-and-beer.yaml; Tabarié's rule as taught in the trade.
"""

from typing import NamedTuple

from .gravity import density, plato_from_sg, sg_from_plato, sg_of

ETHANOL_DENSITY = 0.78924  # kg/L at 20 °C
EXTRACT_PER_ALCOHOL = 2.0665  # g of extract for a gram of ethanol (Balling)
LOST_PER_ALCOHOL = 1.0665  # g of it that leave the beer: 0.9565 as CO2, 0.11 as yeast
CO2_PER_ALCOHOL = 0.9565
REAL_PER_APPARENT = 0.8192  # real over apparent attenuation, the simple form of the trade

# OIML R 22 (1975), density of ethanol and water: A1-A5 and B1-B4 as printed in Directive 76/766/EEC, the rest
# from memory. The alcoholometric table of USP29 is met within 0.01 % by mass and 0.0001 SG.
_A = (
    998.20123, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388, 306287.4042,
    -613838.1234, 747017.2998, -547846.1354, 223446.0334, -39032.85426,
)  # fmt: skip
_B = (-0.20618513, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.1693540e-9, -9.9739231e-11)
_C = (
    (1.693443461530087e-1, -1.046914743455169e1, 7.196353469546523e1, -7.047478054272792e2,
     3.924090430035045e3, -1.210164659068747e4, 2.248646550400788e4, -2.605562982188164e4,
     1.852373922069467e4, -7.420201433430137e3, 1.285617841998974e3),
    (-1.193013005057010e-2, 2.517399633803461e-1, -2.170575700536993, 1.353034988843029e1,
     -5.029988758547014e1, 1.096355666577570e2, -1.422753946421155e2, 1.080435942856230e2,
     -4.414153236817392e1, 7.442971530188783),
    (-6.802995733503803e-4, 1.876837790289664e-2, -2.002561813734156e-1, 1.022992966719220,
     -2.895696483903638, 4.810060584300675, -4.672147440794683, 2.458043105903461, -5.411227621436812e-1),
    (4.075376675622027e-6, -8.763058573471110e-6, 6.515031360099368e-6, -1.515784836987210e-6),
    (-2.788074354782409e-8, 1.345612883493354e-8),
)  # fmt: skip


class Beer(NamedTuple):
    """A fermented wort.

    Gravity, alcohol by volume and by mass (fractions at 20 °C), real extract (°P, per cent of the beer's
    mass).
    """

    gravity: float
    abv: float
    abw: float
    real_extract: float


def ethanol_density(mass_share: float, celsius: float = 20.0) -> float:
    """True density (kg/m3) of ethanol in water, mass_share 0-1, -20 to 40 °C.

    The general formula of OIML R 22.

    Source: Directive 76/766/EEC with coefficients from memory as marked above; confirmed by USP29.
    """
    warmer = celsius - 20.0
    total = _horner(_A, mass_share) + warmer * _horner(_B, warmer)
    power = 1.0
    for row in _C:
        power *= warmer
        total += power * mass_share * _horner(row, mass_share)
    return total


def _horner(coefficients: tuple[float, ...], x: float) -> float:
    total = 0.0
    for c in reversed(coefficients):
        total = total * x + c
    return total


def alcohol_gravity(abv: float) -> float:
    """Apparent gravity 20/20 °C of ethanol in water, abv a fraction of the volume, 0-0.26.

    A polynomial fitted to ethanol_density; within 1e-7 of it.
    """
    v = abv
    return 1.0 + v * (
        -0.153032441
        + v
        * (
            0.220135512
            + v * (-0.709247628 + v * (4.5685548 + v * (-21.9042362 + v * (45.5727067 - 35.9304663 * v))))
        )
    )


def alcohol(original_sg: float, final_sg: float) -> Beer:
    """Alcohol and real extract of a beer from its original and its final gravity.

    Range: OG 1.010-1.150, up to 20 % vol. A final gravity at or above the original gives no alcohol. Errors:
    +-0.2 % vol. Other forms: the factor 131.25 reads 0.2 % vol low at 1.100; that of Hall 1995
    reads 0.4 % vol high at 1.070 and 1.4 at 1.120.
    """
    original = plato_from_sg(original_sg)
    if final_sg >= original_sg:
        return Beer(final_sg, 0.0, 0.0, plato_from_sg(final_sg))
    rho = density(final_sg)
    per_mass = 0.01 * rho / ETHANOL_DENSITY
    a = 0.41 * (original - plato_from_sg(final_sg))
    real = 0.0
    for _ in range(20):
        v = a * per_mass
        rest = final_sg + 1.0 - alcohol_gravity(v)
        real = plato_from_sg(rest) * density(rest) / rho
        whole = 100.0 + LOST_PER_ALCOHOL * a
        balance = 100.0 * (EXTRACT_PER_ALCOHOL * a + real) / whole
        # How fast the real extract that fits the gravity grows with the alcohol (%/%), near enough to settle
        # in three rounds.
        growth = (0.153 - 0.44 * v + 2.0 * v * v) * 258.0 * per_mass
        step = (
            (balance - original)
            * whole
            / (100.0 * (EXTRACT_PER_ALCOHOL + growth) - LOST_PER_ALCOHOL * balance)
        )
        a -= step
        if -1e-6 < step < 1e-6:
            break
    return Beer(final_sg, a * per_mass, a * 0.01, real)


def ferment(original_sg: float, fermented: float) -> Beer:
    """The beer that a wort becomes when so much of its extract (fraction by mass) is consumed.

    alcohol() the other way round.

    fermented counts what turns into ethanol, CO2 and yeast: 1 for a wort of sugar alone, 0 for lactose; a mix
    is the mean weighted by extract. Consistent with alcohol() to 1e-8 SG. Range as there.
    """
    original = plato_from_sg(original_sg)
    consumed = original * fermented
    ethanol = consumed / EXTRACT_PER_ALCOHOL
    mass = 100.0 - LOST_PER_ALCOHOL * ethanol  # of the beer from 100 g of wort
    abw = ethanol / mass
    extract = (original - consumed) / mass
    # What stands above water grows with the density of the beer, which is the unknown: a Newton step on that.
    gravity = 1.0 + (original_sg - 1.0) * (1.0 - 1.2 * fermented)
    for _ in range(12):
        rho = density(gravity)
        found = sg_of(extract * rho, 1.0) + alcohol_gravity(abw * rho / ETHANOL_DENSITY) - 1.0
        change = (found - gravity) / (1.0 - (found - 1.0) / gravity)
        gravity += change
        if -1e-7 < change < 1e-7:
            break
    return Beer(gravity, abw * density(gravity) / ETHANOL_DENSITY, abw, 100.0 * extract)


def fermented_share(original_sg: float, final_sg: float) -> float:
    """Share of the extract (by mass) that was consumed on the way from one gravity to the other.

    0 for a wort of water.
    """
    original = plato_from_sg(original_sg)
    if original <= 0.0:
        return 0.0
    a = 100.0 * alcohol(original_sg, final_sg).abw
    return EXTRACT_PER_ALCOHOL * a / (100.0 + LOST_PER_ALCOHOL * a) * 100.0 / original


def fermentability(apparent: float, original_sg: float) -> float:
    """Share of the extract (by mass) consumed when a wort of this gravity attenuates by so much (apparent,
    fraction).

    Turns a culture's or a mash's attenuation into what ferment() counts. Close to 0.82 of the apparent
    figure, a little more for strong wort: the real share is measured here on masses, not on per cent of two
    different liquids.
    """
    if apparent <= 0.0:
        return 0.0
    return fermented_share(original_sg, sg_from_plato(plato_from_sg(original_sg) * (1.0 - apparent)))


def apparent_attenuation(original_sg: float, final_sg: float) -> float:
    """Apparent attenuation (fraction).

    Fall of the apparent extract over the original extract; 0 for water.
    """
    original = plato_from_sg(original_sg)
    return (original - plato_from_sg(final_sg)) / original if original > 0.0 else 0.0


def real_attenuation(original_sg: float, final_sg: float) -> float:
    """Real attenuation (fraction).

    Original less real extract, both °P, over original; 0 for water. 0.80 to 0.81 of the apparent.
    """
    original = plato_from_sg(original_sg)
    return (original - alcohol(original_sg, final_sg).real_extract) / original if original > 0.0 else 0.0


def apparent_from_real(real: float) -> float:
    """Apparent attenuation of a malt wort from its real attenuation, by the trade's factor 0.8192 (0.81 in
    one standard).

    A rule for quoting limits; the beer itself is computed by ferment(), which puts it at 0.805 to 0.802.
    Source: Balling's ratio, as quoted in the trade.
    """
    return real / REAL_PER_APPARENT


def gravity_at(original_sg: float, apparent: float) -> float:
    """Gravity when a wort has attenuated by so much (apparent, fraction)."""
    return sg_from_plato(plato_from_sg(original_sg) * (1.0 - apparent))


def beer_volume(wort_volume: float, original_sg: float, beer: Beer) -> float:
    """Volume (L at 20 °C) that so much wort has as beer.

    The CO2 and the yeast are gone, the density is another.
    """
    ethanol = plato_from_sg(original_sg) * fermented_from(original_sg, beer) / EXTRACT_PER_ALCOHOL
    mass = wort_volume * density(original_sg) * (1.0 - 0.01 * LOST_PER_ALCOHOL * ethanol)
    return mass / density(beer.gravity)


def fermented_from(original_sg: float, beer: Beer) -> float:
    """Share of the extract (by mass) that was consumed to make this beer; 0 for a wort of water."""
    original = plato_from_sg(original_sg)
    a = 100.0 * beer.abw
    return (
        EXTRACT_PER_ALCOHOL * a / (100.0 + LOST_PER_ALCOHOL * a) * 100.0 / original if original > 0.0 else 0.0
    )
