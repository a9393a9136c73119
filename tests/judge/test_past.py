"""What was lived is no plan: the judge's rule `past`, and rules that only the past broke.

Contract, section 3: "A circuit's outings, legs and totals include history. A rule broken by history
alone is a remark, no violation; beyond that it binds new outings only."
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from tests.build import make_absence, make_horse, make_limits, make_show, make_yard
from tripkit import solver
from tripkit.judge import find_past_violations, find_violations
from tripkit.lived import go_on_from
from tripkit.yard import CostRates


def make_season(**changes):
    """Two shows a month apart at two places, and the circuit that goes to both."""
    shows = (make_show(), make_show("S2", "2027-05-12", place_key="Fairview"))
    yard = make_yard(shows=shows, **changes)
    (circuit,) = solver.plan(yard, keep=1)
    assert [o.show for o in circuit.outings] == ["S1", "S2"]
    return yard, circuit


def live(yard, circuit, today, **changes):
    """The yard on a later day, with what became known since."""
    return go_on_from(replace(yard, today=date.fromisoformat(today), **changes), circuit)


@pytest.mark.parametrize("today", ["2027-04-07", "2027-04-09", "2027-04-12", "2027-05-12"])
def test_the_published_circuit_keeps_every_rule_on_every_later_day(today):
    """Nothing is new, so nothing is broken: not the closing dates of what is over either."""
    yard, circuit = make_season()
    lived = live(yard, circuit, today)
    assert find_violations(circuit, lived) == ()
    assert find_past_violations(circuit, lived) == ()


def test_a_circuit_without_what_was_lived_is_out_of_date():
    """Whoever plans from zero in mid-season is told to plan again."""
    yard, circuit = make_season()
    lived = live(yard, circuit, "2027-04-20")
    forgetful = replace(
        circuit, outings=circuit.outings[1:], legs=circuit.legs[2:], name="From zero"
    )
    found = [v for v in find_violations(forgetful, lived) if v.rule == "past"]
    assert len(found) == 1
    assert "3 of the outings and drives that have begun" in found[0].text


def test_outings_and_drives_of_the_past_that_nobody_published_are_false():
    """A horse was not there because a new circuit says so."""
    yard, circuit = make_season()
    lived = live(
        yard, replace(circuit, outings=circuit.outings[:1], legs=circuit.legs[:2]), "2027-05-13"
    )
    (found,) = [v for v in find_violations(circuit, lived) if v.rule == "past"]
    # One outing and the drive to it; the drive home lies after today.
    assert found.text.startswith("2 outings and drives not after today 2027-05-13")


def test_a_rule_that_only_the_past_broke_is_a_remark():
    """A yard that lowers its limit of days after the horse was away breaks nothing by it."""
    yard, circuit = make_season()
    strict = make_limits(arrive_days_before=3)
    horses = (make_horse(limits=strict),)
    lived = live(yard, circuit, "2027-04-12", limits=strict, horses=horses)
    broken = find_violations(circuit, lived)
    # S1 is lived; S2 is still to come, and the horse arrives there one day before.
    assert {v.show for v in broken if v.rule == "stabling"} == {"S2"}
    assert {v.show for v in find_past_violations(circuit, lived) if v.rule == "stabling"} == {"S1"}


def test_a_horse_away_when_its_absence_begins_goes_home():
    """An absence bars classes and schools, not the way home of a horse that is away already."""
    yard, circuit = make_season()
    absent = (make_absence("Dancer", "2027-04-11", "2027-04-20"),)
    lived = live(yard, circuit, "2027-04-10", absences=absent)
    assert [v for v in find_violations(circuit, lived) if v.rule == "window"] == []
    early = live(yard, circuit, "2027-04-01", absences=absent)
    assert [v for v in find_violations(circuit, early) if v.rule == "window"] != []


def test_a_budget_that_was_spent_binds_what_is_new_only():
    """Where nothing new is planned a spent budget breaks nothing."""
    yard, circuit = make_season()
    poor = CostRates(cents_per_km=yard.costs.cents_per_km, budget_cents=1)
    lived = live(yard, circuit, "2027-04-12", costs=poor)
    assert [v.rule for v in find_violations(circuit, lived)] == ["budget"]
    only = replace(circuit, outings=circuit.outings[:1], legs=circuit.legs[:2])
    assert "budget" not in {v.rule for v in find_violations(only, lived)}
