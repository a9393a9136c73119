"""RFC 5545 section 3.8: GEO, STATUS, DTEND, UID, DTSTAMP, LAST-MODIFIED, SEQUENCE."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import pytest
import recurring_ical_events
import vobject

from tests.publishing.hand_season import (
    CHICAGO,
    make_season_circuit,
    make_season_yard,
    move_second_show,
    pick,
    read,
    split_components,
    unfold,
)
from tripkit.publishing import Reader, list_events, list_readers, write_events, write_feed
from tripkit.publishing.events import CANCELLED
from tripkit.yard.errors import BadValue
from tripkit.yard.places import Place, RoadBook

YARD = make_season_yard()
CIRCUIT = make_season_circuit()
ALDER = Reader("horse", "Alder")


# Section 3.8.1.6: "GEO:37.386013;-122.082932", latitude before longitude, six decimals at most.
@pytest.mark.parametrize(
    ("latitude", "longitude", "written"),
    [
        (37.386013, -122.082932, "GEO:37.386013;-122.082932"),
        (0.00001, -0.0000001, "GEO:0.000010;-0.000000"),
        (-90.0, 180.0, "GEO:-90.000000;180.000000"),
    ],
)
def test_section_3_8_1_6_geo_has_six_decimals_and_no_exponent(
    latitude: float, longitude: float, written: str
) -> None:
    """A place's degrees stand as the RFC writes them, however small."""
    place = Place("Dothan", latitude, longitude, CHICAGO)
    yard = make_season_yard(roads=RoadBook({"Dothan, AL": place}))
    assert written in unfold(write_feed(yard, CIRCUIT, ALDER))


def test_section_3_8_1_11_status_says_whether_a_show_is_entered() -> None:
    """STATUS of a VEVENT is TENTATIVE, CONFIRMED or CANCELLED: paid shows are sure, others not."""
    events = list_events(YARD, CIRCUIT, ALDER)
    assert pick(events, "stay", "D1").status == "CONFIRMED"
    assert pick(events, "stay", "D2").status == "TENTATIVE"
    lines = unfold(
        write_events(YARD, ALDER, [replace(pick(events, "stay", "D1"), status=CANCELLED)])
    )
    assert "STATUS:CANCELLED" in lines


# Section 3.8.2.2: DTEND "specifies the date and time that a calendar component ends", and with
# section 3.6.1 a DATE end is "the non-inclusive end of the event".
def test_section_3_8_2_2_a_stay_ends_on_the_day_after_it_leaves() -> None:
    """From 14 to 22 March on the grounds is written as 14 to 23 March."""
    lines = next(
        lines
        for lines in split_components(write_feed(YARD, CIRCUIT, ALDER), "VEVENT")
        if r"SUMMARY:Alder: show\, Dothan 1" in lines
    )
    assert "DTSTART;VALUE=DATE:20270314" in lines
    assert "DTEND;VALUE=DATE:20270323" in lines


@pytest.mark.parametrize(
    ("day", "there"),
    [
        (date(2027, 3, 13), False),
        (date(2027, 3, 14), True),
        (date(2027, 3, 22), True),
        (date(2027, 3, 23), False),
    ],
)
def test_section_3_8_2_2_other_readers_see_the_stay_on_its_days(day: date, there: bool) -> None:
    """Arrival and leaving belong to the stay, the days around it do not."""
    data = write_feed(YARD, CIRCUIT, ALDER)
    found = recurring_ical_events.of(read(data)).at(day)
    assert ("Alder: show, Dothan 1" in [str(event["SUMMARY"]) for event in found]) is there
    parsed = vobject.readOne(data.decode())
    stay = next(e for e in parsed.vevent_list if e.summary.value == "Alder: show, Dothan 1")
    assert (stay.dtstart.value <= day < stay.dtend.value) is there


def test_section_3_8_2_2_both_ends_are_of_one_kind_and_in_order() -> None:
    """DTEND has the value type of DTSTART and is later in time, in every feed."""
    for reader in list_readers(YARD):
        for event in read(write_feed(YARD, CIRCUIT, reader)).events:
            assert type(event.start) is type(event.end)
            assert event.start < event.end


# Section 3.8.4.7: UID is "the persistent, globally unique identifier".
def test_section_3_8_4_7_no_uid_stands_twice_in_any_feed() -> None:
    """All feeds of a yard together hold each UID once."""
    uids = [e.uid for reader in list_readers(YARD) for e in list_events(YARD, CIRCUIT, reader)]
    assert len(uids) == len(set(uids)) > 80


def test_section_3_8_4_7_a_new_plan_moves_events_and_keeps_their_uids() -> None:
    """Dothan 2 a week later: the same UIDs for every reader, other dates for what moved."""
    moved = move_second_show(CIRCUIT, 7)
    for reader in list_readers(YARD):
        before = {e.uid: e for e in list_events(YARD, CIRCUIT, reader)}
        after = {e.uid: e for e in list_events(YARD, moved, reader)}
        assert set(before) == set(after)
    alder = list_events(YARD, CIRCUIT, ALDER), list_events(YARD, moved, ALDER)
    for kind in ("stay", "travel there", "travel home", "recovery", "school", "vet check"):
        left, right = (pick(events, kind, "D2") for events in alder)
        assert left.uid == right.uid
        assert right.start - left.start == timedelta(days=7)


def test_section_3_8_4_7_uids_differ_by_reader_and_yard() -> None:
    """The same stay has another UID in the owner's feed, and in the feed of another yard."""
    other = make_season_yard(name="Valley Farm")
    uids = {
        pick(list_events(yard, CIRCUIT, reader), "stay", "D2").uid
        for yard, reader in ((YARD, ALDER), (YARD, Reader("owner", "Olga")), (other, ALDER))
    }
    assert len(uids) == 3


def test_section_3_8_4_7_a_second_school_leaves_the_first_its_uid() -> None:
    """Schools count within the horse and the show they lead to."""
    extra = replace(CIRCUIT.days[0], date=date(2027, 3, 12))
    more = replace(CIRCUIT, days=(*CIRCUIT.days, extra))
    before, after = (
        [e for e in list_events(YARD, c, ALDER) if e.kind == "school"] for c in (CIRCUIT, more)
    )
    assert [(e.topic, e.number) for e in after] == [("D1", 1), ("D1", 2), ("D2", 1)]
    assert {e.uid for e in before} < {e.uid for e in after}


def test_section_3_8_4_7_uids_are_ascii_and_short() -> None:
    """RFC 7986 section 5.3 asks for a UUID and at most 255 octets, whatever the name."""
    name = "🐴" * 200
    for event in list_events(
        make_season_yard(name), make_season_circuit(name), Reader("horse", name)
    ):
        assert event.uid.isascii()
        assert len(event.uid) == len("123e4567-e89b-12d3-a456-426614174000@tripkit.invalid")


# Section 3.8.7.2 DTSTAMP and 3.8.7.3 LAST-MODIFIED: "MUST be specified in the UTC time format".
def test_section_3_8_7_2_an_unpublished_circuit_is_stamped_with_the_season() -> None:
    """Without a publishing the stamps are the season's first day, 1 March, 00:00 UTC."""
    for lines in split_components(write_feed(YARD, CIRCUIT, ALDER), "VEVENT"):
        assert "DTSTAMP:20270301T000000Z" in lines
        assert "LAST-MODIFIED:20270301T000000Z" in lines
        assert "SEQUENCE:0" in lines


def test_section_3_8_7_2_a_publishing_stamps_in_utc() -> None:
    """Published on 2 March 2027 09:30:15 at UTC-5 is 14:30:15 UTC, without fractions."""
    published = datetime(2027, 3, 2, 9, 30, 15, 999, tzinfo=timezone(timedelta(hours=-5)))
    data = write_feed(YARD, CIRCUIT, ALDER, published=published)
    for lines in split_components(data, "VEVENT"):
        assert "DTSTAMP:20270302T143015Z" in lines
        assert "LAST-MODIFIED:20270302T143015Z" in lines
    assert read(data).events[0].last_modified == datetime(2027, 3, 2, 14, 30, 15, tzinfo=UTC)


def test_section_3_8_7_2_a_publishing_without_zone_is_refused() -> None:
    """Nobody knows which moment it is."""
    with pytest.raises(BadValue, match="no time zone"):
        write_feed(YARD, CIRCUIT, ALDER, published=datetime(2027, 3, 2))


# Section 3.8.7.4: SEQUENCE "is incremented each time the Organizer makes a significant revision".
def test_section_3_8_7_4_each_event_has_the_sequence_it_is_given() -> None:
    """The event with a sequence bears it, all others bear 0."""
    moved = pick(list_events(YARD, CIRCUIT, ALDER), "stay", "D2")
    data = write_feed(YARD, CIRCUIT, ALDER, sequences={moved.uid: 3, "unknown": 9})
    found = {str(e["UID"]): int(e["SEQUENCE"]) for e in read(data).events}
    assert found.pop(moved.uid) == 3
    assert set(found.values()) == {0}
