"""A made-up season of twelve horses and hand-made circuits, big enough to look at.

Nothing here is planned: outings are written down and the days between are filled by a plain
pattern, so that pictures and pages can be tested without a planner.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

from tests.build import make_aim, make_class, make_horse, make_rider, make_show, make_yard
from tripkit.yard.circuit import Circuit, Day, Leg, Outing, Totals
from tripkit.yard.days import DaySpan
from tripkit.yard.people import Absence, Person, Share
from tripkit.yard.shows import Show
from tripkit.yard.vehicles import Vehicle
from tripkit.yard.yard import Yard

HORSES = (
    "Alder",
    "Bracken",
    "Clover",
    "Damson",
    "Elder",
    "Fennel",
    "Gorse",
    "Hazel",
    "Indigo",
    "Juniper",
    "Kestrel",
    "Larch",
)
OWNERS = ("June Abernathy", "Grady Lindqvist", "Prudence Okafor", "Sallow & Daughters", "Ike Voss")
COAST = (
    ("Dothan 1", "Dothan, AL"),
    ("Dothan 2", "Dothan, AL"),
    ("Dothan 3", "Dothan, AL"),
    ("Crestview 1", "Crestview, FL"),
    ("Crestview 2", "Crestview, FL"),
)
HILLS = (
    ("Statesville 1", "Statesville, NC"),
    ("Statesville 2", "Statesville, NC"),
    ("Statesville 3", "Statesville, NC"),
    ("Danville 1", "Danville, VA"),
    ("Danville 2", "Danville, VA"),
)
ZONE = ZoneInfo("America/New_York")
FIRST_DAY = date(2027, 3, 1)


def _show(name: str, place: str, first: date, tour: str) -> Show:
    day = first.isoformat()
    classes = [
        make_class("1.20 Two Phase", first + timedelta(days=1), name, height_cm=120),
        make_class("1.30 Grand Prix", first + timedelta(days=3), name, height_cm=130),
    ]
    return make_show(
        name,
        day,
        place_key=place,
        tour=tour,
        classes=classes,
        entries_close=(first - timedelta(days=21)).isoformat(),
    )


def make_season(horses: tuple[str, ...] = HORSES, today: str = "2027-03-16") -> Yard:
    """The yard: two tours of five shows each, three riders, two lorries, five owners."""
    shows = []
    for names, tour in ((COAST, "Coast"), (HILLS, "Hills")):
        for i, (name, place) in enumerate(names):
            first = FIRST_DAY + timedelta(days=9 + 18 * i)
            shows.append(_show(name, place, first, tour))
    riders = ("Wade Pemberton", "Tessa Brandvold", "Ingrid Salter")
    return make_yard(
        name="Quarry Gate Farm",
        today=today,
        units="miles",
        shows=shows,
        horses=[make_horse(h, rider=riders[i % 3]) for i, h in enumerate(horses)],
        people=[make_rider(r) for r in riders] + [Person(o, "owner") for o in OWNERS],
        shares=tuple(
            Share(h, OWNERS[(i + j) % 5], Fraction(1, 2))
            for i, h in enumerate(horses)
            for j in (0, 1)
        ),
        vehicles=(Vehicle("Blue lorry", 6), Vehicle("Grey lorry", 6)),
        absences=(
            Absence(horses[-1], DaySpan(date(2027, 4, 19), date(2027, 5, 2)), "breeding clinic"),
        ),
        aims=(
            make_aim(
                horses[1 % len(horses)], "Crestview 2", class_name="1.30 Grand Prix", importance=80
            ),
            make_aim(horses[-2 % len(horses)], "Danville 2", importance=40),
        ),
    )


def make_circuit(yard: Yard, name: str, goal: str, tour: str, skip: int = 4) -> Circuit:
    """A circuit that sends every horse to one tour, each leaving out some of its shows."""
    outings = []
    legs = []
    shows = [s for s in yard.shows if s.tour == tour]
    for k, show in enumerate(shows):
        aboard = [
            h.horse for i, h in enumerate(yard.horses) if (i + k) % skip and h.horse != "Fennel"
        ]
        jumped = [c for c in show.classes]
        first, last = jumped[0].day, jumped[-1].day
        for horse in aboard:
            if any(a.who == horse and a.days.overlaps(DaySpan(first, last)) for a in yard.absences):
                continue
            outings.append(
                Outing(
                    horse,
                    show.show,
                    yard.horse_by_name[horse].rider,
                    tuple(c.name for c in jumped),
                    first,
                    last,
                    first - timedelta(days=1),
                    last + timedelta(days=1),
                    20.0,
                    123_456,
                )
            )
        riding = tuple(o.horse for o in outings if o.show == show.show)
        for start, end, day in (
            ("home", show.show, first - timedelta(days=1)),
            (show.show, "home", last + timedelta(days=1)),
        ):
            depart = datetime(day.year, day.month, day.day, 7, tzinfo=ZONE)
            legs.append(
                Leg(
                    "Blue lorry",
                    start,
                    end,
                    depart,
                    depart + timedelta(hours=6.5),
                    455.0,
                    6.5,
                    ("Otis Vance",),
                    riding,
                )
            )
    met = tuple(
        a.title for a in yard.aims if any((o.horse, o.show) == (a.horse, a.show) for o in outings)
    )
    totals = Totals(
        worth=20.0 * len(outings),
        cost_cents=123_456 * len(outings),
        road_km=sum(leg.km for leg in legs),
        horse_road_hours=sum(leg.hours * len(leg.horses) for leg in legs),
        nights_away=sum((o.leave - o.arrive).days for o in outings),
        outings=len(outings),
        aims_met=met,
        spare_days=3,
    )
    return Circuit(
        name,
        goal,
        "proved best",
        totals.worth,
        totals.worth,
        1.5,
        totals,
        tuple(sorted(outings, key=lambda o: (o.first_day, o.horse, o.show))),
        tuple(legs),
        tuple(_fill_days(yard, outings)),
    )


def _fill_days(yard: Yard, outings: list[Outing]) -> list[Day]:
    week = ("day off", "flat", "hack", "flat", "turnout", "flat", "hack")
    days = []
    for horse in yard.horses:
        own = sorted((o for o in outings if o.horse == horse.horse), key=lambda o: o.first_day)
        for day in yard.season:
            does, at, also = week[day.weekday()], "home", ()
            for outing in own:
                if day == outing.first_day - timedelta(days=5):
                    does = "school"
                if day in (outing.arrive, outing.leave):
                    does, at = "travel", "road"
                elif outing.arrive < day < outing.leave:
                    jumped = (outing.first_day, outing.last_day)
                    does, at = ("show" if day in jumped else "hack"), outing.show
                if day == outing.leave + timedelta(days=2) and outing is own[-1]:
                    also = ("vet check",)
            if not own and day.day == 12:
                does = "vaccination"
            days.append(Day(horse.horse, day, at, does, also))
    return days
