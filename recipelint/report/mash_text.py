"""The mash rest by rest, and the ions of its liquor, as tables of the stats page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from recipelint.brewing.mash_slopes import MOST_SLOPED
from recipelint.recipe.stat_names import STATS
from recipelint.report import numbers

if TYPE_CHECKING:
    from recipelint.brewing.mash_steps import MashStep, Trouble
    from recipelint.brewing.stations import RestFact
    from recipelint.brewing.stats import Stat
    from recipelint.recipe.model import Water

_IONS = (
    ("calcium", "calcium"),
    ("magnesium", "magnesium"),
    ("sodium", "sodium"),
    ("chloride", "chloride"),
    ("sulphate", "sulphate"),
    ("bicarbonate", "bicarbonate"),
    ("alkalinity", "alkalinity as CaCO3"),
    ("residual_alkalinity", "residual alkalinity"),
)
_POINTS = 100.0
MISSED = 0.5  # K; what a thermometer in a mash can tell


def rests(facts: Sequence[RestFact], units: str) -> list[str]:
    """Each rest with how it is reached, its thickness, and how far a minute or a kelvin moves the attenuation limit."""
    if not facts:
        return []
    per_degree = "+1 °F" if units == "us" else "+1 K"
    thick = "qt/lb" if units == "us" else "L/kg"
    slopes = f"   limit, %:{'+1 min':>8}{per_degree:>11}"
    lines = ["", f"{'Rest by rest':<13}{'for':>9}  {'how it is reached':<38}{thick:>6}{slopes}"]
    for fact in facts:
        step = fact.step
        heat = _heat(step.target if step.target is not None else step.reached, units)
        minutes = f"{numbers.decimals(step.rest, 0)} min" if step.rest is not None else "?"
        ratio = numbers.in_units(step.thickness, "L/kg", 2, units)[0]
        moves = ""
        if fact.per_minute is not None and fact.per_kelvin is not None:
            kelvin = fact.per_kelvin / (1.8 if units == "us" else 1.0)
            moves = f"{_points(fact.per_minute, 2):>20}{_points(kelvin, 1):>11}"
        lines.append(f"  {heat:>9}{minutes:>11}  {_way(step, units):<38}{ratio:>6}{moves}".rstrip())
        lines += [f"{'':24}{words}" for words in (_trouble(one, units) for one in step.troubles) if words]
    if len(facts) > MOST_SLOPED:
        lines.append(f"  How a rest moves the limit is told of up to {MOST_SLOPED} rests.")
    return lines


def _points(value: float, digits: int) -> str:
    """A change of the limit in points of attenuation, with its sign."""
    text = numbers.decimals(value * _POINTS, digits)
    return text if text.startswith("-") or not text.strip("0.") else f"+{text}"


def _heat(celsius: float | None, units: str) -> str:
    return "?" if celsius is None else " ".join(numbers.in_units(celsius, "°C", 1, units))


def _way(step: MashStep, units: str) -> str:
    """How a rest is reached, in a few words."""
    if step.by == "strike":
        if step.liquor_at is None:
            return ""
        return f"{numbers.volume(step.liquor, units)} at {_heat(step.liquor_at, units)}"
    if step.by == "infusion":
        return f"{numbers.volume(step.liquor, units)} at {_heat(step.liquor_at, units)} added{_leads(step, units)}"
    if step.by == "decoction":
        if step.pulled is None:
            return "a part boiled"
        share = f"{numbers.decimals(step.pulled.share * 100.0, 0)} %"
        pulled = numbers.volume(step.pulled.volume, units)
        return f"{share} ({pulled}) boiled, {_minutes(step.wait)}{_leads(step, units)}"
    return f"heated in {_minutes(step.ramp)}" if step.ramp else "held"


def _leads(step: MashStep, units: str) -> str:
    """Where what is written leads, if that is another heat than the rest's."""
    if step.reached is None or step.target is None or abs(step.reached - step.target) < MISSED:
        return ""
    return f": {_heat(step.reached, units)}"


def _minutes(value: float) -> str:
    return f"{numbers.decimals(value, 0)} min"


def _trouble(trouble: Trouble, units: str) -> str:
    """A word on what cannot be; the findings say it in full."""
    fits = numbers.volume(trouble.fits, units) if trouble.fits is not None else ""
    if trouble.what == "strike-too-hot":
        return f"boils at {_heat(trouble.limit, units)}" + (
            f": takes {fits} of strike liquor" if fits else ""
        )
    if trouble.what == "vessel-too-small":
        return (
            f"{numbers.volume(trouble.value, units)} in a vessel of {numbers.volume(trouble.limit, units)}"
            + (f": {fits} of liquor in all would fit" if trouble.fits else ": it takes two mashes")
        )
    if trouble.what == "pull-too-large":
        reached = f"; it comes to {_heat(trouble.fits, units)}" if trouble.fits is not None else ""
        return f"only {numbers.decimals(trouble.limit * 100.0, 0)} % can be pulled{reached}"
    if trouble.what == "liquor-off":
        return f"liquor of {_heat(trouble.value, units)} does not lead there"
    if trouble.what == "cooler":
        return f"the mash stands at {_heat(trouble.limit, units)} and nothing cools it"
    if trouble.what == "too-fast":
        return f"the heating takes {_minutes(trouble.limit)}"
    return ""


def water(stat: Callable[[str], Stat], written: Sequence[Water], unknown: dict[str, list[str]]) -> list[str]:
    """The ions of mash and sparge liquor, salts and acids in; what is not known goes to ``unknown`` with the reason."""
    if not written:
        unknown.setdefault(stat("calcium").why, []).append("the ions of the liquor")
        return []
    why = stat("calcium").why
    if all(stat(name).value is None and stat(name).why == why for name, _ in _IONS):
        unknown.setdefault(why, []).append("the ions of the liquor")
        return []
    rows: list[str] = []
    for name, label in _IONS:
        mash, sparge = stat(name), stat(f"sparge_{name}")
        if mash.value is None:
            unknown.setdefault(mash.why, []).append(STATS[name].title)
            continue
        second = "" if sparge.value is None else numbers.decimals(sparge.value, 0)
        rows.append(f"  {label:<24}{numbers.decimals(mash.value, 0):>9}{second:>10}".rstrip())
    if not rows:
        return []
    ratio = stat("sulphate_chloride_ratio").value
    if ratio is not None:
        rows.append(
            f"  {'sulphate to chloride':<24}{numbers.decimals(ratio, 2):>9}   in all liquor and salts"
        )
    sparged = stat("sparge_calcium").value is not None
    return ["", f"{'Liquor, mg/L':<26}{'mash':>9}{'sparge' if sparged else '':>10}".rstrip(), *rows]
