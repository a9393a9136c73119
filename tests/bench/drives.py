"""How long timetables and drivers of a season take: `python -m tests.bench.drives`.

A season of 200 legs (25 rounds each of four lorries, to shows 3 h to 24 h away, in the zone of home
and one beside it) under the rules of the United States and of the EU. Nothing is run by the tests.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

from tests.build import make_show, make_yard
from tripkit.driving.crews import put_on_drivers
from tripkit.driving.rules import RULES
from tripkit.driving.timetables import count_leg_days, schedule_leg
from tripkit.yard.circuit import Leg
from tripkit.yard.places import HOME, Place
from tripkit.yard.vehicles import Vehicle
from tripkit.yard.yard import DrivingSettings, Yard

LORRIES, ROUNDS = 4, 25
FIRST = date(2027, 1, 4)


def make_season(rules: str) -> Yard:
    """A yard of four lorries with two drivers each by name, and a show for each round."""
    shows = [
        make_show(f"S{n}", FIRST + timedelta(days=14 * n), place_key=f"P{n}") for n in range(ROUNDS)
    ]
    yard = make_yard(
        shows=shows,
        vehicles=[
            Vehicle(f"L{n}", 4, driver_names=(f"Driver {n}", f"Driver {n + 1}"))
            for n in range(LORRIES)
        ],
        driving=DrivingSettings(rules),
    )
    zones = ("America/New_York", "America/Chicago")
    places = {
        f"P{n}": Place(f"P{n}", 36.0, -85.0 + n / 10, zones[n % 2], "US") for n in range(ROUNDS)
    }
    return replace(yard, roads=replace(yard.roads, places={**yard.roads.places, **places}))


def write_season(yard: Yard) -> tuple[Leg, ...]:
    """All legs of the season with timetables and drivers."""
    legs = []
    for number in range(ROUNDS):
        hours = round(3 + 21 * number / ROUNDS, 2)
        day = FIRST + timedelta(days=14 * number)
        for lorry in range(LORRIES):
            ends = ((HOME, f"P{number}"), (f"P{number}", HOME))
            for (start, end), leaves in zip(ends, (day, day + timedelta(days=7)), strict=True):
                days = count_leg_days(yard, start, end, hours, 1)
                assert days is not None
                table = schedule_leg(yard, start, end, hours, leaves, days, drivers=1, loaded=True)
                names = (HOME, f"S{number}") if start == HOME else (f"S{number}", HOME)
                legs.append(
                    Leg(
                        f"L{lorry}",
                        *names,
                        table.depart,
                        table.arrive,
                        70.0,
                        hours,
                        (),
                        ("A",),
                        table.stops,
                    )
                )
    return put_on_drivers(yard, legs, RULES[yard.driving.rules])


def measure() -> dict[str, float]:
    """Seconds for a season of 200 legs, the first time and again, and for 1,600 counts of days."""
    found: dict[str, float] = {}
    for rules in ("us", "eu"):
        yard = make_season(rules)
        found[f"200 legs scheduled, {rules}"] = _time(lambda yard=yard: write_season(yard))
        found[f"200 legs again, {rules}"] = _time(lambda yard=yard: write_season(yard))
    yard = make_season("us")

    def count() -> None:
        for number in range(1600):
            count_leg_days(yard, HOME, f"P{number % ROUNDS}", round(1 + number / 80, 2), 1)

    found["1,600 counts of days"] = _time(count)
    return found


def _time(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


if __name__ == "__main__":
    print(json.dumps(measure(), indent=1))
