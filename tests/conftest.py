"""Settings that every test shares."""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, settings

# A shared machine is slow in bursts, so no test has a deadline. In CI the examples are the same on
# every run: a red build must mean a changed project, not another roll of the dice.
settings.register_profile("default", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile(
    "ci", deadline=None, derandomize=True, database=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("ci" if os.environ.get("CI") else "default")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--slow", action="store_true", help="also run what builds packages and environments")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--slow") or os.environ.get("CI"):
        return
    skip = pytest.mark.skip(reason="slow: give --slow, or set CI")
    for item in items:
        if "slow" in item.keywords:
            item.add_marker(skip)
