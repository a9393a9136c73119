"""Horses at a base: what they may jump from there, who fits in, where the season ends.

The base is in the town of S1, whose class is on 8 April, 2 h from home. Limits are the handbook's
usual ones; all days are counted by hand.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from tests.build import (
    make_absence,
    make_base,
    make_class,
    make_horse,
    make_show,
    make_yard,
    plan_most,
)
from tripkit.judging.judge import find_violations
from tripkit.yard.circuit import Circuit
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard


def show_on(show: str, on: str, place: str = "Fairview") -> Show:
    """A show of one day with one class of worth 10."""
    return make_show(show, on, on, place_key=place, classes=[make_class("C1", on, show)])


def build(*shows: Show, **changes: Any) -> Yard:
    """Dancer, a lorry, and a base at Fairview from 20 March to 10 May, unless told otherwise."""
    fields = {"shows": shows, "bases": [make_base()], "km": None, **changes}
    return make_yard(**fields)


def plan_lawful(yard: Yard) -> Circuit:
    """The circuit of most worth, which breaks no rule."""
    circuit = plan_most(yard)
    assert find_violations(yard, circuit) == ()
    return circuit


@pytest.mark.parametrize(("based", "worth"), [(True, 10.0), (False, 0.0)])
def test_a_horse_absent_on_the_day_before_jumps_from_its_box(based: bool, worth: float):
    """It cannot be away on the 7th, on which it would have to come; at a base it is as at home."""
    changes: dict[str, Any] = {} if based else {"bases": []}
    yard = build(
        show_on("S1", "2027-04-08"), absences=[make_absence("Dancer", "2027-04-07")], **changes
    )
    circuit = plan_lawful(yard)
    assert circuit.totals.worth == worth
    if based:
        (outing,) = circuit.outings
        assert (outing.arrive, outing.leave) == (date(2027, 4, 8), date(2027, 4, 8))
        assert circuit.totals.nights_away == 0
        assert circuit.legs[0].end == "Barn"


@pytest.mark.parametrize(("boxes", "worth"), [(1, 10.0), (2, 20.0)])
def test_no_more_horses_than_boxes(boxes: int, worth: float):
    """Both are absent on the 7th: each needs a box for that night."""
    yard = build(
        show_on("S1", "2027-04-08"),
        horses=[make_horse(), make_horse("Bella")],
        bases=[make_base(boxes=boxes)],
        absences=[make_absence(name, "2027-04-07") for name in ("Dancer", "Bella")],
    )
    assert plan_lawful(yard).totals.worth == worth


@pytest.mark.parametrize(("stays", "worth"), [(True, 10.0), (False, 0.0)])
def test_the_season_ends_at_a_base_that_stays(stays: bool, worth: float):
    """From the class on the lorry is absent, so it stands at home: nobody fetches the horse."""
    yard = build(
        show_on("S1", "2027-06-04"),
        bases=[make_base(last="2027-06-30", stays=stays)],
        absences=[make_absence("Lorry", "2027-06-04", "2027-06-20")],
    )
    circuit = plan_lawful(yard)
    assert circuit.totals.worth == worth


def test_the_lorry_may_end_there_too():
    """No way back is driven where the season ends beside the show."""
    yard = build(show_on("S1", "2027-06-04"), bases=[make_base(last="2027-06-30", stays=True)])
    circuit = plan_lawful(yard)
    assert [(leg.start, leg.end) for leg in circuit.legs] == [("home", circuit.legs[0].end)]
    assert yard.place_key_of(circuit.legs[0].end) == "Fairview"
