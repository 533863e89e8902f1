"""The generated data is what the sources say today."""

from __future__ import annotations

import json
import os
import subprocess
import sys

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
GENERATED = os.path.join(ROOT, "recipelint", "data", "generated")


def test_the_generated_data_is_current() -> None:
    done = subprocess.run(
        [sys.executable, os.path.join(ROOT, "tools", "generate.py"), "--check"],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def test_every_entry_of_a_store_stands_on_a_line_of_its_own() -> None:
    """Run time takes single entries out of the text and must find the same as parsing the whole."""
    from recipelint.recipe.shipped import Store

    for name in ("catalogue", "styles"):
        with open(os.path.join(GENERATED, f"{name}.json"), encoding="utf-8") as file:
            text = file.read()
        whole = json.loads(text)
        store = Store(text)
        for key, value in whole.items():
            assert store.get(key) == value, key
        assert store.get("no such key") is None
        assert store.whole() == whole
