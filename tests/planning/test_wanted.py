"""What is wanted of a season: how many outings of each horse, and worth where nobody wrote one.

Shows of one day and one class; all are 13 clear days or more apart, which is more than recovery
asks. Figures are counted by hand from the format of the folder (horses.csv, classes.csv).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.build import (
    make_class,
    make_entry,
    make_horse,
    make_limits,
    make_result,
    make_show,
    make_yard,
)
from tripkit.judging.judge import find_violations
from tripkit.planning import plan
from tripkit.planning.coupling import build_season
from tripkit.planning.problem import build_problem
from tripkit.planning.search import Objective, Search, Watch
from tripkit.yard.circuit import Circuit
from tripkit.yard.horses import OutingsWanted
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard

SECONDS = 60.0
DAYS = ("2027-04-01", "2027-04-15", "2027-05-04")


def show_of(number: int, height_cm: int) -> Show:
    """The show of a number, from 1 on."""
    on, name = DAYS[number - 1], f"S{number}"
    offered = make_class("C1", on, name, height_cm=height_cm)
    return make_show(name, on, on, classes=[offered])


def stable(wanted: OutingsWanted, count: int = 3, **changes) -> Yard:
    """Dancer, of which so many outings are wanted, and so many shows."""
    horse = replace(make_horse(), outings_wanted=wanted)
    heights = (110, 120, 130)
    shows = [show_of(number, heights[number - 1]) for number in range(1, count + 1)]
    return make_yard(**{"horses": [horse], "shows": shows, **changes})


def find_most(yard: Yard) -> Circuit:
    """The circuit of most worth."""
    circuits = plan(yard, keep=2)
    assert all(find_violations(yard, circuit) == () for circuit in circuits)
    return next(circuit for circuit in circuits if circuit.goal == "most worth")


def test_no_more_outings_than_are_wanted():
    """Of three shows two, and the judge agrees; entries that are paid are kept beyond that."""
    assert find_most(stable(OutingsWanted(0, 2))).totals.outings == 2
    paid = [make_entry(show=f"S{number}") for number in (1, 2)]
    assert find_most(stable(OutingsWanted(0, 1), entries=paid)).totals.outings == 2


@pytest.mark.parametrize(("on", "outings"), [("2027-02-20", 2), ("2027-03-02", 1)])
def test_what_was_before_today_counts_within_the_season(on: str, outings: int):
    """A result of March is one of the two that are wanted, one of February is not."""
    yard = stable(OutingsWanted(0, 2), results=[make_result(on)], today="2027-03-05")
    assert find_most(yard).totals.outings == outings


@pytest.mark.parametrize(
    ("least", "count", "on", "missing"),
    [(3, 3, None, 0), (3, 2, None, 1), (3, 2, "2027-03-02", 0), (3, 2, "2027-02-20", 1)],
)
def test_the_fewest_outings_that_are_missing(least: int, count: int, on: str | None, missing: int):
    """Three wanted of two or three shows; what was before today counts within the season."""
    results = [] if on is None else [make_result(on)]
    yard = stable(OutingsWanted(least), count, results=results, today="2027-03-05")
    season = build_season(build_problem(yard))
    fewest = Objective(season.missing_terms(), False)
    assert round(Search(season).find_best(fewest, Watch(SECONDS, None, None)).objective) == missing
    assert find_most(yard).totals.missing_outings == missing


def test_worth_by_class_is_what_the_planner_counts():
    """10, 15 and 20 for classes at the bottom, in the middle and at the top of its heights."""
    yard = stable(OutingsWanted(), limits=make_limits(class_worth="by class"))
    assert find_most(yard).totals.worth == 45.0
