"""Time in conditioning: what is written, beside the trade's guidance, which is from memory and has no better source."""

from __future__ import annotations

import pytest

from recipelint.brewing.workings.sheet import working_of
from tests.brewing.paper import brewed, value

WEEK = 168.0  # h


def strong(kilograms: float = 9.0, rest: str = "") -> str:
    return (
        "recipe: 1\nname: Strong\nbatch: {volume: 20 L, into: fermenter}\n"
        "brewhouse: {efficiency: {mash: 75 %, of: as-is}, kettle: {loss: 0 L}}\n"
        f"grist: [{{malt: maris-otter-pale-malt, weight: {kilograms} kg, yield: 78 % as-is}}]\n"
        "mash: {rests: [{at: 66 °C, for: 60 min}]}\n"
        f"yeast: {{culture: british-strong-ale, form: dry, packs: 3, attenuation: 75 %}}\n{rest}"
    )


def test_the_stages_are_added_up() -> None:
    beer = brewed(strong(rest="conditioning: [{at: 12 °C, for: 6 weeks}, {at: 4 °C, for: 10 d}]\n"))
    assert value(beer, "conditioning_time") == pytest.approx(6 * WEEK + 240.0)
    assert [pointer for pointer, _ in beer.stat("conditioning_time").parts] == [
        "/conditioning/0",
        "/conditioning/1",
    ]


@pytest.mark.parametrize(
    ("rest", "why"),
    [
        ("", "no conditioning is written"),
        (
            "conditioning: [{at: 12 °C, for: 6 weeks}, {at: 4 °C}]\n",
            "a stage of conditioning does not say how long",
        ),
    ],
)
def test_without_a_time_it_says_why(rest: str, why: str) -> None:
    stat = brewed(strong(rest=rest)).stat("conditioning_time")
    assert (stat.value, stat.why) == (None, why)


# 78 % of the weight at 75 % efficiency, in 20 L: 1.047, 1.066, 1.079, 1.089 and 1.103 or so.
@pytest.mark.parametrize(
    ("kilograms", "low", "high"),
    [(4.2, 2, 3), (5.9, 4, 6), (7.1, 8.7, 13.0), (8.1, 13.0, 26.1), (9.5, 26.1, 52.1)],
)
def test_the_guidance_follows_the_gravity(kilograms: float, low: float, high: float) -> None:
    beer = brewed(strong(kilograms))
    band = beer.band("conditioning_time_wanted")
    assert band is not None
    assert (band[0] / WEEK, band[1] / WEEK) == pytest.approx((low, high), abs=0.1)
    assert value(beer, "conditioning_time_wanted") == pytest.approx(sum(band) / 2.0)


def test_the_working_shows_the_table_and_that_sources_disagree() -> None:
    lines = working_of(brewed(strong()), "conditioning_time_wanted").lines
    table = next(line.table for line in lines if line.table is not None)
    assert [row[0] for row in table.rows] == [
        "up to 1.050",
        "up to 1.070",
        "up to 1.085",
        "up to 1.100",
        "above it",
    ]
    assert "sources disagree" in lines[-1].note
    assert {line.source for line in lines if line.kind == "stepwise"} >= {
        "common practice of the trade, from memory"
    }


def test_water_is_not_conditioned() -> None:
    beer = brewed(
        "recipe: 1\nname: Water\nbatch: {volume: 20 L, into: fermenter}\ngrist: [{grain: rice-hulls, weight: 1 kg}]\n"
    )
    assert beer.stat("conditioning_time_wanted").why == "the wort has no gravity"
