"""How long the tool takes, as ratios measured in one run:  python -m tests.benchmarks [--recipes N] [--rounds N]

A machine drifts, so seconds mean little from one day to the next. Each measure is taken in turn with its yardstick,
several rounds, and the smallest of each is kept. Yardsticks: ``python -c pass`` for a start, and for reading the "event
drain": the C parser of PyYAML asked for every event of the same files, which are thrown away.
"""

from __future__ import annotations

import argparse
import gc
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.benchmarks.corpus import write_corpus

TOP = Path(__file__).parents[2]
# An installed tool has its bytecode beside it, so a start is measured with it.
ENVIRON = {**os.environ, "PYTHONPATH": str(TOP), "NO_COLOR": "1"}
ENVIRON.pop("PYTHONDONTWRITEBYTECODE", None)
# (measure, near the limit, good, alarm)
BUDGETS = {
    "recipelint --version / python -c pass": (1.1, 1.5, 3.0),
    "hook, one clean file / python -c pass": (5.5, 8.0, 12.0),
    "check, one process / event drain": (2.5, 6.0, 10.0),
    "the same in block style / event drain": (2.5, 6.0, 10.0),
    "check, one process / yamllint": (1 / 29, 1 / 15, 1 / 8),
    "peak memory, ten times the recipes / once": (1.1, 1.3, 2.0),
}


def start(code: str, *args: str, here: Path) -> None:
    subprocess.run(
        [sys.executable, "-c", code, *args], cwd=here, env=ENVIRON, stdout=subprocess.DEVNULL, check=False
    )


def seconds(action: Callable[[], object]) -> float:
    begin = time.perf_counter()
    action()
    return time.perf_counter() - begin


def ratio(first: Callable[[], object], second: Callable[[], object], rounds: int) -> tuple[float, float]:
    """The smallest time of each, taken in turn."""
    pairs = [(seconds(first), seconds(second)) for _ in range(rounds)]
    return min(a for a, _ in pairs), min(b for _, b in pairs)


def drain(files: list[Path]) -> None:
    from yaml._yaml import CParser

    for file in files:
        parser = CParser(file.read_bytes())
        try:
            while parser.get_event() is not None:
                pass
        finally:
            parser.dispose()


def check(folder: Path) -> None:
    """What ``recipelint check FOLDER`` does in this process, all but the printing."""
    from recipelint.commands.check import as_text, gather

    checked, _ = gather([str(folder)], None, str(folder))
    as_text(checked, str(folder))


def start_ups(folder: Path, rounds: int) -> list[tuple[str, float, float]]:
    file = sorted((folder / "recipes").glob("*.yaml"))[0].name
    rows = []
    for name, code, args in (
        (
            "recipelint --version / python -c pass",
            "from recipelint.commands.main import main; main()",
            ["--version"],
        ),
        (
            "hook, one clean file / python -c pass",
            "from recipelint.commands.hook import main; main()",
            [file],
        ),
    ):
        here = folder / "recipes"

        def ours(code: str = code, args: list[str] = args, here: Path = here) -> None:
            start(code, *args, here=here)

        ours()
        rows.append((name, *ratio(ours, lambda: start("pass", here=folder), rounds)))
    return rows


def against_drain(folder: Path, rounds: int) -> tuple[float, float]:
    """Seconds of a check of a book, and of the event drain of its recipes."""
    files = sorted((folder / "recipes").glob("*.yaml"))
    check(folder)  # the first run loads data and compiles rules, which a process does once
    gc.collect()
    gc.disable()
    found = ratio(lambda: check(folder), lambda: drain(files), rounds)
    gc.enable()
    return found


def reading(folder: Path, block: Path, rounds: int) -> list[tuple[str, float, float]]:
    rows = [
        ("check, one process / event drain", *against_drain(folder, rounds)),
        ("the same in block style / event drain", *against_drain(block, rounds)),
    ]
    if shutil.which("yamllint"):
        command = ["yamllint", "-d", "relaxed", str(folder / "recipes")]
        other = seconds(lambda: subprocess.run(command, stdout=subprocess.DEVNULL, check=False))
        rows.append(("check, one process / yamllint", rows[0][1], other))
    return rows


def memory(small: Path, large: Path) -> list[tuple[str, float, float]]:
    """Peak memory of ``recipelint check`` on two books, in MB."""
    sizes = []
    for folder in (large, small):
        code = (
            "import resource, sys\nfrom recipelint.commands.route import run\nrun(['check', sys.argv[1]])\n"
            "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr)"
        )
        done = subprocess.run(
            [sys.executable, "-c", code, str(folder)], env=ENVIRON, capture_output=True, encoding="utf-8"
        )
        sizes.append(int(done.stderr.split()[-1]) / 1024)
    return [("peak memory, ten times the recipes / once", sizes[0], sizes[1])]


def word(name: str, value: float) -> str:
    near, good, alarm = BUDGETS[name]
    if value <= near:
        return "near the limit of what is possible"
    return "good" if value <= good else "above the budget" if value <= alarm else "ALARM"


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--recipes", type=int, default=1000)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--memory", action="store_true", help="also compare with ten times the recipes")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "book"
        lines, size = write_corpus(folder, asked.recipes)
        print(
            f"{asked.recipes} recipes, {lines} lines and {size} bytes each on average; {asked.rounds} rounds"
        )
        block = Path(scratch) / "block"
        lines, size = write_corpus(block, asked.recipes, block=True)
        print(f"the same in block style: {lines} lines and {size} bytes each")
        rows = start_ups(folder, 4 * asked.rounds) + reading(folder, block, asked.rounds)
        if asked.memory:
            large = Path(scratch) / "large"
            write_corpus(large, 10 * asked.recipes)
            rows += memory(folder, large)
        print(f"\n{'':<44}{'ours':>10}{'against':>10}{'ratio':>9}{'budget':>9}")
        for name, ours, other in rows:
            value = ours / other
            print(
                f"{name:<44}{ours:>10.4g}{other:>10.4g}{value:>9.3g}{BUDGETS[name][1]:>9.3g}  {word(name, value)}"
            )
    print(f"\nthis process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB at most")


if __name__ == "__main__":
    main()
