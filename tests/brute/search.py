"""The most worth that a yard can have, found by trying: schedules joined, best sum first."""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from tests.brute.freedoms import Freedoms
from tests.brute.hours import HORSE_DAY, HOUR, LOAD_FROM, NIGHT, Part, place
from tests.brute.roads import OutOfSteps, Roads, Trail, list_rides
from tests.brute.schedules import Book, Schedule
from tripkit.yard.yard import Yard

STEPS = 200_000
RIDER_EVENING = 4 * HOUR


@dataclass(frozen=True)
class Answer:
    """The most worth, and a plan that has it; the steps it took."""

    worth: Decimal
    schedules: tuple[Schedule, ...]
    drives: Trail
    steps: int


def find_most(yard: Yard, freedoms: Freedoms, steps: int = STEPS) -> Answer | None:
    """The plan of most worth; None where the search does not end within so many steps.

    Horses get their schedules one after another, and of all that is begun the one goes on that may
    still be worth most. So the first that is whole is the best.
    """
    book = Book(yard, freedoms)
    schedules = [_drop_twins(book.list_schedules(horse)) for horse in yard.horses]
    join = _Join(book, Roads(book, list_rides(schedules), steps))
    hope = [sum((own[0].worth for own in schedules[n:]), Decimal(0)) for n in range(len(schedules))]
    heap: list[tuple[Decimal, tuple[int, ...]]] = [(-hope[0], (0,))]
    try:
        while heap:
            less, chosen = heapq.heappop(heap)
            join.roads.take_step()
            own, last = schedules[len(chosen) - 1], chosen[-1]
            if last + 1 < len(own):
                worse = own[last].worth - own[last + 1].worth
                heapq.heappush(heap, (less + worse, (*chosen[:-1], last + 1)))
            begun = tuple(own[i] for own, i in zip(schedules, chosen, strict=False))
            if not join.fits(begun):
                continue
            if len(begun) == len(schedules):
                drives = join.roads.carry(begun)
                assert drives is not None
                return Answer(-less, begun, drives, steps - join.roads.steps)
            heapq.heappush(heap, (less, (*chosen, 0)))
    except OutOfSteps:
        return None
    raise AssertionError("to stay at home is always a plan")


def _drop_twins(schedules: Sequence[Schedule]) -> list[Schedule]:
    """Of schedules with the same moves, shows and class days the one worth most."""
    found: dict[object, Schedule] = {}
    for schedule in schedules:
        days = tuple((visit.show, visit.days) for visit in schedule.visits)
        found.setdefault((schedule.moves, days), schedule)
    return list(found.values())


class _Join:
    """Whether the schedules of several horses go together."""

    def __init__(self, book: Book, roads: Roads) -> None:
        self.book, self.roads = book, roads
        longest = max(
            quarters
            for quarters in range(1, HORSE_DAY)
            if place((Part(quarters, True, False, False, LOAD_FROM, NIGHT),), book.map.law)
        )
        self.rider_days = {
            (start, end): 0 if quarters <= RIDER_EVENING else -(-quarters // longest)
            for start in book.places
            for end in book.places
            if (quarters := 0 if start == end else book.map.measure(start, end)) >= 0
        }

    def fits(self, joined: Sequence[Schedule]) -> bool:
        """Whether the last of some schedules goes together with those before it, that do."""
        *before, last = joined
        groups = [(last,), *((other, last) for other in before), tuple(joined)]
        return (
            self._keeps_places(joined)
            and self._keeps_riders(joined)
            and all(self.roads.carry(group) is not None for group in groups)
        )

    def _keeps_places(self, joined: Sequence[Schedule]) -> bool:
        """No more horses at a show than it has places left."""
        shows = [visit.show for schedule in joined for visit in schedule.visits]
        return all(
            show.places_left is None or shows.count(show.show) <= show.places_left
            for show in self.book.yard.shows
        )

    def _keeps_riders(self, joined: Sequence[Schedule]) -> bool:
        """A rider is at one place a day, has time to drive, and rides so many horses at a show.

        An evening holds four hours of a rider's drive; a longer one takes whole days.
        """
        for rider in self.book.yard.riders.values():
            visits = [v for s in joined for v in s.visits if v.rider == rider.person]
            shows = [visit.show for visit in visits]
            if any(shows.count(show) > rider.horses_per_show for show in set(shows)):
                return False
            days = sorted({(day, visit.place) for visit in visits for day in visit.days})
            for (day, start), (later, end) in pairwise(days):
                if start != end and later - day - 1 < self.rider_days[start, end]:
                    return False
        return True
