"""Hand-made circuits for the judge: visits are written down, the days between filled plainly.

The stable of these tests: Alder and Birch (110 to 130 cm, rider Ana), Dell, who drives where a test
says so, one lorry of four places,
everything free of charge, every drive 140 km and 2 h unless a test says otherwise. Shows:

====  =========  ====================  ====================  ==========================
show  place      days                  stabling              classes
====  =========  ====================  ====================  ==========================
S1    Millbrook  04-07 to 04-11        04-05 to 04-12        C1 04-08, C2 04-10
S2    Fairview   04-19 to 04-23        04-17 to 04-24        C1 04-20, C2 04-22
S3    Millbrook  05-05 to 05-09        05-03 to 05-10        C1 05-06, C2 05-08
S4    Fairview   05-26 to 05-30        05-24 to 05-31        C1 05-27, C2 05-29
====  =========  ====================  ====================  ==========================

From S1 (last class 04-10) to S2 (first class 04-20) lie 9 clear days, 04-11 to 04-19. Rule
`recovery` asks 7 + 2 x 1 + (1 drive day + 0 rest - 1) = 9. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from tests.build import day, make_class, make_horse, make_rider, make_show, make_yard
from tripkit.judging.judge import find_violations
from tripkit.yard.circuit import (
    KINDS_OF_DAY,
    Circuit,
    Day,
    DroppedEntry,
    Leg,
    Outing,
    Stop,
    Totals,
    number_driver,
)
from tripkit.yard.people import Person
from tripkit.yard.shows import Show
from tripkit.yard.yard import CostRates, Yard

ZONE = ZoneInfo("America/New_York")
DRIVER = (number_driver(1),)


@dataclass(frozen=True)
class Visit:
    """Outings at one show and the legs that bring the horses there and back."""

    outings: tuple[Outing, ...]
    legs: tuple[Leg, ...]


def free_show(show: str, first: str | date, place_key: str = "Millbrook", **changes: Any) -> Show:
    """A show of five days whose classes cost nothing; class C1 on day 2, C2 on day 4."""
    begin = day(first)
    classes = changes.pop(
        "classes",
        (
            free_class("C1", begin + timedelta(days=1), show),
            free_class("C2", begin + timedelta(days=3), show, height_cm=125),
        ),
    )
    return make_show(show, begin, place_key=place_key, classes=classes, **changes)


def free_class(name: str, on: str | date, show: str, **changes: Any) -> Any:
    """A class without a fee, 120 cm, worth 10."""
    return make_class(name, on, show, **{"fee_cents": 0, **changes})


def four_shows() -> list[Show]:
    """S1 to S4 of the table above."""
    return [
        free_show("S1", "2027-04-07"),
        free_show("S2", "2027-04-19", "Fairview"),
        free_show("S3", "2027-05-05"),
        free_show("S4", "2027-05-26", "Fairview"),
    ]


def stable(**changes: Any) -> Yard:
    """The stable of the table above, changed by fields of `Yard`."""
    fields: dict[str, Any] = {
        "shows": four_shows(),
        "horses": [make_horse("Alder"), make_horse("Birch")],
        "people": [make_rider(), Person("Olga", "owner"), Person("Dell", "driver")],
        "costs": CostRates(),
        **changes,
    }
    return make_yard(**fields)


def at(text: str, hour: int = 7, minute: int = 0) -> datetime:
    """A local time on the east coast."""
    return datetime.combine(day(text), datetime.min.time(), ZONE) + timedelta(
        hours=hour, minutes=minute
    )


def drive(
    start: str,
    end: str,
    on: str | date,
    horses: Iterable[str] = ("Alder",),
    *,
    km: float = 140.0,
    hours: float = 2.0,
    vehicle: str = "Lorry",
    arrive: datetime | None = None,
    stops: Sequence[Stop] = (),
    hour: int = 7,
    drivers: tuple[str, ...] = DRIVER,
) -> Leg:
    """A leg that leaves at 07:00 and arrives as its hours and short halts say."""
    depart = at(str(on), hour)
    halts = timedelta(minutes=sum(stop.minutes for stop in stops))
    end_of_drive = depart + timedelta(hours=hours) + halts if arrive is None else arrive
    return Leg(
        vehicle,
        start,
        end,
        depart,
        end_of_drive,
        km,
        hours,
        drivers,
        tuple(horses),
        tuple(stops),
    )


def outing(
    yard: Yard,
    show: str,
    arrive: str | date,
    leave: str | date,
    horse: str = "Alder",
    classes: tuple[str, ...] = ("C1", "C2"),
    rider: str = "Ana",
    aim: float = 0.0,
) -> Outing:
    """One horse at one show; days from its classes, worth as the handbook counts it."""
    offered = [c for name in classes if (c := yard.find_class(show, name))]
    weight = yard.horse_by_name[horse].weight if horse in yard.horse_by_name else Decimal(1)
    worth = (
        float(
            sum((Decimal(10) if c.worth is None else c.worth for c in offered), Decimal(0)) * weight
        )
        + aim
    )
    days = [c.day for c in offered] or [day(arrive)]
    return Outing(horse, show, rider, classes, min(days), max(days), day(arrive), day(leave), worth)


def visit(
    yard: Yard,
    show: str,
    arrive: str,
    leave: str,
    horses: Sequence[str] = ("Alder",),
    classes: tuple[str, ...] = ("C1", "C2"),
    **changes: Any,
) -> Visit:
    """Horses go to a show on one day and come home on another, 2 h each way."""
    return Visit(
        tuple(outing(yard, show, arrive, leave, horse, classes, **changes) for horse in horses),
        (drive("home", show, arrive, horses), drive(show, "home", leave, horses)),
    )


def plan(yard: Yard, *visits: Visit, spare_days: int | None = None, **changes: Any) -> Circuit:
    """A circuit of visits with a day plan and totals that agree with them."""
    outings = sorted(
        (o for one in visits for o in one.outings), key=lambda o: (o.first_day, o.horse, o.show)
    )
    legs = sorted((leg for one in visits for leg in one.legs), key=lambda leg: leg.depart)
    return settle(
        yard,
        Circuit("A", "most worth", "proved best", outings=tuple(outings), legs=tuple(legs)),
        spare_days=spare_days,
        **changes,
    )


def settle(
    yard: Yard, circuit: Circuit, *, spare_days: int | None = None, **changes: Any
) -> Circuit:
    """The circuit with days and totals written anew."""
    aims_met = changes.pop("aims_met", ())
    circuit = replace(circuit, **changes)
    outings, legs = circuit.outings, circuit.legs
    nights = sum((o.leave - o.arrive).days for o in outings)
    nights += sum(len(leg.horses) for leg in legs for s in leg.stops if s.kind == "overnight")
    totals = Totals(
        worth=sum(o.worth for o in outings),
        cost_cents=sum(o.cost_cents for o in outings),
        road_km=round(sum(leg.km for leg in legs), 1),
        horse_road_hours=round(sum(leg.hours * len(leg.horses) for leg in legs), 2),
        nights_away=nights,
        outings=len(outings),
        aims_met=aims_met,
        spare_days=spare_days,
    )
    days = tuple(line for horse in yard.horses for line in _fill(yard, circuit, horse.horse))
    return replace(circuit, totals=totals, days=days)


def _fill(yard: Yard, circuit: Circuit, horse: str) -> Iterable[Day]:
    """Class days and drives as they are; a school about every second week; the vet when home."""
    own = sorted((o for o in circuit.outings if o.horse == horse), key=lambda o: o.first_day)
    legs = sorted((leg for leg in circuit.legs if horse in leg.horses), key=lambda leg: leg.depart)
    classes = {
        c.day for o in own for name in o.classes if (c := yard.find_class(o.show, name)) is not None
    }
    lame = sorted((c for c in yard.vet_checks if c.horse == horse), key=lambda c: c.date)
    checks = [o.leave + timedelta(days=1) for o in own]
    idle = 0
    for date_ in yard.season:
        on_road = any(leg.days.first <= date_ <= leg.days.last for leg in legs)
        there = next((leg.end for leg in reversed(legs) if leg.days.last < date_), "home")
        held = [c for c in lame if c.date <= date_]
        free = not yard.is_absent(horse, date_) and (not held or held[-1].cleared)
        quiet = any(0 < (date_ - o.last_day).days <= 7 for o in own)
        eve = any(0 < (o.first_day - date_).days <= (7 if o is own[0] else 1) for o in own)
        kinds = {
            "show": date_ in classes,
            "travel": on_road,
            "school": idle >= 12
            and free
            and not (quiet or eve or on_road)
            and not classes & {date_},
            "vet check": date_ in checks,
        }
        idle = 0 if kinds["show"] or kinds["school"] else idle + 1
        does = [kind for kind in KINDS_OF_DAY if kinds.get(kind)] or ["flat"]
        yield Day(horse, date_, "road" if on_road else there, does[0], tuple(does[1:]))


def change_day(circuit: Circuit, horse: str, on: str, **changes: Any) -> Circuit:
    """The circuit with one line of the day plan changed."""
    return replace(
        circuit,
        days=tuple(
            replace(line, **changes) if (line.horse, line.date) == (horse, day(on)) else line
            for line in circuit.days
        ),
    )


def change_leg(circuit: Circuit, number: int, **changes: Any) -> Circuit:
    """The circuit with one leg changed and nothing else."""
    legs = list(circuit.legs)
    legs[number] = replace(legs[number], **changes)
    return replace(circuit, legs=tuple(legs))


def change_outing(circuit: Circuit, number: int, **changes: Any) -> Circuit:
    """The circuit with one outing changed and nothing else."""
    outings = list(circuit.outings)
    outings[number] = replace(outings[number], **changes)
    return replace(circuit, outings=tuple(outings))


def broken(circuit: Circuit, yard: Yard) -> set[str]:
    """The ids of the rules that the judge finds broken."""
    return {violation.rule for violation in find_violations(yard, circuit)}


def say(circuit: Circuit, yard: Yard) -> str:
    """All violations as text."""
    return "\n".join(str(violation) for violation in find_violations(yard, circuit))


def two_visits(yard: Yard, horses: Sequence[str] = ("Alder",)) -> Circuit:
    """Alder at S1 and S2, home between, 9 clear days apart: the clean circuit."""
    return plan(
        yard,
        visit(yard, "S1", "2027-04-07", "2027-04-11", horses),
        visit(yard, "S2", "2027-04-19", "2027-04-23", horses),
        spare_days=0,
    )


def drop(reason: str, cents: int = 0, name: str = "C1", show: str = "S1") -> DroppedEntry:
    """A class of Alder listed as dropped, by `rule: why` or by why alone."""
    rule, mark, why = reason.rpartition(": ")
    return DroppedEntry("Alder", show, name, why, cents, rule if mark else "")


def water(on: str, hour: int, minute: int = 0, minutes: int = 30, kind: str = "water") -> Stop:
    """A halt of half an hour for water."""
    return Stop(kind, at(on, hour, minute), minutes, "")


def night(on: str, hour: int = 17, minutes: int = 840) -> Stop:
    """A night from 17:00 to 07:00."""
    return Stop("overnight", at(on, hour), minutes, "")


def two_day_drive(start: str, end: str, first: str, second: str, **changes: Any) -> Any:
    """700 km in 10 h: 9 h with two halts on the first day, the night, one hour on the second."""
    stops = changes.pop("stops", (water(first, 11), water(first, 15, 30), night(first)))
    arrive = changes.pop("arrive", at(second, 8))
    return drive(start, end, first, km=700.0, hours=10.0, arrive=arrive, stops=stops, **changes)


def two_day_visit(yard: Yard, show: str = "S1") -> Visit:
    """Alder at S1, 700 km away: 04-05 and 04-06 out, a day of rest, 04-11 and 04-12 back."""
    return Visit(
        (outing(yard, show, "2027-04-06", "2027-04-11"),),
        (
            two_day_drive("home", show, "2027-04-05", "2027-04-06"),
            two_day_drive(show, "home", "2027-04-11", "2027-04-12"),
        ),
    )
