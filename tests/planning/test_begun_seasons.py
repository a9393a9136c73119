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

from tests.build import (
    make_absence,
    make_class,
    make_entry,
    make_horse,
    make_limits,
    make_rider,
    make_show,
    make_yard,
    plan_most,
)
from tests.planning.yards import make_random_yard
from tripkit import planning as solver
from tripkit.judging.judge import find_violations
from tripkit.season.lived import go_on_from
from tripkit.yard.circuit import Circuit, Outing
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import state
from tripkit.yard.horses import Entry, Result, VetCheck
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard

TWICE = state("planning.twice")
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
            assert find_violations(lived, circuit) == ()
            again = {c.goal: c for c in solver.plan(lived, keep=4)}
            assert {c.status for c in again.values()} == {"proved best"}
            assert all(find_violations(lived, c) == () for c in again.values())
            if circuit.goal == "most worth":
                assert again[circuit.goal].objective >= circuit.objective - 1e-6
            if circuit.goal == "least cost":
                # It keeps its own floor, so nothing dearer is the least.
                assert again[circuit.goal].objective <= circuit.objective + 0.5


@pytest.mark.parametrize("seed", SEEDS)
def test_after_a_mishap_the_judge_agrees_and_the_past_stays(seed):
    """A lame horse, a lorry away, a show put off: every goal has a lawful circuit."""
    yard = make_random_yard(seed, rich=seed % 2 == 0)
    published = plan_most(yard)
    struck_on = list(_list_mishaps(Random(seed), yard, published))
    assert struck_on
    for today, struck in struck_on:
        lived = go_on_from(struck, published)
        circuits = solver.plan(lived, keep=3)
        assert all(c.exists for c in circuits), today
        for circuit in circuits:
            assert find_violations(lived, circuit) == (), (today, circuit.goal)
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


def _live_show(today, *, shows=None, **changes):
    """Dancer is at S1, the only show, since 7 April; `changes` became known since."""
    yard = make_yard(shows=shows or (make_show(),), horses=[make_horse(starts_per_show=2)])
    circuit = plan_most(yard)
    assert circuit.outings[0].arrive == date(2027, 4, 7)
    return go_on_from(replace(yard, today=date.fromisoformat(today), **changes), circuit)


def test_a_horse_waits_for_the_only_lorry_however_long_it_is_away():
    """The lorry is in the workshop for six weeks: the horse comes home after that."""
    away = (make_absence("Lorry", "2027-04-09", "2027-05-20"),)
    yard = _live_show("2027-04-09", absences=away)
    circuit = plan_most(yard)
    assert circuit.outings[0].leave == date(2027, 5, 21)
    assert find_violations(yard, circuit) == ()


def test_an_entry_beyond_the_starts_of_an_outing_under_way_is_dropped():
    """Both starts of S1 are published; a third class that was paid since falls away."""
    classes = [make_class(f"C{n}", f"2027-04-{7 + n:02}", worth=9 + n % 2) for n in (1, 2, 3)]
    entries = (make_entry("C2", date="2027-04-07"),)
    yard = _live_show("2027-04-08", shows=(make_show(classes=classes),), entries=entries)
    assert yard.begun.outings[0].classes == ("C1", "C3")
    circuit = plan_most(yard)
    assert circuit.outings[0].classes == ("C1", "C3")
    (dropped,) = circuit.dropped_entries
    assert (dropped.class_name, dropped.rule) == ("C2", "eligible")
    assert dropped.why == state("planning.starts-a-show", horse="Dancer", times=TWICE)
    assert find_violations(yard, circuit) == ()


def test_entries_that_are_over_are_no_reason():
    """Where no circuit exists, only entries to come are named."""
    entries = (make_entry("C1", date="2027-02-27"),)
    away = (make_absence("Lorry", "2027-04-09", "2027-07-20"),)
    yard = _live_show("2027-04-09", entries=entries, absences=away)
    circuit = plan_most(yard)
    assert circuit.status == "none exists"
    assert not any("S1" in str(reason) for reason in circuit.reasons)


def test_a_season_that_was_cut_short_after_it_was_lived_can_be_planned():
    """The published day plan has more days than the season has now."""
    yard = _live_show("2027-05-20", season=DaySpan(date(2027, 3, 1), date(2027, 4, 30)))
    circuit = plan_most(yard)
    assert [o.show for o in circuit.outings] == ["S1"]
    assert find_violations(yard, circuit) == ()


def test_the_vet_comes_after_today_where_the_last_class_fell_away():
    """The rider is away on Saturday, so Thursday was the last class; the horse stays on the grounds
    for want of a lorry, and the vet does not come on days gone by."""
    away = (
        make_absence("Ana", "2027-04-10", "2027-04-11"),
        make_absence("Lorry", "2027-04-10", "2027-04-20"),
    )
    limits = make_limits(vet_check_after_shows=1)
    horses = (make_horse(starts_per_show=2, limits=limits),)
    yard = _live_show("2027-04-09", horses=horses, limits=limits, absences=away)
    circuit = plan_most(yard)
    assert circuit.outings[0].classes == ("C1",)
    checks = [d.date for d in circuit.days if "vet check" in (d.does, *d.also)]
    assert checks
    assert min(checks) > date(2027, 4, 9)
    assert find_violations(yard, circuit) == ()


def test_an_outing_that_can_be_jumped_no_more_is_no_history():
    """On the way there the horse turns out too small for its classes: it comes home for nothing."""
    yard = _live_show("2027-04-07", horses=(make_horse(to_height_cm=115),))
    assert yard.begun.outings == ()
    circuit = plan_most(yard)
    assert circuit.outings == ()
    assert [leg.end for leg in circuit.legs] == ["S1", "home"]
    assert find_violations(yard, circuit) == ()


def test_a_horse_that_stands_there_scratched_makes_no_room_for_another_ride():
    """Ana rides one horse a show. Hers is under way, Ben's is scratched; a third is not hers."""
    riders = [make_rider(horses_per_show=1), make_rider("Ben", horses_per_show=1)]
    horses = [make_horse("Alder"), make_horse("Birch", rider="Ben")]
    show = make_show("S1", "2027-04-07", "2027-04-18", classes=[
        make_class("C1", "2027-04-08"), make_class("C2", "2027-04-17"),
    ])  # fmt: skip
    yard = make_yard(shows=(show,), horses=horses, people=riders)
    circuit = plan_most(yard)
    assert {o.horse for o in circuit.outings} == {"Alder", "Birch"}
    today = circuit.outings[0].first_day
    scratched = [make_entry(name, "scratched", horse="Birch", date=today) for name in ("C1", "C2")]
    more = (*horses, make_horse("Cedar", rider=""))
    away = (make_absence("Ben", "2027-04-17", "2027-04-18"),)
    known = replace(yard, today=today, entries=tuple(scratched), horses=more, absences=away)
    lived = go_on_from(known, circuit)
    assert lived.begun.under_way == {("Alder", "S1")}
    assert lived.begun.stand_of["Birch"].stop == "S1"
    for again in solver.plan(lived, keep=3):
        assert find_violations(lived, again) == ()
