"""Styles: what the shipped guides and a house's own files say a beer should measure.

Figures are (low, high) with None for an open side; a figure that is None as a whole has no range in the
guide and stands in ``varies``. og and fg are SG, abv a fraction of volume, ibu IBU, srm SRM. Carbonation is
a pair of words.
"""

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple, TypeAlias

from recipelint.recipe import shipped
from recipelint.recipe.nearest import nearest, plain_name

Range: TypeAlias = tuple[float | None, float | None]

FIGURES = ("og", "fg", "abv", "ibu", "srm")


class Style(NamedTuple):
    """One style of one guide."""

    guide: str
    id: str
    name: str
    category: str | None = None
    code: str | None = None
    aliases: tuple[str, ...] | None = None
    variant: str | None = None
    parent: str | None = None
    og: Range | None = None
    fg: Range | None = None
    abv: Range | None = None
    ibu: Range | None = None
    srm: Range | None = None
    carbonation: tuple[str, str] | None = None
    varies: tuple[str, ...] = ()  # figures without a range
    varies_with: str | None = None  # what they depend on: base-style, declared-beer, type, not-given ...
    base_styles: tuple[str, ...] | None = None  # ids of the same guide that may serve as the base
    strengths: Mapping[str, Range] | None = None  # abv by the word the entrant declares
    tendency: Mapping[str, str] | None = None  # where a beer lies against its base style
    soft: tuple[str, ...] = ()  # figures whose bound the guide words as usual
    colour_of_fruit: bool = False  # fruit may carry the colour out of the range
    bitterness_may_seem_other: bool = False
    provisional: bool = False
    single_copy: tuple[str, ...] = ()  # figures read in one copy of the guide only
    verified_odd: tuple[str, ...] = ()  # figures that look like a misprint but are printed so
    tags: tuple[str, ...] = ()
    groups: tuple[str, ...] = ()
    note: str | None = None
    base: str | None = None  # ref of the style whose ranges were taken, see ``with_base``
    file: str | None = None
    at: str | None = None

    @property
    def ref(self) -> str:
        """How a recipe names it: "bjcp-2021/english-barley-wine"."""
        return f"{self.guide}/{self.id}"


class Ambiguous(NamedTuple):
    """A code or name that several styles share; ``refs`` are theirs."""

    ref: str
    refs: tuple[str, ...]


class Unknown(NamedTuple):
    """Nothing was found: ``guides`` are those there are, ``nearest`` up to three refs like it."""

    ref: str
    nearest: tuple[str, ...]
    guides: tuple[str, ...] = ()


class Styles:
    """All styles together. Immutable: ``with_house`` gives a new one."""

    __slots__ = ("_based", "_built", "_groups", "_guides", "_house", "_store")

    def __init__(
        self,
        store: shipped.Store,
        house: Mapping[str, Mapping[str, Style]],
        guides: Mapping[str, Mapping[str, Any]],
        groups: Mapping[str, Iterable[str]],
    ) -> None:
        self._store = store
        self._house = house
        self._guides = guides
        self._groups = groups
        self._built: dict[str, Style] = {}
        self._based: dict[tuple[str, str], tuple[Style, Style, Style]] = {}

    @staticmethod
    def shipped() -> "Styles":
        """The styles of the guides that come with the tool."""
        return Styles(shipped.store("styles"), {}, {}, {})

    def with_house(
        self,
        styles: Iterable[Style],
        guides: Mapping[str, Mapping[str, Any]] | None = None,
        groups: Mapping[str, Iterable[str]] | None = None,
    ) -> "Styles":
        """Styles of a house beside the shipped ones; one with guide and id of a shipped style replaces it.

        ``guides`` are the blocks of the house's own guides by id, ``groups`` more members of groups by name.
        """
        house = {guide: dict(rows) for guide, rows in self._house.items()}
        for style in styles:
            house.setdefault(style.guide, {})[style.id] = style
        more = {name: tuple(refs) for name, refs in self._groups.items()}
        for name, refs in (groups or {}).items():
            more[name] = (*more.get(name, ()), *refs)
        return Styles(self._store, house, {**self._guides, **(guides or {})}, more)

    def guides(self) -> list[str]:
        """The ids of all guides, sorted."""
        return sorted({*self._store.get("guides"), *self._house})

    def guide(self, ident: str) -> Mapping[str, Any] | None:
        """The block of a guide: name, edition, publisher, year, url, credit, permission."""
        found: Mapping[str, Any] | None = self._guides.get(ident) or self._store.get(f"guide {ident}")
        return found

    def members(self, group: str) -> frozenset[str]:
        """The refs of the styles in a group; empty if the group is not known."""
        return frozenset((*(self._store.get(f"group {group}") or ()), *self._groups.get(group, ())))

    def group_names(self) -> list[str]:
        """The names of all groups, sorted."""
        return sorted({*self._store.get("groups"), *self._groups})

    def ids(self, guide: str) -> list[str]:
        """The ids of all styles of a guide, sorted."""
        return sorted({*self._store.under(f"style {guide}/"), *self._house.get(guide, ())})

    def get(self, guide: str, ident: str) -> Style | None:
        """A style by its id alone."""
        own = self._house.get(guide, {}).get(ident)
        if own is not None:
            return own
        ref = f"{guide}/{ident}"
        style = self._built.get(ref)
        if style is None:
            values = self._store.get(f"style {ref}")
            if values is None:
                return None
            made: list[Any] = [tuple(v) if type(v) is list else v for v in values]
            style = self._built[ref] = Style(*made)
        return style

    def find(self, ref: str) -> Style | Ambiguous | None:
        """The style that "guide/id" or "guide/code" names; codes and names in any case.

        Ambiguous if a code or name belongs to several styles, None if nothing is found (ask ``unknown`` why).
        A style's id always wins over a code or a name.
        """
        guide, slash, name = ref.strip().partition("/")
        guide, name = guide.strip().lower(), name.strip()
        if not slash:
            return None
        style = self.get(guide, name) or self.get(guide, name.lower())
        if style is not None:
            return style
        found = self._by_code(guide, name.upper()) or self._by_name(guide, plain_name(name))
        if len(found) > 1:
            return Ambiguous(ref, tuple(f"{guide}/{ident}" for ident in found))
        return self.get(guide, found[0]) if found else None

    def _by_code(self, guide: str, code: str) -> list[str]:
        own = self._house.get(guide, {})
        found = [ident for ident in self._store.get(f"code {guide}/{code}") or () if ident not in own]
        return found + [style.id for style in own.values() if style.code and style.code.upper() == code]

    def _by_name(self, guide: str, spelling: str) -> list[str]:
        own = self._house.get(guide, {})
        found = [ident for ident in self._store.get(f"name {guide}/{spelling}") or () if ident not in own]
        return found + [
            style.id
            for style in own.values()
            if spelling in {plain_name(name) for name in (style.id, style.name, *(style.aliases or ()))}
        ]

    def unknown(self, ref: str) -> Unknown:
        """What to say of a ref that ``find`` did not find: the guides there are, the nearest styles."""
        guide, slash, name = ref.strip().partition("/")
        guide = guide.strip().lower()
        if not slash:
            by_id = {
                f"{ident} {each}": f"{each}/{ident}" for each in self.guides() for ident in self.ids(each)
            }
            return Unknown(ref, tuple(nearest(guide, by_id)), tuple(self.guides()))
        if guide not in self.guides():
            return Unknown(ref, (), tuple(self.guides()))
        spellings: dict[str, str] = {}
        for ident in self.ids(guide):
            style = self.get(guide, ident)
            for each in (ident, *((style.name, *(style.aliases or ())) if style else ())):
                spellings.setdefault(each, style.ref if style else ident)
        return Unknown(ref, tuple(nearest(name, spellings)))

    def with_base(self, style: Style, base: Style) -> Style:
        """``style`` with the ranges it lacks taken from ``base``; what it states itself stays.

        ``varies`` keeps what neither has. The result says in ``base`` whose ranges it carries. It is the same object
        each time: what is made ready for a style is kept by its identity.
        """
        known = self._based.get((style.ref, base.ref))
        if known is not None and known[0] is style and known[1] is base:
            return known[2]
        taken = {
            name: getattr(base, name)
            for name in (*FIGURES, "carbonation")
            if getattr(style, name) is None and getattr(base, name) is not None
        }
        left = tuple(name for name in style.varies if name not in taken)
        both = style._replace(varies=left, base=base.ref, **taken)
        self._based[style.ref, base.ref] = style, base, both
        return both
