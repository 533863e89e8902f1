"""The enzyme scheme against an adaptive solver of differential equations."""

from __future__ import annotations

import random

import pytest

from recipelint.brewing.mash import Stretch, convert, stretches

pytest.importorskip("scipy", reason="needs the extra `oracle`: scipy")
pytestmark = pytest.mark.oracle

NAMED = [
    *([(c, 60.0)] for c in (58, 60, 62, 64, 65, 66, 67, 68, 69, 70, 72, 74, 75, 78, 80)),
    [(63, 35.0), (72, 30.0)],
    [(52, 10.0), (63, 40.0), (72, 20.0), (78, 5.0)],
    [(66, 60.0), (76, 10.0)],
    [(68, 30.0)],
    [(70, 20.0)],
    [(72, 45.0)],
    [(50, 15.0), (73, 40.0)],
]


def close(
    schedule: tuple[Stretch, ...], enzymes: float = 1.0, crush: float = 0.0116, higher: float = 0.0
) -> None:
    from tests.oracle.mash_reference import solve

    found = convert(schedule, enzymes, crush, higher)
    exact = solve(schedule, enzymes, crush, higher)
    assert 100 * found.limit == pytest.approx(100 * exact["limit"], abs=0.3), schedule
    assert 100 * found.dissolved == pytest.approx(100 * exact["dissolved"], abs=0.1), schedule
    assert found.alpha == pytest.approx(exact["alpha"], abs=0.003)
    assert found.beta == pytest.approx(exact["beta"], abs=0.003)


@pytest.mark.parametrize("rests", NAMED, ids=str)
def test_named_schedules(rests: list[tuple[float, float]]) -> None:
    close(stretches(rests))


def test_jump() -> None:
    close(stretches([(50, 15), (73, 40)], 0))


@pytest.mark.parametrize("seed", range(200))
def test_random_schedules(seed: int) -> None:
    chance = random.Random(1000 + seed)
    rests = [(chance.uniform(40, 80), chance.uniform(5, 75)) for _ in range(chance.randint(1, 4))]
    if chance.random() < 0.7:
        rests.sort()
    schedule = stretches(rests, chance.choice([0.0, 0.5, 1.0, 1.0, 2.0]))
    if chance.random() < 0.2:
        schedule = (*schedule, Stretch(60.0, 67.0, 63.0))
    if chance.random() < 0.2:
        schedule = (*schedule, Stretch(20.0, 72.0, 72.0, kept=0.65))
    close(
        schedule,
        chance.choice([1.0, 1.0, 0.5, 0.75, 1.2]),
        chance.choice([0.0116, 0.0116, 0.003]),
        chance.choice([0.0, 0.0, 3.0]),
    )
