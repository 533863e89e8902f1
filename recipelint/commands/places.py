"""From the paths on a command line to the recipe books they lie in, and back to paths that a reader can open."""

import os
from collections.abc import Callable
from typing import NamedTuple

from recipelint.commands.outcome import Trouble
from recipelint.source.files import HOUSE_FILE, find_root


class Asked(NamedTuple):
    """One path of the command line: the root of its book, the path below the root, and whether it is a folder."""

    given: str
    root: str
    path: str
    folder: bool


class Roots:
    """Which book a folder belongs to. Each folder is looked at once."""

    def __init__(self, here: str) -> None:
        self.here = os.path.realpath(here)
        self._known: dict[str, str] = {}

    def of(self, folder: str) -> str:
        """The nearest house or git repository; for a folder in neither, the current folder if it lies below it."""
        root = self._known.get(folder)
        if root is None:
            root = find_root(folder)
            if not self._marked(root) and _below(folder, self.here) and not self._marked(self.here):
                root = self.here
            self._known[folder] = root
        return root

    @staticmethod
    def _marked(folder: str) -> bool:
        return any(os.path.exists(os.path.join(folder, name)) for name in (HOUSE_FILE, ".git"))

    def asked(self, given: str) -> Asked:
        """A path as it was typed; one that does not exist counts as a file."""
        if not given:
            raise Trouble("an empty path was given; name a recipe or a folder")
        full = os.path.join(self.here, given)
        if os.path.isdir(full):
            full = os.path.realpath(full)
            root = self.of(full)
            return Asked(given, root, _slashed(os.path.relpath(full, root)), True)
        # The last name stays as it is: if it is a link, the door to files decides whether to follow it.
        folder = os.path.realpath(os.path.dirname(full))
        root = self.of(folder)
        return Asked(
            given, root, _slashed(os.path.relpath(os.path.join(folder, os.path.basename(full)), root)), False
        )


def _below(path: str, folder: str) -> bool:
    return path == folder or path.startswith(folder.rstrip(os.sep) + os.sep)


def _slashed(path: str) -> str:
    return path.replace("\\", "/") if os.sep == "\\" else path


def shown_from(here: str, root: str) -> Callable[[str], str]:
    """Paths below ``root`` as a reader in the folder ``here`` would type them."""
    here = os.path.realpath(here)
    memory: dict[str, str] = {}

    def shown(path: str) -> str:
        answer = memory.get(path)
        if answer is None:
            answer = memory[path] = _slashed(os.path.relpath(os.path.join(root, path), here))
        return answer

    return shown


def common_root(roots: list[str]) -> str:
    """The folder that JSON's paths are relative to: the book's root; for several books, what they have in common."""
    try:
        return os.path.commonpath(roots)
    except ValueError:  # several drives
        return roots[0]
