"""What the search says of a circuit is held against the circuit: format of circuits.

The circuit of `two_visits` has a worth of 40 (four classes of 10) over 560 km (four drives of 140)
that cost nothing, and 0 spare days (9 clear days, 9 asked).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.judging.plan import stable, two_visits
from tripkit.judging.judge import find_violations
from tripkit.yard.circuit import Circuit

FIGURES = {"most worth": 40.0, "least road": 560.0, "least cost": 0.0, "most rest": 0.0}


def judge(**changes):
    yard = stable()
    circuit = replace(two_visits(yard), **changes)
    return [str(v.fact) for v in find_violations(yard, circuit) if v.rule == "figures"]


@pytest.mark.parametrize(("goal", "reached"), FIGURES.items())
def test_the_objective_is_what_the_goal_counts(goal, reached):
    """Worth, km, cents and spare days; anything else is told with both figures."""
    assert judge(goal=goal, status="proved best", objective=reached, bound=reached) == []
    (text,) = judge(goal=goal, status="proved best", objective=reached + 7, bound=reached + 7)
    assert text == (
        f"the objective is {reached + 7:g} as written, and what {goal} counts comes to {reached:g}"
    )


@pytest.mark.parametrize(
    ("goal", "objective", "bound", "way"),
    [("most worth", 40.0, 39.0, "more"), ("least road", 560.0, 561.0, "less")],
)
def test_a_bound_is_never_passed(goal, objective, bound, way):
    """No more than the bound of a most, no less than that of a least."""
    (text,) = judge(goal=goal, status="best in time", objective=objective, bound=bound)
    assert text == (
        f"the objective {objective:g} is {way} than the bound {bound:g}, which nothing is"
    )


@pytest.mark.parametrize(
    ("bound", "status"), [(40.0, "proved best"), (40.4, "within bound"), (41.0, "best in time")]
)
def test_the_status_says_how_near_the_bound_is(bound, status):
    """Proved is what reached it, within a hundredth is near: 0.4 of 40."""
    for said in ("proved best", "best of its kind", "within bound", "best in time"):
        found = judge(goal="most worth", status=said, objective=40.0, bound=bound)
        assert bool(found) is (said != status)


def test_a_proof_that_leaves_something_out_is_one_of_a_kind():
    """What `leaves_out` names may be better: then nothing is proved best (format of circuits)."""
    reached = {"goal": "most worth", "objective": 40.0, "leaves_out": ("drives by night",)}
    assert judge(status="best of its kind", bound=40.0, **reached) == []
    assert judge(status="best in time", bound=50.0, **reached) == []
    assert judge(status="proved best", bound=40.0, **reached) == [
        "the status is proved best, and the objective 40 with the bound 40 is best of its kind"
    ]


def test_goals_are_those_of_the_table_and_tours_those_of_the_yard():
    """An unknown goal and a tour that the yard has not are told; the new goals are known."""
    known = {"status": "best in time", "objective": 40.0, "bound": 50.0}
    assert judge(goal="good value", **known) == []
    assert judge(goal="most fun", **known) == ["'most fun' is no goal of a circuit"]
    (text,) = judge(goal="tour Moon", **known)
    assert text == "the goal is 'tour Moon', and the yard has no such tour"


def test_without_a_plan_nothing_was_reached():
    """Objective and bound are null where no plan is (format of circuits)."""
    none = Circuit("None", "most worth", "none exists", 1.0, 2.0)
    assert [str(v.fact) for v in find_violations(stable(), none)] == [
        "the status is none exists, and objective is 1",
        "the status is none exists, and bound is 2",
    ]


def test_an_objective_without_a_bound_is_told():
    """Who says what was reached says how good it could be."""
    assert judge(goal="most worth", status="proved best", objective=40.0, bound=None) == [
        "the status is proved best, and there is no bound"
    ]
