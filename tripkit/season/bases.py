"""Nights at a base: where a horse sleeps that has come to a town in which the yard rents boxes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from itertools import pairwise

from tripkit.yard.bases import Base
from tripkit.yard.circuit import Circuit, Leg, Outing
from tripkit.yard.days import ONE_DAY, DaySpan, add_days
from tripkit.yard.yard import Yard


def find_base_nights(
    yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg]
) -> Mapping[date, Base]:
    """Each night of a horse at a base, by the day before it; it is given its own outings and legs.

    Where a base is in a show's town, a horse is on the grounds from `arrive` to `leave` and at the
    base on the other nights. One that lives there comes on the day of its first class and leaves on
    that of its last: it sleeps in its box. The last stay ends with the season.
    """
    found: dict[date, Base] = {}
    # No drive follows the last one.
    for leg, later in pairwise([*legs, None]) if yard.bases else ():
        assert leg is not None
        base = yard.base_at.get(yard.place_key_of(leg.end))
        if base is None:
            continue
        first = leg.days.last
        until = yard.season.last if later is None else add_days(later.days.first, -1)
        grounds = _find_nights_on_grounds(yard, base, leg, outings, until)
        if first <= until:
            found.update((day, base) for day in DaySpan(first, until) if day not in grounds)
    return found


def list_base_stays(yard: Yard, circuit: Circuit, horse: str) -> tuple[tuple[Base, DaySpan], ...]:
    """The stays of a horse at a base, by the nights in a row that it has its box there."""
    legs = sorted((leg for leg in circuit.legs if horse in leg.horses), key=lambda g: g.depart)
    nights = find_base_nights(yard, circuit.outings_by_horse.get(horse, ()), legs)
    found: list[tuple[Base, DaySpan]] = []
    for day, base in sorted(nights.items()):
        if found and found[-1][0] is base and found[-1][1].end == day:
            found[-1] = (base, DaySpan(found[-1][1].first, day))
        else:
            found.append((base, DaySpan(day, day)))
    return tuple(found)


def _find_nights_on_grounds(
    yard: Yard, base: Base, leg: Leg, outings: Sequence[Outing], until: date
) -> set[date]:
    found: set[date] = set()
    # The day on which it stands in the stables of a show already: it came to one, or moves on.
    stands = leg.days.last if leg.end != base.base else None
    for outing in outings:
        here = yard.place_key_of(outing.show) == base.place_key
        if not here or not leg.days.last <= outing.first_day <= until + ONE_DAY:
            continue
        nights = list_nights(outing)
        lives = (outing.arrive, outing.leave) == (outing.first_day, outing.last_day)
        if not (lives and outing.arrive != stands and all(map(base.has_night, nights))):
            found.update(nights)
            stands = outing.leave
    return found


def list_nights(outing: Outing) -> tuple[date, ...]:
    """The nights from coming to the grounds to leaving them, each by the day before it."""
    if outing.leave <= outing.arrive:
        return ()
    return tuple(DaySpan(outing.arrive, add_days(outing.leave, -1)))


def count_nights_on_grounds(
    yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg]
) -> Mapping[tuple[str, str], int]:
    """How many nights each outing (horse, show) sleeps on the grounds; those at a base are none."""
    ways = sorted(legs, key=lambda leg: (leg.depart, leg.vehicle)) if yard.bases else []
    found: dict[tuple[str, str], int] = {}
    for horse in dict.fromkeys(outing.horse for outing in outings):
        own = sorted((o for o in outings if o.horse == horse), key=lambda o: o.first_day)
        at_base = find_base_nights(yard, own, [leg for leg in ways if horse in leg.horses])
        for outing in own:
            nights = [night for night in list_nights(outing) if night not in at_base]
            found[horse, outing.show] = len(nights)
    return found
