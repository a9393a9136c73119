"""Which starts of an outing stand together is asked of the table, wherever classes are taken.

A made-up rule is put beside the yard's own: no two classes of a horse on days side by side. Nobody
but the two functions that its row names knows of it. Expected values are counted by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from random import Random

import pytest

from tests.build import (
    make_class,
    make_entry,
    make_horse,
    make_rider,
    make_show,
    make_yard,
    plan_most,
)
from tripkit.explaining.trial import choose_classes, try_outing
from tripkit.judging import grounds
from tripkit.judging.judge import find_violations
from tripkit.planning import chances, coupling
from tripkit.season.lived import go_on_from
from tripkit.season.scorecard import finish_circuit
from tripkit.yard.circuit import Circuit
from tripkit.yard.facts import Fact, state
from tripkit.yard.names import find_function
from tripkit.yard.rules import CLASHING, OUTING, CircuitRule
from tripkit.yard.shows import DIVISIONS, Show, Start
from tripkit.yard.yard import Yard

APART = CircuitRule(
    "apart",
    (OUTING,),
    "horses.judge_fit",
    clash_judged_by="horses.clashes_apart",
    clash_planned_by="coupling.explain_apart_clash",
)
WHY = state("judging.bar-fit")


def clashes(yard: Yard, start: Start, beside: Sequence[Start]) -> bool:
    """Another class of the horse, or of its rider, lies on the day before or after."""
    return any(abs((other.offered.day - start.offered.day).days) == 1 for other in beside)


def explain(yard: Yard, start: Start, beside: Sequence[Start]) -> Fact | None:
    """The same as the planner answers it."""
    return WHY if clashes(yard, start, beside) else None


@pytest.fixture
def apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """The made-up rule stands in the table."""
    monkeypatch.setattr("tripkit.judging.horses.clashes_apart", clashes, raising=False)
    monkeypatch.setattr(coupling, "explain_apart_clash", explain, raising=False)
    for room, name in ((chances, "CLASHING"), (grounds, "CLASHING"), (grounds, "DROPPING")):
        monkeypatch.setattr(room, name, (*getattr(room, name), APART))


def offer(*classes: tuple[str, int, int]) -> Show:
    """S1 with classes by name, day of April and worth."""
    return make_show(
        classes=[make_class(name, f"2027-04-{day:02}", worth=worth) for name, day, worth in classes]
    )


THREE = offer(("A", 8, 10), ("B", 9, 15), ("C", 10, 10))


def empty(yard: Yard) -> Circuit:
    """A circuit in which nobody goes anywhere."""
    return finish_circuit(yard, "Home", "most worth", "best in time", 0.0, None, 0.0, [], [])


@pytest.mark.usefixtures("apart")
def test_paid_classes_worth_least_go() -> None:
    """A and C are worth 20 together, B between them 15; the judge finds the reason true."""
    yard = make_yard(shows=[THREE], entries=[make_entry(name) for name in "ABC"])
    circuit = plan_most(yard)
    assert circuit.outings[0].classes == ("A", "C")
    assert [(d.class_name, d.rule, d.why) for d in circuit.dropped_entries] == [("B", "apart", WHY)]
    assert find_violations(yard, circuit) == ()


@pytest.mark.usefixtures("apart")
def test_the_judge_asks_beside_what_is_kept() -> None:
    """Nothing forbids A where B is dropped already."""
    yard = make_yard(shows=[THREE], entries=[make_entry(name) for name in "ABC"])
    circuit = plan_most(yard)
    (dropped,) = circuit.dropped_entries
    both = replace(circuit, dropped_entries=(dropped, replace(dropped, class_name="A")))
    told = {v.fact.code for v in find_violations(yard, both)}
    assert "judging.dropped-for-nothing" in told


@pytest.mark.usefixtures("apart")
def test_a_class_entered_since_the_horse_came_is_asked() -> None:
    """Published are A of the 8th and C of the 10th; B of the 9th is paid when it has begun."""
    published = make_yard(shows=[offer(("A", 8, 10), ("C", 10, 10))])
    yard = make_yard(shows=[THREE], today="2027-04-08", entries=[make_entry("B")])
    lived = go_on_from(yard, plan_most(published))
    circuit = plan_most(lived)
    assert circuit.outings[0].classes == ("A", "C")
    assert [(d.class_name, d.rule) for d in circuit.dropped_entries] == [("B", "apart")]
    assert find_violations(lived, circuit) == ()


@pytest.mark.usefixtures("apart")
def test_why_takes_classes_that_go_together() -> None:
    """The horse would jump A and C, worth 20, where B alone is worth 15."""
    yard = make_yard(shows=[THREE])
    trial = try_outing(yard, empty(yard), "Dancer", "S1")
    assert trial is not None
    assert (trial.outing.classes, trial.worth, trial.violations) == (("A", "C"), 20.0, ())


@pytest.mark.usefixtures("apart")
def test_why_knows_what_the_rider_rides_there_on_other_horses(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Ana rides two classes a day, Z on Bella among them: of A and B of the 8th A is left."""

    def is_third(yard: Yard, start: Start, beside: Sequence[Start]) -> bool:
        return sum(other.offered.day == start.offered.day for other in beside) >= 2

    monkeypatch.setattr("tripkit.judging.horses.clashes_apart", is_third)
    ridden = plan_most(make_yard(shows=[offer(("Z", 8, 1))], horses=[make_horse("Bella")]))
    assert [(o.horse, o.rider) for o in ridden.outings] == [("Bella", "Ana")]
    show = offer(("Z", 8, 1), ("A", 8, 10), ("B", 8, 9), ("D", 10, 3))
    yard = make_yard(shows=[show], horses=[make_horse(starts_per_day=3), make_horse("Bella")])
    trial = try_outing(yard, ridden, "Dancer", "S1")
    assert trial is not None
    assert trial.outing.classes == ("A", "D")


def test_where_nothing_may_stand_the_best_is_asked_about() -> None:
    """Somebody has to name the rule: the class stands alone, whatever the rider rides."""
    yard = make_yard(shows=[THREE], horses=[make_horse(starts_per_show=1)])
    horse, (first, *_) = yard.horses[0], THREE.classes
    assert choose_classes(yard, horse, (first,), "Ana", (Start(horse, first, "Ana"),)) == (first,)


def draw_starts(dice: Random) -> list[Start]:
    """One to six starts of a horse at a show: whatever a rule of the table looks at is drawn."""
    horse = make_horse(
        born=date(dice.randint(2010, 2023), 1, 1),
        starts_per_day=dice.choice((1, 2)),
        starts_per_show=dice.choice((1, 2, 4)),
    )
    return [
        Start(
            horse,
            make_class(
                f"C{number}",
                date(2027, 4, dice.choice((8, 9, 10))),
                height_cm=dice.choice((100, 110, 120, 130, 140)),
                division=dice.choice(DIVISIONS),
            ),
            "Ana",
        )
        for number in range(dice.randint(1, 6))
    ]


@pytest.mark.parametrize("rule", CLASHING, ids=lambda rule: rule.id)
def test_planner_and_judge_answer_alike(rule: CircuitRule) -> None:
    """Each by its own function, over 200 random sets of starts; some clash and some do not."""
    judged = find_function("judging", rule.clash_judged_by)
    planned = find_function("planning", rule.clash_planned_by)
    dice, answers = Random(1), set()
    for _ in range(200):
        start, *beside = draw_starts(dice)
        yard = make_yard(horses=[start.horse], people=[make_rider()])
        clash = judged(yard, start, beside)
        assert clash is (planned(yard, start, beside) is not None)
        answers.add(clash)
    assert answers == {True, False}, "draw_starts varies nothing that the rule looks at"
