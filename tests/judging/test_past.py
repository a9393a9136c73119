"""What was lived is no plan: the judge's rule `past`, and rules that only the past broke.

Handbook, Choices: what has begun is part of every later circuit; what only the past broke is a
remark, no violation; beyond that a rule binds new outings only.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from tests.build import (
    make_absence,
    make_class,
    make_entry,
    make_horse,
    make_limits,
    make_lorry,
    make_result,
    make_rider,
    make_show,
    make_vet_check,
    make_yard,
    plan_most,
)
from tripkit import planning as solver
from tripkit.judging.judge import find_past_violations, find_violations
from tripkit.season.diary import write_diary
from tripkit.season.lived import go_on_from
from tripkit.yard.people import Person
from tripkit.yard.yard import CostRates


def make_season(**changes):
    """Two shows a month apart, and the circuit that goes to both without evening drives."""
    changes = {"limits": make_limits(arrive_until_hour=16), **changes}
    shows = (make_show(), make_show("S2", "2027-05-12", place_key="Fairview"))
    yard = make_yard(shows=shows, **changes)
    circuit = plan_most(yard)
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
    assert find_violations(lived, circuit) == ()
    assert find_past_violations(lived, circuit) == ()


def test_a_circuit_without_what_was_lived_is_out_of_date():
    """Whoever plans from zero in mid-season is told to plan again."""
    yard, circuit = make_season()
    lived = live(yard, circuit, "2027-04-20")
    forgetful = replace(
        circuit, outings=circuit.outings[1:], legs=circuit.legs[2:], name="From zero"
    )
    found = [v for v in find_violations(lived, forgetful) if v.rule == "past"]
    assert len(found) == 1
    # The outing and both drives of it.
    said = str(found[0].fact)
    assert said.startswith("what has begun by 2027-04-20 is not in the plan as it was")
    assert all(name in said for name in ("Dancer at S1", "2027-04-07", "2027-04-11"))


def test_outings_and_drives_of_the_past_that_nobody_published_are_false():
    """A horse was not there because a new circuit says so."""
    yard, circuit = make_season()
    lived = live(
        yard, replace(circuit, outings=circuit.outings[:1], legs=circuit.legs[:2]), "2027-05-13"
    )
    (found,) = [v for v in find_violations(lived, circuit) if v.rule == "past"]
    # One outing and the drive to it; the drive home lies after today.
    said = str(found.fact)
    assert said.startswith("the plan dates by today, 2027-05-13, what was never published: ")
    assert said.count(" on 2027-05-1") == 2


def test_a_rule_that_only_the_past_broke_is_a_remark():
    """A yard that lowers its limit of days after the horse was away breaks nothing by it."""
    yard, circuit = make_season()
    strict = make_limits(arrive_days_before=3)
    horses = (make_horse(limits=strict),)
    lived = live(yard, circuit, "2027-04-12", limits=strict, horses=horses)
    broken = find_violations(lived, circuit)
    # S1 is lived; S2 is still to come, and the horse arrives there one day before.
    assert {v.show for v in broken if v.rule == "stabling"} == {"S2"}
    assert {v.show for v in find_past_violations(lived, circuit) if v.rule == "stabling"} == {"S1"}


def test_a_horse_away_when_its_absence_begins_goes_home():
    """An absence bars classes and schools, not the way home of a horse that is away already."""
    yard, circuit = make_season()
    absent = (make_absence("Dancer", "2027-04-11", "2027-04-20"),)
    lived = live(yard, circuit, "2027-04-10", absences=absent)
    (school,) = [v for v in find_violations(lived, circuit) if v.rule == "window"]
    assert school.fact.code == "judging.schools-while-absent"
    circuit = replace(circuit, days=write_diary(lived, circuit.outings, circuit.legs))
    assert [v for v in find_violations(lived, circuit) if v.rule == "window"] == []
    early = live(yard, circuit, "2027-04-01", absences=absent)
    assert [v for v in find_violations(early, circuit) if v.rule == "window"] != []


@pytest.mark.parametrize(("on", "broken", "kept"), [("09", 0, 1), ("10", 1, 0)])
def test_a_lorry_that_cannot_be_home_before_its_absence_is_kept_where_it_stands(on, broken, kept):
    """It stands at the show on 04-08 and drives home in a day: on 04-09, not before."""
    yard, circuit = make_season()
    away = make_absence("Lorry", f"2027-04-{on}")
    lived = live(yard, circuit, "2027-04-08", absences=(away,))
    found = [v for v in find_violations(lived, circuit) if v.rule == "window"]
    remarks = [v for v in find_past_violations(lived, circuit) if v.rule == "window"]
    assert (len(found), len(remarks)) == (broken, kept)


@pytest.mark.parametrize(("first", "rules"), [("09", set()), ("07", {"driving"})])
def test_a_driver_away_when_his_absence_begins_drives_home(first, rules):
    """Who drove out on 04-07 brings the lorry home on 04-11, absent since 04-09 or not."""
    lorry = make_lorry(driver_names=("Dell",))
    people = (make_rider(), Person("Olga", "owner"), Person("Dell", "driver"))
    yard, circuit = make_season(vehicles=(lorry,), people=people)
    away = make_absence("Dell", f"2027-04-{first}", "2027-04-20")
    lived = live(yard, circuit, "2027-04-08", absences=(away,))
    assert {v.rule for v in find_violations(lived, circuit)} == rules


def test_a_budget_that_was_spent_binds_what_is_new_only():
    """Where nothing new is planned a spent budget breaks nothing."""
    yard, circuit = make_season()
    poor = CostRates(cents_per_km=yard.costs.cents_per_km, budget_cents=1)
    lived = live(yard, circuit, "2027-04-12", costs=poor)
    assert [v.rule for v in find_violations(lived, circuit)] == ["budget"]
    only = replace(circuit, outings=circuit.outings[:1], legs=circuit.legs[:2])
    assert "budget" not in {v.rule for v in find_violations(lived, only)}


def make_three_days(**changes):
    """S1 has a third class, for which the horse has no start left; the circuit jumps C1 and C3."""
    classes = [
        make_class("C1", "2027-04-08", worth=12),
        make_class("C2", "2027-04-09", worth=8),
        make_class("C3", "2027-04-11"),
    ]
    show = make_show(classes=classes, entries_close="2027-03-20")
    yard = make_yard(
        shows=(show, make_show("S2", "2027-05-12", place_key="Fairview")),
        horses=[make_horse(starts_per_show=2)],
        people=[make_rider(), make_rider("Ben")],
        **changes,
    )
    circuit = plan_most(yard)
    assert circuit.outings[0].classes == ("C1", "C3")
    return yard, circuit


def find_rules(circuit, yard):
    """The rules that are broken, and those that only the past broke."""
    return (
        {v.rule for v in find_violations(yard, circuit)},
        {v.rule for v in find_past_violations(yard, circuit)},
    )


@pytest.mark.parametrize(
    ("rule", "changes"),
    [
        ("cleared", {"vet_checks": (make_vet_check("2027-04-08", False),)}),
        ("window", {"absences": (make_absence("Dancer", "2027-04-08", "2027-04-12"),)}),
        ("window", {"absences": (make_absence("Ana", "2027-04-08", "2027-04-12"),)}),
        ("closed", {"entries": (make_entry("C3", "scratched", date="2027-04-08"),)}),
        ("eligible", {"horses": (make_horse(to_height_cm=115),)}),
    ],
)
def test_what_bars_today_bars_the_classes_to_come_of_an_outing_under_way(rule, changes):
    """Today's class is past, that of Sunday is not: the published circuit breaks the rule."""
    yard, circuit = make_three_days()
    broken, _ = find_rules(circuit, live(yard, circuit, "2027-04-08", **changes))
    assert rule in broken


def test_classes_to_come_of_an_outing_under_way_may_fall_away():
    """A lame horse jumps no more on Sunday, and what it jumped on Thursday stays."""
    yard, circuit = make_three_days()
    lame = {"vet_checks": (make_vet_check("2027-04-10", False),)}
    for horse in ({}, {"horses": (make_horse(to_height_cm=115, starts_per_show=2),)}):
        lived = live(yard, circuit, "2027-04-09", **(horse or lame))
        again = plan_most(lived)
        assert again.outings[0].classes == ("C1",)
        assert find_violations(lived, again) == ()


def test_nobody_is_left_at_a_show_for_good():
    """The drive there is over, the way home is not."""
    yard, circuit = make_season()
    lived = live(yard, circuit, "2027-04-09")
    left = replace(circuit, outings=circuit.outings[:1], legs=circuit.legs[:1])
    found = [str(v.fact) for v in find_violations(lived, left) if v.rule == "one-place"]
    assert found == [
        f"{who} is left at S1 from 2027-04-07 to the end of the season"
        for who in ("Lorry", "Dancer")
    ]


def test_an_outing_under_way_takes_no_class_that_nobody_entered():
    """Entries ended in March; and two starts are all the horse has."""
    yard, circuit = make_three_days()
    lived = live(yard, circuit, "2027-04-08")
    more = replace(circuit.outings[0], classes=("C1", "C2", "C3"))
    broken, _ = find_rules(replace(circuit, outings=(more, *circuit.outings[1:])), lived)
    assert {"closed", "eligible"} <= broken
    other = replace(circuit.outings[0], classes=("C1", "C2"), last_day=date(2027, 4, 9))
    broken, _ = find_rules(replace(circuit, outings=(other, *circuit.outings[1:])), lived)
    assert "closed" in broken
    assert "eligible" not in broken


def test_who_leaves_before_a_class_to_come_does_not_jump_it():
    """The horse goes home on Friday, as its drives say, and jumps on Sunday."""
    yard, circuit = make_three_days()
    lived = live(yard, circuit, "2027-04-08")
    there, home, *others = circuit.legs
    early = replace(home, depart=home.depart.replace(day=9), arrive=home.arrive.replace(day=9))
    broken, _ = find_rules(replace(circuit, legs=(there, early, *others)), lived)
    assert "one-place" in broken


def test_days_to_come_need_their_lines():
    """That lines of the past are missing excuses nothing."""
    yard, circuit = make_three_days()
    lived = live(yard, circuit, "2027-04-08")
    few = replace(circuit, days=tuple(d for d in circuit.days if d.date == date(2027, 3, 1)))
    texts = [str(v.fact) for v in find_violations(lived, few) if v.rule == "days"]
    assert any("no line for 97 days" in text for text in texts)


def test_what_was_entered_and_ridden_is_not_broken_by_a_limit_of_today():
    """Fewer starts, another rider, a rider who rides less: S1 stays as it began, S2 does not."""
    yard, circuit = make_three_days()
    fewer = (make_horse(starts_per_show=1, rider="Ben"),)
    people = (make_rider(), make_rider("Ben"))
    lived = live(yard, circuit, "2027-04-08", horses=fewer, people=people)
    begun = {"outings": circuit.outings[:1], "legs": circuit.legs[:2]}
    only = replace(circuit, **begun, rider_ways=circuit.rider_ways[:2])
    broken, past = find_rules(only, lived)
    assert {"eligible", "rider"}.isdisjoint(broken)
    assert {"eligible", "rider"} <= past
    broken, _ = find_rules(circuit, lived)
    assert {"eligible", "rider"} <= broken
    again = plan_most(lived)
    assert find_violations(lived, again) == ()
    assert [(o.show, o.rider, len(o.classes)) for o in again.outings] == [
        ("S1", "Ana", 2),
        ("S2", "Ben", 1),
    ]


def test_another_rider_than_the_one_who_came_is_a_new_rider():
    """Ana came with the horse; the classes to come are not Ben's."""
    yard, circuit = make_three_days()
    lived = live(yard, circuit, "2027-04-08")
    his = replace(circuit.outings[0], rider="Ben")
    broken, _ = find_rules(replace(circuit, outings=(his, *circuit.outings[1:])), lived)
    assert "rider" in broken


def test_two_horses_that_a_rider_brought_stay_when_he_may_ride_one():
    """Horses a show are counted among what is new."""
    horses = [make_horse(), make_horse("Bella")]
    yard = make_yard(horses=horses)
    circuit = plan_most(yard)
    assert len(circuit.outings) == 2
    lived = live(yard, circuit, "2027-04-08", people=(make_rider(horses_per_show=1),))
    broken, past = find_rules(circuit, lived)
    assert ("rider" in broken, "rider" in past) == (False, True)
    assert find_violations(lived, plan_most(lived)) == ()


@pytest.mark.parametrize("on", ["2027-03-02", "2027-04-06", "2027-04-13"])
def test_judge_and_planner_count_a_row_beside_what_was_lived_alike(on):
    """A result at S1 on a day on which nobody was there: planned again, nothing is broken."""
    yard, circuit = make_season()
    results = (make_result(on, "S1", class_name="C1"),)
    lived = live(yard, circuit, "2027-04-20", results=results)
    for again in solver.plan(lived, keep=2):
        assert find_violations(lived, again) == ()
