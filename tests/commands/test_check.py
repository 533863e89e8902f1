"""``recipelint check`` from the outside: what it prints and with what status it ends."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.commands.conftest import BITTER, NO_RECIPE, PROMISED, TOP, Club


def test_a_sound_book_is_counted_and_passes(club: Club) -> None:
    said = club.check(".")
    assert said.splitlines()[-1].startswith("1 recipe, 1 other file, ")
    assert club.check() == said
    assert club.check(here="recipes") == said.replace("recipes/", "")


def test_paths_are_shown_from_the_current_folder_and_in_json_from_the_root(club: Club) -> None:
    club.write("recipes/bitter.yaml", PROMISED)
    assert club.check("recipes/bitter.yaml", status=1).startswith("recipes/bitter.yaml:")
    assert club.check("bitter.yaml", status=1, here="recipes").startswith("bitter.yaml:")
    for here, path in ((".", "recipes"), ("recipes", "bitter.yaml")):
        found = json.loads(club.check("--format", "json", path, status=1, here=here))
        assert {each["file"] for each in found["findings"]} == {"recipes/bitter.yaml"}
        assert found["summary"]["recipes"] == 1 and found["summary"]["error"] >= 1


def test_the_level_that_fails_is_asked_for_or_set_by_the_house_or_usual(club: Club) -> None:
    club.write("recipes/bitter.yaml", PROMISED)
    club.check(status=1)
    club.check("--fail-at", "error", status=1)
    club.check("--fail-at", "never")
    club.write("recipelint.yaml", "house: 1\nfail_at: never\n")
    club.check()
    club.check("--fail-at", "note", status=1)


@pytest.mark.parametrize(
    ("content", "rule", "place"),
    [
        (b"recipe: 1\nname: caf\xe9\n", "not-utf-8", (2, 10)),
        (b"", "file-empty", (1, 1)),
        (b"recipe: 1\nname:\n\t- x\n", "yaml-syntax", None),
        (b"recipe: 1\nname: a\nname: b\n", "duplicate-key", (3, 1)),
        (
            BITTER.replace("  - malt: maris-otter-pale-malt\n    weight: 3.4 kg", "  malt: x").encode(),
            "yaml-syntax",
            None,
        ),
        (BITTER.replace("weight: 3.4 kg", "weight: 350").encode(), "quantity-invalid", (7, 13)),
        (BITTER.replace("alpha: 4.5 %", "alpha: 0.05").encode(), "quantity-invalid", None),
        (BITTER.replace("best-bitter", "99Z").encode(), "unknown-style", None),
        (BITTER.encode() + b"brewhouse: nowhere\n", "unknown-brewhouse", None),
        (b"recipe: 1\nname: &a [*a]\n", "alias-recursive", None),
        (b"recipe: 1\nname: " + b"[" * 100_000, "nesting-too-deep", None),
        (b"recipe: 1\nname: a\x00b\n", "yaml-syntax", None),
        (b"recipe: 2\nname: a\n", None, (1, 9)),
    ],
    ids=lambda value: value if isinstance(value, str) else None,
)
def test_broken_input_is_told_with_its_place_and_stops_nothing_else(
    club: Club, content: bytes, rule: str | None, place: tuple[int, int] | None
) -> None:
    club.write("recipes/broken.yaml", content)
    club.write("recipes/second.yaml", PROMISED.replace("Harbour", "Quay"))
    found = json.loads(club.check("--format", "json", "recipes", status=1))
    broken = [each for each in found["findings"] if each["file"] == "recipes/broken.yaml"]
    assert broken, "nothing was said"
    assert any(each["file"] == "recipes/second.yaml" for each in found["findings"]), (
        "the others were not checked"
    )
    if rule is not None:
        assert rule in {each["rule"] for each in broken}
    if place is not None:
        assert place in {(each["start"]["line"], each["start"]["column"]) for each in broken}
    assert all(0 < len(each["message"]) <= 160 for each in broken)


def test_what_cannot_be_opened_is_2_and_beats_1(club: Club) -> None:
    club.write("recipes/bitter.yaml", PROMISED)
    done = club.run("check", "recipes/absent.yaml", "recipes/bitter.yaml")
    assert done.returncode == 2
    assert "recipes/absent.yaml:1:1: error: " in done.stdout and "[file-unreadable]" in done.stdout
    assert "[promise-not-kept]" in done.stdout, "the other file was not checked"


def test_a_pipe_a_device_and_a_link_out_of_the_book_are_refused(club: Club) -> None:
    os.mkfifo(club.folder / "recipes/fifo.yaml")
    (club.folder / "recipes/out.yaml").symlink_to("/etc/hostname")
    for name in ("recipes/fifo.yaml", "recipes/out.yaml"):
        assert "[file-unreadable]" in club.check(name, status=2)


def test_a_folder_without_a_recipe_is_2(club: Club) -> None:
    (club.folder / "empty").mkdir()
    done = club.run("check", "empty")
    assert (done.returncode, done.stderr) == (2, "recipelint: empty: no recipe in this folder\n")
    club.write("other/compose.yaml", NO_RECIPE)
    assert club.run("check", "other").returncode == 2


def test_a_file_that_is_no_recipe_is_left_alone_when_met_and_an_error_when_named(club: Club) -> None:
    club.write("compose.yaml", NO_RECIPE)
    assert club.check(".").splitlines()[-1].endswith(", 1 file left alone")
    assert "[unknown-kind]" in club.check("compose.yaml", status=2)
    club.write("recipes/compose.yaml", NO_RECIPE)
    assert "[unknown-kind]" in club.check(".", status=1), "the house claims it"


def test_a_broken_house_is_told_with_whatever_is_checked(club: Club) -> None:
    club.write("recipelint.yaml", "house: 1\nnonsense: 1\n")
    assert "recipelint.yaml:2:1: error: " in club.check("recipes/bitter.yaml", status=1)
    hook = club.run("recipes/bitter.yaml", script="hook")
    assert hook.returncode == 1 and "recipelint.yaml:2:1: error: " in hook.stdout
    stats = club.run("stats", "recipes/bitter.yaml")
    assert stats.returncode == 1 and "recipelint.yaml:2:1: error: " in stats.stderr


def test_files_are_written_beside_the_output(club: Club) -> None:
    said = club.check("--output", "json=found.json", "--output=text=found.txt", ".")
    assert (
        json.loads((club.folder / "found.json").read_text(encoding="utf-8"))["format"]
        == "recipelint/findings/1"
    )
    assert (club.folder / "found.txt").read_text(encoding="utf-8") == said


@pytest.mark.parametrize("output", ["json", "json=", "xml=x", "=x"])
def test_an_output_that_is_not_understood_is_told_before_the_work(club: Club, output: str) -> None:
    done = club.run("check", "--output", output, ".")
    assert done.returncode == 2 and "FORMAT=FILE is wanted" in done.stderr and not done.stdout


@pytest.mark.parametrize("name", ["recipes/bitter.yaml", "new.YML", "link.json"])
def test_nothing_is_written_over_a_recipe(club: Club, name: str) -> None:
    (club.folder / "link.json").symlink_to("recipes/bitter.yaml")
    before = (club.folder / "recipes/bitter.yaml").read_bytes()
    done = club.run("check", "--output", f"json={name}", ".")
    assert done.returncode == 2 and "which may be recipes" in done.stderr and not done.stdout
    assert (club.folder / "recipes/bitter.yaml").read_bytes() == before and not (
        club.folder / "new.YML"
    ).exists()


@pytest.mark.parametrize("glob", ["../**", "/etc/*", "recipes/../..", ".."])
def test_a_pattern_that_leads_out_of_the_book_is_told_at_its_place(club: Club, glob: str) -> None:
    club.write("recipelint.yaml", f"house: 1\nfiles: {{recipes: ['{glob}', '..a/b..yaml']}}\n")
    said = club.check(".", status=1)
    assert f"recipelint.yaml:2:19: error: `{glob}` has not the form" in said and "..a" not in said


def test_an_empty_path_is_no_folder(club: Club) -> None:
    assert club.run("check", "").returncode == 2


@pytest.mark.skipif(sys.platform == "win32", reason="a folder in use cannot be deleted there")
def test_a_current_folder_that_is_gone_is_told(club: Club) -> None:
    (club.folder / "gone").mkdir()
    script = (
        "import os, sys; os.rmdir(os.getcwd()); from recipelint.commands.main import main; sys.exit(main())"
    )
    command = [sys.executable, "-c", script, "check"]
    environ = {**os.environ, "PYTHONPATH": str(TOP)}
    done = subprocess.run(
        command, cwd=club.folder / "gone", env=environ, capture_output=True, encoding="utf-8", check=False
    )
    assert done.returncode == 2 and done.stderr == "recipelint: the current folder is no longer there\n"


def test_what_holds_for_the_own_brewhouse_only_is_a_note_on_another(club: Club) -> None:
    other = "brewhouse: 1\nname: Other\nkettle: {boil_off: 9 L/h, loss: 1 L}\nefficiency: {mash: 50 %}\n"
    club.write(
        "brewhouses/own.yaml", other.replace("Other", "Own").replace("50 %", "80 %").replace("9 L/h", "3 L/h")
    )
    club.write("brewhouses/other.yaml", other)
    promised = (
        BITTER.replace("boil: {", "sparge: {method: batch, liquor: 17 L}\nboil: {")
        + "brewhouse: own\nexpect: {original_gravity: 1.099}\n"
    )
    club.write("recipes/bitter.yaml", promised)
    for own in ((), ("--brewhouse", "own")):
        told = club.run("check", *own, "recipes/bitter.yaml").stdout
        assert ": error: Original gravity comes to " in told and " on own" not in told
    gravity = re.search(r"comes to (1\.\d+), promised", told)
    assert gravity is not None
    club.write("recipes/bitter.yaml", promised.replace("1.099", gravity[1]))
    for own in ((), ("--brewhouse", "own"), ("--brewhouse", "brewhouses/own.yaml")):
        told = club.run("check", *own, "recipes/bitter.yaml").stdout
        assert "promise-not-kept" not in told and "volumes-disagree" not in told
    said = club.run("check", "--brewhouse", "other", "recipes/bitter.yaml").stdout
    (line,) = [each for each in said.splitlines() if "[promise-not-kept]" in each]
    assert ": note: Original gravity comes to " in line and " on other, promised is " in line
    (line,) = [each for each in said.splitlines() if "[volumes-disagree]" in each]
    assert ": note: 28 L of liquor is poured in all" in line


def test_a_vessel_in_a_file_of_its_own_is_pointed_at_there(club: Club) -> None:
    club.write("brewhouses/shed.yaml", "brewhouse: 1\nname: Shed\nkettle: {boil_off: 4 L/h, power: 1 kW}\n")
    club.write("recipes/bitter.yaml", BITTER + "brewhouse: shed\n")
    said = club.run("check", "recipes/bitter.yaml").stdout
    (line,) = [each for each in said.splitlines() if "[boil-off-beyond-kettle-power]" in each]
    assert line.startswith("brewhouses/shed.yaml:3:")


def test_another_brewhouse_is_named_or_given_as_a_file(club: Club) -> None:
    vessels = (
        "brewhouse: 1\nname: S\nmash: {capacity: 9 L}\nkettle: {capacity: 12 L}\nfermenter: {capacity: 9 L}\n"
    )
    club.write("brewhouses/small.yaml", vessels)
    club.write("..vessels/..small.yaml", vessels)
    named = club.run("check", "--brewhouse", "small", "recipes/bitter.yaml")
    odd = club.run("check", "--brewhouse", "..vessels/..small.yaml", "recipes/bitter.yaml")
    assert odd.returncode == named.returncode and odd.stdout == named.stdout and not odd.stderr
    given = club.run("check", "--brewhouse", "brewhouses/small.yaml", "recipes/bitter.yaml")
    assert named.returncode == given.returncode == 1, named.stdout + named.stderr
    assert named.stdout == given.stdout
    for wrong in ("nowhere", "nowhere.yaml"):
        done = club.run("check", "--brewhouse", wrong, "recipes/bitter.yaml")
        assert done.returncode == 2 and f"--brewhouse {wrong}" in done.stderr


def test_a_book_inside_a_book_keeps_its_own_house(club: Club) -> None:
    club.write("recipes/bitter.yaml", PROMISED)
    club.write("guests/recipelint.yaml", "house: 1\nfail_at: never\n")
    club.write("guests/recipes/quay.yaml", PROMISED.replace("Harbour", "Quay"))
    club.check("guests")
    said = club.check(".", status=1)
    assert "guests/recipes/quay.yaml:" in said and "2 recipes, 2 other files" in said
    found = json.loads(club.check("--format", "json", ".", status=1))
    assert {each["file"] for each in found["findings"]} == {"recipes/bitter.yaml", "guests/recipes/quay.yaml"}


def test_a_fault_in_the_tool_is_a_finding_and_status_2(
    club: Club, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    from recipelint.commands import check
    from recipelint.workspace.workspace import Workspace

    club.write("recipes/second.yaml", PROMISED.replace("Harbour", "Quay"))
    whole = Workspace.report

    def broken(self: Workspace, path: str, *, named: bool) -> object:
        if "bitter" in path:
            raise KeyError("spoiled")
        return whole(self, path, named=named)

    monkeypatch.setattr(Workspace, "report", broken)
    monkeypatch.chdir(club.folder)
    assert check.run(["recipes"]) == 2
    said = capfd.readouterr().out
    assert (
        "recipes/bitter.yaml:1:1: error: recipelint itself failed on this file: KeyError: 'spoiled'" in said
    )
    assert "recipes/second.yaml:" in said and "Traceback" not in said


def test_colour_is_asked_for_and_forced(club: Club) -> None:
    club.write("recipes/bitter.yaml", PROMISED)
    plain = club.check(status=1)
    assert "\x1b" not in plain
    assert "\x1b[" in club.check("--colour", "always", status=1)
    assert "\x1b[" in club.run("check", FORCE_COLOR="1").stdout
    assert club.run("check", FORCE_COLOR="1", NO_COLOR="1").stdout == plain


def test_a_hostile_file_name_reaches_the_terminal_escaped(club: Club) -> None:
    club.write("recipes/\x1b[31m\u202e.yaml", PROMISED.replace("Harbour", "Quay"))
    said = club.check("recipes", status=1)
    assert "recipes/\\x1b[31m\\u202e.yaml:" in said and "\x1b" not in said and "\u202e" not in said


def test_a_reader_that_goes_away_is_no_fault(club: Club) -> None:
    code = "from recipelint.commands.main import main; main()"
    ready, gone = os.pipe()
    os.close(ready)
    done = subprocess.run(
        [sys.executable, "-c", code, "check", "."],
        cwd=club.folder,
        env={"PYTHONPATH": str(TOP)},
        stdout=gone,
        stderr=subprocess.PIPE,
    )
    os.close(gone)
    assert (done.returncode, done.stderr) == (0, b"")


def test_an_interruption_is_130(club: Club, tmp_path: Path) -> None:
    code = (
        # A shell that runs the tests in the background has them inherit a SIGINT that is ignored.
        "import signal, sys, time\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "from recipelint.workspace.workspace import Workspace\n"
        "def slow(self, path, *, named):\n    print('started', file=sys.stderr, flush=True)\n    time.sleep(30)\n"
        "Workspace.report = slow\nfrom recipelint.commands.main import main\nmain()\n"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", code, "check", "."],
        cwd=club.folder,
        env={"PYTHONPATH": str(TOP)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    )
    assert process.stderr is not None
    assert process.stderr.readline() == "started\n"
    time.sleep(0.05)
    process.send_signal(signal.SIGINT)
    _, said = process.communicate(timeout=20)
    assert (process.returncode, said) == (130, "recipelint: interrupted\n")


def test_two_runs_are_equal_byte_for_byte(club: Club) -> None:
    club.write("recipes/second.yaml", PROMISED.replace("Harbour", "Quay"))
    runs = {club.run("check", "--format", "json", PYTHONHASHSEED=seed).stdout for seed in ("0", "1", "77")}
    assert len(runs) == 1
