"""One horse's graph: every path keeps recovery, cap and break; every legal season is a path.

It says when a horse jumps, not where it stands: what the way asks is given as days that it takes
from the recovery. Limits are the handbook's usual ones (common practice, no source) unless a test
says otherwise: 9 clear days between outings, one more for a drive of 8 h (a day on the road, a day
of rest).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import date
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.build import (
    make_absence,
    make_class,
    make_horse,
    make_limits,
    make_show,
    make_yard,
    plan_most,
)
from tests.planning.yards import make_random_yard
from tripkit.judging.judge import find_violations
from tripkit.planning.paths import Enter, HorseGraph, build_horse_graph
from tripkit.planning.places import build_place_nets
from tripkit.planning.problem import build_problem
from tripkit.yard.limits import Limits
from tripkit.yard.recovery import find_break_breaches, find_cap_breaches
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard

EIGHT_HOURS_KM = 560.0
FAR = {("home", "Far"): EIGHT_HOURS_KM, ("Millbrook", "Far"): EIGHT_HOURS_KM}


def show_of(name: str, *days: str, place: str = "Millbrook", worth: int = 10) -> Show:
    """A show with one class a day."""
    classes = [make_class(f"C{i}", on, name, worth=worth) for i, on in enumerate(days, 1)]
    return make_show(name, days[0], days[-1], place_key=place, classes=classes)


def yard_of(*shows: Show, limits: Limits | None = None, **changes: object) -> Yard:
    """Dancer and its shows."""
    own = Limits() if limits is None else limits
    return make_yard(shows=shows, horses=[make_horse(limits=own)], limits=own, **changes)


def build_graph(
    yard: Yard, extras: Mapping[str, Collection[int]] | None = None, horse: str = "Dancer"
) -> HorseGraph:
    """The graph of one horse; ways take no day from the recovery unless `extras` says so."""
    problem = build_problem(yard)
    chances = [chance for chance in problem.chances if chance.horse == horse]
    ways = {show.show: {0} for show in yard.shows} | dict(extras or {})
    return build_horse_graph(problem, yard.horse_by_name[horse], chances, ways)


def list_arcs(graph: HorseGraph) -> dict[int, list[int]]:
    """The arcs that leave each node."""
    out: dict[int, list[int]] = defaultdict(list)
    for i, tail in enumerate(graph.tails):
        out[tail].append(i)
    return out


def list_seasons(graph: HorseGraph) -> set[tuple[tuple[str, int, int], ...]]:
    """All seasons that a path stands for: show, first and last day of each outing."""
    out = list_arcs(graph)
    found = set()
    stack: list[tuple[int, tuple[tuple[str, int, int], ...]]] = [(0, ())]
    while stack:
        node, outings = stack.pop()
        if node == graph.sink:
            found.add(outings)
        for arc in out[node]:
            entered = [
                (mark.chance.show, mark.window.first, mark.window.last)
                for mark in graph.marks[arc]
                if isinstance(mark, Enter)
            ]
            stack.append((graph.heads[arc], (*outings, *entered)))
    return found


def list_enters(graph: HorseGraph) -> list[Enter]:
    """All visits that some path makes."""
    return [mark for marks in graph.marks for mark in marks if isinstance(mark, Enter)]


def list_shows(yard: Yard, extras: Mapping[str, Collection[int]] | None = None) -> list[str]:
    """The seasons of Dancer, as words of show names."""
    seasons = list_seasons(build_graph(yard, extras))
    return sorted("+".join(show for show, _, _ in season) for season in seasons)


def walk(graph: HorseGraph, dice: Random) -> list[Enter]:
    """A random path from source to sink: the outings on its way."""
    out, node, entered = list_arcs(graph), 0, []
    while node != graph.sink:
        arc = dice.choice(out[node])
        entered += [mark for mark in graph.marks[arc] if isinstance(mark, Enter)]
        node = graph.heads[arc]
    return entered


@settings(max_examples=60)
@given(seed=st.integers(0, 40), dice=st.randoms(use_true_random=False))
def test_every_path_keeps_recovery_cap_and_break(seed: int, dice: Random) -> None:
    """Whatever way through the graph, the outings lie as far apart as the rules ask."""
    yard = make_random_yard(seed)
    nets = build_place_nets(build_problem(yard))
    if not nets:
        return
    name = dice.choice(sorted(nets))
    horse = yard.horse_by_name[name]
    visits = walk(build_graph(yard, nets[name].extras, name), dice)
    past = [
        (o.first_day, o.last_day)
        for o in yard.history.get(name, ())
        if o.show not in {v.chance.show for v in visits}
    ]
    spans = [
        *past,
        *((date.fromordinal(v.window.first), date.fromordinal(v.window.last)) for v in visits),
    ]
    assert spans == sorted(spans)
    if horse.limits.shows_per_30_days <= 2:
        assert find_cap_breaches([first for first, _ in spans], horse.limits) == ()
    assert find_break_breaches(spans, horse.limits) == ()
    base = horse.limits.no_jump_days + 2 * horse.limits.schools_before_show
    for i, visit in enumerate(visits):
        at = len(past) + i
        if at == 0:
            continue
        clear = (spans[at][0] - spans[at - 1][1]).days - 1
        if visit.after is not None:
            assert visit.after is visits[i - 1].chance
            assert 0 <= clear <= 4
            assert visits[i - 1].after is None
            continue
        assert clear >= base + visit.extra


def test_the_cap_of_two_leaves_seven_seasons_of_eight() -> None:
    """Three one-day shows 11 days apart: any two of them fit (9 clear days), never all three."""
    yard = yard_of(
        show_of("S1", "2027-04-01"), show_of("S2", "2027-04-12"), show_of("S3", "2027-04-23")
    )
    assert list_shows(yard) == ["", "S1", "S1+S2", "S1+S3", "S2", "S2+S3", "S3"]


@pytest.mark.parametrize(("second", "both"), [("2027-04-11", True), ("2027-04-10", False)])
def test_nine_clear_days_are_enough_and_eight_are_not(second: str, both: bool) -> None:
    """04-01 to 04-11 has 9 clear days, to 04-10 it has 8; the drive of 2 h adds none."""
    seasons = list_shows(yard_of(show_of("S1", "2027-04-01"), show_of("S2", second)))
    assert seasons == ["", "S1", *(["S1+S2"] if both else []), "S2"]


@pytest.mark.parametrize(("second", "both"), [("2027-04-12", True), ("2027-04-11", False)])
def test_a_long_drive_asks_for_a_day_more(second: str, both: bool) -> None:
    """8 h are a day on the road and a day of rest: one day above 9, so 10 clear days."""
    yard = yard_of(show_of("S1", "2027-04-01"), show_of("S2", second))
    seasons = list_shows(yard, {"S2": {1}})
    assert seasons == ["", "S1", *(["S1+S2"] if both else []), "S2"]


def test_of_two_ways_the_one_that_takes_no_day_is_enough() -> None:
    """9 clear days between: by the way that takes one it is too soon, by the other it is not."""
    yard = yard_of(show_of("S1", "2027-04-01"), show_of("S2", "2027-04-11"))
    assert list_shows(yard, {"S2": {0, 1}}) == ["", "S1", "S1+S2", "S2"]
    both = [e for e in list_enters(build_graph(yard, {"S2": {0, 1}})) if e.chance.show == "S2"]
    assert {enter.extra for enter in both} == {0, 1}


def test_a_show_without_a_way_is_in_no_season() -> None:
    """Nobody brings Dancer to S2."""
    yard = yard_of(show_of("S1", "2027-04-01"), show_of("S2", "2027-04-11"))
    assert list_shows(yard, {"S2": set()}) == ["", "S1"]


def test_each_run_of_days_is_a_window() -> None:
    """Classes on 04-07 and 04-09: the first, the second, or both; or nothing."""
    graph = build_graph(yard_of(show_of("S1", "2027-04-07", "2027-04-09")))
    first, last = date(2027, 4, 7).toordinal(), date(2027, 4, 9).toordinal()
    assert list_seasons(graph) == {
        (),
        (("S1", first, first),),
        (("S1", last, last),),
        (("S1", first, last),),
    }


@pytest.mark.parametrize(("second", "both"), [("2027-05-01", True), ("2027-04-30", False)])
@pytest.mark.parametrize("extra", [0, 1])
def test_the_cap_counts_first_days_however_long_the_drive(
    second: str, both: bool, extra: int
) -> None:
    """One outing in 30 days: 04-01 and 05-01 are 30 days apart, also where S2 is 8 h away."""
    limits = make_limits(shows_per_30_days=1)
    yard = yard_of(show_of("S1", "2027-04-01"), show_of("S2", second), limits=limits)
    seasons = list_shows(yard, {"S2": {extra}})
    assert seasons == ["", "S1", *(["S1+S2"] if both else []), "S2"]


@pytest.mark.parametrize(("second", "both"), [("2027-04-23", True), ("2027-04-22", False)])
@pytest.mark.parametrize("extra", [0, 1])
def test_the_break_counts_clear_days_however_long_the_drive(
    second: str, both: bool, extra: int
) -> None:
    """A break after each outing is 14 + 7 clear days, 04-02 to 04-22, also before 8 h of road."""
    limits = make_limits(outings_before_break=1)
    yard = yard_of(show_of("S1", "2027-04-01"), show_of("S2", second), limits=limits)
    seasons = list_shows(yard, {"S2": {extra}})
    assert seasons == ["", "S1", *(["S1+S2"] if both else []), "S2"]


def test_a_break_before_a_long_drive_is_planned() -> None:
    """S0 (worth 5) lies between S1 and S2 (10 each), which have the break: 20 is the most.

    S1 04-01 to S2 04-23 has 21 clear days; S0 on 04-12 would leave 10 and 10.
    """
    limits = make_limits(outings_before_break=1, shows_per_30_days=3)
    yard = yard_of(
        show_of("S1", "2027-04-01"),
        show_of("S0", "2027-04-12", worth=5),
        show_of("S2", "2027-04-23", place="Far"),
        limits=limits,
        km=FAR,
    )
    most = plan_most(yard)
    assert (most.status, most.objective) == ("proved best", 20.0)
    assert find_violations(yard, most) == ()


def test_an_absence_between_two_shows_at_one_place_goes_home() -> None:
    """Dancer is away on 04-12: it cannot stay from 04-01 to 05-01, but home and back it can."""
    yard = yard_of(
        show_of("S1", "2027-04-01"),
        show_of("S2", "2027-05-01"),
        absences=[make_absence("Dancer", "2027-04-12")],
    )
    most = plan_most(yard)
    assert (most.status, most.objective) == ("proved best", 20.0)
    assert find_violations(yard, most) == ()


def test_two_in_a_row_and_no_third() -> None:
    """Three shows at one place, 4 and 1 clear days between, rows of two: two at most."""
    limits = make_limits(shows_in_a_row=2, shows_per_30_days=3)
    days = ("2027-04-01", "2027-04-06", "2027-04-08")
    yard = yard_of(*(show_of(f"S{i}", on) for i, on in enumerate(days, 1)), limits=limits)
    # S1 to S3 has 6 clear days, which is neither a row nor 9.
    assert list_shows(yard) == ["", "S1", "S1+S2", "S2", "S2+S3", "S3"]


def test_the_cap_looks_back_over_a_row() -> None:
    """A row begins 23 and 26 days after an outing: the third would begin within 30 days."""
    limits = make_limits(shows_in_a_row=2)
    yard = yard_of(
        show_of("S1", "2027-04-23", place="Elsewhere"),
        show_of("S2", "2027-05-16"),
        show_of("S3", "2027-05-19"),
        limits=limits,
    )
    # S1 and S2 begin 23 days apart, S1 and S3 26: of three, the last is too early by 4 days.
    assert list_shows(yard) == ["", "S1", "S1+S2", "S1+S3", "S2", "S2+S3", "S3"]


def test_planner_and_judge_agree_where_a_row_is_also_rested() -> None:
    """With 3 clear days asked, 4 and 1 clear days: whatever is planned, the judge lets pass."""
    limits = make_limits(
        shows_in_a_row=2, shows_per_30_days=3, no_jump_days=3, schools_before_show=0
    )
    days = ("2027-04-01", "2027-04-06", "2027-04-08")
    yard = yard_of(*(show_of(f"S{i}", on) for i, on in enumerate(days, 1)), limits=limits)
    most = plan_most(yard)
    assert [str(violation) for violation in find_violations(yard, most)] == []


def test_arcs_stand_in_the_order_of_the_walk() -> None:
    """Every arc leaves a node that all its own arcs have entered before."""
    graph = build_graph(make_random_yard(4), horse="Alder")
    assert all(tail < head for tail, head in zip(graph.tails, graph.heads, strict=True))
    assert all(a <= b for a, b in pairwise(graph.tails))
