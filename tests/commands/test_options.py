"""The quick reading of a command line, held equal to the full parser's."""

from __future__ import annotations

import itertools

import pytest
import typer

from recipelint.commands import app, route
from recipelint.commands.options import Line, Option, Unclear, read_line

KNOWN = {
    "--format": Option(("text", "json")),
    "--output": Option(repeated=True),
    "--list": Option(flag=True),
}


def read(*args: str) -> Line:
    return read_line(args, KNOWN, {"--form": "--format"})


def test_options_and_words_in_any_order() -> None:
    line = read("a", "--format", "json", "b c", "--output=json=x", "--output", "text=y", "--list")
    assert line == Line(
        {"--format": ["json"], "--output": ["json=x", "text=y"], "--list": [""]}, ["a", "b c"]
    )


def test_after_two_dashes_all_are_words() -> None:
    assert read("--", "--format", "-x") == Line({}, ["--format", "-x"])


def test_the_last_of_a_doubled_option_counts() -> None:
    assert read("--format=text", "--form", "json").last("--format") == "json"
    assert read().last("--format", "text") == "text"


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["--nonsense"], "--nonsense is not an option"),
        (["-x"], "-x is not an option"),
        (["--format"], "--format needs a value"),
        (["--format", "xml"], "--format is one of text, json, not 'xml'"),
        (["--list=yes"], "--list takes no value"),
    ],
)
def test_what_is_unclear_is_said(args: list[str], said: str) -> None:
    with pytest.raises(Unclear, match=said):
        read(*args)


def full_options(command: str) -> dict[str, tuple[bool, bool]]:
    group = typer.main.get_command(app.app)
    parameters = group.commands[command].params  # type: ignore[attr-defined]
    return {
        option.opts[0]: (bool(option.is_flag), bool(option.multiple))
        for option in parameters
        if option.param_type_name == "option" and option.name != "help"
    }


def test_both_parsers_know_the_same_commands_and_options() -> None:
    group = typer.main.get_command(app.app)
    assert set(group.commands) == set(route.COMMANDS)  # type: ignore[attr-defined]
    for command, known in route.COMMANDS.items():
        quick = {name: (option.flag, option.repeated) for name, option in known.items()}
        assert quick == full_options(command)


@pytest.mark.parametrize(
    "args",
    [
        ["check"],
        ["check", "a", "b"],
        ["check", "--format", "json", "--output", "json=x", "--output=text=y", "a"],
        ["check", "--fail-at=never", "--color", "always", "--brewhouse", "mine", "--", "-a"],
        ["stats", "a", "--format=json"],
        ["style", "--style", "bjcp-2021/17D", "a"],
        ["explain", "--list"],
        ["explain", "sugar-share-high"],
    ],
)
def test_both_parsers_read_the_same_line(args: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[tuple[str, Line]] = []

    def remember(command: str, line: Line) -> int:
        seen.append((command, line))
        return 0

    monkeypatch.setattr(route, "start", remember)
    monkeypatch.setattr(app, "start", remember)
    assert route.run(args) == 0
    assert app.run_app(args) == 0
    (quick_name, quick), (full_name, full) = seen
    assert quick_name == full_name and quick.words == full.words
    for name in route.COMMANDS[quick_name]:
        usual = {"--format": ["text"], "--colour": ["auto"]}.get(name)
        assert quick.options.get(name, usual) == full.options.get(name)


def test_choices_are_the_same_in_both(capsys: pytest.CaptureFixture[str]) -> None:
    for command, known in route.COMMANDS.items():
        for name, option in known.items():
            if option.choices:
                assert app.run_app([command, "x", f"{name}=nonsense"]) == 2
                said = capsys.readouterr().err
                listed = said.partition("is not one of ")[2].strip(" .\n").split(", ")
                assert listed == [f"'{choice}'" for choice in option.choices]


def test_mistakes_exit_with_2_and_say_what_is_known(capsys: pytest.CaptureFixture[str]) -> None:
    for args in ([], ["chek"], ["stats"], ["explain"], ["check", "--fail-at"], ["--nonsense"]):
        assert route.run(args) == 2, args
        assert capsys.readouterr().err


def test_every_command_explains_itself(capsys: pytest.CaptureFixture[str]) -> None:
    for args in itertools.chain([["--help"]], ([command, "--help"] for command in route.COMMANDS)):
        assert route.run(args) == 0
        text = capsys.readouterr().out
        assert all(width <= 80 for width in map(len, text.splitlines())), text
        assert not [line for line in text.splitlines() if line.startswith("  ") and line.endswith("...")], (
            "cut short"
        )
