"""The bytes that are served: written from what the store keeps, without a yard or a circuit."""

from __future__ import annotations

import gzip
import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime
from ipaddress import ip_address
from urllib.parse import SplitResult, urlsplit

from tripkit.publishing.contents import dump_head, load_head, load_shown
from tripkit.publishing.events import CANCELLED, FeedEvent
from tripkit.publishing.readers import Reader
from tripkit.publishing.write import FeedHead, write_calendar
from tripkit.store import KeptEvent, KeptFeed, Shelf, Store, Who
from tripkit.words.telling import Teller
from tripkit.yard.errors import BadValue, OutOfDate
from tripkit.yard.facts import state

CANCELLED_DAYS = 30
ADDRESS_SETTING = "address"
TRIES = 3
PLAIN_ADDRESS = re.compile(r"https?://[A-Za-z0-9._:\[\]-]+(?:/[A-Za-z0-9._~-]+)*/?")


def refresh_feeds(store: Store, now: datetime) -> bool:
    """The published feeds are written again from what is kept; answers whether any changed.

    Needed when reminders are switched, when the address of the server changes, and once a day,
    so that what was cancelled goes after 30 days. No yard is read and nothing is planned.
    Raises `BadStore`.
    """
    for attempt in range(TRIES):
        shelf = store.read_shelf()
        if shelf.current.published is None:
            return False
        heads = {
            who: (load_head(feed.head, Reader(*who)), feed.published)
            for who, feed in shelf.feeds.items()
        }
        moment = now.astimezone(UTC).replace(microsecond=0)
        feeds = write_kept_feeds(shelf, heads, shelf.events, moment)
        if {feed.who: feed for feed in feeds} == shelf.feeds:
            return False
        try:
            store.keep_feeds(shelf, feeds)
        except OutOfDate:
            if attempt + 1 == TRIES:
                raise
            continue
        return True
    return False


def normalise_address(address: str) -> str:
    """The address of a server ends with a slash.

    Raises `BadValue` for what is no plain http or https address.

    >>> normalise_address("https://yard.example/stable")
    'https://yard.example/stable/'
    """
    try:
        parts = urlsplit(address)
        port, host = parts.port, parts.hostname
    except ValueError:
        parts, port, host = SplitResult("", "", "", "", ""), None, None
    if (
        parts.scheme not in ("http", "https")
        or not host
        or port == 0
        or not PLAIN_ADDRESS.fullmatch(address)
    ):
        raise BadValue(state("values.no-address-such-as-httpsyardexamplestable", address=address))
    return address.rstrip("/") + "/"


def is_public(address: str) -> bool:
    """Whether an address may be reached from other machines; an empty one is not known."""
    host = urlsplit(address).hostname or "localhost"
    if host == "localhost":
        return False
    try:
        return not ip_address(host).is_loopback
    except ValueError:
        return True


def is_shown(event: KeptEvent, today: date) -> bool:
    """What stands is shown until it is archived, and what was cancelled for 30 days more."""
    if event.cancelled is not None:
        return (today - event.cancelled).days <= CANCELLED_DAYS
    return not event.archived


def write_kept_feeds(
    shelf: Shelf,
    heads: Mapping[Who, tuple[FeedHead, datetime]],
    kept: Iterable[KeptEvent],
    now: datetime,
) -> list[KeptFeed]:
    """The bytes of every feed; a feed that did not change keeps the time of its last change.

    Each head comes with the publishing in which it or the events under it last changed.
    """
    by_reader: dict[Who, list[KeptEvent]] = {who: [] for who in heads}
    for event in kept:
        if event.who in heads and is_shown(event, now.date()):
            by_reader[event.who].append(event)
    base = shelf.settings.get(ADDRESS_SETTING, "")
    written = []
    for who, (head, published) in heads.items():
        address = shelf.addresses.get(who)
        body = write_calendar(
            head,
            [_show(event, head.teller) for event in by_reader[who]],
            stamp=published,
            stamps={event.uid: event.changed for event in by_reader[who]},
            sequences={event.uid: event.sequence for event in by_reader[who]},
            alarms=address is None or address.alarms,
            address=base if is_public(base) else "",
        )
        before = shelf.feeds.get(who)
        if before is None or before.body != body or before.head != dump_head(head):
            before = _pack(who, head, body, now, published)
        written.append(before)
    return written


def _show(kept: KeptEvent, teller: Teller) -> FeedEvent:
    shown = load_shown(kept, teller)
    return shown.event if shown.stands else replace(shown.event, status=CANCELLED)


def _pack(who: Who, head: FeedHead, body: bytes, now: datetime, published: datetime) -> KeptFeed:
    packed = gzip.compress(body, 6, mtime=0)
    return KeptFeed(who, dump_head(head), body, packed, make_etag(body), now, published)


def make_etag(body: bytes) -> str:
    """A name of exactly these bytes, without the quotes of the header."""
    return hashlib.sha256(body).hexdigest()[:32]
