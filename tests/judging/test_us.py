"""49 CFR 395.3 and 395.1(g): the last lawful minute and the first unlawful, edition by edition."""

from __future__ import annotations

from datetime import date

import pytest

from tests.judging.logs import US_2012, US_2013, US_2020, ask, find_log_faults, write
from tripkit.yard.errors import BadValue

BREAK, DRIVE, WINDOW = "us-break-30min", "us-driving-11h", "us-window-14h"

# log, then what 2012, 2013 and 2020 say of it; derived by hand from the text of each edition.
TABLE = [
    ("eight hours and a minute at one go", "drive 0-8:01", [], [BREAK], [BREAK]),
    ("eight hours at one go", "drive 0-8", [], [], []),
    ("a break of 30 min off duty", "drive 0-8, off 8-8:30, drive 8:30-11:30", [], [], []),
    ("29 min off duty", "drive 0-8, off 8-8:29, drive 8:29-9", [], [BREAK], [BREAK]),
    ("30 min of other work", "drive 0-8, on 8-8:30, drive 8:30-9", [], [BREAK], []),
    ("15 min off and 15 of work", "drive 0-8, off 8-8:15, on 8:15-8:30, drive 8:30-9",
     [], [BREAK], []),
    ("work first: hours passed, not driven", "on 0-4, drive 4-8:01", [], [BREAK], []),
    ("the berth is a break", "drive 0-8, sleep 8-8:30, drive 8:30-9", [], [], []),
    ("11 hours driving", "drive 0-5:30, off 5:30-6, drive 6-11:30", [], [], []),
    ("11 hours and a minute", "drive 0-5:30, off 5:30-6, drive 6-11:31",
     [DRIVE], [DRIVE], [DRIVE]),
    ("the 14th hour", "on 0-2, off 2-8, drive 8-14", [], [], []),
    ("a minute after the 14th hour", "on 0-2, off 2-8, drive 8-14:01",
     [WINDOW], [WINDOW], [WINDOW]),
    ("work after the 14th hour", "drive 0-5, on 5-16", [], [], []),
    ("10 h off begin anew", "drive 0-8, off 8-18, drive 18-26", [], [], []),
    ("9:59 off do not", "drive 0-7, off 7-16:59, drive 16:59-17:30", [WINDOW], [WINDOW], [WINDOW]),
    ("off duty and berth in a row are one rest", "drive 0-8, off 8-10, sleep 10-18, drive 18-26",
     [], [], []),
    ("2 h off, then 8 in the berth", "drive 0-5, off 5-7, drive 7-12, sleep 12-20, drive 20-26",
     [], [], []),
    ("3 h off, then 7 in the berth", "drive 0-5, off 5-8, drive 8-13, sleep 13-20, drive 20-26",
     [DRIVE, WINDOW], [DRIVE, WINDOW], []),
    ("1:59 off and 8:01 in the berth are no pair",
     "drive 0-5, off 5-6:59, drive 6:59-12, sleep 12-20:01, drive 20:01-26",
     [DRIVE, WINDOW], [DRIVE, WINDOW], [DRIVE, WINDOW]),
    # Until 2020 the shorter part ran on in the 14 h: 20:00 less 8 h of berth is the 12th hour.
    ("8 in the berth stop the clock", "drive 0-5, sleep 5-13, drive 13-19", [], [], []),
    ("7 in the berth stop it with a later rest", "drive 0-5, sleep 5-12, on 12-18, drive 18-20",
     [WINDOW], [WINDOW], []),
    ("6:59 in the berth do not", "drive 0-5, sleep 5-11:59, on 11:59-18, drive 18-19",
     [WINDOW], [WINDOW], [WINDOW]),
    ("7 h off duty are no berth", "drive 0-5, off 5-12, on 12-18, drive 18-20",
     [WINDOW], [WINDOW], [WINDOW]),
    ("the shorter part stops the clock since 2020",
     "on 0-6, off 6-8, on 8-10, drive 10-16, sleep 16-24, drive 24-25",
     [WINDOW], [WINDOW], []),
]  # fmt: skip


@pytest.mark.parametrize(("log", "in_2012", "in_2013", "in_2020"), [row[1:] for row in TABLE],
                         ids=[row[0] for row in TABLE])  # fmt: skip
def test_each_edition_by_hand(log, in_2012, in_2013, in_2020):
    """Each log under the editions of 2005, 2013 and 2020 of 49 CFR 395."""
    for edition, answer in ((US_2012, in_2012), (US_2013, in_2013), (US_2020, in_2020)):
        assert sorted({rule for rule, _ in ask(log, "us", edition)}) == answer, edition


def test_editions_change_on_their_day():
    """The break by hours passed ends on 28 September 2020 (85 FR 33396)."""
    log = "drive 0-8, on 8-8:30, drive 8:30-9"
    assert ask(log, "us", date(2013, 6, 30)) == []
    assert ask(log, "us", date(2020, 9, 28)) == [(BREAK, "8:30")]
    assert ask(log, "us", date(2020, 9, 29)) == []


def test_a_driver_may_split_one_rest_after_another():
    """7 + 3 + 7 h: each part pairs with the last; a part of 2:59 breaks the chain (395.1(g))."""
    chain = "drive 0-5, sleep 5-12, drive 12-17, off 17-20, drive 20-25, sleep 25-32, drive 32-37"
    assert ask(chain, "us", US_2020) == []
    broken = chain.replace("off 17-20, drive 20-25", "off 17-19:59, drive 19:59-25")
    # Hours then count from 0:00: 10 driven by 17:00, the eleventh by 20:59.
    assert (DRIVE, "20:59") in ask(broken, "us", US_2020)


def test_one_rest_in_the_berth_is_paired_once():
    """8 h in the berth make ten with one rest of 2 h, not with two (395.1(g)(1)(i), "two periods").

    By hand: from the end of the berth at 8:00, 14 h and the one rest of 2 h end at 24:00.
    """
    log = "drive 0-0:30, sleep 0:30-8:30, on 8:30-9, off 9-11, on 11-20, off 20-22, on 22-22:30"
    assert ask(f"{log}, drive 22:30-24:30", "us", US_2020) == []
    assert ask(f"{log}, drive 22:30-24:31", "us", US_2020) == [(WINDOW, "24:30")]


def test_sixty_hours_in_seven_days():
    """A carrier that does not run every day has 60 h in 7 days (49 CFR 395.3(b)(1))."""
    log = ", ".join(f"on {24 * day + 7}-{24 * day + 17}" for day in range(6)) + ", drive 151-152"
    assert ask(log, "us", cycle="60/7") == [("us-cycle-60h", "151:00")]
    assert ask(log, "us", cycle="70/8") == []
    assert ask(log.replace("on 7-17", "on 7-16"), "us", cycle="60/7") == []


def test_work_beyond_seventy_hours_is_lawful_and_driving_is_not():
    """The rule forbids driving only (49 CFR 395.3(b))."""
    log = ", ".join(f"on {24 * day + 7}-{24 * day + 19}" for day in range(7))
    assert ask(log, "us") == []
    assert ask(f"{log}, drive 175-175:01", "us") == [("us-cycle-70h", "175:00")]


def test_a_fault_says_what_when_and_by_which_rule():
    """Text with figures, the source with its edition."""
    fault = find_log_faults(write("drive 0-8, off 8-9, drive 9-13"), "us", edition=US_2020)[0]
    assert fault.rule == DRIVE
    assert fault.start == 12 * 60
    said = "drives 12 h since the rest that ended day 1 00:00, and may drive 11 h"
    assert said in str(fault.fact)
    assert str(fault.source) == "49 CFR 395.3(a)(3)(i), edition of 29 September 2020"


def test_unknown_editions_and_cycles_are_refused():
    """The rules before 1 October 2005 are not known here."""
    with pytest.raises(BadValue, match="2005-10-01"):
        ask("drive 0-1", "us", date(2005, 9, 30))
    with pytest.raises(BadValue, match="'80/9' is no cycle"):
        ask("drive 0-1", "us", cycle="80/9")
