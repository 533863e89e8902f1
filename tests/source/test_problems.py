"""What is wrong with a file: each rule, its place and its words; and the limits, at their edges."""

import time

import pytest

from recipelint.source import limits
from recipelint.source.nodes import Document, Problem
from recipelint.source.reader import read


def only(data: bytes, slow: bool = False) -> tuple[Document, Problem]:
    document = read("a.yaml", data, slow)
    assert len(document.problems) == 1, document.problems
    return document, document.problems[0]


# bytes, what the message must say, line and column
SYNTAX = [
    (b"a:\n\tb: 1\n", "a tab is used to indent", (2, 1)),
    (b"a:\n  - b: 1\n  \tc: 2\n", "tab", (3, 3)),
    (b"a: |\n\tb\n", "tab", (2, 1)),
    (b"a: [1, 2\nb: 3\n", "`[` opened here is not closed; put `]`", (1, 4)),
    (b"a: {x: 1\n", "`{` opened here is not closed; put `}`", (1, 4)),
    (b"x: [1, 'a' b]\n", "a comma or `]` is missing before `b`", (1, 12)),
    (b"a: 'x\nb: 1\n", "the quote opened here is never closed", (1, 4)),
    (b'a: "x\n', "the quote opened here is never closed", (1, 4)),
    (b'a: "x\n---\n', "the quote opened here is not closed", (1, 4)),
    (b'a: "\\q"\n', "backslash", (1, 5)),
    (b"a: b: c\n", "second colon", (1, 5)),
    (b"a: 1\n  b: 2\n", "indented differently", (2, 4)),
    (b"a:\n  b: 1\n c: 2\n", "same column", (3, 2)),
    (b"a:\n  - x\n - y\n", "same column", (3, 2)),
    (b"- a\nb: 1\n", "`-` in the same column", (2, 1)),
    (b"a: 1\nword\n", "needs `: ` after the key", (2, 1)),
    (b'name: "a" b\n', "more text on this line", (1, 11)),
    (b"a: - x\n", "on the line below the key", (1, 4)),
    (b"a: [1, , 2]\n", "a value is missing here", (1, 8)),
    (b"a: ? x\n", "`? `", (1, 4)),
    (b"a: @x\n", "cannot begin with `@`; put it in quotes", (1, 4)),
    (b"a: %x\n", "cannot begin with `%`", (1, 4)),
    (b"a: `x`\n", "put it in quotes", (1, 4)),
    (b"a: *\n", "a reference in YAML", (1, 4)),
    (b"a: !x!y z\n", "a tag in YAML", (1, 4)),
    (b"a: x\x00\n", "control character (U+0000)", (1, 5)),
    (b"a: \x1b[31m\n", "control character (U+001B)", (1, 4)),
    ("é: \x85x\n".encode(), "U+0085", (1, 4)),
    ("# a\u2028b: 1\n".encode(), "U+2028", (1, 4)),
    ("a: \ufffe\n".encode(), "U+FFFE", (1, 4)),
    ("a: b\ufeffc\n".encode(), "byte order mark", (1, 5)),
    (b"n\0a\0m\0e\0", "looks like UTF-16", (1, 2)),
]


@pytest.mark.parametrize(("data", "says", "position"), SYNTAX)
def test_syntax(data: bytes, says: str, position: tuple[int, int]) -> None:
    document, problem = only(data)
    assert problem.rule == "yaml-syntax"
    assert says in problem.message
    assert document.position(problem.span.start) == position
    assert document.root is None


@pytest.mark.parametrize("data", [case[0] for case in SYNTAX])
def test_the_slow_parser_finds_the_same_rule(data: bytes) -> None:
    fast, slow = read("a.yaml", data), read("a.yaml", data, slow=True)
    # The two grammars differ in when they forgive a tab; where both complain it is by the same name.
    if slow.problems:
        assert {p.rule for p in slow.problems} == {p.rule for p in fast.problems}


def test_not_utf_8() -> None:
    document, problem = only(b"a: 1\nb: caf\xe9\n")
    assert problem.rule == "not-utf-8"
    assert "0xE9, line 2" in problem.message
    assert document.position(problem.span.start) == (2, 7)
    document, problem = only("a: 1".encode("utf-16"))
    assert problem.rule == "not-utf-8"
    assert "UTF-16" in problem.message
    assert document.root is None


@pytest.mark.parametrize(
    "data", [b"", b"\n\n", b"# only a comment\n", b"---\n", b"---\n...\n", b"\xef\xbb\xbf", b"  "]
)
def test_file_empty(data: bytes) -> None:
    document, problem = only(data)
    assert problem.rule == "file-empty"
    assert document.root is None


def test_null_written_out_is_not_empty() -> None:
    document = read("a.yaml", b"~\n")
    assert document.problems == ()
    assert document.root is not None
    assert document.root.value is None


def test_duplicate_key_names_both_places_and_keeps_the_first() -> None:
    document, problem = only(b"a: 1\nb: 2\na: [3, {c: 4}]\nd: 5\n")
    assert problem.rule == "duplicate-key"
    assert document.position(problem.span.start) == (3, 1)
    ((_, first),) = problem.related
    assert document.position(first.start) == (1, 1)
    assert document.root is not None
    assert document.root.data == {"a": 1, "b": 2, "d": 5}
    assert isinstance(document.root.value, dict)
    assert list(document.root.value) == ["a", "b", "d"]


def test_duplicate_keys_are_found_through_quotes_and_in_flow_maps() -> None:
    assert only(b"{a: 1, 'a': 2}\n")[1].rule == "duplicate-key"
    assert only(b'"\\u0061": 1\na: 2\n')[1].rule == "duplicate-key"
    assert [p.rule for p in read("a", b"a: 1\na: 2\na: 3\n").problems] == ["duplicate-key"] * 2
    assert read("a", b"a: {x: 1}\nb: {x: 1}\n").problems == ()


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (b"2026: a\n", "2026"),
        (b"1.5: a\n", "1.5"),
        (b"true: a\n", "true"),
        (b"null: a\n", "null"),
        (b"~: a\n", "~"),
        (b"? [a, b]\n: c\n", "[a, b]"),
        (b"? {a: b}\n: c\n", "{a: b}"),
        (b"{[a]: c}\n", "[a]"),
        (b"0x1F: a\n", "0x1F"),
        (b"!!int 3: a\n", "3"),
    ],
)
def test_key_not_text(data: bytes, name: str) -> None:
    document, problem = only(data)
    assert problem.rule == "key-not-text"
    assert document.root is not None
    assert isinstance(document.root.data, dict)
    assert list(document.root.data) == [name]
    assert document.text[problem.span.start : problem.span.end].endswith(name)


@pytest.mark.parametrize(
    "data",
    [
        b"'2026': a\n",
        b"no: a\n",
        b"2026-02-14: a\n",
        b"60:00: a\n",
        b"!!str 3: a\n",
        b"<<: a\n",
        b"nullish: a\n",
        b"? a\n: b\n",
    ],
)
def test_keys_that_are_text(data: bytes) -> None:
    assert read("a.yaml", data).problems == ()


def test_alias_keys() -> None:
    document = read("a.yaml", b"a: &x name\n*x : 1\n")
    assert document.root is not None
    assert document.problems == ()
    assert document.root.data == {"a": "name", "name": 1}
    assert only(b"a: &x [1]\n*x : 1\n")[1].rule == "key-not-text"


def test_alias_unknown_and_recursive() -> None:
    document, problem = only(b"a: *nowhere\nb: 1\n")
    assert problem.rule == "alias-unknown"
    assert document.text[problem.span.start : problem.span.end] == "*nowhere"
    assert document.root is not None
    assert document.root.data == {"a": None, "b": 1}
    document, problem = only(b"a: &x\n  b: [1, *x]\nc: *x\n")
    assert problem.rule == "alias-recursive"
    assert document.position(problem.span.start) == (2, 10)
    assert document.position(problem.related[0][1].start) == (1, 4)
    assert document.root is not None
    assert document.root.data == {"a": {"b": [1, None]}, "c": {"b": [1, None]}}
    # An anchor used before it is given is unknown there; aliases look back only.
    assert only(b"a: *x\nb: &x 1\n")[1].rule == "alias-unknown"


@pytest.mark.parametrize(
    ("data", "value"),
    [
        (b"a: !malt pale\n", "pale"),
        (b"a: !!python/name:os.system x\n", "x"),
        (b"a: !!set {x: }\n", {"x": None}),
        (b"a: !<tag:example.org,2026:x> 1\n", "1"),
        (b"a: !!binary aGk=\n", "aGk="),
        (b"a: !!timestamp 2026-02-14\n", "2026-02-14"),
        (b"a: !!map [1]\n", [1]),
        (b"a: !!seq {x: 1}\n", {"x": 1}),
        (b"a: !!int x\n", "x"),
        (b"a: !!str [1]\n", [1]),
        (b"a: !!map x\n", "x"),
    ],
)
def test_tag_not_allowed(data: bytes, value: object) -> None:
    document, problem = only(data)
    assert problem.rule == "tag-not-allowed"
    assert document.text[problem.span.start] == "!"
    assert document.root is not None
    assert document.root.data == {"a": value}


def test_core_tags_are_allowed() -> None:
    text = (
        b"a: !!str 12\nb: !!int '7'\nc: !!float 3\nd: !!bool true\n"
        b"e: !!null ''\nf: !!map {}\ng: !!seq []\nh: ! 12\n"
    )
    document = read("a.yaml", text)
    assert document.problems == ()
    assert document.root is not None
    assert document.root.data == {
        "a": "12",
        "b": 7,
        "c": 3.0,
        "d": True,
        "e": None,
        "f": {},
        "g": [],
        "h": "12",
    }
    span = document.span_of("/a")
    assert document.text[span.start : span.end] == "12"
    span = document.span_of("/h")
    assert document.text[span.start : span.end] == "12"


def test_more_than_one_document() -> None:
    document, problem = only(b"a: 1\n---\nb: 2\n---\nc: 3\n")
    assert problem.rule == "more-than-one-document"
    assert document.position(problem.span.start) == (2, 1)
    assert document.root is not None
    assert document.root.data == {"a": 1}
    assert read("a.yaml", b"%YAML 1.2\n---\na: 1\n...\n").problems == ()


def test_file_size() -> None:
    data = b"# " + b"x" * (limits.FILE_BYTES - 9) + b"\na: 1\n "
    assert len(data) == limits.FILE_BYTES
    assert read("a.yaml", data).problems == ()
    document, problem = only(data + b" ")
    assert problem.rule == "file-too-large"
    assert "1 MiB" in problem.message
    assert document.root is None


@pytest.mark.parametrize("slow", [False, True])
@pytest.mark.parametrize(("opening", "closing"), [("[", "]"), ("{a: ", "}"), ("- ", "")])
def test_nesting(opening: str, closing: str, slow: bool) -> None:
    def nested(depth: int) -> bytes:
        return (opening * depth + "1" + closing * depth + "\n").encode()

    assert read("a.yaml", nested(limits.DEPTH), slow).problems == ()
    document, problem = only(nested(limits.DEPTH + 1), slow)
    assert problem.rule == "nesting-too-deep"
    assert "nesting 100" in problem.message
    assert document.root is None


def test_node_count() -> None:
    assert read("a.yaml", b"- 1\n" * (limits.NODES - 1)).problems == ()
    document, problem = only(b"- 1\n" * limits.NODES)
    assert problem.rule == "too-many-nodes"
    assert "50000 nodes" in problem.message
    assert document.root is None
    maps = "".join(f"k{i}: 1\n" for i in range(limits.NODES - 1))
    assert read("a.yaml", maps.encode()).problems == ()
    assert only(maps.encode() + b"more: 1\n")[1].rule == "too-many-nodes"


def test_aliases_count_with_all_they_stand_for() -> None:
    # 1 root + 1 list + 99 entries, then each alias is 100 nodes: 1 + 100 * 500 would be one too many.
    base = "a: &a [" + "1," * 99 + "]\nb: ["
    assert read("a.yaml", (base + "*a," * 499 + "]\n").encode()).problems[0].rule == "too-many-nodes"
    assert read("a.yaml", (base + "*a," * 498 + "]\n").encode()).problems == ()
    exact = base + "*a," * 498 + "]\n" + "".join(f"k{i}: 1\n" for i in range(98))
    assert read("a.yaml", exact.encode()).problems == ()
    assert read("a.yaml", (exact + "one: 1\n").encode()).problems[0].rule == "too-many-nodes"


@pytest.mark.parametrize("careful", [b"", b"b: &x 1\n"])
@pytest.mark.parametrize("letter", ["x", "é"])
def test_scalar_length(letter: str, careful: bytes) -> None:
    size = len(letter.encode())
    longest = letter.encode() * (limits.SCALAR_BYTES // size)
    assert read("a.yaml", careful + b"a: " + longest + b"\n").problems == ()
    document, problem = only(careful + b"a: " + longest + letter.encode() + b"\n")
    assert problem.rule == "scalar-too-long"
    assert "64 KiB" in problem.message
    assert document.root is None
    assert only(b"a: '" + longest + letter.encode() + b"'\n")[1].rule == "scalar-too-long"
    assert only(b'? "' + longest + letter.encode() + b'"\n: 1\n')[1].rule == "scalar-too-long"


@pytest.mark.parametrize("careful", [b"", b"b: &x 1\n"])
def test_number_length(careful: bytes) -> None:
    document, problem = only(careful + b"a: " + b"9" * 5000 + b"\n")
    assert problem.rule == "scalar-too-long"
    assert "number length 256" in problem.message
    assert document.find("/a") is not None
    assert read("a.yaml", careful + b"a: " + b"9" * 256 + b"\n").problems == ()
    assert only(b"a: !!int " + b"9" * 5000 + b"\n")[1].rule == "scalar-too-long"
    assert "scalar-too-long" in [p.rule for p in read("a.yaml", b"9" * 500 + b": 1\n").problems]


BOMB = b"a: &a [x, x, x, x, x, x, x, x, x, x]\n" + b"".join(
    f"{b}: &{b} [*{a}, *{a}, *{a}, *{a}, *{a}, *{a}, *{a}, *{a}, *{a}, *{a}]\n".encode()
    for a, b in zip("abcdefghijklmnop", "bcdefghijklmnopq", strict=False)
)
HOSTILE = {
    "brackets": (b"[" * 100_000, {"nesting-too-deep"}),
    "braces": (b"{" * 100_000, {"nesting-too-deep", "yaml-syntax"}),
    "dashes": (b"- " * 100_000, {"nesting-too-deep"}),
    "questions": (b"? " * 100_000, {"nesting-too-deep"}),
    "keys": (b"{a: " * 100_000, {"nesting-too-deep"}),
    "aliases of aliases": (BOMB, {"too-many-nodes"}),
    "anchors": (b"".join(b"- &a%d x\n" % i for i in range(40_000)), set()),
    "quotes": (b"'" * 200_000, {"scalar-too-long"}),
    "colons": (b":" * 100_000, {"scalar-too-long", "yaml-syntax", "file-empty"}),
    "one line of keys": (b"{" + b"a: 1, " * 30_000 + b"}", {"duplicate-key"}),
    "bangs": (b"! " * 100_000, {"yaml-syntax"}),
    "stars": (b"*a " * 100_000, {"alias-unknown", "yaml-syntax"}),
    "long anchors": (b"&" + b"a" * 1_000_000 + b" x", set()),
    "tag blanks": (b"a: !x" + b" \t" * 400_000 + b"!", {"yaml-syntax", "tag-not-allowed"}),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_input_is_quick_and_has_a_name(name: str) -> None:
    data, rules = HOSTILE[name]
    began = time.process_time()
    document = read("a.yaml", data)
    took = time.process_time() - began
    found = {problem.rule for problem in document.problems}
    assert found <= rules if rules else not found
    if rules:
        assert found
    # Not a benchmark: a quadratic reader takes minutes here.
    assert took < 20
