"""crews: who drives which leg, and each driver's hours over the season.

A round is a drive to a show and one home. The strict reading of a log takes every unnamed driver
for one person in all lorries, as `crews` counts them.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.build import make_yard, span
from tripkit.driving.crews import put_on_drivers
from tripkit.driving.leg import RULES, schedule_drive
from tripkit.judging.logbook import find_log_faults, read_log
from tripkit.yard.circuit import Leg
from tripkit.yard.limits import Limits
from tripkit.yard.people import Absence
from tripkit.yard.vehicles import Vehicle

ZONE = "America/New_York"
MONDAY = date(2027, 3, 1)


def make_leg(vehicle, start, end, day, hours, rules="us", drivers=1, limits=None):
    """A leg with its timetable, nobody at the wheel yet."""
    table = schedule_drive(
        hours, day, ZONE, ZONE, limits or Limits(), RULES[rules], loaded=True, drivers=drivers
    )
    return Leg(vehicle, start, end, table.depart, table.arrive, 70.0, hours, (), ("Dancer",),
               table.stops)  # fmt: skip


def make_round(vehicle, day, hours, back_after=3, **more):
    """A lorry goes to S1 on a day of the season, and home so many days after it arrived."""
    out = make_leg(vehicle, "home", "S1", MONDAY + timedelta(days=day), hours, **more)
    home = out.arrive.date() + timedelta(days=back_after)
    return [out, make_leg(vehicle, "S1", "home", home, hours, **more)]


def name(yard, legs, rules="us"):
    """The drivers of each leg, in the order of the legs."""
    return [leg.drivers for leg in put_on_drivers(yard, legs, RULES[rules])]


def lorry(vehicle="Lorry", *names, drivers=1):
    return Vehicle(vehicle, 4, drivers, names)


def find_faults(legs, rules, drivers=1):
    """What the independent checker says of every driver's log, numbers taken for persons."""
    named = [
        replace(leg, drivers=tuple(n.replace("unnamed driver", "person") for n in leg.drivers))
        for leg in legs
    ]
    seat = "off duty" if rules == "eu" else "on duty"
    return [
        (driver, fault.rule, fault.text)
        for driver, log in read_log(named, second_seat=seat).items()
        for fault in find_log_faults(log, rules, edition=MONDAY, drivers=drivers)
    ]


class TestWho:
    """Names in the order written, then numbers."""

    def test_the_first_name_drives(self):
        """One crew for the whole round."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")])
        assert name(yard, make_round("Lorry", 0, 3.0)) == [("Dell",), ("Dell",)]

    def test_nobody_named(self):
        """An unnamed driver has a number."""
        yard = make_yard(vehicles=[lorry()])
        assert name(yard, make_round("Lorry", 0, 3.0)) == [("unnamed driver 1",)] * 2

    @pytest.mark.parametrize("away", ["2027-03-01", "2027-03-02", "2027-03-04"])
    def test_who_is_away_on_a_day_of_the_round_does_not_drive(self, away):
        """Out on 1 March, home on the 4th: a day away within them is one too many."""
        yard = make_yard(
            vehicles=[lorry("Lorry", "Dell", "Otis")], absences=[Absence("Dell", span(away))]
        )
        assert name(yard, make_round("Lorry", 0, 3.0)) == [("Otis",)] * 2

    def test_who_is_back_in_time_drives(self):
        """Away the day before and the day after."""
        yard = make_yard(
            vehicles=[lorry("Lorry", "Dell", "Otis")],
            absences=[Absence("Dell", span("2027-02-28")), Absence("Dell", span("2027-03-05"))],
        )
        assert name(yard, make_round("Lorry", 0, 3.0)) == [("Dell",)] * 2

    def test_who_is_out_with_another_lorry_does_not_drive(self):
        """Dell is named for both; the second lorry out has an unnamed driver, and a third too."""
        yard = make_yard(
            vehicles=[lorry("Box", "Dell"), lorry("Lorry", "Dell"), lorry("Van", "Dell")]
        )
        legs = [
            *make_round("Box", 0, 3.0),
            *make_round("Lorry", 1, 3.0),
            *make_round("Van", 2, 3.0),
            *make_round("Lorry", 9, 3.0),
        ]
        assert name(yard, legs)[::2] == [
            ("Dell",),
            ("unnamed driver 1",),
            ("unnamed driver 2",),
            ("Dell",),
        ]

    def test_two_drivers(self):
        """Two names, or one and a number."""
        yard = make_yard(
            vehicles=[
                lorry("Lorry", "Dell", "Otis", drivers=2),
                lorry("Box", "Dell", "Ines", drivers=2),
            ]
        )
        legs = [*make_round("Lorry", 0, 3.0, drivers=2), *make_round("Box", 1, 3.0, drivers=2)]
        assert name(yard, legs)[::2] == [("Dell", "Otis"), ("Ines", "unnamed driver 1")]

    def test_the_order_of_legs_is_kept(self):
        """Legs in any order come back in that order."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell")])
        legs = [*make_round("Lorry", 9, 3.0), *make_round("Lorry", 0, 3.0)]
        found = put_on_drivers(yard, legs, RULES["us"])
        assert [leg.depart for leg in found] == [leg.depart for leg in legs]


class TestHours:
    """Hours run out, and somebody else takes over from home."""

    @pytest.mark.parametrize(("hours", "third"), [(8.7, "Dell"), (8.8, "Otis")])
    def test_seventy_hours_in_eight_days(self, hours, third):
        """49 CFR 395.3(b): four rounds of two days in eight are 8 x 8.7 = 69.6 h; 8.8 are 70.4."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")])
        legs = [
            leg for day in (0, 2, 4, 6) for leg in make_round("Lorry", day, hours, back_after=1)
        ]
        assert name(yard, legs)[-2:] == [(third,)] * 2

    def test_a_restart_gives_all_hours_back(self):
        """34 h off (395.3(c)): after 6 days of 8.8 h and a day off, Dell drives on."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")])
        legs = [leg for day in (0, 2, 4, 7) for leg in make_round("Lorry", day, 8.8, back_after=1)]
        assert name(yard, legs) == [("Dell",)] * 8

    def test_ten_hours_off_between_two_lorries(self):
        """Home at 16:30 with one lorry, Dell may leave at 07:00 with the other."""
        yard = make_yard(vehicles=[lorry("Box", "Dell"), lorry("Lorry", "Dell")])
        legs = [*make_round("Box", 0, 8.5, back_after=1), *make_round("Lorry", 2, 8.5)]
        assert name(yard, legs) == [("Dell",)] * 4

    @pytest.mark.parametrize(("day", "driver"), [(6, "Otis"), (7, "Dell")])
    def test_a_weekly_rest_in_the_eu(self, day, driver):
        """Art. 8(6): home on the sixth day; the seventh ends 147 h after the first began.

        With a day off, 10:00 on the sixth to 07:00 on the eighth are a weekly rest of 45 h.
        """
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")])
        legs = [
            leg
            for out in (0, 2, 4, day)
            for leg in make_round("Lorry", out, 3.0, back_after=1, rules="eu")
        ]
        assert name(yard, legs, "eu")[-1] == (driver,)

    def test_two_long_days_a_week(self):
        """Art. 6(1): days over 9 h are at most two a week, so the second round is another's."""
        limits = Limits(horse_hours_per_day=16.0, water_every_hours=24.0)
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")])
        legs = [
            leg
            for day in (0, 2)
            for leg in make_round("Lorry", day, 9.4, back_after=1, rules="eu", limits=limits)
        ]
        assert name(yard, legs, "eu") == [("Dell",), ("Dell",), ("Otis",), ("Otis",)]

    def test_ninety_hours_in_two_weeks(self):
        """Art. 6(3): 6 x 8.4 = 50.4 h in one week leave 39.6 h: four days of 8.4, not six."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")])
        legs = [
            leg
            for day in (0, 2, 4, 7, 9, 11)
            for leg in make_round("Lorry", day, 8.4, back_after=1, rules="eu")
        ]
        drivers = name(yard, legs, "eu")
        assert drivers[6:10] == [("Dell",)] * 4
        assert drivers[10:] == [("Otis",)] * 2

    def test_another_driver_meets_the_lorry_where_nobody_can_drive_the_whole_round(self):
        """Four days out and, the next morning, four days home are too long for one (Art. 8(6))."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")])
        legs = make_round("Lorry", 0, 30.0, back_after=1, rules="eu")
        assert (legs[1].arrive - legs[0].depart).days >= 6
        assert name(yard, legs, "eu") == [("Dell",), ("Otis",)]


@pytest.mark.parametrize("rules", ["us", "eu", "gb"])
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_no_season_breaks_a_rule(rules, data):
    """Three lorries, few names, rounds close on each other's heels: every driver's log is lawful.

    Nobody is on two lorries at once either (`log-overlap`).
    """
    crew = data.draw(st.sampled_from([1, 2]))
    yard = make_yard(
        vehicles=[
            lorry("Box", "Dell", drivers=crew),
            lorry("Lorry", "Dell", "Otis", drivers=crew),
            lorry("Van", drivers=crew),
        ]
    )
    legs = []
    for vehicle in ("Box", "Lorry", "Van"):
        day = data.draw(st.integers(0, 3))
        for _ in range(data.draw(st.integers(0, 8))):
            hours = round(data.draw(st.floats(0.5, 26.0)), 2)
            after = data.draw(st.integers(1, 4))
            new = make_round(vehicle, day, hours, after, rules=rules, drivers=crew)
            legs += new
            day = (new[-1].arrive.date() - MONDAY).days + data.draw(st.integers(1, 4))
    legs = put_on_drivers(yard, legs, RULES[rules])
    assert all(len(set(leg.drivers)) == crew for leg in legs)
    assert find_faults(legs, rules, crew) == []
