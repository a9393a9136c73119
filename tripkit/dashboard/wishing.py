"""What the next plan is to keep, and the way back to the one before."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from tripkit.dashboard.athand import AtHand
from tripkit.season.wishes import Wishes, apply_wishes, fit_wishes, merge_wishes
from tripkit.words import page as words
from tripkit.yard.errors import BadStore, TripkitError


class Wishing(AtHand):
    """Wishes are those of the next plan, the same on every page."""

    def wish(self, change: Callable[[Wishes], Wishes]) -> None:
        """Change the wishes of the next plan; what the yard cannot be wished is said instead."""
        if self._read is None:
            return
        try:
            wishes = change(self.wishes)
            apply_wishes(self._read, wishes)
        except TripkitError as bad:
            self.refuse_wish(bad)
            return
        self._keep_wishes(wishes)

    def refuse_wish(self, bad: Exception) -> None:
        """What cannot be wished is said on the page."""
        self.wish_fault = words.WISH_WRONG.format(reason=self.tell_error(bad))

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
