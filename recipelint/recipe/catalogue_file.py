"""The rows of a catalogue file, shipped or of a house, from plain data to typed rows with canonical values.

One table says for every key of a row what it measures; the schema of catalogue files and the shipped data
are held to it by tests.
"""

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from recipelint.recipe.ingredients import (
    GROUP_OF,
    Addition,
    Culture,
    Fermentable,
    Hop,
    Row,
    Water,
    lovibond_of_ebc,
)
from recipelint.recipe.quantity import Measure, QuantityError, measure
from recipelint.recipe.units import lovibond_to_ebc


class Fault(NamedTuple):
    """Something in a row that cannot be used; ``pointer`` is RFC 6901 from the root of the file."""

    pointer: str
    message: str
    rule: str


ROW_TYPES: Mapping[str, type[Any]] = {
    "fermentables": Fermentable,
    "hops": Hop,
    "cultures": Culture,
    "additions": Addition,
    "waters": Water,
}
IONS_OF_SALTS = (
    "calcium",
    "magnesium",
    "sodium",
    "potassium",
    "zinc",
    "chloride",
    "sulphate",
    "bicarbonate",
    "carbonate",
    "hydroxide",
)
# Evidence for whoever reads the file; nothing is computed from it.
EVIDENCE = frozenset(("sources", "by_source"))
_WORDS = ("name", "aliases", "note", "from_memory", "lot")

# key -> the kind of quantity, for one figure and for a range (where one figure is a range without width)
FIGURES: Mapping[str, Mapping[str, str]] = {
    "fermentables": {
        "yield": "yield",
        "moisture": "share",
        "colour": "colour",
        "diastatic_power": "diastatic-power",
        "protein": "share",
        "fermentability": "share",
        "max_share": "share",
        "kolbach": "percent",
    },
    "hops": {},
    "cultures": {},
    "additions": {**dict.fromkeys(IONS_OF_SALTS, "share"), "strength": "share"},
    "waters": {
        **dict.fromkeys(("calcium", "magnesium", "sodium", "chloride", "sulphate", "bicarbonate"), "ion"),
        "alkalinity": "alkalinity",
        "ph": "ph",
    },
}
RANGES: Mapping[str, Mapping[str, str]] = {
    "fermentables": {
        "yield_range": "yield",
        "colour_range": "colour",
        "diastatic_power_range": "diastatic-power",
        "fermentability_range": "share",
        "mash_ph": "ph",
        "gelatinisation": "temperature",
    },
    "hops": {"alpha": "share", "beta": "share", "cohumulone": "share", "oil": "oil", "storage_loss": "share"},
    "cultures": {"attenuation": "attenuation", "temperature": "temperature", "tolerance": "abv"},
    "additions": {"usual_time": "long-time"},
    "waters": {},
}
PLAIN: Mapping[str, tuple[str, ...]] = {
    "fermentables": (*_WORDS, "kind", "starch", "needs_mash", "sugar_kind", "counts_as_malt", "allergens"),
    "hops": (*_WORDS, "origin", "purpose", "agreement", "harvest"),
    "cultures": (
        *_WORDS,
        *(
            "kind",
            "species",
            "forms",
            "flocculation",
            "diastatic",
            "phenolic",
            "eats_dextrins",
            "eats_lactose",
        ),
        "single_strain",
    ),
    "additions": (*_WORDS, "kind", "usual_stage", "formula", "molar_mass"),
    "waters": (*_WORDS, "plausible", "basis", "reference"),
}
# Keys whose value is text even where a file writes a number: lot: 2026-11, harvest: 2025.
_TEXT = frozenset(("name", "lot", "harvest", "note"))


def rows_of(data: Mapping[str, Any], file: str) -> tuple[list[Row], list[Fault]]:
    """The rows of a catalogue file that obeys the schema, and what in them cannot be used.

    A row with a fault is left out, and stops no other. ``file`` is the name that the rows remember.
    """
    rows: list[Row] = []
    faults: list[Fault] = []
    for index, item in enumerate(data.get("items") or ()):
        pointer = f"/items/{index}"
        key = next((each for each in item if each in GROUP_OF), None)
        if key is None:
            faults.append(
                Fault(
                    pointer, f"a row of a catalogue begins with one of {', '.join(GROUP_OF)}", "unknown-key"
                )
            )
            continue
        made = row_of(key, item, file, pointer)
        if isinstance(made, list):
            faults.extend(made)
        else:
            rows.append(made)
    return rows, faults


def row_of(
    key: str, item: Mapping[str, Any], file: str | None = None, pointer: str | None = None
) -> Row | list[Fault]:
    """One row from its plain data, or the faults in it."""
    group = GROUP_OF[key]
    fields: dict[str, Any] = {}
    faults: list[Fault] = []
    for name, written in item.items():
        if name == key or name in EVIDENCE or written is None:
            continue
        try:
            fields.update(_field(group, key, name, written))
        except QuantityError as trouble:
            faults.append(Fault(f"{pointer or ''}/{name}", trouble.message, trouble.rule))
    if faults:
        return faults
    if group == "additions":
        shares = {ion: fields.pop(ion) for ion in IONS_OF_SALTS if ion in fields}
        fields["ions"] = shares or None
    row: Row = ROW_TYPES[group](key=key, id=str(item[key]), file=file, at=pointer, **fields)
    return row


def _field(group: str, key: str, name: str, written: Any) -> dict[str, Any]:
    """What one key of a row becomes. Raises QuantityError."""
    special = _SPECIAL.get(name)
    if special is not None:
        return special(key, written)
    kind = FIGURES[group].get(name)
    if kind is not None:
        return {name: tidy(_measured(written, kind).value)}
    kind = RANGES[group].get(name)
    if kind is not None:
        return {name: _ends(_measured(written, kind))}
    if name not in PLAIN[group]:
        raise QuantityError(f"`{name}` is no key of a row that begins with `{key}`")
    if name == "origin":
        return {"bred_in": written}
    if isinstance(written, list):
        return {name: tuple(written)}
    return {name: str(written) if name in _TEXT else written}


def tidy(value: float) -> float:
    """The value without the dust of binary fractions: 7.5 % is 0.075."""
    return round(value, 9)


def _measured(written: Any, kind: str) -> Measure:
    return measure(str(written), kind)


def _ends(found: Measure) -> tuple[float, float]:
    """Low and high of a range; one figure is both."""
    if found.low is None or found.high is None:
        return tidy(found.value), tidy(found.value)
    return tidy(found.low), tidy(found.high)


def _from_memory(key: str, written: Any) -> dict[str, Any]:
    if isinstance(written, bool):
        return {"from_memory": ("*",) if written else ()}
    return {"from_memory": tuple(written)}


def _yield(key: str, written: Any) -> dict[str, Any]:
    found = _measured(written, "yield")
    basis = found.unit or ("dry" if key in ("malt", "grain") else "as-is")
    return {"yield_": tidy(found.value), "yield_basis": basis if basis == "dry" else "as-is"}


def _colour(key: str, written: Any) -> dict[str, Any]:
    lovibond, ebc = _colour_ends(str(written))
    return {"colour": sum(ebc) / len(ebc), "lovibond": sum(lovibond) / len(lovibond)}


def _colour_range(key: str, written: Any) -> dict[str, Any]:
    lovibond, ebc = _colour_ends(str(written))
    return {"colour_range": (ebc[0], ebc[-1]), "lovibond_range": (lovibond[0], lovibond[-1])}


def _colour_ends(text: str) -> tuple[list[float], list[float]]:
    """The ends of a colour or a range of it (one or two), in degrees Lovibond and in EBC."""
    if text.endswith(" °Lov"):
        # Taken as written: the palest sugars lie below the foot of the EBC scale, colouring caramel far
        # above what is possible for a malt.
        try:
            lovibond = [float(each) for each in text.removesuffix(" °Lov").split(" .. ")]
        except ValueError:
            lovibond = []
        if len(lovibond) in (1, 2):
            return lovibond, [round(lovibond_to_ebc(each), 2) for each in lovibond]
    found = _measured(text, "colour")
    ebc = [found.value] if found.low is None or found.high is None else [found.low, found.high]
    return [tidy(lovibond_of_ebc(each)) for each in ebc], [round(each, 2) for each in ebc]


def _usual_time(key: str, written: Any) -> dict[str, Any]:
    found = _measured(written, "long-time")
    if found.unit == "min":
        return {"usual_before_end": _ends(_measured(written, "time"))}
    return {"usual_contact": _ends(found)}


_SPECIAL: Mapping[str, Callable[[str, Any], dict[str, Any]]] = {
    "from_memory": _from_memory,
    "yield": _yield,
    "colour": _colour,
    "colour_range": _colour_range,
    "usual_time": _usual_time,
}
