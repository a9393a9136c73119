"""What the planner answers: statuses, reasons, alternatives, floors, and the same answer twice.

The words of statuses and the shape of an answer are those of the published format of circuits. Days
are counted by hand from the handbook's usual limits (common practice, no source): 9 clear days
between outings, the road of 2 h adding none.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from tests.build import (
    make_absence,
    make_class,
    make_entry,
    make_horse,
    make_lorry,
    make_rider,
    make_show,
    make_yard,
    plan_most,
)
from tests.planning.oracle import Oracle
from tests.planning.yards import make_random_yard
from tripkit.files.circuits import write_circuits
from tripkit.judging.judge import find_violations
from tripkit.planning import goals, mip, plan
from tripkit.yard.circuit import STATUSES, Circuit
from tripkit.yard.errors import BadValue
from tripkit.yard.goals import Progress
from tripkit.yard.limits import Limits
from tripkit.yard.shows import Show
from tripkit.yard.yard import CostRates, Yard

ROOT = Path(__file__).resolve().parents[2]


def show_on(name: str, on: str, place: str = "Millbrook", **changes: object) -> Show:
    """A show of one day with one class worth 10."""
    worth = changes.pop("worth", 10)
    classes = [make_class("C1", on, name, worth=worth)]
    return make_show(name, on, on, place_key=place, classes=classes, **changes)


def two_tours(rounds: int = 4) -> Yard:
    """Two horses; in each round a show of tour East, a day later West, a day later of neither."""
    shows = []
    for i, (month, on) in enumerate(((3, 10), (3, 24), (4, 14), (4, 28))[:rounds], 1):
        shows += [
            show_on(f"East {i}", f"2027-{month:02}-{on}", "Easton", tour="East", worth=10 + i),
            show_on(f"West {i}", f"2027-{month:02}-{on + 1}", "Weston", tour="West", worth=12),
            show_on(f"Single {i}", f"2027-{month:02}-{on + 2}", "Norton", worth=11),
        ]
    return make_yard(
        shows=shows,
        horses=[make_horse(), make_horse("Bella", rider="Ben")],
        people=[make_rider(), make_rider("Ben")],
        vehicles=[make_lorry("Lorry 1", places=1), make_lorry("Lorry 2", places=1)],
    )


@pytest.fixture(scope="module")
def planned() -> list[Circuit]:
    """Eight circuits of the two tours."""
    return plan(two_tours(), keep=9)


def list_pairs(circuit: Circuit) -> set[tuple[str, str]]:
    """Who goes where."""
    return {(outing.horse, outing.show) for outing in circuit.outings}


# Entries clash.


def two_entries_too_close() -> Yard:
    """Both shows are paid, 3 days apart: 2 clear days, and 9 are asked."""
    return make_yard(
        shows=[show_on("S1", "2027-04-08"), show_on("S2", "2027-04-11", "Fairview")],
        entries=[make_entry(), make_entry(show="S2")],
    )


def rider_in_two_places() -> Yard:
    """Ana's two horses are paid for on one day at two places; each has a lorry."""
    return make_yard(
        shows=[show_on("S1", "2027-04-08"), show_on("S2", "2027-04-08", "Fairview")],
        horses=[make_horse(), make_horse("Bella")],
        vehicles=[make_lorry("Lorry 1"), make_lorry("Lorry 2")],
        entries=[make_entry(), make_entry(show="S2", horse="Bella")],
    )


def too_little_money() -> Yard:
    """The paid show costs 50.00 and 280.00 of road, and the budget is 300.00."""
    return make_yard(
        shows=[show_on("S1", "2027-04-08")],
        entries=[make_entry()],
        costs=CostRates(cents_per_km=Decimal(100), budget_cents=30_000),
    )


@pytest.mark.parametrize(
    ("make", "rule"),
    [
        (two_entries_too_close, "recovery"),
        (rider_in_two_places, "rider"),
        (too_little_money, "budget"),
    ],
)
def test_where_entries_clash_one_is_dropped_under_the_colliding_rule(
    make: Callable[[], Yard], rule: str
) -> None:
    """One entry of 50.00 less, proved, the rule being named; all others are kept by every circuit.

    Rule `locked`: those are dropped that lose least money, and each alone loses its fee.
    """
    yard = make()
    for circuit in plan(yard, keep=2):
        assert circuit.exists
        (dropped,) = circuit.dropped_entries
        assert (dropped.rule, dropped.cents, circuit.dropped_proved) == (rule, 5000, True)
        gone = (dropped.horse, dropped.show, dropped.class_name)
        entered = {(e.horse, e.show, e.class_name) for e in yard.entries}
        ridden = {(o.horse, o.show, name) for o in circuit.outings for name in o.classes}
        assert gone in entered
        assert entered - ridden == {gone}
        assert circuit.reasons == ()
        assert find_violations(yard, circuit) == ()


@pytest.mark.parametrize("following", [False, True])
def test_a_paid_class_that_an_absence_forbids_is_dropped(following: bool) -> None:
    """Dancer cannot come on the day before: dropped under `window`, also with a later show there.

    Rule `locked`, DEVELOPERS.md: such a class does not make the plan impossible.
    """
    shows = [show_on("S1", "2027-04-08")]
    if following:
        shows.append(show_on("S2", "2027-05-08"))
    yard = make_yard(
        shows=shows, entries=[make_entry()], absences=[make_absence("Dancer", "2027-04-07")]
    )
    circuit = plan_most(yard)
    assert (circuit.status, circuit.objective) == ("proved best", 10.0 if following else 0.0)
    assert [(d.show, d.rule, d.cents) for d in circuit.dropped_entries] == [("S1", "window", 5000)]
    assert find_violations(yard, circuit) == ()


def test_the_rider_of_a_long_stay_is_in_the_budget() -> None:
    """A horse that anyone may ride stays 43 days for a second show: no plan, its rider costs more.

    Arrive 2 April, leave 16 May: 45 rider days of 100.00 are 4,500.00, and 280.00 of road and
    100.00 of fees; two trips of 3 days cost 600.00, 560.00 and 100.00. The budget is 4,000.00.
    """
    yard = make_yard(
        shows=[show_on("S1", "2027-04-03"), show_on("S2", "2027-05-15")],
        horses=[make_horse(rider="")],
        costs=CostRates(cents_per_km=Decimal(100), rider_day_cents=10_000, budget_cents=400_000),
    )
    most = plan_most(yard)
    assert (most.status, most.objective) == ("proved best", 20.0)
    assert most.totals.cost_cents <= 400_000
    assert find_violations(yard, most) == ()


# Time and being stopped.


def test_a_search_that_is_stopped_ends_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopped from the beginning: no program of the solver is waited for, whatever one takes."""
    yard, over = two_tours(), threading.Event()
    monkeypatch.setattr(mip.Solver, "run", lambda *_: over.wait())
    circuits = plan(yard, should_stop=lambda: True)
    assert not over.is_set()
    over.set()
    check_answers(circuits, yard)


@pytest.mark.parametrize("seconds", [0.001, 0.2])
def test_too_little_time_is_an_answer_too(seconds: float) -> None:
    """Nothing in time, or a plan that breaks no rule and whose bound is not below its worth."""
    yard = two_tours()
    check_answers(plan(yard, seconds=seconds), yard)


def check_answers(circuits: list[Circuit], yard: Yard) -> None:
    """Each circuit has a plan without violations, or none and says so, but never `none exists`."""
    assert circuits
    assert circuits[0].status in set(STATUSES) - {"none exists"}
    for circuit in circuits:
        if not circuit.exists:
            assert (circuit.objective, circuit.bound, circuit.outings) == (None, None, ())
            continue
        assert [str(violation) for violation in find_violations(yard, circuit)] == []
        assert circuit.objective is not None
        assert circuit.bound is not None
        if circuit.goal == "most worth":
            assert circuit.bound >= circuit.objective - 1e-6


def test_nothing_in_time_does_not_blame_a_rule() -> None:
    """Stopped before anything was found: no reason says that rules collide, for none was tried."""
    most = plan_most(two_tours(), should_stop=lambda: True)
    blaming = {"planning.without-rule", "planning.several-rules"}
    assert not blaming & {reason.code for reason in most.reasons}


def test_no_tour_can_be_worth_more_than_the_most(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a search comes to a weak bound, that of most worth bounds tours and alternatives."""
    find_best = goals.Pursuit.find_best

    def find_weakly(pursuit: goals.Pursuit) -> tuple[object, object]:
        season, found = find_best(pursuit)
        is_part = pursuit.target.tour or pursuit.target.unlike
        return season, replace(found, bound=found.bound + 10**9) if is_part else found

    monkeypatch.setattr(goals.Pursuit, "find_best", find_weakly)
    _, most, *others = plan(two_tours(2), keep=8)
    assert {"tour East", "tour West", "alternative"} <= {circuit.goal for circuit in others}
    for circuit in others:
        if circuit.goal.startswith("tour") or circuit.goal == "alternative":
            assert circuit.bound == most.bound


def test_a_listener_hears_the_progress_and_changes_nothing() -> None:
    """Progress has finite numbers in the unit of the goal, and the plan is the same with it."""
    heard: list[Progress] = []
    yard = two_tours()
    alone = plan_most(yard)
    most = plan_most(yard, report=heard.append)
    assert replace(most, seconds=0.0) == replace(alone, seconds=0.0)
    assert {step.goal for step in heard} == {"most worth"}
    numbers = [n for step in heard for n in (step.objective, step.bound) if n is not None]
    assert numbers
    assert all(abs(number) < 1000 for number in numbers)
    assert most.objective is not None
    assert min(step.bound for step in heard if step.bound is not None) >= most.objective - 1e-6


def test_a_listener_that_fails_says_so() -> None:
    """An error of the listener comes out of `plan` at every stage, also from inside the solver.

    The yard has two shows 3 clear days apart, so there is a choice to search for.
    """
    yard = make_yard(
        shows=[show_on("S1", "2027-04-08"), show_on("S2", "2027-04-12", "Fairview")],
        horses=[make_horse(), make_horse("Bella")],
        vehicles=[make_lorry(places=1)],
    )
    heard: list[Progress] = []
    plan(yard, keep=1, report=heard.append)
    assert heard
    for number in range(len(heard)):
        count = iter(range(len(heard) + 1))

        def fail(step: Progress, number: int = number, count: Iterator[int] = count) -> None:
            if next(count) == number:
                raise ZeroDivisionError(step.stage)

        with pytest.raises(ZeroDivisionError):
            plan(yard, keep=1, report=fail)


# What is asked for.


def test_an_unknown_tour_is_bad_input() -> None:
    """The message names the tour and those there are."""
    with pytest.raises(BadValue, match=r"'South' is no tour; tours are East, West"):
        plan(two_tours(), tour="South")


@pytest.mark.parametrize("keep", [0, -1])
def test_at_least_one_circuit_is_kept(keep: int) -> None:
    """Fewer than one circuit is bad input."""
    with pytest.raises(BadValue, match="at least 1"):
        plan(two_tours(), keep=keep)


def test_an_unknown_rule_cannot_be_left_out() -> None:
    """Only rules of DEVELOPERS.md can be left out."""
    with pytest.raises(BadValue, match="height"):
        plan(two_tours(), without=frozenset({"height"}))


@pytest.mark.parametrize("keep", [1, 2, 4])
def test_as_many_circuits_as_asked_for(keep: int) -> None:
    """With enough goals there are exactly so many, good value first and then the most worth."""
    circuits = plan(two_tours(), keep=keep)
    assert len(circuits) == keep
    assert [c.goal for c in circuits[:2]] == ["good value", "most worth"][:keep]
    assert len({circuit.name for circuit in circuits}) == keep


def test_one_circuit_for_every_goal_and_tour(planned: list[Circuit]) -> None:
    """Seven goals: good value, the most worth, one a tour, three others; all of them proved."""
    circuits = planned[:7]
    assert [circuit.goal for circuit in circuits[:2]] == ["good value", "most worth"]
    assert {circuit.goal for circuit in circuits[2:]} == {
        "tour East",
        "tour West",
        "most rest",
        "least road",
        "least cost",
    }
    assert {circuit.status for circuit in circuits} == {"proved best"}
    assert all(circuit.objective == circuit.bound for circuit in circuits)


def test_alternatives_share_at_most_three_quarters(planned: list[Circuit]) -> None:
    """Two circuits beyond the goals: each shares 3/4 of the outings of any before, at most."""
    circuits = planned
    assert [circuit.goal for circuit in circuits[7:]] == ["alternative", "alternative"]
    for i in (7, 8):
        for before in circuits[:i]:
            shared = list_pairs(circuits[i]) & list_pairs(before)
            assert 4 * len(shared) <= 3 * len(list_pairs(before))
    assert circuits[7].totals.worth >= circuits[8].totals.worth
    for circuit in circuits:
        assert find_violations(two_tours(), circuit) == ()


def test_goals_keep_the_worth_floor(planned: list[Circuit]) -> None:
    """Every goal but good value and tours keeps 0.8 of the most worth, the default floor."""
    circuits = planned
    assert Limits().worth_floor == 0.8
    most = circuits[1].totals.worth
    for circuit in circuits[1:]:
        if not circuit.goal.startswith("tour"):
            assert circuit.totals.worth >= 0.8 * most - 1e-6


@pytest.mark.parametrize("floor", [0.0, 0.5, 1.0])
def test_the_worth_floor_is_the_yards(floor: float) -> None:
    """One show worth 10: with a floor of 0 the least road stays home, else it goes, 280 km."""
    yard = make_yard(
        shows=[show_on("S1", "2027-04-08")], limits=replace(Limits(), worth_floor=floor)
    )
    road = next(circuit for circuit in plan(yard) if circuit.goal == "least road")
    assert road.objective == (0.0 if floor == 0 else 280.0)


def test_no_goal_does_better_at_another_goals_own() -> None:
    """Above the floor nobody has more spare days, fewer kilometres or cents than who seeks them."""
    for yard in (two_tours(2), make_random_yard(3), make_random_yard(4), make_random_yard(15)):
        yard = replace(yard, limits=yard.limits.override({"aims": "points"}))
        circuits = {circuit.goal: circuit for circuit in plan(yard, keep=8)}
        floor = 0.8 * circuits["most worth"].totals.worth - 1e-6
        above = [c.totals for c in circuits.values() if c.exists and c.totals.worth >= floor]
        rest = circuits["most rest"].totals.spare_days
        spare = [totals.spare_days for totals in above]
        assert rest is None or all(days is not None and days <= rest for days in spare)
        assert circuits["least road"].totals.road_km == min(t.road_km for t in above)
        assert circuits["least cost"].totals.cost_cents == min(t.cost_cents for t in above)
        assert circuits["most worth"].objective >= max(t.worth for t in above)


def test_most_rest_of_a_single_outing_is_proved() -> None:
    """One show: no pair of outings, so no spare days to count, and nothing can be better."""
    yard = make_yard(shows=[show_on("S1", "2027-04-08")])
    rest = next(circuit for circuit in plan(yard) if circuit.goal == "most rest")
    assert (rest.status, rest.totals.spare_days, rest.totals.outings) == ("proved best", None, 1)
    assert rest.objective == rest.bound


def test_most_rest_spreads_what_it_keeps() -> None:
    """Of 04-01, 04-11 and 04-21 (worth 10 each, cap two) 04-01 and 04-21 leave 10 spare days.

    All pairs are worth 20, the most; a floor of 0.8 asks for 16, so for two. From 04-01 to 04-21
    lie 19 clear days, 10 above the 9 asked for.
    """
    yard = make_yard(shows=[show_on(f"S{on}", f"2027-04-{on}") for on in ("01", "11", "21")])
    circuits = {circuit.goal: circuit for circuit in plan(yard)}
    rest = circuits["most rest"]
    assert [outing.show for outing in rest.outings] == ["S01", "S21"]
    assert (rest.totals.spare_days, rest.objective, rest.bound) == (10, 10.0, 10.0)
    assert rest.status == "proved best"


def test_a_tour_takes_no_new_entry_to_another() -> None:
    """With `tour` East nobody goes West, whatever the goal; single shows stay open."""
    circuits = plan(two_tours(), tour="East", keep=6)
    assert circuits[0].exists
    for circuit in circuits:
        tours = {outing.show.split()[0] for outing in circuit.outings}
        assert tours <= {"East", "Single"}
        assert not circuit.goal.startswith("tour")


def test_a_tour_keeps_what_is_entered_elsewhere() -> None:
    """A paid entry of West 2 is in every circuit, also in that of tour East."""
    yard = replace(two_tours(), entries=(make_entry("C1", show="West 2"),))
    for circuit in plan(yard, keep=6):
        west = {pair for pair in list_pairs(circuit) if pair[1].startswith("West")}
        assert ("Dancer", "West 2") in west
        if circuit.goal == "tour East":
            assert west == {("Dancer", "West 2")}


def test_a_tour_is_the_best_of_all_subsets() -> None:
    """The most worth of a tour is what brute force finds where the other tour is no more."""
    yard = two_tours(2)
    circuits = {circuit.goal: circuit for circuit in plan(yard)}
    for tour in ("East", "West"):
        shows = tuple(show for show in yard.shows if show.tour in ("", tour))
        most = Oracle(replace(yard, shows=shows)).find_most()
        assert most is not None
        assert circuits[f"tour {tour}"].objective == float(most)


@pytest.mark.parametrize("make", [lambda: two_tours(2), lambda: make_random_yard(4)])
def test_the_same_yard_twice_is_the_same_file(make: Callable[[], Yard], tmp_path) -> None:
    """Planned twice, `seconds` aside, the circuits and the file are the same."""
    texts = []
    for name in ("first.json", "second.json"):
        yard = make()
        circuits = [replace(circuit, seconds=0.0) for circuit in plan(yard, keep=8)]
        write_circuits(tmp_path / name, yard, circuits)
        texts.append((tmp_path / name).read_bytes())
    assert texts[0] == texts[1]
    assert len(json.loads(texts[0])["circuits"]) >= 6


def test_planning_writes_nothing_to_the_streams() -> None:
    """Neither the planner nor the solver under it prints a word, in a process of its own."""
    code = "from tests.build import make_yard; from tripkit.planning import plan; plan(make_yard())"
    ended = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert (ended.stdout, ended.stderr) == ("", "")
