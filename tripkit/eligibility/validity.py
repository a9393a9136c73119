"""How long a paper holds: the arithmetic of calendar months, days and years under a rule.

Months are calendar months, counted forward from the day a paper was given (`days.add_months`);
where counting backward from the day asked for gives another answer, `is_borderline` says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from functools import lru_cache

from tripkit.yard.days import ONE_DAY, DaySpan, add_days, add_months
from tripkit.yard.facts import Fact, state
from tripkit.yard.rulebook import Rule

Value = int | float | str | tuple[int, ...]

WIDEST_DOUBT_DAYS = 5
"""Counting forward and backward disagree at most so many days before the end [days]."""

SATURDAY = 5

UNITS = {
    unit: Fact(f"validity.{unit.replace(' ', '-')}")
    for unit in ("days", "business days", "months", "years", "hours")
}
"""What a length is counted in; another unit of a book is told as it is written there."""


def find_last_day(given: date, rule: Rule) -> date:
    """The last day a paper given on a day covers, that day included.

    A calendar year ends on 31 December of the year it was given in. The day of giving is day 0
    of a count in days.

    **Source:** FEI Veterinary Regulations, Art. 1003.4, edition 2019 (6 months + 21 days); USEF,
    Interstate travel page (rolling months or calendar year); the inclusive last day is this
    project's choice.
    """
    return _count_on(given, rule.unit, rule.value)


@lru_cache(maxsize=1 << 16)
def _count_on(given: date, unit: str, value: Value) -> date:
    if isinstance(value, tuple):
        months, days = (0, value[1]) if unit == "days from to" else (value[0], value[1])
        return add_months(given, months) + timedelta(days=days)
    assert isinstance(value, int)
    if unit == "months":
        return add_months(given, value)
    if unit == "years":
        return add_months(given, 12 * value)
    if unit == "calendar year":
        return date(given.year + value - 1, 12, 31)
    return add_days(given, value)


def find_first_day(needed: date, rule: Rule) -> date:
    """The earliest day on which a paper can be given that still covers the day needed."""
    return _count_to(needed, rule.unit, rule.value)


@lru_cache(maxsize=1 << 14)
def _count_to(needed: date, unit: str, value: Value) -> date:
    if unit == "calendar year":
        assert isinstance(value, int)
        return date(needed.year - value + 1, 1, 1)
    # Clamped months make the forward count flat in places, so the exact day is searched for.
    day = needed - (_count_on(needed, unit, value) - needed) - timedelta(days=WIDEST_DOUBT_DAYS)
    while _count_on(day, unit, value) < needed:
        day += ONE_DAY
    return day


def find_next_window(given: date, rule: Rule) -> DaySpan:
    """The days on which the next dose may follow one given on a day."""
    last = find_last_day(given, rule)
    if rule.unit == "days from to" and isinstance(rule.value, tuple):
        return DaySpan(add_days(given, rule.value[0]), last)
    return DaySpan(given + ONE_DAY, last)


def find_days_before(arrive: date, rule: Rule) -> DaySpan:
    """The days before an arrival on which something is asked every day: the last is the day before.

    **Source:** the example of Equestrian Australia, 1 March 2023: arrival on Thursday asks for
    Monday, Tuesday and Wednesday.
    """
    assert isinstance(rule.value, int)
    return DaySpan(add_days(arrive, -rule.value), arrive - ONE_DAY)


def is_borderline(given: date, needed: date, rule: Rule) -> bool:
    """Whether counting months forward and counting them backward disagree about a day.

    Backward: the months are taken off first, then the days.
    """
    return _count_both_ways(given, needed, rule.unit, rule.value)


@lru_cache(maxsize=1 << 14)
def _count_both_ways(given: date, needed: date, unit: str, value: Value) -> bool:
    if unit == "months and days" and isinstance(value, tuple):
        months, days = value
    elif unit == "months" and isinstance(value, int):
        months, days = value, 0
    else:
        return False
    backward = add_days(add_months(needed, -months), -days)
    return (needed <= _count_on(given, unit, value)) != (given >= backward)


@lru_cache(maxsize=1 << 12)
def count_back_business_days(day: date, business_days: int) -> date:
    """The last business day after which so many more lie, up to and including `day`.

    Business days are Monday to Friday; public holidays are not known here. What is asked for
    at a weekend is begun on Monday, so the answer is never a Saturday or Sunday.
    """
    while business_days > 0:
        if day.weekday() < SATURDAY:
            business_days -= 1
        day -= ONE_DAY
    while day.weekday() >= SATURDAY:
        day -= ONE_DAY
    return day


def find_days_left(today: date, last: date) -> DaySpan | None:
    """The days from tomorrow to the last; today alone where it is the last; None after it."""
    if last < today:
        return None
    return DaySpan(min(today + ONE_DAY, last), last)


def state_amount(rule: Rule) -> Fact:
    """A rule's value with its unit.

    >>> print(state_amount(Rule("x", "", (6, 21), "months and days", "none")))
    6 months and 21 days
    """
    return _state_amount(rule.value, rule.unit)


@lru_cache(maxsize=1 << 10)
def _state_amount(value: Value, unit: str) -> Fact:
    if unit == "months and days" and isinstance(value, tuple):
        return state("validity.months-and-days", months=value[0], days=value[1])
    if unit == "days from to" and isinstance(value, tuple):
        return state("validity.days-from-to", low=value[0], high=value[1])
    if unit == "calendar year":
        return state("validity.calendar-year")
    return state("validity.amount", value=value, unit=UNITS.get(unit, unit))


@lru_cache(maxsize=1 << 10)
def state_rule(words: str) -> Fact:
    """What a rule of a book says."""
    return state("findings.rule", words=words)


def quote_rule(rule: Rule) -> Fact:
    """The words of a rule with where they stand."""
    return state("findings.quote", words=rule.words, source=rule.cited)


# Whole stables share the days on which a dose or a new paper helps.
@lru_cache(maxsize=1 << 14)
def find_window(action: str, first: date, last: date) -> tuple[DaySpan, Fact]:
    """The days from first to last, and that something is done on one of them."""
    return DaySpan(first, last), state(action, first=first, last=last)


def list_open_days(first: date, last: date, shut: Sequence[DaySpan]) -> tuple[date, ...]:
    """The days from first to last that lie in no shut span."""
    if last < first:
        return ()
    return tuple(day for day in DaySpan(first, last) if not any(day in span for span in shut))


def join_days(days: Sequence[date]) -> tuple[DaySpan, ...]:
    """Days in order become the spans they make up."""
    spans: list[DaySpan] = []
    for day in days:
        if spans and spans[-1].end == day:
            spans[-1] = DaySpan(spans[-1].first, day)
        else:
            spans.append(DaySpan(day, day))
    return tuple(spans)
