"""The card on paper: one page for each circuit, one for each horse, with its strip and diary."""

from __future__ import annotations

from collections.abc import Sequence

from tripkit.circuit import Circuit, Outing
from tripkit.comparison import find_closing_dates
from tripkit.dashboard import words
from tripkit.dashboard.daylist import write_daylist
from tripkit.dashboard.figures import list_figures
from tripkit.dashboard.horsepage import write_horse_facts, write_horse_outings
from tripkit.dashboard.markup import wrap, write_pairs, write_table, write_text
from tripkit.timeline import draw_half, join_halves, place_rows
from tripkit.timeline_words import title_of, write_date, write_span
from tripkit.yard import Yard


def write_print(yard: Yard, pair: Sequence[Circuit], circuit: Circuit) -> str:
    """Pages of the two circuits at hand, then of every horse in `circuit`."""
    circuits = [c for i, c in enumerate(pair) if c not in pair[:i]]
    pages = [_write_circuit(yard, c) for c in circuits]
    pages += [_write_horse(yard, circuit, horse.horse) for horse in yard.horses]
    return "".join(pages)


def _write_head(yard: Yard, title: str, kind: str) -> str:
    said = words.PRINT_HEAD.format(
        yard=yard.name, season=write_span(yard.season.first, yard.season.last, yard.country)
    )
    return (
        wrap("p", write_text(said), "print-yard")
        + wrap("h2", write_text(title), dir="auto")
        + wrap("p", write_text(kind), "kind")
    )


def _write_circuit(yard: Yard, circuit: Circuit) -> str:
    aims = ", ".join(circuit.totals.aims_met) or words.NO_FIGURE
    by_show: dict[str, list[Outing]] = {}
    for outing in circuit.outings:
        by_show.setdefault(outing.show, []).append(outing)
    closing = {c.show: c.closes for c in find_closing_dates(yard, circuit.outings)}
    rows = [
        (
            write_span(
                min(o.first_day for o in outings), max(o.last_day for o in outings), yard.country
            ),
            title_of(yard, show),
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
    return wrap(
        "section",
        _write_head(yard, circuit.name, words.PRINT_CIRCUIT)
        + write_pairs((*list_figures(circuit, yard), (words.AIMS, aims)), "figures")
        + write_table(words.OUTINGS, words.PRINT_HEADS, rows, "table-print"),
        "print-page tk-print-circuit",
    )


def _write_horse(yard: Yard, circuit: Circuit, horse: str) -> str:
    rows = place_rows(yard, (horse,))
    above = draw_half(yard, circuit, -1, rows)
    strip = join_halves(yard, (circuit, circuit), (above, ("",)), rows)
    strip = strip.replace("tk-p-road", "tk-p-road-print")
    return wrap(
        "section",
        _write_head(yard, horse, words.PRINT_HORSE.format(circuit=circuit.name))
        + wrap("div", strip, "print-strip")
        + write_horse_facts(yard, circuit, horse)
        + write_horse_outings(yard, circuit, horse)
        + write_daylist(yard, circuit, horse),
        "print-page tk-print-horse",
    )
