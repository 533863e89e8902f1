"""How long things lie in the beer, worked out here from the recipes by hand: arithmetic, no source."""

from __future__ import annotations

import pytest

from recipelint.brewing.brew import Brew
from recipelint.brewing.conditioning import rackings
from tests.brewing.paper import brewed, value

DAY = 24.0
WEEK = 7.0 * DAY
FERMENTED = "fermentation: [{at: 18 °C, for: 10 d}, {to: 21 °C, over: 2 d}, {at: 21 °C, for: 2 d}]\n"  # 14 d
CELLAR = "conditioning: [{at: 12 °C, for: 3 weeks}, {vessel: keg, racked: true, at: 4 °C, for: 2 weeks}]\n"
KEG = "packaging: {into: keg, carbonation: 2.2 vol, at: 8 °C}\n"


def beer(hops: str = "", additions: str = "", fruit: str = "", rest: str = FERMENTED + CELLAR + KEG) -> Brew:
    return brewed(
        "recipe: 1\nname: Laid in\nbatch: {volume: 20 L, into: fermenter}\n"
        "grist:\n  - {malt: maris-otter-pale-malt, weight: 5 kg}\n"
        + fruit
        + "mash: {rests: [{at: 66 °C, for: 60 min}]}\n"
        "yeast: {culture: english-ale, form: dry, packs: 2}\n"
        f"hops: [{{hop: fuggle, weight: 30 g, boil: 60 min}}{hops}]\n"
        + (f"additions: [{additions}]\n" if additions else "")
        + rest
    )


def dry(when: str) -> Brew:
    return beer(f", {{hop: fuggle, weight: 40 g, dry_hop: {when}}}")


@pytest.mark.parametrize(
    ("when", "days"),
    [
        ("4 d before package", 4.0),
        ("4 d before package, for: 3 d", 3.0),
        ("20 d before package", 6.0),  # racked off 14 d before the package
        ("14 d before package", 14.0),  # goes in as it is racked, and comes along
        ("8 d", 27.0),  # of 14 + 35, and then racked 14 d before the end
        ("40 d", 9.0),
    ],
)
def test_dry_hops_lie_until_they_come_out_or_the_beer_is_racked_off_them(when: str, days: float) -> None:
    assert value(dry(when), "dry_hop_contact") == pytest.approx(days * DAY)


def test_wood_in_the_cellar() -> None:
    for when, weeks in (
        ("after 1 week", 2.0),
        ("after 3 weeks", 2.0),
        ("after 4 weeks", 1.0),
        ("after 9 weeks", 0.0),
    ):
        found = beer(additions=f"{{add: oak-cubes, weight: 40 g, condition: {when}}}")
        assert value(found, "wood_contact") == pytest.approx(weeks * WEEK), when


def test_what_follows_another_counts_from_it_and_the_first_from_pitching() -> None:
    found = beer(
        ", {hop: fuggle, weight: 20 g, dry_hop: 10 d after previous}"
        ", {hop: fuggle, weight: 20 g, dry_hop: 2 d after previous}"
    )
    assert [one.left for one in found.contacts] == pytest.approx([39.0 * DAY, 37.0 * DAY])


def test_when_still_and_a_step_that_waits_for_it_leave_what_is_waited() -> None:
    """It goes in when the beer is still, and three days later the step is over: arithmetic whatever the pace."""
    rest = "fermentation: [{at: 18 °C, for: 5 d}, {at: 20 °C, until: still 3 d}]\n" + KEG
    found = beer(", {hop: fuggle, weight: 40 g, dry_hop: when still}", rest=rest)
    assert value(found, "dry_hop_contact") == pytest.approx(3.0 * DAY)


@pytest.mark.parametrize(
    ("hops", "rest", "why"),
    [
        ("true", KEG, "the recipe does not say when fuggle goes in"),
        ("below 1.020", FERMENTED + KEG, "when fuggle goes in hangs on the gravity"),
        ("3 d", KEG, "no step of the fermentation is written"),
        (
            "20 d before package",
            FERMENTED + "conditioning: {vessel: keg, racked: true}\n" + KEG,
            "a stage of conditioning does not say how long",
        ),
    ],
)
def test_what_is_not_written_is_not_invented(hops: str, rest: str, why: str) -> None:
    found = beer(f", {{hop: fuggle, weight: 40 g, dry_hop: {hops}}}", rest=rest)
    assert (found.stat("dry_hop_contact").value, found.stat("dry_hop_contact").why) == (None, why)


def test_without_such_things_the_stats_say_so() -> None:
    bare = beer()
    assert bare.contacts == ()
    assert bare.stat("dry_hop_contact").why == "no dry hops are written to lie in the beer"
    assert bare.stat("wood_contact").why == "no wood is written to lie in the beer"


def test_a_beer_is_racked_into_another_vessel_unless_it_is_said_not_to_be() -> None:
    def moved(stages: str) -> list[int]:
        return list(rackings(beer(rest=f"conditioning: [{stages}]\n").recipe.conditioning))

    assert moved("{for: 1 week}, {for: 1 week}") == []
    assert moved("{vessel: keg, for: 1 week}, {vessel: keg, for: 1 week}") == [0]
    assert moved("{vessel: keg, racked: false, for: 1 week}, {vessel: keg, racked: true, for: 1 week}") == [1]
    assert moved("{for: 1 week}, {vessel: glass-jar, for: 1 week}, {vessel: keg, for: 1 week}") == [1, 2]


def test_the_dose_is_of_the_beer_it_lies_in() -> None:
    found = beer(
        ", {hop: fuggle, weight: 40 g, dry_hop: 8 d}",
        "{add: oak-cubes, weight: 40 g, condition: after 4 weeks}, {add: vanilla, count: 2, condition: after 1 week}, "
        "{add: gelatine, weight: 3 g, condition: after 1 week}, {add: vanilla-extract, volume: 5 mL, condition: true}",
    )
    hops, wood, vanilla = found.contacts  # finings and liquids do not lie in the beer
    station = found.run.beer
    assert hops.dose == pytest.approx(40.0 / station.volume)
    assert wood.dose == pytest.approx(40.0 / station.package) and station.package < station.volume
    assert vanilla.dose is None and vanilla.sort == "spice" and wood.sort == "wood"


def test_what_does_not_fit_before_the_package() -> None:
    def past(when: str, rest: str = FERMENTED + CELLAR + KEG) -> float | None:
        found = beer(additions=f"{{add: oak-cubes, weight: 40 g, {when}}}", rest=rest)
        return found.past_package(found.recipe.additions, 0)

    assert past("condition: after 3 weeks, for: 2 weeks") == 0.0
    assert past("condition: after 3 weeks, for: 6 weeks") == pytest.approx(4 * WEEK)
    assert past("condition: after 7 weeks") == pytest.approx(2 * WEEK)
    assert past("ferment: 60 d") == pytest.approx(11 * DAY)
    assert past("ferment: when still") is None
    assert past("condition: after 2 weeks", FERMENTED + KEG) is None  # no conditioning is written
    assert past("ferment: 60 d", "fermentation: [{at: 18 °C, until: still 3 d}]\n" + CELLAR + KEG) is None


def test_of_hops_in_parts_the_last_must_fit() -> None:
    def past(how: str) -> float | None:
        found = beer(f", {{hop: fuggle, weight: 90 g, dry_hop: 8 d before package, {how}}}")
        return found.past_package(found.recipe.hops, 1)

    assert past("parts: 3, every: 2 d, for: 4 d") == 0.0  # in on 8, 6 and 4 days before
    assert past("parts: 3, every: 3 d, for: 4 d") == pytest.approx(2 * DAY)  # the last on 2 days before
    assert past("parts: 3, every: 5 d") == pytest.approx(2 * DAY)


def test_the_longest_of_several_is_told_and_where_it_stands() -> None:
    found = beer(
        additions="{add: vanilla, count: 1, condition: after 4 weeks}, "
        "{add: cinnamon, weight: 5 g, condition: after 1 week, for: 9 d}"
    )
    assert value(found, "spice_contact") == pytest.approx(9.0 * DAY)
    assert [at for at, _ in found.stat("spice_contact").parts] == ["/additions/1"]


def test_fruit_of_the_bill() -> None:
    found = beer(fruit="  - {fruit: raspberry-puree, weight: 2 kg, ferment: 9 d}\n")
    assert value(found, "fruit_contact") == pytest.approx(
        26.0 * DAY
    )  # 14 + 35 - 9, and racked 14 d before the end
