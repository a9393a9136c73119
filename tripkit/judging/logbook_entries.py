"""A driver's log as a checker reads it: entries, faults, and the arithmetic of both.

A log says what one driver does and when. Its gaps are off duty. Before its first entry and after
its last one the driver is at rest, for as long as any rule may ask. Times are aware datetimes, or
whole minutes where minute 0 is a Monday 00:00; one log holds one of the two. Days and weeks are
those on one clock, the first entry's unless another is named (the home terminal of 49 CFR 395.2;
the week of Regulation (EC) No 561/2006 Art. 4(i) runs from Monday 00:00 to Sunday 24:00). A fault
is told in the time that the entry it lies in, or the last before it, is written in.

This room and the `logbook_*` rooms above it never ask `driving`, which makes the timetables.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import cached_property

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, Value, state

DRIVING, ON_DUTY, OFF_DUTY, SLEEPER = "driving", "on duty", "off duty", "sleeper"
KINDS = (DRIVING, ON_DUTY, OFF_DUTY, SLEEPER)
WORK = (DRIVING, ON_DUTY)
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
HOUR = 60
DAY = 24 * HOUR
AT_REST_MINUTES = 60 * DAY
"""How long a driver is taken to rest before and after the log [min]."""

Moment = datetime | int


@dataclass(frozen=True)
class Duty:
    """One entry of a log: what the driver does from `start` to `end`, of which `end` is no part.

    Raises `BadValue` for an unknown kind, a time without an offset, or an end before the start.
    """

    kind: str
    start: Moment
    end: Moment

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise BadValue(state("values.no-kind-of-duty-kinds", kind=self.kind, kinds=KINDS))
        check_times(self.kind, self.start, self.end)
        if isinstance(self.start, datetime) != isinstance(self.end, datetime):
            fact = state(
                "values.from-to-mixes-minutes-and", kind=self.kind, start=self.start, end=self.end
            )
            raise BadValue(fact)


def check_times(kind: str, start: Moment, end: Moment) -> None:
    """An entry ends no earlier than it starts; raises `BadValue`."""
    if count_minutes(end) < count_minutes(start):
        fact = state("values.ends-at-before-it-starts", kind=kind, end=end, start=start)
        raise BadValue(fact)


@dataclass(frozen=True)
class LogFault:
    """One rule that a log breaks: its id, what is so, when it begins, and the source.

    `start` is the first moment that is not lawful any more.
    """

    rule: str
    fact: Fact
    start: Moment
    source: Fact


@dataclass(frozen=True, order=True)
class Span:
    """A stretch of one kind, in minutes; `sleeper` is its longest time in the berth [min]."""

    start: int
    end: int
    kind: str
    sleeper: int = 0

    @property
    def minutes(self) -> int:
        """How long it is [min]."""
        return self.end - self.start


def count_minutes(moment: Moment) -> int:
    """A moment in whole minutes, nearest first; raises `BadValue` where it has no offset.

    >>> count_minutes(datetime(1970, 1, 1, 1, 30, tzinfo=UTC)), count_minutes(90)
    (90, 90)
    """
    if not isinstance(moment, datetime):
        return moment
    if moment.utcoffset() is None:
        raise BadValue(state("values.has-no-offset-from-utc", moment=moment))
    return round((moment - EPOCH) / timedelta(minutes=1))


@dataclass(frozen=True)
class Log:
    """A log without gaps and overlaps, in minutes, with rest before and after it.

    `clock` is None where the log is written in minutes; `zones` says from which minute on its times
    are written in which zone. `overlaps` are the moments [min] at which
    an entry begins before the last one ended; the entry that works the driver harder counts.
    """

    spans: tuple[Span, ...]
    clock: tzinfo | None
    overlaps: tuple[int, ...]
    zones: tuple[tuple[int, tzinfo], ...] = ()

    @cached_property
    def drives(self) -> tuple[Span, ...]:
        """Driving, each stretch as long as nothing else lies in it."""
        return tuple(span for span in self.spans if span.kind == DRIVING)

    @cached_property
    def duties(self) -> tuple[Span, ...]:
        """Work of either kind, each stretch as long as no rest lies in it."""
        return tuple(_merge(self.spans, lambda kind: kind in WORK))

    @cached_property
    def rests(self) -> tuple[Span, ...]:
        """Rest, off duty or in the berth, each stretch as long as no work lies in it."""
        return tuple(_merge(self.spans, lambda kind: kind not in WORK))

    @cached_property
    def halts(self) -> tuple[Span, ...]:
        """Anything but driving, each stretch as long as no driving lies in it."""
        return tuple(_merge(self.spans, lambda kind: kind != DRIVING))

    def find_day(self, minute: int) -> int:
        """The number of the day a minute lies in, 1 being a Monday."""
        if self.clock is None:
            return 1 + minute // DAY
        return (EPOCH + timedelta(minutes=minute)).astimezone(self.clock).toordinal()

    def find_week(self, minute: int) -> int:
        """The number of the week a minute lies in, Monday to Sunday."""
        return (self.find_day(minute) - 1) // 7

    def start_day(self, day: int) -> int:
        """The minute at which a day of that number begins."""
        if self.clock is None:
            return (day - 1) * DAY
        return count_minutes(datetime.combine(date.fromordinal(day), time(), self.clock))

    def cut_at_days(self, span: Span, days: int = 1) -> Iterator[Span]:
        """A stretch cut where days begin, or weeks with `days` 7."""
        start = span.start
        while start < span.end:
            after = ((self.find_day(start) - 1) // days + 1) * days + 1
            end = min(span.end, self.start_day(after))
            yield Span(start, end, span.kind)
            start = end

    def name_moment(self, minute: int) -> Value:
        """A minute as the log would write it: a time, or a numbered day and its clock."""
        if self.clock is None:
            clock = f"{minute % DAY // HOUR:02d}:{minute % HOUR:02d}"
            return state("logbook.minute", day=1 + minute // DAY, clock=clock)
        return self.find_moment(minute)

    def find_moment(self, minute: int) -> Moment:
        """A minute as the kind of time the log is written in."""
        if self.clock is None:
            return minute
        begun = bisect_right(self.zones, minute, key=lambda zone: zone[0])
        zone = self.zones[max(0, begun - 1)][1]
        return (EPOCH + timedelta(minutes=minute)).astimezone(zone)

    def make_fault(self, rule: str, fact: Fact, minute: int, source: Fact) -> LogFault:
        """A fault that begins at a minute."""
        return LogFault(rule, fact, self.find_moment(minute), source)


def count_within(spans: Sequence[Span], start: int, end: int) -> int:
    """How much of some stretches, in order and apart, lies between two minutes [min].

    >>> count_within([Span(0, 60, DRIVING), Span(90, 150, DRIVING)], 30, 100)
    40
    """
    total = 0
    for number in range(bisect_right(spans, start, key=lambda span: span.end), len(spans)):
        span = spans[number]
        if span.start >= end:
            break
        total += min(span.end, end) - max(span.start, start)
    return total


def list_starting(spans: Sequence[Span], start: int, end: int) -> Sequence[Span]:
    """The stretches, of some in order, that begin at one minute or later and before another."""
    first = bisect_left(spans, start, key=lambda span: span.start)
    return spans[first : bisect_left(spans, end, key=lambda span: span.start)]


def open_log(duties: Iterable[Duty], clock: tzinfo | None = None) -> Log:
    """Entries in any order become a log, its days those on a clock (None: the first entry's).

    Raises `BadValue` where entries mix minutes and times.
    """
    ordered = sorted(
        (count_minutes(d.start), count_minutes(d.end), KINDS.index(d.kind), number, d)
        for number, d in enumerate(duties)
    )
    if not ordered:
        return Log((), None, ())
    if len({isinstance(entry[4].start, datetime) for entry in ordered}) > 1:
        raise BadValue(state("values.log-holds-minutes-or-times"))
    overlaps, last = [], ordered[0][0]
    for start, end, *_ in ordered:
        if start < last and end > start:
            overlaps.append(start)
        last = max(last, end)
    cuts = sorted({moment for entry in ordered for moment in entry[:2]})
    begin, finish = cuts[0], cuts[-1]
    pieces = [Span(begin - AT_REST_MINUTES, begin, OFF_DUTY)]
    running: list[tuple[int, int]] = []
    waiting = iter(ordered)
    entry = next(waiting, None)
    for start, end in zip(cuts, cuts[1:], strict=False):
        while entry is not None and entry[0] <= start:
            running.append((entry[1], entry[2]))
            entry = next(waiting, None)
        running = [(until, kind) for until, kind in running if until > start]
        kind = KINDS[min((kind for _, kind in running), default=KINDS.index(OFF_DUTY))]
        pieces.append(Span(start, end, kind))
    pieces.append(Span(finish, finish + AT_REST_MINUTES, OFF_DUTY))
    zones = tuple(
        (entry[0], moment.tzinfo)
        for entry in ordered
        if isinstance(moment := entry[4].start, datetime) and moment.tzinfo is not None
    )
    days_on = (clock or zones[0][1]) if zones else None
    return Log(tuple(_join(pieces)), days_on, tuple(overlaps), zones)


def _join(pieces: Iterable[Span]) -> Iterator[Span]:
    held: Span | None = None
    for piece in pieces:
        if held is not None and held.kind == piece.kind:
            held = Span(held.start, piece.end, held.kind)
        else:
            if held is not None:
                yield held
            held = piece
    if held is not None:
        yield held


def _merge(spans: Iterable[Span], wanted: Callable[[str], bool]) -> Iterator[Span]:
    held: Span | None = None
    for span in spans:
        if not wanted(span.kind):
            continue
        berth = span.minutes if span.kind == SLEEPER else 0
        if held is not None and held.end == span.start:
            held = Span(held.start, span.end, held.kind, max(held.sleeper, berth))
        else:
            if held is not None:
                yield held
            held = Span(span.start, span.end, span.kind, berth)
    if held is not None:
        yield held
