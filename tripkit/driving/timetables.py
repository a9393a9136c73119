"""The timetables of a yard's lorries: `driving` asked with the yard's zones, limits and stables.

The planner counts a leg's days here and the legs are written here, so that they agree: a leg has
the days that the planner counted, whichever day it leaves on and whichever horses are aboard. So
the days are those of the yard's strictest horse; the halts are those of the horses aboard.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date

from tripkit.driving.leg import (
    ALL_DAY,
    Earliest,
    Timetable,
    count_ride_days,
    find_earliest_arrival,
    schedule_drive,
)
from tripkit.driving.rules import DrivingRules, find_rules
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.limits import Limits, join_road_limits
from tripkit.yard.places import HOME, Place
from tripkit.yard.yard import Yard

# Before it no edition is known of every body's rules, and that day's are taken.
FIRST_EDITION = date(2007, 4, 11)


def choose_rules(yard: Yard) -> DrivingRules:
    """The driving rules the yard chose, as in force when its season begins."""
    found = find_rules(yard.driving.rules, max(FIRST_EDITION, yard.season.first))
    return replace(found, loading_minutes=yard.driving.loading_minutes)


def find_stables_hours(yard: Yard, place_key: str) -> tuple[int, int]:
    """When a place takes horses: the hours that all its shows have in common [min of the day].

    The whole day for home and where no show says. The first may be after the second: never.
    """
    shows = [show for show in yard.shows if show.place_key == place_key]
    if place_key == HOME or not shows:
        return ALL_DAY
    return (
        max(show.stables_open_minutes for show in shows),
        min(show.stables_close_minutes for show in shows),
    )


def find_road_limits(yard: Yard, horses: Sequence[str] | None = None) -> Limits:
    """The strictest limits of the horses aboard; the yard's for an empty lorry.

    None stands for any horses of the yard and the empty lorry: what suits them all.
    """
    if horses is None:
        return yard.road_limits
    if not horses:
        return yard.limits
    return join_road_limits([yard.horse_by_name[name].limits for name in horses])


def count_leg_days(yard: Yard, start: str, end: str, hours: float, drivers: int) -> int | None:
    """Calendar days of a drive between two place keys, on any day, whoever is aboard [days].

    None where no lawful timetable is known.
    """
    return _count_days(
        yard, start, end, hours, drivers, find_road_limits(yard), find_stables_hours(yard, end)
    )


def count_empty_days(yard: Yard, start: str, end: str, hours: float, drivers: int) -> int | None:
    """Calendar days of a drive of an empty lorry, which keeps its driver's hours only [days].

    None where no lawful timetable is known.
    """
    return _count_days(yard, start, end, hours, drivers, None, ALL_DAY)


def _count_days(
    yard: Yard,
    start: str,
    end: str,
    hours: float,
    drivers: int,
    limits: Limits | None,
    stables: tuple[int, int],
) -> int | None:
    return count_ride_days(
        hours,
        yard.road_days.first,
        yard.road_days.last,
        find_place(yard, start).timezone,
        find_place(yard, end).timezone,
        limits,
        choose_rules(yard),
        drivers=drivers,
        stables=stables,
    )


def schedule_leg(
    yard: Yard,
    start: str,
    end: str,
    hours: float,
    day: date,
    days: int,
    *,
    drivers: int,
    loaded: bool,
    horses: Sequence[str] | None = None,
    name_town: Callable[[float], str] | None = None,
) -> Timetable:
    """The timetable of a drive between two place keys that leaves on a day and takes so many days.

    `horses` are those aboard, None for a timetable that suits any horse of the yard. Raises
    `BadValue` where there is none; `count_leg_days` says which days there are.
    """
    # What suits every horse is lawful for those aboard too, where their own is a shorter drive.
    for limits in dict.fromkeys((find_road_limits(yard, horses), find_road_limits(yard))):
        table = schedule_drive(
            hours,
            day,
            find_place(yard, start).timezone,
            find_place(yard, end).timezone,
            limits,
            choose_rules(yard),
            loaded=loaded,
            name_town=name_town,
            drivers=drivers,
            days=days,
            stables=find_stables_hours(yard, end) if loaded else ALL_DAY,
        )
        if table is not None:
            return table
    raise BadValue(
        state("values.no-timetable-of-days-from", days=days, start=start, end=end, day=day)
    )


def find_earliest_leg(
    yard: Yard,
    start: str,
    end: str,
    day: date,
    *,
    days: int | None = None,
    vehicle: str | None = None,
) -> Earliest:
    """When a lorry that leaves on a day is there at the earliest, and why not in the days given.

    `start` and `end` are place keys; without a vehicle the yard's first counts.
    """
    found = yard.vehicle_by_name[vehicle] if vehicle else next(iter(yard.vehicles), None)
    hours = yard.find_hours(start, end, found)
    if hours is None:
        return Earliest(None, state("driving.road-unknown", start=start, end=end))
    return find_earliest_arrival(
        round(hours, 2),
        day,
        find_place(yard, start).timezone,
        find_place(yard, end).timezone,
        find_road_limits(yard),
        choose_rules(yard),
        drivers=found.drivers if found else 1,
        days=days,
        stables=find_stables_hours(yard, end),
    )


def explain_no_leg(yard: Yard, start: str, end: str) -> Fact:
    """Why nothing can drive between two places: no lorry, no road, or no lawful timetable."""
    if not yard.vehicles:
        return state("driving.no-lorry")
    if yard.roads.find_drive(start, end) is None:
        return state("driving.no-road", start=start, end=end)
    for here, there in ((start, end), (end, start)):
        answer = find_earliest_leg(yard, here, there, yard.season.first)
        if answer.timetable is None and answer.reason is not None:
            return answer.reason
    return state("driving.no-timetable", start=start, end=end)


def find_place(yard: Yard, key: str) -> Place:
    """The place of `home` or a show's place key."""
    return yard.place if key == HOME else yard.roads.places[key]
