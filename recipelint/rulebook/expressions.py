"""The small language of rules: arithmetic and yes-or-no over bare names.

Allowed are names, numbers, texts and tuples of texts, ``and or not in``, comparison, ``+ - * /`` and ``abs
min max``. Nothing else: no attributes, no other calls, no subscripts. A text becomes a chain of closures, so
nothing is ever handed to the interpreter to run.

``None`` is the unknown. Whatever needs an unknown is unknown itself, except where the answer does not depend
on it:
``False and unknown`` is ``False`` and ``True or unknown`` is ``True`` (three-valued logic after Kleene).
Division by zero and numbers too large for a float are unknown as well.
"""

# Node classes and operators come from modules that are built in; `ast` and `operator` would cost the hook imports.
import _ast
from _operator import add, eq, ge, gt, le, lt, mul, ne, sub
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple, TypeAlias

from recipelint.recipe.nearest import nearest

MAX_LENGTH = 300
MAX_DEPTH = 16
MAX_NODES = 120
MAX_NUMBER = 1e12

Scope: TypeAlias = Sequence[Mapping[str, Any]]
Run: TypeAlias = Callable[[Scope], Any]


class Type(NamedTuple):
    """What a name or an expression is: ``number`` (with its unit), ``text``, ``flag`` or ``texts``.

    A number whose unit is ``None`` fits any other: so does every literal.
    """

    kind: str
    unit: str | None = None


class Name(NamedTuple):
    """A name that may be used: its type, and which mapping of the scope holds it."""

    type: Type
    place: int


class Compiled(NamedTuple):
    """An expression ready to run: ``run(scope)`` gives a value or ``None``."""

    text: str
    type: Type
    names: tuple[str, ...]
    run: Run


class ExpressionError(Exception):
    """Why an expression cannot be used; ``column`` counts code points from 1."""

    def __init__(self, message: str, column: int = 1, near: Sequence[str] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.column = column
        self.near = tuple(near)


NUMBER = Type("number")
FLAG = Type("flag")
TEXT = Type("text")
TEXTS = Type("texts")


def compile_expression(text: str, names: Mapping[str, Name]) -> Compiled:
    """Parse, check and compile; raises ExpressionError with the column of what is wrong."""
    if len(text) > MAX_LENGTH:
        raise ExpressionError(
            f"{len(text)} characters are too long for an expression; {MAX_LENGTH} are allowed", MAX_LENGTH
        )
    builder = _Builder(text, names)
    run, kind = builder.build(_parse(text), 1)
    return Compiled(text, kind, tuple(dict.fromkeys(builder.used)), run)


def suggestion(near: Sequence[str]) -> str:
    """``; did you mean a or b?`` or nothing."""
    return f"; did you mean {' or '.join(near)}?" if near else ""


def _parse(text: str) -> _ast.expr:
    import warnings

    if "\\" in text:
        raise ExpressionError("a backslash has no place in an expression", text.index("\\") + 1)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            tree = compile(text.strip(" "), "<rule>", "eval", _ast.PyCF_ONLY_AST)
    except SyntaxError as trouble:
        # Without an offset the text ended too early.
        column = len(text) - len(text.lstrip(" ")) + trouble.offset if trouble.offset else len(text)
        raise ExpressionError("this is not an expression", max(1, min(len(text), column))) from None
    except (ValueError, MemoryError, RecursionError, OverflowError):
        raise ExpressionError("this is not an expression") from None
    assert isinstance(tree, _ast.Expression)
    return tree.body


class _Builder:
    __slots__ = ("count", "lead", "names", "text", "used")

    def __init__(self, text: str, names: Mapping[str, Name]) -> None:
        self.text = text
        self.names = names
        self.used: list[str] = []
        self.count = 0
        self.lead = len(text) - len(text.lstrip(" "))

    def fail(self, node: _ast.expr, message: str, near: Sequence[str] = ()) -> ExpressionError:
        lines = self.text.strip(" ").split("\n")
        before = sum(len(line) + 1 for line in lines[: node.lineno - 1])
        line = lines[node.lineno - 1] if node.lineno <= len(lines) else ""
        # The parser counts bytes, people count characters.
        inside = len(line.encode("utf-8", "replace")[: node.col_offset].decode("utf-8", "ignore"))
        return ExpressionError(message + suggestion(near), self.lead + before + inside + 1, near)

    def build(self, node: _ast.expr, depth: int) -> tuple[Run, Type]:
        self.count += 1
        if depth > MAX_DEPTH:
            raise self.fail(node, f"the expression is nested deeper than {MAX_DEPTH} levels")
        if self.count > MAX_NODES:
            raise self.fail(node, f"the expression has more than {MAX_NODES} parts")
        if isinstance(node, _ast.Name):
            return self.name(node)
        if isinstance(node, _ast.Constant):
            return self.constant(node)
        if isinstance(node, _ast.BinOp):
            return self.binary(node, depth)
        if isinstance(node, _ast.BoolOp):
            return self.boolean(node, depth)
        if isinstance(node, _ast.UnaryOp):
            return self.unary(node, depth)
        if isinstance(node, _ast.Compare):
            return self.compare(node, depth)
        if isinstance(node, _ast.Call):
            return self.call(node, depth)
        if isinstance(node, _ast.Tuple):
            return self.texts(node)
        raise self.fail(node, f"{_words(node)} has no place in an expression")

    def name(self, node: _ast.Name) -> tuple[Run, Type]:
        known = self.names.get(node.id)
        if known is None:
            raise self.fail(node, f"{node.id} is no fact here", nearest(node.id, list(self.names)))
        self.used.append(node.id)
        name, place = node.id, known.place
        return (lambda scope: scope[place][name]), known.type

    def constant(self, node: _ast.Constant) -> tuple[Run, Type]:
        value = node.value
        if isinstance(value, bool):
            return (lambda scope: value), FLAG
        if isinstance(value, (int, float)):
            if not abs(value) <= MAX_NUMBER:
                raise self.fail(node, f"a number beyond {MAX_NUMBER:g} has no place in an expression")
            number = float(value)
            return (lambda scope: number), NUMBER
        if isinstance(value, str):
            return (lambda scope: value), TEXT
        raise self.fail(node, "only numbers, texts, True and False can be written out")

    def texts(self, node: _ast.Tuple) -> tuple[Run, Type]:
        texts = tuple(
            item.value
            for item in node.elts
            if isinstance(item, _ast.Constant) and isinstance(item.value, str)
        )
        self.count += len(node.elts)
        if not texts or len(texts) != len(node.elts):
            raise self.fail(node, "a list in an expression holds texts only, such as ('spice', 'herb')")
        return (lambda scope: texts), TEXTS

    def number(self, node: _ast.expr, depth: int) -> tuple[Run, str | None]:
        run, kind = self.build(node, depth)
        if kind.kind != "number":
            raise self.fail(node, f"a number is needed here, not a {_kind_word(kind)}")
        return run, kind.unit

    def flag(self, node: _ast.expr, depth: int) -> Run:
        run, kind = self.build(node, depth)
        if kind.kind != "flag":
            raise self.fail(node, f"a yes or no is needed here, not a {_kind_word(kind)}")
        return run

    def binary(self, node: _ast.BinOp, depth: int) -> tuple[Run, Type]:
        left, a = self.number(node.left, depth + 1)
        right, b = self.number(node.right, depth + 1)
        if isinstance(node.op, (_ast.Add, _ast.Sub)):
            minus = isinstance(node.op, _ast.Sub)
            unit = _sum_unit(a, b, minus)
            if unit == "":
                raise self.fail(node.right, f"{a} and {b} cannot be {'subtracted' if minus else 'added'}")
            return _arithmetic("-" if minus else "+", left, right), Type("number", unit)
        if isinstance(node.op, _ast.Mult):
            return _arithmetic("*", left, right), Type("number", _product_unit(a, b))
        if isinstance(node.op, _ast.Div):
            return _quotient(left, right), Type("number", _quotient_unit(a, b))
        raise self.fail(node, "only + - * / are known")

    def boolean(self, node: _ast.BoolOp, depth: int) -> tuple[Run, Type]:
        parts = [self.flag(item, depth + 1) for item in node.values]
        decides = isinstance(node.op, _ast.Or)

        def run(scope: Scope) -> bool | None:
            unknown = False
            for part in parts:
                value = part(scope)
                if value is None:
                    unknown = True
                elif bool(value) is decides:
                    return decides
            return None if unknown else not decides

        return run, FLAG

    def unary(self, node: _ast.UnaryOp, depth: int) -> tuple[Run, Type]:
        if isinstance(node.op, _ast.Not):
            inner = self.flag(node.operand, depth + 1)

            def negate(scope: Scope) -> bool | None:
                value = inner(scope)
                return None if value is None else not value

            return negate, FLAG
        if not isinstance(node.op, (_ast.USub, _ast.UAdd)):
            raise self.fail(node, "only not, + and - may stand before a value")
        number, unit = self.number(node.operand, depth + 1)
        if isinstance(node.op, _ast.UAdd):
            return number, Type("number", unit)

        def minus(scope: Scope) -> float | None:
            value = number(scope)
            return None if value is None else -value

        return minus, Type("number", unit)

    def compare(self, node: _ast.Compare, depth: int) -> tuple[Run, Type]:
        sides = [node.left, *node.comparators]
        built = [self.build(side, depth + 1) for side in sides]
        tests = []
        for index, op in enumerate(node.ops):
            (left, a), (right, b) = built[index], built[index + 1]
            trouble = _comparable(op, a, b)
            if trouble:
                raise self.fail(sides[index + 1], trouble)
            name = sides[index]
            if isinstance(name, _ast.Name) and not isinstance(sides[index + 1], _ast.Name):
                literal = _literal(sides[index + 1])
                if literal is not None:
                    tests.append(_quick_test(op, name.id, self.names[name.id].place, literal))
                    continue
            tests.append(_test(op, left, right))
        if len(tests) == 1:
            return tests[0], FLAG

        def run(scope: Scope) -> bool | None:
            unknown = False
            for test in tests:
                value = test(scope)
                if value is None:
                    unknown = True
                elif not value:
                    return False
            return None if unknown else True

        return run, FLAG

    def call(self, node: _ast.Call, depth: int) -> tuple[Run, Type]:
        name = node.func.id if isinstance(node.func, _ast.Name) else ""
        if name not in ("abs", "min", "max") or node.keywords:
            raise self.fail(node, "only abs, min and max can be called")
        if not node.args or (len(node.args) == 1) != (name == "abs"):
            raise self.fail(node, "abs takes one value, min and max take two or more")
        parts: list[Run] = []
        unit: str | None = None
        for argument in node.args:
            run, other = self.number(argument, depth + 1)
            if unit is not None and other is not None and unit != other:
                raise self.fail(argument, f"{unit} and {other} cannot be compared")
            unit = other if unit is None else unit
            parts.append(run)
        return _pick(name, parts), Type("number", unit)


def _pick(name: str, parts: list[Run]) -> Run:
    choices: dict[str, Callable[[list[float]], float]] = {
        "min": min,
        "max": max,
        "abs": lambda values: abs(values[0]),
    }
    function = choices[name]

    def run(scope: Scope) -> float | None:
        values = []
        for part in parts:
            value = part(scope)
            if value is None:
                return None
            values.append(value)
        return function(values)

    return run


_SIGNS: dict[str, Callable[[Any, Any], Any]] = {"+": add, "-": sub, "*": mul}


def _arithmetic(sign: str, left: Run, right: Run) -> Run:
    operate = _SIGNS[sign]

    def run(scope: Scope) -> float | None:
        a = left(scope)
        if a is None:
            return None
        b = right(scope)
        if b is None:
            return None
        value: float = operate(a, b)
        # Infinite or not a number: as good as unknown.
        return value if value - value == 0 else None

    return run


def _quotient(left: Run, right: Run) -> Run:
    """The divisor is asked for first: what is held against a rating that nobody knows need not be worked out."""

    def run(scope: Scope) -> float | None:
        divisor = right(scope)
        if not divisor:
            return None
        a = left(scope)
        if a is None:
            return None
        value: float = a / divisor
        return value if value - value == 0 else None

    return run


def _literal(node: _ast.expr) -> Any:
    """What is written out (a number, a text, a list of texts), its kind already checked; None for anything else."""
    if isinstance(node, _ast.Constant):
        value = node.value
        return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else value
    if isinstance(node, _ast.Tuple):
        return tuple([item.value for item in node.elts if isinstance(item, _ast.Constant)])
    return None


def _quick_test(op: _ast.cmpop, name: str, place: int, literal: Any) -> Run:
    """A fact against what is written out, as most conditions are: one call in place of three."""
    compare = _COMPARE[type(op)]

    def run(scope: Scope) -> bool | None:
        value = scope[place][name]
        return None if value is None else compare(value, literal)

    return run


def _test(op: _ast.cmpop, left: Run, right: Run) -> Run:
    compare = _COMPARE[type(op)]

    def run(scope: Scope) -> bool | None:
        a = left(scope)
        if a is None:
            return None
        b = right(scope)
        if b is None:
            return None
        return compare(a, b)

    return run


_COMPARE: dict[type, Callable[[Any, Any], bool]] = {
    _ast.Lt: lt,
    _ast.LtE: le,
    _ast.Gt: gt,
    _ast.GtE: ge,
    _ast.Eq: eq,
    _ast.NotEq: ne,
    _ast.In: lambda a, b: a in b,
    _ast.NotIn: lambda a, b: a not in b,
}


def _comparable(op: _ast.cmpop, a: Type, b: Type) -> str:
    """Why the two sides cannot be compared so; an empty text if they can."""
    if isinstance(op, (_ast.In, _ast.NotIn)):
        return (
            ""
            if a.kind == "text" and b.kind == "texts"
            else "in needs a text on the left and a list of texts on the right"
        )
    if type(op) not in _COMPARE:
        return "only < <= > >= == != and in compare"
    if a.kind != b.kind:
        return f"a {_kind_word(a)} and a {_kind_word(b)} cannot be compared"
    if a.kind == "number":
        return f"{a.unit} and {b.unit} cannot be compared" if a.unit and b.unit and a.unit != b.unit else ""
    return "" if isinstance(op, (_ast.Eq, _ast.NotEq)) else "only numbers can be more or less"


def _sum_unit(a: str | None, b: str | None, minus: bool) -> str | None:
    """The unit of a sum; an empty text if there is none."""
    if a == "°C" and b == "°C":
        return "K" if minus else ""
    if a is None or b is None or a == b:
        return a or b
    return "°C" if (a, b) == ("°C", "K") else ""


def _product_unit(a: str | None, b: str | None) -> str | None:
    if a in (None, "1"):
        return b
    if b in (None, "1"):
        return a
    return f"{a}·{b}"


def _quotient_unit(a: str | None, b: str | None) -> str | None:
    if b in (None, "1"):
        return a
    if a == b:
        return "1"
    return f"{a or '1'}/{b}"


def _kind_word(kind: Type) -> str:
    return {"number": "number", "text": "text", "flag": "yes or no", "texts": "list of texts"}[kind.kind]


def _words(node: _ast.expr) -> str:
    known = {
        "Attribute": "a dot after a name",
        "Subscript": "a bracket after a name",
        "Lambda": "a function",
        "IfExp": "if ... else",
        "JoinedStr": "a template text",
        "Starred": "a star",
        "NamedExpr": "an assignment",
        "List": "a list in square brackets",
        "Dict": "a map",
        "Set": "a set",
    }
    return known.get(type(node).__name__, "this")
