"""Tables of facts: their columns, and the arithmetic of doses."""

from __future__ import annotations

import pytest

from recipelint.rulebook.columns import TABLES, columns, facts, singles
from recipelint.rulebook.expressions import Type
from recipelint.rulebook.tables import Tables
from tests.rulebook.kitchen import Cooked, bases, catalogue, cooked

FITS = {"number": (int, float), "text": str, "flag": bool, "texts": tuple}


def fits(value: object, kind: Type) -> bool:
    if value is None:
        return True
    if kind.kind == "number":
        return isinstance(value, (int, float)) and not isinstance(value, bool)
    return isinstance(value, FITS[kind.kind])


@pytest.mark.parametrize("base", sorted(bases()))
@pytest.mark.parametrize("table", TABLES)
def test_rows_hold_exactly_the_columns_of_the_register(base: str, table: str) -> None:
    for row in cooked(base).tables.rows(table):
        given = {name: value for name, value in row.items() if name not in ("at", "_record", "number")}
        register = {name: kind for name, kind in columns(table).items() if name != "number"}
        assert set(given) == set(register)
        for name, value in given.items():
            assert fits(value, register[name]), (name, value)


@pytest.mark.parametrize("base", sorted(bases()))
def test_every_single_fact_has_the_type_of_the_register(base: str) -> None:
    tables = cooked(base).tables
    for name, kind in facts().items():
        assert fits(tables.facts[name], kind), name
    assert set(singles()) <= set(facts())


def test_every_table_has_rows_somewhere() -> None:
    assert [table for table in TABLES if not any(cooked(base).tables.rows(table) for base in bases())] == [
        "promises"
    ]


def test_rests_and_steps() -> None:
    tables = cooked("pilsner").tables
    assert [row["rise"] for row in tables.rows("rests")] == [None, 5.0, 3.0, 7.0]
    steps = tables.rows("steps")
    assert [row["start"] for row in steps] == [0.0, 192.0, 264.0]
    assert [row["early"] for row in steps] == [True, False, False]
    assert tables.facts["mash_time"] == 85.0


def test_a_step_that_lasts_until_something_leaves_later_starts_open() -> None:
    steps = Cooked(
        "pilsner", {"fermentation": [{"at": "10 °C", "until": "still 3 d"}, {"at": "2 °C", "for": "1 d"}]}
    ).tables.rows("steps")
    assert [row["start"] for row in steps] == [0.0, None]
    assert [row["early"] for row in steps] == [True, False]


def test_room_temperature_is_not_the_beers() -> None:
    (step,) = Cooked("pilsner", {"fermentation": [{"at": "10 °C", "of": "room", "for": "9 d"}]}).tables.rows(
        "steps"
    )
    assert step["temperature"] is None and step["room"] == 10.0


def test_repeats_and_known() -> None:
    hop = {"hop": "fuggle", "weight": "10 g", "boil": "60 min"}
    rows = Cooked(
        "pale-ale", {"hops": [hop, hop, {**hop, "boil": "5 min"}, {**hop, "hop": "no-such-hop"}]}
    ).tables.rows("hops")
    assert [row["repeats"] for row in rows] == [0, 1, 0, 0]
    assert [row["known"] for row in rows] == [True, True, True, False]


def test_concentrated_pellets_have_twice_the_range() -> None:
    plain, strong = (
        Cooked(
            "pale-ale", {"hops": [{"hop": "saaz", "weight": "9 g", "form": form, "boil": "9 min"}]}
        ).tables.rows("hops")[0]
        for form in ("pellet", "concentrated pellet")
    )
    assert strong["alpha_high"] == 2 * plain["alpha_high"] and strong["alpha_low"] == 2 * plain["alpha_low"]


def addition(**keys: object) -> dict[str, object]:
    return Cooked("pale-ale", {"additions": [keys]}).tables.rows("additions")[0]


def test_dose_is_per_litre_of_beer_into_the_fermenter() -> None:
    row = addition(add="coriander-seed", weight="21 g", form="crushed", boil="5 min")
    assert row["dose"] == pytest.approx(1.0) and row["dose_unit"] == "g/L"
    assert (row["dose_low"], row["dose_high"], row["dose_ratio"]) == (0.4, 2.0, 1.0)


def test_form_moves_the_range_and_an_unwritten_one_widens_it() -> None:
    whole = addition(add="coriander-seed", weight="21 g", form="whole", boil="5 min")
    assert (whole["dose_low"], whole["dose_high"]) == (0.8, 4.0)
    unsaid = addition(add="coriander-seed", weight="21 g", boil="5 min")
    assert (unsaid["dose_low"], unsaid["dose_high"]) == (0.4, 4.0)


def test_pieces_weights_and_amounts_per_litre() -> None:
    assert addition(add="vanilla", count=3, condition=True)["dose"] == pytest.approx(3 / 21)
    assert addition(add="star-anise", count=2, boil="5 min")["dose"] == pytest.approx(2 * 1.5 / 21)
    assert addition(add="coriander-seed", weight="0.8 g/L", boil="5 min")["dose"] == pytest.approx(0.8)
    assert addition(add="irish-moss", boil="5 min")["dose"] is None


def test_ratio_below_and_above_and_its_slip() -> None:
    high = addition(add="star-anise", weight="60 g", boil="5 min")
    assert high["dose_ratio"] == pytest.approx(60 / 21 / 0.5) and high["slip"] == "; was 6 g meant?"
    low = addition(add="coriander-seed", weight="1 g", form="crushed", boil="5 min")
    assert low["dose_ratio"] == pytest.approx(1 / 21 / 0.4) and "meant?" in str(low["slip"])
    assert addition(add="coriander-seed", weight="21 g", boil="5 min")["slip"] == ""


def test_acids_scale_with_strength() -> None:
    stock = addition(add="lactic-acid", volume="3 mL", strength="88 %", mash=True)
    weak = addition(add="lactic-acid", volume="3 mL", strength="44 %", mash=True)
    known = addition(add="lactic-acid", volume="3 mL", strength="80 %", mash=True)
    assert weak["dose_high"] == pytest.approx(2 * stock["dose_high"])  # type: ignore[operator]
    assert (known["dose_low"], known["dose_high"]) == (0.02, 1.1)


def test_written_ions_beat_those_of_the_source() -> None:
    row = Cooked(
        "pale-ale", {"water": {"source": "burton-1", "calcium": "40 mg/L", "sulphate": None}}
    ).tables.rows("waters")[0]
    assert row["calcium"] == 40.0 and row["sulphate"] > 100


def test_style_ratio_lies_at_the_middle_of_the_gravities() -> None:
    tables = cooked("barley-wine").tables
    assert tables.facts["style_ratio_low"] == pytest.approx(35 / 100)
    assert tables.facts["style_ratio_high"] == pytest.approx(70 / 100)
    assert "strong-ale-family" in tables.facts["style_tags"]


def mash(capacity: str, liquor: str) -> object:
    patch = {"brewhouse": {"mash": {"capacity": capacity}}, "mash": {"liquor": liquor}}
    return Cooked("barley-wine", patch).tables.facts["mash_that_fits"]


def test_the_mash_that_would_fit() -> None:
    """10.6 kg of grain take 7.1 L (0.67 L/kg), a twentieth of the vessel stays free: 0.95 x 34 L - 7.1 L = 25.2 L."""
    assert mash("34 L", "29 L") == "25.2 L of liquor would fit, or two mashes"
    assert mash("25 L", "29 L") == "it takes two mashes"  # 16.6 L for 10.6 kg would be a dough
    assert cooked("millet-ale").tables.facts["mash_that_fits"] is None  # the vessel is not known


def test_all_the_liquor_that_is_written() -> None:
    rests = [
        {"at": "52 °C", "for": "10 min"},
        {"at": "66 °C", "for": "60 min", "by": "infusion", "liquor": "5 L"},
    ]
    patch = {"mash": {"liquor": "12 L", "rests": rests}, "sparge": {"method": "batch", "liquor": "9 L"}}
    assert Cooked("pale-ale", patch).tables.facts["liquor_written"] == 26.0
    assert Cooked("pale-ale", {"mash": {"liquor": None}}).tables.facts["liquor_written"] is None


def test_tables_are_made_once_and_only_when_asked_for() -> None:
    tables = Cooked("pale-ale").tables
    assert tables._made == {}
    assert tables.rows("hops") is tables.rows("hops")
    assert set(tables._made) == {"hops"}


def test_judging_leaves_nothing_for_the_garbage_collector() -> None:
    """The hook runs with the collector off: what a recipe made must go away with it."""
    import gc

    dish = Cooked("barley-wine")
    dish.judged()
    gc.collect()
    gc.disable()
    try:
        dish.tables = Tables(dish.recipe, dish.brew, dish.style, catalogue(), None)
        findings = dish.judged()
        del findings
        dish.tables = None  # type: ignore[assignment]
        assert gc.collect() == 0
    finally:
        gc.enable()


def test_what_lies_in_the_beer_and_for_how_long() -> None:
    """Worked out by hand from the patch: the barley wine is kept for six months, racked, and packaged then."""
    week = 168.0
    tables = Cooked(
        "barley-wine",
        {
            "conditioning": {"for": "20 weeks"},
            "additions": [
                {"add": "oak-chips", "weight": "30 g", "condition": "after 10 weeks"},
                {"add": "oak-cubes", "weight": "30 g", "condition": "after 18 weeks", "for": "4 weeks"},
                {"add": "cinnamon", "count": 2, "condition": "after 19 weeks", "until": "tasted"},
                {"add": "yeast-nutrient-blend", "weight": "5 g", "boil": "10 min"},
            ],
        },
    ).tables
    chips, cubes, cinnamon, nutrient = tables.rows("additions")
    assert (chips["contact"], chips["contact_low"], chips["contact_high"]) == (10 * week, week, 4 * week)
    assert (
        chips["contact_ratio"] == 2.5 and cubes["contact_ratio"] == 1.0 and cinnamon["contact_ratio"] is None
    )
    assert (chips["beyond"], cubes["beyond"], nutrient["beyond"]) == (0.0, 2 * week, None)
    assert cinnamon["tasted"] and not chips["tasted"]
    assert cinnamon["before_package"] == pytest.approx(week)
    litres = tables.facts["package_volume"]
    assert chips["dose_in_beer"] == pytest.approx(30.0 / litres)
    assert cinnamon["dose_in_beer"] == pytest.approx(2 * 3.0 / litres)  # a stick is 3 g, from memory
    assert nutrient["contact"] is nutrient["dose_in_beer"] is None


def test_contact_of_hops_and_fruit() -> None:
    tables = cooked("pale-ale").tables
    boiled, _, dry = tables.rows("hops")
    assert boiled["contact"] is boiled["before_package"] is boiled["beyond"] is None
    assert (dry["contact"], dry["before_package"], dry["beyond"]) == (96.0, 96.0, 0.0)
    assert all(row["contact"] is row["dose_in_beer"] is None for row in tables.rows("grist"))
    fruity = Cooked(
        "pale-ale",
        {
            "grist": [
                {"malt": "pale-ale-malt", "weight": "4 kg"},
                {"fruit": "raspberry-puree", "weight": "2 kg", "condition": "after 1 week"},
            ]
        },
    ).tables
    fruit = fruity.rows("grist")[1]
    assert fruit["contact"] == 168.0  # two weeks in the keg, and it goes in after one of them
    assert fruit["dose_in_beer"] > 80.0
