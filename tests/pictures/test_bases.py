"""Bases in the pictures: a roof over the nights there, a house on the map, each with its words."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from tests.build import make_base
from tests.judging.plan import drive, outing, stable
from tripkit.pages.travel_sheet import write_travel_sheet
from tripkit.pictures.route_map import BaseMap, RouteLine, draw_routes
from tripkit.pictures.timeline import draw_timeline
from tripkit.pictures.timeline_forms import draw_swatch
from tripkit.season.scorecard import finish_circuit
from tripkit.words.days import tell_day, tell_days
from tripkit.words.journeys import pair_of

SVG = "{http://www.w3.org/2000/svg}"
YARD = stable(bases=(make_base(),))


def make(*, legs):
    outings = [
        outing(YARD, "S1", "2027-04-07", "2027-04-11"),
        outing(YARD, "S2", "2027-04-20", "2027-04-22"),
    ]
    return finish_circuit(YARD, "A", "most worth", "proved best", 40.0, 40.0, 0.1, outings, legs)


CIRCUIT = make(
    legs=[
        drive("home", "Barn", "2027-04-01"),
        drive("Barn", "S1", "2027-04-07"),
        drive("S1", "Barn", "2027-04-11"),
        drive("Barn", "home", "2027-05-03"),
    ]
)


def test_each_stay_at_a_base_has_one_roof():
    """Six nights from 1 April, 22 from the 11th, at 10 px a day; it says whose and where."""
    root = ElementTree.fromstring(draw_timeline(YARD, CIRCUIT, CIRCUIT, day_px=10, names=False))
    roofs = root.findall(f".//{SVG}path[@class='tk-base']")
    assert len(roofs) == 2 * 2
    first = roofs[0].find(f"{SVG}title").text
    assert first.startswith("Alder at Barn, nights of")
    # 31 days of March lie before; a pixel on either side is left free.
    assert roofs[0].get("d").startswith("M311,")
    assert "H369" in roofs[0].get("d")


def test_a_roof_is_lower_than_any_day_that_matters_and_stands_on_posts():
    """It is an open line, so that schools and shows are seen through it."""
    swatch = ElementTree.fromstring(draw_swatch("base"))
    (roof,) = swatch.findall(f"{SVG}path[@class='tk-base']")
    assert roof.get("fill") == "none"


def test_the_map_marks_a_base_with_a_house():
    """One house at Fairview, and one in the key with its word; none where the yard has no base."""
    lines = {}
    for leg in CIRCUIT.legs:
        ends = [YARD.place_of(stop) for stop in (leg.start, leg.end)]
        points = tuple((place.latitude, place.longitude) for place in ends)
        lines[pair_of(YARD, leg)] = RouteLine(points)
    drawn = draw_routes(YARD, CIRCUIT, None, lines, BaseMap(), 900)
    assert drawn.count('class="tk-map-base"') == 2
    assert ">base</text>" in drawn


@pytest.mark.parametrize(
    ("number", "told"),
    [
        (31 + 12, "at Barn"),
        (31 + 19, "C1 at S2 with Ana"),
    ],
)
def test_a_day_at_a_base_is_told(number, told):
    """The day says where the horse lives, and what it jumps in the town."""
    assert told in tell_days(YARD, CIRCUIT, "Alder")[number]
    line = [day for day in CIRCUIT.days if day.horse == "Alder"][number]
    assert told in tell_day(YARD, CIRCUIT, line)


def test_a_sheet_to_a_base_takes_hay_for_the_road_alone():
    """As home: what it eats there is there. To a show the stay is loaded as well."""
    first = write_travel_sheet(YARD, CIRCUIT, CIRCUIT.legs[0])
    second = write_travel_sheet(YARD, CIRCUIT, CIRCUIT.legs[1])
    assert "Barn" in first
    assert "Hay for the stay" not in first
    assert "Hay for the stay" in second
