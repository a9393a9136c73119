"""The true reasons to drop a class sent or paid: the rules that forbid it, and no known road.

Each is asked beside the bound classes of the horse there that are kept, whatever else it does;
whether it clashes with what is kept elsewhere says `beside`.
Which rules have a say, and who says it, stands in the table `yard.rules`; so does who says which
classes may stand together, sent or paid or not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import product
from math import ceil

from tripkit.driving.shifts import Run, may_drive
from tripkit.driving.timetables import count_leg_days
from tripkit.eligibility.classes import fits_class
from tripkit.judging.beside import CLASHES, Beside
from tripkit.judging.case import Case, find_evening, find_morning, shift
from tripkit.yard.days import DaySpan
from tripkit.yard.horses import Horse
from tripkit.yard.names import find_function
from tripkit.yard.people import Person
from tripkit.yard.places import HOME
from tripkit.yard.recovery import count_arrival_days, count_rest_days
from tripkit.yard.rules import CLASHING, ROAD, RULES
from tripkit.yard.shows import Show, ShowClass, Start
from tripkit.yard.vehicles import Vehicle
from tripkit.yard.yard import Yard


@dataclass(frozen=True)
class Way:
    """One vehicle from where horses live to a show, or back: hours, days, when it is absent.

    `barn` is home or the place of a base. `same_day`: it can come on the day of the first class, or
    leave on that of the last.
    """

    barn: str
    hours: float
    days: int
    absences: tuple[DaySpan, ...]
    same_day: bool


@dataclass(frozen=True)
class BoundClass:
    """A class of a show for which a horse was sent or paid, as the circuit stands."""

    case: Case
    horse: Horse
    show: Show
    offered: ShowClass

    @cached_property
    def starts(self) -> tuple[Start, ...]:
        """Itself, then the other classes kept there: bound or lived, and not dropped."""
        case, name, show = self.case, self.horse.horse, self.show.show
        dropped = {(d.horse, d.show, d.class_name) for d in case.circuit.dropped_entries}
        lived = case.find_begun(name, show)
        begun = {(name, show, jumped) for jumped in (lived.classes if lived else ())}
        keys = {key for key in (*case.yard.bound_entries, *begun) if key not in dropped}
        kept = (c for c in self.show.classes if (name, show, c.name) in keys)
        stand = (self.offered, *(c for c in kept if c.name != self.offered.name))
        rider = lived.rider if lived else self.horse.rider
        return tuple(Start(self.horse, offered, rider) for offered in stand)

    @cached_property
    def beside(self) -> Beside:
        """Itself with the other classes kept there, beside all that is kept elsewhere."""
        days = [start.offered.day for start in self.starts]
        return Beside(self.case, self.horse, self.show, DaySpan(min(days), max(days)))

    @cached_property
    def riders(self) -> tuple[Person, ...]:
        """Whom the class fits on this horse."""
        yard = self.case.yard
        riders = yard.riders.values()
        return tuple(r for r in riders if fits_class(yard, self.horse, self.offered, r))

    @cached_property
    def ways_out(self) -> tuple[Way, ...]:
        """The lawful drives from where horses live to the show."""
        return tuple(self._list_ways(coming=True))

    @cached_property
    def ways_back(self) -> tuple[Way, ...]:
        """The lawful drives from the show to where horses live."""
        return tuple(self._list_ways(coming=False))

    def _list_ways(self, *, coming: bool) -> Iterator[Way]:
        yard, key = self.case.yard, self.show.place_key
        for vehicle, barn in product(self.case.yard.vehicles, (HOME, *yard.base_at)):
            ends = (barn, key) if coming else (key, barn)
            way = None if barn == key else measure_way(self.case, vehicle, *ends)
            if way is not None:
                hours, days = way
                absences = self.case.find_absences(vehicle.vehicle)
                same_day = self._fits_on_the_day(vehicle, ends, hours, coming=coming)
                yield Way(barn, hours, days, absences, same_day)

    def _fits_on_the_day(
        self, vehicle: Vehicle, ends: tuple[str, str], hours: float, *, coming: bool
    ) -> bool:
        """Whether a vehicle may come on the first class day, or leave on the last evening."""
        yard, limits = self.case.yard, self.horse.limits
        classes = [start.offered for start in self.starts]
        edge = (min if coming else max)(c.day for c in classes)
        jumped = [c for c in classes if c.day == edge]
        if coming:
            rested = not limits.arrive_days_before and not count_rest_days(hours, limits)
            run = Run(*ends, hours, 1, loaded=True, latest=find_morning(jumped))
            return rested and may_drive(yard, (run,), vehicle.drivers)
        leave = ceil(find_evening(self.case, self.horse, jumped))
        return may_drive(
            yard, (Run(*ends, hours, 1, loaded=True, earliest=leave),), vehicle.drivers
        )

    def _has_box(self, place_key: str, first: date, last: date) -> bool:
        """Whether a base at a place is open on all nights from one to another."""
        base = self.case.yard.base_at.get(place_key)
        return base is not None and all(base.has_night(night) for night in DaySpan(first, last))

    @property
    def can_come_and_go(self) -> bool:
        """Whether some vehicle can bring the horse and some vehicle fetch it, none being absent.

        From home or a base, or from its box in the town.
        """
        case, horse, show = self.case, self.horse, self.show
        days = [start.offered.day for start in self.starts]
        first, last = min(days), max(days)
        begin, end = case.yard.road_days.first, case.yard.road_days.last
        if case.yard.begun.legs:
            begin = shift(case.yard.day_of_planning, 1)
        absences = case.find_absences(horse.horse)
        stands = case.stands_at(horse.horse, show.place_key)
        comes = stands or self._has_box(show.place_key, shift(first, -1), shift(last, -1))
        goes = stands and (horse.horse, show.show) in case.yard.begun.outing_keys
        goes = goes or self._has_box(show.place_key, last, last)
        for way in self.ways_out:
            lead = 0 if way.same_day else count_arrival_days(horse.limits, way.hours)
            arrive = shift(first, -lead)
            while not comes and arrive >= show.stabling.first:
                depart = shift(arrive, 1 - way.days)
                away, drive = DaySpan(depart, last), DaySpan(depart, arrive)
                night = shift(depart, -1)
                comes = way.barn == HOME or self._has_box(way.barn, night, night)
                comes = comes and depart >= begin and not _overlaps(absences, away)
                comes = comes and not _overlaps(way.absences, drive)
                arrive = shift(arrive, -1)
        for way in self.ways_back:
            leave = shift(last, 0 if way.same_day else 1)
            while not goes and leave <= show.stabling.last:
                back = shift(leave, way.days - 1)
                away, drive = DaySpan(first, back), DaySpan(leave, back)
                goes = way.barn == HOME or self._has_box(way.barn, back, back)
                goes = goes and back <= end and not _overlaps(absences, away)
                goes = goes and not _overlaps(way.absences, drive)
                leave = shift(leave, 1)
        return comes and goes


def measure_way(case: Case, vehicle: Vehicle, start: str, end: str) -> tuple[float, int] | None:
    """Hours and days of a drive between two place keys, None where there is no lawful one."""
    hours = case.yard.find_hours(start, end, vehicle)
    if hours is None:
        return None
    hours = round(hours, 2)
    days = count_leg_days(case.yard, start, end, hours, vehicle.drivers)
    return None if days is None else (hours, days)


def _overlaps(absences: Sequence[DaySpan], days: DaySpan) -> bool:
    return any(absence.overlaps(days) for absence in absences)


DROPPING = tuple(rule for rule in RULES if rule.forbidden_by or rule.clash_judged_by)
GROUNDS = (*(rule.id for rule in DROPPING), ROAD, *CLASHES)
"""By which rules a class may be dropped, and the one ground beside them."""


def find_clashes(yard: Yard, start: Start, beside: Sequence[Start]) -> list[str]:
    """Which rules forbid a start beside others at the show: the horse's own, or its rider's."""
    return [
        rule.id
        for rule in CLASHING
        if find_function("judging", rule.clash_judged_by)(yard, start, beside)
    ]


def find_grounds(bound: BoundClass) -> list[str]:
    """Which rules forbid a bound class beside the bound classes that are not dropped."""
    start, *beside = bound.starts
    clashes = find_clashes(bound.case.yard, start, beside)
    found = [
        rule.id
        for rule in DROPPING
        if rule.id in clashes
        or (rule.forbidden_by and find_function("judging", rule.forbidden_by)(bound))
    ]
    if not (bound.ways_out and bound.ways_back):
        found.append(ROAD)
    asked = CLASHES.items()
    kept = bound.beside
    return found + [name for name, breaks in asked if find_function("judging", breaks)(kept)]
