"""A rule taken out of the planner is caught by the judge, each on a small yard where it binds.

In each yard worth alone draws the planner over the line: the rule costs worth. Only yard and
judge decide; limits are the handbook's usual ones (common practice, no source) unless a yard
says otherwise.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from tests.build import (
    make_absence,
    make_base,
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
    span,
)
from tripkit.judging.judge import find_violations
from tripkit.season.lived import go_on_from
from tripkit.yard.circuit import Circuit
from tripkit.yard.horses import OutingsWanted
from tripkit.yard.rules import PLANNED_IDS
from tripkit.yard.shows import Show
from tripkit.yard.yard import CostRates, Yard


def one_day_show(show: str, on: str, place: str = "Millbrook", **changes: object) -> Show:
    """A show of one day with one class C1, worth 10."""
    return make_show(show, on, on, place_key=place, classes=[make_class("C1", on, show)], **changes)


def window() -> Yard:
    """Dancer is away from home elsewhere on the only class day of S1."""
    return make_yard(
        shows=[one_day_show("S1", "2027-04-08")],
        absences=[make_absence("Dancer", "2027-04-08")],
    )


def window_on_the_way_home() -> Yard:
    """A drive of 11 h takes two days: left on 04-09, Dancer is home on 04-10, absent since then.

    Neither a class day nor the day it leaves the grounds lies in the absence.
    """
    return make_yard(
        shows=[one_day_show("S1", "2027-04-08", stabling=span("2027-04-05", "2027-04-09"))],
        km={("home", "Millbrook"): 770},
        absences=[make_absence("Dancer", "2027-04-10")],
    )


def window_of_a_lorry() -> Yard:
    """The only lorry is away from 04-01 to 04-20, the class is on 04-08."""
    return make_yard(
        shows=[one_day_show("S1", "2027-04-08")],
        absences=[make_absence("Lorry", "2027-04-01", "2027-04-20")],
    )


def window_where_a_lorry_stands() -> Yard:
    """The lorry that brings Dancer on 04-06 cannot be home on 04-07, when it is away.

    9 h and two halts from 5:30 on end at 15:30, 9 h home at 0:30. The stables open on the 6th, and
    after 9 h Dancer rests a day, so it comes that day or not at all.
    """
    return make_yard(
        shows=[one_day_show("S1", "2027-04-08", stabling=span("2027-04-06", "2027-04-10"))],
        km={("home", "Millbrook"): 630},
        absences=[make_absence("Lorry", "2027-04-07")],
    )


def closed() -> Yard:
    """Entries of S1 closed the day before today, 2027-03-20."""
    return make_yard(
        today="2027-03-20",
        shows=[one_day_show("S1", "2027-04-08", entries_close="2027-03-19")],
    )


def eligible() -> Yard:
    """The class is 140 cm, Dancer jumps up to 130 cm."""
    tall = make_class("C1", "2027-04-08", "S1", height_cm=140)
    return make_yard(shows=[make_show("S1", "2027-04-08", "2027-04-08", classes=[tall])])


def eligible_beside_what_has_begun() -> Yard:
    """Dancer came for A of 04-08, its one start at the show; B of 04-09 was paid since."""
    horses = [make_horse(starts_per_show=1)]
    first, second = make_class("A", "2027-04-08"), make_class("B", "2027-04-09")
    published = plan_one(make_yard(horses=horses, shows=[make_show(classes=[first])]))
    yard = make_yard(
        today="2027-04-07",
        horses=horses,
        shows=[make_show(classes=[first, second])],
        entries=[make_entry("B")],
    )
    return go_on_from(yard, published)


def cleared() -> Yard:
    """The vet did not clear Dancer in February, and nobody looked again."""
    return make_yard(
        shows=[one_day_show("S1", "2027-04-08")],
        vet_checks=[make_vet_check("2027-02-20", False)],
    )


def cap() -> Yard:
    """Classes on 04-01, 04-12 and 04-23: 10 clear days apart (9 needed), 22 days in all (30)."""
    days = ("2027-04-01", "2027-04-12", "2027-04-23")
    return make_yard(shows=[one_day_show(f"S{i}", on) for i, on in enumerate(days, 1)])


def cap_after_history() -> Yard:
    """Jumped on 03-02 and 03-14, two of two: 03-31 is 29 days after the first, 30 are asked."""
    return make_yard(
        today="2027-03-15",
        shows=[one_day_show("S1", "2027-03-31")],
        results=[make_result("2027-03-02", "W1"), make_result("2027-03-14", "W2")],
    )


def cap_of_three() -> Yard:
    """04-01, 04-11, 04-21 and 04-30, 29 days in all; 8 clear days are the fewest, 7 needed."""
    days = ("2027-04-01", "2027-04-11", "2027-04-21", "2027-04-30")
    return make_yard(
        shows=[one_day_show(f"S{i}", on) for i, on in enumerate(days, 1)],
        limits=make_limits(shows_per_30_days=3, schools_before_show=0),
    )


def recovery() -> Yard:
    """Classes on 04-08 and 04-14: 5 clear days, 9 needed."""
    days = ("2027-04-08", "2027-04-14")
    return make_yard(shows=[one_day_show(f"S{i}", on) for i, on in enumerate(days, 1)])


def travel_rest() -> Yard:
    """A drive of 8 h asks for a whole day of rest; stabling opens the day before the class."""
    show = one_day_show("S1", "2027-04-08", stabling=span("2027-04-07", "2027-04-09"))
    return make_yard(shows=[show], km={("home", "Millbrook"): 560})


def fit() -> Yard:
    """Back in work on 03-20: the first outing is possible from 04-17, 28 days on."""
    return make_yard(
        shows=[one_day_show("S1", "2027-04-08")], horses=[make_horse(in_work_from="2027-03-20")]
    )


def fit_of_a_paid_class() -> Yard:
    """The same with the class paid: it is not dropped for `fit`, so that no plan is left."""
    return replace(fit(), entries=(make_entry("C1"),))


def break_() -> Yard:
    """Three outings with 10 clear days between; after two a break of 14 + 7 is asked for."""
    limits = make_limits(outings_before_break=2, shows_per_30_days=3)
    days = ("2027-04-01", "2027-04-12", "2027-04-23")
    return make_yard(
        shows=[one_day_show(f"S{i}", on) for i, on in enumerate(days, 1)],
        horses=[make_horse(limits=limits)],
        limits=limits,
    )


def rider() -> Yard:
    """Both horses are Ana's, and their only shows are on one day at two places."""
    return make_yard(
        shows=[
            one_day_show("S1", "2027-04-08"),
            make_show(
                "S2",
                "2027-04-08",
                "2027-04-08",
                place_key="Fairview",
                classes=[make_class("C1", "2027-04-08", "S2", height_cm=100)],
            ),
        ],
        horses=[make_horse(), make_horse("Bella", from_height_cm=90, to_height_cm=105)],
        vehicles=[make_lorry("Lorry 1"), make_lorry("Lorry 2")],
    )


def most_outings() -> Yard:
    """Three shows, 13 and 18 clear days apart, for a horse that is to go to two."""
    horse = replace(make_horse(), outings_wanted=OutingsWanted(0, 2))
    shows = [
        one_day_show("S1", "2027-04-01"),
        one_day_show("S2", "2027-04-15"),
        one_day_show("S3", "2027-05-04"),
    ]
    return make_yard(horses=[horse], shows=shows)


def bases() -> Yard:
    """Two horses, and one box in the town of the only show.

    No lorry drives from 04-15 to 04-25, so who jumps on 04-20 lives there.
    """
    return make_yard(
        shows=[one_day_show("S1", "2027-04-20")],
        horses=[make_horse(), make_horse("Bella")],
        bases=[make_base(place_key="Millbrook", boxes=1)],
        absences=[make_absence("Lorry", "2027-04-15", "2027-04-25")],
    )


def stabling() -> Yard:
    """Stabling opens on the day of the class; a horse has to be there the day before."""
    show = one_day_show("S1", "2027-04-08", stabling=span("2027-04-08", "2027-04-09"))
    return make_yard(shows=[show])


def places() -> Yard:
    """Two horses and a lorry with one place, at a place too far for a second run."""
    return make_yard(
        shows=[one_day_show("S1", "2027-04-08")],
        horses=[make_horse(), make_horse("Bella")],
        vehicles=[make_lorry(places=1)],
        km={("home", "Millbrook"): 300},
    )


def places_at_the_show() -> Yard:
    """Two horses that fit the class, and one place left at the show."""
    return make_yard(
        shows=[one_day_show("S1", "2027-04-08", places_left=1)],
        horses=[make_horse(), make_horse("Bella")],
    )


def one_place() -> Yard:
    """One lorry, two places, two horses on the same day: it would have to be in both.

    Stables close on the 9th; no evening holds the 300 km, and no horse's day the way by the other.
    """
    return make_yard(
        shows=[
            one_day_show("S1", "2027-04-08"),
            make_show(
                "S2",
                "2027-04-08",
                "2027-04-08",
                place_key="Fairview",
                classes=[make_class("C1", "2027-04-08", "S2", height_cm=100)],
            ),
        ],
        horses=[
            make_horse(),
            make_horse("Bella", from_height_cm=90, to_height_cm=105, rider="Ben"),
        ],
        people=[make_rider(), make_rider("Ben")],
        km={
            ("home", "Millbrook"): 300,
            ("home", "Fairview"): 300,
            ("Millbrook", "Fairview"): 600,
        },
    )


def driving() -> Yard:
    """A drive of 11 h takes two days; with one night short, stabling could still be reached.

    The absence ends on 04-06. In two days Dancer arrives on 04-08 at the earliest, rested on the
    9th and jumping on the 10th; the class is on the 9th, which a drive of one day would reach.
    """
    show = one_day_show("S1", "2027-04-09", stabling=span("2027-04-06", "2027-04-10"))
    return make_yard(
        shows=[show],
        km={("home", "Millbrook"): 770},
        absences=[make_absence("Dancer", "2027-04-01", "2027-04-06")],
    )


def locked() -> Yard:
    """S1 is paid and worth 1, S2 in the week after is worth 10: only one can be jumped."""
    first = make_class("C1", "2027-04-08", "S1", worth=1)
    return make_yard(
        shows=[
            make_show("S1", "2027-04-08", "2027-04-08", classes=[first]),
            one_day_show("S2", "2027-04-14"),
        ],
        entries=[make_entry("C1")],
    )


def budget() -> Yard:
    """The fee is 50.00 and two drives of 140 km at 1.00 are 280.00; the budget is 329.99."""
    return make_yard(
        shows=[one_day_show("S1", "2027-04-08")],
        costs=CostRates(cents_per_km=Decimal(100), budget_cents=32_999),
    )


YARDS: dict[str, Callable[[], Yard]] = {
    "window": window,
    "window, on the way home": window_on_the_way_home,
    "window, of a lorry": window_of_a_lorry,
    "window, where a lorry stands": window_where_a_lorry_stands,
    "closed": closed,
    "eligible": eligible,
    "eligible, beside what has begun": eligible_beside_what_has_begun,
    "cleared": cleared,
    "cap": cap,
    "cap, after history": cap_after_history,
    "cap, of three": cap_of_three,
    "recovery": recovery,
    "travel-rest": travel_rest,
    "fit": fit,
    "fit, of a paid class": fit_of_a_paid_class,
    "break": break_,
    "rider": rider,
    "most-outings": most_outings,
    "bases": bases,
    "stabling": stabling,
    "places": places,
    "places, at the show": places_at_the_show,
    "one-place": one_place,
    "driving": driving,
    "locked": locked,
    "budget": budget,
}

# What each yard is worth with its rule, counted by hand: nothing fits where the only show is
# forbidden, one class of 10 where two shows exclude each other, two where three do.
WORTH = {
    **dict.fromkeys(YARDS, 0.0),
    "eligible, beside what has begun": 10.0,
    "cap": 20.0,
    "cap, of three": 30.0,
    "recovery": 10.0,
    "break": 20.0,
    "rider": 10.0,
    "most-outings": 20.0,
    "bases": 10.0,
    "places": 10.0,
    "places, at the show": 10.0,
    "one-place": 10.0,
    "locked": 1.0,
}


# What was paid is dropped, and that is a plan.
DROPPED = ("fit, of a paid class",)


def plan_one(yard: Yard, *without: str) -> Circuit:
    """The season of most worth, some rules left out."""
    circuit = plan_most(yard, without=frozenset(without))
    return circuit


def rule_of(case: str) -> str:
    """The rule that a yard is for."""
    return case.partition(",")[0]


def test_every_rule_has_a_yard() -> None:
    """At least one for each rule id of DEVELOPERS.md, in its order."""
    assert tuple(dict.fromkeys(rule_of(case) for case in YARDS)) == PLANNED_IDS


@pytest.mark.parametrize("case", YARDS)
def test_a_plan_with_all_rules_breaks_none(case: str) -> None:
    """The yard has a plan of the worth counted by hand, or none; the judge finds nothing."""
    yard = YARDS[case]()
    circuit = plan_one(yard)
    status = "proved best" if WORTH[case] or case in DROPPED else "none exists"
    assert (circuit.status, circuit.totals.worth) == (status, WORTH[case])
    assert [str(violation) for violation in find_violations(yard, circuit)] == []


@pytest.mark.parametrize("case", YARDS)
def test_a_rule_taken_out_is_named_by_the_judge(case: str) -> None:
    """Without the rule the planner goes over the line, and the judge names that rule."""
    yard = YARDS[case]()
    circuit = plan_one(yard, rule_of(case))
    assert circuit.totals.worth > WORTH[case]
    assert rule_of(case) in {violation.rule for violation in find_violations(yard, circuit)}


@pytest.mark.parametrize(
    ("case", "function", "nothing"),
    [
        ("window, on the way home", "places.is_clear", True),
        ("window, of a lorry", "lorries.may_run", True),
        ("window, where a lorry stands", "lorries.list_shut", ()),
        ("cap, of three", "coupling.cap_outings", None),
        ("fit, of a paid class", "coupling.keep_fit_up", None),
        ("rider", "riding.keep_riders_in_one_place", None),
        ("places, at the show", "coupling.keep_places", None),
        ("eligible, beside what has begun", "coupling.explain_eligible_clash", None),
    ],
)
def test_one_function_of_several_keeps_its_yard(
    case: str, function: str, nothing: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The others that heed the rule do not: with this one silent the judge names the rule."""
    monkeypatch.setattr(f"tripkit.planning.{function}", lambda *_: nothing)
    yard = YARDS[case]()
    circuit = plan_one(yard)
    assert circuit.totals.worth > WORTH[case]
    assert {violation.rule for violation in find_violations(yard, circuit)} == {rule_of(case)}
