"""``recipelint style``: the beer against a style, and the styles it is closest to."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TYPE_CHECKING

from recipelint.commands.one import One, brew_each
from recipelint.commands.outcome import CLEAN, Trouble, here
from recipelint.commands.output import emit, is_terminal
from recipelint.rulebook.style_check import Fit, StyleRow, closest_styles, style_rows

if TYPE_CHECKING:
    from recipelint.recipe.styles import Style, Styles


def run(
    recipes: Sequence[str],
    style: str | None = None,
    form: str = "text",
    brewhouse: str | None = None,
    colour: str = "auto",
) -> int:
    """Prints the style page of each recipe; the exit status. A style that is not known is a mistake: status 2."""
    from recipelint.report.screen import Look, wants_colour
    from recipelint.report.style_text import style_json, style_text

    beers, status = brew_each(recipes, brewhouse, colour, style)
    pages = [(one, *_compared(one, style)) for one in beers]
    if form == "json":
        emit(
            style_json(
                [(one.path, one.brewed, one.brewed.style, rows, closest) for one, rows, closest in pages]
            )
        )
        return status
    look = Look(wants_colour(colour, os.environ, is_terminal()))
    texts = [
        style_text(one.brewed, one.brewed.style, rows, closest, _credits(one, closest), look, one.units)
        for one, rows, closest in pages
    ]
    if texts:
        emit("\n".join(texts))
    return status


def listed(words: Sequence[str]) -> int:
    """Prints the styles that hold every word: the name that a recipe writes, the code, and the full name."""
    from recipelint.workspace.workspace import open_workspace

    styles = open_workspace(here()).book_of.styles
    wanted = [word.casefold() for word in words]
    lines = []
    for style in _all(styles):
        line = f"{style.ref:<72} {style.code or '':<4} {style.name}"
        if all(word in line.casefold() for word in wanted):
            lines.append(line.rstrip())
    if not lines:
        raise Trouble(f"no style holds {' '.join(words)}; the guides are {', '.join(styles.guides())}")
    emit("\n".join(lines) + "\n")
    return CLEAN


def _compared(one: One, wanted: str | None) -> tuple[list[StyleRow], list[Fit]]:
    if wanted is not None:
        finding = one.workspace.style_finding(wanted)
        if finding is not None:
            raise Trouble(f"--style {wanted}: {finding.message}")
    brew = one.brewed.brew
    rows = style_rows(brew, one.brewed.style) if one.brewed.style is not None else []
    return rows, closest_styles(brew, _all(one.workspace.book_of.styles))


def _all(styles: Styles) -> list[Style]:
    found = [styles.get(guide, ident) for guide in styles.guides() for ident in styles.ids(guide)]
    return [style for style in found if style is not None]


def _credits(one: One, closest: Sequence[Fit]) -> list[str]:
    """The credit that each guide asks for, once."""
    guides = {fit.style.guide for fit in closest}
    if one.brewed.style is not None:
        guides.add(one.brewed.style.guide)
    blocks = [one.workspace.book_of.styles.guide(guide) for guide in sorted(guides)]
    return [str(block["credit"]) for block in blocks if block is not None and block.get("credit")]
