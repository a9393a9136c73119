"""What a feed's address answers, and what every other address does.

Status codes and conditions by RFC 9110: 13.1.2 If-None-Match, 13.1.3 If-Modified-Since, 15.4.5
304, 9.3.2 HEAD, 12.5.3 Accept-Encoding; 429 and Retry-After by RFC 6585 section 4.
"""

from __future__ import annotations

import gzip
import logging
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime
from pathlib import Path

import pytest

from tests.publishing.hand_season import make_season_circuit, make_season_yard, move_second_show
from tests.serve.listening import ask, find_token, serve_feeds
from tripkit.publishing import publish, renew_addresses, revoke_addresses
from tripkit.serve import shelf as room
from tripkit.serve.shelf import BURST, FeedBook
from tripkit.store import Store, open_store
from tripkit.yard.errors import BadStore

NOW = datetime(2027, 2, 10, 9, 30, tzinfo=UTC)
YARD = make_season_yard()
CIRCUIT = make_season_circuit()


class Clock:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path) as made:
        publish(YARD, CIRCUIT, made, NOW)
        yield made


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def book(store: Store, clock: Clock) -> Iterator[FeedBook]:
    with open_store(store.path.parent) as own:
        book = FeedBook(own, clock)
        book.read()
        yield book


@pytest.fixture
def port(book: FeedBook) -> Iterator[int]:
    with serve_feeds(book) as port:
        yield port


@pytest.fixture
def path(store: Store) -> str:
    return f"/feeds/{find_token(store)}.ics"


def read_body(store: Store) -> bytes:
    return store.read_shelf().feeds["horse", "Alder"].body


def test_a_secret_address_answers_with_the_feed(port: int, path: str, store: Store) -> None:
    """The kept bytes, their type, and headers that keep the address to its reader."""
    status, headers, body = ask(port, path)
    assert (status, body) == (200, read_body(store))
    assert headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert headers["Cache-Control"].startswith("private")
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert headers["Last-Modified"] == "Wed, 10 Feb 2027 09:30:00 GMT"
    assert headers["Etag"].startswith('"')
    assert headers["Vary"] == "Accept-Encoding"
    assert "Server" not in headers
    assert int(headers["Content-Length"]) == len(body)


def test_head_says_the_same_without_the_feed(port: int, path: str) -> None:
    """All headers of GET, the length included, and no body."""
    _, expected, _ = ask(port, path)
    status, headers, body = ask(port, path, "HEAD")
    assert (status, body) == (200, b"")
    for name in ("Content-Length", "Content-Type", "Etag", "Last-Modified", "Cache-Control"):
        assert headers[name] == expected[name]


@pytest.mark.parametrize("method", ["GET", "HEAD"])
@pytest.mark.parametrize("shape", ["{0}", "W/{0}", '"other", {0}', "*"])
def test_who_has_the_bytes_is_told_so(port: int, path: str, method: str, shape: str) -> None:
    """If-None-Match compares weakly, takes lists, and `*` is anything."""
    etag = ask(port, path)[1]["Etag"]
    status, headers, body = ask(port, path, method, If_None_Match=shape.format(etag))
    assert (status, body) == (304, b"")
    assert headers["Etag"] == etag
    assert "Content-Type" not in headers


@pytest.mark.parametrize(("seconds", "status"), [(-1, 200), (0, 304), (1, 304), (365 * 86400, 304)])
def test_who_asks_since_when_is_told_whether_it_changed(
    port: int, path: str, seconds: int, status: int
) -> None:
    """Changed at 09:30:00: not since then or later, but since a second before."""
    since = format_datetime(NOW + timedelta(seconds=seconds), usegmt=True)
    assert ask(port, path, If_Modified_Since=since)[0] == status
    # Where both are sent, the entity tag decides.
    assert ask(port, path, If_Modified_Since=since, If_None_Match='"other"')[0] == 200


@pytest.mark.parametrize("since", ["yesterday", "", "Wed, 99 Feb 2027 09:30:00 GMT"])
def test_a_date_that_is_none_is_passed_over(port: int, path: str, since: str) -> None:
    """RFC 9110 section 13.1.3: a recipient must ignore a value that is no date."""
    assert ask(port, path, If_Modified_Since=since)[0] == 200


def test_gzip_is_sent_to_those_who_take_it(port: int, path: str, store: Store) -> None:
    """The same feed packed once, under an entity tag of its own, which answers 304 as well."""
    plain = ask(port, path)[1]["Etag"]
    status, headers, body = ask(port, path, Accept_Encoding="deflate, gzip;q=0.5")
    assert (status, headers["Content-Encoding"]) == (200, "gzip")
    assert gzip.decompress(body) == read_body(store)
    assert headers["Etag"] != plain
    assert headers["Vary"] == "Accept-Encoding"
    again = ask(port, path, Accept_Encoding="gzip", If_None_Match=headers["Etag"])
    assert again[0] == 304


@pytest.mark.parametrize("accepted", ["", "identity", "gzip;q=0", "br, gzip; q=0.0", "gzip;q=x"])
def test_gzip_is_not_sent_to_those_who_refuse_it(port: int, path: str, accepted: str) -> None:
    """A weight of zero is a refusal."""
    status, headers, body = ask(port, path, Accept_Encoding=accepted)
    assert (status, headers["Content-Encoding"]) == (200, None)
    assert body.startswith(b"BEGIN:VCALENDAR")


def test_any_other_address_is_not_found(port: int, path: str) -> None:
    """Wrong, shortened, lengthened, turned and tricky paths; no listing; one answer for all."""
    token = path.removeprefix("/feeds/").removesuffix(".ics")
    encoded = "".join(f"%{ord(c):02x}" for c in token)
    wrong = [
        "/feeds",
        "/feeds/",
        "/feeds/.ics",
        "/feeds/index.html",
        "/feeds/tripkit.sqlite",
        f"/feeds/{token}",
        f"/feeds/{token}.ICS",
        f"/feeds/{token}.ics/",
        f"/feeds/{token[:-1]}.ics",
        f"/feeds/{token}a.ics",
        f"/feeds/{token.swapcase()}.ics",
        f"/feeds/{token[::-1]}.ics",
        f"/feeds//{token}.ics",
        f"/feeds/./{token}.ics",
        f"/feeds/../feeds/{token}.ics",
        f"/feeds/x/../{token}.ics",
        f"/feeds/%2e%2e/feeds/{token}.ics",
        f"/feeds/{encoded}.ics",
        f"/feeds/{token}.ics%00",
        f"/feeds/{token}%00.ics",
        f"/feeds/%00{token}.ics",
        "/feeds/%00",
        "/feeds/%ff%fe.ics",
        "/feeds/%zz.ics",
        f"/feeds/..%2f{token}.ics",
        f"/feeds/..%5c{token}.ics",
        f"/feeds/{token};a=b.ics",
        "/feeds/" + "x" * 5000 + ".ics",
        "/feeds/" + "-" * 32 + ".ics",
    ]
    answers = {ask(port, address)[0::2] for address in wrong}
    assert answers == {(404, b"Not found.\n")}
    assert ask(port, path)[0] == 200


def test_only_get_and_head_are_answered(port: int, path: str) -> None:
    """405 for a known and an unknown address alike."""
    for method in ("POST", "PUT", "DELETE", "OPTIONS"):
        for address in (path, "/feeds/wrong.ics"):
            assert ask(port, address, method, Content_Length="0")[0] == 405


def test_renewed_and_revoked_addresses_are_not_found(
    port: int, path: str, store: Store, clock: Clock
) -> None:
    """The old address ends with the next look at the store, the new one begins."""
    renew_addresses(store, "Alder", NOW)
    clock.now += 1
    assert ask(port, path)[0] == 404
    renewed = f"/feeds/{find_token(store)}.ics"
    assert ask(port, renewed)[0] == 200
    revoke_addresses(store, "Alder", NOW)
    clock.now += 1
    assert ask(port, renewed)[0] == 404


def test_a_new_publishing_is_served_within_a_second(
    port: int, path: str, store: Store, clock: Clock
) -> None:
    """Another process published; the next look finds other bytes and another entity tag."""
    _, before, old = ask(port, path)
    publish(YARD, move_second_show(CIRCUIT, 7), store, NOW + timedelta(days=1))
    clock.now += 1
    status, after, new = ask(port, path, If_None_Match=before["Etag"])
    assert (status, new) == (200, read_body(store))
    assert new != old
    assert after["Last-Modified"] == "Thu, 11 Feb 2027 09:30:00 GMT"


def test_one_address_that_asks_too_often_has_to_wait(
    port: int, path: str, store: Store, clock: Clock
) -> None:
    """Sixty at once, then 429 with the time to wait; other addresses are not held up."""
    statuses = [ask(port, path)[0] for _ in range(int(BURST) + 2)]
    assert statuses == [200] * int(BURST) + [429, 429]
    status, headers, body = ask(port, path)
    assert (status, headers["Retry-After"]) == (429, "1")
    assert b"VCALENDAR" not in body
    other = f"/feeds/{find_token(store, 'owner', 'Olga')}.ics"
    assert ask(port, other)[0] == 200
    clock.now += 1
    # Ten a second come back.
    assert [ask(port, path)[0] for _ in range(11)] == [200] * 10 + [429]


def test_feeds_stand_under_the_base_path(book: FeedBook, path: str) -> None:
    """Behind a reverse proxy that passes /stable/ on, nothing is found without it."""
    with serve_feeds(book, "/stable/") as port:
        assert ask(port, f"/stable{path}")[0] == 200
        assert ask(port, path)[0] == 404
        assert ask(port, f"/stable/stable{path}")[0] == 404


def test_no_secret_is_in_any_log(
    port: int, path: str, store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    """With every logger at its most talkative: answers, refusals, faults, none names a token."""
    caplog.set_level(logging.DEBUG)
    token = find_token(store)
    for address in (path, f"{path}/", f"/feeds/{token}", f"{path}?a=b"):
        for method in ("GET", "HEAD", "POST"):
            ask(port, address, method, Referer=f"http://127.0.0.1{path}")
    for _ in range(int(BURST)):
        ask(port, path)
    assert len(caplog.records) > 60
    assert token not in caplog.text
    assert token[:12] not in caplog.text


def test_a_fault_of_a_handler_tells_no_secret(
    port: int,
    path: str,
    book: FeedBook,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    """A 500 names the kind of fault in the log, and nothing in the answer."""

    def fail(token: bytes) -> None:
        raise KeyError(token)

    monkeypatch.setattr(book, "find", fail)
    status, _, body = ask(port, path)
    assert (status, body) == (500, b"No answer.\n")
    assert "KeyError" in caplog.text
    assert path.removeprefix("/feeds/")[:12] not in caplog.text


@pytest.mark.parametrize("fault", ["damaged", "newer", "gone"])
def test_feeds_go_on_from_the_last_good_state(
    port: int,
    path: str,
    store: Store,
    clock: Clock,
    fault: str,
    caplog: pytest.LogCaptureFixture,
) -> None:
    """The store is damaged, of a newer version or gone while the server runs; said once."""
    body = ask(port, path)[2]
    store.close()
    if fault == "damaged":
        for mark in ("-wal", "-shm"):
            Path(f"{store.path}{mark}").unlink(missing_ok=True)
        other = store.path.with_suffix(".bad")
        other.write_bytes(b"no database" * 1000)
        other.replace(store.path)
    elif fault == "gone":
        store.path.unlink()
    else:
        import sqlite3

        connection = sqlite3.connect(store.path)
        connection.execute("PRAGMA user_version = 9")
        connection.commit()
        connection.close()
    for _ in range(3):
        clock.now += 1
        assert ask(port, path)[0::2] == (200, body)
    said = [r.getMessage() for r in caplog.records if "as they were last read" in r.getMessage()]
    assert len(said) == 1


def test_a_server_does_not_start_upon_a_damaged_store(store: Store) -> None:
    """There is no last good state yet, so the error is told."""
    store.close()
    store.path.write_bytes(b"no database" * 1000)
    with pytest.raises(BadStore, match="damaged"):
        FeedBook(open_store(store.path.parent)).read()


def test_wrong_old_and_guessed_addresses_take_the_same_work(
    book: FeedBook, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One hash and one comparison in constant time for any address, the right one included.

    The times of whole requests are measured by `tests.bench.feeds`.
    """
    old = find_token(store)
    renew_addresses(store, "Alder", NOW)
    book.read()
    right = find_token(store)
    hashed: list[bytes] = []
    compared: list[bytes] = []

    def note_hash(token: bytes) -> bytes:
        hashed.append(token)
        return hash_token(token)

    def note_comparison(left: bytes, right: bytes) -> bool:
        compared.append(right)
        return compare(left, right)

    hash_token, compare = room._hash, room.hmac.compare_digest
    monkeypatch.setattr(room, "_hash", note_hash)
    monkeypatch.setattr(room.hmac, "compare_digest", note_comparison)
    asked = [t.encode() for t in (right, old, right[:-1] + "x", "-" * 32, "", "x" * 5000)]
    assert [book.find(token) is not None for token in asked] == [True, *[False] * 5]
    assert hashed == compared == asked
