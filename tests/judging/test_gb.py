"""Great Britain domestic rules for goods vehicles (Transport Act 1968; gov.uk, section 2)."""

from __future__ import annotations

import pytest

from tests.judging.logs import ask

DRIVE, DUTY = "gb-driving-10h", "gb-duty-11h"


@pytest.mark.parametrize(
    ("log", "answer"),
    [
        ("drive 6-16", []),
        ("drive 6-16:01", [(DRIVE, "16:00")]),
        # A break is no duty: 10 h driving and 1 h of work in 14 hours.
        ("drive 6-11, off 11-14, drive 14-19, on 19-20", []),
        ("drive 6-11, off 11-14, drive 14-19, on 19-20:01", [(DUTY, "20:00")]),
        # A day is 24 h from the start of duty: 5 + 5 h from 06:00 to 06:00, then a new one.
        ("drive 6-11, drive 25-30, off 30-31, drive 31-36", []),
        ("drive 6-11, drive 24-29:01", [(DRIVE, "29:00")]),
        # 24 h of duty end a day; the next begins with the next duty, not at once.
        ("on 6-30, drive 40-50, off 50-55, drive 55-56", [(DRIVE, "55:00")]),
        ("on 6-20", []),
        ("on 6-20, drive 30-35", []),
        ("drive 6-7, on 7-17, drive 30-34", []),
        ("drive 6-7, on 7-17:01, drive 30-34", []),
        ("drive 6-7, on 7-17:01, drive 30-34:01", [(DUTY, "17:00")]),
        # The day with more than four hours lies in the next week.
        ("drive 6-7, on 7-17:01, drive 174-180", []),
    ],
)
def test_days_of_a_british_driver(log, answer):
    """10 h driving; 11 h duty, unless no driving that day or <= 4 h on every day of the week."""
    assert ask(log, "gb") == answer


def test_duty_without_end_is_cut_into_days():
    """Duty that runs past 24 h begins the next day at once; by hand 06:00 + 10 h on each day."""
    assert [start for rule, start in ask("drive 6-50", "gb") if rule == DRIVE] == ["16:00", "40:00"]
