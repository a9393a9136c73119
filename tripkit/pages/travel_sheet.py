"""What driver and groom take along on a drive: one printed page a leg, as HTML text.

A page holds the lorry and its crew, the times at both ends, every stop, the horses aboard with the
papers to carry, the hay and water to load, and empty lines for telephone numbers. It asks nothing
of any other address, prints on A4 and Letter alike, and every name in it is escaped. It is written
in the language that its drivers read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import NamedTuple
from zoneinfo import ZoneInfo

from markupsafe import Markup, escape

from tripkit.driving.rules import find_rules
from tripkit.pages.html import load_templates
from tripkit.words.journeys import find_error_percent, state_about
from tripkit.words.telling import Teller, choose_calendar_teller
from tripkit.yard.circuit import Circuit, Leg, Stop, write_driver
from tripkit.yard.facts import Fact, Value, state
from tripkit.yard.papers import Paper
from tripkit.yard.places import HOME, Drive
from tripkit.yard.yard import Yard

HORSE_KG = 500
POUNDS_PER_KG = 2.20462
US_GALLONS_PER_LITRE = 0.264172


@dataclass(frozen=True)
class Ration:
    """What one horse of 500 kg eats or drinks in a day, from low to high, in kg or litres."""

    what: str
    low: float
    high: float
    unit: str


HAY = Ration("hay", 7.5, 10.0, "kg")
WATER = Ration("water", 21.0, 29.0, "litres")
"""**Source:** Merck Veterinary Manual (forage, minimum of 5 litres per 100 kg); Kentucky Equine
Research (water); guidance, no rule."""

CARRIED = ("passport", "coggins", "health_certificate", "influenza", "herpes")
"""The papers a sheet tells of; of those not asked for, a kind that no horse has is left out."""

ASKED_FOR = ("passport", "health_certificate", "influenza")
# Made out shortly before a drive: a plan of weeks ahead cannot know it.
FILLED_IN = "health_certificate"

SEXES = ("mare", "gelding", "stallion")
CONTACTS = ("home", "driver", "office", "stables", "vet")

TEMPLATES = load_templates(Path(__file__).parent / "templates")


def choose_leg_teller(yard: Yard, leg: Leg) -> Teller:
    """Who tells the sheet of a leg: in what its drivers read where all read one, else the yard."""
    languages = {yard.find_language(write_driver(d), "driver") for d in leg.drivers}
    return choose_calendar_teller(yard, languages.pop() if len(languages) == 1 else "")


def write_travel_sheet(yard: Yard, circuit: Circuit, leg: Leg) -> str:
    """One leg of a circuit as a page to print."""
    teller, number = choose_leg_teller(yard, leg), circuit.legs.index(leg) + 1
    start, end = name_end(yard, leg.start), name_end(yard, leg.end)
    title = teller.tell(state("sheets.title", start=start, end=end, day=leg.depart.date()))
    return _render([_Sheet(yard, circuit, leg, number, teller)], title, teller)


def write_travel_sheets(yard: Yard, circuit: Circuit, broken: Sequence[str] = ()) -> str:
    """Every leg of a circuit, a printed page each, in the order of their departures.

    `broken` is what the circuit breaks, a line each: a page of its own, and a word on every sheet.
    """
    teller = choose_calendar_teller(yard)
    sheets = [
        _Sheet(yard, circuit, leg, number, choose_leg_teller(yard, leg))
        for number, leg in enumerate(circuit.legs, start=1)
    ]
    sheets.sort(key=lambda sheet: (sheet.leg.depart, sheet.number))
    title = teller.tell(state("sheets.titles", circuit=circuit.name, yard=yard.name))
    return _render(sheets, title, teller, circuit.name, broken)


def _render(
    sheets: Sequence[_Sheet],
    title: str,
    teller: Teller,
    circuit: str | None = None,
    broken: Sequence[str] = (),
) -> str:
    page = TEMPLATES.get_template("travel_sheet.html").render(
        sheets=sheets,
        title=title,
        teller=teller,
        circuit=circuit,
        broken=broken,
        tell=_tell,
        state_hours=state_hours,
    )
    return page + "\n"


def _tell(teller: Teller, code: str, **values: Value) -> Markup:
    """A sentence of the sheets as markup; a name in it that is none yet is escaped."""
    ready = {k: escape(said) if isinstance(said, str) else said for k, said in values.items()}
    return Markup(teller.tell(state(f"sheets.{code}", **ready)))


def count_road_days(leg: Leg) -> int:
    """Calendar days from departure to arrival, both counted, local at each end [days]."""
    return (leg.arrive.date() - leg.depart.date()).days + 1


def count_grounds_days(circuit: Circuit, leg: Leg, horse: str) -> int:
    """Whole days that a horse stands where a leg takes it, before it is driven away [days].

    The days of arrival and departure are days on the road. 0 at home, and where nothing says when
    it goes on. Where it goes on the same day, the lorry only calls: those of its next drive, for
    what a lorry carries is loaded where the horse is.
    """
    if leg.end == HOME:
        return 0
    later = [o for o in circuit.legs if horse in o.horses and o.depart >= leg.arrive]
    following = min(later, key=lambda o: o.depart, default=None)
    arrives = leg.arrive.date()
    if following and following.depart.date() == arrives and following.depart > leg.depart:
        return count_grounds_days(circuit, following, horse)
    leaves = (
        [following.depart.date()]
        if following
        else [
            o.leave
            for o in circuit.outings
            if (o.horse, o.show) == (horse, leg.end) and o.leave >= arrives
        ]
    )
    return max(0, (min(leaves, default=arrives) - arrives).days - 1)


class _Moment(NamedTuple):
    """A row of the timetable: when, which stop, how long it lasts, how long was driven before."""

    at: datetime
    stop: Stop | None = None
    lasts: str = ""
    driven: str = ""


@dataclass(frozen=True)
class _Sheet:
    """What the page of one leg tells."""

    yard: Yard
    circuit: Circuit
    leg: Leg
    number: int
    teller: Teller

    def tell(self, code: str, **values: Value) -> Markup:
        """A sentence of the sheet, as markup."""
        return _tell(self.teller, code, **values)

    @property
    def ends(self) -> tuple[str, str]:
        """Where the leg starts and ends, as the sheet names it."""
        return name_end(self.yard, self.leg.start), name_end(self.yard, self.leg.end)

    @property
    def times(self) -> tuple[datetime, datetime]:
        """Departure and arrival, each by the clock of its place."""
        depart, arrive = (
            at.astimezone(ZoneInfo(self.yard.place_of(end).timezone))
            for at, end in (
                (self.leg.depart, self.leg.start),
                (self.leg.arrive, self.leg.end),
            )
        )
        return depart, arrive

    @property
    def drive(self) -> Drive | None:
        """What the yard's roads know of this drive."""
        start, end = map(self.yard.place_key_of, (self.leg.start, self.leg.end))
        return self.yard.roads.find_drive(start, end)

    @property
    def distance(self) -> str:
        """How far it is, how sure that is, and who says so."""
        told = state_about(self.leg.km, find_error_percent(self.yard, self.leg), self.yard.units)
        if self.drive and self.drive.source:
            told = state("sheets.distance", distance=told, source=self.drive.source)
        return self.teller.tell(told)

    @property
    def crew(self) -> str:
        """Who drives, or that nobody is named yet."""
        named = state("sheets.crew", drivers=self.leg.drivers)
        return self.teller.tell(named if self.leg.drivers else state("sheets.no-driver"))

    def count_aboard(self) -> Markup:
        """The horses aboard, and of how many places."""
        horses, vehicle = len(self.leg.horses), self.yard.vehicle_by_name.get(self.leg.vehicle)
        if not horses:
            return self.tell("empty")
        if vehicle is None:
            return self.tell("horses", horses=horses)
        return self.tell("horses-places", horses=horses, places=vehicle.places)

    def name_place(self, at: str) -> str:
        """The yard, or the show or base by its full name."""
        found = self.yard.find_stop(at)
        return self.yard.name if found is None and at == HOME else found.title if found else at

    def list_times(self) -> list[_Moment]:
        """Departure, every stop and the arrival, each by the clock that is read there."""
        depart, arrive = self.times
        rows = [_Moment(depart)]
        since = self.leg.depart
        for stop in self.leg.stops:
            driven = self._say_hours(stop.start - since)
            since = stop.start + timedelta(minutes=stop.minutes)
            at = _place_in_zone(stop.start, depart, arrive)
            lasts = self._say_until(stop, at, _place_in_zone(since, depart, arrive))
            rows.append(_Moment(at, stop, lasts, driven))
        driven = self._say_hours(self.leg.arrive - since)
        return [*rows, _Moment(arrive, driven=driven)]

    def _say_until(self, stop: Stop, at: datetime, until: datetime) -> Markup:
        lasts = state("sheets.minutes", minutes=stop.minutes)
        if stop.minutes >= 180:
            lasts = _state_minutes(stop.minutes)
        if until.date() == at.date():
            return self.tell("until", lasts=lasts, at=until)
        return self.tell("until-day", lasts=lasts, day=until.date(), at=until)

    def _say_hours(self, driven: timedelta) -> str:
        return self.teller.tell(state_hours(driven.total_seconds() / 3600))

    def list_clocks(self) -> list[str]:
        """What a driver must know of clocks: another zone at the end, a change on the way."""
        (depart, arrive), (start, end) = self.times, self.ends
        at_start = arrive.astimezone(depart.tzinfo)
        ahead = _count_minutes(arrive) - _count_minutes(at_start)
        moved = _count_minutes(at_start) - _count_minutes(depart)
        notes = []
        if ahead:
            code = "sheets.clocks-ahead" if ahead > 0 else "sheets.clocks-behind"
            notes.append(state(code, end=end, difference=_state_minutes(abs(ahead)), start=start))
        if moved:
            code = "sheets.clocks-forward" if moved > 0 else "sheets.clocks-back"
            notes.append(state(code, difference=_state_minutes(abs(moved))))
        return [self.teller.tell(note) for note in notes]

    @property
    def papers(self) -> list[str]:
        """The kinds of papers that the sheet tells of."""
        known = {kind for _, kind in self.yard.papers_by_holder}
        return [kind for kind in CARRIED if kind in ASKED_FOR or kind in known]

    def describe(self, horse: str) -> str:
        """By what else than its name a horse is told."""
        known = self.yard.horse_by_name[horse]
        sex = self.tell(f"sex-{known.sex}") if known.sex in SEXES else known.sex
        return ", ".join(part for part in (sex, self.tell("born", year=known.born.year)) if part)

    def find_paper(self, horse: str, kind: str) -> Paper | None:
        """The paper that is there on the day of departure."""
        rows = self.yard.papers_by_holder.get((horse, kind), ())
        there = [row for row in rows if row.date <= self.leg.depart.date()]
        if kind == FILLED_IN:
            there = [row for row in there if not self.is_over(row)]
        return there[-1] if there else None

    def is_over(self, row: Paper) -> bool:
        """Whether a paper does not last to the arrival."""
        return row.valid_until is not None and row.valid_until < self.leg.arrive.date()

    def list_loads(self) -> list[tuple[str, str, str]]:
        """What is to be loaded of hay and water: sentence, sum as it is done, amount."""
        leg = self.leg
        road = [count_road_days(leg)] * len(leg.horses)
        rows = [("hay-road", HAY, road), ("water-road", WATER, road)]
        lives = self.yard.houses(leg.end)
        aboard = () if lives else leg.horses
        stay = [days for h in aboard if (days := count_grounds_days(self.circuit, leg, h))]
        if stay:
            rows.append(("hay-stay", HAY, stay))
        return [
            (name, self._multiply(ration, days), self._say_amount(ration, sum(days)))
            for name, ration, days in rows
        ]

    def list_sources(self) -> list[Markup]:
        """Where the rations are from."""
        return [
            self.tell(
                f"{ration.what}-source",
                amount=_state_ration(ration, 1),
                low=ration.low / HORSE_KG * 100,
                high=ration.high / HORSE_KG * 100,
            )
            for ration in (HAY, WATER)
        ]

    def _multiply(self, ration: Ration, horse_days: Sequence[int]) -> str:
        """The sum as it is done: horses, days, what one horse takes in a day."""
        times = " \N{MULTIPLICATION SIGN} "
        if min(horse_days) == max(horse_days):
            horses = self.tell("horses", horses=len(horse_days))
            counted = horses + times + self.tell("days-each", days=horse_days[0])
        else:
            each = " + ".join(map(str, horse_days))
            counted = self.tell("horse-days", count=sum(horse_days), each=each)
        return f"{counted}{times}{self.teller.tell(_state_ration(ration, 1))}"

    def _say_amount(self, ration: Ration, horse_days: int) -> str:
        said = self.teller.tell(_state_ration(ration, horse_days))
        if self.yard.country != "US":
            return said
        factor, unit = POUNDS_PER_KG, "pounds"
        if ration.unit == "litres":
            factor, unit = US_GALLONS_PER_LITRE, "gallons"
        low, high = (round(horse_days * each * factor) for each in (ration.low, ration.high))
        return said + self.tell(unit, low=low, high=high)

    def list_contacts(self) -> list[Markup]:
        """Whose telephone number is written down: people, then the stables of each night."""
        names = [
            self.tell(f"contact-{who}")
            for who in CONTACTS
            if who != "office" or not self.yard.houses(self.leg.end)
        ]
        nights = (stop for stop in self.leg.stops if stop.kind == "overnight")
        return names + [
            self.tell("night-stables-near", town=stop.near)
            if stop.near
            else self.tell("night-stables")
            for stop in nights
        ]

    def list_cautions(self) -> list[str]:
        """The driver's rules, and what no plan can know."""
        rules = _state_driving_rules(self.yard, self.leg.depart.date())
        last = "caution" if self.leg.horses else "empty-lorry"
        return [self.teller.tell(rules), self.tell("coordinates"), self.tell(last)]


def _place_in_zone(moment: datetime, depart: datetime, arrive: datetime) -> datetime:
    """A moment on the way in the zone of the end whose clock it was written by."""
    for end in (depart, arrive):
        there = moment.astimezone(end.tzinfo)
        if there.utcoffset() == moment.utcoffset():
            return there
    return moment.astimezone(depart.tzinfo)


def _count_minutes(moment: datetime) -> int:
    return round((moment.utcoffset() or timedelta()).total_seconds() / 60)


def _state_ration(ration: Ration, horse_days: int) -> Fact:
    low, high = horse_days * ration.low, horse_days * ration.high
    return state(f"sheets.{ration.unit}", low=low, high=high)


def _state_driving_rules(yard: Yard, day: date) -> Fact:
    rules = find_rules(yard.driving.rules, day)
    if rules.id == "none":
        return state("sheets.no-rules")
    duty = halt = rest = None
    if rules.duty_hours_per_day < 24:
        duty = state("sheets.rules-duty", hours=rules.duty_hours_per_day)
    if rules.halt_after_hours < 24:
        halt = state("sheets.rules-halt", minutes=rules.halt_minutes, hours=rules.halt_after_hours)
    if rules.rest_hours:
        rest = state("sheets.rules-rest", hours=rules.rest_hours)
    return state(
        "sheets.rules",
        hours=rules.hours_per_day,
        duty=duty,
        halt=halt,
        rest=rest,
        source=rules.source,
    )


def state_hours(hours: float) -> Fact:
    """Hours as hours and minutes."""
    return _state_minutes(round(hours * 60))


def _state_minutes(minutes: int) -> Fact:
    whole, rest = divmod(minutes, 60)
    if rest and whole:
        return state("sheets.hours-minutes", hours=whole, minutes=f"{rest:02d}")
    return state("sheets.hours", hours=whole) if whole else state("sheets.minutes", minutes=rest)


def name_end(yard: Yard, at: str) -> str:
    """Where a drive begins or ends: a show or base by its name, home by the yard's."""
    return yard.name if at == HOME else at
