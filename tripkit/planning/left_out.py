"""What the planner leaves out of the freedoms that the rules give, where it can matter.

A freedom that changes nothing in this season is not told: what a yard has no case of is proved
with it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from itertools import permutations, product
from typing import NamedTuple

from tripkit.planning.chances import (
    Chance,
    Ride,
    count_days_before,
    find_evening,
    find_morning,
)
from tripkit.planning.places import moves_on_some_weekdays
from tripkit.planning.problem import Problem
from tripkit.yard.facts import Fact, state
from tripkit.yard.goals import MOST_WORTH, Goal
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard

PLANNED_DRIVES = 2
"""So many drives of a lorry on a day are planned."""
TRANSIT_NIGHTS = 1
"""So long the rules let a horse stand where it has no outing."""
NEAR_DAYS = 14
"""Longer than any two drives, one after the other."""


def list_left_out(problem: Problem) -> tuple[Fact, ...]:
    """The freedoms of the rules that no bound holds for, whatever the goal."""
    matters = {
        "drives": problem.yard.limits.drives_per_day > PLANNED_DRIVES,
        "change": _may_change(problem),
        "home": any(_passes_home(pair) for pair in _list_pairs(problem)),
        "carry": any(_carries_on(pair) for pair in _list_pairs(problem)),
        "bases": bool(problem.yard.bases) and bool(problem.chances),
        "base-days": bool(problem.yard.bases) and moves_on_some_weekdays(problem),
        "hours": any(_waits_for_others(problem, chance) for chance in problem.chances),
    }
    lorries = problem.yard.vehicle_by_name
    absent = dict.fromkeys(
        a.who for a in problem.yard.absences if a.who in lorries and a.at != HOME
    )
    return (
        *(state(f"planning.leaves-out-{name}") for name, does in matters.items() if does),
        *(state("planning.leaves-out-absent", vehicle=name) for name in absent),
    )


def list_left_out_of_money(yard: Yard, goal: Goal) -> tuple[Fact, ...]:
    """What the bound for a goal leaves out besides, where money counts.

    A lorry that goes empty on some other day may spare a driver whom nobody names. What riders'
    own cars cost is in no program; of most worth the least cost is taken, too.
    """
    costs = yard.costs
    counts = goal.unit == "cents" or costs.budget_cents is not None
    named = any(vehicle.driver_names for vehicle in yard.vehicles)
    spares = counts and named and costs.driver_day_cents > 0
    cars = (counts or goal is MOST_WORTH) and costs.car_cents_per_km > 0
    matters = {"empty": spares, "cars": cars}
    return tuple(state(f"planning.leaves-out-{name}") for name, does in matters.items() if does)


class _Pair(NamedTuple):
    """Two shows that a horse may go to one after the other."""

    problem: Problem
    earlier: Chance
    later: Chance

    def list_ways(self) -> Iterator[tuple[Ride, ...]]:
        """How it may get from the one to the other: straight on, or by way of home or a base."""
        problem, start, end = self.problem, self.earlier.place_key, self.later.place_key
        homes = {HOME, *problem.yard.base_at} - {start, end}
        for pace in problem.paces:
            for stops in ((start, end), *((start, home, end) for home in sorted(homes))):
                legs = zip(stops, stops[1:], strict=False)
                rides = [problem.find_ride(one, other, pace) for one, other in legs]
                if all(rides):
                    yield tuple(ride for ride in rides if ride)


def _list_pairs(problem: Problem) -> Iterator[_Pair]:
    by_horse: dict[str, list[Chance]] = defaultdict(list)
    for chance in problem.chances:
        by_horse[chance.horse].append(chance)
    for horse, chances in by_horse.items():
        for earlier, later in permutations(chances, 2):
            if later.begun or earlier.place_key == later.place_key:
                continue
            if (
                min(_list_arrivals(later), default=0)
                > max(_list_leaves(earlier), default=0) + NEAR_DAYS
            ):
                continue
            ready = min(problem.compute_ready(horse, w.last) for w in earlier.windows)
            if ready <= max(w.first for w in later.windows):
                yield _Pair(problem, earlier, later)


def _list_leaves(chance: Chance) -> set[int]:
    return {*chance.leaves, *(day for day, _ in chance.evenings)}


def _list_arrivals(chance: Chance) -> set[int]:
    return {*chance.arrivals, *(day for day, _ in chance.mornings)}


def _passes_home(pair: _Pair) -> bool:
    """Whether a horse may come home on a day and go out again on the same."""
    most = pair.problem.yard.horse_by_name[pair.earlier.horse].limits.horse_hours_per_day
    arrivals = _list_arrivals(pair.later)
    for back, *out in pair.list_ways():
        days = back.days + sum(ride.days for ride in out) - 1
        fits = days > 1 or back.hours + sum(ride.hours for ride in out) <= most
        if out and fits and any(day + days - 1 in arrivals for day in _list_leaves(pair.earlier)):
            return True
    return False


def _carries_on(pair: _Pair) -> bool:
    """Whether the hours that brought a horse to a show may change its rest after the next drive."""
    problem, earlier = pair.problem, pair.earlier
    limits = problem.yard.horse_by_name[earlier.horse].limits
    near = [
        ride.hours
        for ride in problem.list_rides_to(earlier.place_key)
        if count_days_before(limits, ride, problem.without) <= 1
    ]
    least, most = min(near, default=0.0), max(near, default=0.0)
    days = {day for day in _list_leaves(earlier) if _may_have_come_lately(earlier, day)}
    arrivals = _list_arrivals(pair.later)
    for way in pair.list_ways():
        hours = sum(ride.hours for ride in way)
        ways = [Ride("", "", 0.0, hours + carried, 1) for carried in (least, most)]
        fewer, more = (problem.count_rest(earlier.horse, ride) for ride in ways)
        longest = sum(ride.days for ride in way)
        if fewer != more and any(
            day + after in arrivals for day, after in product(days, range(longest + 1))
        ):
            return True
    return False


def _may_have_come_lately(chance: Chance, day: int) -> bool:
    """Whether no whole day without a drive need lie between a horse's coming and its leaving."""
    latest = max((w.first for w in chance.windows if w.last <= day), default=0)
    return latest - (not chance.mornings) >= day - 1


def _waits_for_others(problem: Problem, chance: Chance) -> bool:
    """Whether a horse may leave sooner, or come later, that jumps only some classes of a day."""
    yard = problem.yard
    horse = yard.horse_by_name[chance.horse]
    evenings, mornings = dict(chance.evenings), dict(chance.mornings)
    for choice in chance.choices:
        offered = yard.find_class(chance.show, choice.name)
        own = [offered] if offered else []
        if choice.day in evenings and find_evening(yard, horse, own) < evenings[choice.day]:
            return True
        if choice.day in mornings and find_morning(own) > mornings[choice.day]:
            return True
    return False


def _may_change(problem: Problem) -> bool:
    """Whether a horse may go on from a place where another is unloaded or loaded.

    By another lorry, after a night, or by a lorry that calls on a drive of more than a day.
    """
    most = problem.yard.road_limits.horse_hours_per_day
    lorries = sum(fleet.count for fleet in problem.fleets)
    come, go = _Meetings(problem, _list_arrivals), _Meetings(problem, _list_leaves)
    for (begin, call, pace), on in problem.rides.items():
        for end in (HOME, *problem.places):
            further = problem.find_ride(call, end, pace)
            if call == HOME or end == begin or further is None:
                continue
            for nights in range(TRANSIT_NIGHTS + 1):
                days = on.days + further.days - 1 + nights
                if days == 1 and (lorries == 1 or on.hours + further.hours > most):
                    continue
                for depart in go.list_days(begin) if begin != HOME else come.list_days(end):
                    day = depart if begin != HOME else depart - days + 1
                    there = day + on.days - 1
                    aboard = go.at(begin, day) & come.at(end, day + days - 1)
                    calls = come.at(call, there) | go.at(call, there + nights)
                    if aboard and calls and len(aboard | calls) > 1:
                        return True
    return False


class _Meetings:
    """Which horses may come to a place, or go from it, on a day; at home any on every day."""

    def __init__(self, problem: Problem, list_days: Callable[[Chance], set[int]]) -> None:
        self.all = {chance.horse for chance in problem.chances}
        self.horses: dict[str, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
        for chance in problem.chances:
            for day in list_days(chance):
                self.horses[chance.place_key][day].add(chance.horse)

    def list_days(self, place: str) -> list[int]:
        """The days on which some horse may, away from home."""
        return list(self.horses.get(place, ()))

    def at(self, place: str, day: int) -> set[str]:
        """The horses that may there on a day."""
        return self.all if place == HOME else self.horses.get(place, {}).get(day, set())
