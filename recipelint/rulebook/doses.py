"""How much of an addition is usual, and how much of it a recipe takes.

The data (``rules/doses.yaml``) is read only for recipes that have additions.
"""

from typing import Any, NamedTuple

from recipelint.recipe import shipped
from recipelint.recipe.model import AdditionItem
from recipelint.rulebook.slips import amount_slip


class Dose(NamedTuple):
    """An addition per litre, in ``unit`` (g/L, mL/L or count/L), beside its usual range if that is known."""

    dose: float | None
    low: float | None
    high: float | None
    unit: str
    ratio: float | None
    slip: str


def judged(ident: str) -> bool:
    """Whether a usual dose of the addition is known that others can be held against."""
    usual: dict[str, Any] | None = shipped.store("doses").get(ident)
    return usual is not None and bool(usual.get("judged", True))


def dose_of(item: AdditionItem, ident: str, beer: float | None, liquor: float | None) -> Dose:
    """The dose of an item; ``beer`` and ``liquor`` are litres into the fermenter and litres of brewing
    liquor.
    """
    usual: dict[str, Any] | None = shipped.store("doses").get(ident)
    unit = (
        str(usual["unit"]) if usual else "mL/L" if item.volume is not None and item.weight is None else "g/L"
    )
    litres = (liquor or beer) if usual and usual["per"] == "liquor" else beer
    amount = _amount(item, unit, usual or {})
    per_litre = _written_per_litre(item)
    if per_litre is not None and unit in ("g/L", "mL/L"):
        dose: float | None = per_litre
        amount = per_litre * litres if litres else None
    else:
        dose = amount / litres if amount is not None and litres else None
    low, high = _range(item, usual)
    ratio = slip = None
    if dose is not None and low is not None and high is not None and litres:
        ratio = dose / high if dose > high else dose / low if dose < low else 1.0
        slip = _slip(amount, low * litres, high * litres, unit) if ratio > 2.0 or ratio < 0.5 else ""
    return Dose(dose, low, high, unit, ratio, slip or "")


def _amount(item: AdditionItem, unit: str, usual: dict[str, Any]) -> float | None:
    """Grams, millilitres or pieces, as the unit asks."""
    each = usual.get("each_g")
    if unit == "count/L":
        if item.count is not None:
            return item.count
        return item.weight.value * 1000.0 / each if item.weight is not None and each else None
    if unit == "mL/L":
        return item.volume.value * 1000.0 if item.volume is not None else None
    if item.weight is not None:
        return item.weight.value * 1000.0
    return item.count * each if item.count is not None and each else None


def _written_per_litre(item: AdditionItem) -> float | None:
    amount = item.weight if item.weight is not None else item.volume
    return amount.value if amount is not None and amount.kind.endswith("concentration") else None


def _range(item: AdditionItem, usual: dict[str, Any] | None) -> tuple[float | None, float | None]:
    """The usual range for the form written; for an unwritten form the widest of those known."""
    if usual is None:
        return None, None
    low, high = float(usual["low"]), float(usual["high"])
    factors: dict[str, float] = usual.get("forms", {})
    if item.form in factors:
        return low * factors[item.form], high * factors[item.form]
    if item.form is None and factors:
        every = [1.0, *factors.values()]
        low, high = low * min(every), high * max(every)
    strength = item.strength.value if item.strength is not None else None
    stock = usual.get("strength")
    if strength and stock and abs(strength - stock) > 0.005:
        for other, limits in usual.get("other_strengths", {}).items():
            if abs(float(other) - strength) <= 0.005:
                return limits[0], limits[1]
        low, high = low * stock / strength, high * stock / strength
    return low, high


def _slip(amount: float | None, low: float, high: float, unit: str) -> str:
    if amount is None:
        return ""
    if unit == "count/L":
        return amount_slip(amount, low, high, "count")
    return amount_slip(amount / 1000.0, low / 1000.0, high / 1000.0, "kg" if unit == "g/L" else "L")
