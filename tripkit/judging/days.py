"""The judge's rule about the day plan: a line for every horse and date that fits the rest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date

from tripkit.judging.case import Case, Violation, say_days
from tripkit.yard.circuit import KINDS_OF_DAY, Day
from tripkit.yard.days import ONE_DAY
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME
from tripkit.yard.recovery import find_checked_outings

ROAD = "road"
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
            text = (
                f"{horse.horse} has no line for {say_days(len(missing))} of the season, first "
                f"for {missing[0]}"
            )
            yield _tell(horse, text, case.pick_day(missing))
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
            yield Violation("days", f"{name} has {count} lines for {day}", name, day=day)
        if day not in case.yard.season:
            text = f"{name} has a line for {day}, outside the season"
            yield Violation("days", text, name, day=day)
    for name in dict.fromkeys(name for name, _ in counts):
        if name not in case.yard.horse_by_name:
            yield Violation("days", f"{name!r} has lines and is no horse of the yard", name)


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
            where = " or ".join(sorted(keys)) + (" or road" if day in driven else "")
            text = f"{name} is at {line.at} on {day}, and its drives leave it at {where}"
            yield _tell(horse, text, day)
        if ("travel" in kinds) != (day in driven):
            does = "travels" if "travel" in kinds else "does not travel"
            legs = "a leg" if day in driven else "no leg"
            yield _tell(horse, f"{name} {does} on {day}, and {legs} of that day carries it", day)
        during = any(first <= day <= last for first, last in spans)
        if day in shows and "show" not in kinds:
            yield _tell(horse, f"{name} has a class on {day}, and its line shows none", day)
        if "show" in kinds and not during:
            yield _tell(horse, f"{name} shows on {day}, and no outing of it has that day", day)


def _list_past(case: Case) -> set[date]:
    return {day for day in case.yard.season if day < case.yard.day_of_planning}


def _find_odd_kinds(horse: Horse, line: Day) -> Iterator[Violation]:
    kinds = (line.does, *line.also)
    unknown = [kind for kind in kinds if kind not in KINDS_OF_DAY]
    for kind in unknown:
        text = f"{horse.horse} does {kind!r} on {line.date}, which is no kind of day"
        yield _tell(horse, text, line.date)
    if unknown:
        return
    if len(set(kinds)) < len(kinds):
        yield _tell(horse, f"{horse.horse} does the same thing twice on {line.date}", line.date)
    first = min(kinds, key=KINDS_OF_DAY.index)
    if line.does != first:
        text = (
            f"{horse.horse} does {line.does} on {line.date} and also {first}, which stands first "
            f"in the order of kinds"
        )
        yield _tell(horse, text, line.date)


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
                text = (
                    f"{name} schools on {line.date}, the day before its first class at "
                    f"{held.show.show}, which is an easy day"
                )
                yield _tell(horse, text, line.date)
    for (owner, day), line in case.day_lines.items():
        if owner != name or "vaccination" not in (line.does, *line.also):
            continue
        for held in outings:
            before = (held.outing.arrive - day).days
            if 0 <= before < VACCINATION_DAYS:
                text = (
                    f"{name} is vaccinated on {day}, {say_days(before)} before it arrives at "
                    f"{held.show.show}, and {VACCINATION_DAYS} are asked"
                )
                yield _tell(horse, text, day)


def _find_missing_checks(case: Case, horse: Horse) -> Iterator[Violation]:
    """The vet checks after every n-th outing and the last of a tour, within 3 days of coming home.

    A horse that stays on the grounds is checked there before its next outing.
    """
    name = horse.horse
    outings = case.held_by_horse[name]
    checks = [
        day
        for (owner, day), line in case.day_lines.items()
        if owner == name and "vet check" in (line.does, *line.also)
    ]
    for i in find_checked_outings([held.show.tour for held in outings], horse.limits):
        held = outings[i]
        following = outings[i + 1].first if i + 1 < len(outings) else date.max
        back = next(
            (
                trip.days.last
                for trip in case.trips_by_horse[name]
                if trip.end_key == HOME and held.last <= trip.days.first < following
            ),
            None,
        )
        from_day = held.outing.leave if back is None else back
        until = date.fromordinal(min(from_day.toordinal() + VET_DAYS, following.toordinal() - 1))
        if not held.last <= until <= case.yard.season.last:
            continue
        if not any(held.last <= day <= until for day in checks):
            text = f"{name} has no vet check from {held.last} to {until}, after {held.show.show}"
            yield Violation("days", text, name, held.show.show, day=until)


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
            text = (
                f"{name} has more than {longest} days without a school or outing, up to {day}, "
                f"while in work"
            )
            yield _tell(horse, text, day)


def _tell(horse: Horse, text: str, day: date) -> Violation:
    return Violation("days", text, horse.horse, day=day)
