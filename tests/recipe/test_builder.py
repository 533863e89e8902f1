"""The builder: samples of every kind of file with their typed values, and each form of the language."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.recipe import model
from recipelint.recipe.builder import build, kind_of, why_no_kind
from recipelint.recipe.troubles import span_of
from recipelint.source.nodes import At, Document
from recipelint.source.reader import read
from tests.recipe.samples import (
    BREWHOUSE,
    CATALOGUE,
    HOUSE,
    RECIPE,
    RECORD,
    SAMPLES,
    SMALL,
    STYLES,
    built,
    document,
    recipe,
)


@pytest.mark.parametrize("kind", sorted(SAMPLES))
def test_the_first_key_says_what_a_file_is_and_the_sample_is_sound(kind: str) -> None:
    found = document(SAMPLES[kind])
    assert kind_of(found) == kind
    made = build(kind, found)
    assert made.troubles == ()
    assert made.value is not None


def test_a_recipe() -> None:
    made: model.Recipe = built(RECIPE).value
    assert (made.name, made.revision, made.file) == ("Harrow Field", 7, "recipes/a.yaml")
    assert made.style == model.StyleChoice("/style", "bjcp-2021/imperial-stout")
    assert made.brewhouse is not None
    assert made.brewhouse.named == "quarry-barn"
    assert made.batch.volume is not None
    assert (made.batch.volume.value, made.batch.into) == (18.0, "fermenter")
    assert made.batch.volume.at == At("recipes/a.yaml", "/batch/volume")
    assert [item.what.id for item in made.grist][:2] == ["pale-ale-malt", "caramel-malt-60"]
    assert made.grist[0].lot == "2027-04"
    crystal = made.grist[1]
    assert crystal.weight is not None and crystal.colour is not None and crystal.yield_ is not None
    assert (crystal.weight.value, crystal.colour.value) == (pytest.approx(0.42), 160.0)
    assert (crystal.yield_.value, crystal.yield_.unit) == (0.73, "as-is")
    assert _timing(made.grist[2].when) == ("mash", "before-end", 20.0)
    assert _timing(made.grist[3].when) == ("boil", "before-end", 15.0)
    assert _timing(made.grist[4].when) == ("ferment", "gravity", 1.040)
    assert made.grist[4].what == model.Named("sugar", "candi-sugar-dark", "/grist/4/sugar")


def test_a_recipe_from_the_mash_to_the_glass() -> None:
    made: model.Recipe = built(RECIPE).value
    assert made.mash is not None and made.sparge is not None and made.boil is not None
    assert [(rest.temperature.value, rest.for_.value) for rest in made.mash.rests] == [
        (52, 15),
        (66, 75),
        (77, 5),
    ]  # type: ignore[union-attr]
    assert (made.sparge.method, made.sparge.temperature.value) == ("fly", 75.0)  # type: ignore[union-attr]
    assert made.boil.for_.value == 120.0  # type: ignore[union-attr]
    assert [_timing(hop.when) for hop in made.hops] == [
        ("boil", "before-end", 80.0),
        ("whirlpool", "contact", 25.0),
        ("dry_hop", "before-package", 96.0),
    ]
    assert made.hops[1].temperature.value == 79.0  # type: ignore[union-attr]
    assert made.hops[2].for_.value == 60.0  # type: ignore[union-attr]
    culture = made.yeast[0]
    assert (culture.packs, culture.packed, culture.form) == (3.0, "2027-01-11", "liquid")
    assert culture.attenuation[:3] == (pytest.approx(0.73), pytest.approx(0.7), pytest.approx(0.76))  # type: ignore[index]
    assert culture.starter is not None and culture.starter.stirred is True
    assert [addition.count for addition in made.additions] == [None, 2.0, None, None]
    assert made.additions[3].until == "tasted"
    assert made.oxygen[0].for_.value == 2.0  # type: ignore[union-attr]
    assert made.oxygen[0].when == "pitching"
    assert (made.fermentation[1].rise, made.fermentation[1].until) == ("free", "still 4 d")
    assert made.conditioning[0].for_.value == pytest.approx(4 * 30.4 * 24)  # type: ignore[union-attr]
    package = made.packaging[0]
    assert (package.priming, package.rest) == (model.Priming("/packaging/0/priming", "sucrose"), False)
    assert package.yeast is not None and package.store is not None
    assert made.expect == (
        model.Expectation("/expect/pitching_gravity", "pitching_gravity", pytest.approx(1.090), pytest.approx(1.098),
                          1.094, "1.094 ± 0.004"),
        model.Expectation("/expect/abv", "abv", pytest.approx(0.09), pytest.approx(0.102), None, "9.0 .. 10.2 %"),
    )  # fmt: skip
    assert made.accept[0].rule == "bitterness-ratio-off-style"


def _timing(when: model.Timing | None) -> tuple[str, str, float | None]:
    assert when is not None
    return when.stage, when.kind, None if when.value is None else when.value.value


def test_a_brewhouse() -> None:
    made: model.Brewhouse = built(BREWHOUSE).value
    assert made.mash is not None and made.kettle is not None and made.efficiency is not None
    assert (made.name, made.mash.kind, made.mash.absorption.value) == ("Quarry Barn", "recirculated", 0.9)  # type: ignore[union-attr]
    assert made.kettle.boil_off.value == 4.2  # type: ignore[union-attr]
    assert made.efficiency.mash[:3] == (pytest.approx(0.74), pytest.approx(0.70), pytest.approx(0.78))  # type: ignore[index]
    assert made.efficiency.mash.origin == "brewhouse"  # type: ignore[union-attr]


def test_a_record() -> None:
    made: model.Record = built(RECORD).value
    assert (made.recipe, made.commit, made.date) == ("harrow-field", "b81e04d", "2027-02-06")
    by_name = {each.stat: each for each in made.measured}
    assert by_name["pre_boil_volume"].value.value == pytest.approx(29.0 * 0.96)
    pitching = by_name["pitching_gravity"]
    assert (pitching.value.value, pitching.read_at.value) == (1.092, 24.0)  # type: ignore[union-attr]
    assert "readings" not in by_name
    assert [reading.day.value for reading in made.readings] == [96.0, 264.0]  # type: ignore[union-attr]
    assert made.readings[0].temperature.value == 22.0  # type: ignore[union-attr]
    assert made.readings[1].instrument == "refractometer"


def test_a_house() -> None:
    made: model.House = built(HOUSE).value
    assert (made.name, made.units, made.fail_at) == ("The Quarry Barn", "metric", "warning")
    assert made.files is not None
    assert made.files.recipes == ("recipes/**/*.yaml",)
    assert made.models == {"bitterness": "tinseth"}
    off, note, limits = made.rules
    assert (off.rule, off.level, note.level) == ("crystal-share-high", "off", "note")
    assert limits.limits == {"warning_above": "35 %"}
    assert limits.styles == {"bjcp-2021/belgian-dark-strong-ale": {"warning_above": 0.45}}


def test_lists_become_rows() -> None:
    malt, hop = built(CATALOGUE).value
    assert (malt.id, malt.lot, malt.yield_, malt.colour) == ("pale-ale-malt", "2027-04", 0.806, 5.7)
    assert hop.alpha == (0.086, 0.086)
    assert [style.ref for style in built(STYLES).value.styles] == ["barn/winter-ale"]
    assert built("rules: 1\nitems: []\n").value == {"rules": 1, "items": []}


SMALL_PRINT: list[tuple[str, str, Any]] = [
    ("water: london-well", "water.0.source", "london-well"),
    (
        "water: [{source: reverse-osmosis, share: 40 %}, {source: hill-spring, share: 60 %}]",
        "water.1.share.value",
        0.6,
    ),
    ("water: {alkalinity: 4 °dH, ph: 7.4}", "water.0.ph", 7.4),
    (
        "packaging: {into: bottle, priming: {sugar: dextrose, weight: 120 g}}",
        "packaging.0.priming.weight.value",
        0.12,
    ),
    ("packaging: [{into: keg, volume: 9 L}, {into: bottle, volume: rest}]", "packaging.1.rest", True),
    ("packaging: [{into: keg, volume: 9 L}, {into: bottle, volume: rest}]", "packaging.0.volume.value", 9.0),
    (
        "packaging: {into: keg, relief: 1.1 bar, at: 4 °C, pressure: 0.8 bar}",
        "packaging.0.temperature.value",
        4.0,
    ),
    ("additions: [{add: x, volume: 1 fl oz}]", "additions.0.volume.value", 3.785411784 / 128),
    ("additions: [{add: x, volume: 2 imp gal}]", "additions.0.volume.value", 9.09218),
    ("additions: [{add: x, weight: 3 g/L, liquor: all}]", "additions.0.when.kind", "all"),
    ("additions: [{add: x, weight: 3 g/L, liquor: all}]", "additions.0.weight.kind", "concentration"),
    ("additions: [{add: x, weight: 3 g, sparge: true}]", "additions.0.when.stage", "sparge"),
    ("additions: [{add: x, weight: 3 g, whirlpool: 10 min}]", "additions.0.when.kind", "contact"),
    ("additions: [{add: x, weight: 3 g, package: true}]", "additions.0.when.kind", "unknown"),
    ("additions: [{add: x, weight: 3 g, condition: true}]", "additions.0.when.kind", "unknown"),
    ("fermentation: [{rise: free, to: 21 °C, for: 5 d}]", "fermentation.0.temperature", None),
    ("fermentation: [{to: 14 °C, over: 3 d}]", "fermentation.0.over.value", 72.0),
    ("fermentation: [{at: 18 °C, of: room, until: below 1.020}]", "fermentation.0.until", "below 1.020"),
    ("oxygen: {dose: air}", "oxygen.0.for_", None),
    ("oxygen: {dose: pure, at: 12 h, again: 14 h}", "oxygen.0.again.value", 14.0),
    ("mash: {rests: [{from: 67 °C, to: 64 °C, for: 60 min}]}", "mash.rests.0.from_.value", 67.0),
    ("mash: {rests: [{from: 67 °C, to: 64 °C, for: 60 min}]}", "mash.rests.0.temperature.value", 64.0),
    ("mash: {rests: [{at: 72 °C, by: infusion, liquor: 8 L, of: 98 °C}]}", "mash.rests.0.of.value", 98.0),
    (
        "mash: {rests: [{at: 63 °C, by: decoction, pull: thin, boil: 12 min, share: 25 %,"
        " rest: {at: 71 °C, for: 18 min}}]}",
        "mash.rests.0.rest.for_.value",
        18.0,
    ),
    ("boil: {for: 90 min, collect: 33 L hot}", "boil.collect.unit", "L hot"),
    ("boil: {volume: 12 L}\ntop_up: {volume: 10 L}", "top_up.volume.value", 10.0),
    ("chill: {by: none, pitched_after: 18 h}", "chill.pitched_after.value", 18.0),
    ("sparge: {method: batch, rinses: 2}", "sparge.rinses", 2),
    ("finishes: 1.014", "finishes.value", 1.014),
    ("claims: [vegan]", "claims", ("vegan",)),
    ("style: {enter: bjcp-2021/30A, base: bjcp-2021/13C, declare: [ginger]}", "style.declare", ("ginger",)),
    ("style: [bjcp-2021/17D, bjcp-2021/17C]", "style.enter", "bjcp-2021/17D"),
    ("style: [bjcp-2021/17D, bjcp-2021/17C]", "also_styles.0.enter", "bjcp-2021/17C"),
    ("brewhouse: {name: Here, kettle: {capacity: 30 L}}", "brewhouse.kettle.capacity.origin", "brewhouse"),
    ("brewhouse: {efficiency: {brewhouse: 70 %}}", "brewhouse.efficiency.brewhouse.value", 0.7),
    ("yeast: {culture: x, cells: 350 billion}", "yeast.0.cells.value", 350.0),
    (
        "yeast: [{culture: x, pitched_at: 16 °C}, {culture: y, ferment: when still}]",
        "yeast.1.when.kind",
        "still",
    ),
    ("yeast: [{culture: x, condition: after 1 month}]", "yeast.0.when.value.value", 30.4 * 24),
    (
        "yeast: [{culture: x, form: dry, packs: 1, pack: 11 g, finishes: 0.985}]",
        "yeast.0.finishes.value",
        0.985,
    ),
    (
        "yeast: [{culture: x, pitch_rate: 1.0 million/mL/°P, tolerance: 11 %}]",
        "yeast.0.tolerance.value",
        0.11,
    ),
    ("hops: [{hop: x, weight: 9 g, dry_hop: 3 d, parts: 3, every: 2 d}]", "hops.0.every.value", 48.0),
    ("hops: [{hop: x, weight: 9 g, harvest: 2025, stored_at: -18 °C}]", "hops.0.harvest", "2025"),
    ("hops: [{hop: x, weight: 9 g, age: 8 months, first_wort: true}]", "hops.0.when.stage", "first_wort"),
    ("hops: [{hop: x, weight: 9 g, whirlpool: 20 min, at: 80 °C, held: true}]", "hops.0.held", True),
    ("hops: [{hop: x, weight: 9 g, dry_hop: 2 d after previous}]", "hops.0.when.kind", "after-previous"),
    ("expect: {mash_ph: 5.4}", "expect.0.low", 5.4),
    ("expect: {original_gravity: at least 1.080}", "expect.0.high", None),
    ("expect: {bitterness: at most 45 IBU}", "expect.0.high", 45.0),
    ("expect: {priming_sugar: 120 g}", "expect.0.value", 120.0),
    ("expect: {original_gravity: 20 °P}", "expect.0.value", 1.0830),
    ("brew_date: 2026-02-14", "brew_date", "2026-02-14"),
]


@pytest.mark.parametrize(
    ("extra", "path", "value"), SMALL_PRINT, ids=[row[0][:60] + " " + row[1] for row in SMALL_PRINT]
)
def test_the_small_print(extra: str, path: str, value: object) -> None:
    found: Any = recipe(extra + "\n")
    for step in path.split("."):
        found = found[int(step)] if step.isdigit() else getattr(found, step)
    assert found == (pytest.approx(value, abs=5e-5) if isinstance(value, float) else value)


GRIST_FORMS: list[tuple[str, str, str, float | None]] = [
    ("ferment: 3 d", "ferment", "day", 72.0),
    ("ferment: when still", "ferment", "still", None),
    ("ferment: 2 d after previous", "ferment", "after-previous", 48.0),
    ("ferment: below 1.045", "ferment", "gravity", 1.045),
    ("ferment: true", "ferment", "unknown", None),
    ("boil: true", "boil", "unknown", None),
    ("boil: 0 min", "boil", "before-end", 0.0),
    ("condition: after 2 months", "condition", "after", 2 * 30.4 * 24),
    ("package: true", "package", "unknown", None),
    ("steep: {at: 68 °C, for: 30 min, liquor: 6 L}", "steep", "contact", 30.0),
    ("steep: {at: 68 °C}", "steep", "unknown", None),
]


@pytest.mark.parametrize(("form", "stage", "kind", "value"), GRIST_FORMS)
def test_when_an_item_goes_in(form: str, stage: str, kind: str, value: float | None) -> None:
    text = SMALL + f"  - {{sugar: dextrose, weight: 1 kg, {form}}}\n"
    when = recipe(base=text).grist[1].when
    assert (when.stage, when.kind, when.value and when.value.value) == (
        stage,
        kind,
        value and pytest.approx(value),
    )


def test_a_bill_in_shares() -> None:
    text = """\
recipe: 1
name: A
batch: {volume: 20 L, into: fermenter, gravity: 1.060}
grist:
  - {malt: pale-ale-malt, share: 88 %}
  - {sugar: demerara-sugar, share: 12 %, boil: 10 min}
"""
    made = recipe(base=text)
    assert [item.share.value for item in made.grist] == [pytest.approx(0.88), pytest.approx(0.12)]
    assert made.batch.gravity.value == 1.06


def test_names_may_look_like_numbers() -> None:
    made = built("brew: 1\nrecipe: 1984\ncommit: 0012345\n").value
    assert (made.recipe, made.commit) == ("1984", "0012345")
    item = recipe(base=SMALL.replace("weight: 5 kg", "weight: 5 kg, lot: 0042")).grist[0]
    assert item.lot == "0042"


def test_notes_do_not_stop_a_recipe() -> None:
    made = built(SMALL + "additions: [{add: coriander-seed, volume: 2 tsp, boil: true}]\n")
    assert made.value is not None
    assert [(each.rule, each.level) for each in made.troubles] == [
        ("amount-by-spoon", "note"),
        ("stage-time-missing", "note"),
    ]


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("name: A\nrecipe: 1\n", "unknown-kind"),
        ("recipes: 1\n", "unknown-kind"),
        ("recipe:\n", "unknown-kind"),
        ("recipe: Winter\n", "unknown-kind"),
        ("services: {web: {}}\n", "unknown-kind"),
        ("- 1\n", "unknown-kind"),
        ("rules: [a, b]\n", "unknown-kind"),
    ],
)
def test_what_is_not_one_of_ours_is_said_to_be_so(text: str, rule: str) -> None:
    found = document(text)
    assert kind_of(found) is None
    trouble = why_no_kind(found)
    assert trouble.rule == rule
    assert len(trouble.message) <= 160


def test_a_file_that_is_no_yaml_gives_nothing_here() -> None:
    made = build("recipe", read("a.yaml", b"a: [1"))
    assert made == (None, ())


KEYS = st.sampled_from(
    ["recipe", "name", "batch", "volume", "into", "grist", "malt", "sugar", "weight", "share", "mash",
     "rests", "at", "for", "boil", "hops", "hop", "alpha", "yeast", "culture", "packs", "additions",
     "add", "water", "source", "expect", "abv", "mash_ph", "accept", "rule", "because", "style",
     "enter", "brewhouse", "kettle", "efficiency", "measured", "readings", "day", "gravity", "rules",
     "styles", "level", "items", "catalogue", "house", "files", "models", "lot", "yield", "colour",
     "a/b", "~c"]
)  # fmt: skip
SCALARS = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=12),
    st.sampled_from(["21 L", "350", 350, "fermenter", "10 min", "1.048", 1048, "72 .. 80 %", "true"]),
)  # fmt: skip
TREES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=6),
    max_leaves=40,
)


@given(TREES, st.sampled_from(["recipe", "brewhouse", "brew", "house", "catalogue", "styles", "rules"]))
def test_no_tree_makes_the_builder_raise(tree: object, kind: str) -> None:
    import json

    data = {kind: 1, **tree} if isinstance(tree, dict) else tree
    text = (
        json.dumps(data, ensure_ascii=True)
        .replace("NaN", ".nan")
        .replace("-Infinity", "-.inf")
        .replace("Infinity", ".inf")
    )
    found: Document = read("a.yaml", text.encode())
    why_no_kind(found)
    made = build(kind, found)
    for trouble in made.troubles:
        span = span_of(trouble, found)
        assert 0 <= span.start <= span.end <= len(found.text)
        assert 0 < len(trouble.message) <= 160, trouble.message
        assert not set("{}\n") & set(trouble.message)
    starts = [span_of(trouble, found).start for trouble in made.troubles]
    assert starts == sorted(starts)
    errors = [trouble for trouble in made.troubles if trouble.level == "error"]
    if not found.problems:
        assert (made.value is None) == bool(errors or found.root is None)
