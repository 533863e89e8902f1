"""``recipelint``: the way in."""

from __future__ import annotations

import sys


def main() -> None:
    """Runs what the command line asks for and exits with its status."""
    args = sys.argv[1:]
    if args == ["--version"]:  # answered before anything is imported: tools ask it often
        from recipelint import __version__

        try:
            sys.stdout.write(f"recipelint {__version__}\n")
            sys.stdout.flush()
            return
        except (AttributeError, OSError, ValueError):  # standard output is closed or full
            from recipelint.commands.outcome import no_output

            sys.exit(no_output())
    import gc

    from recipelint.commands.outcome import guarded

    status = guarded(_run, args)
    gc.freeze()  # or the interpreter, on its way out, looks through all objects for rings: as long as it took to start
    sys.exit(status)


def _run(args: list[str]) -> int:
    from recipelint.commands.route import run

    return run(args)


if __name__ == "__main__":
    main()
