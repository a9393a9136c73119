"""Each horse's season as a way through places: where it stands, and which drives take it on.

A moment is half a day: a morning (2 x day) or the evening after the last class (2 x day + 1). A
horse is at home, on the grounds *before* its classes at a show, or there *after* them. A drive
takes it from one to the next, a visit from before to after, and between moments it waits. Lead,
rest after a drive, stabling and absences are kept by which arcs there are and where they end, so
they cost no constraint. When a horse may jump is another net, `paths`; the two meet in the visits.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from tripkit.planning.chances import (
    Chance,
    Drive,
    Pace,
    count_days_before,
    find_first_leg_day,
    is_clear,
    list_away,
    may_come_on_the_day,
)
from tripkit.planning.paths import reach
from tripkit.planning.problem import Problem
from tripkit.planning.program import Attendance, Move, Step
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME


@dataclass(frozen=True)
class Spot:
    """Where a horse is: at home, or at a show before its classes or after them.

    Before them, `extra` says how many days its way took from the recovery. At home, `hours` are
    those of drives that count on where it leaves again before it had a whole day without one.
    """

    kind: str
    chance: Chance | None = None
    extra: int = 0
    hours: float = 0.0


Node: TypeAlias = tuple[Spot, int]
"""A spot and a moment."""
Arc: TypeAlias = tuple[Node, Node, Step | None]
"""From a node to a node: a drive, a visit, or None for waiting."""
Way: TypeAlias = tuple[str, str, int, Pace]
Need: TypeAlias = tuple[int, int]
"""From which minute of the day a drive may leave, and by which it must be there."""
AT_HOME = Spot(HOME)


@dataclass
class PlaceNet:
    """One horse's ways through a season: arcs between nodes, and where they begin and end.

    `extras` are, by show, the days that some way to it takes from the recovery.
    """

    source: Node
    sink: Node
    arcs: list[Arc]
    extras: dict[str, set[int]]


@dataclass(frozen=True)
class _Start:
    """A moment at which a horse may leave: where, on which day, from which minute of it.

    `hours` of drives before count on: since them it had no whole day without one.
    """

    spot: Spot
    moment: int
    day: int
    earliest: int = 0
    hours: float = 0.0


def build_place_nets(problem: Problem) -> dict[str, PlaceNet]:
    """The net of each horse that has a chance.

    A horse may share every drive that leaves no sooner and arrives no later than it needs.
    """
    builders = {}
    for horse in problem.yard.horses:
        chances = [c for c in problem.chances if c.horse == horse.horse]
        if chances:
            builders[horse.horse] = _Builder(problem, horse, chances)
    needs: dict[Way, set[Need]] = defaultdict(set)
    for builder in builders.values():
        for _, _, move in builder.asks:
            needs[_find_way(move.drive)].add(_find_need(move.drive))
    return {name: builder.build(needs) for name, builder in builders.items()}


def _find_way(drive: Drive) -> Way:
    return drive.start, drive.end, drive.depart, drive.pace


def _find_need(drive: Drive) -> Need:
    return drive.earliest, drive.latest


@dataclass
class _Builder:
    """The net of one horse as it grows: the drives it would take, its visits, then the waiting."""

    problem: Problem
    horse: Horse
    chances: list[Chance]
    asks: list[tuple[Node, Node, Move]] = field(default_factory=list)
    visits: list[Arc] = field(default_factory=list)
    extras: dict[str, set[int]] = field(default_factory=lambda: defaultdict(set))

    def __post_init__(self) -> None:
        yard = self.problem.yard
        self.low = find_first_leg_day(yard)
        self.high = yard.road_days.last.toordinal()
        self.away = list_away(yard, self.horse, self.problem.without)
        self.begun = next((c for c in self.chances if c.begun), None)
        self.open = [c for c in self.chances if not c.begun]
        self.starts = {chance: self._list_leaves(chance) for chance in self.chances}
        for chance in self.chances:
            self._go_home(chance)
        home = self._list_home_days()
        for chance in self.open:
            self._come(chance, HOME, None, home)
            for earlier in self.chances:
                if earlier.place_key != chance.place_key and self._may_follow(earlier, chance):
                    self._come(chance, earlier.place_key, earlier, self.starts[earlier])
        self._add_visits()

    def _may_follow(self, chance: Chance, later: Chance) -> bool:
        """Whether recovery leaves some window of one show after some window of another."""
        name = self.horse.horse
        if not chance.choices:
            return True
        ready = min(self.problem.compute_ready(name, w.last) for w in chance.windows)
        return ready <= max(w.first for w in later.windows)

    # When it may leave.

    def _find_home_day(self) -> int:
        """The first day on which it may leave home, after its last drive that has begun."""
        stand = self.problem.yard.begun.stand_of.get(self.horse.horse)
        since = 0 if stand is None or stand.stop != HOME else stand.since.toordinal() + 1
        return max(self.low, since)

    def _list_home_days(self) -> list[_Start]:
        """Any day; with the hours of the drive before where it came home only yesterday."""
        days = range(self._find_home_day(), self.high + 1)
        found = [_Start(AT_HOME, 2 * day, day) for day in days]
        back = {head for _, head, move in self.asks if move.comes is None}
        for spot, moment in sorted(back, key=lambda node: (node[1], node[0].hours)):
            found.append(_Start(spot, moment, moment // 2, hours=spot.hours))
        return found

    def _list_leaves(self, chance: Chance) -> list[_Start]:
        spot = Spot("after", chance)
        days = [*((day, 0) for day in chance.leaves), *chance.evenings]
        return [
            _Start(spot, 2 * day + bool(minutes), day, minutes, self._carry(chance, day))
            for day, minutes in days
        ]

    def _carry(self, chance: Chance, day: int) -> float:
        """The most hours of the drive that brought it which still count as it leaves [h].

        Between coming and leaving lies no whole day without a drive.
        """
        rides = self.problem.list_rides_to(chance.place_key)
        latest = max((w.first for w in chance.windows if w.last <= day), default=0)
        if latest - (not chance.mornings) < day - 1:
            return 0.0
        limits, without = self.horse.limits, self.problem.without
        near = [ride for ride in rides if count_days_before(limits, ride, without) <= 1]
        return max((ride.hours for ride in near), default=0.0)

    # Drives.

    def _come(
        self, chance: Chance, begin: str, leaves: Chance | None, starts: Sequence[_Start]
    ) -> None:
        """The drives that bring it to a show, from home or from the show that it leaves."""
        problem, name = self.problem, self.horse.horse
        firsts = sorted({w.first for w in chance.windows})
        for pace in problem.paces:
            ride = problem.find_ride(begin, chance.place_key, pace)
            if ride is None:
                continue
            about = problem.yard, self.horse, ride, pace, problem.without
            same_day = bool(chance.mornings) and may_come_on_the_day(*about)
            for start in starts:
                arrive = start.day + ride.days - 1
                if not chance.stabling[0] <= arrive <= firsts[-1]:
                    continue
                way = replace(ride, hours=ride.hours + start.hours)
                before = count_days_before(self.horse.limits, way, problem.without)
                extra = -problem.compute_key(name, 0, way)
                drive = Drive(begin, chance.place_key, start.day, pace, start.earliest)
                spot = Spot("before", chance, extra)
                if arrive in chance.arrivals and arrive + before <= firsts[-1]:
                    head = (spot, 2 * (arrive + before))
                    self._ask(start, head, Move(name, leaves, chance, drive))
                by_minute = dict(chance.mornings).get(arrive)
                if by_minute and before <= 1 and same_day and not start.earliest:
                    drive = replace(drive, latest=by_minute)
                    self._ask(start, (spot, 2 * arrive), Move(name, leaves, chance, drive))

    def _go_home(self, chance: Chance) -> None:
        """The drives that bring it home."""
        for pace in self.problem.paces:
            ride = self.problem.find_ride(chance.place_key, HOME, pace)
            for start in self.starts[chance] if ride is not None else ():
                drive = Drive(chance.place_key, HOME, start.day, pace, start.earliest)
                back = Spot(HOME, hours=round(start.hours + ride.hours, 2))
                head = (back, 2 * (start.day + ride.days))
                self._ask(start, head, Move(self.horse.horse, chance, None, drive))

    def _ask(self, start: _Start, head: Node, move: Move) -> None:
        drive, problem = move.drive, self.problem
        arrive = problem.arrival_of(drive)
        if start.earliest and arrive > start.day:
            # Who leaves in the evening is there that evening.
            return
        # A horse that is away when its absence begins still goes home.
        lived = move.leaves is not None and move.leaves.begun
        free = lived or is_clear(self.away, drive.depart, arrive)
        if drive.depart < self.low or arrive > self.high or not free:
            return
        if not problem.may_drive((drive,)):
            return
        if move.comes is not None:
            self.extras[move.comes.show].add(head[0].extra)
        self.asks.append(((start.spot, start.moment), head, move))

    # Visits and waiting.

    def _add_visits(self) -> None:
        for chance in self.open:
            for extra in sorted(self.extras.get(chance.show, ())):
                for window in chance.windows:
                    self._add_visit(
                        (Spot("before", chance, extra), 2 * window.first),
                        Attendance(chance, window, extra),
                    )
            for earlier in self.chances:
                if earlier.place_key != chance.place_key or earlier is chance:
                    continue
                for window in chance.windows:
                    if earlier.windows[0].last < window.first:
                        self.extras[chance.show].add(0)
                        tail = (Spot("after", earlier), 2 * window.first)
                        self._add_visit(tail, Attendance(chance, window, 0, earlier))

    def _add_visit(self, tail: Node, there: Attendance) -> None:
        self.visits.append((tail, (Spot("after", there.chance), 2 * there.window.last + 1), there))

    def _find_source(self) -> Node:
        if self.begun is None:
            return AT_HOME, 2 * self._find_home_day()
        first = min(start.moment for start in self.starts[self.begun])
        return Spot("after", self.begun), first

    def build(self, needs: Mapping[Way, set[Need]]) -> PlaceNet:
        """The drives that it may share, visits, and waiting; without what leads nowhere."""
        source, sink = self._find_source(), (AT_HOME, 2 * (self.high + 3))
        arcs = list(self.visits)
        for tail, head, move in self.asks:
            earliest, latest = _find_need(move.drive)
            for from_minute, by_minute in sorted(needs[_find_way(move.drive)]):
                if from_minute >= earliest and by_minute <= latest:
                    drive = replace(move.drive, earliest=from_minute, latest=by_minute)
                    arcs.append((tail, head, replace(move, drive=drive)))
        arcs += self._wait(source, sink, arcs)
        return PlaceNet(source, sink, _drop_dead_ends(source, sink, arcs), self.extras)

    def _wait(self, source: Node, sink: Node, arcs: Sequence[Arc]) -> Iterator[Arc]:
        moments: dict[Spot, set[int]] = defaultdict(set)
        for spot, moment in {source, sink, *(node for arc in arcs for node in arc[:2])}:
            if spot.hours:
                # After a whole day at home its drives count no more.
                moments[AT_HOME].add(moment + 2)
                yield (spot, moment), (AT_HOME, moment + 2), None
            else:
                moments[spot].add(moment)
        for spot, found in moments.items():
            # Where a horse stands today it waits, whatever begins meanwhile.
            lived = spot.chance is not None and spot.chance.begun
            order = sorted(found)
            for early, late in zip(order, order[1:], strict=False):
                if spot == AT_HOME or lived or is_clear(self.away, early // 2, (late - 1) // 2):
                    yield (spot, early), (spot, late), None


def _drop_dead_ends(source: Node, sink: Node, arcs: list[Arc]) -> list[Arc]:
    numbers = {source: 0, sink: 1}
    out: dict[int, list[int]] = defaultdict(list)
    into: dict[int, list[int]] = defaultdict(list)
    tails, heads = [], []
    for i, (tail, head, _) in enumerate(arcs):
        tails.append(numbers.setdefault(tail, len(numbers)))
        heads.append(numbers.setdefault(head, len(numbers)))
        out[tails[i]].append(i)
        into[heads[i]].append(i)
    ahead, behind = reach(0, out, heads), reach(1, into, tails)
    return [arc for i, arc in enumerate(arcs) if tails[i] in ahead and heads[i] in behind]
