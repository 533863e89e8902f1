"""Extract that goes into the boil late: hops boil in weaker wort until then. By an independent sum over small steps."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipelint.brewing.boil_gravity import Stretch, gravities, last, mean_of_last
from recipelint.brewing.brew import Brew
from tests.brewing.paper import brewed, value

POT = """recipe: 1
name: Pot
batch: {{volume: 22 L, into: kettle}}
brewhouse: {{kettle: {{boil_off: 4 L/h, loss: 2 L, stand: 0 min, cooling: 0 min}}}}
grist:
{grist}
boil: {{for: 60 min}}
hops:
{hops}
"""
DRY = "  - {{extract: dry-malt-extract-light, weight: {} kg, yield: 95 % as-is, boil: {} min}}\n"
HOP = "  - {{hop: magnum, weight: 20 g, alpha: 12 %, form: cone, boil: {} min}}\n"


def pot(lines: list[tuple[float, float]], *minutes: float) -> Brew:
    """A boil with dry malt extract (kg, min before flame-out) and the same hops boiled so many minutes."""
    grist = "".join(DRY.format(*line) for line in lines)
    return brewed(POT.format(grist=grist, hops="".join(HOP.format(one) for one in minutes)))


def by_minutes(lines: list[tuple[float, float]], minutes: float) -> float:
    """IBU of one addition by Tinseth's equation, the gravity averaged in steps of a hundredth of a minute.

    22 L at flame-out and 4 L/h of boil-off. Gravity by the formula of the trade from degrees Plato.
    """
    steps, whole = 6000, sum(kg * 0.95 for kg, _ in lines)

    def sg(extract: float, water: float) -> float:
        plato = 100.0 * extract / (extract + water)
        return 1.0 + plato / (258.6 - 227.1 * plato / 258.2)

    water = 22.0 * 0.9982 - 0.6 * whole  # at flame-out; a kilogram of extract takes the room of about 0.6 L
    means = []
    for step in range(steps):
        left = 60.0 - (step + 0.5) * 60.0 / steps
        extract = sum(kg * 0.95 for kg, at in lines if at >= left)
        wet = sum(kg * 0.05 for kg, at in lines if at < left)  # water of what is still to go in
        if left < minutes:
            means.append(sg(extract, water - wet + 4.0 * 0.9982 * left / 60.0))
    mean = sum(means) / len(means)
    used = 1.65 * 0.000125 ** (mean - 1.0) * (1.0 - math.exp(-0.04 * minutes)) / 4.15
    return used * 20.0 * 0.12 * 1000.0 / 22.0


@pytest.mark.parametrize(
    "lines", [[(3.0, 0.0)], [(3.0, 10.0)], [(1.0, 60.0), (2.0, 15.0)], [(1.0, 60.0), (1.0, 30.0), (1.0, 5.0)]]
)
def test_hops_in_for_the_whole_boil_have_the_mean_minute_by_minute(lines: list[tuple[float, float]]) -> None:
    assert pot(lines, 60).hops[0].utilisation * 20 * 120 / 22 == pytest.approx(
        by_minutes(lines, 60), rel=3e-3
    )


def test_hops_boil_in_plain_water_until_the_extract_goes_in() -> None:
    """All extract at flame-out: Tinseth's factor for water is 1.65, and the gravity of the boil that of water."""
    beer = pot([(3.0, 0.0)], 60, 20)
    assert value(beer, "boil_gravity") == pytest.approx(1.0, abs=1e-6)
    for fact, minutes in zip(beer.hops, (60.0, 20.0), strict=True):
        assert fact.utilisation == pytest.approx(1.65 * (1.0 - math.exp(-0.04 * minutes)) / 4.15, rel=1e-3)


def test_what_is_in_before_the_hops_counts_as_there_from_the_start() -> None:
    early, late = pot([(3.0, 60.0)], 60, 10), pot([(1.5, 60.0), (1.5, 20.0)], 60, 10)
    assert late.hops[1].ibu == pytest.approx(early.hops[1].ibu, rel=1e-3)
    assert late.hops[0].ibu > 1.05 * early.hops[0].ibu


@pytest.mark.parametrize("at", [0, 10, 30])
def test_a_gram_of_late_sugar_changes_next_to_nothing(at: float) -> None:
    without, beside = pot([(3.0, 60.0)], 60, 10, 0), pot([(3.0, 60.0), (0.001, at)], 60, 10, 0)
    for one, other in zip(without.hops, beside.hops, strict=True):
        assert other.ibu == pytest.approx(one.ibu, rel=1e-3)


def test_without_late_extract_all_hops_have_the_mean_over_the_boil() -> None:
    found = gravities(pot([(3.0, 60.0)], 60, 5).run)
    assert not found.late
    assert found.while_boiled(60.0) == found.while_boiled(5.0) == found.while_boiled(0.0) == found.mean


@settings(max_examples=40)
@given(
    st.lists(st.tuples(st.floats(0.05, 2.0), st.floats(0.0, 60.0)), min_size=1, max_size=5),
    st.floats(0.5, 60),
)
def test_later_extract_never_makes_the_wort_of_a_hop_stronger(
    lines: list[tuple[float, float]], minutes: float
) -> None:
    lines = [(round(kg, 3), round(at, 2)) for kg, at in lines]
    found = gravities(pot(lines, 60).run)
    assert 1.0 <= found.while_boiled(minutes) <= found.full.mean + 1e-6
    sooner = gravities(pot([(kg, min(at + 10.0, 60.0)) for kg, at in lines], 60).run)
    assert found.while_boiled(minutes) <= sooner.while_boiled(minutes) + 1e-6


def test_the_last_minutes_are_cut_from_the_stretches() -> None:
    boil = (Stretch(60.0, 20.0, 1.030, 1.040), Stretch(20.0, 0.0, 1.050, 1.060))
    assert last(boil, 60.0) == boil
    assert last(boil, 20.0) == boil[1:]
    (cut,) = last(boil, 10.0)
    assert cut.start == pytest.approx(1.0 + 1.0 / (0.5 / 0.050 + 0.5 / 0.060))  # half way in volume
    assert mean_of_last(boil, 20.0) == boil[1].mean
