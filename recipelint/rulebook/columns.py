"""The register of facts that rules may name: every column of every table and every single value, with its
unit.

Stats are facts too; they stand in ``recipelint.recipe.stat_names``. No column of a row may bear the name of a
stat, except where both mean the same thing of different extent (an ion of one water, a share of one line):
there is none today, and a test keeps it so apart from the ions.
"""

from __future__ import annotations

from recipelint.recipe.stat_names import STATS
from recipelint.rulebook.expressions import Type

_KINDS = ("text", "flag", "texts")

# Table -> unit (or kind) -> names. A unit beginning with @ stands in the column of that name, row by row.
_TABLES: dict[str, dict[str, str]] = {
    "grist": {
        "text": "key id name kind stage timing sugar_kind slip never",
        "flag": "known starch needs_mash weight_written",
        "texts": "allergens",
        "kg": "weight extract",
        "1": "weight_share grain_share extract_share moisture max_share",
        "EBC": "colour colour_low colour_high",
        "°Lintner": "enzyme_power",
        "°C": "gelatinises",
        "min": "minutes",
        "h": "hours contact beyond",
        "g/L": "dose_in_beer",
        "count": "number repeats",
    },
    "hops": {
        "text": "id name stage timing form slip never",
        "flag": "known alpha_written weight_written waited",
        "kg": "weight",
        "1": "alpha alpha_fresh alpha_lost alpha_low alpha_high utilisation",
        "IBU": "ibu",
        "g/L": "dose dose_in_beer",
        "°C": "temperature",
        "min": "minutes steeps beside",
        "h": "hours contact before_package beyond",
        "count": "number repeats",
    },
    "rests": {
        "text": "name by pull slip way takes stuck",
        "flag": "steered",
        "°C": "temperature start reached",
        "K": "rise missed",
        "L/kg": "thickness",
        "min": "minutes heating_time over heats_in",
        "L": "liquor",
        "count": "number",
    },
    "steps": {
        "text": "name climbs until slip",
        "flag": "early of_room first last waits_until_still rested",
        "°C": "temperature room stands_at",
        "K": "rise",
        "h": "start hours",
        "count": "number",
    },
    "cultures": {
        "text": "id name form stage kind species diastatic eats_dextrins never",
        "flag": "known main tolerance_written attenuation_written",
        "1": "attenuation_low attenuation_high",
        "% vol": "tolerance_low tolerance_high",
        "°C": "temperature_low temperature_high pitched_at",
        "h": "hours age",
        "count": "number packs",
    },
    "additions": {
        "text": "id name kind family stage timing form slip dose_unit never",
        "flag": "known judged amount_written tasted",
        "kg": "weight",
        "L": "volume",
        "1": "strength dose_ratio contact_ratio",
        "g/L": "dose_in_beer",
        "@dose_unit": "dose dose_low dose_high",
        "min": "minutes",
        "h": "hours contact contact_low contact_high before_package beyond",
        "count": "number repeats pieces",
    },
    "waters": {
        "text": "name treated",
        "flag": "known share_written",
        "1": "share charge_gap bases_apart",
        "mg/L": "calcium magnesium sodium chloride sulphate bicarbonate alkalinity",
        "pH": "ph",
        "count": "number",
    },
    "vessels": {"text": "name", "L": "capacity filled", "1": "fill", "count": "number"},
    "figures": {"text": "name told usual", "1": "beyond_usual", "count": "number"},
    "stages": {
        "text": "name vessel",
        "flag": "racked purged last of_glass",
        "°C": "temperature",
        "K": "rise",
        "h": "start hours",
        "L": "capacity holds",
        "bar": "relief",
        "count": "number",
    },
    "packages": {
        "text": "name into glass priming assumed bears",
        "flag": "primed yeasted rest vented opened rating_written rating_assumed warmest_assumed goes_on "
        "priming_written volume_written",
        "kg": "priming_weight",
        "1": "primes",
        "vol": "carbonation_wanted made valve_holds in_the_end",
        "bar": "rated pressure relief rating peak worst pressure_needed",
        "°C": "temperature stored warmest",
        "L": "volume filled",
        "count": "number",
    },
    "promises": {"text": "name", "flag": "computed", "any": "low high value", "count": "number"},
    "style": {
        "text": "name slug guide",
        "texts": "tags groups",
        "SG": "og_low og_high fg_low fg_high",
        "% vol": "abv_low abv_high",
        "IBU": "ibu_low ibu_high",
        "SRM": "srm_low srm_high",
        "IBU/point": "ratio_low ratio_high",
    },
}

# What a recipe has once: usable in every rule, beside the stats.
_SINGLE: dict[str, str] = {
    "text": "batch_into chilled_by mash_heating sparge_method region recipe_name style_name style_slug style_guide "
    "mash_that_fits strike_that_does gluten_from unsettled efficiency_kind",
    "1": "efficiency_written",
    "flag": "mashed boiled packaged blow_off infusions_open",
    "texts": "claims style_tags style_groups allergens_in_all",
    "L": "batch_volume collected mash_liquor liquor_written sparge_written",
    "vol": "gas_if_slow",
    "W": "kettle_power boil_power",
    "min": "boil_time mash_time",
    "h": "pitched_after first_pitch fermentation_time",
    "SG": "finishes style_og_low style_og_high style_fg_low style_fg_high",
    "% vol": "style_abv_low style_abv_high",
    "IBU": "style_ibu_low style_ibu_high",
    "SRM": "style_srm_low style_srm_high",
    "IBU/point": "style_ratio_low style_ratio_high",
}

TABLES = tuple(_TABLES)
_made: dict[str, dict[str, Type]] = {}


def columns(table: str) -> dict[str, Type]:
    """The columns of a table and their types; the same dict each time, not to be changed."""
    if table not in _made:
        _made[table] = _types(_TABLES[table])
    return _made[table]


def facts() -> dict[str, Type]:
    """Single values and stats, usable in every rule."""
    if "" not in _made:
        made = {name: Type("number", spec.unit) for name, spec in STATS.items()}
        made.update(_types(_SINGLE))
        _made[""] = made
    return _made[""]


def singles() -> dict[str, Type]:
    """The single values without the stats."""
    return _types(_SINGLE)


def shared_columns(tables: tuple[str, ...]) -> dict[str, Type]:
    """The columns that all of the tables have, with the same meaning."""
    first, *others = (columns(table) for table in tables)
    return {name: kind for name, kind in first.items() if all(other.get(name) == kind for other in others)}


def _types(units: dict[str, str]) -> dict[str, Type]:
    made = {}
    for unit, names in units.items():
        if unit in _KINDS:
            kind = Type(unit)
        else:
            kind = Type("number", None if unit == "any" else unit)
        for name in names.split():
            made[name] = kind
    return made
