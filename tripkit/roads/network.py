"""Measures drives along the main roads of Europe and North America, without a network connection.

The roads are a cut of OpenStreetMap (ODbL 1.0, see `data/LICENCE-roads.txt`) made by
`build_network`: motorways and trunk roads only, no road classes, no one-way streets. A drive is the
shortest way, not the fastest.

Measured with the default factor (error = drive / table - 1, MAPE the mean of its absolute value):

| table | pairs | MAPE | bias | 90th percentile | worst |
|---|---|---|---|---|---|
| North America: Knuth's highway miles of 1949 [1] | 8128 | 2.5 % | -0.3 % | 5.4 % | 34 % |
| of them under 100 km | 21 | 8.4 % | +7.8 % | 17.7 % | 28 % |
| Europe: R's eurodist without six faulty values [2] | 204 | 4.4 % | -0.9 % | 9.5 % | 24 % |

1. D. E. Knuth, The Stanford GraphBase, 1993, miles.dat.
2. R datasets, "eurodist", from The Cambridge Encyclopaedia; see `estimate` for what is left out.

Both tables are decades older than the roads, so part of the error is theirs: Knuth's worst pair,
Salisbury-Washington, crosses a bridge opened in 1952. `ROAD_FACTOR` fits both halves of both tables
(tested). Bridges and ferries were added after their lack was seen, some of them in these tables, so
the rows are not blind. Driving times are not measured: no table of them was found. Known
weaknesses: short drives across water or through a gap in the main roads, see `LONGEST_GUARDED_KM`;
islands without a main road near a coast (Nantucket, Bornholm) are taken for a part of it, see
`islands`.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache
from math import ceil, log2
from pathlib import Path

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import connected_components, dijkstra
from scipy.spatial import cKDTree

from tripkit.roads.estimate import DETOUR_FACTOR, ESTIMATE_ERROR_PERCENT
from tripkit.roads.speeds import compute_typical_hours, find_boarding_hours
from tripkit.yard.facts import state
from tripkit.yard.places import ESTIMATED, Drive, Place

DATA_FILE = Path(__file__).parent / "data" / "roads.npz"

# South, north, west, east of what the network covers.
BOXES = {"Europe": (34, 72, -25, 45), "North America": (14, 73, -170, -50)}

EARTH_RADIUS_KM = 6371.0088
# The network draws roads straighter than they are.
ROAD_FACTOR = 1.075
# An hour on board, waiting included, weighs as much as this many km when a way is chosen.
FERRY_KMH = 60.0
# A place farther than this from every main road is on an island or outside what is covered.
FARTHEST_ROAD_KM = 60.0
# Two places off the network are guessed at if no ocean fits between them: Perth-Cairns is 3 430 km.
LONGEST_GUESS_KM = 4500.0
# A short drive that goes far round goes round a gap in the main roads; a long one round a lake: all
# eight of Knuth's pairs beyond this detour are 92 to 354 km apart and right.
LONGEST_DETOUR = 1.8
LONGEST_GUARDED_KM = 80.0
# Nine pairs of ten of either table are nearer than this; see also the estimate's docstring.
SHORT_DRIVE_KM = 100.0
SHORT_DRIVE_ERROR_PERCENT = 18.0
NETWORK_ERROR_PERCENT = 10.0

# A place may join a road between its ends; candidates stand this far apart.
SNAP_STEP_KM = 8.0
# Bounds the memory that a long list of places takes.
SOURCES_AT_ONCE = 64
ROUTES_REMEMBERED = 4096
# Half a megabyte each.
STARTS_REMEMBERED = 32
# scipy reads a weight of nought as "no edge".
NO_KM = 1e-9
LEAST_RADIUS_KM = 100.0


def put_on_globe_km(latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
    """A place is a point of a sphere; distances through it are chords, short ones nearly exact.

    **Source:** mean Earth radius 6371.0088 km, International Union of Geodesy and Geophysics.
    """
    north, east = np.radians(latitude), np.radians(longitude)
    return EARTH_RADIUS_KM * np.stack(
        [np.cos(north) * np.cos(east), np.cos(north) * np.sin(east), np.sin(north)], axis=-1
    )


def find_inside(latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
    """Which points lie in a part of the world that the network covers."""
    inside = np.zeros(len(latitude), bool)
    for south, north, west, east in BOXES.values():
        inside |= (latitude > south) & (latitude < north) & (longitude > west) & (longitude < east)
    return inside


@dataclass(frozen=True)
class RoadTable:
    """Drives between all pairs of some places: row is where from, column is where to.

    `km` holds ferries too and is infinite where no road leads; of it `other_km` is off the main
    roads, and `ferry_km` is spent on board of so many `ferries`, for `ferry_hours` without
    waiting. `estimated` marks pairs for which the network had no believable way.
    """

    places: tuple[Place, ...]
    km: np.ndarray
    other_km: np.ndarray
    ferry_km: np.ndarray
    ferry_hours: np.ndarray
    ferries: np.ndarray
    estimated: np.ndarray


@dataclass(frozen=True)
class Route:
    """One drive and the line it follows on the map, as (latitude, longitude) from start to end.

    `aboard` says of each step of the line whether it is on a ferry.
    """

    start: Place
    end: Place
    km: float
    ferry_km: float
    ferry_hours: float
    ferries: tuple[str, ...]
    estimated: bool
    line: tuple[tuple[float, float], ...]
    aboard: tuple[bool, ...]

    def find_point(self, fraction: float) -> tuple[float, float]:
        """The point at a fraction (0 to 1) of the road, ferries left out, as the line is drawn."""
        ends = put_on_globe_km(*np.array(self.line).T)
        step_km = np.where(self.aboard, 0.0, np.linalg.norm(np.diff(ends, axis=0), axis=1))
        along_km = np.concatenate([[0.0], np.cumsum(step_km)])
        wanted_km = min(max(fraction, 0.0), 1.0) * along_km[-1]
        return (
            float(np.interp(wanted_km, along_km, [north for north, _ in self.line])),
            float(np.interp(wanted_km, along_km, [east for _, east in self.line])),
        )


class RoadNetwork:
    """The shipped road network; the file is read by the first question.

    **Source:** OpenStreetMap (ODbL 1.0), as packed by scgraph_data, and the links of
    `build_network`.
    """

    def __init__(self, path: Path = DATA_FILE) -> None:
        """Reads nothing yet: the first question reads the file."""
        self.path = path

    def measure(
        self,
        places: Sequence[Place],
        road_factor: float = ROAD_FACTOR,
        detour_factor: float = DETOUR_FACTOR,
    ) -> RoadTable:
        """A drive is the shortest way along main roads, and a detour from either end to them.

        The network's km are multiplied by `road_factor`, the straight line from a place to the
        nearest main road by `DETOUR_FACTOR`. A short drive that the network leads far round, and
        one between places outside of what the network covers, get the straight line times
        `detour_factor` and are marked `estimated`. From an island that no road and no ferry reaches
        there is no way, save between two places of it. The straight line is a great circle here,
        within 0.5 % of the geodesic.

        **Source:** E. W. Dijkstra, "A note on two problems in connexion with graphs", Numerische
        Mathematik 1 (1959), 269-271, as in scipy.sparse.csgraph; the factor is fitted to the tables
        named in the module's docstring.
        """
        count = len(places)
        roads = self._roads
        snaps = self._snap(places)
        graph = self._make_graph(snaps)
        first = len(roads.points)
        shores = np.concatenate([roads.starts[roads.ferries], roads.ends[roads.ferries]])
        wanted = np.concatenate([np.arange(first, first + count), shores])
        km = np.empty((count, len(wanted)))
        for begin in range(0, count, SOURCES_AT_ONCE):
            rows = np.arange(begin, min(begin + SOURCES_AT_ONCE, count))
            km[rows] = dijkstra(graph, indices=first + rows)[:, wanted]
        way_km, to_starts, to_ends = np.split(km, [count, count + len(roads.ferries)], axis=1)
        # Sums of the same steps in the other order differ in the last digit.
        way_km = np.minimum(way_km, way_km.T)

        road_km = way_km.copy()
        ferry_km, ferry_hours, ferries = (np.zeros((count, count)) for _ in range(3))
        for number, ferry in enumerate(roads.ferries):
            weight = roads.weights[ferry]
            ahead = to_starts[:, [number]] + weight + to_ends[:, number]
            back = to_ends[:, [number]] + weight + to_starts[:, number]
            aboard = np.isfinite(way_km) & (np.minimum(ahead, back) <= way_km + 1e-6)
            road_km[aboard] -= weight
            ferry_km[aboard] += roads.km[ferry]
            ferry_hours[aboard] += roads.hours[ferry]
            ferries[aboard] += 1

        return _make_table(
            places,
            snaps.away_km,
            road_km,
            ferry_km,
            ferry_hours,
            ferries,
            road_factor=road_factor,
            detour_factor=detour_factor,
        )

    def route(self, start: Place, end: Place) -> Route | None:
        """The way between two places, with the line to draw; a straight line where it is a guess.

        None where no road leads.

        **Source:** as for `measure`.
        """
        # Of two ways equally long the same one is drawn in both directions.
        if end < start:
            back = self._routes(end, start)
            return back and replace(
                back,
                start=start,
                end=end,
                ferries=back.ferries[::-1],
                line=back.line[::-1],
                aboard=back.aboard[::-1],
            )
        return self._routes(start, end)

    def point_along(self, start: Place, end: Place, fraction: float) -> tuple[float, float] | None:
        """The point (latitude, longitude) at a fraction of the road from start to end.

        No point lies on a ferry. None where no road leads. A way once found is remembered.

        **Source:** as for `measure`.
        """
        route = self.route(start, end)
        return None if route is None else route.find_point(fraction)

    def list_points(
        self, start: Place, ends: Sequence[Place]
    ) -> tuple[tuple[tuple[float, float], ...], ...]:
        """The points (latitude, longitude) along the roads to each end, some 8 km apart.

        Ferries are left out; a place that no road leads to has no points.

        **Source:** as for `measure`.
        """
        roads = self._roads
        found = []
        for end in ends:
            land = (part for part in self._find_way(start, end) or () if not roads.hours[part[0]])
            found.append(tuple(point for part in land for point in roads.draw(*part)))
        return tuple(found)

    def find_joints(self, places: Sequence[Place]) -> list[tuple[tuple[float, float], float]]:
        """Where each place joins the nearest main road (latitude, longitude), and its way there.

        The way is a straight line [km].

        **Source:** as for `measure`.
        """
        if not places:
            return []
        away_km, nearest = self._roads.tree.query(_put_places_on_globe_km(places))
        points = self._roads.stop_points[self._roads.stops_on_land[nearest]]
        return [
            ((float(north), float(east)), float(km))
            for (north, east), km in zip(points, away_km, strict=True)
        ]

    @cached_property
    def _routes(self) -> Callable[[Place, Place], Route | None]:
        return lru_cache(ROUTES_REMEMBERED)(self._find_route)

    def _find_route(self, start: Place, end: Place) -> Route | None:
        roads = self._roads
        found = self._find_way(start, end)
        edges = found or []
        aboard_of = [edge for edge, *_ in edges if roads.hours[edge]]
        land_km = (
            float(roads.km[edge]) * abs(other - one)
            for edge, one, other in edges
            if not roads.hours[edge]
        )
        table = _make_table(
            [start, end],
            self._snap([start, end]).away_km,
            *(
                np.full((2, 2), number)
                for number in (
                    np.inf if found is None else sum(land_km),
                    float(roads.km[aboard_of].sum()),
                    float(roads.hours[aboard_of].sum()),
                    float(len(aboard_of)),
                )
            ),
        )
        if np.isinf(table.km[0, 1]):
            return None
        if table.estimated[0, 1]:
            edges = []
        line = [(start.latitude, start.longitude)]
        aboard = []
        for edge, one, other in edges:
            for point in roads.draw(edge, one, other):
                if point != line[-1]:
                    line.append(point)
                    aboard.append(bool(roads.hours[edge]))
        line.append((end.latitude, end.longitude))
        aboard.append(False)
        return Route(
            start,
            end,
            km=float(table.km[0, 1]),
            ferry_km=float(table.ferry_km[0, 1]),
            ferry_hours=float(table.ferry_hours[0, 1]),
            ferries=tuple(roads.names[edge] for edge, *_ in edges if roads.hours[edge]),
            estimated=bool(table.estimated[0, 1]),
            line=tuple(line),
            aboard=tuple(aboard),
        )

    def make_drives(
        self, places: Mapping[str, Place], detour_factor: float = DETOUR_FACTOR
    ) -> dict[tuple[str, str], Drive]:
        """All drives between named places, both ways, as `tripkit.yard.places.RoadBook` takes them.

        Their km are the road's alone: a lorry pays no km on board. Their hours are typical ones,
        see `speeds`, with waiting for each ferry. A pair that no road joins is left out.

        **Source:** as for `measure`; the error is what nine pairs of ten keep within.
        """
        table = self.measure(list(places.values()), detour_factor=detour_factor)
        drives = {}
        for row, start in enumerate(places):
            for column, end in enumerate(places):
                if row == column or np.isinf(table.km[row, column]):
                    continue
                ferry_km = float(table.ferry_km[row, column])
                km = float(table.km[row, column]) - ferry_km
                other_km = float(table.other_km[row, column])
                boarding_hours = find_boarding_hours() * float(table.ferries[row, column])
                ferry_hours = float(table.ferry_hours[row, column]) + boarding_hours
                road_hours = compute_typical_hours(
                    places[start], places[end], km - other_km, other_km
                )
                if table.estimated[row, column]:
                    source = state(ESTIMATED, factor=detour_factor)
                    error_percent = ESTIMATE_ERROR_PERCENT
                else:
                    source = state("roads.network-ferry") if ferry_km else state("roads.network")
                    error_percent = (
                        SHORT_DRIVE_ERROR_PERCENT if km < SHORT_DRIVE_KM else NETWORK_ERROR_PERCENT
                    )
                drives[start, end] = Drive(
                    km,
                    source=source,
                    error_percent=error_percent,
                    typical_hours=road_hours + ferry_hours,
                    ferry_km=ferry_km,
                    ferry_hours=ferry_hours,
                )
        return drives

    @cached_property
    def _roads(self) -> _Roads:
        return _read_roads(self.path)

    def _snap(self, places: Sequence[Place]) -> _Snaps:
        globe = _put_places_on_globe_km(places)
        away_km, nearest = self._roads.tree.query(globe)
        stops = self._roads.stops_on_land[nearest]
        return _Snaps(self._roads.stop_edges[stops], self._roads.stop_shares[stops], away_km)

    def _make_graph(self, snaps: _Snaps) -> csr_matrix:
        # Each place becomes a point of its own, joined to both ends of the road it stands by and
        # to the other places that stand by the same road.
        roads = self._roads
        first = len(roads.points)
        own = np.arange(first, first + len(snaps.edges))
        length_km = roads.weights[snaps.edges]
        mates = np.array(
            [
                (a, b)
                for a, b in itertools.combinations(range(len(own)), 2)
                if snaps.edges[a] == snaps.edges[b]
            ],
            dtype=int,
        ).reshape(-1, 2)
        apart = np.abs(snaps.shares[mates[:, 0]] - snaps.shares[mates[:, 1]])
        one = np.concatenate([roads.starts, own, own, own[mates[:, 0]]])
        other = np.concatenate(
            [roads.ends, roads.starts[snaps.edges], roads.ends[snaps.edges], own[mates[:, 1]]]
        )
        weights = np.concatenate(
            [
                roads.weights,
                length_km * snaps.shares,
                length_km * (1 - snaps.shares),
                length_km[mates[:, 0]] * apart,
            ]
        )
        weights = np.maximum(weights, NO_KM)
        size = first + len(own)
        pairs = np.concatenate([one, other]), np.concatenate([other, one])
        return csr_matrix((np.concatenate([weights, weights]), pairs), shape=(size, size))

    def _find_way(self, start: Place, end: Place) -> list[tuple[int, float, float]] | None:
        # The way's roads, and the shares of their length where it joins and leaves; None where
        # there is none. It is looked for in a circle first, which is much less than all roads.
        straight_km = float(_measure_straight_km([start, end])[0, 1])
        radius_km = LEAST_RADIUS_KM * 2 ** ceil(log2(max(1.0, 1.5 * straight_km / LEAST_RADIUS_KM)))
        snaps = self._snap([start, end])
        here, there = self._lands[self._roads.starts[snaps.edges]]
        if here != there:
            return None
        return self._find_way_within(snaps, radius_km) or self._find_way_within(snaps, np.inf)

    def _find_way_within(
        self, snaps: _Snaps, radius_km: float
    ) -> list[tuple[int, float, float]] | None:
        roads = self._roads
        (first, last), (joins, leaves) = snaps.edges.tolist(), snaps.shares.tolist()
        km, before = self._reaches(first, joins, radius_km)
        ways = [
            (float(km[roads.starts[last]] + roads.weights[last] * leaves), 0.0),
            (float(km[roads.ends[last]] + roads.weights[last] * (1 - leaves)), 1.0),
        ]
        shortest_km, share = min(ways)
        if first == last and roads.weights[last] * abs(leaves - joins) <= shortest_km:
            return [(last, joins, leaves)]
        # What lies outside the circle may be nearer than a way that leaves it.
        if shortest_km > radius_km or np.isinf(shortest_km):
            return None
        edges = [(last, share, leaves)]
        point = int(roads.ends[last] if share else roads.starts[last])
        source = len(roads.points)
        while before[point] != source:
            one = int(before[point])
            edge = roads.find_edge(one, point)
            ahead = float(point == roads.ends[edge])
            edges.append((edge, 1 - ahead, ahead))
            point = one
        edges.append((first, joins, float(point == roads.ends[first])))
        return edges[::-1]

    @cached_property
    def _reaches(self) -> Callable[[int, float, float], tuple[np.ndarray, np.ndarray]]:
        return lru_cache(STARTS_REMEMBERED)(self._find_reach)

    def _find_reach(
        self, edge: int, share: float, radius_km: float
    ) -> tuple[np.ndarray, np.ndarray]:
        # From a place by a road to every point in the circle: km, and the point before.
        roads, graph = self._roads, self._graph
        km = roads.weights[edge] * np.array([share, 1 - share])
        graph = csr_matrix(
            (
                np.concatenate([graph.data, np.maximum(km, NO_KM)]),
                np.concatenate([graph.indices, [roads.starts[edge], roads.ends[edge]]]),
                np.append(graph.indptr, graph.indptr[-1] + 2),
            ),
            shape=(len(roads.points) + 1,) * 2,
        )
        return dijkstra(graph, indices=len(roads.points), return_predecessors=True, limit=radius_km)

    @cached_property
    def _lands(self) -> np.ndarray:
        # Of each point the number of the land it lies on: no road or ferry joins two of them.
        return connected_components(self._graph, directed=False)[1]

    @cached_property
    def _graph(self) -> csr_matrix:
        roads = self._roads
        weights = np.maximum(roads.weights, NO_KM)
        pairs = (
            np.concatenate([roads.starts, roads.ends]),
            np.concatenate([roads.ends, roads.starts]),
        )
        size = len(roads.points)
        return csr_matrix((np.concatenate([weights, weights]), pairs), shape=(size, size))


@cache
def open_network() -> RoadNetwork:
    """The shipped network, the same one each time; its file is read by the first question.

    **Source:** as for `RoadNetwork`.
    """
    return RoadNetwork()


@dataclass(frozen=True)
class _Snaps:
    """Where each place joins the network: the road, the share of its length, the km to there."""

    edges: np.ndarray
    shares: np.ndarray
    away_km: np.ndarray


@dataclass(frozen=True)
class _Roads:
    """The file, unpacked: roads between points, and the stops along each road in order."""

    points: np.ndarray
    starts: np.ndarray
    ends: np.ndarray
    km: np.ndarray
    hours: np.ndarray
    weights: np.ndarray
    ferries: np.ndarray
    names: dict[int, str]
    keys: np.ndarray
    stop_edges: np.ndarray
    stop_bounds: np.ndarray
    stop_shares: np.ndarray
    stop_points: np.ndarray
    stops_on_land: np.ndarray
    tree: cKDTree

    def find_edge(self, one: int, other: int) -> int:
        """The road between two points; the file lists roads by their ends."""
        key = min(one, other) * len(self.points) + max(one, other)
        return int(np.searchsorted(self.keys, key))

    def draw(self, edge: int, one: float, other: float) -> list[tuple[float, float]]:
        """The stops of a road between two shares of its length, in the direction of travel."""
        begin, end = self.stop_bounds[edge], self.stop_bounds[edge + 1]
        points = self.stop_points[begin:end]
        if {one, other} != {0.0, 1.0}:
            shares = self.stop_shares[begin:end]
            points = points[(shares >= min(one, other) - 1e-9) & (shares <= max(one, other) + 1e-9)]
        line = list(map(tuple, points.round(5).tolist()))
        return line if one <= other else line[::-1]


def _read_roads(path: Path) -> _Roads:
    with np.load(path) as file:
        points = np.cumsum(file["point_steps"], axis=0) / 1000
        starts = np.cumsum(file["edge_start_steps"], dtype=np.int64)
        ends = starts + file["edge_spans"]
        km = file["edge_decametres"] / 100
        via_counts = file["via_counts"].astype(int)
        via_steps = file["via_steps"].astype(float) / 1000
        link_edges, link_names = file["link_edges"], file["link_names"]
        hours = np.zeros(len(km))
        hours[link_edges] = file["link_hours"]

    # Each road is a chain of corners: its start, the points drawn on the way, its end.
    counts = via_counts + 2
    corner_edges = np.repeat(np.arange(len(km)), counts)
    last = np.cumsum(counts) - 1
    first = last - counts + 1
    corners = np.zeros((len(corner_edges), 2))
    corners[first] = points[starts]
    inner = np.ones(len(corners), bool)
    inner[first] = inner[last] = False
    corners[inner] = via_steps
    walked = np.cumsum(corners, axis=0)
    corners = walked - np.repeat(walked[first] - points[starts], counts, axis=0)
    corners[last] = points[ends]

    globe = put_on_globe_km(*corners.T)
    step_km = np.linalg.norm(np.diff(globe, axis=0, prepend=globe[:1]), axis=1)
    step_km[first] = 0
    along_km = np.cumsum(step_km)
    along_km -= np.repeat(along_km[first], counts)
    shares = along_km / np.repeat(np.maximum(along_km[last], 1e-9), counts)

    # Long straight pieces get stops in between; a piece runs from the corner before to its own.
    stops = np.maximum(1, np.ceil(step_km / SNAP_STEP_KM)).astype(int)
    corner = np.repeat(np.arange(len(corners)), stops)
    before = corner - ~np.isin(corner, first)
    rank = np.arange(len(corner)) - np.repeat(np.cumsum(stops) - stops, stops)
    part = (rank + 1) / stops[corner]
    stop_points = corners[before] + (corners[corner] - corners[before]) * part[:, None]
    stop_shares = shares[before] + (shares[corner] - shares[before]) * part
    stop_edges = corner_edges[corner]
    # A junction is an end of several roads; one of them will do to join it.
    on_land = np.flatnonzero(hours[stop_edges] == 0)
    land_edges, land_shares = stop_edges[on_land], stop_shares[on_land]
    joints = np.where(land_shares < 1, starts[land_edges], ends[land_edges])
    inside = (land_shares > 0) & (land_shares < 1)
    joints[inside] = -1 - np.arange(np.count_nonzero(inside))
    on_land = on_land[np.sort(np.unique(joints, return_index=True)[1])]
    return _Roads(
        points=points,
        starts=starts,
        ends=ends,
        km=km,
        hours=hours,
        weights=np.where(hours > 0, (hours + find_boarding_hours()) * FERRY_KMH, km),
        ferries=np.flatnonzero(hours),
        names=dict(zip(link_edges.tolist(), link_names.tolist(), strict=True)),
        keys=starts * len(points) + ends,
        stop_edges=stop_edges,
        stop_bounds=np.searchsorted(stop_edges, np.arange(len(km) + 1)),
        stop_shares=stop_shares,
        stop_points=stop_points,
        stops_on_land=on_land,
        tree=cKDTree(
            put_on_globe_km(*stop_points[on_land].T), balanced_tree=False, compact_nodes=False
        ),
    )


def _make_table(
    places: Sequence[Place],
    away_km: np.ndarray,
    road_km: np.ndarray,
    ferry_km: np.ndarray,
    ferry_hours: np.ndarray,
    ferries: np.ndarray,
    *,
    road_factor: float = ROAD_FACTOR,
    detour_factor: float = DETOUR_FACTOR,
) -> RoadTable:
    """Ways through the network become drives, where they can be believed; see `measure`."""
    access_km = DETOUR_FACTOR * (away_km[:, None] + away_km)
    straight_km = _measure_straight_km(places)
    detour = (road_km + access_km + ferry_km) / np.maximum(straight_km, 1e-9)
    off_road = away_km > FARTHEST_ROAD_KM
    outside = off_road & ~find_inside(*_list_degrees(places))
    near = straight_km < LONGEST_GUARDED_KM
    on_an_island = off_road[:, None] & off_road & near
    elsewhere = outside[:, None] & outside & (straight_km < LONGEST_GUESS_KM)
    road_km[off_road[:, None] | off_road] = np.inf
    goes_round = near & (detour > LONGEST_DETOUR) & (ferries == 0) & np.isfinite(road_km)
    estimated = on_an_island | elsewhere | goes_round
    km = np.where(
        estimated, detour_factor * straight_km, road_km * road_factor + access_km + ferry_km
    )
    ferry_km[estimated] = ferry_hours[estimated] = ferries[estimated] = 0
    other_km = np.where(estimated, km, access_km)
    for numbers in (km, other_km, ferry_km, ferry_hours, ferries, estimated):
        np.fill_diagonal(numbers, 0)
    return RoadTable(tuple(places), km, other_km, ferry_km, ferry_hours, ferries, estimated)


def _list_degrees(places: Sequence[Place]) -> tuple[np.ndarray, np.ndarray]:
    return (
        np.array([place.latitude for place in places]),
        np.array([place.longitude for place in places]),
    )


def _put_places_on_globe_km(places: Sequence[Place]) -> np.ndarray:
    return put_on_globe_km(*_list_degrees(places))


def _measure_straight_km(places: Sequence[Place]) -> np.ndarray:
    globe = _put_places_on_globe_km(places)
    chord = np.linalg.norm(globe[:, None] - globe, axis=2) / (2 * EARTH_RADIUS_KM)
    return 2 * EARTH_RADIUS_KM * np.arcsin(np.minimum(chord, 1))
