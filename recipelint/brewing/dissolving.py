"""What the starch of a line of the bill gives where it goes in: in the mash, in a steep of its own, in the kettle.

Temperatures °C, minutes, power °Lintner, shares fractions. The enzyme scheme stands in ``mash``; here is what a line
brings to it and takes out of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from recipelint.brewing import mash

if TYPE_CHECKING:
    from recipelint.brewing.plan import Line
    from recipelint.recipe.model import GristItem

# Mean power at which a grist converts as well as the scheme's own malt: 40 is told of a grist that converts itself in
# good time; that the enzymes fall evenly from there to nothing is from memory.
FULL_POWER = 40.0
# Share of the extract that the scheme dissolves in an hour at 65 °C: the mash that conversion figures tell of.
FULL_MASH = 0.95
STEEP_YIELD = 0.75  # share of its yield that a steeped malt gives without a mash; common practice, no source
USUAL_STEEP = 66.0, 30.0  # °C and minutes of a steep that tells neither; common practice, no source
MALT_SOLUBLE = 0.20  # share of a malt's full extract that is no starch: what the scheme takes
UNMALTED_SOLUBLE = 0.10  # and of unmalted cereal, which no malt house has made sugar of; from memory
UNMALTED = ("adjunct-raw", "adjunct-flaked", "adjunct-torrified", "roasted-unmalted")
_GRAIN = ("malt", "grain")


def enzyme_level(parts: Iterable[tuple[float, float | None]]) -> float:
    """Enzymes of a grist beside those of base malt (0-1) from weight (kg) and power (°Lintner) of all with starch.

    The mean power by weight, full from FULL_POWER on and falling evenly to nothing. Of malt whose power is not known
    it is taken that it converts like base malt. 1 for a grist without starch, which waits for no enzymes.
    """
    rows = list(parts)
    weight = math.fsum([row[0] for row in rows])
    if weight <= 0.0:
        return 1.0
    power = math.fsum([kg * (FULL_POWER if own is None else own) for kg, own in rows]) / weight
    return round(min(power / FULL_POWER, 1.0), 3)


def level_of(lines: Sequence[Line]) -> float:
    """The enzyme level of the lines that have starch."""
    return enzyme_level([(line.weight, line.lintner) for line in lines if line.starch])


def soluble(line: Line) -> float:
    """Share of the full extract of a starchy line that comes out without enzymes."""
    return UNMALTED_SOLUBLE if line.kind in UNMALTED else MALT_SOLUBLE


def opens_higher(line: Line) -> float:
    """K by which the starch of raw cereal gelatinises above that of malt: the middle of the range in the catalogue."""
    bounds = line.row.gelatinisation if line.row is not None and line.kind == "adjunct-raw" else None
    known = [bound for bound in bounds or () if bound is not None]
    return max(sum(known) / len(known) - mash.OPENS_AT, 0.0) if known else 0.0


def dissolved(line: Line, stretches: tuple[mash.Stretch, ...], enzymes: float) -> mash.Conversion:
    """What the enzyme scheme makes of the starch of a line over a schedule."""
    higher = opens_higher(line)
    if higher > 0.0:
        return mash.convert(stretches, enzymes, gelatinises_higher=higher)
    return mash.convert(stretches, enzymes)  # as nearly everywhere: one answer for all lines


def reached(line: Line, conversion: mash.Conversion) -> float:
    """Extract of a starchy line that comes into solution, of what an hour at 65 °C dissolves."""
    return min(mash.extract_share(conversion, 1.0 - soluble(line)) / FULL_MASH, 1.0)


def steep_of(item: GristItem) -> tuple[mash.Stretch, ...]:
    """A steep as a schedule; the usual one where it does not tell its heat or its time."""
    steep = item.steep
    celsius = (
        steep.temperature.value if steep is not None and steep.temperature is not None else USUAL_STEEP[0]
    )
    minutes = steep.for_.value if steep is not None and steep.for_ is not None else USUAL_STEEP[1]
    return (mash.Stretch(minutes, celsius, celsius),)


def unmashed_share(line: Line, item: GristItem, enzymes: float) -> float:
    """Share of its extract that grain outside the mash gives, beside a steeped malt without starch.

    enzymes: level of all that is steeped. In the kettle and the fermenter no enzyme works: of starchy grain only what
    dissolves by itself comes out, and of other grain what a steep gives.
    """
    if line.stage == "steep":
        return reached(line, dissolved(line, steep_of(item), enzymes)) if line.starch else 1.0
    return STEEP_YIELD * (soluble(line) if line.starch else 1.0)


def unmashed(lines: tuple[Line, ...], items: Sequence[GristItem]) -> tuple[Line, ...]:
    """The bill with the extract of grain that is not mashed cut down to what comes out of it where it goes in."""
    if all(line.stage == "mash" or line.key not in _GRAIN for line in lines):  # as nearly everywhere
        return lines
    enzymes = level_of([line for line in lines if line.stage == "steep"])
    found = []
    for line, item in zip(lines, items, strict=True):
        if line.key in _GRAIN and line.stage != "mash":
            share = unmashed_share(line, item, enzymes)
            line = line._replace(extract=line.extract * share) if share != 1.0 else line
        found.append(line)
    return tuple(found)
