"""Names that no list knows: ingredients, cultures, additions, waters, lots, styles.

An unknown name is an error, because whatever is computed from then on rests on a guess; the three nearest
names of the same kind are offered.
"""

from __future__ import annotations

from collections.abc import Iterator

from recipelint.recipe.catalogue import Catalogue
from recipelint.recipe.model import AdditionItem, Culture, GristItem, HopItem, Named, Recipe, Water
from recipelint.recipe.styles import Ambiguous, Style, Styles
from recipelint.rulebook.findings import Finding, shorten
from recipelint.source.nodes import At
from recipelint.source.text import show

_WORDS = {
    "malt": "a malt", "grain": "a grain", "sugar": "a sugar", "extract": "a malt extract", "fruit": "a fruit",
    "hop": "a hop", "culture": "a culture", "add": "an addition", "water": "a water",
}  # fmt: skip


def unknown_names(recipe: Recipe, catalogue: Catalogue) -> list[Finding]:
    """A finding for each name that the catalogue and the house's own rows do not know, or know as something else."""
    found: list[Finding] = []
    for named, lot in _named(recipe):
        finding = _name(recipe.file, named, catalogue) or _lot(recipe.file, named, lot, catalogue)
        if finding is not None:
            found.append(finding)
    for source in recipe.water:
        if source.source is None or catalogue.water(source.source) is not None or _analysed(source):
            continue
        named = Named("water", source.source, f"{source.at}/source")
        finding = _name(recipe.file, named, catalogue)
        if finding is not None:
            found.append(finding)
    for package in recipe.packaging:
        if package.priming is not None and package.priming.sugar is not None:
            finding = _name(recipe.file, Named("sugar", package.priming.sugar, package.priming.at), catalogue)
            if finding is not None:
                found.append(finding)
    return found


def _analysed(source: Water) -> bool:
    """A water whose ions are written needs no row."""
    ions: tuple[object, ...] = (
        source.calcium,
        source.magnesium,
        source.sodium,
        source.chloride,
        source.sulphate,
    )
    ions += (source.bicarbonate, source.alkalinity)
    return any(ion is not None for ion in ions)


def _named(recipe: Recipe) -> Iterator[tuple[Named, str | None]]:
    rows: tuple[tuple[GristItem | HopItem | Culture | AdditionItem, ...], ...]
    rows = recipe.grist, recipe.hops, recipe.yeast, recipe.additions
    for items in rows:
        for item in items:
            yield item.what, item.lot
    for package in recipe.packaging:
        if package.yeast is not None:
            yield package.yeast.what, package.yeast.lot


def _name(file: str, named: Named, catalogue: Catalogue) -> Finding | None:
    row = catalogue.row(named.key, named.id)
    if row is not None and row.key == named.key:
        return None
    rule = "unknown-culture" if named.key == "culture" else "unknown-ingredient"
    shown = f"`{show(named.id)}`"
    misplaced = catalogue.misplaced(named.key, named.id)
    if misplaced is not None:
        key, ident = misplaced
        message = f"{shown} is {_WORDS[key]}, not {_WORDS[named.key]}: write `{key}: {ident}`"
        remedy = f"Write `{key}: {ident}`."
    else:
        near = catalogue.nearest(named.key, named.id)
        message = f"{shown} is not known as {_WORDS[named.key]}" + (
            f"; near: {', '.join(near)}" if near else ""
        )
        remedy = "Take the nearest name, or give the house a row of its own in its catalogue."
    return Finding(rule, "error", shorten(message), At(file, named.at), remedy=remedy)


def _lot(file: str, named: Named, lot: str | None, catalogue: Catalogue) -> Finding | None:
    if lot is None:
        return None
    row = catalogue.row(named.key, named.id, lot)
    if row is None or row.lot is not None:
        return None
    lots = catalogue.lots(named.key, named.id)
    known = f"; known lots: {', '.join(lots)}" if lots else "; the house catalogue has no lot of it"
    message = shorten(f"lot `{show(lot)}` of {named.id} is not known{known}")
    at = At(file, f"{named.at.rpartition('/')[0]}/lot")
    return Finding(
        "unknown-lot",
        "error",
        message,
        at,
        remedy="Add the lot's sheet to the house catalogue, or leave `lot` out.",
    )


def style_of(recipe: Recipe, styles: Styles) -> tuple[Style | None, list[Finding]]:
    """The style that the recipe enters, with the ranges of its base where it has none.

    Or why there is none.
    """
    choice = recipe.style
    if choice is None:
        return None, []
    style, finding = find_style(choice.enter, At(recipe.file, choice.at), styles)
    if style is None or choice.base is None:
        return style, [finding] if finding else []
    base, finding = find_style(choice.base, At(recipe.file, f"{choice.at}/base"), styles)
    if base is None:
        return style, [finding] if finding else []
    return styles.with_base(style, base), []


def find_style(ref: str, at: At, styles: Styles) -> tuple[Style | None, Finding | None]:
    """The style that ``ref`` names, or the finding that says why there is none."""
    found = styles.find(ref)
    if isinstance(found, Style):
        return found, None
    shown = f"`{show(ref)}`"
    if isinstance(found, Ambiguous):
        guide = found.refs[0].partition("/")[0]
        slugs = ", ".join(ref.partition("/")[2] for ref in found.refs)
        message = f"{shown} is shared by {len(found.refs)} styles of {guide}: {slugs}"
        return None, Finding(
            "ambiguous-style", "error", shorten(message), at, remedy="Write the name of the one you mean."
        )
    unknown = styles.unknown(ref)
    if unknown.nearest:
        hint = f"; near: {', '.join(unknown.nearest)}"
    elif unknown.guides:
        hint = f"; the guides are {', '.join(unknown.guides)}"
    else:
        hint = f"; `recipelint style --list {show(ref.partition('/')[0])}` shows them" if "/" in ref else ""
    return None, Finding("unknown-style", "error", shorten(f"{shown} is not a style{hint}"), at)
