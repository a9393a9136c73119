"""How fast a loaded horse lorry goes where nobody has set a speed: by class of road, by country.

The figures and their sources stand in `speeds.toml`. A way through several countries is taken as
half in the country it starts in and half in the one it ends in: the figures differ between
continents, hardly between neighbours.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from tripkit.yard.places import Place

DATA_FILE = Path(__file__).parent / "speeds.toml"


@dataclass(frozen=True)
class Speeds:
    """Speeds of a loaded horse lorry in a country [km/h], and the law's limit where it is known."""

    main_kmh: float
    other_kmh: float
    limit_kmh: float | None
    source: str
    limit_source: str = ""


@cache
def find_speeds(country: str, region: str = "") -> Speeds:
    """A country's speeds are its own, else the usual ones, and never above its legal limit.

    **Source:** `speeds.toml`, each figure with its own.
    """
    data = _read_data()
    row = data["speeds"].get(country, data["speeds"]["usual"])
    limit = data["limits"].get(f"{country}-{region}", data["limits"].get(country, {}))
    limit_kmh = limit.get("kmh")
    return Speeds(
        main_kmh=min(row["main_kmh"], limit_kmh or row["main_kmh"]),
        other_kmh=min(row["other_kmh"], limit_kmh or row["other_kmh"]),
        limit_kmh=limit_kmh,
        source=row["source"],
        limit_source=limit.get("source", ""),
    )


def find_boarding_hours() -> float:
    """What a ferry takes besides the crossing: waiting and driving aboard [h].

    **Source:** `speeds.toml`, an assumption.
    """
    return float(_read_data()["ferry"]["boarding_hours"])


def compute_typical_hours(start: Place, end: Place, main_km: float, other_km: float = 0) -> float:
    """A lorry's hours on the road: km of each class over its speed, half the way by either end.

    **Source:** `speeds.toml`.
    """
    ends = [find_speeds(place.country, place.region) for place in (start, end)]
    return sum(main_km / 2 / at.main_kmh + other_km / 2 / at.other_kmh for at in ends)


@cache
def _read_data() -> dict[str, Any]:
    with DATA_FILE.open("rb") as file:
        return tomllib.load(file)
