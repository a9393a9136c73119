"""What lies at hand on a page, and whether it is as folder and store are now.

Other pages, the commands and whoever edits a file change the yard while a page lies open. Before
anything leaves the page the folder is looked at, read anew where it changed, and what is to leave
is held to the rules.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from traitlets import Any as AnyTrait
from traitlets import Bool, HasTraits, Instance, Tuple, Unicode, observe

from tripkit.dashboard import filing
from tripkit.dashboard.errands import Doors
from tripkit.dashboard.noticeboard import write_moment
from tripkit.dashboard.outcome import read_or_tell
from tripkit.dashboard.provenance import Seen
from tripkit.explaining.reasons import find_unkept
from tripkit.files.folder import find_folder
from tripkit.judging.case import Violation
from tripkit.season.wishes import Wishes, apply_wishes, fit_wishes
from tripkit.words import page as words
from tripkit.words.faults import tell_error
from tripkit.words.telling import choose_teller
from tripkit.words.verdicts import write_violation
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import RulesBroken, TripkitError
from tripkit.yard.yard import Yard


class AskAgain(RulesBroken):
    """What circuits break, in few `lines`: whoever asks for the same again knows better."""

    def __init__(self, lines: Sequence[str], broken: Mapping[str, Sequence[Violation]]) -> None:
        self.lines = tuple(lines)
        self.broken = broken
        super().__init__(" ".join(lines), [v for found in broken.values() for v in found])

    def __str__(self) -> str:
        return " ".join(self.lines)


class AtHand(HasTraits):
    """Yard and circuits of one visitor's page.

    `left` and `right` are names of circuits that exist, `pair` the two circuits themselves
    (empty while there are none), `comparison` what was found between them. `diary_side` says
    which of them the diary and the calendar file are taken from, `errors` are the faults of the
    yard folder in words, `notice` is the last thing the page has to say and `advice` what to do
    about it, `horse` the one that is looked at. `yard` is the yard as the circuits at hand know it:
    the folder's, with the wishes they were planned with (`planned`); `wishes` are those of the next
    plan, the same on every page. `found` says, where the circuits are those of an earlier visit or
    of another page, since when they are known. `wish_fault` is what the yard cannot be wished,
    `moved` what the last planning moved, `unkept` the wishes that no circuit keeps, `past` the
    circuits and wishes before each planning.
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
    wishes = AnyTrait(Wishes())
    planned = AnyTrait(Wishes())
    wish_fault = Unicode()
    moved = Tuple()
    unkept = Tuple()
    past = Tuple()
    notice = Unicode()
    advice = Unicode()
    found = Unicode()

    def __init__(
        self,
        folder: str | Path,
        circuits_file: str | Path | None = None,
        *,
        doors: Doors | None = None,
    ) -> None:
        folder = Path(folder)
        super().__init__(
            folder=folder,
            circuits_file=Path(circuits_file or find_folder(folder) / filing.SAVED),
        )
        self._doors = doors or Doors()
        self._seen = Seen()
        self._read: Yard | None = None
        self._findings: tuple[Yard, tuple[Any, ...]] | None = None
        self._asked_once: dict[str, object] = {}

    def tell_error(self, bad: Exception) -> str:
        """Why something failed, in the words of this page."""
        return tell_error(bad, self.yard)

    def is_folder_gone(self) -> bool:
        """Whether the yard that was read is there no more; the page says so and keeps it."""
        if self._read is None or self.folder.exists():
            return False
        said = words.YARD_GONE if self.pair else words.YARD_GONE_EMPTY
        self.notice = said.format(folder=self.folder.name)
        self.advice = words.YARD_GONE_DO if self.pair else words.YARD_GONE_EMPTY_DO
        return True

    def look_round(self) -> None:
        """A visitor turns to another chapter: changed files are said, wishes are those in force."""
        if self.is_folder_gone() or self._read is None or self.planning or not self.pair:
            return
        now = self._doors.look_at(self.folder, self.circuits_file)
        if now.files != self._seen.files or self._doors.is_of_another_day(self._read):
            self.found = words.FILES_MOVED_ON
        elif now.wishes != self._seen.wishes:
            self._take_wishes(now.wishes)
            self._seen = replace(self._seen, wishes=now.wishes)

    def catch_up(self) -> bool:
        """Folder and store as they are now are on the page; False where nothing may leave it.

        Nothing may where the folder is gone or no longer reads, and where the circuits at hand
        are no longer those that the visitor saw.
        """
        if self._read is None or self.is_folder_gone():
            return False
        before, seen = self.circuits, self._seen
        now = self._doors.look_at(self.folder, self.circuits_file)
        begun = self._read.day_of_planning >= self._read.road_days.first
        if (
            now.files != seen.files
            or (begun and now.revision != seen.revision)
            or self._doors.is_of_another_day(self._read)
        ):
            self._seen = now
            if not self._read_again():
                return False
        self._seen = now
        if now.wishes != seen.wishes:
            self._take_wishes(now.wishes)
        if not self.planning and now.saved != seen.saved:
            self._read_saved_circuits(self._read)
        elif (
            not self.planning
            and now.found != seen.found
            and (self._take_found(self.wishes) or self._take_found(Wishes()))
        ):
            self.found = self.notice = words.FOUND_ELSEWHERE
        return self.circuits == before

    def _take_wishes(self, wishes: Wishes) -> None:
        """Wishes that another page or a command wrote are those of the next plan here, too."""
        assert self._read is not None
        self.wishes = fit_wishes(self._read, wishes)
        self.wish_fault = words.WISHES_ELSEWHERE

    def _read_again(self) -> bool:
        """The yard is read anew; circuits that it still knows stay at hand."""
        yard, faults = read_or_tell(self._doors.read_yard, self.folder)
        self._read = yard
        if yard is None:
            self._show_faults(faults)
            return False
        had = bool(self.circuits)
        kept = tuple(c for c in self.circuits if self._doors.fits(yard, c))
        with self.hold_trait_notifications():
            self.pair = ()
            self.past = self.moved = self.unkept = ()
            self.planned = fit_wishes(yard, self.planned)
            self.yard = apply_wishes(yard, self.planned)
            self.horse = self.horse if self.horse in yard.horse_by_name else ""
            self.horse = self.horse or next(iter(yard.horse_by_name), "")
            self.take_circuits(kept)
            self.found = ""
            # A page that had none has lost none: it goes on as a first visit does.
            if had:
                self.found = words.FILES_CHANGED if kept else words.FILES_CHANGED_ALL
                self.notice = self.found
        return True

    def _mark_own(self, *names: str) -> None:
        """What this page itself changed in folder or store is no news to it."""
        now = self._doors.look_at(self.folder, self.circuits_file)
        self._seen = replace(self._seen, **{name: getattr(now, name) for name in names})

    def admit(self, act: str, *circuits: Circuit) -> Mapping[str, tuple[Violation, ...]]:
        """What the circuits break of the yard as it is, by name; whoever asks twice knows better.

        Raises `RulesBroken` at the first asking for the act.
        """
        assert self.yard is not None
        broken: dict[str, tuple[Violation, ...]] = {}
        for circuit in circuits:
            found = tuple(self._doors.find_violations(self.yard, circuit))
            if found:
                broken[circuit.name] = found
        asked = self.yard.day_of_planning, broken
        if broken and self._asked_once.pop(act, None) != asked:
            self._asked_once[act] = asked
            raise AskAgain(_say_rules(self.yard, broken), broken)
        return broken

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

    def put(self, side: str, name: str) -> None:
        """Lay a circuit above (`left`) or under (`right`) the line."""
        circuit = self.find_circuit(name)
        if side in ("left", "right") and circuit is not None and circuit.exists:
            self.set_trait(side, name)

    def find_circuit(self, name: str) -> Circuit | None:
        """The circuit of that name, None where none is on the desk."""
        return next((c for c in self.circuits if c.name == name), None)

    @property
    def diary_circuit(self) -> Circuit | None:
        """The circuit that the diary is taken from."""
        return self.find_circuit(self.left if self.diary_side == "left" else self.right)

    def _say_stopped(self) -> str:
        """Why nothing left the page."""
        if self.errors:
            return words.FILES_FAULTY
        if self.pair:
            return words.LOOK_FIRST
        gone = self.found == words.FILES_CHANGED_ALL
        return self.found if gone else words.NOT_PLANNED

    @property
    def findings(self) -> tuple[Any, ...]:
        """What papers, ages and heights say of the yard at hand, asked once."""
        if self.yard is None:
            return ()
        if self._findings is None or self._findings[0] is not self.yard:
            self._findings = (self.yard, tuple(self._doors.find_findings(self.yard)))
        return self._findings[1]

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
            self.comparison = self._doors.compare(self.yard, left, right)
        except TripkitError as bad:
            self.comparison = None
            self.notice = words.COMPARE_FAILED.format(reason=self.tell_error(bad))
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
            found = self._doors.find_found(self.folder, self._seen.files, yard, wishes)
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

    def _keep_found(self, files: str) -> None:
        """What lies on the desk is there at once on the next visit, while the files are these."""
        yard = self.yard
        if yard is not None and self.pair:
            # A page that could not keep its circuits is none the worse for it today.
            with suppress(TripkitError, OSError):
                self._doors.keep_found(self.folder, files, yard, self.planned, self.circuits)
            self._mark_own("found")

    def _read_saved_circuits(self, yard: Yard) -> None:
        if not self.circuits_file.is_file():
            return
        try:
            circuits = self._doors.read_circuits(self.circuits_file, yard)
        except (TripkitError, OSError) as bad:
            self.notice = words.CIRCUITS_WRONG.format(
                file=self.circuits_file.name, reason=tell_error(bad, yard)
            )
            self.advice = words.PLAN_FIRST
            return
        self.take_circuits(circuits)
        self.notice = words.SAVED.format(file=self.circuits_file.name)


def _say_rules(yard: Yard, broken: Mapping[str, Sequence[Violation]]) -> list[str]:
    """Which rules circuits break: of each the first case, and how many more there are."""
    teller = choose_teller(yard)
    names_by_lines: dict[tuple[str, ...], list[str]] = {}
    for name, violations in broken.items():
        by_rule: dict[str, list[Violation]] = {}
        for violation in violations:
            by_rule.setdefault(violation.rule, []).append(violation)
        lines = tuple(
            write_violation(teller, first)
            + (words.AND_MORE.format(count=len(others)) if others else "")
            + "."
            for first, *others in by_rule.values()
        )
        names_by_lines.setdefault(lines, []).append(name)
    return [
        line
        for lines, (*names, last) in names_by_lines.items()
        for line in (
            words.BREAK.format(names=", ".join(names), last=last)
            if names
            else words.BREAKS.format(name=last),
            *lines,
        )
    ]
