"""What is published from a page, and what the noticeboard says of it."""

from __future__ import annotations

from collections.abc import Callable

from traitlets import Any as AnyTrait
from traitlets import Unicode

from tripkit.dashboard import filing
from tripkit.dashboard.athand import AskAgain, AtHand
from tripkit.season.lived import go_on_from
from tripkit.season.wishes import apply_wishes
from tripkit.words import page as words
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import TripkitError
from tripkit.yard.yard import Yard


class Publishing(AtHand):
    """The noticeboard and the acts on it.

    `board` is what is published, `board_said` what came of the last act, `doubted` the circuit
    that breaks a rule and is published when asked once more.
    """

    board = AnyTrait(allow_none=True)
    board_said = Unicode()
    doubted = Unicode()

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
                said = words.BOARD_FAILED.format(reason=self.tell_error(bad))
        self.board_said = said

    def _read_board(self, yard: Yard) -> None:
        self.board = self._doors.read_board(self.folder, yard, self.circuits)
