"""The judge's rules about what a horse may jump and when it may jump again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from tripkit.eligibility.classes import find_class_findings, fits_class
from tripkit.eligibility.paperwork import find_paper_findings, find_rider_findings
from tripkit.judging.case import (
    Career,
    Case,
    Held,
    Trip,
    Violation,
    find_run,
    list_stays,
    name_stop,
    order_span,
    shift,
    sum_hours,
)
from tripkit.judging.grounds import BoundClass, measure_way
from tripkit.yard.days import DaySpan
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.people import Absence, Person
from tripkit.yard.places import HOME
from tripkit.yard.recovery import (
    CAP_WINDOW_DAYS,
    count_arrival_days,
    count_rest_days,
    find_break_breaches,
    find_cap_breaches,
    find_fit_day,
)
from tripkit.yard.shows import ShowClass, Start
from tripkit.yard.vehicles import Vehicle
from tripkit.yard.yard import Yard

BARRED = "barred"
WEEK_BEFORE_FIRST = 7


def judge_window(case: Case) -> Iterator[Violation]:
    """Competition days lie in the season; no horse, rider or vehicle is used while it is absent.

    Days away from home are those on the grounds and those on the road; of a rider the class
    days count, of a vehicle the days of its legs. It stands at home meanwhile, or where its row
    says. Nobody rides a class or drives on a day off.
    """
    yield from _find_odd_days(case)
    season = case.yard.season
    for held in case.held:
        for day in dict.fromkeys((held.first, held.last)):
            if day not in season:
                fact = state("judging.outside-season", **_of(held), on=day, season=season)
                yield _charge("window", held, fact, day)
        yield from _find_absent_riders(case, held)
    for horse in case.yard.horses:
        yield from _find_absent_horses(case, horse.horse)
    for vehicle in case.yard.vehicles:
        yield from _find_misplaced_vehicles(case, vehicle)
    for trip in case.trips:
        yield from _find_drives_on_days_off(case, trip)
        for absence in case.find_absences(trip.leg.vehicle):
            if absence.overlaps(trip.days):
                fact = state("judging.drives-while-absent", leg=trip.name, absence=absence)
                driven = case.is_over(trip.days.first)
                yield Violation(
                    "window",
                    fact,
                    vehicle=trip.leg.vehicle,
                    day=trip.days.first if driven else max(absence.first, trip.days.first),
                )


def forbids_window(bound: BoundClass) -> bool:
    """Outside the season or while who rides is absent; or nobody can bring or fetch the horse."""
    case, day = bound.case, bound.offered.day
    riders = [rider.person for rider in bound.riders]
    return (
        day not in case.yard.season
        or case.has_left(bound.horse.horse, bound.show.show)
        or (bool(riders) and all(case.yard.is_absent(rider, day) for rider in riders))
        or not bound.can_come_and_go
    )


def judge_closed(case: Case) -> Iterator[Violation]:
    """A class not entered yet lies after today at a show that still takes entries.

    What was published of an outing that has begun needs no new entry, and may be scratched still.
    """
    today = case.yard.day_of_planning
    published = {
        (o.horse, o.show): o.classes
        for o in (case.yard.published.outings if case.yard.published else ())
    }
    for held in case.held:
        key = (held.horse.horse, held.show.show)
        new = [c for c in held.classes if (*key, c.name) not in case.yard.bound_entries]
        if case.has_begun(*key):
            entered = published.get(key, ())
            new = [
                c
                for c in new
                if c.day > today
                and (c.name not in entered or (*key, c.name) in case.yard.scratched_entries)
            ]
        for offered in new:
            if (*key, offered.name) in case.yard.scratched_entries:
                fact = state("judging.jumps-scratched", **_of(held), name=offered.name)
                yield _charge("closed", held, fact, offered.day)
            # What was never lived is named by the rule `past`, once.
            if offered.day <= today and not case.yard.begun.legs:
                fact = state(
                    "judging.not-after-today",
                    **_of(held),
                    name=offered.name,
                    on=offered.day,
                    today=today,
                )
                yield _charge("closed", held, fact, offered.day)
        until = held.show.last_entry_day
        over = bool(new) and case.yard.begun.legs and new[0].day <= today
        if new and until is not None and until < today and not over:
            fact = state(
                "judging.entries-ended",
                **_of(held),
                name=new[0].name,
                until=until,
                ago_days=(today - until).days,
            )
            yield _charge("closed", held, fact, until)


def judge_eligible(case: Case) -> Iterator[Violation]:
    """Each class fits the horse and its rider, starts keep their limits, no paper bars the horse.

    An unknown horse, show or class is named here too, and an outing without a class.
    """
    yield from _find_unknown(case)
    for held in case.held:
        # An unknown or wrong rider is named by the rule `rider`; the horse is judged all the same.
        rider = case.yard.riders.get(held.outing.rider)
        for offered in held.classes:
            yield from _find_misfits(case, held, offered, rider)
        yield from _find_barring_papers(case, held, rider)
    for horse in case.yard.horses:
        by_show: dict[str, list[Held]] = {}
        for held in case.held:
            if held.horse is horse:
                by_show.setdefault(held.show.show, []).append(held)
        for outings in by_show.values():
            yield from _find_too_many_starts(case, outings)


def forbids_eligible(bound: BoundClass) -> bool:
    """It fits nobody on this horse, or a paper bars the horse."""
    horse, day = bound.horse, bound.offered.day
    lead = min(
        (count_arrival_days(horse.limits, way.hours) for way in bound.ways_out),
        default=count_arrival_days(horse.limits, 0.0, by_rest=False),
    )
    papers = find_paper_findings(bound.case.yard, horse, bound.show, shift(day, -lead), day)
    return not bound.riders or any(finding.answer == BARRED for finding in papers)


def clashes_eligible(yard: Yard, start: Start, beside: Sequence[Start]) -> bool:
    """The horse has its starts of the day or of the show without this one."""
    horse = start.horse
    days = [other.offered.day for other in beside if other.horse is horse]
    return (
        days.count(start.offered.day) >= horse.starts_per_day or len(days) >= horse.starts_per_show
    )


def judge_cleared(case: Case) -> Iterator[Violation]:
    """No school and no outing while the last vet check says not cleared."""
    for held in case.held:
        days = sorted({c.day for c in held.classes} or {held.first, held.last})
        lame = [day for day in days if not case.is_cleared(held.horse, day)]
        if lame:
            day = case.pick_day(lame)
            fact = state("judging.jumps-uncleared", **_of(held), on=day)
            yield _charge("cleared", held, fact, day)
    for horse in case.yard.horses:
        for line in case.schools[horse.horse]:
            if not case.is_cleared(horse, line.date):
                fact = state("judging.schools-uncleared", horse=horse.horse, on=line.date)
                yield Violation("cleared", fact, horse.horse, day=line.date)


def forbids_cleared(bound: BoundClass) -> bool:
    """The last vet check before it says not cleared."""
    return not bound.case.is_cleared(bound.horse, bound.offered.day)


def judge_cap(case: Case) -> Iterator[Violation]:
    """Of one more outings in a row than allowed, the last begins 30 days after the first."""
    for horse in case.yard.horses:
        careers = case.careers[horse.horse]
        size = horse.limits.shows_per_30_days + 1
        for i in range(len(careers) - size + 1):
            run = careers[i : i + size]
            first, last = run[0], run[-1]
            if last.planned and find_cap_breaches([c.first for c in run], horse.limits):
                fact = state(
                    "judging.cap",
                    horse=horse.horse,
                    show=_name(last),
                    on=last.first,
                    have_days=(last.first - first.first).days,
                    before=_name(first),
                    before_on=first.first,
                    count=size,
                    need_days=CAP_WINDOW_DAYS,
                )
                yield Violation("cap", fact, horse.horse, last.show, day=last.first)


def judge_most_outings(case: Case) -> Iterator[Violation]:
    """No new outing of a horse beyond the most that is wanted of it in the season.

    What began before today counts, and so do classes sent or paid; none of these is too many.
    """
    bound = {(horse, show) for horse, show, _ in case.yard.bound_entries}
    for horse in case.yard.horses:
        most = horse.outings_wanted.most
        careers = [c for c in case.careers[horse.horse] if c.first >= case.yard.season.first]
        new = [c for c in careers if c.planned and (horse.horse, c.show) not in bound]
        if most is None or not new or len(careers) <= most:
            continue
        last = new[-1]
        fact = state("judging.most-outings", horse=horse.horse, have=len(careers), most=most)
        yield Violation("most-outings", fact, horse.horse, last.show, day=last.first)


def judge_recovery(case: Case) -> Iterator[Violation]:
    """Between two outings lie the clear days that rest, schools, drive and rest after it ask.

    No school lies in the no-jump days after an outing either.
    """
    for horse in case.yard.horses:
        for gap in case.gaps_by_horse[horse.horse]:
            short = gap.needed is not None and gap.clear_days < gap.needed
            if short and gap.after.planned:
                fact = state(
                    "judging.recovery",
                    horse=horse.horse,
                    have_days=gap.clear_days,
                    before=_name(gap.before),
                    after=_name(gap.after),
                    need_days=gap.needed,
                )
                yield Violation("recovery", fact, horse.horse, gap.after.show, day=gap.after.first)
        no_jump = horse.limits.no_jump_days
        for line in case.schools[horse.horse]:
            for career in case.careers[horse.horse]:
                after = (line.date - career.last).days
                if 0 < after <= no_jump:
                    fact = state(
                        "judging.schools-too-soon",
                        horse=horse.horse,
                        on=line.date,
                        have_days=after,
                        show=_name(career),
                        need_days=no_jump,
                    )
                    yield Violation("recovery", fact, horse.horse, career.show, day=line.date)


def judge_travel_rest(case: Case) -> Iterator[Violation]:
    """After a long drive whole days without driving lie before the next class or school.

    Hours add up over legs with no whole day without driving between them.
    """
    for horse in case.yard.horses:
        trips = case.trips_by_horse[horse.horse]
        jumps = list(_list_jumps(case, horse.horse))
        for i, trip in enumerate(trips):
            hours = sum_hours(find_run(trips, i))
            needed = count_rest_days(hours, horse.limits)
            until = trips[i + 1].days.first if i + 1 < len(trips) else date.max
            ahead = [
                (day, what, begun)
                for day, key, what, begun in jumps
                if trip.days.last <= day <= until and key in (None, trip.end_key)
            ]
            if not ahead or needed == 0:
                continue
            day, what, begun = min(ahead, key=lambda j: (j[0], j[1].code, j[1].held))
            rested = max(0, (day - trip.days.last).days - 1)
            if rested < needed:
                fact = state(
                    "judging.travel-rest",
                    horse=horse.horse,
                    does=what,
                    on=day,
                    have_days=rested,
                    drive_hours=hours,
                    to=name_stop(trip.leg.end),
                    need_days=needed,
                )
                named = case.date_begun(trip.days.first) if begun else day
                yield Violation(
                    "travel-rest", fact, horse.horse, _show_of(case, trip.leg.end), day=named
                )


def judge_fit(case: Case) -> Iterator[Violation]:
    """A horse back in work shows after the fit-up days; no school in the week before its first.

    The first outing of the season, that is: a result of this season before it takes its place.
    """
    for horse in case.yard.horses:
        fit_day = find_fit_day(horse.in_work_from, horse.limits)
        outings = case.held_by_horse[horse.horse]
        for held in outings:
            begun = case.has_begun(horse.horse, held.show.show)
            if fit_day is not None and held.first < fit_day and not begun:
                fact = state(
                    "judging.fit",
                    **_of(held),
                    on=held.first,
                    have_days=(held.first - (horse.in_work_from or held.first)).days,
                    in_work_from=horse.in_work_from,
                    need_days=horse.limits.fit_up_days,
                )
                yield _charge("fit", held, fact, held.first)
        if not outings or _has_jumped_this_season(case, outings[0]):
            continue
        first = outings[0]
        for line in case.schools[horse.horse]:
            before = (first.first - line.date).days
            if 0 < before <= WEEK_BEFORE_FIRST:
                fact = state(
                    "judging.schools-before-first",
                    **_of(first),
                    on=line.date,
                    have_days=before,
                    need_days=WEEK_BEFORE_FIRST,
                )
                yield _charge("fit", first, fact, line.date)


def judge_break(case: Case) -> Iterator[Violation]:
    """Among one more outings in a row than allowed, one gap has the days of a break."""
    for horse in case.yard.horses:
        careers = case.careers[horse.horse]
        limits = horse.limits
        size = limits.outings_before_break + 1
        for i in range(len(careers) - size + 1):
            run = careers[i : i + size]
            spans = [(c.first, c.last) for c in run]
            if run[-1].planned and find_break_breaches(spans, limits):
                fact = state(
                    "judging.break",
                    horse=horse.horse,
                    count=size,
                    first=_name(run[0]),
                    last=_name(run[-1]),
                    have_days=max((b.first - a.last).days - 1 for a, b in pairwise(run)),
                    need_days=limits.break_days + limits.no_jump_days,
                )
                yield Violation("break", fact, horse.horse, run[-1].show, day=run[-1].first)


def _has_jumped_this_season(case: Case, first: Held) -> bool:
    return any(
        career.held is None and case.yard.season.first <= career.last < first.first
        for career in case.careers[first.horse.horse]
    )


def _find_odd_days(case: Case) -> Iterator[Violation]:
    for outing in case.circuit.outings:
        written = (outing.first_day, outing.last_day, outing.arrive, outing.leave)
        far = next((day for day in written if not case.is_near(day)), None)
        if far is not None:
            fact = state("judging.far-from-season", horse=outing.horse, show=outing.show, on=far)
            yield Violation("window", fact, outing.horse, outing.show, day=far)
    for held in case.held:
        outing = held.outing
        if (outing.first_day, outing.last_day) != (held.first, held.last):
            fact = state(
                "judging.other-days",
                **_of(held),
                written_first=outing.first_day,
                written_last=outing.last_day,
                first=held.first,
                last=held.last,
            )
            yield _charge("window", held, fact, outing.first_day)


def _find_absent_riders(case: Case, held: Held) -> Iterator[Violation]:
    for absence in case.find_absences(held.outing.rider):
        days = [c.day for c in held.classes if c.day in absence]
        if days:
            day = case.pick_day(days)
            rider = held.outing.rider
            fact = state(
                "judging.rides-while-absent", **_of(held), rider=rider, on=day, absence=absence
            )
            yield Violation("window", fact, held.horse.horse, held.show.show, person=rider, day=day)
    rider = held.outing.rider
    days = [c.day for c in held.classes if case.yard.has_day_off(rider, c.day)]
    if days:
        day = case.pick_day(days)
        fact = state("judging.rides-on-day-off", **_of(held), rider=rider, on=day)
        yield Violation("window", fact, held.horse.horse, held.show.show, person=rider, day=day)


def _find_drives_on_days_off(case: Case, trip: Trip) -> Iterator[Violation]:
    for driver in dict.fromkeys(trip.leg.drivers):
        days = [
            d for d in trip.days if isinstance(driver, str) and case.yard.has_day_off(driver, d)
        ]
        if days:
            fact = state("judging.drives-on-day-off", leg=trip.name, driver=driver, on=days[0])
            yield Violation(
                "window", fact, vehicle=trip.leg.vehicle, person=driver, day=case.pick_day(days)
            )


def _find_misplaced_vehicles(case: Case, vehicle: Vehicle) -> Iterator[Violation]:
    """A vehicle stands where it belongs on every day of its absence that it does not drive.

    Where it cannot be there when the absence begins, it is kept where it stands: that is past.
    """
    name = vehicle.vehicle
    stays = list_stays(case.trips_by_vehicle.get(name, ()))
    for absence in (a for a in case.yard.absences if a.who == name):
        for stay in stays:
            first = max(absence.days.first, shift(stay.first, 1))
            last = absence.days.last if stay.last is None else shift(stay.last, -1)
            if stay.place_key == absence.at or min(last, absence.days.last) < first:
                continue
            fact = state(
                "judging.stands-while-absent",
                vehicle=name,
                stop=name_stop(stay.place_key),
                on=first,
                absence=absence.days,
                at=name_stop(absence.at),
            )
            if _can_come_before(case, vehicle, absence):
                yield Violation("window", fact, vehicle=name, day=first)
            elif case.yard.begun.legs:
                yield Violation("window", fact, vehicle=name, day=case.date_begun(first))


def _can_come_before(case: Case, vehicle: Vehicle, absence: Absence) -> bool:
    """Whether a vehicle can be where it belongs on the day before it is absent."""
    yard = case.yard
    stand = yard.begun.stand_of.get(vehicle.vehicle)
    start = HOME if stand is None else case.find_key(stand.stop)
    if start is None or start == absence.at:
        return True
    depart = yard.road_days.first
    if yard.begun.legs:
        depart = shift(yard.day_of_planning, 1)
    if stand is not None:
        depart = max(depart, shift(stand.since, 1))
    way = measure_way(case, vehicle, start, absence.at)
    return way is not None and shift(depart, way[1] - 1) < absence.days.first


def _find_absent_horses(case: Case, horse: str) -> Iterator[Violation]:
    for absence in case.find_absences(horse):
        told = False
        for held in case.held_by_horse[horse]:
            outing = held.outing
            away = order_span(
                min(outing.arrive, outing.leave, held.first), max(outing.leave, held.last)
            )
            days = [c.day for c in held.classes if c.day in absence]
            if case.has_begun(horse, held.show.show):
                # Who is away when its absence begins still goes home; it only jumps no more.
                told = told or absence.overlaps(away)
                if days:
                    day = case.pick_day(days)
                    fact = state("judging.jumps-while-absent", **_of(held), on=day, absence=absence)
                    yield _charge("window", held, fact, day)
            elif absence.overlaps(away):
                told = True
                fact = state("judging.away-while-absent", **_of(held), away=away, absence=absence)
                day = case.pick_day([max(absence.first, away.first), *days])
                yield _charge("window", held, fact, day)
        for line in case.schools[horse]:
            if line.date in absence:
                fact = state(
                    "judging.schools-while-absent", horse=horse, on=line.date, absence=absence
                )
                yield Violation("window", fact, horse, day=line.date)
        stand = case.yard.begun.stand_of.get(horse)
        waits = stand is not None and not case.yard.houses(stand.stop)
        told = told or (waits and stand is not None and stand.since <= absence.first)
        trips = [t for t in case.trips_by_horse[horse] if absence.overlaps(t.days)]
        if trips and not told:
            trip = trips[0]
            fact = state(
                "judging.on-road-while-absent", horse=horse, leg=trip.name, absence=absence
            )
            day = max(absence.first, trip.days.first)
            yield Violation("window", fact, horse, vehicle=trip.leg.vehicle, day=day)


def _find_unknown(case: Case) -> Iterator[Violation]:
    for outing in case.circuit.outings:
        names = {"horse": outing.horse, "show": outing.show}
        if outing.horse not in case.yard.horse_by_name:
            fact = state("judging.no-horse", **names)
            yield Violation("eligible", fact, **names, day=outing.first_day)
        show = case.yard.show_by_name.get(outing.show)
        if show is None:
            fact = state("judging.no-show", **names)
            yield Violation("eligible", fact, **names, day=outing.first_day)
            continue
        for name in outing.classes:
            if show.find_class(name) is None:
                fact = state("judging.no-class", **names, name=name)
                yield Violation("eligible", fact, **names, day=outing.first_day)
        if not outing.classes:
            fact = state("judging.jumps-nothing", **names)
            yield Violation("eligible", fact, **names, day=outing.first_day)


def _find_misfits(
    case: Case, held: Held, offered: ShowClass, rider: Person | None
) -> Iterator[Violation]:
    if fits_class(case.yard, held.horse, offered, rider):
        return
    for finding in find_class_findings(case.yard, held.horse, held.show, offered, rider):
        if finding.answer == BARRED and finding.rule != "rider":
            fact = state(
                "judging.does-not-fit", **_of(held), name=offered.name, reason=finding.reason
            )
            yield _charge("eligible", held, fact, offered.day)


def _find_barring_papers(case: Case, held: Held, rider: Person | None) -> Iterator[Violation]:
    arrive = min(held.outing.arrive, held.last)
    found = [*find_paper_findings(case.yard, held.horse, held.show, arrive, held.last)]
    if rider is not None:
        days = DaySpan(held.first, held.last)
        found += find_rider_findings(case.yard, rider, held.show, days)
    for finding in found:
        if finding.answer == BARRED:
            fact = state("judging.barred", **_of(held), finding=finding.rule, reason=finding.reason)
            yield Violation(
                "eligible",
                fact,
                held.horse.horse,
                held.show.show,
                person=finding.person,
                day=arrive,
            )


def _find_too_many_starts(case: Case, outings: list[Held]) -> Iterator[Violation]:
    held = outings[0]
    horse = held.horse
    starts = [c for one in outings for c in _written_classes(one)]
    lived = case.find_begun(horse.horse, held.show.show)
    begun = () if lived is None else lived.classes
    twice = [name for name, count in Counter(c.name for c in starts).items() if count > 1]
    if twice:
        fact = state("judging.jumps-twice", **_of(held), names=tuple(twice))
        yield _charge("eligible", held, fact, held.first)
    if len(starts) > horse.starts_per_show:
        fact = state(
            "judging.starts-at-show", **_of(held), have=len(starts), most=horse.starts_per_show
        )
        new = [c.day for c in starts if c.name not in begun]
        day = case.pick_day(new) if new else case.date_begun(held.first)
        yield _charge("eligible", held, fact, day)
    for day, count in sorted(Counter(c.day for c in starts).items()):
        if count > horse.starts_per_day:
            fact = state(
                "judging.starts-on-day", **_of(held), have=count, on=day, most=horse.starts_per_day
            )
            new = [c.day for c in starts if c.day == day and c.name not in begun]
            yield _charge("eligible", held, fact, day if new else case.date_begun(day))


def _written_classes(held: Held) -> list[ShowClass]:
    return [c for name in held.outing.classes if (c := held.show.find_class(name))]


def _list_jumps(case: Case, horse: str) -> Iterator[tuple[date, str | None, Fact, bool]]:
    """Days on which a horse jumps, the place key where it does (None: not known), what it does.

    Last, whether it is a class of an outing that has begun.
    """
    for held in case.held_by_horse[horse]:
        lived = case.find_begun(horse, held.show.show)
        for offered in held.classes:
            what = state("judging.jumps", name=offered.name, show=held.show.show)
            begun = lived is not None and offered.name in lived.classes
            yield offered.day, held.show.place_key, what, begun
    for line in case.schools[horse]:
        yield line.date, case.find_key(line.at), state("judging.schools"), False


def _of(held: Held) -> dict[str, str]:
    return {"horse": held.horse.horse, "show": held.show.show}


def _name(career: Career) -> Value:
    return career.show or state("judging.outing-of", on=career.first)


def _show_of(case: Case, stop: str) -> str:
    return stop if stop in case.yard.show_by_name else ""


def _charge(rule: str, held: Held, fact: Fact, day: date | None) -> Violation:
    return Violation(rule, fact, held.horse.horse, held.show.show, day=day)
