"""The most worth that a yard can have, found by trying: schedules joined, best sum first."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from tests.brute.freedoms import Freedoms
from tests.brute.hours import HORSE_DAY, HOUR, LOAD_FROM, NIGHT, Part, place
from tests.brute.roads import OutOfSteps, Roads, Trail, list_rides
from tests.brute.schedules import Book, Schedule, Visit
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
    """The plan of most worth; None where the search does not end within so many steps."""
    book = Book(yard, freedoms)
    schedules = [_drop_twins(book.list_schedules(horse)) for horse in yard.horses]
    roads = Roads(book, list_rides(schedules), steps)
    try:
        for worth, joined in Join(book, roads).list_best(schedules):
            drives = roads.carry(joined)
            assert drives is not None
            return Answer(worth, joined, drives, steps - roads.steps)
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


class Join:
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

    def list_best(
        self, schedules: Sequence[Sequence[Schedule]]
    ) -> Iterator[tuple[Decimal, tuple[Schedule, ...]]]:
        """One schedule of each horse that go together, the most worth first.

        Horses get their schedules one after another, and of all that is begun the one goes on that
        may still be worth most.
        """
        if not all(schedules):
            return
        hope = [
            sum((own[0].worth for own in schedules[n:]), Decimal(0)) for n in range(len(schedules))
        ]
        heap: list[tuple[Decimal, tuple[int, ...]]] = [(-hope[0], (0,))]
        while heap:
            less, chosen = heapq.heappop(heap)
            self.roads.take_step()
            own, last = schedules[len(chosen) - 1], chosen[-1]
            if last + 1 < len(own):
                worse = own[last].worth - own[last + 1].worth
                heapq.heappush(heap, (less + worse, (*chosen[:-1], last + 1)))
            begun = tuple(own[i] for own, i in zip(schedules, chosen, strict=False))
            if not self.fits(begun):
                continue
            if len(begun) == len(schedules):
                yield -less, begun
            else:
                heapq.heappush(heap, (less, (*chosen, 0)))

    def fits(self, joined: Sequence[Schedule]) -> bool:
        """Whether the last of some schedules goes together with those before it, that do."""
        *before, last = joined
        groups = [(last,), *((other, last) for other in before), tuple(joined)]
        return (
            self.keeps_places(joined)
            and self.keeps_riders(joined)
            and all(self.roads.carry(group) is not None for group in groups)
        )

    def keeps_places(self, joined: Sequence[Schedule]) -> bool:
        """No more horses at a show than it has places left."""
        shows = [visit.show for schedule in joined for visit in schedule.visits]
        return all(
            show.places_left is None or shows.count(show.show) <= show.places_left
            for show in self.book.yard.shows
        )

    def keeps_riders(self, joined: Sequence[Schedule]) -> bool:
        """Every rider keeps time from place to place, and rides so many horses at a show."""
        visits = [visit for schedule in joined for visit in schedule.visits]
        return all(
            self.keeps_time([v for v in visits if v.rider == rider.person], rider.horses_per_show)
            for rider in self.book.yard.riders.values()
        )

    def keeps_time(self, visits: Sequence[Visit], most: int) -> bool:
        """A rider is at one place a day, has time to drive, and rides so many horses at a show.

        An evening holds four hours of a rider's drive; a longer one takes whole days.
        """
        shows = [visit.show for visit in visits]
        if any(shows.count(show) > most for show in set(shows)):
            return False
        days = sorted({(day, visit.place) for visit in visits for day in visit.days})
        return all(
            start == end or later - day - 1 >= self.rider_days[start, end]
            for (day, start), (later, end) in pairwise(days)
        )
