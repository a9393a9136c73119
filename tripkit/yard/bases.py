"""Bases: second homes of the yard for some weeks, such as a rented barn near a tour."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from tripkit.yard.days import DaySpan
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state


@dataclass(frozen=True)
class Base:
    """A rented barn: where it is, on which days, for how many horses, and what a night costs.

    `place_key` is the place as the yard wrote it; shows with the same key are at the same place.
    At a `staffed` one no groom of the yard is needed. Where it `stays`, horses and vehicles may be
    there when the season ends.
    """

    base: str
    place_key: str
    days: DaySpan
    boxes: int
    per_night_cents: int = 0
    staffed: bool = False
    stays: bool = False
    timezone: str = ""

    def __post_init__(self) -> None:
        if self.boxes < 1:
            raise BadValue(state("values.boxes-must-be-at-least"))
        if self.per_night_cents < 0:
            raise BadValue(state("values.per-night-must-not-be"))

    @property
    def title(self) -> str:
        """What people call it."""
        return self.base

    def has_night(self, day: date) -> bool:
        """Whether a horse may stand there over the night that follows a day.

        >>> from datetime import date
        >>> week = DaySpan(date(2027, 3, 1), date(2027, 3, 7))
        >>> barn, kept = Base("Barn", "Ocala", week, 4), Base("Barn", "Ocala", week, 4, stays=True)
        >>> [base.has_night(date(2027, 3, 7)) for base in (barn, kept)]
        [False, True]
        """
        return day in self.days and (self.stays or day < self.days.last)
