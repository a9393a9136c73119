"""Which places lie on an island that none of the network's roads and ferries reaches.

The network joins a place to the nearest main road, be there water between or not. Where place and
road lie on different lands of the base map the drive is told to be in doubt, not refused: a bridge
of a lesser road may lead there.

**Source:** coasts of Natural Earth 1:10m, as the base map ships them (islands from 25 square km).
"""

from __future__ import annotations

from collections.abc import Mapping

from tripkit.roads.basemap import open_base_map
from tripkit.roads.network import FARTHEST_ROAD_KM, open_network
from tripkit.yard.places import Place

# Nearer than this the place, the road or the coast may be drawn on the wrong side of the water.
NEAR_ROAD_KM = 5.0


def find_doubtful_islands(places: Mapping[str, Place]) -> tuple[str, ...]:
    """The keys of places on another land than the main road that they are joined to.

    A place that the network has no drive for at all is none of them.

    **Source:** see the room.
    """
    joints = open_network().find_joints(list(places.values()))
    found = []
    for (key, place), (point, away_km) in zip(places.items(), joints, strict=True):
        if not NEAR_ROAD_KM < away_km <= FARTHEST_ROAD_KM:
            continue
        own = open_base_map().find_land(place.latitude, place.longitude)
        road = open_base_map().find_land(*point)
        if own is not None and road is not None and own != road:
            found.append(key)
    return tuple(found)
