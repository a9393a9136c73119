"""One horse's ways through a season: on which days it may come and go, and what the way asks.

S1 is on 8 April unless a test says otherwise, its stables open from the 6th to the 9th, 2 h from
home. Limits are the handbook's usual ones: there a day before the first class, after 8 h of driving
a whole day of rest, 9 clear days between outings. All numbers are counted by hand.
"""

from __future__ import annotations

from datetime import date

import pytest

from tests.build import make_absence, make_class, make_horse, make_limits, make_show, make_yard
from tripkit.planning.places import Node, PlaceNet, build_place_nets
from tripkit.planning.problem import build_problem
from tripkit.planning.program import Attendance, Move, Step
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard

EVENING = 16 * 60 + 20
TEN = 10 * 60
DAY = 24 * 60


def show_on(show: str, on: str, place: str = "Millbrook") -> Show:
    """A show of one day with one class."""
    return make_show(show, on, on, place_key=place, classes=[make_class("C1", on, show)])


def build_net(yard: Yard) -> PlaceNet:
    """The ways of Dancer."""
    return build_place_nets(build_problem(yard))["Dancer"]


def yard_of(
    *shows: Show, hours: float = 2, absences: tuple[str, ...] = (), **limits: object
) -> Yard:
    """Dancer and its shows, each so many hours from home and from each other."""
    own = make_limits(**limits)
    keys = ["home", *dict.fromkeys(show.place_key for show in shows)]
    return make_yard(
        shows=shows,
        limits=own,
        horses=[make_horse(limits=own)],
        km={(a, b): hours * 70 for a in keys for b in keys if a < b or b == "home"},
        absences=[make_absence("Dancer", day) for day in absences],
    )


def list_steps(net: PlaceNet) -> list[tuple[Node, Node, Step]]:
    """The drives and visits of a net."""
    return [(tail, head, step) for tail, head, step in net.arcs if step is not None]


def list_coming(net: PlaceNet, show: str, start: str = "home") -> set[tuple[int, int]]:
    """Days of April on which it may be driven to a show, and the minute by which it is there."""
    return {
        (date.fromordinal(step.drives[0].depart).day, step.drives[-1].latest)
        for _, _, step in list_steps(net)
        if isinstance(step, Move)
        and step.comes is not None
        and step.comes.show == show
        and step.drives[0].start == start
    }


def list_going(net: PlaceNet, show: str) -> set[tuple[int, int]]:
    """Days of April on which it may be driven home, and the minute from which it may leave."""
    return {
        (date.fromordinal(step.drives[0].depart).day, step.drives[0].earliest)
        for _, _, step in list_steps(net)
        if isinstance(step, Move)
        and step.comes is None
        and step.leaves is not None
        and step.leaves.show == show
    }


def list_extras(net: PlaceNet, show: str, depart: int) -> set[int]:
    """The days that a drive on a day of April to a show takes from the recovery."""
    return {
        head[0].extra
        for _, head, step in list_steps(net)
        if isinstance(step, Move)
        and step.comes is not None
        and step.comes.show == show
        and date.fromordinal(step.drives[0].depart).day == depart
    }


@pytest.mark.parametrize(
    ("hours", "coming", "going"),
    [
        # There by the 7th; away on the evening of the 8th or on the 9th.
        (2, {(6, DAY), (7, DAY)}, {(8, EVENING), (9, 0)}),
        # 4 h 15 and a halt of half an hour from 16:30 on end at 21:15, and stables close at 21:00.
        (4.25, {(6, DAY), (7, DAY)}, {(9, 0)}),
        # After 8 h the 7th is a day of rest.
        (8, {(6, DAY)}, {(9, 0)}),
        # 11 h take two days: from the 5th to the 6th.
        (11, {(5, DAY)}, {(9, 0)}),
    ],
)
def test_a_horse_comes_and_goes_on_every_day_that_stables_and_rest_leave(
    hours: float, coming: set[tuple[int, int]], going: set[tuple[int, int]]
) -> None:
    """The stables open on the 6th and close on the 9th."""
    net = build_net(yard_of(show_on("S1", "2027-04-08"), hours=hours))
    assert (list_coming(net, "S1"), list_going(net, "S1")) == (coming, going)


@pytest.mark.parametrize(("hours", "same_day"), [(4, True), (4.25, False)])
def test_a_horse_that_need_not_come_before_comes_on_the_morning(
    hours: float, same_day: bool
) -> None:
    """From 5:30, the quarter after loading, 4 h end at 9:30; 4 h 15 and a halt at 10:15."""
    net = build_net(yard_of(show_on("S1", "2027-04-08"), hours=hours, arrive_days_before=0))
    assert ((8, TEN) in list_coming(net, "S1")) is same_day


@pytest.mark.parametrize(
    ("hours", "extra"),
    # A day on the road; it and a day of rest; two on the road and a day of rest.
    [(2, 0), (8, 1), (11, 2)],
)
def test_a_drive_takes_its_days_and_its_rest_less_one_from_the_recovery(
    hours: float, extra: int
) -> None:
    """Of 8 h and more a horse rests a day."""
    net = build_net(yard_of(show_on("S1", "2027-04-08"), hours=hours))
    assert net.extras == {"S1": {extra}}


def test_a_horse_that_leaves_again_the_next_day_rests_for_both_drives() -> None:
    """4 h home and 4 h out on the day after are 8: two days on the road and one of rest, less one.

    After a whole day at home the 4 h out count alone. With one clear day asked S2 follows on the
    12th; its stables are open from the 10th.
    """
    shows = show_on("S1", "2027-04-08"), show_on("S2", "2027-04-12", "Fairview")
    net = build_net(yard_of(*shows, hours=4, no_jump_days=1, schools_before_show=0))
    # Home on the evening of the 8th it had the 9th; home on the 9th it had no whole day.
    assert list_extras(net, "S2", 10) == {0, 2}
    assert list_extras(net, "S2", 11) == {0}


@pytest.mark.parametrize(
    ("on", "coming"), [("2027-04-10", {(8, DAY), (9, DAY)}), ("2027-04-09", set())]
)
def test_a_horse_goes_straight_on_where_recovery_leaves_it(
    on: str, coming: set[tuple[int, int]]
) -> None:
    """With one clear day asked, the 9th: that evening or the next day to S2, where it is the 10th.

    The stables of S2 open two days before its class.
    """
    shows = show_on("S1", "2027-04-08"), show_on("S2", on, "Fairview")
    net = build_net(yard_of(*shows, no_jump_days=1, schools_before_show=0))
    assert list_coming(net, "S2", "Millbrook") == coming


@pytest.mark.parametrize(("away", "stays"), [((), True), (("2027-04-16",), False)])
def test_a_horse_waits_at_a_place_for_its_next_show_unless_it_is_absent(
    away: tuple[str, ...], stays: bool
) -> None:
    """S1 on 1 April and S2 on 1 May are at one place."""
    shows = show_on("S1", "2027-04-01"), show_on("S2", "2027-05-01")
    net = build_net(yard_of(*shows, absences=away))
    there = [step for _, _, step in list_steps(net) if isinstance(step, Attendance)]
    assert {step.chance.show for step in there} == {"S1", "S2"}
    assert any(step.after is not None for step in there) is stays


@pytest.mark.parametrize("away", ["2027-04-07", "2027-04-08"])
def test_a_horse_that_is_absent_between_coming_and_going_goes_nowhere(away: str) -> None:
    """There by the 7th, it jumps on the 8th: no drive and no visit is left."""
    nets = build_place_nets(build_problem(yard_of(show_on("S1", "2027-04-08"), absences=(away,))))
    assert all(list_steps(net) == [] for net in nets.values())


def test_a_visit_begins_on_its_first_class_day_and_ends_on_the_evening_of_its_last() -> None:
    """Two moments a day: 8 April's morning, and the evening of the 10th."""
    classes = [make_class("C1", "2027-04-08"), make_class("C2", "2027-04-10")]
    net = build_net(yard_of(make_show("S1", "2027-04-08", "2027-04-10", classes=classes)))
    moments = {
        (tail[1], head[1])
        for tail, head, step in list_steps(net)
        if isinstance(step, Attendance) and step.window.first != step.window.last
    }
    first, last = date(2027, 4, 8).toordinal(), date(2027, 4, 10).toordinal()
    assert moments == {(2 * first, 2 * last + 1)}
