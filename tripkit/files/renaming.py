"""A name is corrected everywhere: in the yard's files, in its circuits, and in its store.

The calendars of whoever bears it keep their addresses, and its events their UIDs.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tripkit.files.calendars import CALENDAR_MARK, read_calendars
from tripkit.files.columns import FILE_OF_KIND, STOP_KINDS, WHO_KINDS, Column, list_columns
from tripkit.files.crosscheck import RESERVED_STOPS
from tripkit.files.faults import Faults
from tripkit.files.folder import find_folder, list_files, read_tables
from tripkit.files.renamed import READERS, Renaming, rename_in_circuits
from tripkit.files.rewriting import edit_tables, join_names, try_change
from tripkit.files.settings import read_settings
from tripkit.files.tables import list_rows
from tripkit.files.together import find_last_renaming, finish_change, write_together
from tripkit.files.values import parse_name
from tripkit.store import open_store
from tripkit.yard.circuit import UNNAMED
from tripkit.yard.errors import BadValue, BadYard
from tripkit.yard.facts import Fact, state
from tripkit.yard.names import suggest_near
from tripkit.yard.places import HOME

KINDS = (*FILE_OF_KIND, "tour", "series")
"""What may be renamed. Names of classes are no keys beyond their show."""
"""Columns that name somebody and are not read."""

FORMULA_SIGNS = ("=", "+", "-", "@")
UNSEEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
CIRCUITS_MARK = ".json"
MOST_NAMED = 20


@dataclass(frozen=True)
class Renamed:
    """A name that was corrected: how many cells in which file, and which calendars bear it.

    `cells` has 0 for a file of circuits. `calendars` are the kinds of reader that a calendar was
    published for. `was_done`: an earlier run had done it.
    """

    renaming: Renaming
    cells: tuple[tuple[str, int], ...] = ()
    calendars: tuple[str, ...] = ()
    was_done: bool = False


def rename(yard: Path | str, kind: str, old: str, new: str) -> Renamed:
    """A name becomes another one in every file of the yard folder and in its store.

    What a kill left half done is ended first. The folder is tried with the new name before a byte
    is written; files and store change together. Raises `BadValue` for a name that is unknown,
    taken or no good, `BadYard` where the folder does not read with the new name, `CannotWrite`
    and `BadStore` where nothing could be written.
    """
    path = Path(yard)
    renaming = Renaming(kind, old.strip(), new.strip())
    if kind not in KINDS:
        raise BadValue(state("faults.no-kind-of-name-there", kind=kind, kinds=tuple(KINDS)))
    ended = finish_change(find_folder(path))
    names = _Names(path)
    known = names.list_names(kind)
    if renaming.old not in known and renaming in (ended, find_last_renaming(names.folder)):
        return Renamed(renaming, was_done=True)
    if renaming.old not in known:
        there = state("faults.there-are", names=tuple(sorted(known)))
        near = suggest_near(renaming.old, known) or (there if len(known) <= MOST_NAMED else None)
        raise BadValue(state("faults.no-of-yard", old=renaming.old, kind=kind, near=near))
    _check_new_name(renaming)
    taken = names.find_taken(renaming)
    if taken is not None:
        raise _refuse(renaming.new, taken)
    edits = names.list_edits(renaming)
    faults = Faults()
    files = edit_tables(path, edits, faults)
    faults.raise_if_any()
    circuits = dict(_rename_circuit_files(names.folder, renaming))
    if wrong := try_change(path, {**files, **circuits}, renaming):
        raise BadYard(wrong)
    write_together(names.folder, {**files, **circuits}, renaming)
    cells = [(table, len(cells)) for table, cells in edits.items() if cells]
    return Renamed(
        renaming,
        (*cells, *((name, 0) for name in circuits)),
        _list_calendars(names.folder, renaming),
    )


def _check_new_name(renaming: Renaming) -> None:
    """Raises `BadValue` for a name that no file or calendar bears well."""
    kind, old, new = renaming.kind, renaming.old, renaming.new
    if not new:
        raise BadValue(state("faults.new-name-is-empty"))
    if new == old:
        raise BadValue(state("faults.name-already", new=new))
    try:
        parse_name(new)
    except BadValue as error:
        raise _refuse(new, state("faults.it", error=error.fact)) from None
    odd = next((sign for sign in new if unicodedata.category(sign) in UNSEEN), "")
    if odd:
        raise _refuse(new, state("faults.it-holds-sign-that-nobody", odd=f"{ord(odd):04X}"))
    if new.startswith(FORMULA_SIGNS):
        why = state("faults.spreadsheet-program-takes-what-begins", new_first=new[0])
        raise _refuse(new, why)
    if kind == "person" and ";" in new:
        raise _refuse(new, state("faults.stands-between-names-of-several"))
    if kind == "person" and new.casefold().startswith(UNNAMED):
        raise _refuse(new, state("faults.plans-call-driver-so-whom"))
    if kind in STOP_KINDS and new.casefold() in RESERVED_STOPS:
        raise _refuse(new, state("faults.plans-use-word-themselves"))


def _refuse(new: str, taken: Fact) -> BadValue:
    return BadValue(state("faults.cannot-be-new-name", new=new, taken=taken))


def list_cells(kind: str) -> tuple[tuple[str, Column], ...]:
    """Where the files of a yard name a kind: each file and column."""
    return list_columns(kind)


class _Names:
    """The names of a yard folder, and where they stand."""

    def __init__(self, yard: Path) -> None:
        faults, self.folder = Faults(), find_folder(yard)
        paths = list_files(yard, faults)
        faults.raise_if_any()
        # What is wrong in the files is said when the folder is tried with the new name.
        settings = read_settings(paths, Faults())
        season, zone = settings.season, settings.timezone
        self._tables = read_tables(paths, Faults(), season, zone).tables
        calendars = [path for path in paths if path.suffix.casefold() == CALENDAR_MARK]
        events = read_calendars(calendars, season, zone, Faults(), [], [])
        self._events = {event.cells["show"] for event in events}
        self._places = {settings.place, HOME}
        for table in ("shows", "bases", "venues"):
            self._places |= self._list_cells(table, "place")

    def _list(self, table: str, column: Column) -> set[str]:
        cells = self._list_cells(table, column.name)
        if column.holds_several:
            cells = {name.strip() for cell in cells for name in cell.split(";")}
        return cells - {""}

    def _list_cells(self, table: str, column: str) -> set[str]:
        return {row.cells.get(column, "") for row in list_rows(self._tables, table)} - {""}

    def list_names(self, kind: str) -> set[str]:
        """Every name of a kind, wherever it stands."""
        # A cell that may name another kind as well makes nobody known.
        places = [(t, column) for t, column in list_cells(kind) if len(column.kinds) == 1]
        return {name for table, column in places for name in self._list(table, column)}

    def find_taken(self, renaming: Renaming) -> Fact | None:
        """Who or what bears the new name already; None where it is free."""
        kind, old, new = renaming.kind, renaming.old, renaming.new
        for rival in next((kinds for kinds in (WHO_KINDS, STOP_KINDS) if kind in kinds), (kind,)):
            if new in self.list_names(rival):
                return state("faults.name-is-borne", kind=rival)
        if kind != "show":
            return None
        rows = list_rows(self._tables, "shows", old)
        own = {row.cells.get("name") for row in rows}
        if new in (self._list_cells("shows", "name") | self._events) - own:
            return state("faults.name-of-organisers-show")
        named = {n for t, column in list_columns("place") for n in self._list_cells(t, column.name)}
        if old in named and new in self._places:
            return state("faults.name-of-place")
        if old in self._events and own - {"", None, old}:
            at, name = rows[0], rows[0].cells.get("name")
            return state("faults.name-of-calendar", old=old, file=at.file, row=at.number, name=name)
        return None

    def list_edits(self, renaming: Renaming) -> dict[str, dict[tuple[int, str], str]]:
        """Every cell that holds the old name, by file, with what it becomes."""
        edits: dict[str, dict[tuple[int, str], str]] = {}
        for table, column in list_cells(renaming.kind):
            if "place" in column.kinds and renaming.old in self._places:
                continue
            for row in list_rows(self._tables, table):
                cell = row.cells.get(column.name, "")
                if column.holds_several:
                    new = ";".join(_rename_part(part, renaming) for part in cell.split(";"))
                else:
                    new = renaming.rename(cell)
                if new != cell and row.number is not None:
                    edits.setdefault(row.file, {})[row.number, column.name] = new
        if renaming.kind == "show" and renaming.old in self._events:
            # An organiser's calendar goes on with the old name.
            rows = list_rows(self._tables, "shows", renaming.old)
            own = next((row for row in rows if row.number is not None), None)
            join_names(self._tables, own, renaming.new, renaming.old, edits)
        return edits


def _rename_part(part: str, renaming: Renaming) -> str:
    return part.replace(renaming.old, renaming.new) if part.strip() == renaming.old else part


def _rename_circuit_files(folder: Path, renaming: Renaming) -> Iterator[tuple[str, bytes]]:
    """The new bytes of every file of circuits in the folder that has the old name."""
    for path in sorted(folder.iterdir()):
        if path.suffix.casefold() != CIRCUITS_MARK or path.name.startswith("."):
            continue
        try:
            # A pipe would be waited for.
            text = path.read_bytes().decode("utf-8-sig") if path.is_file() else ""
            written = rename_in_circuits(text, renaming)
            data = written.encode("utf-8")
        except (OSError, ValueError):
            continue
        if written != text:
            yield path.name, data


def _list_calendars(folder: Path, renaming: Renaming) -> tuple[str, ...]:
    with open_store(folder) as store:
        feeds = store.read_shelf(with_events=False).feeds
    return tuple(k for k in READERS.get(renaming.kind, ()) if (k, renaming.new) in feeds)
