"""crews: who drives which leg, and each driver's hours over the season.

A round is a drive to a show and one home. The strict reading of a log takes every unnamed driver
for one person in all lorries, as `crews` counts them.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.build import make_yard, span
from tripkit.driving.crews import put_on_drivers
from tripkit.driving.leg import schedule_drive
from tripkit.driving.rules import RULES
from tripkit.judging.logbook import find_log_faults, read_log
from tripkit.yard.circuit import UNNAMED, Leg, write_driver
from tripkit.yard.limits import Limits
from tripkit.yard.people import Absence
from tripkit.yard.vehicles import Vehicle

ZONE = "America/New_York"
MONDAY = date(2027, 3, 1)
# Where the law alone is asked.
NO_DAY_OFF = Limits(driver_days_off=0)


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
    return [tuple(map(str, leg.drivers)) for leg in put_on_drivers(yard, legs, RULES[rules])]


def lorry(vehicle="Lorry", *names, drivers=1):
    return Vehicle(vehicle, 4, drivers, names)


def find_faults(legs, rules, drivers=1):
    """What the independent checker says of every driver's log, numbers taken for persons."""
    named = [
        replace(leg, drivers=tuple(write_driver(d).replace(UNNAMED, "person") for d in leg.drivers))
        for leg in legs
    ]
    seat = "off duty" if rules == "eu" else "on duty"
    return [
        (driver, fault.rule, str(fault.fact))
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

    def test_who_stays_out_has_a_driver(self):
        """A lorry that is not back yet was driven there by somebody."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell"), lorry("Box", "Otis")])
        legs = [*make_round("Lorry", 0, 3.0)[:1], *make_round("Box", 0, 3.0)[:1]]
        assert name(yard, legs) == [("Dell",), ("Otis",)]

    def test_who_comes_home_goes_on_with_the_lorry_that_day(self):
        """Otis brought the lorry home; Dell, the first named, was away then and is back by now."""
        yard = make_yard(
            vehicles=[lorry("Lorry", "Dell", "Otis")],
            absences=[Absence("Dell", span("2027-03-02"))],
        )
        legs = [
            drive_at("home", "S1", 0, "07:00", 2.0),
            drive_at("S1", "home", 3, "07:00", 2.0),
            drive_at("home", "S2", 3, "10:00", 2.0),
            drive_at("S2", "home", 6, "07:00", 2.0),
        ]
        assert name(yard, legs) == [("Otis",)] * 4
        # On another day the names are asked in their order.
        legs[2] = drive_at("home", "S2", 4, "10:00", 2.0)
        assert name(yard, legs) == [("Otis",)] * 2 + [("Dell",)] * 2

    def test_nobody_takes_the_crew_that_goes_on(self):
        """The box leaves between the lorry's two drives of a day: another driver drives it."""
        yard = make_yard(vehicles=[lorry("Lorry"), lorry("Box")])
        legs = [
            drive_at("home", "S1", 0, "07:00", 2.0),
            drive_at("S1", "home", 3, "07:00", 2.0),
            drive_at("home", "S2", 3, "10:00", 2.0),
            drive_at("S2", "home", 6, "07:00", 2.0),
            replace(drive_at("home", "S1", 3, "09:30", 2.0), vehicle="Box"),
            replace(drive_at("S1", "home", 5, "09:30", 2.0), vehicle="Box"),
        ]
        assert name(yard, legs) == [("unnamed driver 1",)] * 4 + [("unnamed driver 2",)] * 2

    @pytest.mark.parametrize(("rules", "clock", "driver"), [
        ("eu", "12:00", "Otis"), ("eu", "12:45", "Dell"), ("us", "12:00", "Otis"),
        ("us", "12:30", "Dell"),
    ])  # fmt: skip
    def test_a_break_is_due_over_two_lorries(self, rules, clock, driver):
        """Home at 12:00 after 4 h (EU, Art. 7) or 7 h (49 CFR 395.3(a)(3)(ii)), then 2 h more."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell"), lorry("Box", "Dell", "Otis")])
        hours, start = (4.0, "08:00") if rules == "eu" else (7.0, "05:00")
        legs = [
            drive_at("S1", "home", 0, start, hours),
            replace(drive_at("home", "S1", 0, clock, 2.0), vehicle="Box"),
        ]
        assert name(yard, legs, rules) == [("Dell",), (driver,)]

    def test_the_order_of_legs_is_kept(self):
        """Legs in any order come back in that order."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell")])
        legs = [*make_round("Lorry", 9, 3.0), *make_round("Lorry", 0, 3.0)]
        found = put_on_drivers(yard, legs, RULES["us"])
        assert [leg.depart for leg in found] == [leg.depart for leg in legs]


class TestDaysOff:
    """Of any seven days one is without a drive."""

    def test_the_next_driver_takes_over(self):
        """Rounds of two days: six days in a row are Ann's, the seventh and eighth are Bob's."""
        legs = [leg for day in (0, 2, 4, 6) for leg in make_round("Lorry", day, 2, back_after=1)]
        yard = make_yard(vehicles=(lorry("Lorry", "Ann", "Bob"),))
        assert name(yard, legs) == [("Ann",)] * 6 + [("Bob",)] * 2
        yard = make_yard(vehicles=(lorry("Lorry", "Ann"),))
        assert name(yard, legs) == [("Ann",)] * 6 + [("unnamed driver 1",)] * 2

    def test_a_day_between_is_enough(self):
        """Days 0 to 5 and 7 to 8: no seven days in a row hold more than six of Ann's."""
        legs = [leg for day in (0, 2, 4, 7) for leg in make_round("Lorry", day, 2, back_after=1)]
        assert name(make_yard(vehicles=(lorry("Lorry", "Ann"),)), legs) == [("Ann",)] * 8


class TestHours:
    """Hours run out, and somebody else takes over from home."""

    @pytest.mark.parametrize(("hours", "third"), [(8.7, "Dell"), (8.8, "Otis")])
    def test_seventy_hours_in_eight_days(self, hours, third):
        """49 CFR 395.3(b): four rounds of two days in eight are 8 x 8.7 = 69.6 h; 8.8 are 70.4."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        legs = [
            leg for day in (0, 2, 4, 6) for leg in make_round("Lorry", day, hours, back_after=1)
        ]
        assert name(yard, legs)[-2:] == [(third,)] * 2

    def test_a_restart_gives_all_hours_back(self):
        """34 h off (395.3(c)): after 6 days of 8.8 h and a day off, Dell drives on."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
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
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        legs = [
            leg
            for out in (0, 2, 4, day)
            for leg in make_round("Lorry", out, 3.0, back_after=1, rules="eu")
        ]
        assert name(yard, legs, "eu")[-1] == (driver,)

    def test_two_long_days_a_week(self):
        """Art. 6(1): days over 9 h are at most two a week, so the second round is another's."""
        limits = Limits(horse_hours_per_day=16.0, water_every_hours=24.0)
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        legs = [
            leg
            for day in (0, 2)
            for leg in make_round("Lorry", day, 9.4, back_after=1, rules="eu", limits=limits)
        ]
        assert name(yard, legs, "eu") == [("Dell",), ("Dell",), ("Otis",), ("Otis",)]

    def test_ninety_hours_in_two_weeks(self):
        """Art. 6(3): 6 x 8.4 = 50.4 h in one week leave 39.6 h: four days of 8.4, not six."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
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
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        legs = make_round("Lorry", 0, 30.0, back_after=1, rules="eu")
        assert (legs[1].arrive - legs[0].depart).days >= 6
        assert name(yard, legs, "eu") == [("Dell",), ("Otis",)]


def put_at(leg, depart):
    """The same leg, as long and with the same halts, but at another time."""
    later = depart - leg.depart
    stops = tuple(replace(stop, start=stop.start + later) for stop in leg.stops)
    return replace(leg, depart=depart, arrive=leg.arrive + later, stops=stops)


def drive_at(start, end, day, clock, hours):
    """A drive without a halt on a day of the season from a time of day ("07:00") on."""
    depart = datetime.combine(
        MONDAY + timedelta(days=day), time.fromisoformat(clock), ZoneInfo(ZONE)
    )
    arrive = depart + timedelta(hours=hours)
    return Leg("Lorry", start, end, depart, arrive, 70.0, hours, (), ("Dancer",))


def make_day_trip(day, clock, back, hours):
    """To S1 and home again on one day, so many hours each way."""
    return [
        drive_at("home", "S1", day, clock, hours),
        drive_at("S1", "home", day, back, hours),
    ]


def make_long_day(day, clock, back):
    """To S1, from noon to S2 and home again, 2 h each: no halt between is as long as a rest."""
    return [
        drive_at("home", "S1", day, clock, 2.0),
        drive_at("S1", "S2", day, "12:00", 2.0),
        drive_at("S2", "home", day, back, 2.0),
    ]


class TestEdges:
    """The last minute that a rule allows, and the first that it does not."""

    @pytest.mark.parametrize(("back", "driver"), [("18:00", "Dell"), ("18:01", "Otis")])
    def test_fourteen_hours_from_coming_on_duty(self, back, driver):
        """49 CFR 395.3(a)(2): out at 07:00, home at 21:00; a minute later somebody fetches it."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        assert name(yard, make_day_trip(0, "07:00", back, 3.0)) == [("Dell",), (driver,)]

    @pytest.mark.parametrize(("hours", "driver"), [(5.5, "Dell"), (5.75, "Otis")])
    def test_eleven_hours_of_driving_between_two_rests(self, hours, driver):
        """395.3(a)(3)(i): twice 5.5 h are 11 h, twice 5.75 h are 11.5 h."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        assert name(yard, make_day_trip(0, "07:00", "15:00", hours)) == [("Dell",), (driver,)]

    @pytest.mark.parametrize(("clock", "driver"), [("07:00", "Dell"), ("06:59", "Otis")])
    def test_ten_hours_off_before_the_next_day(self, clock, driver):
        """395.3(a)(1): home at 21:00 after 14 h, out again at 07:00."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        legs = [
            *make_day_trip(0, "07:00", "18:00", 3.0),
            *make_day_trip(1, clock, "12:00", 3.0),
        ]
        assert name(yard, legs)[-1] == (driver,)

    @pytest.mark.parametrize(("hours", "driver"), [(8.75, "Dell"), (9.0, "Otis")])
    def test_seventy_hours_in_any_eight_days(self, hours, driver):
        """395.3(b)(2): eight days of 8.75 h are 70 h; on the ninth the first no longer counts.

        7 x 8.75 + 8.75 = 70 h, 7 x 8.75 + 9 = 70.25 h.
        """
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        ways = (("home", "S1"), ("S1", "home"))
        legs = [drive_at(*ways[day % 2], day, "07:00", 8.75) for day in range(8)]
        legs += [drive_at(*ways[0], 8, "07:00", hours), drive_at(*ways[1], 9, "07:00", 2.0)]
        assert name(yard, legs) == [("Dell",)] * 8 + [(driver,)] * 2

    @pytest.mark.parametrize(("off", "driver"), [(34, "Dell"), (33, "Otis")])
    def test_a_restart_is_thirty_four_hours(self, off, driver):
        """395.3(c): six days of 10.1 h are 60.6 h; a seventh in eight days is 70.7 h.

        Only with 34 h off before it does the count begin anew.
        """
        limits = Limits(horse_hours_per_day=24.0, water_every_hours=24.0)
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        legs = [
            leg
            for day in (0, 2, 4, 7)
            for leg in make_round("Lorry", day, 10.1, back_after=1, limits=limits)
        ]
        legs[-2] = put_at(legs[-2], legs[-3].arrive + timedelta(hours=off))
        assert legs[-2].depart.date() == MONDAY + timedelta(days=7)
        assert name(yard, legs)[-2:] == [(driver,)] * 2

    @pytest.mark.parametrize(("hours", "driver"), [(9.0, "Dell"), (9.4, "Otis")])
    def test_a_third_long_day_of_a_week_is_anothers(self, hours, driver):
        """Art. 6(1): at most twice a week more than 9 h; Monday and Tuesday are, so is Thursday."""
        limits = Limits(horse_hours_per_day=24.0, water_every_hours=24.0)
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        more = {"rules": "eu", "limits": limits}
        thursday = MONDAY + timedelta(days=3)
        legs = [
            *make_round("Lorry", 0, 9.4, back_after=1, **more),
            make_leg("Lorry", "home", "S1", thursday, hours, **more),
            make_leg("Lorry", "S1", "home", thursday + timedelta(days=1), 2.0, **more),
        ]
        assert all(leg.days.days == 1 for leg in legs)
        assert name(yard, legs, "eu") == [("Dell",), ("Dell",), (driver,), (driver,)]

    @pytest.mark.parametrize(("back", "driver"), [("17:00", "Dell"), ("17:01", "Otis")])
    def test_a_fourth_short_rest_before_a_weekly_one_is_none(self, back, driver):
        """Art. 8(2), (4): 10 h of the 24 from 06:00 are left three times, then 11 h (19:00)."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        legs = [leg for day in range(3) for leg in make_long_day(day, "06:00", "18:00")]
        legs += make_long_day(3, "06:00", back)
        assert name(yard, legs, "eu") == [("Dell",)] * 9 + [(driver,)] * 3

    @pytest.mark.parametrize(("back", "driver"), [("19:00", "Dell"), ("19:01", "Otis")])
    def test_a_daily_rest_is_nine_hours_at_least(self, back, driver):
        """Art. 8(2), (4): within 24 h of 06:00 nine hours are left after 21:00."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        drivers = name(yard, make_long_day(0, "06:00", back), "eu")
        assert drivers == [("Dell",), ("Dell",), (driver,)]

    @pytest.mark.parametrize(("back", "driver"), [("01:00", "Dell"), ("01:01", "Otis")])
    def test_two_drivers_rest_nine_hours_within_thirty(self, back, driver):
        """Art. 8(5): from 06:00 the lorry is on the way until 03:00, 21 h of the 30; not longer."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis", drivers=2)])
        legs = [
            *make_long_day(0, "06:00", "18:00")[:2],
            drive_at("S2", "S3", 0, "18:00", 2.0),
            drive_at("S3", "home", 1, back, 2.0),
        ]
        drivers = name(yard, legs, "eu")
        assert drivers[:3] == [("Dell", "Otis")] * 3
        assert drivers[3][0] == driver

    @pytest.mark.parametrize(("hours", "driver"), [(5.0, "Dell"), (5.25, "Otis")])
    def test_ten_hours_of_driving_in_great_britain(self, hours, driver):
        """Transport Act 1968: 10 h in the 24 h from the start of duty."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        legs = make_day_trip(0, "07:00", "15:00", hours)
        assert name(yard, legs, "gb") == [("Dell",), (driver,)]

    @pytest.mark.parametrize(("clock", "driver"), [("07:00", "Dell"), ("06:59", "Otis")])
    def test_a_day_of_work_lasts_twenty_four_hours_in_great_britain(self, clock, driver):
        """After 10 h of driving from 07:00 on, a drive home begins the next day at 07:00."""
        yard = make_yard(vehicles=[lorry("Lorry", "Dell", "Otis")], limits=NO_DAY_OFF)
        legs = [
            drive_at("home", "S1", 0, "07:00", 5.0),
            drive_at("S1", "S2", 0, "15:00", 5.0),
            drive_at("S2", "home", 1, clock, 5.0),
        ]
        assert name(yard, legs, "gb")[-1] == (driver,)


@pytest.mark.parametrize("rules", ["us", "eu", "gb"])
@settings(max_examples=60)
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
