"""Whose turn it is to plan: one process of a yard at a time, and nobody's when it dies.

SQLite's own lock on an empty file beside the store does it: the system lets go of it with the
process, so nothing has to expire.
"""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from pathlib import Path

from tripkit.store.database import find_store_file

FILE_NAME = ".tripkit-planning"


class Turn:
    """A turn that lasts until it is ended."""

    def __init__(self, connection: sqlite3.Connection | None) -> None:
        self._connection = connection

    def end(self) -> None:
        """The next one may begin."""
        if self._connection is not None:
            with suppress(sqlite3.Error):
                self._connection.close()
        self._connection = None


def take_turn(folder: Path | str) -> Turn | None:
    """The turn to plan for a yard; None while somebody else has it.

    Where no file can be made nobody waits for anybody.
    """
    path = find_store_file(folder).with_name(FILE_NAME)
    try:
        connection = sqlite3.connect(
            path, timeout=0.0, isolation_level=None, check_same_thread=False
        )
    except sqlite3.Error:
        return Turn(None)
    try:
        connection.execute("BEGIN EXCLUSIVE")
    except sqlite3.Error as error:
        connection.close()
        name = getattr(error, "sqlite_errorname", "") or ""
        return None if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")) else Turn(None)
    return Turn(connection)
