"""Why a horse does what it does on one day of a circuit."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from tripkit.eligibility.classes import find_last_vet_check
from tripkit.eligibility.paperwork import find_paper_findings
from tripkit.explaining.figures import find_road_source
from tripkit.explaining.reasons import (
    Explanation,
    Point,
    count_days,
    list_words,
    name_limit_source,
    write_way,
)
from tripkit.season.diary import (
    BETWEEN_SCHOOLS,
    QUIET_DAYS_AFTER_VACCINATION,
    QUIET_DAYS_BEFORE_FIRST,
    VET_CHECK_WITHIN_DAYS,
    has_shown_before,
)
from tripkit.yard.answers import BARRED, DUE, Finding
from tripkit.yard.circuit import Circuit, Day, Leg, Outing
from tripkit.yard.days import add_days, name_weekday
from tripkit.yard.errors import BadValue
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME
from tripkit.yard.recovery import count_rest_days, find_checked_outings
from tripkit.yard.yard import Yard

PRACTICE = "common practice, no source"
DOSES = ("influenza", "herpes")
BLOOD = ("coggins",)


def explain_day(yard: Yard, circuit: Circuit, horse: str, day: date) -> Explanation:
    """What a horse does on a day, and the rule, row or number behind each part of it.

    Raises `BadValue` for an unknown horse.
    """
    known = yard.horse_by_name.get(horse)
    if known is None:
        raise BadValue(f"{horse!r} is no horse of the yard")
    question = f"What does {horse} do on {name_weekday(day)} {day}, and why?"
    line = next((d for d in circuit.days_by_horse.get(horse, ()) if d.date == day), None)
    if line is None:
        return Explanation(question, f"{circuit.name} has no line for {horse} on that day.")
    told = _Told(yard, circuit, known, line)
    points = tuple(point for kind in (line.does, *line.also) for point in told.explain(kind))
    return Explanation(question, told.summarise(), points)


class _Told:
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

    def summarise(self) -> str:
        """The day in a sentence."""
        does = list_words((self.line.does, *self.line.also))
        where = {HOME: "at home", "road": "on the road"}.get(self.line.at, f"at {self.line.at}")
        return f"{self.horse.horse}: {does}, {where}."

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

    def _find_before(self) -> tuple[str, date] | None:
        """The last outing that ended before the day, one of the past included."""
        ended = [(o.last_day, o.show) for o in self.outings if o.last_day < self.day]
        ended += [
            (o.last_day, o.show or "its last outing")
            for o in self.yard.history.get(self.horse.horse, ())
            if o.last_day < self.day
        ]
        return (max(ended)[1], max(ended)[0]) if ended else None

    def _explain_show(self) -> Iterator[Point]:
        outing = self.there
        if outing is None:
            yield Point("A start of the past, from the results.", "", "results.csv")
            return
        for name in outing.classes:
            offered = self.yard.find_class(outing.show, name)
            if offered is not None and offered.day == self.day:
                text = f"{name} at {outing.show} with {outing.rider}, {offered.height_cm} cm"
                yield Point(text, "eligible", "classes.csv", float(offered.worth))
                entry = self.yard.bound_entries.get((self.horse.horse, outing.show, name))
                if entry is not None:
                    yield Point(f"The entry is {entry.status}.", "locked", "entries.csv")
        for aim in self.yard.aims:
            if (aim.horse, aim.show) == (self.horse.horse, outing.show):
                met = "met" if aim.title in self.circuit.totals.aims_met else "not met"
                yield Point(f"An aim of the season, {met}: {aim.title}", "aims", "aims.csv")
        if not any(self._offers(outing, name) for name in outing.classes):
            yield Point(f"Between its classes at {outing.show}.", "", "classes.csv")

    def _offers(self, outing: Outing, name: str) -> bool:
        offered = self.yard.find_class(outing.show, name)
        return offered is not None and offered.day == self.day

    def _explain_travel(self) -> Iterator[Point]:
        for leg in self.legs:
            if self.day not in leg.days:
                continue
            others = [name for name in leg.horses if name != self.horse.horse]
            text = (
                f"{leg.vehicle} from {leg.start} to {leg.end}, {leg.depart:%Y-%m-%d %H:%M} to "
                f"{leg.arrive:%Y-%m-%d %H:%M}, {write_way(self.yard, leg.km)}, {leg.hours:g} h"
            )
            text += f", with {list_words(tuple(others))}" if others else ""
            text += f", driven by {list_words(leg.drivers)}" if leg.drivers else ""
            yield Point(text, "driving", find_road_source(self.yard, leg), leg.hours)
            yield self._explain_drive_day(leg)

    def _explain_drive_day(self, leg: Leg) -> Point:
        outing = next((o for o in self.outings if o.arrive == leg.days.last), None)
        if outing is None or leg.end == HOME:
            text = "The drive home leaves at the earliest on the day after the last class."
            return Point(text, "one-place", PRACTICE)
        rest = count_rest_days(leg.hours, self.limits)
        lead = (outing.first_day - outing.arrive).days
        text = (
            f"It arrives {count_days(lead)} before its first class at {outing.show}; asked are "
            f"{max(self.limits.arrive_days_before, rest + 1 if rest else 0)}"
        )
        text += f", {count_days(rest)} of rest after the drive included." if rest else "."
        limit = "travel_rest" if rest else "arrive_days_before"
        rule = "travel-rest" if rest else "stabling"
        return Point(text, rule, name_limit_source(self.yard, limit, self.horse))

    def _explain_school(self) -> Iterator[Point]:
        if self.following is not None:
            days = (self.following.first_day - self.day).days
            asked = self.limits.schools_before_show
            text = f"Before {self.following.show}, which begins {count_days(days)} later; each"
            text += f" outing is to have {asked} before it, and an easy day after it."
            source = name_limit_source(self.yard, "schools_before_show", self.horse)
            yield Point(text, "recovery", source, days)
        if self.before is not None:
            show, last = self.before
            days = (self.day - last).days
            if days <= 2 * self.limits.no_jump_days + self.limits.days_between_schools:
                text = (
                    f"{count_days(days)} after {show}: the {self.limits.no_jump_days} days without "
                    "jumping are over."
                )
                source = name_limit_source(self.yard, "no_jump_days", self.horse)
                yield Point(text, "recovery", source, days)
        text = f"Schools come about every {count_days(self.limits.days_between_schools)}, and"
        text += f" never more than {self.limits.longest_days_without_jumping} days pass without"
        text += " a school or class."
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
            why = f"outing number {near + 1}, and every {every} ask for a check"
            why = why if due else f"the last of the {tour} tour"
            text = (
                f"After {outing.show}: {why}, within {VET_CHECK_WITHIN_DAYS} days of coming home "
                "or on the grounds."
            )
            since = (self.day - outing.leave).days
            if since <= VET_CHECK_WITHIN_DAYS + 2:
                found = True
                source = name_limit_source(self.yard, "vet_check_after_shows", self.horse)
                yield Point(text, "days", source)
        last = find_last_vet_check(self.yard, self.horse, add_days(self.day, -1))
        if last is not None and last.recheck_by is not None and self.day <= last.recheck_by:
            found = True
            text = f"The vet asked on {last.date} to look again by {last.recheck_by}."
            yield Point(text, "cleared", "vet_checks.csv")
        asked = self._find_paper(BLOOD)
        if asked is not None and not found:
            found = True
            text = f"Blood is drawn for {asked.show}: {asked.reason}"
            yield Point(text, asked.rule, asked.source)
        if not found:
            yield Point("The vet looks at the horse.", "days", PRACTICE)

    def _explain_vaccination(self) -> Iterator[Point]:
        asked = self._find_paper(DOSES)
        if asked is None:
            yield Point("A dose is due for a later show.", "eligible", "papers.csv")
            return
        yield Point(f"For {asked.show}: {asked.reason}", asked.rule, asked.source)
        text = (
            "It is given at home, at least 7 days before an arrival; that day and the "
            f"{QUIET_DAYS_AFTER_VACCINATION} days after it have no school."
        )
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
            why = f" ({absence.reason})" if absence.reason else ""
            text = f"Away {absence.days.first} to {absence.days.last}{why}."
            yield Point(text, "window", f"absences.csv, row of {self.horse.horse}")
        elif check is not None and not check.cleared:
            text = f"Not cleared by the vet check of {check.date}. The vet decides."
            yield Point(text, "cleared", "vet_checks.csv")
        elif work is not None and self.day < work:
            text = f"Not in work before {work}."
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
            text = f"Day {number} of {no_jump} without jumping after {self.before[0]}, to {until}."
            source = name_limit_source(self.yard, "no_jump_days", self.horse)
            yield Point(text, "recovery", source, number)
        if self.following is not None:
            ahead = (self.following.first_day - self.day).days
            if ahead == 1:
                found = True
                text = f"An easy day: {self.following.show} begins tomorrow."
                yield Point(text, "days", PRACTICE, ahead)
            elif (
                self.following is self.outings[0]
                and ahead <= QUIET_DAYS_BEFORE_FIRST
                and not has_shown_before(self.yard, self.following)
            ):
                found = True
                text = (
                    f"{count_days(ahead)} before its first outing {self.following.show}: the "
                    f"{QUIET_DAYS_BEFORE_FIRST} days before have no school."
                )
                yield Point(text, "fit", PRACTICE, ahead)
        drive = self._find_rest()
        if drive is not None:
            found = True
            yield drive
        if kind == "day off" or name_weekday(self.day) == self.limits.day_off:
            found = True
            text = f"{self.limits.day_off} is the yard's day off, where nothing else falls on it."
            yield Point(text, "days", name_limit_source(self.yard, "day_off", self.horse))
        if self.there is not None and self.line.at == self.there.show:
            found = True
            text = f"On the grounds of {self.there.show} {self.there.arrive} to {self.there.leave}"
            yield Point(f"{text}, no class that day.", "stabling", "the plan")
        if not found:
            work = ", ".join(dict.fromkeys(BETWEEN_SCHOOLS))
            text = f"Light work between schools: {work}, in turn."
            source = name_limit_source(self.yard, "days_between_schools", self.horse)
            yield Point(text, "days", source)

    def _find_rest(self) -> Point | None:
        for leg in self.legs:
            rest = count_rest_days(leg.hours, self.limits)
            after = (self.day - leg.days.last).days
            if 0 < after <= rest:
                text = f"Day {after} of {rest} of rest after {leg.hours:g} h on the road."
                source = name_limit_source(self.yard, "travel_rest", self.horse)
                return Point(text, "travel-rest", source, after)
        return None
