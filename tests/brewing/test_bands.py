"""Bands against brews with all groups of inputs drawn at random, and the groups that widen them.

Draws are a Latin hypercube with a fixed seed: every group takes each of its N equally likely values once, in an order
of its own. In seven recipes the 5 and 95 % points of 1000 such brews were within 4 % of the width of those of 10 000.
"""

from __future__ import annotations

import math
import random
from itertools import pairwise
from pathlib import Path
from statistics import NormalDist, pvariance

import pytest

from recipelint.brewing import bands, stats
from recipelint.brewing.brew import Brew
from recipelint.brewing.inputs import GROUPS, Moves
from recipelint.brewing.process import Run
from recipelint.recipe.stat_names import STATS, resolution
from recipelint.workspace.workspace import open_workspace
from tests.brewing.paper import brewed

BOOK = Path(__file__).resolve().parents[2] / "examples" / "recipe-book"
RECIPES = sorted(path.stem for path in (BOOK / "recipes").glob("*.yaml"))
N = 1000
OFF = 0.10  # of the band's width that an edge may be off
# Of half a stat's last decimal that it may be off besides: nobody sees the edge of a band that is narrower.
SHOWN = 0.10
GROUP = NormalDist(0.0, 1.0 / NormalDist().inv_cdf(0.95))  # a 90 % half-width of 1

# A mash whose limit is 0.85 or so, and cultures that stop before it, just there, and after it.
MEETING = """recipe: 1
name: Where culture and mash meet
batch: {{volume: 20 L, into: fermenter}}
brewhouse:
  mash: {{capacity: 45 L, dead_space: 1 L, absorption: 0.8 L/kg, kind: recirculated}}
  kettle: {{capacity: 45 L, boil_off: 3.5 L/h, loss: 1 L}}
grist:
  - {{malt: maris-otter-pale-malt, weight: 7 kg}}
  - {{sugar: demerara-sugar, weight: 0.3 kg, ferment: below 1.045}}
mash: {{rests: [{{at: 65 °C, for: 60 min}}, {{at: 76 °C, for: 10 min}}]}}
boil: {{for: 60 min}}
yeast: [{{culture: british-strong-ale, packs: 2, attenuation: {attenuation}}}]
"""
CULTURES = ("74 .. 80 %", "78 .. 86 %", "76 .. 90 %", "80 .. 90 %", "83 .. 87 %", "84 .. 94 %")


def draws(n: int, seed: int) -> list[Moves]:
    source = random.Random(seed)
    columns = []
    for _ in GROUPS:
        order = list(range(n))
        source.shuffle(order)
        columns.append([GROUP.inv_cdf((place + 0.5) / n) for place in order])
    return list(zip(*columns, strict=True))


DRAWN = draws(N, seed=1)


def of_book(name: str) -> Brew:
    found = open_workspace(str(BOOK)).brewed(f"recipes/{name}.yaml")
    assert found is not None
    return found.brew


def point(ordered: list[float], share: float) -> float:
    """The value below which this share of the draws lies."""
    where = share * len(ordered) - 0.5
    low = int(where)
    return ordered[low] + (ordered[low + 1] - ordered[low]) * (where - low)


def disagreements(beer: Brew) -> tuple[int, list[str]]:
    """How many stats have a band, and each stat whose band or lack of one the draws do not confirm."""
    names = [name for name in STATS if beer.stat(name).value is not None and name not in bands.NO_BAND]
    runs = [Run(beer.plan, x) for x in DRAWN]
    moved, wrong = 0, []
    for name in names:
        values = [value for run in runs if (value := stats.find(run, name)[0]) is not None]
        band = beer.band(name)
        assert band is not None
        assert len(values) == N, f"{name} has no value in {N - len(values)} brews"
        values.sort()
        least = STATS[name].least
        if least is not None and (values[0] < least or band[0] < least):
            wrong.append(f"{name}: {min(values[0], band[0]):.6g} is below {least:g}, where it ends")
        width = band[1] - band[0]
        moved += width > 0.0
        allowed = OFF * width + SHOWN * resolution(STATS[name])
        share, middle = beer.dissolved(name), beer.stat(name).value or 0.0
        drawn = share * point(values, 0.05), share * point(values, 0.95)
        if share < 1.0:  # what does not all dissolve has a band that reaches the figure
            drawn = drawn[0], max(drawn[1], middle)
        if any(abs(edge - true) > allowed for edge, true in zip(band, drawn, strict=True)):
            wrong.append(
                f"{name}: band {band[0]:.6g} .. {band[1]:.6g}, drawn {drawn[0]:.6g} .. {drawn[1]:.6g}"
            )
    return moved, wrong


def test_there_are_ten_recipes_to_draw() -> None:
    assert len(RECIPES) >= 10


@pytest.mark.parametrize("name", RECIPES)
def test_random_brews_confirm_every_band(name: str) -> None:
    moved, wrong = disagreements(of_book(name))
    assert moved >= 30
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("attenuation", CULTURES)
def test_random_brews_confirm_bands_where_culture_and_mash_meet(attenuation: str) -> None:
    moved, wrong = disagreements(brewed(MEETING.format(attenuation=attenuation)))
    assert moved >= 30
    assert not wrong, "\n".join(wrong)


def test_the_cultures_above_stop_before_at_and_after_the_limit_of_the_mash() -> None:
    beers = [brewed(MEETING.format(attenuation=attenuation)).run.beer for attenuation in CULTURES]
    apart = [(beer.culture_attenuation or 0.0) - (beer.limit or 0.0) for beer in beers]
    assert apart[0] < -0.05 and apart[-1] > 0.02
    assert min(abs(each) for each in apart) < 0.01


# ---------------------------------------------------------------------- the lesser of two


@pytest.mark.parametrize("share", [0.05, 0.5, 0.95])
def test_the_lesser_of_two_alike(share: float) -> None:
    """The distribution of the smallest of n: 1 - (1 - F)^n, in any book of statistics."""
    expected = NormalDist(0.8, 0.04 * GROUP.stdev).inv_cdf(1.0 - math.sqrt(1.0 - share))
    assert bands.lesser_point(share, 0.8, 0.04, 0.8, 0.04) == pytest.approx(expected, abs=1e-9)


def test_one_that_is_far_above_does_not_matter() -> None:
    for pair in ((0.7, 0.03, 0.95, 0.02), (0.95, 0.02, 0.7, 0.03)):
        assert bands.lesser_point(0.95, *pair) == pytest.approx(0.73, abs=1e-9)
        assert bands.lesser_point(0.05, *pair) == pytest.approx(0.67, abs=1e-9)


# ---------------------------------------------------------------------- what a stat does not have


def test_a_stat_without_a_value_has_no_band_and_nothing_widens_it() -> None:
    text = MEETING.format(attenuation=CULTURES[0])
    beer = brewed(text[: text.index("yeast:")])
    assert beer.stat("final_gravity").value is None
    assert beer.band("final_gravity") is None
    assert beer.moves("final_gravity") == () == beer.widest("final_gravity")


def test_what_no_group_moves_has_a_band_without_width() -> None:
    """What is weighed is taken as weighed: shares of the weight of the grain are sure."""
    beer = brewed(MEETING.format(attenuation=CULTURES[0]))
    share = beer.stat("base_share").value
    assert share == 1.0
    assert beer.band("base_share") == (share, share)
    assert beer.widest("base_share") == ()


def test_a_band_that_ends_at_a_limit_is_one_sided() -> None:
    """No more than all of the extract can be rinsed out of the grain."""
    text = MEETING.format(attenuation=CULTURES[0])
    beer = brewed(
        text.replace("weight: 7 kg", "weight: 0.4 kg").replace("dead_space: 1 L", "dead_space: 0 L")
    )
    value, band = beer.stat("lauter_efficiency").value, beer.band("lauter_efficiency")
    assert value is not None and band is not None
    assert value < band[1] <= 1.0 + 1e-6
    assert value - band[0] > 2.0 * (band[1] - value)


def test_a_band_does_not_go_below_nothing() -> None:
    """A headspace is filled by a little more beer, and then there is no oxygen in it: not less than none."""
    beer = of_book("cellar-stair")
    value, band = beer.stat("headspace_oxygen").value, beer.band("headspace_oxygen")
    assert value is not None and band is not None
    moves = beer.bands.moves("headspace_oxygen")
    assert value - math.sqrt(math.fsum(move.down**2 for move in moves)) < 0.0
    assert band[0] == 0.0 < value < band[1]


def test_a_debt_may_be_below_nothing() -> None:
    beer = of_book("cellar-stair")
    band = beer.band("residual_alkalinity")
    assert band is not None and band[0] < band[1] < 0.0


# ---------------------------------------------------------------------- the groups that widen


@pytest.mark.parametrize("name", RECIPES[:3])
def test_the_widest_are_few_in_order_and_worth_naming(name: str) -> None:
    beer = of_book(name)
    for stat in STATS:
        found = beer.widest(stat)
        shares = [share for _, share in found]
        assert len(found) <= 3
        assert all(group in GROUPS for group, _ in found)
        assert all(share > 0.01 for share in shares)
        assert all(first >= second for first, second in pairwise(shares))
        assert math.fsum(share for _, share in beer.widest(stat, len(GROUPS))) <= 1.0 + 1e-12


def test_a_stat_that_one_group_decides_names_it_alone() -> None:
    beer = of_book("midwinter-ferry")
    assert beer.widest("attenuation_limit") == (("mash limit", pytest.approx(1.0, abs=1e-3)),)


def test_a_share_is_what_the_variance_of_random_brews_loses_when_the_group_stands_still() -> None:
    """Within 0.06: three standard deviations of what draws in common leave to chance."""
    beer = of_book("midwinter-ferry")
    told = {stat: dict(beer.widest(stat)) for stat in ("original_gravity", "final_gravity", "bitterness")}
    assert all(told.values())
    whole = variances(beer, DRAWN, tuple(told))
    for group in dict.fromkeys(group for shares in told.values() for group in shares):
        index = GROUPS.index(group)
        still = variances(beer, [(*x[:index], 0.0, *x[index + 1 :]) for x in DRAWN], tuple(told))
        for stat, shares in told.items():
            lost = 1.0 - still[stat] / whole[stat]
            assert lost == pytest.approx(shares.get(group, 0.0), abs=0.06), (stat, group)


def variances(beer: Brew, moves: list[Moves], names: tuple[str, ...]) -> dict[str, float]:
    runs = [Run(beer.plan, x) for x in moves]
    return {name: pvariance([stats.find(run, name)[0] or 0.0 for run in runs]) for name in names}


def test_equal_brews_have_equal_bands_whatever_is_asked_first() -> None:
    first, second = of_book("midwinter-ferry"), of_book("midwinter-ferry")
    forth = {name: (first.band(name), first.widest(name)) for name in STATS}
    back = {name: (second.band(name), second.widest(name)) for name in reversed(STATS)}
    assert forth == back
