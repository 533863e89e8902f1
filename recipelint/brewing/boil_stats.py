"""Stats of the boil and of the hops: how strong and how hot it boils, and what dissolves."""

from __future__ import annotations

import math
from collections.abc import Callable

from recipelint.brewing import bitterness, boil, dms, hopping
from recipelint.brewing.gravity import plato_from_sg
from recipelint.brewing.inputs import DRY_HOPPED, dry_hop_loss
from recipelint.brewing.plan import GRAIN_KEYS
from recipelint.brewing.process import Run
from recipelint.brewing.stand import stand_of
from recipelint.brewing.stations import Found, Parts


def _boil_gravity(run: Run) -> Found:
    """Mean gravity over the boil, which is what the bitterness is reckoned with."""
    if run.kettle.volume <= 0.0:
        return None, "there is no wort", ()
    return hopping.bitter(run).boil_gravity, "", ()


SYRUP = 80.0  # °P; a kettle on paper can hold more extract than water, and no wort does


def boils_at(run: Run) -> float:
    """Temperature (°C) at which this wort boils at the altitude of the brewhouse."""
    plato = plato_from_sg(hopping.bitter(run).boil_gravity) if run.kettle.volume > 0.0 else 0.0
    return boil.boiling_point(run.plan.kit.altitude, min(plato, SYRUP))


def _boiling_point(run: Run) -> Found:
    return boils_at(run), "", ()


def _boil_off_share(run: Run) -> Found:
    """Share of the wort that boils away in an hour."""
    kettle, minutes = run.kettle, run.plan.boil_minutes
    if kettle.pre_volume <= 0.0 or minutes <= 0.0:
        return None, "nothing is boiled", ()
    return run.kettle.evaporated / minutes * 60.0 / kettle.pre_volume, "", ()


def _malty(run: Run) -> bool:
    return any(line.key in GRAIN_KEYS and line.stage == "mash" for line in run.plan.lines)


def _precursor_left(run: Run) -> Found:
    """Share of the precursor of dimethyl sulphide that is left at flame-out."""
    if not _malty(run):
        return None, "nothing is mashed", ()
    return dms.precursor_left(run.plan.boil_minutes, boils_at(run)), "", ()


def _dms_at_pitching(run: Run) -> Found:
    """Dimethyl sulphide in the cold wort, as a share of the precursor before the boil; the stand drives none off."""
    if not _malty(run):
        return None, "nothing is mashed", ()
    stand = hopping.bitter(run).stand or stand_of(run)
    return dms.at_pitching(run.plan.boil_minutes, stand.stretches, boils_at(run)), "", ()


def _alpha_concentration(run: Run) -> Found:
    """Alpha acids (mg/L) brought to the wort that is in the kettle at flame-out."""
    if run.kettle.volume <= 0.0:
        return None, "there is no wort", ()
    grams = hopping.bitter(run).alpha
    return grams * 1000.0 / run.kettle.volume, "", tuple((hop.at, 0.0) for hop in run.plan.hops)


def _dry_hops(run: Run) -> Parts:
    return tuple((hop.at, hop.weight) for hop in run.plan.hops if hop.stage in DRY_HOPPED)


def _dry_hop_dose(run: Run) -> Found:
    """Grams of dry hops in a litre of what is in the fermenter."""
    volume = run.fermenter.all_volume
    if volume <= 0.0:
        return None, "there is no wort", ()
    rows = _dry_hops(run)
    total = math.fsum(row[1] for row in rows)
    parts = tuple((at, weight / total) for at, weight in rows) if total > 0.0 else ()
    return total * 1000.0 / volume, "", parts


def _dry_hop_ph(run: Run) -> Found:
    dose, why, parts = _dry_hop_dose(run)
    return (None if dose is None else bitterness.dry_hop_ph_rise(dose)), why, parts


def _dry_hop_loss(run: Run) -> Found:
    return dry_hop_loss(run.plan), "", _dry_hops(run)


FINDERS: dict[str, Callable[[Run], Found]] = {
    "boil_gravity": _boil_gravity,
    "boiling_point": _boiling_point,
    "boil_off_share": _boil_off_share,
    "dms_precursor_left": _precursor_left,
    "dms_at_pitching": _dms_at_pitching,
    "alpha_concentration": _alpha_concentration,
    "dry_hop_dose": _dry_hop_dose,
    "dry_hop_ph_rise": _dry_hop_ph,
    "dry_hop_loss": _dry_hop_loss,
}
