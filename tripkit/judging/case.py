"""What the judge looks at: a circuit as written, put in order and compared with the yard's names.

Nothing here trusts the circuit. What cannot be placed (an unknown horse or show, a date far from
the season, a leg that arrives before it departs) is left out of the ordered views and named by
the rule it breaks; the views hold everything else.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cached_property, lru_cache
from itertools import pairwise
from math import isfinite
from zoneinfo import ZoneInfo

from tripkit.driving.rules import RULES, DrivingRules
from tripkit.eligibility.classes import is_cleared
from tripkit.season.costs import Bill, price
from tripkit.yard.circuit import Circuit, Day, Driver, Leg, Outing
from tripkit.yard.days import ONE_DAY, DaySpan, count_clear_days
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.horses import Horse
from tripkit.yard.places import HOME
from tripkit.yard.recovery import ROW_CLEAR_DAYS, count_needed_clear_days, count_rest_days
from tripkit.yard.shows import Show, ShowClass
from tripkit.yard.yard import Yard

FAR_DAYS = 400
# By when a horse is there that comes on the day of its class. (Common practice, no source.)
COMES_UNTIL = 10 * 60
ROAD = "road"


def name_rule(rule: str) -> Fact:
    """A rule as it is told: its id in English, a word of theirs in other languages."""
    return Fact(f"judging.id-{rule}")


@dataclass(frozen=True)
class Violation:
    """One rule that a circuit breaks: the rule's id, what is so, and whom it concerns.

    `horse`, `show`, `vehicle` and `person` are empty and `day` is None where the rule does not
    concern one.
    """

    rule: str
    fact: Fact
    horse: str = ""
    show: str = ""
    vehicle: str = ""
    person: Driver = ""
    day: date | None = None

    @property
    def told(self) -> Fact:
        """The rule and what is so."""
        return state("judging.broken", rule=name_rule(self.rule), what=self.fact)

    def __str__(self) -> str:
        return str(self.told)


NAMES = {HOME: state("judging.home"), ROAD: state("judging.road")}


def name_stop(stop: str) -> Value:
    """A stop as it is told: a show by its id, home and the road in the reader's language."""
    return NAMES.get(stop, stop)


def state_leg(leg: Leg, on: date) -> Fact:
    """How a leg is called."""
    start, end = name_stop(leg.start), name_stop(leg.end)
    return state("judging.leg", vehicle=leg.vehicle, start=start, end=end, on=on)


@dataclass(frozen=True)
class Held:
    """An outing whose horse and show are known, with the days that its classes really have."""

    outing: Outing
    horse: Horse
    show: Show
    classes: tuple[ShowClass, ...]
    first: date
    last: date


@dataclass(frozen=True)
class Trip:
    """A leg that can be placed: place keys, instants, local days, horses, hours that count [h].

    `hours` are the hours as written or as the road asks, whichever are more.
    """

    number: int
    leg: Leg
    start_key: str
    end_key: str
    depart: datetime
    arrive: datetime
    days: DaySpan
    horses: tuple[str, ...]
    hours: float

    @property
    def name(self) -> Fact:
        """How the leg is called."""
        return state_leg(self.leg, self.days.first)


@dataclass(frozen=True)
class Stay:
    """The days of a horse or lorry at one place between two drives; `last` None: for good.

    `stop` is what the drive calls the place.
    """

    place_key: str
    first: date
    last: date | None
    stop: str = HOME

    def covers(self, first: date, last: date) -> bool:
        """Whether the horse is there on all these days."""
        return self.first <= first and (self.last is None or last <= self.last)


@dataclass(frozen=True)
class Career:
    """One outing in a horse's date order, from the results before today or from the circuit.

    `planned` is False for what began before today: it counts for what follows, and what came
    before it is past.
    """

    show: str
    place_key: str | None
    first: date
    last: date
    planned: bool
    held: Held | None = None


@dataclass(frozen=True)
class Gap:
    """Two outings of a horse in a row: clear days, and how many are asked; None in a row."""

    before: Career
    after: Career
    clear_days: int
    needed: int | None


@lru_cache(maxsize=256)
def find_zone(name: str) -> ZoneInfo | None:
    """The time zone of that name, None where there is none.

    >>> find_zone("Nowhere/Else") is None
    True
    """
    try:
        return ZoneInfo(name) if name else None
    except (OSError, ValueError, KeyError):
        return None


def count_hours(start: datetime, end: datetime) -> float:
    """Hours that really pass between two aware times [h], a clock change between them counted."""
    return (end.astimezone(UTC) - start.astimezone(UTC)).total_seconds() / 3600


def count_clock_minutes(moment: datetime) -> int:
    """A local time of day in minutes after midnight."""
    return moment.hour * 60 + moment.minute


def find_evening(case: Case, horse: Horse, jumped: Sequence[ShowClass]) -> float:
    """From which minute a horse may leave on the day of these classes: they are over, it is in."""
    ends = [c.ends_minutes for c in jumped if c.ends_minutes is not None]
    over = max([horse.limits.leave_from_hour * 60, *ends])
    return over + case.yard.driving.loading_minutes


def find_morning(first: Sequence[ShowClass]) -> int:
    """By which minute a horse is there that comes on the day of these classes: an hour before."""
    starts = [c.starts_minutes - 60 for c in first if c.starts_minutes is not None]
    return min(starts, default=COMES_UNTIL)


def is_aware(moment: datetime) -> bool:
    """Whether a time says how far it is from UTC."""
    return moment.utcoffset() is not None


class Case:
    """One circuit held against one yard: names looked up, legs and outings in order."""

    def __init__(self, yard: Yard, circuit: Circuit) -> None:
        self.yard = yard
        self.circuit = circuit
        self._cleared: dict[tuple[str, date], bool] = {}

    def is_near(self, day: date) -> bool:
        """Whether a day is near enough to the season to be reckoned with."""
        season = self.yard.season
        return (season.first - day).days <= FAR_DAYS and (day - season.last).days <= FAR_DAYS

    def is_cleared(self, horse: Horse, on: date) -> bool:
        """Whether the last vet check up to a day lets the horse jump."""
        key = (horse.horse, on)
        if key not in self._cleared:
            self._cleared[key] = is_cleared(self.yard, horse, on)
        return self._cleared[key]

    def is_over(self, day: date) -> bool:
        """Whether a day is history: in a season that has begun, today is as well."""
        today = self.yard.day_of_planning
        return day <= today if self.yard.begun.legs else day < today

    def pick_day(self, days: Iterable[date]) -> date:
        """The day that a violation of several days names: the first to come, else the first.

        What is broken on a day to come is not broken by the past alone.
        """
        ordered = sorted(days)
        return next((day for day in ordered if not self.is_over(day)), ordered[0])

    def date_begun(self, day: date) -> date:
        """The day that a violation of what has begun names: today where its own is to come."""
        return min(day, self.yard.day_of_planning)

    def find_begun(self, horse: str, show: str) -> Outing | None:
        """The outing that was lived, or is under way, as it happened."""
        outings = self.yard.begun.outings
        return next((o for o in outings if (o.horse, o.show) == (horse, show)), None)

    def has_begun(self, horse: str, show: str) -> bool:
        """Whether an outing was lived, or is under way."""
        return (horse, show) in self.yard.begun.outing_keys

    def has_left(self, horse: str, show: str) -> bool:
        """Whether a horse was at a show and has left it."""
        key = (horse, show)
        return key in self.yard.begun.outing_keys and key not in self.yard.begun.under_way

    def stands_at(self, horse: str, place_key: str) -> bool:
        """Whether a horse is at a place today, or on its way there."""
        stand = self.yard.begun.stand_of.get(horse)
        return stand is not None and self.find_key(stand.stop) == place_key

    def waits(self, horse: str, stay: Stay) -> bool:
        """Whether a stay is that of a horse that is away today, until somebody fetches it."""
        stand = self.yard.begun.stand_of.get(horse)
        away = stand is not None and not self.yard.houses(stand.stop)
        return away and stand is not None and stand.since == stay.first

    @property
    def driving_rules(self) -> DrivingRules:
        """The driving rules the yard chose."""
        return RULES[self.yard.driving.rules]

    def find_key(self, stop: str) -> str | None:
        """The place key of `home`, a base or a show, None for an unknown stop."""
        if stop == HOME:
            return HOME
        found = self.yard.find_stop(stop)
        return None if found is None else found.place_key

    def find_zones(self, stop: str) -> tuple[ZoneInfo, ...]:
        """The time zones that may hold at a stop: the stop's own first, then the place's."""
        names: list[str] = []
        found = self.yard.find_stop(stop)
        if stop == HOME:
            names.append(self.yard.place.timezone)
        elif found is not None:
            place = self.yard.roads.places.get(found.place_key)
            names += [found.timezone, place.timezone if place else ""]
        return tuple(zone for name in names if (zone := find_zone(name)))

    def read_moment(self, moment: datetime, stop: str) -> datetime:
        """A time as local time at a stop; one without an offset is taken as local already."""
        zones = self.find_zones(stop)
        if not is_aware(moment):
            return moment.replace(tzinfo=zones[0] if zones else UTC)
        return moment.astimezone(zones[0]) if zones else moment

    def find_hours(self, leg: Leg) -> float | None:
        """The hours [h] that a leg takes by the yard's roads, None where no road is known."""
        start, end = self.find_key(leg.start), self.find_key(leg.end)
        if start is None or end is None:
            return None
        return self.yard.find_hours(start, end, self.yard.vehicle_by_name.get(leg.vehicle))

    @cached_property
    def held(self) -> tuple[Held, ...]:
        """The outings that can be placed, in date order."""
        found = []
        for outing in self.circuit.outings:
            horse = self.yard.horse_by_name.get(outing.horse)
            show = self.yard.show_by_name.get(outing.show)
            written = (outing.first_day, outing.last_day, outing.arrive, outing.leave)
            if horse is None or show is None or not all(self.is_near(day) for day in written):
                continue
            names = dict.fromkeys(outing.classes)
            classes = tuple(c for name in names if (c := show.find_class(name)))
            days = [c.day for c in classes] or [outing.first_day, outing.last_day]
            found.append(Held(outing, horse, show, classes, min(days), max(days)))
        return tuple(sorted(found, key=lambda h: (h.first, h.last, h.horse.horse, h.show.show)))

    @cached_property
    def held_by_horse(self) -> Mapping[str, tuple[Held, ...]]:
        """The outings that can be placed by horse, each show once, in date order."""
        found: dict[str, dict[str, Held]] = {horse.horse: {} for horse in self.yard.horses}
        for held in self.held:
            found[held.horse.horse].setdefault(held.show.show, held)
        return {horse: tuple(by_show.values()) for horse, by_show in found.items()}

    @cached_property
    def trips(self) -> tuple[Trip, ...]:
        """The legs that can be placed, in order of departure."""
        found = []
        for number, leg in enumerate(self.circuit.legs):
            start, end = self.find_key(leg.start), self.find_key(leg.end)
            if start is None or end is None or not self.is_placed(leg):
                continue
            depart = self.read_moment(leg.depart, leg.start)
            arrive = self.read_moment(leg.arrive, leg.end)
            if count_hours(depart, arrive) < 0:
                continue
            days = DaySpan(depart.date(), max(depart.date(), arrive.date()))
            asked = self.find_hours(leg)
            hours = [h for h in (leg.hours, round(asked or 0.0, 2)) if isfinite(h)]
            horses = tuple(dict.fromkeys(leg.horses))
            found.append(
                Trip(number, leg, start, end, depart, arrive, days, horses, max([0.0, *hours]))
            )
        return tuple(sorted(found, key=lambda t: (t.depart.astimezone(UTC), t.number)))

    def is_placed(self, leg: Leg) -> bool:
        """Whether the times of a leg are near the season."""
        return self.is_near(leg.depart.date()) and self.is_near(leg.arrive.date())

    @cached_property
    def trips_by_horse(self) -> Mapping[str, tuple[Trip, ...]]:
        """The drives of each horse of the yard, in order of departure."""
        found: dict[str, list[Trip]] = {horse.horse: [] for horse in self.yard.horses}
        for trip in self.trips:
            for horse in trip.horses:
                if horse in found:
                    found[horse].append(trip)
        return {horse: tuple(trips) for horse, trips in found.items()}

    @cached_property
    def trips_by_vehicle(self) -> Mapping[str, tuple[Trip, ...]]:
        """The drives of each vehicle, in order of departure."""
        found: dict[str, list[Trip]] = {}
        for trip in self.trips:
            found.setdefault(trip.leg.vehicle, []).append(trip)
        return {vehicle: tuple(trips) for vehicle, trips in found.items()}

    @cached_property
    def stays_by_horse(self) -> Mapping[str, tuple[Stay, ...]]:
        """Where each horse stands between its drives, home before the first."""
        return {horse: list_stays(trips) for horse, trips in self.trips_by_horse.items()}

    def find_stay(self, held: Held) -> Stay | None:
        """The stay that holds all class days of an outing, None where there is none."""
        return next(
            (
                stay
                for stay in self.stays_by_horse[held.horse.horse]
                if stay.place_key == held.show.place_key and stay.covers(held.first, held.last)
            ),
            None,
        )

    def group_stays(self, horse: str) -> tuple[tuple[Stay | None, tuple[Held, ...]], ...]:
        """The outings of a horse by the stay they lie in; one without a stay stands alone."""
        groups: list[tuple[Stay | None, list[Held]]] = []
        for held in self.held_by_horse[horse]:
            stay = self.find_stay(held)
            known = next((g for s, g in groups if s is not None and s == stay), None)
            if known is None:
                groups.append((stay, [held]))
            else:
                known.append(held)
        return tuple((stay, tuple(group)) for stay, group in groups)

    @cached_property
    def careers(self) -> Mapping[str, tuple[Career, ...]]:
        """Each horse's outings in date order, those of the results before today among them.

        A result at the same show as a planned outing, on a day of that show, is the same outing.
        """
        found = {}
        for horse, outings in self.held_by_horse.items():
            planned = {
                held.show.show: Career(
                    held.show.show,
                    held.show.place_key,
                    held.first,
                    held.last,
                    not self.has_begun(horse, held.show.show),
                    held,
                )
                for held in outings
            }
            past = []
            for known in self.yard.history.get(horse, ()):
                show = self.yard.show_by_name.get(known.show)
                same = planned.get(known.show)
                if same is not None and self.has_begun(horse, same.show):
                    # The outing itself; what lies apart from it at the same show is another one.
                    if same.first <= known.last_day and known.first_day <= same.last:
                        continue
                    same = None
                if same is not None and show is not None and known.first_day in show.days:
                    planned[known.show] = Career(
                        same.show,
                        same.place_key,
                        min(same.first, known.first_day),
                        max(same.last, known.last_day),
                        False,
                        same.held,
                    )
                else:
                    key = None if show is None else show.place_key
                    past.append(Career(known.show, key, known.first_day, known.last_day, False))
            found[horse] = tuple(
                sorted([*past, *planned.values()], key=lambda c: (c.first, c.last, c.show))
            )
        return found

    @cached_property
    def gaps_by_horse(self) -> Mapping[str, tuple[Gap, ...]]:
        """Each outing of the circuit with the one before it, and the clear days asked between them.

        One that began before the circuit did, as the results say, is left out.

        With `shows_in_a_row` k an outing at most four clear days after the one before, at the
        same place and in a row of at most k, asks for none. A pair that keeps its clear days all
        the same is no part of a row.
        """
        found = {}
        for horse in self.yard.horses:
            gaps = []
            row = 1
            careers = self.careers[horse.horse]
            for before, after in pairwise(careers):
                clear = count_clear_days(before.last, after.first)
                near = 0 <= clear <= ROW_CLEAR_DAYS
                same = before.place_key is not None and before.place_key == after.place_key
                needed: int | None = self._count_needed(horse, before, after)
                short = clear < (needed or 0)
                if near and same and short and row < horse.limits.shows_in_a_row:
                    row, needed = row + 1, None
                else:
                    row = 1
                begun = after.held is not None and self.has_begun(horse.horse, after.show)
                if after.planned or begun:
                    gaps.append(Gap(before, after, clear, needed))
            found[horse.horse] = tuple(gaps)
        return found

    def _count_needed(self, horse: Horse, before: Career, after: Career) -> int:
        run = self.find_outward_run(horse.horse, before, after)
        runs = [*self.find_later_runs(horse, before, after, run), *([run] if run else [])]
        drive_days = sum((one[-1].days.last - one[0].days.first).days + 1 for one in runs)
        rest_days = sum(count_rest_days(sum_hours(one), horse.limits) for one in runs)
        return count_needed_clear_days(horse.limits, drive_days, rest_days)

    def find_later_runs(
        self, horse: Horse, before: Career, after: Career, outward: Sequence[Trip]
    ) -> tuple[tuple[Trip, ...], ...]:
        """The drives after the no-jump days of an outing that are no part of the way to the next.

        Each is joined with those that no whole day without driving parts from it.
        """
        rested = shift(before.last, horse.limits.no_jump_days)
        ends = outward[0].days.first if outward else after.first
        runs: list[list[Trip]] = []
        for trip in self.trips_by_horse[horse.horse]:
            if trip.days.first <= rested or trip in outward or trip.days.last >= ends:
                continue
            if runs and trip.days.first - runs[-1][-1].days.last <= ONE_DAY:
                runs[-1].append(trip)
            else:
                runs.append([trip])
        return tuple(tuple(run) for run in runs)

    def find_outward_run(self, horse: str, before: Career, after: Career) -> tuple[Trip, ...]:
        """The drives to an outing with no whole day between them.

        None for a horse that stays, or that lives at a base there.
        """
        trips = self.trips_by_horse[horse]
        there = [
            i
            for i, trip in enumerate(trips)
            if trip.end_key == after.place_key and trip.days.last <= after.first
        ]
        if not there:
            return ()
        last = trips[there[-1]]
        stayed = before.place_key == after.place_key and last.days.last <= before.last
        lives = last.leg.end in self.yard.base_of and last.days.last < after.first
        return () if stayed or lives else find_run(trips, there[-1])

    @cached_property
    def bill(self) -> Bill | None:
        """What the circuit costs, counted again; None where it holds what cannot be priced."""
        circuit = self.circuit
        sound = (
            len(self.held) == len(circuit.outings)
            and len(self.trips) == len(circuit.legs)
            and all(is_aware(leg.depart) and is_aware(leg.arrive) for leg in circuit.legs)
            and all(isfinite(leg.km) for leg in circuit.legs)
            and all(o.arrive <= o.first_day and o.last_day <= o.leave for o in circuit.outings)
            and len({(o.horse, o.show) for o in circuit.outings}) == len(circuit.outings)
        )
        return price(self.yard, circuit.outings, circuit.legs, circuit.days) if sound else None

    @cached_property
    def day_lines(self) -> Mapping[tuple[str, date], Day]:
        """The day plan by horse and date; of several lines for one the first."""
        found: dict[tuple[str, date], Day] = {}
        for line in self.circuit.days:
            found.setdefault((line.horse, line.date), line)
        return found

    @cached_property
    def schools(self) -> Mapping[str, tuple[Day, ...]]:
        """The schools of each horse of the yard in date order."""
        found: dict[str, list[Day]] = {horse.horse: [] for horse in self.yard.horses}
        for line in sorted(self.circuit.days, key=lambda d: d.date):
            if "school" in (line.does, *line.also) and line.horse in found:
                found[line.horse].append(line)
        return {horse: tuple(lines) for horse, lines in found.items()}

    @cached_property
    def absences_by_who(self) -> Mapping[str, tuple[DaySpan, ...]]:
        """The absences of each horse, person and vehicle."""
        found: dict[str, list[DaySpan]] = {}
        for absence in self.yard.absences:
            found.setdefault(absence.who, []).append(absence.days)
        return {who: tuple(days) for who, days in found.items()}

    def find_absences(self, who: str) -> tuple[DaySpan, ...]:
        """The days on which a horse, person or vehicle is away."""
        return self.absences_by_who.get(who, ())


def list_stays(trips: Sequence[Trip]) -> tuple[Stay, ...]:
    """Where whoever makes these drives stands between them, home before the first."""
    stays = [Stay(HOME, date.min, trips[0].days.first if trips else None)]
    for i, trip in enumerate(trips):
        last = trips[i + 1].days.first if i + 1 < len(trips) else None
        stays.append(Stay(trip.end_key, trip.days.last, last, trip.leg.end))
    return tuple(stays)


def sum_hours(trips: Iterable[Trip]) -> float:
    """Hours of driving of several drives [h], free of the crumbs of adding floats."""
    return round(sum(trip.hours for trip in trips), 6)


def find_run(trips: Sequence[Trip], last: int) -> tuple[Trip, ...]:
    """The drives that end with one of them and have no whole day without driving between."""
    first = last
    while first > 0 and trips[first].days.first - trips[first - 1].days.last <= ONE_DAY:
        first -= 1
    return tuple(trips[first : last + 1])


def order_span(first: date, last: date) -> DaySpan:
    """A span of two days in whichever order they are written."""
    return DaySpan(min(first, last), max(first, last))


def shift(day: date, days: int) -> date:
    """The date so many days later, held within the calendar."""
    try:
        return day + timedelta(days=days)
    except OverflowError:
        return date.max if days > 0 else date.min
