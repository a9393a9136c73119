"""An answer of the search as a circuit with its drives to the minute, for the judge to read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from tests.brute.hours import LAWS, QUARTER, Part, Placed, place
from tests.brute.roads import Drive
from tests.brute.schedules import AIM_STEP, HOME, Schedule
from tests.brute.search import Answer
from tests.build import ZONE
from tripkit.season.scorecard import finish_circuit
from tripkit.yard.circuit import Circuit, Leg, Outing, Stop, number_driver
from tripkit.yard.yard import Yard


def write_circuit(yard: Yard, answer: Answer) -> Circuit:
    """The outings and legs of a plan, priced and with its day plan."""
    outings = [o for schedule in answer.schedules for o in _write_outings(yard, schedule, answer)]
    worth = float(answer.worth % AIM_STEP)
    legs = _write_legs(yard, answer.drives, outings)
    return finish_circuit(
        yard, "by hand", "most worth", "proved best", worth, worth, 0.0, outings, legs
    )


def _write_outings(yard: Yard, schedule: Schedule, answer: Answer) -> list[Outing]:
    lead = yard.horse_by_name[schedule.horse].limits.arrive_days_before
    own = _list_journeys(schedule, answer.drives)
    barns = (HOME, *yard.base_at)
    comes = [drive for drive in own if drive.end not in barns]
    goes = [drive for drive in own if drive.start not in barns]
    outings: list[Outing] = []
    for number, (visit, link) in enumerate(zip(schedule.visits, schedule.links, strict=True)):
        if link == "stay":
            before = schedule.visits[number - 1].last
            arrive = max(before, visit.first - lead)
        else:
            drive = comes.pop(0)
            arrive = drive.depart + len(drive.parts) - 1
        following = schedule.visits[number + 1 : number + 2]
        if schedule.links[number + 1 : number + 2] == ("stay",):
            leave = max(visit.last, following[0].first - lead)
        else:
            leave = goes.pop(0).depart
        outings.append(
            Outing(
                visit.horse,
                visit.show,
                visit.rider,
                tuple(c.name for c in visit.classes),
                date.fromordinal(visit.first),
                date.fromordinal(visit.last),
                date.fromordinal(arrive),
                date.fromordinal(leave),
            )
        )
    return outings


def _list_journeys(schedule: Schedule, drives: Sequence[Drive]) -> list[Drive]:
    """A horse's drives in order; two of a day are one journey where it jumps nothing between."""
    found: list[Drive] = []
    own = [drive for drive in drives if schedule.horse in drive.horses]
    for drive in sorted(own, key=lambda drive: drive.depart):
        jumps = any(v.place == drive.start and drive.depart in v.days for v in schedule.visits)
        if found and found[-1].depart == drive.depart and not jumps:
            found[-1] = replace(found[-1], end=drive.end)
        else:
            found.append(drive)
    return found


def _write_legs(yard: Yard, drives: Sequence[Drive], outings: Sequence[Outing]) -> list[Leg]:
    """Each lorry's days are placed on the clock; whoever drives a day begins it rested."""
    held: dict[tuple[int, int], list[tuple[int, Part]]] = defaultdict(list)
    for number, drive in enumerate(drives):
        for later, part in enumerate(drive.parts):
            held[drive.lorry, drive.depart + later].append((number, part))
    times: dict[int, list[tuple[int, Placed]]] = defaultdict(list)
    drivers: dict[int, int] = {}
    for count, ((_, day), parts) in enumerate(sorted(held.items(), key=lambda i: i[0]), start=1):
        placed = place(tuple(part for _, part in parts), LAWS[yard.driving.rules])
        assert placed is not None
        known = [drivers[number] for number, _ in parts if number in drivers]
        for (number, _), at in zip(parts, placed, strict=True):
            times[number].append((day, at))
            drivers[number] = known[0] if known else count
    return [
        _write_leg(yard, drive, times[number], drivers[number], outings)
        for number, drive in enumerate(drives)
    ]


def _write_leg(
    yard: Yard,
    drive: Drive,
    days: Sequence[tuple[int, Placed]],
    driver: int,
    outings: Sequence[Outing],
) -> Leg:
    stops: list[Stop] = []
    for number, (day, at) in enumerate(days):
        if number:
            before, earlier = days[number - 1]
            slept = _read_clock(before, earlier.start + earlier.span)
            minutes = (_read_clock(day, at.start) - slept) // timedelta(minutes=1)
            stops.append(Stop("overnight", slept, minutes, ""))
        halted = 0
        for driven, pause in at.halts:
            kind = "water" if drive.horses else "break"
            start = _read_clock(day, at.start + driven + halted)
            stops.append(Stop(kind, start, pause * QUARTER, ""))
            halted += pause
    (first, begun), (last, ended) = days[0], days[-1]
    road = yard.roads.find_drive(drive.start, drive.end)
    assert road is not None
    assert road.hours is not None
    return Leg(
        yard.vehicles[drive.lorry].vehicle,
        _name(yard, drive.start, first, drive.horses, outings),
        _name(yard, drive.end, last, drive.horses, outings),
        _read_clock(first, begun.start),
        _read_clock(last, ended.start + ended.span),
        road.km,
        road.hours,
        (number_driver(driver),),
        drive.horses,
        tuple(stops),
    )


def _read_clock(day: int, quarter: int) -> datetime:
    """A quarter of a day's hours on the yard's clock; no clock is changed in these seasons."""
    midnight = datetime.combine(date.fromordinal(day), time(), ZoneInfo(ZONE))
    return midnight + timedelta(minutes=quarter * QUARTER)


def _name(yard: Yard, key: str, day: int, horses: Sequence[str], outings: Sequence[Outing]) -> str:
    """The show of a place that the horses aboard come from or go to, else the nearest in time."""
    if key == HOME:
        return HOME
    if key in yard.base_at:
        return yard.base_at[key].base
    own = {(o.show, o.horse) for o in outings}
    shows = [show for show in yard.shows if show.place_key == key]
    meant = [show for show in shows if any((show.show, horse) in own for horse in horses)]
    near = min(meant or shows, key=lambda s: abs(s.days.first.toordinal() - day))
    return near.show
