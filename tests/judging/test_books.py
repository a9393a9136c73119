"""locked, budget, days, totals: the smallest change that breaks one, and its edge.

Expected figures are counted by hand from the rules (DEVELOPERS.md; handbook, Choices).
"""

from __future__ import annotations

from dataclasses import fields, replace
from decimal import Decimal
from typing import Any

import pytest

from tests.build import (
    day,
    make_absence,
    make_aim,
    make_entry,
    make_horse,
    make_limits,
    make_lorry,
    make_vet_check,
)
from tests.judging.plan import (
    Visit,
    broken,
    change_day,
    change_outing,
    drop,
    free_class,
    free_show,
    plan,
    say,
    stable,
    two_visits,
    visit,
)
from tripkit.judging import case
from tripkit.judging.case import Case
from tripkit.yard.circuit import Circuit, Day, Totals
from tripkit.yard.horses import OutingsWanted
from tripkit.yard.yard import CostRates, Yard


def s1_only(yard: Yard, **changes: Any) -> Circuit:
    """Alder at S1 and nowhere else."""
    return plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11", **changes))


def s1_stay(yard: Yard, classes: tuple[str, ...]) -> Visit:
    """Alder at S1 for some classes."""
    return visit(yard, "S1", "2027-04-07", "2027-04-11", classes=classes)


def bound(*names: str, **changes: Any) -> Yard:
    """The stable with paid classes of Alder at S1 (12.00 each)."""
    entries = [make_entry(name, horse="Alder", amount_cents=1200) for name in names]
    return stable(entries=entries, **changes)


class TestLocked:
    """Entries sent or paid."""

    def test_kept(self):
        """A paid class that is jumped is in order."""
        yard = bound("C1")
        assert broken(s1_only(yard), yard) == set()

    @pytest.mark.parametrize("status", ["sent", "paid"])
    def test_not_kept(self, status: str):
        """A class sent or paid that is not jumped and not listed is missing."""
        yard = stable(entries=[make_entry("C1", status, horse="Alder")])
        assert broken(s1_only(yard, classes=("C2",)), yard) == {"locked"}

    def test_wanted_binds_nothing(self):
        """A class only wanted need not be jumped."""
        yard = stable(entries=[make_entry("C1", "wanted", horse="Alder")])
        assert broken(s1_only(yard, classes=("C2",)), yard) == set()

    def test_latest_row_holds(self):
        """A paid class that was scratched later is bound no more."""
        rows = [
            make_entry("C1", "paid", horse="Alder", date="2027-02-01"),
            make_entry("C1", "scratched", horse="Alder", date="2027-02-02"),
        ]
        yard = stable(entries=rows)
        assert broken(s1_only(yard, classes=("C2",)), yard) == set()

    @pytest.mark.parametrize(
        ("today", "rules"), [("2027-04-09", set()), ("2027-04-08", {"locked"})]
    )
    def test_past_class(self, today: str, rules: set[str]):
        """A bound class (04-08) before today is past; one of today is not."""
        yard = bound("C1", "C2", today=today)
        assert broken(s1_only(yard, classes=("C2",)), yard) == rules

    @pytest.mark.parametrize(
        ("yard", "why"),
        [
            (bound("C1", absences=[make_absence("Alder", "2027-04-08")]), "window: away"),
            (bound("C1", absences=[make_absence("Alder", "2027-04-07")]), "window: away"),
            (bound("C1", absences=[make_absence("Ana", "2027-04-08")]), "window: Ana is away"),
            (bound("C1", season=("2027-04-09", "2027-06-06"), today="2027-03-01"), "window: early"),
            (
                bound("C1", horses=[make_horse("Alder", from_height_cm=125)]),
                "eligible: too low for it",
            ),
            (
                bound("C1", vet_checks=[make_vet_check("2027-04-01", False, horse="Alder")]),
                "cleared: not cleared since 04-01",
            ),
            (bound("C1", km={("home", "Millbrook"): None}), "road: none"),
        ],
    )
    def test_dropped_with_a_true_reason(self, yard: Yard, why: str):
        """A class that window, eligible, cleared or a closed road forbids may be dropped."""
        circuit = plan(yard, dropped_entries=(drop(why, 1200),))
        assert broken(circuit, yard) == set()

    @pytest.mark.parametrize("why", ["window: away", "road: none", "too much else to do", ""])
    def test_dropped_without_a_true_reason(self, why: str):
        """A reason that does not hold, or none at all, drops nothing."""
        yard = bound("C1")
        circuit = plan(yard, dropped_entries=(drop(why, 1200),))
        assert broken(circuit, yard) == {"locked"}

    @pytest.mark.parametrize(
        ("dropped", "rules"), [(("C2",), set()), (("C1", "C2"), {"locked"}), (("C1",), {"locked"})]
    )
    def test_no_more_is_dropped_than_has_to_be(self, dropped: tuple[str, ...], rules: set[str]):
        """From 14:00 (arrive_until_hour) nobody is on the road: home on the day after a class only.

        Away on 04-11 and 04-12 Alder cannot go home after C2 (04-10), but after C1 (04-08).
        """
        yard = bound(
            "C1",
            "C2",
            absences=[make_absence("Alder", "2027-04-11", "2027-04-12")],
            limits=make_limits(arrive_until_hour=14),
        )
        rows = tuple(drop("window: away", 1200, name) for name in dropped)
        stay = [visit(yard, "S1", "2027-04-07", "2027-04-09", classes=("C1",))]
        kept = stay if "C1" not in dropped else []
        assert broken(plan(yard, *kept, dropped_entries=rows), yard) == rules

    def test_either_end_may_go_where_both_do_not_fit(self):
        """Away on 04-09, classes on 04-07 and 04-11: each fits alone, so only one is dropped."""
        classes = (free_class("C1", "2027-04-07", "S1"), free_class("C2", "2027-04-11", "S1"))
        yard = bound(
            "C1",
            "C2",
            shows=[free_show("S1", "2027-04-07", classes=classes)],
            absences=[make_absence("Alder", "2027-04-09")],
        )
        lost = {name: drop("window: away", 1200, name) for name in ("C1", "C2")}
        for name, days in (
            ("C1", ("2027-04-06", "2027-04-08")),
            ("C2", ("2027-04-10", "2027-04-12")),
        ):
            circuit = plan(yard, visit(yard, "S1", *days, classes=(name,)))
            other = "C2" if name == "C1" else "C1"
            circuit = replace(circuit, dropped_entries=(lost[other],))
            assert broken(circuit, yard) == set()
        assert broken(plan(yard, dropped_entries=tuple(lost.values())), yard) == {"locked"}

    @pytest.mark.parametrize(
        ("first", "last", "rules"),
        [
            # Alder comes on 04-05 to 04-07 and goes home on the evening of 04-08 or until 04-12.
            ("2027-04-05", "2027-04-07", set()),
            ("2027-04-06", "2027-04-07", {"locked"}),
            ("2027-04-08", "2027-04-12", set()),
            ("2027-04-09", "2027-04-12", {"locked"}),
            ("2027-04-09", "2027-04-11", {"locked"}),
            ("2027-04-08", "2027-04-08", {"locked"}),
        ],
    )
    def test_no_vehicle_can_bring_or_fetch(self, first: str, last: str, rules: set[str]):
        """Where the only lorry is absent on every day to come or go, `window` forbids the class."""
        yard = bound("C1", absences=[make_absence("Lorry", first, last)])
        circuit = plan(yard, dropped_entries=(drop("window: no lorry", 1200),))
        assert broken(circuit, yard) == rules
        two = replace(yard, vehicles=(*yard.vehicles, make_lorry("Van")))
        assert broken(circuit, two) == {"locked"}

    @pytest.mark.parametrize(
        ("dropped", "rules"), [(("C2",), set()), (("C1",), set()), (("C1", "C2"), {"locked"})]
    )
    @pytest.mark.parametrize("starts", [{"starts_per_day": 1}, {"starts_per_show": 1}])
    def test_starts(self, dropped: tuple[str, ...], rules: set[str], starts: dict[str, int]):
        """Of two bound classes with one start left one is dropped by `eligible`, and not both."""
        classes = (free_class("C1", "2027-04-08", "S1"), free_class("C2", "2027-04-08", "S1"))
        if "starts_per_show" in starts:
            classes = (classes[0], replace(classes[1], day=day("2027-04-10")))
        yard = bound(
            "C1",
            "C2",
            shows=[free_show("S1", "2027-04-07", classes=classes)],
            horses=[make_horse("Alder", **starts), make_horse("Birch")],
        )
        rows = tuple(drop("eligible: starts", 1200, name) for name in dropped)
        kept = tuple(name for name in ("C1", "C2") if name not in dropped)
        stay = [s1_stay(yard, kept)] if kept else []
        assert broken(plan(yard, *stay, dropped_entries=rows), yard) == rules

    def test_wrong_reason(self):
        """The reason that is named is the one that holds."""
        yard = bound("C1", vet_checks=[make_vet_check("2027-04-01", False, horse="Alder")])
        circuit = plan(yard, dropped_entries=(drop("road: none", 1200),))
        assert broken(circuit, yard) == {"locked"}
        assert "only cleared forbids it" in say(circuit, yard)

    @pytest.mark.parametrize(("cents", "rules"), [(1200, set()), (1199, {"locked"})])
    def test_money_at_risk(self, cents: int, rules: set[str]):
        """The money at risk is the amount of the entry, 12.00."""
        yard = bound("C1", absences=[make_absence("Alder", "2027-04-08")])
        circuit = plan(yard, dropped_entries=(drop("window: away", cents),))
        assert broken(circuit, yard) == rules

    def test_money_at_risk_without_amount(self):
        """Without an amount the class's fee is at risk, 0.00 here."""
        yard = stable(
            entries=[make_entry("C1", horse="Alder")],
            absences=[make_absence("Alder", "2027-04-08")],
        )
        assert broken(plan(yard, dropped_entries=(drop("window: away", 0),)), yard) == set()

    def test_dropped_and_jumped(self):
        """A class is jumped or dropped, not both."""
        yard = bound("C1")
        circuit = replace(s1_only(yard), dropped_entries=(drop("window: away", 1200),))
        assert "jumps C1 at S1, and the entry is listed as dropped" in say(circuit, yard)

    def test_dropped_twice(self):
        """A class is listed as dropped once."""
        yard = bound("C1", absences=[make_absence("Alder", "2027-04-08")])
        circuit = plan(yard, dropped_entries=(drop("window: away", 1200),) * 2)
        assert broken(circuit, yard) == {"locked"}

    def test_dropped_and_never_entered(self):
        """What was never sent or paid cannot be dropped."""
        yard = stable()
        circuit = plan(yard, dropped_entries=(drop("window: away"),))
        assert broken(circuit, yard) == {"locked"}


# One visit to S1: 140 km out and 140 km back at 1.00 a km = 280.00.
ROAD_CENTS = 28000


def priced(budget_cents: int | None) -> tuple[Yard, Circuit]:
    """Alder at S1 at 1.00 a km and nothing else to pay."""
    rates = CostRates(cents_per_km=Decimal(100), budget_cents=budget_cents)
    yard = stable(costs=rates)
    circuit = change_outing(s1_only(yard), 0, cost_cents=ROAD_CENTS)
    return yard, replace(circuit, totals=replace(circuit.totals, cost_cents=ROAD_CENTS))


@pytest.mark.parametrize(
    ("budget_cents", "rules"),
    [(None, set()), (ROAD_CENTS, set()), (ROAD_CENTS - 1, {"budget"})],
)
def test_budget(budget_cents: int | None, rules: set[str]):
    """A plan may cost the budget (280.00) and not a cent more."""
    yard, circuit = priced(budget_cents)
    assert broken(circuit, yard) == rules


def test_budget_is_held_against_the_true_cost():
    """A plan that writes itself cheaper than it is breaks the budget all the same."""
    yard, circuit = priced(ROAD_CENTS - 1)
    circuit = change_outing(circuit, 0, cost_cents=100)
    circuit = replace(circuit, totals=replace(circuit.totals, cost_cents=100))
    assert broken(circuit, yard) == {"budget", "totals"}


OTHER_TOTALS: tuple[dict[str, Any], ...] = (
    {"worth": 40.001},
    {"worth": float("nan")},
    {"cost_cents": 1},
    {"road_km": 560.1},
    {"horse_road_hours": 8.01},
    {"nights_away": 9},
    {"outings": 3},
    {"aims_met": ("Alder at S2",)},
    {"spare_days": 1},
    {"spare_days": None},
    {"missing_outings": 1},
)


class TestTotals:
    """Sums."""

    @pytest.mark.parametrize("change", OTHER_TOTALS)
    def test_each_total(self, change: dict[str, Any]):
        """A total that is not the sum of its parts is told: four legs of 2 h, four classes."""
        yard = stable()
        circuit = two_visits(yard)
        assert broken(replace(circuit, totals=replace(circuit.totals, **change)), yard) == {
            "totals"
        }

    def test_no_total_is_left_out(self):
        """Each figure of a circuit's totals is among those above."""
        assert {name for change in OTHER_TOTALS for name in change} == {
            field.name for field in fields(Totals)
        }

    @pytest.mark.parametrize("figure", ["outings", "nights_away", "road_km", "horse_road_hours"])
    def test_what_an_older_file_lacks(self, figure: str):
        """A figure that is not there is not held against its parts."""
        yard = stable()
        circuit = two_visits(yard)
        totals = replace(circuit.totals, **{figure: None})
        assert broken(replace(circuit, totals=totals), yard) == set()

    def test_worth_of_an_outing(self):
        """Worth that sums up but is not classes times weight is told: 2 x 10 x 1, not 25."""
        yard = stable()
        circuit = change_outing(two_visits(yard), 0, worth=25.0)
        circuit = replace(circuit, totals=replace(circuit.totals, worth=45.0))
        assert broken(circuit, yard) == {"totals"}

    def test_worth_by_class(self):
        """Of 110 to 130 cm, 120 is the middle and 125 three quarters: 15 and 17.5, not 10 each."""
        yard = stable(limits=make_limits(class_worth="by class"))
        circuit = s1_only(yard)
        assert broken(circuit, yard) == {"totals"}
        circuit = change_outing(circuit, 0, worth=32.5)
        assert broken(replace(circuit, totals=replace(circuit.totals, worth=32.5)), yard) == set()

    def test_outings_that_are_missing(self):
        """Two of the three that are wanted of Alder: one is missing."""
        wanted = replace(make_horse("Alder"), outings_wanted=OutingsWanted(3))
        yard = stable(horses=[wanted, make_horse("Birch")])
        circuit = two_visits(yard)
        assert broken(circuit, yard) == {"totals"}
        totals = replace(circuit.totals, missing_outings=1)
        assert broken(replace(circuit, totals=totals), yard) == set()

    def test_weight(self):
        """A horse of weight 1.5 makes 2 x 10 x 1.5 = 30 of two classes."""
        yard = stable(horses=[make_horse("Alder", weight=Decimal("1.5"))])
        circuit = s1_only(yard)
        assert circuit.totals.worth == 30.0
        assert broken(circuit, yard) == set()

    def test_cost_counted_again(self):
        """Cost that sums up but is not what the plan costs is told."""
        yard, circuit = priced(None)
        circuit = change_outing(circuit, 0, cost_cents=ROAD_CENTS + 1)
        circuit = replace(circuit, totals=replace(circuit.totals, cost_cents=ROAD_CENTS + 1))
        assert broken(circuit, yard) == {"totals"}

    @pytest.mark.parametrize(("listed", "rules"), [(True, set()), (False, {"totals"})])
    def test_aims(self, listed: bool, rules: set[str]):
        """An aim met (S2 on 04-20, ten days after S1 ended on 04-10) counts 50 and is listed."""
        yard = stable(aims=[make_aim("Alder", "S2")])
        circuit = plan(
            yard,
            visit(yard, "S1", "2027-04-07", "2027-04-11"),
            visit(yard, "S2", "2027-04-19", "2027-04-23", aim=50.0 if listed else 0.0),
            spare_days=0,
            aims_met=("Alder at S2",) if listed else (),
        )
        assert broken(circuit, yard) == rules

    def test_aim_without_preparation(self):
        """An aim without an outing before it is not met, whatever the plan says."""
        yard = stable(aims=[make_aim("Alder", "S1")])
        circuit = plan(
            yard, visit(yard, "S1", "2027-04-07", "2027-04-11", aim=50.0), aims_met=("Alder at S1",)
        )
        assert broken(circuit, yard) == {"totals"}


class TestHired:
    """Drivers whom nobody names, and lorries on hire, are counted from the legs a second time."""

    @pytest.mark.parametrize(
        ("lorry", "costs", "cents"),
        [
            # 04-07 and 04-11 of the unnamed driver; 04-07 to 04-11 of the lorry.
            ({}, {"hired_driver_day_cents": 9000}, 2 * 9000),
            ({}, {"hired_driver_day_cents": 0}, 0),
            ({"hire": True, "per_day_cents": 18000}, {}, 5 * 18000),
        ],
    )
    def test_what_is_hired_is_paid(self, lorry: dict[str, Any], costs: dict[str, Any], cents: int):
        """A circuit with the cost keeps every rule, one without it is told what it comes to."""
        yard = stable(vehicles=[make_lorry(**lorry)], costs=CostRates(**costs))
        visited = visit(yard, "S1", "2027-04-07", "2027-04-11")
        paid = replace(visited.outings[0], cost_cents=cents)
        assert broken(plan(yard, Visit((paid,), visited.legs)), yard) == set()
        assert broken(s1_only(yard), yard) == ({"totals"} if cents else set())

    @pytest.mark.parametrize("kind", ["driver days", "lorry hire"])
    def test_a_bill_that_forgets_what_is_hired(self, kind: str, monkeypatch: pytest.MonkeyPatch):
        """The judge does not take the bill's word for it."""
        yard = stable(
            vehicles=[make_lorry(hire=True, per_day_cents=100)],
            costs=CostRates(hired_driver_day_cents=100),
        )
        circuit = s1_only(yard)
        whole = Case(yard, circuit).bill
        assert whole is not None
        lines = tuple(line for line in whole.lines if line.kind != kind)
        monkeypatch.setattr(case, "price", lambda *about: replace(whole, lines=lines))
        assert f"{kind} come to" in say(circuit, yard)


class TestDays:
    """The day plan."""

    def test_missing_line(self):
        """A date without a line is told, all of a horse in one violation."""
        yard = stable()
        circuit = two_visits(yard)
        short = replace(circuit, days=circuit.days[:10] + circuit.days[12:])
        assert broken(short, yard) == {"days"}
        assert "Alder has no line for 2 days of the season, first for 2027-03-11" in say(
            short, yard
        )

    def test_no_lines_at_all(self):
        """A plan without days has one violation a horse: the season has 98 days."""
        # 03-01 to 06-06: 31 + 30 + 31 + 6 = 98.
        yard = stable()
        circuit = replace(two_visits(yard), days=())
        assert say(circuit, yard).splitlines() == [
            f"days: {horse} has no line for 98 days of the season, first for 2027-03-01"
            for horse in ("Alder", "Birch")
        ]

    @pytest.mark.parametrize(
        "line",
        [
            Day("Alder", stable().season.first, "home", "flat"),
            Day("Alder", stable().season.last.replace(day=7), "home", "flat"),
            Day("Zephyr", stable().season.first, "home", "flat"),
        ],
    )
    def test_lines_too_many(self, line: Day):
        """A second line, one outside the season and one of an unknown horse are told."""
        yard = stable()
        circuit = two_visits(yard)
        assert broken(replace(circuit, days=(*circuit.days, line)), yard) == {"days"}

    @pytest.mark.parametrize(
        ("on", "change"),
        [
            ("2027-04-09", {"at": "home"}),
            ("2027-04-09", {"at": "road"}),
            ("2027-04-07", {"at": "S2"}),
            ("2027-04-14", {"at": "S1"}),
            ("2027-04-14", {"at": "X9"}),
            ("2027-04-07", {"does": "flat"}),
            ("2027-04-14", {"does": "travel"}),
            ("2027-04-08", {"does": "flat"}),
            ("2027-04-14", {"does": "show"}),
            ("2027-04-14", {"does": "dressage"}),
            ("2027-04-14", {"does": "flat", "also": ("flat",)}),
            ("2027-04-14", {"does": "hack", "also": ("flat",)}),
            ("2027-04-19", {"also": ("school",)}),
            ("2027-04-24", {"does": "flat"}),
        ],
    )
    def test_untrue_lines(self, on: str, change: dict[str, Any]):
        """Lines agree with outings and legs, kinds stand in order, the eve of a show is easy.

        Alder travels on 04-07, shows on 04-08 and 04-10, is home on 04-14, travels on 04-19 the
        day before its class, and has the vet after its second outing on 04-24.
        """
        yard = stable()
        assert broken(change_day(two_visits(yard), "Alder", on, **change), yard) == {"days"}

    @pytest.mark.parametrize(("on", "rules"), [("2027-03-31", set()), ("2027-04-01", {"days"})])
    def test_vaccination(self, on: str, rules: set[str]):
        """A vaccination lies seven days before an arrival (04-07); six are too few."""
        yard = stable()
        circuit = change_day(two_visits(yard), "Alder", on, does="vaccination", also=())
        assert broken(circuit, yard) == rules

    @pytest.mark.parametrize(("on", "rules"), [("2027-04-26", set()), ("2027-04-27", {"days"})])
    def test_vet_check_within_three_days(self, on: str, rules: set[str]):
        """The vet comes within three days of coming home (04-23)."""
        yard = stable()
        circuit = change_day(two_visits(yard), "Alder", "2027-04-24", does="flat", also=())
        circuit = change_day(circuit, "Alder", on, does="vet check")
        assert broken(circuit, yard) == rules

    @pytest.mark.parametrize(("on", "rules"), [("2027-04-22", set()), ("2027-04-20", {"days"})])
    def test_vet_check_on_the_last_class_day(self, on: str, rules: set[str]):
        """On the grounds after the last class (04-22) the outing is over; on 04-20 it is not."""
        yard = stable()
        circuit = change_day(two_visits(yard), "Alder", "2027-04-24", does="flat", also=())
        circuit = change_day(circuit, "Alder", on, also=("vet check",))
        assert broken(circuit, yard) == rules

    def test_vet_check_at_the_end_of_a_tour(self):
        """The last outing of a tour has its check, though it is the horse's first."""
        shows = [
            free_show("S1", "2027-04-07", tour="Sun"),
            free_show("S2", "2027-04-19", "Fairview", tour="Hills"),
        ]
        yard = stable(shows=shows)
        circuit = change_day(two_visits(yard), "Alder", "2027-04-12", does="flat", also=())
        assert broken(circuit, yard) == {"days"}

    @pytest.mark.parametrize(("on", "rules"), [("2027-03-29", set()), ("2027-03-30", {"days"})])
    def test_idle_days(self, on: str, rules: set[str]):
        """28 days without jumping (03-01 to 03-28) are legal, a school on the 30th is too late."""
        yard = stable()
        circuit = plan(yard)
        days = tuple(
            replace(line, does="flat")
            if line.horse == "Alder" and line.date < yard.season.first.replace(month=4)
            else line
            for line in circuit.days
        )
        circuit = change_day(replace(circuit, days=days), "Alder", on, does="school")
        assert broken(circuit, yard) == rules

    @pytest.mark.parametrize(
        "yard",
        [
            stable(absences=[make_absence("Alder", "2027-03-15", "2027-06-06")]),
            stable(vet_checks=[make_vet_check("2027-03-01", False, horse="Alder")]),
            stable(horses=[make_horse("Alder", in_work_from="2027-06-01")]),
        ],
    )
    def test_idle_days_out_of_work(self, yard: Yard):
        """A horse absent, not cleared or not yet in work may stand."""
        circuit = plan(yard)
        days = tuple(
            replace(line, does="flat") if line.horse == "Alder" else line for line in circuit.days
        )
        assert broken(replace(circuit, days=days), yard) == set()
