"""What holds for all tests: no machine's clock, and no machine's speed, decides what they find."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, settings

from tripkit.files import reader

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


@pytest.fixture(autouse=True)
def _clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same day is today whenever the tests run, in this process."""
    monkeypatch.setattr(reader, "read_clock", lambda: datetime(2026, 12, 1, 12, tzinfo=UTC))
