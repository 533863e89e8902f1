"""The README shows what the tool says."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")


def block(mark: str) -> str:
    """The fenced block that follows a mark."""
    found = re.search(rf"<!-- {mark} -->\n```\w*\n(.*?)\n```\n", README, re.S)
    assert found is not None, mark
    return found[1]


def run(folder: Path, *args: str) -> subprocess.CompletedProcess[str]:
    environ = {**os.environ, "PYTHONPATH": str(TOP), "NO_COLOR": "1", "PYTHONIOENCODING": "utf-8"}
    command = [sys.executable, "-m", "recipelint.commands.main", *args]
    return subprocess.run(
        command, cwd=folder, env=environ, capture_output=True, encoding="utf-8", check=False
    )


def first_recipe(folder: Path, more: str = "") -> Path:
    (folder / ".git").mkdir()
    file = folder / "first-pale.yaml"
    file.write_text(block("first-recipe") + "\n" + more, encoding="utf-8")
    return file


def test_the_first_recipe_gives_the_finding_that_is_shown(tmp_path: Path) -> None:
    first_recipe(tmp_path)
    done = run(tmp_path, "check", "first-pale.yaml")
    assert done.stdout.rstrip() == block("first-finding")
    assert done.returncode == 1


def test_the_finding_is_accepted_as_shown(tmp_path: Path) -> None:
    first_recipe(tmp_path, block("first-acceptance") + "\n")
    done = run(tmp_path, "check", "first-pale.yaml")
    assert done.returncode == 0, done.stdout
    assert "1 accepted" in done.stdout


def test_the_stats_are_those_shown(tmp_path: Path) -> None:
    first_recipe(tmp_path)
    shown = block("first-stats").removesuffix("\n...").splitlines()
    assert run(tmp_path, "stats", "first-pale.yaml").stdout.splitlines()[: len(shown)] == shown


def test_every_command_named_is_a_command_and_every_file_named_is_there() -> None:
    from recipelint.commands.route import COMMANDS

    for command in re.findall(r"`recipelint ([a-z]+)", README):
        assert command in COMMANDS, command
    for path in re.findall(r"`((?:examples|schemas)/[\w./-]+|DEVELOPERS\.md)`", README):
        assert (TOP / path).exists(), path


def test_how_far_to_trust_it_denies_no_figure_that_there_is() -> None:
    """What the README says is not computed must be no stat; what is least sure is named."""
    from recipelint.recipe.stat_names import STATS

    found = re.search(r"## How far to trust it\n(.*?)\n## ", README, re.S)
    assert found is not None
    told = " ".join(found[1].split())
    denied = " ".join(re.findall(r"(?:does|do) not compute ([^.]*)", told))
    words = {name.split("_")[0] for name in STATS} | {spec.title for spec in STATS.values()}
    assert not [word for word in words if re.search(rf"\b{re.escape(word)}\b", denied)]
    for caution in ("factor of two", "from memory", "pressure in glass"):
        assert caution in told
