"""The goals: what each candidate circuit is best at, and the circuits that come of it."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from math import ceil, floor
from threading import Lock

import numpy as np

from tripkit.circuit import Circuit, Outing
from tripkit.errors import BadValue
from tripkit.places import HOME
from tripkit.problem import RULE_IDS, WORTH_SCALE, Problem, build_problem
from tripkit.recovery import find_break_breaches
from tripkit.scorecard import count_spare_days, finish_circuit
from tripkit.solver.cores import LEANEST, WHOLE, list_stays, search_cores
from tripkit.solver.decode import NameTown, read_plan
from tripkit.solver.mip import INFINITY
from tripkit.solver.paths import list_past
from tripkit.solver.prices import Stay
from tripkit.solver.program import Season, Terms, is_small, narrow
from tripkit.solver.search import Found, Objective, Search, Watch
from tripkit.solver.season import build_season
from tripkit.solver.sofar import SoFar, add_up_so_far
from tripkit.solver.spending import add_spending
from tripkit.solver.towns import make_namer
from tripkit.yard import Yard

MOST_WORTH, LEAST_ROAD, LEAST_COST, MOST_REST = (
    "most worth",
    "least road",
    "least cost",
    "most rest",
)
ALTERNATIVE = "alternative"
WITHIN = 0.01
SHARED_PART = 0.75
NAME_OF_STATUS = {"none": "none exists", "unknown": "none in time"}
KM_STEPS = 10
NUMBERS_APART = 1e-4
HOUR_STEPS = 100
REPAIRS = 12
WORKERS = 2
# Most goals end long before their time, so each waiting one may take more than its part.
SHARE_BEYOND = 1.5
FIRST_SHARE = 0.4
LEAST_SECONDS = 0.5
# The least of something takes far longer to prove than the most worth of the same season.
LEAST_IS_HARDER = 2
SALVAGE_SECONDS = 5.0
LATE_DAYS = 21


@dataclass(frozen=True)
class Progress:
    """Where a search stands: the goal, its stage, the best so far and the bound.

    Worth for most worth, tours and alternatives, km for least road, cents for least cost, hours
    of horses on the road for most rest. None where nothing is known yet.
    """

    goal: str
    stage: str
    objective: float | None
    bound: float | None
    seconds: float


@dataclass
class _Job:
    """What every goal of one planning shares."""

    yard: Yard
    tour: str | None
    without: frozenset[str]
    deadline: float
    report: Callable[[Progress], None] | None
    should_stop: Callable[[], bool] | None
    name_town: NameTown | None
    lock: Lock
    began: float
    breaking: frozenset[str] = frozenset()
    chosen: frozenset[Stay] = frozenset()
    order: tuple[Stay, ...] = ()
    outline_seconds: float = 0.0
    waiting: int = 0
    so_far: SoFar = field(default_factory=SoFar)
    late_days: int = 0
    frozen: bool = False

    @property
    def stopped(self) -> bool:
        """Whether somebody ended the search: then a makeshift plan is no answer."""
        return self.should_stop is not None and self.should_stop()

    def watch(
        self, goal: str, share: float = 1.0, scale: float = 1.0, so_far: float = 0.0
    ) -> Watch:
        """A watch for one search within the time that is left; it speaks in the goal's numbers.

        `so_far` is what the season so far adds to them.
        """

        def tell(stage: str, objective: float | None, bound: float | None) -> None:
            if self.report is not None:
                with self.lock:
                    passed = time.perf_counter() - self.began
                    reached = None if objective is None else objective / scale + so_far
                    limit = None if bound is None else bound / scale + so_far
                    self.report(Progress(goal, stage, reached, limit, passed))

        left = max(0.1, self.deadline - time.perf_counter())
        if self.waiting > WORKERS:
            beyond = SHARE_BEYOND if not self.order else 1.0
            share *= min(1.0, beyond * WORKERS / self.waiting)
        return Watch(left * share, tell if self.report else None, self.should_stop)


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
    unknown = without - set(RULE_IDS)
    if unknown:
        raise BadValue(f"{sorted(unknown)} are no rules")
    began = time.perf_counter()
    job = _Job(
        yard,
        tour,
        without,
        began + seconds,
        report,
        should_stop,
        make_namer(yard),
        Lock(),
        began,
        so_far=add_up_so_far(yard),
    )
    most = _plan_most_worth(job)
    if most.status == NAME_OF_STATUS["none"] and yard.begun.legs:
        # Nobody may be able to fetch a horse in time, and it is fetched all the same.
        job.late_days = LATE_DAYS
        most = _plan_most_worth(job)
    if most.status == NAME_OF_STATUS["none"] and yard.begun.legs:
        # What was lived and entered may cost more than the budget; then nothing new is planned.
        job.frozen = True
        most = _plan_most_worth(job)
        if most.exists:
            return [most]
    if not most.exists:
        reasons = _explain(job) if most.status == NAME_OF_STATUS["none"] else ()
        return [replace(most, reasons=reasons)]
    named = () if tour else tours
    goals: list[Callable[[], Circuit]] = [partial(_plan_tour, job, most, name) for name in named]
    goals += [
        partial(_plan_least_road, job, most),
        partial(_plan_least_cost, job, most),
        partial(_plan_most_rest, job, most),
    ]
    wanted = goals[: keep - 1]
    heaviest = sorted(range(len(wanted)), key=lambda i: (i < len(named), i))
    job.waiting = len(wanted)

    def run(goal: Callable[[], Circuit]) -> Circuit:
        circuit = goal()
        with job.lock:
            job.waiting -= 1
        return circuit

    with ThreadPoolExecutor(max_workers=WORKERS) as pool:
        futures = {i: pool.submit(run, wanted[i]) for i in heaviest}
        others = [futures[i].result() for i in range(len(wanted))]
    circuits = [_take_better(most, others), *others]
    while len(circuits) < keep:
        extra = _plan_alternative(job, most, circuits)
        if extra is None:
            break
        circuits.append(extra)
    return circuits


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
        status=_name_status("feasible", worth, bound),
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


def _state_problem(job: _Job, wish: _Wish) -> Problem:
    problem = build_problem(
        job.yard,
        tour=wish.tour or job.tour,
        without=job.without,
        late_days=job.late_days,
    )
    if wish.only_bound or job.frozen:
        kept = tuple(c for c in problem.chances if c.bound or c.begun)
        problem = replace(problem, chances=kept)
    return problem


def _build(
    job: _Job,
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
        season.mip.add_row(cost, -INFINITY, float(budget - job.so_far.cost_cents))
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
    job: _Job,
    wish: _Wish,
    aim: Callable[[Season, Terms], Objective],
    watch: Watch,
    *,
    tidy: bool = True,
    limit: float = 0.0,
) -> tuple[Season | None, Found]:
    """The best plan; `limit` bounds it where there is no time to find a bound."""
    problem = _state_problem(job, wish)
    if is_small(problem, LEAST_IS_HARDER if wish.floor_of else 1):
        return _search_small(job, wish, problem, aim, watch, tidy=tidy)

    def build(stays: frozenset[Stay] | None, program: str) -> tuple[Season, Objective]:
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
    if tidy:
        found = _tidy(season, found, aim(season, {}), watch)
    return season, found


def _tidy(season: Season, found: Found, objective: Objective, watch: Watch) -> Found:
    values = Search(season).polish(found, objective, _tidy_terms(season), watch)
    return replace(found, values=values)


def _search_small(
    job: _Job,
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
    found = Found("unknown", float("nan"), float("nan"), np.zeros(0), 0.0)
    for _ in range(REPAIRS):
        if watch.left < LEAST_SECONDS or job.stopped:
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
        restless = _find_restless(season, found.values) - breaking
        if not restless:
            if wish == _Wish():
                job.chosen = list_stays(season, found.values)
            return season, _tidy(season, found, objective, watch) if tidy else found
        breaking |= restless
        if wish == _Wish():
            # Horses that most worth leaves without a break are likely to lack it later.
            job.breaking = breaking
    return _salvage(job, wish, problem, aim, season, found)


def _salvage(
    job: _Job,
    wish: _Wish,
    problem: Problem,
    aim: Callable[[Season, Terms], Objective],
    season: Season | None,
    found: Found,
) -> tuple[Season | None, Found]:
    """Where time ran out on a plan that breaks a rule: the best part of it that keeps all."""
    if season is None or found.status not in ("best", "feasible"):
        return season, replace(found, status="unknown")
    small, cost = _build(job, wish, narrow(problem, list_stays(season, found.values)), None)
    objective = aim(small, cost)
    search = Search(small)
    watch = Watch(SALVAGE_SECONDS, None, None)
    part = search.find_best(objective, watch)
    if part.status not in ("best", "feasible"):
        return small, replace(part, status="unknown", bound=found.bound)
    values = search.polish(part, objective, _tidy_terms(small), watch)
    return small, replace(part, status="feasible", bound=found.bound, values=values)


def _find_restless(season: Season, values: np.ndarray) -> frozenset[str]:
    """The horses that a plan leaves without the break they need."""
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
    job: _Job,
    season: Season | None,
    found: Found,
    name: str,
    goal: str,
    *,
    scale: float,
    seconds: float,
    read: Callable[[Circuit], float] | None = None,
    so_far: float = 0.0,
) -> Circuit:
    """The circuit of a search; `read` gives what it reached of that which the search aimed at.

    `so_far` is what the season so far adds to what was found.
    """
    if season is None or found.status not in ("best", "feasible"):
        return Circuit(name, goal, NAME_OF_STATUS[found.status], seconds=seconds)
    outings, legs = read_plan(season, found.values, job.name_town)
    objective, bound = found.objective / scale + so_far, found.bound / scale + so_far
    status = _name_status(found.status, objective, bound)
    circuit = finish_circuit(
        job.yard,
        name,
        goal,
        status,
        round(objective, 4),
        round(bound, 4),
        round(seconds, 3),
        outings,
        legs,
        season.problem.dropped,
    )
    reached = objective if read is None else read(circuit)
    if abs(reached - objective) > NUMBERS_APART:
        nearest = min if goal in (LEAST_ROAD, LEAST_COST) else max
        bound = nearest(bound, reached)
        status = _name_status("feasible", reached, bound)
        circuit = replace(circuit, objective=reached, bound=round(bound, 4), status=status)
    return circuit


def _read_worth(circuit: Circuit) -> float:
    return circuit.totals.worth


def _name_status(status: str, objective: float, bound: float) -> str:
    if status == "best" or objective == bound:
        return "proved best"
    close = abs(bound - objective) <= WITHIN * max(1.0, abs(objective))
    return "within bound" if close else "best in time"


def _plan_most_worth(job: _Job) -> Circuit:
    return _plan_worth(job, _Wish(), "Most worth", MOST_WORTH, FIRST_SHARE, INFINITY)


def _limit_worth(job: _Job, most: Circuit) -> float:
    """What the rest of the season can be worth at most, in the numbers of the program."""
    return INFINITY if most.bound is None else most.bound * WORTH_SCALE - job.so_far.worth


def _plan_tour(job: _Job, most: Circuit, tour: str) -> Circuit:
    limit = _limit_worth(job, most)
    return _plan_worth(job, _Wish(tour=tour), f"Tour {tour}", f"tour {tour}", 1.0, limit)


def _plan_worth(
    job: _Job, wish: _Wish, name: str, goal: str, share: float, limit: float
) -> Circuit:
    """The most worth under a wish; `limit` bounds it where the search does not come to a bound."""
    began = time.perf_counter()
    so_far = job.so_far.worth / WORTH_SCALE
    season, found = _search(
        job, wish, _aim_at_worth, job.watch(goal, share, WORTH_SCALE, so_far), limit=limit
    )
    bound = found.bound if np.isfinite(found.bound) else limit
    if found.status == "unknown" and np.isfinite(bound) and not job.stopped:
        # Better the entries that are to be kept anyway than no answer.
        watch = Watch(SALVAGE_SECONDS, None, None)
        kept, least = _search(job, replace(wish, only_bound=True), _aim_at_worth, watch)
        if least.status in ("best", "feasible"):
            season, found = kept, replace(least, status="feasible", bound=bound)
    seconds = time.perf_counter() - began
    return _finish(
        job,
        season,
        found,
        name,
        goal,
        scale=WORTH_SCALE,
        seconds=seconds,
        read=_read_worth,
        so_far=so_far,
    )


def _plan_least_road(job: _Job, most: Circuit) -> Circuit:
    began = time.perf_counter()
    wish = _Wish(floor_of=most)
    so_far = job.so_far.road_km
    watch = job.watch(LEAST_ROAD, 1.0, KM_STEPS, so_far)
    season, found = _search(job, wish, _aim_at_road, watch)
    seconds = time.perf_counter() - began
    circuit = _finish(
        job,
        season,
        found,
        "Least road",
        LEAST_ROAD,
        scale=KM_STEPS,
        seconds=seconds,
        read=lambda c: c.totals.road_km,
        so_far=so_far,
    )
    bound = found.bound / KM_STEPS + so_far
    return _fall_back(job, circuit, most, bound, most.totals.road_km)


def _plan_least_cost(job: _Job, most: Circuit) -> Circuit:
    began = time.perf_counter()
    wish = _Wish(spending=True, floor_of=most)
    so_far = float(job.so_far.cost_cents)
    watch = job.watch(LEAST_COST, so_far=so_far)
    season, found = _search(job, wish, _aim_at_cost, watch, tidy=False)
    seconds = time.perf_counter() - began
    circuit = _finish(
        job,
        season,
        found,
        "Least cost",
        LEAST_COST,
        scale=1.0,
        seconds=seconds,
        read=lambda c: float(c.totals.cost_cents),
        so_far=so_far,
    )
    bound = found.bound + so_far
    return _fall_back(job, circuit, most, bound, float(most.totals.cost_cents))


def _fall_back(
    job: _Job, circuit: Circuit, most: Circuit, bound: float, objective: float
) -> Circuit:
    """Where time ran out before a plan was found, the circuit of most worth keeps its own floor."""
    if circuit.status != NAME_OF_STATUS["unknown"] or job.stopped:
        return circuit
    low = min(objective, max(0.0, bound)) if np.isfinite(bound) else 0.0
    return replace(
        most,
        name=circuit.name,
        goal=circuit.goal,
        status=_name_status("feasible", objective, low),
        objective=objective,
        bound=low,
        seconds=circuit.seconds,
    )


def _plan_most_rest(job: _Job, most: Circuit) -> Circuit:
    """The most spare days between outings, then the fewest hours of horses on the road.

    The spare days are found by asking for ever more clear days than recovery does: first the
    relaxation says how many there can be at most, then the exact program whether there are.
    """
    began = time.perf_counter()
    watch = job.watch(MOST_REST, 1.0, HOUR_STEPS, job.so_far.horse_road_hours)
    season_days = job.yard.season.days
    # What was lived without spare days gets none by what follows.
    lived = count_spare_days(job.yard, job.yard.begun.outings, job.yard.begun.legs)
    most_days = season_days if lived is None else min(season_days, lived)
    need = job.yard.limits.worth_floor * most.totals.worth * WORTH_SCALE - job.so_far.worth

    problem = _state_problem(job, _Wish())

    def may_exist(extra: int) -> bool:
        if watch.left < LEAST_SECONDS:
            return True
        season, _ = _build(job, _Wish(extra_days=extra), problem, frozenset(), lean=True)
        return Search(season).is_possible(_worth(season), watch, need - 1e-3)

    low = max(0, most.totals.spare_days or 0)
    high = low
    step = 2
    while high < most_days and may_exist(high + step):
        high += step
        step *= 2
    while step > 1:
        step //= 2
        if high < most_days and may_exist(high + step):
            high += step
    high = max(low, min(high, most_days))
    limit = min(most_days, high) if watch.left >= LEAST_SECONDS else most_days
    while True:
        wish = _Wish(extra_days=high, floor_of=most)
        season, found = _search(job, wish, _aim_at_hours, watch)
        if found.status in ("best", "feasible") or high <= low:
            break
        if found.status == "none":
            high = limit = high - 1
        elif watch.left < LEAST_SECONDS:
            break
        else:
            high -= ceil((high - low) / 2)
    seconds = time.perf_counter() - began
    circuit = _finish(job, season, found, "Most rest", MOST_REST, scale=HOUR_STEPS, seconds=seconds)
    if not circuit.exists:
        found = replace(found, status="feasible")
        circuit = _fall_back(job, circuit, most, 0.0, 0.0)
    if not circuit.exists:
        return circuit
    spare = circuit.totals.spare_days
    reached = float(season_days if spare is None else spare)
    proved = found.status == "best" and reached >= limit
    status = "proved best" if proved else "best in time"
    return replace(circuit, objective=reached, bound=max(reached, float(limit)), status=status)


def _plan_alternative(job: _Job, most: Circuit, kept: list[Circuit]) -> Circuit | None:
    """The most worth that shares at most three quarters of its outings with each one before."""
    if any(circuit.exists and not circuit.outings for circuit in kept):
        return None
    began = time.perf_counter()
    wish = _Wish(floor_of=most, unlike=tuple(kept))
    limit = _limit_worth(job, most)
    so_far = job.so_far.worth / WORTH_SCALE
    watch = job.watch(ALTERNATIVE, 1.0, WORTH_SCALE, so_far)
    season, found = _search(job, wish, _aim_at_worth, watch, limit=limit)
    if found.status not in ("best", "feasible"):
        return None
    number = sum(circuit.goal == ALTERNATIVE for circuit in kept) + 1
    seconds = time.perf_counter() - began
    return _finish(
        job,
        season,
        found,
        f"Alternative {number}",
        ALTERNATIVE,
        scale=WORTH_SCALE,
        seconds=seconds,
        read=_read_worth,
        so_far=so_far,
    )


def _differ(season: Season, outings: tuple[Outing, ...]) -> None:
    pairs = {(outing.horse, outing.show) for outing in outings}
    shared = [
        (column, 1.0)
        for (chance, _), column in season.window_of.items()
        if (chance.horse, chance.show) in pairs
    ]
    season.mip.add_row(shared, 0.0, float(floor(SHARED_PART * len(pairs))))


def _explain(job: _Job) -> tuple[str, ...]:
    """Which rules collide where no circuit fits: those without which one would.

    Only what every plan must keep can make a plan impossible, so only that is looked at.
    """
    reasons = []
    for rule in RULE_IDS:
        if rule in job.without:
            continue
        eased = replace(job, without=job.without | {rule}, report=None)
        wish = _Wish(only_bound=True)
        season, _ = _build(eased, wish, _state_problem(eased, wish), None, lean=True)
        found = Search(season).find_best(_worth(season), eased.watch(rule))
        if found.status in ("best", "feasible"):
            reasons.append(f"{rule}: without this rule a circuit would fit")
    held = sorted({(e.horse, e.show) for e in job.yard.bound_entries.values()})
    if held:
        names = "; ".join(f"{horse} at {show}" for horse, show in held)
        reasons.append(f"entries that every plan must keep: {names}")
    return tuple(reasons) or ("no single rule is to blame: several collide at once",)
