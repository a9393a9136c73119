"""Files in and out of the page: a copy of the yard with what was brought, and workbooks."""

from __future__ import annotations

import io
import os
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tripkit.files.columns import TABLES
from tripkit.files.folder import READ_MARKS, TABLE_MARK, WORKBOOK_MARK, find_folder
from tripkit.files.workbooks import mark_answer
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state

SETTINGS = ("yard", "local")
SAVED = "circuits.json"
COPIES = "tripkit-brought-"
COPY_NAME = "copy of {name}"


# The server takes no message above 10 MiB; the names of the files go with it.
MOST_BYTES = 9 * 1024 * 1024


@dataclass(frozen=True)
class Merging:
    """An organiser's calendar as it was brought, and what taking it would change."""

    name: str
    data: bytes = field(repr=False)
    drop_missing: bool
    preview: Any


def is_own_machine() -> bool:
    """Whether the visitor sits at the machine that holds the yard, so that paths are theirs."""
    return os.environ.get("TRIPKIT_LOOPBACK", "1") != "0"


def lay_copy(yard: Path, copies: Path, names: Sequence[str], contents: Sequence[bytes]) -> Path:
    """A copy of a yard folder as it would be with the files brought.

    Nothing of the yard itself is touched. Files of the same name replace those of the copy; a
    workbook replaces all its tables. Raises `BadValue` for a kind of file that no yard has, for
    two workbooks, a workbook among tables, and a table for a yard that keeps a workbook.
    """
    brought = [(Path(name).name, bytes(data)) for name, data in zip(names, contents, strict=True)]
    for name, _ in brought:
        if Path(name).suffix.lower() not in READ_MARKS:
            raise BadValue(state("values.none-of-2", name=name, brought=READ_MARKS))
    unknown = [name for name, _ in brought if not _is_known(name)]
    if unknown:
        raise BadValue(
            state(
                "values.no-table-or-settings-of",
                unknown=tuple(unknown),
                value=tuple(f"{table}.csv" for table in TABLES),
            )
        )
    books = [name for name, _ in brought if name.lower().endswith(WORKBOOK_MARK)]
    tables = [name for name, _ in brought if name.lower().endswith(TABLE_MARK)]
    if len(books) > 1 or (books and tables):
        raise BadValue(state("values.workbook-holds-all-tables-of"))
    kept = [
        p for p in find_folder(yard).iterdir() if p.is_file() and p.suffix.lower() in READ_MARKS
    ]
    if yard.is_file():
        # What lies beside a workbook that was named are its settings and calendars only.
        kept = [p for p in kept if p == yard or p.suffix.lower() not in (WORKBOOK_MARK, TABLE_MARK)]
    kinds = {path.suffix.lower() for path in kept}
    if tables and WORKBOOK_MARK in kinds and TABLE_MARK not in kinds:
        raise BadValue(state("values.keeps-its-tables-in-workbook", yard_name=yard.name))
    folder = copies / COPY_NAME.format(name=yard.name)
    folder.mkdir()
    for path in kept:
        if not (books and path.suffix.lower() in (WORKBOOK_MARK, TABLE_MARK)):
            shutil.copyfile(path, folder / path.name)
    for name, data in brought:
        (folder / name).write_bytes(data)
    return folder


def is_copy(yard: Path) -> bool:
    """Whether a yard is a copy laid for one visit."""
    return any(part.startswith(COPIES) for part in yard.parts)


def _is_known(name: str) -> bool:
    stem, suffix = Path(name).stem.lower(), Path(name).suffix.lower()
    known = {TABLE_MARK: TABLES, ".toml": SETTINGS}.get(suffix)
    return known is None or stem in known


def make_slug(name: str) -> str:
    """A file name that every system takes: letters and figures, joined by hyphens.

    >>> make_slug("Tour Gulf / 2"), make_slug("../\u202e")
    ('tour-gulf-2', 'circuit')
    """
    kept = "".join(c if c.isascii() and c.isalnum() else " " for c in name.lower())
    return "-".join(kept.split())[:60] or "circuit"


def write_frames(sheets: Mapping[str, Any]) -> bytes:
    """Frames become the sheets of one workbook; text that a program would run stays text."""
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    for title, frame in sheets.items():
        sheet = book.create_sheet(title)
        sheet.append([str(column) for column in frame.columns])
        for row in frame.itertuples(index=False):
            sheet.append([_write_cell(sheet, cell) for cell in row])
    mark_answer(book)
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def _write_cell(sheet: Any, cell: Any) -> Any:
    from openpyxl.cell import WriteOnlyCell

    value = getattr(cell, "item", lambda: cell)()
    if value is None or value != value:
        return None
    if hasattr(value, "to_pydatetime"):
        value = value.to_pydatetime()
    if getattr(value, "tzinfo", None) is not None:
        # A sheet knows no zones: the hour by the clock there, with its offset, as text.
        return value.isoformat()
    if isinstance(value, int | float | bool) or hasattr(value, "isoformat"):
        return value
    held = WriteOnlyCell(sheet, value=str(value))
    held.data_type = "s"
    return held
