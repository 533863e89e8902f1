"""What a check imports of the rule book stays light: the hook starts on every commit."""

from __future__ import annotations

import subprocess
import sys

# Each costs milliseconds at every start, or has no business where rules are judged.
HEAVY = {
    *(
        "dataclasses",
        "rich",
        "numpy",
        "scipy",
        "pint",
        "jinja2",
        "jsonschema",
        "ruamel",
        "subprocess",
        "typer",
        "click",
    ),
    *(
        "concurrent.futures",
        "importlib.metadata",
        "importlib.resources",
        "pathlib",
        "textwrap",
        "difflib",
        "ast",
    ),
    *("recipelint.rulebook.rule_check", "recipelint.rulebook.explain"),
}
PROGRAM = """
import sys
before = set(sys.modules)
from recipelint.rulebook import acceptance, engine, items, names, promises, rules, settings, style_check, tables
rules.shipped_rules()
loaded = set(sys.modules) - before
print(" ".join(sorted(loaded)))
"""


def test_judging_imports_nothing_heavy() -> None:
    done = subprocess.run(
        [sys.executable, "-S", "-c", PROGRAM], capture_output=True, text=True, encoding="utf-8", check=True
    )
    loaded = set(done.stdout.split())
    assert "recipelint.rulebook.engine" in loaded
    assert sorted(HEAVY & loaded) == []
