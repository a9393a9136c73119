"""The judge's rule about the day plan: a line for every horse and date that fits the rest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date

from tripkit.judging.bases import list_base_nights
from tripkit.judging.case import ROAD, Case, Violation, name_stop
from tripkit.yard.circuit import KINDS_OF_DAY, Day
from tripkit.yard.days import ONE_DAY
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME
from tripkit.yard.recovery import find_checked_outings
from tripkit.yard.terms import name_term

VET_DAYS = 3
VACCINATION_DAYS = 7


def judge_days(case: Case) -> Iterator[Violation]:
    """One line for every horse and every date of the season, true to outings and legs.

    Besides: an easy day before a first class, the vet's check where it is due, no vaccination
    in the week before an arrival, and never too many days without jumping.
    """
    yield from _find_odd_lines(case)
    for horse in case.yard.horses:
        missing = [day for day in case.yard.season if (horse.horse, day) not in case.day_lines]
        if missing:
            fact = state(
                "judging.no-line",
                horse=horse.horse,
                missing_days=len(missing),
                on=missing[0],
            )
            yield _charge(horse, fact, case.pick_day(missing))
        if len(missing) == case.yard.season.days:
            continue
        yield from _find_untrue_lines(case, horse)
        yield from _find_uneasy_days(case, horse)
        yield from _find_missing_checks(case, horse)
        yield from _find_idle_days(case, horse)


def _find_odd_lines(case: Case) -> Iterator[Violation]:
    counts = Counter((line.horse, line.date) for line in case.circuit.days)
    for (name, day), count in counts.items():
        if count > 1:
            fact = state("judging.lines-twice", horse=name, count=count, on=day)
            yield Violation("days", fact, name, day=day)
        if day not in case.yard.season:
            fact = state("judging.line-outside-season", horse=name, on=day)
            yield Violation("days", fact, name, day=day)
    for name in dict.fromkeys(name for name, _ in counts):
        if name not in case.yard.horse_by_name:
            yield Violation("days", state("judging.lines-of-nobody", horse=name), name)


def _find_untrue_lines(case: Case, horse: Horse) -> Iterator[Violation]:
    name = horse.horse
    driven: dict[date, set[str]] = {}
    for trip in case.trips_by_horse[name]:
        for day in trip.days:
            driven.setdefault(day, set()).update((trip.start_key, trip.end_key))
    shows = {c.day for held in case.held_by_horse[name] for c in held.classes}
    spans = [(held.first, held.last) for held in case.held_by_horse[name]]
    past = {o.date for o in case.yard.results if o.horse == name} & _list_past(case)
    for day in case.yard.season:
        line = case.day_lines.get((name, day))
        # Where a horse was on the day of a past result the legs of a plan do not tell.
        if line is None or day in past:
            continue
        kinds = (line.does, *line.also)
        yield from _find_odd_kinds(horse, line)
        keys = driven.get(day) or {_find_place(case, name, day)}
        key = case.find_key(line.at)
        if not (key in keys or (line.at == ROAD and day in driven)):
            where = tuple(map(name_stop, (*sorted(keys), *([ROAD] if day in driven else []))))
            fact = state(
                "judging.elsewhere", horse=name, at=name_stop(line.at), on=day, where=where
            )
            yield _charge(horse, fact, day)
        if "travel" in kinds and day not in driven:
            yield _charge(horse, state("judging.travels-without-leg", horse=name, on=day), day)
        if "travel" not in kinds and day in driven:
            yield _charge(horse, state("judging.leg-without-travel", horse=name, on=day), day)
        during = any(first <= day <= last for first, last in spans)
        if day in shows and "show" not in kinds:
            yield _charge(horse, state("judging.class-not-shown", horse=name, on=day), day)
        if "show" in kinds and not during:
            yield _charge(horse, state("judging.shows-without-outing", horse=name, on=day), day)


def _list_past(case: Case) -> set[date]:
    return {day for day in case.yard.season if day < case.yard.day_of_planning}


def _find_odd_kinds(horse: Horse, line: Day) -> Iterator[Violation]:
    kinds = (line.does, *line.also)
    unknown = [kind for kind in kinds if kind not in KINDS_OF_DAY]
    for kind in unknown:
        fact = state("judging.no-kind-of-day", horse=horse.horse, kind=kind, on=line.date)
        yield _charge(horse, fact, line.date)
    if unknown:
        return
    if len(set(kinds)) < len(kinds):
        fact = state("judging.kind-twice", horse=horse.horse, on=line.date)
        yield _charge(horse, fact, line.date)
    first = min(kinds, key=KINDS_OF_DAY.index)
    if line.does != first:
        fact = state(
            "judging.kinds-out-of-order",
            horse=horse.horse,
            does=name_term(line.does),
            on=line.date,
            also=name_term(first),
        )
        yield _charge(horse, fact, line.date)


def _find_place(case: Case, horse: str, day: date) -> str:
    """The place key of a horse on a day without driving."""
    stays = case.stays_by_horse[horse]
    return next((s.place_key for s in reversed(stays) if s.first <= day), HOME)


def _find_uneasy_days(case: Case, horse: Horse) -> Iterator[Violation]:
    name = horse.horse
    outings = case.held_by_horse[name]
    for line in case.schools[name]:
        for held in outings:
            if held.first - line.date == ONE_DAY:
                fact = state(
                    "judging.schools-on-easy-day",
                    horse=name,
                    on=line.date,
                    show=held.show.show,
                )
                yield _charge(horse, fact, line.date)
    for (owner, day), line in case.day_lines.items():
        if owner != name or "vaccination" not in (line.does, *line.also):
            continue
        for held in outings:
            before = (held.outing.arrive - day).days
            if 0 <= before < VACCINATION_DAYS:
                fact = state(
                    "judging.vaccinated-late",
                    horse=name,
                    on=day,
                    have_days=before,
                    show=held.show.show,
                    need_days=VACCINATION_DAYS,
                )
                yield _charge(horse, fact, day)


def _find_missing_checks(case: Case, horse: Horse) -> Iterator[Violation]:
    """The vet checks after every n-th outing and the last of a tour, within 3 days of coming home.

    Or to a base. A horse that stays on the grounds is checked there before its next outing.
    """
    name = horse.horse
    outings = case.held_by_horse[name]
    checks = [
        day
        for (owner, day), line in case.day_lines.items()
        if owner == name and "vet check" in (line.does, *line.also)
    ]
    at_base = list_base_nights(case, name)
    for i in find_checked_outings([held.show.tour for held in outings], horse.limits):
        held = outings[i]
        following = outings[i + 1].first if i + 1 < len(outings) else date.max
        back = next(
            (
                trip.days.last
                for trip in case.trips_by_horse[name]
                if (trip.end_key == HOME or trip.days.last in at_base)
                and held.last <= trip.days.first < following
            ),
            None,
        )
        stays = back is None or held.outing.leave in at_base
        from_day = held.outing.leave if stays or back is None else back
        until = date.fromordinal(min(from_day.toordinal() + VET_DAYS, following.toordinal() - 1))
        if not held.last <= until <= case.yard.season.last:
            continue
        if not any(held.last <= day <= until for day in checks):
            fact = state(
                "judging.no-vet-check",
                horse=name,
                first=held.last,
                until=until,
                show=held.show.show,
            )
            yield Violation("days", fact, name, held.show.show, day=until)


def _find_idle_days(case: Case, horse: Horse) -> Iterator[Violation]:
    name, longest = horse.horse, horse.limits.longest_days_without_jumping
    jumps = {c.day for held in case.held_by_horse[name] for c in held.classes}
    jumps |= {line.date for line in case.schools[name]}
    jumps |= {result.date for result in case.yard.results if result.horse == name}
    absences = case.find_absences(name)
    idle = 0
    for day in case.yard.season:
        counts = (
            (horse.in_work_from is None or day >= horse.in_work_from)
            and not any(day in absence for absence in absences)
            and case.is_cleared(horse, day)
        )
        idle = 0 if day in jumps or not counts else idle + 1
        if idle == longest + 1:
            fact = state("judging.idle", horse=name, most_days=longest, until=day)
            yield _charge(horse, fact, day)


def _charge(horse: Horse, fact: Fact, day: date) -> Violation:
    return Violation("days", fact, horse.horse, day=day)
