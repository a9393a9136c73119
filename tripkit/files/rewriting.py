"""A yard folder with some cells changed: its files' new bytes, and whether it then still reads."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from tripkit.errors import BadYard, InputError
from tripkit.files.cells import Edits, edit_csv
from tripkit.files.faults import Faults
from tripkit.files.folder import find_folder
from tripkit.files.sheetcells import edit_workbook
from tripkit.files.tables import read_bytes

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
            name = sheet.strip().casefold().removesuffix(".csv")
            by_book.setdefault(f"{head}.xlsx", {})[name] = cells
        elif not (folder / table).exists():
            changed[table] = edit_csv(table, b"", cells, faults)
        elif (data := read_bytes(folder / table, faults)) is not None:
            changed[table] = edit_csv(table, data, cells, faults)
    for book, sheets in by_book.items():
        if (data := read_bytes(folder / book, faults)) is not None:
            changed[book] = edit_workbook(book, data, sheets, faults)
    return changed


def try_change(yard: Path, files: Mapping[str, bytes]) -> tuple[InputError, ...]:
    """The faults that a yard folder would have with some files changed; the folder is not touched.

    The rest of the folder is looked at where it lies, so that roads and towns are found as ever.
    """
    from tripkit.files.reader import read_yard

    folder = find_folder(yard)
    with TemporaryDirectory(prefix="tripkit-tried-") as scratch:
        copy = Path(scratch) / (folder.resolve().name or "yard")
        copy.mkdir()
        for path in folder.iterdir():
            if path.name not in files and not path.name.startswith("."):
                _lay(path.resolve(), copy / path.name)
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
