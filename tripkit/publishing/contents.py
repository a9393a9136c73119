"""A feed's events and head as the store keeps them: JSON text and what is known of it."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from tripkit.files.facts import dump_value
from tripkit.publishing.events import FeedEvent
from tripkit.publishing.readers import Reader
from tripkit.publishing.write import FeedHead
from tripkit.store import KeptEvent
from tripkit.words.english import SENTENCES
from tripkit.words.telling import Teller, list_placeholders
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import Value, state

LOADERS: Mapping[str, Callable[[str], Any]] = {
    "moment": datetime.fromisoformat,
    "date": date.fromisoformat,
    "decimal": Decimal,
}
TOLD_BY = ("language", "country", "units", "currency")
"""What is kept of who tells a calendar."""


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


def load_shown(kept: KeptEvent, teller: Teller) -> Shown:
    """What the store keeps of an event, read, as it is told to its reader."""
    return Shown(kept, load_event(kept.content, Reader(*kept.who), teller))


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
        "title": dump_value(event.title),
        "lines": dump_value(event.lines),
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


def load_event(text: str, reader: Reader, teller: Teller) -> FeedEvent:
    """The event that `dump_event` wrote; one of an older edition is told as it was then."""
    fields: dict[str, Any] = json.loads(text)
    if "title" in fields:
        fields["title"], fields["lines"] = map(_load_value, (fields["title"], fields["lines"]))
    else:
        fields["title"], fields["lines"] = fields.pop("summary"), (fields.pop("description"),)
    fields["start"], fields["end"] = _load_time(fields["start"]), _load_time(fields["end"])
    fields["geo"] = tuple(fields["geo"]) if fields["geo"] else None
    fields["first_names"] = tuple(fields.get("first_names", ()))
    return FeedEvent(reader=reader, teller=teller, **fields)


def dump_head(head: FeedHead) -> str:
    """The head of a calendar as JSON text, without its reader."""
    written: dict[str, Any] = {
        "yard": head.yard,
        "title": dump_value(head.title),
        "about": dump_value(head.about),
    }
    teller = {name: getattr(head.teller, name) for name in TOLD_BY}
    return json.dumps({**written, "teller": teller, "season": dump_value(head.teller.season)})


def load_head(text: str, reader: Reader) -> FeedHead:
    """The head that `dump_head` wrote; one of an older edition was in English."""
    fields = json.loads(text)
    about = fields["about"]
    return FeedHead(
        fields["yard"],
        reader,
        _load_value(fields["title"]),
        (about,) if isinstance(about, str) else _load_value(about),
        Teller(
            **fields.get("teller", {}),
            dates="calendar",
            season=_load_value(fields.get("season")),
        ),
    )


def _load_value(written: Any) -> Any:
    """The value that `dump_value` wrote; what the store keeps nobody else has written."""
    if isinstance(written, list):
        return tuple(_load_value(one) for one in written)
    if not isinstance(written, dict):
        return written
    if "code" in written:
        values = {name: _load_value(value) for name, value in written["values"].items()}
        return _load_fact(written["code"], values)
    ((kind, value),) = written.items()
    if kind == "span":
        return DaySpan(*map(date.fromisoformat, value))
    return LOADERS[kind](value)


def _load_fact(code: str, values: dict[str, Any]) -> Value:
    """A fact; of one that another edition knew and this one does not, its values alone."""
    if code in SENTENCES and list_placeholders(SENTENCES[code]) <= values.keys():
        return state(code, **values)
    return tuple(value for value in values.values() if value is not None)


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
