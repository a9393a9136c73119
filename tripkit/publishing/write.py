"""A reader's events as an iCalendar file: RFC 5545, with the properties of RFC 7986.

The same events give the same bytes: sorted, no clock, no invented UID or stamp.
"""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

from tripkit.judging.case import Violation, name_rule
from tripkit.publishing import words
from tripkit.publishing.alarms import EventAlarm, list_alarms
from tripkit.publishing.events import (
    CANCELLED,
    FeedEvent,
    find_language,
    list_all_events,
    list_events,
    tell_line,
)
from tripkit.publishing.lines import (
    escape_text,
    find_tzid,
    write_duration,
    write_line,
    write_time,
    write_utc,
)
from tripkit.publishing.pages import find_page
from tripkit.publishing.readers import Reader, choose_reader_teller, list_readers
from tripkit.publishing.zones import find_zone, write_timezone
from tripkit.words.formats import ENGLISH
from tripkit.words.telling import CALENDAR, Teller
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import BadValue, CannotWrite
from tripkit.yard.facts import Value, state
from tripkit.yard.places import HOME
from tripkit.yard.rules import RULE_BY_ID
from tripkit.yard.yard import Yard

PRODUCT = "-//tripkit//feeds 1//EN"
REFRESH = timedelta(hours=1)
LONGEST_SLUG = 60
NO_ZONE = "Etc/UTC"
COLORS: Mapping[str, str] = {
    "horse": "saddlebrown",
    "owner": "darkgreen",
    "rider": "royalblue",
    "groom": "teal",
    "driver": "slategray",
    "vet": "crimson",
    "yard": "goldenrod",
}
EVENT_COLORS: Mapping[str, str] = {
    "Show": "firebrick",
    "Base": "saddlebrown",
    "Travel": "steelblue",
    "Recovery": "darkseagreen",
    "School": "darkorange",
    "Vet": "mediumvioletred",
    "Paper": "slateblue",
    "Entries": "gold",
}
"""A colour per category, which says in words what the colour says."""


@dataclass(frozen=True)
class FeedHead:
    """What a calendar says of itself: whose it is, its name, and what it is about."""

    yard: str
    reader: Reader
    title: Value
    about: words.Lines
    teller: Teller = CALENDAR

    @property
    def told_title(self) -> str:
        """The name of the calendar, told to its reader."""
        return self.teller.tell(self.title)

    @property
    def told_about(self) -> str:
        """What it is about, told to its reader."""
        return " ".join(self.teller.tell(part) for part in self.about)


def make_head(
    yard: Yard,
    reader: Reader,
    published: datetime | None = None,
    broken: Sequence[Violation] = (),
) -> FeedHead:
    """The head of a reader's calendar; `published` None: no publishing made it.

    `broken` is what the circuit breaks: the yard reads all of it, an owner and a horse what
    concerns them, everybody else all but the money.
    """
    zone = find_zone(yard, HOME)
    moment = None if published is None else published.astimezone(zone)
    title = words.title_reader(yard.name, reader.kind, reader.name)
    told = words.state_broken(_list_broken(yard, reader, broken))
    about = (*words.describe_feed(yard, moment), *told)
    return FeedHead(yard.name, reader, title, about, choose_reader_teller(yard, reader))


def _list_broken(yard: Yard, reader: Reader, broken: Sequence[Violation]) -> list[Value]:
    if reader.kind == "yard":
        return [violation.told for violation in broken]
    horses = {h.horse for h in yard.horses if reader.name in yard.owner_shares_of(h.horse)}
    own = {"horse": {reader.name}, "owner": horses}.get(reader.kind)
    # In its own words a rule tells of other horses, too.
    return list(
        dict.fromkeys(
            tuple(value for value in (name_rule(v.rule), v.horse, v.show, v.day) if value)
            for v in broken
            if (not RULE_BY_ID[v.rule].private if own is None else v.horse in own)
        )
    )


def write_feed(
    yard: Yard,
    circuit: Circuit,
    reader: Reader,
    *,
    published: datetime | None = None,
    sequences: Mapping[str, int] | None = None,
    broken: Sequence[Violation] = (),
) -> bytes:
    """The calendar file of one reader: what `list_events` lists, as `write_events` writes it."""
    events = list_events(yard, circuit, reader)
    return write_events(
        yard, reader, events, published=published, sequences=sequences, broken=broken
    )


def write_events(
    yard: Yard,
    reader: Reader,
    events: Iterable[FeedEvent],
    *,
    published: datetime | None = None,
    sequences: Mapping[str, int] | None = None,
    broken: Sequence[Violation] = (),
) -> bytes:
    """Events become one VCALENDAR, as `write_calendar` writes it.

    `published` (aware; None: the season's first day 00:00 UTC) is DTSTAMP and LAST-MODIFIED.
    Raises `BadValue` for a time without a zone.
    """
    if published is not None and published.tzinfo is None:
        raise BadValue(state("values.published-has-no-time-zone", published=published))
    stamp = published or datetime.combine(yard.season.first, time(), UTC)
    head = make_head(yard, reader, published, broken)
    return write_calendar(head, events, stamp=stamp, sequences=sequences or {})


def write_calendar(
    head: FeedHead,
    events: Iterable[FeedEvent],
    *,
    stamp: datetime,
    sequences: Mapping[str, int],
    stamps: Mapping[str, datetime] | None = None,
    alarms: bool = True,
    address: str = "",
) -> bytes:
    """Events become one VCALENDAR in UTF-8, lines of at most 75 octets ended by CRLF.

    `stamp` (aware) is LAST-MODIFIED of the calendar, and DTSTAMP and LAST-MODIFIED of each uid
    that has none in `stamps`; `sequences` gives the SEQUENCE of each uid, 0 where it has none.
    Without `alarms` nothing rings. `address` is where the dashboard is, for the URL of each
    horse's events; empty: nobody knows. Without events the calendar has a time zone, because one
    component there must be. Raises `BadValue` for a time without a zone.

    **Source:** RFC 5545 sections 3.1, 3.4, 3.6 ("An iCalendar object MUST include at least one
    calendar component"), 3.6.1, 3.6.6; RFC 7986 sections 5.1 to 5.9.
    """
    ordered = sorted(events, key=lambda event: event.sort_key)
    parts = [b"BEGIN:VCALENDAR\r\n", *_list_head_lines(head, stamp)]
    zones = _collect_zones(ordered) if ordered else {NO_ZONE: {stamp.year}}
    for zone, years in sorted(zones.items()):
        parts.append(write_timezone(zone, min(years), max(years)))
    for event in ordered:
        written_stamp = write_utc((stamps or {}).get(event.uid, stamp))
        page = find_page(event, address) if address else ""
        rings = list_alarms(event) if alarms else ()
        parts += _list_event_lines(event, written_stamp, sequences.get(event.uid, 0), page, rings)
    parts.append(b"END:VCALENDAR\r\n")
    return b"".join(parts)


def write_feeds(
    yard: Yard,
    circuit: Circuit,
    folder: Path | str,
    readers: Sequence[Reader] | None = None,
    *,
    broken: Sequence[Violation] = (),
) -> tuple[Path, ...]:
    """Each reader's calendar becomes a file in a folder, which is made where there is none.

    `readers` None means all that `list_readers` names. All feeds are made before the first is
    written. Raises `CannotWrite`.
    """
    chosen = list_readers(yard) if readers is None else readers
    listed = list_all_events(yard, circuit, chosen).items()
    return write_files(
        folder,
        {
            name_file(reader): write_events(yard, reader, events, broken=broken)
            for reader, events in listed
        },
    )


def write_files(folder: Path | str, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Files are written into a folder, which is made where there is none.

    Each is written beside its place and then moved there: whoever reads meanwhile sees the old
    or the new one, never half of one. Raises `CannotWrite`.
    """
    target = Path(folder)
    try:
        target.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            _write_whole(target / name, data)
    except OSError as error:
        raise CannotWrite(
            state("values.feeds-cannot-be-written-to", target=str(target), strerror=error.strerror)
        ) from None
    return tuple(target / name for name in files)


# Letters that Unicode does not take apart into a plain letter and an accent.
_SPELLED_OUT = str.maketrans(
    {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th"}
)


def name_file(reader: Reader) -> str:
    """A reader's file name: safe on every system, the same every time, different for each reader.

    Small ASCII letters, digits and hyphens. A name that loses something on the way (capitals
    beyond the first of a word, accents, signs, length) gets a hash of the whole name, set off
    by two hyphens, which no slug has.

    >>> name_file(Reader("horse", "Alder"))
    'horse-alder.ics'
    >>> name_file(Reader("rider", "Müßig"))[:13]
    'rider-mussig-'
    """
    plain = unicodedata.normalize("NFKD", reader.name.lower().translate(_SPELLED_OUT))
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


def _list_head_lines(head: FeedHead, stamp: datetime) -> Iterator[bytes]:
    # No UID of the calendar, which RFC 7986 section 5.3 leaves open: vdirsyncer takes it for that
    # of every event in it, and keeps one event of them all.
    title = escape_text(words.clean_text(head.told_title))
    about = escape_text(words.clean_line(head.told_about))
    yield write_line("VERSION", "2.0")
    yield write_line("PRODID", PRODUCT)
    yield write_line("CALSCALE", "GREGORIAN")
    yield write_line(f"NAME{_mark(head.teller, head.title)}", title)
    yield write_line("X-WR-CALNAME", title)
    yield write_line(f"DESCRIPTION{_mark(head.teller, head.about)}", about)
    yield write_line("X-WR-CALDESC", about)
    yield write_line("COLOR", COLORS[head.reader.kind])
    yield write_line("LAST-MODIFIED", write_utc(stamp))
    yield write_line("REFRESH-INTERVAL;VALUE=DURATION", write_duration(REFRESH))
    yield write_line("X-PUBLISHED-TTL", write_duration(REFRESH))


def _mark(teller: Teller, told: Value) -> str:
    """The parameter that says in which language a text is; a calendar in English bears none.

    **Source:** RFC 5545 section 3.2.10.
    """
    return _write_language(teller, find_language(teller, told))


def _write_language(teller: Teller, language: str) -> str:
    return "" if teller.language == ENGLISH else f";LANGUAGE={language}"


def _list_event_lines(
    event: FeedEvent, stamp: str, sequence: int, page: str, alarms: Sequence[EventAlarm]
) -> Iterator[bytes]:
    cancelled = event.status == CANCELLED
    category, teller = event.categories[0], event.teller
    title = state("feeds.cancelled", title=event.title) if cancelled else event.title
    group = state(f"feeds.group-{category.lower()}")
    yield b"BEGIN:VEVENT\r\n"
    yield write_line("UID", event.uid)
    yield write_line("DTSTAMP", stamp)
    yield write_line("LAST-MODIFIED", stamp)
    yield write_line("SEQUENCE", str(sequence))
    yield write_time("DTSTART", event.start)
    yield write_time("DTEND", event.end)
    told = words.clean_line(tell_line(teller, title))
    yield write_line(f"SUMMARY{_mark(teller, title)}", escape_text(told))
    if event.description:
        told = words.clean_text(event.description)
        yield write_line(f"DESCRIPTION{_mark(teller, event.lines)}", escape_text(told))
    if event.location:
        yield write_line("LOCATION", escape_text(words.clean_line(event.location)))
    if event.geo:
        latitude, longitude = event.geo
        # Six decimals and never an exponent, as RFC 5545 sections 3.3.7 and 3.8.1.6 ask.
        yield write_line("GEO", f"{latitude:.6f};{longitude:.6f}")
    if page:
        yield write_line("URL", page)
    yield write_line(f"CATEGORIES{_mark(teller, group)}", escape_text(tell_line(teller, group)))
    yield write_line("COLOR", EVENT_COLORS[category])
    yield write_line("STATUS", event.status)
    yield write_line("TRANSP", "OPAQUE" if event.is_timed and not cancelled else "TRANSPARENT")
    for alarm in alarms:
        yield b"BEGIN:VALARM\r\nACTION:DISPLAY\r\n"
        yield write_line("TRIGGER", write_duration(-alarm.before))
        language = _write_language(teller, alarm.language)
        yield write_line(f"DESCRIPTION{language}", escape_text(words.clean_line(alarm.words)))
        yield b"END:VALARM\r\n"
    yield b"END:VEVENT\r\n"


def _collect_zones(events: Iterable[FeedEvent]) -> dict[str, set[int]]:
    zones: dict[str, set[int]] = {}
    for event in events:
        for moment in (event.start, event.end):
            if isinstance(moment, datetime) and (tzid := find_tzid(moment)):
                zones.setdefault(tzid, set()).add(moment.year)
    return zones
