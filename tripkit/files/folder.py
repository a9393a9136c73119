"""Which files of a yard folder are read: CSV files, or one workbook, and calendar files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tripkit.files.calendars import (
    CALENDAR_MARK,
    merge_calendars,
    read_calendars,
    set_aside_cancelled,
)
from tripkit.files.columns import REQUIRED_TABLES, TABLES
from tripkit.files.faults import Faults
from tripkit.files.localrules import LOCAL_FILE
from tripkit.files.naming import find_meant
from tripkit.files.settings import SETTINGS_FILE
from tripkit.files.spreadsheets import read_workbook
from tripkit.files.tables import RawRow, RawTable, read_csv
from tripkit.files.workbooks import is_answer
from tripkit.yard.days import DaySpan
from tripkit.yard.errors import give_reason
from tripkit.yard.facts import Fact, state
from tripkit.yard.names import suggest_near

TABLE_MARK, WORKBOOK_MARK, SETTINGS_MARK = ".csv", ".xlsx", ".toml"
READ_MARKS = (WORKBOOK_MARK, TABLE_MARK, CALENDAR_MARK, SETTINGS_MARK)
"""How the files end that a yard is read from."""
COLUMNS = {name: tuple(column.name for column in columns) for name, columns in TABLES.items()}
SETTINGS = (SETTINGS_FILE, LOCAL_FILE)
OTHER_PROGRAMS = (".ods", ".fods", ".xls", ".xlsm", ".xlsb", ".numbers", ".gsheet")
TEXT_MARKS = (".txt", ".tsv", ".tab")
SAVE_AS = state("faults.save-as", mark=WORKBOOK_MARK)


@dataclass
class FolderTables:
    """The raw tables of a folder by name, and those that are there but cannot be read."""

    tables: dict[str, RawTable] = field(default_factory=dict)
    unreadable: set[str] = field(default_factory=set)
    remarks: list[Fact] = field(default_factory=list)


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
            faults.add(str(yard), state("faults.workbook-of-answers-that-tripkit"))
            return []
        if yard.is_file() and yard.suffix.casefold() == WORKBOOK_MARK:
            others = (path for path in _list_folder(yard.parent) if path.name != yard.name)
            tables = (WORKBOOK_MARK, ".csv")
            return [yard, *(path for path in others if path.suffix.casefold() not in tables)]
        other = (
            state("faults.value-3", save_as=SAVE_AS)
            if yard.suffix.casefold() in OTHER_PROGRAMS
            else None
        )
        wanted = (
            state("faults.not-folder-or-workbook", workbook_mark=WORKBOOK_MARK, other=other)
            if yard.exists()
            else state("faults.there-is-no-such-folder")
        )
    except (OSError, ValueError) as error:
        wanted = state("faults.cannot-be-read-4", reason=give_reason(error))
    faults.add(str(yard), wanted)
    return []


def _list_folder(folder: Path) -> list[Path]:
    return sorted(path for path in folder.iterdir() if not path.name.startswith((".", "~$")))


def read_tables(
    paths: Sequence[Path], faults: Faults, season: DaySpan | None = None, home_zone: str = ""
) -> FolderTables:
    """The tables of all files of a folder; a required one that is missing is a fault.

    Of calendar files the shows in and around the season count; see `read_calendars`. A file or
    sheet that nearly bears the name of a table is a fault, another one a remark.
    """
    found = FolderTables()
    faults.announce(SETTINGS_FILE)
    by_name = {path.name.casefold(): path for path in paths}
    csv_paths = {name: by_name[f"{name}.csv"] for name in TABLES if f"{name}.csv" in by_name}
    books = [path for path in paths if path.suffix.casefold() == WORKBOOK_MARK]
    workbooks = [path for path in books if not is_answer(path)]
    for path in books:
        if path not in workbooks:
            found.remarks.append(
                state("faults.not-read-because-tripkit-wrote", path_name=path.name)
            )
    calendars = [path for path in paths if path.suffix.casefold() == CALENDAR_MARK]
    spare = [path for path in paths if path not in csv_paths.values()]
    if csv_paths or not workbooks:
        _read_csv_files(csv_paths, found, faults)
        for path in workbooks:
            if not _is_lost(path, state("faults.workbook-beside-csv-files"), found, faults):
                found.remarks.append(
                    state("faults.not-read-because-folder-has", path_name=path.name)
                )
        if not csv_paths:
            _refuse_other_programs(spare, found, faults)
    else:
        _read_workbook(workbooks, found, faults)
    cancelled: list[RawRow] = []
    events = read_calendars(calendars, season, home_zone, faults, found.remarks, cancelled)
    _merge(events, bool(calendars), found)
    set_aside_cancelled(found.tables, cancelled, found.remarks)
    named = [path.name for path in spare if path.suffix.casefold() == ".csv"]
    for path in spare:
        _look_at_spare(path, found, faults)
    for name in REQUIRED_TABLES:
        if name not in found.tables and name not in found.unreadable:
            faults.add(
                f"{name}.csv", state("faults.is-missing-2", near=suggest_near(f"{name}.csv", named))
            )
            found.unreadable.add(name)
    return found


def _read_csv_files(paths: dict[str, Path], found: FolderTables, faults: Faults) -> None:
    for name in TABLES:
        if name in paths:
            faults.announce(paths[name].name)
            table = read_csv(paths[name], faults, COLUMNS[name])
            if table is None:
                found.unreadable.add(name)
            else:
                found.tables[name] = table
        elif name in REQUIRED_TABLES:
            faults.announce(f"{name}.csv")


def _read_workbook(paths: Sequence[Path], found: FolderTables, faults: Faults) -> None:
    """Reads the one workbook that is the yard's; sheets that are no tables are spoken of."""
    if len(paths) > 1:
        names = ", ".join(path.name for path in paths)
        faults.add(paths[0].name, state("faults.one-of-several-workbooks-keep", names=names))
        found.unreadable.update(TABLES)
        return
    (path,) = paths
    sheets = read_workbook(path, COLUMNS, faults)
    found.tables.update({name: sheets.tables[name] for name in TABLES if name in sheets.tables})
    found.unreadable |= sheets.unreadable
    if not (sheets.tables or sheets.others or faults.has_any(path.name)):
        faults.add(path.name, state("faults.holds-no-rows"))
        found.unreadable.update(TABLES)
    for title in sheets.others:
        file = f"{path.name} sheet {title}"
        _speak_of(file, title, found, faults, state("faults.no-sheet-of-yard"))


def _refuse_other_programs(spare: Sequence[Path], found: FolderTables, faults: Faults) -> None:
    """Where nothing else is there to read, the file of another program is what is wrong."""
    for path in spare:
        if path.suffix.casefold() in OTHER_PROGRAMS:
            faults.add(path.name, state("faults.file-of-another-program", save_as=SAVE_AS))
            found.unreadable.update(TABLES)


def _look_at_spare(path: Path, found: FolderTables, faults: Faults) -> None:
    """What is said of a file that is not read."""
    name, mark = path.name.casefold(), path.suffix.casefold()
    if mark == ".csv":
        _speak_of(
            path.name,
            name.removesuffix(mark),
            found,
            faults,
            state("faults.no-file-of-yard-folder"),
        )
    elif mark in OTHER_PROGRAMS and not faults.has_any(path.name):
        if not _is_lost(path, state("faults.file-of-another-program-2"), found, faults):
            found.remarks.append(
                state("faults.file-of-another-program-and", path_name=path.name, save_as=SAVE_AS)
            )
    elif mark in TEXT_MARKS:
        stem = name.removesuffix(mark)
        table = find_meant(stem.removesuffix(".csv"), TABLES, strict=True)
        settings = find_meant(stem, SETTINGS, strict=True)
        if table and table not in found.tables:
            faults.add(path.name, state("faults.not-read-name-it-csv", table=table))
            found.unreadable.add(table)
        elif settings and settings != name:
            faults.add(path.name, state("faults.not-read-name-it", settings=settings))
    elif mark == ".toml" and name not in SETTINGS:
        settings = find_meant(name, SETTINGS)
        if settings:
            faults.add(path.name, state("faults.nearly-named-like-name-it", settings=settings))


def _is_lost(path: Path, wanted: Fact, found: FolderTables, faults: Faults) -> bool:
    """Whether a file that is not read bears the name of a table that is not there: a fault."""
    table = find_meant(path.stem, TABLES, strict=True)
    if not table or table in found.tables or table in found.unreadable:
        return False
    faults.add(path.name, state("faults.save-it-as-csv", wanted=wanted, table=table))
    found.unreadable.add(table)
    return True


def _speak_of(file: str, name: str, found: FolderTables, faults: Faults, wanted: Fact) -> None:
    """A file or sheet that is no table: a fault where it all but bears the name of one."""
    mark = ".csv" if file.casefold().endswith(".csv") else ""
    table = find_meant(name, TABLES)
    there = table in found.tables
    if table and (not there or find_meant(name, [table], strict=True)):
        also = state("faults.name-it-so")
        if there:
            kept = state("faults.and-there-is-file-of")
            also = kept if mark else state("faults.and-there-is-sheet-of")
        faults.add(file, state("faults.not-read-it-is-nearly", table=table, mark=mark, also=also))
        found.unreadable.add(table)
        return
    near = [t for t in TABLES if t in name.casefold() and t not in found.tables]
    hint = state("faults.did-you-mean", near_first=near[0], mark=mark) if near else None
    found.remarks.append(state("faults.and-is-not-read", file=file, wanted=wanted, hint=hint))


def _merge(events: Sequence[RawRow], has_calendars: bool, found: FolderTables) -> None:
    if "shows" in found.unreadable:
        return
    merged = merge_calendars(found.tables.get("shows"), events, found.remarks)
    if merged is not None:
        found.tables["shows"] = merged
    elif has_calendars:
        # Calendar files without a show to read have said so themselves.
        found.unreadable.add("shows")
