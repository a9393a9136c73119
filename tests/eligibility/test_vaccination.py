"""Dates of doses, tests and documents, each expected day with its document."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.build import day, make_paper, span
from tripkit.eligibility.documents import (
    Lead,
    assess_coggins,
    assess_paper,
    assess_passport,
    assess_registration,
    assess_written_end,
)
from tripkit.eligibility.vaccination import Doses, assess_vaccination, find_dose_rules, read_course
from tripkit.eligibility.validity import (
    count_back_business_days,
    find_days_before,
    find_days_left,
    find_first_day,
    find_last_day,
    find_next_window,
    is_borderline,
    join_days,
    list_open_days,
)
from tripkit.rulebooks import load_rule_books
from tripkit.yard.answers import find_action
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import state
from tripkit.yard.rulebook import Rule

FEI, US, GB = load_rule_books(["fei", "us", "gb"])
TODAY = date(2027, 2, 28)
DATES = st.dates(date(2015, 1, 1), date(2035, 12, 31))


def rule(value: int | tuple[int, ...], unit: str) -> Rule:
    return Rule("test", "A rule for tests.", value, unit, "a document")


FEI_TO_COMPETE = rule((6, 21), "months and days")
LENGTHS = [
    FEI_TO_COMPETE,
    rule(6, "months"),
    rule(12, "months"),
    rule(4, "years"),
    rule(180, "days"),
    rule(1, "calendar year"),
]


def pick(book, rule_id: str, on: str) -> Rule:
    found = book.find_rule(rule_id, day(on))
    assert found is not None
    return found


def doses(*days: str):
    return tuple(make_paper("influenza", text) for text in days)


def judge(book, given_on, arrive: str, today: str | date = "2001-01-01", kind: str = "influenza"):
    found = assess_vaccination(kind, given_on, book, day(arrive), day(today))
    assert found is not None
    return found


# The arithmetic


@pytest.mark.parametrize(
    ("given_on", "last"),
    [
        # Check 3, FEI VR 2019 Art. 1003.4: 1 March + 6 months = 1 September, + 21 days
        ("2026-03-01", "2026-09-22"),
        # Check 5: 31 August + 6 months clamps to 28 February, + 21 days = 21 March
        ("2026-08-28", "2027-03-21"),
        ("2026-08-29", "2027-03-21"),
        ("2026-08-30", "2027-03-21"),
        ("2026-08-31", "2027-03-21"),
        # The leap year 2028: 31 August 2027 + 6 months = 29 February, + 21 days = 21 March
        ("2027-08-31", "2028-03-21"),
        ("2027-08-28", "2028-03-20"),
    ],
)
def test_six_months_and_21_days_count_forward(given_on: str, last: str) -> None:
    """The months are added first, clamped to the month's end, then the days."""
    assert find_last_day(day(given_on), FEI_TO_COMPETE) == day(last)


def test_nine_calendar_months_from_new_year_end_on_1_october() -> None:
    """Check 8: BHA, Update on equine influenza, 17 September 2019."""
    assert find_last_day(day("2019-01-01"), rule(9, "months")) == day("2019-10-01")


def test_the_second_dose_follows_after_21_to_60_days() -> None:
    """Check 2: BEF and FEI 2024; the older rule allowed 92 days (VR 2019 Art. 1003.2)."""
    first = day("2026-01-05")
    assert find_next_window(first, pick(FEI, "influenza-primary-gap", "2026-01-05")) == span(
        "2026-01-26", "2026-03-06"
    )
    old = pick(FEI, "influenza-primary-gap", "2023-12-31")
    assert find_next_window(first, old) == span("2026-01-26", "2026-04-07")


def test_the_borderline_day_disagrees_backward() -> None:
    """Check 4: 16 October - 6 months = 16 April, - 21 days = 26 March (derived, VR 1003.4)."""
    arrival = day("2025-10-16")
    assert find_last_day(day("2025-03-25"), FEI_TO_COMPETE) == arrival
    assert is_borderline(day("2025-03-25"), arrival, FEI_TO_COMPETE)
    assert not is_borderline(day("2025-03-26"), arrival, FEI_TO_COMPETE)


def test_six_months_are_not_180_days() -> None:
    """Check 9: 25 May to 25 November 2026 are 6 months and 184 days (USEF GR845; a protocol)."""
    given_on, enter = day("2026-05-25"), day("2026-11-25")
    assert find_last_day(given_on, pick(US, "influenza-to-compete", "2026-11-25")) == enter
    assert find_last_day(given_on, pick(US, "influenza-strict-days", "2026-11-25")) < enter


def test_temperatures_are_taken_on_the_three_days_before_arrival() -> None:
    """Check 10: Equestrian Australia, 1 March 2023: arrival Thursday, Monday to Wednesday."""
    asked = find_days_before(day("2026-11-26"), pick(FEI, "temperature-days", "2026-11-26"))
    assert asked == span("2026-11-23", "2026-11-25")


def test_an_exposed_horse_is_tested_on_days_7_and_14_or_after_21() -> None:
    """Check 11: USEF mandate of 24 February 2022, day 0 = 24 February 2022."""
    moved = day("2022-02-24")
    found = [
        find_last_day(moved, pick(US, f"herpes-exposed-{step}-days", "2022-02-24"))
        for step in ("first-test", "second-test", "isolation")
    ]
    assert found == [day("2022-03-03"), day("2022-03-10"), day("2022-03-17")]


@given(DATES, DATES, st.sampled_from(LENGTHS))
def test_a_later_paper_never_shortens_its_end(one: date, other: date, length: Rule) -> None:
    """Counting forward keeps the order of the days."""
    early, late = sorted((one, other))
    assert find_last_day(early, length) <= find_last_day(late, length)


@given(DATES, st.sampled_from(LENGTHS))
def test_the_first_day_is_the_earliest_that_still_covers(needed: date, length: Rule) -> None:
    """A day earlier would not cover the day needed."""
    first = find_first_day(needed, length)
    assert find_last_day(first, length) >= needed
    assert find_last_day(first - timedelta(days=1), length) < needed


def test_business_days_leave_out_the_weekend() -> None:
    """Drawn Monday 2 November 2026, 3 business days: Thursday; 7: Wednesday the 11th (calendar)."""
    assert count_back_business_days(day("2026-11-05"), 3) == day("2026-11-02")
    assert count_back_business_days(day("2026-11-11"), 7) == day("2026-11-02")
    # A Sunday brings no result: the three days before it are Friday, Thursday, Wednesday.
    assert count_back_business_days(day("2026-11-08"), 3) == day("2026-11-03")


def test_days_left_begin_tomorrow_and_today_counts_only_as_the_last() -> None:
    """After the last day none is left."""
    today = day("2027-03-01")
    assert find_days_left(today, day("2027-03-04")) == span("2027-03-02", "2027-03-04")
    assert find_days_left(today, today) == span("2027-03-01")
    assert find_days_left(today, day("2027-02-28")) is None


# Vaccination under a book


def test_the_published_example_may_enter_seven_days_after_the_booster() -> None:
    """Check 1: FEI vaccination table, doses 1 March, 1 April, 1 October 2014, enter 8 October."""
    course = doses("2014-03-01", "2014-04-01", "2014-10-01")
    assert judge(FEI, course, "2014-10-08").answer == "ok"
    assert judge(FEI, course, "2014-10-07", today="2014-10-01").answer == "barred"


def test_the_same_gap_passes_one_edition_and_fails_another() -> None:
    """Check 1: 183 days pass FEI 2019 and BEF 2023 (150-215), fail BEF 2024 (120-180)."""
    second, third = day("2014-04-01"), day("2014-10-01")
    fei = pick(FEI, "influenza-first-booster", "2014-10-01")
    assert find_next_window(second, fei).last == day("2014-11-01")
    assert third in find_next_window(second, pick(GB, "influenza-first-booster", "2023-12-31"))
    assert third not in find_next_window(second, pick(GB, "influenza-first-booster", "2024-01-01"))


@pytest.mark.parametrize(
    ("second", "step"),
    [
        ("2026-01-25", "first"),  # 20 days: too early, does not count
        ("2026-01-26", "second"),  # 21 days
        ("2026-03-06", "second"),  # 60 days
        ("2026-03-07", "first"),  # 61 days: too late, begins again
    ],
)
def test_a_second_dose_out_of_its_days_leaves_the_course_at_its_first(
    second: str, step: str
) -> None:
    """Check 2: first dose 5 January 2026, 21 to 60 days (FEI 2024)."""
    assert read_course("influenza", doses("2026-01-05", second), FEI, TODAY).step == step


def test_a_dose_too_early_keeps_the_first_one_and_one_too_late_replaces_it() -> None:
    """20 days after the first the first still counts; 61 days after, the new one does."""
    early = read_course("influenza", doses("2026-01-05", "2026-01-25"), FEI, TODAY)
    late = read_course("influenza", doses("2026-01-05", "2026-03-07"), FEI, TODAY)
    assert (early.last.date, late.last.date) == (day("2026-01-05"), day("2026-03-07"))


def test_over_new_year_2024_either_schedule_is_accepted() -> None:
    """BEF 2024: first dose 1 December 2023, second 75 days later in 2024 (21-92 held in 2023)."""
    assert read_course("influenza", doses("2023-12-01", "2024-02-14"), GB, TODAY).step == "second"


@pytest.mark.parametrize(("arrive", "answer"), [("2026-09-22", "ok"), ("2026-09-23", "due")])
def test_the_last_arrival_is_six_months_and_21_days_after_the_dose(
    arrive: str, answer: str
) -> None:
    """Check 3: dose 1 March 2026, FEI VR 1003.4; one day later another dose is due."""
    assert judge(FEI, doses("2026-03-01"), arrive, today="2026-04-01").answer == answer


def test_a_borderline_arrival_is_ok_and_says_so() -> None:
    """Check 4: dose 25 March 2025, arrival 16 October 2025."""
    assert "BORDERLINE" in str(judge(FEI, doses("2025-03-25"), "2025-10-16").reason)
    assert "BORDERLINE" not in str(judge(FEI, doses("2025-03-26"), "2025-10-16").reason)
    assert judge(FEI, doses("2025-03-25"), "2025-10-16").answer == "ok"


@pytest.mark.parametrize("book", [FEI, GB], ids=["fei", "gb"])
@pytest.mark.parametrize(
    ("dose", "answer"),
    [
        ("2026-11-18", "ok"),
        ("2026-11-19", "barred"),
        ("2026-11-24", "barred"),
        ("2026-11-25", "barred"),
    ],
)
def test_the_arrival_and_the_six_days_before_it_are_shut(book, dose: str, answer: str) -> None:
    """Check 6: arrival 25 November 2026; BHA E-18.6 wording, FEI 2006 Annex VII."""
    rows = doses("2026-06-01", dose)
    assert judge(book, rows, "2026-11-25", today="2026-11-25").answer == answer


def test_the_united_states_set_no_shut_days() -> None:
    """USEF GR845 asks for a dose within 6 months and names no days before entry."""
    assert judge(US, doses("2026-11-24"), "2026-11-25", today="2026-11-25").answer == "ok"


def test_an_appointment_in_the_shut_days_can_still_be_moved() -> None:
    """Barred only where it cannot be put right: a dose still to come can be."""
    rows = doses("2026-10-01", "2027-04-03")
    found = judge(FEI, rows, "2027-04-06", today="2027-03-01")
    assert found.answer == "due"
    assert find_action(found.reason) == state("actions.move")
    assert judge(FEI, rows, "2027-04-06", today="2027-04-03").answer == "barred"


def test_a_year_and_a_day_between_boosters_breaks_the_history() -> None:
    """Check 7: the same date next year is in time, a day later the course begins again."""
    in_time = read_course("influenza", doses("2026-03-01", "2027-03-01"), FEI, TODAY)
    broken = read_course("influenza", doses("2026-03-01", "2027-03-02"), FEI, TODAY)
    assert (in_time.step, broken.step) == ("booster", "first")
    assert [remark.code for remark in broken.remarks] == ["vaccination.late"]


def test_twelve_months_from_29_february_end_on_28_february() -> None:
    """A leap day's year is clamped: 28 February 2029 is in time, 1 March is not."""
    in_time = read_course("influenza", doses("2028-02-29", "2029-02-28"), FEI, TODAY)
    late = read_course("influenza", doses("2028-02-29", "2029-03-01"), FEI, TODAY)
    assert (in_time.step, late.step) == ("booster", "first")


@pytest.mark.parametrize(
    ("note", "step"),
    [
        ("V1", "first"),
        ("first dose", "first"),
        ("dose 2", "second"),
        ("", "booster"),
        ("x", "booster"),
    ],
)
def test_a_note_says_which_dose_the_first_row_is(note: str, step: str) -> None:
    """A single row without a note is a booster of a course that the passport shows."""
    rows = (make_paper("influenza", "2027-01-05", note=note),)
    assert read_course("influenza", rows, FEI, TODAY).step == step


def test_a_row_marked_first_begins_the_course_again() -> None:
    """A vet who starts anew is believed, though the booster would have been in time."""
    rows = (*doses("2026-06-01"), make_paper("influenza", "2026-12-01", note="primary 1"))
    assert read_course("influenza", rows, FEI, TODAY).step == "first"


def test_only_the_first_dose_does_not_let_a_horse_in() -> None:
    """FEI vaccination table: dose 5 January 2027, the second from the 26th to 6 March."""
    rows = (make_paper("influenza", "2027-01-05", note="V1"),)
    found = judge(FEI, rows, "2027-04-06", today="2027-02-10")
    assert found.answer == "due"
    assert found.window == span("2027-02-11", "2027-03-06")
    assert found.due_by == day("2027-03-06")


def test_a_second_dose_too_late_for_the_arrival_bars() -> None:
    """Second dose from 26 January, seven days before 1 February is the 25th: a day too few."""
    rows = (make_paper("influenza", "2027-01-05", note="V1"),)
    assert judge(FEI, rows, "2027-02-01", today="2027-01-06").answer == "barred"
    assert judge(FEI, rows, "2027-02-02", today="2027-01-06").window == span("2027-01-26")


@pytest.mark.parametrize(
    ("today", "answer", "window"),
    [
        ("2027-03-01", "due", ("2027-03-02", "2027-03-30")),
        ("2027-03-29", "due", ("2027-03-30", "2027-03-30")),
        ("2027-03-30", "due", ("2027-03-30", "2027-03-30")),
        ("2027-03-31", "barred", None),
    ],
)
def test_a_lapsed_dose_is_due_until_seven_days_before_arrival(
    today: str, answer: str, window: tuple[str, str] | None
) -> None:
    """Dose 1 July 2026 covers to 22 January 2027; arrival 6 April, last dose day 30 March."""
    found = judge(FEI, doses("2026-07-01"), "2027-04-06", today=today)
    assert found.answer == answer
    assert found.window == (None if window is None else span(*window))
    assert found.end == day("2027-01-22")


def test_the_due_window_ends_where_the_history_would_break() -> None:
    """Dose 15 March 2026: the next by 15 March 2027 (12 months), though arrival is in April."""
    found = judge(FEI, doses("2026-03-15"), "2027-04-06", today="2027-03-01")
    assert found.window == span("2027-03-02", "2027-03-15")
    assert found.due_by == day("2027-03-15")


@pytest.mark.parametrize(("arrive", "answer"), [("2027-03-29", "due"), ("2027-03-28", "barred")])
def test_a_broken_history_needs_21_and_7_days(arrive: str, answer: str) -> None:
    """Today 28 February: first dose 1 March, second 22 March (+21), arrival 29 March (+7)."""
    found = judge(FEI, doses("2025-01-01"), arrive, today="2027-02-28")
    assert found.answer == answer
    if answer == "due":
        assert found.window == span("2027-03-01")


def test_a_british_first_booster_too_early_to_give_bars() -> None:
    """BEF 2024: second dose 1 August 2026, booster in 120 to 180 days, to 28 January 2027.

    With the booster not given the second dose covers arrivals to 28 January; on 1 February
    the booster must have been given by 25 January, which today, 10 January, still allows.
    """
    rows = doses("2026-07-01", "2026-08-01")
    assert judge(GB, rows, "2027-01-28", today="2027-01-10").answer == "ok"
    found = judge(GB, rows, "2027-02-01", today="2027-01-10")
    assert found.window == span("2027-01-11", "2027-01-25")


def test_nothing_written_is_unknown_and_a_silent_book_says_nothing() -> None:
    """No row does not bar; a book without a rule makes no finding."""
    assert judge(FEI, (), "2027-04-06").answer == "unknown"
    assert assess_vaccination("herpes", (), FEI, day("2027-04-06"), TODAY) is None
    assert judge(US, (), "2027-04-06", kind="herpes").answer == "unknown"


def test_an_earlier_written_end_holds() -> None:
    """A vet who wrote an earlier valid_until is believed; a later one does not stretch the rule."""
    short = (make_paper("influenza", "2027-01-15", valid_until="2027-04-05"),)
    long = (make_paper("influenza", "2026-07-01", valid_until="2027-12-31"),)
    assert judge(FEI, short, "2027-04-06", today=TODAY).answer == "due"
    assert judge(FEI, long, "2027-04-06", today=TODAY).answer == "due"


def test_six_months_over_180_days_is_ok_and_warns() -> None:
    """Check 9: dose 25 May 2026, entry 25 November 2026: ask an organiser who reads 180 days."""
    found = judge(US, doses("2026-05-25"), "2026-11-25")
    assert found.answer == "ok"
    assert "180 days" in str(found.reason)
    assert judge(US, doses("2026-05-25"), "2026-11-26", today="2026-10-01").answer == "due"


@given(
    st.lists(st.integers(0, 700), min_size=1, max_size=4, unique=True),
    st.integers(0, 500),
    st.integers(0, 120),
    st.sampled_from([FEI, GB, US]),
)
def test_due_days_put_it_right_and_barred_means_no_day_does(
    ages: list[int], ahead: int, slack: int, book
) -> None:
    """Every day is tried: the verdict is the same as trying a dose on each day left.

    Doses lie before today, so no appointment is moved. A course that begins again needs two
    doses and is left to its own test.
    """
    today = TODAY
    arrive = today + timedelta(days=min(ahead, slack))
    rows = doses(*sorted((today - timedelta(days=age)).isoformat() for age in ages))
    found = judge(book, rows, arrive.isoformat(), today=today)
    helped = [
        later
        for offset in range(1, (arrive - today).days - 6)
        if judge(
            book,
            (*rows, *doses((later := today + timedelta(days=offset)).isoformat())),
            arrive.isoformat(),
            today=today,
        ).answer
        == "ok"
    ]
    if found.answer == "barred":
        assert not helped
    if found.answer == "due" and "begins again" not in str(found.reason) and found.due_by != today:
        assert found.window is not None
        assert helped == list(found.window)


# Tests and documents


@pytest.mark.parametrize(
    ("unit", "value", "travel", "covers"),
    [
        ("months", 12, "2026-11-25", True),
        ("months", 6, "2026-11-25", False),
        ("months", 6, "2026-07-10", True),
        ("months", 6, "2026-07-11", False),
        ("calendar year", 1, "2026-11-25", True),
        ("calendar year", 1, "2026-12-31", True),
        ("months", 12, "2027-01-05", True),
        ("months", 12, "2027-01-10", True),
        ("months", 12, "2027-01-11", False),
        ("calendar year", 1, "2027-01-01", False),
        ("calendar year", 1, "2027-01-05", False),
    ],
)
def test_eia_tests_hold_12_months_6_months_or_the_calendar_year(
    unit: str, value: int, travel: str, covers: bool
) -> None:
    """Check 12: drawn 10 January 2026; USEF, Interstate travel page (expiry day inclusive)."""
    rows = (make_paper("coggins", "2026-01-10"),)
    length = rule(value, unit)
    found = assess_coggins(rows, US, length, span(travel), day(travel))
    assert (found.answer == "ok") is covers
    assert found.answer in ("ok", "barred")


@pytest.mark.parametrize(
    ("today", "answer", "due_by"),
    [
        # Arrival Thursday 15 April 2027: 7 business days before it Tuesday the 6th, 3 Monday.
        ("2027-04-01", "due", "2027-04-06"),
        ("2027-04-06", "due", "2027-04-06"),
        ("2027-04-07", "due", "2027-04-12"),
        ("2027-04-12", "due", "2027-04-12"),
        ("2027-04-13", "barred", None),
    ],
)
def test_a_lapsed_test_is_due_while_the_laboratory_has_its_days(
    today: str, answer: str, due_by: str | None
) -> None:
    """Turnaround 7 business days, 3 in haste (practice page); drawn 1 April 2026, 12 months."""
    rows = (make_paper("coggins", "2026-04-01"),)
    length = pick(US, "coggins-validity", "2027-04-15")
    found = assess_coggins(rows, US, length, span("2027-04-15", "2027-04-18"), day(today))
    assert (found.answer, found.due_by) == (answer, due_by and day(due_by))
    assert ("in haste" in str(found.reason)) is (due_by == "2027-04-12")


def test_a_test_must_cover_the_last_class_day() -> None:
    """Drawn 17 April 2026, 12 months: good for the 17th, not for the 18th."""
    rows = (make_paper("coggins", "2026-04-17"),)
    length = pick(US, "coggins-validity", "2027-04-15")
    today = day("2027-03-01")
    assert assess_coggins(rows, US, length, span("2027-04-15", "2027-04-17"), today).answer == "ok"
    late = assess_coggins(rows, US, length, span("2027-04-15", "2027-04-18"), today)
    assert late.answer == "due"


def test_a_calendar_year_test_is_not_drawn_in_the_year_before() -> None:
    """Arrival 20 January 2027: drawn from 1 January, 7 business days before it is the 11th."""
    rows = (make_paper("coggins", "2026-06-01"),)
    length = rule(1, "calendar year")
    found = assess_coggins(rows, US, length, span("2027-01-20"), day("2026-12-01"))
    assert found.window == span("2027-01-01", "2027-01-11")


@pytest.mark.parametrize(
    ("valid_until", "last_class", "answer"),
    [
        (None, "2016-04-02", "ok"),
        (None, "2016-04-03", "due"),
        ("2020-04-02", "2020-04-02", "ok"),
        ("2020-04-02", "2020-04-03", "due"),
    ],
)
def test_a_passport_holds_four_years(valid_until: str | None, last_class: str, answer: str) -> None:
    """Check 15: issued 2 April 2012, to 2 April 2016, revalidated to 2020 (FEI how-to 7/43)."""
    rows = (make_paper("passport", "2012-04-02", valid_until=valid_until),)
    last = day(last_class)
    days = DaySpan(last - timedelta(days=3), last)
    found = assess_passport(rows, FEI, days, last - timedelta(days=90))
    assert found is not None
    assert found.answer == answer


def test_a_passport_is_renewed_at_most_two_months_early_and_in_six_weeks() -> None:
    """End 20 May 2027: from 20 March (British Eventing); arrival 19 May - 42 days = 7 April."""
    rows = (make_paper("passport", "2023-05-20", valid_until="2027-05-20"),)
    days = span("2027-05-19", "2027-05-23")
    found = assess_passport(rows, FEI, days, day("2027-03-01"))
    assert found is not None
    assert found.window == span("2027-03-20", "2027-04-07")
    # In haste: 3 business days before Wednesday 19 May is Friday the 14th.
    hasty = assess_passport(rows, FEI, days, day("2027-04-08"))
    assert hasty is not None
    assert hasty.window == span("2027-04-09", "2027-05-14")
    barred = assess_passport(rows, FEI, days, day("2027-05-15"))
    assert barred is not None
    assert barred.answer == "barred"


def test_a_registration_ends_with_its_year_whenever_bought() -> None:
    """Check 15: bought 20 November 2026, show 6 January 2027 not covered (FEI how-to 7/84)."""
    rows = (make_paper("registration", "2026-11-20"),)
    assert assess_registration(rows, FEI, span("2026-12-31"), day("2026-12-01")).answer == "ok"
    found = assess_registration(rows, FEI, span("2027-01-06"), day("2026-12-01"))
    assert found.answer == "due"
    assert found.window == span("2026-12-02", "2027-01-05")
    assert "write valid_until" in str(found.reason)
    assert assess_registration(rows, FEI, span("2027-01-06"), day("2027-01-06")).answer == "barred"


def test_next_years_registration_opens_in_november() -> None:
    """FEI how-to 7/84 (2017): for March 2027 from 1 November 2026."""
    rows = (make_paper("registration", "2026-02-01"),)
    found = assess_registration(rows, FEI, span("2027-03-10"), day("2026-09-01"))
    assert found.window == span("2026-11-01", "2027-03-09")


def test_a_registration_bought_for_next_year_is_believed_by_its_end() -> None:
    """A valid_until written by the yard decides."""
    rows = (make_paper("registration", "2026-11-20", valid_until="2027-12-31"),)
    assert assess_registration(rows, FEI, span("2027-01-06"), day("2026-12-01")).answer == "ok"


@pytest.mark.parametrize(
    ("end", "today", "answer"),
    [
        ("2027-04-11", "2027-03-01", "ok"),
        ("2027-04-10", "2027-03-01", "due"),
        ("2027-04-10", "2027-04-06", "due"),
        ("2027-04-10", "2027-04-07", "barred"),
        (None, "2027-03-01", "unknown"),
    ],
)
def test_a_licence_covers_the_whole_show(end: str | None, today: str, answer: str) -> None:
    """Show from 7 to 11 April 2027; renewed on the 6th at the latest (this project's choice)."""
    rows = (make_paper("licence", "2026-01-01", "Ana", valid_until=end),)
    found = assess_written_end("licence", rows, span("2027-04-07", "2027-04-11"), day(today))
    assert found is not None
    assert found.answer == answer


def test_of_several_papers_the_longest_counts() -> None:
    """An older certificate with a later end is not hidden by a newer short one."""
    rows = (
        make_paper("passport", "2025-01-01", valid_until="2027-12-31"),
        make_paper("passport", "2026-01-01", valid_until="2027-02-28"),
    )
    lead = Lead(day("2027-04-01"), day("2027-04-01"))
    found = assess_paper("passport", rows, rule(4, "years"), lead, span("2027-04-06"), TODAY)
    assert found.answer == "ok"


# Planning


def test_open_days_leave_out_the_shut_ones() -> None:
    """Both ends of a shut span are shut."""
    shut = [span("2027-03-02", "2027-03-03")]
    found = list_open_days(day("2027-03-01"), day("2027-03-04"), shut)
    assert found == (day("2027-03-01"), day("2027-03-04"))
    assert list_open_days(day("2027-03-04"), day("2027-03-01"), ()) == ()


def test_days_in_a_row_are_joined() -> None:
    """A gap begins a new span."""
    found = join_days([day("2027-03-01"), day("2027-03-02"), day("2027-03-04")])
    assert found == (span("2027-03-01", "2027-03-02"), span("2027-03-04"))


# Asked for many arrivals at once

COURSES = st.lists(
    st.tuples(st.integers(0, 900), st.sampled_from(["", "", "", "V1", "V2"])),
    max_size=6,
    unique_by=lambda row: row[0],
)


def make_course(course) -> tuple:
    """Rows of influenza, so many days before 1 June 2027, in date order."""
    rows = [
        make_paper("influenza", date(2027, 6, 1) - timedelta(days=age), note=note)
        for age, note in course
    ]
    return tuple(sorted(rows, key=lambda row: row.date))


@settings(max_examples=40)
@given(COURSES, st.sampled_from([FEI, GB, US]))
def test_the_answers_kept_are_those_of_each_day_alone(course, book) -> None:
    """A dose that covers many arrivals is read once; every day is tried against the plain way."""
    rows = make_course(course)
    doses_kept = Doses("influenza", rows, book, TODAY)
    rules = {}
    for offset in range(0, 500, 3):
        arrive = TODAY + timedelta(days=offset)
        found = find_dose_rules("influenza", book, arrive)
        assert found is not None
        key = tuple(map(id, (found.to_compete, found.first_booster, found.strict)))
        same = rules.setdefault(key, found)
        alone = assess_vaccination("influenza", rows, book, arrive, TODAY)
        assert doses_kept.assess(arrive, same) == alone


@given(DATES, st.integers(93, 200), st.integers(7, 400), st.sampled_from([FEI, GB, US]))
def test_a_later_dose_in_time_never_shortens_what_is_covered(
    first: date, later: int, ahead: int, book
) -> None:
    """A booster within its interval covers at least the arrivals that the one before covered."""
    second = first + timedelta(days=later)
    arrive = second + timedelta(days=ahead)
    old = (make_paper("influenza", first, note="booster"),)
    both = (*old, make_paper("influenza", second, note="booster"))
    alone = assess_vaccination("influenza", old, book, arrive, arrive)
    held = assess_vaccination("influenza", both, book, arrive, arrive)
    # The US rule holds from 1 December 2015: before, neither is asked
    assert (alone is None) is (held is None)
    assert alone is None or held is None or alone.answer != "ok" or held.answer == "ok"


@given(COURSES, st.integers(0, 500), st.sampled_from([FEI, GB, US]))
def test_a_window_never_reaches_into_the_days_before_the_arrival(course, ahead: int, book) -> None:
    """The last day of every window lies seven days before the arrival, the first after today."""
    arrive = TODAY + timedelta(days=ahead)
    found = assess_vaccination("influenza", make_course(course), book, arrive, TODAY)
    assert found is not None
    if found.window is not None:
        assert found.window.last <= arrive - timedelta(days=7)
        assert found.window.first > TODAY or found.window == span(TODAY.isoformat())
