"""RFC 5545 section 3.6.1, the VEVENT component, and section 3.6, the iCalendar object.

eventc: DTSTAMP and UID are REQUIRED and MUST NOT occur more than once; DTSTART is REQUIRED
without METHOD; description, dtend, geo, last-mod, location, sequence, status, summary, transp
MUST NOT occur more than once; either DTEND or DURATION. Section 3.6: PRODID and VERSION are
REQUIRED. Section 3.8.2.7: TRANSP of an event that takes no time is TRANSPARENT.
"""

from __future__ import annotations

from collections import Counter

import pytest

from tests.publishing.hand_season import (
    make_season_circuit,
    make_season_yard,
    read,
    split_components,
    unfold,
)
from tripkit.publishing import READER_KINDS, list_readers, write_feed

REQUIRED = ("UID", "DTSTAMP", "DTSTART")
AT_MOST_ONCE = (
    "CLASS",
    "CREATED",
    "DESCRIPTION",
    "DTEND",
    "DTSTAMP",
    "DTSTART",
    "GEO",
    "LAST-MODIFIED",
    "LOCATION",
    "ORGANIZER",
    "PRIORITY",
    "SEQUENCE",
    "STATUS",
    "SUMMARY",
    "TRANSP",
    "UID",
    "URL",
)
YARD = make_season_yard()
FEEDS = {
    f"{reader.kind} {reader.name}": write_feed(YARD, make_season_circuit(), reader)
    for reader in list_readers(YARD)
}


def name_properties(lines: list[str]) -> list[str]:
    """The property names of content lines."""
    return [line.split(":")[0].split(";")[0] for line in lines]


def test_there_is_a_feed_of_every_kind() -> None:
    """The season by hand has readers of every kind, so every kind is looked at here."""
    assert {name.split()[0] for name in FEEDS} == set(READER_KINDS)


@pytest.mark.parametrize("name", FEEDS)
def test_each_event_has_what_is_required_and_nothing_twice(name: str) -> None:
    """Required properties stand once, the others at most once."""
    events = list(split_components(FEEDS[name], "VEVENT"))
    assert events
    for lines in events:
        counts = Counter(name_properties(lines))
        assert all(counts[required] == 1 for required in REQUIRED)
        assert all(counts[single] <= 1 for single in AT_MOST_ONCE)
        assert counts["DURATION"] == 0
        assert counts["DTEND"] == 1


@pytest.mark.parametrize("name", FEEDS)
def test_the_object_says_version_and_product(name: str) -> None:
    """VERSION:2.0 and one PRODID stand before the first component."""
    lines = unfold(FEEDS[name])
    head = lines[: next(i for i, line in enumerate(lines[1:], 1) if line.startswith("BEGIN:"))]
    assert head[0] == "BEGIN:VCALENDAR"
    assert "VERSION:2.0" in head
    assert "CALSCALE:GREGORIAN" in head
    assert name_properties(head).count("PRODID") == 1
    # RFC 5546 section 3.2.1: a METHOD of PUBLISH would ask for an ORGANIZER.
    assert "METHOD" not in name_properties(head)


@pytest.mark.parametrize("name", FEEDS)
def test_only_drives_take_time(name: str) -> None:
    """Events of whole days are TRANSPARENT, drives OPAQUE."""
    for lines in split_components(FEEDS[name], "VEVENT"):
        is_drive = "CATEGORIES:Travel" in lines
        assert ("TRANSP:OPAQUE" in lines) is is_drive
        assert ("TRANSP:TRANSPARENT" in lines) is not is_drive


@pytest.mark.parametrize("name", FEEDS)
def test_the_library_finds_no_fault(name: str) -> None:
    """icalendar reads each event without errors, as many as there are."""
    calendar = read(FEEDS[name])
    assert len(calendar.events) == len(list(split_components(FEEDS[name], "VEVENT")))
    assert calendar.errors == []
    assert [error for event in calendar.events for error in event.errors] == []
