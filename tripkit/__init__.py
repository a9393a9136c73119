"""tripkit plans a show season: horses, riders, lorries and money together.

The doors
---------
::

    yard     = read_yard("sample_calendar")       a folder becomes a Yard, or BadYard: all faults
    found    = findings(yard)                     papers, ages, heights: what is due by when
    circuits = plan(yard)                         candidate circuits, each with status and bound
    broken   = judge(yard, circuits[0])           the rules it breaks, the planner is not asked
    both     = compare(yard, *circuits[:2])       what differs, right less left
    reason   = why(yard, circuits[0], "Alder", "Dothan 1")    why a horse goes there, or not
    paths    = feeds(yard, circuits[0], "feeds")  calendar files, one per reader
    write_circuits("c.json", yard, circuits)      and read_circuits("c.json", yard) back
    tables.outings_table(circuits[0])             pandas frames of all of these

Importing the package loads none of it: solver, numpy, pandas and widgets come with the first call
that needs them.

The floors
----------
A room imports only from floors below it; a test holds it to that. The ground floor (0 to 9) uses
the standard library only and reads no file, clock, environment or network::

    0   errors      every error, as a tree             1   places      Place, Drive, RoadBook
    0   days        DaySpan, clear days, months        2   limits      the yard's numbers
    0   money       cents, split to the cent           2   rulebook    a number with its source
    2   shows  horses  people  vehicles  papers        3   yard        Yard: all of it, checked once
    2   answers     Verdict, Finding: ok to barred     2   validity    how long a paper holds
    2   treatments  beside published figures           4   categories  ages and levels
    4   vaccination, documents      one paper each     4   recovery    clear days, fit-up, break
    4   eligibility classes and the vet's word         4   paperwork   a horse's papers at a show
    4   checklist   all findings of a yard             4   visits      the fewest visits of the vet
    4   qualifying  what an aim still needs            2   circuit     Outing, Leg, Day, Circuit
    5   wishes      what the next plan is to keep      5   lived       what has begun of the plan
    6   workload    a horse's load by week
    2   oddities    what is probably not meant         4   plausibility  and usual_rates: find it
    6   driving     a leg's timetable                  6   diary       each horse's every day
    6   timetables  driving asked for a yard's legs    6   crews       who drives, all season
    6   driving_day  one day on the road, its halts spread evenly
    6   driving_rules  what a driver may do in a day, edition by edition
    6   logbook     a driver's log held to the rules that logbook_us, logbook_eu, logbook_horses
                    state, on the arithmetic of logbook_case; it never asks driving
    6   costs       to the cent, shared by owners      7   judge_*, judge    the rules a second time
    7   vetlist     the vet's visits of a circuit
    7   scorecard   worth, km, nights, spare days      8   comparison  right less left
    8   timeline    both circuits as SVG               9   problem     what a planner sees
    9   chances     one horse at one show, by itself   9   standing    a horse that is away today
    8   timeline_forms  a form for each kind of day    8   timeline_words  days told in words
    8   mapframe    projection, labels             8   journeys    drives in words
    8   routemap    the map of the drives, its signs in routemap_forms
    8   travelsheet a printed page for every drive
    8   why         asks why_days, why_figures, and puts outings on trial: trial, runs; reasons

and each annex above it lets in one kind of outside thing::

    10  rulebooks   published figures, one TOML file a body
    10  store       sqlite3: what is published, addresses, answers kept
    10  roads       geopy, numpy, scipy: distances along the road network, the gazetteer
    11  files       csv, tomllib, openpyxl, icalendar: a yard folder in, circuits in and out
    12  solver      highspy: the planner
    12  feeds       icalendar: calendars for people
    12  tables      pandas: frames out
    12  sheets      openpyxl: entry sheets
    13  dashboard   ipywidgets, anywidget: the season card
    14  serve       voila, jupyter-server, tornado: one address
    15  printouts, checkprint, commands    argparse: `tripkit` and `python -m tripkit`
    15  terminal    what is printed commands no terminal
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path

    from tripkit import tables
    from tripkit.answers import Finding
    from tripkit.circuit import Circuit
    from tripkit.comparison import Comparison
    from tripkit.errors import BadCircuits, BadValue, BadYard, CannotWrite, TripkitError
    from tripkit.judge_case import Violation
    from tripkit.solver import Progress
    from tripkit.why import OutingExplanation
    from tripkit.yard import Yard

__version__ = "0.1.0"

__all__ = [
    "BadCircuits",
    "BadValue",
    "BadYard",
    "CannotWrite",
    "Circuit",
    "Comparison",
    "Finding",
    "TripkitError",
    "Violation",
    "Yard",
    "__version__",
    "compare",
    "feeds",
    "findings",
    "judge",
    "plan",
    "read_circuits",
    "read_yard",
    "tables",
    "why",
    "write_circuits",
]

ROOM_OF = {
    "BadCircuits": "errors",
    "BadValue": "errors",
    "BadYard": "errors",
    "CannotWrite": "errors",
    "Circuit": "circuit",
    "Comparison": "comparison",
    "Finding": "answers",
    "TripkitError": "errors",
    "Violation": "judge_case",
    "Yard": "yard",
}
"""The names that come from another room at first use, and the room each comes from."""


def read_yard(folder: Path | str, today: date | None = None) -> Yard:
    """A yard folder becomes a yard; `today` wins over the one in yard.toml.

    Raises `BadYard`, whose `errors` hold every fault of the folder with file, row and column.
    What is odd but no fault stands in `yard.remarks`.
    """
    from tripkit.files import read_yard

    return read_yard(folder, today=today)


def findings(yard: Yard) -> tuple[Finding, ...]:
    """What papers, ages, heights and the vet say of every horse at every show, most urgent first.

    Each finding is `barred`, `due`, `unknown` or `ok`, with its rule, reason and source.
    """
    from tripkit import checklist

    return checklist.findings(yard)


def plan(
    yard: Yard,
    *,
    keep: int = 6,
    tour: str | None = None,
    seconds: float = 60.0,
    report: Callable[[Progress], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> list[Circuit]:
    """Candidate circuits of the season, each with its goal, status and bound.

    At most `keep` of them; with `tour`, no new entry goes to another tour; within `seconds` [s].
    `report` hears how the search goes, `should_stop` may end it with the best so far. Where no
    circuit fits, the one returned says so in `status` and why in `reasons`.

    Raises `BadValue` for an unknown tour, `NoPlanner` where the solver cannot be loaded.
    """
    from tripkit.errors import NoPlanner

    try:
        import highspy  # noqa: F401
    except ImportError as error:
        raise NoPlanner(f"the solver cannot be loaded ({error}): install highspy") from error
    from tripkit import solver

    return solver.plan(
        yard, keep=keep, tour=tour, seconds=seconds, report=report, should_stop=should_stop
    )


def judge(yard: Yard, circuit: Circuit) -> tuple[Violation, ...]:
    """Every rule that a circuit breaks, by rule id; none for a good one. The planner is not asked.

    A circuit that does not exist breaks nothing.
    """
    from tripkit.judge import find_violations

    return find_violations(circuit, yard)


def compare(yard: Yard, left: Circuit, right: Circuit) -> Comparison:
    """Two circuits of a yard, point by point; every difference is right less left."""
    from tripkit import comparison

    return comparison.compare(left, right, yard)


def why(yard: Yard, circuit: Circuit, horse: str, show: str) -> OutingExplanation:
    """Why a horse goes to a show in a circuit; if not, what bars it and what would have to change.

    It is put there on trial and judged. Raises `BadValue` for an unknown horse or show.
    """
    from tripkit.why import explain_outing

    return explain_outing(yard, circuit, horse, show)


def feeds(yard: Yard, circuit: Circuit, folder: Path | str) -> tuple[Path, ...]:
    """One calendar file per horse, owner, rider, groom, driver, vet and for the whole yard.

    The folder is made where there is none; answers the files written. Raises `CannotWrite`.
    """
    from tripkit.feeds import write_feeds

    return write_feeds(yard, circuit, folder)


def read_circuits(path: Path | str, yard: Yard | None = None) -> tuple[Circuit, ...]:
    """The circuits of a JSON file; with a yard, its names must be the yard's.

    Raises `BadCircuits` at the first fault, naming its place in the file.
    """
    from tripkit.files import read_circuits

    return read_circuits(path, yard)


def write_circuits(path: Path | str, yard: Yard, circuits: Sequence[Circuit]) -> None:
    """Circuits become a JSON file, whole or not at all. Raises `CannotWrite`."""
    from tripkit.files import write_circuits

    write_circuits(path, yard, circuits)


def __getattr__(name: str) -> Any:
    if name == "tables":
        return import_module("tripkit.tables")
    if name not in ROOM_OF:
        raise AttributeError(f"module 'tripkit' has no attribute {name!r}")
    found = getattr(import_module(f"tripkit.{ROOM_OF[name]}"), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})


class _House(ModuleType):
    """The package keeps its doors `judge`, `feeds`, `why` when rooms of those names are imported.

    Python binds a submodule to its package's attribute of the same name. Who wants the room
    writes `from tripkit.judge import ...`.
    """

    def __setattr__(self, name: str, value: object) -> None:
        if not (name in ("judge", "feeds", "why") and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _House
