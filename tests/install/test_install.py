"""The main job from each way of installing, in a new environment, away from the checkout."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
BOOK = TOP / "examples" / "recipe-book"

pytestmark = pytest.mark.slow


def run(*command: str | Path, here: Path, status: int = 0) -> str:
    # Nothing of the checkout may help: no PYTHONPATH, no current folder on the path, no constraint but the lock.
    environ = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    environ |= {"PIP_DISABLE_PIP_VERSION_CHECK": "1", "NO_COLOR": "1"}
    done = subprocess.run(
        [str(word) for word in command],
        cwd=here,
        env=environ,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        errors="replace",
    )
    assert done.returncode == status, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the checkout as git would hand it on: nothing that is ignored, nothing left over."""
    folder = tmp_path_factory.mktemp("source") / "recipelint"
    listed = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard", "-z"], cwd=TOP, capture_output=True, encoding="utf-8"
    )
    if listed.returncode != 0:
        shutil.copytree(TOP, folder, ignore=shutil.ignore_patterns(".*", "__pycache__", "dist", "build"))
        shutil.copy(TOP / ".gitignore", folder)
        return folder
    for name in filter(None, listed.stdout.split("\0")):
        if (TOP / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(TOP / name, folder / name)
    return folder


@pytest.fixture(scope="module")
def built(source: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A wheel and an sdist; the wheel is built from the unpacked sdist, as a packager would."""
    out = tmp_path_factory.mktemp("built")
    run(sys.executable, "-m", "build", "--no-isolation", "--outdir", out, source, here=out)
    return out


def environment(folder: Path, *what: str | Path) -> Path:
    """A new environment with the project in it; the folder of its scripts."""
    run(sys.executable, "-m", "venv", folder, here=folder.parent)
    scripts = folder / ("Scripts" if os.name == "nt" else "bin")
    run(
        scripts / "python",
        "-m",
        "pip",
        "install",
        "-q",
        "-c",
        TOP / "requirements.lock",
        *what,
        here=folder.parent,
    )
    return scripts


def does_the_main_job(scripts: Path, tmp_path: Path) -> None:
    """Check, stats, style and explain on a copy of the example book; the hook on one recipe of it."""
    book = tmp_path / "a book"
    shutil.copytree(BOOK, book)
    recipe = sorted((book / "recipes").glob("*.yaml"))[0]
    assert "recipelint 0." in run(scripts / "recipelint", "--version", here=tmp_path)
    said = run(scripts / "recipelint", "check", book, here=tmp_path)
    assert " recipes, " in said.splitlines()[-1] and " error" not in said
    found = json.loads(run(scripts / "recipelint", "check", "--format", "json", book, here=tmp_path))
    assert found["summary"]["recipes"] == len(list((book / "recipes").glob("*.yaml")))
    page = run(scripts / "recipelint", "stats", recipe, here=tmp_path)
    assert "what the hydrometer will show" in page
    assert run(scripts / "recipelint", "style", recipe, here=tmp_path)
    assert "sugar-share-high" in run(scripts / "recipelint", "explain", "--list", here=tmp_path)
    run(scripts / "recipelint-hook", recipe, here=tmp_path)
    recipe.write_text(
        recipe.read_text(encoding="utf-8").replace("recipe: 1", "recipe: 1\nnonsense: 1", 1), encoding="utf-8"
    )
    assert "[unknown-key]" in run(scripts / "recipelint-hook", recipe, here=tmp_path, status=1)


def test_from_the_wheel(built: Path, tmp_path: Path) -> None:
    (wheel,) = built.glob("*.whl")
    scripts = environment(tmp_path / "env", wheel)
    does_the_main_job(scripts, tmp_path)


def test_from_the_sdist(built: Path, tmp_path: Path) -> None:
    (sdist,) = built.glob("*.tar.gz")
    scripts = environment(tmp_path / "env", sdist)
    does_the_main_job(scripts, tmp_path)


def test_editable(source: Path, tmp_path: Path) -> None:
    scripts = environment(tmp_path / "env", "-e", source)
    does_the_main_job(scripts, tmp_path)


def test_the_wheel_holds_the_package_and_its_data_and_nothing_else(built: Path) -> None:
    (wheel,) = built.glob("*.whl")
    names = zipfile.ZipFile(wheel).namelist()
    tops = {name.partition("/")[0] for name in names}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"recipelint"}
    shipped = {name for name in names if name.startswith("recipelint/data/generated/")}
    there = {
        path.relative_to(TOP).as_posix()
        for path in (TOP / "recipelint/data/generated").rglob("*")
        if path.is_file()
    }
    assert shipped == there and there
    assert any(name.endswith("/licenses/LICENSE") for name in names)


@pytest.mark.skipif(not (TOP / ".git").exists(), reason="what ought to be there is asked of git")
def test_the_sdist_holds_all_that_the_tests_need(built: Path) -> None:
    (sdist,) = built.glob("*.tar.gz")
    with tarfile.open(sdist) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}
    for folder in ("schemas", "rules", "examples", "tests", "tools", "recipelint"):
        listed = subprocess.run(
            ["git", "ls-files", "-co", "--exclude-standard", "-z", folder],
            cwd=TOP,
            capture_output=True,
            encoding="utf-8",
        ).stdout
        assert listed
        missing = {name for name in listed.split("\0") if name and (TOP / name).is_file()} - names
        assert not missing, folder
    assert {"pyproject.toml", "README.md", "LICENSE", ".pre-commit-hooks.yaml", "requirements.lock"} <= names
