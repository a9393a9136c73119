"""How far the planner comes on yards that are larger or freer than the sample.

`python -m tests.bench.large` makes yards in which nearly every horse fits nearly every show, plans
each within a number of seconds, and prints what was found against its bound. Everything but the
towns is invented, by a seed.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from random import Random

import pandas as pd

import tripkit

TOWNS = (
    *("Dothan, AL", "Statesville, NC", "Clarksville, TN", "Evansville, IN", "Hattiesburg, MS"),
    *("Gastonia, NC", "Rome, GA", "Gadsden, AL", "Paducah, KY", "Owensboro, KY"),
    *("Tullahoma, TN", "Somerset, KY", "Danville, KY", "Fairhope, AL", "Spartanburg, SC"),
    *("Jasper, AL", "Dalton, GA", "Crestview, FL", "Chillicothe, OH", "Cookeville, TN"),
)
FIRST = date(2027, 3, 1)
SETTINGS = """[yard]
name = "Large yard"
place = "Bowling Green, KY"
timezone = "America/Chicago"
country = "US"
units = "miles"
currency = "USD"
[season]
first_day = {first}
last_day = {last}
[limits]
worth_floor = 0.85
[costs]
per_mile = 1.75
groom_day = 90
rider_day = 120
overnight_stop = 175
stabling_day = 45
vet_check = 95
[driving]
rules = "us"
speed_mph = 55
[papers]
rules = []
"""


@dataclass(frozen=True)
class Size:
    """How many of what a yard has."""

    horses: int
    shows: int
    lorries: int
    riders: int
    weeks: int
    seed: int = 1


SIZES = {
    "8 horses, 40 shows, 14 weeks": Size(8, 40, 2, 2, 14),
    "12 horses, 60 shows, 14 weeks": Size(12, 60, 2, 3, 14, 2),
    "20 horses, 120 shows, 26 weeks": Size(20, 120, 3, 5, 26),
}


def write_yard(folder: Path, size: Size) -> None:
    """Writes the files of an invented yard."""
    dice = Random(size.seed)
    last = FIRST + timedelta(days=7 * size.weeks - 1)
    shows: list[dict[str, object]] = []
    classes: list[dict[str, object]] = []
    for i in range(size.shows):
        days, week = dice.choice([2, 3, 4, 5]), dice.randrange(size.weeks)
        begin = FIRST + timedelta(days=7 * week + 7 - days)
        name = f"Show {i + 1:03d}"
        shows.append(
            {
                "show": name,
                "place": TOWNS[i % len(TOWNS)],
                "first_day": begin,
                "last_day": begin + timedelta(days=days - 1),
                "tour": ("Gulf", "Piedmont", "", "")[i % 4],
                "stall_fee": dice.choice([90, 120, 145]),
            }
        )
        for height in range(100, 150, 10):
            for day in dice.sample(range(days), min(days, dice.choice([1, 2, 3]))):
                classes.append(
                    {
                        "show": name,
                        "class": f"{height / 100:.2f} d{day + 1}",
                        "day": begin + timedelta(days=day),
                        "height_cm": height,
                        "fee": dice.choice([60, 95, 125]),
                        "worth": dice.choice([10, 12.5, 15, 20, 25, 30]),
                    }
                )
    horses: list[dict[str, object]] = []
    aims: list[dict[str, object]] = []
    for i in range(size.horses):
        low = dice.choice([100, 110, 120, 130])
        name = f"Horse {i + 1:02d}"
        horses.append(
            {
                "horse": name,
                "born": 2014,
                "from_height_cm": low,
                "to_height_cm": low + 10,
                "rider": f"Rider {i % size.riders + 1}" if dice.random() < 0.8 else "",
                "weight": dice.choice([0.8, 1, 1.2, 1.5]),
            }
        )
        fitting = [c for c in classes if c["height_cm"] == low]
        if i % 2 == 0 and fitting:
            goal = dice.choice(fitting)
            aims.append({"horse": name, "show": goal["show"], "class": goal["class"]})
    people = [{"person": f"Rider {i + 1}", "role": "rider"} for i in range(size.riders)]
    lorries = [
        {"vehicle": f"Lorry {i + 1}", "places": (6, 4, 9)[i % 3]} for i in range(size.lorries)
    ]
    tables: Mapping[str, Iterable[Mapping[str, object]]] = {
        "shows": shows,
        "classes": classes,
        "horses": horses,
        "aims": aims,
        "people": people,
        "vehicles": lorries,
    }
    for table, rows in tables.items():
        pd.DataFrame(rows).to_csv(folder / f"{table}.csv", index=False)
    (folder / "yard.toml").write_text(SETTINGS.format(first=FIRST, last=last), encoding="utf-8")


def main() -> None:
    """Prints a table: each goal's objective and bound, and the seconds of each yard."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--sizes", type=int, default=2, help="how many of the yards")
    asked = parser.parse_args()
    for name, size in list(SIZES.items())[: asked.sizes]:
        with tempfile.TemporaryDirectory() as place:
            write_yard(Path(place), size)
            yard = tripkit.read_yard(place)
            began = time.perf_counter()
            circuits = tripkit.plan(yard, seconds=asked.seconds)
            print(f"{name}: {time.perf_counter() - began:.1f} s")
            for circuit in circuits:
                broken = len(tripkit.judge(yard, circuit))
                print(
                    f"  {circuit.name:14} {circuit.status:13} {circuit.objective} "
                    f"bound {circuit.bound}, worth {circuit.totals.worth}, {broken} violations"
                )


if __name__ == "__main__":
    main()
