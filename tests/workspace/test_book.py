"""A book as a whole: house, lots, vessels, names, records; and facts of the trade (common practice, no source)."""

from __future__ import annotations

from pathlib import Path

import pytest

from recipelint.source.files import Overlay, WorkTree
from recipelint.workspace.workspace import FileReport, Workspace, open_workspace

RECIPE = """recipe: 1
name: {name}
{style}batch: {{volume: 20 L, into: fermenter}}
grist:
{grist}
mash:
  rests:
{rests}
boil: {{for: 90 min}}
hops: [{{hop: fuggle, weight: {hops} g, alpha: 4.5 %, boil: 60 min}}]
yeast: [{{culture: {culture}, form: liquid, packs: 3}}]
oxygen: {{dose: pure, at: pitching}}
additions: [{{add: yeast-nutrient-blend, weight: 5 g, boil: 10 min}}]
fermentation: [{{at: 20 °C, for: 14 d}}]
conditioning: {{vessel: keg, at: 10 °C, for: 4 months}}
"""


def recipe(
    grist: str = "  - {malt: pale-ale-malt, weight: 4.5 kg}",
    rests: str = "    - {at: 66 °C, for: 60 min}",
    style: str = "",
    culture: str = "british-strong-ale",
    hops: int = 45,
    name: str = "Trial",
) -> str:
    return RECIPE.format(grist=grist, rests=rests, style=style, culture=culture, hops=hops, name=name)


def report(folder: Path, text: str, **files: str) -> FileReport:
    (folder / ".git").mkdir(exist_ok=True)
    (folder / "r.yaml").write_text(text, encoding="utf-8")
    for path, content in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_text(content, encoding="utf-8")
    return open_workspace(str(folder)).report("r.yaml", named=True)


def levels(found: FileReport) -> dict[str, str]:
    return {placed.finding.rule: placed.finding.level for placed in found.findings}


def test_a_fifth_of_dark_candi_sugar_is_normal_in_a_dark_belgian_strong_ale(tmp_path: Path) -> None:
    grist = "  - {malt: pilsner-malt, weight: 6.4 kg}\n  - {sugar: candi-syrup-dark, weight: 1.5 kg, boil: 10 min}"
    found = report(
        tmp_path,
        recipe(
            grist, style="style: bjcp-2021/belgian-dark-strong-ale\n", culture="belgian-strong-dark", hops=60
        ),
    )
    assert "sugar-share-high" not in levels(found), found.findings
    elsewhere = report(tmp_path, recipe(grist.replace("1.5 kg", "4.5 kg")))
    assert "sugar-share-high" in levels(elsewhere)


def test_a_mash_at_62_67_70_and_mash_out_is_valid(tmp_path: Path) -> None:
    rests = "\n".join(
        f"    - {{at: {celsius} °C, for: {minutes} min}}"
        for celsius, minutes in ((62, 30), (67, 30), (70, 15), (77, 10))
    )
    found = report(tmp_path, recipe(rests=rests))
    assert not [placed for placed in found.findings if "/mash" in placed.place.path], found.findings
    hot = report(tmp_path, recipe(rests="    - {at: 152 °C, for: 60 min}"))
    assert levels(hot)["mash-rest-temperature-implausible"] == "error"


def test_a_culture_that_finishes_near_one_in_strong_beer_is_a_note_at_most(tmp_path: Path) -> None:
    grist = "  - {malt: pilsner-malt, weight: 6 kg}\n  - {sugar: sucrose, weight: 800 g, ferment: when still}"
    text = recipe(grist, culture="saison-belgian").replace("packs: 3}", "packs: 3, attenuation: 92 .. 98 %}")
    found = report(tmp_path, text)
    workspace = open_workspace(str(tmp_path))
    beer = workspace.brewed("r.yaml")
    assert beer is not None
    final = beer.brew.stat("final_gravity").value
    assert final is not None and final < 1.003
    assert set(levels(found).values()) <= {"note"}, found.findings


HOUSE = (
    "house: 1\nname: Test house\nbrewhouse: small\n"
    "rules: {crystal-share-high: {warning_above: 5 %}, sugar-share-high: off}\n"
)
SMALL = (
    "brewhouse: 1\nname: Small\nmash: {capacity: 15 L, kind: bag}\n"
    "kettle: {capacity: 45 L, boil_off: 3 L/h, loss: 1 L}\nfermenter: {capacity: 30 L, lees: 1 L}\n"
)


def test_the_house_sets_the_vessels_and_the_limits(tmp_path: Path) -> None:
    crystal = "  - {malt: pale-ale-malt, weight: 4.5 kg}\n  - {malt: crystal-malt-british, weight: 400 g}"
    before = report(tmp_path, recipe(crystal))
    assert "crystal-share-high" not in levels(before) and "mash-does-not-fit" not in levels(before)
    after = report(tmp_path, recipe(crystal), **{"recipelint.yaml": HOUSE, "brewhouses/small.yaml": SMALL})
    assert levels(after)["crystal-share-high"] == "warning"
    assert levels(after)["mash-does-not-fit"] == "error"
    fit = next(placed for placed in after.findings if placed.finding.rule == "mash-does-not-fit")
    assert fit.place.start[0] > 1  # at a line of the recipe or of the brewhouse, not at the top of the file


def test_another_brewhouse_can_be_asked_for(tmp_path: Path) -> None:
    report(tmp_path, recipe(), **{"brewhouses/small.yaml": SMALL})
    mine = open_workspace(str(tmp_path), "small").brewed("r.yaml")
    theirs = open_workspace(str(tmp_path)).brewed("r.yaml")
    assert mine is not None and theirs is not None
    assert mine.brew.stat("mash_fill").value is not None and theirs.brew.stat("mash_fill").value is None


def test_a_lot_of_the_house_wins_over_the_general_row(tmp_path: Path) -> None:
    lots = (
        "catalogue: 1\nitems:\n"
        "  - {malt: pale-ale-malt, lot: spring, yield: 83.0 % dry, moisture: 3.5 %, colour: 7.0 EBC}\n"
    )
    text = recipe("  - {malt: pale-ale-malt, lot: spring, weight: 4.5 kg}")
    found = report(tmp_path, text, **{"catalogue/lots.yaml": lots})
    assert "unknown-lot" not in levels(found)
    beer = open_workspace(str(tmp_path)).brewed("r.yaml")
    assert beer is not None
    assert beer.brew.plan.lines[0].extract == pytest.approx(0.83 * 0.965)
    assert beer.brew.plan.lines[0].ebc == pytest.approx(7.0)
    missing = report(tmp_path, text.replace("lot: spring", "lot: autumn"), **{"catalogue/lots.yaml": lots})
    assert levels(missing)["unknown-lot"] == "error"


def test_the_same_name_twice_in_a_book_is_found_at_the_second(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    (tmp_path / "recipes").mkdir()
    for name in ("a", "b"):
        (tmp_path / "recipes" / f"{name}.yaml").write_text(recipe(), encoding="utf-8")
    (found,) = open_workspace(str(tmp_path)).book()
    assert found.finding.rule == "name-used-twice"
    assert found.place.file == "recipes/b.yaml" and found.place.start == (2, 7)
    assert found.related[0][1].file == "recipes/a.yaml"


def test_an_acceptance_is_used_or_stale(tmp_path: Path) -> None:
    crystal = "  - {malt: pale-ale-malt, weight: 4.5 kg}\n  - {malt: caramel-malt-20, weight: 1.6 kg}"
    accept = "accept:\n  - {rule: crystal-share-high, because: the toffee ale}\n"
    used = report(tmp_path, recipe(crystal) + accept)
    assert [
        placed.finding.accepted for placed in used.findings if placed.finding.rule == "crystal-share-high"
    ] == ["the toffee ale"]
    stale = report(tmp_path, recipe() + accept)
    assert "accept-stale" in levels(stale)


def test_text_not_yet_saved_is_judged_through_an_overlay(tmp_path: Path) -> None:
    report(tmp_path, recipe())
    files = Overlay(WorkTree(str(tmp_path)), {"r.yaml": recipe().replace("4.5 kg", "450").encode()})
    found = Workspace(files).report("r.yaml", named=True)
    assert "quantity-invalid" in levels(found)


def test_what_was_read_is_recorded(tmp_path: Path) -> None:
    report(
        tmp_path, recipe(style="", name="Trial") + "brewhouse: small\n", **{"brewhouses/small.yaml": SMALL}
    )
    workspace = open_workspace(str(tmp_path))
    workspace.report("r.yaml", named=True)
    assert workspace.files.reads["r.yaml"] is True
    assert workspace.files.reads["brewhouses/small.yaml"] is True
    assert workspace.files.reads["recipelint.yaml"] is False


def test_a_record_names_a_recipe_and_a_brewhouse_of_the_book(tmp_path: Path) -> None:
    record = "brew: 1\nrecipe: {name}\nbrewhouse: {vessels}\nmeasured: {{pitching_gravity: 1.050}}\n"
    report(tmp_path, recipe(), **{"recipes/trial.yaml": recipe(), "brewhouses/small.yaml": SMALL})
    (tmp_path / "brews").mkdir()
    good, bad = tmp_path / "brews" / "good.yaml", tmp_path / "brews" / "bad.yaml"
    good.write_text(record.format(name="trial", vessels="small"), encoding="utf-8")
    bad.write_text(record.format(name="trail", vessels="smal"), encoding="utf-8")
    workspace = open_workspace(str(tmp_path))
    assert workspace.report("brews/good.yaml", named=True).findings == ()
    found = workspace.report("brews/bad.yaml", named=True).findings
    assert [(each.finding.rule, each.place.start) for each in found] == [
        ("unknown-recipe", (2, 9)),
        ("unknown-brewhouse", (3, 12)),
    ]
    assert "near: trial" in found[0].finding.message


def test_a_house_that_names_no_brewhouse_of_its_own_is_told(tmp_path: Path) -> None:
    report(tmp_path, recipe(), **{"recipelint.yaml": HOUSE})
    found = open_workspace(str(tmp_path)).report("recipelint.yaml", named=True).findings
    assert [each.finding.rule for each in found] == ["unknown-brewhouse"]
