"""Reading the yard and planning: in a thread of its own, one page at a time, one answer at the end.

Whatever the planner finds is handed over to the thread of the page, so traits change in one
thread only.
"""

from __future__ import annotations

import threading
import time
from pathlib import Path
from typing import Any

from traitlets import Tuple

from tripkit.dashboard.errands import Doors
from tripkit.dashboard.handover import find_hand_over
from tripkit.dashboard.outcome import (
    Before,
    Outcome,
    keep_what_stands,
    read_or_tell,
    say_end,
    settle,
)
from tripkit.dashboard.wishing import Wishing
from tripkit.explaining.reasons import find_unkept
from tripkit.season.wishes import Wishes, apply_wishes, fit_wishes
from tripkit.store import Turn
from tripkit.words import page as words
from tripkit.words.faults import tell_error
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import NoPlanner, TripkitError
from tripkit.yard.facts import Fact
from tripkit.yard.goals import CIRCUITS, PLAN_SECONDS
from tripkit.yard.yard import Yard

TURN_SECONDS = 0.5
"""How often a page that waits looks whether another one has ended planning [s]."""


class Planning(Wishing):
    """The search, from the first look at the folder to the circuits it ends with.

    `progress` is how far it has come.
    """

    progress = Tuple()

    def __init__(
        self,
        folder: str | Path,
        circuits_file: str | Path | None = None,
        *,
        doors: Doors | None = None,
        keep: int = CIRCUITS,
        seconds: float = PLAN_SECONDS,
    ) -> None:
        super().__init__(folder, circuits_file, doors=doors)
        self._keep = keep
        self.seconds = seconds
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._turn: Turn | None = None
        self._hand_over = find_hand_over()

    def open(self) -> None:
        """Read the yard folder, then the saved circuits where there are any."""
        self._seen = self._doors.look_at(self.folder, self.circuits_file)
        self.notice = self.advice = ""
        yard, faults = read_or_tell(self._doors.read_yard, self.folder)
        if yard is None:
            self._show_faults(faults)
            return
        self._read = yard
        with self.hold_trait_notifications():
            self.errors = ()
            self._clear()
            self.wishes = fit_wishes(yard, self._seen.wishes)
            self.yard = yard
            if self.horse not in yard.horse_by_name:
                self.horse = next(iter(yard.horse_by_name), "")
        self._read_saved_circuits(yard)

    def _take_any_found(self) -> bool:
        return any(self._take_found(wishes) for wishes in (self.wishes, Wishes()))

    def _wait_for_turn(self) -> None:
        """Another page finds the first circuits; this one takes them, or plans after all."""
        self._stop = stop = threading.Event()
        with self.hold_trait_notifications():
            self.planning = True
            self.progress = ()
            self.notice, self.advice = words.PLANNING_ELSEWHERE, ""

        def wait() -> None:
            turn = None
            while turn is None and not stop.wait(TURN_SECONDS):
                turn = self._doors.take_turn(self.folder)
            self._hand_over(lambda: self._end_waiting(turn))

        self._thread = threading.Thread(target=wait, daemon=True)
        self._thread.start()

    def _end_waiting(self, turn: Turn | None) -> None:
        self.planning = False
        if turn is None:
            self.notice = words.STOPPED_EARLY
            return
        self._turn = turn
        if self._read is not None and self._take_any_found():
            self._mark_own("found")
            self._end_turn()
        else:
            self._plan_in_turn()

    def _plan_in_turn(self) -> None:
        self.plan()
        if not self.planning:
            self._end_turn()

    def _end_turn(self) -> None:
        if self._turn is not None:
            self._turn.end()
        self._turn = None

    def plan(self, wishes: Wishes | None = None) -> None:
        """Plan in the background; the circuits replace those at hand when they are there.

        Without `wishes` those on the page are planned with.
        """
        if self.planning or self._read is None:
            return
        self.wish_fault = ""
        self.catch_up()
        if self._read is None or self.yard is None or not self.folder.exists():
            return
        wishes = self.wishes if wishes is None else wishes
        try:
            yard = apply_wishes(self._read, wishes)
        except TripkitError as bad:
            self.refuse_wish(bad)
            return
        if self._turn is None:
            self._turn = self._doors.take_turn(self.folder)
        self._stop = threading.Event()
        with self.hold_trait_notifications():
            self.planning = True
            self.progress = ()
            self.found = ""
            self.notice = words.PLANNING_NOW if self.pair else words.PLANNING_FIRST
            self.advice = ""
        self._thread = threading.Thread(
            target=self._plan_in_thread,
            args=(yard, wishes, self._seen.files, self._stop),
            daemon=True,
        )
        self._thread.start()

    def stop(self) -> None:
        """Ask the planner to stop; what it has found so far is kept."""
        if self.planning:
            self._stop.set()
            self.notice = words.STOPPING

    def wait(self, seconds: float = 60.0) -> None:
        """Wait until the planner's thread has ended (for scripts and tests)."""
        if self._thread is not None:
            self._thread.join(seconds)

    def _plan_in_thread(
        self, yard: Yard, wishes: Wishes, files: str, stop: threading.Event
    ) -> None:
        def report(step: Any) -> None:
            self._hand_over(lambda: self._add_progress(step))

        began = time.monotonic()
        notice, advice = "", ""
        circuits: tuple[Circuit, ...] = ()
        unkept: tuple[Fact, ...] = ()
        tour = {"tour": wishes.tour} if wishes.tour else {}
        try:
            circuits = tuple(
                self._doors.plan(
                    yard,
                    **tour,
                    keep=self._keep,
                    seconds=self.seconds,
                    report=report,
                    should_stop=stop.is_set,
                )
            )
            circuits = keep_what_stands(
                yard, wishes, self.circuits, circuits, self._doors.find_violations
            )
            passed = time.monotonic() - began
            notice = say_end(circuits, passed, stopped=stop.is_set())
            unkept = find_unkept(yard, wishes, circuits, self._doors.find_bars)
        except NoPlanner as bad:
            notice = words.NO_PLANNER.format(reason=tell_error(bad, yard))
            advice = words.NO_PLANNER_DO
        # Whatever the planner raises is told on the page: a thread that dies in silence would
        # leave the visitor waiting for ever.
        except Exception as bad:
            notice = words.PLAN_FAILED.format(reason=tell_error(bad, yard))
            advice = words.PLAN_FAILED_DO.format(folder=self.folder.name)
        outcome = Outcome(yard, files, wishes, circuits, unkept, stop.is_set(), notice, advice)
        self._hand_over(lambda: self._end_planning(outcome))

    def _add_progress(self, step: Any) -> None:
        """Of each goal the latest step stands, in the order in which goals were first heard of."""
        steps = {known.goal: known for known in self.progress}
        self.progress = tuple((steps | {step.goal: step}).values())

    def _end_planning(self, outcome: Outcome) -> None:
        try:
            self._settle_planning(outcome)
        finally:
            self._end_turn()

    def _settle_planning(self, outcome: Outcome) -> None:
        read, planned = self._read, outcome.yard
        if (
            read is None
            or outcome.files != self._seen.files
            or (read.today, read.begun) != (planned.today, planned.begun)
        ):
            # What was planned from older files, or as of another day, is no answer now.
            with self.hold_trait_notifications():
                self.planning = False
                self.notice = words.FILES_CHANGED_MEANWHILE if self.yard else ""
                self.advice = ""
            return
        found = any(circuit.exists for circuit in outcome.circuits)
        circuits, notice = settle(outcome, self.circuits)
        if circuits:
            self._lay(circuits, outcome, found)
        with self.hold_trait_notifications():
            self.planning = False
            self.notice = notice
            self.advice = outcome.advice

    def _lay(self, circuits: tuple[Circuit, ...], outcome: Outcome, found: bool) -> None:
        before = {c.name: c for c in self.circuits if c.exists}
        with self.hold_trait_notifications():
            if self.pair and found:
                past = Before(self.circuits, self.planned, outcome.wishes, self.left, self.right)
                self.past = (*self.past, past)
            if found:
                self.planned = outcome.wishes
                self.yard = outcome.yard
            self.unkept = outcome.unkept
            self.circuits = circuits
        self.take_circuits(circuits)
        if found:
            self._keep_found(outcome.files)
        moved = []
        for circuit in circuits:
            old = before.get(circuit.name)
            if found and circuit.exists and old is not None and old is not circuit:
                moved.append((circuit, self._doors.compare(outcome.yard, old, circuit)))
        self.moved = tuple(moved)
