"""The working as text: what is printed can be redone from what is printed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from recipelint.brewing.workings.sheet import Known, Line
from recipelint.recipe.stat_names import STATS, resolution
from recipelint.report.working_text import COLUMNS, figure, formula_text, working_text
from recipelint.workspace.workspace import Brewed, open_workspace
from tests.brewing.formulas import evaluate
from tests.brewing.worked_brews import NAMES, brew_of, lines_of, workings_of

BOOK = Path(__file__).resolve().parents[2] / "examples" / "recipe-book"


def brewed_of(name: str) -> Brewed:
    brew = brew_of(name)
    return Brewed(brew.recipe, brew, None)


def half_a_digit(known: Known) -> float:
    """Half of the last place that is printed; nothing where the figure is printed in full."""
    text = figure(known)
    if float(text) == known.value:
        return 0.0
    # Zeros at the end are left out, so that the place is told by how many digits are meant.
    return max(0.5 * 10.0 ** -len(text.partition(".")[2]), abs(float(text) - known.value))


def what_the_digits_carry(line: Line, values: dict[str, float]) -> float:
    """How far the result may move if each number lies anywhere within its last digit, to first order."""
    total = 0.0
    for known in (*line.terms, *((line.result,) if line.kind == "solved" else ())):
        half = half_a_digit(known)
        if half > 0.0:
            up, down = (
                evaluate(line.formula, {**values, known.symbol: values[known.symbol] + sign * half})
                for sign in (1, -1)
            )
            total += abs(up - down) / 2.0
    return total


@pytest.mark.parametrize("name", NAMES)
def test_the_printed_numbers_give_the_printed_result(name: str) -> None:
    for stat, line in lines_of(name):
        if line.kind not in ("equation", "solved"):
            continue
        wanted = line.result if line.kind == "equation" else line.target
        assert wanted is not None
        values = {known.symbol: float(figure(known)) for known in (*line.terms, line.result)}
        got = evaluate(line.formula, values)
        room = what_the_digits_carry(line, values) + half_a_digit(wanted)
        assert abs(got - float(figure(wanted))) <= 1.01 * room + 1e-9, (
            stat,
            line.number,
            line.formula,
            got,
            figure(wanted),
        )


def _solved(line: Line, values: dict[str, float], target: float) -> float:
    """The result of a solved line, found by chords from what is printed."""
    symbol = line.result.symbol
    last = values[symbol]
    now = last + 1e-4
    for _ in range(20):
        low, high = (evaluate(line.formula, {**values, symbol: x}) - target for x in (last, now))
        if high == low:
            break
        last, now = now, now - high * (now - last) / (high - low)
    return now


def by_hand(lines: tuple[Line, ...]) -> float:
    """The last result as a reader gets it who starts from the printed givens, and goes on with results of his own.

    What is tried, and what takes many small steps, is taken as it is printed.
    """
    own: dict[str, float] = {}
    for line in lines:
        values = {known.symbol: own.get(known.symbol, float(figure(known))) for known in line.terms}
        got = float(figure(line.result))
        if line.kind == "equation":
            got = evaluate(line.formula, values)
        elif line.kind == "solved" and line.target is not None:
            target = own.get(line.target.symbol, float(figure(line.target)))
            got = _solved(line, {**values, line.result.symbol: got}, target)
        own[line.result.symbol] = got
    return own[lines[-1].result.symbol]


@pytest.mark.parametrize("name", NAMES)
def test_a_stat_redone_from_the_printed_givens_is_the_stat_that_is_told(name: str) -> None:
    brew = brew_of(name)
    for stat, working in workings_of(name).items():
        value = brew.stat(stat).value
        assert value is not None
        assert abs(by_hand(working.lines) - value) <= 0.5 * resolution(STATS[stat]) + 1e-12, stat


# ---------------------------------------------------------------------- the page


@pytest.mark.parametrize("name", ["midwinter-ferry", "salts and acids", "rager"])
def test_every_page_is_narrow_and_numbers_its_lines(name: str) -> None:
    brewed = brewed_of(name)
    for stat, working in workings_of(name).items():
        text = working_text(brewed, stat)
        assert all(len(line) <= COLUMNS for line in text.splitlines()), stat
        assert text.isprintable() or all(line.isprintable() for line in text.splitlines())
        numbers = [int(found) for found in re.findall(r"(?m)^ {1,3}(\d+)  ", text)]
        assert numbers[: len(working.lines)] == list(range(1, len(working.lines) + 1)), stat
        assert "**" not in text and " * " not in text
        for place in re.findall(r"line (\d+)", text):
            assert 1 <= int(place) <= max(len(working.lines), len(working.worst))


def test_a_line_has_words_formula_numbers_result_and_origins() -> None:
    text = working_text(brewed_of("midwinter-ferry"), "kettle_volume")
    assert text.splitlines()[:2] == [
        "Midwinter Ferry, on sluice-42",
        "volume in the kettle at flame-out: 22.3 L",
    ]
    for line in (
        "   2  wort left in the kettle  [balance of volumes]",
        "      L = L_d + L_h = 2 + 0.3 = 2.3 L",
        "      L_d = 2 L, dregs left in the kettle: brewhouses/sluice-42.yaml#/kettle/loss",
        "      h_1 = 0.025 kg, weight of Northern Brewer: /hops/0/weight, written 25 g",
        "      L_h: line 1",
    ):
        assert line in text.splitlines()
    assert "volume in the kettle at flame-out: 22.3 L, line 3\n" in text


def test_what_is_solved_shows_the_check() -> None:
    text = working_text(brewed_of("midwinter-ferry"), "original_gravity")
    (found,) = re.findall(r"s_w = (1\.\d{6}), because then\n((?:      .*\n){3})", text)
    sg, check = float(found[0]), found[1]
    plato = 135.997 * sg**3 - 630.272 * sg**2 + 1111.14 * sg - 616.868
    assert f"= {plato:.4f} °P = P_w" in check


def test_what_is_tried_is_told_so_and_come_back_to() -> None:
    text = working_text(brewed_of("midwinter-ferry"), "mash_efficiency")
    tried = re.search(r"(?m)^ +(\d+)  mash efficiency\n      e = ([\d.]+)\n      tried", text)
    assert tried is not None
    assert f"= {tried[2]}, as tried in line {tried[1]}" in text


def test_the_band_says_what_widens_it_most() -> None:
    brewed = brewed_of("midwinter-ferry")
    last = working_text(brewed, "bitterness").rpartition("90 % band ")[2].replace("\n  ", " ")
    told = re.findall(r"([a-z -]+) ± ([\d.]+) IBU", last.partition(": ")[2])
    assert len(told) == 3
    moves = {group: abs(move) for group, move in brewed.brew.moves("bitterness")}
    assert [group.strip() for group, _ in told] == sorted(moves, key=lambda group: -moves[group])[:3]
    for group, move in told:
        assert float(move) == pytest.approx(moves[group.strip()], abs=0.06)


def test_the_worst_case_follows_with_what_is_other_in_it() -> None:
    brewed = brewed_of("lactose and a hungry culture")
    text = working_text(brewed, "final_gravity")
    before, _, after = text.partition("\nAt worst, ")
    risk = brewed.brew.stat("final_gravity").risk
    assert risk is not None and f"{risk:.3f}, line" in after
    assert "extract in Maris Otter" in before and "extract in Maris Otter" not in after


def test_a_stat_without_a_value_says_why_in_two_lines() -> None:
    assert working_text(brewed_of("no brewhouse"), "mash_ph") == (
        "Odd, on the default brewhouse\nmash pH: not computed, since the recipe gives no water\n"
    )


def test_in_us_units_the_working_stays_metric_and_says_so() -> None:
    text = working_text(brewed_of("midwinter-ferry"), "kettle_volume", "us")
    assert "The working is metric throughout" in text
    assert "volume in the kettle at flame-out: 5.89 gal (22.3 L, line 3)" in text
    assert "L = L_d + L_h = 2 + 0.3 = 2.3 L" in text


# ---------------------------------------------------------------------- numbers and formulas


@pytest.mark.parametrize(
    ("value", "unit", "line", "printed"),
    [
        (1.0707289517, "SG", 3, "1.070729"),
        (1.07, "SG", 3, "1.070000"),
        (1.036, "SG", 0, "1.036"),
        (5.9, "kg", 0, "5.9"),
        (7.2574779, "kg", 0, "7.257478"),
        (22.3, "L", 3, "22.3"),
        (0.7727675, "1", 3, "0.77277"),
        (23.94022, "kg", 3, "23.94"),
        (1.0112428, "kg/L", 3, "1.01124"),
        (-14.83712, "°P", 3, "-14.8371"),
        (0.01084011, "1", 3, "0.0108401"),
        (5.4013462, "pH", 3, "5.40135"),
        (1234567.0, "1", 3, "1234567"),
        (0.0000123456, "1", 3, "0.0000123456"),
        (-22.4138, "mEq", 3, "-22.414"),
        (3.1e-11, "mEq", 3, "0"),
        (0.0, "L", 0, "0"),
    ],
)
def test_numbers_are_printed_to_what_they_carry(value: float, unit: str, line: int, printed: str) -> None:
    assert figure(Known("x", "a figure", value, unit, "/here", line)) == printed


def test_formulas_are_written_as_on_paper() -> None:
    values = {"a": Known("a", "one", -2.0, "1", "/here"), "s": Known("s", "two", 1.5, "1", "/here")}
    assert formula_text("1e6 * a**2 - 2.5e-5 * log(s) / log10(a + s)") == (
        "10^6 × a^2 - 2.5×10^-5 × ln(s) / log10(a + s)"
    )
    assert formula_text("a * s", values) == "(-2) × 1.5"


def test_a_band_of_nothing_is_not_told() -> None:
    """A sparge of so many litres, or of none, is sure to the decimal that is printed."""
    told = open_workspace(str(BOOK)).brewed("recipes/coal-barge.yaml")
    assert told is not None
    low, high = told.brew.band("sparge_liquor") or (0.0, 1.0)
    assert high - low < 0.05
    assert "90 % band" not in working_text(told, "sparge_liquor")
    assert "90 % band" in working_text(told, "original_gravity")
