"""What the bill is made of: shares of its weight, of its grain and of its extract. All fractions."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from recipelint.brewing.dissolving import UNMALTED
from recipelint.brewing.plan import GRAIN_KEYS, Line
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found

DARK_CRYSTAL_EBC = 200.0
BASE_KINDS = ("base-malt", "kilned-malt", "other-malted-cereal", "smoked-malt")
HUSKLESS_WORDS = (
    "wheat",
    "rye",
    "oat",
    "rice",
    "maize",
    "spelt",
    "naked",
    "emmer",
    "triticale",
    "flaked",
    "torrified",
)


def _potential(run: Run) -> Found:
    rows = [(line.at, run.extract_of(line)) for line in run.plan.lines if line.stage != "package"]
    total = math.fsum([row[1] for row in rows])
    return total, "", lambda: tuple((at, value / total) for at, value in rows if total > 0.0)


def _kept(rows: Sequence[tuple[Line, float]], total: float, keep: Callable[[Line], bool]) -> Found:
    """The lines kept, each as its share of the total."""
    kept = [(line, amount / total) for line, amount in rows if keep(line)]
    return (
        math.fsum([share for _, share in kept]),
        "",
        lambda: tuple((line.at, share) for line, share in kept),
    )


def _share_of_extract(keep: Callable[[Line], bool]) -> Callable[[Run], Found]:
    def found(run: Run) -> Found:
        total = math.fsum(run.extracts())
        if total <= 0.0:
            return None, "the bill brings no extract", ()
        return _kept(list(zip(run.plan.lines, run.extracts(), strict=True)), total, keep)

    return found


def grain_weight(line: Line) -> float:
    """Weight (kg) in shares of grain: malt extract counts as the malt it was made of."""
    return line.weight * (line.counts_as_malt if line.key == "extract" else 1.0)


def _share_of_grain(keep: Callable[[Line], bool]) -> Callable[[Run], Found]:
    def found(run: Run) -> Found:
        rows = [
            (line, grain_weight(line))
            for line in run.plan.lines
            if line.key in GRAIN_KEYS or line.key == "extract"
        ]
        total = math.fsum([row[1] for row in rows])
        if total <= 0.0:
            return None, "there is no grain in the bill", ()
        return _kept(rows, total, keep)

    return found


def _sugar(line: Line) -> bool:
    return line.key == "sugar" and line.sugar_kind != "unfermentable"


def _sugar_weight(run: Run) -> Found:
    rows = [(line, line.weight) for line in run.plan.lines if line.stage != "package"]
    total = math.fsum([row[1] for row in rows])
    if total <= 0.0:
        return None, "the bill has no weight", ()
    return _kept(rows, total, _sugar)


def _is_base(line: Line) -> bool:
    if line.key != "malt":
        return line.key == "extract"
    # By what it is and not by its power: a lot a little weaker than another is base malt still.
    return line.kind in BASE_KINDS if line.kind else line.starch


def _is_crystal(line: Line) -> bool:
    return line.kind.startswith("caramel") and not line.starch


def _is_roast(line: Line) -> bool:
    return line.kind.startswith("roasted")


def _is_huskless(line: Line) -> bool:
    return (
        line.key in GRAIN_KEYS
        and line.kind != "lauter-aid"
        and any(word in line.id for word in HUSKLESS_WORDS)
    )


def _share_sum(run: Run) -> Found:
    shares = [item.share for item in run.plan.recipe.grist if item.share is not None]
    if not shares:
        return None, "the bill is written in weights", ()
    return math.fsum(share.value for share in shares), "", ()


def _diastatic(run: Run) -> Found:
    rows = [line for line in run.mashed() if line.starch]
    total = math.fsum([line.weight for line in rows])
    if total <= 0.0:
        return None, "nothing with starch is mashed", ()
    unknown = next((line for line in rows if line.lintner is None), None)
    if unknown is not None:
        return None, f"the diastatic power of {unknown.id} is not known", ()
    power = math.fsum([line.weight * (line.lintner or 0.0) for line in rows]) / total
    return power, "", lambda: tuple((line.at, line.weight / total) for line in rows)


FINDERS: dict[str, Callable[[Run], Found]] = {
    "extract_potential": _potential,
    "sugar_share": _share_of_extract(_sugar),
    "sugar_weight_share": _sugar_weight,
    "unfermentable_share": _share_of_extract(lambda line: line.sugar_kind == "unfermentable"),
    "adjunct_share": _share_of_extract(lambda line: line.kind in UNMALTED or _sugar(line)),
    "fruit_share": _share_of_extract(lambda line: line.key == "fruit"),
    "base_share": _share_of_grain(_is_base),
    "crystal_share": _share_of_grain(_is_crystal),
    "dark_crystal_share": _share_of_grain(lambda line: _is_crystal(line) and line.ebc > DARK_CRYSTAL_EBC),
    "roast_share": _share_of_grain(_is_roast),
    "smoked_share": _share_of_grain(lambda line: line.kind == "smoked-malt"),
    "peated_share": _share_of_grain(lambda line: "peat" in line.id),
    "acid_malt_share": _share_of_grain(lambda line: line.kind == "acid-malt"),
    "huskless_share": _share_of_grain(_is_huskless),
    "unmalted_share": _share_of_grain(lambda line: line.kind in UNMALTED),
    "share_sum": _share_sum,
    "diastatic_power": _diastatic,
}
