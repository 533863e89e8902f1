"""Beers that would burst their glass, each hidden in another way; and sound ones close by. No source: balances.

Half a volume of gas is made by a gravity point, by 4 g/L of sugar; what is judged is whether a rule speaks at all.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.rulebook.kitchen import Cooked

PRESSURE = {
    "pressure-exceeds-glass", "pressure-at-worst-exceeds-glass", "packaged-before-finished", "pressure-exceeds-keg",
    "can-too-lively", "still-in-the-cold",
}  # fmt: skip
BOTTLE = {
    "into": "bottle", "glass": "standard", "carbonation": "2.4 vol", "priming": "sucrose",
    "store": {"at": "12 °C", "warmest": "24 °C"},
}  # fmt: skip
KEG = {"vessel": "keg", "at": "12 °C", "for": "15 d"}
MALT = {"malt": "pale-ale-malt", "weight": "4.4 kg"}
ALE = {"culture": "american-ale-neutral", "form": "dry", "packs": 1}
ENGLISH = {"culture": "english-ale", "form": "dry", "packs": 4, "attenuation": "74 %"}
STILL = {"at": "19 °C", "until": "still 3 d"}


def beer(**patch: Any) -> dict[str, Any]:
    return {
        "style": None, "expect": None, "grist": [MALT], "yeast": [ALE], "fermentation": [STILL],
        "conditioning": None, "packaging": BOTTLE, **patch,
    }  # fmt: skip


def late(when: str, weight: str = "500 g", stage: str = "condition") -> list[dict[str, Any]]:
    return [MALT, {"sugar": "sucrose", "weight": weight, stage: when}]


def grave(patch: dict[str, Any]) -> set[str]:
    found = Cooked("pale-ale", patch).judged()
    return {finding.rule for finding in found if finding.rule in PRESSURE and finding.level != "note"}


BOMBS: dict[str, dict[str, Any]] = {
    "sugar an hour before the package": beer(grist=late("1 h before package"), conditioning=KEG),
    "sugar a day before the package": beer(grist=late("1 d before package"), conditioning=KEG),
    "sugar at the end of the cellar": beer(grist=late("after 2 weeks"), conditioning=KEG),
    "sugar into the fermenter, a day before": beer(grist=late("1 d before package", stage="ferment")),
    "sugar in the cellar, after the sugar before it": beer(
        grist=[*late("2 d", "200 g", "ferment"), *late("3 d after previous", "300 g")[1:]],
        conditioning={**KEG, "for": "4 d"},
    ),
    "sugar that a tired culture leaves": beer(
        grist=[
            {**MALT, "weight": "10.5 kg"},
            {"sugar": "sucrose", "weight": "900 g", "ferment": "when still"},
        ],
        yeast=[ENGLISH],
    ),
    "gas held under a valve, no wish": beer(
        fermentation=[{"at": "18 °C", "until": "below 1.020"}],
        conditioning={"vessel": "keg", "relief": "2.5 bar", "at": "18 °C", "for": "1 week"},
        packaging={"into": "bottle", "glass": "light", "store": {"at": "20 °C", "warmest": "30 °C"}},
    ),
    "a bottle of which nothing is wished, with Brettanomyces": beer(
        yeast=[
            ALE,
            {
                "culture": "brettanomyces-bruxellensis",
                "form": "liquid",
                "packs": 1,
                "condition": "after 1 week",
            },
        ],
        conditioning={**KEG, "at": "16 °C", "for": "2 weeks"},
        packaging={"into": "bottle", "glass": "light"},
    ),
    "no temperature anywhere, and far too much sugar": beer(
        fermentation=[{"for": "14 d"}],
        packaging={"into": "bottle", "priming": {"sugar": "sucrose", "weight": "400 g"}},
    ),
    "a lager that sleeps": beer(
        yeast=[{"culture": "german-lager", "form": "dry", "packs": 2}],
        fermentation=[
            {"at": "8 °C", "for": "3 d"},
            {"at": "1 °C", "for": "7 d"},
            {"at": "1 °C", "until": "still 3 d"},
        ],
    ),
    "a cold room": beer(
        fermentation=[{"at": "19 °C", "for": "2 d"}, {"at": "2 °C", "of": "room", "until": "still 3 d"}]
    ),
    "a cold cellar without a length": beer(
        fermentation=[{"at": "19 °C", "for": "2 d"}], conditioning={"vessel": "keg", "at": "2 °C"}
    ),
    "a can": beer(packaging={**BOTTLE, "into": "can", "glass": None, "carbonation": "5 vol"}),
    "a package of no name": beer(
        packaging={"carbonation": "6 vol", "priming": "sucrose", "store": {"warmest": "35 °C"}}
    ),
    "lactose and lactase": beer(
        grist=[MALT, {"sugar": "lactose", "weight": "500 g", "boil": "10 min"}],
        additions=[{"add": "lactase", "weight": "2 g", "ferment": "1 d"}],
    ),
    "enzymes that no boil ended": beer(
        boil={"for": "0 min"}, additions=[{"add": "alpha-amylase", "weight": "5 g", "mash": True}]
    ),
    "wine yeast after one that leaves maltose": beer(
        yeast=[{"culture": "low-alcohol-yeast", "form": "dry", "packs": 1}],
        packaging={
            **BOTTLE,
            "yeast": {"culture": "champagne-bottle-conditioning", "form": "dry", "weight": "3 g"},
        },
    ),
    "sugar under a valve after the beer was still": beer(
        grist=late("after 0 d", "200 g"),
        conditioning={"vessel": "keg", "relief": "2.0 bar", "at": "18 °C", "for": "3 weeks"},
        packaging={**BOTTLE, "priming": {"sugar": "sucrose", "weight": "150 g"}},
    ),
    "a valve in a cellar of unknown warmth": beer(
        fermentation=[{"at": "18 °C", "until": "below 1.018"}],
        conditioning={"vessel": "keg", "relief": "1.5 bar", "for": "2 weeks"},
        packaging={**BOTTLE, "priming": {"sugar": "sucrose", "weight": "140 g"}},
    ),
    "a store that may get hot": beer(
        packaging={**BOTTLE, "carbonation": "3.0 vol", "store": {"at": "10 .. 40 °C"}}
    ),
    "a rating that may be low": beer(packaging={**BOTTLE, "carbonation": "3.0 vol", "rated": "3 .. 12 bar"}),
    "a bottle with a valve": beer(
        fermentation=[{"at": "19 °C", "until": "below 1.025"}], packaging={**BOTTLE, "relief": "1.8 bar"}
    ),
    "a keg under more than its plate says": beer(
        packaging={"into": "keg", "rated": "4 bar", "at": "4 °C", "pressure": "6 bar"}
    ),
    "a keg with far too much gas": beer(
        packaging={"into": "keg", "carbonation": "6 vol", "store": {"warmest": "35 °C"}}
    ),
}


@pytest.mark.parametrize("name", BOMBS)
def test_a_rule_speaks(name: str) -> None:
    assert grave(BOMBS[name])


SOUND: dict[str, dict[str, Any]] = {
    "as usual": beer(),
    "sugar early in the cellar, then three months": beer(
        grist=late("after 1 d", "150 g"), conditioning={**KEG, "at": "16 °C", "for": "3 months"}
    ),
    "a crash in five small steps": beer(
        fermentation=[
            {"at": "19 °C", "for": "14 d"},
            *({"at": f"{celsius} °C", "for": "1 d"} for celsius in (15.5, 12, 8.5, 5, 1.5)),
        ],
        packaging={**BOTTLE, "priming": {"sugar": "sucrose", "weight": "108 g"}},
    ),
    "Brettanomyces in the champagne bottles alone": beer(
        packaging=[
            {**BOTTLE, "glass": "light", "carbonation": "2.0 vol", "volume": "10 L", "store": {"warmest": "20 °C"}},
            {
                **BOTTLE, "glass": "champagne", "volume": "rest", "store": {"warmest": "14 °C"},
                "yeast": {"culture": "brettanomyces-bruxellensis", "form": "liquid", "packs": 1},
            },
        ]
    ),
    "a keg that ends its ferment closed": beer(
        fermentation=[{"at": "18 °C", "until": "below 1.014"}], packaging={"into": "keg", "carbonation": "2.4 vol"}
    ),
    "a keg with a valve, early": beer(
        fermentation=[{"at": "18 °C", "until": "below 1.020"}],
        packaging={"into": "keg", "carbonation": "2.4 vol", "relief": "1.8 bar", "at": "4 °C"},
    ),
    "a cask racked with a point to go": beer(
        fermentation=[{"at": "18 °C", "until": "below 1.0125"}], packaging={"into": "cask", "at": "12 °C"}
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", [name for name in SOUND if "Brett" not in name])
def test_sound_beer_is_not_scolded(name: str) -> None:
    assert grave(SOUND[name]) == set()


def test_yeast_given_to_one_package_does_not_work_in_another() -> None:
    found = Cooked("pale-ale", SOUND["Brettanomyces in the champagne bottles alone"]).judged()
    assert all(finding.at.pointer.startswith("/packaging/1") for finding in found if finding.rule in PRESSURE)
