"""The search of one goal: its program, mended where a plan breaks a rule, kept if broken off."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby
from math import ceil, floor
from typing import TypeAlias

import numpy as np

from tripkit.planning.chances import WORTH_SCALE
from tripkit.planning.cores import list_stays, search_cores
from tripkit.planning.coupling import build_season
from tripkit.planning.job import NOTHING_BEFORE, Before, Job, Rank
from tripkit.planning.left_out import list_left_out
from tripkit.planning.mip import INFINITY
from tripkit.planning.paths import list_past
from tripkit.planning.prices import Stay
from tripkit.planning.problem import Problem, build_problem
from tripkit.planning.program import Season, Terms, is_small, narrow
from tripkit.planning.search import Found, Objective, Search, Watch
from tripkit.planning.spending import add_spending
from tripkit.planning.stopping import Stopped
from tripkit.yard.circuit import Circuit, Outing
from tripkit.yard.horses import Aim as AimOfHorse
from tripkit.yard.places import HOME
from tripkit.yard.recovery import find_break_breaches

SHARED_PART = 0.75
KM_STEPS = 10
HOUR_STEPS = 100
REPAIRS = 12
LEAST_SECONDS = 0.5
# The least of something takes far longer to prove than the most worth of the same season.
LEAST_IS_HARDER = 2
SALVAGE_SECONDS = 5.0
# Who stops the search waits no longer than this for what can be kept of an unfinished plan.
STOPPED_SALVAGE_SECONDS = 0.5
LATE_DAYS = 21
# So that coming late counts as well where a show is long.
TIDY_DAYS = 9
FOUND = ("best", "feasible")

Answer: TypeAlias = tuple[Season | None, Found]
Aim: TypeAlias = Callable[[Season, Terms], Objective]


@dataclass(frozen=True)
class Target:
    """What a goal asks of the season, so that its program can be written again with more rules.

    `floor_of` is the circuit of most worth, of which a share is kept: the yard's floor, or what
    most worth does not give away where the goal `settles` it. A `plain` one has one drive a lorry
    and day.
    """

    before: Before = NOTHING_BEFORE
    tour: str | None = None
    extra_days: int = 0
    spending: bool = False
    floor_of: Circuit | None = None
    settles: bool = False
    unlike: tuple[Circuit, ...] = ()
    only_bound: bool = False
    late_days: int = 0
    plain: bool = False


LARGEST_WEIGHT = 1000
UNKNOWN = Found("unknown", float("nan"), float("nan"), np.zeros(0), 0.0)


def state_problem(job: Job, target: Target) -> Problem:
    """The chances that a target leaves; raises `Stopped` where the planning was ended."""
    if job.stopped:
        raise Stopped
    only_bound = target.only_bound or job.frozen

    def state_it() -> Problem:
        problem = build_problem(
            job.yard,
            tour=target.tour or job.tour,
            without=job.without,
            late_days=target.late_days,
            plain=target.plain,
        )
        problem = replace(problem, left_out=list_left_out(problem))
        if not only_bound:
            return problem
        return replace(problem, chances=tuple(c for c in problem.chances if c.bound or c.begun))

    return job.remember(
        (job.without, target.tour, target.late_days, target.plain, only_bound), state_it
    )


def keep_budget(season: Season, cost: Terms, left_cents: int) -> None:
    """What is still to come costs at most what is left of the budget.

    Rule `budget`.
    """
    season.mip.add_row(cost, -INFINITY, float(left_cents))


def add_most_cars(season: Season, cost: Terms) -> Terms:
    """The cost with what riders' cars come to at most: there and back for every outing."""
    yard = season.problem.yard
    rate = float(yard.costs.car_cents_per_km)
    most: Terms = dict(cost)
    for (chance, _), column in season.window_of.items() if rate else ():
        ways = ((HOME, chance.place_key), (chance.place_key, HOME))
        drives = [yard.roads.find_drive(*way) for way in ways]
        cents = sum(ceil(rate * drive.km) for drive in drives if drive is not None)
        most[column] = most.get(column, 0.0) + cents
    return most


def build_program(
    job: Job,
    target: Target,
    problem: Problem,
    breaking: frozenset[str] | None,
) -> tuple[Season, Terms]:
    """The program of a target, and what it counts as its cost.

    `breaking` are the horses with their breaks written in, None for all.
    """
    free = job.frozen or "budget" in job.without
    budget = None if free else job.yard.costs.budget_cents
    counts = target.spending or budget is not None

    def write() -> tuple[Season, Terms]:
        season = build_season(
            problem,
            extra_days=target.extra_days,
            count_checks=counts,
            breaking=breaking,
        )
        return season, add_spending(season) if counts else {}

    whole = any(problem is one for one in job.known.values())
    key = (id(problem), target.extra_days, counts, breaking)
    season, cost = job.remember(key, write) if whole else write()
    season = replace(season, mip=season.mip.copy())
    if budget is not None:
        keep_budget(season, add_most_cars(season, cost), budget - job.so_far.cost_cents)
    _keep_before(season, target.before)
    if target.floor_of is not None:
        limits = job.yard.limits
        share = 1 - limits.worth_slack if target.settles else limits.worth_floor
        _keep_worth(season, share, target.floor_of, job.lived_worth)
    for circuit in target.unlike:
        if circuit.exists:
            _differ(season, circuit.outings)
    return season, cost


def rank_aims(aims: Iterable[AimOfHorse]) -> tuple[Rank, ...]:
    """Aims by rank, the most important first; aims of equal importance weigh the same.

    A set of aims that outweighs another rank by rank holds the most important aim that only one of
    them holds, or more of those of that importance.
    """
    ranks: list[Rank] = []
    rank: list[tuple[AimOfHorse, int]] = []
    weight = 1
    rising = sorted(aims, key=lambda aim: aim.importance)
    for _, group in groupby(rising, key=lambda aim: aim.importance):
        equals = list(group)
        if weight > LARGEST_WEIGHT:
            ranks.append(tuple(rank))
            rank, weight = [], 1
        rank += [(aim, weight) for aim in equals]
        weight *= len(equals) + 1
    return tuple(reversed([*ranks, tuple(rank)] if rank else ranks))


def may_meet(problem: Problem, rank: Rank) -> bool:
    """Whether a horse has a chance to go where some aim of a rank is."""
    chances = {(chance.horse, chance.show) for chance in problem.chances}
    return any((aim.horse, aim.show) in chances for aim, _ in rank)


def may_lack(problem: Problem) -> bool:
    """Whether at least so many outings are wanted of some horse."""
    return any(horse.outings_wanted.least for horse in problem.yard.horses)


def limit_worth(problem: Problem) -> float:
    """More than no season can be worth: every show in its best classes, and every aim met."""
    worth = sum(aim.importance for aim in problem.yard.aims) * WORTH_SCALE
    for chance in problem.chances:
        starts = problem.yard.horse_by_name[chance.horse].starts_per_show
        values = sorted((choice.worth for choice in chance.choices), reverse=True)
        worth += sum(values if chance.begun else values[:starts])
    return float(worth)


def aim_at_rank(rank: Rank, weight: float, season: Season, cost: Terms) -> Objective:
    """The best set of the aims of a rank, each `weight` times its own; then the most worth."""
    terms = season.worth_terms()
    for column, value in _rank_terms(season, rank).items():
        terms[column] = terms.get(column, 0.0) + weight * value
    return Objective(terms, True)


def aim_at_lacks(weight: float, season: Season, cost: Terms) -> Objective:
    """The fewest outings lacking, each worth `weight`; then the most worth."""
    terms = season.worth_terms()
    for column, value in season.missing_terms().items():
        terms[column] = terms.get(column, 0.0) - weight * value
    return Objective(terms, True)


def aim_at_value(price_cents: int, season: Season, cost: Terms) -> Objective:
    """The least cost less what its worth is worth in money, in cents / `WORTH_SCALE`."""
    terms = {c: v * WORTH_SCALE for c, v in aim_at_cost(season, cost).terms.items()}
    worth = {column: price_cents * value for column, value in season.worth_terms().items()}
    for column, value in worth.items():
        terms[column] = terms.get(column, 0.0) - value
    return Objective(terms, False, -sum(worth.values()))


def _rank_terms(season: Season, rank: Rank) -> Terms:
    return {season.aim_of[aim]: float(weight) for aim, weight in rank if aim in season.aim_of}


def _keep_before(season: Season, before: Before) -> None:
    """Aims are met in the order of their importance before anything else is counted.

    After them, horses have the outings that are wanted of them.
    """
    for rank, least in before.ranks:
        if least:
            season.mip.add_row(_rank_terms(season, rank), float(least), INFINITY)
    if before.lacks is not None:
        season.mip.add_row(season.missing_terms(), -INFINITY, float(before.lacks))


def state_worth(season: Season) -> Objective:
    """The most worth."""
    return Objective(season.worth_terms(), True)


def aim_at_worth(season: Season, cost: Terms) -> Objective:
    """The most worth."""
    return state_worth(season)


def aim_at_road(season: Season, cost: Terms) -> Objective:
    """The least road, in tenths of a kilometre."""
    return Objective(_road_terms(season), False)


def aim_at_hours(season: Season, cost: Terms) -> Objective:
    """The least time of horses on the road, in hundredths of an hour."""
    return Objective(_hour_terms(season), False)


def aim_at_cost(season: Season, cost: Terms) -> Objective:
    """The least cost, in cents."""
    return Objective({c: float(round(v)) for c, v in cost.items() if v}, False)


def _keep_worth(season: Season, share: float, most: Circuit, so_far: int) -> None:
    """A share of the most worth is kept."""
    objective = state_worth(season)
    unit = objective.unit
    low = ceil((share * (most.objective or 0.0) * WORTH_SCALE - so_far) / unit - 1e-6)
    season.mip.add_row([(c, v / unit) for c, v in objective.terms.items()], low, INFINITY)


def _road_terms(season: Season) -> Terms:
    return {
        column: float(sum(round(season.ride_for(drive).km * KM_STEPS) for drive in plan))
        for (_, plan), column in season.plans_of.items()
    }


def _hour_terms(season: Season) -> Terms:
    return {
        column: float(sum(round(season.ride_for(d).hours * HOUR_STEPS) for d in move.drives))
        for move, column in season.moves_of.items()
    }


def _tidy_terms(season: Season) -> Terms:
    """Road first, then days away: what a good plan should not waste where the goal is silent."""
    tidy: Terms = {column: 20.0 * km for column, km in _road_terms(season).items()}
    for move, column in season.moves_of.items():
        if move.comes is not None:
            early = move.comes.windows[0].first - season.arrival_of(move) + TIDY_DAYS
        else:
            early = move.depart - move.leaves.windows[0].first if move.leaves else 0
        tidy[column] = tidy.get(column, 0.0) + max(0, early)
    return tidy


@dataclass(frozen=True)
class Pursuit:
    """The search of one goal: what it asks, what it aims at, and the time it has.

    What one that `leads` learns of the season serves the others.

    `tidy`: of the best plans that with the least road and days away. `limit` bounds the goal where
    there is no time to find a bound.
    """

    job: Job
    target: Target
    aim: Aim
    watch: Watch
    tidy: bool = True
    limit: float = 0.0
    leads: bool = False

    def find_best(self) -> Answer:
        """The best plan; where nobody can fetch a horse that is away in time, it is fetched later.

        Broken off, it is the best that was found until then.
        """
        season, found = self._try()
        if not self.job.yard.begun.legs or self.target.extra_days:
            return season, found
        to_the_end = (self.job.yard.road_days.last - self.job.yard.day_of_planning).days
        for late_days in (LATE_DAYS, to_the_end):
            if found.status != "none":
                break
            season, found = replace(self, target=replace(self.target, late_days=late_days))._try()
        return season, found

    def _try(self) -> Answer:
        self.watch.kept = None
        return self.job.crew.attempt(self._search, self._keep)

    def _keep(self) -> Answer:
        if self.watch.kept is None:
            return None, UNKNOWN
        season, found, whole = self.watch.kept
        return (season, found) if whole else self._salvage(season, found)

    def _search(self) -> Answer:
        job, target = self.job, self.target
        problem = state_problem(job, target)
        harder = target.floor_of is not None or target.spending
        if is_small(problem, LEAST_IS_HARDER if harder else 1):
            return self._search_small(problem)

        def build(stays: frozenset[Stay] | None, lean: bool) -> tuple[Season, Objective]:
            if job.stopped:
                raise Stopped
            some = problem if stays is None else narrow(problem, stays)
            breaking = frozenset[str]() if lean else None
            season, cost = build_program(job, target, some, breaking)
            return season, self.aim(season, cost)

        plan = search_cores(
            problem, build, self.watch, job.chosen, job.order, self.limit, job.outline_seconds
        )
        season, found = plan.season, plan.found
        if self.leads:
            job.order, job.outline_seconds = plan.order, plan.outline_seconds
        if found.status not in FOUND:
            return season, found
        if self.leads:
            job.chosen = list_stays(season, found.values)
        self.watch.kept = (season, found, True)
        if self.tidy:
            found = self._polish(season, found, plan.objective)
        return season, found

    def _polish(self, season: Season, found: Found, objective: Objective) -> Found:
        values = Search(season).polish(found, objective, _tidy_terms(season), self.watch)
        return replace(found, values=values)

    def _search_small(self, problem: Problem) -> Answer:
        """The best plan; breaks are written into the program of a horse when a plan lacks one.

        A plan that is best without such a rule and keeps it all the same is best with it.
        """
        job, target, watch = self.job, self.target, self.watch
        breaking = job.breaking
        season: Season | None = None
        found = UNKNOWN
        for _ in range(REPAIRS):
            if job.stopped:
                raise Stopped
            if watch.left < LEAST_SECONDS:
                break
            season, cost = build_program(job, target, problem, breaking)
            objective = self.aim(season, cost)
            search = Search(season)
            found = search.find_best(objective, watch)
            if found.status == "none" and target.floor_of is not None and not target.unlike:
                # Most worth keeps its own floor, so there is a plan unless days were added: asked
                # again without presolve, where solvers have been wrong before.
                found = search.find_best(objective, watch, presolve=False)
            if found.status not in FOUND:
                return season, found
            restless = find_restless(season, found.values) - breaking
            if not restless:
                watch.kept = (season, found, True)
                if self.leads:
                    job.chosen = list_stays(season, found.values)
                return season, self._polish(season, found, objective) if self.tidy else found
            watch.kept = (season, found, False)
            breaking |= restless
            if self.leads:
                # Horses that most worth leaves without a break are likely to lack it later.
                job.breaking = breaking
        if season is None:
            return season, found
        return self._salvage(season, found)

    def _salvage(self, season: Season, found: Found) -> Answer:
        """Where time ran out on a plan that breaks a rule: the best part of it that keeps all."""
        if found.status not in FOUND:
            return season, replace(found, status="unknown")
        job, hurry = self.job, self.job.stopped
        stays = list_stays(season, found.values)
        small, cost = build_program(job, self.target, narrow(season.problem, stays), None)
        objective = self.aim(small, cost)
        search = Search(small)
        seconds = STOPPED_SALVAGE_SECONDS if hurry else SALVAGE_SECONDS
        watch = Watch(seconds, None, None if hurry else job.crew.is_over)
        part = search.find_best(objective, watch)
        if part.status not in FOUND:
            return small, replace(part, status="unknown", bound=found.bound)
        part = replace(part, status="feasible", bound=found.bound)
        if hurry:
            return small, part
        watch.kept = (small, part, True)
        values = search.polish(part, objective, _tidy_terms(small), watch)
        return small, replace(part, values=values)


def find_restless(season: Season, values: np.ndarray) -> frozenset[str]:
    """The horses that a plan leaves without the break they need.

    Rule `break`.
    """
    if "break" in season.problem.without:
        return frozenset()
    spans: dict[str, list[tuple[date, date]]] = {}
    for (chance, window), column in season.window_of.items():
        if values[column] > 0.5:
            days = date.fromordinal(window.first), date.fromordinal(window.last)
            spans.setdefault(chance.horse, []).append(days)
    found = set()
    for name, planned in spans.items():
        horse = season.problem.yard.horse_by_name[name]
        past = [(o.first_day, o.last_day) for o in list_past(season.problem, horse)]
        breaches = find_break_breaches([*past, *sorted(planned)], horse.limits)
        if any(last >= min(planned)[0] for _, last in breaches):
            found.add(name)
    return frozenset(found)


def _differ(season: Season, outings: tuple[Outing, ...]) -> None:
    pairs = {(outing.horse, outing.show) for outing in outings}
    shared = [
        (column, 1.0)
        for (chance, _), column in season.window_of.items()
        if (chance.horse, chance.show) in pairs
    ]
    season.mip.add_row(shared, 0.0, float(floor(SHARED_PART * len(pairs))))
