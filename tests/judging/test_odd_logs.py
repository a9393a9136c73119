"""Odd logs: empty, out of order, overlapping, mixed; and what must not depend on the writing."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.judging.logs import LATER, US_2013, ask, tell, write
from tripkit.judging.logbook import find_log_faults
from tripkit.judging.logbook_entries import Duty
from tripkit.yard.errors import BadValue

KINDS = st.sampled_from(["driving", "on duty", "off duty", "sleeper"])
ENTRIES = st.lists(st.tuples(KINDS, st.integers(1, 900)), min_size=1, max_size=25)
RULES = st.sampled_from(["us", "eu", "gb"])


def chain(entries, start=0):
    """Kinds and minutes become entries that follow each other."""
    found = []
    for kind, minutes in entries:
        found.append(Duty(kind, start, start + minutes))
        start += minutes
    return found


@pytest.mark.parametrize("rules", ["us", "eu", "gb", "none"])
def test_an_empty_log_and_one_without_driving_are_lawful(rules):
    """Nothing done is nothing wrong."""
    assert ask([], rules) == []
    assert ask("off 0-40, on 40-41, sleep 41-60", rules) == []


def test_no_rules_find_nothing():
    """`none` are the rules of a yard that chose none."""
    assert ask("drive 0-100", "none") == []


def test_entries_at_one_time_are_a_fault_of_the_log():
    """Named under any rules; the harder of the two counts (plain sense)."""
    assert ask("drive 0-4, off 3-5", "none") == [("log-overlap", "3:00")]
    # 0-8 off duty by one entry, driving by the other: the eighth hour ends at 8:00.
    assert ask("off 0-8, drive 0-8:30", "us") == [
        ("log-overlap", "0:00"),
        ("us-break-30min", "8:00"),
    ]


def test_what_is_no_entry_is_refused():
    """Unknown kinds, ends before starts, times without offset, minutes among times."""
    noon = datetime(2027, 3, 3, 12, tzinfo=UTC)
    with pytest.raises(BadValue, match="'asleep' is no kind"):
        Duty("asleep", 0, 1)
    with pytest.raises(BadValue, match="before it starts"):
        Duty("driving", 5, 4)
    with pytest.raises(BadValue, match="no offset"):
        Duty("driving", noon.replace(tzinfo=None), noon)
    with pytest.raises(BadValue, match="mixes"):
        Duty("driving", 0, noon)
    with pytest.raises(BadValue, match="not both"):
        find_log_faults([Duty("driving", 0, 1), Duty("driving", noon, noon)], "us", edition=LATER)
    with pytest.raises(BadValue, match="no driving rules"):
        ask("drive 0-1", "mars")


def test_faults_are_told_in_the_zone_of_their_entry():
    """11 h from 07:00 in the west, crossing into the east: 19:00 there."""
    west, east = ZoneInfo("America/Chicago"), ZoneInfo("America/New_York")
    noon = datetime(2027, 5, 3, 12, tzinfo=west)
    log = [
        Duty("driving", noon - timedelta(hours=5), noon),
        Duty("off duty", noon, noon + timedelta(hours=1)),
        Duty(
            "driving", datetime(2027, 5, 3, 14, tzinfo=east), datetime(2027, 5, 3, 21, tzinfo=east)
        ),
    ]
    (fault,) = find_log_faults(log, "us", edition=LATER)
    assert (fault.rule, fault.start.isoformat()) == ("us-driving-11h", "2027-05-03T20:00:00-04:00")


def test_days_and_weeks_begin_on_the_clock_named():
    """Driving from Sunday 20:00 to Monday in the west is Monday's in Paris.

    Six days of 10 h, then Monday 01:00 in Paris is Sunday 19:00 in Chicago: still the seventh day.
    """
    paris, chicago = ZoneInfo("Europe/Paris"), ZoneInfo("America/Chicago")
    log = [
        Duty("on duty", datetime(2027, 5, day, 8, tzinfo=paris),
             datetime(2027, 5, day, 18, tzinfo=paris))
        for day in (3, 4, 5, 6, 7, 8)
    ]  # fmt: skip
    drive = datetime(2027, 5, 10, 1, tzinfo=paris)
    log.append(Duty("driving", drive, drive + timedelta(hours=1)))
    seven = {"edition": LATER, "cycle": "60/7"}
    assert find_log_faults([*log], "us", **seven) == ()
    faults = find_log_faults([*log], "us", clock=chicago, **seven)
    assert [fault.rule for fault in faults] == ["us-cycle-60h"]


@settings(max_examples=100)
@given(ENTRIES, RULES, st.randoms(use_true_random=False))
def test_order_and_cuts_of_entries_do_not_matter(entries, rules, random):
    """Entries shuffled, and each cut in two, say the same."""
    log = chain(entries)
    cut = []
    for duty in log:
        middle = (duty.start + duty.end) // 2
        cut += [replace(duty, end=middle), replace(duty, start=middle)]
    random.shuffle(cut)
    assert ask(cut, rules) == ask(log, rules)


@settings(max_examples=100)
@given(ENTRIES, RULES)
def test_minutes_and_times_say_the_same(entries, rules):
    """Minute 0 is a Monday 00:00: 1 March 2027, on a clock that does not change."""
    monday = datetime(2027, 3, 1, tzinfo=timezone(timedelta(hours=-6)))
    log = chain(entries)
    times = [
        Duty(d.kind, monday + timedelta(minutes=d.start), monday + timedelta(minutes=d.end))
        for d in log
    ]
    faults = find_log_faults(times, rules, edition=LATER)
    told = [(fault.rule, round((fault.start - monday) / timedelta(minutes=1))) for fault in faults]
    plain = find_log_faults(log, rules, edition=LATER)
    assert told == [(fault.rule, fault.start) for fault in plain]


@settings(max_examples=100)
@given(ENTRIES, RULES)
def test_a_week_later_says_the_same_a_week_later(entries, rules):
    """No rule depends on which week it is."""
    here = find_log_faults(chain(entries), rules, edition=LATER)
    later = find_log_faults(chain(entries, 7 * 1440), rules, edition=LATER)
    assert [(f.rule, f.start + 7 * 1440) for f in here] == [(f.rule, f.start) for f in later]


@settings(max_examples=100)
@given(ENTRIES, RULES, st.sampled_from([US_2013, LATER]))
def test_every_fault_has_words_and_a_source_and_lies_in_the_log(entries, rules, edition):
    """Nobody is told of a fault that cannot be found."""
    log = chain(entries)
    for fault in find_log_faults(log, rules, edition=edition):
        assert log[0].start <= fault.start <= log[-1].end
        assert str(fault.fact)
        assert any(word in str(fault.source) for word in ("CFR", "561/2006", "1968"))


@settings(max_examples=100)
@given(ENTRIES)
def test_rest_instead_of_driving_makes_no_new_fault(entries):
    """An entry of driving turned into rest never makes a lawful log unlawful (US).

    In Great Britain it may: the 24 h of the day then begin with the next duty.
    """
    log = chain(entries)
    if not find_log_faults(log, "us", edition=LATER):
        drives = [n for n, duty in enumerate(log) if duty.kind == "driving"]
        for number in drives:
            eased = [*log[:number], replace(log[number], kind="sleeper"), *log[number + 1 :]]
            assert tell(find_log_faults(eased, "us", edition=LATER)) == []


def test_written_logs_read_as_written():
    """The helper of these tests: hours since Monday 00:00."""
    assert write("drive 1-2:30") == [Duty("driving", 60, 150)]
