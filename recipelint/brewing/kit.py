"""The brewhouse as plain numbers, with a stated default for each figure that is not written.

Volumes L at 20 °C, rates L/h, absorption L/kg, times min, temperatures °C. The defaults scale with the batch,
so that the same recipe at another size meets the same kettle.
"""

from typing import NamedTuple, TypeAlias

from recipelint.recipe.model import Brewhouse
from recipelint.recipe.quantity import Quantity

# Liquor in less wort out. Drained tun 1.0 from several practitioners, bag or basket 0.8 from memory.
ABSORPTION = {"tun": 1.0, "bag": 0.8, "recirculated": 0.8}
BOIL_OFF_SHARE = 0.11  # of the batch an hour: 3.5 L/h for a kettle of 30-35 L, common practice
DEAD_SPACE_SHARE = 0.02  # of the batch; from memory
KETTLE_LOSS_PER_MALT = 0.2  # L/kg of break and dregs; a practitioner's log
LEES_SHARE = 0.04  # of the batch left under the beer; from memory
STAND = 5.0  # min between flame-out and chilling; common practice
COOLING = 20.0  # min from boiling to pitching heat; common practice
GRAIN_AT = 18.0

Assumed: TypeAlias = tuple[str, float | None]
"""What was assumed, in words with the unit, and the number if it has one."""


class Kit(NamedTuple):
    """Numbers of a brewhouse. ``loss`` and ``conversion`` are None where the process works them out."""

    kind: str
    mash_capacity: float | None
    dead_space: float
    absorption: float
    conversion: float | None
    heating_rate: float | None
    kettle_capacity: float | None
    boil_off: float
    loss: float | None
    stand: float
    cooling: float
    fermenter_capacity: float | None
    lees: float
    grain_at: float
    grain_at_given: bool
    altitude: float
    mash_efficiency: float | None
    brewhouse_efficiency: float | None
    efficiency_half: float | None
    efficiency_of: str
    boil_off_given: bool
    loss_given: bool


def _number(quantity: Quantity | None, default: float, what: str, assumed: list[Assumed]) -> float:
    if quantity is not None:
        return quantity.value
    assumed.append((what, default))
    return default


def _plain(quantity: Quantity | None) -> float | None:
    return quantity.value if quantity is not None else None


def _half(quantity: Quantity | None) -> float | None:
    if quantity is None or quantity.low is None or quantity.high is None:
        return None
    return (quantity.high - quantity.low) / 2.0


_kits: dict[tuple[int, float], tuple[Brewhouse | None, Kit, tuple[Assumed, ...]]] = {}
_KITS = 64


def kit_of(brewhouse: Brewhouse | None, wish: float, assumed: list[Assumed]) -> Kit:
    """Numbers of this brewhouse for a batch of so many litres; what is assumed is appended in words.

    Most recipes of a book share brewhouse and batch, so the last answers are kept, by identity: a brewhouse kept beside
    its kit is not forgotten, and no other can come to bear its identity.
    """
    known = _kits.get((id(brewhouse), wish))
    if known is None:
        if len(_kits) >= _KITS:
            _kits.clear()
        own: list[Assumed] = []
        kit = _kit_of(brewhouse, wish, own)
        known = _kits[id(brewhouse), wish] = brewhouse, kit, tuple(own)
    assumed.extend(known[2])
    return known[1]


def _kit_of(brewhouse: Brewhouse | None, wish: float, assumed: list[Assumed]) -> Kit:
    mash = brewhouse.mash if brewhouse else None
    kettle = brewhouse.kettle if brewhouse else None
    fermenter = brewhouse.fermenter if brewhouse else None
    efficiency = brewhouse.efficiency if brewhouse else None
    kind = (mash.kind if mash else None) or "tun"
    stated = (efficiency.mash or efficiency.brewhouse) if efficiency else None
    return Kit(
        kind=kind,
        mash_capacity=_plain(mash.capacity if mash else None),
        dead_space=_number(
            mash.dead_space if mash else None, DEAD_SPACE_SHARE * wish, "dead space (L)", assumed
        ),
        absorption=_number(
            mash.absorption if mash else None, ABSORPTION.get(kind, 1.0), "absorption (L/kg)", assumed
        ),
        conversion=_plain(mash.conversion if mash else None),
        heating_rate=_plain(mash.heating_rate if mash else None),
        kettle_capacity=_plain(kettle.capacity if kettle else None),
        boil_off=_number(
            kettle.boil_off if kettle else None, BOIL_OFF_SHARE * wish, "boil-off (L/h)", assumed
        ),
        loss=_plain(kettle.loss if kettle else None),
        stand=_number(kettle.stand if kettle else None, STAND, "stand before chilling (min)", assumed),
        cooling=_number(kettle.cooling if kettle else None, COOLING, "time to chill (min)", assumed),
        fermenter_capacity=_plain(fermenter.capacity if fermenter else None),
        lees=_number(
            fermenter.lees if fermenter else None, LEES_SHARE * wish, "beer left on the lees (L)", assumed
        ),
        grain_at=brewhouse.grain_at.value if brewhouse and brewhouse.grain_at else GRAIN_AT,
        grain_at_given=bool(brewhouse and brewhouse.grain_at),
        altitude=brewhouse.altitude.value if brewhouse and brewhouse.altitude else 0.0,
        mash_efficiency=_plain(efficiency.mash if efficiency else None),
        brewhouse_efficiency=_plain(efficiency.brewhouse if efficiency else None),
        efficiency_half=_half(stated),
        efficiency_of=(efficiency.of if efficiency and efficiency.of else "dry-yield"),
        boil_off_given=bool(kettle and kettle.boil_off),
        loss_given=bool(kettle and kettle.loss),
    )
