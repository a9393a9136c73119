"""What one horse may do in a season by itself: outings, and how it goes from each to the next.

A schedule says which classes a horse jumps where, and between two outings whether it goes home,
stays on the grounds or drives straight on. On which days it is driven is left to the lorries: each
move has the days on which it may begin.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from itertools import combinations, pairwise

from tests.brute.freedoms import Freedoms
from tests.brute.hours import DAY, EVENING, LAWS, LOAD_FROM, MORNING, NIGHT, TEN, Part, place
from tripkit.yard.horses import Aim, Horse
from tripkit.yard.shows import Show, ShowClass
from tripkit.yard.yard import Yard

HOME = "home"
OUTSIDE = 7
CAP_DAYS = 30
ROW_DAYS = 4
PREPARED = range(10, 46)
REST_FROM_HOURS = (8, 12, 24)
HOUR_QUARTERS = 4
SPEED_KMH = 70
AIM_STEP = Decimal(10) ** 6
"""More than all classes of a season are worth; what is left of a worth beyond it is its points."""


@dataclass(frozen=True)
class Visit:
    """One horse at one show with the classes it jumps there."""

    horse: str
    show: str
    place: str
    rider: str
    classes: tuple[ShowClass, ...]

    @cached_property
    def days(self) -> tuple[int, ...]:
        """The class days."""
        return tuple(sorted({c.day.toordinal() for c in self.classes}))

    @property
    def first(self) -> int:
        """The first class day."""
        return self.days[0]

    @property
    def last(self) -> int:
        """The last class day."""
        return self.days[-1]


@dataclass(frozen=True)
class Chance:
    """A day on which a move may begin, from and until which quarter of the day it may last."""

    depart: int
    arrive: int
    earliest: int
    latest: int


@dataclass(frozen=True)
class Move:
    """One drive of a horse, and when it may begin.

    `first` is the day of the first class after it (None: it goes home or to a base); `clear` the
    days without a class before that which are left when rest and schools are taken off (None:
    nothing to recover from); `rested` the last of the days without jumping before it.
    """

    start: str
    end: str
    chances: tuple[Chance, ...]
    first: int | None = None
    clear: int | None = None
    rested: int | None = None


@dataclass(frozen=True, eq=False)
class Schedule:
    """A horse's season: outings, moves, worth."""

    horse: str
    visits: tuple[Visit, ...]
    links: tuple[str, ...]
    moves: tuple[Move, ...]
    worth: Decimal


def count_rest(quarters: int) -> int:
    """Whole days of rest after so many quarters of driving (rule `travel-rest`)."""
    return sum(quarters >= hours * HOUR_QUARTERS for hours in REST_FROM_HOURS)


class Map:
    """The yard's roads: quarters of driving, and days that a drive takes."""

    def __init__(self, yard: Yard, freedoms: Freedoms) -> None:
        self.yard, self.freedoms = yard, freedoms
        self.law = LAWS[yard.driving.rules]
        self.known: dict[tuple[str, str, bool], int] = {}

    def measure(self, start: str, end: str) -> int:
        """Quarters of driving from place to place."""
        drive = self.yard.roads.find_drive(start, end)
        assert drive is not None
        hours = drive.km / SPEED_KMH if drive.hours is None else drive.hours
        quarters = hours * HOUR_QUARTERS
        assert quarters == int(quarters)
        return int(quarters)

    def count_days(self, start: str, end: str, *, loaded: bool = True) -> int:
        """Calendar days of a drive, one or two."""
        horses = loaded or not self.freedoms.empty_by_driver
        key = (start, end, horses)
        if key not in self.known:
            earliest, latest = (LOAD_FROM, NIGHT) if horses else (0, DAY)
            part = Part(self.measure(start, end), horses, loaded, loaded, earliest, latest)
            self.known[key] = 1 if place((part,), self.law) else 2
        return self.known[key]


class Book:
    """All schedules of a yard's horses."""

    def __init__(self, yard: Yard, freedoms: Freedoms) -> None:
        self.yard, self.freedoms = yard, freedoms
        self.map = Map(yard, freedoms)
        self.begin = yard.season.first.toordinal() - OUTSIDE
        self.end = yard.season.last.toordinal() + OUTSIDE
        self.base_at = {base.place_key: base for base in yard.bases}
        self.barns = [HOME, *self.base_at]
        shows = (show.place_key for show in yard.shows)
        self.places = [HOME, *dict.fromkeys((*shows, *self.base_at))]
        self.come: dict[str, set[int]] = {place: set() for place in self.places}
        self.go: dict[str, set[int]] = {place: set() for place in self.places}
        for horse in yard.horses:
            for show in yard.shows:
                self._add_usual_days(horse, show)

    # Who is away when.

    def is_free(self, who: str, first: int, last: int) -> bool:
        """Whether no absence of somebody touches these days."""
        return not any(
            a.days.first.toordinal() <= last and first <= a.days.last.toordinal()
            for a in self.yard.absences
            if a.who == who
        )

    # What a horse may jump.

    def list_classes(self, horse: Horse, show: Show) -> list[ShowClass]:
        """The classes of a show that a horse and its rider may start in."""
        fit = horse.in_work_from and horse.in_work_from.toordinal() + horse.limits.fit_up_days
        return [
            c
            for c in show.classes
            if horse.from_height_cm <= c.height_cm <= horse.to_height_cm
            and self.yard.season.first <= c.day <= self.yard.season.last
            and (fit is None or c.day.toordinal() >= fit)
            and all(
                self.is_free(who, c.day.toordinal(), c.day.toordinal())
                # Who else rides it is the other referee's, `tests.planning.oracle`.
                for who in (horse.horse, *([] if horse.also_ridden_by else [horse.rider]))
            )
        ]

    def list_visits(self, horse: Horse, show: Show) -> Iterator[Visit]:
        """Every set of classes that a horse may jump at a show."""
        offered = self.list_classes(horse, show)
        for size in range(1, horse.starts_per_show + 1):
            for classes in combinations(offered, size):
                days = [c.day for c in classes]
                if max(days.count(day) for day in days) <= horse.starts_per_day:
                    yield Visit(horse.horse, show.show, show.place_key, horse.rider, classes)

    # When a horse may come and go.

    def latest(self, horse: Horse, start: str, end: str, first: int) -> int:
        """The last day to arrive for a first class, a morning of the same day set aside."""
        rest = count_rest(self.map.measure(start, end))
        return first - max(horse.limits.arrive_days_before, 1 + rest)

    def _add_usual_days(self, horse: Horse, show: Show) -> None:
        """The usual days: the last that suits some horse's classes, the day after the last one.

        Where a lorry is absent then, the nearest day before or after on which it may drive.
        """
        opens, closes = show.stabling.first.toordinal(), show.stabling.last.toordinal()
        key = show.place_key
        for day in {c.day.toordinal() for c in self.list_classes(horse, show)}:
            for other in self.places:
                if other == key:
                    continue
                come = range(self.latest(horse, other, key, day), opens - 1, -1)
                go = range(day + 1, closes + 1)
                self.come[key].update(come[:1])
                self.go[key].update(go[:1])
                before = self.map.count_days(other, key) - 1
                after = self.map.count_days(key, other) - 1
                for lorry in self.yard.vehicles:
                    name = lorry.vehicle
                    self.come[key].update(
                        [d for d in come if self.is_free(name, d - before, d)][:1]
                    )
                    self.go[key].update([d for d in go if self.is_free(name, d, d + after)][:1])

    def list_chances(
        self, horse: Horse, start: str, end: str, leaves: Visit | None, comes: Visit | None
    ) -> tuple[Chance, ...]:
        """When a horse may be driven: after a visit that it leaves, before one that it comes to."""
        freedoms, days = self.freedoms, self.map.count_days(start, end)
        found = []
        low, high = self.begin, self.end
        if leaves is not None:
            low = leaves.last if freedoms.evening else leaves.last + 1
            high = self.yard.show_by_name[leaves.show].stabling.last.toordinal()
        for depart in range(low, high + 1):
            arrive = depart + days - 1
            earliest, latest = MORNING, NIGHT
            if leaves is not None:
                if depart == leaves.last:
                    earliest = EVENING
                elif depart not in self.go[start] and not freedoms.any_day:
                    continue
            if comes is not None:
                opens = self.yard.show_by_name[comes.show].stabling.first.toordinal()
                if arrive == comes.first and freedoms.day_trips:
                    if horse.limits.arrive_days_before or arrive < opens:
                        continue
                    latest = TEN
                elif not (
                    opens <= arrive <= self.latest(horse, start, end, comes.first)
                    and (freedoms.any_day or arrive in self.come[end])
                ):
                    continue
            if depart < self.begin or arrive > self.end:
                continue
            if not self.is_free(horse.horse, depart, arrive):
                continue
            if not self.has_box(start, depart - 1) or not self.has_box(end, arrive):
                continue
            timed = earliest == EVENING or latest == TEN
            part = Part(self.map.measure(start, end), True, True, True, earliest, latest)
            if timed and place((part,), self.map.law) is None:
                continue
            found.append(Chance(depart, arrive, earliest, latest))
        return tuple(found)

    def has_box(self, key: str, night: int) -> bool:
        """Whether a place is open on a night, where it is a base."""
        base = self.base_at.get(key)
        return base is None or base.has_night(date.fromordinal(night))

    # Schedules.

    def list_schedules(self, horse: Horse) -> list[Schedule]:
        """Every schedule that a horse's own rules allow, the most worth first."""
        visits = [v for show in self.yard.shows for v in self.list_visits(horse, show)]
        visits.sort(key=lambda v: v.first)
        found: list[Schedule] = []

        def extend(row: tuple[Visit, ...], links: tuple[str, ...]) -> None:
            for back in [HOME, *(f"{key} {HOME}" for key in self.base_at if row)]:
                moves = self.list_moves(horse, row, links, back)
                if moves is not None:
                    worth = self.count_worth(horse, row)
                    found.append(Schedule(horse.horse, row, links, moves, worth))
            for visit in visits:
                if row and (visit.first <= row[-1].last or visit.show in {v.show for v in row}):
                    continue
                for link in self.list_links(row, visit):
                    longer, linked = (*row, visit), (*links, link)
                    if self.keeps_rules(horse, longer, linked):
                        extend(longer, linked)

        extend((), ())
        return sorted(found, key=lambda s: -s.worth)

    def list_links(self, row: Sequence[Visit], visit: Visit) -> list[str]:
        """How a horse may go on to a visit: by which barns, or by none."""
        out = [HOME, *(f"{HOME} {key}" for key in self.base_at)]
        if not row:
            return out
        on = "stay" if row[-1].place == visit.place else "on"
        return [*out, on, *self.base_at, *(f"{key} {HOME}" for key in self.base_at)]

    def keeps_rules(self, horse: Horse, row: Sequence[Visit], links: Sequence[str]) -> bool:
        """Cap, break and recovery hold for the last of a horse's visits."""
        limits = horse.limits
        cap, most = limits.shows_per_30_days, limits.outings_before_break
        spans = [*self.list_past(horse.horse), *((visit.first, visit.last) for visit in row)]
        if len(spans) > cap and spans[-1][0] - spans[-1 - cap][0] < CAP_DAYS:
            return False
        run = spans[-1 - most :]
        gaps = [b[0] - a[1] - 1 for a, b in pairwise(run)]
        if len(run) > most and max(gaps) < limits.break_days + limits.no_jump_days:
            return False
        clear = self.count_clear(horse, row, links)[-1]
        return clear is None or clear >= 0

    def list_past(self, horse: str) -> list[tuple[int, int]]:
        """First and last day of each outing before the season."""
        past = self.yard.history.get(horse, ())
        return [(o.first_day.toordinal(), o.last_day.toordinal()) for o in past]

    def count_clear(
        self, horse: Horse, row: Sequence[Visit], links: Sequence[str]
    ) -> list[int | None]:
        """Clear days before each visit beyond the no-jump days and schools; None: none asked."""
        limits = horse.limits
        asked = limits.no_jump_days + 2 * limits.schools_before_show
        past = self.list_past(horse.horse)
        found: list[int | None] = [row[0].first - past[-1][1] - 1 - asked if past and row else None]
        position = 1
        for (before, visit), link in zip(pairwise(row), links[1:], strict=True):
            clear = visit.first - before.last - 1
            near = before.place == visit.place and clear <= min(ROW_DAYS, asked - 1)
            if near and link == "stay" and position < limits.shows_in_a_row:
                position += 1
                found.append(None)
            else:
                position = 1
                found.append(clear - asked)
        return found

    def list_moves(
        self, horse: Horse, row: Sequence[Visit], links: Sequence[str], back: str = HOME
    ) -> tuple[Move, ...] | None:
        """The drives that a schedule asks for; None where one of them has no day."""
        moves: list[Move] = []
        clear = self.count_clear(horse, row, links)
        for number, (visit, link) in enumerate(zip(row, links, strict=True)):
            before = row[number - 1] if number else None
            if link == "stay":
                continue
            barns = [] if link == "on" else link.split()
            moves += self._list_barn_moves(horse, before, barns)
            start = barns[-1] if barns else before.place if before else HOME
            leaves = None if barns else before
            chances = self.list_chances(horse, start, visit.place, leaves, visit)
            rested = self._find_rested(horse, before)
            moves.append(Move(start, visit.place, chances, visit.first, clear[number], rested))
        if row:
            moves += self._list_barn_moves(horse, row[-1], back.split())
        return tuple(moves) if all(move.chances for move in moves) else None

    def _list_barn_moves(
        self, horse: Horse, before: Visit | None, barns: Sequence[str]
    ) -> Iterator[Move]:
        """The drives from a visit (None: from home) to one barn after another."""
        last = before
        for start, end in pairwise([before.place if before else "", *barns]):
            if start:
                chances = self.list_chances(horse, start, end, last, None)
                yield Move(start, end, chances, rested=self._find_rested(horse, before))
            last = None

    def _find_rested(self, horse: Horse, before: Visit | None) -> int | None:
        past = self.list_past(horse.horse)
        lasts = [past[-1][1]] if past else []
        lasts += [before.last] if before else []
        return lasts[-1] + horse.limits.no_jump_days if lasts else None

    # Worth.

    def count_worth(self, horse: Horse, row: Sequence[Visit]) -> Decimal:
        """Its classes times the horse's weight, and the aims it meets.

        Where aims come first, each is worth so many `AIM_STEP` besides that it is more than all
        less important ones together.
        """
        classes = sum(
            (Decimal(10) if c.worth is None else c.worth for visit in row for c in visit.classes),
            Decimal(0),
        )
        aims = [a for a in self.yard.aims if a.horse == horse.horse and self.is_met(a, row)]
        worth = classes * horse.weight + sum((a.importance for a in aims), Decimal(0))
        if self.yard.limits.aims == "first":
            ranks = sorted({aim.importance for aim in self.yard.aims})
            base = len(self.yard.aims) + 1
            worth += AIM_STEP * sum(base ** ranks.index(aim.importance) for aim in aims)
        return worth

    def is_met(self, aim: Aim, row: Sequence[Visit]) -> bool:
        """The class is jumped, its points and starts are there, an earlier outing prepared it."""
        there = next((visit for visit in row if visit.show == aim.show), None)
        if there is None or aim.class_name not in ("", *(c.name for c in there.classes)):
            return False
        earlier = [visit for visit in row if visit.last < there.first]
        ends = [*(last for _, last in self.list_past(aim.horse)), *(v.last for v in earlier)]
        if not any(there.first - end in PREPARED for end in ends):
            return False
        if not aim.series:
            return True
        by = there.first
        if not self.freedoms.points_until_class:
            horse, show = self.yard.horse_by_name[aim.horse], self.yard.show_by_name[aim.show]
            by = min(c.day.toordinal() for c in self.list_classes(horse, show))
        if aim.by is not None:
            by = min(by, aim.by.toordinal())
        earned = [
            c.points
            for visit in earlier
            for c in visit.classes
            if c.series == aim.series and c.day.toordinal() < by
        ]
        earned += [
            r.points
            for r in self.yard.results
            if r.horse == aim.horse and r.series == aim.series and r.date.toordinal() < by
        ]
        return sum(earned, Decimal(0)) >= aim.points_needed and len(earned) >= aim.starts_needed
