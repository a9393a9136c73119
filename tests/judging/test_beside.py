"""Whether the judge finds that a paid class clashes with those that are kept, by its own count.

Days are those of the usual limits (common practice, no source): 9 clear days between outings with a
drive of 2 h, 28 days of fit-up, three outings in 30 days only where the last begins on the 30th.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.build import make_class, make_entry, make_horse, make_limits, make_rider, make_show
from tests.build import make_yard as build_yard
from tripkit.judging.case import Case
from tripkit.judging.grounds import BoundClass, find_grounds
from tripkit.judging.judge import find_violations
from tripkit.yard.circuit import Circuit, DroppedEntry
from tripkit.yard.facts import state
from tripkit.yard.yard import CostRates, Yard

WHY = state("planning.no-days")


def pay(*shows: tuple[str, str, str], **changes: Any) -> Yard:
    """Horses with a paid class of 50.00 at shows of one day: (horse, day, place)."""
    names = [f"S{i}" for i in range(len(shows))]
    return build_yard(
        shows=[
            make_show(name, on, on, place_key=place, classes=[make_class("C1", on, name)])
            for name, (_, on, place) in zip(names, shows, strict=True)
        ],
        entries=[
            make_entry(show=name, horse=horse)
            for name, (horse, _, _) in zip(names, shows, strict=True)
        ],
        **{"horses": [make_horse(), make_horse("Bella")], **changes},
    )


def drop(rule: str = "recovery", show: str = "S0", cents: int = 5000) -> Circuit:
    """A circuit in which the class of a show is dropped by a rule."""
    row = DroppedEntry("Dancer", show, "C1", WHY, cents, rule)
    return Circuit("A", "most worth", "proved best", dropped_entries=(row,))


def find_rules(yard: Yard, show: str = "S0") -> set[str]:
    """The rules by which the judge would let Dancer's class of a show go."""
    case = Case(yard, drop(show=show))
    offered = yard.show_by_name[show].classes[0]
    bound = BoundClass(case, yard.horse_by_name["Dancer"], yard.show_by_name[show], offered)
    return set(find_grounds(bound))


A, B = "Millbrook", "Fairview"


@pytest.mark.parametrize(
    ("other", "clashes"),
    [("2027-04-17", True), ("2027-04-18", False), ("2027-03-30", True), ("2027-03-29", False)],
)
def test_nine_clear_days_are_asked_before_and_after(other: str, clashes: bool) -> None:
    """From 8 April 9 clear days reach to the 18th, and from 29 March to the 8th."""
    yard = pay(("Dancer", "2027-04-08", A), ("Dancer", other, B))
    assert ("recovery" in find_rules(yard)) is clashes


def test_what_another_horse_keeps_is_no_rest_of_this_one() -> None:
    """Bella jumps on the same day."""
    yard = pay(("Dancer", "2027-04-08", A), ("Bella", "2027-04-08", A))
    assert "recovery" not in find_rules(yard)


def test_what_is_dropped_as_well_is_beside_nothing() -> None:
    """Two entries that clash with each other alone are not both dropped."""
    yard = pay(("Dancer", "2027-04-08", A), ("Dancer", "2027-04-14", B))
    both = (*drop().dropped_entries, *drop(show="S1").dropped_entries)
    circuit = Circuit("A", "most worth", "proved best", dropped_entries=both)
    locked = [v for v in find_violations(yard, circuit) if v.rule == "locked"]
    assert len(locked) == 2


@pytest.mark.parametrize(("third", "clashes"), [("2027-04-30", True), ("2027-05-01", False)])
def test_three_in_thirty_days(third: str, clashes: bool) -> None:
    """1 and 15 April and a third: 29 days after the first it is one too many."""
    yard = pay(("Dancer", "2027-04-01", A), ("Dancer", "2027-04-15", B), ("Dancer", third, A))
    assert ("cap" in find_rules(yard)) is clashes


@pytest.mark.parametrize(("last", "clashes"), [("2027-05-03", True), ("2027-05-04", False)])
def test_a_break_after_two_outings(last: str, clashes: bool) -> None:
    """1 and 12 April, then 21 clear days (14 and the week without jumping) from 13 April."""
    yard = pay(
        ("Dancer", "2027-04-01", A),
        ("Dancer", "2027-04-12", B),
        ("Dancer", last, A),
        limits=make_limits(outings_before_break=2),
    )
    assert ("break" in find_rules(yard)) is clashes


@pytest.mark.parametrize(("since", "clashes"), [("2027-03-12", True), ("2027-03-11", False)])
def test_a_horse_is_fit_after_four_weeks(since: str, clashes: bool) -> None:
    """28 days after 11 March is 8 April."""
    yard = pay(("Dancer", "2027-04-08", A), horses=[make_horse(in_work_from=since)])
    assert ("fit" in find_rules(yard)) is clashes


@pytest.mark.parametrize(
    ("place", "on", "clashes"),
    [(B, "2027-04-08", True), (B, "2027-04-12", False), (A, "2027-04-08", False)],
)
def test_a_rider_is_elsewhere(place: str, on: str, clashes: bool) -> None:
    """Both horses name Ana: at another place on the day, days later, or at the same place."""
    yard = pay(("Dancer", "2027-04-08", A), ("Bella", on, place))
    assert ("rider" in find_rules(yard)) is clashes


def test_a_rider_has_as_many_horses_as_the_row_says() -> None:
    """Ana rides one horse at a show, and keeps Bella at this one."""
    yard = pay(("Dancer", "2027-04-08", A), ("Bella", "2027-04-08", A), people=[make_rider()])
    show = yard.show_by_name["S0"]
    entries = [make_entry(show="S0"), make_entry(show="S0", horse="Bella")]
    for most, clashes in ((1, True), (2, False)):
        one = build_yard(
            shows=[show],
            entries=entries,
            horses=yard.horses,
            people=[make_rider(horses_per_show=most)],
        )
        assert ("rider" in find_rules(one)) is clashes


def test_a_budget_may_be_too_small_where_there_is_one() -> None:
    """The judge cannot say what a season without the entry would cost."""
    days = (("Dancer", "2027-04-08", A),)
    assert "budget" in find_rules(pay(*days, costs=CostRates(budget_cents=1)))
    assert "budget" not in find_rules(pay(*days))


@pytest.mark.parametrize(("on", "near"), [("2027-04-22", True), ("2027-04-23", False)])
def test_lorries_are_shared_with_what_is_near(on: str, near: bool) -> None:
    """Less than 14 clear days away."""
    yard = pay(("Dancer", "2027-04-08", A), ("Bella", on, B))
    assert ({"places", "one-place", "stabling", "driving"} <= find_rules(yard)) is near


@pytest.mark.parametrize(
    ("rule", "cents", "right"),
    [
        ("recovery", 5000, True),
        ("cap", 5000, False),
        ("window", 5000, False),
        ("recovery", 1, False),
    ],
)
def test_the_rule_and_the_loss_that_are_written_are_held_to(
    rule: str, cents: int, right: bool
) -> None:
    """5 clear days break `recovery` and nothing else; the entry costs its fee of 50.00."""
    yard = pay(("Dancer", "2027-04-08", A), ("Dancer", "2027-04-14", B))
    found = find_violations(yard, drop(rule, cents=cents))
    about = [v for v in found if v.rule == "locked" and v.show == "S0"]
    assert (about == []) is right
