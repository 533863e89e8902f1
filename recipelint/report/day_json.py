"""The brew day's tables as JSON: each rest, each addition of hops, and the fermentation event by event."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from recipelint.brewing.brew import Brew
    from recipelint.brewing.contact import Contact
    from recipelint.brewing.path import Path
    from recipelint.brewing.stations import HopFact, RestFact
    from recipelint.brewing.yeast import Band


def day_tree(brew: Brew) -> dict[str, Any]:
    """What stands beside the stats of a recipe. Litres, °C, minutes, hours, SG and shares; ``path`` is the line."""
    return {
        "rests": [_rest(fact) for fact in brew.rests],
        "hops": [_hop(fact) for fact in brew.hops],
        "fermentation": _way(brew.way),
        "contact": [_contact(one) for one in brew.contacts],
    }


def _round(value: float | None, digits: int) -> float | None:
    if value is None or not math.isfinite(value):
        return None
    return round(value, digits) + 0.0  # no -0.0


def _rest(fact: RestFact) -> dict[str, Any]:
    """The limit moves by so much (a fraction) for a minute and for a kelvin more of this rest."""
    step = fact.step
    return {
        "path": step.at,
        "by": step.by,
        "temperature": _round(step.target, 1),
        "reached": _round(step.reached, 1),
        "minutes": _round(step.rest, 1),
        "heating_minutes": _round(step.ramp, 1),
        "liquor": _round(step.liquor, 2),
        "liquor_temperature": _round(step.liquor_at, 1),
        "pulled_share": _round(step.pulled.share if step.pulled is not None else None, 3),
        "thickness": _round(step.thickness, 3),
        "limit_per_minute": _round(fact.per_minute, 5),
        "limit_per_kelvin": _round(fact.per_kelvin, 4),
    }


def _hop(fact: HopFact) -> dict[str, Any]:
    return {
        "path": fact.at,
        "stage": fact.stage,
        "bitterness": _round(fact.ibu, 1),
        "utilisation": _round(fact.utilisation, 4),
    }


def _contact(one: Contact) -> dict[str, Any]:
    """What lies in the beer: grams in a litre of it, and hours."""
    tree: dict[str, Any] = {
        "path": one.at,
        "name": one.name,
        "sort": one.sort or None,
        "dose": _round(one.dose, 2),
        "hours": _round(one.hours, 1),
        "before_package": _round(one.left, 1),
    }
    return tree | ({"why": one.why} if one.hours is None else {})


def _way(way: Path | None) -> list[dict[str, Any]]:
    if way is None:
        return []
    events = [
        {
            "event": event.what,
            "path": event.at or None,
            "hours": _band(event.hours, 0),
            "before": _round(event.before.value, 4),
            "after": _round(event.after.value, 4),
        }
        for event in way.events
    ]
    missed = [
        {"event": "missed", "path": one.at, "lowest": _round(one.lowest, 4), "why": one.why}
        for one in way.missed
    ]
    return [*events, *missed]


def _band(band: Band, digits: int) -> dict[str, Any]:
    return {
        "value": _round(band.value, digits),
        "low": _round(band.low, digits),
        "high": _round(band.high, digits),
    }
