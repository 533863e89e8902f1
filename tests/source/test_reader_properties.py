"""The reader on random input: never raises, keeps every span inside the text, agrees with other readers."""

import io
import re
import warnings

import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from recipelint.source.nodes import Alias, Document, Node
from recipelint.source.reader import read

RULES = {
    "not-utf-8",
    "file-empty",
    "yaml-syntax",
    "duplicate-key",
    "alias-recursive",
    "alias-unknown",
    "file-too-large",
    "nesting-too-deep",
    "too-many-nodes",
    "scalar-too-long",
    "tag-not-allowed",
    "key-not-text",
    "more-than-one-document",
}
WORDS = [
    "a",
    "b: ",
    "- ",
    "? ",
    ": ",
    "\n",
    "\n  ",
    "\r\n",
    "\t",
    "[",
    "]",
    "{",
    "}",
    ", ",
    "'",
    '"',
    "|",
    ">\n ",
    "&x ",
    "*x",
    "!",
    "!!str ",
    "!<t>",
    "# ",
    "---\n",
    "...\n",
    "%YAML 1.2\n",
    "%TAG ! x\n",
    "1.5",
    "null",
    "0x",
    "é",
    "🍺",
    "\ufeff",
    "\u2028",
    "\0",
    "\\",
    '"\\u12',
    "<<: ",
    "\x85",
    "@",
    "`",
    "~",
    "-",
    ".",
    "2026",
    " ",
    "\x1b",
]


def check(document: Document) -> None:
    size = len(document.text)
    assert document.root is not None or document.problems
    for problem in document.problems:
        assert problem.rule in RULES
        assert problem.message
        assert problem.message.isprintable()
        for span in (problem.span, *(span for _, span in problem.related)):
            assert 0 <= span.start <= span.end <= size
    if document.root is not None:
        check_node(document.root, 0, size)


def check_node(node: Node, start: int, end: int) -> None:
    assert start <= node.start <= node.end <= end
    if isinstance(node, Alias):  # its children stand elsewhere
        return
    if isinstance(node.value, dict):
        assert isinstance(node.data, dict)
        assert list(node.data) == list(node.value)
        for key, child in node.value.items():
            assert child.data is node.data[key]
            assert child.key is not None
            assert node.start <= child.key.start <= child.key.end <= node.end
            check_node(child, node.start, node.end)
    elif isinstance(node.value, list):
        assert isinstance(node.data, list)
        assert len(node.data) == len(node.value)
        for child, data in zip(node.value, node.data, strict=True):
            assert child.data is data
            assert child.key is None
            check_node(child, node.start, node.end)
    else:
        assert node.data is node.value


@settings(max_examples=300)
@given(st.binary(max_size=60))
def test_any_bytes(data: bytes) -> None:
    check(read("x.yaml", data))


@settings(max_examples=800, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.sampled_from(WORDS), max_size=25).map("".join))
def test_any_text_that_looks_like_yaml(text: str) -> None:
    check(read("x.yaml", text.encode()))
    check(read("x.yaml", text.encode(), slow=True))


TEXTS = st.text(
    alphabet=st.characters(codec="utf-8", exclude_characters="\x85\u2028\u2029\ufeff"), max_size=12
)
SCALARS = st.none() | st.booleans() | st.integers(-(10**18), 10**18) | st.floats(allow_nan=False) | TEXTS
TREES = st.recursive(
    SCALARS,
    lambda children: st.lists(children, max_size=4) | st.dictionaries(TEXTS, children, max_size=4),
    max_leaves=15,
)


# libyaml takes no plain scalar that begins with a colon inside brackets, though YAML 1.2 would.
WITHOUT_COLONS = TREES.filter(lambda tree: "':" not in repr(tree) and '":' not in repr(tree))


@settings(max_examples=200, suppress_health_check=[HealthCheck.too_slow])
@given(WITHOUT_COLONS, st.booleans())
def test_trees_written_by_ruamel_come_back(tree: object, flow: bool) -> None:
    writer = YAML(typ="safe", pure=True)
    writer.default_flow_style = flow
    writer.version = (1, 2)  # type: ignore[assignment]
    out = io.BytesIO()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        writer.dump({"tree": tree}, out)
    document = read("x.yaml", out.getvalue())
    check(document)
    assert document.problems == ()
    assert document.root is not None
    assert document.root.data == {"tree": tree}


_NUMBER = re.compile(r"[-+]?(\.\d+|\d+(\.\d*)?)([eE][-+]?\d+)?|0o[0-7]+|0x[0-9a-fA-F]+").fullmatch


@settings(max_examples=200, suppress_health_check=[HealthCheck.too_slow])
@given(TREES, st.sampled_from([None, True, False]), st.booleans())
def test_trees_written_by_pyyaml_come_back(tree: object, flow: bool | None, wide: bool) -> None:
    class Writer(yaml.SafeDumper):
        def ignore_aliases(self, data: object) -> bool:
            return True

        def represent_str(self, data: str) -> yaml.ScalarNode:
            """PyYAML writes by YAML 1.1 and leaves a text such as 0E0 plain, which is a number by YAML 1.2."""
            return self.represent_scalar("tag:yaml.org,2002:str", data, style='"' if _NUMBER(data) else None)

    Writer.add_representer(str, Writer.represent_str)
    text = yaml.dump(
        {"tree": tree}, Dumper=Writer, default_flow_style=flow, allow_unicode=wide, sort_keys=False
    )
    fast, slow = read("x.yaml", text.encode()), read("x.yaml", text.encode(), slow=True)
    check(fast)
    assert fast.problems == slow.problems == ()
    assert fast.root is not None
    assert slow.root is not None
    assert as_written(fast.root) == as_written(slow.root)
    assert equal(fast.root.data, {"tree": tree})


def as_written(node: Node) -> object:
    """A tree with its spans, for comparing one parser with the other."""
    if isinstance(node.value, dict):
        return {key: (child.key, as_written(child)) for key, child in node.value.items()}
    if isinstance(node.value, list):
        return [as_written(child) for child in node.value]
    return node.value, node.raw, node.plain, node.span


def equal(ours: object, theirs: object) -> bool:
    """Equal in type and value, and the keys of maps in the same order."""
    if isinstance(theirs, dict):
        return (
            isinstance(ours, dict)
            and list(ours) == list(theirs)
            and all(equal(ours[k], theirs[k]) for k in theirs)
        )
    if isinstance(theirs, list):
        return isinstance(ours, list) and len(ours) == len(theirs) and all(map(equal, ours, theirs))
    return type(ours) is type(theirs) and ours == theirs
