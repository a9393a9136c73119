"""The roads of two circuits on one map, as plain SVG text; every name in it is escaped.

The left circuit is a solid line, the right one a hollow line around it, each the thicker the more
often it is driven; a show's mark is filled in its upper half where the left circuit goes there, in
its lower half where the right one does. The geometry is passed in, see `tripkit.roads.basemap`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import hypot, sqrt

from markupsafe import escape

from tripkit.pictures.map_frame import (
    Box,
    Frame,
    Label,
    Labels,
    Point,
    choose_bar,
    fit_frame,
    measure_text,
    shorten,
    thin,
)
from tripkit.pictures.route_map_forms import ALONE, EAVES, HALVES, KEY_SIGNS, MOON, ROOF, STYLE
from tripkit.words.journeys import (
    Journey,
    Pair,
    list_journeys,
    name_place,
    tell_journeys,
)
from tripkit.yard.circuit import Circuit, Leg
from tripkit.yard.facts import state
from tripkit.yard.places import HOME
from tripkit.yard.yard import Yard

ATTRIBUTION = (
    "Coast, lakes, borders: Natural Earth.",
    "States: US Census Bureau.",
    "Roads: \N{COPYRIGHT SIGN} OpenStreetMap contributors, ODbL.",
)
"""What must stand under the map, as the licences of its data ask."""

NARROW_PX = 640
LEAST_KM = 120.0
Line = Sequence[Point]


@dataclass(frozen=True)
class RouteLine:
    """The way between two places as north and east [degrees]; `known` False: a guess, straight."""

    points: tuple[Point, ...]
    known: bool = True


@dataclass(frozen=True)
class AreaName:
    """The name of a state or country, its middle [degrees], and how far its edge is [km]."""

    text: str
    kind: str
    at: Point
    room_km: float


@dataclass(frozen=True)
class BaseMap:
    """What lies under the routes, each line as north and east [degrees]; rings are closed."""

    land: tuple[Line, ...] = ()
    lakes: tuple[Line, ...] = ()
    countries: tuple[Line, ...] = ()
    states: tuple[Line, ...] = ()
    major_roads: tuple[Line, ...] = ()
    minor_roads: tuple[Line, ...] = ()
    names: tuple[AreaName, ...] = ()


def find_frame(
    yard: Yard,
    left: Circuit | None,
    right: Circuit | None,
    lines: Mapping[Pair, RouteLine],
    width: int,
) -> Frame:
    """The window that shows home and every route, `width` [px] wide."""
    home = (yard.place.latitude, yard.place.longitude)
    points = [home]
    for journey in list_journeys(yard, left, right):
        points += lines[journey.pair].points
    return fit_frame(points, width, 64 if width >= NARROW_PX else 30, LEAST_KM)


def draw_routes(
    yard: Yard,
    left: Circuit | None,
    right: Circuit | None,
    lines: Mapping[Pair, RouteLine],
    base: BaseMap,
    width: int,
    *,
    alone: bool = False,
) -> str:
    """Both circuits' roads on one map as SVG text, `width` [px] wide, its key under it.

    `lines` holds the way of every pair of places that a leg joins (see `pair_of`). Each pair is
    one route that takes the focus and tells its legs in its title. `alone` writes the colours
    into the file, light and dark, so that it stands without the page.
    """
    drawing = _Drawing(yard, left, right, lines, find_frame(yard, left, right, lines, width))
    key, key_height = _write_key(drawing, left, right)
    frame = drawing.frame
    style = STYLE + (ALONE if alone else "")
    body = "".join(
        [
            f'<rect class="tk-map-sea" width="{frame.width}" height="{frame.height}"/>',
            _draw_base(drawing, base),
            _draw_roads_driven(drawing),
            _write_areas(drawing, base.names),
            _draw_marks(drawing),
            _write_labels(drawing),
            _draw_bar(drawing),
            _draw_ways(drawing),
        ]
    )
    height = frame.height + key_height
    clip = f"tk-map-window-{frame.width}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="tk-map{" tk-map-alone" if alone else ""}" '
        f'width="{frame.width}" height="{height}" viewBox="0 0 {frame.width} {height}" '
        f'role="group" aria-label="{escape(_say_map(left, right))}">'
        f"<style>{style}</style>"
        f'<defs><clipPath id="{clip}"><rect width="{frame.width}" height="{frame.height}"/>'
        f'</clipPath></defs><g clip-path="url(#{clip})">{body}</g>'
        f'<rect class="tk-map-edge" x="0.5" y="0.5" width="{frame.width - 1}" '
        f'height="{frame.height - 1}"/>{key}</svg>'
    )


def _say_map(left: Circuit | None, right: Circuit | None) -> str:
    names = [circuit.name for circuit in (left, right) if circuit]
    return str(
        state("journeys.map", circuits=tuple(names)) if names else state("journeys.blank-map")
    )


@dataclass
class _Drawing:
    yard: Yard
    left: Circuit | None
    right: Circuit | None
    lines: Mapping[Pair, RouteLine]
    frame: Frame
    journeys: tuple[Journey, ...] = field(init=False)
    marks: dict[str, Point] = field(init=False)
    nights: dict[Point, str] = field(init=False)
    labels: list[Label] = field(default_factory=list)
    bar: Box | None = None

    def __post_init__(self) -> None:
        self.journeys = list_journeys(self.yard, self.left, self.right)
        self.marks = {HOME: self._place(HOME)}
        for journey in self.journeys:
            self.marks |= {key: self._place(key) for key in journey.pair}
        self.nights = self._find_nights()

    @property
    def narrow(self) -> bool:
        return self.frame.width < NARROW_PX

    def _place(self, key: str) -> Point:
        place = self.yard.place if key == HOME else self.yard.roads.places[key]
        return self.frame.place((place.latitude, place.longitude))

    def trace(self, points: Iterable[Point]) -> list[Point]:
        """A line of the globe as points of the window."""
        return thin(self.frame.place(point) for point in points)

    def _find_nights(self) -> dict[Point, str]:
        found: dict[Point, str] = {}
        for journey in self.journeys:
            way = [self.frame.place(point) for point in self.lines[journey.pair].points]
            for leg in journey.left + journey.right:
                goes_back = self.yard.place_key_of(leg.start) != journey.pair[0]
                for share, near in _find_night_shares(leg):
                    at = _walk(way, 1 - share if goes_back else share)
                    near_by = any(hypot(at[0] - x, at[1] - y) < 12 for x, y in found)
                    if not near_by:
                        found[at] = near
        return found


def _find_night_shares(leg: Leg) -> list[tuple[float, str]]:
    """Where on the way [share of it] the nights of a leg are spent, and near which town."""
    shares, halted = [], 0.0
    for stop in leg.stops:
        driven = (stop.start - leg.depart).total_seconds() / 3600 - halted
        halted += stop.minutes / 60
        if stop.kind == "overnight" and leg.hours > 0:
            shares.append((max(0.0, min(1.0, driven / leg.hours)), stop.near))
    return shares


def _walk(way: Sequence[Point], share: float) -> Point:
    steps = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(way)]
    left = share * sum(steps)
    for (a, b), step in zip(pairwise(way), steps, strict=True):
        if left <= step and step > 0:
            part = left / step
            return a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part
        left -= step
    return way[-1]


def _write_path(points: Sequence[Point], closed: bool = False) -> str:
    # One decimal is a tenth of a pixel; steps from point to point are shorter than places.
    at = [(round(x * 10), round(y * 10)) for x, y in points]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(at)]
    steps = [step for step in steps if step != (0, 0)]
    if closed and len(steps) < 3:
        return ""
    if not steps:
        steps = [(0, 0)]
    written = " ".join(f"{x / 10:g} {y / 10:g}" for x, y in steps)
    return f"M{at[0][0] / 10:g} {at[0][1] / 10:g}l{written}" + ("z" if closed else "")


def _draw_base(drawing: _Drawing, base: BaseMap) -> str:
    parts = []
    for name, lines, closed in (
        ("land", base.land, True),
        ("lake", base.lakes, True),
        ("minor", () if drawing.narrow else base.minor_roads, False),
        ("major", base.major_roads, False),
        ("state", base.states, False),
        ("country", base.countries, False),
    ):
        path = "".join(_write_path(drawing.trace(line), closed) for line in lines)
        if path:
            parts.append(f'<path class="tk-map-{name}" d="{path}"/>')
    return "".join(parts)


def _count_steps(drawing: _Drawing) -> dict[tuple[Point, Point], list[int]]:
    """How often each circuit drives each known piece of road, either way."""
    counts: dict[tuple[Point, Point], list[int]] = {}
    for journey in drawing.journeys:
        line = drawing.lines[journey.pair]
        if not line.known:
            continue
        for one, other in pairwise(line.points):
            count = counts.setdefault((min(one, other), max(one, other)), [0, 0])
            count[0] += len(journey.left)
            count[1] += len(journey.right)
    return counts


def _chain_steps(
    counts: Mapping[tuple[Point, Point], list[int]],
) -> list[tuple[tuple[int, int], list[Point]]]:
    """Pieces of road joined up to where another begins or the counts change."""
    met: dict[Point, list[Point]] = {}
    for one, other in counts:
        met.setdefault(one, []).append(other)
        met.setdefault(other, []).append(one)

    def count_of(one: Point, other: Point) -> tuple[int, int]:
        left, right = counts[min(one, other), max(one, other)]
        return left, right

    def goes_on(point: Point) -> bool:
        ends = met[point]
        return len(ends) == 2 and count_of(point, ends[0]) == count_of(point, ends[1])

    chains, done = [], set()
    starts = [point for point in met if not goes_on(point)]
    for start in [*starts, *met]:
        for second in met[start]:
            if (min(start, second), max(start, second)) in done:
                continue
            chain = [start, second]
            done.add((min(start, second), max(start, second)))
            while goes_on(chain[-1]):
                ends = met[chain[-1]]
                onward = ends[0] if ends[1] == chain[-2] else ends[1]
                step = (min(chain[-1], onward), max(chain[-1], onward))
                if step in done:
                    break
                done.add(step)
                chain.append(onward)
            chains.append((count_of(start, second), chain))
    return chains


def _find_solid_px(trips: int) -> float:
    return min(7.5, 1.8 + 0.95 * sqrt(trips - 1)) if trips else 0.0


def _find_wall_px(trips: int) -> float:
    return min(3.2, 1.0 + 0.34 * sqrt(trips - 1)) if trips else 0.0


def _draw_roads_driven(drawing: _Drawing) -> str:
    pieces = [
        (*count, "", _write_path(drawing.trace(chain)))
        for count, chain in _chain_steps(_count_steps(drawing))
    ]
    pieces += [
        (
            len(journey.left),
            len(journey.right),
            " tk-map-guess",
            _write_path(drawing.trace(drawing.lines[journey.pair].points)),
        )
        for journey in drawing.journeys
        if not drawing.lines[journey.pair].known
    ]
    pieces.sort(key=lambda piece: piece[:2])
    walls, hollows, solids = [], [], []
    thin_down = 0.75 if drawing.narrow else 1.0
    for left, right, guess, path in pieces:
        solid, wall = thin_down * _find_solid_px(left), thin_down * _find_wall_px(right)
        hollow = solid + 3.4 * thin_down if solid else 2.8 * thin_down
        if right:
            walls.append(_write_stroke("right" + guess, hollow + 2 * wall, path))
            hollows.append(_write_stroke("hollow", hollow, path))
        if left:
            solids.append(_write_stroke("left" + guess, solid, path))
    return "".join(walls + hollows + solids)


def _write_stroke(name: str, width: float, path: str) -> str:
    return f'<path class="tk-map-line tk-map-{name}" stroke-width="{width:.1f}" d="{path}"/>'


def _draw_ways(drawing: _Drawing) -> str:
    """Each journey once more, unseen until it is pointed at or has the focus; short ones on top."""
    told = tell_journeys(drawing.yard, drawing.left, drawing.right)
    ways = []
    for journey, said in zip(drawing.journeys, told, strict=True):
        points = drawing.trace(drawing.lines[journey.pair].points)
        length = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))
        marks = " ".join(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="11"/>'
            for key in journey.pair
            if key != HOME or journey.pair == (HOME, HOME)
            for x, y in [drawing.marks[key]]
        )
        ways.append(
            (
                -length,
                f'<g class="tk-map-way" data-journey="{said.number}" tabindex="0" role="img">'
                f"<title>{escape(said.text)}</title>"
                f'<path d="{_write_path(points)}"/>{marks}</g>',
            )
        )
    return "".join(way for _, way in sorted(ways))


def _draw_marks(drawing: _Drawing) -> str:
    parts = []
    for at, near in drawing.nights.items():
        name = state("drawings.night-near", town=near) if near else state("drawings.night")
        parts.append(
            f'<g class="tk-map-night" transform="translate({at[0]:.1f} {at[1]:.1f})">'
            f'<title>{escape(str(name))}</title><circle r="6"/>{MOON}</g>'
        )
    went = [set(), set()]  # type: list[set[str]]
    for journey in drawing.journeys:
        for side, legs in enumerate((journey.left, journey.right)):
            if legs:
                went[side].update(journey.pair)
    for key, (x, y) in drawing.marks.items():
        if key == HOME:
            continue
        halves = [HALVES[side] for side in (0, 1) if key in went[side]]
        eaves = EAVES if key in drawing.yard.base_at else ""
        parts.append(
            f'<g class="tk-map-show" transform="translate({x:.1f} {y:.1f})">{eaves}'
            f'<circle r="4.6"/>{"".join(halves)}<circle class="tk-map-ring" r="4.6"/></g>'
        )
    x, y = drawing.marks[HOME]
    parts.append(f'<g class="tk-map-home" transform="translate({x:.1f} {y:.1f})">{ROOF}</g>')
    return "".join(parts)


def _set_labels(drawing: _Drawing) -> Labels:
    """Finds room for the words: home, the places driven to most often, the others, the nights."""
    trips: dict[str, int] = {}
    under: list[Point] = []
    for journey in drawing.journeys:
        for key in journey.pair:
            trips[key] = trips.get(key, 0) + len(journey.left) + len(journey.right)
        way = [drawing.frame.place(point) for point in drawing.lines[journey.pair].points]
        under += thin(_fill_in(way), 5)
    under = list({(round(x / 4), round(y / 4)): (x, y) for x, y in under}.values())

    def count_under(box: Box) -> int:
        return sum(box.holds(point) for point in under)

    frame = drawing.frame
    labels = Labels(frame.width, frame.height, count_under, 20 if drawing.narrow else 28)
    for key, at in drawing.marks.items():
        labels.take(at, 9 if key == HOME else 6)
    for at in drawing.nights:
        labels.take(at, 7, named=False)
    _, bar = choose_bar(frame.px_per_km, drawing.yard.units, frame.width * 0.2)
    drawing.bar = labels.take_corner(bar + 16, 30)

    size = 13.5 if drawing.narrow else 15.0
    order = sorted(drawing.marks, key=lambda key: (key != HOME, -trips.get(key, 0), key))
    for key in order:
        text = name_place(drawing.yard, key)
        label = (
            labels.set_beside(text, drawing.marks[key], size + 2, 12, clear=False)
            if key == HOME
            else labels.set_beside(text, drawing.marks[key], size, 8)
        )
        if label:
            drawing.labels.append(label)
    if not drawing.narrow:
        for at, near in drawing.nights.items():
            label = labels.set_beside(near.split(",")[0], at, 12.5, 8) if near else None
            if label:
                drawing.labels.append(label)
    return labels


def _fill_in(way: Sequence[Point]) -> list[Point]:
    """A line with points every few pixels, so that a straight one hides under words, too."""
    points = list(way[:1])
    for (ax, ay), (bx, by) in pairwise(way):
        steps = max(1, round(hypot(bx - ax, by - ay) / 5))
        points += [(ax + (bx - ax) * n / steps, ay + (by - ay) * n / steps)
                   for n in range(1, steps + 1)]  # fmt: skip
    return points


def _write_areas(drawing: _Drawing, names: Sequence[AreaName]) -> str:
    """The names of states and countries, over the roads, in what room the other words left."""
    labels = _set_labels(drawing)
    parts = []
    size = 10.0 if drawing.narrow else 11.5
    spacing = 1.2 if drawing.narrow else 2.4
    states = [name for name in names if name.kind == "state"]
    for name in sorted(names, key=lambda name: (name.kind == "country", name.text)):
        if name.kind == "country" and states and name.text.startswith("United States"):
            continue
        at = drawing.frame.place(name.at)
        text = name.text.upper()
        room = name.room_km * drawing.frame.px_per_km
        label = labels.set_over(text, at, size, spacing, room)
        if label:
            x, y = label.baseline
            parts.append(
                f'<text class="tk-map-area" x="{x:.1f}" y="{y:.1f}" font-size="{size}" '
                f'letter-spacing="{spacing}" text-anchor="middle">{escape(text)}</text>'
            )
    return "".join(parts)


def _write_labels(drawing: _Drawing) -> str:
    home, nights = drawing.marks[HOME], set(drawing.nights)
    parts = []
    for label in drawing.labels:
        x, y = label.baseline
        name = "home" if label.at == home else "night" if label.at in nights else "town"
        parts.append(
            f'<text class="tk-map-label tk-map-label-{name}" x="{x:.1f}" y="{y:.1f}" '
            f'font-size="{label.size_px}" text-anchor="{label.anchor}">{escape(label.text)}</text>'
        )
    return "".join(parts)


def _draw_bar(drawing: _Drawing) -> str:
    frame, units = drawing.frame, drawing.yard.units
    longest, length = choose_bar(frame.px_per_km, units, frame.width * 0.2)
    assert drawing.bar is not None
    x, y = drawing.bar.left + 8, drawing.bar.bottom - 6
    return (
        f'<g class="tk-map-bar" data-length="{longest}" data-px="{length:.2f}">'
        f'<path d="M{x:.1f} {y - 5:.1f}v5h{length:.1f}v-5"/>'
        f'<text x="{x + length / 2:.1f}" y="{y - 8:.1f}" font-size="12.5" text-anchor="middle">'
        f"{longest:,} {units}</text></g>"
    )


def _write_key(drawing: _Drawing, left: Circuit | None, right: Circuit | None) -> tuple[str, float]:
    """The key under the map, row by row as it fits, and how high it is [px]."""
    width, size = drawing.frame.width, 13.5
    letters = 24 if drawing.narrow else 44
    items = []
    for circuit, name in ((left, "left"), (right, "right")):
        if circuit:
            items.append((KEY_SIGNS[name], shorten(circuit.name, letters)))
    items.append((KEY_SIGNS["often"], str(state("drawings.key-often"))))
    if left and right:
        items.append((KEY_SIGNS["halves"], str(state("drawings.key-halves"))))
    if drawing.nights:
        items.append((KEY_SIGNS["night"], str(state("drawings.key-night"))))
    if any(key in drawing.yard.base_at for key in drawing.marks):
        items.append((KEY_SIGNS["base"], str(state("drawings.key-base"))))
    if any(not drawing.lines[journey.pair].known for journey in drawing.journeys):
        items.append((KEY_SIGNS["guess"], str(state("drawings.key-guess"))))
    parts, x, y = [], 0.0, drawing.frame.height + 22.0
    for sign, words in items:
        wide = 40 + measure_text(words, size)
        if x and x + wide > width:
            x, y = 0.0, y + 22
        parts.append(
            f'<g transform="translate({x:.1f} {y:.1f})">{sign}'
            f'<text class="tk-map-key" x="38" y="4.5" font-size="{size}">{escape(words)}</text></g>'
        )
        x += wide + 20
    y += 26
    rows = [""]
    for sentence in ATTRIBUTION:
        longer = f"{rows[-1]} {sentence}".strip()
        # These words stand in a plain face, which is wider than a book face.
        if 1.05 * measure_text(longer, 11.5) <= width:
            rows[-1] = longer
        else:
            rows.append(sentence)
    for number, row in enumerate(rows):
        parts.append(
            f'<text class="tk-map-thanks" x="0" y="{y + 16 * number:.1f}" font-size="11.5">'
            f"{escape(row)}</text>"
        )
    return "".join(parts), y + 16 * len(rows) - 8 - drawing.frame.height
