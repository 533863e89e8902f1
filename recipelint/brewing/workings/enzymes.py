"""Working of the enzymes in the mash: what the rests dissolve, and how far the wort of them will ferment.

The scheme itself is a chain of rates over many short steps, so it stands as a table of the stretches of the mash with
what is reached at the end of each; what is made of its results is worked out line by line.
"""

from __future__ import annotations

from typing import NamedTuple

from recipelint.brewing import mash, mashing
from recipelint.brewing.dissolving import (
    FULL_MASH,
    FULL_POWER,
    MALT_SOLUBLE,
    STEEP_YIELD,
    dissolved,
    level_of,
    opens_higher,
    soluble,
    steep_of,
)
from recipelint.brewing.mash import CARAMEL_LIMIT, ROAST_LIMIT, Stretch
from recipelint.brewing.plan import GRAIN_KEYS, Line
from recipelint.brewing.workings.givens import (
    called,
    constant,
    diastatic_power,
    indices,
    origin,
    potential,
    weight,
)
from recipelint.brewing.workings.sheet import EXTRACT, MEMORY, PRACTICE, Known, Sheet, Table, part, summed

SCHEME = "two-stage enzyme scheme, fitted to Wray 2014 and Muller 1990"
_FORM = "starch -> soluble -> dextrin -> fermentable sugar or limit dextrin; enzymes decay with heat"
_COLUMNS = ("min", "from °C", "to °C", "not boiled", "dissolved", "fermentable", "alpha left", "beta left")


@part("Enzymes in the mash")
def enzyme_level(sheet: Sheet) -> Known:
    """Enzymes of the starchy grist, beside those of base malt."""
    lines = sheet.plan.lines
    value = sheet.run.mash.converted.enzymes
    words = "enzymes of what has starch, beside those of base malt"
    added = mashing.amylase(sheet.plan)
    starchy = [index for index in indices(sheet, "mash") if lines[index].starch]
    if added or not starchy:
        return sheet.given("z_e", words, value, "1", added or "nothing with starch is mashed")
    full = constant(sheet, "p_f", "mean power from which on they are full", FULL_POWER, "°Lintner", MEMORY)
    masses = [weight(sheet, index) for index in starchy]
    powers = [_power(sheet, index, full) for index in starchy]
    top = " + ".join(f"{mass.symbol} * {power.symbol}" for mass, power in zip(masses, powers, strict=True))
    formula = f"round(min(({top}) / {summed(term.symbol for term in masses)} / {full.symbol}, 1), 3)"
    terms = list(dict.fromkeys((*masses, *powers, full)))
    return sheet.put(
        "z_e", words, formula, terms, "1", value, MEMORY, "malt whose power is not known counts as full"
    )


def _power(sheet: Sheet, index: int, full: Known) -> Known:
    """Diastatic power of a line; the full one where it is not known."""
    return full if sheet.plan.lines[index].lintner is None else diastatic_power(sheet, index)


def _run(
    sheet: Sheet,
    stretches: tuple[Stretch, ...],
    enzymes: Known,
    tag: str,
    what: str,
    line: Line | None = None,
) -> _Starch:
    """Starch dissolved, cut, and made into fermentable sugar, as shares of all starch."""
    rows: list[tuple[str | float, ...]] = []
    result = mash.convert((), enzymes.value)  # of no time at all
    for count, stretch in enumerate(stretches, 1):
        so_far = stretches[:count]
        result = (
            dissolved(line, so_far, enzymes.value)
            if line is not None
            else mash.convert(so_far, enzymes.value)
        )
        rows.append(
            (stretch.minutes, stretch.start, stretch.end, stretch.kept, result.dissolved, result.sugar, result.alpha,
             result.beta)
        )  # fmt: skip
    table = Table(_COLUMNS, tuple(rows))
    opened = sheet.step(
        f"S_{tag}", f"share of the starch dissolved by {what}", _FORM, (enzymes,), "1", result.dissolved, SCHEME,
        "", table,
    )  # fmt: skip
    sugar = sheet.step(
        f"F_{tag}", f"share of it made into fermentable sugar by {what}", _FORM, (enzymes,), "1", result.sugar, SCHEME,
        f"from the same steps as {opened.symbol}",
    )  # fmt: skip
    cut = sheet.step(
        f"C_{tag}", f"share of it that enzymes cut in {what}", _FORM, (enzymes,), "1",
        result.dissolved * (1.0 - result.unconverted), SCHEME, "from the same steps; what is not cut is paste",
    )  # fmt: skip
    return _Starch(opened, sugar, cut)


class _Starch(NamedTuple):
    """Starch in solution, what of it is fermentable sugar, and what of it enzymes have cut."""

    opened: Known
    sugar: Known
    cut: Known


@part("Enzymes in the mash")
def rests(sheet: Sheet) -> _Starch:
    """What the whole mash dissolves and makes into sugar."""
    return _run(sheet, sheet.run.mash.converted.schedule.stretches, enzyme_level(sheet), "r", "the rests")


@part("Enzymes in the mash")
def _of_line(sheet: Sheet, index: int) -> _Starch:
    """The same of a starchy line that is mashed: late malt sees the end of the mash, raw cereal opens at more heat."""
    line = sheet.plan.lines[index]
    stretches, number = sheet.run.mash.converted.schedule.stretches, index + 1
    higher = opens_higher(line)
    if line.minutes is None and higher <= 0.0:
        return rests(sheet)
    what = "the rests"
    if line.minutes is not None:
        stretches = mashing.last_minutes(stretches, line.minutes)
        what = f"the last {line.minutes:g} min of them"
    if higher > 0.0:
        what = f"{what}, its starch opening {higher:g} K above that of malt"
    return _run(sheet, stretches, enzyme_level(sheet), f"r{number}", what, line)


@part("Enzymes in the mash")
def _steeped(sheet: Sheet, index: int) -> _Starch:
    """The same of what is steeped."""
    line, item = sheet.plan.lines[index], sheet.plan.recipe.grist[index]
    level = level_of([one for one in sheet.plan.lines if one.stage == "steep"])
    ground = f"mean power of what is steeped, over {FULL_POWER:g} °Lintner"
    whole = sheet.given(
        f"z_{index + 1}", "enzymes in the steep, beside those of base malt", level, "1", ground
    )
    return _run(sheet, steep_of(item), whole, f"r{index + 1}", "the steep", line)


_WON = "({starch:g} * (1.055 * {sugar} + 1.01 * ({dissolved} - {sugar})) / 1.045 + {rest:g})"


def _won(dissolved: Known, sugar: Known, rest: float) -> str:
    return _WON.format(dissolved=dissolved.symbol, sugar=sugar.symbol, starch=1.0 - rest, rest=rest)


def _limit(sheet: Sheet, found: _Starch, tag: str, words: str) -> Known:
    whole = _won(found.opened, found.sugar, MALT_SOLUBLE)
    formula = f"(0.8 * 1.055 * {found.sugar.symbol} / 1.045 + 0.1) / {whole} / 0.8192"
    note = "80 % of the extract is starch and 10 % sugar from the malt house; real over apparent attenuation 0.8192"
    return sheet.put(f"A_{tag}", words, formula, (found.opened, found.sugar), "1", source=SCHEME, note=note)


@part("Enzymes in the mash")
def line_reached(sheet: Sheet, index: int) -> Known | None:
    """What dissolves of a line beside what a full mash dissolves; None for one that waits for no enzymes."""
    line, each = sheet.plan.lines[index], sheet.run.mash.converted.reached
    if each is None or not line.starch:
        return None
    found, rest = _of_line(sheet, index), soluble(line)
    ground = "the scheme's own"
    full = constant(
        sheet, "k_f", "share of the extract that an hour at 65 °C dissolves", FULL_MASH, "1", ground
    )
    words = f"extract of {called(line)} dissolved, of what an hour at 65 °C dissolves"
    formula = f"{_won(found.cut, found.sugar, rest)} / {full.symbol}"
    terms = (found.cut, found.sugar, full)
    return sheet.put(f"z_{index + 1}r", words, formula, terms, "1", each[index], SCHEME, most=1.0)


@part("Enzymes in the mash")
def mean_reached(sheet: Sheet) -> Known:
    """The same of all that is mashed, by extract."""
    tops: list[str] = []
    bottoms: list[str] = []
    terms: list[Known] = []
    for index in indices(sheet, "mash"):
        extract, own = potential(sheet, index), line_reached(sheet, index)
        terms += [extract, *((own,) if own is not None else ())]
        tops.append(f"{extract.symbol} * {own.symbol}" if own is not None else extract.symbol)
        bottoms.append(extract.symbol)
    words = "extract dissolved, of what a full mash dissolves"
    formula = f"{summed(tops)} / {summed(bottoms)}"
    return sheet.put("z_m", words, formula, terms, "1", source=EXTRACT)


@part("Enzymes in the mash")
def attenuation_limit(sheet: Sheet) -> Known:
    """Attenuation limit of the malt wort: the mean of its malts by what dissolves of them."""
    tops: list[str] = []
    bottoms: list[str] = []
    terms: list[Known] = []
    for index, line in enumerate(sheet.plan.lines):
        if line.key not in GRAIN_KEYS or line.stage not in ("mash", "steep"):
            continue
        extract = potential(sheet, index)
        amount = extract.symbol
        if line.stage == "steep":
            share: Known | None = constant(
                sheet, "k_s", "share of its yield that steeped malt gives", STEEP_YIELD, "1", PRACTICE
            )
        else:
            share = line_reached(sheet, index)
        if share is not None:
            amount = f"{share.symbol} * {extract.symbol}"
            terms.append(share)
        own = _own_limit(sheet, index)
        terms += [extract, own]
        tops.append(f"{amount} * {own.symbol}")
        bottoms.append(amount)
    formula = f"{summed(tops)} / {summed(bottoms)}" if tops else "0"
    words, value = "attenuation limit of the malt wort", sheet.run.beer.limit
    return sheet.put("A_m", words, formula, terms, "1", value, EXTRACT, most=1.0)


@part("Enzymes in the mash")
def _scheme_limit(sheet: Sheet, index: int) -> Known:
    """What the enzymes leave of a malt that follows its rests."""
    line = sheet.plan.lines[index]
    if line.stage == "steep":
        return _limit(sheet, _steeped(sheet, index), f"r{index + 1}", f"limit of {called(line)} by its steep")
    if line.starch and (line.minutes is not None or opens_higher(line) > 0.0):
        late = "comes late" if line.minutes is not None else "is raw"
        words = f"limit of {called(line)}, which {late}"
        return _limit(sheet, _of_line(sheet, index), f"r{index + 1}", words)
    return whole_limit(sheet)


@part("Enzymes in the mash")
def whole_limit(sheet: Sheet) -> Known:
    """Attenuation limit of malt that sees all the rests."""
    return _limit(sheet, rests(sheet), "r", "limit by the rests")


@part("Enzymes in the mash")
def _own_limit(sheet: Sheet, index: int) -> Known:
    """Limit of one malt: what the recipe writes, by the rests, or the usual one of its class."""
    line, written = sheet.plan.lines[index], sheet.plan.recipe.grist[index].fermentability
    if written is not None:
        where = origin(sheet, written, f"{line.at}/fermentability")
        share = sheet.given(
            f"f_{index + 1}", f"part of {called(line)} that ferments", written.value, "1", where
        )
        words, note = f"limit of {called(line)}, as written", "real over apparent attenuation 0.8192"
        return sheet.put(
            f"A_{index + 1}w", words, f"{share.symbol} / 0.8192", (share,), "1", source=SCHEME, note=note
        )
    if line.kind.startswith("caramel") and line.starch is False:
        usual = constant(sheet, "A_c", "limit of caramel malt", CARAMEL_LIMIT, "1", MEMORY)
        by_rests = _scheme_limit(sheet, index)
        if by_rests.value >= usual.value:
            return usual
        return by_rests
    if line.kind.startswith("roasted"):
        return constant(sheet, "A_b", "limit of roasted malt and grain", ROAST_LIMIT, "1", MEMORY)
    return _scheme_limit(sheet, index)
