"""Each freedom of the referee in a yard of its own, the worth counted by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import combinations
from typing import Any

from tests.brute.freedoms import NONE, Freedoms
from tests.brute.schedules import AIM_STEP, HOME, Map
from tests.brute.search import find_most
from tests.build import (
    make_absence,
    make_aim,
    make_class,
    make_horse,
    make_limits,
    make_lorry,
    make_rider,
    make_show,
    make_yard,
    span,
)
from tripkit.yard.places import Drive
from tripkit.yard.yard import DrivingSettings, Yard

FIRST = date(2027, 4, 5)


def day(number: int) -> str:
    """A day of the season, the first is 0."""
    return str(FIRST + timedelta(days=number))


def build(*shows: Any, hours: dict[tuple[str, str], float], **changes: Any) -> Yard:
    """Two horses and a lorry with one place, US law; the roads of two hours that are not told."""
    places = [HOME, *(one.place_key for one in shows)]
    known = {pair: 2.0 for pair in combinations(places, 2)} | hours
    fields: dict[str, Any] = {
        "season": (day(0), day(40)),
        "driving": DrivingSettings(rules="us"),
        "horses": [make_horse("Alder"), make_horse("Birch", rider="Ben")],
        "people": [make_rider("Ana"), make_rider("Ben")],
        "vehicles": [make_lorry(places=1)],
        "shows": shows,
        "km": {pair: Drive(70 * drive, drive) for pair, drive in known.items()},
    }
    return make_yard(**{**fields, **changes})


def show(name: str, first: int, last: int, *days: int, open_days: int = 2, **changes: Any) -> Any:
    """A show at a place of its own name, a class of worth 10 on each of some days."""
    return make_show(
        name,
        day(first),
        day(last),
        place_key=changes.pop("place_key", name),
        stabling=span(day(first - open_days), day(last + open_days)),
        classes=[make_class(f"C{n + 1}", day(on), name, **changes) for n, on in enumerate(days)],
    )


def worth(yard: Yard, **freedoms: bool) -> Decimal:
    """The most worth with some freedoms."""
    answer = find_most(yard, replace(NONE, **freedoms))
    assert answer is not None
    return answer.worth % AIM_STEP


def test_who_is_absent_on_the_next_day_leaves_in_the_evening() -> None:
    """Alder's class is on day 10, it is absent on day 11: only an evening brings it home."""
    yard = build(
        show("S1", 10, 10, 10),
        hours={("home", "S1"): 3},
        horses=[make_horse("Alder")],
        absences=[make_absence("Alder", day(11))],
    )
    assert (worth(yard), worth(yard, evening=True)) == (0, 10)


def test_who_need_not_come_before_comes_in_the_morning() -> None:
    """Alder is absent on day 9 and jumps on day 10, three hours away."""
    changes: dict[str, Any] = {
        "horses": [make_horse("Alder")],
        "absences": [make_absence("Alder", day(9))],
        "limits": make_limits(arrive_days_before=0),
    }
    yard = build(show("S1", 10, 10, 10), hours={("home", "S1"): 3}, **changes)
    assert (worth(yard), worth(yard, day_trips=True)) == (0, 10)
    far = build(show("S1", 10, 10, 10), hours={("home", "S1"): 4.25}, **changes)
    assert worth(far, day_trips=True) == 0


def test_two_horses_and_one_place_come_on_two_days() -> None:
    """An hour away, out, back, out: one horse comes on day 7, and one leaves on day 13."""
    yard = build(show("S1", 10, 10, 10, open_days=3), hours={("home", "S1"): 1})
    assert (worth(yard), worth(yard, any_day=True)) == (10, 20)


def test_a_lorry_brings_one_horse_home_and_another_out_on_a_day() -> None:
    """Alder comes home on day 11, on which Birch must leave: two drives of an hour."""
    yard = build(
        show("S1", 10, 10, 10, open_days=1),
        show("S2", 12, 12, 12, open_days=1),
        hours={("home", "S1"): 1, ("home", "S2"): 1, ("S1", "S2"): 20},
        limits=make_limits(shows_per_30_days=1),
    )
    assert (worth(yard), worth(yard, two_drives=True)) == (10, 20)


def test_a_lorry_comes_home_empty_from_far() -> None:
    """Three hours away: Alder out on day 13, empty home on day 14, Birch out on day 15.

    Empty from S2 to S1 on day 16, Alder home on day 17, empty out and Birch home on day 19.
    """
    yard = build(
        show("S1", 14, 14, 14, open_days=3),
        show("S2", 16, 16, 16, open_days=3),
        hours={("home", "S1"): 3, ("home", "S2"): 3, ("S1", "S2"): 5},
        limits=make_limits(shows_per_30_days=1),
    )
    usual, free = worth(yard, any_day=True), worth(yard, any_day=True, empty_anywhere=True)
    assert (usual, free) == (10, 20)


def test_a_horse_goes_out_again_on_the_day_after_it_came_home() -> None:
    """Nothing to recover from: classes on days 10 and 13, home on day 11, out on day 12."""
    yard = build(
        show("S1", 10, 10, 10, open_days=1),
        show("S2", 13, 13, 13, open_days=1),
        hours={("home", "S1"): 1, ("home", "S2"): 1, ("S1", "S2"): 8.5},
        horses=[make_horse("Alder")],
        limits=make_limits(no_jump_days=0, schools_before_show=0),
    )
    assert (worth(yard), worth(yard, straight_on=True)) == (10, 20)


def test_an_empty_lorry_drives_longer_than_horses_may() -> None:
    """9.5 h of driving: horses take two days, a driver by himself has 11 h."""
    yard = build(show("S1", 10, 10, 10), hours={("home", "S1"): 9.5})
    days = [
        Map(yard, freedoms).count_days("S1", HOME, loaded=loaded)
        for freedoms in (NONE, Freedoms(empty_by_driver=True))
        for loaded in (True, False)
    ]
    assert days == [2, 2, 2, 1]


def test_an_absent_lorry_stands_at_home() -> None:
    """Alder jumps on day 10, on which the lorry is absent: it may not wait at the show.

    It comes home empty on day 9 and goes out empty on day 11, each time in one of two drives.
    """
    yard = build(
        show("S1", 10, 10, 10),
        hours={("home", "S1"): 3},
        horses=[make_horse("Alder")],
        absences=[make_absence("Lorry", day(10))],
    )
    assert (worth(yard), worth(yard, empty_anywhere=True, two_drives=True)) == (0, 10)


def test_a_horse_stays_aboard_where_its_lorry_calls() -> None:
    """Two places aboard: both leave home on day 9, for shows an hour from each other, and come so.

    Birch is unloaded at S1, Alder goes on to S2. On day 11 the lorry loads at S2 and calls at S1.
    """
    yard = build(
        show("S1", 10, 10, 10, open_days=1),
        show("S2", 10, 10, 10, open_days=1, height_cm=130),
        hours={("home", "S1"): 3, ("home", "S2"): 3, ("S1", "S2"): 1},
        horses=[
            make_horse("Alder", from_height_cm=130),
            make_horse("Birch", rider="Ben", to_height_cm=120),
        ],
        vehicles=[make_lorry(places=2)],
    )
    usual = worth(yard, two_drives=True, empty_anywhere=True)
    assert (usual, worth(yard, two_drives=True, calls=True)) == (10, 20)


def test_points_count_until_the_class_of_the_aim() -> None:
    """S3 begins on day 20, its class of the aim is on day 30; the points are won on day 24."""
    yard = build(
        show("S1", 10, 10, 10, series="Cup", points=10),
        show("S2", 24, 24, 24, series="Cup", points=10),
        show("S3", 20, 30, 20, 30),
        hours={},
        horses=[make_horse("Alder")],
        limits=make_limits(shows_per_30_days=3, no_jump_days=2, schools_before_show=0),
        aims=[
            make_aim("Alder", "S3", class_name="C2", importance=40, series="Cup", points_needed=20)
        ],
    )
    assert (worth(yard), worth(yard, points_until_class=True)) == (30, 70)
