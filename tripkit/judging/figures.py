"""The judge's rule about what a search says of its circuit: goal, objective, bound and status."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from tripkit.judging.case import Case, Violation
from tripkit.yard.circuit import GOALS, STATUSES, TOUR_GOAL, Circuit, name_status
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
        yield Violation("figures", f"{circuit.status!r} is no status of a circuit")
    if circuit.objective is None:
        return
    yield from _judge_goal(circuit, yard)
    if circuit.bound is None:
        yield Violation("figures", f"the status is {circuit.status}, and there is no bound")
        return
    objective, bound = circuit.objective, circuit.bound
    if not (isfinite(objective) and isfinite(bound)):
        yield Violation("figures", f"the objective {objective} or the bound {bound} is no number")
        return
    reached = _count(circuit, yard)
    slack = SLACK.get(circuit.goal, USUAL_SLACK)
    if reached is not None and not abs(objective - reached) <= slack:
        text = (
            f"the objective is {objective:g} as written, and what {circuit.goal} counts comes to "
            f"{reached:g}"
        )
        yield Violation("figures", text)
    past = objective - bound if circuit.goal not in LEAST else bound - objective
    if past > slack:
        way = "less" if circuit.goal in LEAST else "more"
        text = f"the objective {objective:g} is {way} than the bound {bound:g}, which nothing is"
        yield Violation("figures", text)
        return
    status = name_status(objective, bound)
    if circuit.status in NAMED and circuit.status != status:
        text = (
            f"the status is {circuit.status}, and the objective {objective:g} with the bound "
            f"{bound:g} is {status}"
        )
        yield Violation("figures", text)


def judge_without_plan(circuit: Circuit) -> Iterator[Violation]:
    """A circuit without a plan reached nothing."""
    for name, figure in (("objective", circuit.objective), ("bound", circuit.bound)):
        if figure is not None:
            yield Violation("figures", f"the status is {circuit.status}, and {name} is {figure:g}")


def _judge_goal(circuit: Circuit, yard: Yard) -> Iterator[Violation]:
    goal = circuit.goal
    tours = {show.tour for show in yard.shows if show.tour}
    if goal.startswith(TOUR_GOAL):
        if goal.removeprefix(TOUR_GOAL) not in tours:
            yield Violation("figures", f"the goal is {goal!r}, and the yard has no such tour")
    elif goal not in GOALS:
        yield Violation("figures", f"{goal!r} is no goal of a circuit")


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
