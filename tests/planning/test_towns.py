"""towns: the town nearest to a part of the way, by road where the network knows one."""

from __future__ import annotations

from dataclasses import replace

from tests.build import make_yard
from tripkit.planning.towns import make_namer
from tripkit.yard.places import Place
from tripkit.yard.yard import DrivingSettings

# Nashville and Atlanta: Interstate 24 and 75 lead through Chattanooga, about half way
# (134 of 249 miles, from memory); the straight line's middle lies in north-east Alabama.
NASHVILLE = Place("Nashville, TN", 36.1659, -86.7844, "America/Chicago", "US", "TN")
ATLANTA = Place("Atlanta, GA", 33.749, -84.388, "America/New_York", "US", "GA")


def test_towns_lie_on_the_road():
    """Half way from Nashville to Atlanta by road one is near Chattanooga: TN or GA, not AL."""
    name_town = make_namer(make_yard())
    assert name_town(NASHVILLE, ATLANTA, 0.5).endswith((", TN", ", GA"))


def test_towns_of_a_yard_that_estimates_lie_on_the_line():
    """The middle of the straight line, 34.96 N 85.59 W, lies near Stevenson and Bridgeport, AL."""
    yard = replace(make_yard(), driving=DrivingSettings(roads="estimate"))
    assert make_namer(yard)(NASHVILLE, ATLANTA, 0.5).endswith((", AL", ", TN"))


def test_the_line_crosses_the_date_line():
    """Half way from 179 E to 179 W lies 180, not 0: the nearest town is not in Africa."""
    suva = Place("east", -17.0, 179.0, "Pacific/Fiji", "FJ")
    west = Place("west", -17.0, -179.0, "Pacific/Fiji", "FJ")
    yard = replace(make_yard(), driving=DrivingSettings(roads="estimate"))
    assert make_namer(yard)(suva, west, 0.5).split(" (")[0].endswith((", NZ", ", FJ"))


def test_a_town_far_from_the_stop_tells_how_far():
    """Half way from Ceduna to Kalgoorlie lies the Nullarbor Plain, with no town within 300 km.

    The middle, 31.4 S 127.6 E, is 500 to 600 km from Ceduna, SA, Esperance and Kalgoorlie, WA.
    Source: any atlas.
    """
    ceduna = Place("Ceduna", -32.127, 133.673, "Australia/Adelaide", "AU", "SA")
    kalgoorlie = Place("Kalgoorlie", -30.749, 121.466, "Australia/Perth", "AU", "WA")
    name = make_namer(make_yard())(ceduna, kalgoorlie, 0.5)
    km = int(name.partition(" (")[2].removesuffix(" km off)"))
    assert 300 < km < 700
