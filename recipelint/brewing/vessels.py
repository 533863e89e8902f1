"""The vessels: how full each gets, and the batch that they would hold. Volumes L, shares fractions."""

from __future__ import annotations

from collections.abc import Callable

from recipelint.brewing.gravity import HOT_FACTOR, WATER_DENSITY, hot_volume
from recipelint.brewing.mash import MASH_FREE
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found, VesselFact

# Share of a vessel that is left free, beside mash.MASH_FREE, where a batch is said to fit; common practice, no source.
KETTLE_FREE, FERMENTER_FREE = 0.10, 0.08


def filled_kettle(run: Run) -> float:
    """Hot volume (L) that the kettle holds at its fullest."""
    return hot_volume(max(run.kettle.pre_volume, run.kettle.volume))


def filled_fermenter(run: Run) -> float:
    """Volume (L) in the fermenter with the starter and all sugar and fruit in, without foam."""
    return run.fermenter.all_volume


def facts(run: Run) -> tuple[VesselFact, ...]:
    """The vessels whose capacity is known, with how full they get."""
    kit, house = run.plan.kit, run.plan.brewhouse
    mash = house.mash if house is not None else None
    kettle = house.kettle if house is not None else None
    fermenter = house.fermenter if house is not None else None
    rows = (
        ("mash tun", kit.mash_capacity, run.mash.mash_volume, mash),
        ("kettle", kit.kettle_capacity, filled_kettle(run), kettle),
        ("fermenter", kit.fermenter_capacity, filled_fermenter(run), fermenter),
    )
    return tuple(
        VesselFact(vessel.at if vessel is not None else "", name, capacity, filled, filled / capacity)
        for name, capacity, filled, vessel in rows
        if capacity
    )


def fill(
    filled: Callable[[Run], float], capacity: Callable[[Run], float | None], vessel: str
) -> Callable[[Run], Found]:
    """The finder of a vessel's fill."""

    def found(run: Run) -> Found:
        size = capacity(run)
        if not size:
            return None, f"the capacity of the {vessel} is not known", ()
        return filled(run) / size, "", ()

    return found


def times_that_fit(run: Run) -> tuple[tuple[str, float], ...]:
    """For each known vessel, how many times this batch it would hold with its usual share left free.

    Everything is taken to grow with the batch but what the brewhouse fixes: its boil-off and the loss in the kettle.
    """
    kit = run.plan.kit
    found: list[tuple[str, float]] = []
    if kit.mash_capacity and run.mash.mash_volume > 0.0:
        found.append(("mash tun", kit.mash_capacity * (1.0 - MASH_FREE) / run.mash.mash_volume))
    if kit.kettle_capacity:
        pre = max(run.kettle.pre_volume, run.kettle.volume)
        fixed = run.kettle.evaporated / WATER_DENSITY if kit.boil_off_given else 0.0
        fixed += kit.loss or 0.0
        room = kit.kettle_capacity * (1.0 - KETTLE_FREE) * HOT_FACTOR - fixed
        if pre > fixed:
            found.append(("kettle", max(room, 0.0) / (pre - fixed)))
    if kit.fermenter_capacity and run.fermenter.all_volume > 0.0:
        house = run.plan.brewhouse
        tube = house is not None and house.fermenter is not None and house.fermenter.blow_off
        free = 0.0 if tube else FERMENTER_FREE
        found.append(("fermenter", kit.fermenter_capacity * (1.0 - free) / run.fermenter.all_volume))
    return tuple(found)


def batch_that_fits(run: Run) -> Found:
    """The largest batch (L, counted where the recipe counts its own) that all known vessels hold."""
    times = times_that_fit(run)
    if not times or run.plan.wish <= 0.0:
        return None, "the capacity of no vessel is known", ()
    return run.plan.wish * min(each for _, each in times), "", ()


FINDERS: dict[str, Callable[[Run], Found]] = {
    "mash_fill": fill(lambda run: run.mash.mash_volume, lambda run: run.plan.kit.mash_capacity, "mash tun"),
    "kettle_fill": fill(filled_kettle, lambda run: run.plan.kit.kettle_capacity, "kettle"),
    "fermenter_fill": fill(filled_fermenter, lambda run: run.plan.kit.fermenter_capacity, "fermenter"),
    "batch_that_fits": batch_that_fits,
}
