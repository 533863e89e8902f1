"""What a table must hold for a rule to have anything to say: told once for a table instead of row by row.

A rule on spices needs a spice. Where its condition demands a plain text or a yes of a column that costs nothing, and no
row has it, the rule is passed over.
"""

import _ast
from collections.abc import Iterable, Sequence
from typing import Any, TypeAlias

from recipelint.rulebook.columns import columns

Guard: TypeAlias = tuple[str, frozenset[Any]]

# Columns that are read off what is written; a dear one would be worked out for rows that another condition spares.
PLAIN = frozenset(
    (
        "early", "form", "into", "key", "kind", "opened", "primed", "priming_written", "rating_written", "stage",
        "vented", "volume_written", "waits_until_still", "yeasted",
    )
)  # fmt: skip


def guards_of(where: str | None, each: Sequence[str], own: Iterable[str]) -> tuple[Guard, ...]:
    """Columns, and the values of which a row of these tables must have one for a condition to hold.

    ``own`` are names of the rule's own, which stand before those of the row.
    """
    if where is None or not each:
        return ()
    tree = compile(where, "<rule>", "eval", _ast.PyCF_ONLY_AST)
    assert isinstance(tree, _ast.Expression)
    node = tree.body
    parts = node.values if isinstance(node, _ast.BoolOp) and isinstance(node.op, _ast.And) else [node]
    known = set.intersection(*(set(columns(table)) for table in each)) - set(own)
    found = [guard for part in parts if (guard := _guard(part)) is not None]
    return tuple([guard for guard in found if guard[0] in PLAIN and guard[0] in known])


def _guard(node: _ast.expr) -> Guard | None:
    if isinstance(node, _ast.Name):
        return node.id, frozenset((True,))
    if (
        isinstance(node, _ast.UnaryOp)
        and isinstance(node.op, _ast.Not)
        and isinstance(node.operand, _ast.Name)
    ):
        return node.operand.id, frozenset((False,))
    if not isinstance(node, _ast.Compare) or len(node.ops) != 1 or not isinstance(node.left, _ast.Name):
        return None
    op, right = node.ops[0], node.comparators[0]
    if isinstance(op, _ast.Eq) and isinstance(right, _ast.Constant) and isinstance(right.value, str):
        return node.left.id, frozenset((right.value,))
    if isinstance(op, _ast.In) and isinstance(right, _ast.Tuple):
        texts = [item.value for item in right.elts if isinstance(item, _ast.Constant)]
        return (node.left.id, frozenset(texts)) if len(texts) == len(right.elts) else None
    return None
