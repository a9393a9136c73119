"""Why a horse does what it does on one day of a circuit."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from tripkit.eligibility.classes import find_last_vet_check
from tripkit.eligibility.paperwork import find_paper_findings
from tripkit.explaining.figures import find_road_source, tell_met
from tripkit.explaining.reasons import (
    LAST_OUTING,
    Explanation,
    Point,
    name_limit_source,
)
from tripkit.explaining.runs import add_reason
from tripkit.season.diary import (
    BETWEEN_SCHOOLS,
    QUIET_DAYS_AFTER_VACCINATION,
    QUIET_DAYS_BEFORE_FIRST,
    ROAD,
    VET_CHECK_WITHIN_DAYS,
    has_shown_before,
)
from tripkit.yard.answers import BARRED, DUE, Finding
from tripkit.yard.circuit import Circuit, Day, Leg, Outing
from tripkit.yard.days import add_days, check_day, name_weekday
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, Reason, state
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME
from tripkit.yard.recovery import count_rest_days, find_checked_outings
from tripkit.yard.shows import count_worth
from tripkit.yard.yard import Yard

PRACTICE = "common practice, no source"
DOSES = ("influenza", "herpes")
BLOOD = ("coggins",)


def explain_day(yard: Yard, circuit: Circuit, horse: str, day: date) -> Explanation:
    """What a horse does on a day, and the rule, row or number behind each part of it.

    Raises `BadValue` for an unknown horse, or for what is no day.
    """
    check_day(day)
    known = yard.horse_by_name.get(horse)
    if known is None:
        raise BadValue(state("values.no-horse-of-yard", horse=horse))
    question = state("explaining.what-day", horse=horse, weekday=name_weekday(day), day=day)
    line = next((d for d in circuit.days_by_horse.get(horse, ()) if d.date == day), None)
    if line is None:
        answer = state("explaining.no-line", circuit=circuit.name, horse=horse)
        return Explanation(question, answer)
    asked = _Line(yard, circuit, known, line)
    points = tuple(point for kind in (line.does, *line.also) for point in asked.explain(kind))
    return Explanation(question, asked.summarise(), points)


class _Line:
    """One line of the day plan with what lies around it."""

    def __init__(self, yard: Yard, circuit: Circuit, horse: Horse, line: Day) -> None:
        self.yard, self.circuit, self.horse, self.line = yard, circuit, horse, line
        self.day = line.date
        self.limits = horse.limits
        self.outings = circuit.outings_by_horse.get(horse.horse, ())
        self.legs = sorted(
            (leg for leg in circuit.legs if horse.horse in leg.horses), key=lambda g: g.depart
        )
        self.there = next((o for o in self.outings if o.arrive <= self.day <= o.leave), None)
        self.following = next((o for o in self.outings if o.first_day > self.day), None)
        self.before = self._find_before()

    def summarise(self) -> Fact:
        """What the horse does that day, and where."""
        where = {
            HOME: state("explaining.at-home"),
            ROAD: state("explaining.on-the-road"),
            **{base: state("explaining.at-base", base=base) for base in self.yard.base_of},
        }.get(self.line.at, state("explaining.at-show", show=self.line.at))
        does = (self.line.does, *self.line.also)
        return state("explaining.line", horse=self.horse.horse, does=does, where=where)

    def explain(self, kind: str) -> Iterator[Point]:
        """The points behind one of the things that the horse does that day."""
        explain = {
            "show": self._explain_show,
            "travel": self._explain_travel,
            "school": self._explain_school,
            "vet check": self._explain_check,
            "vaccination": self._explain_vaccination,
        }.get(kind)
        yield from self._explain_quiet(kind) if explain is None else explain()

    def _find_before(self) -> tuple[Reason, date] | None:
        """The last outing that ended before the day, one of the past included."""
        ended = [(o.last_day, o.show) for o in self.outings if o.last_day < self.day]
        past = self.yard.history.get(self.horse.horse, ())
        ended += [(o.last_day, o.show) for o in past if o.last_day < self.day]
        if not ended:
            return None
        last, show = max(ended)
        return show or LAST_OUTING, last

    def _explain_show(self) -> Iterator[Point]:
        outing = self.there
        if outing is None:
            yield Point(state("explaining.past-start"), "", "results.csv")
            return
        for name in outing.classes:
            offered = self.yard.find_class(outing.show, name)
            if offered is not None and offered.day == self.day:
                text = state(
                    "explaining.start",
                    name=name,
                    show=outing.show,
                    rider=outing.rider,
                    height=offered.height_cm,
                )
                yield Point(
                    text, "eligible", "classes.csv", float(count_worth(self.horse, offered))
                )
                entry = self.yard.bound_entries.get((self.horse.horse, outing.show, name))
                if entry is not None:
                    text = state("explaining.entry", status=entry.status)
                    yield Point(text, "locked", "entries.csv")
        for aim in self.yard.aims:
            if (aim.horse, aim.show) == (self.horse.horse, outing.show):
                met = tell_met(aim.title in self.circuit.totals.aims_met)
                text = state("explaining.aim-of-day", met=met, aim=aim.title)
                yield Point(text, "aims", "aims.csv")
        if not any(self._offers(outing, name) for name in outing.classes):
            text = state("explaining.between-classes", show=outing.show)
            yield Point(text, "", "classes.csv")

    def _offers(self, outing: Outing, name: str) -> bool:
        offered = self.yard.find_class(outing.show, name)
        return offered is not None and offered.day == self.day

    def _explain_travel(self) -> Iterator[Point]:
        for leg in self.legs:
            if self.day not in leg.days:
                continue
            others = [name for name in leg.horses if name != self.horse.horse]
            text = state(
                "explaining.drive",
                vehicle=leg.vehicle,
                start=leg.start,
                end=leg.end,
                depart=leg.depart,
                arrive=leg.arrive,
                road_km=leg.km,
                hours=leg.hours,
                others=state("explaining.with", horses=tuple(others)) if others else None,
                crew=state("explaining.driven-by", people=leg.drivers) if leg.drivers else None,
            )
            yield Point(text, "driving", find_road_source(self.yard, leg), leg.hours)
            yield self._explain_drive_day(leg)

    def _explain_drive_day(self, leg: Leg) -> Point:
        outing = next((o for o in self.outings if o.arrive == leg.days.last), None)
        if self.yard.houses(leg.start) and self.yard.houses(leg.end):
            return Point(state("explaining.drive-between-homes"), "one-place", PRACTICE)
        if outing is None or leg.end == HOME:
            return Point(state("explaining.drive-home"), "one-place", PRACTICE)
        rest = count_rest_days(leg.hours, self.limits)
        lead = (outing.first_day - outing.arrive).days
        text = state(
            "explaining.arrival",
            lead_days=lead,
            show=outing.show,
            asked=max(self.limits.arrive_days_before, rest + 1 if rest else 0),
            rest=state("explaining.rest-included", rest_days=rest) if rest else None,
        )
        limit = "travel_rest" if rest else "arrive_days_before"
        rule = "travel-rest" if rest else "stabling"
        return Point(text, rule, name_limit_source(self.yard, limit, self.horse))

    def _explain_school(self) -> Iterator[Point]:
        if self.following is not None:
            days = (self.following.first_day - self.day).days
            asked = self.limits.schools_before_show
            text = state(
                "explaining.school-before",
                show=self.following.show,
                ahead_days=days,
                asked=asked,
            )
            source = name_limit_source(self.yard, "schools_before_show", self.horse)
            yield Point(text, "recovery", source, days)
        if self.before is not None:
            show, last = self.before
            days = (self.day - last).days
            if days <= 2 * self.limits.no_jump_days + self.limits.days_between_schools:
                text = state(
                    "explaining.school-after",
                    after_days=days,
                    show=show,
                    limit=self.limits.no_jump_days,
                )
                source = name_limit_source(self.yard, "no_jump_days", self.horse)
                yield Point(text, "recovery", source, days)
        text = state(
            "explaining.schools",
            every_days=self.limits.days_between_schools,
            longest=self.limits.longest_days_without_jumping,
        )
        source = name_limit_source(self.yard, "longest_days_without_jumping", self.horse)
        yield Point(text, "days", source)

    def _explain_check(self) -> Iterator[Point]:
        found = False
        checked = find_checked_outings(
            [self.yard.show_by_name[o.show].tour for o in self.outings], self.limits
        )
        ended = [i for i, o in enumerate(self.outings) if o.last_day <= self.day]
        near = ended[-1] if ended else -1
        if near in checked:
            outing = self.outings[near]
            every = self.limits.vet_check_after_shows
            due = (near + 1) % every == 0
            tour = self.yard.show_by_name[outing.show].tour
            why = state("explaining.last-of-tour", tour=tour)
            if due:
                why = state("explaining.every-so-many", number=near + 1, every=every)
            text = state(
                "explaining.check-after", show=outing.show, why=why, within=VET_CHECK_WITHIN_DAYS
            )
            since = (self.day - outing.leave).days
            if since <= VET_CHECK_WITHIN_DAYS + 2:
                found = True
                source = name_limit_source(self.yard, "vet_check_after_shows", self.horse)
                yield Point(text, "days", source)
        last = find_last_vet_check(self.yard, self.horse, add_days(self.day, -1))
        if last is not None and last.recheck_by is not None and self.day <= last.recheck_by:
            found = True
            text = state("explaining.look-again", asked=last.date, by=last.recheck_by)
            yield Point(text, "cleared", "vet_checks.csv")
        asked = self._find_paper(BLOOD)
        if asked is not None and not found:
            found = True
            text = state("explaining.blood", show=asked.show, reason=asked.reason)
            yield Point(text, asked.rule, asked.source)
        if not found:
            yield Point(state("explaining.vet-looks"), "days", PRACTICE)

    def _explain_vaccination(self) -> Iterator[Point]:
        asked = self._find_paper(DOSES)
        if asked is None:
            yield Point(state("explaining.dose-due"), "eligible", "papers.csv")
            return
        text = state("explaining.dose-for", show=asked.show, reason=asked.reason)
        yield Point(text, asked.rule, asked.source)
        text = state("explaining.dose-at-home", quiet=QUIET_DAYS_AFTER_VACCINATION)
        yield Point(text, "days", PRACTICE)

    def _find_paper(self, kinds: tuple[str, ...]) -> Finding | None:
        """The first paper of some kinds that a later outing asks for and that is due by then."""
        for outing in self.outings:
            if outing.arrive < self.day:
                continue
            show = self.yard.show_by_name[outing.show]
            for finding in find_paper_findings(
                self.yard, self.horse, show, outing.arrive, outing.last_day
            ):
                if finding.answer in (DUE, BARRED) and finding.paper in kinds:
                    return finding
        return None

    # Days of light work

    def _explain_quiet(self, kind: str) -> Iterator[Point]:
        absence = next(
            (a for a in self.yard.absences if a.who == self.horse.horse and self.day in a.days),
            None,
        )
        check = find_last_vet_check(self.yard, self.horse, self.day)
        work = self.horse.in_work_from
        if absence is not None:
            why = add_reason(absence.reason)
            text = state("explaining.away", days=absence.days, why=why)
            yield Point(text, "window", f"absences.csv, row of {self.horse.horse}")
        elif check is not None and not check.cleared:
            text = state("explaining.not-cleared", day=check.date)
            yield Point(text, "cleared", "vet_checks.csv")
        elif work is not None and self.day < work:
            text = state("explaining.not-in-work", day=work)
            yield Point(text, "fit", f"horses.csv, row of {self.horse.horse}")
        else:
            yield from self._explain_easy_day(kind)

    def _explain_easy_day(self, kind: str) -> Iterator[Point]:
        no_jump = self.limits.no_jump_days
        found = False
        if self.before is not None and 0 < (self.day - self.before[1]).days <= no_jump:
            found = True
            number = (self.day - self.before[1]).days
            until = add_days(self.before[1], no_jump)
            text = state(
                "explaining.no-jumping",
                number=number,
                limit=no_jump,
                show=self.before[0],
                until=until,
            )
            source = name_limit_source(self.yard, "no_jump_days", self.horse)
            yield Point(text, "recovery", source, number)
        if self.following is not None:
            ahead = (self.following.first_day - self.day).days
            if ahead == 1:
                found = True
                text = state("explaining.easy-day", show=self.following.show)
                yield Point(text, "days", PRACTICE, ahead)
            elif (
                self.following is self.outings[0]
                and ahead <= QUIET_DAYS_BEFORE_FIRST
                and not has_shown_before(self.yard, self.following)
            ):
                found = True
                text = state(
                    "explaining.quiet-days",
                    ahead_days=ahead,
                    show=self.following.show,
                    quiet=QUIET_DAYS_BEFORE_FIRST,
                )
                yield Point(text, "fit", PRACTICE, ahead)
        drive = self._find_rest()
        if drive is not None:
            found = True
            yield drive
        if kind == "day off" or name_weekday(self.day) == self.limits.day_off:
            found = True
            text = state("explaining.day-off", weekday=self.limits.day_off)
            yield Point(text, "days", name_limit_source(self.yard, "day_off", self.horse))
        if self.there is not None and self.line.at == self.there.show:
            found = True
            text = state(
                "explaining.on-the-grounds",
                show=self.there.show,
                arrive=self.there.arrive,
                leave=self.there.leave,
            )
            yield Point(text, "stabling", "the plan")
        if self.line.at in self.yard.base_of:
            base = self.yard.base_of[self.line.at]
            text = state("explaining.lives-at-base", base=base.base, days=base.days)
            yield Point(text, "bases", "bases.csv")
        if not found:
            text = state("explaining.light-work", kinds=tuple(dict.fromkeys(BETWEEN_SCHOOLS)))
            source = name_limit_source(self.yard, "days_between_schools", self.horse)
            yield Point(text, "days", source)

    def _find_rest(self) -> Point | None:
        for leg in self.legs:
            rest = count_rest_days(leg.hours, self.limits)
            after = (self.day - leg.days.last).days
            if 0 < after <= rest:
                text = state("explaining.resting", number=after, limit=rest, hours=leg.hours)
                source = name_limit_source(self.yard, "travel_rest", self.horse)
                return Point(text, "travel-rest", source, after)
        return None
