"""Small random yards for the planner's tests: each seed is one yard, the same on every machine.

Places lie on a plane around home; hours are rounded up to quarters, so no way round is shorter than
the straight one. No clock is changed in these seasons. All figures are invented; limits are the
handbook's usual ones (common practice, no source) unless a seed changes them.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from math import ceil, cos, hypot, pi, sin
from random import Random
from typing import Any

from tests.build import (
    make_absence,
    make_aim,
    make_class,
    make_entry,
    make_horse,
    make_limits,
    make_lorry,
    make_result,
    make_rider,
    make_show,
    make_vet_check,
    make_yard,
)
from tripkit.yard.horses import Horse
from tripkit.yard.places import Drive
from tripkit.yard.shows import Show
from tripkit.yard.yard import CostRates, Yard

FIRST = date(2027, 4, 5)
SPEED_KMH = 70


def make_random_yard(seed: int, *, small: bool = False, rich: bool = False) -> Yard:
    """A yard of two or three horses and at most twelve possible outings; `small`: one or two.

    `rich` yards pay grooms, riders, nights and the vet as well as the road and the fees.
    """
    dice = Random(seed)
    count = dice.choice([1, 2] if small else [2, 2, 3])
    names = ["Alder", "Birch", "Cedar"][:count]
    days = dice.choice([55, 70])
    places = _make_places(dice)
    shows = _make_shows(dice, places, dice.randint(3, 4 if small or count == 3 else 5), days)
    limits = make_limits(
        shows_per_30_days=dice.choice([1, 2, 2, 3]),
        no_jump_days=dice.choice([5, 6, 7]),
        schools_before_show=dice.choice([0, 1, 1]),
        outings_before_break=dice.choice([1, 2, 4]),
        break_days=dice.choice([7, 14]),
        shows_in_a_row=dice.choice([1, 1, 2]),
        arrive_days_before=dice.choice([1, 1, 2]),
        vet_check_after_shows=dice.choice([1, 2]),
    )
    horses = [_make_horse(dice, name, limits, free_rider=not rich) for name in names]
    fields: dict[str, Any] = {
        "season": (str(FIRST), str(FIRST + timedelta(days=days))),
        "limits": limits,
        "horses": horses,
        "shows": shows,
        "people": [make_rider("Ana", horses_per_show=dice.choice([1, 2, 4])), make_rider("Ben")],
        "vehicles": [
            make_lorry(f"Lorry {i + 1}", dice.choice([1, 2])) for i in range(dice.choice([1, 1, 2]))
        ],
        "costs": _make_rates(dice, rich=rich),
        "km": places,
        **_make_papers(dice, horses, shows),
    }
    return make_yard(**fields)


def _make_places(dice: Random) -> dict[tuple[str, str], Drive]:
    """Three places 1 to 11 hours from home, and all the ways between them."""
    points = {"home": (0.0, 0.0)}
    for name in ("Ash", "Bay", "Cove"):
        hours, angle = dice.choice([1.5, 2.5, 4.5, 7.0, 8.5, 11.0]), dice.random() * 2 * pi
        points[name] = (hours * cos(angle), hours * sin(angle))
    ways = {}
    for a, (x, y) in points.items():
        for b, (u, v) in points.items():
            if a < b:
                quarters = ceil(4 * hypot(x - u, y - v) - 1e-9)
                ways[a, b] = Drive(SPEED_KMH * quarters / 4, quarters / 4)
    return ways


def _make_shows(
    dice: Random, places: dict[tuple[str, str], Drive], count: int, days: int
) -> list[Show]:
    keys = sorted({key for pair in places for key in pair} - {"home"})
    shows, taken = [], dict.fromkeys(keys, -9)
    begin = dice.randint(2, 8)
    for number in range(1, count + 1):
        begin = min(begin + dice.choice([2, 4, 7, 9, 12, 14]), days - 6)
        key = dice.choice([k for k in keys if taken[k] < begin] or keys)
        length = dice.randint(1, 3)
        taken[key] = begin + length
        first = FIRST + timedelta(days=begin)
        name = f"S{number}"
        classes = [
            make_class(
                f"C{i + 1}",
                first + timedelta(days=min(i * dice.choice([1, 2]), length)),
                name,
                height_cm=dice.choice([115, 120, 135]) if i else 120,
                worth=dice.choice([5, 8, 10, 13, 20]),
                fee_cents=dice.choice([4000, 5500]),
                series=dice.choice(["", "Cup"]),
                points=dice.choice([10, 20]),
                youngest_horse=dice.choice([None, None, 8]),
            )
            for i in range(dice.choice([1, 2, 2, 3]))
        ]
        shows.append(
            make_show(
                name,
                first,
                first + timedelta(days=length),
                place_key=key,
                tour=dice.choice(["", "", "Spring"]),
                classes=classes,
                stall_fee_cents=dice.choice([0, 15000]),
                places_left=dice.choice([None, None, None, 1]),
            )
        )
    return shows


def _make_horse(dice: Random, name: str, limits: Any, *, free_rider: bool) -> Horse:
    return make_horse(
        name,
        f"{dice.choice([2016, 2018, 2021])}-05-01",
        rider=dice.choice(["Ana", "Ana", "Ben", *([""] if free_rider else [])]),
        to_height_cm=dice.choice([125, 140]),
        weight=Decimal(dice.choice(["1", "1", "1.5"])),
        starts_per_show=dice.choice([1, 2, 3]),
        in_work_from=dice.choice([None, None, None, date(2027, 3, 27)]),
        limits=limits,
    )


def _make_rates(dice: Random, *, rich: bool) -> CostRates:
    if rich:
        return CostRates(
            cents_per_km=Decimal(dice.choice([90, 155])),
            groom_day_cents=9000,
            hired_driver_day_cents=0,
            rider_day_cents=7000,
            overnight_stop_cents=12000,
            stabling_day_cents=3500,
            vet_check_cents=8000,
        )
    return CostRates(
        cents_per_km=Decimal(120),
        vet_check_cents=8000,
        budget_cents=dice.choice([None, None, 150_000, 250_000]),
    )


def _make_papers(dice: Random, horses: list[Horse], shows: list[Show]) -> dict[str, Any]:
    """What happened before, who is away, who is lame, what was entered, what is aimed at."""
    found: dict[str, list[Any]] = {
        name: [] for name in ("results", "absences", "vet_checks", "entries", "aims")
    }
    first, last = horses[0].horse, horses[-1].horse
    show = dice.choice(shows)
    if dice.random() < 0.4:
        on = FIRST - timedelta(days=dice.choice([3, 9, 20]))
        found["results"].append(make_result(on, "Old Show", first, series="Cup", points=15))
    if dice.random() < 0.4:
        away = show.days.first - timedelta(days=dice.choice([1, 3, 6]))
        who = dice.choice([first, "Ana", "Lorry 1"])
        found["absences"].append(
            make_absence(who, str(away), str(away + timedelta(days=dice.choice([0, 2]))))
        )
    if dice.random() < 0.25:
        found["vet_checks"] += [
            make_vet_check("2027-03-27", False, horse=last),
            make_vet_check("2027-04-24", True, horse=last),
        ]
    if dice.random() < 0.35:
        entered = dice.choice(shows)
        status = dice.choice(["paid", "sent", "scratched", "wanted"])
        found["entries"].append(
            make_entry("C1", status, horse=first, show=entered.show, date="2027-04-01")
        )
    if dice.random() < 0.6:
        target = dice.choice(shows[1:])
        found["aims"].append(
            make_aim(
                first,
                target.show,
                class_name=dice.choice(["", "C1"]),
                importance=dice.choice([25, 50]),
                series="Cup",
                points_needed=dice.choice([0, 10, 25]),
                starts_needed=dice.choice([0, 1]),
            )
        )
    return dict(found)
