"""One row of a table of facts: a dict whose columns are worked out when a rule first names them.

A table has some twenty columns and the rules that come by name a few of them, so most are never made.
"""

from collections.abc import Callable, ItemsView, Mapping
from typing import Any, TypeAlias

Columns: TypeAlias = Mapping[str, Callable[["Row"], Any]]


class Row(dict[str, Any]):
    """Columns by name, and two keys that are no columns: ``at`` (pointer) and ``_record`` (what the brewer wrote).

    ``fact``, ``written`` and ``around`` are what the columns are made of: what the brew says of the line, what the
    brewer wrote, and what belongs to the table as a whole. None of them may lead back to the row or its table: without
    such a ring the memory of a recipe is free as soon as it is judged, also where the garbage collector is off.
    """

    __slots__ = ("_columns", "around", "at", "fact", "written")

    def __init__(self, columns: Columns, at: str, written: Any, fact: Any = None, around: Any = None) -> None:
        self._columns = columns
        self.at = at
        self.fact = fact
        self.written = written
        self.around = around

    def __missing__(self, name: str) -> Any:
        make = self._columns.get(name)
        if make is None:
            return self._frame(name)
        value = self[name] = make(self)
        return value

    def _frame(self, name: str) -> Any:
        """What every row has beside its columns. Raises KeyError for any other name."""
        return {"at": self.at, "_record": self.written}[name]

    def __contains__(self, name: object) -> bool:
        return name in self._columns or super().__contains__(name)

    def get(self, name: str, default: Any = None) -> Any:
        """The column, or the default if the table has none of that name."""
        if name not in self:
            return default
        return self[name]

    def items(self) -> ItemsView[str, Any]:  # type: ignore[override]
        """All columns, those made that nobody has asked for yet."""
        for name in self._columns:
            self[name]
        return super().items()
