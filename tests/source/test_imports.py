"""A hook starts on every commit: what the first stage imports is part of its interface."""

import subprocess
import sys

HEAVY = [
    "dataclasses", "rich", "numpy", "scipy", "pint", "jinja2", "jsonschema", "ruamel", "subprocess",
    "concurrent.futures", "importlib.metadata", "importlib.resources", "typer", "click", "pathlib", "difflib",
]  # fmt: skip


def test_reading_a_good_file_imports_nothing_heavy() -> None:
    code = (
        "import sys; sys.path.insert(0, '.')\n"
        "from recipelint.source.files import WorkTree\n"
        "from recipelint.source.reader import read\n"
        "assert not read('a.yaml', b'recipe: 1').problems\n"
        "print('recipelint.source.complaints' in sys.modules, *sys.modules)"
    )
    # -S: without site-packages' own start-up files, which may import anything, but with its path.
    paths = [path for path in sys.path if path]
    code = f"import sys; sys.path[:] = {paths!r}\n{code}"
    run = subprocess.run(
        [sys.executable, "-S", "-c", code], capture_output=True, text=True, encoding="utf-8", check=True
    )
    complaints, *modules = run.stdout.split()
    assert complaints == "False"
    assert "recipelint.source.reader" in modules
    assert sorted(set(HEAVY) & set(modules)) == []
