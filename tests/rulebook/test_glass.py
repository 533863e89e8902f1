"""Bottles under pressure: every package is judged, and what is not written is taken and said."""

from __future__ import annotations

from typing import Any

import pytest

from recipelint.rulebook.findings import MESSAGE_LENGTH, Finding
from recipelint.rulebook.messages import fill, split_template
from recipelint.rulebook.rules import names_of
from tests.rulebook.kitchen import Cooked, written_rules

GLASS = ("pressure-exceeds-glass", "pressure-at-worst-exceeds-glass", "pressure-could-exceed-glass")
BRETT = {"culture": "brettanomyces-bruxellensis", "form": "liquid", "packs": 1, "condition": "after 1 month"}
ALE = {"culture": "american-ale-neutral", "form": "dry", "packs": 1}
SAFE = {"at": "12 °C", "warmest": "20 °C"}


def bottles(*packages: dict[str, Any], yeast: list[dict[str, Any]] | None = None) -> list[Finding]:
    rows = [{"into": "bottle", "priming": "dextrose", **package} for package in packages]
    patch: dict[str, Any] = {"packaging": rows}
    if yeast is not None:
        patch["yeast"] = yeast
    return [finding for finding in Cooked("pale-ale", patch).judged() if finding.rule in GLASS]


def test_brettanomyces_in_standard_glass_is_an_error_and_no_note() -> None:
    """It has enzymes of its own for dextrins without being a diastatic ale yeast (catalogue, from memory)."""
    (finding,) = bottles(
        {"glass": "standard", "carbonation": "2.4 vol", "store": SAFE, "volume": "rest"}, yeast=[ALE, BRETT]
    )
    assert (finding.rule, finding.level) == ("pressure-at-worst-exceeds-glass", "error")
    assert finding.value is not None and finding.value > 1.0
    assert finding.caution == "bottle-bomb"


def test_without_it_the_same_bottle_is_sound() -> None:
    assert bottles({"glass": "standard", "carbonation": "2.4 vol", "store": SAFE}, yeast=[ALE]) == []


@pytest.mark.parametrize("culture", ["brettanomyces-bruxellensis", "mixed-lambic", "saison-belgian"])
def test_the_column_follows_the_catalogue(culture: str) -> None:
    (row,) = Cooked("pale-ale", {"yeast": [{"culture": culture}]}).tables.rows("cultures")
    assert row["eats_dextrins"] == "yes"


def test_every_package_is_judged() -> None:
    fine = {"glass": "heavy", "carbonation": "2.2 vol", "store": SAFE, "volume": "10 L"}
    lively = {"glass": "light", "carbonation": "4.2 vol", "store": SAFE, "volume": "rest"}
    (finding,) = bottles(fine, lively)
    assert (finding.rule, finding.level) == ("pressure-exceeds-glass", "error")
    assert finding.at.pointer == "/packaging/1/glass"
    assert bottles(fine, {**lively, "glass": "champagne"}) == []


def test_what_is_not_written_is_taken_and_said() -> None:
    neither, glass, store = (
        bottles({"carbonation": "3.6 vol", **more})[0]
        for more in ({}, {"glass": "standard"}, {"store": {"at": "18 °C", "warmest": "28 °C"}})
    )
    assert neither.message.endswith("; taken as standard glass at 25 °C, since neither is written")
    assert glass.message.endswith("; taken at 25 °C, since no store is written")
    assert store.message.endswith("; taken as standard glass, since none is written")
    assert neither.value == pytest.approx(glass.value)
    both = bottles({"carbonation": "4.2 vol", "glass": "standard", "store": SAFE})
    assert both and "taken" not in both[0].message


def test_a_rating_counts_for_more_than_a_class_and_a_keg_is_no_glass() -> None:
    assert bottles({"carbonation": "3.6 vol", "rated": "12 bar"}) == []
    keg = {"into": "keg", "carbonation": "3.6 vol"}
    (row,) = Cooked("pale-ale", {"packaging": [keg]}).tables.rows("packages")
    assert row["rating"] == 9.0 and row["rating_assumed"] is True and row["warmest_assumed"] is True
    assert row["assumed"].startswith("; taken as a keg of the usual kind")
    assert bottles(keg) == []


@pytest.mark.parametrize("name", GLASS)
def test_the_longest_message_still_fits(name: str) -> None:
    row = Cooked("pale-ale", {"packaging": [{"into": "bottle", "carbonation": "3.6 vol"}]}).tables.rows(
        "packages"
    )
    worst = {
        **dict(row[0].items()),
        "peak": 12.34,
        "worst": 13.45,
        "rating": 11.5,
        "limit": 0.8,
        "value": 1.2,
    }
    types = {key: known.type for key, known in names_of(("packages",), ()).items()}
    said = fill(split_template(written_rules()[name]["message"]), worst, types, worst)
    assert len(said) < MESSAGE_LENGTH and said.endswith("written")
