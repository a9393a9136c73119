"""The card on paper: one page for each circuit, one for each horse, with its strip and diary."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from markupsafe import Markup

from tripkit.dashboard.daylist import write_daylist
from tripkit.dashboard.figures import list_figures
from tripkit.dashboard.horsepage import write_horse_facts, write_horse_outings
from tripkit.dashboard.markup import render
from tripkit.pictures.timeline import draw_half, join_halves, place_rows
from tripkit.season.comparison import find_closing_dates
from tripkit.words import page as words
from tripkit.words.formats import write_date, write_span
from tripkit.yard.circuit import Circuit, Outing
from tripkit.yard.days import DaySpan, add_days
from tripkit.yard.yard import Yard

# As wide as A4 between the margins of the style sheet, so that words come out as they are set.
PAGE_PX = 716.0
BAND_WEEKS = 9
MOST_BANDS = 3
UNDER_PX = 12.0


def write_print(
    yard: Yard, pair: Sequence[Circuit], circuit: Circuit, broken: Sequence[str] = ()
) -> Markup:
    """Pages of the two circuits at hand, then of every horse in `circuit`.

    Before them stands what the circuits have `broken`, a line each.
    """
    first, last, today = (
        write_date(day, yard.country, "long")
        for day in (yard.season.first, yard.season.last, yard.day_of_planning)
    )
    season = words.SEASON.format(first=first, last=last)
    return render(
        "print",
        said=words.PRINT_HEAD.format(yard=yard.name, season=season, today=today),
        broken=broken,
        circuits=[_gather_circuit(yard, c) for i, c in enumerate(pair) if c not in pair[:i]],
        circuit=circuit.name,
        horses=[_gather_horse(yard, circuit, horse.horse) for horse in yard.horses],
    )


def _gather_circuit(
    yard: Yard, circuit: Circuit
) -> tuple[str, Sequence[tuple[str, str]], Sequence[tuple[str, ...]]]:
    """Name, figures and a row for each show of a circuit."""
    by_show: dict[str, list[Outing]] = {}
    for outing in circuit.outings:
        by_show.setdefault(outing.show, []).append(outing)
    closing = {c.show: c.closes for c in find_closing_dates(yard, circuit.outings)}
    rows = [
        (
            write_span(
                min(o.first_day for o in outings), max(o.last_day for o in outings), yard.country
            ),
            show,
            "" if (day := closing.get(show)) is None else write_date(day, yard.country),
            "; ".join(
                words.PRINT_OUTING.format(
                    horse=o.horse, classes=", ".join(o.classes), rider=o.rider
                )
                for o in outings
            ),
        )
        for show, outings in by_show.items()
    ]
    return circuit.name, list_figures(yard, circuit), rows


def _list_bands(season: DaySpan) -> list[DaySpan]:
    """The season in as few bands of whole weeks as keep the words on the strip readable."""
    weeks = ceil(season.days / 7)
    bands = min(MOST_BANDS, ceil(weeks / BAND_WEEKS))
    days = 7 * ceil(weeks / bands)
    firsts = [add_days(season.first, days * n) for n in range(bands)]
    return [
        DaySpan(first, min(add_days(first, days - 1), season.last))
        for first in firsts
        if first <= season.last
    ]


def _draw_band(yard: Yard, circuit: Circuit, horse: str, band: DaySpan) -> str:
    """The weeks of a band of one horse's strip, as wide as the page."""
    rows = place_rows(yard, (horse,))
    part = replace(yard, season=band)
    longest = max(known.days for known in _list_bands(yard.season))
    day_px = PAGE_PX / longest
    above = draw_half(part, circuit, -1, rows, day_px=day_px)
    strip = join_halves(part, (circuit, circuit), (above, ("",)), rows, day_px=day_px)
    # Nothing hangs under the line of one circuit: what would repeat its dates there is cut off.
    width, height = band.days * day_px + 1, rows[0].middle + UNDER_PX
    strip = re.sub(
        r'width="[^"]*" height="[^"]*" viewBox="[^"]*"',
        f'width="{width:g}" height="{height:g}" viewBox="0 0 {width:g} {height:g}"',
        strip,
        count=1,
    )
    return strip.replace("tk-p-road", "tk-p-road-print")


def _gather_horse(yard: Yard, circuit: Circuit, horse: str) -> tuple[str | list[Markup], ...]:
    """Name, strips, facts, outings and diary of a horse."""
    return (
        horse,
        [Markup(_draw_band(yard, circuit, horse, band)) for band in _list_bands(yard.season)],
        write_horse_facts(yard, circuit, horse),
        write_horse_outings(yard, circuit, horse),
        write_daylist(yard, circuit, horse),
    )
