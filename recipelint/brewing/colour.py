"""Colour of malt, wort and beer, and how it looks.

Malt colour is EBC or degrees Lovibond, beer colour SRM or EBC, masses kg, volumes L. Sources:
tests/check_values/wort-and-beer.yaml.
"""

from __future__ import annotations

import math

from .swatches import SWATCHES

EBC_PER_SRM = 1.97
SRM_PER_A430 = 12.7  # SRM is 12.7 times the absorbance at 430 nm over 1 cm, EBC 25 times
EBC_PER_A430 = 25.0
MCU_PER_METRIC = 8.3454  # kg/L in lb per US gal
MOREY_LIMIT = 50.0  # SRM; above it the formula has no data behind it

_MALT_SLOPE = 1.3546
_MALT_OFFSET = -0.76
_FAINT_EBC = 2.0  # below this the malt line would give a colourless sugar half a degree
_FAINT_RATIO = (_FAINT_EBC / EBC_PER_SRM - _MALT_OFFSET) / _MALT_SLOPE / _FAINT_EBC


def ebc_from_srm(srm: float) -> float:
    """Beer colour in EBC. Exactly 25/12.7 = 1.9685; the trade uses 1.97. Source: WIKI-SRM."""
    return srm * EBC_PER_SRM


def srm_from_ebc(ebc: float) -> float:
    """Beer colour in SRM."""
    return ebc / EBC_PER_SRM


def srm_from_absorbance(a430: float) -> float:
    """SRM from the absorbance at 430 nm over 1 cm, of beer that is clear (A700 at most 0.039 A430).

    Source: WIKI-SRM.
    """
    return SRM_PER_A430 * a430


def ebc_from_absorbance(a430: float) -> float:
    """EBC from the absorbance at 430 nm over 1 cm. Source: WIKI-SRM."""
    return EBC_PER_A430 * a430


def lovibond_from_ebc(ebc: float) -> float:
    """Degrees Lovibond of a malt from its EBC colour: 0.3747 EBC + 0.56, straight to zero below 2 EBC.

    Not EBC/1.97: that is for beer, and would count a dark malt 35 % too high. Sources: HILLY, EBC-OLD, which
    agree.
    """
    if ebc < _FAINT_EBC:
        return ebc * _FAINT_RATIO
    return (ebc / EBC_PER_SRM - _MALT_OFFSET) / _MALT_SLOPE


def ebc_from_lovibond(lovibond: float) -> float:
    """EBC colour of a malt from degrees Lovibond.

    The inverse of lovibond_from_ebc (2.669 L - 1.5 above 1.3 °L).
    """
    if lovibond < _FAINT_RATIO * _FAINT_EBC:
        return lovibond / _FAINT_RATIO
    return (_MALT_SLOPE * lovibond + _MALT_OFFSET) * EBC_PER_SRM


def malt_srm_from_lovibond(lovibond: float) -> float:
    """SRM of the laboratory wort of a malt from its degrees Lovibond: 1.3546 L - 0.76. Source: HILLY."""
    return _MALT_SLOPE * lovibond + _MALT_OFFSET


def malt_colour_units(weight_colour: float, volume: float) -> float:
    """MCU: sum of weight (kg) x colour (°L) over the volume (L), in lb °L / US gal.

    Raises ValueError without a volume.
    """
    if volume <= 0.0:
        raise ValueError("the volume must be above zero")
    return MCU_PER_METRIC * weight_colour / volume


def srm_morey(mcu: float) -> float:
    """Beer colour (SRM) by Morey: 1.4922 MCU^0.6859, for SRM below 50 (MCU below 167). +-20 %.

    A log-log fit to other formulas, not to beers. Source: MOREY. One reference prints the exponent as
    0.65896859, which reads 2-13 % low.
    """
    return 1.4922 * mcu**0.6859 if mcu > 0.0 else 0.0


def srm_daniels(mcu: float) -> float:
    """Beer colour (SRM) by Daniels.

    0.2 MCU + 8.4 for 10.5 < MCU < 37, MCU itself below. Coefficients from memory.
    """
    return mcu if mcu < 10.5 else 0.2 * mcu + 8.4


def srm_mosher(mcu: float) -> float:
    """Beer colour (SRM) by Mosher.

    0.3 MCU + 4.7, meant for MCU above 37; MCU itself where the line would be above it.

    Coefficients from memory; the letter that quotes it prints the range as below 37.
    """
    return min(mcu, 0.3 * mcu + 4.7)


def absorbance_ratio(nanometres: float) -> float:
    """Absorbance of beer at a wavelength (380-780 nm) over that at 430 nm: deLange's two exponentials.

    Mean of 99 beers, fruit beers among them, so a little red for beer of malt alone. Source: DELANGE,
    second-hand.
    """
    x = nanometres - 430.0
    return 0.02465 * math.exp(-x / 17.591) + 0.97535 * math.exp(-x / 82.122)


def transmission(srm: float, nanometres: float, path: float = 5.0) -> float:
    """Share of light of a wavelength (nm) that passes so many cm of beer (Beer-Lambert)."""
    return float(10.0 ** (-srm / SRM_PER_A430 * path * absorbance_ratio(nanometres)))


def swatch(srm: float) -> str:
    """What beer of this colour looks like, as #rrggbb: 5 cm of it in daylight, SRM 0-60, darker beer as 60.

    Between whole SRM the channels are mixed. The path matters most: 4 SRM in 5 cm looks like 20 SRM in 1 cm.
    Clear beer of malt is a little less red.
    """
    at = min(max(srm, 0.0), len(SWATCHES) - 1.0)
    low = min(int(at), len(SWATCHES) - 2)
    share = at - low
    first, second = SWATCHES[low], SWATCHES[low + 1]
    mixed = (
        round(int(first[i : i + 2], 16) * (1.0 - share) + int(second[i : i + 2], 16) * share)
        for i in (1, 3, 5)
    )
    return "#" + "".join(f"{channel:02x}" for channel in mixed)
