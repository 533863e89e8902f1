"""What can hurt someone or spoil a beer and was once passed over: each said, and nothing said of sound beer."""

from __future__ import annotations

import pytest

from tests.rulebook.kitchen import Cooked, written_rules


def said(base: str, patch: object) -> dict[str, str]:
    """Rule -> level of what the rules find."""
    return {finding.rule: finding.level for finding in Cooked(base, patch).judged()}


# ---------------------------------------------------------------------- sugar among the additions


@pytest.mark.parametrize(
    ("add", "level"),
    [
        ({"add": "priming-sugar", "weight": "150 g", "package": True}, "error"),
        ({"add": "krausen-wort", "volume": "4 L", "package": True}, "error"),
        ({"add": "fruit-puree", "weight": "3 kg", "package": True}, "error"),
        ({"add": "dried-fruit", "weight": "300 g", "condition": "after 1 d"}, "warning"),
        ({"add": "whole-fruit", "weight": "2 kg", "ferment": "4 d"}, "warning"),
        ({"add": "dried-fruit", "weight": "300 g", "boil": "10 min"}, None),
        ({"add": "fruit-zest-tincture", "volume": "60 mL", "package": True}, None),
        ({"add": "cucumber", "weight": "1 kg", "condition": "after 10 d"}, None),
        ({"add": "lemon-peel", "weight": "20 g", "condition": "after 4 d"}, None),
        ({"add": "coffee-cold-brew", "volume": "400 mL", "package": True}, None),
    ],
)
def test_sugar_among_the_additions(add: dict[str, object], level: str | None) -> None:
    found = said("pale-ale", {"additions": [add]})
    rule = "added-sugar-at-packaging-not-counted" if "package" in add else "added-sugar-not-counted"
    assert found.get(rule) == level


# ---------------------------------------------------------------------- what never goes in

FORTNIGHT = {"fermentation": [{"at": "18 °C", "for": "14 d"}], "conditioning": None}
WAITS = {"conditioning": None}  # the base waits until the beer is still: some ten days in all
HOP = {"hop": "cascade", "weight": "40 g", "alpha": "6 %"}
OAK = {"add": "oak-cubes", "weight": "30 g"}
FIRST = {"culture": "english-ale", "form": "dry", "packs": 1}
SECOND = {"culture": "american-ale", "form": "dry", "packs": 1}
SUGAR = {"sugar": "sucrose", "weight": "300 g"}
MALT = {"malt": "pale-ale-malt", "weight": "4.4 kg"}


@pytest.mark.parametrize(
    ("when", "around", "fires"),
    [
        ("14 d before package", FORTNIGHT, False),
        ("15 d before package", FORTNIGHT, False),  # a day is left for a loose schedule
        ("30 d before package", FORTNIGHT, True),
        ("14 d", FORTNIGHT, False),
        ("20 d", FORTNIGHT, True),
        ("8 d before package", WAITS, False),
        ("60 d before package", WAITS, True),
        ("60 d", WAITS, True),
        ("when still", WAITS, False),
        (True, WAITS, False),
        ("below 1.020", WAITS, False),
        ("below 1.001", WAITS, True),
    ],
)
def test_hops_that_wait_for_what_never_comes(when: object, around: dict[str, object], fires: bool) -> None:
    assert ("never-goes-in" in said("pale-ale", {"hops": [{**HOP, "dry_hop": when}], **around})) == fires


def test_hops_are_left_two_points_of_gravity() -> None:
    ends = Cooked("pale-ale").tables.facts["final_gravity"]
    for short, fires in ((0.001, False), (0.004, True)):
        hops = [{**HOP, "dry_hop": f"below {ends - short:.4f}"}]
        assert ("never-goes-in" in said("pale-ale", {"hops": hops})) == fires


@pytest.mark.parametrize(
    ("when", "conditioning", "fires"),
    [
        ({"condition": "after 1 month"}, {"at": "10 °C", "for": "30 d"}, False),  # one month, told twice
        ({"condition": "after 2 months"}, {"at": "10 °C", "for": "6 weeks"}, True),
        ({"condition": "after 1 week"}, None, True),
        ({"condition": "10 d before package"}, None, False),
        ({"ferment": "below 0.990"}, {"at": "10 °C", "for": "6 weeks"}, True),
    ],
)
def test_additions_that_wait_for_what_never_comes(when: object, conditioning: object, fires: bool) -> None:
    assert isinstance(when, dict)
    found = said("pale-ale", {"additions": [{**OAK, **when}], "conditioning": conditioning})
    assert ("never-goes-in" in found) == fires
    assert not (fires and "contact-beyond-packaging" in found), "one cause, one finding"


@pytest.mark.parametrize(
    ("when", "conditioning", "level"),
    [
        ({"condition": "after 3 months"}, {"at": "14 °C", "for": "6 weeks"}, "error"),
        ({"condition": "after 1 week"}, {"at": "14 °C", "for": "6 weeks"}, None),
        ({"condition": "after 1 week"}, None, "error"),
        ({"ferment": "when still"}, None, None),
        ({"ferment": "below 1.030"}, None, None),
        # The first ends at some 1.016, and only with the second would the beer come to 1.011.
        ({"ferment": "below 1.012"}, None, "error"),
    ],
)
def test_a_later_culture(when: object, conditioning: object, level: str | None) -> None:
    assert isinstance(when, dict)
    patch = {"yeast": [FIRST, {**SECOND, **when}], "conditioning": conditioning}
    assert said("pale-ale", patch).get("culture-never-goes-in") == level


@pytest.mark.parametrize(
    ("when", "around", "fires"),
    [
        ({"condition": "after 1 week"}, WAITS, True),
        ({"condition": "after 3 months"}, {"conditioning": {"at": "14 °C", "for": "6 weeks"}}, True),
        ({"condition": "after 1 week"}, {"conditioning": {"at": "14 °C", "for": "6 weeks"}}, False),
        ({"ferment": "30 d"}, FORTNIGHT, True),
        ({"ferment": "3 d"}, FORTNIGHT, False),
    ],
)
def test_staged_sugar_that_comes_after_the_package(
    when: object, around: dict[str, object], fires: bool
) -> None:
    assert isinstance(when, dict)
    found = said("pale-ale", {"grist": [MALT, {**SUGAR, **when}], **around})
    assert ("staged-sugar-never-due" in found) == fires


def test_a_recipe_without_a_package_is_not_finished_and_nothing_is_late() -> None:
    patch = {"hops": [{**HOP, "dry_hop": "20 d"}], **FORTNIGHT, "packaging": None}
    assert "never-goes-in" not in said("pale-ale", patch)


# ---------------------------------------------------------------------- dry hops shut in


def dry_hop(when: str, weight: str = "120 g") -> dict[str, object]:
    return {"hop": "cascade", "weight": weight, "alpha": "6 %", "dry_hop": when}


@pytest.mark.parametrize(
    ("hops", "around", "notes"),
    [
        ([dry_hop("3 d before package")], FORTNIGHT, 1),
        ([dry_hop("3 d before package", "40 g")], FORTNIGHT, 0),  # 2 g/L
        ([dry_hop("3 d before package", "40 g"), dry_hop("2 d before package", "60 g")], FORTNIGHT, 1),
        ([dry_hop("9 d before package")], FORTNIGHT, 0),
        ([dry_hop("3 d before package")], {**FORTNIGHT, "packaging": {"into": "keg"}}, 0),
        ([dry_hop("3 d before package")], {**FORTNIGHT, "packaging": {"into": "can"}}, 1),
        # The last step waits for a gravity that is still for three days, and the hops lie in it so long.
        ([dry_hop("4 d before package")], WAITS, 0),
        ([dry_hop("2 d before package")], WAITS, 1),
        # After the wait comes the cellar, and the hops go in there.
        ([dry_hop("4 d before package")], {"conditioning": {"at": "14 °C", "for": "5 d"}}, 1),
    ],
)
def test_hop_creep(hops: list[object], around: dict[str, object], notes: int) -> None:
    found = Cooked("pale-ale", {"hops": hops, **around}).judged()
    assert [one.level for one in found if one.rule == "hop-creep-in-package"] == ["note"] * notes


# ---------------------------------------------------------------------- pressure where none may be

UNDER_VALVE = {"relief": "1.2 bar", "at": "16 °C", "for": "2 weeks"}


@pytest.mark.parametrize(
    ("stages", "fires"),
    [
        ([{"vessel": "glass-jar", **UNDER_VALVE}], True),
        ([{"vessel": "Demijohn", **UNDER_VALVE}], True),
        ([{"vessel": "5 gallon carboy", **UNDER_VALVE}], True),
        ([{"vessel": "glass-jar", "at": "16 °C", "for": "1 week"}, UNDER_VALVE], True),  # still in the jar
        ([{"vessel": "PET carboy", **UNDER_VALVE}], False),
        ([{"vessel": "stainless-tank", **UNDER_VALVE}], False),
        ([{"vessel": "keg", **UNDER_VALVE}], False),
        ([UNDER_VALVE], False),
        ([{"vessel": "glass-jar", "at": "16 °C", "for": "1 week"}, {"vessel": "keg", **UNDER_VALVE}], False),
        ([{"vessel": "glass-jar", "at": "11 °C", "for": "2 months"}], False),
    ],
)
def test_a_valve_on_glass(stages: list[object], fires: bool) -> None:
    assert (said("pale-ale", {"conditioning": stages}).get("glass-under-pressure") == "error") == fires


@pytest.mark.parametrize(
    ("into", "fires"), [("bottle", True), ("can", True), ("keg", False), ("cask", False)]
)
def test_a_valve_that_the_package_does_not_have(into: str, fires: bool) -> None:
    found = said("pale-ale", {"packaging": {"into": into, "relief": "1 bar"}})
    assert ("no-valve-on-bottle" in found) == fires
    assert not (fires and "relief-disagrees" in found), "one cause, one finding"


# ---------------------------------------------------------------------- frost, heat, room and air


@pytest.mark.parametrize(
    ("base", "frost", "fires"),
    [
        # -(0.42 A + 0.04 E + 0.2): 5.6 % vol are 4.4 % weight, with 13 °P -2.6 °C; 11 % vol 8.6, with 26 °P -4.9 °C.
        ("pale-ale", "-2.2 °C", False),
        ("pale-ale", "-3 °C", True),
        ("barley-wine", "-4.3 °C", False),
        ("barley-wine", "-5.5 °C", True),
    ],
)
def test_beer_freezes_by_its_strength(base: str, frost: str, fires: bool) -> None:
    packages = {"packaging": {"store": {"at": frost, "warmest": "12 °C"}}}
    assert ("stored-in-frost" in said(base, packages)) == fires
    assert ("conditioned-in-frost" in said(base, {"conditioning": {"at": frost}})) == fires


def test_an_eisbock_is_meant_to_freeze() -> None:
    patch = {"style": "bjcp-2021/eisbock", "conditioning": {"at": "-8 °C"}}
    assert "conditioned-in-frost" not in said("pilsner", patch)


def test_the_freezing_points_are_those_of_the_formula() -> None:
    """Alcohol of 0.79 kg/L; the wort has 2.4 °P for each per cent of weight of the alcohol, and 3 besides."""
    points = written_rules()["stored-in-frost"]["limits"]["warning_below"]["points"]
    assert len(points) == 5
    for strength, limit in points:
        weight = float(strength.removesuffix(" %")) * 0.79
        freezes = -(0.42 * weight + 0.04 * (2.4 * weight + 3.0) + 0.2)
        assert float(limit.removesuffix(" °C")) == pytest.approx(freezes, abs=0.25)


@pytest.mark.parametrize(("warmest", "fires"), [("32 °C", False), ("45 °C", True)])
def test_a_hot_store(warmest: str, fires: bool) -> None:
    packages = {"packaging": {"glass": "champagne", "store": {"warmest": warmest}}}
    assert ("stored-hot" in said("pale-ale", packages)) == fires


@pytest.mark.parametrize(
    ("stage", "level"),
    [
        ({"vessel": "keg", "capacity": "10 L", "racked": True}, "error"),
        ({"vessel": "keg", "capacity": "18 L", "racked": True}, "warning"),  # 19.5 L go in
        ({"vessel": "keg", "capacity": "19 L", "racked": True}, None),  # full to the brim
        ({"vessel": "keg", "racked": True}, None),
    ],
)
def test_the_vessel_it_is_racked_into(stage: dict[str, object], level: str | None) -> None:
    found = said("pale-ale", {"conditioning": {**stage, "at": "4 °C", "for": "2 weeks"}})
    assert found.get("conditioning-vessel-too-small") == level


AGED = {"vessel": "glass-jar", "racked": True, "purged": None, "at": "11 °C"}
FRUIT = {"fruit": "raspberry-puree", "weight": "1 kg", "condition": "after 1 week"}


@pytest.mark.parametrize(
    ("patch", "level"),
    [
        # 18.8 L of beer: 4.2 L of air hold 4200 x 0.279 / 18.8 = 62 mg/L, 1.7 L hold 25, 0.7 L hold 10.
        ({"conditioning": {**AGED, "capacity": "23 L", "for": "6 months"}}, "warning"),
        ({"conditioning": {**AGED, "capacity": "20.5 L", "for": "6 months"}}, "note"),
        ({"conditioning": {**AGED, "capacity": "19.5 L", "for": "6 months"}}, None),
        ({"conditioning": {**AGED, "capacity": "23 L", "for": "3 weeks"}}, None),
        ({"conditioning": {**AGED, "capacity": "23 L", "purged": True, "for": "6 months"}}, None),
        # On its own yeast in the fermenter, or fed there, it has driven the air out.
        ({"conditioning": {"vessel": None, "racked": False, "capacity": "30 L", "for": "6 months"}}, None),
        (
            {
                "grist": [{"malt": "maris-otter-pale-malt", "weight": "9 kg"}, FRUIT],
                "conditioning": {**AGED, "capacity": "26 L", "for": "6 months"},
            },
            None,
        ),
    ],
)
def test_air_over_aged_beer(patch: object, level: str | None) -> None:
    assert said("barley-wine", patch).get("air-over-aged-beer") == level


def test_a_package_of_nothing() -> None:
    assert said("pale-ale", {"packaging": {"volume": "0 L"}}) == {"package-holds-nothing": "warning"}
    assert "package-holds-nothing" not in said("pale-ale", {"packaging": {"volume": "330 mL"}})


# ---------------------------------------------------------------------- what ferments it, and what does not

SOURING = {"culture": "lactobacillus-plantarum"}
BOTTLE_YEAST = {"packaging": {"yeast": {"culture": "ale-bottle-conditioning", "weight": "2 g"}}}
RULES_ON_CULTURES = {"no-culture", "yeast-only-in-the-package", "bacteria-alone"}


@pytest.mark.parametrize(
    ("patch", "expected"),
    [
        ({"yeast": None}, {"no-culture": "warning"}),
        ({"yeast": None, "style": "bjcp-2021/lambic"}, {}),
        ({"yeast": None, "packaging": None}, {}),  # not finished
        ({"yeast": None, **BOTTLE_YEAST}, {"yeast-only-in-the-package": "error"}),
        (BOTTLE_YEAST, {}),
        ({"yeast": [SOURING]}, {"bacteria-alone": "note"}),
        ({"yeast": [SOURING, {"culture": "pediococcus"}]}, {"bacteria-alone": "note"}),
        ({"yeast": [SOURING, {**FIRST, "ferment": "1 d"}]}, {}),
        ({"yeast": [{"culture": "berliner-weisse-blend"}]}, {}),
    ],
)
def test_what_ferments_it(patch: dict[str, object], expected: dict[str, str]) -> None:
    found = said("pale-ale", patch)
    assert {rule: found[rule] for rule in RULES_ON_CULTURES & found.keys()} == expected


@pytest.mark.parametrize(
    ("line", "fires"),
    [
        ({"malt": "pale-ale-malt", "weight": "300 g", "ferment": "3 d"}, True),
        ({"grain": "flaked-oats", "weight": "300 g", "package": True}, True),
        ({"malt": "caramel-malt-40", "weight": "300 g", "condition": "after 1 week"}, True),
        ({"malt": "caramel-malt-40", "weight": "300 g", "mash": True}, False),
        ({"extract": "dry-malt-extract-light", "weight": "300 g", "ferment": "3 d"}, False),
        ({"sugar": "sucrose", "weight": "300 g", "ferment": "3 d"}, False),
    ],
)
def test_grain_in_the_beer(line: dict[str, object], fires: bool) -> None:
    found = said("pale-ale", {"grist": [MALT, line]})
    assert ("grain-in-the-fermenter" in found) == fires
    assert not (fires and "sugar-at-packaging-not-counted" in found), "one cause, one finding"
