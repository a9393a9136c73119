"""Circuits that keep every rule of DEVELOPERS.md, and what the judge is."""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import pytest

from tests.judging.plan import Visit, drive, free_show, outing, plan, say, stable, two_visits, visit
from tripkit.judging import case
from tripkit.judging.judge import RULES, find_violations
from tripkit.yard import rules
from tripkit.yard.circuit import Circuit, Day


def test_clean_circuit():
    """Two visits nine clear days apart with everything in order break nothing."""
    yard = stable()
    assert say(two_visits(yard), yard) == ""


def test_two_horses_in_one_lorry():
    """Two horses on the same visits break nothing."""
    yard = stable()
    assert say(two_visits(yard, ("Alder", "Birch")), yard) == ""


def test_staying_home_is_clean():
    """A plan in which nobody goes anywhere breaks nothing."""
    yard = stable()
    assert say(plan(yard), yard) == ""


def test_whole_season_of_four_shows():
    """Four shows of one horse: 9, 13 and 18 clear days apart, the cap kept to the day."""
    # First days 04-08, 04-20, 05-06, 05-27 lie 28 days (first to third) and 37 days apart: the
    # third must begin 30 days after the first, so C1 of S3 (05-06) is left out for C2 (05-08).
    yard = stable()
    circuit = plan(
        yard,
        visit(yard, "S1", "2027-04-07", "2027-04-11"),
        visit(yard, "S2", "2027-04-19", "2027-04-23"),
        visit(yard, "S3", "2027-05-07", "2027-05-09", classes=("C2",)),
        visit(yard, "S4", "2027-05-26", "2027-05-30"),
        spare_days=0,
    )
    assert say(circuit, yard) == ""


@pytest.mark.parametrize("status", ["none exists", "none in time"])
def test_no_plan_breaks_nothing(status: str):
    """A circuit without a plan and with empty lists breaks nothing."""
    circuit = Circuit("A", "most worth", status, reasons=("budget",))
    assert find_violations(stable(), circuit) == ()


def test_no_plan_with_rows():
    """A circuit that says that none exists and has rows all the same is told so."""
    yard = stable()
    circuit = replace(two_visits(yard), status="none exists")
    assert [v.rule for v in find_violations(yard, circuit)] == ["totals"] * 3


def test_unknown_status():
    """A status that the format does not know is reported."""
    yard = stable()
    circuit = replace(two_visits(yard), status="rather good")
    assert say(circuit, yard) == "figures: 'rather good' is no status of a circuit"


def test_every_rule_has_a_function():
    """Each rule of the table has one function whose docstring says the rule."""
    assert [*RULES] == [rule.id for rule in rules.RULES]
    lines = [(judge.__doc__ or "").splitlines()[0] for judge in RULES.values()]
    assert all(line.endswith(".") and len(line) > 30 for line in lines)


def test_independent_of_the_planner():
    """No room of the judge imports the planner's table, the solver, or what adds totals up."""
    rooms = sorted(Path(case.__file__).parent.glob("*.py"))
    imported = {
        node.module
        for room in rooms
        for node in ast.walk(ast.parse(room.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module
    }
    assert len(rooms) > 1
    assert not [
        name
        for name in imported
        if name.startswith(("tripkit.planning", "tripkit.season.scorecard"))
    ]


def test_order_does_not_matter():
    """Outings, legs and days in reversed order are judged the same."""
    yard = stable()
    circuit = two_visits(yard)
    turned = replace(
        circuit,
        outings=circuit.outings[::-1],
        legs=circuit.legs[::-1],
        days=circuit.days[::-1],
    )
    assert say(turned, yard) == ""


def test_violations_come_in_order_of_rules():
    """Violations stand in the order of the table of rules, each once."""
    yard = stable()
    circuit = two_visits(yard)
    circuit = replace(
        circuit, days=(*circuit.days, Day("Zephyr", yard.season.first, "home", "flat"))
    )
    circuit = replace(circuit, outings=(*circuit.outings, circuit.outings[0]))
    found = find_violations(yard, circuit)
    order = [[*RULES].index(v.rule) for v in found]
    assert order == sorted(order)
    assert len(set(found)) == len(found)


def test_text_says_who_where_and_how_much():
    """A violation says in words what is wrong, with the numbers, and names what it concerns."""
    # S1 ends 04-10; Dothan 2 begins with C1 on 04-14: clear days 11, 12, 13 = 3; 9 are asked.
    shows = [free_show("S1", "2027-04-07"), free_show("Dothan 2", "2027-04-13", "Fairview")]
    yard = stable(shows=shows)
    circuit = plan(
        yard,
        visit(yard, "S1", "2027-04-07", "2027-04-11"),
        visit(yard, "Dothan 2", "2027-04-13", "2027-04-17"),
        spare_days=-6,
    )
    (violation,) = find_violations(yard, circuit)
    assert (violation.rule, violation.horse, violation.show) == ("recovery", "Alder", "Dothan 2")
    values = ("judging.recovery", "Alder", 3, "S1", "Dothan 2", 9)
    names = ("horse", "have_days", "before", "after", "need_days")
    assert (violation.fact.code, *map(violation.fact.get, names)) == values
    assert str(violation.fact) == "Alder has 3 clear days after S1 before Dothan 2 and needs 9"


def test_horse_left_between_shows_at_the_same_place():
    """A horse stays at Millbrook from S1 to S3 without a leg and outside both stabling windows."""
    # S1 stabling ends 04-12, S3's begins 05-03; leave of S1 = arrive of S3 = 05-05 (the day
    # before C1 of 05-06). Clear days 04-11 to 05-05 = 25, asked 9 (no drive): spare 16.
    yard = stable()
    first = outing(yard, "S1", "2027-04-07", "2027-05-05")
    second = outing(yard, "S3", "2027-05-05", "2027-05-09")
    legs = (drive("home", "S1", "2027-04-07"), drive("S3", "home", "2027-05-09"))
    circuit = plan(yard, Visit((first, second), legs), spare_days=16)
    assert say(circuit, yard) == ""
