"""Drives along the shipped roads against published tables, and the ways they take."""

from __future__ import annotations

import itertools
import sqlite3
from pathlib import Path

import numpy as np
import pytest
from road_tables import (
    RoadPair,
    list_places,
    print_worst,
    read_clean_eurodist,
    read_knuth_miles,
    summarise_errors,
)

from tripkit.roads import network
from tripkit.roads.estimate import estimate_road_km, measure_geodesic_km
from tripkit.roads.gazetteer import DATA_FILE as GAZETTEER_FILE
from tripkit.roads.gazetteer import open_gazetteer
from tripkit.roads.network import (
    DATA_FILE,
    LONGEST_DETOUR,
    LONGEST_GUARDED_KM,
    ROAD_FACTOR,
    SNAP_STEP_KM,
    RoadNetwork,
    open_network,
)
from tripkit.yard.places import Drive, Place, RoadBook


def find_town(name: str) -> Place:
    return open_gazetteer().find_places(name)[0]


def measure_pairs(pairs: list[RoadPair], road_factor: float = ROAD_FACTOR) -> list[float]:
    places = list_places(pairs)
    row = {place: number for number, place in enumerate(places)}
    table = open_network().measure(places, road_factor)
    return [float(table.km[row[pair.start], row[pair.end]]) for pair in pairs]


def draw_towns(count: int, countries: tuple[str, ...]) -> list[Place]:
    marks = ", ".join("?" * len(countries))
    with sqlite3.connect(GAZETTEER_FILE) as connection:
        rows = connection.execute(
            f"""SELECT name, latitude_e4 / 1e4, longitude_e4 / 1e4
                FROM towns JOIN areas ON areas.id = area
                WHERE country IN ({marks}) AND population > 10000 ORDER BY towns.id""",
            countries,
        ).fetchall()
    chosen = np.random.default_rng(2027).choice(len(rows), count, replace=False)
    return [Place(*rows[number]) for number in chosen]


@pytest.mark.parametrize(
    ("title", "read_pairs", "longest_km", "written"),
    [
        ("Knuth's miles", read_knuth_miles, np.inf, (2.5, -0.3, 5.4, 34)),
        ("Knuth's miles under 100 km", read_knuth_miles, 100, (8.4, +7.8, 17.7, 28)),
        ("eurodist", read_clean_eurodist, np.inf, (4.4, -0.9, 9.5, 24)),
    ],
)
def test_drives_are_as_wrong_as_the_docstring_says(title, read_pairs, longest_km, written) -> None:
    """The error of a drive is within the figures written in the module's docstring.

    Sources: Knuth, The Stanford GraphBase, miles.dat; R datasets "eurodist".
    """
    mape, bias, p90, worst = written
    assert f"| {mape} % | {bias:+} % | {p90} % | {worst} % |" in network.__doc__
    pairs = [pair for pair in read_pairs() if pair.table_km < longest_km]
    drives_km = measure_pairs(pairs)
    print_worst(title, pairs, drives_km)
    errors = summarise_errors(pairs, drives_km)
    assert errors.mape <= mape
    assert abs(errors.bias - bias) <= 0.05
    assert errors.p90 <= p90
    assert errors.worst <= worst


@pytest.mark.parametrize(
    ("read_pairs", "goal_percent"), [(read_knuth_miles, 2.5), (read_clean_eurodist, 5.5)]
)
@pytest.mark.parametrize("half", [0, 1])
def test_factor_fitted_on_one_half_holds_on_the_other(read_pairs, goal_percent, half) -> None:
    """The factor that fits every second pair best meets the goal on the pairs between.

    Sources: Knuth, The Stanford GraphBase, miles.dat; R datasets "eurodist"; the goals are ours.
    """
    pairs = read_pairs()
    fitted, tested = slice(half, None, 2), slice(1 - half, None, 2)
    factors = np.arange(1.0, 1.2, 0.005)
    # A drive grows evenly with the factor, so two measurements stand for all.
    once, twice = (np.array(measure_pairs(pairs, factor)) for factor in (1.0, 2.0))

    def find_mape(some_pairs: slice, factor: float) -> float:
        drives_km = once + (factor - 1) * (twice - once)
        return summarise_errors(pairs[some_pairs], list(drives_km[some_pairs])).mape

    mapes = [find_mape(fitted, factor) for factor in factors]
    best = float(factors[int(np.argmin(mapes))])
    assert best == pytest.approx(ROAD_FACTOR, abs=0.011)
    assert find_mape(tested, best) <= goal_percent


@pytest.mark.parametrize(
    ("start", "end"),
    [
        # Source: the crossings' operators: Oresund 16 km, Great Belt 18 km, Chesapeake Bay 28 km,
        # Chesapeake Bay at Annapolis 6.9 km, Sunshine Skyway 6.7 km, Severn 5.1 km, all roads.
        ("Lund, SE", "Hamburg, DE"),
        ("Odense, DK", "Copenhagen"),
        ("Virginia Beach, VA", "Salisbury, MD"),
        ("Washington, DC", "Salisbury, MD"),
        ("Naples, FL", "Saint Petersburg, FL"),
        ("Bath, GB", "Swansea, GB"),
    ],
)
def test_bridges_are_crossed(start, end) -> None:
    """Where a bridge stands the drive is no more than 1.8 times the straight line."""
    route = open_network().route(find_town(start), find_town(end))
    straight_km = measure_geodesic_km(route.start, route.end)
    assert straight_km < route.km < 1.8 * straight_km
    assert not route.estimated


@pytest.mark.parametrize(
    ("start", "end", "ferry", "ferry_hours"),
    [
        # Source: timetables of Irish Ferries (3 h 15 to 3 h 30), Stena Line (2 h 15), Scandlines
        # (45 min), Caronte & Tourist (20 min), BC Ferries (1 h 35), Getlink (35 min).
        ("Dublin, IE", "Liverpool, GB", "Holyhead-Dublin ferry", 3.3),
        ("Belfast, GB", "Glasgow, GB", "Cairnryan-Belfast ferry", 2.25),
        ("Hamburg, DE", "Copenhagen", "Rodby-Puttgarden ferry", 0.75),
        ("Catania, IT", "Naples, IT", "Messina ferry", 0.35),
        ("Victoria, BC", "Vancouver, BC", "Tsawwassen-Swartz Bay ferry", 1.6),
        ("London, GB", "Paris, FR", "Channel tunnel shuttle", 0.6),
    ],
)
def test_ferries_are_named_and_keep_their_own_hours(start, end, ferry, ferry_hours) -> None:
    """A way across the sea names its ferry, and tells time on board from road."""
    route = open_network().route(find_town(start), find_town(end))
    assert route.ferries == (ferry,)
    assert route.ferry_hours == ferry_hours
    assert 0 < route.ferry_km < route.km
    table = open_network().measure([route.start, route.end])
    assert table.ferry_hours[0, 1] == table.ferry_hours[1, 0] == ferry_hours
    assert table.ferry_km[0, 1] == route.ferry_km


def test_two_ferries_on_one_way_add_up() -> None:
    """From Dublin to Paris a lorry takes the ferry to Holyhead and the shuttle to Calais.

    Source: any atlas; the hours are those of the two crossings.
    """
    route = open_network().route(find_town("Dublin, IE"), find_town("Paris, FR"))
    assert route.ferries == ("Holyhead-Dublin ferry", "Channel tunnel shuttle")
    assert route.ferry_hours == pytest.approx(3.3 + 0.6)


def test_long_detours_round_a_lake_are_believed() -> None:
    """Traverse City to Wisconsin Dells leads round Lake Michigan: 518 miles for 220 straight.

    Source: Knuth, The Stanford GraphBase, miles.dat.
    """
    pair = next(
        pair
        for pair in read_knuth_miles()
        if {pair.start.name, pair.end.name} == {"Traverse City, MI", "Wisconsin Dells, WI"}
    )
    assert pair.table_km > LONGEST_DETOUR * pair.geodesic_km
    table = open_network().measure([pair.start, pair.end])
    assert not table.estimated.any()
    assert table.km[0, 1] == pytest.approx(pair.table_km, rel=0.1)


def test_short_detours_are_not_believed() -> None:
    """No short drive between 120 towns goes farther round than the guard allows.

    Source: the guard as described: 1.8 times the straight line, below 80 km.
    """
    towns = draw_towns(120, ("NL", "BE"))
    table = open_network().measure(towns)
    seen = {False: 0, True: 0}
    for row, column in itertools.combinations(range(len(towns)), 2):
        straight_km = measure_geodesic_km(towns[row], towns[column])
        if straight_km < LONGEST_GUARDED_KM * 0.99:
            seen[bool(table.estimated[row, column])] += 1
            assert table.km[row, column] <= LONGEST_DETOUR * ROAD_FACTOR * straight_km * 1.01
    assert seen[False] > 5 * seen[True] > 0


def test_no_drive_is_shorter_than_the_straight_line() -> None:
    """Of all drives between 100 towns none is shorter than the geodesic.

    Source: the straight line is the shortest way there is.
    """
    towns = draw_towns(100, ("US", "CA", "MX"))
    table = open_network().measure(towns)
    for row, column in itertools.combinations(range(len(towns)), 2):
        assert table.km[row, column] >= measure_geodesic_km(towns[row], towns[column])


def test_a_table_reads_the_same_both_ways_and_in_any_order() -> None:
    """There is as far as back, nowhere is nought, and the order of the places does not matter.

    Source: the roads have no one-way streets.
    """
    towns = draw_towns(40, ("FR", "GB", "IE", "IT"))
    table = open_network().measure(towns)
    assert (table.km == table.km.T).all()
    assert (np.diag(table.km) == 0).all()
    turned = open_network().measure(towns[::-1])
    np.testing.assert_allclose(turned.km[::-1, ::-1], table.km, rtol=1e-9)
    np.testing.assert_array_equal(turned.ferry_hours[::-1, ::-1], table.ferry_hours)


def test_a_route_is_as_long_as_the_table_says() -> None:
    """The km of a route are those of the table with many places.

    Source: both are the same drive.
    """
    towns = draw_towns(12, ("DE", "FR", "DK", "SE"))
    table = open_network().measure(towns)
    for row, column in itertools.combinations(range(len(towns)), 2):
        route = open_network().route(towns[row], towns[column])
        assert route.km == pytest.approx(table.km[row, column], rel=1e-9)
        assert route.estimated == table.estimated[row, column]


def test_a_way_that_leaves_the_circle_it_is_looked_for_in() -> None:
    """Round a water or by a ferry the way is far longer than straight, and still the shortest.

    Source: the table, which looks at all roads at once; any atlas: sea or fells lie between.
    """
    for start, end in (
        ("Tallinn, EE", "Helsinki, FI"),
        ("Olbia, IT", "Rome, IT"),
        ("Narvik, NO", "Luleå, SE"),
    ):
        towns = [find_town(start), find_town(end)]
        table, route = open_network().measure(towns), open_network().route(*towns)
        assert route.km == pytest.approx(table.km[0, 1], rel=1e-9)
        assert route.ferry_hours == pytest.approx(table.ferry_hours[0, 1])


@pytest.mark.parametrize(
    ("start", "end"),
    [
        ("Ocala, FL", "Lexington, KY"),
        ("Aachen, DE", "Fontainebleau, FR"),
        ("Dublin, IE", "Paris, FR"),
        ("Thermal, CA", "Del Mar, CA"),
        ("Boca Raton, FL", "Delray Beach, FL"),
    ],
)
def test_the_line_of_a_route_can_be_drawn(start, end) -> None:
    """The line leads from town to town in small steps and is nearly as long as the drive.

    Source: the network's own promise: stops every 8 km, ferries straight, roads drawn straighter
    than they are.
    """
    start_town, end_town = find_town(start), find_town(end)
    route = open_network().route(start_town, end_town)
    assert route.line[0] == (start_town.latitude, start_town.longitude)
    assert route.line[-1] == (end_town.latitude, end_town.longitude)
    corners = [Place("", *point) for point in route.line]
    steps_km = [measure_geodesic_km(*pair) for pair in itertools.pairwise(corners)]
    assert max(steps_km[1:-1], default=0) <= SNAP_STEP_KM * 1.1 + 2
    assert 0.85 * route.km / ROAD_FACTOR <= sum(steps_km) <= route.km


def test_the_way_back_draws_the_same_line() -> None:
    """The line from B to A is the line from A to B read backwards.

    Source: the roads have no one-way streets.
    """
    ocala, lexington = find_town("Ocala, FL"), find_town("Lexington, KY")
    there = open_network().route(ocala, lexington)
    back = open_network().route(lexington, ocala)
    assert back.line == there.line[::-1]


def test_no_road_leads_across_the_ocean() -> None:
    """Between America and Europe there is no drive: infinite km, no route, no row.

    Source: any atlas.
    """
    ocala, aachen = find_town("Ocala, FL"), find_town("Aachen, DE")
    assert np.isinf(open_network().measure([ocala, aachen]).km[0, 1])
    assert open_network().route(ocala, aachen) is None
    assert open_network().make_drives({"home": ocala, "Aachen": aachen}) == {}


@pytest.mark.parametrize(
    ("island", "mainland"),
    [
        ("Visby, SE", "Stockholm, SE"),
        ("Las Palmas de Gran Canaria, ES", "Madrid, ES"),
        ("Nicosia", "Athens, GR"),
        ("Honolulu, HI", "Los Angeles, CA"),
        ("Saint Helier, Jersey", "Caen, FR"),
    ],
)
def test_no_drive_leads_from_an_island_without_a_crossing(island, mainland) -> None:
    """Where neither a road nor a ferry of the network leads there is no drive, near or far.

    Source: any atlas; no crossing of these islands is among the network's links.
    """
    start, end = find_town(island), find_town(mainland)
    assert open_network().route(start, end) is None
    assert open_network().make_drives({"a": start, "b": end}) == {}


def test_a_place_outside_the_network_gets_the_estimate_and_says_so() -> None:
    """Australia is not in the network: the drive is a marked guess with the estimate's error.

    Source: `estimate_road_km`.
    """
    sydney, melbourne = find_town("Sydney, AU"), find_town("Melbourne, AU")
    route = open_network().route(sydney, melbourne)
    assert route.estimated
    assert route.km == pytest.approx(estimate_road_km(sydney, melbourne), rel=0.006)
    assert len(route.line) == 2
    drive = open_network().make_drives({"a": sydney, "b": melbourne}, 1.3)["a", "b"]
    assert drive.km == pytest.approx(estimate_road_km(sydney, melbourne, 1.3), rel=0.006)
    assert str(drive.source) == "estimate: straight line x 1.3"
    assert drive.error_percent == 19
    assert open_network().route(sydney, find_town("London, GB")) is None


def test_drives_fit_a_road_book() -> None:
    """Drives between named places carry km, source, error and typical hours; none is measured.

    Source: the fields of `tripkit.yard.places.Drive`.
    """
    places = {
        "home": find_town("Lexington, KY"),
        "ocala": find_town("Ocala, FL"),
        "tryon": find_town("Tryon, NC"),
    }
    drives = open_network().make_drives(places)
    assert set(drives) == set(itertools.permutations(places, 2))
    book = RoadBook(places, drives)
    drive = book.find_drive("home", "ocala")
    assert isinstance(drive, Drive)
    assert drive.hours is None
    assert (str(drive.source), drive.error_percent) == ("road network", 10)


def test_a_drive_with_a_ferry_adds_road_and_board() -> None:
    """Hours with a ferry are the road at the lorry's speed, the crossing and an hour to board it.

    Its km are the road's alone. Source: arithmetic on the route's own parts; 3.3 h is the crossing
    of Irish Ferries, the hour an assumption of `speeds.toml`.
    """
    places = {"home": find_town("Dublin, IE"), "show": find_town("Liverpool, GB")}
    route = open_network().route(*places.values())
    drive = open_network().make_drives(places)["home", "show"]
    assert drive.km == pytest.approx(route.km - route.ferry_km)
    assert drive.ferry_km == route.ferry_km
    assert drive.ferry_hours == pytest.approx(3.3 + 1)
    assert drive.compute_hours(50) == pytest.approx(drive.km / 50 + 4.3)
    assert drive.compute_hours(50) - drive.compute_hours(100) == pytest.approx(drive.km / 100)
    assert drive.km / 70 + 4.3 <= drive.compute_hours(None) <= drive.km / 55 + 4.3
    assert str(drive.source) == "road network, with ferry"


def test_new_crossings_join_islands_and_coasts() -> None:
    """Crossings are found where they are the way: island ferries, and bridges without a ferry.

    Source: the operators named in `build_network.LINKS`; the Confederation Bridge is 12.9 km long
    and a road (Strait Crossing Bridge Ltd).
    """
    for start, end, ferries in (
        ("Palma, ES", "Barcelona, ES", ("Barcelona-Palma ferry",)),
        ("Olbia, IT", "Rome, IT", ("Civitavecchia-Olbia ferry",)),
        ("Helsinki, FI", "Tallinn, EE", ("Helsinki-Tallinn ferry",)),
        ("Ryde, GB", "Southampton, GB", ("Portsmouth-Fishbourne ferry",)),
        ("Douglas, Isle of Man", "Manchester, GB", ("Heysham-Douglas ferry",)),
        ("Charlottetown, PE", "Halifax, NS", ()),
        ("Bergen, NO", "Oslo, NO", ()),
    ):
        route = open_network().route(find_town(start), find_town(end))
        assert route is not None, start
        assert route.ferries == ferries
        assert not route.estimated


def test_a_point_along_the_way_lies_on_its_road() -> None:
    """The point at a fraction of the way lies on the line, the ends at 0 and 1, never at sea.

    Half of the road from London to Paris, 450 km without the shuttle, is in France: London to
    Folkestone is 115 km (AA route planner, from memory), Calais to Paris 290 km. Source otherwise:
    the interface as described.
    """
    london, paris = find_town("London, GB"), find_town("Paris, FR")
    network = open_network()
    assert network.point_along(london, paris, 0) == (london.latitude, london.longitude)
    assert network.point_along(london, paris, 1) == (paris.latitude, paris.longitude)
    north, east = network.point_along(london, paris, 0.5)
    assert 49 < north < 50.92
    assert east > 1.3
    assert network.point_along(paris, london, 0.5) == pytest.approx((north, east), abs=1e-6)
    for tenth in range(11):
        point = Place("", *network.point_along(london, paris, tenth / 10))
        line = network.route(london, paris).line
        away_km = min(measure_geodesic_km(point, Place("", *corner)) for corner in line)
        assert away_km <= SNAP_STEP_KM
        assert not 50.95 < point.latitude < 51.05, "in the Channel"
    assert network.point_along(london, find_town("Ocala, FL"), 0.5) is None


def test_a_line_tells_its_ferries_from_its_roads() -> None:
    """Each step of a line is on board or on the road; the steps on board are as long as the ferry.

    Source: Irish Ferries, Holyhead to Dublin 107 km; its line here is straight, so shorter.
    """
    route = open_network().route(find_town("Dublin, IE"), find_town("Liverpool, GB"))
    assert len(route.aboard) == len(route.line) - 1
    steps = itertools.pairwise(Place("", *point) for point in route.line)
    km = sum(
        measure_geodesic_km(*step)
        for step, aboard in zip(steps, route.aboard, strict=True)
        if aboard
    )
    assert 95 <= km <= 108


def test_two_venues_of_a_town_are_near_each_other() -> None:
    """Two points of one town are some km apart, not a long way round; the same point is nought.

    Source: the points: 3 km apart on the map of Lexington, KY.
    """
    one, other = Place("a", 38.10, -84.52), Place("b", 38.12, -84.49)
    drives = open_network().make_drives({"a": one, "b": other, "c": one})
    assert 3 <= drives["a", "b"].km <= 8
    assert drives["a", "c"].km == 0
    assert drives["a", "c"].compute_hours(None) == 0


def test_few_places_are_no_trouble() -> None:
    """No place, one place, and the same place twice have their answers.

    Source: the interface as described.
    """
    ocala = find_town("Ocala, FL")
    assert open_network().measure([]).km.shape == (0, 0)
    assert open_network().measure([ocala]).km.tolist() == [[0]]
    assert open_network().measure([ocala, ocala]).km.max() == 0
    assert open_network().route(ocala, ocala).km == 0
    assert open_network().make_drives({}) == {}


def test_it_loads_late_and_once(monkeypatch) -> None:
    """Making a network reads nothing; the first question reads the file, no other does.

    Source: this project's promise; `tests.bench.roads` takes the time.
    """
    RoadNetwork(Path("no such file"))
    loaded = []
    load = np.load
    monkeypatch.setattr(network.np, "load", lambda path: loaded.append(path) or load(path))
    roads, ocala, tampa = RoadNetwork(), find_town("Ocala, FL"), find_town("Tampa, FL")
    roads.measure([ocala])
    roads.measure([ocala, tampa])
    roads.route(ocala, tampa)
    assert loaded == [DATA_FILE]
    assert open_network() is open_network()


def test_all_to_all_asks_once_a_place(monkeypatch) -> None:
    """Of 100 places the ways from each are looked for once, not once a pair.

    Source: this project's promise; `tests.bench.roads` takes the time.
    """
    sources = []
    find = network.dijkstra

    def find_and_note(graph, *, indices):
        sources.extend(indices)
        return find(graph, indices=indices)

    monkeypatch.setattr(network, "dijkstra", find_and_note)
    open_network().measure(draw_towns(100, ("US", "CA", "DE", "FR", "GB")))
    assert len(sources) == len(set(sources)) == 100


def test_file_keeps_its_size_and_licence() -> None:
    """The roads are at most 1 MB and name OpenStreetMap and its licence.

    Source: this project's limits; ODbL 1.0 asks for attribution.
    """
    assert DATA_FILE.stat().st_size <= 1_000_000
    licence = (DATA_FILE.parent / "LICENCE-roads.txt").read_text(encoding="utf-8")
    assert "OpenStreetMap contributors" in licence
    assert "Open Database Licence 1.0" in licence
