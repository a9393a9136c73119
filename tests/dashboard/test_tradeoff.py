"""The picture of all circuits: who is beaten, told by form, and names as text."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from tests.dashboard.season import make_season
from tripkit.dashboard.tradeoff import place_points, write_tradeoff
from tripkit.yard.circuit import Circuit, Totals

NASTY = "<script>alert(1)</script> & \"'"


def make(name: str, worth: float, cents: int, km: float = 100.0, spare: int | None = 1) -> Circuit:
    totals = Totals(worth=worth, cost_cents=cents, road_km=km, spare_days=spare)
    return Circuit(name, "most worth", "proved best", totals=totals)


def test_a_circuit_is_beaten_by_one_that_is_no_worse_in_both():
    """B costs more than A for the same worth; C is worth less than A but costs less; D ties A."""
    circuits = (make("A", 10, 100), make("B", 10, 200), make("C", 5, 50), make("D", 10, 100))
    found = {p.circuit.name: p.unbeaten for p in place_points(make_season(), circuits, "cost")}
    assert found == {"A": True, "B": False, "C": True, "D": True}


def test_more_rest_is_better():
    """Spare days count upwards; a circuit without a gap has no place in that picture."""
    circuits = (make("A", 10, 1, spare=0), make("B", 10, 1, spare=3), make("C", 9, 1, spare=None))
    found = {p.circuit.name: p.unbeaten for p in place_points(make_season(), circuits, "rest")}
    assert found == {"A": False, "B": True}


def test_the_two_kinds_of_points_have_forms_of_their_own():
    """A ring with a dot for the unbeaten, a cross for the beaten; both pictures are well formed."""
    circuits = (make("A", 10, 100), make("B", 10, 200), make(NASTY, 5, 50))
    html = str(write_tradeoff(make_season(), circuits, "A", "B", "cost", NASTY))
    assert "<script" not in html
    for svg in html.split("<svg")[1:3]:
        root = ElementTree.fromstring("<svg" + svg.partition("</svg>")[0] + "</svg>")
        kinds = [part.get("class") for part in root.iter()]
        # The two outer circuits are unbeaten, B is beaten by A.
        assert kinds.count("tk-point-ring") == 2
        assert kinds.count("tk-point-cross") == 1


def test_the_button_of_the_side_where_a_circuit_lies_is_pressed():
    """A lies above, B under the line: of the four buttons in the table two are pressed."""
    circuits = (make("A", 10, 100), make("B", 10, 200))
    html = str(write_tradeoff(make_season(), circuits, "A", "B", "cost", ""))
    pressed = [
        part for part in html.split("<button")[1:] if "table-" in part and 'pressed="true"' in part
    ]
    assert [part.partition('data-key="table-')[2].partition('"')[0] for part in pressed] == [
        "left-A",
        "right-B",
    ]


@pytest.mark.parametrize("number", [0, 1, 2])
@pytest.mark.parametrize("axis", ["cost", "road", "rest"])
def test_few_circuits_are_a_picture_too(number, axis):
    """None, one alone, and two that are alike in everything."""
    circuits = tuple(make(f"c{i}", 10, 100) for i in range(number))
    html = str(write_tradeoff(make_season(), circuits, "c0", "c0", axis, ""))
    assert html.count("tk-point-ring") >= 2 * number


def test_names_of_circuits_in_one_spot_lie_apart_and_inside():
    """Four circuits of one worth and cost, far right and high up: no name is cut or covered."""
    names = ("Most worth", "Least road", "Least cost", "Most rest")
    circuits = (*(make(name, 10, 100) for name in names), make("Tour", 5, 50))
    html = str(write_tradeoff(make_season(), circuits, "Most worth", "Tour", "cost", ""))
    # A letter of 16 px is seldom wider than 9 px (measured in DejaVu Serif, which is wide).
    for part, width in zip(html.split("<svg")[1:3], (1000, 360), strict=True):
        root = ElementTree.fromstring("<svg" + part.partition("</svg>")[0] + "</svg>")
        boxes = []
        for text in root.iter():
            if text.get("class") != "tk-point-name":
                continue
            x, y, long = float(text.get("x")), float(text.get("y")), 9 * len(text.text)
            left = x - {"start": 0, "middle": long / 2, "end": long}[text.get("text-anchor")]
            boxes.append((left, y, left + long))
        assert len(boxes) == 5
        assert all(left >= 0 and right <= width for left, _, right in boxes)
        for i, (left, y, right) in enumerate(boxes):
            for other in boxes[:i]:
                assert abs(y - other[1]) >= 14 or right <= other[0] or left >= other[2]
