"""Water: the ions of blends with salts and acids in them, for the mash and the sparge; alkalinity and charge.

Ions mg/L, alkalinity and other equivalents mEq/L, carbon mmol/L, volumes L, salts g. What an analysis leaves
out is NaN in here, so that whatever rests on it is lost and nothing else; what leaves this module for a reader
is a value, or None and a reason in words. What the mash makes of its liquor is in ``mash_ph``.
"""

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from recipelint.brewing.acids import ACIDS, CARBONIC, LN10, TYPICAL_PH, Acid, Found, charge

UNKNOWN = math.nan
CALCIUM, MAGNESIUM, SODIUM, POTASSIUM = 20.039, 12.1525, 22.990, 39.098  # mg per mEq, from molar masses
CHLORIDE, SULPHATE, BICARBONATE, CARBONATE, HYDROXIDE = 35.453, 48.03, 61.016, 30.004, 17.007
ZINC = 32.69
CACO3 = 50.04  # mg of calcium carbonate per mEq
CALCIUM_SHARE, MAGNESIUM_SHARE = 3.5, 7.0  # equivalents that set one equivalent of acid free (Kolbach 1953)
RATIO_FLOOR = 25.0  # mg/L; with both below it sulphate to chloride says nothing; from memory
GYPSUM_LIMIT = 2.37  # g/L at 78 °C, the least between 20 and 78 °C; computed with PHREEQC
CHALK_LIMIT = 0.059  # g/L at 20 °C in water open to the air; computed with PHREEQC; 0.012 closed
CHALK_STIRRED = 0.45  # g/L; above 0.4-0.5 more chalk is of little use (Troester 2009, abstract)
CHALK_EFFECT = 0.5  # of the chalk in a mash acts, or less (reported after Troester 2009)

TRACE = 1e-6  # L; a sparge below it is none


class Liquor(NamedTuple):
    """What is in a litre. ``alkalinity`` counts bicarbonate, carbonate and hydroxide less free acid (mEq/L);
    ``carbon`` is all carbonate (mmol/L), ``anions`` what acids bring along, lactate for one (mEq/L), less zinc.
    """

    calcium: float = 0.0
    magnesium: float = 0.0
    sodium: float = 0.0
    potassium: float = 0.0
    chloride: float = 0.0
    sulphate: float = 0.0
    alkalinity: float = 0.0
    carbon: float = 0.0
    anions: float = 0.0


class Source(NamedTuple):
    """One water of a blend, and where it is written."""

    at: str
    liquor: Liquor
    share: float = 1.0


class Salt(NamedTuple):
    """Salt (g), its ions as shares of its weight; ``where`` is mash, sparge, liquor (all of it) or boil."""

    at: str
    where: str
    grams: float
    ions: Mapping[str, float]


class Treatment(NamedTuple):
    """``parts`` sum to the mash liquor without its acids; ``astray`` are doses for a liquor there is none of."""

    mash: Liquor
    sparge: Liquor | None
    whole: Liquor
    parts: tuple[tuple[str, Liquor], ...]
    acids: tuple[Acid, ...]
    astray: tuple[str, ...]


def liquor_of(
    calcium: float | None = None,
    magnesium: float | None = None,
    sodium: float | None = None,
    chloride: float | None = None,
    sulphate: float | None = None,
    bicarbonate: float | None = None,
    alkalinity: float | None = None,
) -> Liquor:
    """An analysis as printed: mg/L, ``alkalinity`` mg/L as calcium carbonate. None: the analysis leaves it out.

    Alkalinity is what is titrated and wins over a bicarbonate beside it. It is taken as bicarbonate, which
    holds below pH 8.3; potassium, seldom printed and a few mg/L, as none.
    """
    if alkalinity is not None:
        base = alkalinity / CACO3
    else:
        base = UNKNOWN if bicarbonate is None else bicarbonate / BICARBONATE
    got = [UNKNOWN if ion is None else ion for ion in (calcium, magnesium, sodium, chloride, sulphate)]
    return Liquor(got[0], got[1], got[2], 0.0, got[3], got[4], base, base)


def per_gram(ions: Mapping[str, float], grams: float = 1.0) -> Liquor:
    """What 1 g, or so many, of a salt brings to 1 L, all of it dissolved.

    ``ions`` are shares of the weight; other names are passed over. A mole of carbonate takes up two of acid,
    hydroxide one and brings no carbon dioxide.
    """
    get = ions.get
    mg = 1000.0 * grams
    bicarbonate = mg * get("bicarbonate", 0.0) / BICARBONATE
    carbonate = mg * get("carbonate", 0.0) / CARBONATE
    return Liquor(
        mg * get("calcium", 0.0),
        mg * get("magnesium", 0.0),
        mg * get("sodium", 0.0),
        mg * get("potassium", 0.0),
        mg * get("chloride", 0.0),
        mg * get("sulphate", 0.0),
        bicarbonate + carbonate + mg * get("hydroxide", 0.0) / HYDROXIDE,
        bicarbonate + 0.5 * carbonate,
        -mg * get("zinc", 0.0) / ZINC,
    )


def scaled(liquor: Liquor, times: float) -> Liquor:
    """The same, so many times as strong. Nothing of an unknown water is nothing."""
    if times == 1.0:
        return liquor
    return Liquor(*[ion * times for ion in liquor]) if times else Liquor()


def known(value: float) -> float | None:
    """An ion, or None where the analysis leaves it out."""
    return None if math.isnan(value) else value


def total(parts: Sequence[Liquor]) -> Liquor:
    """What parts of one litre bring together; exact to rounding whatever their order."""
    return Liquor(*map(math.fsum, zip(*parts, strict=True))) if parts else Liquor()


def shares_of(written: Sequence[float | None]) -> list[float]:
    """Shares of a blend that sum to one: those not written take what is left, evenly; others are scaled."""
    if len(written) == 1:  # as nearly everywhere
        return [1.0]
    open_ = sum(share is None for share in written)
    said = math.fsum(share for share in written if share is not None)
    rest = max(1.0 - said, 0.0) / open_ if open_ else 0.0
    shares = [rest if share is None else share for share in written]
    whole = math.fsum(shares)
    return [share / whole if whole > 0.0 else 1.0 / len(shares) for share in shares]


def blend(parts: Sequence[tuple[Liquor, float]]) -> Liquor:
    """A mixture by volume (any unit). An ion that one of the waters leaves out is unknown in the mixture.

    Raises ValueError if a volume is negative or all are zero.
    """
    whole = math.fsum(volume for _liquor, volume in parts)
    if whole <= 0.0 or any(volume < 0.0 for _liquor, volume in parts):
        raise ValueError("a blend needs volumes above zero")
    return total([scaled(liquor, volume / whole) for liquor, volume in parts])


def dissolved(ions: Mapping[str, float], grams_per_litre: float, acid: bool) -> float:
    """Share of a salt that counts. ``acid``: in mash or wort, else in the liquor itself.

    Gypsum goes to its solubility. Chalk in plain liquor too, and of what is stirred into a mash half acts, up to
    0.45 g/L; reports run from nearly nothing to half, so alkalinity from chalk is the least sure of all.
    """
    if grams_per_litre <= 0.0 or "calcium" not in ions:
        return 1.0
    if "carbonate" in ions:
        if acid:
            return CHALK_EFFECT * min(1.0, CHALK_STIRRED / grams_per_litre)
        return min(1.0, CHALK_LIMIT / grams_per_litre)
    return min(1.0, GYPSUM_LIMIT / grams_per_litre) if "sulphate" in ions else 1.0


def with_salts(liquor: Liquor, salts: Sequence[Salt], volume: float, acid: bool = False) -> Liquor:
    """A liquor (L) with salts in it, all of them whatever their ``where``. Linear in the weight up to
    solubility. Raises ValueError if the volume is not above zero."""
    if volume <= 0.0:
        raise ValueError("salts need a volume above zero")
    return total([liquor, *(_part(salt, salt.grams / volume, acid) for salt in salts)])


def _part(salt: Salt, concentration: float, acid: bool) -> Liquor:
    return per_gram(salt.ions, concentration * dissolved(salt.ions, concentration, acid))


def salt_needed(mg_per_litre: float, share: float, volume: float) -> float:
    """Grams of a salt that raise one of its ions (share of its weight) so far in a volume (L)."""
    return mg_per_litre * volume / (1000.0 * share)


def acid_needed(liquor: Liquor, volume: float, ph: float) -> float:
    """mEq of acid that bring a liquor (L) to a pH, no carbon dioxide lost; below zero if it lies there already.

    Of bicarbonate 90 % is gone at pH 5.4 and 78 % at 5.8 (PHREEQC: 90.3 and 78.5). NaN if alkalinity is.
    """
    return volume * (liquor.alkalinity - liquor.carbon * charge(CARBONIC, ph)[0] + free_acid(ph)[0])


def free_acid(ph: float) -> tuple[float, float]:
    """Free acid less free base (mEq/L), and its fall per unit of pH."""
    acid, base = 10.0 ** (3.0 - ph), 10.0 ** (ph - 11.0)
    return acid - base, LN10 * (acid + base)


def hardness(liquor: Liquor) -> float:
    """Calcium and magnesium, mg/L as calcium carbonate."""
    return CACO3 * (liquor.calcium / CALCIUM + liquor.magnesium / MAGNESIUM)


def residual_alkalinity(liquor: Liquor) -> float:
    """mEq/L; times 50.04 it is mg/L as calcium carbonate. Alkalinity - Ca/3.5 - Mg/7.

    Kolbach measured cooled, boiled wort of 12 °P. In a mash the two divisors depend on the malt (Barth and
    Zaman 2015), and the pH also on thickness: a sign of where the mash goes, no measure of its pH.
    """
    return liquor.alkalinity - set_free(liquor)


def set_free(liquor: Liquor) -> float:
    return liquor.calcium / CALCIUM / CALCIUM_SHARE + liquor.magnesium / MAGNESIUM / MAGNESIUM_SHARE


def charges(liquor: Liquor) -> tuple[float, float]:
    """Positive and negative charge, mEq/L. They agree in a complete and correct analysis."""
    positive = (
        liquor.calcium / CALCIUM
        + liquor.magnesium / MAGNESIUM
        + liquor.sodium / SODIUM
        + liquor.potassium / POTASSIUM
    )
    negative = liquor.chloride / CHLORIDE + liquor.sulphate / SULPHATE + liquor.alkalinity + liquor.anions
    return positive, negative


def imbalance(liquor: Liquor) -> Found:
    """Charge that does not balance as a share of all charge, above zero if anions lack.

    Common practice takes an analysis within 0.05 as sound. None for an incomplete one; 0 for empty water.
    """
    why = lacking(liquor, ("calcium", "magnesium", "sodium", "chloride", "sulphate", "alkalinity"))
    if why:
        return None, why
    positive, negative = charges(liquor)
    whole = abs(positive) + abs(negative)
    return ((positive - negative) / whole if whole > 0.0 else 0.0), ""


def lacking(liquor: Liquor, names: Sequence[str]) -> str:
    gone = [name for name in names if math.isnan(getattr(liquor, name))]
    if not gone:
        return ""
    listed = gone[0] if len(gone) == 1 else f"{', '.join(gone[:-1])} and {gone[-1]}"
    return f"the water does not give its {listed}"


def found(liquor: Liquor, stat: str) -> Found:
    """A stat of the water by name: an ion, bicarbonate, alkalinity and residual_alkalinity (mg/L as calcium
    carbonate), hardness, or sulphate_chloride_ratio. Raises AttributeError for other names.

    Bicarbonate is alkalinity in its words, lime included; none where acid has used it up.
    """
    if stat == "residual_alkalinity":
        why = lacking(liquor, ("calcium", "magnesium", "alkalinity"))
        return (None, why) if why else (CACO3 * residual_alkalinity(liquor), "")
    if stat == "hardness":
        why = lacking(liquor, ("calcium", "magnesium"))
        return (None, why) if why else (hardness(liquor), "")
    if stat == "sulphate_chloride_ratio":
        return _ratio(liquor)
    ion = "alkalinity" if stat == "bicarbonate" else stat
    value: float = getattr(liquor, ion)
    if math.isnan(value):
        return None, lacking(liquor, (ion,))
    if stat == "bicarbonate":
        return max(value, 0.0) * BICARBONATE, ""
    return value * (CACO3 if stat == "alkalinity" else 1.0), ""


def _ratio(liquor: Liquor) -> Found:
    why = lacking(liquor, ("chloride", "sulphate"))
    if why:
        return None, why
    if max(liquor.chloride, liquor.sulphate) < RATIO_FLOOR:
        return None, "sulphate and chloride are both below 25 mg/L, so that their ratio says nothing"
    if liquor.chloride <= 0.0:
        return None, "there is no chloride to compare the sulphate with"
    return liquor.sulphate / liquor.chloride, ""


def _acid_part(acid: Acid, volume: float) -> Liquor:
    meq = acid.millimoles * charge(ACIDS[acid.kind].pkas, TYPICAL_PH)[0] / volume
    if ACIDS[acid.kind].ready is not None:
        return Liquor(chloride=0.5 * meq * CHLORIDE, sulphate=0.5 * meq * SULPHATE, alkalinity=-meq)
    return Liquor(alkalinity=-meq, anions=meq)


def _is_astray(where: str, sparge: float) -> bool:
    return where not in ("mash", "liquor", "boil") and not (where == "sparge" and sparge > 0.0)


def mash_parts(
    sources: Sequence[Source], strike: float, sparge: float, salts: Sequence[Salt], acids: Sequence[Acid]
) -> tuple[tuple[tuple[str, Liquor], ...], tuple[Acid, ...]]:
    """What sums to the mash liquor without its acids, line by line, and the acid that goes into the mash.

    For ``treat``, and for those who ask for the mash alone. Raises ValueError without strike liquor.
    """
    if strike <= 0.0 or sparge < 0.0:
        raise ValueError("there is no mash liquor")
    shares = {"mash": 1.0, "liquor": strike / (strike + (sparge if sparge > TRACE else 0.0))}
    parts = [(source.at, scaled(source.liquor, source.share)) for source in sources]
    parts += [
        (salt.at, _part(salt, salt.grams * shares[salt.where] / strike, True))
        for salt in salts
        if salt.where in shares
    ]
    sour = [
        acid._replace(millimoles=acid.millimoles * shares[acid.where])
        for acid in acids
        if acid.where in shares
    ]
    return tuple(parts), tuple(sour)


def treat(
    sources: Sequence[Source], strike: float, sparge: float, salts: Sequence[Salt], acids: Sequence[Acid]
) -> Treatment:
    """The liquor of the mash, of the sparge, and both together with what goes into the kettle.

    strike and sparge L. A dose for ``liquor`` spreads over both evenly. Shares of the sources are as
    ``shares_of`` gives them. Acid takes its worth at pH 5.4 off the alkalinity. ``whole`` is told per litre of
    liquor, before the boil makes it stronger. Not in it: chalk that falls out where lime meets bicarbonate.
    Raises ValueError without strike liquor.
    """
    mash, sour = mash_parts(sources, strike, sparge, salts, acids)
    sparge = sparge if sparge > TRACE else 0.0
    both = strike + sparge
    rinse = [part for _at, part in mash[: len(sources)]]
    kettle: list[Liquor] = []
    # Where a dose reaches the sparge, the litres that it is spread over.
    rinsed = {"sparge": sparge, "liquor": both} if sparge else {}
    for salt in salts:
        if salt.where in rinsed:
            rinse.append(_part(salt, salt.grams / rinsed[salt.where], False))
        elif salt.where == "boil":
            kettle.append(_part(salt, salt.grams / both, True))
    for acid in acids:
        if acid.where in rinsed:
            rinse.append(_acid_part(acid, rinsed[acid.where]))
        elif acid.where == "boil":
            kettle.append(_acid_part(acid, both))
    astray = [salt.at for salt in salts if _is_astray(salt.where, sparge)]
    astray += [acid.at for acid in acids if _is_astray(acid.where, sparge)]
    in_mash = total([*(part for _at, part in mash), *(_acid_part(acid, strike) for acid in sour)])
    in_sparge = total(rinse) if sparge else None
    whole = total(
        [scaled(in_mash, strike / both), *([scaled(in_sparge, sparge / both)] if in_sparge else ()), *kettle]
    )
    return Treatment(in_mash, in_sparge, whole, mash, sour, tuple(astray))
