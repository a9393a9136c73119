"""What lorries may do between two nights: day plans of one drive or more, and where they wait.

Dancer has one class on 8 April; the stables open on the 6th and close on the 9th. A day begins with
loading at 5:00 and the wheels turn at 5:30; every 4 h a horse has half an hour for water; an empty
lorry drives at any hour, and no driving rules hold. All numbers are counted by hand.
"""

from __future__ import annotations

from datetime import date

import pytest

from tests.build import (
    make_absence,
    make_class,
    make_horse,
    make_limits,
    make_lorry,
    make_rider,
    make_show,
    make_yard,
    plan_most,
)
from tripkit.judging.judge import find_violations
from tripkit.planning.coupling import build_season
from tripkit.planning.problem import build_problem
from tripkit.yard.circuit import Circuit
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard

OUT, BACK = ("home", "Millbrook"), ("Millbrook", "home")


def show_on(show: str, on: str, place: str = "Millbrook") -> Show:
    """A show of one day with one class."""
    return make_show(show, on, on, place_key=place, classes=[make_class("C1", on, show)])


def yard_of(hours: float, **changes: object) -> Yard:
    """Dancer and S1, so many hours from home."""
    fields = {"shows": [show_on("S1", "2027-04-08")], "km": {OUT: hours * 70}, **changes}
    return make_yard(**fields)


def list_plans(yard: Yard) -> set[tuple[tuple[str, str, int, bool], ...]]:
    """The day plans: start, end, day of April, and whether horses are aboard, of each drive."""
    return {
        tuple((d.start, d.end, date.fromordinal(d.depart).day, d.loaded) for d in drives)
        for _, drives in build_season(build_problem(yard)).plans_of
    }


def plan_clean(yard: Yard) -> Circuit:
    """The circuit of most worth, proved, or that there is none; the judge finds nothing in it."""
    circuit = plan_most(yard)
    assert circuit.status in ("proved best", "none exists")
    assert [str(violation) for violation in find_violations(yard, circuit)] == []
    return circuit


@pytest.mark.parametrize(
    ("hours", "home_that_day"),
    # 5:30 and 8 h 15 with two halts are 14:45, and 8 h 15 are 23:00; 9 h end at 15:30 and 0:30.
    [(2, True), (8.25, True), (9, False)],
)
def test_a_lorry_that_has_unloaded_goes_home_empty_on_that_day_if_it_holds_that(
    hours: float, home_that_day: bool
) -> None:
    """Else on the next."""
    plans = list_plans(yard_of(hours))
    assert (((*OUT, 6, True), (*BACK, 6, False)) in plans) is home_that_day
    assert ((*BACK, 7, False),) in plans


def test_an_empty_lorry_reaches_its_load_on_the_day_or_the_day_before() -> None:
    """On the 9th Dancer is loaded in the morning: the lorry comes that day, or on the 8th."""
    plans = list_plans(yard_of(2))
    assert ((*OUT, 9, False), (*BACK, 9, True)) in plans
    assert ((*OUT, 8, False),) in plans
    assert ((*OUT, 4, False),) not in plans


def test_an_empty_lorry_goes_from_show_to_show() -> None:
    """Unloaded at Millbrook on the 7th, it loads at Fairview the next day."""
    yard = yard_of(2, shows=[show_on("S1", "2027-04-08"), show_on("S2", "2027-04-06", "Fairview")])
    # Dancer is fetched from Fairview on the evening of the 6th or on the 7th.
    plans = list_plans(yard)
    assert ((*OUT, 6, True), ("Millbrook", "Fairview", 6, False)) in plans
    assert ((*OUT, 7, True), ("Millbrook", "Fairview", 7, False)) not in plans


@pytest.mark.parametrize("away", [6, 7, 8, 9])
def test_a_lorry_that_is_absent_has_no_day_plan(away: int) -> None:
    """No drive begins on that day, and none of these lasts longer than a day."""
    yard = yard_of(2, absences=[make_absence("Lorry", f"2027-04-{away:02}")])
    days = {drive[2] for drives in list_plans(yard) for drive in drives}
    assert days
    assert away not in days


@pytest.mark.parametrize(("hours", "worth"), [(2, 10), (9, 0)])
def test_a_lorry_is_at_home_while_it_is_absent(hours: float, worth: int) -> None:
    """It brings Dancer on the 6th, is absent on the 7th: 2 h home it goes at once, 9 h it cannot.

    The stables open on the 6th, and after 9 h Dancer needs the 7th to rest; 2 h off it could have
    come on the 6th only, because on the 7th no lorry drives.
    """
    yard = yard_of(hours, absences=[make_absence("Lorry", "2027-04-07")])
    assert plan_clean(yard).totals.worth == worth


@pytest.mark.parametrize(("hours", "horses"), [(2, 2), (9, 1)])
def test_a_lorry_of_one_place_carries_two_horses_one_after_the_other(
    hours: float, horses: int
) -> None:
    """2 h off it brings one on the 6th and one on the 7th, and fetches them likewise.

    9 h off both would have to come on the 6th, the last day that leaves them the 7th to rest.
    """
    yard = yard_of(
        hours,
        horses=[make_horse(), make_horse("Bella")],
        vehicles=[make_lorry(places=1)],
    )
    circuit = plan_clean(yard)
    assert len(circuit.outings) == horses
    assert all(len(leg.horses) <= 1 for leg in circuit.legs)


def test_a_lorry_begins_and_ends_at_home_and_starts_where_it_ended() -> None:
    """The legs of the season of most worth, one after another."""
    legs = plan_clean(yard_of(2)).legs
    assert (legs[0].start, legs[-1].end) == ("home", "home")
    assert [leg.start for leg in legs[1:]] == [leg.end for leg in legs[:-1]]


def test_a_day_trip_is_out_and_back_on_one_day() -> None:
    """`arrive_days_before` 0, stables of the class day alone: there by 10:00, away from 16:30."""
    show = make_show(
        "S1",
        "2027-04-08",
        "2027-04-08",
        classes=[make_class()],
        stabling=show_on("S1", "2027-04-08").days,
    )
    yard = yard_of(2, shows=[show], limits=make_limits(arrive_days_before=0))
    circuit = plan_clean(yard)
    assert circuit.totals.worth == 10
    assert {leg.depart.date() for leg in circuit.legs} == {date(2027, 4, 8)}
    there, back = (leg for leg in circuit.legs if leg.horses)
    assert there.arrive.hour < 10
    assert (back.depart.hour, back.depart.minute) >= (16, 20)


def test_a_leg_is_named_by_a_show_that_is_open_when_the_lorry_is_there() -> None:
    """Bella stays aboard at Ash, on the 19th and 21st, where it jumps itself in April."""
    low = make_class("Low", "2027-03-20", "S1", height_cm=105)
    ash = make_show("S1", "2027-03-20", "2027-03-20", place_key="Ash", classes=[low])
    yard = make_yard(
        horses=[
            make_horse("Alder", from_height_cm=100, to_height_cm=110),
            make_horse("Bella", rider="Ben"),
        ],
        people=[make_rider(), make_rider("Ben")],
        shows=[
            ash,
            show_on("S2", "2027-03-20", "Bay"),
            show_on("S3", "2027-04-10", "Ash"),
        ],
        vehicles=[make_lorry(places=2)],
        km={("home", "Ash"): 140, ("Ash", "Bay"): 140, ("home", "Bay"): 280},
    )
    circuit = plan_clean(yard)
    ends = [(leg.start, leg.end) for leg in sorted(circuit.legs, key=lambda leg: leg.depart)]
    march = [("home", "S1"), ("S1", "S2"), ("S2", "S1"), ("S1", "home")]
    assert ends == [*march, ("home", "S3"), ("S3", "home")]
