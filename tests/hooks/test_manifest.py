"""The hook manifest against what the console scripts accept."""

from __future__ import annotations

import os
import shlex
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
import yaml

from recipelint.commands import hook, main, route, staged
from recipelint.commands.options import read_line

TOP = Path(__file__).parents[2]
MANIFEST: list[dict[str, Any]] = yaml.safe_load((TOP / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
SCRIPTS = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]["scripts"]


@pytest.mark.parametrize("entry", MANIFEST, ids=lambda entry: str(entry["id"]))
def test_each_hook_starts_a_console_script_with_options_it_knows(entry: dict[str, Any]) -> None:
    script, *words = [*shlex.split(entry["entry"]), *entry.get("args", [])]
    assert script in SCRIPTS
    if script == "recipelint-hook":
        assert entry.get("pass_filenames", True), "this script does nothing without file names"
        read_line(words, staged.OPTIONS, {})
    else:
        assert words[0] in route.COMMANDS
        read_line(words[1:], route.COMMANDS[words[0]], route.SPELLINGS)


def test_a_check_over_several_files_runs_once_and_alone() -> None:
    for entry in MANIFEST:
        if entry["entry"].startswith("recipelint check"):
            assert entry["pass_filenames"] is False and entry["require_serial"] is True


def test_pre_commit_itself_accepts_the_manifest_and_our_own_configuration() -> None:
    clientlib = pytest.importorskip("pre_commit.clientlib")
    hooks = clientlib.load_manifest(str(TOP / ".pre-commit-hooks.yaml"))
    assert [each["id"] for each in hooks] == ["recipelint", "recipelint-all"]
    config = clientlib.load_config(str(TOP / ".pre-commit-config.yaml"))
    assert {repo["repo"] for repo in config["repos"]} == {"local"}, "nothing may be fetched"


def test_the_scripts_are_where_the_project_says() -> None:
    assert SCRIPTS == {
        "recipelint": "recipelint.commands.main:main",
        "recipelint-hook": "recipelint.commands.hook:main",
    }
    assert callable(main.main) and callable(hook.main)
    assert os.path.dirname(hook.__file__) == os.path.dirname(main.__file__)
    assert sys.version_info >= (3, 11)
