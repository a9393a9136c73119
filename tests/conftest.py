"""What holds for all tests: the clock stands long before the seasons of the yards they write."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from tripkit.files import reader


@pytest.fixture(autouse=True)
def _clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same day is today whenever the tests run, in this process."""
    monkeypatch.setattr(reader, "read_clock", lambda: datetime(2026, 12, 1, 12, tzinfo=UTC))
