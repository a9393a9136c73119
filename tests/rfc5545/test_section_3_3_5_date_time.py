"""RFC 5545 section 3.3.5, DATE-TIME.

Form 3: "local time with time zone reference [...] DTSTART;TZID=America/New_York:19980119T020000";
form 2: UTC "with the suffix of a letter Z". "If the local time described occurs more than once
(when changing from daylight to standard time), the DATE-TIME value refers to the first
occurrence of the referenced time."
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from tests.build import make_yard
from tests.publishing.hand_season import make_season_circuit, make_season_yard, pick, read, unfold
from tripkit.publishing import FeedEvent, Reader, list_events, write_events, write_feed
from tripkit.yard.errors import BadValue
from tripkit.yard.places import Place, RoadBook

NEW_YORK = ZoneInfo("America/New_York")


def make_timed(start: datetime, end: datetime) -> FeedEvent:
    """An event with hours, made by hand."""
    reader = Reader("yard", "Home Farm")
    return FeedEvent("Home Farm", reader, "drive", "Lorry", "", 1, "Drive", (), start, end)


def test_each_end_is_written_in_its_own_zone() -> None:
    """A drive begins in the time of home and ends in the time of the show."""
    data = write_feed(make_season_yard(), make_season_circuit(), Reader("horse", "Alder"))
    lines = unfold(data)
    assert "DTSTART;TZID=America/New_York:20270313T070000" in lines
    assert "DTEND;TZID=America/Chicago:20270314T150000" in lines


def test_a_zone_of_utc_is_written_with_z() -> None:
    """Where home and show have no zone but UTC, times end with Z and there is no VTIMEZONE."""
    home = Place("Home", 0.0, 0.0, "UTC")
    away = Place("Dothan", 1.0, 1.0, "UTC")
    yard = make_season_yard(place=home, roads=RoadBook({"home": home, "Dothan, AL": away}))
    lines = unfold(write_feed(yard, make_season_circuit(), Reader("driver", "Sam")))
    # 13 March 07:00-05:00 is 12:00 UTC.
    assert "DTSTART:20270313T120000Z" in lines
    assert not [line for line in lines if "TZID" in line]


def test_two_equal_local_times_are_written_in_utc() -> None:
    """On 7 November 2027 01:30 comes twice in New York: 05:30 UTC (EDT) and 06:30 UTC (EST).

    The local form would mean the first one, but ical.js, node-ical and libical read the second.
    """
    first = datetime(2027, 11, 7, 1, 30, tzinfo=NEW_YORK)
    second = first.replace(fold=1)
    yard = make_yard()
    data = write_events(yard, Reader("yard", "Home Farm"), [make_timed(first, second)])
    lines = unfold(data)
    assert "DTSTART:20271107T053000Z" in lines
    assert "DTEND:20271107T063000Z" in lines
    event = read(data).events[0]
    assert event.start.astimezone(UTC) == datetime(2027, 11, 7, 5, 30, tzinfo=UTC)


def test_a_time_without_a_zone_is_refused() -> None:
    """A floating time (form 1) would mean another moment to each reader."""
    zoned = datetime(2027, 4, 1, 7, tzinfo=UTC)
    event = replace(make_timed(zoned, zoned), end=datetime(2027, 4, 1, 9))
    with pytest.raises(BadValue, match="no time zone"):
        write_events(make_yard(), Reader("yard", "Home Farm"), [event])


def test_an_offset_read_from_a_file_becomes_a_zone() -> None:
    """Legs that know only their offset are told in the zone of the place."""
    events = list_events(make_season_yard(), make_season_circuit(), Reader("horse", "Alder"))
    start = pick(events, "travel there", "D2").start
    assert isinstance(start, datetime)
    assert str(start.tzinfo) == "America/New_York"
    assert start.isoformat() == "2027-04-06T07:00:00-04:00"


def test_an_unknown_zone_is_refused_by_name() -> None:
    """A zone that is in no tz database is named in the error."""
    yard = make_season_yard(place=Place("Home", 0.0, 0.0, "America/Nowhere"))
    with pytest.raises(BadValue, match="'America/Nowhere' is no time zone"):
        list_events(yard, make_season_circuit(), Reader("driver", "Sam"))
