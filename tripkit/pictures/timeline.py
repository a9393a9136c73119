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
from itertools import groupby
from math import ceil

from markupsafe import escape

from tripkit.pictures.timeline_forms import (
    BAR_PX,
    COLOURS,
    PATTERNS,
    ROUTINE,
    Scale,
    draw_aim,
    draw_base,
    draw_closing,
    draw_form,
    draw_marks,
    draw_rect,
    draw_thread,
    draw_window,
    shorten,
)
from tripkit.season.bases import list_base_stays
from tripkit.words.days import find_closings_by_day, find_home_reason, find_no_jump_window, tell_day
from tripkit.words.formats import write_pattern
from tripkit.words.telling import choose_teller
from tripkit.yard.circuit import Circuit, Day, Outing
from tripkit.yard.days import DaySpan, add_days
from tripkit.yard.facts import Fact, state
from tripkit.yard.yard import Yard

DAY_PX = 11.6
ROW_PX = 62.0
HEAD_PX = 52.0
FOOT_PX = 28.0
NAMES_PX = 132.0
LABEL_CHARACTER_PX = 5.4
# A letter of a wide face: at the picture's edge what is longer would be cut off.
EDGE_CHARACTER_PX = 6.6
MOST_LETTERS = 28


@dataclass(frozen=True)
class RowPlace:
    """Where a horse's line lies in the picture: its top, its middle line and its height [px]."""

    horse: str
    top: float
    middle: float
    height: float = ROW_PX


def place_rows(yard: Yard, horses: Sequence[str] = ()) -> tuple[RowPlace, ...]:
    """Every horse of the yard has a row, in file order; with `horses` only those named."""
    shown = [h.horse for h in yard.horses if not horses or h.horse in horses]
    return tuple(
        RowPlace(name, HEAD_PX + i * ROW_PX, HEAD_PX + (i + 0.5) * ROW_PX)
        for i, name in enumerate(shown)
    )


def draw_timeline(
    yard: Yard,
    left: Circuit,
    right: Circuit,
    *,
    day_px: float = DAY_PX,
    names: bool = True,
    titles: bool = True,
    horses: Sequence[str] = (),
) -> str:
    """Left above, right below each horse's line, over the weeks of the season, as one SVG text.

    `day_px` is the width of a day [px]; without `names` the column of names is left out, for a
    page that sets them beside the picture (`place_rows` says where they belong). Without
    `titles` the days of a strip carry none, for a page that tells the day itself (`tell_days`).
    """
    rows = place_rows(yard, horses)
    gutter = NAMES_PX if names else 0.0
    halves = [
        draw_half(yard, circuit, side, rows, gutter=gutter, day_px=day_px, titles=titles)
        for circuit, side in ((left, -1), (right, 1))
    ]
    return join_halves(yard, (left, right), halves, rows, gutter=gutter, day_px=day_px)


def draw_half(
    yard: Yard,
    circuit: Circuit,
    side: int,
    rows: Sequence[RowPlace],
    *,
    gutter: float = 0.0,
    day_px: float = DAY_PX,
    titles: bool = False,
) -> tuple[str, ...]:
    """One circuit's side of every row (-1 above, 1 below), to be kept while it is on the desk."""
    scale = Scale(yard.season, gutter, day_px)
    return tuple("\n".join(_draw_side(yard, scale, r, circuit, side, titles)) for r in rows)


def join_halves(
    yard: Yard,
    pair: Sequence[Circuit],
    halves: Sequence[Sequence[str]],
    rows: Sequence[RowPlace],
    *,
    gutter: float = 0.0,
    day_px: float = DAY_PX,
) -> str:
    """Two halves that were drawn before become one picture over the weeks of the season."""
    left, right = pair
    width = gutter + yard.season.days * day_px + 1
    height = HEAD_PX + len(rows) * ROW_PX + FOOT_PX
    scale = Scale(yard.season, gutter, day_px)
    label = state("drawings.strips", left=left.name, right=right.name)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="tk-timeline" role="img" '
        f'width="{width:g}" height="{height:g}" viewBox="0 0 {width:g} {height:g}" '
        f'aria-label="{escape(str(label))}">',
        PATTERNS,
        *_draw_weeks(scale, height),
    ]
    for row, above, below in zip(rows, *halves, strict=True):
        parts += _draw_row(yard, scale, row, (left, right), (above, below))
    parts += _draw_closings(yard, scale, left, HEAD_PX - 4, -1)
    parts += _draw_closings(yard, scale, right, height - FOOT_PX + 4, 1)
    parts += _draw_today(yard, scale, height)
    parts.append("</svg>")
    return "\n".join(parts)


def _write_title(yard: Yard, fact: Fact) -> str:
    return f"<title>{escape(choose_teller(yard).tell(fact))}</title>"


def _draw_weeks(scale: Scale, height: float) -> Iterator[str]:
    season, bottom = scale.season, height - FOOT_PX
    for day in season:
        x = scale.x(day)
        first = day == season.first
        if day.weekday() == 0:
            yield (
                f'<line class="tk-week" x1="{x:g}" x2="{x:g}" y1="{HEAD_PX - 6:g}" '
                f'y2="{bottom + 4:g}" stroke="{COLOURS["rule"]}"/>'
            )
            for y in (HEAD_PX - 17, bottom + 22):
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
                    f"{write_pattern(day, 'MMMM')}</text>"
                )
            if day.day == 1 and not first:
                yield (
                    f'<line class="tk-month-line" x1="{x:g}" x2="{x:g}" y1="{HEAD_PX - 6:g}" '
                    f'y2="{bottom:g}" stroke="{COLOURS["rule"]}" stroke-width="2"/>'
                )


def _draw_today(yard: Yard, scale: Scale, height: float) -> Iterator[str]:
    today = yard.day_of_planning
    if today not in yard.season:
        return
    x = scale.x(today) + scale.day_px / 2
    yield (
        f"<g>{_write_title(yard, state('drawings.today', day=today))}"
        f'<line class="tk-today" x1="{x:g}" x2="{x:g}" y1="20" y2="{height - FOOT_PX:g}" '
        f'stroke="{COLOURS["today"]}" stroke-width="1.5"/>'
        f'<text class="tk-today-word" x="{x + 4:g}" y="24" fill="{COLOURS["today"]}" '
        f'font-size="10" font-family="sans-serif">today</text></g>'
    )


def _draw_closings(
    yard: Yard, scale: Scale, circuit: Circuit, y: float, side: int
) -> Iterator[str]:
    for day, closings in find_closings_by_day(yard, circuit).items():
        if day in yard.season:
            shows = tuple(closing.show for closing in closings)
            title = _write_title(yard, state("drawings.closing", day=day, shows=shows))
            yield draw_closing(scale.x(day) + scale.day_px / 2, y, side, title)


def _draw_row(
    yard: Yard,
    scale: Scale,
    row: RowPlace,
    pair: Sequence[Circuit],
    halves: Sequence[str],
) -> Iterator[str]:
    season = scale.season
    x1, x2 = scale.x(season.first), scale.x(season.last) + scale.day_px
    yield f'<g class="tk-row"><title>{escape(row.horse)}</title>'
    if scale.gutter:
        yield (
            f'<text class="tk-name" x="4" y="{row.middle + 5:g}" fill="{COLOURS["ink"]}" '
            f'font-size="15" font-family="serif">{escape(shorten(row.horse, 17))}</text>'
        )
    yield from _draw_absences(yard, scale, row)
    yield from halves
    yield (
        f'<line class="tk-line" x1="{x1:g}" x2="{x2:g}" y1="{row.middle:g}" '
        f'y2="{row.middle:g}" stroke="{COLOURS["ink"]}"/>'
    )
    yield from _draw_aims(yard, scale, row, *pair)
    yield "</g>"


def _draw_absences(yard: Yard, scale: Scale, row: RowPlace) -> Iterator[str]:
    for absence in yard.absences:
        if absence.who != row.horse or not absence.days.overlaps(yard.season):
            continue
        first = max(absence.days.first, yard.season.first)
        last = min(absence.days.last, yard.season.last)
        why = state("drawings.because", reason=absence.reason) if absence.reason else None
        told = state("drawings.away", horse=row.horse, days=DaySpan(first, last), why=why)
        yield (
            f'<rect class="tk-away" x="{scale.x(first):g}" y="{row.middle - BAR_PX:g}" '
            f'width="{scale.width(first, last):g}" height="{2 * BAR_PX:g}" fill="none" '
            f'stroke="{COLOURS["muted"]}" stroke-dasharray="2 3">'
            f"{_write_title(yard, told)}</rect>"
        )


def _draw_side(
    yard: Yard, scale: Scale, row: RowPlace, circuit: Circuit, side: int, titles: bool
) -> Iterator[str]:
    outings = circuit.outings_by_horse.get(row.horse, ())
    for outing in outings:
        yield from _draw_outing_ground(yard, scale, row, outing, side)
    yield from _draw_bases(yard, scale, row, circuit, side)
    days = [d for d in circuit.days_by_horse.get(row.horse, ()) if d.date in yard.season]
    yield from _draw_routine(scale, row, days, side)
    for _, run in groupby(days, key=lambda d: (d.does, d.at, d.also, d.date.toordinal() // 7)):
        yield from _draw_run(yard, scale, row, circuit, tuple(run), side, titles)
    reason = find_home_reason(yard, circuit, row.horse) if circuit.exists else ""
    if reason:
        # Clear of the schools, which a horse at home has all season.
        y = row.middle + (-16 if side < 0 else 25)
        yield (
            f'<text class="tk-home" x="{scale.x(yard.season.first) + 6:g}" y="{y:g}" '
            f'fill="{COLOURS["muted"]}" font-size="12" font-style="italic" '
            f'font-family="serif">{escape(reason)}</text>'
        )
    for x, anchor, label in _place_labels(yard, scale, days, outings):
        y = row.middle + (-15.5 if side < 0 else 22.5)
        yield (
            f'<text class="tk-label" x="{x:.5g}" y="{y:g}" text-anchor="{anchor}" '
            f'fill="{COLOURS["ink"]}" font-size="10.5" font-family="sans-serif" '
            f'stroke="{COLOURS["window"]}" stroke-width="2.5" stroke-linejoin="round" '
            f'paint-order="stroke">{escape(label)}</text>'
        )


def _draw_routine(scale: Scale, row: RowPlace, days: Sequence[Day], side: int) -> Iterator[str]:
    """All days between of one kind as one path; those that follow each other are one stroke."""
    for kind in ROUTINE:
        dates = [day.date.toordinal() for day in days if day.does == kind]
        runs = [
            [date.fromordinal(ordinal) for _, ordinal in run]
            for _, run in groupby(enumerate(dates), key=lambda item: item[1] - item[0])
        ]
        if runs:
            spans = [(scale.x(run[0]), scale.width(run[0], run[-1])) for run in runs]
            yield draw_thread(kind, spans, row.middle, side, scale.day_px)


def _draw_outing_ground(
    yard: Yard, scale: Scale, row: RowPlace, outing: Outing, side: int
) -> Iterator[str]:
    window = find_no_jump_window(yard, outing)
    if window is not None:
        told = state(
            "drawings.no-jumping",
            horse=row.horse,
            count=window.days,
            show=outing.show,
            window=window,
        )
        yield draw_window(
            scale.x(window.first),
            row.middle,
            side,
            scale.width(window.first, window.last),
            _write_title(yard, told),
        )
    first = max(outing.arrive, yard.season.first)
    last = min(outing.leave, yard.season.last)
    if first <= last:
        days = DaySpan(first, last)
        told = state("drawings.outing", horse=row.horse, show=outing.show, days=days)
        height = BAR_PX
        y = row.middle - height if side < 0 else row.middle
        yield draw_rect(
            "tk-grounds",
            scale.x(first),
            y,
            scale.width(first, last),
            height,
            "grounds",
            _write_title(yard, told),
        )


def _draw_bases(
    yard: Yard, scale: Scale, row: RowPlace, circuit: Circuit, side: int
) -> Iterator[str]:
    for base, nights in list_base_stays(yard, circuit, row.horse):
        if nights.overlaps(yard.season):
            first = max(nights.first, yard.season.first)
            last = min(nights.last, yard.season.last)
            told = state("drawings.base", horse=row.horse, base=base.base, nights=nights)
            title = _write_title(yard, told)
            width = scale.width(first, last)
            yield draw_base(scale.x(first), row.middle, side, width, title)


def _draw_run(
    yard: Yard,
    scale: Scale,
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
            draw_form(first.does, scale.x(day.date), row.middle, side, scale.day_px) for day in run
        )
    elif first.does not in ROUTINE:
        width = scale.width(first.date, run[-1].date)
        drawn += draw_form(first.does, scale.x(first.date), row.middle, side, width)
    if first.does == "show" and "travel" in first.also:
        drawn += "".join(_draw_drives(scale, row, circuit, day, side) for day in run)
    for day in run:
        x = scale.x(day.date) + scale.day_px / 2
        drawn += draw_marks(x, row.middle, side, (first.does, *first.also))
    if titles and drawn:
        told = "\n".join(tell_day(yard, circuit, day) for day in run)
        title = f"<title>{escape(row.horse + chr(10) + told)}</title>"
        yield f'<g class="tk-run">{title}{drawn}</g>'
    elif drawn:
        yield drawn


def _draw_drives(scale: Scale, row: RowPlace, circuit: Circuit, day: Day, side: int) -> str:
    """The drives of a class day, narrow: there at its begin, on at its end."""
    outings = [o for o in circuit.outings_by_horse.get(row.horse, ()) if o.show == day.at]
    narrow = scale.day_px / 3
    begin, end = scale.x(day.date), scale.x(day.date) + scale.day_px - narrow
    edges = [begin] * any(o.arrive == day.date for o in outings)
    edges += [end] * any(o.leave == day.date for o in outings)
    return "".join(draw_form("travel", x, row.middle, side, narrow) for x in edges)


def _place_labels(
    yard: Yard, scale: Scale, days: Sequence[Day], outings: Sequence[Outing]
) -> Iterator[tuple[float, str, str]]:
    """A show's name goes where no tall form stands: after the outing, else before it.

    Yields x, the anchor of the text and the words, cut to the room there is; an outing without
    room for four characters has no label (its title tells the show).
    """
    tall = {day.date for day in days if day.does in ("show", "travel")}
    for outing in outings:
        tall.update(DaySpan(outing.arrive, max(outing.arrive, outing.leave)))
    taken = set(tall)
    for i, outing in enumerate(outings):
        label = outing.show
        after = _find_room(yard.season, tall, taken, add_days(outing.last_day, 1), 1)
        before = _find_room(yard.season, tall, taken, add_days(outing.first_day, -1), -1)
        # Of shows without a way home between, the first is named before, the last after them.
        if any(earlier.leave >= outing.arrive for earlier in outings[:i]):
            before = []
        if any(later.arrive <= outing.leave for later in outings[i + 1 :]):
            after = []
        at_edge = bool(after) and after[-1] == yard.season.last
        letter_px = EDGE_CHARACTER_PX if at_edge else LABEL_CHARACTER_PX
        wanted = ceil(len(label) * letter_px / scale.day_px)
        first = len(after) >= min(wanted, len(before)) and after
        room, step = (after, 1) if first else (before, -1)
        most = min(MOST_LETTERS, int((len(room) * scale.day_px - 3) / letter_px))
        if most < 4:
            continue
        taken.update(room[:wanted])
        x = scale.x(room[0]) + (3 if step > 0 else scale.day_px - 3)
        yield x, "start" if step > 0 else "end", shorten(label, most)


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
    yard: Yard, scale: Scale, row: RowPlace, left: Circuit, right: Circuit
) -> Iterator[str]:
    for aim in yard.aims:
        show = yard.show_by_name[aim.show]
        offered = show.find_class(aim.class_name)
        day = show.days.first if offered is None else offered.day
        if aim.horse != row.horse or day not in yard.season:
            continue
        met = [aim.title in circuit.totals.aims_met for circuit in (left, right)]
        by = state("drawings.met-by-both" if all(met) else "drawings.not-met")
        if any(met) and not all(met):
            by = state("drawings.met-by", circuit=left.name if met[0] else right.name)
        told = _write_title(yard, state("drawings.aim", day=day, aim=aim.title, met=by))
        x = scale.x(day) + scale.day_px / 2
        yield draw_aim(x, row.middle, met[0], met[1], told)
