"""What a proof leaves out of the rules: told where a yard has a case of it, and only there.

The freedoms are those of the rules (handbook, The planner: What it leaves out). Roads take 2 h
unless a test says otherwise, and all days are counted by hand.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from tests.build import (
    make_absence,
    make_base,
    make_class,
    make_horse,
    make_limits,
    make_lorry,
    make_show,
    make_yard,
)
from tripkit.judging.judge import find_violations
from tripkit.planning import goals, plan, pursuit
from tripkit.planning.left_out import list_left_out, list_left_out_of_money
from tripkit.planning.problem import build_problem
from tripkit.yard.facts import Fact
from tripkit.yard.goals import GOOD_VALUE, LEAST_COST, MOST_WORTH
from tripkit.yard.places import Drive
from tripkit.yard.shows import Show
from tripkit.yard.yard import Yard

SOON = {"no_jump_days": 0, "schools_before_show": 0}


def show_on(show: str, on: str, place: str, **changes) -> Show:
    """A show of one day with one class."""
    return make_show(show, on, on, place_key=place, classes=[make_class("C1", on, show, **changes)])


def tell(yard: Yard) -> list[str]:
    """The freedoms that are left out, by the ends of their codes."""
    return [fact.code.partition("leaves-out-")[2] for fact in list_left_out(build_problem(yard))]


def two_shows(second: str, **changes) -> Yard:
    """Dancer at two places, on 8 April and a day after it."""
    limits = make_limits(**changes.pop("limits", {}))
    shows = [show_on("S1", "2027-04-08", "Millbrook"), show_on("S2", second, "Fairview")]
    return make_yard(shows=shows, limits=limits, horses=[make_horse(limits=limits)], **changes)


def test_a_usual_yard_leaves_nothing_out():
    """One horse that recovers for 9 days between two shows has no case of any."""
    assert tell(two_shows("2027-04-20")) == []


def test_more_than_two_drives_a_day():
    """The rules allow as many as the yard says."""
    assert tell(two_shows("2027-04-20", limits={"drives_per_day": 3})) == ["drives"]


@pytest.mark.parametrize(("second", "told"), [("2027-04-10", ["home"]), ("2027-04-20", [])])
def test_home_and_out_again_on_one_day(second: str, told: list[str]):
    """Home on the 9th and out again for the 10th; the stables of the 20th open on the 18th."""
    assert tell(two_shows(second, limits=SOON)) == told


def test_the_hours_of_the_drive_that_brought_it():
    """An hour or six, then six more on the evening of the class: a day of rest begins at 8 h."""
    near, far = Drive(70, 1.0), Drive(420, 6.0)
    roads = {("home", "Millbrook"): near, ("home", "Fairview"): far, ("Millbrook", "Fairview"): far}
    assert "carry" in tell(two_shows("2027-04-10", limits=SOON, km=roads))
    assert "carry" not in tell(two_shows("2027-04-10", limits=SOON))


@pytest.mark.parametrize(("ends", "told"), [(18 * 60, ["hours"]), (None, [])])
def test_other_classes_of_the_day(ends: int | None, told: list[str]):
    """Of two classes one ends at 18:00: who jumps the other only could leave at 16:00."""
    on = "2027-04-08"
    classes = [make_class("C1", on, "S1"), make_class("C2", on, "S1", ends_minutes=ends)]
    assert tell(make_yard(shows=[make_show("S1", on, on, classes=classes)])) == told


@pytest.mark.parametrize(("names", "told"), [(("Dancer",), []), (("Dancer", "Bella"), ["change"])])
def test_a_horse_that_changes_lorries_on_the_way(names: tuple[str, ...], told: list[str]):
    """Bella may go on from where Dancer is unloaded, with the other lorry or after a night."""
    shows = [show_on("S1", "2027-04-08", "Millbrook"), show_on("S2", "2027-04-08", "Fairview")]
    horses = [make_horse(name) for name in names]
    lorries = [make_lorry("Lorry"), make_lorry("Van")]
    assert tell(make_yard(shows=shows, horses=horses, vehicles=lorries)) == told


def test_a_lorry_that_is_absent_elsewhere():
    """It is not sent to where its row says that it stands; at home it may stand anyway."""
    for at, told in (("Millbrook", ["absent"]), ("home", [])):
        away = replace(make_absence("Lorry", "2027-05-03", "2027-05-05"), at=at)
        assert tell(two_shows("2027-04-20", absences=[away])) == told


def test_an_empty_lorry_on_another_day_matters_where_money_counts():
    """A named driver might be free then; of worth it changes nothing."""
    named = [make_lorry(driver_names=("Dell",))]
    yard = two_shows("2027-04-20", vehicles=named)
    costs = replace(yard.costs, hired_driver_day_cents=9000)
    hiring = replace(yard, costs=costs)
    for goal, count in ((LEAST_COST, 1), (GOOD_VALUE, 1), (MOST_WORTH, 0)):
        assert len(list_left_out_of_money(hiring, goal)) == count
    assert list_left_out_of_money(two_shows("2027-04-20"), LEAST_COST) == ()


def test_good_value_says_so_where_it_is_most_worth_too(monkeypatch: pytest.MonkeyPatch):
    """A point counts 1,000.00, more than any show costs: both go to both shows."""
    monkeypatch.setattr(goals, "list_left_out_of_money", list_left_out_of_money)
    yard = two_shows("2027-04-20", vehicles=[make_lorry(driver_names=("Dell",))])
    costs = replace(yard.costs, hired_driver_day_cents=9000, point_price_cents=100_000)
    value, most = plan(replace(yard, costs=costs), keep=2)
    assert value.outings == most.outings
    told = [what.code for what in value.leaves_out if isinstance(what, Fact)]
    assert (value.status, told) == ("best of its kind", ["planning.leaves-out-empty"])


def test_a_circuit_says_so(monkeypatch: pytest.MonkeyPatch):
    """The best of its kind, with what is left out; the judge holds one against the other."""
    monkeypatch.setattr(pursuit, "list_left_out", list_left_out)
    yard = two_shows("2027-04-20", limits={"drives_per_day": 3})
    for circuit in plan(yard, keep=2):
        assert circuit.status == "best of its kind"
        assert [str(what) for what in circuit.leaves_out] == [
            "more than two drives of a lorry on a day"
        ]
        assert find_violations(yard, circuit) == ()
        proved = replace(circuit, status="proved best")
        assert [v.rule for v in find_violations(yard, proved)] == ["figures"]


@pytest.mark.parametrize(("days", "told"), [(150, ["bases"]), (151, ["bases", "base-days"])])
def test_what_is_left_out_beside_a_base(days: int, told: list[str]):
    """One horse and a base: 150 days at most are tried all, else Mondays and Thursdays."""
    base = make_base(last=date(2027, 3, 20) + timedelta(days=days - 1))
    assert tell(two_shows("2027-04-20", bases=[base])) == told
