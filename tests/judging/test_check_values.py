"""Worked logs from outside, each a logbook in and a verdict out.

Each test names its outside source.
"""

from __future__ import annotations

import pytest

from tests.judging.logs import US_2013, US_2020, ask, find_log_faults, tell, travel, write_days
from tripkit.judging.logbook_horses import find_eu_journey_faults, find_us_journey_faults


def test_25_three_hours_off_and_seven_in_the_berth_stop_the_clock():
    """Compliant, 14 h used (FMCSA enforcement chief's example, overdriveonline.com)."""
    log = "on 0-7, off 7-10, on 10-12, drive 12-17, sleep 17-24"
    assert ask(log, "us", US_2020) == []


def test_25_binds_at_the_last_minute_of_the_berth_and_of_the_fourteen_hours():
    """A minute less in the berth, or a minute more of driving, is late (derived from 25)."""
    less = "on 0-7, off 7-10, on 10-12, drive 12-17, sleep 17-23:59, on 23:59-24"
    assert ask(less, "us", US_2020) == [("us-window-14h", "14:00")]
    more = "on 0-7, off 7-10, on 10-12, drive 12-17:01, sleep 17:01-24:01"
    assert ask(more, "us", US_2020) == [("us-window-14h", "17:00")]


@pytest.mark.parametrize("edition", [US_2013, US_2020])
def test_26_eleven_hours_inside_fourteen(edition):
    """No violation in both editions (cdl-prep.com)."""
    log = "on 10-11, drive 11-16, off 16-17, drive 17-23, on 23-24, sleep 24-34"
    assert ask(log, "us", edition) == []


def test_27_work_is_a_break_since_2020_only():
    """Break violation 18-22 and 23-24 until 2020, none since (truckingtruth.com p. 6)."""
    log = "on 10-11, drive 11-16, on 16-18, drive 18-22, on 22-23, drive 23-24, sleep 24-34"
    late = [("us-break-30min", "18:00"), ("us-break-30min", "23:00")]
    assert ask(log, "us", US_2013) == late
    assert ask(log, "us", US_2020) == []


@pytest.mark.parametrize("edition", [US_2013, US_2020])
def test_28_twelve_hours_without_stopping(edition):
    """Break from 20:00, 11 h from 23:00, no 14 h, both editions (truckingtruth.com p. 7)."""
    assert ask("off 2-12, drive 12-24", "us", edition) == [
        ("us-break-30min", "20:00"),
        ("us-driving-11h", "23:00"),
    ]


def test_29_seven_hours_in_the_berth():
    """Until 2020 the 14 h end 16:00, so 17-22 is late; since then it pairs (cdl-prep.com)."""
    log = "drive 2-8, sleep 8-15, on 15-17, drive 17-22, off 22-32"
    assert ask(log, "us", US_2013) == [("us-window-14h", "17:00")]
    assert ask(log, "us", US_2020) == []


def test_29_the_other_part_is_three_hours():
    """After 3 h more the hours count from 15:00; after 2:59 the eleven are used up (derived)."""
    start = "drive 2-8, sleep 8-15, on 15-17, drive 17-22"
    assert ask(f"{start}, off 22-25, drive 25-26", "us", US_2020) == []
    assert ask(f"{start}, off 22-24:59, drive 24:59-26", "us", US_2020) == [
        ("us-driving-11h", "24:59"),
        ("us-window-14h", "24:59"),
    ]


SIXTY_SEVEN = ", ".join(f"on {24 * day + 7}-{24 * day + 16}" for day in range(7)) + ", on 175-179"


def test_30_three_hours_are_left_of_seventy():
    """67 h in 8 days: 3 h left (FMCSA driver guide 2015); the first minute of the 71st is late."""
    assert ask(f"{SIXTY_SEVEN}, drive 179-182", "us") == []
    late = [("us-cycle-70h", "182:00")]
    assert ask(f"{SIXTY_SEVEN}, drive 179-182:01", "us") == late


def test_30_the_first_day_drops_on_the_ninth():
    """Its 9 h may be worked again on day 9 (FMCSA driver guide 2015); by hand 70 - 9 + 9 = 70."""
    nine = f"{SIXTY_SEVEN}, drive 179-182, drive 199-203, off 203-203:30, drive 203:30-208:30"
    assert ask(nine, "us") == []
    more = nine.replace("208:30", "208:31")
    assert ask(more, "us") == [("us-cycle-70h", "208:30")]


def test_30_thirty_four_hours_off_begin_anew():
    """72 h on duty, then 34 h off: 0 used; 33:59 off: not a minute left (49 CFR 395.3(c))."""
    week = ", ".join(f"on {24 * day + 7}-{24 * day + 19}" for day in range(6))
    assert ask(f"{week}, drive 173-174", "us") == []
    assert ask(f"{week}, drive 172:59-174", "us") == [("us-cycle-70h", "172:59")]


@pytest.mark.parametrize(
    ("log", "answer"),
    [
        ("drive 0-4:30, off 4:30-5:15, drive 5:15-7", []),
        ("drive 0-2:30, on 2:30-3:30, drive 3:30-5:30, off 5:30-6:15, drive 6:15-8", []),
        ("drive 0-2, off 2-2:15, drive 2:15-4:45, off 4:45-5:15, drive 5:15-7", []),
        ("drive 0-2, off 2-2:34, drive 2:34-5:04, off 5:04-5:34, drive 5:34-7", []),
        (
            "drive 0-2, off 2-2:30, drive 2:30-5, off 5-5:15, drive 5:15-7",
            [("eu-break-45min", "5:15")],
        ),
    ],
)
def test_31_breaks_of_the_european_rules(log, answer):
    """45, or 15 and then 30, never 30 and then 15 (VOSA examples)."""
    assert ask(log, "eu") == answer


def test_32_a_new_daily_rest_is_complete_within_24_hours():
    """Work from Monday 06:00: 9 h of rest begin by 21:00 (csuk.coach)."""
    assert ask("on 6-21, off 21-30, on 30-31", "eu") == []
    assert ask("on 6-21:01, off 21:01-31, on 31-32", "eu") == [("eu-daily-rest", "21:00")]


def test_32_a_regular_daily_rest_begins_by_19():
    """With three reduced rests behind, 11 h begin by 19:00 (csuk.coach)."""
    three = "on 6-21, off 21-30, on 30-45, off 45-54, on 54-69, off 69-78"
    assert ask(f"{three}, on 78-91, off 91-102", "eu") == []
    assert ask(f"{three}, on 78-91:01, off 91:01-103", "eu") == [("eu-daily-rest", "91:00")]


def test_32_two_drivers_have_30_hours():
    """From Monday 06:00 the 9 h begin by Tuesday 03:00 (csuk.coach)."""
    assert ask("on 6-27, off 27-36, on 36-37", "eu", drivers=2) == []
    late = [("eu-daily-rest", "27:00")]
    assert ask("on 6-27:01, off 27:01-37, on 37-38", "eu", drivers=2) == late


FIFTY_SIX = (9, 9, 9, 9, 10, 10, None)


def test_33_thirty_four_hours_follow_fifty_six():
    """56 h in one week leave 34 for the next, to the minute (561/2006 Art. 6(3))."""
    assert tell(find_log_faults(write_days(*FIFTY_SIX, 9, 9, 9, 7), "eu", edition=US_2020)) == []
    # Day 10 is a Thursday: 6:00 + 4:30 + 0:45 + 2:30 = 13:45, hour 253:45 of the log.
    late = [("eu-fortnight-driving", "253:45")]
    assert ask(write_days(*FIFTY_SIX, 9, 9, 9, (7, 1)), "eu") == late


@pytest.mark.parametrize(
    ("log", "answer"),
    [
        ("drive 6-11, on 11-11:30, drive 11:30-16:30", []),
        ("drive 6-11, off 11-12, drive 12-17:30", [("gb-driving-10h", "17:00")]),
        ("drive 6-11, on 11-17:30", [("gb-duty-11h", "17:00")]),
        ("drive 6-10, on 10-17:30", []),
        ("drive 6-10, on 10-17:30, drive 30-34:01", [("gb-duty-11h", "17:00")]),
    ],
)
def test_33_the_day_of_a_british_driver(log, answer):
    """10 h driving, 11 h duty unless every day of the week has <= 4 h driving (gov.uk s. 2)."""
    assert ask(log, "gb") == answer


def test_34_twenty_eight_hours_and_the_loading():
    """28 h and an hour of loading are lawful, 29 h only if asked for in writing (49 USC 80502)."""
    assert find_us_journey_faults(travel("loading 0-1, aboard 1-29")) == ()
    assert tell(find_us_journey_faults(travel("aboard 0-29"))) == [("us-confined-28h", "28:00")]
    assert find_us_journey_faults(travel("aboard 0-29"), asked=True) == ()
    late = [("us-confined-28h", "36:00")]
    assert tell(find_us_journey_faults(travel("aboard 0-36:01"), asked=True)) == late


def test_34_five_hours_of_rest_in_a_row():
    """Five consecutive hours unloaded begin the hours anew, 4:59 or 3 + 2 do not."""
    assert find_us_journey_faults(travel("aboard 0-20, unloaded 20-25, aboard 25-53")) == ()
    late = [("us-confined-28h", "32:59")]
    assert (
        tell(find_us_journey_faults(travel("aboard 0-20, unloaded 20-24:59, aboard 24:59-40")))
        == late
    )
    # 20 + 4 h confined by hour 27; 4 more from hour 29 on.
    split = "aboard 0-20, unloaded 20-23, aboard 23-27, unloaded 27-29, aboard 29-40"
    assert tell(find_us_journey_faults(travel(split))) == [("us-confined-28h", "33:00")]


def test_35_liquid_every_eight_hours():
    """20 h: liquid by 8 and by 16 hours (1/2005 Annex I Ch. V 1.4(c))."""
    kept = "aboard 0-8, water 8-8:10, aboard 8:10-16, water 16-16:10, aboard 16:10-20"
    late = "aboard 0-8:01, water 8:01-8:10, aboard 8:10-16, water 16-16:10, aboard 16:10-20"
    assert find_eu_journey_faults(travel(kept), registered=False) == ()
    assert tell(find_eu_journey_faults(travel(late), registered=False)) == [("eu-water-8h", "8:00")]
    never = [("eu-water-8h", "8:00")]
    assert tell(find_eu_journey_faults(travel("aboard 0-20"), registered=False)) == never


WATERED = "aboard 0-8, water 8-9, aboard 9-17, water 17-18, aboard 18-24"


def test_35_after_24_hours_come_24_of_rest():
    """26 h: stop at 24 and rest 24 (1/2005 Annex I Ch. V 1.4(c), 1.5)."""
    late = [("eu-journey-time", "24:00")]
    assert (
        tell(find_eu_journey_faults(travel(f"{WATERED}, aboard 24-26"), registered=False)) == late
    )
    rested = f"{WATERED}, unloaded 24-48, aboard 48-50"
    assert find_eu_journey_faults(travel(rested), registered=False) == ()
    short = f"{WATERED}, unloaded 24-47:59, aboard 47:59-50"
    late = [("eu-journey-time", "47:59")]
    assert tell(find_eu_journey_faults(travel(short), registered=False)) == late


def test_35_a_registered_horse_is_exempt():
    """No limit from Section 1 (1/2005 Annex I Ch. V 1.1)."""
    assert find_eu_journey_faults(travel("aboard 0-40"), registered=True) == ()
    assert find_eu_journey_faults(travel("aboard 0-40"), registered=False) != ()
