"""The file `tripkit.sqlite`: opened, versioned, written in transactions, its faults said in words.

A file that is not there is an empty store; the first write makes it, readable by its owner only,
because it holds the secret addresses.
"""

from __future__ import annotations

import os
import sqlite3
import stat
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from tripkit.yard.errors import BadStore
from tripkit.yard.facts import state

FILE_NAME = "tripkit.sqlite"
# SQLite keeps what is being written in files beside it.
STORE_FILES = (FILE_NAME, *(f"{FILE_NAME}-{part}" for part in ("wal", "shm", "journal")))
WAIT_SECONDS = 10.0

STEPS = (
    """
CREATE TABLE answers (
    kind TEXT NOT NULL, question TEXT NOT NULL, text TEXT NOT NULL, source TEXT NOT NULL,
    kept TEXT NOT NULL, PRIMARY KEY (kind, question)
);
CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE publishings (
    revision INTEGER PRIMARY KEY AUTOINCREMENT, published TEXT NOT NULL, circuit TEXT NOT NULL,
    document TEXT NOT NULL, changes TEXT NOT NULL
);
CREATE TABLE events (
    kind TEXT NOT NULL, name TEXT NOT NULL, uid TEXT NOT NULL, content TEXT NOT NULL,
    sequence INTEGER NOT NULL, cancelled TEXT, PRIMARY KEY (kind, name, uid)
);
CREATE TABLE feeds (
    kind TEXT NOT NULL, name TEXT NOT NULL, head TEXT NOT NULL, body BLOB NOT NULL,
    packed BLOB NOT NULL, etag TEXT NOT NULL, modified TEXT NOT NULL, PRIMARY KEY (kind, name)
);
CREATE TABLE addresses (
    kind TEXT NOT NULL, name TEXT NOT NULL, token TEXT NOT NULL, made TEXT NOT NULL,
    alarms INTEGER NOT NULL, PRIMARY KEY (kind, name)
);
""",
    """
ALTER TABLE events ADD COLUMN changed TEXT NOT NULL DEFAULT '';
UPDATE events SET changed = (SELECT max(published) FROM publishings);
ALTER TABLE events ADD COLUMN archived INTEGER NOT NULL DEFAULT 0;
ALTER TABLE feeds ADD COLUMN published TEXT NOT NULL DEFAULT '';
UPDATE feeds SET published = (SELECT max(published) FROM publishings);
""",
)
"""What makes a file of each version from one of the version before; the first from an empty one."""
VERSION = len(STEPS)

FAULTS = {
    "SQLITE_NOTADB": "is no store of tripkit or is damaged",
    "SQLITE_CORRUPT": "is damaged",
    "SQLITE_FULL": "the disk is full; nothing was changed",
    "SQLITE_READONLY": "cannot be written: the file or its folder is read-only",
    "SQLITE_BUSY": "another program is writing to it; try again in a moment",
    "SQLITE_LOCKED": "another program is writing to it; try again in a moment",
    "SQLITE_CANTOPEN": "cannot be opened: the folder is read-only or may not be entered",
    "SQLITE_PERM": "cannot be opened: this user may not",
    "SQLITE_IOERR": "cannot be read or written (the disk is faulty, full or gone)",
}
MENDING = "put back a copy of it, or delete it: addresses are then made anew"


def find_store_file(folder: Path | str) -> Path:
    """Where the store of a yard is: in its folder; beside a yard that is one workbook."""
    folder = Path(folder)
    return (folder.parent if folder.is_file() else folder) / FILE_NAME


class Database:
    """One connection to the store's file, for any thread, one at a time."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._lock = threading.RLock()
        self._connection: sqlite3.Connection | None = None
        self._writable = False
        self._identity: tuple[int, int] | None = None

    def close(self) -> None:
        """The connection is ended; the next use opens it again."""
        with self._lock:
            if self._connection is not None:
                with suppress(sqlite3.Error):
                    self._connection.close()
            self._connection = None
            self._writable = False

    @contextmanager
    def read(self) -> Iterator[sqlite3.Connection | None]:
        """What is read inside comes from one moment; None where there is no store yet.

        Raises `BadStore`.
        """
        with self._lock, self._explain():
            connection = self._open(for_writing=False)
            if connection is None:
                yield None
                return
            connection.execute("BEGIN")
            try:
                version = self._check_version(connection)
                if version in (0, VERSION):
                    yield connection
                else:
                    # The next writing brings the file itself up; a reader may not write.
                    with closing(sqlite3.connect(":memory:", isolation_level=None)) as copy:
                        connection.backup(copy)
                        _bring_up(copy, version)
                        yield copy
            finally:
                with suppress(sqlite3.Error):
                    connection.execute("ROLLBACK")

    @contextmanager
    def write(self) -> Iterator[sqlite3.Connection]:
        """What is written inside is kept whole, or not at all; one writer at a time.

        Raises `BadStore`: nothing was changed.
        """
        with self._lock, self._explain():
            connection = self._open(for_writing=True)
            assert connection is not None
            connection.execute("BEGIN IMMEDIATE")
            try:
                self._prepare(connection)
                yield connection
                connection.execute("COMMIT")
            except BaseException:
                # After a full disk SQLite may have rolled back itself.
                with suppress(sqlite3.Error):
                    connection.execute("ROLLBACK")
                raise

    def find_mark(self) -> tuple[int, ...]:
        """A mark that changes when anybody else changes the store; cheap enough for every second.

        Empty where there is no store.

        **Source:** SQLite, PRAGMA data_version: it changes when another connection commits.
        """
        with self._lock, self._explain():
            connection = self._open(for_writing=False)
            if connection is None:
                return ()
            version: int = connection.execute("PRAGMA data_version").fetchone()[0]
            return (*(self._identity or ()), version)

    def _open(self, *, for_writing: bool) -> sqlite3.Connection | None:
        identity = self._identify()
        if self._connection is not None and (
            identity != self._identity or (for_writing and not self._writable)
        ):
            # Somebody put another file in its place, or now it is to be written.
            self.close()
        if self._connection is not None:
            return self._connection
        if identity is None and not for_writing:
            return None
        if identity is None:
            with suppress(FileExistsError):
                os.close(os.open(self.path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        try:
            self._connection = self._connect("rw")
            self._writable = True
        except sqlite3.OperationalError:
            if for_writing:
                raise
            self._connection = self._connect_to_read_only()
        self._identity = self._identify()
        return self._connection

    def _identify(self) -> tuple[int, int] | None:
        try:
            found = self.path.stat()
        except (FileNotFoundError, NotADirectoryError):
            return None
        if not stat.S_ISREG(found.st_mode):
            # A pipe would be waited on for ever.
            raise BadStore(state("store.no-file", path=str(self.path), mending=MENDING))
        return (found.st_dev, found.st_ino)

    def _connect_to_read_only(self) -> sqlite3.Connection:
        try:
            return self._connect("ro")
        except sqlite3.OperationalError:
            # Nobody can write in this folder, so nobody does while we read.
            return self._connect("ro&immutable=1")

    def _connect(self, mode: str) -> sqlite3.Connection:
        connection = sqlite3.connect(
            f"{self.path.resolve().as_uri()}?mode={mode}",
            uri=True,
            timeout=WAIT_SECONDS,
            isolation_level=None,
            check_same_thread=False,
        )
        try:
            connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        except BaseException:
            connection.close()
            raise
        return connection

    def _prepare(self, connection: sqlite3.Connection) -> None:
        if not self._check_version(connection):
            connection.execute("ROLLBACK")
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("BEGIN IMMEDIATE")
        _bring_up(connection, self._check_version(connection))

    def _check_version(self, connection: sqlite3.Connection) -> int:
        """The version of the file; 0 where nothing was written yet."""
        version: int = connection.execute("PRAGMA user_version").fetchone()[0]
        if version > VERSION:
            raise BadStore(
                state(
                    "store.was-written-by-newer-tripkit",
                    path=str(self.path),
                    version=version,
                    version_2=VERSION,
                )
            )
        if version == 0 and connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone():
            raise BadStore(state("store.no-store-of-tripkit", path=str(self.path), mending=MENDING))
        return version

    @contextmanager
    def _explain(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            # An error's extended name, such as SQLITE_IOERR_WRITE, begins with its plain one.
            name = "_".join((getattr(error, "sqlite_errorname", "") or "").split("_")[:2])
            said = FAULTS.get(name, f"cannot be used ({error})")
            if name in ("SQLITE_NOTADB", "SQLITE_CORRUPT"):
                said += f"; {MENDING}"
            self.close()
            raise BadStore(state("store.value", path=str(self.path), said=said)) from error
        except OSError as error:
            raise BadStore(
                state(
                    "store.cannot-be-used", path=str(self.path), value=str(error.strerror or error)
                )
            ) from error


def _bring_up(connection: sqlite3.Connection, version: int) -> None:
    """A store of an older version becomes one of this."""
    for step in STEPS[version:]:
        for statement in step.split(";"):
            if statement.strip():
                connection.execute(statement)
    if version < VERSION:
        connection.execute(f"PRAGMA user_version = {VERSION}")
