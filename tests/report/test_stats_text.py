"""The stats page."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from recipelint.recipe.stat_names import STATS
from recipelint.report.numbers import decimals, spelt, volume, weight
from recipelint.report.screen import Look, width
from recipelint.report.stats_text import stats_text
from recipelint.report.working_text import working_text
from recipelint.workspace.workspace import Brewed, open_workspace
from tests.report.brews import harrow_field

BOOK = Path(__file__).resolve().parents[2] / "examples" / "recipe-book"


def line_with(text: str, words: str) -> str:
    (line,) = [line for line in text.splitlines() if line.startswith(f"  {words} ")]
    return re.sub(r" +", " ", line.strip())


def test_the_page_begins_with_the_name_the_revision_and_the_vessels() -> None:
    first = stats_text(harrow_field()).splitlines()[0]
    assert re.fullmatch(r"Harrow Field, revision 7, on quarry-barn {2,}90 % band", first)
    assert "on the default brewhouse" in stats_text(harrow_field(brewhouse=False)).splitlines()[0]


def test_the_hydrometer_stands_before_everything_else_with_words() -> None:
    text = stats_text(harrow_field())
    assert text.index("at pitching") < text.index("into the fermenter") < text.index("bitterness")
    assert line_with(text, "at pitching") == "at pitching 1.088 1.083 .. 1.092 what the hydrometer will show"
    assert line_with(text, "all sugar in") == (
        "all sugar in 1.093 1.088 .. 1.097 still to come: 250 g Dark candi sugar below 1.040"
    )


def test_volume_before_the_boil_is_hot_and_cold() -> None:
    hot = line_with(stats_text(harrow_field()).split("Volumes")[0], "before the boil")
    assert hot == "before the boil 1.064 1.060 .. 1.068 33.0 L hot (31.7 L at 20 °C)"


def test_each_addition_shows_its_part_and_the_vessel_its_fill() -> None:
    text = stats_text(harrow_field())
    assert line_with(text, "  Northern Brewer") == "Northern Brewer 48.3 IBU 55 g, boiled 80 min"
    assert "Willamette" not in text
    assert "79 % of the kettle" in text


def test_what_cannot_be_computed_stands_last_once_with_the_reason() -> None:
    text = stats_text(harrow_field())
    tail = text[text.index("Not computed, and why") :]
    assert "the recipe gives no water: mash pH, the ions of the liquor" in tail
    assert text.count("the recipe gives no water") == 1


def test_a_risk_stands_beside_the_value() -> None:
    assert (
        line_with(stats_text(harrow_field()), "pressure at its warmest")
        == "pressure at its warmest 3.1 bar at worst 5.2 bar"
    )


def test_the_least_sure_and_what_is_assumed_stand_at_the_end() -> None:
    text = stats_text(harrow_field())
    assert "\nleast sure: mash efficiency, attenuation, boil-off\n" in text
    assert text.index("least sure") < text.index(
        "Assumed, since nothing is written\n  dead space (L): 0.40\n  a tun\n"
    )


def test_us_units_come_from_the_house_and_gravity_stays() -> None:
    text = stats_text(harrow_field(), "us")
    assert "8.37 gal" in re.sub(" +", " ", text) and "16.31 lb" in text
    assert line_with(text, "at pitching").startswith("at pitching 1.088")


def test_a_name_with_escapes_is_shown_safely_and_lines_stay_on_a_page() -> None:
    text = stats_text(harrow_field(name="Bo\x1b[31mck\u202e"))
    assert text.startswith("Bo\\x1b[31mck\\u202e, revision 7")
    assert all(line.isprintable() for line in text.splitlines())


def test_without_colour_there_is_no_escape() -> None:
    assert "\x1b" not in stats_text(harrow_field())
    assert "\x1b" in stats_text(harrow_field(), look=Look(colour=True))


@pytest.mark.parametrize(
    ("name", "value", "units", "written"),
    [
        ("original_gravity", 1.0923, "metric", ("1.092", "")),
        ("sugar_share", 0.3312, "metric", ("33.1", "%")),
        ("kettle_fill", 0.786, "metric", ("79", "%")),
        ("sulphate_chloride_ratio", 1.5, "metric", ("1.50", "")),
        ("abv", 0.0951, "metric", ("9.5", "% vol")),
        ("strike_temperature", 71.26, "metric", ("71.3", "°C")),
        ("strike_temperature", 71.26, "us", ("160", "°F")),
        ("package_volume", 20.0, "us", ("5.28", "gal")),
        ("peak_pressure", 1.0, "us", ("15", "psi")),
        ("mash_thickness", 3.0, "us", ("1.44", "qt/lb")),
    ],
)
def test_numbers_are_written_as_brewers_read_them(
    name: str, value: float, units: str, written: tuple[str, str]
) -> None:
    assert spelt(STATS[name], value, units) == written


# NIST Special Publication 811 (2008), appendix B: 1 lb = 0.45359237 kg, 1 gal (US) = 3.785412 L, 1 oz = 28.34952 g.
def test_us_units_agree_with_published_factors() -> None:
    assert volume(3.785412, "us") == "1.00 gal"
    assert weight(0.45359237, "us") == "1.00 lb"
    assert weight(0.02834952, "us") == "1.0 oz"
    assert (weight(0.25), weight(8.8), weight(0.0035), weight(0.9999)) == (
        "250 g",
        "8.80 kg",
        "3.5 g",
        "1.00 kg",
    )


def test_no_number_is_minus_zero() -> None:
    assert decimals(-0.004, 2) == "0.00"
    assert decimals(-0.006, 2) == "-0.01"


def test_the_slopes_of_a_rest_say_their_unit() -> None:
    """A minute and a degree more move the attenuation limit by points of per cent; header and rows are as wide."""
    brewed = open_workspace(str(BOOK)).brewed("recipes/lantern-watch.yaml")
    assert brewed is not None
    for units, degree in (("metric", "+1 K"), ("us", "+1 °F")):
        page = stats_text(brewed, units).splitlines()
        place = next(number for number, line in enumerate(page) if line.startswith("Rest by rest"))
        assert re.search(rf"limit, %: +\+1 min +{re.escape(degree)}$", page[place])
        assert {len(line) for line in page[place : place + 6]} == {len(page[place])}


LONG = "a-name-that-somebody-who-likes-to-tell-everything-has-written-down-in-full-and-without-a-space-in-it"
DARK = f"""recipe: 1
name: {LONG}, {LONG.replace("-", " ")}
batch: {{volume: 20 L, into: fermenter}}
brewhouse:
  name: {LONG.replace("-", " ")}
  mash: {{capacity: 30 L, kind: recirculated}}
  fermenter: {{capacity: 25 L, lees: 1 L}}
grist:
  - {{malt: maris-otter-pale-malt, weight: 9 kg}}
  - {{malt: roasted-barley, weight: 1.2 kg}}
  - {{malt: {LONG}, weight: 1 kg}}
  - {{sugar: demerara-sugar, weight: 350 g, ferment: below 1.050}}
  - {{sugar: candi-sugar-dark, weight: 450 g, ferment: 2 d after previous}}
  - {{sugar: {LONG}, weight: 450 g, ferment: below 1.002}}
  - {{sugar: sucrose, weight: 450 g, ferment: 2 d after previous}}
mash:
  liquor: 24 L
  rests:
    - {{at: 55 °C, for: 10 min}}
    - {{at: 64 °C, for: 30 min, by: decoction, share: 20 %}}
    - {{at: 72 °C, for: 30 min, by: decoction, pull: thin}}
    - {{at: 60 °C, for: 30 min, by: infusion, liquor: 2 L, of: 98 °C}}
hops:
  - {{hop: hallertauer-mittelfrueh, weight: 430 g, alpha: 14.5 %, first_wort: true}}
  - {{hop: {LONG}, weight: 130 g, alpha: 14.5 %, boil: 20 min}}
yeast: [{{culture: british-strong-ale, packs: 2, attenuation: 76 .. 90 %}}]
fermentation: [{{at: 18 °C, for: 14 d}}]
conditioning: [{{vessel: cask, capacity: 25 L, at: 12 °C, for: 300 d}}]
packaging: [{{into: bottle, glass: heavy, carbonation: 2.3 vol, priming: sucrose}}]
"""


def odd_page(text: str, folder: Path) -> Brewed:
    (folder / "recipes").mkdir()
    (folder / "recipes" / "odd.yaml").write_text(text, encoding="utf-8")
    brewed = open_workspace(str(folder)).brewed("recipes/odd.yaml")
    assert brewed is not None
    return brewed


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize(
    "text", [DARK, DARK.replace(LONG.replace("-", " "), "麦酒" * 70)], ids=["long", "wide"]
)
def test_no_line_of_an_odd_page_is_wider_than_the_page(text: str, units: str, tmp_path: Path) -> None:
    brewed = odd_page(text, tmp_path)
    assert (brewed.brew.stat("colour_srm").value or 0.0) > 50.0
    pages = [stats_text(brewed, units), *(working_text(brewed, name, units) for name in STATS)]
    assert max(width(line) for page in pages for line in page.splitlines()) <= 118


@pytest.mark.parametrize("name", sorted(path.stem for path in (BOOK / "recipes").glob("*.yaml")))
def test_no_line_of_the_book_is_wider_than_the_page(name: str) -> None:
    brewed = open_workspace(str(BOOK)).brewed(f"recipes/{name}.yaml")
    assert brewed is not None
    assert (
        max(width(line) for units in ("metric", "us") for line in stats_text(brewed, units).splitlines())
        <= 118
    )


def test_what_is_still_to_come_goes_on_below_itself(tmp_path: Path) -> None:
    page = stats_text(odd_page(DARK, tmp_path))
    column = page.index("still to come:") - page.rindex("\n", 0, page.index("still to come:")) - 1
    after = page[page.index("still to come:") :].splitlines()
    more = [line for line in after[1:6] if line.startswith(" " * column)]
    told = " ".join([after[0], *(line.strip() for line in more)])
    for sugar in ("350 g Demerara sugar below 1.050", "450 g Candi sugar, dark rocks 2 d after previous"):
        assert sugar in told


def test_past_the_data_of_the_colour_formula_the_page_says_so(tmp_path: Path) -> None:
    brewed = odd_page(DARK, tmp_path)
    assert re.search(r"#[0-9a-f]{6} at least: no data past 50 SRM$", stats_text(brewed), re.M)
    square = re.compile(
        r"\x1b\[48;2;\d+;\d+;\d+m  \x1b\[0m (#[0-9a-f]{6} at least: no data past 50 SRM)$", re.M
    )
    assert square.search(stats_text(brewed, look=Look(True)))
