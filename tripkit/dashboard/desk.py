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
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from traitlets import observe

from tripkit.dashboard import filing, words
from tripkit.dashboard.athand import AskAgain, AtHand
from tripkit.dashboard.errands import Doors
from tripkit.dashboard.handover import find_hand_over
from tripkit.dashboard.memo import Memo, read_memo, write_memo
from tripkit.dashboard.outcome import (
    Before,
    Outcome,
    find_unkept,
    keep_what_stands,
    read_or_tell,
    say_end,
    settle,
)
from tripkit.dashboard.slip import Asked
from tripkit.explaining.reasons import Explanation
from tripkit.handbook import CHAPTERS
from tripkit.season.lived import go_on_from
from tripkit.season.wishes import Wishes, apply_wishes, fit_wishes, merge_wishes
from tripkit.store import Turn
from tripkit.words.faults import fold_errors
from tripkit.yard.circuit import Circuit
from tripkit.yard.days import add_days
from tripkit.yard.errors import BadStore, BadYard, NoPlanner, TripkitError
from tripkit.yard.yard import Yard

TURN_SECONDS = 0.5
"""How often a page that waits looks whether another one has ended planning [s]."""


class Desk(AtHand):
    """What one visitor does with what lies at hand; `AtHand` says what each trait is."""

    def __init__(
        self,
        folder: str | Path,
        circuits_file: str | Path | None = None,
        *,
        doors: Doors | None = None,
        keep: int = 6,
        seconds: float = 60.0,
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

    def refresh(self, memo: str = "") -> None:
        """A visitor looks at the page, with the memo of the page that was loaded before.

        What changed is read again. Where no circuits are at hand those found before are taken,
        if nothing changed since; else the season is planned as it stands.
        """
        if self.planning or self.is_folder_gone():
            return
        now = self._doors.look_at(self.folder, self.circuits_file)
        is_old = self._read is not None and self._doors.is_of_another_day(self._read)
        if (now.files, now.saved) != (self._seen.files, self._seen.saved) or is_old:
            self.open()
        else:
            self.catch_up()
        self.recall(memo)
        if self.yard is None or self.circuits or self.notice:
            return
        if not self._take_any_found():
            self._turn = self._doors.take_turn(self.folder)
            if self._turn is None:
                self._wait_for_turn()
            else:
                self._plan_in_turn()

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

    def open_again(self) -> None:
        """Read the folder whatever its marks say, then do as for a visitor."""
        self.open()
        self.refresh()

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
            self.wish_fault = words.WISH_WRONG.format(reason=bad)
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
            if chapter == "handbook" and name in CHAPTERS:
                self.leaf = name
            self.chapter = chapter

    @property
    def address(self) -> str:
        """The address of what lies open."""
        if self.chapter == "horse" and self.horse:
            return f"horse={self.horse}"
        if self.chapter == "road" and self.person:
            return f"road={self.person}"
        if self.chapter == "handbook":
            return f"handbook={self.leaf}"
        return self.chapter

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
        self._keep_wishes(wishes)

    def _keep_wishes(self, mine: Wishes) -> None:
        """What changed on this page holds on every page; what another one changed stays."""
        assert self._read is not None
        base, yard = self.wishes, self._read
        try:
            wishes = self._doors.revise_wishes(
                self.folder, lambda theirs: merge_wishes(base, mine, theirs)
            )
        except BadStore:
            # Of a folder that cannot be written they hold for this page only.
            wishes = mine
        self._seen = replace(self._seen, wishes=wishes)
        with self.hold_trait_notifications():
            self.wishes = fit_wishes(yard, wishes)
            self.wish_fault = words.WISHES_ELSEWHERE if self.wishes != mine else ""

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
        # What the visitor saw as published, before the board is read anew.
        upon = 0 if self.board is None else self.board.revision
        if not self.catch_up():
            self.board_said = self._say_stopped()
            return
        yard, circuit = self._at_hand()
        try:
            broken = self.admit("publish", circuit).get(circuit.name, ())
        except AskAgain as bad:
            with self.hold_trait_notifications():
                self.doubted = circuit.name
                self.board_said = " ".join(bad.lines)
            return
        self.doubted = ""
        self._on_board(lambda: self._doors.publish(self.folder, yard, circuit, upon, broken))
        self._mark_own("revision")
        self._live_on(circuit)

    def _live_on(self, published: Circuit) -> None:
        """What is published begins: in mid-season that changes what planning answers."""
        if self._read is None or self.board_said:
            return
        known = go_on_from(self._read, published)
        begun = known.begun != self._read.begun
        self._read = known
        if begun:
            self.yard = apply_wishes(known, self.planned)

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
            self._keep_wishes(before.wishes)
            self.yard = apply_wishes(self._read, before.planned)
            self.moved = self.unkept = ()
            self.left, self.right = before.left, before.right
        self.take_circuits(before.circuits)
        self._keep_found(self._seen.files)
        self.notice, self.advice = words.UNDONE, ""

    def save_circuits(self) -> None:
        """Keep the circuits at hand beside the yard, for the next visit."""
        if self.yard is None or not self.circuits:
            return
        if filing.is_copy(self.folder):
            self.notice, self.advice = words.COPY_AT_HAND, ""
            return
        if not self.catch_up():
            self.notice, self.advice = self._say_stopped(), ""
            return
        try:
            self.admit("keep", *self.circuits)
            self._doors.save_circuits(self.circuits_file, self.yard, self.circuits)
        except AskAgain as bad:
            self.notice, self.advice = " ".join((*bad.lines, words.KEEP_ANYWAY)), ""
            return
        except (TripkitError, OSError) as bad:
            self.notice, self.advice = words.SAVE_FAILED.format(reason=bad), ""
            return
        self._mark_own("saved")
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

    @property
    def memo(self) -> str:
        """What a page that is loaded again is to remember."""
        return write_memo(Memo(self.done, self.left, self.right, self.diary_side))

    def recall(self, memo: str) -> None:
        """What the page that was loaded before remembers, as far as the yard knows it."""
        known = read_memo(memo)
        if not self.done:
            self.done = known.done
        if known.side in ("left", "right"):
            self.diary_side = known.side
        for side, name in (("left", known.left), ("right", known.right)):
            if self.circuits:
                self.put(side, name)
            elif name:
                # Circuits that come later are laid where their names stand.
                self.set_trait(side, name)

    @observe("chapter", "pair")
    def _put_answer_away(self, change: Any = None) -> None:
        # An answer about another leaf or another circuit would be read as one about this.
        self.asked = None

    def _plan_in_thread(
        self, yard: Yard, wishes: Wishes, files: str, stop: threading.Event
    ) -> None:
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
