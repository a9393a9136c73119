"""Cuts the world's main roads down to the network that tripkit ships.

Run from the repository with the development extra installed:

    python -m tripkit.roads.build.network

`scgraph_data` packs the motorways and trunk roads of OpenStreetMap as 560 282 points and the
lengths between them. Here they are cut to Europe and North America, breaks in them are mended,
named bridges, tunnels and ferries that they lack are added, and what no route needs is taken out:
points where nothing branches, junctions within two kilometres of each other, short dead ends.

The same scgraph_data release gives the same file. OpenStreetMap data and what is derived from it
are licensed ODbL 1.0: see `data/LICENCE-roads.txt`.
"""

from __future__ import annotations

import heapq
import sys
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType, SimpleNamespace

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from tripkit.roads.network import DATA_FILE, find_inside, put_on_globe_km

# Two pieces of road this near each other are one road that the source has cut.
WIDEST_BREAK_KM = 1.2
# A main road that ends and has another within this distance, but a long way round to it, goes on.
WIDEST_END_KM = 3.0
LONG_WAY_ROUND_KM = 20.0
# What a straight line across a break is multiplied by.
BREAK_FACTOR = 1.1
SHORT_DEAD_END_KM = 8.0
JUNCTION_KM = 2.0
# How far a drawn road may lie from the true one.
DRAWING_TOLERANCE_KM = 0.3
# A piece that stays apart is an island if it has so many points in the source, else an error.
SMALLEST_ISLAND = 20
# Pieces with fewer points may be thinned away altogether.
LARGE_PIECE = 500


@dataclass(frozen=True)
class Link:
    """A crossing that the source lacks: its two shores, and how long it is.

    `km` is the crossing itself; `hours` is 0 where the lorry drives, else the time on board
    without waiting.
    """

    name: str
    one_shore: tuple[float, float]
    other_shore: tuple[float, float]
    km: float
    hours: float
    source: str


# Lengths and crossing times are those the operators named publish, from memory and rounded; a row
# of distances.csv wins.
# Left out are ferries between countries that the drives round are the custom for (Italy-Greece,
# Denmark-Germany beyond the short ones), and seasonal ones. An island without a link has no drive.
LINKS = (
    Link("Oresund bridge", (55.566, 12.969), (55.631, 12.680), 16, 0, "Oresundsbro Konsortiet"),
    Link("Great Belt bridge", (55.302, 10.828), (55.351, 11.143), 18, 0, "Sund & Baelt"),
    Link("Faro bridges", (54.950, 11.984), (55.000, 11.993), 5.6, 0, "the gap in the source"),
    Link("Rion-Antirion bridge", (38.300, 21.796), (38.308, 21.780), 2.9, 0, "Gefyra S.A."),
    Link(
        "Chesapeake Bay bridge-tunnel",
        (36.910, -76.077),
        (37.134, -75.967),
        28,
        0,
        "Chesapeake Bay Bridge and Tunnel District",
    ),
    Link(
        "Galveston causeway", (29.290, -94.875), (29.314, -94.913), 4.6, 0, "the gap in the source"
    ),
    Link(
        "San Francisco-Oakland Bay Bridge",
        (37.786, -122.391),
        (37.823, -122.318),
        7.2,
        0,
        "Caltrans",
    ),
    Link(
        "Chesapeake Bay Bridge",
        (39.005, -76.400),
        (38.981, -76.320),
        6.9,
        0,
        "Maryland Transportation Authority",
    ),
    Link("Hampton Roads bridge-tunnel", (37.005, -76.318), (36.955, -76.285), 5.6, 0, "VDOT"),
    Link("Monitor-Merrimac bridge-tunnel", (36.973, -76.407), (36.905, -76.425), 7.4, 0, "VDOT"),
    Link("Sunshine Skyway", (27.650, -82.677), (27.585, -82.615), 8.8, 0, "the gap in the source"),
    Link("Mobile Bay bridges", (30.680, -88.020), (30.655, -87.912), 12.1, 0, "Alabama DOT"),
    Link(
        "Prince of Wales Bridge",
        (51.567, -2.660),
        (51.580, -2.740),
        5.7,
        0,
        "the gap in the source",
    ),
    Link(
        "Helsingor-Helsingborg ferry",
        (56.033, 12.616),
        (56.044, 12.690),
        4.7,
        0.35,
        "Oresundslinjen",
    ),
    Link("Channel tunnel shuttle", (51.092, 1.132), (50.921, 1.839), 50.5, 0.6, "Getlink"),
    Link("Messina ferry", (38.255, 15.596), (38.219, 15.634), 6, 0.35, "Caronte & Tourist"),
    Link("Rodby-Puttgarden ferry", (54.655, 11.350), (54.503, 11.228), 19, 0.75, "Scandlines"),
    Link("Gedser-Rostock ferry", (54.573, 11.925), (54.152, 12.098), 48, 1.8, "Scandlines"),
    Link("Holyhead-Dublin ferry", (53.307, -4.631), (53.348, -6.197), 107, 3.3, "Irish Ferries"),
    Link("Cairnryan-Belfast ferry", (54.973, -5.021), (54.632, -5.893), 67, 2.25, "Stena Line"),
    Link(
        "Tsawwassen-Swartz Bay ferry", (49.006, -123.129), (48.689, -123.411), 44, 1.6, "BC Ferries"
    ),
    Link(
        "Confederation Bridge",
        (46.158, -63.822),
        (46.255, -63.699),
        12.9,
        0,
        "Strait Crossing Bridge Ltd",
    ),
    Link("Canso Causeway", (46.207, -60.594), (46.231, -60.48), 10.5, 0, "the gap in the source"),
    Link("Bergen, E16", (60.423, 5.629), (60.432, 5.537), 6.5, 0, "the gap in the source"),
    Link("Kristiansund road 70", (62.917, 8.187), (62.89, 8.08), 7.5, 0, "the gap in the source"),
    Link("Bodo, road 80", (67.088, 15.4), (67.232, 15.402), 20, 0, "the gap in the source"),
    Link("Tana, E6", (70.196, 28.19), (70.392, 28.223), 26, 0, "the gap in the source"),
    Link(
        "Vancouver Island highway",
        (48.968, -123.79),
        (49.003, -123.832),
        5.6,
        0,
        "the gap in the source",
    ),
    Link("Crete, road 90", (35.36, 24.378), (35.35, 24.336), 4.6, 0, "the gap in the source"),
    Link("Cyprus, A6", (34.684, 32.59), (34.719, 32.535), 7.2, 0, "the gap in the source"),
    Link(
        "Harwich-Hook of Holland ferry", (51.947, 1.255), (51.977, 4.125), 204, 6.75, "Stena Line"
    ),
    Link("Portsmouth-Caen ferry", (50.812, -1.088), (49.284, -0.249), 180, 6, "Brittany Ferries"),
    Link("Poole-Cherbourg ferry", (50.712, -1.99), (49.646, -1.605), 115, 4.5, "Brittany Ferries"),
    Link("Newhaven-Dieppe ferry", (50.79, 0.055), (49.931, 1.088), 125, 4, "DFDS"),
    Link("Plymouth-Roscoff ferry", (50.364, -4.156), (48.724, -3.966), 185, 6, "Brittany Ferries"),
    Link("Hull-Rotterdam ferry", (53.742, -0.271), (51.958, 4.137), 380, 11.5, "P&O Ferries"),
    Link("Newcastle-IJmuiden ferry", (54.992, -1.449), (52.463, 4.585), 440, 15.75, "DFDS"),
    Link("Fishguard-Rosslare ferry", (52.006, -4.987), (52.254, -6.338), 100, 3.5, "Stena Line"),
    Link("Liverpool-Belfast ferry", (53.408, -3.01), (54.632, -5.893), 260, 8, "Stena Line"),
    Link("Dublin-Cherbourg ferry", (53.348, -6.197), (49.646, -1.605), 600, 18.5, "Irish Ferries"),
    Link("Portsmouth-Fishbourne ferry", (50.796, -1.119), (50.732, -1.215), 11, 0.75, "Wightlink"),
    Link(
        "Heysham-Douglas ferry",
        (54.033, -2.917),
        (54.147, -4.472),
        107,
        3.75,
        "Isle of Man Steam Packet",
    ),
    Link(
        "Scrabster-Stromness ferry", (58.612, -3.55), (58.964, -3.297), 50, 1.5, "NorthLink Ferries"
    ),
    Link(
        "Gothenburg-Frederikshavn ferry", (57.692, 11.93), (57.434, 10.545), 91, 3.5, "Stena Line"
    ),
    Link("Trelleborg-Rostock ferry", (55.371, 13.155), (54.152, 12.098), 160, 6, "TT-Line"),
    Link("Ystad-Swinoujscie ferry", (55.424, 13.83), (53.903, 14.262), 175, 6.75, "Polferries"),
    Link("Karlskrona-Gdynia ferry", (56.167, 15.63), (54.535, 18.515), 300, 10.5, "Stena Line"),
    Link("Hirtshals-Kristiansand ferry", (57.595, 9.97), (58.143, 7.985), 135, 3.25, "Color Line"),
    Link("Hirtshals-Larvik ferry", (57.595, 9.97), (59.04, 10.045), 165, 3.75, "Color Line"),
    Link("Stockholm-Turku ferry", (59.32, 18.11), (60.435, 22.22), 290, 11, "Viking Line"),
    Link("Umea-Vaasa ferry", (63.68, 20.335), (63.086, 21.55), 115, 4, "Wasaline"),
    Link("Helsinki-Tallinn ferry", (60.157, 24.955), (59.444, 24.77), 82, 2.25, "Tallink"),
    Link("Algeciras-Tangier ferry", (36.13, -5.435), (35.885, -5.5), 45, 1.5, "Balearia"),
    Link("Barcelona-Palma ferry", (41.36, 2.18), (39.553, 2.63), 250, 7.5, "Balearia"),
    Link("Livorno-Olbia ferry", (43.56, 10.3), (40.925, 9.53), 310, 8.5, "Moby"),
    Link("Civitavecchia-Olbia ferry", (42.095, 11.785), (40.925, 9.53), 235, 7, "Tirrenia"),
    Link("Livorno-Bastia ferry", (43.56, 10.3), (42.7, 9.45), 120, 4.5, "Corsica Ferries"),
    Link("Nice-Bastia ferry", (43.695, 7.285), (42.7, 9.45), 235, 7, "Corsica Ferries"),
    Link("Bonifacio-Santa Teresa ferry", (41.388, 9.16), (41.241, 9.188), 16, 0.85, "Moby"),
    Link("Piraeus-Heraklion ferry", (37.943, 23.635), (35.345, 25.145), 325, 9, "Minoan Lines"),
    Link(
        "Cape May-Lewes ferry",
        (38.967, -74.96),
        (38.783, -75.12),
        27,
        1.4,
        "Delaware River and Bay Authority",
    ),
    Link(
        "Bridgeport-Port Jefferson ferry",
        (41.173, -73.18),
        (40.947, -73.07),
        29,
        1.25,
        "Bridgeport & Port Jefferson Steamboat Company",
    ),
    Link(
        "Horseshoe Bay-Nanaimo ferry",
        (49.376, -123.271),
        (49.193, -123.955),
        57,
        1.65,
        "BC Ferries",
    ),
    Link(
        "Port Angeles-Victoria ferry",
        (48.121, -123.43),
        (48.422, -123.37),
        37,
        1.5,
        "Black Ball Ferry Line",
    ),
    Link("Saint John-Digby ferry", (45.253, -66.063), (44.66, -65.757), 72, 2.25, "Bay Ferries"),
    Link(
        "North Sydney-Port aux Basques ferry",
        (46.207, -60.245),
        (47.575, -59.135),
        178,
        7,
        "Marine Atlantic",
    ),
)

# Of each point: its neighbours, the km to them, and the points drawn on the way there.
Roads = list[dict[int, tuple[float, tuple[int, ...]]]]


def build_network(path: Path = DATA_FILE) -> None:
    """Writes the road network of Europe and North America.

    **Source:** OpenStreetMap (ODbL 1.0), as packed by scgraph_data; links as listed in `LINKS`.
    """
    points, roads = _cut_highways()
    globe = put_on_globe_km(points[:, 0], points[:, 1])
    _mend_breaks(roads, globe)
    _mend_dead_ends(roads, globe)
    links = _add_links(roads, globe)
    _remove_small_pieces(roads)
    fixed = {end for pair in links for end in pair} | _find_island_ends(roads, globe)
    _remove_what_no_route_needs(roads, fixed)
    roads = _merge_junctions(roads, fixed)
    _remove_what_no_route_needs(roads, fixed)
    path.parent.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(path, **_pack(points, globe, roads, links))


def _read_highways() -> tuple[np.ndarray, list[dict[int, float]]]:
    # The data module asks scgraph for a class that later releases of it have moved, and only
    # hands it the two lists wanted here.
    module = ModuleType("scgraph.core")
    module.GeoGraph = lambda graph, nodes: SimpleNamespace(graph=graph, nodes=nodes)  # type: ignore[attr-defined]
    kept = {name: sys.modules.get(name) for name in ("scgraph", "scgraph.core")}
    sys.modules.update({"scgraph": ModuleType("scgraph"), "scgraph.core": module})
    try:
        from scgraph_data.world_highways import world_highways_geograph as world
    finally:
        for name, old in kept.items():
            if old is None:
                del sys.modules[name]
            else:
                sys.modules[name] = old
    return np.array(world.nodes), world.graph


def _cut_highways() -> tuple[np.ndarray, Roads]:
    points, graph = _read_highways()
    kept = np.flatnonzero(find_inside(*points.T))
    numbers = {int(old): new for new, old in enumerate(kept)}
    roads: Roads = [{} for _ in kept]
    for old, new in numbers.items():
        for old_end, km in graph[old].items():
            if old_end in numbers:
                _join(roads, new, numbers[old_end], km)
    return points[kept], roads


def _join(roads: Roads, a: int, b: int, km: float, via: tuple[int, ...] = ()) -> None:
    if a != b and (b not in roads[a] or km < roads[a][b][0]):
        roads[a][b] = (km, via)
        roads[b][a] = (km, via[::-1])


def _part(roads: Roads, a: int, b: int) -> None:
    del roads[a][b]
    del roads[b][a]


def _measure_straight_km(globe: np.ndarray, a: int, b: int) -> float:
    return float(np.linalg.norm(globe[a] - globe[b]))


def _label_pieces(roads: Roads) -> np.ndarray:
    pairs = [(a, b) for a, ends in enumerate(roads) for b in ends]
    rows, columns = np.array(pairs).T
    graph = coo_matrix((np.ones(len(pairs)), (rows, columns)), shape=(len(roads), len(roads)))
    return connected_components(graph, directed=False)[1]


def _mend_breaks(roads: Roads, globe: np.ndarray) -> None:
    pieces = _label_pieces(roads)
    near = cKDTree(globe).query_pairs(WIDEST_BREAK_KM, output_type="ndarray")
    apart = near[pieces[near[:, 0]] != pieces[near[:, 1]]]
    km = np.linalg.norm(globe[apart[:, 0]] - globe[apart[:, 1]], axis=1)
    mended = set()
    for index in np.lexsort((apart[:, 1], apart[:, 0], km)):
        a, b = (int(end) for end in apart[index])
        pair = frozenset((pieces[a], pieces[b]))
        if pair not in mended:
            mended.add(pair)
            _join(roads, a, b, BREAK_FACTOR * float(km[index]))


def _mend_dead_ends(roads: Roads, globe: np.ndarray) -> None:
    tree = cKDTree(globe)
    for end in [point for point, ends in enumerate(roads) if len(ends) == 1]:
        reached = _walk(roads, end, LONG_WAY_ROUND_KM)
        others = [
            point
            for point in tree.query_ball_point(globe[end], WIDEST_END_KM)
            if point not in reached and roads[point]
        ]
        if others:
            other = min(others, key=lambda point: (_measure_straight_km(globe, end, point), point))
            _join(roads, end, other, BREAK_FACTOR * _measure_straight_km(globe, end, other))


def _walk(roads: Roads, start: int, limit_km: float) -> dict[int, float]:
    reached = {start: 0.0}
    queue = [(0.0, start)]
    while queue:
        km, point = heapq.heappop(queue)
        if km > reached[point]:
            continue
        for end, (step_km, _) in roads[point].items():
            total_km = km + step_km
            if total_km <= limit_km and total_km < reached.get(end, np.inf):
                reached[end] = total_km
                heapq.heappush(queue, (total_km, end))
    return reached


def _add_links(roads: Roads, globe: np.ndarray) -> dict[tuple[int, int], Link]:
    pieces = _label_pieces(roads)
    large = np.flatnonzero(np.bincount(pieces)[pieces] >= 20)
    tree = cKDTree(globe[large])
    links = {}
    for link in LINKS:
        shores = put_on_globe_km(*np.array([link.one_shore, link.other_shore]).T)
        km, nearest = tree.query(shores)
        a, b = (int(large[index]) for index in nearest)
        print(f"{link.name}: the nearest roads are {km.round(1)} km from its shores")
        # The crossing replaces whatever the source has between the two points.
        roads[a].pop(b, None)
        _join(roads, a, b, link.km if link.hours else link.km + float(sum(km)))
        links[min(a, b), max(a, b)] = link
    return links


def _remove_what_no_route_needs(roads: Roads, fixed: set[int]) -> None:
    waiting = [point for point, ends in enumerate(roads) if len(ends) in (1, 2)]
    while waiting:
        point = waiting.pop()
        if point in fixed or len(roads[point]) not in (1, 2):
            continue
        ends = list(roads[point].items())
        if len(ends) == 1 and ends[0][1][0] > SHORT_DEAD_END_KM:
            continue
        for end, _ in ends:
            _part(roads, point, end)
        if len(ends) == 2:
            (a, (a_km, a_via)), (b, (b_km, b_via)) = ends
            _join(roads, a, b, a_km + b_km, (*a_via[::-1], point, *b_via))
        waiting += [end for end, _ in ends]


def _merge_junctions(roads: Roads, fixed: set[int]) -> Roads:
    centre_of: dict[int, tuple[int, float]] = {point: (point, 0.0) for point in fixed}
    for centre in sorted(range(len(roads)), key=lambda point: (-len(roads[point]), point)):
        if centre in centre_of or not roads[centre]:
            continue
        for point, km in _walk(roads, centre, JUNCTION_KM).items():
            centre_of.setdefault(point, (centre, km))
    merged: Roads = [{} for _ in roads]
    for a, ends in enumerate(roads):
        for b, (km, via) in ends.items():
            (a_centre, a_km), (b_centre, b_km) = centre_of[a], centre_of[b]
            if a < b and a_centre != b_centre:
                drawn = (*(() if a == a_centre else (a,)), *via, *(() if b == b_centre else (b,)))
                _join(merged, a_centre, b_centre, a_km + km + b_km, drawn)
    return merged


def _remove_small_pieces(roads: Roads) -> None:
    pieces = _label_pieces(roads)
    sizes = np.bincount(pieces, weights=[bool(ends) for ends in roads])
    for point, piece in enumerate(pieces):
        if sizes[piece] < SMALLEST_ISLAND:
            roads[point].clear()


def _find_island_ends(roads: Roads, globe: np.ndarray) -> set[int]:
    """Two points of each small piece that are kept, or nothing would be left of a small island."""
    pieces = _label_pieces(roads)
    kept = np.flatnonzero([bool(ends) for ends in roads])
    found = set()
    for piece, size in enumerate(np.bincount(pieces[kept])):
        if 0 < size < LARGE_PIECE:
            points = kept[pieces[kept] == piece]
            away = np.linalg.norm(globe[points] - globe[points[0]], axis=1)
            found |= {int(points[0]), int(points[np.argmax(away)])}
    return found


def _simplify(globe: np.ndarray, line: list[int]) -> list[int]:
    # Ramer, Douglas and Peucker: keep the point farthest from the chord, if it is far.
    if len(line) < 3:
        return line
    start, chord = globe[line[0]], globe[line[-1]] - globe[line[0]]
    offsets = globe[line[1:-1]] - start
    along = np.clip(offsets @ chord / max(chord @ chord, 1e-9), 0, 1)
    away = np.linalg.norm(offsets - np.outer(along, chord), axis=1)
    middle = int(np.argmax(away)) + 1
    if away[middle - 1] <= DRAWING_TOLERANCE_KM:
        return [line[0], line[-1]]
    return _simplify(globe, line[: middle + 1])[:-1] + _simplify(globe, line[middle:])


def _pack(
    points: np.ndarray, globe: np.ndarray, roads: Roads, links: dict[tuple[int, int], Link]
) -> dict[str, np.ndarray]:
    # Neighbours in the file should be neighbours on the map: differences then take few bytes.
    order: list[int] = []
    seen: set[int] = set()
    for start, ends in enumerate(roads):
        stack = [start] if ends else []
        while stack:
            point = stack.pop()
            if point not in seen:
                seen.add(point)
                order.append(point)
                stack += sorted(roads[point], key=lambda end: -roads[end].get(point, (0,))[0])
    numbers = {point: number for number, point in enumerate(order)}
    edges = sorted(
        (numbers[a], numbers[b], a, b) for a in order for b in roads[a] if numbers[a] < numbers[b]
    )
    thousandths = np.round(points * 1000).astype(np.int32)
    via: list[np.ndarray] = []
    via_counts = []
    for *_, a, b in edges:
        drawn = _simplify(globe, [a, *roads[a][b][1], b])
        via.append(np.diff(thousandths[drawn[:-1]], axis=0))
        via_counts.append(len(drawn) - 2)
    starts, ends = np.array([edge[:2] for edge in edges]).T
    edge_numbers = {edge[2:]: number for number, edge in enumerate(edges)}
    edge_numbers |= {(b, a): number for (a, b), number in edge_numbers.items()}
    for pair, link in links.items():
        if pair not in edge_numbers:
            raise ValueError(f"{link.name} leads nowhere: its shores are {points[list(pair)]}")
    found = dict(sorted((edge_numbers[pair], link) for pair, link in links.items()))
    return {
        "point_steps": np.diff(thousandths[order], axis=0, prepend=0).astype(np.int32),
        "edge_start_steps": np.diff(starts, prepend=0).astype(np.uint16),
        "edge_spans": (ends - starts).astype(np.int32),
        "edge_decametres": np.array(
            [round(100 * roads[a][b][0]) for *_, a, b in edges], dtype=np.uint32
        ),
        "via_counts": np.array(via_counts, dtype=np.uint8),
        "via_steps": np.concatenate(via).astype(np.int16),
        "link_edges": np.array(list(found), dtype=np.int32),
        "link_names": np.array([link.name for link in found.values()]),
        "link_hours": np.array([link.hours for link in found.values()]),
    }


if __name__ == "__main__":
    build_network()
    print(f"{DATA_FILE.stat().st_size / 1e6:.2f} MB in {DATA_FILE}")
