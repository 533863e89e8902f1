"""The beer against a style: inside, edge or outside, stat by stat; and which styles it fits best."""

from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from recipelint.recipe.model import Recipe, RuleSetting
from recipelint.recipe.stat_names import STATS, StatSpec, resolution
from recipelint.rulebook.facts import Brew, Range, Style
from recipelint.rulebook.findings import Finding, shorten
from recipelint.rulebook.units import far, pair, show
from recipelint.source.nodes import At

RULE = "style-range-missed"

# What guides print, and the stat it is. In the order of a guide's table.
FIGURES = (
    ("og", "original_gravity"),
    ("fg", "final_gravity"),
    ("abv", "abv"),
    ("ibu", "bitterness"),
    ("srm", "colour_srm"),
)
# A range that is very narrow, or has one open side, is not a finer sieve for that: least widths to measure
# misses in.
WIDTHS = {"og": 0.010, "fg": 0.004, "abv": 0.010, "ibu": 10.0, "srm": 4.0}


ENOUGH = 4  # figures a style must state to be called close: one with two fits almost anything


class StyleRow(NamedTuple):
    """One stat against the style. ``off`` is how far outside, signed, in the stat's unit; 0 inside.

    verdict: ``inside``, ``edge`` (outside, but the miss is within the 90 % band or within what is written),
    ``outside``, ``varies`` (the style gives no range) or ``unknown`` (the stat has no value).
    """

    stat: str
    value: float | None
    low: float | None
    high: float | None
    style_low: float | None
    style_high: float | None
    verdict: str
    off: float | None


class Fit(NamedTuple):
    """How well a style fits: ``distance`` 0 means inside every range; ``misses`` names the stats outside."""

    style: Style
    distance: float
    centre: float
    compared: int
    misses: tuple[str, ...]


def style_rows(brew: Brew, style: Style, base: Style | None = None, *, bands: bool = True) -> list[StyleRow]:
    """The five figures of a style against the beer; ``base`` lends the ranges that the style itself leaves
    open.

    Without ``bands`` the low and high bounds are only worked out where a limit is missed, which is ten times
    cheaper.
    """
    return [_row(brew, name, _range(style, figure, base), bands) for figure, name in FIGURES]


def _range(style: Style, figure: str, base: Style | None) -> Range:
    own: Range | None = getattr(style, figure)
    if own is None or own == (None, None):
        own = getattr(base, figure) if base is not None else None
    return own if own is not None else (None, None)


def _row(brew: Brew, name: str, limits: Range, bands: bool) -> StyleRow:
    value = brew.stat(name).value
    low, high = limits
    if value is None:
        return StyleRow(name, None, None, None, low, high, "unknown", None)
    off = _off(value, low, high)
    missed = off != 0.0
    band = brew.band(name) if bands or missed else None
    sides = band if band is not None else (None, None)
    if low is None and high is None:
        return StyleRow(name, value, sides[0], sides[1], None, None, "varies", None)
    verdict = "inside"
    if missed:
        edge = value - off
        near = abs(off) <= resolution(STATS[name]) * (1 + 1e-9)
        verdict = "edge" if near or (band is not None and band[0] <= edge <= band[1]) else "outside"
    return StyleRow(name, value, sides[0], sides[1], low, high, verdict, off)


def _off(value: float, low: float | None, high: float | None) -> float:
    if low is not None and value < low - 1e-9:
        return value - low
    if high is not None and value > high + 1e-9:
        return value - high
    return 0.0


def check_style(
    recipe: Recipe,
    brew: Brew,
    style: Style | None,
    base: Style | None = None,
    settings: Mapping[str, RuleSetting] | None = None,
    doubtful: Collection[str] = (),
) -> list[Finding]:
    """A finding for each figure of the style that the beer misses: a warning, at the edge a note.

    ``base`` is named where a range is its own; ``style`` may carry those ranges already. Of the
    stats in ``doubtful`` nothing is said.
    """
    setting = settings.get(RULE) if settings else None
    if style is None or (setting is not None and setting.level == "off"):
        return []
    level = setting.level if setting is not None else None
    at = At(recipe.file, recipe.style.at if recipe.style else "")
    out = []
    for figure, name in FIGURES:
        value = brew.stat(name).value
        limits = _range(style, figure, base)
        if value is None or name in doubtful or _off(value, *limits) == 0.0:
            continue
        row = _row(brew, name, limits, bands=False)
        usual = "note" if row.verdict == "edge" else "warning"
        limit = (row.style_low if (row.off or 0.0) < 0 else row.style_high) if row.off is not None else None
        out.append(
            Finding(
                RULE,
                usual if level is None or row.verdict == "edge" else level,
                shorten(_message(row, style, base)),
                at,
                item=f"style/{row.stat}",
                value=row.value,
                unit=STATS[row.stat].unit,
                limit=limit,
                remedy=f"See `recipelint style {recipe.file}` for what would bring it in.",
            )
        )
    return out


def _message(row: StyleRow, style: Style, base: Style | None) -> str:
    spec = STATS[row.stat]
    assert row.value is not None and row.off is not None
    title = spec.title.partition(",")[0]
    side = "below" if row.off < 0 else "above"
    text = f"{title[0].upper()}{title[1:]} {show(row.value, spec.unit, spec.digits)} is {far(row.off, spec)} {side} "
    if base is not None and _lent(row, style, base):
        text += f"{shorten(base.name, 32)}, the base of {shorten(style.name, 32)}, {range_words(row, spec)}"
    else:
        text += f"{shorten(style.name, 48)}, {range_words(row, spec)}"
    if row.verdict == "edge":
        text += "; that is within what is uncertain"
    return text


def _lent(row: StyleRow, style: Style, base: Style) -> bool:
    """Whether the range of a row is the base's."""
    figure = next(figure for figure, name in FIGURES if name == row.stat)
    return getattr(base, figure) is not None and getattr(style, figure) in (None, getattr(base, figure))


def range_words(row: StyleRow, spec: StatSpec) -> str:
    """``1.080 to 1.120``, ``from 30 IBU``, ``up to 8.0 % vol``."""
    low, high = row.style_low, row.style_high
    if low is not None and high is not None:
        return pair(low, high, spec)
    if low is not None:
        return f"from {show(low, spec.unit, spec.digits)}"
    return f"up to {show(high, spec.unit, spec.digits)}"


def closest_styles(brew: Brew, styles: Iterable[Style], n: int = 5) -> list[Fit]:
    """The ``n`` styles whose ranges the beer fits best.

    The distance is the sum of squared misses, each in widths of its range; a figure inside counts 0, one that
    the style leaves open counts nothing. A style with fewer ranges than ENOUGH is left out, one with four has its
    distance scaled up to all five. Ties go to the style whose beers lie nearer on average (``centre``): the mean
    square of the way to a beer anywhere in its ranges, so that a style that takes nearly everything comes after
    one that means this beer. Then by name.
    """
    values = {figure: brew.stat(name).value for figure, name in FIGURES}
    fits = [fit for fit in (_fit(style, values) for style in styles) if fit is not None]
    fits.sort(key=lambda fit: (fit.distance, fit.centre, fit.style.guide, fit.style.id))
    return fits[:n]


def _fit(style: Style, values: Mapping[str, float | None]) -> Fit | None:
    distance = centre = 0.0
    compared = 0
    misses = []
    for figure, name in FIGURES:
        value = values[figure]
        limits: Range | None = getattr(style, figure)
        if value is None or limits is None or limits == (None, None):
            continue
        compared += 1
        width = _width(figure, limits)
        off = _off(value, *limits) / width
        if off:
            misses.append(name)
        distance += off * off
        away = value - _middle(limits, width)
        centre += (away * away + width * width / 12.0) / WIDTHS[figure] ** 2
    if compared < ENOUGH:
        return None
    scale = len(FIGURES) / compared
    return Fit(style, distance * scale, centre * scale, compared, tuple(misses))


def _width(figure: str, limits: Range) -> float:
    low, high = limits
    return max(WIDTHS[figure], high - low) if low is not None and high is not None else 2.0 * WIDTHS[figure]


def _middle(limits: Range, width: float) -> float:
    low, high = limits
    if low is not None and high is not None:
        return (low + high) / 2.0
    return low + width / 2.0 if low is not None else (high or 0.0) - width / 2.0
