"""The liquor of a whole recipe: waters, salts and acids, mash and sparge apart, and the pH of the mash.

Shares of the salts are from molar masses (held against molmass and a geochemistry engine in tests/oracle); where no
source is named the check is a balance worked out in the test.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipelint.brewing import water
from recipelint.brewing.brew import Brew
from recipelint.brewing.liquor import treated
from tests.brewing.paper import brewed, value

IONS = ("calcium", "magnesium", "sodium", "chloride", "sulphate")


def brewed_with(
    source: str = "reverse-osmosis", additions: str = "", grist: str = "", mash: str = "15 L"
) -> Brew:
    lines = grist or "  - {malt: pale-ale-malt, weight: 5 kg}"
    extras = f"additions:\n{additions}" if additions else ""
    return brewed(f"""recipe: 1
name: Liquor
batch: {{volume: 20 L, into: fermenter}}
brewhouse:
  mash: {{absorption: 1 L/kg, dead_space: 0 L, kind: tun}}
  efficiency: {{mash: 75 %, of: as-is}}
grist:
{lines}
mash: {{liquor: {mash}, rests: [{{at: 62 °C, for: 30 min}}, {{at: 68 °C, for: 30 min}}]}}
sparge: {{method: batch}}
boil: {{for: 60 min}}
{f"water: {source}" if source else ""}
{extras}
""")


def test_gypsum_in_the_mash_is_in_the_mash() -> None:
    """1 g/L of gypsum brings 232.8 mg/L of calcium and 557.9 of sulphate (molar masses, as on the salts pages)."""
    beer = brewed_with(additions="  - {add: gypsum, weight: 15 g, mash: true}")
    assert value(beer, "calcium") == pytest.approx(232.8, abs=0.1)
    assert value(beer, "sulphate") == pytest.approx(557.9, abs=0.2)
    assert value(beer, "sparge_calcium") == 0.0
    by_the_litre = brewed_with(additions="  - {add: gypsum, weight: 1 g/L, mash: true}")
    assert value(by_the_litre, "calcium") == pytest.approx(value(beer, "calcium"))


def test_salt_for_all_liquor_is_the_same_in_mash_and_sparge() -> None:
    beer = brewed_with(additions="  - {add: calcium-chloride, weight: 8 g, liquor: all}")
    litres = value(beer, "strike_liquor") + value(beer, "sparge_liquor")
    assert value(beer, "calcium") == pytest.approx(8.0 * 272.6 / litres, abs=0.05)
    assert value(beer, "sparge_calcium") == pytest.approx(value(beer, "calcium"))
    unsaid = brewed_with(additions="  - {add: calcium-chloride, weight: 8 g}")
    assert value(unsaid, "calcium") == pytest.approx(value(beer, "calcium"))


SALTS = ("gypsum", "calcium-chloride", "epsom-salt", "table-salt", "baking-soda")


@given(
    st.sampled_from(["london-well", "dortmund-1", "pilsen"]),
    st.lists(
        st.tuples(st.sampled_from(SALTS), st.floats(0.5, 12.0), st.sampled_from(["mash", "sparge", "boil"])),
        max_size=4,
    ),
)
@settings(max_examples=40)
def test_ions_and_charge_are_conserved(source: str, doses: list[tuple[str, float, str]]) -> None:
    rows = [f"  - {{add: {name}, weight: {grams:.2f} g, {where}: true}}" for name, grams, where in doses]
    beer = brewed_with(source, "\n".join(rows))
    found = treated(beer.run).treatment
    assert found is not None and found.sparge is not None
    strike, sparge = beer.run.mash.strike, beer.run.mash.sparge
    plain = treated(brewed_with(source).run).treatment
    assert plain is not None
    added = dict.fromkeys(IONS, 0.0)
    for (_name, grams, _where), row in zip(doses, beer.plan.addition_rows, strict=True):
        assert row is not None and row.ions is not None
        for ion in IONS:
            added[ion] += 1000.0 * round(grams, 2) * row.ions.get(ion, 0.0)
    for ion in IONS:
        in_all = getattr(plain.whole, ion) * (strike + sparge) + added[ion]
        assert getattr(found.whole, ion) * (strike + sparge) == pytest.approx(in_all, rel=1e-9, abs=1e-6)
        parts = getattr(found.mash, ion) * strike + getattr(found.sparge, ion) * sparge
        assert parts <= in_all * (1.0 + 1e-9) + 1e-6  # what goes into the kettle is in neither
    before, after = (water.charges(each.whole) for each in (plain, found))
    assert after[0] - after[1] == pytest.approx(
        before[0] - before[1], abs=1e-3 * after[0]
    )  # a salt is neutral, but its shares are rounded


def test_a_blend_is_the_mean_by_share_and_what_is_written_beats_the_row() -> None:
    blend = brewed_with(
        "[{source: well, share: 25 %, calcium: 80 mg/L, magnesium: 8 mg/L, sodium: 12 mg/L, chloride: 20 mg/L, "
        "sulphate: 40 mg/L, bicarbonate: 240 mg/L}, {source: reverse-osmosis, share: 75 %}]"
    )
    assert value(blend, "calcium") == pytest.approx(20.0)
    assert value(blend, "bicarbonate") == pytest.approx(60.0)
    over = brewed_with("{source: reverse-osmosis, calcium: 35 mg/L, alkalinity: 50 mg/L}")
    assert value(over, "calcium") == pytest.approx(35.0)
    assert value(over, "alkalinity") == pytest.approx(50.0)
    assert value(over, "bicarbonate") == pytest.approx(50.0 * 61.016 / 50.04, rel=1e-4)


def test_ph_falls_with_acid_calcium_and_dark_malt_and_rises_with_alkalinity() -> None:
    plain = value(brewed_with(), "mash_ph")
    assert plain == pytest.approx(
        5.75, abs=0.02
    )  # pale malt in distilled water: Kolbach, as quoted by Palmer
    for additions in (
        "  - {add: lactic-acid, volume: 3 mL, strength: 88 %, mash: true}",
        "  - {add: calcium-chloride, weight: 5 g, mash: true}",
    ):
        assert value(brewed_with(additions=additions), "mash_ph") < plain - 0.03
    dark = "  - {malt: pale-ale-malt, weight: 4.5 kg}\n  - {malt: black-malt, weight: 0.5 kg%s}"
    assert value(brewed_with(grist=dark % ""), "mash_ph") < plain - 0.05
    # Dark malt that comes for the last minutes has no say in the mash before it.
    assert value(brewed_with(grist=dark % ", mash: last 10 min"), "mash_ph") == pytest.approx(
        plain, abs=0.005
    )
    hard = "{source: reverse-osmosis, bicarbonate: 250 mg/L}"
    assert value(brewed_with(hard), "mash_ph") > plain + 0.1


def test_acid_in_the_sparge_leaves_the_mash_alone() -> None:
    acid = "  - {add: phosphoric-acid, volume: 10 mL, strength: 10 %, sparge: true}"
    hard = "{source: reverse-osmosis, bicarbonate: 120 mg/L}"
    with_it, without = brewed_with(hard, acid), brewed_with(hard)
    assert value(with_it, "mash_ph") == value(without, "mash_ph")
    assert value(with_it, "alkalinity") == value(without, "alkalinity")
    # 1.09 mEq/mL at pH 5.4: PHREEQC, beside the reference of acids
    fall = (value(without, "sparge_alkalinity") - value(with_it, "sparge_alkalinity")) / 50.04
    assert fall * value(with_it, "sparge_liquor") == pytest.approx(10.0 * 1.09, rel=0.01)


@pytest.mark.parametrize(
    ("source", "additions", "stat", "why"),
    [
        ("", "", "mash_ph", "the recipe gives no water"),
        ("{source: moor-well}", "", "calcium", "no analysis of moor-well is known"),
        ("{source: moor-well, calcium: 30 mg/L}", "", "sulphate", "the water does not give its sulphate"),
        ("{source: moor-well, calcium: 30 mg/L}", "", "mash_ph", "the water does not give its alkalinity"),
        (
            "reverse-osmosis",
            "  - {add: phosphoric-acid, volume: 5 mL, mash: true}",
            "mash_ph",
            "phosphoric-acid is sold in many strengths: say which",
        ),
        (
            "reverse-osmosis",
            "  - {add: phosphoric-acid, volume: 5 mL, mash: true}",
            "alkalinity",
            "phosphoric-acid is sold in many strengths: say which",
        ),
    ],
)
def test_what_cannot_be_known_says_why(source: str, additions: str, stat: str, why: str) -> None:
    found = brewed_with(source, additions).stat(stat)
    assert found.value is None and found.why == why


def test_an_acid_of_unknown_strength_hides_the_ph_and_not_the_calcium() -> None:
    beer = brewed_with(
        additions="  - {add: phosphoric-acid, volume: 5 mL, mash: true}\n  - {add: gypsum, weight: 3 g, mash: true}"
    )
    assert value(beer, "calcium") > 40.0


def test_what_goes_in_after_the_boil_is_no_liquor() -> None:
    beer = brewed_with(additions="  - {add: gypsum, weight: 3 g, ferment: 2 d}")
    assert value(beer, "calcium") == 0.0


def test_an_analysis_that_does_not_balance_is_told() -> None:
    rest = ", ".join(
        f"{ion}: 0 mg/L" for ion in ("magnesium", "sodium", "chloride", "sulphate", "bicarbonate")
    )
    bad = f"{{source: x, calcium: 100 mg/L, {rest}}}"
    assert value(brewed_with(bad), "water_imbalance") == pytest.approx(1.0)
    assert value(brewed_with("reverse-osmosis"), "water_imbalance") == 0.0


def test_the_size_of_the_brew_does_not_move_the_ph() -> None:
    small = brewed_with(additions="  - {add: lactic-acid, volume: 2 mL, strength: 88 %, mash: true}")
    twice = brewed_with(
        additions="  - {add: lactic-acid, volume: 4 mL, strength: 88 %, mash: true}",
        grist="  - {malt: pale-ale-malt, weight: 10 kg}",
        mash="30 L",
    )
    assert value(twice, "mash_ph") == pytest.approx(value(small, "mash_ph"), abs=1e-6)


def test_an_acid_by_the_litre_is_counted_on_the_liquor_it_goes_into() -> None:
    row = "  - {add: lactic-acid, volume: %s, strength: 88 %%, mash: true}"
    by_litre, whole = (
        brewed_with(additions=row % dose) for dose in ("0.1 mL/L", "1.5 mL")
    )  # 15 L in the mash
    assert value(by_litre, "mash_ph") == pytest.approx(value(whole, "mash_ph"), abs=1e-9)


def test_an_ion_of_all_liquor_is_what_waters_and_salts_bring_to_all_litres() -> None:
    """Molar masses: a gram of table salt is 393.4 mg of sodium and 606.6 mg of chloride."""
    beer = brewed_with(
        "[{source: soft, share: 90 %, calcium: 0 mg/L, magnesium: 0 mg/L, sodium: 0 mg/L, chloride: 0 mg/L, "
        "sulphate: 0 mg/L, bicarbonate: 0 mg/L}, {source: sea, share: 10 %, calcium: 90 mg/L, magnesium: 5 mg/L, "
        "sodium: 310 mg/L, chloride: 300 mg/L, sulphate: 100 mg/L, bicarbonate: 400 mg/L}]",
        additions="  - {add: table-salt, weight: 5 g, mash: true}\n  - {add: table-salt, weight: 2 g, boil: 10 min}",
    )
    litres = value(beer, "strike_liquor") + value(beer, "sparge_liquor")
    assert value(beer, "liquor_sodium") == pytest.approx(31.0 + 7.0 * 393.4 / litres, abs=0.05)
    assert value(beer, "liquor_chloride") == pytest.approx(30.0 + 7.0 * 606.6 / litres, abs=0.05)
    assert value(beer, "liquor_calcium") == pytest.approx(9.0)
    parts = dict(beer.stat("liquor_sodium").parts)
    assert max(parts, key=lambda at: parts[at]) == "/additions/0"
    assert sum(parts.values()) == pytest.approx(value(beer, "liquor_sodium"))


@pytest.mark.parametrize(
    "salt, grams, ion", [("calcium-chloride", 200, "calcium"), ("magnesium-chloride", 60, "magnesium")]
)
def test_brine_has_no_mash_ph(salt: str, grams: int, ion: str) -> None:
    beer = brewed_with(additions=f"  - {{add: {salt}, weight: {grams} g, mash: true}}")
    found = beer.stat("mash_ph")
    assert found.value is None and ion in found.why and "past" in found.why
    assert (
        brewed_with(additions=f"  - {{add: {salt}, weight: 10 g, mash: true}}").stat("mash_ph").value
        is not None
    )
