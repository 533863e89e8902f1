"""``recipelint-hook FILE...``: the files a commit changes, checked almost as fast as Python starts.

Git hooks run on every commit, so there is no command-line framework here and no import that the work does not need.
"""

from __future__ import annotations

import sys


def main() -> None:
    """Checks the files named and exits with the status."""
    args = sys.argv[1:]
    if args == ["--version"]:
        from recipelint import __version__

        try:
            sys.stdout.write(f"recipelint {__version__}\n")
            sys.stdout.flush()
            return
        except (AttributeError, OSError, ValueError):  # standard output is closed or full
            from recipelint.commands.outcome import no_output

            sys.exit(no_output())
    import gc

    gc.disable()  # before the other imports, which make many objects and no garbage; the process is short
    from recipelint.commands.outcome import guarded

    status = guarded(_run, args)
    gc.freeze()  # or the interpreter, on its way out, looks through all objects for rings: as long as it took to start
    sys.exit(status)


def _run(args: list[str]) -> int:
    from recipelint.commands.staged import run

    return run(args)


if __name__ == "__main__":
    main()
