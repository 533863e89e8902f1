"""The names of everything that is computed or measured: one name, one unit, everywhere.

The same names stand in ``expect:`` of a recipe, in ``measured:`` of a record, in rules and in the
JSON output. This table sits with the recipe, before the science, because a recipe file that promises an
unknown stat must be told so before anything is brewed.

``unit`` is the unit of the value as it is held and as JSON writes it, with one exception: a strength
("% vol", "% weight") is held as a fraction (0.095) and written in percent (9.5). ``written()`` does that step.
``digits`` are the decimals of the written value; half of the last one is the stat's resolution.
"""

from typing import NamedTuple


class StatSpec(NamedTuple):
    """One stat: its name in files, unit, decimals, the station of the brew day it belongs to, and words for it.

    least: what it cannot be below, in the unit in which it is held; None where it may be negative or ends elsewhere.
    """

    name: str
    unit: str
    digits: int
    station: str
    title: str
    least: float | None = None


_TABLE: tuple[tuple[str, str, tuple[tuple[str, str, int, str], ...]], ...] = (
    (
        "gravity",
        "SG",
        (
            ("pre_boil_gravity", "", 3, "gravity before the boil"),
            ("kettle_gravity", "", 3, "gravity at flame-out"),
            ("pitching_gravity", "", 3, "gravity at pitching"),
            ("original_gravity", "", 3, "original gravity, all sugar in"),
            ("final_gravity", "", 3, "final gravity"),
            ("reckoned_final_gravity", "", 3, "final gravity by culture and mash"),
            ("apparent_attenuation", "1", 3, "apparent attenuation"),
            ("real_attenuation", "1", 3, "real attenuation"),
            ("attenuation_limit", "1", 3, "attenuation limit of the malt wort"),
            ("abv", "% vol", 1, "alcohol by volume"),
            ("abw", "% weight", 1, "alcohol by weight"),
        ),
    ),
    (
        "grist",
        "1",
        (
            ("extract_potential", "kg", 2, "extract the bill could give"),
            ("sugar_share", "", 3, "sugar, share of the extract"),
            ("sugar_weight_share", "", 3, "sugar, share of the weight"),
            ("unfermentable_share", "", 3, "sugar that stays, share of the extract"),
            ("adjunct_share", "", 3, "adjuncts, share of the extract"),
            ("fruit_share", "", 3, "fruit, share of the extract"),
            ("base_share", "", 3, "base malt, share of the grain"),
            ("crystal_share", "", 3, "crystal and caramel malt, share of the grain"),
            ("dark_crystal_share", "", 3, "dark crystal malt, share of the grain"),
            ("roast_share", "", 3, "roasted malt and grain, share of the grain"),
            ("smoked_share", "", 3, "smoked malt, share of the grain"),
            ("peated_share", "", 3, "peated malt, share of the grain"),
            ("acid_malt_share", "", 3, "acidulated malt, share of the grain"),
            ("huskless_share", "", 3, "grain without husks, share of the grain"),
            ("unmalted_share", "", 3, "unmalted grain, share of the grain"),
            ("share_sum", "", 3, "sum of the written shares"),
            ("diastatic_power", "°Lintner", 0, "diastatic power of what has starch"),
        ),
    ),
    (
        "volume",
        "L",
        (
            ("strike_liquor", "", 1, "strike liquor"),
            ("infusion_liquor", "", 1, "liquor that later steps add"),
            ("sparge_liquor", "", 1, "sparge liquor"),
            ("steep_liquor", "", 1, "liquor of the steep beside the mash"),
            ("liquor_in_all", "", 1, "liquor of mash, sparge and steep"),
            ("grain_keeps", "", 1, "liquor that the grain and the dead space keep"),
            ("mash_volume", "", 1, "volume of the mash"),
            ("pre_boil_volume", "", 1, "volume before the boil"),
            ("volume_gap", "", 1, "liquor poured beyond what is needed"),
            ("collect_gap", "", 1, "volume to collect beyond what is needed"),
            ("kettle_volume", "", 1, "volume in the kettle at flame-out"),
            ("kettle_loss", "", 1, "wort left in the kettle and its hops"),
            ("fermenter_volume", "", 1, "volume into the fermenter"),
            ("package_volume", "", 1, "volume to be packaged"),
            ("mash_fill", "1", 2, "fill of the mash tun"),
            ("kettle_fill", "1", 2, "fill of the kettle"),
            ("fermenter_fill", "1", 2, "fill of the fermenter"),
            ("batch_that_fits", "", 1, "largest batch that the vessels hold"),
        ),
    ),
    (
        "efficiency",
        "1",
        (
            ("conversion", "", 3, "conversion"),
            ("lauter_efficiency", "", 3, "lauter efficiency"),
            ("mash_efficiency", "", 3, "mash efficiency"),
            ("brewhouse_efficiency", "", 3, "brewhouse efficiency"),
            ("efficiency_gap", "", 3, "stated efficiency beyond what grist and vessel give"),
        ),
    ),
    (
        "mash",
        "mg/L",
        (
            ("strike_temperature", "°C", 1, "strike temperature"),
            ("dough_in_thickness", "L/kg", 2, "mash thickness at dough-in"),
            ("mash_thickness", "L/kg", 2, "mash thickness"),
            ("saccharification_minutes", "min", 0, "minutes at converting temperatures"),
            ("mash_ph", "pH", 2, "mash pH"),
            ("residual_alkalinity", "", 0, "residual alkalinity of the mash liquor as calcium carbonate"),
            *(
                (f"{where}{name}", "", 0, f"{name} of the {words} liquor")
                for where, words in (("", "mash"), ("sparge_", "sparge"))
                for name in ("calcium", "magnesium", "sodium", "chloride", "sulphate", "bicarbonate")
            ),
            *(
                (f"liquor_{name}", "", 0, f"{name} of all liquor and salts")
                for name in ("calcium", "magnesium", "sodium", "chloride", "sulphate")
            ),
            ("alkalinity", "", 0, "alkalinity of the mash liquor as calcium carbonate"),
            ("sparge_alkalinity", "", 0, "alkalinity of the sparge liquor as calcium carbonate"),
            ("sparge_residual_alkalinity", "", 0, "residual alkalinity of the sparge liquor"),
            ("sulphate_chloride_ratio", "1", 2, "sulphate to chloride, of all liquor and salts"),
            ("water_imbalance", "1", 3, "charge of the water analysis that does not balance"),
        ),
    ),
    (
        "boil",
        "1",
        (
            ("boil_gravity", "SG", 3, "mean gravity over the boil"),
            ("boiling_point", "°C", 1, "temperature of the boil"),
            ("boil_off_share", "", 3, "share that boils away in an hour"),
            ("dms_precursor_left", "", 2, "precursor of dimethyl sulphide left at flame-out"),
            (
                "dms_at_pitching",
                "",
                2,
                "dimethyl sulphide at pitching, share of its precursor before the boil",
            ),
        ),
    ),
    (
        "bitterness",
        "IBU",
        (
            ("bitterness", "", 0, "bitterness"),
            ("bitterness_ratio", "IBU/point", 2, "bitterness per gravity point"),
            ("alpha_added", "g", 1, "alpha acids added"),
            ("alpha_concentration", "mg/L", 0, "alpha acids brought to the wort"),
            ("hop_mass_per_litre", "g/L", 1, "hops per litre"),
            ("dry_hop_dose", "g/L", 1, "dry hops per litre"),
            ("dry_hop_ph_rise", "pH", 2, "rise of the pH by dry hops"),
            ("dry_hop_loss", "L", 1, "beer left with the dry hops"),
        ),
    ),
    (
        "colour",
        "SRM",
        (
            ("colour_srm", "", 1, "colour"),
            ("colour_ebc", "EBC", 0, "colour"),
        ),
    ),
    (
        "yeast",
        "billion",
        (
            ("cells_wanted", "", 0, "yeast cells wanted"),
            ("cells_pitched", "", 0, "yeast cells pitched"),
            ("pitch_rate", "million/mL/°P", 2, "pitching rate"),
            ("oxygen", "mg/L", 0, "oxygen in the wort"),
            ("oxygen_wanted", "mg/L", 0, "oxygen wanted"),
            ("amino_nitrogen", "mg/L", 0, "free amino nitrogen"),
            ("amino_nitrogen_wanted", "mg/L", 0, "free amino nitrogen wanted"),
            ("heat_of_fermentation", "MJ", 2, "heat of fermentation"),
            ("peak_heat", "W", 0, "most heat at one time"),
        ),
    ),
    (
        "fermentation",
        "h",
        (
            ("still_after", "", 0, "time until the beer is still"),
            ("packaged_after", "", 0, "time from pitching to packaging"),
            ("gravity_at_packaging", "SG", 3, "gravity at packaging"),
            ("gas_to_come", "vol", 2, "gas from extract that has not fermented at packaging"),
            ("conditioning_time", "", 0, "time in conditioning"),
            ("conditioning_time_wanted", "", 0, "time in conditioning usual for the gravity"),
            ("dry_hop_contact", "", 0, "longest contact with dry hops"),
            ("wood_contact", "", 0, "longest contact with wood"),
            ("spice_contact", "", 0, "longest contact with spices and herbs"),
            ("fruit_contact", "", 0, "longest contact with fruit"),
            ("headspace_oxygen", "mg/L", 0, "oxygen in the headspace it is kept under"),
        ),
    ),
    (
        "packaging",
        "vol",
        (
            ("packages_volume", "L", 1, "volume of the packages written"),
            ("residual_co2", "", 2, "carbon dioxide left from fermentation"),
            ("priming_sugar", "g", 0, "priming sugar"),
            ("carbonation", "", 1, "carbonation"),
            ("peak_carbonation", "", 1, "carbonation if the yeast goes to the limit"),
            ("peak_pressure", "bar", 1, "highest pressure in the package"),
            ("keg_pressure", "bar", 2, "pressure that holds the carbonation in the keg"),
            ("cask_priming", "g", 0, "priming sugar for the cask"),
            ("cask_carbonation", "", 2, "carbonation of the cask while it is shut"),
            ("vented_carbonation", "", 2, "carbonation of the cask once it is vented"),
            ("closing_gravity", "SG", 3, "gravity at which a closed fermenter makes its own gas"),
            ("bottle_yeast", "g", 1, "dry yeast for the bottles"),
            ("carbon_dioxide_made", "kg", 2, "carbon dioxide given off"),
        ),
    ),
    (
        "nutrition",
        "1",
        (
            ("energy", "kcal/100 mL", 0, "energy"),
            ("carbohydrate", "g/100 mL", 1, "carbohydrate"),
            ("alcohol_units", "g/100 mL", 1, "alcohol"),
            ("label_abv", "% vol", 1, "alcohol by volume for a label"),
            ("label_kilojoules", "kJ/100 mL", 0, "energy for a label"),
            ("label_kilocalories", "kcal/100 mL", 0, "energy for a label"),
            ("label_carbohydrate", "g/100 mL", 1, "carbohydrate for a label"),
        ),
    ),
)

# Scales whose zero is no end, and figures that are a difference or, like alkalinity that acid has used up, a debt.
_ENDLESS = frozenset(("SG", "°C", "pH"))
_SIGNED = frozenset(
    (
        "volume_gap", "collect_gap", "efficiency_gap", "alkalinity", "residual_alkalinity", "sparge_alkalinity",
        "sparge_residual_alkalinity", "water_imbalance",
    )
)  # fmt: skip

STATS: dict[str, StatSpec] = {
    name: StatSpec(
        name,
        unit or usual,
        digits,
        station,
        title,
        None if (unit or usual) in _ENDLESS or name in _SIGNED else 0.0,
    )
    for station, usual, rows in _TABLE
    for name, unit, digits, title in rows
}

# What must stand beside a figure wherever it is shown.
REMARKS: dict[str, str] = dict.fromkeys(
    ("label_abv", "label_kilojoules", "label_kilocalories", "label_carbohydrate"), "check local law"
)

WRITTEN_TIMES: dict[str, float] = {"% vol": 100.0, "% weight": 100.0}


def written(spec: StatSpec, value: float) -> float:
    """The value as JSON and text write it: strengths in percent, everything else as it is held."""
    return value * WRITTEN_TIMES.get(spec.unit, 1.0)


def resolution(spec: StatSpec) -> float:
    """Half of the last written decimal, in the unit in which the value is held.

    A promise without a range allows this much.
    """
    return 0.5 * 10.0**-spec.digits / WRITTEN_TIMES.get(spec.unit, 1.0)


# What a record may hold besides the stats: measured on the day, computed by nobody.
MEASURED_ONLY: dict[str, StatSpec] = {
    name: StatSpec(name, unit, digits, station, title)
    for name, unit, digits, station, title in (
        ("boil_off", "L/h", 1, "volume", "what boiled away in an hour"),
        ("pitching_temperature", "°C", 1, "yeast", "temperature at pitching"),
        ("forced_test", "SG", 3, "gravity", "final gravity of a warm, overpitched sample"),
        ("beer_ph", "pH", 2, "packaging", "pH of the beer"),
    )
}
