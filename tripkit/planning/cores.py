"""The search of a large season: small seasons of promising stays, solved one after another.

1. The relaxation gives a bound, and says what each stay loses against it at the least: first
   without breaks, then with them where there is time.
2. A core, the season with only the stays that lose least, or those of a plan known before,
   gives a plan.
3. Neighbours: the stays of the plan with others of some weeks, or of some horses, give better
   ones, until none of them does.
4. What could still be better than the plan goes only through stays that lose less than the bound
   is away: over those the exact program is asked for something better while there is time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import cycle, islice

import numpy as np

from tripkit.planning.prices import Outline, Stay
from tripkit.planning.problem import Problem
from tripkit.planning.program import Season, can_break
from tripkit.planning.search import Found, Objective, Search, Watch

FIRST_CORE, CORE = 150, 250
CORE_SHARE, NEAR_SHARE, ONE_NEAR_SHARE, LATER_SHARE = 0.4, 0.6, 0.25, 0.2
# With breaks a relaxation takes several times as long, and says more.
FINER_SHARE, FINER_TAKES = 0.5, 3.0
SLICE_DAYS, SLICE_STEP_DAYS = 35, 18
GROUP = 3
LEAST_STEP = 1.0
USED = 0.5
Build = Callable[[frozenset[Stay] | None, bool], tuple[Season, Objective]]
"""Writes a season with some stays, or all; a lean one has no breaks."""


@dataclass(frozen=True)
class Plan:
    """The best that was found: the small season it stands in, and what became of the search.

    `order` are the stays of the whole season, those first that lose least; `outline_seconds` is
    what it took to know.
    """

    season: Season
    objective: Objective
    found: Found
    order: tuple[Stay, ...] = ()
    outline_seconds: float = 0.0


def search_cores(
    problem: Problem,
    build: Build,
    watch: Watch,
    known: frozenset[Stay],
    order: Sequence[Stay],
    bound: float,
    outline_seconds: float = 0.0,
) -> Plan:
    """The best plan of a large season that the time allows, with a bound.

    `known` are stays of a plan known before. Where an `order` is known, from another goal, the
    relaxation comes after the plan, where the time that is left is enough for the
    `outline_seconds` that another one took; `bound` serves until then.
    """
    held, possible = _list_held(problem), _list_stays(problem)
    breaks = can_break(problem)
    outline: Outline | None = None
    order = [stay for stay in order if stay in possible]
    first = not order
    if first:
        outline, bound = _outline(build, True, watch, bound)
        order = [] if outline is None else list(outline.order)
        outline_seconds = watch.passed
    best = _find_first(build, watch, held, known, order, possible)
    if best.found.status not in ("best", "feasible"):
        found = replace(best.found, bound=bound)
        return Plan(best.season, best.objective, found, tuple(order), outline_seconds)
    watch.say("plan", best.found.objective, bound)
    _keep(watch, best, bound)
    if first and breaks and watch.left * FINER_SHARE > outline_seconds * FINER_TAKES:
        began = watch.passed
        finer, bound = _outline(build, False, watch, bound)
        outline_seconds = watch.passed - began
        if finer is not None:
            outline, order = finer, list(finer.order)
    later = outline is None and watch.left * LATER_SHARE > outline_seconds
    share = NEAR_SHARE if later or outline is not None else 1.0
    best = _better(build, watch, best, held, order, bound, share)
    if later and watch.left > 0 and not watch.is_stopped:
        outline, bound = _outline(build, not breaks, watch, bound)
    best, limit = _prove(build, watch, best, held, outline, bound)
    reached = best.found.objective
    status = "best" if limit == reached else "feasible"
    watch.say("proof", reached, limit)
    found = replace(best.found, status=status, bound=limit)
    return replace(best, found=found, order=tuple(order), outline_seconds=outline_seconds)


def _keep(watch: Watch, best: Plan, bound: float) -> None:
    """What stands where the search is broken off later."""
    watch.kept = (best.season, replace(best.found, status="feasible", bound=bound), True)


def _outline(build: Build, lean: bool, watch: Watch, bound: float) -> tuple[Outline | None, float]:
    """The outline of the whole season, and the nearer of its bound and the one known."""
    season, objective = build(None, lean)
    outline = Search(season).outline(objective, watch)
    own = objective.limit if outline is None else outline.bound
    return outline, _nearer(objective, bound, own)


def _prove(
    build: Build,
    watch: Watch,
    best: Plan,
    held: frozenset[Stay],
    outline: Outline | None,
    bound: float,
) -> tuple[Plan, float]:
    """Whether there is anything better, as far as there is time to ask; and the bound."""
    reached = best.found.objective
    if _is_reached(reached, bound):
        return best, reached
    if outline is None or watch.left <= 0 or watch.is_stopped:
        return best, bound
    # A stay that loses more than the outline's bound is away is in no better plan.
    gap = abs(outline.bound - reached)
    open_stays = held | {stay for stay, loss in outline.losses.items() if loss < gap}
    if not open_stays:
        return best, reached
    season, objective = build(open_stays, False)
    last = Search(season).find_best(objective, watch, better_than=reached)
    if last.status == "none":
        return best, reached
    if last.status == "unknown":
        return best, bound
    better = Plan(season, objective, last)
    return better, _nearer(objective, bound, last.bound)


def list_stays(season: Season, values: np.ndarray) -> frozenset[Stay]:
    """The stays of a plan."""
    return frozenset(
        (chance.horse, chance.show, window)
        for (chance, window), column in season.window_of.items()
        if values[column] > USED
    )


def _find_first(
    build: Build,
    watch: Watch,
    held: frozenset[Stay],
    known: frozenset[Stay],
    order: Sequence[Stay],
    possible: frozenset[Stay],
) -> Plan:
    """A plan over the stays known before, else over those that lose least, else over all."""
    first = frozenset(order[:FIRST_CORE])
    tried = [held | some for some in (known, first) if some]
    for stays in tried:
        plan = _solve(build, watch, stays, CORE_SHARE)
        if plan.found.status in ("best", "feasible"):
            return plan
    # Only where nothing fits into the whole season does nothing fit.
    return _solve(build, watch, possible, 1.0)


def _solve(build: Build, watch: Watch, stays: frozenset[Stay], share: float) -> Plan:
    season, objective = build(stays, False)
    # What a part of the season proves says nothing of the whole: nobody hears it.
    part = Watch(watch.left * share, None, watch.should_stop)
    return Plan(season, objective, Search(season).find_best(objective, part))


def _better(
    build: Build,
    watch: Watch,
    best: Plan,
    held: frozenset[Stay],
    order: Sequence[Stay],
    bound: float,
    share: float,
) -> Plan:
    """A plan bettered by giving it stays of some weeks or some horses to choose from."""
    until = watch.passed + watch.left * share
    neighbours = list(_list_neighbours(best.season, order))
    idle = 0
    for near in cycle(neighbours):
        objective = best.found.objective
        seconds = until - watch.passed
        done = idle == len(neighbours) or _is_reached(objective, bound)
        if done or seconds <= 0 or watch.is_stopped:
            break
        chosen = held | list_stays(best.season, best.found.values)
        more = islice((stay for stay in near if stay not in chosen), max(0, CORE - len(chosen)))
        season, aim = build(chosen | set(more), False)
        part = Watch(min(seconds, watch.left * ONE_NEAR_SHARE), None, watch.should_stop)
        found = Search(season).find_best(aim, part, better_than=objective)
        idle += 1
        if found.status in ("best", "feasible"):
            best, idle = Plan(season, aim, found), 0
            _keep(watch, best, bound)
            watch.say("plan", found.objective, bound)
    return best


def _list_neighbours(season: Season, order: Sequence[Stay]) -> Iterator[list[Stay]]:
    """Stays of all, of some weeks, of some horses, each time those first that lose least."""
    yield list(order[:FIRST_CORE])
    first, last = season.problem.first, season.problem.last
    for day in range(first, last + 1, SLICE_STEP_DAYS):
        yield [s for s in order if day <= s[2].first < day + SLICE_DAYS]
    horses = list(dict.fromkeys(horse.horse for horse in season.problem.yard.horses))
    for i in range(0, len(horses), GROUP):
        yield [s for s in order if s[0] in horses[i : i + GROUP]]


def _list_stays(problem: Problem) -> frozenset[Stay]:
    return frozenset((c.horse, c.show, window) for c in problem.chances for window in c.windows)


def _list_held(problem: Problem) -> frozenset[Stay]:
    """The stays at shows that every plan must keep."""
    held = problem.yard.held
    return frozenset(
        stay
        for chance in problem.chances
        if chance.bound or chance.begun or (chance.horse, chance.show) in held
        for stay in ((chance.horse, chance.show, window) for window in chance.windows)
    )


def _is_reached(value: float, bound: float) -> bool:
    """Whether a bound is met; the step of a core may be wider than that of the season."""
    return abs(bound - value) < LEAST_STEP / 2


def _nearer(objective: Objective, bounds: float, other: float) -> float:
    return min(bounds, other) if objective.maximise else max(bounds, other)
