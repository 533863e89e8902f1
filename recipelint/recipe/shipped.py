"""Reads the data that ships with the package.

The sources are YAML (``recipelint/data/catalogue``, ``rules/``); ``tools/generate.py`` turns them into the
JSON read here, because reading the YAML at every start would cost many times the rest of a check. The
generated files lie inside the package, found from this file's own place, so that a checkout, a wheel and an
unpacked source distribution all work alike.
"""

from __future__ import annotations

import json
import os.path
from typing import Any

_FOLDER = os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), "data", "generated")
_texts: dict[str, str] = {}
_loaded: dict[str, Any] = {}
_stores: dict[str, Store] = {}


class Store:
    """A generated file that is one flat JSON object, one entry per line.

    A check of one recipe wants a dozen of several thousand entries. They are found in the text and parsed
    one by one, which takes a twentieth of the time of parsing the file; ``whole`` parses it all, for lists
    and for suggestions. Values are shared: callers must not change them.
    """

    __slots__ = ("_found", "_text", "_whole")

    def __init__(self, text: str) -> None:
        self._text = text
        self._found: dict[str, Any] = {}
        self._whole: dict[str, Any] | None = None

    def get(self, key: str) -> Any:
        """The entry under ``key``, or None."""
        found = self._found.get(key)
        if found is not None:
            return found
        if self._whole is not None:
            return self._whole.get(key)
        start = f"\n{json.dumps(key, ensure_ascii=False)}:"
        begin = self._text.find(start)
        if begin < 0:
            return None
        begin += len(start)
        found = self._found[key] = json.loads(
            self._text[begin : self._text.index("\n", begin)].removesuffix(",")
        )
        return found

    def whole(self) -> dict[str, Any]:
        """Every entry."""
        if self._whole is None:
            self._whole = json.loads(self._text)
        return self._whole

    def under(self, prefix: str) -> dict[str, Any]:
        """Every entry whose key begins with ``prefix``, by the rest of the key."""
        return {key[len(prefix) :]: value for key, value in self.whole().items() if key.startswith(prefix)}


def store(name: str) -> Store:
    """The generated file ``name`` ("catalogue" for catalogue.json), entry by entry; read once per process.

    Raises OSError if the installation is incomplete.
    """
    found = _stores.get(name)
    if found is None:
        found = _stores[name] = Store(_text(name))
    return found


def load(name: str) -> Any:
    """The generated file ``name`` as a whole, read once per process. Raises OSError as ``store`` does."""
    found = _loaded.get(name)
    if found is None:
        found = _loaded[name] = json.loads(_text(name))
    return found


def _text(name: str) -> str:
    text = _texts.get(name)
    if text is None:
        with open(os.path.join(_FOLDER, name + ".json"), "rb") as file:
            text = _texts[name] = file.read().decode("utf-8")
    return text
