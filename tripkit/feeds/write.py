"""A reader's events as an iCalendar file: RFC 5545, with the properties of RFC 7986.

The same events give the same bytes: sorted, no clock, no invented UID or stamp.
"""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from icalendar import Calendar, Component, Event
from icalendar.prop import vDDDTypes, vDuration, vText

from tripkit.circuit import Circuit
from tripkit.errors import BadValue, CannotWrite
from tripkit.feeds import words
from tripkit.feeds.events import FeedEvent, list_events, make_uid
from tripkit.feeds.readers import Reader, list_readers
from tripkit.feeds.zones import build_timezone
from tripkit.yard import Yard

PRODUCT = "-//tripkit//feeds 1//EN"
REFRESH = timedelta(hours=1)
LONGEST_SLUG = 60
COLORS: Mapping[str, str] = {
    "horse": "saddlebrown",
    "owner": "darkgreen",
    "rider": "royalblue",
    "groom": "teal",
    "driver": "slategray",
    "vet": "crimson",
    "yard": "goldenrod",
}


class _Text(vText):
    r"""TEXT escaped as the RFC says and nothing else.

    `vText` takes a backslash before a capital N for a line break, so that `C:\North` would
    lose its letter.

    **Source:** RFC 5545 section 3.3.11, ESCAPED-CHAR.
    """

    def to_ical(self) -> bytes:
        escaped = self.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
        return escaped.replace("\n", "\\n").encode("utf-8")


class _Raw(vText):
    """A value that is written as it stands, because it is no TEXT."""

    def to_ical(self) -> bytes:
        return self.encode("utf-8")


def write_feed(
    yard: Yard,
    circuit: Circuit,
    reader: Reader,
    *,
    published: datetime | None = None,
    sequences: Mapping[str, int] | None = None,
) -> bytes:
    """The calendar file of one reader: what `list_events` lists, as `write_events` writes it."""
    events = list_events(yard, circuit, reader)
    return write_events(yard, reader, events, published=published, sequences=sequences)


def write_events(
    yard: Yard,
    reader: Reader,
    events: Iterable[FeedEvent],
    *,
    published: datetime | None = None,
    sequences: Mapping[str, int] | None = None,
) -> bytes:
    """Events become one VCALENDAR in UTF-8, lines of at most 75 octets ended by CRLF.

    `published` (aware; None: the season's first day 00:00 UTC) is DTSTAMP and LAST-MODIFIED;
    `sequences` gives the SEQUENCE of each uid, 0 where it has none. Raises `BadValue` for a
    time without a zone.

    **Source:** RFC 5545 sections 3.1, 3.4, 3.6.1; RFC 7986 sections 5.1 to 5.9.
    """
    if published is None:
        published = datetime.combine(yard.season.first, time(), UTC)
    if published.tzinfo is None:
        raise BadValue(f"published {published} has no time zone")
    stamp = published.astimezone(UTC)
    ordered = sorted(events, key=lambda event: event.sort_key)
    calendar = _build_calendar(yard, reader, stamp)
    for zone, days in sorted(_collect_zones(ordered).items()):
        calendar.add_component(build_timezone(ZoneInfo(zone), days))
    for event in ordered:
        calendar.add_component(_build_event(event, stamp, (sequences or {}).get(event.uid, 0)))
    written: bytes = calendar.to_ical()
    return written


def write_feeds(
    yard: Yard, circuit: Circuit, folder: Path | str, readers: Sequence[Reader] | None = None
) -> tuple[Path, ...]:
    """Each reader's calendar becomes a file in a folder, which is made where there is none.

    `readers` None means all that `list_readers` names. A file is written beside its place and
    then moved there: whoever reads meanwhile sees the old or the new one, never half of one.
    All feeds are made before the first is written. Raises `CannotWrite`.
    """
    target = Path(folder)
    feeds = [
        (target / name_file(reader), write_feed(yard, circuit, reader))
        for reader in (list_readers(yard) if readers is None else readers)
    ]
    try:
        target.mkdir(parents=True, exist_ok=True)
        for path, data in feeds:
            _write_whole(path, data)
    except OSError as error:
        raise CannotWrite(f"feeds cannot be written to {target}: {error.strerror}") from None
    return tuple(path for path, _ in feeds)


def name_file(reader: Reader) -> str:
    """A reader's file name: safe on every system, the same every time, different for each reader.

    Small ASCII letters, digits and hyphens. A name that loses something on the way (capitals
    beyond the first of a word, accents, signs, length) gets a hash of the whole name, set off
    by two hyphens, which no slug has.

    >>> name_file(Reader("horse", "Alder"))
    'horse-alder.ics'
    """
    plain = unicodedata.normalize("NFKD", reader.name).lower()
    letters = "".join(c for c in plain if not unicodedata.combining(c))
    slug = "-".join(re.findall("[a-z0-9]+", letters))
    whole = " ".join(word.capitalize() for word in slug.split("-")) == reader.name
    if whole and len(slug) <= LONGEST_SLUG:
        return f"{reader.kind}-{slug}.ics"
    digest = hashlib.sha256(reader.name.encode("utf-8", "surrogatepass")).hexdigest()[:12]
    return f"{reader.kind}-{slug[:LONGEST_SLUG].strip('-')}--{digest}.ics"


def _write_whole(path: Path, data: bytes) -> None:
    handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        part.chmod(0o644)
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def _build_calendar(yard: Yard, reader: Reader, stamp: datetime) -> Calendar:
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    title, about = words.title_feed(yard, reader.kind, reader.name)
    for name, text in (
        ("name", title),
        ("x-wr-calname", title),
        ("description", about),
        ("x-wr-caldesc", about),
    ):
        _add(calendar, name, _Text(text))
    calendar.add("uid", make_uid(yard.name, reader.kind, reader.name))
    calendar.add("color", COLORS[reader.kind])
    calendar.add("last-modified", stamp)
    refresh = vDuration(REFRESH)
    refresh.params["VALUE"] = "DURATION"
    _add(calendar, "refresh-interval", refresh)
    _add(calendar, "x-published-ttl", vDuration(REFRESH))
    return calendar


def _build_event(event: FeedEvent, stamp: datetime, sequence: int) -> Event:
    built = Event()
    built.add("uid", event.uid)
    built.add("dtstamp", stamp)
    built.add("last-modified", stamp)
    built.add("sequence", sequence)
    _add(built, "dtstart", _write_start(event.start))
    _add(built, "dtend", _write_start(event.end))
    _add(built, "summary", _Text(words.clean_line(event.summary)))
    if event.description:
        _add(built, "description", _Text(words.clean_text(event.description)))
    if event.location:
        _add(built, "location", _Text(words.clean_line(event.location)))
    if event.geo:
        latitude, longitude = event.geo
        # Six decimals and never an exponent, as RFC 5545 sections 3.3.7 and 3.8.1.6 ask.
        _add(built, "geo", _Raw(f"{latitude:.6f};{longitude:.6f}"))
    built.add("categories", list(event.categories))
    built.add("status", event.status)
    built.add("transp", "OPAQUE" if event.is_timed else "TRANSPARENT")
    return built


def _add(component: Component, name: str, value: object) -> None:
    component.add(name, value, encode=False)


def _write_start(moment: date) -> vDDDTypes:
    if not isinstance(moment, datetime):
        return vDDDTypes(moment)
    if moment.tzinfo is None:
        raise BadValue(f"time {moment} has no time zone")
    return vDDDTypes(moment if _find_tzid(moment) else moment.astimezone(UTC))


def _find_tzid(moment: datetime) -> str:
    """The zone a time is written in; empty where only UTC says which moment is meant.

    A local time that comes twice when clocks go back means the first one to every reader
    (RFC 5545 section 3.3.5), so the second one is written in UTC.
    """
    zone = moment.tzinfo
    if not isinstance(zone, ZoneInfo) or zone.key in ("UTC", "Etc/UTC"):
        return ""
    second = moment.fold == 1 and moment.utcoffset() != moment.replace(fold=0).utcoffset()
    return "" if second else zone.key


def _collect_zones(events: Iterable[FeedEvent]) -> dict[str, list[date]]:
    zones: dict[str, list[date]] = {}
    for event in events:
        for moment in (event.start, event.end):
            if isinstance(moment, datetime) and (tzid := _find_tzid(moment)):
                zones.setdefault(tzid, []).append(moment.date())
    return zones
