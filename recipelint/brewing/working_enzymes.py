"""Working of the enzymes in the mash: what the rests dissolve, and how far the wort of them will ferment.

The scheme itself is a chain of rates over many short steps, so it stands as a table of the stretches of the mash with
what is reached at the end of each; what is made of its results is worked out line by line.
"""

from __future__ import annotations

from recipelint.brewing import mash, mashing
from recipelint.brewing.mash import CARAMEL_LIMIT, ROAST_LIMIT, Conversion, Stretch
from recipelint.brewing.plan import BASE_LINTNER, GRAIN_KEYS, STEEP_YIELD
from recipelint.brewing.working import EXTRACT, MEMORY, PRACTICE, Known, Sheet, Table, part, summed
from recipelint.brewing.working_givens import called, constant, indices, place, potential, weight

SCHEME = "two-stage enzyme scheme, fitted to Wray 2014 and Muller 1990"
_FORM = "starch -> soluble -> dextrin -> fermentable sugar or limit dextrin; enzymes decay with heat"
_COLUMNS = ("min", "from °C", "to °C", "not boiled", "dissolved", "fermentable", "alpha left", "beta left")


@part("Enzymes in the mash")
def enzyme_share(sheet: Sheet) -> Known:
    """Share of the starchy grist that brings enzymes."""
    lines = sheet.plan.lines
    value = sheet.run.mash.converted.enzymes
    starchy = [index for index in indices(sheet, "mash") if lines[index].starch]
    words = "share of the starchy grist that brings enzymes"
    if not starchy:
        return sheet.given("z_e", words, value, "1", "nothing with starch is mashed")
    rich = [index for index in starchy if (power := lines[index].lintner) is None or power >= BASE_LINTNER]
    all_of = [weight(sheet, index) for index in starchy]
    some = [weight(sheet, index).symbol for index in rich]
    formula = f"round({summed(some)} / {summed(term.symbol for term in all_of)}, 3)"
    note = f"malt of {BASE_LINTNER:g} °Lintner and more, and malt whose power is not known"
    return sheet.put("z_e", words, formula, all_of, "1", value, PRACTICE, note)


def _run(
    sheet: Sheet, stretches: tuple[Stretch, ...], enzymes: Known, tag: str, what: str
) -> tuple[Known, Known]:
    """Starch dissolved, and starch made into fermentable sugar, as shares of all starch."""
    rows: list[tuple[str | float, ...]] = []
    result: Conversion | None = None
    for count, stretch in enumerate(stretches, 1):
        result = mash.convert(stretches[:count], enzymes.value)
        rows.append(
            (stretch.minutes, stretch.start, stretch.end, stretch.kept, result.dissolved, result.sugar, result.alpha,
             result.beta)
        )  # fmt: skip
    assert result is not None
    table = Table(_COLUMNS, tuple(rows))
    dissolved = sheet.step(
        f"S_{tag}", f"share of the starch dissolved by {what}", _FORM, (enzymes,), "1", result.dissolved, SCHEME,
        "", table,
    )  # fmt: skip
    sugar = sheet.step(
        f"F_{tag}", f"share of it made into fermentable sugar by {what}", _FORM, (enzymes,), "1", result.sugar, SCHEME,
        f"from the same steps as {dissolved.symbol}",
    )  # fmt: skip
    return dissolved, sugar


@part("Enzymes in the mash")
def rests(sheet: Sheet) -> tuple[Known, Known]:
    """What the whole mash dissolves and makes into sugar."""
    return _run(sheet, sheet.run.mash.converted.schedule.stretches, enzyme_share(sheet), "r", "the rests")


@part("Enzymes in the mash")
def _late(sheet: Sheet, minutes: float, number: int) -> tuple[Known, Known]:
    """The same of malt that sees only the end of the mash."""
    stretches = mashing.last_minutes(sheet.run.mash.converted.schedule.stretches, minutes)
    return _run(sheet, stretches, enzyme_share(sheet), f"r{number}", f"the last {minutes:g} min of them")


@part("Enzymes in the mash")
def _steeped(sheet: Sheet, index: int) -> tuple[Known, Known] | None:
    """The same of malt in its own steep; None where its time or heat is not written."""
    steep = sheet.plan.recipe.grist[index].steep
    if steep is None or steep.temperature is None or steep.for_ is None:
        return None
    held = Stretch(steep.for_.value, steep.temperature.value, steep.temperature.value)
    whole = sheet.given(
        f"z_{index + 1}", "share that brings enzymes in the steep", 1.0, "1", place(sheet, None, steep.at)
    )
    return _run(sheet, (held,), whole, f"r{index + 1}", "the steep")


_EXTRACT = "(0.8 * (1.055 * {sugar} + 1.01 * ({dissolved} - {sugar})) / 1.045 + 0.2)"


def _of(pair: tuple[Known, Known], form: str) -> str:
    dissolved, sugar = pair
    return form.format(dissolved=dissolved.symbol, sugar=sugar.symbol)


def _limit(sheet: Sheet, pair: tuple[Known, Known], tag: str, words: str) -> Known:
    formula = f"(0.8 * 1.055 * {pair[1].symbol} / 1.045 + 0.1) / {_of(pair, _EXTRACT)} / 0.8192"
    note = "80 % of the extract is starch and 10 % sugar from the malt house; real over apparent attenuation 0.8192"
    return sheet.put(f"A_{tag}", words, formula, pair, "1", source=SCHEME, note=note)


@part("Enzymes in the mash")
def reached(sheet: Sheet) -> Known:
    """How much the mash dissolves beside the mash that conversion figures are told of."""
    pair = rests(sheet)
    full = constant(
        sheet,
        "k_f",
        "share of the extract that an hour at 65 °C dissolves",
        mashing.FULL_MASH,
        "1",
        "the scheme's own",
    )
    formula = f"{_of(pair, _EXTRACT)} / {full.symbol}"
    words = "extract dissolved, of what an hour at 65 °C dissolves"
    return sheet.put("z_r", words, formula, (*pair, full), "1", source=SCHEME, most=1.0)


@part("Enzymes in the mash")
def attenuation_limit(sheet: Sheet) -> Known:
    """Attenuation limit of the malt wort: the mean of its malts by extract."""
    tops: list[str] = []
    bottoms: list[str] = []
    terms: list[Known] = []
    for index, line in enumerate(sheet.plan.lines):
        if line.key not in GRAIN_KEYS or line.stage not in ("mash", "steep"):
            continue
        extract = potential(sheet, index)
        amount = extract.symbol
        if line.stage == "steep":
            share = constant(
                sheet, "k_s", "share of its yield that steeped malt gives", STEEP_YIELD, "1", PRACTICE
            )
            amount = f"{share.symbol} * {extract.symbol}"
            terms.append(share)
        own = _own_limit(sheet, index)
        terms += [extract, own]
        tops.append(f"{amount} * {own.symbol}")
        bottoms.append(amount)
    formula = f"{summed(tops)} / {summed(bottoms)}" if tops else "0"
    words = "attenuation limit of the malt wort"
    return sheet.put("A_m", words, formula, terms, "1", sheet.run.beer.limit, EXTRACT)


@part("Enzymes in the mash")
def _scheme_limit(sheet: Sheet, index: int) -> Known:
    """What the enzymes leave of a malt that follows its rests."""
    line = sheet.plan.lines[index]
    if line.stage == "steep":
        steeped = _steeped(sheet, index)
        if steeped is not None:
            return _limit(sheet, steeped, f"r{index + 1}", f"limit of {called(line)} by its steep")
    elif line.minutes is not None and line.starch:
        late = _late(sheet, line.minutes, index + 1)
        return _limit(sheet, late, f"r{index + 1}", f"limit of {called(line)}, which comes late")
    return whole_limit(sheet)


@part("Enzymes in the mash")
def whole_limit(sheet: Sheet) -> Known:
    """Attenuation limit of malt that sees all the rests."""
    return _limit(sheet, rests(sheet), "r", "limit by the rests")


@part("Enzymes in the mash")
def _own_limit(sheet: Sheet, index: int) -> Known:
    """Limit of one malt: by the rests, or the usual one of its class."""
    line = sheet.plan.lines[index]
    if line.kind.startswith("caramel") and line.starch is False:
        usual = constant(sheet, "A_c", "limit of caramel malt", CARAMEL_LIMIT, "1", MEMORY)
        by_rests = _scheme_limit(sheet, index)
        if by_rests.value >= usual.value:
            return usual
        return by_rests
    if line.kind.startswith("roasted"):
        return constant(sheet, "A_b", "limit of roasted malt and grain", ROAST_LIMIT, "1", MEMORY)
    return _scheme_limit(sheet, index)
