"""The example recipes through the real command: a sound book is quiet, a broken file says what is broken."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from recipelint.commands.outcome import guarded
from recipelint.commands.route import run
from recipelint.recipe.catalogue import Catalogue
from recipelint.recipe.ingredients import GROUP_OF

ROOT = Path(__file__).resolve().parents[2]
BOOK = ROOT / "examples" / "recipe-book"
BROKEN = ROOT / "examples" / "with-findings"
MARK = re.compile(r"# <- ([a-z0-9-]+)\s*$")
NOTES_ALLOWED = 2

# Rules that no file of the examples shows, and why.
WITHOUT_FILE = {
    "not-utf-8": "bytes that are no text: made below",
    "file-too-large": "more than a megabyte: made below",
    "scalar-too-long": "more than 64 kilobytes: made below",
    "file-unreadable": "a matter of the file system, not of a file",
    "inner-fault": "a fault of the tool",
    "rule-failed": "the checks of a house rule keep it from being judged at all if it cannot be",
}
# Files that the tool cannot take for its own end with 2, not with 1.
STATUS_TWO = {"unknown-kind"}


def check(*args: str, cwd: Path) -> tuple[int, dict[str, Any]]:
    """Exit status and JSON of ``recipelint check``."""
    done = subprocess.run(
        [sys.executable, "-m", "recipelint.commands.main", "check", "--format", "json", *args],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
    )
    assert done.stdout, done.stderr
    tree: dict[str, Any] = json.loads(done.stdout)
    return done.returncode, tree


def said(findings: list[dict[str, Any]]) -> str:
    return "\n".join(
        f"{one['file']}:{one['start']['line']}: {one['level']}: {one['message']} [{one['rule']}]"
        for one in findings
    )


def files_of(folder: Path) -> list[Path]:
    return sorted(folder.rglob("*.yaml"))


def marks_of(path: Path) -> list[tuple[str, int]]:
    """(rule, line) of each arrow in a file; lines count from 1."""
    lines = path.read_text(encoding="utf-8").split("\n")
    return [(match[1], number) for number, line in enumerate(lines, 1) if (match := MARK.search(line))]


def all_rules() -> set[str]:
    """Every rule of the rule book, and every rule that is built in."""
    found: set[str] = set()
    for path in sorted((ROOT / "rules").glob("*.yaml")):
        data = yaml.safe_load(path.read_text(encoding="utf-8"))
        if "built-in" in data:
            found |= set(data["items"])
        elif "rules" in data:
            found |= {item["rule"] for item in data["items"]}
    return found


MARKED = [path for path in files_of(BROKEN) if marks_of(path)]


# ---------------------------------------------------------------------- the sound book


@pytest.fixture(scope="module")
def book() -> tuple[int, dict[str, Any]]:
    return check(cwd=BOOK)


def test_the_book_is_clean(book: tuple[int, dict[str, Any]]) -> None:
    status, tree = book
    loud = [one for one in tree["findings"] if one["level"] != "note"]
    assert not loud, said(loud)
    assert status == 0
    assert tree["summary"]["recipes"] >= 12
    assert tree["summary"]["unreadable"] == 0 and tree["summary"]["left_alone"] == 0


def test_a_sound_recipe_gets_two_notes_at_most(book: tuple[int, dict[str, Any]]) -> None:
    by_file: dict[str, list[dict[str, Any]]] = {}
    for one in book[1]["findings"]:
        by_file.setdefault(one["file"], []).append(one)
    many = [one for found in by_file.values() if len(found) > NOTES_ALLOWED for one in found]
    assert not many, said(many)


def test_nothing_in_the_book_is_accepted_away(book: tuple[int, dict[str, Any]]) -> None:
    assert book[1]["summary"]["accepted"] == 0


def test_a_spoilt_recipe_of_the_book_is_noticed(tmp_path: Path) -> None:
    """The clean run above means something only if the same run can fail."""
    for path in files_of(BOOK):
        copy = tmp_path / path.relative_to(BOOK)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(path.read_bytes())
    victim = tmp_path / "recipes" / "lantern-watch.yaml"
    text = victim.read_text(encoding="utf-8")
    assert "weight: 7.6 kg" in text
    victim.write_text(text.replace("weight: 7.6 kg", "weight: 5.2 kg"), encoding="utf-8")
    status, tree = check(cwd=tmp_path)
    assert status == 1
    assert {one["file"] for one in tree["findings"] if one["level"] == "error"} == {
        "recipes/lantern-watch.yaml"
    }
    assert "promise-not-kept" in {one["rule"] for one in tree["findings"]}


# ---------------------------------------------------------------------- one file for each finding


@pytest.fixture(scope="module")
def broken() -> list[dict[str, Any]]:
    findings: list[dict[str, Any]] = check(str(BROKEN), cwd=ROOT)[1]["findings"]
    return findings


def of_file(findings: list[dict[str, Any]], path: Path) -> list[dict[str, Any]]:
    tail = path.relative_to(BROKEN).as_posix()
    return [one for one in findings if one["file"] == tail or one["file"].endswith("/" + tail)]


@pytest.mark.parametrize("path", MARKED, ids=lambda path: path.relative_to(BROKEN).as_posix())
def test_a_file_shows_its_finding_and_no_other(path: Path, broken: list[dict[str, Any]]) -> None:
    found = of_file(broken, path)
    assert [(one["rule"], one["start"]["line"]) for one in found] == marks_of(path), said(found)


@pytest.mark.parametrize("path", MARKED, ids=lambda path: path.relative_to(BROKEN).as_posix())
def test_a_file_is_named_after_its_finding(path: Path) -> None:
    (rule, _), *more = marks_of(path)
    assert not more
    assert path.relative_to(BROKEN).with_suffix("").parts[0] == rule


def test_every_rule_has_a_file() -> None:
    shown = {rule for path in MARKED for rule, _ in marks_of(path)}
    assert shown | set(WITHOUT_FILE) >= all_rules(), sorted(all_rules() - shown - set(WITHOUT_FILE))
    assert not shown & set(WITHOUT_FILE)


def test_nothing_else_lies_about(broken: list[dict[str, Any]]) -> None:
    """Files without an arrow are there to hold the others up and are sound."""
    for path in files_of(BROKEN):
        if path not in MARKED:
            assert not of_file(broken, path), said(of_file(broken, path))


@pytest.mark.parametrize("path", MARKED, ids=lambda path: path.relative_to(BROKEN).as_posix())
def test_the_status_is_one(path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    """The command's own way in, in this process: a start for each file would be most of the test run."""
    target = path if path.parent == BROKEN else BROKEN / path.relative_to(BROKEN).parts[0]
    status = guarded(run, ["check", "--format", "json", "--fail-at", "note", str(target)])
    tree = json.loads(capfd.readouterr().out)
    rule = marks_of(path)[0][0]
    assert rule in {one["rule"] for one in tree["findings"]}, said(tree["findings"])
    assert status == (2 if rule in STATUS_TWO else 1)


SOUND = (
    b"recipe: 1\nname: Made on the Spot\nbatch: {volume: 20 L, into: fermenter}\n"
    b"grist:\n  - {malt: pale-ale-malt, weight: 4.5 kg}\n"
    b"hops:\n  - {hop: magnum, weight: 20 g, alpha: 13 %, boil: 60 min}\n"
)


@pytest.mark.parametrize(
    ("rule", "data", "line"),
    [
        ("not-utf-8", SOUND + b"notes: caf\xe9\n", 8),
        ("file-too-large", SOUND + b"# more\n" * 160_000, 1),
        ("scalar-too-long", SOUND + b"notes: " + b"x" * 70_000 + b"\n", 8),
    ],
)
def test_files_too_odd_to_keep(rule: str, data: bytes, line: int, tmp_path: Path) -> None:
    path = tmp_path / "odd.yaml"
    path.write_bytes(data)
    status, tree = check("--fail-at", "note", str(path), cwd=tmp_path)
    found = tree["findings"]
    assert [one["rule"] for one in found] == [rule], said(found)
    assert found[0]["start"]["line"] == line
    assert status == 1


def test_an_absent_file_is_said_so(tmp_path: Path) -> None:
    status, tree = check(str(tmp_path / "gone.yaml"), cwd=tmp_path)
    assert status == 2
    assert [one["rule"] for one in tree["findings"]] == ["file-unreadable"]


# ---------------------------------------------------------------------- names


def ids_in(tree: Any) -> list[tuple[str, str]]:
    """Every (key, name) of an ingredient, culture, addition or priming sugar of a recipe; no waters."""
    found: list[tuple[str, str]] = []
    if isinstance(tree, list):
        for each in tree:
            found += ids_in(each)
    elif isinstance(tree, dict):
        for key, value in tree.items():
            if key == "water":
                continue
            if key in GROUP_OF and isinstance(value, str):
                found.append((key, value))
            elif key == "priming" and isinstance(value, str):
                found.append(("sugar", value))
            else:
                found += ids_in(value)
    return found


@pytest.mark.parametrize("path", files_of(BOOK / "recipes"), ids=lambda path: path.stem)
def test_recipes_use_the_names_of_the_catalogue(path: Path) -> None:
    """The id itself, not another spelling of it: what newcomers copy should be the plain form."""
    shipped = Catalogue.shipped()
    data = yaml.safe_load(path.read_text(encoding="utf-8"))
    names = ids_in(data)
    assert len(names) >= 5
    for key, name in names:
        row = shipped.row(key, name)
        assert row is not None, f"{key}: {name}"
        assert (row.key, row.id) == (key, name)


def test_beers_have_names_of_their_own() -> None:
    names = [yaml.safe_load(path.read_text(encoding="utf-8"))["name"] for path in files_of(BOOK / "recipes")]
    assert len({name.casefold() for name in names}) == len(names)
    for path, name in zip(files_of(BOOK / "recipes"), names, strict=True):
        assert path.stem == re.sub(r"[^a-z0-9]+", "-", name.casefold().replace("'", ""))


def test_waters_are_known() -> None:
    """A source is a water of the shipped catalogue or of the club's own."""
    store = yaml.safe_load((BOOK / "catalogue" / "lots.yaml").read_text(encoding="utf-8"))
    own = {item["water"] for item in store["items"] if "water" in item}
    used: set[str] = set()
    for path in files_of(BOOK / "recipes"):
        water = yaml.safe_load(path.read_text(encoding="utf-8"))["water"]
        used |= {
            one if isinstance(one, str) else one["source"]
            for one in (water if isinstance(water, list) else [water])
        }
    assert own <= used
    assert all(name in own or Catalogue.shipped().water(name) is not None for name in used), sorted(used)
