"""The search for the best season under one objective, with the bound that proves it.

A season with few windows is solved as it stands. A larger one in steps:

1. The relaxation gives a bound, and says which windows are worth mixing.
2. The program over those windows alone, and over those of a plan known before, gives a plan.
3. Neighbours of the plan: the windows of some horses, or of some weeks, are free again while the
   others stay as they are, until none of them brings anything better.
4. The exact program goes on from the best plan, until it is proved or time is over.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from itertools import cycle
from math import gcd

import numpy as np

from tripkit.solver.mip import INFINITY, Mip, Solution
from tripkit.solver.program import Season, Terms

RELAX_SHARE = 0.5
QUICK_SHARE = 0.5
NEAR_SHARE = 0.6
ONE_NEAR_SHARE = 0.25
QUICK_GAP = 0.001
SLICE_DAYS, SLICE_STEP_DAYS = 35, 18
GROUP = 4
USED = 1e-6
LARGEST = 1e15


@dataclass(frozen=True)
class Objective:
    """What to make most or least of: whole-number terms, so that a bound within one is a proof."""

    terms: Terms
    maximise: bool

    @property
    def unit(self) -> float:
        """The smallest step between two values of the objective."""
        return float(gcd(*(round(abs(v)) for v in self.terms.values()), 0) or 1)

    def measure(self, values: np.ndarray) -> float:
        """The objective of a solution."""
        return float(sum(v * values[c] for c, v in self.terms.items()))


@dataclass(frozen=True)
class Found:
    """The outcome of a search: status as `Solution`, in the objective's own numbers."""

    status: str
    objective: float
    bound: float
    values: np.ndarray
    seconds: float


@dataclass(frozen=True)
class Outline:
    """What the relaxation says of a season: its bound, and the windows that it mixes.

    `status` as `Solution`; `used` are columns of windows, in the program that is to be solved.
    """

    status: str
    bound: float
    values: np.ndarray
    used: frozenset[int] = frozenset()


@dataclass
class Watch:
    """The time a search may take, and who listens to it."""

    seconds: float
    report: Callable[[str, float | None, float | None], None] | None = None
    should_stop: Callable[[], bool] | None = None

    def __post_init__(self) -> None:
        self.began = time.perf_counter()

    @property
    def passed(self) -> float:
        """Seconds since the start."""
        return time.perf_counter() - self.began

    @property
    def left(self) -> float:
        """Seconds that are left."""
        return max(0.0, self.seconds - self.passed)

    def say(self, stage: str, objective: float | None, bound: float | None) -> None:
        """Tells the listener, if there is one."""
        if self.report is not None:
            self.report(stage, objective, bound)


class Search:
    """One season's program, for any number of objectives."""

    def __init__(self, season: Season) -> None:
        self.season = season
        self.presolve = True
        self.mip = _add_arcs(season)

    def outline(self, objective: Objective, watch: Watch) -> Outline:
        """The relaxation of the season under an objective."""
        self._aim(objective)
        solved = self.mip.solve(
            seconds=watch.left * RELAX_SHARE,
            relaxed=True,
            presolve=self.presolve,
            should_stop=watch.should_stop,
        )
        if solved.status != "best":
            nothing = np.zeros(len(self.mip.lower))
            return Outline(solved.status, _limit(objective), nothing)
        bound = self._round_bound(solved.objective * objective.unit, objective)
        watch.say("bound", None, bound)
        return Outline("best", bound, solved.values)

    def find_best(
        self,
        objective: Objective,
        watch: Watch,
        outline: Outline | None = None,
        *,
        presolve: bool = True,
    ) -> Found:
        """The best season under an objective, or why there is none.

        With an outline a plan is looked for over the windows it names first.
        """
        self.presolve = presolve
        best: np.ndarray | None = None
        bound = _limit(objective) if outline is None else outline.bound
        if outline is not None:
            best = self._find_near(objective, watch, outline)
            if best is not None and self._is_reached(objective, best, bound):
                reached = objective.measure(best)
                return Found("best", reached, reached, best, watch.passed)
        last = self._solve(objective, watch, watch.left, start=best)
        return self._conclude(objective, watch, last, best, bound)

    def _find_near(self, objective: Objective, watch: Watch, outline: Outline) -> np.ndarray | None:
        """A plan over the windows of an outline, bettered by freeing others in turn."""
        bound, used = outline.bound, outline.used | self._list_held()
        quick = self._solve(objective, watch, watch.left * QUICK_SHARE, used, QUICK_GAP)
        best = self._keep(quick)
        if best is None:
            return None
        watch.say("plan", objective.measure(best), bound)
        until = watch.passed + watch.left * NEAR_SHARE
        neighbours = list(_list_neighbours(self.season))
        idle = 0
        for free in cycle(neighbours):
            seconds = min(until - watch.passed, watch.left * ONE_NEAR_SHARE)
            stopped = watch.should_stop is not None and watch.should_stop()
            done = idle == len(neighbours) or self._is_reached(objective, best, bound)
            if seconds <= 0 or stopped or done:
                break
            usable = used | self._list_used(best) | free
            kept = self._keep(self._solve(objective, watch, seconds, usable, QUICK_GAP, best))
            idle += 1
            if kept is not None and self._is_better(objective, kept, best):
                best, idle = kept, 0
                watch.say("plan", objective.measure(best), bound)
        return best

    def _list_used(self, values: np.ndarray) -> frozenset[int]:
        """The windows that a plan, or a mixture of plans, uses."""
        columns = self.season.window_of.values()
        return frozenset(column for column in columns if values[column] > USED)

    def _list_held(self) -> frozenset[int]:
        """The windows of shows that every plan must keep."""
        held = self.season.problem.yard.held
        return frozenset(
            column
            for (chance, _), column in self.season.window_of.items()
            if chance.bound or (chance.horse, chance.show) in held
        )

    def _is_reached(self, objective: Objective, values: np.ndarray, bound: float) -> bool:
        return abs(bound - objective.measure(values)) < objective.unit / 2

    def _is_better(self, objective: Objective, new: np.ndarray, old: np.ndarray) -> bool:
        gain = objective.measure(new) - objective.measure(old)
        return (gain if objective.maximise else -gain) > objective.unit / 2

    def _conclude(
        self,
        objective: Objective,
        watch: Watch,
        last: Solution,
        best: np.ndarray | None,
        bound: float,
    ) -> Found:
        """What the last answer of the solver and the best plan before it say together."""
        better = self._keep(last)
        if better is not None and (best is None or self._is_better(objective, better, best)):
            best = better
        if best is None:
            status = "none" if last.status == "none" else "unknown"
            return Found(status, float("nan"), bound, np.zeros(0), watch.passed)
        reached = objective.measure(best)
        if last.status == "best":
            watch.say("proof", reached, reached)
            return Found("best", reached, reached, best, watch.passed)
        if np.isfinite(last.bound):
            tight = self._round_bound(last.bound * objective.unit, objective)
            tight = max(tight, reached) if objective.maximise else min(tight, reached)
            bound = min(bound, tight) if objective.maximise else max(bound, tight)
        return Found("feasible", reached, bound, best, watch.passed)

    def polish(self, found: Found, objective: Objective, tidy: Terms, watch: Watch) -> np.ndarray:
        """The same outings and classes, the objective kept, with the least of `tidy`."""
        season, mip = self.season, self.mip.copy()
        chosen = (season.window_of, season.choice_of, season.rider_of)
        for column in (c for columns in chosen for c in columns.values()):
            value = float(found.values[column] > 0.5)
            mip.lower[column] = mip.upper[column] = value
        slack = objective.unit / 2
        low = found.objective - slack if objective.maximise else -INFINITY
        high = INFINITY if objective.maximise else found.objective + slack
        unit = objective.unit
        mip.add_row([(c, v / unit) for c, v in objective.terms.items()], low / unit, high / unit)
        mip.set_objective(tidy, maximise=False)
        solved = mip.solve(
            seconds=max(2.0, watch.left), absolute_gap=0.5, should_stop=watch.should_stop
        )
        kept = self._keep(solved)
        return found.values if kept is None else kept

    def _aim(self, objective: Objective) -> None:
        unit = objective.unit
        self.mip.set_objective(
            {c: v / unit for c, v in objective.terms.items()}, maximise=objective.maximise
        )

    def _round_bound(self, bound: float, objective: Objective) -> float:
        """A bound rounded to the next value that the objective can take."""
        unit = objective.unit
        steps = bound / unit
        whole = np.floor(steps + 1e-5) if objective.maximise else np.ceil(steps - 1e-5)
        return float(whole * unit) if np.isfinite(steps) else bound

    def _solve(
        self,
        objective: Objective,
        watch: Watch,
        seconds: float,
        usable: Collection[int] | None = None,
        relative_gap: float = 0.0,
        start: np.ndarray | None = None,
    ) -> Solution:
        """The program, where `usable` is given over those windows only."""
        unit = objective.unit
        self._aim(objective)
        heard: list[tuple[float, float]] = []

        def hear(reached: float, bound: float) -> None:
            if heard and heard[-1] == (reached, bound):
                return
            heard.append((reached, bound))
            known = [
                value * unit if np.isfinite(value) and abs(value) < LARGEST else None
                for value in (reached, bound)
            ]
            watch.say("proof", known[0], known[1])

        windows = self.season.window_of.values()
        return self.mip.solve(
            seconds=seconds,
            absolute_gap=0.99,
            relative_gap=relative_gap,
            presolve=self.presolve,
            closed=() if usable is None else [c for c in windows if c not in usable],
            start=start,
            # A part of the program bounds nothing but itself.
            report=hear if watch.report is not None and usable is None else None,
            should_stop=watch.should_stop,
        )

    def _keep(self, solution: Solution) -> np.ndarray | None:
        return solution.values if solution.status in ("best", "feasible") else None


def _limit(objective: Objective) -> float:
    """No season can be worth more than everything at once, or less than nothing."""
    return sum(max(0.0, v) for v in objective.terms.values()) if objective.maximise else 0.0


def _list_neighbours(season: Season) -> Iterator[frozenset[int]]:
    """Windows that are freed together: first those of some weeks, then those of some horses."""
    first, last = season.problem.first, season.problem.last
    for day in range(first, last + 1, SLICE_STEP_DAYS):
        yield frozenset(
            c for (_, w), c in season.window_of.items() if day <= w.first < day + SLICE_DAYS
        )
    horses = list(season.graphs)
    for i in range(0, len(horses), GROUP):
        some = horses[i : i + GROUP]
        yield frozenset(c for (chance, _), c in season.window_of.items() if chance.horse in some)


def _add_arcs(season: Season) -> Mip:
    """The exact program: the season's, and each horse's path through its graph arc by arc."""
    mip = season.mip.copy()
    entries: list[tuple[int, int, float]] = []
    for graph in season.graphs.values():
        balance: dict[int, list[tuple[int, float]]] = defaultdict(list)
        for tail, head, marks in zip(graph.tails, graph.heads, graph.marks, strict=True):
            column = mip.add_variable()
            balance[tail].append((column, -1.0))
            balance[head].append((column, 1.0))
            entries += [(season.mark_rows[mark], column, -1.0) for mark in marks]
        for node, terms in balance.items():
            supply = -1.0 if node == 0 else 1.0 if node == graph.sink else 0.0
            mip.add_row(terms, supply, supply)
    mip.insert(entries)
    return mip
