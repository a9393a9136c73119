"""What the server does for the store besides answering: its own address, and cancelled events.

Beside the server's loop, in a thread of its own: writing calendars takes a while.
"""

from __future__ import annotations

import logging
import threading
from datetime import UTC, datetime

from tripkit.publishing.addresses import keep_server_address
from tripkit.publishing.served import ADDRESS_SETTING, is_public, refresh_feeds
from tripkit.store import Store, open_store
from tripkit.yard.errors import TripkitError

LOOK_EVERY_SECONDS = 2.0
REFRESH_EVERY_SECONDS = 3600.0

_log = logging.getLogger("tripkit.serve")


class Upkeep:
    """Keeps where the server is reached, and once an hour drops what was cancelled long ago.

    `told`: somebody said where the server is reached. A server for this machine only never
    takes the place of an address that people were given.
    """

    def __init__(self, store: Store, address: str, *, told: bool) -> None:
        # A connection of its own: the loop must never wait for this thread.
        self._store = open_store(store.path.parent)
        self._address = address
        self._told = told
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name="tripkit upkeep", daemon=True)

    def start(self) -> None:
        """The work begins."""
        self._thread.start()

    def stop(self) -> None:
        """The work ends with what it is at."""
        self._ended.set()
        self._thread.join(timeout=10)
        self._store.close()

    def look_after(self, now: datetime) -> None:
        """The address is kept, so that the first publishing has it, and the feeds are refreshed.

        Raises `BadStore`.
        """
        settings = self._store.read_shelf(with_events=False).settings
        kept = settings.get(ADDRESS_SETTING, "")
        if kept != self._address and (self._told or not is_public(kept)):
            keep_server_address(self._store, self._address, now)
        else:
            refresh_feeds(self._store, now)

    def _run(self) -> None:
        revision, waited = -1, 0.0
        complaint = ""
        while True:
            holds = 0
            try:
                holds = self._store.find_current().revision
                if holds != revision or waited >= REFRESH_EVERY_SECONDS:
                    self.look_after(datetime.now(UTC))
                    revision, waited = holds, 0.0
                complaint = ""
            except TripkitError as error:
                # Where nothing is published, a folder that nobody writes in is no fault.
                if holds and str(error) != complaint:
                    complaint = str(error)
                    _log.error("%s", error)
            waited += LOOK_EVERY_SECONDS
            if self._ended.wait(LOOK_EVERY_SECONDS):
                return
