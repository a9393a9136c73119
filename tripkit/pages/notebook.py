"""What a notebook shows of a circuit and of a comparison: one small table each."""

from __future__ import annotations

from pathlib import Path

from tripkit.pages.html import load_templates
from tripkit.season.comparison import Comparison, Figure
from tripkit.words.formats import write_money
from tripkit.words.telling import PLAIN
from tripkit.yard.circuit import Circuit

TEMPLATES = load_templates(Path(__file__).parent / "templates")


def draw_record(record: Circuit | Comparison) -> str:
    """A circuit or a comparison as an HTML table, every name escaped."""
    rows = None if isinstance(record, Circuit) else _list_rows(record)
    return TEMPLATES.get_template("notebook.html").render(c=record, rows=rows)


def _list_rows(comparison: Comparison) -> list[tuple[str, ...]]:
    figures = {
        "worth": comparison.worth,
        "road (km)": comparison.road_km,
        "horses on the road (h)": comparison.horse_road_hours,
        "nights away": comparison.nights_away,
        "outings": comparison.outings,
        "spare days": comparison.spare_days,
    }
    cost = comparison.cost
    amounts = [
        write_money(cents, comparison.currency)
        for cents in (cost.left, cost.right, cost.difference)
    ]
    return [("cost", *amounts), *((name, *_write(figure)) for name, figure in figures.items())]


def _write(figure: Figure) -> tuple[str, str, str]:
    left, right, difference = (
        "none" if number is None else PLAIN.write_number(number)
        for number in (figure.left, figure.right, figure.difference)
    )
    return left, right, difference
