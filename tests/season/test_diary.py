"""The day plan: what the rules and the handbook (Choices) say, day by day and rule by rule.

Expected days are written by hand from them; all figures are common practice, no source.
"""

from __future__ import annotations

import dataclasses
from datetime import date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.build import (
    ZONE,
    day,
    make_absence,
    make_horse,
    make_limits,
    make_paper,
    make_result,
    make_rider,
    make_show,
    make_vet_check,
    make_yard,
    span,
)
from tripkit.eligibility.classes import is_cleared
from tripkit.rulebooks import load_rule_books
from tripkit.season.diary import write_diary
from tripkit.season.lived import go_on_from
from tripkit.yard.circuit import KINDS_OF_DAY, Circuit, Day, Leg, Outing
from tripkit.yard.days import WEEKDAYS, DaySpan
from tripkit.yard.people import Person
from tripkit.yard.yard import Yard

LIGHT = ("flat", "hack", "turnout")


def outing(show: str, *days: str, horse: str = "Dancer", classes: tuple[str, ...] = ()) -> Outing:
    """An outing; ``days`` are arrive, first class, last class, leave."""
    arrive, first, last, leave = (day(text) for text in days)
    return Outing(horse, show, "Ana", classes, first, last, arrive, leave)


def drive(start: str, end: str, on: str, *horses: str, until: str = "", hours: float = 2.0) -> Leg:
    """A leg from 07:00 to 15:00, on one day or to ``until``."""
    zone = ZoneInfo(ZONE)
    depart = datetime.combine(day(on), datetime.min.time(), zone).replace(hour=7)
    arrive = datetime.combine(day(until or on), datetime.min.time(), zone).replace(hour=15)
    return Leg("Lorry", start, end, depart, arrive, 100.0, hours, (), horses or ("Dancer",))


def there_and_back(outing: Outing, hours: float = 2.0) -> list[Leg]:
    """The drives to and from one outing, on its first and last day away."""
    return [
        drive("home", outing.show, str(outing.arrive), outing.horse, hours=hours),
        drive(outing.show, "home", str(outing.leave), outing.horse, hours=hours),
    ]


def find(days: tuple[Day, ...], kind: str, horse: str = "Dancer") -> list[date]:
    """The dates on which a horse does something, first or also."""
    return [d.date for d in days if d.horse == horse and kind in (d.does, *d.also)]


def at(days: tuple[Day, ...], on: str, horse: str = "Dancer") -> Day:
    """One line."""
    return next(d for d in days if d.horse == horse and d.date == day(on))


def longest_run(
    days: tuple[Day, ...], first: date, last: date, idle: tuple[DaySpan, ...] = ()
) -> int:
    """The most days in a row without school or class from a day to a day, idle ones left out."""
    jumps = {d.date for d in days if {d.does, *d.also} & {"show", "school"}}
    longest = run = 0
    while first <= last:
        if first in jumps:
            run = 0
        elif not any(first in span for span in idle):
            run += 1
            longest = max(longest, run)
        first += timedelta(days=1)
    return longest


TWO_SHOWS = (
    make_show("S1", "2027-04-07"),  # classes on Thursday 8 and Saturday 10 April
    make_show("S2", "2027-04-20", place_key="Fairview"),  # Wednesday 21 and Friday 23 April
)
FIRST = outing("S1", "2027-04-07", "2027-04-08", "2027-04-10", "2027-04-11", classes=("C1", "C2"))
SECOND = outing("S2", "2027-04-20", "2027-04-21", "2027-04-23", "2027-04-24", classes=("C1", "C2"))
CHECKED = make_horse(limits=make_limits(vet_check_after_shows=1))  # after every outing
TWO_LEGS = (*there_and_back(FIRST), *there_and_back(SECOND))

# One line a day: date, where, what; "light" stands for flat, hack or turnout.
TWO_OUTINGS = """
2027-04-01 home light       no school in the 7 days before the first outing
2027-04-02 home light
2027-04-03 home light
2027-04-04 home light
2027-04-05 home day off     a Monday on which nothing else falls
2027-04-06 home light
2027-04-07 road travel      there the day before the first class
2027-04-08 S1   show
2027-04-09 S1   light       no class that day
2027-04-10 S1   show
2027-04-11 road travel      1st of 7 days without jumping
2027-04-12 home day off     Monday
2027-04-13 home light
2027-04-14 home light
2027-04-15 home light
2027-04-16 home light
2027-04-17 home light       7th
2027-04-18 home school      the first day allowed, 3 days before the class; 19 is a Monday
2027-04-19 home day off     Monday, an easy day after the school
2027-04-20 road travel      the last easy day is the day of the drive
2027-04-21 S2   show
2027-04-22 S2   light
2027-04-23 S2   show
2027-04-24 road travel
2027-04-25 home vet check   after the second outing, the day after coming home
2027-04-26 home day off     Monday
2027-04-27 home light
2027-04-28 home light
2027-04-29 home light
2027-04-30 home light       7th day after the class of the 23rd
2027-05-01 home school      the first day allowed, 8 days after the last class
2027-05-02 home light       an easy day after the school
2027-05-03 home day off     Monday
2027-05-04 home light
2027-05-05 home light
2027-05-06 home light
2027-05-07 home light
2027-05-08 home school      7 days later
2027-05-09 home light
"""


def test_a_season_with_two_outings_day_by_day() -> None:
    """Every day of a short season stands as the rule `days` asks."""
    yard = make_yard(shows=TWO_SHOWS, season=("2027-04-01", "2027-05-09"))
    days = write_diary(yard, [SECOND, FIRST], TWO_LEGS)
    found = [(str(d.date), d.at, "light" if d.does in LIGHT else d.does) for d in days]
    expected = [
        (line[:10], line[11:15].strip(), line[16:28].strip())
        for line in TWO_OUTINGS.strip().split("\n")
    ]
    assert found == expected
    (besides,) = at(days, "2027-04-25").also
    assert besides in LIGHT


def test_one_line_a_day_for_every_horse_by_horse_and_date() -> None:
    """98 days of the season for three horses, home all the time, no matter their order."""
    yard = make_yard(horses=[make_horse("Cid"), make_horse("Asta"), make_horse("Bella")])
    days = write_diary(yard, [], [])
    # 1 March to 6 June: 31 + 30 + 31 + 6 = 98 days.
    expected = [
        (horse, date(2027, 3, 1) + timedelta(days=i))
        for horse in ("Asta", "Bella", "Cid")
        for i in range(98)
    ]
    assert [(d.horse, d.date) for d in days] == expected
    assert {d.at for d in days} == {"home"}


def test_mondays_are_off_where_nothing_else_falls() -> None:
    """Of the 14 Mondays of a season at home none is anything but a day off or a school."""
    days = write_diary(make_yard(), [], [])
    mondays = {d.does for d in days if d.date.weekday() == 0}
    assert mondays == {"day off"}
    assert all(d.date.weekday() == 0 for d in days if d.does == "day off")


def test_the_day_off_is_the_yards() -> None:
    """A horse whose yard rests on Wednesdays has its days off then."""
    yard = make_yard(horses=[make_horse(limits=make_limits(day_off="Wednesday"))])
    off = find(write_diary(yard, [], []), "day off")
    assert {WEEKDAYS[d.weekday()] for d in off} == {"Wednesday"}


def test_an_old_horse_jumps_every_fortnight() -> None:
    """A 19-year-old that may go 14 days without jumping never goes longer, from its last jump.

    Born 2008, last jumped 2027-02-20: with no school it would be 15 days on 7 March.
    """
    horse = make_horse(
        born="2008-04-01",
        last_jumped="2027-02-20",
        limits=make_limits(longest_days_without_jumping=14, days_between_schools=30),
    )
    yard = make_yard(horses=[horse])
    days = write_diary(yard, [], [])
    assert longest_run(days, date(2027, 2, 21), date(2027, 6, 6)) <= 14


def test_days_before_the_first_outing_outweigh_the_longest_run() -> None:
    """With 5 days as the longest run no school is laid in the 7 days before the first outing."""
    horse = make_horse(limits=make_limits(longest_days_without_jumping=5))
    yard = make_yard(shows=TWO_SHOWS, horses=[horse])
    days = write_diary(yard, [FIRST], there_and_back(FIRST))
    schools = find(days, "school")
    assert not [d for d in schools if date(2027, 4, 1) <= d <= date(2027, 4, 7)]
    # The last day allowed is 31 March; up to there no run is longer than 5 days.
    assert longest_run(days, date(2027, 3, 1), date(2027, 3, 31)) <= 5
    assert date(2027, 3, 31) in schools


def test_a_horse_not_cleared_rests_and_does_not_school() -> None:
    """From the check of 10 March to the day before that of 1 April every day is rest."""
    yard = make_yard(
        vet_checks=[make_vet_check("2027-03-10", cleared=False), make_vet_check("2027-04-01")]
    )
    days = write_diary(yard, [], [])
    lame = [d for d in days if date(2027, 3, 10) <= d.date < date(2027, 4, 1)]
    assert {(d.does, d.also) for d in lame} == {("rest", ())}
    schools = find(days, "school")
    assert schools
    assert not set(schools) & {d.date for d in lame}
    # Not the week after 22 days off, but within the 28 days without jumping.
    assert min(d for d in schools if d > date(2027, 4, 1)) >= date(2027, 4, 8)


def test_a_horse_never_cleared_again_rests_to_the_end_of_the_season() -> None:
    """A last check before the season that says not cleared holds; its recheck stands there."""
    yard = make_yard(
        vet_checks=[make_vet_check("2027-02-10", cleared=False, recheck_by="2027-03-18")]
    )
    days = write_diary(yard, [], [])
    assert {d.does for d in days} == {"rest", "vet check"}
    assert find(days, "vet check") == [date(2027, 3, 18)]
    assert len(find(days, "rest")) == 98


def test_an_appointment_ends_no_rest_and_no_recheck() -> None:
    """The vet who is awaited on 10 March has not looked yet: the horse rests on, as before."""
    unsound = make_vet_check("2027-02-10", cleared=False, recheck_by="2027-03-18")
    awaited = make_vet_check("2027-03-10", None)
    days = write_diary(make_yard(vet_checks=[unsound, awaited]), [], [])
    assert days == write_diary(make_yard(vet_checks=[unsound]), [], [])


def test_an_absent_horse_rests() -> None:
    """Ten days at the clinic are ten days of rest, Monday included, without a school."""
    yard = make_yard(absences=[make_absence("Dancer", "2027-03-12", "2027-03-21")])
    days = write_diary(yard, [], [])
    assert [d.does for d in days if d.date in span("2027-03-12", "2027-03-21")] == ["rest"] * 10


@pytest.mark.parametrize("every", [3, 7])
def test_a_horse_not_in_work_is_turned_out(every: int) -> None:
    """Before 1 April a horse is out; then it builds up two weeks before it schools."""
    limits = make_limits(days_between_schools=every)
    yard = make_yard(horses=[make_horse(in_work_from="2027-04-01", limits=limits)])
    days = write_diary(yard, [], [])
    assert {d.does for d in days if d.date < date(2027, 4, 1)} == {"turnout"}
    schools = find(days, "school")
    assert date(2027, 4, 15) <= schools[0] <= date(2027, 4, 29)


def test_schools_come_about_every_seven_days() -> None:
    """At home all season a horse schools every 6 to 8 days once it has begun."""
    schools = find(write_diary(make_yard(), [], []), "school")
    steps = {(b - a).days for a, b in pairwise(schools)}
    assert len(schools) >= 12
    assert steps <= {6, 7, 8}


def test_schools_keep_off_the_day_off_where_they_can() -> None:
    """Last jumped on Monday 22 February, every 7th day is a Monday: none of them is a school."""
    yard = make_yard(horses=[make_horse(last_jumped="2027-02-22")])
    schools = find(write_diary(yard, [], []), "school")
    assert len(schools) >= 12
    assert not [d for d in schools if d.weekday() == 0]


def test_the_last_school_is_close_to_the_show() -> None:
    """With three weeks between two shows the last school is 2 to 4 days before the class."""
    shows = (TWO_SHOWS[0], make_show("S2", "2027-05-05", place_key="Fairview"))
    second = outing("S2", "2027-05-05", "2027-05-06", "2027-05-08", "2027-05-09")
    legs = [*there_and_back(FIRST), *there_and_back(second)]
    schools = find(write_diary(make_yard(shows=shows), [FIRST, second], legs), "school")
    last = max(d for d in schools if d < second.first_day)
    assert 2 <= (second.first_day - last).days <= 4


def test_two_schools_before_a_show_each_have_an_easy_day() -> None:
    """With 2 schools and 11 clear days they fall on the 8th and the 10th day after the show.

    Last class 10 April, first class 22 April: 7 days without jumping to the 17th, school 18th,
    easy 19th, school 20th, drive on the 21st.
    """
    shows = (TWO_SHOWS[0], make_show("S2", "2027-04-21", place_key="Fairview"))
    second = outing("S2", "2027-04-21", "2027-04-22", "2027-04-24", "2027-04-25")
    yard = make_yard(shows=shows, horses=[make_horse(limits=make_limits(schools_before_show=2))])
    days = write_diary(yard, [FIRST, second], [*there_and_back(FIRST), *there_and_back(second)])
    between = [d for d in find(days, "school") if FIRST.last_day < d < second.first_day]
    assert between == [date(2027, 4, 18), date(2027, 4, 20)]


def test_no_school_in_the_rest_after_a_long_drive() -> None:
    """12 h on the road ask two whole days of rest: the school is the 3rd day on the grounds.

    Arriving on 18 April evening, rest on the 19th and 20th, school on the 21st or later, and a
    class on the 23rd leaves the 21st only.
    """
    shows = (TWO_SHOWS[0], make_show("S2", "2027-04-22", place_key="Fairview"))
    second = outing("S2", "2027-04-18", "2027-04-23", "2027-04-25", "2027-04-26")
    legs = [
        *there_and_back(FIRST),
        drive("home", "S2", "2027-04-17", until="2027-04-18", hours=12.0),
        drive("S2", "home", "2027-04-26"),
    ]
    days = write_diary(make_yard(shows=shows), [FIRST, second], legs)
    between = [d for d in find(days, "school") if FIRST.last_day < d < second.first_day]
    assert between == [date(2027, 4, 21)]
    assert at(days, "2027-04-21").at == "S2"
    assert at(days, "2027-04-20").does == "rest"


def test_hours_of_following_drives_add_up() -> None:
    """5 h home on the 12th and 7 h on the 13th are 12 h: two days of rest, the 14th and 15th.

    With no_jump_days 3 after the 10th and a class on the 18th the 16th is the only day left.
    """
    shows = (TWO_SHOWS[0], make_show("S2", "2027-04-17", place_key="Fairview"))
    second = outing("S2", "2027-04-13", "2027-04-18", "2027-04-20", "2027-04-21")
    legs = [
        drive("home", "S1", "2027-04-07"),
        drive("S1", "home", "2027-04-12", hours=5.0),
        drive("home", "S2", "2027-04-13", hours=7.0),
        drive("S2", "home", "2027-04-21"),
    ]
    limits = make_limits(no_jump_days=3, days_between_schools=1)
    yard = make_yard(shows=shows, horses=[make_horse(limits=limits)])
    days = write_diary(yard, [FIRST, second], legs)
    between = [d for d in find(days, "school") if FIRST.last_day < d < second.first_day]
    assert between == [date(2027, 4, 16)]


def test_a_horse_that_stays_is_at_the_show_it_waits_for() -> None:
    """Two shows at one place without a leg: the day of leaving the first is at the second."""
    shows = (TWO_SHOWS[0], make_show("S2", "2027-04-20"))
    first = outing("S1", "2027-04-07", "2027-04-08", "2027-04-10", "2027-04-20")
    second = outing("S2", "2027-04-20", "2027-04-21", "2027-04-23", "2027-04-24")
    legs = [drive("home", "S1", "2027-04-07"), drive("S2", "home", "2027-04-24")]
    days = write_diary(make_yard(shows=shows), [first, second], legs)
    assert at(days, "2027-04-19").at == "S1"
    assert at(days, "2027-04-20").at == "S2"
    assert at(days, "2027-04-18").does == "school"
    on_the_grounds = {d.does for d in days if d.at in ("S1", "S2")}
    assert "turnout" not in on_the_grounds


def test_a_drive_on_a_class_day_is_shown_beside_the_class() -> None:
    """A horse that arrives on the day of its class shows there and also travels."""
    first = outing("S1", "2027-04-08", "2027-04-08", "2027-04-10", "2027-04-11")
    days = write_diary(make_yard(), [first], there_and_back(first))
    assert at(days, "2027-04-08") == Day("Dancer", day("2027-04-08"), "S1", "show", ("travel",))


def test_a_drive_of_two_days_is_on_the_road_on_both() -> None:
    """Leaving on the 5th and arriving on the 6th the horse is on the road twice, then there."""
    first = outing("S1", "2027-04-06", "2027-04-08", "2027-04-10", "2027-04-11")
    legs = [drive("home", "S1", "2027-04-05", until="2027-04-06"), there_and_back(first)[1]]
    days = write_diary(make_yard(), [first], legs)
    assert [at(days, f"2027-04-0{n}").at for n in (4, 5, 6, 7)] == ["home", "road", "road", "S1"]


TOUR = tuple(
    make_show(f"T{n}", first, tour="Spring", place_key="Fairview")
    for n, first in enumerate(("2027-03-16", "2027-03-30", "2027-04-13"), 1)
)


def tour_outing(n: int) -> Outing:
    """An outing at the n-th show of the tour: there a day before, home a day after."""
    first = TOUR[n - 1].days.first + timedelta(days=1)
    last = first + timedelta(days=2)
    days = (first - timedelta(days=1), first, last, last + timedelta(days=1))
    return outing(f"T{n}", *(str(d) for d in days))


@pytest.mark.parametrize(
    ("every", "checked"),
    [(1, [1, 2, 3]), (2, [2, 3]), (3, [3]), (9, [3])],
)
def test_the_vet_looks_after_every_nth_outing_and_the_last_of_the_tour(
    every: int, checked: list[int]
) -> None:
    """Three outings of one tour, each going home: checks within 3 days of coming home."""
    limits = make_limits(vet_check_after_shows=every)
    yard = make_yard(shows=TOUR, horses=[make_horse(limits=limits)])
    outings = [tour_outing(n) for n in (1, 2, 3)]
    legs = [leg for o in outings for leg in there_and_back(o)]
    checks = find(write_diary(yard, outings, legs), "vet check")
    homes = [tour_outing(n).leave for n in checked]
    assert len(checks) == len(homes)
    assert all(1 <= (check - home).days <= 3 for check, home in zip(checks, homes, strict=True))


@pytest.mark.parametrize(
    ("tour", "checked"),
    [("", ["2027-04-18"]), ("Final", ["2027-04-18", "2027-05-18"])],
)
def test_the_last_of_a_tour_is_checked_and_a_single_show_ends_none(
    tour: str, checked: list[str]
) -> None:
    """After one outing of a tour comes a last one: checked where it ends a tour of its own."""
    shows = (*TOUR, make_show("S9", "2027-05-12", tour=tour))
    last = outing("S9", "2027-05-12", "2027-05-13", "2027-05-15", "2027-05-16")
    limits = make_limits(vet_check_after_shows=9)
    yard = make_yard(shows=shows, horses=[make_horse(limits=limits)])
    outings = [tour_outing(3), last]
    legs = [leg for o in outings for leg in there_and_back(o)]
    checks = find(write_diary(yard, outings, legs), "vet check")
    # Home on 17 April (Saturday) and 16 May (Sunday): the next day, but 17 May is a Monday.
    assert checks == [day(text) for text in checked]


def test_a_single_show_before_a_tour_ends_no_tour() -> None:
    """A single show in March, then one outing of a tour: only that is checked."""
    shows = (*TOUR, make_show("S0", "2027-03-03"))
    single = outing("S0", "2027-03-03", "2027-03-04", "2027-03-06", "2027-03-07")
    limits = make_limits(vet_check_after_shows=9)
    yard = make_yard(shows=shows, horses=[make_horse(limits=limits)])
    outings = [single, tour_outing(3)]
    legs = [leg for o in outings for leg in there_and_back(o)]
    assert find(write_diary(yard, outings, legs), "vet check") == [date(2027, 4, 18)]


def test_the_vet_looks_on_the_grounds_where_the_season_ends_there() -> None:
    """Last class of a tour on the season's last day: the check is that day, after the class."""
    show = make_show("S1", "2027-06-02", tour="Spring")
    last = outing("S1", "2027-06-02", "2027-06-03", "2027-06-06", "2027-06-07")
    days = write_diary(make_yard(shows=[show]), [last], there_and_back(last))
    assert days[-1].does == "show"
    assert days[-1].also == ("vet check",)


def test_the_vet_looks_on_the_day_of_coming_home_where_the_season_ends_then() -> None:
    """Home from a tour on the season's last day: the check is that evening."""
    show = make_show("S1", "2027-06-02", tour="Spring")
    last = outing("S1", "2027-06-02", "2027-06-03", "2027-06-05", "2027-06-06")
    days = write_diary(make_yard(shows=[show]), [last], there_and_back(last))
    assert (days[-1].does, days[-1].also) == ("travel", ("vet check",))
    assert find(days, "vet check") == [date(2027, 6, 6)]


@pytest.mark.parametrize(
    ("on", "checks"),
    [
        ("2027-04-10", ["2027-04-10"]),
        # On the 8th the outing was not over: home on Sunday the 11th, and Monday is the day off.
        ("2027-04-08", ["2027-04-08", "2027-04-13"]),
    ],
)
def test_a_check_lived_on_the_last_class_day_is_the_one_after_the_outing(
    on: str, checks: list[str]
) -> None:
    """The vet looked on the evening of the last class of a tour, 10 April; today is the 11th."""
    last = outing(
        "S1", "2027-04-07", "2027-04-08", "2027-04-10", "2027-04-11", classes=("C1", "C2")
    )
    legs = there_and_back(last)
    yard = make_yard(today="2027-04-11", shows=[make_show("S1", "2027-04-07", tour="Spring")])
    lines = tuple(
        dataclasses.replace(line, also=("vet check",) if line.date == day(on) else ())
        for line in write_diary(make_yard(shows=yard.shows), [last], legs)
    )
    published = Circuit(
        "a", "most worth", "proved best", outings=(last,), legs=tuple(legs), days=lines
    )
    lived = go_on_from(yard, published)
    found = find(write_diary(lived, [last], legs), "vet check")
    assert found == [day(text) for text in checks]


@pytest.mark.parametrize("hours", [2.0, 9.0])
def test_the_days_without_jumping_at_home_are_light_work(hours: float) -> None:
    """Home on Saturday 10 April, be it after 9 h: flat, hack and turnout until the 16th."""
    only = outing("S1", "2027-04-06", "2027-04-07", "2027-04-09", "2027-04-10")
    days = write_diary(make_yard(), [only], there_and_back(only, hours=hours))
    # Monday the 12th is the yard's day off.
    week = [at(days, f"2027-04-{n}") for n in (11, 13, 14, 15, 16)]
    assert {line.at for line in week} == {"home"}
    assert {line.does for line in week} == set(LIGHT)
    assert at(days, "2027-04-12").does == "day off"


def test_a_monday_with_a_vet_check_is_no_day_off() -> None:
    """The vet is there on Monday 26 April only, of the three days after coming home."""
    yard = make_yard(
        shows=TWO_SHOWS,
        horses=[CHECKED],
        people=[make_rider(), Person("Vera", "vet")],
        absences=[make_absence("Vera", "2027-04-25"), make_absence("Vera", "2027-04-27")],
    )
    days = write_diary(yard, [SECOND], there_and_back(SECOND))
    monday = at(days, "2027-04-26")
    assert monday.does == "vet check"
    assert "day off" not in monday.also


def test_the_vet_comes_on_a_day_he_is_there() -> None:
    """With the only vet away on the first two days at home the check is the third."""
    yard = make_yard(
        shows=TWO_SHOWS,
        horses=[CHECKED],
        people=[make_rider(), Person("Vera", "vet")],
        absences=[make_absence("Vera", "2027-04-12", "2027-04-13")],
    )
    days = write_diary(yard, [FIRST], there_and_back(FIRST))
    assert find(days, "vet check") == [date(2027, 4, 14)]


BOOKS = load_rule_books(("us",))


def test_a_vaccination_keeps_schools_away_for_three_days() -> None:
    """A horse that schools every other day: dose on a Tuesday, the next school on the Friday.

    Dose 29 September 2026 covers to 29 March 2027 (USEF GR845), arrival 7 April: last useful day
    31 March; the vet is away until 15 March.
    """
    yard = make_yard(
        horses=[make_horse(limits=make_limits(days_between_schools=2))],
        shows=TWO_SHOWS,
        papers=[make_paper("influenza", "2026-09-29")],
        people=[make_rider(), Person("Vera", "vet")],
        absences=[make_absence("Vera", "2027-03-01", "2027-03-15")],
        paper_rules=("us",),
        rule_books=BOOKS,
    )
    days = write_diary(yard, [FIRST], there_and_back(FIRST))
    assert find(days, "vaccination") == [date(2027, 3, 16)]
    assert at(days, "2027-03-16").does == "vaccination"
    # What is done besides on such a day at home is light work.
    assert set(at(days, "2027-03-16").also) <= set(LIGHT)
    schools = find(days, "school")
    assert min(d for d in schools if d >= date(2027, 3, 16)) == date(2027, 3, 19)


def test_a_vaccination_lies_off_the_road() -> None:
    """Away from the 7th to the 11th, which is the drive home: the dose waits for the 12th.

    Dose 15 October 2026 covers to 15 April (USEF GR845), arrival 20 April: last useful day 13
    April. The horse is absent until 31 March, and 1 to 7 April lie within 7 days before S1.
    """
    yard = make_yard(
        shows=TWO_SHOWS,
        papers=[make_paper("herpes", "2026-10-15")],
        absences=[make_absence("Dancer", "2027-03-01", "2027-03-31")],
        paper_rules=("us",),
        rule_books=BOOKS,
    )
    outings = [FIRST, SECOND]
    legs = [*there_and_back(FIRST), *there_and_back(SECOND)]
    days = write_diary(yard, outings, legs)
    assert find(days, "vaccination") == [date(2027, 4, 12)]


def test_a_blood_test_is_drawn_at_a_vet_check_where_one_falls() -> None:
    """A coggins test drawn by 23 April is one visit with the check after the first outing.

    12 months (USEF, Interstate travel page) from 20 April 2026 end before the arrival of Tuesday
    4 May; back from it 7 business days: 4, 3 May, 30, 29, 28, 27, 26 April, Friday 23 before them.
    """
    later = outing("S2", "2027-05-04", "2027-05-06", "2027-05-08", "2027-05-09")
    yard = make_yard(
        shows=[TWO_SHOWS[0], make_show("S2", "2027-05-05", place_key="Fairview")],
        horses=[CHECKED],
        papers=[make_paper("coggins", "2026-04-20")],
        paper_rules=("us",),
        rule_books=BOOKS,
    )
    legs = [*there_and_back(FIRST), *there_and_back(later)]
    checks = find(write_diary(yard, [FIRST, later], legs), "vet check")
    bare = dataclasses.replace(yard, papers=())
    assert checks == find(write_diary(bare, [FIRST, later], legs), "vet check")
    # Monday 12 April is the day off.
    assert date(2027, 4, 13) in checks


def test_the_past_counts_for_the_days_without_jumping() -> None:
    """A result on 24 February asks seven days without jumping, to 3 March."""
    yard = make_yard(results=[make_result("2027-02-24", "Old")])
    schools = find(write_diary(yard, [], []), "school")
    assert schools[0] == date(2027, 3, 4)


def test_results_of_the_season_stand_in_the_diary() -> None:
    """In the middle of the season past classes are shown, without a school near.

    Where: at the show if the yard lists it, else at home; the format knows no other `at`.
    """
    yard = make_yard(
        today="2027-04-20",
        shows=TWO_SHOWS,
        results=[
            make_result("2027-03-03"),
            make_result("2027-03-17", "Elsewhere"),
            make_result("2027-04-08", "S1"),
        ],
    )
    days = write_diary(yard, [], [])
    assert (at(days, "2027-03-03").at, at(days, "2027-03-03").does) == ("home", "show")
    assert (at(days, "2027-03-17").at, at(days, "2027-03-17").does) == ("home", "show")
    assert (at(days, "2027-04-08").at, at(days, "2027-04-08").does) == ("S1", "show")
    schools = find(days, "school")
    for held in (date(2027, 3, 17), date(2027, 4, 8)):
        assert not [d for d in schools if 0 <= (d - held).days <= 7 or (held - d).days == 1]


@pytest.mark.parametrize(
    ("on", "show", "quiet"),
    [("2027-02-24", "Old", True), ("2027-03-24", "Old", False), ("2027-03-24", "", False)],
)
def test_the_quiet_week_is_that_of_the_first_outing_of_the_season(
    on: str, show: str, quiet: bool
) -> None:
    """Who has shown since 1 March, where the season begins, schools close before 8 April."""
    yard = make_yard(today="2027-03-25", results=[make_result(on, show)])
    schools = find(write_diary(yard, [FIRST], there_and_back(FIRST)), "school")
    week = {FIRST.first_day - timedelta(days=before) for before in range(1, 8)}
    assert (not week & set(schools)) == quiet


def test_the_order_of_the_rows_does_not_matter() -> None:
    """Outings and legs in any order give the same diary."""
    yard = make_yard(shows=TWO_SHOWS)
    there = write_diary(yard, [FIRST, SECOND], TWO_LEGS)
    assert write_diary(yard, [SECOND, FIRST], TWO_LEGS[::-1]) == there


@st.composite
def plans(draw: st.DrawFn) -> tuple[Yard, list[Outing], list[Leg]]:
    """One horse with some of ten shows, recovery kept or not, some absence and lameness."""
    limits = make_limits(
        no_jump_days=draw(st.integers(0, 10)),
        schools_before_show=draw(st.integers(0, 3)),
        longest_days_without_jumping=draw(st.integers(8, 35)),
        days_between_schools=draw(st.integers(1, 14)),
        vet_check_after_shows=draw(st.integers(1, 4)),
        day_off=draw(st.sampled_from(WEEKDAYS)),
    )
    shows = [
        make_show(
            f"S{n}", date(2027, 3, 3) + timedelta(days=9 * n), tour=draw(st.sampled_from(["", "T"]))
        )
        for n in range(10)
    ]
    extra = {}
    if draw(st.booleans()):
        extra["last_jumped"] = date(2027, 2, 1) + timedelta(days=draw(st.integers(0, 60)))
    if draw(st.booleans()):
        extra["in_work_from"] = date(2027, 2, 1) + timedelta(days=draw(st.integers(0, 90)))
    start = date(2027, 3, 1) + timedelta(days=draw(st.integers(0, 90)))
    absences = [
        make_absence("Dancer", str(start), str(start + timedelta(days=draw(st.integers(0, 20)))))
    ]
    checks = [
        make_vet_check(
            date(2027, 2, 15) + timedelta(days=draw(st.integers(0, 100))), draw(st.booleans())
        )
        for _ in range(draw(st.integers(0, 3)))
    ]
    yard = make_yard(
        shows=shows,
        horses=[make_horse(limits=limits, **extra)],
        absences=absences if draw(st.booleans()) else [],
        vet_checks=checks,
    )
    outings, legs = [], []
    for n in sorted(draw(st.sets(st.integers(0, 9), max_size=6))):
        first = shows[n].days.first + timedelta(days=1)
        last = first + timedelta(days=2)
        one = outing(
            f"S{n}",
            *(str(first + timedelta(days=i)) for i in (-1, 0)),
            str(last),
            str(last + timedelta(days=1)),
            classes=("C1", "C2"),
        )
        outings.append(one)
        legs.extend(there_and_back(one, hours=draw(st.sampled_from([2.0, 8.0, 13.0]))))
    return yard, outings, legs


def may_school(yard: Yard, outings: list[Outing], legs: list[Leg], on: date) -> bool:
    """The rules that forbid a horse a school on a day, read from the handbook once more."""
    horse = yard.horses[0]
    idle = yard.is_absent("Dancer", on) or not is_cleared(yard, horse, on)
    if idle or (horse.in_work_from is not None and on < horse.in_work_from):
        return False
    for leg in legs:
        asked = {2.0: 0, 8.0: 1, 13.0: 2}[leg.hours]
        if leg.days.first <= on <= leg.days.last + timedelta(days=asked):
            return False
    for o in outings:
        quiet = 7 if o == outings[0] else 1
        free_from = o.last_day + timedelta(days=1 + horse.limits.no_jump_days)
        if o.first_day - timedelta(days=quiet) <= on < free_from:
            return False
    return True


@settings(max_examples=150)
@given(plans())
def test_whatever_the_plan_no_school_lies_where_it_must_not(
    plan: tuple[Yard, list[Outing], list[Leg]],
) -> None:
    """One line a day, kinds in order, every school allowed and with an easy day after it."""
    yard, outings, legs = plan
    days = write_diary(yard, outings, legs)
    assert [d.date for d in days] == list(yard.season)
    for line in days:
        kinds = [line.does, *line.also]
        assert kinds == sorted(set(kinds), key=KINDS_OF_DAY.index)
    schools = find(days, "school")
    for school in schools:
        assert may_school(yard, outings, legs, school)
        assert school + timedelta(days=1) not in schools
    for o in outings:
        assert {d.at for d in days if d.date in (o.first_day, o.last_day)} == {o.show}
    assert len(find(days, "vet check")) <= len(outings)


@settings(max_examples=150)
@given(plans())
def test_whatever_the_plan_a_run_is_too_long_only_where_no_school_is_allowed(
    plan: tuple[Yard, list[Outing], list[Leg]],
) -> None:
    """In a run of the season longer than allowed no further school could have been laid.

    A day with a jump the day before or after it is no place for one either.
    """
    yard, outings, legs = plan
    horse = yard.horses[0]
    days = write_diary(yard, outings, legs)
    jumps = set(find(days, "school")) | set(find(days, "show"))
    if horse.last_jumped is not None:
        jumps.add(horse.last_jumped)
    run: list[date] = []
    for on in [*yard.season, None]:
        if on is not None and on not in jumps:
            run.append(on)
            continue
        idle = [
            d
            for d in run
            if yard.is_absent("Dancer", d)
            or not is_cleared(yard, horse, d)
            or (horse.in_work_from is not None and d < horse.in_work_from)
        ]
        if len(run) - len(idle) > horse.limits.longest_days_without_jumping:
            beside = {jump + timedelta(days=i) for jump in jumps for i in (-1, 1)}
            assert not [d for d in run if d not in beside and may_school(yard, outings, legs, d)]
        run = []
