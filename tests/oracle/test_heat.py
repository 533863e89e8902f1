"""Heat and volume of liquor, and the boiling line, against the equations of state of water (IAPWS-95); the slopes of
the attenuation limit against an adaptive solver."""

from __future__ import annotations

import pytest

from recipelint.brewing import boil, gravity, heat, mash_slopes
from recipelint.brewing.mash import Stretch
from recipelint.brewing.mash_steps import Schedule

CoolProp = pytest.importorskip("CoolProp.CoolProp", reason="needs the extra `oracle`: CoolProp")
pytestmark = pytest.mark.oracle

ATMOSPHERE = 101325.0


def water(what: str, celsius: float) -> float:
    """A property of liquid water at one atmosphere (just over it at the boil, so that it stays liquid)."""
    pressure = ATMOSPHERE if celsius < 99.9 else 1.1 * ATMOSPHERE
    return float(CoolProp.PropsSI(what, "T", celsius + 273.15, "P", pressure, "Water"))


def pressure_at(metres: float) -> float:
    """Standard atmosphere of the International Civil Aviation Organization, below 11 km."""
    return ATMOSPHERE * (1.0 - 0.0065 * metres / 288.15) ** 5.25588


@pytest.mark.parametrize("celsius", range(0, 101, 5))
def test_density_of_liquor(celsius: int) -> None:
    at = max(float(celsius), 0.01)
    assert gravity.water_density(at) == pytest.approx(water("D", at) / 1000.0, abs=6e-5)


def test_litre_of_cold_liquor() -> None:
    """The project's figure is of an older scale: four in a million below the equation of state."""
    assert water("D", 20.0) / 1000.0 == pytest.approx(gravity.WATER_DENSITY, abs=6e-6)


@pytest.mark.parametrize("celsius", range(10, 100, 5))
def test_specific_heat_of_liquor(celsius: int) -> None:
    assert water("C", float(celsius)) == pytest.approx(heat.WATER_JOULES, rel=0.008)


@pytest.mark.parametrize("metres", [-400, 0, 300, 500, 1000, 1600, 2000, 3000, 4000])
def test_boiling_line(metres: int) -> None:
    boils = CoolProp.PropsSI("T", "P", pressure_at(metres), "Q", 0, "Water") - 273.15
    assert boil.boiling_point(metres) == pytest.approx(boils, abs=0.1)


def test_heat_of_evaporation() -> None:
    """What a heat source can boil off, from the enthalpies of steam and liquid at one atmosphere."""
    steam = CoolProp.PropsSI("H", "P", ATMOSPHERE, "Q", 1, "Water")
    liquid = CoolProp.PropsSI("H", "P", ATMOSPHERE, "Q", 0, "Water")
    litres = 2000.0 * 3600.0 / (steam - liquid) / (water("D", 20.0) / 1000.0)
    assert boil.evaporation_limit(2500.0, 500.0) == pytest.approx(litres, rel=1e-3)


@pytest.mark.parametrize("ratio", [2.0, 2.5, 3.0, 4.0, 6.0])
@pytest.mark.parametrize("target", [38.0, 52.0, 66.0, 72.0])
def test_strike_by_enthalpy(ratio: float, target: float) -> None:
    """The strike that gives up just the heat the malt takes, with the enthalpy of real water."""
    strike = heat.strike_temperature(target, ratio, 1.0, 18.0)
    given = ratio * water("D", 20.0) / 1000.0 * (water("H", strike) - water("H", target))
    taken = heat.GRAIN_HEAT * heat.WATER_JOULES * (target - 18.0)
    in_kelvin = (given - taken) / (ratio * heat.WATER_JOULES)
    assert in_kelvin == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize(("now", "target", "of"), [(52, 66, 98), (40, 60, 99), (66, 76, 96), (72, 66, 15)])
def test_infusion_by_enthalpy(now: float, target: float, of: float) -> None:
    held = heat.mash_heat(5.0, 15.0)
    litres = heat.infusion(target, now, held, of)
    liquid = water("D", 20.0) / 1000.0
    given = litres * liquid * (water("H", of) - water("H", target))
    taken = 15.0 * liquid * (water("H", target) - water("H", now))
    taken += heat.GRAIN_HEAT * heat.WATER_JOULES * 5.0 * (target - now)
    in_kelvin = (given - taken) / (heat.WATER_JOULES * (held + litres))
    assert in_kelvin == pytest.approx(0.0, abs=0.05)


SLOPED = [
    Schedule((Stretch(60, 62, 62),), (0,)),
    Schedule((Stretch(60, 66, 66), Stretch(10, 66, 76), Stretch(10, 76, 76)), (0, 2)),
    Schedule((Stretch(30, 68, 68),), (0,)),
    Schedule((Stretch(20, 70, 70), Stretch(5, 70, 75), Stretch(15, 75, 75)), (0, 2)),
    Schedule((Stretch(45, 72, 72),), (0,)),
    Schedule((Stretch(35, 63, 63), Stretch(9, 63, 72), Stretch(30, 72, 72)), (0, 2)),
    Schedule(
        (
            Stretch(20, 52, 52),
            Stretch(34, 52, 52),
            Stretch(5, 52, 64, 0.7),
            Stretch(40, 64, 64),
            Stretch(8, 64, 72),
            Stretch(20, 72, 72),
        ),
        (0, 3, 5),
    ),
]


@pytest.mark.parametrize("plan", SLOPED, ids=lambda plan: "-".join(f"{s.start:g}" for s in plan.stretches))
def test_slopes_of_the_limit(plan: Schedule) -> None:
    pytest.importorskip("scipy", reason="needs the extra `oracle`: scipy")
    from tests.oracle.mash_reference import solve

    def limit(stretches: tuple[Stretch, ...]) -> float:
        return 100.0 * float(solve(stretches)["limit"])

    for index, (a_minute, a_kelvin) in zip(plan.rests, mash_slopes.limit_slopes(plan), strict=True):
        longer = limit(mash_slopes._longer(plan.stretches, index, 1.0))
        shorter = limit(mash_slopes._longer(plan.stretches, index, -1.0))
        assert a_minute == pytest.approx((longer - shorter) / 2.0, abs=0.005)
        hotter = limit(mash_slopes._hotter(plan, index, 0.25))
        cooler = limit(mash_slopes._hotter(plan, index, -0.25))
        assert a_kelvin == pytest.approx((hotter - cooler) / 0.5, abs=0.06)
