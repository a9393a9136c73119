"""Tiny yards for the referee: each number is one yard, the same on every machine.

Places lie on a plane around home; hours are rounded up to quarters, so no way round is shorter than
the straight one. All figures are invented, so that now one limit binds and now another.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from math import ceil, cos, hypot, pi, sin
from random import Random
from typing import Any, TypeAlias

from tests.build import (
    make_absence,
    make_aim,
    make_base,
    make_class,
    make_horse,
    make_limits,
    make_lorry,
    make_rider,
    make_show,
    make_yard,
)
from tripkit.yard.days import DaySpan
from tripkit.yard.places import Drive
from tripkit.yard.shows import Show
from tripkit.yard.yard import DrivingSettings, Yard

FIRST = date(2027, 4, 5)
SPEED_KMH = 70
Points: TypeAlias = Mapping[str, tuple[float, float]]


def make_tiny_yard(number: int, den: Points | None = None, **changes: Any) -> Yard:
    """Two or three horses, four to six shows at three places, one lorry or two, 4 to 8 weeks."""
    dice = Random(f"tiny {number}")
    horses = ["Alder", "Birch", "Cedar"][: dice.choice([2, 2, 2, 3])]
    days = 7 * dice.randint(4, 8) - 1
    roads = _make_roads(dice, den or {})
    shows = _make_shows(dice, dice.randint(4, 5 if len(horses) == 3 else 6), days)
    limits = make_limits(
        shows_per_30_days=dice.choice([1, 2, 2, 3]),
        no_jump_days=dice.choice([1, 3, 5, 7]),
        schools_before_show=dice.choice([0, 1]),
        shows_in_a_row=dice.choice([1, 1, 2]),
        outings_before_break=dice.choice([1, 2, 2, 4]),
        break_days=dice.choice([7, 14]),
        arrive_days_before=dice.choice([0, 1, 1, 2]),
    )
    riders = ["Ana", dice.choice(["Ana", "Ben"]), dice.choice(["Ana", "Ben"])]
    fields: dict[str, Any] = {
        "season": (str(FIRST), str(FIRST + timedelta(days=days))),
        "limits": limits,
        "driving": DrivingSettings(rules=dice.choice(["us", "us", "eu", "none"])),
        "horses": [
            make_horse(
                name,
                rider=rider,
                to_height_cm=dice.choice([120, 130]),
                weight=Decimal(dice.choice(["1", "1", "1.5"])),
                starts_per_show=dice.choice([1, 2]),
                limits=limits,
            )
            for name, rider in zip(horses, riders, strict=False)
        ],
        "people": [
            make_rider("Ana", horses_per_show=dice.choice([1, 4])),
            make_rider("Ben"),
        ],
        "shows": shows,
        "vehicles": [
            make_lorry(f"Lorry {n + 1}", dice.choice([1, 2])) for n in range(dice.choice([1, 1, 2]))
        ],
        "km": roads,
        "absences": _make_absences(dice, horses, shows),
        "aims": _make_aims(dice, horses[0], shows),
    }
    return make_yard(**fields, **changes)


def make_tiny_yard_with_base(number: int) -> Yard:
    """The first two horses and four shows of a tiny yard, with boxes at Den for some weeks."""
    dice = Random(f"base {number}")
    hours, angle = dice.choice([1.0, 2.0, 4.0, 6.0]), dice.random()
    first = FIRST + timedelta(days=dice.randint(0, 10))
    base = make_base(
        "Barn",
        first,
        first + timedelta(days=dice.randint(10, 40)),
        place_key="Den",
        boxes=dice.choice([1, 2]),
    )
    den = {"Den": (hours * cos(2 * pi * angle), hours * sin(2 * pi * angle))}
    yard = make_tiny_yard(number, den, bases=[base])
    shows = yard.shows[:4]
    names = {show.show for show in shows}
    return replace(
        yard,
        horses=yard.horses[:2],
        shares=yard.shares[:2],
        shows=shows,
        aims=tuple(aim for aim in yard.aims if aim.show in names),
        absences=tuple(a for a in yard.absences if a.who not in ("Cedar",)),
    )


def _make_roads(dice: Random, more: Points) -> dict[tuple[str, str], Drive]:
    points = {"home": (0.0, 0.0), **more}
    for name in ("Ash", "Bay", "Cove"):
        hours, angle = dice.choice([0.5, 1.5, 3.0, 3.75, 5.0, 7.0, 8.5, 9.5, 12.0]), dice.random()
        points[name] = (hours * cos(2 * pi * angle), hours * sin(2 * pi * angle))
    drives = {}
    for a, (x, y) in points.items():
        for b, (u, v) in points.items():
            if a < b:
                hours = max(0.5, ceil(4 * round(hypot(x - u, y - v), 6)) / 4)
                drives[a, b] = Drive(hours * SPEED_KMH, hours)
    return drives


def _make_shows(dice: Random, count: int, days: int) -> list[Show]:
    shows: list[Show] = []
    free = dict.fromkeys(("Ash", "Bay", "Cove"), 0)
    begin = dice.randint(1, 3)
    for number in range(1, count + 1):
        length = dice.randint(1, 4)
        begin = min(begin, days - length)
        key = dice.choice([key for key, day in free.items() if day <= begin] or list(free))
        free[key] = begin + length
        first, name = FIRST + timedelta(days=begin), f"S{number}"
        last = first + timedelta(days=length - 1)
        before, after = (timedelta(days=days) for days in dice.choice([(2, 1), (1, 1), (0, 0)]))
        classes = [
            make_class(
                f"C{n + 1}",
                first + timedelta(days=dice.randrange(length)),
                name,
                height_cm=dice.choice([115, 120, 125]),
                worth=dice.choice([5, 8, 10, 13, 20]),
                series=dice.choice(["", "Cup"]),
                points=dice.choice([10, 20]),
            )
            for n in range(dice.choice([1, 2]))
        ]
        shows.append(
            make_show(
                name,
                first,
                last,
                place_key=key,
                stabling=DaySpan(first - before, last + after),
                classes=classes,
                places_left=dice.choice([None, None, 1]),
            )
        )
        begin += dice.choice([0, 1, 3, 5, 7, 9])
    return shows


def _make_absences(dice: Random, horses: list[str], shows: list[Show]) -> list[Any]:
    if dice.random() < 0.6:
        return []
    first = dice.choice(shows).days.first - timedelta(days=dice.choice([-1, 1, 2]))
    who = dice.choice([horses[-1], "Ana", "Lorry 1"])
    return [make_absence(who, str(first), str(first + timedelta(days=dice.choice([0, 2]))))]


def _make_aims(dice: Random, horse: str, shows: list[Show]) -> list[Any]:
    if dice.random() < 0.6:
        return []
    series = dice.choice(["", "Cup"])
    return [
        make_aim(
            horse,
            dice.choice(shows[2:]).show,
            class_name=dice.choice(["", "C1"]),
            importance=dice.choice([15, 40]),
            series=series,
            points_needed=dice.choice([0, 10]) if series else 0,
            starts_needed=dice.choice([0, 1]) if series else 0,
        )
    ]
