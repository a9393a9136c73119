"""The store of one yard: asked and written through a few verbs, each a transaction of its own."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Collection, Iterable, Mapping
from contextlib import closing, suppress
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from types import TracebackType

from tripkit.store.database import Database, find_store_file
from tripkit.store.records import Address, Answer, Current, KeptEvent, KeptFeed, Shelf, Who
from tripkit.yard.errors import BadStore, BadValue, OutOfDate
from tripkit.yard.facts import state

PUBLISHINGS_KEPT = 10
LAST_RENAMING = "last renaming"


def open_store(folder: Path | str) -> Store:
    """The store of a yard folder, or beside a yard workbook; made at the first write.

    Nothing is opened yet, so nothing is raised here.
    """
    return Store(find_store_file(folder))


class Store:
    """What a yard keeps between runs; see `records` for what. For any thread; a context manager."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._database = Database(path)

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """The file is let go; the next use opens it again."""
        self._database.close()

    # Answers from outside

    def find_answer(self, kind: str, question: str) -> Answer | None:
        """What was answered to a question of a kind before, None where nothing is kept.

        Raises `BadStore` where the file cannot be read.
        """
        with self._database.read() as connection:
            if connection is None or not _has_tables(connection):
                return None
            row = connection.execute(
                "SELECT text, source, kept FROM answers WHERE kind = ? AND question = ?",
                (kind, question),
            ).fetchone()
        return None if row is None else Answer(row[0], row[1], _read_moment(row[2]))

    def keep_answer(self, kind: str, question: str, text: str, source: str, when: datetime) -> None:
        """An outside answer is kept verbatim, in the place of an older one to the same question.

        Where the store cannot be written nothing is kept, and nothing fails. Raises `BadValue`
        for a time without a zone.
        """
        kept = _write_moment(when)
        with suppress(BadStore), self._database.write() as connection:
            connection.execute(
                "INSERT OR REPLACE INTO answers VALUES (?, ?, ?, ?, ?)",
                (kind, question, text, source, kept),
            )

    def revise_answer(
        self, kind: str, question: str, revise: Callable[[str], str], when: datetime
    ) -> None:
        """What is kept becomes what is made of it (empty: nothing was), in one transaction.

        Raises `BadStore` where the store cannot be written, `BadValue` for a time without a zone.
        """
        kept = _write_moment(when)
        with self._database.write() as connection:
            row = connection.execute(
                "SELECT text FROM answers WHERE kind = ? AND question = ?", (kind, question)
            ).fetchone()
            connection.execute(
                "INSERT OR REPLACE INTO answers VALUES (?, ?, ?, '', ?)",
                (kind, question, revise(row[0] if row else ""), kept),
            )

    # Feeds

    def read_shelf(self, *, with_events: bool = True) -> Shelf:
        """Everything that is kept of feeds, from one moment; empty where there is no store.

        Without `with_events` only what is needed to answer for feeds. Raises `BadStore`.
        """
        with self._database.read() as connection:
            if connection is None or not _has_tables(connection):
                return Shelf()
            return Shelf(
                _read_current(connection),
                _read_feeds(connection),
                _read_addresses(connection),
                _read_settings(connection),
                _read_events(connection) if with_events else (),
            )

    def find_current(self) -> Current:
        """The publishing that holds; revision 0 where there is none. Raises `BadStore`."""
        with self._database.read() as connection:
            if connection is None or not _has_tables(connection):
                return Current()
            return _read_current(connection)

    def find_mark(self) -> tuple[int, ...]:
        """A mark that is another one after somebody else changed the store.

        Raises `BadStore` where the file cannot be read.
        """
        return self._database.find_mark()

    def keep_publishing(
        self,
        upon: Shelf,
        current: Current,
        events: Iterable[KeptEvent],
        feeds: Iterable[KeptFeed],
        addresses: Iterable[Address],
    ) -> Current:
        """A publishing becomes the one that holds, in one transaction, with the next revision.

        `upon` is what it was made from. `events` and `feeds` take the place of all there were;
        of `addresses` those are kept whose reader had none. Raises `OutOfDate` where somebody
        else was first, `BadStore` where the store cannot be written.
        """
        assert current.published is not None
        with self._database.write() as connection:
            self._check_still_holds(connection, upon)
            revision = upon.current.revision + 1
            row = (
                revision,
                _write_moment(current.published),
                current.circuit,
                current.document,
                current.changes,
            )
            connection.execute("INSERT INTO publishings VALUES (?, ?, ?, ?, ?)", row)
            connection.execute(
                "DELETE FROM publishings WHERE revision <= ?", (revision - PUBLISHINGS_KEPT,)
            )
            connection.execute("DELETE FROM events")
            connection.executemany(
                "INSERT INTO events VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                (
                    (
                        *event.who,
                        event.uid,
                        event.content,
                        event.sequence,
                        event.cancelled.isoformat() if event.cancelled else None,
                        _write_moment(event.changed),
                        int(event.archived),
                    )
                    for event in events
                ),
            )
            _replace_feeds(connection, feeds)
            connection.executemany(
                "INSERT OR IGNORE INTO addresses VALUES (?, ?, ?, ?, ?)",
                map(_write_address, addresses),
            )
        return replace(current, revision=revision)

    def keep_feeds(self, upon: Shelf, feeds: Iterable[KeptFeed]) -> None:
        """The bytes of all feeds are replaced, where what they were made from still holds.

        Raises `OutOfDate` where it does not, `BadStore` where the store cannot be written.
        """
        with self._database.write() as connection:
            self._check_still_holds(connection, upon)
            _replace_feeds(connection, feeds)

    def keep_addresses(self, addresses: Iterable[Address]) -> None:
        """Addresses take the place of those their readers had. Raises `BadStore`."""
        with self._database.write() as connection:
            connection.executemany(
                "INSERT OR REPLACE INTO addresses VALUES (?, ?, ?, ?, ?)",
                map(_write_address, addresses),
            )

    def keep_setting(self, name: str, value: str) -> None:
        """A setting of the store, such as the address that feeds are served at.

        Raises `BadStore`.
        """
        with self._database.write() as connection:
            connection.execute("INSERT OR REPLACE INTO settings VALUES (?, ?)", (name, value))

    def find_setting(self, name: str) -> str:
        """A setting of the store, empty where there is none. Raises `BadStore`."""
        with self._database.read() as connection:
            if connection is None or not _has_tables(connection):
                return ""
            return _read_settings(connection).get(name, "")

    def rename(
        self,
        change: str,
        kinds: Collection[str],
        old: str,
        new: str,
        *,
        settings: Mapping[str, Callable[[str], str]],
        document: Callable[[str], str],
        content: Callable[[str, str], str],
        answers: Mapping[tuple[str, str], Callable[[str], str]],
    ) -> None:
        """A reader of some kinds bears a new name: addresses, events and feeds are kept under it.

        `settings` rewrites settings by name, `document` every circuit that was published,
        `content` every event, given its reader's old name, `answers` answers by kind and
        question; all of it in one transaction, and once for each `change`, which is the name of
        this renaming. What is left of an earlier reader of the new name goes. Raises `BadStore`.
        """
        with self._database.write() as connection:
            known = _read_settings(connection)
            if known.get(LAST_RENAMING) == change:
                return
            for event in connection.execute("SELECT rowid, name, content FROM events").fetchall():
                if (written := content(*event[1:])) != event[2]:
                    connection.execute(
                        "UPDATE events SET content = ? WHERE rowid = ?", (written, event[0])
                    )
            for table in ("addresses", "events", "feeds"):
                for kind in kinds:
                    connection.execute(
                        f"DELETE FROM {table} WHERE kind = ? AND name = ?", (kind, new)
                    )
                    connection.execute(
                        f"UPDATE {table} SET name = ? WHERE kind = ? AND name = ?", (new, kind, old)
                    )
            published = connection.execute("SELECT revision, document FROM publishings").fetchall()
            connection.executemany(
                "UPDATE publishings SET document = ? WHERE revision = ?",
                ((document(text), revision) for revision, text in published),
            )
            for asked, write in answers.items():
                where = "WHERE kind = ? AND question = ?"
                kept = connection.execute(f"SELECT text FROM answers {where}", asked).fetchall()
                for (text,) in kept:
                    connection.execute(
                        f"UPDATE answers SET text = ? {where}", (write(text), *asked)
                    )
            rewritten = {name: write(known.get(name, "")) for name, write in settings.items()}
            connection.executemany(
                "INSERT OR REPLACE INTO settings VALUES (?, ?)",
                {**rewritten, LAST_RENAMING: change}.items(),
            )

    def copy_to(self, path: Path) -> None:
        """The store as it is now becomes a file of its own; none where there is no store.

        Raises `BadStore`.
        """
        with self._database.read() as connection:
            if connection is not None:
                with closing(sqlite3.connect(path)) as copy:
                    connection.backup(copy)

    def _check_still_holds(self, connection: sqlite3.Connection, upon: Shelf) -> None:
        holds = _read_current(connection)
        if holds.revision != upon.current.revision:
            when = f"{holds.published:%d %B %Y %H:%M} UTC" if holds.published else "never"
            raise OutOfDate(
                state(
                    "store.somebody-else-published-meanwhile-nothing",
                    path=str(self.path),
                    circuit=holds.circuit,
                    when=when,
                )
            )
        if (
            _read_addresses(connection) != upon.addresses
            or _read_settings(connection) != upon.settings
        ):
            raise OutOfDate(
                state("store.somebody-else-changed-addresses-meanwhile", path=str(self.path))
            )


def _read_current(connection: sqlite3.Connection) -> Current:
    row = connection.execute(
        "SELECT revision, published, circuit, document, changes FROM publishings"
        " ORDER BY revision DESC LIMIT 1"
    ).fetchone()
    return Current() if row is None else Current(row[0], _read_moment(row[1]), *row[2:])


def _read_feeds(connection: sqlite3.Connection) -> dict[Who, KeptFeed]:
    rows = connection.execute(
        "SELECT kind, name, head, body, packed, etag, modified, published FROM feeds"
    )
    return {
        (kind, name): KeptFeed(
            (kind, name), head, body, packed, etag, _read_moment(modified), _read_moment(published)
        )
        for kind, name, head, body, packed, etag, modified, published in rows
    }


def _read_addresses(connection: sqlite3.Connection) -> dict[Who, Address]:
    rows = connection.execute("SELECT kind, name, token, made, alarms FROM addresses")
    return {
        (kind, name): Address((kind, name), token, _read_moment(made), bool(alarms))
        for kind, name, token, made, alarms in rows
    }


def _read_settings(connection: sqlite3.Connection) -> dict[str, str]:
    return dict(connection.execute("SELECT name, value FROM settings"))


def _read_events(connection: sqlite3.Connection) -> tuple[KeptEvent, ...]:
    rows = connection.execute(
        "SELECT kind, name, uid, content, changed, sequence, cancelled, archived FROM events"
        " ORDER BY kind, name, uid"
    )
    return tuple(
        KeptEvent(
            (kind, name),
            uid,
            content,
            _read_moment(changed),
            sequence,
            date.fromisoformat(cancelled) if cancelled else None,
            bool(archived),
        )
        for kind, name, uid, content, changed, sequence, cancelled, archived in rows
    )


def _replace_feeds(connection: sqlite3.Connection, feeds: Iterable[KeptFeed]) -> None:
    connection.execute("DELETE FROM feeds")
    connection.executemany(
        "INSERT INTO feeds VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        (
            (
                *feed.who,
                feed.head,
                feed.body,
                feed.packed,
                feed.etag,
                _write_moment(feed.modified),
                _write_moment(feed.published),
            )
            for feed in feeds
        ),
    )


def _write_address(address: Address) -> tuple[str, str, str, str, int]:
    return (*address.who, address.token, _write_moment(address.made), int(address.alarms))


def _has_tables(connection: sqlite3.Connection) -> bool:
    version: int = connection.execute("PRAGMA user_version").fetchone()[0]
    return version > 0


def _write_moment(moment: datetime) -> str:
    if moment.tzinfo is None:
        raise BadValue(state("store.time-has-no-time-zone", moment=moment))
    return moment.astimezone(UTC).isoformat()


def _read_moment(text: str) -> datetime:
    return datetime.fromisoformat(text)
