"""The pH of the mash: where the acid taken up equals the acid given off.

Malts by a straight buffer around the pH of their mash in distilled water (form after A. J. deLange), carbonate
and acids by their dissociation, calcium and magnesium by what they set free from malt phosphate (Kolbach 1953,
in Palmer, How to Brew, 15.3). It is the pH of a sample at room temperature, good to 0.1 even with a measured
water. Malts kg, liquor as in ``water``, acid mEq, colour °Lov.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from recipelint.brewing.acids import ACIDS, CARBONIC, Acid, charge
from recipelint.brewing.water import Liquor, free_acid, lacking, set_free, total

MASH_PH_HALF = 0.1  # half of the 90 % band: as far as models lie apart at two mEq/L of residual alkalinity
UNTOLD_SHARE = 0.05  # of the grain may be unknown, and is counted as pale malt
# mg/L beyond which Kolbach's divisors say nothing: he worked with waters, not with brine. From memory.
CALCIUM_RANGE, MAGNESIUM_RANGE = 500.0, 200.0
HOT_FALL = 0.00777  # pH per K: 0.35 lower at 65 °C, 0.45 at 78 °C than at 20 °C (Briggs 2004, as quoted)
LACTIC_ON_ACID_MALT = 333.0  # mmol/kg: 30 g/kg, of 20 to 40 in print
# Of each kind: (colour °Lov, pH in distilled water, mEq per kg and pH). Pale malt: 5.75 Kolbach, as Palmer
# quotes him; whole mashes buffer at 32 on average (as told on a brewers' forum). The others from memory.
_PALE = ((3.0, 5.75, 35.0), (9.0, 5.5, 38.0))
CLASSES: Mapping[str, tuple[tuple[float, float, float], ...]] = {
    "base-malt": _PALE,
    "acid-malt": _PALE,
    "smoked-malt": _PALE,
    "kilned-malt": ((3.4, 5.60, 36.0), (6.5, 5.50, 38.0), (9.0, 5.40, 40.0), (20.0, 5.20, 42.0)),
    "other-malted-cereal": ((3.5, 6.00, 38.0), (9.0, 5.70, 38.0)),
    "caramel-malt": ((1.6, 5.50, 45.0), (10.0, 5.30, 50.0), (60.0, 4.95, 50.0), (120.0, 4.60, 50.0)),
    "toasted-malt": ((17.0, 5.30, 42.0), (30.0, 5.10, 45.0), (60.0, 4.75, 47.0)),
    "roasted-malt": ((0.0, 4.65, 45.0),),
    "roasted-unmalted": ((0.0, 4.65, 45.0),),
    "adjunct-flaked": ((0.0, 6.00, 25.0),),
    "adjunct-torrified": ((0.0, 6.00, 25.0),),
    "adjunct-raw": ((0.0, 6.00, 25.0),),
}
_INERT = frozenset(("sugar", "extract", "fruit"))


class Malt(NamedTuple):
    """One malt in the mash: its weight (kg), the pH of its mash in distilled water, and mEq per kg and pH.

    ``lactic`` is lactic acid on the grain (mmol/kg); ``known`` is False if nothing says what malt it is.
    """

    at: str
    name: str
    weight: float
    ph: float
    buffer: float
    lactic: float = 0.0
    known: bool = True


class Term(NamedTuple):
    """Acid (mEq) that one line takes up at the pH found: above zero it raises the pH, below it lowers it."""

    at: str
    meq: float


class PhBalance(NamedTuple):
    """``buffer`` is the mEq of acid that lowers the whole mash by 1 pH."""

    ph: float | None
    why: str
    told: Callable[[], tuple[Term, ...]] = tuple  # most who ask want the pH alone
    buffer: float = 0.0
    assumed: tuple[str, ...] = ()

    @property
    def terms(self) -> tuple[Term, ...]:
        """What each line takes up at this pH; they sum to zero."""
        return self.told()


def malt_of(
    at: str,
    name: str,
    weight: float,
    kind: str,
    lovibond: float,
    stated: tuple[float | None, float | None] | None = None,
    own: bool = False,
    key: str = "malt",
) -> Malt | None:
    """A line of the mash (kg) as the balance needs it; None for what neither buffers nor sours: sugar and hulls.

    Class by kind and colour (°Lov). ``stated`` is a range of the pH of its mash in distilled water: the
    brewer's own (``own``, of a house or lot) gives its middle; one in print, which mostly speaks of a whole
    class, holds the class's value inside it. Acidulated malt is pale malt with 30 g/kg of lactic acid, which
    lowers a grist by about 0.1 for each percent of it (common practice).
    """
    if kind == "lauter-aid" or key in _INERT or weight <= 0.0:
        return None
    points = CLASSES.get(kind)
    ph, buffer = _of_colour(points or _PALE, lovibond)
    if kind == "acid-malt":
        return Malt(at, name, weight, ph, buffer, LACTIC_ON_ACID_MALT)
    known = points is not None
    if stated is not None:
        sides = [side for side in stated if side is not None]
        if own and sides:
            ph, known = math.fsum(sides) / len(sides), True
        elif sides:
            low, high = stated
            ph = ph if low is None else max(ph, low)
            ph = ph if high is None else min(ph, high)
            known = True
    return Malt(at, name, weight, ph, buffer, known=known)


def _of_colour(points: Sequence[tuple[float, float, float]], lovibond: float) -> tuple[float, float]:
    below = points[0]
    for above in points:
        if lovibond <= above[0]:
            if above[0] == below[0]:
                return above[1], above[2]
            part = (lovibond - below[0]) / (above[0] - below[0])
            return below[1] + part * (above[1] - below[1]), below[2] + part * (above[2] - below[2])
        below = above
    return below[1], below[2]


def mash_ph(
    malts: Sequence[Malt], parts: Sequence[tuple[str, Liquor]], volume: float, acids: Sequence[Acid] = ()
) -> PhBalance:
    """pH of the mash at room temperature, to 0.1 either way, and what each line has to do with it.

    ``parts`` (mg/L) sum to the mash liquor of so many L, without ``acids`` (see ``treat``). Good between pH 5
    and 6 and for 2 to 5 L/kg. Sources differ: for two mEq/L of residual alkalinity a pale mash of 3 L/kg rises
    by 0.17 after Kolbach, 0.10 after Troester (both from memory) and 0.13 here; for a fifth of dark malt it
    falls by 0.5 after Palmer and by 0.3 here. Magnesium left out of an analysis counts as none (0.03 at most).
    None, with the reason, for water without calcium or alkalinity, and for grain nobody knows. Whether the liquor is
    one that the formula was made for is asked of ``beyond``.
    """
    grain = math.fsum([malt.weight for malt in malts])
    if grain <= 0.0:
        return PhBalance(None, "there is no grain in the mash")
    if volume <= 0.0:
        return PhBalance(None, "there is no mash liquor")
    untold = [malt for malt in malts if not malt.known]
    if untold and math.fsum([malt.weight for malt in untold]) > UNTOLD_SHARE * grain:
        return PhBalance(None, f"nothing says how acid {untold[0].name} is")
    liquor = total([part for _at, part in parts])
    why = lacking(liquor, ("calcium", "alkalinity"))
    if why:
        return PhBalance(None, why)
    assumed = tuple(f"{malt.name} is as acid as pale malt" for malt in untold)
    if math.isnan(liquor.magnesium):
        assumed += ("the water has no magnesium",)
        parts = [
            (at, part._replace(magnesium=0.0) if math.isnan(part.magnesium) else part) for at, part in parts
        ]
        liquor = total([part for _at, part in parts])
    moles: dict[str, float] = {}
    for acid in acids:
        moles[acid.kind] = moles.get(acid.kind, 0.0) + acid.millimoles
    on_malt = math.fsum([malt.lactic * malt.weight for malt in malts])
    if on_malt:
        moles["lactic-acid"] = moles.get("lactic-acid", 0.0) + on_malt
    ph, buffer = _solve(malts, liquor, volume, [(ACIDS[kind].pkas, n) for kind, n in moles.items()])
    return PhBalance(ph, "", partial(_terms, malts, parts, volume, acids, ph), buffer, assumed)


def beyond(parts: Sequence[tuple[str, Liquor]]) -> str:
    """Why a liquor is past what Kolbach's divisors hold for; "" where it is not, or where its ions are not known."""
    liquor = total([part for _at, part in parts])
    for name, there, most in (
        ("calcium", liquor.calcium, CALCIUM_RANGE),
        ("magnesium", liquor.magnesium, MAGNESIUM_RANGE),
    ):
        if there > most:
            return f"{there:.0f} mg/L of {name} is past the {most:.0f} that the formula is made for"
    return ""


def _solve(
    malts: Sequence[Malt], liquor: Liquor, volume: float, acids: Sequence[tuple[tuple[float, ...], float]]
) -> tuple[float, float]:
    """The pH at which nothing is left over, and the slope there: Newton's steps, halved where they overshoot.

    What is left over falls with pH everywhere, so that there is one answer.
    """
    slope_of_malt = math.fsum([malt.weight * malt.buffer for malt in malts])
    fixed = math.fsum([malt.weight * malt.buffer * malt.ph for malt in malts])
    fixed += volume * (liquor.alkalinity - set_free(liquor))
    carbon = volume * liquor.carbon
    low, high, ph = -2.0, 16.0, 5.5
    for _round in range(60):
        held, rate = charge(CARBONIC, ph)
        free, free_rate = free_acid(ph)
        left = fixed - slope_of_malt * ph - carbon * held + volume * free
        slope = slope_of_malt + carbon * rate + volume * free_rate
        for pkas, n in acids:
            given, rate = charge(pkas, ph)
            left -= n * given
            slope += n * rate
        low, high = (ph, high) if left > 0.0 else (low, ph)
        step = left / slope
        if abs(step) < 1e-6:  # what is left after it is the square of it
            return ph + step, slope
        ph = ph + step if low < ph + step < high else 0.5 * (low + high)
    return ph, slope


def _terms(
    malts: Sequence[Malt],
    parts: Sequence[tuple[str, Liquor]],
    volume: float,
    acids: Sequence[Acid],
    ph: float,
) -> tuple[Term, ...]:
    lactic = charge(ACIDS["lactic-acid"].pkas, ph)[0]
    carbonic = charge(CARBONIC, ph)[0]
    terms = [
        Term(malt.at, malt.weight * (malt.buffer * (malt.ph - ph) - malt.lactic * lactic)) for malt in malts
    ]
    free = free_acid(ph)[0]  # all but nothing; told with the first water
    for at, part in parts:
        terms.append(Term(at, volume * (part.alkalinity - part.carbon * carbonic - set_free(part) + free)))
        free = 0.0
    terms.extend(Term(acid.at, -acid.millimoles * charge(ACIDS[acid.kind].pkas, ph)[0]) for acid in acids)
    return tuple(terms)


def hot_ph(ph: float, temperature: float) -> float:
    """What a mash of this pH at 20 °C has at another temperature (°C), to 80 °C. Limits are told at 20 °C."""
    return ph - HOT_FALL * (temperature - 20.0)
