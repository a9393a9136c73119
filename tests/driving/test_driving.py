"""driving: departure, halts, nights and arrival, by hand; and the planner's count of days.

Default limits: loading from 05:00, for 20 minutes, so that the wheels turn from 05:30; arriving
until 21:00, ten hours of travel a day, water after four hours of driving for half an hour (common
practice, no source). A full day in the United States
is 4 h, halt, 4 h, halt, 1 h: 9 h of driving in 10 h.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tripkit.driving.leg import count_ride_days, find_earliest_arrival, schedule_drive
from tripkit.driving.rules import RULES, find_rules
from tripkit.judging.logbook import find_log_faults, read_journeys, read_log
from tripkit.judging.logbook_horses import find_us_journey_faults
from tripkit.yard.circuit import Leg
from tripkit.yard.errors import BadValue
from tripkit.yard.limits import Limits

CHICAGO, NEW_YORK, PARIS, LONDON = (
    "America/Chicago",
    "America/New_York",
    "Europe/Paris",
    "Europe/London",
)
SYDNEY = "Australia/Sydney"
MAY = date(2027, 5, 3)
FREE = Limits(horse_hours_per_day=16.0, water_every_hours=24.0)


def drive(hours, day=MAY, start=NEW_YORK, end=None, rules="us", limits=None, **more):
    """A loaded drive's timetable."""
    return schedule_drive(
        hours, day, start, end or start, limits or Limits(), RULES[rules], loaded=True, **more
    )


def tell(moment):
    """A time as day of the month and clock."""
    return f"{moment:%d %H:%M}"


def halts(table):
    """Stops as kind, day and clock, and minutes."""
    return [(stop.kind, tell(stop.start), stop.minutes) for stop in table.stops]


class TestOneDay:
    """A drive of one day."""

    def test_a_full_day(self):
        """9 h leave at 07:00, drink every 3 h, at 10:00 and 13:30, and arrive at 17:00."""
        table = drive(9.0)
        assert tell(table.depart) == "03 07:00"
        assert halts(table) == [("water", "03 10:00", 30), ("water", "03 13:30", 30)]
        assert tell(table.arrive) == "03 17:00"

    def test_halts_are_spread_over_the_day(self):
        """8.72 h do not halt 43 min before the end: thirds of 174.4 min, to the quarter of an hour.

        07:00 and 2 h 55 are nearest to 10:00 (180 min); 5 h 49 of driving are nearest to 5 h 45.
        """
        table = drive(8.72)
        assert halts(table) == [("water", "03 10:00", 30), ("water", "03 13:15", 30)]

    def test_halts_are_spread_to_the_minute_where_quarters_are_too_coarse(self):
        """4.4 h with water every 1.47 h (88 min): thirds of 88 min, as 90 min would be too late."""
        table = drive(4.4, limits=Limits(water_every_hours=1.47))
        assert halts(table) == [("water", "03 08:28", 30), ("water", "03 10:26", 30)]

    def test_two_drivers_keep_their_shares(self):
        """13.5 h (EU) in three turns of 4.5 h: who begins and ends has 9 h, 561/2006 Art. 6(1).

        06:30, as 13.5 h and two halts of half an hour end at 21:00.
        """
        table = drive(13.5, rules="eu", limits=FREE, drivers=2)
        assert halts(table) == [("water", "03 11:00", 30), ("water", "03 16:00", 30)]

    @pytest.mark.parametrize(
        ("hours", "stables", "departs", "arrives"),
        [
            (9.0, (0, 17 * 60), "03 07:00", "03 17:00"),
            (9.0, (0, 16 * 60), "03 06:00", "03 16:00"),
            (9.0, (0, 15 * 60 + 30), "03 05:30", "03 15:30"),
            (2.0, (10 * 60, 20 * 60), "03 08:00", "03 10:00"),
            # To the quarter of an hour: 2.4 h are 2 h 24 min, 07:36 would be in time.
            (2.4, (10 * 60, 20 * 60), "03 07:45", "03 10:09"),
            # A window too narrow for the quarter.
            (2.4, (10 * 60, 10 * 60 + 5), "03 07:36", "03 10:00"),
        ],
    )
    def test_the_stables_hours_move_the_departure(self, hours, stables, departs, arrives):
        """Earlier or later on the same day, never before 05:20."""
        table = drive(hours, stables=stables)
        assert (tell(table.depart), tell(table.arrive)) == (departs, arrives)

    def test_stables_that_close_too_early_ask_for_a_night(self):
        """9 h cannot arrive by 14:00, as 05:30 and 10 h are 15:30: the horses come a day later."""
        table = drive(9.0, stables=(0, 14 * 60))
        assert (table.days, table.nights) == (2, 1)
        # Two days of 4.5 h: 4 h, half an hour, half an hour: 07:00 to 12:00.
        assert tell(table.arrive) == "04 12:00"

    def test_nobody_arrives_after_the_yard_s_hour(self):
        """With arrive_until_hour 16 a drive of 9 h leaves at 06:00."""
        assert tell(drive(9.0, limits=Limits(arrive_until_hour=16.0)).depart) == "03 06:00"

    def test_an_empty_lorry_keeps_its_driver_s_hours_only(self):
        """9 h have one break, due after 8 h, 49 CFR 395.3(a)(3)(ii), here halfway; 11 h are a day.

        07:00, 9 h and half an hour: 16:30. 10.75 h with horses would be two days.
        """
        table = schedule_drive(9.0, MAY, NEW_YORK, NEW_YORK, Limits(), RULES["us"], loaded=False)
        assert halts(table) == [("break", "03 11:30", 30)]
        assert tell(table.arrive) == "03 16:30"
        long = schedule_drive(11.0, MAY, NEW_YORK, NEW_YORK, Limits(), RULES["us"], loaded=False)
        assert (long.days, tell(long.arrive)) == (1, "03 18:30")

    def test_hours_are_never_rounded_down(self):
        """2.01 h are 120.6 min: 121."""
        assert tell(drive(2.01).arrive) == "03 09:01"

    def test_nothing_to_drive(self):
        """A drive of no hours arrives when it leaves."""
        table = drive(0.0)
        assert table.depart == table.arrive
        assert table.stops == ()


class TestDrivers:
    """What the rules for drivers allow in a day; the horses do not bind here (`FREE`)."""

    @pytest.mark.parametrize(
        ("rules", "drivers", "hours", "days"),
        [
            ("us", 1, 11.0, 1),  # 49 CFR 395.3(a)(3)(i)
            ("us", 1, 11.1, 2),
            # Loads 20 min, 8 h, half an hour, 5 h 10: the 14th hour, 395.3(a)(2)
            ("us", 2, 13.16, 1),
            ("us", 2, 13.2, 2),
            ("eu", 1, 9.0, 1),  # 561/2006 Art. 6(1)
            ("eu", 1, 10.0, 1),  # twice a week, where the leg arrives on that day
            ("eu", 1, 10.1, 2),
            ("eu", 2, 13.5, 1),  # 4.5 h in turn with half an hour between: 14.5 h, from 06:30
            ("gb", 1, 10.0, 1),  # Transport Act 1968 s. 96(1)
            ("gb", 1, 10.1, 2),
            ("gb", 2, 10.33, 1),  # both are on duty for 11 h with loading and unloading: s. 96(3)
            ("gb", 2, 10.4, 2),
            ("none", 1, 15.0, 1),  # 06:00 to 21:00
        ],
    )
    def test_a_day(self, rules, drivers, hours, days):
        """The longest drive of one day, and a little more."""
        table = drive(hours, rules=rules, limits=FREE, drivers=drivers)
        assert table.days == days

    def test_the_break_in_the_eu(self):
        """9 h: 4.5 h, 45 min, 4.5 h (Art. 7); without horses' thirst it is one break."""
        table = drive(9.0, rules="eu", limits=FREE)
        assert halts(table) == [("water", "03 11:30", 45)]

    def test_the_break_in_two_parts(self):
        """8.5 h with water every 4: half an hour twice within 4.5 h are 15 and then 30 (Art. 7).

        07:00, halts at 2.25 and 4.5 h, then 4 h: 16:30. Thirds would put the second at 5.7 h; one
        break of 45 min and a halt at 8 h would take a quarter of an hour more.
        """
        table = drive(8.5, rules="eu")
        assert halts(table) == [("water", "03 09:15", 30), ("water", "03 12:00", 30)]
        assert tell(table.arrive) == "03 16:30"

    def test_the_break_of_the_us(self):
        """After 8 h of driving half an hour is due, 49 CFR 395.3(a)(3)(ii); here halfway."""
        assert halts(drive(8.0, limits=FREE)) == []
        assert halts(drive(10.0, limits=FREE)) == [("water", "03 12:00", 30)]

    def test_no_break_was_due_before_2013(self):
        """The edition of 2005 knows no break."""
        day = date(2012, 5, 1)
        table = schedule_drive(
            10.0, day, NEW_YORK, NEW_YORK, FREE, find_rules("us", day), loaded=True
        )
        assert table.stops == ()

    def test_short_rests_where_they_save_a_day(self):
        """22 h with water every half hour are three days with rests of 9 h, Art. 8(2) and (4).

        A day of n halts has n + 1 half hours of driving: 13 h (24 less 11) hold 6.75 h of driving,
        three of them 20.25; 15 h (24 less 9) hold 7.75, three of them 23.25.
        """
        limits = Limits(horse_hours_per_day=16.0, water_every_hours=0.5)
        assert drive(22.0, rules="eu", limits=limits).days == 3
        assert drive(20.25, rules="eu", limits=limits).days == 3

    def test_a_leg_longer_than_a_week_s_hours(self):
        """80 h in the US: 9 h a day are nine days, and one of rest after seven (70 h; 34 h off)."""
        table = drive(80.0)
        assert table.days == 10
        nights = [stop.minutes for stop in table.stops if stop.kind == "overnight"]
        assert sum(minutes >= 34 * 60 for minutes in nights) == 1

    def test_editions(self):
        """The edition in force is named; unknown rules and days before the first are told."""
        assert "29 September 2020" in str(find_rules("us", date(2020, 9, 29)).source)
        assert "1 July 2013" in str(find_rules("us", date(2020, 9, 28)).source)
        assert find_rules("gb", date(1999, 1, 1)) is RULES["gb"]
        with pytest.raises(BadValue, match="no edition"):
            find_rules("us", date(2005, 9, 30))
        with pytest.raises(BadValue, match="no driving rules"):
            find_rules("mars", MAY)


class TestClocks:
    """Zones, and the nights in which clocks change. Source of the offsets: the IANA data base."""

    def test_a_zone_is_crossed(self):
        """5 h from Chicago: 11:00, half an hour, one hour: 12:30 there, 13:30 in New York."""
        table = drive(5.0, start=CHICAGO, end=NEW_YORK)
        assert f"{table.depart:%H:%M%z}" == "07:00-0500"
        assert f"{table.arrive:%H:%M%z}" == "13:30-0400"

    def test_the_night_of_the_clock_change_in_the_us(self):
        """12 h from 13 March 2027: 9 h and 3 h, and 26 h pass, not 27.

        07:00 to 17:00 (two halts for water), the night to 07:00: 14 h on the clock, 13 h by the sun
        as 02:00 becomes 03:00 on the 14th (Energy Policy Act of 2005, sec. 110).
        """
        table = drive(12.0, date(2027, 3, 13), CHICAGO)
        assert f"{table.depart:%H:%M%z}" == "07:00-0600"
        assert f"{table.arrive:%d %H:%M%z}" == "14 10:00-0500"
        assert ("overnight", "13 17:00", 780) in halts(table)
        assert table.arrive.astimezone(UTC) - table.depart.astimezone(UTC) == timedelta(hours=26)

    @pytest.mark.parametrize(
        ("day", "departs", "rest"), [(20, "21 07:30", 670), (27, "28 08:20", 660)]
    )
    def test_a_rest_that_the_clock_change_would_shorten(self, day, departs, rest):
        """In the EU 08:00 to 20:20 leaves 11 h to 07:20; in the night to 28 March 2027 to 08:20.

        Loads from 07:30. 16.6 h with water every hour: 13 h of duty less 40 minutes of loading and
        unloading hold 8 h 20 and eight halts. Directive 2000/84/EC: last Sunday of March, 01:00
        UTC. Art. 8(2): 11 h within 24.
        """
        limits = Limits(horse_hours_per_day=13.0, water_every_hours=1.0, load_from_hour=7.5)
        table = drive(16.6, date(2027, 3, day), PARIS, rules="eu", limits=limits)
        night = next(stop for stop in table.stops if stop.kind == "overnight")
        assert night.minutes == rest
        end = night.start.astimezone(UTC) + timedelta(minutes=night.minutes)
        assert tell(end.astimezone(ZoneInfo(PARIS))) == departs

    def test_a_longer_night_in_the_south(self):
        """In Sydney clocks go back on 4 April 2027: 17:00 to 07:00 are 15 h."""
        table = drive(12.0, date(2027, 4, 3), SYDNEY)
        assert f"{table.depart:%z} {table.arrive:%z}" == "+1100 +1000"
        assert ("overnight", "03 17:00", 900) in halts(table)
        assert tell(table.arrive) == "04 10:00"

    @settings(max_examples=100)
    @given(
        hours=st.floats(0.1, 30.0),
        day=st.dates(date(2027, 1, 1), date(2027, 12, 31)),
        start=st.sampled_from([CHICAGO, NEW_YORK, "America/Los_Angeles"]),
        end=st.sampled_from([CHICAGO, NEW_YORK, "America/Los_Angeles"]),
    )
    def test_local_times_are_those_of_zoneinfo(self, hours, day, start, end):
        """Both ends are local, and driving and halts together are the time that passes."""
        table = drive(hours, day, start, end)
        for moment, zone in ((table.depart, start), (table.arrive, end)):
            instant = datetime.fromtimestamp(moment.timestamp(), ZoneInfo(zone))
            assert (moment.replace(tzinfo=None), moment.utcoffset()) == (
                instant.replace(tzinfo=None),
                instant.utcoffset(),
            )
        passed = table.arrive.timestamp() - table.depart.timestamp()
        driven = passed / 3600 - sum(stop.minutes for stop in table.stops) / 60
        assert hours - 1e-9 <= driven < hours + 1 / 60 + 1e-9


class TestDays:
    """Full days, towns on the way, and what the planner counts."""

    def test_the_first_day_is_full(self):
        """9.5 h are 9 h until 17:00 and half an hour the next morning, not noon and noon."""
        table = drive(9.5)
        assert halts(table)[2][:2] == ("overnight", "03 17:00")
        assert tell(table.arrive) == "04 07:30"

    def test_towns_are_asked_by_the_part_of_the_way(self):
        """10 h: water at 3 and 6 h, the night at 9."""
        table = drive(10.0, name_town=lambda part: f"{part:.2f}")
        assert [stop.near for stop in table.stops] == ["0.30", "0.60", "0.90"]

    def test_more_days_where_asked(self):
        """6 h in exactly three days are 2 h a day; in none of fewer than it needs."""
        table = drive(6.0, days=3)
        assert (table.days, table.nights) == (3, 2)
        assert tell(table.arrive) == "05 09:00"
        assert drive(12.0, days=1) is None

    def test_the_night_of_the_clock_change_counts_for_every_day(self):
        """A drive that needs a third day over a shortened night has three days all season.

        17.9 h (EU, water every hour, stables until 20:00): 9 h in 13 h to 20:00 and 8.9 h in
        12.9 h (eight halts) from 07:00 to 19:54; after the night to 28 March from 08:00 to 20:54.
        """
        limits = Limits(horse_hours_per_day=13.0, water_every_hours=1.0, load_from_hour=6.5)
        asked = (PARIS, PARIS, limits, RULES["eu"])
        more = {"stables": (0, 20 * 60)}
        assert count_ride_days(17.9, date(2027, 4, 1), date(2027, 6, 1), *asked, **more) == 2
        spring = (date(2027, 3, 1), date(2027, 6, 1))
        # With a rest of 9 h, Art. 8(2), it is two days all the same.
        assert count_ride_days(17.9, *spring, *asked, **more) == 2
        us = (PARIS, PARIS, limits.override({"horse_hours_per_day": 13.0}), RULES["gb"])
        assert count_ride_days(17.9, date(2027, 4, 1), date(2027, 6, 1), *us, **more) == 2
        # Great Britain: 24 h from start to start, so 08:00 after the shorter night.
        assert count_ride_days(17.9, *spring, *us, **more) == 3

    @settings(max_examples=150)
    @given(data=st.data())
    def test_planner_and_timetable_agree(self, data):
        """Whichever day of the season a leg leaves, it arrives on the last day that was counted."""
        rules = data.draw(st.sampled_from(["us", "eu", "gb", "none"]))
        hours = round(data.draw(st.floats(0.05, 40.0)), 2)
        zones = data.draw(st.sampled_from([(CHICAGO, NEW_YORK), (PARIS, LONDON), (SYDNEY, SYDNEY)]))
        limits = Limits(
            horse_hours_per_day=data.draw(st.sampled_from([6.0, 10.0, 14.0])),
            water_every_hours=data.draw(st.sampled_from([1.0, 4.0, 6.0])),
        )
        more = {
            "drivers": data.draw(st.sampled_from([1, 2])),
            "stables": data.draw(st.sampled_from([(0, 1440), (480, 840), (900, 1200)])),
        }
        season = (date(2027, 3, 1), date(2027, 4, 30))
        days = count_ride_days(hours, *season, *zones, limits, RULES[rules], **more)
        assert days is not None
        leaves = data.draw(st.dates(*season))
        table = drive(hours, leaves, *zones, rules, limits, days=days, **more)
        assert table is not None
        assert table.days == days
        assert table.depart.date() == leaves
        opens, closes = more["stables"]
        assert opens <= table.arrive.hour * 60 + table.arrive.minute <= min(closes, 21 * 60)
        assert table.depart.hour >= 5


class TestEarliest:
    """When a leg is there at the earliest, and why not before."""

    @pytest.mark.parametrize(
        ("hours", "rules", "limits", "stables", "reason"),
        [
            (9.5, "us", Limits(), (0, 1440), "the horses travel at most 10 h a day"),
            (11.5, "us", FREE, (0, 1440), "a driver drives at most 11 h a day (49 CFR 395.3"),
            (9.0, "us", Limits(), (0, 840), "nobody loads before 05:00, and horses arrive from"),
        ],
    )
    def test_the_rule_that_binds_is_named(self, hours, rules, limits, stables, reason):
        """Horses' hours, driver's hours, or hours of the day; the arrival is a day later."""
        answer = find_earliest_arrival(
            hours, MAY, NEW_YORK, NEW_YORK, limits, RULES[rules], days=1, stables=stables
        )
        assert reason in str(answer.reason)
        assert answer.timetable is not None
        assert answer.timetable.days == 2

    def test_in_time(self):
        """A leg that fits has no reason."""
        answer = find_earliest_arrival(9.0, MAY, NEW_YORK, NEW_YORK, Limits(), RULES["us"], days=1)
        assert answer.reason is None

    @pytest.mark.parametrize("hours", [float("nan"), float("inf"), -1.0, 1e9])
    def test_what_is_no_drive_is_answered(self, hours):
        """No exception: no timetable, and a reason."""
        answer = find_earliest_arrival(hours, MAY, NEW_YORK, NEW_YORK, Limits(), RULES["us"])
        assert answer.timetable is None
        assert "no drive by road" in str(answer.reason)
        assert drive(hours) is None

    def test_stables_that_nobody_can_reach(self):
        """Open from 22:00 only, and nobody arrives after 21:00."""
        answer = find_earliest_arrival(
            2.0, MAY, NEW_YORK, NEW_YORK, Limits(), RULES["us"], stables=(22 * 60, 24 * 60)
        )
        assert answer.timetable is None
        assert str(answer.reason) == (
            "the stables take horses from 22:00 to 24:00, and nobody arrives after 21:00"
        )


class TestLaw:
    """Every timetable, held to the rules by the checker that reads only the log."""

    @settings(max_examples=200)
    @given(data=st.data())
    def test_no_leg_is_unlawful(self, data):
        """Any hours, departure, zones, one or two drivers, loaded or empty, and odd limits."""
        rules = data.draw(st.sampled_from(["us", "eu", "gb"]))
        drivers = data.draw(st.sampled_from([1, 2]))
        hours = data.draw(st.floats(0.1, 70.0 if rules == "us" else 51.0))
        zones = (CHICAGO, NEW_YORK, "America/Los_Angeles", PARIS, LONDON)
        limits = data.draw(
            st.sampled_from(
                [
                    Limits(),
                    FREE,
                    Limits(horse_hours_per_day=14.0, water_every_hours=2.0, load_from_hour=0.0),
                    Limits(horse_hours_per_day=24.0, water_every_hours=0.5, arrive_until_hour=24.0),
                ]
            )
        )
        table = drive(
            hours,
            data.draw(st.dates(date(2027, 1, 1), date(2027, 12, 31))),
            data.draw(st.sampled_from(zones)),
            data.draw(st.sampled_from(zones)),
            rules,
            limits,
            drivers=drivers,
        )
        assert table is not None
        leg = Leg("Lorry", "home", "S", table.depart, table.arrive, 1.0, hours,
                  ("Dell", "Otis")[:drivers], ("Clover",), table.stops)  # fmt: skip
        seat = "off duty" if rules == "eu" else "on duty"
        for log in read_log([leg], second_seat=seat).values():
            found = find_log_faults(log, rules, edition=date(2027, 1, 1), drivers=drivers)
            assert found == ()
        if rules == "us":
            assert find_us_journey_faults(read_journeys([leg])["Clover"]) == ()
