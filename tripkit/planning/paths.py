"""Each horse's season as a path through time: when it jumps, not where it stands meanwhile.

A horse rests until it is recovered, then makes a *visit*: one window of classes at one show. What
recovery asks of the way is a number, the days that the drives before the visit take from it
(`extra`). A visit is left on the day the horse is recovered, and entered at the latest on its first
day less `extra`, so the clear days between two outings are kept by where the arcs end and cost no
constraint. Where the horse stands and how it comes is another net: `places`.

What the rules ask of the past is carried in the *state*: outings since the last break, outings
since the last vet check, the tour that the horse must go on with because no check was made after
its last outing, and the first day of the last outing while it still counts for the cap. So a
horse alone is a path in a graph without cycles, and its linear relaxation has no gap.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from tripkit.planning.chances import Chance, Window
from tripkit.planning.problem import Problem
from tripkit.yard.days import count_clear_days
from tripkit.yard.horses import HistoryOuting, Horse
from tripkit.yard.recovery import CAP_WINDOW_DAYS, ROW_CLEAR_DAYS

LOOK_BACK = 2


@dataclass(frozen=True)
class State:
    """What the past of a horse still asks.

    Outings in the run since the last break, outings since the last vet check, the tour to go on
    with, and the first day of the last outing while the cap still looks back to it. With
    `travel_days` only visits whose outward drive takes so many days from the recovery follow.
    """

    run: int = 0
    since_check: int = 0
    tour: str = ""
    recent: int | None = None
    extra: int | None = None


@dataclass(frozen=True)
class Visit:
    """One window at one show, entered in a state, at a position in a row of shows."""

    chance: Chance
    window: Window
    extra: int
    state: State
    position: int
    after: Chance | None = None


@dataclass(frozen=True)
class Enter:
    """A visit begins: one window at one show, after drives that take days from the recovery.

    `after` is the show before it in a row, where the horse stays on without a rest.
    """

    chance: Chance
    window: Window
    extra: int = 0
    after: Chance | None = None


@dataclass(frozen=True)
class Check:
    """A vet check falls due."""

    horse: str


Mark = Enter | Check


@dataclass
class HorseGraph:
    """One horse's season as a graph without cycles: every path from source to sink is a season.

    `tails`, `heads` and `marks` are one entry an arc, arcs in an order in which every arc comes
    after all arcs into its tail. Node 0 is the source, `sink` the end.
    """

    tails: list[int]
    heads: list[int]
    marks: list[tuple[Mark, ...]]
    nodes: int
    sink: int


@dataclass(frozen=True)
class Freedom:
    """From when a horse may go on: recovered on one day, allowed to begin a show on another."""

    ready: int
    begin: int


def find_start(
    problem: Problem, horse: Horse, extra_days: int, count_cap: bool = True
) -> list[tuple[State, Freedom]]:
    """The states in which a horse begins and from when it may go, as its history leaves it.

    Rule `cap`.
    """
    limits = horse.limits
    past = list_past(problem, horse)
    if not past:
        return [(State(), Freedom(problem.first - 400, problem.first - 400))]
    run = 1
    for earlier, later in zip(past, past[1:], strict=False):
        gap = count_clear_days(earlier.last_day, later.first_day)
        run = 1 if gap >= limits.break_days + limits.no_jump_days else run + 1
    last = past[-1].last_day.toordinal()
    ready = problem.compute_ready(horse.horse, last, extra_days)
    begin = last + 1
    recent: int | None = None
    firsts = [outing.first_day.toordinal() for outing in past]
    limit = limits.shows_per_30_days
    if "cap" not in problem.without and limit <= LOOK_BACK and (count_cap or limit == 1):
        recent = firsts[-1] if limit == LOOK_BACK else None
        if len(firsts) >= limit:
            begin = max(begin, firsts[-limit] + CAP_WINDOW_DAYS)
    rested = max(begin, last + 1 + limits.break_days + limits.no_jump_days)
    return [
        (State(min(run, limits.outings_before_break), recent=recent), Freedom(ready, begin)),
        (State(recent=recent), Freedom(ready, rested)),
    ]


def find_last_tour(problem: Problem, horse: Horse) -> str:
    """The tour of a horse's last outing that is over, if no vet check is due after it anyway."""
    done = [o for o in problem.yard.begun.done if o.horse == horse.horse]
    if len(done) % horse.limits.vet_check_after_shows == 0:
        return ""
    return problem.yard.show_by_name[done[-1].show].tour


def list_past(problem: Problem, horse: Horse) -> list[HistoryOuting]:
    """The outings before today that are not part of a show still to be planned."""
    bound = {c.show for c in problem.chances if c.horse == horse.horse and c.bound}
    return [o for o in problem.yard.history.get(horse.horse, ()) if o.show not in bound]


def build_horse_graph(
    problem: Problem,
    horse: Horse,
    chances: list[Chance],
    extras: Mapping[str, Collection[int]],
    *,
    extra_days: int = 0,
    count_checks: bool = False,
    count_runs: bool = True,
    count_cap: bool = True,
) -> HorseGraph:
    """The graph of a horse's possible seasons, from its history to the end of the season.

    `extras` are, by show, the days [days] that some way to it takes from the recovery.
    `extra_days` asks for so many clear days more than `recovery` does. With `count_checks` arcs
    bear a `Check` mark for each vet check that the season asks for. Without `count_runs` the
    break between runs of outings is not kept. Without `count_cap` a cap of two is not kept.
    """
    builder = GraphBuilder(
        problem, horse, chances, extras, extra_days, count_checks, count_runs, count_cap
    )
    return builder.build()


class GraphBuilder:
    """The graph of one horse as it grows: visits in date order, then the days of rest."""

    def __init__(
        self,
        problem: Problem,
        horse: Horse,
        chances: list[Chance],
        extras: Mapping[str, Collection[int]],
        extra_days: int,
        count_checks: bool,
        count_runs: bool,
        count_cap: bool,
    ) -> None:
        self.problem, self.horse = problem, horse
        self.chances, self.extra_days, self.count_checks = chances, extra_days, count_checks
        self.extras = {show: sorted(found) for show, found in extras.items()}
        self.limits = horse.limits
        self.cap = self.limits.shows_per_30_days
        self.further: dict[int, int] = {}
        self.by_end = sorted((w for c in chances for w in c.windows), key=lambda w: w.last)
        self.count_runs = count_runs and "break" not in problem.without and self._may_need_break()
        self.count_cap = count_cap
        self.last_tour = find_last_tour(problem, horse) if count_checks else ""
        self.looks_back = "cap" not in problem.without and self.cap == LOOK_BACK and count_cap
        self.passed_on: set[State] = set()
        self.visits: dict[Visit, int] = {}
        self.numbers: dict[object, int] = {"source": 0}
        self.arcs: list[tuple[int, int, tuple[Mark, ...]]] = []
        self.days: dict[State, set[int]] = defaultdict(set)
        self.earliest: dict[State, int] = {}

    def build(self) -> HorseGraph:
        """Walks through the windows in date order, then joins the days of rest."""
        starts = self._list_starts()
        there = next((c for c in self.chances if c.begun), None)
        for state, freedom, marks in starts:
            if there is None:
                self._enter(0, state, freedom, marks)
            else:
                self._go_on(there, state, freedom, marks)
        pairs = sorted(
            ((c, w) for c in self.chances if not c.begun for w in c.windows),
            key=lambda p: (p[1].first, p[1].last, p[0].show),
        )
        for chance, window in pairs:
            for visit, key in self._list_visits(chance, window):
                self._add_visit(visit, key)
        self._join_days()
        return self._in_order()

    def _list_starts(self) -> list[tuple[State, Freedom, tuple[Mark, ...]]]:
        """The states the season begins in; what is not counted is left out of them.

        After the last outing of a tour that it may go on with, the check is made or still waits.
        """
        starts = find_start(self.problem, self.horse, self.extra_days, self.count_cap)
        if not self.count_runs:
            starts = [(replace(starts[0][0], run=0), starts[0][1])]
        if not self.count_checks:
            return [(state, freedom, ()) for state, freedom in starts]
        done = sum(o.horse == self.horse.horse for o in self.problem.yard.begun.done)
        since = done % self.limits.vet_check_after_shows
        found: list[tuple[State, Freedom, tuple[Mark, ...]]] = []
        for state, freedom in starts:
            own = replace(state, since_check=since)
            if self.last_tour:
                found.append((own, freedom, (Check(self.horse.horse),)))
                found.append((replace(own, tour=self.last_tour), freedom, ()))
            else:
                found.append((own, freedom, ()))
        return found

    def _go_on(
        self, chance: Chance, state: State, freedom: Freedom, marks: tuple[Mark, ...]
    ) -> None:
        """A horse that is away begins the season there: at its outing, or waiting to leave."""
        window = chance.windows[0]
        enter = Enter(chance, window)
        if not chance.choices:
            node = self._node(("waits", state))
            self.arcs.append((0, node, (*marks, enter)))
            self._enter(node, state, freedom, ())
            return
        rested = find_start(self.problem, self.horse, 0)[-1][1].begin <= window.first
        goes_on = self.last_tour == self._tour_of(chance)
        if (self.count_runs and bool(state.run) == rested) or (marks and goes_on):
            return
        if state.tour and not goes_on:
            return
        position = self._find_position(chance)
        visit = Visit(chance, window, 0, replace(state, tour=""), position)
        node = self.visits[visit] = self._node(("after", visit))
        due = self.count_checks and self._step(visit.state, window.first).since_check == 0
        check = (Check(self.horse.horse),) if due else ()
        self.arcs.append((0, node, (*marks, enter, *check)))
        self._end_visit(visit, node)

    def _find_position(self, chance: Chance) -> int:
        """The position in a row of shows of an outing that has begun: the last where it is in one.

        A third show in a row after two that were lived is left out where a yard allows it.
        """
        before = list_past(self.problem, self.horse)[-1:]
        yard = self.problem.yard
        for outing in before:
            known = yard.show_by_name.get(outing.show)
            clear = chance.windows[0].first - outing.last_day.toordinal() - 1
            if known is not None and known.place_key == chance.place_key:
                return self.limits.shows_in_a_row if clear <= ROW_CLEAR_DAYS else 1
        return 1

    def _node(self, key: object) -> int:
        return self.numbers.setdefault(key, len(self.numbers))

    def _timeline(self, state: State, day: int) -> int:
        self.days[state].add(day)
        return self._node((state, day))

    def _may_need_break(self) -> bool:
        state, freedom = find_start(self.problem, self.horse, 0)[0]
        begun = sum(chance.begun for chance in self.chances)
        most = state.run + begun + self._count_further(freedom.ready)
        return most > self.limits.outings_before_break

    def _count_further(self, day: int) -> int:
        """How many outings there can still be from a day on, at the very most."""
        if day not in self.further:
            count, free = 0, day
            for window in self.by_end:
                if window.first >= free:
                    count += 1
                    free = window.last + 1
                    if self.limits.shows_in_a_row == 1:
                        free = self.problem.compute_ready(self.horse.horse, window.last)
            if "cap" not in self.problem.without:
                periods = max(0, self.problem.last - day) // CAP_WINDOW_DAYS + 1
                count = min(count, periods * self.cap)
            self.further[day] = count
        return self.further[day]

    def _list_visits(self, chance: Chance, window: Window) -> list[tuple[Visit, int | Visit]]:
        """The ways into a window that are reachable, each with its latest day or its row mate."""
        found: list[tuple[Visit, int | Visit]] = []
        for state, earliest in sorted(self.earliest.items(), key=lambda item: repr(item[0])):
            if state.run >= self.limits.outings_before_break and self.count_runs:
                continue
            if state.tour and state.tour != self._tour_of(chance):
                continue
            for extra in self.extras.get(chance.show, ()):
                key = window.first - extra
                if earliest <= key and state.extra in (None, extra):
                    found.append((Visit(chance, window, extra, state, 1), key))
        found += self._list_row_visits(chance, window)
        return found

    def _list_row_visits(self, chance: Chance, window: Window) -> list[tuple[Visit, int | Visit]]:
        if self.limits.shows_in_a_row < 2 or "recovery" in self.problem.without:
            return []
        found: list[tuple[Visit, int | Visit]] = []
        for earlier in list(self.visits):
            gap = window.first - earlier.window.last - 1
            fits = (
                earlier.chance.place_key == chance.place_key
                and earlier.chance.show != chance.show
                and 0 <= gap <= ROW_CLEAR_DAYS
                and earlier.position < self.limits.shows_in_a_row
            )
            state = self._step(earlier.state, earlier.window.first)
            full = self.count_runs and state.run >= self.limits.outings_before_break
            full = full or window.first < self.find_uncapped_day(earlier)
            if fits and not full:
                row = earlier.position + 1
                found.append((Visit(chance, window, 0, state, row, earlier.chance), earlier))
        return found

    def find_uncapped_day(self, visit: Visit) -> int:
        """The first day from which the cap allows another outing after a visit.

        Rule `cap`.
        """
        if "cap" in self.problem.without or self.cap > LOOK_BACK:
            return visit.window.first
        if self.cap == 1:
            return visit.window.first + CAP_WINDOW_DAYS
        if not self.looks_back:
            return visit.window.first
        recent = visit.state.recent
        return visit.window.first if recent is None else recent + CAP_WINDOW_DAYS

    def _tour_of(self, chance: Chance) -> str:
        return self.problem.yard.show_by_name[chance.show].tour

    def _step(self, state: State, chance_first: int) -> State:
        """The state after one more outing, before its end is settled."""
        every = self.limits.vet_check_after_shows
        return State(
            state.run + 1 if self.count_runs else 0,
            (state.since_check + 1) % every if self.count_checks else 0,
            "",
            chance_first if self.looks_back else None,
        )

    def _add_visit(self, visit: Visit, key: int | Visit) -> None:
        new = visit not in self.visits
        after = self.visits.setdefault(visit, self._node(("after", visit)))
        begin: tuple[Mark, ...] = (Enter(visit.chance, visit.window, visit.extra, visit.after),)
        state = self._step(visit.state, visit.window.first)
        if self.count_checks and state.since_check == 0:
            begin = (*begin, Check(self.horse.horse))
        if isinstance(key, Visit):
            tour = self._tour_of(key.chance)
            due = self._step(key.state, key.window.first).since_check == 0
            if self.count_checks and not due and tour not in ("", self._tour_of(visit.chance)):
                begin = (Check(self.horse.horse), *begin)
            self.arcs.append((self.visits[key], after, begin))
        else:
            self.arcs.append((self._timeline(visit.state, key), after, begin))
        if new:
            self._end_visit(visit, after)

    def _end_visit(self, visit: Visit, node: int) -> None:
        """What a horse may go on with after a visit: rested or not, its tour or another."""
        window = visit.window
        after = self._step(visit.state, window.first)
        ready = self.problem.compute_ready(self.horse.horse, window.last, self.extra_days)
        begin = self.find_uncapped_day(visit)
        if after.run + self._count_further(max(ready, begin)) <= self.limits.outings_before_break:
            after = replace(after, run=0)
        states = [(after, Freedom(ready, begin))]
        if after.run:
            rested = window.last + 1 + self.limits.break_days + self.limits.no_jump_days
            states.append((replace(after, run=0), Freedom(ready, max(begin, rested))))
        tour = self._tour_of(visit.chance) if self.count_checks else ""
        due = self.count_checks and after.since_check == 0
        for state, freedom in states:
            if tour and not due:
                self._enter(node, state, freedom, (Check(self.horse.horse),))
                self._enter(node, replace(state, tour=tour), freedom, ())
            else:
                self._enter(node, state, freedom, ())

    def _enter(self, tail: int, state: State, freedom: Freedom, marks: tuple[Mark, ...]) -> None:
        """A horse rests that must recover and may not begin before a day.

        Recovery is counted to the day less what the drives take, cap and break to the day itself:
        where they end later, visits after a long drive may be left for earlier.
        """
        day = max(freedom.ready, freedom.begin)
        self._enter_day(tail, state, day, marks)
        for extra in sorted({e for found in self.extras.values() for e in found if e}):
            early = max(freedom.ready, freedom.begin - extra)
            if early < day:
                self._enter_day(tail, replace(state, extra=extra), early, marks)

    def _enter_day(self, tail: int, state: State, day: int, marks: tuple[Mark, ...]) -> None:
        """A day of rest is entered; what the cap no longer looks back to is forgotten."""
        if state.recent is not None:
            # The outing after the next one begins so many days after the next at the least.
            apart = self.problem.compute_ready(self.horse.horse, 0, self.extra_days)
            if self.limits.shows_in_a_row > 1:
                apart = 1
            release = state.recent + CAP_WINDOW_DAYS - apart
            forgotten = replace(state, recent=None)
            if day >= release:
                self._enter_day(tail, forgotten, day, marks)
                return
            if state not in self.passed_on:
                self.passed_on.add(state)
                self._enter_day(self._timeline(state, release), forgotten, release, ())
        self.arcs.append((tail, self._timeline(state, day), marks))
        known = self.earliest.get(state)
        self.earliest[state] = day if known is None else min(known, day)

    def _join_days(self) -> None:
        """Waiting joins the days of rest; only with no tour to go on may the season end."""
        sink = self._node("sink")
        for state, days in self.days.items():
            order = sorted(days)
            for early, late in zip(order, order[1:], strict=False):
                self.arcs.append((self.numbers[state, early], self.numbers[state, late], ()))
            if not state.tour:
                self.arcs.append((self.numbers[state, order[-1]], sink, ()))

    def _in_order(self) -> HorseGraph:
        """Numbers the nodes so that every arc goes up, and drops what leads nowhere."""
        sink = self.numbers["sink"]
        out: dict[int, list[int]] = defaultdict(list)
        into: dict[int, list[int]] = defaultdict(list)
        for i, (tail, head, _) in enumerate(self.arcs):
            out[tail].append(i)
            into[head].append(i)
        useful = reach(sink, into, [arc[0] for arc in self.arcs])
        useful &= reach(0, out, [arc[1] for arc in self.arcs])
        waiting = {node: sum(self.arcs[i][0] in useful for i in into[node]) for node in useful}
        order: dict[int, int] = {}
        ready = [0]
        while ready:
            node = ready.pop()
            order[node] = len(order)
            for i in out[node]:
                head = self.arcs[i][1]
                if head in useful:
                    waiting[head] -= 1
                    if waiting[head] == 0:
                        ready.append(head)
        kept = sorted(
            (order[t], order[h], i)
            for i, (t, h, _) in enumerate(self.arcs)
            if t in order and h in order
        )
        return HorseGraph(
            [t for t, _, _ in kept],
            [h for _, h, _ in kept],
            [self.arcs[i][2] for _, _, i in kept],
            len(order),
            order[sink],
        )


def reach(start: int, arcs: Mapping[int, list[int]], ends: list[int]) -> set[int]:
    """The nodes that can be reached from a node along arcs."""
    found = {start}
    stack = [start]
    while stack:
        for i in arcs.get(stack.pop(), ()):
            if ends[i] not in found:
                found.add(ends[i])
                stack.append(ends[i])
    return found
