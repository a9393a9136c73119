"""Where no horse can go anywhere there is one circuit without a plan, and its reasons.

The words are the published format's: nobody can go anywhere, one circuit with its reasons.
"""

from __future__ import annotations

from tests.build import (
    make_absence,
    make_class,
    make_entry,
    make_horse,
    make_show,
    make_yard,
)
from tripkit.judging.judge import find_violations
from tripkit.planning import plan
from tripkit.planning.problem import build_problem
from tripkit.planning.standstill import list_bars
from tripkit.yard.yard import CostRates, Yard


def list_reasons(yard: Yard) -> list[str]:
    """The reasons of the one circuit, which says that none exists and in which nothing stands."""
    (circuit,) = plan(yard)
    assert (circuit.status, circuit.objective, circuit.bound) == ("none exists", None, None)
    assert find_violations(yard, circuit) == ()
    return [str(reason) for reason in circuit.reasons]


TALL = make_horse(from_height_cm=150, to_height_cm=160)


def test_a_yard_without_a_lorry() -> None:
    """One thing that all lack is said alone."""
    assert list_reasons(make_yard(vehicles=[])) == ["the yard has no lorry (vehicles.csv)"]


def test_a_yard_without_a_rider() -> None:
    """Nobody rides: nobody goes."""
    yard = make_yard(people=[], horses=[make_horse(rider="")])
    assert list_reasons(yard) == ["the yard has no rider (people.csv)"]


def test_no_class_of_a_fitting_height() -> None:
    """A horse of 150 cm at the least where the classes have 120 and 125 cm."""
    assert list_reasons(make_yard(horses=[TALL])) == ["no class of a fitting height"]


def test_what_bars_most_pairs_comes_first() -> None:
    """Two horses too tall, one that is away: two of three pairs, one of three."""
    yard = make_yard(
        horses=[TALL, make_horse("Elder", from_height_cm=150, to_height_cm=160), make_horse("Fay")],
        absences=[make_absence("Fay", "2027-03-01", "2027-06-06")],
    )
    assert list_reasons(yard) == [
        "no class of a fitting height (2 of 3 pairs of a horse and a show)",
        "a day lies outside the season, or somebody is absent (1 of 3 pairs of a horse and a show)",
    ]


def test_a_show_that_is_past() -> None:
    """On 1 May every show of April is over."""
    assert list_reasons(make_yard(today="2027-05-01")) == ["every show is past"]


def test_a_rule_of_the_season_that_keeps_all_at_home() -> None:
    """No place at the only show: without `places` somebody could go."""
    yard = make_yard(shows=[make_show(places_left=0)])
    assert list_reasons(yard) == ["places: without this rule a circuit would fit"]


def test_a_budget_that_pays_for_nothing() -> None:
    """With 0.01 to spend nobody goes."""
    yard = make_yard(costs=CostRates(budget_cents=1))
    assert list_reasons(yard) == ["budget: without this rule a circuit would fit"]


def test_classes_that_are_worth_nothing_keep_nobody_at_home() -> None:
    """A season in which going brings nothing is planned: who stays at home is right."""
    show = make_show(classes=[make_class(worth=0)])
    assert plan(make_yard(shows=[show]), keep=1)[0].status == "proved best"


def test_an_entry_that_is_lost_is_something_to_do() -> None:
    """Paid, and no lorry: the circuit says what is dropped."""
    yard = make_yard(vehicles=[], entries=[make_entry("C1", status="paid")])
    (circuit, *_) = plan(yard)
    assert circuit.exists
    assert [entry.class_name for entry in circuit.dropped_entries] == ["C1"]


def test_bars_of_a_problem() -> None:
    """Entries that are closed bar the one pair there is."""
    yard = make_yard(shows=[make_show(entries_close="2027-02-01")])
    assert [str(bar) for bar in list_bars(build_problem(yard))] == [
        "entries are closed, or the classes are past"
    ]
