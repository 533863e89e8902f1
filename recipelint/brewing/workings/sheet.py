"""The working behind a stat: every line from the figures that are written down to the result, to be redone by hand.

A working is a list of lines. A line has a result, and a formula over symbols: each symbol is the result of an earlier
line or a given, which tells where it comes from. The numbers are those of the run itself; where a station of the run
holds a figure, the line shows that figure, and a test holds the formula to it.

Kinds of line:

=============  =====================================================================================================
``equation``   the formula gives the result; with a ``target``, the result is the value that was tried there
``solved``     the result is what makes the formula, in which it stands itself, give the ``target``
``trial``      the result is tried: what follows leads back to it, or to the wish that the note names
``stepwise``   the result is added up step by step; ``formula`` says of what, in words, and ``table`` shows the steps
``given``      the result is a given
=============  =====================================================================================================

Masses kg, volumes L at 20 °C, gravities SG 20/20 °C, shares fractions, unless a line says otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Concatenate, NamedTuple, ParamSpec, TypeVar

if TYPE_CHECKING:
    from recipelint.brewing.brew import Brew
    from recipelint.brewing.process import Run

P = ParamSpec("P")
T = TypeVar("T")

ARITHMETIC = "arithmetic"
MASSES = "balance of masses"
VOLUMES = "balance of volumes"
EXTRACT = "balance of extract"
PRACTICE = "common practice"
RESULT = "Result"  # the heading of what belongs to no part of the day
MEMORY = "from memory"
FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "min": min,
    "max": max,
    "round": round,
    "exp": math.exp,
    "log": math.log,
    "log10": math.log10,
    "sqrt": math.sqrt,
    "tanh": math.tanh,
}
"""What a formula may call; ``log`` is the natural logarithm."""


CLOSE = 1e-6  # relative: what the solvers of a run leave over
NEAR_NOTHING = 1e-5  # below it only the absolute difference counts
BEYOND = "the figures of this brew lie beyond what the equations are made for"


class Unworkable(Exception):
    """A line would not say the truth: the brew lies at a bound, or past the range of an equation or its solver."""


class Known(NamedTuple):
    """A figure that formulas can name. ``line`` is the number of the line that gives it, 0 for a given.

    ``origin`` of a given: a pointer into the recipe (``/grist/0/weight``), another file with a pointer, a row of the
    catalogue, or a default with its ground. ``unit`` is ``1`` for shares and ratios.
    """

    symbol: str
    words: str
    value: float
    unit: str
    origin: str = ""
    line: int = 0


class Table(NamedTuple):
    """The steps of a line that is added up; the unit stands in the column's title."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str | float, ...], ...]


class Line(NamedTuple):
    """One line of a working; ``section`` is the heading it stands under."""

    number: int
    section: str
    kind: str
    result: Known
    formula: str = ""
    terms: tuple[Known, ...] = ()
    target: Known | None = None
    source: str = ""
    note: str = ""
    table: Table | None = None


class Working(NamedTuple):
    """The lines that lead to a stat, the last of which is the stat; none of them, and ``why``, where there are none.

    ``worst`` leads to the risk case, where the stat has one; its first lines are the same.
    """

    name: str
    lines: tuple[Line, ...]
    why: str = ""
    worst: tuple[Line, ...] = ()


class Sheet:
    """The sheet of paper on which one run is worked out. ``once`` keeps a line from being written twice.

    Raises RuntimeError where one symbol is to mean two things, Unworkable where a line would not hold.
    """

    def __init__(self, run: Run) -> None:
        self.run = run
        self.plan = run.plan
        self.lines: list[Line] = []
        self.kept: dict[object, object] = {}
        self.section = RESULT
        self._meaning: dict[str, Known] = {}

    def given(self, symbol: str, words: str, value: float, unit: str, origin: str) -> Known:
        """A figure that is not worked out here."""
        return self._mean(Known(symbol, words, value, unit, origin))

    def put(
        self,
        symbol: str,
        words: str,
        formula: str,
        terms: Sequence[Known],
        unit: str,
        value: float | None = None,
        source: str = ARITHMETIC,
        note: str = "",
        target: Known | None = None,
        least: float | None = None,
        most: float | None = None,
    ) -> Known:
        """A line whose formula gives its result; ``value`` is the run's own figure, where the run holds one.

        ``least`` and ``most`` bound the result; they stand in the formula only where they matter.
        """
        plain = worked(formula, terms)
        if least is not None and plain < least:
            formula = f"max({formula}, {least:g})"
        elif most is not None and plain > most:
            formula = f"min({formula}, {most:g})"
        got = worked(formula, terms)
        if value is None:
            value = got
        _hold(got, value)
        if target is not None:
            _hold(got, target.value)
        return self._write(
            "equation", Known(symbol, words, value, unit), formula, terms, source, note, target
        )

    def solve(
        self,
        symbol: str,
        words: str,
        formula: str,
        terms: Sequence[Known],
        unit: str,
        value: float,
        target: Known,
        source: str,
        note: str = "",
    ) -> Known:
        """A line that is read backwards: with the result put in, the formula gives the target."""
        result = Known(symbol, words, value, unit)
        _hold(worked(formula, (*terms, result)), target.value)
        return self._write("solved", result, formula, terms, source, note, target)

    def try_(self, symbol: str, words: str, value: float, unit: str, note: str) -> Known:
        """A figure that is tried; a later line comes back to it."""
        return self._write("trial", Known(symbol, words, value, unit), note=note)

    def step(
        self,
        symbol: str,
        words: str,
        form: str,
        terms: Sequence[Known],
        unit: str,
        value: float,
        source: str,
        note: str = "",
        table: Table | None = None,
    ) -> Known:
        """A line that takes many small steps."""
        return self._write(
            "stepwise", Known(symbol, words, value, unit), form, terms, source, note, table=table
        )

    def state(self, known: Known) -> Known:
        """A given on a line of its own, or an earlier result once more, for a stat that is nothing else."""
        if known.line and known.line == len(self.lines):
            return known
        self.section = RESULT
        if known.line == 0:
            return self._write("given", known)
        again = Known(f"{known.symbol}_", known.words, known.value, known.unit)
        return self._write("equation", again, known.symbol, (known,), ARITHMETIC)

    def sum(
        self, symbol: str, words: str, terms: Sequence[Known], unit: str, value: float | None = None
    ) -> Known:
        """The sum of the terms; 0 of none, and of one that term itself."""
        if len(terms) == 1:
            return terms[0]
        formula = " + ".join(term.symbol for term in terms) or "0"
        return self.put(symbol, words, formula, terms, unit, value)

    def most(
        self,
        symbol: str,
        words: str,
        terms: Sequence[Known],
        unit: str,
        value: float | None = None,
        source: str = ARITHMETIC,
    ) -> Known:
        """The greatest of the terms; of one, or the same one several times, that term itself."""
        different = list({term.symbol: term for term in terms}.values())
        if len(different) == 1:
            return different[0]
        formula = f"max({', '.join(term.symbol for term in different)})"
        return self.put(symbol, words, formula, different, unit, value, source)

    def _write(
        self,
        kind: str,
        result: Known,
        formula: str = "",
        terms: Sequence[Known] = (),
        source: str = "",
        note: str = "",
        target: Known | None = None,
        table: Table | None = None,
    ) -> Known:
        number = len(self.lines) + 1
        result = self._mean(result._replace(line=number))
        found = tuple(dict.fromkeys(terms))
        self.lines.append(
            Line(number, self.section, kind, result, formula, found, target, source, note, table)
        )
        return result

    def _mean(self, known: Known) -> Known:
        before = self._meaning.setdefault(known.symbol, known)
        if before._replace(line=0) != known._replace(line=0):
            raise RuntimeError(f"{known.symbol} is {before.words} and {known.words}")
        self._meaning[known.symbol] = known
        return known


def once(make: Callable[Concatenate[Sheet, P], T]) -> Callable[Concatenate[Sheet, P], T]:
    """Writes a thing on a sheet when it is first asked for, and hands out the same from then on."""
    return _kept(make, None)


def part(
    section: str,
) -> Callable[[Callable[Concatenate[Sheet, P], T]], Callable[Concatenate[Sheet, P], T]]:
    """``once``, with the heading that the lines of the function stand under."""
    return lambda make: _kept(make, section)


def _kept(
    make: Callable[Concatenate[Sheet, P], T], section: str | None
) -> Callable[Concatenate[Sheet, P], T]:
    def kept(sheet: Sheet, /, *args: P.args, **named: P.kwargs) -> T:
        key = make, args, tuple(named.items())
        if key not in sheet.kept:
            before = sheet.section
            sheet.section = before if section is None else section
            sheet.kept[key] = make(sheet, *args, **named)
            sheet.section = before
        return sheet.kept[key]  # type: ignore[return-value]

    return kept


def summed(parts: Iterable[str]) -> str:
    """A sum to go on with: in brackets, if it is more than one symbol; 0 of none."""
    formula = " + ".join(parts) or "0"
    return f"({formula})" if " " in formula else formula


def worked(formula: str, terms: Sequence[Known]) -> float:
    """What a formula gives. Formulas stand in this folder's code and are never read from a file."""
    values = {term.symbol: term.value for term in terms}
    return float(eval(formula, {"__builtins__": {}, **FUNCTIONS}, values))


def working_of(brew: Brew, name: str) -> Working:
    """The working of a stat by its name.

    A stat without a value, and a brew past all bounds (more loss than wort, a wort like syrup), have none and say why.
    Raises KeyError for a name that no file may use.
    """
    stat = brew.stat(name)
    if stat.value is None:
        return Working(name, (), stat.why)
    if brew.plan.came is not None:
        return Working(
            name, (), "the working is of the beer as planned; leave out the volume that came instead"
        )
    # The station modules import this one, and are wanted only here.
    from recipelint.brewing.workings.chains import CHAINS

    chain = CHAINS.get(name)
    if chain is None:
        return Working(name, (), "its working is not written out yet")
    try:
        lines = _written_out(brew.run, chain, stat.value)
        worst = _written_out(brew.risk_run, chain, stat.risk) if stat.risk is not None else ()
    except Unworkable:
        return Working(name, (), BEYOND)
    return Working(name, lines, worst=worst)


def _written_out(run: Run, chain: Callable[[Sheet], Known], value: float) -> tuple[Line, ...]:
    sheet = Sheet(run)
    try:
        _hold(sheet.state(chain(sheet)).value, value)
    except (ArithmeticError, ValueError) as trouble:  # no wort at all, a logarithm of nothing
        raise Unworkable(str(trouble)) from trouble
    return tuple(sheet.lines)


def _hold(got: float, wanted: float) -> None:
    """Nothing is shown that does not hold. Raises Unworkable."""
    if not abs(got - wanted) <= CLOSE * max(abs(got), abs(wanted), NEAR_NOTHING):
        raise Unworkable(f"{got} is not {wanted}")


def need(known: Known | None) -> Known:
    """What must be there for a line to be written. Raises Unworkable."""
    if known is None:
        raise Unworkable("a line rests on nothing")
    return known
