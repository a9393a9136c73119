"""Money in whole cents: what is split sums to the whole, and every part is nearest to its share.

Shares by largest remainder (the method of Hamilton, or Hare and Niemeyer): each part is cut to
whole cents, and the cents left over go to the largest remainders. Worked out by hand.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tripkit.yard.errors import BadValue
from tripkit.yard.money import round_cents, split_cents

THIRD, HALF, SIXTH = Fraction(1, 3), Fraction(1, 2), Fraction(1, 6)


@pytest.mark.parametrize(
    ("total", "shares", "parts"),
    [
        # 3.33, 5 and 1.67: the cent left over is the last one's.
        (10, (THIRD, HALF, SIXTH), (3, 5, 2)),
        # 20.2, 30.3 and 50.5.
        (101, (Decimal("0.2"), Decimal("0.3"), Decimal("0.5")), (20, 30, 51)),
        # 2.5 each: of equal remainders the earlier part has the cent.
        (5, (1, 1), (3, 2)),
        # 1.25, 2.5 and 1.25: one cent left over, the largest remainder is the second's.
        (5, (1, 2, 1), (1, 3, 1)),
        # 0.67, 0.67 and 0.67: two cents are left over.
        (2, (1, 1, 1), (1, 1, 0)),
        (7, (0, 1), (0, 7)),
        (0, (1, 1), (0, 0)),
    ],
)
def test_cents_left_over_go_to_the_largest_remainders(
    total: int, shares: tuple[Fraction | Decimal | int, ...], parts: tuple[int, ...]
) -> None:
    """Wherever among the parts they stand; of equal ones the earlier has it."""
    assert split_cents(total, shares) == parts


@given(
    total=st.integers(-(10**6), 10**9),
    shares=st.lists(st.fractions(0, 3, max_denominator=50), min_size=1, max_size=6).filter(sum),
)
def test_every_part_is_less_than_a_cent_off_its_share(total: int, shares: list[Fraction]) -> None:
    """And they sum to the whole."""
    parts = split_cents(total, shares)
    assert sum(parts) == total
    for part, share in zip(parts, shares, strict=True):
        assert abs(part - total * share / sum(shares)) < 1


@pytest.mark.parametrize("shares", [(), (0,), (0, 0), (2, -1)])
def test_shares_of_nothing_split_nothing(shares: tuple[int, ...]) -> None:
    """No share at all, none above zero, or one below zero is refused."""
    with pytest.raises(BadValue):
        split_cents(100, shares)


@pytest.mark.parametrize(
    ("exact", "cents"),
    [("10.4999", 10), ("10.5", 11), ("11.5", 12), ("0", 0), ("-0.4", 0)],
)
def test_half_a_cent_is_rounded_up(exact: str, cents: int) -> None:
    """Commercial rounding, also where the banker's would go to the even cent."""
    assert round_cents(Decimal(exact)) == cents
