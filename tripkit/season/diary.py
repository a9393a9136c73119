"""What each horse does each day: shows, drives, schools, checks, and the work between them.

The season of a horse falls into gaps between jumps that are fixed (outings, the last jump known
from before). Into each gap go the schools that are allowed there; what remains is light work.

A school is never laid on a day on which one of these forbids it, in this order of weight:
the horse is not cleared, absent or not yet in work; it is within `no_jump_days` after an outing;
it drives, or rests after a drive; it was vaccinated that day or the two days before; it is within
the 7 days before its first outing of the season; the next day is no easy day. Among the days
left, no run of days without jumping grows longer than `longest_days_without_jumping` where that
can be; then each outing gets its `schools_before_show`; then somebody who rides the horse is where
it is; then schools come about every
`days_between_schools` days, the last one close to the show, by preference not on the yard's day
off. Where the forbidden days leave no other way, the longest run gives way (and the judge says
so).

**Source:** common practice, no source; the 7 days between a vaccination and an arrival are those
of the paper rules (see `eligibility`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from tripkit.eligibility.classes import is_cleared
from tripkit.eligibility.validity import join_days
from tripkit.eligibility.visits import Look, VisitPlan, plan_visits
from tripkit.season.bases import find_base_nights
from tripkit.season.whereabouts import Whereabouts
from tripkit.yard.circuit import KINDS_OF_DAY, Day, Leg, Outing, RiderWay
from tripkit.yard.days import ONE_DAY, DaySpan, name_weekday
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Horse
from tripkit.yard.papers import COGGINS, VACCINATIONS
from tripkit.yard.places import HOME
from tripkit.yard.recovery import count_rest_days, find_checked_outings
from tripkit.yard.yard import Yard

ROAD = "road"
JUMPING = ("show", "school")
QUIET_DAYS_BEFORE_FIRST = 7
QUIET_DAYS_AFTER_VACCINATION = 2
VET_CHECK_WITHIN_DAYS = 3
BUILD_UP_DAYS = 14
LAY_OFF_DAYS = 7
SCHOOL_TO_SHOW_DAYS = 3
BLOOD_TESTS = (COGGINS,)

AFTER_SHOW = ("turnout", "hack", "flat", "hack", "turnout", "flat", "flat")
BETWEEN_SCHOOLS = ("hack", "flat", "flat", "turnout", "hack", "flat")
ON_THE_GROUNDS = ("hack", "flat")

# Weights of the search for schools, each beyond anything the next can add up to.
TOO_LONG = 10**9
MISSING = 10**6
ALONE = 10**5
DAY_OFF, AFTER_DRIVE, AFTER_LAY_OFF, BUILDING_UP = 10, 4, 200, 400


def write_diary(
    yard: Yard, outings: Sequence[Outing], legs: Sequence[Leg], ways: Sequence[RiderWay] = ()
) -> tuple[Day, ...]:
    """Every horse has one line for every date of the season, by horse and date.

    `at` is `home`, `road`, a base or the show's id; `does` the first kind that applies in the order
    of `KINDS_OF_DAY`, `also` the rest. A class day is `show`, a day on the grounds without a class
    is not; a day with a drive is at `road` unless the horse jumps a class that day. A past outing
    at a show that the yard does not list leaves the horse where its legs say. A horse that
    is absent or not cleared rests, one not in work is turned out. Days before today are laid
    out by the same rules, with the results known from them; those of a season that has begun
    stay as they were published, as far as they happened. By the riders' `ways` schools fall on days
    on which somebody who rides the horse is where it is.
    """
    whereabouts = Whereabouts(yard, ways)
    own_outings: dict[str, list[Outing]] = {}
    for outing in sorted(outings, key=lambda o: (o.first_day, o.last_day, o.show)):
        own_outings.setdefault(outing.horse, []).append(outing)
    own_legs: dict[str, list[Leg]] = {}
    for leg in sorted(legs, key=lambda leg: (leg.depart, leg.vehicle)):
        for name in leg.horses:
            own_legs.setdefault(name, []).append(leg)
    days: list[Day] = []
    for horse in sorted(yard.horses, key=lambda horse: horse.horse):
        name = horse.horse
        chart = _Chart(yard, horse, own_outings.get(name, []), own_legs.get(name, []))
        days.extend(chart.write(whereabouts))
    return tuple(days)


def list_lone_schools(yard: Yard, days: Sequence[Day], ways: Sequence[RiderWay]) -> Iterator[Fact]:
    """For each horse the schools to come on days on which nobody who rides it is where it is."""
    whereabouts = Whereabouts(yard, ways)
    alone: dict[str, list[date]] = {}
    for day in days if yard.riders else ():
        horse = yard.horse_by_name[day.horse]
        schools = "school" in (day.does, *day.also) and day.date > yard.day_of_planning
        if schools and whereabouts.find_rider(horse, day.at, day.date) is None:
            alone.setdefault(day.horse, []).append(day.date)
    for name, on in alone.items():
        yield state("season.school-alone", horse=name, count=len(on), on=on[0])


def plan_vet(
    yard: Yard, horse: Horse, outings: Sequence[Outing], legs: Sequence[Leg]
) -> tuple[VisitPlan, tuple[Look, ...]]:
    """When the vet comes to a horse whose outings and legs these are, and the looks asked for.

    The diary shows the same days.
    """
    own = sorted(outings, key=lambda o: (o.first_day, o.last_day, o.show))
    ways = sorted(legs, key=lambda leg: (leg.depart, leg.vehicle))
    return _Chart(yard, horse, own, ways).plan_vet()


def has_shown_before(yard: Yard, first: Outing) -> bool:
    """Whether a horse has a result in this season before its first planned outing.

    One at that very show is the same outing.
    """
    return any(
        yard.season.first <= past.last_day < first.first_day and past.show != first.show
        for past in yard.history.get(first.horse, ())
    )


def _name_idleness(yard: Yard, horse: Horse, day: date) -> str:
    """What a horse that cannot work does that day; "" for one that can."""
    if not is_cleared(yard, horse, day) or yard.is_absent(horse.horse, day):
        return "rest"
    if horse.in_work_from is not None and day < horse.in_work_from:
        return "turnout"
    return ""


class _Chart:
    """One horse's season; days are counted from the first of the season (0)."""

    def __init__(
        self, yard: Yard, horse: Horse, outings: Sequence[Outing], legs: Sequence[Leg]
    ) -> None:
        self.yard, self.horse, self.outings, self.legs = yard, horse, outings, legs
        self.limits = horse.limits
        self.first = yard.season.first
        self.days = yard.season.days
        self.before = self.limits.longest_days_without_jumping + 1
        self.idle = self._find_idleness()
        self.work_days = self._count_work_days()
        self.shows: dict[int, str] = {}
        self.travels: set[int] = set()
        self.tired: set[int] = set()
        self.homecomings: list[int] = []
        self.at = [HOME] * self.days
        self._mark_places()
        self._mark_tiredness()
        self.fixed = self._find_fixed_jumps()
        self.open = self._find_open_days()
        self.checks: set[int] = set()
        self.vaccinations: set[int] = set()
        self.schools: set[int] = set()
        self.alone: set[int] = set()
        self.lived: dict[int, Day] = {}
        self._take_over_lived_days()

    def write(self, whereabouts: Whereabouts) -> list[Day]:
        """The horse's lines in date order."""
        self.alone = self._find_lone_days(whereabouts)
        plan, _ = self.plan_vet()
        for visit in plan.visits:
            i = self.number(visit.day)
            if not 0 <= i < self.days or i in self.lived:
                continue
            if visit.looks or any(paper.paper in BLOOD_TESTS for paper in visit.papers):
                self.checks.add(i)
            if any(paper.paper in VACCINATIONS for paper in visit.papers):
                self._lay_vaccination(i)
        self._lay_schools()
        return self._write_lines()

    def plan_vet(self) -> tuple[VisitPlan, tuple[Look, ...]]:
        """The visits of the vet, and the looks they take."""
        looks = (*self._list_checks(), *self._list_rechecks())
        away = self._list_away()
        begun = self.yard.begun.outing_keys
        ahead = [o for o in self.outings if (o.horse, o.show) not in begun]
        return plan_visits(self.yard, self.horse, ahead, away=away, looks=looks), looks

    def name(self, i: int) -> date:
        """Days since the first of the season as a date."""
        return self.first + timedelta(days=i)

    def number(self, day: date) -> int:
        """A date as days since the first of the season."""
        return (day - self.first).days

    def _is_day_off(self, i: int) -> bool:
        return name_weekday(self.first + timedelta(days=i)) == self.limits.day_off

    def _is_at_home(self, i: int) -> bool:
        """Whether the horse stands all day where it lives: at home, or at a base."""
        return self.yard.houses(self.at[i]) and i not in self.travels

    # Where the horse is, and what is fixed.

    def _find_idleness(self) -> list[str]:
        """What a horse that cannot work does, from `before` days before the season on."""
        last = self.days - 1
        found = [""] * (self.before + self.days)

        def mark(first: int, last: int, word: str) -> None:
            for i in range(max(first, -self.before), last + 1):
                found[i + self.before] = word

        if self.horse.in_work_from is not None:
            mark(-self.before, min(self.number(self.horse.in_work_from) - 1, last), "turnout")
        checks = self.yard.vet_checks_by_horse.get(self.horse.horse, ())
        ends = [self.number(check.date) - 1 for check in checks[1:]] + [last]
        for check, end in zip(checks, ends, strict=False):
            if not check.cleared:
                mark(self.number(check.date), min(end, last), "rest")
        for days in self.yard.absences_of(self.horse.horse):
            mark(self.number(days.first), min(self.number(days.last), last), "rest")
        return found

    def _count_work_days(self) -> list[int]:
        """How many days the horse could work before each day; entry 0 is day -`before`."""
        counts = [0]
        for word in self.idle:
            counts.append(counts[-1] + (not word))
        return counts

    def _count_work_between(self, a: int, b: int) -> int:
        """Days strictly between two on which the horse could work."""
        first, last = max(a + 1, -self.before), min(b, self.days)
        return self.work_days[last + self.before] - self.work_days[first + self.before]

    def _mark_places(self) -> None:
        here = HOME
        reached = 0
        for leg in self.legs:
            start, end = self.number(leg.days.first), self.number(leg.days.last)
            for i in range(max(reached, 0), min(start, self.days)):
                self.at[i] = here
            for i in range(max(start, 0), min(end + 1, self.days)):
                self.at[i] = ROAD
                self.travels.add(i)
            here, reached = leg.end, end + 1
            if leg.end == HOME:
                self.homecomings.append(end)
        for i in range(max(reached, 0), self.days):
            self.at[i] = here
        at_base = find_base_nights(self.yard, self.outings, self.legs)
        for day, base in at_base.items():
            i = self.number(day)
            if 0 <= i < self.days and i not in self.travels:
                self.at[i] = base.base
            if day - ONE_DAY not in at_base or any(o.leave == day for o in self.outings):
                self.homecomings.append(i)
        self.homecomings.sort()
        for outing in self.outings:
            for i in self._clip(DaySpan(outing.arrive, outing.leave)):
                if i not in self.travels and self.name(i) not in at_base:
                    self.at[i] = outing.show
            for name in outing.classes:
                offered = self.yard.find_class(outing.show, name)
                if offered is not None:
                    self.shows[self.number(offered.day)] = outing.show
            for day in (outing.first_day, outing.last_day):
                self.shows[self.number(day)] = outing.show
        for result in self.yard.results:
            if result.horse == self.horse.horse and result.date < self.yard.day_of_planning:
                known = result.show in self.yard.show_by_name
                self.shows.setdefault(self.number(result.date), result.show if known else "")
        for i, show in self.shows.items():
            if show and 0 <= i < self.days:
                self.at[i] = show

    def _clip(self, days: DaySpan) -> range:
        return range(max(self.number(days.first), 0), min(self.number(days.last) + 1, self.days))

    def _mark_tiredness(self) -> None:
        """Whole days of rest after a drive; hours add up while no whole day lies between."""
        hours = 0.0
        for i, leg in enumerate(self.legs):
            if i > 0 and (leg.days.first - self.legs[i - 1].days.last).days > 1:
                hours = 0.0
            hours += leg.hours
            end = self.number(leg.days.last)
            self.tired.update(
                range(end + 1, end + 1 + count_rest_days(round(hours, 6), self.limits))
            )

    def _find_fixed_jumps(self) -> list[tuple[int, int, bool]]:
        """(first day, last day, planned) of each outing, past ones and the last jump among them."""
        planned = {outing.show for outing in self.outings}
        found = [(self.number(o.first_day), self.number(o.last_day), True) for o in self.outings]
        for past in self.yard.history.get(self.horse.horse, ()):
            own = past.show in planned
            found.append((self.number(past.first_day), self.number(past.last_day), own))
        return sorted(found)

    def _find_open_days(self) -> list[bool]:
        """Days on which a school is allowed, vaccinations aside."""
        open_days = [not word for word in self.idle[self.before :]]
        shut: set[int] = self.travels | self.tired
        for first, last, _ in self.fixed:
            shut.update(range(first, last + 1 + self.limits.no_jump_days))
        if self.outings and not has_shown_before(self.yard, self.outings[0]):
            begin = self.number(self.outings[0].first_day)
            shut.update(range(begin - QUIET_DAYS_BEFORE_FIRST, begin))
        for i in shut:
            if 0 <= i < self.days:
                open_days[i] = False
        return open_days

    def _take_over_lived_days(self) -> None:
        """Days of a season that has begun are over, as they were published; so is today's work.

        A line that tells of an outing or a drive that did not happen is not taken over, nor is
        work that the horse cannot do after all.
        """
        today = self.number(self.yard.day_of_planning)
        for line in self.yard.begun.days:
            i = self.number(line.date)
            if line.horse != self.horse.horse or not 0 <= i <= min(today, self.days - 1):
                continue
            kinds = {line.does, *line.also}
            told = ("show" in kinds, "travel" in kinds)
            if told != (i in self.shows, i in self.travels):
                continue
            if "school" in kinds and self.idle[i + self.before]:
                continue
            self.lived[i] = line
            for kind, days in (
                ("school", self.schools),
                ("vet check", self.checks),
                ("vaccination", self.vaccinations),
            ):
                if kind in kinds:
                    days.add(i)
        if self.yard.begun.days:
            for i in range(min(today + 1, self.days)):
                self.open[i] = False
        for i in self.vaccinations:
            for later in range(i, min(i + 1 + QUIET_DAYS_AFTER_VACCINATION, self.days)):
                self.open[later] = False

    # The vet.

    def _list_checks(self) -> list[Look]:
        """The days that suit each check after an outing, the best first."""
        tours = [self.yard.show_by_name[o.show].tour for o in self.outings]
        found = []
        for k in find_checked_outings(tours, self.limits):
            last = self.number(self.outings[k].last_day)
            following = (
                self.number(self.outings[k + 1].first_day)
                if k + 1 < len(self.outings)
                else self.days
            )
            if any(last <= i < following for i in self.checks):
                continue
            days = self._find_check_days(last, following) or [min(last, self.days - 1)]
            if self.lived:
                # What was missed is made good on the next day on which the horse stands still.
                ahead = range(max(self.lived) + 1, min(following, self.days))
                missed = [i for i in ahead if i not in self.travels][:VET_CHECK_WITHIN_DAYS]
                days = [i for i in days if i in ahead] or missed
            if not days:
                continue
            liked = sorted(days, key=lambda i: (self._is_day_off(i), i))
            show = self.outings[k].show
            found.append(self._make_look(liked, state("visits.look-after", show=show), show))
        return found

    def _find_check_days(self, last: int, following: int) -> list[int]:
        """Days for the vet after an outing: back home first, else on the grounds.

        Within three days of coming home; else the day of coming home; the evening after the
        last class is what remains (nothing found).
        """
        until = min(following, self.days)
        back = next((i for i in self.homecomings if last <= i < until), None)
        if back is not None:
            window = range(back + 1, min(back + 1 + VET_CHECK_WITHIN_DAYS, until))
            found = [i for i in window if self._is_at_home(i)]
            return found or [back]
        window = range(last + 1, min(last + 1 + VET_CHECK_WITHIN_DAYS, until))
        return [i for i in window if i not in self.travels]

    def _list_rechecks(self) -> list[Look]:
        """The days at home for each recheck the vet asked for and did not come to yet, last first.

        Within a week before its day, so that a check that falls there anyway is one with it.
        """
        own = self.yard.vet_checks_by_horse.get(self.horse.horse, ())
        found = []
        for check in own:
            by = check.recheck_by
            if by is None or any(check.date < c.date <= by for c in own):
                continue
            after = max([self.number(check.date), -1, *self.lived])
            asked = range(after + 1, self.number(by) + 1)
            if not 0 <= self.number(by) < self.days:
                continue
            days = [i for i in asked if self._is_at_home(i)]
            near = [i for i in days if i >= asked.stop - LAY_OFF_DAYS]
            why = state("visits.look-again", asked=check.date, by=by)
            found.append(self._make_look([*reversed(near or days)], why))
        return found

    def _make_look(self, days: Sequence[int], why: Fact, show: str = "") -> Look:
        return Look(tuple(map(self.name, days)), why, show)

    def _list_away(self) -> list[DaySpan]:
        """The days on which no vet finds the horse at home."""
        days = [i for i in range(self.days) if not self._is_at_home(i)]
        return list(join_days([self.name(i) for i in days]))

    def _is_idle(self, i: int) -> bool:
        """Whether the horse cannot work that day."""
        return bool(self.idle[i + self.before])

    def _find_lone_days(self, whereabouts: Whereabouts) -> set[int]:
        """The days on which nobody who rides the horse is where it is."""
        if not self.yard.riders:
            return set()
        return {
            i
            for i, at in enumerate(self.at)
            if at != ROAD and whereabouts.find_rider(self.horse, at, self.name(i)) is None
        }

    def _lay_vaccination(self, day: int) -> None:
        """That day and the two days after it have no school."""
        self.vaccinations.add(day)
        for i in range(day, min(day + 1 + QUIET_DAYS_AFTER_VACCINATION, self.days)):
            self.open[i] = False

    # Schools.

    def _lay_schools(self) -> None:
        """Each gap between fixed jumps gets its own schools."""
        jumps = list(self.fixed)
        for day in sorted(self.schools):
            if not any(first <= day <= last for first, last, _ in jumps):
                jumps = sorted([*jumps, (day, day, False)])
        if self.horse.last_jumped is not None:
            day = self.number(self.horse.last_jumped)
            if 0 <= day < self.days and self.open[day]:
                self.schools.add(day)
            if not any(first <= day <= last for first, last, _ in jumps):
                jumps = sorted([*jumps, (day, day, False)])
        penalties = self._weigh_days()
        start: int | None = None
        for first, last, planned in jumps:
            self._fill_gap(start, first, planned, penalties)
            start = last if start is None else max(start, last)
        self._fill_gap(start, None, False, penalties)

    def _weigh_days(self) -> list[int]:
        """What speaks against a school on each open day."""
        weights = [0] * self.days
        work_from = self.horse.in_work_from
        resumed, run = -self.before - LAY_OFF_DAYS, 0
        for j, word in enumerate(self.idle):
            i = j - self.before
            if word == "rest":
                run += 1
            elif run:
                resumed, run = (i if run >= LAY_OFF_DAYS else resumed), 0
            if i < 0 or word:
                continue
            weights[i] += ALONE * (i in self.alone)
            weights[i] += DAY_OFF * self._is_day_off(i) + AFTER_DRIVE * (i - 1 in self.travels)
            if i - resumed < LAY_OFF_DAYS:
                weights[i] += AFTER_LAY_OFF
            if work_from is not None and i - self.number(work_from) < BUILD_UP_DAYS:
                weights[i] += BUILDING_UP
        return weights

    def _fill_gap(
        self, start: int | None, end: int | None, planned: bool, penalties: Sequence[int]
    ) -> None:
        """Choose schools strictly between two jumps, at least an easy day after each.

        A shortest path over the open days: (days too many without a jump, schools missing
        before the show, unevenness). `start` None: no jump is known before; `end` None: the
        season ends.
        """
        wanted = self.limits.schools_before_show if planned and end is not None else 0
        low = 0 if start is None else max(start + 2, 0)
        high = self.days if end is None else min(end - 1, self.days)
        stops = [i for i in range(low, high) if self.open[i]]
        if not stops:
            return
        nodes = [-1 if start is None else start, *stops, self.days if end is None else end]
        # Past days without a rider the usual step may be too short.
        far = self.days if self.alone & {*stops} else 2 * self.limits.days_between_schools + 2
        # best[node][schools so far, at most wanted] = (cost, node before, schools before)
        best: list[dict[int, tuple[int, int, int]]] = [{0: (0, -1, 0)}]
        for j in range(1, len(nodes)):
            at_end = j == len(nodes) - 1
            easy_days = 1 if at_end and end is None else 2
            found: dict[int, tuple[int, int, int]] = {}
            i = j
            while i > 0:
                i -= 1
                gap = nodes[j] - nodes[i]
                step = self._count_work_between(nodes[i], nodes[j]) + 1
                if i > 0 and gap < easy_days:
                    continue
                if i > 0 and found and step > far:
                    i = 1  # nothing between is nearer to the usual step; the start may be
                    continue
                cost = TOO_LONG * max(0, step - 1 - self.limits.longest_days_without_jumping)
                if at_end and end is not None:
                    cost += (gap - SCHOOL_TO_SHOW_DAYS) ** 2
                elif at_end:
                    cost += self._weigh_wait(step)
                else:
                    cost += penalties[nodes[j]]
                    cost += self._weigh_step(step, nodes[j], start if i == 0 else None, i == 0)
                for held, (so_far, _, _) in best[i].items():
                    count = held if at_end else min(held + 1, wanted)
                    total = so_far + cost + (MISSING * (wanted - count) if at_end else 0)
                    if count not in found or total < found[count][0]:
                        found[count] = (total, i, held)
            best.append(found)
        count = min(best[-1], key=lambda held: best[-1][held][0])
        _, node, count = best[-1][count]
        while node > 0:
            self.schools.add(nodes[node])
            _, node, count = best[node][count]

    def _weigh_wait(self, step: int) -> int:
        """A longer wait than the usual one weighs, a shorter one does not."""
        return max(0, step - self.limits.days_between_schools) ** 2

    def _weigh_step(self, step: int, day: int, start: int | None, first: bool) -> int:
        """How far the working days from the last jump to a school are from the usual step.

        The first school after an outing waits for the days without jumping; before the first
        jump of the season only the last days before it count.
        """
        every = self.limits.days_between_schools
        if not first:
            return (step - every) ** 2
        if start is not None and any(last == start for _, last, _ in self.fixed):
            return (min(step, day + every) - max(every, self.limits.no_jump_days + 1)) ** 2
        return self._weigh_wait(min(step, day + every))

    # Lines.

    def _write_lines(self) -> list[Day]:
        lines: list[Day] = []
        since = 0
        work: Sequence[str] = BETWEEN_SCHOOLS
        name = self.horse.horse
        for i in range(self.days):
            kinds = {
                kind
                for kind, days in (
                    ("show", self.shows),
                    ("travel", self.travels),
                    ("school", self.schools),
                    ("vet check", self.checks),
                    ("vaccination", self.vaccinations),
                )
                if i in days
            }
            if kinds & {"show", "travel", "school"}:
                since = 0
                work = BETWEEN_SCHOOLS if "school" in kinds else AFTER_SHOW
            else:
                kinds.add(self._name_work(i, since, work, bool(kinds)))
                since += 1
            ordered = [kind for kind in KINDS_OF_DAY if kind in kinds]
            day = self.first + timedelta(days=i)
            line = Day(name, day, self.at[i], ordered[0], tuple(ordered[1:]))
            lines.append(self.lived.get(i, line))
        return lines

    def _name_work(self, i: int, since: int, work: Sequence[str], busy: bool) -> str:
        """The light work of a day without show, drive or school; `busy`: vet or vaccination."""
        if self._is_idle(i):
            return self.idle[i + self.before]
        if self._is_day_off(i) and not busy:
            return "day off"
        home = self.yard.houses(self.at[i])
        if i in self.tired:
            return "turnout" if home else "rest"
        if i in self.vaccinations:
            return "turnout" if home else "rest"
        if i + 1 in self.shows:
            return "flat"
        pattern = work if home else ON_THE_GROUNDS
        return pattern[since % len(pattern)]
