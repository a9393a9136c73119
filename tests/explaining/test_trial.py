"""Outings on trial: the way a horse would travel, and what the judge then says, by how much.

The stable is `tests.judging.plan`: S1 at Millbrook (classes 04-08 and 04-10), S2 at Fairview
(04-20 and 04-22), S3 at Millbrook (05-06 and 05-08), every drive 140 km and 2 h. Rest asked: 7 days
without jumping, a school and an easy day, one day of drive that may be the last easy day: 9 clear
days (rule `recovery`; common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from tests.build import (
    make_absence,
    make_aim,
    make_entry,
    make_horse,
    make_limits,
    make_lorry,
    make_rider,
    make_vet_check,
    make_yard,
)
from tests.judging.plan import free_show, outing, plan, stable, two_visits, visit
from tripkit.explaining.trial import (
    choose_classes,
    find_outing,
    take_out,
    try_instead,
    try_outing,
    try_without,
)
from tripkit.judging.judge import find_violations
from tripkit.season.scorecard import finish_circuit
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import BadValue
from tripkit.yard.yard import CostRates


def empty(yard):
    """A circuit in which nobody goes anywhere."""
    return finish_circuit(yard, "Home", "most worth", "best in time", 0.0, None, 0.0, [], [])


def at_first_show(yard, *horses):
    """A circuit in which these horses go to S1 and home."""
    return plan(yard, visit(yard, "S1", "2027-04-07", "2027-04-11", horses or ("Alder",)))


def rules(trial):
    return {violation.rule for violation in trial.violations}


def say(trial):
    return "\n".join(str(violation.fact) for violation in trial.violations)


# How the horse travels


def test_an_extra_run_is_paid_and_driven_both_ways():
    """Two drives of 140 km at 1.00 a km and two fees of 50.00: 280.00 + 100.00 = 380.00."""
    yard = make_yard()
    trial = try_outing(yard, empty(yard), "Dancer", "S1")
    assert trial.possible
    assert (trial.outing.classes, trial.outing.rider) == (("C1", "C2"), "Ana")
    assert [(leg.start, leg.end, leg.horses) for leg in trial.legs_added] == [
        ("home", "S1", ("Dancer",)),
        ("S1", "home", ("Dancer",)),
    ]
    # One day before the first class (arrive_days_before 1), home the day after the last.
    assert (trial.outing.arrive, trial.outing.leave) == (date(2027, 4, 7), date(2027, 4, 11))
    assert (trial.worth, trial.cost_cents, trial.road_km) == (20.0, 38000, 280.0)


def test_a_lorry_that_goes_there_anyhow_takes_the_horse_along():
    """Four places, one horse aboard: no new drive, no new kilometre."""
    yard = stable()
    trial = try_outing(yard, at_first_show(yard, "Birch"), "Alder", "S1")
    assert trial.possible
    assert trial.legs_added == ()
    assert [after.horses for _, after in trial.legs_changed] == [("Alder", "Birch")] * 2
    assert trial.road_km == 0


def test_a_full_lorry_has_no_place_and_says_so():
    """One place, Birch has it: `places` is broken on both drives."""
    yard = stable(vehicles=[make_lorry(places=1)])
    trial = try_outing(yard, at_first_show(yard, "Birch"), "Alder", "S1")
    assert rules(trial) == {"places"}
    assert "carries 2 horses from home to S1 on 2027-04-07 and has 1 places" in say(trial)
    assert "Lorry drives from home to S1 on 2027-04-07 with 0 of 1 places free" in map(
        str, trial.obstacles
    )


def test_a_second_lorry_goes_where_the_first_is_full():
    """The same with another lorry at home: an extra run."""
    yard = stable(vehicles=[make_lorry(places=1), make_lorry("Van", places=1)])
    trial = try_outing(yard, at_first_show(yard, "Birch"), "Alder", "S1")
    assert trial.possible
    assert {leg.vehicle for leg in trial.legs_added} == {"Van"}


def test_a_lorry_in_the_workshop_is_an_obstacle():
    """The only lorry is away on the days of both drives."""
    yard = stable(absences=[make_absence("Lorry", "2027-04-01", "2027-04-30")])
    trial = try_outing(yard, empty(yard), "Alder", "S1")
    assert rules(trial) == {"window"}
    assert [str(fact) for fact in trial.obstacles] == ["Lorry is away 2027-04-01 to 2027-04-30"]


def test_a_lorry_that_is_needed_between_goes_twice():
    """Away only on 04-09: it brings the horse, drives home empty, and comes again to fetch it."""
    yard = stable(absences=[make_absence("Lorry", "2027-04-09")])
    trial = try_outing(yard, empty(yard), "Alder", "S1")
    assert trial.possible
    assert [(leg.start, bool(leg.horses)) for leg in trial.legs_added] == [
        ("home", True),
        ("S1", False),
        ("home", False),
        ("S1", True),
    ]
    assert trial.road_km == 560.0  # four drives of 140 km


def test_a_long_drive_arrives_with_its_days_of_rest():
    """700 km are 10 h: one whole day of rest after 8 to 12 h (rule `travel-rest`: advice)."""
    yard = stable(km={("home", "Millbrook"): 700})
    trial = try_outing(yard, empty(yard), "Alder", "S1")
    assert trial.possible
    assert trial.outing.arrive == date(2027, 4, 6)


def test_a_horse_stays_on_the_grounds_for_the_next_show_there():
    """A second show at Millbrook twelve days later: no drive more, leave is the second's arrive."""
    shows = [free_show("S1", "2027-04-07"), free_show("S5", "2027-04-19")]
    yard = stable(shows=shows)
    trial = try_outing(yard, at_first_show(yard), "Alder", "S5")
    # 04-10 to 04-20: nine clear days, and a horse that stays needs 7 + 2.
    assert trial.possible
    assert "on the grounds for S1 and S5" in str(trial.way)
    first = find_outing(trial.circuit, "Alder", "S1")
    assert first.leave == trial.outing.arrive == date(2027, 4, 19)
    assert trial.road_km == 0


def test_without_a_road_nothing_brings_the_horse():
    """No row for the pair: the horse has no legs, and the judge says so."""
    yard = stable(km={("home", "Millbrook"): None})
    trial = try_outing(yard, empty(yard), "Alder", "S1")
    assert "one-place" in rules(trial)
    assert trial.circuit.legs == ()
    assert "driving.no-road" in {fact.code for fact in trial.obstacles}


# Rules by how much


def test_too_little_rest_is_counted():
    """S1 ends 04-10, the last class of the other show is 04-18: 7 clear days, 9 asked."""
    shows = [free_show("S1", "2027-04-07"), free_show("S5", "2027-04-15", "Fairview")]
    yard = stable(shows=shows)
    trial = try_outing(yard, at_first_show(yard), "Alder", "S5")
    assert rules(trial) == {"recovery"}
    assert "has 5 clear days after S1 before S5 and needs 9" in say(trial)
    other = try_instead(yard, at_first_show(yard), trial)
    assert other.possible
    assert [o.show for o in other.taken_out] == ["S1"]
    assert other.worth == 0  # two classes of 10 each instead of two of 10


def test_a_class_is_left_out_where_that_keeps_the_rest():
    """Classes on 04-18 and 04-20: the first comes after 7 clear days, the second after 9."""
    shows = [free_show("S1", "2027-04-07"), free_show("S5", "2027-04-17", "Fairview")]
    yard = stable(shows=shows)
    trial = try_outing(yard, at_first_show(yard), "Alder", "S5")
    assert trial.possible
    assert trial.outing.classes == ("C2",)


def test_a_paid_neighbour_is_never_left_out():
    """S1 is paid, so it cannot give way."""
    shows = [free_show("S1", "2027-04-07"), free_show("S5", "2027-04-15", "Fairview")]
    yard = stable(shows=shows, entries=[make_entry("C1", horse="Alder")])
    circuit = at_first_show(yard)
    assert try_instead(yard, circuit, try_outing(yard, circuit, "Alder", "S5")) is None


def test_the_third_outing_in_thirty_days_is_counted():
    """S1 begins 04-08 and the third outing 05-02: 24 days, 30 asked (rule `cap`)."""
    shows = [
        free_show("S1", "2027-04-07"),
        free_show("S2", "2027-04-19", "Fairview"),
        free_show("S5", "2027-05-01"),
    ]
    yard = stable(shows=shows)
    trial = try_outing(yard, two_visits(yard), "Alder", "S5")
    assert rules(trial) == {"cap"}
    assert "24 days after S1 on 2027-04-08; 3 outings need 30" in say(trial)
    other = try_instead(yard, two_visits(yard), trial)
    assert other.possible
    assert len(other.taken_out) == 1


def test_a_missing_break_is_counted():
    """S1, S2, S3 with 9 and 13 clear days between, and 14 + 7 asked once in three outings."""
    limits = make_limits(outings_before_break=2, shows_per_30_days=5)
    yard = stable(horses=[make_horse("Alder", limits=limits), make_horse("Birch")])
    trial = try_outing(yard, two_visits(yard), "Alder", "S3")
    assert rules(trial) == {"break"}
    assert "at most 13 clear days between two, and needs a break of 21" in say(trial)


def test_a_rider_is_at_one_place_a_day():
    """Ana rides Birch at S1 on 04-08 and 04-10, and the other show has the same days."""
    shows = [free_show("S1", "2027-04-07"), free_show("S5", "2027-04-07", "Fairview")]
    yard = stable(shows=shows, vehicles=[make_lorry(), make_lorry("Van")])
    trial = try_outing(yard, at_first_show(yard, "Birch"), "Alder", "S5")
    assert rules(trial) == {"rider"}
    assert "Ana rides at S5 and at S1 on 2027-04-08" in say(trial)


def test_another_rider_is_taken_where_the_horse_allows():
    """Alder names no rider, Bea is free."""
    shows = [free_show("S1", "2027-04-07"), free_show("S5", "2027-04-07", "Fairview")]
    yard = stable(
        shows=shows,
        horses=[make_horse("Alder", rider=""), make_horse("Birch")],
        people=[make_rider(), make_rider("Bea")],
        vehicles=[make_lorry(), make_lorry("Van")],
    )
    trial = try_outing(yard, at_first_show(yard, "Birch"), "Alder", "S5")
    assert trial.possible
    assert trial.outing.rider == "Bea"


@pytest.mark.parametrize(
    ("changes", "rule", "text"),
    [
        (
            {"shows": [free_show("S1", "2027-04-07", entries_close="2027-02-20")]},
            "closed",
            "entries ended on 2027-02-20, 8 days before today",  # today is 2027-02-28
        ),
        (
            {"vet_checks": [make_vet_check("2027-02-20", False, horse="Alder")]},
            "cleared",
            "jumps on 2027-04-08 and is not cleared",
        ),
        (
            {"absences": [make_absence("Alder", "2027-04-09")]},
            "window",
            "is away from home 2027-04-07 to 2027-04-11 while absent 2027-04-09 to 2027-04-09",
        ),
        (
            {"horses": [make_horse("Alder", in_work_from="2027-03-20")]},
            "fit",
            "19 days after coming back into work on 2027-03-20, and needs 28",  # to 04-08
        ),
        (
            {"shows": [free_show("S1", "2027-04-07", places_left=0)]},
            "places",
            "has 0 places left and the plan enters 1 new horses: Alder",
        ),
    ],
    ids=["closed", "cleared", "window", "fit", "places"],
)
def test_what_bars_the_horse_is_named(changes, rule, text):
    """The rules of DEVELOPERS.md that need no neighbour, each with its figure."""
    yard = stable(**changes)
    trial = try_outing(yard, empty(yard), "Alder", "S1")
    assert rule in rules(trial)
    assert text in say(trial)


def test_the_budget_holds_on_trial():
    """380.00 (280.00 of road, 100.00 of fees) where 300.00 are set."""
    yard = make_yard(costs=CostRates(cents_per_km=Decimal(100), budget_cents=30000))
    trial = try_outing(yard, empty(yard), "Dancer", "S1")
    assert rules(trial) == {"budget"}
    assert "380.00, and the budget is 300.00" in say(trial)


def test_no_class_that_fits_is_no_trial():
    """Alder jumps 110 to 130 cm, the class is 140 cm."""
    show = free_show("S1", "2027-04-07")
    tall = tuple(replace(c, height_cm=140) for c in show.classes)
    yard = stable(shows=[replace(show, classes=tall)])
    assert try_outing(yard, empty(yard), "Alder", "S1") is None


# Classes


def test_classes_are_the_best_within_the_starts():
    """Two starts a show, one a day: of 10, 30 (same day) and 20, 5 those of 30 and 20 are taken."""
    show = free_show("S1", "2027-04-07")
    one, two = show.classes
    offered = [
        replace(one, name="A", worth=Decimal(10)),
        replace(one, name="B", worth=Decimal(30)),
        replace(two, name="C", worth=Decimal(20)),
        replace(two, name="D", day=date(2027, 4, 11), worth=Decimal(5)),
    ]
    horse = make_horse("Alder", starts_per_show=2, starts_per_day=1)
    yard = stable(horses=[horse])
    assert [c.name for c in choose_classes(yard, horse, offered)] == ["B", "C"]


def test_the_class_of_an_aim_is_jumped():
    """One start; the aim's importance of 50 outweighs the other's worth."""
    show = free_show("S1", "2027-04-07")
    yard = stable(
        shows=[show],
        horses=[make_horse("Alder", starts_per_show=1)],
        aims=[make_aim("Alder", class_name="C2")],
    )
    (chosen,) = choose_classes(yard, yard.horses[0], show.classes)
    assert chosen.name == "C2"


# Taking out


def test_without_its_only_outing_the_lorry_stays_at_home():
    """20 of worth less, 280 km less, and no leg left."""
    yard = stable()
    trial = try_without(yard, at_first_show(yard), "Alder", "S1")
    assert trial.possible
    assert (trial.worth, trial.road_km) == (-20.0, -280.0)
    assert trial.circuit.legs == trial.circuit.outings == ()
    assert len(trial.legs_removed) == 2


def test_a_lorry_that_carries_others_still_goes():
    """Birch stays aboard."""
    yard = stable()
    made = take_out(yard, at_first_show(yard, "Alder", "Birch"), "Alder", "S1")
    assert [leg.horses for leg in made.legs] == [("Birch",), ("Birch",)]
    assert [o.horse for o in made.outings] == ["Birch"]
    assert find_violations(yard, made) == ()


def test_a_paid_outing_cannot_be_left_out():
    """The judge names `locked`."""
    yard = stable(entries=[make_entry("C1", horse="Alder")])
    trial = try_without(yard, at_first_show(yard), "Alder", "S1")
    assert rules(trial) == {"locked"}


def test_the_other_outing_of_a_stay_keeps_a_way_home():
    """Of two shows at Millbrook in one stay the second is left out: home after the first."""
    shows = [free_show("S1", "2027-04-07"), free_show("S5", "2027-04-19")]
    yard = stable(shows=shows)
    stay = try_outing(yard, at_first_show(yard), "Alder", "S5").circuit
    made = try_without(yard, stay, "Alder", "S5")
    assert made.possible
    left = find_outing(made.circuit, "Alder", "S1")
    assert (left.arrive, left.leave) == (date(2027, 4, 7), date(2027, 4, 11))


# Bad input


def test_unknown_names_and_circuits_without_a_plan_are_refused():
    """`BadValue` says which name is wrong."""
    yard = stable()
    circuit = at_first_show(yard)
    with pytest.raises(BadValue, match="no horse of the yard"):
        try_outing(yard, circuit, "Nobody", "S1")
    with pytest.raises(BadValue, match="no show of the calendar"):
        try_outing(yard, circuit, "Alder", "Nowhere")
    with pytest.raises(BadValue, match="already"):
        try_outing(yard, circuit, "Alder", "S1")
    with pytest.raises(BadValue, match="does not go to S2"):
        try_without(yard, circuit, "Alder", "S2")
    with pytest.raises(BadValue, match="has no plan"):
        try_outing(yard, Circuit("None", "most worth", "none exists"), "Alder", "S1")


def test_the_circuit_given_is_not_changed():
    """A trial is a circuit of its own."""
    yard = stable()
    circuit = at_first_show(yard)
    before = replace(circuit)
    try_outing(yard, circuit, "Birch", "S1")
    try_without(yard, circuit, "Alder", "S1")
    assert circuit == before
    assert outing(yard, "S1", "2027-04-07", "2027-04-11") == circuit.outings[0]
