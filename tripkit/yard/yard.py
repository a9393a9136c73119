"""The yard: everything that was read, cross-checked once, looked up by the user's own words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from tripkit.yard.bases import Base
from tripkit.yard.circuit import Begun, Circuit, Outing
from tripkit.yard.days import DaySpan, add_days, check_day, name_weekday
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import Fact, state
from tripkit.yard.horses import Aim, Entry, HistoryOuting, Horse, Result, VetCheck
from tripkit.yard.limits import DAYS_OUTSIDE_SEASON, Limits, join_road_limits
from tripkit.yard.oddities import Oddity
from tripkit.yard.papers import Paper
from tripkit.yard.people import LANGUAGES, Absence, Person, Share
from tripkit.yard.places import HOME, Place, RoadBook
from tripkit.yard.rulebook import RuleBook
from tripkit.yard.shows import Show, ShowClass
from tripkit.yard.treatments import Treatment
from tripkit.yard.vehicles import Vehicle

DRIVING_RULES = ("us", "eu", "gb", "none")
ROAD_SERVERS = ("osrm", "valhalla")
ROAD_SOURCES = ("network", "estimate", *ROAD_SERVERS)
# Who says which day is today: the caller, yard.toml, the clock, or nobody yet.
TODAY_GIVEN, TODAY_WRITTEN, TODAY_BY_CLOCK, TODAY_EVE = TODAY_SOURCES = (
    "given",
    "written",
    "clock",
    "eve",
)


# What a name stands for: somebody (horse, person or vehicle, whose names differ), or a show.
WHO, SHOW = "who", "show"


def find_first_name(known_as: Mapping[tuple[str, str], str], space: str, name: str) -> str:
    """By what name something was first known; one that bears a name which another gave up differs.

    >>> known = {("who", "Elder"): "Alder"}
    >>> find_first_name(known, "who", "Elder"), find_first_name(known, "who", "Birch")
    ('Alder', 'Birch')
    >>> find_first_name(known, "who", "Alder") == "Alder"
    False
    """
    if (space, name) in known_as:
        return known_as[space, name]
    given_up = {first for (other, _), first in known_as.items() if other == space}
    while name in given_up:
        # No name of a file holds a line break.
        name += "\n"
    return name


@dataclass(frozen=True)
class CostRates:
    """What the season costs besides fees, in cents.

    Per km of a vehicle or of a rider's own car, per groom's or rider's day away, per crew night at
    an overnight stop, per horse and night of stabling at a stop, or at a base that names no price,
    per vet check. `budget_cents` None: no budget. What is None of those hired: a groom's day.
    `point_price_cents` None: what a point of worth is worth in money is found out.
    """

    cents_per_km: Decimal = Decimal(0)
    groom_day_cents: int = 0
    rider_day_cents: int = 0
    overnight_stop_cents: int = 0
    stabling_day_cents: int = 0
    vet_check_cents: int = 0
    budget_cents: int | None = None
    hired_driver_day_cents: int | None = None
    base_night_cents: int = 0
    point_price_cents: int | None = None
    hired_groom_day_cents: int | None = None
    car_cents_per_km: Decimal = Decimal(0)

    @property
    def driver_day_cents(self) -> int:
        """A day of a driver whom nobody names: as the yard says, else a groom's day."""
        if self.hired_driver_day_cents is None:
            return self.groom_day_cents
        return self.hired_driver_day_cents

    @property
    def stand_in_day_cents(self) -> int:
        """A day of a groom on hire: as the yard says, else a groom's day."""
        if self.hired_groom_day_cents is None:
            return self.groom_day_cents
        return self.hired_groom_day_cents


@dataclass(frozen=True)
class DrivingSettings:
    """Which driving rules hold, where the roads come from, how fast and how crooked they are.

    `roads` is one of `ROAD_SOURCES`; one of `ROAD_SERVERS` is followed by its address.
    `speed_kmh` None means: as fast as is typical of the roads along the way. `detour_factor` is
    what a straight line is multiplied by where no road is known. `loading_minutes` are those of
    loading and of unloading.
    """

    rules: str = "none"
    speed_kmh: float | None = None
    detour_factor: float = 1.25
    roads: str = "network"
    loading_minutes: int = 20

    def __post_init__(self) -> None:
        if self.rules not in DRIVING_RULES:
            raise BadValue(
                state(
                    "values.driving-rules-are-none-of",
                    rules=self.rules,
                    driving_rules=tuple(DRIVING_RULES),
                )
            )
        if self.speed_kmh is not None and self.speed_kmh <= 0:
            raise BadValue(state("values.speed-must-be-above-zero"))
        if self.detour_factor < 1:
            raise BadValue(state("values.detour-factor-must-be-at"))
        if self.roads.partition(" ")[0] not in ROAD_SOURCES:
            raise BadValue(
                state(
                    "values.roads-are-none-of", roads=self.roads, road_sources=tuple(ROAD_SOURCES)
                )
            )


@dataclass(frozen=True, repr=False)
class Yard:
    """One yard and its season. Built by `read_yard`, or by hand in tests.

    Every name in a row is known: `__post_init__` raises `BadValue` at the first unknown one
    (the reader finds all of them, with rows, before it builds the yard). `extra_cells` are the
    cells of columns that tripkit does not know: (file, row, column, text). `oddities` are what is
    probably not meant, what most likely makes the plan wrong first. `today_from` is one of
    `TODAY_SOURCES`; without `today` it is the day before the season. `held` are outings
    (horse, show) that the planner has to plan: wishes, no entries. `published` is the circuit that
    everybody knows of, `begun` what of it has happened by today or is under way (see `lived`).
    `known_as` says what a name that was corrected was at first, by what it names (`WHO`, `SHOW`).
    """

    name: str
    place: Place
    season: DaySpan
    today: date | None = None
    country: str = ""
    units: str = "km"
    currency: str = ""
    language: str = LANGUAGES[0]
    limits: Limits = field(default_factory=Limits)
    costs: CostRates = field(default_factory=CostRates)
    driving: DrivingSettings = field(default_factory=DrivingSettings)
    shows: tuple[Show, ...] = ()
    horses: tuple[Horse, ...] = ()
    people: tuple[Person, ...] = ()
    shares: tuple[Share, ...] = ()
    papers: tuple[Paper, ...] = ()
    aims: tuple[Aim, ...] = ()
    vehicles: tuple[Vehicle, ...] = ()
    bases: tuple[Base, ...] = ()
    absences: tuple[Absence, ...] = ()
    results: tuple[Result, ...] = ()
    vet_checks: tuple[VetCheck, ...] = ()
    entries: tuple[Entry, ...] = ()
    roads: RoadBook = field(default_factory=RoadBook)
    treatments: tuple[Treatment, ...] = ()
    medicines: RuleBook | None = None
    rule_books: tuple[RuleBook, ...] = ()
    paper_rules: tuple[str, ...] = ()
    remarks: tuple[Fact, ...] = ()
    oddities: tuple[Oddity, ...] = ()
    extra_cells: tuple[tuple[str, int, str, str], ...] = ()
    held: tuple[tuple[str, str], ...] = ()
    today_from: str = TODAY_GIVEN
    published: Circuit | None = None
    begun: Begun = field(default_factory=Begun)
    known_as: Mapping[tuple[str, str], str] = field(default_factory=dict)

    def __repr__(self) -> str:
        return (
            f"<Yard {self.name!r}: {len(self.horses)} horses, {len(self.shows)} shows, "
            f"{self.season.first} to {self.season.last}, today {self.today}>"
        )

    def __post_init__(self) -> None:
        if self.today is None:
            object.__setattr__(self, "today", self.season.first - timedelta(days=1))
            object.__setattr__(self, "today_from", TODAY_EVE)
        check_day(self.today)
        if self.today_from not in TODAY_SOURCES:
            raise BadValue(
                state(
                    "values.none-of", today_from=self.today_from, today_sources=tuple(TODAY_SOURCES)
                )
            )
        if self.units not in ("km", "miles"):
            raise BadValue(state("values.units-are-none-of-km", units=self.units))
        if self.language not in LANGUAGES:
            raise BadValue(
                state(
                    "values.language-is-none-of", language=self.language, languages=tuple(LANGUAGES)
                )
            )
        for horse in self.horses:
            if horse.rider and horse.rider not in self.riders:
                raise BadValue(
                    state("values.rider-of-is-no-rider", rider=horse.rider, horse=horse.horse)
                )
            for name in horse.also_ridden_by:
                if name not in self.riders:
                    raise BadValue(
                        state("values.rider-of-is-no-rider", rider=name, horse=horse.horse)
                    )
        for rows in (self.aims, self.entries):
            for row in rows:
                if row.horse not in self.horse_by_name:
                    raise BadValue(state("values.no-horse-of-yard", horse=row.horse))
                show = self.show_by_name.get(row.show)
                if show is None:
                    raise BadValue(state("values.no-show-of-calendar", show=row.show))
                if row.class_name and show.find_class(row.class_name) is None:
                    raise BadValue(
                        state("values.no-class-of", class_name=row.class_name, show=row.show)
                    )

    @property
    def day_of_planning(self) -> date:
        """Today as the plan sees it: given, else the day before the season."""
        assert self.today is not None
        return self.today

    @cached_property
    def road_limits(self) -> Limits:
        """The strictest limits of all horses and the yard on the road: what suits them all."""
        return join_road_limits([self.limits, *(horse.limits for horse in self.horses)])

    @cached_property
    def road_days(self) -> DaySpan:
        """The days on which anything of the season may be on the road."""
        first = add_days(self.season.first, -DAYS_OUTSIDE_SEASON)
        return DaySpan(first, add_days(self.season.last, DAYS_OUTSIDE_SEASON))

    @cached_property
    def horse_by_name(self) -> Mapping[str, Horse]:
        """Horses by name."""
        return {horse.horse: horse for horse in self.horses}

    @cached_property
    def show_by_name(self) -> Mapping[str, Show]:
        """Shows by id."""
        return {show.show: show for show in self.shows}

    @cached_property
    def vehicle_by_name(self) -> Mapping[str, Vehicle]:
        """Vehicles by name."""
        return {vehicle.vehicle: vehicle for vehicle in self.vehicles}

    @cached_property
    def base_of(self) -> Mapping[str, Base]:
        """Bases by name."""
        return {base.base: base for base in self.bases}

    @cached_property
    def base_at(self) -> Mapping[str, Base]:
        """Bases by place key: one at most is at a place."""
        return {base.place_key: base for base in self.bases}

    def houses(self, stop: str) -> bool:
        """Whether horses live at a stop: at home, or at a base."""
        return stop == HOME or stop in self.base_of

    @property
    def is_over(self) -> bool:
        """Whether every show is past on the day of planning."""
        return all(show.days.last < self.day_of_planning for show in self.shows)

    @cached_property
    def riders(self) -> Mapping[str, Person]:
        """Riders by name, in file order."""
        return {p.person: p for p in self.people if p.role == "rider"}

    @cached_property
    def grooms(self) -> Mapping[str, int]:
        """The yard's own grooms and how many horses each takes, in file order.

        Who rides or drives as well cannot be counted on: he is where that takes him.
        """
        busy = {*self.riders, *(name for v in self.vehicles for name in v.driver_names)}
        return {
            p.person: p.horses_per_groom
            for p in self.people
            if p.role == "groom" and p.person not in busy
        }

    def find_language(self, person: str, role: str = "") -> str:
        """What a person reads: as the row of that role says, else any row of his, else the yard."""
        rows = sorted(
            (p for p in self.people if p.person == person and p.language),
            key=lambda p: p.role != role,
        )
        return rows[0].language if rows else self.language

    @cached_property
    def bound_entries(self) -> Mapping[tuple[str, str, str], Entry]:
        """Entries sent or paid by (horse, show, class), the latest row holding."""
        return {key: entry for key, entry in self._latest_entries.items() if entry.binds}

    def count_lost_cents(self, horse: str, offered: ShowClass) -> int:
        """What withdrawing an entry sent or paid would lose today: its fees, less the refund."""
        amount_cents = self.bound_entries[horse, offered.show, offered.name].amount_cents
        paid_cents = offered.fee_cents if amount_cents is None else amount_cents
        show = self.show_by_name[offered.show]
        return show.count_lost_cents(paid_cents, self.day_of_planning)

    @cached_property
    def scratched_entries(self) -> frozenset[tuple[str, str, str]]:
        """(horse, show, class) that was scratched and is barred for the horse."""
        return frozenset(k for k, e in self._latest_entries.items() if e.status == "scratched")

    @cached_property
    def _latest_entries(self) -> Mapping[tuple[str, str, str], Entry]:
        latest: dict[tuple[str, str, str], Entry] = {}
        for entry in self.entries:
            key = (entry.horse, entry.show, entry.class_name)
            held = latest.get(key)
            if held is None or (entry.date or date.min) >= (held.date or date.min):
                latest[key] = entry
        return latest

    @cached_property
    def history(self) -> Mapping[str, tuple[HistoryOuting, ...]]:
        """Outings before today from the results, and those that have begun, by horse and date.

        Rows of the same horse and show are one outing; rows without a show are one outing
        where they lie on the same or following days. A row of an outing that has begun, or near it
        at its show, is part of it.
        """
        found: dict[str, list[HistoryOuting]] = {}
        begun: dict[tuple[str, str], int] = {}
        last: dict[tuple[str, str], int] = {}
        for lived in self.begun.outings:
            outings = found.setdefault(lived.horse, [])
            begun[lived.horse, lived.show] = len(outings)
            outings.append(HistoryOuting(lived.horse, lived.show, lived.first_day, lived.last_day))
        past = sorted(
            (
                r
                for r in self.results
                if r.date < self.day_of_planning and self.find_begun_of(r) is None
            ),
            key=lambda r: (r.horse, r.date, r.show),
        )
        for result in past:
            outings = found.setdefault(result.horse, [])
            key = (result.horse, result.show)
            near = 14 if result.show else 1
            # The days of an outing that has begun are those of its classes, whatever a row says.
            i = begun.get(key)
            if i is not None and outings[i].is_near(result.date, near):
                continue
            # In date order only the last outing at a show can go on.
            i = last.get(key)
            if i is not None and outings[i].is_near(result.date, near):
                outings[i] = outings[i].extend(result.date)
            else:
                last[key] = len(outings)
                outings.append(HistoryOuting(result.horse, result.show, result.date, result.date))
        return {
            horse: tuple(sorted(outings, key=lambda o: (o.first_day, o.last_day)))
            for horse, outings in found.items()
        }

    def find_begun_of(self, result: Result) -> Outing | None:
        """The outing that has begun and that a result belongs to, None where there is none.

        One at its show whose days on the grounds hold its date; without a show, the one whose
        days hold it.
        """
        return next(
            (
                outing
                for outing in self._begun_by_horse.get(result.horse, ())
                if (
                    outing.show == result.show and outing.arrive <= result.date <= outing.leave
                    if result.show
                    else result.date in outing.days
                )
            ),
            None,
        )

    @cached_property
    def _begun_by_horse(self) -> Mapping[str, tuple[Outing, ...]]:
        found: dict[str, tuple[Outing, ...]] = {}
        for outing in self.begun.outings:
            found[outing.horse] = (*found.get(outing.horse, ()), outing)
        return found

    @cached_property
    def unsanctioned_starts(self) -> Mapping[str, tuple[date, ...]]:
        """Days of starts at events that no federation recognised, by horse, in date order."""
        found: dict[str, list[date]] = {}
        for result in sorted(self.results, key=lambda r: r.date):
            if result.unsanctioned:
                found.setdefault(result.horse, []).append(result.date)
        return {horse: tuple(days) for horse, days in found.items()}

    @cached_property
    def vet_checks_by_horse(self) -> Mapping[str, tuple[VetCheck, ...]]:
        """What the vet said of each horse, in date order; of one day the last row holds.

        Appointments are left out: they say nothing yet.
        """
        found: dict[str, list[VetCheck]] = {}
        for check in sorted(self.vet_checks, key=lambda check: check.date):
            if not check.is_appointment:
                found.setdefault(check.horse, []).append(check)
        return {horse: tuple(checks) for horse, checks in found.items()}

    @cached_property
    def papers_by_holder(self) -> Mapping[tuple[str, str], tuple[Paper, ...]]:
        """Papers by (horse or person, kind), in date order."""
        found: dict[tuple[str, str], list[Paper]] = {}
        for row in sorted(self.papers, key=lambda row: row.date):
            found.setdefault((row.holder, row.paper), []).append(row)
        return {key: tuple(rows) for key, rows in found.items()}

    def find_stop(self, stop: str) -> Base | Show | None:
        """The base or show of that name; None for `home`, and for what nobody knows."""
        return self.base_of.get(stop) or self.show_by_name.get(stop)

    def place_key_of(self, stop: str) -> str:
        """The place key of `home`, a base or a show id."""
        if stop == HOME:
            return HOME
        return (self.base_of.get(stop) or self.show_by_name[stop]).place_key

    def place_of(self, stop: str) -> Place:
        """The place of `home`, a base or a show id."""
        return self.place if stop == HOME else self.roads.places[self.place_key_of(stop)]

    def shares_of(self, horse: str) -> tuple[Share, ...]:
        """The owners' shares of a horse, in file order."""
        return tuple(share for share in self.shares if share.horse == horse)

    @cached_property
    def owners(self) -> tuple[str, ...]:
        """Everybody who owns a part of a horse, in file order."""
        return tuple(dict.fromkeys(share.owner for share in self.shares))

    def absences_of(self, who: str) -> tuple[DaySpan, ...]:
        """The days on which a horse, person or vehicle is away."""
        return tuple(a.days for a in self.absences if a.who == who)

    @cached_property
    def days_off_of(self) -> Mapping[str, frozenset[str]]:
        """The weekdays on which a person neither rides nor drives, by name, where there are any."""
        found: dict[str, frozenset[str]] = {}
        for person in self.people:
            if person.days_off:
                found[person.person] = found.get(person.person, frozenset()) | {*person.days_off}
        return found

    def has_day_off(self, who: str, day: date) -> bool:
        """Whether a day is a person's day off."""
        return name_weekday(day) in self.days_off_of.get(who, ())

    def is_absent(self, who: str, day: date) -> bool:
        """Whether a horse, person or vehicle is away on a day, or it is a person's day off."""
        return any(day in days for days in self.absences_of(who)) or self.has_day_off(who, day)

    def cents_per_km_of(self, vehicle: Vehicle) -> Decimal:
        """What one kilometre of a vehicle costs: its own rate, else the yard's."""
        return self.costs.cents_per_km if vehicle.cents_per_km is None else vehicle.cents_per_km

    def speed_kmh_of(self, vehicle: Vehicle | None) -> float | None:
        """How fast a vehicle goes: its own speed, else the yard's; None where neither is set."""
        if vehicle is None or vehicle.speed_kmh is None:
            return self.driving.speed_kmh
        return vehicle.speed_kmh

    def find_hours(self, start: str, end: str, vehicle: Vehicle | None = None) -> float | None:
        """How long a vehicle drives between two place keys [h], None where no road is known.

        Without a vehicle: at the yard's speed.
        """
        drive = self.roads.find_drive(start, end)
        return None if drive is None else drive.compute_hours(self.speed_kmh_of(vehicle))

    def find_class(self, show: str, class_name: str) -> ShowClass | None:
        """A class of a show, None where there is none of that name."""
        offered = self.show_by_name.get(show)
        return None if offered is None else offered.find_class(class_name)

    def owner_shares_of(self, horse: str) -> Mapping[str, Fraction]:
        """Owner to share of a horse; a horse nobody is written for has no owners."""
        return {share.owner: share.share for share in self.shares_of(horse)}
