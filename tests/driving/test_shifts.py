"""shifts: several drives of one lorry and one crew on a day, against the law's own arithmetic.

The referee of `tests/brute` places the drives of one man's day by itself; the checker of logs and
the judge read what is written. Horses load from 05:00 for 20 minutes and arrive until 21:00, travel
10 hours a day and drink every 4 (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.brute.hours import DAY, LAWS, MORNING, NIGHT, Part, place
from tests.build import make_horse, make_limits, make_show, make_yard
from tests.judging.plan import Visit, broken, plan, stable
from tripkit.driving.crews import put_on_drivers
from tripkit.driving.rules import RULES
from tripkit.driving.shifts import Run, may_drive, schedule_runs
from tripkit.driving.timetables import count_empty_days, count_leg_days, schedule_leg
from tripkit.judging.logbook import find_log_faults, read_log
from tripkit.yard.circuit import Leg
from tripkit.yard.facts import state
from tripkit.yard.places import HOME, Drive
from tripkit.yard.vehicles import Vehicle
from tripkit.yard.yard import DrivingSettings

THERE = "Millbrook"
WAYS = ((HOME, THERE), (THERE, HOME))
TUESDAY = date(2027, 4, 13)
EVENING = 16 * 60 + 20
TEN = 10 * 60


def make_road_yard(rules="us", season=("2027-04-01", "2027-05-20"), drivers=1, **changes):
    """A yard one hour from its only show; no clock is changed in its season."""
    return make_yard(
        season=season,
        today=season[0],
        km={WAYS[0]: Drive(70, 1.0, state("roads.measured"))},
        driving=DrivingSettings(rules),
        vehicles=[Vehicle("Lorry", 4, drivers, ())],
        **changes,
    )


YARDS = {rules: make_road_yard(rules) for rules in ("us", "eu", "gb", "none")}
# Every second run leads back.
HOURS = st.integers(1, 48).map(lambda quarters: quarters / 4)


def run_out(hours, loaded=True, earliest=0, latest=DAY * 15, days=1):
    return Run(*WAYS[0], hours, days, loaded, earliest, latest)


def run_back(hours, loaded=True, earliest=0, latest=DAY * 15, days=1):
    return Run(*WAYS[1], hours, days, loaded, earliest, latest)


def schedule(yard, runs, day=TUESDAY, drivers=1):
    """The timetables of some runs, whoever is aboard."""
    return schedule_runs(yard, runs, day, drivers=drivers, aboard=[None] * len(runs))


def write_legs(runs, tables, drivers=1):
    """Runs and their timetables as legs of a crew."""
    return [
        Leg("Lorry", run.start, run.end, table.depart, table.arrive, 70.0, run.hours,
            ("Dell", "Otis")[:drivers], ("Clover",) if run.loaded else (), table.stops)
        for run, table in zip(runs, tables, strict=True)
    ]  # fmt: skip


def clocks(tables):
    """Departure and arrival of each."""
    return [(f"{t.depart:%H:%M}", f"{t.arrive:%H:%M}") for t in tables]


@st.composite
def draw_runs(draw, most=2):
    """Runs out and back, some with bounds on the clock."""
    runs = []
    for number in range(draw(st.integers(1, most))):
        earliest = draw(st.sampled_from([0, 0, 0, TEN, EVENING, 14 * 60]))
        latest = draw(st.sampled_from([DAY * 15 - 15, DAY * 15 - 15, TEN, 18 * 60]))
        runs.append(Run(*WAYS[number % 2], draw(HOURS), 1, draw(st.booleans()), earliest, latest))
    return tuple(runs)


def place_with_referee(runs, rules):
    """Whether the referee finds room for some runs in one man's day."""
    parts = [
        Part(
            round(run.hours * 4),
            run.loaded,
            run.loaded,
            run.loaded,
            max(-(-run.earliest // 15), MORNING if run.loaded else 0),
            min(run.latest // 15, NIGHT if run.loaded else DAY),
        )
        for run in runs
    ]
    return place(tuple(parts), LAWS[rules]) is not None


class TestReferee:
    """The same answer as the search quarter by quarter."""

    @pytest.mark.parametrize("rules", ["us", "eu", "none"])
    @settings(max_examples=200)
    @given(runs=draw_runs())
    def test_what_fits_into_one_man_s_day(self, rules, runs):
        """One or two drives, loaded or empty, early or late."""
        assert may_drive(YARDS[rules], runs, 1) is place_with_referee(runs, rules)

    @pytest.mark.parametrize("rules", ["us", "eu"])
    @pytest.mark.parametrize("loads", [(True, True), (True, False), (False, True), (False, False)])
    def test_every_pair_of_hours(self, rules, loads):
        """Out by ten or whenever, back in the evening or whenever, 1 h to 9 h."""
        for out in range(1, 10):
            for back in range(1, 10):
                for latest, earliest in ((1425, 0), (TEN, EVENING)):
                    runs = (
                        run_out(float(out), loads[0], 0, latest),
                        run_back(float(back), loads[1], earliest, 1425),
                    )
                    answer = may_drive(YARDS[rules], runs, 1)
                    assert answer is place_with_referee(runs, rules), runs

    @pytest.mark.parametrize("rules", ["us", "eu", "none"])
    @settings(max_examples=60)
    @given(runs=draw_runs(3))
    def test_three_drives(self, rules, runs):
        """A third drive is no other case."""
        assert may_drive(YARDS[rules], runs, 1) is place_with_referee(runs, rules)


class TestLaw:
    """What is written keeps the law, as the checker of logs reads it."""

    @pytest.mark.parametrize("drivers", [1, 2])
    @pytest.mark.parametrize("rules", ["us", "eu", "gb", "none"])
    @settings(max_examples=60)
    @given(runs=draw_runs(3))
    def test_no_shift_is_unlawful(self, rules, drivers, runs):
        """A crew's log has no fault; clocks, quarters and order are kept."""
        yard = YARDS[rules]
        tables = schedule(yard, runs, drivers=drivers)
        assert (tables is not None) is may_drive(yard, runs, drivers)
        if tables is None:
            return
        now = datetime.min.replace(tzinfo=tables[0].depart.tzinfo)
        busy = timedelta()
        for run, table in zip(runs, tables, strict=True):
            loading = timedelta(minutes=20 * run.loaded)
            assert table.depart >= now + busy + loading
            assert table.depart.minute % 15 == 0
            assert table.depart.date() == table.arrive.date() == TUESDAY
            depart, arrive = (60 * t.hour + t.minute for t in (table.depart, table.arrive))
            assert depart >= (max(run.earliest, 320) if run.loaded else run.earliest)
            assert arrive <= (min(run.latest, 1260) if run.loaded else run.latest)
            passed = table.arrive - table.depart
            halted = sum(stop.minutes for stop in table.stops)
            assert passed == timedelta(hours=run.hours, minutes=halted)
            if run.loaded:
                assert passed <= timedelta(hours=10)
                assert {stop.kind for stop in table.stops} <= {"water"}
            now, busy = table.arrive, loading
        legs = write_legs(runs, tables, drivers)
        seat = "off duty" if rules == "eu" else "on duty"
        for log in read_log(legs, second_seat=seat).values():
            assert find_log_faults(log, rules, edition=TUESDAY, drivers=drivers) == ()

    @pytest.mark.parametrize("drivers", [1, 2])
    @pytest.mark.parametrize("rules", ["us", "eu", "gb"])
    @settings(max_examples=60)
    @given(data=st.data())
    def test_no_shift_of_several_days_is_unlawful(self, rules, drivers, data):
        """A drive that needs a night, before or after another drive."""
        yard = YARDS[rules]
        hours = [data.draw(HOURS), data.draw(HOURS)]
        loads = [data.draw(st.booleans()), data.draw(st.booleans())]
        count = {True: count_leg_days, False: count_empty_days}
        days = [
            count[load](yard, *WAYS[0], h, drivers) for h, load in zip(hours, loads, strict=True)
        ]
        longer = data.draw(st.sampled_from([(0, 0), (1, 0), (0, 1)]))
        runs = tuple(
            Run(*way, h, d + more, load)
            for way, h, d, load, more in zip(WAYS, hours, days, loads, longer, strict=True)
        )
        tables = schedule(yard, runs, drivers=drivers)
        assert (tables is not None) or not may_drive(yard, runs, drivers)
        if tables is None:
            return
        assert [table.days for table in tables] == [run.days for run in runs]
        assert tables[0].arrive.date() == tables[1].depart.date()
        assert tables[0].arrive <= tables[1].depart
        seat = "off duty" if rules == "eu" else "on duty"
        for log in read_log(write_legs(runs, tables, drivers), second_seat=seat).values():
            assert find_log_faults(log, rules, edition=TUESDAY, drivers=drivers) == ()


@pytest.mark.parametrize("drivers", [1, 2])
@pytest.mark.parametrize("rules", ["us", "eu", "gb"])
@pytest.mark.parametrize("hours", [1.5, 3.25, 4.75, 5.0, 9.5])
def test_the_judge_accepts_a_shift(rules, drivers, hours):
    """Out and back on a day, loaded or empty, on the roads of the yard: nothing about driving.

    A drive of 9.5 h has a day, or two with horses aboard (10 h with halts), the next follows then.
    """
    yard = stable(
        km={WAYS[0]: Drive(70 * hours, hours, state("roads.measured"))},
        driving=DrivingSettings(rules),
        vehicles=[Vehicle("Lorry", 4, drivers, ())],
    )
    count = {True: count_leg_days, False: count_empty_days}
    found = 0
    for loads in ((True, True), (True, False), (False, True)):
        days = [count[load](yard, *WAYS[0], hours, drivers) for load in loads]
        runs = [Run(*way, hours, d, load) for way, d, load in zip(WAYS, days, loads, strict=True)]
        tables = schedule(yard, runs, drivers=drivers)
        if tables is None:
            continue
        found += 1
        legs = [
            replace(leg, km=70 * hours, horses=(horse,) if run.loaded else (), start=start,
                    end=end, drivers=())
            for leg, run, (start, end), horse in zip(
                write_legs(runs, tables), runs, ((HOME, "S1"), ("S1", HOME)), ("Alder", "Birch"),
                strict=True,
            )
        ]  # fmt: skip
        driven = put_on_drivers(yard, legs, RULES[rules])
        assert "driving" not in broken(plan(yard, Visit((), driven)), yard)
    assert found or hours > 4.5


class TestClock:
    """Times by hand."""

    def test_out_by_ten_and_back_in_the_evening(self):
        """3.5 h before 10:00 are from 6:30; back at 16:30 for 20:00: 14 h since 6:10 are 20:10."""
        tables = schedule(YARDS["us"], (run_out(3.5, latest=TEN), run_back(3.5, earliest=EVENING)))
        assert clocks(tables) == [("06:30", "10:00"), ("16:30", "20:00")]
        longer = (run_out(3.75, latest=TEN), run_back(3.75, earliest=EVENING))
        assert schedule(YARDS["us"], longer) is None

    def test_out_loaded_and_home_empty(self):
        """4 h from 07:00, 20 minutes to unload, back at once: the next quarter is 11:30."""
        tables = schedule(YARDS["us"], (run_out(4.0), run_back(4.0, loaded=False)))
        assert clocks(tables) == [("07:00", "11:00"), ("11:30", "15:30")]

    def test_two_loads(self):
        """Unloads and loads for 40 minutes."""
        tables = schedule(YARDS["us"], (run_out(1.0), run_back(1.0)))
        assert clocks(tables) == [("07:00", "08:00"), ("08:45", "09:45")]

    def test_a_yard_s_own_time_to_load(self):
        """90 minutes at each end: loaded from 5:00, off at 6:30; from 8:00 to 11:00 is work."""
        yard = replace(YARDS["us"], driving=DrivingSettings("us", loading_minutes=90))
        assert clocks(schedule(yard, (run_out(1.0), run_back(1.0)))) == [
            ("07:00", "08:00"),
            ("11:00", "12:00"),
        ]
        assert may_drive(yard, (run_out(3.5, latest=TEN),), 1)
        assert not may_drive(yard, (run_out(3.75, latest=TEN),), 1)

    def test_a_pause_is_no_break_while_horses_are_loaded_in_the_eu(self):
        """Art. 7: 3 h, 40 minutes of work, then 2 h: 5 min of rest are none, so 45 are added.

        10:00 and 40 and 45 minutes are 11:25, the next quarter is 11:30.
        """
        runs = (run_out(3.0), run_back(2.0))
        tables = schedule(YARDS["eu"], runs)
        wait = tables[1].depart - tables[0].arrive
        halted = sum(stop.minutes for stop in tables[1].stops)
        assert halted >= 45 or wait >= timedelta(minutes=85)

    def test_an_evening(self):
        """4 h from 16:30 end at 20:30; a halt for water more would be 21:00 for 4 h at the most."""
        yard = YARDS["us"]
        (table,) = schedule(yard, (run_back(4.0, earliest=EVENING),))
        assert clocks([table]) == [("16:30", "20:30")]
        assert may_drive(yard, (run_back(4.0, earliest=EVENING),), 1)
        assert not may_drive(yard, (run_back(4.25, earliest=EVENING),), 1)

    def test_an_empty_lorry_leaves_at_the_usual_hour_where_that_fits(self):
        """10 h and a break from 07:00; by 14:00 it leaves at 03:30."""
        yard = YARDS["us"]
        (table,) = schedule(yard, (run_out(10.0, loaded=False),))
        assert clocks([table]) == [("07:00", "17:30")]
        (early,) = schedule(yard, (run_out(10.0, loaded=False, latest=14 * 60),))
        assert clocks([early]) == [("03:30", "14:00")]

    def test_stables_are_for_horses(self):
        """Open from 10:00 to 12:00: an hour loaded arrives at 10:00, empty as usual at 08:00."""
        yard = make_road_yard(
            shows=[make_show(stables_open_minutes=600, stables_close_minutes=720)]
        )
        for loaded, arrives in ((True, "10:00"), (False, "08:00")):
            (table,) = schedule(yard, (run_out(1.0, loaded),))
            assert f"{table.arrive:%H:%M}" == arrives

    def test_a_long_drive_after_a_short_one_fills_the_day(self):
        """11 h of driving a day, 395.3(a)(3)(i): after 2 h to fetch it, 9 h are the horses' day.

        Loaded at 9:20, 4 h, halt, 4 h, halt, 1 h: 10 h from 09:30. The rest of 3 h is the next day.
        """
        runs = (run_out(2.0, loaded=False), run_back(12.0, days=2))
        tables = schedule(YARDS["us"], runs)
        night = next(stop for stop in tables[1].stops if stop.kind == "overnight")
        assert clocks(tables) == [("07:00", "09:00"), ("09:30", "10:00")]
        assert f"{night.start:%d %H:%M}" == "13 19:30"

    def test_a_plain_drive_is_that_of_one_leg(self):
        """One loaded run has the timetable of a leg alone."""
        yard = YARDS["us"]
        for hours, days in ((2.0, 1), (8.72, 1), (9.5, 2), (20.0, 3)):
            leg = schedule_leg(yard, *WAYS[0], hours, TUESDAY, days, drivers=1, loaded=True)
            assert schedule(yard, (run_out(hours, days=days),)) == (leg,)

    def test_towns_are_named_run_by_run(self):
        """Each run has its own namer, or none."""
        tables = schedule_runs(
            YARDS["us"], (run_out(4.5), run_back(4.5)), TUESDAY, drivers=1, aboard=[None, None],
            name_town=[lambda part: f"{part:.1f}", None],
        )  # fmt: skip
        assert [[stop.near for stop in table.stops] for table in tables] == [["0.5"], [""]]


class TestWhoIsAboard:
    """Limits of the horses aboard, and of all."""

    def test_the_strictest_horse_of_the_yard_decides_whether(self):
        """A horse of 4 h a day: 5 h are lawful for no day; those aboard have their own halts."""
        own = make_limits(horse_hours_per_day=4)
        yard = make_road_yard(horses=[make_horse(limits=own), make_horse("Ebony")])
        assert not may_drive(yard, (run_out(5.0),), 1)
        assert may_drive(yard, (run_out(5.0, loaded=False),), 1)
        tables = schedule_runs(yard, (run_out(5.0),), TUESDAY, drivers=1, aboard=[["Ebony"]])
        assert tables is not None
        assert schedule(yard, (run_out(5.0),)) is None

    @pytest.mark.parametrize(("hours", "fits"), [(4.75, True), (5.0, False)])
    def test_a_horse_has_its_hours_for_both_drives(self, hours, fits):
        """8.75 h: 3.5 h and 5.25 (4.75 and a halt) are that much, 3.5 h and 5.5 are not."""
        yard = make_road_yard(
            horses=[make_horse(limits=make_limits(horse_hours_per_day=8.75)), make_horse("Ebony")]
        )
        runs = (run_out(3.5), run_back(hours))
        assert may_drive(yard, runs, 1)
        assert may_drive(yard, runs, 1, together=True) is fits
        for other, lawful in (("Dancer", fits), ("Ebony", True)):
            aboard = [["Dancer"], [other]]
            tables = schedule_runs(yard, runs, TUESDAY, drivers=1, aboard=aboard)
            assert (tables is not None) is lawful


class TestDays:
    """Every day of the season."""

    @pytest.mark.parametrize(("latest", "fits"), [(DAY * 15 - 15, True), (13 * 60, False)])
    def test_the_night_of_the_clock_change_is_short(self, latest, fits):
        """On 14 March 2027 midnight and 12.5 h are 13:30 (Energy Policy Act of 2005, sec. 110)."""
        yard = make_road_yard("none", season=("2027-03-01", "2027-05-20"))
        run = (run_out(12.25, loaded=False, latest=latest),)
        assert may_drive(yard, run, 1) is fits
        assert may_drive(YARDS["none"], run, 1)

    def test_empty_drives_never_take_longer(self):
        """10 h are two days for horses, one for the driver alone; 11.25 h two for both."""
        yard = YARDS["us"]
        for hours, loaded, empty in ((8.0, 1, 1), (10.0, 2, 1), (11.25, 2, 2), (23.0, 3, 3)):
            assert count_leg_days(yard, *WAYS[0], hours, 1) == loaded
            assert count_empty_days(yard, *WAYS[0], hours, 1) == empty

    @pytest.mark.parametrize("hours", [float("nan"), -1.0, 1e9])
    def test_what_is_no_drive(self, hours):
        """No timetable, no exception."""
        assert not may_drive(YARDS["us"], (run_out(hours),), 1)
        assert schedule(YARDS["us"], (run_out(hours),)) is None


@pytest.mark.parametrize("rules", ["us", "eu", "gb"])
@settings(max_examples=40)
@given(data=st.data())
def test_one_crew_drives_a_shift(rules, data):
    """A shift by way of home has the same crew on both drives, however many are named."""
    yard = replace(
        YARDS[rules], vehicles=(Vehicle("Lorry", 4, 1, ("Dell", "Otis")), Vehicle("Box", 4, 1, ()))
    )
    runs = (run_back(data.draw(HOURS)), run_out(data.draw(HOURS), data.draw(st.booleans())))
    tables = schedule(yard, runs)
    if tables is None:
        return
    legs = put_on_drivers(
        yard, [replace(leg, drivers=()) for leg in write_legs(runs, tables)], RULES[rules]
    )
    assert legs[0].drivers == legs[1].drivers
