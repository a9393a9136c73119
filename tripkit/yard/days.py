"""Days, spans of days and calendar months.

All dates are `datetime.date`. A span names its first and last day, both inclusive.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state

ONE_DAY = timedelta(days=1)
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True, order=True)
class DaySpan:
    """Whole days from `first` to `last`, both inclusive; `end` is the day after.

    Raises `BadValue` when `last` lies before `first`, or for what is no day.

    >>> span = DaySpan(date(2027, 4, 7), date(2027, 4, 11))
    >>> span.days, span.end.isoformat(), date(2027, 4, 11) in span
    (5, '2027-04-12', True)
    """

    first: date
    last: date

    def __post_init__(self) -> None:
        for day in (self.first, self.last):
            if type(day) is not date:
                check_day(day)
        if self.last < self.first:
            raise BadValue(
                state("values.last-day-lies-before-first", last=self.last, first=self.first)
            )

    @property
    def end(self) -> date:
        """The exclusive end, the day after the last."""
        return self.last + ONE_DAY

    @property
    def days(self) -> int:
        """How many days the span holds [days]."""
        return (self.last - self.first).days + 1

    def __contains__(self, day: object) -> bool:
        return isinstance(day, date) and self.first <= day <= self.last

    def __iter__(self) -> Iterator[date]:
        for offset in range(self.days):
            yield self.first + timedelta(days=offset)

    def overlaps(self, other: DaySpan) -> bool:
        """Two spans overlap when they share at least one day."""
        return self.first <= other.last and other.first <= self.last


def check_day(given: object) -> None:
    """A day is a `date`: `BadValue` for a text, and for a moment, whose day hangs on a time zone.

    >>> check_day("2027-03-10")
    Traceback (most recent call last):
    tripkit.yard.errors.BadValue: '2027-03-10' (str) is no day: give a date, as date(2027, 3, 10)
    """
    if not isinstance(given, date) or isinstance(given, datetime):
        kind = type(given).__name__
        raise BadValue(state("values.no-day", given=repr(given), kind=kind))


def count_clear_days(last: date, first: date) -> int:
    """Clear days are the whole days strictly between two dates; negative when they overlap.

    >>> count_clear_days(date(2027, 4, 12), date(2027, 4, 22))
    9
    """
    return (first - last).days - 1


def add_months(day: date, months: int) -> date:
    """The same day of the month `months` later, clamped to the last day of a shorter month.

    **Source:** "calendar months" as in BHA, Update on equine influenza, 17 September 2019:
    nine calendar months from 1 January are 1 October. The clamp is this project's choice.

    >>> add_months(date(2026, 8, 31), 6).isoformat()
    '2027-02-28'
    """
    index = day.year * 12 + day.month - 1 + months
    year, month = divmod(index, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def add_days(day: date, days: int) -> date:
    """The date `days` later (earlier when negative).

    >>> add_days(date(2027, 2, 28), 1).isoformat()
    '2027-03-01'
    """
    return day + timedelta(days=days)


def name_weekday(day: date) -> str:
    """The English name of the day of the week.

    >>> name_weekday(date(2027, 3, 1))
    'Monday'
    """
    return WEEKDAYS[day.weekday()]
