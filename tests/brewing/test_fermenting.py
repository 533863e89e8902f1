"""Yeast, fermentation and keeping of whole recipes. No source where none is named: balances, or common practice."""

from __future__ import annotations

import pytest

from recipelint.brewing import gas
from recipelint.brewing.brew import Brew
from recipelint.recipe.stat_names import STATS
from tests.brewing.paper import brewed, value

BOTTLE = "packaging: {into: bottle, glass: standard, carbonation: 2.3 vol, priming: sucrose, store: {warmest: 20 °C}}"


def ale(
    ferment: str = "[{at: 18 °C, until: still 3 d}]",
    grist: str = "",
    yeast: str = "{culture: american-ale-neutral, form: dry, packs: 1}",
    extra: str = BOTTLE,
) -> Brew:
    return brewed(f"""recipe: 1
name: Ferment
batch: {{volume: 20 L, into: fermenter}}
brew_date: 2026-05-01
grist:
  - {{malt: pale-ale-malt, weight: 5 kg}}
{grist}
mash: {{rests: [{{at: 66 °C, for: 60 min}}]}}
yeast: {yeast}
fermentation: {ferment}
{extra}
""")


@pytest.mark.parametrize(
    ("ferment", "grist", "finished"),
    [
        ("[{at: 18 °C, until: still 3 d}]", "", True),
        ("[{at: 18 °C, for: 28 d}]", "", True),
        ("[{at: 18 °C, for: 2 d}]", "", False),
        ("[{at: 18 °C, until: below 1.030}]", "", False),
        ("[{at: 18 °C, for: 28 d}]", "  - {sugar: sucrose, weight: 500 g, ferment: 27.9 d}", False),
        (
            "[{at: 18 °C, until: still 3 d}]",
            "  - {sugar: sucrose, weight: 500 g, ferment: below 1.030}",
            True,
        ),
    ],
)
def test_what_has_not_fermented_goes_into_the_package(ferment: str, grist: str, finished: bool) -> None:
    beer = ale(ferment, grist)
    left = value(beer, "gas_to_come")
    assert (left < 0.1) == finished
    # In the glass it is gas like any other: the peak is the wish and what is still to come.
    assert value(beer, "peak_carbonation") == pytest.approx(2.3 + left)
    (package,) = beer.packages
    assert package.pressure == pytest.approx(gas.keg_pressure(2.3 + left, 20.0), rel=1e-6)


def test_two_points_are_a_volume() -> None:
    """Half a volume for a point of gravity: Balling, and in print as 0.49-0.50."""
    beer = ale("[{at: 18 °C, until: below 1.030}]")
    points = (1.030 - value(beer, "final_gravity")) * 1000.0
    assert value(beer, "gas_to_come") == pytest.approx(0.51 * points, rel=0.03)


def test_longer_warmer_and_less_never_leaves_more() -> None:
    rows = [value(ale(f"[{{at: 18 °C, for: {days} d}}]"), "gas_to_come") for days in (1, 2, 3, 5, 8, 14)]
    assert rows == sorted(rows, reverse=True)
    warm, cool = (value(ale(f"[{{at: {celsius} °C, for: 3 d}}]"), "gas_to_come") for celsius in (22, 16))
    assert warm <= cool


def test_cells_of_packs_grams_and_counts() -> None:
    packs = value(ale(yeast="{culture: american-ale-neutral, form: dry, weight: 11 g}"), "cells_pitched")
    assert packs == pytest.approx(11 * 10.0)  # 10 billion a gram, between label and count
    counted = value(ale(yeast="{culture: american-ale-neutral, cells: 250 billion}"), "cells_pitched")
    assert counted == pytest.approx(250.0)
    fresh = "{culture: american-ale-neutral, form: liquid, packs: 2, packed: 2026-04-01}"
    # A month: 21 % of 200 billion are gone.
    assert value(ale(yeast=fresh), "cells_pitched") == pytest.approx(200 * 0.79, rel=0.02)
    grown = fresh[:-1] + ", starter: {volume: 2 L, gravity: 1.037, stirred: true, settled: true}}"
    assert value(ale(yeast=grown), "cells_pitched") > 300.0
    own = "{culture: american-ale-neutral, cells: 250 billion, pitch_rate: 0.5 million/mL/°P}"
    beer = ale(yeast=own)
    plato = 259.0 - 259.0 / value(beer, "pitching_gravity")  # a rule of thumb for °P, within 0.1
    assert value(beer, "cells_wanted") == pytest.approx(0.5 * 20.0 * plato, rel=0.03)
    assert value(beer, "pitch_rate") == pytest.approx(250.0 / 20.0 / plato, rel=0.03)


def test_sugar_brings_no_nitrogen() -> None:
    plain = value(ale(), "amino_nitrogen")
    sugar = value(ale(grist="  - {sugar: sucrose, weight: 1 kg, boil: 10 min}"), "amino_nitrogen")
    assert sugar == pytest.approx(plain, rel=0.03)  # as much malt in as much wort


def test_pressure_never_falls_with_extract_warmth_or_priming() -> None:
    def pressure(
        malt: float = 5.0, warmest: float = 20.0, wish: float = 2.3, left: str = "below 1.020"
    ) -> float:
        text = BOTTLE.replace("warmest: 20", f"warmest: {warmest}").replace("2.3 vol", f"{wish} vol")
        beer = ale(
            f"[{{at: 18 °C, until: {left}}}]", f"  - {{malt: pilsner-malt, weight: {malt} kg}}", extra=text
        )
        found = beer.packages[0].pressure
        assert found is not None
        return found

    for rows in (
        [pressure(warmest=each) for each in (4.0, 12.0, 20.0, 28.0, 36.0)],
        [pressure(wish=each) for each in (1.5, 2.0, 2.5, 3.5)],
        [pressure(left=f"below 1.0{each}") for each in (12, 20, 30, 40)],
    ):
        assert rows == sorted(rows) and rows[0] < rows[-1]


def test_a_relief_valve_keeps_gas_that_is_then_not_primed() -> None:
    """At 12 °C a valve of 1.2 bar holds 2.4 vol or so: Troester's table."""
    cellar = "conditioning: {vessel: keg, relief: 1.2 bar, at: 12 °C, for: 2 weeks}\n" + BOTTLE
    closed = ale("[{at: 12 °C, until: below 1.020}]", extra=cellar)
    held = gas.keg_carbonation(1.2, 12.0)
    assert value(closed, "residual_co2") == pytest.approx(held)
    assert value(closed, "priming_sugar") == pytest.approx(0.0, abs=1e-9)
    still = ale("[{at: 12 °C, until: still 3 d}]", extra=cellar)
    assert value(still, "residual_co2") < 1.3 and value(still, "priming_sugar") > 50.0
    assert value(closed, "closing_gravity") > value(closed, "final_gravity")


def test_a_stated_end_is_believed_but_not_against_the_glass() -> None:
    high = ale(extra="finishes: 1.024\n" + BOTTLE)
    assert value(high, "final_gravity") == pytest.approx(1.024)
    assert value(high, "reckoned_final_gravity") < 1.016
    (package,) = high.packages
    assert package.pressure is not None and package.pressure_at_worst is not None
    assert package.pressure_at_worst > package.pressure + 3.0
    low = ale(extra="finishes: 1.004\n" + BOTTLE)
    assert low.packages[0].pressure_at_worst == pytest.approx(low.packages[0].pressure)


@pytest.mark.parametrize(
    ("sugar", "grams_per_volume"),
    [("sucrose", 3.81), ("dextrose-anhydrous", 4.01)],
)
def test_priming_by_kind_of_sugar(sugar: str, grams_per_volume: float) -> None:
    """Stoichiometry: 0.5143 g of CO2 from a gram of sucrose, 0.4886 from glucose, 1.96 g/L a volume."""
    beer = ale(extra=BOTTLE.replace("priming: sucrose", f"priming: {sugar}"))
    if beer.plan.priming_rows[0] is None:
        pytest.skip(f"the catalogue has no {sugar}")
    grams = (2.3 - value(beer, "residual_co2")) * grams_per_volume * value(beer, "package_volume")
    assert value(beer, "priming_sugar") == pytest.approx(grams, rel=0.01)


@pytest.mark.parametrize("extra", ["", BOTTLE])
@pytest.mark.parametrize("yeast", ["{culture: american-ale-neutral}", "{culture: no-such-culture, packs: 1}"])
def test_every_stat_has_a_number_or_says_why(yeast: str, extra: str) -> None:
    beer = ale("[]" if not extra else "[{at: 18 °C, for: 5 d}]", yeast=yeast, extra=extra)
    for name in STATS:
        found = beer.stat(name)
        assert found.value is not None or found.why, name
    assert value(ale(), "energy") > 30.0
