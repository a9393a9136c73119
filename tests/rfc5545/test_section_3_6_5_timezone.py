"""RFC 5545 section 3.6.5, the VTIMEZONE component.

"An individual VTIMEZONE calendar component MUST be specified for each unique TZID parameter
value"; DTSTART is the "effective onset date and local time" of an observance, in the offset
TZOFFSETFROM: the RFC's New York has DTSTART:20070311T020000, TZOFFSETFROM:-0500,
TZOFFSETTO:-0400.
"""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import vobject
from dateutil.tz import tzical

from tests.publishing.hand_season import (
    make_season_circuit,
    make_season_yard,
    read,
    split_components,
    unfold,
)
from tripkit.publishing import Reader, write_feed
from tripkit.publishing.zones import build_timezone

FEED = write_feed(make_season_yard(), make_season_circuit(), Reader("horse", "Alder"))

# Clock changes of 2027 as (DTSTART, from, to, name, daylight), by hand:
# - New York: 15 U.S.C. 260a(a), second Sunday of March 02:00 to first Sunday of November 02:00;
#   in 2027 these are 14 March and 7 November.
# - Brussels: Directive 2000/84/EC Art. 2 and 3, last Sunday of March and of October, 01:00 UTC,
#   which is 02:00 CET and 03:00 CEST; in 2027 these are 28 March and 31 October.
# - Phoenix keeps standard time (15 U.S.C. 260a(a), exempted by Arizona).
CHANGES = {
    "America/New_York": [
        ("20270101T000000", "-0500", "-0500", "EST", False),
        ("20270314T020000", "-0500", "-0400", "EDT", True),
        ("20271107T020000", "-0400", "-0500", "EST", False),
    ],
    "Europe/Brussels": [
        ("20270101T000000", "+0100", "+0100", "CET", False),
        ("20270328T020000", "+0100", "+0200", "CEST", True),
        ("20271031T030000", "+0200", "+0100", "CET", False),
    ],
    "America/Phoenix": [("20270101T000000", "-0700", "-0700", "MST", False)],
}


@pytest.mark.parametrize("zone", CHANGES)
def test_observances_begin_where_the_law_says(zone: str) -> None:
    """Each observance of 2027 stands with onset in old local time, both offsets and name."""
    data = build_timezone(ZoneInfo(zone), [datetime(2027, 3, 13).date()]).to_ical()
    found = []
    for kind in ("STANDARD", "DAYLIGHT"):
        for lines in split_components(data, kind):
            values = dict(line.split(":", 1) for line in lines)
            found.append(
                (
                    values["DTSTART"],
                    values["TZOFFSETFROM"],
                    values["TZOFFSETTO"],
                    values["TZNAME"],
                    kind == "DAYLIGHT",
                )
            )
    assert sorted(found) == CHANGES[zone]


@pytest.mark.parametrize("zone", ["America/New_York", "America/Chicago"])
def test_a_reader_that_knows_only_the_file_agrees_with_the_tz_database(zone: str) -> None:
    """dateutil, given nothing but the written VTIMEZONE, has zoneinfo's offset at every hour
    of the three days around 14 March 2027 but the one that does not exist."""
    written = tzical(io.StringIO(rewrite_for_dateutil(FEED))).get(zone)
    start = datetime(2027, 3, 13)
    for hour in range(72):
        local = start + timedelta(hours=hour)
        if local == datetime(2027, 3, 14, 2):
            continue
        expected = local.replace(tzinfo=ZoneInfo(zone)).utcoffset()
        assert local.replace(tzinfo=written).utcoffset() == expected, local


def rewrite_for_dateutil(data: bytes) -> str:
    """The VTIMEZONEs with an RRULE that never repeats, which dateutil asks for."""
    lines = []
    for line in unfold(data):
        lines.append(line)
        if line.startswith("DTSTART:"):
            lines.append("RRULE:FREQ=YEARLY;COUNT=1")
    text = "\r\n".join(lines)
    return text[text.index("BEGIN:VTIMEZONE") : text.rindex("END:VTIMEZONE")] + "END:VTIMEZONE\r\n"


def test_every_zone_used_is_written_once_and_no_other() -> None:
    """The drives use two zones, and the file holds just these."""
    lines = unfold(FEED)
    used = {line.split("TZID=")[1].split(":")[0] for line in lines if ";TZID=" in line}
    written = [line[len("TZID:") :] for line in lines if line.startswith("TZID:")]
    assert written == sorted(used) == ["America/Chicago", "America/New_York"]


def test_a_feed_without_hours_has_no_zone() -> None:
    """A horse that never travels needs no VTIMEZONE."""
    feed = write_feed(make_season_yard(), make_season_circuit(), Reader("horse", "Cedar"))
    assert b"BEGIN:VEVENT" in feed
    assert b"VTIMEZONE" not in feed


def test_drives_over_the_change_agree_with_the_clock() -> None:
    """Both libraries read the drive of 13 to 14 March as the same two moments.

    13 March 07:00 EST is 12:00 UTC; 14 March 15:00 CDT is 20:00 UTC (offsets -5 and -5).
    """
    expected = (
        datetime(2027, 3, 13, 12, tzinfo=UTC),
        datetime(2027, 3, 14, 20, tzinfo=UTC),
    )
    event = next(e for e in read(FEED).events if "drive to Dothan 1" in str(e["SUMMARY"]))
    assert (event.start, event.end) == expected
    parsed = vobject.readOne(FEED.decode())
    drive = next(e for e in parsed.vevent_list if "drive to Dothan 1" in e.summary.value)
    assert (drive.dtstart.value, drive.dtend.value) == expected


def test_a_season_over_new_year_has_the_changes_of_both_years() -> None:
    """Days in 2027 and 2028 give both springs: 14 March 2027 and 12 March 2028."""
    days = [datetime(2027, 11, 1).date(), datetime(2028, 4, 1).date()]
    data = build_timezone(ZoneInfo("America/New_York"), days).to_ical()
    starts = [line for lines in split_components(data, "DAYLIGHT") for line in lines]
    assert [s for s in starts if s.startswith("DTSTART")] == [
        "DTSTART:20270314T020000",
        "DTSTART:20280312T020000",
    ]
