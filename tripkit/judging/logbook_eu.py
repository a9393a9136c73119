"""The log of a driver under the European rules, and under those of Great Britain at home.

**Source:** Regulation (EC) No 561/2006 Art. 6 to 8, as amended by Regulation (EU) 2020/1054;
Transport Act 1968 as gov.uk gives it (Drivers' hours, goods vehicles, section 2: Great Britain
domestic rules).

Left aside: the hour or two over to reach home (Art. 12), rest on ferries (Art. 9), the
compensation of a shortened weekly rest (Art. 8(6)), and two shortened weekly rests in a row
abroad (2020/1054). Horseboxes up to 7.5 t that are not driven for business are exempt (Art. 3(h)),
as is private driving in Great Britain.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from tripkit.judging.logbook_entries import (
    DAY,
    DRIVING,
    HOUR,
    Log,
    LogFault,
    Span,
    count_within,
    list_starting,
)
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state

EU_FIRST_DAY = date(2007, 4, 11)
BOOK = "Regulation (EC) No 561/2006"
DRIVE_MINUTES = 270
BREAK_MINUTES, FIRST_PART_MINUTES, SECOND_PART_MINUTES = 45, 15, 30
DAY_MINUTES, LONG_DAY_MINUTES, LONG_DAYS_PER_WEEK = 9 * HOUR, 10 * HOUR, 2
WEEK_MINUTES, FORTNIGHT_MINUTES = 56 * HOUR, 90 * HOUR
REST_MINUTES, SHORT_REST_MINUTES, SHORT_RESTS = 11 * HOUR, 9 * HOUR, 3
EARLY_REST_MINUTES = 3 * HOUR
WITHIN_MINUTES = {1: 24 * HOUR, 2: 30 * HOUR}
WEEKLY_REST_MINUTES, SHORT_WEEKLY_REST_MINUTES = 45 * HOUR, 24 * HOUR
BETWEEN_WEEKLY_RESTS_MINUTES = 6 * DAY

GB_BOOK = state("laws.gb-hours")
GB_DRIVE_MINUTES, GB_DUTY_MINUTES, GB_LITTLE_MINUTES = 10 * HOUR, 11 * HOUR, 4 * HOUR


def cite(articles: str) -> Fact:
    """Articles of Regulation (EC) No 561/2006."""
    return state("laws.eu-hours", articles=articles)


@dataclass(frozen=True)
class Shift:
    """A driver's day: from the end of one daily or weekly rest to the start of the next."""

    start: int
    rest: Span


def find_eu_faults(log: Log, day: date, drivers: int = 1) -> Iterator[LogFault]:
    """Every fault of a log under the rules in force on a day; `drivers` 2 is multi-manning.

    Raises `BadValue` before 11 April 2007, when the Regulation began to apply.
    """
    if day < EU_FIRST_DAY:
        raise BadValue(
            state("values.did-not-apply-on-it", book=BOOK, day=day, eu_first_day=EU_FIRST_DAY)
        )
    if drivers not in WITHIN_MINUTES:
        raise BadValue(state("values.drivers-must-be-1-or", drivers=drivers))
    shifts = list_shifts(log)
    yield from find_missing_breaks(log)
    yield from find_long_days(log, shifts)
    yield from find_short_rests(log, shifts, drivers)
    yield from find_full_weeks(log)
    yield from find_missing_weekly_rests(log)


def list_shifts(log: Log) -> tuple[Shift, ...]:
    """A driver's day ends with the first rest of at least 9 hours.

    **Source:** Regulation (EC) No 561/2006 Art. 4(g) and (k).
    """
    rests = [rest for rest in log.rests if rest.minutes >= SHORT_REST_MINUTES]
    return tuple(Shift(a.end, b) for a, b in zip(rests, rests[1:], strict=False))


def find_missing_breaks(log: Log) -> Iterator[LogFault]:
    """After 4.5 hours of driving comes a break of 45 minutes, or 15 and then 30 on the way.

    The order is fixed, less than 15 minutes never count, and other work is no break.

    **Source:** Regulation (EC) No 561/2006 Art. 7.
    """
    driven, early, since = 0, False, 0
    for span in sorted((*log.drives, *log.rests)):
        if span.kind != DRIVING:
            if span.minutes >= BREAK_MINUTES or (early and span.minutes >= SECOND_PART_MINUTES):
                driven, early, since = 0, False, span.end
            elif span.minutes >= FIRST_PART_MINUTES:
                early = True
            continue
        begin = span.start + max(0, DRIVE_MINUTES - driven)
        driven += span.minutes
        if begin < span.end:
            yield log.make_fault(
                "eu-break-45min",
                state(
                    "logbook.eu-break",
                    driven_minutes=driven,
                    since=log.name_moment(since),
                    break_minutes=BREAK_MINUTES,
                    first_minutes=FIRST_PART_MINUTES,
                    second_minutes=SECOND_PART_MINUTES,
                    most_minutes=DRIVE_MINUTES,
                ),
                begin,
                cite("7"),
            )


def find_long_days(log: Log, shifts: Sequence[Shift]) -> Iterator[LogFault]:
    """A driver drives at most 9 hours between two daily rests, and twice a week at most 10.

    A longer day counts in the week in which its tenth hour begins.

    **Source:** Regulation (EC) No 561/2006 Art. 6(1).
    """
    long_days: dict[int, int] = {}
    for shift in shifts:
        drives = list_starting(log.drives, shift.start, shift.rest.start)
        tenth = _find_overrun(drives, DAY_MINUTES)
        if tenth is None:
            continue
        day = {
            "driven_minutes": sum(drive.minutes for drive in drives),
            "since": log.name_moment(shift.start),
        }
        week = log.find_week(tenth)
        long_days[week] = long_days.get(week, 0) + 1
        eleventh = _find_overrun(drives, LONG_DAY_MINUTES)
        if long_days[week] > LONG_DAYS_PER_WEEK:
            fact = state(
                "logbook.eu-long-days",
                **day,
                rank=long_days[week],
                most_minutes=DAY_MINUTES,
                allowed=LONG_DAYS_PER_WEEK,
            )
            yield log.make_fault("eu-daily-driving", fact, tenth, cite("6(1)"))
        elif eleventh is not None:
            fact = state("logbook.eu-day", **day, most_minutes=LONG_DAY_MINUTES)
            yield log.make_fault("eu-daily-driving", fact, eleventh, cite("6(1)"))


def find_short_rests(log: Log, shifts: Sequence[Shift], drivers: int) -> Iterator[LogFault]:
    """Within 24 hours of the end of a rest lies a new one of 11 hours, or 9, or 3 and later 9.

    Only what lies within the 24 hours counts. One of 9 to 11 hours is a reduced rest, at most
    three between two weekly rests; 3 hours earlier in the day make it a regular one. Two drivers
    aboard: 9 hours within 30, which are not counted as reduced.

    **Source:** Regulation (EC) No 561/2006 Art. 4(g), 8(2), 8(4), 8(5).
    """
    within, reduced = WITHIN_MINUTES[drivers], 0
    for shift in shifts:
        due = shift.start + within
        got = max(0, min(shift.rest.end, due) - shift.rest.start)
        split = any(
            rest.minutes >= EARLY_REST_MINUTES
            for rest in list_starting(log.rests, shift.start, shift.rest.start)
        )
        short = drivers == 1 and got < REST_MINUTES and not split
        reduced += short and got >= SHORT_REST_MINUTES
        asked = REST_MINUTES if short and reduced > SHORT_RESTS else SHORT_REST_MINUTES
        if got < asked:
            begin = next(
                max(duty.start, due - asked) for duty in log.duties if duty.end > due - asked
            )
            over = None
            if asked == REST_MINUTES:
                over = state("logbook.eu-reduced-rests", rank=reduced, allowed=SHORT_RESTS)
            fact = state(
                "logbook.eu-daily-rest",
                rest_minutes=got,
                within_minutes=within,
                since=log.name_moment(shift.start),
                asked_minutes=asked,
                over=over,
            )
            article = "8(5)" if drivers > 1 else "8(4)" if asked == REST_MINUTES else "8(2)"
            yield log.make_fault("eu-daily-rest", fact, begin, cite(article))
        if shift.rest.minutes >= SHORT_WEEKLY_REST_MINUTES:
            reduced = 0


def find_full_weeks(log: Log) -> Iterator[LogFault]:
    """A driver drives at most 56 hours in a week and 90 in any two weeks that follow each other.

    **Source:** Regulation (EC) No 561/2006 Art. 6(2) and (3).
    """
    weeks: dict[int, list[Span]] = {}
    for drive in log.drives:
        for piece in log.cut_at_days(drive, 7):
            weeks.setdefault(log.find_week(piece.start), []).append(piece)
    for week, drives in weeks.items():
        before = sum(drive.minutes for drive in weeks.get(week - 1, ()))
        total = sum(drive.minutes for drive in drives)
        over = _find_overrun(drives, WEEK_MINUTES)
        if over is not None:
            fact = state("logbook.eu-week", driven_minutes=total, most_minutes=WEEK_MINUTES)
            yield log.make_fault("eu-weekly-driving", fact, over, cite("6(2)"))
        over = _find_overrun(drives, max(0, FORTNIGHT_MINUTES - before))
        if over is not None:
            fact = state(
                "logbook.eu-fortnight",
                before_minutes=before,
                driven_minutes=total,
                most_minutes=FORTNIGHT_MINUTES,
            )
            yield log.make_fault("eu-fortnight-driving", fact, over, cite("6(3)"))


def find_missing_weekly_rests(log: Log) -> Iterator[LogFault]:
    """A weekly rest of 45 hours begins within six days of the last; every second may be 24.

    Of the rests of 24 hours and more, those are taken for weekly rests that serve the driver best.

    **Source:** Regulation (EC) No 561/2006 Art. 8(6).
    """
    rests = [rest for rest in log.rests if rest.minutes >= SHORT_WEEKLY_REST_MINUTES]
    if not rests:
        return
    # For each rest as the last weekly rest so far: the fewest faults, and the one before it.
    best: list[tuple[int, int]] = [(0, -1)]
    for number, rest in enumerate(rests[1:], 1):
        ways = [(best[i][0] + sum(_ask_weekly_rest(rests[i], rest)), i) for i in range(number)]
        best.append(min(ways, key=lambda way: (way[0], -way[1])))
    chain = [len(rests) - 1]
    while best[chain[-1]][1] >= 0:
        chain.append(best[chain[-1]][1])
    for first, second in zip(chain[:0:-1], chain[-2::-1], strict=True):
        late, twice = _ask_weekly_rest(rests[first], rests[second])
        if late:
            due = rests[first].end + BETWEEN_WEEKLY_RESTS_MINUTES
            fact = state("logbook.eu-weekly-rest-late", since=log.name_moment(rests[first].end))
            yield log.make_fault("eu-weekly-rest", fact, due, cite("8(6)"))
        if twice:
            fact = state(
                "logbook.eu-weekly-rests-short",
                first_minutes=rests[first].minutes,
                second_minutes=rests[second].minutes,
                asked_minutes=WEEKLY_REST_MINUTES,
            )
            yield log.make_fault("eu-weekly-rest", fact, rests[second].end, cite("8(6)"))


def _ask_weekly_rest(first: Span, second: Span) -> tuple[bool, bool]:
    """Whether one weekly rest comes too late after another, and whether both are short."""
    return (
        second.start - first.end > BETWEEN_WEEKLY_RESTS_MINUTES,
        max(first.minutes, second.minutes) < WEEKLY_REST_MINUTES,
    )


def find_gb_faults(log: Log) -> Iterator[LogFault]:
    """Every fault of a log under the domestic rules of Great Britain for goods vehicles."""
    days = list_gb_days(log)
    yield from find_long_gb_driving(log, days)
    yield from find_long_gb_duty(log, days)


def list_gb_days(log: Log) -> tuple[Span, ...]:
    """A day is the 24 hours that begin with the start of duty.

    **Source:** gov.uk, Drivers' hours, goods vehicles, 2.2.
    """
    days: list[Span] = []
    for duty in log.duties:
        start = duty.start if not days else max(duty.start, days[-1].end)
        while start < duty.end:
            days.append(Span(start, start + DAY, "day"))
            start = days[-1].end
    return tuple(days)


def find_long_gb_driving(log: Log, days: Sequence[Span]) -> Iterator[LogFault]:
    """A driver drives at most 10 hours in a working day.

    **Source:** Transport Act 1968 s. 96(1); gov.uk, Drivers' hours, goods vehicles, 2.2.
    """
    for day in days:
        drives = _cut_out(log.drives, day)
        over = _find_overrun(drives, GB_DRIVE_MINUTES)
        if over is not None:
            fact = state(
                "logbook.gb-driving",
                driven_minutes=sum(d.minutes for d in drives),
                since=log.name_moment(day.start),
                most_minutes=GB_DRIVE_MINUTES,
            )
            yield log.make_fault("gb-driving-10h", fact, over, GB_BOOK)


def find_long_gb_duty(log: Log, days: Sequence[Span]) -> Iterator[LogFault]:
    """A driver is on duty at most 11 hours in a working day, rest and breaks not counted.

    Not on a day without driving, nor in a week (Monday to Sunday) with at most 4 hours of driving
    on every day. A day counts in the week in which it begins.

    **Source:** Transport Act 1968 s. 96(3); gov.uk, Drivers' hours, goods vehicles, 2.2.
    """
    driven = {day: count_within(log.drives, day.start, day.end) for day in days}
    busy = {log.find_week(day.start) for day in days if driven[day] > GB_LITTLE_MINUTES}
    for day in days:
        duties = _cut_out(log.duties, day)
        over = _find_overrun(duties, GB_DUTY_MINUTES)
        if over is not None and driven[day] and log.find_week(day.start) in busy:
            fact = state(
                "logbook.gb-duty",
                duty_minutes=sum(d.minutes for d in duties),
                since=log.name_moment(day.start),
                most_minutes=GB_DUTY_MINUTES,
                little_minutes=GB_LITTLE_MINUTES,
            )
            yield log.make_fault("gb-duty-11h", fact, over, GB_BOOK)


def _find_overrun(spans: Sequence[Span], limit: int) -> int | None:
    """The minute at which some stretches in order have used up a limit, if more follows."""
    used = 0
    for span in spans:
        if used + span.minutes > limit:
            return span.start + max(0, limit - used)
        used += span.minutes
    return None


def _cut_out(spans: Sequence[Span], part: Span) -> list[Span]:
    return [
        Span(max(span.start, part.start), min(span.end, part.end), span.kind)
        for span in spans
        if span.start < part.end and part.start < span.end
    ]
