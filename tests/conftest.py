"""What holds for all tests: no machine's clock, and no machine's speed, decides what they find."""

from __future__ import annotations

import os
import sys
from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, settings

from tripkit.files import reader
from tripkit.serve import SLOW_AND_UNUSED

# As `serve` has it, also for tests that import the server's rooms themselves.
sys.modules[SLOW_AND_UNUSED] = None

# A slow machine finds what a quick one finds: no example and no drawing of examples is timed, and
# the same examples are drawn everywhere.
settings.register_profile(
    "tripkit",
    deadline=None,
    derandomize=True,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("tripkit")

# A worker has a browser, a server and its kernels beside it: some 2 GB.
MOST_WORKERS = 4
# What takes longest begins, so that nobody waits for it in the end.
LONGEST = (
    "tests/handbook/test_handbook.py",
    "tests/dashboard/test_real_season.py",
    "tests/test_house.py",
    "dashboard.ipynb",
    "tests/planning/test_brute_force.py",
    "tests/planning/test_cores.py",
    "tests/planning/test_begun_seasons.py",
    "tests/brute/test_planner.py",
    "tests/planning/test_goals.py",
)


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """The whole suite is shared between the cores; what is asked for by name is run in one."""
    cores = min(os.cpu_count() or 1, MOST_WORKERS)
    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS
    return cores if whole and cores > 1 else 0


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files of tests stand in the order in which they begin."""

    def rank(item: pytest.Item) -> int:
        file = item.nodeid.split("::")[0]
        return LONGEST.index(file) if file in LONGEST else len(LONGEST)

    items.sort(key=rank)


@pytest.fixture(autouse=True)
def _clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same day is today whenever the tests run, in this process."""
    monkeypatch.setattr(reader, "read_clock", lambda: datetime(2026, 12, 1, 12, tzinfo=UTC))
