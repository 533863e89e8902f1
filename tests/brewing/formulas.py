"""Evaluates the formulas of a working, as a reader with a calculator would: arithmetic and a few functions, no more."""

from __future__ import annotations

import ast
import math
from collections.abc import Callable, Mapping
from functools import cache
from types import CodeType

_FUNCTIONS: dict[str, Callable[..., float]] = {
    "min": lambda *values: sorted(values)[0],
    "max": lambda *values: sorted(values)[-1],
    "exp": lambda x: math.e**x,
    "log": math.log,
    "log10": math.log10,
    "sqrt": math.sqrt,
    "tanh": math.tanh,
    "round": lambda x, digits: round(x, int(digits)),
}
_ARITHMETIC = (
    ast.Expression, ast.Constant, ast.Name, ast.Load, ast.UnaryOp, ast.USub, ast.BinOp, ast.Add, ast.Sub, ast.Mult,
    ast.Div, ast.Pow, ast.Call,
)  # fmt: skip


def names_in(formula: str) -> set[str]:
    """The symbols of a formula."""
    found = {node.id for node in ast.walk(ast.parse(formula, mode="eval")) if isinstance(node, ast.Name)}
    return found - set(_FUNCTIONS)


@cache
def _arithmetic(formula: str) -> CodeType:
    """A formula ready to be evaluated; the test fails on anything that is no arithmetic."""
    tree = ast.parse(formula, mode="eval")
    for node in ast.walk(tree):
        assert isinstance(node, _ARITHMETIC), f"no arithmetic: {ast.unparse(node)}"
        if isinstance(node, ast.Constant):
            assert type(node.value) in (int, float), formula
        if isinstance(node, ast.Call):
            assert isinstance(node.func, ast.Name) and node.func.id in _FUNCTIONS and not node.keywords, (
                formula
            )
    return compile(tree, "formula", "eval")


def evaluate(formula: str, values: Mapping[str, float]) -> float:
    """What a formula gives."""
    return float(eval(_arithmetic(formula), {"__builtins__": {}, **_FUNCTIONS}, dict(values)))
