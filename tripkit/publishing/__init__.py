"""Calendars that people subscribe to: one feed per horse, owner, rider, groom, driver, vet, yard.

`readers` says who there is, `events` what each of them sees, `words` how it is said, `alarms` when
it rings, `zones` what local time means, `write` how it becomes an iCalendar file. `publish` makes a
circuit the one that is shown, `matching` says which of its events is which of those shown before,
`changes` tells what that changed, `served` writes what is served from the store, `addresses` are
the secret links, `export` the files for a web host. The only room that lets in icalendar for
writing, and segno. No clock is asked: the same yard, circuit and moment give the same bytes.
Never imports the planner, the page or the server.
"""

from tripkit.publishing.addresses import (
    FeedAddress,
    keep_server_address,
    list_addresses,
    renew_addresses,
    revoke_addresses,
    switch_alarms,
)
from tripkit.publishing.changes import Change, ReaderChanges
from tripkit.publishing.events import FeedEvent, list_events
from tripkit.publishing.export import export_feeds
from tripkit.publishing.publish import Publishing, list_last_changes, list_outdated, publish
from tripkit.publishing.readers import READER_KINDS, Reader, list_readers
from tripkit.publishing.served import refresh_feeds
from tripkit.publishing.write import name_file, write_events, write_feed, write_feeds

__all__ = [
    "READER_KINDS",
    "Change",
    "FeedAddress",
    "FeedEvent",
    "Publishing",
    "Reader",
    "ReaderChanges",
    "export_feeds",
    "keep_server_address",
    "list_addresses",
    "list_events",
    "list_last_changes",
    "list_outdated",
    "list_readers",
    "name_file",
    "publish",
    "refresh_feeds",
    "renew_addresses",
    "revoke_addresses",
    "switch_alarms",
    "write_events",
    "write_feed",
    "write_feeds",
]
