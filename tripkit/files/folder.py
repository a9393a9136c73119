"""Which files of a yard folder are read: CSV files, or one workbook, and calendar files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tripkit.days import DaySpan
from tripkit.files.calendars import CALENDAR_MARK, merge_calendars, read_calendars
from tripkit.files.columns import REQUIRED_TABLES, TABLES
from tripkit.files.faults import Faults, find_near, say_near
from tripkit.files.settings import SETTINGS_FILE
from tripkit.files.tables import RawRow, RawTable, list_sheets, read_csv
from tripkit.files.workbooks import is_answer

WORKBOOK_MARK = ".xlsx"


@dataclass
class FolderTables:
    """The raw tables of a folder by name, and those that are there but cannot be read."""

    tables: dict[str, RawTable] = field(default_factory=dict)
    unreadable: set[str] = field(default_factory=set)
    remarks: list[str] = field(default_factory=list)


def find_folder(yard: Path) -> Path:
    """The folder of a yard: itself, or where its workbook lies."""
    return yard.parent if yard.is_file() else yard


def list_files(yard: Path, faults: Faults) -> list[Path]:
    """The files of a yard in order, hidden and lock files aside; a fault where it is none.

    Of a yard named by its workbook, other workbooks and CSV files beside it are not its own.
    """
    try:
        if yard.is_dir():
            return _list_folder(yard)
        if is_answer(yard):
            faults.add(str(yard), "is a workbook of answers that tripkit wrote, not a yard")
            return []
        if yard.is_file() and yard.suffix.casefold() == WORKBOOK_MARK:
            others = (path for path in _list_folder(yard.parent) if path.name != yard.name)
            tables = (WORKBOOK_MARK, ".csv")
            return [yard, *(path for path in others if path.suffix.casefold() not in tables)]
        wanted = (
            f"is not a folder or a workbook ({WORKBOOK_MARK})"
            if yard.exists()
            else "there is no such folder or workbook"
        )
    except (OSError, ValueError) as error:
        wanted = f"cannot be read ({getattr(error, 'strerror', None) or error})"
    faults.add(str(yard), wanted)
    return []


def _list_folder(folder: Path) -> list[Path]:
    return sorted(path for path in folder.iterdir() if not path.name.startswith((".", "~$")))


def read_tables(
    paths: Sequence[Path], faults: Faults, season: DaySpan | None = None, home_zone: str = ""
) -> FolderTables:
    """The tables of all files of a folder; a required one that is missing is a fault.

    Of calendar files the shows in and around the season count; see `read_calendars`.
    """
    found = FolderTables()
    faults.announce(SETTINGS_FILE)
    by_name = {path.name.casefold(): path for path in paths}
    csv_paths = {name: by_name[f"{name}.csv"] for name in TABLES if f"{name}.csv" in by_name}
    books = [path for path in paths if path.suffix.casefold() == WORKBOOK_MARK]
    workbooks = [path for path in books if not is_answer(path)]
    for path in books:
        if path not in workbooks:
            found.remarks.append(f"{path.name}: is not read, because tripkit wrote it as an answer")
    calendars = [path for path in paths if path.suffix.casefold() == CALENDAR_MARK]
    spare: list[str] = []
    if csv_paths or not workbooks:
        _read_csv_files(csv_paths, found, faults)
        known = {path.name for path in csv_paths.values()}
        spare = [p.name for p in paths if p.suffix.casefold() == ".csv" and p.name not in known]
        for path in workbooks:
            found.remarks.append(f"{path.name}: is not read, because the folder has CSV files")
    else:
        spare = _read_workbook(workbooks, found, faults)
    events = read_calendars(calendars, season, home_zone, faults, found.remarks)
    _merge(events, bool(calendars), found)
    absent = [name for name in TABLES if name not in found.tables]
    for name in spare:
        mark = ".csv" if name.casefold().endswith(".csv") else ""
        near = find_near(name, [f"{other}{mark}" for other in absent], 1)
        hint = f"; did you mean {near[0]}?" if near else ""
        found.remarks.append(f"{name}: is no file of a yard folder and is not read{hint}")
    for name in REQUIRED_TABLES:
        if name not in found.tables and name not in found.unreadable:
            faults.add(f"{name}.csv", f"is missing{say_near(f'{name}.csv', spare)}")
            found.unreadable.add(name)
    return found


def _read_csv_files(paths: dict[str, Path], found: FolderTables, faults: Faults) -> None:
    for name in TABLES:
        if name in paths:
            faults.announce(paths[name].name)
            table = read_csv(paths[name], faults)
            if table is None:
                found.unreadable.add(name)
            else:
                found.tables[name] = table
        elif name in REQUIRED_TABLES:
            faults.announce(f"{name}.csv")


def _read_workbook(paths: Sequence[Path], found: FolderTables, faults: Faults) -> list[str]:
    """Reads the one workbook that is the yard's; answers its sheets that are no tables."""
    if len(paths) > 1:
        names = ", ".join(path.name for path in paths)
        faults.add(paths[0].name, f"is one of several workbooks ({names}); keep one")
        found.unreadable.update(TABLES)
        return []
    sheets = list_sheets(paths[0], faults)
    if not sheets:
        if not faults.has_any(paths[0].name):
            faults.add(paths[0].name, "holds no rows")
        found.unreadable.update(TABLES)
        return []
    found.tables.update({name: sheets[name] for name in TABLES if name in sheets})
    return [table.file for name, table in sheets.items() if name not in TABLES]


def _merge(events: Sequence[RawRow], has_calendars: bool, found: FolderTables) -> None:
    if "shows" in found.unreadable:
        return
    merged = merge_calendars(found.tables.get("shows"), events)
    if merged is not None:
        found.tables["shows"] = merged
    elif has_calendars:
        # Calendar files without a show to read have said so themselves.
        found.unreadable.add("shows")
