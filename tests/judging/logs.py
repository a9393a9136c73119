"""Logs for tests, written as a driver would say them.

``write("on 10-11, drive 11-16, sleep 24-34")``: hours since Monday 00:00, minutes after a colon.
``tell(faults)`` gives each fault as its rule and its start in the same hours.
"""

from __future__ import annotations

from datetime import date

from tripkit.judging.logbook import find_log_faults
from tripkit.judging.logbook_entries import Duty
from tripkit.judging.logbook_horses import Passage

KINDS = {"on": "on duty", "drive": "driving", "off": "off duty", "sleep": "sleeper"}
US_2012, US_2013, US_2020 = date(2012, 6, 1), date(2013, 7, 1), date(2020, 9, 29)
LATER = date(2027, 3, 1)


def minutes(text):
    """``17:30`` becomes minutes."""
    hours, _, rest = text.partition(":")
    return int(hours) * 60 + int(rest or 0)


def write(text):
    """Entries separated by commas become duties in minutes."""
    found = []
    for entry in text.split(","):
        kind, _, times = entry.strip().partition(" ")
        start, end = times.split("-")
        found.append(Duty(KINDS[kind], minutes(start), minutes(end)))
    return found


def travel(text):
    """Entries separated by commas become the parts of a horse's journey."""
    found = []
    for entry in text.split(","):
        kind, _, times = entry.strip().partition(" ")
        start, end = times.split("-")
        found.append(Passage(kind, minutes(start), minutes(end)))
    return found


def write_days(*days):
    """Driving days under EU rules: hours (or (hours, minutes)) per day, from 06:00 with breaks.

    After each 4:30 of driving stands a break of 45 min; None is a day off.
    """
    found = []
    for number, length in enumerate(days):
        if length is None:
            continue
        left = length * 60 if isinstance(length, int) else length[0] * 60 + length[1]
        now = number * 1440 + 360
        while left:
            stage = min(left, 270)
            found.append(Duty("driving", now, now + stage))
            now, left = now + stage + 45, left - stage
    return found


def ask(text, rules, edition=LATER, **more):
    """The faults of a written log, each as (rule, start in hours)."""
    return tell(
        find_log_faults(
            write(text) if isinstance(text, str) else text, rules, edition=edition, **more
        )
    )


def tell(faults):
    """Faults as (rule, hours since Monday 00:00)."""
    return [(f.rule, f"{f.start // 60}:{f.start % 60:02d}") for f in faults]
