"""The shipped styles against the guides, and looking styles up."""

from __future__ import annotations

import glob
import os

import jsonschema
import pytest

from recipelint.recipe.styles import FIGURES, Ambiguous, Style, Styles
from recipelint.recipe.styles_file import EVIDENCE, PLAIN, styles_of
from recipelint.source.reader import read
from tests.recipe.authored import ROOT, content, expanded

STYLES = Styles.shipped()
SOURCES = sorted(glob.glob(os.path.join(ROOT, "rules", "styles", "*.yaml")))
BA = "brewers-association-2025"
CARBONATION = ("none", "low", "medium-low", "medium", "medium-high", "high", "very-high")
ALL = [STYLES.get(guide, ident) for guide in STYLES.guides() for ident in STYLES.ids(guide)]


@pytest.mark.parametrize(("guide", "count"), [("bjcp-2021", 134), ("brewers-association-2025", 168)])
def test_no_style_was_lost(guide: str, count: int) -> None:
    assert len(STYLES.ids(guide)) == count


@pytest.mark.parametrize("path", SOURCES, ids=os.path.basename)
def test_the_sources_obey_the_schema_of_style_files(path: str) -> None:
    validator = jsonschema.Draft202012Validator(expanded("styles"))
    assert [error.json_path for error in validator.iter_errors(content(path))] == []


def test_schema_and_reader_of_styles_know_the_same_keys() -> None:
    style = content(os.path.join(ROOT, "schemas", "source", "styles.yaml"))["$defs"]["Style"]["properties"]
    assert set(style) == {"style", "strengths", *FIGURES, *PLAIN, *EVIDENCE}
    for key, node in style.items():
        assert node["description"] and node["examples"], key


# Written down from memory of the guides, apart from the files that are tested.
@pytest.mark.parametrize(
    ("ref", "og", "fg", "abv", "ibu", "srm"),
    [
        ("bjcp-2021/17D", (1.080, 1.120), (1.018, 1.030), (0.08, 0.12), (35, 70), (8, 22)),
        ("bjcp-2021/21A", (1.056, 1.070), (1.008, 1.014), (0.055, 0.075), (40, 70), (6, 14)),
        ("bjcp-2021/5D", (1.044, 1.050), (1.008, 1.013), (0.044, 0.052), (22, 40), (2, 4)),
        ("bjcp-2021/20C", (1.075, 1.115), (1.018, 1.030), (0.08, 0.12), (50, 90), (30, 40)),
        ("bjcp-2021/15B", (1.036, 1.044), (1.007, 1.011), (0.038, 0.05), (25, 45), (25, 40)),
        (f"{BA}/ordinary-bitter", (1.033, 1.038), (1.006, 1.012), (0.03, 0.042), (20, 35), (5, 12)),
    ],
)
def test_figures_of_well_known_styles(ref, og, fg, abv, ibu, srm) -> None:
    style = STYLES.find(ref)
    assert isinstance(style, Style)
    assert (style.og, style.fg, style.abv, style.ibu, style.srm) == (og, fg, abv, ibu, srm)


@pytest.mark.parametrize("style", ALL, ids=lambda style: style.ref)
def test_every_style_is_possible(style: Style) -> None:
    limits = {"og": (1.0, 1.2), "fg": (0.98, 1.1), "abv": (0.0, 0.2), "ibu": (0, 120), "srm": (1, 100)}
    for name, (least, most) in limits.items():
        ends = getattr(style, name)
        assert (ends is None) == (name in style.varies)
        if ends is not None:
            low, high = ends
            assert low is not None or high is not None
            assert low is None or high is None or low <= high
            assert all(end is None or least <= end <= most for end in ends), name
    if style.og and style.fg and style.og[0] and style.fg[0]:
        assert style.og[0] > style.fg[0]
    if style.carbonation:
        assert CARBONATION.index(style.carbonation[0]) <= CARBONATION.index(style.carbonation[1])
    assert bool(style.varies) == bool(style.varies_with)
    for ident in (style.parent, *(style.base_styles or ())):
        assert ident is None or STYLES.get(style.guide, ident) is not None


def alcohol(og: float, fg: float) -> float:
    """Strength by volume from gravities: the common high-gravity formula, good to 0.2 points here."""
    return 76.08 * (og - fg) / (1.775 - og) * fg / 0.794 / 100


def test_strength_agrees_with_gravity_unless_it_is_marked() -> None:
    """A misprinted gravity or strength stands out; those printed so in the guides are marked or listed."""
    odd = set()
    for style in ALL:
        figures = (style.og, style.fg, style.abv)
        if None in figures or any(None in ends for ends in figures):
            continue
        least, most = alcohol(style.og[0], style.fg[1]), alcohol(style.og[1], style.fg[0])
        if style.abv[0] < least - 0.01 or style.abv[1] > most + 0.01:
            odd.add(style.ref)
    assert odd - {style.ref for style in ALL if style.verified_odd} == set()


def test_the_block_of_a_guide_carries_its_credit() -> None:
    for ident in STYLES.guides():
        guide = STYLES.guide(ident)
        assert guide["credit"] and guide["publisher"] and guide["permission"]
        assert guide["url"].startswith("https://")
    assert STYLES.guide(BA)["credit"] == (
        "Based on Brewers Association 2025 Beer Style Guidelines "
        "published by Brewers Association with changes"
    )
    assert STYLES.guide("no-such-guide") is None


def test_groups() -> None:
    assert "bjcp-2021/irish-stout" in STYLES.members("stout")
    assert STYLES.members("no-such-group") == frozenset()
    for group in STYLES.group_names():
        for ref in STYLES.members(group):
            style = STYLES.find(ref)
            assert isinstance(style, Style) and group in style.groups
    assert {group for style in ALL for group in style.groups} <= set(STYLES.group_names())


@pytest.mark.parametrize(
    ("ref", "ident"),
    [
        ("bjcp-2021/english-barley-wine", "english-barley-wine"),
        ("bjcp-2021/17D", "english-barley-wine"),
        ("bjcp-2021/17d", "english-barley-wine"),
        ("BJCP-2021/17d", "english-barley-wine"),
        (" bjcp-2021/English Barley Wine ", "english-barley-wine"),
        ("bjcp-2021/saison", "saison"),
        ("bjcp-2021/x1", "dorada-pampeana"),
        ("bjcp-2021/Argentine IPA", "ipa-argenta"),
        ("brewers-association-2025/ordinary-bitter", "ordinary-bitter"),
    ],
)
def test_find(ref: str, ident: str) -> None:
    style = STYLES.find(ref)
    assert isinstance(style, Style) and style.id == ident and style.ref == f"{style.guide}/{ident}"


@pytest.mark.parametrize(("code", "count"), [("17A", 2), ("21B", 8), ("25B", 6), ("27", 9)])
def test_a_code_that_several_styles_share_is_ambiguous(code: str, count: int) -> None:
    found = STYLES.find(f"bjcp-2021/{code}")
    assert isinstance(found, Ambiguous) and len(found.refs) == count
    assert all(isinstance(STYLES.find(ref), Style) for ref in found.refs)


def test_what_is_not_found_says_why() -> None:
    for ref in ("", "/", "bjcp-2021/", "bjcp-2021/99Z", "x/17D", "english-barley-wine", "bjcp-2021/a\nb"):
        assert STYLES.find(ref) is None, ref
    assert STYLES.unknown("bjcp/17D").guides == ("bjcp-2021", "brewers-association-2025")
    assert STYLES.unknown("bjcp-2021/english-barleywine").nearest[0] == "bjcp-2021/english-barley-wine"
    assert "bjcp-2021/english-barley-wine" in STYLES.unknown("english-barley-wine").nearest
    assert len(STYLES.unknown("bjcp-2021/stout").nearest) == 3


def test_a_style_takes_ranges_from_its_base() -> None:
    wood = STYLES.find("bjcp-2021/33B")
    base = STYLES.find("bjcp-2021/17D")
    assert wood.og is None and wood.varies == FIGURES
    joined = STYLES.with_base(wood, base)
    assert joined.og == base.og and joined.srm == base.srm and joined.varies == ()
    assert (joined.id, joined.base) == ("specialty-wood-aged-beer", "bjcp-2021/english-barley-wine")
    winter = STYLES.with_base(STYLES.find("bjcp-2021/30C"), base)
    assert winter.abv == (0.06, None), "what the style states itself stays"
    assert STYLES.with_base(wood, STYLES.find("bjcp-2021/34A")).varies == FIGURES


HOUSE = """\
styles: 1
guide: {id: barn, name: Beers of the Barn}
items:
  - {style: harbour-stout, name: Harbour Stout, code: H1, og: [1.070, null], abv: [7, 9.5], tags: [malty]}
groups:
  - {group: stout, members: [barn/harbour-stout]}
"""


def test_styles_of_a_house() -> None:
    found = styles_of(read("styles.yaml", HOUSE.encode()).root.data, "styles.yaml")
    assert found.faults == ()
    styles = STYLES.with_house(found.styles, {found.guide["id"]: found.guide}, found.groups)
    style = styles.find("barn/h1")
    assert isinstance(style, Style) and style.id == "harbour-stout"
    assert style.og == (1.070, None) and style.abv == (0.07, 0.095) and style.varies == ("fg", "ibu", "srm")
    assert (style.file, style.at) == ("styles.yaml", "/items/0")
    assert styles.find("barn/Harbour  stout") == style
    assert {"barn/harbour-stout", "bjcp-2021/irish-stout"} <= styles.members("stout")
    assert styles.guides() == ["barn", "bjcp-2021", "brewers-association-2025"]
    assert styles.guide("barn")["name"] == "Beers of the Barn"
    assert STYLES.find("barn/h1") is None


def test_a_house_may_replace_a_shipped_style() -> None:
    own = STYLES.find("bjcp-2021/17D")._replace(og=(1.085, 1.130))
    styles = STYLES.with_house([own])
    assert styles.find("bjcp-2021/17d").og == (1.085, 1.130)
    assert len(styles.ids("bjcp-2021")) == 134


FAULTY = """\
styles: 1
guide: {id: x, name: X}
items:
  - {style: a, name: A, og: [1.06, 1.05]}
  - {style: b, name: B}
  - {style: b, name: B}
"""


def test_faults_in_a_file_of_styles() -> None:
    found = styles_of(read("x.yaml", FAULTY.encode()).root.data, "x.yaml")
    assert [style.id for style in found.styles] == ["b"]
    assert [fault.pointer for fault in found.faults] == ["/items/0/og", "/items/2/style"]
