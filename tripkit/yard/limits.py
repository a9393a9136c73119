"""Every number the yard may change: its unit, its default, and where the default comes from.

The defaults are common practice of show-jumping yards unless the table says otherwise; none of
them is a rule of a federation. `[limits]` in yard.toml changes them for the yard, a column of
the same name in horses.csv for one horse.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Annotated, get_type_hints

from tripkit.yard.days import WEEKDAYS
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state

PRACTICE = "common practice, no source"
ADVICE = "advice, not a rule: derived from transport studies (see the travel_rest entry)"

DAYS_OUTSIDE_SEASON = 7
"""Legs run from so many days before the season to so many after it [days]."""

TravelRest = tuple[tuple[float, int], ...]


@dataclass(frozen=True)
class Limit:
    """What is known of a number: its unit, what it says, its default's origin, and its range.

    `choices` are the words that may stand for one that is no number.
    """

    unit: str
    says: str
    origin: str = PRACTICE
    low: float = 0
    high: float = inf
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Limits:
    """The yard's numbers, or one horse's; what is known of each is in `LIMITS` by its name.

    `travel_rest` rows are (drive of at least so many hours, whole days of rest after it).
    Raises `BadValue` for a number out of its range.
    """

    shows_per_30_days: Annotated[
        int, Limit("outings", "outings of a horse within 30 days", low=1)
    ] = 2
    no_jump_days: Annotated[int, Limit("days", "days without jumping after an outing")] = 7
    schools_before_show: Annotated[int, Limit("schools", "schools between two outings")] = 1
    shows_in_a_row: Annotated[
        int,
        Limit(
            "outings",
            "outings at one place with at most 4 days between that need no recovery",
            low=1,
        ),
    ] = 1
    travel_rest: Annotated[
        TravelRest,
        Limit("hours, days", "rest after a drive: hours of the drive, whole days", ADVICE),
    ] = ((8.0, 1), (12.0, 2), (24.0, 3))
    fit_up_days: Annotated[int, Limit("days", "days in work before the first outing")] = 28
    outings_before_break: Annotated[
        int, Limit("outings", "outings until a horse needs a break", low=1)
    ] = 4
    break_days: Annotated[int, Limit("days", "days of the break, beyond no_jump_days")] = 14
    arrive_days_before: Annotated[
        int, Limit("days", "days on the grounds before the first class")
    ] = 1
    horse_hours_per_day: Annotated[float, Limit("hours", "hours on the road in a day", low=1)] = (
        10.0
    )
    water_every_hours: Annotated[
        float,
        Limit(
            "hours",
            "hours on the road between two halts for water",
            "advice: water every 4 h, Harness Racing New Zealand guide",
            low=0.5,
        ),
    ] = 4.0
    load_from_hour: Annotated[
        float, Limit("hours after midnight", "nobody loads before", high=12)
    ] = 5.0
    leave_from_hour: Annotated[
        float,
        Limit(
            "hours after midnight", "on the day of its last class no horse loads before", high=24
        ),
    ] = 16.0
    arrive_until_hour: Annotated[
        float, Limit("hours after midnight", "nobody arrives after", low=13, high=24)
    ] = 21.0
    drives_per_day: Annotated[int, Limit("drives", "drives of a lorry on a day", low=1)] = 2
    driver_days_off: Annotated[
        int, Limit("days", "days without a drive in any seven of a driver", high=6)
    ] = 1
    vet_check_after_shows: Annotated[
        int, Limit("outings", "outings until the vet looks", low=1)
    ] = 2
    day_off: Annotated[
        str, Limit("day of the week", "the day on which nothing is asked of a horse at home")
    ] = "Monday"
    longest_days_without_jumping: Annotated[
        int, Limit("days", "days until a school where no outing is", low=1)
    ] = 28
    days_between_schools: Annotated[int, Limit("days", "days from school to school", low=1)] = 7
    class_worth: Annotated[
        str,
        Limit(
            "the same or by class",
            "worth of a class for which nobody wrote one: 10, or 10 to 20 by the horse's heights",
            "this project's choice",
            choices=("the same", "by class"),
        ),
    ] = "the same"
    worth_floor: Annotated[
        float,
        Limit(
            "share of the most worth",
            "what a plan for another goal than worth keeps of the most worth",
            "this project's choice",
            high=1,
        ),
    ] = 0.8
    worth_slack: Annotated[
        float,
        Limit(
            "share of the most worth",
            "what the plan of most worth may give away of it to cost less",
            "this project's choice",
            high=1,
        ),
    ] = 0.005
    aims: Annotated[
        str,
        Limit(
            "first or points",
            "whether aims come before all points, or are points like others",
            "this project's choice",
            choices=("first", "points"),
        ),
    ] = "first"

    def __post_init__(self) -> None:
        for name, limit in LIMITS.items():
            value = getattr(self, name)
            about = {"limit_name": name, "value": value}
            if limit.choices and value not in limit.choices:
                raise BadValue(state("values.must-be-one-of", **about, words=limit.choices))
            if not isinstance(value, int | float):
                continue
            if not value >= limit.low:
                raise BadValue(state("values.must-be-at-least", **about, low=limit.low))
            if value > limit.high:
                raise BadValue(state("values.must-be-at-most", **about, high=limit.high))
        if self.day_off not in WEEKDAYS:
            raise BadValue(state("values.day-off-is-no-day", day_off=self.day_off))
        hours = [row[0] for row in self.travel_rest]
        if hours != sorted(hours):
            raise BadValue(state("values.travel-rest-rows-must-stand"))

    def override(self, values: Mapping[str, object]) -> Limits:
        """A copy with some numbers changed; raises `BadValue` for an unknown name."""
        for name in values:
            if name not in LIMITS:
                raise BadValue(
                    state("values.no-limit-limits-are", name=name, known=tuple(sorted(LIMITS)))
                )
        return replace(self, **values)  # type: ignore[arg-type]


LIMITS: Mapping[str, Limit] = {
    name: known.__metadata__[0]
    for name, known in get_type_hints(Limits, include_extras=True).items()
}
"""Each number by its name, in their order."""


def join_road_limits(limits: Sequence[Limits]) -> Limits:
    """What horses that travel together ask of the road: of each number the strictest.

    The other numbers are those of the first.

    >>> together = join_road_limits([Limits(horse_hours_per_day=8), Limits(water_every_hours=2)])
    >>> together.horse_hours_per_day, together.water_every_hours
    (8, 2)
    """
    first, *others = limits
    return first.override(
        {
            name: strictest(getattr(one, name) for one in (first, *others))
            for name, strictest in ROAD_LIMITS.items()
        }
    )


LIMITS_OF_THE_YARD = ("drives_per_day", "driver_days_off", "worth_floor", "worth_slack", "aims")
"""Numbers of the whole plan, not of one horse."""

ROAD_LIMITS: Mapping[str, Callable[[Iterable[float]], float]] = {
    "horse_hours_per_day": min,
    "water_every_hours": min,
    "load_from_hour": max,
    "leave_from_hour": max,
    "arrive_until_hour": min,
}
