"""The one door to files: nothing outside the root, nothing that is no file, and a list of what was asked."""

import os
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from recipelint.source import limits
from recipelint.source.files import FileTrouble, Globs, Overlay, WorkTree, find_root, normal


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    for path in (
        "recipelint.yaml",
        "recipes/pale.yaml",
        "recipes/old/stout.yaml",
        "recipes/old/notes.txt",
        "brewhouses/shed.yaml",
        ".hidden/x.yaml",
        ".git/config.yaml",
        "node_modules/a/x.yaml",
        "env/pyvenv.cfg",
        "env/lib/x.yaml",
        "env/y.yaml",
        "recipes/.draft.yaml",
        "recipes/.wip/x.yaml",
    ):
        file = root / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(b"recipe: 1\n")
    (tmp_path / "secret.yaml").write_bytes(b"secret: 1\n")
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "x.yaml").write_bytes(b"secret: 1\n")
    return root


def trouble(files: WorkTree | Overlay, path: str) -> str:
    with pytest.raises(FileTrouble) as caught:
        files.read(path)
    assert caught.value.path == path
    assert str(caught.value).isprintable()
    return caught.value.message


def test_read_and_record(book: Path) -> None:
    files = WorkTree(str(book))
    assert files.read("recipes/pale.yaml") == b"recipe: 1\n"
    assert files.read("./recipes//pale.yaml") == b"recipe: 1\n"
    assert "no such file" in trouble(files, "recipes/none.yaml")
    assert "no such file" in trouble(files, "recipes/pale.yaml/x")
    assert files.reads == {
        "recipes/pale.yaml": True,
        "recipes/none.yaml": False,
        "recipes/pale.yaml/x": False,
    }


def test_a_file_that_comes_later_counts_as_read(book: Path) -> None:
    files = WorkTree(str(book))
    trouble(files, "new.yaml")
    (book / "new.yaml").write_bytes(b"")
    assert files.read("new.yaml") == b""
    assert files.reads == {"new.yaml": True}


@pytest.mark.parametrize(
    "path", ["../secret.yaml", "recipes/../../secret.yaml", "recipes/..", "..", "a/../recipelint.yaml"]
)
def test_paths_do_not_climb(book: Path, path: str) -> None:
    files = WorkTree(str(book))
    assert "`..`" in trouble(files, path)
    assert files.reads == {path: False}


def test_absolute_paths_and_nul_are_refused(book: Path) -> None:
    files = WorkTree(str(book))
    assert "outside" in trouble(files, str(book / "recipelint.yaml"))
    with pytest.raises(FileTrouble, match="NUL"):
        files.read("a\0b")


def test_folders_are_no_files(book: Path) -> None:
    files = WorkTree(str(book))
    for path in ("recipes", "recipes/old"):
        assert "folder" in trouble(files, path)
    for path in ("recipes/", "", ".", "./recipes"):
        with pytest.raises(FileTrouble, match="folder"):
            files.read(path)


def test_links_inside_are_followed_and_links_out_are_refused(book: Path) -> None:
    (book / "inner.yaml").symlink_to("recipes/pale.yaml")
    (book / "outer.yaml").symlink_to("../secret.yaml")
    (book / "absolute.yaml").symlink_to(book.parent / "secret.yaml")
    (book / "away").symlink_to("../elsewhere")
    (book / "round.yaml").symlink_to("round.yaml")
    (book / "gone.yaml").symlink_to("none.yaml")
    (book / "chain.yaml").symlink_to("outer.yaml")
    (book / "kept").symlink_to("recipes")
    files = WorkTree(str(book))
    assert files.read("inner.yaml") == b"recipe: 1\n"
    assert files.read("kept/pale.yaml") == b"recipe: 1\n"
    for path in ("outer.yaml", "absolute.yaml", "away/x.yaml", "chain.yaml"):
        assert "repository" in trouble(files, path)
    assert "circle" in trouble(files, "round.yaml") or "no such" in trouble(files, "round.yaml")
    assert "no such file" in trouble(files, "gone.yaml")
    assert "folder" in trouble(files, "kept")


def test_a_sibling_with_the_same_beginning_is_outside(book: Path) -> None:
    sibling = book.parent / "bookshelf"
    sibling.mkdir()
    (sibling / "x.yaml").write_bytes(b"")
    (book / "x.yaml").symlink_to("../bookshelf/x.yaml")
    assert "out of the repository" in trouble(WorkTree(str(book)), "x.yaml")


def test_the_root_itself_may_be_reached_by_a_link(book: Path) -> None:
    link = book.parent / "link"
    link.symlink_to(book)
    files = WorkTree(str(link))
    assert files.root == os.path.realpath(book)
    assert files.read("recipes/pale.yaml") == b"recipe: 1\n"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no fifos here")
def test_fifos_and_devices_are_refused_at_once(book: Path) -> None:
    os.mkfifo(book / "pipe.yaml")
    (book / "null.yaml").symlink_to("/dev/null")
    files = WorkTree(str(book))
    assert "pipe" in trouble(files, "pipe.yaml")
    assert "out of the repository" in trouble(files, "null.yaml")
    assert files.list(["*.yaml"]) == ["recipelint.yaml"]


@pytest.mark.parametrize(
    "size",
    [
        0,
        1,
        4095,
        4096,
        70_000,
        limits.FILE_BYTES - 1,
        limits.FILE_BYTES,
        limits.FILE_BYTES + 1,
        3 * limits.FILE_BYTES,
    ],
)
def test_no_more_is_read_than_shows_that_it_is_too_much(book: Path, size: int) -> None:
    (book / "big.yaml").write_bytes(b"x" * size)
    assert len(WorkTree(str(book)).read("big.yaml")) == min(size, limits.FILE_BYTES + 1)


@pytest.mark.parametrize(
    ("globs", "found"),
    [
        (["recipes/*.yaml"], ["recipes/pale.yaml"]),
        (["recipes/**/*.yaml"], ["recipes/old/stout.yaml", "recipes/pale.yaml"]),
        (["recipes/**"], ["recipes/old/notes.txt", "recipes/old/stout.yaml", "recipes/pale.yaml"]),
        (
            ["**/*.yaml"],
            ["brewhouses/shed.yaml", "recipelint.yaml", "recipes/old/stout.yaml", "recipes/pale.yaml"],
        ),
        (["*.yaml"], ["recipelint.yaml"]),
        (["*/*.yaml"], ["brewhouses/shed.yaml", "recipes/pale.yaml", "env/y.yaml"][:2]),
        (["*/old/*.yaml"], ["recipes/old/stout.yaml"]),
        (["recipes/pal?.yaml", "recipes/*.yaml"], ["recipes/pale.yaml"]),
        (["brewhouses/shed.yaml"], ["brewhouses/shed.yaml"]),
        (["recipes/.*.yaml"], ["recipes/.draft.yaml"]),
        (["recipes/*.yml"], []),
        (["none/*.yaml"], []),
        (["recipes/[p]ale.yaml"], []),
        (["recipes"], []),
        ([], []),
        (["./recipes/*.yaml"], ["recipes/pale.yaml"]),
        ([".hidden/*.yaml"], [".hidden/x.yaml"]),
        ([".git/*.yaml"], []),
        (["recipes/*.yaml", "recipes/old/*.yaml"], ["recipes/old/stout.yaml", "recipes/pale.yaml"]),
        (["**/stout.yaml"], ["recipes/old/stout.yaml"]),
        (["**/old/**/*.txt"], ["recipes/old/notes.txt"]),
    ],
)
def test_list(book: Path, globs: list[str], found: list[str]) -> None:
    files = WorkTree(str(book))
    assert files.list(globs) == found
    assert files.reads == {}


def test_list_does_not_follow_links_to_folders(book: Path) -> None:
    (book / "recipes" / "loop").symlink_to("..")
    (book / "away").symlink_to("../elsewhere")
    (book / "recipes" / "linked.yaml").symlink_to("pale.yaml")
    files = WorkTree(str(book))
    assert files.list(["recipes/**/*.yaml"]) == [
        "recipes/linked.yaml",
        "recipes/old/stout.yaml",
        "recipes/pale.yaml",
    ]
    assert files.list(["away/*.yaml", "**/x.yaml"]) == []


@pytest.mark.parametrize("glob", ["../*.yaml", "/etc/*", "recipes/../../*"])
def test_globs_do_not_climb(book: Path, glob: str) -> None:
    with pytest.raises(FileTrouble):
        WorkTree(str(book)).list([glob])


def test_names_that_are_no_utf_8(book: Path) -> None:
    try:
        (book / "caf\udce9.yaml").write_bytes(b"a: 1\n")
    except OSError:
        pytest.skip("this file system takes only UTF-8 names")
    files = WorkTree(str(book))
    assert files.list(["caf*.yaml"]) == ["caf\udce9.yaml"]
    assert files.read("caf\udce9.yaml") == b"a: 1\n"
    (book / "caf\udce9.yaml").unlink()
    trouble(files, "caf\udce9.yaml")


def test_a_glob_with_many_stars_is_quick() -> None:
    # Each star is a loop; were they nested without bounds this would not end.
    assert Globs(["**/" * 8 + "*.yaml"]).match("a/" * 30 + "x.txt") is None
    assert Globs(["*a" * 10 + "*"]).match("a" * 60 + "/") is None


def fits(pattern: list[str], path: list[str]) -> bool:
    """What a glob means, said the slow and plain way."""
    if not pattern or not path:
        return not pattern and not path
    if pattern[0] == "**":
        if path[0].startswith("."):
            return len(pattern) > 1 and fits(pattern[1:], path)
        return fits(pattern[1:], path) or fits(pattern, path[1:]) or (len(pattern) == 1 and len(path) == 1)
    return name_fits(pattern[0], path[0], True) and fits(pattern[1:], path[1:])


def name_fits(pattern: str, name: str, first: bool) -> bool:
    if not pattern:
        return not name
    if first and pattern[0] in "*?" and name.startswith("."):
        return False
    if pattern[0] == "*":
        return name_fits(pattern[1:], name, False) or (bool(name) and name_fits(pattern, name[1:], False))
    return bool(name) and pattern[0] in ("?", name[0]) and name_fits(pattern[1:], name[1:], False)


@given(
    st.lists(
        st.sampled_from(["**", "*", "a", "b", "a*", "*a*b", "?", "a?*", "*.y", "??", "*a*a*"]),
        min_size=1,
        max_size=5,
    ),
    st.lists(st.sampled_from(["a", "b", "ab", "aab", "abab", ".y", "a.y", "aba"]), min_size=1, max_size=6),
)
@example(["**", "a", "**", "b"], ["a", "b", "a", "b"])
@example(["*a*b"], ["abab"])
def test_globs_mean_what_they_say(pattern: list[str], path: list[str]) -> None:
    found = Globs(["/".join(pattern)]).match("/".join(path)) is not None
    assert found == fits(pattern, path)


def test_overlay(book: Path) -> None:
    base = WorkTree(str(book))
    files = Overlay(
        base, {"recipes/pale.yaml": b"unsaved", "./recipes/new.yaml": b"new", "big.yaml": b"x" * 2_000_000}
    )
    assert files.root == base.root
    assert files.read("recipes/pale.yaml") == b"unsaved"
    assert files.read("recipes/new.yaml") == b"new"
    assert files.read("recipes/old/stout.yaml") == b"recipe: 1\n"
    assert len(files.read("big.yaml")) == limits.FILE_BYTES + 1
    assert "no such file" in trouble(files, "none.yaml")
    assert "`..`" in trouble(files, "../secret.yaml")
    assert files.list(["recipes/*.yaml"]) == ["recipes/new.yaml", "recipes/pale.yaml"]
    assert files.reads == {
        "recipes/pale.yaml": True,
        "recipes/new.yaml": True,
        "recipes/old/stout.yaml": True,
        "big.yaml": True,
        "none.yaml": False,
        "../secret.yaml": False,
    }
    assert base.reads == {"recipes/old/stout.yaml": True, "none.yaml": False}
    with pytest.raises(FileTrouble):
        Overlay(base, {"../x.yaml": b""})


def test_normal() -> None:
    assert normal("a/./b//c") == "a/b/c"
    assert normal("a..b/c") == "a..b/c"
    assert normal("") == normal(".") == normal("./") == ""


def test_find_root(tmp_path: Path) -> None:
    start = tmp_path / "home" / "book" / "recipes" / "old"
    start.mkdir(parents=True)
    file = start / "x.yaml"
    file.write_bytes(b"")
    assert find_root(str(file)) == str(start)
    (tmp_path / "home" / "book" / ".git").mkdir()
    assert find_root(str(file)) == str(tmp_path / "home" / "book")
    # A house file above the repository does not rule over it; one inside does.
    (tmp_path / "home" / "recipelint.yaml").write_bytes(b"")
    assert find_root(str(start)) == str(tmp_path / "home" / "book")
    (start.parent / "recipelint.yaml").write_bytes(b"")
    assert find_root(str(start)) == str(start.parent)
    assert find_root(str(start / "none" / "deeper" / "y.yaml")) == str(start.parent)


def test_find_root_in_a_worktree(tmp_path: Path) -> None:
    (tmp_path / ".git").write_bytes(b"gitdir: elsewhere\n")
    (tmp_path / "a").mkdir()
    assert find_root(str(tmp_path / "a")) == str(tmp_path)


def test_find_root_from_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "recipelint.yaml").write_bytes(b"")
    (tmp_path / "a").mkdir()
    monkeypatch.chdir(tmp_path / "a")
    assert find_root(".") == os.path.realpath(tmp_path) or find_root(".") == str(tmp_path)
