"""Every node keeps its place: spans, keys, lines and columns."""

import pytest

from recipelint.source.nodes import Alias, At, Document, Span
from recipelint.source.reader import read

RECIPE = """recipe: 1
name: "Harrow Field"   # a comment
grist:
  - malt: pale-ale-malt
    weight: 7.4 kg
  - {sugar: 'demerara', weight: 250 g}
mash:
  rests: [{at: 65 °C}, 2]
notes: |
  first
  second

empty:
"""


def written(document: Document, span: Span) -> str:
    return document.text[span.start : span.end]


@pytest.mark.parametrize("change", [lambda t: t, lambda t: t.replace("\n", "\r\n"), lambda t: "\ufeff" + t])
@pytest.mark.parametrize(
    ("pointer", "text", "position"),
    [
        ("/recipe", "1", (1, 9)),
        ("/name", '"Harrow Field"', (2, 7)),
        ("/grist/0/weight", "7.4 kg", (5, 13)),
        ("/grist/1/sugar", "'demerara'", (6, 13)),
        ("/grist/1/weight", "250 g", (6, 33)),
        ("/mash/rests/0/at", "65 °C", (8, 16)),
        ("/mash/rests/1", "2", (8, 24)),
        ("/empty", "", (13, 7)),
        # maps and lists: their first entry
        ("", "recipe: 1", (1, 1)),
        ("/grist", "malt: pale-ale-malt", (4, 5)),
        ("/grist/1", "sugar: 'demerara'", (6, 6)),
        ("/mash", "rests", (8, 3)),
        ("/mash/rests", "at: 65 °C", (8, 12)),
        # what is not there: the key of the nearest parent that is
        ("/mash/liquor", "mash", (7, 1)),
        ("/mash/rests/0/for", "at: 65 °C", (8, 12)),
        ("/mash/rests/9", "rests", (8, 3)),
        ("/name/a/b/c", "name", (2, 1)),
        ("/yeast/0", "recipe: 1", (1, 1)),
    ],
)
def test_span_of(change, pointer: str, text: str, position: tuple[int, int]) -> None:  # type: ignore[no-untyped-def]
    document = read("a.yaml", change(RECIPE).encode())
    assert document.problems == ()
    span = document.span_of(pointer)
    assert written(document, span) == text
    assert document.position(span.start) == position


def test_every_key_span_is_the_key() -> None:
    document = read("a.yaml", RECIPE.encode())
    for pointer, key in (("/recipe", "recipe"), ("/grist/0/weight", "weight"), ("/mash/rests/0/at", "at")):
        assert written(document, document.key_span(pointer)) == key
        node = document.find(pointer)
        assert node is not None
        assert node.key == document.key_span(pointer)
    # A list entry has no key; what is pointed at then is its first entry.
    assert written(document, document.key_span("/grist/0")) == "malt: pale-ale-malt"
    assert document.root is not None
    assert document.root.key is None
    entry = document.find("/grist/1")
    assert entry is not None
    assert entry.key is None


def test_spans_of_collections_hold_all_of_them() -> None:
    document = read("a.yaml", RECIPE.encode())
    grist, rests, entry = document.find("/grist"), document.find("/mash/rests"), document.find("/grist/1")
    assert grist is not None
    assert rests is not None
    assert entry is not None
    assert written(document, grist.span).startswith("- malt")
    assert written(document, grist.span).endswith("250 g}")
    assert written(document, rests.span) == "[{at: 65 °C}, 2]"
    assert written(document, entry.span) == "{sugar: 'demerara', weight: 250 g}"


def test_block_scalars_end_with_their_text() -> None:
    document = read("a.yaml", RECIPE.encode())
    node = document.find("/notes")
    assert node is not None
    assert node.value == "first\nsecond\n"
    assert written(document, node.span) == "|\n  first\n  second"
    assert not node.plain


def test_raw_and_plain() -> None:
    document = read("a.yaml", b"a: 1.060\nb: \"1.060\"\nc: '1.060'\nd: two\n  lines\ne: [1]\n")
    nodes = {key: document.find(f"/{key}") for key in "abcde"}
    assert [
        (n.raw, n.plain, n.value) for n in nodes.values() if n is not None and not isinstance(n.value, list)
    ] == [
        ("1.060", True, 1.06),
        ("1.060", False, "1.060"),
        ("1.060", False, "1.060"),
        ("two lines", True, "two lines"),
    ]
    last = nodes["e"]
    assert last is not None
    assert (last.raw, last.plain) == ("", False)


def test_columns_count_code_points() -> None:
    document = read("a.yaml", "é🍺: x\nb: {é: 1, 🍺🍺: [2, 3]}\n".encode())
    span = document.span_of("/b/🍺🍺/1")
    assert written(document, span) == "3"
    assert document.position(span.start) == (2, 19)
    assert document.position(document.span_of("/é🍺").start) == (1, 5)


def test_tabs_that_are_allowed_count_as_one_column() -> None:
    document = read("a.yaml", b"a:\tx\t# y\nb: [\t1,\t2]\n")
    assert document.problems == ()
    assert document.position(document.span_of("/a").start) == (1, 4)
    assert document.position(document.span_of("/b/1").start) == (2, 9)


def test_byte_order_mark_is_kept_in_mind_but_not_in_the_text() -> None:
    document = read("a.yaml", b"\xef\xbb\xbfa: 1\n")
    assert document.bom
    assert document.text == "a: 1\n"
    assert document.position(document.span_of("/a").start) == (1, 4)
    assert not read("a.yaml", b"a: 1\n").bom


def test_line_text() -> None:
    document = read("a.yaml", RECIPE.replace("\n", "\r\n").encode())
    assert document.line_text(5) == "    weight: 7.4 kg"
    assert document.line_text(99) == ""


def test_key_order_is_kept() -> None:
    document = read("a.yaml", b"z: 1\na: 2\nm: 3\n'0': 4\n")
    assert document.root is not None
    assert list(document.root.data) == ["z", "a", "m", "0"]  # type: ignore[call-overload]


def test_aliases_stand_where_they_are_and_their_children_where_the_anchor_is() -> None:
    document = read(
        "a.yaml",
        b"base: &pale {malt: pale, weight: 1 kg}\nagain: *pale\nlist: [*pale]\nname: &n x\ncopy: *n\n",
    )
    assert document.problems == ()
    again = document.find("/again")
    assert isinstance(again, Alias)
    assert again.data == {"malt": "pale", "weight": "1 kg"}
    assert written(document, document.span_of("/again")) == "*pale"
    assert written(document, document.span_of("/list/0")) == "*pale"
    assert written(document, document.span_of("/list")) == "*pale"
    assert written(document, document.span_of("/copy")) == "*n"
    assert document.position(document.span_of("/again/weight").start) == (1, 34)
    assert written(document, document.span_of("/again/weight")) == "1 kg"
    assert written(document, document.key_span("/again")) == "again"
    assert written(document, document.span_of("/name")) == "x"
    # something missing in an alias is missing where the alias stands
    assert written(document, document.span_of("/again/lot")) == "again"


def test_anchors_can_be_given_again() -> None:
    document = read("a.yaml", b"a: &x 1\nb: *x\nc: &x 2\nd: *x\n&k e: 3\nf: *k\n")
    assert document.problems == ()
    assert document.root is not None
    assert document.root.data == {"a": 1, "b": 1, "c": 2, "d": 2, "e": 3, "f": "e"}


def test_merge_keys_are_ordinary_keys() -> None:
    document = read("a.yaml", b"a: &x {b: 1}\nc:\n  <<: *x\n")
    assert document.problems == ()
    assert document.root is not None
    assert document.root.data == {"a": {"b": 1}, "c": {"<<": {"b": 1}}}


def test_empty_documents_point_somewhere() -> None:
    document = read("a.yaml", b"")
    assert document.span_of("/grist/0") == document.key_span("") == Span(0, 0)
    assert document.find("/a") is None
    assert document.position(0) == (1, 1)


def test_places_compare_by_file_and_pointer() -> None:
    assert At("a.yaml", "/grist") == ("a.yaml", "/grist")
    assert sorted([At("b", ""), At("a", "/z"), At("a", "/b")])[0].pointer == "/b"
