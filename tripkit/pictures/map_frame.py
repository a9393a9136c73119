"""A map's frame: a conic projection fitted to some points, a scale bar, labels that keep apart."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import atan, atan2, cos, degrees, hypot, log, pi, radians, sin, sqrt, tan

from tripkit.yard.places import KM_PER_MILE

Point = tuple[float, float]

EARTH_RADIUS_KM = 6371.0088
# Nearer the equator a cone is so flat that its tip runs away; nearer a pole so steep that it tears.
LEAST_CONE_DEGREES = 2.0
FARTHEST_NORTH_DEGREES = 88.0
# A name spread over a state may lie over so many points of a route.
MOST_HIDDEN = 2
NARROW_LETTERS = frozenset("fijlrtI.,:;'|!()[] ")
WIDE_LETTERS = frozenset("mwMWQ@%")


@dataclass(frozen=True)
class Cone:
    """A conformal conic projection of a sphere of radius 1, true along two parallels [degrees].

    `north` and `east` [degrees] are the point that gets the coordinates 0, 0; x grows to the
    east, y to the north.

    **Source:** J. H. Lambert, 1772, as in J. P. Snyder, Map Projections: A Working Manual, USGS
    Professional Paper 1395 (1987), equations 15-1 to 15-5.
    """

    south_parallel: float
    north_parallel: float
    north: float
    east: float

    @cached_property
    def steepness(self) -> float:
        """The constant n of the cone."""
        one, other = radians(self.south_parallel), radians(self.north_parallel)
        if abs(one - other) < 1e-6:
            return sin(one)
        return log(cos(one) / cos(other)) / log(_stretch(other) / _stretch(one))

    @cached_property
    def _size(self) -> float:
        one = radians(self.south_parallel)
        return float(cos(one) * _stretch(one) ** self.steepness / self.steepness)

    def _reach(self, north: float) -> float:
        bound = FARTHEST_NORTH_DEGREES
        stretch = _stretch(radians(max(-bound, min(bound, north))))
        return float(self._size / stretch**self.steepness)

    def project(self, north: float, east: float) -> Point:
        """A point of the globe [degrees] on the plane."""
        around = (east - self.east + 180) % 360 - 180
        reach, turn = self._reach(north), self.steepness * radians(around)
        return reach * sin(turn), self._reach(self.north) - reach * cos(turn)

    def unproject(self, x: float, y: float) -> Point:
        """A point of the plane on the globe, north and east [degrees]."""
        sign = 1 if self.steepness > 0 else -1
        y = self._reach(self.north) - y
        reach, turn = sign * hypot(x, y), atan2(sign * x, sign * y)
        if abs(reach) < 1e-12:
            return sign * 90.0, self.east
        north = 2 * atan((self._size / reach) ** (1 / self.steepness)) - pi / 2
        return degrees(north), self.east + degrees(turn) / self.steepness

    def find_scale(self, north: float) -> float:
        """How much longer than true a short line is drawn at a latitude [degrees]."""
        return self.steepness * self._reach(north) / cos(radians(north))


def _stretch(north: float) -> float:
    return tan(pi / 4 + north / 2)


def fit_cone(points: Sequence[Point]) -> Cone:
    """A cone for some points: upright in their middle, true a sixth of their height from each edge.

    **Source:** the rule of sixths, V. V. Kavrayskiy, as in Snyder (see `Cone`), page 99.
    """
    norths = [north for north, _ in points]
    around = atan2(
        sum(sin(radians(east)) for _, east in points), sum(cos(radians(east)) for _, east in points)
    )
    first = degrees(around)
    turned = [(east - first + 180) % 360 - 180 for _, east in points]
    east = first + (min(turned) + max(turned)) / 2
    low, high = min(norths), max(norths)
    middle, sixth = (low + high) / 2, (high - low) / 3
    if abs(middle) < LEAST_CONE_DEGREES:
        middle = LEAST_CONE_DEGREES if middle >= 0 else -LEAST_CONE_DEGREES
        sixth = 0.0
    return Cone(middle - sixth, middle + sixth, middle, east)


@dataclass(frozen=True)
class Frame:
    """A window of a cone, `width` x `height` [px], its middle at `x`, `y` of the plane."""

    cone: Cone
    width: int
    height: int
    x: float
    y: float
    px_per_unit: float

    def place(self, point: Point) -> Point:
        """A point of the globe, north and east [degrees], in the window [px]."""
        x, y = self.cone.project(*point)
        return (
            self.width / 2 + (x - self.x) * self.px_per_unit,
            self.height / 2 - (y - self.y) * self.px_per_unit,
        )

    @property
    def px_per_km(self) -> float:
        """How long a kilometre is in the middle of the window [px]."""
        north, _ = self.cone.unproject(self.x, self.y)
        return self.px_per_unit * self.cone.find_scale(north) / EARTH_RADIUS_KM

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """South, north, west, east of all that is seen [degrees]."""
        edge = [
            self.cone.unproject(
                self.x + across * self.width / 2 / self.px_per_unit,
                self.y + up * self.height / 2 / self.px_per_unit,
            )
            for across in (-1, -0.5, 0, 0.5, 1)
            for up in (-1, -0.5, 0, 0.5, 1)
        ]
        norths, easts = zip(*edge, strict=True)
        return min(norths), max(norths), min(easts), max(easts)


def fit_frame(points: Sequence[Point], width: int, margin: float, least_km: float) -> Frame:
    """A window that shows some points, `margin` [px] from its edge.

    It is at least `least_km` [km] wide. A broad window is at least two fifths as high as wide; a
    narrow one may stand upright.
    """
    cone = fit_cone(points)
    xs, ys = zip(*(cone.project(*point) for point in points), strict=True)
    least = least_km / EARTH_RADIUS_KM
    across, up = max(max(xs) - min(xs), least), max(max(ys) - min(ys), least / 2)
    lowest, highest = (0.42, 0.62) if width >= 640 else (0.7, 1.25)
    inner = width - 2 * margin
    wanted = inner * up / across + 2 * margin
    height = round(max(lowest * width, min(highest * width, wanted)))
    px_per_unit = min(inner / across, (height - 2 * margin) / up)
    return Frame(cone, width, height, (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2, px_per_unit)


def choose_bar(px_per_km: float, units: str, most_px: float) -> tuple[int, float]:
    """The longest round distance that fits a scale bar, in the yard's units, and its length [px].

    >>> choose_bar(1.0, "km", 250)
    (200, 200.0)
    """
    px_per_unit = px_per_km * (KM_PER_MILE if units == "miles" else 1)
    fitting = [
        step * 10**power
        for power in range(5)
        for step in (1, 2, 5)
        if step * 10**power * px_per_unit <= most_px
    ]
    longest = max(fitting, default=1)
    return longest, longest * px_per_unit


def thin(points: Iterable[Point], least_px: float = 0.7) -> list[Point]:
    """A line without the points that lie within a fraction of a pixel of the one before."""
    kept: list[Point] = []
    last: Point | None = None
    for point in points:
        last = point
        if not kept or hypot(point[0] - kept[-1][0], point[1] - kept[-1][1]) >= least_px:
            kept.append(point)
    if last is not None and kept[-1] != last:
        kept.append(last)
    return kept


def measure_text(text: str, size_px: float) -> float:
    """About how wide words are in a book face [px]; rather too wide than too narrow."""
    ems = 0.0
    for letter in text:
        if unicodedata.combining(letter):
            continue
        if unicodedata.east_asian_width(letter) in "WF" or ord(letter) > 0x1F000:
            ems += 1.1
        elif letter in NARROW_LETTERS:
            ems += 0.36
        elif letter in WIDE_LETTERS:
            ems += 0.92
        else:
            ems += 0.7 if letter.isupper() else 0.56
    return ems * size_px


def shorten(text: str, letters: int) -> str:
    """Words cut to so many letters, with three dots where something is gone."""
    words = " ".join(text.split())
    return (
        words
        if len(words) <= letters
        else words[: letters - 1].rstrip() + "\N{HORIZONTAL ELLIPSIS}"
    )


@dataclass(frozen=True)
class Box:
    """A box on the map [px]."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether two boxes cover a common point."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def measure_to(self, point: Point) -> float:
        """How far a point is from the nearest point of the box [px]."""
        across = max(self.left - point[0], point[0] - self.right, 0.0)
        down = max(self.top - point[1], point[1] - self.bottom, 0.0)
        return hypot(across, down)

    def holds(self, point: Point) -> bool:
        """Whether a point lies inside."""
        return self.left < point[0] < self.right and self.top < point[1] < self.bottom


@dataclass(frozen=True)
class Label:
    """Words to write beside a point of the map, and where they came to stand."""

    text: str
    at: Point
    size_px: float
    box: Box
    anchor: str

    @property
    def baseline(self) -> Point:
        """Where the words are anchored [px]."""
        x = {"start": self.box.left, "middle": (self.box.left + self.box.right) / 2}.get(
            self.anchor, self.box.right
        )
        return x, self.box.bottom - 0.26 * self.size_px


class Labels:
    """Labels set one after the other, each where it covers no label or mark set before."""

    def __init__(
        self, width: float, height: float, count_under: Callable[[Box], int], letters: int
    ) -> None:
        """In a window; `count_under(box)` says how much of the drawing a label would hide."""
        self._width = width
        self._height = height
        self._count_under = count_under
        self._letters = letters
        self._taken: list[Box] = []
        self._marks: list[Point] = []

    def take(self, point: Point, radius: float, named: bool = True) -> None:
        """A mark stands here: no label may cover it, nor another's stand nearer to a named one."""
        x, y = point
        if named:
            self._marks.append(point)
        self._taken.append(Box(x - radius, y - radius, x + radius, y + radius))

    def take_corner(self, wide: float, high: float) -> Box:
        """The corner of the window where a box hides the least; no label may cover it."""
        inset = 8
        right, low = self._width - inset - wide, self._height - inset - high
        corners = [
            Box(left, top, left + wide, top + high)
            for left, top in ((inset, low), (right, low), (inset, inset), (right, inset))
        ]
        best = min(
            corners,
            key=lambda box: (
                sum(box.meets(taken) for taken in self._taken),
                self._count_under(box),
            ),
        )
        self._taken.append(best)
        return best

    def set_beside(
        self, text: str, at: Point, size_px: float, gap: float, *, clear: bool = True
    ) -> Label | None:
        """Words beside a mark, where they hide the least; None where no place is free.

        Words never stand nearer to another mark than to their own, where they must be `clear`.
        """
        words = shorten(text, self._letters)
        wide, high = measure_text(words, size_px), 1.22 * size_px
        best: tuple[float, Label] | None = None
        for rank, (across, down, anchor) in enumerate(SPOTS):
            for far in (gap, gap + 0.35 * size_px):
                slant = far if not across or not down else far / sqrt(2)
                x, y = at[0] + across * slant, at[1] + down * slant
                left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
                top = {0: y - high / 2, 1: y, -1: y - high}[down]
                box = Box(left, top, left + wide, top + high)
                own = box.measure_to(at)
                nearer = clear and any(
                    mark != at and box.measure_to(mark) <= own for mark in self._marks
                )
                if nearer or not self._is_free(box):
                    continue
                cost = 2 * self._count_under(box) + 0.5 * rank + 0.5 * (far - gap)
                if best is None or cost < best[0]:
                    best = cost, Label(words, at, size_px, box, anchor)
        if best is None:
            return None
        self._taken.append(best[1].box)
        return best[1]

    def set_over(
        self, text: str, at: Point, size_px: float, spacing_px: float, room_px: float
    ) -> Label | None:
        """Words spread over a point, at most `room_px` off it; None where no place is free.

        Words much wider than the room are left out: they would name the neighbours.
        """
        wide = measure_text(text, size_px) + spacing_px * len(text)
        high = 1.1 * size_px
        if wide > 4 * room_px or high > 1.6 * room_px:
            return None
        best: tuple[float, Box] | None = None
        for across, down in AROUND:
            x, y = at[0] + across * room_px, at[1] + down * room_px
            box = Box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
            hidden = self._count_under(box)
            cost = hidden + abs(across) + abs(down)
            if hidden <= MOST_HIDDEN and self._is_free(box) and (best is None or cost < best[0]):
                best = cost, box
        if best is None:
            return None
        self._taken.append(best[1])
        return Label(text, at, size_px, best[1], "middle")

    def _is_free(self, box: Box) -> bool:
        inside = (
            box.left >= 4
            and box.top >= 4
            and box.right <= self._width - 4
            and box.bottom <= self._height - 4
        )
        return inside and not any(box.meets(taken) for taken in self._taken)


SPOTS = (
    (1, 0, "start"),
    (-1, 0, "end"),
    (1, -1, "start"),
    (1, 1, "start"),
    (-1, -1, "end"),
    (-1, 1, "end"),
    (0, -1, "middle"),
    (0, 1, "middle"),
)
AROUND = tuple((across / 3, down / 3) for across in range(-2, 3) for down in range(-2, 3))
