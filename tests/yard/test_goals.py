"""The one table of goals: every row has its figure, its plan and its words, in the file's order.

Ids, units and what keeps the worth floor: the published format of circuits; handbook, Files.
"""

from __future__ import annotations

from dataclasses import fields
from importlib import import_module

import pytest

from tripkit.words.english import SENTENCES
from tripkit.words.telling import tell
from tripkit.yard.circuit import Totals
from tripkit.yard.goals import (
    GOAL_IDS,
    GOALS,
    SAVING_IDS,
    Goal,
    find_goal,
    name_of_tour,
    state_found,
    state_goal,
    write_tour_goal,
)


def test_the_table_holds_the_goals_that_are_published():
    """Those of section 5, but for tours; least road, cost, most rest keep the worth floor."""
    assert (
        *("good value", "most worth", "least road", "least cost", "most rest"),
        *("least change", "alternative"),
    ) == GOAL_IDS
    assert SAVING_IDS == ("least road", "least cost", "most rest")


@pytest.mark.parametrize("goal", GOALS, ids=lambda goal: goal.id)
def test_a_row_is_whole(goal: Goal):
    """Figures of the totals, a function that says what it plans, a sentence for goal and unit."""
    figures = {"", *(field.name for field in fields(Totals))}
    assert {goal.counts, goal.searched} <= figures
    assert f"goals.{goal.id}" in SENTENCES
    for unit in (goal.unit, goal.search_unit):
        assert str(state_found(unit, 2.0))
    if goal.planned_by:
        room, _, name = goal.planned_by.partition(".")
        plan = getattr(import_module(f"tripkit.planning.{room}"), name)
        assert len((plan.__doc__ or "").splitlines()[0]) > 30


@pytest.mark.parametrize(
    ("goal", "unit", "least"),
    [
        ("good value", "cents", False),
        ("most worth", "worth", False),
        ("tour Gulf", "worth", False),
        ("least road", "km", True),
        ("least cost", "cents", True),
        ("most rest", "spare_days", False),
        ("alternative", "worth", False),
    ],
)
def test_a_goal_has_its_unit_and_its_sense(goal: str, unit: str, least: bool):
    """Good value counts money: worth times a price, less the cost."""
    row = find_goal(goal)
    assert row is not None
    assert (row.unit, row.least) == (unit, least)


def test_the_goal_of_a_tour_names_it():
    """`tour NAME` in the file; a tour without a name is no goal."""
    assert name_of_tour(write_tour_goal("tour of tours")) == "tour of tours"
    assert find_goal("tour") is find_goal("tour ") is find_goal("Tour Gulf") is None


@pytest.mark.parametrize(
    ("goal", "said"),
    [("tour Gulf", "the Gulf tour"), ("most rest", "the most rest"), ("fun", "fun")],
)
def test_a_goal_is_told(goal: str, said: str):
    """In words; one without a row as it is written."""
    assert tell(state_goal(goal)) == said
