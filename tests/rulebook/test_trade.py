"""What experienced brewers do and a rule book must not scold. Facts of the trade, common practice."""

from __future__ import annotations

import pytest

from recipelint.rulebook.findings import Finding
from tests.rulebook.kitchen import Cooked


def found(base: str, patch: object = None) -> list[Finding]:
    return Cooked(base, patch).judged()


def loud(findings: list[Finding]) -> list[Finding]:
    return [finding for finding in findings if finding.level != "note"]


def test_almost_a_fifth_of_the_weight_as_dark_candi_sugar() -> None:
    cooked = Cooked(
        "dark-strong",
        {
            "grist": [
                {"malt": "pilsner-malt", "weight": "5.2 kg"},
                {"malt": "munich-malt-light", "weight": "900 g"},
                {"sugar": "candi-sugar-dark", "weight": "1.45 kg", "boil": "10 min"},
            ]
        },
    )
    assert 0.18 < cooked.tables.facts["sugar_weight_share"] < 0.2
    assert "sugar-share-high" not in {finding.rule for finding in cooked.judged()}
    assert not loud(cooked.judged())


def test_a_step_mash_of_62_67_70_and_mash_out() -> None:
    assert found("pilsner") == []


def test_a_strong_beer_may_finish_near_water() -> None:
    cooked = Cooked(
        "dark-strong",
        {
            "style": "bjcp-2021/saison",
            "grist": [
                {"malt": "pilsner-malt", "weight": "5.2 kg"},
                {"sugar": "sucrose", "weight": "600 g", "boil": "10 min"},
            ],
            "yeast": [{"culture": "saison-belgian", "form": "liquid", "packs": 3, "attenuation": "93 %"}],
            "fermentation": [
                {"at": "22 °C", "for": "3 d"},
                {"rise": "free", "to": "30 °C", "until": "still 7 d"},
            ],
        },
    )
    assert cooked.tables.facts["abv"] > 0.08
    assert cooked.tables.facts["final_gravity"] <= 1.002
    assert not loud(cooked.judged())


def test_a_strong_dark_ale_with_a_tenth_of_crystal() -> None:
    cooked = Cooked(
        "barley-wine",
        {
            "grist": [
                {"malt": "maris-otter-pale-malt", "weight": "9.6 kg"},
                {"malt": "crystal-malt-british", "weight": "1.07 kg"},
                {"sugar": "invert-sugar-2", "weight": "500 g", "boil": "10 min"},
            ]
        },
    )
    assert cooked.tables.facts["crystal_share"] == pytest.approx(0.1, abs=0.005)
    assert "crystal-share-high" not in {finding.rule for finding in cooked.judged()}


def test_a_hazy_ale_with_twenty_grams_of_hops_a_litre() -> None:
    cooked = Cooked("hazy-ipa")
    assert cooked.tables.facts["hop_mass_per_litre"] > 19
    assert found("hazy-ipa") == []


def test_a_lager_that_warms_to_clear_and_is_crashed() -> None:
    assert "fermentation-outside-culture-range" not in {finding.rule for finding in found("pilsner")}


def test_resting_in_fahrenheit_is_understood() -> None:
    assert found("pale-ale", {"mash": {"rests": [{"at": "152 °F", "for": "60 min"}]}}) == []


def test_a_decoction_boils_its_part() -> None:
    rests = [
        {"at": "52 °C", "for": "10 min"},
        {"at": "65 °C", "for": "40 min", "by": "decoction", "pull": "thick", "boil": "15 min"},
    ]
    assert "mash-rest-temperature-implausible" not in {
        finding.rule for finding in found("pilsner", {"mash": {"rests": rests}})
    }


def test_wort_that_cools_overnight_and_a_chilled_one_are_not_scolded() -> None:
    for chill in (
        {"by": "none", "pitched_after": "14 h"},
        {"by": "coil"},
        {"by": "coil", "pitched_after": "6 h"},
    ):
        assert found("pale-ale", {"chill": chill}) == []


def test_chilled_wort_is_no_safer_when_it_stands() -> None:
    """Cooling kills no spores: what counts is the time until the yeast goes in."""
    (finding,) = found("pale-ale", {"chill": {"by": "coil", "pitched_after": "5 d"}})
    assert (finding.rule, finding.level) == ("unpitched-wort-stored", "error")


def test_a_wide_tube_lets_the_foam_out_but_makes_no_room() -> None:
    def fermenter(**keys: object) -> list[str]:
        return [each.level for each in found("pale-ale", {"brewhouse": {"fermenter": keys}})]

    assert fermenter(capacity="24 L") == ["note"]
    assert fermenter(capacity="22 L") == ["warning"]
    assert fermenter(capacity="22 L", blow_off=True) == []
    assert fermenter(capacity="20 L", blow_off=True) == ["error"]


def test_sparge_liquor_left_open_takes_what_is_missing() -> None:
    assert found("pale-ale", {"mash": {"liquor": "12 L"}, "sparge": {"method": "batch"}}) == []
    much = found("pale-ale", {"mash": {"liquor": "35 L"}, "brewhouse": {"mash": {"capacity": "60 L"}}})
    assert [each.rule for each in much] == ["volumes-disagree"]


def test_a_beer_without_hops_and_one_without_malt() -> None:
    assert found("pale-ale", {"hops": None, "style": None}) == []
    honey = {"grist": [{"sugar": "honey", "weight": "7 kg"}], "hops": None, "style": None, "mash": None}
    assert not {"sugar-share-high", "sugar-all-in-kettle-in-strong-beer"} & {
        each.rule for each in found("pale-ale", honey)
    }


def test_a_sour_beer_with_hardly_any_hops() -> None:
    few = {"style": "bjcp-2021/lambic", "hops": [{"hop": "saaz", "weight": "3 g", "boil": "60 min"}]}
    assert "bitterness-ratio-off-style" not in {each.rule for each in found("pale-ale", few)}


LONG_ENOUGH = {
    "overnight": [{"from": "67 °C", "at": "52 °C", "for": "9 h"}],
    "hochkurz": [{"at": "62 °C", "for": "10 min"}, {"at": "72 °C", "for": "15 min"}],
    "hot, for little alcohol": [{"at": "77 °C", "for": "45 min"}],
    "just below, for a dry beer": [{"at": "59 °C", "for": "90 min"}, {"at": "78 °C", "for": "10 min"}],
    "fast": [{"at": "67 °C", "for": "20 min"}],
}


@pytest.mark.parametrize("rests", LONG_ENOUGH.values(), ids=LONG_ENOUGH)
def test_mashes_that_convert_in_their_way(rests: list[dict[str, str]]) -> None:
    assert "mash-too-short" not in {one.rule for one in found("pale-ale", {"mash": {"rests": rests}})}


@pytest.mark.parametrize(
    "steeped",
    [
        {"malt": "crystal-malt-british", "weight": "400 g"},
        {"malt": "pale-ale-malt", "weight": "400 g"},
    ],
    ids=["no starch", "a little"],
)
def test_a_short_steep_beside_extract(steeped: dict[str, str]) -> None:
    """Colour and taste are washed out in a quarter of an hour; what strength there is comes from the extract."""
    grist = [steeped, {"extract": "dry-malt-extract-light", "weight": "2.8 kg"}]
    patch = {"grist": grist, "mash": {"liquor": "6 L", "rests": [{"at": "66 °C", "for": "15 min"}]}}
    cooked = Cooked("pale-ale", patch)
    assert cooked.tables.facts["saccharification_minutes"] == 15.0
    assert "mash-too-short" not in {one.rule for one in cooked.judged()}


@pytest.mark.parametrize(
    ("rests", "level"),
    [
        ([{"at": "66 °C", "for": "5 min"}], "error"),
        ([{"at": "66 °C", "for": "5 min"}, {"at": "77 °C", "for": "10 min"}], "warning"),
        ([{"at": "52 °C", "for": "20 min"}, {"at": "78 °C", "for": "10 min", "by": "infusion"}], "error"),
    ],
)
def test_a_mash_that_leaves_starch(rests: list[dict[str, str]], level: str) -> None:
    (finding,) = [
        one for one in found("pale-ale", {"mash": {"rests": rests}}) if one.rule == "mash-too-short"
    ]
    assert finding.level == level


STEPPED = {
    "liquor": "15 L",
    "rests": [{"at": "63 °C", "for": "40 min"}, {"at": "72 °C", "over": "5 min", "for": "20 min"}],
}


def too_fast(kit: dict[str, object], mash: dict[str, object] = STEPPED) -> list[str]:
    patch = {"brewhouse": {"mash": None, "kettle": None, **kit}, "mash": mash}
    return [one.message for one in found("pale-ale", patch) if one.rule == "mash-ramp-too-fast"]


def test_a_ramp_is_held_against_rate_or_power() -> None:
    """4.7 kg of malt at 0.4 of water and 15 L of liquor (0.998 kg/L) are 16.85 kg of water: 9 K of it are 634 kJ, which
    1.5 kW bring in 7.05 min and 3 kW in 3.5 min. At 0.9 K/min it is 10 min.
    """
    assert too_fast({"mash": {"kind": "recirculated"}, "kettle": {"power": "1.5 kW"}}) == [
        "5 min is too short for a rise of 9 K: this vessel takes 7.05 min, and the rest comes later"
    ]
    assert not too_fast({"mash": {"kind": "recirculated"}, "kettle": {"power": "3 kW"}})
    (said,) = too_fast({"mash": {"heating_rate": "0.9 K/min"}})
    assert "takes 10 min" in said
    assert not too_fast({"mash": {"heating_rate": "1.8 K/min"}})


def test_a_ramp_is_not_judged_where_the_kettle_does_not_heat_the_mash_or_nothing_is_known() -> None:
    assert not too_fast({"mash": {"kind": "tun"}, "kettle": {"power": "1.5 kW"}})
    assert not too_fast({"mash": {"kind": "recirculated"}})
    infused = [
        {"at": "63 °C", "for": "40 min"},
        {"at": "72 °C", "by": "infusion", "over": "2 min", "for": "20 min"},
    ]
    assert not too_fast({"mash": {"heating_rate": "0.9 K/min"}}, {"liquor": "12 L", "rests": infused})


@pytest.mark.parametrize(
    ("shares", "said"),
    [
        ((None,), ""),
        (("60 %",), "60 %"),
        (("50 %", None), ""),
        (("50 %", "50 %"), ""),
        (("33.3 %", "33.3 %", "33.3 %"), ""),
        (("70 %", "70 %"), "140 %"),
        (("70 %", "70 %", None), "140 %"),
        ((None, None), ""),
    ],
)
def test_shares_of_the_water(shares: tuple[str | None, ...], said: str) -> None:
    water = [
        {"source": "reverse-osmosis", **({"share": share} if share is not None else {})} for share in shares
    ]
    told = [
        one.message for one in found("pale-ale", {"water": water}) if one.rule == "water-shares-do-not-sum"
    ]
    assert len(told) == bool(said)
    assert all(message.startswith(f"{said} is what") for message in told)


def of_packages(*volumes: str) -> list[str]:
    """The rules about what the packages hold that speak, where some 19.6 L are left of 21 L."""
    packages = [{"into": "keg", "carbonation": "2.4 vol", "volume": volume} for volume in volumes]
    rules = {one.rule for one in found("pale-ale", {"packaging": packages})}
    return sorted(rules & {"packages-hold-more-than-the-beer", "package-left-without-beer"})


def test_packages_that_take_the_rest_do_not_hide_that_the_others_are_too_large() -> None:
    left = Cooked("pale-ale").tables.facts["package_volume"]
    assert 19.0 < left < 20.0
    assert of_packages("19 L", "19 L") == ["packages-hold-more-than-the-beer"]
    assert of_packages("19 L", "19 L", "rest") == ["packages-hold-more-than-the-beer"]
    assert of_packages("30 L", "rest") == ["packages-hold-more-than-the-beer"]


def test_a_rest_of_nothing_and_of_something() -> None:
    assert of_packages("20 L", "rest") == ["package-left-without-beer"]
    assert of_packages("12 L", "rest") == []
    assert of_packages("rest") == []
    assert of_packages("19 L") == []


PALE = {"malt": "pale-ale-malt", "weight": "4 kg"}
PEAT = {"malt": "smoked-malt-peat", "weight": "350 g"}
SEA = {
    "source": "sea", "share": "10 %", "calcium": "90 mg/L", "magnesium": "5 mg/L", "sodium": "310 mg/L",
    "chloride": "300 mg/L", "sulphate": "100 mg/L", "bicarbonate": "372 mg/L",
}  # fmt: skip


@pytest.mark.parametrize(
    "patch",
    [
        {"style": "bjcp-2021/irish-stout", "grist": [PALE, {"grain": "roasted-barley", "weight": "700 g"}]},
        {"style": "bjcp-2021/american-porter", "grist": [PALE, {"malt": "chocolate-malt", "weight": "400 g"}]},
        {"style": "bjcp-2021/classic-style-smoked-beer", "grist": [PALE, PEAT]},
        {"style": "bjcp-2021/berliner-weisse", "grist": [PALE, {"malt": "acidulated-malt", "weight": "600 g"}]},
        {"grist": [PALE, {"malt": "chocolate-malt", "weight": "200 g", "mash": "last 5 min"}]},
        {"grist": [PALE, {"malt": "caramel-malt-40", "weight": "300 g", "steep": {"at": "68 °C", "for": "30 min"}}]},
        {"grist": [PALE, {"grain": "raw-wheat", "weight": "1 kg"}]},
        {"grist": [PALE, {"grain": "flaked-rice", "weight": "500 g"}]},
        {"style": "bjcp-2021/gose", "additions": [{"add": "table-salt", "weight": "60 g", "boil": "10 min"}]},
        {"water": [{"source": "reverse-osmosis", "share": "90 %"}, SEA]},
        {"water": {"source": "burton-3"}, "additions": [{"add": "gypsum", "weight": "4 g", "mash": True}]},
    ],
)  # fmt: skip
def test_what_is_usual_in_its_style_or_in_its_place_is_let_be(patch: dict[str, object]) -> None:
    new = {
        "roast-share-high", "peated-share-high", "acid-malt-share-high", "no-malt-in-the-bill",
        "starch-without-enzymes", "raw-cereal-not-cooked", "starch-comes-late",
        "grain-earlier-than-mash", "mash-beside-converting-heat",
        "sodium-high", "magnesium-high", "chloride-high", "salt-dose-large", "water-analysis-unbalanced",
        "bicarbonate-and-alkalinity-disagree",
    }  # fmt: skip
    assert not new & {finding.rule for finding in found("pale-ale", patch)}


@pytest.mark.parametrize(
    "salt", ["table-salt", "epsom-salt", "magnesium-chloride", "gypsum", "calcium-chloride"]
)
@pytest.mark.parametrize("water", [None, {"source": "reverse-osmosis"}])
def test_two_hundred_grams_of_any_salt_are_told_once_and_loudly(salt: str, water: object) -> None:
    patch = {"water": water, "additions": [{"add": salt, "weight": "200 g", "mash": True}]}
    errors = [finding for finding in found("pale-ale", patch) if finding.level == "error"]
    assert [finding.rule for finding in errors] == ["salt-dose-large"]
