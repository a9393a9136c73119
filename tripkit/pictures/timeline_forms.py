"""The forms of the season strips: one for each kind of day, told without colour.

Each function gives SVG text. Forms stand on a horse's line (side -1) or hang from it (side 1).
The colours are presentation attributes, so that a style sheet may replace them by class.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from tripkit.yard.days import DaySpan

BAR_PX = 24.0
BASE_PX = 6.5

HEIGHTS_PX = {
    "show": BAR_PX,
    "travel": 18.0,
    "school": 12.5,
    "flat": 3.0,
    "hack": 3.0,
    "turnout": 1.0,
    "day off": 0.0,
    "rest": 0.0,
    "vet check": 2.5,
    "vaccination": 2.5,
}

# The days between: they are many, so that each kind is one path a strip and none stands out.
ROUTINE = ("flat", "hack", "turnout", "day off", "rest")

COLOURS = {
    "ink": "#2a2620",
    "muted": "#6d6354",
    "rule": "#d9cfbb",
    "paper": "#fbf8f0",
    "show": "#7c2d2b",
    "road": "#3c4654",
    "school": "#9a6412",
    "flat": "#a3ad94",
    "hack": "#a3ad94",
    "turnout": "#bcc2ae",
    "grounds": "#ead9c8",
    "window": "#f0e4d6",
    "today": "#1f4e6b",
    "vet": "#1f4e6b",
    "aim": "#9a6412",
}


@dataclass(frozen=True)
class Scale:
    """Days to pixels: where a day begins [px], and how wide some days are [px]."""

    season: DaySpan
    gutter: float
    day_px: float

    def x(self, day: date) -> float:
        """The left edge of a day [px]."""
        return self.gutter + (day - self.season.first).days * self.day_px

    def width(self, first: date, last: date) -> float:
        """The width of the days from first to last [px]."""
        return ((last - first).days + 1) * self.day_px


PATTERNS = (
    "<defs>"
    '<pattern id="tk-p-road" width="5" height="5" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><rect class="tk-road-ground" width="5" height="5" '
    f'fill="{COLOURS["paper"]}"/><rect class="tk-road-line" width="2.4" height="5" '
    f'fill="{COLOURS["road"]}"/></pattern>'
    "</defs>"
)


def draw_swatch(kind: str) -> str:
    """The form of one kind of day alone, as a small SVG for a key.

    `kind` is a kind of day, or `grounds`, `window`, `base`, `aim`, `today`.
    """
    inside = {
        "window": draw_window(1, 25, -1, 34, ""),
        "grounds": draw_rect("tk-grounds", 1, 4, 34, BAR_PX - 3, "grounds", stroke="show"),
        "base": draw_base(1, 25, -1, 34, ""),
        "closing": draw_closing(18, 15, -1, ""),
        "aim": draw_aim(18, 15, True, True, ""),
        "today": '<line class="tk-today" x1="18" x2="18" y1="1" y2="29" '
        f'stroke="{COLOURS["today"]}" stroke-width="1.5"/>',
        "vet check": draw_marks(18, 38, -1, ("vet check",)),
        "vaccination": draw_marks(18, 38, -1, ("vaccination",)),
    }.get(kind) or "".join(draw_form(kind, 6 + 8 * i, 25, -1, 8) for i in range(3))
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" class="tk-swatch" width="36" height="30" '
        f'viewBox="0 0 36 30" aria-hidden="true">{PATTERNS}{inside}'
        f'<line class="tk-line" x1="0" x2="36" y1="25.5" y2="25.5" stroke="{COLOURS["ink"]}"/>'
        "</svg>"
    )


def shorten(words: str, most: int) -> str:
    """Words that are longer than `most` characters end in an ellipsis."""
    return words if len(words) <= most else words[: most - 1].rstrip() + "…"


def draw_rect(
    name: str,
    x: float,
    y: float,
    width: float,
    height: float,
    colour: str,
    inside: str = "",
    stroke: str = "",
) -> str:
    """A box of a class and a colour, with ready markup inside."""
    edge = f' stroke="{COLOURS[stroke]}" stroke-width="0.8"' if stroke else ""
    return (
        f'<rect class="{name}" x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" '
        f'fill="{COLOURS[colour]}"{edge}>{inside}</rect>'
    )


def draw_window(x: float, middle: float, side: int, width: float, inside: str) -> str:
    """The space that the week without jumping takes: a pale field with a dotted brace."""
    y = middle - BAR_PX if side < 0 else middle
    far = middle + side * BAR_PX
    return (
        f'<g class="tk-window">{inside}'
        f"{draw_rect('tk-window-field', x, y, width, BAR_PX, 'window')}"
        f'<path class="tk-window-brace" d="M{x:g},{far:g}H{x + width:g}V{middle:g}" fill="none" '
        f'stroke="{COLOURS["muted"]}" stroke-width="0.9" stroke-dasharray="1.5 2.5"/></g>'
    )


def draw_base(x: float, middle: float, side: int, width: float, inside: str) -> str:
    """The nights at a base: a low roof over the thread, on a post at either end."""
    eaves = middle + side * BASE_PX
    return (
        f'<path class="tk-base" d="M{x + 1:g},{middle:g}V{eaves:g}H{x + width - 1:g}V{middle:g}" '
        f'fill="none" stroke="{COLOURS["muted"]}" stroke-width="1.6">{inside}</path>'
    )


def draw_form(kind: str, x: float, middle: float, side: int, width: float) -> str:
    """The form of a kind of day, standing on the line (side -1) or hanging from it (side 1)."""
    height = HEIGHTS_PX[kind]
    y = middle - height if side < 0 else middle
    if kind == "show":
        return draw_rect("tk-show", x + 0.5, y, width - 1, height, "show")
    if kind == "travel":
        return (
            f'<rect class="tk-travel" x="{x + 0.5:g}" y="{y:g}" width="{width - 1:g}" '
            f'height="{height:g}" fill="url(#tk-p-road)" stroke="{COLOURS["road"]}" '
            f'stroke-width="0.8"/>'
        )
    if kind == "school":
        near, far = x + 2, x + width - 2
        end = middle + side * height
        rails = "".join(f"M{near:g},{middle + side * h:g}H{far:g}" for h in (4.0, 8.0, 12.0))
        return (
            f'<path class="tk-school" fill="none" stroke="{COLOURS["school"]}" '
            f'stroke-width="1.8" d="M{near:g},{middle:g}V{end:g}M{far:g},{middle:g}V{end:g}'
            f'{rails}"/>'
        )
    # A day of the vet's has its mark above; on the line it is as quiet as turnout.
    return draw_thread(kind if kind in ROUTINE else "turnout", ((x, width),), middle, side, width)


def draw_thread(
    kind: str,
    spans: Sequence[tuple[float, float]],
    middle: float,
    side: int,
    day_px: float,
) -> str:
    """The low thread of one kind of routine day along the line, over spans of (x, width)."""
    if kind in ("day off", "rest"):
        points = "".join(
            f"M{x + day_px * (i + 0.5):.5g},{middle + side * 3.5:g}h0"
            for x, width in spans
            for i in range(round(width / day_px))
        )
        return (
            f'<path class="tk-off" d="{points}" stroke="{COLOURS["muted"]}" '
            f'stroke-width="1.8" stroke-linecap="round"/>'
        )
    width_px = {"flat": 3.0, "hack": 3.0, "turnout": 1.0}[kind]
    dashes = ' stroke-dasharray="2.4 1.6"' if kind == "hack" else ""
    y = middle + side * (1 + HEIGHTS_PX[kind] / 2)
    lines = "".join(f"M{x + 1:.5g},{y:g}h{width - 2:.5g}" for x, width in spans)
    return (
        f'<path class="tk-{kind}" d="{lines}" fill="none" stroke="{COLOURS[kind]}" '
        f'stroke-width="{width_px:g}"{dashes}/>'
    )


def draw_marks(x: float, middle: float, side: int, kinds: Sequence[str]) -> str:
    """The vet's cross and the vaccination's ring, out at the edge of the strip."""
    y = middle + side * (BAR_PX + 2.5)
    drawn = ""
    if "vet check" in kinds:
        drawn += (
            f'<path class="tk-vet" d="M{x - 3.5:g},{y:g}h7M{x:g},{y - 3.5:g}v7" '
            f'stroke="{COLOURS["vet"]}" stroke-width="2.2" fill="none"/>'
        )
        x += 9
    if "vaccination" in kinds:
        drawn += (
            f'<circle class="tk-vaccination" cx="{x:g}" cy="{y:g}" r="2.8" fill="none" '
            f'stroke="{COLOURS["vet"]}" stroke-width="1.8"/>'
        )
    return drawn


def draw_aim(x: float, middle: float, above: bool, below: bool, inside: str) -> str:
    """A lozenge on the line; each half is filled where that side meets the aim."""
    drawn = ""
    for met, side in ((above, -1), (below, 1)):
        fill = COLOURS["aim"] if met else COLOURS["paper"]
        name = "tk-aim-met" if met else "tk-aim-open"
        drawn += (
            f'<path class="{name}" d="M{x - 6.5:g},{middle:g}L{x:g},{middle + side * 8:g}'
            f'L{x + 6.5:g},{middle:g}Z" fill="{fill}" stroke="{COLOURS["aim"]}" '
            f'stroke-width="1.3"/>'
        )
    return f'<g class="tk-aim">{inside}{drawn}</g>'


def draw_closing(x: float, y: float, side: int, inside: str) -> str:
    """A closing date: a small open envelope flap that points at the strips."""
    tip = y - side * 5.5
    return (
        f'<g class="tk-closing">{inside}<path class="tk-closing-flap" '
        f'd="M{x - 4.5:g},{y:g}H{x + 4.5:g}L{x:g},{tip:g}Z" fill="{COLOURS["paper"]}" '
        f'stroke="{COLOURS["today"]}" stroke-width="1.3"/></g>'
    )
