"""The front door: what `import tripkit` gives, what it costs, and how README begins."""

from __future__ import annotations

import inspect
import json
import re
import subprocess
import sys
import typing
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest

import tripkit
from tests.build import make_yard
from tripkit.explaining.days import explain_day
from tripkit.yard import errors as errors_room
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import NoPlanner

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
HEAVY = (
    "anywidget",
    "geopy",
    "highspy",
    "icalendar",
    "ipywidgets",
    "numpy",
    "openpyxl",
    "pandas",
    "scipy",
    "tornado",
    "voila",
)
LOOK = """
import json, sys
before = set(sys.modules)
import tripkit
%s
sys.stderr.write(json.dumps(sorted(set(sys.modules) - before)))
"""
MOST_MODULES = 100
DOORS = ("compare", "feeds", "findings", "judge", "plan", "read_yard")


def look(more=""):
    done = subprocess.run(
        [sys.executable, "-c", LOOK % more], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return json.loads(done.stderr)


def test_import_loads_neither_solver_nor_widgets():
    """Handbook, Python: what is heavy comes with the first call that needs it."""
    loaded = {name.split(".")[0] for name in look()}
    assert loaded & set(HEAVY) == set()


def test_import_is_quick():
    """Few modules, Python's own and of the yard's facts; `tests.bench.measure` takes the time."""
    loaded = look()
    others = {name.split(".")[0] for name in loaded} - set(sys.stdlib_module_names)
    assert others == {"tripkit"}
    assert {name.split(".")[1] for name in loaded if name.startswith("tripkit.")} <= {"yard"}
    assert len(loaded) <= MOST_MODULES


@pytest.mark.parametrize(
    "more",
    [
        "import tripkit.files",
        "import tripkit.files.renaming, tripkit.files.shows_merge",
        "tripkit.Progress, tripkit.Yard",
        "from tripkit.commands.line import make_parser; make_parser()",
    ],
)
def test_what_is_heavy_comes_when_it_is_asked_for(more):
    """Reading rooms, types and command line load Python's own and tripkit's: no solver, no towns.

    Source: the modules that are there afterwards; `python -X importtime` takes the time.
    """
    loaded = {name.split(".")[0] for name in look(more)} - set(sys.stdlib_module_names)
    assert {name for name in loaded if not name.startswith("_")} == {"tripkit"}


def test_a_yard_is_checked_without_solver_and_what_only_some_yards_need():
    """A folder without calendars is read with towns and roads, and nothing of solver or tables."""
    loaded = {name.split(".")[0] for name in look("tripkit.read_yard('sample_calendar')")}
    assert loaded & set(HEAVY) == {"geopy", "numpy", "scipy"}


@pytest.mark.parametrize("name", tripkit.__all__)
def test_every_public_name_is_there_and_documented(name):
    """What `__all__` promises can be had, and says what it is."""
    found = getattr(tripkit, name)
    assert name in dir(tripkit)
    assert name in ("__version__", "Status") or inspect.getdoc(found)


def test_an_unknown_name_is_an_attribute_error():
    """Lazy loading must not make every name look possible."""
    with pytest.raises(AttributeError, match="no attribute 'publish'"):
        _ = tripkit.publish


def test_no_folder_bears_the_name_of_a_door():
    """Python would bind the door's name to the folder as soon as it is imported."""
    folders = {path.parent.name for path in (ROOT / "tripkit").glob("*/__init__.py")}
    assert folders & set(DOORS) == set()


def list_types_at_the_door():
    """Every type of the package in the annotations of doors, and of what those are made of."""
    exported = {name: getattr(tripkit, name) for name in tripkit.ROOM_OF}
    outside = {"Path": Path, "date": date}
    seen, ahead = set(), []

    def look_into(annotation):
        ours = isinstance(annotation, type) and annotation.__module__.startswith("tripkit.")
        if ours and annotation not in seen:
            seen.add(annotation)
            ahead.append(annotation)
        for part in typing.get_args(annotation):
            look_into(part)

    for name in set(tripkit.__all__) - set(tripkit.ROOM_OF) - {"__version__", "tables"}:
        hints = typing.get_type_hints(getattr(tripkit, name), None, exported | outside)
        for annotation in hints.values():
            look_into(annotation)
    while ahead:
        for annotation in typing.get_type_hints(ahead.pop()).values():
            look_into(annotation)
    return seen


def test_every_type_at_the_door_is_exported_and_documented():
    """What a door takes or gives, down to the rows of a yard, has a name at the front."""
    found = list_types_at_the_door()
    assert {t.__name__ for t in found} - set(tripkit.__all__) == set()
    assert len(found) > 40
    assert [t for t in found if not inspect.getdoc(t)] == []


def test_every_error_is_exported():
    """Whoever calls a door can catch what it raises by name."""
    errors = {
        name
        for name, value in vars(errors_room).items()
        if inspect.isclass(value) and issubclass(value, Exception)
    }
    assert errors - set(tripkit.__all__) == set()


def test_a_yard_and_a_circuit_are_one_line():
    """A notebook's or a debugger's line says which one it is, not all of it."""
    yard = tripkit.read_yard(ROOT / "sample_calendar")
    assert repr(yard).startswith("<Yard ")
    assert "12 horses, 43 shows" in repr(yard)
    none = Circuit("Most worth", "most worth", "none exists")
    assert repr(none) == "<Circuit 'Most worth': none exists>"
    for record in (yard, none, tripkit.compare(yard, none, none)):
        assert "\n" not in repr(record)
        assert len(repr(record)) < 200


def test_a_notebook_shows_circuits_and_comparisons_as_tables_with_names_escaped():
    """What a yard is called never becomes markup."""
    circuit = Circuit("<b>Gulf</b>", "most worth", "none exists", reasons=("a < b",))
    other = Circuit("Other", "least cost", "none exists")
    shown = circuit._repr_html_()
    assert "&lt;b&gt;Gulf&lt;/b&gt;" in shown
    assert "a &lt; b" in shown
    both = tripkit.compare(make_yard(), circuit, other)._repr_html_()
    assert "&lt;b&gt;Gulf&lt;/b&gt;" in both
    assert both.count("<tr>") == 8


def test_names_are_found_whatever_their_capitals():
    """As on the command line; what nobody is called says who there is."""
    yard = tripkit.read_yard(ROOT / "sample_calendar")
    none = Circuit("Most worth", "most worth", "none exists")
    told = tripkit.why(yard, none, "aLDER", "dothan 1")
    assert "Alder" in str(told.question)
    with pytest.raises(tripkit.BadValue, match=r"'Aldr' is no horse .*did you mean 'Alder'"):
        tripkit.why(yard, none, "Aldr", "Dothan 1")
    with pytest.raises(tripkit.BadValue, match="is no tour"):
        tripkit.plan(yard, tour="nowhere")


def test_read_yard_takes_today():
    """`today` wins over the one in yard.toml, by place or by name."""
    folder = ROOT / "sample_calendar"
    assert tripkit.read_yard(folder, date(2027, 3, 5)).today == date(2027, 3, 5)
    assert tripkit.read_yard(folder).today == date(2027, 2, 28)  # the day before the season


@pytest.mark.parametrize("given", ["2027-03-10", datetime(2027, 3, 10, 8), 20270310, ""])
def test_a_day_is_a_date_at_every_door(given):
    """A text, a moment and a number are no day, said at the door before anything is read."""
    yard = make_yard()
    doors = (
        lambda: tripkit.read_yard("no such folder", given),
        lambda: replace(yard, today=given),
        lambda: tripkit.DaySpan(given, given),
        lambda: explain_day(yard, Circuit("Home", "least cost", "proved best"), "Dancer", given),
    )
    for door in doors:
        with pytest.raises(tripkit.BadValue) as refused:
            door()
        fact = refused.value.fact
        assert (fact.code, fact.get("given")) == ("values.no-day", repr(given))


def test_judge_and_compare_take_the_yard_first():
    """The handbook's order of arguments (Python): yard, then circuits."""
    yard = make_yard()
    none = Circuit("None", "most worth", "none exists")
    assert tripkit.judge(yard, none) == ()
    both = tripkit.compare(yard, none, Circuit("Other", "least cost", "none exists"))
    assert (both.left_name, both.right_name) == ("None", "Other")


def test_feeds_writes_files(tmp_path):
    """The door answers the paths of the files it wrote."""
    paths = tripkit.feeds(make_yard(), Circuit("Home", "least cost", "proved best"), tmp_path)
    assert sorted(paths) == sorted(tmp_path.iterdir())
    assert any(path.name == "horse-dancer.ics" for path in paths)


def test_circuits_come_back_as_they_were_written(tmp_path):
    """One door writes the file, the other reads it."""
    home = Circuit("Home", "least cost", "proved best", 0.0, 0.0, 0.5)
    yard = make_yard()
    tripkit.write_circuits(tmp_path / "c.json", yard, [home])
    assert tripkit.read_circuits(tmp_path / "c.json", yard) == (home,)


def test_a_missing_solver_is_named(monkeypatch):
    """Without highspy everything but planning works, and planning says what to install."""
    monkeypatch.setitem(sys.modules, "highspy", None)
    with pytest.raises(NoPlanner, match="highspy"):
        tripkit.plan(make_yard())


# README


def test_readme_is_short():
    """At most 9 kB; the rest is the handbook's."""
    assert len(README.encode()) <= 9000


def test_readme_starts_with_the_job_then_two_commands():
    """One paragraph, then what to type to see it and to test it."""
    job, see = README.removeprefix("# tripkit\n\n").split("\n\n")[:2]
    assert job.startswith("tripkit plans")
    assert see.startswith("See it")
    blocks = re.findall(r"^```sh\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)
    assert "tripkit serve sample_calendar" in blocks[0]
    assert "pytest" in blocks[1]
    for block in blocks[:2]:
        assert block.startswith("python3 -m venv .venv && ")
        assert len(block.splitlines()) == 1


def test_pictures_of_the_readme_are_there():
    """Four; no picture is a broken link or lies unused, and each is small enough to look at."""
    paths = re.findall(r"!\[[^\]]+\]\(([^)]+)\)|<img src=\"([^\"]+)\"", README)
    paths = ["".join(path) for path in paths]
    assert len(paths) == 4
    assert {ROOT / path for path in paths} == set((ROOT / paths[0]).parent.iterdir())
    for path in paths:
        assert (ROOT / path).stat().st_size < 1_000_000
