"""The stats page, from the mash to the glass, with a 90 % band beside each number."""

from __future__ import annotations

from typing import TYPE_CHECKING

from recipelint.recipe.stat_names import STATS
from recipelint.report import contact_text, mash_text, numbers, path_text
from recipelint.report.naming import brewhouse_name
from recipelint.report.screen import NAME, PAGE, Look, clean, cut, folded, paint, width

if TYPE_CHECKING:
    from recipelint.workspace.workspace import Brewed

# What the hydrometer shows comes first; then the day from the mill to the glass.
CONVERTING = "between 60 and 75 °C"
_PAGE: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    (
        "Gravity and strength",
        (
            ("pre_boil_gravity", "before the boil"),
            ("kettle_gravity", "at flame-out"),
            ("pitching_gravity", "at pitching"),
            ("original_gravity", "all sugar in"),
            ("final_gravity", "when it has finished"),
            ("apparent_attenuation", "apparent attenuation"),
            ("attenuation_limit", "limit of the malt wort"),
            ("abv", "alcohol"),
        ),
    ),
    (
        "Liquor and mash",
        (
            ("strike_liquor", "strike liquor"),
            ("strike_temperature", "strike temperature"),
            ("infusion_liquor", "added at later steps"),
            ("sparge_liquor", "sparge liquor"),
            ("steep_liquor", "liquor of the steep"),
            ("grain_keeps", "kept by the grain"),
            ("dough_in_thickness", "thickness at dough-in"),
            ("mash_thickness", "thickness"),
            ("mash_volume", "volume of the mash"),
            ("diastatic_power", "diastatic power"),
            ("saccharification_minutes", CONVERTING),
            ("mash_ph", "mash pH"),
        ),
    ),
    (
        "Out of the grain",
        (
            ("conversion", "conversion"),
            ("lauter_efficiency", "lauter efficiency"),
            ("mash_efficiency", "mash efficiency"),
            ("brewhouse_efficiency", "brewhouse efficiency"),
            ("efficiency_gap", "stated above reckoned"),
        ),
    ),
    (
        "Volumes at 20 °C",
        (
            ("pre_boil_volume", "before the boil"),
            ("kettle_volume", "at flame-out"),
            ("kettle_loss", "left in the kettle"),
            ("fermenter_volume", "into the fermenter"),
            ("package_volume", "to be packaged"),
            ("batch_that_fits", "these vessels hold"),
        ),
    ),
    (
        "Boil",
        (
            ("boiling_point", "boils at"),
            ("boil_off_share", "boils away in an hour"),
            ("boil_gravity", "mean gravity"),
            ("dms_precursor_left", "DMS precursor left"),
        ),
    ),
    (
        "Bitterness and colour",
        (
            ("bitterness", "bitterness"),
            ("bitterness_ratio", "for each gravity point"),
            ("alpha_concentration", "alpha acids added"),
            ("hop_mass_per_litre", "hops, all together"),
            ("dry_hop_dose", "dry hops"),
            ("dry_hop_loss", "beer they keep"),
            ("colour_srm", "colour"),
            ("colour_ebc", "the same in EBC"),
        ),
    ),
    (
        "Yeast",
        (
            ("cells_wanted", "cells wanted"),
            ("cells_pitched", "cells pitched"),
            ("pitch_rate", "pitching rate"),
            ("oxygen", "oxygen"),
            ("oxygen_wanted", "oxygen wanted"),
            ("amino_nitrogen", "amino nitrogen"),
            ("amino_nitrogen_wanted", "amino nitrogen wanted"),
        ),
    ),
    (
        "Fermentation",
        (
            ("still_after", "still after"),
            ("heat_of_fermentation", "heat given off"),
            ("peak_heat", "most of it at one time"),
            ("carbon_dioxide_made", "gas given off"),
            ("headspace_oxygen", "oxygen in the headspace"),
            ("conditioning_time", "conditioned for"),
            ("conditioning_time_wanted", "usual at this gravity"),
            ("packaged_after", "packaged after"),
            ("gravity_at_packaging", "gravity then"),
            ("gas_to_come", "gas still to come then"),
        ),
    ),
    (
        "Package",
        (
            ("residual_co2", "gas left in the beer"),
            ("closing_gravity", "close the vessel at"),
            ("priming_sugar", "priming sugar"),
            ("bottle_yeast", "dry yeast for bottles"),
            ("carbonation", "carbonation"),
            ("peak_carbonation", "should it ferment on"),
            ("peak_pressure", "pressure at its warmest"),
            ("cask_priming", "sugar for the cask"),
            ("cask_carbonation", "in the cask, shut"),
            ("vented_carbonation", "in the cask, vented"),
            ("keg_pressure", "set the keg to"),
        ),
    ),
    (
        "In the glass",
        (
            ("energy", "energy"),
            ("carbohydrate", "carbohydrate"),
            ("alcohol_units", "alcohol"),
        ),
    ),
    (
        "For a label: check local law",
        (
            ("label_abv", "alcohol"),
            ("label_kilojoules", "energy"),
            ("label_kilocalories", "the same"),
            ("label_carbohydrate", "carbohydrate"),
        ),
    ),
)
_LABELS_US = {CONVERTING: "between 140 and 167 °F"}
_FILLS = {"mash_volume": "mash_fill", "pre_boil_volume": "kettle_fill", "fermenter_volume": "fermenter_fill"}
_VESSELS = {"mash_fill": "mash tun", "kettle_fill": "kettle", "fermenter_fill": "fermenter"}
_WHERE_ANY = frozenset(
    (
        "infusion_liquor", "steep_liquor", "dry_hop_dose", "dry_hop_loss", "efficiency_gap", "batch_that_fits",
        "closing_gravity", "bottle_yeast", "keg_pressure", "headspace_oxygen", "packaged_after",
        "gravity_at_packaging", "gas_to_come", "conditioning_time", "cask_priming", "cask_carbonation",
        "vented_carbonation",
    )
)  # fmt: skip
_TEXT = 96  # columns of running text
_BAND = "90 % band"
_WORDS = {
    "pitching_gravity": "what the hydrometer will show",
    "carbon_dioxide_made": "heavier than air: keep the cellar aired",
    "vented_carbonation": "under a soft spile it holds what open beer does",
    "energy": "of 100 mL, as drunk",
    "label_carbohydrate": "glycerol and acids are counted in it",
}
_HOT = 0.96  # volume at 20 °C / volume at boiling heat


def stats_text(brewed: Brewed, units: str = "metric", look: Look = Look()) -> str:  # noqa: B008
    """The page of one recipe; ``units`` is metric or us. What cannot be computed stands last, with the reason."""
    title, *more = folded(_title(brewed, units), PAGE - len(_BAND) - 2, "  ")
    lines = [paint(title, "strong", look) + " " * max(2, 60 - width(title)) + _BAND]
    lines += [paint(line, "strong", look) for line in more]
    unknown: dict[str, list[str]] = {}
    for heading, rows in _PAGE:
        block: list[str] = []
        for name, label in rows:
            block += _row(brewed, name, label, units, look, unknown)
        if block:
            lines += ["", heading, *block]
        if heading == "Gravity and strength":
            lines += _bill(brewed, units)
        if heading == "Fermentation" and block:
            lines += path_text.way(brewed.brew.way, brewed.brew.grist, brewed.brew.cultures, units)
            lines += contact_text.lying(brewed.brew.contacts, units)
        if heading == "Liquor and mash":
            lines += mash_text.rests(brewed.brew.rests, units)
            lines += mash_text.water(brewed.brew.stat, brewed.recipe.water, unknown)
    lines += _unsure(brewed)
    lines += _assumed(brewed)
    lines += _not_known(unknown)
    return "\n".join(lines) + "\n"


def _title(brewed: Brewed, units: str) -> str:
    recipe = brewed.recipe
    title = clean(recipe.name)
    if recipe.revision is not None:
        title += f", revision {recipe.revision}"
    came = brewed.brew.plan.came
    if came is not None:
        title += f", {numbers.volume(came, units)} in the fermenter"
    if brewed.brew.brewhouse is None:
        return f"{title}, on the default brewhouse"
    return f"{title}, on {clean(brewhouse_name(brewed) or 'a brewhouse of its own')}"


def _row(
    brewed: Brewed, name: str, label: str, units: str, look: Look, unknown: dict[str, list[str]]
) -> list[str]:
    spec = STATS[name]
    stat = brewed.brew.stat(name)
    if name == "peak_carbonation" and stat.value is not None and stat.risk is None:
        return []  # the carbonation over again
    if name == "dough_in_thickness" and not brewed.brew.stat("infusion_liquor").value:
        return []  # it stays as it begins
    if name == "cask_priming" and stat.value == brewed.brew.stat("priming_sugar").value:
        return []  # all the sugar goes into the cask
    if name in _WHERE_ANY and abs(stat.value or 0.0) < 0.5 * 10.0**-spec.digits:
        return []  # nothing of the kind is in this recipe
    if stat.value is None:
        unknown.setdefault(stat.why or "not computed yet", []).append(spec.title)
        return []
    number, unit = numbers.spelt(spec, stat.value, units)
    band = brewed.brew.band(name)
    spread = ""
    if band is not None:
        low, high = (numbers.spelt(spec, edge, units)[0] for edge in band)
        spread = f"{low} .. {high}" if low != high else ""
    remark = _remark(brewed, name, units)
    if stat.risk is not None:
        worst = " ".join(numbers.spelt(spec, stat.risk, units)).strip()
        remark = ", ".join(part for part in (f"at worst {worst}", remark) if part)
    square = _square(brewed) if name == "colour_srm" and look.colour else ""
    label = _LABELS_US.get(label, label) if units == "us" else label
    lines = _columns(label, number, unit, spread, remark, square)
    if name == "bitterness":
        lines += _additions(brewed, units)
    return lines


def _columns(label: str, number: str, unit: str, spread: str, remark: str, square: str = "") -> list[str]:
    """A row of the page; a remark too long for it goes on below itself. square: a swatch before the remark."""
    unit = "M/mL/°P" if unit == "million/mL/°P" else unit
    row = f"  {label:<24}{number:>9} {unit:<13}{spread:<18}"
    first, *more = folded(remark, PAGE - width(row) - (_SQUARE if square else 0))
    return [f"{row}{square}{first}".rstrip(), *(" " * width(row) + line for line in more)]


def _no_heat_written(brewed: Brewed) -> bool:
    steps, stages = brewed.recipe.fermentation, brewed.recipe.conditioning
    return not (any(one.temperature or one.to for one in steps) or any(one.temperature for one in stages))


def _value(brewed: Brewed, name: str) -> float | None:
    value: float | None = brewed.brew.stat(name).value
    return value


def _remark(brewed: Brewed, name: str, units: str) -> str:
    if name in _WORDS:
        return _WORDS[name]
    if name == "pre_boil_gravity":
        litres = _value(brewed, "pre_boil_volume")
        if litres is None:
            return ""
        return f"{numbers.volume(litres / _HOT, units)} hot ({numbers.volume(litres, units)} at 20 °C)"
    if name == "residual_co2" and _no_heat_written(brewed):
        return "taken at 20 °C, since no temperature is written"
    if name == "original_gravity":
        return _still_to_come(brewed, units)
    if name == "colour_srm":
        past = (_value(brewed, name) or 0.0) > 50.0
        return _shade(brewed) + (" at least: no data past 50 SRM" if past else "")
    if name == "bitterness":
        return _ceiling(brewed)
    if name == "conditioning_time_wanted":
        return _ripening(brewed)
    if name == "label_abv":
        return _tolerance(_value(brewed, name) or 0.0)
    if name == "batch_that_fits":
        batch = brewed.recipe.batch
        return f"into the {batch.into}, at most"
    if name in _FILLS:
        fill = _value(brewed, _FILLS[name])
        if fill is not None:
            return f"{numbers.decimals(fill * 100, 0)} % of the {_VESSELS[_FILLS[name]]}"
    return ""


def _ceiling(brewed: Brewed) -> str:
    """A word where more alpha goes in than dissolves: every model then reads high."""
    if brewed.brew.dissolved("bitterness") >= 1.0:
        return ""
    band, found = brewed.brew.band("bitterness"), _value(brewed, "bitterness")
    most = band is None or found is None or band[1] <= found
    return f"{'at most' if most else 'reads high'}: more alpha than dissolves"


def _ripening(brewed: Brewed) -> str:
    """The other rule of the trade beside its table: they differ by a factor of two and more, and so do the sources."""
    from recipelint.brewing.conditioning import conditioning_rule

    gravity = _value(brewed, "original_gravity")
    if gravity is None:
        return ""
    return f"a guide from memory; a week for ten points would be {conditioning_rule(gravity):.0f} d"


def _tolerance(abv: float) -> str:
    """How far the strength may lie from the label."""
    from recipelint.brewing.energy import strength_tolerance

    eu, us = (numbers.decimals(100.0 * strength_tolerance(abv, region), 1) for region in ("eu", "us"))
    return f"the beer may lie {eu} either side of it in the EU, {us} in the US"


def _still_to_come(brewed: Brewed, units: str) -> str:
    """Sugar and fruit that goes into the fermenter or later: the hydrometer at pitching cannot see it."""
    by_place = {item.at: item for item in brewed.recipe.grist}
    parts = []
    for fact in brewed.brew.grist:
        if fact.stage in ("ferment", "condition"):
            item = by_place.get(fact.at)
            when = item.when.text if item is not None and item.when is not None else ""
            parts.append(
                f"{numbers.weight(fact.weight, units)} {cut(clean(fact.name), NAME)}"
                + (f" {clean(when)}" if when else "")
            )
    return f"still to come: {'; '.join(parts)}" if parts else ""


def _shade(brewed: Brewed) -> str:
    """The colour in sRGB: 5 cm of beer in daylight."""
    from recipelint.brewing.swatches import SWATCHES

    srm = _value(brewed, "colour_srm") or 0.0
    return SWATCHES[max(0, min(len(SWATCHES) - 1, round(srm)))]


_SQUARE = 3  # columns of the square below, with the space after it


def _square(brewed: Brewed) -> str:
    """The colour as a plain square, to stand before its number."""
    shade = _shade(brewed)
    red, green, blue = (int(shade[i : i + 2], 16) for i in (1, 3, 5))
    return f"\x1b[48;2;{red};{green};{blue}m  \x1b[0m "


def _additions(brewed: Brewed, units: str) -> list[str]:
    """Each hop addition's part of the bitterness, in the order they go in."""
    lines = []
    for fact in brewed.brew.hops:
        if not fact.ibu:
            continue
        when = f"{numbers.decimals(fact.minutes, 0)} min" if fact.minutes is not None else "time not given"
        label = f"  {cut(clean(fact.name), NAME)}"
        what = f"{numbers.weight(fact.weight, units)}, {_STAGES.get(fact.stage, fact.stage)} {when}"
        lines += _columns(label, numbers.decimals(fact.ibu, 1), "IBU", "", what)
    return lines


_STAGES = {
    "boil": "boiled",
    "first_wort": "in the first wort, boiled",
    "whirlpool": "in the whirlpool",
    "mash": "in the mash, boiled",
}


def _bill(brewed: Brewed, units: str) -> list[str]:
    """What the gravity comes from: each line of the bill with its share of the weight and of the extract."""
    facts = [fact for fact in brewed.brew.grist if fact.weight]
    if not facts:
        return []
    names = [cut(clean(fact.name), NAME) for fact in facts]
    room = max(26, *(width(name) + 2 for name in names))
    lines = ["", f"{'Where it comes from':<{room + 2}}{'weight':>10}{'of weight':>13}{'of extract':>14}"]
    for name, fact in zip(names, facts, strict=True):
        weighed = numbers.decimals(fact.weight_share * 100, 1)
        gained = numbers.decimals(fact.extract_share * 100, 1)
        gap = " " * (room - width(name))
        lines.append(f"  {name}{gap}{numbers.weight(fact.weight, units):>10}{weighed:>11} %{gained:>12} %")
    return lines


def _unsure(brewed: Brewed) -> list[str]:
    """The inputs that widen the bands most: what is worth measuring next time."""
    groups = brewed.brew.least_sure(3)
    return ["", "least sure: " + ", ".join(groups)] if groups else []


def _assumed(brewed: Brewed) -> list[str]:
    """What the files leave open and a stated default stands in for."""
    assumed = dict.fromkeys(
        words if number is None else f"{words}: {numbers.decimals(number, 0 if number >= 20 else 2)}"
        for words, number in brewed.brew.plan.assumed
    )
    return (
        [
            "",
            "Assumed, since nothing is written",
            *(line for words in assumed for line in folded(f"  {clean(words)}", _TEXT, "    ")),
        ]
        if assumed
        else []
    )


def _not_known(unknown: dict[str, list[str]]) -> list[str]:
    lines: list[str] = []
    for why, titles in unknown.items():
        lines += folded(f"  {clean(why)}: {', '.join(titles)}", _TEXT, "    ")
    return ["", "Not computed, and why", *lines] if lines else []
