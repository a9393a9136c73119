"""The days of a drive, to the minute: starts, halts, nights, and what the crew has behind it.

A stage is what one day holds of one drive. The first of a drive may follow another drive of the
same crew on that day, and the last be followed by one: hours of driving and of duty add up, and
time between two drives is a break where it is long enough. Loading and unloading are duty; in the
EU they are no break, and the day ends after them. All is counted in whole minutes of UTC.

**Source:** see `driving/rules`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from math import ceil
from typing import NamedTuple
from zoneinfo import ZoneInfo

from tripkit.driving.day import (
    DAY,
    EARLY_BREAK_MINUTES,
    HOUR,
    LATE_BREAK_MINUTES,
    STEP_MINUTES,
    Halts,
    Terms,
    bound_length,
    find_longest_day,
    list_ways,
    plan_day,
    spread_halts,
)
from tripkit.driving.rules import DrivingRules

DEPART_HOUR = 7
# When whoever could also leave earlier should be there. (Common practice, no source.)
EVENING_HOUR = 21
LONGER_TRIES = 4
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Road:
    """A drive as asked for: minutes, zones, when the stables take horses [minutes of the day].

    The wheels do not turn before `ready`, and it is there by `due`, local minutes at each end.
    """

    minutes: int
    from_zone: str
    to_zone: str
    opens: int
    closes: int
    ready: int = 0
    due: int = DAY

    def name_zone(self, driven: int) -> str:
        """The zone whose time holds on the way: that of the nearer end."""
        return self.from_zone if 2 * driven < self.minutes else self.to_zone


@dataclass(frozen=True)
class Stage:
    """What a day holds of a drive: start and end [minutes of UTC since 1970], driving, halts.

    `since` is when the crew came on duty that day; loading before it and unloading after it [min].
    """

    start: int
    end: int
    driving: int
    halts: Halts
    terms: Terms
    since: int
    loading: int = 0
    unloading: int = 0


class Seat(NamedTuple):
    """One driver of a crew on one day [min]: driven, driven since his break, rest under way.

    `begun`: he has had the first part of a break in two.
    """

    driven: int = 0
    turn: int = 0
    begun: bool = False
    rested: int = 0


class Duty(NamedTuple):
    """What a crew has behind it on a day: on duty since, wheels still since, other work [min]."""

    since: int
    until: int
    unloading: int
    work: int
    seats: tuple[Seat, ...]


Drive = tuple[Stage, ...]
GoesOn = Callable[[int, int], bool]


def _stops_there(_since: int, _end: int) -> bool:
    return True


@lru_cache(maxsize=256)
def _find_zone(name: str) -> ZoneInfo:
    return ZoneInfo(name)


@lru_cache(maxsize=1 << 16)
def read_clock(zone: str, day: int, minutes: int) -> int:
    """A time of day in a zone in minutes of UTC since 1970; a time that a change skips is later."""
    over, minutes = divmod(minutes, DAY)
    local = datetime.combine(
        date.fromordinal(day + over), time(minutes // HOUR, minutes % HOUR), _find_zone(zone)
    )
    return int((local - EPOCH) // timedelta(minutes=1))


def name_moment(minute: int, zone: str) -> datetime:
    """A minute of UTC since 1970 as the local time of a zone."""
    return (EPOCH + timedelta(minutes=minute)).astimezone(_find_zone(zone))


def list_drives(
    road: Road,
    depart: int,
    ways: Sequence[Terms],
    rules: DrivingRules,
    days: int | None = None,
    duty: Duty | None = None,
    goes_on: GoesOn | None = None,
) -> Iterator[tuple[Drive, Duty]]:
    """The lawful timetables of a drive that leaves on a day, the most usual first.

    Of exactly so many calendar days where asked. `duty` is what the crew has behind it on the day
    of departure; each answer has what it has behind it on that of arrival. `goes_on` says of the
    minutes at which the crew came on duty and arrived whether what follows can be in time then.
    """
    for numbers in _list_tries(road, ways, rules, days):
        for terms in ways:
            if len(numbers) <= terms.most_days:
                for stages, after in _list_days(
                    road, depart, numbers, terms, duty, goes_on or _stops_there
                ):
                    if _keeps_weekly_rests(stages, rules):
                        yield stages, after


def _list_tries(
    road: Road, ways: Sequence[Terms], rules: DrivingRules, days: int | None
) -> list[list[int]]:
    """The numbers of the days on which a drive may be on the road, the fewest first."""
    if days == 1:
        return [[0]]
    window = ways[0].arrive_until - ways[0].load_from - ways[0].loading
    full, last = (
        max(find_longest_day(terms, min(terms.span, max(0, window)), final) for terms in ways)
        for final in (False, True)
    )
    if full <= 0 < road.minutes:
        return []
    offsets = _list_offsets(road.minutes, full, last, rules)
    least = next(offsets)
    if days is not None and days < least[-1] + 1:
        return []
    if days is None:
        # Hours of the day, and zones, may leave less of a day than the horses and the driver do.
        return [least, *(next(offsets) for _ in range(3 + len(least)))]
    while least[-1] + 1 < days:
        longer = next(offsets)
        if longer[-1] + 1 > days:
            break
        least = longer
    return [[*least[:-1], days - 1]]


def _keeps_weekly_rests(stages: Drive, rules: DrivingRules) -> bool:
    """Whether each longer rest begins soon enough: zones make six days longer than they look."""
    if not rules.first_days:
        return True
    since = stages[0].start
    for stage, later in zip(stages, stages[1:], strict=False):
        if later.start - stage.end >= rules.pause_hours * HOUR:
            since = later.start
        elif later.end - since > rules.first_days * DAY:
            return False
    return True


def _list_offsets(minutes: int, full: int, last: int, rules: DrivingRules) -> Iterator[list[int]]:
    """The numbers of the days on which a drive is on the road, for ever more days of driving."""
    count = 1 + ceil(max(0, minutes - last) / max(full, 1))
    cycle = max(1, int(rules.cycle_hours * HOUR // max(full, 1)))
    if rules.cycle_days:
        cycle = min(cycle, rules.cycle_days)
    while True:
        pause = 0 if _is_one_week(minutes, count, rules) else rules.pause_days
        yield [number + pause * (number // cycle) for number in range(count)]
        count += 1


def _is_one_week(minutes: int, count: int, rules: DrivingRules) -> bool:
    """Whether a drive of so many minutes on so many days asks for no longer rest on the way."""
    if rules.first_days:
        return count <= rules.first_days
    return not rules.cycle_hours or minutes <= rules.cycle_hours * HOUR


def _list_days(
    road: Road,
    depart: int,
    numbers: list[int],
    terms: Terms,
    duty: Duty | None,
    goes_on: GoesOn,
) -> Iterator[tuple[Drive, Duty]]:
    """A drive over the days of those numbers after the departure.

    The days before the last are full; as alike as may be where more days were asked for.
    """
    if len(numbers) == 1:
        yield from _list_last_days(road, depart, road.minutes, terms, (), 0, duty, goes_on)
        return
    end, gap = depart + numbers[-1], numbers[-1] - numbers[-2]
    for early in (False, True):
        full = _drive_days(road, depart, numbers[:-1], terms, None, duty, early)
        if full is None:
            return
        least = road.minutes - sum(stage.driving for stage in full)
        if least > 0:
            yield from _list_last_days(road, end, least, terms, full, gap, None, goes_on)
            continue
        share = road.minutes // len(numbers)
        while share > 0 or not road.minutes:
            before = _drive_days(
                road, depart, numbers[:-1], terms, road.minutes - share, duty, early
            )
            if before:
                left = road.minutes - sum(stage.driving for stage in before)
                yield from _list_last_days(road, end, left, terms, before, gap, None, goes_on)
            if not share:
                break
            share //= 2


def _drive_days(
    road: Road,
    depart: int,
    numbers: list[int],
    terms: Terms,
    aim: int | None,
    duty: Duty | None,
    early: bool,
) -> Drive | None:
    """The days of a drive before its last: as full as may be, or alike, for so much driving.

    They begin at the usual hour, or as early as may be.
    """
    stages: list[Stage] = []
    driven = 0
    for place, number in enumerate(numbers):
        day = depart + number
        zone = road.name_zone(driven) if stages else road.from_zone
        gap = number - numbers[place - 1] if place else 0
        earliest = find_earliest_start(road, zone, day, terms, stages, gap)
        # The evening's zone depends on how far the day goes: the tighter one, where it may be both.
        reach = driven + terms.span
        zones = {road.name_zone(driven), road.name_zone(reach)}
        until = min(read_clock(name, day, terms.arrive_until) for name in zones)
        behind = duty if not place else None
        loading = 0 if place else terms.loading
        if behind is not None:
            found = _fill_day(behind, earliest, until, terms, loading)
            if found is None:
                return None
            stages.append(found)
            driven += found.driving
            continue
        most = find_longest_day(terms, min(terms.span, until - earliest), False)
        part = most
        if aim is not None:
            part = min(most, ceil((aim - driven) / (len(numbers) - place)))
        if most <= 0 and road.minutes:
            return None
        length, halts = plan_day(part, terms)
        start = earliest if early else max(earliest, read_clock(zone, day, DEPART_HOUR * HOUR))
        if start + length > until:
            start = max(earliest, _round_down(until - length))
        stages.append(Stage(start, start + length, part, halts, terms, start - loading, loading))
        driven += part
    return tuple(stages)


def _fill_day(duty: Duty, earliest: int, until: int, terms: Terms, loading: int) -> Stage | None:
    """The most driving that a day holds on which the crew has driven already."""
    best: Stage | None = None
    for start in _list_later_starts(duty, earliest, loading, terms):
        low, high = 0, max(0, until - start)
        while low < high:
            middle = (low + high + 1) // 2
            stage = _try_stage(start, until, middle, terms, duty, loading, 0, long=False)
            if stage is None:
                high = middle - 1
            else:
                low = middle
                if best is None or middle > best.driving:
                    best = stage[0]
    return best


def _list_later_starts(duty: Duty, earliest: int, loading: int, terms: Terms) -> list[int]:
    """When a crew may set out again: at once, or after so long that the time is a break."""
    at_once = duty.until + duty.unloading + loading
    breaks = (0, EARLY_BREAK_MINUTES, LATE_BREAK_MINUTES, terms.break_minutes)
    busy = at_once if terms.work_counts else duty.until
    return sorted({_round_up(max(earliest, at_once, busy + minutes)) for minutes in breaks})


def _try_stage(
    start: int,
    until: int,
    driving: int,
    terms: Terms,
    duty: Duty | None,
    loading: int,
    unloading: int,
    *,
    long: bool,
    opens: int | None = None,
) -> tuple[Stage, Duty] | None:
    return next(
        _list_stages_at(
            start, until, driving, terms, duty, loading, unloading, long=long, opens=opens
        ),
        None,
    )


def _list_stages_at(
    start: int,
    until: int,
    driving: int,
    terms: Terms,
    duty: Duty | None,
    loading: int,
    unloading: int,
    *,
    long: bool,
    opens: int | None = None,
) -> Iterator[tuple[Stage, Duty]]:
    """The lawful ways to drive so much from a minute on, shortest first."""
    since = start - loading if duty is None else duty.since
    seat = _rest_between(duty, start, loading, terms)[0]
    most = min(until, start + terms.span)
    ends = since + terms.duty - (unloading if terms.work_counts else 0)
    for way in list_ways(driving, terms, seat.turn, seat.begun):
        end = start + way.length
        if end > most or end > ends or (opens is not None and end < opens):
            continue
        stage = Stage(start, end, driving, way.halts, terms, since, loading, unloading)
        after = drive_on(duty, stage)
        if after is not None and _keeps_shares(after, terms, long):
            yield stage, after


def _rest_between(duty: Duty | None, start: int, loading: int, terms: Terms) -> tuple[Seat, ...]:
    """The seats of a crew when it sets out (again)."""
    if duty is None:
        return (Seat(), Seat()) if terms.crew else (Seat(),)
    free = start - duty.until
    seats = duty.seats
    if terms.work_counts:
        free -= duty.unloading + loading
        if duty.unloading:
            seats = tuple(_take_break(seat, terms) for seat in seats)
    rested = (seat._replace(rested=seat.rested + free) for seat in seats)
    # The one at the wheel next; the other one's rest goes on, but for work.
    return tuple(
        _take_break(seat, terms) if loading or not place else seat
        for place, seat in enumerate(rested)
    )


def _take_break(seat: Seat, terms: Terms) -> Seat:
    """Rest that ends is a break where it was long enough, or the first part of one."""
    driven, turn, begun, rested = seat
    if rested >= terms.break_minutes or (
        terms.split_breaks and begun and rested >= LATE_BREAK_MINUTES
    ):
        return Seat(driven)
    begun = begun or (terms.split_breaks and rested >= EARLY_BREAK_MINUTES)
    return Seat(driven, turn, begun)


def drive_on(duty: Duty | None, stage: Stage) -> Duty | None:
    """What a crew has behind it after one more stage; None where a driver's break comes too late.

    Two drivers change at each halt, and the first one drives first again in every drive.
    """
    terms = stage.terms
    seats = list(_rest_between(duty, stage.start, stage.loading, terms))
    before = 0
    for number, (driven, minutes) in enumerate((*stage.halts, (stage.driving, 0))):
        for place, seat in enumerate(seats):
            run = driven - before
            if number % len(seats) == place:
                fresh = _take_break(seat, terms)
                turn = fresh.turn + run
                if turn > terms.turn:
                    return None
                seats[place] = Seat(fresh.driven + run, turn, fresh.begun, minutes)
            else:
                seats[place] = seat._replace(rested=seat.rested + run + minutes)
        before = driven
    work = (duty.work + duty.unloading if duty else 0) + stage.loading
    return Duty(stage.since, stage.end, stage.unloading, work, tuple(seats))


def _keeps_shares(duty: Duty, terms: Terms, long: bool) -> bool:
    """Whether nobody drives or works too long on a day."""
    driven = [seat.driven for seat in duty.seats]
    share = terms.long_share if long else terms.share
    return max(driven) <= share and keeps_hours(sum(driven), duty.work + duty.unloading, terms)


def keeps_hours(driving: int, work: int, terms: Terms) -> bool:
    """Whether a crew may drive so much on a day, and do so much other work."""
    most = min(terms.driving, terms.long_share * (2 if terms.crew else 1))
    return driving <= most and driving + work <= terms.work


def _list_last_days(
    road: Road,
    day: int,
    driving: int,
    terms: Terms,
    before: Drive,
    gap: int,
    duty: Duty | None,
    goes_on: GoesOn,
) -> Iterator[tuple[Drive, Duty]]:
    """The day of arrival: at the usual hour, else as early or late as the stables ask."""
    zone = road.name_zone(road.minutes - driving) if before else road.from_zone
    earliest = find_earliest_start(road, zone, day, terms, before, gap)
    closes = find_latest_end(road, day, terms)
    opens = read_clock(road.to_zone, day, road.opens)
    # A long day counts where the leg is over within one week: later weeks have no hour to spare.
    long = len(before) < terms.week_days
    usual = read_clock(zone, day, DEPART_HOUR * HOUR)
    evening = closes if terms.loading else read_clock(road.to_zone, day, EVENING_HOUR * HOUR)
    loading = 0 if before else terms.loading
    if opens > closes:
        return
    length, shortest = plan_day(driving, terms)[0], bound_length(driving, terms)
    starts: list[int] = []
    if duty is None:
        first = max(earliest, usual)
        if first + length > closes:
            first = max(earliest, _round_down(closes - length))
        nearest = range(_round_up(earliest), closes - length + 1, STEP_MINUTES)
        starts = sorted(
            nearest,
            key=lambda s: 2 * max(0, s + length - evening) + abs(s - usual),
        )
        if before:
            starts.insert(0, first)
        if not any(start + length >= opens for start in starts):
            starts.append(max(earliest, opens - length))
    else:
        starts = _list_later_starts(duty, earliest, loading, terms)
        starts += _list_later_starts(duty, max(earliest, opens - length), loading, terms)
    for start in starts:
        if not goes_on(start - loading if duty is None else duty.since, start + shortest):
            continue
        for stage, after in _list_stages_at(
            start, closes, driving, terms, duty, loading, terms.loading, long=long, opens=opens
        ):
            yield (*before, stage), after


def find_latest_end(road: Road, day: int, terms: Terms) -> int:
    """When a drive is there at the latest on its last day."""
    return read_clock(road.to_zone, day, min(road.closes, road.due, terms.arrive_until))


def find_earliest_start(
    road: Road, zone: str, day: int, terms: Terms, before: Sequence[Stage] = (), gap: int = 0
) -> int:
    """When a day may begin at the earliest, so many days after the one before it."""
    if not before:
        loads = read_clock(zone, day, terms.load_from) + terms.loading
        return _round_up(max(loads, read_clock(zone, day, road.ready)))
    earliest = read_clock(zone, day, terms.load_from)
    rest = max(terms.rest, terms.pause) if gap > 1 else terms.rest
    last = before[-1]
    return max(earliest, last.end + rest, last.start + terms.start_after)


def _round_down(minute: int) -> int:
    return minute - minute % STEP_MINUTES


def _round_up(minute: int) -> int:
    return -_round_down(-minute)


def spread_stages(stages: Sequence[Stage]) -> list[Stage]:
    """The halts of a crew's days evenly over each drive, where all breaks still come in time."""
    spread: list[Stage] = []
    duty: Duty | None = None
    for number, stage in enumerate(stages):
        if not spread or spread[-1].since != stage.since:
            duty = None
        seat = _rest_between(duty, stage.start, stage.loading, stage.terms)[0]
        even = spread_halts(stage.driving, stage.halts, stage.terms, seat.turn, seat.begun)
        moved = replace(stage, halts=even)
        rest = [later for later in stages[number + 1 :] if later.since == stage.since]
        chosen = moved if _keeps_day(duty, [moved, *rest]) else stage
        spread.append(chosen)
        duty = drive_on(duty, chosen)
    return spread


def _keeps_day(duty: Duty | None, stages: Sequence[Stage]) -> bool:
    for stage in stages:
        duty = drive_on(duty, stage)
        if duty is None or not _keeps_shares(duty, stage.terms, True):
            return False
    return True
