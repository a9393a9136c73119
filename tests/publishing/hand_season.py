"""A season by hand: two horses, two owners, two riders, two shows in another time zone.

Alder (Olga and Otto half each, rider Ana) shows at Dothan 1 and Dothan 2, Birch (Otto, rider
Ben) at Dothan 1. Home is in New York time, Dothan in Chicago time. The first drive goes over
the night in which the clocks change, 14 March 2027. Of Alder's classes at Dothan 1 both are
paid, at Dothan 2 none is entered. Otto's horse Cedar stays at home.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from fractions import Fraction
from typing import Any

from icalendar import Calendar

from tests.build import (
    day,
    make_class,
    make_entry,
    make_horse,
    make_lorry,
    make_paper,
    make_rider,
    make_show,
    make_vet_check,
    make_yard,
    span,
)
from tripkit.publishing import FeedEvent
from tripkit.yard.circuit import Circuit, Day, Leg, Outing, Stop
from tripkit.yard.people import Person, Share
from tripkit.yard.places import Place, RoadBook
from tripkit.yard.yard import Yard

CHICAGO = "America/Chicago"
NEW_YORK = "America/New_York"
HOME_PLACE = Place("Millbrook", 41.785, -73.694, NEW_YORK, "US")
DOTHAN = Place("Dothan", 31.22323, -85.39049, CHICAGO, "US")


def make_season_yard(alder: str = "Alder", title: str = "Dothan 1", **changes: Any) -> Yard:
    """The yard of the season, with the first horse's name and the first show's title given."""
    shows = [
        make_show(
            "D1",
            "2027-03-16",
            "2027-03-20",
            name=title,
            place_key="Dothan, AL",
            timezone="",
            stabling=span("2027-03-14", "2027-03-22"),
            entries_close="2027-03-03",
            stall_fee_cents=8000,
            classes=(
                make_class("C1", "2027-03-17", "D1"),
                make_class("C2", "2027-03-19", "D1", height_cm=125),
            ),
        ),
        make_show(
            "D2",
            "2027-04-07",
            "2027-04-11",
            name="Dothan 2",
            place_key="Dothan, AL",
            timezone="",
            entries_close="2027-03-24",
            late_entries_until="2027-03-31",
            late_fee_cents=2500,
            stall_fee_cents=8000,
            classes=(
                make_class("Grand Prix", "2027-04-10", "D2", height_cm=130, fee_cents=20050),
                make_class("C1", "2027-04-08", "D2"),
            ),
        ),
    ]
    fields: dict[str, Any] = {
        "name": "Hill Farm",
        "place": HOME_PLACE,
        "shows": shows,
        "horses": [
            make_horse(alder),
            make_horse("Birch", rider="Ben"),
            make_horse("Cedar", rider=""),
        ],
        "people": [
            make_rider("Ana"),
            make_rider("Ben"),
            Person("Olga", "owner"),
            Person("Otto", "owner"),
            Person("Gil", "groom"),
            Person("Dr. Vale", "vet"),
        ],
        "shares": [
            Share(alder, "Olga", Fraction(1, 2)),
            Share(alder, "Otto", Fraction(1, 2)),
            Share("Birch", "Otto"),
            Share("Cedar", "Otto"),
        ],
        "vehicles": [make_lorry("Big Lorry", driver_names=("Sam",))],
        "entries": [
            make_entry("C1", horse=alder, show="D1"),
            make_entry("C2", horse=alder, show="D1"),
        ],
        "papers": [
            make_paper("influenza", "2026-11-03", alder, valid_until="2027-05-03"),
            make_paper("coggins", "2027-01-10", "Birch", valid_until="2027-08-05"),
            make_paper("passport", "2020-01-10", "Birch", valid_until="2027-08-06"),
            make_paper("licence", "2026-01-01", "Ana", valid_until="2027-04-30"),
        ],
        "vet_checks": [
            make_vet_check("2027-02-20", cleared=False, horse="Cedar", recheck_by="2027-03-08")
        ],
        "roads": RoadBook({"home": HOME_PLACE, "Dothan, AL": DOTHAN}, {}),
    }
    return make_yard(**{**fields, **changes})


def make_season_circuit(alder: str = "Alder") -> Circuit:
    """The circuit of the season, with the first horse's name given."""
    outings = (
        make_outing(alder, "D1", "Ana", ("C1", "C2"), "2027-03-17", "2027-03-19", "2027-03-14"),
        make_outing("Birch", "D1", "Ben", ("C1",), "2027-03-17", "2027-03-17", "2027-03-14"),
        make_outing(
            alder, "D2", "Ana", ("C1", "Grand Prix"), "2027-04-08", "2027-04-10", "2027-04-06"
        ),
    )
    legs = (
        Leg(
            "Big Lorry",
            "home",
            "D1",
            datetime.fromisoformat("2027-03-13T07:00-05:00"),
            datetime.fromisoformat("2027-03-14T15:00-05:00"),
            1120.0,
            16.0,
            ("Sam",),
            (alder, "Birch"),
            (
                Stop("water", datetime.fromisoformat("2027-03-13T11:00-05:00"), 30, "Harrisburg"),
                Stop("overnight", datetime.fromisoformat("2027-03-13T16:30-05:00"), 810, "Bristol"),
            ),
        ),
        make_leg("D1", "home", "2027-03-22T07:00-05:00", "2027-03-22T20:00-04:00", alder, "Birch"),
        make_leg("home", "D2", "2027-04-06T07:00-04:00", "2027-04-06T18:00-05:00", alder),
        make_leg("D2", "home", "2027-04-12T07:00-05:00", "2027-04-12T20:00-04:00", alder),
    )
    days = (
        Day(alder, date(2027, 3, 9), "home", "school"),
        Day("Birch", date(2027, 3, 9), "home", "school"),
        Day(alder, date(2027, 4, 3), "home", "school"),
        Day(alder, date(2027, 4, 13), "home", "vet check", ("flat",)),
        Day("Cedar", date(2027, 4, 13), "home", "vaccination"),
        Day("Birch", date(2027, 3, 24), "home", "flat", ("vet check",)),
    )
    return Circuit("c", "most worth", "proved best", outings=outings, legs=legs, days=days)


def make_outing(
    horse: str,
    show: str,
    rider: str,
    classes: tuple[str, ...],
    first_day: str,
    last_day: str,
    arrive: str,
) -> Outing:
    """An outing that leaves the grounds two days after the show's Saturday, on Monday."""
    leave = day(last_day) + timedelta(days=(7 - day(last_day).weekday()))
    return Outing(horse, show, rider, classes, day(first_day), day(last_day), day(arrive), leave)


def make_leg(start: str, end: str, depart: str, arrive: str, *horses: str) -> Leg:
    """A drive of the lorry with Sam, without halts."""
    moments = datetime.fromisoformat(depart), datetime.fromisoformat(arrive)
    return Leg("Big Lorry", start, end, *moments, 1120.0, 12.0, ("Sam",), horses)


def move_second_show(circuit: Circuit, days: int) -> Circuit:
    """The circuit with everything after March so many days later."""
    later = timedelta(days=days)
    april = date(2027, 4, 1)
    return replace(
        circuit,
        name="moved",
        outings=tuple(
            replace(
                o,
                first_day=o.first_day + later,
                last_day=o.last_day + later,
                arrive=o.arrive + later,
                leave=o.leave + later,
            )
            if o.first_day >= april
            else o
            for o in circuit.outings
        ),
        legs=tuple(
            replace(leg, depart=leg.depart + later, arrive=leg.arrive + later)
            if leg.depart.date() >= april
            else leg
            for leg in circuit.legs
        ),
        days=tuple(replace(d, date=d.date + later) if d.date >= april else d for d in circuit.days),
    )


def pick(events: tuple[FeedEvent, ...], kind: str, topic: str | None = None) -> FeedEvent:
    """The only event of a kind (and topic)."""
    found = [e for e in events if e.kind == kind and topic in (None, e.topic)]
    assert len(found) == 1, found
    return found[0]


def unfold(data: bytes) -> list[str]:
    """The content lines of a file, unfolded by the letter of RFC 5545 section 3.1."""
    return data.replace(b"\r\n ", b"").replace(b"\r\n\t", b"").decode().split("\r\n")[:-1]


def split_components(data: bytes, name: str) -> Iterator[list[str]]:
    """The own content lines of each component of a name, split by hand and not by a library.

    Lines of components inside it are left out.
    """
    open_names: list[str] = []
    inside: list[str] = []
    for line in unfold(data):
        if line.startswith("BEGIN:"):
            open_names.append(line.removeprefix("BEGIN:"))
            if open_names[-1] == name:
                inside = []
        elif line.startswith("END:"):
            assert open_names.pop() == line.removeprefix("END:")
            if line == f"END:{name}":
                yield inside
        elif open_names[-1] == name:
            inside.append(line)


def read(data: bytes) -> Calendar:
    """The file as the icalendar library reads it."""
    return Calendar.from_ical(data)
