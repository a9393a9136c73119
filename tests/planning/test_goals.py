"""What comes first, and what it costs: aims before points, the worth slack, good value.

Each yard is small enough to be counted by hand. An aim is met where an outing ended 10 to 45 days
before it (the contract's worth).
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from tests.build import (
    make_absence,
    make_aim,
    make_class,
    make_entry,
    make_horse,
    make_limits,
    make_lorry,
    make_rider,
    make_show,
    make_yard,
)
from tripkit.judging.judge import find_violations
from tripkit.planning import plan
from tripkit.yard.circuit import Circuit
from tripkit.yard.horses import OutingsWanted
from tripkit.yard.shows import Show
from tripkit.yard.yard import CostRates, Yard


def show_on(show: str, on: str, worth: int = 10, cents: int = 0, place: str = "Millbrook") -> Show:
    """A show of one day with one class."""
    offered = make_class("C1", on, show, worth=Decimal(worth), fee_cents=cents)
    return make_show(show, on, on, place_key=place, classes=[offered])


def plan_goals(yard: Yard) -> dict[str, Circuit]:
    """The circuits by goal, in all of which the judge finds nothing."""
    circuits = plan(yard)
    for circuit in circuits:
        assert [str(violation) for violation in find_violations(yard, circuit)] == []
    return {circuit.goal: circuit for circuit in circuits}


def list_shows(circuit: Circuit) -> list[str]:
    """Where it goes."""
    return [outing.show for outing in circuit.outings]


class TestAimsFirst:
    """Aims are met in the order of their importance before points are counted."""

    def make(self, first: int = 20, second: int = 20, worth: int = 90, **limits: object) -> Yard:
        """Of A1 on 04-22 and A2 on 04-24 one can be met, after P on 04-05; or P and R on 04-23.

        Two outings on days so near to each other are never both possible.
        """
        return make_yard(
            shows=[
                show_on("P", "2027-04-05"),
                show_on("A1", "2027-04-22"),
                show_on("R", "2027-04-23", worth),
                show_on("A2", "2027-04-24"),
            ],
            aims=[
                make_aim(show="A1", importance=Decimal(first)),
                make_aim(show="A2", importance=Decimal(second)),
            ],
            limits=make_limits(**limits),
        )

    @pytest.mark.parametrize(("first", "second", "met"), [(20, 30, "A2"), (30, 20, "A1")])
    def test_the_more_important_of_two_is_met(self, first: int, second: int, met: str) -> None:
        """P and the aim are worth 10 + 10 + 30, P and R 10 + 90."""
        circuits = plan_goals(self.make(first, second))
        most = circuits["most worth"]
        assert (list_shows(most), most.objective, most.bound) == (["P", met], 50.0, 50.0)
        assert most.aims_proved
        assert all(list_shows(circuit) == ["P", met] for circuit in circuits.values())

    def test_of_equal_aims_points_decide(self) -> None:
        """A1 and A2 are worth 20 each as aims; A2's class 15, A1's 10."""
        yard = self.make()
        shows = [s if s.show != "A2" else show_on("A2", "2027-04-24", 15) for s in yard.shows]
        yard = make_yard(shows=shows, aims=yard.aims)
        assert list_shows(plan_goals(yard)["most worth"]) == ["P", "A2"]

    def test_aims_may_be_points_like_others(self) -> None:
        """With `aims` points, P and R are worth 100 and no aim is met."""
        most = plan_goals(self.make(aims="points"))["most worth"]
        assert (list_shows(most), most.objective) == (["P", "R"], 100.0)

    def test_an_aim_of_no_importance_comes_before_points_too(self) -> None:
        """Sets of aims are compared by the aims, however little they matter."""
        most = plan_goals(self.make(0, 0))["most worth"]
        assert list_shows(most) == ["P", "A1"] or list_shows(most) == ["P", "A2"]
        assert most.objective == 20.0

    def test_many_aims_are_met_rank_by_rank(self) -> None:
        """Of 14 horses that are to go to one show a lorry takes three: those that matter most.

        All go to P before, by five lorries, of which one is left later. After 5 h and a halt it is
        there too late for a class of the same day, so it comes once.
        """
        names = [f"Horse {number:02}" for number in range(14)]
        lorries = [make_lorry(f"Lorry {number}", places=3) for number in range(5)]
        yard = make_yard(
            horses=[make_horse(name, rider=f"Rider {i}") for i, name in enumerate(names)],
            people=[make_rider(f"Rider {i}") for i in range(len(names))],
            shows=[show_on("P", "2027-04-05"), show_on("A", "2027-04-22")],
            aims=[make_aim(n, "A", importance=Decimal(50 - i)) for i, n in enumerate(names)],
            vehicles=lorries,
            absences=[make_absence(v.vehicle, "2027-04-12", "2027-05-30") for v in lorries[1:]],
            limits=make_limits(drives_per_day=1, arrive_days_before=0, leave_from_hour=24),
            km={("home", "Millbrook"): 350},
        )
        most = plan_goals(yard)["most worth"]
        assert {o.horse for o in most.outings if o.show == "A"} == set(names[:3])


class TestOutingsWanted:
    """After the aims horses have the outings that are wanted of them, before points."""

    def make(self, aims: str = "first") -> Yard:
        """R on 04-08 is worth 100; P on 04-05 and Q on 04-15 only 10 each.

        Between P and Q lie 9 clear days as recovery asks, between R and Q 6.
        """
        return make_yard(
            horses=[replace(make_horse(), outings_wanted=OutingsWanted(2))],
            shows=[
                show_on("P", "2027-04-05"),
                show_on("R", "2027-04-08", 100),
                show_on("Q", "2027-04-15"),
            ],
            limits=make_limits(aims=aims),
        )

    @pytest.mark.parametrize("aims", ["first", "points"])
    def test_two_shows_come_before_one_of_more_worth(self, aims: str) -> None:
        """P and Q are worth 20 and lack none, R alone is worth 100 and lacks one."""
        circuits = plan_goals(self.make(aims))
        most = circuits["most worth"]
        assert (list_shows(most), most.objective, most.bound) == (["P", "Q"], 20.0, 20.0)
        for goal in ("good value", "least road", "least cost", "most rest"):
            assert circuits[goal].totals.missing_outings == 0

    def test_what_cannot_be_had_is_lacking(self) -> None:
        """Three are wanted: one is lacking in any case, so R does not come first either."""
        yard = self.make()
        wanted = replace(yard.horses[0], outings_wanted=OutingsWanted(3))
        most = plan_goals(replace(yard, horses=(wanted,)))["most worth"]
        assert (list_shows(most), most.totals.missing_outings) == (["P", "Q"], 1)

    def test_an_aim_comes_before_them(self) -> None:
        """M, P, Q and S are four, 9 clear days or more apart; with R only three are left."""
        yard = self.make()
        shows = [show_on("M", "2027-03-20"), *yard.shows, show_on("S", "2027-04-25")]
        horse = replace(yard.horses[0], outings_wanted=OutingsWanted(4))
        yard = make_yard(
            horses=[horse],
            shows=shows,
            aims=[make_aim(show="R")],
            limits=make_limits(shows_per_30_days=4),
        )
        assert list_shows(plan_goals(yard)["most worth"]) == ["M", "R", "S"]


class TestWorthSlack:
    """Most worth gives away up to its slack where that saves money."""

    def make(self, slack: float) -> Yard:
        """S1 is worth 99 and costs 10.00, S2 next day is worth 100 and costs 50.00."""
        return make_yard(
            shows=[show_on("S1", "2027-04-08", 99, 1000), show_on("S2", "2027-04-09", 100, 5000)],
            limits=make_limits(worth_slack=slack),
        )

    @pytest.mark.parametrize(("slack", "show"), [(0.0, "S2"), (0.009, "S2"), (0.01, "S1")])
    def test_a_hundredth_less_for_a_fifth_of_the_money(self, slack: float, show: str) -> None:
        """100 x (1 - 0.01) is 99; the objective is that of most worth all the same."""
        most = plan_goals(self.make(slack))["most worth"]
        assert (list_shows(most), most.objective, most.bound) == ([show], 100.0, 100.0)
        assert most.status == "proved best"

    def test_among_equals_it_costs_least(self) -> None:
        """Two shows worth 10 on days next to each other, the second one cheaper."""
        yard = make_yard(
            shows=[show_on("S1", "2027-04-08", 10, 700), show_on("S2", "2027-04-09", 10, 600)],
            limits=make_limits(worth_slack=0.0),
        )
        assert list_shows(plan_goals(yard)["most worth"]) == ["S2"]


class TestGoodValue:
    """Worth at the price of a point, less cost."""

    def make(self, price_cents: int | None = None, **changes: object) -> Yard:
        """S1: 20 points for 30.00. S2, three weeks later: 10 points for 45.00. No other costs."""
        return make_yard(
            shows=[show_on("S1", "2027-04-08", 20, 3000), show_on("S2", "2027-04-29", 10, 4500)],
            costs=CostRates(point_price_cents=price_cents),
            **changes,
        )

    @pytest.mark.parametrize(
        ("price_cents", "shows", "value"),
        [(100, [], 0), (200, ["S1"], 1000), (500, ["S1", "S2"], 7500)],
    )
    def test_a_point_is_bought_where_it_costs_less_than_its_price(
        self, price_cents: int, shows: list[str], value: float
    ) -> None:
        """S1 costs 1.50 a point, S2 4.50: at 1.00 nobody goes, at 2.00 to S1, at 5.00 to both."""
        best = plan_goals(self.make(price_cents))["good value"]
        assert (list_shows(best), best.objective, best.bound) == (shows, value, value)
        assert (best.point_price_cents, best.status) == (price_cents, "proved best")

    def test_without_a_price_it_is_found_between_the_cheapest_and_most_worth(self) -> None:
        """Most worth: 30 points for 75.00; the cheapest stays at home. So a point costs 2.50.

        S1 alone: 20 x 2.50 - 30.00 = 20.00; both: 0.
        """
        best = plan_goals(self.make())["good value"]
        assert best.point_price_cents == 250
        assert (list_shows(best), best.objective) == (["S1"], 2000.0)

    def test_what_is_paid_is_in_the_cheapest_season_too(self) -> None:
        """S2 is paid: the cheapest has 10 points for 45.00, so a point costs 30.00 / 20 = 1.50."""
        best = plan_goals(self.make(entries=[make_entry(show="S2")]))["good value"]
        assert best.point_price_cents == 150
        assert best.objective == 150 * 30 - 7500 == -3000

    def test_where_worth_costs_nothing_it_is_most_worth(self) -> None:
        """Both shows for nothing: the value is that of no money, the plan that of most worth."""
        yard = make_yard(shows=[show_on("S1", "2027-04-08"), show_on("S2", "2027-04-29")])
        circuits = plan_goals(yard)
        assert circuits["good value"].outings == circuits["most worth"].outings
        assert circuits["good value"].objective == 0.0

    def test_it_keeps_no_floor(self) -> None:
        """At 2.00 a point it has 20 of 30 points, less than 0.8 of them."""
        circuits = plan_goals(self.make(200))
        assert circuits["good value"].totals.worth == 20
        assert circuits["least cost"].totals.worth == 30
