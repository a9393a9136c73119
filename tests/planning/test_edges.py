"""The planner on the last day that a rule allows, and on the first that it does not.

Whatever the planner leaves out no judge misses, so what is reached is counted by hand here: from
the rules of DEVELOPERS.md, whose defaults are common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.build import (
    make_absence,
    make_aim,
    make_class,
    make_entry,
    make_horse,
    make_limits,
    make_lorry,
    make_result,
    make_rider,
    make_show,
    make_vet_check,
    make_yard,
    plan_most,
    span,
)
from tripkit.judging.judge import find_violations
from tripkit.yard.circuit import Circuit
from tripkit.yard.shows import Show
from tripkit.yard.yard import CostRates, Yard


def show_on(show: str, on: str, place: str = "Millbrook", **changes: object) -> Show:
    """A show of one day with one class worth 10 that costs 50.00."""
    offered = make_class("C1", on, show, **changes.pop("of_class", {}))  # type: ignore[arg-type]
    return make_show(show, on, on, place_key=place, classes=[offered], **changes)


def plan_clean(yard: Yard) -> Circuit:
    """The circuit of most worth, proved, or that there is none; the judge finds nothing in it."""
    circuit = plan_most(yard)
    assert circuit.status in ("proved best", "none exists")
    assert [str(violation) for violation in find_violations(yard, circuit)] == []
    return circuit


def list_shows(yard: Yard) -> list[str]:
    """The shows of the circuit of most worth."""
    return [outing.show for outing in plan_clean(yard).outings]


class TestCap:
    """Of three outings the last begins 30 days after the first, or of two where one is allowed."""

    @pytest.mark.parametrize(
        ("second", "third", "count"),
        [
            ("2027-04-15", "2027-05-01", 3),
            ("2027-04-15", "2027-04-30", 2),
            # As close to the third as recovery lets it: 9 clear days.
            ("2027-04-21", "2027-05-01", 3),
            ("2027-04-20", "2027-04-30", 2),
        ],
    )
    def test_thirty_days_from_the_first_of_three_to_the_last(
        self, second: str, third: str, count: int
    ) -> None:
        """04-01 to 05-01 are 30 days, to 04-30 are 29."""
        days = ("2027-04-01", second, third)
        yard = make_yard(shows=[show_on(f"S{i}", on) for i, on in enumerate(days)])
        assert len(list_shows(yard)) == count

    @pytest.mark.parametrize(("second", "count"), [("2027-05-01", 2), ("2027-04-30", 1)])
    def test_one_outing_in_thirty_days(self, second: str, count: int) -> None:
        """With a cap of one the second is 30 days after the first."""
        yard = make_yard(
            shows=[show_on("S1", "2027-04-01"), show_on("S2", second)],
            limits=make_limits(shows_per_30_days=1),
        )
        assert len(list_shows(yard)) == count

    @pytest.mark.parametrize(("fourth", "count"), [("2027-05-01", 4), ("2027-04-30", 3)])
    def test_three_outings_in_thirty_days(self, fourth: str, count: int) -> None:
        """With a cap of three the fourth is: 04-01, 04-11, 04-21 have 9 clear days between."""
        days = ("2027-04-01", "2027-04-11", "2027-04-21", fourth)
        # Clear days 04-22 to 04-29 are 8; a week and no school before a show need 7.
        yard = make_yard(
            shows=[show_on(f"S{i}", on) for i, on in enumerate(days)],
            limits=make_limits(shows_per_30_days=3, schools_before_show=0),
        )
        assert len(list_shows(yard)) == count

    @pytest.mark.parametrize("cap", [1, 2, 3])
    @pytest.mark.parametrize(("on", "count"), [("2027-04-01", 1), ("2027-03-31", 0)])
    def test_the_past_counts(self, cap: int, on: str, count: int) -> None:
        """03-02 to 04-01 are 30 days (29 in March and 1), to 03-31 are 29."""
        past = [make_result(f"2027-03-{d:02}", f"W{d}") for d in (2, 14, 8)]
        yard = make_yard(
            today="2027-03-15",
            shows=[show_on("S1", on)],
            results=past[:cap],
            limits=make_limits(shows_per_30_days=cap),
        )
        assert len(list_shows(yard)) == count

    @pytest.mark.parametrize(
        ("on", "count"), [("2027-04-03", 1), ("2027-04-02", 0), ("2027-03-31", 0)]
    )
    def test_a_past_beyond_the_cap_binds_new_outings_only(self, on: str, count: int) -> None:
        """Four outings in 30 days where three are allowed: the fifth is 30 days after the second.

        03-04 to 04-03 are 30 days.
        """
        yard = make_yard(
            today="2027-03-09",
            shows=[show_on("S1", on)],
            results=[make_result(f"2027-03-{d:02}", f"W{d}") for d in (2, 4, 6, 8)],
            limits=make_limits(shows_per_30_days=3),
        )
        assert len(list_shows(yard)) == count


class TestAim:
    """An aim is met with a preparation 10 to 45 days before, and what qualifies before its day."""

    # The class of the aim, GP, is on 15 May: 10 days before is 5 May, 45 days before 31 March.
    @pytest.mark.parametrize(
        ("on", "met"),
        [("2027-03-30", 0), ("2027-03-31", 1), ("2027-05-05", 1), ("2027-05-06", 0)],
    )
    def test_an_outing_of_the_plan_prepares(self, on: str, met: int) -> None:
        """The judge and the plan's own objective agree on whether the aim is met."""
        shows = [show_on("S1", on), show_on("Final", "2027-05-15", "Fairview")]
        limits = make_limits(no_jump_days=5, schools_before_show=0)
        yard = make_yard(shows=shows, limits=limits, aims=[make_aim("Dancer", "Final")])
        circuit = plan_most(yard)
        # Two classes of 10, and the aim's importance of 50.
        assert (circuit.objective, circuit.totals.worth) == (20 + 50 * met, 20 + 50 * met)

    @pytest.mark.parametrize(
        ("on", "met"),
        [("2027-03-30", 0), ("2027-03-31", 1), ("2027-05-05", 1), ("2027-05-06", 0)],
    )
    def test_an_outing_of_the_past_prepares(self, on: str, met: int) -> None:
        """The same days in results.csv, today 8 May."""
        yard = make_yard(
            today="2027-05-08",
            shows=[show_on("Final", "2027-05-15", "Fairview")],
            limits=make_limits(no_jump_days=5, schools_before_show=0),
            results=[make_result(on, "Elsewhere")],
            aims=[make_aim("Dancer", "Final")],
        )
        circuit = plan_most(yard)
        assert (circuit.objective, circuit.totals.worth) == (10 + 50 * met, 10 + 50 * met)

    @pytest.mark.parametrize(("by", "met"), [("2027-04-21", 1), ("2027-04-20", 0)])
    @pytest.mark.parametrize("past", [True, False])
    def test_a_start_on_the_very_day_qualifies_for_nothing(
        self, by: str, met: int, past: bool
    ) -> None:
        """The start of 20 April is before the 21st and not before the 20th, done or planned."""
        start = show_on("S1", "2027-04-20", of_class={"series": "Spring"})
        changes = {}
        if past:
            changes = {
                "today": "2027-05-01",
                "results": [make_result("2027-04-20", "S1", class_name="C1")],
            }
        yard = make_yard(
            shows=[start, show_on("Final", "2027-05-15", "Fairview")],
            aims=[make_aim("Dancer", "Final", series="Spring", starts_needed=1, by=by)],
            **changes,
        )
        circuit = plan_most(yard)
        classes = 10 if past else 20
        assert circuit.objective == classes + 50 * met
        assert circuit.totals.worth == classes + 50 * met


class TestMoney:
    """What a circuit costs is what the program counts: a budget holds to the cent."""

    @pytest.mark.parametrize(
        ("today", "budget", "goes"),
        [
            # The class costs 50.00, the late fee 30.00 from the day after the entries closed.
            ("2027-03-20", 5000, 1),
            ("2027-03-20", 4999, 0),
            ("2027-03-21", 7999, 0),
            ("2027-03-21", 8000, 1),
        ],
    )
    def test_the_closing_day_has_no_late_fee(self, today: str, budget: int, goes: int) -> None:
        """Entries close on 20 March, late ones on the 31st; the road costs nothing."""
        show = show_on(
            "S1",
            "2027-04-08",
            entries_close="2027-03-20",
            late_entries_until="2027-03-31",
            late_fee_cents=3000,
        )
        yard = make_yard(today=today, shows=[show], costs=CostRates(budget_cents=budget))
        assert len(list_shows(yard)) == goes

    @pytest.mark.parametrize(
        ("budget", "horses"),
        # Away on the 7th and the 8th of April, home that evening: two days of 90.00 for each groom.
        [(17_999, 0), (18_000, 4), (35_999, 4), (36_000, 8), (53_999, 8), (54_000, 9)],
    )
    def test_a_fifth_horse_needs_a_second_groom(self, budget: int, horses: int) -> None:
        """One groom for four horses or part, at every place and day."""
        names = [f"Horse {i}" for i in range(1, 10)]
        free = make_class("C1", "2027-04-08", "S1", fee_cents=0)
        yard = make_yard(
            shows=[make_show("S1", "2027-04-08", "2027-04-08", classes=[free])],
            horses=[make_horse(name) for name in names],
            people=[make_rider(horses_per_show=9)],
            vehicles=[make_lorry(places=9)],
            costs=CostRates(groom_day_cents=9000, hired_driver_day_cents=0, budget_cents=budget),
        )
        assert len(list_shows(yard)) == horses


APRIL_8 = "2027-04-08"


def yard_of(*days: str, **changes: Any) -> Yard:
    """Dancer and one show of one class a day, all at Millbrook, 2 h from home."""
    shows = [show_on(f"S{i}", on) for i, on in enumerate(days, 1)]
    return make_yard(**{"shows": shows, **changes})


def one_show(**changes: Any) -> Yard:
    """Dancer and S1 on 8 April: there on the 7th, home on the 9th."""
    return make_yard(shows=[show_on("S1", APRIL_8, **changes)])


class TestDays:
    """Each rule at its edge: goes on the last day that it allows, and not a day beyond."""

    @pytest.mark.parametrize(
        ("yard", "count"),
        [
            # window: the season's first and last day are in it; a day on the road is a day away.
            (yard_of(APRIL_8, season=(APRIL_8, "2027-06-06")), 1),
            (yard_of(APRIL_8, season=("2027-04-09", "2027-06-06")), 0),
            (yard_of(APRIL_8, season=("2027-03-01", APRIL_8)), 1),
            (yard_of(APRIL_8, season=("2027-03-01", "2027-04-07")), 0),
            (yard_of(APRIL_8, absences=[make_absence("Dancer", "2027-04-06")]), 1),
            (yard_of(APRIL_8, absences=[make_absence("Dancer", "2027-04-07")]), 0),
            # Home on the evening of the 8th.
            (yard_of(APRIL_8, absences=[make_absence("Dancer", "2027-04-09")]), 1),
            (yard_of(APRIL_8, absences=[make_absence("Dancer", APRIL_8)]), 0),
            (yard_of(APRIL_8, absences=[make_absence("Ana", "2027-04-07")]), 1),
            (yard_of(APRIL_8, absences=[make_absence("Ana", APRIL_8)]), 0),
            (yard_of(APRIL_8, absences=[make_absence("Lorry", APRIL_8)]), 1),
            # closed: the closing day is a day to enter on, a class of today is over.
            (yard_of(APRIL_8, today="2027-04-07"), 1),
            (yard_of(APRIL_8, today=APRIL_8), 0),
            # cleared: by the check of the class day itself.
            (
                yard_of(
                    APRIL_8,
                    vet_checks=[
                        make_vet_check("2027-02-20", False),
                        make_vet_check(APRIL_8, True),
                    ],
                ),
                1,
            ),
            (
                yard_of(
                    APRIL_8,
                    vet_checks=[
                        make_vet_check("2027-02-20", False),
                        make_vet_check("2027-04-09", True),
                    ],
                ),
                0,
            ),
            # fit: 11 March and 28 days are 8 April.
            (yard_of(APRIL_8, horses=[make_horse(in_work_from="2027-03-11")]), 1),
            (yard_of(APRIL_8, horses=[make_horse(in_work_from="2027-03-12")]), 0),
            # recovery: clear days 9 to 17 April are 9, to the 16th 8.
            (yard_of(APRIL_8, "2027-04-18"), 2),
            (yard_of(APRIL_8, "2027-04-17"), 1),
            # stabling: there the day before, away on the evening of the last class.
            (one_show(stabling=span("2027-04-07", APRIL_8)), 1),
            (one_show(stabling=span(APRIL_8, "2027-04-09")), 0),
        ],
    )
    def test_one_horse_goes_as_often_as_the_words_allow(self, yard: Yard, count: int) -> None:
        """Counted by hand from the rules in words."""
        assert len(list_shows(yard)) == count

    @pytest.mark.parametrize(
        ("closes", "late", "count"),
        [
            ("2027-03-20", None, 1),
            ("2027-03-19", None, 0),
            ("2027-03-01", "2027-03-20", 1),
            ("2027-03-01", "2027-03-19", 0),
        ],
    )
    def test_entries_are_open_on_their_last_day(
        self, closes: str, late: str | None, count: int
    ) -> None:
        """Late entries, else entries, end on 20 March or the day before; today is the 20th."""
        show = show_on("S1", APRIL_8, entries_close=closes, late_entries_until=late)
        assert len(list_shows(make_yard(today="2027-03-20", shows=[show]))) == count

    @pytest.mark.parametrize(
        ("hours", "until", "count"), [(4, APRIL_8, 1), (4.25, APRIL_8, 0), (4.25, "2027-04-09", 1)]
    )
    def test_an_evening_holds_four_hours_of_driving(
        self, hours: float, until: str, count: int
    ) -> None:
        """From 16:30, the quarter after 16:00 and loading, 4 h end at 20:30; more has a halt.

        4 h 15 and half an hour for water end at 21:15, and at 21:00 they must be there.
        """
        show = show_on("S1", APRIL_8, stabling=span("2027-04-07", until))
        yard = make_yard(shows=[show], km={("home", "Millbrook"): hours * 70})
        assert len(list_shows(yard)) == count

    @pytest.mark.parametrize(("hours", "count"), [(4, 1), (4.25, 0)])
    @pytest.mark.parametrize("lead", [0, 1])
    def test_a_morning_holds_four_hours_of_driving(
        self, hours: float, count: int, lead: int
    ) -> None:
        """From 5:30, the quarter after 5:00 and loading, 4 h end at 9:30; with a halt at 10:15.

        By 10:00 a horse is there that need not come the day before (`arrive_days_before` 0).
        """
        show = show_on("S1", APRIL_8, stabling=span(APRIL_8, "2027-04-09"))
        limits = make_limits(arrive_days_before=lead)
        yard = make_yard(shows=[show], limits=limits, km={("home", "Millbrook"): hours * 70})
        assert len(list_shows(yard)) == (0 if lead else count)

    @pytest.mark.parametrize(("last", "worth"), [(APRIL_8, 30), ("2027-04-09", 20)])
    def test_a_lorry_that_is_away_drives_no_leg(self, last: str, worth: int) -> None:
        """Its only place brings Dancer on the 7th; home from then on, it takes Bella by the 9th.

        Dancer has a class of 10 on the 8th and on the 12th, Bella one on the 10th elsewhere; the
        lorry is away from the 8th on.
        """
        days = (APRIL_8, "2027-04-12")
        classes = [make_class(f"C{i}", on, "S1") for i, on in enumerate(days)]
        low = make_class("C1", "2027-04-10", "S2", height_cm=100)
        yard = make_yard(
            shows=[
                make_show("S1", *days, classes=classes, stabling=span("2027-04-07", "2027-04-13")),
                make_show("S2", "2027-04-10", "2027-04-10", place_key="Fairview", classes=[low]),
            ],
            horses=[
                make_horse(),
                make_horse("Bella", from_height_cm=90, to_height_cm=105, rider="Ben"),
            ],
            people=[make_rider(), make_rider("Ben")],
            vehicles=[make_lorry(places=1)],
            absences=[make_absence("Lorry", APRIL_8, last)],
        )
        assert plan_clean(yard).totals.worth == worth

    @pytest.mark.parametrize(("third", "count"), [("2027-05-04", 3), ("2027-05-03", 2)])
    def test_a_break_is_two_weeks_and_the_week_without_jumping(
        self, third: str, count: int
    ) -> None:
        """After 04-01 and 04-12 the break of 14 + 7 clear days lasts from 04-13 to 05-03."""
        limits = make_limits(outings_before_break=2, shows_per_30_days=3)
        yard = yard_of("2027-04-01", "2027-04-12", third, limits=limits)
        assert len(list_shows(yard)) == count

    @pytest.mark.parametrize(
        ("hours", "opens", "goes"),
        [
            (7.99, "2027-04-07", 1),
            (8.0, "2027-04-07", 0),
            (8.0, "2027-04-06", 1),
        ],
    )
    def test_a_drive_of_eight_hours_asks_for_a_day_of_rest(
        self, hours: float, opens: str, goes: int
    ) -> None:
        """Less than 8 h none, 8 h one whole day between arrival and class."""
        show = show_on("S1", APRIL_8, stabling=span(opens, "2027-04-10"))
        yard = make_yard(
            shows=[show],
            km={("home", "Millbrook"): hours * 70},
            horses=[make_horse(limits=make_limits(horse_hours_per_day=12))],
            limits=make_limits(horse_hours_per_day=12),
        )
        assert len(list_shows(yard)) == goes

    @pytest.mark.parametrize(
        ("changes", "count"),
        [
            ({"places_left": 2}, 2),
            ({"places_left": 0}, 0),
            # What is paid has its place beyond those left.
            ({"places_left": 1, "paid": True}, 2),
        ],
    )
    def test_a_show_takes_as_many_new_outings_as_it_has_places(
        self, changes: dict[str, Any], count: int
    ) -> None:
        """`places_left`: three horses would go."""
        names = ("Dancer", "Bella", "Cora")
        paid = [make_entry("C1", date="2027-01-05")] if changes.pop("paid", False) else []
        yard = make_yard(
            shows=[show_on("S1", APRIL_8, **changes)],
            horses=[make_horse(name) for name in names],
            entries=paid,
        )
        assert len(list_shows(yard)) == count

    @pytest.mark.parametrize("most", [1, 2])
    def test_a_rider_rides_as_many_horses_at_a_show_as_the_row_says(self, most: int) -> None:
        """`horses_per_show`: three horses would go."""
        yard = make_yard(
            shows=[show_on("S1", APRIL_8)],
            horses=[make_horse(name) for name in ("Dancer", "Bella", "Cora")],
            people=[make_rider(horses_per_show=most)],
        )
        assert len(list_shows(yard)) == most

    @pytest.mark.parametrize(
        ("starts", "count"), [({"starts_per_show": 2}, 2), ({"starts_per_show": 3}, 3)]
    )
    def test_a_horse_starts_as_often_at_a_show_as_its_row_says(
        self, starts: dict[str, int], count: int
    ) -> None:
        """`starts_per_show`: four days with a class each."""
        days = [f"2027-04-{n:02}" for n in range(8, 12)]
        classes = [make_class(f"C{i}", on, "S1") for i, on in enumerate(days)]
        show = make_show("S1", days[0], days[-1], classes=classes)
        (outing,) = plan_clean(make_yard(shows=[show], horses=[make_horse(**starts)])).outings
        assert len(outing.classes) == count

    @pytest.mark.parametrize("most", [1, 2])
    def test_a_horse_starts_as_often_a_day_as_its_row_says(self, most: int) -> None:
        """`starts_per_day`: a day with three classes."""
        classes = [make_class(f"C{i}", APRIL_8, "S1") for i in range(3)]
        show = make_show("S1", APRIL_8, APRIL_8, classes=classes)
        yard = make_yard(shows=[show], horses=[make_horse(starts_per_day=most)])
        (outing,) = plan_clean(yard).outings
        assert len(outing.classes) == most

    def test_shows_that_no_road_joins_are_both_reached_from_home(self) -> None:
        """Dancer jumps at Millbrook, Bella at Fairview; each has a road home."""
        low = make_class("C1", "2027-04-20", "S2", height_cm=100)
        bella = make_horse("Bella", from_height_cm=90, to_height_cm=105, rider="Ben")
        yard = make_yard(
            shows=[
                show_on("S1", APRIL_8),
                make_show("S2", "2027-04-20", "2027-04-20", place_key="Fairview", classes=[low]),
            ],
            horses=[make_horse(), bella],
            people=[make_rider(), make_rider("Ben")],
            km={("Millbrook", "Fairview"): None},
        )
        assert list_shows(yard) == ["S1", "S2"]

    @pytest.mark.parametrize(("second", "count"), [("2027-04-14", 2), ("2027-04-13", 1)])
    def test_who_leaves_again_the_next_day_recovers_from_both_drives(
        self, second: str, count: int
    ) -> None:
        """Home on the 10th and out on the 11th, 4 h each: 2 days on the road and 1 of rest, less 1.

        With the 3 days without jumping 5 clear days, 9 to 13 April. On all other days the lorry is
        away or stables are closed.
        """
        limits = make_limits(no_jump_days=3, schools_before_show=0)
        yard = make_yard(
            shows=[
                show_on("S1", APRIL_8, stabling=span("2027-04-06", "2027-04-12")),
                show_on("S2", second, "Fairview", stabling=span("2027-04-11", "2027-04-15")),
            ],
            limits=limits,
            horses=[make_horse(limits=limits)],
            km={
                ("home", "Millbrook"): 280,
                ("home", "Fairview"): 280,
                ("Millbrook", "Fairview"): 840,
            },
            absences=[
                make_absence("Lorry", APRIL_8, "2027-04-09"),
                make_absence("Lorry", "2027-04-12", "2027-04-13"),
            ],
        )
        assert len(list_shows(yard)) == count
