"""driving: each driver's log over the season, read by the judge through the log checker."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.build import make_absence, make_limits, make_lorry
from tests.judging.plan import (
    Visit,
    at,
    broken,
    change_leg,
    drive,
    free_show,
    plan,
    say,
    settle,
    stable,
    visit,
    water,
)
from tripkit.judging.judge import find_violations
from tripkit.yard.circuit import number_driver
from tripkit.yard.yard import DrivingSettings

NO_DAY_OFF = make_limits(driver_days_off=0)


def name_driver(circuit, *drivers):
    """The same drivers on every leg."""
    return replace(circuit, legs=tuple(replace(leg, drivers=drivers) for leg in circuit.legs))


def to_and_fro(days, km):
    """An empty lorry drives out on one day and home on the next, 8 h from 07:00 with a halt."""
    legs = []
    for number in range(days):
        ends = ("home", "S1") if number % 2 == 0 else ("S1", "home")
        day = at("2027-04-05").date() + timedelta(days=number)
        halt = water(str(day), 11, minutes=45, kind="break")
        legs.append(drive(*ends, day, (), km=km, hours=km / 70, stops=(halt,), drivers=("Dell",)))
    return Visit((), tuple(legs))


class TestWeeks:
    """Limits that a leg alone cannot break."""

    @pytest.mark.parametrize(("km", "rules"), [(560.0, set()), (630.0, {"driving"})])
    def test_seventy_hours_in_eight_days(self, km, rules):
        """8 days of 8 h are 64 h on duty, and 70 are allowed; with 9 h a day they are 72."""
        # 49 CFR 395.3(b)(2). 560 / 70 = 8, 630 / 70 = 9. A break after 4 h, then at most 5 h.
        yard = stable(
            km={("home", "Millbrook"): km}, driving=DrivingSettings("us"), limits=NO_DAY_OFF
        )
        circuit = plan(yard, to_and_fro(8, km))
        assert broken(circuit, yard) == rules
        if rules:
            assert "Dell on Lorry" in say(circuit, yard)
            assert "up to 70 h in 8 days" in say(circuit, yard)

    @pytest.mark.parametrize(("km", "rules"), [(560.0, set()), (630.0, {"driving"})])
    def test_who_rides_along_is_on_duty(self, km, rules):
        """Two drivers take turns and are on duty all the while: 64 h, and 72 h are too many.

        Otis drives the second half of each day, so he is at the wheel when the 70 h are over.
        """
        # 49 CFR 395.2, on-duty time: all time in or upon a vehicle but resting in a berth.
        crew = ("Dell", "Otis")
        yard = stable(
            km={("home", "Millbrook"): km},
            driving=DrivingSettings("us"),
            limits=NO_DAY_OFF,
            vehicles=[make_lorry(drivers=2, driver_names=crew)],
        )
        circuit = name_driver(plan(yard, to_and_fro(8, km)), *crew)
        assert broken(circuit, yard) == rules
        if rules:
            assert {v.person for v in find_violations(yard, circuit)} == {"Otis"}

    @pytest.mark.parametrize(("days", "rules"), [(6, set()), (8, {"driving"})])
    def test_a_weekly_rest(self, days, rules):
        """561/2006 Art. 8(6): after six days of driving a weekly rest begins."""
        yard = stable(km={("home", "Millbrook"): 560.0}, driving=DrivingSettings("eu"))
        circuit = plan(yard, to_and_fro(days, 560.0))
        assert broken(circuit, yard) == rules
        if rules:
            assert "no weekly rest within six days" in say(circuit, yard)


class TestOneDriver:
    """A driver is in one lorry, and not there while absent."""

    def test_two_lorries_at_once(self):
        """Dell cannot drive both lorries at 07:00; two unnamed drivers can, one for each lorry."""
        yard = stable(
            shows=[free_show("S1", "2027-04-07"), free_show("T", "2027-04-07", "Fairview")],
            vehicles=[make_lorry(), make_lorry("Van")],
        )
        van = tuple(
            drive(a, b, on, (), vehicle="Van")
            for a, b, on in (("home", "T", "2027-04-07"), ("T", "home", "2027-04-09"))
        )
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"), Visit((), van))
        assert broken(circuit, yard) == set()
        both = name_driver(circuit, "Dell")
        assert broken(both, yard) == {"driving"}
        assert "Dell on" in say(both, yard)
        assert "before the last one ends" in say(both, yard)

    @pytest.mark.parametrize(
        ("away", "rules"), [("2027-04-07", {"driving"}), ("2027-04-08", set())]
    )
    def test_absent(self, away, rules):
        """Dell drives on 04-07 and 04-11; between them he may be away."""
        yard = stable(absences=[make_absence("Dell", away, away)])
        circuit = name_driver(plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11")), "Dell")
        assert broken(circuit, yard) == rules
        if rules:
            assert "Dell, who drives, is away on 2027-04-07" in say(circuit, yard)


class TestDaysOff:
    """Of any seven days one is without a drive."""

    @pytest.mark.parametrize(
        ("days", "off", "drivers", "rules"),
        [
            ((0, 1, 2, 3, 4, 5), 1, ("Dell",), set()),
            ((0, 1, 2, 3, 4, 5, 7, 8), 1, ("Dell",), set()),
            ((0, 1, 2, 3, 4, 5, 6), 1, ("Dell",), {"driving"}),
            ((0, 1, 2, 3, 4, 5, 6), 1, (number_driver(1),), {"driving"}),
            ((0, 1, 2, 3, 4, 5, 6), 0, ("Dell",), set()),
            ((0, 1, 2, 4, 5), 2, ("Dell",), set()),
            ((0, 1, 2, 4, 5, 6), 2, ("Dell",), {"driving"}),
        ],
    )
    def test_days_without_a_drive(self, days, off, drivers, rules):
        """An empty lorry goes out and home on each of some days."""
        legs = []
        for number in days:
            on = at("2027-04-05").date() + timedelta(days=number)
            legs.append(drive("home", "S1", on, (), drivers=drivers))
            legs.append(drive("S1", "home", on, (), hour=10, drivers=drivers))
        yard = stable(limits=make_limits(driver_days_off=off))
        circuit = plan(yard, Visit((), tuple(legs)))
        assert broken(circuit, yard) == rules
        if rules:
            assert f"and needs {off} day" in say(circuit, yard)


class TestHoursOfTheDay:
    """Nobody loads before 05:00 or arrives after 21:00, or when the stables take no horses."""

    @pytest.mark.parametrize(
        ("hour", "minute", "rules"),
        [(5, 30, set()), (5, 15, {"driving"}), (19, 0, set()), (19, 15, {"driving"})],
    )
    def test_loading_and_arriving(self, hour, minute, rules):
        """Loaded in 20 minutes from 05:00, a drive of 2 h leaves at 05:30 or 19:00 at the extremes.

        (Common practice, no source.)
        """
        yard = stable()
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
        leaves = at("2027-04-07", hour, minute)
        circuit = change_leg(circuit, 0, depart=leaves, arrive=leaves + timedelta(hours=2))
        assert broken(settle(yard, circuit), yard) == rules

    @pytest.mark.parametrize(
        ("opens", "closes", "rules"),
        [(540, 1080, set()), (541, 1080, {"driving"}), (480, 539, {"driving"})],
    )
    def test_stables(self, opens, closes, rules):
        """The lorry arrives at 09:00, minute 540."""
        show = free_show(
            "S1", "2027-04-07", stables_open_minutes=opens, stables_close_minutes=closes
        )
        yard = stable(shows=[show])
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
        assert broken(circuit, yard) == rules


class TestKnown:
    """Who may stand beside `drivers`."""

    @pytest.mark.parametrize(
        ("drivers", "rules"),
        [
            (("Dell",), set()),
            ((number_driver(12),), set()),
            ((), {"driving"}),
            (("",), {"driving"}),
            (("Nobody",), {"driving"}),
            (("Dell", "Nobody"), {"driving"}),
            (("Dell", "Dell"), {"driving"}),
            (("unnamed driver",), {"driving"}),
            (("unnamed driver one",), {"driving"}),
        ],
    )
    def test_a_leg_has_a_known_driver(self, drivers, rules):
        """Format of circuits: a person of the yard, or `unnamed driver 1` where nobody is named."""
        yard = stable()
        circuit = name_driver(plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11")), *drivers)
        assert broken(circuit, yard) == rules
