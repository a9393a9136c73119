"""Split rest under 49 CFR 395.1(g)(1) against a search through all pairings, hour by hour."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.judging.logs import US_2020
from tripkit.judging.logbook import find_log_faults
from tripkit.judging.logbook_entries import Duty

# Work and rest in turn, in whole hours; no rest of ten, so that all is one shift.
WORK = st.tuples(st.sampled_from(["driving", "on duty"]), st.integers(1, 8))
REST = st.tuples(st.sampled_from(["off duty", "sleeper"]), st.integers(1, 9))
SHIFTS = st.lists(st.tuples(WORK, REST), min_size=1, max_size=5)


def write_hours(shift):
    """Work and rest in turn become (kind, first hour, hour after the last)."""
    found, now = [], 0
    for entry in (part for pair in shift for part in pair):
        found.append((entry[0], now, now + entry[1]))
        now += entry[1]
    return [*found, ("driving", now, now + 1), ("off duty", now + 1, now + 101)]


def list_pairings(rests, first=0):
    """Every set of pairs in time order; a rest may end one pair and begin the next."""
    yield ()
    for a in range(first, len(rests)):
        for b in range(a + 1, len(rests)):
            (kind, start, end), (other, begin, stop) = rests[a], rests[b]
            long, short = end - start, stop - begin
            berths = [n for k, n in ((kind, long), (other, short)) if k == "sleeper"]
            if max(berths, default=0) >= 7 and min(long, short) >= 2 and long + short >= 10:
                for more in list_pairings(rests, b):
                    yield ((rests[a], rests[b]), *more)


def is_lawful(log, pairing):
    """Whether every hour of driving lies within the 11 and the 14, hours counted one by one."""
    paired = {rest for pair in pairing for rest in pair}
    for kind, start, end in log:
        for hour in range(start, end) if kind == "driving" else ():
            since = max([0, *(a[2] for a, b in pairing if b[2] <= hour)])
            driven = sum(k == "driving" and a <= h < b for k, a, b in log
                         for h in range(since, hour))  # fmt: skip
            left_out = sum(b - a for _, a, b in paired if since <= a and b <= hour)
            if driven >= 11 or hour - since - left_out >= 14:
                return False
    return True


@settings(max_examples=300)
@given(SHIFTS)
def test_the_best_pairing_is_found(shift):
    """No 11 h and no 14 h fault if and only if some pairing of the rests has none."""
    log = write_hours(shift)
    rests = [entry for entry in log if entry[0] in ("off duty", "sleeper")]
    lawful = any(is_lawful(log, pairing) for pairing in list_pairings(rests))
    duties = [Duty(kind, 60 * start, 60 * end) for kind, start, end in log]
    found = {fault.rule for fault in find_log_faults(duties, "us", edition=US_2020)}
    assert (not found & {"us-driving-11h", "us-window-14h"}) == lawful
