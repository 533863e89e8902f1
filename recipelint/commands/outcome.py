"""Exit statuses, and the last line of defence: no input and no fault ends in a traceback.

0: nothing at or above the level that fails. 1: a finding at or above it. 2: the request could not be carried out.
130: interrupted. Where several apply, 2 beats 1.
"""

from __future__ import annotations

import os
import sys

TYPE_CHECKING = False  # not from `typing`, which costs more to import than all that is here
if TYPE_CHECKING:
    from collections.abc import Callable

CLEAN, FOUND, TROUBLE, INTERRUPTED = 0, 1, 2, 130
DEBUG = "RECIPELINT_DEBUG"


class Trouble(Exception):
    """The tool cannot do what was asked; the message says why and what to do."""


def guarded(run: Callable[[list[str]], int], args: list[str]) -> int:
    """The exit status of ``run``, whatever it does: faults and interruptions become a short message and a status."""
    try:
        return run(args)
    except KeyboardInterrupt:
        complain("interrupted")
        return INTERRUPTED
    except Trouble as trouble:
        complain(str(trouble))
        return TROUBLE
    except BrokenPipeError:
        silence_output()
        return TROUBLE
    except OSError as error:
        if getattr(error, "errno", None) in (
            28,
            9,
        ):  # no space left, bad descriptor: standard output is full or closed
            return no_output()
        if os.environ.get(DEBUG):
            raise
        complain(fault_report(error))
        return TROUBLE
    except Exception as fault:
        if os.environ.get(DEBUG):
            raise
        complain(fault_report(fault))
        return TROUBLE


def no_output() -> int:
    """What to say and return where standard output cannot be written to."""
    silence_output()
    complain("standard output cannot be written to")
    return TROUBLE


def here() -> str:
    """The current folder. Raises Trouble where it has been deleted."""
    try:
        return os.getcwd()
    except OSError:
        raise Trouble("the current folder is no longer there") from None


def complain(message: str) -> None:
    """A line on standard error."""
    tell(f"recipelint: {message}\n")


def tell(text: str) -> None:
    """Text on standard error; nothing at all where even that is closed."""
    try:
        encoding = getattr(sys.stderr, "encoding", None) or "ascii"
        sys.stderr.write(text.encode(encoding, "backslashreplace").decode(encoding))
        sys.stderr.flush()
    except (AttributeError, OSError, ValueError):
        pass


def silence_output() -> None:
    """After the reader of a pipe has gone: nothing more is written, and the interpreter's last flush finds no fault."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
    except (AttributeError, OSError, ValueError):
        pass


def one_line(fault: BaseException) -> str:
    """What went wrong and where in the code, on one line: "KeyError: 'x' (brewing/process.py, line 12)"."""
    from recipelint.source.text import show

    where, trace = "", fault.__traceback__
    while trace is not None:
        file = trace.tb_frame.f_code.co_filename.replace("\\", "/")
        if "/recipelint/" in file:
            where = f" ({file.rpartition('/recipelint/')[2]}, line {trace.tb_lineno})"
        trace = trace.tb_next
    return f"{type(fault).__name__}: {show(str(fault), 200)}{where}"


def fault_report(fault: BaseException) -> str:
    return (
        f"a fault in recipelint itself, not in your recipe: {one_line(fault)}\n"
        f"  Please report it, with the recipe if you can share it and these versions: {versions()}.\n"
        f"  To see every step of it, run the same again with {DEBUG}=1 set."
    )


def versions() -> str:
    """What a report of a fault must name. Reads package metadata: only called when something is broken already."""
    from importlib.metadata import PackageNotFoundError, version

    from recipelint import __version__

    parts = [f"recipelint {__version__}", f"Python {sys.version.split()[0]} on {sys.platform}"]
    for package in ("PyYAML", "ruamel.yaml", "jsonschema-rs", "jsonschema", "typer"):
        try:
            parts.append(f"{package} {version(package)}")
        except PackageNotFoundError:
            parts.append(f"{package} absent")
    return ", ".join(parts)
