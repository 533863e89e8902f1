"""How the attenuation limit moves with the minutes and the kelvins of each rest. Temperatures °C, times min."""

from __future__ import annotations

from functools import lru_cache

from recipelint.brewing.mash import FINE_CRUSH, Stretch, convert
from recipelint.brewing.mash_steps import Schedule

MOST_SLOPED = 24  # rests of a mash for which slopes are worked out: each takes four mashes


@lru_cache(maxsize=128)
def limit_slopes(
    plan: Schedule, enzymes: float = 1.0, crush: float = FINE_CRUSH
) -> tuple[tuple[float, float], ...]:
    """For each rest, how the attenuation limit moves: points for a minute more, and for a kelvin more.

    Points are per cent of apparent attenuation, of what takes part in the conversion; times its share of the extract
    for a bill with caramel or roasted malt. Central differences over 2 min and 0.5 K; ramps keep their rate. A
    rest of under a minute is taken from its own length on. () for more than MOST_SLOPED rests, of which one moves
    hardly anything. Remembered for the last 128 mashes.
    """
    if len(plan.rests) > MOST_SLOPED:
        return ()
    slopes: list[tuple[float, float]] = []
    for index in plan.rests:
        minutes = plan.stretches[index].minutes
        less = min(1.0, minutes)
        longer = convert(_longer(plan.stretches, index, 1.0), enzymes, crush).limit
        shorter = convert(_longer(plan.stretches, index, -less), enzymes, crush).limit
        hotter = convert(_hotter(plan, index, 0.25), enzymes, crush).limit
        cooler = convert(_hotter(plan, index, -0.25), enzymes, crush).limit
        slopes.append((100.0 * (longer - shorter) / (1.0 + less), 100.0 * (hotter - cooler) / 0.5))
    return tuple(slopes)


def _longer(stretches: tuple[Stretch, ...], index: int, minutes: float) -> tuple[Stretch, ...]:
    changed = list(stretches)
    changed[index] = changed[index]._replace(minutes=changed[index].minutes + minutes)
    return tuple(changed)


def _hotter(plan: Schedule, index: int, kelvins: float) -> tuple[Stretch, ...]:
    """The rest at another temperature, and the ramps beside it bent to meet it."""
    changed = list(plan.stretches)
    rest = changed[index]
    changed[index] = rest._replace(start=rest.start + kelvins, end=rest.end + kelvins)
    if index - 1 >= 0 and index - 1 not in plan.rests:
        changed[index - 1] = _bent(changed[index - 1], 0.0, kelvins)
    after = index + 1
    if after + 1 < len(changed) and after not in plan.rests and after + 1 not in plan.rests:
        # The stand while a part is boiled is at the heat of the rest before it.
        stand = changed[after]
        changed[after] = stand._replace(start=stand.start + kelvins, end=stand.end + kelvins)
        after += 1
    if after < len(changed) and after not in plan.rests:
        changed[after] = _bent(changed[after], kelvins, 0.0)
    return tuple(changed)


def _bent(ramp: Stretch, start: float, end: float) -> Stretch:
    span = abs(ramp.end - ramp.start)
    moved = ramp._replace(start=ramp.start + start, end=ramp.end + end)
    if span <= 0.0:
        return moved
    return moved._replace(minutes=ramp.minutes * abs(moved.end - moved.start) / span)
