"""Whether lorries can carry the schedules of several horses: a search day by day.

A lorry that has unloaded is sent at once to the place where it loads next, or home, as early as it
may (or, where it must stand at home while it is absent, after that): in between it stands idle
anyway, and nobody minds where. So an empty run is never tried later than it can be made. It goes
straight, for no way round is shorter, or by way of home where usual habits or an absence ask that.
On a day on which it goes empty and then loads, both drives are tried on all quarters of the hour. A
drive that one day does not hold takes two, the first as full as may be. A horse that comes home
goes out again on a later day, not on the same; no horse changes lorries on the way. It may stay
aboard where the lorry calls at a place, on a day of two drives.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from itertools import combinations, product

from tests.brute.hours import DAY, HORSE_DAY, LOAD_FROM, MORNING, NIGHT, TEN, Law, Part, place
from tests.brute.schedules import HOME, Book, Chance, Move, Schedule, count_rest

Parts = tuple[Part, ...]
Rides = frozenset[tuple[str, str, int]]


class OutOfSteps(Exception):
    """The search has looked at as many states as it was given."""


@dataclass(frozen=True)
class Drive:
    """One drive of a lorry, with the horses aboard and what each day holds of it."""

    lorry: int
    start: str
    end: str
    depart: int
    horses: tuple[str, ...]
    parts: Parts


@dataclass(frozen=True)
class Rest:
    """How far a horse is: moves made; the drives with no whole day between, the last of them.

    `taken` are the days that earlier ones take from its recovery; of the last of them those count
    that begin after the days without jumping: from `late` on, so many quarters.
    """

    moves: int = 0
    since: int | None = None
    until: int | None = None
    quarters: int = 0
    taken: int = 0
    late: int | None = None
    late_quarters: int = 0

    def count_taken(self) -> int:
        """The days that all drives since its last class take from its recovery."""
        if self.late is None or self.until is None:
            return self.taken
        return self.taken + self.until - self.late + 1 + count_rest(self.late_quarters)


@dataclass(frozen=True)
class Stand:
    """Where a lorry is or is sent to, when it is there, and what that day holds already.

    `aboard` are horses that stay aboard, because it calls there and drives on.
    """

    place: str
    day: int
    parts: Parts = ()
    aboard: tuple[int, ...] = ()


State = tuple[tuple[Rest, ...], tuple[Stand, ...]]
Trail = tuple[Drive, ...]


@cache
def split_drive(whole: Part, law: Law, before: Parts) -> tuple[Part, Part] | None:
    """A drive of two days, after what the first holds already: that one as full as may be."""
    for driven in range(whole.driving - 1, 0, -1):
        until = NIGHT if whole.horses else DAY
        head = replace(whole, driving=driven, unloads=False, latest=until)
        placed = place((*before, head), law)
        if placed is None:
            continue
        awake = placed[-1].start + placed[-1].span + law.rest - DAY
        again = max(LOAD_FROM if whole.horses else 0, awake)
        tail = replace(whole, driving=whole.driving - driven, loads=False, earliest=again)
        if place((tail,), law):
            return head, tail
    return None


class Roads:
    """The lorries of a yard, asked again and again for other schedules."""

    def __init__(self, book: Book, rides: Rides, steps: int) -> None:
        self.book, self.rides, self.steps = book, rides, steps
        self.freedoms, self.map = book.freedoms, book.map
        self.lorries = book.yard.vehicles
        self.most = 2 if self.freedoms.two_drives else 1
        by_place = [show.place_key for show in book.yard.shows]
        self.stays = {key for key in by_place if by_place.count(key) > 1}
        self.answers: dict[tuple[Schedule, ...], Trail | None] = {}
        # The same questions come again and again.
        self.list_ways = cache(self._list_ways)
        self.drive = cache(self._drive)

    def take_step(self) -> None:
        """One more state is looked at."""
        self.steps -= 1
        if self.steps < 0:
            raise OutOfSteps

    def carry(self, schedules: Sequence[Schedule]) -> Trail | None:
        """The drives of the lorries that carry these horses, None where they cannot."""
        going = tuple(s for s in schedules if s.moves)
        if going not in self.answers:
            self.answers[going] = Search(self, going).find()
        return self.answers[going]

    def _list_ways(
        self, number: int, stand: Stand, end: str, low: int
    ) -> list[tuple[Stand, Trail]]:
        """How a lorry goes to the place where it loads next: straight, or by way of home."""
        if stand.place == end == HOME:
            return [(stand, ())]
        ways = [(stand, ()) if stand.place == end else self._send(number, stand, end, low)]
        home = (stand, ()) if stand.place == HOME else self._send(number, stand, HOME, low)
        for begin in self._list_begins(number, low) if home and end != HOME else ():
            out = self._send(number, home[0], end, begin)
            ways += [(out[0], (*home[1], *out[1]))] if out else []
        return [way for way in ways if way]

    def _list_begins(self, number: int, low: int) -> list[int]:
        """From when on a lorry may leave home: early, or after each time it is absent there."""
        name = self.lorries[number].vehicle
        ends = [a.days.last.toordinal() + 1 for a in self.book.yard.absences if a.who == name]
        return [low, *ends]

    def may_stand(self, number: int, stand: Stand, until: int) -> bool:
        """A lorry that is absent stands at home."""
        name = self.lorries[number].vehicle
        return stand.place == HOME or stand.day > until or self.book.is_free(name, stand.day, until)

    def _send(self, number: int, stand: Stand, end: str, low: int) -> tuple[Stand, Trail] | None:
        """A lorry goes empty to a place, as early as it may."""
        days = self.map.count_days(stand.place, end, loaded=False)
        horses = not self.freedoms.empty_by_driver
        earliest, latest = (LOAD_FROM, NIGHT) if horses else (0, DAY)
        for depart in range(max(stand.day, low), self.book.end - days + 2):
            if not self._may_go_empty(stand.place, end, depart, days):
                continue
            if not self.is_open(stand.place, depart) or not self.is_open(end, depart + days - 1):
                continue
            if not self.may_stand(number, stand, depart):
                return None
            before = stand.parts if depart == stand.day else ()
            terms = Part(0, horses, False, False, earliest, latest)
            moved = self.drive(number, stand.place, end, depart, before, terms)
            if moved is not None:
                return moved
        return None

    def _drive(
        self,
        number: int,
        start: str,
        end: str,
        depart: int,
        before: Parts,
        terms: Part,
        horses: tuple[str, ...] = (),
    ) -> tuple[Stand, Trail] | None:
        """One more drive on a day that holds some already, None where the day does not."""
        days = self.map.count_days(start, end, loaded=bool(horses))
        arrive = depart + days - 1
        name = self.lorries[number].vehicle
        if len(before) >= self.most or arrive > self.book.end:
            return None
        if not self.book.is_free(name, depart, arrive):
            return None
        whole = replace(terms, driving=self.map.measure(start, end))
        if days == 1:
            parts: Parts = (whole,)
            if place((*before, *parts), self.map.law) is None:
                return None
            stand = Stand(end, arrive, (*before, *parts))
        else:
            halves = split_drive(whole, self.map.law, before)
            if halves is None:
                return None
            parts, stand = halves, Stand(end, arrive, halves[1:])
        return stand, (Drive(number, start, end, depart, horses, parts),)

    def is_open(self, key: str, day: int) -> bool:
        """Whether a lorry may be at a place on a day, where it is a base."""
        base = self.book.base_at.get(key)
        return base is None or date.fromordinal(day) in base.days

    def _may_go_empty(self, start: str, end: str, depart: int, days: int) -> bool:
        """The usual habit: where and when some horse might drive, or between home and a show.

        That only to load on the next day or after having unloaded the day before, and where horses
        may stay on for a later show, or at most two hours away, or where the load goes to, or comes
        from, another show.
        """
        if self.freedoms.empty_anywhere or (start, end, depart) in self.rides:
            return True
        if HOME not in (start, end):
            return False
        there = end if start == HOME else start
        near = there in self.stays or self.map.measure(start, end) <= 8
        for one, other, day in self.rides:
            if start == HOME:
                fits = one == end and day == depart + days
            else:
                fits = other == start and day + self.map.count_days(one, other) == depart
            if fits and (near or HOME not in (one, other)):
                return True
        return False


class Search:
    """One question: can these schedules be carried?"""

    def __init__(self, roads: Roads, going: tuple[Schedule, ...]) -> None:
        self.roads, self.going, self.book = roads, going, roads.book
        self.chances: list[list[Mapping[int, Chance]]] = [
            [{c.depart: c for c in move.chances} for move in s.moves] for s in going
        ]
        self.days = sorted({d for moves in self.chances for move in moves for d in move})
        self.failed: set[tuple[int, State]] = set()

    def find(self) -> Trail | None:
        """From all at home to all at home."""
        if not self.going:
            return ()
        for state, trail in self.list_starts():
            found = self._go_on(0, state, trail)
            if found is not None:
                return found
        return None

    def list_starts(self) -> Iterator[tuple[State, Trail]]:
        """All horses at home, each lorry there or sent to where it loads first."""
        rests = tuple(Rest() for _ in self.going)
        begin = self.book.begin
        sent = []
        for number in range(len(self.roads.lorries)):
            ends = self._list_next(rests)
            stand = Stand(HOME, begin)
            sent.append([w for e in ends for w in self.roads.list_ways(number, stand, e, begin)])
        for start in product(*sent):
            trail = tuple(drive for _, drives in start for drive in drives)
            yield (rests, tuple(stand for stand, _ in start)), trail

    def _list_next(self, rests: tuple[Rest, ...]) -> list[str]:
        """Home and the places where somebody is still to be loaded."""
        starts = [
            move.start
            for schedule, rest in zip(self.going, rests, strict=True)
            for move in schedule.moves[rest.moves :]
        ]
        return list(dict.fromkeys([HOME, *starts]))

    def _go_on(self, number: int, state: State, trail: Trail) -> Trail | None:
        """From the morning of a day on which somebody may leave, to the end."""
        rests, stands = state
        if self.is_done(rests):
            return trail if all(stand.place == HOME for stand in stands) else None
        if number == len(self.days):
            return None
        day = self.days[number]
        if self.is_too_late(day, state) or not self._has_boxes(number, rests):
            return None
        key = (day, self.forget(day, state))
        if key in self.failed:
            return None
        for after, driven in self._list_evenings(day, key[1]):
            found = self._go_on(number + 1, after, (*trail, *driven))
            if found is not None:
                return found
        self.failed.add(key)
        return None

    def _has_boxes(self, number: int, rests: Sequence[Rest]) -> bool:
        """Whether the nights since the day before found a box for each horse at a base."""
        nights = range(self.days[number - 1], self.days[number]) if number else range(0)
        for key, base in self.book.base_at.items():
            there = [
                rest.until or 0
                for rest, schedule in zip(rests, self.going, strict=True)
                if rest.moves and schedule.moves[rest.moves - 1].end == key
            ]
            if any(sum(until <= night for until in there) > base.boxes for night in nights):
                return False
        return True

    def is_done(self, rests: Sequence[Rest]) -> bool:
        """Whether every horse has made all its moves."""
        return all(r.moves == len(s.moves) for r, s in zip(rests, self.going, strict=True))

    def is_too_late(self, day: int, state: State) -> bool:
        """Whether a horse should have left before a day, or a lorry must not stand there."""
        rests, stands = state
        for rest, moves in zip(rests, self.chances, strict=True):
            if rest.moves < len(moves) and max(moves[rest.moves]) < day:
                return True
        return not all(self.roads.may_stand(n, stand, day) for n, stand in enumerate(stands))

    def forget(self, day: int, state: State) -> State:
        """What no longer matters on a day is left out, so that equal states are equal."""
        rests, stands = state
        kept = []
        for rest, schedule in zip(rests, self.going, strict=True):
            over = rest.until is not None and rest.until < day - 2
            absent = any(a.who == schedule.horse for a in self.book.yard.absences)
            home = rest.moves == 0 or schedule.moves[rest.moves - 1].end in self.book.barns
            rested = Rest(rest.moves, taken=rest.count_taken())
            kept.append(rested if over and (home or not absent) else rest)
        return tuple(kept), tuple(Stand(s.place, day) if s.day < day else s for s in stands)

    def _list_evenings(self, day: int, morning: State) -> Iterator[tuple[State, Trail]]:
        """Every way in which a day may end: no drive, or one after another, of whichever lorry."""
        found: dict[State, Trail] = {morning: ()}
        queue = [morning]
        for state in queue:
            self.roads.take_step()
            for after, driven in self.list_drives(day, state):
                if after not in found:
                    found[after] = (*found[state], *driven)
                    queue.append(after)
        # Those who have moved most come first: what waits may be too late.
        for after, driven in reversed(found.items()):
            if not any(stand.aboard for stand in after[1]):
                yield after, driven

    def list_drives(self, day: int, state: State) -> Iterator[tuple[State, Trail]]:
        rests, stands = state
        taken = {i for stand in stands for i in stand.aboard}
        for number, stand in enumerate(stands):
            before = stand.parts if stand.day == day else ()
            if stand.day > day or len(before) >= self.roads.most:
                continue
            waiting: dict[str, list[int]] = {}
            for i, (rest, schedule) in enumerate(zip(rests, self.going, strict=True)):
                if i not in taken and self._may_leave(i, rest, day, stand.place):
                    waiting.setdefault(schedule.moves[rest.moves].end, []).append(i)
            places = self.roads.lorries[number].places
            if stand.aboard:
                first = stand.aboard[0]
                end = self.going[first].moves[rests[first].moves].end
                for load in _list_loads(waiting.get(end, []), places - len(stand.aboard)):
                    yield from self._drive(day, state, number, end, load)
                continue
            for end, horses in waiting.items():
                for load in _list_loads(horses, places):
                    if load:
                        yield from self._drive(day, state, number, end, load)
                    ways = [self.going[i].moves[rests[i].moves] for i in load]
                    barns = {(w.start in self.book.barns, w.end in self.book.barns) for w in ways}
                    # None of those whom it takes from barn to barn stays aboard at a call.
                    may_call = self.roads.freedoms.calls and (True, True) not in barns
                    if load and may_call and not before:
                        yield from self._call(day, state, number, load, waiting)

    def _call(
        self,
        day: int,
        state: State,
        number: int,
        aboard: tuple[int, ...],
        waiting: Mapping[str, list[int]],
    ) -> Iterator[tuple[State, Trail]]:
        """A lorry sets out with horses that stay aboard where others are unloaded or loaded."""
        rests, stands = state
        stand = stands[number]
        end = self.going[aboard[0]].moves[rests[aboard[0]].moves].end
        places = self.roads.lorries[number].places
        for via in self.book.places:
            if via not in (stand.place, end) and self.roads.is_open(via, day):
                for load in _list_loads(waiting.get(via, []), places - len(aboard)):
                    yield from self._drive(day, state, number, via, load, aboard)

    def _may_leave(self, i: int, rest: Rest, day: int, where: str) -> bool:
        """Whether a horse stands at a place, and its schedule lets it leave today."""
        moves = self.going[i].moves
        if rest.moves == len(moves) or moves[rest.moves].start != where:
            return False
        chance = self.chances[i][rest.moves].get(day)
        if chance is None:
            return False
        if rest.until is None:
            return True
        if where in self.book.barns:
            return day - rest.until >= (1 if self.roads.freedoms.straight_on else 2)
        came = self.chances[i][rest.moves - 1].get(day)
        if rest.until == day and (came is None or came.latest != TEN):
            return False
        return rest.until <= day and self.book.is_free(self.going[i].horse, rest.until, day)

    def _drive(
        self,
        day: int,
        state: State,
        number: int,
        end: str,
        load: tuple[int, ...],
        on: tuple[int, ...] = (),
    ) -> Iterator[tuple[State, Trail]]:
        """A lorry leaves with some horses, and with others that stay aboard where it arrives."""
        rests, stands = state
        stand = stands[number]
        before = stand.parts if stand.day == day else ()
        chances = {i: self.chances[i][rests[i].moves][day] for i in (*stand.aboard, *load, *on)}
        leaves = [chances[i].earliest for i in (*load, *on)]
        comes = [chances[i].latest for i in (*stand.aboard, *load)]
        terms = Part(
            0,
            True,
            bool(leaves),
            bool(comes),
            max(leaves, default=MORNING),
            min(comes, default=NIGHT),
        )
        names = tuple(self.going[i].horse for i in chances)
        moved = self.roads.drive(number, stand.place, end, day, before, terms, names)
        if moved is None:
            return
        there, driven = moved
        if (on or stand.aboard) and there.day > day:
            return
        placed = place(there.parts, self.roads.map.law) if stand.aboard else ()
        if placed is None or (placed and sum(at.span for at in placed) > HORSE_DAY):
            return
        quarters = self.roads.map.measure(stand.place, end)
        after = list(rests)
        for i in (*stand.aboard, *load):
            rest = rests[i]
            goes_on = rest.until is not None and day - rest.until <= 1
            since = rest.since if goes_on else day
            run = (rest.quarters if goes_on else 0) + quarters
            run += sum(part.driving for part in before) if i in stand.aboard else 0
            assert since is not None
            move = self.going[i].moves[rest.moves]
            taken = rest.taken if goes_on else rest.count_taken()
            if not self._is_rested(move, since, there.day, run, taken):
                return
            after[i] = Rest(rest.moves + 1, since, there.day, run)
            if move.first is None and move.rested is not None and day > move.rested:
                late, driven_late = (rest.late, rest.late_quarters) if goes_on else (None, 0)
                late = day if late is None else late
                after[i] = replace(after[i], late=late, late_quarters=driven_late + quarters)
            if move.first is None:
                after[i] = replace(after[i], taken=taken)
        if on:
            lorries = (*stands[:number], replace(there, aboard=on), *stands[number + 1 :])
            yield (tuple(after), lorries), driven
            return
        for following in self._list_next(tuple(after)):
            for sent, empty in self.roads.list_ways(number, there, following, day):
                lorries = (*stands[:number], sent, *stands[number + 1 :])
                yield (tuple(after), lorries), (*driven, *empty)

    def _is_rested(self, move: Move, since: int, arrive: int, run: int, taken: int) -> bool:
        """Rest after the drives that run on, and the days all take from the recovery."""
        if move.first is None:
            return True
        rest = count_rest(run)
        if rest and move.first - arrive - 1 < rest:
            return False
        return move.clear is None or move.clear >= max(0, taken + arrive - since + rest)


def _list_loads(waiting: Sequence[int], places: int) -> Iterator[tuple[int, ...]]:
    """Who may be loaded of those who wait, most of them first, nobody last."""
    for size in range(min(len(waiting), places), -1, -1):
        yield from combinations(waiting, size)


def list_rides(schedules: Sequence[Sequence[Schedule]]) -> Rides:
    """Every drive with a horse aboard that any schedule allows: from, to, day it begins."""
    return frozenset(
        (move.start, move.end, chance.depart)
        for own in schedules
        for schedule in own
        for move in schedule.moves
        for chance in move.chances
    )
