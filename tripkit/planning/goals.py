"""The goals: what each candidate circuit is best at, and the circuits that come of it."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from importlib import import_module
from math import ceil, floor
from typing import Any

import numpy as np

from tripkit.planning.cores import LEANEST, WHOLE, list_stays, search_cores
from tripkit.planning.coupling import build_season
from tripkit.planning.decode import read_plan
from tripkit.planning.job import NAME_OF_STATUS, Job, Progress, Task, run_tasks, start_job
from tripkit.planning.mip import INFINITY
from tripkit.planning.paths import list_past
from tripkit.planning.prices import Stay
from tripkit.planning.problem import (
    WORTH_SCALE,
    Problem,
    build_problem,
    list_bound_outings,
)
from tripkit.planning.program import Season, Terms, is_small, narrow
from tripkit.planning.search import Found, Objective, Search, Watch
from tripkit.planning.spending import add_spending
from tripkit.planning.stopping import Stopped
from tripkit.season.scorecard import count_spare_days, finish_circuit
from tripkit.yard.circuit import Circuit, Outing, name_status
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.goals import (
    ALTERNATIVE,
    LEAST_COST,
    LEAST_ROAD,
    MOST_REST,
    MOST_WORTH,
    OWN_PLANS,
    TOUR,
    Goal,
    find_goal,
    write_tour_goal,
)
from tripkit.yard.places import HOME
from tripkit.yard.recovery import find_break_breaches
from tripkit.yard.rules import PLANNED_IDS
from tripkit.yard.yard import Yard

SHARED_PART = 0.75
KM_STEPS = 10
NUMBERS_APART = 1e-4
HOUR_STEPS = 100
REPAIRS = 12
FIRST_SHARE = 0.4
LEAST_SECONDS = 0.5
# The least of something takes far longer to prove than the most worth of the same season.
LEAST_IS_HARDER = 2
SALVAGE_SECONDS = 5.0
LATE_DAYS = 21
# Who stops the search waits no longer than this for what can be kept of an unfinished plan.
STOPPED_SALVAGE_SECONDS = 0.5


def plan(
    yard: Yard,
    *,
    keep: int = 6,
    tour: str | None = None,
    seconds: float = 60.0,
    report: Callable[[Progress], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
    without: frozenset[str] = frozenset(),
) -> list[Circuit]:
    """Candidate circuits: most worth, one per tour, least road, least cost, most rest, others.

    Goals other than most worth keep `worth_floor` of the most. With `tour`, no new entry goes to
    another tour. `keep` is how many circuits to return; beyond the goals they are alternatives
    that share at most three quarters of their outings with each circuit before. `seconds` is
    the time for all. `report` hears the progress; `should_stop` ends the search with the best
    so far. `without` names rules to leave out, for tests.

    Raises `BadValue` for an unknown tour or a `keep` below 1.
    """
    tours = tuple(dict.fromkeys(show.tour for show in yard.shows if show.tour))
    if tour is not None and tour not in tours:
        raise BadValue(f"{tour!r} is no tour; tours are {', '.join(tours) or 'none'}")
    if keep < 1:
        raise BadValue(f"keep {keep} must be at least 1")
    unknown = without - set(PLANNED_IDS)
    if unknown:
        raise BadValue(f"{sorted(unknown)} are no rules")
    job = start_job(yard, tour, without, seconds, report, should_stop)
    most = _plan_most(job)
    if job.frozen and most.exists:
        return [most]
    if not most.exists:
        if most.status != NAME_OF_STATUS["none"]:
            return [most]

        def explain() -> tuple[Fact, ...]:
            return job.crew.attempt(partial(_explain, job), tuple[Fact, ...])

        return [replace(most, reasons=job.crew.run([explain])[0] or ())]
    named = () if tour else tours
    tasks = [
        Task(f"{TOUR.name} {t}", write_tour_goal(t), partial(_find_plan(TOUR), job, most, t))
        for t in named
    ]
    tasks += [Task(g.name, g.id, partial(_find_plan(g), job, most)) for g in OWN_PLANS]
    wanted = tasks[: keep - 1]
    heaviest = sorted(range(len(wanted)), key=lambda i: (i < len(named), i))
    job.waiting = len(wanted)
    found = run_tasks(job, [wanted[i] for i in heaviest])
    others = [found[heaviest.index(i)] for i in range(len(wanted))]
    circuits = [_take_better(most, others), *others]
    while len(circuits) < keep and not job.stopped:
        extra = job.crew.run([partial(_find_plan(ALTERNATIVE), job, most, circuits)])[0]
        if extra is None:
            break
        circuits.append(extra)
    return circuits


def _find_plan(goal: Goal) -> Callable[..., Any]:
    room, _, name = goal.planned_by.partition(".")
    plan: Callable[..., Any] = getattr(import_module(f"tripkit.planning.{room}"), name)
    return plan


def _plan_most(job: Job) -> Circuit:
    """The most worth; where what was lived leaves no money, what still has to be done."""
    tasks = [Task(MOST_WORTH.name, MOST_WORTH.id, partial(_find_plan(MOST_WORTH), job))]
    most = run_tasks(job, tasks)[0]
    if most.status == NAME_OF_STATUS["none"] and job.yard.begun.legs:
        # What was lived and entered may cost more than the budget; then nothing new is planned.
        job.frozen = True
        most = run_tasks(job, tasks)[0]
    return most


def _take_better(most: Circuit, others: list[Circuit]) -> Circuit:
    """Where time ran out on most worth, a circuit of another goal may be worth more."""
    better = max(others, key=_read_worth, default=most)
    if better.totals.worth <= most.totals.worth or most.bound is None:
        return most
    worth, bound = better.totals.worth, max(most.bound, better.totals.worth)
    return replace(
        better,
        name=most.name,
        goal=most.goal,
        objective=worth,
        bound=bound,
        status=name_status(worth, bound),
        seconds=most.seconds,
    )


@dataclass(frozen=True)
class _Wish:
    """What a goal asks of the season, so that its program can be written again with more rules."""

    tour: str | None = None
    extra_days: int = 0
    spending: bool = False
    floor_of: Circuit | None = None
    unlike: tuple[Circuit, ...] = ()
    only_bound: bool = False
    late_days: int = 0


_UNKNOWN = Found("unknown", float("nan"), float("nan"), np.zeros(0), 0.0)


def _state_problem(job: Job, wish: _Wish) -> Problem:
    if job.stopped:
        raise Stopped
    problem = build_problem(
        job.yard,
        tour=wish.tour or job.tour,
        without=job.without,
        late_days=wish.late_days,
    )
    if wish.only_bound or job.frozen:
        kept = tuple(c for c in problem.chances if c.bound or c.begun)
        problem = replace(problem, chances=kept)
    return problem


def keep_budget(season: Season, cost: Terms, left_cents: int) -> None:
    """What is still to come costs at most what is left of the budget.

    Rule `budget`.
    """
    season.mip.add_row(cost, -INFINITY, float(left_cents))


def _build(
    job: Job,
    wish: _Wish,
    problem: Problem,
    breaking: frozenset[str] | None,
    *,
    lean: bool = False,
) -> tuple[Season, Terms]:
    free = job.frozen or "budget" in job.without
    budget = None if free else job.yard.costs.budget_cents
    counts = wish.spending or budget is not None
    season = build_season(
        problem,
        extra_days=wish.extra_days,
        count_checks=counts,
        breaking=breaking,
        lean=lean,
    )
    cost = add_spending(season) if counts else {}
    if budget is not None:
        keep_budget(season, cost, budget - job.so_far.cost_cents)
    if wish.floor_of is not None:
        _keep_worth(season, wish.floor_of, job.so_far.worth)
    for circuit in wish.unlike:
        if circuit.exists:
            _differ(season, circuit.outings)
    return season, cost


def _worth(season: Season) -> Objective:
    return Objective(season.worth_terms(), True)


def _aim_at_worth(season: Season, cost: Terms) -> Objective:
    return _worth(season)


def _aim_at_road(season: Season, cost: Terms) -> Objective:
    return Objective(_road_terms(season), False)


def _aim_at_hours(season: Season, cost: Terms) -> Objective:
    return Objective(_hour_terms(season), False)


def _aim_at_cost(season: Season, cost: Terms) -> Objective:
    return Objective({c: float(round(v)) for c, v in cost.items() if v}, False)


def _keep_worth(season: Season, most: Circuit, so_far: int) -> None:
    """Goals other than most worth keep the worth floor."""
    share = season.problem.yard.limits.worth_floor
    objective = _worth(season)
    unit = objective.unit
    low = ceil((share * most.totals.worth * WORTH_SCALE - so_far) / unit - 1e-6)
    season.mip.add_row([(c, v / unit) for c, v in objective.terms.items()], low, INFINITY)


def _road_terms(season: Season) -> Terms:
    return {
        column: float(round(season.ride_for(drive).km * KM_STEPS))
        for (_, drive), column in season.legs_of.items()
    }


def _hour_terms(season: Season) -> Terms:
    return {
        column: float(round(season.ride_for(drive).hours * HOUR_STEPS))
        for (_, drive), column in season.rides_of.items()
    }


def _tidy_terms(season: Season) -> Terms:
    """Road first, then days away: what a good plan should not waste where the goal is silent."""
    tidy: Terms = {column: 20.0 * km for column, km in _road_terms(season).items()}
    for (chance, drive), column in season.rides_of.items():
        middle = chance.windows[0].first
        if drive.end == HOME:
            tidy[column] = tidy.get(column, 0.0) + max(0, drive.depart - middle)
        else:
            tidy[column] = tidy.get(column, 0.0) + max(0, middle - season.arrival_of(drive) + 9)
    return tidy


def _search(
    job: Job,
    wish: _Wish,
    aim: Callable[[Season, Terms], Objective],
    watch: Watch,
    *,
    tidy: bool = True,
    limit: float = 0.0,
) -> tuple[Season | None, Found]:
    """The best plan; where nobody can fetch a horse that is away in time, it is fetched later."""
    season, found = _search_once(job, wish, aim, watch, tidy=tidy, limit=limit)
    if not job.yard.begun.legs or wish.extra_days:
        return season, found
    to_the_end = (job.yard.road_days.last - job.yard.day_of_planning).days
    for late_days in (LATE_DAYS, to_the_end):
        if found.status != "none":
            break
        late = replace(wish, late_days=late_days)
        season, found = _search_once(job, late, aim, watch, tidy=tidy, limit=limit)
    return season, found


def _search_once(
    job: Job,
    wish: _Wish,
    aim: Callable[[Season, Terms], Objective],
    watch: Watch,
    *,
    tidy: bool = True,
    limit: float = 0.0,
) -> tuple[Season | None, Found]:
    """The best plan; `limit` bounds it where there is no time to find a bound.

    Broken off, it is the best that was found until then.
    """

    def search() -> tuple[Season | None, Found]:
        return _search_on(job, wish, aim, watch, tidy=tidy, limit=limit)

    watch.kept = None

    def keep() -> tuple[Season | None, Found]:
        if watch.kept is None:
            return None, _UNKNOWN
        season, found, whole = watch.kept
        return (season, found) if whole else _salvage(job, wish, aim, season, found)

    return job.crew.attempt(search, keep)


def _search_on(
    job: Job,
    wish: _Wish,
    aim: Callable[[Season, Terms], Objective],
    watch: Watch,
    *,
    tidy: bool,
    limit: float,
) -> tuple[Season | None, Found]:
    problem = _state_problem(job, wish)
    if is_small(problem, LEAST_IS_HARDER if wish.floor_of else 1):
        return _search_small(job, wish, problem, aim, watch, tidy=tidy)

    def build(stays: frozenset[Stay] | None, program: str) -> tuple[Season, Objective]:
        if job.stopped:
            raise Stopped
        some = problem if stays is None else narrow(problem, stays)
        breaking = frozenset[str]() if program == LEANEST else None
        season, cost = _build(job, wish, some, breaking, lean=program != WHOLE)
        return season, aim(season, cost)

    plan = search_cores(problem, build, watch, job.chosen, job.order, limit, job.outline_seconds)
    season, found = plan.season, plan.found
    if wish == _Wish():
        job.order, job.outline_seconds = plan.order, plan.outline_seconds
    if found.status not in ("best", "feasible"):
        return season, found
    if wish == _Wish():
        job.chosen = list_stays(season, found.values)
    watch.kept = (season, found, True)
    if tidy:
        found = _tidy(season, found, aim(season, {}), watch)
    return season, found


def _tidy(season: Season, found: Found, objective: Objective, watch: Watch) -> Found:
    values = Search(season).polish(found, objective, _tidy_terms(season), watch)
    return replace(found, values=values)


def _search_small(
    job: Job,
    wish: _Wish,
    problem: Problem,
    aim: Callable[[Season, Terms], Objective],
    watch: Watch,
    *,
    tidy: bool,
) -> tuple[Season | None, Found]:
    """The best plan; breaks are written into the program of a horse when a plan lacks one.

    A plan that is best without such a rule and keeps it all the same is best with it.
    """
    breaking = job.breaking
    season: Season | None = None
    found = _UNKNOWN
    for _ in range(REPAIRS):
        if job.stopped:
            raise Stopped
        if watch.left < LEAST_SECONDS:
            break
        season, cost = _build(job, wish, problem, breaking)
        objective = aim(season, cost)
        search = Search(season)
        found = search.find_best(objective, watch)
        if found.status == "none" and wish.floor_of is not None and not wish.unlike:
            # Most worth keeps its own floor, so there is a plan unless days were added: asked
            # again without presolve, where solvers have been wrong before.
            found = search.find_best(objective, watch, presolve=False)
        if found.status not in ("best", "feasible"):
            return season, found
        restless = find_restless(season, found.values) - breaking
        if not restless:
            watch.kept = (season, found, True)
            if wish == _Wish():
                job.chosen = list_stays(season, found.values)
            return season, _tidy(season, found, objective, watch) if tidy else found
        watch.kept = (season, found, False)
        breaking |= restless
        if wish == _Wish():
            # Horses that most worth leaves without a break are likely to lack it later.
            job.breaking = breaking
    if season is None:
        return season, found
    return _salvage(job, wish, aim, season, found)


def _salvage(
    job: Job,
    wish: _Wish,
    aim: Callable[[Season, Terms], Objective],
    season: Season,
    found: Found,
) -> tuple[Season | None, Found]:
    """Where time ran out on a plan that breaks a rule: the best part of it that keeps all."""
    if found.status not in ("best", "feasible"):
        return season, replace(found, status="unknown")
    hurry = job.stopped
    stays = list_stays(season, found.values)
    small, cost = _build(job, wish, narrow(season.problem, stays), None)
    objective = aim(small, cost)
    search = Search(small)
    seconds = STOPPED_SALVAGE_SECONDS if hurry else SALVAGE_SECONDS
    watch = Watch(seconds, None, None if hurry else job.crew.is_over)
    part = search.find_best(objective, watch)
    if part.status not in ("best", "feasible"):
        return small, replace(part, status="unknown", bound=found.bound)
    part = replace(part, status="feasible", bound=found.bound)
    if hurry:
        return small, part
    watch.kept = (small, part, True)
    return small, replace(part, values=search.polish(part, objective, _tidy_terms(small), watch))


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


def _finish(
    job: Job,
    season: Season | None,
    found: Found,
    name: str,
    goal: str,
    *,
    scale: float,
    seconds: float,
    read: Callable[[Circuit], float] | None = None,
) -> Circuit:
    """The circuit of a search; `read` gives what it reached of that which the search aimed at."""
    if season is None or found.status not in ("best", "feasible"):
        status = NAME_OF_STATUS[found.status]
        reasons = job.reasons if found.status != "none" else ()
        return Circuit(name, goal, status, seconds=seconds, reasons=reasons)
    outings, legs = read_plan(season, found.values, job.name_town)
    row = find_goal(goal) or MOST_WORTH
    so_far = job.so_far.count_for(row)
    objective = round(found.objective / scale + so_far, 4)
    bound = round(found.bound / scale + so_far, 4)
    circuit = finish_circuit(
        job.yard,
        name,
        goal,
        name_status(objective, bound),
        objective,
        bound,
        round(seconds, 3),
        outings,
        legs,
        season.problem.dropped,
    )
    reached = objective if read is None else read(circuit)
    if abs(reached - objective) > NUMBERS_APART:
        nearest = min if row.least else max
        bound = round(nearest(bound, reached), 4)
        status = name_status(reached, bound)
        circuit = replace(circuit, objective=reached, bound=bound, status=status)
    return circuit


def _read_worth(circuit: Circuit) -> float:
    return circuit.totals.worth


def plan_most_worth(job: Job) -> Circuit:
    """The most worth of its classes and aims that a season can have."""
    return _plan_worth(job, _Wish(), MOST_WORTH.name, MOST_WORTH.id, FIRST_SHARE, INFINITY)


def _limit_worth(job: Job, most: Circuit) -> float:
    """What the rest of the season can be worth at most, in the numbers of the program."""
    return INFINITY if most.bound is None else most.bound * WORTH_SCALE - job.so_far.worth


def plan_tour(job: Job, most: Circuit, tour: str) -> Circuit:
    """The most worth with no new entry at a show of another tour."""
    limit = _limit_worth(job, most)
    return _plan_worth(
        job, _Wish(tour=tour), f"{TOUR.name} {tour}", write_tour_goal(tour), 1.0, limit
    )


def _plan_worth(job: Job, wish: _Wish, name: str, goal: str, share: float, limit: float) -> Circuit:
    """The most worth under a wish; `limit` bounds it where the search does not come to a bound."""
    began = time.perf_counter()
    season, found = _search(
        job, wish, _aim_at_worth, job.watch(goal, share, WORTH_SCALE), limit=limit
    )
    bound = found.bound if np.isfinite(found.bound) else limit
    if found.status == "unknown" and np.isfinite(bound) and not job.stopped:
        # Better the entries that are to be kept anyway than no answer.
        watch = Watch(SALVAGE_SECONDS, None, job.crew.is_over)
        kept, least = _search(job, replace(wish, only_bound=True), _aim_at_worth, watch)
        if least.status in ("best", "feasible"):
            season, found = kept, replace(least, status="feasible", bound=bound)
    seconds = time.perf_counter() - began
    return _finish(
        job, season, found, name, goal, scale=WORTH_SCALE, seconds=seconds, read=_read_worth
    )


def plan_least_road(job: Job, most: Circuit) -> Circuit:
    """The fewest kilometres that keep the worth floor."""
    began = time.perf_counter()
    wish = _Wish(floor_of=most)
    season, found = _search(job, wish, _aim_at_road, job.watch(LEAST_ROAD.id, 1.0, KM_STEPS))
    seconds = time.perf_counter() - began
    circuit = _finish(
        job,
        season,
        found,
        LEAST_ROAD.name,
        LEAST_ROAD.id,
        scale=KM_STEPS,
        seconds=seconds,
        read=lambda c: c.totals.road_km,
    )
    bound = found.bound / KM_STEPS + job.so_far.road_km
    return _fall_back(job, circuit, most, bound, most.totals.road_km)


def plan_least_cost(job: Job, most: Circuit) -> Circuit:
    """The least money that keeps the worth floor."""
    began = time.perf_counter()
    wish = _Wish(spending=True, floor_of=most)
    season, found = _search(job, wish, _aim_at_cost, job.watch(LEAST_COST.id), tidy=False)
    seconds = time.perf_counter() - began
    circuit = _finish(
        job,
        season,
        found,
        LEAST_COST.name,
        LEAST_COST.id,
        scale=1.0,
        seconds=seconds,
        read=lambda c: float(c.totals.cost_cents),
    )
    bound = found.bound + job.so_far.cost_cents
    return _fall_back(job, circuit, most, bound, float(most.totals.cost_cents))


def _fall_back(
    job: Job, circuit: Circuit, most: Circuit, bound: float, objective: float
) -> Circuit:
    """Where no plan was found, the circuit of most worth keeps its own floor.

    So whatever the solver says, it is not proved that there is none.
    """
    if circuit.exists:
        return circuit
    if job.stopped:
        return replace(circuit, status=NAME_OF_STATUS["unknown"], reasons=job.reasons)
    low = min(objective, max(0.0, bound)) if np.isfinite(bound) else 0.0
    return replace(
        most,
        name=circuit.name,
        goal=circuit.goal,
        status=name_status(objective, low),
        objective=objective,
        bound=low,
        seconds=circuit.seconds,
    )


def plan_most_rest(job: Job, most: Circuit) -> Circuit:
    """The most spare days between outings, then the fewest hours of horses on the road.

    The spare days are found by asking for ever more clear days than recovery does: first the
    relaxation says how many there can be at most, then the exact program whether there are.
    """
    began = time.perf_counter()
    watch = job.watch(MOST_REST.id, 1.0, HOUR_STEPS)
    season_days = job.yard.season.days
    low = max(0, most.totals.spare_days or 0)
    high, limit = job.crew.attempt(
        partial(_bound_rest, job, most, watch, low), lambda: (low, season_days)
    )
    while True:
        wish = _Wish(extra_days=high, floor_of=most)
        season, found = _search(job, wish, _aim_at_hours, watch)
        if found.status in ("best", "feasible") or high <= low or job.stopped:
            break
        if found.status == "none":
            high = limit = high - 1
        elif watch.left < LEAST_SECONDS:
            break
        else:
            high -= ceil((high - low) / 2)
    seconds = time.perf_counter() - began
    circuit = _finish(
        job, season, found, MOST_REST.name, MOST_REST.id, scale=HOUR_STEPS, seconds=seconds
    )
    circuit = _fall_back(job, circuit, most, 0.0, 0.0)
    if not circuit.exists:
        return circuit
    spare = circuit.totals.spare_days
    reached = float(season_days if spare is None else spare)
    bound = max(reached, float(limit))
    return replace(circuit, objective=reached, bound=bound, status=name_status(reached, bound))


def _bound_rest(job: Job, most: Circuit, watch: Watch, low: int) -> tuple[int, int]:
    """How many spare days to ask for first, and how many there can be at most.

    What was lived without spare days gets none by what follows.
    """
    lived = count_spare_days(job.yard, job.yard.begun.outings, job.yard.begun.legs)
    season_days = job.yard.season.days
    most_days = season_days if lived is None else min(season_days, lived)
    need = job.yard.limits.worth_floor * most.totals.worth * WORTH_SCALE - job.so_far.worth
    problem = _state_problem(job, _Wish())

    def may_exist(extra: int) -> bool:
        if watch.left < LEAST_SECONDS or job.stopped:
            return True
        season, _ = _build(job, _Wish(extra_days=extra), problem, frozenset(), lean=True)
        return Search(season).is_possible(_worth(season), watch, need - 1e-3)

    high, step = low, 2
    while high < most_days and may_exist(high + step):
        high += step
        step *= 2
    while step > 1:
        step //= 2
        if high < most_days and may_exist(high + step):
            high += step
    high = max(low, min(high, most_days))
    return high, min(high, most_days) if watch.left >= LEAST_SECONDS else most_days


def plan_alternative(job: Job, most: Circuit, kept: list[Circuit]) -> Circuit | None:
    """The most worth that shares at most three quarters of its outings with each one before."""
    if any(circuit.exists and not circuit.outings for circuit in kept):
        return None
    began = time.perf_counter()
    wish = _Wish(floor_of=most, unlike=tuple(kept))
    limit = _limit_worth(job, most)
    watch = job.watch(ALTERNATIVE.id, 1.0, WORTH_SCALE)
    season, found = _search(job, wish, _aim_at_worth, watch, limit=limit)
    if found.status not in ("best", "feasible"):
        return None
    number = sum(circuit.goal == ALTERNATIVE.id for circuit in kept) + 1
    seconds = time.perf_counter() - began
    return _finish(
        job,
        season,
        found,
        f"{ALTERNATIVE.name} {number}",
        ALTERNATIVE.id,
        scale=WORTH_SCALE,
        seconds=seconds,
        read=_read_worth,
    )


def _differ(season: Season, outings: tuple[Outing, ...]) -> None:
    pairs = {(outing.horse, outing.show) for outing in outings}
    shared = [
        (column, 1.0)
        for (chance, _), column in season.window_of.items()
        if (chance.horse, chance.show) in pairs
    ]
    season.mip.add_row(shared, 0.0, float(floor(SHARED_PART * len(pairs))))


def _explain(job: Job) -> tuple[Fact, ...]:
    """Which rules collide where no circuit fits: those without which one would.

    Only what every plan must keep can make a plan impossible, so only that is looked at.
    """
    reasons = []
    for rule in PLANNED_IDS:
        if rule in job.without:
            continue
        eased = replace(job, without=job.without | {rule}, report=None)
        wish = _Wish(only_bound=True)
        season, _ = _build(eased, wish, _state_problem(eased, wish), None, lean=True)
        found = Search(season).find_best(_worth(season), eased.watch(rule))
        if found.status in ("best", "feasible"):
            reasons.append(state("planning.without-rule", rule=rule))
    held = list_bound_outings(job.yard)
    if held:
        outings = tuple(state("planning.outing", horse=horse, show=show) for horse, show in held)
        reasons.append(state("planning.entries-kept", outings=outings))
    return tuple(reasons) or (state("planning.several-rules"),)
