"""The command `tripkit`: one function per command, each calls one door and prints what it answers.

Exit 0: done. 1: the answer is no (a finding bars, no circuit fits, rules are broken). 2: bad input
or usage. 3: a fault of tripkit itself. Errors go to stderr, all of a folder at once.
"""

from __future__ import annotations

import argparse
import os
import sys
import traceback
from collections.abc import Iterable, Sequence
from contextlib import suppress
from datetime import date
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

import tripkit
from tripkit.errors import BadValue, BadYard, CannotWrite, TripkitError

if TYPE_CHECKING:
    from tripkit.circuit import Circuit
    from tripkit.solver import Progress
    from tripkit.yard import Yard

DONE, NO, BAD_INPUT, FAULT = 0, 1, 2, 3
INTERRUPTED = 130
BROKEN_PIPE = 141
DEFAULT_PORT = 8866
QUIET_SECONDS = 2.0


def main(arguments: Sequence[str] | None = None) -> int:
    """One command is run; the answer is its exit code."""
    for stream in (sys.stdout, sys.stderr):
        # A name that the terminal's encoding lacks must not end the command.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    asked = make_parser().parse_args(arguments)
    try:
        code: int = asked.run(asked)
        sys.stdout.flush()
    except BadYard as error:
        return _complain(error.errors)
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
        return _complain(["this is a fault of tripkit, not of your files"], FAULT)
    return code


def _complain(errors: Iterable[object], code: int = BAD_INPUT) -> int:
    for error in errors:
        print(error, file=sys.stderr)
    return code


def _print(lines: Iterable[str]) -> None:
    for line in lines:
        print(line)


# The commands


def run_check(asked: argparse.Namespace) -> int:
    """Read everything and say what papers, ages, heights and the vet ask for, by when."""
    from tripkit.printouts import write_check
    from tripkit.vaccination import BARRED

    yard = _read_yard(asked)
    found = tripkit.findings(yard)
    _print(write_check(yard, found, everything=asked.all))
    return NO if any(finding.answer == BARRED for finding in found) else DONE


def run_plan(asked: argparse.Namespace) -> int:
    """Find candidate circuits for the season; progress on stderr, a table on stdout."""
    from tripkit.printouts import write_circuits_table

    yard = _read_yard(asked)
    if asked.tour is not None:
        _find_name(asked.tour, {show.tour for show in yard.shows if show.tour}, "tour")
    if asked.out is not None and not asked.out.parent.is_dir():
        raise CannotWrite(f"{asked.out}: there is no folder {asked.out.parent}")
    if yard.remarks:
        noun = "remark" if len(yard.remarks) == 1 else "remarks"
        print(f"{len(yard.remarks)} {noun} on the files: see tripkit check", file=sys.stderr)
    circuits = tripkit.plan(
        yard, keep=asked.keep, tour=asked.tour, seconds=asked.seconds, report=_Reporter(yard)
    )
    if asked.out is not None:
        tripkit.write_circuits(asked.out, yard, circuits)
    _print(write_circuits_table(yard, circuits))
    return DONE if any(circuit.exists for circuit in circuits) else NO


def run_judge(asked: argparse.Namespace) -> int:
    """Hold circuits against every rule, independent of the planner, and list what they break."""
    from tripkit.printouts import write_judgement

    yard = _read_yard(asked)
    judged = [(c, tripkit.judge(yard, c)) for c in tripkit.read_circuits(asked.file, yard)]
    _print(write_judgement(judged))
    return NO if any(violations for _, violations in judged) else DONE


def run_compare(asked: argparse.Namespace) -> int:
    """Set two circuits side by side: what the right one brings and costs instead of the left."""
    from tripkit.printouts import write_comparison

    yard = _read_yard(asked)
    circuits = tripkit.read_circuits(asked.file, yard)
    left, right = (_find_circuit(circuits, name) for name in (asked.left, asked.right))
    _print(write_comparison(tripkit.compare(yard, left, right), yard.shows))
    return DONE


def run_feeds(asked: argparse.Namespace) -> int:
    """Write the calendar files of a circuit: per horse, owner, rider, groom, driver, vet, yard."""
    yard = _read_yard(asked)
    circuit = _find_circuit(tripkit.read_circuits(asked.file, yard), asked.circuit)
    if not circuit.exists:
        raise BadValue(f"{circuit.name} has no plan ({circuit.status}), so there is no calendar")
    _print(str(path) for path in tripkit.feeds(yard, circuit, asked.out))
    return DONE


def run_serve(asked: argparse.Namespace) -> int:
    """Serve the dashboard on this machine until Ctrl-C ends it."""
    from tripkit.serve import serve

    with suppress(KeyboardInterrupt):
        serve(asked.yard, port=asked.port, open_browser=asked.open)
    return DONE


class _Reporter:
    """Progress of the planner as lines on stderr, of one stage at most every two seconds."""

    def __init__(self, yard: Yard) -> None:
        self._yard = yard
        self._last: dict[str, tuple[str, float]] = {}

    def __call__(self, step: Progress) -> None:
        from tripkit.dashboard.figures import write_objective

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
    return tripkit.read_yard(asked.yard, today=asked.today)


def _find_circuit(circuits: Sequence[Circuit], name: str) -> Circuit:
    found = _find_name(name, [circuit.name for circuit in circuits], "circuit")
    return next(circuit for circuit in circuits if circuit.name == found)


def _find_name(name: str, known: Iterable[str], what: str) -> str:
    """The name as it is known, capitals aside; raises `BadValue` with what it may have meant."""
    from tripkit.files.faults import say_near

    names = sorted(known)
    wanted = name.strip()
    if wanted in names:
        return wanted
    alike = [known_name for known_name in names if known_name.casefold() == wanted.casefold()]
    if len(alike) == 1:
        return alike[0]
    there = f"there are {', '.join(names)}" if names else "there are none"
    raise BadValue(f"{name!r} is no {what} ({there}){say_near(wanted, names)}")


# The words after `tripkit`


def make_parser() -> argparse.ArgumentParser:
    """The parser of all commands; README lists the same (tested)."""
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

    plan = _add(commands, "plan", run_plan)
    plan.add_argument("--keep", type=_whole, default=6, metavar="N", help="circuits to keep (6)")
    plan.add_argument("--tour", metavar="NAME", help="no new entry goes to another tour")
    plan.add_argument(
        "--seconds", type=_seconds, default=60.0, metavar="S", help="time for all goals (60)"
    )
    plan.add_argument("--out", type=Path, metavar="FILE.json", help="write the circuits there")

    judge = _add(commands, "judge", run_judge)
    compare = _add(commands, "compare", run_compare)
    feeds = _add(commands, "feeds", run_feeds)
    for command in (judge, compare, feeds):
        command.add_argument("file", metavar="FILE.json", help="circuits that plan --out wrote")
    compare.add_argument("left", metavar="LEFT", help="name of a circuit")
    compare.add_argument("right", metavar="RIGHT", help="name of a circuit")
    feeds.add_argument("circuit", metavar="CIRCUIT", help="name of a circuit")
    feeds.add_argument("--out", required=True, metavar="DIR", help="folder for the .ics files")
    for command in (check, plan, judge, compare, feeds):
        command.add_argument(
            "--today", type=_date, metavar="DATE", help="plan as of this day (YYYY-MM-DD)"
        )

    serve = _add(commands, "serve", run_serve)
    serve.add_argument(
        "--port", type=_port, default=DEFAULT_PORT, metavar="P", help=f"({DEFAULT_PORT})"
    )
    serve.add_argument("--open", action="store_true", help="open it in the web browser, too")
    return parser


def _add(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], name: str, run: object
) -> argparse.ArgumentParser:
    said = (run.__doc__ or "").splitlines()[0]
    parser: argparse.ArgumentParser = commands.add_parser(
        name, help=said, description=said, allow_abbrev=False
    )
    parser.set_defaults(run=run)
    parser.add_argument("yard", metavar="YARD", help="folder of the yard")
    return parser


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a date (YYYY-MM-DD)") from None


def _whole(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number above zero")
    return int(text)


def _seconds(text: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = 0.0
    if not 0 < number < float("inf"):
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of seconds above zero")
    return number


def _port(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port (1 to 65535)")
    return int(text)
