"""Which event of a new plan is which of those that a reader was shown before.

What is over stays as it was shown, whatever the new plan says of it. Of the rest, what did not
move keeps its uid, even where something before it fell away.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from tripkit.publishing.contents import Shown
from tripkit.publishing.events import FeedEvent
from tripkit.publishing.zones import find_zone
from tripkit.yard.places import HOME
from tripkit.yard.yard import TODAY_WRITTEN, Yard

SAME_WEEK = timedelta(days=7)
"""How near two like events of the past are one, told a little differently: an assumption."""


@dataclass(frozen=True)
class Moment:
    """Now: by the clock and by the yard's day of planning, whichever is later.

    A day written in yard.toml stands for the clock's, so that a season of another year can be
    tried. `clock` is aware; `home` is the zone of an event that says none.
    """

    clock: datetime
    today: date
    home: ZoneInfo

    @classmethod
    def find(cls, yard: Yard, clock: datetime) -> Moment:
        """Now for a yard."""
        today, home = yard.day_of_planning, find_zone(yard, HOME)
        local = clock.astimezone(home)
        if yard.today_from == TODAY_WRITTEN and local.date() > today:
            clock = datetime.combine(today, local.timetz())
        return cls(clock, today, home)

    def is_over(self, event: FeedEvent) -> bool:
        """Whether an event has ended, in its own time zone."""
        if isinstance(event.end, datetime):
            return event.end <= self.clock or event.end.date() < self.today
        return event.end <= self.find_today(event)

    def has_begun(self, event: FeedEvent) -> bool:
        """Whether an event has begun, in its own time zone."""
        if isinstance(event.start, datetime):
            return event.start <= self.clock or event.start.date() < self.today
        return event.start <= self.find_today(event)

    def find_today(self, event: FeedEvent) -> date:
        """The day that it is where an event takes place."""
        zone = ZoneInfo(event.zone) if event.zone else self.home
        return max(self.clock.astimezone(zone).date(), self.today)


@dataclass(frozen=True)
class Match:
    """What became of one event: without `before` it is new, without `after` it fell away."""

    before: Shown | None
    after: FeedEvent | None


Pair = tuple[Shown, FeedEvent]
Key = Callable[[FeedEvent], Hashable]


def match_events(
    shown: Iterable[Shown], planned: Iterable[FeedEvent], now: Moment
) -> tuple[Match, ...]:
    """Each event that was shown finds itself in a new plan; what the plan has besides is new.

    What is over is left out: it stays as it is. What is under way keeps uid and start; where the
    plan has it no more, it ends with today. What the plan says of the past is new only where
    nothing that was shown stands for it. A number within a kind counts from the season's first
    day over all the plan, and goes on where another event bears it already.
    """
    known = sorted(shown, key=lambda s: s.event.sort_key)
    left = sorted(planned, key=lambda event: event.sort_key)
    over = [s for s in known if s.stands and now.is_over(s.event)]
    under_way = [
        s for s in known if s.stands and now.has_begun(s.event) and not now.is_over(s.event)
    ]
    coming = [s for s in known if s.stands and not now.has_begun(s.event)]
    fallen = [s for s in known if not s.stands and not now.is_over(s.event)]

    going_on = list(under_way)
    pairs = _pair(going_on, left, _find_start)
    pairs += _pair_overlapping(going_on, left)
    pairs += _pair(going_on, left, lambda event: (event.kind, event.subject, event.start))
    matches = [Match(s, _go_on(s.event, event)) for s, event in pairs]
    matches += [Match(s, _break_off(s.event, now)) for s in going_on]

    left = _drop_told([s.event for s in (*over, *under_way)], left, now)
    left = _keep_remainders([s.event for s in over], left, now)
    past = [event for event in left if now.is_over(event)]
    left = [event for event in left if not now.is_over(event)]

    pairs = []
    for key in (_find_time, _find_start):
        pairs += _pair(coming, left, key)
        pairs += _pair(fallen, left, key)
    # What was cancelled and should have begun comes back at its own time only.
    fallen = [s for s in fallen if not now.has_begun(s.event)]
    pairs += _pair(coming, left, lambda event: (*event.group, event.summary))
    pairs += _pair(coming, left, _find_group)
    pairs += _pair(fallen, left, _find_group)
    matches += [Match(s, _keep_name(s.event, event)) for s, event in pairs]
    matches += [Match(s, None) for s in coming]
    matches += [Match(None, e) for e in _number_new([s.event for s in known], [*past, *left])]
    return tuple(matches)


def _pair(shown: list[Shown], planned: list[FeedEvent], key: Key) -> list[Pair]:
    """Events with the same key belong together, in order of time; what is paired is taken out."""
    waiting: dict[Hashable, deque[Shown]] = {}
    for one in shown:
        waiting.setdefault(key(one.event), deque()).append(one)
    pairs, left = [], []
    for event in planned:
        found = waiting.get(key(event))
        if found:
            pairs.append((found.popleft(), event))
        else:
            left.append(event)
    planned[:] = left
    _take_out(shown, pairs)
    return pairs


def _pair_overlapping(shown: list[Shown], planned: list[FeedEvent]) -> list[Pair]:
    """Events of one group that share some time belong together; what is paired is taken out."""
    groups = _gather(planned, _find_group)
    pairs: list[Pair] = []
    for one in shown:
        group = groups.get(one.event.group, [])
        found = next((event for event in group if _overlap(one.event, event)), None)
        if found is not None:
            group.remove(found)
            planned.remove(found)
            pairs.append((one, found))
    _take_out(shown, pairs)
    return pairs


def _take_out(shown: list[Shown], pairs: Iterable[Pair]) -> None:
    paired = {one.kept.uid for one, _ in pairs}
    shown[:] = [one for one in shown if one.kept.uid not in paired]


def _keep_name(before: FeedEvent, after: FeedEvent) -> FeedEvent:
    """An event as it is planned now, under the name that it bears already."""
    return replace(
        after,
        yard=before.yard,
        topic=before.topic,
        number=before.number,
        first_names=before.first_names,
    )


def _go_on(before: FeedEvent, after: FeedEvent) -> FeedEvent:
    """What is under way began when it began, and ends as the plan says now."""
    if after.end <= before.start:
        return before
    return replace(_keep_name(before, after), start=before.start)


def _break_off(event: FeedEvent, now: Moment) -> FeedEvent:
    """What is under way and planned no more lasts until tonight; a drive is on the road."""
    if event.is_timed:
        return event
    return replace(event, end=min(event.end, now.find_today(event) + timedelta(days=1)))


def _drop_told(
    told: Sequence[FeedEvent], planned: Sequence[FeedEvent], now: Moment
) -> list[FeedEvent]:
    """What the plan says of the past falls away where something that was shown stands for it.

    That is what the same horse or lorry did at the same time; else what it did for the same
    show within a week, each counted once.
    """
    by_work = _gather(told, lambda event: (event.kind, event.subject))
    used: set[str] = set()
    doubled: set[str] = set()
    past = [event for event in planned if now.is_over(event)]
    for event in past:
        at_the_time = [
            e for e in by_work.get((event.kind, event.subject), ()) if _overlap(e, event)
        ]
        if at_the_time:
            doubled.add(event.uid)
            used.update(e.uid for e in at_the_time)
    by_group = _gather(told, _find_group)
    for event in past:
        near = (
            e.uid
            for e in by_group.get(event.group, ())
            if e.uid not in used and abs(e.start - event.start) <= SAME_WEEK
        )
        if event.uid not in doubled and (found := next(near, "")):
            doubled.add(event.uid)
            used.add(found)
    return [event for event in planned if event.uid not in doubled]


def _keep_remainders(
    over: Sequence[FeedEvent], planned: Sequence[FeedEvent], now: Moment
) -> list[FeedEvent]:
    """Of what lasts longer than was shown until its end, the rest is an event of its own."""
    groups = _gather(over, _find_group)
    left = []
    for event in planned:
        if now.has_begun(event) and not now.is_over(event):
            ends = [e.end for e in groups.get(event.group, ()) if _overlap(e, event)]
            event = replace(event, start=max([event.start, *ends]))
        left.append(event)
    return left


def _number_new(known: Sequence[FeedEvent], new: Iterable[FeedEvent]) -> Iterator[FeedEvent]:
    groups = _gather(known, _find_group)
    given = {group: {event.number for event in events} for group, events in groups.items()}
    for event in new:
        numbers = given.setdefault(event.group, set())
        number = max(numbers) + 1 if event.number in numbers else event.number
        numbers.add(number)
        yield replace(event, number=number)


def _gather(events: Iterable[FeedEvent], key: Key) -> dict[Hashable, list[FeedEvent]]:
    found: dict[Hashable, list[FeedEvent]] = {}
    for event in events:
        found.setdefault(key(event), []).append(event)
    return found


def _overlap(left: FeedEvent, right: FeedEvent) -> bool:
    return left.start < right.end and right.start < left.end


def _find_group(event: FeedEvent) -> Hashable:
    return event.group


def _find_start(event: FeedEvent) -> Hashable:
    return (*event.group, event.start)


def _find_time(event: FeedEvent) -> Hashable:
    return (*event.group, event.start, event.end)
