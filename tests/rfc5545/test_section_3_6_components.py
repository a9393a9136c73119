"""RFC 5545 section 3.6: "An iCalendar object MUST include [...] at least one calendar component."

A feed without events, such as that of a groom before anything is planned, goes on answering: an
address that answers with 404 is given up by calendar programs.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import vobject

from tests.publishing.hand_season import make_season_yard, read
from tripkit.publishing import Reader, publish, write_events, write_feeds
from tripkit.store import open_store
from tripkit.yard.circuit import Circuit

YARD = make_season_yard(papers=[], vet_checks=[])
NOTHING = Circuit("quiet", "least road", "proved best")
GIL = Reader("groom", "Gil")


def check(body: bytes) -> None:
    """One component, which is a time zone, for two libraries."""
    calendar = read(body)
    assert [part.name for part in calendar.subcomponents] == ["VTIMEZONE"]
    assert [part.name for part in calendar.subcomponents[0].subcomponents] == ["STANDARD"]
    assert set(vobject.readOne(body.decode()).contents) >= {"vtimezone"}


def test_a_calendar_without_events_has_a_time_zone() -> None:
    """The one written by hand, and nothing else in it."""
    check(write_events(YARD, GIL, ()))


def test_a_served_feed_without_events_is_valid(tmp_path: Path) -> None:
    """Published with nobody going anywhere: every feed has one component."""
    store = open_store(tmp_path)
    publish(YARD, NOTHING, store, datetime(2027, 2, 10, tzinfo=UTC))
    for feed in store.read_shelf().feeds.values():
        check(feed.body)


def test_an_exported_file_without_events_is_valid(tmp_path: Path) -> None:
    """The like for the files of a circuit that is not published."""
    for path in write_feeds(YARD, NOTHING, tmp_path):
        check(path.read_bytes())
