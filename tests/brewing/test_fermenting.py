"""Yeast, fermentation and keeping of whole recipes. No source where none is named: balances, or common practice."""

from __future__ import annotations

import pytest

from recipelint.brewing import carbonation, fermenting, gas
from recipelint.brewing.brew import Brew
from recipelint.brewing.carbonation import volumes_made
from recipelint.brewing.inputs import GROUPS, PACE
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


@pytest.mark.parametrize(
    ("warm", "cold", "finished"),
    [
        ("1 d", "21 d at 1", False),
        ("1 d", "60 d at 1", False),
        ("14 d", "21 d at 1", True),
        ("3 d", "28 d at 18", True),
    ],
)
def test_days_in_the_cold_do_not_finish_a_beer(warm: str, cold: str, finished: bool) -> None:
    days, celsius = cold.split(" d at ")
    cellar = f"conditioning: {{at: {celsius} °C, for: {days} d}}\n" + BOTTLE
    beer = ale(f"[{{at: 19 °C, for: {warm}}}]", extra=cellar)
    left = value(beer, "gas_to_come")
    assert left < 0.1 if finished else left > 10.0
    assert (
        value(beer, "gravity_at_packaging")
        > value(beer, "final_gravity") + (0.0 if finished else 0.02) - 1e-9
    )


def test_what_passes_as_finished_is_so_at_the_slowest_pace() -> None:
    """The short cut that spares working out the way must never hide gas: less than a gravity point at half the pace."""
    slow = tuple(1.0 if group == PACE else 0.0 for group in range(len(GROUPS)))
    passed = 0
    for malt in (0.5, 4, 12):
        for celsius in (10, 14, 18, 22):
            for days in (10, 14, 21, 30):
                for sugar in ("", "  - {sugar: sucrose, weight: 1 kg, ferment: 4 d}"):
                    beer = ale(
                        f"[{{at: {celsius} °C, for: {days} d}}]",
                        f"  - {{malt: pilsner-malt, weight: {malt} kg}}\n{sugar}",
                        "{culture: american-ale-neutral, form: dry, weight: 2 g}",
                    )
                    if fermenting.surely_finished(beer.run):
                        passed += 1
                        state, why = fermenting.at_packaging(beer.run.from_fermenter(slow))
                        assert state is not None, why
                        assert volumes_made(state.left, beer.run.beer.volume) < 0.1
    assert 20 < passed < 90


def test_the_pace_moves_what_is_still_to_come() -> None:
    """Times are good to a factor of two: what is left on a day has a band as wide as that."""
    beer = ale("[{at: 18 °C, for: 4 d}]")
    low, high = beer.band("gas_to_come") or (0.0, 0.0)
    left = value(beer, "gas_to_come")
    assert low < 0.5 * left and high > 2.0 * left
    slow, quick = (
        value(ale(f"[{{at: 18 °C, for: {days} d}}]"), "gas_to_come") for days in (4 / 1.8, 4 / 0.55)
    )
    assert high == pytest.approx(slow, rel=0.25) and low == pytest.approx(quick, abs=0.25 * left)
    days = beer.band("still_after")
    assert days is not None and days[1] > 1.5 * value(beer, "still_after")


LOW = "{culture: low-alcohol-yeast, form: dry, packs: 1, attenuation: 15 %}"


def test_bottle_yeast_takes_what_a_low_culture_leaves() -> None:
    """At two points a volume: a wort that stopped at 15 % and gets yeast that takes 65 % or more is a bomb."""
    fresh = BOTTLE.replace(
        "priming: sucrose", "priming: sucrose, yeast: {culture: ale-bottle-conditioning, weight: 3 g}"
    )
    (plain,), (package,) = ale(yeast=LOW).packages, ale(yeast=LOW, extra=fresh).packages
    assert not plain.goes_on and package.goes_on
    assert package.pressure_at_worst is not None and plain.pressure_at_worst is not None
    fall = 0.72 - 0.15  # of about 45 points, less what the mash holds back
    more = package.pressure_at_worst - plain.pressure_at_worst
    assert more > fall * 40 / 2.0 * 0.8  # a volume is 1.1 bar or more at 20 °C
    usual = ale(extra=fresh)  # a culture that goes as far itself leaves it nothing but the sugar
    assert usual.packages[0].pressure_at_worst == pytest.approx(ale().packages[0].pressure_at_worst or 0.0)


def test_gas_that_a_bottle_is_filled_with_stays_in_it() -> None:
    """At 12 °C a valve of 2.4 bar holds 3.9 vol; the wish of 2.3 vol lets none of it off."""
    cellar = "conditioning: {vessel: keg, relief: 2.4 bar, at: 12 °C, for: 2 weeks}\n"
    beer = ale("[{at: 12 °C, until: below 1.024}]", extra=cellar + BOTTLE)
    held = gas.keg_carbonation(2.4, 12.0)
    assert held > 3.5
    assert value(beer, "carbonation") == pytest.approx(held)
    assert value(beer, "peak_pressure") >= gas.keg_pressure(held, 20.0) - 1e-9
    keg = ale(
        "[{at: 12 °C, until: below 1.024}]", extra=cellar + "packaging: {into: keg, carbonation: 2.3 vol}"
    )
    assert value(keg, "carbonation") == pytest.approx(2.3)  # which can be let off


def test_a_valve_on_the_package_lets_off_what_is_too_much() -> None:
    text = "packaging: {into: keg, relief: 1.8 bar, at: 4 °C}"
    beer = ale("[{at: 18 °C, until: below 1.030}]", extra=text)
    assert value(beer, "carbonation") == pytest.approx(gas.keg_carbonation(1.8, 18.0))
    assert value(beer, "peak_carbonation") == pytest.approx(value(beer, "carbonation"))
    assert value(beer, "peak_pressure") <= 1.8
    late = ale("[{at: 18 °C, until: below 1.015}]", extra=text)  # a little extract makes a little gas
    assert value(late, "carbonation") == pytest.approx(
        value(late, "residual_co2") + value(late, "gas_to_come")
    )


def test_thin_air_leaves_less_gas_and_presses_harder() -> None:
    """At 2000 m the standard atmosphere is 0.795 bar: less gas is left, and glass bears 0.2 bar more."""
    low = ale(extra=BOTTLE)
    high = ale(extra=BOTTLE + "\nbrewhouse: {altitude: 2000 m}")
    air = gas.atmosphere(2000.0)
    assert air == pytest.approx(0.795, abs=0.001)
    assert value(high, "residual_co2") == pytest.approx(value(low, "residual_co2") * air / 1.013)
    (here,), (there,) = low.packages, high.packages
    assert here.pressure is not None and there.pressure is not None
    assert there.pressure - here.pressure == pytest.approx(1.013 - air)
    cellar = "conditioning: {vessel: keg, relief: 1.2 bar, at: 12 °C, for: 2 weeks}\nbrewhouse: {altitude: 2000 m}\n"
    valve = ale("[{at: 12 °C, until: below 1.020}]", extra=cellar + BOTTLE)
    assert value(valve, "residual_co2") == pytest.approx(gas.keg_carbonation(1.2, 12.0, air))


def test_closing_a_vessel_counts_no_gas_that_is_yet_to_be_made() -> None:
    """Closed at that gravity, what is left makes the wish: half a volume a point, by Balling."""
    cellar = "conditioning: {vessel: keg, relief: 1.2 bar, at: 12 °C, for: 2 weeks}\n" + BOTTLE
    beer = ale("[{at: 12 °C, until: below 1.020}]", extra=cellar)
    missing = 2.3 - carbonation.residual(12.0)
    points = (value(beer, "closing_gravity") - value(beer, "final_gravity")) * 1000.0
    assert points == pytest.approx(missing / 0.51, rel=0.03)


def test_a_later_culture_takes_what_the_first_leaves_and_no_sooner() -> None:
    second = "{culture: american-ale-neutral, form: dry, packs: 1, attenuation: 80 %, ferment: 10 d}"
    first = "{culture: english-ale, form: dry, packs: 1, attenuation: 62 %}"
    alone, both = ale(yeast=first), ale(yeast=f"[{first}, {second}]")
    turned = ale(yeast=f"[{second}, {first}]")
    assert value(both, "still_after") > 10 * 24 > value(alone, "still_after")
    assert value(turned, "still_after") == pytest.approx(value(both, "still_after"))
    assert value(both, "final_gravity") < value(alone, "final_gravity") - 0.004
    way = both.way
    assert way is not None and [event.what for event in way.events] == ["pitched", "still", "added", "still"]
    at_rest = way.events[1]
    assert at_rest.after.value == pytest.approx(value(alone, "final_gravity"), abs=0.001)
    assert way.end.beer.gravity == pytest.approx(value(both, "final_gravity"), abs=1e-6)
    early = ale("[{at: 18 °C, for: 9 d}]", yeast=f"[{first}, {second}]")  # bottled before the second goes in
    assert value(early, "gravity_at_packaging") == pytest.approx(value(alone, "final_gravity"), abs=0.001)


def test_a_fall_to_where_a_later_culture_works_is_no_crash() -> None:
    """Hibberd's table: 1.19 vol are left at 10 °C, 0.86 at 20."""
    steps = "[{at: 20 °C, for: 10 d}, {at: 10 °C, for: 20 d}]"
    lager = "{culture: german-lager, form: dry, packs: 1, attenuation: 80 %, ferment: 10 d}"
    first = "{culture: english-ale, form: dry, packs: 1, attenuation: 62 %}"
    assert value(ale(steps, yeast=first), "residual_co2") == pytest.approx(0.86, abs=0.02)
    assert value(ale(steps, yeast=f"[{first}, {lager}]"), "residual_co2") == pytest.approx(1.19, abs=0.02)


@pytest.mark.parametrize(
    ("stages", "racked"),
    [
        ("{vessel: glass-jar, capacity: 25 L, at: 11 °C, for: 3 months}", True),
        ("{vessel: glass-jar, capacity: 25 L, racked: false, at: 11 °C, for: 3 months}", False),
        ("{capacity: 25 L, at: 11 °C, for: 3 months}", False),
        ("{vessel: stainless-tank, capacity: 25 L, relief: 1 bar, at: 11 °C, for: 3 months}", False),
    ],
)
def test_another_vessel_has_air_in_it(stages: str, racked: bool) -> None:
    """Five litres of air over twenty of beer hold 1.5 g of oxygen: 0.21 of 1.2 g/L or so."""
    found = value(ale(extra=f"conditioning: {stages}\n{BOTTLE}"), "headspace_oxygen")
    assert found == (pytest.approx(80.0, rel=0.25) if racked else 0.0)


def test_sugar_in_the_cellar_makes_gas_under_the_valve() -> None:
    """200 g of sucrose in 20 L or so: 2.4 vol by Balling, on what is left at 18 °C; a valve of 2 bar holds 2.7."""
    cellar = "conditioning: {{vessel: keg, relief: {bar} bar, at: 18 °C, for: 3 weeks}}\n"
    sugar = "  - {sugar: sucrose, weight: 200 g, condition: after 0 d}"

    def closed(bar: float) -> Brew:
        return ale("[{at: 18 °C, until: still 3 d}]", sugar, extra=cellar.format(bar=bar) + BOTTLE)

    open_ = carbonation.residual(18.0)
    made = volumes_made(0.2, closed(4.0).run.beer.volume)
    assert value(closed(4.0), "residual_co2") == pytest.approx(open_ + made, rel=0.03)
    assert value(closed(1.0), "residual_co2") == pytest.approx(gas.keg_carbonation(1.0, 18.0))
    low, high = closed(1.5).band("residual_co2") or (0.0, 0.0)
    assert open_ - 0.01 <= low <= high <= open_ + made
