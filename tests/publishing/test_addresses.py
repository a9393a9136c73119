"""Addresses: secret, made, renewed and revoked, shown as links and as a QR code."""

from __future__ import annotations

import base64
import re
from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.publishing.hand_season import make_season_circuit, make_season_yard
from tripkit.publishing import (
    FeedAddress,
    Reader,
    keep_server_address,
    list_addresses,
    publish,
    renew_addresses,
    revoke_addresses,
    switch_alarms,
)
from tripkit.publishing.addresses import draw_qr
from tripkit.store import Store, open_store
from tripkit.yard.errors import BadValue

NOW = datetime(2027, 2, 10, 9, 30, tzinfo=UTC)
YARD = make_season_yard()


@pytest.fixture
def store(tmp_path: Path) -> Store:
    store = open_store(tmp_path)
    publish(YARD, make_season_circuit(), store, NOW)
    return store


def find(store: Store, kind: str, name: str) -> FeedAddress:
    """One reader's address."""
    return next(a for a in list_addresses(store) if a.reader == Reader(kind, name))


def test_a_secret_has_at_least_128_bits_and_no_two_are_alike(store: Store) -> None:
    """Common practice, no source: at least 128 random bits in each address."""
    tokens = [a.token for a in store.read_shelf().addresses.values()]
    assert len(set(tokens)) == len(tokens) == 11
    for token in tokens:
        assert len(base64.urlsafe_b64decode(token)) * 8 >= 128


def test_a_link_is_shown_in_two_ways(store: Store) -> None:
    """http for any program, webcal for a phone, both under the server's address."""
    keep_server_address(store, "https://yard.example/stable", NOW)
    address = find(store, "owner", "Olga")
    token = store.read_shelf().addresses["owner", "Olga"].token
    assert address.link == f"https://yard.example/stable/feeds/{token}.ics"
    assert address.webcal == f"webcal://yard.example/stable/feeds/{token}.ics"
    assert token not in repr(address)


@pytest.mark.parametrize(
    "address",
    [
        "yard.example",
        "ftp://yard.example/",
        "https://",
        "https://yard.example/?a=b",
        "https://yard.example/#a",
        "https://yard.example:x/",
        "https://user@yard.example/",
        'https://yard.example/"><script>',
        "https://yard.example/a b",
        "https://[::1",
    ],
)
def test_what_is_no_address_of_a_server_is_refused(store: Store, address: str) -> None:
    """Links are put together from it, and written into files and pages."""
    with pytest.raises(BadValue, match="no address such as"):
        keep_server_address(store, address, NOW)


def test_renewing_makes_another_secret_and_leaves_the_others(store: Store) -> None:
    """Olga's old address is gone, Otto's stays; reminders stay as they were switched."""
    switch_alarms(store, "Olga", False, NOW)
    before = {a.reader: a.link for a in list_addresses(store)}
    (renewed,) = renew_addresses(store, "Olga", NOW)
    after = {a.reader: a.link for a in list_addresses(store)}
    assert {reader for reader in before if before[reader] != after[reader]} == {
        Reader("owner", "Olga")
    }
    assert (renewed.link, renewed.alarms) == (after[Reader("owner", "Olga")], False)


def test_a_revoked_address_stays_revoked_until_it_is_renewed(store: Store) -> None:
    """The next publishing does not bring it back."""
    (revoked,) = revoke_addresses(store, "owner Olga", NOW)
    assert revoked.is_revoked
    assert revoked.draw_qr() == ""
    publish(YARD, make_season_circuit(), store, NOW)
    assert find(store, "owner", "Olga").is_revoked
    renew_addresses(store, "owner Olga", NOW)
    assert not find(store, "owner", "Olga").is_revoked


def test_a_name_nobody_bears_is_refused(store: Store, tmp_path: Path) -> None:
    """With the name that may have been meant; before a publishing there are no addresses."""
    with pytest.raises(BadValue, match=r"'Olgo' has no calendar.*Olga"):
        renew_addresses(store, "Olgo", NOW)
    with pytest.raises(BadValue, match="nothing is published"):
        renew_addresses(open_store(tmp_path / "new"), "Olga", NOW)


def test_reminders_are_switched_per_feed(store: Store) -> None:
    """Olga's feed rings no more, Otto's does."""
    switch_alarms(store, "Olga", False, NOW)
    feeds = store.read_shelf().feeds
    assert b"BEGIN:VALARM" not in feeds["owner", "Olga"].body
    assert b"BEGIN:VALARM" in feeds["owner", "Otto"].body
    switch_alarms(store, "Olga", True, NOW)
    assert b"BEGIN:VALARM" in store.read_shelf().feeds["owner", "Olga"].body


def test_events_lead_to_the_horse_s_page_where_the_server_is_known(store: Store) -> None:
    """RFC 5545 section 3.8.4.6 URL; none while the server is known to this machine only."""
    assert b"URL:" not in store.read_shelf().feeds["horse", "Alder"].body
    keep_server_address(store, "http://127.0.0.1:9000/", NOW)
    assert b"URL:" not in store.read_shelf().feeds["horse", "Alder"].body
    keep_server_address(store, "https://yard.example/stable/", NOW)
    body = store.read_shelf().feeds["horse", "Alder"].body
    assert b"URL:https://yard.example/stable/#horse=Alder\r\n" in body


def test_a_qr_code_is_a_drawing_of_squares_only() -> None:
    """SVG that an XML reader takes, black on white, nothing of the text in its source."""
    text = 'webcal://yard.example/feeds/"><script>.ics'
    drawn = draw_qr(text)
    root = ElementTree.fromstring(drawn)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert "script" not in drawn
    names = {child.tag.rpartition("}")[2] for child in root.iter()}
    assert names <= {"svg", "path", "title", "desc"}
    assert re.search(r'viewBox="0 0 \d+ \d+"', drawn)


def test_the_published_sample_gives_no_owner_anything_of_another(tmp_path: Path) -> None:
    """Over the whole sample yard: no other owner's name, no horse of others, no fee but his own.

    The circuit puts every horse on the road with every other, so that lorries are shared.
    """
    import tripkit
    from tests.publishing.sample_season import make_crowded_circuit

    yard = tripkit.read_yard(Path(__file__).resolve().parents[2] / "sample_calendar")
    circuit = make_crowded_circuit(yard)
    store = open_store(tmp_path)
    publish(yard, circuit, store, NOW)
    feeds = store.read_shelf().feeds
    for owner in yard.owners:
        text = feeds["owner", owner].body.replace(b"\r\n ", b"").decode()
        own = {s.horse for s in yard.shares if s.owner == owner}
        assert all(horse in text for horse in own)
        people = {p.person for p in yard.people if p.role in ("rider", "driver", "groom", "vet")}
        for other in (*yard.owners, *yard.horse_by_name):
            if other != owner and other not in own | people:
                assert not re.search(rf"\b{re.escape(other)}\b", text), (owner, other)
        shared = {h for h in own if len(yard.shares_of(h)) > 1}
        for block in text.split("BEGIN:VEVENT")[1:]:
            if any(f"SUMMARY:{horse}:" in block for horse in shared):
                assert "Fees:" not in block.replace("Your share of the fees:", "")
