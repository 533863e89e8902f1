"""Promises held against the computed beer. A brew of fixed numbers shows each side; the real one is checked
last.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest

from recipelint.recipe.model import Expectation, RuleSetting
from recipelint.rulebook.findings import Finding
from recipelint.rulebook.promises import promises
from tests.rulebook.kitchen import Cooked, cooked


class FixedStat(NamedTuple):
    value: float | None
    unit: str = ""
    why: str = ""
    parts: tuple[tuple[str, float], ...] = (("/grist/0", 0.03), ("/grist/1", 0.05))
    risk: float | None = None


class FixedBrew:
    """Original gravity 1.0510, band 1.048 to 1.054; anything else without a value."""

    brewhouse = None
    grist = hops = cultures = vessels = ()

    def __init__(self) -> None:
        self.bands = 0
        self.share = 1.0

    def stat(self, name: str) -> FixedStat:
        return FixedStat(1.0510 if name == "original_gravity" else None)

    def dissolved(self, name: str) -> float:
        return self.share

    def band(self, name: str) -> tuple[float, float] | None:
        self.bands += 1
        return 1.048, 1.054


def held(
    low: float | None, high: float | None, value: float | None, stat: str = "original_gravity", **keys: object
) -> list[Finding]:
    recipe = cooked("pale-ale").recipe._replace(
        expect=(Expectation("/expect/x", stat, low, high, value, "as promised"),)
    )
    return promises(recipe, FixedBrew(), **keys)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("low", "high", "value", "level"),
    [
        (None, None, 1.051, None),
        (1.0514, 1.0514, 1.0514, None),  # how a bare number is read
        (1.060, 1.060, 1.060, "error"),
        (None, None, 1.0514, None),  # within half of the last decimal
        (None, None, 1.0506, None),
        (None, None, 1.0516, "error"),  # missed, though the brew may well meet it
        (None, None, 1.060, "error"),
        (None, None, 1.040, "error"),
        (1.050, 1.052, 1.051, None),
        (1.0512, 1.056, None, None),  # less than what is written away
        (1.053, 1.056, None, "error"),
        (1.055, 1.060, None, "error"),
        (None, 1.047, None, "error"),
        (None, 1.050, None, "error"),
        (1.040, None, None, None),
        (None, None, None, None),
    ],
)
def test_levels(low: float | None, high: float | None, value: float | None, level: str | None) -> None:
    assert [finding.level for finding in held(low, high, value)] == ([level] if level else [])


def test_message_says_computed_promised_and_how_far() -> None:
    (finding,) = held(1.055, 1.060, None)
    assert finding.message == "Original gravity comes to 1.051, promised is as promised: 4 points too low"
    assert (finding.value, finding.limit, finding.unit) == (1.051, 1.055, "SG")
    assert finding.related[0].at.pointer == "/grist/1"
    (finding,) = held(None, 1.047, None)
    assert finding.message.endswith("4 points too high")
    (finding,) = held(1.053, 1.056, None)
    assert finding.message.endswith("2 points too low; the 90 % band 1.048 to 1.054 reaches it")
    assert len(finding.message) <= 160


def test_on_another_brewhouse_nothing_was_promised() -> None:
    (finding,) = held(1.055, 1.060, None, on="slipway-70")
    assert finding.level == "note"
    assert (
        finding.message
        == "Original gravity comes to 1.051 on slipway-70, promised is as promised: 4 points too low"
    )
    louder = {"promise-not-kept": RuleSetting("", "promise-not-kept", level="error")}
    assert [each.level for each in held(1.055, 1.060, None, on="slipway-70", settings=louder)] == ["note"]
    assert held(1.050, 1.052, 1.051, on="slipway-70") == []


def test_a_stat_in_doubt_is_not_judged() -> None:
    assert held(1.055, 1.060, None, doubtful={"original_gravity"}) == []
    assert len(held(1.055, 1.060, None, doubtful={"abv"})) == 1


def test_no_value_no_finding_and_settings() -> None:
    assert held(0.09, 0.1, None, "abv") == []
    assert held(0.09, 0.1, None, "no_such_stat") == []
    off = {"promise-not-kept": RuleSetting("", "promise-not-kept", level="off")}
    softer = {"promise-not-kept": RuleSetting("", "promise-not-kept", level="warning")}
    assert held(1.055, 1.060, None, settings=off) == []
    assert [finding.level for finding in held(1.055, 1.060, None, settings=softer)] == ["warning"]


def test_the_dear_band_is_asked_for_only_when_a_promise_is_missed() -> None:
    brew = FixedBrew()
    recipe = cooked("pale-ale").recipe
    promises(recipe._replace(expect=(Expectation("", "original_gravity", 1.05, 1.06, None, ""),)), brew)  # type: ignore[arg-type]
    assert brew.bands == 0


def test_a_real_recipe() -> None:
    dish = Cooked(
        "pale-ale",
        {"expect": {"original_gravity": 1.075, "abv": "5.3 .. 6 %", "bitterness": "at least 20 IBU"}},
    )
    (finding,) = promises(dish.recipe, dish.brew)
    assert finding.level == "error" and finding.at.pointer.startswith("/expect")
    assert finding.item == "expect/original_gravity"
    assert "promised is 1.075" in finding.message


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.85, 0.95, ""),  # below the bound, and nine tenths of 1.051 are in
        (0.70, 0.80, "comes to at most 1.051, promised is as promised: at least 146 points too high"),
        (1.060, 1.070, "comes to at most 1.051, promised is as promised: at least 9 points too low"),
    ],
)
def test_what_reads_high_is_too_high_only_if_what_dissolves_is(low: float, high: float, said: str) -> None:
    recipe = cooked("pale-ale").recipe._replace(
        expect=(Expectation("/expect/x", "original_gravity", low, high, None, "as promised"),)
    )
    brew = FixedBrew()
    brew.share = 0.9
    found = promises(recipe, brew)  # type: ignore[arg-type]
    assert [finding.message.partition("gravity ")[2] for finding in found] == ([said] if said else [])
