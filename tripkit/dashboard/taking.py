"""What a visitor takes along: files, sheets, the card on paper. All of it is judged first."""

from __future__ import annotations

from collections.abc import Mapping

from traitlets import Unicode

from tripkit.dashboard import filing
from tripkit.dashboard.athand import AskAgain, AtHand
from tripkit.dashboard.filing import make_slug
from tripkit.judging.case import Violation
from tripkit.words import page as words
from tripkit.words.telling import choose_teller
from tripkit.words.verdicts import write_broken
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import TripkitError
from tripkit.yard.yard import Yard


class Taking(AtHand):
    """Files that go out: `print_wrong` is why the card was not printed."""

    print_wrong = Unicode()

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
            self.notice, self.advice = words.SAVE_FAILED.format(reason=self.tell_error(bad)), ""
            return
        self._mark_own("saved")
        self.found = ""
        self.notice, self.advice = words.SAVED_NOW.format(file=self.circuits_file.name), ""

    def build_feed(self) -> tuple[str, bytes]:
        """The chosen horse's calendar: a file name and the bytes of the file."""
        yard, circuit, broken = self._take_at_hand("feed")
        return self._doors.write_feed(yard, circuit, self.horse, broken)

    def build_yard_feed(self) -> tuple[str, bytes]:
        """The whole yard's calendar of the circuit that is read from."""
        yard, circuit, broken = self._take_at_hand("calendar")
        return self._doors.write_yard_feed(yard, circuit, broken)

    def build_workbook(self) -> tuple[str, bytes]:
        """The tables of the circuit that is read from, as a workbook."""
        yard, circuit, broken = self._take_at_hand("workbook")
        return f"{make_slug(circuit.name)}.xlsx", self._doors.write_workbook(yard, circuit, broken)

    def build_entries(self) -> tuple[str, bytes]:
        """The entry sheets of the circuit that is read from, as a workbook."""
        yard, circuit, broken = self._take_at_hand("entries")
        name = f"entries-{make_slug(circuit.name)}.xlsx"
        return name, self._doors.write_entries(yard, circuit, broken)

    def build_travel_sheets(self) -> tuple[str, bytes]:
        """The travel sheets of the circuit that is read from, a page a drive."""
        yard, circuit, broken = self._take_at_hand("sheets")
        name = f"travel-{make_slug(circuit.name)}.html"
        return name, self._doors.write_travel(yard, circuit, broken)

    def build_map(self) -> tuple[str, bytes]:
        """The roads of the circuit that is read from, as a picture."""
        yard, circuit, _ = self._take_at_hand("map")
        return f"routes-{make_slug(circuit.name)}.svg", self._doors.draw_map(yard, circuit)

    def build_circuits(self) -> tuple[str, bytes]:
        """All circuits, as `tripkit plan` writes them."""
        if not self.catch_up():
            raise TripkitError(self._say_stopped())
        yard, _ = self._at_hand()
        self._admit_files("circuits", *self.circuits)
        return filing.SAVED, self._doors.write_circuits(yard, self.circuits)

    def take_to_print(self) -> tuple[Yard, Circuit, tuple[str, ...]]:
        """Yard and circuit that are printed, and what those on the desk break, a line each."""
        if not self.catch_up():
            raise TripkitError(self._say_stopped())
        yard, circuit = self._at_hand()
        pair = tuple(dict.fromkeys(self.pair))
        broken = self._admit_files("print", *pair, anyway=words.PRINT_ANYWAY)
        teller = choose_teller(yard)
        lines = (ln for c in pair for ln in write_broken(yard, c, broken.get(c.name, ()), teller))
        return yard, circuit, tuple(lines)

    def _take_at_hand(self, act: str) -> tuple[Yard, Circuit, tuple[Violation, ...]]:
        if not self.catch_up():
            raise TripkitError(self._say_stopped())
        yard, circuit = self._at_hand()
        return yard, circuit, self._admit_files(act, circuit).get(circuit.name, ())

    def _admit_files(
        self, act: str, *circuits: Circuit, anyway: str = words.TAKE_ANYWAY
    ) -> Mapping[str, tuple[Violation, ...]]:
        try:
            return self.admit(act, *circuits)
        except AskAgain as bad:
            raise AskAgain((*bad.lines, anyway), bad.broken) from bad
