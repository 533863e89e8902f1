"""A hook starts on every commit, so what it imports is part of what it promises."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
HEAVY = [
    "rich",
    "numpy",
    "scipy",
    "pint",
    "jinja2",
    "jsonschema",
    "ruamel",
    "subprocess",
    "concurrent.futures",
    "importlib.metadata",
    "importlib.resources",
    "typer",
    "click",
    "dataclasses",
    "pathlib",
    "pydantic",
    "asyncio",
    "inspect",
    "logging",
    "argparse",
]
HOOK = "from recipelint.commands.hook import main; main()"
MAIN = "from recipelint.commands.main import main; main()"
RECIPE = """\
recipe: 1
name: Harbour Bitter
batch: {volume: 20 L, into: fermenter}
grist:
  - {malt: maris-otter-pale-malt, weight: 4.2 kg}
hops:
  - {hop: fuggle, weight: 40 g, alpha: 4.5 %, boil: 60 min}
yeast:
  - {culture: english-ale, form: dry, weight: 11 g}
"""


def imported(code: str, *args: str, here: Path) -> tuple[set[str], subprocess.CompletedProcess[str]]:
    """Modules that a command imports, beyond those that Python has loaded before it."""
    environ = {**os.environ, "PYTHONPATH": str(TOP), "PYTHONUTF8": "1"}

    def run(code: str, *args: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-X", "importtime", "-c", code, *args]
        return subprocess.run(command, cwd=here, env=environ, capture_output=True, encoding="utf-8")

    def names(done: subprocess.CompletedProcess[str]) -> set[str]:
        lines = [line for line in done.stderr.splitlines() if line.startswith("import time:")]
        return {line.rpartition("|")[2].strip() for line in lines}

    done = run(code, *args)
    return names(done) - names(run("pass")), done


def heavy(names: set[str]) -> list[str]:
    return sorted(name for name in names for bad in HEAVY if name == bad or name.startswith(bad + "."))


@pytest.fixture
def recipe(tmp_path: Path) -> Path:
    path = tmp_path / "bitter.yaml"
    path.write_text(RECIPE, encoding="utf-8")
    return path


def test_the_hook_imports_nothing_heavy(recipe: Path) -> None:
    names, done = imported(HOOK, recipe.name, here=recipe.parent)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "recipelint.brewing.process" in names, "the recipe was not brewed"
    assert heavy(names) == []


def test_check_in_text_imports_nothing_heavy(recipe: Path) -> None:
    names, done = imported(MAIN, "check", recipe.name, here=recipe.parent)
    assert done.returncode in (0, 1) and "1 recipe" in done.stdout
    assert heavy(names) == []


def test_a_failing_recipe_may_be_explained_at_leisure(recipe: Path) -> None:
    recipe.write_text(RECIPE.replace("weight: 4.2 kg", "weight: 350"), encoding="utf-8")
    names, done = imported(HOOK, recipe.name, here=recipe.parent)
    assert done.returncode == 1
    assert "typer" not in names and "ruamel.yaml" not in names


@pytest.mark.parametrize("code", [HOOK, MAIN])
def test_the_version_is_told_before_anything_is_imported(code: str, tmp_path: Path) -> None:
    names, done = imported(code, "--version", here=tmp_path)
    assert done.stdout.startswith("recipelint ") and done.returncode == 0
    assert {name for name in names if not name.startswith("recipelint")} <= {"__future__"}
    assert len(names) <= 4, names
