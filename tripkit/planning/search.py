"""The search for the best season under one objective, with the bound that proves it."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from math import gcd
from typing import TypeAlias

import numpy as np

from tripkit.planning.mip import INFINITY, Mip, Solution
from tripkit.planning.prices import Outline, read_outline
from tripkit.planning.program import Season, Terms

OUTLINE_SHARE = 0.5
# A plan found late is tidied all the same: nobody wants lorries that drive about empty.
TIDY_SECONDS = 5.0
LARGEST = 1e15
# Prices that were not brought to the end of their last digits round a bound this much.
STEP_SLACK = 1e-3


@dataclass(frozen=True)
class Objective:
    """What to make most or least of: whole-number terms, so that a bound within one is a proof.

    What is to be least cannot fall below `least`.
    """

    terms: Terms
    maximise: bool
    least: float = 0.0

    @property
    def unit(self) -> float:
        """The smallest step between two values of the objective."""
        return float(gcd(*(round(abs(v)) for v in self.terms.values()), 0) or 1)

    @property
    def limit(self) -> float:
        """What no season can pass: everything at once, or the least that it can fall to."""
        return sum(max(0.0, v) for v in self.terms.values()) if self.maximise else self.least

    def measure(self, values: np.ndarray) -> float:
        """The objective of a solution."""
        return float(sum(v * values[c] for c, v in self.terms.items()))


Report: TypeAlias = Callable[[str, float | None, float | None], None]
"""Who hears how a search goes: its stage, the best so far and the bound."""
Found: TypeAlias = Solution
"""The outcome of a search, in the objective's own numbers."""


@dataclass
class Watch:
    """The time a search may take, who listens to it, and what is kept where it is broken off.

    `kept` is the best plan so far in its season, and whether it keeps every rule.
    """

    seconds: float
    report: Report | None = None
    should_stop: Callable[[], bool] | None = None
    kept: tuple[Season, Found, bool] | None = None

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

    @property
    def is_stopped(self) -> bool:
        """Whether somebody ended the search."""
        return self.should_stop is not None and self.should_stop()

    def say(self, stage: str, objective: float | None, bound: float | None) -> None:
        """Tells the listener, if there is one."""
        if self.report is not None:
            self.report(stage, objective, bound)


class Search:
    """One season's program, for any number of objectives."""

    def __init__(self, season: Season) -> None:
        self.season = season
        self.mip = _add_arcs(season)

    def outline(self, objective: Objective, watch: Watch) -> Outline | None:
        """What the relaxation says of the season, None where there is no time for it.

        In the objective's own numbers.
        """
        self._aim(objective)
        prices = self.mip.find_prices(
            seconds=watch.left * OUTLINE_SHARE, should_stop=watch.should_stop
        )
        if prices is None:
            return None
        found = read_outline(self.season, self.mip, prices)
        unit = objective.unit
        bound = self._round_bound(found.bound * unit, objective)
        watch.say("bound", None, bound)
        return Outline(bound, {stay: loss * unit for stay, loss in found.losses.items()})

    def is_possible(self, objective: Objective, watch: Watch, least: float) -> bool:
        """Whether the relaxation reaches a value, as far as there is time to know."""
        self._aim(objective)
        solved = self.mip.solve(
            seconds=watch.left * OUTLINE_SHARE, relaxed=True, should_stop=watch.should_stop
        )
        if solved.status != "best":
            return solved.status != "none"
        return self._round_bound(solved.objective * objective.unit, objective) >= least

    def find_best(
        self,
        objective: Objective,
        watch: Watch,
        *,
        better_than: float | None = None,
        presolve: bool = True,
    ) -> Found:
        """The best season under an objective, or why there is none.

        With `better_than` only seasons better than that count.
        """
        unit = objective.unit
        self._aim(objective)
        mip = self.mip
        if better_than is not None:
            mip = mip.copy()
            steps = better_than / unit
            more, less = np.floor(steps + 1e-6) + 1, np.ceil(steps - 1e-6) - 1
            slack = 1e-6 * max(1.0, abs(steps))
            ends = (more - slack, INFINITY), (-INFINITY, less + slack)
            terms = [(c, v / unit) for c, v in objective.terms.items()]
            mip.add_row(terms, *ends[0 if objective.maximise else 1])
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

        solved = mip.solve(
            seconds=watch.left,
            absolute_gap=0.99,
            presolve=presolve,
            report=hear if watch.report is not None else None,
            should_stop=watch.should_stop,
        )
        return self._conclude(objective, watch, solved)

    def _conclude(self, objective: Objective, watch: Watch, solved: Solution) -> Found:
        far = objective.limit
        values = self._keep(solved)
        if values is None:
            status = "none" if solved.status == "none" else "unknown"
            return Found(status, float("nan"), far, np.zeros(0), watch.passed)
        reached = objective.measure(values)
        if solved.status == "best":
            watch.say("proof", reached, reached)
            return Found("best", reached, reached, values, watch.passed)
        bound = far
        if np.isfinite(solved.bound):
            tight = self._round_bound(solved.bound * objective.unit, objective)
            nearest, other = (min, max) if objective.maximise else (max, min)
            bound = nearest(far, other(tight, reached))
        return Found("feasible", reached, bound, values, watch.passed)

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
            seconds=max(TIDY_SECONDS, watch.left), absolute_gap=0.5, should_stop=watch.should_stop
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
        up = objective.maximise
        whole = np.floor(steps + STEP_SLACK) if up else np.ceil(steps - STEP_SLACK)
        return float(whole * unit) if np.isfinite(steps) else bound

    def _keep(self, solution: Solution) -> np.ndarray | None:
        return solution.values if solution.status in ("best", "feasible") else None


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
