"""What the generators write, or compare with what stands there."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping


def settle(script: str, texts: Mapping[str, str], check: bool) -> int:
    """Write each text (by its full path) whose file differs; with ``check`` only say so. The exit status."""
    stale = [path for path, text in texts.items() if _current(path) != text]
    for path in stale:
        name = os.path.basename(path)
        if check:
            print(f"{script}: {name} is out of date; run  python tools/{script}.py", file=sys.stderr)
            continue
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(path, "w", encoding="utf-8", newline="\n") as file:
            file.write(texts[path])
        print(f"{script}: wrote {name}")
    return 1 if check and stale else 0


def _current(path: str) -> str:
    try:
        with open(path, encoding="utf-8", newline="") as file:
            return file.read()
    except FileNotFoundError:
        return ""
