"""The judge's rule about what a search says of its circuit: goal, objective, bound and status."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from tripkit.judging.case import Case, Violation
from tripkit.yard.circuit import STATUSES, Circuit, name_status
from tripkit.yard.facts import state
from tripkit.yard.goals import GOOD_VALUE, MOST_WORTH, find_goal, name_of_tour
from tripkit.yard.terms import name_term
from tripkit.yard.yard import Yard

# What rounding to the decimals written may move a figure by.
SLACK: dict[str, float] = {"km": 0.051, "cents": 0.5}
USUAL_SLACK = 1e-3


def judge_figures(case: Case) -> Iterator[Violation]:
    """The objective is what the goal counts, the bound is on its side, the status says how near.

    `proved best` is what reached its bound and leaves nothing out, `best of its kind` what leaves
    something out, and nothing else is. A circuit that no search made has no objective. That of most
    worth may give away the worth slack of it.
    """
    circuit, yard = case.circuit, case.yard
    if circuit.status not in STATUSES:
        yield Violation("figures", state("judging.no-status", status=circuit.status))
    if circuit.objective is None:
        return
    goal = find_goal(circuit.goal)
    yield from _judge_goal(circuit, yard)
    if circuit.bound is None:
        yield Violation("figures", state("judging.no-bound", status=name_term(circuit.status)))
        return
    objective, bound = circuit.objective, circuit.bound
    if not (isfinite(objective) and isfinite(bound)):
        yield Violation("figures", state("judging.no-number", objective=objective, bound=bound))
        return
    reached = _count(circuit, yard)
    slack = SLACK.get(goal.unit if goal else "", USUAL_SLACK)
    given = yard.limits.worth_slack * objective if goal is MOST_WORTH else 0.0
    if reached is not None and not -slack <= objective - reached <= slack + given:
        yield Violation(
            "figures",
            state("judging.other-objective", written=objective, goal=circuit.goal, comes=reached),
        )
    is_least = goal is not None and goal.least
    past = bound - objective if is_least else objective - bound
    if past > slack:
        fact = state("judging.over-bound", objective=objective, bound=bound)
        if is_least:
            fact = state("judging.under-bound", objective=objective, bound=bound)
        yield Violation("figures", fact)
        return
    status = name_status(objective, bound, circuit.leaves_out)
    if circuit.status in STATUSES and circuit.status != status:
        yield Violation(
            "figures",
            state(
                "judging.other-status",
                written=name_term(circuit.status),
                objective=objective,
                bound=bound,
                status=name_term(status),
            ),
        )


def judge_without_plan(circuit: Circuit) -> Iterator[Violation]:
    """A circuit without a plan reached nothing."""
    for name, figure in (("objective", circuit.objective), ("bound", circuit.bound)):
        if figure is not None:
            fact = state(
                "judging.figure-without-plan",
                status=name_term(circuit.status),
                name=name,
                figure=figure,
            )
            yield Violation("figures", fact)


def _judge_goal(circuit: Circuit, yard: Yard) -> Iterator[Violation]:
    goal = circuit.goal
    tours = {show.tour for show in yard.shows if show.tour}
    tour = name_of_tour(goal)
    if tour and tour not in tours:
        yield Violation("figures", state("judging.no-tour", goal=goal))
    elif find_goal(goal) is None:
        yield Violation("figures", state("judging.no-goal", goal=goal))


def _count(circuit: Circuit, yard: Yard) -> float | None:
    """What the goal counts, by the totals as written; None for a goal that weighs several."""
    goal, price_cents = find_goal(circuit.goal), circuit.point_price_cents
    if goal is GOOD_VALUE and price_cents is not None:
        return price_cents * circuit.totals.worth - circuit.totals.cost_cents
    if goal is None or not goal.counts:
        return None
    figure = getattr(circuit.totals, goal.counts)
    # Where no horse has two outings, the season is all there is between them.
    return float(yard.season.days if figure is None else figure)
