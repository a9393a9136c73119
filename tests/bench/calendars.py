"""How long the worst calendars take to be answered: `python -m tests.bench.calendars`."""

from __future__ import annotations

import time

from tests.files.test_bad_calendars import BOMBS, read_shows

MOST_SECONDS = 3.0


def measure() -> dict[str, float]:
    """Seconds of processor time for each calendar."""
    measured = {}
    for name, make in BOMBS.items():
        data = make()
        began = time.process_time()
        read_shows(data)
        measured[name] = time.process_time() - began
    return measured


if __name__ == "__main__":
    for name, seconds in measure().items():
        print(f"{name:28} {seconds:6.2f}   (limit {MOST_SECONDS:g})")
