"""A small recipe book on disk, and the command run on it as a user would."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]

BITTER = """\
recipe: 1
name: Harbour Bitter
style: bjcp-2021/best-bitter
batch: {volume: 20 L, into: fermenter}
grist:
  - malt: maris-otter-pale-malt
    weight: 3.4 kg
  - malt: crystal-malt-british
    weight: 350 g
mash:
  liquor: 11 L
  rests:
    - {at: 64 °C, for: 75 min}
boil: {for: 60 min}
hops:
  - {hop: fuggle, weight: 60 g, alpha: 4.5 %, boil: 60 min}
yeast:
  - {culture: english-ale, form: dry, weight: 11 g, attenuation: 76 .. 80 %}
"""
NO_RECIPE = "services:\n  - {name: web, ports: [80]}\n"
# A gravity promised that this bill cannot give: an error from the science, not from the reader.
PROMISED = BITTER + "expect: {original_gravity: 1.080 .. 1.090}\n"


class Club:
    """A folder with files, in which the command is run in a process of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.write("recipelint.yaml", "house: 1\nname: A small club\n")
        self.write("recipes/bitter.yaml", BITTER)

    def write(self, path: str, text: str | bytes) -> Path:
        target = self.folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(text.encode() if isinstance(text, str) else text)
        return target

    def run(
        self, *args: str, here: str = ".", script: str = "main", **environ: str
    ) -> subprocess.CompletedProcess[str]:
        """The command with an environment of nothing but what is given."""
        code = f"import sys; sys.argv[0] = 'x'; from recipelint.commands.{script} import main; main()"
        return subprocess.run(
            [sys.executable, "-c", code, *args],
            cwd=self.folder / here,
            env={"PYTHONPATH": str(TOP), "PATH": os.environ.get("PATH", ""), "LC_ALL": "C", **environ},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            encoding="utf-8",
        )

    def check(self, *args: str, status: int = 0, here: str = ".") -> str:
        done = self.run("check", *args, here=here)
        assert done.returncode == status, done.stdout + done.stderr
        assert "Traceback" not in done.stderr
        return done.stdout


@pytest.fixture
def club(tmp_path: Path) -> Club:
    return Club(tmp_path / "club")
