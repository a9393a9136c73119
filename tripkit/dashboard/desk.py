"""The Desk: one place that holds what the page shows, as traits; views know only the Desk.

The Desk reads the yard, the saved circuits and the plan through `Doors`. Planning runs in a
thread of its own; whatever it finds is handed over to the thread of the page, so traits change
in one thread only.
"""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from traitlets import Any as AnyTrait
from traitlets import Bool, HasTraits, Instance, Tuple, Unicode, observe

from tripkit.circuit import Circuit
from tripkit.dashboard import words
from tripkit.dashboard.doors import Doors
from tripkit.errors import BadYard, NoPlanner, TripkitError
from tripkit.yard import Yard


class Desk(HasTraits):
    """The state of one visitor's page.

    `left` and `right` are names of circuits that exist, `pair` the two circuits themselves
    (empty while there are none), `comparison` what was found between them. `diary_side` says
    which of them the diary and the calendar file are taken from, `errors` are the faults of the
    yard folder in words, `notice` is the last thing the page has to say and `advice` what to do
    about it.
    """

    folder = Instance(Path)
    circuits_file = Instance(Path)
    yard = Instance(Yard, allow_none=True)
    errors = Tuple()
    circuits = Tuple()
    left = Unicode()
    right = Unicode()
    horse = Unicode()
    diary_side = Unicode("left")
    comparison = AnyTrait(allow_none=True)
    pair = Tuple()
    planning = Bool(False)
    progress = Tuple()
    notice = Unicode()
    advice = Unicode()

    def __init__(
        self,
        folder: str | Path,
        circuits_file: str | Path | None = None,
        *,
        doors: Doors | None = None,
        keep: int = 6,
        seconds: float = 60.0,
    ) -> None:
        folder = Path(folder)
        super().__init__(
            folder=folder, circuits_file=Path(circuits_file or folder / "circuits.json")
        )
        self._doors = doors or Doors()
        self._keep = keep
        self.seconds = seconds
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._fingerprint: tuple[tuple[str, int, int], ...] = ()
        self._hand_over = _find_hand_over()

    def open(self) -> None:
        """Read the yard folder, then the saved circuits where there are any."""
        self._fingerprint = self._take_fingerprint()
        self.notice = self.advice = ""
        try:
            yard = self._doors.read_yard(self.folder)
        except BadYard as bad:
            self._show_faults(tuple(str(error) for error in bad.errors))
            return
        # A page that shows nothing helps nobody: whatever the reader raises is told on it.
        except Exception as bad:
            reason = str(bad) or type(bad).__name__
            self._show_faults((words.YARD_FAILED.format(reason=reason),))
            return
        with self.hold_trait_notifications():
            self.errors = ()
            self._clear()
            self.yard = yard
            if self.horse not in yard.horse_by_name:
                self.horse = next(iter(yard.horse_by_name), "")
        self._read_saved_circuits(yard)

    def refresh(self) -> None:
        """A visitor looks at the page: read again what changed, plan where nothing is planned."""
        if self.planning:
            return
        if self._take_fingerprint() != self._fingerprint:
            self.open()
        if self.yard is not None and not self.circuits and not self.notice:
            self.plan()

    def open_again(self) -> None:
        """Read the folder whatever its marks say, then do as for a visitor."""
        self.open()
        self.refresh()

    def plan(self) -> None:
        """Plan in the background; the circuits replace those at hand when they are there."""
        if self.planning or self.yard is None:
            return
        self._stop = threading.Event()
        with self.hold_trait_notifications():
            self.planning = True
            self.progress = ()
            self.notice = words.PLANNING_NOW if self.pair else words.PLANNING_FIRST
            self.advice = ""
        self._thread = threading.Thread(
            target=self._plan_in_thread, args=(self.yard, self._stop), daemon=True
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

    def take_circuits(self, circuits: Iterable[Circuit]) -> None:
        """Lay these circuits on the desk and choose two of them, keeping the names chosen."""
        laid = tuple(circuits)
        names = [circuit.name for circuit in laid if circuit.exists]
        with self.hold_trait_notifications():
            self.circuits = laid
            first = self.left if self.left in names else next(iter(names), "")
            others = [name for name in names if name != first]
            self.left = first
            self.right = self.right if self.right in names else next(iter(others), first)
        self._compare_again()

    def find_circuit(self, name: str) -> Circuit | None:
        """The circuit of that name, None where none is on the desk."""
        return next((c for c in self.circuits if c.name == name), None)

    @property
    def diary_circuit(self) -> Circuit | None:
        """The circuit that the diary is taken from."""
        return self.find_circuit(self.left if self.diary_side == "left" else self.right)

    def build_feed(self) -> tuple[str, bytes]:
        """The chosen horse's calendar: a file name and the bytes of the file."""
        circuit = self.diary_circuit
        if self.yard is None or circuit is None:
            raise TripkitError(words.NOT_PLANNED)
        return self._doors.write_feed(self.yard, circuit, self.horse)

    @observe("left", "right", "yard")
    def _compare_again(self, change: Any = None) -> None:
        left, right = self.find_circuit(self.left), self.find_circuit(self.right)
        if left is None or right is None or self.yard is None:
            self.comparison = None
            self.pair = ()
            return
        if self.pair and self.pair[0] is left and self.pair[1] is right:
            return
        try:
            self.comparison = self._doors.compare(left, right, self.yard)
        except TripkitError as bad:
            self.comparison = None
            self.notice = words.COMPARE_FAILED.format(reason=bad)
        self.pair = (left, right)

    def _show_faults(self, faults: tuple[str, ...]) -> None:
        with self.hold_trait_notifications():
            self.yard = None
            self._clear()
            self.errors = faults

    def _clear(self) -> None:
        # Circuits of the folder as it was may name horses and shows that are gone.
        self.circuits = ()
        self.pair = ()
        self.comparison = None

    def _read_saved_circuits(self, yard: Yard) -> None:
        if not self.circuits_file.is_file():
            return
        try:
            circuits = self._doors.read_circuits(self.circuits_file, yard)
        except (TripkitError, OSError) as bad:
            self.notice = words.CIRCUITS_WRONG.format(file=self.circuits_file.name, reason=bad)
            self.advice = words.PLAN_FIRST
            return
        self.take_circuits(circuits)
        self.notice = words.SAVED.format(file=self.circuits_file.name)

    def _take_fingerprint(self) -> tuple[tuple[str, int, int], ...]:
        try:
            files = [p for p in self.folder.iterdir() if p.is_file()]
        except OSError:
            files = []
        if self.circuits_file.is_file() and self.circuits_file not in files:
            files.append(self.circuits_file)
        marks = []
        for path in files:
            try:
                known = path.stat()
            except OSError:
                continue
            marks.append((str(path), known.st_size, known.st_mtime_ns))
        return tuple(sorted(marks))

    def _plan_in_thread(self, yard: Yard, stop: threading.Event) -> None:
        def report(step: Any) -> None:
            self._hand_over(lambda: self._add_progress(step))

        began = time.monotonic()
        notice, advice = "", ""
        circuits: tuple[Circuit, ...] = ()
        try:
            circuits = tuple(
                self._doors.plan(
                    yard,
                    keep=self._keep,
                    seconds=self.seconds,
                    report=report,
                    should_stop=stop.is_set,
                )
            )
            passed = time.monotonic() - began
            notice = _say_end(circuits, passed, stopped=stop.is_set())
        except NoPlanner as bad:
            notice, advice = words.NO_PLANNER.format(reason=bad), words.NO_PLANNER_DO
        # Whatever the planner raises is told on the page: a thread that dies in silence would
        # leave the visitor waiting for ever.
        except Exception as bad:
            reason = str(bad) or type(bad).__name__
            notice = words.PLAN_FAILED.format(reason=reason)
            advice = words.PLAN_FAILED_DO.format(folder=self.folder.name)
        self._hand_over(lambda: self._end_planning(circuits, stop.is_set(), notice, advice))

    def _add_progress(self, step: Any) -> None:
        """Of each goal the latest step stands, in the order in which goals were first heard of."""
        steps = {known.goal: known for known in self.progress}
        self.progress = tuple((steps | {step.goal: step}).values())

    def _end_planning(
        self, circuits: tuple[Circuit, ...], stopped: bool, notice: str, advice: str
    ) -> None:
        if stopped:
            # Who stops early loses nothing: goals not reached keep the circuit they had.
            before = {c.name: c for c in self.circuits if c.exists}
            new = {c.name: c for c in circuits if c.exists or c.name not in before}
            circuits = tuple((before | new).values())
        if circuits:
            self.take_circuits(circuits)
        with self.hold_trait_notifications():
            self.planning = False
            self.notice = notice
            self.advice = advice


def _say_end(circuits: tuple[Circuit, ...], seconds: float, stopped: bool) -> str:
    """What came of a planning, in one sentence."""
    found = [circuit for circuit in circuits if circuit.exists]
    if stopped:
        return words.STOPPED if found else words.STOPPED_EARLY
    if not found:
        return words.PLANNED_NONE
    proved = sum(circuit.status == "proved best" for circuit in found)
    told = words.SOME_PROVED.format(count=proved) if proved else words.NONE_PROVED
    said = words.PLANNED if len(found) > 1 else words.PLANNED_ONE
    return said.format(
        count=len(found),
        seconds=f"{seconds:.0f}",
        proved=words.ALL_PROVED if proved == len(found) else told,
    )


def _find_hand_over() -> Callable[[Callable[[], None]], None]:
    """How a thread gives work to the page's thread: its event loop, or at once without one."""
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:
        return lambda work: work()
    return lambda work: _hand_to(loop, work)


def _hand_to(loop: asyncio.AbstractEventLoop, work: Callable[[], None]) -> None:
    # The page may be closed while the planner still runs: its loop is gone, nobody listens.
    if not loop.is_closed():
        loop.call_soon_threadsafe(work)
