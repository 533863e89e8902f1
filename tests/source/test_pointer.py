"""Pointers against the examples of RFC 6901 itself."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipelint.source import pointer
from recipelint.source.reader import read

# RFC 6901, section 5: the document, and what each pointer evaluates to (written there as JSON strings).
DOCUMENT = rb"""{
   "foo": ["bar", "baz"],
   "": 0,
   "a/b": 1,
   "c%d": 2,
   "e^f": 3,
   "g|h": 4,
   "i\\j": 5,
   "k\"l": 6,
   " ": 7,
   "m~n": 8
}"""
EXAMPLES = [
    ("/foo", ["bar", "baz"]),
    ("/foo/0", "bar"),
    ("/", 0),
    ("/a~1b", 1),
    ("/c%d", 2),
    ("/e^f", 3),
    ("/g|h", 4),
    ("/i\\j", 5),
    ('/k"l', 6),
    ("/ ", 7),
    ("/m~0n", 8),
]


@pytest.mark.parametrize(("text", "value"), EXAMPLES)
def test_rfc_6901_section_5(text: str, value: object) -> None:
    document = read("rfc6901.yaml", DOCUMENT)
    node = document.find(text)
    assert node is not None
    assert node.data == value


def test_the_empty_pointer_is_the_whole_document() -> None:
    document = read("rfc6901.yaml", DOCUMENT)
    assert document.find("") is document.root


def test_rfc_6901_section_4_unescapes_in_the_right_order() -> None:
    # The RFC's own warning: "~01" becomes "~1", not "/".
    assert pointer.split("/~01") == ["~1"]


# RFC 6901, section 4: an index has no leading zeros; "-" names the entry after the last, which is not there.
@pytest.mark.parametrize(
    "text",
    [
        "/foo/00",
        "/foo/01",
        "/foo/-",
        "/foo/2",
        "/foo/-1",
        "/foo/+1",
        "/foo/1e0",
        "/foo/ 1",
        "/foo/\u0661",
        "/foo/bar",
        "/foo/0/x",
        "/none",
        "/foo/99999999999999",
    ],
)
def test_what_names_nothing(text: str) -> None:
    assert read("rfc6901.yaml", DOCUMENT).find(text) is None


@pytest.mark.parametrize("text", ["foo", "#/foo", "/~", "/a~2b", "/a/~"])
def test_what_is_no_pointer(text: str) -> None:
    with pytest.raises(ValueError, match="pointer"):
        pointer.split(text)


@given(st.lists(st.text(alphabet=st.sampled_from("~/01ab é"))))
def test_join_and_split_are_inverse(tokens: list[str]) -> None:
    joined = pointer.join(*tokens)
    assert pointer.split(joined) == tokens
    assert list(pointer.chain(joined))[-1] == ""
    assert len(list(pointer.chain(joined))) == len(tokens) + 1
    if tokens:
        assert pointer.child(pointer.parent(joined), tokens[-1]) == joined


def test_join_takes_indexes() -> None:
    assert pointer.join("grist", 0, "weight") == "/grist/0/weight"
    assert pointer.child("/grist", 3) == "/grist/3"
    assert pointer.parent("") == ""
