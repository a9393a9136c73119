"""What of a yard is probably not meant: ages, days, absences, entries and aims that fit nothing.

Each threshold is wide: it asks about what hardly any yard does. Money has a room of its own,
`rates`; places and ways are looked at where roads and towns are known.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Protocol

from tripkit.eligibility.categories import compute_horse_age
from tripkit.eligibility.classes import find_class_findings, fits_class
from tripkit.eligibility.qualifying import assess_aim
from tripkit.yard.answers import BARRED
from tripkit.yard.days import DaySpan, add_months
from tripkit.yard.errors import state_rows
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.horses import Entry, Horse
from tripkit.yard.oddities import Oddity, make_oddity
from tripkit.yard.people import Person
from tripkit.yard.shows import Show, ShowClass
from tripkit.yard.yard import Yard

YOUNGEST_HORSE, OLDEST_HORSE = 4, 25
"""Ages of horses at shows [years]. **Source:** common practice, no source."""

YOUNGEST_RIDER, OLDEST_RIDER = 6, 85
"""Ages of riders at shows [years]. **Source:** common practice, no source."""

STATUS_AGES: Mapping[str, tuple[int, int]] = {
    "junior": (YOUNGEST_RIDER, 18),
    "young": (15, 25),
    "amateur": (15, OLDEST_RIDER),
    "professional": (15, OLDEST_RIDER),
}
"""Ages that some federation's status allows, counted on a birthday [years].

**Source:** FEI General Regulations, Appendix A (young riders from the year they reach 16, U25 to
25) and USEF GR127 (a junior born in December may be 18 all season), as in the rule books; the rest
is common practice, no source.
"""

YOUNGEST_DRIVER = 18
"""Age of who drives a lorry [years]. **Source:** directive 2006/126/EC Art. 4 (C1, from memory)."""

LONGEST_SHOW_DAYS = 14
"""Days of one show. **Source:** common practice, no source."""

LONGEST_STABLING_DAYS = 30
"""Days of stalls before a show and after it. **Source:** common practice, no source."""

EARLIEST_CLOSING_DAYS = 240
"""Days from the closing of entries to the show. **Source:** common practice, no source."""

FAR_YEARS = 2
"""Years after the season that no row names. **Source:** common practice, no source."""

HORSE_LIFE_YEARS = 30
"""No paper holds longer than a horse lives [years]. **Source:** common practice, no source."""

NO_END_YEAR = 2090
"""From this year on a date means that there is no end. **Source:** common practice, no source."""

BESIDE_SEASON_DAYS = 183
"""An absence so soon after the season is told early. **Source:** common practice, no source."""

YEAR_DAYS = 366


class Written(Protocol):
    """A row of a file, as far as an oddity names it."""

    @property
    def file(self) -> str:
        """The file, or the event of a calendar file."""

    @property
    def number(self) -> int | None:
        """The row that a spreadsheet shows."""

    @property
    def texts(self) -> Mapping[str, str]:
        """The cells as they are written."""


@dataclass(frozen=True)
class Lines:
    """The rows that the records of a yard were made from, by table, in the same order.

    Of a yard made by hand there are none: its records stand in the rows they would have.
    `named_costs` are the keys of [costs] that yard.toml has.
    """

    rows: Mapping[str, Sequence[Written]] = field(default_factory=dict)
    named_costs: frozenset[str] = frozenset()

    def locate(self, table: str, index: int) -> tuple[str, int | None]:
        """File and row of one record of a table."""
        if table not in self.rows:
            return f"{table}.csv", index + 2
        row = self.rows[table][index]
        return row.file, row.number

    def read(self, table: str, index: int, column: str) -> str:
        """A cell as it is written; empty where it is not."""
        return self.rows[table][index].texts.get(column, "") if table in self.rows else ""

    def make(self, what: Fact, table: str, index: int, column: str) -> Oddity:
        """An oddity in the row of one record."""
        file, number = self.locate(table, index)
        return make_oddity(what, file, (number,), column)


def find_oddities(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    """What is odd about horses, people, shows, absences, entries and aims, in no order."""
    yield from _look_at_horses(yard, lines)
    yield from _look_at_people(yard, lines)
    yield from _look_at_shows(yard, lines)
    yield from _look_at_absences(yard, lines)
    yield from _look_at_entries(yard, lines)
    yield from _look_at_aims(yard, lines)
    yield from _look_at_births(yard, lines)
    yield from _look_at_far_days(yard, lines)


# Horses and people


def _look_at_horses(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    for index, horse in enumerate(yard.horses):
        start = horse.in_work_from
        if start is not None and start > yard.season.last:
            late = state(
                "oddities.work-after-season",
                horse=horse.horse,
                day=start,
                last=yard.season.last,
            )
            yield lines.make(late, "horses", index, "in_work_from")
        age = compute_horse_age(horse.born, yard.season.first, yard.place.southern)
        if YOUNGEST_HORSE <= age <= OLDEST_HORSE or not _may_go(yard, horse):
            continue
        told: dict[str, Value] = {"horse": horse.horse, "age": _state_age(age)}
        odd = (
            state("oddities.horse-young", low=YOUNGEST_HORSE, **told)
            if age < YOUNGEST_HORSE
            else state("oddities.horse-old", high=OLDEST_HORSE, **told)
        )
        yield lines.make(odd, "horses", index, "born")


def _may_go(yard: Yard, horse: Horse) -> bool:
    """Whether a horse has an entry, an aim, or a class in the season that fits it."""
    if any(row.horse == horse.horse for rows in (yard.entries, yard.aims) for row in rows):
        return True
    return any(
        offered.day in yard.season and fits_class(yard, horse, offered)
        for show in yard.shows
        for offered in show.classes
    )


def _state_age(years: int) -> Fact:
    return state("oddities.unborn") if years < 0 else state("oddities.old", years=years)


def _count_years(born: date, on: date) -> int:
    return on.year - born.year - ((on.month, on.day) < (born.month, born.day))


def _look_at_people(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    drivers = {name for vehicle in yard.vehicles for name in vehicle.driver_names}
    told: set[str] = set()
    for index, person in enumerate(yard.people):
        if person.born is None:
            continue
        age = _count_years(person.born, yard.season.first)
        if person.role == "rider":
            odd = _judge_rider_age(person, age)
            if odd is not None:
                yield lines.make(odd, "people", index, "born")
        drives = person.role == "driver" or person.person in drivers
        if drives and age < YOUNGEST_DRIVER and person.person not in told:
            told.add(person.person)
            young = state(
                "oddities.driver-young",
                person=person.person,
                age=_state_age(age),
                low=YOUNGEST_DRIVER,
            )
            yield lines.make(young, "people", index, "born")


def _judge_rider_age(person: Person, age: int) -> Fact | None:
    """What is odd about a rider's age, None where it is usual."""
    told: dict[str, Value] = {"person": person.person, "age": _state_age(age)}
    if not YOUNGEST_RIDER <= age <= OLDEST_RIDER:
        return state("oddities.rider-age", low=YOUNGEST_RIDER, high=OLDEST_RIDER, **told)
    low, high = STATUS_AGES.get(person.status, (YOUNGEST_RIDER, OLDEST_RIDER))
    if low <= age <= high:
        return None
    return state("oddities.status-age", status=person.status, low=low, high=high, **told)


# Shows


def _look_at_shows(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    for index, show in enumerate(yard.shows):
        first, last = show.days.first, show.days.last
        if show.days.days > LONGEST_SHOW_DAYS:
            long = state(
                "oddities.show-long",
                show=show.show,
                days=show.days.days,
                most=LONGEST_SHOW_DAYS,
            )
            yield lines.make(long, "shows", index, "last_day")
        for column, day, code in (
            ("entries_open", show.entries_open, "oddities.entries-open"),
            ("entries_close", show.entries_close, "oddities.entries-close"),
            ("late_entries_until", show.late_entries_until, "oddities.late-entries-close"),
        ):
            if day is not None and day > last:
                what = state(code, day=day)
                late = state("oddities.closes-late", show=show.show, last=last, what=what)
                yield lines.make(late, "shows", index, column)
        stalls = show.stabling
        if max((first - stalls.first).days, (stalls.last - last).days) > LONGEST_STABLING_DAYS:
            early = (first - stalls.first).days > LONGEST_STABLING_DAYS
            long = state(
                "oddities.stabling-long",
                show=show.show,
                first=stalls.first,
                last=stalls.last,
                most=LONGEST_STABLING_DAYS,
            )
            yield lines.make(long, "shows", index, "stabling_from" if early else "stabling_until")
        closes = show.last_entry_day
        if closes is None or (first - closes).days <= EARLIEST_CLOSING_DAYS:
            continue
        soon = state(
            "oddities.closes-early",
            show=show.show,
            day=closes,
            days=(first - closes).days,
            most=EARLIEST_CLOSING_DAYS,
        )
        column = "late_entries_until" if show.late_entries_until else "entries_close"
        yield lines.make(soon, "shows", index, column)


# Absences


def _look_at_absences(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    season = yard.season
    if yard.vehicles and all(
        _is_away_throughout(yard, vehicle.vehicle, season) for vehicle in yard.vehicles
    ):
        names = [vehicle.vehicle for vehicle in yard.vehicles]
        never = state("oddities.lorries-never", who=tuple(names))
        yield _make_never(yard, lines, never, names)
    yield from _look_at_riders_away(yard, lines)
    outside: dict[tuple[str, str], list[int]] = {}
    for index, absence in enumerate(yard.absences):
        kind = _judge_absence(yard, absence.days)
        if kind:
            outside.setdefault((kind, absence.who), []).append(index)
    for (kind, who), indexes in outside.items():
        days = [yard.absences[index].days for index in indexes]
        places = [lines.locate("absences", index) for index in indexes]
        first, last = min(span.first for span in days), max(span.last for span in days)
        numbers = [number for _, number in places]
        outside_season = state(kind, who=who, first=first, last=last)
        yield make_oddity(outside_season, places[0][0], numbers, "first_day")


def _is_away_throughout(yard: Yard, who: str, days: DaySpan) -> bool:
    absent = sorted(span for span in yard.absences_of(who) if span.overlaps(days))
    day = days.first
    for span in absent:
        if span.first > day:
            return False
        day = max(day, span.end)
    return day > days.last


def _make_never(yard: Yard, lines: Lines, never: Fact, names: Sequence[str]) -> Oddity:
    rows = [
        lines.locate("absences", index)
        for index, absence in enumerate(yard.absences)
        if absence.who in names and absence.days.overlaps(yard.season)
    ]
    return make_oddity(never, rows[0][0], [number for _, number in rows], "who")


def _look_at_riders_away(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    """A rider who is away all season, where a horse has no other."""
    away = [name for name in yard.riders if _is_away_throughout(yard, name, yard.season)]
    nobody = len(away) == len(yard.riders)
    for rider in away:
        alone = (h for h in yard.horses if h.rider == rider or (nobody and not h.rider))
        horses = tuple(horse.horse for horse in alone)
        if horses:
            never = state("oddities.rider-never", rider=rider, horses=horses)
            yield _make_never(yard, lines, never, [rider])


def _judge_absence(yard: Yard, days: DaySpan) -> str:
    """The code of what is odd about days away, empty in the season and not far from it."""
    season = yard.season
    if days.overlaps(season):
        return ""
    for shifted in (_shift_years(days, 1), _shift_years(days, -1)):
        if season.first <= shifted.first and shifted.last <= season.last:
            return "oddities.absence-year"
    gap = max((season.first - days.last).days, (days.first - season.last).days)
    # What is past is kept as history for a year, and no slip.
    far = BESIDE_SEASON_DAYS if days.first > season.last else YEAR_DAYS
    return "oddities.absence-outside" if gap > far else ""


def _shift_years(days: DaySpan, years: int) -> DaySpan:
    return DaySpan(add_months(days.first, 12 * years), add_months(days.last, 12 * years))


def find_away(yard: Yard, horse: Horse, day: date) -> tuple[Fact, tuple[str, ...]] | None:
    """Who is missing on a day so that a horse cannot jump, and whose absences say so.

    None where horse, a rider and a vehicle are there.
    """
    if yard.is_absent(horse.horse, day):
        return state("oddities.is-away", name=horse.horse), (horse.horse,)
    riders = (horse.rider, *horse.also_ridden_by) if horse.rider else tuple(yard.riders)
    if riders and all(yard.is_absent(rider, day) for rider in riders):
        alone = state("oddities.is-away", name=riders[0])
        return alone if len(riders) == 1 else state("oddities.no-rider"), riders
    vehicles = tuple(vehicle.vehicle for vehicle in yard.vehicles)
    if vehicles and all(yard.is_absent(vehicle, day) for vehicle in vehicles):
        alone = state("oddities.is-away", name=vehicles[0])
        return alone if len(vehicles) == 1 else state("oddities.no-vehicle"), vehicles
    return None


def _state_absences(yard: Yard, lines: Lines, names: Sequence[str], day: date) -> Fact:
    return state_rows(
        lines.locate("absences", index)
        for index, absence in enumerate(yard.absences)
        if absence.who in names and day in absence.days
    )


# Entries and aims


def _look_at_entries(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    away: dict[tuple[str, str, tuple[str, ...]], list[int]] = {}
    for index, entry in enumerate(yard.entries):
        show = yard.show_by_name[entry.show]
        offered = show.find_class(entry.class_name)
        if entry.date is not None and entry.date > show.days.last:
            late = state(
                "oddities.entry-late",
                horse=entry.horse,
                show=entry.show,
                day=entry.date,
                last=show.days.last,
            )
            yield lines.make(late, "entries", index, "date")
        if offered is None or not _is_still_to_ride(yard, entry, offered):
            continue
        horse = yard.horse_by_name[entry.horse]
        missing = find_away(yard, horse, offered.day)
        if missing is not None:
            away.setdefault((entry.horse, entry.show, missing[1]), []).append(index)
        elif not fits_class(yard, horse, offered):
            misfit = state(
                "oddities.entry-misfit",
                horse=entry.horse,
                name=entry.class_name,
                show=entry.show,
                why=_list_misfits(yard, horse, show, offered),
            )
            yield lines.make(misfit, "entries", index, "class")
    for indexes in away.values():
        yield _tell_away(yard, lines, indexes)


def _tell_away(yard: Yard, lines: Lines, indexes: Sequence[int]) -> Oddity:
    """Entries of one horse at one show during one absence are one oddity."""
    entries = [yard.entries[index] for index in indexes]
    first = entries[0]
    offered = [yard.find_class(entry.show, entry.class_name) for entry in entries]
    day = min(one.day for one in offered if one is not None)
    missing = find_away(yard, yard.horse_by_name[first.horse], day)
    assert missing is not None
    places = [lines.locate("entries", index) for index in indexes]
    away = state(
        "oddities.entry-away",
        horse=first.horse,
        names=tuple(entry.class_name for entry in entries),
        show=first.show,
        day=day,
        who=missing[0],
        rows=_state_absences(yard, lines, missing[1], day),
    )
    return make_oddity(away, places[0][0], [number for _, number in places], "class")


def _is_still_to_ride(yard: Yard, entry: Entry, offered: ShowClass) -> bool:
    key = (entry.horse, entry.show, entry.class_name)
    return yard.bound_entries.get(key) is entry and offered.day >= yard.day_of_planning


def _list_misfits(yard: Yard, horse: Horse, show: Show, offered: ShowClass) -> tuple[Fact, ...]:
    found = find_class_findings(yard, horse, show, offered)
    return tuple(f.reason for f in found if f.answer == BARRED)


def _look_at_aims(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    for index, aim in enumerate(yard.aims):
        show, horse = yard.show_by_name[aim.show], yard.horse_by_name[aim.horse]
        named = show.find_class(aim.class_name) if aim.class_name else None
        start = show.days.first if named is None else named.day
        if start < yard.day_of_planning:
            continue
        if aim.by is not None:
            standing = assess_aim(yard, aim, ())
            missing = tuple(
                state(code, number=number)
                for number, code in (
                    (standing.points_missing, "oddities.points"),
                    (standing.starts_missing, "oddities.starts"),
                )
                if number
            )
            if aim.by > start:
                late = state("oddities.aim-by-late", aim=aim.title, day=aim.by, start=start)
                yield lines.make(late, "aims", index, "by")
            elif missing and aim.by <= yard.day_of_planning:
                past = state("oddities.aim-by-past", aim=aim.title, day=aim.by, missing=missing)
                yield lines.make(past, "aims", index, "by")
        fitting = [
            offered
            for offered in (show.classes if named is None else (named,))
            if fits_class(yard, horse, offered)
        ]
        if not fitting:
            why: tuple[Fact, ...] = (state("oddities.no-class", show=show.show),)
            if named is not None:
                why = _list_misfits(yard, horse, show, named)
            misfit = state("oddities.aim-misfit", aim=aim.title, why=why)
            yield lines.make(misfit, "aims", index, "class" if named else "show")
            continue
        away = [find_away(yard, horse, offered.day) for offered in fitting]
        if all(away) and away[0] is not None:
            who, names = away[0]
            day = fitting[0].day
            rows = _state_absences(yard, lines, names, day)
            gone = state("oddities.aim-away", aim=aim.title, day=day, who=who, rows=rows)
            yield lines.make(gone, "aims", index, "show")


# Days


def _look_at_births(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    """What is dated before the horse or person was born; papers of horses are faults elsewhere."""
    for index, horse in enumerate(yard.horses):
        for column, day in (
            ("in_work_from", horse.in_work_from),
            ("last_jumped", horse.last_jumped),
        ):
            if day is not None and day < horse.born:
                early = state("oddities.before-birth", who=horse.horse, born=horse.born, day=day)
                yield lines.make(early, "horses", index, column)
    born = {horse.horse: horse.born for horse in yard.horses}
    people = {person.person: person.born for person in yard.people if person.born is not None}
    dated: tuple[tuple[str, list[tuple[str, date]], Mapping[str, date]], ...] = (
        ("results", [(row.horse, row.date) for row in yard.results], born),
        ("vet_checks", [(row.horse, row.date) for row in yard.vet_checks], born),
        ("papers", [(row.holder, row.date) for row in yard.papers], people),
    )
    for table, rows, births in dated:
        for index, (who, day) in enumerate(rows):
            birth = births.get(who)
            if birth is not None and day < birth:
                early = state("oddities.before-birth", who=who, born=birth, day=day)
                yield lines.make(early, table, index, "date")


def _look_at_far_days(yard: Yard, lines: Lines) -> Iterator[Oddity]:
    """Days long after the season; from the year 2090 on they mean that there is no end."""
    dated: tuple[tuple[str, str, int, list[date | None]], ...] = (
        ("shows", "first_day", FAR_YEARS, [row.days.first for row in yard.shows]),
        ("papers", "date", FAR_YEARS, [row.date for row in yard.papers]),
        ("papers", "valid_until", HORSE_LIFE_YEARS, [row.valid_until for row in yard.papers]),
        ("aims", "by", FAR_YEARS, [row.by for row in yard.aims]),
        ("absences", "first_day", FAR_YEARS, [row.days.first for row in yard.absences]),
        ("results", "date", FAR_YEARS, [row.date for row in yard.results]),
        ("vet_checks", "date", FAR_YEARS, [row.date for row in yard.vet_checks]),
        ("vet_checks", "recheck_by", FAR_YEARS, [row.recheck_by for row in yard.vet_checks]),
        ("entries", "date", FAR_YEARS, [row.date for row in yard.entries]),
    )
    last = yard.season.last
    for table, column, years, days in dated:
        for index, day in enumerate(days):
            far = day is not None and (day - last).days > YEAR_DAYS * years
            if day is not None and far and day.year < NO_END_YEAR:
                far_off = state("oddities.far-future", day=day, years=years, last=last)
                yield lines.make(far_off, table, index, column)
