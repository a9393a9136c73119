"""The Desk without a browser: what it holds after reading, planning, stopping and failing."""

from __future__ import annotations

import shutil
import threading
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.dashboard.season import make_circuit, make_season
from tests.patience import PATIENCE_SECONDS
from tripkit.dashboard.desk import Desk
from tripkit.dashboard.errands import Doors
from tripkit.files import read_yard, write_circuits
from tripkit.words import page as words
from tripkit.yard.circuit import Circuit, Day, Outing, Totals
from tripkit.yard.errors import BadCircuits, BadYard, InputError, NoPlanner, RulesBroken
from tripkit.yard.facts import state

SAMPLE = Path(__file__).resolve().parents[2] / "sample_calendar"

FAULT = InputError("shows.csv", 12, "first_day", "2027-02-30", state("faults.not-date-yyyymmdd"))


@pytest.fixture(scope="module")
def season():
    yard = make_season()
    circuits = (
        make_circuit(yard, "most worth", "most worth", "Coast"),
        make_circuit(yard, "least road", "least road", "Hills", 3),
        Circuit("tour Moon", "tour Moon", "none exists", reasons=("no road to the Moon",)),
    )
    return yard, circuits


def make_desk(season, folder, **doors):
    yard, circuits = season
    known = {
        "read_yard": lambda folder: yard,
        "read_circuits": lambda path, yard: circuits,
        "plan": lambda yard, **options: circuits,
        "write_feed": lambda yard, circuit, horse, broken: (
            "a.ics",
            f"{circuit.name} {horse}".encode(),
        ),
        "find_violations": lambda yard, circuit: (),
    }
    return Desk(folder, doors=Doors(**{**known, **doors}))


def test_a_yard_without_saved_circuits_is_open_and_unplanned(season, tmp_path):
    """Reading alone never starts the planner: a warm kernel waits for its visitor."""
    desk = make_desk(season, tmp_path)
    desk.open()
    assert desk.yard is season[0]
    assert desk.horse == "Alder"
    assert desk.circuits == ()
    assert not desk.planning


def test_a_visitor_starts_planning_where_nothing_is_planned(season, tmp_path):
    """The first two circuits that exist are laid left and right."""
    desk = make_desk(season, tmp_path)
    desk.open()
    desk.refresh()
    desk.wait(PATIENCE_SECONDS)
    assert (desk.left, desk.right) == ("most worth", "least road")
    assert desk.pair == season[1][:2]
    assert desk.comparison.left_name == "most worth"
    assert desk.notice == "Planned: 2 circuits in 0 s, all proved best."
    assert not desk.planning


def test_saved_circuits_are_shown_without_planning(season, tmp_path):
    """`circuits.json` in the yard folder is read, and a visitor does not start the planner."""
    (tmp_path / "circuits.json").write_text("{}")

    def plan(yard, **options):
        raise AssertionError("must not plan")

    desk = make_desk(season, tmp_path, plan=plan)
    desk.open()
    desk.refresh()
    assert len(desk.circuits) == 3
    assert desk.notice == words.SAVED.format(file="circuits.json")


def test_a_faulty_file_of_circuits_is_said_and_left_aside(season, tmp_path):
    """The page stays usable: the yard is there, the reason is told, planning is offered."""
    (tmp_path / "circuits.json").write_text("{")

    def read(path, yard):
        raise BadCircuits("circuits.json: not JSON")

    desk = make_desk(season, tmp_path, read_circuits=read)
    desk.open()
    assert desk.yard is not None
    assert "circuits.json: not JSON" in desk.notice
    assert desk.advice == words.PLAN_FIRST


def test_a_wrong_yard_shows_every_fault_and_nothing_else(season, tmp_path):
    """Faults with file, row and column (handbook, Commands), no yard, no circuits."""

    def read(folder):
        raise BadYard((FAULT, FAULT))

    desk = make_desk(season, tmp_path, read_yard=read)
    desk.open()
    # What two looks at one cell found is one fault.
    assert desk.errors == (
        "shows.csv row 12, column first_day: '2027-02-30' is not a date (YYYY-MM-DD)",
    )
    assert desk.yard is None
    assert desk.circuits == ()
    desk.plan()
    assert not desk.planning


def test_a_corrected_yard_opens_on_the_next_visit(season, tmp_path):
    """A kernel that was warm before the correction reads the folder again when it is shown."""
    yard = season[0]
    answers = [BadYard((FAULT,)), yard]

    def read(folder):
        answer = answers.pop(0)
        if isinstance(answer, Exception):
            raise answer
        return answer

    desk = make_desk(season, tmp_path, read_yard=read)
    desk.open()
    assert desk.errors
    (tmp_path / "shows.csv").write_text("corrected")
    desk.refresh()
    desk.wait(PATIENCE_SECONDS)
    assert desk.errors == ()
    assert desk.yard is yard


def test_the_planner_is_told_what_to_keep_and_when_to_stop(season, tmp_path):
    """Stop sets what the planner asks for; what it then returns is kept."""
    started, asked = threading.Event(), []

    def plan(yard, keep, seconds, report, should_stop):
        report(SimpleNamespace(goal="most worth", stage="s", objective=1, bound=2, seconds=0.1))
        started.set()
        while not should_stop():
            threading.Event().wait(0.01)
        asked.append((keep, seconds))
        return season[1][:1]

    desk = make_desk(season, tmp_path, plan=plan)
    desk.open()
    desk.plan()
    assert started.wait(PATIENCE_SECONDS)
    assert desk.planning
    desk.stop()
    desk.wait(PATIENCE_SECONDS)
    assert not desk.planning
    assert asked == [(7, 240.0)]
    assert len(desk.progress) == 1
    assert (desk.left, desk.right) == ("most worth", "most worth")


def test_stopping_early_loses_no_circuit(season, tmp_path):
    """A goal that was reached is replaced, one that was not keeps the circuit it had."""
    yard, (most, least, moon) = season
    again = make_circuit(yard, "most worth", "most worth", "Hills", 5)
    desks = []

    def plan(yard, should_stop, **options):
        desks[0].stop()
        return (again, Circuit("least road", "least road", "none in time"))

    desk = make_desk(season, tmp_path, plan=plan)
    desks.append(desk)
    desk.open()
    desk.take_circuits((most, least, moon))
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    assert desk.circuits == (again, least)
    assert desk.notice == words.STOPPED
    assert desk.comparison.left_totals == again.totals


def test_of_each_goal_the_latest_step_is_kept(season, tmp_path):
    """Two searches run at once; each has one line, in the order of their first words."""
    desk = make_desk(season, tmp_path)
    for goal, seconds in (("most worth", 1), ("least road", 2), ("most worth", 3)):
        desk._add_progress(SimpleNamespace(goal=goal, seconds=seconds))
    assert [(step.goal, step.seconds) for step in desk.progress] == [
        ("most worth", 3),
        ("least road", 2),
    ]


@pytest.mark.parametrize(
    ("error", "notice", "advice"),
    [
        (
            NoPlanner("highspy is missing"),
            words.NO_PLANNER.format(reason="highspy is missing"),
            words.NO_PLANNER_DO,
        ),
        (
            RuntimeError("out of luck"),
            words.PLAN_FAILED.format(reason="out of luck"),
            words.PLAN_FAILED_DO.format(folder="yard"),
        ),
        (
            MemoryError(),
            words.PLAN_FAILED.format(reason="MemoryError"),
            words.PLAN_FAILED_DO.format(folder="yard"),
        ),
    ],
)
def test_a_planner_that_fails_is_said_with_what_to_do(season, tmp_path, error, notice, advice):
    """Nothing on the desk is lost, and a visitor's return does not start it over and over."""
    calls = []

    def plan(yard, **options):
        calls.append(1)
        raise error

    folder = tmp_path / "yard"
    folder.mkdir()
    desk = make_desk(season, folder, plan=plan)
    desk.open()
    desk.take_circuits(season[1])
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    assert (desk.notice, desk.advice) == (notice, advice)
    assert not desk.planning
    assert len(desk.circuits) == 3
    desk.refresh()
    assert len(calls) == 1


def test_no_circuit_at_all_is_an_answer(season, tmp_path):
    """A season without a plan keeps its reasons on the desk, and nothing is compared."""
    none = season[1][2:]
    desk = make_desk(season, tmp_path, plan=lambda yard, **options: none)
    desk.open()
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    assert desk.notice == words.PLANNED_NONE
    assert desk.pair == ()
    assert desk.circuits[0].reasons == ("no road to the Moon",)


def test_time_that_ran_out_is_no_proof(season, tmp_path):
    """Where no circuit was found in time, the page does not say that none keeps every rule."""
    none = (Circuit("most worth", "most worth", "none in time"),)
    desk = make_desk(season, tmp_path, plan=lambda yard, **options: none)
    desk.open()
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    assert desk.notice == words.PLANNED_NONE_IN_TIME
    desk.take_circuits(season[1])
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    assert desk.notice == words.NONE_IN_TIME_WITH_WISHES


def test_new_circuits_keep_the_names_chosen(season, tmp_path):
    """Who had chosen two circuits finds the same two after planning again."""
    desk = make_desk(season, tmp_path)
    desk.open()
    desk.take_circuits(season[1])
    desk.left, desk.right = "least road", "most worth"
    desk.plan()
    desk.wait(PATIENCE_SECONDS)
    assert (desk.left, desk.right) == ("least road", "most worth")


def test_choosing_compares_at_once(season, tmp_path):
    """Left and right are traits: whoever follows `pair` sees both circuits and the comparison."""
    desk = make_desk(season, tmp_path)
    desk.open()
    desk.take_circuits(season[1])
    seen = []
    desk.observe(lambda change: seen.append(tuple(c.name for c in change["new"])), "pair")
    desk.right = "most worth"
    desk.left = "least road"
    assert seen == [("most worth", "most worth"), ("least road", "most worth")]
    assert desk.comparison.left_name == "least road"


def test_the_feed_is_that_of_the_chosen_horse_and_side(season, tmp_path):
    """The calendar file follows the diary's two lists."""
    desk = make_desk(season, tmp_path)
    desk.open()
    desk.take_circuits(season[1])
    desk.horse, desk.diary_side = "Larch", "right"
    assert desk.build_feed() == ("a.ics", b"least road Larch")


def test_the_sample_yard_goes_through_the_real_doors(tmp_path):
    """Files, comparison and feeds as they are: a saved file of circuits is opened and shown."""
    folder = tmp_path / "yard"
    shutil.copytree(SAMPLE, folder, ignore=shutil.ignore_patterns("circuits.json"))
    yard = read_yard(folder)
    horse, show = yard.horses[0], yard.shows[0]
    first = show.classes[0]
    outing = Outing(
        horse.horse,
        show.show,
        horse.rider,
        (first.name,),
        first.day,
        first.day,
        first.day - timedelta(days=1),
        first.day + timedelta(days=1),
    )
    days = tuple(Day(h.horse, day, "home", "flat") for h in yard.horses for day in yard.season)
    totals = Totals(outings=1)
    out = Circuit("out", "most worth", "proved best", 0, 0, 1, totals, (outing,), (), days)
    home = Circuit("home", "most rest", "proved best", 0, 0, 1, Totals(), (), (), days)
    write_circuits(folder / "circuits.json", yard, (out, home))
    desk = Desk(folder)
    desk.open()
    assert desk.errors == ()
    assert [circuit.name for circuit in desk.pair] == ["out", "home"]
    assert desk.comparison.outings.difference == -1
    with pytest.raises(RulesBroken, match="one-place"):
        desk.build_feed()
    name, data = desk.build_feed()
    assert name.endswith(".ics")
    assert data.startswith(b"BEGIN:VCALENDAR\r\n")


def test_a_folder_that_vanishes_is_said(season, tmp_path):
    """An OSError of the reader becomes words on the page."""

    def read(folder):
        raise FileNotFoundError("no such folder")

    desk = make_desk(season, tmp_path / "gone", read_yard=read)
    desk.open()
    assert desk.errors == (words.YARD_FAILED.format(reason="no such folder"),)
    desk.refresh()
    assert desk.yard is None
