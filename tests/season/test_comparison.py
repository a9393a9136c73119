"""Two circuits side by side: every difference is right less left, worked out by hand."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from tests.build import (
    make_aim,
    make_class,
    make_entry,
    make_horse,
    make_lorry,
    make_rider,
    make_show,
    make_yard,
)
from tests.season.test_scorecard import drive, outing
from tripkit.season.comparison import compare, find_closing_dates
from tripkit.season.scorecard import finish_circuit
from tripkit.words.comparisons import write_verdict
from tripkit.yard.circuit import Circuit, Leg, Outing, Totals
from tripkit.yard.people import Share
from tripkit.yard.yard import CostRates, Yard

S1 = make_show("S1", "2027-04-07", entries_close="2027-03-20")
S2 = make_show("S2", "2027-04-21", place_key="Fairview", entries_close="2027-04-01")
S3 = make_show("S3", "2027-04-21", place_key="Oakdale")
D1 = outing("S1", "2027-04-07", "2027-04-08", "2027-04-10", "2027-04-11")
D2 = outing("S2", "2027-04-21", "2027-04-22", "2027-04-24", "2027-04-25")
D3 = outing("S3", "2027-04-21", "2027-04-22", "2027-04-22", "2027-04-25", classes=("C1",))
B1 = outing(
    "S1", "2027-04-07", "2027-04-08", "2027-04-08", "2027-04-11", horse="Bella", classes=("C1",)
)
B1_LONG = outing("S1", "2027-04-07", "2027-04-08", "2027-04-10", "2027-04-11", horse="Bella")


def make_two(**changes: object) -> Yard:
    """Bella (Olga and Max, halves) and Dancer (Olga), three shows, one rate of 1.00 a km."""
    fields: dict[str, object] = {
        "horses": [make_horse("Bella"), make_horse("Dancer")],
        "shares": [
            Share("Bella", "Olga", Fraction(1, 2)),
            Share("Bella", "Max", Fraction(1, 2)),
            Share("Dancer", "Olga"),
        ],
        "shows": [S1, S2, S3],
        "costs": CostRates(Decimal(100)),
        "vehicles": [make_lorry()],
        "people": [make_rider()],
        **changes,
    }
    return make_yard(**fields)  # type: ignore[arg-type]


def make_circuit(yard: Yard, name: str, outings: list[Outing], legs: list[Leg]) -> Circuit:
    """A whole circuit of these outings and legs."""
    return finish_circuit(yard, name, "alternative", "best in time", 1.0, 2.0, 0.1, outings, legs)


def trip(show: str, out: str, back: str, *horses: str, km: float, hours: float) -> list[Leg]:
    """There and back."""
    return [
        drive("home", show, out, *horses, km=km, hours=hours),
        drive(show, "home", back, *horses, km=km, hours=hours),
    ]


TO_S1 = trip("S1", "2027-04-07", "2027-04-11", "Bella", "Dancer", km=140.0, hours=2.0)
TO_S2 = trip("S2", "2027-04-21", "2027-04-25", "Dancer", km=100.0, hours=1.5)
TO_S3 = trip("S3", "2027-04-21", "2027-04-25", "Dancer", km=300.0, hours=4.25)


@pytest.fixture
def yard() -> Yard:
    """The yard of two horses."""
    return make_two()


@pytest.fixture
def left(yard: Yard) -> Circuit:
    """Both to S1 (Bella one class), Dancer to S2."""
    return make_circuit(yard, "A", [D1, D2, B1], [*TO_S1, *TO_S2])


@pytest.fixture
def right(yard: Yard) -> Circuit:
    """Both to S1 (Bella two classes), Dancer to S3 for one class."""
    return make_circuit(yard, "B", [D1, D3, B1_LONG], [*TO_S1, *TO_S3])


def test_totals_are_compared_right_less_left(yard: Yard, left: Circuit, right: Circuit) -> None:
    """Both are worth 5 classes; the right one drives 2 x 200 km more and costs 400.00 more.

    Left: classes 2 + 2 + 1, right 2 + 1 + 2. Road left 2 x 140 + 2 x 100 = 480 km, right 880.
    Fees 250.00 each, so 730.00 and 1130.00. Horse hours left 2 x 2 x 2 + 2 x 1.5 = 11, right
    8 + 8.5 = 16.5.
    """
    found = compare(yard, left, right)
    assert (found.worth.left, found.worth.right, found.worth.difference) == (50.0, 50.0, 0.0)
    assert (found.cost.left, found.cost.right, found.cost.difference) == (73000, 113000, 40000)
    assert (found.road_km.left, found.road_km.right) == (480.0, 880.0)
    assert found.horse_road_hours.difference == 5.5
    assert found.nights_away.difference == 0
    assert found.spare_days.left == found.spare_days.right == 2


def test_horses_are_compared_outing_by_outing(yard: Yard, left: Circuit, right: Circuit) -> None:
    """Dancer goes to S3 instead of S2, Bella jumps C2 besides at S1.

    Dancer left: 100.00 fees at S1, 140.00 road, 100.00 fees at S2, 200.00 road = 540.00; right:
    100 + 140 + 50 + 600 = 890.00. Bella: 50 + 140 = 190.00 and 100 + 140 = 240.00.
    """
    bella, dancer = compare(yard, left, right).horses
    assert ([o.show for o in dancer.only_left], [o.show for o in dancer.only_right]) == (
        ["S2"],
        ["S3"],
    )
    assert [pair.differs for pair in dancer.both] == [False]
    assert (dancer.cost.left, dancer.cost.right) == (54000, 89000)
    assert (dancer.road_hours.left, dancer.road_hours.right) == (7.0, 12.5)
    (pair,) = bella.both
    assert (pair.classes_only_left, pair.classes_only_right) == ((), ("C2",))
    assert pair.differs
    assert (bella.cost.left, bella.cost.right) == (19000, 24000)
    assert bella.spare_days.left is None


def test_owners_pay_their_shares(yard: Yard, left: Circuit, right: Circuit) -> None:
    """Olga pays half of Bella and all of Dancer: 95 + 540 and 120 + 890; Max 95 and 120."""
    owners = {o.owner: (o.cost.left, o.cost.right) for o in compare(yard, left, right).owners}
    assert owners == {"Olga": (63500, 101000), "Max": (9500, 12000)}
    found = compare(yard, left, right)
    assert sum(o.cost.difference for o in found.owners) == found.cost.difference


def test_riders_days_away(yard: Yard, left: Circuit) -> None:
    """Ana is away 5 + 5 days in the left circuit, 5 when only S1 is left: 5 less."""
    short = make_circuit(yard, "C", [D1, B1], TO_S1)
    (ana,) = compare(yard, left, short).riders
    assert (ana.days_away.left, ana.days_away.right, ana.days_away.difference) == (10, 5, -5)


def test_weeks_in_which_they_differ(yard: Yard, left: Circuit, right: Circuit) -> None:
    """Only the week of Monday 19 April differs, and only for Dancer."""
    (week,) = compare(yard, left, right).weeks
    assert week.first_day == date(2027, 4, 19)
    assert week.horses == (("Dancer", ("S2",), ("S3",)),)


def test_an_outing_over_a_weekend_differs_in_both_weeks() -> None:
    """Classes on Thursday 8 and Thursday 15 April: the weeks of the 5th and the 12th differ."""
    classes = [make_class("C1", "2027-04-08", "S4"), make_class("C2", "2027-04-15", "S4")]
    yard = make_two(shows=[make_show("S4", "2027-04-07", "2027-04-18", classes=classes)])
    long = outing("S4", "2027-04-07", "2027-04-08", "2027-04-15", "2027-04-16")
    found = compare(yard, make_circuit(yard, "A", [], []), make_circuit(yard, "B", [long], []))
    assert [(week.first_day, week.horses) for week in found.weeks] == [
        (date(2027, 4, 5), (("Dancer", (), ("S4",)),)),
        (date(2027, 4, 12), (("Dancer", (), ("S4",)),)),
    ]


def test_more_worth_for_less_money_has_no_price_a_point() -> None:
    """Two classes at S2 for 300.00 instead of one at S3 for 650.00: both are gains."""
    yard = make_two()
    found = compare(
        yard, make_circuit(yard, "A", [D3], TO_S3), make_circuit(yard, "B", [D2], TO_S2)
    )
    assert write_verdict(found)[:3] == (
        "B instead of A gains 10 of worth (20 instead of 10).",
        "B instead of A saves 350.00 USD (300.00 USD instead of 650.00 USD).",
        "The lorries drive 400.0 km less (200.0 km instead of 600.0 km).",
    )


def test_aims_met_by_one_of_them() -> None:
    """An aim at S2 is met on the left only, one at S3 on the right only."""
    yard = make_two(
        aims=[make_aim(show="S2"), make_aim(show="S3")],
    )
    found = compare(
        yard,
        make_circuit(yard, "A", [D1, D2], [*TO_S1, *TO_S2]),
        make_circuit(yard, "B", [D1, D3], [*TO_S1, *TO_S3]),
    )
    assert found.aims_only_left == ("Dancer at S2",)
    assert found.aims_only_right == ("Dancer at S3",)
    assert found.aims_both == ()
    # Both aims are worth 50; left jumps 4 classes of 10, right 3.
    assert found.worth.difference == -10.0


def test_a_lost_aim_says_what_lacks_where_the_horse_still_goes() -> None:
    """S1 prepares Dancer for S2; without it she goes to S2 all the same, only unprepared."""
    yard = make_two(aims=[make_aim(show="S2")])
    prepared = make_circuit(yard, "A", [D1, D2], [*TO_S1, *TO_S2])
    alone = make_circuit(yard, "B", [D2], TO_S2)
    verdict = write_verdict(compare(yard, prepared, alone))
    assert "B no longer meets Dancer at S2 (still goes, but unprepared)." in verdict
    assert "In B no horse has two outings, so there is no gap to count." in verdict
    assert "A also meets Dancer at S2." in write_verdict(compare(yard, alone, prepared))


def test_aims_have_commas_of_their_own_and_semicolons_between_them() -> None:
    """The class of an aim stands after a comma; the sentence before may be one about money."""
    yard = make_two()
    home = make_circuit(yard, "A", [], []), make_circuit(yard, "B", [], [])
    aims = ("Bella at S1, 1.25 Grand Prix", "Dancer at S2")
    compared = compare(yard, *home)
    assert write_verdict(replace(compared, aims_only_left=aims)) == (
        "B no longer meets Bella at S1, 1.25 Grand Prix; Dancer at S2.",
    )
    assert write_verdict(replace(compared, aims_only_right=aims)) == (
        "B also meets Bella at S1, 1.25 Grand Prix; Dancer at S2.",
    )


def test_two_circuits_without_an_outing_send_nobody() -> None:
    """Where no horse goes anywhere there is nothing to set side by side, and that is said."""
    yard = make_two()
    first, second = make_circuit(yard, "A", [], []), make_circuit(yard, "B", [], [])
    assert write_verdict(compare(yard, first, second)) == ("No horse goes anywhere in B or in A.",)


def test_closing_dates_ahead_are_those_of_unsent_entries() -> None:
    """Sent entries are not asked for again; the rest are sorted by date, no date last."""
    yard = make_two(entries=[make_entry("C1"), make_entry("C2", "wanted")])
    found = find_closing_dates(yard, [D3, D2, B1, D1])
    assert [(c.show, c.closes, c.late, c.entries) for c in found] == [
        ("S1", date(2027, 3, 20), False, (("Bella", "C1"), ("Dancer", "C2"))),
        ("S2", date(2027, 4, 1), False, (("Dancer", "C1"), ("Dancer", "C2"))),
        ("S3", None, False, (("Dancer", "C1"),)),
    ]


def test_late_entries_close_on_the_late_day_at_a_fee() -> None:
    """The day after closing two horses pay the late fee of 30.00 each until the late day."""
    show = make_show(
        "S1",
        "2027-04-07",
        entries_close="2027-03-20",
        late_entries_until="2027-03-31",
        late_fee_cents=3000,
    )
    yard = make_two(shows=[show, S2, S3], today="2027-03-21")
    (closing,) = find_closing_dates(yard, [D1, B1])
    assert (closing.closes, closing.late, closing.late_fee_cents) == (date(2027, 3, 31), True, 6000)


def test_the_verdict_says_what_is_gained_and_paid(
    yard: Yard, left: Circuit, right: Circuit
) -> None:
    """Each sentence carries the figures worked out in the tests above, nothing else is said."""
    assert write_verdict(compare(yard, left, right)) == (
        "B instead of A costs 400.00 USD more (1,130.00 USD instead of 730.00 USD).",
        "The lorries drive 400.0 km more (880.0 km instead of 480.0 km).",
        "The horses spend 5.5 hours more on the road (16.5 instead of 11).",
        "Bella at S1: also C2, for 50.00 USD more.",
        "Dancer goes to S3 instead of S2, for 350.00 USD more.",
        "Olga pays 375.00 USD more (1,010.00 USD instead of 635.00 USD).",
        "Max pays 25.00 USD more (120.00 USD instead of 95.00 USD).",
        "Horses show elsewhere in 1 of 14 weeks, first in the week of 2027-04-19.",
    )


def test_the_verdict_of_the_other_choice_is_its_mirror(
    yard: Yard, left: Circuit, right: Circuit
) -> None:
    """Choosing A instead of B saves what B costs more."""
    verdict = write_verdict(compare(yard, right, left))
    assert verdict[:3] == (
        "A instead of B saves 400.00 USD (730.00 USD instead of 1,130.00 USD).",
        "The lorries drive 400.0 km less (480.0 km instead of 880.0 km).",
        "The horses spend 5.5 hours less on the road (11 instead of 16.5).",
    )


def test_the_verdict_uses_the_yards_units_and_prices_worth() -> None:
    """In miles 200 km are 124.3; 20 of worth for 300.00 more are 15.00 a point.

    Left: both at S1, 3 classes, 150.00 + 280.00. Right: besides Dancer at S2, 2 classes for
    100.00 and 200 km for 200.00. 200 / 1.609344 = 124.27, 280 -> 173.98, 480 -> 298.26.
    """
    yard = make_two(units="miles")
    found = compare(
        yard,
        make_circuit(yard, "A", [D1, B1], TO_S1),
        make_circuit(yard, "B", [D1, B1, D2], [*TO_S1, *TO_S2]),
    )
    verdict = write_verdict(found)
    assert verdict[:5] == (
        "B instead of A gains 20 of worth (50 instead of 30).",
        "B instead of A costs 300.00 USD more (730.00 USD instead of 430.00 USD).",
        "Each point of worth costs 15.00 USD.",
        "The lorries drive 124.3 miles more (298.3 miles instead of 174.0 miles).",
        "The horses spend 3 hours more on the road (11 instead of 8).",
    )
    assert "The horses spend 4 nights more away (12 instead of 8)." in verdict
    assert (
        "The tightest gap between two outings has 2 spare days; in A no horse has two outings."
        in verdict
    )
    assert "Dancer also goes to S2, for 300.00 USD more." in verdict
    assert "Ana is away 5 days more (10 instead of 5)." in verdict


def test_two_equal_circuits_differ_in_nothing(yard: Yard, left: Circuit) -> None:
    """The verdict on a circuit and itself is one sentence."""
    found = compare(yard, left, left)
    assert not found.weeks
    assert not any(horse.differs for horse in found.horses)
    assert write_verdict(found) == (
        "A and A send the same horses to the same classes at the same cost: nothing is gained "
        "or paid.",
    )


def test_a_circuit_that_does_not_exist_is_said_so(yard: Yard, left: Circuit) -> None:
    """Without a plan on one side the verdict says so first."""
    none = Circuit("N", "most rest", "none exists", reasons=("the budget is too small",))
    assert write_verdict(compare(yard, left, none)) == ("N has no plan, so A stays.",)
    assert write_verdict(compare(yard, none, left))[:2] == (
        "N has no plan: it counts as staying at home.",
        "A instead of N gains 50 of worth (50 instead of 0).",
    )
    other = Circuit("M", "most worth", "none in time")
    assert write_verdict(compare(yard, none, other)) == ("M has no plan, and N has none either.",)


@pytest.mark.parametrize("units", ["km", "miles"])
@pytest.mark.parametrize(("left", "right"), [(27646.4, 23360.9), (23360.96, 27646.43)])
def test_a_difference_told_is_that_of_the_numbers_told(units, left, right):
    """Each sentence of the roads adds up as it stands, though its numbers are rounded."""
    both = [
        Circuit(
            name,
            "most worth",
            "proved best",
            totals=Totals(road_km=km, horse_road_hours=km / 49.37),
        )
        for name, km in (("Left", left), ("Right", right))
    ]
    told = write_verdict(replace(compare(make_yard(), *both), units=units))
    for start in ("The lorries drive", "The horses spend"):
        sentence = next(said for said in told if said.startswith(start))
        apart, after, before = (
            Decimal(number.replace(",", "")) for number in re.findall(r"[\d,]+(?:\.\d+)?", sentence)
        )
        assert apart == abs(after - before)
