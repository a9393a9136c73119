"""The planner keeps the limits of a horse's own row: its rest after a drive, its hours on the road.

Show S1 of `tests.build`: classes on 8 and 10 April, stabling from the 5th to the 12th, as far from
home as a test says. All numbers are invented; the rules are those of DEVELOPERS.md.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from tests.build import make_horse, make_limits, make_yard, plan_most
from tripkit.judging.judge import find_violations
from tripkit.yard.circuit import Circuit
from tripkit.yard.yard import Yard

AT_70 = 70.0


def plan_clean(yard: Yard) -> Circuit:
    """The circuit of most worth, in which the judge finds nothing."""
    circuit = plan_most(yard)
    assert circuit.status == "proved best"
    assert [str(violation) for violation in find_violations(yard, circuit)] == []
    return circuit


@pytest.mark.parametrize(
    ("own", "arrive"),
    [
        # 5 h ask for no rest by the yard's table: there the day before the class of the 8th.
        ({}, date(2027, 4, 7)),
        # Two whole days between arrival and class: the 6th and the 7th.
        ({"travel_rest": ((4.0, 2),)}, date(2027, 4, 5)),
    ],
)
def test_a_horse_rests_by_its_own_table(own: dict[str, object], arrive: date) -> None:
    """`travel_rest` in a horse's row says how long before its first class it arrives."""
    yard = make_yard(
        km={("home", "Millbrook"): 5 * AT_70}, horses=[make_horse(limits=make_limits(**own))]
    )
    (outing,) = plan_clean(yard).outings
    assert (outing.classes, outing.arrive) == (("C1", "C2"), arrive)


def test_a_horse_rests_by_its_own_table_where_the_yard_asks_for_more() -> None:
    """A horse that needs no rest after 9 h, of which the yard's table asks for a day, has none."""
    yard = make_yard(
        km={("home", "Millbrook"): 9 * AT_70},
        horses=[make_horse(limits=make_limits(travel_rest=(), horse_hours_per_day=12))],
        limits=make_limits(horse_hours_per_day=12),
    )
    (outing,) = plan_clean(yard).outings
    assert outing.arrive == date(2027, 4, 7)


@pytest.mark.parametrize(("hours", "days"), [(10, 1), (5, 1), (4, 2)])
def test_a_horse_travels_its_own_hours(hours: int, days: int) -> None:
    """4 h 30 with a halt of 30 min are 5 h from loading to unloading: beyond 4, a night between."""
    yard = make_yard(
        km={("home", "Millbrook"): 4.5 * AT_70},
        horses=[make_horse(limits=make_limits(horse_hours_per_day=hours))],
    )
    for leg in plan_clean(yard).legs:
        assert leg.days.days == days
        assert [stop.kind for stop in leg.stops].count("overnight") == days - 1


def test_a_horse_drinks_as_often_as_its_row_says() -> None:
    """3 h 30 of driving with water every hour have three halts; the other horse asks for none."""
    yard = make_yard(
        km={("home", "Millbrook"): 3.5 * AT_70},
        horses=[make_horse(limits=make_limits(water_every_hours=1)), make_horse("Ebony")],
    )
    legs = [leg for leg in plan_clean(yard).legs if "Dancer" in leg.horses]
    assert legs
    for leg in legs:
        assert [stop.kind for stop in leg.stops] == ["water"] * 3
        starts = [leg.depart, *(s.start + timedelta(minutes=s.minutes) for s in leg.stops)]
        ends = [*(stop.start for stop in leg.stops), leg.arrive]
        assert all(b - a <= timedelta(hours=1) for a, b in zip(starts, ends, strict=True))
