"""Each horse's season as a way through places: where it stands, and which drives take it on.

A moment is half a day: a morning (2 x day) or the evening after the last class (2 x day + 1). A
horse is at home or at a base, on the grounds *before* its classes at a show, or there *after* them.
A drive takes it from one to the next, a visit from before to after, and between moments it waits;
at a base of the show's town a visit begins and ends in its box. Lead, rest after a drive, stabling
and absences are kept by which arcs there are and where they end, so they cost no constraint. When a
horse may jump is another net, `paths`; the two meet in the visits.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import product
from typing import TypeAlias

from tripkit.planning.chances import (
    Chance,
    DayPlan,
    Drive,
    Pace,
    Ride,
    Window,
    count_days_before,
    find_bar,
    find_first_leg_day,
    has_boxes,
    is_clear,
    list_away,
)
from tripkit.planning.paths import reach
from tripkit.planning.problem import Problem
from tripkit.planning.program import Attendance, Change, Move, Step
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME


@dataclass(frozen=True)
class Spot:
    """Where a horse is: at home, at a base, or at a show before its classes or after them.

    On the evening after its classes it is *back* at the base of that town.

    Before them, `extra` says how many days its way took from the recovery. At home, `hours` and
    `days` are those of drives that count on where it leaves again before it had a whole day without
    one.
    """

    kind: str
    chance: Chance | None = None
    extra: int = 0
    hours: float = 0.0
    days: int = 0
    place: str = ""


Node: TypeAlias = tuple[Spot, int]
"""A spot and a moment."""
Arc: TypeAlias = tuple[Node, Node, Step | None]
"""From a node to a node: a drive, a visit, or None for waiting."""
Way: TypeAlias = tuple[str, str, int, Pace]
Need: TypeAlias = tuple[int, int]
"""From which minute of the day a drive may leave, and by which it must be there."""
AT_HOME = Spot(HOME)
BASE, BACK = "base", "back"
MANY_BASE_DAYS = 150
TRANSFER_WEEKDAYS = (0, 3)
"""Mondays and Thursdays."""


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

    `hours` and `days` of drives before count on: since them it had no whole day without one.
    """

    spot: Spot
    moment: int
    day: int
    earliest: int = 0
    hours: float = 0.0
    days: int = 0


def build_place_nets(problem: Problem) -> dict[str, PlaceNet]:
    """The net of each horse that has a chance, or is at a base today.

    A horse may share every drive that leaves no sooner and arrives no later than it needs.
    """
    builders = {}
    for horse in problem.yard.horses:
        chances = [c for c in problem.chances if c.horse == horse.horse]
        stand = problem.yard.begun.stand_of.get(horse.horse)
        if chances or (stand is not None and stand.stop in problem.yard.base_of):
            builders[horse.horse] = _Builder(problem, horse, chances)
            builders[horse.horse].drop_idle_ways()
    ways = {_find_way(m.drives[0]) for b in builders.values() for _, _, m in b.asks}
    for builder in builders.values() if not problem.plain else ():
        builder.call(ways)
        builder.drop_idle_ways()
    needs: dict[Way, set[Need]] = defaultdict(set)
    for builder in builders.values():
        for _, _, move in builder.asks:
            for drive in move.drives:
                needs[_find_way(drive)].add(_find_need(drive))
    return {name: builder.build(needs) for name, builder in builders.items()}


def moves_on_some_weekdays(problem: Problem) -> bool:
    """Whether so many horses may be moved on so many days that only some weekdays are tried."""
    horses = {chance.horse for chance in problem.chances}
    days = sum(base.days.days for base in problem.yard.bases)
    return len(horses) * days > MANY_BASE_DAYS


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
        stand = yard.begun.stand_of.get(self.horse.horse)
        at_base = stand is not None and stand.stop in yard.base_of and self.begun is None
        self.lodges = stand if at_base else None
        self.stand_days: dict[Ride, int] = {}
        self.open = [c for c in self.chances if not c.begun]
        self.starts = {chance: self._list_leaves(chance) for chance in self.chances}
        for chance in self.chances:
            self._go_home(chance)
        self.base_days = {place: self._list_base_days(place) for place in yard.base_at}
        self._go_to_bases()
        self._come_to_all(self._list_home_days())

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
        """Any day; with the drive before where it came home only yesterday."""
        days = range(self._find_home_day(), self.high + 1)
        found = [_Start(AT_HOME, 2 * day, day) for day in days]
        back = {head for _, head, _ in self.asks if head[0].kind == HOME and head[0].hours}
        for spot, moment in sorted(back, key=lambda n: (n[1], n[0].hours, n[0].days)):
            found.append(_Start(spot, moment, moment // 2, hours=spot.hours, days=spot.days))
        return found

    def _list_base_days(self, place: str) -> list[_Start]:
        """Any day after a night there; where it jumped in that town, the evening as well."""
        spot = Spot(BASE, place=place)
        days = range(self.low, self.high + 1)
        nights = [day for day in days if has_boxes(self.problem.yard, place, day - 1, day - 1)]
        found = [_Start(spot, 2 * day, day) for day in nights]
        for chance in self.chances:
            if chance.place_key == place:
                leaves = self.starts[chance]
                back = Spot(BACK, place=place)
                found += [replace(start, spot=back) for start in leaves if start.earliest]
        return found

    def _list_leaves(self, chance: Chance) -> list[_Start]:
        spot = Spot("after", chance)
        found = []
        for day, minutes in (*((day, 0) for day in chance.leaves), *chance.evenings):
            ended = [w for w in chance.windows if w.last < day + bool(minutes)]
            hours = self._carry(chance, ended, day)
            moment = 2 * day + bool(minutes)
            found.append(_Start(spot, moment, day, minutes, hours, days=int(hours > 0)))
        return found

    def _carry(self, chance: Chance, ended: Sequence[Window], day: int) -> float:
        """The most hours of the drive that brought it which still count as it leaves [h].

        Between coming and leaving lies no whole day without a drive. `ended` are the windows that
        it may have been there for.
        """
        rides = self.problem.list_rides_to(chance.place_key)
        latest = max((w.first for w in ended), default=0)
        if latest - (not chance.mornings) < day - 1:
            return 0.0
        limits, without = self.horse.limits, self.problem.without
        near = [ride for ride in rides if count_days_before(limits, ride, without) <= 1]
        return max((ride.hours for ride in near), default=0.0)

    # Drives.

    def call(self, ways: Collection[Way]) -> None:
        """It stays aboard where a lorry calls on its way to unload another horse, or load it.

        `ways` are the drives that horses ask for.
        """
        known = set(self._list_home_days())
        for chance in self.chances:
            self._go_home(chance, ways)
        self._go_to_bases(ways)
        home = self._list_home_days()
        for chance in self.open:
            self._come(chance, HOME, None, [start for start in home if start not in known])
        self._come_to_all(home, ways)

    def _come_to_all(self, home: Sequence[_Start], ways: Collection[Way] | None = None) -> None:
        for chance in self.open:
            self._come(chance, HOME, None, home, ways)
            for place in self.problem.yard.base_at:
                if place != chance.place_key:
                    self._come(chance, place, None, self.base_days[place], ways)
            for earlier in self.chances:
                if earlier.place_key != chance.place_key and self._may_follow(earlier, chance):
                    starts = self.starts[earlier]
                    self._come(chance, earlier.place_key, earlier, starts, ways)

    def _list_routes(
        self, begin: str, end: str, start: _Start, ways: Collection[Way] | None
    ) -> Iterator[tuple[DayPlan, float]]:
        """The drives to a place that leave then, and their hours; with `ways` by a call."""
        problem = self.problem
        for pace in problem.paces:
            if problem.find_ride(begin, end, pace) is None:
                continue
            whole = Drive(begin, end, start.day, pace, start.earliest)
            if ways is None:
                yield (whole,), problem.ride_for(whole).hours
                continue
            for place in problem.places:
                there, on = (begin, place, start.day, pace), (place, end, start.day, pace)
                if place in (begin, end) or (there not in ways and on not in ways):
                    continue
                if not problem.is_open(place, start.day):
                    continue
                plan = replace(whole, end=place), Drive(place, end, start.day, pace)
                roads = all(problem.find_ride(d.start, d.end, pace) for d in plan)
                if roads and problem.may_stay_aboard(plan):
                    yield plan, sum(problem.ride_for(drive).hours for drive in plan)

    def _come(
        self,
        chance: Chance,
        begin: str,
        leaves: Chance | None,
        starts: Sequence[_Start],
        ways: Collection[Way] | None = None,
    ) -> None:
        """The drives that bring it to a show, from home or from the show that it leaves."""
        problem, name = self.problem, self.horse.horse
        firsts = sorted({w.first for w in chance.windows})
        lead = 0 if "stabling" in problem.without else self.horse.limits.arrive_days_before
        mornings = dict(chance.mornings)
        for start in starts:
            if start.day > firsts[-1]:
                continue
            for plan, hours in self._list_routes(begin, chance.place_key, start, ways):
                days = problem.arrival_of(plan[-1]) - start.day + 1
                arrive = start.day + days - 1
                if not chance.stabling[0] <= arrive <= firsts[-1]:
                    continue
                way = Ride(begin, chance.place_key, 0.0, hours + start.hours, days + start.days)
                before = count_days_before(self.horse.limits, way, problem.without)
                extra = -problem.compute_key(name, 0, way)
                spot = Spot("before", chance, extra)
                if arrive in chance.arrivals and arrive + before <= firsts[-1]:
                    head = (spot, 2 * (arrive + before))
                    late = bool(start.earliest)
                    self._ask(start, head, Move(name, leaves, chance, plan, late))
                same_day = days == 1 and lead == 0 and before <= 1 and not start.earliest
                if same_day and arrive in mornings:
                    early = (*plan[:-1], replace(plan[-1], latest=mornings[arrive]))
                    self._ask(start, (spot, 2 * arrive), Move(name, leaves, chance, early, True))

    def _go_home(self, chance: Chance, ways: Collection[Way] | None = None) -> None:
        """The drives that bring it home."""
        for start in self.starts[chance]:
            for plan, hours in self._list_routes(chance.place_key, HOME, start, ways):
                leaves = self.problem.arrival_of(plan[-1]) + 1
                days = start.days + leaves - start.day
                back = Spot(HOME, hours=round(start.hours + hours, 2), days=days)
                late = self._count_late_days(chance, start, leaves - 1, back.hours)
                head = (back, 2 * (leaves + late))
                move = Move(self.horse.horse, chance, None, plan, bool(start.earliest))
                self._ask(start, head, move)

    def _go_to_bases(self, ways: Collection[Way] | None = None) -> None:
        """The drives to a base and from a base home."""
        for place in self.problem.yard.base_at:
            for chance in self.chances:
                if chance.place_key != place:
                    self._stand_at(place, chance, self.starts[chance], chance.place_key, ways)
            if ways is not None:
                continue
            out = [start for start in self._list_home_days() if not start.hours]
            self._stand_at(place, None, self._thin(out), HOME)
            for end in (HOME, *self.problem.yard.base_at):
                if end == HOME or self._is_near(place, end):
                    self._stand_at(end, None, self._thin(self.base_days[place]), place)

    def _is_near(self, start: str, end: str) -> bool:
        rides = (self.problem.find_ride(start, end, pace) for pace in self.problem.paces)
        return any(ride is not None and ride.days == 1 for ride in rides)

    def _thin(self, starts: Sequence[_Start]) -> list[_Start]:
        """In a large yard on some weekdays only, in the evening where it jumped that day."""
        thin = moves_on_some_weekdays(self.problem)
        days = TRANSFER_WEEKDAYS if thin else range(7)
        return [s for s in starts if s.earliest or date.fromordinal(s.day).weekday() in days]

    def drop_idle_ways(self) -> None:
        """No horse goes to a base from which it jumps no more, nor goes on before it jumped there.

        Who has not jumped in between might as well have stayed where it was.
        """
        jumps: dict[str, list[int]] = defaultdict(list)
        jumped: dict[str, list[int]] = defaultdict(list)
        for chance in self.chances:
            jumps[chance.place_key] += [2 * w.first for w in chance.windows]
            jumped[chance.place_key] += [2 * w.last for w in chance.windows]
        for (spot, early), (there, late), move in self.asks:
            if spot.kind == BASE and move.comes is not None:
                jumps[spot.place].append(early)
            if there.kind == BASE and move.leaves is not None:
                jumped[there.place].append(late)
        if self.lodges is not None:
            jumped[self.problem.yard.place_key_of(self.lodges.stop)].append(0)

        def may_pay(ask: tuple[Node, Node, Move]) -> bool:
            (spot, early), (there, late), move = ask
            goes = there.kind != BASE or late <= max(jumps[there.place], default=0)
            comes = spot.kind != BASE or early >= min(jumped[spot.place], default=early + 1)
            return goes and (comes or move.comes is not None)

        self.asks = [ask for ask in self.asks if may_pay(ask)]

    def _stand_at(
        self,
        place: str,
        leaves: Chance | None,
        starts: Sequence[_Start],
        begin: str,
        ways: Collection[Way] | None = None,
    ) -> None:
        """The drives that bring it to a base, or from a base home."""
        for start in starts:
            for plan, hours in self._list_routes(begin, place, start, ways):
                day = self.problem.arrival_of(plan[-1])
                way = Ride(begin, place, 0.0, start.hours + hours, day - start.day + 1)
                head = self._find_stand(way, day)
                if head is not None:
                    move = Move(self.horse.horse, leaves, None, plan, bool(start.earliest))
                    self._ask(start, head, move)

    def _find_stand(self, way: Ride, day: int) -> Node | None:
        """From when on a horse that comes to a base (or from there home) on a day may do more.

        It stands as long as a class there would ask, and a whole day where its drive took several
        or the hours would count for some next one.
        """
        if way not in self.stand_days:
            self.stand_days[way] = self._count_stand_days(way)
        until = day + self.stand_days[way]
        if way.end == HOME:
            return AT_HOME, 2 * until
        boxes = has_boxes(self.problem.yard, way.end, day, until - 1)
        return (Spot(BASE, place=way.end), 2 * until) if boxes else None

    def _count_stand_days(self, way: Ride) -> int:
        name, limits = self.horse.horse, self.horse.limits
        found = max(1 + self.problem.count_rest(name, way), 1 if way.days == 1 else 2)
        for ride in self.problem.rides.values():
            both = replace(ride, hours=ride.hours + way.hours)
            more = self.problem.count_rest(name, both) > self.problem.count_rest(name, ride)
            found = max(found, 2) if ride.start == way.end and more else found
        if any(chance.place_key == way.end for chance in self.open):
            found = max(found, count_days_before(limits, way, self.problem.without))
        return found

    def _count_late_days(self, chance: Chance, start: _Start, arrive: int, hours: float) -> int:
        """Days at home after a drive that takes from the recovery: after the days without jumping.

        What the next drive leaves of a recovery by itself is no more than that asks. Rule
        `recovery`.
        """
        limits = self.horse.limits
        way = Ride(chance.place_key, HOME, 0.0, hours, arrive - start.day + 1)
        ended = [w.last for w in chance.windows if w.last <= start.day and chance.choices]
        if not ended or "recovery" in self.problem.without:
            return 0
        late = start.day - min(ended) - limits.no_jump_days
        rest = self.problem.count_rest(self.horse.horse, way)
        return max(0, 2 * limits.schools_before_show + rest - late) if late > 0 else 0

    def _ask(self, start: _Start, head: Node, move: Move) -> None:
        problem = self.problem
        arrive = problem.arrival_of(move.drives[-1])
        if start.earliest and arrive > start.day:
            # Who leaves in the evening is there that evening.
            return
        # A horse that is away when its absence begins still goes home.
        lived = move.leaves is not None and move.leaves.begun
        free = lived or is_clear(self.away, move.depart, arrive)
        if move.depart < self.low or arrive > self.high or not free:
            return
        if not problem.may_drive(move.drives):
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

            if chance.place_key in self.problem.yard.base_at:
                self._add_boxed_visits(chance)

    def _add_boxed_visits(self, chance: Chance) -> None:
        """From its box at a base of the town a horse goes to its classes and comes back."""
        yard, spot = self.problem.yard, Spot(BASE, place=chance.place_key)
        show = yard.show_by_name[chance.show]
        for window in chance.windows:
            boxes = has_boxes(yard, chance.place_key, window.first - 1, window.last - 1)
            about = self.horse, show, window.first, window.last, self.problem.without
            if boxes and not find_bar(yard, *about):
                self.extras[chance.show].add(0)
                tail = (spot, 2 * window.first)
                head = (Spot(BACK, place=chance.place_key), 2 * window.last + 1)
                self.visits.append((tail, head, Attendance(chance, window, 0, boxed=True)))

    def _list_changes(self, chance: Chance) -> Iterator[Arc]:
        """A horse moves over from a show's stables to the base of the town, or into them."""
        yard, place = self.problem.yard, chance.place_key
        name, spot = self.horse.horse, Spot(BASE, place=place)
        hours = {start.moment: start.hours for start in self.starts[chance]}
        for window in chance.windows:
            evening = 2 * window.last + 1
            if evening not in hours and not chance.begun:
                hours[evening] = self._carry(chance, [window], window.last)
        for moment, driven in hours.items():
            day = moment // 2
            head: Node | None = (spot, 2 * (day + 1))
            if driven:
                head = self._find_stand(Ride(place, place, 0.0, driven, 1), day)
            if head is not None and has_boxes(yard, place, day, day):
                yield (Spot("after", chance), moment), head, Change(name, place, day, chance)
        lead = 0 if "stabling" in self.problem.without else self.horse.limits.arrive_days_before
        for day in chance.arrivals if not chance.begun else ():
            there = day + max(lead, 1)
            if has_boxes(yard, place, day - 1, day - 1) and is_clear(self.away, day, there):
                before = Spot("before", chance, 0)
                self.extras[chance.show].add(0)
                change = Change(name, place, day, comes=chance)
                yield (spot, 2 * day), (before, 2 * there), change

    def _add_visit(self, tail: Node, there: Attendance) -> None:
        self.visits.append((tail, (Spot("after", there.chance), 2 * there.window.last + 1), there))

    def _find_source(self) -> Node:
        if self.lodges is not None:
            first = max(self.low, self.lodges.since.toordinal() + 1)
            return Spot(BASE, place=self.problem.yard.place_key_of(self.lodges.stop)), 2 * first
        if self.begun is None:
            return AT_HOME, 2 * self._find_home_day()
        first = min(start.moment for start in self.starts[self.begun])
        return Spot("after", self.begun), first

    def build(self, needs: Mapping[Way, set[Need]]) -> PlaceNet:
        """The drives that it may share, visits, and waiting; without what leads nowhere."""
        changes = [
            arc
            for chance in self.chances
            if chance.place_key in self.problem.yard.base_at
            for arc in self._list_changes(chance)
        ]
        self._add_visits()
        source, sink = self._find_source(), (AT_HOME, 2 * (self.high + 3))
        arcs = [*self.visits, *changes, *self._end_at_bases(sink)]
        for tail, head, move in self.asks:
            for plan in product(*(_list_shared(drive, needs) for drive in move.drives)):
                arcs.append((tail, head, replace(move, drives=plan)))
        arcs += self._wait(source, sink, arcs)
        return PlaceNet(source, sink, _drop_dead_ends(source, sink, arcs), self.extras)

    def _end_at_bases(self, sink: Node) -> Iterator[Arc]:
        """It may stand at a base that stays when the season ends."""
        last = self.problem.yard.season.last
        for place, base in self.problem.yard.base_at.items():
            if base.stays and base.has_night(last):
                day = last.toordinal() + 1
                stays = Change(self.horse.horse, place, day)
                yield (Spot(BASE, place=place), 2 * day), sink, stays

    def _wait(self, source: Node, sink: Node, arcs: Sequence[Arc]) -> Iterator[Arc]:
        moments: dict[Spot, set[int]] = defaultdict(set)
        for spot, moment in dict.fromkeys((source, sink, *(n for arc in arcs for n in arc[:2]))):
            if spot.hours:
                # After a whole day at home its drives count no more.
                moments[AT_HOME].add(moment + 2)
                yield (spot, moment), (AT_HOME, moment + 2), None
            elif spot.kind == BACK:
                box = Spot(BASE, place=spot.place)
                if has_boxes(self.problem.yard, spot.place, moment // 2, moment // 2):
                    moments[box].add(moment + 1)
                    yield (spot, moment), (box, moment + 1), None
            else:
                moments[spot].add(moment)
        for spot, found in moments.items():
            # Where a horse stands today it waits, whatever begins meanwhile.
            lived = spot.chance is not None and spot.chance.begun
            order = sorted(found)
            for early, late in zip(order, order[1:], strict=False):
                if spot.kind == BASE:
                    free = has_boxes(self.problem.yard, spot.place, early // 2, late // 2 - 1)
                else:
                    free = is_clear(self.away, early // 2, (late - 1) // 2)
                if spot == AT_HOME or lived or free:
                    yield (spot, early), (spot, late), None


def _list_shared(drive: Drive, needs: Mapping[Way, set[Need]]) -> Iterator[Drive]:
    """The same drive as others need it: no sooner away, no later there."""
    for earliest, latest in sorted(needs[_find_way(drive)]):
        if earliest >= drive.earliest and latest <= drive.latest:
            yield replace(drive, earliest=earliest, latest=latest)


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
