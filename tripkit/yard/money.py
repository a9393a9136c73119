"""Money in integer cents: read, split and written exactly."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from fractions import Fraction

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state

CENT = Decimal("0.01")
MOST = Decimal("1e15")
"""No amount of a yard is as large; far beyond it numbers lose their cents."""


def parse_cents(text: str) -> int:
    """An amount in currency units with up to two decimals becomes whole cents.

    Raises `BadValue` for anything else.

    >>> parse_cents("1234.5")
    123450
    """
    try:
        amount = Decimal(str(text).strip())
    except InvalidOperation:
        raise BadValue(state("values.not-amount-of-money", text=text)) from None
    if not amount.is_finite() or abs(amount) >= MOST or amount != amount.quantize(CENT):
        raise BadValue(state("values.not-amount-with-up-to", text=text))
    return int(amount * 100)


def round_cents(amount: Fraction | Decimal | float) -> int:
    """A number of cents with a fraction is rounded half up to whole cents.

    >>> round_cents(Decimal("10.5")), round_cents(Fraction(1, 3))
    (11, 0)
    """
    exact = Fraction(amount)
    whole = Decimal(exact.numerator) / Decimal(exact.denominator)
    return int(whole.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def split_cents(total_cents: int, shares: Sequence[Fraction | Decimal | int]) -> tuple[int, ...]:
    """Whole cents are split by shares so that the parts sum to the total exactly.

    Each part is its exact share cut to whole cents; the cents left over go to the largest
    remainders, earlier parts first. Raises `BadValue` for no shares, or none above zero.

    >>> split_cents(100, [1, 1, 1])
    (34, 33, 33)
    """
    exact = [Fraction(share) for share in shares]
    whole = sum(exact, Fraction(0))
    if not exact or whole <= 0 or min(exact) < 0:
        raise BadValue(state("values.shares-must-not-be-negative"))
    quotas = [Fraction(total_cents) * share / whole for share in exact]
    parts = [quota.numerator // quota.denominator for quota in quotas]
    order = sorted(range(len(parts)), key=lambda i: (parts[i] - quotas[i], i))
    for i in order[: total_cents - sum(parts)]:
        parts[i] += 1
    return tuple(parts)
