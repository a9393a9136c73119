"""The Desk: one place that holds what the page shows, as traits; views know only the Desk.

The Desk reads the yard, the saved circuits and the plan through `Doors`. Planning runs in a
thread of its own; whatever it finds is handed over to the thread of the page, so traits change
in one thread only.
"""

from __future__ import annotations

import shutil
import tempfile
import threading
import time
import weakref
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from traitlets import Any as AnyTrait
from traitlets import Bool, HasTraits, Instance, Tuple, Unicode, observe

from tripkit.circuit import Circuit
from tripkit.dashboard import filing, words
from tripkit.dashboard.board import write_moment
from tripkit.dashboard.doors import Doors
from tripkit.dashboard.filing import make_slug
from tripkit.dashboard.found import digest_files, mark_files
from tripkit.dashboard.handover import find_hand_over
from tripkit.dashboard.memo import Memo, read_memo, write_memo
from tripkit.dashboard.outcome import (
    Before,
    Outcome,
    find_unkept,
    keep_what_stands,
    read_or_tell,
    say_end,
    say_standstill,
    settle,
)
from tripkit.dashboard.slip import Asked
from tripkit.days import add_days
from tripkit.errors import BadYard, NoPlanner, TripkitError, fold_errors
from tripkit.reasons import Explanation
from tripkit.wishes import Wishes, apply_wishes
from tripkit.yard import Yard


class Desk(HasTraits):
    """The state of one visitor's page.

    `left` and `right` are names of circuits that exist, `pair` the two circuits themselves
    (empty while there are none), `comparison` what was found between them. `diary_side` says
    which of them the diary and the calendar file are taken from, `errors` are the faults of the
    yard folder in words, `notice` is the last thing the page has to say and `advice` what to do
    about it, `merge` an organiser's calendar that is looked at before it is taken. `chapter`,
    `horse`, `person`, `axis` and `picked` say what lies open; `done` are marks on closing
    dates. `yard` is the yard as the circuits at hand know it: the folder's, with the wishes
    they were planned with (`planned`); `wishes` are those of the next plan. `found` says, where
    the circuits are those of an earlier visit, since when they are known.
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
    chapter = Unicode("two")
    person = Unicode()
    axis = Unicode("cost")
    picked = Unicode()
    done = Tuple()
    wishes = AnyTrait(Wishes())
    planned = AnyTrait(Wishes())
    wish_fault = Unicode()
    moved = Tuple()
    unkept = Tuple()
    past = Tuple()
    files_wrong = Tuple()
    merge = AnyTrait(allow_none=True)
    asked = AnyTrait(allow_none=True)
    board = AnyTrait(allow_none=True)
    board_said = Unicode()
    notice = Unicode()
    advice = Unicode()
    found = Unicode()

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
            folder=folder,
            circuits_file=Path(circuits_file or filing.find_folder(folder) / filing.SAVED),
        )
        self._doors = doors or Doors()
        self._keep = keep
        self.seconds = seconds
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._fingerprint: tuple[tuple[str, int, int], ...] = ()
        self._files = ""
        self._hand_over = find_hand_over()
        self._read: Yard | None = None
        self._findings: tuple[Yard, tuple[Any, ...]] | None = None

    def open(self) -> None:
        """Read the yard folder, then the saved circuits where there are any."""
        self._fingerprint = mark_files(self.folder, self.circuits_file)
        self._files = digest_files(self.folder)
        self.notice = self.advice = ""
        yard, faults = read_or_tell(self._doors.read_yard, self.folder)
        if yard is None:
            self._show_faults(faults)
            return
        self._read = yard
        try:
            apply_wishes(yard, self.wishes)
        except TripkitError:
            self.wishes = Wishes()
        with self.hold_trait_notifications():
            self.errors = ()
            self._clear()
            self.yard = yard
            if self.horse not in yard.horse_by_name:
                self.horse = next(iter(yard.horse_by_name), "")
        self._read_saved_circuits(yard)

    def refresh(self, memo: str = "") -> None:
        """A visitor looks at the page, with the memo of the page that was loaded before.

        What changed is read again. Where no circuits are at hand those found before are taken,
        if nothing changed since; else the season is planned as it stands.
        """
        if self.planning or self.is_folder_gone():
            return
        if mark_files(self.folder, self.circuits_file) != self._fingerprint:
            self.open()
        self.recall(memo)
        if self.yard is None or self.circuits or self.notice:
            return
        if not any(self._take_found(wishes) for wishes in (self.wishes, Wishes())):
            self.plan(Wishes())

    def open_again(self) -> None:
        """Read the folder whatever its marks say, then do as for a visitor."""
        self.open()
        self.refresh()

    def is_folder_gone(self) -> bool:
        """Whether the yard that was read is there no more; the page says so and keeps it."""
        if self._read is None or self.folder.exists():
            return False
        said = words.YARD_GONE if self.pair else words.YARD_GONE_EMPTY
        self.notice = said.format(folder=self.folder.name)
        self.advice = words.YARD_GONE_DO if self.pair else words.YARD_GONE_EMPTY_DO
        return True

    def plan(self, wishes: Wishes | None = None) -> None:
        """Plan in the background; the circuits replace those at hand when they are there.

        Without `wishes` those on the page are planned with.
        """
        if self.planning or self._read is None:
            return
        wishes = self.wishes if wishes is None else wishes
        try:
            yard = apply_wishes(self._read, wishes)
        except TripkitError as bad:
            self.wish_fault = words.WISH_WRONG.format(reason=bad)
            return
        self._stop = threading.Event()
        with self.hold_trait_notifications():
            self.planning = True
            self.progress = ()
            self.wish_fault = self.found = ""
            self.notice = words.PLANNING_NOW if self.pair else words.PLANNING_FIRST
            self.advice = ""
        self._thread = threading.Thread(
            target=self._plan_in_thread, args=(yard, wishes, self._stop), daemon=True
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

    def go(self, address: str) -> None:
        """Open the chapter of an address as the page writes it: `closing`, `horse=Alder`.

        A name that the yard has not, and a chapter that the card has not, change nothing.
        """
        chapter, _, name = address.partition("=")
        if chapter not in words.CHAPTERS:
            return
        with self.hold_trait_notifications():
            if chapter == "horse" and self.yard is not None and name in self.yard.horse_by_name:
                self.horse = name
            if chapter == "road" and "=" in address:
                self.person = name
            self.chapter = chapter

    @property
    def address(self) -> str:
        """The address of what lies open."""
        if self.chapter == "horse" and self.horse:
            return f"horse={self.horse}"
        if self.chapter == "road" and self.person:
            return f"road={self.person}"
        return self.chapter

    def put(self, side: str, name: str) -> None:
        """Lay a circuit above (`left`) or under (`right`) the line."""
        circuit = self.find_circuit(name)
        if side in ("left", "right") and circuit is not None and circuit.exists:
            self.set_trait(side, name)

    def mark_done(self, key: str, done: bool) -> None:
        """A closing date is worked through, or not after all."""
        others = tuple(known for known in self.done if known != key)
        self.done = (*others, key) if done else others

    def wish(self, change: Callable[[Wishes], Wishes]) -> None:
        """Change the wishes of the next plan; what the yard cannot be wished is said instead."""
        if self._read is None:
            return
        try:
            wishes = change(self.wishes)
            apply_wishes(self._read, wishes)
        except TripkitError as bad:
            self.wish_fault = words.WISH_WRONG.format(reason=bad)
            return
        with self.hold_trait_notifications():
            self.wish_fault = ""
            self.wishes = wishes

    def ask_day(self, side: str, horse: str, index: int) -> None:
        """Why a horse does what it does on a day of the season, in the circuit of a side."""
        circuit = self.find_circuit(self.left if side == "left" else self.right)
        yard = self.yard
        if yard is None or circuit is None or not 0 <= index < yard.season.days:
            return
        day = add_days(yard.season.first, index)
        outings = circuit.outings_by_horse.get(horse, ())
        there = next((o.show for o in outings if o.arrive <= day <= o.leave), "")
        others = tuple(s.show for s in yard.shows if day in s.days and s.show != there)
        self._ask(
            lambda: Asked(
                self._doors.explain_day(yard, circuit, horse, day), horse, there, others, side
            )
        )

    def ask_outing(self, side: str, horse: str, show: str) -> None:
        """Why a horse goes to a show or does not, in the circuit of a side."""
        circuit = self.find_circuit(self.left if side == "left" else self.right)
        yard = self.yard
        if yard is not None and circuit is not None:
            self._ask(
                lambda: Asked(
                    self._doors.explain_outing(yard, circuit, horse, show), horse, show, (), side
                )
            )

    def ask_figure(self, side: str, figure: str) -> None:
        """What a figure of a circuit is made of."""
        circuit = self.find_circuit(self.left if side == "left" else self.right)
        yard = self.yard
        if yard is not None and circuit is not None:
            self._ask(lambda: Asked(self._doors.explain_figure(yard, circuit, figure), side=side))

    def _ask(self, answer: Callable[[], Asked]) -> None:
        try:
            self.asked = answer()
        # An answer that fails is an answer, too: the visitor asked and waits for words.
        except Exception as bad:
            reason = str(bad) or type(bad).__name__
            self.asked = Asked(Explanation(words.SLIP, words.NO_ANSWER.format(reason=reason)))

    def look_at_board(self) -> None:
        """What is published now: other pages and the commands publish too."""
        if self.yard is None:
            return
        self._on_board(lambda: None)

    def publish(self) -> None:
        """Make the circuit that is read from the yard's current one."""
        if filing.is_copy(self.folder):
            self.board_said = words.COPY_AT_HAND
            return
        yard, circuit = self._at_hand()
        upon = 0 if self.board is None else self.board.revision
        self._on_board(lambda: self._doors.publish(self.folder, yard, circuit, upon))

    def change_address(self, do: str, who: str) -> None:
        """Renew or revoke a calendar's address, or let its reminders ring or be still."""
        self._on_board(lambda: self._doors.change_address(self.folder, do, who))

    def _on_board(self, act: Callable[[], None]) -> None:
        said = ""
        yard = self.yard
        if yard is None:
            return
        if self.is_folder_gone():
            self.board_said = words.BOARD_GONE
            return
        for step in (act, lambda: self._read_board(yard)):
            try:
                step()
            except (TripkitError, OSError) as bad:
                said = words.BOARD_FAILED.format(reason=bad)
        self.board_said = said

    def _read_board(self, yard: Yard) -> None:
        self.board = self._doors.read_board(self.folder, yard, self.circuits)

    def undo(self) -> None:
        """The circuits and wishes before the last planning come back."""
        if self.planning or not self.past or self._read is None:
            return
        *earlier, before = self.past
        with self.hold_trait_notifications():
            self.past = tuple(earlier)
            self.planned = before.planned
            self.wishes = before.wishes
            self.yard = apply_wishes(self._read, before.planned)
            self.moved = self.unkept = ()
            self.left, self.right = before.left, before.right
        self.take_circuits(before.circuits)
        self._keep_found()
        self.notice, self.advice = words.UNDONE, ""

    def save_circuits(self) -> None:
        """Keep the circuits at hand beside the yard, for the next visit."""
        if self.yard is None or not self.circuits:
            return
        if filing.is_copy(self.folder):
            self.notice, self.advice = words.COPY_AT_HAND, ""
            return
        try:
            self._doors.save_circuits(self.circuits_file, self.yard, self.circuits)
        except (TripkitError, OSError) as bad:
            self.notice, self.advice = words.SAVE_FAILED.format(reason=bad), ""
            return
        self._fingerprint = mark_files(self.folder, self.circuits_file)
        self.found = ""
        self.notice, self.advice = words.SAVED_NOW.format(file=self.circuits_file.name), ""

    def open_folder(self, text: str) -> None:
        """Another yard on this machine takes the place of the one at hand, if it reads."""
        if not filing.is_own_machine():
            self.files_wrong = (words.FOLDER_ELSEWHERE,)
            return
        path = Path(text.strip()).expanduser()
        if not text.strip() or not path.exists():
            self.files_wrong = (words.FOLDER_MISSING.format(folder=text.strip()),)
            return
        self._try_yard(path, "")

    def look_at_calendar(self, name: str, data: bytes, drop_missing: bool = False) -> None:
        """What an organiser's calendar would change in the yard folder; nothing is written."""
        try:
            preview = self._doors.preview_merge(self.folder, data, name, drop_missing)
        except BadYard as bad:
            self.merge, self.files_wrong = None, fold_errors(bad.errors)
            return
        # Whatever a stranger's file makes the reader raise is told beside it.
        except Exception as bad:
            self.merge = None
            self.files_wrong = (words.YARD_FAILED.format(reason=str(bad) or type(bad).__name__),)
            return
        with self.hold_trait_notifications():
            self.files_wrong = ()
            self.merge = filing.Merging(name, data, drop_missing, preview)

    def take_calendar(self) -> None:
        """The calendar looked at is written into the yard folder, which is then read again."""
        merging = self.merge
        if merging is None:
            return
        try:
            self._doors.take_merge(self.folder, merging.preview)
        except (TripkitError, OSError) as bad:
            self.files_wrong = (str(bad),)
            return
        finally:
            # The preview leaves the page when the file is there, not before.
            self.merge = None
        self.open()
        if self.yard is not None:
            self.notice = words.MERGE_TAKEN.format(name=merging.name, folder=self.folder.name)

    def take_files(self, names: Sequence[str], contents: Sequence[bytes]) -> None:
        """A copy of the yard with the files brought takes its place, if everything reads."""
        if not names:
            return
        copies = Path(tempfile.mkdtemp(prefix=filing.COPIES))
        weakref.finalize(self, shutil.rmtree, copies, ignore_errors=True)
        try:
            path = filing.lay_copy(self.folder, copies, names, contents)
            if self.circuits and self.yard is not None:
                self._doors.save_circuits(path / filing.SAVED, self.yard, self.circuits)
        except (TripkitError, OSError) as bad:
            self.files_wrong = (str(bad),)
            return
        self._try_yard(path, words.TAKEN.format(names=", ".join(names)))

    def _try_yard(self, path: Path, said: str) -> None:
        if self.planning:
            self.stop()
            self.wait()
        yard, faults = read_or_tell(self._doors.read_yard, path)
        if yard is None:
            self.files_wrong = faults
            return
        with self.hold_trait_notifications():
            self.files_wrong = ()
            self.merge = None
            self.folder = path
            self.circuits_file = filing.find_folder(path) / filing.SAVED
            self.past = self.moved = self.unkept = ()
            self.wishes = self.planned = Wishes()
        self.open()
        self.notice = said or self.notice

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

    def build_yard_feed(self) -> tuple[str, bytes]:
        """The whole yard's calendar of the circuit that is read from."""
        yard, circuit = self._at_hand()
        return self._doors.write_yard_feed(yard, circuit)

    def build_workbook(self) -> tuple[str, bytes]:
        """The tables of the circuit that is read from, as a workbook."""
        yard, circuit = self._at_hand()
        return f"{make_slug(circuit.name)}.xlsx", self._doors.write_workbook(yard, circuit)

    def build_entries(self) -> tuple[str, bytes]:
        """The entry sheets of the circuit that is read from, as a workbook."""
        yard, circuit = self._at_hand()
        return f"entries-{make_slug(circuit.name)}.xlsx", self._doors.write_entries(yard, circuit)

    def build_travel_sheets(self) -> tuple[str, bytes]:
        """The travel sheets of the circuit that is read from, a page a drive."""
        yard, circuit = self._at_hand()
        return f"travel-{make_slug(circuit.name)}.html", self._doors.write_travel(yard, circuit)

    def build_map(self) -> tuple[str, bytes]:
        """The roads of the circuit that is read from, as a picture."""
        yard, circuit = self._at_hand()
        return f"routes-{make_slug(circuit.name)}.svg", self._doors.draw_map(yard, circuit)

    def build_circuits(self) -> tuple[str, bytes]:
        """All circuits, as `tripkit plan` writes them."""
        yard, _ = self._at_hand()
        return filing.SAVED, self._doors.write_circuits(yard, self.circuits)

    @property
    def findings(self) -> tuple[Any, ...]:
        """What papers, ages and heights say of the yard at hand, asked once."""
        if self.yard is None:
            return ()
        if self._findings is None or self._findings[0] is not self.yard:
            self._findings = (self.yard, tuple(self._doors.find_findings(self.yard)))
        return self._findings[1]

    @property
    def standstill(self) -> str:
        """Why no horse goes anywhere, where none does in any circuit at hand; else empty."""
        if self.yard is None or not self.pair:
            return ""
        return say_standstill(self.yard, self.circuits, self._doors.find_bars)

    @property
    def memo(self) -> str:
        """What a page that is loaded again is to remember."""
        return write_memo(Memo(self.done, self.wishes, self.left, self.right, self.diary_side))

    def recall(self, memo: str) -> None:
        """What the page that was loaded before remembers, as far as the yard knows it."""
        known = read_memo(memo)
        if not self.done:
            self.done = known.done
        if not self.wishes and known.wishes and self._read is not None:
            self.wish(lambda _: known.wishes)
            self.wish_fault = ""
        if known.side in ("left", "right"):
            self.diary_side = known.side
        for side, name in (("left", known.left), ("right", known.right)):
            if self.circuits:
                self.put(side, name)
            elif name:
                # Circuits that come later are laid where their names stand.
                self.set_trait(side, name)

    def _at_hand(self) -> tuple[Yard, Circuit]:
        circuit = self.diary_circuit
        if self.yard is None or circuit is None:
            raise TripkitError(words.NOT_PLANNED)
        return self.yard, circuit

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

    @observe("chapter", "pair")
    def _put_answer_away(self, change: Any = None) -> None:
        # An answer about another leaf or another circuit would be read as one about this.
        self.asked = None

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
        self.moved = self.unkept = self.past = ()
        self.planned = Wishes()
        self.found = ""

    def _take_found(self, wishes: Wishes) -> bool:
        """Circuits found before for these wishes are laid on the desk; False where there are none.

        Whatever is wrong with what was kept, planning again mends it.
        """
        assert self._read is not None
        try:
            yard = apply_wishes(self._read, wishes)
            found = self._doors.find_found(self.folder, self._files, yard, wishes)
        except (TripkitError, OSError):
            return False
        if found is None:
            return False
        with self.hold_trait_notifications():
            self.planned = wishes
            self.yard = yard
            self.unkept = find_unkept(yard, wishes, found.circuits, self._doors.find_bars)
        self.take_circuits(found.circuits)
        self.found = words.FOUND_BEFORE.format(when=write_moment(yard, found.when))
        self.notice = self.found
        return True

    def _keep_found(self) -> None:
        """What lies on the desk is there at once on the next visit."""
        yard = self.yard
        if yard is not None and self.pair:
            # A page that could not keep its circuits is none the worse for it today.
            with suppress(TripkitError, OSError):
                self._doors.keep_found(self.folder, self._files, yard, self.planned, self.circuits)

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

    def _plan_in_thread(self, yard: Yard, wishes: Wishes, stop: threading.Event) -> None:
        def report(step: Any) -> None:
            self._hand_over(lambda: self._add_progress(step))

        began = time.monotonic()
        notice, advice = "", ""
        circuits: tuple[Circuit, ...] = ()
        unkept: tuple[str, ...] = ()
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
            notice, advice = words.NO_PLANNER.format(reason=bad), words.NO_PLANNER_DO
        # Whatever the planner raises is told on the page: a thread that dies in silence would
        # leave the visitor waiting for ever.
        except Exception as bad:
            reason = str(bad) or type(bad).__name__
            notice = words.PLAN_FAILED.format(reason=reason)
            advice = words.PLAN_FAILED_DO.format(folder=self.folder.name)
        outcome = Outcome(yard, wishes, circuits, unkept, stop.is_set(), notice, advice)
        self._hand_over(lambda: self._end_planning(outcome))

    def _add_progress(self, step: Any) -> None:
        """Of each goal the latest step stands, in the order in which goals were first heard of."""
        steps = {known.goal: known for known in self.progress}
        self.progress = tuple((steps | {step.goal: step}).values())

    def _end_planning(self, outcome: Outcome) -> None:
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
            self._keep_found()
        moved = []
        for circuit in circuits:
            old = before.get(circuit.name)
            if found and circuit.exists and old is not None and old is not circuit:
                moved.append((circuit, self._doors.compare(old, circuit, outcome.yard)))
        self.moved = tuple(moved)
