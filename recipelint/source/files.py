"""The one door to files. Paths are relative to a root, with forward slashes, and never lead out of it."""

import errno
import os
import re
import stat
from collections.abc import Mapping, Sequence
from typing import Protocol

from . import limits
from .text import show

HOUSE_FILE = "recipelint.yaml"

_SKIPPED = frozenset((".git", "node_modules"))
_NO_FOLLOW = getattr(os, "O_NOFOLLOW", 0)
# Non-blocking, so that opening a fifo returns at once and it can be refused by what it is.
_FLAGS = (
    os.O_RDONLY
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_BINARY", 0)
)


class FileTrouble(Exception):
    """A file that cannot be read: absent, a folder, unreadable, no ordinary file, or outside the root."""

    def __init__(self, path: str, message: str) -> None:
        super().__init__(f"{show(path, 200)}: {message}")
        self.path = path
        self.message = message


class Files(Protocol):
    """Where files come from: a work tree, a revision, an editor's unsaved text."""

    root: str
    reads: dict[str, bool]

    def read(self, path: str) -> bytes:
        """The bytes of a file, at most one more than the size limit. Raises FileTrouble."""
        ...

    def list(self, globs: Sequence[str]) -> "list[str]":
        """The files that match any of the globs, relative to the root and sorted."""
        ...


def normal(path: str) -> str:
    """A relative path with forward slashes and without `.` parts.

    Raises FileTrouble if it leads out of the root.
    """
    if "\0" in path:
        raise FileTrouble(path, "a file name cannot hold a NUL character")
    slashed = path.replace("\\", "/") if os.sep == "\\" else path
    if slashed.startswith("/") or (os.sep == "\\" and ":" in slashed):
        raise FileTrouble(path, "is outside the repository: paths are relative to its root")
    if "/" not in slashed and slashed not in ("", ".", ".."):
        return slashed
    parts = [part for part in slashed.split("/") if part not in ("", ".")]
    if ".." in parts:
        raise FileTrouble(path, "leads out of its folder: `..` is not followed")
    return "/".join(parts)


class WorkTree:
    """The files below a folder on disk."""

    def __init__(self, root: str) -> None:
        self.root = os.path.realpath(root)
        self.reads: dict[str, bool] = {}
        self._inside: dict[str, bool] = {}  # folders already seen, and whether they really lie below the root

    def read(self, path: str) -> bytes:
        """The bytes of a file below the root, at most one more than the size limit. Raises FileTrouble."""
        try:
            path = normal(path)
            data = self._read(path)
        except FileTrouble:
            self.reads.setdefault(path, False)
            raise
        except OSError as error:
            self.reads.setdefault(path, False)
            raise FileTrouble(path, _words(error)) from None
        self.reads[path] = True
        return data

    def list(self, globs: Sequence[str]) -> "list[str]":
        """The files that match, sorted; `Globs` has the forms. Folders that do not open are passed over."""
        wanted = Globs(globs)
        found: set[str] = set()
        for start in wanted.starts:
            if not start or self._plain_folder(start):
                self._walk(start, wanted, found)
        return sorted(found)

    def _read(self, path: str) -> bytes:
        folder, _, _ = path.rpartition("/")
        if not self._contains(folder):
            raise FileTrouble(path, "lies outside the repository, behind a link")
        full = os.path.join(self.root, path)
        try:
            if not _NO_FOLLOW and os.path.islink(full):
                raise OSError(errno.ELOOP, "a link")
            handle = os.open(full, _FLAGS | _NO_FOLLOW)
        except OSError as error:
            if error.errno not in (errno.ELOOP, errno.EMLINK, errno.EISDIR, errno.EACCES):
                raise
            if os.path.isdir(full):
                raise FileTrouble(path, "is a folder, not a file") from None
            if not os.path.islink(full):
                raise
            target = os.path.realpath(full)
            if not _below(target, self.root):
                raise FileTrouble(path, "is a link that leads out of the repository") from None
            handle = os.open(target, _FLAGS)
        try:
            return _content(handle, path)
        finally:
            os.close(handle)

    def _contains(self, folder: str) -> bool:
        inside = self._inside.get(folder)
        if inside is None:
            inside = _below(os.path.realpath(os.path.join(self.root, folder)), self.root)
            self._inside[folder] = inside
        return inside

    def _plain_folder(self, folder: str) -> bool:
        """A folder reached without links and outside `.git`, where a walk may begin."""
        place = self.root
        for part in folder.split("/"):
            place = os.path.join(place, part)
            if part == ".git" or os.path.islink(place):
                return False
        return os.path.isdir(place)

    def _walk(self, start: str, wanted: "Globs", found: set[str]) -> None:
        folders = [start]
        while folders:
            folder = folders.pop()
            prefix = f"{folder}/" if folder else ""
            below: list[str] = []
            here: list[str] = []
            try:
                with os.scandir(os.path.join(self.root, folder)) as entries:
                    for entry in entries:
                        name = entry.name
                        if entry.is_dir(follow_symlinks=False):
                            if not name.startswith(".") and name not in _SKIPPED:
                                below.append(prefix + name)
                        elif name == "pyvenv.cfg" and folder != start:
                            break  # a Python virtual environment: nothing in it is the brewer's
                        elif wanted.match(prefix + name) and _is_file(entry):
                            here.append(prefix + name)
                    else:
                        found.update(here)
                        folders.extend(below if wanted.deep else _shallow(below, wanted.levels))
            except OSError:
                continue


def _is_file(entry: "os.DirEntry[str]") -> bool:
    """Whether an entry is a file or a link to one; a link in a circle must not hide what lies beside it."""
    try:
        return entry.is_file()
    except OSError:
        return False


def _shallow(folders: "list[str]", levels: int) -> "list[str]":
    """The folders in which a pattern with this many slashes can still find something."""
    return [folder for folder in folders if folder.count("/") < levels]


def _below(path: str, root: str) -> bool:
    return path == root or path.startswith(root if root.endswith(os.sep) else root + os.sep)


def _content(handle: int, path: str) -> bytes:
    about = os.fstat(handle)
    mode = about.st_mode
    if stat.S_ISDIR(mode):
        raise FileTrouble(path, "is a folder, not a file")
    if not stat.S_ISREG(mode):
        raise FileTrouble(path, "is a device or a pipe, not a file")
    most = limits.FILE_BYTES + 1
    # Asking for what is there spares a buffer of a megabyte for each file; one byte more shows that it has grown.
    wanted = min(about.st_size + 1, most)
    data = os.read(handle, wanted)
    if len(data) != about.st_size or len(data) == most:
        # A short answer may still be a partial one, on network file systems and after signals.
        parts = [data]
        size = len(data)
        while parts[-1] and size < most:
            parts.append(os.read(handle, most - size))
            size += len(parts[-1])
        return b"".join(parts) if len(parts) > 2 else data
    return data


def _words(error: OSError) -> str:
    if error.errno in (errno.ENOENT, errno.ENOTDIR):
        return "there is no such file"
    if error.errno in (errno.EACCES, errno.EPERM):
        return "may not be read: permission is denied"
    if error.errno == errno.ELOOP:
        return "is a link that leads in a circle"
    if error.errno == errno.ENAMETOOLONG:
        return "the name is too long"
    return f"cannot be read: {os.strerror(error.errno)}" if error.errno else "cannot be read"


class Overlay:
    """Files as they are elsewhere, but for some whose bytes are given: an editor's unsaved text."""

    def __init__(self, base: Files, changed: Mapping[str, bytes]) -> None:
        self.root = base.root
        self.reads: dict[str, bool] = {}
        self._base = base
        self._changed = {normal(path): data for path, data in changed.items()}

    def read(self, path: str) -> bytes:
        """The given bytes of a file, else those of the base. Raises FileTrouble."""
        try:
            path = normal(path)
            data = self._changed.get(path)
            if data is None:
                data = self._base.read(path)
        except FileTrouble:
            self.reads.setdefault(path, False)
            raise
        self.reads[path] = True
        return data[: limits.FILE_BYTES + 1]

    def list(self, globs: Sequence[str]) -> "list[str]":
        """The files of the base that match, and the given ones that do."""
        wanted = Globs(globs)
        return sorted({*self._base.list(globs), *(path for path in self._changed if wanted.match(path))})


class Globs:
    """Patterns for paths below the root.

    `*` and `?` stand for characters other than a slash and, at the start of a name, other than a dot; `**` as
    a whole part stands for any number of folders, none included. All else stands for itself. Raises
    FileTrouble for a pattern that leads out of the root.
    """

    def __init__(self, globs: Sequence[str]) -> None:
        patterns = [normal(glob) for glob in globs]
        self.match = re.compile(
            "|".join(_regex(pattern) for pattern in patterns) if patterns else r"(?!)"
        ).fullmatch
        self.starts = _starts(patterns)
        self.deep = any("**" in pattern.split("/") for pattern in patterns)
        self.levels = max((pattern.count("/") for pattern in patterns), default=0)


def _starts(patterns: "list[str]") -> "list[str]":
    """The folders to walk from: what stands before the first wildcard, without those below another."""
    starts = set()
    for pattern in patterns:
        folders = pattern.split("/")[:-1]
        for place, part in enumerate(folders):
            if "*" in part or "?" in part:
                folders = folders[:place]
                break
        starts.add("/".join(folders))
    return sorted(starts)


_FOLDERS = r"(?:[^/.][^/]*/)*"  # any number of folders, none of them hidden


def _regex(pattern: str) -> str:
    """A pattern as a regular expression that does not backtrack.

    Between two wildcards the first place that fits is as good as any later one, so each is an atomic
    group, and no glob can be written that takes long to match.
    """
    groups: list[list[str]] = [[]]
    for part in pattern.split("/"):
        if part != "**":
            groups[-1].append(_part(part))
        elif groups[-1] or len(groups) == 1:  # `**/**` is one
            groups.append([])
    if len(groups) == 1:
        return "/".join(groups[0])
    first, *middle, last = groups
    out = "".join(f"{part}/" for part in first)
    for group in middle:
        out += f"(?>{_FOLDERS[:-1]}*?{'/'.join(group)}/)"
    return out + _FOLDERS + ("/".join(last) or r"[^/.][^/]*")


def _part(part: str) -> str:
    """One name of a pattern."""
    pieces = [re.escape(piece).replace(r"\?", "[^/]") for piece in part.split("*")]
    hidden = r"(?!\.)" if part[:1] in ("*", "?") else ""
    if len(pieces) == 1:
        return hidden + pieces[0]
    middle = "".join(f"(?>[^/]*?{piece})" for piece in pieces[1:-1] if piece)
    return f"{hidden}{pieces[0]}{middle}[^/]*{pieces[-1]}"


def find_root(start: str) -> str:
    """The root of the recipe book a file or folder belongs to, as an absolute path.

    The nearest folder upward that holds recipelint.yaml; else the one that holds .git; else the start itself.
    The search for recipelint.yaml ends at .git: a file outside the repository does not rule over it.
    """
    place = os.path.abspath(start)
    if not os.path.isdir(place):
        place = os.path.dirname(place)
    first = place
    while True:
        if os.path.isfile(os.path.join(place, HOUSE_FILE)) or os.path.exists(os.path.join(place, ".git")):
            return place
        above = os.path.dirname(place)
        if above == place:
            return first
        place = above
