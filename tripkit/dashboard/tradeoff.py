"""All candidate circuits as one picture: worth against cost, road or rest, and a table of them.

A circuit is unbeaten when no other has as much worth and as good a measure, one of them better.
Unbeaten ones are told by form and by the stepped line that joins them, not by colour alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import floor, log10

from markupsafe import Markup

from tripkit.dashboard.markup import render, write_note
from tripkit.pictures.timeline_forms import shorten
from tripkit.words import page as words
from tripkit.words.figures import write_distance, write_number
from tripkit.words.formats import write_money
from tripkit.yard.circuit import Circuit
from tripkit.yard.places import convert_km
from tripkit.yard.yard import Yard

# Left, top, right and bottom of what lies on the picture [px].
Box = tuple[float, float, float, float]

LABEL_CHARACTER_PX = 9.0
"""A letter of a name, as wide as in the widest of the serif faces that a machine may have [px]."""
LABEL_PX = 15.0


@dataclass(frozen=True)
class Axis:
    """One measure of a circuit: its number in a unit that can be drawn, and whether less is good.

    `find` gives None where a circuit has no such number.
    """

    find: Callable[[Circuit, Yard], float | None]
    write: Callable[[Circuit, Yard], str]
    less_is_better: bool


AXES = {
    "cost": Axis(
        lambda c, _: c.totals.cost_cents / 100,
        lambda c, y: write_money(c.totals.cost_cents, y.currency),
        True,
    ),
    "road": Axis(
        lambda c, y: convert_km(c.totals.road_km, y.units),
        lambda c, y: write_distance(c.totals.road_km, y.units),
        True,
    ),
    "rest": Axis(
        lambda c, _: c.totals.spare_days, lambda c, _: write_number(c.totals.spare_days), False
    ),
}


@dataclass(frozen=True)
class Point:
    """A circuit in the picture: its measure, its worth, and whether it is unbeaten."""

    circuit: Circuit
    measure: float
    worth: float
    unbeaten: bool


def place_points(yard: Yard, circuits: Sequence[Circuit], axis: str) -> tuple[Point, ...]:
    """Every circuit that exists and has the measure, with who is beaten by whom settled."""
    known = AXES[axis]
    found = [
        (circuit, measure, circuit.totals.worth)
        for circuit in circuits
        if circuit.exists and (measure := known.find(circuit, yard)) is not None
    ]
    sign = -1.0 if known.less_is_better else 1.0

    def is_unbeaten(measure: float, worth: float) -> bool:
        return not any(
            w >= worth and sign * m >= sign * measure and (w > worth or m != measure)
            for _, m, w in found
        )

    return tuple(Point(c, m, w, is_unbeaten(m, w)) for c, m, w in found)


def write_tradeoff(
    yard: Yard, circuits: Sequence[Circuit], left: str, right: str, axis: str, picked: str
) -> Markup:
    """The choice of the measure, the picture in two widths, what is picked, and the table."""
    points = place_points(yard, circuits, axis)
    if not points:
        return write_note(words.NOT_PLANNED, "empty")
    laid = ((left, words.ABOVE), (right, words.BELOW))
    unbeaten = {point.circuit.name for point in points if point.unbeaten}
    return render(
        "tradeoff",
        left=left,
        right=right,
        axis=axis,
        picked=picked,
        told="".join(_tell_point(yard, p) for p in points if p.circuit.name == picked),
        wide=_lay_out(yard, points, laid, axis, 1000, 470),
        narrow=_lay_out(yard, points, laid, axis, 360, 400),
        rows=[
            _gather_row(yard, circuit, laid, circuit.name in unbeaten)
            for circuit in circuits
            if circuit.exists
        ],
    )


def _tell_point(yard: Yard, point: Point) -> str:
    return words.PICKED.format(name=point.circuit.name, **_list_figures(yard, point))


def _list_figures(yard: Yard, point: Point) -> dict[str, str]:
    return {
        "worth": write_number(point.worth),
        "cost": AXES["cost"].write(point.circuit, yard),
        "road": AXES["road"].write(point.circuit, yard),
        "spare": write_number(point.circuit.totals.spare_days),
    }


def _gather_row(
    yard: Yard, circuit: Circuit, laid: Sequence[tuple[str, str]], is_unbeaten: bool
) -> tuple[str, str, tuple[str, ...]]:
    """A circuit's name, where it lies and whether it is unbeaten, its figures."""
    totals = circuit.totals
    marks = [said for name, said in laid if name == circuit.name]
    cells = (
        write_number(totals.worth),
        *(AXES[axis].write(circuit, yard) for axis in ("cost", "road", "rest")),
        write_number(totals.nights_away),
        write_number(len(totals.aims_met) or None),
    )
    marks += [words.UNBEATEN_SHORT] if is_unbeaten else []
    return circuit.name, ", ".join(marks), cells


@dataclass(frozen=True)
class _Span:
    """Numbers to pixels along one axis."""

    low: float
    high: float
    start: float
    end: float

    def at(self, number: float) -> float:
        return self.start + (number - self.low) / (self.high - self.low) * (self.end - self.start)


@dataclass(frozen=True)
class _Mark:
    """A point as it is drawn: its place, and its name in the box that is left for it."""

    name: str
    told: str
    label: str
    note: str
    is_unbeaten: bool
    x: float
    y: float
    box: Box
    anchor: str

    @property
    def text_x(self) -> float:
        """Where its words are held."""
        left, _, right, _ = self.box
        return {"start": left, "end": right}.get(self.anchor, (left + right) / 2)


def _lay_out(
    yard: Yard,
    points: Sequence[Point],
    laid: Sequence[tuple[str, str]],
    axis: str,
    width: int,
    height: int,
) -> dict[str, object]:
    """A picture of that size: scales, edge, and every point with its name where there is room."""
    narrow = width < 500
    edge = left, right, top, bottom = (46 if narrow else 62, 18, 26, 50)
    x = _span([p.measure for p in points], left, width - right - 8)
    y = _span([p.worth for p in points], height - bottom, top)
    spots = [(x.at(p.measure), y.at(p.worth)) for p in points]
    taken: list[Box] = [(a - 11, b - 11, a + 11, b + 11) for a, b in spots]
    taken += [*_list_step_boxes(points, x, y, axis), (0.0, height - bottom, width, height)]
    marks = []
    for point, (a, b) in zip(points, spots, strict=True):
        name = point.circuit.name
        label = shorten(name, 16 if narrow else 28)
        note = ", ".join(said for known, said in laid if known == name)
        letters, lines = max(len(label), len(note) * 0.85), 2 if note else 1
        box, anchor = _find_place(a, b, letters, lines, taken, width, edge)
        taken.append(box)
        # What is read aloud begins with what is seen.
        seen = f"{label} {note}".strip() + (f" ({name})" if label != name else "")
        told = words.POINT.format(
            name=seen,
            **_list_figures(yard, point),
            beaten=words.UNBEATEN_SHORT if point.unbeaten else words.BEATEN_SHORT,
        )
        marks.append(_Mark(name, told, label, note, point.unbeaten, a, b, box, anchor))
    unit = {"cost": yard.currency, "road": yard.units, "rest": words.DAYS}[axis]
    return {
        "width": width,
        "height": height,
        "left": left,
        "right": width - right,
        "top": top,
        "bottom": height - bottom,
        "x_ticks": [(x.at(n), write_number(n)) for n in _list_ticks(x, 3 if narrow else 6)],
        "y_ticks": [(y.at(n), write_number(n)) for n in _list_ticks(y, 5)],
        "axis": words.AXIS_TITLES[axis].format(unit=unit).strip(" ,"),
        "edge": _draw_steps(points, x, y, axis),
        "marks": marks,
    }


def _draw_steps(points: Sequence[Point], x: _Span, y: _Span, axis: str) -> str:
    """The edge of what can be had: along it more of one is less of the other."""
    held = sorted({(p.measure, p.worth) for p in points if p.unbeaten})
    if len(held) < 2:
        return ""
    way = f"M{x.at(held[0][0]):.1f},{y.at(held[0][1]):.1f}"
    for measure, worth in held[1:]:
        a, b = f"H{x.at(measure):.1f}", f"V{y.at(worth):.1f}"
        way += a + b if AXES[axis].less_is_better else b + a
    return way


def _list_step_boxes(points: Sequence[Point], x: _Span, y: _Span, axis: str) -> list[Box]:
    """The room that the stepped line takes, so that no name lies on it."""
    held = sorted({(p.measure, p.worth) for p in points if p.unbeaten})
    boxes = []
    for (m1, w1), (m2, w2) in zip(held, held[1:], strict=False):
        a, b, c, d = x.at(m1), y.at(w1), x.at(m2), y.at(w2)
        corner = (c, b) if AXES[axis].less_is_better else (a, d)
        for ax, ay, bx, by in ((a, b, *corner), (*corner, c, d)):
            boxes.append((min(ax, bx) - 4, min(ay, by) - 4, max(ax, bx) + 4, max(ay, by) + 4))
    return boxes


def _find_place(
    x: float,
    y: float,
    letters: float,
    lines: int,
    taken: Sequence[Box],
    width: float,
    edge: Box,
) -> tuple[Box, str]:
    """Where a label fits beside its point without lying on another; right of it if nowhere."""
    long, tall = letters * LABEL_CHARACTER_PX, lines * LABEL_PX + 2
    choices = []
    for shift in (0.0, -16.0, 16.0, -32.0, 32.0, -48.0, 48.0, -64.0, 64.0):
        choices.append(((x + 14, y - tall / 2 + shift), "start"))
        choices.append(((x - 14 - long, y - tall / 2 + shift), "end"))
    choices += [((x - long / 2, y - 14 - tall), "middle"), ((x - long / 2, y + 14), "middle")]

    def cover(box: Box) -> float:
        out = max(0.0, edge[0] - box[0]) + max(0.0, box[2] - (width - 2))
        return out * 40 + sum(
            max(0.0, min(box[2], t[2]) - max(box[0], t[0]))
            * max(0.0, min(box[3], t[3]) - max(box[1], t[1]))
            for t in taken
        )

    boxes = [((a, b, a + long, b + tall), anchor) for (a, b), anchor in choices]
    return min(boxes, key=lambda item: cover(item[0]))


def _span(numbers: Sequence[float], start: float, end: float) -> _Span:
    low, high = min(numbers), max(numbers)
    room = (high - low) * 0.09 or max(1.0, abs(high) * 0.1)
    return _Span(low - room, high + room, start, end)


def _list_ticks(span: _Span, most: int) -> list[float]:
    """Round numbers along an axis, at most so many."""
    rough = (span.high - span.low) / most
    power = 10 ** floor(log10(rough))
    step = next(f * power for f in (1, 2, 5, 10) if f * power >= rough)
    first = floor(span.low / step) + 1
    return [n * step for n in range(first, floor(span.high / step) + 1)]
