"""The yeast of one recipe: cells wanted and pitched, what feeds it, the heat it gives.

Cells in billions, rates million/mL/°P, heat MJ, concentrations mg/L. Figures of yeast scatter by factors, so their
bands are those of ``yeast``; each moves with one group of uncertain inputs.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from recipelint.brewing import feeding, yeast
from recipelint.brewing.gravity import sg_of_masses
from recipelint.brewing.inputs import FERMENT_HEAT, NITROGEN, OXYGEN, PITCH_WANTED, YEAST_CELLS
from recipelint.brewing.plan import Plan, days_between, kilograms
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found
from recipelint.brewing.yeast import Band
from recipelint.recipe.model import Culture
from recipelint.recipe.quantity import Quantity

UNTOLD_HEAT = 20.0  # °C of the wort at pitching where nothing is written
COUNTED = 0.18  # relative half-width of a count under the microscope; from memory


def moved(band: Band, x: float) -> float:
    """The value of a band when its group stands at x of its 90 % half-width: cells, oxygen, heat, never below 0."""
    return max(band.value + x * (band.high - band.value if x > 0.0 else band.value - band.low), 0.0)


def band_of(quantity: Quantity | None, spread: float = 0.0) -> Band | None:
    """A written quantity as a band: its own sides, else a relative spread around it."""
    if quantity is None:
        return None
    low = quantity.low if quantity.low is not None else quantity.value * (1.0 - spread)
    high = quantity.high if quantity.high is not None else quantity.value * (1.0 + spread)
    return Band(quantity.value, low, high)


def amount_of(plan: Plan, item: Culture) -> yeast.Amount:
    """What a line of the yeast says, as the equations take it."""
    starter = item.starter
    days = None
    if item.age is not None:
        days = item.age.value / 24.0
    elif item.packed is not None and plan.recipe.brew_date is not None:
        days = max(days_between(item.packed, plan.recipe.brew_date), 0.0)
    return yeast.Amount(
        form=item.form or "",
        cells=band_of(item.cells, COUNTED),
        packs=item.packs,
        pack=item.pack.value if item.pack is not None else None,
        weight=kilograms(item.weight, plan.wish) if item.weight is not None else None,
        volume=item.volume.value if item.volume is not None else None,
        density=band_of(item.density, COUNTED),
        viability=band_of(item.viability),
        days=days,
        rehydrated=item.rehydrated,
        starter=None
        if starter is None or starter.volume is None
        else yeast.Starter(
            starter.volume.value,
            starter.gravity.value if starter.gravity is not None else yeast.STARTER_GRAVITY,
            starter.stirred,
            starter.settled,
        ),
    )


def pitched(plan: Plan) -> tuple[Band | None, str]:
    """Living cells that go in at pitching, all cultures together, or None with the reason."""
    found: list[Band] = []
    for item, pitch in zip(plan.recipe.yeast, plan.cultures, strict=True):
        if pitch.stage != "pitch":
            continue
        cells = yeast.pitched(amount_of(plan, item))
        if cells is None:
            return None, f"how much {pitch.name} goes in is not written"
        found.append(cells.cells)
    if not found:
        return None, "no culture is named"
    value = math.fsum(each.value for each in found)
    low = math.sqrt(math.fsum((each.value - each.low) ** 2 for each in found))
    high = math.sqrt(math.fsum((each.high - each.value) ** 2 for each in found))
    return Band(value, value - low, value + high), ""


def gravity_at_pitching(run: Run) -> float | None:
    """What the hydrometer shows when the yeast goes in; None where there is no wort."""
    station = run.fermenter
    if station.pitch_extract + station.pitch_water <= 0.0 or station.pitch_volume <= 0.0:
        return None
    return sg_of_masses(station.pitch_extract, station.pitch_water)


def wanted_rate(run: Run) -> tuple[Band | None, str]:
    """Rate to pitch at, by the first culture and the gravity; the brewer's own wins."""
    gravity = gravity_at_pitching(run)
    if gravity is None:
        return None, "there is no wort"
    for item, pitch in zip(run.plan.recipe.yeast, run.plan.cultures, strict=True):
        if pitch.stage != "pitch":
            continue
        own = band_of(item.pitch_rate)
        kind = (pitch.row.kind or "") if pitch.row is not None else ""
        rate = yeast.rate_wanted(kind, gravity, own)
        if rate is not None:
            return rate, ""
        return None, "no rate is agreed on for such a culture" if pitch.known else "the culture is not known"
    return None, "no culture is named"


def _cells_wanted(run: Run) -> Found:
    rate, why = wanted_rate(run)
    gravity = gravity_at_pitching(run)
    if rate is None or gravity is None:
        return None, why, ()
    band = yeast.cells_wanted(run.fermenter.pitch_volume, gravity, rate)
    return moved(band, run.x[PITCH_WANTED]), "", ()


def _cells_pitched(run: Run) -> Found:
    band, why = pitched(run.plan)
    if band is None:
        return None, why, ()
    return moved(band, run.x[YEAST_CELLS]), "", tuple((item.at, 0.0) for item in run.plan.recipe.yeast)


def _pitch_rate(run: Run) -> Found:
    cells, why, parts = _cells_pitched(run)
    gravity = gravity_at_pitching(run)
    if cells is None or gravity is None:
        return None, why or "there is no wort", ()
    rate = yeast.pitch_rate(Band(cells, cells, cells), run.fermenter.pitch_volume, gravity)
    return (None, "the wort has no gravity", ()) if rate is None else (rate.value, "", parts)


def _heat(run: Run) -> Found:
    if run.beer.fermented is None:
        return None, run.beer.why, ()
    heat = feeding.heat_of_fermentation(run.beer.fermented * run.fermenter.all_extract)
    return moved(heat, run.x[FERMENT_HEAT]), "", ()


def _amino_nitrogen(run: Run) -> Found:
    """Free amino nitrogen (mg/L) at pitching: sugar and unmalted grain bring none."""
    gravity = gravity_at_pitching(run)
    if gravity is None:
        return None, "there is no wort", ()
    whole = malted = 0.0
    for line, extract in zip(run.plan.lines, run.extracts(), strict=True):
        if line.stage in ("ferment", "condition", "package"):
            continue
        whole += extract
        malted += extract if line.key in ("malt", "extract") else 0.0
    if whole <= 0.0:
        return None, "the bill brings no extract", ()
    return moved(feeding.amino_nitrogen(gravity, malted / whole), run.x[NITROGEN]), "", ()


def _amino_nitrogen_wanted(run: Run) -> Found:
    station = run.fermenter
    if station.all_extract + station.all_water <= 0.0:
        return None, "there is no wort", ()
    original = sg_of_masses(station.all_extract, station.all_water)
    return feeding.amino_nitrogen_wanted(original), "", ()


def _oxygen(run: Run) -> Found:
    """Oxygen (mg/L) that the written doses leave in the wort."""
    recipe = run.plan.recipe
    gravity = gravity_at_pitching(run)
    if gravity is None:
        return None, "there is no wort", ()
    if not recipe.oxygen:
        return None, "no oxygen is written", ()
    total = 0.0
    for dose in recipe.oxygen:
        minutes = dose.for_.value if dose.for_ is not None else None
        given = feeding.oxygen_given(
            dose.dose or "", minutes, run.fermenter.pitch_volume, pitching_heat(run.plan), gravity
        )
        if given is None:
            return None, "a dose of oxygen says too little", ()
        total += moved(given, run.x[OXYGEN])
    return total, "", tuple((dose.at, 0.0) for dose in recipe.oxygen)


def _oxygen_wanted(run: Run) -> Found:
    gravity = gravity_at_pitching(run)
    first = next((pitch for pitch in run.plan.cultures if pitch.stage == "pitch"), None)
    if gravity is None or first is None:
        return None, "no culture is named" if gravity is not None else "there is no wort", ()
    kind = (first.row.kind or "") if first.row is not None else ""
    return feeding.oxygen_wanted(kind, gravity).value, "", ()


def pitching_heat(plan: Plan) -> float:
    """Temperature (°C) of the wort at pitching: written with the culture, else of the first step."""
    for item in plan.recipe.yeast:
        if item.pitched_at is not None:
            return item.pitched_at.value
    for step in plan.recipe.fermentation:
        if step.temperature is not None:
            return step.temperature.value
    return UNTOLD_HEAT


FINDERS: dict[str, Callable[[Run], Found]] = {
    "cells_wanted": _cells_wanted,
    "cells_pitched": _cells_pitched,
    "pitch_rate": _pitch_rate,
    "heat_of_fermentation": _heat,
    "amino_nitrogen": _amino_nitrogen,
    "amino_nitrogen_wanted": _amino_nitrogen_wanted,
    "oxygen": _oxygen,
    "oxygen_wanted": _oxygen_wanted,
}
