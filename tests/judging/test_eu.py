"""Regulation (EC) No 561/2006 Art. 6 to 8: the last lawful minute and the first unlawful.

Answers are derived by hand from the articles; hours count from Monday 00:00.
"""

from __future__ import annotations

from datetime import date

import pytest

from tests.judging.logs import ask, write, write_days
from tripkit.judging.logbook_entries import Duty
from tripkit.yard.errors import BadValue

ART_7 = [
    ("drive 0-4:30", []),
    ("drive 0-4:31", [("eu-break-45min", "4:30")]),
    ("drive 0-4:30, off 4:30-5:14, drive 5:14-6", [("eu-break-45min", "5:14")]),
    ("drive 0-2, off 2-2:14, drive 2:14-4:44, off 4:44-5:14, drive 5:14-6",
     [("eu-break-45min", "5:14")]),
    ("drive 0-2, off 2-2:15, drive 2:15-4:45, off 4:45-5:14, drive 5:14-6",
     [("eu-break-45min", "5:14")]),
    ("drive 0-4:30, on 4:30-5:15, drive 5:15-6", [("eu-break-45min", "5:15")]),
    ("drive 0-1, off 1-1:15, drive 1:15-2, off 2-2:15, drive 2:15-5", []),
    ("drive 0-1, off 1-1:15, drive 1:15-2, off 2-2:30, drive 2:30-7", []),
    # The 15 min of a break that is complete do not serve a second time.
    ("drive 0-1, off 1-1:15, drive 1:15-2, off 2-2:30, drive 2:30-5, off 5-5:30, drive 5:30-8",
     [("eu-break-45min", "7:30")]),
    ("drive 0-2, sleep 2-2:45, drive 2:45-7:15", []),
]  # fmt: skip


@pytest.mark.parametrize(("log", "answer"), ART_7)
def test_article_7_breaks(log, answer):
    """4.5 h of driving, then 45 min, or 15 and then 30 (Art. 7)."""
    assert ask(log, "eu") == answer


def test_article_6_1_nine_hours_and_twice_ten():
    """The third day over nine hours is one too many, from its tenth hour on (Art. 6(1))."""
    assert ask(write_days(10, 10, 9, 9), "eu") == []
    # Wednesday: 6:00 + 4:30 + 0:45 + 4:30 = 15:45, a break until 16:30; hour 48 + 16:30.
    assert ask(write_days(10, 10, (9, 1)), "eu") == [("eu-daily-driving", "64:30")]
    assert ask(write_days((10, 0), (9, 1), 9), "eu") == []


def test_article_6_1_never_more_than_ten():
    """10:01 is a minute too long on the first day (Art. 6(1)); 16:30 + 1:00 = 17:30."""
    assert ask(write_days(10), "eu") == []
    assert ask(write_days((10, 1)), "eu") == [("eu-daily-driving", "17:30")]


def test_article_6_1_begins_anew_on_monday():
    """Two long days end a week and two begin the next (Art. 6(1), 4(i))."""
    assert ask(write_days(None, None, None, None, 10, 10, None, 10, 10), "eu") == []


def test_article_6_2_fifty_six_hours():
    """56 h a week, to the minute (Art. 6(2)).

    Driving begins Sunday, so that Monday 0:00 to Sunday 24:00 has seven days of it; six of 9 h
    and 2 h on Sunday make 56.
    """
    days = [9, 9, 9, 9, 9, 9]
    week = [*days, 2]
    assert ("eu-weekly-driving", "152:00") not in ask(write_days(*week), "eu")
    assert ("eu-weekly-driving", "152:00") in ask(write_days(*days, (2, 1)), "eu")


def test_article_6_3_a_week_between_begins_the_fortnight_anew():
    """Only weeks that follow each other add up (Art. 6(3))."""
    full = (9, 9, 9, 9, 9, 9, None)
    off = (None,) * 7
    assert ask(write_days(*full, *off, *full), "eu") == []
    assert [rule for rule, _ in ask(write_days(*full, *full), "eu")] == ["eu-fortnight-driving"]


def test_article_8_2_and_4_g_split_rest():
    """3 h and later 9 h are a regular rest; 2:59 and 9 h a reduced one (Art. 4(g))."""
    day = "on {0}-{1}, off {1}-{2}, on {2}-{3}, off {3}-{4}"
    split, nearly = [], []
    for number in range(4):
        hours = [24 * number + hour for hour in (6, 10, 13, 21, 30)]
        split.append(day.format(*hours))
        nearly.append(day.format(hours[0], hours[1], f"{hours[2] - 1}:59", *hours[3:]))
    assert ask(", ".join(split), "eu") == []
    # The fourth reduced rest would have to be one of 11 h, begun at 78 + 13 = 91:00.
    assert ask(", ".join(nearly), "eu") == [("eu-daily-rest", "91:00")]


@pytest.mark.parametrize(
    ("rest", "start"), [("93-102", "91:00"), ("93-103:59", "91:00"), ("91-100:30", "100:30")]
)
def test_article_8_4_three_reduced_rests(rest, start):
    """A fourth rest under 11 h between two weekly rests is one too many (Art. 8(4)).

    Unlawful from 13 h after the last rest, or from the end of a rest begun by then.
    """
    three = "on 6-21, off 21-30, on 30-45, off 45-54, on 54-69, off 69-78"
    begin, end = rest.split("-")
    log = f"{three}, on 78-{begin}, off {rest}, on {end}-104"
    assert ask(log, "eu") == [("eu-daily-rest", start)]


def test_article_8_4_counts_anew_after_a_weekly_rest():
    """Three reduced rests, a weekly rest, three more (Art. 8(4))."""
    three = "on 6-21, off 21-30, on 30-45, off 45-54, on 54-69, off 69-78"
    again = "on 115-130, off 130-139, on 139-154, off 154-163, on 163-178, off 178-187"
    assert ask(f"{three}, on 78-91, {again}, on 187-200", "eu") == []


def test_article_8_4_eleven_hours_are_not_reduced():
    """Four nights of exactly 11 h leave all three reduced ones (Art. 4(g), 8(4))."""
    four = "on 6-19, off 19-30, on 30-43, off 43-54, on 54-67, off 67-78, on 78-91, off 91-102"
    assert ask(f"{four}, on 102-117, off 117-126, on 126-127", "eu") == []


def test_article_8_2_an_interrupted_rest_is_none():
    """8:59 are no daily rest: unlawful from the minute work begins (Art. 8(2))."""
    assert ask("on 6-21, off 21-30, on 30-31", "eu") == []
    assert ask("on 6-20, off 20-28:59, on 28:59-31", "eu") == [("eu-daily-rest", "28:59")]


def test_article_8_5_nine_hours_of_two_drivers_are_not_reduced():
    """Multi-manning: 9 h within 30, as often as needed (Art. 8(5))."""
    log = ", ".join(f"on {24 * d + 6}-{24 * d + 21}" for d in range(5))
    assert ask(log, "eu", drivers=2) == []
    assert [start for _, start in ask(log, "eu")] == ["91:00", "115:00"]


def test_article_8_6_six_days_of_24_hours():
    """A weekly rest begins at the latest 144 h after the last ended (Art. 8(6))."""
    days = [Duty("on duty", 1440 * d + 360, 1440 * d + 900) for d in range(6)]
    last = Duty("on duty", 6 * 1440 + 300, 6 * 1440 + 360)
    assert ask([*days, last], "eu") == []
    over = Duty("on duty", 6 * 1440 + 300, 6 * 1440 + 361)
    assert ask([*days, over], "eu") == [("eu-weekly-rest", "150:00")]


@pytest.mark.parametrize(
    ("first", "second", "answer"),
    [
        (2700, 2700, []),
        (1440, 2700, []),
        (2700, 1440, []),
        (1440, 1440, ["eu-weekly-rest"]),
        (2699, 2699, ["eu-weekly-rest"]),
        # 23:59 are no weekly rest, and the next one comes after more than six days.
        (1439, 2700, ["eu-weekly-rest"]),
    ],
)
def test_article_8_6_every_second_weekly_rest_is_regular(first, second, answer):
    """Between two weekly rests of 24 h lies one of 45 (Art. 8(6)); rests in minutes.

    Five days of 11 h work, the rest, five days, the rest, two days: from the end of the first rest
    to the end of the log are more than six days, so that the second rest is needed.
    """
    log, now = [], 0
    for rest in (first, second):
        for _ in range(5):
            log.append(Duty("on duty", now, now + 660))
            now += 1440
        now += rest - 780
    log += [Duty("on duty", now + wait, now + wait + 660) for wait in (0, 1440)]
    assert [rule for rule, _ in ask(log, "eu")] == answer


def test_article_8_6_a_free_day_is_not_always_the_weekly_rest():
    """Of three rests over 24 h the middle one need not count, so two short ones do not meet.

    45 h and more before, 25 h on day 3, 26 h on day 6, 45 h and more after: begun within six days.
    """
    log = "on 0-11, on 24-35, on 60-71, on 84-95, on 121-132"
    assert ask(log, "eu") == []


def test_dates_and_drivers_that_no_rule_knows():
    """Before 11 April 2007, or with three drivers, nothing is said."""
    with pytest.raises(BadValue, match="2007-04-11"):
        ask("drive 0-1", "eu", date(2007, 4, 10))
    assert ask("drive 0-1", "eu", date(2007, 4, 11)) == []
    with pytest.raises(BadValue, match="1 or 2"):
        ask(write("drive 0-1"), "eu", drivers=3)
