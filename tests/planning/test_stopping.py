"""A search ends when it is told to, whatever it is doing, and loses nothing that it has found.

No test measures seconds: what cannot be interrupted waits here for the test to end, so a search
that waited for it would never come back.
"""

from __future__ import annotations

import subprocess
import sys
import threading

import numpy as np
import pytest

import tripkit
from tests.build import make_class, make_horse, make_show, make_yard, plan_most
from tests.patience import PATIENCE_SECONDS
from tests.planning.yards import make_random_yard
from tripkit.planning import goals, mip, pursuit, search
from tripkit.planning.job import STOPPED
from tripkit.planning.search import Found
from tripkit.planning.stopping import Breaker, Crew, run_aside
from tripkit.yard.circuit import name_status

FLOORED = ("least road", "least cost", "most rest")


@pytest.fixture
def released():
    """What stands still until the test is over."""
    event = threading.Event()
    yield event
    event.set()


@pytest.fixture
def yard():
    return make_random_yard(3)


def spin(released):
    """Python at work that asks nobody whether it may go on."""
    while not released.is_set():
        pass


def test_what_cannot_be_interrupted_is_left_behind(released):
    """The caller goes on; the work ends by itself, or never."""
    assert run_aside(lambda: None, lambda: False)
    assert not run_aside(released.wait, lambda: True)
    with pytest.raises(ZeroDivisionError):
        run_aside(lambda: 1 / 0, lambda: False)


def test_python_at_work_is_broken_off(released):
    """A loop that asks nobody ends all the same, and what was meant for then is answered."""
    breaker, begun = Breaker(), threading.Event()
    answers = []

    def work():
        begun.set()
        spin(released)

    thread = threading.Thread(target=lambda: answers.append(breaker.attempt(work, lambda: 7)))
    thread.start()
    begun.wait()
    breaker.break_off()
    thread.join()
    assert (answers, released.is_set()) == ([7], False)
    breaker.break_off()
    assert Breaker().attempt(lambda: 1, lambda: 2) == 1


def test_a_crew_answers_in_order_and_hands_on_what_went_wrong():
    """Each task's outcome at its own place; what one raises is raised."""
    crew = Crew(2, lambda: False)
    assert crew.run([lambda n=n: n * n for n in range(5)]) == [0, 1, 4, 9, 16]
    with pytest.raises(ZeroDivisionError):
        crew.run([lambda: 1, lambda: 1 // 0])
    assert Crew(2, lambda: True).attempt(lambda: 1, lambda: 2) == 2


def test_stopped_before_it_began_it_says_so(yard):
    """Nothing is proved, and the reason is that somebody stopped it."""
    (circuit,) = tripkit.plan(yard, should_stop=lambda: True)
    assert (circuit.status, circuit.reasons) == ("none in time", (STOPPED,))
    assert circuit.outings == ()


@pytest.mark.parametrize("where", ["solver", "python"])
def test_the_first_goal_is_stopped_anywhere(yard, monkeypatch, released, where):
    """Inside HiGHS and while a program is written: nothing was found yet."""
    begun = threading.Event()

    def stand_still(*_, **__):
        begun.set()
        spin(released)

    if where == "solver":
        monkeypatch.setattr(mip.Solver, "run", stand_still)
    else:
        monkeypatch.setattr(pursuit, "build_season", stand_still)
    (circuit,) = tripkit.plan(yard, should_stop=begun.is_set)
    assert (circuit.status, released.is_set()) == ("none in time", False)


@pytest.mark.parametrize("where", ["solver", "python"])
def test_the_second_stage_is_stopped_anywhere(yard, monkeypatch, released, where):
    """What the first goal found is answered, or cheaper; the goal at work says it was stopped."""
    begun = threading.Event()
    whole, build, run = plan_most(yard), pursuit.build_program, mip.Solver.run
    second = []
    least = goals.plan_least_road

    def begin(*arguments):
        second.append(True)
        return least(*arguments)

    def stand_still(real, *arguments, **options):
        if not second:
            return real(*arguments, **options)
        begun.set()
        return spin(released)

    monkeypatch.setattr(goals, "plan_least_road", begin)
    if where == "solver":
        monkeypatch.setattr(mip.Solver, "run", lambda *a, **k: stand_still(run, *a, **k))
    else:
        monkeypatch.setattr(pursuit, "build_program", lambda *a, **k: stand_still(build, *a, **k))
    circuits = tripkit.plan(yard, should_stop=begun.is_set)
    value, most, *_ = circuits
    assert (most.goal, most.status) == ("most worth", "proved best")
    assert (most.objective, most.bound) == (whole.objective, whole.bound)
    assert most.totals.cost_cents <= whole.totals.cost_cents
    assert (value.goal, value.exists) == ("good value", True)
    assert [tripkit.judge(yard, circuit) for circuit in (value, most)] == [(), ()]
    (road,) = (c for c in circuits if c.goal == "least road")
    assert (road.status, road.reasons) == ("none in time", (STOPPED,))
    assert not released.is_set()


def test_a_plan_that_was_found_is_kept_while_it_is_tidied(yard, monkeypatch, released):
    """The proof stands; only what tidying would have spared is lost."""
    begun = threading.Event()

    def stand_still(*_, **__):
        begun.set()
        spin(released)

    monkeypatch.setattr(search.Search, "polish", stand_still)
    value, most = tripkit.plan(yard, keep=2, should_stop=begun.is_set)
    assert (most.goal, most.status) == ("most worth", "proved best")
    assert value.exists
    assert [tripkit.judge(yard, circuit) for circuit in (value, most)] == [(), ()]


@pytest.mark.parametrize("steps", range(1, 40, 3))
def test_stopped_at_any_step_every_circuit_keeps_every_rule(yard, steps):
    """However often the search asked before somebody said yes."""
    asked = []

    def should_stop():
        asked.append(True)
        return len(asked) > steps

    for circuit in tripkit.plan(yard, should_stop=should_stop):
        assert tripkit.judge(yard, circuit) == ()
        assert circuit.exists or circuit.reasons == (STOPPED,)


def test_time_ends_python_at_work_too(yard, monkeypatch, released):
    """A program that takes too long to write is broken off soon after the time given."""
    monkeypatch.setattr("tripkit.planning.job.LATE_SECONDS", 0.0)
    monkeypatch.setattr(pursuit, "build_season", lambda *_, **__: spin(released))
    (circuit,) = tripkit.plan(yard, seconds=0.2)
    assert (circuit.status, circuit.reasons, released.is_set()) == ("none in time", (), False)


def find_as(status, change):
    """Searches that answer with another status than they came to."""
    real = search.Search.find_best

    def find(self, objective, watch, **options):
        found = real(self, objective, watch, **options)
        return change(found) if found.status == status else found

    return find


def test_met_bounds_are_proofs_whenever_time_ran_out(yard, monkeypatch):
    """`proved best` is what reached its bound, and nothing else is (format of circuits)."""

    def run_out(found):
        return Found("feasible", found.objective, found.bound, found.values, found.seconds)

    monkeypatch.setattr(search.Search, "find_best", find_as("best", run_out))
    for circuit in tripkit.plan(yard):
        assert (circuit.status == "proved best") == (circuit.objective == circuit.bound)
        assert circuit.status == name_status(circuit.objective, circuit.bound)


def test_a_goal_that_most_worth_keeps_itself_never_says_none(monkeypatch):
    """The circuit of most worth keeps its own floor: whatever the solver says, there is one."""
    yard = make_yard(
        horses=[make_horse()],
        shows=[make_show(classes=[make_class("C1"), make_class("C2", "2027-04-10")])],
    )
    real = search.Search.find_best

    def deny(self, objective, watch, **options):
        if objective.maximise:
            return real(self, objective, watch, **options)
        return Found("none", float("nan"), objective.limit, np.zeros(0), 0.0)

    monkeypatch.setattr(search.Search, "find_best", deny)
    for circuit in tripkit.plan(yard):
        assert circuit.status != "none exists"
        assert circuit.goal not in FLOORED or circuit.exists


PROFILED = """
import sys, threading
from tripkit.planning.stopping import Breaker

breaker = Breaker()
def end_late():
    if {broken}:
        breaker.break_off()
    return "done"
said = breaker.attempt(end_late, lambda: "broken off")
sys.setprofile(lambda *_: None)
list(map(lambda n: [i for i in range(n)], range(100)))
sys.setprofile(None)
print(said)
"""


@pytest.mark.parametrize(("broken", "said"), [(False, "done"), (True, "broken off")])
def test_nothing_of_it_is_left_in_the_interpreter(broken, said):
    """A function under a profile, as calendars are read with, still comes to its end after it."""
    done = subprocess.run(
        [sys.executable, "-c", PROFILED.format(broken=broken)],
        capture_output=True,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=True,
    )
    assert done.stdout.strip() == said
