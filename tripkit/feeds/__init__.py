"""Calendars that people subscribe to: one feed per horse, owner, rider, groom, driver, vet, yard.

`readers` says who there is, `events` what each of them sees, `words` how it is said, `zones`
what local time means, `write` how it becomes an iCalendar file. The only room that lets in
icalendar for writing. No clock is asked: the same yard and circuit give the same bytes.
"""

from tripkit.feeds.events import FeedEvent, list_events
from tripkit.feeds.readers import READER_KINDS, Reader, list_readers
from tripkit.feeds.write import name_file, write_events, write_feed, write_feeds

__all__ = [
    "READER_KINDS",
    "FeedEvent",
    "Reader",
    "list_events",
    "list_readers",
    "name_file",
    "write_events",
    "write_feed",
    "write_feeds",
]
