"""A store that cannot be used: clear errors, nothing half kept, old state readable.

Permissions do not bind the superuser, so those tests give up his rights for the moment.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tripkit.store import Store, open_store
from tripkit.store import database as room
from tripkit.yard.errors import BadStore

NOON = datetime(2027, 3, 2, 12, tzinfo=UTC)
NOBODY = 65534


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path) as made:
        made.keep_answer("route", "q", "kept", "a", NOON)
        yield made


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that everybody can reach, which pytest's own are not."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        yield folder
        folder.chmod(0o755)


@contextmanager
def as_nobody() -> Iterator[None]:
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


def change_by_hand(store: Store, statement: str) -> None:
    store.close()
    connection = sqlite3.connect(store.path)
    connection.execute(statement)
    connection.commit()
    connection.close()


def test_a_newer_store_is_refused_by_its_number(store: Store) -> None:
    """Reading and writing both say which version it is and what this tripkit knows."""
    change_by_hand(store, "PRAGMA user_version = 7")
    with pytest.raises(BadStore, match=r"newer tripkit \(store version 7, this one knows \d\)"):
        store.find_answer("route", "q")
    with pytest.raises(BadStore, match="newer tripkit"):
        store.keep_setting("a", "b")


@pytest.mark.parametrize("damage", ["overwritten", "shortened", "middle"])
def test_a_damaged_store_says_how_to_mend_it(store: Store, damage: str) -> None:
    """The error names the file and tells to put back a copy or to delete it."""
    store.close()
    data = store.path.read_bytes()
    store.path.write_bytes(
        {
            "overwritten": b"not a database at all" * 100,
            "shortened": data[: len(data) // 2 + 100],
            "middle": data[:200] + b"\xff" * (len(data) - 200),
        }[damage]
    )
    with pytest.raises(BadStore, match=r"tripkit\.sqlite: .*damaged.*; put back a copy"):
        store.read_shelf()


def test_another_program_s_database_is_left_alone(tmp_path: Path) -> None:
    """A database with tables of somebody else is not written over."""
    connection = sqlite3.connect(tmp_path / "tripkit.sqlite")
    connection.execute("CREATE TABLE others (a)")
    connection.commit()
    connection.close()
    with pytest.raises(BadStore, match="no store of tripkit"):
        open_store(tmp_path).keep_setting("a", "b")


def test_an_empty_file_is_an_empty_store(tmp_path: Path) -> None:
    """A program killed between making the file and writing it leaves no harm."""
    (tmp_path / "tripkit.sqlite").touch()
    store = open_store(tmp_path)
    assert store.find_answer("route", "q") is None
    store.keep_setting("a", "b")
    assert store.read_shelf().settings == {"a": "b"}


def test_a_full_disk_changes_nothing(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """SQLite is told that its file may not grow: the same fault as no room on the disk."""
    store.close()
    connect = sqlite3.connect

    def connect_to_full_disk(*arguments: object, **options: object) -> sqlite3.Connection:
        connection = connect(*arguments, **options)  # type: ignore[call-overload]
        connection.execute("PRAGMA max_page_count = 1")
        return connection

    monkeypatch.setattr(room.sqlite3, "connect", connect_to_full_disk)
    with pytest.raises(BadStore, match="the disk is full; nothing was changed"):
        store.keep_setting("long", "x" * 1_000_000)
    store.keep_answer("route", "q", "y" * 1_000_000, "b", NOON)
    found = store.find_answer("route", "q")
    assert found is not None
    assert found.text == "kept"


def test_a_read_only_folder_is_read_and_never_fails_a_cache(open_folder: Path) -> None:
    """Kept answers are found, a new one is passed over, a setting is refused with the reason."""
    with open_store(open_folder) as made:
        made.keep_answer("route", "q", "kept", "a", NOON)
    (open_folder / "tripkit.sqlite").chmod(0o444)
    open_folder.chmod(0o555)
    with as_nobody(), open_store(open_folder) as reader:
        found = reader.find_answer("route", "q")
        assert found is not None
        assert found.text == "kept"
        reader.keep_answer("route", "other", "new", "b", NOON)
        assert reader.find_answer("route", "other") is None
        with pytest.raises(BadStore, match="read-only"):
            reader.keep_setting("a", "b")


def test_a_read_only_folder_without_a_store_keeps_nothing(open_folder: Path) -> None:
    """No file is made, nothing fails but what must be kept."""
    open_folder.chmod(0o555)
    with as_nobody(), open_store(open_folder) as store:
        store.keep_answer("route", "q", "new", "b", NOON)
        assert store.find_answer("route", "q") is None
        with pytest.raises(BadStore, match="cannot be used"):
            store.keep_setting("a", "b")


def test_a_second_writer_waits_and_is_told(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """While another program writes, the store says so instead of mixing."""
    monkeypatch.setattr(room, "WAIT_SECONDS", 0.05)
    other = sqlite3.connect(store.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with open_store(store.path.parent) as second, pytest.raises(BadStore, match="another program"):
        second.keep_setting("a", "b")
    other.execute("ROLLBACK")
    other.close()


def test_a_store_that_is_replaced_is_opened_again(store: Store, tmp_path: Path) -> None:
    """A copy that was put back is what is read from then on."""
    assert store.find_answer("route", "q") is not None
    other = tmp_path / "other"
    other.mkdir()
    with open_store(other) as fresh:
        fresh.keep_setting("a", "b")
    for mark in ("-wal", "-shm"):
        Path(f"{store.path}{mark}").unlink(missing_ok=True)
    (other / "tripkit.sqlite").replace(store.path)
    assert store.find_answer("route", "q") is None
    assert store.read_shelf().settings == {"a": "b"}


def test_a_pipe_of_that_name_is_not_waited_on(tmp_path: Path) -> None:
    """A store is a plain file; anything else is said at once."""
    os.mkfifo(tmp_path / "tripkit.sqlite")
    with pytest.raises(BadStore, match="is no file"):
        open_store(tmp_path).find_current()
