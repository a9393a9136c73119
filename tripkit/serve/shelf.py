"""What the server answers with, in memory: the bytes of every feed, as the store last had them.

The store is looked at once or twice a second at most. Where it cannot be read any more, what was
read last goes on being served.
"""

from __future__ import annotations

import hashlib
import hmac
import logging
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from tripkit.store import Store
from tripkit.yard.errors import BadStore
from tripkit.yard.facts import state

LOOK_EVERY_SECONDS = 0.5
BURST = 60.0
REFILL_PER_SECOND = 10.0

_log = logging.getLogger("tripkit.serve")


@dataclass(frozen=True)
class Page:
    """One feed as it goes out: plain and packed, each with a name of its bytes."""

    token: bytes = field(repr=False)
    body: bytes
    packed: bytes
    etag: str
    packed_etag: str
    modified: datetime


@dataclass
class Allowance:
    """How many answers one address may still have: 60 at once, 10 more every second.

    common practice, no source: a calendar program asks once an hour or less.
    """

    left: float = BURST
    since: float = 0.0
    burst: float = BURST
    refill_per_second: float = REFILL_PER_SECOND

    def take(self, now: float) -> float:
        """One answer is taken; answers the seconds to wait where none is left, else 0."""
        self.left = min(self.burst, self.left + (now - self.since) * self.refill_per_second)
        self.since = now
        if self.left < 1:
            return (1 - self.left) / self.refill_per_second
        self.left -= 1
        return 0.0


class FeedBook:
    """Every feed by its secret, read again when the store changed."""

    def __init__(self, store: Store, clock: Callable[[], float] = time.monotonic) -> None:
        self._store = store
        self._clock = clock
        self._pages: dict[bytes, Page] = {}
        self._allowances: dict[bytes, Allowance] = {}
        self._mark: tuple[int, ...] | None = None
        self._looked = float("-inf")
        self._complaint = ""

    def read(self) -> None:
        """The feeds are read from the store. Raises `BadStore`; what was read before is kept."""
        mark = self._store.find_mark()
        if mark == self._mark:
            return
        if self._mark and not mark:
            raise BadStore(state("values.is-gone", path=str(self._store.path)))
        shelf = self._store.read_shelf(with_events=False)
        pages = {}
        for who, address in shelf.addresses.items():
            feed = shelf.feeds.get(who)
            if feed is None or not address.token:
                continue
            token = address.token.encode()
            pages[_hash(token)] = Page(
                token,
                feed.body,
                feed.packed,
                f'"{feed.etag}"',
                f'"{feed.etag}-gz"',
                feed.modified,
            )
        self._pages = pages
        self._allowances = {
            key: self._allowances.get(key, Allowance(since=self._clock())) for key in pages
        }
        self._mark = mark

    def find(self, token: bytes) -> Page | None:
        """The feed of a secret, None for any other; the work is the same for both.

        The secrets themselves are compared in constant time, and only after their hashes, which
        say nothing of how near a guess was.
        """
        self._look()
        page = self._pages.get(_hash(token), NOBODY)
        same = hmac.compare_digest(page.token, token)
        return page if same and page is not NOBODY else None

    def take(self, page: Page) -> float:
        """One answer of an address is taken; answers the seconds to wait where there is none."""
        return self._allowances[_hash(page.token)].take(self._clock())

    def _look(self) -> None:
        now = self._clock()
        if now - self._looked < LOOK_EVERY_SECONDS:
            return
        self._looked = now
        try:
            self.read()
            self._complaint = ""
        except BadStore as error:
            # Said once, not twice a second.
            if str(error) != self._complaint:
                self._complaint = str(error)
                _log.error("feeds go on as they were last read: %s", error)


NOBODY = Page(b"-" * 32, b"", b"", "", "", datetime.min)


def _hash(token: bytes) -> bytes:
    return hashlib.sha256(token).digest()
