"""Entries sent or paid that cannot all be kept: those go that lose least money, then least worth.

Losses are counted by hand: fees less what is given back until the day that the show names. Days
are those of the usual limits (common practice, no source): 9 clear days between two outings with a
drive of 2 h, three outings in 30 days only where the last begins 30 days after the first.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from tests.build import (
    day,
    make_class,
    make_entry,
    make_horse,
    make_limits,
    make_lorry,
    make_rider,
    make_show,
    make_yard,
    plan_most,
)
from tripkit.judging.judge import find_violations
from tripkit.planning.keeping import Clash, find_clashes
from tripkit.yard.circuit import Circuit
from tripkit.yard.shows import Show
from tripkit.yard.yard import CostRates, Yard


def show_on(name: str, on: str, place: str = "Millbrook", worth: int = 10, **changes: Any) -> Show:
    """A show of one day with one class, C1."""
    classes = [make_class("C1", on, name, worth=worth)]
    return make_show(name, on, on, place_key=place, classes=classes, **changes)


def pay(show: str, cents: int | None = None, horse: str = "Dancer") -> Any:
    """A paid entry in C1 of a show."""
    return make_entry(show=show, horse=horse, amount_cents=cents)


def plan_kept(yard: Yard) -> Circuit:
    """The circuit of most worth, in which the judge finds nothing."""
    circuit = plan_most(yard)
    assert circuit.status == "proved best"
    assert [str(violation) for violation in find_violations(yard, circuit)] == []
    return circuit


def list_dropped(circuit: Circuit) -> list[tuple[str, str, str, int]]:
    """Horse, show, rule and cents of each dropped entry."""
    return sorted((d.horse, d.show, d.rule, d.cents) for d in circuit.dropped_entries)


# The 8th and the 14th of April have 5 clear days between.
CLOSE = (show_on("S1", "2027-04-08"), show_on("S2", "2027-04-14", "Fairview"))
TWO_RIDERS = (make_rider(), make_rider("Ben"))


@pytest.mark.parametrize(
    ("paid", "dropped"),
    [((9000, 6000), ("S2", 6000)), ((6000, 9000), ("S1", 6000)), ((None, 5001), ("S1", 5000))],
)
def test_of_two_shows_too_close_the_cheaper_entry_goes(
    paid: tuple[int | None, int], dropped: tuple[str, int]
) -> None:
    """Recovery asks for 9 clear days; where no amount is written the fee of 50.00 counts."""
    yard = make_yard(shows=CLOSE, entries=[pay("S1", paid[0]), pay("S2", paid[1])])
    circuit = plan_kept(yard)
    show, cents = dropped
    assert list_dropped(circuit) == [("Dancer", show, "recovery", cents)]
    assert circuit.dropped_proved
    assert f"kept instead: Dancer at {'S1' if show == 'S2' else 'S2'}, C1" in str(
        circuit.dropped_entries[0].why
    )


@pytest.mark.parametrize(("worth", "dropped"), [((10, 9), "S2"), ((9, 10), "S1")])
def test_of_two_that_lose_the_same_the_one_worth_less_goes(
    worth: tuple[int, int], dropped: str
) -> None:
    """Both lose 50.00."""
    shows = [
        show_on("S1", "2027-04-08", worth=worth[0]),
        show_on("S2", "2027-04-14", "Fairview", worth=worth[1]),
    ]
    yard = make_yard(shows=shows, entries=[pay("S1"), pay("S2")])
    assert list_dropped(plan_kept(yard)) == [("Dancer", dropped, "recovery", 5000)]


@pytest.mark.parametrize(
    ("until", "share", "dropped"),
    [
        # Of 90.00 two thirds come back, 30.00 are lost: less than the 60.00 of S2.
        ("2027-03-01", Fraction(2, 3), ("S1", 3000)),
        # On the day itself it still comes back, the day after it does not.
        ("2027-02-28", Fraction(2, 3), ("S1", 3000)),
        ("2027-02-27", Fraction(2, 3), ("S2", 6000)),
        # Where no share is told all of it.
        ("2027-03-01", None, ("S1", 0)),
        # A tenth back leaves 81.00 lost.
        ("2027-03-01", Fraction(1, 10), ("S2", 6000)),
    ],
)
def test_what_is_given_back_is_not_lost(
    until: str, share: Fraction | None, dropped: tuple[str, int]
) -> None:
    """Today is 28 February: S1 of 90.00 gives back a share until a day, S2 of 60.00 nothing."""
    giving = show_on("S1", "2027-04-08", refund_until=day(until), refund_share=share)
    yard = make_yard(shows=[giving, CLOSE[1]], entries=[pay("S1", 9000), pay("S2", 6000)])
    show, cents = dropped
    assert list_dropped(plan_kept(yard)) == [("Dancer", show, "recovery", cents)]


def test_half_a_cent_is_given_back() -> None:
    """Half of 50.01 is 25.005: 25.01 come back, 25.00 are lost."""
    until = day("2027-03-01")
    giving = show_on("S1", "2027-04-08", refund_until=until, refund_share=Fraction(1, 2))
    assert giving.count_lost_cents(5001, until) == 2500
    assert giving.count_lost_cents(5001, day("2027-03-02")) == 5001


def test_a_horse_at_two_places() -> None:
    """On one day at two shows: no rest between them would help."""
    yard = make_yard(
        shows=[show_on("S1", "2027-04-08"), show_on("S2", "2027-04-08", "Fairview")],
        entries=[pay("S1"), pay("S2", 4000)],
    )
    assert list_dropped(plan_kept(yard)) == [("Dancer", "S2", "one-place", 4000)]


def test_a_rider_at_two_places() -> None:
    """Both horses name Ana; 700 km apart on one day one of them stays at home."""
    yard = make_yard(
        shows=[show_on("S1", "2027-04-08"), show_on("S2", "2027-04-08", "Fairview")],
        horses=[make_horse(), make_horse("Bella")],
        vehicles=[make_lorry("L1"), make_lorry("L2")],
        entries=[pay("S1"), pay("S2", 4000, "Bella")],
        km={("Millbrook", "Fairview"): 700},
    )
    assert list_dropped(plan_kept(yard)) == [("Bella", "S2", "rider", 4000)]


def test_more_horses_than_places() -> None:
    """Two horses and one place, 8 h away: the lorry cannot come twice in the stabling's days."""
    yard = make_yard(
        shows=[show_on("S1", "2027-04-08")],
        horses=[make_horse(), make_horse("Bella", rider="Ben")],
        people=TWO_RIDERS,
        vehicles=[make_lorry(places=1)],
        entries=[pay("S1"), pay("S1", 4000, "Bella")],
        km={("home", "Millbrook"): 560},
    )
    assert list_dropped(plan_kept(yard)) == [("Bella", "S1", "places", 4000)]


def test_three_outings_in_thirty_days() -> None:
    """1, 11 and 21 April: any two could be kept, the one that loses least goes."""
    days = ("2027-04-01", "2027-04-11", "2027-04-21")
    yard = make_yard(
        shows=[show_on(f"S{i}", on) for i, on in enumerate(days)],
        entries=[pay("S0", 7000), pay("S1", 5000), pay("S2", 6000)],
    )
    assert list_dropped(plan_kept(yard)) == [("Dancer", "S1", "cap", 5000)]
    (clash,) = find_clashes(yard)
    keys = tuple(("Dancer", f"S{i}", "C1") for i in range(3))
    assert clash == Clash(keys, ("cap",), (7000, 5000, 6000))


def test_one_in_the_middle_goes_instead_of_two_at_the_ends() -> None:
    """6 clear days on both sides of S2: dropping it loses 70.00, the two others 80.00."""
    days = ("2027-04-01", "2027-04-08", "2027-04-15")
    yard = make_yard(
        shows=[show_on(f"S{i}", on) for i, on in enumerate(days, 1)],
        entries=[pay("S1", 4000), pay("S2", 7000), pay("S3", 4000)],
        limits=make_limits(shows_per_30_days=3),
    )
    assert list_dropped(plan_kept(yard)) == [("Dancer", "S2", "recovery", 7000)]


def test_two_classes_on_one_day_of_a_show_too_close() -> None:
    """A horse that keeps a class of the 8th at S1 loses the one of the 10th for a show of the 18th.

    8 to 18 April are 9 clear days, 10 to 18 April are 7.
    """
    yard = make_yard(
        shows=[make_show(), show_on("S2", "2027-04-18", "Fairview")],
        entries=[make_entry("C1"), make_entry("C2", amount_cents=4000), pay("S2", 9000)],
    )
    circuit = plan_kept(yard)
    assert [(d.class_name, d.rule, d.cents) for d in circuit.dropped_entries] == [
        ("C2", "recovery", 4000)
    ]


def test_a_horse_not_fit_yet() -> None:
    """Back in work on 20 March it may show from 17 April (28 days): one entry alone is too much."""
    yard = make_yard(
        horses=[make_horse(in_work_from="2027-03-20")],
        shows=[show_on("S1", "2027-04-16"), show_on("S2", "2027-04-27")],
        entries=[pay("S1"), pay("S2")],
    )
    assert list_dropped(plan_kept(yard)) == [("Dancer", "S1", "fit", 5000)]


def test_a_budget_too_small_for_all() -> None:
    """Each outing costs at least its class; 1.00 pays for none."""
    yard = make_yard(shows=CLOSE[:1], entries=[pay("S1")], costs=CostRates(budget_cents=100))
    assert list_dropped(plan_kept(yard)) == [("Dancer", "S1", "budget", 5000)]


def test_where_all_can_be_kept_nothing_is_dropped_and_nothing_clashes() -> None:
    """8 and 18 April have 9 clear days between."""
    yard = make_yard(
        shows=[CLOSE[0], show_on("S2", "2027-04-18", "Fairview")], entries=[pay("S1"), pay("S2")]
    )
    circuit = plan_kept(yard)
    assert (circuit.dropped_entries, circuit.dropped_proved) == ((), True)
    assert find_clashes(yard) == ()


def test_entries_that_clash_are_named_in_the_smallest_sets() -> None:
    """Of three entries two clash, the third is of another horse: a pair, and what each loses."""
    yard = make_yard(
        shows=CLOSE,
        horses=[make_horse(), make_horse("Bella", rider="Ben")],
        people=TWO_RIDERS,
        entries=[pay("S1", 9000), pay("S2", 6000), pay("S1", 4000, "Bella")],
    )
    (clash,) = find_clashes(yard)
    keys = (("Dancer", "S1", "C1"), ("Dancer", "S2", "C1"))
    assert clash == Clash(keys, ("recovery",), (9000, 6000))
    assert str(clash.fact) == (
        "Dancer at S1, C1 (dropping it loses 90.00); Dancer at S2, C1 (dropping it loses 60.00): "
        "days of rest between outings"
    )
