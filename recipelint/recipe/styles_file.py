"""The rows of a file of styles, shipped or of a house, from plain data to typed styles."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from recipelint.recipe.catalogue_file import Fault, tidy
from recipelint.recipe.styles import FIGURES, Style

# Evidence for whoever reads the file; nothing is computed from it.
EVIDENCE = frozenset(("as_printed", "og_plato", "fg_plato", "plato_differs", "newer_edition", "local"))
_LISTS = ("aliases", "carbonation", "varies", "base_styles", "soft", "single_copy", "verified_odd", "tags")
PLAIN = frozenset(
    (
        *_LISTS,
        *("name", "code", "category", "variant", "parent", "varies_with", "tendency", "note"),
        *("colour_of_fruit", "bitterness_may_seem_other", "provisional"),
    )
)


class StyleFile(NamedTuple):
    """What a file of styles holds: a guide with its styles, members of groups (refs), or both."""

    guide: Mapping[str, Any] | None
    styles: tuple[Style, ...]
    groups: Mapping[str, tuple[str, ...]]
    faults: tuple[Fault, ...]


def styles_of(data: Mapping[str, Any], file: str) -> StyleFile:
    """The styles of a file that obeys the schema; a style with a fault is left out and told."""
    guide = data.get("guide")
    ident = str(guide["id"]) if guide else ""
    styles: list[Style] = []
    faults: list[Fault] = []
    seen: dict[str, int] = {}
    for index, item in enumerate(data.get("items") or ()):
        found = _faults(item, f"/items/{index}")
        if item["style"] in seen:
            message = f"{item['style']} stands twice, first as number {seen[item['style']] + 1} of the list"
            found.append(Fault(f"/items/{index}/style", message, "name-used-twice"))
        seen.setdefault(item["style"], index)
        faults += found
        if not found:
            styles.append(_style(ident, item, file, f"/items/{index}"))
    groups = {str(each["group"]): tuple(each["members"]) for each in data.get("groups") or ()}
    return StyleFile(guide, tuple(styles), groups, tuple(faults))


def _faults(item: Mapping[str, Any], pointer: str) -> list[Fault]:
    faults: list[Fault] = []
    for name in FIGURES:
        ends = item.get(name)
        if ends is not None and None not in ends and ends[0] > ends[1]:
            message = f"{name} runs from {ends[0]} down to {ends[1]}; write the smaller one first"
            faults.append(Fault(f"{pointer}/{name}", message, "quantity-invalid"))
        if ends is not None and name in item.get("varies", ()):
            message = f"{name} has a range and stands under varies as well; take it out of one of them"
            faults.append(Fault(f"{pointer}/{name}", message, "quantity-invalid"))
    known = {*FIGURES, *PLAIN, *EVIDENCE, "style", "strengths"}
    faults += [
        Fault(f"{pointer}/{name}", f"`{name}` is no key of a style", "unknown-key")
        for name in item
        if name not in known
    ]
    return faults


def _style(guide: str, item: Mapping[str, Any], file: str, pointer: str) -> Style:
    fields: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value
        for name, value in item.items()
        if name in PLAIN
    }
    for name in FIGURES:
        if item.get(name) is not None:
            fields[name] = _percent(item[name]) if name == "abv" else tuple(item[name])
    if "strengths" in item:
        fields["strengths"] = {name: _percent(ends) for name, ends in item["strengths"].items()}
    if item.get("code") is not None:
        fields["code"] = str(item["code"])
    fields["varies"] = tuple(name for name in FIGURES if name not in fields)
    return Style(guide=guide, id=item["style"], file=file, at=pointer, **fields)


def _percent(ends: list[float | None]) -> tuple[float | None, ...]:
    """Ends of a range in % by volume as fractions."""
    return tuple(None if end is None else tidy(end / 100) for end in ends)
