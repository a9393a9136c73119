"""How lorries carry the horses: what each does between two nights, and where it stands meanwhile.

A lorry has *day plans*: one drive, or two that one crew may drive one after the other, or three
where the second takes more than a day. Which drives fit into a day is settled by whether there is
such a plan, so hours and times of day cost no constraint. Between its plans a lorry waits.

An empty lorry goes where horses are loaded next, on that day or the day before, or home as soon as
it has unloaded (or to a base where it may end the season): whatever it does later it can do from
there as well.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain
from typing import TypeAlias

from tripkit.planning.chances import DayPlan, Drive, Fleet, Pace, find_first_leg_day, is_clear
from tripkit.planning.mip import INFINITY
from tripkit.planning.problem import Problem
from tripkit.planning.program import Season
from tripkit.yard.places import HOME

Carriers: TypeAlias = list[tuple[int, Fleet]]
"""Columns that count lorries of a fleet."""
Loads: TypeAlias = dict[str, list[int]]
"""By horse the columns of its moves that take one drive."""


def add_vehicle_flows(season: Season) -> None:
    """A vehicle is at one place at a time, starts where its last leg ended, and ends at home.

    One of the yard's own may end at a base that stays, too.

    Rule `one-place`.
    """
    plans = {pace: sorted(_list_plans(season, pace), key=_rank) for pace in season.problem.paces}
    for fleet in season.problem.fleets:
        events: dict[str, dict[int, list[tuple[int, float]]]] = defaultdict(
            lambda: defaultdict(list)
        )
        holding: dict[Drive, list[int]] = defaultdict(list)
        for plan in plans[fleet.pace]:
            first, last = plan[0].depart, season.problem.arrival_of(plan[-1])
            if not may_run(season.problem, fleet, first, last):
                continue
            column = season.mip.add_variable(0.0, float(fleet.count), integer=True)
            season.plans_of[fleet, plan] = column
            events[plan[0].start][first].append((column, -1.0))
            events[plan[-1].end][last + 1].append((column, 1.0))
            for drive in plan:
                if drive.loaded:
                    holding[drive].append(column)
        for drive, columns in holding.items():
            leg = season.legs_of[fleet, drive] = season.mip.add_variable(0.0, float(fleet.count))
            season.mip.add_row([(leg, 1.0), *((c, -1.0) for c in columns)], 0.0, 0.0)
        if "one-place" in season.problem.without:
            continue
        if fleet.start != HOME:
            # Its first day there is an event, so that it waits for whoever leaves later.
            events[fleet.start].setdefault(fleet.free_from, [])
            events[HOME].setdefault(fleet.free_from, [])
        ends = [
            _close_place(
                season, place, events[place], fleet, list_shut(season.problem, fleet, place)
            )
            for place in sorted(events)
        ]
        home = [(column, 1.0) for column in ends if column is not None]
        if len(home) > 1:
            season.mip.add_row(home, float(fleet.count), float(fleet.count))
        elif home:
            season.mip.lower[home[0][0]] = float(fleet.count)


def _rank(plan: DayPlan) -> tuple[object, ...]:
    return tuple((d.depart, d.start, d.end, d.earliest, d.latest, d.loaded) for d in plan)


def may_run(problem: Problem, fleet: Fleet, first: int, last: int) -> bool:
    """Whether a lorry of a fleet may be on the road from a day to a day.

    Rule `window`.
    """
    low = max(find_first_leg_day(problem.yard), fleet.free_from)
    absent = () if "window" in problem.without else fleet.absences
    inside = low <= first and last <= problem.yard.road_days.last.toordinal()
    return inside and is_clear(absent, first, last)


def list_shut(problem: Problem, fleet: Fleet, place: str) -> list[tuple[int, int]]:
    """On which days a lorry must not stand at a place away, because it is absent elsewhere.

    One that begins before it can be where it belongs is kept where it stands. Rule `window`.
    """
    found = []
    free_from = max(find_first_leg_day(problem.yard), fleet.free_from)
    for row in problem.yard.absences if "window" not in problem.without else ():
        if row.who != fleet.vehicles[0] or place in (HOME, row.at):
            continue
        first, last = row.days.first.toordinal(), row.days.last.toordinal()
        ride = problem.find_ride(fleet.start, row.at, fleet.pace, loaded=False)
        if fleet.start == row.at or (ride is not None and free_from + ride.days <= first):
            found.append((first, last))
    return found


def _close_place(
    season: Season,
    place: str,
    events: Mapping[int, list[tuple[int, float]]],
    fleet: Fleet,
    shut: Sequence[tuple[int, int]],
) -> int | None:
    """Balances a place; the column of those there at the season's end, where any may be."""
    waiting: int | None = None
    last = place == HOME or place in list_last_places(season.problem, fleet)
    count = fleet.count
    days = sorted(events)
    for i, day in enumerate(days):
        terms = list(events[day])
        supply = 0.0
        if waiting is not None:
            terms.append((waiting, 1.0))
        elif place == fleet.start:
            supply = float(count)
        if i < len(days) - 1 or last:
            end = days[i + 1] - 1 if i < len(days) - 1 else day
            most = float(count) if is_clear(shut, day, end) else 0.0
            waiting = season.waits_of[fleet, place, day, end] = season.mip.add_variable(0.0, most)
            terms.append((waiting, -1.0))
        season.mip.add_row(terms, -supply, -supply)
    return waiting if last else None


def list_last_places(problem: Problem, fleet: Fleet) -> list[str]:
    """The bases at which a lorry may stand when the season ends; one on hire is given back."""
    last = problem.yard.season.last
    own = not fleet.per_day_cents
    return [k for k, b in problem.yard.base_at.items() if own and b.stays and b.has_night(last)]


def _list_plans(season: Season, pace: Pace) -> set[DayPlan]:
    """The day plans of lorries of a pace: with horses, and empty to them or home from them."""
    problem = season.problem
    drives = (drive for move in season.moves_of for drive in move.drives)
    loaded = list(dict.fromkeys(drive for drive in drives if drive.pace == pace))
    roads = _Roads(problem, pace, loaded)
    found: set[DayPlan] = {(drive,) for drive in loaded}
    for fleet in problem.fleets:
        if fleet.pace == pace and fleet.start != HOME:
            # A lorry that is away may go home empty on any day.
            days = range(fleet.free_from, problem.yard.road_days.last.toordinal() + 1)
            found |= {(empty,) for day in days for empty in roads.go(fleet.start, HOME, day)}
            roads.came[fleet.start].add(fleet.free_from)
    for drive in loaded:
        for place in roads.list_sources(drive.start, drive.depart):
            found |= {(empty,) for empty in roads.reach(place, drive.start, drive.depart - 1)}
        for place in roads.homes:
            there = problem.arrival_of(drive)
            found |= {(empty,) for empty in roads.go(drive.end, place, there + 1)}
    if problem.plain or problem.yard.limits.drives_per_day == 1:
        return found
    moved = _list_long_transfers(season)
    possible = {plan for d in loaded if d not in moved for plan in roads.list_pairs(d)}
    possible = {plan for plan in possible if not moved.intersection(plan)}
    pairs = {plan for plan in possible if problem.may_drive(plan)}
    return found | pairs | _join_pairs(problem, pairs)


def _list_long_transfers(season: Season) -> set[Drive]:
    """Drives of several days that take horses to a base or from one, and none to a show or from it.

    Such a lorry drives nothing else on its first and last day.
    """
    moves = [move for move in season.moves_of if len(move.drives) == 1]
    shows = {m.drives[0] for m in moves if m.comes is not None or m.leaves is not None}
    transfers = {m.drives[0] for m in moves} - shows
    return {drive for drive in transfers if season.ride_for(drive).days > 1}


def _join_pairs(problem: Problem, pairs: set[DayPlan]) -> set[DayPlan]:
    """A drive of several days may have another on its first day and one more on its last.

    So may that one, if it takes several days as well.
    """
    after: dict[Drive, list[Drive]] = defaultdict(list)
    for first, second in pairs:
        after[first].append(second)
    found: set[DayPlan] = set()
    joined = pairs
    while joined:
        longer = {
            (*plan, following)
            for plan in joined
            if problem.ride_for(plan[-1]).days > 1
            for following in after[plan[-1]]
        }
        joined = {plan for plan in longer if _holds(problem, plan) and problem.may_drive(plan)}
        found |= joined
    return found


def _holds(problem: Problem, plan: DayPlan) -> bool:
    """Whether a crew has so many hours at all in the days of a plan: quicker asked than placed."""
    days = problem.arrival_of(plan[-1]) - plan[0].depart + 1
    hours = sum(problem.ride_for(drive).hours for drive in plan)
    most = max(problem.rules.hours_per_day, problem.rules.long_day_hours)
    return hours <= plan[0].pace.drivers * most * days


class _Roads:
    """The drives with horses at one pace, by where and when they begin and end; empty runs."""

    def __init__(self, problem: Problem, pace: Pace, loaded: Iterable[Drive]) -> None:
        self.problem, self.pace = problem, pace
        self.leaving: dict[tuple[str, int], list[Drive]] = defaultdict(list)
        self.came: dict[str, set[int]] = defaultdict(set)
        for drive in loaded:
            self.leaving[drive.start, drive.depart].append(drive)
            self.came[drive.end].add(problem.arrival_of(drive))
        self.loading: dict[int, set[str]] = defaultdict(set)
        for place, day in self.leaving:
            self.loading[day].add(place)
        last = (list_last_places(problem, fleet) for fleet in problem.fleets)
        self.homes = dict.fromkeys((HOME, *chain.from_iterable(last)))
        self.longest = max((ride.days for ride in problem.empty_rides.values()), default=1)

    def go(self, start: str, end: str, depart: int) -> Iterator[Drive]:
        """The empty run that leaves on a day, where there is a road."""
        ride = self.problem.find_ride(start, end, self.pace, loaded=False)
        if ride is not None and self.problem.is_open(start, depart):
            yield Drive(start, end, depart, self.pace, loaded=False)

    def reach(self, start: str, end: str, arrive: int) -> Iterator[Drive]:
        """The empty run that arrives on a day."""
        ride = self.problem.find_ride(start, end, self.pace, loaded=False)
        if ride is not None and self.problem.is_open(start, arrive - ride.days + 1):
            yield Drive(start, end, arrive - ride.days + 1, self.pace, loaded=False)

    def list_sources(self, place: str, day: int) -> Iterator[str]:
        """Whence a lorry may come empty to load: home, and where it may stand since it unloaded."""
        for other, days in self.came.items():
            if other not in (place, HOME) and min(days) <= day:
                yield other
        if place != HOME:
            yield HOME

    def list_pairs(self, drive: Drive) -> Iterator[DayPlan]:
        """A drive with horses after an empty run of the same day, and what may come after it."""
        for place in self.list_sources(drive.start, drive.depart):
            for empty in self.reach(place, drive.start, drive.depart):
                yield empty, drive
        for later in self.list_next(drive):
            yield drive, later

    def list_next(self, drive: Drive) -> Iterator[Drive]:
        """What a lorry may drive on the day on which a drive ends: a load, home, to the next load.

        That it loads on the day after it gets there.
        """
        there = self.problem.arrival_of(drive)
        yield from self.leaving.get((drive.end, there), ())
        if not drive.loaded:
            return
        for place in self.homes:
            yield from self.go(drive.end, place, there)
        for later in range(there + 1, there + self.longest + 1):
            for place in sorted(self.loading.get(later, ())):
                for empty in self.reach(drive.end, place, later - 1):
                    if place not in (drive.end, HOME) and empty.depart == there:
                        yield empty


def carry_horses(season: Season) -> None:
    """No horse moves without a vehicle, and none carries more horses than it has places.

    Rule `places`.
    """
    aboard: dict[Drive, Loads] = defaultdict(lambda: defaultdict(list))
    calling: dict[DayPlan, Loads] = defaultdict(lambda: defaultdict(list))
    for move, column in season.moves_of.items():
        for drive in move.drives:
            aboard[drive][move.horse].append(column)
        if len(move.drives) > 1:
            calling[move.drives][move.horse].append(column)
    legs: dict[Drive, Carriers] = defaultdict(list)
    for (fleet, drive), column in season.legs_of.items():
        legs[drive].append((column, fleet))
    plans: dict[DayPlan, Carriers] = defaultdict(list)
    for (fleet, plan), column in season.plans_of.items():
        plans[plan].append((column, fleet))
    for drive, horses in aboard.items():
        _take_aboard(season, horses, legs[drive])
    for plan, horses in calling.items():
        # Who stays aboard at a call is on the lorry that drives on.
        _take_aboard(season, horses, plans[plan])


def _take_aboard(season: Season, horses: Loads, carriers: Carriers) -> None:
    """A horse takes one drive once, whatever it comes after and in time for."""
    for columns in horses.values():
        taken = [(c, 1.0) for c in columns]
        season.mip.add_row([*taken, *((c, -1.0) for c, _ in carriers)], -INFINITY, 0.0)
    if "places" not in season.problem.without:
        places = [(c, -float(fleet.places)) for c, fleet in carriers]
        aboard = [(c, 1.0) for columns in horses.values() for c in columns]
        season.mip.add_row([*aboard, *places], -INFINITY, 0.0)
