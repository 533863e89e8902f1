"""The mash step by step: from the rests as written to temperatures, liquor, pulled parts, thickness and volume.

What the recipe leaves out is computed; what it writes is taken, and the step says where it would really lead and
what would have led to the rest. A step that cannot be made says so and the next one goes on as if it had been, so
that one cause is told once.

Temperatures °C, volumes L of cold liquor, masses kg, times min. Heat as in heat.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from recipelint.brewing import heat
from recipelint.brewing.heat import Vessel
from recipelint.brewing.mash import Stretch, liquor_that_fits, mash_volume
from recipelint.recipe.model import Rest
from recipelint.recipe.quantity import Quantity

INFUSION_COOLS = 2.0  # K that boiling liquor loses on its way into the mash (from memory)
MIXING = 5.0  # min until an infusion or a returned decoction is stirred in; common practice
PULLED_RATE = 2.0  # K/min at which a pulled part is brought to the boil (from memory)
PULLED_BOIL = 15.0  # min that it boils where nothing is written; common practice
MERE = 1e-6  # L/kg; less liquor is none


class Trouble(NamedTuple):
    """What cannot be, as a fact; the words for it are a rule's.

    what              value                        limit                        fits
    strike-too-hot    strike needed, °C            boiling point                liquor that would do, L
    liquor-off        liquor, °C                   the rest it cannot reach
    vessel-too-small  volume of the mash           capacity                     liquor in all that fits, L
    pull-too-large    share of the mash needed     share that can be pulled     temperature reached with it
    cooler            the rest, °C                 the mash before it, which this heating cannot cool
    too-fast          minutes written              minutes that the heating needs
    no-liquor         0                            0
    no-temperature    0                            0
    """

    what: str
    value: float = 0.0
    limit: float = 0.0
    fits: float | None = None


class MashStep(NamedTuple):
    """One rest and how the mash comes to it.

    by: strike, direct, infusion or decoction. target: as written; reached: where what is written leads (the target
    if the recipe leaves something open); end: after the rest, cooler if it is written to cool. wait: minutes that
    the mash stands at ``before`` while a part is pulled and boiled; ramp: minutes from there to the rest; rest:
    minutes of it. liquor and liquor_at: what goes in; pulled: the part boiled. needed: what leads to the target:
    °C for a strike, L for an infusion (°C if only its temperature is open), share of the volume for a decoction.
    open_: that it was left open and is computed. total: liquor in the mash; thickness and volume with it.
    """

    at: str
    by: str
    before: float | None
    target: float | None
    reached: float | None
    end: float | None
    wait: float
    ramp: float
    rest: float | None
    liquor: float
    liquor_at: float | None
    pulled: heat.Pull | None
    needed: float | None
    open_: bool
    total: float
    thickness: float
    volume: float
    troubles: tuple[Trouble, ...]


class Schedule(NamedTuple):
    """Stretches for mash.convert(), and which of them are the rests."""

    stretches: tuple[Stretch, ...]
    rests: tuple[int, ...]


class _Mash(NamedTuple):
    """The mash as a step finds it, and what is round it."""

    grain: float
    liquor: float
    vessel: Vessel
    grain_at: float
    boiling: float

    @property
    def heat(self) -> float:
        """kg of water that holds as much, walls and all."""
        return heat.mash_heat(self.grain, self.liquor, self.vessel.heat)


class _Way(NamedTuple):
    """How a step gets to its rest: what the functions below hand back."""

    reached: float | None
    needed: float | None
    open_: bool
    ramp: float
    liquor: float = 0.0
    liquor_at: float | None = None
    wait: float = 0.0
    pulled: heat.Pull | None = None
    trouble: Trouble | None = None


def mash_steps(
    rests: Sequence[Rest],
    grain: float,
    liquor: float,
    vessel: Vessel,
    grain_at: float = 18.0,
    boiling: float = 100.0,
    heating: str | None = None,
) -> tuple[MashStep, ...]:
    """Each rest of a mash: how the mash gets there, what goes in, how thick it is and what room it takes.

    grain kg at grain_at; liquor L of the strike (what infusions add comes on top); heating: for rests that do
    not say how they are reached, else direct. () without grain. A rest without a temperature has one only where
    the written liquor or pull leads to it. Not counted: heat lost over a rest (write ``from`` and ``to``), steam
    of a decoction.
    """
    if grain <= 0.0:
        return ()
    steps: list[MashStep] = []
    now: float | None = None
    total = max(liquor, 0.0)
    full = False
    for number, rest in enumerate(rests):
        by = "strike" if number == 0 else way_of(rest, heating)
        target = _value(rest.from_) if rest.from_ is not None else _value(rest.temperature)
        way = _way(by, rest, target, now, _Mash(grain, total, vessel, grain_at, boiling))
        total += way.liquor if by != "strike" else 0.0
        volume = mash_volume(total, grain)
        troubles = [] if way.trouble is None else [way.trouble]
        if way.reached is None and way.trouble is None:
            troubles.append(Trouble("no-temperature"))
        if vessel.capacity is not None and volume > vessel.capacity and not full:
            full = True
            fits = liquor_that_fits(vessel.capacity, grain)
            troubles.append(Trouble("vessel-too-small", volume, vessel.capacity, fits))
        end = _end(rest, way.reached)
        steps.append(
            MashStep(
                at=rest.at,
                by=by,
                before=now,
                target=target,
                reached=way.reached,
                end=end,
                wait=way.wait,
                ramp=way.ramp,
                rest=_value(rest.for_),
                liquor=way.liquor,
                liquor_at=way.liquor_at,
                pulled=way.pulled,
                needed=way.needed,
                open_=way.open_,
                total=total,
                thickness=total / grain,
                volume=volume,
                troubles=tuple(troubles),
            )
        )
        now = end
    return tuple(steps)


def way_of(rest: Rest, heating: str | None = None) -> str:
    """How a rest after the first is reached: as written, else as its keys tell, else as the mash says, else direct."""
    if rest.by is not None:
        return rest.by
    if rest.liquor is not None or rest.of is not None:
        return "infusion"
    if rest.pull is not None or rest.share is not None or rest.boil is not None or rest.rest is not None:
        return "decoction"
    return heating or "direct"


def _value(quantity: Quantity | None) -> float | None:
    return quantity.value if quantity is not None else None


def _end(rest: Rest, reached: float | None) -> float | None:
    if reached is None or rest.from_ is None or rest.temperature is None:
        return reached
    if reached == rest.from_.value:  # as written, without what subtraction leaves over
        return rest.temperature.value
    return reached + rest.temperature.value - rest.from_.value


def _way(by: str, rest: Rest, target: float | None, now: float | None, mash: _Mash) -> _Way:
    if by == "strike":
        return _strike(rest, target, mash)
    if now is None:
        written = _value(rest.liquor) if by == "infusion" else None
        return _Way(target, None, False, 0.0, liquor=written or 0.0)
    if by == "infusion":
        return _infusion(rest, target, now, mash)
    if by == "decoction":
        return _decoction(rest, target, now, mash)
    return _direct(rest, target, now, mash.vessel.rate)


def _strike(rest: Rest, target: float | None, mash: _Mash) -> _Way:
    grain, liquor, vessel, grain_at, boiling = mash
    if liquor <= MERE * max(grain, MERE):
        return _Way(target, None, False, 0.0, trouble=Trouble("no-liquor"))
    needed = None
    if target is not None:
        needed = heat.strike_temperature(target, liquor, grain, grain_at, vessel.heat, vessel.at)
    if rest.of is not None:
        of = rest.of.value
        reached = heat.struck_temperature(of, liquor, grain, grain_at, vessel.heat, vessel.at)
        return _Way(reached, needed, False, 0.0, liquor, of)
    trouble = None
    if needed is not None and target is not None and needed > boiling:
        fits = hot_enough(target, boiling, grain, liquor, vessel, grain_at)
        trouble = Trouble("strike-too-hot", needed, boiling, fits)
    return _Way(target, needed, True, 0.0, liquor, needed, trouble=trouble)


def hot_enough(
    target: float, liquor_at: float, grain: float, liquor: float, vessel: Vessel, grain_at: float
) -> float | None:
    """Least strike liquor (L) of liquor_at for a first rest at target; ``vessel`` is that of a mash with ``liquor`` L.

    None where no amount does.
    """
    walls_at = vessel.at if vessel.at is not None else liquor_at
    dry = vessel.heat - vessel.rises * liquor
    try:
        return heat.strike_liquor(target, liquor_at, grain, grain_at, dry, walls_at, vessel.rises)
    except ValueError:
        return None


def _infusion(rest: Rest, target: float | None, now: float, mash: _Mash) -> _Way:
    held, boiling = mash.heat, mash.boiling
    ramp = rest.over.value if rest.over is not None else MIXING
    liquor, of = _value(rest.liquor), _value(rest.of)
    if liquor is not None and of is not None:
        needed = None
        if target is not None and _between(now, target, of):
            needed = heat.infusion(target, now, held, of)
        reached = heat.infused_temperature(now, held, liquor, of)
        off = needed is None and target is not None
        trouble = Trouble("liquor-off", of, target or 0.0) if off else None
        return _Way(reached, needed, False, ramp, liquor, of, trouble=trouble)
    if target is None:
        return _Way(None, None, False, ramp, liquor or 0.0, of)
    if liquor is not None and liquor > MERE * held:
        wanted = heat.infusion_temperature(target, now, held, liquor)
        possible = min(max(wanted, 0.0), boiling)
        trouble = None if possible == wanted else Trouble("liquor-off", possible, target)
        reached = target if possible == wanted else heat.infused_temperature(now, held, liquor, possible)
        return _Way(reached, wanted, True, ramp, liquor, possible, trouble=trouble)
    if of is None:
        of = boiling - INFUSION_COOLS if target >= now else mash.grain_at
    if not _between(now, target, of):
        return _Way(target, None, True, ramp, 0.0, of, trouble=Trouble("liquor-off", of, target))
    needed = heat.infusion(target, now, held, of)
    return _Way(target, needed, True, ramp, needed, of)


def _between(now: float, target: float, liquor_at: float) -> bool:
    return now == target or now < target < liquor_at or liquor_at < target < now


def _decoction(rest: Rest, target: float | None, now: float, mash: _Mash) -> _Way:
    grain, liquor, boiling, held = mash.grain, mash.liquor, mash.boiling, mash.heat
    kind = rest.pull or "thick"
    minutes = max(boiling - now, 0.0) / PULLED_RATE
    minutes += rest.boil.value if rest.boil is not None else PULLED_BOIL
    if rest.rest is not None and rest.rest.for_ is not None:
        minutes += rest.rest.for_.value
    ramp = rest.over.value if rest.over is not None else MIXING
    needed = trouble = None
    wanted = None
    if target is not None and now <= target < boiling:
        wanted = heat.pull(kind, grain, liquor, heat.decoction_heat(target, now, held, boiling))
        needed = wanted.share
    elif target is not None:
        trouble = Trouble("cooler", target, now) if target < now else Trouble("liquor-off", boiling, target)
    most = heat.largest_pull(kind, grain, liquor)
    if rest.share is not None:
        pulled = heat.pull_of_share(kind, grain, liquor, rest.share.value)
        asked = pulled.share
    elif wanted is not None:
        pulled, asked = wanted, wanted.share
    else:
        return _Way(target, None, True, ramp, wait=0.0, trouble=trouble)
    if pulled.share > most.share * (1.0 + 1e-9):
        reached = heat.decocted_temperature(now, held, most.heat, boiling)
        trouble = trouble or Trouble("pull-too-large", asked, most.share, reached)
        pulled = most
        if rest.share is None:
            return _Way(target, needed, True, ramp, wait=minutes, pulled=pulled, trouble=trouble)
    reached = heat.decocted_temperature(now, held, pulled.heat, boiling)
    if rest.share is None and target is not None:
        reached = target
    return _Way(reached, needed, rest.share is None, ramp, wait=minutes, pulled=pulled, trouble=trouble)


def _direct(rest: Rest, target: float | None, now: float, rate: float) -> _Way:
    if target is None:
        return _Way(None, None, False, 0.0)
    least = heat.ramp_minutes(now, target, rate)
    ramp = rest.over.value if rest.over is not None else least
    if target < now:
        return _Way(target, None, False, ramp, trouble=Trouble("cooler", target, now))
    trouble = Trouble("too-fast", ramp, least) if ramp < least * (1.0 - 1e-9) else None
    return _Way(target, None, False, ramp, trouble=trouble)


def infused(steps: Sequence[MashStep]) -> float:
    """Liquor (L) that the steps after the strike add, written or computed: for the water plan."""
    return sum(step.liquor for step in steps if step.by == "infusion")


def schedule(steps: Sequence[MashStep], as_reached: bool = False) -> Schedule:
    """The steps as stretches of time and temperature for mash.convert(); empty if a rest lacks either.

    Rests are held as written, since a brewer corrects what misses; as_reached takes what the written liquor or
    pull leads to. While a part is boiled the rest of the mash stands; then the boiled part comes back without
    enzymes. Enzymes are in the liquor, so it is the liquor's share of the part that is lost to them.
    """
    found: list[Stretch] = []
    rests: list[int] = []
    last: float | None = None
    for step in steps:
        start = step.reached if as_reached or step.target is None else step.target
        if start is None or step.rest is None or step.reached is None or step.end is None:
            return Schedule((), ())
        end = step.end if start == step.reached else start + (step.end - step.reached)
        if last is not None:
            if step.wait > 0.0:
                found.append(Stretch(step.wait, last, last))
            kept = 1.0 - step.pulled.of_liquor if step.pulled is not None else 1.0
            if kept < 1.0 or last != start:
                found.append(Stretch(step.ramp, last, start, min(max(kept, 0.0), 1.0)))
        rests.append(len(found))
        found.append(Stretch(step.rest, start, end))
        last = end
    return Schedule(tuple(found), tuple(rests))


def direct_schedule(rests: Sequence[Rest], rate: float, heating: str | None = None) -> Schedule | None:
    """What schedule() makes of the steps where every rest is heated to (rate K/min), without walking them.

    None where liquor or a boiled part comes in, so that heat decides; empty if a rest lacks temperature or time.
    """
    found: list[Stretch] = []
    places: list[int] = []
    last: float | None = None
    for rest in rests:
        if rest.of is not None or (last is not None and way_of(rest, heating) != "direct"):
            return None
        if rest.temperature is None or rest.for_ is None:
            return Schedule((), ())
        end = rest.temperature.value
        start = rest.from_.value if rest.from_ is not None else end
        if last is not None and last != start:
            ramp = rest.over.value if rest.over is not None else heat.ramp_minutes(last, start, rate)
            found.append(Stretch(ramp, last, start))
        places.append(len(found))
        found.append(Stretch(rest.for_.value, start, end))
        last = end
    return Schedule(tuple(found), tuple(places))
