"""One planning: what its goals share, how long they may take, and who ends them."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from functools import partial
from threading import Lock, RLock
from typing import Any, TypeAlias, TypeVar

from tripkit.planning.chances import WORTH_SCALE
from tripkit.planning.decode import NameTown
from tripkit.planning.prices import Stay
from tripkit.planning.search import Watch
from tripkit.planning.so_far import add_up_so_far
from tripkit.planning.stopping import Crew
from tripkit.planning.towns import make_namer
from tripkit.yard.circuit import Circuit, DroppedEntry, Status, Totals
from tripkit.yard.facts import Fact, state
from tripkit.yard.goals import MOST_WORTH, Goal, Progress, find_goal, measure
from tripkit.yard.horses import Aim
from tripkit.yard.yard import Yard

Known = TypeVar("Known")
NAME_OF_STATUS: Mapping[str, Status] = {"none": "none exists", "unknown": "none in time"}
WORKERS = 2
# Most goals end long before their time, so each waiting one may take more than its part.
SHARE_BEYOND = 1.5
# A search that heeds no clock, such as the writing of a large program, is broken off this late.
LATE_SECONDS, LATE_SHARE = 5.0, 0.1
STOPPED = state("planning.stopped")

Rank: TypeAlias = tuple[tuple[Aim, int], ...]
"""Aims with their weights: one outweighs all less important ones of its rank together."""


@dataclass(frozen=True)
class Before:
    """What comes before all that a goal counts: the best set of aims, and few outings lacking.

    Of each rank of aims as much as `ranks` say is met. At most `lacks` outings are lacking, with
    None any number.
    """

    ranks: tuple[tuple[Rank, int], ...] = ()
    lacks: int | None = None


NOTHING_BEFORE = Before()


@dataclass(frozen=True)
class Given:
    """The entries that a planning gives up, and whether it is proved that no less can be lost."""

    dropped: tuple[DroppedEntry, ...] = ()
    proved: bool = True


@dataclass
class Job:
    """What every goal of one planning shares.

    Where it is `frozen`, nothing new is planned and the budget does not bind. `before` is what
    comes before all that a goal counts, `settled` the circuit of most worth once it is settled,
    `cheapest` that of the cheapest season, `price_cents` the price of a point. In `yard` the
    entries `given` up are scratched, in what was `asked` for they are not.
    """

    yard: Yard
    tour: str | None
    without: frozenset[str]
    deadline: float
    report: Callable[[Progress], None] | None
    should_stop: Callable[[], bool] | None
    name_town: NameTown | None
    lock: Lock
    began: float
    crew: Crew
    breaking: frozenset[str] = frozenset()
    chosen: frozenset[Stay] = frozenset()
    order: tuple[Stay, ...] = ()
    outline_seconds: float = 0.0
    waiting: int = 0
    so_far: Totals = field(default_factory=Totals)
    frozen: bool = False
    before: Before = NOTHING_BEFORE
    aims_proved: bool = True
    settled: Circuit | None = None
    cheapest: Circuit | None = None
    price_cents: int = 0
    given: Given = Given()
    asked: Yard | None = None
    known: dict[object, Any] = field(default_factory=dict)
    writing: AbstractContextManager[Any] = field(default_factory=RLock)

    def remember(self, key: object, make: Callable[[], Known]) -> Known:
        """What was made under a key before, else made now; one thread at a time."""
        with self.writing:
            if key not in self.known:
                self.known[key] = make()
            found: Known = self.known[key]
            return found

    @property
    def stopped(self) -> bool:
        """Whether the search was ended: then a makeshift plan is no answer."""
        return self.crew.is_over()

    @property
    def reasons(self) -> tuple[Fact, ...]:
        """Why a goal has no plan where nothing is proved, if somebody ended the search."""
        asked = self.should_stop is not None and self.should_stop()
        return (STOPPED,) if asked else ()

    @property
    def lived_worth(self) -> int:
        """The worth of what is history [1/`WORTH_SCALE`]."""
        return round(self.so_far.worth * WORTH_SCALE)

    def count_lived(self, goal: Goal) -> float:
        """What the season so far adds to the number that the search for a goal speaks in."""
        if goal.searched:
            lived: float = getattr(self.so_far, goal.searched)
            return lived
        return measure(goal, self.so_far, self.price_cents)

    def watch(
        self, goal: str, share: float = 1.0, scale: float = 1.0, *, quiet: bool = False
    ) -> Watch:
        """A watch for one search within the time that is left; it speaks in the goal's numbers.

        Nobody hears a `quiet` one.
        """
        so_far = self.count_lived(find_goal(goal) or MOST_WORTH)

        def tell(stage: str, objective: float | None, bound: float | None) -> None:
            if self.report is not None and not self.stopped:
                with self.lock:
                    passed = time.perf_counter() - self.began
                    reached = None if objective is None else objective / scale + so_far
                    limit = None if bound is None else bound / scale + so_far
                    self.report(Progress(goal, stage, reached, limit, passed))

        left = max(0.1, self.deadline - time.perf_counter())
        if self.waiting > WORKERS:
            beyond = SHARE_BEYOND if not self.order else 1.0
            share *= min(1.0, beyond * WORKERS / self.waiting)
        heard = self.report is not None and not quiet
        return Watch(left * share, tell if heard else None, self.crew.is_over)


def start_job(
    yard: Yard,
    tour: str | None,
    without: frozenset[str],
    seconds: float,
    report: Callable[[Progress], None] | None,
    should_stop: Callable[[], bool] | None,
) -> Job:
    """The time of a planning begins; it ends when somebody says so, or soon after its time."""
    began = time.perf_counter()
    latest = began + seconds + LATE_SECONDS + LATE_SHARE * seconds

    def should_end() -> bool:
        asked = should_stop is not None and should_stop()
        return asked or time.perf_counter() > latest

    crew = Crew(WORKERS, should_end)
    deadline, namer = began + seconds, make_namer(yard)
    return Job(
        yard,
        tour,
        without,
        deadline,
        report,
        should_stop,
        namer,
        Lock(),
        began,
        crew,
        so_far=add_up_so_far(yard),
    )


@dataclass(frozen=True)
class Task:
    """A goal to be planned for: what its circuit is called, and what finds it."""

    name: str
    goal: str
    plan: Callable[[], Circuit]


def run_tasks(job: Job, tasks: Sequence[Task]) -> list[Circuit]:
    """The circuit of each task, several side by side; one without a plan where it was cut short."""

    def run(task: Task) -> Circuit:
        circuit = task.plan()
        with job.lock:
            job.waiting -= 1
        return circuit

    found = job.crew.run([partial(run, task) for task in tasks])
    return [
        circuit or Circuit(task.name, task.goal, NAME_OF_STATUS["unknown"], reasons=job.reasons)
        for task, circuit in zip(tasks, found, strict=True)
    ]
