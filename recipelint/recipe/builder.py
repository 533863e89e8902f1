"""Makes typed records of a document: a recipe, a brewhouse, a brew record, the house.

The schema is compiled once into closures, one per property; a file is then only dictionaries walked and texts
looked up. The builder takes any tree: what has the wrong shape is left out here and worded in ``explain``.
"""

from collections.abc import Callable
from typing import Any, NamedTuple, TypeAlias

from recipelint.recipe import after, model, readers
from recipelint.recipe.readers import Read
from recipelint.recipe.schema import KINDS, VERSION, schema, valid
from recipelint.recipe.troubles import Job, Trouble, in_file_order
from recipelint.source.nodes import At, Document


class Built(NamedTuple):
    """The record, or None if the file has an error; and all that was wrong or worth a note, in file order."""

    value: Any
    troubles: tuple[Trouble, ...]


# Where a property goes in the record, its reader, and whether another property goes there too. A plain tuple: it is
# taken apart for every key of every file, and the interpreter does that faster than with any class.
_Field: TypeAlias = tuple[int, Read, bool]


class _Must(NamedTuple):
    """Keys that a record cannot lack, those of which it has just one, and that of the version."""

    keys: frozenset[str]
    one: frozenset[str]
    version: frozenset[str]


_new = tuple.__new__
_ORIGINS = {"brewhouse": "brewhouse", "brew": "record", "house": "house"}
_BOTH = {
    "what": "name this item",
    "when": "say when it goes in",
    "temperature": "give its temperature",
}


def kind_of(document: Document) -> str | None:
    """What kind of file a document is: its first key says so, with the version of the form as a number."""
    data = document.root.data if document.root is not None else None
    if not isinstance(data, dict) or not data:
        return None
    first = next(iter(data))
    value = data[first]
    if first not in KINDS or isinstance(value, bool):
        return None
    if isinstance(value, (int, float)) or (isinstance(value, str) and value.strip().isdigit()):
        return str(first)
    return None


def why_no_kind(document: Document) -> Trouble:
    """What to say of a file that was meant to be one of ours and is not."""
    data = document.root.data if document.root is not None else None
    usual = "a recipe begins with `recipe: 1`"
    if not isinstance(data, dict) or not data:
        return Trouble("unknown-kind", f"{document.file} holds no map; {usual}", At(document.file, ""))
    first = next(iter(data))
    for key in KINDS:
        if key in data and data[key] == VERSION and key != first:
            message = f"`{key}: 1` has to be the first line: it says what the file is"
            return Trouble("unknown-kind", message, At(document.file, f"/{key}"), "key")
    if first in KINDS:
        said = f"`{first}` is the right first key, but its version is missing: write `{first}: {VERSION}`"
        return Trouble("unknown-kind", said, At(document.file, f"/{first}"))
    from recipelint.recipe.explain import near, quoted

    meant = near(str(first), KINDS)
    said = f"did you mean `{meant}: {VERSION}`?" if meant else usual
    message = f"{quoted(str(first))} does not say what this file is: {said}"
    return Trouble("unknown-kind", message, At(document.file, "/" + readers.escape(str(first))), "key")


def build(kind: str, document: Document) -> Built:
    """The record of a document of this kind; of ``catalogue`` and ``styles`` their rows, of ``rules`` plain data.

    Never raises, whatever is in the document. A document without a tree gives no record and no trouble of its own:
    its problems say what is wrong. The schema is asked where a reader found anything but what it expects; loading the
    validator takes longer than reading a recipe, and a test holds that what no reader doubts the schema accepts.
    """
    if document.root is None:
        return Built(None, ())
    data = document.root.data
    job = Job(document, _ORIGINS.get(kind, "recipe"))
    value = _builder(kind)(data, "", job)
    if (value is None or job.doubt or job.troubles) and not valid(kind, data):
        from recipelint.recipe.branches import unexplained
        from recipelint.recipe.explain import explain

        job.troubles[:0] = explain(kind, document)
        if not any(trouble.level == "error" for trouble in job.troubles):
            job.troubles.append(unexplained(document, kind))
    if not job.troubles:
        return Built(value, ())
    if any(trouble.level == "error" for trouble in job.troubles):
        value = None
    return Built(value, in_file_order(job.troubles, document))


_builders: dict[str, Read] = {}


def _builder(kind: str) -> Read:
    found = _builders.get(kind)
    if found is None:
        if kind == "catalogue" or kind == "styles":
            from recipelint.recipe import lists

            found = lists.reader(kind)
        elif kind == "rules":
            found = _as_is
        else:
            found = _careful(Compiler(schema(kind)).root(), schema(kind))
        _builders[kind] = found
    return found


def _as_is(data: Any, pointer: str, job: Job) -> Any:
    job.doubt = True
    return data


def _careful(read: Read, given: dict[str, Any]) -> Read:
    """The reader of a whole file; a schema with conditions that no reader knows is asked every time."""
    if "if" not in given and "allOf" not in given:
        return read

    def doubtful(data: Any, pointer: str, job: Job) -> Any:
        job.doubt = True
        return read(data, pointer, job)

    return doubtful


class Compiler:
    """Turns one schema into closures."""

    def __init__(self, given: dict[str, Any]) -> None:
        self.schema = given
        self.defs: dict[str, Any] = given.get("$defs", {})
        self.made: dict[str, Read] = {}

    def root(self) -> Read:
        """The closure of the whole file."""
        return self.record(self.schema)

    def property(self, key: str, node: dict[str, Any]) -> Read | None:
        """The closure of one property; None for what no record keeps."""
        if "x-one-or-list" in node:
            return readers.one_or_list(self.ref(node["x-one-or-list"], key))
        reads = node.get("x-reads")
        if reads == "version":
            return None
        if reads is not None:
            return readers.within(readers.named(reads, key), node)
        if "x-stats" in node:
            return self.stats(node)
        if "$ref" in node:
            return self.ref(node["$ref"].rsplit("/", 1)[1], key)
        if "x-type" in node and "properties" in node:
            return self.record(node)
        return self.plain(key, node)

    def plain(self, key: str, node: dict[str, Any]) -> Read:
        """A list or a scalar as JSON Schema has them."""
        kind = node.get("type")
        if kind == "array":
            inner = self.property(key, node["items"])
            assert inner is not None
            return readers.sequence(inner)
        read = readers.within(readers.SCALARS.get(kind, readers.SCALARS["string"]), node)
        return readers.formed(read, node["pattern"]) if "pattern" in node else read

    def ref(self, name: str, key: str) -> Read:
        """The closure of a definition; what depends on the key's name is made for each key."""
        node = self.defs[name]
        if "x-quantity" in node:
            return readers.quantity(node["x-quantity"])
        if "x-reads" in node:
            return readers.within(readers.named(node["x-reads"], key), node)
        found = self.made.get(name)
        if found is None:
            made = self.property(key, node)
            assert made is not None
            found = self.made[name] = made
        return found

    def stats(self, node: dict[str, Any]) -> Read:
        """Promises or measurements: a map by the names of the stats."""
        kinds: dict[str, str] = {}
        for name, row in node["properties"].items():
            target = self.defs[row["$ref"].rsplit("/", 1)[1]] if "$ref" in row else {}
            kinds[name] = target.get("x-promise") or target.get("x-quantity") or target.get("x-reads", "")
        if node["x-stats"] == "promises":
            return readers.promises(kinds)
        return readers.measured(kinds, self.ref("Reading", "readings"))

    def record(self, node: dict[str, Any]) -> Read:
        """The closure that makes one record of the model."""
        if node["x-type"] == "dict":
            return readers.plain_map
        cls = getattr(model, node["x-type"])
        names: tuple[str, ...] = cls._fields
        into = {key: value.get("x-into", key) for key, value in node["properties"].items()}
        targets = list(into.values())
        fields: dict[str, _Field] = {}
        for key, value in node["properties"].items():
            read = self.property(key, value)
            if read is not None:
                fields[key] = names.index(into[key]), read, targets.count(into[key]) > 1
        blank = [cls._field_defaults.get(name) for name in names]
        short = names.index(node["x-short"]) if "x-short" in node else None
        alone = node.get("x-at-most-one", {}).get("keys", ())
        finish = after.HOOKS.get(node["x-type"])
        must = _Must(
            frozenset(node.get("required", ())),
            frozenset(node.get("x-exactly-one", {}).get("keys", ())),
            frozenset(key for key, value in node["properties"].items() if value.get("x-reads") == "version"),
        )
        read_record = _record_reader(cls, fields, blank, short, tuple(alone), must, finish)
        return _of_brewhouse(read_record) if node["x-type"] == "Brewhouse" else read_record


def _record_reader(
    cls: Any,
    fields: dict[str, _Field],
    blank: list[Any],
    short: int | None,
    alone: tuple[str, ...],
    must: _Must,
    finish: Callable[[list[Any], dict[str, Any], Job], None] | None,
) -> Read:
    place = cls._fields.index("at")
    file = cls._fields.index("file") if "file" in cls._fields else None
    lone = frozenset(alone)
    keys, one, version = must

    def read(data: Any, pointer: str, job: Job) -> Any:
        if data.__class__ is not dict:
            if short is None or data.__class__ is not str or not data:
                return None
            data, values = {}, [*blank[:short], data, *blank[short + 1 :]]
        else:
            values = blank[:]
            # The keys of the map stand first: the other way round the set is asked in vain, which takes twice as long.
            if (keys and not data.keys() >= keys) or (one and len(data.keys() & one) != 1):
                job.doubt = True
        values[place] = pointer
        if file is not None:
            values[file] = job.file
        for key, value in data.items():
            field = fields.get(key)
            if field is not None:
                slot, read_value, shared = field
                got = read_value(value, f"{pointer}/{key}", job)
                if shared and values[slot] is not None:
                    _clash(fields, data, key, cls._fields[slot], pointer, job)
                elif got is not None:
                    values[slot] = got
                else:
                    job.doubt = True
            elif key not in version or value.__class__ is not int or value != VERSION:
                job.doubt = True
        if lone and len(data.keys() & lone) > 1:
            first, second = [key for key in data if key in lone][:2]
            message = f"`{first}` and `{second}` both say how much; keep one"
            job.both(message, f"{pointer}/{first}", f"{pointer}/{second}")
        if finish is not None:
            finish(values, data, job)
        return _new(cls, values)

    return read


def _of_brewhouse(read_record: Read) -> Read:
    """A brewhouse's figures are the brewhouse's, also where it is written out inside a recipe."""

    def read(data: Any, pointer: str, job: Job) -> Any:
        before, job.origin = job.origin, "brewhouse"
        made = read_record(data, pointer, job)
        job.origin = before
        return made

    return read


def _clash(
    fields: dict[str, _Field], data: dict[str, Any], key: str, name: str, pointer: str, job: Job
) -> None:
    slot = fields[key][0]
    first = next(each for each in data if each in fields and fields[each][0] == slot)
    message = f"`{first}` and `{key}` both {_BOTH.get(name, 'say the same thing')}; keep one"
    job.both(message, f"{pointer}/{first}", f"{pointer}/{key}")
