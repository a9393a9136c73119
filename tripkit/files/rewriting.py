"""A yard folder with some cells changed: its files' new bytes, and whether it then still reads."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from tripkit.files.cells import Edits, edit_csv
from tripkit.files.faults import Faults
from tripkit.files.folder import COLUMNS, find_folder
from tripkit.files.renamed import Renaming
from tripkit.files.sheetcells import edit_workbook
from tripkit.files.spreadsheets import name_table
from tripkit.files.tables import RawRow, RawTable, list_rows, read_bytes
from tripkit.files.together import rename_in_store
from tripkit.store import STORE_FILES, find_store_file, open_store
from tripkit.yard.errors import BadYard, InputError

SHEET_MARK = ".xlsx sheet "


def edit_tables(yard: Path, edits: Mapping[str, Edits], faults: Faults) -> dict[str, bytes]:
    """The new bytes of each file of a yard whose cells change, by file name.

    `edits` stand by table as rows name it: `shows.csv`, or `yard.xlsx sheet shows`. What cannot
    be changed is a fault.
    """
    folder = find_folder(yard)
    changed: dict[str, bytes] = {}
    by_book: dict[str, dict[str, Edits]] = {}
    for table, cells in edits.items():
        if not cells:
            continue
        head, mark, sheet = table.partition(SHEET_MARK)
        if mark:
            by_book.setdefault(f"{head}.xlsx", {})[name_table(sheet)] = cells
            continue
        data = read_bytes(folder / table, faults) if (folder / table).exists() else b""
        if data is not None:
            known = COLUMNS.get(Path(table).stem.casefold(), ())
            changed[table] = edit_csv(table, data, cells, faults, known)
    for book, sheets in by_book.items():
        if (data := read_bytes(folder / book, faults)) is not None:
            changed[book] = edit_workbook(book, data, sheets, faults)
    return changed


def find_file_of(tables: Mapping[str, RawTable], table: str) -> str:
    """The file, or the sheet of the yard's workbook, that holds a table or would hold it."""
    files = [row.file for row in (tables[table].rows if table in tables else ()) if row.number]
    if files:
        return files[0]
    if table in tables and tables[table].file.endswith((".csv", f"{SHEET_MARK}{table}")):
        return tables[table].file
    books = [t.file.partition(SHEET_MARK)[0] for t in tables.values() if SHEET_MARK in t.file]
    return f"{books[0]}{SHEET_MARK}{table}" if books else f"{table}.csv"


def join_names(
    tables: Mapping[str, RawTable],
    row: RawRow | None,
    show: str,
    name: str,
    edits: dict[str, dict[tuple[int, str], str]],
) -> tuple[str, int]:
    """A row of shows says that a show and an organiser's name are one: `row`, else a new one.

    Answers its file and number.
    """
    if row is not None and row.number is not None:
        file, number = row.file, row.number
    else:
        file = find_file_of(tables, "shows")
        taken = (number for number, _ in edits.get(file, ()))
        rows = (row.number or 1 for row in list_rows(tables, "shows"))
        number = max((1, *taken, *rows)) + 1
        edits.setdefault(file, {})[number, "show"] = show
    edits.setdefault(file, {})[number, "name"] = name
    return file, number


def try_change(
    yard: Path, files: Mapping[str, bytes], renaming: Renaming | None = None
) -> tuple[InputError, ...]:
    """The faults that a yard folder would have with some files changed; the folder is not touched.

    The rest of the folder is looked at where it lies, so that roads and towns are found as ever.
    With a renaming a copy of the store follows it.
    """
    from tripkit.files.reader import read_yard

    folder = find_folder(yard)
    with TemporaryDirectory(prefix="tripkit-tried-") as scratch:
        copy = Path(scratch) / (folder.resolve().name or "yard")
        copy.mkdir()
        left = [*files, *(STORE_FILES if renaming else ())]
        for path in folder.iterdir():
            if path.name not in left and not path.name.startswith("."):
                _lay(path.resolve(), copy / path.name)
        if renaming is not None:
            with open_store(folder) as store:
                store.copy_to(find_store_file(copy))
            rename_in_store(copy, "", renaming)
        for name, data in files.items():
            (copy / name).write_bytes(data)
        try:
            read_yard(copy / yard.name if yard.is_file() else copy)
        except BadYard as bad:
            return bad.errors
    return ()


def _lay(path: Path, copy: Path) -> None:
    try:
        copy.symlink_to(path)
    except OSError:
        # Some systems let nobody make links.
        if path.is_file():
            shutil.copyfile(path, copy)
