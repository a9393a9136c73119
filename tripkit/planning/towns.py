"""The town where a lorry halts: the one nearest to that part of the way, by road where known."""

from __future__ import annotations

from functools import lru_cache

from tripkit.planning.decode import NameTown
from tripkit.roads.estimate import measure_geodesic_km
from tripkit.roads.gazetteer import open_gazetteer, write_place
from tripkit.yard.places import Place
from tripkit.yard.yard import Yard

# Farther from its stop than this, a town says little of where it is.
NEAR_TOWN_KM = 40.0
STOPS_REMEMBERED = 4096


def make_namer(yard: Yard) -> NameTown:
    """Names the town nearest to a point of the way between two places, as "City, ST".

    The point lies on the road network; on the straight line where the yard wants estimates or
    the network knows no way. Of a town that is not near the distance is told.
    """
    gazetteer = open_gazetteer()
    by_road = yard.driving.roads.partition(" ")[0] != "estimate"

    # The same legs come in every circuit.
    @lru_cache(maxsize=STOPS_REMEMBERED)
    def name_town(here: Place, there: Place, fraction: float) -> str:
        point = _find_on_road(here, there, fraction) if by_road else None
        point = point or _find_between(here, there, fraction)
        town = gazetteer.nearest_town(*point)
        away_km = measure_geodesic_km(Place("", *point), town)
        far = f" ({away_km:.0f} km off)" if away_km > NEAR_TOWN_KM else ""
        return write_place(town) + far

    return name_town


def _find_on_road(here: Place, there: Place, fraction: float) -> tuple[float, float] | None:
    # The network is loaded by the first question, and not at all for a yard without a halt.
    from tripkit.roads.network import open_network

    return open_network().point_along(here, there, fraction)


def _find_between(here: Place, there: Place, fraction: float) -> tuple[float, float]:
    east = (there.longitude - here.longitude + 180) % 360 - 180
    longitude = (here.longitude + fraction * east + 180) % 360 - 180
    return here.latitude + fraction * (there.latitude - here.latitude), longitude
