"""Timetables of `driving`, held to the rules by a checker that reads only the log.

`driving` and `logbook` share no function. Each range of hours says where it ends and why.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.judging.logs import LATER
from tripkit.driving.leg import schedule_drive
from tripkit.driving.rules import RULES
from tripkit.judging.logbook import find_log_faults, read_log
from tripkit.yard.circuit import Leg
from tripkit.yard.limits import Limits

DAYS = st.dates(date(2027, 1, 1), date(2027, 12, 31))
ZONES = st.sampled_from(
    ["America/New_York", "America/Chicago", "America/Los_Angeles", "Europe/Paris", "Europe/London"]
)
# The longest drive one driver may make without a rest of days: 70 h on duty in eight days (49 CFR
# 395.3(b)); six days of 8.5 h (561/2006 Art. 8(6)); Great Britain has no such rule.
LONGEST = {"us": 70.0, "eu": 51.0, "gb": 120.0}


def write_drive(hours, rules, limits=None, day=date(2027, 5, 3), start="America/Chicago", end=None):
    """A drive as planned becomes a driver's log."""
    zones = (start, end or start)
    table = schedule_drive(hours, day, *zones, limits or Limits(), RULES[rules], loaded=True)
    leg = Leg("Lorry", "home", "S1", table.depart, table.arrive, 1.0, hours, ("Dell",),
              ("Clover",), table.stops)  # fmt: skip
    return read_log([leg])["Dell"]


def ask(log, rules):
    return [fault.rule for fault in find_log_faults(log, rules, edition=LATER)]


def shorten(log, number, minutes):
    """An entry made shorter, and all that follows it earlier."""
    wait = timedelta(minutes=minutes)
    return [
        *log[:number],
        replace(log[number], end=log[number].end - wait),
        *(
            replace(duty, start=duty.start - wait, end=duty.end - wait)
            for duty in log[number + 1 :]
        ),
    ]


@pytest.mark.parametrize("rules", ["us", "eu", "gb"])
@settings(max_examples=150)
@given(data=st.data())
def test_no_planned_drive_breaks_a_rule(rules, data):
    """Any drive, any day of the year, any zones, with the yard's default limits."""
    hours = data.draw(st.floats(0.01, LONGEST[rules], allow_nan=False))
    log = write_drive(hours, rules, None, data.draw(DAYS), data.draw(ZONES), data.draw(ZONES))
    assert ask(log, rules) == []


@pytest.mark.parametrize(
    ("rules", "water", "longest", "hours"),
    [("us", 8.0, 13.0, 69.0), ("eu", 4.5, 12.0, 36.0), ("gb", 10.0, 13.0, 60.0)],
)
@settings(max_examples=150)
@given(data=st.data())
def test_no_planned_drive_breaks_a_rule_under_other_limits(rules, water, longest, hours, data):
    """Limits of the horses, as far as they leave the driver his break and his night.

    A stop for water within 8 h of driving (US) or 4.5 (EU), and a day of the horses that leaves
    10 h of rest (US) or 11 (EU) in a night that the clock change makes an hour shorter. A British
    drive lies in May: after a shorter night the first hour of driving falls into the last day's 24.
    """
    limits = Limits(
        horse_hours_per_day=data.draw(st.floats(8.0, longest)),
        water_every_hours=data.draw(st.floats(2.0, water)),
    )
    day = date(2027, 5, 3) if rules == "gb" else data.draw(DAYS)
    log = write_drive(data.draw(st.floats(0.01, hours)), rules, limits, day)
    assert ask(log, rules) == []


@pytest.mark.parametrize("rules", ["us", "gb"])
@settings(max_examples=50)
@given(data=st.data())
def test_a_season_of_planned_drives_breaks_no_rule(rules, data):
    """Drives of one driver with a free day between them, across a season (default limits).

    Not for the EU: a leg at a time cannot see that every second weekly rest needs 45 h.
    """
    day, log = data.draw(DAYS), []
    gaps = st.integers(1, 4)
    for hours, gap in data.draw(st.lists(st.tuples(st.floats(0.1, 20.0), gaps), max_size=20)):
        log += write_drive(hours, rules, None, day)
        day = log[-1].end.date() + timedelta(days=1 + gap)
    assert ask(log, rules) == []


@pytest.mark.parametrize(
    ("rules", "water", "rule"),
    [("us", 8.0, "us-break-30min"), ("eu", 4.5, "eu-break-45min")],
)
@given(data=st.data())
def test_a_minute_less_break_is_unlawful_where_the_break_binds(rules, water, rule, data):
    """A halt after 8 h (US) or 4.5 h (EU) of driving is needed to its last minute."""
    limits = Limits(horse_hours_per_day=12.0, water_every_hours=water)
    hours = data.draw(st.floats(water + 0.02, water + 2.0))
    log = write_drive(hours, rules, limits)
    assert [duty.kind for duty in log] == ["driving", "off duty", "driving"]
    assert ask(log, rules) == []
    assert ask(shorten(log, 1, 1), rules) == [rule]


@pytest.mark.parametrize(("rules", "rest"), [("us", 600), ("eu", 540)])
@given(data=st.data())
def test_a_minute_less_night_is_unlawful_where_the_night_binds(rules, rest, data):
    """10 h (US) or a reduced rest of 9 h (EU) between two days of driving.

    9 h and 8.5 h of driving a day are what the default limits leave; two days of together at least
    3 h more pass the 11 h (US) or 10 h (EU) of one.
    """
    full = {"us": 9.0, "eu": 8.5}[rules]
    hours = full + data.draw(st.floats(3.0, full))
    log = write_drive(hours, rules)
    night = max(range(len(log)), key=lambda n: log[n].end - log[n].start if n else timedelta())
    asleep = round((log[night].end - log[night].start) / timedelta(minutes=1))
    assert log[night].kind == "off duty"
    assert ask(shorten(log, night, asleep - rest), rules) == []
    assert ask(shorten(log, night, asleep - rest + 1), rules) != []
