"""A mixed-integer program, built row by row and handed to HiGHS."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

import highspy
import numpy as np

from tripkit.planning.stopping import run_aside

INFINITY: float = highspy.kHighsInf
Terms = Mapping[int, float]


class Solver(highspy.Highs):
    """HiGHS on one thread, silent from its first line on."""

    def __init__(self) -> None:
        super().__init__()
        self.setOptionValue("output_flag", False)
        self.setOptionValue("threads", 1)
        self.setOptionValue("random_seed", 1)

    def enableCallbacks(self) -> None:
        """Silences HiGHS before it prints its banner, which this call would make it do."""
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()


@dataclass(frozen=True)
class Solution:
    """What the solver found: a status, the values, the objective and what bounds it.

    `status` is "best" (proved), "feasible" (time or stop), "none" (infeasible) or "unknown"
    (time or stop before anything was found).
    """

    status: str
    objective: float
    bound: float
    values: np.ndarray
    seconds: float


@dataclass
class Mip:
    """Variables and rows; `maximise` says which way the objective goes."""

    maximise: bool = True
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    integer: list[bool] = field(default_factory=list)
    cost: list[float] = field(default_factory=list)
    row_lower: list[float] = field(default_factory=list)
    row_upper: list[float] = field(default_factory=list)
    starts: list[int] = field(default_factory=lambda: [0])
    columns: list[int] = field(default_factory=list)
    entries: list[float] = field(default_factory=list)

    def add_variable(self, lower: float = 0.0, upper: float = 1.0, *, integer: bool = False) -> int:
        """A new variable between two bounds; returns its column."""
        self.lower.append(lower)
        self.upper.append(upper)
        self.integer.append(integer)
        self.cost.append(0.0)
        return len(self.lower) - 1

    def add_row(
        self, terms: Terms | Iterable[tuple[int, float]], lower: float, upper: float
    ) -> int:
        """A new row: lower <= sum of coefficient x variable <= upper; returns its number."""
        pairs = terms.items() if isinstance(terms, Mapping) else terms
        for column, coefficient in pairs:
            if coefficient:
                self.columns.append(column)
                self.entries.append(float(coefficient))
        self.starts.append(len(self.columns))
        self.row_lower.append(lower)
        self.row_upper.append(upper)
        return len(self.row_lower) - 1

    def copy(self) -> Mip:
        """A program of its own with the same variables and rows."""
        return Mip(
            self.maximise,
            list(self.lower),
            list(self.upper),
            list(self.integer),
            list(self.cost),
            list(self.row_lower),
            list(self.row_upper),
            list(self.starts),
            list(self.columns),
            list(self.entries),
        )

    def insert(self, entries: Iterable[tuple[int, int, float]]) -> None:
        """Enters (row, column, coefficient) into rows that stand already."""
        added: dict[int, list[tuple[int, float]]] = {}
        for row, column, value in entries:
            added.setdefault(row, []).append((column, value))
        columns: list[int] = []
        values: list[float] = []
        starts = [0]
        for row in range(len(self.row_lower)):
            begin, end = self.starts[row], self.starts[row + 1]
            columns += self.columns[begin:end]
            values += self.entries[begin:end]
            for column, value in added.get(row, ()):
                columns.append(column)
                values.append(value)
            starts.append(len(columns))
        self.columns, self.entries, self.starts = columns, values, starts

    def set_objective(self, terms: Terms, *, maximise: bool) -> None:
        """Replaces the objective."""
        self.maximise = maximise
        self.cost = [0.0] * len(self.lower)
        for column, coefficient in terms.items():
            self.cost[column] = float(coefficient)

    def solve(
        self,
        *,
        seconds: float,
        absolute_gap: float = 1e-6,
        relative_gap: float = 0.0,
        presolve: bool = True,
        relaxed: bool = False,
        report: Callable[[float, float], None] | None = None,
        should_stop: Callable[[], bool] | None = None,
    ) -> Solution:
        """Solves the program with HiGHS on one thread, deterministic unless time runs out.

        `relaxed` forgets that variables are whole.

        `report(objective, bound)` is called as both move; `should_stop()` ends the search at
        once with the best found so far.
        """
        began = time.perf_counter()
        options: dict[str, str | float | bool] = {
            "mip_rel_gap": relative_gap,
            "mip_abs_gap": absolute_gap,
            "mip_feasibility_tolerance": 1e-7,
            "presolve": "choose" if presolve else "off",
        }
        listener = _Listener(report, should_stop)
        highs = self._run(seconds, options, listener, relaxed=relaxed)
        if highs is None:
            return listener.conclude(time.perf_counter() - began)
        info = highs.getInfo()
        status = _read_status(highs, info)
        values = np.array(highs.getSolution().col_value) if status in _FOUND else np.zeros(0)
        objective = info.objective_function_value if status in _FOUND else float("nan")
        bound = objective if relaxed or not any(self.integer) else info.mip_dual_bound
        if status == "best":
            bound = objective
        return Solution(status, objective, bound, values, time.perf_counter() - began)

    def find_prices(
        self, *, seconds: float, should_stop: Callable[[], bool] | None = None
    ) -> np.ndarray | None:
        """Prices of the rows in the relaxation, None where it ended before there were any.

        By the interior point method without its last step: on large programs that is several
        times sooner than the simplex method. Without presolve, after which prices are lost.
        """
        options = {"solver": "ipm", "run_crossover": "off", "presolve": "off"}
        highs = self._run(seconds, options, _Listener(None, should_stop), relaxed=True)
        solution = None if highs is None else highs.getSolution()
        return np.array(solution.row_dual) if solution and solution.dual_valid else None

    def _run(
        self,
        seconds: float,
        options: Mapping[str, str | float | bool],
        listener: _Listener,
        *,
        relaxed: bool,
    ) -> Solver | None:
        """The solver when it has run; None where it was left behind, to end some time."""
        highs = Solver()
        highs.setOptionValue("time_limit", max(0.05, seconds))
        for name, value in options.items():
            highs.setOptionValue(name, value)
        highs.passModel(self.as_lp(relaxed=relaxed))
        listener.listen(highs, relaxed=relaxed)
        if listener.should_stop is None:
            highs.run()
        elif not run_aside(highs.run, listener.should_stop):
            return None
        if listener.faults:
            raise listener.faults[0]
        return highs

    def as_lp(self, *, relaxed: bool = False) -> highspy.HighsLp:
        """The program as HiGHS takes it; `relaxed` forgets that variables are whole."""
        lp = highspy.HighsLp()
        lp.num_col_ = len(self.lower)
        lp.num_row_ = len(self.row_lower)
        lp.col_cost_ = np.array(self.cost)
        lp.col_lower_ = np.array(self.lower)
        lp.col_upper_ = np.array(self.upper)
        lp.row_lower_ = np.array(self.row_lower)
        lp.row_upper_ = np.array(self.row_upper)
        lp.sense_ = highspy.ObjSense.kMaximize if self.maximise else highspy.ObjSense.kMinimize
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.array(self.starts, dtype=np.int32)
        lp.a_matrix_.index_ = np.array(self.columns, dtype=np.int32)
        lp.a_matrix_.value_ = np.array(self.entries)
        if relaxed:
            return lp
        lp.integrality_ = [
            highspy.HighsVarType.kInteger if whole else highspy.HighsVarType.kContinuous
            for whole in self.integer
        ]
        return lp


_FOUND = ("best", "feasible")


def _read_status(highs: highspy.Highs, info: highspy.HighsInfo) -> str:
    status = highs.getModelStatus()
    if status in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kModelEmpty):
        return "best"
    if status in (
        highspy.HighsModelStatus.kInfeasible,
        highspy.HighsModelStatus.kUnboundedOrInfeasible,
    ):
        return "none"
    feasible = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    return "feasible" if feasible else "unknown"


class _Listener:
    """Reports and stops from inside HiGHS, and keeps the best plan that was heard of.

    What a listener raises is kept for after the run.
    """

    def __init__(
        self,
        report: Callable[[float, float], None] | None,
        should_stop: Callable[[], bool] | None,
    ) -> None:
        self.faults: list[BaseException] = []
        self._report = report
        self.should_stop = should_stop
        self._best: tuple[float, np.ndarray] | None = None
        self._bound = float("nan")

    def listen(self, highs: highspy.Highs, *, relaxed: bool) -> None:
        """Whatever can be heard of this run is heard from now on."""
        if self._report is not None or self.should_stop is not None:
            highs.cbMipInterrupt.subscribe(self._hear)
        if self.should_stop is not None:
            highs.cbMipImprovingSolution.subscribe(self._keep)
            if relaxed:
                highs.cbSimplexInterrupt.subscribe(self._ask)
                highs.cbIpmInterrupt.subscribe(self._ask)

    def conclude(self, seconds: float) -> Solution:
        """What is known of a run that was left behind."""
        if self._best is None:
            return Solution("unknown", float("nan"), self._bound, np.zeros(0), seconds)
        objective, values = self._best
        return Solution("feasible", objective, self._bound, values, seconds)

    def _hear(self, event: highspy.HighsCallbackEvent) -> None:
        try:
            out = event.data_out
            self._bound = out.mip_dual_bound
            if self._report is not None:
                self._report(out.mip_primal_bound, out.mip_dual_bound)
        except BaseException as fault:
            self.faults.append(fault)
        self._ask(event)

    def _keep(self, event: highspy.HighsCallbackEvent) -> None:
        out = event.data_out
        self._best = (out.objective_function_value, np.array(out.mip_solution))

    def _ask(self, event: highspy.HighsCallbackEvent) -> None:
        try:
            if self.faults or (self.should_stop is not None and self.should_stop()):
                event.interrupt()
        except BaseException as fault:
            self.faults.append(fault)
            event.interrupt()
