"""What a search may do beyond the planner's habits, each a line of the handbook's chapter on it."""

from __future__ import annotations

from dataclasses import dataclass, fields


@dataclass(frozen=True)
class Freedoms:
    """All off: what `tripkit/handbook/planner.md` says that the planner leaves out is left out.

    any_day: horses come and leave on any day that stabling allows.
    evening: a horse may leave on the evening of its last class day.
    two_drives: a lorry may drive twice a day, within one man's hours.
    empty_anywhere: a lorry goes empty from anywhere to anywhere, on any day.
    straight_on: no whole day at home between two trips.
    day_trips: a horse that need not come a day before comes on the morning of its first class.
    empty_by_driver: an empty lorry keeps its driver's hours only, not the horses'.
    calls: a horse stays aboard while its lorry calls at a place on the way.
    points_until_class: points for an aim count until its class, not until its show's first one.

    absent_at_home is no freedom but a rule: a lorry stands at home while it is absent.
    """

    any_day: bool = False
    evening: bool = False
    two_drives: bool = False
    empty_anywhere: bool = False
    straight_on: bool = False
    day_trips: bool = False
    empty_by_driver: bool = False
    calls: bool = False
    points_until_class: bool = False
    absent_at_home: bool = False


TODAY = Freedoms()
NAMES = tuple(field.name for field in fields(Freedoms) if field.name != "absent_at_home")
ALL = Freedoms(**dict.fromkeys(NAMES, True))
