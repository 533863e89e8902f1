"""The cask: balances worked out here by hand; Henry's form is tested where it stands."""

from __future__ import annotations

import math

import pytest

from recipelint.brewing.brew import Brew
from tests.brewing.paper import brewed, value


def cask(packaging: str, fermentation: str = "{at: 18 °C, until: still 3 d}", altitude: int = 0) -> Brew:
    return brewed(
        "recipe: 1\nname: From the wood\nbatch: {volume: 20 L, into: fermenter}\n"
        f"brewhouse: {{altitude: {altitude} m}}\n"
        "grist: [{malt: maris-otter-pale-malt, weight: 4.2 kg}]\nmash: {rests: [{at: 66 °C, for: 60 min}]}\n"
        "yeast: {culture: english-ale, form: dry, packs: 1}\n"
        f"fermentation: [{fermentation}]\npackaging: {packaging}\n"
    )


PRIMED = "{into: cask, carbonation: 1.3 vol, priming: sucrose, store: {at: 12 °C}}"


def open_beer(celsius: float, bar: float = 1.013) -> float:
    """Volumes in beer under CO2 of the air's pressure: Troester 2008, as in the reference (D3), 1.96 g/L a volume."""
    return 10.0 * bar * math.exp(-10.73797 + 2617.25 / (celsius + 273.15)) / 1.96


@pytest.mark.parametrize("celsius", [8, 12, 16, 22])
def test_a_vented_cask_holds_what_open_beer_does(celsius: int) -> None:
    beer = cask(PRIMED.replace("12 °C", f"{celsius} °C"))
    assert value(beer, "cask_carbonation") == 1.3
    assert value(beer, "vented_carbonation") == pytest.approx(min(1.3, open_beer(celsius)), abs=1e-9)


def test_venting_adds_no_gas() -> None:
    flat = cask("{into: cask, carbonation: 0.9 vol, priming: sucrose, store: {at: 5 °C}}")
    assert value(flat, "vented_carbonation") == 0.9 < open_beer(5.0)


def test_high_up_it_holds_less() -> None:
    """At 1600 m the air presses with 0.835 bar (standard atmosphere, handbook value 83.5 kPa)."""
    assert value(cask(PRIMED, altitude=1600), "vented_carbonation") == pytest.approx(
        open_beer(12.0, 0.835), rel=0.002
    )


def test_where_it_is_written_warm_is_where_it_is_served() -> None:
    both = cask("{into: cask, at: 14 °C, carbonation: 1.3 vol, priming: sucrose, store: {at: 11 °C}}")
    assert value(both, "vented_carbonation") == pytest.approx(open_beer(14.0))


def test_sugar_of_the_cask_is_its_part_of_all_the_sugar() -> None:
    """1.3 vol less the 0.93 that 18 °C leaves (Hibberd), at 3.81 g/L of sucrose for a volume, in 9 L."""
    beer = cask(
        "[{into: cask, volume: 9 L, carbonation: 1.3 vol, priming: sucrose, store: {at: 12 °C}}, "
        "{into: bottle, volume: 8 L, carbonation: 2.2 vol, priming: sucrose}]"
    )
    left = value(beer, "residual_co2")
    assert left == pytest.approx(0.93, abs=0.02)
    assert value(beer, "cask_priming") == pytest.approx((1.3 - left) * 3.811 * 9.0, rel=1e-3)
    bottles = (2.2 - left) * 3.811 * 8.0
    assert value(beer, "priming_sugar") == pytest.approx(value(beer, "cask_priming") + bottles, rel=1e-3)
    assert [at for at, _ in beer.stat("cask_priming").parts] == ["/packaging/0"]


def test_a_cask_without_sugar_works_on_what_is_left_to_ferment() -> None:
    """A point of gravity is half a volume (Balling): filled two or so above its end it makes one more."""
    end = value(cask(PRIMED), "final_gravity")
    early = cask("{into: cask, store: {at: 12 °C}}", f"{{at: 18 °C, until: {end + 0.002:.4f}}}")
    left = value(early, "residual_co2")
    assert value(early, "cask_carbonation") == pytest.approx(left + 1.0, abs=0.06)
    assert early.stat("cask_priming").why == "the cask is not primed"
    late = cask("{into: cask, store: {at: 12 °C}}")
    assert value(late, "cask_carbonation") == pytest.approx(left)


def test_the_liveliest_of_several_casks_is_told() -> None:
    beer = cask(
        "[{into: cask, volume: 9 L, carbonation: 1.1 vol, priming: sucrose, store: {at: 8 °C}}, "
        "{into: cask, volume: 9 L, carbonation: 1.4 vol, priming: sucrose, store: {at: 16 °C}}]"
    )
    assert value(beer, "cask_carbonation") == 1.4
    assert value(beer, "vented_carbonation") == 1.1  # the other one is let down to 0.96
    assert open_beer(16.0) == pytest.approx(0.96, abs=0.005)
    assert [at for at, _ in beer.stat("vented_carbonation").parts] == ["/packaging/0"]


@pytest.mark.parametrize(
    ("packaging", "name", "why"),
    [
        ("{into: keg, carbonation: 2.2 vol}", "vented_carbonation", "no cask is written"),
        ("{into: keg, carbonation: 2.2 vol}", "cask_priming", "no cask is written"),
        (
            "{into: cask, carbonation: 1.3 vol}",
            "vented_carbonation",
            "it is not written how warm the cask stands",
        ),
        (
            "{into: cask, priming: sucrose, store: {at: 12 °C}}",
            "cask_carbonation",
            "neither a carbonation nor a weight of priming sugar is written",
        ),
    ],
)
def test_what_is_not_written_is_not_invented(packaging: str, name: str, why: str) -> None:
    stat = cask(packaging).stat(name)
    assert (stat.value, stat.why) == (None, why)
