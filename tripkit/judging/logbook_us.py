"""The log of a driver under the federal rules of the United States, edition by edition.

**Source:** 49 CFR 395.3 and 395.1(g)(1), for drivers of property-carrying vehicles; the editions
of 1 October 2005, 1 July 2013 (rule of 27 December 2011) and 29 September 2020 (85 FR 33396).

Left aside: adverse driving conditions (395.1(b)(1)), the short-haul exception (395.1(e)), the
radius of livestock (395.1(k)), and the two nights that a restart had to hold in 2013 and 2014. A
second driver changes nothing: each has a log of his own. Carrying horses not for business is
exempt from all of it (FMCSA guidance, February 2018).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from tripkit.judging.logbook_entries import (
    HOUR,
    Log,
    LogFault,
    Span,
    count_within,
    list_starting,
)
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state

DRIVE_MINUTES = 11 * HOUR
WINDOW_MINUTES = 14 * HOUR
REST_MINUTES = 10 * HOUR
BREAK_MINUTES = 30
BREAK_AFTER_MINUTES = 8 * HOUR
RESTART_MINUTES = 34 * HOUR
CYCLES = {"60/7": (60 * HOUR, 7), "70/8": (70 * HOUR, 8)}


@dataclass(frozen=True)
class Edition:
    """What changed between editions: the break rule, and how a rest may be split in two.

    `breaks` is "" (none), "elapsed" or "driven"; `berth` is the least time in the sleeper berth of
    one of the two parts [min]; `both_stop_clock` says whether the other part, too, is left out of
    the 14 hours.
    """

    first_day: date
    breaks: str
    berth: int
    both_stop_clock: bool

    def cite(self, section: str) -> Fact:
        """A section of 49 CFR as this edition has it."""
        return state("laws.us-hours", section=section, edition=self.first_day)


EDITIONS = (
    Edition(date(2005, 10, 1), "", 8 * HOUR, False),
    Edition(date(2013, 7, 1), "elapsed", 8 * HOUR, False),
    Edition(date(2020, 9, 29), "driven", 7 * HOUR, True),
)
PART_MINUTES = 2 * HOUR


@dataclass(frozen=True)
class Stint:
    """Time between two rests, whose hours count from `since`, without the rests `left_out`."""

    start: int
    end: int
    since: int
    left_out: tuple[Span, ...]

    def count_passed(self, minute: int) -> int:
        """How much of the 14 hours has run at a minute of the stint [min]."""
        return minute - self.since - sum(rest.minutes for rest in self.left_out)


def find_edition(day: date) -> Edition:
    """The edition in force is the latest that had begun; raises `BadValue` before 1 October 2005.

    >>> find_edition(date(2020, 9, 28)).first_day
    datetime.date(2013, 7, 1)
    """
    begun = [edition for edition in EDITIONS if edition.first_day <= day]
    if not begun:
        raise BadValue(state("values.no-edition-of-49-cfr", day=day))
    return begun[-1]


def find_us_faults(log: Log, day: date, cycle: str = "70/8") -> Iterator[LogFault]:
    """Every fault of a log under the edition in force on a day.

    `cycle` is "70/8" for a carrier whose vehicles run every day of the week, else "60/7".
    """
    if cycle not in CYCLES:
        raise BadValue(state("values.no-cycle-cycles-are", cycle=cycle, cycles=tuple(CYCLES)))
    edition = find_edition(day)
    stints = find_stints(log, edition)
    yield from find_long_driving(log, stints, edition)
    yield from find_late_driving(log, stints, edition)
    yield from find_missing_breaks(log, edition)
    yield from find_full_cycles(log, cycle, edition)


def find_long_driving(log: Log, stints: Sequence[Stint], edition: Edition) -> Iterator[LogFault]:
    """A driver drives at most 11 hours after 10 consecutive hours off duty.

    **Source:** 49 CFR 395.3(a)(3)(i).
    """
    for stint in stints:
        for drive in list_starting(log.drives, stint.start, stint.end):
            driven = count_within(log.drives, stint.since, drive.start)
            begin = drive.start + max(0, DRIVE_MINUTES - driven)
            if begin < drive.end:
                yield log.make_fault(
                    "us-driving-11h",
                    state(
                        "logbook.us-driving",
                        driven_minutes=driven + drive.minutes,
                        since=log.name_moment(stint.since),
                        most_minutes=DRIVE_MINUTES,
                        rest_minutes=REST_MINUTES,
                    ),
                    begin,
                    edition.cite("395.3(a)(3)(i)"),
                )


def find_late_driving(log: Log, stints: Sequence[Stint], edition: Edition) -> Iterator[LogFault]:
    """A driver does not drive after the 14th hour since coming on duty; rest does not stop it.

    The window opens with the first work after 10 consecutive hours off duty. Only a rest in the
    sleeper berth, or a pair of rests under 395.1(g)(1), is left out of it.

    **Source:** 49 CFR 395.3(a)(2); 395.1(g)(1)(ii).
    """
    for stint in stints:
        for drive in list_starting(log.drives, stint.start, stint.end):
            passed = stint.count_passed(drive.start)
            begin = drive.start + max(0, WINDOW_MINUTES - passed)
            if begin < drive.end:
                limit = drive.start + WINDOW_MINUTES - passed
                yield log.make_fault(
                    "us-window-14h",
                    state(
                        "logbook.us-window",
                        until=log.name_moment(drive.end),
                        passed_minutes=stint.count_passed(drive.end),
                        since=log.name_moment(stint.since),
                        most_minutes=WINDOW_MINUTES,
                        ended=log.name_moment(limit),
                    ),
                    begin,
                    edition.cite("395.3(a)(2)"),
                )


def find_missing_breaks(log: Log, edition: Edition) -> Iterator[LogFault]:
    """A driver does not drive on after 8 hours without a break of 30 consecutive minutes.

    Rule of 2011, in force 1 July 2013: the 8 hours are those that passed since the last 30 minutes
    off duty or in the sleeper berth. Since 29 September 2020: they are hours of driving, and any
    30 minutes without driving are a break.

    **Source:** 49 CFR 395.3(a)(3)(ii), editions of 1 July 2013 and 29 September 2020.
    """
    source = edition.cite("395.3(a)(3)(ii)")
    if not edition.breaks:
        return
    driven_only = edition.breaks == "driven"
    pauses = log.halts if driven_only else log.rests
    ends = [pause.end for pause in pauses if pause.minutes >= BREAK_MINUTES]
    for drive in log.drives:
        since = max(end for end in ends if end <= drive.start)
        used = count_within(log.drives, since, drive.start) if driven_only else drive.start - since
        begin = drive.start + max(0, BREAK_AFTER_MINUTES - used)
        if begin < drive.end:
            kind = "logbook.us-break-driven" if driven_only else "logbook.us-break-elapsed"
            fact = state(
                kind,
                until=log.name_moment(drive.end),
                used_minutes=used + drive.minutes,
                since=log.name_moment(since),
                after_minutes=BREAK_AFTER_MINUTES,
                break_minutes=BREAK_MINUTES,
            )
            yield log.make_fault("us-break-30min", fact, begin, source)


def find_full_cycles(log: Log, cycle: str, edition: Edition) -> Iterator[LogFault]:
    """A driver does not drive after 60 hours on duty in 7 days, or 70 in 8; 34 h off restart it.

    The days are that of the driving and those before it, from midnight on the log's clock.

    **Source:** 49 CFR 395.3(b) and (c).
    """
    limit, days = CYCLES[cycle]
    restarts = [rest.end for rest in log.rests if rest.minutes >= RESTART_MINUTES]
    for drive in log.drives:
        for piece in log.cut_at_days(drive):
            first = log.start_day(log.find_day(piece.start) - days + 1)
            since = max(first, *(end for end in restarts if end <= piece.start))
            used = count_within(log.duties, since, piece.start)
            begin = piece.start + max(0, limit - used)
            if begin < piece.end:
                yield log.make_fault(
                    f"us-cycle-{limit // HOUR}h",
                    state(
                        "logbook.us-cycle",
                        duty_minutes=used + piece.minutes,
                        since=log.name_moment(since),
                        most_minutes=limit,
                        cycle_days=days,
                    ),
                    begin,
                    edition.cite("395.3(b)-(c)"),
                )
                break


def is_split_rest(first: Span, second: Span, edition: Edition) -> bool:
    """Two rests count as ten hours if one has the berth time, neither is under 2 h, sum >= 10 h.

    **Source:** 49 CFR 395.1(g)(1)(i)-(ii): 7 h in the berth since 29 September 2020, 8 h before.
    """
    return (
        max(first.sleeper, second.sleeper) >= edition.berth
        and min(first.minutes, second.minutes) >= PART_MINUTES
        and first.minutes + second.minutes >= REST_MINUTES
    )


@dataclass(frozen=True)
class Reckoning:
    """One way to pair rests: hours count from `since`, `left_out` does not count.

    `opener` is the rest that the next one may be paired with; `owed`: it must be, or it would have
    been left out for nothing.
    """

    since: int
    left_out: tuple[Span, ...] = ()
    opener: Span | None = None
    owed: bool = False


Ways = dict[Reckoning, tuple[int, tuple[Stint, ...]]]


def find_stints(log: Log, edition: Edition) -> tuple[Stint, ...]:
    """A shift runs from one rest of 10 h to the next; rests in it are paired as serves it best.

    Each rest is paired at most once with an earlier and once with a later one, and pairs do not
    cross. Of the ways to pair, the one with the least driving over 11 and 14 hours is taken. A
    rest of 10 h may be the second of a pair; as the first of one it is not needed.

    **Source:** 49 CFR 395.1(g)(1); FMCSA, frequently asked questions on the 2020 changes,
    question 4 (19 November 2020): the pairing with the fewest violations.
    """
    found: list[Stint] = []
    long_rests = [rest for rest in log.rests if rest.minutes >= REST_MINUTES]
    for opening, closing in zip(long_rests, long_rests[1:], strict=False):
        inner = [
            rest
            for rest in list_starting(log.rests, opening.end, closing.start)
            if rest.minutes >= PART_MINUTES
        ]
        found += _reckon_shift(log, opening.end, inner, closing, edition)
    return tuple(found)


def _reckon_shift(
    log: Log, start: int, inner: Sequence[Span], closing: Span, edition: Edition
) -> tuple[Stint, ...]:
    ways: Ways = {Reckoning(start): (0, ())}
    now = start
    for rest in inner:
        ways = _work_until(log, ways, now, rest.start)
        after: Ways = {}
        for way, value in ways.items():
            for choice in _list_choices(way, rest, edition):
                if choice not in after or value[0] < after[choice][0]:
                    after[choice] = value
        ways, now = after, rest.end
    ways = _work_until(log, ways, now, closing.start)
    closed = [
        value
        for way, value in ways.items()
        if not way.owed or (way.opener is not None and is_split_rest(way.opener, closing, edition))
    ]
    return min(closed, key=lambda value: value[0])[1]


def _list_choices(way: Reckoning, rest: Span, edition: Edition) -> Iterator[Reckoning]:
    """What a rest may be: of no account, the second of a pair, or the first of one."""
    alone = not edition.both_stop_clock and rest.sleeper >= edition.berth
    stops = edition.both_stop_clock or alone
    kept = (*way.left_out, rest) if alone else way.left_out
    yield Reckoning(way.since, kept, way.opener, way.owed)
    if way.opener is not None and is_split_rest(way.opener, rest, edition):
        yield Reckoning(way.opener.end, (rest,) if stops else (), rest, False)
    if not way.owed:
        opened = (*way.left_out, rest) if stops else way.left_out
        yield Reckoning(way.since, opened, rest, edition.both_stop_clock)


def _work_until(log: Log, ways: Ways, start: int, end: int) -> Ways:
    after: Ways = {}
    for way, (over, stints) in ways.items():
        stint = Stint(start, end, way.since, way.left_out)
        after[way] = (over + _count_over(log, stint), (*stints, stint))
    return after


def _count_over(log: Log, stint: Stint) -> int:
    over = 0
    for drive in list_starting(log.drives, stint.start, stint.end):
        left = min(
            DRIVE_MINUTES - count_within(log.drives, stint.since, drive.start),
            WINDOW_MINUTES - stint.count_passed(drive.start),
        )
        over += max(0, drive.minutes - max(0, left))
    return over
