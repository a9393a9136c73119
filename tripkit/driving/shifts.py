"""Several drives of one lorry with one crew, one after the other: what they are on the clock.

Each drive begins on the day on which the one before it ended. Loaded ones keep the horses' hours
and those of the stables, empty ones their driver's hours only. The crew's hours add up over a day,
and time between two drives is a break where it is long enough; loading and unloading are duty.

**Source:** see `driving/rules`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from tripkit.driving.day import DAY, Terms, bound_length
from tripkit.driving.leg import (
    ALL_DAY,
    Timetable,
    count_minutes,
    make_ways,
    write_timetable,
)
from tripkit.driving.rules import DrivingRules
from tripkit.driving.stages import (
    Drive,
    Duty,
    GoesOn,
    Road,
    Stage,
    find_earliest_start,
    find_latest_end,
    keeps_hours,
    list_drives,
    read_clock,
    spread_stages,
)
from tripkit.driving.timetables import (
    choose_rules,
    find_place,
    find_road_limits,
    find_stables_hours,
)
from tripkit.yard.limits import Limits
from tripkit.yard.yard import Yard

NameTown = Callable[[float], str]
Groups = tuple[tuple[int, ...], ...]
"""Which runs, by number, have a horse in common."""


@dataclass(frozen=True)
class Run:
    """One drive of a shift: between two place keys, hours at the wheel, calendar days.

    The wheels do not turn before `earliest`, loading included, and it is there by `latest`: local
    minutes of the day at the start, and at the end.
    """

    start: str
    end: str
    hours: float
    days: int
    loaded: bool
    earliest: int = 0
    latest: int = DAY


@dataclass(frozen=True)
class _Task:
    """A run as the clock sees it: its road, its days, what a day of it may hold."""

    road: Road
    days: int
    ways: tuple[Terms, ...]


def may_drive(yard: Yard, runs: tuple[Run, ...], drivers: int, *, together: bool = False) -> bool:
    """Whether some runs, one after the other, are lawful on every day, whichever horses are aboard.

    Every day of the season's road days is meant, also those on which a clock is changed. With
    `together` some horse is on all the loaded runs, and has its hours of a day for all of them.
    """
    rules = choose_rules(yard)
    strictest = find_road_limits(yard) if any(run.loaded for run in runs) else None
    tasks = _list_tasks(yard, runs, [strictest] * len(runs), rules, drivers)
    if tasks is None:
        return False
    days = yard.road_days
    loaded = tuple(number for number, run in enumerate(runs) if run.loaded)
    groups = (loaded,) if together else ()
    return all(
        _may_leave(tasks, rules, kind, groups)
        for kind in _list_kinds(_list_zones(tasks), days.first, days.last, _count_days(runs))
    )


def schedule_runs(
    yard: Yard,
    runs: Sequence[Run],
    day: date,
    *,
    drivers: int,
    aboard: Sequence[Sequence[str] | None],
    name_town: Sequence[NameTown | None] | None = None,
) -> tuple[Timetable, ...] | None:
    """The timetables of some runs that begin on a day, None where there are none.

    `aboard` are the horses of each run, None for any horse of the yard; `name_town` names, for
    each, the town nearest to a part of the way.
    """
    rules = choose_rules(yard)
    trips: dict[str, tuple[int, ...]] = {}
    for number, names in enumerate(aboard):
        for name in names or ():
            trips[name] = (*trips.get(name, ()), number)
    # What suits every horse is lawful for those aboard too, where their own is a shorter drive.
    for own in (aboard, [None] * len(runs)):
        limits = [find_road_limits(yard, horses) for horses in own]
        tasks = _list_tasks(yard, runs, limits, rules, drivers)
        if not tasks:
            return None
        ways = range(len(tasks[0].ways))
        drives = _find_shift(tasks, rules, day.toordinal(), ways, tuple(trips.values()))
        if drives is not None:
            return _write_timetables(runs, tasks, drives, name_town or [None] * len(runs))
    return None


def _write_timetables(
    runs: Sequence[Run],
    tasks: Sequence[_Task],
    drives: Sequence[Drive],
    name_town: Sequence[NameTown | None],
) -> tuple[Timetable, ...]:
    stages = iter(spread_stages([stage for drive in drives for stage in drive]))
    return tuple(
        write_timetable(task.road, [next(stages) for _ in drive], run.loaded, town)
        for run, task, drive, town in zip(runs, tasks, drives, name_town, strict=True)
    )


def _list_tasks(
    yard: Yard,
    runs: Sequence[Run],
    limits: Sequence[Limits | None],
    rules: DrivingRules,
    drivers: int,
) -> tuple[_Task, ...] | None:
    tasks = []
    for run, own in zip(runs, limits, strict=True):
        minutes = count_minutes(run.hours)
        if minutes is None:
            return None
        road = Road(
            minutes,
            find_place(yard, run.start).timezone,
            find_place(yard, run.end).timezone,
            *(find_stables_hours(yard, run.end) if run.loaded else ALL_DAY),
            run.earliest,
            run.latest,
        )
        tasks.append(_Task(road, run.days, make_ways(own if run.loaded else None, rules, drivers)))
    return tuple(tasks)


def _count_days(runs: Sequence[Run]) -> int:
    return 1 + sum(run.days - 1 for run in runs)


def _list_zones(tasks: Sequence[_Task]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(z for t in tasks for z in (t.road.from_zone, t.road.to_zone)))


@lru_cache(maxsize=1024)
def _list_kinds(zones: tuple[str, ...], first: date, last: date, days: int) -> tuple[int, ...]:
    """A day of each kind: those on which all clocks go alike until the last of so many days."""
    kinds: dict[tuple[int, ...], int] = {}
    for day in range(first.toordinal(), last.toordinal() + 1):
        begins = read_clock(zones[0], day, 0)
        kind = tuple(
            read_clock(zone, day + after, 0) - begins for zone in zones for after in range(days + 1)
        )
        kinds.setdefault(kind, day)
    return tuple(kinds.values())


@lru_cache(maxsize=1 << 16)
def _may_leave(tasks: tuple[_Task, ...], rules: DrivingRules, day: int, groups: Groups) -> bool:
    # A day with a short rest after it holds whatever one with a usual rest holds.
    ways = range(len(tasks[0].ways))
    if all(task.days == 1 for task in tasks):
        ways = ways[-1:]
    return _find_shift(tasks, rules, day, ways, groups) is not None


def _find_shift(
    tasks: Sequence[_Task],
    rules: DrivingRules,
    day: int,
    ways: Sequence[int],
    groups: Groups,
) -> tuple[Drive, ...] | None:
    """The drives of a shift that begins on a day: the first lawful ones of some ways to rest."""
    if all(task.days == 1 for task in tasks) and not _may_fit(tasks, groups):
        return None
    for way in ways:
        for drives in _list_shifts(tasks, way, rules, day, None, set()):
            if all(_keeps_horse_days([drives[number] for number in group]) for group in groups):
                return drives
    return None


def _may_fit(tasks: Sequence[_Task], groups: Groups) -> bool:
    """Whether the hours of one day may hold it all: what no order of halts can mend."""
    terms = [task.ways[-1] for task in tasks]
    driving = [task.road.minutes for task in tasks]
    spans = [bound_length(*pair) for pair in zip(driving, terms, strict=True)]
    return keeps_hours(sum(driving), sum(2 * own.loading for own in terms), terms[0]) and all(
        sum(spans[n] for n in group) <= min(terms[n].span for n in group) for group in groups
    )


def _keeps_horse_days(drives: Sequence[Drive]) -> bool:
    """Whether a horse that is aboard on all these drives is not too long on the road in a day."""
    days: dict[int, list[Stage]] = {}
    for drive in drives:
        for stage in drive:
            days.setdefault(stage.since, []).append(stage)
    return all(
        sum(stage.end - stage.start for stage in stages) <= min(s.terms.span for s in stages)
        for stages in days.values()
    )


def _list_shifts(
    tasks: Sequence[_Task],
    way: int,
    rules: DrivingRules,
    day: int,
    duty: Duty | None,
    failed: set[tuple[int, Duty]],
) -> Iterator[tuple[Drive, ...]]:
    """The drives of a shift, the most usual first.

    `failed` remembers after what a crew has behind it so many tasks were not lawful.
    """
    task, *later = tasks
    end = day + task.days - 1
    terms = task.ways[way]
    goes_on = _bound(terms, later, way, end) if later else None
    for drive, after in list_drives(task.road, day, [terms], rules, task.days, duty, goes_on):
        if not later:
            yield (drive,)
            continue
        state = len(later), after
        if state in failed:
            continue
        lawful = False
        for more in _list_shifts(later, way, rules, end, after, failed):
            lawful = True
            yield (drive, *more)
        if not lawful:
            failed.add(state)


def _bound(terms: Terms, later: Sequence[_Task], way: int, day: int) -> GoesOn:
    """Whether what follows may still be in time, were no break due: a bound that is quickly had."""
    bounds = []
    for task in later:
        if task.days > 1:
            break
        own = task.ways[way]
        earliest = find_earliest_start(task.road, task.road.from_zone, day, own)
        latest = find_latest_end(task.road, day, own)
        bounds.append((own.loading, earliest, bound_length(task.road.minutes, own), latest))

    def goes_on(since: int, end: int) -> bool:
        unloading = terms.loading
        for loading, earliest, length, latest in bounds:
            end = max(end + unloading + loading, earliest) + length
            unloading = loading
            if end > latest:
                return False
        return end <= since + terms.duty

    return goes_on
