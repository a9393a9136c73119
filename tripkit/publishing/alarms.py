"""When a calendar rings: before a closing date, and on the evening before a departure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta

from tripkit.publishing.events import CANCELLED, DRIVES, FeedEvent
from tripkit.words.formats import ENGLISH
from tripkit.yard.facts import Value, state

CLOSING_DAYS = (7, 2)
MORNING_HOURS = 9
EVENING = time(19)


@dataclass(frozen=True)
class EventAlarm:
    """How long before the event's start it rings, what it says, and in which language."""

    before: timedelta
    words: str
    language: str = ENGLISH


def list_alarms(event: FeedEvent) -> tuple[EventAlarm, ...]:
    """A closing date rings 7 and 2 days ahead at 9:00, a departure at 19:00 on the evening before.

    Nothing rings for what is cancelled. A whole day starts at midnight of wherever the phone is,
    so that a closing date rings in the morning there.
    """
    if event.status == CANCELLED:
        return ()
    if event.kind == "closing":
        morning = timedelta(hours=MORNING_HOURS)
        return tuple(
            EventAlarm(timedelta(days=days) - morning, *_tell(event, "closing", days=days))
            for days in CLOSING_DAYS
        )
    if event.kind in DRIVES and isinstance(event.start, datetime):
        start = event.start
        evening = datetime.combine(start.date() - timedelta(days=1), EVENING, start.tzinfo)
        # The night may hold a clock change: its length counts in UTC.
        before = start.astimezone(UTC) - evening.astimezone(UTC)
        return (EventAlarm(before, *_tell(event, "drive", at=start.replace(tzinfo=None))),)
    return ()


def _tell(event: FeedEvent, kind: str, **values: Value) -> tuple[str, str]:
    rings = state(f"feeds.rings-{kind}", title=event.title, **values)
    return event.teller.tell(rings), event.teller.find_language(rings)
