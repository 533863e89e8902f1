"""Which command a line asks for: the plain lines at once, everything else (help, mistakes) through the full parser."""

from __future__ import annotations

from collections.abc import Sequence

from recipelint.commands.options import Line, Option, Unclear, read_line

_LEVELS = ("note", "warning", "error", "never")
_COLOUR = Option(("auto", "always", "never"))
_FORMAT = Option(("text", "json"))

# Held equal to what the full parser knows by a test.
COMMANDS: dict[str, dict[str, Option]] = {
    "check": {
        "--format": _FORMAT,
        "--output": Option(repeated=True),
        "--fail-at": Option(_LEVELS),
        "--brewhouse": Option(),
        "--colour": _COLOUR,
    },
    "stats": {
        "--explain": Option(repeated=True),
        "--into-fermenter": Option(),
        "--format": _FORMAT,
        "--brewhouse": Option(),
        "--colour": _COLOUR,
    },
    "style": {
        "--style": Option(),
        "--list": Option(flag=True),
        "--format": _FORMAT,
        "--brewhouse": Option(),
        "--colour": _COLOUR,
    },
    "explain": {"--list": Option(flag=True)},
}
SPELLINGS = {"--color": "--colour"}


def run(args: Sequence[str]) -> int:
    known = COMMANDS.get(args[0]) if args else None
    if known is not None:
        try:
            line = read_line(args[1:], known, SPELLINGS)
        except Unclear:
            pass  # help or a mistake: the full parser has the words for it
        else:
            if args[0] == "check" or line.words or line.options:
                return start(args[0], line)
    from recipelint.commands.app import run_app

    return run_app(args)


def start(command: str, line: Line) -> int:
    """Runs a command whose line has been read; imports only what that command needs."""
    import gc

    gc.disable()  # the process is short; over many files ``check`` collects now and then by itself
    form = line.last("--format", "text") or "text"
    colour = line.last("--colour", "auto") or "auto"
    if command == "check":
        from recipelint.commands import check

        outputs = line.options.get("--output", [])
        return check.run(line.words, form, outputs, line.last("--fail-at"), line.last("--brewhouse"), colour)
    if command == "stats":
        from recipelint.commands import stats

        explained = line.options.get("--explain", [])
        came = line.last("--into-fermenter")
        return stats.run(line.words, form, line.last("--brewhouse"), colour, explained, came)
    if command == "style":
        from recipelint.commands import style

        if "--list" in line.options:
            return style.listed(line.words)
        return style.run(line.words, line.last("--style"), form, line.last("--brewhouse"), colour)
    from recipelint.commands import explain

    return explain.run(line.words, "--list" in line.options)
