"""Style sources -> styles.json: guides, one list of values per style, indexes of codes and names.

Keys are "guides" and "groups" (what there is), "guide ID", "group NAME" (refs), "style GUIDE/ID" (the
values in the order of the fields, defaults at the end left out), "code GUIDE/CODE" and "name
GUIDE/SPELLING" (ids, as several styles may share one).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from parts.reading import SourceError, read, without_defaults
from recipelint.recipe.nearest import plain_name
from recipelint.recipe.styles import Style
from recipelint.recipe.styles_file import styles_of


def build(paths: list[str]) -> dict[str, Any]:
    """The whole of styles.json. Raises SourceError for what cannot be read or names an unknown style."""
    data: dict[str, Any] = {"guides": [], "groups": []}
    members: dict[str, list[str]] = {}
    contents = [(path, read(path)) for path in paths]
    files = [(path, content, styles_of(content, "")) for path, content in contents]
    for path, content, found in files:
        if content.get("styles") != 1:
            raise SourceError(f"{path}: not a file of styles")
        for fault in found.faults:
            raise SourceError(f"{path}{fault.pointer}: {fault.message}")
        for group, refs in found.groups.items():
            data["groups"].append(group)
            data[f"group {group}"] = sorted(refs)
            for ref in refs:
                members.setdefault(ref, []).append(group)
    for path, content, found in files:
        if found.guide is not None:
            if len(found.styles) != found.guide["count"]:
                raise SourceError(
                    f"{path}: {len(found.styles)} styles, but the guide's block says {found.guide['count']}"
                )
            for style, item in zip(found.styles, content["items"], strict=True):
                if list(style.varies) != item.get("varies", []):
                    raise SourceError(
                        f"{path}: {style.id}: what has no range must stand under varies, and nothing else"
                    )
            _guide(data, found.guide, found.styles, members)
    for ref in sorted(members):
        if f"style {ref}" not in data:
            raise SourceError(f"the groups name {ref}, which no guide has")
    return data


def _guide(
    data: dict[str, Any],
    guide: Mapping[str, Any],
    styles: tuple[Style, ...],
    members: Mapping[str, list[str]],
) -> None:
    ident = guide["id"]
    data["guides"].append(ident)
    data[f"guide {ident}"] = {name: guide[name] for name in guide if name != "count"}
    for style in styles:
        row = style._replace(groups=tuple(sorted(members.get(style.ref, ()))), file=None, at=None)
        data[f"style {style.ref}"] = without_defaults(row)
        if style.code:
            data.setdefault(f"code {ident}/{style.code.upper()}", []).append(style.id)
        for spelling in {plain_name(name): 0 for name in (style.id, style.name, *(style.aliases or ()))}:
            data.setdefault(f"name {ident}/{spelling}", []).append(style.id)
