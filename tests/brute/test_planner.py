"""Planner and referee on the same tiny yards: equal worth, plans that the judge accepts.

The yards are chosen among those in which some freedom is worth something, and for being quick. All
240 are in the benchmark.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.brute.freedoms import ALL, NONE
from tests.brute.schedules import AIM_STEP
from tests.brute.search import find_most
from tests.brute.writing import write_circuit
from tests.brute.yards import make_tiny_yard, make_tiny_yard_with_base
from tests.build import plan_most
from tripkit.judging.judge import find_violations
from tripkit.yard.yard import Yard

NUMBERS = (
    *(1, 3, 9, 13, 16, 22, 36, 37, 39, 40, 45, 47, 49, 50, 51, 54, 59, 64, 72, 74, 77, 78, 81, 86),
    *(91, 92, 96, 98, 102, 103, 108, 110, 113, 114, 118, 123, 124, 134, 140, 143, 146, 148, 150),
)


WITH_BASE = (3, 8, 13, 19, 24, 25, 41, 46, 91)
GAINING = (13, 19, 25, 91, 100)


def hold_planner_to_referee(yard: Yard) -> None:
    """The most worth of every freedom is the planner's, and the judge accepts both plans."""
    answer = find_most(yard, ALL)
    assert answer is not None
    circuit = plan_most(yard)
    points = float(answer.worth % AIM_STEP)
    assert circuit.status in ("proved best", "best of its kind")
    assert circuit.objective == circuit.bound == points
    assert find_violations(yard, circuit) == ()
    assert find_violations(yard, write_circuit(yard, answer)) == ()


@pytest.mark.parametrize("number", NUMBERS)
def test_nothing_is_worth_more_than_what_the_planner_proves_best(number: int) -> None:
    """In yards in which freedoms are worth something."""
    hold_planner_to_referee(make_tiny_yard(number))


@pytest.mark.parametrize("number", WITH_BASE)
def test_nothing_is_worth_more_where_the_yard_has_a_base(number: int) -> None:
    """Two horses, a lorry or two, and boxes for some weeks at a place without shows."""
    hold_planner_to_referee(make_tiny_yard_with_base(number))


@pytest.mark.parametrize("number", GAINING)
def test_a_yard_without_its_base_does_worse(number: int) -> None:
    """From the base horses jump where they cannot from home."""
    yard = make_tiny_yard_with_base(number)
    without, based = find_most(replace(yard, bases=()), ALL), find_most(yard, ALL)
    assert without is not None
    assert based is not None
    assert based.worth > without.worth


@pytest.mark.parametrize("number", NUMBERS)
def test_a_yard_without_freedoms_does_worse(number: int) -> None:
    """Evenings, two drives a day, empty runs and day trips are worth something in these yards."""
    yard = make_tiny_yard(number)
    usual, free = find_most(yard, NONE), find_most(yard, ALL)
    assert usual is not None
    assert free is not None
    assert free.worth > usual.worth
