"""A feed's events and head as the store keeps them: JSON text and what is known of it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from tripkit.publishing.events import FeedEvent
from tripkit.publishing.readers import Reader
from tripkit.publishing.write import FeedHead
from tripkit.store import KeptEvent


@dataclass(frozen=True)
class Shown:
    """One event as a reader was shown it, and as it is kept."""

    kept: KeptEvent
    event: FeedEvent

    @property
    def stands(self) -> bool:
        """Whether it was not cancelled."""
        return self.kept.cancelled is None

    @property
    def end_day(self) -> date:
        """The day on which it ends, in its own time zone."""
        end = self.event.end
        return end.date() if isinstance(end, datetime) else end


def load_shown(kept: KeptEvent) -> Shown:
    """What the store keeps of an event, read."""
    return Shown(kept, load_event(kept.content, Reader(*kept.who)))


def dump_event(event: FeedEvent) -> str:
    """One event as JSON text, without its reader; a time as its moment in UTC and its zone.

    Names in it are changed by `files.renamed` when the yard corrects one.
    """
    written: dict[str, Any] = {
        "yard": event.yard,
        "kind": event.kind,
        "subject": event.subject,
        "topic": event.topic,
        "number": event.number,
        "summary": event.summary,
        "description": event.description,
        "start": _dump_time(event.start),
        "end": _dump_time(event.end),
        "location": event.location,
        "geo": event.geo,
        "status": event.status,
        "zone": event.zone,
    }
    if event.first_names:
        written["first_names"] = event.first_names
    return json.dumps(written)


def load_event(text: str, reader: Reader) -> FeedEvent:
    """The event that `dump_event` wrote."""
    fields: dict[str, Any] = json.loads(text)
    fields["start"], fields["end"] = _load_time(fields["start"]), _load_time(fields["end"])
    fields["geo"] = tuple(fields["geo"]) if fields["geo"] else None
    fields["first_names"] = tuple(fields.get("first_names", ()))
    return FeedEvent(reader=reader, **fields)


def dump_head(head: FeedHead) -> str:
    """The head of a calendar as JSON text, without its reader."""
    return json.dumps({"yard": head.yard, "title": head.title, "about": head.about})


def load_head(text: str, reader: Reader) -> FeedHead:
    """The head that `dump_head` wrote."""
    return FeedHead(reader=reader, **json.loads(text))


def _dump_time(moment: date) -> list[str]:
    if isinstance(moment, datetime):
        zone = moment.tzinfo
        name = zone.key if isinstance(zone, ZoneInfo) else "UTC"
        return [moment.astimezone(UTC).isoformat(), name]
    return [moment.isoformat()]


def _load_time(written: list[str]) -> date:
    if len(written) == 1:
        return date.fromisoformat(written[0])
    return datetime.fromisoformat(written[0]).astimezone(ZoneInfo(written[1]))
