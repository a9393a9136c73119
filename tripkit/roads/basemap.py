"""The base map: coasts, lakes, borders and main roads of Europe and North America, offline.

`data/basemap.npz` is made by `build_basemap` from Natural Earth, the US Census Bureau and the road
network (see `data/LICENCE-basemap.txt`); it is read by the first map. `draw_season_map` puts two
circuits on it.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, cached_property
from pathlib import Path

import numpy as np

from tripkit.pictures.route_map import AreaName, BaseMap, RouteLine, draw_routes, find_frame
from tripkit.roads.network import open_network
from tripkit.words.journeys import Pair, list_journeys
from tripkit.yard.circuit import Circuit
from tripkit.yard.places import Place
from tripkit.yard.yard import Yard

DATA_FILE = Path(__file__).parent / "data" / "basemap.npz"
MAJOR, MINOR = "major_roads", "minor_roads"
RINGS = ("land", "lakes")
LAYERS = (*RINGS, "countries", "states", MAJOR, MINOR)
# Cut edges lie this share of the window outside it, where nobody sees them.
MARGIN = 0.08

Line = np.ndarray
Box = tuple[float, float, float, float]


def draw_season_map(
    yard: Yard, left: Circuit | None, right: Circuit | None, width: int, *, alone: bool = False
) -> str:
    """Two circuits' roads on the base map as SVG text, `width` [px] wide.

    `alone` writes a file of its own, colours included; see `pictures.route_map.draw_routes`.
    """
    lines = find_route_lines(yard, left, right)
    frame = find_frame(yard, left, right, lines, width)
    return draw_routes(
        yard, left, right, lines, open_base_map().cut(frame.bounds), width, alone=alone
    )


def find_route_lines(
    yard: Yard, left: Circuit | None, right: Circuit | None
) -> dict[Pair, RouteLine]:
    """The way of every pair of places that a leg of two circuits joins.

    A straight line, marked as not known, where the network has no way or only a guess.
    """
    return {
        journey.pair: _find_line(*(_find_place(yard, key) for key in journey.pair))
        for journey in list_journeys(yard, left, right)
    }


def _find_place(yard: Yard, key: str) -> Place:
    return yard.roads.places.get(key) or yard.place


@cache
def _find_line(start: Place, end: Place) -> RouteLine:
    ends = ((start.latitude, start.longitude), (end.latitude, end.longitude))
    if ends[0] == ends[1]:
        return RouteLine(ends)
    route = open_network().route(start, end)
    if route is None or route.estimated:
        return RouteLine(ends, known=False)
    return RouteLine(route.line)


class ShippedMap:
    """The shipped base map; the file is read by the first question.

    **Source:** Natural Earth 4 (public domain); US Census Bureau, cartographic boundary files of
    2017 (public domain); OpenStreetMap (ODbL 1.0).
    """

    def __init__(self, path: Path = DATA_FILE) -> None:
        """Reads nothing yet."""
        self.path = path

    def cut(self, bounds: Box) -> BaseMap:
        """What lies between south, north, west, east [degrees], and a little more."""
        south, north, west, east = bounds
        up, across = MARGIN * (north - south), MARGIN * (east - west)
        box = (south - up, north + up, west - across, east + across)
        layers = {}
        for name in LAYERS:
            cut: Callable[[Line, Box], list[Line]] = (
                cut_ring_to_box if name in RINGS else cut_line_to_box
            )
            lines = self._layers[name]
            layers[name] = tuple(
                tuple(map(tuple, part.tolist()))
                for number in np.flatnonzero(_touch(self._boxes[name], box))
                for part in cut(lines[number], box)
            )
        names = tuple(
            AreaName(str(text), str(kind), (float(at[0]), float(at[1])), float(room_km))
            for text, kind, at, room_km in zip(*self._names, strict=True)
            if box[0] < at[0] < box[1] and box[2] < at[1] < box[3]
        )
        return BaseMap(**layers, names=names)

    def find_land(self, latitude: float, longitude: float) -> int | None:
        """The number of the land or island on which a point lies, None at sea and off the map.

        **Source:** the crossing number of a ray, M. Shimrat, Communications of the ACM 5 (1962),
        434.
        """
        south, west, north, east = self._boxes["land"].T
        boxed = (
            (south <= latitude) & (latitude <= north) & (west <= longitude) & (longitude <= east)
        )
        for number in np.flatnonzero(boxed):
            line = self._layers["land"][number]
            (north_1, east_1), (north_2, east_2) = line[:-1].T, line[1:].T
            spans = (north_1 > latitude) != (north_2 > latitude)
            rise = np.where(spans, north_2 - north_1, 1.0)
            meets = east_1 + (east_2 - east_1) * (latitude - north_1) / rise
            if np.count_nonzero(spans & (longitude < meets)) % 2:
                return int(number)
        return None

    @cached_property
    def _file(self) -> dict[str, np.ndarray]:
        with np.load(self.path) as file:
            return {name: file[name] for name in file.files}

    @cached_property
    def _layers(self) -> dict[str, list[Line]]:
        found = {}
        for name in LAYERS:
            points = np.cumsum(self._file[f"{name}_steps"], axis=0) / 1000
            found[name] = np.split(points, np.cumsum(self._file[f"{name}_counts"])[:-1])
        return found

    @cached_property
    def _boxes(self) -> dict[str, np.ndarray]:
        return {
            name: np.array([(*line.min(axis=0), *line.max(axis=0)) for line in lines])
            for name, lines in self._layers.items()
        }

    @property
    def _names(self) -> tuple[np.ndarray, ...]:
        file = self._file
        return file["name_texts"], file["name_kinds"], file["name_points"] / 100, file["name_km"]


@cache
def open_base_map() -> ShippedMap:
    """The shipped base map, the same one each time; its file is read by the first question.

    **Source:** as for `ShippedMap`.
    """
    return ShippedMap()


def _touch(boxes: np.ndarray, box: Box) -> np.ndarray:
    south, north, west, east = box
    lows, highs = boxes[:, :2], boxes[:, 2:]
    touches: np.ndarray = np.all((lows <= (north, east)) & (highs >= (south, west)), axis=1)
    return touches


def cut_ring_to_box(ring: Line, box: Box) -> list[Line]:
    """What of a closed ring lies in a box of south, north, west, east; one closed ring, or none.

    **Source:** I. E. Sutherland, G. W. Hodgman, Communications of the ACM 17 (1974), 32-42.
    """
    for side, limit in enumerate(box):
        axis, sign = side // 2, 1 if side % 2 == 0 else -1
        inside = sign * (ring[:, axis] - limit) >= 0
        if inside.all():
            continue
        one, other = ring[:-1], ring[1:]
        crosses = inside[:-1] != inside[1:]
        rise = np.where(crosses, other[:, axis] - one[:, axis], 1.0)
        meets = one + (other - one) * ((limit - one[:, axis]) / rise)[:, None]
        both = np.stack([one, meets], axis=1)
        kept = both[np.stack([inside[:-1], crosses], axis=1)]
        if not len(kept):
            return []
        ring = np.concatenate([kept, kept[:1]])
    return [ring] if len(ring) >= 4 else []


def cut_line_to_box(line: Line, box: Box) -> list[Line]:
    """The parts of a line whose steps come near a box of south, north, west, east.

    A step is kept whole, so that a line reaches over the edge of the box.
    """
    steps = np.hstack([np.minimum(line[:-1], line[1:]), np.maximum(line[:-1], line[1:])])
    edges = np.flatnonzero(np.diff(_touch(steps, box).astype(int), prepend=0, append=0))
    return [line[a : b + 1] for a, b in zip(edges[::2], edges[1::2], strict=True)]
