"""Files in and out of the page: a copy of the yard with what was brought, and workbooks."""

from __future__ import annotations

import io
import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from tripkit.errors import BadValue

WORKBOOK = ".xlsx"
BROUGHT = (WORKBOOK, ".csv", ".ics", ".toml")


def lay_copy(yard: Path, copies: Path, names: Sequence[str], contents: Sequence[bytes]) -> Path:
    """A yard as it would be with the files brought: a workbook alone, or the folder and them.

    Nothing of the yard itself is touched. Files of the same name replace those of the copy.
    Raises `BadValue` for a kind of file that no yard has, and for a table that is brought to a
    workbook.
    """
    brought = [(Path(name).name, bytes(data)) for name, data in zip(names, contents, strict=True)]
    for name, _ in brought:
        if Path(name).suffix.lower() not in BROUGHT:
            raise BadValue(f"{name!r} is none of {', '.join(BROUGHT)}")
    books = [(name, data) for name, data in brought if name.lower().endswith(WORKBOOK)]
    if books:
        if len(brought) > 1:
            raise BadValue("a workbook is a yard of its own: bring it alone")
        path = copies / books[0][0]
        path.write_bytes(books[0][1])
        return path
    if not yard.is_dir():
        raise BadValue(f"{yard.name} is a workbook: bring another workbook in its place")
    folder = copies / yard.name
    folder.mkdir()
    for path in yard.iterdir():
        if path.is_file() and path.suffix.lower() in BROUGHT:
            shutil.copyfile(path, folder / path.name)
    for name, data in brought:
        (folder / name).write_bytes(data)
    return folder


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
