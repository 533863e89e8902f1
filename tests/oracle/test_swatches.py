"""The colour of beer against a general colour library, and the written swatches against what it computes."""

from __future__ import annotations

import os

import pytest
import yaml

from recipelint.brewing.swatches import SWATCHES

pytest.importorskip("colour", reason="needs the extra `oracle`: colour-science")
pytestmark = pytest.mark.oracle

HERE = os.path.dirname(os.path.abspath(__file__))
with open(os.path.join(HERE, os.pardir, "check_values", "wort-and-beer.yaml"), encoding="utf-8") as _file:
    ROWS = [row for row in yaml.safe_load(_file)["checks"] if row["id"].startswith("col-lab-")]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['id']}-regression-{row['source']}")
def test_lab(row: dict) -> None:
    from tools.make_swatches import PATH_CM, lab

    assert row["inputs"]["path_cm"] == PATH_CM
    found = dict(zip("Lab", lab(row["inputs"]["srm"]), strict=True))
    assert found[row["id"][-1]] == pytest.approx(row["expected"], abs=row["tolerance"])


def test_swatches_are_current() -> None:
    from tools.make_swatches import TARGET, module

    with open(TARGET, encoding="utf-8") as file:
        assert file.read() == module()
    assert len(SWATCHES) == 61


def test_path_matters_more_than_colour() -> None:
    from tools.make_swatches import tristimulus

    assert tristimulus(4.0, 5.0) == pytest.approx(tristimulus(20.0, 1.0), rel=1e-9)
