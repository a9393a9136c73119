"""The goals: what each candidate circuit is best at, and the circuits that come of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from math import ceil, floor, isfinite
from typing import Any, TypeAlias

import numpy as np

from tripkit.planning.chances import WORTH_SCALE
from tripkit.planning.decode import read_plan
from tripkit.planning.job import (
    NAME_OF_STATUS,
    NOTHING_BEFORE,
    Before,
    Given,
    Job,
    Rank,
    Task,
    run_tasks,
    start_job,
)
from tripkit.planning.keeping import KEEP_SECONDS, give_up, scratch
from tripkit.planning.left_out import list_left_out_of_money
from tripkit.planning.mip import INFINITY
from tripkit.planning.problem import list_bound_outings
from tripkit.planning.program import Season
from tripkit.planning.pursuit import (
    FOUND,
    HOUR_STEPS,
    KM_STEPS,
    LEAST_SECONDS,
    SALVAGE_SECONDS,
    UNKNOWN,
    Aim,
    Pursuit,
    Target,
    aim_at_cost,
    aim_at_hours,
    aim_at_lacks,
    aim_at_rank,
    aim_at_road,
    aim_at_value,
    aim_at_worth,
    build_program,
    limit_worth,
    may_lack,
    may_meet,
    rank_aims,
    state_problem,
    state_worth,
)
from tripkit.planning.search import Found, Report, Search, Watch
from tripkit.planning.standstill import list_bars
from tripkit.season.scorecard import count_spare_days, finish_circuit
from tripkit.yard.circuit import Circuit, Totals, name_status
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.goals import (
    ALTERNATIVE,
    CIRCUITS,
    GOOD_VALUE,
    LEAST_COST,
    LEAST_ROAD,
    MOST_REST,
    MOST_WORTH,
    OWN_PLANS,
    PLAN_SECONDS,
    TOUR,
    Goal,
    Progress,
    find_goal,
    measure,
    write_tour_goal,
)
from tripkit.yard.money import round_cents
from tripkit.yard.names import find_function
from tripkit.yard.rules import PLANNED_IDS
from tripkit.yard.yard import Yard

NUMBERS_APART = 1e-4
FIRST_SHARE = 0.4
SETTLE_SHARE = 0.5
CHEAPEST, SETTLED = "cheapest", "settled"
PLAIN_SECONDS = 20.0


def plan(
    yard: Yard,
    *,
    keep: int = CIRCUITS,
    tour: str | None = None,
    seconds: float = PLAN_SECONDS,
    report: Callable[[Progress], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
    without: frozenset[str] = frozenset(),
) -> list[Circuit]:
    """Candidate circuits: good value, most worth, one per tour, the other goals, others.

    Each meets the best set of aims that it can. Goals that save keep `worth_floor` of the most
    worth. With `tour`, no new entry goes to another tour. `keep` is how many circuits to return;
    beyond the goals they are alternatives that share at most three quarters of their outings with
    each circuit before. `seconds` is the time for all. `report` hears the progress; `should_stop`
    ends the search with the best so far. `without` names rules to leave out, for tests.

    Raises `BadValue` for an unknown tour or a `keep` below 1.
    """
    tours = _list_tours(yard)
    if tour is not None and tour not in tours:
        raise BadValue(
            state("values.no-tour-tours-are", tour=tour, value=", ".join(tours) or "none")
        )
    if keep < 1:
        raise BadValue(state("values.keep-must-be-at-least", keep=keep))
    unknown = without - set(PLANNED_IDS)
    if unknown:
        raise BadValue(state("values.are-no-rules", unknown=tuple(sorted(unknown))))
    job = start_job(yard, tour, without, seconds, report, should_stop)
    most = find_most(job)
    if job.frozen or not most.exists:
        return [most]
    return _plan_goals(job, most, () if tour else tours, keep)


def _list_tours(yard: Yard) -> tuple[str, ...]:
    return tuple(dict.fromkeys(show.tour for show in yard.shows if show.tour))


def find_most(job: Job) -> Circuit:
    """The circuit of most worth before it is settled; where there is none, with the reasons."""
    _keep_entries(job)
    most = _plan_most(job)
    if _is_standstill(job, most):
        most = Circuit(most.name, most.goal, NAME_OF_STATUS["none"], seconds=most.seconds)
    if most.status != NAME_OF_STATUS["none"]:
        return most

    def explain() -> tuple[Fact, ...]:
        return job.crew.attempt(partial(_explain, job), tuple[Fact, ...])

    return replace(most, reasons=job.crew.run([explain])[0] or ())


def _plan_goals(job: Job, most: Circuit, named: Sequence[str], keep: int) -> list[Circuit]:
    """The circuits of all goals once the most worth is known, those of the `named` tours too."""
    value = Task(GOOD_VALUE.name, GOOD_VALUE.id, partial(_plan_value, job, most))
    parts = [
        Task(f"{TOUR.name} {t}", write_tour_goal(t), partial(_find_plan(TOUR), job, most, t))
        for t in named
    ]
    savers = [Task(g.name, g.id, partial(_find_plan(g), job, most)) for g in OWN_PLANS]
    wanted = [value, *parts, *savers][: max(1, keep - 1)]
    settled = Task(SETTLED, SETTLED, partial(_settle, job, most))
    cheapest = Task(CHEAPEST, CHEAPEST, partial(_find_cheapest_of_all, job))
    priced = job.yard.costs.point_price_cents is not None
    beside = ([settled] if keep > 1 else []) if priced else [cheapest]
    # What takes longest begins first, what good value asks for before; tours are smaller seasons.
    order = [value, *beside, *(task for task in [*savers, *parts] if task in wanted)]
    job.waiting = len(order)
    found = dict(zip((task.goal for task in order), run_tasks(job, order), strict=True))
    best, *others = [found[task.goal] for task in wanted]
    most = job.settled or most
    if not best.exists:
        best = _value_most(job, most, _find_price(most, Totals()), 0.0)
    circuits = [best, _take_better(job, most, [best, *others]), *others][:keep]
    while len(circuits) < keep and not job.stopped:
        extra = job.crew.run([partial(_find_plan(ALTERNATIVE), job, most, circuits)])[0]
        if extra is None:
            break
        circuits.append(extra)
    return circuits


def _keep_entries(job: Job) -> None:
    """Where entries sent or paid clash, a planning begins without those that are given up."""
    watch = Watch(KEEP_SECONDS, None, job.crew.is_over)
    unproved = partial(Given, proved=False)
    task = partial(job.crew.attempt, partial(give_up, job, watch), unproved)
    job.given = job.crew.run([task])[0] or unproved()
    job.asked, job.yard = job.yard, scratch(job.yard, job.given.dropped)


def _find_plan(goal: Goal) -> Callable[..., Any]:
    return find_function("planning", goal.planned_by)


def _plan_most(job: Job) -> Circuit:
    """The most worth; where what was lived leaves no money, what still has to be done."""
    tasks = [Task(MOST_WORTH.name, MOST_WORTH.id, partial(_find_plan(MOST_WORTH), job))]
    most = run_tasks(job, tasks)[0]
    if most.status == NAME_OF_STATUS["none"] and job.yard.begun.legs:
        # What was lived and entered may cost more than the budget; then nothing new is planned.
        job.frozen = True
        most = run_tasks(job, tasks)[0]
    return most


def _take_better(job: Job, most: Circuit, others: list[Circuit]) -> Circuit:
    """Where time ran out on most worth, a circuit of another goal may be worth more."""
    worth = most.objective or 0.0
    whole = [other for other in others if find_goal(other.goal) is not TOUR]
    better = max(whole, key=lambda other: other.totals.worth, default=most)
    if better.totals.worth <= worth or most.bound is None:
        return most
    worth = better.totals.worth
    return _rename(job, better, most, worth, max(most.bound, worth), most.seconds)


def _rename(
    job: Job, circuit: Circuit, like: Circuit, objective: float, bound: float, seconds: float
) -> Circuit:
    """A circuit that is an answer to another goal as well, under that goal's name.

    What the proof of either goal leaves out, this one does.
    """
    money = list_left_out_of_money(job.yard, find_goal(like.goal) or MOST_WORTH)
    leaves_out = tuple(dict.fromkeys((*circuit.leaves_out, *money)))
    return replace(
        circuit,
        name=like.name,
        goal=like.goal,
        objective=objective,
        bound=bound,
        status=name_status(objective, bound, leaves_out),
        seconds=round(seconds, 3),
        leaves_out=leaves_out,
    )


def _finish(
    job: Job,
    season: Season | None,
    found: Found,
    name: str,
    goal: str,
    watch: Watch,
    *,
    scale: float,
) -> Circuit:
    """The circuit of a search, with what it really reached of that which the goal counts."""
    if season is None or found.status not in FOUND:
        status = NAME_OF_STATUS[found.status]
        reasons = job.reasons if found.status != "none" else ()
        return Circuit(name, goal, status, seconds=round(watch.passed, 3), reasons=reasons)
    outings, legs = read_plan(season, found.values, job.name_town)
    row = find_goal(goal) or MOST_WORTH
    so_far = job.count_lived(row)
    objective = round(found.objective / scale + so_far, 4)
    bound = round(found.bound / scale + so_far, 4)
    leaves_out = season.problem.left_out + list_left_out_of_money(job.yard, row)
    circuit = finish_circuit(
        job.asked or job.yard,
        name,
        goal,
        name_status(objective, bound, leaves_out),
        objective,
        bound,
        round(watch.passed, 3),
        outings,
        legs,
        (*season.problem.dropped, *job.given.dropped),
        dropped_proved=job.given.proved,
        leaves_out=leaves_out,
    )
    reached = objective if row.searched else measure(row, circuit.totals, job.price_cents)
    if abs(reached - objective) > NUMBERS_APART:
        nearest = min if row.least else max
        bound = round(nearest(bound, reached), 4)
        circuit = _rename(job, circuit, circuit, reached, bound, circuit.seconds)
    return replace(circuit, aims_proved=job.aims_proved)


def plan_most_worth(job: Job) -> Circuit:
    """The most worth of its classes and aims that a season can have, after the best set of aims."""
    most, job.before = _plan_worth(job, Target(), MOST_WORTH.name, MOST_WORTH.id, FIRST_SHARE)
    job.aims_proved = most.aims_proved
    return most


def _add_rank(rank: Rank, before: Before, level: int) -> Before:
    return replace(before, ranks=(*before.ranks, (rank, level)))


def _limit_lacks(before: Before, level: int) -> Before:
    return replace(before, lacks=-level)


def _add_nothing(before: Before, level: int) -> Before:
    return before


def _plan_value(job: Job, most: Circuit) -> Circuit:
    """Good value; where the yard gives no price of a point, after the most worth was settled."""
    if job.yard.costs.point_price_cents is None:
        most = _settle(job, most)
    value: Circuit = _find_plan(GOOD_VALUE)(job, most)
    return value


def _settle(job: Job, most: Circuit) -> Circuit:
    job.settled = settle_most(job, most)
    return job.settled


def settle_most(job: Job, most: Circuit) -> Circuit:
    """Of all circuits within the worth slack of the most worth, the one that costs least.

    Its objective and bound are those of the most worth itself.
    """
    target = Target(before=job.before, spending=True, floor_of=most, settles=True)
    settled = _find_cheapest(job, target, MOST_WORTH)
    if not settled.exists or settled.totals.cost_cents >= most.totals.cost_cents:
        return most
    return _rename(job, settled, most, most.objective or 0.0, most.bound or 0.0, most.seconds)


def _find_cheapest(job: Job, target: Target, goal: Goal) -> Circuit:
    """The circuit of a target that costs least."""
    watch = job.watch(goal.id, SETTLE_SHARE, quiet=True)
    season, found = Pursuit(job, target, aim_at_cost, watch, tidy=False).find_best()
    return _finish(job, season, found, LEAST_COST.name, LEAST_COST.id, watch, scale=1.0)


def _find_cheapest_of_all(job: Job) -> Circuit:
    """The cheapest season with the entries that bind and the best set of aims."""
    target = Target(before=Before(job.before.ranks), spending=True)
    job.cheapest = _find_cheapest(job, target, GOOD_VALUE)
    return job.cheapest


def plan_good_value(job: Job, most: Circuit) -> Circuit:
    """The most that a season is worth in money, less what it costs.

    Where the yard gives no price of a point, it is what a point of most worth costs beyond the
    cheapest season with the same entries and aims.
    """
    cheapest, price_cents = Circuit("", "", most.status), job.yard.costs.point_price_cents
    if price_cents is None:
        cheapest = job.cheapest or _find_cheapest_of_all(job)
        price_cents = _find_price(most, cheapest.totals)
    job.price_cents = price_cents
    known = _value_most(job, most, price_cents, cheapest.bound or 0.0)
    if not price_cents:
        return known
    scale = -float(WORTH_SCALE)
    watch = job.watch(GOOD_VALUE.id, 1.0, scale)
    target = Target(before=job.before, spending=True)
    aim = partial(aim_at_value, price_cents)
    season, found = Pursuit(job, target, aim, watch, tidy=False, limit=-INFINITY).find_best()
    circuit = _finish(job, season, found, GOOD_VALUE.name, GOOD_VALUE.id, watch, scale=scale)
    if circuit.exists and (circuit.objective or 0.0) > (known.objective or 0.0):
        return replace(circuit, point_price_cents=price_cents)
    bounds = [found.bound / scale + job.count_lived(GOOD_VALUE), known.bound or 0.0]
    bound = max(known.objective or 0.0, min(b for b in bounds if np.isfinite(b)))
    return _rename(job, known, known, known.objective or 0.0, bound, watch.passed)


def _find_price(most: Circuit, low: Totals) -> int:
    """What a point of worth costs from the cheapest season to that of most worth [cents].

    Nothing where more worth costs no more. Where the cheapest is not known, staying at home is.
    """
    worth = Fraction(str(most.totals.worth)) - Fraction(str(low.worth))
    cents = most.totals.cost_cents - low.cost_cents
    return round_cents(cents / worth) if worth > 0 and cents > 0 else 0


def _value_most(job: Job, most: Circuit, price_cents: int, least_cents: float) -> Circuit:
    """The circuit of most worth as one of good value, and what bounds that.

    No season is worth more than the most, and none costs less than the least.
    """
    value = measure(GOOD_VALUE, most.totals, price_cents)
    bound = max(value, round(price_cents * (most.bound or 0.0) - least_cents, 4))
    like = replace(most, name=GOOD_VALUE.name, goal=GOOD_VALUE.id, point_price_cents=price_cents)
    return _rename(job, like, like, value, bound, most.seconds)


def plan_tour(job: Job, most: Circuit, tour: str) -> Circuit:
    """The most worth with no new entry at a show of another tour, after its best set of aims."""
    name, goal = f"{TOUR.name} {tour}", write_tour_goal(tour)
    return _plan_worth(job, Target(tour=tour), name, goal, 1.0, most)[0]


def _plan_worth(
    job: Job, target: Target, name: str, goal: str, share: float, most: Circuit | None = None
) -> tuple[Circuit, Before]:
    """The most worth of a target, as a circuit, and what comes before it.

    With the circuit of `most` worth it is a part of that season.
    """
    watch = job.watch(goal, share, WORTH_SCALE)
    best = _find_most(job, target, watch, most)
    # Better a plan of one drive a day, or the entries that are to be kept anyway, than no answer.
    for bare, seconds in (
        (replace(target, plain=True), PLAIN_SECONDS),
        (replace(target, only_bound=True), SALVAGE_SECONDS),
    ):
        found = best.found
        if found.status == "unknown" and np.isfinite(found.bound) and not job.stopped:
            kept = _find_most(job, bare, Watch(seconds, None, job.crew.is_over), most)
            if kept.found.status in FOUND:
                part = replace(kept.found, status="feasible", bound=found.bound)
                best = replace(kept, found=part, proved=False)
    circuit = _finish(job, best.season, best.found, name, goal, watch, scale=WORTH_SCALE)
    return replace(circuit, aims_proved=best.proved), best.before


Keep: TypeAlias = Callable[[Before, int], Before]
"""What comes before all else, with what one more step of it has reached."""


@dataclass(frozen=True)
class _Most:
    """The most worth of a target, in the numbers of the program, after what comes before it."""

    season: Season | None
    found: Found
    before: Before
    proved: bool


def _find_most(job: Job, target: Target, watch: Watch, most: Circuit | None) -> _Most:
    """The most worth of a target: of the best set of aims, rank by rank, as a whole."""
    problem = job.crew.attempt(partial(state_problem, job, target), lambda: None)
    if problem is None:
        return _Most(None, UNKNOWN, target.before, False)
    ranks = [r for r in rank_aims(job.yard.aims) if may_meet(problem, r)]
    if job.yard.limits.aims != "first" or target.before != NOTHING_BEFORE:
        ranks = []
    limit, leads = limit_worth(problem), most is None and not target.plain
    before, proved = target.before, True
    season: Season | None = None
    found = UNKNOWN
    # One step of what comes before outweighs whatever worth there is beside it.
    weight = limit + 1
    steps: list[tuple[Aim, Keep]]
    steps = [(partial(aim_at_rank, rank, weight), partial(_add_rank, rank)) for rank in ranks]
    if target.before == NOTHING_BEFORE and may_lack(problem):
        steps.append((partial(aim_at_lacks, weight), _limit_lacks))
    if steps:
        watch.report = _tell_worth_alone(watch.report, weight)
    for aim, keep in steps or [(aim_at_worth, _add_nothing)]:
        asked = replace(target, before=before)
        pursuit = Pursuit(job, asked, aim, watch, limit=INFINITY, leads=leads)
        tried, reached = pursuit.find_best()
        if tried is None or reached.status not in FOUND:
            if season is None:
                season, found = tried, reached
            else:
                # What an earlier step found stands, but a better set of aims may be there.
                found, proved = replace(found, status="feasible", bound=limit), False
            break
        season, found = tried, reached
        level = floor(found.objective / weight)
        proved = proved and floor(found.bound / weight) == level
        before, beyond = keep(before, level), weight * level
        found = replace(found, objective=found.objective - beyond, bound=found.bound - beyond)
    if most is not None and most.bound is not None and before == job.before:
        limit = min(limit, most.bound * WORTH_SCALE - job.lived_worth)
    return _Most(season, replace(found, bound=min(found.bound, limit)), before, proved)


def _tell_worth_alone(report: Report | None, weight: float) -> Report | None:
    """What comes before is no worth: nobody is told it, nor a bound that is of more of it."""
    if report is None:
        return None

    def tell(stage: str, objective: float | None, bound: float | None) -> None:
        level = None if objective is None else floor(objective / weight)
        worth = None if objective is None or level is None else objective - weight * level
        limit = None
        if bound is not None and level is not None and isfinite(bound):
            limit = bound - weight * level if floor(bound / weight) == level else None
        report(stage, worth, limit)

    return tell


def plan_least_road(job: Job, most: Circuit) -> Circuit:
    """The fewest kilometres that keep the worth floor."""
    return plan_least(job, most, LEAST_ROAD, aim_at_road, KM_STEPS)


def plan_least_cost(job: Job, most: Circuit) -> Circuit:
    """The least money that keeps the worth floor."""
    return plan_least(job, most, LEAST_COST, aim_at_cost, 1.0, spending=True)


def plan_least(
    job: Job, most: Circuit, goal: Goal, aim: Aim, scale: float, *, spending: bool = False
) -> Circuit:
    """The least of what a goal counts that keeps the worth floor; `scale` is of what it aims at."""
    target = Target(before=job.before, spending=spending, floor_of=most)
    watch = job.watch(goal.id, 1.0, scale)
    season, found = Pursuit(job, target, aim, watch, tidy=not spending).find_best()
    circuit = _finish(job, season, found, goal.name, goal.id, watch, scale=scale)
    bound = found.bound / scale + job.count_lived(goal)
    return _fall_back(job, circuit, most, bound, measure(goal, most.totals))


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
    return _rename(job, most, circuit, objective, low, circuit.seconds)


def plan_most_rest(job: Job, most: Circuit) -> Circuit:
    """The most spare days between outings, then the fewest hours of horses on the road.

    The spare days are found by asking for ever more clear days than recovery does: first the
    relaxation says how many there can be at most, then the exact program whether there are.
    """
    watch = job.watch(MOST_REST.id, 1.0, HOUR_STEPS)
    season_days = job.yard.season.days
    low = max(0, most.totals.spare_days or 0)
    high, limit = job.crew.attempt(
        partial(_bound_rest, job, most, watch, low), lambda: (low, season_days)
    )
    while True:
        target = Target(before=job.before, extra_days=high, floor_of=most)
        season, found = Pursuit(job, target, aim_at_hours, watch).find_best()
        if found.status in FOUND or high <= low or job.stopped:
            break
        if found.status == "none":
            high = limit = high - 1
        elif watch.left < LEAST_SECONDS:
            break
        else:
            high -= ceil((high - low) / 2)
    circuit = _finish(job, season, found, MOST_REST.name, MOST_REST.id, watch, scale=HOUR_STEPS)
    circuit = _fall_back(job, circuit, most, 0.0, 0.0)
    if not circuit.exists:
        return circuit
    spare = circuit.totals.spare_days
    reached = float(season_days if spare is None else spare)
    bound = max(reached, float(limit))
    status = name_status(reached, bound, circuit.leaves_out)
    return replace(circuit, objective=reached, bound=bound, status=status)


def _bound_rest(job: Job, most: Circuit, watch: Watch, low: int) -> tuple[int, int]:
    """How many spare days to ask for first, and how many there can be at most.

    What was lived without spare days gets none by what follows.
    """
    lived = count_spare_days(job.yard, job.yard.begun.outings, job.yard.begun.legs)
    season_days = job.yard.season.days
    most_days = season_days if lived is None else min(season_days, lived)
    need = job.yard.limits.worth_floor * (most.objective or 0.0) * WORTH_SCALE - job.lived_worth
    problem = state_problem(job, Target())

    def may_exist(extra: int) -> bool:
        if watch.left < LEAST_SECONDS or job.stopped:
            return True
        season, _ = build_program(job, Target(extra_days=extra), problem, frozenset())
        return Search(season).is_possible(state_worth(season), watch, need - 1e-3)

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
    if not most.outings:
        return None
    target = Target(before=job.before, floor_of=most, unlike=tuple(kept))
    watch = job.watch(ALTERNATIVE.id, 1.0, WORTH_SCALE)
    best = _find_most(job, target, watch, most)
    if best.found.status not in FOUND:
        return None
    number = sum(circuit.goal == ALTERNATIVE.id for circuit in kept) + 1
    name = f"{ALTERNATIVE.name} {number}"
    return _finish(job, best.season, best.found, name, ALTERNATIVE.id, watch, scale=WORTH_SCALE)


def _is_standstill(job: Job, most: Circuit) -> bool:
    """Whether it is proved that no horse can go anywhere and nothing is to be kept."""
    rows = (*most.outings, *most.legs, *most.dropped_entries)
    if rows or most.objective is None or most.objective != most.bound:
        return False
    chances = state_problem(job, Target()).chances
    return not chances or any(choice.worth for chance in chances for choice in chance.choices)


def _explain(job: Job) -> tuple[Fact, ...]:
    """What bars every horse, and which rules collide: those without which a circuit would fit.

    Where entries must be kept, only they can make a plan impossible, so only they are looked at.
    """
    held = list_bound_outings(job.yard)
    reasons = [] if held else list(list_bars(state_problem(job, Target())))
    if not held and not state_problem(job, Target()).chances:
        return tuple(reasons)
    for rule in PLANNED_IDS:
        if rule in job.without:
            continue
        eased = replace(job, without=job.without | {rule}, report=None)
        target = Target(only_bound=bool(held))
        season, _ = build_program(eased, target, state_problem(eased, target), None)
        found = Search(season).find_best(state_worth(season), eased.watch(rule))
        if found.status in FOUND and (held or found.objective):
            reasons.append(state("planning.without-rule", rule=rule))
    if held:
        outings = tuple(state("planning.outing", horse=horse, show=show) for horse, show in held)
        reasons.append(state("planning.entries-kept", outings=outings))
    return tuple(reasons) or (state("planning.several-rules"),)
