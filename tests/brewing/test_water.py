"""Water, acids and the pH of the mash: what is conserved, what must rise or fall, what is straight, what lacks."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.brewing import acids, mash_ph, water
from recipelint.brewing.acids import Acid
from recipelint.brewing.mash_ph import Malt, malt_of
from recipelint.brewing.water import Liquor, Salt, Source, liquor_of, treat
from recipelint.recipe.catalogue import Catalogue

CATALOGUE = Catalogue.shipped()


def ions_of(name: str) -> dict[str, float]:
    row = CATALOGUE.addition(name)
    assert row is not None and row.ions is not None
    return dict(row.ions)


SALTS = {
    name: ions_of(name)
    for name in CATALOGUE.ids("additions")
    if (row := CATALOGUE.addition(name)) is not None and row.ions
}
GYPSUM, SODA, CHALK, LIME = (SALTS[name] for name in ("gypsum", "baking-soda", "chalk", "pickling-lime"))
PALE = Malt("/grist/0", "pale malt", 5.0, 5.75, 35.0)
MODERATE = liquor_of(60.0, 8.0, 15.0, 30.0, 60.0, 120.0)

mg = st.floats(0.0, 400.0)
litres = st.floats(0.5, 60.0)
liquors = st.builds(lambda *ions: liquor_of(*ions), mg, mg, mg, mg, mg, mg)
doses = st.lists(
    st.builds(
        lambda name, where, grams: Salt(f"/{name}", where, grams, SALTS[name]),
        st.sampled_from(sorted(SALTS)),
        st.sampled_from(["mash", "sparge", "liquor", "boil"]),
        st.floats(0.0, 30.0),
    ),
    max_size=4,
)
sour = st.lists(
    st.builds(
        lambda kind, where, amount: Acid(f"/{kind}", where, kind, amount),
        st.sampled_from(sorted(acids.ACIDS)),
        st.sampled_from(["mash", "sparge", "liquor", "boil"]),
        st.floats(0.0, 150.0),
    ),
    max_size=3,
)


def ph(
    malts: list[Malt], liquor: Liquor = MODERATE, volume: float = 15.0, sours: tuple[Acid, ...] = ()
) -> float:
    found = mash_ph.mash_ph(malts, [("/water", liquor)], volume, sours)
    assert found.ph is not None, found.why
    return found.ph


def lactic(millimoles: float) -> Acid:
    return Acid("/additions/0", "mash", "lactic-acid", millimoles)


def excess(liquor: Liquor) -> float:
    positive, negative = water.charges(liquor)
    return positive - negative


# --- ions ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(SALTS))
def test_a_salt_is_neutral(name: str) -> None:
    """Shares of the catalogue are written to 0.01 %, so that a gram may be out by 0.01 mEq."""
    positive, negative = water.charges(water.per_gram(SALTS[name]))
    assert abs(positive - negative) < 0.012
    assert positive > 5.0 or name == "zinc-sulphate"  # zinc is held with the rarer ions, below zero


def test_shipped_waters_balance_where_they_say_so() -> None:
    judged = 0
    for name in CATALOGUE.ids("waters"):
        row = CATALOGUE.water(name)
        assert row is not None
        found, why = water.imbalance(
            liquor_of(
                row.calcium,
                row.magnesium,
                row.sodium,
                row.chloride,
                row.sulphate,
                row.bicarbonate,
                row.alkalinity,
            )
        )
        if row.plausible is None:
            assert found is None and why.startswith("the water does not give its")
        else:
            assert found is not None and (abs(found) < 0.15) == row.plausible, name
            judged += 1
    assert judged >= 20


@given(liquors, st.floats(1.0, 60.0), (st.just(0.0) | st.floats(0.01, 40.0)), doses, sour)
def test_charge_and_mass_are_conserved(
    source: Liquor, strike: float, sparge: float, salts: list[Salt], sours: list[Acid]
) -> None:
    got = treat([Source("/water", source)], strike, sparge, salts, sours)
    both = strike + sparge
    grams = sum(salt.grams for salt in salts)
    # Salts are neutral to the rounding of their shares, and so are acids with what they bring along.
    assert excess(got.mash) == pytest.approx(excess(source), abs=1e-6 + 0.012 * grams / strike)
    assert excess(got.whole) == pytest.approx(excess(source), abs=1e-6 + 0.012 * grams / both)
    # Sodium and chloride have no salt that stays undissolved: what went in is there.
    sodium = source.sodium * both + 1000.0 * sum(
        salt.grams * salt.ions.get("sodium", 0.0)
        for salt in salts
        if not (salt.where == "sparge" and not sparge)
    )
    assert got.whole.sodium * both == pytest.approx(sodium, rel=1e-9, abs=1e-6)


@given(liquors, st.floats(1.0, 60.0), st.floats(0.5, 40.0), doses, sour)
def test_whole_is_mash_and_sparge_and_kettle(
    source: Liquor, strike: float, sparge: float, salts: list[Salt], sours: list[Acid]
) -> None:
    salts = [salt for salt in salts if salt.where != "boil"]
    sours = [acid for acid in sours if acid.where != "boil"]
    got = treat([Source("/water", source)], strike, sparge, salts, sours)
    assert got.sparge is not None
    mixed = water.blend([(got.mash, strike), (got.sparge, sparge)])
    assert tuple(got.whole) == pytest.approx(tuple(mixed), abs=1e-9)


def test_stages_go_where_they_belong() -> None:
    dose = Salt("/additions/0", "mash", 6.0, GYPSUM)
    empty = [Source("/water", Liquor())]
    mash = treat(empty, 20.0, 10.0, [dose], [])
    assert mash.mash.sulphate == pytest.approx(6.0 / 20.0 * 557.9)
    assert mash.sparge == Liquor()
    assert mash.whole.sulphate == pytest.approx(6.0 / 30.0 * 557.9)
    sparge = treat(empty, 20.0, 10.0, [dose._replace(where="sparge")], [])
    assert sparge.mash == Liquor() and sparge.sparge is not None
    assert sparge.sparge.sulphate == pytest.approx(6.0 / 10.0 * 557.9)
    spread = treat(empty, 20.0, 10.0, [dose._replace(where="liquor")], [])
    assert spread.mash == spread.sparge
    assert spread.whole == pytest.approx(mash.whole)
    boil = treat(empty, 20.0, 10.0, [dose._replace(where="boil")], [])
    assert boil.mash == boil.sparge == Liquor()
    assert boil.whole == pytest.approx(mash.whole)


def test_a_dose_for_a_sparge_there_is_none_of_is_told() -> None:
    got = treat(
        [Source("/water", MODERATE)],
        20.0,
        0.0,
        [Salt("/additions/0", "sparge", 5.0, GYPSUM), Salt("/additions/1", "liquor", 5.0, GYPSUM)],
        [Acid("/additions/2", "sparge", "lactic-acid", 5.0)],
    )
    assert got.sparge is None
    assert got.astray == ("/additions/0", "/additions/2")
    assert got.mash.calcium == pytest.approx(60.0 + 5.0 / 20.0 * 232.8)


@given(st.sampled_from(["calcium-chloride", "epsom-salt", "table-salt", "baking-soda"]), st.floats(0.0, 20.0))
def test_ions_are_straight_in_the_dose(name: str, grams: float) -> None:
    def with_grams(amount: float) -> Liquor:
        return water.with_salts(MODERATE, [Salt("", "mash", amount, SALTS[name])], 15.0)

    once, twice = with_grams(grams), with_grams(2.0 * grams)
    for before, one, two in zip(MODERATE, once, twice, strict=True):
        assert two - before == pytest.approx(2.0 * (one - before), abs=1e-9)


@given(liquors, liquors, st.floats(0.01, 0.99))
def test_a_blend_lies_between_its_waters(first: Liquor, second: Liquor, share: float) -> None:
    mixed = water.blend([(first, share), (second, 1.0 - share)])
    for one, other, ion in zip(first, second, mixed, strict=True):
        assert min(one, other) - 1e-9 <= ion <= max(one, other) + 1e-9
        assert ion == pytest.approx(share * one + (1.0 - share) * other, abs=1e-9)


def test_shares_of_a_blend() -> None:
    assert water.shares_of([None]) == [1.0]
    assert water.shares_of([0.3, None]) == pytest.approx([0.3, 0.7])
    assert water.shares_of([None, None]) == [0.5, 0.5]
    assert water.shares_of([0.6, 0.6]) == pytest.approx([0.5, 0.5])
    assert water.shares_of([1.2, None]) == pytest.approx([1.0, 0.0])
    assert water.shares_of([0.0, 0.0]) == [0.5, 0.5]


def test_dilution_with_empty_water_halves() -> None:
    empty = CATALOGUE.water("reverse-osmosis")
    assert empty is not None
    osmosis = liquor_of(
        empty.calcium, empty.magnesium, empty.sodium, empty.chloride, empty.sulphate, empty.bicarbonate
    )
    assert osmosis == Liquor()
    assert water.residual_alkalinity(water.blend([(MODERATE, 1.0), (osmosis, 1.0)])) == pytest.approx(
        0.5 * water.residual_alkalinity(MODERATE)
    )


def test_what_is_wrong_is_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        water.blend([(MODERATE, -1.0), (MODERATE, 2.0)])
    with pytest.raises(ValueError, match="above zero"):
        water.with_salts(MODERATE, [], 0.0)
    with pytest.raises(ValueError, match="no mash liquor"):
        treat([Source("/water", MODERATE)], 0.0, 10.0, [], [])


# --- salts that do not dissolve ---------------------------------------------------------------------------


@given(st.sampled_from([GYPSUM, CHALK]), st.floats(0.001, 20.0), st.floats(1.0, 5.0), st.booleans())
def test_more_salt_never_brings_less(
    ions: dict[str, float], concentration: float, times: float, in_mash: bool
) -> None:
    less = concentration * water.dissolved(ions, concentration, in_mash)
    more = times * concentration * water.dissolved(ions, times * concentration, in_mash)
    assert less <= more + 1e-12
    assert more <= times * concentration


def test_chalk() -> None:
    """Hardly any in liquor, half in a mash, and nothing more beyond 0.45 g/L."""
    liquor = water.with_salts(Liquor(), [Salt("", "sparge", 10.0, CHALK)], 20.0)
    assert liquor.calcium == pytest.approx(0.059 * 400.4, rel=1e-3)
    mash = treat([Source("", Liquor())], 20.0, 10.0, [Salt("", "mash", 4.0, CHALK)], []).mash
    assert mash.alkalinity == pytest.approx(0.5 * 0.2 * 19.98, rel=1e-3)
    much, more = (
        treat([Source("", Liquor())], 20.0, 10.0, [Salt("", "mash", grams, CHALK)], []).mash.alkalinity
        for grams in (9.0, 18.0)
    )
    assert much == pytest.approx(more)


def test_chalk_works_half_as_well_as_its_weight_says_and_lime_in_full() -> None:
    soda = ph([PALE], water.with_salts(Liquor(), [Salt("", "mash", 2.0, SODA)], 15.0))
    chalk = ph([PALE], water.with_salts(Liquor(), [Salt("", "mash", 2.0, CHALK)], 15.0, acid=True))
    lime = ph([PALE], water.with_salts(Liquor(), [Salt("", "mash", 2.0, LIME)], 15.0))
    assert 5.75 < chalk < soda < lime


# --- numbers for a reader ---------------------------------------------------------------------------------


def test_what_the_analysis_leaves_out_is_lost_and_nothing_else() -> None:
    liquor = liquor_of(calcium=35.0)
    assert water.found(liquor, "calcium") == (35.0, "")
    assert water.found(liquor, "sulphate") == (None, "the water does not give its sulphate")
    assert water.found(liquor, "bicarbonate") == (None, "the water does not give its alkalinity")
    assert water.found(liquor, "residual_alkalinity") == (
        None,
        "the water does not give its magnesium and alkalinity",
    )
    assert water.imbalance(liquor)[0] is None
    treated = water.with_salts(liquor, [Salt("", "mash", 3.0, GYPSUM)], 20.0)
    assert water.found(treated, "calcium")[0] == pytest.approx(35.0 + 0.15 * 232.8)
    assert water.found(treated, "sulphate")[0] is None
    assert water.known(treated.sulphate) is None
    # A water that the blend takes nothing of does not matter.
    assert treat([Source("", MODERATE), Source("", liquor, 0.0)], 10.0, 0.0, [], []).mash == MODERATE


def test_ratio_of_sulphate_to_chloride() -> None:
    assert water.found(liquor_of(chloride=50.0, sulphate=150.0), "sulphate_chloride_ratio") == (3.0, "")
    for chloride, sulphate, word in ((24.0, 24.0, "below 25"), (0.0, 100.0, "no chloride")):
        found, why = water.found(liquor_of(chloride=chloride, sulphate=sulphate), "sulphate_chloride_ratio")
        assert found is None and word in why


def test_alkalinity_wins_over_bicarbonate() -> None:
    assert liquor_of(bicarbonate=61.016).alkalinity == pytest.approx(1.0)
    assert liquor_of(bicarbonate=999.0, alkalinity=50.04).alkalinity == pytest.approx(1.0)


def test_acid_uses_up_bicarbonate_and_then_leaves_none() -> None:
    def left(millimoles: float) -> Liquor:
        return treat([Source("", MODERATE)], 10.0, 0.0, [], [lactic(millimoles)]).mash

    some, none = left(10.0), left(40.0)
    assert some.alkalinity == pytest.approx(MODERATE.alkalinity - 0.972, abs=1e-3)
    assert water.found(none, "bicarbonate")[0] == 0.0
    value, _why = water.found(none, "residual_alkalinity")
    assert value is not None and value < -100.0


# --- acids ------------------------------------------------------------------------------------------------


def test_acid_doses() -> None:
    by_volume, _ = acids.acid_dose("lactic-acid", millilitres=3.0, strength=0.88)
    by_weight, _ = acids.acid_dose("lactic-acid", grams=3.0 * 1.206, strength=0.88)
    assert by_volume == pytest.approx(by_weight)
    assert by_volume == pytest.approx(acids.acid_dose("lactic-acid", millilitres=3.0)[0])
    assert acids.acid_dose("citric-acid", grams=1.9212)[0] == pytest.approx(10.0)
    assert acids.acid_dose("hydrochloric-sulphuric-blend", millilitres=2.0)[0] == pytest.approx(7.32)
    for name, amount, word in (
        ("phosphoric-acid", {"millilitres": 1.0}, "many strengths"),
        ("citric-acid", {"millilitres": 1.0}, "many strengths"),
        ("lactic-acid", {}, "weight or a volume"),
        ("hydrochloric-sulphuric-blend", {"grams": 1.0}, "needs a volume"),
        ("vinegar", {"millilitres": 1.0}, "how strong"),
    ):
        found, why = acids.acid_dose(name, **amount)
        assert found is None and word in why


@given(st.sampled_from(sorted(acids.ACIDS)), st.floats(2.0, 9.0))
def test_an_acid_gives_off_more_the_higher_the_ph(name: str, at: float) -> None:
    pkas = acids.ACIDS[name].pkas
    given_off, slope = acids.charge(pkas, at)
    assert 0.0 <= given_off <= len(pkas)
    step = 1e-5
    numeric = (acids.charge(pkas, at + step)[0] - acids.charge(pkas, at - step)[0]) / (2.0 * step)
    assert slope == pytest.approx(numeric, rel=1e-4, abs=1e-7)
    assert slope >= 0.0


# --- pH of the mash ---------------------------------------------------------------------------------------


@given(
    st.lists(
        st.builds(
            lambda at, weight, rest, buffer, acid: Malt(at, "", weight, rest, buffer, acid),
            st.sampled_from(["/grist/0", "/grist/1"]),
            st.floats(0.05, 20.0),
            st.floats(4.0, 6.3),
            st.floats(20.0, 60.0),
            st.sampled_from([0.0, 0.0, 333.0]),
        ),
        min_size=1,
        max_size=5,
    ),
    liquors,
    st.floats(1.0, 60.0),
    doses,
    sour,
)
def test_acid_taken_up_is_acid_given_off(
    malts: list[Malt], source: Liquor, strike: float, salts: list[Salt], sours: list[Acid]
) -> None:
    got = treat([Source("/water", source)], strike, 5.0, salts, sours)
    found = mash_ph.mash_ph(malts, got.parts, strike, got.acids)
    assert found.ph is not None
    turnover = math.fsum(abs(term.meq) for term in found.terms)
    assert math.fsum(term.meq for term in found.terms) == pytest.approx(0.0, abs=1e-6 * max(turnover, 1.0))
    assert found.buffer >= math.fsum(malt.weight * malt.buffer for malt in malts)


@given(liquors, st.floats(2.0, 60.0), st.floats(0.0, 200.0), st.floats(1.0, 100.0))
def test_acid_lowers(source: Liquor, volume: float, before: float, more: float) -> None:
    assert ph([PALE], source, volume, (lactic(before + more),)) < ph(
        [PALE], source, volume, (lactic(before),)
    )


@given(liquors, st.floats(1.0, 60.0), st.floats(1.0, 200.0))
def test_alkalinity_raises_and_calcium_lowers(source: Liquor, volume: float, more: float) -> None:
    base = ph([PALE], source, volume)
    meq = more / water.BICARBONATE
    softer = source._replace(alkalinity=source.alkalinity + meq, carbon=source.carbon + meq)
    assert ph([PALE], softer, volume) > base
    assert ph([PALE], source._replace(calcium=source.calcium + more), volume) < base
    assert ph([PALE], source._replace(magnesium=source.magnesium + more), volume) < base
    assert ph([PALE], source._replace(sodium=source.sodium + more), volume) == base


@given(liquors, st.floats(0.0, 2.0), st.floats(0.05, 2.0), st.sampled_from(["roasted-malt", "caramel-malt"]))
def test_dark_malt_lowers(source: Liquor, dark: float, more: float, kind: str) -> None:
    def mash(weight: float) -> float:
        malt = malt_of("/grist/1", "", weight, kind, 120.0)
        return ph([PALE, malt] if malt else [PALE], source)

    # Against a mash that is less acid than the malt itself.
    if mash(dark) > 4.7:
        assert mash(dark + more) < mash(dark)


@given(liquors, st.floats(0.2, 5.0))
def test_the_size_of_the_mash_does_not_matter(source: Liquor, times: float) -> None:
    larger = PALE._replace(weight=PALE.weight * times)
    assert ph([larger], source, 15.0 * times, (lactic(20.0 * times),)) == pytest.approx(
        ph([PALE], source, 15.0, (lactic(20.0),)), abs=1e-8
    )


def test_the_buffer_is_the_slope() -> None:
    found = mash_ph.mash_ph([PALE], [("", MODERATE)], 15.0)
    assert found.ph is not None
    strong = 0.5  # mEq of a blend that is dissociated at any pH of a mash
    moved = ph([PALE], MODERATE, 15.0, (Acid("", "mash", "hydrochloric-sulphuric-blend", strong),))
    assert (found.ph - moved) * found.buffer == pytest.approx(strong, rel=1e-3)


def test_a_percent_of_acidulated_malt_lowers_by_a_tenth() -> None:
    """Common practice. Within the usual range of 1 to 3 %."""
    for percent in (1.0, 2.0, 3.0):
        sour_malt = malt_of("/grist/1", "", percent, "acid-malt", 2.2)
        pale = malt_of("/grist/0", "", 100.0 - percent, "base-malt", 2.2)
        assert sour_malt and pale
        assert ph([PALE], Liquor()) - ph([pale, sour_malt], Liquor(), 300.0) == pytest.approx(
            0.1 * percent, abs=0.02 * percent
        )


def test_whole_grists_of_one_class_lie_where_print_has_them() -> None:
    """Palmer's ranges for a mash of one malt in distilled water, held by the catalogue; within them or at an edge."""
    seen = 0
    for name in CATALOGUE.ids("fermentables"):
        for key in ("malt", "grain"):
            row = CATALOGUE.fermentable(key, name)
            if row is None or row.mash_ph is None or row.kind == "acid-malt":
                continue
            line = malt_of("", name, 1.0, row.kind or "", row.lovibond or 0.0, row.mash_ph)
            low, high = row.mash_ph
            assert line is not None and low is not None and high is not None
            assert low <= line.ph <= high
            assert ph([line], Liquor(), 3.0) == pytest.approx(line.ph, abs=0.01)
            seen += 1
    assert seen >= 15


def test_a_figure_of_the_brewers_own_counts_in_full() -> None:
    printed = malt_of("", "x", 1.0, "base-malt", 2.0, (5.5, 5.6))
    own = malt_of("", "x", 1.0, "base-malt", 2.0, (5.5, 5.6), own=True)
    open_side = malt_of("", "x", 1.0, "base-malt", 2.0, (None, 5.6))
    assert printed and own and open_side
    assert (printed.ph, own.ph, open_side.ph) == (5.6, 5.55, 5.6)


@given(
    st.sampled_from(sorted(mash_ph.CLASSES)),
    st.floats(0.0, 700.0),
    st.floats(0.0, 50.0),
)
def test_a_darker_malt_of_a_class_is_never_less_acid(kind: str, lovibond: float, more: float) -> None:
    paler, darker = malt_of("", "", 1.0, kind, lovibond), malt_of("", "", 1.0, kind, lovibond + more)
    assert paler and darker
    assert 4.0 <= darker.ph <= paler.ph + 1e-12 and paler.ph <= 6.1


def test_every_mashable_kind_of_the_catalogue_has_a_class() -> None:
    for name in CATALOGUE.ids("fermentables"):
        for key in ("malt", "grain"):
            row = CATALOGUE.fermentable(key, name)
            if row is not None and row.key == key:
                line = malt_of("", name, 1.0, row.kind or "", row.lovibond or 0.0, row.mash_ph, key=key)
                assert line is None or line.known, name
                assert line is not None or row.kind == "lauter-aid", name


def test_what_cannot_be_known_says_why() -> None:
    strange = malt_of("/grist/1", "moon malt", 1.0, "", 5.0)
    assert strange is not None
    assert (
        mash_ph.mash_ph([PALE, strange], [("", MODERATE)], 15.0).why == "nothing says how acid moon malt is"
    )
    little = mash_ph.mash_ph([PALE, strange._replace(weight=0.1)], [("", MODERATE)], 15.0)
    assert little.ph is not None and little.assumed == ("moon malt is as acid as pale malt",)
    assert mash_ph.mash_ph([], [("", MODERATE)], 15.0).why == "there is no grain in the mash"
    assert mash_ph.mash_ph([PALE], [("", MODERATE)], 0.0).why == "there is no mash liquor"
    found = mash_ph.mash_ph([PALE], [("", liquor_of(calcium=50.0))], 15.0)
    assert (found.ph, found.why) == (None, "the water does not give its alkalinity")
    assert malt_of("", "hulls", 1.0, "lauter-aid", 0.0) is None
    assert malt_of("", "dextrose", 1.0, "sugar", 0.0, key="sugar") is None


def test_magnesium_left_out_counts_as_none() -> None:
    epsom = Salt("/additions/0", "mash", 3.0, SALTS["epsom-salt"])
    without = liquor_of(calcium=50.0, alkalinity=80.0)
    got = treat([Source("/water", without)], 15.0, 0.0, [epsom], [])
    found = mash_ph.mash_ph([PALE], got.parts, 15.0)
    sure = treat([Source("/water", without._replace(magnesium=0.0))], 15.0, 0.0, [epsom], [])
    assert found.ph == mash_ph.mash_ph([PALE], sure.parts, 15.0).ph
    assert found.assumed == ("the water has no magnesium",)


@given(st.floats(4.6, 7.4), st.floats(20.0, 60.0), st.floats(0.1, 60.0))
def test_empty_water_leaves_the_malt_where_it_is(rest: float, buffer: float, volume: float) -> None:
    """But for the free acid of the water itself: 0.025 mEq/L at pH 4.6, against 100 mEq and more of the malt."""
    assert ph([Malt("", "", 5.0, rest, buffer)], Liquor(), volume) == pytest.approx(rest, abs=0.016)


@pytest.mark.parametrize("volume", [0.1, 2000.0])
def test_extremes_give_a_number(volume: float) -> None:
    found = ph([PALE], liquor_of(500.0, 200.0, 300.0, 300.0, 900.0, 900.0), volume, (lactic(5000.0),))
    assert 0.0 < found < 14.0
    assert 0.0 < ph([PALE], Liquor(alkalinity=50.0), volume) < 14.0
