"""The search for the best season under one objective, with the bound that proves it.

A season with few arcs is solved as it stands. A larger one in three steps:

1. The relaxation over whole seasons gives a bound, prices, and seasons worth mixing.
2. The program over those seasons alone gives a good plan.
3. Arcs through which no season can be better than that plan are left out (their price says so);
   the exact program over the arcs that are left is asked for something better. Its answer is
   the best plan, or the proof that there is none.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import gcd

import numpy as np

from tripkit.solver.mip import INFINITY, Mip, Solution
from tripkit.solver.paths import Enter
from tripkit.solver.pricing import Pricer, Relaxation, relax
from tripkit.solver.season import Season, Terms

FEW_ARCS = 20_000
RELAX_SHARE = 0.4
QUICK_SHARE = 0.75
QUICK_GAP = 0.01
LARGEST = 1e15
Seasons = Mapping[str, list[tuple[int, ...]]]


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
    """One season's program with its pricers, for any number of objectives."""

    def __init__(self, season: Season) -> None:
        self.season = season
        self.presolve = True
        self.pricers = {
            horse: Pricer(graph, season.mark_rows) for horse, graph in season.graphs.items()
        }

    def relax(self, objective: Objective, watch: Watch) -> Relaxation:
        """The relaxation of the season under an objective, in units of it."""
        self._aim(objective)
        return relax(
            self.season.mip,
            self.pricers,
            self.season.soft_rows,
            seconds=watch.left * RELAX_SHARE,
            should_stop=watch.should_stop,
        )

    def find_best(
        self,
        objective: Objective,
        watch: Watch,
        *,
        presolve: bool = True,
    ) -> Found:
        """The best season under an objective, or why there is none."""
        self.presolve = presolve
        if sum(len(graph.tails) for graph in self.season.graphs.values()) <= FEW_ARCS:
            return self._solve_directly(objective, watch)
        relaxed = self.relax(objective, watch)
        sign = 1.0 if objective.maximise else -1.0
        unit = objective.unit
        bound = self._round_bound(relaxed.bound * unit, objective)
        if not relaxed.feasible:
            return Found("none", float("nan"), float("nan"), np.zeros(0), watch.passed)
        watch.say("bound", None, bound)
        quick = self._solve(
            self._write_seasons(relaxed.seasons),
            objective,
            watch,
            watch.left * QUICK_SHARE,
            relative_gap=QUICK_GAP,
        )
        best = self._keep(quick)
        reached = None if best is None else objective.measure(best)
        watch.say("plan", reached, bound)
        done = reached is not None and sign * (bound - reached) < unit / 2
        if done and best is not None and reached is not None:
            return Found("best", reached, reached, best, watch.passed)
        exact = self._write_arcs(objective, relaxed, reached)
        if reached is not None:
            target = (reached + sign * unit) / unit
            scaled = [(c, v / unit) for c, v in objective.terms.items()]
            slack = 1e-6 * max(1.0, abs(target))
            low = target - slack if objective.maximise else -INFINITY
            high = INFINITY if objective.maximise else target + slack
            exact.add_row(scaled, low, high)
        last = self._solve(exact, objective, watch, watch.left)
        return self._conclude(objective, watch, last, best, bound)

    def _solve_directly(self, objective: Objective, watch: Watch) -> Found:
        """The exact program over all arcs."""
        kept = {horse: np.arange(len(graph.tails)) for horse, graph in self.season.graphs.items()}
        last = self._solve(self._add_arcs(kept), objective, watch, watch.left)
        # No season can be worth more than everything at once, or less than nothing.
        far = sum(max(0.0, v) for v in objective.terms.values()) if objective.maximise else 0.0
        return self._conclude(objective, watch, last, None, far)

    def _conclude(
        self,
        objective: Objective,
        watch: Watch,
        last: Solution,
        best: np.ndarray | None,
        bound: float,
    ) -> Found:
        """What the last answer of the solver and the best plan before it say together.

        The last program asked for something better than `best`, so that its "none" is the
        proof of it.
        """
        better = self._keep(last)
        best = best if better is None else better
        if best is None:
            status = "none" if last.status == "none" else "unknown"
            return Found(status, float("nan"), bound, np.zeros(0), watch.passed)
        reached = objective.measure(best)
        if last.status in ("best", "none"):
            watch.say("proof", reached, reached)
            return Found("best", reached, reached, best, watch.passed)
        if np.isfinite(last.bound):
            tight = self._round_bound(last.bound * objective.unit, objective)
            tight = max(tight, reached) if objective.maximise else min(tight, reached)
            bound = min(bound, tight) if objective.maximise else max(bound, tight)
        return Found("feasible", reached, bound, best, watch.passed)

    def polish(self, found: Found, objective: Objective, tidy: Terms, watch: Watch) -> np.ndarray:
        """The same outings and classes, the objective kept, with the least of `tidy`."""
        season = self.season
        mip = self._write_arcs_of(found.values)
        for column in (*season.window_of.values(), *season.choice_of.values()):
            value = float(found.values[column] > 0.5)
            mip.lower[column] = mip.upper[column] = value
        for column in season.rider_of.values():
            mip.lower[column] = mip.upper[column] = float(found.values[column] > 0.5)
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
        self.season.mip.set_objective(
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
        mip: Mip,
        objective: Objective,
        watch: Watch,
        seconds: float,
        relative_gap: float = 0.0,
    ) -> Solution:
        unit = objective.unit
        mip.set_objective(
            {c: v / unit for c, v in objective.terms.items()}, maximise=objective.maximise
        )

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

        return mip.solve(
            seconds=seconds,
            absolute_gap=0.99,
            relative_gap=relative_gap,
            presolve=self.presolve,
            report=hear if watch.report is not None else None,
            should_stop=watch.should_stop,
        )

    def _keep(self, solution: Solution) -> np.ndarray | None:
        if solution.status not in ("best", "feasible"):
            return None
        return solution.values[: len(self.season.mip.lower)]

    def _write_seasons(self, seasons: Seasons) -> Mip:
        """The program in which each horse has one of the known seasons."""
        mip = self.season.mip.copy()
        entries: list[tuple[int, int, float]] = []
        for horse, paths in seasons.items():
            columns = []
            for path in paths:
                column = mip.add_variable()
                columns.append((column, 1.0))
                counts = self.pricers[horse].count_marks(path)
                entries += [(row, column, -count) for row, count in counts.items()]
            mip.add_row(columns, 1.0, 1.0)
        mip.insert(entries)
        return mip

    def _write_arcs(self, objective: Objective, relaxed: Relaxation, reached: float | None) -> Mip:
        """The exact program over the arcs that a better season could use."""
        sign = 1.0 if objective.maximise else -1.0
        unit = objective.unit
        prices = np.zeros(len(self.season.mip.row_lower))
        for mark, price in relaxed.prices.items():
            prices[self.season.mark_rows[mark]] = sign * price
        kept = {}
        for horse, pricer in self.pricers.items():
            through = pricer.measure_arcs(pricer.price_arcs(prices))
            if reached is None:
                kept[horse] = np.flatnonzero(np.isfinite(through))
                continue
            lost = relaxed.best[horse] - through
            allowed = sign * (relaxed.bound - reached / unit) - 1.0 + 1e-4
            kept[horse] = np.flatnonzero(lost <= allowed)
        return self._add_arcs(kept)

    def _write_arcs_of(self, values: np.ndarray) -> Mip:
        """The exact program over the arcs of the windows that a solution chose."""
        chosen = {
            mark
            for mark, column in self.season.enter_of.items()
            if values[self.season.window_of[mark.chance, mark.window]] > 0.5
        }
        kept = {}
        for horse, graph in self.season.graphs.items():
            kept[horse] = np.array(
                [
                    i
                    for i, marks in enumerate(graph.marks)
                    if all(mark in chosen or not isinstance(mark, Enter) for mark in marks)
                ],
                dtype=np.int64,
            )
        return self._add_arcs(kept)

    def _add_arcs(self, kept: Mapping[str, np.ndarray]) -> Mip:
        mip = self.season.mip.copy()
        entries: list[tuple[int, int, float]] = []
        for horse, arcs in kept.items():
            graph, pricer = self.season.graphs[horse], self.pricers[horse]
            balance: dict[int, list[tuple[int, float]]] = defaultdict(list)
            for i in arcs.tolist():
                column = mip.add_variable()
                balance[graph.tails[i]].append((column, -1.0))
                balance[graph.heads[i]].append((column, 1.0))
                entries += [
                    (row, column, -count) for row, count in pricer.count_marks((i,)).items()
                ]
            for node, terms in balance.items():
                supply = -1.0 if node == 0 else 1.0 if node == graph.sink else 0.0
                mip.add_row(terms, supply, supply)
        mip.insert(entries)
        return mip
