"""Quantities: what is read, what is refused, and that the schemas' patterns accept exactly what the parser reads."""

from __future__ import annotations

import re

import jsonschema_rs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.brewing.gravity import sg_from_plato
from recipelint.recipe import forms, quantity
from recipelint.recipe.quantity import Quantity, QuantityError, measure, parse, reading
from recipelint.recipe.stat_names import MEASURED_ONLY, STATS, resolution, written
from recipelint.recipe.units import KINDS, kind_of_stat, lovibond_to_ebc, plato_to_sg


@pytest.mark.parametrize(
    ("text", "kind", "value", "low", "high", "unit"),
    [
        ("4.5 kg", "mass", 4.5, None, None, "kg"),
        ("350g", "mass", 0.35, None, None, "g"),
        ("10 lb", "mass", 4.5359237, None, None, "lb"),  # the pound is 0.45359237 kg by definition
        ("1 oz", "mass", 0.028349523125, None, None, "oz"),
        ("5 gal", "volume", 18.92705892, None, None, "gal"),  # 231 cubic inches by definition
        ("5 imp gal", "volume", 22.73045, None, None, "imp gal"),  # 4.54609 L by definition
        ("1 bbl", "volume", 117.347765, None, None, "bbl"),  # 31 gallons of beer
        ("16 cups", "volume", 3.785411784, None, None, "cup"),
        ("31 L hot", "volume", 29.76, None, None, "L hot"),
        ("31 .. 33 L hot", "volume", 30.72, 29.76, 31.68, "L hot"),
        ("78 % ± 3 %", "share", 0.78, 0.75, 0.81, "%"),
        ("78 ± 3 %", "share", 0.78, 0.75, 0.81, "%"),
        ("78 +/- 3 %", "share", 0.78, 0.75, 0.81, "%"),
        ("72..80%", "share", 0.76, 0.72, 0.80, "%"),
        ("9.5 % .. 10.5 %", "abv", 0.10, 0.095, 0.105, "% vol"),
        ("1.088 ± 0.003", "gravity", 1.088, 1.085, 1.091, "SG"),
        ("212 °F", "temperature", 100.0, None, None, "°F"),
        ("68 ± 1.8 °F", "temperature", 20.0, 19.0, 21.0, "°F"),
        ("68 °F ± 1 K", "temperature", 20.0, 19.0, 21.0, "°F"),
        ("-18 °C", "temperature", -18.0, None, None, "°C"),
        ("20 C", "temperature", 20.0, None, None, "°C"),
        ("90 s", "time", 1.5, None, None, "s"),
        ("1.5 h", "time", 90.0, None, None, "h"),
        ("3 d", "long-time", 72.0, None, None, "d"),
        ("2 months", "long-time", 2 * 30.4 * 24, None, None, "month"),
        ("76 % as-is", "yield", 0.76, None, None, "as-is"),
        ("80.5 % dry", "yield", 0.805, None, None, "dry"),
        ("76 %", "yield", 0.76, None, None, ""),
        ("386 L°/kg", "yield", 1.0, None, None, "as-is"),
        ("46.21 ppg", "yield", 1.0, None, None, "as-is"),
        ("334 WK", "diastatic-power", 100.0, None, None, "WK"),  # (WK + 16) / 3.5
        ("60 °Lov", "colour", (60 - 0.56) / 0.375, None, None, "°L"),
        ("10 SRM", "beer-colour-ebc", 19.7, None, None, "SRM"),
        ("3 g/L", "amount", 3.0, None, None, "g/L"),
        ("2 mL/L", "liquid-amount", 2.0, None, None, "mL/L"),
        ("4.9 g/L", "carbonation", 2.5, None, None, "g/L"),
        ("14.5 psi", "pressure", 0.99974, None, None, "psi"),
        ("110 kPa", "pressure", 1.1, None, None, "kPa"),
        ("10 °dH", "alkalinity", 178.48, None, None, "°dH"),
        ("61.02 mg/L HCO3", "alkalinity", 50.04, None, None, "mg/L HCO3"),
        ("400 ft", "altitude", 121.92, None, None, "ft"),
        ("0.35 trillion", "cells", 350.0, None, None, "trillion"),
        ("0.75 million/mL/°P", "pitch-rate", 0.75, None, None, "million/mL/°P"),
        ("4.5\u00a0kg", "mass", 4.5, None, None, "kg"),
        ("4.5\u2009kg", "mass", 4.5, None, None, "kg"),
        ("4.5\u200a±\u30000.1\u205fkg", "mass", 4.5, 4.4, 4.6, "kg"),
    ],
)
def test_what_is_read(
    text: str, kind: str, value: float, low: float | None, high: float | None, unit: str
) -> None:
    found = parse(text, kind)
    assert found.value == pytest.approx(value, rel=1e-5)
    assert (found.low is None) == (low is None)
    if low is not None and high is not None:
        assert found.low == pytest.approx(low, rel=1e-9)
        assert found.high == pytest.approx(high, rel=1e-9)
    assert found.unit == unit
    assert found.text == text


def test_an_amount_says_whether_it_is_per_litre() -> None:
    assert parse("30 g", "amount").kind == "mass"
    assert parse("3 g/L", "amount").kind == "concentration"
    assert parse("5 mL", "liquid-amount").kind == "volume"
    assert parse("1 mL/L", "liquid-amount").kind == "liquid-concentration"


def test_a_gravity_needs_no_unit() -> None:
    assert parse(1.048, "gravity") == Quantity(1.048, None, None, "gravity", "SG", None, "recipe", "1.048")
    assert parse("12 °P", "gravity").value == pytest.approx(1.04837, abs=1e-5)


@pytest.mark.parametrize("plato", [-2.0, 0.0, 0.5, 1.0, 2.5, 5.0, 12.0, 20.0, 28.0, 35.0])
def test_plato_is_read_by_the_curve_of_the_brew_day(plato: float) -> None:
    assert plato_to_sg(plato) == pytest.approx(sg_from_plato(plato), abs=1e-9)


def test_malt_colour_is_not_beer_colour() -> None:
    """Malt follows L = 0.375 EBC + 0.56 of the handbooks; dividing by 1.97 as for beer errs by a third."""
    assert lovibond_to_ebc(0.375 * 150 + 0.56) == pytest.approx(150)
    assert lovibond_to_ebc(0.3) == 0.0


def test_readings_keep_instrument_and_temperature() -> None:
    gravity, instrument, temperature = reading("9.1 Bx refractometer")
    assert (gravity.unit, instrument, temperature) == ("°Bx", "refractometer", None)
    gravity, instrument, temperature = reading("1.083 at 26 °C")
    assert gravity.value == 1.083
    assert instrument is None
    assert temperature is not None
    assert temperature.value == 26.0


@pytest.mark.parametrize(
    ("value", "kind", "rule", "message"),
    [
        (350, "mass", "quantity-invalid", "`350` needs a unit: did you mean `350 g`?"),
        (5, "mass", "quantity-invalid", "`5` needs a unit: did you mean `5 kg`?"),
        (0.05, "share", "quantity-invalid", "`0.05` needs a unit: did you mean `5 %`?"),
        (10.2, "share", "quantity-invalid", "`10.2` needs a unit: did you mean `10.2 %`?"),
        ("65", "temperature", "quantity-invalid", "`65` needs a unit: did you mean `65 °C`?"),
        (303, "yield", "quantity-invalid", "`303` needs a unit: did you mean `303 L°/kg`?"),
        ("4,5 kg", "mass", "quantity-invalid", "`4,5 kg` is not a form I can read: did you mean `4.5 kg`?"),
        ("72-80 %", "share", "quantity-invalid", "`72-80 %` is not a form I can read: did you mean `72 .. 80 %`?"),
        ("10 lb 8 oz", "mass", "quantity-invalid", "`10 lb 8 oz` is not a form I can read: did you mean `10.5 lb`?"),
        ("1 h 30 min", "time", "quantity-invalid", "`1 h 30 min` is not a form I can read: did you mean `90 min`?"),
        ("4 KG", "mass", "quantity-invalid", "`4 KG` is not a form I can read: did you mean `4 kg`?"),
        ("26 L", "mass", "quantity-invalid", "`26 L` is a volume; a weight is wanted, such as `4.5 kg`"),
        ("-3 kg", "mass", "quantity-invalid", "`-3 kg` is below nothing; a weight is wanted, such as `4.5 kg`"),
        ("4 kgs", "mass", "quantity-invalid", "`4 kgs`: I know no unit `kgs` for a weight; `kg` is near"),
        ("80 .. 72 %", "share", "quantity-invalid", "`80 .. 72 %` runs from high to low; write the smaller one first"),
        ("lots", "mass", "quantity-invalid", "`lots` is no weight; write it like `4.5 kg`"),
        (True, "mass", "quantity-invalid", "`true` is not a weight; write it like `4.5 kg`"),
        (1048, "gravity", "quantity-implausible", "`1048` is a gravity in points of a thousand: did you mean `1.048`?"),
        (12.5, "gravity", "quantity-implausible", "`12.5` cannot be a specific gravity: did you mean `12.5 °P`?"),
        ("120 %", "share", "quantity-implausible", "`120 %` cannot be: no part is more than the whole, 100 %"),
        ("300 °C", "temperature", "quantity-implausible", "`300 °C` cannot be: brewing lies between -40 and 250 °C"),
    ],
)  # fmt: skip
def test_what_is_said_of_the_rest(value: str | int | float, kind: str, rule: str, message: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(value, kind)
    assert (caught.value.rule, caught.value.message) == (rule, message)


@given(st.one_of(st.floats(), st.integers(), st.booleans(), st.text()), st.sampled_from(sorted(KINDS)))
def test_nothing_else_than_a_quantity_error_is_raised(value: str | int | float, kind: str) -> None:
    try:
        found = parse(value, kind)
    except QuantityError as fault:
        assert 0 < len(fault.message) <= 160
        assert "\n" not in fault.message
        assert not set("{}") & set(fault.message)
    else:
        spec = KINDS[kind]
        assert spec.low <= found.value <= spec.high


NUMBERS = st.one_of(
    st.integers(0, 2000).map(str),
    st.floats(0, 2000, allow_nan=False).map(lambda value: f"{value:.3f}"),
    st.sampled_from([".5", "1.", "1,5", "-3", "0012", "1e3", "", "1.2.3", "٣"]),
)
SPACES = st.sampled_from(["", " ", "  ", "\u00a0", "\u2009", "\t", "\n"])
WORDS = st.sampled_from(
    sorted({unit for kind in KINDS.values() for unit in kind.units} | {"", "stone", "kG", "hot"})
)
SIGNS = st.sampled_from(["±", "+/-", "..", "-", "...", "to", ""])


@st.composite
def written_quantities(draw: st.DrawFn) -> str:
    """Texts near to quantities: put together from their parts, then perhaps damaged in one place."""
    parts = [draw(NUMBERS), draw(SPACES), draw(WORDS)]
    if draw(st.booleans()):
        parts += [draw(SPACES), draw(SIGNS), draw(SPACES), draw(NUMBERS), draw(SPACES), draw(WORDS)]
    text = "".join(parts) + draw(st.sampled_from(["", "", "", "\n", " ", "x"]))
    if draw(st.integers(0, 4)) == 0 and text:
        place = draw(st.integers(0, len(text) - 1))
        text = text[:place] + draw(st.sampled_from(["", " ", "%", ".", "9"])) + text[place + 1 :]
    return text


def reads(text: str, kind: str) -> bool:
    """Whether the text has the form of a quantity; what it says may still be impossible."""
    try:
        measure(text, kind)
    except QuantityError as fault:
        return (
            fault.rule == "quantity-implausible"
            or "high to low" in fault.message
            or "half-width" in fault.message
        )
    return True


VALIDATORS = {
    kind: jsonschema_rs.Draft202012Validator({"type": "string", "pattern": quantity.pattern(kind)})
    for kind in KINDS
}


@given(written_quantities(), st.sampled_from(sorted(KINDS)))
def test_pattern_and_parser_accept_the_same(text: str, kind: str) -> None:
    accepted = reads(text, kind)
    assert bool(re.search(quantity.pattern(kind), text)) == accepted
    assert VALIDATORS[kind].is_valid(text) == accepted


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_unit_of_a_kind_is_read_and_in_the_pattern(kind: str) -> None:
    for unit in KINDS[kind].units:
        for text in (f"1 {unit}", f"1{unit}", f"1 .. 2 {unit}", f"1 {unit} ± 1 {unit}"):
            assert reads(text, kind), text
            assert VALIDATORS[kind].is_valid(text), text
    assert reads(KINDS[kind].example, kind)


FORM_PARTS = st.sampled_from(
    ["last", "below", "when still", "after", "before package", "after previous", "still", "rest", "all", "pitching",
     "15 min", "3 d", "1.045", "2 months", "9 L", "12 °P", "15", "after pitching", "hot", ""]
)  # fmt: skip


@given(st.lists(FORM_PARTS, min_size=1, max_size=3), st.sampled_from(sorted(forms.READERS)))
def test_patterns_of_forms_accept_what_is_read(parts: list[str], reader: str) -> None:
    text = " ".join(part for part in parts if part)
    if not forms.READERS[reader].forms:
        return
    try:
        forms.read(text, reader)
        accepted = True
    except QuantityError as fault:
        assert len(fault.message) <= 160
        accepted = fault.rule == "quantity-implausible"
    assert bool(re.search(forms.pattern(reader), text)) == accepted
    assert jsonschema_rs.is_valid({"pattern": forms.pattern(reader)}, text) == accepted


def test_every_stat_has_a_kind_in_which_it_is_written() -> None:
    for spec in (*STATS.values(), *MEASURED_ONLY.values()):
        assert kind_of_stat(spec.name, spec.unit) in KINDS
    assert written(STATS["abv"], 0.095) == pytest.approx(9.5)
    assert resolution(STATS["abv"]) == pytest.approx(0.0005)
    assert resolution(STATS["original_gravity"]) == pytest.approx(0.0005)
