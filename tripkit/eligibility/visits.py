"""When the vet comes to a horse: the fewest visits that keep every outing legal.

A visit is a day on which the vet does one or several things to one horse: gives doses, draws
blood for a test, looks at it after a show. What has to be done comes from two sides: papers that
run out before an arrival (each legal day is asked of `eligibility`'s figures), and looks that the
yard wants within some days. The best plan leaves the fewest arrivals without a valid paper, gives
the fewest doses, then has the fewest visits; among equals the days that suit best are taken.

A plan is found exactly: every kind of paper has a list of all its shortest sequences of days, of
which those that differ in no day that matters to anything else are one; things that share no day
are settled apart. Where a season is so long that a paper is renewed twice, days that cover the
same arrivals and suit the same looks stand for each other.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from heapq import heappop, heappush
from itertools import count, product

from tripkit.eligibility.classes import find_books
from tripkit.eligibility.documents import assess_coggins
from tripkit.eligibility.paperwork import Stay, find_coggins_rule
from tripkit.eligibility.vaccination import SHUT_DAYS, DoseRules, Doses, find_dose_rules
from tripkit.eligibility.validity import join_days, list_open_days
from tripkit.yard.answers import BARRED, DUE, OK, RANKS, Verdict, add_sentences
from tripkit.yard.days import ONE_DAY, DaySpan, add_days
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Horse
from tripkit.yard.papers import COGGINS, VACCINATIONS, Paper
from tripkit.yard.rulebook import RuleBook
from tripkit.yard.yard import Yard

KINDS = (*VACCINATIONS, COGGINS)
LAST_DAYS = 21
"""A dose is planned at the earliest within so many days before it is due [days]."""

# What speaks against a day: the first is beyond anything that the second can add up to.
VET_AWAY, TOO_EARLY = 10**6, 10**3

Rows = tuple[Paper, ...]
Days = frozenset[date]
Asked = Callable[[date], bool]


@dataclass(frozen=True)
class DuePaper:
    """A dose or test that a plan needs: on which day, in which legal days, for which show.

    `day` None: no legal day exists, `reason` says why. `windows` hold every legal day, `limit`
    is the last useful one where the horse stood at home all the time.
    """

    horse: str
    paper: str
    day: date | None
    windows: tuple[DaySpan, ...]
    limit: date | None
    show: str
    reason: Fact
    source: str


@dataclass(frozen=True)
class Look:
    """A look that the vet takes at a horse on one of some days, the one liked best first.

    `show` is the one it follows, empty where the vet asked for it himself; `why` says so.
    """

    days: tuple[date, ...]
    why: Fact
    show: str = ""


@dataclass(frozen=True)
class Visit:
    """One day of the vet at one horse: the papers renewed, and the numbers of the looks taken."""

    day: date
    papers: tuple[DuePaper, ...] = ()
    looks: tuple[int, ...] = ()


@dataclass(frozen=True)
class VisitPlan:
    """All visits of a horse in date order, and the papers that no legal day is left for."""

    visits: tuple[Visit, ...] = ()
    missing: tuple[DuePaper, ...] = ()

    @property
    def papers(self) -> tuple[DuePaper, ...]:
        """Every dose and test, those without a legal day by their limit, in date order."""
        found = [paper for visit in self.visits for paper in visit.papers] + list(self.missing)
        return tuple(sorted(found, key=lambda d: (d.day or d.limit or date.max, d.paper, d.show)))


def plan_visits(
    yard: Yard,
    horse: Horse,
    stays: Sequence[Stay],
    *,
    away: Sequence[DaySpan] = (),
    looks: Sequence[Look] = (),
) -> VisitPlan:
    """The fewest visits of the vet that keep all stays legal and take every look.

    A dose is given at home (in no stay, absence, or span of `away`: the days on the road), after
    today, not within seven days before any arrival, and early enough for the stay that asks for
    it; a test is drawn at home, early enough for the laboratory. Among plans of the fewest visits
    the days lie where a vet is there and within 21 days before the limit, as early in them as can
    be; looks on the day liked best. A look without a day is left out.

    **Source:** the rules named in each paper; the order of wishes is common practice, no source.
    """
    ordered = sorted(stays, key=lambda stay: (stay.arrive, stay.show))
    gone = [DaySpan(stay.arrive, max(stay.arrive, stay.leave)) for stay in ordered]
    gone += [*yard.absences_of(horse.horse), *away]
    shut = gone + [DaySpan(add_days(s.arrive, 1 - SHUT_DAYS), s.arrive) for s in ordered]
    wanted: list[_Wanted] = []
    missing: list[DuePaper] = []
    courses: list[tuple[_Course, Rows]] = []
    for kind in KINDS:
        rows = yard.papers_by_holder.get((horse.horse, kind), ())
        if rows and ordered:
            course = _Course(yard, horse, kind, ordered, gone if kind == COGGINS else shut)
            courses.append((course, rows))
    found = [course.find_shortest(rows) for course, rows in courses]
    if None in found:
        alike = _find_alike(courses, looks)
        found = [course.find_shortest(rows, alike) for course, rows in courses]
    for (course, _), answer in zip(courses, found, strict=True):
        plans, lost = answer or ([], ())
        missing += lost
        if any(plan.days for plan in plans):
            wanted.append(_Wanted(course.kind, -1, plans))
    for number, look in enumerate(looks):
        if look.days:
            plans = [_Plan((day,), rank) for rank, day in enumerate(look.days)]
            wanted.append(_Wanted("", number, plans))
    vets = [person.person for person in yard.people if person.role == "vet"]
    chosen: list[tuple[_Wanted, _Plan]] = []
    for group in _part(wanted):
        chosen += _settle(
            group, lambda day: bool(vets) and all(yard.is_absent(vet, day) for vet in vets)
        )
    return VisitPlan(_gather(chosen), tuple(missing))


# One kind of paper


@dataclass(frozen=True)
class _Plan:
    """Days that settle one thing, what speaks against them, and what is due on each."""

    days: tuple[date, ...]
    weight: int
    due: tuple[DuePaper, ...] = ()


@dataclass(frozen=True)
class _Wanted:
    """One thing to settle: a kind of paper, or a look by its number; any of its plans will do."""

    kind: str
    look: int
    plans: Sequence[_Plan]

    @property
    def days(self) -> Days:
        """Every day that one of its plans has."""
        return frozenset(day for plan in self.plans for day in plan.days)


@dataclass(frozen=True)
class _Step:
    """How far a course is planned: rows with the doses added, the stay looked at, what is due.

    `worst` is what is wrong with that stay, None where it is still to be asked; `lost` are the
    papers no dose could be found for.
    """

    rows: Rows
    index: int = 0
    due: tuple[DuePaper, ...] = ()
    lost: tuple[DuePaper, ...] = ()
    weight: int = 0
    worst: Verdict | None = None


class _Course:
    """One kind of paper of one horse through its stays, in order of arrival."""

    def __init__(
        self, yard: Yard, horse: Horse, kind: str, stays: Sequence[Stay], shut: Sequence[DaySpan]
    ) -> None:
        self.yard, self.horse, self.kind = yard, horse, kind
        self.stays, self.shut = stays, shut
        self.tomorrow = yard.day_of_planning + ONE_DAY
        self._books = [find_books(yard, yard.show_by_name[stay.show]) for stay in stays]
        self._rules = self._look_up_rules() if kind != COGGINS else []
        self._read: tuple[Rows, dict[str, Doses]] = ((), {})

    def _look_up_rules(self) -> list[list[tuple[RuleBook, DoseRules]]]:
        """What each book asks at each stay; days on which the same editions hold share one."""
        same: dict[tuple[int, ...], DoseRules] = {}
        found = []
        for stay, books in zip(self.stays, self._books, strict=True):
            asked = ((book, find_dose_rules(self.kind, book, stay.arrive)) for book in books)
            found.append([(b, same.setdefault(r.key, r)) for b, r in asked if r is not None])
        return found

    def find_shortest(
        self, rows: Rows, alike: Mapping[date, date] | None = None
    ) -> tuple[list[_Plan], tuple[DuePaper, ...]] | None:
        """All sequences of doses that leave the fewest stays out and then need the fewest doses.

        With them the papers for stays that no dose can help, as the first of them says. None
        where more than one dose in a running course is needed and nobody said yet which days
        are `alike` (a day to the one that stands for it): there would be too many sequences.
        """
        tie = count()
        heap = [(0, 0, next(tie), _Step(rows))]
        best: tuple[int, int] | None = None
        plans: list[_Plan] = []
        lost: tuple[DuePaper, ...] = ()
        while heap:
            left_out, doses, _, step = heappop(heap)
            if best is not None and (left_out, doses) > best:
                break
            if step.worst is not None:
                if step.due and alike is None:
                    return None
                for way in self._list_ways(step, alike or {}):
                    given = [paper.day for paper in way if paper.day is not None]
                    held = self._add(step.rows, given)
                    further = replace(
                        step,
                        rows=held,
                        due=(*step.due, *way),
                        weight=step.weight + self._weigh(way),
                        worst=None,
                    )
                    heappush(heap, (left_out, doses - 1 + len(way), next(tie), further))
                told = (*step.lost, self._write_missing(self.stays[step.index], step.worst))
                without = replace(step, index=step.index + 1, lost=told, worst=None)
                heappush(heap, (left_out + 1, doses - 1, next(tie), without))
                continue
            need = self._find_need(step.rows, step.index)
            if need is not None:
                index, worst = need
                asked = replace(step, index=index, worst=worst)
                heappush(heap, (left_out, doses + 1, next(tie), asked))
                continue
            if best is None:
                best, lost = (left_out, doses), step.lost
            days = tuple(paper.day for paper in step.due if paper.day is not None)
            plans.append(_Plan(days, step.weight, step.due))
        return plans, lost

    def cover(self, rows: Rows, day: date) -> tuple[bool, ...]:
        """Which stays are legal if a dose is given on a day; with whether it may be given then."""
        held = self._add(rows, (day,))
        covered = [
            all(v.answer == OK for v in self._judge(held, index))
            for index in range(len(self.stays))
        ]
        return (not any(day in span for span in self.shut), *covered)

    def _find_need(self, rows: Rows, first: int) -> tuple[int, Verdict] | None:
        """The first stay from a number on that these rows do not cover, and the worst verdict."""
        for index in range(first, len(self.stays)):
            wrong = [v for v in self._judge(rows, index) if v.answer in (BARRED, DUE)]
            if wrong:
                return index, min(wrong, key=lambda v: (RANKS[v.answer], v.due_by or date.max))
        return None

    def _judge(self, rows: Rows, index: int) -> list[Verdict]:
        stay, today = self.stays[index], self.yard.day_of_planning
        if self.kind != COGGINS:
            if self._read[0] is not rows:
                self._read = (rows, {})
            return [
                self._read_doses(rows, book).assess(stay.arrive, rules)
                for book, rules in self._rules[index]
            ]
        show = self.yard.show_by_name[stay.show]
        last_day: date = getattr(stay, "last_day", stay.leave)
        days = DaySpan(stay.arrive, max(stay.arrive, last_day))
        verdicts = []
        for book in self._books[index]:
            for region in (None, *self.yard.roads.states_on_way.get(show.place_key, ())):
                rule = find_coggins_rule(self.yard, show, book, stay.arrive, region)
                if rule is not None:
                    verdicts.append(assess_coggins(rows, book, rule, days, today))
        return verdicts

    def _read_doses(self, rows: Rows, book: RuleBook) -> Doses:
        """What one book makes of rows, read once for all stays."""
        known = self._read[1]
        if book.id not in known:
            known[book.id] = Doses(self.kind, rows, book, self.yard.day_of_planning)
        return known[book.id]

    def _list_ways(self, step: _Step, alike: Mapping[date, date]) -> Sequence[tuple[DuePaper, ...]]:
        """Every dose that makes a stay legal; where none does alone, every pair of a new course."""
        rows, index, worst = step.rows, step.index, step.worst
        stay = self.stays[index]
        if worst is None or worst.answer == BARRED or worst.due_by is None:
            return []
        open_days = list_open_days(self.tomorrow, worst.due_by, self.shut)
        legal = [day for day in open_days if self._helps(rows, index, day)]
        if legal:
            spans = join_days(legal)
            return [
                (self._write(stay, worst, day, spans, _state_choice(day, worst.due_by)),)
                for day in legal
                if alike.get(day, day) == day
            ]
        if self.kind == COGGINS:
            return []
        later = list_open_days(self.tomorrow, add_days(stay.arrive, -SHUT_DAYS), self.shut)
        ways = []
        for first in open_days:
            seconds = [d for d in later if d > first and self._helps(rows, index, first, d)]
            if not seconds:
                continue
            begun = self._write(
                stay, worst, first, join_days(open_days), state("vaccination.course-first")
            )
            spans = join_days(seconds)
            ways += [
                (begun, self._write(stay, worst, second, spans, state("vaccination.course-second")))
                for second in seconds
            ]
        return ways

    def _helps(self, rows: Rows, index: int, *days: date) -> bool:
        return all(v.answer == OK for v in self._judge(self._add(rows, days), index))

    def _add(self, rows: Rows, days: Iterable[date]) -> Rows:
        new = (Paper(self.horse.horse, self.kind, day) for day in days)
        return tuple(sorted((*rows, *new), key=lambda row: row.date))

    def _write(
        self,
        stay: Stay,
        worst: Verdict,
        day: date | None,
        windows: tuple[DaySpan, ...],
        why: Fact,
    ) -> DuePaper:
        return DuePaper(
            self.horse.horse,
            self.kind,
            day,
            windows,
            worst.due_by,
            stay.show,
            add_sentences(worst.reason, why),
            worst.source,
        )

    def _write_missing(self, stay: Stay, worst: Verdict) -> DuePaper:
        if worst.answer == BARRED or worst.due_by is None:
            why = state("documents.no-day")
        elif self.kind == COGGINS:
            why = state("documents.no-day-at-home")
        else:
            why = state("vaccination.no-day-at-home", shut_days=SHUT_DAYS)
        return self._write(stay, worst, None, (), why)

    def _weigh(self, way: Sequence[DuePaper]) -> int:
        """What speaks against the days: early in the last days before the limit is best.

        There is room for a second try; earlier still, the paper held would be wasted. A new course
        begins as early as can be. Common practice, no source.
        """
        if len(way) > 1:
            return sum((paper.day - self.tomorrow).days for paper in way if paper.day)
        (paper,) = way
        if paper.day is None or paper.limit is None:
            return 0
        first = add_days(paper.limit, -LAST_DAYS)
        if paper.day >= first:
            return (paper.day - first).days
        return TOO_EARLY + (paper.limit - paper.day).days


def _state_choice(day: date, limit: date) -> Fact:
    if day >= add_days(limit, -LAST_DAYS):
        return state("documents.day-near", day=day, last_days=LAST_DAYS, limit=limit)
    return state("documents.day-early", day=day, limit=limit)


# All of them together


def _part(wanted: Sequence[_Wanted]) -> list[list[_Wanted]]:
    """Groups of things of which none shares a day with a thing of another group."""
    groups: list[tuple[set[date], list[_Wanted]]] = []
    for thing in wanted:
        days, members = set(thing.days), [thing]
        apart = []
        for known, others in groups:
            if known & days:
                days |= known
                members = others + members
            else:
                apart.append((known, others))
        groups = [*apart, (days, members)]
    return [members for _, members in groups]


def _settle(group: Sequence[_Wanted], vets_away: Asked) -> list[tuple[_Wanted, _Plan]]:
    """One plan for each thing of a group: the fewest days together, then the best suited."""
    thinned = []
    for thing in group:
        others: set[date] = set()
        for other in group:
            others |= other.days if other is not thing else frozenset()
        thinned.append(_thin(thing.plans, others, vets_away))
    most = max(len(set(plan.days)) for plans in thinned for plan in plans)
    reached: dict[Days, tuple[int, tuple[_Plan, ...]]] = {}
    while not reached:
        reached = _combine(thinned, most)
        most += 1

    def weigh(item: tuple[Days, tuple[int, tuple[_Plan, ...]]]) -> tuple[int, int, list[date]]:
        days, (weight, _) = item
        return len(days), weight + VET_AWAY * sum(map(vets_away, days)), sorted(days)

    _, (_, choice) = min(reached.items(), key=weigh)
    return list(zip(group, choice, strict=True))


def _combine(
    choices: Sequence[Sequence[_Plan]], most: int
) -> dict[Days, tuple[int, tuple[_Plan, ...]]]:
    """Days that a plan of each thing leads to, `most` at most, each with its lightest choice."""
    reached: dict[Days, tuple[int, tuple[_Plan, ...]]] = {frozenset(): (0, ())}
    for plans in choices:
        further: dict[Days, tuple[int, tuple[_Plan, ...]]] = {}
        for (days, (weight, choice)), plan in product(reached.items(), plans):
            taken = days.union(plan.days)
            total = weight + plan.weight
            if len(taken) <= most and (taken not in further or total < further[taken][0]):
                further[taken] = (total, (*choice, plan))
        reached = further
    return reached


def _find_alike(courses: Sequence[tuple[_Course, Rows]], looks: Sequence[Look]) -> dict[date, date]:
    """Days that cover the same arrivals for every paper and suit the same looks, as one of them.

    The one that stands for them lies as early as can be in the last days before their end, as
    `_Course` likes it best.
    """
    last = max((stay.arrive for course, _ in courses for stay in course.stays), default=None)
    if last is None:
        return {}
    alike: dict[tuple[object, ...], list[date]] = {}
    for day in DaySpan(courses[0][0].tomorrow, max(last, courses[0][0].tomorrow)):
        mark = (
            *(course.cover(rows, day) for course, rows in courses),
            *(day in look.days for look in looks),
        )
        alike.setdefault(mark, []).append(day)
    found = {}
    for days in alike.values():
        recent = next(day for day in days if day >= add_days(days[-1], -LAST_DAYS))
        found.update(dict.fromkeys(days, recent))
    return found


def _thin(plans: Sequence[_Plan], others: Collection[date], vets_away: Asked) -> list[_Plan]:
    """Of plans that are alike on the days that matter to other things, the best suited one."""
    best: dict[tuple[int, Days], tuple[tuple[int, tuple[date, ...]], _Plan]] = {}
    for plan in plans:
        key = len(set(plan.days)), frozenset(day for day in plan.days if day in others)
        own = sum(vets_away(day) for day in set(plan.days) if day not in others)
        rank = (plan.weight + VET_AWAY * own, plan.days)
        if key not in best or rank < best[key][0]:
            best[key] = (rank, plan)
    return [plan for _, plan in best.values()]


def _gather(chosen: Sequence[tuple[_Wanted, _Plan]]) -> tuple[Visit, ...]:
    papers: dict[date, list[DuePaper]] = {}
    looks: dict[date, list[int]] = {}
    for thing, plan in chosen:
        for day, due in zip(plan.days, plan.due, strict=False):
            papers.setdefault(day, []).append(due)
        if thing.look >= 0:
            looks.setdefault(plan.days[0], []).append(thing.look)
    return tuple(
        Visit(day, tuple(papers.get(day, ())), tuple(sorted(looks.get(day, ()))))
        for day in sorted({*papers, *looks})
    )
