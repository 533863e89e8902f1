"""Names that no list knows: ingredients, cultures, additions, waters, lots, styles.

An unknown name is an error, because whatever is computed from then on rests on a guess; the three nearest
names of the same kind are offered. What is found under another key is used, with a warning.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from recipelint.recipe.catalogue import Catalogue
from recipelint.recipe.model import AdditionItem, Culture, GristItem, HopItem, Named, Recipe, Water
from recipelint.recipe.stat_names import STATS
from recipelint.recipe.styles import FIGURES, Ambiguous, Style, Styles
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
        row = catalogue.row(named.key, named.id)
        if row is not None and row.key == named.key and lot is None:  # as nearly all are
            continue
        finding = _name(recipe.file, named, catalogue) or _lot(recipe.file, named, lot, catalogue)
        if finding is not None:
            found.append(finding)
    for source in recipe.water:
        if source.source is None or catalogue.water(source.source) is not None or _analysed(source):
            continue
        found.append(_unanalysed(recipe.file, source.source, source.at, catalogue))
    for package in recipe.packaging:
        if package.priming is not None and package.priming.sugar is not None:
            finding = _priming(recipe.file, package.priming.sugar, package.priming.at, catalogue)
            if finding is not None:
                found.append(finding)
    return found


def in_doubt(unknown: Iterable[Finding]) -> frozenset[str]:
    """The stats that rest on a guess because of a name that no list knows; ``unknown`` as unknown_names() gives it.

    Whatever they miss has the unknown name for its cause, and that has been said.
    """
    lists = {finding.at.pointer.split("/")[1] for finding in unknown if finding.level == "error"}
    if "grist" in lists:
        return frozenset(STATS)
    found: set[str] = set()
    if "hops" in lists:
        found.update(("bitterness", "bitterness_ratio", "alpha_added"))
    if "yeast" in lists:
        found.update(("final_gravity", "abv", "abw", "apparent_attenuation", "real_attenuation"))
    return frozenset(found)


def _priming(file: str, sugar: str, at: str, catalogue: Catalogue) -> Finding | None:
    """Malt extract, honey and juice prime as well as sugar does, and there is one key for all."""
    row = catalogue.row("sugar", sugar)
    if row is not None and row.key in ("sugar", "extract", "fruit"):
        return None
    return _name(file, Named("sugar", sugar, at), catalogue)


def _unanalysed(file: str, name: str, at: str, catalogue: Catalogue) -> Finding:
    """A note: a brewer may know his well by name and nothing more, and no number here rests on it."""
    near = catalogue.nearest("water", name)
    message = f"`{show(name)}` has no analysis here, so nothing can be said of its minerals"
    if near:
        message += f"; known: {', '.join(near)}"
    return Finding(
        "unknown-ingredient",
        "note",
        shorten(message),
        At(file, f"{at}/source"),
        remedy="Write its ions beside the source, or give the house a row of its own in its catalogue.",
    )


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
    level = "error" if row is None else "warning"
    return Finding(rule, level, shorten(message), At(file, named.at), remedy=remedy)


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

    And what is wrong: it is not found, its base is not, or it has no ranges of its own and no base.
    """
    choice = recipe.style
    if choice is None:
        return None, []
    style, finding = find_style(choice.enter, At(recipe.file, choice.at), styles)
    if style is None:
        return style, [finding] if finding else []
    if choice.base is None:
        return style, [_lacks_base(style, At(recipe.file, choice.at))] if _leans(style) else []
    at = At(recipe.file, f"{choice.at}/base")
    base, finding = find_style(choice.base, at, styles)
    if base is None:
        return style, [finding] if finding else []
    both = styles.with_base(style, base)
    return both, [_lacks_base(base, at, "the base given")] if _empty(both) else []


def base_of(style: Style | None, styles: Styles) -> Style | None:
    """The style whose ranges ``style`` carries beside its own, if it was given one."""
    found = styles.find(style.base) if style is not None and style.base else None
    return found if isinstance(found, Style) else None


def _empty(style: Style) -> bool:
    return all(getattr(style, figure) is None for figure in FIGURES)


def _leans(style: Style) -> bool:
    """Whether the guide leaves the figures to another style, or gives none at all."""
    return style.varies_with == "base-style" or _empty(style)


def _lacks_base(style: Style, at: At, what: str = "") -> Finding:
    said = f"{shorten(style.name, 48)}{', ' + what + ',' if what else ''} has no ranges of its own"
    near = next(iter(style.base_styles or ()), None)
    example = f"{style.guide}/{near or 'STYLE'}"
    return Finding(
        "style-entry-lacks-base",
        "warning",
        shorten(f"{said}: write what the beer rests on, as in `base: {example}`"),
        at,
        remedy="Write `style: {enter: ..., base: ...}`, the base being the style that the beer is without its extra.",
    )


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
