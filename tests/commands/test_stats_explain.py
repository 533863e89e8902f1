"""``recipelint stats --explain``, run as a user would."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.brewing.formulas import evaluate
from tests.commands.conftest import TOP, Club

RECIPE = "recipes/bitter.yaml"


def test_the_working_is_printed_alone_and_ends_in_the_stat(club: Club) -> None:
    done = club.run("stats", RECIPE, "--explain", "original_gravity")
    assert done.returncode == 0 and not done.stderr
    lines = done.stdout.splitlines()
    assert lines[0] == "Harbour Bitter, on the default brewhouse"
    assert lines[1].startswith("original gravity, all sugar in: 1.0")
    assert "In the fermenter" in lines and "90 % band" in lines[-2] + lines[-1]
    assert "Gravity and strength" not in done.stdout
    page = club.run("stats", RECIPE).stdout
    assert f"all sugar in                {lines[1].rpartition(' ')[2]}" in page


def test_several_stats_follow_one_another_and_each_is_told_once(club: Club) -> None:
    done = club.run("stats", "--explain=abv", RECIPE, "--explain", "bitterness", "--explain", "abv")
    assert done.returncode == 0
    heads = [line for line in done.stdout.splitlines() if line.startswith("Harbour Bitter")]
    assert len(heads) == 2
    assert done.stdout.index("alcohol by volume: ") < done.stdout.index("bitterness: ")


def test_a_stat_without_a_value_says_why_and_is_no_error(club: Club) -> None:
    done = club.run("stats", RECIPE, "--explain", "mash_ph")
    assert done.returncode == 0
    assert done.stdout.splitlines()[1] == "mash pH: not computed, since the recipe gives no water"


@pytest.mark.parametrize("form", ["text", "json"])
def test_an_unknown_stat_is_answered_with_the_nearest(club: Club, form: str) -> None:
    done = club.run("stats", RECIPE, "--explain", "bitternes", "--format", form)
    assert done.returncode == 2 and not done.stdout
    assert "--explain bitternes: this is no stat; near: bitterness" in done.stderr
    odd = club.run("stats", RECIPE, "--explain", "\x1b[31m")
    assert odd.returncode == 2 and "\x1b" not in odd.stderr


def test_explain_needs_a_name_and_a_recipe(club: Club) -> None:
    assert club.run("stats", RECIPE, "--explain").returncode == 2
    assert club.run("stats", "--explain", "abv").returncode == 2


def test_json_holds_the_working_of_what_is_explained_and_of_nothing_else(club: Club) -> None:
    done = club.run(
        "stats", RECIPE, "--format=json", "--explain", "original_gravity", "--explain", "peak_pressure"
    )
    assert done.returncode == 0
    tree = json.loads(done.stdout)
    assert tree["format"] == "recipelint/stats/1"
    stats = tree["recipes"][0]["stats"]
    assert [name for name, stat in stats.items() if "working" in stat] == ["original_gravity"]
    assert stats["peak_pressure"]["value"] is None
    working = stats["original_gravity"]["working"]
    assert [line["line"] for line in working] == list(range(1, len(working) + 1))
    assert working[-1]["value"] == pytest.approx(stats["original_gravity"]["value"], abs=0.0001)
    for line in working:
        if line["kind"] not in ("equation", "solved"):
            continue
        values = {each["symbol"]: each["value"] for each in line["symbols"]} | {line["symbol"]: line["value"]}
        wanted = line["value"] if line["kind"] == "equation" else line["gives"]["value"]
        assert evaluate(line["formula"], values) == pytest.approx(wanted, rel=1e-6)
        assert all(("line" in each) != ("from" in each) for each in line["symbols"])
    plain = json.loads(club.run("stats", RECIPE, "--format=json").stdout)["recipes"][0]["stats"]
    assert {
        name: {key: part for key, part in stat.items() if "working" not in key}
        for name, stat in stats.items()
    } == plain


def test_a_risk_case_stands_beside_the_working_in_json(club: Club) -> None:
    text = (club.folder / RECIPE).read_text(encoding="utf-8")
    club.write(RECIPE, text.replace("culture: english-ale,", "culture: saison-french,"))
    done = club.run("stats", RECIPE, "--format=json", "--explain", "final_gravity")
    stat = json.loads(done.stdout)["recipes"][0]["stats"]["final_gravity"]
    assert stat["working_at_worst"][-1]["value"] == pytest.approx(stat["risk"], abs=0.0001)


def test_a_house_in_us_units_sees_its_own_result(club: Club) -> None:
    club.write("recipelint.yaml", "house: 1\nname: A small club\nunits: us\n")
    done = club.run("stats", RECIPE, "--explain", "kettle_volume")
    assert " gal (" in done.stdout and "The working is metric throughout" in done.stdout


def test_two_runs_write_the_same_bytes(club: Club) -> None:
    args = ("stats", RECIPE, "--format=json", "--explain", "bitterness")
    assert club.run(*args, PYTHONHASHSEED="1").stdout == club.run(*args, PYTHONHASHSEED="2").stdout


def test_nothing_of_it_is_imported_unless_it_is_asked_for(club: Club) -> None:
    code = (
        "import sys\nfrom recipelint.commands.route import run\nrun(sys.argv[1:])\n"
        "sys.stderr.write(' '.join(sorted(name for name in sys.modules if 'working' in name)))"
    )

    def imported(*args: str) -> str:
        done = subprocess.run(
            [sys.executable, "-c", code, "stats", RECIPE, *args],
            cwd=club.folder,
            env={"PYTHONPATH": str(TOP), "PATH": os.environ.get("PATH", ""), "PYTHONUTF8": "1"},
            capture_output=True,
            encoding="utf-8",
        )
        assert done.stdout
        return done.stderr

    assert imported() == ""
    assert "recipelint.brewing.workings.chains" in imported("--explain", "abv")


def test_the_readme_shows_the_end_of_a_working(tmp_path: Path) -> None:
    def block(mark: str) -> str:
        found = re.search(rf"<!-- {mark} -->\n```\w*\n(.*?)\n```\n", readme, re.S)
        assert found is not None, mark
        return found[1]

    readme = (TOP / "README.md").read_text(encoding="utf-8")
    (tmp_path / ".git").mkdir()
    (tmp_path / "first-pale.yaml").write_text(block("first-recipe") + "\n", encoding="utf-8")
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "recipelint.commands.main",
            "stats",
            "first-pale.yaml",
            "--explain",
            "bitterness",
        ],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(TOP), "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        encoding="utf-8",
    )
    assert done.stdout.rstrip().endswith("\n" + block("first-working"))


def test_every_recipe_of_the_book_explains_its_strength() -> None:
    book = Path(TOP) / "examples" / "recipe-book"
    recipes = sorted(str(path.relative_to(book)) for path in (book / "recipes").glob("*.yaml"))
    done = subprocess.run(
        [sys.executable, "-m", "recipelint.commands.main", "stats", *recipes, "--explain", "abv"],
        cwd=book,
        env={**os.environ, "PYTHONPATH": str(TOP), "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        encoding="utf-8",
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("\n90 % band ") == len(recipes)
