"""The Desk: one place that holds what the page shows, as traits; views know only the Desk.

It is put together from what it holds: yard and circuits at hand (`athand`), the wishes and the
planning, what is looked at and asked (`choice`), what is published, files that are brought and
files that are taken along. It reads the yard, the saved circuits and the plan through `Doors`.
"""

from __future__ import annotations

from tripkit.dashboard.bringing import Bringing
from tripkit.dashboard.choice import Choice
from tripkit.dashboard.publishing import Publishing
from tripkit.dashboard.taking import Taking


class Desk(Choice, Publishing, Bringing, Taking):
    """What one visitor does with what lies at hand; each part says what its traits are."""

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

    def open_again(self) -> None:
        """Read the folder whatever its marks say, then do as for a visitor."""
        self.open()
        self.refresh()
