"""One strong ale through the whole chain, every figure by a sum of the test's own.

The scenario is invented: a batch of 18 L that came out at 21 L with the same malt, a culture that ends seven points
below what its label says, a second sugar below 1.040, ten months in a full vessel, then light and heavy glass.
"""

from __future__ import annotations

import math

import pytest

from recipelint.brewing.brew import Brew
from tests.brewing.paper import brewed, value

WATER = 0.998203  # kg/L at 20 °C
MALT, YIELD, MOISTURE = 9.0, 0.80, 0.04
SUGAR, LATER = 0.5, 0.4  # kg, dry sucrose


def text(litres: float = 21.0, attenuation: float = 84.0, glass: str = "light", later: float = LATER) -> str:
    return f"""recipe: 1
name: Barge Horse
batch: {{volume: {litres!r} L, into: fermenter}}
brewhouse:
  mash: {{capacity: 60 L, absorption: 1 L/kg, dead_space: 0 L, kind: tun}}
  kettle: {{capacity: 60 L, boil_off: 3 L/h, loss: 0 L, stand: 0 min, cooling: 0 min}}
  fermenter: {{capacity: 40 L, lees: 0 L}}
  efficiency: {{mash: 60 %, of: as-is}}
grist:
  - {{malt: pale-ale-malt, weight: {MALT!r} kg, yield: 80 % dry, moisture: 4 %}}
  - {{sugar: sucrose, weight: {SUGAR!r} kg, yield: 100 % as-is, boil: 15 min}}
  - {{sugar: sucrose, weight: {later!r} kg, yield: 100 % as-is, ferment: below 1.040}}
mash: {{liquor: 25 L, rests: [{{at: 64 °C, for: 75 min}}]}}
sparge: {{method: batch}}
boil: {{for: 60 min}}
yeast:
  - {{culture: british-strong-ale, form: slurry, cells: 400 billion, attenuation: {attenuation!r} %, tolerance: 14 %}}
fermentation:
  - {{at: 18 °C, for: 5 d}}
  - {{rise: free, to: 21 °C, until: still 4 d}}
conditioning: {{vessel: glass-jar, capacity: 22 L, racked: true, purged: false, at: 12 °C, for: 10 months}}
packaging:
  - {{into: bottle, glass: {glass}, volume: 10 L, carbonation: 2.4 vol, priming: sucrose, store: {{warmest: 24 °C}}}}
  - {{into: bottle, glass: heavy, volume: rest, carbonation: 2.4 vol, priming: sucrose, store: {{warmest: 24 °C}}}}
"""


@pytest.fixture(scope="module")
def beer() -> Brew:
    return brewed(text())


def plato(sg: float) -> float:
    """ASBC polynomial, as in tests/check_values/wort-and-beer.yaml."""
    return -616.868 + 1111.14 * sg - 630.272 * sg**2 + 135.997 * sg**3


def gravity_of(extract: float, litres: float | None = None, water: float | None = None) -> float:
    """Gravity of so much extract in a volume, or with so much water, by halving."""
    low, high = 0.99, 1.20
    for _ in range(80):
        middle = 0.5 * (low + high)
        share = plato(middle) / 100.0
        held = share * litres * middle * WATER if litres is not None else share * (extract + (water or 0.0))
        low, high = (middle, high) if held < extract else (low, middle)
    return low


WORT = (
    MALT * YIELD * (1 - MOISTURE) * 0.60 + SUGAR
)  # kg of extract into the fermenter: nothing is lost on the way
ALL = WORT + LATER


def test_more_wort_is_the_same_extract_at_a_lower_gravity(beer: Brew) -> None:
    assert value(beer, "pitching_gravity") == pytest.approx(gravity_of(WORT, litres=21.0), abs=3e-4)
    planned = brewed(text(18.0))
    assert value(planned, "pitching_gravity") == pytest.approx(gravity_of(WORT, litres=18.0), abs=3e-4)
    # The rule of points x volume, in print for such a case: 20 L at 1.100 run to 23 L is 1.087.
    points = (value(planned, "pitching_gravity") - 1.0) * 18.0
    assert (value(beer, "pitching_gravity") - 1.0) * 21.0 == pytest.approx(points, rel=0.01)
    # What is told by the litre or by the wort follows the volume.
    assert value(beer, "cells_wanted") < value(planned, "cells_wanted") * 1.05
    assert value(beer, "priming_sugar") > value(planned, "priming_sugar") * 1.1


def test_a_volume_that_came_otherwise_is_the_same_brew_in_more_water() -> None:
    planned = brewed(text(18.0))
    came, brewed_so = planned.with_fermenter_volume(21.0), brewed(text(21.0))
    for name in (
        "pitching_gravity",
        "original_gravity",
        "final_gravity",
        "abv",
        "cells_wanted",
        "priming_sugar",
    ):
        assert value(came, name) == pytest.approx(value(brewed_so, name), rel=2e-3), name
    assert value(came, "fermenter_volume") == pytest.approx(21.0, abs=1e-9)
    assert value(came, "pre_boil_gravity") == value(planned, "pre_boil_gravity")  # that is behind us
    assert math.fsum(came.run.extracts()) == pytest.approx(math.fsum(planned.run.extracts()), rel=1e-12)
    assert planned.with_fermenter_volume(18.0).stat("abv").value == pytest.approx(
        value(planned, "abv"), rel=1e-9
    )


def test_all_sugar_in_counts_its_extract_and_its_volume(beer: Brew) -> None:
    water = 21.0 * gravity_of(WORT, litres=21.0) * WATER - WORT
    assert value(beer, "original_gravity") == pytest.approx(gravity_of(ALL, water=water), abs=3e-4)


def test_the_end_is_the_cultures_on_malt_and_sugar_all_gone(beer: Brew) -> None:
    """Balling: 2.0665 g of extract give 1 g of ethanol, 0.9565 of CO2 and 0.11 of yeast."""
    assert value(beer, "attenuation_limit") > 0.84  # so that the culture decides
    original = value(beer, "original_gravity")
    sugar = SUGAR + LATER
    fermented = ((ALL - sugar) * 0.84 * 0.8192 + sugar) / ALL  # real attenuation of malt: the trade's 0.8192
    ethanol = plato(original) * fermented / 2.0665  # g from 100 g of wort
    left = 100.0 - 1.0665 * ethanol
    assert value(beer, "abw") - _priming_abw(beer) == pytest.approx(ethanol / left, rel=0.02)
    assert value(beer, "real_attenuation") == pytest.approx(fermented, abs=0.02)
    label = brewed(text(attenuation=77.0))
    assert value(label, "final_gravity") - value(beer, "final_gravity") > 0.004
    assert value(beer, "abv") > value(label, "abv") + 0.4 / 100


def _priming_abw(beer: Brew) -> float:
    grams = value(beer, "priming_sugar")
    volume = value(beer, "package_volume")
    return grams / volume / 1000.0 / 2.0665 / (WATER * value(beer, "final_gravity"))


def test_the_second_sugar_goes_in_at_its_gravity_and_lifts_it(beer: Brew) -> None:
    way = beer.way
    assert way is not None
    pitched, added, *rest = way.events
    assert pitched.what == "pitched" and added.what == "added" and rest[-1].what == "still"
    assert added.before.value == pytest.approx(1.040, abs=1e-4)
    # 384 L°/kg x 0.4 kg, in what is then 0.62 L/kg more, which thins the 40 points that were there.
    litres = 21.0 + 0.62 * LATER
    lifted = (384 * LATER - 40.0 * 0.62 * LATER) / litres
    assert (added.after.value - added.before.value) * 1000 == pytest.approx(lifted, abs=0.15)
    assert rest[-1].after.value == pytest.approx(value(beer, "final_gravity"), abs=0.0012)
    assert 24.0 < added.hours.low < added.hours.value < added.hours.high < 24.0 * 14
    state = way.end
    assert state.fermented == pytest.approx(state.ethanol * 2.0665, rel=1e-9)
    assert state.beer.gravity == pytest.approx(value(beer, "final_gravity"), abs=1e-6)


def test_ten_months_in_a_full_vessel(beer: Brew) -> None:
    litres = value(beer, "package_volume")
    # A mole of gas at 20 °C and one atmosphere is 24.06 L; air is 20.95 % oxygen.
    oxygen = (22.0 - litres) * 0.2095 / 24.06 * 32.0 * 1000.0 / litres
    assert value(beer, "headspace_oxygen") == pytest.approx(oxygen, rel=0.01)
    days = value(beer, "packaged_after") / 24.0
    assert days == pytest.approx(10 * 30.4 + value(beer, "still_after") / 24.0 + 4.0, abs=0.1)
    assert value(beer, "gas_to_come") == 0.0
    assert value(beer, "bottle_yeast") == pytest.approx(litres * 1.0 / 10.0)  # 1 million/mL at 10 billion/g


def test_gas_of_the_package_by_stoichiometry(beer: Brew) -> None:
    """C12H22O11 + H2O -> 4 CO2: 4 x 44.01 / 342.30 g of gas from a gram; 1.96 g/L are one volume."""
    left = value(beer, "residual_co2")
    assert left == pytest.approx(0.83, abs=0.03)  # 21 °C at the end of fermentation, Hibberd's table
    grams = (2.4 - left) * 1.96 / (4 * 44.01 / 342.30) * value(beer, "package_volume")
    assert value(beer, "priming_sugar") == pytest.approx(grams, rel=0.01)
    assert value(beer, "carbonation") == pytest.approx(2.4)
    assert value(beer, "peak_carbonation") == pytest.approx(2.4)


@pytest.mark.parametrize(("glass", "rated"), [("light", 4.5), ("heavy", 7.0)])
def test_light_and_heavy_glass(glass: str, rated: float) -> None:
    """Henry's law with the solubility of Troester's table at 24 °C, gauge."""
    # What the brewer has seen of the culture spans four points.
    found = brewed(text(glass=glass).replace("attenuation: 84.0 %", "attenuation: 82 .. 86 %")).packages
    bar = 2.4 * 1.96 / (10.0 * math.exp(-10.73797 + 2617.25 / 297.15)) - 1.013
    assert [fact.pressure for fact in found] == pytest.approx([bar, bar])
    assert found[0].pressure is not None and found[0].pressure_at_worst is not None
    assert found[0].pressure < found[0].pressure_at_worst  # the top of the culture's range
    share = bar / rated
    assert share == pytest.approx({"light": 0.495, "heavy": 0.318}[glass], abs=0.001)  # ratings from memory


def test_volumes_share_what_there_is(beer: Brew) -> None:
    first, second = beer.packages
    assert first.volume == 10.0
    assert first.volume + second.volume == pytest.approx(value(beer, "package_volume"))


def test_energy_of_the_glass(beer: Brew) -> None:
    """6.9 kcal for a gram of alcohol, 4 for one of extract less 0.1 % of ash: the ASBC form."""
    alcohol = value(beer, "abv") * 0.78924 * 100.0
    assert value(beer, "alcohol_units") == pytest.approx(alcohol)
    extract = beer.run.beer.real_extract
    assert extract is not None
    kcal = 6.9 * alcohol + 4.0 * (extract - 0.1) * value(beer, "final_gravity") * WATER
    assert value(beer, "energy") == pytest.approx(kcal, rel=0.002)
