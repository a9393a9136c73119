"""What the events of a feed are: their days, words and numbers."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import pairwise

import pytest

from tests.build import (
    make_entry,
    make_horse,
    make_limits,
    make_paper,
    make_show,
    make_vet_check,
)
from tests.publishing.hand_season import (
    make_leg,
    make_outing,
    make_season_circuit,
    make_season_yard,
    pick,
)
from tripkit.publishing import FeedEvent, Reader, list_events
from tripkit.yard.circuit import Circuit, Day
from tripkit.yard.errors import BadCircuits, BadValue
from tripkit.yard.yard import Yard

YARD = make_season_yard()
CIRCUIT = make_season_circuit()
ALDER = Reader("horse", "Alder")


def list_alder(yard: Yard = YARD, circuit: Circuit = CIRCUIT) -> tuple[FeedEvent, ...]:
    """The events of Alder's feed."""
    return list_events(yard, circuit, ALDER)


def find_kind(events: tuple[FeedEvent, ...], kind: str) -> list[FeedEvent]:
    """The events of one kind."""
    return [event for event in events if event.kind == kind]


def test_a_horse_has_one_event_per_stay_drive_recovery_school_check_and_date() -> None:
    """Two shows: two stays, four drives, two recoveries, two schools, one check, one closing."""
    kinds = [event.kind for event in list_alder()]
    assert {kind: kinds.count(kind) for kind in kinds} == {
        "stay": 2,
        "travel there": 2,
        "travel home": 2,
        "recovery": 2,
        "school": 2,
        "vet check": 1,
        "closing": 1,
        "paper": 1,
    }


def test_events_stand_in_order_of_time() -> None:
    """Days rise, and on one day events of whole days come before the drives."""
    for reader in (ALDER, Reader("yard", "Hill Farm")):
        keys = [(str(e.start)[:10], e.is_timed) for e in list_events(YARD, CIRCUIT, reader)]
        assert keys == sorted(keys)


def test_the_order_of_the_circuit_does_not_matter() -> None:
    """The same outings, legs and days from last to first give the same events."""
    turned = replace(
        CIRCUIT,
        outings=CIRCUIT.outings[::-1],
        legs=CIRCUIT.legs[::-1],
        days=CIRCUIT.days[::-1],
    )
    for reader in (ALDER, Reader("yard", "Hill Farm"), Reader("vet", "Dr. Vale")):
        assert list_events(YARD, turned, reader) == list_events(YARD, CIRCUIT, reader)


def test_a_stay_says_classes_rider_stalls_and_drives() -> None:
    """The words of a stay, line by line, by hand from the season."""
    stay = pick(list_alder(), "stay", "D2")
    assert stay.summary == "Alder: show, Dothan 2"
    assert stay.description.split("\n") == [
        "Thu 8 April: C1, 120 cm",
        "Sat 10 April: Grand Prix, 130 cm",
        "Rider: Ana",
        "On the grounds: Tue 6 April to Mon 12 April",
        "Stalls open: Mon 5 April to Mon 12 April",
        "There: Tue 6 April 07:00, Big Lorry, drives: Sam",
        "Back: Mon 12 April 07:00, Big Lorry, drives: Sam",
        "Not entered yet.",
        "Dates and fees as in the yard's calendar; the organiser's schedule decides.",
    ]
    assert stay.location == "Dothan"
    assert stay.geo == (31.22323, -85.39049)


def test_a_drive_says_every_halt_on_the_way() -> None:
    """A drive of two days is one event; the night of the clock change lasts 13.5 hours.

    16:30 EST and 810 minutes is 06:00 EST, which on 14 March is 07:00 EDT.
    """
    drive = pick(list_alder(), "travel there", "D1")
    assert drive.summary == "Alder: drive to Dothan 1"
    assert drive.description.split("\n") == [
        "Departs home: Sat 13 March 07:00",
        "Arrives Dothan 1: Sun 14 March 15:00",
        "Lorry: Big Lorry",
        "Drives: Sam",
        "Aboard: Alder",
        "1120 km, 16.0 h of driving",
        "Water Sat 13 March 11:00, 30 min, near Harrisburg",
        "Night stop Sat 13 March 16:30 to Sun 14 March 07:00, near Bristol",
        "Times are planned at the lorry's usual speed; the road decides.",
    ]


def test_a_yard_that_counts_miles_reads_miles() -> None:
    """1120 km are 695.9 international miles (1.609344 km each)."""
    drive = pick(list_alder(make_season_yard(units="miles")), "travel there", "D1")
    assert "696 miles, 16.0 h of driving" in drive.description


def test_a_recovery_is_the_days_without_jumping_after_the_last_class() -> None:
    """Seven days (default no_jump_days) after 19 March: 20 to 26 March."""
    recovery = pick(list_alder(), "recovery", "D1")
    assert (recovery.start, recovery.end) == (date(2027, 3, 20), date(2027, 3, 27))
    assert recovery.summary == "Alder: no jumping"
    assert "until Fri 26 March." in recovery.description
    assert "a vet decides" in recovery.description


def test_a_recovery_follows_the_horse_s_own_number() -> None:
    """A horse with three days without jumping has them from 20 to 22 March; with none, none."""
    for days, expected in ((3, [date(2027, 3, 23)]), (0, [])):
        horses = [make_horse("Alder", limits=make_limits(no_jump_days=days)), *YARD.horses[1:]]
        events = list_alder(make_season_yard(horses=horses))
        found = [e.end for e in find_kind(events, "recovery") if e.topic == "D1"]
        assert found == expected


@pytest.mark.parametrize(
    ("row", "clear_days", "expected"),
    [
        # In a row: recovery follows the second (rule `recovery`, DEVELOPERS.md).
        (2, 4, [date(2027, 3, 27)]),
        # Five clear days are no row: five days remain of the seven.
        (2, 5, [date(2027, 3, 20), date(2027, 3, 28)]),
        (1, 4, [date(2027, 3, 20), date(2027, 3, 27)]),
    ],
)
def test_shows_in_a_row_have_one_recovery(row: int, clear_days: int, expected: list[date]) -> None:
    """D2 follows D1 after some clear days, one class day each, at the same place."""
    first_day = date(2027, 3, 20) + timedelta(days=clear_days)
    horses = [make_horse("Alder", limits=make_limits(shows_in_a_row=row)), *YARD.horses[1:]]
    second = replace(
        CIRCUIT.outings[2],
        first_day=first_day,
        last_day=first_day + timedelta(days=2),
        arrive=first_day - timedelta(days=1),
        leave=first_day + timedelta(days=3),
    )
    circuit = replace(CIRCUIT, outings=(*CIRCUIT.outings[:2], second))
    events = find_kind(list_alder(make_season_yard(horses=horses), circuit), "recovery")
    assert [event.start for event in events] == expected
    for left, right in pairwise(events):
        assert left.end <= first_day < right.start


def make_third_show() -> tuple[Yard, Circuit]:
    """A third show at Dothan: one class day each on 19, 21 and 23 March."""
    third = replace(
        YARD.shows[1], show="D3", name="Dothan 3", classes=(), place_key=YARD.shows[0].place_key
    )
    horses = [make_horse("Alder", limits=make_limits(shows_in_a_row=2)), *YARD.horses[1:]]
    yard = make_season_yard(shows=[*YARD.shows, third], horses=horses)
    first = CIRCUIT.outings[0]
    row = [
        replace(
            first,
            show=show,
            first_day=date(2027, 3, day),
            last_day=date(2027, 3, day),
            arrive=date(2027, 3, day - 1),
            leave=date(2027, 3, day + 1),
        )
        for show, day in (("D1", 19), ("D2", 21), ("D3", 23))
    ]
    return yard, replace(CIRCUIT, outings=tuple(row))


def test_a_row_is_no_longer_than_the_horse_s_limit() -> None:
    """Of three shows two days apart, with two in a row allowed, recovery follows the second.

    Days without jumping: 22 March alone, then from 24 March; none after the first.
    """
    yard, circuit = make_third_show()
    found = [
        (e.topic, e.start.day, e.end.day) for e in find_kind(list_alder(yard, circuit), "recovery")
    ]
    assert found == [("D2", 22, 23), ("D3", 24, 31)]


def test_a_horse_that_stays_for_the_next_show_has_no_drive_between() -> None:
    """Of shows at one place, the drive there belongs to the first, the drive home to the last."""
    yard, circuit = make_third_show()
    home = replace(
        CIRCUIT.legs[1],
        depart=datetime.fromisoformat("2027-03-24T07:00-05:00"),
        arrive=datetime.fromisoformat("2027-03-24T20:00-04:00"),
    )
    events = list_alder(yard, replace(circuit, legs=(CIRCUIT.legs[0], home)))
    texts = {topic: pick(events, "stay", topic).description for topic in ("D1", "D2", "D3")}
    assert [topic for topic, text in texts.items() if "There: " in text] == ["D1"]
    assert [topic for topic, text in texts.items() if "Back: " in text] == ["D3"]
    assert pick(events, "travel home").topic == "D3"


def test_a_show_s_own_zone_goes_before_that_of_its_place() -> None:
    """A timezone written in shows.csv holds, whatever the gazetteer says of the town."""
    shows = [YARD.shows[0], replace(YARD.shows[1], timezone="America/Denver")]
    drive = pick(list_alder(make_season_yard(shows=shows)), "travel there", "D2")
    # 18:00 CDT (UTC-5) is 17:00 MDT (UTC-6).
    assert drive.end.isoformat() == "2027-04-06T17:00:00-06:00"


def test_a_check_on_the_last_day_of_a_show_follows_that_show() -> None:
    """On the grounds, on the day of the last class."""
    day = Day("Alder", date(2027, 3, 19), "D1", "show", ("vet check",))
    check = pick(list_alder(circuit=replace(CIRCUIT, days=(day,))), "vet check")
    assert (check.topic, check.location) == ("D1", "Dothan")


def test_of_two_papers_of_one_day_the_one_with_an_end_counts() -> None:
    """Better told once too often than never."""
    end = make_paper("coggins", "2027-01-05", "Alder", valid_until="2027-05-05")
    papers = [end, make_paper("coggins", "2027-01-05", "Alder")]
    for rows in (papers, papers[::-1]):
        event = pick(list_alder(make_season_yard(papers=rows)), "paper")
        assert event.start == date(2027, 5, 5)


def test_a_school_leads_to_the_next_show_and_a_check_follows_the_last() -> None:
    """Schools are numbered before a show, checks after one."""
    events = list_alder()
    schools = [(e.start, e.topic, e.number) for e in find_kind(events, "school")]
    assert schools == [(date(2027, 3, 9), "D1", 1), (date(2027, 4, 3), "D2", 1)]
    check = pick(events, "vet check")
    assert (check.start, check.topic, check.end) == (
        date(2027, 4, 13),
        "D2",
        date(2027, 4, 14),
    )
    assert check.description == "Look after Dothan 2\nA vet decides."


def test_work_that_stands_second_on_a_day_has_its_event() -> None:
    """A vet check `also` done on a flat day is an event like any other."""
    check = pick(list_events(YARD, CIRCUIT, Reader("horse", "Birch")), "vet check")
    assert check.start == date(2027, 3, 24)


def test_work_on_the_grounds_is_there() -> None:
    """A school at the show has the show's place."""
    day = Day("Alder", date(2027, 3, 15), "D1", "school")
    events = list_alder(circuit=replace(CIRCUIT, days=(day,)))
    assert pick(events, "school").location == "Dothan"


def test_a_closing_date_says_what_to_enter_and_the_fee() -> None:
    """Dothan 2, none entered: 50.00 + 200.50 for classes, 80.00 for the stall."""
    closing = pick(list_alder(), "closing")
    assert (closing.start, closing.end) == (date(2027, 3, 24), date(2027, 3, 25))
    assert closing.summary == "Alder: last day to enter, Dothan 2"
    assert closing.description.split("\n") == [
        "Thu 8 April: C1, 120 cm",
        "Sat 10 April: Grand Prix, 130 cm",
        "Fees: 330.50 USD (classes 250.50, stall 80.00)",
        "Late entries until Wed 31 March for 25.00 USD more.",
        "Dates and fees as in the yard's calendar; the organiser's schedule decides.",
    ]


def test_a_class_that_is_entered_is_not_asked_for_again() -> None:
    """With C1 sent, the Grand Prix alone is to be entered, and the stall is paid for."""
    entries = [*YARD.entries, make_entry("C1", "sent", horse="Alder", show="D2")]
    text = pick(list_alder(make_season_yard(entries=entries)), "closing").description
    assert "Fees: 200.50 USD (classes 200.50)" in text
    assert "C1" not in text


@pytest.mark.parametrize(
    ("today", "closes"),
    [
        # Entries of Dothan 2 close on 24 March, late ones on the 31st.
        ("2027-03-24", date(2027, 3, 24)),
        ("2027-03-31", date(2027, 3, 31)),
    ],
)
def test_entries_that_close_today_are_still_open_today(today: str, closes: date) -> None:
    """A new entry is possible while its last day is not before today (rule `closed`)."""
    events = list_alder(make_season_yard(today=today))
    assert pick(events, "closing").start == closes


def test_after_the_closing_date_the_late_one_counts() -> None:
    """On 25 March entries are closed; until 31 March they cost 25.00 more."""
    closing = pick(list_alder(make_season_yard(today="2027-03-25")), "closing")
    assert closing.start == date(2027, 3, 31)
    assert "late fee 25.00" in closing.description
    assert "Fees: 355.50 USD" in closing.description
    assert find_kind(list_alder(make_season_yard(today="2027-04-01")), "closing") == []


@pytest.mark.parametrize(
    ("valid_until", "shown"),
    [
        # Season 2027-03-01 to 2027-06-06; sixty days later is 5 August; today 28 February.
        ("2027-02-27", False),
        ("2027-02-28", True),
        ("2027-08-05", True),
        ("2027-08-06", False),
    ],
)
def test_papers_that_run_out_until_sixty_days_after_the_season(
    valid_until: str, shown: bool
) -> None:
    """The last day on which a paper holds is an event, where it is near."""
    papers = [make_paper("coggins", "2026-08-05", "Alder", valid_until=valid_until)]
    found = find_kind(list_alder(make_season_yard(papers=papers)), "paper")
    assert [event.start.isoformat() for event in found] == ([valid_until] if shown else [])


def test_a_renewed_paper_moves_its_event() -> None:
    """The later of two rows holds, and bears the UID of the earlier."""
    old = make_paper("coggins", "2026-05-05", "Alder", valid_until="2027-05-05")
    new = make_paper("coggins", "2027-02-02", "Alder", valid_until="2027-07-07")
    before = pick(list_alder(make_season_yard(papers=[old])), "paper")
    after = pick(list_alder(make_season_yard(papers=[new, old])), "paper")
    assert (before.start, after.start) == (date(2027, 5, 5), date(2027, 7, 7))
    assert before.uid == after.uid


def test_a_horse_that_was_cleared_has_no_recheck() -> None:
    """The last check counts."""
    cedar = Reader("horse", "Cedar")
    assert pick(list_events(YARD, CIRCUIT, cedar), "recheck").start == date(2027, 3, 8)
    checks = [make_vet_check("2027-02-26", horse="Cedar"), *YARD.vet_checks]
    events = list_events(make_season_yard(vet_checks=checks), CIRCUIT, cedar)
    assert find_kind(events, "recheck") == []


def test_an_appointment_takes_no_recheck_away() -> None:
    """A row of the vet's next visit without an answer leaves the recheck where it was."""
    cedar = Reader("horse", "Cedar")
    checks = [*YARD.vet_checks, make_vet_check("2027-03-01", None, horse="Cedar")]
    events = list_events(make_season_yard(vet_checks=checks), CIRCUIT, cedar)
    assert pick(events, "recheck").start == date(2027, 3, 8)


def test_a_drive_from_show_to_show_leads_to_the_second() -> None:
    """A leg that starts at one show and ends at another is the way to the second."""
    on = replace(CIRCUIT.legs[1], end="D2", arrive=datetime.fromisoformat("2027-04-06T20:00-05:00"))
    yard = make_season_yard(
        shows=[YARD.shows[0], replace(YARD.shows[1], place_key="Elsewhere", timezone="UTC")]
    )
    circuit = replace(CIRCUIT, legs=(CIRCUIT.legs[0], on, CIRCUIT.legs[3]))
    events = list_alder(yard, circuit)
    drive = pick(events, "travel there", "D2")
    assert drive.summary == "Alder: drive to Dothan 2"
    assert drive.location == "Dothan"
    assert "Then: Mon 22 March 07:00" in pick(events, "stay", "D1").description
    assert pick(events, "stay", "D2").location == "Elsewhere"


def make_calls() -> tuple[Yard, Circuit]:
    """Alder stays aboard where the lorry calls at Pine, to D2 and back; it jumps at Pine in May."""
    pine = make_show("P5", "2027-05-05", name="Pine 5", place_key="Pine, GA")
    earlier = make_show("P4", "2027-04-07", name="Pine 4", place_key="Pine, GA")
    jumps = make_outing("Alder", "P5", "Ana", ("C1",), "2027-05-06", "2027-05-06", "2027-05-04")
    calls = (
        make_leg("home", "P4", "2027-04-06T07:00-04:00", "2027-04-06T12:00-04:00", "Alder"),
        make_leg("P4", "D2", "2027-04-06T13:00-04:00", "2027-04-06T18:00-05:00", "Alder"),
        make_leg("D2", "P4", "2027-04-12T07:00-05:00", "2027-04-12T14:00-04:00", "Alder"),
        make_leg("P4", "home", "2027-04-12T15:00-04:00", "2027-04-12T20:00-04:00", "Alder"),
    )
    may = (
        make_leg("home", "P5", "2027-05-04T07:00-04:00", "2027-05-04T12:00-04:00", "Alder"),
        make_leg("P5", "home", "2027-05-10T07:00-04:00", "2027-05-10T12:00-04:00", "Alder"),
    )
    yard = make_season_yard(shows=[*YARD.shows, earlier, pine])
    legs, outings = (*CIRCUIT.legs[:2], *calls, *may), (*CIRCUIT.outings, jumps)
    return yard, replace(CIRCUIT, legs=legs, outings=outings)


def test_where_the_lorry_calls_a_horse_is_still_on_its_way() -> None:
    """Both drives with a call between belong to the show it drives to, or comes home from."""
    events = list_alder(*make_calls())
    ways = [(e.start.isoformat()[5:16], e.topic, e.number) for e in events if "travel" in e.kind]
    assert ways[2:] == [
        ("04-06T07:00", "D2", 1),
        ("04-06T13:00", "D2", 2),
        ("04-12T07:00", "D2", 3),
        ("04-12T15:00", "D2", 1),
        ("05-04T07:00", "P5", 1),
        ("05-10T07:00", "P5", 1),
    ]
    stay = pick(events, "stay", "D2").description
    assert "There: Tue 6 April 07:00" in stay
    assert "Then: Mon 12 April 07:00" in stay
    riders = list_events(*make_calls(), Reader("rider", "Ana"))
    assert [e.start for e in riders if e.is_timed] == [e.start for e in events if e.is_timed]


def test_a_circuit_without_a_plan_still_has_dates_of_papers() -> None:
    """Where no circuit exists, papers run out all the same."""
    empty = Circuit("none", "most worth", "none exists", reasons=("no road",))
    assert [event.kind for event in list_alder(circuit=empty)] == ["paper"]


def test_a_circuit_of_another_yard_is_refused() -> None:
    """An unknown horse or show is named in the error."""
    strange = replace(CIRCUIT.outings[0], horse="Pegasus")
    with pytest.raises(BadCircuits, match="'Pegasus' is no horse of Hill Farm"):
        list_alder(circuit=replace(CIRCUIT, outings=(strange,)))
    nowhere = replace(CIRCUIT.legs[0], end="D9")
    with pytest.raises(BadCircuits, match="'D9' is no show of Hill Farm"):
        list_alder(circuit=replace(CIRCUIT, legs=(nowhere,)))


def test_an_unknown_reader_is_refused() -> None:
    """A name nobody bears has no feed, nor a kind that does not exist."""
    with pytest.raises(BadValue, match="'Pegasus' is no horse of Hill Farm"):
        list_events(YARD, CIRCUIT, Reader("horse", "Pegasus"))
    with pytest.raises(BadValue, match="'blacksmith' is none of"):
        Reader("blacksmith", "Alder")
