"""Files that a visitor brings, and another yard in the place of the one at hand."""

from __future__ import annotations

import shutil
import tempfile
import weakref
from collections.abc import Sequence
from pathlib import Path

from traitlets import Any as AnyTrait
from traitlets import Tuple

from tripkit.dashboard import filing
from tripkit.dashboard.outcome import (
    read_or_tell,
)
from tripkit.dashboard.planning import Planning
from tripkit.files.folder import find_folder
from tripkit.season.wishes import Wishes
from tripkit.words import page as words
from tripkit.words.faults import fold_errors
from tripkit.yard.errors import BadYard, TripkitError


class Bringing(Planning):
    """Files and folders that come in.

    `files_wrong` is what was wrong with the last files, `merge` an organiser's calendar that is
    looked at before it is taken.
    """

    files_wrong = Tuple()
    merge = AnyTrait(allow_none=True)

    def open_folder(self, text: str) -> None:
        """Another yard on this machine takes the place of the one at hand, if it reads."""
        if not filing.is_own_machine():
            self.files_wrong = (words.FOLDER_ELSEWHERE,)
            return
        folder = text.strip()
        path = Path(folder).expanduser()
        if folder and path.exists():
            self._try_yard(path, "")
        else:
            missing = words.FOLDER_MISSING.format(folder=folder)
            self.files_wrong = (missing if folder else words.FOLDER_WANTED,)

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
            self.files_wrong = (words.YARD_FAILED.format(reason=self.tell_error(bad)),)
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
            self.files_wrong = (self.tell_error(bad),)
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
            self.files_wrong = (self.tell_error(bad),)
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
            self.circuits_file = find_folder(path) / filing.SAVED
            self.past = self.moved = self.unkept = ()
            self.wishes = self.planned = Wishes()
        self.open()
        self.notice = said or self.notice
