"""What the store keeps and gives back."""

from __future__ import annotations

import sqlite3
import stat
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from tests.build import tell_all
from tripkit.files.faults import Faults
from tripkit.files.folder import list_files, read_tables
from tripkit.store import Address, Answer, Current, KeptEvent, KeptFeed, Shelf, open_store
from tripkit.store.database import VERSION
from tripkit.yard.errors import BadValue, OutOfDate

NOON = datetime(2027, 3, 2, 12, tzinfo=UTC)


def make_feed(name: str = "Alder", body: bytes = b"BEGIN") -> KeptFeed:
    return KeptFeed(("horse", name), "{}", body, b"packed", "abc", NOON, NOON)


def test_an_answer_comes_back_as_it_was_kept(tmp_path: Path) -> None:
    """Text, source and moment; another kind or question is another answer."""
    with open_store(tmp_path) as store:
        assert store.find_answer("route", "home to Dothan") is None
        store.keep_answer("route", "home to Dothan", "412 km\n√", "a server", NOON)
        expected = Answer("412 km\n√", "a server", NOON)
        assert store.find_answer("route", "home to Dothan") == expected
        assert store.find_answer("place", "home to Dothan") is None
        assert store.find_answer("route", "Dothan to home") is None
    with open_store(tmp_path) as again:
        assert again.find_answer("route", "home to Dothan") == expected


def test_a_later_answer_takes_the_place_of_an_earlier(tmp_path: Path) -> None:
    """One question has one answer."""
    store = open_store(tmp_path)
    store.keep_answer("route", "q", "old", "a", NOON)
    store.keep_answer("route", "q", "new", "b", NOON + timedelta(days=1))
    assert store.find_answer("route", "q") == Answer("new", "b", NOON + timedelta(days=1))


def test_a_moment_is_the_same_moment_whatever_its_zone(tmp_path: Path) -> None:
    """07:00 at UTC-5 is noon UTC; a moment without a zone is refused."""
    store = open_store(tmp_path)
    store.keep_answer(
        "k", "q", "", "", datetime(2027, 3, 2, 7, tzinfo=timezone(timedelta(hours=-5)))
    )
    found = store.find_answer("k", "q")
    assert found is not None
    assert found.when == NOON
    with pytest.raises(BadValue, match="no time zone"):
        store.keep_answer("k", "q", "", "", datetime(2027, 3, 2, 7))


def test_looking_makes_no_file(tmp_path: Path) -> None:
    """A yard that keeps nothing has no store."""
    store = open_store(tmp_path)
    assert store.read_shelf() == Shelf()
    assert store.find_current() == Current()
    assert store.find_mark() == ()
    assert list(tmp_path.iterdir()) == []


def test_the_file_is_its_owner_s_only(tmp_path: Path) -> None:
    """It holds secret addresses: no bit for group or others, nor on the files beside it."""
    store = open_store(tmp_path)
    store.keep_setting("a", "b")
    files = list(tmp_path.iterdir())
    assert tmp_path / "tripkit.sqlite" in files
    assert all(stat.S_IMODE(path.stat().st_mode) & 0o077 == 0 for path in files)


def test_the_store_of_a_workbook_is_beside_it(tmp_path: Path) -> None:
    """An .xlsx yard has no folder of its own."""
    (tmp_path / "yard.xlsx").write_bytes(b"")
    assert open_store(tmp_path / "yard.xlsx").path == tmp_path / "tripkit.sqlite"


def test_the_store_is_no_unknown_file_of_the_yard(tmp_path: Path) -> None:
    """Reading a yard says nothing of it, nor of the files that SQLite keeps beside it."""
    store = open_store(tmp_path)
    store.keep_setting("a", "b")
    faults = Faults()
    found = read_tables(list_files(tmp_path, faults), faults)
    assert not [remark for remark in tell_all(found.remarks) if "sqlite" in remark]


def test_a_secret_is_not_printed() -> None:
    """An address in a log or a traceback shows no token."""
    assert "sesame" not in repr(Address(("horse", "Alder"), "sesame", NOON))


def test_a_publishing_is_all_there_at_once(tmp_path: Path) -> None:
    """Revision 1 after the first; feeds, addresses and circuit come back."""
    store = open_store(tmp_path)
    address = Address(("horse", "Alder"), "token", NOON)
    current = Current(0, NOON, "c", "{}", "[]")
    holds = store.keep_publishing(store.read_shelf(), current, (), [make_feed()], [address])
    assert holds.revision == 1
    shelf = open_store(tmp_path).read_shelf()
    assert shelf.current == Current(1, NOON, "c", "{}", "[]")
    assert shelf.feeds == {("horse", "Alder"): make_feed()}
    assert shelf.addresses == {("horse", "Alder"): address}


def test_of_two_who_publish_upon_the_same_the_second_is_told(tmp_path: Path) -> None:
    """Nothing of the second is kept; looking again lets it through."""
    left, right = open_store(tmp_path), open_store(tmp_path)
    seen_left, seen_right = left.read_shelf(), right.read_shelf()
    left.keep_publishing(seen_left, Current(0, NOON, "left"), (), [make_feed()], [])
    with pytest.raises(OutOfDate, match="somebody else published 'left'"):
        right.keep_publishing(seen_right, Current(0, NOON, "right"), (), [], [])
    assert right.find_current().circuit == "left"
    holds = right.keep_publishing(right.read_shelf(), Current(0, NOON, "right"), (), [], [])
    assert (holds.revision, left.find_current().circuit) == (2, "right")


def test_feeds_made_from_old_addresses_are_not_kept(tmp_path: Path) -> None:
    """Whoever switched reminders off meanwhile is not overruled."""
    store = open_store(tmp_path)
    store.keep_publishing(store.read_shelf(), Current(0, NOON, "c"), (), [make_feed()], [])
    seen = store.read_shelf()
    store.keep_addresses([Address(("horse", "Alder"), "token", NOON, alarms=False)])
    with pytest.raises(OutOfDate, match="addresses"):
        store.keep_feeds(seen, [make_feed(body=b"old")])


def test_the_mark_changes_with_every_change_of_another(tmp_path: Path) -> None:
    """What the server looks at twice a second."""
    server, kernel = open_store(tmp_path), open_store(tmp_path)
    kernel.keep_setting("a", "1")
    first = server.find_mark()
    assert first
    assert server.find_mark() == first
    kernel.keep_setting("a", "2")
    assert server.find_mark() != first


def test_ten_publishings_are_kept(tmp_path: Path) -> None:
    """The file does not grow for ever."""
    store = open_store(tmp_path)
    for _ in range(12):
        store.keep_publishing(store.read_shelf(), Current(0, NOON, "c"), (), [], [])
    store.close()
    connection = sqlite3.connect(tmp_path / "tripkit.sqlite")
    kept = [row[0] for row in connection.execute("SELECT revision FROM publishings ORDER BY 1")]
    connection.close()
    assert kept == list(range(3, 13))


OLD_STORE = """
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
INSERT INTO publishings VALUES (3, '2027-03-01T12:00:00+00:00', 'a', '{}', '[]');
INSERT INTO publishings VALUES (4, '2027-03-02T12:00:00+00:00', 'c', '{}', '[]');
INSERT INTO events VALUES ('horse', 'Alder', 'u', '{}', 2, NULL);
INSERT INTO feeds VALUES (
    'horse', 'Alder', '{}', x'424547494E', x'7061636B6564', 'abc', '2027-03-02T12:00:00+00:00'
);
PRAGMA user_version = 1;
"""
"""A store as the first version wrote it, with two publishings, one event and one feed."""


def test_a_store_of_the_first_version_is_read_and_brought_up(tmp_path: Path) -> None:
    """Of its events and feeds the last publishing is when they last changed.

    Reading leaves the file as it is; the next writing makes it one of this version.
    """
    connection = sqlite3.connect(tmp_path / "tripkit.sqlite")
    connection.executescript(OLD_STORE)
    connection.close()
    with open_store(tmp_path) as store:
        shelf = store.read_shelf()
        assert shelf.current.revision == 4
        assert shelf.events == (KeptEvent(("horse", "Alder"), "u", "{}", NOON, 2),)
        assert shelf.feeds == {("horse", "Alder"): make_feed()}
        assert find_version(tmp_path) == 1
        store.keep_setting("a", "b")
        assert find_version(tmp_path) == VERSION
        assert store.read_shelf() == replace(shelf, settings={"a": "b"})


def find_version(folder: Path) -> int:
    """The version that the file itself says."""
    connection = sqlite3.connect(folder / "tripkit.sqlite")
    version: int = connection.execute("PRAGMA user_version").fetchone()[0]
    connection.close()
    return version
