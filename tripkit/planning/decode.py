"""From the columns of a solved season to outings and legs in the user's words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from tripkit.driving.crews import put_on_drivers
from tripkit.driving.leg import DEPART_HOUR, Timetable
from tripkit.driving.rules import RULES
from tripkit.driving.shifts import schedule_runs
from tripkit.driving.timetables import find_place
from tripkit.planning.chances import Chance, DayPlan, Drive, Fleet, Window
from tripkit.planning.program import Season
from tripkit.yard.circuit import Leg, Outing
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.places import HOME, Place
from tripkit.yard.recovery import find_changeover
from tripkit.yard.yard import Yard

NameTown = Callable[[Place, Place, float], str]
"""From two places and a fraction of the way between them to the name of the nearest town."""


@dataclass
class Trip:
    """One attended chance of a horse with how it comes and goes."""

    chance: Chance
    window: Window
    classes: tuple[str, ...]
    rider: str
    arrive: int | None
    leave: int | None


def read_plan(
    season: Season, values: np.ndarray, name_town: NameTown | None = None
) -> tuple[tuple[Outing, ...], tuple[Leg, ...]]:
    """The outings and legs of a solution, after those of the season so far; all are named."""
    trips = _read_trips(season, values)
    _link_stays(season, trips)
    begun = season.problem.yard.begun
    planned = tuple(
        Outing(
            trip.chance.horse,
            trip.chance.show,
            trip.rider,
            trip.classes,
            date.fromordinal(trip.window.first),
            date.fromordinal(trip.window.last),
            date.fromordinal(trip.arrive or trip.window.first),
            date.fromordinal(trip.leave or trip.window.last),
        )
        for trip in sorted(trips, key=lambda t: (t.window.first, t.chance.horse, t.chance.show))
        if trip.classes
    )
    return (*begun.done, *planned), _read_legs(season, values, name_town, trips)


def is_set(values: np.ndarray, column: int) -> bool:
    """Whether a binary column is chosen."""
    return bool(values[column] > 0.5)


def _read_trips(season: Season, values: np.ndarray) -> list[Trip]:
    trips = []
    for (chance, window), column in season.window_of.items():
        if not is_set(values, column):
            continue
        classes = tuple(
            choice.name
            for choice in sorted(chance.choices, key=lambda c: (c.day, c.name))
            if is_set(values, season.choice_of[chance, choice])
        )
        rider = _find_rider(season, values, chance) if classes else ""
        trips.append(Trip(chance, window, classes, rider, chance.came, None))
    by_chance = {trip.chance: trip for trip in trips}
    for move, column in season.moves_of.items():
        if not is_set(values, column):
            continue
        if move.comes is not None:
            by_chance[move.comes].arrive = season.arrival_of(move)
        if move.leaves is not None:
            by_chance[move.leaves].leave = move.depart
    for there, column in season.attendance_of.items():
        if there.boxed and is_set(values, column):
            trip = by_chance[there.chance]
            trip.arrive, trip.leave = there.window.first, there.window.last
    for change, column in season.changes_of.items():
        if is_set(values, column):
            if change.comes is not None:
                by_chance[change.comes].arrive = change.day
            if change.leaves is not None:
                by_chance[change.leaves].leave = change.day
    return trips


def _find_rider(season: Season, values: np.ndarray, chance: Chance) -> str:
    if chance.begun:
        return next(iter(chance.choices[0].riders))
    return season.problem.sole_rider_of[chance.horse] or next(
        name
        for (other, name), c in sorted(season.rider_of.items(), key=lambda i: i[0][1])
        if other is chance and is_set(values, c)
    )


def _link_stays(season: Season, trips: list[Trip]) -> None:
    """A horse that stays for its next outing leaves the first as it arrives at the second."""
    by_horse: dict[str, list[Trip]] = defaultdict(list)
    for trip in sorted(trips, key=lambda t: t.window.first):
        by_horse[trip.chance.horse].append(trip)
    for horse, mine in by_horse.items():
        limits = season.problem.yard.horse_by_name[horse].limits
        for earlier, later in zip(mine, mine[1:], strict=False):
            if earlier.leave is None and later.arrive is None and not earlier.classes:
                later.arrive = earlier.arrive
            elif earlier.leave is None and later.arrive is None:
                last, first = (
                    date.fromordinal(day) for day in (earlier.window.last, later.window.first)
                )
                earlier.leave = later.arrive = find_changeover(last, first, limits).toordinal()


def _read_legs(
    season: Season,
    values: np.ndarray,
    name_town: NameTown | None,
    trips: list[Trip],
) -> tuple[Leg, ...]:
    waiting: dict[DayPlan, list[str]] = defaultdict(list)
    for move, column in season.moves_of.items():
        if is_set(values, column):
            waiting[move.drives].append(move.horse)
    runs = sorted(
        (
            (plan, fleet, round(values[column]))
            for (fleet, plan), column in season.plans_of.items()
            if values[column] > 0.5
        ),
        key=lambda run: (
            run[0][0].depart,
            run[0][0].start != HOME,
            *((drive.start, drive.end) for drive in run[0]),
        ),
    )
    standing = {
        vehicle: (fleet.start, fleet.free_from)
        for fleet in season.problem.fleets
        for vehicle in fleet.vehicles
    }
    legs: list[Leg] = []
    for plan, fleet, count in runs:
        free = sorted(
            (
                v
                for v in fleet.vehicles
                if standing[v][0] == plan[0].start and standing[v][1] <= plan[0].depart
            ),
            key=lambda v: (standing[v][1], v),
        )
        for vehicle in free[:count]:
            standing[vehicle] = (plan[-1].end, season.problem.arrival_of(plan[-1]) + 1)
            loads = _load(plan, waiting, fleet, season)
            legs += write_legs(season, plan, vehicle, loads, name_town, trips)
    kept = sorted(_drop_idle_trips(legs), key=lambda leg: (leg.depart, leg.vehicle))
    rules = RULES["none"] if "driving" in season.problem.without else season.problem.rules
    yard = season.problem.yard
    return put_on_drivers(yard, [*yard.begun.legs, *kept], rules)


def _drop_idle_trips(legs: list[Leg]) -> list[Leg]:
    """Trips from home to home that carry no horse are left out: a stopped search may hold some."""
    kept: list[Leg] = []
    trips: dict[str, list[Leg]] = defaultdict(list)
    for leg in sorted(legs, key=lambda leg: leg.depart):
        trip = trips[leg.vehicle]
        trip.append(leg)
        if leg.end == HOME:
            begun = trip[0].start != HOME
            kept += trip if begun or any(part.horses for part in trip) else []
            trips[leg.vehicle] = []
    return kept + [leg for trip in trips.values() for leg in trip]


def _load(
    plan: DayPlan, waiting: Mapping[DayPlan, list[str]], fleet: Fleet, season: Season
) -> list[list[str]]:
    """Who is aboard on each drive of a lorry: first those who stay aboard on all of them."""
    staying = _take(waiting[plan], fleet.places, season) if len(plan) > 1 else []
    free = fleet.places - len(staying)
    return [sorted([*staying, *_take(waiting[drive,], free, season)]) for drive in plan]


def _take(waiting: list[str], places: int, season: Season) -> list[str]:
    if "places" in season.problem.without:
        places = len(waiting)
    waiting.sort()
    load = waiting[:places]
    del waiting[:places]
    return load


def write_legs(
    season: Season,
    plan: DayPlan,
    vehicle: str,
    loads: Sequence[list[str]],
    name_town: NameTown | None,
    trips: list[Trip],
) -> list[Leg]:
    """The drives of a day plan as legs: breaks, water and nights as law and horses ask.

    Rule `driving`.
    """
    yard, day = season.problem.yard, date.fromordinal(plan[0].depart)
    tables: Sequence[Timetable] | None = None
    if "driving" in season.problem.without:
        tables = [_drive_through(yard, drive, season.ride_for(drive).hours) for drive in plan]
    else:
        tables = schedule_runs(
            yard,
            season.problem.list_runs(plan),
            day,
            drivers=yard.vehicle_by_name[vehicle].drivers,
            aboard=loads,
            name_town=[_name_towns(yard, drive, name_town) for drive in plan],
        )
    if tables is None:
        raise BadValue(
            state(
                "values.no-timetable-of-days-from",
                days=1,
                start=plan[0].start,
                end=plan[-1].end,
                day=day,
            )
        )
    legs = []
    for drive, table, load in zip(plan, tables, loads, strict=True):
        ride = season.ride_for(drive)
        start, end = (
            _name_end(season, key, drive, load, trips) for key in (drive.start, drive.end)
        )
        legs.append(
            Leg(
                vehicle,
                start,
                end,
                table.depart,
                table.arrive,
                ride.km,
                ride.hours,
                (),
                tuple(load),
                table.stops,
            )
        )
    return legs


def _name_towns(
    yard: Yard, drive: Drive, name_town: NameTown | None
) -> Callable[[float], str] | None:
    if name_town is None:
        return None
    here, there = find_place(yard, drive.start), find_place(yard, drive.end)
    return lambda fraction: name_town(here, there, fraction)


def _drive_through(yard: Yard, drive: Drive, hours: float) -> Timetable:
    """A drive without a rule: no halt and no night."""
    here, there = find_place(yard, drive.start), find_place(yard, drive.end)
    day = date.fromordinal(drive.depart)
    minutes = max(drive.earliest, DEPART_HOUR * 60)
    depart = datetime.combine(day, time(minutes // 60, minutes % 60), ZoneInfo(here.timezone))
    arrive = depart.astimezone(ZoneInfo("UTC")) + timedelta(minutes=round(hours * 60))
    return Timetable(depart, arrive.astimezone(ZoneInfo(there.timezone)), ())


def _name_end(season: Season, key: str, drive: Drive, load: list[str], trips: list[Trip]) -> str:
    """The show a leg goes to or comes from: one whose horses do so then, of its load first.

    The base of the town where one of the load lives there, unless another comes to jump that day.
    Else a show of that place that is open that day, else the nearest.
    """
    if key == HOME:
        return HOME
    comes = drive.end == key
    day = season.problem.arrival_of(drive) if comes else drive.depart
    at_once = [
        t for t in trips if t.chance.place_key == key and (t.arrive if comes else t.leave) == day
    ]
    base = season.problem.yard.base_at.get(key)
    if base is not None and date.fromordinal(day) in base.days:
        jumping = {t.chance.horse for t in at_once if t.window.first == t.arrive == day}
        lodgers = set(load) - {t.chance.horse for t in at_once}
        if not (comes and jumping & set(load)) and (lodgers or not at_once):
            return base.base
    if at_once:
        return min(at_once, key=lambda t: t.chance.horse not in load).chance.show
    shows = [s for s in season.problem.yard.shows if s.place_key == key]
    today = date.fromordinal(day)
    return min(
        shows, key=lambda s: (today not in s.stabling, abs(s.days.first.toordinal() - day))
    ).show
