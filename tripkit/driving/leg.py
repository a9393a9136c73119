"""A leg's timetable: when it leaves, where it halts, how many days it takes, when it arrives.

A day on the road leaves at `DEPART_HOUR` local time where that fits, else earlier or later on the
same day. Nobody loads before the yard's `load_from_hour` or arrives after its `arrive_until_hour`,
and the last day ends in the hours in which the stables take horses. The horses halt for water at
the latest every `water_every_hours` of driving, for half an hour; their day, from loading to
unloading, has `horse_hours_per_day`. An empty lorry keeps its driver's hours only. Where one day is
not enough, it is full, the crew and the horses stop for the night, and another day follows. All is
counted in whole minutes of UTC, so that the night of a clock change is as long as it is.

The days are made in `driving/stages`, what a day holds stands in `driving/day`, what a driver may
do in `driving/rules`. Two drivers drive in turn and change at each halt.

**Source:** see `driving/rules`; hours of the day: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from math import ceil

from tripkit.driving.day import DAY, GRACE_HOURS, HOUR, Terms, find_longest_day, make_terms
from tripkit.driving.rules import DrivingRules
from tripkit.driving.stages import (
    DEPART_HOUR as DEPART_HOUR,
)
from tripkit.driving.stages import (
    Drive,
    Road,
    Stage,
    list_drives,
    name_moment,
    read_clock,
    spread_stages,
)
from tripkit.yard.circuit import Stop
from tripkit.yard.facts import Fact, state
from tripkit.yard.limits import Limits

EVENING_DRIVE_HOURS = 4.0
LONGEST_HOURS = 2000.0
LONGER_TRIES = 4
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
    limits: Limits | None,
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
    minutes = count_minutes(hours)
    if minutes is None:
        return None
    road = Road(minutes, from_zone, to_zone, *stables)
    ways = make_ways(limits, rules, drivers)
    days = _count_days(road, first.toordinal(), ways, rules)
    turns = list_turns((from_zone, to_zone), first, last)
    if days is None or not turns or (days == 1 and from_zone == to_zone):
        return days
    departs = {first.toordinal()}
    departs.update(day for turn in turns for day in range(turn - days - 1, turn + 2))
    found = [_count_days(road, depart, ways, rules) for depart in departs]
    counts = [count for count in found if count is not None]
    if len(counts) < len(departs):
        return None
    for most in range(max(counts), max(counts) + LONGER_TRIES):
        if all(_find_drive(road, depart, ways, rules, most) for depart in departs):
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
) -> Timetable | None:
    """A drive of so many hours [h] leaving on a day becomes departure, halts and arrival.

    It takes the fewest calendar days that are lawful, or exactly `days`; None where there is no
    such timetable. The days before the last are full, or as alike as may be where fewer would do.
    An empty lorry (`loaded` False) keeps its driver's hours only.
    `stables` are the minutes after midnight, at the end, between which the stables take horses.
    `name_town(fraction)` names the town nearest to that part of the way. Halts of a loaded lorry
    are for water, of an empty one for the driver's break. Stops are told in the time of the nearer
    end.
    """
    minutes = count_minutes(hours)
    if minutes is None:
        return None
    road = Road(minutes, from_zone, to_zone, *stables)
    own = limits if loaded else None
    stages = _find_drive(road, day.toordinal(), make_ways(own, rules, drivers), rules, days)
    if stages is None:
        return None
    return write_timetable(road, spread_stages(stages), loaded, name_town)


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
    minutes = count_minutes(hours)
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
    table = schedule_drive(*asked, limits, rules, **more)  # type: ignore[arg-type]
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


def count_minutes(hours: float) -> int | None:
    """Hours in whole minutes, never rounded down; None for what is no drive."""
    if not 0 <= hours <= LONGEST_HOURS:
        return None
    return ceil(round(hours * HOUR, 6))


@lru_cache(maxsize=1024)
def list_turns(zones: tuple[str, ...], first: date, last: date) -> tuple[int, ...]:
    """The days, from the first to the last and some after it, on which a clock is changed."""
    days = range(first.toordinal(), last.toordinal() + 15)
    return tuple(
        day
        for day in days
        if any(read_clock(zone, day + 1, 0) - read_clock(zone, day, 0) != DAY for zone in zones)
    )


def make_ways(limits: Limits | None, rules: DrivingRules, drivers: int) -> tuple[Terms, ...]:
    """What a day may hold with a usual rest after it, and with a short one where rules know it."""
    short = (False, True) if rules.short_rests and drivers == 1 else (False,)
    return tuple(make_terms(limits, rules, drivers, way) for way in short)


def _find_drive(
    road: Road, depart: int, ways: tuple[Terms, ...], rules: DrivingRules, days: int | None
) -> Drive | None:
    found = next(list_drives(road, depart, ways, rules, days), None)
    return found[0] if found else None


def _count_days(
    road: Road, depart: int, ways: tuple[Terms, ...], rules: DrivingRules
) -> int | None:
    stages = _find_drive(road, depart, ways, rules, None)
    if stages is None:
        return None
    return name_moment(stages[-1].end, road.to_zone).toordinal() - depart + 1


def write_timetable(
    road: Road,
    stages: Sequence[Stage],
    loaded: bool,
    name_town: Callable[[float], str] | None,
) -> Timetable:
    """The days of a drive as departure, halts and arrival, local at each place."""
    stops: list[Stop] = []
    driven = 0

    def halt(kind: str, minute: int, minutes: int, done: int) -> None:
        town = name_town(done / road.minutes) if name_town else ""
        stops.append(Stop(kind, name_moment(minute, road.name_zone(done)), minutes, town))

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
        name_moment(stages[0].start, road.from_zone),
        name_moment(stages[-1].end, road.to_zone),
        tuple(stops),
    )
