"""Why an aim is met or given up: what bars it, and what it would cost."""

from __future__ import annotations

from collections.abc import Iterator

from tripkit.eligibility.qualifying import assess_aim
from tripkit.explaining.figures import tell_met
from tripkit.explaining.outing import explain_outing
from tripkit.explaining.reasons import Point
from tripkit.judging.case import Violation
from tripkit.judging.judge import find_violations
from tripkit.yard.circuit import Circuit
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Aim
from tripkit.yard.yard import Yard


def explain_aims(yard: Yard, circuit: Circuit, horse: str) -> tuple[Fact, list[Point]]:
    """Each aim of a horse, or of all; where one is given up, what bars it and what it costs."""
    broken = find_violations(yard, circuit)
    points, met, count = [], 0, 0
    for aim in yard.aims:
        if horse not in ("", aim.horse):
            continue
        standing = assess_aim(yard, aim, circuit.outings)
        met += standing.met
        count += 1
        text = state(
            "explaining.aim-of",
            aim=aim.title,
            importance=aim.importance,
            met=tell_met(standing.met),
            reason=standing.reason,
        )
        points.append(Point(text, "aims", "aims.csv and results.csv", int(standing.met)))
        if not standing.met:
            points += _explain_given_up(yard, circuit, aim, broken)
    return state("explaining.total-aims", met=met, count=count), points


def _explain_given_up(
    yard: Yard, circuit: Circuit, aim: Aim, broken: tuple[Violation, ...]
) -> Iterator[Point]:
    """What keeps the horse from the show of its aim, and what stays out where it goes."""
    if (aim.horse, aim.show) in {(o.horse, o.show) for o in circuit.outings}:
        return
    found = explain_outing(yard, circuit, aim.horse, aim.show, before=broken)
    yield Point(found.answer, "", "a trial")
    if found.instead is not None:
        yield from (point for point in found.points if point.source == "a trial")
