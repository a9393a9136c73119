"""Who looks after the horses that are away: own grooms and those on hire, for the least money."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import lru_cache
from itertools import product

from tripkit.yard.people import HORSES_PER_GROOM
from tripkit.yard.yard import Yard

Standing = tuple[tuple[int, int], ...]


def list_free_grooms(yard: Yard, day: date) -> tuple[int, ...]:
    """How many horses each of the yard's own grooms takes who is free on a day, the most first."""
    free = (takes for name, takes in yard.grooms.items() if not yard.is_absent(name, day))
    return tuple(sorted(free, reverse=True))


def price_grooms(yard: Yard, day: date, horses: Sequence[int]) -> tuple[int, ...]:
    """What grooms cost on a day at each of some places, by the horses there [cents]."""
    rates = yard.costs.groom_day_cents, yard.costs.stand_in_day_cents
    standing = place_grooms(tuple(horses), list_free_grooms(yard, day), *rates)
    return tuple(own * rates[0] + hired * rates[1] for own, hired in standing)


@lru_cache(maxsize=4096)
def place_grooms(
    horses: tuple[int, ...], free: tuple[int, ...], own_cents: int, hired_cents: int
) -> Standing:
    """How many own grooms and how many on hire stand at each place of a day, for the least money.

    `horses` are those at each place, `free` what each own groom takes who is free. Of what costs
    the same, as few as can be are on hire; then the first places have the own ones.

    >>> place_grooms((5, 2), (4, 4), 9000, 12000)
    ((2, 0), (0, 1))
    >>> place_grooms((5, 2), (6, 4), 9000, 12000)
    ((1, 0), (1, 0))
    >>> place_grooms((5,), (2,), 9000, 9000)
    ((1, 1),)
    >>> place_grooms((5,), (2,), 9000, 4000)
    ((0, 2),)
    """
    if not horses:
        return ()
    kinds = sorted(set(free), reverse=True)
    most = [range(min(free.count(takes), -(-horses[0] // takes)) + 1) for takes in kinds]
    found: list[tuple[int, int, tuple[int, ...], Standing]] = []
    for taken in product(*most):
        held = sum(count * takes for count, takes in zip(taken, kinds, strict=True))
        hired = -(-max(0, horses[0] - held) // HORSES_PER_GROOM)
        left = tuple(
            takes
            for takes, count in zip(kinds, taken, strict=True)
            for _ in range(free.count(takes) - count)
        )
        rest = place_grooms(horses[1:], left, own_cents, hired_cents)
        standing = ((sum(taken), hired), *rest)
        cents = sum(own * own_cents + more * hired_cents for own, more in standing)
        order = tuple(-count for count in taken)
        found.append((cents, sum(more for _, more in standing), order, standing))
    return min(found)[3]
