"""A season that has begun is planned on from where horses and lorries stand.

What is expected comes from an argument, not from the code: as long as nobody knows anything new,
what a circuit still does is open on every later day, so planning again reaches at least as much,
history included. After a mishap the judge, who shares no code with the planner,
must find nothing, and what was lived must stand there unchanged.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from random import Random

import pytest

from tests.build import make_absence
from tests.solver.yards import make_random_yard
from tripkit import solver
from tripkit.circuit import Circuit, Outing
from tripkit.days import DaySpan
from tripkit.horses import Entry, Result, VetCheck
from tripkit.judge import find_violations
from tripkit.lived import go_on_from
from tripkit.shows import Show
from tripkit.yard import Yard

QUIET_SEEDS = (2, 6, 10)
SEEDS = range(10)
MISHAPS = (
    "lame",
    "lame before",
    "absent",
    "lorry",
    "rider",
    "scratched",
    "result",
    "show moved",
    "no money",
)


def list_days(circuit: Circuit) -> list[date]:
    """Every day on which a circuit has a drive, a class or a night away begin or end."""
    days = {d for o in circuit.outings for d in (o.arrive, o.first_day, o.last_day, o.leave)}
    return sorted(days | {d for leg in circuit.legs for d in (leg.days.first, leg.days.last)})


@pytest.mark.parametrize("seed", QUIET_SEEDS)
def test_without_news_nothing_is_lost(seed):
    """Planned again on any day, a circuit reaches at least what it reached, and proves it."""
    yard = make_random_yard(seed, rich=True)
    for circuit in solver.plan(yard, keep=4):
        for today in list_days(circuit)[::5] if circuit.outings else ():
            lived = go_on_from(replace(yard, today=today), circuit)
            assert find_violations(circuit, lived) == ()
            again = {c.goal: c for c in solver.plan(lived, keep=4)}
            assert {c.status for c in again.values()} == {"proved best"}
            assert all(find_violations(c, lived) == () for c in again.values())
            if circuit.goal == "most worth":
                assert again[circuit.goal].objective >= circuit.objective - 1e-6
            if circuit.goal == "least cost":
                # It keeps its own floor, so nothing dearer is the least.
                assert again[circuit.goal].objective <= circuit.objective + 0.5


@pytest.mark.parametrize("seed", SEEDS)
def test_after_a_mishap_the_judge_agrees_and_the_past_stays(seed):
    """A lame horse, a lorry away, a show put off: every goal has a lawful circuit."""
    yard = make_random_yard(seed, rich=seed % 2 == 0)
    published = next(iter(c for c in solver.plan(yard, keep=1) if c.outings), None)
    if published is None:
        pytest.skip("nobody goes anywhere in this yard")
    for today, struck in _list_mishaps(Random(seed), yard, published):
        lived = go_on_from(struck, published)
        circuits = solver.plan(lived, keep=3)
        assert all(c.exists for c in circuits), today
        for circuit in circuits:
            assert find_violations(circuit, lived) == (), (today, circuit.goal)
            assert circuit.legs[: len(lived.begun.legs)] == lived.begun.legs
            kept = {(o.horse, o.show): o for o in circuit.outings}
            for outing in lived.begun.done:
                found = kept[outing.horse, outing.show]
                assert (found.classes, found.arrive) == (outing.classes, outing.arrive)


def _list_mishaps(dice: Random, yard: Yard, published: Circuit) -> Iterator[tuple[date, Yard]]:
    for mishap in dice.sample(MISHAPS, 4):
        outing = dice.choice(published.outings)
        today = dice.choice(
            [outing.arrive, outing.first_day, outing.last_day, outing.leave - timedelta(days=1)]
        )
        struck = _strike(replace(yard, today=today), mishap, outing, published, dice)
        if struck is not None:
            yield today, struck


def _strike(
    yard: Yard, mishap: str, outing: Outing, published: Circuit, dice: Random
) -> Yard | None:
    today = yard.day_of_planning
    tomorrow, week = today + timedelta(days=1), today + timedelta(days=7)
    if mishap == "lame":
        check = VetCheck(outing.horse, today, "lf", 2, False)
        return replace(yard, vet_checks=(*yard.vet_checks, check))
    if mishap == "lame before":
        check = VetCheck(outing.horse, outing.arrive - timedelta(days=2), "lf", 2, False)
        return replace(yard, vet_checks=(*yard.vet_checks, check))
    if mishap in ("absent", "lorry", "rider"):
        who = {
            "absent": outing.horse,
            "rider": outing.rider,
            "lorry": dice.choice(yard.vehicles).vehicle,
        }[mishap]
        if mishap == "lorry" and yard.bound_entries:
            return None  # an entry sent may then be out of reach, and bars every plan
        return replace(yard, absences=(*yard.absences, make_absence(who, tomorrow, week)))
    if mishap == "scratched":
        rows = [Entry(outing.horse, outing.show, c, "scratched", today) for c in outing.classes]
        return replace(yard, entries=(*yard.entries, *rows))
    if mishap == "result":
        row = Result(outing.horse, outing.first_day, outing.show, outing.classes[0])
        return replace(yard, results=(*yard.results, row))
    if mishap == "show moved":
        moved = _put_off(yard.show_by_name[outing.show], dice.choice((-2, 2, 4)))
        if moved.days.last > yard.season.last or moved.days.first < yard.season.first:
            return None
        return replace(yard, shows=tuple(moved if s.show == moved.show else s for s in yard.shows))
    spent = replace(yard.costs, budget_cents=max(1, published.totals.cost_cents // 2))
    return replace(yard, costs=spent) if today >= list_days(published)[0] else None


def _put_off(show: Show, days: int) -> Show:
    by = timedelta(days=days)

    def shift(span: DaySpan) -> DaySpan:
        return DaySpan(span.first + by, span.last + by)

    return replace(
        show,
        days=shift(show.days),
        stabling=shift(show.stabling),
        classes=tuple(replace(c, day=c.day + by) for c in show.classes),
    )
