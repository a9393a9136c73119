"""Which states of the United States a lorry crosses on its way from home to a show.

A state may ask for papers of a horse that only passes through it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from tripkit.roads.gazetteer import open_gazetteer
from tripkit.roads.network import open_network
from tripkit.yard.places import HOME, Place

STATES = "US"
LEAST_POINTS = 3
"""Points of a way stand some 8 km apart; a state with fewer is not taken for crossed."""


def list_states_on_way(places: Mapping[str, Place]) -> dict[str, tuple[str, ...]]:
    """The states on the way from home to each place, by place key, in alphabetical order.

    Neither the home's state nor the place's own. Empty where no home is among the places.

    **Source:** the road network and the gazetteer (see `network` and `gazetteer`).
    """
    home = places.get(HOME)
    if home is None:
        return {}
    keys = [key for key in places if key != HOME]
    ends = [places[key] for key in keys]
    ways = open_network().list_points(home, ends)
    areas = iter(open_gazetteer().list_areas([point for way in ways for point in way]))
    found = {}
    for key, end, way in zip(keys, ends, ways, strict=True):
        crossed = Counter(next(areas) for _ in way)
        own = {(home.country, home.region), (end.country, end.region)}
        found[key] = tuple(
            sorted(
                region
                for (country, region), points in crossed.items()
                if country == STATES and points >= LEAST_POINTS and (country, region) not in own
            )
        )
    return found
