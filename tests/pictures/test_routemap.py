"""The map of the drives: projection, scale, labels, words, and what it writes.

Check values of the projection are those of J. P. Snyder, Map Projections: A Working Manual, USGS
Professional Paper 1395 (1987); distances are held against geopy's geodesic (WGS 84). Everything
else was derived by hand from the tiny yard of `tests.build`.
"""

from __future__ import annotations

import re
from datetime import datetime
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest
from geopy.distance import geodesic
from hypothesis import given
from hypothesis import strategies as st

from tests.build import ZONE, make_show, make_yard
from tripkit.pictures.map_frame import (
    Box,
    Cone,
    Labels,
    choose_bar,
    fit_cone,
    fit_frame,
    shorten,
    thin,
)
from tripkit.pictures.route_map import AreaName, BaseMap, RouteLine, draw_routes
from tripkit.roads.basemap import draw_season_map
from tripkit.words.journeys import list_journeys, state_about, tell_journeys, tell_leg
from tripkit.yard.circuit import Circuit, Leg, Stop
from tripkit.yard.facts import state
from tripkit.yard.places import Drive, Place

SVG = "{http://www.w3.org/2000/svg}"
LONG = 'N\N{LATIN SMALL LETTER A WITH DIAERESIS}me <b>&amp; "x" \N{HORSE} \u05d0\u05d1 ' * 8
NAMESPACE = 'xmlns="http://www.w3.org/2000/svg"'


def at(day, hour, minute=0):
    return datetime(2027, 4, day, hour, minute, tzinfo=ZoneInfo(ZONE))


def make_leg(start="home", end="S1", day=6, **changes):
    fields = {
        "vehicle": "Lorry",
        "start": start,
        "end": end,
        "depart": at(day, 7),
        "arrive": at(day, 9),
        "km": 140.0,
        "hours": 2.0,
        "drivers": ("Dan",),
        "horses": ("Dancer",),
    }
    return Leg(**{**fields, **changes})


def make_circuit(name, *legs):
    return Circuit(name, "most worth", "proved best", legs=legs)


def line_up(yard, *circuits):
    """A straight line between the places of every leg."""
    lines = {}
    for circuit in circuits:
        for journey in list_journeys(yard, circuit, None):
            ends = (yard.roads.places[key] for key in journey.pair)
            lines[journey.pair] = RouteLine(tuple((p.latitude, p.longitude) for p in ends))
    return lines


def draw(yard, left, right=None, width=800, base=None, **options):
    lines = line_up(yard, *(c for c in (left, right) if c))
    return draw_routes(yard, left, right, lines, base or BaseMap(), width, **options)


def list_ways(svg):
    return [g for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if "data-journey" in g.attrib]


OUT = make_leg()
BACK = make_leg("S1", "home", 12)


# The projection


def test_the_cone_gives_the_published_numbers():
    """Snyder, page 295 (sphere, parallels 33 and 45, origin 23 N 96 W; the point 35 N 75 W)."""
    cone = Cone(33, 45, 23, -96)
    assert cone.steepness == pytest.approx(0.6304777, abs=1e-7)
    assert cone.project(35, -75) == pytest.approx((0.2966785, 0.2462112), abs=1e-7)


def test_the_cone_is_true_on_its_parallels():
    """The scale factor is 1 on both standard parallels, by their definition (Snyder, page 107)."""
    cone = Cone(33, 45, 23, -96)
    assert cone.find_scale(33) == pytest.approx(1, abs=1e-12)
    assert cone.find_scale(45) == pytest.approx(1, abs=1e-12)


@given(
    south=st.floats(-70, 69),
    height=st.floats(0, 30),
    north=st.floats(-75, 75),
    east=st.floats(-60, 60),
    middle=st.floats(-180, 180),
)
def test_a_point_comes_back_from_the_plane(south, height, north, east, middle):
    """Unprojecting undoes projecting, on either side of the equator and across the date line."""
    cone = fit_cone([(south, middle), (min(south + height, 80), middle)])
    back = cone.unproject(*cone.project(north, middle + east))
    assert back[0] == pytest.approx(north, abs=1e-6)
    assert (back[1] - middle - east + 180) % 360 - 180 == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    "ends",
    [
        ((36.9903, -86.4436), (30.523, -87.9033)),
        ((36.9903, -86.4436), (36.586, -79.395)),
        ((51.5, -0.1), (48.1, 11.6)),
        ((-37.8, 145.0), (-33.9, 151.2)),
    ],
)
def test_a_distance_on_the_map_is_that_of_the_scale_bar(ends):
    """Straight on the map and geodesic agree within 1 %: sphere for spheroid takes 0.5 of it."""
    frame = fit_frame(ends, 1200, 64, 120)
    (x, y), (u, v) = (frame.place(end) for end in ends)
    px = ((x - u) ** 2 + (y - v) ** 2) ** 0.5
    assert px / frame.px_per_km == pytest.approx(geodesic(*ends).km, rel=0.01)


def test_north_is_up_and_east_is_right():
    """A point farther north has the smaller y, one farther east the larger x."""
    frame = fit_frame([(30, -90), (40, -80)], 800, 40, 120)
    assert frame.place((40, -85))[1] < frame.place((30, -85))[1]
    assert frame.place((35, -80))[0] > frame.place((35, -90))[0]


@pytest.mark.parametrize("points", [[(0, 0)], [(10, 179), (12, -179)], [(-5, 20), (5, 30)]])
def test_odd_places_fit_into_the_window(points):
    """One place alone, the date line, the equator: all inside, and the window is not broken."""
    frame = fit_frame(points, 400, 30, 120)
    for point in points:
        x, y = frame.place(point)
        assert 0 < x < frame.width
        assert 0 < y < frame.height


def test_the_bar_is_round_and_in_the_yards_units():
    """At 1 px a km, 250 px hold 200 km or 100 miles (160.9 px; 200 miles would take 321.9)."""
    assert choose_bar(1, "km", 250) == (200, 200)
    assert choose_bar(1, "miles", 250) == (100, pytest.approx(160.9344))


def test_the_bar_of_a_map_is_as_long_as_it_says():
    """Its px over the px from home to the show, times the geodesic, is its length within 1 %."""
    yard = make_yard(units="miles")
    svg = draw(yard, make_circuit("A", OUT))
    bar = re.search(r'data-length="(\d+)" data-px="([\d.]+)"', svg)
    home, show = (40.0, -80.0), (41.0, -79.0)
    frame = fit_frame([home, show], 800, 64, 120)
    (x, y), (u, v) = frame.place(home), frame.place(show)
    px_per_mile = ((x - u) ** 2 + (y - v) ** 2) ** 0.5 / geodesic(home, show).miles
    assert float(bar[2]) / px_per_mile == pytest.approx(float(bar[1]), rel=0.01)


def test_a_thin_line_keeps_its_ends():
    """Points within the least distance fall out, the first and the last stay."""
    assert thin([(0, 0), (0.1, 0), (5, 0), (5.1, 0)], 1) == [(0, 0), (5, 0), (5.1, 0)]


# Labels


@given(
    st.lists(
        st.tuples(st.floats(20, 480), st.floats(20, 380), st.text(min_size=1, max_size=30)),
        min_size=1,
        max_size=30,
    )
)
def test_labels_cover_neither_each_other_nor_a_mark(marks):
    """Whatever the places and names: boxes keep apart and inside the window."""
    labels = Labels(500, 400, lambda box: 0, 28)
    for x, y, _ in marks:
        labels.take((x, y), 5)
    placed = [labels.set_beside(text, (x, y), 14, 8) for x, y, text in marks]
    boxes = [label.box for label in placed if label]
    for number, box in enumerate(boxes):
        assert box.left >= 0
        assert box.right <= 500
        assert not any(box.meets(other) for other in boxes[:number])
        assert not any(box.meets(Box(x - 5, y - 5, x + 5, y + 5)) for x, y, _ in marks)


def test_a_label_names_its_own_mark():
    """Between two marks ten px apart, no label stands nearer to the neighbour."""
    labels = Labels(500, 400, lambda box: 0, 28)
    marks = [(250, 200), (262, 200)]
    for mark in marks:
        labels.take(mark, 3)
    label = labels.set_beside("Oakham", marks[0], 14, 6)
    assert label is not None
    assert label.box.measure_to(marks[0]) < label.box.measure_to(marks[1])


def test_a_long_name_is_cut_with_dots():
    """Five letters of six are four and the dots."""
    assert shorten("abcdef", 5) == "abcd\N{HORIZONTAL ELLIPSIS}"
    assert shorten("abcde", 5) == "abcde"


# Words


def test_a_leg_is_told_in_one_line():
    """Date, places, times with their zones, horses, lorry, driver, distance, hours, stops."""
    stop = Stop("water", at(6, 8), 30, "Lowick")
    assert tell_leg(make_yard(), make_leg(stops=(stop,))) == (
        "Tue 6 Apr, home 07:00 EDT to S1 09:00 EDT: Dancer; Lorry, driven by Dan; 140 km, "
        "2.0 h of driving; stops: water 08:00 near Lowick."
    )


def test_a_night_is_told_with_its_days_and_when_the_drive_goes_on():
    """Left on Tuesday the 6th, a night of 14 hours from 17:00: what follows is on Wednesday."""
    stops = (
        Stop("water", at(6, 10), 30, "Lowick"),
        Stop("overnight", at(6, 17), 14 * 60, "Ottery"),
        Stop("water", at(7, 9), 30, "Pelton"),
    )
    assert tell_leg(make_yard(), make_leg(stops=stops, arrive=at(7, 12))).endswith(
        "stops: water 10:00 near Lowick, night 17:00 to Wed 7 Apr 07:00 near Ottery, "
        "water Wed 7 Apr 09:00 near Pelton."
    )


def test_an_empty_leg_says_so():
    """No horses: empty; no stops: no stop."""
    said = tell_leg(make_yard(), make_leg(horses=(), drivers=()))
    assert ": empty; Lorry; " in said
    assert said.endswith("no stop.")


def test_an_estimate_is_about_and_has_its_band():
    """641 km within 10 % is rounded to tens; a measured distance is not (issue: about 640 km)."""
    assert str(state_about(641, 10, "km")) == "about 640 km, 10 % either way"
    assert str(state_about(641, 0, "km")) == "641 km"
    drive = Drive(140, None, state("roads.network"), 18)
    yard = make_yard(km={("home", "Millbrook"): drive})
    assert "about 140 km, 18 % either way" in tell_leg(yard, OUT)


def test_both_ends_have_their_own_clock():
    """Leaving New York at 07:00 EDT, two hours later it is 08:00 in Chicago (CDT)."""
    yard = make_yard()
    show = Place("Millbrook", 41.0, -90.0, "America/Chicago", "US")
    places = {**yard.roads.places, "Millbrook": show}
    yard = make_yard(roads=type(yard.roads)(places, yard.roads.drives))
    assert "home 07:00 EDT to S1 08:00 CDT" in tell_leg(yard, OUT)


def test_legs_of_one_pair_of_places_are_one_journey():
    """Out and back on both sides: one journey, whose readout lists four legs by date."""
    yard = make_yard()
    (said,) = tell_journeys(yard, make_circuit("A", BACK, OUT), make_circuit("B", OUT, BACK))
    assert [side[:2] for side in said.sides] == [("left", "A"), ("right", "B")]
    for _, _, legs in said.sides:
        assert [leg[:9] for leg in legs] == ["Tue 6 Apr", "Mon 12 Ap"]


# The drawing


@pytest.mark.parametrize("width", [360, 1200])
def test_each_leg_stands_in_the_map_once(width):
    """Three pairs of places, five legs: three routes whose titles hold each leg's words once."""
    yard = make_yard(shows=[make_show("S1"), make_show("S2", place_key="Fairview")])
    over = make_leg("S1", "S2", 12)
    legs = [OUT, over, make_leg("S2", "home", 18), make_leg("home", "S2", 20), BACK]
    svg = draw(yard, make_circuit("A", *legs), width=width)
    ways = list_ways(svg)
    titles = [way.find(f"{SVG}title").text for way in ways]
    assert len(ways) == 3
    for leg in legs:
        assert sum(title.count(tell_leg(yard, leg)) for title in titles) == 1
    assert all(way.attrib["tabindex"] == "0" for way in ways)


def test_names_are_escaped_and_any_name_is_drawn():
    """Markup, quotes, an emoji, right-to-left letters, 200 letters: still well-formed."""
    yard = make_yard(name=LONG, shows=[make_show(LONG, place_key=LONG)])
    leg = make_leg(end=LONG, vehicle=LONG, horses=(LONG,), drivers=(LONG,))
    circuit = make_circuit(LONG, leg)
    for width in (360, 1200):
        svg = draw(yard, circuit, circuit, width=width, alone=True)
        assert "<b>" not in svg
        (way,) = list_ways(svg)
        assert tell_leg(yard, leg) in way.find(f"{SVG}title").text


def test_the_two_circuits_differ_by_form_and_not_by_colour_alone():
    """On a shared road the right one is a hollow line wider than the solid left one inside it."""
    svg = draw(make_yard(), make_circuit("A", OUT), make_circuit("B", OUT))
    widths = {
        name: float(re.search(rf'tk-map-{name}" stroke-width="([\d.]+)"', svg)[1])
        for name in ("right", "hollow", "left")
    }
    assert widths["right"] > widths["hollow"] > widths["left"] > 0


def test_a_road_driven_more_often_is_thicker():
    """Two trips make a thicker line than one."""
    once, twice = (
        float(re.search(r'tk-map-left" stroke-width="([\d.]+)"', svg)[1])
        for svg in (
            draw(make_yard(), make_circuit("A", OUT)),
            draw(make_yard(), make_circuit("A", OUT, BACK)),
        )
    )
    assert twice > once


def test_a_guess_is_dashed_and_the_key_says_so():
    """Where no road is known the way is a dashed line."""
    yard, circuit = make_yard(), make_circuit("A", OUT)
    lines = {p: RouteLine(v.points, known=False) for p, v in line_up(yard, circuit).items()}
    svg = draw_routes(yard, circuit, None, lines, BaseMap(), 800)
    assert "way not known" in svg
    assert "tk-map-left tk-map-guess" in svg


def test_a_night_on_the_road_is_marked_where_it_is_spent():
    """One hour of two driven: the mark stands half way between home and show."""
    stop = Stop("overnight", at(6, 8), 23 * 60, "Lowick")
    yard = make_yard()
    svg = draw(yard, make_circuit("A", make_leg(stops=(stop,), arrive=at(7, 8))))
    night = re.search(r'tk-map-night" transform="translate\(([\d.]+) ([\d.]+)\)"', svg)
    frame = fit_frame([(40, -80), (41, -79)], 800, 64, 120)
    (x, y), (u, v) = frame.place((40, -80)), frame.place((41, -79))
    assert float(night[1]) == pytest.approx((x + u) / 2, abs=0.1)
    assert float(night[2]) == pytest.approx((y + v) / 2, abs=0.1)
    assert "Night near Lowick" in svg


def test_a_drive_within_one_town_is_a_route_too():
    """Two shows at one place: the leg between them can be pointed at."""
    yard = make_yard(shows=[make_show("S1"), make_show("S2")])
    svg = draw(yard, make_circuit("A", make_leg("S1", "S2")))
    assert len(list_ways(svg)) == 1


def test_no_circuit_gives_a_map_of_home():
    """Nothing driven, nothing to point at, and still a drawing."""
    svg = draw(make_yard(), make_circuit("A"), None)
    assert list_ways(svg) == []
    assert "Home Farm" in svg


def test_area_names_only_where_they_fit():
    """A name much wider than its area is left out: 5 km of room are a few px."""
    yard, circuit = make_yard(), make_circuit("A", OUT)
    base = BaseMap(
        names=(
            AreaName("Westmark", "state", (40.8, -79.9), 60.0),
            AreaName("Smallmark", "state", (40.2, -79.1), 2.0),
        )
    )
    svg = draw(yard, circuit, base=base)
    assert "WESTMARK" in svg
    assert "SMALLMARK" not in svg


def test_area_names_lie_over_the_roads_driven():
    """What is written later in the file lies on top: the name after every driven line."""
    base = BaseMap(names=(AreaName("Westmark", "state", (40.8, -79.9), 60.0),))
    svg = draw(make_yard(), make_circuit("A", OUT), base=base).partition('class="tk-map-edge"')[0]
    assert svg.rindex('class="tk-map-line') < svg.index("WESTMARK")


def test_the_name_of_home_does_not_lie_on_its_straight_road():
    """The road leaves due east, with no point for 0.8 degrees: the name stands elsewhere."""
    yard, circuit = make_yard(), make_circuit("A", OUT)
    way = ((40.0, -80.0), (40.0, -79.2), (41.0, -79.0))
    lines = {pair: RouteLine(way) for pair in line_up(yard, circuit)}
    svg = draw_routes(yard, circuit, None, lines, BaseMap(), 800)
    label = re.search(
        r'label-home" x="([\d.]+)" y="([\d.]+)" font-size="([\d.]+)" text-anchor="(\w+)"', svg
    )
    x, y, size = (float(number) for number in label.groups()[:3])
    frame = fit_frame(way, 800, 64, 120)
    (west, road), (east, _) = frame.place(way[0]), frame.place(way[1])
    # Nine letters of half their height each are the least that the words take.
    first = x - {"start": 0, "middle": 0.5, "end": 1}[label[4]] * 9 * size / 2
    beside = first + 9 * size / 2 <= west or first >= east
    assert beside or not y - 0.7 * size <= road <= y


@pytest.mark.parametrize("width", [360, 1200])
def test_thanks_stand_under_the_map_and_nothing_is_fetched(width):
    """The licences ask for the names of the sources; no address but that of the SVG namespace.

    Each row ends within the map: a letter of a plain face is at least half as wide as high.
    """
    svg = draw(make_yard(), make_circuit("A", OUT), width=width)
    root = ElementTree.fromstring(svg)
    text = " ".join(root.itertext())
    rows = [e.text for e in root.iter() if e.get("class") == "tk-map-thanks"]
    assert all(len(row) * 11.5 / 2 <= width for row in rows)
    for source in ("Natural Earth", "US Census Bureau", "OpenStreetMap contributors", "ODbL"):
        assert source in text
    rest = svg.replace(NAMESPACE, "")
    assert not re.search(r"https?:|//|@import|href=|src=|url\((?!#)", rest)


def test_the_map_of_the_yard_on_its_base_is_small():
    """With coast, borders and roads under it a map stays below 300 kB."""
    circuit = make_circuit("A", OUT, BACK)
    for width in (360, 1200):
        svg = draw_season_map(make_yard(), circuit, circuit, width, alone=True)
        assert "tk-map-land" in svg
        assert "tk-map-major" in svg
        assert len(svg.encode()) < 300_000
