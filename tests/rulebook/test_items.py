"""Keys of items last while lines come and go."""

from __future__ import annotations

from recipelint.rulebook.items import item_key, item_keys
from tests.rulebook.kitchen import Cooked, cooked

HOPS = [
    {"hop": "fuggle", "weight": "10 g", "boil": "60 min"},
    {"hop": "east-kent-golding", "weight": "10 g", "boil": "10 min"},
    {"hop": "fuggle", "weight": "10 g", "dry_hop": "5 d before package"},
    {"hop": "east-kent-golding", "weight": "15 g", "boil": "5 min"},
]


def test_keys_name_list_id_and_stage() -> None:
    keys = item_keys(Cooked("pale-ale", {"hops": HOPS}).recipe)
    assert [keys[f"/hops/{number}"] for number in range(4)] == [
        "hops/fuggle@boil",
        "hops/east-kent-golding@boil",
        "hops/fuggle@dry_hop",
        "hops/east-kent-golding@boil#2",
    ]
    assert keys["/grist/0"] == "grist/pale-ale-malt"
    assert keys["/yeast/0"] == "yeast/american-ale-neutral"


def test_a_pointer_inside_an_item_has_its_key() -> None:
    recipe = cooked("barley-wine").recipe
    assert item_key(recipe, "/grist/2/weight") == "grist/invert-sugar-2@boil"
    assert item_key(recipe, "/grist/2") == "grist/invert-sugar-2@boil"
    assert item_key(recipe, "/mash/rests/0/at") == "rests/65C"
    assert item_key(recipe, "/packaging/yeast/weight") == "packaging/ale-bottle-conditioning"
    assert item_key(recipe, "/boil/for") is None and item_key(recipe, "") is None
    assert item_key(recipe, "/grist/20") is None


def test_a_line_put_in_above_changes_no_other_key() -> None:
    before = item_keys(Cooked("pale-ale", {"hops": HOPS}).recipe)
    after = item_keys(
        Cooked("pale-ale", {"hops": [{"hop": "magnum", "weight": "5 g", "boil": "60 min"}, *HOPS]}).recipe
    )
    assert set(before.values()) < set(after.values())
    for number in range(4):
        assert before[f"/hops/{number}"] == after[f"/hops/{number + 1}"]


def test_keys_are_unique() -> None:
    twice = [{"malt": "pale-ale-malt", "weight": "1 kg"}] * 4
    keys = item_keys(Cooked("pale-ale", {"grist": twice}).recipe)
    assert len(set(keys.values())) == len(keys)
    assert keys["/grist/3"] == "grist/pale-ale-malt#4"
