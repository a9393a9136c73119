"""One candidate plan for the season: outings, legs, days and what they add up to."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from typing import Literal, TypeAlias, get_args

from tripkit.yard.days import DaySpan
from tripkit.yard.facts import Fact, Reason, draw, state

Status: TypeAlias = Literal[
    "proved best",
    "best of its kind",
    "within bound",
    "best in time",
    "none exists",
    "none in time",
]
STATUSES: tuple[Status, ...] = get_args(Status)
WITHIN = 0.01
PROVED: tuple[Status, ...] = ("proved best", "best of its kind")
WITHOUT_PLAN: tuple[Status, ...] = ("none exists", "none in time")
CAR = "car"
"""How a rider goes who takes no vehicle of the yard."""
KINDS_OF_STOP = ("water", "break", "overnight")
KINDS_OF_DAY = (
    "show",
    "travel",
    "school",
    "vet check",
    "vaccination",
    "flat",
    "hack",
    "turnout",
    "day off",
    "rest",
)


def name_status(objective: float, bound: float, leaves_out: Sequence[Reason] = ()) -> Status:
    """The status of a circuit that reached `objective` where nothing passes `bound`.

    Within bound is within a hundredth of what was reached, or of one where that is less. A bound
    that `leaves_out` something of what the rules allow proves the best of its kind.

    >>> name_status(412, 412), name_status(412, 416), name_status(412, 417)
    ('proved best', 'within bound', 'best in time')
    >>> name_status(412, 412, leaves_out=("more than two drives a day",))
    'best of its kind'
    """
    if objective == bound:
        return "best of its kind" if leaves_out else "proved best"
    close = abs(bound - objective) <= WITHIN * max(1.0, abs(objective))
    return "within bound" if close else "best in time"


@dataclass(frozen=True)
class Outing:
    """One horse at one show with the classes it jumps there.

    `first_day` and `last_day` are the days of its first and last class; `arrive` and `leave`
    the days it comes to and goes from the grounds. `worth` counts its classes times the
    horse's weight, plus the importance of the aim it meets. `cost_cents` is everything that
    the season costs because of this outing; the outings' costs sum to the circuit's.
    """

    horse: str
    show: str
    rider: str
    classes: tuple[str, ...]
    first_day: date
    last_day: date
    arrive: date
    leave: date
    worth: float = 0.0
    cost_cents: int = 0

    @property
    def days(self) -> DaySpan:
        """The days from its first to its last class."""
        return DaySpan(self.first_day, self.last_day)


@dataclass(frozen=True)
class Stop:
    """A halt on a leg: for water, for the driver's break, or over night."""

    kind: str
    start: datetime
    minutes: int
    near: str


Driver: TypeAlias = str | Fact
"""Who drives: a person, by name, or one whom nobody names, by his number (`number_driver`)."""

UNNAMED = "unnamed driver"
_UNNAMED_NUMBER = re.compile(rf"{UNNAMED} (0|[1-9][0-9]{{0,8}})")


def number_driver(number: int) -> Driver:
    """A driver whom nobody names, by his number."""
    return state("journeys.unnamed-driver", number=number)


def read_driver(written: str) -> Driver:
    """A driver as the file of circuits has him.

    >>> read_driver("unnamed driver 2") == number_driver(2), read_driver("Dell")
    (True, 'Dell')
    """
    found = _UNNAMED_NUMBER.fullmatch(written)
    return number_driver(int(found[1])) if found else written


def write_driver(driver: Driver) -> str:
    """A driver as the file of circuits has him: a name, or `unnamed driver` and the number.

    >>> write_driver(number_driver(2))
    'unnamed driver 2'
    """
    return f"{UNNAMED} {driver.get('number')}" if isinstance(driver, Fact) else driver


@dataclass(frozen=True)
class Leg:
    """One drive of one vehicle, with horses aboard or empty; times are aware and local.

    `start` and `end` are show ids, bases or `home`; `hours` are hours of driving, halts not
    counted. A driver written as files have him, such as `unnamed driver 2`, is the one with that
    number.
    """

    vehicle: str
    start: str
    end: str
    depart: datetime
    arrive: datetime
    km: float
    hours: float
    drivers: tuple[Driver, ...] = ()
    horses: tuple[str, ...] = ()
    stops: tuple[Stop, ...] = ()

    def __post_init__(self) -> None:
        drivers = tuple(read_driver(who) if isinstance(who, str) else who for who in self.drivers)
        object.__setattr__(self, "drivers", drivers)

    @property
    def days(self) -> DaySpan:
        """The calendar days of the drive, local at each end."""
        return DaySpan(self.depart.date(), max(self.depart.date(), self.arrive.date()))


@dataclass(frozen=True)
class Day:
    """What one horse does on one day: the first kind that applies, and the others besides."""

    horse: str
    date: date
    at: str
    does: str
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class DroppedEntry:
    """A class sent or paid that the plan cannot keep: by which rule, why, and the money at risk.

    `rule` is an id of the judge, or `road` where no road is known; empty where nobody says.
    """

    horse: str
    show: str
    class_name: str
    why: Reason
    cents: int
    rule: str = ""

    @property
    def fact(self) -> Fact:
        """What is lost, why, and the money at risk."""
        about = {"horse": self.horse, "show": self.show, "name": self.class_name}
        return state("season.entry-lost", **about, why=self.why, risk_cents=self.cents)


@dataclass(frozen=True)
class RiderWay:
    """A rider's own way from one place to the next, in his car or with a vehicle of the yard.

    `start` and `end` stand as in a `Leg`; `by` is `car` or the vehicle.
    """

    rider: str
    start: str
    end: str
    date: date
    by: str
    km: float


@dataclass(frozen=True)
class Totals:
    """What a circuit adds up to; every figure is the sum of the values as written in it.

    `missing_outings` are those that horses lack of the least that is wanted of them.
    """

    worth: float = 0.0
    cost_cents: int = 0
    road_km: float = 0.0
    horse_road_hours: float = 0.0
    nights_away: int = 0
    outings: int = 0
    aims_met: tuple[str, ...] = ()
    spare_days: int | None = None
    missing_outings: int = 0


@dataclass(frozen=True)
class Stand:
    """Where a horse or vehicle is after its last drive that has begun.

    `stop` is a show id, a base or `home`; `since` the day it arrives there, which may be to come.
    """

    who: str
    stop: str
    since: date


@dataclass(frozen=True)
class Begun:
    """What of the published circuit has happened by today or is under way.

    `outings` are those whose horse has left for them, with the classes that were jumped or still
    can be; `legs` those that departed before or on today; `days` the day plan up to today. `stands`
    has everybody whom these legs moved. Of `outings` those in `under_way` as (horse, show) are
    where the horse still stands, or is driving to.
    """

    outings: tuple[Outing, ...] = ()
    legs: tuple[Leg, ...] = ()
    days: tuple[Day, ...] = ()
    stands: tuple[Stand, ...] = ()
    under_way: frozenset[tuple[str, str]] = frozenset()

    @cached_property
    def outing_keys(self) -> frozenset[tuple[str, str]]:
        """The outings as (horse, show)."""
        return frozenset((outing.horse, outing.show) for outing in self.outings)

    @cached_property
    def done(self) -> tuple[Outing, ...]:
        """The outings that are over: their horse has left the grounds."""
        return tuple(o for o in self.outings if (o.horse, o.show) not in self.under_way)

    @cached_property
    def stand_of(self) -> Mapping[str, Stand]:
        """Where everybody stands whom a drive moved."""
        return {stand.who: stand for stand in self.stands}


@dataclass(frozen=True, repr=False)
class Circuit:
    """A plan with its goal, its status and the bound that says how good it can be at most.

    `objective` and `bound` are in the unit of the goal's row (`yard/goals`). Both are None where
    there is no plan. They hold but for what the planner `leaves_out` of the rules' freedoms, and
    for the aims met; `aims_proved` and `dropped_proved` say whether no better aims can be met and
    no less be dropped. `point_price_cents` is what a point of worth counts where money is weighed
    against it.
    """

    name: str
    goal: str
    status: Status
    objective: float | None = None
    bound: float | None = None
    seconds: float = 0.0
    totals: Totals = field(default_factory=Totals)
    outings: tuple[Outing, ...] = ()
    legs: tuple[Leg, ...] = ()
    days: tuple[Day, ...] = ()
    dropped_entries: tuple[DroppedEntry, ...] = ()
    reasons: tuple[Reason, ...] = ()
    leaves_out: tuple[Reason, ...] = ()
    aims_proved: bool = False
    point_price_cents: int | None = None
    remarks: tuple[Reason, ...] = ()
    rider_ways: tuple[RiderWay, ...] = ()
    dropped_proved: bool = False

    def __repr__(self) -> str:
        if not self.exists:
            return f"<Circuit {self.name!r}: {self.status}>"
        return (
            f"<Circuit {self.name!r}: {len(self.outings)} outings, {len(self.legs)} legs, "
            f"worth {self.totals.worth:g}, {self.status}>"
        )

    def _repr_html_(self) -> str:
        return draw(self)

    @property
    def exists(self) -> bool:
        """Whether there is a plan at all."""
        return self.status not in WITHOUT_PLAN

    @cached_property
    def outings_by_horse(self) -> Mapping[str, tuple[Outing, ...]]:
        """Each horse's outings in date order."""
        found: dict[str, list[Outing]] = {}
        for outing in sorted(self.outings, key=lambda o: (o.first_day, o.last_day, o.show)):
            found.setdefault(outing.horse, []).append(outing)
        return {horse: tuple(outings) for horse, outings in found.items()}

    @cached_property
    def days_by_horse(self) -> Mapping[str, tuple[Day, ...]]:
        """Each horse's days in date order."""
        found: dict[str, list[Day]] = {}
        for day in sorted(self.days, key=lambda d: d.date):
            found.setdefault(day.horse, []).append(day)
        return {horse: tuple(days) for horse, days in found.items()}
