"""What can hurt someone or spoil a beer and was once passed over: each said, and nothing said of sound beer."""

from __future__ import annotations

import pytest

from tests.rulebook.kitchen import Cooked


def said(base: str, patch: object) -> dict[str, str]:
    """Rule -> level of what the rules find."""
    return {finding.rule: finding.level for finding in Cooked(base, patch).judged()}


# ---------------------------------------------------------------------- sugar among the additions


@pytest.mark.parametrize(
    ("add", "level"),
    [
        ({"add": "priming-sugar", "weight": "150 g", "package": True}, "error"),
        ({"add": "krausen-wort", "volume": "4 L", "package": True}, "error"),
        ({"add": "fruit-puree", "weight": "3 kg", "package": True}, "error"),
        ({"add": "dried-fruit", "weight": "300 g", "condition": "after 1 d"}, "warning"),
        ({"add": "whole-fruit", "weight": "2 kg", "ferment": "4 d"}, "warning"),
        ({"add": "dried-fruit", "weight": "300 g", "boil": "10 min"}, None),
        ({"add": "fruit-zest-tincture", "volume": "60 mL", "package": True}, None),
        ({"add": "cucumber", "weight": "1 kg", "condition": "after 10 d"}, None),
        ({"add": "lemon-peel", "weight": "20 g", "condition": "after 4 d"}, None),
        ({"add": "coffee-cold-brew", "volume": "400 mL", "package": True}, None),
    ],
)
def test_sugar_among_the_additions(add: dict[str, object], level: str | None) -> None:
    found = said("pale-ale", {"additions": [add]})
    rule = "added-sugar-at-packaging-not-counted" if "package" in add else "added-sugar-not-counted"
    assert found.get(rule) == level
