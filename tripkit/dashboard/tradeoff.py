"""All candidate circuits as one picture: worth against cost, road or rest, and a table of them.

A circuit is unbeaten when no other has as much worth and as good a measure, one of them better.
Unbeaten ones are told by form and by the stepped line that joins them, not by colour alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import floor, log10

from markupsafe import Markup, escape

from tripkit.dashboard.markup import render, write_note
from tripkit.pictures.timeline_forms import shorten
from tripkit.words import page as words
from tripkit.words.figures import write_distance, write_number
from tripkit.words.formats import write_money
from tripkit.yard.circuit import Circuit
from tripkit.yard.places import convert_km
from tripkit.yard.yard import Yard

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


def _find_cost(circuit: Circuit, yard: Yard) -> float | None:
    return circuit.totals.cost_cents / 100


def _find_road(circuit: Circuit, yard: Yard) -> float | None:
    return convert_km(circuit.totals.road_km, yard.units)


def _find_rest(circuit: Circuit, yard: Yard) -> float | None:
    return None if circuit.totals.spare_days is None else float(circuit.totals.spare_days)


AXES = {
    "cost": Axis(_find_cost, lambda c, y: write_money(c.totals.cost_cents, y.currency), True),
    "road": Axis(_find_road, lambda c, y: write_distance(c.totals.road_km, y.units), True),
    "rest": Axis(_find_rest, lambda c, y: write_number(c.totals.spare_days), False),
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
    wide, narrow = (
        Markup(_draw(yard, points, left, right, axis, picked, *size))
        for size in ((1000.0, 470.0), (360.0, 400.0))
    )
    laid = ((left, words.ABOVE), (right, words.BELOW))
    unbeaten = {point.circuit.name for point in points if point.unbeaten}
    return render(
        "tradeoff",
        left=left,
        right=right,
        axis=axis,
        picked=picked,
        told="".join(_tell_point(yard, p) for p in points if p.circuit.name == picked),
        wide=wide,
        narrow=narrow,
        unbeaten_sign=_draw_key(True),
        beaten_sign=_draw_key(False),
        heads=words.CIRCUIT_HEADS,
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


def _draw(
    yard: Yard,
    points: Sequence[Point],
    left: str,
    right: str,
    axis: str,
    picked: str,
    width: float,
    height: float,
) -> str:
    narrow = width < 500
    edge = (46.0 if narrow else 62.0, 18.0, 26.0, 50.0)
    x = _span([p.measure for p in points], edge[0], width - edge[1] - 8)
    y = _span([p.worth for p in points], height - edge[3], edge[2])
    ticks = 3 if narrow else 6
    parts = []
    for number in _list_ticks(x, ticks):
        at = x.at(number)
        parts.append(
            f'<line class="tk-grid" x1="{at:.1f}" x2="{at:.1f}" y1="{edge[2]:g}" '
            f'y2="{height - edge[3]:g}"/><text class="tk-tick" x="{at:.1f}" '
            f'y="{height - edge[3] + 18:g}" text-anchor="middle">{write_number(number)}</text>'
        )
    for number in _list_ticks(y, 5):
        at = y.at(number)
        parts.append(
            f'<line class="tk-grid" x1="{edge[0]:g}" x2="{width - edge[1]:g}" y1="{at:.1f}" '
            f'y2="{at:.1f}"/><text class="tk-tick" x="{edge[0] - 8:g}" y="{at + 4:.1f}" '
            f'text-anchor="end">{write_number(number)}</text>'
        )
    unit = {"cost": yard.currency, "road": yard.units, "rest": words.DAYS}[axis]
    said = words.AXIS_TITLES[axis].format(unit=unit).strip(" ,")
    parts.append(
        f'<text class="tk-axis" x="{width - edge[1]:g}" y="{height - 8:g}" text-anchor="end">'
        f'{escape(said)}</text><text class="tk-axis" x="4" y="15">'
        f"{escape(words.AXIS_WORTH)}</text>"
    )
    parts.append(_draw_steps(points, x, y, axis))
    spots = [(x.at(p.measure), y.at(p.worth)) for p in points]
    taken = [(a - 11, b - 11, a + 11, b + 11) for a, b in spots]
    taken += [*_list_step_boxes(points, x, y, axis), (0.0, height - edge[3], width, height)]
    for point, (a, b) in zip(points, spots, strict=True):
        side = [
            s for n, s in ((left, words.ABOVE), (right, words.BELOW)) if n == point.circuit.name
        ]
        label = shorten(point.circuit.name, 16 if narrow else 28)
        note = ", ".join(side)
        box, anchor = _find_place(
            a, b, max(len(label), len(note) * 0.85), 2 if note else 1, taken, width, edge
        )
        taken.append(box)
        parts.append(_draw_point(point, a, b, box, anchor, label, note, picked, yard))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="tk-tradeoff" role="group" '
        f'viewBox="0 0 {width:g} {height:g}" aria-label="{escape(words.TRADEOFF_LABEL)}">'
        f"{''.join(parts)}</svg>"
    )


def _draw_point(
    point: Point,
    x: float,
    y: float,
    box: tuple[float, float, float, float],
    anchor: str,
    label: str,
    note: str,
    picked: str,
    yard: Yard,
) -> str:
    name = point.circuit.name
    # What is read aloud begins with what is seen.
    seen = f"{label} {note}".strip() + (f" ({name})" if label != name else "")
    told = words.POINT.format(
        name=seen,
        **_list_figures(yard, point),
        beaten=words.UNBEATEN_SHORT if point.unbeaten else words.BEATEN_SHORT,
    )
    text_x = box[0] if anchor == "start" else box[2] if anchor == "end" else (box[0] + box[2]) / 2
    lines = _draw_words("name", text_x, box[1] + 12, anchor, label)
    if note:
        lines += " " + _draw_words("note", text_x, box[1] + 27, anchor, note)
    here = str(name == picked).lower()
    return (
        f'<g class="tk-point" tabindex="0" role="button" aria-pressed="{here}" data-do="pick" '
        f'data-name="{escape(name)}" data-key="point-{escape(name)}" '
        f'aria-label="{escape(told)}"><title>{escape(told)}</title>'
        f'<rect class="tk-point-hold" x="{x - 16:.1f}" y="{y - 16:.1f}" width="32" height="32"/>'
        f"{_draw_mark(x, y, point.unbeaten)}{lines}</g>"
    )


def _draw_words(kind: str, x: float, y: float, anchor: str, said: str) -> str:
    return (
        f'<text class="tk-point-{kind}" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">'
        f"{escape(said)}</text>"
    )


def _draw_mark(x: float, y: float, unbeaten: bool) -> str:
    if unbeaten:
        return (
            f'<circle class="tk-point-ring" cx="{x:.1f}" cy="{y:.1f}" r="9"/>'
            f'<circle class="tk-point-dot" cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>'
        )
    return (
        f'<path class="tk-point-cross" d="M{x - 5:.1f},{y - 5:.1f}L{x + 5:.1f},{y + 5:.1f}'
        f'M{x - 5:.1f},{y + 5:.1f}L{x + 5:.1f},{y - 5:.1f}"/>'
    )


def _draw_key(unbeaten: bool) -> Markup:
    return Markup(
        '<svg xmlns="http://www.w3.org/2000/svg" class="tk-swatch" width="30" height="24" '
        f'viewBox="0 0 30 24" aria-hidden="true">{_draw_mark(15, 12, unbeaten)}</svg>'
    )


def _draw_steps(points: Sequence[Point], x: _Span, y: _Span, axis: str) -> str:
    """The edge of what can be had: along it more of one is less of the other."""
    held = sorted({(p.measure, p.worth) for p in points if p.unbeaten})
    if len(held) < 2:
        return ""
    way = f"M{x.at(held[0][0]):.1f},{y.at(held[0][1]):.1f}"
    for measure, worth in held[1:]:
        a, b = f"H{x.at(measure):.1f}", f"V{y.at(worth):.1f}"
        way += a + b if AXES[axis].less_is_better else b + a
    return f'<path class="tk-edge" d="{way}"/>'


def _list_step_boxes(
    points: Sequence[Point], x: _Span, y: _Span, axis: str
) -> list[tuple[float, float, float, float]]:
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
    taken: Sequence[tuple[float, float, float, float]],
    width: float,
    edge: tuple[float, float, float, float],
) -> tuple[tuple[float, float, float, float], str]:
    """Where a label fits beside its point without lying on another; right of it if nowhere."""
    long, tall = letters * LABEL_CHARACTER_PX, lines * LABEL_PX + 2
    choices = []
    for shift in (0.0, -16.0, 16.0, -32.0, 32.0, -48.0, 48.0, -64.0, 64.0):
        choices.append(((x + 14, y - tall / 2 + shift), "start"))
        choices.append(((x - 14 - long, y - tall / 2 + shift), "end"))
    choices += [((x - long / 2, y - 14 - tall), "middle"), ((x - long / 2, y + 14), "middle")]

    def cover(box: tuple[float, float, float, float]) -> float:
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
