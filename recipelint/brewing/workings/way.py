"""Working of the way of the fermentation: how far it has come, and when, and what is still to come.

The way itself follows a curve through every step of temperature and every dose of sugar, so it stands as a table of
its events; what is made of its results is worked out line by line.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import fermenting, path
from recipelint.brewing.feeding import HEAT_PER_EXTRACT
from recipelint.brewing.workings.beer import Fermented, beer_volume, gravity_of
from recipelint.brewing.workings.fermentation import fermented, fermented_down_to, original_strength
from recipelint.brewing.workings.fermenter import all_in
from recipelint.brewing.workings.givens import constant, origin
from recipelint.brewing.workings.gravity import strength
from recipelint.brewing.workings.sheet import CLOSE, EXTRACT, MEMORY, Known, Sheet, Table, need, part, summed
from recipelint.recipe import forms

WAY = "The way of the fermentation"
CURVE = f"logistic curve, form of Speers, Rogers & Smith 2003; its constants {MEMORY}"
FORM = "dF/dt = k (F + s) (1 - F / L), k by strength and temperature, F fermented of L that can"
BALLING_GAS = "Balling: 0.4629 g of gas from a gram of extract"
_WORDS = {"pitched": "pitched", "added": "goes in", "still": "at rest"}


def _way(sheet: Sheet) -> path.Path:
    found = fermenting.way(sheet.run)
    need(None if found is None else sheet.given("h_0", "pitching", 0.0, "h", "time is counted from it"))
    assert found is not None
    return found


def _table(sheet: Sheet) -> Table:
    """The events of the way, expected."""
    names = {line.at: line.name for line in sheet.plan.lines}
    names |= {pitch.at: pitch.name for pitch in sheet.plan.cultures}
    rows: list[tuple[str | float, ...]] = []
    for event in _way(sheet).events:
        what = f"{names.get(event.at, '')} {_WORDS.get(event.what, event.what)}".strip()
        rows.append((what, event.hours.value, f"{event.before.value:.4f}", f"{event.after.value:.4f}"))
    return Table(("event", "h", "gravity before", "after"), tuple(rows))


@part(WAY)
def _strong(sheet: Sheet) -> tuple[Known, ...]:
    """What the curve starts from."""
    return (fermented(sheet), *all_in(sheet))


@part(WAY)
def still_after(sheet: Sheet) -> Known:
    """Hours until the beer is at rest."""
    value = _way(sheet).still.value
    words = "time until no hydrometer sees it move"
    return sheet.step("h_s", words, FORM, _strong(sheet), "h", value, CURVE, "", _table(sheet))


@part(WAY)
def packaged_after(sheet: Sheet) -> Known:
    """Hours from pitching to the package."""
    hours = fermenting.packaged_after(sheet.run)[0]
    assert hours is not None
    recipe = sheet.plan.recipe
    told = [step.over or step.for_ for step in recipe.fermentation]
    stored = [stage.for_ for stage in recipe.conditioning]
    words = "time from pitching to packaging"
    lengths = [quantity for quantity in (*told, *stored) if quantity is not None]
    if len(lengths) == len(told) + len(stored) and not any(
        step.over and step.for_ for step in recipe.fermentation
    ):
        terms = [
            sheet.given(f"dt_{number}", f"step {number}", quantity.value, "h", origin(sheet, quantity))
            for number, quantity in enumerate(lengths, 1)
        ]
        return sheet.sum("h_p", words, terms, "h", hours)
    form = "the steps one after another; one that waits lasts until the curve below is there"
    return sheet.step("h_p", words, form, _strong(sheet), "h", hours, CURVE, "", _table(sheet))


@part(WAY)
def _left(sheet: Sheet) -> tuple[Known, Known]:
    """Extract that has fermented, and that still can, when it is packaged."""
    state = fermenting.at_packaging(sheet.run)[0]
    assert state is not None
    hours = packaged_after(sheet)
    terms = (hours, *_strong(sheet))
    words = "extract fermented by then"
    done = sheet.step("X_f", words, FORM, terms, "kg", state.fermented, CURVE, "", _table(sheet))
    note = f"from the same curve as {done.symbol}"
    left = sheet.step("X_l", "extract that still can", FORM, terms, "kg", state.left, CURVE, note)
    return done, left


@part(WAY)
def _gravity_at_packaging(sheet: Sheet) -> Known:
    state = fermenting.at_packaging(sheet.run)[0]
    assert state is not None
    done, _ = _left(sheet)
    strong, (whole, _) = original_strength(sheet), all_in(sheet)
    if state.extract < whole.value * (1.0 - CLOSE):
        where = "pitched, and what the table shows to have gone in by then"
        whole = sheet.given("E_pk", "extract in it by then", state.extract, "kg", where)
        water = sheet.given("W_pk", "water in it by then", state.water, "kg", where)
        strong = strength(sheet, "pk", "what is in it by then", whole, water)
    formula = f"{done.symbol} / {whole.symbol}"
    share = sheet.put(
        "F_p", "part of the extract fermented by then", formula, (done, whole), "1", source=EXTRACT
    )
    beer = Fermented("p", "the beer as it is packaged", strong, share)
    return gravity_of(sheet, beer, state.beer.gravity)[1]


# ---------------------------------------------------------------------- gas


def _by_hydrometer(sheet: Sheet) -> Known | None:
    """Gas still to come where the last step waits for a gravity: the brewer reads it then."""
    value = fermenting.gas_by_hydrometer(sheet.run)
    if value is None:
        return None
    step = sheet.plan.recipe.fermentation[-1]
    meaning = forms.read(step.until or "", "until")
    assert meaning.measure is not None
    if value <= CLOSE:
        words = "gas from what is left to ferment"
        return sheet.given(
            "v_to", words, 0.0, "vol", f"{step.at}/until waits for where the beer ends, or less"
        )
    end = fermented(sheet)
    final = sheet.run.beer.gravity or 0.0
    where = f"{step.at}/until, written {step.until}"
    read = sheet.given("s_h", "gravity that is waited for", max(meaning.measure.value, final), "SG", where)
    so_far = fermented_down_to(sheet, "h", "the beer so far", original_strength(sheet), read)
    extract, room = all_in(sheet)[0], beer_volume(sheet)
    formula = (
        f"max({end.symbol} - {so_far.symbol}, 0) * {extract.symbol} * 1000 * 0.4629 / {room.symbol} / 1.96"
    )
    terms = (end, so_far, extract, room)
    return sheet.put("v_to", "gas from what is left to ferment", formula, terms, "vol", value, BALLING_GAS)


@part(WAY)
def gas_to_come(sheet: Sheet) -> Known:
    """Gas that the extract left at packaging will still make."""
    words = "gas from extract that has not fermented when it is packaged"
    if fermenting.surely_finished(sheet.run):
        where = "it waits until it is still, or has had time in the warmth, however slow, and no late sugar"
        return sheet.given("v_to", words, 0.0, "vol", where)
    if not sheet.plan.recipe.conditioning:
        read = _by_hydrometer(sheet)
        if read is not None:
            return read
    _, left = _left(sheet)
    room, value = beer_volume(sheet), fermenting.still_to_come(sheet.run)[0]
    terms = [left]
    state = fermenting.at_packaging(sheet.run)[0]
    if state is not None and state.stalled > 0.0:
        where = "it went in when the culture was past its tolerance, and may wake up"
        terms.append(sheet.given("X_st", "extract that stayed unfermented", state.stalled, "kg", where))
    formula = f"1000 * {summed(term.symbol for term in terms)} * 0.4629 / {room.symbol} / 1.96"
    return sheet.put("v_to", words, formula, (*terms, room), "vol", value, BALLING_GAS)


@part(WAY)
def gas_made(sheet: Sheet, index: int) -> Known | None:
    """Gas that is made while a stage lasts; None where that is not known."""
    value = fermenting.gas_made_in_stage(sheet.run, index)
    if value is None:
        return None
    words = f"gas that is made in stage {index + 1}"
    read = _by_hydrometer(sheet) if index == 0 else None
    if read is None:
        return sheet.step(
            f"v_cl{index + 1}", words, FORM, _strong(sheet), "vol", value, CURVE, "", _table(sheet)
        )
    later = fermenting.still_to_come(sheet.run)[0] or 0.0
    where = "0, or see the working of gas_to_come"
    more = sheet.given("v_lt", "gas that is made after it", later, "vol", where)
    formula = f"{read.symbol} - {more.symbol}"
    return sheet.put("v_cl1", words, formula, (read, more), "vol", value, least=0.0)


# ---------------------------------------------------------------------- heat


@part(WAY)
def _peak_heat(sheet: Sheet) -> Known:
    most = path.peak_rate(_way(sheet))
    words = "most extract that ferments in an hour"
    rate = sheet.step("k_x", words, FORM, _strong(sheet), "kg/h", most, CURVE, "", _table(sheet))
    heat = constant(
        sheet, "q_x", "heat from a kg of extract", HEAT_PER_EXTRACT.value, "MJ/kg", f"Kunze, {MEMORY}"
    )
    formula = f"{heat.symbol} * {rate.symbol} * 1e6 / 3600"
    return sheet.put("P_x", "most heat at one time", formula, (heat, rate), "W", source="heat over time")


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "still_after": still_after,
    "packaged_after": packaged_after,
    "gravity_at_packaging": _gravity_at_packaging,
    "gas_to_come": gas_to_come,
    "peak_heat": _peak_heat,
}
