"""timetables: the yard's zones, limits and stables; the planner counts what is then written."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from tests.build import (
    make_class,
    make_horse,
    make_limits,
    make_lorry,
    make_show,
    make_yard,
    plan_most,
    span,
)
from tripkit.driving.timetables import (
    choose_rules,
    count_empty_days,
    count_leg_days,
    explain_no_leg,
    find_earliest_leg,
    find_stables_hours,
    schedule_leg,
)
from tripkit.judging.judge import find_violations
from tripkit.planning.problem import build_problem
from tripkit.publishing import write_feeds
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.places import Drive
from tripkit.yard.yard import CostRates, DrivingSettings

APRIL = date(2027, 4, 5)


def make_far_yard(hours, opens=0, closes=1440, **changes):
    """The default yard with Millbrook so many hours away and stables that take horses then."""
    return make_yard(
        shows=[make_show(stables_open_minutes=opens, stables_close_minutes=closes)],
        km={("home", "Millbrook"): Drive(hours * 70, hours, state("roads.measured"))},
        driving=DrivingSettings("us"),
        **changes,
    )


class TestStablesHours:
    """When a place takes horses."""

    def test_the_hours_that_all_shows_of_a_place_have(self):
        """08:00 to 18:00 and 10:00 to 20:00 have 10:00 to 18:00 in common."""
        yard = make_yard(
            shows=[
                make_show("S1", stables_open_minutes=480, stables_close_minutes=1080),
                make_show(
                    "S2",
                    "2027-05-05",
                    stables_open_minutes=600,
                    stables_close_minutes=1200,
                    classes=(make_class("C1", "2027-05-06", "S2"),),
                ),
            ]
        )
        assert find_stables_hours(yard, "Millbrook") == (600, 1080)
        assert find_stables_hours(yard, "home") == (0, 1440)

    def test_hours_in_the_wrong_order(self):
        """A show closes after it opens."""
        with pytest.raises(BadValue, match="stables_open 10:00 must be before stables_close 10:00"):
            make_show(stables_open_minutes=600, stables_close_minutes=600)


class TestCount:
    """Days of a leg."""

    @pytest.mark.parametrize(
        ("hours", "closes", "days"), [(9.0, 1440, 1), (9.1, 1440, 2), (9.0, 840, 2), (9.0, 930, 1)]
    )
    def test_stables_hours_count(self, hours, closes, days):
        """9 h take 10 from 05:30 at the earliest: 15:30 is in time, 14:00 a day later."""
        yard = make_far_yard(hours, closes=closes)
        assert count_leg_days(yard, "home", "Millbrook", hours, 1) == days
        assert count_leg_days(yard, "Millbrook", "home", hours, 1) == (1 if hours == 9.0 else 2)

    def test_the_planner_counts_so(self):
        """The ride out has two days, the ride home one, and the plan's legs have them."""
        yard = make_far_yard(9.0, closes=840, horses=[make_horse()])
        rides = {(r.start, r.end): r.days for r in build_problem(yard).rides.values()}
        assert rides == {("home", "Millbrook"): 2, ("Millbrook", "home"): 1}
        circuit = plan_most(yard)
        assert [
            (leg.start, leg.days.last.day - leg.days.first.day + 1) for leg in circuit.legs
        ] == [
            ("home", 2),
            ("S1", 1),
        ]
        assert circuit.legs[0].arrive.hour < 14

    def test_two_drivers_go_farther(self):
        """11.5 h are two days for one driver, one for two, where the horses may (49 CFR 395.3)."""
        limits = make_yard().limits.override({"horse_hours_per_day": 14.0})
        yard = make_far_yard(
            11.5, limits=limits, vehicles=[make_lorry(), make_lorry("Van", drivers=2)]
        )
        days = {pace.drivers: ride.days for (*_, pace), ride in build_problem(yard).rides.items()}
        assert days == {1: 2, 2: 1}


class TestHorsesAboard:
    """Limits of one horse's row."""

    def test_the_days_suit_the_strictest_and_the_halts_those_aboard(self):
        """5 h: the days of a horse of 4 h a day, the water of whoever is aboard, all by default."""
        own = make_limits(horse_hours_per_day=4, water_every_hours=1)
        horses = [make_horse(limits=own), make_horse("Ebony")]
        yard = make_far_yard(5.0, horses=horses)
        assert count_leg_days(yard, "home", "Millbrook", 5.0, 1) == 2
        asked = (yard, "home", "Millbrook", 5.0, APRIL, 2)
        # 3 h and two halts are the 4 h of a day, 2 h have one more; else 2.5 h a day without any.
        for aboard, halts in ((["Dancer"], 3), (["Dancer", "Ebony"], 3), (["Ebony"], 0), (None, 3)):
            table = schedule_leg(*asked, drivers=1, loaded=True, horses=aboard)
            assert [stop.kind for stop in table.stops].count("water") == halts
            assert table.days == 2
        empty = schedule_leg(*asked, drivers=1, loaded=False, horses=[])
        assert [stop.kind for stop in empty.stops] == ["overnight"]
        assert count_empty_days(yard, "home", "Millbrook", 5.0, 1) == 1


class TestNoLeg:
    """Legs that cannot be made are answered with a reason."""

    def test_stables_that_nobody_reaches(self):
        """Open from 22:00, and nobody arrives after 21:00: the horse is left out, and why."""
        yard = make_far_yard(2.0, opens=22 * 60)
        problem = build_problem(yard)
        assert problem.chances == ()
        assert "nobody arrives after 21:00" in str(problem.excluded["Dancer", "S1"][0].why)

    def test_no_road(self):
        """A pair without a road is told as before."""
        yard = make_yard(km={("home", "Millbrook"): None})
        told = explain_no_leg(yard, "home", "Millbrook")
        assert told == state("driving.no-road", start="home", end="Millbrook")
        assert find_earliest_leg(yard, "home", "Millbrook", APRIL).timetable is None

    def test_no_lorry(self):
        """A yard without a lorry is told so, whatever the road."""
        told = explain_no_leg(make_yard(vehicles=[]), "home", "Millbrook")
        assert told == state("driving.no-lorry")

    def test_the_earliest_arrival(self):
        """9.5 h leaving on 5 April are there on the 6th, and the horses' hours are why."""
        answer = find_earliest_leg(make_far_yard(9.5), "home", "Millbrook", APRIL, days=1)
        assert answer.timetable is not None
        assert answer.timetable.arrive.date() == date(2027, 4, 6)
        assert "the horses travel at most 10 h a day" in str(answer.reason)

    def test_days_that_nobody_counted(self):
        """A leg of fewer days than it takes is no timetable: a fault of the caller's."""
        yard = make_far_yard(9.5)
        with pytest.raises(BadValue, match="no timetable of 1 days"):
            schedule_leg(yard, "home", "Millbrook", 9.5, APRIL, 1, drivers=1, loaded=True)


@pytest.mark.parametrize(
    ("hours", "opens", "closes", "departs", "arrives"),
    [(9.0, 0, 930, "05:30", "15:30"), (2.0, 1230, 1260, "18:30", "20:30")],
)
def test_early_and_late_legs_go_through_the_house(tmp_path, hours, opens, closes, departs, arrives):
    """A leg from 05:30 or until 20:30 is planned, judged, priced and in the feeds as any other.

    9 h and two halts end at 15:30 where they begin at 05:30; 2 h before 20:30 lies 18:30.
    """
    rates = CostRates(
        cents_per_km=Decimal(100), groom_day_cents=9000, rider_day_cents=7000, vet_check_cents=500
    )
    early = make_far_yard(hours, opens, closes, horses=[make_horse()], costs=rates)
    usual = make_far_yard(hours, horses=[make_horse()], costs=rates)
    circuit, other = (plan_most(yard) for yard in (early, usual))
    out = circuit.legs[0]
    assert (f"{out.depart:%H:%M}", f"{out.arrive:%H:%M}") == (departs, arrives)
    assert f"{other.legs[0].depart:%H:%M}" == "07:00"
    assert find_violations(early, circuit) == ()
    # What a season costs and what a horse does are counted in days, and these are the same.
    assert circuit.totals == other.totals
    assert circuit.days == other.days
    texts = [path.read_text() for path in write_feeds(early, circuit, tmp_path)]
    start = f"{out.depart:%Y%m%dT%H%M}00"
    assert any(f"DTSTART;TZID=America/New_York:{start}" in text for text in texts)


def test_the_edition_in_force_when_the_season_begins():
    """A season of 2016 keeps the edition of 1 July 2013, one of 2027 that of 2020."""
    assert "29 September 2020" in str(choose_rules(make_far_yard(2.0)).source)
    old = make_far_yard(2.0, season=span("2016-03-01", "2016-06-05"), today="2016-02-28")
    assert "1 July 2013" in str(choose_rules(old).source)
