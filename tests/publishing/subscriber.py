"""What a subscriber's calendar program keeps, and what it may never see: handbook, Calendars.

An event that has ended changes in nothing; one under way keeps UID and start and stays; no UID
stands twice, no event is told under two; what falls away is shown as cancelled for 30 days before
it leaves; SEQUENCE rises with time, place and status and with nothing else.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from tests.publishing.hand_season import NEW_YORK, read


@dataclass(frozen=True)
class Seen:
    """One event as a calendar program keeps it."""

    start: date
    end: date
    status: str
    place: str
    sequence: int
    stamp: datetime
    text: tuple[str, str]

    @property
    def core(self) -> tuple[object, ...]:
        """Time, place and status: what SEQUENCE counts."""
        return (self.start, self.end, self.status, self.place)

    def is_over(self, now: datetime, today: date) -> bool:
        """Whether it ended, by the clock or by the yard's day. The clock never shows the night
        here, so that the day is the same at home and at the shows."""
        if isinstance(self.end, datetime):
            return self.end <= now or self.end.date() < today
        return self.end <= max(today, now.astimezone(ZoneInfo(NEW_YORK)).date())

    def has_begun(self, now: datetime, today: date) -> bool:
        """Whether it began, by the clock or by the yard's day."""
        if isinstance(self.start, datetime):
            return self.start <= now or self.start.date() < today
        return self.start <= max(today, now.astimezone(ZoneInfo(NEW_YORK)).date())


def read_feed(body: bytes) -> dict[str, Seen]:
    """The events of a calendar by UID; no UID may stand twice."""
    calendar = read(body)
    assert calendar.subcomponents, "RFC 5545 section 3.6: at least one component"
    events = {
        str(event["UID"]): Seen(
            event["DTSTART"].dt,
            event["DTEND"].dt,
            str(event["STATUS"]),
            str(event.get("LOCATION", "")),
            int(event["SEQUENCE"]),
            event["DTSTAMP"].dt,
            (str(event["SUMMARY"]), str(event.get("DESCRIPTION", ""))),
        )
        for event in calendar.events
    }
    assert len(events) == len(calendar.events), "a UID stands twice"
    assert all(e["DTSTAMP"].dt == e["LAST-MODIFIED"].dt for e in calendar.events)
    return events


class Subscriber:
    """Somebody's calendar program: it fetches, and keeps events by UID."""

    def __init__(self) -> None:
        self.body = b""
        self.events: dict[str, Seen] = {}
        self.cancelled: dict[str, date] = {}
        self.gone: dict[str, Seen] = {}

    def fetch(self, body: bytes, now: datetime, today: date) -> None:
        """What is served now, held against what was served before."""
        new = self.events if body == self.body else read_feed(body)
        self.body = body
        for uid, old in self.events.items():
            self._compare(uid, old, new.get(uid), now, today)
        for uid, event in new.items():
            if uid not in self.events and uid in self.gone:
                assert event.sequence > self.gone[uid].sequence, event
            if event.status != "CANCELLED":
                self.cancelled.pop(uid, None)
            else:
                self.cancelled.setdefault(uid, now.date())
                assert (now.date() - self.cancelled[uid]).days <= 30, event
        standing = Counter(
            (event.text[0], event.start, event.end, event.place)
            for event in new.values()
            if event.status != "CANCELLED"
        )
        assert max(standing.values(), default=1) == 1, standing.most_common(1)
        self.events = new

    def _compare(self, uid: str, old: Seen, event: Seen | None, now: datetime, today: date) -> None:
        if old.status == "CANCELLED":
            if event is None:
                assert (now.date() - self.cancelled[uid]).days > 30, old
                self.gone[uid] = old
                return
        elif old.is_over(now, today):
            assert event == old, (old, event)
        elif old.has_begun(now, today):
            assert event is not None, old
            assert (event.start, event.status != "CANCELLED") == (old.start, True), (old, event)
        assert event is not None, old
        assert (event.sequence > old.sequence) == (old.core != event.core), (old, event)
        assert event.sequence >= old.sequence, (old, event)
        assert (event.stamp > old.stamp) == (replace(event, stamp=old.stamp) != old), (old, event)
