"""Which book a path belongs to, and how paths are shown."""

from __future__ import annotations

from pathlib import Path

import pytest

from recipelint.commands.places import Asked, Roots, common_root, shown_from


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    for folder in ("club/recipes", "club/guests/recipes", "loose/deep"):
        (tmp_path / folder).mkdir(parents=True)
    (tmp_path / "club/recipelint.yaml").write_text("house: 1\n", encoding="utf-8")
    (tmp_path / "club/guests/recipelint.yaml").write_text("house: 1\n", encoding="utf-8")
    return tmp_path


def test_a_file_belongs_to_the_nearest_house(tree: Path) -> None:
    roots = Roots(str(tree))
    club, guests = str(tree / "club"), str(tree / "club/guests")
    assert roots.asked("club/recipes/a.yaml") == Asked("club/recipes/a.yaml", club, "recipes/a.yaml", False)
    assert roots.asked("club/guests/recipes/a.yaml").root == guests
    assert roots.asked("club/recipes") == Asked("club/recipes", club, "recipes", True)
    assert roots.asked("club") == Asked("club", club, ".", True)
    assert roots.asked(str(tree / "club/recipes/../x.yaml")).path == "x.yaml"


def test_without_a_house_the_current_folder_is_the_root(tree: Path) -> None:
    roots = Roots(str(tree / "loose"))
    assert roots.asked("deep/a.yaml") == Asked("deep/a.yaml", str(tree / "loose"), "deep/a.yaml", False)
    assert roots.asked("../elsewhere.yaml").root == str(tree)


def test_a_link_to_a_folder_leads_to_the_book_it_stands_in(tree: Path) -> None:
    (tree / "link").symlink_to("club/recipes")
    assert Roots(str(tree)).asked("link/a.yaml") == Asked(
        "link/a.yaml", str(tree / "club"), "recipes/a.yaml", False
    )


def test_paths_are_shown_from_the_current_folder(tree: Path) -> None:
    club = str(tree / "club")
    assert shown_from(str(tree), club)("recipes/a.yaml") == "club/recipes/a.yaml"
    assert shown_from(str(tree / "club/recipes"), club)("recipes/a.yaml") == "a.yaml"
    assert shown_from(str(tree / "loose"), club)("a.yaml") == "../club/a.yaml"


def test_several_books_have_a_folder_in_common() -> None:
    assert common_root(["/a/b", "/a/c/d"]) == "/a"
    assert common_root(["/a/b"]) == "/a/b"
