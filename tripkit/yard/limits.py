"""Every number the yard may change: its unit, its default, and where the default comes from.

The defaults are common practice of show-jumping yards unless the table says otherwise; none of
them is a rule of a federation. `[limits]` in yard.toml changes them for the yard, a column of
the same name in horses.csv for one horse.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace

from tripkit.yard.days import WEEKDAYS
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state

PRACTICE = "common practice, no source"
ADVICE = "advice, not a rule: derived from transport studies (see the travel_rest entry)"

DAYS_OUTSIDE_SEASON = 7
"""Legs run from so many days before the season to so many after it [days]."""

TravelRest = tuple[tuple[float, int], ...]


@dataclass(frozen=True)
class Limits:
    """The yard's numbers, or one horse's; see `LIMIT_WORDS` and `ORIGINS`.

    `travel_rest` rows are (drive of at least so many hours, whole days of rest after it).
    Raises `BadValue` for a number out of its range.
    """

    shows_per_30_days: int = 2
    no_jump_days: int = 7
    schools_before_show: int = 1
    shows_in_a_row: int = 1
    travel_rest: TravelRest = ((8.0, 1), (12.0, 2), (24.0, 3))
    fit_up_days: int = 28
    outings_before_break: int = 4
    break_days: int = 14
    arrive_days_before: int = 1
    horse_hours_per_day: float = 10.0
    water_every_hours: float = 4.0
    load_from_hour: float = 5.0
    arrive_until_hour: float = 21.0
    vet_check_after_shows: int = 2
    day_off: str = "Monday"
    longest_days_without_jumping: int = 28
    days_between_schools: int = 7
    worth_floor: float = 0.8

    def __post_init__(self) -> None:
        for limit in fields(self):
            value = getattr(self, limit.name)
            low = LOWEST.get(limit.name, 0)
            if isinstance(value, int | float) and value < low:
                raise BadValue(
                    state("values.must-be-at-least", limit_name=limit.name, value=value, low=low)
                )
            high = HIGHEST.get(limit.name)
            if isinstance(value, int | float) and high is not None and value > high:
                raise BadValue(
                    state("values.must-be-at-most", limit_name=limit.name, value=value, high=high)
                )
        if self.day_off not in WEEKDAYS:
            raise BadValue(state("values.day-off-is-no-day", day_off=self.day_off))
        if not 0 <= self.worth_floor <= 1:
            raise BadValue(state("values.worth-floor-must-be-0", worth_floor=self.worth_floor))
        hours = [row[0] for row in self.travel_rest]
        if hours != sorted(hours):
            raise BadValue(state("values.travel-rest-rows-must-stand"))

    def override(self, values: Mapping[str, object]) -> Limits:
        """A copy with some numbers changed; raises `BadValue` for an unknown name."""
        known = {limit.name for limit in fields(self)}
        for name in values:
            if name not in known:
                raise BadValue(
                    state("values.no-limit-limits-are", name=name, known=tuple(sorted(known)))
                )
        return replace(self, **values)  # type: ignore[arg-type]


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


ROAD_LIMITS: Mapping[str, Callable[[Iterable[float]], float]] = {
    "horse_hours_per_day": min,
    "water_every_hours": min,
    "load_from_hour": max,
    "arrive_until_hour": min,
}

LOWEST: Mapping[str, float] = {
    "shows_per_30_days": 1,
    "shows_in_a_row": 1,
    "outings_before_break": 1,
    "horse_hours_per_day": 1,
    "water_every_hours": 0.5,
    "arrive_until_hour": 13,
    "vet_check_after_shows": 1,
    "longest_days_without_jumping": 1,
    "days_between_schools": 1,
}

HIGHEST: Mapping[str, float] = {"load_from_hour": 12, "arrive_until_hour": 24}

ORIGINS: Mapping[str, tuple[str, str]] = {
    "shows_per_30_days": ("outings", PRACTICE),
    "no_jump_days": ("days", PRACTICE),
    "schools_before_show": ("schools", PRACTICE),
    "shows_in_a_row": ("outings", PRACTICE),
    "travel_rest": ("hours, days", ADVICE),
    "fit_up_days": ("days", PRACTICE),
    "outings_before_break": ("outings", PRACTICE),
    "break_days": ("days", PRACTICE),
    "arrive_days_before": ("days", PRACTICE),
    "horse_hours_per_day": ("hours", PRACTICE),
    "water_every_hours": ("hours", "advice: water every 4 h, Harness Racing New Zealand guide"),
    "load_from_hour": ("hours after midnight", PRACTICE),
    "arrive_until_hour": ("hours after midnight", PRACTICE),
    "vet_check_after_shows": ("outings", PRACTICE),
    "day_off": ("day of the week", PRACTICE),
    "longest_days_without_jumping": ("days", PRACTICE),
    "days_between_schools": ("days", PRACTICE),
    "worth_floor": ("share of the most worth", "this project's choice"),
}

LIMIT_WORDS: Mapping[str, str] = {
    "shows_per_30_days": "outings of a horse within 30 days",
    "no_jump_days": "days without jumping after an outing",
    "schools_before_show": "schools between two outings",
    "shows_in_a_row": "outings at one place with at most 4 days between that need no recovery",
    "travel_rest": "rest after a drive: hours of the drive, whole days",
    "fit_up_days": "days in work before the first outing",
    "outings_before_break": "outings until a horse needs a break",
    "break_days": "days of the break, beyond no_jump_days",
    "arrive_days_before": "days on the grounds before the first class",
    "horse_hours_per_day": "hours on the road in a day",
    "water_every_hours": "hours on the road between two halts for water",
    "load_from_hour": "nobody loads before",
    "arrive_until_hour": "nobody arrives after",
    "vet_check_after_shows": "outings until the vet looks",
    "day_off": "the day on which nothing is asked of a horse at home",
    "longest_days_without_jumping": "days until a school where no outing is",
    "days_between_schools": "days from school to school",
    "worth_floor": "what least road, least cost and most rest keep of the most worth",
}
