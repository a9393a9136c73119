"""Brute force for the road: what the lorries do day by day, and what that comes to at least."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from itertools import combinations
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.planning.oracle import Itinerary, Oracle

HOME = "home"
EMPTY_HOURS = 2.0


@dataclass(frozen=True)
class Way:
    """One drive: tenths of a kilometre, hours, calendar days, whole days of rest after it."""

    tenths: int
    hours: float
    days: int
    rest: int


@dataclass(frozen=True)
class Move:
    """One drive of a horse, and the days on which it may begin."""

    start: str
    end: str
    departs: tuple[int, ...]


@dataclass(frozen=True)
class Prices:
    """What the day-by-day search adds up, in whole units: per leg, per groom's and rider's day."""

    tenths: int = 0
    cents_per_km: Decimal = Decimal(0)
    groom_day: int = 0
    rider_day: int = 0
    overnight: int = 0
    stabling: int = 0


class Road:
    """The lorries day by day: what each does, and what it comes to at least.

    A horse is (moves begun, day of arrival while that still matters); a lorry is (place, first
    day on which it may leave).
    """

    def __init__(self, oracle: Oracle, going: Sequence[Itinerary], prices: Prices) -> None:
        self.oracle, self.going, self.prices = oracle, going, prices
        self.moves = [i.moves for i in going]
        self.riders = [oracle.yard.horse_by_name[i.horse].rider for i in going]
        self.lorries = oracle.yard.vehicles
        departs = [day for moves in self.moves for move in moves for day in move.departs]
        self.begin, self.end = max(oracle.first, min(departs) - 4), max(departs) + 8
        self.loads: dict[str, set[int]] = {}
        self.unloads: dict[str, set[int]] = {}
        for moves in self.moves:
            for move in moves:
                way = oracle.find_way(move.start, move.end)
                assert way is not None
                self.loads.setdefault(move.start, set()).update(move.departs)
                self.unloads.setdefault(move.end, set()).update(
                    day + way.days - 1 for day in move.departs
                )
        self.places = sorted({m.end for moves in self.moves for m in moves} - {HOME})
        self.step = lru_cache(maxsize=None)(self._step)

    def find_least(self) -> int | None:
        """From all at home to all at home."""
        horses = tuple((0, 0) for _ in self.going)
        lorries = tuple((HOME, 0) for _ in self.lorries)
        return self.step(self.begin, horses, lorries)

    def _step(
        self,
        day: int,
        horses: tuple[tuple[int, int], ...],
        lorries: tuple[tuple[str, int], ...],
    ) -> int | None:
        done = all(k == len(moves) for (k, _), moves in zip(horses, self.moves, strict=True))
        if done and all(place == HOME for place, _ in lorries):
            away = any(arrive >= day for _, arrive in horses)
            if not away:
                return 0
        if day > self.end:
            return None
        for (k, _), moves in zip(horses, self.moves, strict=True):
            if k < len(moves) and moves[k].departs[-1] < day:
                return None
        best: int | None = None
        for spent, after, standing in self._choose(day, 0, horses, lorries):
            rest = self.step(
                day + 1,
                tuple((k, arrive if arrive >= day else 0) for k, arrive in after),
                tuple((place, ready if ready > day + 1 else 0) for place, ready in standing),
            )
            if rest is None:
                continue
            total = spent + self._count_people(day, after) + rest
            if best is None or total < best:
                best = total
                if self.prices == Prices():
                    return best
        return best

    def _choose(
        self,
        day: int,
        number: int,
        horses: tuple[tuple[int, int], ...],
        lorries: tuple[tuple[str, int], ...],
    ) -> Iterator[tuple[int, tuple[tuple[int, int], ...], tuple[tuple[str, int], ...]]]:
        """What the lorries from one number on may do today."""
        if number == len(lorries):
            yield 0, horses, lorries
            return
        place, ready = lorries[number]
        for end, load in self._list_runs(day, number, place, ready, horses):
            if end is None:
                yield from self._choose(day, number + 1, horses, lorries)
                continue
            way = self.oracle.find_way(place, end)
            assert way is not None
            arrive = day + way.days - 1
            after = tuple(
                (k + 1, arrive) if i in load else (k, since) for i, (k, since) in enumerate(horses)
            )
            moved = (*lorries[:number], (end, arrive + 1), *lorries[number + 1 :])
            cents = self._count_leg(way, len(load))
            for spent, others, standing in self._choose(day, number + 1, after, moved):
                yield spent + cents, others, standing

    def _list_runs(
        self,
        day: int,
        number: int,
        place: str,
        ready: int,
        horses: tuple[tuple[int, int], ...],
    ) -> list[tuple[str | None, tuple[int, ...]]]:
        """A lorry loads, goes empty, or waits; at home only while it is absent."""
        runs: list[tuple[str | None, tuple[int, ...]]] = []
        if ready <= day:
            by_end: dict[str, list[int]] = {}
            for i, (k, since) in enumerate(horses):
                if k == len(self.moves[i]):
                    continue
                move = self.moves[i][k]
                rested = place != HOME or since == 0 or day >= since + 2
                if move.start == place and day in move.departs and rested and since < day:
                    by_end.setdefault(move.end, []).append(i)
            for end, waiting in by_end.items():
                if self._is_free(number, place, end, day):
                    most = min(len(waiting), self.lorries[number].places)
                    for size in range(most, 0, -1):
                        runs += [(end, load) for load in combinations(waiting, size)]
            runs += [
                (end, ())
                for end in self._list_empty(day, place)
                if self._is_free(number, place, end, day)
            ]
        name = self.lorries[number].vehicle
        if place == HOME or ready > day or self.oracle.is_free(name, day, day):
            runs.append((None, ()))
        return runs

    def _is_free(self, number: int, place: str, end: str, day: int) -> bool:
        way = self.oracle.find_way(place, end)
        assert way is not None
        arrive = day + way.days - 1
        name = self.lorries[number].vehicle
        return arrive <= self.oracle.last and self.oracle.is_free(name, day, arrive)

    def _list_empty(self, day: int, place: str) -> list[str]:
        oracle = self.oracle
        if not oracle.strict:
            return [end for end in (HOME, *self.places) if oracle.find_way(place, end)]
        if place != HOME:
            fits = self._may_go_empty(place) and day - 1 in self.unloads.get(place, ())
            return [HOME] if fits else []
        found = []
        for end in self.places:
            way = oracle.find_way(HOME, end)
            if way and self._may_go_empty(end) and day + way.days in self.loads.get(end, ()):
                found.append(end)
        return found

    def _may_go_empty(self, place: str) -> bool:
        way = self.oracle.find_way(HOME, place)
        shows = {o.show for o in self.oracle.options if o.place == place}
        return len(shows) > 1 or (way is not None and way.hours <= EMPTY_HOURS)

    def _count_leg(self, way: Way, aboard: int) -> int:
        rate = self.prices.cents_per_km
        road = int(Decimal(way.tenths) / 10 * rate + Decimal("0.5"))
        nights = way.days - 1
        beside = nights * (self.prices.overnight + aboard * self.prices.stabling)
        return road + beside + way.tenths * self.prices.tenths

    def _count_people(self, day: int, horses: tuple[tuple[int, int], ...]) -> int:
        """One groom a place for four horses or part; each rider with a horse away."""
        if not (self.prices.groom_day or self.prices.rider_day):
            return 0
        at: dict[str, int] = {}
        riders: set[str] = set()
        for i, (k, arrive) in enumerate(horses):
            if k == 0:
                continue
            move = self.moves[i][k - 1]
            if move.end == HOME and arrive < day:
                continue
            place = move.start if move.end == HOME else move.end
            at[place] = at.get(place, 0) + 1
            riders.add(self.riders[i])
        grooms = sum(-(-count // 4) for count in at.values())
        return grooms * self.prices.groom_day + len(riders) * self.prices.rider_day
