"""Brute force for the road: what the lorries do day by day, and what that comes to at least."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import product

from tests.brute.roads import HOME, Drive, Rest, Roads, Search, State, Trail
from tests.brute.schedules import Schedule

HORSES_PER_GROOM = 4

Spent = tuple[int, Trail]


@dataclass(frozen=True)
class Prices:
    """What the day-by-day search adds up, in whole units: per leg, per groom's and rider's day."""

    tenths: int = 0
    cents_per_km: Decimal = Decimal(0)
    groom_day: int = 0
    rider_day: int = 0
    overnight: int = 0
    stabling: int = 0


class LeastRoad(Search):
    """The search for a way to carry some horses, on to the cheapest."""

    def __init__(self, roads: Roads, going: tuple[Schedule, ...], prices: Prices) -> None:
        super().__init__(roads, going)
        self.prices = prices
        self.riders = [roads.book.yard.horse_by_name[own.horse].rider for own in going]
        self.least: dict[tuple[int, State], Spent | None] = {}

    def find_least(self) -> Spent | None:
        """From all at home to all at home: what it comes to, and the drives."""
        best: Spent | None = None
        for state, trail in self.list_starts() if self.going else ():
            best = _choose(best, self.count_drives(trail), trail, self._go_cheaply(0, state))
        return best if self.going else (0, ())

    def _go_cheaply(self, number: int, state: State) -> Spent | None:
        """The least from the morning of a day on which somebody may leave, to the end."""
        rests, stands = state
        if self.is_done(rests):
            home = max((rest.until or 0) + 1 for rest in rests)
            people = self._count_people(self._find_day(number), home, rests)
            return (people, ()) if all(stand.place == HOME for stand in stands) else None
        if number == len(self.days) or self.is_too_late(self.days[number], state):
            return None
        day = self.days[number]
        key = (day, self.forget(day, state))
        if key not in self.least:
            best: Spent | None = None
            for after, (spent, driven) in self._list_cheapest(day, key[1]).items():
                people = self._count_people(day, self._find_day(number + 1), after[0])
                best = _choose(best, spent + people, driven, self._go_cheaply(number + 1, after))
            self.least[key] = best
        return self.least[key]

    def _list_cheapest(self, day: int, morning: State) -> dict[State, Spent]:
        """Every way in which a day may end, each by its cheapest drives."""
        found: dict[State, Spent] = {morning: (0, ())}
        queue = [morning]
        for state in queue:
            spent, driven = found[state]
            for after, more in self.list_drives(day, state):
                total = spent + self.count_drives(more)
                if after not in found or total < found[after][0]:
                    found[after] = total, (*driven, *more)
                    queue.append(after)
        return found

    def count_drives(self, drives: Trail) -> int:
        """What some drives come to: the road, and the nights on the way."""
        return sum(self._count_drive(drive) for drive in drives)

    def _count_drive(self, drive: Drive) -> int:
        road = self.roads.book.yard.roads.find_drive(drive.start, drive.end)
        assert road is not None
        prices, nights = self.prices, len(drive.parts) - 1
        cents = int(Decimal(road.km) * prices.cents_per_km + Decimal("0.5"))
        beside = nights * (prices.overnight + len(drive.horses) * prices.stabling)
        return cents + beside + round(road.km * 10) * prices.tenths

    def _find_day(self, number: int) -> int:
        """A day on which somebody may leave, or the day after the last of them."""
        return self.days[number] if number < len(self.days) else self.days[-1] + 1

    def _count_people(self, first: int, end: int, rests: tuple[Rest, ...]) -> int:
        """One groom a place for four horses or part, each rider with a horse away, day by day."""
        if not (self.prices.groom_day or self.prices.rider_day):
            return 0
        return sum(self._count_day(day, rests) for day in range(first, end))

    def _count_day(self, day: int, rests: tuple[Rest, ...]) -> int:
        away = list(self._list_away(day, rests))
        places = [place for place, _ in away]
        riders = {rider for _, rider in away}
        grooms = self._count_grooms(day, places) if self.prices.groom_day else 0
        return grooms + len(riders) * self.prices.rider_day

    def _count_grooms(self, day: int, places: list[str]) -> int:
        """The cheapest way to send own grooms who are free, each to a place or none, and hire."""
        yard, own = self.roads.book.yard, self.prices.groom_day
        hired = yard.costs.hired_groom_day_cents
        hired = own if hired is None else hired
        on = date.fromordinal(day)
        free = [
            person.horses_per_groom
            for person in yard.people
            if person.role == "groom"
            and self.roads.book.is_free(person.person, day, day)
            and on.strftime("%A") not in person.days_off
        ]
        there = sorted(set(places))
        sums = []
        for sent in product((None, *there), repeat=len(free)):
            cents = sum(own for place in sent if place is not None)
            for place in there:
                held = sum(takes for takes, at in zip(free, sent, strict=True) if at == place)
                lacks = max(0, places.count(place) - held)
                cents += hired * -(-lacks // HORSES_PER_GROOM)
            sums.append(cents)
        return min(sums)

    def _list_away(self, day: int, rests: tuple[Rest, ...]) -> Iterator[tuple[str, str]]:
        """For which place, and with which rider, each horse is away on a day."""
        for rest, own, rider in zip(rests, self.going, self.riders, strict=True):
            if rest.moves:
                move = own.moves[rest.moves - 1]
                if move.end != HOME:
                    yield move.end, rider
                elif rest.until is not None and rest.until >= day:
                    yield move.start, rider


def _choose(best: Spent | None, spent: int, driven: Trail, rest: Spent | None) -> Spent | None:
    """The cheaper of what is known and of some drives with what comes after them."""
    if rest is None or (best is not None and best[0] <= spent + rest[0]):
        return best
    return spent + rest[0], (*driven, *rest[1])
