"""What a planner sees of a yard: who could go where on which days, in whole numbers.

Days are ordinals (`date.toordinal`), money is cents, worth is in units of 1/`WORTH_SCALE`.
Everything a single outing forbids by itself is settled here and in `chances`; what outings forbid
each other is left to the planner.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from fractions import Fraction
from functools import cached_property
from typing import Any

from tripkit.driving.leg import count_rider_days
from tripkit.driving.rules import RULES, DrivingRules
from tripkit.driving.shifts import Run, may_drive, schedule_runs
from tripkit.driving.timetables import count_empty_days, count_leg_days
from tripkit.planning.chances import (
    Chance,
    DayPlan,
    Drive,
    Fleet,
    Pace,
    Ride,
    run_of,
    weigh_chance,
)
from tripkit.planning.standing import find_free_day, list_left_behind, weigh_standing
from tripkit.yard.answers import Bar
from tripkit.yard.circuit import DroppedEntry
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.money import round_cents
from tripkit.yard.places import HOME
from tripkit.yard.recovery import count_needed_clear_days, count_rest_days
from tripkit.yard.shows import ShowClass
from tripkit.yard.vehicles import Vehicle
from tripkit.yard.yard import Yard


@dataclass(frozen=True, eq=False)
class Problem:
    """All chances of a season, the fleets, and why the other pairs of horse and show are out.

    Where it is `free`, entries sent or paid need not be kept, and nothing else is planned but what
    a horse may stay on from, or for, at the same place.
    `left_out` are the freedoms of the rules that its program does not have and that may matter.
    `lawful` remembers which drives one crew may drive one after the other, on whichever day.
    """

    yard: Yard
    first: int
    last: int
    chances: tuple[Chance, ...]
    fleets: tuple[Fleet, ...]
    rides: Mapping[tuple[str, str, Pace], Ride]
    empty_rides: Mapping[tuple[str, str, Pace], Ride]
    dropped: tuple[DroppedEntry, ...] = ()
    excluded: Mapping[tuple[str, str], tuple[Bar, ...]] = field(default_factory=dict)
    without: frozenset[str] = frozenset()
    plain: bool = False
    free: bool = False
    left_out: tuple[Fact, ...] = ()
    lawful: dict[tuple[object, ...], bool] = field(default_factory=dict)

    @property
    def rules(self) -> DrivingRules:
        """The driving rules the yard chose."""
        return RULES[self.yard.driving.rules]

    @cached_property
    def sole_rider_of(self) -> Mapping[str, str]:
        """Who alone rides each horse, wherever it can go; empty where several may."""
        riders: dict[str, set[str]] = {}
        for chance in self.chances:
            if not chance.begun:
                riders.setdefault(chance.horse, set()).update(*(c.riders for c in chance.choices))
        return {
            horse.horse: horse.rider if riders.get(horse.horse, set()) <= {horse.rider} else ""
            for horse in self.yard.horses
        }

    @cached_property
    def places(self) -> tuple[str, ...]:
        """The places of the shows that some horse could go to, and of the bases."""
        shows = (chance.place_key for chance in self.chances)
        return tuple(dict.fromkeys((*shows, *self.yard.base_at)))

    def is_open(self, place: str, day: int) -> bool:
        """Whether a lorry may be at a place: one that has no shows on the days of its base only."""
        base = self.yard.base_at.get(place)
        return base is None or place in self._show_places or date.fromordinal(day) in base.days

    @cached_property
    def _show_places(self) -> frozenset[str]:
        return frozenset(show.place_key for show in self.yard.shows)

    @property
    def paces(self) -> tuple[Pace, ...]:
        """The paces of the fleets, each once."""
        return tuple(dict.fromkeys(fleet.pace for fleet in self.fleets))

    def find_ride(self, start: str, end: str, pace: Pace, *, loaded: bool = True) -> Ride | None:
        """The drive between two place keys at a pace, None where there is no road."""
        return (self.rides if loaded else self.empty_rides).get((start, end, pace))

    def list_rides_to(self, end: str) -> list[Ride]:
        """The drives with horses to a place key, from everywhere, at each pace."""
        return [ride for ride in self.rides.values() if ride.end == end]

    def ride_for(self, drive: Drive) -> Ride:
        """The drive's km, hours and days; `BadValue` where there is no such road."""
        ride = self.find_ride(drive.start, drive.end, drive.pace, loaded=drive.loaded)
        if ride is None:
            raise BadValue(state("values.no-road-from-to-2", start=drive.start, end=drive.end))
        return ride

    def arrival_of(self, drive: Drive) -> int:
        """The day on which a drive arrives."""
        return drive.depart + self.ride_for(drive).days - 1

    def may_drive(self, plan: DayPlan) -> bool:
        """Whether one crew may drive these drives one after the other, each when it has to.

        Rule `driving`.
        """
        if "driving" in self.without:
            return True
        key = tuple((d.start, d.end, d.pace, d.earliest, d.latest, d.loaded) for d in plan)
        if key not in self.lawful:
            runs = self.list_runs(plan)
            self.lawful[key] = may_drive(self.yard, runs, plan[0].pace.drivers)
        return self.lawful[key]

    def may_share_day(self, plan: DayPlan) -> bool:
        """Whether a horse may be driven by all of these on one day: their hours are its own.

        Rule `driving`.
        """
        runs = self.list_runs(plan)
        return may_drive(self.yard, runs, plan[0].pace.drivers, together=True)

    def may_stay_aboard(self, plan: DayPlan) -> bool:
        """Whether horses may stay aboard where a lorry calls: from loading to unloading is one day.

        Rule `driving`.
        """
        if "driving" in self.without:
            return False
        longest = timedelta(hours=self.yard.road_limits.horse_hours_per_day)
        hours = sum(self.ride_for(drive).hours for drive in plan)
        if timedelta(hours=hours) > longest or not self.may_drive(plan):
            return False
        key = ("aboard", *((d.start, d.end, d.pace, d.earliest, d.latest) for d in plan))
        if key not in self.lawful:
            tables = schedule_runs(
                self.yard,
                self.list_runs(plan),
                self.yard.season.first,
                drivers=plan[0].pace.drivers,
                aboard=[None for _ in plan],
            )
            away = None if tables is None else tables[-1].arrive - tables[0].depart
            self.lawful[key] = away is not None and away <= longest
        return self.lawful[key]

    def list_runs(self, plan: DayPlan) -> tuple[Run, ...]:
        """The drives of a plan as the clock sees them."""
        return tuple(run_of(drive, self.ride_for(drive)) for drive in plan)

    def count_rider_gap(self, start: str, end: str) -> int:
        """Clear days a rider needs between class days at two places [days]."""
        if start == end:
            return 0
        hours = self.yard.find_hours(start, end)
        if hours is None:
            return self.last - self.first
        return count_rider_days(hours, self.yard.limits, self.rules)

    def count_rest(self, horse: str, ride: Ride) -> int:
        """Whole days of rest that a horse needs after a ride, by its own table [days]."""
        return count_rest_days(ride.hours, self.yard.horse_by_name[horse].limits)

    def compute_key(self, horse: str, first: int, ride: Ride | None) -> int:
        """The day by which a horse must be recovered to begin at `first` after a ride.

        The outward drive and the rest after it take days from the recovery; see `recovery`.

        Rule `recovery`.
        """
        limits = self.yard.horse_by_name[horse].limits
        base = count_needed_clear_days(limits, 0, 0)
        if ride is None or "recovery" in self.without:
            return first
        rest = self.count_rest(horse, ride)
        return first - (count_needed_clear_days(limits, ride.days, rest) - base)

    def compute_ready(self, horse: str, last: int, extra_days: int = 0) -> int:
        """The first day on which a horse is recovered from an outing that ended on `last`.

        Rule `recovery`.
        """
        if "recovery" in self.without:
            return last + 1
        limits = self.yard.horse_by_name[horse].limits
        return last + 1 + count_needed_clear_days(limits, 0, 0) + extra_days


def build_problem(
    yard: Yard,
    *,
    tour: str | None = None,
    forbidden: Collection[tuple[str, str]] = (),
    without: Collection[str] = (),
    late_days: int = 0,
    plain: bool = False,
    free: bool = False,
) -> Problem:
    """Every horse at every show it could go to, as the rules for a single outing leave it.

    With `tour`, shows of other tours are out. `forbidden` are (horse, show) pairs to leave out.
    `without` names rules to leave out: the tests use it to see that the judge misses them, and
    the explanation of "no circuit fits" to find which rules collide. Horses that are away today
    may stay `late_days` longer than stabling is open. A `plain` season, with one drive a lorry and
    day, is sooner searched. A `free` one asks which of the entries sent or paid can be kept.
    """
    skipped = frozenset(without)
    fleets = _group_vehicles(yard)
    rides = list_rides(yard, fleets, skipped)
    chances: list[Chance] = []
    dropped: list[DroppedEntry] = []
    excluded: dict[tuple[str, str], tuple[Bar, ...]] = {}
    bound_places: dict[str, set[str]] = defaultdict(set)
    for name, show_id, _ in yard.bound_entries:
        bound_places[name].add(yard.place_key_of(show_id))
    for horse in yard.horses:
        standing, behind = weigh_standing(yard, horse, skipped, late_days)
        dropped += behind
        if standing is not None:
            chances.append(standing)
        for show in yard.shows:
            key = (horse.horse, show.show)
            if standing is not None and standing.show == show.show:
                continue
            if key in yard.begun.outing_keys:
                been = state("planning.has-been", horse=horse.horse, show=show.show)
                excluded[key] = (Bar("", been),)
                dropped += list_left_behind(yard, horse, show)
                continue
            bound = tuple(
                c
                for c in show.classes
                if (*key, c.name) in yard.bound_entries and not _is_over(yard, c)
            )
            if free and not bound and show.place_key not in bound_places[horse.horse]:
                continue
            kept = bound or key in yard.held
            if not kept and tour and show.tour and show.tour != tour:
                other = state("planning.other-tour", show=show.show, tour=show.tour)
                excluded[key] = (Bar("", other),)
                continue
            if not bound and key in forbidden:
                excluded[key] = (Bar("", state("planning.forbidden")),)
                continue
            chance, lost, bars = weigh_chance(
                yard, horse, show, bound, fleets, rides, skipped, free=free
            )
            dropped += lost
            if chance is None:
                excluded[key] = bars
            else:
                chances.append(chance)
    return Problem(
        yard,
        yard.season.first.toordinal(),
        yard.season.last.toordinal(),
        tuple(chances),
        fleets,
        rides,
        list_rides(yard, fleets, skipped, loaded=False),
        tuple(dropped),
        excluded,
        skipped,
        plain,
        free,
    )


def list_bound_outings(yard: Yard) -> list[tuple[str, str]]:
    """The outings (horse, show) that entries sent or paid ask for and that are still to come."""
    return sorted(
        {
            (horse, show)
            for horse, show, name in yard.bound_entries
            if (offered := yard.find_class(show, name)) and not _is_over(yard, offered)
        }
    )


def _is_over(yard: Yard, offered: ShowClass) -> bool:
    """Whether a class lies in the part of the season that was lived: it is not planned again."""
    return bool(yard.begun.legs) and offered.day <= yard.day_of_planning


def _group_vehicles(yard: Yard) -> tuple[Fleet, ...]:
    groups: dict[tuple[Any, ...], list[Vehicle]] = {}
    for vehicle in yard.vehicles:
        away = tuple((a.days, a.at) for a in yard.absences if a.who == vehicle.vehicle)
        stand = yard.begun.stand_of.get(vehicle.vehicle)
        start = HOME if stand is None else yard.place_key_of(stand.stop)
        kind = (
            vehicle.places,
            yard.cents_per_km_of(vehicle),
            yard.speed_kmh_of(vehicle),
            vehicle.drivers,
            away,
            vehicle.per_day_cents if vehicle.hire else 0,
            start,
            find_free_day(yard, stand),
        )
        groups.setdefault(kind, []).append(vehicle)
    return tuple(
        Fleet(
            tuple(v.vehicle for v in vehicles),
            vehicles[0].places,
            Fraction(yard.cents_per_km_of(vehicles[0])),
            Pace(yard.speed_kmh_of(vehicles[0]), vehicles[0].drivers),
            tuple(
                (days.first.toordinal(), days.last.toordinal())
                for days in yard.absences_of(vehicles[0].vehicle)
            ),
            start,
            free_from,
            per_day_cents,
        )
        for (*_, per_day_cents, start, free_from), vehicles in groups.items()
    )


def list_rides(
    yard: Yard, fleets: tuple[Fleet, ...], without: frozenset[str], *, loaded: bool = True
) -> Mapping[tuple[str, str, Pace], Ride]:
    """The lawful drives between home, bases and shows, at each pace; where none is, no ride.

    An empty lorry keeps its driver's hours only.

    Rule `driving`.
    """
    shows = (show.place_key for show in yard.shows)
    keys = [HOME, *dict.fromkeys((*shows, *yard.base_at))]
    count = count_leg_days if loaded else count_empty_days
    rides: dict[tuple[str, str, Pace], Ride] = {}
    for pace in dict.fromkeys(fleet.pace for fleet in fleets):
        for start in keys:
            for end in keys:
                drive = yard.roads.find_drive(start, end)
                if start == end or drive is None:
                    continue
                hours = round(drive.compute_hours(pace.speed_kmh), 2)
                days = 1
                if "driving" not in without:
                    lawful = count(yard, start, end, hours, pace.drivers)
                    if lawful is None:
                        continue
                    days = lawful
                rides[start, end, pace] = Ride(start, end, round(drive.km, 1), hours, days)
    return rides


def price_ride(ride: Ride, fleet: Fleet) -> int:
    """What one drive of a vehicle of a fleet costs [cents], rounded once for the whole drive."""
    return round_cents(Fraction(str(ride.km)) * fleet.cents_per_km)
