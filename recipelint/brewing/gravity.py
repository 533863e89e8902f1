"""Gravity and extract: specific gravity, degrees Plato, masses, volumes, hydrometer and refractometer.

Gravities are apparent (weighed in air), 20/20 °C. Degrees Plato are per cent of mass. Volumes are litres at
20 °C, masses kg. The sources named in the docstrings stand in full in tests/check_values/wort-and-beer.yaml.
"""

from __future__ import annotations

WATER_DENSITY = 0.998203  # kg/L at 20 °C, in vacuo
AIR_SHARE = (
    0.0012  # density of air over that of water: apparent and true gravity differ by this part of (SG - 1)
)
HOT_FACTOR = (
    0.96  # litres at 20 °C for each litre at boiling heat; water alone gives 0.9601 from 100 to 20 °C
)
SUCROSE_PPG = 46.21  # points of 1 lb of sucrose in 1 US gal of solution at 20 °C (11.486 °P, SG 1.04621)
LITRE_DEGREES_PER_PPG = 8.3454  # (1 kg/L in lb per US gal): points x gal / lb into points x L / kg
SUCROSE_LITRE_DEGREES = SUCROSE_PPG * LITRE_DEGREES_PER_PPG

# The fitted cubic misses water by 0.003 °P. The miss is added back at SG 1 and fades to nothing here.
_LIFT_END = 1.010
_LIFT_SLOPE = 1.0 / (_LIFT_END - 1.0)
_PLATO_LIFT = 616.868 - 1111.14 + 630.272 - 135.997
_SLOPE_LIFT = _PLATO_LIFT * _LIFT_SLOPE
_DENSITY_SLOPE = WATER_DENSITY * (1.0 - AIR_SHARE)  # kg/L of density for 1 of gravity
_BRIX_LIFT = 669.56218 - 1262.7794 + 775.68212 - 182.46007


def plato_from_sg(sg: float) -> float:
    """Extract (°P) of a wort of apparent gravity sg: the ASBC cubic.

    Range: fitted to a table of 1.000-1.083, within 0.02 °P of the NBS sucrose scale to 1.120, usable to 1.13.
    Below 1.010 the fit's own miss at water (-0.003 °P) is faded out, so that water is 0 °P and the curve
    rises throughout; below 1.000 the full correction stays. An apparent extract below zero is right for a
    very dry beer. Source: WIKI-BRIX. Other fits differ: 0.002 °P to 1.08; points/4 is 0.7 °P high at 1.080
    and 1.9 at 1.120.
    """
    plato = ((135.997 * sg - 630.272) * sg + 1111.14) * sg - 616.868
    if sg < _LIFT_END:
        plato += _PLATO_LIFT * ((_LIFT_END - sg) * _LIFT_SLOPE if sg > 1.0 else 1.0)
    return plato


def sg_from_plato(plato: float) -> float:
    """Apparent gravity of a wort of so many °P.

    The inverse of plato_from_sg to better than 1e-9 from -5 to 40 °P.

    A rational first guess (4e-5 off at 28 °P) and two Newton steps, written out without calls: a check of a recipe
    comes by here some fifty times.
    """
    sg = 1.0 + plato / (258.6 - 0.87955 * plato)
    for _ in (0, 1):
        slope = (407.991 * sg - 1260.544) * sg + 1111.14
        found = ((135.997 * sg - 630.272) * sg + 1111.14) * sg - 616.868  # as in plato_from_sg
        if sg < _LIFT_END:
            if sg > 1.0:
                slope -= _SLOPE_LIFT
                found += _PLATO_LIFT * ((_LIFT_END - sg) * _LIFT_SLOPE)
            else:
                found += _PLATO_LIFT
        sg -= (found - plato) / slope
    return sg


def brix_from_sg(sg: float) -> float:
    """Sucrose by mass (°Bx) of a solution of apparent gravity sg.

    The NBS cubic, range 1.000-1.179, RMS 0.0009 °Bx.

    The miss at water (-0.005 °Bx) is faded out as in plato_from_sg. Source: WIKI-BRIX.
    """
    brix = ((182.46007 * sg - 775.68212) * sg + 1262.7794) * sg - 669.56218
    if sg < _LIFT_END:
        brix += _BRIX_LIFT * ((_LIFT_END - sg) * _LIFT_SLOPE if sg > 1.0 else 1.0)
    return brix


def sg_from_brix(brix: float) -> float:
    """Apparent gravity of a sucrose solution: the inverse of brix_from_sg, for -5 to 65 °Bx."""
    sg = 1.0 + brix / (258.6 - 0.87955 * brix)
    for _ in (0, 1, 2):
        slope = (547.38021 * sg - 1551.36424) * sg + 1262.7794
        if 1.0 < sg < _LIFT_END:
            slope -= _BRIX_LIFT * _LIFT_SLOPE
        sg -= (brix_from_sg(sg) - brix) / slope
    return sg


def points(sg: float) -> float:
    """Gravity points: thousandths above water."""
    return (sg - 1.0) * 1000.0


def sg_from_points(gravity_points: float) -> float:
    """Gravity of so many points."""
    return 1.0 + gravity_points / 1000.0


def true_relative_density(sg: float) -> float:
    """Relative density in vacuo, 20/20 °C, of a liquid of apparent gravity sg.

    A hydrometer and a scale work in air and read higher by 0.0012 (SG - 1): 4e-5 at 1.040, 1.2e-4 at 1.100.
    """
    return sg - AIR_SHARE * (sg - 1.0)


def density(sg: float) -> float:
    """True density (kg/L at 20 °C) of a liquid of apparent gravity sg. A balance in air shows 0.1 % less."""
    return WATER_DENSITY * (sg - AIR_SHARE * (sg - 1.0))


def extract_per_litre(sg: float) -> float:
    """Extract (kg) in a litre of wort at 20 °C: °P times true density. Source: BRAEU-GV."""
    return plato_from_sg(sg) * 0.01 * density(sg)


def extract_mass(volume: float, sg: float) -> float:
    """Extract (kg) in so many litres (at 20 °C) of wort of gravity sg."""
    return volume * extract_per_litre(sg)


def sg_of(extract: float, volume: float) -> float:
    """Gravity of a wort that holds so much extract (kg) in so many litres at 20 °C.

    The inverse of extract_mass.

    Good to 1e-9 up to 0.42 kg/L (SG 1.155). Raises ValueError for a volume that is not above zero. A fixed
    number of points per kg reads 0.6 points high at 1.100 and 0.9 at 1.120, which is why a strong wort is
    solved for.
    """
    if volume <= 0.0:
        raise ValueError("the volume must be above zero")
    wanted = extract / volume
    sg = 1.0 + wanted * (0.38740 - 0.0122 * wanted)
    for _ in (0, 1):  # without calls, as in sg_from_plato
        plato = ((135.997 * sg - 630.272) * sg + 1111.14) * sg - 616.868
        slope = (407.991 * sg - 1260.544) * sg + 1111.14
        if sg < _LIFT_END:
            if sg > 1.0:
                slope -= _SLOPE_LIFT
                plato += _PLATO_LIFT * ((_LIFT_END - sg) * _LIFT_SLOPE)
            else:
                plato += _PLATO_LIFT
        rho = WATER_DENSITY * (sg - AIR_SHARE * (sg - 1.0))
        sg -= (plato * rho - 100.0 * wanted) / (slope * rho + plato * _DENSITY_SLOPE)
    return sg


def sg_of_masses(extract: float, water: float) -> float:
    """Gravity of a wort made of so much extract and water (kg).

    Raises ValueError if there is no mass at all.
    """
    total = extract + water
    if total <= 0.0:
        raise ValueError("a wort needs some mass")
    return sg_from_plato(100.0 * extract / total)


def volume_of_masses(extract: float, water: float) -> float:
    """Volume (L at 20 °C) of a wort made of so much extract and water (kg); 0 if there is nothing."""
    total = extract + water
    if total <= 0.0:
        return 0.0
    sg = sg_from_plato(100.0 * extract / total)
    return total / (WATER_DENSITY * (sg - AIR_SHARE * (sg - 1.0)))


def water_in(volume: float, sg: float) -> float:
    """Water (kg) in so many litres (at 20 °C) of wort of gravity sg."""
    return volume * density(sg) * (1.0 - 0.01 * plato_from_sg(sg))


def gravity_of_mix(first_volume: float, first_sg: float, second_volume: float, second_sg: float) -> float:
    """Gravity of two worts run together.

    Extract and water are added, the volume follows (it is not quite the sum).
    """
    return sg_of_masses(
        extract_mass(first_volume, first_sg) + extract_mass(second_volume, second_sg),
        water_in(first_volume, first_sg) + water_in(second_volume, second_sg),
    )


def cold_volume(hot: float) -> float:
    """Litres at 20 °C of so many litres at boiling heat. Common practice (4 %); water gives 3.99 %."""
    return hot * HOT_FACTOR


def hot_volume(cold: float) -> float:
    """Litres at boiling heat of so many litres at 20 °C."""
    return cold / HOT_FACTOR


def yield_as_is(dry_yield: float, moisture: float, fine_coarse_difference: float = 0.0) -> float:
    """Extract yield of malt as it is weighed (fraction) from its yield on dry matter.

    (dry yield - fine/coarse difference) x (1 - moisture). The difference (fraction, 0.01-0.02 where it is not
    known) is taken off only when the yield is for fine grind. Forms that subtract the moisture or divide by
    (1 + moisture) are in print too: for 78 % and 3.5 % the three give 75.3, 74.3 and 75.2 %. Source of the
    disagreement: NOONAN-BT, NOONAN-NBLB, AHB.
    """
    return (dry_yield - fine_coarse_difference) * (1.0 - moisture)


def yield_from_litre_degrees(litre_degrees: float) -> float:
    """Extract yield (fraction of the weight) of a material given in L°/kg.

    Against sucrose at 385.6 L°/kg (46.21 points x gal / lb); handbooks round to 386. Strong wort yields less:
    382.3 at 28 °P.
    """
    return litre_degrees / SUCROSE_LITRE_DEGREES


def litre_degrees_from_yield(extract_yield: float) -> float:
    """L°/kg of a material of so much extract yield (fraction of its weight)."""
    return extract_yield * SUCROSE_LITRE_DEGREES


def yield_from_ppg(ppg: float) -> float:
    """Extract yield (fraction of the weight) of a material given in points x US gal / lb.

    Source: NOONAN-BT.
    """
    return ppg / SUCROSE_PPG


def ppg_from_yield(extract_yield: float) -> float:
    """Points x US gal / lb of a material of so much extract yield (fraction of its weight)."""
    return extract_yield * SUCROSE_PPG


def first_wort_plato(extract: float, liquor: float) -> float:
    """Strength (°P) of the wort when so much extract (kg) is dissolved in so much liquor (kg).

    The moisture of the malt is not counted as liquor, as in the published case (HBT-CONV); counting it lowers
    the result by 0.1-0.3 °P.
    """
    total = extract + liquor
    return 100.0 * extract / total if total > 0.0 else 0.0


def water_density(celsius: float) -> float:
    """Density of water (kg/L), 0 to 100 °C at one atmosphere.

    Source: Kell 1975, J. Chem. Eng. Data 20, 97 (from memory).
    """
    t = celsius
    top = (
        (((-280.54253e-12 * t + 105.56302e-9) * t - 46.170461e-6) * t - 7.9870401e-3) * t + 16.945176
    ) * t + 999.83952
    return top / (1.0 + 16.879850e-3 * t) / 1000.0


def hydrometer_at(reading: float, celsius: float, calibrated_at: float = 20.0) -> float:
    """Gravity from a hydrometer reading taken at another temperature than the instrument's.

    reading x water density at the instrument's temperature / water density at the sample's. Takes wort to
    expand like water and leaves out the glass. Range 0-100 °C on paper; above 40 °C evaporation and the
    expansion of the sugar are larger than the correction's own error. Source: the table of LYONS (for a 59 °F
    instrument), met within 0.05 points.
    """
    return reading * water_density(calibrated_at) / water_density(celsius)


def refractometer_wort(brix: float, wort_correction: float = 1.04) -> float:
    """Gravity of unfermented wort from a refractometer reading (°Bx).

    The instrument's own correction is 1.04 as a rule (TERRILL), 1.00-1.06 between instruments (from memory).
    """
    return sg_from_plato(brix / wort_correction)


def refractometer_terrill_linear(initial: float, final: float) -> float:
    """Gravity of finished beer from two refractometer readings (°Bx, wort-corrected): Terrill's line.

    Data of OG 1.036-1.106 and FG 1.007-1.022. It and refractometer_novotny differ by 1 to 3 points. Source:
    TERRILL.
    """
    return 1.0 - 0.00085683 * initial + 0.0034941 * final


def refractometer_terrill_cubic(initial: float, final: float) -> float:
    """Gravity of finished beer from two refractometer readings (°Bx, wort-corrected): Terrill's cubic.

    OG 1.036-1.106, FG 1.007-1.022, apparent attenuation 73-91 %; not valid below 61 %. Source: TERRILL.
    """
    return (
        1.0
        + ((-7.28e-6 * initial + 0.00027581) * initial - 0.0044993) * initial
        + ((6.3293e-5 * final - 0.0012717) * final + 0.011774) * final
    )


def refractometer_novotny(initial: float, final: float) -> float:
    """Gravity of beer, also while it ferments, from two refractometer readings (°Bx, wort-corrected).

    Novotny's line.

    Source: NOVOTNY; its slope 0.006276 is from memory, since the page at hand prints 0.006267 (0.1 point at
    12 °Bx).
    """
    return 1.0 - 0.002349 * initial + 0.006276 * final
