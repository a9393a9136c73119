"""The doors that the Desk goes through to the other rooms; heavy rooms load on first use."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from markupsafe import Markup

from tripkit.dashboard.filing import write_frames
from tripkit.dashboard.noticeboard import Board, Posted
from tripkit.dashboard.provenance import Found, Seen, find_found, keep_found, look_at
from tripkit.explaining.reasons import Bars
from tripkit.files.wishes import revise_wishes
from tripkit.judging.case import Violation
from tripkit.season.wishes import Wishes
from tripkit.store import Turn, take_turn
from tripkit.words import page as words
from tripkit.words.telling import choose_calendar_teller, choose_teller
from tripkit.words.verdicts import write_broken
from tripkit.yard.circuit import Circuit
from tripkit.yard.errors import BadCircuits
from tripkit.yard.yard import Yard

Broken = Sequence[Violation]


def _read_yard(folder: Path) -> Yard:
    from tripkit.files import read_yard

    return read_yard(folder)


def _read_circuits(path: Path, yard: Yard) -> Sequence[Circuit]:
    from tripkit.files import read_circuits

    return read_circuits(path, yard)


def _is_of_another_day(yard: Yard) -> bool:
    from tripkit.files import is_of_another_day

    return is_of_another_day(yard)


def _fits(yard: Yard, circuit: Circuit) -> bool:
    """Whether a circuit of the yard as it was can be shown of the yard: same names, same rows."""
    from tripkit.files.circuits import dump_circuits, parse_circuits

    rows = {(day.horse, day.date) for day in circuit.days}
    try:
        parse_circuits(dump_circuits(yard, [circuit]), circuit.name, yard)
    except BadCircuits:
        return False
    return not circuit.exists or rows == {(h.horse, d) for h in yard.horses for d in yard.season}


def _plan(yard: Yard, **options: Any) -> Sequence[Circuit]:
    import tripkit

    return tripkit.plan(yard, **options)


def _compare(yard: Yard, left: Circuit, right: Circuit) -> Any:
    from tripkit.season.comparison import compare

    return compare(yard, left, right)


def _write_feed(yard: Yard, circuit: Circuit, horse: str, broken: Broken) -> tuple[str, bytes]:
    from tripkit.publishing import Reader, name_file, write_feed

    reader = Reader("horse", horse)
    return name_file(reader), write_feed(yard, circuit, reader, broken=broken)


def _write_yard_feed(yard: Yard, circuit: Circuit, broken: Broken) -> tuple[str, bytes]:
    from tripkit.publishing import Reader, name_file, write_feed

    reader = Reader("yard", yard.name)
    return name_file(reader), write_feed(yard, circuit, reader, broken=broken)


def _write_circuits(yard: Yard, circuits: Sequence[Circuit]) -> bytes:
    from tripkit.files.circuits import dump_circuits

    return dump_circuits(yard, circuits).encode("utf-8")


def _find_violations(yard: Yard, circuit: Circuit) -> Sequence[Any]:
    from tripkit.judging.judge import find_violations

    return find_violations(yard, circuit)


def _save_circuits(path: Path, yard: Yard, circuits: Sequence[Circuit]) -> None:
    from tripkit.files import write_circuits
    from tripkit.files.outputs import refuse_inputs

    refuse_inputs([path], path.parent)
    write_circuits(path, yard, circuits)


def _write_workbook(yard: Yard, circuit: Circuit, broken: Broken) -> bytes:
    from tripkit.pages import tables

    sheets = {
        words.SHEET_OUTINGS: tables.outings_table(circuit),
        words.SHEET_LEGS: tables.legs_table(circuit),
        words.SHEET_DAYS: tables.days_table(circuit),
        words.SHEET_COSTS: tables.costs_table(yard, circuit),
        words.SHEET_OWNERS: tables.owners_table(yard, circuit),
    }
    if broken:
        told = tables.violations_table(broken, choose_teller(yard, local=False))
        sheets = {words.SHEET_BROKEN: told, **sheets}
    return write_frames(sheets)


def _write_entries(yard: Yard, circuit: Circuit, broken: Broken) -> bytes:
    from tripkit.pages.entry_sheets import write_entries

    with TemporaryDirectory(prefix="tripkit-") as scratch:
        path = Path(scratch) / "entries.xlsx"
        return write_entries(yard, circuit, path, write_broken(yard, circuit, broken)).read_bytes()


def _write_travel(yard: Yard, circuit: Circuit, broken: Broken) -> bytes:
    from tripkit.pages.travel_sheet import write_travel_sheets

    told = write_broken(yard, circuit, broken, choose_calendar_teller(yard))
    written = write_travel_sheets(yard, circuit, told)
    return written.encode("utf-8", errors="replace")


def _draw_map(yard: Yard, circuit: Circuit) -> bytes:
    from tripkit.pages.travel_files import MAP_PX
    from tripkit.roads.basemap import draw_season_map

    drawn = draw_season_map(yard, circuit, None, MAP_PX, alone=True)
    return drawn.encode("utf-8", errors="replace")


def _preview_merge(folder: Path, data: bytes, name: str, drop_missing: bool) -> Any:
    from tripkit.files.shows_merge import preview_merge

    return preview_merge(folder, data, name, drop_missing=drop_missing)


def _take_merge(folder: Path, preview: Any) -> Path:
    from tripkit.files.shows_merge import take_merge

    return take_merge(folder, preview)


def _find_findings(yard: Yard) -> Sequence[Any]:
    from tripkit.eligibility.checklist import findings

    return findings(yard)


def _find_bars(yard: Yard) -> Bars:
    from tripkit.planning.problem import build_problem

    return build_problem(yard).excluded


def _explain_day(yard: Yard, circuit: Circuit, horse: str, day: date) -> Any:
    from tripkit.explaining.days import explain_day

    return explain_day(yard, circuit, horse, day)


def _explain_outing(yard: Yard, circuit: Circuit, horse: str, show: str) -> Any:
    from tripkit.explaining.outing import explain_outing

    return explain_outing(yard, circuit, horse, show)


def _explain_figure(yard: Yard, circuit: Circuit, figure: str) -> Any:
    from tripkit.explaining.figures import explain_figure

    return explain_figure(yard, circuit, figure)


def _read_board(folder: Path, yard: Yard, circuits: Sequence[Circuit]) -> Board:
    from tripkit.publishing.addresses import list_addresses
    from tripkit.publishing.publish import is_current, list_last_changes
    from tripkit.store import open_store

    store = open_store(folder)
    shelf = store.read_shelf(with_events=False)
    addresses = list_addresses(store)
    return Board(
        shelf.current.circuit,
        shelf.current.published,
        shelf.current.revision,
        tuple(c.name for c in circuits if c.exists and is_current(yard, c, shelf)),
        tuple(
            Posted(
                f"{a.reader.kind} {a.reader.name}",
                a.reader.kind,
                a.reader.name,
                a.link,
                a.webcal,
                a.alarms,
                Markup(a.draw_qr()),
                folder.name if a.is_only_here else "",
            )
            for a in addresses
        ),
        tuple((f"{r.kind} {r.name}", text) for r, text in list_last_changes(store)),
    )


def _publish(folder: Path, yard: Yard, circuit: Circuit, upon: int, broken: Broken) -> None:
    from tripkit.files import reader
    from tripkit.publishing.publish import publish
    from tripkit.store import open_store

    publish(yard, circuit, open_store(folder), reader.read_clock(), upon=upon, broken=broken)


def _change_address(folder: Path, do: str, who: str) -> None:
    from tripkit.files import reader
    from tripkit.publishing import addresses
    from tripkit.store import open_store

    store, now = open_store(folder), reader.read_clock()
    if do == "renew":
        addresses.renew_addresses(store, who, now)
    elif do == "revoke":
        addresses.revoke_addresses(store, who, now)
    elif do in ("ring", "hush"):
        addresses.switch_alarms(store, who, do == "ring", now)


@dataclass(frozen=True)
class Doors:
    """What the Desk asks of the other rooms; a test puts its own in their place."""

    read_yard: Callable[[Path], Yard] = _read_yard
    read_circuits: Callable[[Path, Yard], Sequence[Circuit]] = _read_circuits
    look_at: Callable[[Path, Path], Seen] = look_at
    is_of_another_day: Callable[[Yard], bool] = _is_of_another_day
    fits: Callable[[Yard, Circuit], bool] = _fits
    revise_wishes: Callable[[Path, Callable[[Wishes], Wishes]], Wishes] = revise_wishes
    take_turn: Callable[[Path], Turn | None] = take_turn
    plan: Callable[..., Sequence[Circuit]] = _plan
    compare: Callable[[Yard, Circuit, Circuit], Any] = _compare
    find_violations: Callable[[Yard, Circuit], Sequence[Any]] = _find_violations
    write_feed: Callable[[Yard, Circuit, str, Broken], tuple[str, bytes]] = _write_feed
    write_yard_feed: Callable[[Yard, Circuit, Broken], tuple[str, bytes]] = _write_yard_feed
    write_circuits: Callable[[Yard, Sequence[Circuit]], bytes] = _write_circuits
    save_circuits: Callable[[Path, Yard, Sequence[Circuit]], None] = _save_circuits
    write_workbook: Callable[[Yard, Circuit, Broken], bytes] = _write_workbook
    write_entries: Callable[[Yard, Circuit, Broken], bytes] = _write_entries
    write_travel: Callable[[Yard, Circuit, Broken], bytes] = _write_travel
    draw_map: Callable[[Yard, Circuit], bytes] = _draw_map
    preview_merge: Callable[[Path, bytes, str, bool], Any] = _preview_merge
    take_merge: Callable[[Path, Any], Path] = _take_merge
    find_findings: Callable[[Yard], Sequence[Any]] = _find_findings
    find_bars: Callable[[Yard], Bars] = _find_bars
    explain_day: Callable[[Yard, Circuit, str, date], Any] = _explain_day
    explain_outing: Callable[[Yard, Circuit, str, str], Any] = _explain_outing
    explain_figure: Callable[[Yard, Circuit, str], Any] = _explain_figure
    read_board: Callable[[Path, Yard, Sequence[Circuit]], Board] = _read_board
    find_found: Callable[[Path, str, Yard, Wishes], Found | None] = find_found
    keep_found: Callable[[Path, str, Yard, Wishes, Sequence[Circuit]], None] = keep_found
    publish: Callable[[Path, Yard, Circuit, int, Broken], None] = _publish
    change_address: Callable[[Path, str, str], None] = _change_address
