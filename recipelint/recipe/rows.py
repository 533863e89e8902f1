"""The rows of the catalogue: their types, where each value comes from, and laying one row over another.

Values are canonical: shares, yields, moisture, attenuation, strength and acids are fractions, temperatures
degrees Celsius, colour EBC (``lovibond`` beside it), diastatic power degrees Lintner, ions mg/L, oil mL per
100 g, times of contact hours, minutes before flame-out minutes.
"""

from collections.abc import Mapping
from typing import Any, NamedTuple, TypeAlias

from recipelint.recipe.units import lovibond_to_ebc

Range: TypeAlias = tuple[float | None, float | None]
"""Low and high; None is an open side."""


class Layer(NamedTuple):
    """Where one value of a row comes from when it is not the shipped catalogue."""

    field: str
    origin: str  # "house" or "lot"
    file: str | None
    at: str | None
    recalled: bool


class Fermentable(NamedTuple):
    """A malt, grain, sugar, extract or fruit; ``key`` says which. None is "not given"."""

    key: str
    id: str
    name: str | None = None
    aliases: tuple[str, ...] | None = None
    kind: str | None = None
    yield_: float | None = None
    yield_basis: str | None = None  # "dry" or "as-is"; also of yield_range
    yield_range: Range | None = None
    moisture: float | None = None
    colour: float | None = None  # EBC
    colour_range: Range | None = None
    lovibond: float | None = None
    lovibond_range: Range | None = None
    diastatic_power: float | None = None
    diastatic_power_range: Range | None = None
    protein: float | None = None
    fermentability: float | None = None  # share of the extract, real
    fermentability_range: Range | None = None
    starch: bool | None = None
    needs_mash: bool | None = None
    sugar_kind: str | None = None  # "fully-fermentable", "partly", "unfermentable"
    counts_as_malt: float | None = None
    max_share: float | None = None
    mash_ph: Range | None = None
    gelatinisation: Range | None = None
    allergens: tuple[str, ...] | None = None
    kolbach: float | None = None
    note: str | None = None
    from_memory: tuple[str, ...] = ()
    lot: str | None = None
    file: str | None = None
    at: str | None = None
    origin: str = "catalogue"
    layers: tuple[Layer, ...] = ()


class Hop(NamedTuple):
    """A hop variety, or a lot of one."""

    key: str
    id: str
    name: str | None = None
    aliases: tuple[str, ...] | None = None
    bred_in: str | None = None  # ISO 3166 country, or region's country (the key ``origin`` of the file)
    purpose: str | None = None
    alpha: Range | None = None
    beta: Range | None = None
    cohumulone: Range | None = None
    oil: Range | None = None
    storage_loss: Range | None = None
    agreement: str | None = None
    harvest: str | None = None
    note: str | None = None
    from_memory: tuple[str, ...] = ()
    lot: str | None = None
    file: str | None = None
    at: str | None = None
    origin: str = "catalogue"
    layers: tuple[Layer, ...] = ()


class Culture(NamedTuple):
    """A family of yeast or bacteria, or a lot of a house's own culture."""

    key: str
    id: str
    name: str | None = None
    aliases: tuple[str, ...] | None = None
    species: str | None = None
    kind: str | None = None
    forms: tuple[str, ...] | None = None
    attenuation: Range | None = None
    temperature: Range | None = None
    tolerance: Range | None = None
    flocculation: str | None = None
    diastatic: str | None = None  # "no", "possible", "yes"
    phenolic: str | None = None  # "no", "varies", "yes"
    eats_dextrins: str | None = None
    eats_lactose: str | None = None
    single_strain: bool | None = None
    note: str | None = None
    from_memory: tuple[str, ...] = ()
    lot: str | None = None
    file: str | None = None
    at: str | None = None
    origin: str = "catalogue"
    layers: tuple[Layer, ...] = ()


class Addition(NamedTuple):
    """A fining, nutrient, salt, acid, spice and the like; ``ions`` are shares of a salt's weight."""

    key: str
    id: str
    name: str | None = None
    aliases: tuple[str, ...] | None = None
    kind: str | None = None
    usual_stage: tuple[str, ...] | None = None
    usual_before_end: Range | None = None  # minutes before flame-out
    usual_contact: Range | None = None  # hours
    formula: str | None = None
    molar_mass: float | None = None  # g/mol
    strength: float | None = None
    ions: Mapping[str, float] | None = None
    note: str | None = None
    from_memory: tuple[str, ...] = ()
    lot: str | None = None
    file: str | None = None
    at: str | None = None
    origin: str = "catalogue"
    layers: tuple[Layer, ...] = ()


class Water(NamedTuple):
    """A water, mg/L; ``plausible`` None: an ion is missing, so its balance cannot be judged."""

    key: str
    id: str
    name: str | None = None
    aliases: tuple[str, ...] | None = None
    calcium: float | None = None
    magnesium: float | None = None
    sodium: float | None = None
    chloride: float | None = None
    sulphate: float | None = None
    bicarbonate: float | None = None
    alkalinity: float | None = None  # mg/L as CaCO3
    ph: float | None = None
    plausible: bool | None = None
    basis: str | None = None
    reference: str | None = None
    note: str | None = None
    from_memory: tuple[str, ...] = ()
    lot: str | None = None
    file: str | None = None
    at: str | None = None
    origin: str = "catalogue"
    layers: tuple[Layer, ...] = ()


Row: TypeAlias = Fermentable | Hop | Culture | Addition | Water

GROUP_OF: Mapping[str, str] = {
    "malt": "fermentables",
    "grain": "fermentables",
    "sugar": "fermentables",
    "extract": "fermentables",
    "fruit": "fermentables",
    "hop": "hops",
    "culture": "cultures",
    "add": "additions",
    "water": "waters",
}
"""The group in which a recipe's key is looked up."""

# What describes the row itself and is no value that a house row could lie over.
_FRAME = frozenset(("key", "id", "from_memory", "lot", "file", "at", "origin", "layers"))
# A house that states a figure means that figure: the shipped range around another one is dropped with it.
_RANGE_OF = {
    "yield_": "yield_range",
    "colour": "colour_range",
    "lovibond": "lovibond_range",
    "diastatic_power": "diastatic_power_range",
    "fermentability": "fermentability_range",
}
# One figure on two scales, or on one of two bases: whoever states one side replaces both.
_TOGETHER = {"colour": "lovibond", "lovibond": "colour", "colour_range": "lovibond_range"}
_TOGETHER.update({"lovibond_range": "colour_range", "yield_": "yield_basis"})


def lovibond_of_ebc(ebc: float) -> float:
    """Colour of malt in degrees Lovibond from EBC, 0.375 EBC + 0.56 (handbook rule; good from 2 to 1500 EBC)."""
    return 0.375 * ebc + 0.56


def origin_of(row: Row, field: str) -> str:
    """Where a value comes from: "catalogue", "house" or "lot". ``field`` is the attribute's name."""
    layer = layer_of(row, field)
    return layer.origin if layer else "catalogue"


def layer_of(row: Row, field: str) -> Layer | None:
    """The house or lot row that gave ``field``, with its file and pointer; None for a shipped value."""
    wanted = field.rstrip("_")
    for layer in row.layers:
        if layer.field == wanted:
            return layer
    return None


def recalled(row: Row, field: str) -> bool:
    """True if the value was recalled rather than read in a source (the mark "from memory")."""
    layer = layer_of(row, field)
    if layer is not None:
        return layer.recalled
    wanted = field.rstrip("_")
    wanted = {"lovibond": "colour", "bred_in": "origin"}.get(wanted, wanted).removesuffix("_range")
    return "*" in row.from_memory or wanted in row.from_memory


def overlay(base: Row | None, over: Row, origin: str) -> Row:
    """``over`` laid on ``base``: what it gives wins, field by field; ``origin`` is "house" or "lot"."""
    given = {name: value for name, value in zip(over._fields, over, strict=True) if name not in _FRAME}
    given = {name: value for name, value in given.items() if value is not None}
    whole = "*" in over.from_memory
    layers = tuple(
        Layer(name.rstrip("_"), origin, over.file, over.at, whole or name.rstrip("_") in over.from_memory)
        for name in given
    )
    if base is None:
        return over._replace(origin=origin, layers=layers, **_both_scales(over))
    fields: dict[str, Any] = {name: None for name in _superseded(given) if name in base._fields}
    fields.update(given)
    kept = tuple(layer for layer in base.layers if layer.field not in {name.rstrip("_") for name in fields})
    merged = base._replace(
        key=over.key, lot=over.lot, file=over.file, at=over.at, origin=origin, layers=kept + layers, **fields
    )
    return merged._replace(**_both_scales(merged))


def _superseded(given: Mapping[str, Any]) -> set[str]:
    """Fields of the lower row that a stated field makes untrue."""
    gone = {_RANGE_OF[name] for name in given if name in _RANGE_OF}
    gone |= {_TOGETHER[name] for name in given if name in _TOGETHER}
    return gone | {_RANGE_OF[name] for name in gone if name in _RANGE_OF}


def _both_scales(row: Row) -> dict[str, Any]:
    """Colour on the scale that was not given, so that readers find both."""
    if not isinstance(row, Fermentable):
        return {}
    filled: dict[str, Any] = {}
    if row.colour is None and row.lovibond is not None:
        filled["colour"] = lovibond_to_ebc(row.lovibond)
    if row.lovibond is None and row.colour is not None:
        filled["lovibond"] = lovibond_of_ebc(row.colour)
    for wanted, have, turn in (
        ("colour_range", row.lovibond_range, lovibond_to_ebc),
        ("lovibond_range", row.colour_range, lovibond_of_ebc),
    ):
        if getattr(row, wanted) is None and have is not None:
            filled[wanted] = tuple(None if side is None else turn(side) for side in have)
    return filled
