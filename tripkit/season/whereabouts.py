"""Where riders are: at home or where their horses live, and their own ways from place to place.

A rider is away while a horse that he rides is on its trip. On the way he sits in a lorry that goes
from there to there in time, by preference with a horse of his, else in his car: to a show on the
day before his first class there, from it on the day after the last.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date

from tripkit.yard.circuit import CAR, Leg, Outing, RiderWay
from tripkit.yard.days import ONE_DAY, DaySpan
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard

Away = Mapping[str, AbstractSet[date]]


@dataclass(frozen=True)
class _Visit:
    """The class days of a rider at one place, the show where he begins, and what he rides there."""

    show: str
    place_key: str
    first: date
    last: date
    horses: frozenset[str]


def list_ways(
    yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg], away: Away
) -> tuple[RiderWay, ...]:
    """Every rider's ways by rider and date; `away` has the days on which each is away."""
    ways: list[RiderWay] = []
    for rider in sorted(away):
        own = [o for o in outings if o.rider == rider]
        ways += _Season(yard, rider, own, legs, away[rider]).list_ways()
    return tuple(ways)


class _Season:
    """One rider's season."""

    def __init__(
        self,
        yard: Yard,
        rider: str,
        outings: Sequence[Outing],
        legs: Sequence[Leg],
        away: AbstractSet[date],
    ) -> None:
        self.yard, self.rider, self.away = yard, rider, away
        self.legs = [(yard.place_key_of(a.start), yard.place_key_of(a.end), a) for a in legs]
        self.horses = {h.horse for h in yard.horses if h.rider == rider}
        self.visits = _join_visits(yard, outings)
        self.here = HOME

    def list_ways(self) -> Iterator[RiderWay]:
        """From home to each show and back, straight on where no day at home lies between."""
        since = date.min
        for run in self._split_runs():
            leaves, returns = self._find_ends(run)
            yield from self._follow_horses(since, leaves)
            earliest = leaves
            for visit in run:
                earliest = min(earliest, visit.first)
                by_car = max(earliest, visit.first - ONE_DAY)
                days = DaySpan(earliest, visit.first)
                yield from self._go(visit.show, days, by_car, visit.horses)
                earliest = visit.last
            last = run[-1]
            by_car = min(returns, last.last + ONE_DAY)
            days = DaySpan(last.last, returns)
            yield from self._go(self._find_end(last, returns), days, by_car, last.horses)
            since = returns
        yield from self._follow_horses(since, date.max)

    def _split_runs(self) -> Iterator[list[_Visit]]:
        run: list[_Visit] = []
        for visit in self.visits:
            overlap = not run or visit.first < run[-1].last
            between = () if overlap else DaySpan(run[-1].last, visit.first)
            if not all(day in self.away for day in between):
                yield run
                run = []
            run.append(visit)
        if run:
            yield run

    def _find_ends(self, run: Sequence[_Visit]) -> tuple[date, date]:
        """The first and the last day of the days away that hold a run."""
        first, last = run[0].first, run[-1].last
        while first - ONE_DAY in self.away:
            first -= ONE_DAY
        while last + ONE_DAY in self.away:
            last += ONE_DAY
        return first, last

    def _find_end(self, visit: _Visit, until: date) -> str:
        """Where a rider goes when his shows are over: to the base of his horses, or home."""
        went = [
            leg
            for start, _, leg in self.legs
            if start == visit.place_key
            and visit.last <= leg.depart.date() <= until
            and visit.horses & {*leg.horses}
        ]
        if went:
            return went[-1].end if went[-1].end in self.yard.base_of else HOME
        base = self.yard.base_at.get(visit.place_key)
        return HOME if base is None else base.base

    def _follow_horses(self, after: date, before: date) -> Iterator[RiderWay]:
        """Between two runs he goes along where a horse of his moves to a base, or back home."""
        for start, _, leg in self.legs:
            moves = self.yard.houses(leg.start) and self.yard.houses(leg.end)
            mine = moves and self.horses & {*leg.horses}
            there = start == self.yard.place_key_of(self.here)
            if mine and there and after < leg.depart.date() < before:
                yield self._sit_in(leg, leg.end)

    def _go(
        self, end: str, days: DaySpan, by_car: date, horses: AbstractSet[str]
    ) -> Iterator[RiderWay]:
        """From where he is to a stop, within some days; nothing where he is there already."""
        ends = (self.yard.place_key_of(self.here), self.yard.place_key_of(end))
        there = [
            leg
            for start, goal, leg in self.legs
            if (start, goal) == ends and days.first <= leg.days.first and leg.days.last <= days.last
        ]
        if ends[0] == ends[1]:
            self.here = end
        elif there:
            mine = [leg for leg in there if horses & {*leg.horses}] or there
            yield self._sit_in(mine[0] if self.yard.houses(end) else mine[-1], end)
        else:
            drive = self.yard.roads.find_drive(*ends)
            km = 0.0 if drive is None else round(drive.km, 1)
            yield RiderWay(self.rider, self.here, end, by_car, CAR, km)
            self.here = end

    def _sit_in(self, leg: Leg, end: str) -> RiderWay:
        start, self.here = self.here, end
        day, km = leg.depart.date(), round(leg.km, 1)
        return RiderWay(self.rider, start, end, day, leg.vehicle, km)


def _join_visits(yard: Yard, outings: Iterable[Outing]) -> list[_Visit]:
    """The outings of a rider by place, those joined that follow each other at one place."""
    found: list[_Visit] = []
    for outing in sorted(outings, key=lambda o: (o.first_day, o.last_day, o.show, o.horse)):
        key, first, last = yard.place_key_of(outing.show), outing.first_day, outing.last_day
        horses = frozenset((outing.horse,))
        if found and found[-1].place_key == key and first <= found[-1].last + ONE_DAY:
            before = found.pop()
            last, horses = max(last, before.last), horses | before.horses
            found.append(_Visit(before.show, key, before.first, last, horses))
        else:
            found.append(_Visit(outing.show, key, first, last, horses))
    return found


class Whereabouts:
    """At which place each rider is on each day, by his ways; on the day of one: on the road."""

    def __init__(self, yard: Yard, ways: Iterable[RiderWay]) -> None:
        self.yard = yard
        self.days: dict[str, list[date]] = {}
        self.stops: dict[str, list[str]] = {}
        for way in ways:
            self.days.setdefault(way.rider, []).append(way.date)
            self.stops.setdefault(way.rider, []).append(way.end)

    def find_place(self, rider: str, day: date) -> str | None:
        """The place key where a rider is on a day, None on the road."""
        days = self.days.get(rider, [])
        index = bisect_right(days, day)
        if index and days[index - 1] == day:
            return None
        return self.yard.place_key_of(self.stops[rider][index - 1]) if index else HOME

    def find_rider(self, horse: Horse, stop: str, day: date) -> str | None:
        """Who rides a horse and is where it is on a day; None where nobody is."""
        names = (horse.rider, *horse.also_ridden_by) if horse.rider else tuple(self.yard.riders)
        key = self.yard.place_key_of(stop)
        there = (
            name
            for name in names
            if self.find_place(name, day) == key and not self.yard.is_absent(name, day)
        )
        return next(there, None)
