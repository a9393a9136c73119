"""The command `tripkit`: one function per command, each calls one door and prints what it answers.

Exit 0: done. 1: the answer is no (a finding bars, no circuit fits, rules are broken). 2: bad input
or usage. 3: a fault of tripkit itself. Errors go to stderr, all of a folder at once.
"""

from __future__ import annotations

import argparse
import os
import sys
import traceback
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import date
from getpass import getpass
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import tripkit
from tripkit.commands.terminal import guard_terminal, stop_on_interrupt
from tripkit.words.faults import fold_errors
from tripkit.yard.errors import (
    BadStore,
    BadValue,
    BadYard,
    CannotWrite,
    RulesBroken,
    TripkitError,
)
from tripkit.yard.facts import Fact, Reason, state
from tripkit.yard.goals import CIRCUITS, PLAN_SECONDS
from tripkit.yard.names import find_name

if TYPE_CHECKING:
    from tripkit.judging.case import Violation
    from tripkit.season.wishes import Wishes
    from tripkit.yard.circuit import Circuit
    from tripkit.yard.goals import Progress
    from tripkit.yard.yard import Yard

DONE, NO, BAD_INPUT, FAULT = 0, 1, 2, 3
INTERRUPTED = 130
BROKEN_PIPE = 141
DEFAULT_PORT = 8866
QUIET_SECONDS = 2.0
MOST_ODD_TOLD = 12


def main(arguments: Sequence[str] | None = None) -> int:
    """One command is run; the answer is its exit code."""
    with guard_terminal():
        return _run(arguments)


def run_and_leave() -> NoReturn:
    """One command is run and the process ends, whatever threads were left behind in it."""
    code = main()
    solver = sys.modules.get("tripkit.planning.stopping")
    if solver is not None and solver.list_left_behind():
        for stream in (sys.stdout, sys.stderr):
            if stream is not None:
                with suppress(OSError):
                    stream.flush()
        os._exit(code)
    raise SystemExit(code)


def _run(arguments: Sequence[str] | None) -> int:
    asked = make_parser().parse_args(arguments)
    try:
        code: int = asked.run(asked)
        sys.stdout.flush()
    except BadYard as error:
        return _complain(fold_errors(error.errors))
    except RulesBroken:
        # What is broken was told where the yard is known.
        return _complain([state("commands.nothing-written")], NO)
    except TripkitError as error:
        return _complain([error])
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # Whoever read has read enough; what is left over must not be written at the end either.
        with suppress(OSError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return BROKEN_PIPE
    except OSError as error:
        return _complain([f"{error.filename or 'standard output'}: {error.strerror or error}"])
    except Exception as error:
        traceback.print_exception(error)
        return _complain([state("commands.fault")], FAULT)
    return code


def _complain(errors: Iterable[object], code: int = BAD_INPUT) -> int:
    for error in errors:
        print(error, file=sys.stderr)
    return code


def _print(lines: Iterable[Reason]) -> None:
    for line in lines:
        # A line's end inside a name would make two lines of it.
        print(str(line).replace("\n", "\\n"))


def _answer(yard: Yard, lines: Iterable[Reason]) -> None:
    """An answer, at its head the day as of which it is given."""
    from tripkit.commands.printouts import write_head

    _print([write_head(yard), *lines])


def _list_files(yard: Yard, paths: Iterable[object]) -> None:
    """The files written, for another program to read; the head of the answer goes to stderr."""
    from tripkit.commands.printouts import write_head

    print(write_head(yard), file=sys.stderr)
    _print(str(path) for path in paths)


# The commands


def run_check(asked: argparse.Namespace) -> int:
    """Read everything and say what papers, ages, heights and the vet ask for, by when."""
    from tripkit.commands.findings import write_check
    from tripkit.planning.keeping import find_clashes
    from tripkit.yard.answers import BARRED

    if (asked.plan is None) is not (asked.circuit is None):
        raise BadValue(state("values.plan-and-circuit-belong-together"))
    yard = _read_yard(asked)
    circuit = None
    if asked.plan is not None:
        circuit = _find_circuit(tripkit.read_circuits(asked.plan, yard), asked.circuit)
        if not circuit.exists:
            raise BadValue(
                state("values.has-no-plan-so-no", circuit_name=circuit.name, status=circuit.status)
            )
    found = tripkit.findings(yard)
    clashes = [clash.fact for clash in find_clashes(yard)] if yard.bound_entries else []
    _answer(yard, write_check(yard, found, clashes, everything=asked.all, circuit=circuit))
    return NO if clashes or any(finding.answer == BARRED for finding in found) else DONE


def run_plan(asked: argparse.Namespace) -> int:
    """Find candidate circuits for the season; progress on stderr, a table on stdout."""
    from tripkit.commands.printouts import write_circuits_table, write_oddities
    from tripkit.explaining.reasons import find_unkept
    from tripkit.files.circuits import holds_circuits
    from tripkit.files.outputs import refuse_inputs
    from tripkit.planning.problem import build_problem
    from tripkit.words.telling import choose_teller

    yard, wishes = _read_with_wishes(asked)
    tour = asked.tour
    if tour is None:
        tour = wishes.tour or None
    else:
        tour = find_name(tour, {show.tour for show in yard.shows if show.tour}, "tour")
    if asked.out is not None:
        if not asked.out.parent.is_dir():
            raise CannotWrite(
                state("values.there-is-no-folder", out=str(asked.out), parent=str(asked.out.parent))
            )
        refuse_inputs([asked.out], asked.yard)
    if yard.oddities:
        print("\n".join(write_oddities(yard, MOST_ODD_TOLD)), file=sys.stderr)
    if yard.remarks:
        print(state("commands.remarks", count=len(yard.remarks)), file=sys.stderr)
    with _silence_libraries(), stop_on_interrupt() as is_stopped:
        circuits = tripkit.plan(
            yard,
            keep=asked.keep,
            tour=tour,
            seconds=asked.seconds,
            report=_Reporter(yard),
            should_stop=is_stopped,
        )
    found = any(circuit.exists for circuit in circuits)
    kept = asked.out is not None and not found and holds_circuits(asked.out)
    try:
        if asked.out is not None and (found or not (kept or is_stopped())):
            tripkit.write_circuits(asked.out, yard, circuits)
    finally:
        # A full disk must not take what was found as well.
        _answer(yard, write_circuits_table(yard, circuits))
    if kept:
        print(state("commands.left-as-it-was", out=str(asked.out)), file=sys.stderr)
    teller = choose_teller(yard, local=False)
    for unkept in find_unkept(yard, wishes, circuits, lambda y: build_problem(y).excluded):
        print(teller.tell(state("commands.wish-not-kept", wish=unkept)), file=sys.stderr)
    if is_stopped():
        return INTERRUPTED
    return DONE if found else NO


@contextmanager
def _silence_libraries() -> Iterator[None]:
    """The solver's library writes a line of its own now and then: not among the answers."""
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def run_judge(asked: argparse.Namespace) -> int:
    """Hold circuits against every rule, independent of the planner, and list what they break."""
    from tripkit.commands.printouts import write_judgement
    from tripkit.judging.judge import find_past_violations

    yard = _read_yard(asked)
    circuits = tripkit.read_circuits(asked.file, yard)
    judged = [(circuit, tripkit.judge(yard, circuit)) for circuit in circuits]
    past = [(circuit, find_past_violations(yard, circuit)) for circuit in circuits]
    _answer(yard, write_judgement(yard, judged, past))
    return NO if any(violations for _, violations in judged) else DONE


def run_compare(asked: argparse.Namespace) -> int:
    """Set two circuits side by side: what the right one brings and costs instead of the left."""
    from tripkit.commands.printouts import write_comparison

    yard = _read_yard(asked)
    circuits = tripkit.read_circuits(asked.file, yard)
    left, right = (_find_circuit(circuits, name) for name in (asked.left, asked.right))
    _answer(yard, write_comparison(tripkit.compare(yard, left, right), yard.shows))
    return DONE


def run_why(asked: argparse.Namespace) -> int:
    """Say why a horse goes to a show or not, which rules bar it and what would have to change."""
    from tripkit.commands.printouts import write_why

    yard = _read_yard(asked)
    horse = find_name(asked.horse, yard.horse_by_name, "horse")
    show = find_name(asked.show, yard.show_by_name, "show")
    circuits = tripkit.read_circuits(asked.file, yard)
    if asked.circuit is not None:
        circuits = (_find_circuit(circuits, asked.circuit),)
    found = [(c, tripkit.why(yard, c, horse, show)) for c in circuits]
    _answer(yard, write_why(yard, found))
    return DONE if any(explanation.is_yes for _, explanation in found) else NO


def run_entries(asked: argparse.Namespace) -> int:
    """Write the entry sheets of a circuit: per show and owner, closing dates, fees, shares."""
    from tripkit.files.outputs import refuse_inputs
    from tripkit.pages.entry_sheets import write_entries
    from tripkit.words.verdicts import write_broken

    refuse_inputs([asked.out], asked.yard, asked.file, answers=True)
    yard = _read_yard(asked)
    circuit = _find_circuit(tripkit.read_circuits(asked.file, yard), asked.circuit)
    if not circuit.exists:
        raise BadValue(
            state("values.has-no-plan-so-there", circuit_name=circuit.name, status=circuit.status)
        )
    told = write_broken(yard, circuit, _admit(asked, yard, circuit))
    _list_files(yard, [write_entries(yard, circuit, asked.out, told)])
    return DONE


def run_feeds(asked: argparse.Namespace) -> int:
    """Write the calendar files of a circuit: per horse, owner, rider, groom, driver, vet, yard."""
    from tripkit.files import reader
    from tripkit.files.outputs import refuse_inputs
    from tripkit.publishing import export_feeds, list_outdated
    from tripkit.store import open_store

    folder = Path(asked.out)
    refuse_inputs([folder / "yard.ics", *folder.glob("*.ics")], asked.yard, asked.file)
    yard = _read_yard(asked)
    circuit = _find_circuit(tripkit.read_circuits(asked.file, yard), asked.circuit)
    if not circuit.exists:
        raise BadValue(
            state("values.has-no-plan-so-there-2", circuit_name=circuit.name, status=circuit.status)
        )
    broken = _admit(asked, yard, circuit)
    store, secret = open_store(asked.yard), asked.secret_names
    paths = export_feeds(yard, circuit, store, asked.out, secret_names=secret, broken=broken)
    _list_files(yard, paths)
    outdated = list_outdated(yard, circuit, store, reader.read_clock(), broken=broken)
    if outdated:
        print(state("commands.outdated", count=len(outdated)), file=sys.stderr)
    return DONE


def run_publish(asked: argparse.Namespace) -> int:
    """Make a circuit the current one: feeds show it, and what changed is told per reader."""
    from tripkit.commands.printouts import write_published
    from tripkit.files import reader
    from tripkit.publishing import publish
    from tripkit.store import open_store

    yard = _read_yard(asked)
    circuit = _find_circuit(tripkit.read_circuits(asked.file, yard), asked.circuit)
    broken = _admit(asked, yard, circuit)
    now = reader.read_clock()
    published = publish(yard, circuit, open_store(asked.yard), now, broken=broken)
    _answer(yard, write_published(published))
    return DONE


def run_addresses(asked: argparse.Namespace) -> int:
    """Show the secret address of each reader's calendar; renew or revoke one."""
    from tripkit.commands.printouts import write_addresses
    from tripkit.files import reader
    from tripkit.files.atomic import write_whole
    from tripkit.files.outputs import refuse_inputs
    from tripkit.publishing import (
        list_addresses,
        name_file,
        renew_addresses,
        revoke_addresses,
        switch_alarms,
    )
    from tripkit.store import open_store

    store, now = open_store(asked.yard), reader.read_clock()
    if not Path(asked.yard).exists():
        raise BadValue(state("values.no-yard-folder-it-does-2", yard=asked.yard))
    if asked.renew is not None:
        renew_addresses(store, asked.renew, now)
    if asked.revoke is not None:
        revoke_addresses(store, asked.revoke, now)
    for who, on in ((asked.alarms_on, True), (asked.alarms_off, False)):
        if who is not None:
            switch_alarms(store, who, on, now)
    shown = list_addresses(store)
    rows = [(a.reader.kind, a.reader.name, a.link, a.alarms) for a in shown]
    _print(write_addresses(rows, str(asked.yard) if any(a.is_only_here for a in shown) else ""))
    if asked.qr is not None:
        asked.qr.mkdir(parents=True, exist_ok=True)
        for address in shown:
            if not address.is_revoked:
                path = (asked.qr / name_file(address.reader)).with_suffix(".svg")
                refuse_inputs([path], asked.yard)
                write_whole(path, address.draw_qr().encode("utf-8"))
                print(path)
    return DONE if shown else NO


def run_import(asked: argparse.Namespace) -> int:
    """Show what an organiser's calendar changes in the shows of the yard, and take it if asked."""
    from tripkit.commands.printouts import write_preview
    from tripkit.files.folder import find_folder
    from tripkit.files.outputs import refuse_inputs
    from tripkit.files.shows_merge import preview_merge, read_calendar_file, take_merge

    data = read_calendar_file(asked.calendar)
    preview = preview_merge(asked.yard, data, asked.calendar.name, drop_missing=asked.drop_missing)
    _print(write_preview(preview))
    if asked.take:
        refuse_inputs([find_folder(Path(asked.yard)) / preview.file], None, asked.calendar)
        taken = take_merge(asked.yard, preview)
        others = (taken.with_name(name) for name in preview.files if name != taken.name)
        _print([state("commands.taken", paths=tuple(map(str, (taken, *others))))])
    elif not preview.faults:
        _print([state("commands.not-taken-yet", files=tuple(preview.files))])
    return NO if preview.faults else DONE


def run_rename(asked: argparse.Namespace) -> int:
    """Correct a name in all files and in the store: calendars keep their addresses and events."""
    from tripkit.commands.printouts import write_renamed
    from tripkit.files.renaming import rename

    _print(write_renamed(rename(asked.yard, asked.kind, asked.old, asked.new)))
    return DONE


def run_sheets(asked: argparse.Namespace) -> int:
    """Write a printed page a drive, one a lorry and person with its season, and the route map."""
    from tripkit.files.outputs import refuse_inputs
    from tripkit.pages.travel_files import MAP, SEASONS, SHEETS, write_travel_files
    from tripkit.words.telling import choose_calendar_teller
    from tripkit.words.verdicts import write_broken

    refuse_inputs(
        [Path(asked.out) / name for name in (SHEETS, SEASONS, MAP)], asked.yard, asked.file
    )
    yard = _read_yard(asked)
    circuit = _find_circuit(tripkit.read_circuits(asked.file, yard), asked.circuit)
    if not circuit.exists:
        raise BadValue(
            state("values.has-no-plan-so-there-3", circuit_name=circuit.name, status=circuit.status)
        )
    broken = _admit(asked, yard, circuit)
    told = write_broken(yard, circuit, broken, choose_calendar_teller(yard))
    _list_files(yard, write_travel_files(yard, circuit, asked.out, told))
    return DONE


def run_serve(asked: argparse.Namespace) -> int:
    """Serve dashboard and feeds until Ctrl-C ends it, on this machine only unless told."""
    from tripkit.serve import serve

    password = os.environ.get("TRIPKIT_PASSWORD", "")
    if asked.password:
        password = getpass(str(state("commands.password")))
        if not password:
            raise BadValue(state("values.empty-password-keeps-nobody-out"))
    with suppress(KeyboardInterrupt):
        serve(
            asked.yard,
            port=asked.port,
            open_browser=asked.open,
            ip=asked.ip,
            base_url=asked.base_url,
            public_address=asked.public,
            password=password,
            most_pages=asked.pages,
        )
    return DONE


def run_handbook(asked: argparse.Namespace) -> int:
    """Print a chapter of the handbook, or say which chapters there are."""
    from tripkit.handbook import list_titles, read_chapter

    titles = list_titles()
    if asked.chapter is None:
        wide = max(map(len, titles))
        _print(f"{name.ljust(wide)}  {title}" for name, title in titles.items())
        return DONE
    _print(read_chapter(find_name(asked.chapter, titles, "chapter")).splitlines())
    return DONE


class _Reporter:
    """Progress of the planner as lines on stderr, of one stage at most every two seconds."""

    def __init__(self, yard: Yard) -> None:
        self._yard = yard
        self._last: dict[str, tuple[str, float]] = {}

    def __call__(self, step: Progress) -> None:
        from tripkit.words.figures import write_objective

        stage, seconds = self._last.get(step.goal, ("", -QUIET_SECONDS))
        if step.stage == stage and step.seconds - seconds < QUIET_SECONDS:
            return
        self._last[step.goal] = (step.stage, step.seconds)
        said = f"{step.seconds:5.1f} s  {step.goal}: {step.stage}"
        for name, number in (("found", step.objective), ("bound", step.bound)):
            if number is not None and isfinite(number):
                said += f", {name} {write_objective(step.goal, number, self._yard)}"
        print(said, file=sys.stderr, flush=True)


def _read_yard(asked: argparse.Namespace) -> Yard:
    """The yard, with the two numbers wished for in the place of its own.

    Other wishes are asked of the next plan only and bind no circuit.
    """
    return _read_with_wishes(asked, only_numbers=True)[0]


def _read_with_wishes(
    asked: argparse.Namespace, *, only_numbers: bool = False
) -> tuple[Yard, Wishes]:
    """The yard with the wishes in force, as the page has them; stderr says which."""
    from tripkit.files.wishes import read_wishes
    from tripkit.season.wishes import Wishes, apply_wishes, fit_wishes, list_wishes
    from tripkit.words.telling import choose_teller

    yard, wishes = tripkit.read_yard(asked.yard, today=asked.today), Wishes()
    if not asked.without_wishes:
        # A store that cannot be read is told where the yard is read.
        with suppress(BadStore):
            wishes = fit_wishes(yard, read_wishes(asked.yard))
    if only_numbers:
        wishes = wishes.numbers
    if wishes:
        told = state("commands.wishes-in-force", wishes=tuple(w for _, _, w in list_wishes(wishes)))
        print(choose_teller(yard, local=False).tell(told), file=sys.stderr)
    return apply_wishes(yard, wishes), wishes


def _admit(asked: argparse.Namespace, yard: Yard, circuit: Circuit) -> tuple[Violation, ...]:
    """The judge at the door: what is broken `--anyway` is said on stderr, else it is an error."""
    from tripkit.judging.judge import admit
    from tripkit.words.verdicts import write_broken

    try:
        broken = admit(yard, circuit, anyway=asked.anyway)
    except RulesBroken as error:
        _complain(write_broken(yard, circuit, error.violations))
        raise
    _complain(write_broken(yard, circuit, broken))
    return broken


def _find_circuit(circuits: Sequence[Circuit], name: str) -> Circuit:
    found = find_name(name, [circuit.name for circuit in circuits], "circuit")
    return next(circuit for circuit in circuits if circuit.name == found)


# The words after `tripkit`


def make_parser() -> argparse.ArgumentParser:
    """The parser of all commands; the handbook lists the same (tested)."""
    parser = argparse.ArgumentParser(
        prog="tripkit",
        description="Plans a show season: horses, riders, lorries and money together.",
        epilog="Exit 0: done. 1: the answer is no. 2: bad input or usage. 3: a fault of tripkit.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"tripkit {tripkit.__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", required=True)

    check = _add(commands, "check", run_check)
    check.add_argument("--all", action="store_true", help="every finding, not only what needs you")
    check.add_argument(
        "--plan", metavar="FILE.json", type=Path, help="tell the vet's visits of a circuit in FILE"
    )
    check.add_argument("--circuit", metavar="CIRCUIT", help="which circuit of --plan")

    plan = _add(commands, "plan", run_plan)
    plan.add_argument(
        "--keep", type=_whole, default=CIRCUITS, metavar="N", help=f"circuits to keep ({CIRCUITS})"
    )
    plan.add_argument("--tour", metavar="NAME", help="no new entry goes to another tour")
    plan.add_argument(
        "--seconds",
        type=_seconds,
        default=PLAN_SECONDS,
        metavar="S",
        help=f"time for all goals ({PLAN_SECONDS:g})",
    )
    plan.add_argument("--out", type=Path, metavar="FILE.json", help="write the circuits there")

    judge = _add(commands, "judge", run_judge)
    compare = _add(commands, "compare", run_compare)
    why = _add(commands, "why", run_why)
    entries = _add(commands, "entries", run_entries)
    for command in (why, entries):
        command.add_argument("file", metavar="FILE.json", help="circuits that plan --out wrote")
        command.add_argument(
            "--today", type=_date, metavar="DATE", help="plan as of this day (YYYY-MM-DD)"
        )
    why.add_argument("--horse", required=True, metavar="H", help="name of a horse")
    why.add_argument("--show", required=True, metavar="S", help="id of a show")
    why.add_argument("--circuit", metavar="NAME", help="one circuit (all of the file)")
    entries.add_argument("circuit", metavar="CIRCUIT", help="name of a circuit")
    entries.add_argument(
        "--out", required=True, type=Path, metavar="FILE.xlsx", help="write the workbook there"
    )
    feeds = _add(commands, "feeds", run_feeds)
    publish = _add(commands, "publish", run_publish)
    for command in (judge, compare, feeds, publish):
        command.add_argument("file", metavar="FILE.json", help="circuits that plan --out wrote")
    compare.add_argument("left", metavar="LEFT", help="name of a circuit")
    compare.add_argument("right", metavar="RIGHT", help="name of a circuit")
    for command in (feeds, publish):
        command.add_argument("circuit", metavar="CIRCUIT", help="name of a circuit")
    feeds.add_argument("--out", required=True, metavar="DIR", help="folder for the .ics files")
    feeds.add_argument(
        "--secret-names", action="store_true", help="name the files by their secret addresses"
    )
    for command in (check, plan, judge, compare, feeds, publish):
        command.add_argument(
            "--today", type=_date, metavar="DATE", help="plan as of this day (YYYY-MM-DD)"
        )

    bring = _add(commands, "import", run_import)
    bring.add_argument("calendar", type=Path, metavar="FILE.ics", help="an organiser's calendar")
    bring.add_argument("--take", action="store_true", help="write it into the yard's folder")
    bring.add_argument(
        "--drop-missing", action="store_true", help="shows that left the file are cancelled"
    )

    renamed = _add(commands, "rename", run_rename)
    renamed.add_argument(
        "kind", metavar="KIND", help="horse, person, vehicle, show, tour or series"
    )
    renamed.add_argument("old", metavar="OLD", help="the name as the files have it")
    renamed.add_argument("new", metavar="NEW", help="the name as it should be")

    sheets = _add(commands, "sheets", run_sheets)
    sheets.add_argument("file", metavar="FILE.json", help="circuits that plan --out wrote")
    sheets.add_argument("circuit", metavar="CIRCUIT", help="name of a circuit")
    sheets.add_argument(
        "--out",
        required=True,
        metavar="DIR",
        help="folder for travel.html, seasons.html and routes.svg",
    )
    sheets.add_argument(
        "--today", type=_date, metavar="DATE", help="plan as of this day (YYYY-MM-DD)"
    )

    for command in (check, plan, judge, compare, why, entries, feeds, publish, sheets):
        command.add_argument(
            "--without-wishes", action="store_true", help="although the page has wishes in force"
        )
    for command in (entries, feeds, publish, sheets):
        command.add_argument(
            "--anyway", action="store_true", help="although the circuit breaks rules"
        )

    addresses = _add(commands, "addresses", run_addresses)
    for option, said in (
        ("--renew", "a new address instead of the old one"),
        ("--revoke", "the address answers nobody any more"),
        ("--alarms-on", "reminders ring"),
        ("--alarms-off", "reminders do not ring"),
    ):
        addresses.add_argument(option, metavar="WHO", help=f"{said} (a name, or kind and name)")
    addresses.add_argument("--qr", type=Path, metavar="DIR", help="folder for QR codes as .svg")

    serve = _add(commands, "serve", run_serve)
    serve.add_argument(
        "--port", type=_port, default=DEFAULT_PORT, metavar="P", help=f"port ({DEFAULT_PORT})"
    )
    serve.add_argument(
        "--ip", default="127.0.0.1", metavar="ADDRESS", help="listen here (this machine only)"
    )
    serve.add_argument(
        "--base-url", default="/", metavar="PATH", help="path that a reverse proxy passes on (/)"
    )
    serve.add_argument("--public", default="", metavar="URL", help="where people reach the server")
    serve.add_argument("--password", action="store_true", help="ask for the dashboard's password")
    serve.add_argument(
        "--pages", type=_whole, default=10, metavar="N", help="cards open at once; more wait (10)"
    )
    serve.add_argument("--open", action="store_true", help="open it in the web browser, too")

    handbook = _add(commands, "handbook", run_handbook, of_yard=False)
    handbook.add_argument("chapter", nargs="?", metavar="CHAPTER", help="its short name, as listed")
    return parser


def _add(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    run: object,
    *,
    of_yard: bool = True,
) -> argparse.ArgumentParser:
    said = (run.__doc__ or "").splitlines()[0]
    parser: argparse.ArgumentParser = commands.add_parser(
        name, help=said, description=said, allow_abbrev=False
    )
    parser.set_defaults(run=run)
    if of_yard:
        said = "folder of the yard, or its workbook (.xlsx)"
        parser.add_argument("yard", metavar="YARD", help=said)
    return parser


def _date(text: str) -> date:
    try:
        found = date.fromisoformat(text)
    except ValueError:
        found = None
    # Python reads other ways to write a date as well (20270301, 2027-W09-1).
    if found is None or found.isoformat() != text:
        from tripkit.files.values import say_dates

        _refuse(state("commands.no-date", text=text, hint=say_dates(text)))
    return found


def _whole(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) < 1:
        _refuse(state("commands.no-whole-number", text=text))
    return int(text)


def _seconds(text: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = 0.0
    if not 0 < number < float("inf"):
        _refuse(state("commands.no-seconds", text=text))
    return number


def _port(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 65535:
        _refuse(state("commands.no-port", text=text))
    return int(text)


def _refuse(fault: Fact) -> NoReturn:
    raise argparse.ArgumentTypeError(str(fault))
