"""How long roads and towns take, and how large the file is: `python -m tests.bench.roads`.

Limits are those of the second step's issue: loaded in 0.3 s, all pairs of 400 places in 2 s, 1 MB.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable

import numpy as np

from tripkit.roads.gazetteer import DATA_FILE as GAZETTEER_FILE
from tripkit.roads.gazetteer import Gazetteer, open_gazetteer
from tripkit.roads.network import DATA_FILE, RoadNetwork
from tripkit.yard.places import Place

LIMITS = {
    "network load": 0.3,
    "400 places, all pairs": 2.0,
    "a point on each of 200 legs, new": 1.0,
    "network file MB": 1.0,
    "a town by its name, file opened": 0.01,
    "a misspelled town": 0.2,
}
COUNTRIES = ("US", "CA", "DE", "FR", "GB")
REPEATS = 3


def draw_places(count: int) -> list[Place]:
    """Towns of more than 10 000 people, the same ones each time."""
    with sqlite3.connect(GAZETTEER_FILE) as connection:
        rows = connection.execute(
            f"""SELECT name, latitude_e4 / 1e4, longitude_e4 / 1e4, timezone, country, region
                FROM towns JOIN areas ON areas.id = area
                WHERE country IN ({", ".join("?" * len(COUNTRIES))}) AND population > 10000
                ORDER BY towns.id""",
            COUNTRIES,
        ).fetchall()
    chosen = np.random.default_rng(2027).choice(len(rows), count, replace=False)
    return [Place(*rows[number]) for number in chosen]


def time_best(work: Callable[[], object]) -> float:
    """The best of a few runs [s]."""
    seconds = []
    for _ in range(REPEATS):
        began = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - began)
    return min(seconds)


def find_halfway(network: RoadNetwork, legs: list[tuple[Place, Place]]) -> None:
    """The point halfway of each leg."""
    for start, end in legs:
        network.point_along(start, end, 0.5)


def measure() -> dict[str, float]:
    """Seconds of each step, and the size of the file [MB]."""
    places = draw_places(400)
    named = {str(number): place for number, place in enumerate(places)}
    network = RoadNetwork()
    network.measure(places[:1])
    # Of one continent: from another no road leads, and nothing is to be found.
    near = [place for place in places if place.country == "US"]
    legs = [(near[n % len(near)], near[(7 * n + 1) % len(near)]) for n in range(200)]
    return {
        "network load": time_best(lambda: RoadNetwork().measure(places[:1])),
        "400 places, all pairs": time_best(lambda: network.measure(places)),
        "400 places, all drives": time_best(lambda: network.make_drives(named)),
        "60 places, all drives": time_best(
            lambda: network.make_drives({key: named[key] for key in list(named)[:60]})
        ),
        "a point on each of 200 legs, new": time_best(lambda: find_halfway(RoadNetwork(), legs))
        - time_best(lambda: RoadNetwork().measure(places[:1])),
        "a point on each of 200 legs, again": time_best(lambda: find_halfway(network, legs)),
        "a town by its name, file opened": time_best(lambda: Gazetteer().find_places("Ocala, FL")),
        "a misspelled town": time_best(lambda: open_gazetteer().suggest_names("Hambrug, DE")),
        "network file MB": DATA_FILE.stat().st_size / 1e6,
    }


if __name__ == "__main__":
    for name, value in measure().items():
        limit = f"   (limit {LIMITS[name]:g})" if name in LIMITS else ""
        print(f"{name:40} {value:8.3f}{limit}")
