"""``recipelint-hook``: quiet when all is well, and as strict as the house says."""

from __future__ import annotations

import pytest

from recipelint.commands.staged import HELP, OPTIONS
from tests.commands.conftest import NO_RECIPE, PROMISED, Club


def test_nothing_is_said_of_a_sound_recipe(club: Club) -> None:
    done = club.run("recipes/bitter.yaml", script="hook")
    assert (done.returncode, done.stderr) == (0, "")
    assert "error" not in done.stdout and "warning" not in done.stdout


def test_an_error_fails_and_a_level_can_be_asked_for(club: Club) -> None:
    club.write("recipes/bitter.yaml", PROMISED)
    done = club.run("recipes/bitter.yaml", script="hook")
    assert done.returncode == 1 and done.stdout.startswith("recipes/bitter.yaml:")
    assert club.run("--fail-at=never", "recipes/bitter.yaml", script="hook").returncode == 0
    club.write("recipelint.yaml", "house: 1\nfail_at: never\n")
    assert club.run("recipes/bitter.yaml", script="hook").returncode == 0
    assert club.run("--fail-at", "note", "recipes/bitter.yaml", script="hook").returncode == 1


def test_another_kind_of_file_is_left_alone_unless_the_house_claims_it(club: Club) -> None:
    club.write("compose.yaml", NO_RECIPE)
    assert club.run("compose.yaml", script="hook").returncode == 0
    club.write("recipelint.yaml", "house: 1\nfiles: {recipes: ['*.yaml']}\n")
    done = club.run("compose.yaml", script="hook")
    assert done.returncode == 1 and "[unknown-kind]" in done.stdout


def test_templates_and_empty_files_of_other_tools_are_left_alone(club: Club) -> None:
    club.write("deploy/chart.yaml", "name: {{ chart }}\n{{- if .x }}\n")
    club.write("deploy/empty.yaml", "")
    done = club.run("deploy/chart.yaml", "deploy/empty.yaml", script="hook")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    walked = club.check(".")
    assert "2 files left alone" in walked and "deploy/" not in walked
    club.check("deploy/chart.yaml", status=1)
    club.write("recipelint.yaml", "house: 1\nfiles: {brewhouses: ['deploy/*.yaml']}\n")
    done = club.run("deploy/chart.yaml", "deploy/empty.yaml", script="hook")
    assert done.returncode == 1
    assert "[file-empty]" in done.stdout and "deploy/chart.yaml:" in done.stdout


def test_an_absent_file_is_2_and_the_others_are_checked(club: Club) -> None:
    club.write("recipes/bitter.yaml", PROMISED)
    done = club.run("absent.yaml", "recipes/bitter.yaml", script="hook")
    assert done.returncode == 2
    assert "[file-unreadable]" in done.stdout and "recipes/bitter.yaml:" in done.stdout


@pytest.mark.parametrize("args", [["--fail-at", "loud", "x"], ["--nonsense"], ["--brewhouse"], ["-x"]])
def test_a_wrong_call_is_2_in_one_line(club: Club, args: list[str]) -> None:
    done = club.run(*args, script="hook")
    assert done.returncode == 2 and done.stderr.count("\n") == 1 and not done.stdout


def test_no_files_is_nothing_to_do(club: Club) -> None:
    done = club.run(script="hook")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_help_names_every_option_and_status(club: Club) -> None:
    done = club.run("--help", script="hook")
    assert (done.returncode, done.stdout) == (0, HELP)
    assert all(f"  {name} " in HELP for name in OPTIONS)
    assert all(f"; {status} " in HELP or f": {status} " in HELP for status in (0, 1, 2))


def test_both_scripts_name_the_same_version(club: Club) -> None:
    assert club.run("--version", script="hook").stdout == club.run("--version").stdout
