"""``recipelint explain``: the page of a rule, as this house has set it, or the list of all rules."""

from __future__ import annotations

from collections.abc import Sequence

from recipelint.commands.outcome import CLEAN, TROUBLE, Trouble, complain, here
from recipelint.commands.output import emit


def run(rules: Sequence[str], everything: bool = False) -> int:
    """Prints the pages, or with ``everything`` the list; the exit status: 2 for a name that is no rule's."""
    from recipelint.rulebook.explain import explain, near, rule_list
    from recipelint.source.text import show
    from recipelint.workspace.workspace import open_workspace

    if everything and rules:
        raise Trouble("name rules or give --list, not both")
    book = open_workspace(here()).book_of
    if everything:
        emit(rule_list(book.rules))
        return CLEAN
    status, pages = CLEAN, []
    for name in rules:
        page = explain(name, book.rules, book.settings)
        if page is not None:
            pages.append(page)
            continue
        status = TROUBLE
        found = near(name, book.rules)
        hint = f"; near: {', '.join(found)}" if found else ""
        complain(f"{show(name)} is no rule{hint}; --list names them all")
    if pages:
        emit("\n".join(pages))
    return status
