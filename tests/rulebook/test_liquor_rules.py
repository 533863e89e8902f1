"""What the rules on liquor say: the figures in their messages are the ones they judge.

The bases stand in rules/bases.yaml: the pale ale takes 4.7 kg, 21 L into the fermenter, 15 L of mash liquor.
"""

from __future__ import annotations

import math

import pytest

from recipelint.rulebook.engine import judge
from recipelint.rulebook.findings import Finding
from recipelint.rulebook.rules import shipped_rules
from tests.rulebook.kitchen import Cooked


def said(base: str, patch: object) -> dict[str, Finding]:
    return {each.rule: each for each in Cooked(base, patch).judged()}


def mash(liquor: str | None, *rests: dict[str, str], **vessel: str) -> dict[str, object]:
    return {"mash": {"liquor": liquor, "rests": list(rests)}, "brewhouse": {"mash": vessel}}


def test_too_much_in_infusions_is_told_with_all_that_is_poured() -> None:
    warm = {"at": "66 °C", "by": "infusion", "of": "80 °C", "for": "60 min"}
    patch = mash("15 L", {"at": "45 °C", "for": "10 min"}, warm, capacity="120 L")
    cooked = Cooked("pale-ale", patch)
    facts = cooked.tables.facts
    in_all = 15.0 + facts["infusion_liquor"]
    (finding,) = [each for each in cooked.judged() if each.rule != "mash-too-thin"]
    assert finding.rule == "infusions-take-too-much"
    assert in_all > facts["liquor_in_all"] * 1.2
    assert f"to {in_all:.1f} L" in finding.message or f"to {in_all:.0f} L" in finding.message
    assert "takes" in finding.message and "15 L of" not in finding.message


def test_too_much_without_a_strike_liquor_is_told_too() -> None:
    warm = {"at": "66 °C", "by": "infusion", "of": "75 °C", "for": "60 min"}
    found = said("pale-ale", mash(None, {"at": "40 °C", "for": "10 min"}, warm, capacity="150 L"))
    assert found["infusions-take-too-much"].level == "error"
    assert "volumes-disagree" not in found


def test_infusions_that_are_needed_are_no_finding() -> None:
    rests = ({"at": "62 °C", "for": "30 min"}, {"at": "70 °C", "by": "infusion", "for": "30 min"})
    assert said("pale-ale", mash("12 L", *rests)) == {}
    assert said("pale-ale", mash(None, *rests)) == {}


def test_a_written_sum_that_is_too_much_says_the_sum() -> None:
    patch = {"sparge": {"method": "batch", "liquor": "25 L"}}
    (finding,) = said("pale-ale", patch).values()
    assert finding.rule == "volumes-disagree"
    assert finding.message.startswith("40 L of liquor is poured")


def test_a_stiff_dough_in_is_judged_before_the_infusion() -> None:
    rests = ({"at": "50 °C", "for": "10 min"}, {"at": "66 °C", "by": "infusion", "for": "60 min"})
    found = said("pale-ale", mash("4 L", *rests))
    stiff = found["mash-too-thick"]
    assert stiff.value == pytest.approx(4.0 / 4.7)
    assert stiff.message.startswith("0.85 L/kg at dough-in") and stiff.level == "error"


@pytest.mark.parametrize("capacity", [20, 10, 7, 3])
def test_as_many_mashes_as_it_takes_are_counted(capacity: int) -> None:
    """10.6 kg take 2.67 L each where it stirs at all, in a vessel of which a twentieth stays free."""
    finding = said("barley-wine", {"brewhouse": {"mash": {"capacity": f"{capacity} L"}}})["mash-does-not-fit"]
    count = math.ceil(10.6 * (2.0 + 0.67) / (0.95 * capacity))
    assert finding.message.endswith(f"it takes {'two' if count == 2 else count} mashes")


def test_thinner_is_an_offer_only_with_as_many_mashes_as_fit() -> None:
    """29 L on 10.6 kg are 36.1 L of mash."""
    finding = said("barley-wine", {"brewhouse": {"mash": {"capacity": "30 L"}}})["mash-does-not-fit"]
    assert finding.message.endswith(f"{0.95 * 30 - 0.67 * 10.6:.1f} L of liquor would fit, or two mashes")


def test_all_liquor_in_the_mash_is_thin_by_choice() -> None:
    assert (
        said(
            "pale-ale",
            {"mash": {"liquor": None}, "sparge": {"method": "none"}, "brewhouse": {"efficiency": None}},
        )
        == {}
    )


def test_a_sparge_that_contradicts_itself_is_one_finding() -> None:
    found = said(
        "pale-ale", {"sparge": {"method": "none", "liquor": "16 L"}, "brewhouse": {"efficiency": None}}
    )
    assert set(found) == {"sparge-contradicts-itself"}


def test_a_small_mash_in_a_large_tun_is_hot_enough() -> None:
    patch = {
        "style": None,
        "grist": [{"malt": "pale-ale-malt", "weight": "900 g"}],
        "mash": {"liquor": None},
        "brewhouse": {"mash": {"capacity": "60 L"}},
    }
    assert "strike-liquor-above-boiling" not in said("pale-ale", patch)


# ---------------------------------------------------------------------- the brewhouse


ODD_FIGURES = {
    "lees": (
        {"fermenter": {"lees": "25 L"}},
        "25 L left on the lees, of 21 L of wort in it, is odd; usual is at most 5.25 L",
    ),
    "kettle loss": ({"kettle": {"loss": "19 L"}}, "19 L left in the kettle, of "),
    "absorption": ({"mash": {"absorption": "3 L/kg"}}, "3 L/kg kept by the grain is odd; usual is at most 1.6 L/kg"),
    "no absorption": (
        {"mash": {"absorption": "0.1 L/kg"}}, "0.1 L/kg kept by the grain is odd; usual is at least 0.3 L/kg",
    ),
    "dead space": ({"mash": {"dead_space": "20 L"}}, "20 L left under the mash, of "),
    "no efficiency": ({"efficiency": {"mash": "0 %"}}, "0 % mash efficiency is odd; usual is at least 35 %"),
    "little efficiency": (
        {"efficiency": {"mash": None, "brewhouse": "20 %"}}, "20 % brewhouse efficiency is odd; usual is at least 35 %",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", ODD_FIGURES)
def test_an_odd_figure_of_the_brewhouse_is_told(name: str) -> None:
    house, words = ODD_FIGURES[name]
    finding = said("pale-ale", {"brewhouse": house})["brewhouse-figure-odd"]
    assert finding.level == "warning" and finding.message.startswith(words), finding.message
    assert finding.at.pointer.startswith("/brewhouse/")


def test_an_efficiency_is_told_as_it_is_written() -> None:
    """84 % of the dry yield: the mash counts on more of the grain as it is weighed, and neither figure is mixed up."""
    cooked = Cooked("barley-wine", {"brewhouse": {"efficiency": {"mash": "84 %", "of": "dry-yield"}}})
    facts = cooked.tables.facts
    assert facts["mash_efficiency"] > 0.855
    told = {each.rule: each.message for each in cooked.judged()}["efficiency-beyond-physics"]
    given = 84.0 * (1.0 - facts["efficiency_gap"] / facts["mash_efficiency"])
    assert told.startswith("84 % mash efficiency is counted on") and told.endswith(f"give {given:.1f} %")


def test_news_of_another_brewhouse_explains_no_mistake() -> None:
    """Volumes that disagree explain an efficiency that is off, but not where they only tell of other vessels."""
    patch = {
        "mash": {"liquor": "29 L"},
        "brewhouse": {"mash": {"capacity": "60 L"}, "efficiency": {"mash": "98 %"}},
        "sparge": {"method": "batch", "liquor": "12 L"},
    }
    cooked = Cooked("pale-ale", patch)
    rules = [each.rule for each in judge(cooked.tables, shipped_rules())]
    assert "volumes-disagree" in rules and "efficiency-beyond-physics" not in rules
    elsewhere = [each.rule for each in judge(cooked.tables, shipped_rules(), news=("volumes-disagree",))]
    assert "volumes-disagree" in elsewhere and "efficiency-beyond-physics" in elsewhere
