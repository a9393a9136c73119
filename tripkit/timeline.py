"""Two circuits over the same weeks as plain SVG text.

Each horse has one line. The left circuit stands on it, the right one hangs under it, so a
difference is seen as a break of symmetry. A day's kind is told by its form and pattern as well
as by its colour. The days that matter stand tall; flat, hack, turnout and rest are a low thread
along the line. Forms carry titles in words unless they are left out. All names are escaped.
The colours are presentation attributes, so that a style sheet may replace them by class.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass
from datetime import date
from html import escape
from itertools import groupby
from math import ceil

from tripkit.circuit import Circuit, Day, Leg, Outing
from tripkit.days import MONTHS, DaySpan, add_days, name_weekday
from tripkit.people import Absence
from tripkit.places import HOME
from tripkit.yard import Yard

DAY_PX = 11.6
ROW_PX = 62.0
HEAD_PX = 46.0
FOOT_PX = 22.0
NAMES_PX = 132.0
BAR_PX = 24.0
LABEL_CHARACTER_PX = 5.4

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
class RowPlace:
    """Where a horse's line lies in the picture: its top, its middle line and its height [px]."""

    horse: str
    top: float
    middle: float
    height: float = ROW_PX


def place_rows(yard: Yard) -> tuple[RowPlace, ...]:
    """Every horse of the yard has a row, in file order."""
    return tuple(
        RowPlace(h.horse, HEAD_PX + i * ROW_PX, HEAD_PX + (i + 0.5) * ROW_PX)
        for i, h in enumerate(yard.horses)
    )


def write_day(day: date) -> str:
    """A date is written with its day of the week, without a year.

    >>> write_day(date(2027, 4, 6))
    'Tue 6 Apr'
    """
    return f"{name_weekday(day)[:3]} {day.day} {MONTHS[day.month - 1][:3]}"


def write_span(first: date, last: date) -> str:
    r"""First and last day are written as shortly as they can be read.

    >>> print(ascii(write_span(date(2027, 4, 6), date(2027, 4, 11))))
    'Tue 6 \u2013 Sun 11 Apr'
    """
    if first == last:
        return write_day(first)
    if (first.year, first.month) == (last.year, last.month):
        return f"{name_weekday(first)[:3]} {first.day} \N{EN DASH} {write_day(last)}"
    return f"{write_day(first)} \N{EN DASH} {write_day(last)}"


def write_hours(hours: float) -> str:
    """Hours of driving are written with one decimal, where they have one.

    >>> write_hours(9.23), write_hours(9.0)
    ('9.2 h', '9 h')
    """
    return f"{round(hours, 1):g} h"


def tell_day(yard: Yard, circuit: Circuit, day: Day) -> str:
    """One day of one horse in words: what it does, where, and why."""
    told = _tell_kind(yard, circuit, day)
    if day.at not in (HOME, "road") and day.does not in ("show", "travel"):
        told += f", on the grounds of {_title_of(yard, day.at)}"
    if day.also:
        told += "; also " + ", ".join(day.also)
    return f"{write_day(day.date)}: {told}"


def tell_days(yard: Yard, circuit: Circuit, horse: str) -> tuple[str, ...]:
    """Every day of the season of one horse in words, in date order."""
    known = {day.date: day for day in circuit.days_by_horse.get(horse, ())}
    return tuple(
        tell_day(yard, circuit, known[day]) if day in known else f"{write_day(day)}: nothing known"
        for day in yard.season
    )


def find_no_jump_window(yard: Yard, outing: Outing) -> DaySpan | None:
    """The week without jumping that follows an outing, cut at the season's end."""
    days = yard.horse_by_name[outing.horse].limits.no_jump_days
    first = add_days(outing.last_day, 1)
    last = min(add_days(outing.last_day, days), yard.season.last)
    return DaySpan(first, last) if days and first <= last else None


def find_rested_outing(yard: Yard, circuit: Circuit, day: Day) -> Outing | None:
    """The outing in whose week without jumping a day lies, None outside any."""
    for outing in circuit.outings_by_horse.get(day.horse, ()):
        window = find_no_jump_window(yard, outing)
        if window is not None and day.date in window:
            return outing
    return None


def find_absence(yard: Yard, day: Day) -> Absence | None:
    """The absence of the horse in which a day lies, None outside any."""
    rows = (a for a in yard.absences if a.who == day.horse and day.date in a.days)
    return next(rows, None)


def draw_timeline(
    yard: Yard,
    left: Circuit,
    right: Circuit,
    *,
    day_px: float = DAY_PX,
    names: bool = True,
    titles: bool = True,
) -> str:
    """Left above, right below each horse's line, over the weeks of the season, as one SVG text.

    `day_px` is the width of a day [px]; without `names` the column of names is left out, for a
    page that sets them beside the picture (`place_rows` says where they belong). Without
    `titles` the days of a strip carry none, for a page that tells the day itself (`tell_days`).
    """
    gutter = NAMES_PX if names else 0.0
    rows = place_rows(yard)
    width = gutter + yard.season.days * day_px + 1
    height = HEAD_PX + len(rows) * ROW_PX + FOOT_PX
    scale = _Scale(yard.season, gutter, day_px)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="tk-timeline" role="img" '
        f'width="{width:g}" height="{height:g}" viewBox="0 0 {width:g} {height:g}" '
        f'aria-label="{_text(_summary_of(left, right))}">',
        _PATTERNS,
        *_draw_weeks(scale, height),
    ]
    for row in rows:
        parts += _draw_row(yard, scale, row, left, right, names, titles)
    parts += _draw_today(yard, scale, height)
    parts.append("</svg>")
    return "\n".join(parts)


def draw_swatch(kind: str) -> str:
    """The form of one kind of day alone, as a small SVG for a key.

    `kind` is a kind of day, or `grounds`, `window`, `aim`, `today`.
    """
    inside = {
        "window": _window(1, 25, -1, 34, ""),
        "grounds": _rect("tk-grounds", 1, 4, 34, BAR_PX - 3, "grounds", stroke="show"),
        "aim": _aim(18, 15, True, True, ""),
        "today": '<line class="tk-today" x1="18" x2="18" y1="1" y2="29" '
        f'stroke="{COLOURS["today"]}" stroke-width="1.5"/>',
        "vet check": _marks(18, 38, -1, ("vet check",)),
        "vaccination": _marks(18, 38, -1, ("vaccination",)),
    }.get(kind) or "".join(_form(kind, 6 + 8 * i, 25, -1, 8) for i in range(3))
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" class="tk-swatch" width="36" height="30" '
        f'viewBox="0 0 36 30" aria-hidden="true">{_PATTERNS}{inside}'
        f'<line class="tk-line" x1="0" x2="36" y1="25.5" y2="25.5" stroke="{COLOURS["ink"]}"/>'
        "</svg>"
    )


@dataclass(frozen=True)
class _Scale:
    """Days to pixels."""

    season: DaySpan
    gutter: float
    day_px: float

    def x(self, day: date) -> float:
        return self.gutter + (day - self.season.first).days * self.day_px

    def width(self, first: date, last: date) -> float:
        return ((last - first).days + 1) * self.day_px


_PATTERNS = (
    "<defs>"
    '<pattern id="tk-p-road" width="5" height="5" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><rect class="tk-road-ground" width="5" height="5" '
    f'fill="{COLOURS["paper"]}"/><rect class="tk-road-line" width="2.4" height="5" '
    f'fill="{COLOURS["road"]}"/></pattern>'
    "</defs>"
)


def _text(words: str) -> str:
    return escape(words, quote=True)


def _title_of(yard: Yard, stop: str) -> str:
    if stop == HOME:
        return HOME
    show = yard.show_by_name.get(stop)
    return stop if show is None else show.show


def _summary_of(left: Circuit, right: Circuit) -> str:
    return f"Season strips: {left.name} above the line, {right.name} below it"


def _outing_around(circuit: Circuit, day: Day) -> Outing | None:
    for outing in circuit.outings_by_horse.get(day.horse, ()):
        if outing.arrive <= day.date <= outing.leave and day.at in (outing.show, "road"):
            return outing
    return None


def _leg_of(circuit: Circuit, day: Day) -> Leg | None:
    for leg in circuit.legs:
        if day.horse in leg.horses and day.date in leg.days:
            return leg
    return None


def _tell_kind(yard: Yard, circuit: Circuit, day: Day) -> str:
    if day.does == "show":
        return _tell_show(yard, circuit, day)
    if day.does == "travel":
        leg = _leg_of(circuit, day)
        if leg is None:
            return "on the road"
        end = HOME if leg.end == HOME else f"to {_title_of(yard, leg.end)}"
        told = f"on the road {end} with {leg.vehicle}, {write_hours(leg.hours)}"
        if leg.days.days == 1:
            return told
        return f"{told}, day {(day.date - leg.days.first).days + 1} of {leg.days.days}"
    outings = circuit.outings_by_horse.get(day.horse, ())
    if day.does == "school":
        following = next((o for o in outings if o.first_day > day.date), None)
        return "school" if following is None else f"school before {_title_of(yard, following.show)}"
    rested = find_rested_outing(yard, circuit, day)
    if rested is not None:
        number = (day.date - rested.last_day).days
        limit = yard.horse_by_name[day.horse].limits.no_jump_days
        return (
            f"{day.does}, day {number} of {limit} without jumping "
            f"after {_title_of(yard, rested.show)}"
        )
    absence = find_absence(yard, day)
    if absence is not None:
        return f"{day.does}, away" + (f" ({absence.reason})" if absence.reason else "")
    return day.does


def _tell_show(yard: Yard, circuit: Circuit, day: Day) -> str:
    outing = _outing_around(circuit, day)
    if outing is None:
        return "show"
    classes = [
        name
        for name in outing.classes
        if (offered := yard.find_class(outing.show, name)) is None or offered.day == day.date
    ]
    jumped = ", ".join(classes) or "show"
    return f"{jumped} at {_title_of(yard, outing.show)} with {outing.rider}"


def _draw_weeks(scale: _Scale, height: float) -> Iterator[str]:
    season, bottom = scale.season, height - FOOT_PX
    for day in season:
        x = scale.x(day)
        first = day == season.first
        if day.weekday() == 0:
            yield (
                f'<line class="tk-week" x1="{x:g}" x2="{x:g}" y1="{HEAD_PX - 6:g}" '
                f'y2="{bottom + 4:g}" stroke="{COLOURS["rule"]}"/>'
            )
            for y in (HEAD_PX - 12, bottom + 16):
                yield (
                    f'<text class="tk-date" x="{x + 2:g}" y="{y:g}" '
                    f'fill="{COLOURS["muted"]}" font-size="11" '
                    f'font-family="sans-serif">{day.day}</text>'
                )
        if day.day == 1 or first:
            left = (add_days(day, 10).month == day.month) or day == season.first
            if left:
                yield (
                    f'<text class="tk-month" x="{x + 2:g}" y="15" fill="{COLOURS["ink"]}" '
                    f'font-size="14" font-family="serif" font-style="italic">'
                    f"{MONTHS[day.month - 1]}</text>"
                )
            if day.day == 1 and not first:
                yield (
                    f'<line class="tk-month-line" x1="{x:g}" x2="{x:g}" y1="{HEAD_PX - 6:g}" '
                    f'y2="{bottom:g}" stroke="{COLOURS["rule"]}" stroke-width="2"/>'
                )


def _draw_today(yard: Yard, scale: _Scale, height: float) -> Iterator[str]:
    today = yard.day_of_planning
    if today not in yard.season:
        return
    x = scale.x(today) + scale.day_px / 2
    yield (
        f"<g><title>{_text('Today, ' + write_day(today))}</title>"
        f'<line class="tk-today" x1="{x:g}" x2="{x:g}" y1="20" y2="{height - FOOT_PX:g}" '
        f'stroke="{COLOURS["today"]}" stroke-width="1.5"/>'
        f'<text class="tk-today-word" x="{x + 4:g}" y="26" fill="{COLOURS["today"]}" '
        f'font-size="10" font-family="sans-serif">today</text></g>'
    )


def _draw_row(
    yard: Yard,
    scale: _Scale,
    row: RowPlace,
    left: Circuit,
    right: Circuit,
    names: bool,
    titles: bool,
) -> Iterator[str]:
    season = scale.season
    x1, x2 = scale.x(season.first), scale.x(season.last) + scale.day_px
    yield f'<g class="tk-row"><title>{_text(row.horse)}</title>'
    if names:
        yield (
            f'<text class="tk-name" x="4" y="{row.middle + 5:g}" fill="{COLOURS["ink"]}" '
            f'font-size="15" font-family="serif">{_text(_shorten(row.horse, 17))}</text>'
        )
    yield from _draw_absences(yard, scale, row)
    for circuit, side in ((left, -1), (right, 1)):
        yield from _draw_side(yard, scale, row, circuit, side, titles)
    yield (
        f'<line class="tk-line" x1="{x1:g}" x2="{x2:g}" y1="{row.middle:g}" '
        f'y2="{row.middle:g}" stroke="{COLOURS["ink"]}"/>'
    )
    yield from _draw_aims(yard, scale, row, left, right)
    yield "</g>"


def _draw_absences(yard: Yard, scale: _Scale, row: RowPlace) -> Iterator[str]:
    for absence in yard.absences:
        if absence.who != row.horse or not absence.days.overlaps(yard.season):
            continue
        first = max(absence.days.first, yard.season.first)
        last = min(absence.days.last, yard.season.last)
        told = f"{row.horse} away, {write_span(first, last)}"
        told += f": {absence.reason}" if absence.reason else ""
        yield (
            f'<rect class="tk-away" x="{scale.x(first):g}" y="{row.middle - BAR_PX:g}" '
            f'width="{scale.width(first, last):g}" height="{2 * BAR_PX:g}" fill="none" '
            f'stroke="{COLOURS["muted"]}" stroke-dasharray="2 3">'
            f"<title>{_text(told)}</title></rect>"
        )


def _draw_side(
    yard: Yard, scale: _Scale, row: RowPlace, circuit: Circuit, side: int, titles: bool
) -> Iterator[str]:
    outings = circuit.outings_by_horse.get(row.horse, ())
    for outing in outings:
        yield from _draw_outing_ground(yard, scale, row, outing, side)
    days = [d for d in circuit.days_by_horse.get(row.horse, ()) if d.date in yard.season]
    yield from _draw_routine(scale, row, days, side)
    for _, run in groupby(days, key=lambda d: (d.does, d.at, d.also, d.date.toordinal() // 7)):
        yield from _draw_run(yard, scale, row, circuit, tuple(run), side, titles)
    for x, anchor, label in _place_labels(yard, scale, days, outings):
        y = row.middle + (-15.5 if side < 0 else 22.5)
        yield (
            f'<text class="tk-label" x="{x:.5g}" y="{y:g}" text-anchor="{anchor}" '
            f'fill="{COLOURS["ink"]}" font-size="10.5" font-family="sans-serif" '
            f'stroke="{COLOURS["window"]}" stroke-width="2.5" stroke-linejoin="round" '
            f'paint-order="stroke">{_text(label)}</text>'
        )


def _draw_routine(scale: _Scale, row: RowPlace, days: Sequence[Day], side: int) -> Iterator[str]:
    """All days between of one kind as one path; those that follow each other are one stroke."""
    for kind in ROUTINE:
        dates = [day.date.toordinal() for day in days if day.does == kind]
        runs = [
            [date.fromordinal(ordinal) for _, ordinal in run]
            for _, run in groupby(enumerate(dates), key=lambda item: item[1] - item[0])
        ]
        if runs:
            spans = [(scale.x(run[0]), scale.width(run[0], run[-1])) for run in runs]
            yield _thread(kind, spans, row.middle, side, scale.day_px)


def _draw_outing_ground(
    yard: Yard, scale: _Scale, row: RowPlace, outing: Outing, side: int
) -> Iterator[str]:
    window = find_no_jump_window(yard, outing)
    if window is not None:
        told = (
            f"{row.horse}: {window.days} days without jumping after "
            f"{_title_of(yard, outing.show)}, {write_span(window.first, window.last)}"
        )
        yield _window(
            scale.x(window.first),
            row.middle,
            side,
            scale.width(window.first, window.last),
            f"<title>{_text(told)}</title>",
        )
    first = max(outing.arrive, yard.season.first)
    last = min(outing.leave, yard.season.last)
    if first <= last:
        told = f"{row.horse} at {_title_of(yard, outing.show)}, {write_span(first, last)}"
        height = BAR_PX
        y = row.middle - height if side < 0 else row.middle
        yield _rect(
            "tk-grounds",
            scale.x(first),
            y,
            scale.width(first, last),
            height,
            "grounds",
            f"<title>{_text(told)}</title>",
        )


def _draw_run(
    yard: Yard,
    scale: _Scale,
    row: RowPlace,
    circuit: Circuit,
    run: Sequence[Day],
    side: int,
    titles: bool,
) -> Iterator[str]:
    first = run[0]
    drawn = ""
    if first.does == "school":
        drawn += "".join(
            _form(first.does, scale.x(day.date), row.middle, side, scale.day_px) for day in run
        )
    elif first.does not in ROUTINE:
        width = scale.width(first.date, run[-1].date)
        drawn += _form(first.does, scale.x(first.date), row.middle, side, width)
    for day in run:
        x = scale.x(day.date) + scale.day_px / 2
        drawn += _marks(x, row.middle, side, (first.does, *first.also))
    if titles and drawn:
        told = "\n".join(tell_day(yard, circuit, day) for day in run)
        title = f"<title>{_text(row.horse + chr(10) + told)}</title>"
        yield f'<g class="tk-run">{title}{drawn}</g>'
    elif drawn:
        yield drawn


def _place_labels(
    yard: Yard, scale: _Scale, days: Sequence[Day], outings: Sequence[Outing]
) -> Iterator[tuple[float, str, str]]:
    """A show's name goes where no tall form stands: after the outing, else before it.

    Yields x, the anchor of the text and the words, cut to the room there is; an outing without
    room for four characters has no label (its title tells the show).
    """
    tall = {day.date for day in days if day.does in ("show", "travel")}
    for outing in outings:
        tall.update(DaySpan(outing.arrive, max(outing.arrive, outing.leave)))
    taken = set(tall)
    for outing in outings:
        label = _title_of(yard, outing.show)
        after = _find_room(yard.season, tall, taken, add_days(outing.last_day, 1), 1)
        before = _find_room(yard.season, tall, taken, add_days(outing.first_day, -1), -1)
        wanted = ceil(len(label) * LABEL_CHARACTER_PX / scale.day_px)
        room, step = (after, 1) if len(after) >= min(wanted, len(before)) else (before, -1)
        most = int((len(room) * scale.day_px - 3) / LABEL_CHARACTER_PX)
        if most < 4:
            continue
        taken.update(room[:wanted])
        x = scale.x(room[0]) + (3 if step > 0 else scale.day_px - 3)
        yield x, "start" if step > 0 else "end", _shorten(label, most)


def _find_room(
    season: DaySpan, tall: Set[date], taken: Set[date], day: date, step: int
) -> list[date]:
    """The free days in a row next to an outing, the near one first."""
    while day in tall:
        day = add_days(day, step)
    room = []
    while day in season and day not in taken:
        room.append(day)
        day = add_days(day, step)
    return room


def _draw_aims(
    yard: Yard, scale: _Scale, row: RowPlace, left: Circuit, right: Circuit
) -> Iterator[str]:
    for aim in yard.aims:
        show = yard.show_by_name[aim.show]
        offered = show.find_class(aim.class_name)
        day = show.days.first if offered is None else offered.day
        if aim.horse != row.horse or day not in yard.season:
            continue
        met = [aim.title in circuit.totals.aims_met for circuit in (left, right)]
        who = {
            (True, True): "met by both",
            (True, False): f"met by {left.name} only",
            (False, True): f"met by {right.name} only",
            (False, False): "not met",
        }[met[0], met[1]]
        told = f"<title>{_text(f'Aim, {write_day(day)}: {aim.title}; {who}')}</title>"
        x = scale.x(day) + scale.day_px / 2
        yield _aim(x, row.middle, met[0], met[1], told)


def _shorten(words: str, most: int) -> str:
    return words if len(words) <= most else words[: most - 1].rstrip() + "…"


def _rect(
    name: str,
    x: float,
    y: float,
    width: float,
    height: float,
    colour: str,
    inside: str = "",
    stroke: str = "",
) -> str:
    edge = f' stroke="{COLOURS[stroke]}" stroke-width="0.8"' if stroke else ""
    return (
        f'<rect class="{name}" x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" '
        f'fill="{COLOURS[colour]}"{edge}>{inside}</rect>'
    )


def _window(x: float, middle: float, side: int, width: float, inside: str) -> str:
    """The space that the week without jumping takes: a pale field with a dotted brace."""
    y = middle - BAR_PX if side < 0 else middle
    far = middle + side * BAR_PX
    return (
        f'<g class="tk-window">{inside}'
        f"{_rect('tk-window-field', x, y, width, BAR_PX, 'window')}"
        f'<path class="tk-window-brace" d="M{x:g},{far:g}H{x + width:g}V{middle:g}" fill="none" '
        f'stroke="{COLOURS["muted"]}" stroke-width="0.9" stroke-dasharray="1.5 2.5"/></g>'
    )


def _form(kind: str, x: float, middle: float, side: int, width: float) -> str:
    """The form of a kind of day, standing on the line (side -1) or hanging from it (side 1)."""
    height = HEIGHTS_PX[kind]
    y = middle - height if side < 0 else middle
    if kind == "show":
        return _rect("tk-show", x + 0.5, y, width - 1, height, "show")
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
    return _thread(kind if kind in ROUTINE else "turnout", ((x, width),), middle, side, width)


def _thread(
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


def _marks(x: float, middle: float, side: int, kinds: Sequence[str]) -> str:
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


def _aim(x: float, middle: float, above: bool, below: bool, inside: str) -> str:
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
