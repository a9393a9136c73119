"""islands: places that the network joins to a road across water are known, and only those."""

from __future__ import annotations

import pytest

from tripkit.roads.basemap import open_base_map
from tripkit.roads.gazetteer import open_gazetteer
from tripkit.roads.islands import find_doubtful_islands
from tripkit.yard.places import Place

# Source: any atlas. None of them has a bridge, nor a ferry among the network's links.
ISLANDS = (
    "Nantucket, MA",
    "Rønne, DK",
    "Avalon, CA",
    "Vineyard Haven, MA",
    "Westerland, DE",
    "Norderney, DE",
    "Den Burg, NL",
    "Portoferraio, IT",
    "Le Palais, FR",
    "Kärdla, EE",
)
# Source: any atlas: on the mainland, on an island with a main road, or with a ferry of the network.
MAINLAND = (
    "Boston, MA",
    "Lexington, KY",
    "Hyannis, MA",
    "Aachen, DE",
    "Dublin, IE",
    "Palma, ES",
    "Ryde, GB",
    "Charlottetown, PE",
    "Galway, IE",
    "Bergen, NO",
)


def find_town(name: str) -> Place:
    return open_gazetteer().find_places(name)[0]


def test_islands_without_a_road_are_in_doubt() -> None:
    """Each island is named, no place of the mainland is; Australia has no network to doubt."""
    places = {name: find_town(name) for name in (*ISLANDS, *MAINLAND, "Sydney, AU")}
    assert set(find_doubtful_islands(places)) == set(ISLANDS)


def test_nothing_to_ask() -> None:
    """No places, no answers."""
    assert find_doubtful_islands({}) == ()


@pytest.mark.parametrize(("latitude", "longitude"), [(40.0, -40.0), (-33.9, 151.2)])
def test_no_land_is_told_at_sea_and_off_the_map(latitude, longitude) -> None:
    """The middle of the Atlantic is no land; Sydney is on none of the map's. Source: any atlas."""
    assert open_base_map().find_land(latitude, longitude) is None


def test_one_land_is_one_number() -> None:
    """Paris and Berlin lie on one land, London and Edinburgh on another. Source: any atlas."""
    paris, berlin, london, edinburgh = (
        open_base_map().find_land(find_town(name).latitude, find_town(name).longitude)
        for name in ("Paris, FR", "Berlin, DE", "London, GB", "Edinburgh, GB")
    )
    assert paris is not None
    assert london is not None
    assert (paris, london) == (berlin, edinburgh)
    assert paris != london
