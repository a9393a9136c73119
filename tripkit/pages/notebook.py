"""What a notebook shows of a circuit and of a comparison: one small table each."""

from __future__ import annotations

from functools import lru_cache

from jinja2 import Environment, Template

from tripkit.season.comparison import Comparison, Figure
from tripkit.words.telling import PLAIN
from tripkit.yard.circuit import Circuit
from tripkit.yard.money import write_money

CIRCUIT = """<table><caption>{{ c.name }}: {{ c.goal }}, {{ c.status }}</caption>
<thead><tr><th>horse</th><th>show</th><th>rider</th><th>first day</th><th>last day</th>
<th>classes</th><th>worth</th></tr></thead>
<tbody>{% for o in c.outings %}
<tr><td>{{ o.horse }}</td><td>{{ o.show }}</td><td>{{ o.rider }}</td><td>{{ o.first_day }}</td>
<td>{{ o.last_day }}</td><td>{{ o.classes | join(", ") }}</td><td>{{ o.worth }}</td></tr>{% else %}
<tr><td colspan="7">{{ c.reasons | join("; ") or "nobody goes anywhere" }}</td></tr>{% endfor %}
</tbody></table>"""

COMPARISON = """<table><caption>{{ c.left_name }} and {{ c.right_name }}</caption>
<thead><tr><th></th><th>{{ c.left_name }}</th><th>{{ c.right_name }}</th><th>right less left</th>
</tr></thead>
<tbody>{% for name, left, right, difference in rows %}
<tr><th>{{ name }}</th><td>{{ left }}</td><td>{{ right }}</td><td>{{ difference }}</td></tr>
{% endfor %}
</tbody></table>"""


@lru_cache(maxsize=4)
def _prepare(text: str) -> Template:
    return Environment(autoescape=True).from_string(text)


def draw_record(record: object) -> str:
    """A circuit or a comparison as an HTML table, every name escaped."""
    if isinstance(record, Circuit):
        return _prepare(CIRCUIT).render(c=record)
    if isinstance(record, Comparison):
        return _prepare(COMPARISON).render(c=record, rows=_list_rows(record))
    return _prepare("<pre>{{ record }}</pre>").render(record=repr(record))


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
