"""The judge's rule about what a search says of its circuit: goal, objective, bound and status."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from tripkit.judging.case import Case, Violation
from tripkit.yard.circuit import GOALS, STATUSES, TOUR_GOAL, Circuit, name_status
from tripkit.yard.facts import state
from tripkit.yard.yard import Yard

LEAST = ("least road", "least cost", "least change")
OF_WORTH = ("most worth", "alternative")
# `best of its kind` says of which kind, not how near the bound.
NAMED = ("proved best", "within bound", "best in time")
# What rounding to the decimals written may move a figure by.
SLACK = {"least road": 0.051, "least cost": 0.5}
USUAL_SLACK = 1e-3


def judge_figures(case: Case) -> Iterator[Violation]:
    """The objective is what the goal counts, the bound is on its side, the status says how near.

    `proved best` is what reached its bound, and nothing else is. A circuit that no search made
    has no objective.
    """
    circuit, yard = case.circuit, case.yard
    if circuit.status not in STATUSES:
        yield Violation("figures", state("judging.no-status", status=circuit.status))
    if circuit.objective is None:
        return
    yield from _judge_goal(circuit, yard)
    if circuit.bound is None:
        yield Violation("figures", state("judging.no-bound", status=circuit.status))
        return
    objective, bound = circuit.objective, circuit.bound
    if not (isfinite(objective) and isfinite(bound)):
        yield Violation("figures", state("judging.no-number", objective=objective, bound=bound))
        return
    reached = _count(circuit, yard)
    slack = SLACK.get(circuit.goal, USUAL_SLACK)
    if reached is not None and not abs(objective - reached) <= slack:
        yield Violation(
            "figures",
            state("judging.other-objective", written=objective, goal=circuit.goal, comes=reached),
        )
    past = objective - bound if circuit.goal not in LEAST else bound - objective
    if past > slack:
        fact = state("judging.over-bound", objective=objective, bound=bound)
        if circuit.goal in LEAST:
            fact = state("judging.under-bound", objective=objective, bound=bound)
        yield Violation("figures", fact)
        return
    status = name_status(objective, bound)
    if circuit.status in NAMED and circuit.status != status:
        yield Violation(
            "figures",
            state(
                "judging.other-status",
                written=circuit.status,
                objective=objective,
                bound=bound,
                status=status,
            ),
        )


def judge_without_plan(circuit: Circuit) -> Iterator[Violation]:
    """A circuit without a plan reached nothing."""
    for name, figure in (("objective", circuit.objective), ("bound", circuit.bound)):
        if figure is not None:
            fact = state(
                "judging.figure-without-plan", status=circuit.status, name=name, figure=figure
            )
            yield Violation("figures", fact)


def _judge_goal(circuit: Circuit, yard: Yard) -> Iterator[Violation]:
    goal = circuit.goal
    tours = {show.tour for show in yard.shows if show.tour}
    if goal.startswith(TOUR_GOAL):
        if goal.removeprefix(TOUR_GOAL) not in tours:
            yield Violation("figures", state("judging.no-tour", goal=goal))
    elif goal not in GOALS:
        yield Violation("figures", state("judging.no-goal", goal=goal))


def _count(circuit: Circuit, yard: Yard) -> float | None:
    """What the goal counts, by the totals as written; None for a goal that weighs several."""
    totals = circuit.totals
    if circuit.goal in OF_WORTH or circuit.goal.startswith(TOUR_GOAL):
        return totals.worth
    if circuit.goal == "least road":
        return totals.road_km
    if circuit.goal == "least cost":
        return float(totals.cost_cents)
    if circuit.goal == "most rest":
        # Where no horse has two outings, the season is all there is between them.
        return float(yard.season.days if totals.spare_days is None else totals.spare_days)
    return None
