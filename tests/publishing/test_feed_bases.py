"""Calendars of a horse that lives at a base: one event per stay, work and drives where it is."""

from __future__ import annotations

from datetime import date

import pytest

from tests.build import make_base, make_limits
from tests.judging.plan import drive, outing, stable
from tripkit.publishing.events import list_events
from tripkit.publishing.readers import Reader
from tripkit.season.scorecard import finish_circuit
from tripkit.yard.people import Person

BARN = make_base(timezone="America/Chicago")
PEOPLE = (*stable().people, Person("Grace", "groom"), Person("Vera", "vet"))
YARD = stable(bases=(BARN,), limits=make_limits(vet_check_after_shows=1), people=PEOPLE)
CIRCUIT = finish_circuit(
    YARD,
    "A",
    "most worth",
    "proved best",
    40.0,
    40.0,
    0.1,
    [
        outing(YARD, "S1", "2027-04-07", "2027-04-11"),
        outing(YARD, "S2", "2027-04-20", "2027-04-22"),
    ],
    [
        drive("home", "Barn", "2027-04-01"),
        drive("Barn", "S1", "2027-04-07"),
        drive("S1", "Barn", "2027-04-11"),
        drive("Barn", "home", "2027-05-03"),
    ],
)


def pick(kind, *reader):
    return [e for e in list_events(YARD, CIRCUIT, Reader(*reader)) if e.kind == kind]


@pytest.mark.parametrize("reader", [("horse", "Alder"), ("owner", "Olga"), ("groom", "Grace")])
def test_a_stay_at_a_base_is_one_event(reader):
    """1 to 7 April and 11 April to 3 May, whatever it jumps in the town meanwhile."""
    stays = pick("base", *reader)
    assert [(e.start, e.end) for e in stays] == [
        (date(2027, 4, 1), date(2027, 4, 8)),
        (date(2027, 4, 11), date(2027, 5, 4)),
    ]
    assert stays[0].summary == "Alder: at Barn"
    assert stays[0].description == (
        "In its box there: nights of Thu 1 April to Tue 6 April\nGrooms of the yard look after it."
    )
    assert (stays[0].location, stays[0].zone) == ("Fairview", "America/Chicago")
    assert [e.number for e in stays] == [1, 2]


def test_a_rider_hears_of_his_shows_and_their_drives_alone():
    """Not of the barn, but of his ways with the lorry between it and home."""
    assert pick("base", "rider", "Ana") == []
    assert [e.summary for e in list_events(YARD, CIRCUIT, Reader("rider", "Ana"))] == [
        "With Lorry: home to Barn",
        "Alder: show, S1",
        "Alder: drive to S1",
        "Alder: drive to Barn",
        "Alder: show, S2",
        "With Lorry: Barn to home",
    ]


def test_the_way_back_to_the_base_is_that_of_the_show():
    """A new plan that goes home instead moves the event: it is the same one."""
    back = pick("travel home", "horse", "Alder")
    assert [(e.topic, e.number, e.summary) for e in back] == [
        ("S1", 1, "Alder: drive to Barn"),
        ("Barn", 1, "Alder: drive home from Barn"),
    ]


def test_work_and_vet_are_where_the_horse_lives():
    """Each school and check of April and May until it leaves is at the base, in its time zone."""
    there = [
        e
        for kind in ("school", "vet check")
        for e in pick(kind, "horse", "Alder")
        if date(2027, 4, 12) <= e.start < date(2027, 5, 3)
    ]
    assert len(there) >= 2
    assert {(e.location, e.zone) for e in there} == {("Fairview", "America/Chicago")}
    visits = [e for e in pick("vet visit", "vet", "Vera") if e.start == there[-1].start]
    assert {e.location for e in visits} <= {"Fairview"}
