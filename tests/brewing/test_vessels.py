"""Vessels and the boil: the batch that fits, boiling at altitude, what the boil and the hops leave.

Where no source is named the check is a balance worked out in the test, or common practice, no source.
"""

from __future__ import annotations

import pytest

from recipelint.brewing.brew import Brew
from tests.brewing.paper import brewed, value


def batch(litres: float, house: str, k: float = 1.0, extra: str = "") -> Brew:
    return brewed(f"""recipe: 1
name: Room
batch: {{volume: {litres!r} L, into: fermenter}}
brewhouse:
{house}
grist:
  - {{malt: pilsner-malt, weight: {6.0 * k!r} kg}}
  - {{sugar: sucrose, weight: {0.5 * k!r} kg, ferment: 3 d}}
mash: {{liquor: {18.0 * k!r} L, rests: [{{at: 65 °C, for: 60 min}}]}}
sparge: {{method: batch}}
boil: {{for: 60 min}}
hops: [{{hop: magnum, weight: {30.0 * k!r} g, alpha: 12 %, boil: 60 min}}]
yeast: [{{culture: english-ale, packs: 1}}]
{extra}""")


HOUSES = {
    "mash tun": ("  mash: {capacity: 18 L, kind: tun, dead_space: 0 L}", "mash_fill", 0.95),
    "kettle": ("  kettle: {capacity: 24 L, boil_off: 3 L/h, loss: 1.5 L}", "kettle_fill", 0.90),
    "fermenter": ("  fermenter: {capacity: 18 L, lees: 0.5 L}", "fermenter_fill", 0.92),
    "fermenter with a tube": (
        "  fermenter: {capacity: 18 L, lees: 0.5 L, blow_off: true}",
        "fermenter_fill",
        1.0,
    ),
}


@pytest.mark.parametrize("name", HOUSES)
def test_the_batch_that_fits_fills_the_vessel_to_its_free_share(name: str) -> None:
    house, fill, full = HOUSES[name]
    fits = value(batch(20.0, house), "batch_that_fits")
    assert fits < 20.0
    assert value(batch(fits, house, fits / 20.0), fill) == pytest.approx(full, abs=0.004)


def test_the_tightest_vessel_decides() -> None:
    house = "\n".join(HOUSES[name][0] for name in ("mash tun", "kettle", "fermenter"))
    alone = [
        value(batch(20.0, HOUSES[name][0]), "batch_that_fits") for name in ("mash tun", "kettle", "fermenter")
    ]
    assert value(batch(20.0, house), "batch_that_fits") == pytest.approx(min(alone), rel=0.02)
    assert batch(20.0, "  grain_at: 15 °C").stat("batch_that_fits").value is None


@pytest.mark.parametrize(("metres", "celsius"), [(0, 99.97), (500, 98.31), (1000, 96.65), (2000, 93.32)])
def test_wort_boils_above_water_and_cooler_up_high(metres: int, celsius: float) -> None:
    """Boiling points of water: IAPWS line over the standard atmosphere. A wort of 13 °P boils 0.22 K above."""
    found = value(batch(20.0, f"  altitude: {metres} m"), "boiling_point")
    assert celsius + 0.1 < found < celsius + 0.4


@pytest.mark.parametrize(("minutes", "left"), [(60, 0.30), (90, 0.17)])
def test_what_the_boil_leaves_of_the_precursor(minutes: int, left: float) -> None:
    """Half-life of 35 min at 100 °C: Wilson & Booer 1979."""
    beer = brewed(batch_text(minutes))
    assert value(beer, "dms_precursor_left") == pytest.approx(left, abs=0.01)
    assert value(beer, "dms_at_pitching") < left


def batch_text(minutes: int, altitude: int = 0) -> str:
    return f"""recipe: 1
name: Pale
batch: {{volume: 20 L, into: fermenter}}
brewhouse: {{altitude: {altitude} m, kettle: {{boil_off: 3 L/h, stand: 10 min, cooling: 25 min}}}}
grist: [{{malt: pilsner-malt, weight: 4.5 kg}}]
mash: {{rests: [{{at: 65 °C, for: 60 min}}]}}
boil: {{for: {minutes} min}}
"""


def test_high_up_more_of_the_precursor_is_left() -> None:
    """At 2000 m water boils at 93.3 °C, where the half-life is 76 min: the same source, doubling for each 6 K."""
    low, high = (value(brewed(batch_text(60, metres)), "dms_precursor_left") for metres in (0, 2000))
    assert high == pytest.approx(2.0 ** (-60.0 / 74.0), abs=0.02) and high > low + 0.2


def test_dry_hops_by_the_litre_and_what_they_do() -> None:
    """0.14 of pH for 3.9 g/L (1 lb/bbl): Maye, Brauwelt International 2018."""
    house = "  fermenter: {lees: 1 L}"
    hops = "hops: [{hop: cascade, weight: 80 g, alpha: 6 %, dry_hop: 4 d before package}]"
    text = f"recipe: 1\nname: Dry\nbatch: {{volume: 20 L, into: fermenter}}\nbrewhouse:\n{house}\n"
    text += f"grist: [{{malt: pilsner-malt, weight: 4.5 kg}}]\n{hops}\n"
    beer = brewed(text)
    assert value(beer, "dry_hop_dose") == pytest.approx(4.0, abs=1e-6)
    assert value(beer, "dry_hop_ph_rise") == pytest.approx(0.14 * 4.0 / 3.9, rel=1e-6)
    assert value(beer, "dry_hop_loss") == pytest.approx(0.8)
    assert value(beer, "alpha_concentration") == 0.0


def test_alpha_in_the_kettle_and_what_boils_away() -> None:
    beer = batch(20.0, "  kettle: {boil_off: 3 L/h, loss: 2 L}")
    kettle = value(beer, "kettle_volume")
    assert kettle == pytest.approx(20.0 + 2.0 + 0.030 * 6.0, abs=1e-6)  # pellets hold 6 L/kg, from memory
    assert value(beer, "alpha_concentration") == pytest.approx(30.0 * 0.12 * 1000.0 / kettle, rel=1e-9)
    assert value(beer, "boil_off_share") * value(beer, "pre_boil_volume") == pytest.approx(3.0, rel=0.002)
    start, end = value(beer, "pre_boil_gravity"), value(beer, "kettle_gravity")
    assert start < value(beer, "boil_gravity") < 0.5 * (start + end)
