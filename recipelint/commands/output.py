"""Writing what was rendered: standard output, and files that are whole or not there at all."""

from __future__ import annotations

import os
import sys

from recipelint.commands.outcome import Trouble, silence_output


def is_terminal() -> bool:
    try:
        return sys.stdout.isatty()
    except (AttributeError, ValueError):
        return False


def emit(text: str) -> None:
    """Text to standard output: UTF-8 into pipes and files whatever the locale, its own encoding on a terminal."""
    stream = sys.stdout
    if stream is None:
        raise Trouble("standard output is closed")
    encoding = stream.encoding or "utf-8" if is_terminal() else "utf-8"
    try:
        stream.flush()
        stream.buffer.write(text.encode(encoding, "backslashreplace"))
        stream.buffer.flush()
    except BrokenPipeError:
        silence_output()
    except OSError as error:
        silence_output()
        raise Trouble(f"standard output cannot be written: {error.strerror}") from None


def write_file(path: str, text: str) -> None:
    """Text to a file, through a temporary file beside it and a rename: a reader never sees half of it.

    An existing file keeps its permissions. Raises Trouble when it cannot be written.
    """
    spare = f"{path}.{os.getpid()}.tmp"
    try:
        if os.path.exists(path) and not os.path.isfile(path):
            # A device or a pipe, such as /dev/stdout, is written to and never replaced.
            with open(path, "wb") as stream:
                stream.write(text.encode())
            return
        target = os.path.realpath(path)
        spare = f"{target}.{os.getpid()}.tmp"
        with open(spare, "xb") as stream:
            if os.path.exists(target):
                os.chmod(spare, os.stat(target).st_mode & 0o7777)
            stream.write(text.encode())
        os.replace(spare, target)
    except OSError as error:
        if os.path.exists(spare):
            os.unlink(spare)
        raise Trouble(f"{path} cannot be written: {error.strerror}") from None
