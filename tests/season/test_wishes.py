"""Wishes: a value that changes what the planner is given, and a planner that keeps them."""

from __future__ import annotations

import pytest

from tests.build import (
    make_class,
    make_entry,
    make_horse,
    make_rider,
    make_show,
    make_yard,
    plan_most,
    span,
)
from tests.patience import PATIENCE_SECONDS
from tripkit.season.wishes import Wishes, apply_wishes
from tripkit.yard.errors import BadValue


def make_choice():
    """Two shows of the same days at different places: a horse can go to one of them only."""
    return make_yard(
        today="2027-03-01",
        shows=[
            make_show("S1"),
            make_show(
                "S2",
                place_key="Fairview",
                classes=(make_class("D1", "2027-04-08", "S2", worth=2),),
            ),
        ],
    )


def list_outings(yard, **options):
    circuit = plan_most(yard, seconds=PATIENCE_SECONDS, **options)
    return [(outing.horse, outing.show) for outing in circuit.outings]


def test_without_wishes_the_yard_is_the_same():
    """No wish, no copy."""
    yard = make_choice()
    assert apply_wishes(yard, Wishes()) is yard
    assert not Wishes()


def test_the_planner_goes_where_it_is_wished():
    """S1 is worth 20 (two classes of 10), S2 is worth 2: the planner takes S1 until S2 is held."""
    yard = make_choice()
    assert list_outings(yard) == [("Dancer", "S1")]
    held = apply_wishes(yard, Wishes().hold("Dancer", "S2"))
    assert list_outings(held) == [("Dancer", "S2")]


def test_the_planner_keeps_away_from_what_is_forbidden():
    """With S1 forbidden S2 is left; with both nothing is."""
    yard = make_choice()
    wishes = Wishes().forbid("Dancer", "S1")
    assert list_outings(apply_wishes(yard, wishes)) == [("Dancer", "S2")]
    assert list_outings(apply_wishes(yard, wishes.forbid("Dancer", "S2"))) == []


def test_a_held_outing_stays_when_one_tour_is_asked_for():
    """A tour keeps new entries from other tours; what is held goes all the same."""
    yard = make_yard(
        today="2027-03-01",
        shows=[
            make_show("S1", tour="East"),
            make_show("S2", "2027-05-05", place_key="Fairview", tour="West"),
        ],
    )
    assert list_outings(yard, tour="East") == [("Dancer", "S1")]
    held = apply_wishes(yard, Wishes().hold("Dancer", "S2"))
    assert list_outings(held, tour="East") == [("Dancer", "S1"), ("Dancer", "S2")]


def test_a_horse_taken_out_stays_at_home():
    """Away over the days of both shows: no outing is left."""
    yard = make_choice()
    wishes = Wishes().take_out("Dancer", span("2027-04-01", "2027-04-20"))
    assert list_outings(apply_wishes(yard, wishes)) == []


def test_entries_sent_hold_against_a_wish():
    """A class that is sent is not scratched; the other classes of the show are."""
    yard = make_yard(today="2027-03-01", entries=[make_entry("C1", "sent")])
    changed = apply_wishes(yard, Wishes().forbid("Dancer", "S1"))
    assert ("Dancer", "S1", "C1") in changed.bound_entries
    assert changed.scratched_entries == {("Dancer", "S1", "C2")}


def test_a_wish_overrules_a_row_that_binds_nothing():
    """`wanted` binds nothing (handbook, Files): forbidding makes it scratched."""
    yard = make_yard(today="2027-03-01", entries=[make_entry("C1", "wanted", date="2027-02-20")])
    changed = apply_wishes(yard, Wishes().forbid("Dancer", "S1"))
    assert changed.scratched_entries == {("Dancer", "S1", "C1"), ("Dancer", "S1", "C2")}


def test_numbers_reach_the_yard_and_every_horse():
    """Budget and outings in 30 days, also in the horses' own limits."""
    yard = make_yard(horses=[make_horse(), make_horse("Bella")])
    changed = apply_wishes(yard, Wishes().ask_numbers(1_000_000, 1))
    assert changed.costs.budget_cents == 1_000_000
    assert {h.limits.shows_per_30_days for h in changed.horses} == {1}
    assert changed.limits.shows_per_30_days == 1
    assert yard.costs.budget_cents is None


def test_the_last_wish_about_an_outing_holds():
    """What is forbidden is no longer held, and the other way round; twice is once."""
    wishes = Wishes().hold("Dancer", "S1").hold("Dancer", "S1").forbid("Dancer", "S1")
    assert (wishes.held, wishes.forbidden) == ((), (("Dancer", "S1"),))
    assert wishes.hold("Dancer", "S1") == Wishes(held=(("Dancer", "S1"),))


@pytest.mark.parametrize(
    ("kind", "number"),
    [
        ("held", 0),
        ("forbidden", 0),
        ("absences", 0),
        ("budget_cents", 0),
        ("shows_per_30_days", 0),
        ("tour", 0),
    ],
)
def test_every_wish_can_be_taken_back(kind, number):
    """After each removal that field is as empty as it was, and the others are not touched."""
    wishes = (
        Wishes()
        .hold("Dancer", "S1")
        .forbid("Dancer", "S2")
        .take_out("Ana", span("2027-04-01"))
        .ask_numbers(5, 2)
        .ask_tour("East")
    )
    less = wishes.remove(kind, number)
    assert getattr(less, kind) == getattr(Wishes(), kind)
    assert less != wishes


@pytest.mark.parametrize(
    ("wishes", "said"),
    [
        (Wishes().hold("Nobody", "S1"), "'Nobody' is no horse"),
        (Wishes().forbid("Dancer", "S9"), "'S9' is no show"),
        (Wishes().take_out("Nobody", span("2027-04-01")), "'Nobody' is no horse, person or"),
        (Wishes().ask_tour("Moon"), "'Moon' is no tour"),
        (Wishes().ask_numbers(None, 0), "shows_per_30_days 0 must be at least 1"),
    ],
)
def test_what_the_yard_has_not_cannot_be_wished(wishes, said):
    """The reason names what is unknown."""
    with pytest.raises(BadValue, match=said):
        apply_wishes(make_yard(people=[make_rider()]), wishes)
