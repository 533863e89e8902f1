"""The working behind a stat: each line can be redone, and the last one is the stat.

The numbers come from the run and the formulas from the working; that they agree is what is tested, for every stat of
every brew. Where no source is named the check is arithmetic.
"""

from __future__ import annotations

import math
import re

import pytest

from recipelint.brewing.brew import Brew
from recipelint.brewing.workings.chains import CHAINS
from recipelint.brewing.workings.sheet import BEYOND, Known, Line, Sheet, Unworkable, once, part, working_of
from recipelint.recipe.stat_names import STATS
from tests.brewing.formulas import evaluate, names_in
from tests.brewing.paper import brewed
from tests.brewing.worked_brews import NAMES, ODD, brew_of, lines_of, workings_of

CLOSE = 1e-6  # relative: what the solvers of the run leave over
NEAR_NOTHING = 1e-5  # below it only the absolute difference counts
KINDS = {"equation", "solved", "trial", "stepwise", "given"}


def agree(one: float, other: float) -> bool:
    return abs(one - other) <= CLOSE * max(abs(one), abs(other), NEAR_NOTHING)


def values_of(line: Line) -> dict[str, float]:
    return {term.symbol: term.value for term in (*line.terms, line.result)}


@pytest.mark.parametrize("name", NAMES)
def test_every_stat_has_a_working_that_ends_in_it(name: str) -> None:
    brew = brew_of(name)
    found = workings_of(name)
    assert len(found) > 30
    for stat, working in found.items():
        assert working.lines, f"{stat}: no working is written"
        value = brew.stat(stat).value
        assert value is not None and agree(working.lines[-1].result.value, value), stat


@pytest.mark.parametrize("name", NAMES)
def test_a_risk_case_has_a_working_of_its_own(name: str) -> None:
    brew = brew_of(name)
    for stat, working in workings_of(name).items():
        risk = brew.stat(stat).risk
        assert bool(working.worst) == (risk is not None), stat
        if risk is not None:
            assert agree(working.worst[-1].result.value, risk), stat


@pytest.mark.parametrize("name", NAMES)
def test_each_formula_gives_its_result(name: str) -> None:
    for stat, line in lines_of(name):
        assert line.kind in KINDS
        if line.kind not in ("equation", "solved"):
            continue
        got = evaluate(line.formula, values_of(line))
        wanted = line.result if line.kind == "equation" else line.target
        assert wanted is not None
        said = f"{stat}, line {line.number}: {line.formula} gives {got}, not {wanted.value}"
        assert agree(got, wanted.value), said
        if line.target is not None:
            assert agree(got, line.target.value), said


@pytest.mark.parametrize("name", NAMES)
def test_each_symbol_is_an_earlier_line_or_a_given_with_its_origin(name: str) -> None:
    for stat, working in workings_of(name).items():
        for lines in (working.lines, working.worst):
            before: dict[int, Known] = {}
            for number, line in enumerate(lines, 1):
                assert line.number == line.result.line == number, stat
                assert line.section and line.result.words and line.result.unit
                for term in (*line.terms, *((line.target,) if line.target is not None else ())):
                    assert before.get(term.line) == term if term.line else term.origin, (stat, number, term)
                if line.kind in ("equation", "solved"):
                    own = {line.result.symbol} if line.kind == "solved" else set()
                    assert names_in(line.formula) == {term.symbol for term in line.terms} | own, (
                        stat,
                        number,
                    )
                before[number] = line.result


@pytest.mark.parametrize("name", NAMES)
def test_what_is_tried_is_come_back_to_or_says_what_for(name: str) -> None:
    for stat, working in workings_of(name).items():
        for lines in (working.lines, working.worst):
            come_back = {
                line.target.line for line in lines if line.target is not None and line.kind == "equation"
            }
            for line in lines:
                if line.kind == "trial" and line.number not in come_back:
                    assert re.search(
                        r"tried until (the balance gives|.* is |.* L are packaged)", line.note
                    ), (
                        stat,
                        line.note,
                    )


@pytest.mark.parametrize("name", NAMES)
def test_every_line_names_its_source(name: str) -> None:
    for stat, line in lines_of(name):
        if line.kind in ("equation", "solved", "stepwise"):
            assert line.source, (stat, line.number)


def test_a_stat_without_a_value_says_why() -> None:
    working = working_of(brew_of("no hops"), "mash_ph")
    assert not working.lines and working.why == "the recipe gives no water"


def test_a_brew_past_all_bounds_has_no_working_rather_than_a_wrong_one() -> None:
    """A wort like syrup, where the solver of the gravity no longer meets its equation."""
    syrup = brewed(
        "recipe: 1\nname: Syrup\nbatch: {volume: 5 L, into: kettle}\n"
        "grist: [{extract: liquid-malt-extract-light, weight: 20 kg}]\n"
    )
    assert (syrup.stat("original_gravity").value or 0.0) > 1.3
    assert working_of(syrup, "original_gravity") == ("original_gravity", (), BEYOND, ())


def test_a_line_that_does_not_hold_is_not_written() -> None:
    sheet = Sheet(brew_of("no hops").run)
    with pytest.raises(Unworkable):
        sheet.put("a", "a sum", "1 + 1", (), "L", 3.0)
    target = sheet.given("y", "a wish", 5.0, "L", "/here")
    with pytest.raises(Unworkable):
        sheet.put("b", "a sum", "1 + 1", (), "L", target=target)
    with pytest.raises(Unworkable):
        sheet.solve("c", "a root", "2 * c", (), "L", 2.0, target, "arithmetic")
    assert sheet.solve("d", "a root", "2 * d", (), "L", 2.5, target, "arithmetic").value == 2.5
    assert len(sheet.lines) == 1


def test_there_is_no_working_for_a_name_that_is_no_stat() -> None:
    assert set(CHAINS) <= set(STATS)
    with pytest.raises(KeyError):
        working_of(brew_of("no hops"), "bitternes")


# ---------------------------------------------------------------------- lines that are added up step by step


def _by_small_steps(row: tuple[str | float, ...], steps: int = 4000) -> float:
    """Minutes of boil that a stretch of the hot stand is worth, by rectangles: rate after Hosom 2015."""
    minutes, start, _, ambient, k = (float(cell) for cell in row[:5])
    total = 0.0
    for step in range(steps):
        t = minutes * (step + 0.5) / steps
        celsius = ambient + (start - ambient) * math.exp(-k * t)
        total += min(1.0, 2.39e11 * math.exp(-9773.0 / (celsius + 273.15))) * minutes / steps
    return total


@pytest.mark.parametrize("name", ["estuary-wool", "hops of all kinds", "high up", "no brewhouse"])
def test_the_hot_stand_is_what_small_steps_make_of_its_table(name: str) -> None:
    tables = [
        line for line in workings_of(name)["bitterness"].lines if line.table and "t_e" in line.result.symbol
    ]
    assert tables
    for line in tables:
        assert line.table is not None
        for row in line.table.rows:
            # Below 35 °C the run stops counting, where the rate is under half a percent: two seconds at most.
            assert _by_small_steps(row) == pytest.approx(float(row[-1]), abs=0.03)
        assert sum(float(row[-1]) for row in line.table.rows) == pytest.approx(line.result.value, abs=0.05)


@pytest.mark.parametrize("name", ["extract goes in late", "towpath-bitter", "all extract at flame-out"])
def test_the_mean_gravity_of_a_boil_is_that_of_its_table(name: str) -> None:
    """Each stretch by small steps of a volume that falls evenly, so that the points go as one over it."""
    tables = [
        line for line in workings_of(name)["bitterness"].lines if line.table and line.result.unit == "SG"
    ]
    assert tables
    for line in tables:
        assert line.table is not None
        total = minutes = 0.0
        for row in line.table.rows:
            begins, ends, first, last, _ = (float(cell) for cell in row)
            for step in range(1000):
                share, p, q = (step + 0.5) / 1000, first / 1000, last / 1000
                points = p * q / (q + (p - q) * share) if p > 0.0 and q > 0.0 else p + (q - p) * share
                total += points * (begins - ends) / 1000
            minutes += begins - ends
        assert 1.0 + total / minutes == pytest.approx(line.result.value, abs=1e-7)


def test_the_minutes_at_converting_heat_are_the_sum_of_the_table() -> None:
    for name in ("midwinter-ferry", "decoction", "infusions left open"):
        line = workings_of(name)["saccharification_minutes"].lines[-1]
        assert line.table is not None
        assert math.fsum(float(row[-1]) for row in line.table.rows) == pytest.approx(line.result.value)


def test_the_table_of_the_mash_ends_in_what_the_lines_say() -> None:
    lines = workings_of("midwinter-ferry")["attenuation_limit"].lines
    dissolved = next(line for line in lines if line.result.symbol == "S_r")
    sugar = next(line for line in lines if line.result.symbol == "F_r")
    assert dissolved.table is not None
    last = dissolved.table.rows[-1]
    assert last[4] == dissolved.result.value and last[5] == sugar.result.value
    rising = [float(row[4]) for row in dissolved.table.rows]
    assert rising == sorted(rising)


# ---------------------------------------------------------------------- by hand


def test_a_simple_chain_by_hand() -> None:
    """A bill of one malt at a stated efficiency, worked out here with nothing but what the recipe says."""
    beer = brewed(
        "recipe: 1\nname: By hand\nbatch: {volume: 20 L, into: fermenter}\n"
        "brewhouse:\n"
        "  mash: {capacity: 40 L, dead_space: 0 L, absorption: 1 L/kg}\n"
        "  kettle: {boil_off: 3 L/h, loss: 2 L, stand: 0 min, cooling: 0 min}\n"
        "  efficiency: {mash: 75 %, of: as-is}\n"
        "grist: [{malt: maris-otter-pale-malt, weight: 5 kg, yield: 78 % as-is}]\n"
        "mash: {rests: [{at: 66 °C, for: 60 min}]}\nboil: {for: 60 min}\n"
    )
    extract = 5.0 * 0.78 * 0.75  # kg in 22 L
    lines = working_of(beer, "original_gravity").lines
    shown = {line.result.symbol: line.result.value for line in lines}
    assert shown["V_k"] == pytest.approx(22.0)
    assert shown["E_m"] == pytest.approx(extract)
    sg = lines[-1].result.value
    plato = 135.997 * sg**3 - 630.272 * sg**2 + 1111.14 * sg - 616.868
    density = 0.998203 * (sg - 0.0012 * (sg - 1.0))
    assert plato / 100.0 * density * 22.0 == pytest.approx(extract, rel=1e-6)


# ---------------------------------------------------------------------- the sheet


def test_one_symbol_means_one_thing() -> None:
    sheet = Sheet(brew_of("no hops").run)
    sheet.given("x", "a figure", 1.0, "L", "/here")
    sheet.given("x", "a figure", 1.0, "L", "/here")
    with pytest.raises(RuntimeError, match="x is a figure and another"):
        sheet.given("x", "another", 1.0, "L", "/here")


def test_a_line_is_written_once_and_under_its_heading() -> None:
    @once
    def inner(sheet: Sheet) -> Known:
        return sheet.put("a", "one", "1 + 1", (), "1")

    @part("Outer")
    def outer(sheet: Sheet) -> Known:
        first, second = inner(sheet), inner(sheet)
        return sheet.put("b", "two", "a + a", (first, second), "1")

    sheet = Sheet(brew_of("no hops").run)
    outer(sheet)
    assert outer(sheet).value == 4.0
    assert [(line.result.symbol, line.section) for line in sheet.lines] == [("a", "Outer"), ("b", "Outer")]


def test_a_bound_stands_in_the_formula_only_where_it_matters() -> None:
    sheet = Sheet(brew_of("no hops").run)
    x = sheet.given("x", "a figure", 3.0, "L", "/here")
    assert sheet.put("a", "above", "x - 1", (x,), "L", least=0.0).value == 2.0
    assert sheet.put("b", "below", "x - 5", (x,), "L", least=0.0).value == 0.0
    assert [line.formula for line in sheet.lines] == ["x - 1", "max(x - 5, 0)"]


def test_the_odd_brews_are_what_they_are_there_for() -> None:
    """Each odd brew makes lines that the recipe book does not."""

    def symbols(name: str, stat: str) -> set[str]:
        lines = workings_of(name)[stat].lines
        return {known.symbol for line in lines for known in (line.result, *line.terms)}

    def kinds(brew: Brew) -> set[str]:
        return {pitch.id for pitch in brew.plan.cultures}

    assert "I_2" in symbols("infusions left open", "strike_liquor")
    assert "V_s_again" in symbols("infusions and no sparge", "strike_liquor")
    assert "T_2e" in symbols("infusions written", "infusion_liquor")
    assert "u_st" in symbols("infusions that take too much", "strike_liquor")
    assert "V_s_again" in symbols("infusions beside a written sparge", "strike_liquor")
    assert "V_hot" in symbols("a cup of malt in a large tun", "strike_liquor")
    assert "V_hot" in symbols("a cup of malt in a large kettle", "infusion_liquor")
    assert "V_sl" in symbols("steep without its liquor", "liquor_in_all")
    assert "V_sg" in symbols("steep that runs dry", "grain_keeps")
    assert "m_b" in symbols("shares", "original_gravity")
    assert "V_wish" in symbols("shares into the package", "package_volume")
    assert "V_t" in symbols("boiled small, topped up", "fermenter_volume")
    assert "E_u1" in symbols("starter pitched whole", "pitching_gravity")
    assert "P_no" in symbols("finish written", "final_gravity")
    assert {"e_k", "E_d"} <= symbols("brewhouse efficiency stated", "mash_efficiency")
    assert "k1_b" in symbols("high up", "bitterness")
    assert "IBU_0" in symbols("garetz", "bitterness")
    assert workings_of("lactose and a hungry culture")["peak_pressure"].worst
    assert {"n_4g", "n_5l", "n_6l", "z_2y"} <= symbols("yeast of all kinds", "cells_pitched")
    assert {"o_1", "o_2", "o_3", "o_5", "o_p"} <= symbols("yeast of all kinds", "oxygen")
    assert {"o_1", "o_2"} <= symbols("strong and old, into bottles", "headspace_oxygen")
    assert "v_rx" in symbols("strong and old, into bottles", "residual_co2")
    assert "v_h" in symbols("closed under a valve", "residual_co2")
    assert "s_gc_again" in symbols("closed under a valve", "closing_gravity")
    assert "F_h" in symbols("packaged early", "gas_to_come")
    assert {"v_1k", "v_2k", "v_3k", "v_ks", "v_to"} <= symbols("casks", "vented_carbonation")
    assert {"u_h2", "u_h5", "r_h5", "x_h5"} <= symbols("things that lie in the beer", "dry_hop_contact")
    assert "t_g2" in symbols("things that lie in the beer", "fruit_contact")
    assert "t_s" in symbols("wood in a plan without a package", "wood_contact")
    assert kinds(brew_of("no yeast")) == set()
    assert all(brew_of(name).plan.recipe.name == "Odd" for name in ODD)
