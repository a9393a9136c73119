"""A rider's calendar has his own ways, but those that are drives to and from his shows."""

from __future__ import annotations

from datetime import date

from tests.judging.plan import drive, outing, stable
from tripkit.publishing.events import list_events
from tripkit.publishing.readers import Reader
from tripkit.season.scorecard import finish_circuit

YARD = stable()
# No lorry goes there: the first class is on 8 April.
CIRCUIT = finish_circuit(
    YARD,
    "A",
    "most worth",
    "best in time",
    None,
    None,
    0.1,
    [outing(YARD, "S1", "2027-04-07", "2027-04-11")],
    [drive("S1", "home", "2027-04-11")],
)


def test_a_way_by_car_is_a_day_of_its_own():
    """By car on the day before the first class; back on the lorry, which is a drive already."""
    events = list_events(YARD, CIRCUIT, Reader("rider", "Ana"))
    (way,) = [event for event in events if event.kind == "way"]
    assert (way.start, way.end) == (date(2027, 4, 7), date(2027, 4, 8))
    assert way.summary == "By car: home to S1"
    assert way.description == "A way of your own."
    assert len([event for event in events if event.kind == "travel home"]) == 1
