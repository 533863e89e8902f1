"""The working behind a stat as text: numbered lines, formula, the numbers put in, and where each of them comes from."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from recipelint.brewing.workings.sheet import FUNCTIONS, Known, Line, Table, Working, working_of
from recipelint.recipe.stat_names import REMARKS, STATS, StatSpec, written
from recipelint.report import numbers
from recipelint.report.naming import brewhouse_name
from recipelint.report.screen import NAME, clean, cut, folded, width

if TYPE_CHECKING:
    from recipelint.workspace.workspace import Brewed

COLUMNS = 98
DIGITS = 5  # significant digits of what is worked out; one more where the first of them is a one
GIVEN_DIGITS = 7  # and of what is written down
DECIMALS = {"SG": 6, "pH": 5}  # of what goes on as a small difference
NOTHING = 1e-9
_IN = "      "  # under the words of a line
_NAMES = {"log": "ln"}  # as it is called on paper
_TOKEN = re.compile(r"[A-Za-z_][A-Za-z_0-9]*|\d+(?:\.\d+)?e[+-]?\d+|\*\*|\*|.", re.S)
_MOST_GROUPS = 3


def working_text(brewed: Brewed, name: str, units: str = "metric") -> str:
    """The working of one stat of one recipe; ``units`` is metric or us. Raises KeyError for an unknown name."""
    spec = STATS[name]
    title = clean(brewed.recipe.name)
    house = brewhouse_name(brewed)
    lines = [*_wrapped(f"{title}, on {clean(house) if house else 'the default brewhouse'}", "  ")]
    working = working_of(brewed.brew, name)
    if brewed.brew.stat(name).value is not None:
        lines.append(_result(brewed, spec, units))
    if not working.lines:
        if brewed.brew.stat(name).value is None:
            lines += _wrapped(f"{spec.title}: not computed, since {clean(working.why)}", "  ")
        else:
            lines += _wrapped(f"no working: {clean(working.why)}", "  ")
        return "\n".join(lines) + "\n"
    lines += ["", *_head(units), *_body(working.lines, ())]
    if working.worst:
        lines += [
            "",
            f"At worst, the cultures go as far as they can: {_spelt(spec, working.worst[-1], units)}",
        ]
        told = set(working.lines)
        lines += _body([line for line in working.worst if line not in told], working.lines)
    lines += ["", _end(spec, working, units), *_band(brewed, spec, units)]
    return "\n".join(lines) + "\n"


def _result(brewed: Brewed, spec: StatSpec, units: str) -> str:
    value = brewed.brew.stat(spec.name).value
    return "" if value is None else f"{spec.title}: {' '.join(numbers.spelt(spec, value, units)).strip()}"


def _head(units: str) -> list[str]:
    found = [
        "Each line can be redone by hand. Numbers are rounded for print only, so that the last digit of",
        "what you get may differ a little.",
    ]
    if units == "us":
        found.append(
            "The working is metric throughout, volumes at 20 °C; the result is told in US units too."
        )
    return found


def _body(lines: Sequence[Line], before: Sequence[Line]) -> Iterator[str]:
    """The lines under their headings; a given is told in full where it is first put in."""
    heading = None
    told: dict[Known, int] = {}
    for line in before:
        for term in line.terms:
            if term.line == 0:
                told.setdefault(term, line.number)
    for line in lines:
        if line.section != heading:
            heading = line.section
            yield from ("", heading)
        yield from _line(line, told)


def _line(line: Line, told: dict[Known, int]) -> Iterator[str]:
    result = line.result
    source = f"  [{line.source}]" if line.source and line.source != "arithmetic" else ""
    yield from _wrapped(f"{line.number:>4}  {clean(result.words)}{source}", _IN)
    yield from _worked(line)
    yield from _terms(line, told)
    if line.note:
        yield from _wrapped(f"{_IN}{clean(line.note)}", f"{_IN}  ")
    if line.table is not None:
        yield from _table(line.table)


def _worked(line: Line) -> Iterator[str]:
    result = line.result
    got = _with_unit(result)
    if line.kind == "given":
        yield from _wrapped(f"{_IN}{result.symbol} = {got}: {clean(result.origin)}", f"{_IN}  ")
        return
    if line.kind == "trial":
        yield f"{_IN}{result.symbol} = {got}"
        return
    if line.kind == "stepwise":
        yield from _wrapped(
            f"{_IN}{result.symbol} = {got}, computed step by step: {line.formula}", f"{_IN}  "
        )
        return
    shown = formula_text(line.formula)
    known = {term.symbol: term for term in (*line.terms, result)}
    put_in = formula_text(line.formula, known)
    if line.kind == "solved" and line.target is not None:
        yield f"{_IN}{result.symbol} = {got}, because then"
        end = f"= {_with_unit(line.target)} = {line.target.symbol}"
        yield from _steps("", shown, put_in, end)
        return
    end = f"= {got}"
    again = line.result.symbol.endswith("_again")
    if line.target is not None:
        end += f", as tried in line {line.target.line}" if again else f" = {line.target.symbol}"
    symbol = result.symbol
    if line.target is not None and again:
        symbol = line.target.symbol
    yield from _steps(f"{symbol} = ", shown, put_in, end)


def _steps(start: str, shown: str, put_in: str, end: str) -> Iterator[str]:
    """Formula, numbers and result on one line where they fit, else on lines of their own."""
    parts = [shown] if put_in == shown or " " not in shown else [shown, put_in]
    whole = f"{_IN}{start}{' = '.join(parts)} {end}"
    if width(whole) <= COLUMNS:
        yield whole
        return
    lead = " " * (len(_IN) + max(len(start) - 2, 0))
    yield from _wrapped(f"{_IN}{start}{parts[0]}", f"{lead}    ")
    if len(parts) > 1:
        last = f"{lead}= {parts[1]} {end}"
        if width(last) <= COLUMNS:
            yield last
            return
        yield from _wrapped(f"{lead}= {parts[1]}", f"{lead}    ")
    yield f"{lead}{end}"


def _terms(line: Line, told: dict[Known, int]) -> Iterator[str]:
    """Where each number comes from: earlier lines together, a given in full the first time."""
    earlier: list[str] = []
    for term in line.terms:
        if term.line:
            earlier.append(f"{term.symbol}: line {term.line}")
        elif term in told:
            earlier.append(f"{term.symbol}: at line {told[term]}")
        else:
            told[term] = line.number
            text = f"{_IN}{term.symbol} = {_with_unit(term)}, {clean(term.words)}: {clean(term.origin)}"
            yield from _wrapped(text, f"{_IN}  ")
    if line.target is not None and line.target.line and not line.result.symbol.endswith("_again"):
        earlier.append(f"{line.target.symbol}: line {line.target.line}")
    if earlier:
        yield from _wrapped(f"{_IN}{'; '.join(earlier)}", f"{_IN}  ")


def _table(table: Table) -> Iterator[str]:
    cells = [list(table.columns)]
    cells += [[cut(_cell(cell), NAME) for cell in row] for row in table.rows]
    widths = [max(width(row[column]) for row in cells) for column in range(len(table.columns))]
    for row in cells:
        padded = (" " * (room - width(cell)) + cell for cell, room in zip(row, widths, strict=True))
        yield f"{_IN}  {'  '.join(padded)}".rstrip()


# ---------------------------------------------------------------------- the end


def _end(spec: StatSpec, working: Working, units: str) -> str:
    last = working.lines[-1]
    remark = f"; {REMARKS[spec.name]}" if spec.name in REMARKS else ""
    return f"{spec.title}: {_spelt(spec, last, units)}{remark}"


def _spelt(spec: StatSpec, line: Line, units: str) -> str:
    """The result as the stats page tells it, and its line."""
    metric = " ".join(numbers.spelt(spec, line.result.value)).strip()
    theirs = " ".join(numbers.spelt(spec, line.result.value, units)).strip()
    return f"{metric}, line {line.number}" if theirs == metric else f"{theirs} ({metric}, line {line.number})"


def _band(brewed: Brewed, spec: StatSpec, units: str) -> Iterator[str]:
    """The 90 % band, and what widens it most."""
    band = brewed.brew.band(spec.name)
    if band is None or not band[0] < band[1]:
        return
    low, (high, unit) = numbers.spelt(spec, band[0], units)[0], numbers.spelt(spec, band[1], units)
    if low == high:
        return  # as on the stats page: no band that can be told
    high = f"{high} {unit}".strip()
    moves = dict(brewed.brew.moves(spec.name))
    wide = [(group, abs(moves[group])) for group, _ in brewed.brew.widest(spec.name, _MOST_GROUPS)]
    if not wide:
        return
    told = ", ".join(f"{group} ± {_move(spec, move, units)}" for group, move in wide)
    yield from _wrapped(f"90 % band {low} .. {high}. What widens it most: {told}.", "  ")


def _move(spec: StatSpec, move: float, units: str) -> str:
    """Half a band in the unit of the band, with one decimal more than the stat."""
    if numbers.spelt(spec, 0.0)[1] == "%":
        return f"{numbers.decimals(move * 100.0, max(spec.digits - 1, 1))} points"
    if spec.unit == "h":
        return f"{numbers.decimals(move / 24.0, 1)} d"
    if spec.unit in ("SG", "1"):
        return numbers.decimals(move, spec.digits + 1)
    if spec.unit == "°C" and units == "us":  # a difference has no zero of its own
        return f"{numbers.decimals(1.8 * move, spec.digits)} °F"
    return " ".join(numbers.in_units(written(spec, move), spec.unit, spec.digits + 1, units))


# ---------------------------------------------------------------------- numbers and formulas


def figure(known: Known) -> str:
    """A number as it is printed: results to five digits, gravities and pH to decimals, givens as they are."""
    if not known.line:
        return _significant(known.value, GIVEN_DIGITS)
    decimals = DECIMALS.get(known.unit)
    if decimals is not None:
        return numbers.decimals(known.value, decimals)
    text = _significant(known.value, DIGITS)
    return _significant(known.value, DIGITS + 1) if text.lstrip("-0.").startswith("1") else text


def _significant(value: float, digits: int) -> str:
    """A number to so many digits, without an exponent and without zeros at the end."""
    if abs(value) < NOTHING:
        return "0"
    text = numbers.decimals(value, digits - 1 - math.floor(math.log10(abs(value))))
    return text.rstrip("0").rstrip(".") if "." in text else text


def _cell(value: str | float) -> str:
    """A number in a table: the reader compares rows and does not go on with it."""
    if isinstance(value, str):
        return value
    return numbers.decimals(value, 1) if abs(value) >= 1.0 else _significant(value, 3)


def _with_unit(known: Known) -> str:
    return figure(known) if known.unit in ("1", "SG") else f"{figure(known)} {known.unit}"


def formula_text(formula: str, known: dict[str, Known] | None = None) -> str:
    """A formula as it is written on paper; with ``known`` the numbers stand for their symbols."""
    found: list[str] = []
    for token in _TOKEN.findall(formula):
        if token == "**":
            found.append("^")
        elif token == "*":
            found.append("×")
        elif token in FUNCTIONS:
            found.append(_NAMES.get(token, token))
        elif known is not None and token in known:
            number = figure(known[token])
            found.append(f"({number})" if number.startswith("-") else number)
        elif token[0].isdigit() and "e" in token:
            mantissa, _, power = token.partition("e")
            found.append(f"10^{int(power)}" if mantissa == "1" else f"{mantissa}×10^{int(power)}")
        else:
            found.append(token)
    return "".join(found)


def _wrapped(text: str, indent: str) -> Iterator[str]:
    """A text cut to the width of the page; what follows the first line is indented."""
    return folded(text, COLUMNS, indent)
