"""The hooks under the real git and the real pre-commit, in a repository of their own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

pytest.importorskip("pre_commit", reason="pre-commit is not installed")

TOP = Path(__file__).parents[2]
GOOD = """\
recipe: 1
name: Harbour Bitter
batch: {volume: 20 L, into: fermenter}
grist:
  - malt: maris-otter-pale-malt
    weight: 4.2 kg
hops:
  - {hop: fuggle, weight: 40 g, alpha: 4.5 %, boil: 60 min}
yeast:
  - {culture: english-ale, form: dry, weight: 11 g}
"""
BAD = GOOD.replace("weight: 4.2 kg", "weight: 350")
NO_RECIPE = "services:\n  - {name: web, ports: [80]}\n"


class Repository:
    """A brewer's git repository with pre-commit installed in it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        scripts = Path(sys.executable).parent
        self.environ = {
            "PATH": f"{scripts}{os.pathsep}{os.environ['PATH']}",
            "HOME": str(folder.parent),
            "PRE_COMMIT_HOME": str(folder.parent / "pre-commit"),
            "GIT_CONFIG_GLOBAL": os.devnull,
            "GIT_CONFIG_NOSYSTEM": "1",
            "GIT_AUTHOR_NAME": "A Brewer",
            "GIT_AUTHOR_EMAIL": "brewer@example.org",
            "GIT_COMMITTER_NAME": "A Brewer",
            "GIT_COMMITTER_EMAIL": "brewer@example.org",
            "PYTHONPATH": str(TOP),
            "LC_ALL": "C",
        }
        folder.mkdir()
        self.run("git", "init", "-q", "-b", "main")
        self.write(".pre-commit-config.yaml", self.configuration())
        self.run(sys.executable, "-m", "pre_commit", "install")
        self.run("git", "add", "-A")
        self.run("git", "commit", "-q", "-m", "start", "--no-verify")

    @staticmethod
    def configuration() -> str:
        """The shipped manifest as local hooks, started from this checkout."""
        start = {
            "recipelint-hook": f'"{sys.executable}" -c "from recipelint.commands.hook import main; main()"',
            "recipelint": f'"{sys.executable}" -c "from recipelint.commands.main import main; main()"',
        }
        hooks = yaml.safe_load((TOP / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
        for hook in hooks:
            script, _, rest = hook["entry"].partition(" ")
            hook["entry"] = f"{start[script]} {rest}".strip()
            hook["language"] = "system"
        return yaml.safe_dump({"repos": [{"repo": "local", "hooks": hooks}]}, sort_keys=False)

    def write(self, path: str, text: str) -> None:
        target = self.folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, encoding="utf-8")

    def run(self, *command: str, fails: bool = False) -> str:
        done = subprocess.run(
            command,
            cwd=self.folder,
            env=self.environ,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            errors="replace",
        )
        assert (done.returncode != 0) is fails, done.stdout
        return done.stdout

    def commit(self, message: str, fails: bool = False) -> str:
        self.run("git", "add", "-A")
        return self.run("git", "commit", "-q", "-m", message, fails=fails)

    def commits(self) -> list[str]:
        return self.run("git", "log", "--format=%s").splitlines()


@pytest.fixture
def repository(tmp_path: Path) -> Repository:
    if shutil.which("git") is None:
        pytest.skip("git is not installed")
    return Repository(tmp_path / "brewer's book")


def test_a_sound_recipe_is_committed_also_with_spaces_in_its_name(repository: Repository) -> None:
    repository.write("recipes/harbour bitter.yaml", GOOD)
    repository.write("recipes/-leading dash.yaml", GOOD.replace("Harbour", "Quay"))
    repository.write("recipes/süß 麦芽.yaml", GOOD.replace("Harbour", "Pier"))
    repository.commit("three bitters")
    assert repository.commits() == ["three bitters", "start"]


def test_a_broken_recipe_is_not_committed_and_the_place_is_named(repository: Repository) -> None:
    repository.write("recipes/harbour bitter.yaml", BAD)
    said = repository.commit("a broken bitter", fails=True)
    assert "recipes/harbour bitter.yaml:6:13: error: " in said
    assert "[quantity-invalid]" in said and "Traceback" not in said
    assert repository.commits() == ["start"]
    repository.write("recipes/harbour bitter.yaml", GOOD)
    repository.commit("mended")
    assert repository.commits() == ["mended", "start"]


def test_files_that_are_no_recipes_are_left_alone(repository: Repository) -> None:
    repository.write("recipes/bitter.yaml", GOOD)
    repository.write("compose.yaml", NO_RECIPE)
    repository.write("deploy/chart.yaml", "name: {{ chart }}\n{{- if .x }}\n")
    repository.write("deploy/empty.yaml", "")
    repository.commit("with a file of another kind")
    assert repository.commits()[0] == "with a file of another kind"


def test_a_file_that_the_house_claims_must_be_a_recipe(repository: Repository) -> None:
    repository.write("recipelint.yaml", "house: 1\nfiles: {recipes: [recipes/*.yaml]}\n")
    repository.write("recipes/compose.yaml", NO_RECIPE)
    said = repository.commit("a stranger among the recipes", fails=True)
    assert "recipes/compose.yaml:1:1: error: " in said and "[unknown-kind]" in said


def test_only_what_is_staged_is_judged(repository: Repository) -> None:
    repository.write("recipes/bitter.yaml", GOOD)
    repository.run("git", "add", "-A")
    repository.write("recipes/bitter.yaml", BAD)
    repository.run("git", "commit", "-q", "-m", "the staged one")
    assert repository.commits()[0] == "the staged one"
    assert (repository.folder / "recipes/bitter.yaml").read_text(encoding="utf-8") == BAD
