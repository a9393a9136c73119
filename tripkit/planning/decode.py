"""From the columns of a solved season to outings and legs in the user's words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from tripkit.driving.crews import put_on_drivers
from tripkit.driving.leg import DEPART_HOUR, Timetable
from tripkit.driving.rules import RULES
from tripkit.driving.timetables import find_place, schedule_leg
from tripkit.planning.chances import Chance, Fleet, Window
from tripkit.planning.program import Drive, Season
from tripkit.yard.circuit import Leg, Outing
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
    by_chance = {id(trip.chance): trip for trip in trips}
    shows = {(trip.chance.horse, trip.chance.show): trip for trip in trips}
    for (chance, drive), column in season.rides_of.items():
        if not is_set(values, column):
            continue
        if drive.start == HOME:
            by_chance[id(chance)].arrive = season.arrival_of(drive)
        else:
            by_chance[id(chance)].leave = drive.depart
            if drive.end != HOME:
                _follow(season, shows, by_chance[id(chance)], drive)
    return trips


def _find_rider(season: Season, values: np.ndarray, chance: Chance) -> str:
    if chance.begun:
        return next(iter(chance.choices[0].riders))
    named = season.problem.yard.horse_by_name[chance.horse].rider
    return named or next(
        name
        for (other, name), c in sorted(season.rider_of.items(), key=lambda i: i[0][1])
        if other is chance and is_set(values, c)
    )


def _follow(season: Season, shows: dict[tuple[str, str], Trip], trip: Trip, drive: Drive) -> None:
    """The next outing of a horse that drives on begins where the drive ends."""
    later = [
        other
        for (horse, _), other in shows.items()
        if horse == trip.chance.horse
        and other.chance.place_key == drive.end
        and other.window.first > trip.window.last
    ]
    min(later, key=lambda t: t.window.first).arrive = season.arrival_of(drive)


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
    passengers: dict[Drive, list[tuple[str, str]]] = defaultdict(list)
    for (chance, drive), column in season.rides_of.items():
        if is_set(values, column):
            passengers[drive].append((chance.horse, chance.show))
    runs = sorted(
        (
            (drive, fleet, round(values[column]))
            for (fleet, drive), column in season.legs_of.items()
            if values[column] > 0.5
        ),
        key=lambda run: (run[0].depart, run[0].start != HOME, run[0].start, run[0].end),
    )
    standing = {
        vehicle: (fleet.start, fleet.free_from)
        for fleet in season.problem.fleets
        for vehicle in fleet.vehicles
    }
    legs = []
    for drive, fleet, count in runs:
        free = sorted(
            (
                v
                for v in fleet.vehicles
                if standing[v][0] == drive.start and standing[v][1] <= drive.depart
            ),
            key=lambda v: (standing[v][1], v),
        )
        for vehicle in free[:count]:
            standing[vehicle] = (drive.end, season.arrival_of(drive) + 1)
            load = _take(passengers[drive], fleet, season)
            legs.append(write_leg(season, drive, vehicle, load, name_town, trips))
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


def _take(waiting: list[tuple[str, str]], fleet: Fleet, season: Season) -> list[tuple[str, str]]:
    places = len(waiting) if "places" in season.problem.without else fleet.places
    waiting.sort()
    load = waiting[:places]
    del waiting[:places]
    return load


def write_leg(
    season: Season,
    drive: Drive,
    vehicle: str,
    load: list[tuple[str, str]],
    name_town: NameTown | None,
    trips: list[Trip],
) -> Leg:
    """A drive of the plan as a leg: breaks, water and nights as the law and the horses ask.

    Rule `driving`.
    """
    yard, ride = season.problem.yard, season.ride_for(drive)
    start, end = (_name_end(season, key, drive, load, trips) for key in (drive.start, drive.end))
    here, there = find_place(yard, drive.start), find_place(yard, drive.end)

    def town(fraction: float) -> str:
        return name_town(here, there, fraction) if name_town else ""

    day = date.fromordinal(drive.depart)
    if "driving" in season.problem.without:
        table = _drive_through(yard, drive, ride.hours, day)
    else:
        table = schedule_leg(
            yard,
            drive.start,
            drive.end,
            ride.hours,
            day,
            ride.days,
            drivers=yard.vehicle_by_name[vehicle].drivers,
            loaded=bool(load),
            horses=[horse for horse, _ in load],
            name_town=town,
        )
    return Leg(
        vehicle,
        start,
        end,
        table.depart,
        table.arrive,
        ride.km,
        ride.hours,
        (),
        tuple(horse for horse, _ in load),
        table.stops,
    )


def _drive_through(yard: Yard, drive: Drive, hours: float, day: date) -> Timetable:
    """A drive without a rule: no halt and no night."""
    here, there = find_place(yard, drive.start), find_place(yard, drive.end)
    depart = datetime.combine(day, time(DEPART_HOUR), ZoneInfo(here.timezone))
    arrive = depart.astimezone(ZoneInfo("UTC")) + timedelta(minutes=round(hours * 60))
    return Timetable(depart, arrive.astimezone(ZoneInfo(there.timezone)), ())


def _name_end(
    season: Season, key: str, drive: Drive, load: list[tuple[str, str]], trips: list[Trip]
) -> str:
    """The show a leg goes to or comes from: one of its load, else the nearest in time there."""
    if key == HOME:
        return HOME
    day = drive.depart
    aboard = {horse for horse, _ in load}
    at_place = [t for t in trips if t.chance.place_key == key]
    carried = [t for t in at_place if t.chance.horse in aboard] or at_place
    if drive.end == key:
        arrive = season.arrival_of(drive)
        carried.sort(key=lambda t: (t.arrive != arrive, abs(t.window.first - arrive)))
    else:
        carried.sort(key=lambda t: (t.leave != day, abs(t.window.last - day)))
    if carried:
        return carried[0].chance.show
    shows = [s for s in season.problem.yard.shows if s.place_key == key]
    return min(shows, key=lambda s: abs(s.days.first.toordinal() - day)).show
