"""The linear relaxation over whole seasons of each horse, by column generation.

The program of `season` leaves open how a horse's marks come about. Here each horse mixes whole
seasons (paths of its graph) so that it has exactly one: the relaxation is as tight as if every
season a horse can have stood in the program, though only those are written that the prices ask
for. The prices also say how much any arc could still bring, so that arcs which cannot be part
of anything better than the best known plan are left out of the exact program.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from tripkit.solver.mip import INFINITY, Mip, Solver
from tripkit.solver.paths import HorseGraph, Mark

LARGEST_COST = 1e3
PENALTY = 1e5
PRIMAL_SIMPLEX = 4
TOLERANCE = 1e-6
NEAR = 1e-3


@dataclass
class Relaxation:
    """The optimum of the relaxation: its value, prices of marks, seasons used."""

    bound: float
    feasible: bool
    prices: dict[Mark, float]
    best: dict[str, float]
    seasons: dict[str, list[tuple[int, ...]]] = field(default_factory=dict)


class Pricer:
    """Longest paths in one horse's graph under prices of its marks."""

    def __init__(self, graph: HorseGraph, rows: dict[Mark, int]) -> None:
        self.graph = graph
        marks = list(dict.fromkeys(mark for arc in graph.marks for mark in arc))
        self.marks = marks
        number = {mark: i for i, mark in enumerate(marks)}
        self.rows = np.array([rows[mark] for mark in marks], dtype=np.int64)
        width = max([1, *(len(arc) for arc in graph.marks)])
        self.table = np.full((len(graph.tails), width), len(marks), dtype=np.int64)
        for i, arc in enumerate(graph.marks):
            for j, mark in enumerate(arc):
                self.table[i, j] = number[mark]
        self.tails, self.heads = graph.tails, graph.heads

    def price_arcs(self, row_prices: np.ndarray) -> list[float]:
        """What each arc brings under the prices of the marks' rows."""
        prices = np.append(row_prices[self.rows], 0.0)
        values: list[float] = prices[self.table].sum(axis=1).tolist()
        return values

    def find_best(self, arcs: list[float]) -> tuple[float, tuple[int, ...]]:
        """The most a season brings, and the arcs of one that does."""
        best = [-INFINITY] * self.graph.nodes
        via = [-1] * self.graph.nodes
        best[0] = 0.0
        for i, (tail, head, value) in enumerate(zip(self.tails, self.heads, arcs, strict=True)):
            reached = best[tail] + value
            if reached > best[head]:
                best[head] = reached
                via[head] = i
        path = []
        node = self.graph.sink
        while node:
            arc = via[node]
            path.append(arc)
            node = self.tails[arc]
        return best[self.graph.sink], tuple(reversed(path))

    def measure_arcs(self, arcs: list[float]) -> np.ndarray:
        """The most that a season through each arc brings."""
        ahead = [-INFINITY] * self.graph.nodes
        behind = [-INFINITY] * self.graph.nodes
        ahead[0] = 0.0
        behind[self.graph.sink] = 0.0
        for tail, head, value in zip(self.tails, self.heads, arcs, strict=True):
            ahead[head] = max(ahead[head], ahead[tail] + value)
        for tail, head, value in zip(
            reversed(self.tails), reversed(self.heads), reversed(arcs), strict=True
        ):
            behind[tail] = max(behind[tail], behind[head] + value)
        tails, heads = np.array(self.tails), np.array(self.heads)
        return np.array(ahead)[tails] + np.array(arcs) + np.array(behind)[heads]

    def count_marks(self, path: tuple[int, ...]) -> dict[int, float]:
        """How often a season bears each mark, by the mark's row."""
        counts: dict[int, float] = {}
        for arc in path:
            for j in self.table[arc]:
                if j < len(self.marks):
                    row = int(self.rows[j])
                    counts[row] = counts.get(row, 0.0) + 1.0
        return counts


def relax(
    mip: Mip,
    pricers: dict[str, Pricer],
    soft_rows: dict[int, float],
    *,
    seconds: float,
    should_stop: Callable[[], bool] | None = None,
) -> Relaxation:
    """Solves the relaxation; it exists where no row of `soft_rows` stays unmet.

    `soft_rows` are rows that a season without outings breaks, with the sign of what is missing.
    """
    began = time.perf_counter()
    highs = Solver()
    highs.setOptionValue("simplex_strategy", PRIMAL_SIMPLEX)
    lp = mip.as_lp(relaxed=True)
    scale = max(1.0, float(np.max(np.abs(lp.col_cost_), initial=0.0)) / LARGEST_COST)
    lp.col_cost_ = np.array(lp.col_cost_) / scale
    highs.passModel(lp)
    sign = 1.0 if mip.maximise else -1.0
    offset = lp.num_row_
    number = {horse: offset + i for i, horse in enumerate(pricers)}
    for _ in pricers:
        highs.addRow(1.0, 1.0, 0, np.array([], dtype=np.int32), np.array([]))
    for row, missing in soft_rows.items():
        highs.addCol(
            -sign * PENALTY, 0.0, INFINITY, 1, np.array([row], dtype=np.int32), np.array([missing])
        )
    known: dict[str, set[tuple[int, ...]]] = {horse: set() for horse in pricers}

    def add(horse: str, path: tuple[int, ...]) -> None:
        known[horse].add(path)
        counts = pricers[horse].count_marks(path)
        rows = [*counts, number[horse]]
        values = [*(-count for count in counts.values()), 1.0]
        highs.addCol(
            0.0, 0.0, INFINITY, len(rows), np.array(rows, dtype=np.int32), np.array(values)
        )

    for horse, pricer in pricers.items():
        idle = [-1e-3 * bool(marks) for marks in pricer.graph.marks]
        add(horse, pricer.find_best(idle)[1])
    bound, slack = sign * INFINITY, 0.0
    best: dict[str, float] = {}
    duals = np.zeros(offset + len(pricers))
    while True:
        highs.run()
        solution = highs.getSolution()
        duals = np.array(solution.row_dual)
        value = highs.getInfo().objective_function_value
        improved, surplus = False, 0.0
        best = {}
        for horse, pricer in pricers.items():
            arcs = pricer.price_arcs(sign * duals)
            gain, path = pricer.find_best(arcs)
            best[horse] = gain
            reduced = gain - sign * duals[number[horse]]
            surplus += max(0.0, reduced)
            if reduced > TOLERANCE * 10 and path not in known[horse]:
                add(horse, path)
                improved = True
        slack = float(
            np.sum(np.array(solution.col_value)[lp.num_col_ : lp.num_col_ + len(soft_rows)])
        )
        reach = value + sign * surplus
        bound = min(bound, reach) if mip.maximise else max(bound, reach)
        late = time.perf_counter() - began > seconds or (should_stop is not None and should_stop())
        near = slack <= TOLERANCE and surplus <= NEAR * abs(value)
        if not improved or late or near:
            break
    prices = {
        mark: float(duals[row]) * scale
        for pricer in pricers.values()
        for mark, row in zip(pricer.marks, pricer.rows, strict=True)
    }
    return Relaxation(
        bound * scale,
        slack <= TOLERANCE or late,
        prices,
        {horse: gain * scale for horse, gain in best.items()},
        {horse: sorted(paths) for horse, paths in known.items()},
    )
