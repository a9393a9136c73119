"""Who sees what: each reader his own, and nobody what is not his."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from tests.publishing.hand_season import make_season_circuit, make_season_yard, pick, read
from tripkit.publishing import FeedEvent, Reader, list_events, list_readers, write_feed
from tripkit.yard.people import Person, Share

YARD = make_season_yard()
CIRCUIT = make_season_circuit()


def list_for(kind: str, name: str) -> tuple[FeedEvent, ...]:
    """The events of one reader."""
    return list_events(YARD, CIRCUIT, Reader(kind, name))


def test_everybody_of_the_yard_is_a_reader() -> None:
    """Horses, owners, riders, grooms, drivers, vets in file order, and the yard."""
    assert [(r.kind, r.name) for r in list_readers(YARD)] == [
        ("horse", "Alder"),
        ("horse", "Birch"),
        ("horse", "Cedar"),
        ("owner", "Olga"),
        ("owner", "Otto"),
        ("rider", "Ana"),
        ("rider", "Ben"),
        ("groom", "Gil"),
        ("driver", "Sam"),
        ("vet", "Dr. Vale"),
        ("yard", "Hill Farm"),
    ]


def test_a_horse_s_feed_names_no_other_horse() -> None:
    """Alder shares the lorry with Birch; Alder's feed does not say so."""
    text = read(write_feed(YARD, CIRCUIT, Reader("horse", "Alder"))).to_ical().decode()
    assert "Alder" in text
    assert not re.search("Birch|Cedar", text)


def test_an_owner_s_feed_holds_his_horses_only() -> None:
    """Olga owns half of Alder, and sees nothing of Birch and Cedar, not even aboard."""
    events = list_for("owner", "Olga")
    assert {e.subject for e in events if e.subject} == {"Alder"}
    written = write_feed(YARD, CIRCUIT, Reader("owner", "Olga")).replace(b"\r\n ", b"")
    assert b"Aboard: Alder" in written
    assert not re.search(b"Birch|Cedar|Otto", written)


def test_an_owner_sees_all_his_horses_on_one_drive() -> None:
    """Otto's Alder and Birch ride in one lorry: one event, both names."""
    drives = [e for e in list_for("owner", "Otto") if e.kind == "travel there"]
    assert [e.summary for e in drives] == [
        "Alder, Birch: drive to Dothan 1",
        "Alder: drive to Dothan 2",
    ]


def test_an_owner_s_feed_has_the_money_of_his_own_share() -> None:
    """Olga and Otto own half of Alder each: of 330.50 for Dothan 2 each reads 165.25, no more.

    Birch is Otto's alone: 50.00 for a class and 80.00 for the stall.
    """
    for owner in ("Olga", "Otto"):
        alder = pick(list_for("owner", owner), "closing", "D2")
        assert "Your share of the fees: 165.25 USD" in alder.description
        assert not re.search(r"330\.50|250\.50|80\.00|25\.00", alder.description)
        assert "Late entries until Wed 31 March." in alder.description
    birch = pick(list_for("owner", "Otto"), "closing", "D1")
    assert "Fees: 130.00 USD (classes 50.00, stall 80.00)" in birch.description
    assert [e.summary for e in list_for("owner", "Olga") if e.kind == "closing"] == [
        "Alder: last day to enter, Dothan 2"
    ]


def test_shares_of_owners_sum_to_the_fees_to_the_cent() -> None:
    """Thirds of 330.50 are 110.17, 110.17 and 110.16: the first two get the odd cents."""
    owners = ("Olga", "Otto", "Ora")
    shares = [Share("Alder", owner, Fraction(1, 3)) for owner in owners]
    people = [*YARD.people, Person("Ora", "owner")]
    yard = make_season_yard(shares=shares, people=people)
    told = [
        pick(list_events(yard, CIRCUIT, Reader("owner", owner)), "closing", "D2").description
        for owner in owners
    ]
    for text, share in zip(told, ("110.17", "110.17", "110.16"), strict=True):
        assert f"Your share of the fees: {share} USD" in text


def test_a_rider_sees_the_shows_he_rides_and_the_drives_to_them() -> None:
    """Ben rides Birch at Dothan 1: there, on the grounds, home. Of Alder he sees nothing."""
    events = list_for("rider", "Ben")
    assert [e.kind for e in events] == ["travel there", "stay", "travel home"]
    assert {e.summary for e in events} == {
        "Birch: drive to Dothan 1",
        "Birch: show, Dothan 1",
        "Birch: drive home from Dothan 1",
    }
    assert "Departs home: Sat 13 March 07:00" in events[0].description
    assert "Drives: Sam" in events[0].description
    assert "Wed 17 March: C1, 120 cm" in events[1].description
    assert not [e for e in events if "Alder" in e.summary + e.description]


def test_a_rider_sees_his_own_licence_run_out() -> None:
    """Ana's licence is in her feed and in the yard's, in nobody else's."""
    for reader in list_readers(YARD):
        holds = "Ana: licence runs out" in [e.summary for e in list_events(YARD, CIRCUIT, reader)]
        assert holds is ((reader.kind, reader.name) in {("rider", "Ana"), ("yard", "Hill Farm")})


def test_a_rider_who_did_not_ride_there_does_not_see_the_drive_home() -> None:
    """With Alder ridden by Ben at Dothan 2, Ana has the drives of Dothan 1 only."""
    circuit = replace(
        CIRCUIT, outings=(*CIRCUIT.outings[:2], replace(CIRCUIT.outings[2], rider="Ben"))
    )
    events = list_events(YARD, circuit, Reader("rider", "Ana"))
    assert {e.topic for e in events if e.is_timed} == {"D1"}


def test_a_groom_sees_stays_and_drives_with_horses() -> None:
    """Three stays and four drives; an empty drive is not a groom's."""
    assert sorted(e.kind for e in list_for("groom", "Gil")) == ["drive"] * 4 + ["stay"] * 3
    empty = replace(CIRCUIT, legs=(*CIRCUIT.legs[:3], replace(CIRCUIT.legs[3], horses=())))
    groom = list_events(YARD, empty, Reader("groom", "Gil"))
    driver = list_events(YARD, empty, Reader("driver", "Sam"))
    assert [e.kind for e in groom].count("drive") == 3
    assert driver[-1].summary == "Big Lorry: Dothan 2 to home (empty)"


def test_a_driver_sees_his_drives_numbered_by_the_lorry() -> None:
    """The number counts all drives of the lorry, also those of another driver."""
    legs = (replace(CIRCUIT.legs[0], drivers=("Tom",)), *CIRCUIT.legs[1:])
    events = list_events(YARD, replace(CIRCUIT, legs=legs), Reader("driver", "Sam"))
    assert [(e.subject, e.number) for e in events] == [
        ("Big Lorry", 2),
        ("Big Lorry", 3),
        ("Big Lorry", 4),
    ]
    assert events[1].uid == list_for("driver", "Sam")[2].uid


def test_a_drive_that_nobody_is_named_for_says_so() -> None:
    """The yard sees that a driver is wanting."""
    legs = tuple(replace(leg, drivers=()) for leg in CIRCUIT.legs)
    events = list_events(YARD, replace(CIRCUIT, legs=legs), Reader("yard", "Hill Farm"))
    drives = [e for e in events if e.kind == "drive"]
    assert len(drives) == 4
    assert all("Drives: nobody named" in e.description for e in drives)


def test_a_vet_has_a_list_of_horses_per_visit() -> None:
    """On 13 April two horses at home are one visit; Cedar's recheck is a date of its own."""
    events = list_for("vet", "Dr. Vale")
    assert [(e.start.isoformat(), e.kind, e.number) for e in events] == [
        ("2027-03-08", "recheck", 1),
        ("2027-03-24", "vet visit", 1),
        ("2027-04-13", "vet visit", 2),
        ("2027-05-03", "paper", 1),
        ("2027-08-05", "paper", 1),
    ]
    # Papers that a vet signs; the passport and the rider's licence are not his.
    assert [e.summary for e in events[3:]] == [
        "Alder: influenza runs out",
        "Birch: coggins runs out",
    ]
    assert events[2].summary == "Vet: 2 horses"
    assert events[2].description == "Alder: look after Dothan 2\nCedar: vaccination"
    assert events[1].summary == "Vet: 1 horse"
    assert events[1].location == "Millbrook"


def test_checks_at_two_places_on_one_day_are_two_visits() -> None:
    """Alder seen on the grounds and Cedar at home: a vet cannot be at both at once."""
    days = tuple(replace(day, at="D2") if day.does == "vet check" else day for day in CIRCUIT.days)
    events = list_events(YARD, replace(CIRCUIT, days=days), Reader("vet", "Dr. Vale"))
    visits = [(e.location, e.description) for e in events if e.kind == "vet visit"]
    assert visits[1:] == [
        ("Dothan", "Alder: look after Dothan 2"),
        ("Millbrook", "Cedar: vaccination"),
    ]


def test_the_yard_sees_every_horse_and_every_drive_once() -> None:
    """All stays, and each drive once with all horses aboard."""
    events = list_for("yard", "Hill Farm")
    assert [e.summary for e in events if e.kind == "stay"] == [
        "Alder: show, Dothan 1",
        "Birch: show, Dothan 1",
        "Alder: show, Dothan 2",
    ]
    drives = [e.summary for e in events if e.is_timed]
    assert drives[0] == "Big Lorry: home to Dothan 1 (Alder, Birch)"
    assert len(drives) == 4
    assert pick(events, "vaccination").subject == "Cedar"
