# ruff: noqa: E501  (the table is read by its rows)
"""Whatever stands in a file: a sentence with a place, the right exit status, and the other files still checked."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
SOUND = """recipe: 1
name: Sound
batch: {volume: 20 L, into: fermenter}
grist: [{malt: pale-ale-malt, weight: 4.5 kg}]
mash: {rests: [{at: 66 °C, for: 60 min}]}
boil: {for: 60 min}
hops: [{hop: fuggle, weight: 40 g, alpha: 4.5 %, boil: 60 min}]
yeast: [{culture: english-ale, form: dry, packs: 1}]
fermentation: [{at: 18 °C, for: 7 d}]
"""


def check(folder: Path, *paths: str) -> subprocess.CompletedProcess[str]:
    environ = {**os.environ, "PYTHONPATH": str(TOP), "NO_COLOR": "1", "PYTHONIOENCODING": "utf-8"}
    command = [sys.executable, "-m", "recipelint.commands.main", "check", *paths]
    return subprocess.run(
        command, cwd=folder, env=environ, capture_output=True, encoding="utf-8", check=False
    )


def changed(old: str, new: str) -> bytes:
    assert old in SOUND
    return SOUND.replace(old, new).encode()


# name -> bytes, place, rule, words of the message, exit status
BAD: dict[str, tuple[bytes, str, str, tuple[str, ...], int]] = {
    "not UTF-8": (b"recipe: 1\nname: caf\xe9\n", "2:10", "not-utf-8", ("0xE9", "line 2", "UTF-8"), 1),
    "empty": (b"", "1:1", "file-empty", ("nothing",), 1),
    "only a comment": (b"# later\n", "1:1", "file-empty", ("nothing",), 1),
    "a tab": (b"recipe: 1\n\tname: x\n", "2:1", "yaml-syntax", ("tab", "spaces"), 1),
    "a key twice": (changed("name: Sound", "name: Sound\nname: Again"), "3:1", "duplicate-key", ("`name`", "twice"), 1),
    "a list for a map": (changed("{volume: 20 L, into: fermenter}", "[20 L]"), "3:9", "wrong-shape", ("list",), 1),
    "a map for a list": (changed("[{malt: pale-ale-malt, weight: 4.5 kg}]", "{malt: pale-ale-malt}"), "4:9", "wrong-shape", ("list",), 1),
    "a weight without a unit": (changed("4.5 kg", "350"), "4:39", "quantity-invalid", ("`350`", "unit", "`350 g`"), 1),
    "alpha as a fraction": (changed("alpha: 4.5 %", "alpha: 0.05"), "7:43", "quantity-invalid", ("`0.05`", "`5 %`"), 1),
    "a comma in a number": (changed("4.5 kg", "'4,5 kg'"), "4:39", "quantity-invalid", ("`4.5 kg`",), 1),
    "a style that is none": (changed("batch:", "style: bjcp-2021/99Z\nbatch:"), "3:8", "unknown-style", ("`bjcp-2021/99Z`",), 1),
    "a guide that is none": (changed("batch:", "style: bjcp-1921/17D\nbatch:"), "3:8", "unknown-style", ("bjcp-2021",), 1),
    "an absent brewhouse": (changed("batch:", "brewhouse: nowhere\nbatch:"), "3:12", "unknown-brewhouse", ("`nowhere`",), 1),
    "a recursive alias": (b"recipe: 1\nname: &a [*a]\n", "2:11", "alias-recursive", ("`*a`",), 1),
    "100 000 brackets": (b"recipe: 1\nname: " + b"[" * 100_000, "2:", "nesting-too-deep", ("limit: nesting 100",), 1),
    "a bomb of aliases": (
        b"recipe: 1\na0: &a0 [x,x,x,x,x,x,x,x,x]\n"
        + b"".join(b"a%d: &a%d [%s]\n" % (i, i, b",".join([b"*a%d" % (i - 1)] * 9)) for i in range(1, 9)),
        "", "too-many-nodes", ("limit: 50000 nodes",), 1,
    ),
    "an open quote": (b'recipe: 1\nname: "Sound\n', "2:7", "yaml-syntax", ("quote",), 1),
    "a NUL": (b"recipe: 1\nname: \x00\n", "2:7", "yaml-syntax", ("control character",), 1),
    "a tag": (b"recipe: 1\nname: !!python/object:os.system x\n", "2:7", "tag-not-allowed", ("python/object",), 1),
    "another version": (changed("recipe: 1", "recipe: 2"), "1:9", "wrong-shape", ("2",), 1),
    "a key near to another": (changed("boil: {for", "biol: {for"), "6:1", "unknown-key", ("`biol`", "`boil`"), 1),
    "no name": (changed("name: Sound\n", ""), "1:1", "key-missing", ("`name`",), 1),
    "a malt near to another": (changed("pale-ale-malt", "pale-ale-mlat"), "4:16", "unknown-ingredient", ("pale-ale-malt",), 1),
    "no file of ours": (b"hello: world\n", "1:1", "unknown-kind", ("`recipe: 1`",), 2),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_is_told_with_its_place_and_the_other_is_still_checked(name: str, tmp_path: Path) -> None:
    data, place, rule, words, status = BAD[name]
    (tmp_path / ".git").mkdir()
    (tmp_path / "bad.yaml").write_bytes(data)
    (tmp_path / "other.yaml").write_text(SOUND.replace("4.5 kg", "45"), encoding="utf-8")
    done = check(tmp_path, "bad.yaml", "other.yaml")
    assert done.returncode == status, done.stdout + done.stderr
    assert "Traceback" not in done.stdout + done.stderr
    first = next(line for line in done.stdout.splitlines() if line.startswith("bad.yaml:"))
    assert first.startswith(f"bad.yaml:{place}"), first
    assert first.endswith(f"[{rule}]"), first
    for word in words:
        assert word in first, first
    assert "other.yaml:4:39: error: `45` needs a unit" in done.stdout


def test_a_folder_and_an_absent_file_are_told_and_the_other_is_still_checked(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    (tmp_path / "folder.yaml").mkdir()
    (tmp_path / "other.yaml").write_text(SOUND.replace("4.5 kg", "45"), encoding="utf-8")
    done = check(tmp_path, "folder.yaml", "absent.yaml", "other.yaml")
    assert done.returncode == 2
    assert "folder.yaml" in done.stderr and "absent.yaml" in done.stdout + done.stderr
    assert "other.yaml:4:39" in done.stdout


def test_the_sound_file_is_sound(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    (tmp_path / "sound.yaml").write_text(SOUND, encoding="utf-8")
    done = check(tmp_path, "sound.yaml")
    assert done.returncode == 0, done.stdout


def test_what_a_name_holds_never_reaches_the_terminal_raw(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    text = SOUND.replace("pale-ale-malt", '"evil\\e[31m\\u202Emalt"')
    (tmp_path / "bad.yaml").write_text(text, encoding="utf-8")
    done = check(tmp_path, "bad.yaml")
    assert done.returncode == 1
    assert "\x1b" not in done.stdout and "\u202e" not in done.stdout
