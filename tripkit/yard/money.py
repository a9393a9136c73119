"""Money in integer cents, rounded and split exactly."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state


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
