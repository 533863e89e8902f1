"""Yeast: cells, viability, starters, heat, nitrogen and oxygen."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.brewing import feeding
from recipelint.brewing import gravity as g
from recipelint.brewing import yeast as y
from recipelint.brewing.yeast import Amount, Band, Starter

VOLUME = st.floats(0.5, 2000.0)
OG = st.floats(1.010, 1.150)
RATE = st.floats(0.1, 3.0)
CELLS = st.floats(0.5, 5000.0)
DAYS = st.floats(0.0, 2000.0)
FORM = st.sampled_from(["dry", "liquid", "slurry"])


def sure(value: float) -> Band:
    return Band(value, value, value)


def test_every_band_of_the_tables_holds_its_value() -> None:
    loose = [y.DRY_CELLS, y.DRY_TOTAL, y.SPRINKLED, y.PACK_CELLS, y.SLURRY_DENSITY, y.SETTLED_KEPT]
    loose += [
        y.STIRRED_SPREAD,
        y.STILL_SPREAD,
        feeding.HEAT_PER_EXTRACT,
        feeding.AMINO_PER_PLATO,
        feeding.PURE_UPTAKE,
    ]
    for band in [*loose, *y.RATES.values(), *y.LOSS.values()]:
        assert band.low <= band.value <= band.high, band


@given(st.lists(st.tuples(st.floats(0.1, 1.0), st.floats(1.0, 10.0), st.floats(0.1, 50.0)), min_size=1))
def test_a_product_is_no_surer_than_its_least_sure_part(parts: list[tuple[float, float, float]]) -> None:
    bands = [Band(value, value * low, value * high) for low, high, value in parts]
    found = y.product(*bands)
    assert found.value == pytest.approx(math.prod(band.value for band in bands))
    assert found.value / found.low >= max(band.value / band.low for band in bands) * (1 - 1e-9)
    assert found.high / found.value >= max(band.high / band.value for band in bands) * (1 - 1e-9)
    # ... and surer than all of them at their worst at once.
    assert found.low >= math.prod(band.low for band in bands) * (1 - 1e-9)
    assert found.high <= math.prod(band.high for band in bands) * (1 + 1e-9)


def test_a_product_with_nothing() -> None:
    assert y.product(Band(2, 1, 3), Band(0, 0, 0)) == Band(0, 0, 0)
    assert y.product(Band(2, 0, 3), Band(5, 5, 5)) == Band(10, 0, pytest.approx(15))


# --- cells wanted ---


@given(VOLUME, OG, RATE, st.floats(0.1, 10.0))
def test_cells_scale_with_the_volume(volume: float, og: float, rate: float, times: float) -> None:
    one = y.cells_wanted(volume, og, sure(rate)).value
    assert y.cells_wanted(volume * times, og, sure(rate)).value == pytest.approx(one * times)


@given(VOLUME, OG, RATE)
def test_the_rate_reached_with_what_is_wanted_is_the_rate(volume: float, og: float, rate: float) -> None:
    back = y.pitch_rate(y.cells_wanted(volume, og, sure(rate)), volume, og)
    assert back is not None
    assert back.value == pytest.approx(rate)


def test_no_rate_without_wort_or_without_extract() -> None:
    assert y.pitch_rate(sure(100.0), 0.0, 1.050) is None
    assert y.pitch_rate(sure(100.0), 20.0, 1.0) is None
    assert y.cells_wanted(20.0, 0.999, y.RATES["ale"]) == Band(0.0, 0.0, 0.0)


def test_the_brewers_own_rate_wins() -> None:
    own = Band(0.4, 0.35, 0.5)
    for kind in ("ale", "lager", "bacteria"):
        assert y.rate_wanted(kind, 1.100, own) is own


def test_strong_ale_is_pitched_as_strong_and_lager_as_lager() -> None:
    assert y.rate_wanted("ale", 1.060) == y.RATES["ale"]
    assert y.rate_wanted("ale", 1.090) == y.RATES["strong"]
    assert y.rate_wanted("lager", 1.090) == y.RATES["lager"]
    assert y.rate_wanted("hybrid", 1.048) == y.RATES["hybrid"]
    assert y.rate_wanted("kveik", 1.090) == y.RATES["kveik"]
    for kind in ("bacteria", "wild", "mixed", "wine", ""):
        assert y.rate_wanted(kind, 1.060) is None


def test_the_rates_of_all_printed_sources_lie_within_the_bands() -> None:
    """0.5 is the flat baseline of 6 million/mL at 12 °P; the others as printed."""
    for kind, printed in (("ale", (0.5, 0.75, 1.0)), ("lager", (1.25, 1.5, 2.0)), ("hybrid", (1.0, 1.25))):
        band = y.RATES[kind]
        assert all(band.low <= rate <= band.high for rate in printed)


def test_true_plato_asks_less_than_the_quick_quarter() -> None:
    """As told: points / 4 is 0.1 °P high at 1.048 and 1.2 °P high at 1.100."""
    for og, told in ((1.048, 0.1), (1.100, 1.2)):
        true = y.cells_wanted(20.0, og, sure(0.75)).value / (0.75 * 20.0)
        assert g.points(og) / 4.0 - true == pytest.approx(told, abs=0.05)


# --- viability ---


@given(FORM, DAYS, st.floats(0.01, 500.0), st.floats(-5.0, 40.0))
def test_viability_is_a_share_and_falls_with_age(form: str, days: float, more: float, celsius: float) -> None:
    young, old = y.viability(form, days, celsius), y.viability(form, days + more, celsius)
    for band in (young, old):
        assert 0.0 <= band.low <= band.value <= band.high <= 1.0
    assert old.value < young.value or old.value < 1e-12
    assert old.low <= young.low
    assert old.high <= young.high


@given(FORM, st.floats(1.0, 2000.0), st.floats(0.0, 34.0), st.floats(0.5, 10.0))
def test_warmth_never_keeps_yeast(form: str, days: float, celsius: float, more: float) -> None:
    assert y.viability(form, days, celsius + more).value <= y.viability(form, days, celsius).value


@given(FORM, st.floats(-10.0, 0.0))
def test_fresh_yeast_is_alive(form: str, days: float) -> None:
    assert y.viability(form, days) == Band(1.0, 1.0, 1.0)


def test_the_two_curves_agree_for_a_month_and_part_later() -> None:
    month = y.viability("liquid", 30.4)
    assert month.value == pytest.approx(0.79)
    assert y.linear_viability(30.4) == pytest.approx(0.79, abs=0.005)
    quarter = y.viability("liquid", 90.0)
    assert (quarter.low, quarter.value) == (pytest.approx(0.37), pytest.approx(0.495, abs=0.005))
    assert y.viability("liquid", 180.0).low == 0.0
    assert y.viability("liquid", 180.0).value == pytest.approx(0.24, abs=0.01)


def test_dry_yeast_keeps_as_told_at_both_temperatures() -> None:
    """About 4 % lost in a year at 4 °C and 20 % at 20 °C, by a practitioners' forum."""
    year = 12 * y.MONTH
    assert y.viability("dry", year, 4.0).value == pytest.approx(0.96)
    assert y.viability("dry", year, 20.0).value == pytest.approx(0.80)
    # Two points that nothing was fitted to: between them, and a month warmer still.
    assert 0.86 < y.viability("dry", year, 12.0).value < 0.92
    assert y.viability("dry", y.MONTH, 30.0).value > 0.94


def test_slurry_spans_both_teachings() -> None:
    """15 % a month by one practitioner, 25 % a week where it is warm or old."""
    month = y.viability("slurry", y.MONTH)
    assert month.value == pytest.approx(0.85)
    assert month.low == pytest.approx(0.75 ** (30.4 / 7.0))


# --- starters ---


def test_the_still_table_is_met_at_every_row() -> None:
    """100 billion into 0.5, 1, 1.5, 2, 8, 20 L of 9 °P: 112, 152, 181, 205, 400, 600 (only the second was read)."""
    for litres, end in ((0.5, 112), (1.0, 152), (1.5, 181), (2.0, 205), (8.0, 400), (20.0, 600)):
        extract = g.extract_mass(litres, g.sg_from_plato(9.0))
        assert 100.0 + y.still_growth(100.0, extract) == pytest.approx(end, rel=0.002), litres


def test_a_fit_to_counted_starters_lies_within_the_stirred_band() -> None:
    """14 billion per L and °P of fall; the model was not made from them and gives a third more."""
    for litres, plato in ((1.0, 9.0), (2.0, 9.0), (1.5, 10.0), (3.0, 9.5)):
        extract = g.extract_mass(litres, g.sg_from_plato(plato))
        measured = y.measured_growth(litres, plato, 0.22 * plato)
        cells = 50.0 * litres
        found = y.grown(sure(cells), Starter(litres, g.sg_from_plato(plato), True))
        assert y.stirred_growth(cells, extract) > measured
        assert found.low <= cells + measured <= found.high


def test_the_two_models_part_by_nearly_two() -> None:
    extract = g.extract_mass(2.0, g.sg_from_plato(10.0))
    still, stirred = 100 + y.still_growth(100, extract), 100 + y.stirred_growth(100, extract)
    assert stirred / still == pytest.approx(380 / 205, rel=0.08)


@given(CELLS, st.floats(0.001, 5.0), st.floats(1.001, 3.0))
def test_starters_never_lose_cells_and_more_is_never_less(cells: float, extract: float, more: float) -> None:
    for growth in (y.still_growth, y.stirred_growth):
        one = cells + growth(cells, extract)
        assert one >= cells
        assert cells * more + growth(cells * more, extract) >= one * (1 - 1e-12)
        assert cells + growth(cells, extract * more) >= one * (1 - 1e-12)


@given(CELLS, st.floats(0.001, 5.0))
def test_growth_is_bound_by_the_sugar(cells: float, extract: float) -> None:
    for growth in (y.still_growth, y.stirred_growth):
        assert growth(cells, extract) <= 1.4 * 1000.0 * extract * (1 + 1e-12)
    assert y.still_growth(cells, extract) < 0.5 * 1.4 * 1000.0 * extract


@given(CELLS, st.floats(0.001, 5.0), st.floats(0.01, 100.0))
def test_a_starter_of_twice_the_size_grows_twice_as_many(cells: float, extract: float, times: float) -> None:
    for growth in (y.still_growth, y.stirred_growth):
        wanted = times * growth(cells, extract)
        assert growth(times * cells, times * extract) == pytest.approx(wanted, rel=1e-9, abs=1e-9)


def test_nothing_grows_out_of_nothing() -> None:
    for growth in (y.still_growth, y.stirred_growth):
        assert growth(0.0, 0.2) == growth(100.0, 0.0) == 0.0
    assert y.still_growth(300.0, 0.0932) == 0.0
    assert y.stirred_growth(400.0, 0.1) == 0.0
    with pytest.raises(ValueError):
        y.inoculation(100.0, 0.0)


@given(st.floats(1.0, 1000.0), st.floats(0.2, 10.0), st.floats(1.010, 1.080))
def test_a_starter_gives_a_band_around_its_model(cells: float, litres: float, sg: float) -> None:
    for stirred in (True, False, None):
        for settled in (True, False, None):
            found = y.grown(sure(cells), Starter(litres, sg, stirred, settled))
            assert found.low <= found.value <= found.high * (1 + 1e-12)
    unsaid = y.grown(sure(cells), Starter(litres, sg))
    assert unsaid.value == y.grown(sure(cells), Starter(litres, sg, False)).value
    stirred_high = cells + y.stirred_growth(cells, g.extract_mass(litres, sg))
    assert unsaid.high >= stirred_high * (1 - 1e-12)


def test_what_a_starter_brings() -> None:
    nothing = y.starter_brings(Starter(2.0, 1.037, True, True))
    assert (nothing.volume, nothing.extract, nothing.water) == (0.0, 0.0, 0.0)
    brought = y.starter_brings(Starter(2.0, 1.040, True, False))
    assert brought.extract + brought.water == pytest.approx(2.0 * g.density(1.040))
    assert brought.gravity == pytest.approx(1.010, abs=0.0005)  # 1.040 at 75 % apparent
    assert brought.fermented / brought.extract == pytest.approx(0.75 * 0.8192, abs=0.015)
    # Two litres of 1.040 in 20 L of 1.060: volumes and points say 1.0582.
    both = g.sg_of_masses(
        g.extract_mass(20.0, 1.060) + brought.extract, g.water_in(20.0, 1.060) + brought.water
    )
    assert both == pytest.approx(1.0 + (20 * 0.060 + 2 * 0.040) / 22.0, abs=0.0002)


# --- what is pitched ---


def test_two_packs_of_two_weeks() -> None:
    found = y.pitched(Amount("liquid", packs=2.0, days=14.0))
    assert found is not None
    assert found.cells == found.taken
    assert found.taken.value == pytest.approx(200.0 * 0.79 ** (14 / 30.4))
    assert found.inoculation is None
    assert [what for what, _ in found.assumed] == ["cells in a pack (billion)"]


def test_counted_cells_are_taken_as_they_are() -> None:
    found = y.pitched(Amount("liquid", cells=sure(350.0), packs=1.0, days=90.0))
    assert found is not None
    assert (found.cells, found.assumed) == (sure(350.0), ())


def test_a_written_viability_beats_the_age() -> None:
    amount = Amount("slurry", volume=0.6, density=sure(1.1), viability=sure(0.92), days=60.0)
    found = y.pitched(amount)
    assert found is not None
    assert found.cells.value == pytest.approx(600 * 1.1 * 0.92)
    assert found.assumed == ()


def test_slurry_by_weight_is_a_tenth_heavier_than_water() -> None:
    amount = Amount("slurry", volume=0.5, density=sure(1.2), viability=sure(0.9))
    by_weight = y.pitched(amount._replace(volume=None, weight=0.55))
    by_volume = y.pitched(amount)
    assert by_weight is not None and by_volume is not None
    assert by_weight.cells.value == pytest.approx(by_volume.cells.value)


def test_dry_yeast_by_weight_and_by_packs() -> None:
    """A sachet of 11.5 g: at least 69 billion by its label, up to three times that by counts."""
    by_weight = y.pitched(Amount("dry", weight=0.0115, rehydrated=True))
    by_packs = y.pitched(Amount("dry", packs=1.0, pack=0.0115, rehydrated=True))
    assert by_weight is not None and by_packs is not None
    assert by_weight.cells == by_packs.cells
    assert by_weight.cells.low <= 69.0 <= by_weight.cells.value
    assert by_weight.cells.high >= 18 * 11.5
    sprinkled = y.pitched(Amount("dry", weight=0.0115, rehydrated=False))
    assert sprinkled is not None
    assert sprinkled.cells.value == by_weight.cells.value
    assert sprinkled.cells.low < by_weight.cells.low
    unsaid = y.pitched(Amount("dry", packs=2.0))
    assert unsaid is not None
    assert unsaid.cells.value == pytest.approx(10.0 * 22.0)
    assert ("weight of a pack of dry yeast (kg)", 0.011) in unsaid.assumed
    aged = y.pitched(Amount("dry", weight=0.0115, rehydrated=True, days=365.0, stored_at=20.0))
    assert aged is not None
    assert aged.cells.value == pytest.approx(0.8 * by_weight.cells.value, rel=0.001)
    seen = y.pitched(Amount("dry", weight=0.0115, rehydrated=True, viability=sure(0.7)))
    assert seen is not None
    assert seen.cells.value == pytest.approx(14.0 * 11.5)  # 20 billion in all, 70 % of them alive


def test_the_form_is_read_from_the_amount() -> None:
    assert y.form_of(Amount(weight=0.011)) == "dry"
    assert y.form_of(Amount(packs=1.0, pack=0.011)) == "dry"
    assert y.form_of(Amount(volume=0.2)) == "slurry"
    assert y.form_of(Amount(packs=1.0)) == "liquid"
    assert y.form_of(Amount("liquid", weight=0.1)) == "liquid"


def test_no_amount_gives_no_cells() -> None:
    for form in ("", "dry", "liquid", "slurry"):
        assert y.pitched(Amount(form)) is None


@given(
    FORM,
    st.floats(0.5, 10.0),
    st.floats(0.01, 5.0),
    st.one_of(st.none(), DAYS),
    st.one_of(st.none(), st.booleans()),
)
def test_twice_the_yeast_is_twice_the_cells(
    form: str, packs: float, litres: float, days: float | None, rehydrated: bool | None
) -> None:
    rows = [Amount(form, packs=packs, days=days, rehydrated=rehydrated)]
    rows.append(Amount(form, weight=packs, days=days, rehydrated=rehydrated))
    if form != "dry":
        rows.append(Amount(form, volume=litres, days=days))
    for row in rows:
        twice = row._replace(
            packs=2 * packs,
            weight=2 * row.weight if row.weight is not None else None,
            volume=2 * row.volume if row.volume is not None else None,
        )
        one, two = y.pitched(row), y.pitched(twice)
        assert one is not None and two is not None
        assert 0.0 <= one.cells.low <= one.cells.value <= one.cells.high
        assert two.cells.value == pytest.approx(2 * one.cells.value)


def test_an_untold_age_is_assumed_and_widens() -> None:
    told = y.pitched(Amount("liquid", packs=1.0, days=30.0))
    untold = y.pitched(Amount("liquid", packs=1.0))
    assert told is not None and untold is not None
    assert untold.cells.value == told.cells.value
    assert untold.cells.low < told.cells.low
    assert untold.cells.high > told.cells.high
    assert ("age of the liquid yeast (d)", 30.0) in untold.assumed


def test_a_starter_multiplies_what_lives() -> None:
    amount = Amount("liquid", packs=1.0, viability=sure(1.0), starter=Starter(2.0, 1.0385, True, False))
    found = y.pitched(amount)
    assert found is not None
    assert found.taken.value == pytest.approx(100.0)
    assert found.inoculation == pytest.approx(50.0)
    grams = 1000.0 * g.extract_mass(2.0, 1.0385)
    assert found.cells.value == pytest.approx(100.0 + 1.4 * grams)
    settled = y.pitched(amount._replace(starter=Starter(2.0, 1.0385, True, True)))
    assert settled is not None
    assert settled.cells.value == pytest.approx(0.95 * found.cells.value)


# --- heat, nitrogen, oxygen, doses ---


def test_heat_lies_above_what_the_sugar_alone_gives() -> None:
    """Heats of combustion (CRC handbook, from memory): glucose 2803 and ethanol 1367 kJ/mol, maltose 5645."""
    glucose = (2803.0 - 2 * 1367.0) / 180.16
    maltose = (5645.0 - 4 * 1367.0) / 342.30
    assert glucose < feeding.HEAT_PER_EXTRACT.low
    assert feeding.HEAT_PER_EXTRACT.low <= maltose <= feeding.HEAT_PER_EXTRACT.value


@given(st.floats(0.1, 500.0), st.floats(1.0, 1000.0))
def test_power_over_the_time_is_the_heat(kilograms: float, hours: float) -> None:
    heat = feeding.heat_of_fermentation(kilograms).value
    assert feeding.mean_power(heat, hours) * hours * 3600.0 == pytest.approx(heat * 1e6)
    assert feeding.peak_power(heat, hours) > feeding.mean_power(heat, hours)


def test_the_peak_is_that_of_a_logistic_curve() -> None:
    """The steepest slope of 1 / (1 + exp(-k t)), found by differences, where 5 to 95 % take 72 hours."""
    k = 2 * math.log(19.0) / 72.0
    curve = [1.0 / (1.0 + math.exp(-k * t)) for t in (-0.5, 0.5)]
    assert feeding.peak_power(1.0, 72.0) == pytest.approx((curve[1] - curve[0]) * 1e6 / 3600.0, rel=1e-3)
    for power in (feeding.mean_power, feeding.peak_power):
        with pytest.raises(ValueError):
            power(1.0, 0.0)


def test_sugar_thins_the_nitrogen() -> None:
    """All malt with 200 mg/L has 140 left at 30 % sugar."""
    whole, thinned = feeding.amino_nitrogen(1.090, 1.0), feeding.amino_nitrogen(1.090, 0.7)
    assert thinned.value / whole.value == pytest.approx(140 / 200)
    twelve = feeding.amino_nitrogen(g.sg_from_plato(12.0), 1.0)
    assert twelve.low < 150.0 < 200.0 < twelve.high
    assert feeding.amino_nitrogen_wanted(1.040) == 150.0
    assert feeding.amino_nitrogen_wanted(1.0625) == pytest.approx(175.0)
    assert feeding.amino_nitrogen_wanted(1.110) == 200.0


def test_nitrogen_of_diammonium_phosphate_by_its_formula() -> None:
    masses = {"N": 14.007, "H": 1.008, "P": 30.974, "O": 15.999}
    whole = 2 * masses["N"] + 9 * masses["H"] + masses["P"] + 4 * masses["O"]
    assert feeding.phosphate_nitrogen(100.0) == pytest.approx(100.0 * 2 * masses["N"] / whole, abs=0.01)


def test_zinc_of_its_sulphate_by_the_formula() -> None:
    water = 7 * (2 * 1.008 + 15.999)
    share = 65.38 / (65.38 + 32.06 + 4 * 15.999 + water)
    assert feeding.sulphate_zinc(1.0) == pytest.approx(share, abs=1e-4)
    # A gram in 20 L of boiling wort is far too much, which is why it is weighed by dilution.
    assert feeding.sulphate_zinc(50.0, boiled=True) == pytest.approx(50.0 * share / 2, abs=0.01)
    assert feeding.sulphate_zinc(50.0, boiled=True) > 35 * feeding.ZINC_WANTED[1]


def test_oxygen_in_water_meets_the_table() -> None:
    """Benson & Krause 1984, mg/L in fresh water at one atmosphere (from memory)."""
    for celsius, printed in (
        (0, 14.62),
        (5, 12.77),
        (10, 11.29),
        (15, 10.08),
        (20, 9.09),
        (25, 8.26),
        (30, 7.56),
    ):
        assert feeding.oxygen_saturation(celsius) == pytest.approx(printed, abs=0.01)


@given(st.floats(0.0, 35.0), st.floats(1.0, 1.120), st.floats(0.5, 4.0))
def test_warm_and_strong_wort_holds_less(celsius: float, og: float, more: float) -> None:
    held = feeding.oxygen_saturation(celsius, og)
    assert feeding.oxygen_saturation(celsius + more, og) < held
    assert feeding.oxygen_saturation(celsius, og + 0.01 * more) < held
    assert feeding.oxygen_saturation(celsius, og, pure=True) == pytest.approx(held / 0.2095)


def test_oxygen_doses_against_two_readings() -> None:
    """A gallon of cold water (taken as 10 °C): 6.9 mg/L after ten minutes of air, over 20 after a minute of oxygen."""
    air = feeding.oxygen_given("air", 10.0, 3.785, 10.0, 1.0)
    pure = feeding.oxygen_given("pure", 1.0, 3.785, 10.0, 1.0)
    assert air is not None and pure is not None
    assert air.value == pytest.approx(6.9, abs=0.5)
    assert pure.value > 20.0
    # A minute in 20 L of ordinary wort: the trade says 8 to 12 (from memory).
    batch = feeding.oxygen_given("pure", 1.0, 20.0, 18.0, 1.048)
    assert batch is not None
    assert 8.0 <= batch.value <= 12.0


@given(
    st.sampled_from(["none", "shaken", "air", "pure"]),
    st.floats(0.1, 60.0),
    st.floats(2.0, 500.0),
    st.floats(4.0, 30.0),
    OG,
)
def test_no_dose_gives_more_than_the_wort_holds(
    dose: str, minutes: float, litres: float, celsius: float, og: float
) -> None:
    found = feeding.oxygen_given(dose, minutes, litres, celsius, og)
    assert found is not None
    held = feeding.oxygen_saturation(celsius, og, pure=dose == "pure")
    assert 0.0 <= found.low <= found.value <= found.high <= held * (1 + 1e-12)


def test_oxygen_that_cannot_be_told() -> None:
    assert feeding.oxygen_given("pure", None, 20.0, 18.0, 1.050) is None
    assert feeding.oxygen_given("pure", 1.0, 0.0, 18.0, 1.050) is None
    assert feeding.oxygen_given("gills", 1.0, 20.0, 18.0, 1.050) is None
    untimed = feeding.oxygen_given("air", None, 20.0, 18.0, 1.048)
    assert untimed is not None
    assert untimed.value < 8.0  # the most that air gives, as told


def test_oxygen_wanted_by_kind() -> None:
    assert feeding.oxygen_wanted("ale", 1.050)[1:] == (8.0, 12.0)
    assert feeding.oxygen_wanted("lager", 1.050)[1:] == (10.0, 15.0)
    assert feeding.oxygen_wanted("ale", 1.100).value >= 12.0


def test_doses_of_staged_sugar() -> None:
    # 1 kg of sucrose in 20 L of water: 46.21 points x gal / lb is 385.6 L°/kg, less the litre it takes up.
    added = feeding.points_added(0.0, 20.0 * g.WATER_DENSITY, 1.0, 0.0)
    assert added == pytest.approx(385.6 / 20.62, rel=0.01)
    assert (
        feeding.doses(0.0),
        feeding.doses(12.0),
        feeding.doses(20.0),
        feeding.doses(20.1),
        feeding.doses(45.0),
    ) == (0, 1, 1, 2, 3)


def test_alcohol_beyond_the_tolerance() -> None:
    assert feeding.beyond_tolerance(0.11, 0.09) == pytest.approx(0.02)
    assert feeding.beyond_tolerance(0.08, 0.09) == 0.0
