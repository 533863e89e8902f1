"""The beer against styles: verdicts, open sides, base styles, settings; and which styles fit."""

from __future__ import annotations

from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.recipe.model import RuleSetting
from recipelint.recipe.styles import Style
from recipelint.rulebook.findings import MESSAGE_LENGTH, Finding
from recipelint.rulebook.style_check import FIGURES, StyleRow, check_style, closest_styles, style_rows
from tests.rulebook.kitchen import cooked, styles

ALE = Style(
    "g", "ale", "Ale", og=(1.045, 1.060), fg=(1.010, 1.015), abv=(0.045, 0.062), ibu=(30, 50), srm=(5, 10)
)


class FixedStat(NamedTuple):
    value: float | None
    unit: str = ""
    why: str = ""
    parts: tuple[tuple[str, float], ...] = ()


class FixedBrew:
    brewhouse = None
    grist = hops = cultures = vessels = ()

    def __init__(self, half: float = 0.0, **values: float | None) -> None:
        self.values = {
            "original_gravity": 1.05,
            "final_gravity": 1.012,
            "abv": 0.05,
            "bitterness": 40.0,
            "colour_srm": 7.0,
            **values,
        }
        self.half = half
        self.asked: list[str] = []

    def stat(self, name: str) -> FixedStat:
        return FixedStat(self.values[name])

    def band(self, name: str) -> tuple[float, float] | None:
        self.asked.append(name)
        value = self.values[name]
        return None if value is None else (value - self.half, value + self.half)


def row(stat: str, brew: FixedBrew, style: Style = ALE, base: Style | None = None) -> StyleRow:
    return next(each for each in style_rows(brew, style, base) if each.stat == stat)


def findings(
    brew: FixedBrew, style: Style | None = ALE, base: Style | None = None, level: str | None = None
) -> list[Finding]:
    settings = {"style-range-missed": RuleSetting("", "style-range-missed", level=level)} if level else None
    return check_style(cooked("pale-ale").recipe, brew, style, base, settings)


@pytest.mark.parametrize(
    ("ibu", "half", "verdict", "off"),
    [
        (40.0, 0.0, "inside", 0.0),
        (30.0, 0.0, "inside", 0.0),
        (50.0, 0.0, "inside", 0.0),
        (29.6, 0.0, "edge", -0.4),  # rounds to the edge
        (27.0, 4.0, "edge", -3.0),
        (27.0, 2.0, "outside", -3.0),
        (58.0, 2.0, "outside", 8.0),
        (53.0, 5.0, "edge", 3.0),
    ],
)
def test_verdicts(ibu: float, half: float, verdict: str, off: float) -> None:
    found = row("bitterness", FixedBrew(half, bitterness=ibu))
    assert found.verdict == verdict and found.off == pytest.approx(off)
    assert (found.style_low, found.style_high) == (30, 50)
    assert (found.low, found.high) == (ibu - half, ibu + half)


def test_open_sides_varies_and_unknown() -> None:
    open_top = ALE._replace(ibu=(30, None))
    assert row("bitterness", FixedBrew(bitterness=500.0), open_top).verdict == "inside"
    assert row("bitterness", FixedBrew(bitterness=10.0), open_top).verdict == "outside"
    varies = ALE._replace(ibu=None, varies=("ibu",))
    assert row("bitterness", FixedBrew(bitterness=500.0), varies).verdict == "varies"
    assert row("bitterness", FixedBrew(bitterness=500.0), varies, ALE).verdict == "outside"
    assert row("bitterness", FixedBrew(bitterness=None)).verdict == "unknown"


def test_findings() -> None:
    assert findings(FixedBrew()) == []
    assert findings(FixedBrew(bitterness=90.0), None) == []
    (finding,) = findings(FixedBrew(original_gravity=1.064))
    assert finding.level == "warning" and finding.at.pointer == "/style"
    assert finding.message == "Original gravity 1.064 is 4 points above Ale, 1.045 to 1.060"
    (finding,) = findings(FixedBrew(3.0, bitterness=28.0))
    assert finding.level == "note" and "within what is uncertain" in finding.message
    assert (finding.value, finding.limit, finding.unit) == (28.0, 30, "IBU")


def test_house_levels() -> None:
    assert findings(FixedBrew(bitterness=90.0), level="off") == []
    assert [each.level for each in findings(FixedBrew(bitterness=90.0), level="error")] == ["error"]
    assert [each.level for each in findings(FixedBrew(3.0, bitterness=28.0), level="error")] == ["note"]


def test_bands_are_asked_for_only_where_a_limit_is_missed() -> None:
    brew = FixedBrew(bitterness=90.0)
    findings(brew)
    assert brew.asked == ["bitterness"]


def test_messages_fit_for_every_style() -> None:
    """Far off on every figure, under the longest names that the guides have."""
    brew = FixedBrew(
        original_gravity=1.199, final_gravity=1.099, abv=0.299, bitterness=4999.0, colour_srm=499.0
    )
    for guide in styles().guides():
        for ident in styles().ids(guide):
            style = styles().get(guide, ident)
            for finding in findings(brew, style):
                assert len(finding.message) <= MESSAGE_LENGTH and not finding.message.endswith("…"), (
                    finding.message
                )


def every() -> list[Style]:
    found = [styles().get(guide, ident) for guide in styles().guides() for ident in styles().ids(guide)]
    return [style for style in found if style is not None]


@pytest.mark.parametrize(
    ("base", "ident"),
    [
        ("pale-ale", "american-pale-ale"),
        ("barley-wine", "english-barley-wine"),
        ("pilsner", "german-pils"),
        ("hazy-ipa", "hazy-ipa"),
    ],
)
def test_a_beer_brewed_to_style_fits_it_best(base: str, ident: str) -> None:
    dish = cooked(base)
    fits = closest_styles(dish.brew, every(), 8)
    assert ident in [fit.style.id for fit in fits]
    assert fits == sorted(fits, key=lambda fit: (fit.distance, fit.centre))
    own = next(fit for fit in fits if fit.style.id == ident)
    assert own.distance == 0 and own.misses == ()


def test_distance_grows_with_the_miss_and_names_it() -> None:
    near, far = (closest_styles(FixedBrew(bitterness=ibu), [ALE])[0] for ibu in (60.0, 70.0))
    assert near.distance == pytest.approx(0.25) and far.distance == pytest.approx(1.0)
    assert near.misses == ("bitterness",)
    assert closest_styles(FixedBrew(), [ALE._replace(og=None, fg=None, abv=None, ibu=None, srm=None)]) == []


@given(st.fixed_dictionaries({name: st.floats(0.5, 60) for _, name in FIGURES}))
def test_distance_is_nothing_exactly_when_nothing_is_missed(values: dict[str, float]) -> None:
    brew = FixedBrew(**values)
    (fit,) = closest_styles(brew, [ALE])
    outside = [each.stat for each in style_rows(brew, ALE) if each.verdict in ("edge", "outside")]
    assert (fit.distance == 0) == (outside == []) and list(fit.misses) == outside
