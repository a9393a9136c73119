"""What we write is what others read: every feed, every clock change, in four readers."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

import tripkit
from tests.build import plan_most
from tests.outside.readers import READERS, Line, tell
from tests.patience import PATIENCE_SECONDS
from tests.publishing.hand_season import make_season_circuit, make_season_yard
from tripkit.publishing import FeedEvent, Reader, list_events, list_readers, name_file, write_events
from tripkit.yard.circuit import Circuit
from tripkit.yard.yard import Yard

SAMPLE = Path(__file__).resolve().parents[2] / "sample_calendar"
PUBLISHED = datetime(2027, 2, 28, 12, tzinfo=UTC)

# The drives of the season by hand, as moments in UTC. New York is EST (-5) until 14 March and EDT
# (-4) after, Chicago CST (-6) and CDT (-5): 07:00 EST is 12:00 UTC, 15:00 CDT is 20:00 UTC;
# 07:00 CDT 12:00, 20:00 EDT midnight; 07:00 EDT 11:00, 18:00 CDT 23:00.
DRIVES = [
    ("2027-03-13T12:00:00Z", "2027-03-14T20:00:00Z"),
    ("2027-03-22T12:00:00Z", "2027-03-23T00:00:00Z"),
    ("2027-04-06T11:00:00Z", "2027-04-06T23:00:00Z"),
    ("2027-04-12T12:00:00Z", "2027-04-13T00:00:00Z"),
]

# Clock changes of 2027 as the first hour in UTC of the new time, by hand:
# - New York, second Sunday of March and first of November, 02:00 local (15 U.S.C. 260a(a)).
# - Berlin and London, last Sunday of March and October, 01:00 UTC (Directive 2000/84/EC;
#   Summer Time Order 2002).
# - Sydney, first Sunday of April and of October, 02:00 standard time (Standard Time Act 1987 NSW).
# - Auckland, first Sunday of April and last of September, 02:00 standard time (NZ Daylight Time
#   Order 2007).
# - Sao Paulo has no summer time (Decreto 9.772/2019).
CHANGES = {
    "America/New_York": ("2027-03-14T07:00", "2027-11-07T06:00"),
    "Europe/Berlin": ("2027-03-28T01:00", "2027-10-31T01:00"),
    "Europe/London": ("2027-03-28T01:00", "2027-10-31T01:00"),
    "Australia/Sydney": ("2027-04-03T16:00", "2027-10-02T16:00"),
    "Pacific/Auckland": ("2027-04-03T14:00", "2027-09-25T14:00"),
    "America/Sao_Paulo": ("2027-02-21T02:00", "2027-10-17T03:00"),
}


def write_all(folder: Path, yard: Yard, circuit: Circuit) -> dict[str, list[Line]]:
    """Every reader's feed as a file; what it holds, with odd SEQUENCEs and something cancelled."""
    expected: dict[str, list[Line]] = {}
    for reader in list_readers(yard):
        events = list(list_events(yard, circuit, reader))
        events[1::5] = [replace(event, status="CANCELLED") for event in events[1::5]]
        sequences = {event.uid: number % 4 for number, event in enumerate(events)}
        data = write_events(yard, reader, events, published=PUBLISHED, sequences=sequences)
        (folder / name_file(reader)).write_bytes(data)
        expected[name_file(reader)] = sorted(
            (e.uid, tell(e.start), tell(e.end), sequences[e.uid], e.status) for e in events
        )
    return expected


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, list[Line]]]:
    folder = tmp_path_factory.mktemp("sample")
    yard = tripkit.read_yard(SAMPLE)
    circuit = plan_most(yard, seconds=PATIENCE_SECONDS)
    return folder, write_all(folder, yard, circuit)


@pytest.mark.parametrize("name", READERS)
def test_every_feed_of_the_sample_is_read_alike(
    name: str, sample: tuple[Path, dict[str, list[Line]]]
) -> None:
    """The same events with uid, days or moments, SEQUENCE and STATUS, for all kinds of reader."""
    folder, expected = sample
    found = READERS[name](sorted(folder.iterdir()))
    assert {file: sorted(lines) for file, lines in found.items()} == expected
    kinds = {file.partition("-")[0] for file in expected}
    assert kinds == {"horse", "owner", "rider", "groom", "driver", "vet", "yard"}
    assert sum(len(lines) for lines in expected.values()) > 200


@pytest.mark.parametrize("name", READERS)
def test_the_drives_of_a_season_by_hand(name: str, tmp_path: Path) -> None:
    """Sam drives over the night in which the clocks change, between two zones."""
    yard, circuit = make_season_yard(), make_season_circuit()
    reader = Reader("driver", "Sam")
    path = tmp_path / "sam.ics"
    path.write_bytes(write_events(yard, reader, list_events(yard, circuit, reader)))
    lines = READERS[name]([path])["sam.ics"]
    assert sorted((start, end) for _, start, end, _, _ in lines) == DRIVES
    assert {line[3:] for line in lines} == {(0, "CONFIRMED")}


@pytest.mark.parametrize("name", READERS)
def test_whole_days_by_hand(name: str, tmp_path: Path) -> None:
    """Olga's closing date of Dothan 2, 24 March, is one whole day that ends on the 25th."""
    yard, circuit = make_season_yard(), make_season_circuit()
    reader = Reader("owner", "Olga")
    events = [e for e in list_events(yard, circuit, reader) if e.kind == "closing"]
    path = tmp_path / "olga.ics"
    path.write_bytes(write_events(yard, reader, events))
    ((_, start, end, _, _),) = READERS[name]([path])["olga.ics"]
    assert (start, end) == ("2027-03-24", "2027-03-25")


@pytest.mark.parametrize("name", READERS)
def test_clock_changes_of_both_hemispheres(name: str, tmp_path: Path) -> None:
    """Every half hour of the day around each change of 2027 is the moment zoneinfo gives.

    The local times come from zoneinfo; the moments were counted on from those of the law.
    """
    yard = make_season_yard()
    reader = Reader("yard", yard.name)
    files, expected = [], {}
    for zone, changes in CHANGES.items():
        events = []
        for number in range(2 * 48):
            first = datetime.fromisoformat(changes[number // 48]).replace(tzinfo=UTC)
            moment = first + timedelta(minutes=30 * (number % 48 - 24))
            events.append(make_event(yard, reader, number, moment, zone))
        files.append(tmp_path / f"{zone.replace('/', '-')}.ics")
        files[-1].write_bytes(write_events(yard, reader, [event for event, _ in events]))
        expected[files[-1].name] = sorted(line for _, line in events)
    found = READERS[name](files)
    for file, lines in found.items():
        assert sorted(lines) == expected[file], file


def test_the_changes_of_2027_are_where_the_law_puts_them() -> None:
    """zoneinfo itself: the offset differs before and after each change, and not in Sao Paulo."""
    for zone, changes in CHANGES.items():
        for change in changes:
            moment = datetime.fromisoformat(change).replace(tzinfo=UTC)
            before = (moment - timedelta(seconds=1)).astimezone(ZoneInfo(zone)).utcoffset()
            after = moment.astimezone(ZoneInfo(zone)).utcoffset()
            assert (before == after) == (zone == "America/Sao_Paulo"), (zone, change)


def make_event(
    yard: Yard, reader: Reader, number: int, moment: datetime, zone: str
) -> tuple[FeedEvent, Line]:
    """A drive of 90 minutes that begins at a moment, told in a zone, and how it is to be read."""
    end = moment + timedelta(minutes=90)
    local = [one.astimezone(ZoneInfo(zone)) for one in (moment, end)]
    event = FeedEvent(yard.name, reader, "drive", zone, "", number, "Drive", (), local[0], local[1])
    told = [one.strftime("%Y-%m-%dT%H:%M:%SZ") for one in (moment, end)]
    return event, (event.uid, told[0], told[1], 0, "CONFIRMED")
