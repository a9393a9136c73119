"""travel-rest, places, one-place, driving: the smallest change that breaks one, and its edge.

Expected figures are counted by hand from the rules (DEVELOPERS.md; handbook, Choices), whose
numbers are common practice, no source; driving hours by 49 CFR 395.3 and Transport Act 1968.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from tests.build import make_entry, make_horse, make_limits, make_lorry, make_rider
from tests.judging.plan import (
    Visit,
    at,
    broken,
    change_day,
    change_leg,
    change_outing,
    drive,
    free_show,
    night,
    outing,
    plan,
    say,
    settle,
    stable,
    two_day_drive,
    two_day_visit,
    two_visits,
    visit,
    water,
)
from tripkit.yard.circuit import Circuit, Stop, number_driver
from tripkit.yard.facts import state
from tripkit.yard.places import Drive
from tripkit.yard.yard import DrivingSettings, Yard


def long_visit(
    yard: Yard,
    km: float,
    stops: Sequence[tuple[int, int]] = ((11, 0),),
    arrive: str = "2027-04-06",
    **changes: Any,
) -> Circuit:
    """Alder at S1, so many km away at 70 km/h, with halts of 30 minutes at these times."""
    hours = round(km / 70, 2)
    legs = []
    for start, end, on in (("home", "S1", arrive), ("S1", "home", "2027-04-11")):
        halts = tuple(water(on, hour, minute) for hour, minute in stops)
        legs.append(drive(start, end, on, km=km, hours=hours, stops=halts, **changes))
    return plan(yard, Visit((outing(yard, "S1", arrive, "2027-04-11"),), tuple(legs)))


def far(km: float, **changes: Any) -> Yard:
    """The stable with Millbrook so many km away."""
    return stable(km={("home", "Millbrook"): km}, **changes)


class TestTravelRest:
    """Rest after a drive."""

    @pytest.mark.parametrize(
        ("km", "arrive", "rules"),
        [
            (553.0, "2027-04-07", set()),
            (560.0, "2027-04-07", {"travel-rest"}),
            (560.0, "2027-04-06", set()),
        ],
    )
    def test_eight_hours(self, km: float, arrive: str, rules: set[str]):
        """A drive of 8 h asks for one whole day before the class (04-08), one of 7.9 h for none."""
        # 553 / 70 = 7.9; 560 / 70 = 8.
        yard = far(km)
        assert broken(long_visit(yard, km, arrive=arrive), yard) == rules

    def test_two_days_drive(self):
        """A drive of 10 h over two days, a day of rest and the class keep every rule."""
        yard = far(700.0)
        assert say(plan(yard, two_day_visit(yard)), yard) == ""

    @pytest.mark.parametrize(
        ("first_class", "spare", "rules"),
        [("2027-04-22", 0, set()), ("2027-04-21", -1, {"recovery"})],
    )
    def test_two_days_drive_in_recovery(self, first_class: str, spare: int, rules: set[str]):
        """Two drive days and a day of rest ask for 11 clear days: 7 + 2 + (2 + 1 - 1)."""
        # S1 ends 04-10: 04-11 to 04-21 = 11; out 04-19 and 04-20, rest 04-21, class 04-22.
        last = int(first_class[-2:])
        show = free_show("T", f"2027-04-{last - 1}", "Fairview")
        yard = stable(shows=[free_show("S1", "2027-04-07"), show], km={("home", "Fairview"): 700.0})
        out = (f"2027-04-{last - 3}", f"2027-04-{last - 2}")
        back = (f"2027-04-{last + 3}", f"2027-04-{last + 4}")
        there = Visit(
            (outing(yard, "T", out[1], back[0]),),
            (two_day_drive("home", "T", *out), two_day_drive("T", "home", *back)),
        )
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"), there, spare_days=spare)
        assert broken(circuit, yard) == rules

    @pytest.mark.parametrize(
        ("days", "rules"),
        [(("2027-04-17", "2027-04-18"), set()), (("2027-04-18", "2027-04-19"), {"travel-rest"})],
    )
    def test_hours_add_up_over_legs(self, days: tuple[str, str], rules: set[str]):
        """Two drives of 4 h on two days in a row are 8 h and ask for a day before the class."""
        # Class 04-20: after 04-18 lies one whole day (04-19), after 04-19 none.
        yard = stable(km={("home", "Millbrook"): 280.0, ("Millbrook", "Fairview"): 280.0})
        there = Visit(
            (outing(yard, "S2", days[1], "2027-04-23"),),
            (
                drive("home", "S1", days[0], km=280.0, hours=4.0),
                drive("S1", "S2", days[1], km=280.0, hours=4.0),
                drive("S2", "home", "2027-04-23"),
            ),
        )
        assert broken(plan(yard, there), yard) == rules

    @pytest.mark.parametrize(
        ("on", "rules"), [("2027-04-12", {"travel-rest"}), ("2027-04-13", set())]
    )
    def test_before_a_school(self, on: str, rules: set[str]):
        """A school waits as a class does: home on 04-11 after 8 h, a day of rest, 04-13."""
        limits = make_limits(no_jump_days=0)
        yard = far(560.0, horses=[make_horse("Alder", limits=limits), make_horse("Birch")])
        circuit = change_day(long_visit(yard, 560.0), "Alder", on, does="school", also=())
        if on == "2027-04-12":
            circuit = change_day(circuit, "Alder", on, also=("vet check",))
        assert broken(circuit, yard) == rules


class TestPlaces:
    """Room in the lorry and at the show."""

    @pytest.mark.parametrize(("places", "rules"), [(2, set()), (1, {"places"})])
    def test_vehicle(self, places: int, rules: set[str]):
        """Two horses need two places."""
        yard = stable(vehicles=[make_lorry(places=places)])
        assert broken(two_visits(yard, ("Alder", "Birch")), yard) == rules

    @pytest.mark.parametrize(("left", "rules"), [(2, set()), (1, {"places"})])
    def test_show(self, left: int, rules: set[str]):
        """Two new horses need two places left."""
        yard = stable(shows=[free_show("S1", "2027-04-07", places_left=left)])
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11", ("Alder", "Birch")))
        assert broken(circuit, yard) == rules

    def test_bound_horses_are_not_new(self):
        """A horse with an entry sent or paid at the show takes no place that is left."""
        yard = stable(
            shows=[free_show("S1", "2027-04-07", places_left=1)],
            entries=[make_entry("C1", "sent", horse="Birch")],
        )
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11", ("Alder", "Birch")))
        assert broken(circuit, yard) == set()


class TestOnePlace:
    """Who is where."""

    def test_left_at_the_show(self):
        """A horse and a lorry that never come back are not at home at the season's end."""
        yard = stable()
        one = visit(yard, "S1", "2027-04-07", "2027-04-11")
        circuit = plan(yard, Visit(one.outings, one.legs[:1]))
        assert broken(circuit, yard) == {"one-place"}
        assert "Alder is left at S1" in say(circuit, yard)
        assert "Lorry is left at S1" in say(circuit, yard)

    def test_no_leg_at_all(self):
        """No horse moves without a vehicle."""
        yard = stable()
        one = visit(yard, "S1", "2027-04-07", "2027-04-11")
        circuit = plan(yard, Visit(one.outings, ()))
        assert broken(circuit, yard) >= {"one-place"}
        assert "its legs do not bring it there" in say(circuit, yard)

    def test_lorry_jumps(self):
        """A leg starts where the last one ended: a van that never left home is not at S1."""
        yard = stable(vehicles=[make_lorry(), make_lorry("Van")])
        one = visit(yard, "S1", "2027-04-07", "2027-04-11")
        ghost = drive("S1", "home", "2027-04-09", (), vehicle="Van")
        circuit = plan(yard, Visit(one.outings, (*one.legs, ghost)))
        assert broken(circuit, yard) == {"one-place"}

    def test_horse_that_is_not_there(self):
        """A horse comes home on a leg only if it went there."""
        yard = stable()
        one = visit(yard, "S1", "2027-04-07", "2027-04-11")
        back = replace(one.legs[1], horses=("Alder", "Birch"))
        circuit = plan(yard, Visit(one.outings, (one.legs[0], back)))
        assert broken(circuit, yard) == {"one-place"}

    @pytest.mark.parametrize(("hour", "rules"), [(9, set()), (8, {"one-place"})])
    def test_two_legs_at_once(self, hour: int, rules: set[str]):
        """A lorry that arrives at 09:00 leaves again at 09:00, not at 08:00."""
        yard = stable()
        one = visit(yard, "S1", "2027-04-07", "2027-04-11")
        legs = (
            one.legs[0],
            drive("S1", "home", "2027-04-07", (), hour=hour),
            drive("home", "S1", "2027-04-11", (), hour=7),
            drive("S1", "home", "2027-04-11", hour=9),
        )
        assert broken(plan(yard, Visit(one.outings, legs)), yard) == rules

    @pytest.mark.parametrize(("most", "rules"), [(3, set()), (2, {"one-place"})])
    def test_drives_of_a_day(self, most: int, rules: set[str]):
        """A lorry that brings a horse, goes home and comes again has three drives on that day."""
        yard = stable(limits=make_limits(drives_per_day=most))
        one = visit(yard, "S1", "2027-04-07", "2027-04-11")
        empty = (
            drive("S1", "home", "2027-04-07", (), hour=9),
            drive("home", "S1", "2027-04-07", (), hour=11),
        )
        assert broken(plan(yard, Visit(one.outings, (*one.legs, *empty))), yard) == rules

    @pytest.mark.parametrize(("minute", "rules"), [(15, set()), (10, {"one-place"})])
    def test_drives_begin_on_a_quarter(self, minute: int, rules: set[str]):
        """A drive leaves at 07:15, not at 07:10."""
        yard = stable()
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
        times = {"depart": at("2027-04-07", 7, minute), "arrive": at("2027-04-07", 9, minute)}
        assert broken(change_leg(circuit, 0, **times), yard) == rules

    def test_a_horse_stays_aboard_where_the_lorry_calls(self):
        """Birch goes on to T when Alder is unloaded at S1, and is aboard when it is fetched."""
        yard = stable(
            shows=[free_show("S1", "2027-04-07"), free_show("T", "2027-04-07", "Fairview")],
            horses=[make_horse("Alder"), make_horse("Birch", rider="Ben")],
            people=[make_rider(), make_rider("Ben")],
        )
        both, days = ("Alder", "Birch"), ("2027-04-07", "2027-04-11")
        outings = (outing(yard, "S1", *days), outing(yard, "T", *days, "Birch", rider="Ben"))
        legs = (
            drive("home", "S1", days[0], both),
            drive("S1", "T", days[0], ("Birch",), hour=10),
            drive("T", "S1", days[1], ("Birch",)),
            drive("S1", "home", days[1], both, hour=10),
        )
        assert say(plan(yard, Visit(outings, legs)), yard) == ""

    @pytest.mark.parametrize(
        "change", [{"arrive": at("2027-04-06").date()}, {"leave": at("2027-04-12").date()}]
    )
    def test_arrive_and_leave_match_legs(self, change: dict[str, Any]):
        """The days on the grounds are those on which legs come and go."""
        yard = stable()
        circuit = change_outing(
            plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11")), 0, **change
        )
        days = circuit.days
        circuit = replace(settle(yard, circuit), days=days)
        assert broken(circuit, yard) == {"one-place"}

    def test_stay_without_a_seam(self):
        """A horse that stays for the second show leaves the first on the day it arrives there."""
        # S1 and S3 at Millbrook, 25 clear days apart, 9 asked.
        yard = stable()
        legs = (drive("home", "S1", "2027-04-07"), drive("S3", "home", "2027-05-09"))
        first = outing(yard, "S1", "2027-04-07", "2027-05-03")
        second = outing(yard, "S3", "2027-05-05", "2027-05-09")
        circuit = plan(yard, Visit((first, second), legs), spare_days=16)
        assert broken(circuit, yard) == {"one-place"}

    @pytest.mark.parametrize(
        ("on", "rules"),
        [
            ("2027-02-22", set()),
            ("2027-02-21", {"one-place"}),
            ("2027-06-13", set()),
            ("2027-06-14", {"one-place"}),
        ],
    )
    def test_legs_near_the_season(self, on: str, rules: set[str]):
        """Legs run from 7 days before the season (02-22) to 7 days after it (06-13)."""
        # Season 03-01 to 06-06; February 2027 has 28 days.
        yard = stable()
        legs = (drive("home", "S1", on, ()), drive("S1", "home", on, (), hour=10))
        assert broken(plan(yard, Visit((), legs)), yard) == rules

    def test_unknown_vehicle(self):
        """A vehicle that the yard does not have is named."""
        yard = stable()
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
        for number in (0, 1):
            circuit = change_leg(circuit, number, vehicle="Ghost")
        assert broken(circuit, yard) == {"one-place"}
        assert "'Ghost'" in say(circuit, yard)

    def test_unknown_stop(self):
        """A leg to a place that is no show is named, and the horse is not where it should be."""
        yard = stable()
        circuit = change_leg(plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11")), 0, end="X9")
        assert "'X9' is neither home nor a show" in say(circuit, yard)

    def test_odd_horses_aboard(self):
        """An unknown horse aboard and one named twice are told."""
        yard = stable()
        for aboard in (("Alder", "Zephyr"), ("Alder", "Alder")):
            circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
            circuit = settle(yard, change_leg(circuit, 0, horses=aboard))
            assert broken(circuit, yard) == {"one-place"}

    def test_two_outings_at_one_show(self):
        """One horse at one show is one outing, with all its classes."""
        yard = stable()
        one = visit(yard, "S1", "2027-04-07", "2027-04-11")
        halves = (
            outing(yard, "S1", "2027-04-07", "2027-04-11", classes=("C1",)),
            outing(yard, "S1", "2027-04-07", "2027-04-11", classes=("C2",)),
        )
        circuit = plan(yard, Visit(halves, one.legs))
        assert "Alder has 2 outings at S1" in say(circuit, yard)

    def test_overlapping_outings(self):
        """A horse is not at two shows at a time, whatever its outings say."""
        shows = [free_show("S1", "2027-04-07"), free_show("T", "2027-04-07", "Fairview")]
        yard = stable(shows=shows, vehicles=[make_lorry(), make_lorry("Van")])
        one = visit(yard, "S1", "2027-04-07", "2027-04-11")
        other = outing(yard, "T", "2027-04-07", "2027-04-11")
        circuit = plan(yard, Visit((*one.outings, other), one.legs))
        assert broken(circuit, yard) >= {"one-place", "recovery", "rider"}


class TestDriving:
    """Roads, hours and halts."""

    @pytest.mark.parametrize(
        ("change", "rules"),
        [
            ({"km": 141.4}, set()),
            ({"km": 142.0}, {"driving"}),
            ({"km": float("nan")}, {"driving", "totals"}),
            ({"hours": 2.02}, set()),
            ({"hours": 1.9}, {"driving"}),
        ],
    )
    def test_as_the_roads_say(self, change: dict[str, float], rules: set[str]):
        """Kilometres and hours are those of the yard's roads (140 km, 2 h) to one per cent."""
        yard = stable()
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
        circuit = change_leg(circuit, 0, **change)
        if "hours" in change:
            circuit = change_leg(circuit, 0, arrive=at("2027-04-07", 9, 2))
        assert broken(settle(yard, circuit), yard) == rules

    def test_measured_hours_win(self):
        """Hours that the yard measured (3 h for 140 km) count, not kilometres over speed."""
        yard = stable(km={("home", "Millbrook"): Drive(140.0, 3.0, state("roads.measured"))})
        assert broken(long_visit(yard, 140.0, (), "2027-04-07"), yard) == {"driving"}

    def test_no_road(self):
        """A leg between places without a known road is told."""
        yard = far(None)  # type: ignore[arg-type]
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
        assert broken(circuit, yard) == {"driving"}
        assert "no road is known from home to Millbrook" in say(circuit, yard)

    def test_too_fast(self):
        """Two hours of driving do not fit between 07:00 and 08:50."""
        yard = stable()
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
        assert broken(change_leg(circuit, 0, arrive=at("2027-04-07", 8, 50)), yard) == {"driving"}

    def test_arrives_before_it_departs(self):
        """A leg that arrives before it departs is told."""
        yard = stable()
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
        circuit = change_leg(circuit, 0, arrive=at("2027-04-07", 6))
        assert "before it departs" in say(circuit, yard)

    def test_naive_times(self):
        """A time without an offset from UTC is told, and the rest judged as local time."""
        yard = stable()
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
        circuit = change_leg(
            circuit, 0, depart=datetime(2027, 4, 7, 7), arrive=datetime(2027, 4, 7, 9)
        )
        assert broken(circuit, yard) == {"driving"}

    def test_times_of_another_zone(self):
        """Times are local: 07:00 in New York written as 11:00 UTC is told."""
        # 7 April is summer time, four hours behind UTC.
        yard = stable()
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
        circuit = change_leg(circuit, 0, depart=datetime(2027, 4, 7, 11, tzinfo=UTC))
        assert broken(circuit, yard) == {"driving"}

    @pytest.mark.parametrize(("km", "rules"), [(280.0, set()), (287.0, {"driving"})])
    def test_water_every_four_hours(self, km: float, rules: set[str]):
        """4 h go without water, 4.1 h do not."""
        yard = far(km)
        assert broken(long_visit(yard, km, ()), yard) == rules

    def test_a_driver_s_break_is_no_water(self):
        """A stop for the driver's break is no stop for water."""
        yard = far(420.0)
        legs = tuple(
            drive(a, b, on, km=420.0, hours=6.0, stops=(water(on, 10, kind="break"),))
            for a, b, on in (("home", "S1", "2027-04-07"), ("S1", "home", "2027-04-11"))
        )
        circuit = plan(yard, Visit((outing(yard, "S1", "2027-04-07", "2027-04-11"),), legs))
        assert broken(circuit, yard) == {"driving"}
        assert "6.0 h without a stop for water" in say(circuit, yard)

    @pytest.mark.parametrize(("km", "rules"), [(630.0, set()), (637.0, {"driving"})])
    def test_ten_hours_of_horses(self, km: float, rules: set[str]):
        """9 h and two halts make the horses' 10 h; 9.1 h and two halts are too long a day."""
        # 630 / 70 = 9; 4 h to 11:00, 4 h to 15:30, then 1 h: arrives 17:00.
        yard = far(km)
        assert broken(long_visit(yard, km, ((11, 0), (15, 30))), yard) == rules

    @pytest.mark.parametrize("minutes", [30, 360])
    def test_a_night_is_a_night(self, minutes: int):
        """Half an hour or six hours, called overnight, do not part two days on the road."""
        yard = far(700.0)
        first, second = two_day_visit(yard).legs
        stops = (
            water("2027-04-05", 11),
            water("2027-04-05", 15, 30),
            night("2027-04-05", 17, minutes),
        )
        short = replace(first, stops=stops)
        circuit = plan(
            yard, Visit((outing(yard, "S1", "2027-04-06", "2027-04-11"),), (short, second))
        )
        assert broken(circuit, yard) == {"driving"}

    @pytest.mark.parametrize(("minutes", "rules"), [(780, set()), (840, {"driving"})])
    def test_night_of_the_clock_change(self, minutes: int, rules: set[str]):
        """On 14 March 2027 clocks go on at 02:00: 17:00 to 07:00 are 13 h, not 14."""
        # Source: Energy Policy Act of 2005, sec. 110: second Sunday of March, 14 March 2027.
        yard = stable(shows=[free_show("S0", "2027-03-15")], km={("home", "Millbrook"): 700.0})
        first = "2027-03-13"
        stops = (water(first, 11), water(first, 15, 30), night(first, 17, minutes))
        there = Visit(
            (outing(yard, "S0", "2027-03-14", "2027-03-19"),),
            (
                two_day_drive("home", "S0", first, "2027-03-14", stops=stops),
                two_day_drive("S0", "home", "2027-03-19", "2027-03-20"),
            ),
        )
        assert broken(plan(yard, there), yard) == rules

    def test_two_legs_in_one_day(self):
        """Two drives of 6 h on one day are 12 h for the horse, which may travel 10."""
        # Each 385 km = 5.5 h and half an hour for water.
        yard = stable(km={("home", "Millbrook"): 385.0, ("Millbrook", "Fairview"): 385.0})
        on = "2027-04-18"
        legs = (
            drive("home", "S1", on, km=385.0, hours=5.5, stops=(water(on, 10),)),
            drive("S1", "S2", on, km=385.0, hours=5.5, stops=(water(on, 17),), hour=14),
            drive("S2", "home", "2027-04-23"),
        )
        circuit = plan(yard, Visit((outing(yard, "S2", on, "2027-04-23"),), legs))
        assert broken(circuit, yard) == {"driving"}
        assert "Alder travels 12.0 h on 2027-04-18 (home to S1, S1 to S2)" in say(circuit, yard)

    def test_no_night_between_two_legs(self):
        """A drive after midnight goes on with the evening's where no night lies between."""
        # 16:00 to 22:00, and 00:30 to 06:30.
        yard = stable(km={("home", "Millbrook"): 385.0, ("Millbrook", "Fairview"): 385.0})
        first, second = "2027-04-17", "2027-04-18"
        late = drive("S1", "S2", second, km=385.0, hours=5.5, stops=(water(second, 4),), hour=0)
        late = replace(late, depart=at(second, 0, 30), arrive=at(second, 6, 30))
        legs = (
            drive("home", "S1", first, km=385.0, hours=5.5, stops=(water(first, 19),), hour=16),
            late,
            drive("S2", "home", "2027-04-23"),
        )
        circuit = plan(yard, Visit((outing(yard, "S2", second, "2027-04-23"),), legs))
        assert broken(circuit, yard) == {"driving"}

    @pytest.mark.parametrize(
        ("rules_of_driving", "drivers", "rules"),
        [("us", 1, {"driving"}), ("us", 2, set()), ("none", 1, set())],
    )
    def test_eleven_hours_of_a_driver(self, rules_of_driving: str, drivers: int, rules: set[str]):
        """12 h of driving in a day are too long for one driver, not for two (11 h each)."""
        # 49 CFR 395.3(a)(3)(i), edition of 29 September 2020: 11 h. 840 km / 70 = 12 h, arrives
        # 20:00 after 13 h; 12 h ask for two whole days of rest: 04-06 and 04-07.
        names = tuple(number_driver(i + 1) for i in range(drivers))
        yard = far(
            840.0,
            limits=make_limits(horse_hours_per_day=14.0),
            vehicles=[make_lorry(drivers=drivers)],
            driving=DrivingSettings(rules_of_driving),
        )
        circuit = long_visit(yard, 840.0, ((11, 0), (15, 30)), "2027-04-05", drivers=names)
        assert broken(circuit, yard) == rules

    @pytest.mark.parametrize(
        ("km", "chosen", "rules"),
        [(315.0, "eu", set()), (329.0, "eu", {"driving"}), (399.0, "gb", set())],
    )
    def test_break_of_a_driver(self, km: float, chosen: str, rules: set[str]):
        """In the EU a driver breaks after 4.5 h, even where the horses could go on."""
        # Regulation (EC) No 561/2006 Art. 7. 315 / 70 = 4.5 h, 329 / 70 = 4.7 h. The domestic rules
        # of Great Britain for goods vehicles know 10 h and 11 h, but no break (gov.uk, section 2).
        yard = far(km, limits=make_limits(water_every_hours=6.0), driving=DrivingSettings(chosen))
        assert broken(long_visit(yard, km, ()), yard) == rules

    @pytest.mark.parametrize(
        "stop",
        [
            water("2027-04-07", 6),
            water("2027-04-07", 8, minutes=-30),
            water("2027-04-07", 8, kind="sightseeing"),
            replace(water("2027-04-07", 8), start=datetime(2027, 4, 7, 8)),
            replace(water("2027-04-07", 8), start=datetime(1, 1, 1, 8)),
        ],
    )
    def test_odd_stops(self, stop: Stop):
        """A stop outside the drive, of no length, of no known kind, or naive is told."""
        yard = stable()
        circuit = plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11"))
        circuit = change_leg(circuit, 0, stops=(stop,), arrive=at("2027-04-07", 9, 30))
        assert broken(circuit, yard) == {"driving"}


class TestOwnLimits:
    """What stands in the row of one horse aboard; the other numbers are the usual ones."""

    @pytest.mark.parametrize(
        ("own", "aboard", "told"),
        [
            # 315 km are 4.5 h with a halt at 11:00: 5 h from loading, 4 h and 0.5 h of driving.
            ({}, ("Alder", "Birch"), ""),
            ({"horse_hours_per_day": 5}, ("Alder", "Birch"), ""),
            ({"horse_hours_per_day": 4.5}, ("Alder", "Birch"), "may travel 4.5"),
            ({"horse_hours_per_day": 4.5}, ("Alder",), ""),
            ({"water_every_hours": 4}, ("Alder", "Birch"), ""),
            ({"water_every_hours": 3}, ("Alder", "Birch"), "may go 3"),
            ({"water_every_hours": 3}, ("Alder",), ""),
            # From 07:00 to 12:00, loaded in 20 minutes before.
            ({"load_from_hour": 6.5}, ("Alder", "Birch"), ""),
            ({"load_from_hour": 7}, ("Alder", "Birch"), "loading begins at 7 h"),
            ({"arrive_until_hour": 13}, ("Alder", "Birch"), ""),
        ],
    )
    def test_the_strictest_aboard_binds(self, own: dict[str, Any], aboard: Any, told: str):
        """Birch's own number binds the lorry that carries it, and no other."""
        horses = [make_horse("Alder"), make_horse("Birch", limits=make_limits(**own))]
        yard = far(315.0, horses=horses)
        legs = [
            drive(*ends, on, aboard, km=315.0, hours=4.5, stops=(water(on, 11),))
            for *ends, on in (("home", "S1", "2027-04-07"), ("S1", "home", "2027-04-11"))
        ]
        outings = tuple(outing(yard, "S1", "2027-04-07", "2027-04-11", horse) for horse in aboard)
        circuit = plan(yard, Visit(outings, tuple(legs)))
        assert broken(circuit, yard) == ({"driving"} if told else set())
        assert told in say(circuit, yard)

    def test_arrives_by_its_own_hour(self):
        """Birch is there by 13:00; a drive from 09:00 to 14:00 comes an hour too late."""
        own = make_limits(arrive_until_hour=13)
        yard = far(315.0, horses=[make_horse("Alder", limits=own)])
        circuit = long_visit(yard, 315.0, ((13, 0),), "2027-04-07", hour=9)
        assert broken(circuit, yard) == {"driving"}
        assert "horses arrive until 13 h" in say(circuit, yard)

    def test_a_tougher_horse_may_travel_longer(self):
        """Alder alone may travel 12 h a day, and the yard's other horses 10."""
        # 770 km are 11 h and two halts 12 h: from 07:00 to 19:00.
        own = make_limits(horse_hours_per_day=12, travel_rest=())
        yard = far(770.0, horses=[make_horse("Alder", limits=own), make_horse("Birch")])
        circuit = long_visit(yard, 770.0, ((11, 0), (15, 30)), "2027-04-07")
        assert broken(circuit, yard) == set()

    def test_legs_of_a_day_add_up_to_its_own_hours(self):
        """Two drives of 2 h on one day are 4 h for a horse that may travel 3."""
        yard = stable(horses=[make_horse("Alder", limits=make_limits(horse_hours_per_day=3))])
        there = Visit(
            (outing(yard, "S2", "2027-04-18", "2027-04-23"),),
            (
                drive("home", "S1", "2027-04-18"),
                drive("S1", "S2", "2027-04-18", hour=10),
                drive("S2", "home", "2027-04-23"),
            ),
        )
        assert "Alder travels 4.0 h" in say(plan(yard, there), yard)
