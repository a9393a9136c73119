"""What a start counts for a horse: as written, else 10, else 10 to 20 by the horse's heights.

Bottom, top and tenths: the format of the folder, classes.csv; the rest is arithmetic by hand.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.build import make_class, make_horse, make_limits
from tripkit.yard.shows import count_worth

BY_CLASS = make_limits(class_worth="by class")


@pytest.mark.parametrize(
    ("height_cm", "worth"),
    [
        (110, "10"),
        (115, "12.5"),
        (130, "20"),
        (117, "13.5"),
        (105, "10"),
        (135, "20"),
    ],
)
def test_a_class_counts_by_where_it_stands_among_the_horses_heights(height_cm: int, worth: str):
    """110 to 130 cm: each centimetre is half a point; what lies beyond counts as the end does."""
    offered = make_class("C1", "2027-04-08", "S1", height_cm=height_cm)
    assert count_worth(make_horse(limits=BY_CLASS), offered) == Decimal(worth)
    assert count_worth(make_horse(), offered) == 10


@pytest.mark.parametrize(("height_cm", "worth"), [(111, "13.3"), (112, "16.7")])
def test_tenths_are_rounded(height_cm: int, worth: str):
    """One and two thirds of the way from 110 to 113 cm: 3.33 and 6.67 points."""
    horse = make_horse(to_height_cm=113, limits=BY_CLASS)
    offered = make_class("C1", "2027-04-08", "S1", height_cm=height_cm)
    assert count_worth(horse, offered) == Decimal(worth)


def test_half_a_tenth_is_rounded_up():
    """One of eight centimetres is 1.25 points."""
    horse = make_horse(to_height_cm=118, limits=BY_CLASS)
    assert count_worth(horse, make_class("C1", "2027-04-08", "S1", height_cm=111)) == Decimal(
        "11.3"
    )


def test_a_horse_of_one_height_has_ten():
    """Bottom and top are the same (handbook, Choices)."""
    horse = make_horse(to_height_cm=110, limits=BY_CLASS)
    assert count_worth(horse, make_class("C1", "2027-04-08", "S1", height_cm=110)) == 10


def test_what_is_written_holds():
    """A worth in classes.csv, nothing too, is what the yard says it is."""
    horse = make_horse(limits=BY_CLASS)
    for worth in (Decimal(0), Decimal(35)):
        offered = make_class("C1", "2027-04-08", "S1", height_cm=130, worth=worth)
        assert count_worth(horse, offered) == worth
