"""A horse's load week by week, and how a week stands against the month that it ends.

Loads are counted from the days of a circuit: a class jumped, a school and the flat days between
each have a weight (`WEIGHTS`). The weights are this project's choice, not a measurement; the
ratio is advice on weak evidence and no rule of a plan.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from types import MappingProxyType

from tripkit.yard.circuit import Circuit
from tripkit.yard.yard import Yard

WEIGHTS: Mapping[str, float] = MappingProxyType(
    {"class": 4.0, "school": 3.0, "flat": 2.0, "hack": 1.0}
)
"""Load of a class jumped, a school, a flat day, a hack; every other day counts nothing."""

CHRONIC_WEEKS = 4
LOW_RATIO, HIGH_RATIO = 0.5, 1.5


@dataclass(frozen=True)
class WeekLoad:
    """One week (from its Monday): classes, schools, load, and its ratio to the month's mean.

    `ratio` is None until four weeks are known and where the four weeks hold no load at all.
    """

    first_day: date
    classes: int
    schools: int
    load: float
    ratio: float | None

    @property
    def stands_out(self) -> bool:
        """Whether the ratio lies outside the band from 0.5 to 1.5.

        **Source:** advice from human sport, taken over by equine physiotherapists; no rule.
        """
        return self.ratio is not None and not LOW_RATIO <= self.ratio <= HIGH_RATIO


def weigh_weeks(yard: Yard, circuit: Circuit, horse: str) -> tuple[WeekLoad, ...]:
    """The load of each week of the season, with the acute:chronic ratio where four are known.

    Acute is one week, chronic the mean of four weeks, the week itself the last of them. Weeks
    run from Monday; a week that the season cuts counts the days that lie in it.

    **Source:** acute 1 week, chronic 4 weeks: Munsters et al. 2020, Preventive Veterinary
    Medicine 179:105010, where the ratio was of high-speed work of eventing horses.
    """
    classes: dict[date, int] = {}
    for outing in circuit.outings_by_horse.get(horse, ()):
        for name in outing.classes:
            offered = yard.find_class(outing.show, name)
            day = outing.first_day if offered is None else offered.day
            monday = _find_monday(day)
            classes[monday] = classes.get(monday, 0) + 1
    schools: dict[date, int] = {}
    between: dict[date, float] = {}
    for line in circuit.days_by_horse.get(horse, ()):
        monday = _find_monday(line.date)
        if line.does == "school" or "school" in line.also:
            schools[monday] = schools.get(monday, 0) + 1
        elif line.does in ("flat", "hack"):
            between[monday] = between.get(monday, 0.0) + WEIGHTS[line.does]
    weeks: list[WeekLoad] = []
    monday = _find_monday(yard.season.first)
    while monday <= yard.season.last:
        jumped, schooled = classes.get(monday, 0), schools.get(monday, 0)
        load = jumped * WEIGHTS["class"] + schooled * WEIGHTS["school"] + between.get(monday, 0.0)
        month = [week.load for week in weeks[-(CHRONIC_WEEKS - 1) :]] + [load]
        weeks.append(WeekLoad(monday, jumped, schooled, load, compute_ratio(month)))
        monday += timedelta(days=7)
    return tuple(weeks)


def compute_ratio(loads: list[float]) -> float | None:
    """The last week's load over the mean of four weeks, itself among them; None if fewer.

    >>> compute_ratio([3, 4, 4, 5])
    1.25
    """
    if len(loads) < CHRONIC_WEEKS or not sum(loads):
        return None
    return round(loads[-1] / (sum(loads) / CHRONIC_WEEKS), 2)


def _find_monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
