"""The style page: stat by stat inside, edge or outside; what would bring it in; which styles are closest."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from recipelint.recipe.stat_names import STATS, StatSpec
from recipelint.report import numbers
from recipelint.report.json import STYLE_FORMAT, dump, rounded
from recipelint.report.screen import Look, clean, paint, width

if TYPE_CHECKING:
    from recipelint.brewing.levers import Cause, Change
    from recipelint.recipe.styles import Style
    from recipelint.rulebook.style_check import Fit, StyleRow
    from recipelint.workspace.workspace import Brewed

_SHORT = {
    "original_gravity": "original gravity",
    "final_gravity": "final gravity",
    "abv": "alcohol",
    "bitterness": "bitterness",
    "colour_srm": "colour",
}
_LOOKS = {"edge": "note", "outside": "warning"}


def style_text(
    brewed: Brewed,
    style: Style | None,
    rows: Sequence[StyleRow],
    closest: Sequence[Fit],
    credits: Sequence[str] = (),
    look: Look = Look(),  # noqa: B008
    units: str = "metric",
) -> str:
    """The page of one recipe. ``credits`` are the lines that the guides ask for."""
    lines = [paint(_title(brewed, style), "strong", look)]
    if style is not None:
        lines += ["", f"  {'':<18}{'beer':>9} {'':<6}{'90 % band':<18}style"]
        lines += [_row(row, look) for row in rows]
        hints = [hint for row in rows for hint in _hints(row, brewed, units)]
        if hints:
            lines += ["", "What would bring it in, one change at a time", *hints]
    if closest:
        lines += ["", "Closest in numbers alone"]
        room = max(width(_name(fit)) for fit in closest) + 2
        lines += [_fit(fit, room) for fit in closest]
    lines += ["", *dict.fromkeys(clean(credit) for credit in credits)] if credits else []
    return "\n".join(lines) + "\n"


def _title(brewed: Brewed, style: Style | None) -> str:
    name = clean(brewed.recipe.name)
    if style is None:
        return f"{name} aims at no style; --style GUIDE/STYLE names one"
    code = f" {clean(style.code)}" if style.code else ""
    return f"{name} as {clean(style.name)} ({clean(style.guide)}{code})"


def _row(row: StyleRow, look: Look) -> str:
    spec = STATS[row.stat]
    label = _SHORT[row.stat]
    if row.value is None:
        return f"  {label:<18}{'?':>9} {'':<6}{'':<18}{_range(row, spec):<20}not known"
    number, unit = numbers.spelt(spec, row.value)
    spread = ""
    if row.low is not None and row.high is not None and row.low < row.high:
        spread = f"{numbers.spelt(spec, row.low)[0]} .. {numbers.spelt(spec, row.high)[0]}"
    verdict = row.verdict if row.verdict != "varies" else "the guide gives no range"
    verdict = paint(verdict, _LOOKS[row.verdict], look) if row.verdict in _LOOKS else verdict
    return f"  {label:<18}{number:>9} {unit:<6}{spread:<18}{_range(row, spec):<20}{verdict}{_far(row, spec)}".rstrip()


def _range(row: StyleRow, spec: StatSpec) -> str:
    low = None if row.style_low is None else numbers.spelt(spec, row.style_low)[0]
    high = None if row.style_high is None else numbers.spelt(spec, row.style_high)[0]
    if low is not None and high is not None:
        return f"{low} .. {high}"
    return f"from {low}" if low is not None else f"up to {high}" if high is not None else ""


def _far(row: StyleRow, spec: StatSpec) -> str:
    if not row.off or row.verdict not in _LOOKS:
        return ""
    side = "above" if row.off > 0 else "below"
    if spec.unit == "SG":
        points = abs(row.off) * 1000
        return f", {numbers.decimals(points, 0 if points >= 9.5 else 1)} points {side}"
    return f", {' '.join(numbers.spelt(spec, abs(row.off)))} {side}".replace("  ", " ")


def _hints(row: StyleRow, brewed: Brewed, units: str) -> list[str]:
    """What keeps a stat out, and the single changes that would bring it to the nearer edge, each brewed on paper."""
    if row.verdict not in _LOOKS or row.value is None or not row.off:
        return []
    edge = row.value - row.off
    spec = STATS[row.stat]
    lines = [f"  {_SHORT[row.stat]} to {' '.join(numbers.spelt(spec, edge)).strip()}"]
    lines += [
        f"    {_cause(cause, numbers.spelt(spec, cause.without)[0])}"
        for cause in brewed.brew.causes(row.stat, edge)
    ]
    ways = [
        f"    {_change(change, units)}"
        for change in brewed.brew.changes(row.stat, edge)
        if _amount(change.before, change.unit, units) != _amount(change.after, change.unit, units)
    ]
    return [*lines, *(ways or ["    no single change of the bill, the rests or the hops does it"])]


def _cause(cause: Cause, without: str) -> str:
    if cause.what == "sugar":
        return f"the sugar moves it; were it malt, {without}"
    if cause.what == "mash":
        return f"the mash decides it; the culture alone would come to {without}"
    return f"{clean(cause.name)} decides it; the mash would allow {without}"


def _change(change: Change, units: str) -> str:
    """One change in words: ``Target 40 g -> 28 g``, ``the rest at 67 °C -> 64.5 °C``."""
    before, after = (_amount(each, change.unit, units) for each in (change.before, change.after))
    if change.what == "rest":
        return f"the rest at {before} -> {after}"
    if change.what in ("batch", "gravity"):
        return f"the {change.what if change.what == 'batch' else 'gravity of the batch'} {before} -> {after}"
    swap = ", and malt the other way" if change.what == "sugar for malt" else ""
    return f"{clean(change.name)} {before} -> {after}{swap or (' of the bill' if change.unit == '1' else '')}"


def _amount(value: float, unit: str, units: str) -> str:
    if unit == "kg":
        return numbers.weight(value, units)
    if unit == "L":
        return numbers.volume(value, units)
    if unit == "1":
        return f"{numbers.decimals(100.0 * value, 1)} %"
    return numbers.decimals(value, 3) if unit == "SG" else " ".join(numbers.in_units(value, unit, 1, units))


def _name(fit: Fit) -> str:
    return f"{clean(fit.style.guide)}/{clean(fit.style.id)}"


def _fit(fit: Fit, room: int) -> str:
    if fit.misses:
        how = f"outside in {', '.join(_SHORT[miss] for miss in fit.misses)}"
    else:
        how = "inside in all it states" if fit.compared == 5 else f"inside in the {fit.compared} it states"
    return f"  {_name(fit)}{' ' * (room - width(_name(fit)))}{how}"


def style_json(pages: Sequence[tuple[str, Brewed, Style | None, Sequence[StyleRow], Sequence[Fit]]]) -> str:
    """The same for programs: (path below the root, beer, style, rows, closest styles) of each recipe."""
    return dump(
        {
            "format": STYLE_FORMAT,
            "recipes": [
                {
                    "file": file,
                    "name": brewed.recipe.name,
                    "style": None if style is None else f"{style.guide}/{style.id}",
                    "stats": {row.stat: _row_tree(row) for row in rows},
                    "closest": [
                        {
                            "style": f"{fit.style.guide}/{fit.style.id}",
                            "distance": round(fit.distance, 4),
                            "compared": fit.compared,
                            "outside": list(fit.misses),
                        }
                        for fit in closest
                    ],
                }
                for file, brewed, style, rows, closest in pages
            ],
        }
    )


def _row_tree(row: StyleRow) -> dict[str, Any]:
    spec = STATS[row.stat]
    return {
        "value": rounded(spec, row.value),
        "unit": spec.unit,
        "low": rounded(spec, row.low),
        "high": rounded(spec, row.high),
        "style_low": rounded(spec, row.style_low),
        "style_high": rounded(spec, row.style_high),
        "verdict": row.verdict,
        "off": rounded(spec, row.off),
    }
