"""Rules on hops and boil: what is judged, and where the finding points."""

from __future__ import annotations

from typing import Any

import pytest

from tests.rulebook.kitchen import Cooked

AGED = {
    "hop": "magnum",
    "weight": "20 g",
    "alpha": "12 %",
    "boil": "60 min",
    "harvest": "2020",
    "stored_at": "20 °C",
}


def rules_at(hops: list[dict[str, Any]], **more: Any) -> dict[str, str]:
    """Each rule that finds something, with where."""
    patch = {"style": None, "brew_date": "2026-02-01", "hops": hops, **more}
    return {finding.rule: finding.at.pointer for finding in Cooked("pale-ale", patch).judged()}


def test_alpha_is_held_against_the_variety_as_it_is_written() -> None:
    """Magnum has 11 to 16 % in the catalogue; 12 % on the packet is well in, whatever years on a shelf left of it."""
    found = rules_at([AGED])
    assert "hop-alpha-far-from-variety" not in found
    assert found["hop-alpha-lost-in-storage"] == "/hops/0"
    assert rules_at([{**AGED, "alpha": "4 %"}])["hop-alpha-far-from-variety"] == "/hops/0/alpha"


def test_what_storage_took_is_what_the_storage_equation_says() -> None:
    """Garetz: (1 - loss)^(days / 180 x 2^((T - 20) / 15) x 0.75), with the half-year loss of the catalogue."""
    cooked = Cooked("pale-ale", {"brew_date": "2026-02-01", "hops": [AGED]})
    (fact,) = cooked.tables.brew.hops
    low, high = fact.row.storage_loss
    days = 6 * 365.25 + 30.4
    left = (1.0 - (low + high) / 2.0) ** (days / 180.0 * 0.75)
    assert fact.fresh == pytest.approx(0.12)
    assert fact.alpha == pytest.approx(0.12 * left, rel=1e-6)


@pytest.mark.parametrize("nothing", [{"weight": "0 g"}, {"alpha": "0 %"}])
def test_no_bitterness_at_all_points_at_the_hops(nothing: dict[str, str]) -> None:
    found = rules_at([{"hop": "magnum", "weight": "20 g", "alpha": "12 %", "boil": "60 min", **nothing}])
    assert found["bitterness-ratio-off-style"] == "/hops/0/weight"


@pytest.mark.parametrize(
    ("boil_off", "power", "speaks"), [(4, 0.5, True), (15, 4, True), (4, 2.5, True), (4, 3, False)]
)
def test_boiling_off_takes_its_heat(boil_off: float, power: float, speaks: bool) -> None:
    """kg/h x 2257 kJ/kg / 3600: 4 L/h take 2.50 kW and 15 L/h 9.4 kW, of which a kettle loses a twentieth and more."""
    kettle = {"boil_off": f"{boil_off} L/h", "power": f"{power} kW"}
    hops = [{"hop": "magnum", "weight": "20 g", "alpha": "12 %", "boil": "60 min"}]
    found = rules_at(hops, brewhouse={"kettle": kettle})
    assert ("boil-off-beyond-kettle-power" in found) is speaks
    assert speaks is (boil_off * 0.9982 * 2257.0 / 3600.0 > 0.95 * power)
