"""Horses, what they are aimed at, what they did, and what the vet said of them."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal

from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.limits import Limits


@dataclass(frozen=True)
class OutingsWanted:
    """How many outings a horse is to have in the season: at least, and at most (None: any number).

    >>> OutingsWanted(4, 6).count_missing(3), OutingsWanted(4, 6).count_missing(7)
    (1, 0)
    """

    least: int = 0
    most: int | None = None

    def __post_init__(self) -> None:
        if self.most is not None and self.most < self.least:
            raise BadValue(
                state("values.wanted-most-below-least", least=self.least, most=self.most)
            )

    def count_missing(self, outings: int) -> int:
        """How many are missing of the least that is wanted."""
        return max(0, self.least - outings)


@dataclass(frozen=True)
class Horse:
    """One horse: when it was born, what heights it jumps [cm], who rides it, how much it matters.

    `born` is the date of birth, or 1 January of the year where only the year is known
    (`born_year_only`). Those in `also_ridden_by` school it, and ride it where `rider` is absent.
    `limits` are the yard's with the horse's own columns over them.
    """

    horse: str
    born: date
    from_height_cm: int
    to_height_cm: int
    born_year_only: bool = False
    sex: str = ""
    rider: str = ""
    also_ridden_by: tuple[str, ...] = ()
    weight: Decimal = Decimal(1)
    in_work_from: date | None = None
    last_jumped: date | None = None
    clear_rate: Decimal | None = None
    starts_per_show: int = 3
    starts_per_day: int = 1
    outings_wanted: OutingsWanted = OutingsWanted()
    limits: Limits = field(default_factory=Limits)

    def __post_init__(self) -> None:
        if self.to_height_cm < self.from_height_cm:
            raise BadValue(
                state(
                    "values.to-height-cm-is-below",
                    to_height_cm=self.to_height_cm,
                    from_height_cm=self.from_height_cm,
                )
            )
        if self.weight < 0:
            raise BadValue(state("values.weight-must-not-be-negative", weight=self.weight))
        if self.starts_per_show < 1 or self.starts_per_day < 1:
            raise BadValue(state("values.starts-per-show-and-starts"))


@dataclass(frozen=True)
class Aim:
    """A horse's target show (and class), what it needs to qualify, and how much it matters.

    `importance` is 0 to 100. The qualification counts what is reached before the day `by`.
    """

    horse: str
    show: str
    class_name: str = ""
    importance: Decimal = Decimal(50)
    series: str = ""
    points_needed: Decimal = Decimal(0)
    starts_needed: int = 0
    by: date | None = None

    def __post_init__(self) -> None:
        if not 0 <= self.importance <= 100:
            raise BadValue(state("values.importance-must-be-0-to", importance=self.importance))
        if (self.points_needed > 0 or self.starts_needed > 0) and not self.series:
            raise BadValue(state("values.points-needed-or-starts-needed"))

    @property
    def title(self) -> str:
        """How the aim is written in a plan."""
        return f"{self.horse} at {self.show}" + (f", {self.class_name}" if self.class_name else "")


@dataclass(frozen=True)
class Result:
    """One start in the past: where, what height [cm], faults, place, points.

    `unsanctioned`: at an event that no federation recognised.
    """

    horse: str
    date: date
    show: str = ""
    class_name: str = ""
    height_cm: int | None = None
    faults: Decimal | None = None
    place: int | None = None
    points: Decimal = Decimal(0)
    series: str = ""
    unsanctioned: bool = False


@dataclass(frozen=True)
class VetCheck:
    """What the vet found on one day; a horse not cleared waits for a later check that clears it.

    `grade` is 0 to 5 on the AAEP lameness scale. Where nobody wrote whether the horse is cleared
    (None), a limb, a grade of 1 or more or a day to check again says that it is not; without
    them the check is an appointment and stays None.

    **Source:** American Association of Equine Practitioners, Lameness scale (grades 0-5).
    """

    horse: str
    date: date
    limb: str = ""
    grade: int | None = None
    cleared: bool | None = None
    recheck_by: datetime.date | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.limb not in ("", "lf", "rf", "lh", "rh"):
            raise BadValue(state("values.limb-is-none-of-lf", limb=self.limb))
        if self.grade is not None and not 0 <= self.grade <= 5:
            raise BadValue(state("values.grade-must-be-0-to", grade=self.grade))
        if self.cleared is None and (self.limb or self.grade or self.recheck_by):
            object.__setattr__(self, "cleared", False)

    @property
    def is_appointment(self) -> bool:
        """Whether the check says nothing yet, so that what stood before it stands."""
        return self.cleared is None


ENTRY_STATUSES = ("wanted", "sent", "paid", "scratched")


@dataclass(frozen=True)
class Entry:
    """What the yard told the organiser about one class: wanted, sent, paid or scratched."""

    horse: str
    show: str
    class_name: str
    status: str
    date: date | None = None
    amount_cents: int | None = None

    def __post_init__(self) -> None:
        if self.status not in ENTRY_STATUSES:
            raise BadValue(state("values.status-is-none-of-wanted", status=self.status))

    @property
    def binds(self) -> bool:
        """Whether every plan must keep the entry."""
        return self.status in ("sent", "paid")


@dataclass(frozen=True)
class HistoryOuting:
    """One horse at one show before today, from the results: it counts for later outings."""

    horse: str
    show: str
    first_day: date
    last_day: date

    def is_near(self, day: date, days: int) -> bool:
        """Whether a day lies within so many days of the outing's."""
        return (self.first_day - day).days <= days and (day - self.last_day).days <= days

    def extend(self, day: date) -> HistoryOuting:
        """The outing with a day more."""
        return replace(self, first_day=min(self.first_day, day), last_day=max(self.last_day, day))
