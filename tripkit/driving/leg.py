"""A leg's timetable: when it leaves, where it halts, how many days it takes, when it arrives.

A day on the road leaves at `DEPART_HOUR` local time where that fits, else earlier or later on the
same day. Nobody loads before the yard's `load_from_hour` or arrives after its `arrive_until_hour`,
and the last day ends in the hours in which the stables take horses. The horses halt for water at
the latest every `water_every_hours` of driving, for half an hour; their day, from loading to
unloading, has `horse_hours_per_day`. An empty lorry keeps the same times: its driver has his break
where the horses would drink. Where one day is not enough, the crew and the horses stop for the
night, and another day follows; the days are as alike as may be. All is counted in whole minutes of
UTC, so that the night of a clock change is as long as it is.

What a day holds stands in `driving/day`, what a driver may do in `driving/rules`. Two drivers drive
in turn and change at each halt.

**Source:** see `driving/rules`; hours of the day: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from math import ceil
from zoneinfo import ZoneInfo

from tripkit.driving.day import (
    DAY,
    GRACE_HOURS,
    HOUR,
    STEP_MINUTES,
    Terms,
    find_longest_day,
    is_lawful,
    make_terms,
    plan_day,
    spread_halts,
)
from tripkit.driving.rules import DrivingRules
from tripkit.yard.circuit import Stop
from tripkit.yard.facts import Fact, state
from tripkit.yard.limits import Limits

DEPART_HOUR = 7
EVENING_DRIVE_HOURS = 4.0
LONGEST_HOURS = 2000.0
LONGER_TRIES = 4
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
EPOCH_DAY = EPOCH.toordinal()
ALL_DAY = (0, DAY)


@dataclass(frozen=True)
class Timetable:
    """When a leg departs and arrives (aware, local), and where it halts on the way."""

    depart: datetime
    arrive: datetime
    stops: tuple[Stop, ...]

    @property
    def nights(self) -> int:
        """Overnight stops on the way."""
        return sum(stop.kind == "overnight" for stop in self.stops)

    @property
    def days(self) -> int:
        """Calendar days from departure to arrival, local at each end [days]."""
        return (self.arrive.date() - self.depart.date()).days + 1


@dataclass(frozen=True)
class Earliest:
    """The earliest lawful timetable of a leg, None where there is none; `reason` where it is late.

    `reason` is None where the leg arrives in the days given.
    """

    timetable: Timetable | None
    reason: Fact | None = None


@dataclass(frozen=True)
class _Road:
    """A drive as asked for: minutes, zones, when the stables take horses [minutes of the day]."""

    minutes: int
    from_zone: str
    to_zone: str
    opens: int
    closes: int

    def name_zone(self, driven: int) -> str:
        """The zone whose time holds on the way: that of the nearer end."""
        return self.from_zone if 2 * driven < self.minutes else self.to_zone


@dataclass(frozen=True)
class _Stage:
    """One day on the road: start and end [minutes of UTC since 1970], driving and halts in it."""

    start: int
    end: int
    driving: int
    halts: tuple[tuple[int, int], ...]


def compute_day_hours(limits: Limits, rules: DrivingRules) -> float:
    """Hours of driving that fit into one day of one driver and the horses, halts taken off [h].

    >>> from tripkit.driving.rules import RULES
    >>> compute_day_hours(Limits(), RULES["us"])
    9.0
    """
    terms = make_terms(limits, rules, 1, False)
    return (
        find_longest_day(terms, min(terms.span, terms.arrive_until - terms.load_from), False) / HOUR
    )


def count_drive_days(hours: float, limits: Limits, rules: DrivingRules) -> int:
    """Days a drive of so many hours takes at the least, whatever the hours of the day [days].

    0 for no drive. `count_ride_days` counts those that a timetable has.

    >>> from tripkit.driving.rules import RULES
    >>> [count_drive_days(h, Limits(), RULES["us"]) for h in (0.0, 5.6, 9.0, 9.1)]
    [0, 1, 1, 2]
    """
    return ceil(hours / max(compute_day_hours(limits, rules), 1 / HOUR) - GRACE_HOURS)


def count_rider_days(hours: float, limits: Limits, rules: DrivingRules) -> int:
    """Clear days a rider needs between class days at two places so many hours apart [days].

    A drive of up to four hours fits into the evening after the last class; a longer one takes
    whole days. (Common practice, no source.)

    >>> from tripkit.driving.rules import RULES
    >>> [count_rider_days(h, Limits(), RULES["us"]) for h in (0.0, 4.0, 4.5, 9.5)]
    [0, 0, 1, 2]
    """
    if hours <= EVENING_DRIVE_HOURS:
        return 0
    return count_drive_days(hours, limits, rules)


@lru_cache(maxsize=2048)
def count_ride_days(
    hours: float,
    first: date,
    last: date,
    from_zone: str,
    to_zone: str,
    limits: Limits,
    rules: DrivingRules,
    *,
    drivers: int = 1,
    stables: tuple[int, int] = ALL_DAY,
) -> int | None:
    """Calendar days that a drive has on whichever day from first to last it leaves [days].

    A night in which clocks go on may ask for a day more than others: then every day is counted
    so, and `schedule_drive` with these `days` makes the drive arrive on the last of them. None
    where there is no lawful timetable. `stables` are the minutes after midnight between which
    the stables take horses.
    """
    minutes = _count_minutes(hours)
    if minutes is None:
        return None
    road = _Road(minutes, from_zone, to_zone, *stables)
    days = _count_days(road, first.toordinal(), limits, rules, drivers)
    turns = _list_turns(from_zone, to_zone, first, last)
    if days is None or not turns or (days == 1 and from_zone == to_zone):
        return days
    departs = {first.toordinal()}
    departs.update(day for turn in turns for day in range(turn - days - 1, turn + 2))
    found = [_count_days(road, depart, limits, rules, drivers) for depart in departs]
    counts = [count for count in found if count is not None]
    if len(counts) < len(departs):
        return None
    for most in range(max(counts), max(counts) + LONGER_TRIES):
        if all(_find_stages(road, d, limits, rules, drivers, most, True) for d in departs):
            return most
    return None


def schedule_drive(
    hours: float,
    day: date,
    from_zone: str,
    to_zone: str,
    limits: Limits,
    rules: DrivingRules,
    *,
    loaded: bool,
    name_town: Callable[[float], str] | None = None,
    drivers: int = 1,
    days: int | None = None,
    stables: tuple[int, int] = ALL_DAY,
    soon: bool = False,
) -> Timetable | None:
    """A drive of so many hours [h] leaving on a day becomes departure, halts and arrival.

    It takes the fewest calendar days that are lawful, or exactly `days`; None where there is no
    such timetable. The days are as alike as may be, or with `soon` full, so that the last is short.
    `stables` are the minutes after midnight, at the end, between which the stables take horses.
    `name_town(fraction)` names the town nearest to that part of the way. Halts of a loaded lorry
    are for water, of an empty one for the driver's break. Stops are told in the time of the nearer
    end.
    """
    minutes = _count_minutes(hours)
    if minutes is None:
        return None
    road = _Road(minutes, from_zone, to_zone, *stables)
    stages = _find_stages(road, day.toordinal(), limits, rules, drivers, days, soon)
    if stages is None:
        return None
    return _write_timetable(road, stages, loaded, name_town)


def find_earliest_arrival(
    hours: float,
    day: date,
    from_zone: str,
    to_zone: str,
    limits: Limits,
    rules: DrivingRules,
    *,
    loaded: bool = True,
    drivers: int = 1,
    days: int | None = None,
    stables: tuple[int, int] = ALL_DAY,
) -> Earliest:
    """The earliest lawful arrival of a drive that leaves on a day, and why it is not in the days.

    It leaves at the usual hour where that fits, and the days before the last are full.
    With `days` [calendar days, the day of departure counted] the reason says which rule makes it
    later: the horses' hours, the driver's, or the hours of the day.

    >>> from tripkit.driving.rules import RULES
    >>> answer = find_earliest_arrival(
    ...     9.5, date(2027, 5, 3), "UTC", "UTC", Limits(), RULES["us"], days=1)
    >>> f"{answer.timetable.arrive:%d %B %H:%M}"
    '04 May 07:30'
    >>> answer.reason.code, answer.reason.get("why").code
    ('driving.too-long', 'driving.horse-hours')
    """
    minutes = _count_minutes(hours)
    if minutes is None:
        return Earliest(None, state("driving.no-drive", hours=hours))
    opens, closes = max(stables[0], 0), min(stables[1], round(limits.arrive_until_hour * HOUR))
    if opens > closes:
        return Earliest(
            None,
            state(
                "driving.stables-shut",
                opens=stables[0],
                closes=stables[1],
                until=round(limits.arrive_until_hour * HOUR),
            ),
        )
    more = {"loaded": loaded, "drivers": drivers, "stables": stables}
    asked = (hours, day, from_zone, to_zone)
    table = schedule_drive(*asked, limits, rules, soon=True, **more)  # type: ignore[arg-type]
    if table is None:
        return Earliest(None, state("driving.day-too-short", hours=hours))
    if days is None or table.days <= days:
        return Earliest(table)
    free = limits.override({"load_from_hour": 0.0, "arrive_until_hour": 24.0})
    anywhen = schedule_drive(*asked, free, rules, loaded=loaded, drivers=drivers)
    if anywhen is not None and anywhen.days <= days:
        load = round(limits.load_from_hour * HOUR)
        why = state("driving.hours-of-the-day", load=load, opens=opens, closes=closes)
        return Earliest(table, state("driving.too-long", hours=hours, most_days=days, why=why))
    tireless = limits.override({"horse_hours_per_day": 24.0, "water_every_hours": 24.0})
    unridden = schedule_drive(*asked, tireless, rules, **more)  # type: ignore[arg-type]
    if rules.id == "none" or (unridden is not None and unridden.days <= days):
        why = state("driving.horse-hours", hours=limits.horse_hours_per_day)
    elif drivers > 1:
        why = state("driving.two-drivers", source=rules.source)
    else:
        why = state("driving.one-driver", hours=rules.hours_per_day, source=rules.source)
    return Earliest(table, state("driving.too-long", hours=hours, most_days=days, why=why))


def _count_minutes(hours: float) -> int | None:
    """Hours in whole minutes, never rounded down; None for what is no drive."""
    if not 0 <= hours <= LONGEST_HOURS:
        return None
    return ceil(round(hours * HOUR, 6))


@lru_cache(maxsize=256)
def _find_zone(name: str) -> ZoneInfo:
    return ZoneInfo(name)


@lru_cache(maxsize=1 << 16)
def _read_clock(zone: str, day: int, minutes: int) -> int:
    """A time of day in a zone in minutes of UTC since 1970; a time that a change skips is later."""
    over, minutes = divmod(minutes, DAY)
    local = datetime.combine(
        date.fromordinal(day + over), time(minutes // HOUR, minutes % HOUR), _find_zone(zone)
    )
    return int((local - EPOCH) // timedelta(minutes=1))


def _place(minute: int, zone: str) -> datetime:
    return (EPOCH + timedelta(minutes=minute)).astimezone(_find_zone(zone))


@lru_cache(maxsize=1024)
def _list_turns(from_zone: str, to_zone: str, first: date, last: date) -> tuple[int, ...]:
    """The days, from the first to the last and some after it, on which a clock is changed."""
    days = range(first.toordinal(), last.toordinal() + 15)
    return tuple(
        day
        for day in days
        if any(
            _read_clock(zone, day + 1, 0) - _read_clock(zone, day, 0) != DAY
            for zone in (from_zone, to_zone)
        )
    )


def _count_days(
    road: _Road, depart: int, limits: Limits, rules: DrivingRules, drivers: int
) -> int | None:
    stages = _find_stages(road, depart, limits, rules, drivers, None, True)
    if stages is None:
        return None
    return _place(stages[-1].end, road.to_zone).toordinal() - depart + 1


def _find_stages(
    road: _Road,
    depart: int,
    limits: Limits,
    rules: DrivingRules,
    drivers: int,
    days: int | None,
    soon: bool = False,
) -> tuple[_Stage, ...] | None:
    """The days of the first lawful timetable, of exactly so many calendar days where asked."""
    ways = [make_terms(limits, rules, drivers, False)]
    if rules.short_rests and drivers == 1:
        ways.append(make_terms(limits, rules, drivers, True))
    window = ways[0].arrive_until - ways[0].load_from
    full, last = (
        max(find_longest_day(terms, min(terms.span, max(0, window)), final) for terms in ways)
        for final in (False, True)
    )
    if full <= 0 and road.minutes > 0:
        return None
    offsets = _list_offsets(road.minutes, full, last, rules)
    least = next(offsets)
    fewest = least[-1] + 1
    if days is not None and days < fewest:
        return None
    if days is None:
        # Hours of the day, and zones, may leave less of a day than the horses and the driver do.
        tries = [least, *(next(offsets) for _ in range(3 + len(least)))]
    else:
        while least[-1] + 1 < days:
            longer = next(offsets)
            if longer[-1] + 1 > days:
                break
            least = longer
        tries = [[*least[:-1], days - 1]]
    for numbers in tries:
        for terms in ways:
            if len(numbers) <= terms.most_days:
                stages = _try_days(road, depart, numbers, terms, soon)
                if stages is not None and _keeps_weekly_rests(stages, rules):
                    return stages
    return None


def _keeps_weekly_rests(stages: tuple[_Stage, ...], rules: DrivingRules) -> bool:
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


def _try_days(
    road: _Road, depart: int, numbers: list[int], terms: Terms, soon: bool
) -> tuple[_Stage, ...] | None:
    """A drive over the days of those numbers after the departure, None where it is not lawful.

    The days are as alike as may be; to arrive soon, those before the last are full.
    """
    full = _drive_days(road, depart, numbers[:-1], terms, None)
    if full is None:
        return None
    end, gap = depart + numbers[-1], numbers[-1] - numbers[-2] if full else 0
    least = road.minutes - sum(stage.driving for stage in full)
    sooner = None
    if least > 0 or not full:
        last = _drive_last_day(road, end, least, terms, full, gap)
        sooner = None if last is None else (*full, last)
        if sooner is None or soon or not full:
            return sooner
    share = road.minutes // len(numbers)
    while share > max(0, least) or not road.minutes:
        before = _drive_days(road, depart, numbers[:-1], terms, road.minutes - share)
        if before:
            left = road.minutes - sum(stage.driving for stage in before)
            last = _drive_last_day(road, end, left, terms, before, gap)
            if last is not None:
                return (*before, last)
        if not share:
            break
        share //= 2
    return sooner


def _drive_days(
    road: _Road, depart: int, numbers: list[int], terms: Terms, aim: int | None
) -> tuple[_Stage, ...] | None:
    """The days of a drive before its last: as full as may be, or alike, for so much driving."""
    stages: list[_Stage] = []
    driven = 0
    for place, number in enumerate(numbers):
        day = depart + number
        zone = road.name_zone(driven) if stages else road.from_zone
        gap = number - numbers[place - 1] if place else 0
        earliest = _find_earliest_start(zone, day, terms, stages, gap)
        # The evening's zone depends on how far the day goes: the tighter one, where it may be both.
        reach = driven + terms.span
        zones = {road.name_zone(driven), road.name_zone(reach)}
        until = min(_read_clock(name, day, terms.arrive_until) for name in zones)
        most = find_longest_day(terms, min(terms.span, until - earliest), False)
        part = most
        if aim is not None:
            part = min(most, ceil((aim - driven) / (len(numbers) - place)))
        if most <= 0 and road.minutes:
            return None
        length, halts = plan_day(part, terms)
        start = max(earliest, _read_clock(zone, day, DEPART_HOUR * HOUR))
        if start + length > until:
            start = max(earliest, _round_down(until - length))
        stages.append(_Stage(start, start + length, part, spread_halts(part, halts, terms)))
        driven += part
    return tuple(stages)


def _drive_last_day(
    road: _Road, day: int, driving: int, terms: Terms, before: tuple[_Stage, ...], gap: int
) -> _Stage | None:
    """The day of arrival: at the usual hour, else as early or late as the stables ask."""
    zone = road.name_zone(road.minutes - driving) if before else road.from_zone
    earliest = _find_earliest_start(zone, day, terms, before, gap)
    closes = _read_clock(road.to_zone, day, min(road.closes, terms.arrive_until))
    opens = _read_clock(road.to_zone, day, road.opens)
    length, halts = plan_day(driving, terms)
    # A long day counts where the leg is over within one week: later weeks have no hour to spare.
    long = len(before) < terms.week_days
    if not is_lawful(driving, terms.span, terms, long) or opens > closes:
        return None
    start = max(earliest, _read_clock(zone, day, DEPART_HOUR * HOUR))
    if start + length > closes:
        start = max(earliest, _round_down(closes - length))
    if start + length < opens:
        later = -_round_down(length - opens)
        start = later if later + length <= closes else opens - length
    if start + length > closes:
        return None
    return _Stage(start, start + length, driving, spread_halts(driving, halts, terms))


def _find_earliest_start(
    zone: str, day: int, terms: Terms, before: tuple[_Stage, ...] | list[_Stage], gap: int
) -> int:
    """When a day may begin at the earliest, so many days after the one before it."""
    earliest = _read_clock(zone, day, terms.load_from)
    if not before:
        return earliest
    rest = max(terms.rest, terms.pause) if gap > 1 else terms.rest
    return max(earliest, before[-1].end + rest, before[-1].start + terms.start_after)


def _round_down(minute: int) -> int:
    return minute - minute % STEP_MINUTES


def _write_timetable(
    road: _Road,
    stages: tuple[_Stage, ...],
    loaded: bool,
    name_town: Callable[[float], str] | None,
) -> Timetable:
    stops: list[Stop] = []
    driven = 0

    def halt(kind: str, minute: int, minutes: int, done: int) -> None:
        town = name_town(done / road.minutes) if name_town else ""
        stops.append(Stop(kind, _place(minute, road.name_zone(done)), minutes, town))

    for number, stage in enumerate(stages):
        if number:
            night = stage.start - stages[number - 1].end
            halt("overnight", stages[number - 1].end, night, driven)
        halted = 0
        for done, minutes in stage.halts:
            begin = stage.start + done + halted
            halt("water" if loaded else "break", begin, minutes, driven + done)
            halted += minutes
        driven += stage.driving
    return Timetable(
        _place(stages[0].start, road.from_zone), _place(stages[-1].end, road.to_zone), tuple(stops)
    )
