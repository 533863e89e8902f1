"""The whole command line, with its help. Slow to import, so it is asked only for help and for mistakes.

It only reads the line: what was chosen is run outside of the parser, so that an interruption and a fault mean the
same here as on the quick way.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

import typer

from recipelint import __version__
from recipelint.commands.options import Line
from recipelint.commands.route import start

app = typer.Typer(
    name="recipelint",
    help="Reads beer recipes kept as YAML, brews them on paper, and judges them like a linter.",
    epilog="Exit status: 0 nothing at or above the level that fails; 1 something; "
    "2 it could not be done; 130 interrupted.",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

_Form = Annotated[Literal["text", "json"], typer.Option("--format", metavar="FORMAT", help="text or json")]
_Brewhouse = Annotated[
    str | None,
    typer.Option(
        "--brewhouse", metavar="NAME|FILE", help="brew on these vessels, not on those the recipe names"
    ),
]
_Colour = Annotated[
    Literal["auto", "always", "never"],
    typer.Option(
        "--colour",
        "--color",
        metavar="WHEN",
        help="auto, always or never; auto heeds NO_COLOR and FORCE_COLOR",
    ),
]
_Recipes = Annotated[list[str], typer.Argument(metavar="RECIPE...", show_default=False)]


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"recipelint {__version__}")
        raise typer.Exit


@app.callback()
def _top(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="print the version")
    ] = False,
) -> None:
    pass


def _choose(ctx: typer.Context, words: Sequence[str], **options: str | Sequence[str] | bool | None) -> None:
    found: dict[str, list[str]] = {}
    for name, value in options.items():
        key = "--" + name.replace("_", "-")
        if value is True:
            found[key] = [""]
        elif isinstance(value, str):
            found[key] = [value]
        elif value:
            found[key] = list(value)
    ctx.obj.append((ctx.command.name, Line(found, list(words))))


@app.command()
def check(
    ctx: typer.Context,
    paths: Annotated[list[str] | None, typer.Argument(metavar="[PATH...]", show_default=False)] = None,
    form: _Form = "text",
    output: Annotated[
        list[str] | None,
        typer.Option("--output", metavar="FORMAT=FILE", help="also write a file in this format; repeatable"),
    ] = None,
    fail_at: Annotated[
        Literal["note", "warning", "error", "never"] | None,
        typer.Option(
            "--fail-at",
            metavar="LEVEL",
            help="note, warning, error or never; unless recipelint.yaml says otherwise: warning",
        ),
    ] = None,
    brewhouse: _Brewhouse = None,
    colour: _Colour = "auto",
) -> None:
    """Say what is wrong in recipes, or doubtful.

    Each finding names its place and how far off it is. Without a PATH: the files that recipelint.yaml claims, else
    everything below this folder.
    """
    _choose(ctx, paths or [], format=form, output=output, fail_at=fail_at, brewhouse=brewhouse, colour=colour)


@app.command()
def stats(
    ctx: typer.Context,
    recipes: _Recipes,
    explain: Annotated[
        list[str] | None,
        typer.Option(
            "--explain",
            metavar="STAT",
            help="show the working of a stat, line by line with its numbers and sources; repeatable",
        ),
    ] = None,
    came: Annotated[
        str | None,
        typer.Option(
            "--into-fermenter",
            metavar="VOLUME",
            help="so much wort came out, not what was planned: the same extract, and all that follows",
        ),
    ] = None,
    form: _Form = "text",
    brewhouse: _Brewhouse = None,
    colour: _Colour = "auto",
) -> None:
    """Show what the beer will be.

    Station by station, with a 90 % band and a word on what stands behind a number.
    """
    _choose(
        ctx, recipes, explain=explain, into_fermenter=came, format=form, brewhouse=brewhouse, colour=colour
    )


@app.command()
def style(
    ctx: typer.Context,
    recipes: Annotated[list[str] | None, typer.Argument(metavar="[RECIPE...]", show_default=False)] = None,
    style: Annotated[
        str | None,
        typer.Option("--style", metavar="GUIDE/STYLE", help="another style than the recipe aims at"),
    ] = None,
    list_: Annotated[
        bool, typer.Option("--list", help="the styles there are; with words, those that hold them")
    ] = False,
    form: _Form = "text",
    brewhouse: _Brewhouse = None,
    colour: _Colour = "auto",
) -> None:
    """Compare a beer with its style.

    Stat by stat: inside, edge or outside, and how far; then the styles it is closest to.
    """
    _choose(ctx, recipes or [], style=style, list=list_, format=form, brewhouse=brewhouse, colour=colour)


@app.command(no_args_is_help=True)
def explain(
    ctx: typer.Context,
    rules: Annotated[list[str] | None, typer.Argument(metavar="[RULE...]", show_default=False)] = None,
    list_: Annotated[bool, typer.Option("--list", help="all rules, one a line")] = False,
) -> None:
    """Print a rule's page.

    What it looks at, its limits and where they come from, why it matters, and what to do.
    """
    _choose(ctx, rules or [], list=list_)


def run_app(args: Sequence[str]) -> int:
    """The exit status of a command line, read by the full parser: 2 for a mistake in it."""
    chosen: list[tuple[str, Line]] = []
    try:
        typer.main.get_command(app).main(list(args), prog_name="recipelint", obj=chosen)
    except SystemExit as ended:
        if ended.code or not chosen:
            return ended.code if isinstance(ended.code, int) else 0
    return start(*chosen[0])
