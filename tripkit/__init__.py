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

The folders, from the top floor down
------------------------------------
::

    15 __main__      `python -m tripkit`: the same as the command `tripkit`.
    14 commands      The command line: `tripkit` and `python -m tripkit`; each command calls one
                     door.
    14 dashboard     The dashboard: one Desk that holds the state, and parts of a page that know
                     only the Desk.
    13 serve         One address for dashboard and feeds: Voila with tripkit's own look and
                     routes.
    12 planning      The planner: candidate circuits for a season, each with the bound that says
                     how good it is.
    12 publishing    Calendars that people subscribe to: one feed per horse, owner, rider, groom,
                     driver, vet, yard.
    12 pages         What is printed or opened in a table: travel sheets, entry sheets, frames.
    11 files         The files of a yard: its folder in, its circuits in and out.
    10 roads         Where places are and how far a lorry drives between them.
     9 store         What a yard keeps between runs, in one SQLite file in its folder:
                     `tripkit.sqlite`.
     8 rulebooks     Rule books as data: one TOML file a book, every number with its source and
                     its dates.
     8 handbook      The handbook: chapters in Markdown beside this file, for the command line
                     and the page.
     7 pictures      Both circuits drawn: the strips of days and the map of the drives, as SVG
                     text.
     6 words         Records into sentences: the only folder that makes them.
     5 explaining    Why: an outing, a day, a figure, each asked for its reasons.
     4 judging       The rules a second time: every rule that a circuit breaks, by id, without
                     asking the planner.
     3 driving       One drive to the minute, and who drives: timetables that keep the drivers'
                     hours and the horses'.
     3 season        What follows from a circuit: each horse's every day, the cost to the cent,
                     and how two differ.
     3 plausibility  What reads well and is probably not meant: questions about the yard, never
                     refusals.
     2 eligibility   Who may jump what, when: classes, ages and levels, papers, doses, clearance,
                     aims.
     1 yard          The yard and what it is made of: horses, shows, people, vehicles, papers,
                     numbers, and circuits.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any

from tripkit.yard.facts import Fact, appoint, state

if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path

    from tripkit.explaining.outing import OutingExplanation
    from tripkit.explaining.reasons import Explanation, Point
    from tripkit.explaining.trial import Trial
    from tripkit.judging.case import Violation
    from tripkit.pages import tables
    from tripkit.season.comparison import (
        Amount,
        ClosingDate,
        Comparison,
        Figure,
        HorseComparison,
        OwnerComparison,
        RiderComparison,
        SharedOuting,
        WeekDifference,
    )
    from tripkit.yard.answers import Finding
    from tripkit.yard.bases import Base
    from tripkit.yard.circuit import (
        Begun,
        Circuit,
        Day,
        DroppedEntry,
        Leg,
        Outing,
        RiderWay,
        Stand,
        Status,
        Stop,
        Totals,
    )
    from tripkit.yard.days import DaySpan
    from tripkit.yard.errors import (
        BadCircuits,
        BadStore,
        BadValue,
        BadYard,
        CannotWrite,
        InputError,
        NoPlanner,
        OutOfDate,
        RulesBroken,
        TripkitError,
    )
    from tripkit.yard.facts import Span
    from tripkit.yard.goals import Progress
    from tripkit.yard.horses import Aim, Entry, Horse, OutingsWanted, Result, VetCheck
    from tripkit.yard.limits import Limits
    from tripkit.yard.oddities import Oddity
    from tripkit.yard.papers import Paper
    from tripkit.yard.people import Absence, Person, Share
    from tripkit.yard.places import Drive, Place, RoadBook
    from tripkit.yard.rulebook import Rule, RuleBook
    from tripkit.yard.shows import Show, ShowClass
    from tripkit.yard.treatments import Treatment
    from tripkit.yard.vehicles import Vehicle
    from tripkit.yard.yard import CostRates, DrivingSettings, Yard

__version__ = "0.1.0"

__all__ = [
    "Absence",
    "Aim",
    "Amount",
    "BadCircuits",
    "BadStore",
    "BadValue",
    "BadYard",
    "Base",
    "Begun",
    "CannotWrite",
    "Circuit",
    "ClosingDate",
    "Comparison",
    "CostRates",
    "Day",
    "DaySpan",
    "Drive",
    "DrivingSettings",
    "DroppedEntry",
    "Entry",
    "Explanation",
    "Fact",
    "Figure",
    "Finding",
    "Horse",
    "HorseComparison",
    "InputError",
    "Leg",
    "Limits",
    "NoPlanner",
    "Oddity",
    "OutOfDate",
    "Outing",
    "OutingExplanation",
    "OutingsWanted",
    "OwnerComparison",
    "Paper",
    "Person",
    "Place",
    "Point",
    "Progress",
    "Result",
    "RiderComparison",
    "RiderWay",
    "RoadBook",
    "Rule",
    "RuleBook",
    "RulesBroken",
    "Share",
    "SharedOuting",
    "Show",
    "ShowClass",
    "Span",
    "Stand",
    "Status",
    "Stop",
    "Totals",
    "Treatment",
    "Trial",
    "TripkitError",
    "Vehicle",
    "VetCheck",
    "Violation",
    "WeekDifference",
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
    "tell",
    "why",
    "write_circuits",
]

ROOM_OF = {
    "Absence": "yard.people",
    "Aim": "yard.horses",
    "Amount": "season.comparison",
    "BadCircuits": "yard.errors",
    "BadStore": "yard.errors",
    "BadValue": "yard.errors",
    "BadYard": "yard.errors",
    "Base": "yard.bases",
    "Begun": "yard.circuit",
    "CannotWrite": "yard.errors",
    "Circuit": "yard.circuit",
    "ClosingDate": "season.comparison",
    "Comparison": "season.comparison",
    "CostRates": "yard.yard",
    "Day": "yard.circuit",
    "DaySpan": "yard.days",
    "Drive": "yard.places",
    "DrivingSettings": "yard.yard",
    "DroppedEntry": "yard.circuit",
    "Entry": "yard.horses",
    "Explanation": "explaining.reasons",
    "Fact": "yard.facts",
    "Figure": "season.comparison",
    "Finding": "yard.answers",
    "Horse": "yard.horses",
    "HorseComparison": "season.comparison",
    "InputError": "yard.errors",
    "Leg": "yard.circuit",
    "Limits": "yard.limits",
    "NoPlanner": "yard.errors",
    "Oddity": "yard.oddities",
    "OutOfDate": "yard.errors",
    "Outing": "yard.circuit",
    "OutingsWanted": "yard.horses",
    "OutingExplanation": "explaining.outing",
    "OwnerComparison": "season.comparison",
    "Paper": "yard.papers",
    "Person": "yard.people",
    "Place": "yard.places",
    "Point": "explaining.reasons",
    "Progress": "yard.goals",
    "Result": "yard.horses",
    "RiderComparison": "season.comparison",
    "RiderWay": "yard.circuit",
    "RoadBook": "yard.places",
    "Rule": "yard.rulebook",
    "RuleBook": "yard.rulebook",
    "RulesBroken": "yard.errors",
    "Share": "yard.people",
    "SharedOuting": "season.comparison",
    "Show": "yard.shows",
    "Span": "yard.facts",
    "ShowClass": "yard.shows",
    "Stand": "yard.circuit",
    "Status": "yard.circuit",
    "Stop": "yard.circuit",
    "Totals": "yard.circuit",
    "Treatment": "yard.treatments",
    "Trial": "explaining.trial",
    "TripkitError": "yard.errors",
    "Vehicle": "yard.vehicles",
    "VetCheck": "yard.horses",
    "Violation": "judging.case",
    "WeekDifference": "season.comparison",
    "Yard": "yard.yard",
}
"""The types that doors take, give, raise and report, and the room each comes from at first use."""


def read_yard(folder: Path | str, today: date | None = None) -> Yard:
    """A yard folder becomes a yard; `today` wins over the one in yard.toml.

    Raises `BadYard`, whose `errors` hold every fault of the folder with file, row and column.
    What is odd but no fault stands in `yard.remarks`. `BadValue` where `today` is a text or a
    moment: a day is a `date`.
    """
    from tripkit.files import read_yard

    return read_yard(folder, today=today)


def findings(yard: Yard) -> tuple[Finding, ...]:
    """What papers, ages, heights and the vet say of every horse at every show, most urgent first.

    Each finding is `barred`, `due`, `unknown` or `ok`, with its rule, reason and source.
    """
    from tripkit.eligibility import checklist

    return checklist.findings(yard)


def plan(
    yard: Yard,
    *,
    keep: int = 7,
    tour: str | None = None,
    seconds: float = 240.0,
    report: Callable[[Progress], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> list[Circuit]:
    """Candidate circuits of the season, each with its goal, status and bound.

    At most `keep` of them; with `tour`, no new entry goes to another tour; within `seconds` [s].
    `report` hears how the search goes, `should_stop` may end it with the best so far. Where no
    circuit fits, the one returned says so in `status` and why in `reasons`.

    Raises `BadValue` for an unknown tour, `NoPlanner` where the solver cannot be loaded.
    """
    from tripkit.yard.errors import NoPlanner

    try:
        import highspy  # noqa: F401
    except ImportError as error:
        raise NoPlanner(
            state("values.solver-cannot-be-loaded-install", error=str(error))
        ) from error
    from tripkit import planning
    from tripkit.yard.names import find_name

    if tour is not None:
        tour = find_name(tour, {show.tour for show in yard.shows if show.tour}, "tour")
    return planning.plan(
        yard, keep=keep, tour=tour, seconds=seconds, report=report, should_stop=should_stop
    )


def judge(yard: Yard, circuit: Circuit) -> tuple[Violation, ...]:
    """Every rule that a circuit breaks, by rule id; none for a good one. The planner is not asked.

    A circuit that does not exist breaks nothing.
    """
    from tripkit.judging.judge import find_violations

    return find_violations(yard, circuit)


def compare(yard: Yard, left: Circuit, right: Circuit) -> Comparison:
    """Two circuits of a yard, point by point; every difference is right less left."""
    from tripkit.season import comparison

    return comparison.compare(yard, left, right)


def why(yard: Yard, circuit: Circuit, horse: str, show: str) -> OutingExplanation:
    """Why a horse goes to a show in a circuit; if not, what bars it and what would have to change.

    It is put there on trial and judged. Names are found whatever their capitals; raises `BadValue`
    for an unknown horse or show, with those that it may have meant.
    """
    from tripkit.explaining.outing import explain_outing
    from tripkit.yard.names import find_name

    horse = find_name(horse, yard.horse_by_name, "horse")
    show = find_name(show, yard.show_by_name, "show")
    return explain_outing(yard, circuit, horse, show)


def feeds(yard: Yard, circuit: Circuit, folder: Path | str) -> tuple[Path, ...]:
    """One calendar file per horse, owner, rider, groom, driver, vet and for the whole yard.

    The folder is made where there is none; answers the files written. Raises `CannotWrite`.
    """
    from tripkit.publishing import write_feeds

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


def tell(fact: Fact) -> str:
    """A fact in English, dates as files have them; `str()` of a fact gives the same."""
    from tripkit.words.telling import tell

    return tell(fact)


def _draw(record: Any) -> str:
    from tripkit.pages.notebook import draw_record

    return draw_record(record)


appoint(tell=tell, draw=_draw)


def __getattr__(name: str) -> Any:
    if name == "tables":
        return import_module("tripkit.pages.tables")
    if name not in ROOM_OF:
        raise AttributeError(f"module 'tripkit' has no attribute {name!r}")
    found = getattr(import_module(f"tripkit.{ROOM_OF[name]}"), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
