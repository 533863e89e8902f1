"""Compute what beer of each colour looks like, and write recipelint/brewing/swatches.py.

Needs the extra `oracle` (colour-science). Run it when the spectrum in recipelint/brewing/colour.py changes:

    python tools/make_swatches.py            writes
    python tools/make_swatches.py --check    exits 1 if what is written is stale

5 cm of beer, daylight (D65), the CIE 1964 10 degree observer, 380-780 nm in steps of 5 nm, adapted to the
white of sRGB, out-of-gamut parts clipped.
"""

from __future__ import annotations

import os
import sys
import warnings

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
TARGET = os.path.join(ROOT, "recipelint", "brewing", "swatches.py")
sys.path.insert(0, ROOT)

from recipelint.brewing.colour import transmission  # noqa: E402

LAST = 60
PATH_CM = 5.0
OBSERVER = "CIE 1964 10 Degree Standard Observer"


def tristimulus(srm: float, path: float = PATH_CM) -> tuple[float, float, float]:
    """X, Y, Z (0-1) of daylight through beer."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    observer = colour.MSDS_CMFS[OBSERVER]
    daylight = colour.SDS_ILLUMINANTS["D65"]
    totals = [0.0, 0.0, 0.0]
    white = 0.0
    for nanometres in range(380, 785, 5):
        power = float(daylight[nanometres])
        seen = observer[nanometres]
        white += power * float(seen[1])
        through = transmission(srm, float(nanometres), path) * power
        for i in range(3):
            totals[i] += through * float(seen[i])
    return totals[0] / white, totals[1] / white, totals[2] / white


def lab(srm: float) -> tuple[float, float, float]:
    """CIELAB of a beer in 5 cm."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    white = colour.CCS_ILLUMINANTS[OBSERVER]["D65"]
    found = colour.XYZ_to_Lab(tristimulus(srm), white)
    return float(found[0]), float(found[1]), float(found[2])


def srgb(srm: float) -> str:
    """Colour as #rrggbb."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    white = colour.CCS_ILLUMINANTS[OBSERVER]["D65"]
    channels = colour.XYZ_to_sRGB(tristimulus(srm), white)
    return "#" + "".join(f"{round(255 * min(max(float(c), 0.0), 1.0)):02x}" for c in channels)


def module() -> str:
    rows = [srgb(srm) for srm in range(LAST + 1)]
    lines = [
        '"""What beer looks like: sRGB of 5 cm of beer in daylight for SRM 0, 1, 2 ...',
        "",
        "Written by tools/make_swatches.py.",
        '"""',
        "",
        "SWATCHES: tuple[str, ...] = (",
        *("    " + " ".join(f'"{c}",' for c in rows[i : i + 8]) for i in range(0, len(rows), 8)),
        ")  # fmt: skip",
        "",
    ]
    return "\n".join(lines)


def main(arguments: list[str]) -> int:
    text = module()
    if "--check" in arguments:
        with open(TARGET, encoding="utf-8") as file:
            return 0 if file.read() == text else 1
    with open(TARGET, "w", encoding="utf-8", newline="\n") as file:
        file.write(text)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
